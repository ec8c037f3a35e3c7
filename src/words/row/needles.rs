//! The needles that a round lies on: "N1: k8; N2: p8", "on needle 1, k8", "2nd needle: k8". Which needle holds what is
//! kept nowhere, so what a needle works must be told in stitches; only at the last one "to end" is the end of the round.

use super::{Kind, Parser, Piece, RowMistake};
use crate::stitch::Terms;
use crate::words::rows::lex::ordinal;
use crate::written::{Extent, Item};

/// A needle named in a row.
pub(super) struct Named {
    /// How many pieces stand before it.
    pieces: usize,
    /// The first word of its name.
    at: usize,
    /// Whether several are named in one, "needles 2 and 3".
    several: bool,
    /// Whether the piece read last before it was a stitch without a number.
    after_bare: bool,
}

impl Parser<'_, '_> {
    /// Takes the name of a needle, if one comes next outside all groups.
    pub(super) fn needle(&mut self, items: &[Piece], depth: usize) -> bool {
        if depth > 0 {
            return false;
        }
        let words = self.words();
        let Some((length, several)) = name(&words) else { return false };
        // "Needle 1" alone names one where a mark follows; "on needle 1 k8" says it.
        let marked =
            length == words.len() && matches!(self.kind_at(length), Some(Kind::Semicolon | Kind::Comma));
        if !marked && words.first().is_none_or(|word| word != "on") {
            return false;
        }
        let after_bare = std::mem::take(&mut self.unnumbered);
        self.needles.push(Named { pieces: items.len(), at: self.at, several, after_bare });
        self.at += length;
        true
    }

    /// Tells needles whose ends are not known, once the row is read; what the last one works alone goes to the end.
    pub(super) fn end_needles(&mut self, pieces: &mut [Piece]) {
        let needles = std::mem::take(&mut self.needles);
        self.work.needles = !needles.is_empty();
        for (index, named) in needles.iter().enumerate() {
            let next = needles.get(index + 1);
            let (end, bare) =
                next.map_or((pieces.len(), self.unnumbered), |next| (next.pieces, next.after_bare));
            let own = pieces.get_mut(named.pieces..end).unwrap_or_default();
            let alone = own.len() == 1;
            if next.is_none()
                && let [Piece::Work(Item::Run { stitch, extent })] = own
                && bare
                && *extent == Extent::Times(1)
                && self.context.stitches.get(*stitch).words(Terms::Us).bare.is_some()
            {
                *extent = Extent::ToLast(0);
            }
            let open = own.iter().any(|piece| piece.uses(self.context.stitches).is_none());
            let known = match next {
                Some(_) => !(open || named.several || alone && bare),
                None => !named.several || (alone && open),
            };
            if !known {
                let to = next.map_or(self.tokens.len(), |next| next.at);
                let error = self.mistake(named.at, to, RowMistake::NeedleEnd);
                self.work.errors.push(error);
            }
        }
    }
}

/// How many words name a needle, "needle 1", "n 1", "on 1 st needle", and whether they name several.
fn name(words: &[String]) -> Option<(usize, bool)> {
    let word = |at: usize| words.get(at).map_or("", String::as_str);
    let number = |at: usize| word(at).bytes().all(|byte| byte.is_ascii_digit()) && !word(at).is_empty();
    let is_needle = |at: usize| matches!(word(at), "needle" | "needles" | "ndl" | "ndls" | "n");
    let mut at = usize::from(word(0) == "on");
    if is_needle(at) && number(at + 1) {
        at += 2;
        let mut several = false;
        while matches!(word(at), "and" | "to") {
            let next = at + 1 + usize::from(is_needle(at + 1));
            if !number(next) {
                break;
            }
            (at, several) = (next + 1, true);
        }
        return Some((at, several));
    }
    at += usize::from(word(at) == "the");
    let placed = match ordinal(word(at)) {
        Some(_) => 1,
        None if number(at) && matches!(word(at + 1), "st" | "nd" | "rd" | "th") => 2,
        None => return None,
    };
    matches!(word(at + placed), "needle" | "ndl").then_some((at + placed + 1, false))
}
