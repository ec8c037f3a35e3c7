//! The row model as JSON, `longhand.pattern/1`: for other programs, and for longhand to read again.
//!
//! * [`pattern`] and [`findings`] give values, [`render()`] turns values into the text of a file.
//! * [`read()`] reads such a file and proves that what it says twice agrees.

mod model;
mod own;
mod place;
mod read;
mod render;
mod repeat;

use serde_json::Value;

use self::model::{Document, Row, Size, Work};
use crate::pattern::{Hand, Pattern};
use crate::problem::Finding;
use crate::stitch::{StitchId, Stitches};
use crate::written::{Extent, Item};

pub use self::read::read;
pub use self::render::render;

/// The `format` of the JSON that is written and read.
pub const FORMAT: &str = "longhand.pattern/1";

/// A pattern as JSON. `work` holds the folded items of each row, in the order of the rows; a row that has none, or
/// has an open one ("to end", for which JSON has no form), is given as plain runs.
pub fn pattern(pattern: &Pattern, work: &[Vec<Item>], findings: &[&Finding]) -> Value {
    let stitches = &pattern.stitches;
    let name = |id: StitchId| stitches.get(stitches.plain(id)).name.clone();
    let rows = pattern.rows.iter().enumerate().map(|(index, row)| {
        let folded = work.get(index).and_then(|items| closed(items, stitches));
        Row {
            number: row.number,
            side: row.side.into(),
            charted: row.charted,
            uses: Some(pattern.uses(row)),
            makes: Some(pattern.makes(row)),
            stitches: row.stitches.iter().map(|&id| name(id)).collect(),
            colours: colours(&row.stitches, stitches),
            work: Some(folded.unwrap_or_else(|| runs(&row.stitches, stitches))),
            repeat: row.repeat.filter(|repeat| repeat.length > 0 && repeat.times > 0).map(Into::into),
            place: Some(model::Place::from(&row.place)),
            stated: row.stated,
        }
    });
    let document = Document {
        format: FORMAT.to_owned(),
        title: Some(pattern.title.clone()),
        source: Some(pattern.source.to_string()),
        chart: pattern.chart.as_deref().map(str::to_owned),
        worked: pattern.worked.into(),
        hand: (pattern.hand == Hand::Left).then_some(model::Hand::Left),
        cast_on: Some(pattern.cast_on),
        multiple: pattern.multiple.map(Into::into),
        sizes: pattern.sizes.iter().map(Size::from).collect(),
        notes: pattern.notes.clone(),
        own_stitches: own::of(pattern),
        rows: rows.collect(),
        findings: findings.iter().copied().map(model::Finding::from).collect(),
    };
    value(&document)
}

/// The colour of each stitch, where any has one.
fn colours(row: &[StitchId], stitches: &Stitches) -> Option<Vec<Option<String>>> {
    let colours: Vec<Option<String>> =
        row.iter().map(|&id| stitches.get(id).colour.as_deref().map(str::to_owned)).collect();
    colours.iter().any(Option::is_some).then_some(colours)
}

/// Findings as JSON, an array.
pub fn findings(findings: &[Finding]) -> Value {
    value(&findings.iter().map(model::Finding::from).collect::<Vec<_>>())
}

/// Strings, numbers and lists always have a JSON form.
fn value(of: &impl serde::Serialize) -> Value {
    serde_json::to_value(of).unwrap_or_default()
}

/// Items in the form of the JSON; `None` if one of them is open.
fn closed(items: &[Item], stitches: &Stitches) -> Option<Vec<Work>> {
    items
        .iter()
        .map(|item| {
            Some(match item {
                Item::Run { stitch, extent: Extent::Times(times) } => run(*stitch, *times, stitches),
                Item::Repeat { items, extent: Extent::Times(times) } => {
                    Work { stitch: None, colour: None, repeat: Some(closed(items, stitches)?), times: *times }
                }
                _ => return None,
            })
        })
        .collect()
}

/// The row as runs of like stitches in one colour.
fn runs(row: &[StitchId], stitches: &Stitches) -> Vec<Work> {
    let looks = |id: StitchId| (stitches.plain(id), stitches.get(id).colour.as_deref());
    row.chunk_by(|a, b| looks(*a) == looks(*b))
        .filter_map(|alike| {
            Some(run(*alike.first()?, u32::try_from(alike.len()).unwrap_or(u32::MAX), stitches))
        })
        .collect()
}

fn run(stitch: StitchId, times: u32, stitches: &Stitches) -> Work {
    Work::run(&stitches.get(stitches.plain(stitch)).name, stitches.get(stitch).colour.as_deref(), times)
}

#[cfg(test)]
mod tests;
