//! Zipped files: parts found by name, unpacked under a limit.

use std::cell::RefCell;
use std::io::{BufReader, Cursor, Read};
use std::rc::Rc;

use flate2::{Decompress, FlushDecompress, Status};
use foldhash::HashMap;
use zip::result::ZipError;
use zip::{CompressionMethod, ZipArchive};

use super::fault::Fault;
use super::limits;
use super::xml::{Meter, Xml};

/// How many bytes of a part that is not unpacked in one step are unpacked at once.
const LEAST_ROOM: usize = 1 << 9;
const MOST_ROOM: usize = 1 << 16;

/// What unpacking is faster with: room behind the end, which it may write to.
const MARGIN: usize = 320;

thread_local! {
    /// What unpacks parts in one step. To make one takes longer than to unpack a small part.
    static UNPACKER: RefCell<Decompress> = RefCell::new(Decompress::new(false));
}

/// A zipped file.
pub(crate) struct Package<'a> {
    bytes: &'a [u8],
    zip: ZipArchive<Cursor<&'a [u8]>>,
    /// Index of each part by its name in lower case, with `/` between folders and none in front.
    parts: HashMap<String, usize>,
    /// The part unpacked last.
    room: Vec<u8>,
    /// What may still be unpacked.
    meter: Rc<Meter>,
}

impl<'a> Package<'a> {
    /// Reads the table of contents.
    pub(crate) fn open(bytes: &'a [u8]) -> Result<Self, Fault> {
        let zip = ZipArchive::new(Cursor::new(bytes)).map_err(fault)?;
        let parts = zip
            .file_names()
            .enumerate()
            .filter_map(|(index, name)| Some((plain(&name.ok()?), index)))
            .collect();
        Ok(Self { bytes, zip, parts, room: Vec::new(), meter: Rc::default() })
    }

    /// Whether there is such a part.
    pub(crate) fn has(&self, name: &str) -> bool {
        self.parts.contains_key(&plain(name))
    }

    /// A part that is XML; `None` where there is no such part.
    pub(crate) fn xml(&mut self, name: &str) -> Result<Option<Xml<'_>>, Fault> {
        let Some(&index) = self.parts.get(&plain(name)) else { return Ok(None) };
        if self.unpack(index).is_some() {
            self.meter.take(self.room.len() as u64, 0)?;
            return Ok(Some(Xml::held(&self.room, Rc::clone(&self.meter))));
        }
        let part = self.zip.by_index(index).map_err(fault)?;
        // What says that it is too large need not be unpacked to be refused; what does not say so is metered.
        if part.size() > self.meter.bytes() {
            return Err(Fault::too_many("bytes once unpacked", limits::UNPACKED_BYTES));
        }
        // The room is filled with zeros before: more of it than is used costs time.
        let room = usize::try_from(part.size()).unwrap_or(MOST_ROOM).clamp(LEAST_ROOM, MOST_ROOM);
        let part = BufReader::with_capacity(room, part);
        Ok(Some(Xml::metered(Box::new(part), Rc::clone(&self.meter))))
    }

    /// The first `limit` bytes of a part; empty where there is no such part, or it can't be unpacked.
    pub(crate) fn head(&mut self, name: &str, limit: u64) -> Vec<u8> {
        let mut head = Vec::new();
        if let Some(&index) = self.parts.get(&plain(name))
            && let Ok(part) = self.zip.by_index(index)
        {
            // What can be had of a damaged part is enough to tell what it is.
            let _ = part.take(limit).read_to_end(&mut head);
        }
        head
    }

    /// A part unpacked whole; `None` where there is no such part.
    pub(crate) fn unpacked(&mut self, name: &str) -> Result<Option<Vec<u8>>, Fault> {
        let Some(&index) = self.parts.get(&plain(name)) else { return Ok(None) };
        let mut part = self.zip.by_index(index).map_err(fault)?;
        let left = self.meter.bytes().min(limits::BINARY_PART_BYTES);
        let mut whole = Vec::new();
        let read = (&mut part)
            .take(left.saturating_add(1))
            .read_to_end(&mut whole)
            .map_err(|error| Fault::damaged(format!("a part of it is damaged or cut short ({error})")))?;
        if read as u64 > left {
            return Err(Fault::too_many("bytes in a part, once unpacked", limits::BINARY_PART_BYTES));
        }
        self.meter.take(read as u64, 0)?;
        Ok(Some(whole))
    }

    /// Unpacks a part of usual size into the room in one step; `None` where that can't be done, and where the part is
    /// damaged: read bit by bit, it is told what is wrong.
    fn unpack(&mut self, index: usize) -> Option<()> {
        let part = self.zip.by_index_raw(index).ok()?;
        let (size, sum) = (usize::try_from(part.size()).ok()?, part.crc32());
        if part.encrypted() || size > limits::XML_PIECE_BYTES || size as u64 >= self.meter.bytes() {
            return None;
        }
        let start = usize::try_from(part.data_start()?).ok()?;
        let packed = self.bytes.get(start..)?.get(..usize::try_from(part.compressed_size()).ok()?)?;
        self.room.clear();
        match part.compression() {
            CompressionMethod::Stored => self.room.extend_from_slice(packed),
            CompressionMethod::Deflated => {
                // Deflated bytes become a thousand at most: what claims more is not believed.
                self.room.reserve(size.min(packed.len().saturating_mul(1_100)) + MARGIN);
                let done = UNPACKER.with_borrow_mut(|unpacker| {
                    unpacker.reset(false);
                    unpacker.decompress_vec(packed, &mut self.room, FlushDecompress::Finish)
                });
                done.ok().filter(|done| *done == Status::StreamEnd)?;
            }
            _ => return None,
        }
        (self.room.len() == size && crc32fast::hash(&self.room) == sum).then_some(())
    }
}

fn plain(name: &str) -> String {
    name.replace('\\', "/").trim_start_matches('/').to_ascii_lowercase()
}

fn fault(error: ZipError) -> Fault {
    match error {
        ZipError::UnsupportedArchive(ZipError::PASSWORD_REQUIRED) => Fault::Encrypted,
        error => Fault::damaged(format!("it is damaged or cut short ({error})")),
    }
}

#[cfg(test)]
mod tests;
