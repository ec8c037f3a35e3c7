//! The phrases of `phrases.toml`.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use foldhash::{HashMap, HashMapExt};
use serde::Deserialize;

use crate::tables::{self, table};

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct File {
    before: Vec<String>,
    before_rows: Vec<String>,
    between: Vec<String>,
    telling: Vec<String>,
    /// By the instruction, what says the same.
    worked_as: BTreeMap<String, Vec<String>>,
    setting: Vec<Setting>,
    repeat: RepeatWords,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Setting {
    name: String,
    value: String,
    words: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RepeatWords {
    pub(super) words: Vec<String>,
    stitches: Vec<String>,
    rows: Vec<String>,
    little: Vec<String>,
    /// What columns are called where they are named by their numbers.
    pub(super) columns: Vec<String>,
    /// What stands between the first and the last of them.
    pub(super) through: Vec<String>,
    /// What numbers are called that are none.
    pub(super) times: Vec<String>,
}

struct Phrases {
    file: File,
    /// Which of the settings each phrase is.
    settings: HashMap<String, usize>,
    longest: usize,
}

static PHRASES: LazyLock<Phrases> = LazyLock::new(|| {
    let file: File = tables::read(table!("chart/sentences/phrases"));
    let mut settings = HashMap::new();
    for (index, setting) in file.setting.iter().enumerate() {
        settings.extend(setting.words.iter().map(|words| (words.clone(), index)));
    }
    let longest = |phrases: &[String]| phrases.iter().map(String::len).max().unwrap_or(0);
    let words = file.setting.iter().map(|setting| longest(&setting.words)).max().unwrap_or(0);
    let longest = words + longest(&file.before);
    Phrases { file, settings, longest }
});

/// Whether a text has a word of those that may be followed: most texts are symbols, and the words of a key.
pub(super) fn may_tell(text: &str) -> bool {
    let side = |side: &str| text.get(..2).is_some_and(|start| start.eq_ignore_ascii_case(side));
    let sided = text.as_bytes().get(2) == Some(&b':') && (side("ws") || side("rs"));
    let is_one = |word: &str| PHRASES.file.telling.iter().any(|telling| telling.eq_ignore_ascii_case(word));
    sided || text.split(|c: char| !c.is_alphabetic()).any(is_one)
}

/// The setting that a sentence is, and its value.
pub(super) fn setting(sentence: &str) -> Option<(&'static str, &'static str)> {
    let Phrases { file, settings, longest } = &*PHRASES;
    // "Wrong side" is longer than "ws".
    if sentence.len() > longest + 40 {
        return None;
    }
    let said = plain(sentence);
    let index = settings.get(&said).or_else(|| {
        let behind = |before: &String| said.strip_prefix(before.as_str())?.strip_prefix([' ', ':']);
        let mut rests = file.before.iter().filter_map(behind);
        rests.find_map(|rest| settings.get(rest.trim_start()))
    })?;
    file.setting.get(*index).map(|setting| (setting.name.as_str(), setting.value.as_str()))
}

/// Lower case, hyphens as spaces, single spaces, no marks around it; the sides as "rs" and "ws".
fn plain(sentence: &str) -> String {
    let lower = sentence.to_lowercase().replace(['-', '_', '\u{2010}', '\u{2011}', '\u{2013}'], " ");
    let words: Vec<&str> = lower.split_whitespace().collect();
    let marks = |c: char| !c.is_alphanumeric();
    words.join(" ").trim_matches(marks).replace("wrong side", "ws").replace("right side", "rs")
}

/// A sentence without one of the words that may stand before the rows it is about.
pub(super) fn without_lead(sentence: &str) -> Option<&str> {
    PHRASES.file.before_rows.iter().find_map(|word| {
        let (lead, rest) = sentence.split_at_checked(word.len())?;
        (lead.eq_ignore_ascii_case(word) && rest.starts_with(' ')).then(|| rest.trim_start())
    })
}

/// Work without the word that parts it from the rows that stand behind it.
pub(super) fn without_between(work: &str) -> &str {
    let work = work.trim_end();
    let cut = PHRASES.file.between.iter().find_map(|word| {
        let (rest, last) = work.split_at_checked(work.len().checked_sub(word.len())?)?;
        (last.eq_ignore_ascii_case(word) && rest.ends_with(' ')).then(|| rest.trim_end())
    });
    cut.unwrap_or(work)
}

/// What is to be worked where rows are said to be worked so, "are purled"; the words themselves otherwise.
pub(super) fn instruction(work: &str) -> &str {
    let said = work.trim_end_matches(['.', '!']).trim_end();
    let says = |phrases: &[String]| phrases.iter().any(|phrase| phrase.eq_ignore_ascii_case(said));
    let found = PHRASES.file.worked_as.iter().find(|(_, phrases)| says(phrases));
    found.map_or(work, |(instruction, _)| instruction)
}

/// Whether words behind the name of some rows speak of how they are worked: "look purled from here".
pub(super) fn speaks_of_work(words: &str) -> bool {
    let instructions = || PHRASES.file.worked_as.keys();
    let is_one = |word: &str| {
        instructions().any(|one| word.get(..one.len()).is_some_and(|start| start.eq_ignore_ascii_case(one)))
    };
    words.split(|c: char| !c.is_alphabetic()).any(is_one)
}

pub(super) fn repeat_words() -> &'static RepeatWords {
    &PHRASES.file.repeat
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
    let is_one = |words: &[String], word: &str| words.iter().any(|one| one.eq_ignore_ascii_case(word));
    let said = || text.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_empty());
    said().any(|word| is_one(words, word))
        && (said().any(|word| is_one(stitches, word)) && !said().any(|word| is_one(rows, word))
            || said().all(|word| is_one(words, word) || is_one(little, word)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::{self, Settings};

    #[test]
    fn each_phrase_is_one_of_a_setting_that_sheets_may_have() {
        let phrases = &*PHRASES;
        assert!(phrases.file.repeat.words.iter().all(|word| may_tell(word)));
        for setting in &phrases.file.setting {
            let taken = settings::in_sheet(&mut Settings::default(), &setting.name, &setting.value);
            assert_eq!(taken, Some(Ok(())), "{}", setting.name);
            for words in &setting.words {
                assert_eq!(plain(words), *words);
                assert!(may_tell(words), "{words}");
                assert_eq!(super::setting(words), Some((&*setting.name, &*setting.value)), "{words}");
            }
        }
    }

    /// Common practice, no published source.
    #[test]
    fn sentences_that_are_settings() {
        for (text, expected) in [
            ("Worked in the round.", Some(("worked", "round"))),
            ("The chart is worked in the round", Some(("worked", "round"))),
            ("Row 1 is a WS row.", Some(("first-side", "WS"))),
            ("Row 1 is a wrong-side row.", Some(("first-side", "WS"))),
            ("(Left-handed)", Some(("hand", "left"))),
            ("Chart shows RS rows only.", Some(("charted", "right-side"))),
            ("Note: only right-side rows are charted", Some(("charted", "right-side"))),
            ("Worked in the round to the heel", None),
            ("Round the corner", None),
        ] {
            assert_eq!(setting(text), expected, "{text}");
        }
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
