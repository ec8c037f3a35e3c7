//! The rows of a pattern with their stitches by name: ids of two patterns can't be compared, and a stitch of one's own
//! may have the one name in a chart and another in a text.

use std::collections::HashMap;
use std::ops::Range;
use std::sync::Arc;

use super::Side;
use crate::pattern::{Hand, Pattern, Row, with_double_yarn_overs};
use crate::stitch::{Stitch, StitchId, Stitches, Terms};
use crate::words::colours::{one_name, told_twice};

/// A pattern to be compared.
pub(super) struct Lines<'a> {
    /// What it is called in messages.
    pub(super) called: &'a str,
    /// Its rows in the order worked.
    pub(super) lines: Vec<Line<'a>>,
    /// The dictionary of its stitches, their mirrors among them.
    stitches: Stitches,
}

/// A row to be compared.
pub(super) struct Line<'a> {
    pub(super) row: &'a Row,
    /// Each stitch by name, in the order in which the rows are compared.
    pub(super) names: Vec<String>,
    /// The same, stitches that look alike under one name.
    pub(super) looks: Vec<String>,
    /// The index of each in the row as worked. The order is not the one worked where the row is turned: a
    /// left-handed row beside a right-handed one runs from its other edge.
    worked: Vec<usize>,
    /// The stitches in the order compared, mirrored where the row is turned.
    ids: Vec<StitchId>,
    turned: bool,
}

impl<'a> Lines<'a> {
    /// The rows of a pattern. Where the two patterns are for different hands, the left-handed one's rows are turned.
    pub(super) fn of(side: Side<'a>, hands_differ: bool, own: &OwnNames) -> Self {
        let turned = hands_differ && side.pattern.hand == Hand::Left;
        let mut all = side.pattern.stitches.clone();
        let colours = ColourNames::of(side.pattern);
        let lines = side.pattern.rows.iter().map(|row| {
            let (mut worked, mut ids): (Vec<usize>, Vec<StitchId>) =
                with_double_yarn_overs(&row.stitches).into_iter().unzip();
            if turned {
                worked.reverse();
                ids.reverse();
                for id in &mut ids {
                    *id = all.mirror(*id).unwrap_or(*id);
                }
            }
            // What is slipped has the colour of the row it comes from, however that is written.
            ids.iter_mut().filter(|id| all.is_slipped(**id)).for_each(|id| *id = all.plain(*id));
            let names = ids.iter().map(|&id| own.name(id, &all, &colours)).collect();
            let alike: Vec<StitchId> = ids.iter().map(|&id| all.alike(id)).collect();
            let looks = alike.iter().map(|&id| own.name(id, &all, &colours)).collect();
            Line { row, names, looks, worked, ids, turned }
        });
        Self { called: side.called, lines: lines.collect(), stitches: all }
    }

    /// Some stitches of a row as an editor prints them: "k2tog, yo, k3". Indexes are in the order compared. A row
    /// for the other hand is printed as it is worked, and as it looks beside the other.
    pub(super) fn printed(&self, line: &Line<'_>, from: usize, count: usize) -> String {
        let shown: Vec<StitchId> = line.ids.get(from..from + count).unwrap_or_default().to_vec();
        let here = self.pieces(&shown);
        if !line.turned {
            return here;
        }
        let worked = (from..from + count).rev();
        let own: Vec<StitchId> =
            worked.filter_map(|at| line.row.stitches.get(line.worked(at)).copied()).collect();
        let own = self.pieces(&own);
        if own == here { own } else { format!("{own} (right-handed: {here})") }
    }

    fn pieces(&self, ids: &[StitchId]) -> String {
        /// More pieces than these tell a reader no more.
        const MOST: usize = 8;
        let mut pieces = self.runs(ids);
        if pieces.len() > MOST {
            pieces.truncate(MOST);
            pieces.push("...".to_owned());
        }
        pieces.join(", ")
    }

    /// Some stitches of a row run by run, in the order compared: "k3", "yo", "k2tog".
    pub(super) fn pieces_of(&self, line: &Line<'_>, range: Range<usize>) -> Vec<String> {
        self.runs(line.ids.get(range).unwrap_or_default())
    }

    fn runs(&self, ids: &[StitchId]) -> Vec<String> {
        let runs = ids.chunk_by(|one, two| one == two);
        runs.filter_map(|run| Some(self.run(*run.first()?, run.len()))).flatten().collect()
    }

    /// A run of one stitch: "k3", "k2tog, k2tog".
    fn run(&self, id: StitchId, times: usize) -> Vec<String> {
        let stitch = self.stitches.get(id);
        let words = stitch.words(Terms::Us);
        let colour = stitch.colour.as_deref().map(|colour| format!(" in {colour}")).unwrap_or_default();
        match words.run.as_ref().filter(|_| times > 1) {
            Some(run) => vec![run.replace("{n}", &times.to_string()) + &colour],
            None => vec![words.short.clone() + &colour; times],
        }
    }
}

impl Line<'_> {
    /// The index, in the order worked, of a stitch in the order compared; past the last one, the end of the row.
    pub(super) fn worked(&self, at: usize) -> usize {
        let end = if self.turned { 0 } else { self.row.stitches.len() };
        self.worked.get(at).copied().unwrap_or(end)
    }
}

/// The names of the stitches of the designers' own in two patterns. One that a chart calls `mb` a text calls by its
/// abbreviation or by its words, "MB" or "make bobble": whatever shares a name is one stitch.
#[derive(Default)]
pub(super) struct OwnNames {
    groups: Vec<Vec<String>>,
}

impl OwnNames {
    /// The names in two patterns.
    pub(super) fn of(left: &Stitches, right: &Stitches) -> Self {
        let mut names = Self::default();
        for (_, stitch) in left.own().chain(right.own()) {
            let mut group = own_forms(stitch);
            // One stitch may join two that had no name in common.
            names.groups.retain(|other| {
                let joins = other.iter().any(|form| group.contains(form));
                if joins {
                    group.splice(0..0, other.iter().cloned());
                }
                !joins
            });
            names.groups.push(group);
        }
        names
    }

    /// The name of a stitch, and its colour.
    fn name(&self, id: StitchId, stitches: &Stitches, colours: &ColourNames) -> String {
        let stitch = stitches.get(id);
        let plain = stitches.get(stitches.plain(id));
        let plain = if plain.own { self.own(plain) } else { plain.name.clone() };
        match &stitch.colour {
            Some(colour) => format!("{plain} in {}", colours.name(colour)),
            None => plain,
        }
    }

    fn own(&self, stitch: &Stitch) -> String {
        let forms = own_forms(stitch);
        let group = self.groups.iter().find(|group| group.iter().any(|form| forms.contains(form)));
        group.unwrap_or(&forms).first().cloned().unwrap_or_default()
    }
}

/// The names of the colours of a pattern that has other words for them: "CC: cream" in a chart is the cream of a text.
struct ColourNames(HashMap<Arc<str>, String>);

impl ColourNames {
    fn of(pattern: &Pattern) -> Self {
        if !pattern.stitches.have_colours() {
            return Self(HashMap::new());
        }
        let mut names = HashMap::new();
        let stitches = pattern.rows.iter().flat_map(|row| &row.stitches);
        for colour in stitches.filter_map(|&id| pattern.stitches.get(id).colour.as_ref()) {
            names.entry(Arc::clone(colour)).or_insert_with(String::new);
        }
        let colours: Vec<&str> = names.keys().map(AsRef::as_ref).collect();
        let told: Vec<Option<String>> = told_twice(&colours)
            .into_iter()
            .map(|told| told.map(|(abbreviation, name)| one_name(abbreviation, name).to_lowercase()))
            .collect();
        for ((colour, name), told) in names.iter_mut().zip(told) {
            *name = told.unwrap_or_else(|| colour.to_lowercase());
        }
        Self(names)
    }

    fn name(&self, colour: &str) -> String {
        self.0.get(colour).cloned().unwrap_or_else(|| colour.to_lowercase())
    }
}

/// What a stitch of one's own may be called: its abbreviation, its words, its name in the settings.
fn own_forms(stitch: &Stitch) -> Vec<String> {
    let words = stitch.words(Terms::Us);
    let plain = |name: &String| name.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    [&words.short, &words.long, &stitch.name].map(plain).into()
}
