//! The verdict and the findings for programs.

use longhand::compare::{Half, Sameness};
use longhand::convert::Pair;
use longhand::json;
use serde_json::{Map, Value, json};

use super::Beside;
use super::folders::{Class, Form, Outcome, Whole};

/// Two folders: the comparisons one a line, in order, and what they come to.
pub(super) const FOLDERS: Form = Form {
    begin: |whole| {
        let [left, right] = whole.folders.clone().map(Value::from);
        let format = Value::from("longhand.comparisons/1");
        format!(
            "{{\n  \"format\": {format},\n  \"left\": {left},\n  \"right\": {right},\n  \"comparisons\": [\n"
        )
    },
    one: |_, outcome| format!("    {}", comparison(outcome)),
    between: ",\n",
    aside: None,
    end,
    is_kept: false,
};

fn comparison(outcome: &Outcome) -> Value {
    json!({
        "left": outcome.left.as_ref().map(|side| &*side.file),
        "right": outcome.right.as_ref().map(|side| &*side.file),
        "verdict": outcome.class.name(),
        "charts": charts(&outcome.pairs),
        "findings": json::findings(&outcome.findings),
    })
}

fn end(whole: &Whole<'_>) -> String {
    let counts: Map<String, Value> =
        Class::ALL.iter().map(|&class| (class.name().to_owned(), whole.counts.of(class).into())).collect();
    let counts = Value::from(counts);
    let verdict = Value::from(whole.verdict().name());
    let findings = json::findings(whole.findings);
    let complete = whole.complete;
    format!(
        "\n  ],\n  \"verdict\": {verdict},\n  \"counts\": {counts},\n  \"complete\": {complete},\n  \
         \"findings\": {findings}\n}}\n"
    )
}

pub(super) fn document(beside: &Beside<'_>) -> String {
    let findings: Vec<longhand::problem::Finding> =
        beside.findings.iter().map(|&finding| finding.clone()).collect();
    let document = json!({
        "format": "longhand.comparison/1",
        "left": beside.left,
        "right": beside.right,
        "verdict": Class::of(beside.verdict).name(),
        "charts": charts(beside.pairs),
        "findings": json::findings(&findings),
    });
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_default();
    text.push('\n');
    text
}

/// The charts that were compared.
fn charts(pairs: &[Pair]) -> Vec<Value> {
    let number = |half: &Option<Half>| half.as_ref().map(|half| half.number);
    let chart = |pair: &Pair| {
        let different = pair.rows.iter().filter(|row| row.sameness() != Sameness::Same);
        let rows: Vec<Value> =
            different.map(|row| json!({ "left": number(&row.left), "right": number(&row.right) })).collect();
        json!({
            "title": pair.title,
            "left": pair.left,
            "right": pair.right,
            "verdict": Class::from(pair.verdict).name(),
            "rows": pair.length,
            "rows_that_differ": rows,
        })
    };
    pairs.iter().map(chart).collect()
}
