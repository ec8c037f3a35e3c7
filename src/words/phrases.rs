//! Phrases that sentences are known by, and sentences that are settings.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::rows::ways;

/// Words side by side; "#" is any number.
#[derive(Deserialize)]
#[serde(from = "&'static str", bound(deserialize = "'de: 'static"))]
pub(crate) struct Phrase(Vec<&'static str>);

impl From<&'static str> for Phrase {
    fn from(text: &'static str) -> Self {
        Self(text.split(' ').collect())
    }
}

impl Phrase {
    /// Whether it is this word alone.
    pub(crate) fn is(&self, word: &str) -> bool {
        self.0 == [word]
    }

    /// Its words, as a sentence has them.
    pub(crate) fn text(&self) -> String {
        self.0.join(" ")
    }
}

/// A sentence that is settings, known by its words.
#[derive(Deserialize)]
#[serde(deny_unknown_fields, bound(deserialize = "'de: 'static"))]
pub(crate) struct Setting {
    /// The settings, with their values.
    pub(crate) sets: BTreeMap<&'static str, &'static str>,
    /// Of each of these one must stand in it.
    pub(crate) says: Vec<Vec<Phrase>>,
    /// What else may stand in it.
    #[serde(default)]
    may: Vec<Phrase>,
}

/// How a sentence says a setting.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Said {
    /// It has words that are not known beside those of the setting.
    Beside,
    /// It says what the piece is, too.
    About,
    /// It says nothing else.
    Alone,
}

impl Setting {
    /// How a sentence says it, if it has its words at all.
    pub(crate) fn said(&self, words: &Words) -> Option<Said> {
        let mut open = vec![true; words.0.len()];
        if !words.hold_each(&self.says, &mut open) {
            return None;
        }
        self.may.iter().for_each(|phrase| words.strike(phrase, &mut open));
        ways::beside().for_each(|phrase| words.strike(phrase, &mut open));
        if !open.contains(&true) {
            return Some(Said::Alone);
        }
        ways::about().iter().for_each(|phrase| words.strike(phrase, &mut open));
        Some(if open.contains(&true) { Said::Beside } else { Said::About })
    }
}

/// The words of a sentence as they are compared.
pub(crate) struct Words(Vec<String>);

impl Words {
    /// Lower case, the sides as "rs" and "ws"; digits and letters are apart. Longer texts are no sentences of settings.
    pub(crate) fn of(sentence: &str) -> Option<Self> {
        const MOST: usize = 160;
        if sentence.len() > MOST {
            return None;
        }
        let lower = sentence.to_lowercase();
        let mut words: Vec<String> = Vec::new();
        let mut last = None;
        for c in lower.chars() {
            let kind = if c.is_ascii_digit() { Some(true) } else { c.is_alphanumeric().then_some(false) };
            match words.last_mut() {
                _ if kind.is_none() => {}
                Some(word) if kind == last => word.push(c),
                _ => words.push(c.to_string()),
            }
            // "Isn't" is one word.
            if c != '\'' && c != '\u{2019}' {
                last = kind;
            }
        }
        let mut sided: Vec<String> = Vec::with_capacity(words.len());
        for word in words {
            match sided.last_mut() {
                Some(before) if word == "side" && before == "right" => "rs".clone_into(before),
                Some(before) if word == "side" && before == "wrong" => "ws".clone_into(before),
                // Behind what a sentence may be about it is no article but a name: "Chart A", as "Chart B".
                Some(before) if word == "a" && ways::is_about(before) => before.push_str(" a"),
                _ => sided.push(word),
            }
        }
        Some(Self(sided))
    }

    fn matches(&self, at: usize, phrase: &Phrase) -> bool {
        let is_number =
            |word: &String| word.bytes().all(|byte| byte.is_ascii_digit()) || ways::is_number(word);
        let same = |(word, wanted): (&String, &&str)| word == wanted || *wanted == "#" && is_number(word);
        self.0.get(at..at + phrase.0.len()).is_some_and(|words| words.iter().zip(&phrase.0).all(same))
    }

    /// These words without those of a name, where they hold it in one piece.
    pub(crate) fn without(&self, name: &Self) -> Option<Self> {
        let length = name.0.len();
        let at = self.0.windows(length.max(1)).position(|words| words == name.0)?;
        let (before, behind) = (self.0.get(..at)?, self.0.get(at + length..)?);
        Some(Self([before, behind].concat()))
    }

    /// Where a phrase stands first.
    pub(crate) fn find(&self, phrase: &Phrase) -> Option<usize> {
        (0..self.0.len()).find(|at| self.matches(*at, phrase))
    }

    /// Whether the sentence begins with a phrase.
    pub(crate) fn begins(&self, phrase: &Phrase) -> bool {
        self.matches(0, phrase)
    }

    /// Whether it consists of nothing but these phrases.
    pub(crate) fn consists<'p>(&self, phrases: impl Iterator<Item = &'p Phrase>) -> bool {
        let mut open = vec![true; self.0.len()];
        phrases.for_each(|phrase| self.strike(phrase, &mut open));
        !open.contains(&true)
    }

    /// Strikes out the words of a phrase wherever it stands.
    fn strike(&self, phrase: &Phrase, open: &mut [bool]) {
        for at in (0..self.0.len()).filter(|at| self.matches(*at, phrase)) {
            open.iter_mut().skip(at).take(phrase.0.len()).for_each(|open| *open = false);
        }
    }

    /// Whether one phrase of each list stands there; the longest of each is struck out.
    fn hold_each(&self, lists: &[Vec<Phrase>], open: &mut [bool]) -> bool {
        lists.iter().all(|list| {
            let found = list.iter().filter_map(|phrase| Some((phrase.0.len(), self.find(phrase)?)));
            let longest = found.max_by_key(|(length, _)| *length);
            if let Some((length, at)) = longest {
                open.iter_mut().skip(at).take(length).for_each(|open| *open = false);
            }
            longest.is_some()
        })
    }

    /// Whether one phrase of each list stands there.
    pub(crate) fn hold(&self, lists: &[Vec<Phrase>]) -> bool {
        self.hold_each(lists, &mut vec![true; self.0.len()])
    }
}
