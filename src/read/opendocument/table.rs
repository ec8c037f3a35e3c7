//! One sheet: rows and cells, which say how often they are repeated.

use std::io::BufRead;

use quick_xml::events::{BytesStart, Event};

use super::text;
use crate::grid::Value;
use crate::place::{Address, Span};
use crate::read::collect::{Budget, Sheet};
use crate::read::dates;
use crate::read::fault::Fault;
use crate::read::limits;
use crate::read::xml::{Xml, attributes};

/// Reads the table whose start was read last.
pub(super) fn read<R: BufRead>(
    xml: &mut Xml<R>,
    sheet: &mut Sheet,
    budget: &mut Budget,
) -> Result<(), Fault> {
    // Groups of rows and columns, which may nest.
    let mut groups = 0usize;
    let mut row = 0u32;
    loop {
        let repeated = match xml.next()? {
            Event::Start(start) => match start.name().as_ref() {
                "table:table-row" => Some(repeats(&start, "table:number-rows-repeated")),
                "table:table-rows" | "table:table-row-group" | "table:table-header-rows" => {
                    groups += 1;
                    continue;
                }
                // Shapes, forms, links to other files; columns say nothing of the cells in them.
                _ => None,
            },
            Event::End(_) if groups > 0 => {
                groups -= 1;
                continue;
            }
            Event::End(_) | Event::Eof => return Ok(()),
            _ => continue,
        };
        match repeated {
            Some(repeated) => {
                put_row(&read_row(xml)?, row, repeated, sheet, budget)?;
                row = row.saturating_add(repeated);
            }
            None => xml.skip()?,
        }
    }
}

/// A cell that holds something or spans several.
struct Piece {
    column: u32,
    repeated: u32,
    value: Option<Value>,
    /// A formula without its result.
    formula: Option<String>,
    columns: u32,
    rows: u32,
}

/// What the tag of a cell says.
struct Tag {
    kind: Kind,
    value: Option<String>,
    formula: Option<String>,
    repeated: u32,
    columns: u32,
    rows: u32,
}

/// How the contents of a cell are to be taken.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Text,
    Number,
    Date,
    Time,
    Truth,
    Error,
}

fn read_row<R: BufRead>(xml: &mut Xml<R>) -> Result<Vec<Piece>, Fault> {
    let mut pieces = Vec::new();
    let mut column = 0u32;
    loop {
        let tag = match xml.next()? {
            Event::Start(start) => match start.name().as_ref() {
                "table:table-cell" => Ok(tag(&start)),
                // Lies under a merged cell: what it still holds can't be seen.
                "table:covered-table-cell" => Err(repeats(&start, "table:number-columns-repeated")),
                _ => Err(0),
            },
            Event::End(_) | Event::Eof => return Ok(pieces),
            _ => continue,
        };
        match tag {
            Ok(tag) => {
                let value = value(&tag, text::paragraphs(xml)?);
                let formula = if value.is_none() { tag.formula.clone() } else { None };
                if value.is_some() || formula.is_some() || tag.columns > 1 || tag.rows > 1 {
                    if pieces.len() >= limits::COLUMNS as usize {
                        return Err(Fault::too_many("columns", u64::from(limits::COLUMNS)));
                    }
                    let Tag { repeated, columns, rows, .. } = tag;
                    pieces.push(Piece { column, repeated, value, formula, columns, rows });
                }
                column = column.saturating_add(tag.repeated);
            }
            Err(passed) => {
                xml.skip()?;
                column = column.saturating_add(passed);
            }
        }
    }
}

/// Puts a row's cells where they stand, as often as they stand there.
fn put_row(
    pieces: &[Piece],
    row: u32,
    repeated: u32,
    sheet: &mut Sheet,
    budget: &mut Budget,
) -> Result<(), Fault> {
    if pieces.is_empty() {
        return Ok(());
    }
    for row in row..row.saturating_add(repeated) {
        for piece in pieces {
            for column in piece.column..piece.column.saturating_add(piece.repeated) {
                let at = Address::new(row, column);
                if let Some(value) = &piece.value {
                    sheet.put(budget, at, value.clone())?;
                } else if let Some(formula) = &piece.formula {
                    sheet.put_formula(budget, at, formula)?;
                }
                if piece.columns > 1 || piece.rows > 1 {
                    let last = Address::new(
                        row.saturating_add(piece.rows - 1).min(limits::ROWS - 1),
                        column.saturating_add(piece.columns - 1).min(limits::COLUMNS - 1),
                    );
                    sheet.merge(budget, Span::from(at).join(Span::from(last)))?;
                }
            }
        }
    }
    Ok(())
}

fn repeats(start: &BytesStart<'_>, name: &str) -> u32 {
    attributes(start).find(|(key, _)| *key == name).map_or(1, |(_, value)| count(&value))
}

/// How often, or how many; once where the number makes no sense.
fn count(text: &str) -> u32 {
    text.parse().unwrap_or(1).max(1)
}

fn tag(start: &BytesStart<'_>) -> Tag {
    let mut tag = Tag { kind: Kind::Text, value: None, formula: None, repeated: 1, columns: 1, rows: 1 };
    for (name, value) in attributes(start) {
        match name {
            "table:number-columns-repeated" => tag.repeated = count(&value),
            "table:number-columns-spanned" => tag.columns = count(&value),
            "table:number-rows-spanned" => tag.rows = count(&value),
            "table:formula" => tag.formula = Some(value.trim_start_matches("of:").to_owned()),
            // An error is text to readers that know no errors, and said to be more to those that do.
            "calcext:value-type" if value == "error" => tag.kind = Kind::Error,
            "office:value-type" if tag.kind != Kind::Error => {
                tag.kind = match &*value {
                    "float" | "percentage" | "currency" => Kind::Number,
                    "date" => Kind::Date,
                    "time" => Kind::Time,
                    "boolean" => Kind::Truth,
                    _ => Kind::Text,
                };
            }
            "office:value"
            | "office:date-value"
            | "office:time-value"
            | "office:boolean-value"
            | "office:string-value" => tag.value = Some(value.into_owned()),
            _ => {}
        }
    }
    tag
}

/// What a cell holds: the value its tag states, else the text shown in it.
fn value(tag: &Tag, shown: Option<String>) -> Option<Value> {
    let stated = tag.value.as_deref().map(str::trim);
    let value = match tag.kind {
        Kind::Error => return shown.map(Value::Error),
        Kind::Text => None,
        Kind::Number => stated
            .and_then(|text| text.parse::<f64>().ok())
            .filter(|number| number.is_finite())
            .map(Value::Number),
        Kind::Date => stated.and_then(dates::iso),
        Kind::Time => stated.and_then(part_of_day).map(Value::Number),
        Kind::Truth => stated.map(|text| Value::Truth(text == "true")),
    };
    // The stated text of a string cell goes before the shown one.
    value.or_else(|| match tag.kind {
        Kind::Text => tag.value.clone().or(shown).map(Value::Text),
        _ => shown.or_else(|| tag.value.clone()).map(Value::Text),
    })
}

/// A time such as `PT10H30M00S` as a part of a day, as other spreadsheets keep it.
fn part_of_day(text: &str) -> Option<f64> {
    let mut rest = text.strip_prefix("PT")?;
    let mut seconds = 0.0;
    for (unit, length) in [('H', 3_600.0), ('M', 60.0), ('S', 1.0)] {
        if let Some((number, after)) = rest.split_once(unit) {
            let number: f64 = number.replace(',', ".").parse().ok()?;
            seconds += number * length;
            rest = after;
        }
    }
    (rest.is_empty() && seconds.is_finite()).then_some(seconds / 86_400.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grid::Grid;

    fn grid(rows: &str) -> Grid {
        let xml = format!("<table:table>{rows}</table:table>");
        let mut xml = Xml::new(xml.as_bytes(), 10_000);
        assert!(matches!(xml.next(), Ok(Event::Start(_))));
        let mut sheet = Sheet::new(Grid::sheet("a.fods".into(), "S"));
        read(&mut xml, &mut sheet, &mut Budget::default()).unwrap();
        sheet.finish()
    }

    fn shown(grid: &Grid) -> String {
        let cells: Vec<String> =
            grid.cells.iter().map(|cell| format!("{}={}", cell.at, cell.value.text())).collect();
        cells.join(" ")
    }

    /// Source: OpenDocument 1.3 part 3, chapter 9; XML as LibreOffice writes it.
    #[test]
    fn repeated_rows_and_cells_keep_their_places() {
        let grid = grid(
            r#"<office:forms/><table:table-column/>
            <table:table-row table:number-rows-repeated="3"><table:table-cell/></table:table-row>
            <table:table-header-rows>
            <table:table-row table:number-rows-repeated="2">
              <table:table-cell table:number-columns-repeated="2"/>
              <table:table-cell table:number-columns-repeated="3" office:value-type="string"><text:p>k</text:p></table:table-cell>
              <table:table-cell table:number-columns-repeated="16379"/>
            </table:table-row>
            </table:table-header-rows>
            <table:table-row table:number-rows-repeated="1048571"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>"#,
        );
        assert_eq!(shown(&grid), "C4=k D4=k E4=k C5=k D5=k E5=k");
    }

    #[test]
    fn spans_are_merges_and_what_they_cover_is_left_out() {
        let grid = grid(
            r#"<table:table-row>
              <table:table-cell table:number-columns-spanned="3" table:number-rows-spanned="2" office:value-type="string"><text:p>2/2 RC</text:p></table:table-cell>
              <table:covered-table-cell table:number-columns-repeated="2" office:value-type="string"><text:p>old</text:p></table:covered-table-cell>
              <table:table-cell office:value-type="string"><text:p>k</text:p></table:table-cell>
            </table:table-row>
            <table:table-row>
              <table:covered-table-cell table:number-columns-repeated="3"/>
              <table:table-cell office:value-type="string"><text:p>p</text:p></table:table-cell>
            </table:table-row>"#,
        );
        assert_eq!(shown(&grid), "A1=2/2 RC D1=k D2=p");
        assert_eq!(grid.merges.iter().map(ToString::to_string).collect::<Vec<_>>(), ["A1:C2"]);
    }

    #[test]
    fn values_go_before_what_is_shown() {
        let grid = grid(
            r##"<table:table-row>
              <table:table-cell office:value-type="float" office:value="3" calcext:value-type="float"><text:p>3.00</text:p></table:table-cell>
              <table:table-cell office:value-type="date" office:date-value="2026-01-02"><text:p>02/01</text:p></table:table-cell>
              <table:table-cell office:value-type="boolean" office:boolean-value="true"><text:p>TRUE</text:p></table:table-cell>
              <table:table-cell office:value-type="string" office:string-value="" calcext:value-type="error"><text:p>#NAME?</text:p></table:table-cell>
              <table:table-cell office:value-type="time" office:time-value="PT06H00M00S"><text:p>06:00</text:p></table:table-cell>
              <table:table-cell office:value-type="float" office:value="oops"><text:p>7</text:p></table:table-cell>
              <table:table-cell><office:annotation><text:p>note</text:p></office:annotation></table:table-cell>
            </table:table-row>"##,
        );
        let values: Vec<Value> = grid.cells.into_iter().map(|cell| cell.value).collect();
        assert_eq!(
            values,
            [
                Value::Number(3.0),
                Value::Date { year: 2026, month: 1, day: 2 },
                Value::Truth(true),
                Value::Error("#NAME?".into()),
                Value::Number(0.25),
                Value::Text("7".into()),
            ]
        );
    }
}
