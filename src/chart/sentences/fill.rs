//! Settings that sentences say.

use std::collections::BTreeSet;

use super::{Says, Sentence};
use crate::place::Address;
use crate::problem::Finding;
use crate::settings::{self, FirstRow, Settings};

/// Fills the settings that nothing else says, and tells which; gives the sentences that were taken whole, by their places
/// among them. Row numbers may say themselves where Row 1 stands.
pub(in crate::chart) fn fill(
    sentences: &[&Sentence],
    first_row: Option<FirstRow>,
    settings: &mut Settings,
    findings: &mut Vec<Finding>,
) -> BTreeSet<usize> {
    let mut taken = BTreeSet::new();
    // Few sheets say a setting in other words than its own.
    if sentences.iter().all(|sentence| sentence.says.settings.is_empty()) {
        return taken;
    }
    let given = settings.clone();
    for (index, sentence) in sentences.iter().enumerate() {
        let Says { settings: told, rows, cast_on, multiple, repeat, more, .. } = &sentence.says;
        let whole = rows.is_none() && cast_on.is_empty() && multiple.is_none() && !repeat && !more;
        if sentence.fill((&given, first_row), settings, findings) && whole && !told.is_empty() {
            taken.insert(index);
        }
    }
    taken
}

impl Sentence {
    /// Whether the settings it says were all taken.
    fn fill(
        &self,
        (given, first_row): (&Settings, Option<FirstRow>),
        settings: &mut Settings,
        findings: &mut Vec<Finding>,
    ) -> bool {
        let mut all = true;
        if self.says.way && first_row.is_none() && settings.first_row.is_none() {
            all = false;
            let why = "which way the piece grows need not be the way the chart is read";
            findings.push(self.not_followed(why).help("Number the rows, or say \"Row 1 is at the top\"."));
        }
        for (name, value) in &self.says.settings {
            let mut alone = Settings::default();
            if !matches!(settings::in_sheet(&mut alone, name, value), Some(Ok(()))) {
                continue;
            }
            if first_row.is_some_and(|runs| alone.first_row.is_some_and(|told| told != runs)) {
                all = false;
                let why = "the row numbers run the other way";
                findings
                    .push(self.not_followed(why).help("Take out the sentence, or correct the row numbers."));
                continue;
            }
            let agrees = alone.over(settings) == *settings;
            let filled = settings.over(&alone);
            if filled != *settings {
                *settings = filled;
                settings.places.insert(name, self.place.clone());
                findings.push(self.taken(name, value));
            } else if agrees {
                // Said twice in sentences, it is no more of a note the second time.
                all &= given.over(&alone) != *given;
            } else {
                all = false;
                let why = format!("it contradicts what else is said of {name}, which was followed");
                let help = format!("Take out the sentence, or set {name} = \"{value}\".");
                findings.push(self.not_followed(&why).help(help));
            }
        }
        all
    }
}

/// The cells of which all that they say was taken.
pub(in crate::chart) fn cells(sentences: &[&Sentence], taken: &BTreeSet<usize>) -> BTreeSet<Address> {
    if taken.is_empty() {
        return BTreeSet::new();
    }
    let left: BTreeSet<Address> = sentences
        .iter()
        .enumerate()
        .filter(|(index, _)| !taken.contains(index))
        .map(|(_, sentence)| sentence.at)
        .collect();
    let whole = sentences.iter().filter(|sentence| !left.contains(&sentence.at));
    whole.flat_map(|sentence| sentence.cells.iter().copied()).collect()
}
