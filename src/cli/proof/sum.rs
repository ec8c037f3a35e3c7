//! What a proof comes to in all, counted file by file.

use std::collections::BTreeMap;

use longhand::problem::Code;

use super::super::call::Call;
use super::super::report::{self, number_of};
use super::super::run::Done;
use super::file::Proved;
use super::plan::Plan;

/// What a proof has come to so far.
#[derive(Default)]
pub(super) struct Sum {
    charts: usize,
    read_back: usize,
    texts: usize,
    agree: usize,
    approved: usize,
    /// The names of the styles that charts were proved in, in the order they were met.
    styles: Vec<String>,
    /// How the charts were read, where something had to be assumed and was not told with its file.
    assumed: BTreeMap<Code, usize>,
}

impl Sum {
    /// Counts a file.
    pub fn add(&mut self, call: &Call, plan: &Plan, done: &Done<Proved>) {
        let made = &done.made;
        self.charts += made.charts;
        self.read_back += made.read_back;
        self.texts += made.texts.len();
        self.agree += made.texts.iter().filter(|text| text.agrees).count();
        self.approved += usize::from(made.approved.is_some());
        for style in plan.styles.iter().filter(|_| !plan.alone) {
            if !self.styles.contains(&style.name) {
                self.styles.push(style.name.clone());
            }
        }
        let unsaid = |code| matches!(code, Code::NoApprovedText | Code::NoChartBeside | Code::NoRows);
        for finding in
            done.findings().filter(|finding| !super::is_shown(call, done, finding) && !unsaid(finding.code))
        {
            *self.assumed.entry(finding.code).or_default() += 1;
        }
    }

    /// The texts that were held against charts.
    pub fn texts(&self) -> usize {
        self.texts
    }

    /// How the charts were read, where something had to be assumed.
    pub fn assumed(&self) -> String {
        report::noted(&self.assumed)
    }

    /// "27 of 27 charts read back in 6 styles, 12 of 13 approved texts agree".
    pub fn words(&self) -> String {
        let styles = match &self.styles[..] {
            [] => String::new(),
            [one] => format!(" in the style {one}"),
            [one, two] => format!(" in the styles {one} and {two}"),
            many => format!(" in {}", number_of(many.len(), "style")),
        };
        let mut words =
            format!("{} of {} read back{styles}", self.read_back, number_of(self.charts, "chart"));
        if self.texts > 0 {
            words.push_str(&format!(", {} of {} agree", self.agree, number_of(self.texts, "approved text")));
        }
        if self.approved > 0 {
            words.push_str(&format!(", {} written", number_of(self.approved, "text")));
        }
        words
    }
}
