//! What is wrong with the rows of a text, or had to be assumed, in words.

mod colours;
mod labels;
mod sizes;
mod work;

use std::sync::Arc;

use super::find::Draft;
use super::order;
use crate::pattern::{Hand, Side};
use crate::place::Place;
use crate::problem::{Code, Finding};
use crate::words::rows::label::is_row_word;
use crate::words::{self, RowError, RowMistake};
pub(super) use colours::{colour_goes_on, unknown_colour, unnamed_colour};
pub(super) use labels::{
    begins_late, edges, late_set_up, not_turned, only_row, other_cast_on, out_of_order, round_worked_flat,
    rows_and_rounds, rows_between, rows_not_added, rows_told, rows_untold, side_unread, too_many_closings,
    unfollowed, unnumbered, unplaced, unread_row, way_followed, way_left_aside,
};
pub(super) use sizes::{
    first_place, first_size, for_some_sizes, no_numbers, sizes_of_nothing, uneven, uneven_sizes,
};
pub(super) use work::{
    as_before, counts_left_aside, lost, stated_behind, turned, untold, unworkable, width_assumed,
};

/// Whether words that can't be read are those of a row told by others: "Rep Rows 1 and 2, working loosely", "As Row 1, but
/// ending k2".
pub(super) fn refers(words: &str, error: &RowError) -> bool {
    // Of the many mistakes that a row may have, one stands at its beginning.
    if words.get(..error.at.start).is_none_or(|before| !before.trim().is_empty()) {
        return false;
    }
    let mut said = words.split_whitespace();
    let first = said.next().unwrap_or_default().to_lowercase();
    match (first.as_str(), &error.mistake) {
        ("rep" | "repeat", RowMistake::Unclosed) => {
            said.next().is_some_and(|word| !word.eq_ignore_ascii_case("from"))
        }
        ("as", RowMistake::UnknownWords) => said.any(is_row_word),
        _ => false,
    }
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
        RowMistake::Unplaced => (
            Code::UnreadableRow,
            format!("Row {number} does not say which stitches are worked so: \"{found}\"."),
            "Write out which, by their number: \"K2, [m1, k5] 3 times, m1, k3\", or \"[k3, k2tog] 4 times\".",
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
        RowMistake::IntoOne => (
            Code::UnreadableRow,
            format!(
                "Row {number} can't be read at \"{found}\": that is none of the stitches that are worked into one."
            ),
            "Give it a name in a list of abbreviations, \"inc: (k1, p1) in next st\", and work it by that.",
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
    let sign = error.mistake == RowMistake::UnknownWords && !found.contains(char::is_alphanumeric);
    let help = if sign {
        "Take the sign out, or write the stitch it stands for; where it opens a repeat, the row names it: \"rep from +\"."
    } else {
        help
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

/// What the user typed, cut where it is long.
fn shown(text: &str) -> String {
    const MOST: usize = 60;
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if text.chars().count() <= MOST {
        return text;
    }
    text.chars().take(MOST).chain("...".chars()).collect()
}

fn counted(rows: usize) -> String {
    if rows == 1 { "1 row".to_owned() } else { format!("{rows} rows") }
}

fn stitches(n: u32) -> String {
    if n == 1 { "1 st".to_owned() } else { format!("{n} sts") }
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

/// A setting `hand` that is not that of the text, which turns nothing round.
pub(super) fn hand_as_written(file: &Arc<str>, draft: &Draft, set: Option<Hand>) -> Option<Finding> {
    let word = |hand| if hand == Hand::Left { "left" } else { "right" };
    let hand = draft.hand();
    let set = set.filter(|&set| set != hand)?;
    let says = match draft.facts.hand.or(draft.said.hand) {
        Some(_) => "The text says for which hand it is",
        None => "The text does not say for which hand it is",
    };
    let message = format!(
        "{says}: its rows were read as written, for {}-handed knitters, though hand = \"{}\" is set for charts.",
        word(hand),
        word(set)
    );
    let first = draft.rows.first();
    let place = first.map_or_else(|| Place::file(file), |row| order::place(file, row));
    Some(
        Finding::new(Code::HandAsWritten, place, message).found(word(hand)).expected(word(set)).help(format!(
            "Nothing, if that is so. A text for the other hand says it above its rows, \"For {}-handed knitters.\"",
            word(set)
        )),
    )
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

/// Needles, once for each pattern.
pub(super) fn needles(number: u32, place: Place) -> Finding {
    Finding::new(
        Code::MarkersCountNothing,
        place,
        "Needles are read over: rows written from this text don't say on which one the stitches lie.",
    )
    .row(number)
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

/// How what the last repeat ends with was read: in the place of so many pieces at its end.
pub(super) fn ending(replaced: usize) -> String {
    match replaced {
        1 => "standing in the place of the last piece of the repeat".to_owned(),
        more => format!("standing in the place of the last {more} pieces of the repeat"),
    }
}

/// How to say what of the last repeat is replaced.
pub(super) const ENDING_HELP: &str =
    "If it stands in the place of other stitches, say of which: \"ending last rep k1 instead of yo, k2tog\".";

/// What can be done where how stitches are bound off is lost.
pub(super) const BOUND_OFF_HELP: &str =
    "Nothing, if a note of the pattern says how; of the text it is kept only that they are bound off.";

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
