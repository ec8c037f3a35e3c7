//! The table of contents of a zipped file that is written plainly, as spreadsheet programs write it: one table, at the
//! very end, of parts that are stored or deflated. Source: APPNOTE.TXT, 4.3.7, 4.3.12, 4.3.16.

/// What a part's data, an entry of the table and the end of the table begin with.
const LOCAL: &[u8] = b"PK\x03\x04";
const ENTRY: &[u8] = b"PK\x01\x02";
const END: &[u8] = b"PK\x05\x06";
const LARGE_END: &[u8] = b"PK\x06\x07";

/// Bytes of each of them, names left out, and of the last.
const LOCAL_BYTES: usize = 30;
const ENTRY_BYTES: usize = 46;
const END_BYTES: usize = 22;
const LARGE_END_BYTES: usize = 20;

/// Flags that say nothing of how a part is to be read: how well it was deflated, that its sizes stand behind it too, that
/// its name is UTF-8.
const HARMLESS: u16 = 0x080e;

/// Entries that are looked through one by one for a name.
const MOST: usize = 500;

/// A part.
#[derive(Clone, Copy, Debug)]
pub(super) struct Entry<'a> {
    /// Its name as written.
    name: &'a str,
    /// Whether it is deflated; else it is stored as it is.
    pub(super) deflated: bool,
    /// The sum over its bytes.
    pub(super) sum: u32,
    /// How many bytes it is said to take, packed and unpacked.
    packed: usize,
    pub(super) size: usize,
    /// Where it begins.
    start: usize,
}

/// The table of contents.
#[derive(Debug)]
pub(super) struct Contents<'a>(Vec<Entry<'a>>);

impl<'a> Contents<'a> {
    /// Reads the table; `None` where anything about it is unusual.
    pub(super) fn of(bytes: &'a [u8]) -> Option<Self> {
        let end = bytes.len().checked_sub(END_BYTES)?;
        let last = &bytes[end..];
        let large = end.checked_sub(LARGE_END_BYTES).is_some_and(|at| bytes[at..].starts_with(LARGE_END));
        // On one disk, all entries, no comment.
        if !last.starts_with(END) || last[4..8] != [0; 4] || last[20..] != [0; 2] || large {
            return None;
        }
        let count = usize::from(short(last, 10)?);
        let (length, start) = (long(last, 12)?, long(last, 16)?);
        if short(last, 8) != short(last, 10) || count > MOST || start.checked_add(length)? != end {
            return None;
        }
        let mut entries = Vec::with_capacity(count);
        let mut rest = bytes.get(start..end)?;
        for _ in 0..count {
            let (entry, length) = Entry::of(rest)?;
            rest = &rest[length..];
            if entries.iter().any(|other: &Entry<'_>| other.name.eq_ignore_ascii_case(entry.name)) {
                return None;
            }
            entries.push(entry);
        }
        rest.is_empty().then_some(Self(entries))
    }

    /// The part with this name, whatever the case of its letters.
    pub(super) fn find(&self, name: &str) -> Option<&Entry<'a>> {
        self.0.iter().find(|entry| entry.name.eq_ignore_ascii_case(name))
    }
}

impl<'a> Entry<'a> {
    /// The entry that a table begins with, and its length.
    fn of(table: &'a [u8]) -> Option<(Self, usize)> {
        let method = short(table, 10)?;
        let name = table.get(ENTRY_BYTES..ENTRY_BYTES + usize::from(short(table, 28)?))?;
        let plain = |&byte: &u8| (b' '..=b'~').contains(&byte) && byte != b'\\';
        let (packed, size) = (long(table, 20)?, long(table, 24)?);
        let start = long(table, 42)?;
        // What stands in no four bytes stands elsewhere; so do extra fields and comments, which need not be known.
        let elsewhere = [packed, size, start].contains(&(u32::MAX as usize)) || table[30..36] != [0; 6];
        if !table.starts_with(ENTRY)
            || short(table, 8)? & !HARMLESS != 0
            || !matches!(method, 0 | 8)
            || elsewhere
            || !name.iter().all(plain)
            || name.starts_with(b"/")
        {
            return None;
        }
        let name = std::str::from_utf8(name).ok()?;
        let sum = u32::from_le_bytes(*table.get(16..)?.first_chunk()?);
        Some((Self { name, deflated: method == 8, sum, packed, size, start }, ENTRY_BYTES + name.len()))
    }

    /// The part as it lies in the file, packed.
    pub(super) fn packed(&self, bytes: &'a [u8]) -> Option<&'a [u8]> {
        let from = bytes.get(self.start..)?;
        if !from.starts_with(LOCAL) {
            return None;
        }
        // The name again, and fields that may differ from those in the table.
        let before = LOCAL_BYTES + usize::from(short(from, 26)?) + usize::from(short(from, 28)?);
        from.get(before..)?.get(..self.packed)
    }
}

fn short(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_le_bytes(*bytes.get(at..)?.first_chunk()?))
}

fn long(bytes: &[u8], at: usize) -> Option<usize> {
    usize::try_from(u32::from_le_bytes(*bytes.get(at..)?.first_chunk()?)).ok()
}
