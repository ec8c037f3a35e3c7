//! How much of a file may be read.

use std::cell::Cell;
use std::io::{self, BufRead, ErrorKind};
use std::rc::Rc;

use crate::read::fault::Fault;
use crate::read::limits;

/// What may still be read of a file.
#[derive(Debug)]
pub(crate) struct Meter {
    pub(super) bytes: Cell<u64>,
    pub(super) pieces: Cell<u64>,
}

impl Default for Meter {
    fn default() -> Self {
        Self { bytes: Cell::new(limits::UNPACKED_BYTES), pieces: Cell::new(limits::XML_PIECES) }
    }
}

impl Meter {
    /// How many bytes may still be unpacked.
    pub(crate) const fn bytes(&self) -> u64 {
        self.bytes.get()
    }

    /// Counts bytes and pieces of XML that were read.
    pub(crate) fn take(&self, bytes: u64, pieces: u64) -> Result<(), Fault> {
        let left = self.bytes.get().checked_sub(bytes);
        self.bytes.set(left.ok_or_else(|| Fault::too_many("bytes once unpacked", limits::UNPACKED_BYTES))?);
        let left = self.pieces.get().checked_sub(pieces);
        self.pieces.set(left.ok_or_else(|| Fault::too_many("pieces of XML", limits::XML_PIECES))?);
        Ok(())
    }
}

/// Counts the bytes of each piece, and of everything.
pub(super) struct Metered<'a> {
    pub(super) input: Box<dyn BufRead + 'a>,
    pub(super) piece: usize,
    pub(super) used: usize,
    pub(super) meter: Rc<Meter>,
}

impl io::Read for Metered<'_> {
    fn read(&mut self, buf: &mut [u8]) -> io::Result<usize> {
        let available = self.fill_buf()?;
        let count = available.len().min(buf.len());
        buf[..count].copy_from_slice(&available[..count]);
        self.consume(count);
        Ok(count)
    }
}

impl BufRead for Metered<'_> {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        if self.used > self.piece || self.meter.bytes.get() == 0 {
            return Err(io::Error::from(ErrorKind::FileTooLarge));
        }
        // A slice offers all it has at once.
        let room = self.piece.saturating_sub(self.used).saturating_add(1);
        let available = self.input.fill_buf()?;
        Ok(&available[..available.len().min(room)])
    }

    fn consume(&mut self, amount: usize) {
        self.used = self.used.saturating_add(amount);
        self.meter.bytes.set(self.meter.bytes.get().saturating_sub(amount as u64));
        self.input.consume(amount);
    }
}
