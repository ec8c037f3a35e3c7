//! Which texts are kept beside which charts: `scarf.txt` is that of `scarf.xlsx`.

use std::collections::HashMap;
use std::ffi::{OsStr, OsString};
use std::path::{Path, PathBuf};

use longhand::read::{Format, Holds};

use super::super::files;
use super::super::names::{StyleNames, Tail};

/// A text that is kept beside a chart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// Where it is.
    pub path: PathBuf,
    /// The letter of its chart, where its name says one: that of `scarf.B.txt` is B.
    pub letter: Option<String>,
}

/// The folders that charts and texts lie in.
pub struct Shelves {
    /// The names that a style may have in the name of a text.
    pub styles: StyleNames,
    /// The names of the files of each folder, in order.
    folders: HashMap<PathBuf, Vec<OsString>>,
}

impl Shelves {
    /// Folders not looked into yet; `styles` are those that texts may be written in.
    pub fn new(styles: StyleNames) -> Self {
        Self { styles, folders: HashMap::new() }
    }

    /// Looks into the folder of a file, where that was not done yet. What lies beside a file is only known of folders
    /// that were looked into.
    pub fn look_beside(&mut self, path: &Path) {
        let folder = folder(path);
        if !self.folders.contains_key(folder) {
            let paths = files::beside(folder);
            let mut names: Vec<OsString> =
                paths.iter().filter_map(|path| path.file_name()).map(OsStr::to_owned).collect();
            names.sort_by(|one, two| one.as_encoded_bytes().cmp(two.as_encoded_bytes()));
            self.folders.insert(folder.to_owned(), names);
        }
    }

    /// The files beside a chart whose names begin with its stem, itself among them: those of its texts do, and those of
    /// the charts that such a text might rather belong to.
    fn alike(&self, chart: &Path) -> &[OsString] {
        self.beginning(folder(chart), chart.file_stem().unwrap_or_default().as_encoded_bytes())
    }

    /// The files of a folder whose names begin so.
    fn beginning(&self, folder: &Path, stem: &[u8]) -> &[OsString] {
        let names = self.folders.get(folder).map_or(&[][..], |names| names);
        let first = names.partition_point(|name| name.as_encoded_bytes() < stem);
        let names = names.get(first..).unwrap_or_default();
        let count = names.partition_point(|name| name.as_encoded_bytes().starts_with(stem));
        names.get(..count).unwrap_or_default()
    }

    /// The texts kept beside a chart.
    pub fn texts_of(&self, chart: &Path) -> Vec<Kept> {
        let alike = self.alike(chart);
        let texts = alike.iter().filter(|name| holds(name) == Some(Holds::Lines));
        let own = name(chart);
        texts
            .filter_map(|text| {
                let said = said(&own, &text.to_string_lossy(), &self.styles)?;
                let mut charts = alike.iter().filter(|name| holds(name) == Some(Holds::Cells));
                let taken = charts.any(|other| self.is_nearer(other, text, said.length));
                (!taken).then(|| Kept { path: chart.with_file_name(text), letter: said.letter })
            })
            .collect()
    }

    /// Whether a text is rather that of another chart, whose name it has more of: `scarf.A.txt` is that of
    /// `scarf.A.csv`, where that is there, not of `scarf.xlsx`.
    fn is_nearer(&self, other: &OsStr, text: &OsStr, length: usize) -> bool {
        said(&other.to_string_lossy(), &text.to_string_lossy(), &self.styles)
            .is_some_and(|said| said.length > length)
    }

    /// The charts that a text is kept beside.
    pub fn charts_of(&mut self, text: &Path) -> Vec<PathBuf> {
        self.look_beside(text);
        let Some(text) = self.as_it_stands(text) else { return Vec::new() };
        let own = name(&text);
        // A chart that it is kept beside has all of its name up to a letter and a style.
        let stem = own.rsplit_once('.').map_or(&*own, |(stem, _)| stem);
        let stem = Tail::cut(stem, &self.styles).0;
        let charts = self.beginning(folder(&text), stem.as_bytes()).iter();
        let charts = charts.filter(|chart| said(&chart.to_string_lossy(), &own, &self.styles).is_some());
        let charts =
            charts.map(|name| text.with_file_name(name)).filter(|path| match holds(path.as_os_str()) {
                Some(Holds::Cells) => true,
                Some(Holds::Pattern) => files::speaks_of_a_pattern(path),
                _ => false,
            });
        charts.filter(|chart| self.texts_of(chart).iter().any(|kept| kept.path == text)).collect()
    }

    /// The path of a text under the name by which its folder lists it: on some disks it may be called otherwise.
    fn as_it_stands(&self, text: &Path) -> Option<PathBuf> {
        let own = text.file_name()?;
        let listed = |name: &OsStr| {
            let names = self.folders.get(folder(text))?;
            names.binary_search_by(|other| other.as_encoded_bytes().cmp(name.as_encoded_bytes())).ok()
        };
        if listed(own).is_some() {
            return Some(text.to_owned());
        }
        let real = files::true_path(text);
        let name = real.file_name().filter(|name| listed(name).is_some())?;
        Some(text.with_file_name(name))
    }

    /// The path that the approved text of a chart is written to: with the chart's own ending where another chart
    /// of the folder has the same name.
    pub fn approved(&self, chart: &Path) -> PathBuf {
        let (stem, own) = (chart.file_stem().unwrap_or_default(), chart.file_name().unwrap_or_default());
        let alike = self.alike(chart).iter().any(|other| {
            Path::new(other).file_stem() == Some(stem)
                && holds(other) == Some(Holds::Cells)
                && !files::same(&chart.with_file_name(other), chart)
        });
        let mut name = if alike { own } else { stem }.to_owned();
        name.push(".txt");
        chart.with_file_name(name)
    }
}

fn folder(path: &Path) -> &Path {
    path.parent().unwrap_or(Path::new(""))
}

fn name(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

fn holds(name: &OsStr) -> Option<Holds> {
    Format::by_ending(&name.to_string_lossy()).map(Format::holds)
}

/// What the name of a text says beside that of its chart.
struct Said {
    letter: Option<String>,
    /// How much of the chart's name it has, in bytes.
    length: usize,
}

/// `scarf.txt`, `scarf.B.txt`, `scarf.uk.txt`, `scarf.B.uk.txt` and `scarf.xlsx.txt` are those of `scarf.xlsx`.
fn said(chart: &str, text: &str, styles: &StyleNames) -> Option<Said> {
    let text = text.rsplit_once('.')?.0;
    let stem = chart.rsplit_once('.').map_or(chart, |(stem, _)| stem);
    [chart, stem].into_iter().find_map(|start| {
        let tail = Tail::of(text.strip_prefix(start)?, styles)?;
        Some(Said { letter: tail.letter.map(str::to_owned), length: start.len() })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The names are those that `longhand write` gives, as the contract of names has them.
    #[test]
    fn names_tell_charts_and_styles() {
        let styles = StyleNames::built_in();
        for (chart, text, letter) in [
            ("scarf.xlsx", "scarf.txt", Some(None)),
            ("scarf.xlsx", "scarf.docx", Some(None)),
            ("scarf.xlsx", "scarf.xlsx.md", Some(None)),
            ("scarf.v2.ods", "scarf.v2.txt", Some(None)),
            ("scarf.xlsx", "scarf.uk.txt", Some(None)),
            ("scarf.xlsx", "scarf.B.txt", Some(Some("B"))),
            ("scarf.xlsx", "scarf.AA.spelled-out.html", Some(Some("AA"))),
            ("scarf.xlsx", "scarf.xlsx.B.txt", Some(Some("B"))),
            ("scarf.xlsx", "scarf.csv.txt", None),
            ("scarf.xlsx", "scarf.notes.txt", None),
            ("scarf.xlsx", "scarf2.txt", None),
            ("scarf.xlsx", "scar.txt", None),
            ("scarf.xlsx", "scarf.uk.B.txt", None),
            ("scarf.xlsx", "scarf..txt", None),
        ] {
            let said = said(chart, text, &styles).map(|said| said.letter);
            assert_eq!(said, letter.map(|letter| letter.map(str::to_owned)), "{chart} {text}");
        }
    }
}
