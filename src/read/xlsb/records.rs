//! The records of an `.xlsb` part: a kind, a length, and the data.

use crate::place::{Address, Span};
use crate::read::fault::Fault;

/// The records of a part.
pub(super) struct Records<'a> {
    rest: &'a [u8],
}

impl<'a> Records<'a> {
    /// Reads the records of an unpacked part.
    pub(super) const fn new(part: &'a [u8]) -> Self {
        Self { rest: part }
    }

    /// The next record, its kind and its data; `None` at the end.
    pub(super) fn next(&mut self) -> Result<Option<(u32, &'a [u8])>, Fault> {
        if self.rest.is_empty() {
            return Ok(None);
        }
        let cut = || Fault::damaged("it is cut short in the middle of a record");
        let kind = self.number(2).ok_or_else(cut)?;
        let length = self.number(4).ok_or_else(cut)? as usize;
        let (data, rest) = self.rest.split_at_checked(length).ok_or_else(cut)?;
        self.rest = rest;
        Ok(Some((kind, data)))
    }

    /// A number kept in at most so many bytes, seven bits in each, the upper bit saying that another follows. The
    /// kind of a record keeps those bits.
    fn number(&mut self, bytes: u32) -> Option<u32> {
        let mut number = 0;
        for index in 0..bytes {
            let (&byte, rest) = self.rest.split_first()?;
            self.rest = rest;
            number |= u32::from(byte & 0x7f) << (7 * index);
            if byte & 0x80 == 0 {
                break;
            }
        }
        Some(number)
    }
}

/// The 32-bit number at this offset.
pub(super) fn number_at(data: &[u8], offset: usize) -> Option<u32> {
    let bytes = data.get(offset..offset.checked_add(4)?)?;
    Some(u32::from_le_bytes(bytes.try_into().ok()?))
}

/// The 16-bit number at this offset.
pub(super) fn word_at(data: &[u8], offset: usize) -> Option<u16> {
    let bytes = data.get(offset..offset.checked_add(2)?)?;
    Some(u16::from_le_bytes(bytes.try_into().ok()?))
}

/// The range of cells at this offset: first row, last row, first column, last column, four bytes each.
pub(super) fn span_at(data: &[u8], offset: usize) -> Option<Span> {
    let corner = |row: usize, column: usize| {
        let at = |field: usize| number_at(data, offset.checked_add(field)?);
        Some(Span::from(Address::new(at(row)?, at(column)?)))
    };
    Some(corner(0, 8)?.join(corner(4, 12)?))
}

/// The text at this offset, and the offset behind it.
pub(super) fn text_at(data: &[u8], offset: usize) -> Option<(String, usize)> {
    let start = offset.checked_add(4)?;
    let end = start.checked_add((number_at(data, offset)? as usize).checked_mul(2)?)?;
    let units: Vec<u16> =
        data.get(start..end)?.chunks_exact(2).map(|pair| u16::from_le_bytes([pair[0], pair[1]])).collect();
    Some((String::from_utf16_lossy(&units), end))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: MS-XLSB 2.1.4, written out by hand: kind 156 takes two bytes, the length 3 takes one.
    #[test]
    fn kinds_and_lengths_are_read_seven_bits_at_a_time() {
        let mut records = Records::new(&[0x9c, 0x01, 3, 1, 2, 3, 0x02, 0]);
        assert_eq!(records.next(), Ok(Some((156, &[1u8, 2, 3][..]))));
        assert_eq!(records.next(), Ok(Some((2, &[][..]))));
        assert_eq!(records.next(), Ok(None));
        assert!(Records::new(&[0x9c, 0x01, 3, 1]).next().is_err());
        assert!(Records::new(&[0x9c]).next().is_err());
    }

    #[test]
    fn texts_are_counted_in_letters() {
        assert_eq!(text_at(&[9, 2, 0, 0, 0, b'k', 0, 0xcb, 0x25], 1), Some(("k\u{25cb}".into(), 9)));
        assert_eq!(text_at(&[255, 255, 255, 255, 0, 0], 0), None);
    }
}
