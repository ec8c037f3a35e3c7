//! The run record, `.longhand-run`: what longhand wrote to a folder, so that it replaces its own files and no others.

use std::collections::{BTreeMap, BTreeSet};

/// The name of the record in its folder.
pub const FILE: &str = ".longhand-run";

const HEADING: &str = "\
# What longhand wrote to this folder. It replaces these files as long as they are as it left them;
# a file edited since is left alone. Each line: the file's BLAKE3 hash, two spaces, its path.
";

/// Hashes of the files longhand wrote, by path below the folder.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Record {
    files: BTreeMap<String, BTreeSet<String>>,
}

impl Record {
    /// Reads a record. Lines that are none are left aside: the files they meant count as the user's.
    pub fn parse(text: &str) -> Self {
        let mut record = Self::default();
        for line in text.lines().filter(|line| !line.starts_with('#')) {
            if let Some((hash, path)) = line.split_once("  ") {
                record.files.entry(unescaped(path)).or_default().insert(hash.to_owned());
            }
        }
        record
    }

    /// The text of the record.
    pub fn text(&self) -> String {
        let lines = self
            .files
            .iter()
            .flat_map(|(path, hashes)| hashes.iter().map(move |hash| format!("{hash}  {}\n", escaped(path))));
        HEADING.to_owned() + &lines.collect::<String>()
    }

    /// Whether a file with these bytes at this path is one longhand wrote.
    pub fn knows(&self, path: &str, bytes: &[u8]) -> bool {
        self.files.get(path).is_some_and(|hashes| hashes.contains(&hash(bytes)))
    }

    /// Notes that these bytes may stand at the path, beside what may stand there already.
    pub fn announce(&mut self, path: &str, bytes: &[u8]) {
        self.files.entry(path.to_owned()).or_default().insert(hash(bytes));
    }

    /// Notes that these bytes and no others stand at the path.
    pub fn settle(&mut self, path: &str, bytes: &[u8]) {
        self.files.insert(path.to_owned(), BTreeSet::from([hash(bytes)]));
    }
}

fn hash(bytes: &[u8]) -> String {
    blake3::hash(bytes).to_hex().to_string()
}

/// A path on one line, whatever letters it has.
fn escaped(path: &str) -> String {
    path.replace('\\', "\\\\").replace('\n', "\\n").replace('\r', "\\r")
}

fn unescaped(text: &str) -> String {
    let mut path = String::with_capacity(text.len());
    let mut letters = text.chars();
    while let Some(letter) = letters.next() {
        path.push(match (letter, letter == '\\') {
            (_, true) => match letters.next() {
                Some('n') => '\n',
                Some('r') => '\r',
                Some(other) => other,
                None => '\\',
            },
            (letter, false) => letter,
        });
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_is_read_back() {
        let mut record = Record::default();
        record.settle("lace/scarf.txt", b"rows");
        record.settle("odd\nname\\n.txt", b"rows");
        record.announce("lace/scarf.txt", b"other rows");
        let read = Record::parse(&record.text());
        assert_eq!(read, record);
        assert!(read.knows("lace/scarf.txt", b"rows") && read.knows("lace/scarf.txt", b"other rows"));
        assert!(!read.knows("lace/scarf.txt", b"edited") && !read.knows("scarf.txt", b"rows"));
    }

    #[test]
    fn damaged_lines_are_left_aside() {
        assert_eq!(Record::parse("nonsense\n\n# comment\n"), Record::default());
    }
}
