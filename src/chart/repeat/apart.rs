//! Boxes one above the other that stand apart and repeat different numbers of stitches: each is the repeat of its own rows, and
//! worked there as often as fits. They allow no widths that all rows share, but those that each of them fits.

use super::super::cells::Unit;
use super::super::drawn::strong;
use super::super::ruling::above;
use super::{Repeat, Width};
use crate::grid::Looks;
use crate::pattern::Side;
use crate::place::{Address, Place};
use crate::problem::{Code, Finding};
use crate::settings::Settings;

/// Two charted rows that are worked one after the other, each in a box of its own: their numbers, and how many stitches one
/// working of the first makes and one of the other uses.
#[derive(Clone, Copy, Debug)]
pub(in crate::chart) struct Apart {
    rows: (u32, u32),
    stitches: (u32, u32),
}

/// What a charted row uses and makes: as drawn, and in one working of the repeat.
#[derive(Clone, Copy)]
struct Loops {
    all: (u32, u32),
    unit: (u32, u32),
}

impl Repeat {
    /// Finds out whether boxes stand apart: other columns, a level line between them, and other numbers of stitches. Rows are
    /// given by number, row of the sheet and cells, the first to be worked first.
    pub(in crate::chart) fn find_apart(&mut self, looks: &Looks, rows: &[(u32, u32, &[Unit])]) {
        if self.lowest.is_none() || self.steady().is_some() {
            return;
        }
        self.apart = rows.windows(2).find_map(|pair| {
            let ((number, row, units), (next, next_row, next_units)) = (pair[0], pair[1]);
            let (columns, others) = (*self.unit.get(&row)?, *self.unit.get(&next_row)?);
            let made = self.loops(row, units).unit.1;
            let used = self.loops(next_row, next_units).unit.0;
            let shared = (columns.0.max(others.0), columns.1.min(others.1));
            let apart = columns != others && made != used && level(looks, (row, next_row), shared);
            apart.then_some(Apart { rows: (number, next), stitches: (made, used) })
        });
    }

    pub(in crate::chart) const fn apart(&self) -> Option<Apart> {
        self.apart
    }

    fn loops(&self, row: u32, units: &[Unit]) -> Loops {
        let sum = |units: &mut dyn Iterator<Item = &super::Symbol<'_>>| {
            units.fold((0, 0), |(uses, makes), symbol| (uses + symbol.works.uses, makes + symbol.works.makes))
        };
        let parts = self.cut(units, Side::Rs, row);
        let all = &mut parts.before.iter().chain(&parts.unit).chain(&parts.after);
        Loops { all: sum(all), unit: sum(&mut parts.unit.iter()) }
    }

    /// How often each row works its own box: so that it uses what the row before makes, where a cast-on is known, else as
    /// drawn.
    pub(in crate::chart) fn by_row(
        &self,
        apart: Apart,
        rows: &[(u32, u32, &[Unit])],
        (settings, place): (&Settings, Place),
        findings: &mut Vec<Finding>,
    ) -> Option<Width> {
        if settings.sizes.is_some() {
            findings.push(apart.without_sizes(place));
            return None;
        }
        let Some(cast_on) = settings.cast_on else {
            findings.push(apart.as_drawn(place));
            return Some(Width { times: 1, multiple: None, by_row: vec![1; rows.len()] });
        };
        let mut have = cast_on;
        let mut by_row = Vec::with_capacity(rows.len());
        for &(number, row, units) in rows {
            let Loops { all, unit } = self.loops(row, units);
            let edges = (all.0 - unit.0, all.1 - unit.1);
            let times = match (unit.0, have.checked_sub(edges.0)) {
                (0, Some(0)) => Some(1),
                (unit, Some(span)) if unit > 0 && span > 0 && span.is_multiple_of(unit) => Some(span / unit),
                _ => None,
            };
            let Some(times) = times else {
                findings.push(apart.does_not_fit(place, (number, have), (unit.0, edges.0)));
                return None;
            };
            have = unit.1.saturating_mul(times).saturating_add(edges.1);
            by_row.push(times);
        }
        findings.push(apart.told(place, cast_on));
        Some(Width { times: 1, multiple: None, by_row })
    }
}

/// Whether a strong line runs between two rows of the sheet along some columns.
fn level(looks: &Looks, (one, other): (u32, u32), (first, last): (u32, u32)) -> bool {
    let (upper, lower) = (one.min(other), one.max(other));
    let line = |row: u32, column: u32| above(looks, Address::new(row, column)).into_iter().any(strong);
    first <= last && (upper + 1..=lower).any(|row| (first..=last).all(|column| line(row, column)))
}

impl Apart {
    fn boxes(self) -> String {
        let Self { rows: (row, next), stitches: (made, used) } = self;
        format!(
            "Row {next} stands in another box than Row {row}, and repeats {used} sts where that one leaves {made}"
        )
    }

    fn told(self, place: Place, cast_on: u32) -> Finding {
        let message = format!(
            "{}: each box was read as the repeat of its own rows, and is worked there as often as {cast_on} sts ask for.",
            self.boxes()
        );
        Finding::new(Code::RepeatDrawn, place, message)
            .row(self.rows.1)
            .help("Nothing, if that is so; repeat-columns says otherwise.")
    }

    fn as_drawn(self, place: Place) -> Finding {
        let message = format!(
            "{}: each box is the repeat of its own rows alone. No cast-on is stated: the chart is written as drawn, without a multiple.",
            self.boxes()
        );
        Finding::new(Code::RepeatDrawn, place, message).row(self.rows.1).help(
            "Set cast-on for another width that fits each box; repeat-columns names one repeat for all rows.",
        )
    }

    fn does_not_fit(self, place: Place, (number, have): (u32, u32), (unit, edges): (u32, u32)) -> Finding {
        let message = format!(
            "{}: each box is the repeat of its own rows. That of Row {number} does not fit: there are {have} sts, of which {edges} \
             are at the edges, and the others are no whole number of repeats of {unit}.",
            self.boxes()
        );
        Finding::new(Code::RepeatDoesNotFit, place, message)
            .row(number)
            .found(format!("{have} sts"))
            .expected(format!("a multiple of {unit} sts + {edges}"))
            .help("Set a cast-on that fits each box, or correct the boxes.")
    }

    fn without_sizes(self, place: Place) -> Finding {
        let message = format!(
            "{}: each box is the repeat of its own rows, so that one number of repeats for each size does not tell how often they \
             are worked.",
            self.boxes()
        );
        Finding::new(Code::RepeatDoesNotFit, place, message)
            .row(self.rows.1)
            .help("Leave sizes out and set cast-on, for one size at a time; or name one repeat for all rows by repeat-columns.")
    }
}
