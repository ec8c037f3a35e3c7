//! Words that a vocabulary, or a text's own list of abbreviations, gives a meaning of their own.

use super::{boil, split, squeeze};
use crate::stitch::{StitchId, Stitches};
use crate::terms::Vocabulary;

/// Words and the stitches they mean. What is learned first wins.
#[derive(Clone, Debug, Default)]
pub struct Means {
    words: Vec<(Vec<String>, StitchId)>,
    /// Terms that a list explains without telling how many loops they use and make; and whether they read like several
    /// stitches written together, "sl1yo".
    uncounted: Vec<(Vec<String>, bool)>,
    /// Signs that stand in any of these words, which are known without them.
    signs: Vec<char>,
}

impl Means {
    /// Adds the words of a vocabulary.
    pub fn add(&mut self, vocabulary: &Vocabulary, stitches: &mut Stitches) {
        for (words, name) in &vocabulary.means {
            if let Some(stitch) = stitches.find(name) {
                self.learn(words, stitch);
            }
        }
    }

    /// Gives some words a meaning, unless they have one here.
    pub fn learn(&mut self, words: &str, stitch: StitchId) {
        let boiled = boil(words);
        self.keep_signs(words);
        if !boiled.is_empty() && !self.words.iter().any(|(known, _)| *known == boiled) {
            self.words.push((boiled, stitch));
        }
    }

    /// Remembers a term that is explained, but not so that its loops can be counted.
    pub fn leave(&mut self, term: &str, several: bool) {
        self.uncounted.push((split(term), several));
        self.keep_signs(term);
    }

    fn keep_signs(&mut self, words: &str) {
        for sign in words.chars().filter(|c| !c.is_alphanumeric()) {
            if !self.signs.contains(&sign) {
                self.signs.push(sign);
            }
        }
    }

    /// Whether a sign stands in any of the words.
    pub(super) fn names_hold(&self, sign: char) -> bool {
        self.signs.contains(&sign)
    }

    /// How many of the first words are a term whose loops can't be counted.
    pub(super) fn uncounted(&self, words: &[String], several: bool) -> Option<usize> {
        let terms = self.uncounted.iter().filter(|(_, both)| *both == several);
        terms.map(|(term, _)| term).filter(|term| words.starts_with(term)).map(Vec::len).max()
    }

    /// The stitch that boiled words mean, and how many of it: "plain 3", "3 plain".
    pub(super) fn find(&self, words: &[String]) -> Option<(StitchId, u32)> {
        let squeezed = squeeze(words);
        if let Some((_, stitch)) = self.words.iter().find(|(known, _)| squeeze(known) == squeezed) {
            return Some((*stitch, 1));
        }
        let (number, rest) = match words {
            [number, rest @ ..] if number.parse::<u32>().is_ok() => (number, rest),
            [rest @ .., number] if number.parse::<u32>().is_ok() => (number, rest),
            _ => return None,
        };
        let number = number.parse().ok().filter(|&number: &u32| number > 0)?;
        self.words.iter().find(|(known, _)| known == rest).map(|(_, stitch)| (*stitch, number))
    }
}
