//! The list of sheets.

use quick_xml::events::Event;

use super::missing;
use crate::read::dates::Epoch;
use crate::read::fault::Fault;
use crate::read::limits;
use crate::read::package::Package;
use crate::read::xml::attribute;

/// A sheet as the workbook lists it.
pub(super) struct Entry {
    /// Its name.
    pub(super) name: String,
    /// Whether it is hidden.
    pub(super) hidden: bool,
    /// The reference to its part.
    pub(super) link: String,
}

/// What the workbook says of itself.
pub(super) struct Contents {
    /// Its sheets, in order.
    pub(super) sheets: Vec<Entry>,
    /// The day dates count from.
    pub(super) epoch: Epoch,
}

/// Reads the main part.
pub(super) fn read(package: &mut Package<'_>, part: &str) -> Result<Contents, Fault> {
    let mut xml = package.xml(part)?.ok_or_else(|| missing(part))?;
    let mut contents = Contents { sheets: Vec::new(), epoch: Epoch::Y1900 };
    loop {
        match xml.next()? {
            Event::Start(start) => match start.local_name().as_ref() {
                "workbookPr" if attribute(&start, "date1904").is_some_and(|value| truth(&value)) => {
                    contents.epoch = Epoch::Y1904;
                }
                "sheet" => {
                    let text = |name| attribute(&start, name).unwrap_or_default().into_owned();
                    if contents.sheets.len() >= limits::SHEETS {
                        return Err(Fault::too_many("sheets", limits::SHEETS as u64));
                    }
                    contents.sheets.push(Entry {
                        name: text("name"),
                        hidden: matches!(text("state").as_str(), "hidden" | "veryHidden"),
                        link: text("id"),
                    });
                }
                _ => {}
            },
            Event::Eof => return Ok(contents),
            _ => {}
        }
    }
}

/// A truth value as XML schemas write it.
pub(super) fn truth(value: &str) -> bool {
    matches!(value, "1" | "true" | "on")
}
