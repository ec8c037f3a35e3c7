//! Labels: what stands before the work of a row. "Row 1 (RS):", "1st row:", "Rows 2 and 4:", "Rnd 3:", "Row 2 and all
//! WS rows except Row 8:", "All even-numbered rounds:", "Next row:".

mod sides;
#[cfg(test)]
mod tests;

pub(crate) use sides::{names_side, side};
use sides::{parts, remark, side_and_word, side_behind, sided_numbers};

use super::lex::{Cursor, Kind, tokens};
use crate::pattern::{Side, Worked};
use crate::words::english;

/// A label.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Label {
    /// The rows it names, in its order.
    pub(crate) numbers: Vec<u32>,
    /// How many rows after the last one it is for, "Next row", "Foll 2 rows"; 0 where it numbers its rows.
    pub(crate) next: u32,
    /// Whether it is for a row that stands before the pattern's own: "Set-up row". Without a number it is row 0.
    pub(crate) set_up: bool,
    /// The side it states.
    pub(crate) side: Option<Side>,
    /// The sides it states of single rows, "Rows 1 (RS) and 2", "Rows 1-4 (Row 1 is RS)"; those between take turns.
    pub(crate) sides: Vec<(u32, Side)>,
    /// Rows or rounds, by its words.
    pub(crate) worked: Worked,
    /// The many rows it is for besides.
    pub(crate) every: Option<Every>,
    /// Bytes of what it says besides: "(inc row)", "(navy)".
    pub(crate) remarks: Vec<(usize, usize)>,
    /// Bytes up to the work.
    pub(crate) length: usize,
    /// Whether a mark ends it: without one the work must be readable for it to be a label.
    pub(crate) ended: bool,
}

impl Label {
    /// The side that it states of one of its rows.
    pub(crate) fn side_of(&self, number: u32) -> Option<Side> {
        let nearest = self.sides.iter().min_by_key(|(row, _)| row.abs_diff(number));
        nearest.map_or(self.side, |&(row, side)| {
            Some(if row.abs_diff(number).is_multiple_of(2) { side } else { side.other() })
        })
    }

    /// Whether it states of any of its rows that it is one of this side.
    pub(crate) fn states(&self, side: Side) -> bool {
        self.side == Some(side) || self.sides.iter().any(|(_, stated)| *stated == side)
    }
}

/// "... and all WS rows except Row 8".
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Every {
    pub(crate) kind: Rows,
    /// Rows that it is not for.
    pub(crate) except: Vec<u32>,
    /// The last row that it is for, where it is said.
    pub(crate) last: Option<u32>,
}

impl Every {
    /// Whether a row is of the kind it is for, by its number and its side; in the round, where all rows are RS rows, it has
    /// none. The sentence then goes by turns, as an alternate one does, from the first row that it names.
    pub(crate) fn is_of_kind(&self, number: u32, side: Option<Side>, named: Option<u32>) -> bool {
        match (self.kind, side) {
            (Rows::Of(of), Some(side)) => of == side,
            (Rows::Of(_), None) | (Rows::Alternate, _) => {
                number.abs_diff(named.unwrap_or(2)).is_multiple_of(2)
            }
            (Rows::Even, _) => number.is_multiple_of(2),
            (Rows::Odd, _) => !number.is_multiple_of(2),
            (Rows::Rest | Rows::All, _) => true,
        }
    }
}

/// Kinds of rows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Rows {
    Of(Side),
    Even,
    Odd,
    /// Every second row from the first one named.
    Alternate,
    /// All that have no line of their own.
    Rest,
    /// All there are.
    All,
}

/// Numbers beyond this are no rows of a pattern, and a label for more rows than this is none.
const MOST: u32 = 9_999;

/// How the rows are worked that a word names: "row" or "rnds".
pub(crate) fn rows_named(word: &str) -> Option<Worked> {
    english::rows_named(word)
}

/// Whether a word names rows or rounds.
pub(crate) fn is_row_word(word: &str) -> bool {
    rows_named(word).is_some()
}

/// Whether a line may begin with a label: it has a word for a row, or one of the marks behind a side or a place that stands
/// alone. Most titles have neither, which is seen sooner than their words are taken apart.
fn may_begin_with_label(text: &str) -> bool {
    let names_row = |word: &str| is_row_word(word) || word.eq_ignore_ascii_case("r");
    text.split(|c: char| !c.is_alphabetic()).any(names_row) || text.contains([':', '-', '–', '—'])
}

/// The label that a line begins with.
pub(crate) fn label(text: &str) -> Option<Label> {
    // A label is short; what follows it is the row's own.
    let mut end = text.len().min(200);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let begin = text.get(..end).filter(|begin| may_begin_with_label(begin))?;
    let tokens = tokens(begin);
    let mut cursor = Cursor::new(&tokens);
    let mut label = Label::default();
    // "RS Row 1:".
    let before = cursor;
    let first = side(&mut cursor);
    let mut behind = cursor;
    // "(RS) Row 1:": the first bracket is passed before.
    let _ = first.is_some() && cursor.take_mark(&[')', ']']);
    let numbered = first.is_some() && row_word(&mut cursor, &mut label);
    if let Some(found) = numbered.then(|| sided_numbers(&mut cursor, &mut label)).flatten() {
        label.side = first;
        label.numbers = found;
        return finished(text, end, cursor, label);
    }
    // "RS: K8.", "RS - K8", if that can be worked.
    if let Some(side) = first.filter(|_| behind.take_mark(&[':', '-', '–', '—'])) {
        label.every = Some(Every { kind: Rows::Of(side), except: Vec::new(), last: None });
        label.length = behind.token(0).map_or(end, |token| token.start);
        return (label.length < text.len()).then_some(label);
    }
    cursor = before;
    if row_word(&mut cursor, &mut label) {
        label.numbers = bracketed(&mut cursor).or_else(|| sided_numbers(&mut cursor, &mut label))?;
    } else if let Some(found) = ordinals(&mut cursor, &mut label) {
        label.numbers = found;
    } else if let Some((found, behind)) = ordinal_alone(before) {
        label.numbers = vec![found];
        label.length = behind.token(0)?.start;
        return Some(label);
    } else if set_up(&mut cursor) {
        label.set_up = true;
        if !row_word(&mut cursor, &mut label) {
            return None;
        }
        label.numbers = sided_numbers(&mut cursor, &mut label).unwrap_or_else(|| vec![0]);
    } else if cursor.take(&["next", "foll", "following"]) {
        let _ = cursor.take_mark(&['.']);
        label.next = cursor.number().map_or(Some(1), |rows| (1..=MOST).contains(&rows).then_some(rows))?;
        if !row_word(&mut cursor, &mut label) {
            return None;
        }
    } else {
        // "On all WS rows, purl."
        let _ = cursor.take(&["on"]);
        label.every = Some(every(&mut cursor, &mut label)?);
    }
    finished(text, end, cursor, label)
}

/// The label with what follows its numbers; `end` is as far as it was looked at.
fn finished(text: &str, end: usize, mut cursor: Cursor<'_>, mut label: Label) -> Option<Label> {
    qualifiers(&mut cursor, &mut label)?;
    let ends_early = cursor.at_end();
    // "Row 3) K7", "[Row 3] K7", "Row 3 / K7": a row, if that can be worked.
    let odd = cursor.take_mark(&[')', ']', '/']);
    // "1st row. - K8".
    let _ = matches!(cursor.kind(1), Some(Kind::Mark('-' | '–' | '—'))) && cursor.take_mark(&['.']);
    label.ended = cursor.take_mark(&[':', '.', '-', '–', '—', '=']) || (ends_early && end == text.len());
    if odd && cursor.at_end() {
        return None;
    }
    if label.ended {
        side_behind(&mut cursor, &mut label);
    }
    label.length = match cursor.token(0) {
        Some(token) => token.start,
        None => end,
    };
    // "Row 1." alone ends a sentence.
    if label.ended && label.length == text.len() && !text.trim_end().ends_with(':') {
        return None;
    }
    Some(label)
}

/// "(3)" behind "Row".
fn bracketed(cursor: &mut Cursor<'_>) -> Option<Vec<u32>> {
    let before = *cursor;
    if cursor.take_mark(&['(', '['])
        && let Some(number) = row_number(cursor)
        && cursor.take_mark(&[')', ']'])
    {
        return Some(vec![number]);
    }
    *cursor = before;
    None
}

/// "3rd: K8": a number that says its place alone.
fn ordinal_alone(mut cursor: Cursor<'_>) -> Option<(u32, Cursor<'_>)> {
    let Some(&Kind::Ordinal(number)) = cursor.kind(0) else { return None };
    cursor.at += 1;
    (number <= MOST && cursor.take_mark(&[':'])).then_some((number, cursor))
}

/// Takes what names a row that stands before the others.
fn set_up(cursor: &mut Cursor<'_>) -> bool {
    cursor.take_all(&["set", "up"])
        || cursor.take(&["setup", "foundation", "base", "preparation", "preparatory", "prep", "initial"])
}

/// Takes "row", "rnds", "R" before a number.
fn row_word(cursor: &mut Cursor<'_>, label: &mut Label) -> bool {
    let named = take_rows(cursor);
    label.worked = named.filter(|named| *named == Worked::Round).unwrap_or(label.worked);
    named.is_some()
}

/// Takes "row", "rnds", "R" before a number: rows or rounds.
pub(super) fn take_rows(cursor: &mut Cursor<'_>) -> Option<Worked> {
    // "R4", or "R 4:".
    let marked = matches!(cursor.kind(2), Some(Kind::Mark(':')));
    let short = cursor.word(0) == Some("r")
        && matches!((cursor.token(0), cursor.token(1)), (Some(r), Some(n)) if (marked || r.end == n.start) && matches!(n.kind, Kind::Number(_)));
    cursor.at += usize::from(short);
    if short { Some(Worked::Flat) } else { cursor.take_rows() }
}

/// "1", "2 and 4", "5-8", "1, 3 and 5": numbers of rows.
pub(crate) fn numbers(cursor: &mut Cursor<'_>) -> Option<Vec<u32>> {
    numbers_and(cursor, |_, _| {})
}

/// Takes what stands between the numbers of two rows.
fn joins(cursor: &mut Cursor<'_>) -> bool {
    let comma = cursor.take_mark(&[',']);
    (cursor.take(&["and"]) || cursor.take_mark(&['&', '+', '/'])) | comma
}

/// Takes what stands between the first and the last of a run of rows.
fn ranges(cursor: &mut Cursor<'_>) -> bool {
    cursor.take_mark(&['-', '–', '—']) || cursor.take(&["to", "through", "thru"])
}

/// Numbers of rows; what `behind` takes behind the first of a run, or a number alone, may stand there.
fn numbers_and<'a>(
    cursor: &mut Cursor<'a>,
    mut behind: impl FnMut(&mut Cursor<'a>, u32),
) -> Option<Vec<u32>> {
    let mut all = Vec::new();
    loop {
        number_sign(cursor);
        let first = row_number(cursor)?;
        behind(cursor, first);
        let before = *cursor;
        let ranged = ranges(cursor);
        // "R5-R8".
        let _ = ranged && take_rows(cursor).is_some();
        match row_number(cursor).filter(|_| ranged) {
            Some(last) if last > first => all.extend(first..=last),
            Some(_) => return None,
            None => {
                *cursor = before;
                all.push(first);
            }
        }
        if all.len() > MOST as usize {
            return None;
        }
        // Another number follows, or something else.
        let before = *cursor;
        let joined = joins(cursor);
        let _ = cursor.take_rows();
        // "Rows 1 and 2, 3 times" has no Row 3.
        let often = matches!(cursor.word(1), Some("times" | "time" | "more" | "x"));
        if !joined || often || !matches!(cursor.kind(0), Some(Kind::Number(_) | Kind::Ordinal(_))) {
            *cursor = before;
            return Some(all);
        }
    }
}

/// Takes what only says that a number follows: "#", "No.", "number".
fn number_sign(cursor: &mut Cursor<'_>) {
    let before = *cursor;
    let word = cursor.take(&["no", "nr", "number"]);
    let _ = word && cursor.take_mark(&['.']);
    // "Rnd. 3".
    let sign = word || cursor.take_mark(&['#', '.']);
    if !sign || !matches!(cursor.kind(0), Some(Kind::Number(_))) {
        *cursor = before;
    }
}

fn row_number(cursor: &mut Cursor<'_>) -> Option<u32> {
    match cursor.kind(0) {
        Some(Kind::Number(number) | Kind::Ordinal(number)) if *number <= MOST => {
            cursor.at += 1;
            Some(*number)
        }
        _ => None,
    }
}

/// "1st row", "2nd and 4th rows", "2nd and every foll alt row", "1. row".
fn ordinals(cursor: &mut Cursor<'_>, label: &mut Label) -> Option<Vec<u32>> {
    if let (Some(&Kind::Number(number)), Some(Kind::Mark('.'))) = (cursor.kind(0), cursor.kind(1)) {
        let before = *cursor;
        cursor.at += 2;
        // "1. Row 1: K8" is an item of a list.
        if number <= MOST && row_word(cursor, label) && !matches!(cursor.kind(0), Some(Kind::Number(_))) {
            return Some(vec![number]);
        }
        *cursor = before;
        return None;
    }
    if !matches!(cursor.kind(0), Some(Kind::Ordinal(_))) {
        return None;
    }
    let mut found = sided_numbers(cursor, label)?;
    if row_word(cursor, label) {
        while more_ordinals(cursor, label, &mut found) {}
        return (found.len() <= MOST as usize).then_some(found);
    }
    let before = *cursor;
    if (cursor.take(&["and"]) || cursor.take_mark(&['&']))
        && let Some(all) = every(cursor, label)
    {
        label.every = Some(all);
        return Some(found);
    }
    *cursor = before;
    None
}

/// Takes what goes on with other rows by their place, "fifth row and seventh row", "2nd row to 4th row".
fn more_ordinals(cursor: &mut Cursor<'_>, label: &mut Label, found: &mut Vec<u32>) -> bool {
    let before = *cursor;
    let ranged = ranges(cursor);
    if (ranged || joins(cursor))
        && matches!(cursor.kind(0), Some(Kind::Ordinal(_)))
        && let Some(more) = numbers(cursor)
        && row_word(cursor, label)
    {
        let between = found.last().zip(more.first()).filter(|_| ranged).map(|(last, next)| last + 1..*next);
        found.extend(between.into_iter().flatten());
        found.extend(more);
        return true;
    }
    *cursor = before;
    false
}

/// "all WS rows", "every foll alt row", "even-numbered rounds": the rows, taken; nothing is taken where it is none.
fn every(cursor: &mut Cursor<'_>, label: &mut Label) -> Option<Every> {
    let before = *cursor;
    let all = cursor.take(&["all", "every", "each"]);
    let mut kind = None;
    let mut words = 0;
    let found = loop {
        if let Some(side) = side(cursor) {
            kind = Some(Rows::Of(side));
        } else if cursor.take(&["even"]) {
            kind = Some(Rows::Even);
        } else if cursor.take(&["odd"]) {
            kind = Some(Rows::Odd);
        } else if cursor.take(&["alt", "alternate"]) {
            kind = kind.or(Some(Rows::Alternate));
        } else if cursor.take(&["other"]) {
            // "Every other row" is every second one, "all other rows" are those that are left.
            let second = all && before.word(0) != Some("all");
            kind = kind.or(Some(if second { Rows::Alternate } else { Rows::Rest }));
        } else if cursor.take(&["rem", "remaining"]) {
            kind = kind.or(Some(Rows::Rest));
        } else if row_word(cursor, label) {
            break true;
        } else if !cursor.take(&["numbered", "following", "foll", "subsequent", "the", "of"])
            && !cursor.take_mark(&['.'])
        {
            break false;
        }
        words += 1;
    };
    let kind = if all && words == 0 { kind.or(Some(Rows::All)) } else { kind };
    match kind {
        Some(kind) if found => {
            let behind = *cursor;
            let last = through(cursor);
            if last.is_none() {
                *cursor = behind;
            }
            Some(Every { kind, except: Vec::new(), last })
        }
        _ => {
            *cursor = before;
            None
        }
    }
}

/// What follows the numbers: the side, the many rows besides, those left out.
fn qualifiers(cursor: &mut Cursor<'_>, label: &mut Label) -> Option<()> {
    loop {
        let before = *cursor;
        let had = (label.side, label.every.clone());
        let bracket = cursor.take_mark(&['(', '[']);
        let _ = cursor.take_mark(&[',']);
        // "Row 1 - RS:".
        let dash = !bracket && label.side.is_none() && cursor.take_mark(&['-', '–', '—']);
        if dash && !matches!(cursor.word(0), Some("rs" | "ws" | "right" | "wrong")) {
            *cursor = before;
            return Some(());
        }
        if let Some(found) = side_and_word(cursor) {
            label.side = Some(found);
            // "(RS, inc)".
            if bracket && cursor.take_mark(&[',', ';', '/', '-', '–']) {
                parts(cursor, label);
            }
        } else if cursor.take(&["except", "but"]) {
            let _ = cursor.take(&["for", "not", "in", "on"]);
            let _ = cursor.take_rows();
            let except = numbers(cursor)?;
            label.every.as_mut()?.except.extend(except);
        } else if label.every.is_none() && (cursor.take(&["and"]) || cursor.take_mark(&['&']) || bracket) {
            match every(cursor, label) {
                Some(all) => label.every = Some(all),
                None => {
                    *cursor = before;
                    if remark(cursor, label) {
                        continue;
                    }
                    return Some(());
                }
            }
        } else {
            *cursor = before;
            // "Row 7 (inc row):" says something of the row that is none of its work.
            if remark(cursor, label) {
                continue;
            }
            return Some(());
        }
        if bracket && !cursor.take_mark(&[')', ']']) {
            // "(odd rows are RS)" is no "(and all odd rows)".
            *cursor = before;
            (label.side, label.every) = had;
            if !remark(cursor, label) {
                return Some(());
            }
        }
    }
}

/// "Through 6", "to Row 10", "up to and including the 10th row": the last of many rows, taken.
fn through(cursor: &mut Cursor<'_>) -> Option<u32> {
    let up = cursor.take(&["up"]);
    if !(cursor.take(&["to", "through", "thru"]) || (!up && cursor.take(&["until"]))) {
        return None;
    }
    if cursor.take(&["and"]) && !cursor.take(&["including", "incl"]) {
        return None;
    }
    let _ = cursor.take(&["the"]);
    let named = cursor.take_rows().is_some();
    let last = row_number(cursor)?;
    if !named {
        let _ = cursor.take_rows();
    }
    let _ = cursor.take(&["inclusive", "incl"]);
    Some(last)
}
