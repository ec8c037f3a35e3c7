//! The lines of a run record, read in place: one after another, or one whose place is known. A record may be large, so
//! its lines are not held.

use std::fs::File;
use std::io::{self, BufRead, BufReader, Read, Seek, SeekFrom};

/// A file with a place of its own to read from, whatever else is done with it: who adds to a file moves the place that
/// all have in common.
struct Reader {
    file: File,
    at: u64,
}

impl Read for Reader {
    fn read(&mut self, to: &mut [u8]) -> io::Result<usize> {
        self.file.seek(SeekFrom::Start(self.at))?;
        let read = self.file.read(to)?;
        self.at += read as u64;
        Ok(read)
    }
}

impl Seek for Reader {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.at = match to {
            SeekFrom::Start(at) => at,
            SeekFrom::Current(step) => self.at.checked_add_signed(step).ok_or(io::ErrorKind::InvalidInput)?,
            SeekFrom::End(_) => self.file.seek(to)?,
        };
        Ok(self.at)
    }
}

/// The lines of a record, each with the byte it begins at.
pub struct Lines {
    from: BufReader<Reader>,
    line: Vec<u8>,
    /// The byte behind the last line read, and behind what was read after it and is no whole line.
    at: u64,
    read: u64,
}

impl Lines {
    /// The lines of an open record, from the first.
    pub fn of(file: &File) -> io::Result<Self> {
        let from = Reader { file: file.try_clone()?, at: 0 };
        Ok(Self { from: BufReader::with_capacity(1 << 14, from), line: Vec::new(), at: 0, read: 0 })
    }

    /// Goes back to the first line. What was read before counts no longer: lines may have been added.
    pub fn rewind(&mut self) -> io::Result<()> {
        (self.at, self.read) = (0, 0);
        self.from.rewind()
    }

    /// Where the next line begins: behind all whole lines, where there is none.
    pub fn at(&self) -> u64 {
        self.at
    }

    /// The next whole line; without its text where that is none.
    pub fn next(&mut self) -> io::Result<Option<(u64, Option<&str>)>> {
        self.line.clear();
        self.read += self.from.read_until(b'\n', &mut self.line)? as u64;
        if self.line.pop() != Some(b'\n') {
            return Ok(None);
        }
        let at = std::mem::replace(&mut self.at, self.read);
        Ok(Some((at, std::str::from_utf8(&self.line).ok())))
    }

    /// The line that begins at a byte. Those of earlier runs are asked for in about the order they stand in, so that
    /// one piece of the record gives many.
    pub fn get(&mut self, at: u64) -> Option<&str> {
        self.from.seek_relative(i64::try_from(at).ok()?.checked_sub_unsigned(self.read)?).ok()?;
        (self.at, self.read) = (at, at);
        self.next().ok().flatten().and_then(|(_, line)| line)
    }
}

/// Where lines begin, found by the hash of what they tell of. For each only a part of the hash is kept, beside the
/// place in one number: whoever looks for a line reads it, and sees whether it is the one.
#[derive(Debug, Default)]
pub struct Index {
    /// In order, once all are there.
    places: Vec<u64>,
}

/// The low bits of a number are the place, the others the hash. A record of a terabyte has lines that are not found.
const PLACE: u64 = (1 << 40) - 1;

impl Index {
    /// Notes where a line begins.
    pub fn note(&mut self, key: u64, at: u64) {
        if at <= PLACE {
            self.places.push(key & !PLACE | at);
        }
    }

    /// All lines are noted.
    pub fn complete(&mut self) {
        self.places.sort_unstable();
        self.places.shrink_to_fit();
    }

    /// Where a line may begin, the last one first.
    pub fn places(&self, key: u64) -> impl Iterator<Item = u64> {
        let (first, last) = (key & !PLACE, key | PLACE);
        let start = self.places.partition_point(|place| *place < first);
        let end = self.places.partition_point(|place| *place <= last);
        let places = self.places.get(start..end).unwrap_or_default();
        places.iter().rev().map(|place| place & PLACE)
    }
}

#[cfg(test)]
mod tests {
    use std::io::Write;

    use super::*;

    #[test]
    fn a_line_is_found_at_its_place() {
        let mut file = tempfile::tempfile().unwrap();
        let texts: Vec<String> = (0..5000).map(|number| format!("line {number}")).collect();
        file.write_all((texts.join("\n") + "\nno whole li").as_bytes()).unwrap();
        let mut lines = Lines::of(&file).unwrap();
        let mut places = Vec::new();
        while let Some((at, line)) = lines.next().unwrap() {
            assert_eq!(line, texts.get(places.len()).map(String::as_str));
            places.push(at);
        }
        assert_eq!((places.len(), lines.at()), (5000, texts.join("\n").len() as u64 + 1));
        for number in [4999, 0, 1, 2, 2500, 2400, 2500, 4998] {
            assert_eq!(lines.get(places[number]), Some(&*texts[number]));
        }
        file.seek(SeekFrom::End(0)).unwrap();
        file.write_all(b"ne\n").unwrap();
        assert_eq!(lines.get(places[7]), Some(&*texts[7]));
        lines.rewind().unwrap();
        let mut count = 0;
        while let Some((_, line)) = lines.next().unwrap() {
            count += 1;
            assert_eq!(line, texts.get(count - 1).map(String::as_str).or(Some("no whole line")));
        }
        assert_eq!(count, 5001);
    }

    #[test]
    fn lines_whose_hashes_begin_alike_are_all_given() {
        let mut index = Index::default();
        let (one, two) = (0xabcd_ef00_0000_0001, 0xabcd_ef11_1111_1111);
        for (key, at) in
            [(one, 700), (two, 0), (0xabcd_ee00_0000_0000, 5), (u64::MAX, 9), (0, 10), (one, PLACE)]
        {
            index.note(key, at);
        }
        index.note(one, PLACE + 1);
        index.complete();
        let places = |key| index.places(key).collect::<Vec<_>>();
        assert_eq!(places(one), [PLACE, 700, 0]);
        assert_eq!(places(two), places(one));
        assert_eq!((places(u64::MAX), places(0)), (vec![9], vec![10]));
        assert!(places(0x1234_0000_0000_0000).is_empty());
    }
}
