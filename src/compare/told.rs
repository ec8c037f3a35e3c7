//! Differences in words: where, what the one says, what the other says.

use std::ops::Range;

use super::Side;
use super::lines::{Line, Lines};
use super::stitches::Pair;
use crate::pattern::{Hand, Size, Worked};
use crate::place::Place;
use crate::problem::{Code, Finding};

/// Stitches of two rows that are not the same, by their indexes in the order compared; either may be empty.
pub(super) struct Stretch {
    pub(super) left: Range<usize>,
    pub(super) right: Range<usize>,
}

/// What differs between two patterns as wholes.
pub(super) fn wholes(left: Side<'_>, right: Side<'_>) -> Vec<Finding> {
    let (one, two) = (left.pattern, right.pattern);
    let place = || one.rows.first().map_or_else(|| Place::file(&one.source), |row| row.place.clone());
    let mut findings = Vec::new();
    if one.worked != two.worked {
        let way = |worked| if worked == Worked::Round { "in the round" } else { "flat" };
        findings.push(
            Finding::new(
                Code::PatternDiffers,
                place(),
                format!(
                    "{} is worked {}, {} {}; their rows were not compared.",
                    left.called,
                    way(one.worked),
                    right.called,
                    way(two.worked)
                ),
            )
            .found(way(one.worked))
            .expected(way(two.worked))
            .help("Say it in both, in the sheet or the settings: worked = \"flat\" or \"round\"."),
        );
    }
    if one.cast_on != two.cast_on {
        findings.push(
            Finding::new(
                Code::PatternDiffers,
                place(),
                format!(
                    "{} casts on {} sts, {} casts on {} sts.",
                    left.called, one.cast_on, right.called, two.cast_on
                ),
            )
            .found(format!("{} sts", one.cast_on))
            .expected(format!("{} sts", two.cast_on))
            .help("Correct the one that is wrong; a pattern with a repeat can be compared at a width, with --cast-on."),
        );
    }
    let named = (!one.sizes.is_empty() && !two.sizes.is_empty()) && one.sizes != two.sizes;
    if named {
        let (first, second) = (sizes(&one.sizes), sizes(&two.sizes));
        findings.push(
            Finding::new(
                Code::PatternDiffers,
                place(),
                format!("The sizes of {} are {first}; those of {} are {second}.", left.called, right.called),
            )
            .found(first)
            .expected(second)
            .help("Correct the one that is wrong: its names, or the stitches cast on for each."),
        );
    }
    if let (Some(first), Some(second)) = (one.multiple, two.multiple)
        && !first.is_as(second)
        && !named
    {
        findings.push(
            Finding::new(
                Code::PatternDiffers,
                place(),
                format!("{} is {first}, {} is {second}.", left.called, right.called),
            )
            .found(first.to_string())
            .expected(second.to_string())
            .help("Look at the repeat of both: how wide it is, and what stands beside it."),
        );
    }
    if one.hand != two.hand {
        let hand = |hand| if hand == Hand::Left { "left-handed" } else { "right-handed" };
        findings.push(
            Finding::new(
                Code::WorkedOtherwise,
                place(),
                format!(
                    "{} is for a {} knitter, {} for a {} one: their rows were compared from opposite edges.",
                    left.called,
                    hand(one.hand),
                    right.called,
                    hand(two.hand)
                ),
            )
            .found(hand(one.hand))
            .expected(hand(two.hand)),
        );
    }
    findings
}

/// Sizes with the stitches cast on for each: "S (23 sts), M (29 sts)".
fn sizes(sizes: &[Size]) -> String {
    sizes.iter().map(|size| format!("{} ({} sts)", size.name, size.cast_on)).collect::<Vec<_>>().join(", ")
}

/// A row that the other pattern has not.
pub(super) fn row(has: &Lines<'_>, line: &Line<'_>, lacks: &Lines<'_>) -> Finding {
    let row = line.row;
    Finding::new(
        Code::RowUnmatched,
        row.place.clone(),
        format!(
            "Row {} ({}) of {} has no like in {}: {}.",
            row.number,
            row.side.word(),
            has.called,
            lacks.called,
            has.printed(line, 0, line.looks.len())
        ),
    )
    .row(row.number)
    .help("Take it out of the one, or add it to the other.")
}

/// Two rows worked on different sides.
pub(super) fn sides(left: &Lines<'_>, one: &Line<'_>, right: &Lines<'_>, two: &Line<'_>) -> Finding {
    let (a, b) = (one.row.side.word(), two.row.side.word());
    Finding::new(
        Code::PatternDiffers,
        one.row.place.clone(),
        format!(
            "Row {} is a {a} row in {}, a {b} row in {}, and so are those after it.",
            one.row.number, left.called, right.called
        ),
    )
    .row(one.row.number)
    .found(a)
    .expected(b)
    .help("Say in both which side Row 1 is: first-side = \"RS\" or \"WS\".")
}

/// Stitches that are not the same.
pub(super) fn stitches(
    left: &Lines<'_>,
    one: &Line<'_>,
    right: &Lines<'_>,
    two: &Line<'_>,
    stretch: &Stretch,
) -> Finding {
    let reading = |lines: &Lines<'_>, line: &Line<'_>, range: &Range<usize>| {
        if range.is_empty() {
            next(lines, line, range.start)
        } else {
            lines.printed(line, range.start, range.len())
        }
    };
    let (here, there) = (reading(left, one, &stretch.left), reading(right, two, &stretch.right));
    let (at, with) = (place_in_row(one, &stretch.left), place_in_row(two, &stretch.right));
    let number = one.row.number;
    let other = match (two.row.number == number, at == with) {
        (true, true) => String::new(),
        (true, false) => format!(" at its {with}"),
        (false, _) => format!(" at {with} of its Row {}", two.row.number),
    };
    let (a, b) = (left.called, right.called);
    // A row that has nothing more there.
    let going_on = |line: &Line<'_>, range: &Range<usize>, what: &str, how: &str| {
        if range.start < line.looks.len() {
            format!("{how} with {what}")
        } else {
            format!("{how} no further")
        }
    };
    let mut message = format!("Row {number}, {at}: ");
    message += &match (stretch.left.is_empty(), stretch.right.is_empty()) {
        (true, false) => {
            let here = going_on(one, &stretch.left, &here, "goes on");
            format!("{a} lacks {there}, which {b} has{other}, and {here}")
        }
        (false, true) => {
            let there = going_on(two, &stretch.right, &there, "going on");
            format!("{a} has {here}, which {b} lacks{other}, {there}")
        }
        _ => format!("{a} has {here}, {b} has {there}{other}"),
    };
    if let Some((one, two)) = runs(left, one, right, two, stretch) {
        message += &format!(" ({one} in {a}, {two} in {b})");
    }
    message.push('.');
    let where_right = two.row.place_of(first_worked(two, &stretch.right));
    Finding::new(Code::StitchDiffers, one.row.place_of(first_worked(one, &stretch.left)), message)
        .row(number)
        .found(here)
        .expected(there)
        .help(format!("Compare with {where_right}, and correct the one that is wrong."))
}

/// ", and again at stitches 14 and 20.": where a repeat has the same difference.
pub(super) fn again(many: bool, stitches: &[usize]) -> String {
    /// More places than these tell a reader no more.
    const MOST: usize = 6;
    let at = if many { "from" } else { "at" };
    let word = if stitches.len() == 1 { "stitch" } else { "stitches" };
    let mut places: Vec<String> = stitches.iter().take(MOST).map(ToString::to_string).collect();
    match stitches.len().saturating_sub(MOST) {
        0 => {}
        more => places.push(format!("{more} more")),
    }
    let last = places.pop().unwrap_or_default();
    let places = if places.is_empty() { last } else { format!("{} and {last}", places.join(", ")) };
    format!(", and again {at} {word} {places}.")
}

/// What follows where one row has nothing of its own.
fn next(lines: &Lines<'_>, line: &Line<'_>, at: usize) -> String {
    if at < line.looks.len() { lines.printed(line, at, 1) } else { "the end of the row".to_owned() }
}

/// "stitch 7", "stitches 7 to 9", as worked.
fn place_in_row(line: &Line<'_>, range: &Range<usize>) -> String {
    if range.len() < 2 {
        return format!("stitch {}", first_worked(line, range) + 1);
    }
    let (one, two) = (line.worked(range.start), line.worked(range.end - 1));
    format!("stitches {} to {}", one.min(two) + 1, one.max(two) + 1)
}

/// The first stitch of a stretch, as worked.
pub(super) fn first_worked(line: &Line<'_>, range: &Range<usize>) -> usize {
    let last = range.end.saturating_sub(1).max(range.start);
    line.worked(range.start).min(line.worked(last))
}

/// The runs that a stitch too many or too few stands in: "k5" and "k4".
fn runs(
    left: &Lines<'_>,
    one: &Line<'_>,
    right: &Lines<'_>,
    two: &Line<'_>,
    stretch: &Stretch,
) -> Option<(String, String)> {
    let (more, range) = match (stretch.left.is_empty(), stretch.right.is_empty()) {
        (true, false) => (two, &stretch.right),
        (false, true) => (one, &stretch.left),
        _ => return None,
    };
    let name = more.looks.get(range.start)?;
    if !more.looks.get(range.clone())?.iter().all(|other| other == name) {
        return None;
    }
    let run = |lines: &Lines<'_>, line: &Line<'_>, at: usize| {
        let like = |other: &&String| *other == name;
        let before = line.looks.get(..at).into_iter().flatten().rev().take_while(like).count();
        let after = line.looks.get(at..).into_iter().flatten().take_while(like).count();
        let count = before + after;
        (count > 0).then(|| lines.printed(line, at - before, count))
    };
    Some((run(left, one, stretch.left.start)?, run(right, two, stretch.right.start)?))
}

/// Stitches that make the same fabric worked otherwise.
pub(super) fn alike(left: &str, right: &str, pair: &Pair) -> Finding {
    let more = match pair.times {
        1 => String::new(),
        2 => ", and once more".to_owned(),
        times => format!(", and {} times more", times - 1),
    };
    Finding::new(
        Code::WorkedOtherwise,
        pair.place.clone(),
        format!(
            "Row {}, stitch {}{more}: {left} has {}, {right} has {}, which makes the same fabric.",
            pair.row, pair.stitch, pair.left, pair.right
        ),
    )
    .row(pair.row)
    .found(&pair.left)
    .expected(&pair.right)
    .help("Nothing, if both words are meant; --strict counts it as a difference.")
}
