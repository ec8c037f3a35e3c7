//! What a label says of sides, and what it remarks: "(RS)", "Rows 1 (RS) and 2", "(Row 1 is RS)", "(inc row)".

use super::{Label, joins, numbers_and, ranges, row_number, take_rows};
use crate::pattern::Side;
use crate::words::rows::lex::{Cursor, Kind, tokens};

/// "RS", "wrong side", "right-side".
pub(crate) fn side(cursor: &mut Cursor<'_>) -> Option<Side> {
    if cursor.take(&["rs"]) || cursor.take_all(&["right", "side"]) {
        Some(Side::Rs)
    } else if cursor.take(&["ws"]) || cursor.take_all(&["wrong", "side"]) {
        Some(Side::Ws)
    } else {
        None
    }
}

/// Takes a side and the word it stands before, "WS row", "RS facing".
pub(super) fn side_and_word(cursor: &mut Cursor<'_>) -> Option<Side> {
    let found = side(cursor)?;
    let _ = cursor.take(&["row", "rows", "facing", "side"]);
    Some(found)
}

/// The side of one row: "Row 1 is RS", "Row 1 is a WS row", of the first, "beg with a WS row", or of every second one, "odd
/// rows are WS". What is none is not taken.
fn of_one_row(cursor: &mut Cursor<'_>, first: Option<u32>) -> Option<(u32, Side)> {
    let before = *cursor;
    let begins = cursor.take(&["beg", "begin", "begins", "beginning", "start", "starts", "starting"])
        || cursor.take_all(&["first", "row", "is"]);
    let parity = if begins { None } else { every_second(cursor) };
    let row = if begins {
        let _ = cursor.take(&["with", "on"]);
        first
    } else if parity.is_some() {
        let _ = cursor.take(&["are"]) || cursor.take_mark(&['=']);
        parity
    } else {
        let named = take_rows(cursor).and_then(|_| row_number(cursor));
        let _ = cursor.take(&["is"]) || cursor.take_mark(&['=']);
        named
    };
    let _ = cursor.take(&["a", "an", "the"]);
    let found = row.zip(side_and_word(cursor)).filter(|_| matches!(cursor.kind(0), Some(Kind::Mark(_))));
    if found.is_none() {
        *cursor = before;
    }
    found
}

/// Takes "odd rows", "even-numbered rows": the first of them.
fn every_second(cursor: &mut Cursor<'_>) -> Option<u32> {
    let odd = cursor.take(&["odd"]);
    if !(odd || cursor.take(&["even"])) {
        return None;
    }
    let _ = cursor.take(&["numbered"]);
    cursor.take_rows().map(|_| if odd { 1 } else { 2 })
}

/// The same with sides behind single numbers, "1 (RS) and 2", "3 (WS) to 6". Behind the last of them a side is for all
/// rows, and is not taken, unless an earlier one has its own.
pub(super) fn sided_numbers(cursor: &mut Cursor<'_>, label: &mut Label) -> Option<Vec<u32>> {
    let sides = &mut label.sides;
    let found = numbers_and(cursor, |cursor, number| {
        let before = *cursor;
        if let Some(side) = side_in_brackets(cursor)
            && (!sides.is_empty() || goes_on(*cursor))
        {
            sides.push((number, side));
        } else {
            *cursor = before;
        }
    });
    if found.is_none() {
        sides.clear();
    }
    found
}

/// "(RS)", "[WS row]".
fn side_in_brackets(cursor: &mut Cursor<'_>) -> Option<Side> {
    if !cursor.take_mark(&['(', '[']) {
        return None;
    }
    side_and_word(cursor).filter(|_| cursor.take_mark(&[')', ']']))
}

/// Whether another number of a row follows, or the word for the rows that were numbered. "Row 3 (RS) - 24 sts" goes on
/// with none.
fn goes_on(mut cursor: Cursor<'_>) -> bool {
    if joins(&mut cursor) || ranges(&mut cursor) {
        let _ = cursor.take_rows();
        return row_number(&mut cursor).is_some() && ends_or_joins(cursor);
    }
    cursor.take_rows().is_some()
}

/// Whether a number of a row ends here: at the end of its label, or where the next one follows.
fn ends_or_joins(mut cursor: Cursor<'_>) -> bool {
    let before = cursor;
    if side_in_brackets(&mut cursor).is_none() {
        cursor = before;
    }
    let ends = match cursor.kind(0) {
        None => true,
        Some(Kind::Mark(mark)) => matches!(mark, ':' | '.'),
        Some(_) => cursor.take_rows().is_some(),
    };
    ends || joins(&mut cursor) || ranges(&mut cursor)
}

/// Takes the side where it stands behind the mark, in brackets or with a mark of its own: "1st row: (RS) K2.",
/// "Row 1: RS: K2.". A second side that is not the first stays with the work, where it can't be read.
pub(super) fn side_behind(cursor: &mut Cursor<'_>, label: &mut Label) {
    let before = *cursor;
    let fits = |found: &Side| label.side.is_none_or(|stated| stated == *found);
    if let Some(found) = side(cursor).filter(fits)
        && cursor.take_mark(&[':'])
    {
        label.side = Some(found);
        return;
    }
    *cursor = before;
    if cursor.take_mark(&['(', '[']) {
        let found = side_and_word(cursor).filter(fits);
        if found.is_some() && cursor.take_mark(&[')', ']']) {
            let _ = cursor.take_mark(&[':', '.', '-', '–', '—']);
            label.side = found;
            return;
        }
    }
    *cursor = before;
}

/// Takes a remark in brackets or behind a comma, where the label goes on or ends behind it.
pub(super) fn remark(cursor: &mut Cursor<'_>, label: &mut Label) -> bool {
    let before = *cursor;
    let bracket = cursor.take_mark(&['(', '[']);
    if bracket || cursor.take_mark(&[',']) {
        let first = label.numbers.first().copied();
        let mut said = Label { numbers: first.into_iter().collect(), ..Label::default() };
        if bracket {
            parts(cursor, &mut said);
        } else {
            said.remarks.extend(words_said(cursor));
        }
        let closed = !bracket || cursor.take_mark(&[')', ']']);
        let goes_on = match cursor.kind(0) {
            Some(Kind::Mark(':')) => true,
            // "Row 1, knit (10 sts)" has no label that goes on.
            Some(Kind::Mark('(')) => bracket,
            _ => false,
        };
        if closed && goes_on {
            label.remarks.append(&mut said.remarks);
            label.side = label.side.or(said.side);
            label.sides.append(&mut said.sides);
            return true;
        }
    }
    *cursor = before;
    false
}

/// Takes the parts of a bracket: remarks, and the side among them, "(A, RS)".
pub(super) fn parts(cursor: &mut Cursor<'_>, label: &mut Label) {
    loop {
        let before = *cursor;
        let found = side_and_word(cursor).filter(|_| matches!(cursor.kind(0), Some(Kind::Mark(_))));
        if found.is_some() {
            label.side = label.side.or(found);
        } else {
            *cursor = before;
            match of_one_row(cursor, label.numbers.first().copied()) {
                Some(of_row) => label.sides.push(of_row),
                None => label.remarks.extend(words_said(cursor)),
            }
        }
        if !cursor.take_mark(&[',', ';']) {
            return;
        }
    }
}

/// Whether a remark names a side, in words that were not followed.
pub(crate) fn names_side(remark: &str) -> bool {
    let found = tokens(remark);
    let mut cursor = Cursor::new(&found);
    while !cursor.at_end() {
        if side(&mut cursor).is_some() {
            return true;
        }
        cursor.at += 1;
    }
    false
}

/// Takes words and numbers up to a mark: their bytes.
fn words_said(cursor: &mut Cursor<'_>) -> Option<(usize, usize)> {
    let start = cursor.token(0)?.start;
    let mut end = None;
    while matches!(cursor.kind(0), Some(Kind::Word(_) | Kind::Number(_) | Kind::Ordinal(_))) {
        end = cursor.token(0).map(|token| token.end);
        cursor.at += 1;
    }
    Some((start, end?))
}
