//! Sentences of a sheet about the edges of every row: the rows are as they are drawn, and where those have another edge,
//! that is told.

use super::heading::Note;
use super::sheet::Sheet;
use crate::pattern::Pattern;
use crate::place::Address;
use crate::problem::{Code, Finding};
use crate::words::rows::edges::{self, Edges};

/// A sentence of a note, where it stands, and what it says.
pub(super) struct Said {
    at: Address,
    sentence: String,
    edges: Edges,
}

/// The sentences among notes that tell of the edges of every row.
pub(super) fn said(notes: &[Note]) -> Vec<Said> {
    let said = |note: &Note| {
        let (sentence, edges) = edges::told(&note.text)?;
        Some(Said { at: note.at, sentence: sentence.trim().to_owned(), edges })
    };
    notes.iter().filter_map(said).collect()
}

/// Those that the rows are drawn otherwise than.
pub(super) fn untrue(sheet: &Sheet<'_>, said: &[Said], pattern: &Pattern) -> Vec<Finding> {
    let untrue = |Said { at, sentence, edges }: &Said| {
        let row = pattern.rows.iter().find(|row| !edges.are_of(&row.stitches, &pattern.stitches))?;
        let message = format!(
            "\"{sentence}\" goes into the text as it is and changes no row: Row {} has another edge in the chart.",
            row.number
        );
        Some(
            Finding::new(Code::SentenceNotFollowed, sheet.grid.place(*at), message)
                .row(row.number)
                .found(sentence)
                .help("Draw the edge, or say it in the key or in return-rows; or take the sentence out."),
        )
    };
    said.iter().filter_map(untrue).collect()
}
