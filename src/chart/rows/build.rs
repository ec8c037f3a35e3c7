//! The charted rows as worked, written out to their width.

use super::super::area::Area;
use super::super::cells::Unit;
use super::super::charted::{self, Symbol, Worked};
use super::super::order::{Numbered, Order};
use super::super::repeat::{self, Repeat, Width};
use super::super::sheet::Sheet;
use super::super::wider;
use super::again;
use super::limits;
use super::rule::Rules;
use super::told::Told;
use crate::pattern::{Hand, Row, RowRepeat};
use crate::place::Place;
use crate::problem::{Code, Finding};
use crate::settings::{Settings, Symbols};
use crate::stitch::Stitches;

/// A charted row ready to be worked.
pub(super) struct Charted {
    pub(super) numbered: Numbered,
    pub(super) worked: Worked,
    pub(super) repeat: Option<RowRepeat>,
    pub(super) place: Place,
    /// Whether the chart draws it, or tells it in words.
    pub(super) drawn: bool,
}

/// What the rows of a chart are built with.
pub(super) struct Build<'a, 'b> {
    pub(super) sheet: &'a Sheet<'b>,
    pub(super) area: &'a Area,
    pub(super) settings: &'a Settings,
    pub(super) stitches: &'a mut Stitches,
    pub(super) findings: &'a mut Vec<Finding>,
    /// Rows that follow those that are drawn.
    pub(super) told: &'a [Told],
}

impl Build<'_, '_> {
    pub(super) fn whole(&self) -> Place {
        self.sheet.grid.place(self.area.span())
    }

    fn place(&self, row: &Numbered) -> Place {
        self.sheet.grid.place(self.area.row_span(row.row.row))
    }

    fn stitches_of(&mut self, row: &Numbered, symbols: &[Symbol<'_>]) -> Option<Worked> {
        charted::stitches_of(
            self.sheet.grid,
            row,
            symbols,
            self.settings.symbols == Some(Symbols::AsWorked),
            self.stitches,
            self.findings,
        )
    }

    /// How wide the chart is written, by what its first row uses.
    pub(super) fn width(&mut self, repeat: &Repeat, order: &Order, units: &[Vec<Unit>]) -> Option<Width> {
        if let Some(apart) = repeat.apart() {
            let rows: Vec<(u32, u32, &[Unit])> = (order.rows.iter().zip(units))
                .map(|(row, units)| (row.number, row.row.row, units.as_slice()))
                .collect();
            let place = self.settings.places.get("cast-on").cloned().unwrap_or_else(|| self.whole());
            return repeat.by_row(apart, &rows, (self.settings, place), self.findings);
        }
        let (row, units) = (order.rows.first()?, units.first()?);
        let symbols = charted::as_worked(units, row.side);
        let quiet = self.findings.len();
        let all = self.stitches_of(row, &symbols);
        // Said again when the row itself is read.
        self.findings.truncate(quiet);
        let parts = repeat.cut(units, row.side, row.row.row);
        let uses = |symbols: &[Symbol<'_>]| -> u32 { symbols.iter().map(|symbol| symbol.works.uses).sum() };
        let drawn = all.map_or_else(|| uses(&symbols), |all| self.stitches.uses(&all.stitches));
        let unit = uses(&parts.unit);
        let place = self.settings.places.get("cast-on").cloned().unwrap_or_else(|| self.place(row));
        repeat::width(place, repeat, row.row.row, drawn, unit, self.settings, self.findings)
    }

    /// Every charted row in working order; nothing where any has an error.
    pub(super) fn charted(
        &mut self,
        order: &Order,
        units: &[Vec<Unit>],
        repeat: Option<(&Repeat, &Width)>,
    ) -> Option<Vec<Charted>> {
        let mut rows = Vec::with_capacity(order.rows.len());
        let mut whole = true;
        let mut written = 0usize;
        for (index, (row, units)) in order.rows.iter().zip(units).enumerate() {
            let (symbols, cut) = match repeat {
                None => (charted::as_worked(units, row.side), None),
                Some((repeat, width)) => {
                    let parts = repeat.cut(units, row.side, row.row.row);
                    let times = width.times_in(index) as usize;
                    let count =
                        parts.before.len() + parts.unit.len().saturating_mul(times) + parts.after.len();
                    written = written.saturating_add(count);
                    if let Some(large) = limits::stitches(|| self.whole(), written) {
                        self.findings.push(large);
                        return None;
                    }
                    let mut symbols = Vec::with_capacity(count);
                    symbols.extend_from_slice(&parts.before);
                    for _ in 0..times {
                        symbols.extend_from_slice(&parts.unit);
                    }
                    symbols.extend_from_slice(&parts.after);
                    let cut = RowRepeat { start: parts.before.len(), length: parts.unit.len(), times };
                    (symbols, (cut.length > 0 && repeat.apart().is_none()).then_some(cut))
                }
            };
            let Some(worked) = self.stitches_of(row, &symbols) else {
                whole = false;
                continue;
            };
            // Yarn overs that became double ones move what follows: the repeat is then found anew.
            let repeat = cut.filter(|_| worked.stitches.len() == symbols.len());
            rows.push(Charted { numbered: row.clone(), worked, repeat, place: self.place(row), drawn: true });
        }
        if !whole {
            return None;
        }
        again::extend(&mut rows, self.told, order, self.settings, self.stitches, self.findings)?;
        if self.settings.hand == Some(Hand::Left) {
            return self.mirrored(rows);
        }
        Some(rows)
    }

    /// The rows for a left-handed knitter; nothing where a stitch has no mirror.
    fn mirrored(&mut self, rows: Vec<Charted>) -> Option<Vec<Charted>> {
        let mirrored: Vec<Option<Charted>> = rows
            .into_iter()
            .map(|row| {
                let (grid, number) = (self.sheet.grid, row.numbered.number);
                let worked = charted::mirrored(grid, number, &row.worked, self.stitches, self.findings)?;
                let count = worked.stitches.len();
                let repeat = row
                    .repeat
                    .map(|cut| RowRepeat { start: count - cut.start - cut.length * cut.times, ..cut });
                Some(Charted { worked, repeat, ..row })
            })
            .collect();
        mirrored.into_iter().collect()
    }

    /// Marks the repeat in the rows whose columns don't tell it, by the rows of a chart one repeat wider. Whether all rows
    /// that are wider there have it: otherwise they serve their own width alone.
    pub(super) fn mark_repeats(
        &mut self,
        rows: &mut [Row],
        order: &Order,
        units: &[Vec<Unit>],
        rules: &Rules,
        repeat: &Repeat,
        width: &Width,
    ) -> bool {
        if self.told.is_empty() && rows.iter().all(|row| wider::is_sure(row, self.stitches)) {
            return true;
        }
        let said = self.findings.len();
        let wider =
            Width { times: width.times.saturating_add(1), multiple: width.multiple, by_row: Vec::new() };
        let wide = self
            .charted(order, units, Some((repeat, &wider)))
            .and_then(|charted| self.all_rows(order, charted, rules));
        // What is to be said of these rows was said of those of the chart's own width.
        self.findings.truncate(said);
        let Some(wide) = wide else { return true };
        let way = self.settings.worked.unwrap_or_default();
        let without = wider::mark(rows, &wide, way, self.stitches);
        if width.multiple.is_some() {
            self.findings.extend(wider::parted(rows, &wide, self.stitches));
        }
        let Some(&number) = without.first().filter(|_| width.multiple.is_some()) else { return true };
        let place = rows.iter().find(|row| row.number == number).map(|row| row.place.clone());
        let place = place.unwrap_or_else(|| self.whole());
        self.findings.push(otherwise(number, place, self.settings.sizes.is_some()));
        false
    }
}

/// Says that a row is worked otherwise where the repeat is worked again; with sizes, which all rows must serve, that is wrong.
fn otherwise(number: u32, place: Place, sized: bool) -> Finding {
    let meet = "two yarn overs meet where the repeat begins again";
    let finding = if sized {
        let message = format!("Row {number} is worked otherwise in the larger sizes: {meet}.");
        Finding::new(Code::RepeatDoesNotFit, place, message).help(
            "Let the first size work the repeat twice or more, or move the edge of the repeat by a stitch.",
        )
    } else {
        let message = format!(
            "Row {number} is worked otherwise where the repeat is worked more than once, since {meet}: the rows serve one width."
        );
        Finding::new(Code::RepeatWrittenOut, place, message)
            .help("State a cast-on that works the repeat twice or more, or move the edge of the repeat by a stitch.")
    };
    finding.row(number)
}
