//! Facts told before the rows of a text: those that a sheet may tell too, and lists of colours.

use super::colours;
use crate::words::rows::facts;
pub(super) use crate::words::rows::facts::{
    Facts, Told, counts, marks_round, sentences, unfollowed, ways_of,
};

/// Reads the facts of a line; what is known already stays.
pub(super) fn read(line: &str, facts: &mut Facts) -> Told {
    if let Some(colours) = colours::listed(line) {
        facts.colours.extend(colours);
        return Told::Wholly;
    }
    facts::read(line, facts)
}
