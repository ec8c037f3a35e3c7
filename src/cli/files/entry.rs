//! What the run record remembers of an input: as it was, what governed it, what became of it.

use std::borrow::Cow;
use std::fs::Metadata;
use std::sync::LazyLock;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use longhand::problem::Finding;
use serde::{Deserialize, Serialize};

use super::finding::KeptFinding;

/// An input of an earlier run.
#[derive(Clone, Debug, Deserialize, Serialize)]
pub struct Entry {
    /// Its path as it was given.
    pub input: String,
    /// The folder that the call was made from, by its hash: paths are seen from there.
    #[serde(default)]
    pub from: String,
    /// The state of the file when it was read.
    #[serde(flatten)]
    pub stamp: Stamp,
    /// The hash of its bytes.
    pub content: String,
    /// The hash of all that governed it: settings, styles, options, the program.
    pub rules: String,
    /// How many charts it holds.
    pub charts: usize,
    /// The files that were made of it.
    pub results: Vec<Result>,
    /// Files that other calls made of it as it is, in other formats or styles, and that stand there still.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub besides: Vec<Result>,
    /// Files that were made of an earlier state of it and stand there still.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub left: Vec<Result>,
    /// What was found in it.
    pub findings: Vec<KeptFinding>,
}

/// A file that was made.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, Serialize)]
pub struct Result {
    /// Its path below the folder.
    pub path: String,
    /// Its hash.
    pub hash: String,
    /// Its state.
    #[serde(flatten)]
    pub stamp: Stamp,
}

/// What a line of the record says of a file that was made: enough to find it again.
#[derive(Debug, Deserialize)]
pub struct NamedResult<'a> {
    /// Its path below the folder.
    #[serde(borrow)]
    pub path: Cow<'a, str>,
    /// Its hash.
    #[serde(borrow)]
    pub hash: Cow<'a, str>,
}

/// The state of a file by which a change of it is noticed without reading it.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, Serialize)]
pub struct Stamp {
    /// Its bytes.
    pub size: u64,
    /// When its bytes last changed, and when anything of it did, in seconds since 1970. `None` where that was so
    /// short a time ago, or lies ahead, that another change might bear the same time.
    pub modified: Option<String>,
}

/// Times of file systems are this coarse (two seconds, on memory cards): a change within it may not show.
const COARSE: Duration = Duration::from_secs(2);

impl Stamp {
    /// The state of a file, as seen now.
    pub fn of(metadata: &Metadata) -> Self {
        let settled = |time: SystemTime| SystemTime::now().duration_since(time).is_ok_and(|age| age > COARSE);
        let times = times(metadata).filter(|times| times.iter().all(|time| settled(*time)));
        Self { size: metadata.len(), modified: times.map(|times| shown(&times)) }
    }

    /// The state of a file that longhand has just written itself.
    pub fn of_own(metadata: &Metadata) -> Self {
        let modified = metadata.modified().ok().map(|time| shown(&[time]));
        Self { size: metadata.len(), modified }
    }

    /// Whether a file is, by all signs, as it was.
    pub fn is_same(&self, metadata: &Metadata) -> bool {
        self.modified.is_some()
            && self.size == metadata.len()
            && (times(metadata).is_some_and(|times| Some(shown(&times)) == self.modified)
                || Self::of_own(metadata).modified == self.modified)
    }
}

/// When the bytes of a file changed, and when anything of it did, its name and rights too, where the system tells.
#[cfg(unix)]
fn times(metadata: &Metadata) -> Option<[SystemTime; 2]> {
    use std::os::unix::fs::MetadataExt;
    let seconds = Duration::from_secs(u64::try_from(metadata.ctime()).ok()?);
    let nanos = Duration::from_nanos(u64::try_from(metadata.ctime_nsec()).ok()?);
    Some([metadata.modified().ok()?, UNIX_EPOCH + seconds + nanos])
}

#[cfg(not(unix))]
fn times(metadata: &Metadata) -> Option<[SystemTime; 1]> {
    Some([metadata.modified().ok()?])
}

fn shown(times: &[SystemTime]) -> String {
    let one = |time: &SystemTime| match time.duration_since(UNIX_EPOCH) {
        Ok(since) => format!("{}.{:09}", since.as_secs(), since.subsec_nanos()),
        Err(before) => format!("-{:?}", before.duration()),
    };
    times.iter().map(one).collect::<Vec<_>>().join(" ")
}

/// The folder that this call is made from, by its hash.
pub fn here() -> &'static str {
    static HERE: LazyLock<String> = LazyLock::new(|| {
        let folder = std::env::current_dir().unwrap_or_default();
        let hash = blake3::hash(folder.as_os_str().as_encoded_bytes()).to_hex();
        hash.as_str().get(..16).unwrap_or_default().to_owned()
    });
    &HERE
}

impl Entry {
    /// The entry of a line; `None` where the line is damaged.
    pub fn parse(line: &str) -> Option<Self> {
        Self::proved(line).then(|| serde_json::from_str(line).ok())?
    }

    /// The files that the line of an entry names. The line is believed: who asks has just written it.
    pub fn results(line: &str) -> Option<Vec<NamedResult<'_>>> {
        #[derive(Deserialize)]
        struct Named<'a> {
            #[serde(borrow)]
            results: Vec<NamedResult<'a>>,
        }
        serde_json::from_str(line).ok().map(|Named { results }| results)
    }

    /// Whether a line is as it was written: it ends with a hash of itself.
    pub fn proved(line: &str) -> bool {
        let Some((above, check)) = line.rsplit_once(CHECK) else { return false };
        check.strip_suffix("\"}").is_some_and(|check| check == self::check(above))
    }

    /// The line of the entry.
    pub fn line(&self) -> String {
        let mut line = serde_json::to_string(self).unwrap_or_default();
        line.pop();
        let check = check(&line);
        line + CHECK + &check + "\"}\n"
    }

    /// All files that were made of the input, whenever that was.
    pub fn made(&self) -> impl Iterator<Item = &Result> {
        self.results.iter().chain(&self.besides).chain(&self.left)
    }

    /// What was found in the input.
    pub fn findings(&self) -> Option<Vec<Finding>> {
        self.findings.iter().map(KeptFinding::finding).collect()
    }
}

const CHECK: &str = ",\"check\":\"";

fn check(above: &str) -> String {
    let hash = blake3::hash(above.as_bytes()).to_hex();
    hash.as_str().get(..16).unwrap_or_default().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry() -> Entry {
        let stamp = Stamp { size: 21, modified: Some("1700000000.000000001".to_owned()) };
        let result = Result { path: "scarf.txt".to_owned(), hash: "ab".to_owned(), stamp: stamp.clone() };
        Entry {
            input: "in/scarf.csv".to_owned(),
            from: String::new(),
            stamp,
            content: "cd".to_owned(),
            rules: "ef".to_owned(),
            charts: 1,
            results: vec![result],
            besides: Vec::new(),
            left: Vec::new(),
            findings: Vec::new(),
        }
    }

    #[test]
    fn an_entry_is_read_back() {
        let line = entry().line();
        let read = Entry::parse(line.trim_end()).unwrap();
        assert_eq!(read.line(), line);
        assert_eq!(read.results, entry().results);
    }

    #[test]
    fn any_changed_letter_is_noticed() {
        let line = entry().line();
        let line = line.trim_end();
        for at in 0..line.len() {
            let mut other = line.to_owned();
            other.replace_range(at..=at, if &line[at..=at] == "7" { "8" } else { "7" });
            assert!(Entry::parse(&other).is_none(), "{other}");
            assert!(Entry::parse(&line[..at]).is_none());
        }
    }

    /// A file may change again within the same tick of its clock.
    #[test]
    fn a_fresh_file_is_not_known_by_its_time() {
        let file = tempfile::NamedTempFile::new().unwrap();
        let fresh = file.as_file().metadata().unwrap();
        let stamp = Stamp::of(&fresh);
        assert_eq!((stamp.size, stamp.is_same(&fresh)), (0, false));
        assert!(Stamp::of_own(&fresh).is_same(&fresh));
    }
}
