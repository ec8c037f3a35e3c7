//! One sheet, in a single pass over its part.

use std::rc::Rc;

use quick_xml::events::{BytesStart, Event};

use super::strings::{rich_text, unescaped};
use super::workbook::truth;
use super::{Shared, missing};
use crate::grid::{Look, Value};
use crate::place::{Address, Span};
use crate::read::collect::{Budget, Sheet};
use crate::read::dates;
use crate::read::fault::Fault;
use crate::read::limits;
use crate::read::package::Package;
use crate::read::xml::{Xml, attribute, attributes};

/// What the tag of a cell says.
struct Tag {
    at: Address,
    kind: Kind,
    format: usize,
}

/// How the text of a cell is to be taken.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Number,
    Shared,
    Text,
    Truth,
    Error,
    Date,
}

/// Reads the cells and merged ranges of a sheet.
pub(super) fn read(
    package: &mut Package<'_>,
    part: &str,
    shared: &Shared,
    sheet: &mut Sheet,
    budget: &mut Budget,
) -> Result<(), Fault> {
    let mut xml = package.xml(part)?.ok_or_else(|| missing(part))?;
    // The address the next cell has if it does not say its own.
    let mut next = Address::new(0, 0);
    let mut in_conditions = false;
    loop {
        let tag = match xml.next()? {
            Event::Start(start) => match start.local_name().as_ref() {
                "row" => {
                    let number = attribute(&start, "r").and_then(|number| number.trim().parse::<u32>().ok());
                    next = Address::new(number.map_or(next.row, |number| number.saturating_sub(1)), 0);
                    row(&start, next.row, shared, sheet, budget)?;
                    None
                }
                "sheetView" => {
                    sheet.turn(attribute(&start, "rightToLeft").is_some_and(|turned| truth(&turned)));
                    None
                }
                "col" => {
                    columns(&start, shared, sheet, budget)?;
                    None
                }
                "c" => Some(tag(&start, next)?),
                "mergeCell" => {
                    let range = attribute(&start, "ref").unwrap_or_default();
                    let span = span(&range).ok_or_else(|| {
                        Fault::damaged(format!("it has a merged cell at \u{201c}{range}\u{201d}"))
                    })?;
                    sheet.merge(budget, span)?;
                    None
                }
                "conditionalFormatting" => {
                    in_conditions = true;
                    conditional(&attribute(&start, "sqref").unwrap_or_default(), sheet, budget)?;
                    None
                }
                // Newer kinds of conditions tell their cells in an element of its own; so do other things, such as
                // lists of what may be typed.
                "sqref" if in_conditions => {
                    conditional(xml.text()?, sheet, budget)?;
                    None
                }
                _ => None,
            },
            Event::End(end) => {
                match end.local_name().as_ref() {
                    "row" => next = Address::new(next.row.saturating_add(1), 0),
                    "conditionalFormatting" => in_conditions = false,
                    _ => {}
                }
                None
            }
            Event::Eof => return Ok(()),
            _ => None,
        };
        if let Some(tag) = tag {
            sheet.put_look(budget, tag.at, look(shared, tag.format))?;
            match value(&mut xml, &tag, shared, sheet)? {
                Found::Value(value) => sheet.put(budget, tag.at, value)?,
                Found::Formula(formula) => sheet.put_formula(budget, tag.at, &formula)?,
                Found::Nothing => {}
            }
            next = Address::new(tag.at.row, tag.at.column.saturating_add(1));
        }
    }
}

/// Cells that a condition is for: "B2:K9 B12".
fn conditional(cells: &str, sheet: &mut Sheet, budget: &mut Budget) -> Result<(), Fault> {
    cells.split_whitespace().filter_map(span).try_for_each(|span| sheet.conditional(budget, span))
}

/// What the tag of a row says of its cells: whether they are hidden, and how those look that are not listed.
fn row(
    start: &BytesStart<'_>,
    row: u32,
    shared: &Shared,
    sheet: &mut Sheet,
    budget: &mut Budget,
) -> Result<(), Fault> {
    let (mut hidden, mut format, mut own_format) = (false, None, false);
    for (name, value) in attributes(start) {
        match name {
            "hidden" => hidden = truth(&value),
            "s" => format = value.parse::<usize>().ok(),
            "customFormat" => own_format = truth(&value),
            _ => {}
        }
    }
    if hidden {
        sheet.hide_rows(budget, row, row)?;
    }
    match format {
        Some(format) if own_format => sheet.look_of_rows(budget, row, row, look(shared, format)),
        _ => Ok(()),
    }
}

/// What is said of columns: whether they are hidden, and how their cells look that are not listed.
fn columns(
    start: &BytesStart<'_>,
    shared: &Shared,
    sheet: &mut Sheet,
    budget: &mut Budget,
) -> Result<(), Fault> {
    let number = |name| attribute(start, name).and_then(|number| number.parse::<u32>().ok());
    // Columns count from 1 here.
    let (Some(first), Some(last)) = (
        number("min").and_then(|number| number.checked_sub(1)),
        number("max").and_then(|number| number.checked_sub(1)),
    ) else {
        return Ok(());
    };
    if attribute(start, "hidden").is_some_and(|hidden| truth(&hidden)) {
        sheet.hide_columns(budget, first, last)?;
    }
    match number("style") {
        Some(format) => sheet.look_of_columns(budget, first, last, look(shared, format as usize)),
        None => Ok(()),
    }
}

fn look(shared: &Shared, format: usize) -> Look {
    shared.formats.get(format).map(|format| format.look).unwrap_or_default()
}

fn tag(start: &BytesStart<'_>, next: Address) -> Result<Tag, Fault> {
    let mut tag = Tag { at: next, kind: Kind::Number, format: 0 };
    for (name, value) in attributes(start) {
        match name {
            "r" => {
                tag.at = address(&value)
                    .ok_or_else(|| Fault::damaged(format!("it has a cell at \u{201c}{value}\u{201d}")))?;
            }
            "s" => tag.format = value.parse().unwrap_or(0),
            "t" => {
                tag.kind = match &*value {
                    "s" => Kind::Shared,
                    "str" | "inlineStr" => Kind::Text,
                    "b" => Kind::Truth,
                    "e" => Kind::Error,
                    "d" => Kind::Date,
                    _ => Kind::Number,
                };
            }
            _ => {}
        }
    }
    Ok(tag)
}

/// What stands in a cell.
enum Found {
    Nothing,
    Value(Value),
    /// A formula without its result.
    Formula(String),
}

/// What a cell holds, from the pieces inside it. Of a formula its stored result counts.
fn value(xml: &mut Xml<'_>, tag: &Tag, shared: &Shared, sheet: &Sheet) -> Result<Found, Fault> {
    enum Piece {
        Value,
        Inline,
        Formula,
        Other,
    }
    let mut found = Found::Nothing;
    loop {
        let piece = match xml.next()? {
            Event::Start(start) => match start.local_name().as_ref() {
                "v" => Piece::Value,
                "is" => Piece::Inline,
                "f" => Piece::Formula,
                _ => Piece::Other,
            },
            Event::End(_) | Event::Eof => return Ok(found),
            _ => continue,
        };
        match piece {
            Piece::Value => {
                if let Some(value) = taken(xml.text()?, tag, shared, sheet)? {
                    found = Found::Value(value);
                }
            }
            Piece::Inline => {
                let mut text = String::new();
                rich_text(xml, &mut text)?;
                found = Found::Value(Value::Text(text.into()));
            }
            Piece::Formula => found = Found::Formula(xml.text()?.to_owned()),
            Piece::Other => xml.skip()?,
        }
    }
}

/// The value that the text of a cell stands for.
fn taken(text: &str, tag: &Tag, shared: &Shared, sheet: &Sheet) -> Result<Option<Value>, Fault> {
    let trimmed = text.trim();
    let value = match tag.kind {
        Kind::Text => Value::Text(unescaped(text).into()),
        _ if trimmed.is_empty() => return Ok(None),
        Kind::Shared => {
            let found = trimmed.parse::<usize>().ok().and_then(|index| shared.strings.get(index));
            let Some(string) = found else {
                return Err(Fault::DamagedCell {
                    sheet: sheet.name(),
                    at: tag.at,
                    what: format!(
                        "the cell refers to text number {trimmed} of a list of {}",
                        shared.strings.len()
                    ),
                });
            };
            Value::Text(Rc::clone(string))
        }
        Kind::Truth => Value::Truth(truth(trimmed)),
        Kind::Error => Value::Error(trimmed.to_owned()),
        Kind::Date => dates::iso(trimmed).unwrap_or_else(|| Value::Text(text.into())),
        Kind::Number => match trimmed.parse::<f64>() {
            Ok(number) if number.is_finite() => {
                if shared.formats.get(tag.format).is_some_and(|format| format.date) {
                    dates::date(number, shared.epoch)
                } else {
                    Value::Number(number)
                }
            }
            _ => Value::Text(text.into()),
        },
    };
    Ok(Some(value))
}

/// The cell called `C7`; `$` marks are passed over.
pub(in crate::read) fn address(name: &str) -> Option<Address> {
    corner(numbers(name)?)
}

/// The numbers of the column and the row in a name such as `C7`, as far as it says them.
type Numbers = (Option<u32>, Option<u32>);

/// The cell of these numbers, which count from 1.
fn corner((column, row): Numbers) -> Option<Address> {
    Some(Address::new(row?.checked_sub(1)?, column?.checked_sub(1)?))
}

fn numbers(name: &str) -> Option<Numbers> {
    let (mut column, mut row) = (None, None);
    let next = |number: Option<u32>, base: u32, digit: u32| {
        number.unwrap_or(0).checked_mul(base)?.checked_add(digit)
    };
    for byte in name.trim().bytes() {
        match byte {
            b'$' => {}
            b'A'..=b'Z' | b'a'..=b'z' if row.is_none() => {
                column = Some(next(column, 26, u32::from(byte.to_ascii_uppercase() - b'A') + 1)?);
            }
            b'0'..=b'9' => row = Some(next(row, 10, u32::from(byte - b'0'))?),
            _ => return None,
        }
    }
    Some((column, row))
}

/// The cells called `B2:D2`; of whole rows and columns, called `1:1` and `C:D`, all there are.
fn span(name: &str) -> Option<Span> {
    let Some((first, last)) = name.split_once(':') else { return address(name).map(Span::from) };
    let (first, last) = match (numbers(first)?, numbers(last)?) {
        ((None, first), (None, last)) => ((Some(1), first), (Some(limits::COLUMNS), last)),
        ((first, None), (last, None)) => ((first, Some(1)), (last, Some(limits::ROWS))),
        corners => corners,
    };
    // Corners may come in any order.
    Some(Span::from(corner(first)?).join(Span::from(corner(last)?)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_are_read_as_spreadsheets_name_them() {
        for (name, row, column) in
            [("A1", 0, 0), ("C7", 6, 2), ("$AA$10", 9, 26), ("XFD1048576", 1_048_575, 16_383)]
        {
            assert_eq!(address(name), Some(Address::new(row, column)));
        }
        for name in ["", "A", "7", "A0", "7A", "A7B", "A-1", "A99999999999", "ZZZZZZZZZ1"] {
            assert_eq!(address(name), None, "{name}");
        }
        assert_eq!(span("D2:B4"), Some(Span::new(Address::new(1, 1), Address::new(3, 3))));
        assert_eq!(span("B2"), Some(Span::from(Address::new(1, 1))));
        for (name, cells) in
            [("1:1", "A1:XFD1"), ("$4:$3", "A3:XFD4"), ("C:D", "C1:D1048576"), ("B:B", "B1:B1048576")]
        {
            assert_eq!(span(name).map(|span| span.to_string()).as_deref(), Some(cells), "{name}");
        }
        for name in ["", "1", "C", ":", "1:C", "C:1", "A1:C", "A1:3", "0:0", "A0:B0", "A1:B2:C3"] {
            assert_eq!(span(name), None, "{name}");
        }
    }
}
