//! The records of an `.xls` workbook, looked at before the library reads them: for what could lead it astray, and for
//! the looks of cells and what hangs on them, which it passes over. Source of the layouts: MS-XLS 2.4.

use std::collections::HashMap;
use std::sync::Arc;

use super::look::{self, Format};
use super::notes::Notes;
use crate::grid::{Grid, Look};
use crate::place::{Address, Span};
use crate::read::collect::{Budget, Sheet};
use crate::read::colours::Colours;
use crate::read::fault::Fault;

/// The most cells that all sheets of a file may stretch over, from the first that holds something to the last,
/// blank ones between them included: the library keeps a place for each.
const AREA: u64 = 2_000_000;

const FILEPASS: u16 = 0x002f;
const FONT: u16 = 0x0031;
const XF: u16 = 0x00e0;
const PALETTE: u16 = 0x0092;
const BOUNDSHEET: u16 = 0x0085;
const DIMENSIONS: u16 = 0x0200;
const COLINFO: u16 = 0x007d;
const WINDOW: u16 = 0x023e;
const ROW: u16 = 0x0208;
const EOF: u16 = 0x000a;
/// Conditional formats, and those that only newer programs know.
const CONDITIONAL: u16 = 0x01b0;
const CONDITIONAL_12: u16 = 0x0879;
const NOTE: u16 = 0x001c;
const OBJECT: u16 = 0x005d;
const OBJECT_TEXT: u16 = 0x01b6;
const CONTINUE: u16 = 0x003c;
const BLANK: u16 = 0x0201;
const MULBLANK: u16 = 0x00be;
const MULRK: u16 = 0x00bd;
/// Records of one cell that holds something: numbers, texts, truth values, formulas.
const SINGLE: [u16; 7] = [0x0203, 0x0204, 0x00d6, 0x0205, 0x027e, 0x00fd, 0x0006];
/// Where a part of the stream begins.
const BOF: u16 = 0x0809;
/// The version that it names in workbooks of Excel 5 and 95.
const OLD: u16 = 0x0500;

/// What the library passes over.
pub(super) struct Found {
    /// The looks of the sheets and what hangs on their cells, in the order in which the workbook lists them, in grids
    /// that hold nothing else.
    pub(super) grids: Vec<Grid>,
    /// Whether there are fills in a format too old to be read.
    pub(super) unseen_fills: bool,
}

/// Looks through the records, and takes out of them the stated size of each sheet, for which the library would set
/// memory aside unseen.
pub(super) fn survey(stream: &mut [u8], budget: &mut Budget) -> Result<Found, Fault> {
    let mut survey = Survey::default();
    let mut at = 0usize;
    while let Some(header) = stream.get(at..at + 4) {
        let kind = u16::from_le_bytes([header[0], header[1]]);
        let length = usize::from(u16::from_le_bytes([header[2], header[3]]));
        let Some(data) = stream.get_mut(at + 4..at + 4 + length) else {
            // Behind the last part the stream is filled up with whatever was there.
            if survey.part.is_none() {
                break;
            }
            return Err(Fault::damaged("it is cut short in the middle of a record"));
        };
        if kind == DIMENSIONS {
            data.fill(0);
        }
        survey.record(at, kind, data, budget)?;
        at += 4 + length;
    }
    if survey.part.is_some() {
        return Err(Fault::damaged("it is cut short"));
    }
    let mut parts: HashMap<u32, Grid> = survey.parts.into_iter().collect();
    // Where no part begins, the library would read records that were not looked at here.
    let astray = || Fault::damaged("its list of sheets leads astray");
    let grids = survey.listed.iter().map(|start| parts.remove(start).ok_or_else(astray));
    let grids = grids.collect::<Result<_, _>>()?;
    Ok(Found { grids, unseen_fills: survey.unseen_fills })
}

/// What was found so far.
#[derive(Default)]
struct Survey {
    /// Whether each font strikes out.
    fonts: Vec<bool>,
    formats: Vec<Format>,
    unseen_fills: bool,
    colours: Colours,
    /// The look of each format, once the formats and the palette are known.
    looks: Vec<Look>,
    /// Where the sheets begin that the workbook lists.
    listed: Vec<u32>,
    /// The part being read, with where it begins, and how many parts inside it are open, such as charts.
    part: Option<(u32, Sheet)>,
    inside: usize,
    /// Whether the part is of an older version.
    old: bool,
    notes: Notes,
    /// The parts that were read.
    parts: Vec<(u32, Grid)>,
    /// The cells of the present part that hold something.
    used: Option<Span>,
    area: u64,
}

impl Survey {
    fn record(&mut self, at: usize, kind: u16, data: &[u8], budget: &mut Budget) -> Result<(), Fault> {
        let word = |offset: usize| Some(u16::from_le_bytes([*data.get(offset)?, *data.get(offset + 1)?]));
        let last_word = data.len().checked_sub(2).and_then(word);
        if kind != CONTINUE {
            self.notes.end();
        }
        match kind {
            FILEPASS => return Err(Fault::Encrypted),
            // Behind the height.
            FONT => self.fonts.push(word(2).is_some_and(|marks| marks & 8 != 0)),
            XF => match Format::of(data) {
                Some(format) => self.formats.push(format),
                // The formats of Excel 5 and 95 have the pattern of the fill there.
                None => self.unseen_fills |= data.get(14).is_some_and(|byte| byte & 0x3f != 0),
            },
            PALETTE => self.colours.own_palette = look::palette(data),
            BOUNDSHEET => self
                .listed
                .extend(data.get(..4).and_then(|start| start.try_into().ok()).map(u32::from_le_bytes)),
            BOF => {
                if self.part.is_some() {
                    self.inside += 1;
                } else {
                    budget.sheet()?;
                    self.old = word(0) == Some(OLD);
                    self.notes = Notes::default();
                    let grid = Grid::sheet(Arc::from(""), "");
                    self.part = Some((u32::try_from(at).unwrap_or(u32::MAX), Sheet::new(grid)));
                }
            }
            EOF if self.inside > 0 => self.inside -= 1,
            EOF => self.end_of_part()?,
            // Charts in a sheet have cells of their own.
            _ if self.inside > 0 => {}
            ROW => self.row(word(0), word(12), word(14), budget)?,
            COLINFO => self.columns([word(0), word(2), word(6), word(8)], budget)?,
            WINDOW => self.window(word(0)),
            CONDITIONAL => self.conditional(data, budget)?,
            // The same behind a head that every record of the newer programs has.
            CONDITIONAL_12 => self.conditional(data.get(12..).unwrap_or_default(), budget)?,
            OBJECT => self.notes.object(data),
            OBJECT_TEXT => self.notes.text(data),
            CONTINUE => self.notes.piece(data),
            NOTE => self.note(data, budget)?,
            BLANK => self.cell(word(0), word(2), word(4), budget)?,
            MULBLANK | MULRK => {
                let step = if kind == MULRK { 6 } else { 2 };
                let formats = (4..data.len().saturating_sub(2)).step_by(step).map(word);
                for (column, format) in (word(2).unwrap_or(0)..=u16::MAX).zip(formats) {
                    self.cell(word(0), Some(column), format, budget)?;
                }
                if kind == MULRK {
                    self.holds(word(0), word(2), last_word);
                }
            }
            _ if SINGLE.contains(&kind) => {
                self.cell(word(0), word(2), word(4), budget)?;
                self.holds(word(0), word(2), word(2));
            }
            _ => {}
        }
        Ok(())
    }

    fn end_of_part(&mut self) -> Result<(), Fault> {
        // The first part holds the formats and the palette for all others.
        if self.looks.is_empty() {
            self.looks = self.formats.iter().map(|format| format.look(&self.colours, &self.fonts)).collect();
        }
        if let Some((start, sheet)) = self.part.take() {
            self.parts.push((start, sheet.finish()));
        }
        self.area += self.used.take().map_or(0, |used| u64::from(used.width()) * u64::from(used.height()));
        if self.area > AREA {
            return Err(Fault::too_many("cells between the first and the last that hold something", AREA));
        }
        Ok(())
    }

    /// Cells of a row that hold something.
    fn holds(&mut self, row: Option<u16>, first: Option<u16>, last: Option<u16>) {
        if let (Some(row), Some(first), Some(last)) = (row, first, last) {
            let corner = |column: u16| Span::from(Address::new(u32::from(row), u32::from(column)));
            let cells = corner(first).join(corner(last));
            self.used = Some(self.used.map_or(cells, |used| used.join(cells)));
        }
    }

    fn look(&self, format: Option<u16>) -> Look {
        format.and_then(|format| self.looks.get(usize::from(format))).copied().unwrap_or_default()
    }

    fn cell(
        &mut self,
        row: Option<u16>,
        column: Option<u16>,
        format: Option<u16>,
        budget: &mut Budget,
    ) -> Result<(), Fault> {
        let look = self.look(format);
        match (&mut self.part, row, column) {
            (Some((_, sheet)), Some(row), Some(column)) => {
                sheet.put_look(budget, Address::new(u32::from(row), u32::from(column)), look)
            }
            _ => Ok(()),
        }
    }

    fn row(
        &mut self,
        row: Option<u16>,
        flags: Option<u16>,
        format: Option<u16>,
        budget: &mut Budget,
    ) -> Result<(), Fault> {
        const HIDDEN: u16 = 0x20;
        const OWN_FORMAT: u16 = 0x80;
        let look = self.look(format.map(|format| format & 0x0fff));
        let (Some((_, sheet)), Some(row), Some(flags)) = (&mut self.part, row.map(u32::from), flags) else {
            return Ok(());
        };
        if flags & HIDDEN != 0 {
            sheet.hide_rows(budget, row, row)?;
        }
        if flags & OWN_FORMAT != 0 { sheet.look_of_rows(budget, row, row, look) } else { Ok(()) }
    }

    /// How the sheet is shown.
    const fn window(&mut self, flags: Option<u16>) {
        const RIGHT_TO_LEFT: u16 = 0x40;
        if let (Some((_, sheet)), Some(flags)) = (&mut self.part, flags) {
            sheet.turn(flags & RIGHT_TO_LEFT != 0);
        }
    }

    /// The cells on which conditions hang: how many conditions and their number, a range round all, how many ranges, and
    /// each: first row, last row, first column, last column.
    fn conditional(&mut self, data: &[u8], budget: &mut Budget) -> Result<(), Fault> {
        let Some((_, sheet)) = &mut self.part else { return Ok(()) };
        for range in data.get(14..).unwrap_or_default().chunks_exact(8) {
            let at = |row: usize, column: usize| {
                let word = |at: usize| u32::from(u16::from_le_bytes([range[at], range[at + 1]]));
                Span::from(Address::new(word(row), word(column)))
            };
            sheet.conditional(budget, at(0, 4).join(at(2, 6)))?;
        }
        Ok(())
    }

    fn note(&mut self, data: &[u8], budget: &mut Budget) -> Result<(), Fault> {
        let note = if self.old { Notes::old_note(data) } else { self.notes.note(data) };
        match (&mut self.part, note) {
            (Some((_, sheet)), Some((at, text))) => sheet.comment(budget, at, text),
            _ => Ok(()),
        }
    }

    fn columns(&mut self, words: [Option<u16>; 4], budget: &mut Budget) -> Result<(), Fault> {
        let [first, last, format, flags] = words;
        let look = self.look(format);
        let (Some((_, sheet)), Some(first), Some(last)) = (&mut self.part, first, last) else {
            return Ok(());
        };
        let (first, last) = (u32::from(first), u32::from(last));
        if flags.is_some_and(|flags| flags & 1 != 0) {
            sheet.hide_columns(budget, first, last)?;
        }
        sheet.look_of_columns(budget, first, last, look)
    }
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

    /// A workbook of these sheets, with a plain format and one filled red by the palette's number 10.
    fn stream(sheets: &[&[Vec<u8>]]) -> Vec<u8> {
        stream_of(0x0600, sheets)
    }

    fn stream_of(version: u16, sheets: &[&[Vec<u8>]]) -> Vec<u8> {
        let begins = record(BOF, &[&version.to_le_bytes()[..], &[0; 14]].concat());
        let mut xf = [0u8; 20];
        let mut start = [begins.clone(), record(XF, &xf)].concat();
        xf[17] = 1 << 2;
        xf[18] = 10;
        start.extend(record(XF, &xf));
        let parts = sheets.iter().map(|sheet| [begins.clone(), sheet.concat(), record(EOF, &[])].concat());
        let parts: Vec<Vec<u8>> = parts.collect();
        let mut position = start.len() + parts.len() * 8 + 4;
        for part in &parts {
            start.extend(record(BOUNDSHEET, &(position as u32).to_le_bytes()));
            position += part.len();
        }
        [start, record(EOF, &[]), parts.concat()].concat()
    }

    fn surveyed(sheets: &[&[Vec<u8>]]) -> Result<Vec<Grid>, Fault> {
        survey(&mut stream(sheets), &mut Budget::default()).map(|found| found.grids)
    }

    /// Source: MS-XLS, 2.4.90 (Dimensions), 2.4.180 (Number), from memory.
    #[test]
    fn far_corners_are_refused_and_stated_sizes_taken_out() {
        let near = number(3, 2, 0);
        let far = number(65_535, 255, 0);
        assert!(surveyed(&[std::slice::from_ref(&near), std::slice::from_ref(&far)]).is_ok());
        assert!(matches!(surveyed(&[&[number(0, 0, 0), far]]), Err(Fault::TooLarge { .. })));

        let mut bytes = stream(&[&[record(DIMENSIONS, &[0xff; 14]), near]]);
        survey(&mut bytes, &mut Budget::default()).unwrap();
        assert!(!bytes.windows(14).any(|window| window == [0xff; 14]));
    }

    #[test]
    fn passwords_and_cut_streams_are_seen() {
        assert_eq!(surveyed(&[&[record(FILEPASS, &[0; 6])]]), Err(Fault::Encrypted));
        let mut cut = stream(&[&[number(0, 0, 0)]]);
        cut.truncate(cut.len() - 6);
        assert!(matches!(survey(&mut cut, &mut Budget::default()), Err(Fault::Damaged(_))));
        let mut astray = stream(&[&[number(0, 0, 0)]]);
        // The position in the only entry of the list of sheets, behind the formats.
        astray[72] += 1;
        assert!(matches!(survey(&mut astray, &mut Budget::default()), Err(Fault::Damaged(_))));
        let padded = [stream(&[&[number(0, 0, 0)]]), vec![0; 40], vec![0xff; 3]].concat();
        assert!(survey(&mut padded.clone(), &mut Budget::default()).is_ok());
    }

    /// Source: MS-XLS 2.4.53 (ColInfo), 2.4.221 (Row), 2.4.174 (MulBlank), from memory; the second sheet's records.
    #[test]
    fn looks_of_blank_cells_rows_and_columns_are_read() {
        let blank = record(BLANK, &[2, 0, 1, 0, 1, 0]);
        let blanks = record(MULBLANK, &[3, 0, 4, 0, 1, 0, 0, 0, 1, 0, 6, 0]);
        let columns = record(COLINFO, &[7, 0, 8, 0, 0, 0, 1, 0, 1, 0, 0, 0]);
        let row = record(ROW, &[5, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xa0, 0, 1, 0]);
        let grids = surveyed(&[&[number(0, 0, 0)], &[columns, row, blank, blanks]]).unwrap();
        assert!(grids[0].looks.cells.is_empty());
        let filled = |row, column| grids[1].looks.at(Address::new(row, column)).fill.is_some();
        let cells = [(2, 1), (3, 4), (3, 6), (5, 0), (0, 7), (0, 8)];
        assert!(cells.into_iter().all(|(row, column)| filled(row, column)));
        assert!(![(2, 0), (3, 5), (4, 0), (0, 9)].into_iter().any(|(row, column)| filled(row, column)));
        let colour = grids[1].looks.at(Address::new(2, 1)).fill.map(|fill| fill.to_string());
        assert_eq!(colour.as_deref(), Some("FF0000"));
        assert!(grids[1].hidden_rows.get(5).is_some() && grids[1].hidden_rows.get(4).is_none());
        assert!(grids[1].hidden_columns.get(8).is_some() && grids[1].hidden_columns.get(9).is_none());
    }

    /// Source: MS-XLS 2.4.122 (Font), 2.5.20 (CellXF): the fifth font, which has the number 5, strikes out.
    #[test]
    fn fonts_that_strike_out_are_known() {
        let font = |marks: u8| record(FONT, &[200, 0, marks, 0, 0, 0]);
        let format = |font: u8| record(XF, &[&[font, 0][..], &[0; 18]].concat());
        let fonts = [font(0), font(2), font(0), font(0), font(8)].concat();
        let sheet = [number(0, 0, 2), number(0, 1, 3), number(0, 2, 4)];
        let plain = stream(&[]);
        let begins = plain.len() - record(EOF, &[]).len();
        let extra = [fonts, format(1), format(5), format(3)].concat();
        let start = [&plain[..begins], &extra].concat();
        let position = (start.len() + 12) as u32;
        let listed = record(BOUNDSHEET, &position.to_le_bytes());
        let mut bytes = [start, listed, record(EOF, &[])].concat();
        bytes.extend([record(BOF, &[0, 6, 0x10, 0]), sheet.concat(), record(EOF, &[])].concat());
        let grids = survey(&mut bytes, &mut Budget::default()).unwrap().grids;
        let struck = (0..3).map(|column| grids[0].looks.at(Address::new(0, column)).struck);
        assert_eq!(struck.collect::<Vec<_>>(), [false, true, false]);
    }

    /// Source: MS-XLS 2.4.346 (Window2), as LibreOffice writes it; a chart in the sheet has a window of its own.
    #[test]
    fn the_way_a_sheet_runs_is_told() {
        let window = |flags: u16| record(WINDOW, &[&flags.to_le_bytes()[..], &[0; 16]].concat());
        let chart = [record(BOF, &[0, 6, 0x20, 0]), window(0x6b6), record(EOF, &[])].concat();
        let grids = surveyed(&[&[window(0x6b6)], &[window(0x6f6), chart]]).unwrap();
        assert_eq!(grids.iter().map(|grid| grid.right_to_left).collect::<Vec<_>>(), [false, true]);
    }

    /// Source: MS-XLS 2.4.56 (CondFmt12), 2.5.143 (FtCmo), 2.4.329 (TxO), 2.4.179 (Note), written out by hand: a comment
    /// "k2 ○", its text in two pieces, a text that is no comment's, and one whose object is not there.
    #[test]
    fn what_hangs_on_cells_is_read() {
        let object = |kind: u8, number: u8| {
            record(OBJECT, &[0x15, 0, 0x12, 0, kind, 0, number, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0])
        };
        let text =
            |letters: u8| record(OBJECT_TEXT, &[0, 0, 0, 0, 0, 0, 0, 0, 0, 0, letters, 0, 8, 0, 0, 0, 0, 0]);
        let note = |row: u8, column: u8, number: u8| record(NOTE, &[row, 0, column, 0, 0, 0, number, 0]);
        let conditions = [&[0; 12][..], &[1, 0, 2, 0], &[0; 8], &[1, 0, 2, 0, 4, 0, 0, 0, 7, 0]].concat();
        let records = [
            object(0x19, 3),
            text(4),
            record(CONTINUE, b"\0k2 "),
            record(CONTINUE, &[1, 0xcb, 0x25, 0x20, 0]),
            record(CONTINUE, &[0; 16]),
            object(0x06, 4),
            text(2),
            record(CONTINUE, b"\0no"),
            note(2, 3, 3),
            note(4, 4, 4),
            note(5, 5, 9),
            record(CONDITIONAL_12, &conditions),
        ];
        let grids = surveyed(&[&records]).unwrap();
        assert_eq!(grids[0].comments, [(Address::new(2, 3), "k2 ○".to_owned())]);
        assert_eq!(grids[0].conditional, [Span::new(Address::new(2, 0), Address::new(4, 7))]);

        // In Excel 5 and 95 the record holds the text, and others go on with one that is long.
        let notes = [record(NOTE, b"\x01\0\x02\0\x04\0k2\xe9!"), record(NOTE, b"\xff\xff\0\0\x02\0no")];
        let mut old = stream_of(OLD, &[&notes]);
        let found = survey(&mut old, &mut Budget::default()).unwrap();
        assert_eq!(found.grids[0].comments, [(Address::new(1, 2), "k2é!".to_owned())]);
    }
}
