//! Rows that can't be worked on the stitches there are, or whose stitches and counts other rows tell.

use std::sync::Arc;

use super::{counted, numbers, shown, stitches, unreadable};
use crate::place::Place;
use crate::problem::{Code, Finding};
use crate::text::find::Draft;
use crate::text::needle::{Untold, Unworkable};
use crate::text::order::{self, Plan, Planned};
use crate::text::solve::{Lost, Texts};
use crate::text::stated::Stated;
use crate::words::{RowError, RowMistake};
use crate::written::Misfit;

/// A row that refers to others.
pub(in crate::text) fn lost(number: u32, last: u32, place: Place, lost: &Lost) -> Finding {
    let finding = |message: String| Finding::new(Code::RowReference, place.clone(), message).row(number);
    match lost {
        Lost::NoRow(0) => {
            finding(format!("Row {number} is worked as the rows before it, but there are none."))
                .help("Write the row out.")
        }
        Lost::NoRow(other) => finding(format!("Row {number} is worked as Row {other}, which is not there."))
            .found(format!("Row {other}"))
            .help("Correct the number, or write the row out."),
        Lost::Growth(what) => finding(format!(
            "Row {number} is worked with more or less of \"{}\" each time, which the row it refers to does not have, or \
             not often enough.",
            shown(what)
        ))
        .found(shown(what))
        .help("Name what grows as that row has it, \"the k3 of Row 5\" or \"the repeat\", or write the rows out."),
        Lost::Circle => finding(format!("Row {number} and the rows it refers to refer to each other."))
            .help("Write one of them out."),
        Lost::Uneven { rows, again } => {
            let rows = *rows;
            let label =
                if rows == 1 { format!("Row {number} is") } else { format!("Rows {number} to {last} are") };
            finding(format!("{label} {}, but the rows to be worked again are {again}.", counted(rows)))
                .found(counted(rows))
                .expected(counted(*again))
                .help("Correct the numbers of the label, or of the rows to be worked again.")
        }
    }
}

/// A row that does not fit the stitches there are.
pub(in crate::text) fn unworkable(number: u32, place: Place, unworkable: &Unworkable, loops: u32) -> Finding {
    let new = |code, message: String| Finding::new(code, place.clone(), message).row(number);
    match unworkable {
        Unworkable::NoMarker => {
            new(Code::TooFewLeft, format!("Row {number} goes on to a marker that is not there, or too near."))
                .help("Place the marker in a row before, or say how far in stitches: \"to last 3 sts\".")
        }
        Unworkable::Untold(_, why) => untold(number, place, "", *why),
        Unworkable::Misfit(Misfit::TooFewLeft { wanted, left }) => {
            let far = if *wanted == 1 { "to last st".to_owned() } else { format!("to last {wanted} sts") };
            new(
                Code::TooFewLeft,
                format!("Row {number} goes on \"{far}\", but only {} are left there.", stitches(*left)),
            )
            .found(stitches(*left))
            .expected(stitches(*wanted))
            .help("Look at the stitches before it, and at the count of the row before.")
        }
        Unworkable::Misfit(Misfit::DoesNotDivide { unit, span, over }) => {
            let (less, more) = (span - over, span.saturating_sub(*over).saturating_add(*unit));
            let nearest = if less == 0 { stitches(more) } else { format!("{less} or {}", stitches(more)) };
            let are = if *over == 1 { "is" } else { "are" };
            new(
                Code::RepeatLeftOver,
                format!(
                    "The repeat of Row {number} uses {}, but {} are to be filled: {over} {are} left over.",
                    stitches(*unit),
                    stitches(*span)
                ),
            )
            .found(stitches(*span))
            .expected(nearest)
            .help("Look at the stitches before and after the repeat, and at the count of the row before.")
        }
        Unworkable::Misfit(Misfit::Needs { uses, .. }) => new(
            Code::CountMismatch,
            format!("Row {number} uses at least {}, but there are {}.", stitches(*uses), stitches(loops)),
        )
        .found(stitches(*uses))
        .expected(stitches(loops))
        .help("Look at the stitches before the repeat, and at the count of the row before."),
        Unworkable::Misfit(Misfit::NeverEnds) => new(
            Code::UnreadableRow,
            format!("The repeat of Row {number} uses no stitches, so it would never end."),
        )
        .help("Say how often to work it: \"3 times\"."),
        Unworkable::Misfit(Misfit::OpenInside) => new(
            Code::UnreadableRow,
            format!(
                "Row {number} has work \"to end\" or \"to last sts\" inside a repeat, which can't be known."
            ),
        )
        .help("Say how many stitches it is."),
        Unworkable::Misfit(Misfit::TooLong) => new(
            Code::UnreadableRow,
            format!("Row {number} would have more stitches than any row of knitting."),
        )
        .help("Look at the numbers of the row."),
    }
}

/// A stretch told by its fabric, which the rows before don't tell.
pub(in crate::text) fn untold(number: u32, place: Place, found: &str, why: Untold) -> Finding {
    let found = shown(found);
    let stitch = match why {
        Untold::Unset => "a stitch there was increased or decreased in the two rows before",
        Untold::Early => "there is no row two before it",
        Untold::Varies => "the row two before works these stitches otherwise than the one four before",
        Untold::Coloured => "the rows before work these stitches in colours",
        Untold::Turns => "it is garter stitch in rounds, which are knitted and purled in turn",
    };
    let message = format!("Row {number} does not tell its stitches at \"{found}\": {stitch}.");
    let finding = Finding::new(Code::UnreadableRow, place, message)
        .row(number)
        .help("Write these stitches out: \"k2, p2, k2\"; or name the row they are worked as, \"As Row 3\".");
    if found.is_empty() { finding } else { finding.found(found) }
}

/// Stretches of rows that were read as the row two before each works them; the first of them as `before` does.
pub(in crate::text) fn as_before(rows: &[u32], before: u32, place: Place, found: &str) -> Finding {
    let found = shown(found);
    let row = rows.first().copied().unwrap_or_default();
    let so = match rows.len() {
        0 | 1 => String::new(),
        2 => format!("; such words in Row {} were read so, too", numbers(&rows[1..])),
        _ => format!("; such words in Rows {} were read so, too", numbers(&rows[1..])),
    };
    let as_read = format!("as Row {before} works these stitches");
    Finding::new(Code::ReadingChosen, place, format!("\"{found}\" in Row {row} was read {as_read}{so}."))
        .row(row)
        .found(found)
        .expected(as_read)
        .help("Nothing, if two rows make the pattern; else write these stitches out.")
}

/// A row that turns before its end.
pub(in crate::text) fn turned(number: u32, place: Place) -> Finding {
    let error = RowError { at: 0..0, mistake: RowMistake::BeyondRows };
    unreadable(number, place, "turn", &error)
}

/// A count behind a sentence that tells rows again, which is not what they leave.
pub(in crate::text) fn stated_behind(place: Place, words: &str, stated: u32, left: u32) -> Finding {
    let message = format!(
        "{} are stated behind \"{}\", but the rows worked so often leave {}.",
        stitches(stated),
        shown(words),
        stitches(left)
    );
    Finding::new(Code::StatedCount, place, message)
        .found(stitches(stated))
        .expected(stitches(left))
        .help("Correct the stated count, how often the rows are worked, or the rows.")
}

/// Counts that are those of the text's own width, and not of the one asked for; at the first row that states one.
pub(in crate::text) fn counts_left_aside(
    file: &Arc<str>,
    draft: &Draft,
    plan: &Plan,
    texts: &Texts,
    (own, asked): (u32, u32),
) -> Option<Finding> {
    let stated = |row: &Planned| texts.stated.get(row.text).and_then(Option::as_ref);
    let row = plan.rows.iter().find(|row| stated(row).is_some_and(Stated::is_count))?;
    let place = order::place(file, draft.rows.get(row.text)?);
    let (own, asked) = (stitches(own), stitches(asked));
    let message = format!(
        "The counts are those of the text's own {own}; on the {asked} asked for they were left aside."
    );
    let finding =
        Finding::new(Code::CountsLeftAside, place, message).row(row.number).found(own).expected(asked);
    Some(finding.help("Nothing, if that width is wanted; state the counts for it to have them proved."))
}

/// A width that the text does not state.
pub(in crate::text) fn width_assumed(place: Place, cast_on: u32, repeats: Option<u32>) -> Finding {
    let told = match repeats {
        Some(1) => ", 1 repeat".to_owned(),
        Some(repeats) => format!(", {repeats} repeats"),
        None => ", the fewest that every row fits".to_owned(),
    };
    Finding::new(
        Code::RepeatWrittenOut,
        place,
        format!("No cast-on is stated; the rows are worked on {}{told}.", stitches(cast_on)),
    )
    .help("Say the cast-on in the text or with --cast-on, if another width is wanted.")
}
