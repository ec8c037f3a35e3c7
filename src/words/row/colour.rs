//! Colours in a row: "k3 navy", "k3 in navy", "with navy, k3", "navy: k3".

use std::sync::Arc;

use super::{Kind, Parser, Read, RowMistake};
use crate::written::Item;

/// What a group began with.
pub(super) struct Group {
    from: usize,
    colour: Option<Arc<str>>,
    changes: bool,
    first_used: bool,
}

/// Words that take up a colour, before it.
const TAKES_UP: [&[&str]; 14] = [
    &["with"],
    &["using"],
    &["in"],
    &["join"],
    &["change", "to"],
    &["changing", "to"],
    &["switch", "to"],
    &["switching", "to"],
    &["work", "with"],
    &["work", "in"],
    &["working", "with"],
    &["working", "in"],
    &["then", "with"],
    &["and", "with"],
];

impl Parser<'_, '_> {
    /// The item in the colour it names itself, else in the one in use.
    pub(super) fn painted(&mut self, item: Item, own: Option<Arc<str>>) -> Option<Item> {
        let Item::Run { stitch, extent } = item else { return Some(item) };
        let colours = &mut self.work.colours;
        let colour = match own {
            Some(own) => {
                colours.single = true;
                Some(own)
            }
            None => {
                colours.first_used |= !colours.changes;
                // The yarn in hand passes behind what is slipped, or before it.
                self.colour.clone().filter(|_| !self.context.stitches.is_slipped(stitch))
            }
        };
        let stitch = match colour {
            Some(colour) => self.context.stitches.coloured(stitch, &colour)?,
            None => stitch,
        };
        Some(Item::Run { stitch, extent })
    }

    /// The words before the colour that ends them, and the colour.
    pub(super) fn without_colour<'w>(&self, words: &'w [String]) -> (&'w [String], Option<Arc<str>>) {
        match self.context.colours.at_end(words) {
            Some((at, colour)) if at > 0 => (words.get(..at).unwrap_or_default(), Some(colour)),
            _ => (words, None),
        }
    }

    /// Whether words end in a number that is all the name of a colour, which no other word joins to them: "k1", not "k2
    /// in colour 1".
    pub(super) fn ends_in_number(&self, words: &[String]) -> bool {
        let number = words.last().is_some_and(|word| word.bytes().all(|byte| byte.is_ascii_digit()));
        number && self.context.colours.at_end(words).is_some_and(|(at, _)| at + 1 == words.len())
    }

    /// Takes words that take up a colour: "with navy", "change to MC", "navy:". An unknown colour is told.
    pub(super) fn takes_colour(&mut self) -> bool {
        let words = self.words();
        let taken = TAKES_UP.iter().find_map(|lead| {
            let leads = words.iter().zip(*lead).filter(|(word, lead)| word == *lead).count() == lead.len();
            let (length, colour) =
                self.context.colours.at_start(words.get(lead.len()..)?).filter(|_| leads)?;
            Some((lead.len() + length, colour))
        });
        // "Navy: k3" has nothing but a mark after the colour.
        let taken = taken.or_else(|| {
            let (length, colour) = self.context.colours.at_start(&words)?;
            let ends = self.tokens.get(self.at + length).map(|token| &token.kind) == Some(&Kind::Semicolon);
            (ends && self.works_on(self.at + length)).then_some((length, colour))
        });
        if let Some((length, colour)) = taken {
            self.at += length;
            self.colour = Some(colour);
            self.work.colours.changes = true;
            return true;
        }
        if self.names_no_colour(&words) {
            let error = self.mistake(self.at, self.at + words.len(), RowMistake::UnknownColour);
            self.work.errors.push(error);
            self.at += words.len();
            return true;
        }
        false
    }

    /// Whether anything is worked behind the marks that stand here, before the row or a group ends.
    fn works_on(&self, at: usize) -> bool {
        let behind = self.tokens.get(at..).unwrap_or_default();
        let mut kinds = behind.iter().map(|token| &token.kind);
        match kinds.find(|kind| !matches!(kind, Kind::Comma | Kind::Semicolon)) {
            None | Some(Kind::Close(_)) => false,
            Some(Kind::Word(word)) => !matches!(word.as_str(), "rep" | "repeat" | "reps" | "turn"),
            Some(Kind::Star(_)) => self.starred == 0,
            Some(_) => true,
        }
    }

    /// Whether words up to a mark can only be meant to name a colour: "with D, ..."; and where the text names colours
    /// what follows a stitch, "k3 teal".
    fn names_no_colour(&mut self, words: &[String]) -> bool {
        let Some(first) = words.first() else { return false };
        let lead = matches!(first.as_str(), "with" | "using" | "in");
        let before = self.at.checked_sub(1).and_then(|before| self.tokens.get(before));
        let follows = before.is_some_and(|token| token.word().is_some()) && !self.is_filler(first);
        let meant = if self.context.colours.stated() {
            lead || follows
        } else {
            // Without any colour in the text, only what could be nothing else.
            lead && words.len() == 2 && !words.iter().any(|word| NO_COLOURS.contains(&word.as_str()))
        };
        meant
            && words.len() > usize::from(lead)
            && !self.readable(words.get(usize::from(lead)..).unwrap_or_default())
    }

    /// Whether some words begin with what can be worked.
    fn readable(&mut self, words: &[String]) -> bool {
        let (unnumbered, slips, doubts) =
            (self.unnumbered, self.work.bare_slips.len(), self.work.doubts.len());
        let readable = (1..=words.len())
            .any(|to| words.get(..to).is_some_and(|part| self.plain_run(part, self.at).is_some()));
        self.unnumbered = unnumbered;
        self.work.bare_slips.truncate(slips);
        self.work.doubts.truncate(doubts);
        readable
    }

    /// Remembers what a group begins with.
    pub(super) fn begin_group(&mut self) -> Group {
        let colours = &mut self.work.colours;
        let group = Group {
            from: self.at.saturating_sub(1),
            colour: self.colour.clone(),
            changes: colours.changes,
            first_used: colours.first_used,
        };
        (colours.changes, colours.first_used) = (false, false);
        group
    }

    /// A group that ends in another colour begins in that one when it is worked again: it must say so.
    pub(super) fn end_group(&mut self, group: Group) -> Read<()> {
        let colours = &mut self.work.colours;
        let unclear = colours.changes && colours.first_used && self.colour != group.colour;
        colours.first_used = group.first_used || (colours.first_used && !group.changes);
        colours.changes |= group.changes;
        if unclear {
            let marks = self.tokens.get(..self.at).unwrap_or_default().iter().rev();
            let marks = marks.take_while(|token| matches!(token.kind, Kind::Comma | Kind::Semicolon)).count();
            return Err(self.mistake(group.from, self.at - marks, RowMistake::UnclearColour));
        }
        Ok(())
    }
}

/// Words after "in" and "with" that are no colours.
const NO_COLOURS: [&str; 14] = [
    "next", "each", "same", "front", "back", "rib", "pattern", "patt", "st", "sts", "stitch", "loop",
    "garter", "rows",
];
