//! The looks of cells, from the records that hold a workbook's cell formats and its palette.

use crate::grid::{Colour, Edge, Look};
use crate::read::colours::{Colours, Pattern, heavy};

/// A cell format of BIFF8, 20 bytes. Source: MS-XLS 2.5.20 (CellXF).
#[derive(Clone, Copy, Debug)]
pub(super) struct Format([u8; 20]);

impl Format {
    /// The format a record holds; `None` for those of older workbooks.
    pub(super) fn of(record: &[u8]) -> Option<Self> {
        record.get(..20)?.try_into().ok().map(Self)
    }

    /// How cells of this format look; `struck` tells of each font whether it strikes out.
    pub(super) fn look(self, colours: &Colours, struck: &[bool]) -> Look {
        let font = usize::from(u16::from_le_bytes([self.0[0], self.0[1]]));
        // No font has the number 4.
        let font = if font > 4 { font - 1 } else { font };
        let number =
            |at: usize| u32::from_le_bytes([self.0[at], self.0[at + 1], self.0[at + 2], self.0[at + 3]]);
        let (lines, more, fill) = (number(10), number(14), u16::from_le_bytes([self.0[18], self.0[19]]));
        let edge = |style: u32, colour: u32| {
            let colour = colours.indexed((colour & 0x7f) as usize).unwrap_or(Colour::BLACK);
            heavy(style & 0xf).map(|heavy| Edge { heavy, colour })
        };
        let front = colours.indexed(usize::from(fill & 0x7f));
        let back = colours.indexed(usize::from(fill >> 7 & 0x7f));
        Look {
            fill: Pattern::numbered(more >> 26).fill(front, back),
            left: edge(lines, lines >> 16),
            right: edge(lines >> 4, lines >> 23),
            top: edge(lines >> 8, more),
            bottom: edge(lines >> 12, more >> 7),
            struck: struck.get(font).copied().unwrap_or_default(),
        }
    }
}

/// The colours of a workbook's own palette, from its record: a count, then four bytes for each, from number 8 on.
pub(super) fn palette(record: &[u8]) -> Vec<Colour> {
    let own = record.get(2..).unwrap_or_default().chunks_exact(4);
    (0..8)
        .map(|index| Colours::default().indexed(index).unwrap_or_default())
        .chain(own.map(|parts| Colour([parts[0], parts[1], parts[2]])))
        .collect()
}
