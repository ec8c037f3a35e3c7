//! What a pairing comes to: one line in every form.

use std::sync::Arc;

use longhand::compare::Verdict;
use longhand::convert::Pair;
use longhand::problem::{Finding, any_error};

/// What two files come to, or one without a partner. What is to be looked at first comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// They differ.
    Different,
    /// Only one of the folders has it.
    Alone,
    /// One can't be read at all.
    Unreadable,
    /// Nothing could be compared, since rows could not be made out.
    NotCompared,
    /// Some charts were compared and are the same, others could not be.
    InPart,
    /// The same fabric, worked otherwise.
    SameFabric,
    /// The same stitches.
    SameStitches,
    /// Texts, none of which holds rows.
    NoRows,
}

/// How many classes there are.
const CLASSES: usize = Class::ALL.len();

impl Class {
    /// Every class, in order.
    pub const ALL: [Self; 8] = [
        Self::Different,
        Self::Alone,
        Self::Unreadable,
        Self::NotCompared,
        Self::InPart,
        Self::SameFabric,
        Self::SameStitches,
        Self::NoRows,
    ];

    /// The words that begin its line, as for two charts where they are compared.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Different => "different",
            Self::Alone => "alone",
            Self::Unreadable => "unreadable",
            Self::NotCompared => "not compared",
            Self::InPart => "compared in part",
            Self::SameFabric => "same fabric, worked otherwise",
            Self::SameStitches => "same stitches",
            Self::NoRows => "no rows",
        }
    }

    /// Its name for programs.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Different => "different",
            Self::Alone => "alone",
            Self::Unreadable => "unreadable",
            Self::NotCompared => "not-compared",
            Self::InPart => "in-part",
            Self::SameFabric => "same-fabric",
            Self::SameStitches => "same-stitches",
            Self::NoRows => "no-rows",
        }
    }

    /// That of a verdict, where anything could be compared.
    pub fn of(verdict: Option<Verdict>) -> Self {
        verdict.map_or(Self::NotCompared, Self::from)
    }

    /// Whether nothing is known that differs.
    fn is_well(self) -> bool {
        self >= Self::SameFabric
    }
}

impl From<Verdict> for Class {
    fn from(verdict: Verdict) -> Self {
        match verdict {
            Verdict::SameStitches => Self::SameStitches,
            Verdict::SameFabric => Self::SameFabric,
            Verdict::Different => Self::Different,
        }
    }
}

/// A file of a pairing, or one chart of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Side {
    /// The path as findings name it.
    pub file: Arc<str>,
    /// The letter of the chart, where only that one is meant.
    pub chart: Option<String>,
}

impl Side {
    /// What it is called: `lace/two.ods`, `lace/two.ods B`.
    pub fn called(&self) -> String {
        match &self.chart {
            Some(chart) => format!("{} {chart}", self.file),
            None => self.file.to_string(),
        }
    }
}

/// What a pairing comes to.
pub struct Outcome {
    /// The left one; none where only the right folder has it.
    pub left: Option<Side>,
    /// The right one.
    pub right: Option<Side>,
    /// What it comes to.
    pub class: Class,
    /// Its charts that were compared.
    pub pairs: Vec<Pair>,
    /// What was found in the two and between them, as far as it was not told of them before.
    pub findings: Vec<Finding>,
}

impl Outcome {
    /// Whether somebody has to look at it: what is the same may still be wrong.
    pub fn is_to_be_looked_at(&self) -> bool {
        !self.class.is_well() || any_error(&self.findings)
    }

    /// The words that begin its line.
    pub fn words(&self) -> String {
        let wrong = if self.class.is_well() && self.is_to_be_looked_at() { ", but wrong" } else { "" };
        format!("{}{wrong}", self.class.words())
    }

    /// "lace/scarf.xlsx and texts/lace/scarf.txt".
    pub fn called(&self) -> String {
        let sides = [&self.left, &self.right].into_iter().flatten();
        sides.map(Side::called).collect::<Vec<_>>().join(" and ")
    }
}

/// How many pairings come to what.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts([usize; CLASSES]);

impl Counts {
    /// Counts one more.
    pub fn add(&mut self, class: Class) {
        if let Some(count) = self.0.get_mut(class as usize) {
            *count += 1;
        }
    }

    /// How many there are of a class.
    pub fn of(&self, class: Class) -> usize {
        self.0.get(class as usize).copied().unwrap_or_default()
    }

    /// How many there are of some classes.
    pub fn of_all(&self, classes: &[Class]) -> usize {
        classes.iter().map(|&class| self.of(class)).sum()
    }
}
