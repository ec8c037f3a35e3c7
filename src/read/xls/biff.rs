//! The records of an `.xls` workbook, looked at before the library reads them.

use std::collections::HashSet;

use crate::place::{Address, Span};
use crate::read::fault::Fault;
use crate::read::limits;

/// The most cells that all sheets of a file may stretch over, from the first that holds something to the last,
/// blank ones between them included: the library keeps a place for each.
const AREA: u64 = 2_000_000;

/// What was found in the records.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Survey {
    /// Whether a cell has a fill.
    pub(super) fills: bool,
}

const FILEPASS: u16 = 0x002f;
const XF: u16 = 0x00e0;
const DIMENSIONS: u16 = 0x0200;
const EOF: u16 = 0x000a;
const BLANK: u16 = 0x0201;
const MULBLANK: u16 = 0x00be;
const MULRK: u16 = 0x00bd;
/// Records of one cell that holds something: numbers, texts, truth values, formulas.
const SINGLE: [u16; 7] = [0x0203, 0x0204, 0x00d6, 0x0205, 0x027e, 0x00fd, 0x0006];
/// Where a part of the stream begins, in the versions of the format.
const BEGINS: [u16; 4] = [0x0809, 0x0409, 0x0209, 0x0009];

/// Looks through the records, and takes out of them the stated size of each sheet, for which the library would set
/// memory aside unseen.
pub(super) fn survey(stream: &mut [u8]) -> Result<Survey, Fault> {
    let mut survey = Survey::default();
    let mut filled_formats: HashSet<u16> = HashSet::new();
    let mut formats = 0u16;
    let mut area = 0u64;
    let mut used: Option<Span> = None;
    let mut at = 0usize;
    while let Some([type_low, type_high, length_low, length_high]) =
        stream.get(at..at + 4).map(|h| [h[0], h[1], h[2], h[3]])
    {
        let kind = u16::from_le_bytes([type_low, type_high]);
        let length = usize::from(u16::from_le_bytes([length_low, length_high]));
        let Some(data) = stream.get_mut(at + 4..at + 4 + length) else {
            return Err(Fault::damaged("it is cut short in the middle of a record"));
        };
        at += 4 + length;
        // The stream is filled up with zeros behind the last sheet.
        if kind == 0 && length == 0 {
            break;
        }
        let word = |offset: usize| Some(u16::from_le_bytes([*data.get(offset)?, *data.get(offset + 1)?]));
        let mut cells = None;
        match kind {
            FILEPASS => return Err(Fault::Encrypted),
            // The upper six bits of byte 17 are the pattern of the fill (BIFF8, 20 bytes).
            XF => {
                if length >= 20 && data.get(17).is_some_and(|byte| byte >> 2 != 0) {
                    filled_formats.insert(formats);
                }
                formats = formats.saturating_add(1);
            }
            DIMENSIONS => data.fill(0),
            BLANK => survey.fills |= word(4).is_some_and(|format| filled_formats.contains(&format)),
            MULBLANK => {
                let mut formats = (4..length.saturating_sub(2)).step_by(2).filter_map(word);
                survey.fills |= formats.any(|format| filled_formats.contains(&format));
            }
            MULRK => {
                if let (Some(row), Some(first), Some(last)) =
                    (word(0), word(2), length.checked_sub(2).and_then(word))
                {
                    cells = Some(span(row, first, last));
                }
                let mut formats = (4..length.saturating_sub(2)).step_by(6).filter_map(word);
                survey.fills |= formats.any(|format| filled_formats.contains(&format));
            }
            _ if SINGLE.contains(&kind) => {
                if let (Some(row), Some(column)) = (word(0), word(2)) {
                    cells = Some(span(row, column, column));
                }
                survey.fills |= word(4).is_some_and(|format| filled_formats.contains(&format));
            }
            _ => {}
        }
        if let Some(cells) = cells {
            used = Some(used.map_or(cells, |used| used.join(cells)));
        }
        if kind == EOF || BEGINS.contains(&kind) {
            area += used.take().map_or(0, |used| u64::from(used.width()) * u64::from(used.height()));
            if area > AREA {
                return Err(Fault::too_many(
                    "cells between the first and the last that hold something",
                    AREA.min(limits::CELLS as u64 * 2),
                ));
            }
        }
    }
    Ok(survey)
}

fn span(row: u16, first: u16, last: u16) -> Span {
    let cell = |column: u16| Span::from(Address::new(u32::from(row), u32::from(column)));
    cell(first).join(cell(last))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn record(kind: u16, data: &[u8]) -> Vec<u8> {
        let mut bytes = kind.to_le_bytes().to_vec();
        bytes.extend((data.len() as u16).to_le_bytes());
        bytes.extend(data);
        bytes
    }

    fn number(row: u16, column: u16, format: u16) -> Vec<u8> {
        let mut data = [row.to_le_bytes(), column.to_le_bytes(), format.to_le_bytes()].concat();
        data.extend(1.0f64.to_le_bytes());
        record(0x0203, &data)
    }

    fn stream(sheets: &[&[Vec<u8>]]) -> Vec<u8> {
        let mut xf = [0u8; 20];
        let mut bytes = [record(0x0809, &[0; 16]), record(XF, &xf)].concat();
        xf[17] = 1 << 2;
        bytes.extend([record(XF, &xf), record(EOF, &[])].concat());
        for sheet in sheets {
            bytes.extend([record(0x0809, &[0; 16]), sheet.concat(), record(EOF, &[])].concat());
        }
        bytes
    }

    /// Source: MS-XLS, 2.4.90 (Dimensions), 2.4.180 (Number), 2.4.353 (XF), from memory.
    #[test]
    fn far_corners_are_refused_and_stated_sizes_taken_out() {
        let near = number(3, 2, 0);
        let far = number(65_535, 255, 0);
        assert_eq!(
            survey(&mut stream(&[std::slice::from_ref(&near), std::slice::from_ref(&far)])),
            Ok(Survey::default())
        );
        assert!(matches!(survey(&mut stream(&[&[number(0, 0, 0), far]])), Err(Fault::TooLarge { .. })));

        let mut bytes = stream(&[&[record(DIMENSIONS, &[0xff; 14]), near]]);
        survey(&mut bytes).unwrap();
        assert!(!bytes.windows(14).any(|window| window == [0xff; 14]));
    }

    #[test]
    fn fills_passwords_and_cut_streams_are_seen() {
        assert_eq!(survey(&mut stream(&[&[number(0, 0, 1)]])), Ok(Survey { fills: true }));
        let blank = record(BLANK, &[0, 0, 0, 0, 1, 0]);
        assert_eq!(survey(&mut stream(&[&[blank]])), Ok(Survey { fills: true }));
        assert_eq!(survey(&mut stream(&[&[record(FILEPASS, &[0; 6])]])), Err(Fault::Encrypted));
        let mut cut = stream(&[&[number(0, 0, 0)]]);
        cut.truncate(cut.len() - 6);
        assert!(matches!(survey(&mut cut), Err(Fault::Damaged(_))));
    }
}
