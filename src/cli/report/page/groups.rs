//! Findings grouped by problem and by file, the worst first.

use std::cmp::Reverse;
use std::collections::{BTreeMap, HashMap};

use longhand::problem::{Code, Finding};

use super::Counts;

/// The findings of a page, grouped both ways.
pub struct Groups<'a> {
    /// By problem: errors, warnings, notes; of each, what was found most often first.
    pub problems: Vec<ProblemGroup>,
    /// By file: what has most errors first, then most warnings, then most notes.
    pub files: Vec<FileGroup<'a>>,
}

/// The findings of one kind.
pub struct ProblemGroup {
    /// The kind.
    pub code: Code,
    /// Its files, the one with most of these findings first: the file's index, and where its findings stand in
    /// the call.
    pub files: Vec<(usize, Vec<usize>)>,
}

/// The findings in one file.
pub struct FileGroup<'a> {
    /// Its place among the files by name.
    pub index: usize,
    /// The file as findings name it.
    pub file: &'a str,
    /// How many there are of each severity.
    pub counts: Counts,
    /// How many there are of each kind, the worst first.
    pub problems: Vec<(Code, usize)>,
}

impl ProblemGroup {
    /// How many findings there are.
    pub fn count(&self) -> usize {
        self.files.iter().map(|(_, findings)| findings.len()).sum()
    }
}

impl<'a> Groups<'a> {
    /// Groups findings.
    pub fn of(findings: &[&'a Finding]) -> Self {
        let mut by_file: BTreeMap<&str, Vec<&Finding>> = BTreeMap::new();
        for &finding in findings {
            by_file.entry(&finding.place.file).or_default().push(finding);
        }
        let indexes: HashMap<&str, usize> =
            by_file.keys().enumerate().map(|(index, file)| (*file, index)).collect();
        let mut by_code: BTreeMap<Code, BTreeMap<usize, Vec<usize>>> = BTreeMap::new();
        for (at, finding) in findings.iter().enumerate() {
            let file = indexes.get(&*finding.place.file).copied().unwrap_or_default();
            by_code.entry(finding.code).or_default().entry(file).or_default().push(at);
        }
        let mut problems: Vec<ProblemGroup> = by_code
            .into_iter()
            .map(|(code, files)| {
                let mut files: Vec<(usize, Vec<usize>)> = files.into_iter().collect();
                files.sort_by_key(|(_, findings)| Reverse(findings.len()));
                ProblemGroup { code, files }
            })
            .collect();
        problems.sort_by_key(|group| (Reverse((group.code.severity(), group.count())), group.code.name()));
        let mut files: Vec<FileGroup> = by_file
            .into_iter()
            .enumerate()
            .map(|(index, (file, findings))| FileGroup::new(index, file, &findings))
            .collect();
        files.sort_by_key(|group| {
            let Counts { errors, warnings, notes } = group.counts;
            (Reverse((errors, warnings, notes)), group.index)
        });
        Self { problems, files }
    }
}

impl<'a> FileGroup<'a> {
    fn new(index: usize, file: &'a str, findings: &[&Finding]) -> Self {
        let mut codes: BTreeMap<Code, usize> = BTreeMap::new();
        for finding in findings {
            *codes.entry(finding.code).or_default() += 1;
        }
        let mut problems: Vec<(Code, usize)> = codes.into_iter().collect();
        problems.sort_by_key(|(code, count)| (Reverse((code.severity(), *count)), code.name()));
        Self { index, file, counts: Counts::of(findings.iter().copied()), problems }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use longhand::place::Place;

    use super::*;

    fn finding(code: Code, file: &str) -> Finding {
        Finding::new(code, Place::file(&Arc::from(file)), "")
    }

    /// The orders are those of the description of a report: errors, warnings, notes; then by number.
    #[test]
    fn the_worst_comes_first() {
        let findings = [
            finding(Code::NameAsSymbol, "many-notes.csv"),
            finding(Code::NameAsSymbol, "many-notes.csv"),
            finding(Code::UnusedKeyEntry, "slip.csv"),
            finding(Code::CountMismatch, "b.csv"),
            finding(Code::UnknownSymbol, "b.csv"),
            finding(Code::UnknownSymbol, "a.csv"),
            finding(Code::UnknownSymbol, "a.csv"),
        ];
        let groups = Groups::of(&findings.iter().collect::<Vec<_>>());
        let problems: Vec<(Code, usize)> =
            groups.problems.iter().map(|group| (group.code, group.count())).collect();
        assert_eq!(
            problems,
            [
                (Code::UnknownSymbol, 3),
                (Code::CountMismatch, 1),
                (Code::UnusedKeyEntry, 1),
                (Code::NameAsSymbol, 2)
            ]
        );
        // a.csv is file 0 and has two of them; b.csv is file 1.
        assert_eq!(groups.problems[0].files, [(0, vec![5, 6]), (1, vec![4])]);
        let files: Vec<&str> = groups.files.iter().map(|group| group.file).collect();
        assert_eq!(files, ["a.csv", "b.csv", "slip.csv", "many-notes.csv"]);
        assert_eq!(groups.files[1].problems, [(Code::CountMismatch, 1), (Code::UnknownSymbol, 1)]);
    }
}
