//! The phrases of `english.toml`.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use foldhash::{HashMap, HashMapExt};
use serde::Deserialize;
use serde_json::value::RawValue;

use super::{Means, split, words_of};
use crate::pattern::Worked;
use crate::stitch::Stitches;
use crate::tables::{self, table};

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, bound(deserialize = "'de: 'static"))]
struct File {
    silent: Vec<&'static str>,
    not_turned: Vec<&'static str>,
    glosses: Vec<&'static str>,
    beyond_rows: Vec<&'static str>,
    on_the_way: Vec<&'static str>,
    moves_yarn: Vec<&'static str>,
    omits: Vec<&'static str>,
    unplaced: Vec<&'static str>,
    stitches: Vec<&'static str>,
    rows: RowWords,
    heads: Heads,
    /// [`EdgeWords`], read where a sentence may be about edges.
    edges: &'static RawValue,
    /// [`TextWords`], read where a text asks for them.
    texts: &'static RawValue,
    doubtful: BTreeMap<&'static str, &'static str>,
    ask: BTreeMap<&'static str, Vec<&'static str>>,
    on_both_sides: BTreeMap<&'static str, &'static str>,
    besides: Besides,
    boil: BTreeMap<&'static str, &'static str>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, bound(deserialize = "'de: 'static"))]
struct RowWords {
    row: Vec<&'static str>,
    round: Vec<&'static str>,
}

/// What heads the sections of a text.
#[derive(Deserialize)]
#[serde(deny_unknown_fields, bound(deserialize = "'de: 'static"))]
pub(crate) struct Heads {
    pub(crate) notes: Vec<&'static str>,
    pub(crate) list: Vec<&'static str>,
    pub(crate) rows: Vec<&'static str>,
}

/// Words of sentences about the edges of every row.
#[derive(Deserialize)]
#[serde(deny_unknown_fields, bound(deserialize = "'de: 'static"))]
pub(crate) struct EdgeWords {
    pub(crate) slip: Vec<&'static str>,
    pub(crate) knit: Vec<&'static str>,
    pub(crate) purl: Vec<&'static str>,
    pub(crate) keep: Vec<&'static str>,
    pub(crate) which: Vec<&'static str>,
    pub(crate) ends: Vec<&'static str>,
}

/// What tells that a key says more of a symbol than its stitch.
#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, bound(deserialize = "'de: 'static"))]
struct Besides {
    work: Vec<&'static str>,
    r#where: Vec<&'static str>,
}

/// What sentences and the ends of rows say in texts; the table says where.
#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(crate) struct TextWords {
    pub(crate) table_sides: Vec<String>,
    pub(crate) table_work: Vec<String>,
    pub(crate) table_counts: Vec<String>,
    pub(crate) table_numbers: Vec<String>,
    pub(crate) before_count: Vec<String>,
    pub(crate) behind_count: Vec<String>,
    pub(crate) needles: Vec<String>,
    pub(crate) on_each: Vec<String>,
    pub(crate) shapes: Vec<String>,
    pub(crate) shaping_places: Vec<String>,
    pub(crate) evenly: Vec<String>,
    pub(crate) remarks: Vec<String>,
    pub(crate) remark_doubts: Vec<String>,
    pub(crate) closes: Vec<String>,
    pub(crate) behind_bound_off: Vec<String>,
    pub(crate) next: Vec<String>,
    pub(crate) changes: Vec<String>,
    pub(crate) runs_on: Vec<String>,
    pub(crate) plain_verbs: Vec<String>,
    pub(crate) begins_rows: Vec<String>,
    pub(crate) which_rows: Vec<String>,
    pub(crate) before_rows: Vec<String>,
    pub(crate) goes_on: Vec<String>,
    pub(crate) of_a_row: Vec<String>,
    pub(crate) like_others: Vec<String>,
}

/// The words of a phrase.
type Phrase = Vec<&'static str>;

struct English {
    /// Phrases by their first word, each with what it boils down to, longest first.
    boil: HashMap<&'static str, Vec<(Phrase, Phrase)>>,
    silent: Vec<Phrase>,
    not_turned: Vec<Phrase>,
    glosses: Vec<Phrase>,
    beyond_rows: Vec<Phrase>,
    on_the_way: Vec<Phrase>,
    moves_yarn: Vec<Phrase>,
    omits: Vec<Phrase>,
    ask: Vec<(Phrase, Vec<&'static str>)>,
}

static FILE: LazyLock<File> = LazyLock::new(|| tables::read(table!("words/english")));

static TEXTS: LazyLock<TextWords> = LazyLock::new(|| tables::read(FILE.texts.get()));

static EDGES: LazyLock<EdgeWords> = LazyLock::new(|| tables::read(FILE.edges.get()));

static ENGLISH: LazyLock<English> = LazyLock::new(|| {
    // The table is in lower case.
    let phrase = |words: &'static str| -> Phrase { words_of(words).collect() };
    let mut boil: HashMap<&str, Vec<(Phrase, Phrase)>> = HashMap::with_capacity(FILE.boil.len());
    for (from, to) in &FILE.boil {
        let from = phrase(from);
        if let Some(first) = from.first() {
            boil.entry(first).or_default().push((from, phrase(to)));
        }
    }
    for phrases in boil.values_mut() {
        phrases.sort_by_key(|(from, _)| std::cmp::Reverse(from.len()));
    }
    let phrases = |list: &[&'static str]| list.iter().map(|words| phrase(words)).collect();
    English {
        boil,
        silent: phrases(&FILE.silent),
        not_turned: phrases(&FILE.not_turned),
        glosses: phrases(&FILE.glosses),
        beyond_rows: phrases(&FILE.beyond_rows),
        on_the_way: phrases(&FILE.on_the_way),
        moves_yarn: phrases(&FILE.moves_yarn),
        omits: phrases(&FILE.omits),
        ask: FILE.ask.iter().map(|(words, means)| (words.split(' ').collect(), means.clone())).collect(),
    }
});

/// Words that belong to no vocabulary here and have but one usual meaning.
pub(super) static DOUBTFUL: LazyLock<Means> = LazyLock::new(|| {
    let mut means = Means::default();
    let mut stitches = Stitches::built_in();
    for (words, name) in &FILE.doubtful {
        if let Some(stitch) = stitches.find(name) {
            means.learn(words, stitch);
        }
    }
    means
});

/// The longest phrase that the words begin with and what it boils down to: how many words it takes, and those that
/// stand for it.
pub(super) fn boiled(words: &[impl AsRef<str>]) -> Option<(usize, &'static [&'static str])> {
    let phrases = ENGLISH.boil.get(words.first()?.as_ref())?;
    phrases.iter().find(|(from, _)| begins_with(words, from)).map(|(from, to)| (from.len(), to.as_slice()))
}

fn begins_with(words: &[impl AsRef<str>], phrase: &Phrase) -> bool {
    phrase.len() <= words.len() && phrase.iter().zip(words).all(|(known, word)| *known == word.as_ref())
}

/// Whether the words, all of them, tell of nothing to be worked: "break yarn".
pub(super) fn is_silent(words: &[String]) -> bool {
    is_one(&ENGLISH.silent, words) || says_no_turn(words)
}

/// Whether the words, all of them, say that the work is not turned: "do not turn".
pub(super) fn says_no_turn(words: &[String]) -> bool {
    is_one(&ENGLISH.not_turned, words)
}

fn is_one(phrases: &[Phrase], words: &[String]) -> bool {
    phrases.iter().any(|phrase| phrase.len() == words.len() && begins_with(words, phrase))
}

/// Whether the words, all of them, say what a stitch is for: "edge st".
pub(super) fn is_gloss(words: &[String]) -> bool {
    ENGLISH.glosses.iter().any(|phrase| phrase.len() == words.len() && begins_with(words, phrase))
}

/// Whether the words begin with something that rows of stitches can't hold: "turn", "pick up".
pub(super) fn is_beyond_rows(words: &[String]) -> bool {
    ENGLISH.beyond_rows.iter().any(|phrase| begins_with(words, phrase))
}

/// How many words say of markers that they are those a row meets: "as you come to them".
pub(super) fn on_the_way(words: &[String]) -> Option<usize> {
    ENGLISH.on_the_way.iter().filter(|phrase| begins_with(words, phrase)).map(Vec::len).max()
}

/// How many words say that the yarn is brought forward, which makes a stitch in UK terms only.
pub(super) fn moves_yarn(words: &[String]) -> Option<usize> {
    ENGLISH.moves_yarn.iter().filter(|phrase| begins_with(words, phrase)).map(Vec::len).max()
}

/// How many words say that a part of a repeat is left out: "omitting".
pub(super) fn omits(words: &[String]) -> Option<usize> {
    ENGLISH.omits.iter().filter(|phrase| begins_with(words, phrase)).map(Vec::len).max()
}

/// Whether a word leaves open which stitches are worked so: "evenly".
pub(super) fn is_unplaced(word: &str) -> bool {
    FILE.unplaced.contains(&word)
}

/// The stitch that a key calls by a name for what is worked alike on both sides: "garter stitch".
pub(super) fn on_both_sides(words: &[String]) -> Option<&'static str> {
    let english: &'static File = &FILE;
    let found = english.on_both_sides.iter().find(|(known, _)| super::boil(known) == words);
    found.map(|(_, stitch)| *stitch)
}

/// Whether a word of a key tells that something is worked.
pub(super) fn is_work(word: &str) -> bool {
    FILE.besides.work.contains(&word)
}

/// Whether a word of a key tells in which rows or where in a row.
pub(super) fn is_where(word: &str) -> bool {
    FILE.besides.r#where.contains(&word)
}

/// How the rows are worked that a word names, in any case: "row" or "rnds".
pub(super) fn rows_named(word: &str) -> Option<Worked> {
    let is_one = |words: &[&str]| words.iter().any(|known| known.eq_ignore_ascii_case(word));
    let RowWords { row, round } = &FILE.rows;
    is_one(row).then_some(Worked::Flat).or_else(|| is_one(round).then_some(Worked::Round))
}

/// What stitches are called where they are counted, "sts".
pub(super) fn stitches() -> &'static [&'static str] {
    let english: &'static File = &FILE;
    &english.stitches
}

/// What heads the sections of a text.
pub(crate) fn heads() -> &'static Heads {
    let english: &'static File = &FILE;
    &english.heads
}

/// Words of sentences about the edges of every row.
pub(crate) fn edges() -> &'static EdgeWords {
    let edges: &'static EdgeWords = &EDGES;
    edges
}

/// What sentences and the ends of rows say in texts.
pub(crate) fn texts() -> &'static TextWords {
    let texts: &'static TextWords = &TEXTS;
    texts
}

/// What words that name no one stitch may mean: "dec 1" is k2tog, ssk or p2tog. Empty where nothing is known.
pub fn may_mean(text: &str) -> &'static [&'static str] {
    let words = split(text);
    let is = |(open, word): (&&str, &String)| {
        *open == word || (*open == "#" && word.chars().all(|c| c.is_ascii_digit()))
    };
    let english: &'static English = &ENGLISH;
    english
        .ask
        .iter()
        .filter(|(phrase, _)| phrase.len() <= words.len() && phrase.iter().zip(&words).all(is))
        .max_by_key(|(phrase, _)| phrase.len())
        .map_or(&[], |(_, means)| means)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_list_names_stitches_and_words() {
        let mut stitches = Stitches::built_in();
        for name in FILE.doubtful.values().chain(FILE.on_both_sides.values()) {
            assert!(stitches.find(name).is_some(), "{name}");
        }
        for name in FILE.ask.values().flatten() {
            assert!(crate::words::row(name, &mut stitches).is_ok(), "{name}");
        }
        for phrase in FILE
            .silent
            .iter()
            .chain(&FILE.not_turned)
            .chain(&FILE.glosses)
            .chain(&FILE.beyond_rows)
            .chain(&FILE.on_the_way)
            .chain(&FILE.moves_yarn)
            .chain(&FILE.omits)
            .chain(&FILE.unplaced)
        {
            assert!(!split(phrase).is_empty());
        }
    }

    /// Common practice: what an editor would ask about.
    #[test]
    fn what_must_be_asked_has_answers() {
        assert_eq!(may_mean("dec 1"), ["k2tog", "ssk", "p2tog"]);
        assert_eq!(may_mean("C4"), ["2/2 RC", "2/2 LC"]);
        assert!(may_mean("xyz").is_empty());
    }
}
