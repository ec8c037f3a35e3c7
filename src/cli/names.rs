//! The names of results: `stem[.CHART][.STYLE].ending` below the folder of results.

mod tail;

use std::collections::{HashMap, HashSet};
use std::ffi::{OsStr, OsString};
use std::path::{Path, PathBuf};

pub use tail::{StyleNames, Tail};

/// A result to be named.
#[derive(Clone, Copy, Debug)]
pub struct Wanted<'a> {
    /// The file it comes from, with the folders below a folder argument.
    pub below: &'a Path,
    /// The number of the input among the inputs of the call.
    pub input: usize,
    /// The letter of the chart, where its file has several.
    pub chart: Option<&'a str>,
    /// The name of the style, where there are several.
    pub style: Option<&'a str>,
    /// The ending, without its point.
    pub ending: &'a str,
}

/// What the disk makes of names.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Disk {
    /// Names that differ in case alone are one; so does Windows, which may read such a disk and has rules of its own.
    pub folds_case: bool,
}

impl Disk {
    fn like_windows(self) -> bool {
        self.folds_case || cfg!(windows)
    }
}

/// The longest name that every usual file system takes, in bytes.
const LONGEST: usize = 255;

/// Names for results, each its own. Inputs of one folder that share their stem keep their ending, `scarf.xlsx.txt`;
/// so do inputs whose results still share a name. Where not even that tells them apart, they are numbered.
pub fn names(inputs: &[&Path], wanted: &[Wanted], disk: Disk) -> Vec<PathBuf> {
    // Most files have one result, and share their stem with no other.
    if let ([_], [only]) = (inputs, wanted) {
        return vec![name(only, false, disk)];
    }
    let mut keep = alike(inputs.iter().map(|below| below.with_file_name(stem(below))), disk);
    loop {
        let names: Vec<PathBuf> = wanted
            .iter()
            .map(|result| name(result, keep.get(result.input).copied().unwrap_or(false), disk))
            .collect();
        let again = alike(names.iter().cloned(), disk);
        let mut changed = false;
        for (result, again) in wanted.iter().zip(&again) {
            if let Some(keep) = keep.get_mut(result.input).filter(|keep| *again && !**keep) {
                *keep = true;
                changed = true;
            }
        }
        if !changed {
            return numbered(names, disk);
        }
    }
}

/// Which of some paths stand there more than once.
fn alike(paths: impl Iterator<Item = PathBuf>, disk: Disk) -> Vec<bool> {
    let keys: Vec<OsString> = paths.map(|path| folded(&path, disk)).collect();
    let mut times: HashMap<&OsString, usize> = HashMap::with_capacity(keys.len());
    for key in &keys {
        *times.entry(key).or_default() += 1;
    }
    keys.iter().map(|key| times.get(key).is_some_and(|&times| times > 1)).collect()
}

/// A path as the disk tells names apart: on some, case does not matter.
fn folded(path: &Path, disk: Disk) -> OsString {
    if disk.like_windows() || cfg!(target_os = "macos") {
        path.to_string_lossy().to_lowercase().into()
    } else {
        path.as_os_str().to_owned()
    }
}

fn stem(below: &Path) -> &OsStr {
    below.file_stem().unwrap_or(OsStr::new("chart"))
}

fn name(result: &Wanted, keep_ending: bool, disk: Disk) -> PathBuf {
    let stem = if keep_ending { result.below.file_name() } else { None }.unwrap_or(stem(result.below));
    let mut tail = String::new();
    for part in [result.chart, result.style].into_iter().flatten() {
        tail.push('.');
        tail.push_str(&plain(part));
    }
    tail.push('.');
    tail.push_str(result.ending);
    let name = result.below.with_file_name(joined(stem, &tail, disk));
    if disk.like_windows() { harmless(&name) } else { name }
}

/// Folder and stem of what the results of an input are called, as the disk with the most rules of its own takes them, and
/// without regard to case: inputs that differ here share no names on any disk.
pub fn widest(below: &Path) -> (String, String) {
    let result = Wanted { below, input: 0, chart: None, style: None, ending: "txt" };
    let name = name(&result, false, Disk { folds_case: true });
    let text = |part: Option<&OsStr>| part.unwrap_or_default().to_string_lossy().to_lowercase();
    (text(name.parent().map(Path::as_os_str)), text(name.file_stem()))
}

/// A path each part of which such a disk, and Windows, takes: without the letters it forbids and without points and
/// spaces at the end.
fn harmless(below: &Path) -> PathBuf {
    let is_bad =
        |c: char| c.is_control() || matches!(c, '<' | '>' | ':' | '"' | '/' | '\\' | '|' | '?' | '*');
    let part = |part: &OsStr| {
        let is_good =
            |text: &str| !text.contains(is_bad) && !text.ends_with(['.', ' ']) && !is_reserved(part);
        if part.to_str().is_some_and(is_good) {
            return part.to_owned();
        }
        let mut name: String =
            part.to_string_lossy().chars().map(|c| if is_bad(c) { '-' } else { c }).collect();
        while name.ends_with(['.', ' ']) {
            name.pop();
            name.push('-');
        }
        if is_reserved(OsStr::new(&name)) {
            name.push('-');
        }
        name.into()
    };
    below.iter().map(part).collect()
}

/// A part of a name without what would make a path of it: a user's style may be called anything.
fn plain(part: &str) -> String {
    part.chars().map(|c| if c.is_alphanumeric() || "-_ ".contains(c) { c } else { '-' }).collect()
}

/// Stem and tail, the stem cut where the name would be too long for a file.
fn joined(stem: &OsStr, tail: &str, disk: Disk) -> OsString {
    let mut stem = stem.to_owned();
    if disk.like_windows() && is_reserved(&stem) {
        stem.push("-chart");
    }
    if stem.len() + tail.len() > LONGEST {
        let mut text = stem.to_string_lossy().into_owned();
        while text.len() + tail.len() > LONGEST && text.pop().is_some() {}
        stem = text.into();
    }
    stem.push(tail);
    stem
}

/// Names that Windows keeps for devices, whatever follows their first point.
fn is_reserved(stem: &OsStr) -> bool {
    let name = stem.as_encoded_bytes();
    let name = name.split(|byte| *byte == b'.').next().unwrap_or_default().trim_ascii_end();
    let is = |reserved: &[u8]| name.eq_ignore_ascii_case(reserved);
    match name {
        [_, _, _] => is(b"con") || is(b"prn") || is(b"aux") || is(b"nul"),
        [port @ .., digit] => {
            digit.is_ascii_digit() && (port.eq_ignore_ascii_case(b"com") || port.eq_ignore_ascii_case(b"lpt"))
        }
        [] => false,
    }
}

/// Numbers what still shares a name: `scarf.txt`, `scarf.2.txt`.
fn numbered(names: Vec<PathBuf>, disk: Disk) -> Vec<PathBuf> {
    let all: HashSet<OsString> = names.iter().map(|name| folded(name, disk)).collect();
    let mut given = HashSet::new();
    let free = |name: PathBuf, given: &mut HashSet<OsString>| -> PathBuf {
        if given.insert(folded(&name, disk)) {
            return name;
        }
        let ending =
            name.extension().map(|ending| format!(".{}", ending.to_string_lossy())).unwrap_or_default();
        let mut number = 2u32;
        loop {
            let own = name.with_file_name(joined(stem(&name), &format!(".{number}{ending}"), disk));
            if !all.contains(&folded(&own, disk)) && given.insert(folded(&own, disk)) {
                return own;
            }
            number += 1;
        }
    };
    names.into_iter().map(|name| free(name, &mut given)).collect()
}

#[cfg(test)]
mod tests {
    use std::path::MAIN_SEPARATOR;

    use super::*;

    fn one(below: &'static str, input: usize, chart: Option<&'static str>) -> Wanted<'static> {
        Wanted { below: Path::new(below), input, chart, style: None, ending: "txt" }
    }

    fn named(wanted: &[Wanted]) -> Vec<String> {
        let count = wanted.iter().map(|result| result.input + 1).max().unwrap_or_default();
        let inputs: Vec<&Path> = (0..count)
            .map(|input| wanted.iter().find(|result| result.input == input).unwrap().below)
            .collect();
        let names = names(&inputs, wanted, Disk::default());
        names.iter().map(|name| name.to_str().unwrap().replace(MAIN_SEPARATOR, "/")).collect()
    }

    #[test]
    fn charts_and_styles_stand_in_names_where_there_are_several() {
        assert_eq!(named(&[one("scarf.xlsx", 0, None)]), ["scarf.txt"]);
        assert_eq!(named(&[one("lace/scarf.v2.ods", 0, Some("AA"))]), ["lace/scarf.v2.AA.txt"]);
        let styled = Wanted { style: Some("uk"), ..one("scarf.xlsx", 0, Some("A")) };
        assert_eq!(named(&[styled]), ["scarf.A.uk.txt"]);
    }

    #[test]
    fn inputs_with_one_stem_keep_their_endings() {
        assert_eq!(
            named(&[one("scarf.xlsx", 0, None), one("scarf.csv", 1, None), one("lace/scarf.csv", 2, None)]),
            ["scarf.xlsx.txt", "scarf.csv.txt", "lace/scarf.txt"]
        );
        assert_eq!(
            named(&[
                one("scarf.xlsx", 0, Some("A")),
                one("scarf.xlsx", 0, Some("B")),
                one("scarf.A.csv", 1, None)
            ]),
            ["scarf.xlsx.A.txt", "scarf.xlsx.B.txt", "scarf.A.csv.txt"]
        );
    }

    #[test]
    fn no_two_results_share_a_name() {
        assert_eq!(
            named(&[one("scarf.csv", 0, None), one("scarf.csv", 1, None), one("scarf.csv.2.txt", 2, None)]),
            ["scarf.csv.txt", "scarf.csv.3.txt", "scarf.csv.2.txt"]
        );
    }

    #[test]
    fn names_fit_a_disk_that_folds_case() {
        let (one, two) = (one("Lace./a?.csv", 0, None), one("lace./A?.xlsx", 1, None));
        let on = |folds_case| names(&[one.below, two.below], &[one, two], Disk { folds_case });
        if !cfg!(any(windows, target_os = "macos")) {
            assert_eq!(on(false), [Path::new("Lace./a?.txt"), Path::new("lace./A?.txt")]);
        }
        assert_eq!(on(true), [Path::new("Lace-/a-.csv.txt"), Path::new("lace-/A-.xlsx.txt")]);
        let odd = Wanted { below: Path::new("aux/nul.csv"), ..one };
        let names = names(&[odd.below], &[odd], Disk { folds_case: true });
        assert_eq!(names, [Path::new("aux-/nul-chart.txt")]);
    }

    #[test]
    fn odd_names_make_good_ones() {
        assert_eq!(named(&[one(".csv", 0, None)]), [".csv.txt"]);
        assert_eq!(named(&[one("scarf", 0, None)]), ["scarf.txt"]);
        let styled = Wanted { style: Some("../../etc"), ..one("scarf.xlsx", 0, None) };
        assert_eq!(named(&[styled]), ["scarf.------etc.txt"]);
        let long = "é".repeat(125) + ".csv";
        let below: &'static str = long.leak();
        assert_eq!(named(&[one(below, 0, Some("A"))]), ["é".repeat(124) + ".A.txt"]);
        assert!(is_reserved(OsStr::new("aux.lace")) && is_reserved(OsStr::new("Com1")));
        assert!(!is_reserved(OsStr::new("comet")));
    }
}
