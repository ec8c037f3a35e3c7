//! Prints the grids of spreadsheet files as JSON, a line for each file, for `second_reader.py` to compare with what
//! other programs read.
#![allow(clippy::disallowed_methods, clippy::print_stdout, missing_docs)]

use std::error::Error;
use std::sync::Arc;

use longhand::grid::{Bands, Edge, Grid, Look, Value};
use longhand::read;
use serde_json::{Value as Json, json};

fn main() -> Result<(), Box<dyn Error>> {
    for path in std::env::args().skip(1) {
        let file: Arc<str> = path.as_str().into();
        let (workbook, findings) = read::workbook(&file, &std::fs::read(&path)?, None);
        let sheets: Option<Vec<Json>> = workbook.map(|book| book.sheets.iter().map(sheet).collect());
        let findings: Vec<Json> = findings
            .iter()
            .map(|finding| json!({"code": finding.code.name(), "place": finding.place.to_string(), "message": finding.message}))
            .collect();
        println!("{}", json!({"file": path, "sheets": sheets, "findings": findings}));
    }
    Ok(())
}

fn sheet(grid: &Grid) -> Json {
    let cells: Vec<Json> = grid
        .cells
        .iter()
        .map(|cell| json!([cell.at.to_string(), kind(&cell.value), plain(&cell.value)]))
        .collect();
    let merges: Vec<String> = grid.merges.iter().map(ToString::to_string).collect();
    let looks: Vec<Json> =
        grid.looks.cells.iter().map(|(at, look)| json!([at.row, at.column, look_of(look)])).collect();
    let of_bands = |bands: &Bands<Look>| {
        bands.iter().map(|band| json!([band.first, band.last, look_of(&band.value)])).collect::<Vec<_>>()
    };
    let hidden = |bands: &Bands<()>| {
        bands.iter().flat_map(|band| band.first..=band.last).take(1_000).collect::<Vec<_>>()
    };
    json!({
        "name": grid.name().map(|name| &**name),
        "hidden": grid.hidden,
        "cells": cells,
        "merges": merges,
        "looks": looks,
        "row_looks": of_bands(&grid.looks.rows),
        "column_looks": of_bands(&grid.looks.columns),
        "hidden_rows": hidden(&grid.hidden_rows),
        "hidden_columns": hidden(&grid.hidden_columns),
    })
}

/// The fill, then the edges at the top, right, bottom and left: whether each is heavy, and its colour.
fn look_of(look: &Look) -> Json {
    let edge = |edge: Option<Edge>| edge.map(|edge| json!([edge.heavy, edge.colour.to_string()]));
    json!([
        look.fill.map(|fill| fill.to_string()),
        edge(look.top),
        edge(look.right),
        edge(look.bottom),
        edge(look.left),
    ])
}

const fn kind(value: &Value) -> &'static str {
    match value {
        Value::Text(_) => "text",
        Value::Number(_) => "number",
        Value::Date { .. } => "date",
        Value::Truth(_) => "truth",
        Value::Error(_) => "error",
    }
}

/// The value as it stands in the file, untrimmed.
fn plain(value: &Value) -> Json {
    match value {
        Value::Text(text) => json!(**text),
        Value::Error(text) => json!(text),
        Value::Number(number) => json!(number),
        Value::Truth(truth) => json!(truth),
        Value::Date { .. } => json!(value.text()),
    }
}
