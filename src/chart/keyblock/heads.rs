//! What heads a key and its columns, and what keys call a blank cell: the words of `heads.toml`.

use std::sync::LazyLock;

use serde::Deserialize;

use super::bare;
use super::columns::Role;
use super::sides;
use crate::tables::{self, table};

#[derive(Deserialize)]
#[serde(deny_unknown_fields, bound(deserialize = "'de: 'static"))]
struct Heads {
    key: Vec<&'static str>,
    colours: Vec<&'static str>,
    sheets: Vec<&'static str>,
    blank: Vec<&'static str>,
    shaded: Vec<&'static str>,
    squares: Vec<&'static str>,
    points: Vec<&'static str>,
    columns: ColumnHeads,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, bound(deserialize = "'de: 'static"))]
struct ColumnHeads {
    symbols: Vec<&'static str>,
    words: Vec<&'static str>,
    names: Vec<&'static str>,
    notes: Vec<&'static str>,
}

static HEADS: LazyLock<Heads> = LazyLock::new(|| tables::read(table!("chart/keyblock/heads")));

/// Whether a text is one of some words, whatever its case.
fn is_one_of(words: &[&str], text: &str) -> bool {
    let bare = bare(text);
    words.iter().any(|word| word.eq_ignore_ascii_case(bare))
}

/// Whether a text heads a key, and whether that is a key to colours.
pub(super) fn heads(text: &str) -> Option<bool> {
    // Most texts are symbols; "Key" is the shortest heading.
    if text.len() < 3 {
        return None;
    }
    let of_colours = is_one_of(&HEADS.colours, text);
    (of_colours || is_one_of(&HEADS.key, text)).then_some(of_colours)
}

/// Whether a text says where a key is to be found and nothing else: "Key: see below" by itself, "see below" or "(see sheet
/// Key)" beside its heading.
pub(super) fn points(text: &str) -> Option<Points> {
    let refers = |text: &str| {
        let first = text.split(|c: char| !c.is_alphabetic()).find(|word| !word.is_empty());
        first.is_some_and(|word| HEADS.points.iter().any(|begins| begins.eq_ignore_ascii_case(word)))
    };
    if refers(text) {
        return Some(Points::BesideHeading);
    }
    let (head, rest) = text.split_once([':', '(', '-', ','])?;
    (heads(head).is_some() && refers(rest)).then_some(Points::Alone)
}

/// Where a text stands that says where a key is to be found.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Points {
    Alone,
    BesideHeading,
}

/// Whether a text heads a key or a column of one.
pub(in crate::chart) fn is_heading(text: &str) -> bool {
    heads(text).is_some() || heads_column(text)
}

/// Whether a text by itself heads a column of a key.
pub(super) fn heads_column(text: &str) -> bool {
    let ColumnHeads { symbols, words, names, .. } = &HEADS.columns;
    [symbols, words, names].into_iter().any(|heads| is_one_of(heads, text)) || sides::side(text).is_some()
}

/// What the column holds that a text heads.
pub(super) fn role(text: &str) -> Option<Role> {
    let ColumnHeads { symbols, words, names, notes } = &HEADS.columns;
    if is_one_of(symbols, text) || heads(text).is_some() {
        return Some(Role::Symbols);
    }
    if let Some(side) = sides::side(text) {
        return Some(Role::Side(side));
    }
    let roles = [(words, Role::Words), (names, Role::Names), (notes, Role::Notes)];
    roles.into_iter().find(|(heads, _)| is_one_of(heads, text)).map(|(_, role)| role)
}

/// Whether a text stands for the blank cell: "blank", "(empty square)".
pub(super) fn is_blank(text: &str) -> bool {
    is_one_of(&HEADS.blank, bare(text).trim_matches(['(', ')', '[', ']']))
}

/// Whether a text stands for the filled cells of a chart: "grey", "(shaded squares)".
pub(super) fn is_shaded(text: &str) -> bool {
    // "Gray" is the shortest.
    if text.len() < 4 {
        return false;
    }
    let text = bare(text).trim_matches(['(', ')', '[', ']']);
    let mut words = text.split_whitespace();
    let is = |known: &[&str], word: &str| known.iter().any(|known| known.eq_ignore_ascii_case(word));
    words.next().is_some_and(|word| is(&HEADS.shaded, word))
        && words.next().is_none_or(|word| is(&HEADS.squares, word))
        && words.next().is_none()
}

/// Whether a name of a sheet speaks of a key, where its lines are entries of one: "Stitches", "Key - Lace".
pub(super) fn may_name_a_key(name: &str) -> bool {
    let words = name.split(|c: char| !c.is_alphabetic());
    let mut words = words.filter(|word| !word.is_empty());
    words.any(|word| HEADS.sheets.iter().any(|known| known.eq_ignore_ascii_case(word)))
}
