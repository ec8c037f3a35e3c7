//! How far a chart reaches, where blank cells are stitches and nothing marks its edge.

mod open;

use std::cell::OnceCell;

use super::area::Area;
use super::cells;
use super::drawn::Marks;
use super::key::{Key, Matched};
use super::order::Order;
use super::sentences::Widths;
use super::sheet::Sheet;
use crate::grid::Look;
use crate::place::{Address, column_letters};
use crate::problem::{Code, Finding};
use crate::settings::Settings;
use crate::stitch::Stitches;

/// A chart with its outermost columns settled.
pub(super) struct Settled {
    pub(super) area: Area,
    /// What marks its repeat, once it is asked for.
    marks: OnceCell<Marks>,
    /// Why blank columns that nothing bounds were taken into it, and how far it reached without them.
    why: Option<(String, (u32, u32))>,
}

impl Settled {
    fn new(area: Area) -> Self {
        Self { area, marks: OnceCell::new(), why: None }
    }

    /// What marks its repeat: looked for once.
    pub(super) fn marks(&self, sheet: &Sheet<'_>, widths: &Widths<'_>) -> &Marks {
        self.marks.get_or_init(|| Marks::find(sheet, &self.area, widths))
    }

    /// Moves its outermost columns.
    fn set(&mut self, columns: (u32, u32)) {
        if columns != self.area.columns {
            self.area.columns = columns;
            self.marks = OnceCell::new();
        }
    }
}

/// The chart with its outermost columns settled, where blank cells are stitches: blank columns up to the row numbers
/// belong to it, and the rest of the sheet decides how many stand at an edge that nothing marks.
pub(super) fn settled(
    sheet: &Sheet<'_>,
    area: &Area,
    order: Option<&Order>,
    (settings, widths): (&Settings, &Widths<'_>),
    key: &mut Key,
    stitches: &mut Stitches,
) -> Settled {
    let mut settled = Settled::new(area.clone());
    if !matches!(key.blank(), Some(Matched::Works(_))) {
        return settled;
    }
    let (first, last) = area.columns;
    let up_to_numbers =
        (if area.bounded.0 { area.room.0 } else { first }, if area.bounded.1 { area.room.1 } else { last });
    let lines = lines(sheet, area);
    settled.set(lines.unwrap_or(up_to_numbers));
    let Some(order) = order else { return settled };
    if lines.is_none()
        && let Some((columns, why)) = open::widened(sheet, &settled, order, (settings, widths), key, stitches)
    {
        settled.why = Some((why, settled.area.columns));
        settled.set(columns);
        return settled;
    }
    if let Some(columns) = narrowed(sheet, area, &settled, order, (settings, widths), key, stitches) {
        settled.set(columns);
    }
    settled
}

/// The columns without the blank ones that the cast-on leaves no stitches for.
fn narrowed(
    sheet: &Sheet<'_>,
    area: &Area,
    settled: &Settled,
    order: &Order,
    (settings, widths): (&Settings, &Widths<'_>),
    key: &mut Key,
    stitches: &mut Stitches,
) -> Option<(u32, u32)> {
    let (left, right) = settled.area.columns;
    let (Some(cast_on), None) = (settings.cast_on, settings.repeat_columns) else { return None };
    let row = order.rows.first()?.row.row;
    let within = |columns: (u32, u32)| Area { columns, ..area.clone() };
    if settled.marks(sheet, widths).quietly(sheet, &settled.area).is_some() {
        return None;
    }
    let mut uses = |columns: (u32, u32)| {
        let readings = cells::readings(sheet, &within(columns), row, 1, key, stitches, &mut Vec::new());
        readings.first().map(|reading| {
            reading.units.iter().filter_map(|unit| unit.works.as_ref()).map(|works| works.uses).sum::<u32>()
        })
    };
    if uses((left, right))? <= cast_on {
        return None;
    }
    let (first, last) = area.columns;
    [(left, last), (first, right), (first, last)].into_iter().find(|columns| uses(*columns) == Some(cast_on))
}

/// Whether a cell is a square of a grid by its lines.
pub(super) fn squared(look: &Look) -> bool {
    look.top.is_some() && look.bottom.is_some() && (look.left.is_some() || look.right.is_some())
}

/// How far the lines of a grid reach to the left and right of the symbols, where these stand in one: where every row has
/// lines, a blank column belongs to the chart, and one beside the lines does not.
fn lines(sheet: &Sheet<'_>, area: &Area) -> Option<(u32, u32)> {
    let looks = &sheet.grid.looks;
    // Lines of whole rows reach to the end of the sheet and tell nothing.
    let reach = looks.cells.iter().map(|(at, _)| at.column).max()?;
    let lined = |column: u32| area.rows.iter().all(|row| squared(&looks.at(Address::new(row.row, column))));
    let (mut first, mut last) = symbols(sheet, area)?;
    if !lined(first) || !lined(last) {
        return None;
    }
    // Without row numbers a chart has no other bounds than its lines.
    let room = if area.bounded == (false, false) { (0, reach) } else { area.room };
    while first > room.0 && lined(first - 1) {
        first -= 1;
    }
    while last < room.1.min(reach) && lined(last + 1) {
        last += 1;
    }
    Some((first, last))
}

/// The first and the last column in which a row of the chart holds anything.
fn symbols(sheet: &Sheet<'_>, area: &Area) -> Option<(u32, u32)> {
    let rows = area.rows.iter().flat_map(|row| sheet.row(row.row));
    let columns = rows.map(|(at, _)| sheet.span(at));
    columns
        .map(|span| (span.first.column, span.last.column))
        .filter(|(first, last)| (area.columns.0..=area.columns.1).contains(first) && *last <= area.columns.1)
        .reduce(|(first, last), (one, end)| (first.min(one), last.max(end)))
}

/// Says which blank columns at the edges were read as stitches, or as none, where nothing else tells that they are.
pub(super) fn told(
    sheet: &Sheet<'_>,
    whole: &Settled,
    settings: &Settings,
    widths: &Widths<'_>,
) -> Option<Finding> {
    let Settled { area: settled, why, .. } = whole;
    let (first, last) = match why {
        Some((_, columns)) => *columns,
        None => symbols(sheet, settled)?,
    };
    let lined = lines(sheet, settled).is_some();
    let edge = |columns: &str, one: bool| match one {
        true => format!("Column {columns} holds nothing in any row, and was"),
        false => format!("Columns {columns} hold nothing in any row, and were"),
    };
    let assumed =
        |message: String| Finding::new(Code::BlankAssumed, sheet.grid.place(settled.span()), message);
    let blank: Vec<String> = (settled.columns.0..first)
        .chain(last + 1..settled.columns.1.saturating_add(1))
        .filter(|column| {
            let numbered = || settled.column_numbers.contains_key(column);
            !sheet.hidden_column(*column) && (why.is_some() || !numbered())
        })
        .map(column_letters)
        .collect();
    let blanks = edge(&blank.join(", "), blank.len() == 1);
    if let Some((why, _)) = why {
        return Some(
            assumed(format!("{blanks} read as stitches of the chart: {why}."))
                .help("Nothing, if that is so. If they are a margin, correct what tells the width; symbols in them leave no doubt."),
        );
    }
    if blank.is_empty() {
        let margin = open::margin(sheet, whole, settings, widths).filter(|_| !lined)?;
        let blanks = edge(&margin, !margin.contains(','));
        return Some(
            assumed(format!("{blanks} taken as a margin in front of the chart, not as stitches of it."))
                .help("Nothing, if that is so. If they are stitches, type their symbols, set cast-on, or draw lines around the squares of the chart."),
        );
    }
    (settings.cast_on.is_none() && !lined).then(|| {
        assumed(format!("{blanks} read as stitches of the chart: blank cells up to the row numbers are."))
            .help("If they only part the chart from its numbers, take them out, set cast-on, or draw lines around the squares of the chart.")
    })
}
