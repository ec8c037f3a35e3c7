//! Facts told before the rows of a text: those that a sheet may tell too, and lists of colours.

use super::colours;
use crate::words::rows::facts;
pub(super) use crate::words::rows::facts::{Facts, counts, sentences};

/// Reads the facts of a line; what is known already stays. Tells whether the line holds any, and whether it holds
/// nothing else.
pub(super) fn read(line: &str, facts: &mut Facts) -> (bool, bool) {
    if let Some(colours) = colours::listed(line) {
        facts.colours.extend(colours);
        return (true, true);
    }
    facts::read(line, facts)
}
