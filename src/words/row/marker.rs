//! Markers in a row, and work that goes as far as one.

use super::super::{boil_words, counted};
use super::phrase::plain;
use super::until::{Until, until};
use super::{Parser, Piece};
use crate::written::{Extent, Item};

impl Parser<'_, '_> {
    /// A marker, or work up to one, and how many words tell of it.
    pub(super) fn marked(&self) -> Option<(Piece, usize)> {
        let words = self.words();
        let one = |length: usize| {
            let boiled = boil_words(words.get(..length)?);
            match boiled.iter().map(String::as_str).collect::<Vec<_>>()[..] {
                ["pm"] => Some(Piece::Place),
                ["sm"] => Some(Piece::Slip),
                ["rm"] => Some(Piece::Remove),
                _ => None,
            }
        };
        if let Some((piece, length)) =
            (1..=2.min(words.len())).rev().find_map(|length| Some((one(length)?, length)))
        {
            return Some((piece, length));
        }
        if !words.iter().any(|word| matches!(word.as_str(), "m" | "marker")) {
            return None;
        }
        for length in (2..=words.len()).rev() {
            for split in 1..length {
                let Some(Until::BeforeMarker(before)) = until(&words[split..length]) else { continue };
                let boiled = plain(boil_words(&words[..split]));
                let mut stitches = self.context.stitches.clone();
                let found = self.context.means.find(&boiled).or_else(|| counted(&boiled, &mut stitches));
                // A cable that is not met before has no name here: it is not worked up to a marker either.
                let Some((stitch, 1)) =
                    found.filter(|(id, _)| *self.context.stitches == stitches || !stitches.get(*id).wide)
                else {
                    continue;
                };
                let items = vec![Item::Run { stitch, extent: Extent::Times(1) }];
                return Some((Piece::UntilMarker { items, before }, length));
            }
        }
        None
    }
}
