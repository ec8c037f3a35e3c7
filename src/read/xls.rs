//! Reading `.xls`, the workbooks of Excel 97 to 2003, with the help of a library.
//!
//! The library takes a file as it says it is; everything that could make it ask for too much memory, or run without
//! an end, is looked at here before.

mod biff;
mod guard;
mod look;
mod notes;

use std::io::{self, Cursor, Read, Write};
use std::sync::Arc;

use calamine::{Data, Reader, SheetType, SheetVisible, Xls};

use super::collect::{Budget, Sheet};
use super::dates::{self, Epoch};
use super::fault::{Fault, looks_not_seen};
use super::limits;
use crate::grid::{Grid, Value, Workbook};
use crate::place::{Address, Span};
use crate::problem::Finding;
use biff::Found;
use guard::guarded;

/// Reads a workbook; what can't be seen of it is said in `notes`.
pub(super) fn read(file: &Arc<str>, bytes: &[u8], notes: &mut Vec<Finding>) -> Result<Workbook, Fault> {
    let (clean, found) = guarded(|| prepared(bytes))?;
    let workbook = guarded(|| cells(file, clean, &found))?;
    if found.unseen_fills {
        notes.push(looks_not_seen(file));
    }
    Ok(workbook)
}

/// The workbook alone in a container of our own making, so that nothing in the file's container can lead the
/// library astray, and what was found on the way.
fn prepared(bytes: &[u8]) -> Result<(Vec<u8>, Found), Fault> {
    let damaged = |error: io::Error| Fault::damaged(format!("it is damaged or cut short ({error})"));
    let mut container = cfb::CompoundFile::open(Cursor::new(bytes)).map_err(damaged)?;
    if container.exists("/EncryptedPackage") {
        return Err(Fault::Encrypted);
    }
    let others = [
        ("/WordDocument", "a Word 97-2003 document"),
        ("/PowerPoint Document", "a PowerPoint 97-2003 presentation"),
    ];
    if let Some((_, what)) = others.iter().find(|(stream, _)| container.exists(stream)) {
        return Err(Fault::Other((*what).to_owned()));
    }
    let Some(name) = ["/Workbook", "/Book"].into_iter().find(|name| container.exists(name)) else {
        return Err(Fault::Other("an Office document without a workbook in it".to_owned()));
    };
    let mut stream = Vec::new();
    let limit = limits::FILE_BYTES as u64;
    container.open_stream(name).map_err(damaged)?.take(limit).read_to_end(&mut stream).map_err(damaged)?;
    let found = biff::survey(&mut stream, &mut Budget::default())?;
    // The library reads the older version of the container only.
    let mut clean =
        cfb::CompoundFile::create_with_version(cfb::Version::V3, Cursor::new(Vec::new())).map_err(damaged)?;
    clean.create_stream(name).and_then(|mut out| out.write_all(&stream)).map_err(damaged)?;
    clean.flush().map_err(damaged)?;
    Ok((clean.into_inner().into_inner(), found))
}

fn cells(file: &Arc<str>, container: Vec<u8>, found: &Found) -> Result<Workbook, Fault> {
    let damaged = |error: calamine::XlsError| Fault::damaged(format!("its records are damaged ({error})"));
    let mut book: Xls<_> = Xls::new(Cursor::new(container)).map_err(damaged)?;
    let epoch = if book.has_1904_epoch() { Epoch::Y1904 } else { Epoch::Y1900 };
    let mut budget = Budget::default();
    let mut sheets = Vec::new();
    for (index, entry) in book.sheets_metadata().to_vec().into_iter().enumerate() {
        if !matches!(entry.typ, SheetType::WorkSheet | SheetType::MacroSheet) {
            continue;
        }
        budget.sheet()?;
        let mut grid = Grid::sheet(Arc::clone(file), entry.name);
        if let Some(looks) = found.grids.get(index) {
            grid.right_to_left = looks.right_to_left;
            grid.looks = looks.looks.clone();
            grid.hidden_rows = looks.hidden_rows.clone();
            grid.hidden_columns = looks.hidden_columns.clone();
            grid.comments = looks.comments.clone();
            grid.conditional = looks.conditional.clone();
        }
        let mut sheet = Sheet::new(grid);
        sheet.hide(entry.visible != SheetVisible::Visible);
        let merges = book.merge_cells_by_sheet_id(index).unwrap_or_default();
        if let Some(range) = book.worksheet_range_at(index) {
            let range = range.map_err(damaged)?;
            // Cells of a range are counted from its first, not from the sheet's.
            let (first_row, first_column) = range.start().unwrap_or_default();
            for (row, column, data) in range.used_cells() {
                let at = Address::new(first_row + row as u32, first_column + column as u32);
                if let Some(value) = value(data, epoch) {
                    sheet.put(&mut budget, at, value)?;
                }
            }
        }
        for merge in merges {
            let corner = |(row, column)| Span::from(Address::new(row, column));
            sheet.merge(&mut budget, corner(merge.start).join(corner(merge.end)))?;
        }
        sheets.push(sheet.finish());
    }
    Ok(Workbook { file: Arc::clone(file), sheets })
}

/// The value of a cell; `None` for a blank one.
fn value(data: &Data, epoch: Epoch) -> Option<Value> {
    Some(match data {
        Data::Empty => return None,
        Data::String(text) => Value::Text(text.as_str().into()),
        Data::Int(number) => Value::Number(*number as f64),
        Data::Float(number) if number.is_finite() => Value::Number(*number),
        Data::Bool(truth) => Value::Truth(*truth),
        Data::DateTime(when) if when.is_datetime() => dates::date(when.as_f64(), epoch),
        Data::DateTime(when) if when.as_f64().is_finite() => Value::Number(when.as_f64()),
        Data::Error(error) => Value::Error(error.to_string()),
        other => Value::Text(other.to_string().into()),
    })
}
