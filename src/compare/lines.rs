//! The rows of a pattern with their stitches by name: ids of two patterns can't be compared.

use super::Side;
use crate::pattern::{Hand, Row, with_double_yarn_overs};
use crate::stitch::{StitchId, Stitches, Terms};

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
    pub(super) fn of(side: Side<'a>, hands_differ: bool) -> Self {
        let turned = hands_differ && side.pattern.hand == Hand::Left;
        let mut all = side.pattern.stitches.clone();
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
            let names = ids.iter().map(|&id| name(id, &all)).collect();
            let alike: Vec<StitchId> = ids.iter().map(|&id| all.alike(id)).collect();
            let looks = alike.iter().map(|&id| name(id, &all)).collect();
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
        let mut pieces: Vec<String> = Vec::new();
        for run in ids.chunk_by(|one, two| one == two) {
            if let Some(&id) = run.first() {
                pieces.extend(self.run(id, run.len()));
            }
        }
        if pieces.len() > MOST {
            pieces.truncate(MOST);
            pieces.push("...".to_owned());
        }
        pieces.join(", ")
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

/// The name of a stitch, and its colour.
fn name(id: StitchId, stitches: &Stitches) -> String {
    let stitch = stitches.get(id);
    let plain = stitches.get(stitches.plain(id));
    // A stitch of one's own goes by its abbreviation: a text has no other name for it.
    let plain = if plain.own { plain.words(Terms::Us).short.to_lowercase() } else { plain.name.clone() };
    match &stitch.colour {
        Some(colour) => format!("{plain} in {}", colour.to_lowercase()),
        None => plain,
    }
}
