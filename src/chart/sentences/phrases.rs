//! The phrases of `phrases.toml`.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::tables::{self, table};
use crate::words::phrases::{Phrase, Said, Setting, Words};
use crate::words::rows::ways;

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, bound(deserialize = "'de: 'static"))]
struct File {
    before_rows: Vec<&'static str>,
    between: Vec<&'static str>,
    not_drawn: Vec<&'static str>,
    refers: Vec<&'static str>,
    labels: Vec<&'static str>,
    telling: Vec<&'static str>,
    /// By the instruction, what says the same.
    worked_as: BTreeMap<&'static str, Vec<&'static str>>,
    setting: Vec<Setting>,
    speaks: Vec<Speaks>,
    repeat: RepeatWords,
}

/// What a sentence speaks of that changes the rows of a chart.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Speaks {
    pub(super) of: &'static str,
    /// The setting that says it, where there is one.
    pub(super) setting: Option<&'static str>,
    says: Vec<Vec<Phrase>>,
    /// What to do, where that is not to draw the chart otherwise.
    pub(super) help: Option<&'static str>,
    /// Words of sentences about something else.
    #[serde(default)]
    unless: Vec<Phrase>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, bound(deserialize = "'de: 'static"))]
pub(super) struct RepeatWords {
    pub(super) words: Vec<&'static str>,
    stitches: Vec<&'static str>,
    rows: Vec<&'static str>,
    pub(super) little: Vec<&'static str>,
    /// What columns are called where they are named by their numbers.
    pub(super) columns: Vec<&'static str>,
    /// The same, of those words that count no stitches.
    pub(super) squares: Vec<&'static str>,
    /// What stands between the first and the last of them.
    pub(super) through: Vec<&'static str>,
    /// What numbers are called that are none.
    pub(super) times: Vec<&'static str>,
    /// What else may stand in a sentence that says no more than that.
    pub(super) joining: Vec<&'static str>,
}

static PHRASES: LazyLock<File> = LazyLock::new(|| tables::read(table!("chart/sentences/phrases")));

/// Whether a text has a word of those that may be followed: most texts are symbols, and the words of a key.
pub(super) fn may_tell(text: &str) -> bool {
    let side = |side: &str| text.get(..2).is_some_and(|start| start.eq_ignore_ascii_case(side));
    let sided = text.as_bytes().get(2) == Some(&b':') && (side("ws") || side("rs"));
    let is_one = |word: &str| PHRASES.telling.iter().any(|telling| telling.eq_ignore_ascii_case(word));
    sided || text.split(|c: char| !c.is_alphabetic()).any(is_one)
}

/// The settings that a sentence is, with their values; none at all where it only says what is so anyway.
pub(super) fn settings(sentence: &str) -> Option<Vec<(&'static str, &'static str)>> {
    let words = Words::of(sentence)?;
    let file: &'static File = &PHRASES;
    let mut all = ways::settings().iter().chain(&file.setting);
    let setting = all.find(|setting| setting.said(&words).is_some_and(|said| said != Said::Beside))?;
    Some(setting.sets.iter().map(|(name, value)| (*name, *value)).collect())
}

/// What a sentence speaks of that changes the rows of a chart.
pub(super) fn speaks(sentence: &str) -> Option<&'static Speaks> {
    let words = Words::of(sentence)?;
    PHRASES.speaks.iter().find(|speaks| {
        words.hold(&speaks.says) && !speaks.unless.iter().any(|phrase| words.find(phrase).is_some())
    })
}

/// Whether a sentence says which way a piece grows, so that it may tell where Row 1 stands.
pub(super) fn says_way(sentence: &str) -> bool {
    Words::of(sentence).is_some_and(|words| ways::says_way(&words))
}

/// Whether a text only says how often, "x3", "3 x".
pub(in crate::chart) fn is_times(text: &str) -> bool {
    times(text).is_some()
}

/// How often, if a text says that by a cross and nothing else.
pub(in crate::chart) fn times(text: &str) -> Option<u32> {
    let cross = |c: char| matches!(c, 'x' | 'X' | '\u{d7}');
    let rest = text.strip_prefix(cross).or_else(|| text.strip_suffix(cross)).map(str::trim)?;
    let digits = !rest.is_empty() && rest.len() < 4 && rest.bytes().all(|byte| byte.is_ascii_digit());
    rest.parse().ok().filter(|_| digits)
}

/// Whether a text only says what a column or a row of a chart is, "WS", "Edge".
pub(in crate::chart) fn is_label(text: &str) -> bool {
    let mut words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).peekable();
    words.peek().is_some()
        && words.all(|word| PHRASES.labels.iter().any(|label| label.eq_ignore_ascii_case(word)))
}

/// Whether words behind the name of a setting point elsewhere and state nothing: "see key".
pub(in crate::chart) fn refers(words: &str) -> bool {
    let first = words.split(|c: char| !c.is_alphabetic()).next().unwrap_or_default();
    PHRASES.refers.iter().any(|word| word.eq_ignore_ascii_case(first))
}

/// What follows where words say first that no chart draws the rows that they are about: "are not shown: purl".
pub(super) fn behind_not_drawn(words: &str) -> Option<&str> {
    let said = |phrase: &&str| {
        let (start, rest) = words.split_at_checked(phrase.len())?;
        let ends = rest.is_empty() || !rest.starts_with(char::is_alphanumeric);
        (ends && start.eq_ignore_ascii_case(phrase))
            .then(|| rest.trim_start_matches([' ', ',', ':', '.', '-']))
    };
    PHRASES.not_drawn.iter().find_map(said)
}

/// A sentence without one of the words that may stand before the rows it is about.
pub(super) fn without_lead(sentence: &str) -> Option<&str> {
    PHRASES.before_rows.iter().find_map(|word| {
        let (lead, rest) = sentence.split_at_checked(word.len())?;
        (lead.eq_ignore_ascii_case(word) && rest.starts_with(' ')).then(|| rest.trim_start())
    })
}

/// Work without the word that parts it from the rows that stand behind it.
pub(super) fn without_between(work: &str) -> &str {
    let work = work.trim_end();
    let cut = PHRASES.between.iter().find_map(|word| {
        let (rest, last) = work.split_at_checked(work.len().checked_sub(word.len())?)?;
        (last.eq_ignore_ascii_case(word) && rest.ends_with(' ')).then(|| rest.trim_end())
    });
    cut.unwrap_or(work)
}

/// What is to be worked where rows are said to be worked so, "are purled"; the words themselves otherwise.
pub(super) fn instruction(work: &str) -> &str {
    let said = work.trim_end_matches(['.', '!']).trim_end();
    let says = |phrases: &[&str]| phrases.iter().any(|phrase| phrase.eq_ignore_ascii_case(said));
    let found = PHRASES.worked_as.iter().find(|(_, phrases)| says(phrases));
    found.map_or(work, |(instruction, _)| instruction)
}

/// Whether words behind the name of some rows speak of how they are worked: "look purled from here".
pub(super) fn speaks_of_work(words: &str) -> bool {
    let instructions = || PHRASES.worked_as.keys();
    let is_one = |word: &str| {
        instructions().any(|one| word.get(..one.len()).is_some_and(|start| start.eq_ignore_ascii_case(one)))
    };
    words.split(|c: char| !c.is_alphabetic()).any(is_one)
}

pub(super) fn repeat_words() -> &'static RepeatWords {
    &PHRASES.repeat
}

/// Whether a text speaks of a repeat at all.
pub(in crate::chart) fn names_repeat(text: &str) -> bool {
    // "Rep" is the shortest word of it; most texts are symbols.
    let is_one =
        |word: &str| word.len() > 2 && repeat_words().words.iter().any(|one| one.eq_ignore_ascii_case(word));
    text.len() > 2 && text.split(|c: char| !c.is_alphabetic()).any(is_one)
}

/// Whether a text speaks of a repeat of stitches: by their name, or by nothing but the repeat, marks and numbers.
pub(super) fn speaks_of_repeat(text: &str) -> bool {
    let RepeatWords { words, stitches, rows, little, .. } = repeat_words();
    let is_one = |words: &[&str], word: &str| words.iter().any(|one| one.eq_ignore_ascii_case(word));
    let said = || text.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_empty());
    said().any(|word| is_one(words, word))
        && (said().any(|word| is_one(stitches, word)) && !said().any(|word| is_one(rows, word))
            || said().all(|word| is_one(words, word) || is_one(little, word)))
}

#[cfg(test)]
mod tests {
    use super::settings as setting;
    use super::*;
    use crate::settings::{self, Settings};

    #[test]
    fn each_setting_is_one_that_sheets_may_have_and_each_sentence_is_looked_at() {
        let told = |phrase: &Phrase| may_tell(&phrase.text());
        assert!(PHRASES.repeat.words.iter().all(|word| may_tell(word)));
        for setting in ways::settings().iter().chain(&PHRASES.setting) {
            for (name, value) in &setting.sets {
                let taken = settings::in_sheet(&mut Settings::default(), name, value);
                assert_eq!(taken, Some(Ok(())), "{name}");
            }
            assert!(setting.says.iter().any(|list| list.iter().all(told)), "{:?}", setting.sets);
        }
        for speaks in &PHRASES.speaks {
            assert!(speaks.says.iter().any(|list| list.iter().all(told)), "{}", speaks.of);
            assert!(speaks.setting.is_none_or(|name| settings::named(name).is_some()), "{}", speaks.of);
        }
    }

    /// Common practice, no published source.
    #[test]
    fn sentences_that_are_settings() {
        let rounds = &[("worked", "round")][..];
        let right_side_rounds = &[("charted", "right-side"), ("worked", "round")][..];
        let (wrong_first, right_first) = (&[("first-side", "WS")][..], &[("first-side", "RS")][..]);
        for (text, expected) in [
            ("Worked in the round.", rounds),
            ("The chart is worked in the round", rounds),
            ("Work in the round from the bottom up", rounds),
            ("Worked top down in the round", rounds),
            ("Hat worked in the round from the brim up", rounds),
            ("Mittens are knit in the round from cuff to tip", rounds),
            ("Construction: in the round", rounds),
            ("Sock, knit in the round on dpns", rounds),
            ("Joined to work in the round", rounds),
            ("For circular knitting", rounds),
            ("Every round is read from right to left", rounds),
            ("All rounds are RS rounds", rounds),
            ("Worked: flat, bottom up", &[("worked", "flat")]),
            ("Row 1 is a WS row.", wrong_first),
            ("Row 1 is a wrong-side row.", wrong_first),
            ("Row 1 (WS)", wrong_first),
            ("Odd-numbered rows are WS rows", wrong_first),
            ("RS rows are even-numbered", wrong_first),
            ("WS rows are even-numbered", right_first),
            ("First row: RS", right_first),
            ("(Left-handed)", &[("hand", "left")]),
            ("Left-handed chart", &[("hand", "left")]),
            ("Read the chart from top to bottom", &[("first-row", "top")]),
            ("Chart is worked from the top down", &[("first-row", "top")]),
            ("Row 1 is at the top", &[("first-row", "top")]),
            ("Chart shows RS rows only.", &[("charted", "right-side")]),
            ("Note: only right-side rows are charted", &[("charted", "right-side")]),
            ("Only odd rows are charted", &[("charted", "right-side")]),
            ("Chart shows odd rounds only.", right_side_rounds),
            ("Even-numbered rounds are not charted", right_side_rounds),
            ("Symbols are shown as worked", &[("symbols", "as-worked")]),
            ("WS rows are shown as they are worked", &[("symbols", "as-worked")]),
            ("All stitches are shown as seen from the RS", &[("symbols", "right-side")]),
            ("Each square is one stitch", &[]),
            ("Read RS rows from right to left and WS rows from left to right", &[]),
        ] {
            assert_eq!(setting(text).as_deref(), Some(expected), "{text}");
        }
    }

    /// One word that is not known, and a sentence may mean anything.
    #[test]
    fn sentences_that_are_not_followed() {
        for (text, expected) in [
            ("Worked in the round to the heel", Some("rounds")),
            ("If worked in the round, read all rows from right to left", Some("a way to read rows")),
            ("Sleeves are worked in the round", Some("rounds")),
            ("Read all rows from right to left", Some("a way to read rows")),
            ("Read RS rows from left to right", Some("a way to read rows")),
            ("Read RS rows from left to right and WS rows from right to left", Some("a way to read rows")),
            ("Mirrored for left-handers", Some("left-handed knitting")),
            ("Chart is drawn for left-handed knitters", Some("left-handed knitting")),
            ("Not all rows are shown", Some("rows that are not drawn")),
            ("Row 1 is RS, Row 2 is not WS", Some("the sides of rows")),
            ("Odd rows are not WS", Some("the sides of rows")),
            ("Mosaic knitting", Some("a technique")),
            ("Slip all sts of the other colour", Some("a technique")),
            ("Each square is 2 sts and 2 rounds", Some("what a square stands for")),
            ("Each chart row represents two rows", Some("what a square stands for")),
            ("Set-up row: purl.", Some("rows before the chart")),
            ("Begin with 4 rows of garter st", Some("rows that are not drawn")),
            ("Work Rows 1-4 twice.", Some("rows worked again")),
            ("rep 3x", Some("rows worked again")),
            ("Work the repeat 6 times", Some("rows worked again")),
            ("Worked top down", Some("top or bottom")),
            ("Work even for 2 rows", Some("rows that are not drawn")),
            ("Work even until it is long enough", None),
            ("Gauge: 24 sts and 32 rounds = 10 cm", None),
            ("50 g of double knitting wool", None),
            ("Wrong Side of the Tide", None),
            ("Round the corner", None),
            ("RS: right side", None),
            ("Rows 1-4 form the pattern", None),
            ("Wash it by hand", None),
        ] {
            assert_eq!(setting(text), None, "{text}");
            assert_eq!(speaks(text).map(|speaks| speaks.of), expected, "{text}");
        }
    }

    #[test]
    fn times_alone() {
        assert!(["x3", "3x", "x 12", "\u{d7}3"].into_iter().all(is_times));
        assert!(["x", "3", "2x2", "xx", "x3y", "3 x 4"].into_iter().all(|text| !is_times(text)));
    }

    /// Common practice, no published source.
    #[test]
    fn repeats_of_stitches_and_of_rows() {
        for text in
            ["8-st repeat", "|< rep >|", "Repeat: 2-5", "4-st repeat: columns 2-5", "repeat these sts"]
        {
            assert!(speaks_of_repeat(text), "{text}");
        }
        for text in ["Rep Rows 1-4", "Repeat for the second sleeve", "12-row repeat", "Reply to the archive"]
        {
            assert!(!speaks_of_repeat(text), "{text}");
        }
    }
}
