//! Comments on the cells of a sheet. Threads of newer programs have a comment of old beside them, which tells their words.

use super::records::{Records, span_at, text_at};
use crate::read::collect::{Budget, Sheet};
use crate::read::fault::Fault;

/// A comment begins: the number of its author, and its cell. Source: MS-XLSB 2.4.28 (BrtBeginComment).
const COMMENT: u32 = 635;
/// Its words, behind a byte of marks. Source: MS-XLSB 2.4.328 (BrtCommentText).
const WORDS: u32 = 637;

/// Reads the comments of a sheet.
pub(super) fn read(part: &[u8], sheet: &mut Sheet, budget: &mut Budget) -> Result<(), Fault> {
    let mut cell = None;
    let mut records = Records::new(part);
    while let Some((kind, data)) = records.next()? {
        match kind {
            COMMENT => cell = span_at(data, 4),
            WORDS => {
                if let (Some(cell), Some((words, _))) = (cell.take(), text_at(data, 1)) {
                    sheet.comment(budget, cell.first, words)?;
                }
            }
            _ => {}
        }
    }
    Ok(())
}
