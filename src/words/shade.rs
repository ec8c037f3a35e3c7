//! Colours as keys name them.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use super::{explained, loops, meaning, split};
use crate::stitch::Stitches;
use crate::tables::{self, table};

/// The words of `shade.toml`.
#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, bound(deserialize = "'de: 'static"))]
struct File {
    names: Vec<&'static str>,
    shades: Vec<&'static str>,
    yarns: Vec<&'static str>,
    links: Vec<&'static str>,
    others: Vec<&'static str>,
    wool: Vec<&'static str>,
    row_links: Vec<&'static str>,
    /// By what a colour is called, its spellings.
    trade: BTreeMap<&'static str, Vec<&'static str>>,
}

static FILE: LazyLock<File> = LazyLock::new(|| tables::read(table!("words/shade")));

fn is_one_of(words: &[&str], word: &str) -> bool {
    words.contains(&word)
}

/// Whether a word, in lower case, is the name of a colour.
pub(super) fn is_name(word: &str) -> bool {
    is_one_of(&FILE.names, word)
}

/// Whether a text is one word for the shade of a colour: "dark", "Lt.".
pub fn is_shade(text: &str) -> bool {
    matches!(&split(text)[..], [word] if is_one_of(&FILE.shades, word))
}

/// Whether a word, in lower case, joins a colour to what is worked in it in a row.
pub(super) fn is_row_link(word: &str) -> bool {
    is_one_of(&FILE.row_links, word)
}

/// The spellings of colours that the trade knows, each with what the colour is called.
pub(super) fn trade() -> impl Iterator<Item = (&'static str, &'static str)> {
    let spelled = |(name, spellings): (&'static &'static str, &'static Vec<&'static str>)| {
        spellings.iter().map(move |spelling| (*spelling, *name))
    };
    FILE.trade.iter().flat_map(spelled)
}

/// Whether a text names a colour and nothing else, beyond doubt: "navy", "dark sea green", "MC", "Yarn A", "CC2 (rust)".
pub fn is_colour(text: &str) -> bool {
    const LONGEST: usize = 30;
    if text.len() > LONGEST || text.len() < 2 {
        return false;
    }
    let words = split(text);
    let mut sure = false;
    let mut before = None::<&str>;
    for word in words.iter().map(String::as_str) {
        let lettered = word.chars().count() == 1 || word.bytes().all(|byte| byte.is_ascii_digit());
        let after_yarn = before.is_some_and(|before| is_one_of(&FILE.yarns, before) || before == "cc");
        match word {
            "mc" | "cc" => sure = true,
            word if is_name(word) => sure = true,
            word if is_one_of(&FILE.yarns, word)
                || is_one_of(&FILE.shades, word)
                || word == "contrast"
                || word == "contrasting" =>
            {
                sure |= before.is_some_and(|before| before == "main" || before.starts_with("contrast"));
            }
            _ if lettered && after_yarn => sure = true,
            _ => return false,
        }
        before = Some(word);
    }
    sure
}

/// Whether a text beside a filled square may be what somebody calls a colour: none of its words is one that charts have for
/// something else.
pub fn may_be_colour(text: &str) -> bool {
    let words = split(text);
    !words.is_empty() && words.iter().all(|word| !is_one_of(&FILE.others, word))
}

/// Whether a text beside a filled square says what is worked there, or may, in words that are not all known: "purl in sage",
/// "purl with bead", "knit long".
pub fn may_be_worked(text: &str, stitches: &mut Stitches) -> bool {
    let text = text.to_lowercase();
    let linked = FILE.links.iter().filter(|link| !link.trim().is_empty()).any(|link| text.contains(*link));
    let words = split(&text);
    // A single letter may be the label of a yarn, and "lt" before other words is "light".
    let is_part = |word: &str| word.len() == 1 || words.len() > 1 && is_one_of(&FILE.shades, word);
    linked || words.iter().any(|word| !is_part(word) && meaning(word, stitches).is_some())
}

/// Whether the explanation of a term tells a stitch, or speaks of one in words that can't be read, and of no yarn.
pub fn tells_work(text: &str) -> bool {
    let mut stitches = Stitches::built_in();
    if explained(text, &mut stitches).is_some() || loops(text, &mut stitches).is_some() {
        return true;
    }
    let words = split(text);
    let is_yarn =
        |word: &str| is_name(word) || [&FILE.yarns, &FILE.wool].iter().any(|all| is_one_of(all, word));
    let is_work = |word: &str| {
        is_one_of(&FILE.others, word) || word.len() > 1 && meaning(word, &mut stitches).is_some()
    };
    !words.iter().any(|word| is_yarn(word)) && words.iter().map(String::as_str).any(is_work)
}

/// What is worked and the colour it is worked in, where words surely name one: "knit with MC", "purl dark blue"; before the
/// work, "MC: knit on RS, purl on WS"; with each side, "knit with MC on RS, purl with MC on WS". Two colours are none.
pub fn with_colour(text: &str) -> Option<(String, String)> {
    // Most words of keys are one, without a mark.
    if !text.contains([' ', '(', ':', '=', ',']) {
        return None;
    }
    // In "lt blue" no stitch is worked; in "navy (MC)" one name stands beside another.
    if is_colour(text) {
        parted(text)
    } else {
        within(text).or_else(|| behind(text)).or_else(|| parted(text))
    }
}

/// The colour in the last words, as many of them as name one.
fn behind(text: &str) -> Option<(String, String)> {
    let surely = |(work, colour): (&'_ str, &'_ str)| is_colour(colour) && !work.trim().is_empty();
    FILE.links.iter().find_map(|link| {
        let mut parts = text
            .match_indices(link)
            .filter_map(|(at, link)| Some((text.get(..at)?, text.get(at + link.len()..)?)));
        let (work, colour) = parts.find(|parts| surely(*parts))?;
        told(work, colour)
    })
}

/// The colour and the work with a mark between them, or one of them in brackets.
fn parted(text: &str) -> Option<(String, String)> {
    const MARKS: [&str; 7] = ["(", ":", "=", ",", " - ", "\u{2013}", "\u{2014}"];
    // "Grey (lt)" is a shade of grey, "LT (grey)" a left twist.
    let is_shade = |work: &str| is_one_of(&FILE.shades, &work.to_lowercase()) && work != work.to_uppercase();
    MARKS.iter().find_map(|mark| {
        let (head, tail) = text.split_once(mark)?;
        let tail = if *mark == "(" { tail.trim_end().strip_suffix(')')? } else { tail };
        match (unlinked(head), unlinked(tail)) {
            (colour, work) if is_colour(colour) && !is_shade(work) => told(work, colour),
            (work, colour) if is_colour(colour) && !is_shade(work) => told(work, colour),
            _ => None,
        }
    })
}

/// The marks between what is said of one side and of the other.
const MARKS: [char; 3] = [',', ';', '/'];

/// The colour that a word joins to the words for one side, or for each.
fn within(text: &str) -> Option<(String, String)> {
    let mut colour = None::<String>;
    let mut work = String::new();
    for part in text.split_inclusive(MARKS) {
        let Some((before, named, after)) = joined(part) else {
            work.extend([part.trim(), " "]);
            continue;
        };
        let mark = named.chars().next_back().filter(|last| MARKS.contains(last));
        let named = bare(&named);
        if colour.as_ref().is_some_and(|colour| !colour.eq_ignore_ascii_case(named)) {
            return None;
        }
        colour.get_or_insert_with(|| named.to_owned());
        let space = if after.is_empty() { "" } else { " " };
        work.extend([&before, space, &after]);
        work.extend(mark);
        work.push(' ');
    }
    told(&work, &colour?)
}

/// The words before a colour that another word joins to them, the colour, and the words behind it.
fn joined(text: &str) -> Option<(String, String, String)> {
    const MOST_WORDS: usize = 3;
    let words: Vec<&str> = text.split_whitespace().collect();
    let is_link = |word: &str| FILE.links.iter().any(|link| link.trim() == word);
    let links = words.iter().enumerate().filter(|(_, word)| is_link(word));
    let mut found = links.filter_map(|(at, _)| {
        let behind = words.get(at + 1..)?;
        let longest = (1..=MOST_WORDS.min(behind.len())).rev();
        let mut named = longest.filter_map(|length| behind.split_at_checked(length));
        let (colour, after) =
            named.find(|(colour, _)| is_colour(colour.join(" ").trim_end_matches(MARKS)))?;
        Some((words.get(..at)?.join(" "), colour.join(" "), after.join(" ")))
    });
    found.next()
}

/// The work and its colour, where there is work, and no other colour among its words.
fn told(work: &str, colour: &str) -> Option<(String, String)> {
    let (work, colour) = (work.trim_matches(joins), bare(colour));
    let plain = !work.is_empty() && work.split(MARKS).all(|part| joined(part).is_none());
    plain.then(|| (work.to_owned(), colour.to_owned()))
}

/// Whether a sign only parts a colour from the work beside it.
fn joins(c: char) -> bool {
    c.is_whitespace() || matches!(c, ',' | ';' | '/' | ':' | '=')
}

/// The name of a colour without the marks around it: "(MC)", "MC:".
fn bare(colour: &str) -> &str {
    let colour = colour.trim_matches(joins);
    colour.strip_prefix('(').and_then(|rest| rest.strip_suffix(')')).unwrap_or(colour)
}

/// Words without the one that joins a colour to a stitch: "with MC".
fn unlinked(text: &str) -> &str {
    let text = text.trim();
    let linked = |link: &&str| text.strip_prefix(link.trim_start()).filter(|_| link.len() > 1);
    FILE.links.iter().find_map(linked).unwrap_or(text).trim()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: common practice, no published source; MC and CC from the Craft Yarn Council's list.
    #[test]
    fn colours_are_told_from_other_words() {
        for text in [
            "navy",
            "Cream",
            "dark blue",
            "sea green",
            "MC",
            "CC2",
            "Yarn A",
            "colour 1",
            "main colour",
            "contrast colour",
            "navy (MC)",
            "MC - navy",
            "off white",
            "lt blue",
            "Lt. Grey",
            "Dk. sea-green",
            "grey, med.",
            "LT blue",
        ] {
            assert!(is_colour(text), "{text}");
        }
        for text in [
            "",
            "knit",
            "o",
            "A",
            "4",
            "yarn over",
            "yarn",
            "dark",
            "lt",
            "DK",
            "dk yarn",
            "sea",
            "main",
            "right",
            "pattern repeat",
            "k in navy",
            "navy hat",
        ] {
            assert!(!is_colour(text), "{text}");
        }
        for (text, work, colour) in [
            ("knit with MC", "knit", "MC"),
            ("purl in dark red", "purl", "dark red"),
            ("purl dark blue", "purl", "dark blue"),
            ("k2tog in main colour", "k2tog", "main colour"),
            ("purl tbl off white", "purl tbl", "off white"),
            ("K1 MC", "K1", "MC"),
            ("knit with MC on RS, purl with MC on WS", "knit on RS, purl on WS", "MC"),
            ("k in dark red on RS / p in dark red on WS", "k on RS / p on WS", "dark red"),
            ("RS: knit with MC; WS: purl with MC", "RS: knit; WS: purl", "MC"),
            ("knit with MC on RS, purl on WS", "knit on RS, purl on WS", "MC"),
            ("with MC, knit on RS, purl on WS", "knit on RS, purl on WS", "MC"),
            ("MC: purl on RS, knit on WS", "purl on RS, knit on WS", "MC"),
            ("navy (knit)", "knit", "navy"),
            ("knit (navy)", "knit", "navy"),
            ("CC1 - purl", "purl", "CC1"),
            ("knit lt blue", "knit", "lt blue"),
            ("LT (blue)", "LT", "blue"),
            ("blue: LT", "LT", "blue"),
        ] {
            assert_eq!(with_colour(text), Some((work.to_owned(), colour.to_owned())), "{text}");
        }
        for text in [
            "slip 1 with yarn in front",
            "knit with MC on RS, purl with CC on WS",
            "k on RS, p on WS",
            "lt blue",
            "LT blue",
            "blue (lt)",
            "blue - lt",
        ] {
            assert_eq!(with_colour(text), None, "{text}");
        }
        let mut stitches = Stitches::built_in();
        for (text, worked) in [
            ("purl in sage", true),
            ("purl long", true),
            ("Wrapped with sage", true),
            ("sage", false),
            ("Heather mist", false),
            ("A - sage", false),
            ("Lt. sage", false),
            ("LT", true),
            ("LT in sage", true),
        ] {
            assert_eq!(may_be_worked(text, &mut stitches), worked, "{text}");
        }
    }
}
