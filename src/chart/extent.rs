//! How far a chart reaches, where blank cells are stitches and nothing marks its edge.

mod open;

use std::cell::OnceCell;

use super::area::Area;
use super::cells;
use super::drawn::{Marks, strong};
use super::key::{Key, Matched};
use super::order::Order;
use super::ruling::{above, on_the_left};
use super::sentences::Widths;
use super::sheet::Sheet;
use crate::grid::{Edge, Look};
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
    let reach = if looks.cells.is_empty() { return None } else { sheet.last_look() };
    let lined = |column: u32| area.rows.iter().all(|row| squared(&looks.at(Address::new(row.row, column))));
    let (mut first, mut last) = symbols(sheet, area)?;
    // Without row numbers a chart has no other bounds than its lines.
    let room = if area.bounded == (false, false) { (0, reach) } else { area.room };
    if !lined(first) || !lined(last) {
        return frame(sheet, area, (first, last), (room.0, room.1.min(reach)));
    }
    while first > room.0 && lined(first - 1) {
        first -= 1;
    }
    while last < room.1.min(reach) && lined(last + 1) {
        last += 1;
    }
    Some((first, last))
}

/// Whether the lines around blank columns at the edges of a chart go on above it and below, as where a whole sheet is ruled.
fn lines_go_on(sheet: &Sheet<'_>, area: &Area, (first, last): (u32, u32)) -> bool {
    let beyond = [area.top().checked_sub(1), area.bottom().checked_add(1)];
    let mut columns = (area.columns.0..first).chain(last + 1..=area.columns.1);
    let ruled = |column: u32| {
        let mut rows = beyond.into_iter().flatten();
        rows.all(|row| squared(&sheet.grid.looks.at(Address::new(row, column))))
    };
    columns.any(ruled)
}

/// The columns within a thin line around the whole chart, outside its symbols: a heavy or coloured one may mark a repeat.
fn frame(sheet: &Sheet<'_>, area: &Area, symbols: (u32, u32), room: (u32, u32)) -> Option<(u32, u32)> {
    let looks = &sheet.grid.looks;
    let thin = |edges: [Option<Edge>; 2]| edges.into_iter().flatten().any(|edge| !strong(Some(edge)));
    let upright =
        |column: u32| area.rows.iter().all(|row| thin(on_the_left(looks, Address::new(row.row, column))));
    let level =
        |row: u32, (first, last)| (first..=last).all(|column| thin(above(looks, Address::new(row, column))));
    let first = (room.0..=symbols.0).rev().find(|column| upright(*column))?;
    let last = (symbols.1..=room.1).find(|column| upright(column + 1))?;
    (level(area.top(), (first, last)) && level(area.bottom() + 1, (first, last))).then_some((first, last))
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
    let held = symbols(sheet, settled)?;
    let assumed =
        |message: String| Finding::new(Code::BlankAssumed, sheet.grid.place(settled.span()), message);
    // The blank columns of some that are not among others within them.
    let blank = |(left, right): (u32, u32), (first, last): (u32, u32), numbered: bool| -> Vec<String> {
        let columns = (left..first).chain(last + 1..right.saturating_add(1));
        let shown = columns.filter(|column| {
            !sheet.hidden_column(*column) && (numbered || !settled.column_numbers.contains_key(column))
        });
        shown.map(column_letters).collect()
    };
    if let Some((why, before)) = why {
        let near = blank(*before, held, false);
        let near = match near.is_empty() {
            true => String::new(),
            false => format!(" {} too: blank cells up to the row numbers are.", hold_nothing(&near)),
        };
        let taken = hold_nothing(&blank(settled.columns, *before, true));
        return Some(
            assumed(format!("{taken} read as stitches of the chart: {why}.{near}"))
                .help("Nothing, if that is so. If they are a margin, correct what tells the width; symbols in them leave no doubt."),
        );
    }
    let blank = blank(settled.columns, held, false);
    if lines(sheet, settled).is_some() {
        return (!blank.is_empty() && lines_go_on(sheet, settled, held)).then(|| {
            let blanks = hold_nothing(&blank);
            assumed(format!("{blanks} read as stitches of the chart: lines stand around them, though these go on above and below it."))
                .help("Nothing, if they are stitches. If they are a margin, take the lines away, number the columns or set cast-on.")
        });
    }
    let margin = open::margin(sheet, whole, settings, widths).filter(|_| blank.is_empty());
    let beyond = open::beyond(sheet, whole, margin.is_some(), settings, widths);
    let more = beyond
        .as_ref()
        .map_or_else(String::new, |beyond| format!(" {beyond} were not: nothing tells whether they are."));
    if let Some(margin) = &margin {
        return Some(
            assumed(format!("{} taken as a margin in front of the chart, not as stitches of it.{more}", hold_nothing(margin)))
                .help("Nothing, if that is so. If they are stitches, type their symbols, set cast-on, or draw lines around the squares of the chart."),
        );
    }
    if blank.is_empty() {
        let message =
            format!("{} were not read as stitches of the chart: nothing tells whether they are.", beyond?);
        return Some(
            assumed(message)
                .help("Nothing, if the chart ends there. Otherwise type symbols at its edge, number its columns, set cast-on, or draw lines around the squares of the chart."),
        );
    }
    settings.cast_on.is_none().then(|| {
        let blanks = hold_nothing(&blank);
        assumed(format!("{blanks} read as stitches of the chart: blank cells up to the row numbers are.{more}"))
            .help("If they only part the chart from its numbers, take them out, set cast-on, or draw lines around the squares of the chart.")
    })
}

/// "Column B holds nothing in any row, and was".
fn hold_nothing(columns: &[String]) -> String {
    match columns {
        [one] => format!("Column {one} holds nothing in any row, and was"),
        _ => format!("Columns {} hold nothing in any row, and were", columns.join(", ")),
    }
}
