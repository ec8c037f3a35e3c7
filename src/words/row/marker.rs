//! Markers in a row, and work that goes as far as one.

use std::sync::Arc;

use super::super::{boil_words, counted, english};
use super::phrase::plain;
use super::until::{MarkerName, Until, Which, ends_name, marker_name, until};
use super::{Kind, Parser, Piece};
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
        let is_marker =
            |piece: &Piece| matches!(piece, Piece::Slip(None) | Piece::Remove(None) | Piece::Clear);
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
        let removes = self.work.pieces.iter().any(|piece| matches!(piece, Piece::Remove(_) | Piece::Clear));
        self.work.pieces.retain(|piece| !is_marker(piece));
        self.work.pieces.extend(removes.then_some(Piece::Clear));
    }

    /// The name of a marker that the words behind it begin with, "A" in "pm A, k3"; "A: k3" takes up a colour.
    fn name_of_marker(&self, behind: &[String]) -> Option<MarkerName> {
        let (first, rest) = behind.split_first()?;
        let name = marker_name(first).filter(|_| ends_name(rest))?;
        let marked = self.kind_at(self.words().len() - rest.len()) == Some(&Kind::Semicolon);
        let colour = marked && self.context.colours.at_start(behind).is_some();
        (!colour).then_some(name)
    }

    /// A marker, or work up to one, if that comes next.
    pub(super) fn marked(&self) -> Option<Marked> {
        let words = self.words();
        let one = |length: usize| {
            // "Place marker A": its name is no article.
            let phrase = words.get(..length).filter(|words| words.last().is_none_or(|last| last != "a"))?;
            let done = boil_words(phrase);
            let done = done.first().filter(|_| done.len() == 1)?;
            let name = self.name_of_marker(words.get(length..)?);
            let piece = match done.as_str() {
                "pm" => Piece::Place(name),
                "sm" => Piece::Slip(name),
                "rm" => Piece::Remove(name),
                _ => return None,
            };
            Some(Marked { piece, length: length + usize::from(name.is_some()), colour: None })
        };
        if let Some(marked) = (1..=4.min(words.len())).rev().find_map(one) {
            return Some(marked);
        }
        if !words.iter().any(|word| matches!(word.as_str(), "m" | "marker")) {
            return None;
        }
        for length in (2..=words.len()).rev() {
            for split in 1..length {
                let Some(Until::BeforeMarker(before, which)) = until(&words[split..length]) else { continue };
                if matches!(which, Which::Named(_)) && !ends_name(&words[length..]) {
                    continue;
                }
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
