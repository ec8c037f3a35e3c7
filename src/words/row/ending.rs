//! What a repeat ends with: "rep from *, k3", "end last rep k2", "omitting last yo on last rep".

use super::{About, End, Kind, Parser, Piece, Read, RowMistake, items_of, pieces_use};
use crate::stitch::Stitches;
use crate::words::english;
use crate::written::{Extent, Item};

impl Parser<'_, '_> {
    /// "Rep from *, k3" and "rep from *, end last rep k2": as far as what follows leaves.
    pub(super) fn fill_to_what_follows(
        &mut self,
        group: Vec<Piece>,
        from: usize,
        items: &mut Vec<Piece>,
    ) -> Read<()> {
        if let Some(last) = self.last_working(&group, 0)? {
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

    /// A group worked so often whose last working may end otherwise than the others, which is told behind it.
    pub(super) fn repeated(
        &mut self,
        group: Vec<Piece>,
        (extent, depth): (Extent, usize),
        from: usize,
        items: &mut Vec<Piece>,
    ) -> Read<()> {
        let Some(last) = self.last_working(&group, depth)? else {
            items.push(Piece::repeat(group, extent));
            return Ok(());
        };
        match extent {
            Extent::ToLast(beyond) if depth == 0 => {
                self.ends_otherwise(group, last, Some(beyond), from, items)
            }
            Extent::ToLast(_) | Extent::Times(0) => Err(self.mistake(from, self.at, RowMistake::NoExtent)),
            Extent::Times(times) => {
                items.push(Piece::repeat(group, Extent::Times(times - 1)));
                items.extend(last);
                Ok(())
            }
        }
    }

    /// The last working of a group as it is told behind how far the group is worked; none where it is like the others.
    fn last_working(&mut self, group: &[Piece], depth: usize) -> Read<Option<Vec<Piece>>> {
        match self.omitted(group)? {
            Some(last) => Ok(Some(last)),
            None => self.last_repeat(group, depth),
        }
    }

    /// "Omitting last yo on last rep", "on final rep omit k1", "end last rep without k1": the group without that. Nothing is
    /// taken where nothing of the kind comes next.
    fn omitted(&mut self, group: &[Piece]) -> Read<Option<Vec<Piece>>> {
        let start = self.at;
        self.skip_commas();
        let said = self.at;
        let bracket = matches!(self.kind(), Some(Kind::Open(_)));
        self.at += usize::from(bracket);
        let before = self.takes_last_repeat();
        if before {
            self.skip_commas();
        }
        let Some(length) = english::omits(&self.words()) else {
            self.at = start;
            return Ok(None);
        };
        self.at += length;
        self.at += usize::from(self.word(0) == Some("the"));
        let last = matches!(self.word(0), Some("last" | "final"));
        self.at += usize::from(last);
        let errors = self.work.errors.len();
        let kept = self.without(group);
        let of_last = before || self.takes_last_repeat();
        let closes = bracket && matches!(self.kind(), Some(Kind::Close(_)));
        self.at += usize::from(closes);
        let read = self.work.errors.len() == errors && (of_last || last) && closes == bracket;
        self.work.errors.truncate(errors);
        match kept.filter(|_| read) {
            Some(kept) => Ok(Some(kept)),
            None => Err(self.error(said, self.at)),
        }
    }

    /// Takes "on the last rep", "of final repeat", "end last rep".
    fn takes_last_repeat(&mut self) -> bool {
        let before = self.at;
        let little = ["on", "of", "in", "from", "for", "end", "ending", "the"];
        while self.word(0).is_some_and(|word| little.contains(&word)) {
            self.at += 1;
        }
        let last = matches!(self.word(0), Some("last" | "final"));
        if last && matches!(self.word(1), Some("rep" | "repeat" | "repetition" | "time")) {
            self.at += 2;
            return true;
        }
        self.at = before;
        false
    }

    /// The group without the pieces that come next, which must be its last ones, or without its last stitches.
    fn without(&mut self, group: &[Piece]) -> Option<Vec<Piece>> {
        let words = self.words();
        let number = words.first().and_then(|word| word.parse::<u32>().ok());
        let named = usize::from(number.is_some());
        if words.get(named).is_some_and(|word| english::stitches().contains(&word.as_str())) {
            self.at += named + 1;
            return self.without_stitches(group, number.unwrap_or(1));
        }
        let old = self.pieces_until(|word| matches!(word, "on" | "of" | "in" | "from" | "for" | "end"));
        if !old.is_empty() && group.ends_with(&old) {
            return group
                .len()
                .checked_sub(old.len())
                .and_then(|kept| group.get(..kept))
                .map(<[Piece]>::to_vec);
        }
        // K1 of the k2 that it ends with.
        let [Piece::Work(Item::Run { stitch, extent: Extent::Times(fewer) })] = old[..] else { return None };
        let ends =
            matches!(group.last(), Some(Piece::Work(Item::Run { stitch: last, .. })) if *last == stitch);
        if ends { self.without_stitches(group, fewer) } else { None }
    }

    /// The group without its last stitches, each of which must use and make one loop.
    fn without_stitches(&self, group: &[Piece], mut fewer: u32) -> Option<Vec<Piece>> {
        let mut kept = group.to_vec();
        while fewer > 0 {
            let Some(Piece::Work(Item::Run { stitch, extent: Extent::Times(times) })) = kept.pop() else {
                return None;
            };
            let one = self.context.stitches.get(stitch);
            if (one.uses, one.makes) != (1, 1) {
                return None;
            }
            let left = times.saturating_sub(fewer);
            if left > 0 {
                kept.push(Piece::Work(Item::Run { stitch, extent: Extent::Times(left) }));
            }
            fewer = fewer.saturating_sub(times);
        }
        Some(kept)
    }

    /// "End last repeat k2": the last working of the group, with its end replaced by what is said. Nothing is taken where
    /// nothing of the kind comes next.
    fn last_repeat(&mut self, group: &[Piece], depth: usize) -> Read<Option<Vec<Piece>>> {
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
                Some(self.replaced(group))
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
    fn replaced(&mut self, group: &[Piece]) -> Option<usize> {
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
        found.map(|(count, _)| count)
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
