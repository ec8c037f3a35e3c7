//! Reading `.xlsb`, the binary workbooks of newer Excels: zipped parts, as in `.xlsx`, made of records.

mod comments;
mod records;
mod sheet;
mod styles;

use std::rc::Rc;
use std::sync::Arc;

use super::collect::{Budget, Sheet};
use super::colours::Colours;
use super::dates::Epoch;
use super::fault::Fault;
use super::limits;
use super::links::Links;
use super::package::Package;
use crate::grid::{Grid, Workbook};
use records::{Records, number_at, text_at};
use styles::Style;

const WORKBOOK_PROPERTIES: u32 = 153;
const SHEET_ENTRY: u32 = 156;
const SHARED_TEXT: u32 = 19;

/// What the cells of all sheets refer to.
struct Shared {
    /// The texts, by number.
    strings: Vec<Rc<str>>,
    /// The cell formats, by number.
    styles: Vec<Style>,
    /// The day dates count from.
    epoch: Epoch,
}

/// A sheet as the workbook lists it.
struct Entry {
    name: String,
    hidden: bool,
    link: String,
}

/// Reads a workbook.
pub(super) fn read(file: &Arc<str>, package: &mut Package<'_>) -> Result<Workbook, Fault> {
    let main = Links::of(package, "")?
        .by_kind("officeDocument")
        .map_or("xl/workbook.bin", |link| &link.part)
        .to_owned();
    let links = Links::of(package, &main)?;
    let (entries, epoch) = contents(&part(package, &main)?)?;
    let strings = match links.by_kind("sharedStrings") {
        Some(link) => strings(&part(package, &link.part)?)?,
        None => Vec::new(),
    };
    let styles = match links.by_kind("styles") {
        Some(link) => {
            let theme = links.by_kind("theme").map(|link| link.part.as_str());
            let colours = Colours::read(package, theme)?;
            styles::read(&part(package, &link.part)?, colours)?
        }
        None => Vec::new(),
    };
    let shared = Shared { strings, styles, epoch };
    let mut budget = Budget::default();
    let mut sheets = Vec::new();
    for entry in entries {
        let link = links.by_id(&entry.link).ok_or_else(|| {
            Fault::damaged(format!("the sheet \u{201c}{}\u{201d} has no part with its cells", entry.name))
        })?;
        // Chart sheets and dialogs have no cells.
        if link.kind != "worksheet" && link.kind != "xlMacrosheet" {
            continue;
        }
        budget.sheet()?;
        let mut sheet = Sheet::new(Grid::sheet(Arc::clone(file), entry.name));
        sheet.hide(entry.hidden);
        sheet::read(&part(package, &link.part)?, &shared, &mut sheet, &mut budget)?;
        if let Some(link) = Links::of(package, &link.part)?.by_kind("comments")
            && let Some(part) = package.unpacked(&link.part)?
        {
            comments::read(&part, &mut sheet, &mut budget)?;
        }
        sheets.push(sheet.finish());
    }
    Ok(Workbook { file: Arc::clone(file), sheets })
}

fn part(package: &mut Package<'_>, name: &str) -> Result<Vec<u8>, Fault> {
    package.unpacked(name)?.ok_or_else(|| Fault::damaged(format!("its part {name} is missing")))
}

/// The sheets, and the day dates count from.
fn contents(part: &[u8]) -> Result<(Vec<Entry>, Epoch), Fault> {
    let mut entries = Vec::new();
    let mut epoch = Epoch::Y1900;
    let mut records = Records::new(part);
    while let Some((kind, data)) = records.next()? {
        match kind {
            WORKBOOK_PROPERTIES if number_at(data, 0).is_some_and(|flags| flags & 1 != 0) => {
                epoch = Epoch::Y1904;
            }
            SHEET_ENTRY => {
                if entries.len() >= limits::SHEETS {
                    return Err(Fault::too_many("sheets", limits::SHEETS as u64));
                }
                // Visibility and number, four bytes each, then two texts.
                let entry = || {
                    let hidden = number_at(data, 0)? != 0;
                    let (link, end) = text_at(data, 8)?;
                    Some(Entry { name: text_at(data, end)?.0, hidden, link })
                };
                entries.push(entry().ok_or_else(|| Fault::damaged("its list of sheets is damaged"))?);
            }
            _ => {}
        }
    }
    Ok((entries, epoch))
}

/// The table of shared texts; their runs and pronunciations are left aside.
fn strings(part: &[u8]) -> Result<Vec<Rc<str>>, Fault> {
    let mut strings: Vec<Rc<str>> = Vec::new();
    let mut records = Records::new(part);
    while let Some((kind, data)) = records.next()? {
        if kind == SHARED_TEXT {
            let (text, _) = text_at(data, 1).ok_or_else(|| Fault::damaged("its list of texts is damaged"))?;
            if strings.len() >= limits::CELLS {
                return Err(Fault::too_many("texts", limits::CELLS as u64));
            }
            strings.push(text.into());
        }
    }
    Ok(strings)
}
