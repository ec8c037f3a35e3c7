//! Charts as csv: a cell for each square, cables in each of their cells.

use super::layout::{notes, numbers, said};
use super::{Drawing, Options};

/// Writes charts one below another.
///
/// # Errors
/// Where a chart shows colours, which csv has no place for.
pub(super) fn write(drawings: &[(&Drawing, Options)]) -> Result<Vec<u8>, String> {
    let mut lines: Vec<Vec<String>> = Vec::new();
    for (drawing, options) in drawings {
        if !drawing.colours.is_empty() {
            return Err("A csv file has no place for colours.".to_owned());
        }
        if !lines.is_empty() {
            lines.extend([Vec::new(), Vec::new()]);
        }
        chart(drawing, *options, &mut lines);
    }
    let mut text = Vec::new();
    for line in lines {
        if line.is_empty() {
            text.push(b'\n');
            continue;
        }
        let mut writer = ::csv::Writer::from_writer(text);
        writer.write_record(line).map_err(|error| error.to_string())?;
        text = writer.into_inner().map_err(|error| error.to_string())?;
    }
    Ok(text)
}

fn chart(drawing: &Drawing, options: Options, lines: &mut Vec<Vec<String>>) {
    lines.extend(said(drawing).into_iter().map(|line| vec![line]));
    lines.push(Vec::new());
    for row in &drawing.rows {
        let (left, right) = numbers(row, options);
        let mut line = vec![left];
        for square in &row.squares {
            let name = drawing.key.get(square.symbol).map(|symbol| symbol.name.clone()).unwrap_or_default();
            line.extend(std::iter::repeat_n(name, square.cells));
        }
        line.push(right);
        lines.push(line);
    }
    lines.extend([Vec::new(), vec!["Key".to_owned()]]);
    lines.extend(drawing.key.iter().map(|symbol| vec![symbol.name.clone(), symbol.words.clone()]));
    let notes = notes(drawing, options);
    if !notes.is_empty() {
        lines.push(Vec::new());
        lines.extend(notes.iter().map(|note| vec![note.clone()]));
    }
}
