//! The verdict and the findings for programs.

use longhand::compare::{Sameness, Verdict};
use longhand::json;
use serde_json::{Value, json};

use super::Beside;

pub(super) fn document(beside: &Beside<'_>) -> String {
    let charts: Vec<Value> = beside
        .pairs
        .iter()
        .map(|pair| {
            let different = pair.rows.iter().filter(|row| row.sameness() != Sameness::Same);
            let number = |half: &Option<longhand::compare::Half>| half.as_ref().map(|half| half.number);
            let rows: Vec<Value> = different
                .map(|row| json!({ "left": number(&row.left), "right": number(&row.right) }))
                .collect();
            json!({
                "title": pair.title,
                "left": pair.left,
                "right": pair.right,
                "verdict": word(Some(pair.verdict)),
                "rows": pair.length,
                "rows_that_differ": rows,
            })
        })
        .collect();
    let findings: Vec<longhand::problem::Finding> =
        beside.findings.iter().map(|&finding| finding.clone()).collect();
    let document = json!({
        "format": "longhand.comparison/1",
        "left": beside.left,
        "right": beside.right,
        "verdict": word(beside.verdict),
        "charts": charts,
        "findings": json::findings(&findings),
    });
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_default();
    text.push('\n');
    text
}

/// The name of a verdict.
fn word(verdict: Option<Verdict>) -> &'static str {
    match verdict {
        Some(Verdict::SameStitches) => "same-stitches",
        Some(Verdict::SameFabric) => "same-fabric",
        Some(Verdict::Different) => "different",
        None => "not-compared",
    }
}
