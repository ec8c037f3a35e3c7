//! Facts told before the rows: "Worked flat.", "Cast on 23 sts.", "Multiple of 6 sts + 5.", "Sizes: S (M, L)."

use super::lex::{Cursor, Kind, Token, tokens};
use super::sized::by_size;
use crate::pattern::{Hand, Multiple, Worked};

/// What a text says of its pattern.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Facts {
    pub(crate) worked: Option<Worked>,
    pub(crate) hand: Option<Hand>,
    /// Stitches to cast on, for each size; one where there are no sizes.
    pub(crate) cast_on: Vec<u32>,
    /// A width that is told without a cast-on: "a panel of 7 sts".
    pub(crate) over: Option<u32>,
    pub(crate) multiple: Option<Multiple>,
    /// Names of the sizes.
    pub(crate) sizes: Vec<String>,
    /// Colours, as a line lists them: "navy", "MC (navy)".
    pub(crate) colours: Vec<String>,
}

/// Reads the facts of a line; what is known already stays. Tells whether the line holds any, and whether it holds
/// nothing else.
pub(crate) fn read(line: &str, facts: &mut Facts) -> (bool, bool) {
    let (mut any, mut only) = (false, true);
    for sentence in sentences(line) {
        let (found, whole) = sentence_facts(sentence, facts);
        any |= found;
        only &= found && whole;
    }
    (any, any && only)
}

/// The sentences of a line. The second full stop of "C.O." ends none.
pub(crate) fn sentences(line: &str) -> impl Iterator<Item = &str> {
    let mut rest = line;
    std::iter::from_fn(move || {
        if rest.is_empty() {
            return None;
        }
        let mut stops = rest.match_indices(". ").map(|(at, stop)| at + stop.len());
        let end = stops.find(|&end| rest.get(..end).is_some_and(|said| !is_dotted(said) && !is_cut(said)));
        let (sentence, after) = rest.split_at_checked(end.unwrap_or(rest.len()))?;
        rest = after;
        Some(sentence.trim())
    })
    .filter(|sentence| !sentence.is_empty())
}

/// Whether words end with one that is cut short by its full stop, "mult. of 4 sts".
fn is_cut(words: &str) -> bool {
    let last = words.split_whitespace().next_back().unwrap_or_default();
    last.eq_ignore_ascii_case("mult.")
}

/// Whether words end with letters that have a full stop each: "C.O. ".
fn is_dotted(words: &str) -> bool {
    let last = words.split_whitespace().next_back().unwrap_or_default();
    let mut letters = last.split_terminator('.').map(|letter| letter.chars().count());
    last.matches('.').count() > 1 && letters.all(|count| count == 1)
}

fn sentence_facts(sentence: &str, facts: &mut Facts) -> (bool, bool) {
    // "Cast on **54** sts": the marks of bold print say nothing.
    let found: Vec<Token> =
        tokens(sentence).into_iter().filter(|token| !matches!(token.kind, Kind::Mark('*' | '_'))).collect();
    let mut cursor = Cursor::new(&found);
    if let Some(sizes) = sizes(sentence, &found) {
        if facts.sizes.is_empty() {
            facts.sizes = sizes;
        }
        return (true, true);
    }
    let (mut any, mut whole) = (false, true);
    let known = !facts.cast_on.is_empty();
    while !cursor.at_end() {
        let before = cursor.at;
        // "Cast on 5 sts, place marker, cast on 5 sts."
        let held = if known { Vec::new() } else { std::mem::take(&mut facts.cast_on) };
        let fact = one_fact(&mut cursor, facts);
        if facts.cast_on.len() == held.len() {
            facts.cast_on.iter_mut().zip(&held).for_each(|(more, held)| *more = more.saturating_add(*held));
        } else if !held.is_empty() {
            facts.cast_on = held;
        }
        any |= fact;
        if !fact {
            cursor.at = before;
            // Marks and little words part facts; anything else is prose beside them.
            let joins = cursor.take(&["and", "a", "the", "on", "over", "for"])
                || matches!(cursor.kind(0), Some(Kind::Mark(_)));
            whole &= joins;
            cursor.at = before + 1;
        }
    }
    (any, any && whole)
}

fn one_fact(cursor: &mut Cursor<'_>, facts: &mut Facts) -> bool {
    let start = *cursor;
    if cursor.take(&["worked", "work", "knit", "knitted"]) {
        let flat = cursor.take(&["flat"])
            || cursor.take_all(&["back", "and", "forth"])
            || cursor.take_all(&["in", "rows"]);
        if flat {
            let _ = cursor.take_all(&["in", "rows"]);
            facts.worked = facts.worked.or(Some(Worked::Flat));
            return true;
        }
        if in_the_round(cursor) {
            facts.worked = facts.worked.or(Some(Worked::Round));
            return true;
        }
        *cursor = start;
        return false;
    }
    if in_the_round(cursor) {
        facts.worked = facts.worked.or(Some(Worked::Round));
        return true;
    }
    if joins(cursor) {
        facts.worked = facts.worked.or(Some(Worked::Round));
        return true;
    }
    if cursor.take_all(&["back", "and", "forth"]) {
        facts.worked = facts.worked.or(Some(Worked::Flat));
        return true;
    }
    if cursor.take_all(&["left", "handed"]) {
        let _ = cursor.take(&["knitters", "knitter"]);
        facts.hand = facts.hand.or(Some(Hand::Left));
        return true;
    }
    if let Some(multiple) = multiple(cursor) {
        facts.multiple = facts.multiple.or(Some(multiple));
        return true;
    }
    *cursor = start;
    if cursor.take_all(&["cast", "on"]) || cursor.take(&["co"]) || dotted(cursor, ["c", "o"]) {
        let _ = cursor.take_mark(&[':', '-', '–']);
        let _ = cursor.take(&["loosely"]);
        if let Some(counts) = counts(cursor) {
            let _ = cursor.take_stitches();
            if facts.cast_on.is_empty() {
                facts.cast_on = counts;
            }
            return true;
        }
        let _ = cursor.take(&["a", "any"]);
        if let Some(multiple) = multiple(cursor) {
            facts.multiple = facts.multiple.or(Some(multiple));
            return true;
        }
    }
    *cursor = start;
    // What is picked up before the first row is what it is worked on.
    if (cursor.take_all(&["pick", "up", "and", "knit"]) || cursor.take_all(&["pick", "up"]))
        && let Some(counts) = counts(cursor)
        && cursor.take_stitches()
    {
        if facts.cast_on.is_empty() {
            facts.cast_on = counts;
        }
        return true;
    }
    *cursor = start;
    if (cursor.take_all(&["panel", "of"]) || cursor.take_all(&["worked", "over"]) || cursor.take(&["over"]))
        && let Some(over) = cursor.number()
        && cursor.take_stitches()
    {
        facts.over = facts.over.or(Some(over));
        return true;
    }
    *cursor = start;
    false
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

fn in_the_round(cursor: &mut Cursor<'_>) -> bool {
    cursor.take_all(&["in", "the", "round"])
        || cursor.take_all(&["in", "rounds"])
        || cursor.take_all(&["in", "rnds"])
}

/// "Join", "join, being careful not to twist": what is joined is the round. "Join navy" is not taken.
fn joins(cursor: &mut Cursor<'_>) -> bool {
    let before = *cursor;
    if cursor.take(&["join", "joining"]) {
        let _ = cursor.take(&["sts", "stitches", "ends", "work"]);
        let _ = cursor.take_all(&["into", "a", "ring"]) || cursor.take_all(&["into", "a", "circle"]);
        let ends = cursor.at_end() || cursor.take_mark(&['.']) && cursor.at_end();
        if ends {
            return true;
        }
        // All that is said behind it is how.
        let mut rest = *cursor;
        while !rest.at_end() {
            if rest.take(&["twist", "twisted", "twisting"]) {
                cursor.at = rest.at;
                return true;
            }
            rest.at += 1;
        }
    }
    *cursor = before;
    false
}

/// "Multiple of 6 sts + 5", "a multiple of 6 stitches plus 5 stitches", "an odd number of sts".
fn multiple(cursor: &mut Cursor<'_>) -> Option<Multiple> {
    if cursor.take_all(&["odd", "number", "of"]) {
        return cursor.take_stitches().then_some(Multiple { of: 2, plus: 1 });
    }
    if cursor.take_all(&["even", "number", "of"]) {
        return cursor.take_stitches().then_some(Multiple { of: 2, plus: 0 });
    }
    if !cursor.take(&["multiple", "multiples", "mult"]) {
        return None;
    }
    let _ = cursor.take_mark(&[':', '.']);
    let _ = cursor.take(&["of"]);
    let of = cursor.number().filter(|&of| of > 0)?;
    let _ = cursor.take_stitches();
    let mut plus = 0;
    let before = *cursor;
    let _ = cursor.take_mark(&[',']);
    if cursor.take_mark(&['+']) || cursor.take(&["plus"]) {
        match cursor.number() {
            Some(number) => {
                plus = number;
                let _ = cursor.take_stitches();
            }
            None => *cursor = before,
        }
    } else {
        *cursor = before;
    }
    Some(Multiple { of, plus })
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
    let mut before = *cursor;
    while all.len() < MOST_SIZES && (cursor.take_mark(&[',']) || cursor.take(&["and"])) {
        // "23, 29, 35 stitches".
        match cursor.number() {
            Some(number) => all.push(number),
            None => break,
        }
        before = *cursor;
    }
    *cursor = before;
    Some(all)
}

/// What sizes are measured in, "81 (86, 91) cm".
const UNITS: [&str; 8] = ["cm", "in", "ins", "inch", "inches", "months", "years", "yrs"];

/// "Sizes: S (M, L)", "Sizes: S, M, L".
fn sizes(sentence: &str, found: &[Token]) -> Option<Vec<String>> {
    let mut cursor = Cursor::new(found);
    if !cursor.take(&["size", "sizes"]) {
        return None;
    }
    let mark = cursor.token(0)?;
    if !cursor.take_mark(&[':']) {
        return None;
    }
    let names = sentence.get(mark.end..)?.trim().trim_end_matches('.');
    // "XS [S: M: L]"; elsewhere a colon belongs to the name. "S/M/L" are three, "S/M" is one.
    let colons = names.contains(['(', '[']) && names.contains(": ");
    let apart = names.contains(['(', ')', ',', ';', '[', ']']);
    let one_piece = ['/', '-', '–'].into_iter().find(|&mark| !apart && names.matches(mark).count() > 1);
    let names: Vec<String> = names
        .split(|c| {
            matches!(c, '(' | ')' | ',' | ';' | '[' | ']') || (colons && c == ':') || Some(c) == one_piece
        })
        .map(|name| name.split_whitespace().collect::<Vec<_>>().join(" "))
        .filter(|name| !(name.is_empty() || apart && UNITS.contains(&name.to_lowercase().as_str())))
        .collect();
    (!names.is_empty() && names.iter().all(|name| name.chars().count() <= 40)).then_some(names)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn facts(lines: &[&str]) -> Facts {
        let mut facts = Facts::default();
        for line in lines {
            assert!(read(line, &mut facts).1, "{line}: nothing else");
        }
        facts
    }

    /// The lines of our own styles, and of print (standards.md section 6, W7).
    #[test]
    fn facts_are_read() {
        let expected = Facts {
            worked: Some(Worked::Round),
            hand: Some(Hand::Left),
            cast_on: vec![23, 29, 35],
            over: None,
            multiple: Some(Multiple { of: 6, plus: 5 }),
            sizes: ["S", "M", "L"].map(str::to_owned).to_vec(),
            colours: Vec::new(),
        };
        let short = [
            "Worked in the round.",
            "For left-handed knitters.",
            "Sizes: S (M, L).",
            "Multiple of 6 sts + 5.",
            "Cast on 23 (29, 35) sts.",
        ];
        assert_eq!(facts(&short), expected);
        let spoken = [
            "Worked in the round.",
            "For left-handed knitters.",
            "Sizes: S, M, L.",
            "Multiple of six stitches plus five.",
            "Cast on twenty-three, twenty-nine, thirty-five stitches.",
        ];
        assert_eq!(facts(&spoken), expected);
        let mut bold = Facts::default();
        assert_eq!(read("Cast on **54** sts. __Worked in the round.__", &mut bold), (true, true));
        assert_eq!((bold.cast_on, bold.worked), (vec![54], Some(Worked::Round)));
        let mut told = Facts::default();
        assert_eq!(read("(multiple of 9 sts plus 4 sts)", &mut told), (true, true));
        assert_eq!(
            read("Using 4 mm needles, CO 22 sts loosely and join in the round.", &mut told),
            (true, false)
        );
        assert_eq!(
            (told.multiple, told.cast_on.clone(), told.worked),
            (Some(Multiple { of: 9, plus: 4 }), vec![22], Some(Worked::Round))
        );
        assert_eq!(read("Cast on loosely with any yarn.", &mut Facts::default()), (false, false));
        assert!(read("Worked over a panel of 7 sts.", &mut told).0);
        assert_eq!(told.over, Some(7));
    }
}
