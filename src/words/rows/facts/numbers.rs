//! Numbers of stitches that sentences tell: a cast-on, a width, a multiple.

use crate::pattern::Multiple;
use crate::words::rows::lex::{Cursor, Kind};
use crate::words::rows::sized::by_size;
use crate::words::rows::ways;

/// A number of stitches that a sentence tells.
pub(super) enum Fact {
    /// Stitches to cast on, for each size.
    CastOn(CastOn),
    /// Stitches to pick up, for each size: before the first row they are what it is worked on.
    PickedUp(CastOn),
    Over(u32),
    Multiple(Multiple),
}

/// Stitches to begin with, for each size.
#[derive(Clone)]
pub(super) struct CastOn {
    pub(super) counts: Vec<u32>,
    /// Whether they are so many more.
    pub(super) more: bool,
}

impl Fact {
    pub(super) const fn is_cast_on(&self) -> bool {
        matches!(self, Self::CastOn(_) | Self::PickedUp(_))
    }
}

pub(super) fn one_fact(cursor: &mut Cursor<'_>) -> Option<Fact> {
    let start = *cursor;
    if let Some(multiple) = multiple(cursor) {
        return Some(Fact::Multiple(multiple));
    }
    *cursor = start;
    let words = ways::clauses();
    let begins =
        |cursor: &mut Cursor<'_>, phrases: &[&str]| phrases.iter().any(|phrase| cursor.take_phrase(phrase));
    if begins(cursor, &words.cast_on) || dotted(cursor, ["c", "o"]) {
        let _ = cursor.take_mark(&[':', '-', '–']);
        let _ = cursor.take(&words.loosely);
        let spelled = cursor.token(0).map_or(0, |token| token.end - token.start);
        if let Some(mut counts) = counts(cursor) {
            // "Twenty-one (21)" is one number.
            if let &[one, again] = &counts[..]
                && one == again
                && spelled > one.to_string().len()
            {
                counts.truncate(1);
            }
            let more = cursor.take(&["more"]);
            let _ = cursor.take_stitches();
            return Some(Fact::CastOn(CastOn { counts, more: more || cursor.take(&["more"]) }));
        }
        let _ = cursor.take(&["a", "any"]);
        if let Some(multiple) = multiple(cursor) {
            return Some(Fact::Multiple(multiple));
        }
    }
    *cursor = start;
    if begins(cursor, &words.pick_up)
        && let Some(counts) = counts(cursor)
    {
        let more = cursor.take(&["more"]);
        if cursor.take_stitches() {
            return Some(Fact::PickedUp(CastOn { counts, more }));
        }
    }
    *cursor = start;
    // "Over a panel of 7 sts", "over 7 sts".
    let over = cursor.take(&["over"]);
    let _ = cursor.take(&["a", "the"]);
    let panel = cursor.take_all(&["panel", "of"]);
    if (over || panel)
        && let Some(over) = cursor.number()
        && cursor.take_stitches()
    {
        return Some(Fact::Over(over));
    }
    *cursor = start;
    None
}

/// Takes letters with a full stop behind each: "C.O.".
fn dotted(cursor: &mut Cursor<'_>, letters: [&str; 2]) -> bool {
    let before = *cursor;
    let taken = letters.iter().all(|letter| cursor.take(&[*letter]) && cursor.take_mark(&['.']));
    if !taken {
        *cursor = before;
    }
    taken
}

/// "Multiple of 6 sts + 5", "a multiple of 6 stitches plus 5 stitches", "an odd number of sts".
fn multiple(cursor: &mut Cursor<'_>) -> Option<Multiple> {
    if cursor.take_all(&["odd", "number", "of"]) {
        return cursor.take_stitches().then_some(Multiple { of: 2, plus: 1 });
    }
    if cursor.take_all(&["even", "number", "of"]) {
        return cursor.take_stitches().then_some(Multiple { of: 2, plus: 0 });
    }
    if !cursor.take(&ways::clauses().multiple) {
        return None;
    }
    let _ = cursor.take_mark(&[':', '.']);
    let _ = cursor.take(&["of"]);
    let of = cursor.number().filter(|&of| of > 0)?;
    let _ = cursor.take_stitches();
    let mut plus = 0;
    while let Some(more) = beside_multiple(cursor, of)? {
        plus += more;
    }
    // "Minus 1" leaves all but one of the last repeat.
    let plus = if plus < 0 { plus.rem_euclid(i64::from(of)) } else { plus };
    Some(Multiple { of, plus: u32::try_from(plus).ok()? })
}

/// What a multiple of so many is more or less, "+ 2", "(+2) sts", "plus 2 edge sts", "minus 1": none of that, or none that is a
/// number.
fn beside_multiple(cursor: &mut Cursor<'_>, of: u32) -> Option<Option<i64>> {
    let before = *cursor;
    let bracket = cursor.take_mark(&['(', '[']);
    let _ = cursor.take_mark(&[',']);
    let words = ways::clauses();
    let more = cursor.take_mark(&['+']) || cursor.take(&words.plus);
    let less = !more && cursor.take(&words.minus);
    // A dash may part the multiple from something else.
    let dash = !more && !less && cursor.take_mark(&['-', '\u{2212}', '–']);
    let number = cursor.number().filter(|number| !dash || *number < of);
    let Some(number) = number.filter(|_| more || less || dash) else {
        *cursor = before;
        return if more || less { None } else { Some(None) };
    };
    let _ = cursor.take(&words.edges);
    let _ = cursor.take_stitches();
    let _ = cursor.take(&words.edges);
    if bracket && cursor.take_mark(&[')', ']']) {
        let _ = cursor.take_stitches();
    }
    Some(Some(if more { i64::from(number) } else { -i64::from(number) }))
}

/// "1,024": a number in one piece with a comma behind its thousands. Its last three digits could be no size of so few.
fn thousands(cursor: &mut Cursor<'_>) -> Option<u32> {
    let (first, comma, last) = (cursor.token(0)?, cursor.token(1)?, cursor.token(2)?);
    let (Kind::Number(thousands), Kind::Mark(','), Kind::Number(rest)) =
        (&first.kind, &comma.kind, &last.kind)
    else {
        return None;
    };
    let whole = first.end == comma.start && comma.end == last.start && last.end - last.start == 3;
    if !whole || !(1..10).contains(thousands) {
        return None;
    }
    cursor.at += 3;
    Some(thousands * 1000 + rest)
}

/// More sizes than any pattern has.
const MOST_SIZES: usize = 99;

/// "23", "23 (29, 35)", "23, 29, 35": a count for each size.
pub(crate) fn counts(cursor: &mut Cursor<'_>) -> Option<Vec<u32>> {
    if let Some(one) = thousands(cursor) {
        return Some(vec![one]);
    }
    let mut all: Vec<u32> = by_size(cursor, usize::MAX)?.into_iter().collect::<Option<_>>()?;
    // "23, 29, 35 stitches".
    let (mut listed, mut ahead) = (Vec::new(), *cursor);
    while all.len() + listed.len() < MOST_SIZES && (ahead.take_mark(&[',']) || ahead.take(&["and"])) {
        match ahead.number() {
            Some(number) => listed.push((number, ahead)),
            None => break,
        }
    }
    // "100, 2 strands held together" has one number.
    let ends = |last: &Cursor<'_>| match last.kind(0) {
        Some(Kind::Word(_)) => last.clone().take_stitches(),
        _ => true,
    };
    if let Some((_, last)) = listed.last().filter(|(_, last)| ends(last)) {
        *cursor = *last;
        all.extend(listed.iter().map(|(number, _)| number));
    }
    Some(all)
}
