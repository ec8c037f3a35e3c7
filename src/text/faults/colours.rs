//! Colours: those that no row names, and those that the text does not name.

use super::{numbers, shown};
use crate::place::Place;
use crate::problem::{Code, Finding};

/// Rows that go on in the colour of the row before.
pub(in crate::text) fn colour_goes_on(rows: &[u32], colour: &str, place: Place) -> Finding {
    let (called, name, were) =
        if rows.len() == 1 { ("Row", "names", "was") } else { ("Rows", "name", "were") };
    let finding = Finding::new(
        Code::ColourGoesOn,
        place,
        format!(
            "{called} {} {name} no colour and {were} read in the one that was last in use, {colour}.",
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
pub(in crate::text) fn unknown_colour(number: u32, place: Place, found: &str, nearest: &str) -> Finding {
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

/// A colour that the text does not name.
pub(in crate::text) fn unnamed_colour(place: Place, number: Option<u32>, found: &str) -> Finding {
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
