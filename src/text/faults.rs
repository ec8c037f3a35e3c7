//! What is wrong with a row of a text, in words.

use std::ops::Range;
use std::sync::Arc;

use super::find::{Draft, RowText};
use super::needle::{Untold, Unworkable};
use super::order::{self, Plan, Planned};
use super::says::{Stated, part_count};
use super::sizes::{Sized, Sizes, sized};
use super::solve::{Lost, Texts};
use crate::document::Line;
use crate::pattern::Side;
use crate::place::Place;
use crate::problem::{Code, Finding};
use crate::words::{self, RowError, RowMistake};
use crate::written::Misfit;

/// Whether words that can't be read are those of a row told by others: "Rep Rows 1 and 2, working loosely".
pub(super) fn refers(words: &str, error: &RowError) -> bool {
    let mut said = words.split_whitespace().map(str::to_lowercase);
    let repeats = said.next().is_some_and(|word| matches!(word.as_str(), "rep" | "repeat"));
    repeats
        && error.mistake == RowMistake::Unclosed
        && words.get(..error.at.start).is_some_and(|before| before.trim().is_empty())
        && said.next().is_some_and(|word| word != "from")
}

/// A row told by others in words that can't be read for certain.
pub(super) fn unread_reference(number: u32, place: Place, words: &str) -> Finding {
    let words = shown(words.trim());
    Finding::new(
        Code::UnreadableRow,
        place,
        format!("Row {number} is told by other rows in words that can't be read: \"{words}\"."),
    )
    .row(number)
    .found(words)
    .help(
        "Name the rows, how often, and what grows: \"Rep Rows 1 and 2 9 times more, working 2 more sts in the k3 of \
         Row 1 each time\"; or write the rows out.",
    )
}

/// Words of a row that can't be read.
pub(super) fn unreadable(number: u32, place: Place, found: &str, error: &RowError) -> Finding {
    let found = shown(found);
    let (code, message, help) = match error.mistake {
        RowMistake::UnknownWords => (
            Code::UnreadableRow,
            format!("Row {number} can't be read at \"{found}\", which names no stitch."),
            "Write it by the name of a stitch, or explain it in a list of abbreviations or in longhand.toml.",
        ),
        RowMistake::Uncounted => (
            Code::UnreadableRow,
            format!(
                "Row {number} can't be counted at \"{found}\": the list explains it, but not how many stitches it uses and makes."
            ),
            "Say both in longhand.toml beside the text, under [stitch.NAME] with its name: uses = 1, makes = 1.",
        ),
        RowMistake::Whose => (
            Code::UnreadableRow,
            format!(
                "Row {number} does not say whether \"{found}\" is meant for the last stitch or for all before it."
            ),
            "Put what is repeated in brackets: \"[k1, p1] to end\", or write \"p to end\".",
        ),
        RowMistake::Unclosed => (
            Code::UnreadableRow,
            format!("Row {number} can't be read at \"{found}\": a bracket or an asterisk has no partner."),
            "Close the bracket, or end the repeat with \"rep from *\".",
        ),
        RowMistake::NoExtent => (
            Code::UnreadableRow,
            format!("Row {number} does not say how often to work \"{found}\"."),
            "Say it after the group: \"3 times\", \"to end\", \"to last 3 sts\", \"in next st\".",
        ),
        RowMistake::BeyondRows => (
            Code::BeyondRows,
            format!("Row {number} tells of work that rows of stitches can't hold: \"{found}\"."),
            "Give the part that is worked in whole rows as a pattern of its own.",
        ),
        RowMistake::UnknownColour => (
            Code::UnclearColour,
            format!("Row {number} can't be read at \"{found}\", which names no colour of this text."),
            "Name the colours before the rows, \"Colours: navy, cream.\" or \"MC: navy\", and use those names.",
        ),
        RowMistake::UnclearColour => (
            Code::UnclearColour,
            format!("Row {number} does not say in which colour \"{found}\" begins when it is worked again."),
            "Name the colour where the repeat begins, too: \"*with navy, k2; with cream, k2; rep from *\".",
        ),
        RowMistake::NeedleEnd => (
            Code::UnreadableRow,
            format!("Row {number} works \"{found}\", and how many stitches lie on that needle is not known."),
            "Say it in stitches, \"N1: k8\", or write the round without its needles.",
        ),
        RowMistake::Empty => (
            Code::UnreadableRow,
            format!("Row {number} says nothing."),
            "Write what is worked behind the label, or take the label out.",
        ),
    };
    let means = words::may_mean(&found);
    let finding = Finding::new(code, place, message).row(number);
    let finding = match (means, error.mistake) {
        ([one], RowMistake::UnknownWords) => finding.help(format!(
            "Write {one}, if that is meant, or explain it in a list of abbreviations: \"{found} = {one}\"."
        )),
        ([first, .., last], RowMistake::UnknownWords) => {
            let others = means.split_last().map_or(String::new(), |(_, others)| others.join(", "));
            finding.help(format!(
                "Write which is meant, {others} or {last}, or explain it in a list of abbreviations: \"{found} = {first}\"."
            ))
        }
        _ => finding.help(help),
    };
    if found.is_empty() { finding } else { finding.found(found) }
}

/// Rows that go on in the colour of the row before.
pub(super) fn colour_goes_on(rows: &[u32], colour: &str, place: Place) -> Finding {
    let (called, name) = if rows.len() == 1 { ("Row", "names") } else { ("Rows", "name") };
    let finding = Finding::new(
        Code::ColourGoesOn,
        place,
        format!(
            "{called} {} {name} no colour and were read in the one that was last in use, {colour}.",
            numbers(rows)
        ),
    )
    .help("Nothing, if that is what is meant; else begin each row with its colour: \"With navy, knit.\"");
    match rows.first() {
        Some(&first) => finding.row(first),
        None => finding,
    }
}

/// A label that seems to name a colour and names none.
pub(super) fn unknown_colour(number: u32, place: Place, found: &str, nearest: &str) -> Finding {
    Finding::new(
        Code::UnclearColour,
        place,
        format!("The label of Row {number} says \"{found}\", which names no colour of this text."),
    )
    .row(number)
    .found(found)
    .expected(nearest)
    .help(format!("Did you mean {nearest}?"))
}

/// What the user typed, cut where it is long.
fn shown(text: &str) -> String {
    const MOST: usize = 60;
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if text.chars().count() <= MOST {
        return text;
    }
    text.chars().take(MOST).chain("...".chars()).collect()
}

/// A row that refers to others.
pub(super) fn lost(number: u32, last: u32, place: Place, lost: &Lost) -> Finding {
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

fn counted(rows: usize) -> String {
    if rows == 1 { "1 row".to_owned() } else { format!("{rows} rows") }
}

fn stitches(n: u32) -> String {
    if n == 1 { "1 st".to_owned() } else { format!("{n} sts") }
}

/// A row that does not fit the stitches there are.
pub(super) fn unworkable(number: u32, place: Place, unworkable: &Unworkable, loops: u32) -> Finding {
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
pub(super) fn untold(number: u32, place: Place, found: &str, why: Untold) -> Finding {
    let found = shown(found);
    let stitch = match why {
        Untold::Unset => {
            "a stitch there is new, increased or decreased since the row two before, or there is no such row"
        }
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
pub(super) fn as_before(rows: &[u32], before: u32, place: Place, found: &str) -> Finding {
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

/// Numbers of rows, the first of them where they are many.
fn numbers(rows: &[u32]) -> String {
    const SHOWN: usize = 8;
    let mut shown: Vec<String> = rows.iter().take(SHOWN).map(u32::to_string).collect();
    if rows.len() > SHOWN {
        shown.push("...".to_owned());
    }
    shown.join(", ")
}

/// A stitch slipped without a word on how.
pub(super) fn bare_slip(number: u32, side: Side, place: Place, found: &str) -> Finding {
    let (as_read, yarn) = match side {
        Side::Rs => ("sl 1 wyib", "at the back"),
        Side::Ws => ("sl 1 wyif", "in front"),
    };
    let found = shown(found);
    Finding::new(
        Code::BareSlip,
        place,
        format!("\"{found}\" in Row {number} was read as {as_read}: purlwise, with the yarn {yarn}."),
    )
    .row(number)
    .found(found)
    .help("If another way is meant, write it: \"sl 1 wyif\", \"sl 1 wyib\", \"sl 1 kwise\".")
}

/// Markers, once for each pattern.
pub(super) fn markers(number: u32, place: Place) -> Finding {
    Finding::new(
        Code::MarkersCountNothing,
        place,
        "Markers are read, but they are no stitches: rows written from this text have none.",
    )
    .row(number)
}

/// Counts that are those of the text's own width, and not of the one asked for; at the first row that states one.
pub(super) fn counts_left_aside(
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

/// Needles, once for each pattern.
pub(super) fn needles(number: u32, place: Place) -> Finding {
    Finding::new(
        Code::MarkersCountNothing,
        place,
        "Needles are read over: rows written from this text don't say on which one the stitches lie.",
    )
    .row(number)
}

/// A line that works a row without a number.
pub(super) fn unnumbered(file: &Arc<str>, line: &Line) -> Finding {
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
pub(super) fn unplaced(place: Place, line: &str) -> Finding {
    let label = shown(line.split(':').next().unwrap_or_default());
    let message = format!("\"{label}\" reads like a row, but not which one it is.");
    Finding::new(Code::UnplacedRow, place, message)
        .found(label)
        .help("Begin the line with the number of its row, \"Row 3 (RS):\".")
}

/// Rows that are said to be for some of the sizes.
pub(super) fn for_some_sizes(place: Place, line: &str) -> Finding {
    let line = shown(line);
    let message =
        format!("\"{line}\": rows for some of the sizes can't be held; all sizes have the same rows.");
    Finding::new(Code::BeyondRows, place, message)
        .found(line)
        .help("Write each of the sizes as a pattern of its own, or say in every row how often its repeat is worked.")
}

/// A colour that the text does not name.
pub(super) fn unnamed_colour(place: Place, number: Option<u32>, found: &str) -> Finding {
    let found = shown(found);
    let message = format!("\"{found}\" stands where a colour stands, and is no colour that this text names.");
    let finding = Finding::new(Code::UnclearColour, place, message).found(found).help(
        "Name the colours before the rows, \"Colours: navy, cream.\" or \"A = navy\", and use those names.",
    );
    match number {
        Some(number) => finding.row(number),
        None => finding,
    }
}

/// A text whose rows begin with a later one than Row 1.
pub(super) fn begins_late(place: Place, first: u32) -> Finding {
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

/// A flat row on the same side as the row before it.
pub(super) fn same_side(place: Place, number: u32, side: Side) -> Finding {
    let before = number.saturating_sub(1);
    let message = format!("Row {number} is a {} row, as Row {before} before it is.", side.word());
    Finding::new(Code::SidesInTurn, place, message)
        .row(number)
        .found(side.word())
        .expected(side.other().word())
        .help("Correct the side of one of them, or look for a row that is missing between them.")
}

/// A sentence without a label that was taken for rows, and why.
pub(super) fn rows_told(place: Place, first: u32, last: u32, since: &str) -> Finding {
    let rows = if first == last { format!("Row {first}") } else { format!("Rows {first} to {last}") };
    Finding::new(
        Code::RowsTold,
        place,
        format!("This sentence has no label: since it says {since}, it was read as {rows}."),
    )
    .row(first)
    .help("Nothing, if that is meant; with a label before it, \"Rows 3-6:\", it is sure.")
}

/// A set-up row behind other rows, read as the next one.
pub(super) fn late_set_up(place: Place, number: u32, label: &str) -> Finding {
    let label = shown(label.trim_end_matches([':', ' ']));
    let message =
        format!("\"{label}\" has no number and stands behind other rows: it was read as Row {number}.");
    Finding::new(Code::RowsTold, place, message)
        .row(number)
        .found(label)
        .help("Nothing, if that is meant; with a number it is sure, and before the other rows it is their set-up row.")
}

/// A sentence without a label that speaks of rows and was kept as a note.
pub(super) fn rows_untold(place: Place, words: &str) -> Finding {
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

/// A sentence without a label that has rows worked again, and adds none: the last row before it, the rows that it has
/// worked, and the count it states, with the stitches that those rows leave where they fit.
pub(super) fn rows_not_added(
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

/// Sizes that differ by more than how often the repeat is worked, or of which one works it no times; `times` is for each
/// size how often each row's one repeat is worked.
pub(super) fn first_size(place: Place, sizes: &Sizes, times: &[Vec<Option<u32>>]) -> Finding {
    let name = sizes.name(sizes.first);
    // What is worked no times is not there: a row of that size has no repeat where the same row of all others has one.
    let rows = times.first().map_or(0, Vec::len);
    let without = (0..rows).find_map(|row| {
        let without: Vec<usize> =
            (0..times.len()).filter(|&size| times[size].get(row).copied().flatten().is_none()).collect();
        match without[..] {
            [size] if times.len() > 1 => Some(size),
            _ => None,
        }
    });
    let why = match without {
        Some(without) => format!("Size {} works the repeat no times", sizes.name(without)),
        None => "The sizes differ by more than how often the repeat is worked".to_owned(),
    };
    Finding::new(Code::FirstSizeOnly, place, format!("{why}: all were proved, and size {name} is given."))
        .found(format!("size {name}"))
        .help("Nothing, if that size is wanted. For another one say its cast-on: --cast-on.")
}

/// The first numbers of a row that are given by size in brackets, but not for as many sizes as there are. Two numbers alone
/// may be said otherwise where there is one size.
pub(super) fn uneven(work: &str, sizes: usize) -> Option<Sized> {
    let work = work.get(..part_count(work).0)?;
    let all = sized(work, usize::MAX).into_iter();
    let bracketed = |at: &Range<usize>| work.get(at.clone()).is_some_and(|found| found.contains(['(', '[']));
    all.filter(|found| found.numbers.len() > if sizes > 1 { 1 } else { 2 } && bracketed(&found.at))
        .find(|found| found.numbers.len() != sizes)
}

/// Numbers of a row for so many sizes, where there are so many.
fn uneven_in_row(row: &RowText, place: Place, words: &str, (given, sizes): (usize, usize)) -> Finding {
    let number = row.label.as_ref().and_then(|label| label.numbers.first().copied());
    let called = number.map_or_else(|| "a row".to_owned(), |number| format!("Row {number}"));
    let words = shown(words);
    let there = match sizes {
        0 | 1 => "The text names no sizes".to_owned(),
        sizes => format!("There are {sizes} sizes"),
    };
    let message = format!("{there}, but {called} gives {given} numbers at \"{words}\".");
    let finding = Finding::new(Code::SizesUneven, place, message).found(words).help(match sizes {
        0 | 1 => {
            "Name the sizes before the rows, \"Sizes: S (M) L (XL)\", and the cast-on of each; or write the rows of one."
        }
        _ => "Give one number for each size, in their order; a dash for one that has none.",
    });
    match number {
        Some(number) => finding.row(number),
        None => finding,
    }
}

/// Numbers that are not given for as many sizes as there are.
pub(super) fn uneven_sizes(file: &Arc<str>, draft: &Draft) -> Vec<Finding> {
    let facts = &draft.facts;
    let sizes = facts.sizes.len().max(facts.cast_on.len());
    let wrong = |given: usize| sizes > 1 && given > 1 && given != sizes;
    let told = |place: Place, what: String, given: usize| {
        Finding::new(
            Code::SizesUneven,
            place,
            format!("There are {sizes} sizes, but {what} {given} numbers."),
        )
        .found(format!("{given} numbers"))
        .expected(format!("{sizes} numbers"))
        .help("Give one number for each size, in their order.")
    };
    let mut findings = Vec::new();
    if wrong(facts.cast_on.len()) || (facts.cast_on.len() > 1 && wrong(facts.sizes.len())) {
        let (what, given) = if facts.cast_on.len() < facts.sizes.len() {
            ("the cast-on has", facts.cast_on.len())
        } else {
            ("their names are", facts.sizes.len())
        };
        findings.push(told(Place::file(file), what.to_owned(), given));
    }
    for row in &draft.rows {
        let work = row.line.text.get(row.work..).unwrap_or_default();
        if let Some(Sized { at, numbers }) = uneven(work, sizes) {
            let words = work.get(at.clone()).unwrap_or_default();
            findings.push(uneven_in_row(
                row,
                row.line.place(file, row.work + at.start),
                words,
                (numbers.len(), sizes),
            ));
        }
        if let (_, Some(Stated::Count(counts))) = part_count(work)
            && wrong(counts.len())
        {
            let number = row.label.as_ref().and_then(|label| label.numbers.first().copied());
            let what = number.map_or_else(
                || "the count of a row has".to_owned(),
                |number| format!("the count of Row {number} has"),
            );
            let finding = told(order::place(file, row), what, counts.len());
            findings.push(match number {
                Some(number) => finding.row(number),
                None => finding,
            });
        }
    }
    findings
}

/// A count behind a sentence that tells rows again, which is not what they leave.
pub(super) fn stated_behind(place: Place, words: &str, stated: u32, left: u32) -> Finding {
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

/// An entry of the list of abbreviations for a stitch that is known, explained as no stitch is worked: it was read as `read`.
pub(super) fn unlike(place: Place, term: &str, meaning: &str, read: &str) -> Finding {
    let (term, meaning) = (shown(term), shown(meaning));
    let message = format!(
        "The list's explanation of \"{term}\" tells neither {read} nor any other stitch: the rows were read with {read}, as the name says."
    );
    Finding::new(Code::ListUnread, place, message)
        .found(meaning)
        .expected(read)
        .help("Correct the explanation; or give a stitch that is worked so a name of its own, and tell it in longhand.toml.")
}

/// A row that turns before its end.
pub(super) fn turned(number: u32, place: Place) -> Finding {
    let error = RowError { at: 0..0, mistake: RowMistake::BeyondRows };
    unreadable(number, place, "turn", &error)
}

/// Words that may mean two things, or nothing in the vocabulary that is read.
pub(super) fn doubt(number: u32, place: Place, found: &str, read: &str) -> Finding {
    let found = shown(found);
    Finding::new(Code::ReadingChosen, place, format!("\"{found}\" in Row {number} was read as {read}."))
        .row(number)
        .found(found)
        .expected(read)
        .help("If it means something else, choose the vocabulary with --terms, or explain it in the text.")
}

/// A width that the text does not state.
pub(super) fn width_assumed(place: Place, cast_on: u32, repeats: Option<u32>) -> Finding {
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
