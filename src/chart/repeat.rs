//! The repeat of a chart: the columns it takes, the widths it allows, and a chart written out to one of them.

mod apart;

use std::collections::BTreeMap;
use std::rc::Rc;

use super::area::Area;
use super::cells::Unit;
use super::charted::{Symbol, as_worked};
use super::sheet::Sheet;
use crate::grid::Grid;
use crate::pattern::{Multiple, Side, often};
use crate::place::Place;
use crate::problem::{Code, Finding};
use crate::settings::{RepeatColumns, Settings, sizes_disagree};
pub(super) use apart::Apart;

/// The repeat as drawn: how many workings the chart shows side by side, and the sheet columns of them all.
#[derive(Clone, Debug)]
pub(super) struct Repeat {
    /// First and last sheet column of one working, in each row of the sheet.
    unit: BTreeMap<u32, (u32, u32)>,
    /// Further workings drawn on the left and on the right of it.
    copies: (u32, u32),
    /// The lowest row of the sheet in which a box is drawn.
    lowest: Option<u32>,
    /// Where boxes stand apart that repeat different numbers of stitches.
    apart: Option<Apart>,
}

/// A row cut at the repeat, each part in the order worked.
pub(super) struct Parts<'a> {
    pub(super) before: Vec<Symbol<'a>>,
    pub(super) unit: Vec<Symbol<'a>>,
    pub(super) after: Vec<Symbol<'a>>,
}

impl Repeat {
    /// The repeat in these columns, as the chart numbers them.
    pub(super) fn named(
        sheet: &Sheet<'_>,
        area: &Area,
        named: RepeatColumns,
        place: Option<Place>,
        findings: &mut Vec<Finding>,
    ) -> Option<Self> {
        let column = |number: u32| match area.column_numbers.iter().find(|(_, n)| **n == number) {
            Some((column, _)) => Some(*column),
            None if !area.column_numbers.is_empty() => {
                // Some numbers are printed: count on from the nearest.
                let (column, at) = area.column_numbers.iter().min_by_key(|(_, n)| n.abs_diff(number))?;
                u32::try_from(i64::from(*column) + i64::from(*at) - i64::from(number)).ok()
            }
            None => sheet.nth_column_from_right(area.columns.1, number),
        };
        let inside = |column: &u32| (area.columns.0..=area.columns.1).contains(column);
        if let (Some(one), Some(two)) =
            (column(named.last).filter(inside), column(named.first).filter(inside))
        {
            return Some(Self::columns(area, (one.min(two), one.max(two))));
        }
        let width = area.columns.1 - area.columns.0 + 1;
        findings.push(
            Finding::new(
                Code::RepeatColumns,
                place.unwrap_or_else(|| sheet.grid.place(area.span())),
                format!("The repeat is said to be {named}, but the chart has columns 1-{width}."),
            )
            .found(format!("{}-{}", named.first, named.last))
            .expected(format!("columns within 1-{width}"))
            .help("Correct repeat-columns; columns count from the right."),
        );
        None
    }

    /// The repeat in these columns of the sheet in every row.
    pub(super) fn columns(area: &Area, columns: (u32, u32)) -> Self {
        Self {
            unit: area.rows.iter().map(|row| (row.row, columns)).collect(),
            copies: (0, 0),
            lowest: None,
            apart: None,
        }
    }

    /// The repeat that a box draws, row by row of the sheet, and the lowest row it is drawn in.
    pub(super) fn boxed(rows: BTreeMap<u32, (u32, u32)>, lowest: u32) -> Self {
        Self { unit: rows, copies: (0, 0), lowest: Some(lowest), apart: None }
    }

    /// The repeat of a shawl begins where its box does: rows below it have none where the first is of another shape. Rows
    /// are given by number, row of the sheet and cells, the first to be worked first.
    pub(super) fn begin(&mut self, rows: &[(u32, u32, &[Unit])]) {
        let Some(lowest) = self.lowest else { return };
        let reach = |units: &[Unit]| {
            let counts = |unit: &&Unit| unit.works.as_ref().is_some_and(|works| works.uses + works.makes > 0);
            let mut worked = units.iter().filter(counts);
            let first = worked.next()?.span;
            Some((first.first.column, worked.next_back().map_or(first, |unit| unit.span).last.column))
        };
        let first = rows.first().and_then(|(.., units)| reach(units));
        let boxed = rows.iter().find(|(_, row, _)| *row == lowest).and_then(|(.., units)| reach(units));
        if first != boxed {
            self.unit.retain(|row, _| *row <= lowest);
        }
    }

    /// Whether a row of the sheet has it.
    fn stands_in(&self, row: u32) -> bool {
        self.unit.contains_key(&row)
    }

    /// The columns where they are the same in every row.
    fn steady(&self) -> Option<(u32, u32)> {
        let first = *self.unit.values().next()?;
        self.unit.values().all(|columns| *columns == first).then_some(first)
    }

    /// The repeat as far as every row allows it: no stitch may be cut. Neighbouring columns that show the same are
    /// further workings of it. Rows are given by number, row of the sheet, and cells.
    pub(super) fn fit(
        mut self,
        grid: &Grid,
        area: &Area,
        rows: &[(u32, u32, &[Unit])],
        findings: &mut Vec<Finding>,
    ) -> Option<Self> {
        let mut whole = true;
        for (number, row, units) in rows {
            let Some(columns) = self.unit.get(row) else { continue };
            for unit in *units {
                let (first, last) = (unit.span.first.column, unit.span.last.column);
                let cuts = |edge: u32| first < edge && edge <= last;
                if cuts(columns.0) || cuts(columns.1 + 1) {
                    whole = false;
                    let symbol = unit.works.as_ref().map(|works| works.symbol.as_str()).unwrap_or_default();
                    findings.push(
                        Finding::new(
                            Code::RepeatCutsStitch,
                            grid.place(unit.span),
                            format!(
                                "The edge of the repeat cuts through the stitch \"{symbol}\" on Row {number}."
                            ),
                        )
                        .row(*number)
                        .found(symbol)
                        .help("Move the repeat so that every stitch lies whole inside or outside it."),
                    );
                }
            }
        }
        if !whole {
            return None;
        }
        if let Some((first, last)) = self.steady() {
            let width = last - first + 1;
            let cells: Vec<(u32, &[Unit])> =
                rows.iter().map(|(number, _, units)| (*number, *units)).collect();
            let left =
                |copies: u32| first.checked_sub(width * copies).filter(|column| *column >= area.columns.0);
            while left(self.copies.0 + 1).is_some_and(|column| same(&cells, column, first, width)) {
                self.copies.0 += 1;
            }
            let right = |copies: u32| last + width * copies <= area.columns.1;
            while right(self.copies.1 + 1) && same(&cells, first + width * (self.copies.1 + 1), first, width)
            {
                self.copies.1 += 1;
            }
        }
        Some(self)
    }

    /// Workings drawn side by side.
    pub(super) fn drawn(&self) -> u32 {
        1 + self.copies.0 + self.copies.1
    }

    /// Cuts a row of the sheet at the repeat, in the order worked.
    pub(super) fn cut<'a>(&self, units: &'a [Unit], side: Side, row: u32) -> Parts<'a> {
        let Some(&(first, last)) = self.unit.get(&row) else {
            return Parts { before: as_worked(units, side), unit: Vec::new(), after: Vec::new() };
        };
        let width = last - first + 1;
        let (from, to) = (first - width * self.copies.0, last + width * self.copies.1);
        // The units stand from left to right.
        let part = |from: u32, to: u32| {
            let start = units.partition_point(|unit| unit.span.first.column < from);
            let end = units.partition_point(|unit| unit.span.first.column < to);
            as_worked(units.get(start..end).unwrap_or_default(), side)
        };
        let left = part(0, from);
        let right = part(to.saturating_add(1), u32::MAX);
        let unit = part(first, last.saturating_add(1));
        let (before, after) = if side == Side::Rs { (right, left) } else { (left, right) };
        Parts { before, unit, after }
    }
}

/// Whether two blocks of columns show the same stitches in every row.
fn same(rows: &[(u32, &[Unit])], one: u32, two: u32, width: u32) -> bool {
    rows.iter().all(|(_, units)| shows_same(units, one, two, width))
}

/// Whether a row shows the same stitches between each two neighbouring lines, each on the left of a column.
pub(super) fn alike(units: &[Unit], lines: &[u32]) -> bool {
    let [first, second, ..] = *lines else { return true };
    let width = second.saturating_sub(first);
    lines.windows(2).all(|pair| pair[1] - pair[0] == width && shows_same(units, first, pair[0], width))
}

/// Whether a row shows the same in two blocks of columns: where in the block, over how many columns, and what. Two symbols may
/// be the same stitch. One that reaches out of the block is no part of a whole working.
fn shows_same(units: &[Unit], one: u32, two: u32, width: u32) -> bool {
    // Units stand from left to right.
    let block = |from: u32| {
        let start = units.partition_point(|unit| unit.span.last.column < from);
        let end = units.partition_point(|unit| unit.span.first.column < from + width);
        let within = units.get(start..end).unwrap_or_default().iter();
        within.map(move |unit| (unit.span.first.column.wrapping_sub(from), unit))
    };
    let works = |one: &Unit, other: &Unit| match (&one.works, &other.works) {
        (Some(one), Some(other)) => Rc::ptr_eq(one, other) || one.does_as(other),
        (None, None) => true,
        _ => false,
    };
    let same = |((at, one), (other_at, other)): ((u32, &Unit), (u32, &Unit))| {
        at == other_at && one.span.width() == other.span.width() && works(one, other)
    };
    block(one).len() == block(two).len() && block(one).zip(block(two)).all(same)
}

/// How often the repeat is worked, and the widths it allows.
pub(super) struct Width {
    pub(super) times: u32,
    /// The cast-ons that it fills; none where row 1 has no repeat.
    pub(super) multiple: Option<Multiple>,
    /// How often each charted row works its own box, where boxes stand apart; else empty.
    pub(super) by_row: Vec<u32>,
}

impl Width {
    /// How often a row works the repeat, of the charted ones in their order.
    pub(super) fn times_in(&self, row: usize) -> u32 {
        self.by_row.get(row).copied().unwrap_or(self.times)
    }
}

/// Finds how often the repeat is worked: to fill the cast-on, for the first size, or as often as the settings
/// write out where neither is known. `first_row` is row 1 as the sheet counts; `drawn_uses` are the loops row 1 uses as drawn, `unit_uses` those of one
/// working.
pub(super) fn width(
    place: Place,
    repeat: &Repeat,
    first_row: u32,
    drawn_uses: u32,
    unit_uses: u32,
    settings: &Settings,
    findings: &mut Vec<Finding>,
) -> Option<Width> {
    if !repeat.stands_in(first_row) && settings.sizes.is_none() {
        return Some(Width { times: repeat.drawn(), multiple: None, by_row: Vec::new() });
    }
    let plus = drawn_uses.saturating_sub(unit_uses * repeat.drawn());
    let fills = Multiple { of: unit_uses, plus };
    let multiple = Some(fills);
    let widths = |times: u32| fills.width(times);
    if unit_uses == 0 {
        findings.push(
            Finding::new(Code::RepeatDoesNotFit, place, "The repeat uses no stitches on row 1.".to_owned())
                .help("Correct repeat-columns."),
        );
        return None;
    }
    if let Some((_, times)) = settings.sizes.as_ref().and_then(|sizes| sizes.first()) {
        if let Some(cast_on) = settings.cast_on.filter(|cast_on| *cast_on != widths(*times)) {
            findings.push(sizes_disagree(place, *times, widths(*times), cast_on));
            return None;
        }
        return Some(Width { times: *times, multiple, by_row: Vec::new() });
    }
    let Some(cast_on) = settings.cast_on else {
        let times = settings.repeats.unwrap_or(repeat.drawn());
        let how = if times == repeat.drawn() {
            "as drawn".to_owned()
        } else {
            format!("with the repeat {}", often(times))
        };
        findings.push(
            Finding::new(
                Code::RepeatWrittenOut,
                place,
                format!("No cast-on is stated: the chart is written {how}, for {} sts.", widths(times)),
            )
            .help("Set cast-on for another width, or repeats for another number of workings."),
        );
        return Some(Width { times, multiple, by_row: Vec::new() });
    };
    if let Some(times) = fills.times(cast_on) {
        return Some(Width { times, multiple, by_row: Vec::new() });
    }
    let (nearest, amount) = match fills.nearest(cast_on) {
        (None, more) => (more.to_string(), format!("too few for one repeat ({more} sts)")),
        (Some(less), more) => {
            let (over, below) = (cast_on - less, (less - plus) / unit_uses);
            let amount = format!("{over} more than {below} repeats of {unit_uses} and {plus} at the edges");
            (format!("{less} or {more}"), amount)
        }
    };
    findings.push(
        Finding::new(
            Code::RepeatDoesNotFit,
            place,
            format!("The repeat does not fit the cast-on of {cast_on} sts: that is {amount}."),
        )
        .row(1)
        .found(format!("{cast_on} sts"))
        .expected(format!("{nearest} sts (multiple of {unit_uses} + {plus})"))
        .help(format!("Cast on {nearest} sts, or correct repeat-columns.")),
    );
    None
}
