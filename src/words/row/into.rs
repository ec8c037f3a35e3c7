//! Groups that are worked into one place: "(k1, yo, k1) in next st", "(p1, k1) into double yo".

use super::super::{boil_words, counted};
use super::phrase::plain;
use super::{Kind, Parser, Token};
use crate::stitch::Stitches;
use crate::written::{Extent, Item};

impl Parser<'_, '_> {
    /// "(K1, yo, k1) in next st": the group and the words after it are one stitch.
    pub(super) fn in_one_stitch(&mut self, close: char) -> Option<Item> {
        let rest = self.tokens.get(self.at..)?;
        let closing = self.at + rest.iter().position(|token| token.kind == Kind::Close(close))?;
        let after: Vec<String> =
            self.words_from(closing + 1).iter().filter(|word| *word != "all").cloned().collect();
        if !matches!(after.first().map(String::as_str), Some("in" | "into")) {
            return None;
        }
        let passed = self.words_from(closing + 1).len() - after.len();
        let inner: Vec<String> =
            self.tokens.get(self.at..closing)?.iter().filter_map(Token::word).map(str::to_owned).collect();
        for length in (2..=after.len()).rev() {
            let (said, colour) = self.without_colour(&after[..length]);
            let boiled = boil_words(said);
            let place: Vec<&str> = boiled.iter().map(String::as_str).collect();
            let (into, times) = match place[..] {
                ["in" | "into", "1" | "next" | "same" | "first" | "last", "st"] | ["in", "next"] => {
                    ("in 1 st", 1)
                }
                ["in" | "into", "each" | "next", n, "st"]
                | ["in" | "into", "each", "of", "next" | "last", n, "st"] => ("in 1 st", n.parse().ok()?),
                _ => ("", 1),
            };
            let mut words = inner.clone();
            if into.is_empty() {
                words.extend(said.iter().cloned());
            } else {
                words.extend(into.split(' ').map(str::to_owned));
            }
            if let Some((stitch, 1)) = self.counted(&plain(boil_words(&words)), self.at, 0) {
                self.at = closing + 1 + passed + length;
                self.unnumbered = false;
                return self.painted(Item::Run { stitch, extent: Extent::Times(times) }, colour);
            }
        }
        None
    }
}

/// "(P1, k1) into double yo": the two loops of a double yarn over, one stitch each; how many words say so.
pub(super) fn into_double_yarn_over(words: &[String]) -> Option<usize> {
    if !matches!(words.first().map(String::as_str), Some("in" | "into")) {
        return None;
    }
    // "Into both loops of the next double yarn over".
    const MOST: usize = 12;
    let yo2 = Stitches::YO2;
    (2..=words.len().min(MOST)).rev().find(|&length| {
        let boiled: Vec<String> =
            boil_words(&words[1..length]).into_iter().filter(|word| word != "next" && word != "of").collect();
        let mut stitches = Stitches::built_in();
        counted(&boiled, &mut stitches).is_some_and(|(id, _)| stitches.plain(id) == yo2)
            || matches!(
                boiled.iter().map(String::as_str).collect::<Vec<_>>()[..],
                ["double", "yos"] | ["2", "yos"]
            )
    })
}
