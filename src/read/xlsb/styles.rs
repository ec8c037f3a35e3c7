//! Cell formats: which show a date, which have a fill.

use std::collections::HashMap;

use super::records::{Records, text_at, word_at};
use crate::read::fault::Fault;
use crate::read::limits;
use crate::read::xlsx::{built_in_date, shows_date};

/// What a cell format says.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Style {
    /// Whether a number is shown as a date.
    pub(super) date: bool,
    /// Whether the cell has a fill.
    pub(super) fill: bool,
}

const NUMBER_FORMAT: u32 = 44;
const FORMAT: u32 = 47;
const CELL_FORMATS_BEGIN: u32 = 617;
const CELL_FORMATS_END: u32 = 618;

/// Reads the table of cell formats.
pub(super) fn read(part: &[u8]) -> Result<Vec<Style>, Fault> {
    let mut own: HashMap<u16, bool> = HashMap::new();
    let mut styles = Vec::new();
    let mut in_cell_formats = false;
    let mut records = Records::new(part);
    while let Some((kind, data)) = records.next()? {
        match kind {
            NUMBER_FORMAT => {
                if let (Some(id), Some((code, _))) = (word_at(data, 0), text_at(data, 2)) {
                    own.insert(id, shows_date(&code));
                }
            }
            CELL_FORMATS_BEGIN => in_cell_formats = true,
            CELL_FORMATS_END => in_cell_formats = false,
            FORMAT if in_cell_formats => {
                if styles.len() >= limits::TABLE_ENTRIES {
                    return Err(Fault::too_many("cell formats", limits::TABLE_ENTRIES as u64));
                }
                // Parent, number format, font, fill: two bytes each.
                let number_format = word_at(data, 2).unwrap_or(0);
                let date = own.get(&number_format).copied();
                styles.push(Style {
                    date: date.unwrap_or_else(|| built_in_date(usize::from(number_format))),
                    // The first two fills of every workbook are no fill and the dots Excel keeps beside it.
                    fill: word_at(data, 6).is_some_and(|fill| fill > 1),
                });
            }
            _ => {}
        }
    }
    Ok(styles)
}
