//! Groups: what stands between asterisks or in brackets, or is told in words, and how often it is worked.

use super::super::english;
use super::into::into_double_yarn_over;
use super::until::{Counts, Until, Which, until, until_first};
use super::{About, DEEPEST, Doubt, End, Kind, Parser, Piece, Read, RowMistake, Token, items_of, pieces_use};
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
        // "Rep from * across, ending with k2".
        let after = self.tokens.get(self.at..).unwrap_or_default();
        let next = after.iter().find(|token| !matches!(token.kind, Kind::Comma | Kind::Semicolon));
        let ending = next
            .and_then(Token::word)
            .is_some_and(|word| matches!(word, "end" | "ending" | "ends" | "finish" | "finishing"));
        if extent == Extent::ToLast(0) && ending && depth == 0 {
            return self.fill_to_what_follows(group, from, items);
        }
        self.repeated(group, (extent, depth), from, items)
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
    pub(super) fn doubt(&mut self, from: usize, about: About) {
        let at = self.mistake(from, self.at, RowMistake::NoExtent).at;
        self.work.doubts.push(Doubt { at, about });
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
        if let Some(times) = self.number_alone(&words) {
            self.at += 1;
            self.doubt(from, About::Number);
            return self.repeated(group, (Extent::Times(times), depth), from, items);
        }
        let Some((until, length)) = until_first(&words) else {
            // The words after it tell what is meant with it.
            let to =
                self.at + if matches!(self.word(0), Some("in" | "into" | "all")) { words.len() } else { 0 };
            let into_one =
                to > self.at && words.iter().any(|word| english::stitches().contains(&word.as_str()));
            let mistake = if into_one { RowMistake::IntoOne } else { RowMistake::NoExtent };
            let error = self.mistake(from, to, mistake);
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
        self.repeated(group, (extent, depth), from, items)
    }

    /// "[K2, p2] 2": a number that is all there is up to the next mark.
    fn number_alone(&self, words: &[String]) -> Option<u32> {
        let [number] = words else { return None };
        let ends = matches!(self.kind_at(1), None | Some(Kind::Comma | Kind::Semicolon | Kind::Close(_)));
        number.parse().ok().filter(|_| ends)
    }

    /// "4x (k1, p1)", "2(k1, p1)", "work 4 times [k2, p2]": how often the bracket is worked that comes right behind these words, and how
    /// many they are.
    pub(super) fn times_before(&self) -> Option<(u32, usize)> {
        let words = self.words();
        if !matches!(self.kind_at(words.len()), Some(Kind::Open(_))) {
            return None;
        }
        if let [number] = &words[..]
            && let Ok(times) = number.parse()
        {
            return Some((times, 1));
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

    pub(super) fn skip_commas(&mut self) {
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

/// What closes an opened bracket.
const fn closing(bracket: char) -> char {
    match bracket {
        '(' => ')',
        '[' => ']',
        _ => '}',
    }
}
