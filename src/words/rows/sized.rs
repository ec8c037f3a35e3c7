//! Numbers that are given for each size: "23 (29, 35)", "23 [29: 35]", "23 (29) 35 (41)", "23 (29, 35) (41, 47)",
//! "23-29-35".

use super::lex::{Cursor, Kind};

/// Takes the numbers for up to so many sizes; none for a size that has a dash. Nothing is taken behind the last number that
/// surely belongs to them; one number alone is the number of all sizes.
pub(crate) fn by_size(cursor: &mut Cursor<'_>, most: usize) -> Option<Vec<Option<u32>>> {
    let mut all = vec![Some(cursor.number()?)];
    if let Some(rest) = in_one_piece(cursor) {
        all.extend(rest);
        return Some(all);
    }
    let mut bracketed = false;
    while all.len() < most {
        if let Some(inside) = in_brackets(cursor) {
            all.extend(inside);
            bracketed = true;
        } else if let Some(number) = bracketed.then(|| cursor.number()).flatten() {
            all.push(Some(number));
            bracketed = false;
        } else {
            break;
        }
    }
    Some(all)
}

/// Takes "(29, 35)", "[29: 35]", "(-, 35)".
fn in_brackets(cursor: &mut Cursor<'_>) -> Option<Vec<Option<u32>>> {
    let before = *cursor;
    let mut inside = Vec::new();
    let mut goes_on = cursor.take_mark(&['(', '[']);
    while goes_on {
        let number = cursor.number();
        if number.is_none() && !cursor.take_mark(&['-', '–', '—']) {
            break;
        }
        inside.push(number);
        goes_on = cursor.take_mark(&[',', ':', ';']) || cursor.take(&["and"]);
    }
    // "23 (29, 35 sts)"; "60 (20 sts per needle)" has one size.
    let mut ahead = *cursor;
    let counted = ahead.take_stitches() && ahead.take_mark(&[')', ']']);
    if inside.is_empty() || goes_on || !(cursor.take_mark(&[')', ']']) || counted) {
        *cursor = before;
        return None;
    }
    Some(inside)
}

/// Takes what goes on with "-29-35" or "/29/35", two at least: one could be a range, or a crossing.
fn in_one_piece(cursor: &mut Cursor<'_>) -> Option<Vec<Option<u32>>> {
    const CROSSINGS: [&str; 9] = ["rc", "lc", "rpc", "lpc", "rt", "lt", "right", "left", "over"];
    let before = *cursor;
    let mark = match cursor.kind(0) {
        Some(Kind::Mark(mark @ ('-' | '–' | '/'))) => *mark,
        _ => return None,
    };
    let joined = |cursor: &Cursor<'_>| {
        matches!((cursor.behind(), cursor.token(0), cursor.token(1)), (Some(one), Some(mark), Some(two))
            if one.end == mark.start && mark.end == two.start)
    };
    let mut rest = Vec::new();
    while joined(cursor) && cursor.take_mark(&[mark]) {
        match cursor.number() {
            Some(number) => rest.push(Some(number)),
            None => break,
        }
    }
    let crossing = cursor.word(0).is_some_and(|word| CROSSINGS.contains(&word));
    if rest.len() < 2 || crossing {
        *cursor = before;
        return None;
    }
    Some(rest)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::rows::lex::tokens;

    /// Source: standards.md section 5 (W3, W7, W9, L4, L5); the grouped form is common practice.
    #[test]
    fn numbers_by_size_are_taken_in_every_form() {
        for (text, expected, taken) in [
            ("23 (29, 35) sts", vec![Some(23), Some(29), Some(35)], 11),
            ("2[2, 2, 3]", vec![Some(2), Some(2), Some(2), Some(3)], 10),
            ("4 (-, 6)", vec![Some(4), None, Some(6)], 8),
            ("8 (10) 12 (14), p2", vec![Some(8), Some(10), Some(12), Some(14)], 14),
            ("8 (10: 12) (14: 16)", vec![Some(8), Some(10), Some(12), Some(14), Some(16)], 19),
            ("8-10-12 sts", vec![Some(8), Some(10), Some(12)], 7),
            ("8/10/12, p2", vec![Some(8), Some(10), Some(12)], 7),
            ("2/1/2 RC", vec![Some(2)], 1),
            ("8-10", vec![Some(8)], 1),
            ("3 (k1, p1)", vec![Some(3)], 1),
            ("3 (4, k1)", vec![Some(3)], 1),
            ("23 (29, 35 sts)", vec![Some(23), Some(29), Some(35)], 10),
            ("60 (20 sts per needle)", vec![Some(60)], 2),
            ("3 4", vec![Some(3)], 1),
        ] {
            let found = tokens(text);
            let mut cursor = Cursor::new(&found);
            assert_eq!(by_size(&mut cursor, usize::MAX), Some(expected), "{text}");
            assert_eq!(cursor.behind().map(|last| last.end), Some(taken), "{text}");
        }
        // Of two sizes the first bracket holds the second.
        let found = tokens("3 (4) 5");
        assert_eq!(by_size(&mut Cursor::new(&found), 2), Some(vec![Some(3), Some(4)]));
    }
}
