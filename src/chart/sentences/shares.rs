//! Which chart of a sheet a sentence is about.

use std::collections::BTreeMap;

use super::super::area::Area;
use super::super::sheet::Sheet;
use super::super::whose::{self, Owner, Titles};
use super::{Says, Sentence};
use crate::problem::Finding;

/// Finds out which chart each sentence is about: the one it stands nearest to. What all charts may share is about all of them
/// where only one sentence says it, not under the title of one. What stands inside a chart is no sentence.
pub(in crate::chart) fn share_out(sentences: &mut Vec<Sentence>, titles: &Titles<'_>) {
    let Titles { areas, shares, .. } = titles;
    let labels = || areas.iter().flat_map(|area| &area.rows).flat_map(|row| [row.left, row.right]).flatten();
    sentences.retain(|sentence| {
        !areas.iter().any(|area| area.span().contains(sentence.at))
            && !labels().any(|label| label.at == sentence.at)
    });
    let mut said: BTreeMap<&str, usize> = BTreeMap::new();
    for name in sentences.iter().flat_map(|sentence| sentence.says.shared()) {
        *said.entry(name).or_default() += 1;
    }
    let mut kinds: BTreeMap<&str, Vec<(usize, Owner)>> = BTreeMap::new();
    for (index, sentence) in sentences.iter_mut().enumerate() {
        let mut shared = sentence.says.shared().peekable();
        let alone = shared.peek().is_some() && shared.all(|name| said.get(name) == Some(&1));
        sentence.whose = if alone { titles.above(sentence.at) } else { shares.of(sentence.at) };
        if let (Some(kind), Some(owner)) = (sentence.says.kind(), sentence.whose) {
            kinds.entry(kind).or_default().push((index, owner));
        }
    }
    for again in kinds.into_values() {
        let (indices, mut owners): (Vec<usize>, Vec<Owner>) = again.into_iter().unzip();
        whose::settle(&mut owners);
        for (index, owner) in indices.into_iter().zip(owners) {
            sentences.get_mut(index).into_iter().for_each(|one| one.whose = Some(owner));
        }
    }
}

impl Says {
    /// What it says that all charts of a sheet may share.
    fn shared(&self) -> impl Iterator<Item = &'static str> {
        let rows = self.rows.as_ref().filter(|(label, _)| label.every.is_some()).map(|_| "return-rows");
        self.settings.iter().map(|(name, _)| *name).chain(rows)
    }

    /// What it says that a chart is told once.
    fn kind(&self) -> Option<&'static str> {
        let one = |says: bool, name| says.then_some(name);
        self.shared()
            .next()
            .or(one(self.columns.is_some(), "repeat-columns"))
            .or(one(!self.cast_on.is_empty(), "cast-on"))
            .or(one(self.multiple.is_some(), "multiple"))
            .or(one(self.repeat, "repeat"))
    }
}

/// The sentences that serve a chart of a sheet. Those that might be about another one are told.
pub(in crate::chart) fn for_chart<'a>(
    sentences: &'a [Sentence],
    (sheet, areas, index): (&Sheet<'_>, &[Area], usize),
    findings: &mut Vec<Finding>,
) -> Vec<&'a Sentence> {
    let own = |sentence: &&Sentence| sentence.whose.is_none_or(|owner| owner.chart == index);
    let own: Vec<&Sentence> = sentences.iter().filter(own).collect();
    for cell in own.chunk_by(|one, other| one.at == other.at) {
        let Some(sentence) = cell.iter().find(|sentence| sentence.whose.is_some()) else { continue };
        let owner = sentence.whose;
        findings
            .extend(owner.and_then(|owner| whose::told(sheet, areas, sentence.at, &sentence.text, owner)));
    }
    own
}
