//! Reading OpenDocument spreadsheets: `.ods`, zipped, and `.fods`, the same in one XML file.

mod cell;
mod mapped;
mod styles;
mod table;
mod text;

use std::sync::Arc;

use quick_xml::events::Event;

use super::collect::{Budget, Sheet};
use super::encoding;
use super::fault::Fault;
use super::limits;
use super::package::Package;
use super::xml::{Xml, attribute};
use crate::grid::{Grid, Workbook};
use crate::problem::Finding;
use mapped::Mapped;
use styles::Styles;
use table::Table;

/// Reads a zipped spreadsheet.
pub(super) fn zipped(
    file: &Arc<str>,
    package: &mut Package<'_>,
    notes: &mut Vec<Finding>,
) -> Result<Workbook, Fault> {
    if encrypted(package)? {
        return Err(Fault::Encrypted);
    }
    // The styles that users give names to are kept apart from those of single cells.
    let mut styles = Styles::default();
    if let Some(mut xml) = package.xml("styles.xml")? {
        loop {
            match xml.next()? {
                Event::Start(start) => {
                    styles.note(&start)?;
                }
                Event::Eof => break,
                _ => {}
            }
        }
    }
    match package.xml("content.xml")? {
        Some(mut xml) => document(file, &mut xml, styles, notes),
        None => Err(Fault::damaged("its part content.xml is missing")),
    }
}

/// Reads a flat spreadsheet.
pub(super) fn flat(file: &Arc<str>, bytes: &[u8], notes: &mut Vec<Finding>) -> Result<Workbook, Fault> {
    if let Ok(text) = std::str::from_utf8(bytes) {
        let text = text.trim_start_matches('\u{feff}');
        return document(
            file,
            &mut Xml::new(text.as_bytes(), limits::FLAT_PIECE_BYTES),
            Styles::default(),
            notes,
        );
    }
    let decoded = encoding::decode(bytes);
    document(file, &mut Xml::new(decoded.text.as_bytes(), limits::FLAT_PIECE_BYTES), Styles::default(), notes)
}

/// Whether any part is encrypted, as the package's own list of parts says.
fn encrypted(package: &mut Package<'_>) -> Result<bool, Fault> {
    let Some(mut xml) = package.xml("META-INF/manifest.xml")? else { return Ok(false) };
    loop {
        match xml.next()? {
            Event::Start(start) if start.local_name().as_ref() == "encryption-data" => return Ok(true),
            Event::Eof => return Ok(false),
            _ => {}
        }
    }
}

fn document(
    file: &Arc<str>,
    xml: &mut Xml<'_>,
    mut styles: Styles,
    notes: &mut Vec<Finding>,
) -> Result<Workbook, Fault> {
    enum Part {
        Table { name: String, style: String },
        Aside,
    }
    let mut sheets = Vec::new();
    let mut budget = Budget::default();
    let mut in_spreadsheet = false;
    loop {
        let part = match xml.next()? {
            Event::Start(start) => match start.name().as_ref() {
                "office:spreadsheet" => {
                    in_spreadsheet = true;
                    continue;
                }
                "table:table" if in_spreadsheet => Part::Table {
                    name: attribute(&start, "name").unwrap_or_default().into_owned(),
                    style: attribute(&start, "style-name").unwrap_or_default().into_owned(),
                },
                // Copies of tables elsewhere, old contents of changed cells.
                "table:dde-links" | "table:tracked-changes" => Part::Aside,
                _ => {
                    styles.note(&start)?;
                    continue;
                }
            },
            Event::Eof if in_spreadsheet => break,
            Event::Eof => return Err(Fault::damaged("it holds no spreadsheet")),
            _ => continue,
        };
        match part {
            Part::Table { name, style } => {
                budget.sheet()?;
                let mut sheet = Sheet::new(Grid::sheet(Arc::clone(file), name));
                sheet.hide(styles.hides(&style));
                sheet.turn(styles.turns(&style));
                let mapped = Mapped::default();
                Table { sheet: &mut sheet, budget: &mut budget, styles: &mut styles, mapped }.read(xml)?;
                notes.extend(sheet.unresolved());
                sheets.push(sheet.finish());
            }
            Part::Aside => xml.skip()?,
        }
    }
    Ok(Workbook { file: Arc::clone(file), sheets })
}
