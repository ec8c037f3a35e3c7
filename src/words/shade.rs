//! Colours as keys name them.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use super::{meaning, split};
use crate::stitch::Stitches;
use crate::tables::{self, table};

/// The words of `shade.toml`.
#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct File {
    names: Vec<String>,
    shades: Vec<String>,
    yarns: Vec<String>,
    links: Vec<String>,
    others: Vec<String>,
    row_links: Vec<String>,
    /// By what a colour is called, its spellings.
    trade: BTreeMap<String, Vec<String>>,
}

static FILE: LazyLock<File> = LazyLock::new(|| tables::read(table!("words/shade")));

fn is_one_of(words: &[String], word: &str) -> bool {
    words.iter().any(|known| known == word)
}

/// Whether a word, in lower case, is the name of a colour.
pub(super) fn is_name(word: &str) -> bool {
    is_one_of(&FILE.names, word)
}

/// Whether a word, in lower case, joins a colour to what is worked in it in a row.
pub(super) fn is_row_link(word: &str) -> bool {
    is_one_of(&FILE.row_links, word)
}

/// The spellings of colours that the trade knows, each with what the colour is called.
pub(super) fn trade() -> impl Iterator<Item = (&'static str, &'static str)> {
    let spelled = |(name, spellings): (&'static String, &'static Vec<String>)| {
        spellings.iter().map(move |spelling| (spelling.as_str(), name.as_str()))
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
    let linked =
        FILE.links.iter().filter(|link| !link.trim().is_empty()).any(|link| text.contains(link.as_str()));
    // A single letter may be the label of a yarn.
    linked || split(&text).iter().any(|word| word.len() > 1 && meaning(word, stitches).is_some())
}

/// "Knit with MC" as what is worked and the colour it is worked in, where the last words surely name one: as many of them as
/// do, "purl dark blue".
pub fn with_colour(text: &str) -> Option<(&str, &str)> {
    let surely = |(work, colour): (&'_ str, &'_ str)| is_colour(colour) && !work.trim().is_empty();
    FILE.links.iter().find_map(|link| {
        let mut parts = text
            .match_indices(link.as_str())
            .filter_map(|(at, link)| Some((text.get(..at)?, text.get(at + link.len()..)?)));
        let (work, colour) = parts.find(|parts| surely(*parts))?;
        Some((work.trim(), colour.trim()))
    })
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
            "sea",
            "main",
            "right",
            "pattern repeat",
            "k in navy",
            "navy hat",
        ] {
            assert!(!is_colour(text), "{text}");
        }
        assert_eq!(with_colour("knit with MC"), Some(("knit", "MC")));
        assert_eq!(with_colour("purl in dark red"), Some(("purl", "dark red")));
        assert_eq!(with_colour("purl dark blue"), Some(("purl", "dark blue")));
        assert_eq!(with_colour("k2tog in main colour"), Some(("k2tog", "main colour")));
        assert_eq!(with_colour("purl tbl off white"), Some(("purl tbl", "off white")));
        assert_eq!(with_colour("K1 MC"), Some(("K1", "MC")));
        assert_eq!(with_colour("slip 1 with yarn in front"), None);
        let mut stitches = Stitches::built_in();
        for (text, worked) in [
            ("purl in sage", true),
            ("purl long", true),
            ("Wrapped with sage", true),
            ("sage", false),
            ("Heather mist", false),
            ("A - sage", false),
        ] {
            assert_eq!(may_be_worked(text, &mut stitches), worked, "{text}");
        }
    }
}
