//! Which texts are kept beside which charts: `scarf.txt` is that of `scarf.xlsx`.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use longhand::read::{Format, Holds};

use super::super::files;

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
    styles: Vec<String>,
    folders: HashMap<PathBuf, Vec<PathBuf>>,
}

impl Shelves {
    /// Folders not looked into yet; `styles` are those that texts may be written in.
    pub fn new(styles: Vec<String>) -> Self {
        Self { styles, folders: HashMap::new() }
    }

    /// Another style that a text may be named after.
    pub fn know(&mut self, style: &str) {
        if !self.styles.iter().any(|known| known == style) {
            self.styles.push(style.to_owned());
        }
    }

    fn folder(&mut self, path: &Path) -> Vec<PathBuf> {
        let folder = path.parent().unwrap_or(Path::new(""));
        self.folders.entry(folder.to_owned()).or_insert_with(|| files::beside(folder)).clone()
    }

    /// The texts kept beside a chart.
    pub fn texts_of(&mut self, chart: &Path) -> Vec<Kept> {
        let all = self.folder(chart);
        let texts = all.iter().filter(|path| holds(path) == Some(Holds::Lines));
        texts
            .filter_map(|text| {
                let said = said(&name(chart), &name(text), &self.styles)?;
                let nearer = |other: &&PathBuf| self.nearer(other, text, said.length);
                let taken = all.iter().filter(|path| holds(path) == Some(Holds::Cells)).any(|o| nearer(&o));
                (!taken).then(|| Kept { path: text.clone(), letter: said.letter })
            })
            .collect()
    }

    /// Whether a text is rather that of another chart, whose name it has more of: `scarf.A.txt` is that of
    /// `scarf.A.csv`, where that is there, not of `scarf.xlsx`.
    fn nearer(&self, other: &Path, text: &Path, length: usize) -> bool {
        said(&name(other), &name(text), &self.styles).is_some_and(|said| said.length > length)
    }

    /// The charts that a text is kept beside.
    pub fn charts_of(&mut self, text: &Path) -> Vec<PathBuf> {
        let charts = self.folder(text).into_iter().filter(|path| match holds(path) {
            Some(Holds::Cells) => true,
            Some(Holds::Pattern) => files::speaks_of_a_pattern(path),
            _ => false,
        });
        charts.filter(|chart| self.texts_of(chart).iter().any(|kept| files::same(&kept.path, text))).collect()
    }

    /// The path that the approved text of a chart is written to: with the chart's own ending where another chart
    /// of the folder has the same name.
    pub fn approved(&mut self, chart: &Path) -> PathBuf {
        let stem = chart.file_stem().unwrap_or_default();
        let alike = self.folder(chart).iter().any(|other| {
            other.file_stem() == Some(stem)
                && holds(other) == Some(Holds::Cells)
                && !files::same(other, chart)
        });
        let mut name = if alike { chart.file_name().unwrap_or_default() } else { stem }.to_owned();
        name.push(".txt");
        chart.with_file_name(name)
    }
}

fn name(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

fn holds(path: &Path) -> Option<Holds> {
    Format::by_ending(&name(path)).map(Format::holds)
}

/// What the name of a text says beside that of its chart.
struct Said {
    letter: Option<String>,
    /// How much of the chart's name it has, in bytes.
    length: usize,
}

/// `scarf.txt`, `scarf.B.txt`, `scarf.uk.txt`, `scarf.B.uk.txt` and `scarf.xlsx.txt` are those of `scarf.xlsx`.
fn said(chart: &str, text: &str, styles: &[String]) -> Option<Said> {
    let text = text.rsplit_once('.')?.0;
    let stem = chart.rsplit_once('.').map_or(chart, |(stem, _)| stem);
    let after = |start: &str| match text.strip_prefix(start)? {
        "" => Some(Vec::new()),
        rest => Some(rest.strip_prefix('.')?.split('.').collect::<Vec<_>>()),
    };
    let is_letter = |part: &&str| part.len() <= 2 && part.chars().all(|c| c.is_ascii_uppercase());
    let is_style = |part: &&str| styles.iter().any(|style| style == part);
    [chart, stem].into_iter().find_map(|start| {
        let length = start.len();
        match after(start)?[..] {
            [] => Some(Said { letter: None, length }),
            [style] if is_style(&style) => Some(Said { letter: None, length }),
            [letter] if is_letter(&letter) => Some(Said { letter: Some(letter.to_owned()), length }),
            [letter, style] if is_letter(&letter) && is_style(&style) => {
                Some(Said { letter: Some(letter.to_owned()), length })
            }
            _ => None,
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The names are those that `longhand write` gives, as the contract of names has them.
    #[test]
    fn names_tell_charts_and_styles() {
        let styles = ["uk".to_owned(), "spelled-out".to_owned()];
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
        ] {
            let said = said(chart, text, &styles).map(|said| said.letter);
            assert_eq!(said, letter.map(|letter| letter.map(str::to_owned)), "{chart} {text}");
        }
    }
}
