//! Which rows lines are: labels without a number, numbers and sides out of turn, sentences that tell rows or don't.

use std::sync::Arc;

use super::{numbers, shown, stitches};
use crate::document::Line;
use crate::pattern::Side;
use crate::place::Place;
use crate::problem::{Code, Finding};
use crate::words::rows::facts::{Unfollowed, Way};

/// A line that works a row without a number.
pub(in crate::text) fn unnumbered(file: &Arc<str>, line: &Line) -> Finding {
    let label = shown(line.text.split(':').next().unwrap_or_default());
    Finding::new(
        Code::UnnumberedRow,
        line.place(file, line.text.len() - line.text.trim_start().len()),
        format!("\"{label}\" has no row number, so it was read as a note and not as a row."),
    )
    .found(label)
    .help("Give it a number, \"Row 1:\", if it is worked in its turn.")
}

/// A line that works a row whose place can't be told.
pub(in crate::text) fn unplaced(place: Place, line: &str) -> Finding {
    let label = shown(line.split(':').next().unwrap_or_default());
    let message = format!("\"{label}\" reads like a row, but not which one it is.");
    Finding::new(Code::UnplacedRow, place, message)
        .found(label)
        .help("Begin the line with the number of its row, \"Row 3 (RS):\".")
}

/// A line that begins as a row does whose number no other has, and can't be read as one.
pub(in crate::text) fn unread_row(place: Place, number: u32, line: &str) -> Finding {
    let line = shown(line.trim());
    let message = format!("\"{line}\" begins as Row {number} does, but can't be read as the work of a row.");
    Finding::new(Code::UnplacedRow, place, message).row(number).found(line).help(
        "Put a colon behind the label, \"Row 3:\", and write its stitches as those of the others; if it is a note, word it otherwise.",
    )
}

/// Rows and rounds in one pattern.
pub(in crate::text) fn rows_and_rounds(place: Place, label: &str) -> Finding {
    let label = shown(label.trim_end().trim_end_matches(':'));
    let message =
        format!("\"{label}\" is not worked as the others: they are rows and rounds in one pattern.");
    Finding::new(Code::BeyondRows, place, message)
        .found(label)
        .help("Give the rows and the rounds each as a pattern of their own, with a title and a cast-on; or say how all of them are worked with --worked.")
}

/// Rounds of a pattern that is said to be worked flat.
pub(in crate::text) fn round_worked_flat(place: Place, label: &str) -> Finding {
    let label = shown(label.trim_end().trim_end_matches(':'));
    let message = format!("\"{label}\" is a round, but the text says that it is worked flat.");
    Finding::new(Code::BeyondRows, place, message)
        .found(label)
        .help("Call it a row, or take out that it is worked flat; or say how it is worked with --worked.")
}

/// A text whose rows begin with a later one than Row 1.
pub(in crate::text) fn begins_late(place: Place, first: u32) -> Finding {
    let missing = match first {
        2 => "Row 1 is missing".to_owned(),
        first => format!("Rows 1 to {} are missing", first.saturating_sub(1)),
    };
    Finding::new(Code::FirstRowsMissing, place, format!("{missing}: the text begins with Row {first}."))
        .row(1)
        .found(first)
        .expected(1)
        .help("Write the rows that are missing, or correct the number.")
}

/// A row after which the work is not to be turned, where the next was read as one of the other side.
pub(in crate::text) fn not_turned(place: Place, number: u32, next: Side) -> Finding {
    let message = format!(
        "The work is not to be turned after Row {number}, but Row {} was read as one on the {}.",
        number + 1,
        next.word()
    );
    Finding::new(Code::SidesInTurn, place, message)
        .row(number + 1)
        .found(next.word())
        .expected(next.other().word())
        .help("Say the side of each row in its label, \"Row 2 (RS):\".")
}

/// A sentence without a label that was taken for rows, and why.
pub(in crate::text) fn rows_told(place: Place, first: u32, last: u32, since: &str) -> Finding {
    let rows = if first == last { format!("Row {first}") } else { format!("Rows {first} to {last}") };
    Finding::new(
        Code::RowsTold,
        place,
        format!("This sentence has no label: since it says {since}, it was read as {rows}."),
    )
    .row(first)
    .help("Nothing, if that is meant; with a label before it, \"Rows 3-6:\", it is sure.")
}

/// A row without a number that is the only one of its pattern.
pub(in crate::text) fn only_row(place: Place, line: &str) -> Finding {
    let label = shown(line.split(':').next().unwrap_or_default());
    let message = format!("\"{label}\" has no row number; it is the only row, and was read as Row 1.");
    Finding::new(Code::RowsTold, place, message)
        .row(1)
        .found(label)
        .help("Nothing, if that is meant; with a label before it, \"Row 1:\" or \"All rows:\", it is sure.")
}

/// A sentence about the edges of every row, and the first row that is written with another edge.
pub(in crate::text) fn edges(place: Place, number: u32, sentence: &str) -> Finding {
    let sentence = shown(sentence);
    let message = format!(
        "\"{sentence}\" was kept as a note: Row {number} is written with another edge, and was read as written."
    );
    Finding::new(Code::RowsUntold, place, message)
        .row(number)
        .found(sentence)
        .help("Write the edge into the rows, \"Sl 1, k to end\"; or take the sentence out.")
}

/// A sentence without a label that speaks of rows and was kept as a note.
pub(in crate::text) fn rows_untold(place: Place, words: &str) -> Finding {
    let words = shown(words);
    Finding::new(
        Code::RowsUntold,
        place,
        "This sentence speaks of rows but has no label, and its words or the numbers around it don't tell which rows \
         they are: it was kept as a note, and no row was read from it.",
    )
    .found(words)
    .help("If rows are meant, begin them with a label, \"Rows 3-6:\", and say what each works.")
}

/// Rows that stand behind one with a higher number, `most`.
pub(in crate::text) fn out_of_order(place: Place, rows: &[u32], most: u32, before: &Place) -> Finding {
    let (called, stand) = if rows.len() == 1 { ("Row", "stands") } else { ("Rows", "stand") };
    let message = format!(
        "{called} {} {stand} behind a later row, Row {most} at {before}: they were read in the order of their numbers.",
        numbers(rows)
    );
    let finding = Finding::new(Code::RowsOutOfOrder, place, message);
    let finding = rows.first().map_or(finding.clone(), |&first| finding.row(first).found(first));
    finding.help("Put the rows in their order, or correct the numbers.")
}

/// A line that casts on other stitches, for each size, than those that were taken.
pub(in crate::text) fn other_cast_on(place: Place, line: &str, others: &[u32], taken: &[u32]) -> Finding {
    let by_size = |counts: &[u32]| {
        let counts: Vec<String> = counts.iter().map(u32::to_string).collect();
        format!("{} sts", counts.join(", "))
    };
    let (others, taken) = (by_size(others), by_size(taken));
    let message = format!(
        "\"{}\" casts on {others}; the rows were read with {taken} cast on, which is told as well.",
        shown(line)
    );
    Finding::new(Code::SentenceNotFollowed, place, message).found(others).help(
        "Nothing, if the rows are right so. Otherwise say one cast-on in a sentence of its own, or with --cast-on; stitches that are added are cast on \"more\".",
    )
}

/// A sentence that may say in which way the rows are worked.
pub(in crate::text) fn unfollowed(place: Place, found: Unfollowed<'_>) -> Finding {
    let Unfollowed { sentence, way: Way { name, value } } = found;
    let sentence = shown(sentence);
    let message = format!(
        "\"{sentence}\" may say {name} = \"{value}\", but not all of its words can be followed: it was kept as a note and changes no row."
    );
    Finding::new(Code::SentenceNotFollowed, place, message)
        .found(sentence)
        .help(format!("Nothing, if the rows are right so. Otherwise say it in a sentence of its own, or with --{name} {value}."))
}

/// A sentence that says in which way the rows are worked, and was followed.
pub(in crate::text) fn way_followed(place: Place, sentence: &str, way: Way) -> Finding {
    let sentence = shown(sentence);
    let Way { name, value } = way;
    Finding::new(
        Code::SettingInWords,
        place,
        format!("\"{sentence}\" was taken as {name} = \"{value}\" for all rows of this pattern."),
    )
    .found(sentence)
    .help(format!("Nothing, if that is meant. Otherwise say how the rows are worked with --{name}."))
}

/// A sentence that says in which way the rows are worked, where their labels or other sentences say otherwise.
pub(in crate::text) fn way_left_aside(place: Place, sentence: &str, way: Way) -> Finding {
    let sentence = shown(sentence);
    let Way { name, value } = way;
    let message = format!(
        "\"{sentence}\" says {name} = \"{value}\", but labels that name sides, or other sentences, say otherwise: it was kept as a note and changes no row."
    );
    Finding::new(Code::SentenceNotFollowed, place, message).found(sentence).help(format!(
        "Nothing, if the rows are right so. Otherwise say how the rows are worked with --{name}."
    ))
}

/// A remark in a label that names a side.
pub(in crate::text) fn side_unread(place: Place, found: &str) -> Finding {
    let found = shown(found);
    let message = format!("\"{found}\" names a side, but can't be followed: the label says no side by it.");
    Finding::new(Code::SentenceNotFollowed, place, message)
        .found(found)
        .help("Nothing, if the rows are right so. Otherwise say it behind the number, \"Row 1 (WS):\".")
}

/// A sentence that tells rows among those of a pattern, whose numbers leave no room for them.
pub(in crate::text) fn rows_between(place: Place, words: &str) -> Finding {
    let message =
        "These rows have no label, and the numbers of the rows around them leave no room for so many.";
    Finding::new(Code::UnplacedRow, place, message)
        .found(shown(words))
        .help("Begin them with their numbers, \"Rows 3-6:\", and correct the numbers behind them; if they are no rows of this pattern, tell of them behind its rows.")
}

/// A sentence without a label that has rows worked again, and adds none: the last row before it, the rows that it has
/// worked, and the count it states, with the stitches that those rows leave where they fit.
pub(in crate::text) fn rows_not_added(
    place: Place,
    words: &str,
    before: Option<u32>,
    rows: Option<(u32, u32)>,
    stated: Option<(u32, Option<u32>)>,
) -> Finding {
    let before = before.map_or_else(String::new, |last| format!(" behind Row {last}"));
    let proved = stated.map_or_else(String::new, |(count, left)| match left {
        Some(left) if left == count => format!(" The count it states, {}, is proved.", stitches(count)),
        // Told as an error of its own.
        Some(_) => String::new(),
        None => format!(
            " The count it states, {}, could not be proved: worked again, the rows don't fit the stitches.",
            stitches(count)
        ),
    });
    let label = match rows {
        Some((first, last)) if first == last => format!("\"Row {first}:\""),
        Some((first, last)) => format!("\"Rows {first}-{last}:\""),
        None => "\"Rows 3-6:\"".to_owned(),
    };
    let message = format!(
        "This sentence has rows worked again, but has no label: it adds no row to the pattern{before}.{proved}"
    );
    let help = format!(
        "Nothing, if that is meant; to have the rows in the pattern, begin them with a label, {label}."
    );
    Finding::new(Code::RowsNotAdded, place, message).found(shown(words)).help(help)
}

/// The first of so many sentences that have rows worked again that their counts are not proved.
pub(in crate::text) fn too_many_closings(place: Place, words: &str) -> Finding {
    Finding::new(
        Code::TooLarge,
        place,
        "From here on sentences have more rows worked again than longhand works to prove their counts: 200,000.",
    )
    .found(shown(words))
    .help("Keep each pattern in a file of its own.")
}

/// A set-up row behind other rows, read as the next one.
pub(in crate::text) fn late_set_up(place: Place, number: u32, label: &str) -> Finding {
    let label = shown(label.trim_end_matches([':', ' ']));
    let message =
        format!("\"{label}\" has no number and stands behind other rows: it was read as Row {number}.");
    Finding::new(Code::RowsTold, place, message)
        .row(number)
        .found(label)
        .help("Nothing, if that is meant; with a number it is sure, and before the other rows it is their set-up row.")
}
