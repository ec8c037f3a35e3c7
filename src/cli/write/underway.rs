//! Inputs on their way to results. Those of some groups go through each step together, so that what a step runs
//! through stays in the caches of the processor from one input to the next: a whole chart needs more than they hold.

use std::mem;
use std::path::Path;
use std::sync::Arc;

use longhand::convert::Charts;
use longhand::problem::Finding;

use super::super::call::Call;
use super::super::failure::Failure;
use super::super::files::{Entry, KeptFinding, Stamp};
use super::super::run;
use super::super::tasks::Task;
use super::plan::Plans;
use super::results::{Made, results};

/// An input, done.
#[derive(Default)]
pub struct Outcome {
    /// The file, as findings name it.
    pub file: Arc<str>,
    /// What was found, in the file and in each chart.
    pub findings: Vec<Finding>,
    /// How many charts it holds.
    pub charts: usize,
    /// Whether it could be read at all.
    pub read: bool,
    /// Files that stand there now.
    pub written: usize,
    /// Why others don't.
    pub refused: Vec<Failure>,
    /// Whether it was as an earlier run left it.
    pub unchanged: bool,
    /// What is to be noted of it.
    pub entry: Option<Entry>,
}

/// Inputs whose results are named together.
pub enum Group {
    /// As an earlier run left them.
    Unchanged(Vec<Outcome>),
    /// To be done.
    Underway(Vec<Underway>),
}

impl Group {
    /// The inputs that are to be done.
    pub fn inputs(&mut self) -> &mut [Underway] {
        match self {
            Self::Unchanged(_) => &mut [],
            Self::Underway(inputs) => inputs,
        }
    }
}

/// An input on its way.
pub struct Underway {
    task: Task,
    /// The hash of what governs it.
    rules: String,
    /// What it holds, and its state when it was read; `None` where it can't be read.
    bytes: Option<Vec<u8>>,
    stamp: Option<Stamp>,
    charts: Charts,
    made: Vec<Made>,
}

impl Underway {
    /// The first step: the file is read.
    pub fn read(task: Task, rules: String) -> Self {
        let mut input =
            Self { task, rules, bytes: None, stamp: None, charts: Charts::default(), made: Vec::new() };
        match input.task.input.read_stamped() {
            Ok((bytes, stamp)) => (input.bytes, input.stamp) = (Some(bytes), stamp),
            Err(finding) => input.charts.findings.push(finding),
        }
        input
    }

    /// The bytes that it holds.
    pub fn size(&self) -> usize {
        self.bytes.as_ref().map_or(0, Vec::len)
    }

    /// The second step: the charts of the file are read.
    pub fn understand(&mut self, call: &Call) {
        if let Some(bytes) = &self.bytes {
            self.charts = run::charts(call, &self.task, bytes);
        }
    }

    /// The third step: each chart is written.
    pub fn write(&mut self, plans: &Plans) {
        let Some(plan) = plans.get(&self.task) else { return };
        match run::guarded(&self.task, || results(&mut self.charts, plan)) {
            Ok(made) => self.made = made,
            Err(finding) => self.charts = Charts { charts: Vec::new(), findings: vec![finding] },
        }
    }

    /// What its results are called after.
    pub fn named_after(&self) -> &Path {
        self.task.input.named_after()
    }

    /// What was written of it, to be saved.
    pub fn take_made(&mut self) -> Vec<Made> {
        mem::take(&mut self.made)
    }

    /// The last step: what became of it, but for its results.
    pub fn outcome(self) -> Outcome {
        let Self { task, rules, bytes, stamp, charts, .. } = self;
        let read = run::could_be_read(&charts);
        let count = charts.charts.len();
        let of_charts = charts.charts.into_iter().flat_map(|chart| chart.findings);
        let findings: Vec<Finding> = charts.findings.into_iter().chain(of_charts).collect();
        let known = bytes.zip(stamp).filter(|_| read);
        let entry = known.and_then(|(bytes, stamp)| task.input.entry(&bytes, stamp, &rules));
        let entry = entry.map(|entry| Entry {
            charts: count,
            findings: findings.iter().map(KeptFinding::from).collect(),
            ..entry
        });
        let file = Arc::clone(&task.input.file);
        Outcome { file, findings, charts: count, read, entry, ..Outcome::default() }
    }
}
