//! Reading Excel workbooks, `.xlsx` and `.xlsm`: zipped XML whose parts refer to each other.
//!
//! Parts are found by following the references from the package's root, never by their usual names.

mod comments;
mod formats;
mod sheet;
mod strings;
mod styles;
mod workbook;

use std::rc::Rc;
use std::sync::Arc;

use super::collect::{Budget, Sheet};
use super::fault::Fault;
use super::links::Links;
use super::package::Package;
use crate::grid::{Grid, Workbook};
use crate::problem::Finding;
pub(super) use formats::{built_in_date, shows_date};
pub(super) use sheet::address;

/// What the cells of all sheets refer to.
struct Shared {
    /// The texts, by number.
    strings: Vec<Rc<str>>,
    /// The cell formats, by number.
    formats: Vec<styles::Format>,
    /// The day dates count from.
    epoch: super::dates::Epoch,
}

/// Reads a workbook.
pub(super) fn read(
    file: &Arc<str>,
    package: &mut Package<'_>,
    notes: &mut Vec<Finding>,
) -> Result<Workbook, Fault> {
    let main = Links::of(package, "")?
        .by_kind("officeDocument")
        .map_or("xl/workbook.xml", |link| &link.part)
        .to_owned();
    let links = Links::of(package, &main)?;
    let contents = workbook::read(package, &main)?;
    let strings = match links.by_kind("sharedStrings") {
        Some(link) => strings::read(package, &link.part)?,
        None => Vec::new(),
    };
    let formats = match links.by_kind("styles") {
        Some(link) => {
            let theme = links.by_kind("theme").map(|link| link.part.as_str());
            styles::read(package, &link.part, theme)?
        }
        None => Vec::new(),
    };
    let shared = Shared { strings, formats, epoch: contents.epoch };
    let mut budget = Budget::default();
    let mut sheets = Vec::new();
    for entry in contents.sheets {
        let Some(link) = links.by_id(&entry.link) else {
            return Err(Fault::damaged(format!(
                "the sheet \u{201c}{}\u{201d} has no part with its cells",
                entry.name
            )));
        };
        // Chart sheets and dialogs have no cells.
        if link.kind != "worksheet" && link.kind != "xlMacrosheet" {
            continue;
        }
        budget.sheet()?;
        let mut sheet = Sheet::new(Grid::sheet(Arc::clone(file), entry.name));
        sheet.hide(entry.hidden);
        sheet::read(package, &link.part, &shared, &mut sheet, &mut budget)?;
        comments::read(package, &link.part, &mut sheet, &mut budget)?;
        notes.extend(sheet.unresolved());
        sheets.push(sheet.finish());
    }
    Ok(Workbook { file: Arc::clone(file), sheets })
}

/// A part that must be there.
fn missing(part: &str) -> Fault {
    Fault::damaged(format!("its part {part} is missing"))
}
