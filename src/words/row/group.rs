//! Groups: what stands between asterisks or in brackets, or is told in words, and how often it is worked.

use super::super::{boil_words, counted};
use super::phrase::plain;
use super::until::{Counts, Until, Which, until, until_first};
use super::{About, DEEPEST, Doubt, End, Kind, Parser, Piece, Read, RowMistake, Token, items_of, pieces_use};
use crate::stitch::Stitches;
use crate::written::{Extent, Item};

impl Parser<'_, '_> {
    /// From the opening asterisk: the group, a closing asterisk or none, "rep from *", and how far.
    pub(super) fn starred(&mut self, stars: usize, depth: usize, items: &mut Vec<Piece>) -> Read<()> {
        let from = self.at;
        self.at += 1;
        let mut group = Vec::new();
        let inner = self.inner_mark(stars);
        let outer = std::mem::replace(&mut self.mark, inner);
        self.marked = 0;
        self.starred += 1;
        let read = self.items(End::Star(stars), depth + 1, &mut group);
        self.starred -= 1;
        self.mark = outer;
        read?;
        let closed = self.kind() == Some(&Kind::Star(stars));
        if closed {
            self.at += 1;
            self.skip_commas();
        }
        let told = matches!(self.word(0), Some("rep" | "repeat" | "reps" | "work"));
        if told {
            self.at += 1;
            if matches!(self.word(0), Some("from" | "between" | "bet")) {
                self.at += 1;
            }
            self.pass_stars();
            if matches!(self.word(0), Some("to" | "and")) && matches!(self.kind_at(1), Some(Kind::Star(_))) {
                self.at += 1;
                self.pass_stars();
            }
            if self.kind() == Some(&Kind::Comma) && until_first(&self.words_from(self.at + 1)).is_some() {
                self.at += 1;
            }
        }
        let words = self.words();
        let Some((until, length)) = until_first(&words) else {
            if told && depth == 0 {
                return self.fill_to_what_follows(group, from, items);
            }
            return Err(self.mistake(from, self.at + words.len(), RowMistake::NoExtent));
        };
        self.at += length;
        // "Rep from * 3 times" is worked once and then 3 times more, unless it can only be 3 in all; "* ... * 3
        // times" is worked 3 times.
        let extent = match until {
            Until::Times(n, Counts::More) => Extent::Times(n.saturating_add(1)),
            Until::Times(n, Counts::Unsaid) if told => {
                self.doubt(from, About::Times);
                Extent::Times(if self.choice.in_all { n } else { n.saturating_add(1) })
            }
            Until::Over(n) => {
                let times = self.times_over(&group, n, from)?;
                if told {
                    self.doubt(from, About::Times);
                }
                Extent::Times(if told && self.choice.in_all { times.saturating_add(1) } else { times })
            }
            Until::Times(n, _) => Extent::Times(n),
            Until::ToLast(left) => Extent::ToLast(left),
            Until::BeforeMarker(before, which) => {
                items.push(self.until_marker(&group, (before, which), from)?);
                return Ok(());
            }
        };
        if let Extent::ToLast(beyond) = extent
            && let Some(last) = self.last_repeat(&group, depth)?
        {
            return self.ends_otherwise(group, last, Some(beyond), from, items);
        }
        // "Rep from * across, ending with k2".
        let after = self.tokens.get(self.at..).unwrap_or_default();
        let next = after.iter().find(|token| !matches!(token.kind, Kind::Comma | Kind::Semicolon));
        let ending = next
            .and_then(Token::word)
            .is_some_and(|word| matches!(word, "end" | "ending" | "ends" | "finish" | "finishing"));
        if extent == Extent::ToLast(0) && ending && depth == 0 {
            return self.fill_to_what_follows(group, from, items);
        }
        items.push(Piece::repeat(group, extent));
        Ok(())
    }

    /// "Rep from *, k3" and "rep from *, end last rep k2": as far as what follows leaves.
    fn fill_to_what_follows(&mut self, group: Vec<Piece>, from: usize, items: &mut Vec<Piece>) -> Read<()> {
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
    fn ends_otherwise(
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

    /// The double asterisk inside a group of one that only marks a place in it: "rep from * to **", "end last rep at
    /// **".
    fn inner_mark(&self, stars: usize) -> Option<usize> {
        let rest = self.tokens.get(self.at..).filter(|_| stars == 1)?;
        let mark = rest.iter().position(|token| matches!(token.kind, Kind::Star(_)))?;
        let double = |at: usize| rest.get(at).is_some_and(|token| token.kind == Kind::Star(2));
        let named = || {
            // "Rep from † to †" is about the inner group.
            let named = |at: usize| match rest[at - 1].word() {
                Some("to" | "and") => at > 1 && rest[at - 2].kind == Kind::Star(1),
                word => word == Some("at"),
            };
            (mark + 1..rest.len()).any(|at| double(at) && named(at))
        };
        // Most marks are single: what follows them is not gone through.
        (double(mark) && named()).then_some(self.at + mark)
    }

    /// A group worked as far as a marker. One with markers in it goes by those.
    fn until_marker(&mut self, group: &[Piece], (before, which): (u32, Which), from: usize) -> Read<Piece> {
        let items = items_of(group).ok_or_else(|| self.mistake(from, self.at, RowMistake::NoExtent))?;
        self.work.markers = true;
        Ok(Piece::UntilMarker { items, before, which })
    }

    /// How often a group fills so many stitches.
    fn times_over(&self, group: &[Piece], stitches: u32, from: usize) -> Read<u32> {
        let unit = pieces_use(group, self.context.stitches).unwrap_or(0);
        let times = stitches.checked_div(unit).filter(|times| times.checked_mul(unit) == Some(stitches));
        times.ok_or_else(|| self.mistake(from, self.at, RowMistake::NoExtent))
    }

    /// Words from a token to here may mean two things.
    fn doubt(&mut self, from: usize, about: About) {
        let at = self.mistake(from, self.at, RowMistake::NoExtent).at;
        self.work.doubts.push(Doubt { at, about });
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

    /// From an opening bracket: a group worked several times, or into one stitch.
    pub(super) fn bracketed(&mut self, bracket: char, depth: usize, items: &mut Vec<Piece>) -> Read<()> {
        let from = self.at;
        self.at += 1;
        let close = closing(bracket);
        if let Some(item) = self.in_one_stitch(close) {
            items.push(Piece::Work(item));
            return Ok(());
        }
        let mut group = Vec::new();
        let errors = self.work.errors.len();
        self.items(End::Bracket(close), depth + 1, &mut group)?;
        self.at += 1;
        let multiplied = self.is_multiplied();
        self.at += usize::from(multiplied);
        let mut words = self.words();
        if multiplied && self.word(1) != Some("times") {
            // "(k1, p1)*4" is "(k1, p1) x 4".
            words.insert(0, "x".to_owned());
            self.at -= 1;
        }
        // "[Sl 1, k1, psso]" only keeps together what is one stitch; and what can't be read is told already.
        let said = matches!(
            self.tokens.get(self.at.saturating_sub(2)).and_then(Token::word),
            Some("twice" | "times")
        );
        let one = match &group[..] {
            // "(Selvedge)", "(do not turn)".
            [] => true,
            [Piece::Work(Item::Run { extent: Extent::Times(times), .. })] => *times == 1 || said,
            _ => false,
        };
        if words.is_empty() && (one || self.work.errors.len() > errors) {
            items.extend(group);
            return Ok(());
        }
        if let Some(length) = into_double_yarn_over(&words) {
            self.at += length;
            items.extend(group);
            return Ok(());
        }
        // "[K2tog, yo] rep to end".
        let filled = |words: &[String]| matches!(until_first(words), Some((Until::ToLast(_), _)));
        let words = match words.split_first() {
            Some((first, rest)) if matches!(first.as_str(), "rep" | "repeat") && filled(rest) => {
                self.at += 1;
                rest.to_vec()
            }
            _ => words,
        };
        let Some((until, length)) = until_first(&words) else {
            // The words after it tell what is meant with it.
            let to =
                self.at + if matches!(self.word(0), Some("in" | "into" | "all")) { words.len() } else { 0 };
            let error = self.mistake(from, to, RowMistake::NoExtent);
            self.at = to;
            return Err(error);
        };
        self.at += length;
        let extent = match until {
            Until::Times(n, _) => Extent::Times(n),
            Until::ToLast(left) => Extent::ToLast(left),
            Until::BeforeMarker(before, which) => {
                items.push(self.until_marker(&group, (before, which), from)?);
                return Ok(());
            }
            Until::Over(n) => Extent::Times(self.times_over(&group, n, from)?),
        };
        items.push(Piece::repeat(group, extent));
        Ok(())
    }

    /// "4x (k1, p1)", "work 4 times [k2, p2]": how often the bracket is worked that comes right behind these words, and how
    /// many they are.
    pub(super) fn times_before(&self) -> Option<(u32, usize)> {
        let words = self.words();
        if !matches!(self.kind_at(words.len()), Some(Kind::Open(_))) {
            return None;
        }
        let lead = usize::from(matches!(self.word(0), Some("rep" | "repeat")));
        match until(words.get(lead..)?)? {
            Until::Times(n, Counts::Unsaid | Counts::All) => Some((n, words.len())),
            _ => None,
        }
    }

    /// A bracket that is worked so many times, as words before it say.
    pub(super) fn multiplied(&mut self, times: u32, depth: usize, items: &mut Vec<Piece>) -> Read<()> {
        let Some(Kind::Open(bracket)) = self.kind() else { return Err(self.error(self.at, self.at + 1)) };
        let close = closing(*bracket);
        self.at += 1;
        let mut group = Vec::new();
        if let Some(item) = self.in_one_stitch(close) {
            group.push(Piece::Work(item));
        } else {
            self.items(End::Bracket(close), depth + 1, &mut group)?;
            self.at += 1;
        }
        // How often is said before it; what is said behind it too is not for us to choose from.
        if let Some((_, length)) = until_first(&self.words()) {
            self.work.errors.push(self.error(self.at, self.at + length));
            self.at += length;
        }
        items.push(Piece::repeat(group, Extent::Times(times)));
        Ok(())
    }

    /// Whether an asterisk multiplies the bracket before it, "(k1, yo)*4": a number follows it, and it neither closes a
    /// repeat nor opens one.
    fn is_multiplied(&self) -> bool {
        let times = self.word(1).filter(|word| word.bytes().all(|byte| byte.is_ascii_digit()));
        if self.kind() != Some(&Kind::Star(1)) || times.is_none() {
            return false;
        }
        let is_star = |token: &Token| matches!(token.kind, Kind::Star(_));
        let named = self.word(2) == Some("times");
        let ends = match self.kind_at(2 + usize::from(named)) {
            None | Some(Kind::Comma | Kind::Semicolon | Kind::Close(_) | Kind::Star(_)) => true,
            Some(Kind::Word(_) | Kind::Open(_)) => false,
        };
        // "*(k1, p1)* 3 times" is closed by it; "*(k1, p1)*3, k2; rep from *" is not.
        let after = self.tokens.get(self.at + 1..);
        let closed_later = !named && after.is_some_and(|after| after.iter().any(is_star));
        ends && (self.starred == 0 || closed_later)
    }

    /// "(K1, yo, k1) in next st": the group and the words after it are one stitch.
    fn in_one_stitch(&mut self, close: char) -> Option<Item> {
        let rest = self.tokens.get(self.at..)?;
        let closing = self.at + rest.iter().position(|token| token.kind == Kind::Close(close))?;
        let after: Vec<String> =
            self.words_from(closing + 1).iter().filter(|word| *word != "all").cloned().collect();
        if !matches!(after.first().map(String::as_str), Some("in" | "into")) {
            return None;
        }
        let passed = self.words_from(closing + 1).len() - after.len();
        let inner: Vec<String> =
            self.tokens.get(self.at..closing)?.iter().filter_map(Token::word).map(str::to_owned).collect();
        for length in (2..=after.len()).rev() {
            let (said, colour) = self.without_colour(&after[..length]);
            let boiled = boil_words(said);
            let place: Vec<&str> = boiled.iter().map(String::as_str).collect();
            let (into, times) = match place[..] {
                ["in" | "into", "1" | "next" | "same", "st"] | ["in", "next"] => ("in 1 st", 1),
                ["in" | "into", "each" | "next", n, "st"]
                | ["in" | "into", "each", "of", "next" | "last", n, "st"] => ("in 1 st", n.parse().ok()?),
                _ => ("", 1),
            };
            let mut words = inner.clone();
            if into.is_empty() {
                words.extend(said.iter().cloned());
            } else {
                words.extend(into.split(' ').map(str::to_owned));
            }
            if let Some((stitch, 1)) = self.counted(&plain(boil_words(&words)), self.at, 0) {
                self.at = closing + 1 + passed + length;
                self.unnumbered = false;
                return self.painted(Item::Run { stitch, extent: Extent::Times(times) }, colour);
            }
        }
        None
    }

    /// Whether a repeat told in words comes next: "repeat the following 3 times".
    pub(super) fn begins_told(&self) -> bool {
        matches!(
            (self.word(0), self.word(1), self.word(2)),
            (Some("rep" | "repeat"), Some("the"), Some("following"))
                | (Some("rep" | "repeat"), Some("this"), Some("inner"))
                | (Some("rep" | "repeat"), Some("following"), _)
        )
    }

    /// "Repeat the following 3 times: ...; end of repeat".
    pub(super) fn told(&mut self, depth: usize) -> Read<Piece> {
        let from = self.at;
        if depth > DEEPEST {
            return Err(self.mistake(from, self.at + 1, RowMistake::Unclosed));
        }
        while matches!(
            self.word(0),
            Some("rep" | "repeat" | "the" | "this" | "inner" | "following" | "group")
        ) {
            self.at += 1;
        }
        let Some((until, length)) = until_first(&self.words()) else {
            return Err(self.mistake(from, self.at, RowMistake::NoExtent));
        };
        let extent = match until {
            Until::Times(n, _) => Extent::Times(n),
            Until::ToLast(left) => Extent::ToLast(left),
            Until::BeforeMarker(..) | Until::Over(_) => {
                return Err(self.mistake(from, self.at, RowMistake::NoExtent));
            }
        };
        self.at += length;
        let mut items = Vec::new();
        self.items(End::Told, depth + 1, &mut items)?;
        self.at += 2;
        while matches!(self.word(0), Some("rep" | "repeat" | "inner" | "group")) {
            self.at += 1;
        }
        Ok(Piece::repeat(items, extent))
    }

    pub(super) fn kind_at(&self, ahead: usize) -> Option<&Kind> {
        self.tokens.get(self.at + ahead).map(|token| &token.kind)
    }

    fn skip_commas(&mut self) {
        while matches!(self.kind(), Some(Kind::Comma | Kind::Semicolon)) {
            self.at += 1;
        }
    }

    fn pass_stars(&mut self) {
        while matches!(self.kind(), Some(Kind::Star(_)))
            || matches!(self.word(0), Some("asterisk" | "asterisks" | "stars"))
        {
            self.at += 1;
        }
        // "Rep between *s".
        if self.word(0) == Some("s") {
            self.at += 1;
        }
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

/// What closes an opened bracket.
const fn closing(bracket: char) -> char {
    match bracket {
        '(' => ')',
        '[' => ']',
        _ => '}',
    }
}

/// "(P1, k1) into double yo": the two loops of a double yarn over, one stitch each; how many words say so.
fn into_double_yarn_over(words: &[String]) -> Option<usize> {
    if !matches!(words.first().map(String::as_str), Some("in" | "into")) {
        return None;
    }
    // "Into both loops of the next double yarn over".
    const MOST: usize = 12;
    let yo2 = Stitches::YO2;
    (2..=words.len().min(MOST)).rev().find(|&length| {
        let boiled: Vec<String> =
            boil_words(&words[1..length]).into_iter().filter(|word| word != "next" && word != "of").collect();
        let mut stitches = Stitches::built_in();
        counted(&boiled, &mut stitches).is_some_and(|(id, _)| stitches.plain(id) == yo2)
            || matches!(
                boiled.iter().map(String::as_str).collect::<Vec<_>>()[..],
                ["double", "yos"] | ["2", "yos"]
            )
    })
}
