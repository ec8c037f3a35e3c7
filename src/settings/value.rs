//! Values of settings, from text: as strict about meaning as it is lenient about spelling.

use super::table::RETURN_ROWS;
use super::{RepeatColumns, ReturnRows};
use crate::nearest::nearest;
use crate::place::Place;
use crate::problem::{Code, Finding};

/// Why a setting can't take a value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadValue {
    /// The value as given.
    pub found: String,
    /// What would be right: `"flat" or "round"`, "a number of stitches".
    pub expected: String,
    /// The right value that the given one is a slip of, if it is close to one.
    pub nearest: Option<String>,
}

impl BadValue {
    pub(super) fn new(found: impl Into<String>, expected: impl Into<String>) -> Self {
        Self { found: found.into(), expected: expected.into(), nearest: None }
    }

    /// Whether it looks like a value of the setting that was mistyped, and not like words about something else: it is near to
    /// a right one, or begins as a number does, or names sizes as the setting does.
    pub fn is_slip(&self) -> bool {
        let number = |c: char| c.is_ascii_digit() || matches!(c, '-' | '\u{2212}');
        self.nearest.is_some() || self.found.starts_with(number) || self.found.contains('=')
    }

    /// The finding for the setting of this name at this place.
    pub fn finding(self, name: &str, place: Place) -> Finding {
        let message = format!("The setting \"{name}\" can't be \"{}\".", self.found);
        let help = match &self.nearest {
            Some(nearest) => format!("Did you mean \"{nearest}\"? It can be {}.", self.expected),
            None => format!("It can be {}.", self.expected),
        };
        Finding::new(Code::WrongSetting, place, message).found(self.found).expected(self.expected).help(help)
    }
}

/// Words a setting can be: the word itself, other ways to say it, what it means.
pub(super) type Choices<T> = &'static [(&'static str, &'static [&'static str], T)];

/// Lower case, hyphens and underscores as spaces, single spaces, no closing full stop.
pub(super) fn plain(text: &str) -> String {
    let lower = text.to_lowercase().replace(['-', '_', '\u{2010}', '\u{2011}'], " ");
    let words: Vec<&str> = lower.split_whitespace().collect();
    words.join(" ").trim_end_matches('.').trim_end().to_owned()
}

fn single<'a>(given: &[&'a str]) -> &'a str {
    given.first().copied().unwrap_or_default().trim()
}

/// The choice that the text names.
pub(super) fn choose<T: Clone>(given: &[&str], choices: Choices<T>) -> Result<T, BadValue> {
    chosen(given, choices).ok_or_else(|| {
        let given = single(given);
        BadValue {
            found: given.to_owned(),
            expected: either(choices.iter().map(|(word, ..)| *word)),
            nearest: nearest(given, choices.iter().map(|(word, ..)| *word)).map(str::to_owned),
        }
    })
}

/// The same, where it names one.
fn chosen<T: Clone>(given: &[&str], choices: Choices<T>) -> Option<T> {
    let wanted = plain(single(given));
    let named =
        |(word, others, _): &&(&str, &[&str], T)| others.contains(&wanted.as_str()) || plain(word) == wanted;
    choices.iter().find(named).map(|(_, _, meaning)| meaning.clone())
}

/// `"a", "b" or "c"`.
pub(super) fn either<'a>(words: impl Iterator<Item = &'a str>) -> String {
    let quoted: Vec<String> = words.map(|word| format!("\"{word}\"")).collect();
    match quoted.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => quoted.concat(),
    }
}

/// A whole number between two bounds; "23 sts" is 23.
pub(super) fn number(given: &[&str], least: u32, most: u32, what: &str) -> Result<u32, BadValue> {
    let given = single(given);
    let wanted = given.to_lowercase();
    let wanted = wanted.trim_end_matches('.').trim_end();
    let digits = wanted.trim_end_matches(|c: char| c.is_ascii_alphabetic()).trim_end();
    let unit = wanted[digits.len()..].trim_start();
    let known = matches!(unit, "" | "st" | "sts" | "stitch" | "stitches" | "times" | "repeats" | "repeat");
    digits.parse().ok().filter(|number| known && (least..=most).contains(number)).ok_or_else(|| {
        let bounds = if least == 0 { format!("up to {most}") } else { format!("from {least} to {most}") };
        BadValue::new(given, format!("{what}, {bounds}"))
    })
}

/// Text that is not empty.
pub(super) fn text(given: &[&str], what: &str) -> Result<String, BadValue> {
    let given = single(given);
    if given.is_empty() { Err(BadValue::new(given, what)) } else { Ok(given.to_owned()) }
}

/// Words, each one of those known.
pub(super) fn words(given: &[&str], known: &[&str]) -> Result<Vec<String>, BadValue> {
    let bad = |word: &str| BadValue {
        found: word.to_owned(),
        expected: either(known.iter().copied()),
        nearest: nearest(word, known.iter().copied()).map(str::to_owned),
    };
    if given.is_empty() {
        return Err(bad(""));
    }
    given
        .iter()
        .map(|word| word.trim())
        .map(|word| known.iter().find(|known| plain(known) == plain(word)).ok_or_else(|| bad(word)))
        .map(|known| known.map(|known| (*known).to_owned()))
        .collect()
}

/// Styles or vocabularies: names, each one of those known, or files of the user's own.
pub(super) fn named(given: &[&str], known: Vec<&str>) -> Result<Vec<String>, BadValue> {
    let (files, names): (Vec<&str>, Vec<&str>) = given.iter().partition(|name| is_file_name(name.trim()));
    if !names.is_empty() || files.is_empty() {
        words(&names, &known).map_err(|bad| BadValue {
            expected: format!("{}, or a file such as \"house.toml\"", bad.expected),
            ..bad
        })?;
    }
    let canonical = |name: &&str| {
        known
            .iter()
            .find(|known| plain(known) == plain(name))
            .map_or_else(|| name.trim().to_owned(), |k| (*k).to_owned())
    };
    Ok(given.iter().map(canonical).collect())
}

/// Whether a style or a vocabulary is named by its file.
pub fn is_file_name(name: &str) -> bool {
    name.contains(['/', '\\']) || name.to_lowercase().ends_with(".toml")
}

/// Return rows: one of the words, or a row said in words.
pub(super) fn return_rows(given: &[&str]) -> Result<ReturnRows, BadValue> {
    if let Some(chosen) = chosen(given, RETURN_ROWS) {
        return Ok(chosen);
    }
    let row = single(given);
    // A row in words has a number, a comma or an end to work to; a slip in a single word has none of them.
    let is_row = row.contains(|c: char| c.is_ascii_digit() || c == ',' || c == '*')
        || plain(row).split(' ').any(|word| word == "to");
    if is_row {
        return Ok(ReturnRows::Stated(row.to_owned()));
    }
    choose(given, RETURN_ROWS).map_err(|bad| {
        let expected = format!("{}, or a row in words such as \"K3, p to last 3 sts, k3\"", bad.expected);
        BadValue { expected, ..bad }
    })
}

/// Two column numbers: "3-8", "3 to 8", "columns 3-8". A single column is a repeat one column wide.
pub(super) fn columns(given: &[&str]) -> Result<RepeatColumns, BadValue> {
    let given = single(given);
    let bad = || BadValue::new(given, "the first and last column of the repeat, such as \"3-8\"");
    let lower = given.to_lowercase();
    let bare = lower.trim_start_matches("columns").trim_start_matches("column").trim();
    let bare = bare.trim_start_matches("sts").trim_end_matches('.').trim();
    let numbers: Vec<u32> = bare
        .replace(['\u{2010}', '\u{2011}', '\u{2012}', '\u{2013}', '\u{2014}', '\u{2212}', ':'], "-")
        .replace(" to ", "-")
        .split('-')
        .map(|number| number.trim().parse().ok().filter(|column| *column > 0))
        .collect::<Option<_>>()
        .ok_or_else(bad)?;
    let (one, other) = match numbers[..] {
        [only] => (only, only),
        [one, other] => (one, other),
        // A spreadsheet made a date of "3-8": day and month name the same two columns whichever came first.
        [_, month, day] if bare.len() == 10 && day > 1 => (month, day),
        _ => return Err(bad()),
    };
    Ok(RepeatColumns { first: one.min(other), last: one.max(other) })
}

/// Sizes: "S = 3, M = 4", in one text or in one for each size.
pub(super) fn sizes(given: &[&str], most: u32) -> Result<Vec<(String, u32)>, BadValue> {
    let whole = given.join(", ");
    let bad = || {
        BadValue::new(
            whole.as_str(),
            "names and how often the repeat is worked, once at the least: S = 3, M = 4",
        )
    };
    let mut sizes: Vec<(String, u32)> = Vec::new();
    for size in whole.split([',', ';']) {
        let (name, times) = size.rsplit_once(['=', ':']).ok_or_else(bad)?;
        let times = number(&[times], 1, most, "").map_err(|_| bad())?;
        let name = name.trim();
        if name.is_empty() || sizes.iter().any(|(other, _)| other == name) {
            return Err(bad());
        }
        sizes.push((name.to_owned(), times));
    }
    Ok(sizes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::{Settings, in_sheet};

    /// Lines as sheets have them, beside values that somebody mistyped.
    #[test]
    fn slips_are_told_from_words_about_something_else() {
        let bad = |line: &str| {
            let (name, value) = line.split_once(": ").unwrap();
            in_sheet(&mut Settings::default(), name, value).unwrap().unwrap_err()
        };
        for line in [
            "Worked: flatt",
            "Hand: lefft",
            "Cast on: 0",
            "Cast on: -3",
            "Repeat columns: 3-",
            "Sizes: S = 0",
            "Return rows: pulr",
        ] {
            assert!(bad(line).is_slip(), "{line}");
        }
        for line in [
            "Worked: top down",
            "Charted: by Isla Quern",
            "Symbols: see key",
            "First row: RS",
            "Cast-on: long-tail",
            "Cast on: long-tail method, 6 sts",
            "Sizes: S (M, L)",
            "Repeat columns: see red lines",
            "Return rows: see notes",
        ] {
            assert!(!bad(line).is_slip(), "{line}");
        }
    }

    #[test]
    fn numbers_may_carry_their_unit() {
        assert_eq!(number(&["23 sts."], 1, 100, "stitches"), Ok(23));
        assert_eq!(number(&["23sts"], 1, 100, "stitches"), Ok(23));
        for bad in ["", "0", "101", "-3", "2.5", "23 inches", "sts"] {
            assert!(number(&[bad], 1, 100, "stitches").is_err(), "{bad}");
        }
    }

    #[test]
    fn columns_may_be_said_in_several_ways() {
        let repeat = Ok(RepeatColumns { first: 3, last: 8 });
        for given in
            ["3-8", "3 - 8", "8-3", "3 to 8", "3\u{2013}8", "Columns 3-8", "2026-08-03", "2026-03-08"]
        {
            assert_eq!(columns(&[given]), repeat, "{given}");
        }
        for bad in ["", "0-4", "3-8-9", "three", "3-", "2026-08-01"] {
            assert!(columns(&[bad]).is_err(), "{bad}");
        }
    }

    #[test]
    fn return_rows_are_words_or_a_row() {
        assert_eq!(return_rows(&["As they appear"]), Ok(ReturnRows::AsTheyAppear));
        assert_eq!(return_rows(&["Purl."]), Ok(ReturnRows::Purl));
        let row = "K3, p to last 3 sts, k3";
        assert_eq!(return_rows(&[row]), Ok(ReturnRows::Stated(row.to_owned())));
        assert_eq!(return_rows(&["pulr"]).unwrap_err().nearest.as_deref(), Some("purl"));
        assert_eq!(return_rows(&["as they apear"]).unwrap_err().nearest.as_deref(), Some("as-they-appear"));
    }

    #[test]
    fn sizes_are_named_once() {
        let two = vec![("S".to_owned(), 3), ("M".to_owned(), 4)];
        assert_eq!(sizes(&["S = 3, M = 4"], 100), Ok(two.clone()));
        assert_eq!(sizes(&["S=3", "M=4"], 100), Ok(two));
        for bad in ["S, M, L", "S = 3, S = 4", "= 3", "S = 0", ""] {
            assert!(sizes(&[bad], 100).is_err(), "{bad}");
        }
    }
}
