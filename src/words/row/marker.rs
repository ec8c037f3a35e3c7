//! Markers in a row, and work that goes as far as one.

use std::sync::Arc;

use super::super::{boil_words, counted};
use super::phrase::plain;
use super::until::{Until, until};
use super::{Parser, Piece};
use crate::written::{Extent, Item};

/// A marker, or work up to one.
pub(super) struct Marked {
    pub(super) piece: Piece,
    /// How many words tell of it.
    pub(super) length: usize,
    /// The colour that they name.
    pub(super) colour: Option<Arc<str>>,
}

impl Parser<'_, '_> {
    /// Takes a marker, or work up to one.
    pub(super) fn marker(&mut self, marked: Marked) -> Piece {
        self.at += marked.length;
        self.work.markers = true;
        match marked.piece {
            Piece::UntilMarker { items, before, which } => {
                let items = items.into_iter().filter_map(|item| self.painted(item, marked.colour.clone()));
                Piece::UntilMarker { items: items.collect(), before, which }
            }
            piece => piece,
        }
    }

    /// A marker, or work up to one, if that comes next.
    pub(super) fn marked(&self) -> Option<Marked> {
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
            return Some(Marked { piece, length, colour: None });
        }
        if !words.iter().any(|word| matches!(word.as_str(), "m" | "marker")) {
            return None;
        }
        for length in (2..=words.len()).rev() {
            for split in 1..length {
                let Some(Until::BeforeMarker(before, which)) = until(&words[split..length]) else { continue };
                let (worked, colour) = self.without_colour(&words[..split]);
                let boiled = plain(boil_words(worked));
                let mut stitches = self.context.stitches.clone();
                let found = self.context.means.find(&boiled).or_else(|| counted(&boiled, &mut stitches));
                // A cable that is not met before has no name here: it is not worked up to a marker either.
                let Some((stitch, 1)) =
                    found.filter(|(id, _)| *self.context.stitches == stitches || !stitches.get(*id).wide)
                else {
                    continue;
                };
                let items = vec![Item::Run { stitch, extent: Extent::Times(1) }];
                return Some(Marked { piece: Piece::UntilMarker { items, before, which }, length, colour });
            }
        }
        None
    }
}
