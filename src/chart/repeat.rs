//! The repeat of a chart: the columns it takes, the widths it allows, and a chart written out to one of them.

use std::rc::Rc;

use super::area::Area;
use super::cells::Unit;
use super::key::Works;
use super::sheet::Sheet;
use crate::pattern::{Multiple, Side};
use crate::place::{Address, Place, Span};
use crate::problem::{Code, Finding};
use crate::settings::{RepeatColumns, Settings};

/// The repeat as drawn: how many workings the chart shows side by side, and the sheet columns of them all.
#[derive(Clone, Copy, Debug)]
pub(super) struct Repeat {
    /// First and last sheet column of the drawn workings.
    columns: (u32, u32),
    /// Columns of one working.
    width: u32,
    /// Workings drawn.
    pub(super) drawn: u32,
}

/// A row cut at the repeat, each part in the order worked.
pub(super) struct Parts {
    pub(super) before: Vec<(Rc<Works>, Span)>,
    pub(super) unit: Vec<(Rc<Works>, Span)>,
    pub(super) after: Vec<(Rc<Works>, Span)>,
}

impl Repeat {
    /// The repeat that the settings name, as far as every row allows it.
    pub(super) fn find(
        sheet: &Sheet<'_>,
        area: &Area,
        named: RepeatColumns,
        place: Option<Place>,
        rows: &[(u32, &[Unit])],
        findings: &mut Vec<Finding>,
    ) -> Option<Self> {
        let grid = sheet.grid;
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
        let (right, left) = (column(named.first).filter(inside), column(named.last).filter(inside));
        let (Some(one), Some(two)) = (left, right) else {
            let width = area.columns.1 - area.columns.0 + 1;
            findings.push(
                Finding::new(
                    Code::RepeatColumns,
                    place.unwrap_or_else(|| {
                        grid.place(Span::new(
                            Address::new(area.top(), area.columns.0),
                            Address::new(area.bottom(), area.columns.1),
                        ))
                    }),
                    format!(
                        "The repeat is said to be columns {}-{}, but the chart has columns 1-{width}.",
                        named.first, named.last
                    ),
                )
                .found(format!("{}-{}", named.first, named.last))
                .expected(format!("columns within 1-{width}"))
                .help("Correct repeat-columns; columns count from the right."),
            );
            return None;
        };
        let columns = (one.min(two), one.max(two));
        let mut whole = true;
        for (number, units) in rows {
            for unit in *units {
                let (first, last) = (unit.span.first.column, unit.span.last.column);
                let cuts = |edge: u32| first < edge && edge <= last;
                if cuts(columns.0) || cuts(columns.1 + 1) {
                    whole = false;
                    let name = unit
                        .works
                        .as_ref()
                        .map_or_else(String::new, |works| format!(" \"{}\"", works.symbol));
                    findings.push(
                        Finding::new(
                            Code::RepeatCutsStitch,
                            grid.place(unit.span),
                            format!(
                                "The edge of the repeat (columns {}-{}) cuts through the stitch{name} on Row {number}.",
                                named.first, named.last
                            ),
                        )
                        .row(*number)
                        .help("Move the repeat so that every stitch lies whole inside or outside it."),
                    );
                }
            }
        }
        if !whole {
            return None;
        }
        let width = columns.1 - columns.0 + 1;
        let mut repeat = Self { columns, width, drawn: 1 };
        // Neighbouring columns that show the same again are further workings of it.
        while let Some(left) = repeat.columns.0.checked_sub(width).filter(|left| *left >= area.columns.0)
            && same(rows, left, columns.0, width)
        {
            repeat.columns.0 = left;
            repeat.drawn += 1;
        }
        while repeat.columns.1 + width <= area.columns.1 && same(rows, repeat.columns.1 + 1, columns.0, width)
        {
            repeat.columns.1 += width;
            repeat.drawn += 1;
        }
        Some(repeat)
    }

    /// Cuts a row at the repeat, in the order worked.
    pub(super) fn cut(&self, units: &[Unit], side: Side) -> Parts {
        let one = (self.columns.0, self.columns.0 + self.width - 1);
        let part = |from: u32, to: u32| {
            let part: Vec<Unit> =
                units.iter().filter(|unit| (from..=to).contains(&unit.span.first.column)).cloned().collect();
            super::charted::as_worked(&part, side)
        };
        let left = if self.columns.0 == 0 { Vec::new() } else { part(0, self.columns.0 - 1) };
        let right = part(self.columns.1 + 1, u32::MAX);
        let (before, after) = if side == Side::Rs { (right, left) } else { (left, right) };
        Parts { before, unit: part(one.0, one.1), after }
    }
}

/// Whether two blocks of columns show the same symbols in every row.
fn same(rows: &[(u32, &[Unit])], one: u32, two: u32, width: u32) -> bool {
    let block = |units: &[Unit], from: u32| -> Vec<(u32, u32, Option<Rc<Works>>)> {
        units
            .iter()
            .filter(|unit| unit.span.last.column >= from && unit.span.first.column < from + width)
            .map(|unit| {
                // A stitch that reaches out of the block is no part of a whole working.
                (unit.span.first.column.wrapping_sub(from), unit.span.width(), unit.works.clone())
            })
            .collect()
    };
    rows.iter().all(|(_, units)| block(units, one) == block(units, two))
}

/// How often the repeat is worked, and the widths it allows.
pub(super) struct Width {
    pub(super) times: u32,
    pub(super) multiple: Multiple,
}

/// Finds how often the repeat is worked: to fill the cast-on, for the first size, or as often as the settings
/// write out where neither is known. `drawn_uses` are the loops row 1 uses as drawn, `unit_uses` those of one
/// working.
pub(super) fn width(
    place: Place,
    repeat: &Repeat,
    drawn_uses: u32,
    unit_uses: u32,
    settings: &Settings,
    findings: &mut Vec<Finding>,
) -> Option<Width> {
    let plus = drawn_uses.saturating_sub(unit_uses * repeat.drawn);
    let multiple = Multiple { of: unit_uses, plus };
    let widths = |times: u32| unit_uses.saturating_mul(times).saturating_add(plus);
    if unit_uses == 0 {
        findings.push(
            Finding::new(Code::RepeatDoesNotFit, place, "The repeat uses no stitches on row 1.".to_owned())
                .help("Correct repeat-columns."),
        );
        return None;
    }
    if let Some((_, times)) = settings.sizes.as_ref().and_then(|sizes| sizes.first()) {
        if let Some(cast_on) = settings.cast_on.filter(|cast_on| *cast_on != widths(*times)) {
            findings.push(
                Finding::new(
                    Code::SettingsDisagree,
                    place,
                    format!(
                        "The first size works the repeat {times} times, which takes {} sts, but the cast-on is {cast_on}.",
                        widths(*times)
                    ),
                )
                .found(format!("{cast_on} sts"))
                .expected(format!("{} sts", widths(*times)))
                .help("Leave cast-on out where sizes are given, or correct one of the two."),
            );
            return None;
        }
        return Some(Width { times: *times, multiple });
    }
    let Some(cast_on) = settings.cast_on else {
        let times = settings.repeats.unwrap_or(repeat.drawn);
        let how = if times == repeat.drawn {
            "as drawn".to_owned()
        } else {
            format!("with the repeat {times} times")
        };
        findings.push(
            Finding::new(
                Code::RepeatWrittenOut,
                place,
                format!("No cast-on is stated: the chart is written {how}, for {} sts.", widths(times)),
            )
            .help("Set cast-on for another width, or repeats for another number of workings."),
        );
        return Some(Width { times, multiple });
    };
    let fits = cast_on >= widths(1) && (cast_on - plus).is_multiple_of(unit_uses);
    if fits {
        return Some(Width { times: (cast_on - plus) / unit_uses, multiple });
    }
    let below = cast_on.saturating_sub(plus) / unit_uses;
    let nearest = match below {
        0 => format!("{}", widths(1)),
        times => format!("{} or {}", widths(times), widths(times + 1)),
    };
    let over = cast_on.saturating_sub(plus) % unit_uses;
    let amount = if below == 0 {
        format!("too few for one repeat ({} sts)", widths(1))
    } else {
        format!("{over} more than {below} repeats of {unit_uses} and {plus} at the edges")
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
