//! Comparing two patterns: do they say the same?
//!
//! Two patterns may say the same stitch for stitch; or the same fabric worked otherwise (an ssk for an skp, a row of
//! a knitter who works mirror-wise); or they differ. Rows are put beside each other first (`rows.rs`), then the
//! stitches of each pair of rows (`stitches.rs`). Every stitch is compared by what it looks like (`lines.rs`).

mod beside;
mod charts;
mod diff;
mod lines;
mod rows;
mod stitches;
mod told;

pub use beside::{Beside, Cell, Half, Sameness};
pub use charts::pairs;

use crate::pattern::Pattern;
use crate::problem::{Finding, any_error};

use lines::{Lines, OwnNames};

/// What a comparison comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Stitch for stitch the same.
    SameStitches,
    /// The same fabric worked otherwise.
    SameFabric,
    /// Different somewhere.
    Different,
}

/// Two patterns compared.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// What it comes to.
    pub verdict: Verdict,
    /// Every difference, an error each; what is only worked otherwise is a note.
    pub findings: Vec<Finding>,
    /// The rows beside each other, in the order they are worked; none where the rows were not compared.
    pub rows: Vec<Beside>,
}

/// A pattern and what it is called in messages: its file, with the chart's letter where the file has several.
#[derive(Clone, Copy, Debug)]
pub struct Side<'a> {
    /// The pattern.
    pub pattern: &'a Pattern,
    /// What it is called.
    pub called: &'a str,
}

/// Compares two patterns. Findings stand at the left one's place, where the left one has any.
pub fn compare(left: Side<'_>, right: Side<'_>) -> Comparison {
    let mut findings = told::wholes(left, right);
    // Where one goes back and forth and the other round, every second row differs for that reason alone.
    let mut rows = Vec::new();
    if left.pattern.worked == right.pattern.worked {
        let hands_differ = left.pattern.hand != right.pattern.hand;
        let own = OwnNames::of(&left.pattern.stitches, &right.pattern.stitches);
        let lines = |side| Lines::of(side, hands_differ, &own);
        rows = rows::compare(&lines(left), &lines(right), &mut findings);
    }
    let verdict = if any_error(&findings) {
        Verdict::Different
    } else if findings.is_empty() {
        Verdict::SameStitches
    } else {
        Verdict::SameFabric
    };
    Comparison { verdict, findings, rows }
}
