//! Row numbers as charts print them: "3", "3.", "Row 3", "R3", "3rd row", "Row three", "3 (RS)", 3.0.

use crate::pattern::Side;
use crate::words::number;
use crate::words::rows::lex::{is_stitches, ordinal};

/// A row number, as printed beside a row of the chart.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Label {
    /// The number.
    pub(super) number: u32,
    /// The side, where it is printed.
    pub(super) side: Option<Side>,
    /// Whether it says that it numbers a round ("Rnd 3").
    pub(super) round: bool,
    /// Whether it says that it is a row number ("Row 3"), or is only a number.
    pub(super) explicit: bool,
    /// Whether it says that the row stands before the others, "Set-up row": it is row 0.
    pub(super) set_up: bool,
    /// The stitches of the row, where it counts them in brackets behind its number.
    pub(super) stated: Option<u32>,
}

/// The most rows a chart may have.
const MOST_ROWS: u32 = 100_000;

/// The row number a cell holds, if its text is one.
pub(super) fn parse(text: &str) -> Option<Label> {
    match counted(text) {
        Some((label, stated)) => Some(Label { stated: Some(stated), ..number_of(label)? }),
        None => number_of(text),
    }
}

/// "Row 3 (24 sts)": the label, and the count of stitches behind it.
fn counted(text: &str) -> Option<(&str, u32)> {
    let (label, count) = text.trim_end().strip_suffix([')', ']'])?.rsplit_once(['(', '['])?;
    let digits = count.find(|c: char| !c.is_ascii_digit())?;
    let (number, unit) = count.split_at(digits);
    Some((label, number.parse().ok().filter(|_| is_stitches(unit.trim()))?))
}

fn number_of(text: &str) -> Option<Label> {
    // Most cells are symbols: without a digit it takes a word.
    if text.len() < 3 && !text.bytes().any(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let text = text.trim();
    // A float that a spreadsheet made of a whole number.
    let text = text.strip_suffix(".0").unwrap_or(text);
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    let text = if digits(text) { text } else { without_arrow(text) };
    if text.is_empty() || text.len() > 24 {
        return None;
    }
    if digits(text) {
        let number = text.parse().ok().filter(|number| (1..=MOST_ROWS).contains(number))?;
        return Some(Label { number, ..Label::default() });
    }
    let marks = |c: char| matches!(c, '.' | ':' | '(' | ')' | '[' | ']' | '#' | ' ');
    if !text.chars().all(|c| c.is_alphanumeric() || marks(c) || c == '-') {
        return None;
    }
    let mut label = Label::default();
    let lower = text.to_lowercase();
    if let Some(rest) = set_up(&lower) {
        label = Label {
            set_up: true,
            explicit: true,
            round: rest.starts_with("r") && rest.contains('d'),
            ..label
        };
        label.side = [("rs", Side::Rs), ("ws", Side::Ws)]
            .into_iter()
            .find(|(word, _)| words(rest).any(|found| found == *word))
            .map(|(_, side)| side);
        return Some(label);
    }
    // A hyphen joins "twenty-three", and nothing else.
    let joins = |(before, behind): (&str, &str)| {
        before.ends_with(char::is_alphabetic) && behind.starts_with(char::is_alphabetic)
    };
    if text.match_indices('-').any(|(at, mark)| !joins((&text[..at], &text[at + mark.len()..]))) {
        return None;
    }
    let mut numbers = 0;
    let mut worded = false;
    let said: Vec<&str> = words(&lower).collect();
    let mut at = 0;
    while let Some(&word) = said.get(at) {
        at += 1;
        match word {
            // "28 rows" counts them.
            "rows" if numbers > 0 => return None,
            "row" | "rows" | "r" | "no" => label.explicit = true,
            "st" | "nd" | "th" if numbers == 1 => label.explicit = true,
            // "3rd", and not "rd 3".
            "rd" if lower.contains(&format!("{}rd", label.number)) => label.explicit = true,
            "rnd" | "round" | "rd" => (label.explicit, label.round) = (true, true),
            "rs" => label.side = Some(Side::Rs),
            "ws" => label.side = Some(Side::Ws),
            word => {
                let in_words = in_words(&said[at - 1..]);
                worded |= in_words.is_some();
                let (number, length) = in_words.or_else(|| Some((word.parse().ok()?, 1)))?;
                label.number = Some(number).filter(|n| (1..=MOST_ROWS).contains(n))?;
                numbers += 1;
                at += length - 1;
            }
        }
    }
    // "First" alone may be a title.
    if worded && !label.explicit {
        return None;
    }
    label.explicit |= label.side.is_some();
    (numbers == 1).then_some(label)
}

/// A row number without the arrow that says from where the row is worked: "<- 1", "3 →".
fn without_arrow(text: &str) -> &str {
    const ARROWS: [&str; 12] = ["<--", "-->", "<-", "->", "<=", "=>", "←", "→", "⟵", "⟶", "⇐", "⇒"];
    let number = |rest: &str| rest.bytes().all(|byte| byte.is_ascii_digit()) && !rest.is_empty();
    let cut = |arrow: &&str| text.strip_prefix(*arrow).or_else(|| text.strip_suffix(*arrow)).map(str::trim);
    // Symbols may hold arrows as well: beside a bare number it is one of a row.
    match text.ends_with(|c: char| c.is_ascii_digit()) != text.starts_with(|c: char| c.is_ascii_digit()) {
        true => ARROWS.iter().find_map(cut).filter(|rest| number(rest)).unwrap_or(text),
        false => text,
    }
}

/// "Set-up row", "Foundation rnd (WS)": what stands behind the name of such a row, where that is no more of its label.
fn set_up(text: &str) -> Option<&str> {
    const NAMES: [&str; 6] = ["set-up", "set up", "setup", "foundation", "preparation", "base"];
    let rest = NAMES.iter().find_map(|name| text.strip_prefix(name))?.trim_start();
    const WORDS: [&str; 5] = ["row", "rnd", "round", "rs", "ws"];
    let row = words(rest).next().is_some_and(|word| WORDS[..3].contains(&word));
    (row && words(rest).all(|word| WORDS.contains(&word))).then_some(rest)
}

/// Whether a text is the name of a set-up row without its "row", as it may stand in a column of row numbers.
pub(super) fn is_set_up(text: &str) -> bool {
    // "Base" is the shortest.
    (4..24).contains(&text.len())
        && set_up(&format!("{} row", text.trim_matches(['.', ':', ' ']).to_lowercase())) == Some("row")
}

/// The number that words begin with, "three", "third" or "twenty three", and how many of them it takes.
fn in_words(said: &[&str]) -> Option<(u32, usize)> {
    ordinal(said.first()?).map(|number| (number, 1)).or_else(|| number(said))
}

/// Runs of letters and runs of digits.
fn words(text: &str) -> impl Iterator<Item = &str> {
    let other = |c: char| !c.is_alphanumeric();
    let mut rest = text.trim_start_matches(other);
    std::iter::from_fn(move || {
        let digits = rest.chars().next()?.is_numeric();
        let ends = |c: char| other(c) || c.is_numeric() != digits;
        let (word, behind) = rest.split_at(rest.find(ends).unwrap_or(rest.len()));
        rest = behind.trim_start_matches(other);
        Some(word)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Forms of domain.md section 4.
    #[test]
    fn row_numbers_in_their_forms() {
        for (text, number, side) in [
            ("3", 3, None),
            ("3.0", 3, None),
            ("3.", 3, None),
            ("Row 3", 3, None),
            ("Rows 3", 3, None),
            ("3 row", 3, None),
            ("R3", 3, None),
            ("Rnd 12:", 12, None),
            ("3rd row", 3, None),
            ("Row three", 3, None),
            ("Twelfth row", 12, None),
            ("Row thirteen", 13, None),
            ("Row twenty-three (WS)", 23, Some(Side::Ws)),
            ("Rnd forty two", 42, None),
            ("3 (RS)", 3, Some(Side::Rs)),
            ("Row 4 (WS)", 4, Some(Side::Ws)),
            ("Set-up row (WS)", 0, Some(Side::Ws)),
            ("Foundation row", 0, None),
            ("<- 1", 1, None),
            ("12<-", 12, None),
            ("→ 3", 3, None),
            ("Row 3 (24 sts)", 3, None),
            ("Row 4 (WS) [24 sts]", 4, Some(Side::Ws)),
        ] {
            let label = parse(text).unwrap_or_else(|| panic!("{text}"));
            assert_eq!((label.number, label.side), (number, side), "{text}");
        }
        for (text, round) in [
            ("3rd row", false),
            ("23rd", false),
            ("Rd 3", true),
            ("3 Rd", true),
            ("3rd rnd", true),
            ("Rnd three", true),
        ] {
            assert_eq!(parse(text).map(|label| label.round), Some(round), "{text}");
        }
        assert_eq!(parse("Row 3 (24 sts)").and_then(|label| label.stated), Some(24));
        for text in [
            "(24 sts)",
            "Repeat (24 sts)",
            "Row 3 (24 rows)",
            "Twenty-three",
            "Row two-3",
            "Row one two",
            "",
            "0",
            "k",
            "k3",
            "1/2",
            "-3",
            "3-",
            "<3",
            "<-",
            "3.5",
            "3 4",
            "23 sts",
            "28 rows",
            "28 Rows.",
            "Row",
            "First",
            "99999999999",
            "Set-up",
            "Base",
        ] {
            assert_eq!(parse(text), None, "{text}");
        }
    }
}
