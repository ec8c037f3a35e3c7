//! The results of an input: each whole chart in each style and format; and what they are called.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use longhand::convert::{self, Chart, Charts, Format};
use longhand::place::column_letters;
use longhand::problem::Finding;
use longhand::style::Style;

use super::super::names::{Disk, Wanted, names};
use super::plan::Plan;

/// What a file is to hold, and what it is to be called after.
pub struct Made {
    chart: Option<Arc<str>>,
    style: Option<Arc<Style>>,
    format: Format,
    bytes: Vec<u8>,
}

/// The results of an input. Of a chart that can't be drawn it is noted there.
pub fn results(charts: &mut Charts, plan: &Plan) -> Vec<Made> {
    let mut results = Vec::new();
    let several = charts.charts.len() > 1;
    let of_file = charts.findings.as_slice();
    for (index, chart) in charts.charts.iter_mut().enumerate().filter(|(_, chart)| chart.sound().is_some()) {
        // A lone chart needs no letter, even where its JSON brings one along; in a list each has its own.
        let letter = chart.letter.clone().unwrap_or_else(|| column_letters(index as u32).into());
        let mut found = Vec::new();
        for style in &plan.styles {
            for &format in &plan.formats {
                let mut notes = convert::noted(chart, format, style);
                notes.retain(|note| !found.contains(note));
                found.append(&mut notes);
                match bytes((chart, of_file), format, style) {
                    Some(Ok(bytes)) => results.push(Made {
                        chart: several.then(|| Arc::clone(&letter)),
                        style: (plan.styles.len() > 1).then(|| Arc::clone(style)),
                        format,
                        bytes,
                    }),
                    Some(Err(finding)) => found.push(finding),
                    None => {}
                }
            }
        }
        chart.findings.extend(found);
    }
    results
}

/// One chart, with what was found in its file as a whole, in one style and format; nothing where it has been said before why
/// not.
fn bytes(
    (chart, of_file): (&Chart, &[Finding]),
    format: Format,
    style: &Style,
) -> Option<Result<Vec<u8>, Finding>> {
    let sheet = match format {
        Format::Chart(sheet) => sheet,
        Format::Json => return Some(Ok(convert::json([(chart, of_file)].into_iter()).into_bytes())),
        Format::Rows(_) => return Some(Ok(convert::output(&[chart], format, style).into_bytes())),
    };
    match convert::drawn(&[chart], sheet) {
        (Some(bytes), _) => Some(Ok(bytes)),
        (None, mut findings) => findings.pop().map(|(_, finding)| Err(finding)),
    }
}

/// Names the results of a group of inputs; `inputs` are what they are called after, and `made` the results of each.
pub fn named(inputs: &[&Path], made: Vec<Vec<Made>>, disk: Disk) -> Vec<(PathBuf, Vec<u8>)> {
    let all: Vec<(usize, &Made)> = made
        .iter()
        .enumerate()
        .flat_map(|(input, made)| made.iter().map(move |made| (input, made)))
        .collect();
    let wanted: Vec<Wanted> = all
        .iter()
        .map(|(input, result)| Wanted {
            below: inputs.get(*input).copied().unwrap_or(Path::new("chart")),
            input: *input,
            chart: result.chart.as_deref(),
            style: result.style.as_ref().map(|style| style.name.as_str()),
            ending: result.format.ending(),
        })
        .collect();
    let names = names(inputs, &wanted, disk);
    names.into_iter().zip(made.into_iter().flatten().map(|made| made.bytes)).collect()
}
