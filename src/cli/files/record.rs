//! The run record, `.longhand-run`: what longhand wrote to a folder, so that it replaces its own files and no others;
//! and what it was made of, so that nothing is made twice.
//!
//! One line a file that was written: its hash, two spaces, its path. One line of JSON an input: see [`Entry`]. A run
//! adds its lines as it goes and puts them in order when it ends, under a last line that holds the hash of all above;
//! a record without it is that of a run that was cut short.

use std::collections::HashSet;
use std::ffi::OsString;
use std::fmt::Write as _;
use std::fs::File;
use std::io;
use std::path::{Component, Path, PathBuf};

use super::entry::Entry;
use super::lines::Lines;

/// The name of the record in its folder.
pub const FILE: &str = ".longhand-run";

/// The lines a record begins with.
pub const HEADING: &str = "\
# What longhand wrote to this folder. It replaces these files as long as they are as it left them; a file edited since
# is left alone. A line for each: the file's BLAKE3 hash, two spaces, its path. A line in { } is what was read: as long
# as it, its settings and its results are the same it is not read again. Without this record all is made anew.
";

/// What the last line of a finished record begins with.
const END: &str = "# end ";

/// Hashes of the files longhand wrote, by path below the folder; each pair of them as one hash.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Record {
    files: HashSet<u128>,
}

/// A line of the record.
#[derive(Debug)]
pub enum Line<'a> {
    /// A file that was written.
    File {
        /// Its hash, in hexadecimal digits.
        hash: &'a str,
        /// Its path, as the record writes it.
        path: &'a str,
    },
    /// An input, and what became of it.
    Input(&'a str),
    /// The last line, with the hash of all lines above.
    End(&'a str),
    /// A remark, or nothing.
    Remark,
    /// No line of a record.
    Damaged,
}

impl<'a> Line<'a> {
    /// Tells what a line is. The lines of inputs are proved when they are read.
    pub fn of(line: &'a str) -> Self {
        if let Some(hash) = line.strip_prefix(END) {
            return Self::End(hash);
        }
        if line.is_empty() || line.starts_with('#') {
            return Self::Remark;
        }
        if line.starts_with('{') {
            return Self::Input(line);
        }
        match line.split_once("  ") {
            Some((hash, path)) if blake3::Hash::from_hex(hash).is_ok() && !path.is_empty() => {
                Self::File { hash, path }
            }
            _ => Self::Damaged,
        }
    }
}

/// In what state a record is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// Nothing in it is to be believed.
    Damaged,
    /// The last run ended.
    Finished,
    /// The last run was cut short: its lines begin at `from`.
    CutShort {
        /// The byte behind the last line that ended a run.
        from: u64,
    },
}

/// Reads the lines of a record, each with the byte it begins at, until one is damaged. A line whose end was never written
/// is left aside.
pub fn read(lines: &mut Lines, mut each: impl FnMut(u64, Line<'_>)) -> io::Result<State> {
    let mut hasher = blake3::Hasher::new();
    // Behind the last line that ended a run: the end of the record, where the last one did.
    let mut ended = 0;
    while let Some((at, line)) = lines.next()? {
        let Some(line) = line else { return Ok(State::Damaged) };
        match Line::of(line) {
            Line::End(hash) if hash != hasher.finalize().to_hex().as_str() => return Ok(State::Damaged),
            Line::End(_) => ended = at + line.len() as u64 + 1,
            Line::Input(line) if !Entry::proved(line) => return Ok(State::Damaged),
            Line::Damaged => return Ok(State::Damaged),
            told => each(at, told),
        }
        hasher.update(line.as_bytes()).update(b"\n");
    }
    Ok(if ended == lines.at() { State::Finished } else { State::CutShort { from: ended } })
}

impl Record {
    /// Reads a record; one that is damaged, or can't be read, says nothing.
    pub fn of(file: &File) -> Self {
        let mut record = Self::default();
        let state = Lines::of(file).and_then(|mut lines| {
            read(&mut lines, |_, line| {
                if let Line::File { hash, path } = line {
                    record.files.insert(pair(path, hash));
                }
            })
        });
        match state {
            Ok(State::Finished | State::CutShort { .. }) => record,
            Ok(State::Damaged) | Err(_) => Self::default(),
        }
    }

    /// Whether a file with these bytes at this path is one longhand wrote.
    pub fn knows(&self, path: &str, bytes: &[u8]) -> bool {
        self.files.contains(&pair(path, &hash(bytes)))
    }
}

/// Path and hash as one number: 128 bits of BLAKE3, which no two pairs share.
fn pair(path: &str, hash: &str) -> u128 {
    let mut hasher = blake3::Hasher::new();
    hasher.update(hash.as_bytes()).update(path.as_bytes());
    let mut bytes = [0; 16];
    hasher.finalize_xof().fill(&mut bytes);
    u128::from_le_bytes(bytes)
}

/// The hash of a file.
pub fn hash(bytes: &[u8]) -> String {
    blake3::hash(bytes).to_hex().to_string()
}

/// The line of a file.
pub fn file_line(hash: &str, path: &str) -> String {
    format!("{hash}  {path}\n")
}

/// The last line.
pub fn end_line(hash: &blake3::Hash) -> String {
    format!("{END}{}\n", hash.to_hex())
}

/// A path as the record writes it, on one line and the same on every system and from here (`.`) or not: `/` between its parts,
/// `\n`, `\r` and `\\` for those, `\xFF` for a byte that is no letter.
pub fn written(below: &Path) -> String {
    let mut text = String::with_capacity(below.as_os_str().len());
    let parts = below.components().filter(|part| *part != Component::CurDir);
    for (index, part) in parts.enumerate() {
        if index > 0 && text != "/" {
            text.push('/');
        }
        if part == Component::RootDir {
            text.push('/');
            continue;
        }
        for chunk in part.as_os_str().as_encoded_bytes().utf8_chunks() {
            let mut rest = chunk.valid();
            while let Some(at) = rest.find(['\\', '\n', '\r']) {
                let (plain, odd) = rest.split_at(at);
                text.push_str(plain);
                text.push_str(match odd.as_bytes() {
                    [b'\n', ..] => "\\n",
                    [b'\r', ..] => "\\r",
                    _ => "\\\\",
                });
                rest = odd.get(1..).unwrap_or_default();
            }
            text.push_str(rest);
            for byte in chunk.invalid() {
                let _ = write!(text, "\\x{byte:02X}");
            }
        }
    }
    text
}

/// The path that [`written`] wrote.
pub fn path(text: &str) -> PathBuf {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.as_bytes();
    while let [first, others @ ..] = rest {
        (rest, _) = match (first, others) {
            (b'\\', [b'n', after @ ..]) => (after, bytes.push(b'\n')),
            (b'\\', [b'r', after @ ..]) => (after, bytes.push(b'\r')),
            (b'\\', [b'x', high, low, after @ ..]) => {
                let digit = |digit: u8| char::from(digit).to_digit(16).unwrap_or_default();
                let byte = u8::try_from(digit(*high) * 16 + digit(*low)).unwrap_or_default();
                (after, bytes.push(byte))
            }
            (b'\\', [other, after @ ..]) => (after, bytes.push(*other)),
            (other, after) => (after, bytes.push(*other)),
        };
    }
    os_string(bytes).into()
}

#[cfg(unix)]
fn os_string(bytes: Vec<u8>) -> OsString {
    use std::os::unix::ffi::OsStringExt;
    OsString::from_vec(bytes)
}

#[cfg(not(unix))]
fn os_string(bytes: Vec<u8>) -> OsString {
    String::from_utf8_lossy(&bytes).into_owned().into()
}

#[cfg(test)]
mod tests {
    use std::io::Write as _;

    use super::*;

    fn record(text: &str) -> Record {
        let mut file = tempfile::tempfile().unwrap();
        file.write_all(text.as_bytes()).unwrap();
        Record::of(&file)
    }

    #[test]
    fn a_record_is_read_back() {
        let odd = written(Path::new("odd\nname\\n.txt"));
        let text = HEADING.to_owned()
            + &file_line(&hash(b"rows"), "lace/scarf.txt")
            + &file_line(&hash(b"other rows"), "lace/scarf.txt")
            + &file_line(&hash(b"rows"), &odd);
        let read = record(&text);
        assert!(read.knows("lace/scarf.txt", b"rows") && read.knows("lace/scarf.txt", b"other rows"));
        assert!(read.knows(&odd, b"rows"));
        assert!(!read.knows("lace/scarf.txt", b"edited") && !read.knows("scarf.txt", b"rows"));
    }

    #[test]
    fn a_damaged_record_makes_nothing_longhands_own() {
        assert_eq!(record("# comment\n\n"), Record::default());
        let sound = file_line(&hash(b"rows"), "scarf.txt");
        assert_ne!(record(&sound), Record::default());
        for damage in
            ["nonsense\n", "{\"input\":\"scarf.csv\"}\n", &sound[1..], &end_line(&blake3::hash(b""))]
        {
            assert_eq!(record(&(sound.clone() + damage)), Record::default(), "{damage}");
        }
        // A run that was cut short while it wrote a line.
        assert_eq!(record(&(sound.clone() + "{\"input\"")), record(&sound));
        let ended = sound.clone() + &end_line(&blake3::hash(sound.as_bytes()));
        assert_eq!(record(&ended), record(&sound));
    }

    #[test]
    fn paths_are_written_on_one_line_and_read_back() {
        for name in ["lace/scarf.txt", "odd\nname\\n\r.txt", "Ärmel  (neu) #2.txt", "\\x41", "/tmp/scarf.csv"]
        {
            let text = written(Path::new(name));
            assert!(!text.contains('\n'), "{text}");
            assert_eq!(path(&text), Path::new(name), "{text}");
        }
        assert_eq!(written(Path::new("a/b\\c")), if cfg!(windows) { "a/b/c" } else { "a/b\\\\c" });
    }

    #[cfg(unix)]
    #[test]
    fn names_that_are_no_letters_stay_apart() {
        use std::ffi::OsStr;
        use std::os::unix::ffi::OsStrExt;
        let [one, two] =
            [b"a\xff.txt", b"a\xfe.txt"].map(|name| Path::new(OsStr::from_bytes(name)).to_owned());
        assert_eq!(written(&one), "a\\xFF.txt");
        assert_ne!(written(&one), written(&two));
        assert_eq!(path(&written(&one)), one);
    }
}
