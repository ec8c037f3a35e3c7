//! Stretches of a row that are told by their fabric: "work 3 sts in patt", "rib to last 4 sts", "work sts as they
//! appear to m", "g st 5".

use std::ops::Range;

use super::until::{Until, Which, until};
use super::{Kind, Parser, Piece, RowMistake};
use crate::words::fabric::{self, Fabric};
use crate::words::numerals;

/// Stitches told by their fabric. Which they are is known on the needle alone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// What they are.
    pub fabric: Fabric,
    /// How far they go.
    pub reach: Reach,
    /// The bytes of the words.
    pub at: Range<usize>,
}

/// How far a stretch goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// Over so many stitches.
    Over(u32),
    /// Until so many stitches are left; 0 is the end.
    ToLast(u32),
    /// Until so many stitches before a marker.
    BeforeMarker(u32, Which),
}

impl Parser<'_, '_> {
    /// Takes a stretch told by its fabric, if one comes next.
    pub(super) fn stretch(&mut self, items: &mut Vec<Piece>) -> bool {
        let words = self.words();
        if !may_begin(&words) || self.context.means.find(&words).is_some() {
            return false;
        }
        let found = (1..=words.len()).rev().find_map(|length| Some((stretch(&words[..length])?, length)));
        let (fabric, reach, length) = match found {
            Some(((fabric, reach), length)) => (fabric, reach, length),
            None => {
                let Some(fabric) = whole(&words) else { return false };
                // "Rib." is the whole row; "k2, work in patt, k2" does not say how far.
                let ends = |kind: &Kind| matches!(kind, Kind::Comma | Kind::Semicolon);
                let alone = self.tokens[self.at + words.len()..].iter().all(|token| ends(&token.kind));
                if self.at > 0 || !alone {
                    let worked = matches!(words.first().map(String::as_str), Some("work" | "cont" | "rib"));
                    if worked {
                        let error = self.mistake(self.at, self.at + words.len(), RowMistake::NoExtent);
                        self.work.errors.push(error);
                        self.at += words.len();
                    }
                    return worked;
                }
                (fabric, Reach::ToLast(0), words.len())
            }
        };
        let at = self.mistake(self.at, self.at + length, RowMistake::Whose).at;
        self.at += length;
        self.unnumbered = false;
        // In a colour, which stitches are worked in it is not told.
        if self.colour.is_some() && fabric.goes_by_rows() {
            self.work.errors.push(super::RowError { at, mistake: RowMistake::UnknownWords });
            return true;
        }
        self.work.markers |= matches!(reach, Reach::BeforeMarker(..));
        items.push(Piece::Stretch(Stretch { fabric, reach, at }));
        true
    }
}

/// Whether a stretch may begin with these words: most words of a row begin none.
fn may_begin(words: &[String]) -> bool {
    match words.first().map_or("", String::as_str) {
        "work" | "cont" | "continue" | "patt" | "pattern" | "in" | "as" | "rib" | "ribbing" | "st"
        | "stocking" | "stockinette" | "rev" | "reverse" | "garter" | "g" => true,
        "k" | "knit" | "p" | "purl" => words.len() > 3,
        first => first.bytes().all(|byte| byte.is_ascii_digit()) && words.len() > 2,
    }
}

/// The fabric of all of these words.
fn whole(words: &[String]) -> Option<Fabric> {
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    if matches!(words[..], ["rib" | "ribbing"] | ["work" | "cont", "in", "rib" | "ribbing"]) {
        return Some(Fabric::Rib);
    }
    if fabric::is_as_set(&words) {
        return Some(Fabric::AsSet);
    }
    fabric::by_faces(&words)
        .or_else(|| fabric::plain(&words).filter(|plain| plain.knit_first.is_none()).map(Fabric::Plain))
}

/// The fabric and how far it goes, in all of these words.
fn stretch(words: &[String]) -> Option<(Fabric, Reach)> {
    let words = numerals::in_digits(words);
    for split in 1..words.len() {
        let (head, tail) = words.split_at(split);
        let reach = match until(tail) {
            Some(Until::ToLast(left)) => Reach::ToLast(left),
            Some(Until::BeforeMarker(before, which)) => Reach::BeforeMarker(before, which),
            Some(Until::Over(n)) => Reach::Over(n),
            _ => continue,
        };
        // "Work to last 2 sts".
        let bare = matches!(head, [one] if matches!(one.as_str(), "work" | "cont" | "continue"));
        if let Some(fabric) = whole(head).or_else(|| bare.then_some(Fabric::AsSet)) {
            return Some((fabric, reach));
        }
    }
    let at = words.iter().position(|word| word.bytes().all(|byte| byte.is_ascii_digit()))?;
    let over = words.get(at)?.parse().ok().filter(|&n: &u32| n > 0)?;
    let is = |word: Option<&String>, of: &[&str]| word.is_some_and(|word| of.contains(&word.as_str()));
    let counted = is(words.get(at + 1), &["st", "sts", "stitch", "stitches"]);
    let ordered = at.checked_sub(1).is_some_and(|before| is(words.get(before), &["next", "first", "last"]));
    let (from, to) = (at - usize::from(ordered), at + 1 + usize::from(counted));
    let mut rest = words.get(..from)?.to_vec();
    rest.extend_from_slice(words.get(to..)?);
    let bare = counted && matches!(&rest[..], [one] if one == "work");
    let fabric = whole(&rest).or_else(|| bare.then_some(Fabric::AsSet))?;
    Some((fabric, Reach::Over(over)))
}
