//! Labels: what stands before the work of a row. "Row 1 (RS):", "1st row:", "Rows 2 and 4:", "Rnd 3:", "Row 2 and all
//! WS rows except Row 8:", "All even-numbered rounds:", "Next row:".

use super::lex::{Cursor, Kind, tokens};
use crate::pattern::{Side, Worked};

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

const ROW: [&str; 2] = ["row", "rows"];
const ROUND: [&str; 4] = ["rnd", "rnds", "round", "rounds"];

/// Whether a word names rows or rounds.
pub(crate) fn is_row_word(word: &str) -> bool {
    ROW.iter().chain(&ROUND).any(|row| row.eq_ignore_ascii_case(word))
}

/// The label that a line begins with.
pub(crate) fn label(text: &str) -> Option<Label> {
    // A label is short; what follows it is the row's own.
    let mut end = text.len().min(200);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let tokens = tokens(text.get(..end)?);
    let mut cursor = Cursor::new(&tokens);
    let mut label = Label::default();
    // "RS Row 1:".
    let before = cursor;
    let first = side(&mut cursor);
    let numbered = first.is_some() && row_word(&mut cursor, &mut label);
    if let Some(found) = numbers(&mut cursor).filter(|_| numbered) {
        label.side = first;
        label.numbers = found;
        return finished(text, end, cursor, label);
    }
    cursor = before;
    if row_word(&mut cursor, &mut label) {
        label.numbers = numbers(&mut cursor)?;
    } else if let Some(found) = ordinals(&mut cursor, &mut label) {
        label.numbers = found;
    } else if set_up(&mut cursor) {
        label.set_up = true;
        if !row_word(&mut cursor, &mut label) {
            return None;
        }
        label.numbers = numbers(&mut cursor).unwrap_or_else(|| vec![0]);
    } else if cursor.take(&["next", "foll", "following"]) {
        let _ = cursor.take_mark(&['.']);
        label.next = cursor.number().map_or(Some(1), |rows| (1..=MOST).contains(&rows).then_some(rows))?;
        if !row_word(&mut cursor, &mut label) {
            return None;
        }
    } else {
        label.every = Some(every(&mut cursor, &mut label)?);
    }
    finished(text, end, cursor, label)
}

/// The label with what follows its numbers; `end` is as far as it was looked at.
fn finished(text: &str, end: usize, mut cursor: Cursor<'_>, mut label: Label) -> Option<Label> {
    qualifiers(&mut cursor, &mut label)?;
    let ends_early = cursor.at_end();
    label.ended = cursor.take_mark(&[':', '.', '-', '–', '—', '=']) || (ends_early && end == text.len());
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

/// Takes the side where it stands in brackets behind the mark: "1st row: (RS) K2.". A second side that is not the first
/// stays with the work, where it can't be read.
fn side_behind(cursor: &mut Cursor<'_>, label: &mut Label) {
    let before = *cursor;
    if cursor.take_mark(&['(', '[']) {
        let found = side(cursor).filter(|found| label.side.is_none_or(|stated| stated == *found));
        let _ = cursor.take(&["row", "rows", "facing", "side"]);
        if found.is_some() && cursor.take_mark(&[')', ']']) {
            let _ = cursor.take_mark(&[':', '.', '-', '–', '—']);
            label.side = found;
            return;
        }
    }
    *cursor = before;
}

/// Takes what names a row that stands before the others.
fn set_up(cursor: &mut Cursor<'_>) -> bool {
    cursor.take_all(&["set", "up"])
        || cursor.take(&["setup", "foundation", "base", "preparation", "preparatory", "prep", "initial"])
}

/// Takes "row", "rnds", "R" before a number.
fn row_word(cursor: &mut Cursor<'_>, label: &mut Label) -> bool {
    if cursor.take(&ROUND) {
        label.worked = Worked::Round;
        return true;
    }
    if cursor.take(&ROW) {
        return true;
    }
    // "R4", or "R 4:".
    let marked = matches!(cursor.kind(2), Some(Kind::Mark(':')));
    let short = cursor.word(0) == Some("r")
        && matches!((cursor.token(0), cursor.token(1)), (Some(r), Some(n)) if (marked || r.end == n.start) && matches!(n.kind, Kind::Number(_)));
    cursor.at += usize::from(short);
    short
}

/// "1", "2 and 4", "5-8", "1, 3 and 5": numbers of rows.
pub(crate) fn numbers(cursor: &mut Cursor<'_>) -> Option<Vec<u32>> {
    let mut all = Vec::new();
    loop {
        number_sign(cursor);
        let first = row_number(cursor)?;
        let before = *cursor;
        let ranged = cursor.take_mark(&['-', '–', '—']) || cursor.take(&["to", "through", "thru"]);
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
        let mut joined = cursor.take_mark(&[',']);
        joined |= cursor.take(&["and"]) || cursor.take_mark(&['&', '+']);
        let _ = cursor.take(&ROW) || cursor.take(&ROUND);
        if !joined || !matches!(cursor.kind(0), Some(Kind::Number(_) | Kind::Ordinal(_))) {
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
    let sign = word || cursor.take_mark(&['#']);
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

/// "1st row", "2nd and 4th rows", "2nd and every foll alt row".
fn ordinals(cursor: &mut Cursor<'_>, label: &mut Label) -> Option<Vec<u32>> {
    let start = *cursor;
    if !matches!(cursor.kind(0), Some(Kind::Ordinal(_))) {
        return None;
    }
    let found = numbers(cursor)?;
    if row_word(cursor, label) {
        return Some(found);
    }
    let before = *cursor;
    if (cursor.take(&["and"]) || cursor.take_mark(&['&']))
        && let Some(all) = every(cursor, label)
    {
        label.every = Some(all);
        return Some(found);
    }
    *cursor = before;
    let _ = start;
    None
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

/// What follows the numbers: the side, the many rows besides, those left out.
fn qualifiers(cursor: &mut Cursor<'_>, label: &mut Label) -> Option<()> {
    loop {
        let before = *cursor;
        let bracket = cursor.take_mark(&['(', '[']);
        let _ = cursor.take_mark(&[',']);
        // "Row 1 - RS:".
        let dash = !bracket && label.side.is_none() && cursor.take_mark(&['-', '–', '—']);
        if dash && !matches!(cursor.word(0), Some("rs" | "ws" | "right" | "wrong")) {
            *cursor = before;
            return Some(());
        }
        if let Some(found) = side(cursor) {
            label.side = Some(found);
            let _ = cursor.take(&["row", "rows", "facing", "side"]);
        } else if cursor.take(&["except", "but"]) {
            let _ = cursor.take(&["for", "not", "in", "on"]);
            let _ = cursor.take(&ROW) || cursor.take(&ROUND);
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
            *cursor = before;
            return Some(());
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
    let named = cursor.take(&ROW) || cursor.take(&ROUND);
    let last = row_number(cursor)?;
    if !named {
        let _ = cursor.take(&ROW) || cursor.take(&ROUND);
    }
    let _ = cursor.take(&["inclusive", "incl"]);
    Some(last)
}

/// Takes a remark in brackets or behind a comma, where the label goes on or ends behind it.
fn remark(cursor: &mut Cursor<'_>, label: &mut Label) -> bool {
    let before = *cursor;
    let bracket = cursor.take_mark(&['(', '[']);
    if bracket || cursor.take_mark(&[',']) {
        let start = cursor.token(0).map(|token| token.start);
        let mut end = None;
        while cursor.word(0).is_some() || matches!(cursor.kind(0), Some(Kind::Number(_) | Kind::Ordinal(_))) {
            end = cursor.token(0).map(|token| token.end);
            cursor.at += 1;
        }
        let closed = !bracket || cursor.take_mark(&[')', ']']);
        let goes_on = match cursor.kind(0) {
            Some(Kind::Mark(':')) => true,
            // "Row 1, knit (10 sts)" has no label that goes on.
            Some(Kind::Mark('(')) => bracket,
            _ => false,
        };
        if closed && goes_on {
            label.remarks.extend(start.zip(end));
            return true;
        }
    }
    *cursor = before;
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str) -> String {
        let Some(label) = label(text) else { return "none".into() };
        let mut out = format!("{:?}", label.numbers);
        if label.next > 0 {
            out.push_str(&format!(" next {}", label.next));
        }
        if label.set_up {
            out.push_str(" set-up");
        }
        if let Some(side) = label.side {
            out.push_str(&format!(" {}", side.word()));
        }
        if label.worked == Worked::Round {
            out.push_str(" rnd");
        }
        if let Some(every) = label.every {
            out.push_str(&format!(" {:?} {:?}", every.kind, every.except));
            if let Some(last) = every.last {
                out.push_str(&format!(" to {last}"));
            }
        }
        format!("{out} | {}", &text[label.length..])
    }

    /// Source: domain.md section 5, standards.md section 5 (W5, W6, W12, P2b); ours: the style files.
    #[test]
    fn labels_in_print() {
        for (text, expected) in [
            ("Row 1 (RS): K2.", "[1] RS | K2."),
            ("Row 1: K2.", "[1] | K2."),
            ("1st row (wrong side): K2.", "[1] WS | K2."),
            ("7th row: As 5th row.", "[7] | As 5th row."),
            ("Rnd 12: K2.", "[12] rnd | K2."),
            ("Rows 2 and 4: Purl.", "[2, 4] | Purl."),
            ("Rows 3-6: Rep Rows 1-2.", "[3, 4, 5, 6] | Rep Rows 1-2."),
            ("Rows 1, 3 & 5 (RS) - K2.", "[1, 3, 5] RS | K2."),
            ("Row 2 and all WS rows: P to end.", "[2] Of(Ws) [] | P to end."),
            ("Row 2 and all WS rows except Rows 8 and 12: Knit.", "[2] Of(Ws) [8, 12] | Knit."),
            ("Row 2 (and all WS rows): P.", "[2] Of(Ws) [] | P."),
            ("Row 2 and all even-numbered rows: P.", "[2] Even [] | P."),
            ("Round two and all even-numbered rounds except round eight. Knit.", "[2] rnd Even [8] | Knit."),
            ("2nd and every foll alt row: P.", "[2] Alternate [] | P."),
            ("All WS rows: P.", "[] Of(Ws) [] | P."),
            ("Row 2 and all even rows through 6: P.", "[2] Even [] to 6 | P."),
            ("Row 2 and all WS rows to Row 10: P.", "[2] Of(Ws) [] to 10 | P."),
            ("2nd and every foll alt row up to and including 10th row: P.", "[2] Alternate [] to 10 | P."),
            ("Row 2 (and all WS rows through Row 8): P.", "[2] Of(Ws) [] to 8 | P."),
            ("All WS rows to end", "[] Of(Ws) [] | to end"),
            ("Row 2 and every foll alt row: P.", "[2] Alternate [] | P."),
            ("Rows 2, 4 and 6: P.", "[2, 4, 6] | P."),
            ("All even rows: P.", "[] Even [] | P."),
            ("Even-numbered rounds: K.", "[] rnd Even [] | K."),
            ("All other rows: K.", "[] Rest [] | K."),
            ("Every row: K1, *p1, k1; rep from *.", "[] All [] | K1, *p1, k1; rep from *."),
            ("Row one, right side. Knit two.", "[1] RS | Knit two."),
            ("Row 3, wrong side: knit 2.", "[3] WS | knit 2."),
            ("Row twenty-three, wrong side. Knit two.", "[23] WS | Knit two."),
            ("R3: K2.", "[3] | K2."),
            ("1st row: (RS) K3, p2.", "[1] RS | K3, p2."),
            ("Row 2: [WS] (k1, p1) twice.", "[2] WS | (k1, p1) twice."),
            ("Row 2: (k1, p1) twice.", "[2] | (k1, p1) twice."),
            ("Rows 1 + 3 (RS): K3.", "[1, 3] RS | K3."),
            ("R 3: K2.", "[3] | K2."),
            ("R 3 K2.", "none"),
            ("Row 7 (inc row) (RS): K2.", "[7] RS | K2."),
            ("Row 3 (RS) (navy): K2.", "[3] RS | K2."),
            ("Row 3, navy: K2.", "[3] | K2."),
            ("Row 3, knit (10 sts)", "[3] | , knit (10 sts)"),
            ("Row 7 (k1, p1) twice", "[7] | (k1, p1) twice"),
            ("Next row (RS): K2.", "[] next 1 RS | K2."),
            ("Foll. 2 rows: Knit.", "[] next 2 | Knit."),
            ("Following rnd: K2.", "[] next 1 rnd | K2."),
            ("Row #3: K2.", "[3] | K2."),
            ("Rows No. 3 and 4: K2.", "[3, 4] | K2."),
            ("Row 1 K2, p2", "[1] | K2, p2"),
            ("Set-up row (WS): Purl.", "[0] set-up WS | Purl."),
            ("Foundation round: Knit.", "[0] set-up rnd | Knit."),
            ("Setup Row 2: Purl.", "[2] set-up | Purl."),
            ("Row 0 (WS): Purl.", "[0] WS | Purl."),
            ("Set up the loom", "none"),
            ("Row 1 - RS: Knit.", "[1] RS | Knit."),
            ("1st row: (RS) K2.", "[1] RS | K2."),
            ("2nd row: [Wrong side]: K2.", "[2] WS | K2."),
            ("Row 3 (RS): (RS facing) K2.", "[3] RS | K2."),
            ("Row 2 (WS): (RS) K2.", "[2] WS | (RS) K2."),
            ("Row 1: (k1, p1) twice.", "[1] | (k1, p1) twice."),
            ("WS Row 2: Purl.", "[2] WS | Purl."),
            ("Row 3 - K3.", "[3] | K3."),
            ("Row 1.", "none"),
            ("Rep Rows 1-4 until piece measures 20 cm.", "none"),
            ("Rows of lace are easy.", "none"),
            ("Round the corner", "none"),
            ("Rows 9-2: K.", "none"),
            ("All yarns are held double.", "none"),
        ] {
            assert_eq!(shown(text), expected, "{text}");
        }
    }
}
