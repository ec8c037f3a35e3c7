//! The way a piece is worked, by sentences of sheets and texts: "Worked in the round.", "For left-handed knitters." The
//! words are in `ways.toml`.

use std::sync::LazyLock;

use serde::Deserialize;
use serde_json::value::RawValue;

use crate::tables::{self, table};
use crate::words::phrases::{Phrase, Said, Setting, Words};

#[derive(Deserialize)]
#[serde(deny_unknown_fields, bound(deserialize = "'de: 'static"))]
struct File {
    little: Vec<Phrase>,
    about: Vec<Phrase>,
    ways: Vec<Phrase>,
    means: Vec<Phrase>,
    numbers: Vec<&'static str>,
    setting: Vec<Setting>,
    /// [`Clauses`], read where a sentence asks for them.
    clauses: &'static RawValue,
}

/// How the facts and the clauses of a sentence are known.
#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, bound(deserialize = "'de: 'static"))]
pub(crate) struct Clauses {
    pub(crate) parting: Vec<&'static str>,
    pub(crate) begin: Vec<Phrase>,
    pub(crate) doubts: Vec<Phrase>,
    pub(crate) join: Vec<&'static str>,
    pub(crate) joined: Vec<Phrase>,
    pub(crate) twist: Vec<&'static str>,
    pub(crate) measures: Vec<Phrase>,
    pub(crate) aside: Vec<&'static str>,
    pub(crate) markers: Vec<&'static str>,
    pub(crate) round_begins: Vec<&'static str>,
    pub(crate) cast_on: Vec<&'static str>,
    pub(crate) loosely: Vec<&'static str>,
    pub(crate) pick_up: Vec<&'static str>,
    pub(crate) multiple: Vec<&'static str>,
    pub(crate) plus: Vec<&'static str>,
    pub(crate) minus: Vec<&'static str>,
    pub(crate) edges: Vec<&'static str>,
    pub(crate) panels: Vec<Phrase>,
}

static FILE: LazyLock<File> = LazyLock::new(|| tables::read(table!("words/rows/ways")));

static CLAUSES: LazyLock<Clauses> = LazyLock::new(|| tables::read(FILE.clauses.get()));

/// The sentences that texts and sheets may say alike.
pub(crate) fn settings() -> &'static [Setting] {
    let file: &'static File = &FILE;
    &file.setting
}

/// How the facts and the clauses of a sentence are known.
pub(crate) fn clauses() -> &'static Clauses {
    let clauses: &'static Clauses = &CLAUSES;
    clauses
}

/// What may stand in any sentence that is a setting: little words, which way a piece grows, what it is worked on.
pub(crate) fn beside() -> impl Iterator<Item = &'static Phrase> {
    let file: &'static File = &FILE;
    [&file.little, &file.ways, &file.means].into_iter().flatten()
}

/// What a sentence may be about that is about all there is.
pub(crate) fn about() -> &'static [Phrase] {
    let file: &'static File = &FILE;
    &file.about
}

/// Whether a word, in lower case, names what a sentence may be about.
pub(crate) fn is_about(word: &str) -> bool {
    about().iter().any(|about| about.is(word))
}

/// Whether a sentence says which way a piece grows.
pub(crate) fn says_way(words: &Words) -> bool {
    FILE.ways.iter().any(|way| words.find(way).is_some())
}

/// Whether a word, in lower case, is a number.
pub(crate) fn is_number(word: &str) -> bool {
    FILE.numbers.contains(&word)
}

/// The setting that a sentence says, and how.
pub(crate) fn said(words: &Words) -> Option<(&'static Setting, Said)> {
    settings().iter().find_map(|setting| Some((setting, setting.said(words)?)))
}
