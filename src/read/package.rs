//! Zipped files: parts found by name, unpacked under a limit.
//!
//! A part of usual size in a file that is written plainly is unpacked whole, in one step. Whatever is unusual, and all
//! that is damaged, is read by the `zip` crate, which knows how to tell what is wrong.

mod contents;

use std::io::{BufReader, Cursor, Read};
use std::rc::Rc;

use flate2::{Decompress, FlushDecompress, Status};
use foldhash::HashMap;
use zip::ZipArchive;
use zip::result::ZipError;

use super::fault::Fault;
use super::limits;
use super::xml::{Meter, Xml};
use contents::{Contents, Entry};

/// How many bytes of a part that is not unpacked whole are unpacked at once.
const LEAST_ROOM: usize = 1 << 9;
const MOST_ROOM: usize = 1 << 16;

/// What unpacking is faster with: room behind the end, which it may write to.
const MARGIN: usize = 320;

/// A zipped file.
pub(crate) struct Package<'a> {
    bytes: &'a [u8],
    /// Its table of contents, where it is written plainly.
    contents: Option<Contents<'a>>,
    /// The same file as the crate reads it, once it is needed.
    zip: Option<Zip<'a>>,
    unpacker: Option<Decompress>,
    /// The part unpacked last.
    room: Vec<u8>,
    /// What may still be unpacked.
    meter: Rc<Meter>,
}

/// A file as the crate reads it.
struct Zip<'a> {
    archive: ZipArchive<Cursor<&'a [u8]>>,
    /// Index of each part by its name in lower case, with `/` between folders and none in front.
    parts: HashMap<String, usize>,
}

impl<'a> Package<'a> {
    /// Reads the table of contents.
    pub(crate) fn open(bytes: &'a [u8]) -> Result<Self, Fault> {
        let contents = Contents::of(bytes);
        let zip = if contents.is_some() { None } else { Some(Zip::open(bytes)?) };
        Ok(Self { bytes, contents, zip, unpacker: None, room: Vec::new(), meter: Rc::default() })
    }

    /// Whether there is such a part.
    pub(crate) fn has(&self, name: &str) -> bool {
        match (&self.contents, &self.zip) {
            (Some(contents), _) => find(contents, name).is_some(),
            (None, Some(zip)) => zip.parts.contains_key(&plain(name)),
            (None, None) => false,
        }
    }

    /// A part that is XML; `None` where there is no such part.
    pub(crate) fn xml(&mut self, name: &str) -> Result<Option<Xml<'_>>, Fault> {
        if !self.has(name) {
            return Ok(None);
        }
        if self.unpack(name, limits::XML_PIECE_BYTES).is_some() {
            self.meter.take(self.room.len() as u64, 0)?;
            return Ok(Some(Xml::whole(&self.room, Rc::clone(&self.meter))));
        }
        let zip = Zip::of(&mut self.zip, self.bytes)?;
        let Some(&index) = zip.parts.get(&plain(name)) else { return Ok(None) };
        let part = zip.archive.by_index(index).map_err(fault)?;
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
        if !self.has(name) {
            return head;
        }
        if self.unpack(name, limits::XML_PIECE_BYTES).is_some() {
            let limit = usize::try_from(limit).unwrap_or(usize::MAX);
            head.extend_from_slice(&self.room[..self.room.len().min(limit)]);
        } else if let Ok(zip) = Zip::of(&mut self.zip, self.bytes)
            && let Some(&index) = zip.parts.get(&plain(name))
            && let Ok(part) = zip.archive.by_index(index)
        {
            // What can be had of a damaged part is enough to tell what it is.
            let _ = part.take(limit).read_to_end(&mut head);
        }
        head
    }

    /// A part unpacked whole; `None` where there is no such part.
    pub(crate) fn unpacked(&mut self, name: &str) -> Result<Option<Vec<u8>>, Fault> {
        if !self.has(name) {
            return Ok(None);
        }
        let left = self.meter.bytes().min(limits::BINARY_PART_BYTES);
        let mut whole = Vec::new();
        if self.unpack(name, usize::try_from(left).unwrap_or(usize::MAX)).is_some() {
            whole = std::mem::take(&mut self.room);
        } else {
            let zip = Zip::of(&mut self.zip, self.bytes)?;
            let Some(&index) = zip.parts.get(&plain(name)) else { return Ok(None) };
            zip.archive
                .by_index(index)
                .map_err(fault)?
                .take(left.saturating_add(1))
                .read_to_end(&mut whole)
                .map_err(|error| Fault::damaged(format!("a part of it is damaged or cut short ({error})")))?;
        }
        if whole.len() as u64 > left {
            return Err(Fault::too_many("bytes in a part, once unpacked", limits::BINARY_PART_BYTES));
        }
        self.meter.take(whole.len() as u64, 0)?;
        Ok(Some(whole))
    }

    /// Unpacks a sound part of at most so many bytes, and of fewer than may still be unpacked, into the room; `None`
    /// where it is not sound, too large or unusual.
    fn unpack(&mut self, name: &str, most: usize) -> Option<()> {
        let entry = find(self.contents.as_ref()?, name)?;
        if entry.size > most || entry.size as u64 >= self.meter.bytes() {
            return None;
        }
        let packed = entry.packed(self.bytes)?;
        self.room.clear();
        // Deflated bytes become a thousand at most: what claims more is not believed.
        self.room.reserve(entry.size.min(packed.len().saturating_mul(1_100)) + MARGIN);
        if entry.deflated {
            let unpacker = self.unpacker.get_or_insert_with(|| Decompress::new(false));
            unpacker.reset(false);
            let done = unpacker.decompress_vec(packed, &mut self.room, FlushDecompress::Finish);
            if !matches!(done, Ok(Status::StreamEnd)) {
                return None;
            }
        } else {
            self.room.extend_from_slice(packed);
        }
        (self.room.len() == entry.size && crc32fast::hash(&self.room) == entry.sum).then_some(())
    }
}

impl<'a> Zip<'a> {
    fn open(bytes: &'a [u8]) -> Result<Self, Fault> {
        let archive = ZipArchive::new(Cursor::new(bytes)).map_err(fault)?;
        let parts = archive
            .file_names()
            .enumerate()
            .filter_map(|(index, name)| Some((plain(&name.ok()?), index)))
            .collect();
        Ok(Self { archive, parts })
    }

    /// The one that is open, or else opened now.
    fn of<'z>(open: &'z mut Option<Self>, bytes: &'a [u8]) -> Result<&'z mut Self, Fault> {
        match open {
            Some(zip) => Ok(zip),
            None => Ok(open.insert(Self::open(bytes)?)),
        }
    }
}

fn find<'c, 'a>(contents: &'c Contents<'a>, name: &str) -> Option<&'c Entry<'a>> {
    let name = name.trim_start_matches('/');
    if name.contains('\\') { contents.find(&plain(name)) } else { contents.find(name) }
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
