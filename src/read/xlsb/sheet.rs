//! One sheet: its cells, each a record that may leave its column out where it follows the cell before.

use std::rc::Rc;

use super::Shared;
use super::records::{Records, number_at, span_at, text_at};
use crate::grid::{Look, Value};
use crate::place::Address;
use crate::read::collect::{Budget, Sheet};
use crate::read::dates;
use crate::read::fault::Fault;

const ROW: u32 = 0;
const COLUMNS: u32 = 60;
const VIEW: u32 = 137;
const MERGED: u32 = 176;
const CONDITIONAL: u32 = 461;

/// How a kind of record keeps a cell's value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kept {
    Nothing,
    Packed,
    Error,
    Truth,
    Real,
    Text,
    RichText,
    Shared,
}

/// How the value is kept, and whether the record names its column.
/// Source: MS-XLSB 2.3.1, the records BrtCell..., BrtFmla..., BrtShort... and BrtCellRString.
const fn cell(kind: u32) -> Option<(Kept, bool)> {
    Some(match kind {
        1 => (Kept::Nothing, true),
        2 => (Kept::Packed, true),
        3 | 11 => (Kept::Error, true),
        4 | 10 => (Kept::Truth, true),
        5 | 9 => (Kept::Real, true),
        6 | 8 => (Kept::Text, true),
        7 => (Kept::Shared, true),
        12 => (Kept::Nothing, false),
        13 => (Kept::Packed, false),
        14 => (Kept::Error, false),
        15 => (Kept::Truth, false),
        16 => (Kept::Real, false),
        17 => (Kept::Text, false),
        18 => (Kept::Shared, false),
        62 => (Kept::RichText, true),
        _ => return None,
    })
}

/// Reads the cells of a sheet, how they look, its merged ranges, and on which cells conditions hang.
pub(super) fn read(
    part: &[u8],
    shared: &Shared,
    sheet: &mut Sheet,
    budget: &mut Budget,
) -> Result<(), Fault> {
    let mut row = 0;
    let mut next_column = 0u32;
    let mut records = Records::new(part);
    while let Some((kind, data)) = records.next()? {
        if kind == ROW {
            row = number_at(data, 0).ok_or_else(|| Fault::damaged("one of its rows is damaged"))?;
            next_column = 0;
            row_looks(data, row, shared, sheet, budget)?;
        } else if kind == COLUMNS {
            column_looks(data, shared, sheet, budget)?;
        } else if kind == MERGED {
            let cells =
                span_at(data, 0).ok_or_else(|| Fault::damaged("one of its merged cells is damaged"))?;
            sheet.merge(budget, cells)?;
        } else if kind == VIEW {
            // Source: MS-XLSB 2.4.307 (BrtBeginWsView).
            sheet.turn(data.first().is_some_and(|marks| marks & 0x20 != 0));
        } else if kind == CONDITIONAL {
            conditional(data, sheet, budget)?;
        } else if let Some((kept, names_column)) = cell(kind) {
            let column = if names_column { number_at(data, 0) } else { Some(next_column) };
            let at = Address::new(row, column.unwrap_or(next_column));
            next_column = at.column.saturating_add(1);
            let data = data.get(if names_column { 4 } else { 0 }..).unwrap_or_default();
            let style = number_at(data, 0).map_or(0, |number| number & 0x00ff_ffff);
            let style = shared.styles.get(style as usize).copied().unwrap_or_default();
            sheet.put_look(budget, at, style.look)?;
            let data = data.get(4..).unwrap_or_default();
            if kept == Kept::Nothing {
                continue;
            }
            let value = value(kept, data, style.date, shared).ok_or_else(|| Fault::DamagedCell {
                sheet: sheet.name(),
                at,
                what: "what the cell holds is damaged, or not in the file".into(),
            })?;
            sheet.put(budget, at, value)?;
        }
    }
    Ok(())
}

/// Whether a row is hidden, and how its cells look that are not listed. Source: MS-XLSB 2.4.741 (BrtRowHdr).
fn row_looks(
    data: &[u8],
    row: u32,
    shared: &Shared,
    sheet: &mut Sheet,
    budget: &mut Budget,
) -> Result<(), Fault> {
    const HIDDEN: u8 = 0x10;
    const OWN_FORMAT: u8 = 0x40;
    let marks = data.get(11).copied().unwrap_or(0);
    if marks & HIDDEN != 0 {
        sheet.hide_rows(budget, row, row)?;
    }
    if marks & OWN_FORMAT != 0 {
        sheet.look_of_rows(budget, row, row, look(data, 4, shared))?;
    }
    Ok(())
}

/// The cells on which conditions hang: how many conditions, a mark, how many ranges, and each: first row, last row, first
/// column, last column. Source: MS-XLSB, BrtBeginConditionalFormatting.
fn conditional(data: &[u8], sheet: &mut Sheet, budget: &mut Budget) -> Result<(), Fault> {
    for range in data.get(12..).unwrap_or_default().chunks_exact(16) {
        if let Some(cells) = span_at(range, 0) {
            sheet.conditional(budget, cells)?;
        }
    }
    Ok(())
}

/// Whether columns are hidden, and how their cells look that are not listed. Source: MS-XLSB 2.4.323 (BrtColInfo).
fn column_looks(data: &[u8], shared: &Shared, sheet: &mut Sheet, budget: &mut Budget) -> Result<(), Fault> {
    let (Some(first), Some(last)) = (number_at(data, 0), number_at(data, 4)) else { return Ok(()) };
    if data.get(16).is_some_and(|marks| marks & 1 != 0) {
        sheet.hide_columns(budget, first, last)?;
    }
    sheet.look_of_columns(budget, first, last, look(data, 12, shared))
}

fn look(data: &[u8], at: usize, shared: &Shared) -> Look {
    let style = number_at(data, at).and_then(|style| shared.styles.get(style as usize));
    style.map(|style| style.look).unwrap_or_default()
}

fn value(kept: Kept, data: &[u8], date: bool, shared: &Shared) -> Option<Value> {
    let number = |number: f64| match number {
        number if !number.is_finite() => None,
        number if date => Some(dates::date(number, shared.epoch)),
        number => Some(Value::Number(number)),
    };
    match kept {
        Kept::Nothing => None,
        Kept::Packed => number(packed(number_at(data, 0)?)),
        Kept::Real => number(f64::from_le_bytes(data.get(..8)?.try_into().ok()?)),
        Kept::Truth => Some(Value::Truth(*data.first()? != 0)),
        Kept::Error => Some(Value::Error(error(*data.first()?).to_owned())),
        Kept::Text => Some(Value::Text(text_at(data, 0)?.0.into())),
        // Says first what else is kept with the text.
        Kept::RichText => Some(Value::Text(text_at(data, 1)?.0.into())),
        Kept::Shared => Some(Value::Text(Rc::clone(shared.strings.get(number_at(data, 0)? as usize)?))),
    }
}

/// A number packed into 30 bits and two marks: whether it is whole, and whether it is a hundred times too large.
fn packed(bits: u32) -> f64 {
    let number = if bits & 2 == 0 {
        f64::from_bits(u64::from(bits & !3) << 32)
    } else {
        f64::from((bits as i32) >> 2)
    };
    if bits & 1 == 0 { number } else { number / 100.0 }
}

/// Source: MS-XLSB 2.5.97.2 (BErr).
const fn error(code: u8) -> &'static str {
    match code {
        0x00 => "#NULL!",
        0x07 => "#DIV/0!",
        0x0f => "#VALUE!",
        0x17 => "#REF!",
        0x1d => "#NAME?",
        0x24 => "#NUM!",
        0x2a => "#N/A",
        _ => "#ERROR",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grid::Grid;

    /// Source: MS-XLS 2.5.217 (RkNumber): 1.0, 1.23 and -2 by its rules, worked out by hand.
    #[test]
    fn packed_numbers_are_unpacked() {
        assert_eq!(packed(0x3ff0_0000), 1.0);
        assert_eq!(packed((123 << 2) | 3), 1.23);
        assert_eq!(packed(((-2i32 << 2) | 2) as u32), -2.0);
    }

    /// Source: MS-XLSB, records written out by hand.
    #[test]
    fn a_record_without_a_column_follows_the_cell_before() {
        let row = [0, 4, 4, 0, 0, 0];
        let named = [7, 12, 2, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0];
        let following = [18, 8, 0, 0, 0, 0, 1, 0, 0, 0];
        let part = [&row[..], &named, &following, &[12, 4, 0, 0, 0, 0], &following].concat();
        let shared =
            Shared { strings: vec!["k".into(), "yo".into()], styles: Vec::new(), epoch: Default::default() };
        let mut sheet = Sheet::new(Grid::sheet("a".into(), "S"));
        assert_eq!(read(&part, &shared, &mut sheet, &mut Budget::default()), Ok(()));
        let cells: Vec<String> =
            sheet.finish().cells.iter().map(|cell| format!("{}={}", cell.at, cell.value.text())).collect();
        assert_eq!(cells, ["C5=k", "D5=yo", "F5=yo"]);
    }

    /// Source: MS-XLSB 2.1.4, kind 461 in two bytes; the record written out by hand: one condition on A3:I4 and B7.
    #[test]
    fn cells_with_conditions_are_told() {
        let numbers = [1u32, 0, 2, 2, 3, 0, 8, 6, 6, 1, 1];
        let part: Vec<u8> =
            [0xcd, 0x03, 44].into_iter().chain(numbers.into_iter().flat_map(u32::to_le_bytes)).collect();
        let shared = Shared { strings: Vec::new(), styles: Vec::new(), epoch: Default::default() };
        let mut sheet = Sheet::new(Grid::sheet("a".into(), "S"));
        assert_eq!(read(&part, &shared, &mut sheet, &mut Budget::default()), Ok(()));
        let cells: Vec<String> = sheet.finish().conditional.iter().map(ToString::to_string).collect();
        assert_eq!(cells, ["A3:I4", "B7"]);
    }

    /// Source: MS-XLSB 2.4.307, from memory: grid, headings and zeros are shown, from right to left or not.
    #[test]
    fn the_way_a_sheet_runs_is_told() {
        for (marks, turned) in [(0x9c, false), (0xbc, true)] {
            let shared = Shared { strings: Vec::new(), styles: Vec::new(), epoch: Default::default() };
            let mut sheet = Sheet::new(Grid::sheet("a".into(), "S"));
            let part = [0x89, 1, 2, marks, 3];
            assert_eq!(read(&part, &shared, &mut sheet, &mut Budget::default()), Ok(()));
            assert_eq!(sheet.finish().right_to_left, turned);
        }
    }

    #[test]
    fn a_text_that_is_not_in_the_list_is_an_error_at_its_cell() {
        let part = [0, 4, 0, 0, 0, 0, 18, 8, 0, 0, 0, 0, 9, 0, 0, 0];
        let shared = Shared { strings: Vec::new(), styles: Vec::new(), epoch: Default::default() };
        let mut sheet = Sheet::new(Grid::sheet("a".into(), "S"));
        let result = read(&part, &shared, &mut sheet, &mut Budget::default());
        assert!(matches!(result, Err(Fault::DamagedCell { at, .. }) if at == Address::new(0, 0)));
    }
}
