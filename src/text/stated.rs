//! The count that a row's text states: "(24 sts)", "[10 (15, 20) sts]", "24 sts, 6 on each needle".

use super::facts::counts;
use crate::words::rows::lex::{Cursor, Kind, tokens};
use crate::words::texts;

/// The count a row's text states.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Stated {
    /// So many stitches after the row, for each size.
    Count(Vec<u32>),
    /// So many more than before it, for each size.
    More(Vec<u32>),
    /// So many fewer than before it, for each size.
    Fewer(Vec<u32>),
}

impl Stated {
    /// Whether it says how many stitches there are, and not by how many they change.
    pub(super) const fn is_count(&self) -> bool {
        matches!(self, Self::Count(_))
    }

    /// Its numbers: one for all sizes, or one for each.
    pub(super) fn numbers(&self) -> &[u32] {
        match self {
            Self::Count(numbers) | Self::More(numbers) | Self::Fewer(numbers) => numbers,
        }
    }
}

/// The longest ending that is looked at for a count, in bytes.
const ENDING: usize = 160;

/// Parts the count from the end of a row's text: bytes of the work, and the count.
pub(super) fn part_count(text: &str) -> (usize, Option<Stated>) {
    let text = text.trim_end();
    if let Some((kept, stated)) = emphasised(text) {
        return (kept, Some(stated));
    }
    let mut from = text.len().saturating_sub(ENDING);
    while !text.is_char_boundary(from) {
        from += 1;
    }
    let ending = &text[from..];
    for (at, c) in ending.char_indices() {
        let before = &text[..from + at];
        let apart = before.is_empty() || before.ends_with(char::is_whitespace) || before.ends_with('.');
        let opens = match c {
            '(' | '[' | '{' | '.' | ';' | ':' | '—' | '=' | '>' | '→' | '⇒' => true,
            '-' | '–' => apart,
            // "K2tog, 19 sts", and not inside of brackets.
            ',' => !text.ends_with([')', ']']) || ending[at..].contains(['(', '[']),
            _ => false,
        };
        if !opens {
            continue;
        }
        if let Some(stated) = stated(&ending[at + c.len_utf8()..]) {
            let kept = match c {
                // "K8 ..... 8 sts".
                '.' => before.trim_end_matches('.').len() + 1,
                '>' => before.trim_end_matches('=').len(),
                _ => from + at,
            };
            return (kept, Some(stated));
        }
    }
    (text.len(), None)
}

/// A count in the marks of slanted or bold print, "*(12 sts)*", "_12 sts_": bytes of the work before it, and the count.
fn emphasised(text: &str) -> Option<(usize, Stated)> {
    let mark = text.chars().next_back().filter(|last| matches!(last, '*' | '_'))?;
    let inside = text.trim_end_matches(mark);
    let marks = text.get(inside.len()..)?;
    let opens = inside.rfind(marks).filter(|at| inside.len() - at <= ENDING)?;
    let said = inside.get(opens + marks.len()..)?.trim_start_matches(['(', '[', '=', '–', '—', ' ']);
    Some((text.get(..opens)?.trim_end().len(), stated(said)?))
}

/// Parts a bare number in brackets, "K9. (9)", from the end of a row's text: bytes of the work, and the count. Where
/// there are sizes it may be the number of the second one.
pub(super) fn part_bare_count(text: &str) -> Option<(usize, Stated)> {
    let text = text.trim_end().trim_end_matches('.').trim_end();
    let (inside, open) = match text.strip_suffix(')') {
        Some(inside) => (inside, '('),
        None => (text.strip_suffix(']')?, '['),
    };
    let at = inside.rfind(open)?;
    let digits = inside.get(at + 1..)?.trim();
    let number = digits.bytes().all(|byte| byte.is_ascii_digit()).then(|| digits.parse().ok()).flatten()?;
    let work = text.get(..at)?.trim_end();
    // "[K1, p1] (4)" may say how often.
    (number > 0 && !work.is_empty() && !work.ends_with([')', ']', '*']))
        .then(|| (at, Stated::Count(vec![number])))
}

fn stated(ending: &str) -> Option<Stated> {
    let said = texts();
    let found = tokens(ending);
    let mut cursor = Cursor::new(&found);
    let mut stated = None;
    while !cursor.at_end() {
        while cursor.take(&said.before_count) {}
        let named = cursor.take_all(&["st", "count"]) || cursor.take_all(&["stitch", "count"]);
        // "Sts: 9".
        let counted = named || cursor.take(&["sts", "stitches"]) && cursor.take_mark(&[':']);
        let _ = cursor.take_mark(&[':']);
        // "(+2 sts)".
        let more = cursor.take_mark(&['+']);
        let fewer = !more && stated.is_none() && is_less(&cursor) && cursor.take_mark(&['-', '\u{2212}']);
        let numbers = counts(&mut cursor)?;
        if !cursor.take_stitches() && !counted {
            return None;
        }
        let _ = cursor.take(&["have", "has", "been"]) && cursor.take(&["been"]);
        let change = if more || cursor.take(&["inc", "increased", "incd"]) {
            Some(Stated::More(numbers.clone()))
        } else if fewer || cursor.take(&["dec", "decreased", "decd"]) {
            Some(Stated::Fewer(numbers.clone()))
        } else {
            None
        };
        if change.is_some() && cursor.take_mark(&['\'', '’', '.']) {
            let _ = cursor.take(&["d"]);
        }
        while lies_on_needles(&mut cursor)
            || cursor.take(&said.behind_count)
            || cursor.take_mark(&[')', ']', '}', '.', ';', ',', '(', '['])
        {}
        // "(2 sts inc'd - 25 sts)".
        let _ = cursor.take_mark(&['-', '–', '—', '=', '/']);
        // "(2 sts inc'd; 25 sts)": the total tells more.
        stated = match (stated, change) {
            (Some(Stated::Count(total)), Some(_)) => Some(Stated::Count(total)),
            (_, Some(change)) => Some(change),
            (_, None) => Some(Stated::Count(numbers)),
        };
    }
    stated
}

/// Takes how the stitches that were counted lie: "4 on each needle", ": 4 sts per needle", "3 needles".
fn lies_on_needles(cursor: &mut Cursor<'_>) -> bool {
    let said = texts();
    let before = *cursor;
    let _ = cursor.take_mark(&[':', '-', '–', '—']);
    if cursor.number().is_some() {
        let counted = cursor.take_stitches();
        let each = said.on_each.iter().any(|each| cursor.take_phrase(each));
        if (each || !counted) && cursor.take(&said.needles) {
            return true;
        }
    }
    *cursor = before;
    false
}

/// Whether a minus sign stands right before a number, "(-2 sts)"; a dash that only leads to a count has room behind it.
fn is_less(cursor: &Cursor<'_>) -> bool {
    matches!((cursor.token(0), cursor.token(1)), (Some(sign), Some(number))
        if sign.end == number.start && matches!(number.kind, Kind::Number(_)))
}

/// Whether a line is nothing but a count, "= 13 sts", "(13 sts)".
pub(super) fn is_count(line: &str) -> bool {
    count_of(line).is_some()
}

/// The count that a line is, if it is nothing else: for each size.
pub(super) fn count_of(line: &str) -> Option<Vec<u32>> {
    let line = line.trim();
    let alone = line.trim_start_matches(['=', '(', '[', '-', '–', '—', ' ']);
    let may_be = alone.starts_with(|c: char| c.is_ascii_digit()) && alone.len() < 60;
    match may_be.then(|| stated(alone)).flatten()? {
        Stated::Count(counts) => Some(counts),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: standards.md section 5 (W2, W9, W10, W11), domain.md section 5.
    #[test]
    fn counts_are_parted_off() {
        for (text, work, stated) in [
            ("K2, yo, k2. (5 sts)", "K2, yo, k2.", Some(Stated::Count(vec![5]))),
            ("K2, yo, k2 [5 sts].", "K2, yo, k2", Some(Stated::Count(vec![5]))),
            ("K2, yo, k2 — 5 sts", "K2, yo, k2", Some(Stated::Count(vec![5]))),
            ("K2, yo, k2. 5 sts.", "K2, yo, k2.", Some(Stated::Count(vec![5]))),
            (
                "K2. Yarn over. Knit two. Twenty-five stitches.",
                "K2. Yarn over. Knit two.",
                Some(Stated::Count(vec![25])),
            ),
            ("K2. [10 (15, 20) sts]", "K2.", Some(Stated::Count(vec![10, 15, 20]))),
            ("K2. 10, 15, 20 stitches.", "K2.", Some(Stated::Count(vec![10, 15, 20]))),
            ("K2, k2tog. (2 sts dec'd)", "K2, k2tog.", Some(Stated::Fewer(vec![2]))),
            ("K2. (24 sts rem)", "K2.", Some(Stated::Count(vec![24]))),
            ("K2, yo. (+1 st)", "K2, yo.", Some(Stated::More(vec![1]))),
            ("K2tog [-1 st]", "K2tog", Some(Stated::Fewer(vec![1]))),
            ("K2 -24 sts", "K2", Some(Stated::Count(vec![24]))),
            ("K2 (sts: 9)", "K2", Some(Stated::Count(vec![9]))),
            ("K2 => 9 sts", "K2", Some(Stated::Count(vec![9]))),
            ("K2 → 9 sts", "K2", Some(Stated::Count(vec![9]))),
            ("*K2, p2; rep from * to last 3 sts.", "*K2, p2; rep from * to last 3 sts.", None),
            ("K2, (k1, p1) in next 2 sts", "K2, (k1, p1) in next 2 sts", None),
            ("K3 sts.", "K3 sts.", None),
        ] {
            let (length, found) = part_count(text);
            assert_eq!((text[..length].trim_end(), found), (work, stated), "{text}");
        }
    }
}
