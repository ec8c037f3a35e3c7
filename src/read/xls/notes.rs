//! Comments on cells. In BIFF8 an object comes first, then its text, and behind all objects a record that puts the object
//! on a cell; in older workbooks that record holds the text itself. Source: MS-XLS 2.4.179 (Note), 2.4.181 (Obj), 2.4.329
//! (TxO).

use std::collections::HashMap;

use crate::place::Address;
use crate::read::encoding;

/// The texts of a sheet's objects, and what is missing of the last.
#[derive(Default)]
pub(super) struct Notes {
    texts: HashMap<u16, String>,
    object: Option<u16>,
    missing: usize,
}

fn word(data: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_le_bytes([*data.get(at)?, *data.get(at + 1)?]))
}

impl Notes {
    /// An object begins: its first part names its kind and its number.
    pub(super) fn object(&mut self, data: &[u8]) {
        const COMMENT: u16 = 0x19;
        self.object = word(data, 6).filter(|_| word(data, 4) == Some(COMMENT));
    }

    /// The object has a text of so many letters, which follows.
    pub(super) fn text(&mut self, data: &[u8]) {
        self.missing = word(data, 10).filter(|_| self.object.is_some()).map_or(0, usize::from);
    }

    /// A piece of the text: whether its letters take two bytes each, then the letters.
    pub(super) fn piece(&mut self, data: &[u8]) {
        let (Some(object), Some((wide, letters))) = (self.object, data.split_first()) else { return };
        let units: Vec<u16> = if wide & 1 == 0 {
            letters.iter().copied().map(u16::from).take(self.missing).collect()
        } else {
            let pairs = letters.chunks_exact(2).map(|pair| u16::from_le_bytes([pair[0], pair[1]]));
            pairs.take(self.missing).collect()
        };
        self.missing -= units.len();
        self.texts.entry(object).or_default().push_str(&String::from_utf16_lossy(&units));
    }

    /// What follows is no piece of a text.
    pub(super) const fn end(&mut self) {
        self.missing = 0;
    }

    /// The cell that a comment hangs on, and its text.
    pub(super) fn note(&mut self, data: &[u8]) -> Option<(Address, String)> {
        let at = Address::new(u32::from(word(data, 0)?), u32::from(word(data, 2)?));
        Some((at, self.texts.remove(&word(data, 6)?)?))
    }

    /// The same of a workbook of Excel 5 or 95.
    pub(super) fn old_note(data: &[u8]) -> Option<(Address, String)> {
        const GOES_ON: u16 = 0xffff;
        let row = word(data, 0).filter(|row| *row != GOES_ON)?;
        let at = Address::new(u32::from(row), u32::from(word(data, 2)?));
        let text = data.get(6..)?;
        let letters = text.get(..usize::from(word(data, 4)?)).unwrap_or(text);
        Some((at, encoding::decode(letters).text.into_owned()))
    }
}
