//! What a call has found in all, counted file by file. The findings themselves are only kept for a report.

use longhand::problem::{Code, Finding, Severity};

use super::call::Call;
use super::report::{Counts, number_of};
use super::status::Status;

/// What a call has found so far.
#[derive(Debug, Default)]
pub struct Tally {
    counts: Counts,
    /// The kind of the last finding of the worst severity.
    worst: Option<Code>,
    /// Files that could be read.
    read: usize,
    /// Files looked at.
    files: usize,
    /// Charts in them.
    charts: usize,
    strict: bool,
    /// Every finding in order, where a report wants them.
    kept: Option<Vec<Finding>>,
}

impl Tally {
    /// Nothing yet.
    pub fn of(call: &Call) -> Self {
        Self { strict: call.strict, kept: call.report.as_ref().map(|_| Vec::new()), ..Self::default() }
    }

    /// Counts a file and its charts.
    pub fn file(&mut self, read: bool, charts: usize) {
        self.files += 1;
        self.charts += charts;
        self.read += usize::from(read);
    }

    /// Counts findings.
    pub fn findings<'a>(&mut self, findings: impl IntoIterator<Item = &'a Finding>) {
        for finding in findings {
            self.counts.add(finding.severity());
            if self.worst.is_none_or(|worst| worst.severity() <= finding.severity()) {
                self.worst = Some(finding.code);
            }
            if let Some(kept) = &mut self.kept {
                kept.push(finding.clone());
            }
        }
    }

    /// How many files were looked at.
    pub fn files(&self) -> usize {
        self.files
    }

    /// How many charts there were in them.
    pub fn charts(&self) -> usize {
        self.charts
    }

    /// The findings kept for the report.
    pub fn kept(&self) -> Vec<&Finding> {
        self.kept.iter().flatten().collect()
    }

    /// The status it amounts to. Where nothing at all could be read the call failed; among others, an unreadable
    /// file is a finding.
    pub fn status(&self) -> Status {
        let any = self.counts != Counts::default();
        if self.read == 0 {
            Status::Failed
        } else if self.counts.errors > 0 || self.strict && any {
            Status::Wrong
        } else {
            Status::Well
        }
    }

    /// The closing line: what was looked at, and how many findings there are.
    pub fn closing(&self, files: usize, what: &str) -> String {
        let mut text = format!("{} read, {what}: {}.", number_of(files, "file"), self.counts.words());
        if let Some(worst) = self.worst.filter(|worst| worst.severity() > Severity::Note) {
            text.push_str(&format!(" `longhand explain {worst}` says more."));
        }
        text.push('\n');
        text
    }
}
