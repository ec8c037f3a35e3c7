//! The language of knitting: words to stitches, and the text of a row to its items.
//!
//! [`stitch`] reads what names one stitch ("knit 2 together", "sl 1, k2tog, psso", "2/2 RC"); [`meaning`] reads what
//! a key says of a symbol ("K on RS, P on WS"); [`row()`] reads a whole row ("K3, p to last 3 sts, k3"). The words
//! are data: the wording of each stitch in the dictionary, and `words/english.toml` for the rest.

pub(crate) mod colours;
mod crossing;
mod english;
pub(crate) mod fabric;
mod gloss;
mod key;
mod loops;
mod means;
mod numerals;
pub(crate) mod phrases;
mod row;
pub(crate) mod rows;
mod shade;

use std::borrow::Cow;
use std::cell::RefCell;
use std::iter;
use std::rc::Rc;
use std::sync::LazyLock;

use foldhash::{HashMap, HashMapExt};

use crate::stitch::{Stitch, StitchId, Stitches, Terms, Words};

pub use colours::{Colours, stands_for_colour};
pub use english::may_mean;
pub(crate) use english::texts;
pub use fabric::{Cloth, Fabric, Plain};
pub use key::{Looks, is_bare_slip, left_aside, meaning, names_side, one_side};
pub use loops::{loops, told_in_key, within_row, worked_in_turns};
pub use means::Means;
pub use numerals::{GREAT, ONES, TENS, begins_number, number};
pub use row::{
    About, Choice, Context, Doubt, InColour, MarkerName, Piece, Reach, RowError, RowMistake, Stretch, Which,
    Work, mistakes, pieces_use, reads, row, work, works,
};
pub use shade::{is_colour, is_shade, may_be_colour, may_be_worked, tells_work, with_colour};

/// Phrases of the built-in stitches in boiled form: exactly as they stand, and with one number left open (`#`).
struct Phrases {
    exact: HashMap<String, StitchId>,
    counted: HashMap<String, StitchId>,
}

static PHRASES: LazyLock<Phrases> = LazyLock::new(|| {
    let mut phrases = Phrases { exact: HashMap::new(), counted: HashMap::new() };
    // Names come first: no other wording may take a canonical name away from its stitch.
    for (id, stitch) in Stitches::every() {
        phrases.exact.insert(stitch.name.clone(), id);
    }
    for (id, stitch) in Stitches::every() {
        phrases.learn(stitch, id);
    }
    for (words, id) in Stitches::phrases() {
        phrases.exact.entry(boil_squeezed(words)).or_insert(*id);
    }
    phrases
});

impl Phrases {
    fn learn(&mut self, stitch: &Stitch, id: StitchId) {
        for terms in [Terms::Us, Terms::Uk] {
            // Most stitches have the same words in both.
            if terms == Terms::Uk && stitch.words(terms) == stitch.words(Terms::Us) {
                continue;
            }
            let Words { short, run, bare, whole, long, long_run, long_bare, .. } = stitch.words(terms);
            for one in [Some(short), bare.as_ref(), whole.as_ref(), Some(long), long_bare.as_ref()]
                .into_iter()
                .flatten()
            {
                self.exact.entry(boil_squeezed(one)).or_insert(id);
            }
            for many in [run, long_run].into_iter().flatten() {
                // A number no wording has, so that its place can be found after boiling.
                let open = boil_squeezed(&many.replace("{n}", OPEN));
                self.counted.entry(open.replace(OPEN, "#")).or_insert(id);
            }
        }
    }
}

/// Stands for a number while templates are boiled.
const OPEN: &str = "987654321";

/// The words of a text in lower case: runs of letters, runs of digits, and `/`; everything else only separates.
fn split(text: &str) -> Vec<String> {
    words_of(&text.to_lowercase()).map(str::to_owned).collect()
}

fn words_of(text: &str) -> impl Iterator<Item = &str> {
    #[derive(PartialEq)]
    enum Kind {
        Digit,
        Letter,
        Slash,
        Between,
    }
    let kind = |c: char| match c {
        '0'..='9' => Kind::Digit,
        '/' => Kind::Slash,
        c if c.is_alphabetic() => Kind::Letter,
        _ => Kind::Between,
    };
    let mut rest = text;
    iter::from_fn(move || {
        rest = rest.trim_start_matches(|c| kind(c) == Kind::Between);
        let first = rest.chars().next()?;
        let length = match kind(first) {
            Kind::Slash => first.len_utf8(),
            same => rest.find(|c| kind(c) != same).unwrap_or(rest.len()),
        };
        let (word, behind) = rest.split_at(length);
        rest = behind;
        Some(word)
    })
}

/// The words of a text with the phrases of `english.toml` boiled down to abbreviations.
fn boil(text: &str) -> Vec<String> {
    boil_words(&split(text))
}

fn boil_words(words: &[String]) -> Vec<String> {
    let mut boiled = Vec::with_capacity(words.len());
    each_boiled(words, |word| boiled.push(word.to_owned()));
    boiled
}

/// The same as one word.
fn boil_squeezed(text: &str) -> String {
    let text = text.to_lowercase();
    let words: Vec<Cow<'_, str>> = words_of(&text).map(Cow::from).collect();
    let mut squeezed = String::with_capacity(text.len());
    each_boiled(&words, |word| squeezed.push_str(word));
    squeezed
}

fn each_boiled<W: AsRef<str> + Clone + From<String>>(words: &[W], mut add: impl FnMut(&str)) {
    let words = numerals::in_digits(words);
    let mut rest = &*words;
    while let [word, behind @ ..] = rest {
        rest = match english::boiled(rest) {
            Some((length, to)) => {
                to.iter().for_each(|word| add(word));
                rest.get(length..).unwrap_or_default()
            }
            None => {
                add(word.as_ref());
                behind
            }
        };
    }
}

fn squeeze(words: &[String]) -> String {
    words.concat()
}

/// The words of a text, boiled and squeezed. The keys of an archive say the same few words over and over.
fn boiled_down(text: &str) -> Rc<str> {
    const KEPT: usize = 500;
    const LONGEST: usize = 80;
    thread_local! {
        static KNOWN: RefCell<HashMap<Box<str>, Rc<str>>> = RefCell::new(HashMap::new());
    }
    let boil = || Rc::from(boil_squeezed(text));
    if text.len() > LONGEST {
        return boil();
    }
    KNOWN.with_borrow_mut(|known| {
        if let Some(boiled) = known.get(text) {
            return Rc::clone(boiled);
        }
        if known.len() >= KEPT {
            known.clear();
        }
        let boiled: Rc<str> = boil();
        known.insert(text.into(), Rc::clone(&boiled));
        boiled
    })
}

/// Adds a letter in lower case. Most are ASCII, where that is but one letter.
pub(crate) fn push_lower(text: &mut String, letter: char) {
    if letter.is_ascii() {
        text.push(letter.to_ascii_lowercase());
    } else {
        text.extend(letter.to_lowercase());
    }
}

/// The stitch these words name, with nothing left over: a canonical name, an abbreviation, words, a cable in any
/// of its usual spellings, or a stitch of the designer's own by its name or abbreviation.
pub fn stitch(text: &str, stitches: &mut Stitches) -> Option<StitchId> {
    let text = text.trim();
    if let Some(id) = stitches.known(text) {
        return Some(id);
    }
    let squeezed = boiled_down(text);
    if squeezed.is_empty() {
        return None;
    }
    own(&squeezed, stitches)
        .or_else(|| PHRASES.exact.get(&*squeezed).copied())
        .or_else(|| cable(&squeezed, stitches))
}

/// The stitch named by an abbreviation or by its words alone, not by the many other ways of writing it: what a
/// chart's cell may hold without a key.
pub fn named(text: &str, stitches: &mut Stitches) -> Option<StitchId> {
    if let Some(id) = stitches.known(text.trim()) {
        return Some(id);
    }
    let mut plain = String::with_capacity(text.len());
    text.chars().filter(|c| !c.is_whitespace()).for_each(|c| push_lower(&mut plain, c));
    let id = stitches.find(&plain)?;
    stitches.get(id).form_of.is_none().then_some(id)
}

fn own(squeezed: &str, stitches: &Stitches) -> Option<StitchId> {
    stitches
        .own()
        .find(|(_, stitch)| {
            let words = stitch.words(Terms::Us);
            [&stitch.name, &words.short, &words.long].into_iter().any(|form| boil_squeezed(form) == squeezed)
        })
        .map(|(id, _)| id)
}

/// A cable in its usual spellings, already squeezed: `2/2rc`, `2over2rc`, `c4b` and `c4f` (standards.md K10: the
/// cable needle at the back is a right cross, at the front a left cross), `rt`.
fn cable(squeezed: &str, stitches: &mut Stitches) -> Option<StitchId> {
    let slashed = squeezed.replace("over", "/");
    if let Some(id) = stitches.find(&slashed).filter(|&id| stitches.get(id).wide) {
        return Some(id);
    }
    match squeezed {
        "rt" => return stitches.find("1/1rt"),
        "lt" => return stitches.find("1/1lt"),
        _ => {}
    }
    let inner = squeezed.strip_prefix("cable").or_else(|| squeezed.strip_prefix('c'))?;
    let ends = |endings: [&str; 3]| endings.iter().find_map(|ending| inner.strip_suffix(ending));
    let right = ends(["back", "b", "behind"]).map(|total| (total, "rc"));
    let (total, ending) = right.or_else(|| Some((ends(["front", "forward", "f"])?, "lc")))?;
    let total: u32 = total.parse().ok()?;
    // The total alone can't tell how an uneven cross is split.
    (total >= 2 && total.is_multiple_of(2)).then(|| stitches.find(&format!("{0}/{0}{ending}", total / 2)))?
}

/// The stitch that an explanation tells: by words that name it, or as a crossing by how it is worked, "sl 2 sts to cn,
/// hold in front, k2, k2 from cn".
pub fn explained(text: &str, stitches: &mut Stitches) -> Option<StitchId> {
    let text = text.trim().trim_end_matches('.');
    // "Knit the next 3 stitches together".
    let plain = || row::plain(boil(text)).join(" ");
    stitch(text, stitches).or_else(|| stitch(&plain(), stitches)).or_else(|| crossing::told(text, stitches))
}

/// Like [`stitch`], with the number of a run: "k3", "knit 3", "sl 2 wyib", "k2 tbl". One where none is said.
fn counted(words: &[String], stitches: &mut Stitches) -> Option<(StitchId, u32)> {
    let squeezed = squeeze(words);
    if squeezed.is_empty() {
        return None;
    }
    if let Some(id) = own(&squeezed, stitches) {
        return Some((id, 1));
    }
    if let Some(id) = PHRASES.exact.get(&squeezed).copied().or_else(|| cable(&squeezed, stitches)) {
        return Some((id, 1));
    }
    for (index, word) in words.iter().enumerate() {
        let Ok(number) = word.parse::<u32>() else { continue };
        let open: String = words
            .iter()
            .enumerate()
            .map(|(at, word)| if at == index { "#" } else { word.as_str() })
            .collect();
        if let Some(id) = PHRASES.counted.get(&open) {
            return Some((*id, number));
        }
    }
    None
}

/// How many stitches are worked together by words such as "k5tog" or "knit five stitches together", be there a stitch
/// of that name or not.
pub fn together(text: &str) -> Option<u32> {
    let boiled = boil(text);
    let words: Vec<&str> = boiled.iter().map(String::as_str).collect();
    match words[..] {
        ["k" | "p", number, "tog"]
        | ["k" | "p", number, "tog", "tbl"]
        | ["k" | "p", number, "st", "tog"]
        | ["k" | "p", number, "st", "tog", "tbl"] => number.parse().ok(),
        _ => None,
    }
}

/// Whether words say that what stands before them is worked into one stitch: "in one st", "all into the next stitch".
pub fn into_one_stitch(text: &str) -> bool {
    let boiled = boil(text);
    let words: Vec<&str> = boiled.iter().map(String::as_str).filter(|word| *word != "all").collect();
    matches!(words[..], ["in" | "into", "1" | "next" | "same", "st"])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn name(words: &str) -> Option<String> {
        let mut stitches = Stitches::built_in();
        stitch(words, &mut stitches).map(|id| stitches.get(id).name.clone())
    }

    /// Wordings of keys in print: common practice; the abbreviations are those of standards.md section 1.
    #[test]
    fn trade_words_name_stitches() {
        for (words, stitch) in [
            ("k", "k"),
            ("K1", "k"),
            ("Knit", "k"),
            ("purl 1", "p"),
            ("yarn over", "yo"),
            ("Yarn Over (yo)", ""),
            ("double yo", "yo2"),
            ("knit 2 together", "k2tog"),
            ("Knit two stitches together", "k2tog"),
            ("k2 tog", "k2tog"),
            ("K2TOG", "k2tog"),
            ("k tbl", "ktbl"),
            ("knit through the back loop", "ktbl"),
            ("slip, slip, knit", "ssk"),
            ("Sl 1, k1, psso", "skp"),
            ("skpo", "skp"),
            ("sl 1, k2tog, psso", "sk2p"),
            ("slip 1, knit 2 together, pass slipped stitch over", "sk2p"),
            ("(k1, yo, k1) in one st", "kyok"),
            ("(K1, p1, k1) into next stitch", "kpk"),
            ("2/2 RC", "2/2rc"),
            ("2 over 2 right cross", "2/2rc"),
            ("2/1 LPC", "2/1lpc"),
            ("C4B", "2/2rc"),
            ("c6f", "3/3lc"),
            ("Cable 4 Back", "2/2rc"),
            ("cable 6 forward", "3/3lc"),
            ("cable 5 front", ""),
            ("C5F", ""),
            ("C4", ""),
            ("right twist", "1/1rt"),
            ("no stitch", "ns"),
            ("sl 1 wyif", "sl1wyif"),
            ("slip 1 purlwise with yarn in back", "sl1wyib"),
            ("M1L", "m1l"),
            ("make 1 right", "m1r"),
            ("bind off", "bo"),
            ("cast off", "bo"),
            ("dec 1", ""),
            ("", ""),
            ("xyzzy", ""),
        ] {
            assert_eq!(name(words).unwrap_or_default(), stitch, "{words:?}");
        }
    }

    #[test]
    fn every_wording_of_the_dictionary_is_read_as_its_stitch() {
        for (id, entry) in Stitches::every() {
            for terms in [Terms::Us, Terms::Uk] {
                let words = entry.words(terms);
                for form in [&words.short, &words.long] {
                    let mut stitches = Stitches::built_in();
                    assert_eq!(stitch(form, &mut stitches), Some(id), "{form:?} of {}", entry.name);
                }
                for form in [&words.run, &words.long_run].into_iter().flatten() {
                    let mut stitches = Stitches::built_in();
                    let text = form.replace("{n}", "17");
                    assert_eq!(counted(&boil(&text), &mut stitches), Some((id, 17)), "{text:?}");
                }
            }
        }
    }
}
