//! Cell formats: which show a date, and how their cells look. Source of the layouts: MS-XLSB 2.4.

use std::collections::HashMap;

use super::records::{Records, number_at, text_at, word_at};
use crate::grid::{Colour, Edge, Look};
use crate::read::colours::{Colours, Pattern, heavy, mixed, tinted};
use crate::read::fault::Fault;
use crate::read::limits;
use crate::read::xlsx::{built_in_date, shows_date};

/// What a cell format says.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Style {
    /// Whether a number is shown as a date.
    pub(super) date: bool,
    /// How the cell looks.
    pub(super) look: Look,
}

const NUMBER_FORMAT: u32 = 44;
const FONT: u32 = 43;
const FILL: u32 = 45;
const BORDER: u32 = 46;
const FORMAT: u32 = 47;
const PALETTE_COLOUR: u32 = 475;
const CELL_FORMATS_BEGIN: u32 = 617;
const CELL_FORMATS_END: u32 = 618;

/// Reads the table of cell formats.
pub(super) fn read(part: &[u8], mut colours: Colours) -> Result<Vec<Style>, Fault> {
    // The palette stands behind what refers to it.
    let mut records = Records::new(part);
    while let Some((kind, data)) = records.next()? {
        if kind == PALETTE_COLOUR && colours.own_palette.len() < limits::TABLE_ENTRIES {
            colours.own_palette.extend(data.get(..3).map(|parts| Colour([parts[0], parts[1], parts[2]])));
        }
    }
    let mut own_dates: HashMap<u16, bool> = HashMap::new();
    let mut fonts = Vec::new();
    let mut fills = Vec::new();
    let mut borders = Vec::new();
    let mut styles = Vec::new();
    let mut in_cell_formats = false;
    let mut records = Records::new(part);
    while let Some((kind, data)) = records.next()? {
        match kind {
            NUMBER_FORMAT => {
                if let (Some(id), Some((code, _))) = (word_at(data, 0), text_at(data, 2)) {
                    own_dates.insert(id, shows_date(&code));
                }
            }
            // Behind the height; whether it strikes out.
            FONT => fonts.push(data.get(2).is_some_and(|marks| marks & 8 != 0)),
            FILL => fills.push(fill(data, &colours)),
            BORDER => borders.push(border(data, &colours)),
            CELL_FORMATS_BEGIN => in_cell_formats = true,
            CELL_FORMATS_END => in_cell_formats = false,
            FORMAT if in_cell_formats => {
                // Parent, number format, font, fill, border: two bytes each.
                let index = |at| usize::from(word_at(data, at).unwrap_or(0));
                let number_format = word_at(data, 2).unwrap_or(0);
                let date = own_dates.get(&number_format).copied();
                let mut look: Look = borders.get(index(8)).copied().unwrap_or_default();
                look.fill = fills.get(index(6)).copied().flatten();
                look.struck = fonts.get(index(4)).copied().unwrap_or_default();
                styles.push(Style {
                    date: date.unwrap_or_else(|| built_in_date(usize::from(number_format))),
                    look,
                });
            }
            _ => {}
        }
        if fonts.len().max(fills.len()).max(borders.len()).max(styles.len()) > limits::TABLE_ENTRIES {
            return Err(Fault::too_many("cell formats", limits::TABLE_ENTRIES as u64));
        }
    }
    Ok(styles)
}

/// A pattern and its two colours; for a gradient, the colours it begins and ends with.
fn fill(data: &[u8], colours: &Colours) -> Option<Colour> {
    const GRADIENT: u32 = 0x28;
    /// Where the stops of a gradient begin: behind the pattern, two colours, its kind and five numbers.
    const STOPS: usize = 68;
    const STOP: usize = 16;
    let pattern = number_at(data, 0)?;
    if pattern != GRADIENT {
        return Pattern::numbered(pattern).fill(colour(data, 4, colours), colour(data, 12, colours));
    }
    let last = (number_at(data, STOPS - 4)? as usize).checked_sub(1)?;
    let end = colour(data, STOPS.checked_add(last.checked_mul(STOP)?)?, colours)?;
    Some(mixed(colour(data, STOPS, colours)?, end, 0.5))
}

/// Four lines: a style in two bytes and a colour each, behind a byte of marks.
fn border(data: &[u8], colours: &Colours) -> Look {
    let edge = |at: usize| {
        let heavy = heavy(u32::from(word_at(data, at)? & 0xff))?;
        Some(Edge { heavy, colour: colour(data, at + 2, colours).unwrap_or(Colour::BLACK) })
    };
    Look { top: edge(1), bottom: edge(11), left: edge(21), right: edge(31), ..Look::default() }
}

/// A colour, eight bytes: its kind, a number, a tint, its parts. `None` where it is left to the program.
fn colour(data: &[u8], at: usize, colours: &Colours) -> Option<Colour> {
    let parts = data.get(at..at.checked_add(8)?)?;
    let index = usize::from(parts[1]);
    let plain = match parts[0] >> 1 {
        1 => colours.indexed(index)?,
        2 => Colour([parts[4], parts[5], parts[6]]),
        3 => colours.themed(index)?,
        _ => return None,
    };
    let tint = i16::from_le_bytes([parts[2], parts[3]]);
    Some(tinted(plain, f64::from(tint) / f64::from(i16::MAX)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: MS-XLSB 2.4.662 (BrtFont), 2.4.876 (BrtXF), from memory, written out by hand: the second font strikes out
    /// and is slanted, the first is slanted only.
    #[test]
    fn fonts_that_strike_out_are_known() {
        let font = |marks: u8| [&[43, 6, 220, 0, marks, 0, 144, 1][..]].concat();
        let format = |font: u8| [&[47, 10, 0, 0, 0, 0, font, 0, 0, 0, 0, 0][..]].concat();
        let part =
            [font(2), font(10), vec![0xe9, 4, 0], format(0), format(1), format(7), vec![0xea, 4, 0]].concat();
        let styles = read(&part, Colours::default()).unwrap();
        assert_eq!(styles.iter().map(|style| style.look.struck).collect::<Vec<_>>(), [false, true, false]);
    }

    /// Source: MS-XLSB 2.5.19 (BrtColor), 2.4.317 (BrtBorder), 2.4.657 (BrtFill), from memory, written out by hand.
    #[test]
    fn fills_and_borders_are_read() {
        let colours = Colours::default();
        let red = [5, 0, 0, 0, 0xff, 0, 0, 0xff];
        let darker_white = [7, 0, 0xcd, 0xec, 0, 0, 0, 0xff];
        let auto = [0; 8];
        let filled = |pattern: u8, front: [u8; 8]| {
            fill(&[&[pattern, 0, 0, 0][..], &front, &auto].concat(), &colours).map(|fill| fill.to_string())
        };
        assert_eq!(filled(1, red).as_deref(), Some("FF0000"));
        assert_eq!(filled(1, darker_white).as_deref(), Some("D9D9D9"));
        assert_eq!(filled(0, red), None);
        let line = |style: u8, colour: [u8; 8]| [&[style, 0][..], &colour].concat();
        let data = [&[0][..], &line(5, red), &line(1, auto), &line(0, auto), &line(2, auto), &line(0, auto)]
            .concat();
        let edge = |heavy, digits| Some(Edge { heavy, colour: Colour::from_hex(digits).unwrap() });
        assert_eq!(
            border(&data, &colours),
            Look {
                fill: None,
                top: edge(true, "FF0000"),
                bottom: edge(false, "000000"),
                left: None,
                right: edge(true, "000000"),
                struck: false,
            }
        );
        assert_eq!(border(&[], &colours), Look::default());
    }
}
