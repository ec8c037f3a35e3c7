//! Markers in a row, and work that goes as far as one.

use std::sync::Arc;

use super::super::{boil_words, counted, english};
use super::phrase::plain;
use super::until::{Until, until};
use super::{Parser, Piece};
use crate::stitch::Terms;
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

    /// Takes words on the markers that the row meets: "slipping markers as you come to them", "removing all markers".
    pub(super) fn markers_met(&mut self, items: &mut Vec<Piece>) -> bool {
        let Some((stay, length)) = markers_met(&self.words()) else { return false };
        self.at += length;
        self.work.markers = true;
        items.extend((!stay).then_some(Piece::Clear));
        true
    }

    /// A row of nothing but one stitch without a number is worked to the end, past the markers that it names: "Knit,
    /// slip m."
    pub(super) fn alone_to_end(&mut self) {
        let is_marker = |piece: &Piece| matches!(piece, Piece::Slip | Piece::Remove | Piece::Clear);
        let mut worked = self.work.pieces.iter_mut().filter(|piece| !is_marker(piece));
        let (Some(Piece::Work(Item::Run { stitch, extent })), None) = (worked.next(), worked.next()) else {
            return;
        };
        if *extent != Extent::Times(1)
            || !self.unnumbered
            || self.context.stitches.get(*stitch).words(Terms::Us).bare.is_none()
        {
            return;
        }
        *extent = Extent::ToLast(0);
        let removes = self.work.pieces.iter().any(|piece| matches!(piece, Piece::Remove | Piece::Clear));
        self.work.pieces.retain(|piece| !is_marker(piece));
        self.work.pieces.extend(removes.then_some(Piece::Clear));
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
            (1..=4.min(words.len())).rev().find_map(|length| Some((one(length)?, length)))
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

/// Words on the markers that a row meets, wherever they are: whether these stay, and how many words those are.
fn markers_met(words: &[String]) -> Option<(bool, usize)> {
    let word = |at: usize| words.get(at).map_or("", String::as_str);
    let stay = match word(0) {
        "slip" | "sl" | "slipping" | "move" | "moving" => true,
        "remove" | "removing" => false,
        _ => return None,
    };
    let (mut at, mut every) = (1, false);
    while let "the" | "all" | "any" | "every" | "each" | "both" = word(at) {
        every |= word(at) != "the";
        at += 1;
    }
    let many = match word(at) {
        "markers" | "ms" => true,
        // The row ends there in any case.
        "bor" => {
            at += usize::from(matches!(word(at + 1), "m" | "marker"));
            true
        }
        "marker" | "m" => every,
        _ => return None,
    };
    let way = english::on_the_way(words.get(at + 1..)?).unwrap_or(0);
    (many || way > 0).then_some((stay, at + 1 + way))
}
