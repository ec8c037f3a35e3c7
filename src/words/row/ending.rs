//! What a repeat ends with: "rep from *, k3", "end last rep k2", "omitting last yo on last rep".

use super::{About, End, Kind, Parser, Piece, Read, RowMistake, items_of, pieces_use};
use crate::stitch::Stitches;
use crate::written::{Extent, Item};

impl Parser<'_, '_> {
    /// "Rep from *, k3" and "rep from *, end last rep k2": as far as what follows leaves.
    pub(super) fn fill_to_what_follows(
        &mut self,
        group: Vec<Piece>,
        from: usize,
        items: &mut Vec<Piece>,
    ) -> Read<()> {
        if let Some(last) = self.last_repeat(&group, 0)? {
            return self.ends_otherwise(group, last, None, from, items);
        }
        let mut rest = Vec::new();
        let after = self.at;
        self.items(End::Row, 0, &mut rest)?;
        match pieces_use(&rest, self.context.stitches) {
            Some(left) if self.at >= self.tokens.len() => {
                items.push(Piece::repeat(group, Extent::ToLast(left)));
                items.extend(rest);
                Ok(())
            }
            _ => Err(self.mistake(from, after, RowMistake::NoExtent)),
        }
    }

    /// The last working of a group ends otherwise than the others. `beyond` are the stitches that are said to follow
    /// it; where none are said, those that the rest of the row works.
    pub(super) fn ends_otherwise(
        &mut self,
        group: Vec<Piece>,
        last: Vec<Piece>,
        beyond: Option<u32>,
        from: usize,
        items: &mut Vec<Piece>,
    ) -> Read<()> {
        let after = self.at;
        let mut rest = Vec::new();
        self.items(End::Row, 0, &mut rest)?;
        let follows = match beyond.filter(|&beyond| beyond > 0) {
            Some(beyond) => Some(beyond),
            None => pieces_use(&rest, self.context.stitches).filter(|_| self.at >= self.tokens.len()),
        };
        let uses = pieces_use(&last, self.context.stitches);
        let Some(left) = uses.zip(follows).and_then(|(uses, follows)| uses.checked_add(follows)) else {
            return Err(self.mistake(from, after, RowMistake::NoExtent));
        };
        items.push(Piece::repeat(group, Extent::ToLast(left)));
        items.extend(last);
        items.extend(rest);
        Ok(())
    }

    /// "End last repeat k2": the last working of the group, with its end replaced by what is said. Nothing is taken where
    /// nothing of the kind comes next.
    pub(super) fn last_repeat(&mut self, group: &[Piece], depth: usize) -> Read<Option<Vec<Piece>>> {
        let start = self.at;
        self.skip_commas();
        let said = self.at;
        let bracket = match self.kind() {
            Some(Kind::Open(_)) => {
                self.at += 1;
                true
            }
            _ => false,
        };
        let words = self.words();
        let words: Vec<&str> = words.iter().map(String::as_str).filter(|word| *word != "the").collect();
        let rep = |word: &str| matches!(word, "rep" | "repeat");
        let lead = match words[..] {
            ["end" | "ending", "last" | "final", word, "with", ..] if rep(word) => 4,
            ["end" | "ending", "last" | "final", word, ..] if rep(word) => 3,
            ["last" | "final", word, "ends", "with", ..] if rep(word) => 4,
            ["last" | "final", word, "ends", ..] if rep(word) => 3,
            _ => {
                self.at = start;
                return Ok(None);
            }
        };
        let mut passed = 0;
        while passed < lead {
            passed += usize::from(self.word(0) != Some("the"));
            self.at += 1;
        }
        let from = self.at;
        // "End last rep at **".
        if self.word(0) == Some("at") && self.kind_at(1) == Some(&Kind::Star(2)) && self.marked > 0 {
            self.at += 2;
            if bracket && matches!(self.kind(), Some(Kind::Close(_))) {
                self.at += 1;
            }
            return Ok(group.get(..self.marked).map(<[Piece]>::to_vec));
        }
        // What stands in the place of the last pieces, up to "instead of".
        let new = self.pieces_until(|word| matches!(word, "instead" | "for"));
        let replaced = match self.word(0) {
            Some("instead" | "for") => {
                self.at += 1 + usize::from(self.word(1) == Some("of"));
                self.replaced(group)
            }
            _ => None,
        };
        if bracket {
            match self.kind() {
                Some(Kind::Close(_)) => self.at += 1,
                _ => return Err(self.mistake(start, self.at, RowMistake::Unclosed)),
            }
        }
        let endings = match replaced {
            Some(replaced) => replaced.into_iter().collect(),
            None => endings(group, &new, self.context.stitches),
        };
        // Which piece is the last one can't be told where a marker stands behind it.
        let plain = items_of(group).is_some() && depth == 0 && !new.is_empty();
        let way = endings.get(self.choice.ending).filter(|_| plain);
        let Some(kept) = way.and_then(|way| group.get(..group.len().checked_sub(*way)?)) else {
            return Err(self.error(from, self.at));
        };
        if endings.len() > 1 {
            self.doubt(said, About::Ending);
        }
        self.work.endings = endings;
        Ok(Some([kept, &new].concat()))
    }

    /// Pieces up to such a word, or to what is no piece in words.
    fn pieces_until(&mut self, ends: impl Fn(&str) -> bool) -> Vec<Piece> {
        let mut pieces = Vec::new();
        while let Some(kind) = self.kind() {
            match kind {
                Kind::Word(word) if !ends(word) => self.phrase(&mut pieces),
                Kind::Comma => self.at += 1,
                _ => break,
            }
        }
        pieces
    }

    /// How many pieces of the group come next that are said to be replaced, as many as end it; none where they don't.
    fn replaced(&mut self, group: &[Piece]) -> Option<Option<usize>> {
        let mut old = Vec::new();
        let mut found = None;
        while let Some(Kind::Word(_)) = self.kind() {
            self.phrase(&mut old);
            if group.ends_with(&old) {
                found = Some((old.len(), self.at));
            }
            self.at += usize::from(self.kind() == Some(&Kind::Comma));
        }
        if let Some((_, at)) = found {
            self.at = at;
        }
        Some(found.map(|(count, _)| count))
    }
}

/// How many pieces at the end of the last repeat may be replaced by what it ends with, the usual number first. One, where
/// that is of the kind of the last piece: k2 for k3, skp for sk2p. "*K2, p2; rep from *, ending last rep k2" may also break
/// off there, and k2 may stand for yo and k2tog: the stitches on the needle and the next row tell.
fn endings(group: &[Piece], new: &[Piece], stitches: &Stitches) -> Vec<usize> {
    /// More of the last repeat is not replaced by words that don't say so.
    const MOST: usize = 12;
    let run = |piece: &Piece| match piece {
        Piece::Work(Item::Run { stitch, .. }) => Some(*stitch),
        _ => None,
    };
    let alike = |one: &Piece, other: &Piece| {
        let (Some(one), Some(other)) = (run(one), run(other)) else { return false };
        let narrows = |id| stitches.get(id).uses > stitches.get(id).makes;
        one == other || (narrows(one) && narrows(other))
    };
    if let ([new], Some(last)) = (new, group.last())
        && alike(new, last)
    {
        return vec![1];
    }
    // Where it begins as a part of the group does, the last repeat goes on from there.
    let shared = |replaced: &usize| {
        let part = group.len().checked_sub(*replaced).and_then(|from| group.get(from..)).unwrap_or_default();
        part.iter().zip(new).take_while(|(one, other)| one == other).count()
    };
    let mut ways: Vec<usize> = (1..=group.len().min(MOST)).collect();
    let begins = ways.iter().any(|way| shared(way) > 0);
    if new.len() > 1 && begins {
        ways.retain(|way| shared(way) > 0);
    }
    // "K2, k2" is not written for k4.
    let before = group.len().checked_sub(2).and_then(|before| group.get(before)).and_then(run);
    let alike = before.is_some() && before == new.first().and_then(run);
    let last = |way: &usize| new.len() == 1 && *way == 1 && !alike;
    ways.sort_by_key(|way| (!last(way), std::cmp::Reverse(shared(way))));
    ways
}
