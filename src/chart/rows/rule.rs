//! The rule for return rows, and the sentence that may give it.

use super::super::area::Area;
use super::super::returns::Rule;
use super::super::sheet::Sheet;
use crate::pattern::Hand;
use crate::problem::{Code, Finding};
use crate::settings::{ReturnRows, Settings};
use crate::stitch::{StitchId, Stitches};
use crate::words::{self, RowError};
use crate::written::Item;

/// A stitch of a row that a left-handed knitter has no usual mirror for.
fn without_mirror(items: &[Item], stitches: &mut Stitches) -> Option<StitchId> {
    items.iter().find_map(|item| match item {
        Item::Run { stitch, .. } => stitches.mirror(*stitch).is_none().then_some(*stitch),
        Item::Repeat { items, .. } => without_mirror(items, stitches),
    })
}

/// The rule for return rows, its sentence read.
pub(super) fn read(
    sheet: &Sheet<'_>,
    area: &Area,
    settings: &Settings,
    stitches: &mut Stitches,
    findings: &mut Vec<Finding>,
) -> Option<Rule> {
    let rows = settings.return_rows.clone().unwrap_or(ReturnRows::AsTheyAppear);
    if let Some(rule) = Rule::plain(&rows) {
        return Some(rule);
    }
    let ReturnRows::Stated(sentence) = rows else { return None };
    match words::row(&sentence, stitches) {
        Ok(items) => {
            let none =
                if settings.hand == Some(Hand::Left) { without_mirror(&items, stitches) } else { None };
            let Some(none) = none else { return Some(Rule::Stated(items)) };
            let name = &stitches.get(none).name;
            let place = settings.places.get("return-rows").cloned();
            findings.push(
                Finding::new(
                    Code::NoMirror,
                    place.unwrap_or_else(|| sheet.grid.place(area.row_span(area.bottom()))),
                    format!("{name} in the stated return row has no usual mirror for a left-handed knitter."),
                )
                .found(name)
                .help("Word return-rows with other stitches, or write the chart right-handed."),
            );
            None
        }
        Err(RowError { at, mistake }) => {
            let words = sentence.get(at).unwrap_or_default().trim();
            let what = match mistake {
                words::RowMistake::UnknownWords | words::RowMistake::BeyondRows => "names no stitch",
                words::RowMistake::UnknownColour => "names no known colour",
                words::RowMistake::UnclearColour => "does not say in which colour it begins again",
                words::RowMistake::Unclosed => "is a bracket or an asterisk without its partner",
                words::RowMistake::NoExtent => "is not said to be worked any number of times",
                words::RowMistake::Whose => "may be meant for one stitch or for several",
                words::RowMistake::Empty => "says nothing",
            };
            let place = settings
                .places
                .get("return-rows")
                .cloned()
                .unwrap_or_else(|| sheet.grid.place(area.row_span(area.bottom())));
            findings.push(
                Finding::new(
                    Code::ReturnRowWords,
                    place,
                    format!("The return row \"{sentence}\" can't be read: \"{words}\" {what}."),
                )
                .found(words)
                .help("Write it as a row: \"K3, p to last 3 sts, k3\", or purl, knit, as-they-appear."),
            );
            None
        }
    }
}
