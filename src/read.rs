//! Reading spreadsheet files into grids, and texts into documents.
//!
//! A file is known by its bytes ([`Format::of`]); [`workbook`] reads a spreadsheet with the reader of its format,
//! [`document`] a text. All readers
//! keep to the limits of [`limits`], so that no file can exhaust the machine, and to one rule of what a cell is: a
//! cell in which nothing can be seen, not even a number, is blank and absent from the grid.

mod collect;
mod colours;
mod dates;
mod delimited;
pub mod encoding;
mod fault;
mod format;
pub mod limits;
mod lines;
mod links;
mod opendocument;
mod package;
mod separator;
mod xls;
mod xlsb;
mod xlsx;
mod xml;

use std::sync::Arc;

pub use format::{Format, Holds, Stranger};
pub use lines::document;

use crate::grid::Workbook;
use crate::problem::Finding;
use fault::Fault;
use package::Package;

/// Reads a spreadsheet file into grids: as the format its bytes tell, or as `from`.
///
/// A file that can't be read gives `None` and an error that says why; what had to be assumed, or could not be
/// seen, is said beside the workbook.
pub fn workbook(file: &Arc<str>, bytes: &[u8], from: Option<Format>) -> (Option<Workbook>, Vec<Finding>) {
    let mut notes = Vec::new();
    match read(file, bytes, from, &mut notes) {
        Ok(workbook) => (Some(workbook), notes),
        Err(fault) => {
            notes.push(fault.finding(file));
            (None, notes)
        }
    }
}

fn read(
    file: &Arc<str>,
    bytes: &[u8],
    from: Option<Format>,
    notes: &mut Vec<Finding>,
) -> Result<Workbook, Fault> {
    if bytes.len() > limits::FILE_BYTES {
        return Err(Fault::too_many("bytes", limits::FILE_BYTES as u64));
    }
    let format = match from {
        Some(format) => format,
        None => Format::of(bytes, file).map_err(|stranger| Fault::Other(stranger.0.to_owned()))?,
    };
    match format {
        Format::Csv | Format::Tsv => {
            if bytes.len() > limits::DELIMITED_BYTES {
                return Err(Fault::too_many("bytes", limits::DELIMITED_BYTES as u64));
            }
            let decoded = encoding::decode(bytes);
            notes.extend(decoded.finding(file));
            delimited::read(file, &decoded.text, if format == Format::Tsv { b'\t' } else { b',' })
        }
        Format::Xlsx => xlsx::read(file, &mut Package::open(bytes)?, notes),
        Format::Xls => xls::read(file, bytes, notes),
        Format::Xlsb => xlsb::read(file, &mut Package::open(bytes)?),
        Format::Ods => opendocument::zipped(file, &mut Package::open(bytes)?, notes),
        Format::Fods => opendocument::flat(file, bytes, notes),
        Format::Text | Format::Markdown | Format::Html | Format::Docx => Err(Fault::Rows(format.called())),
        Format::Json => Err(Fault::Other(format!("{}, not a spreadsheet", format.called()))),
    }
}
