//! Blank columns at an edge that neither row numbers nor lines bound: whether they are stitches of the chart, as the rest
//! of the sheet tells, or a margin.

use super::super::area::Area;
use super::super::cells;
use super::super::drawn::{Drawn, Marks};
use super::super::key::Key;
use super::super::order::{Numbered, Order};
use super::super::sentences::Widths;
use super::super::sheet::Sheet;
use super::Settled;
use crate::pattern::Multiple;
use crate::place::{Address, Span, column_letters};
use crate::settings::{RepeatColumns, Settings};
use crate::stitch::Stitches;

/// The most blank columns that are taken as an edge of a chart.
const MOST: u32 = 12;

/// What tells how wide a chart is.
enum Width {
    /// Its columns, hidden ones left out.
    Columns(RepeatColumns),
    /// What its first row uses.
    Uses(u32),
    /// What one of its rows makes, the first that says so: its number, and how many.
    Makes(u32, u32),
    /// What the uses of its first row are one of.
    OneOf(Multiple),
}

impl Width {
    fn of(
        sheet: &Sheet<'_>,
        settled: &Settled,
        order: &Order,
        settings: &Settings,
        widths: &Widths<'_>,
    ) -> Option<Self> {
        let area = &settled.area;
        // Printed numbers tell which columns are meant.
        let named = |columns| area.column_numbers.is_empty().then_some(Self::Columns(columns));
        if let Some(columns) = settings.repeat_columns {
            return named(columns);
        }
        match settled.marks(sheet, widths).quietly(sheet, area) {
            Some(Drawn::Sentence(_, columns)) => return named(columns),
            // Around it the chart may be as wide as it likes.
            Some(_) => return None,
            None => {}
        }
        let cast_on = settings.cast_on.or(widths.cast_on().map(|(cast_on, _)| cast_on)).map(Self::Uses);
        let stated = || {
            order
                .rows
                .iter()
                .find_map(|row| Some(Self::Makes(row.number, row.row.stated.map(|(count, _)| count)?)))
        };
        cast_on.or_else(stated).or_else(|| widths.multiple().map(Self::OneOf))
    }

    /// The row that tells it.
    fn row<'a>(&self, order: &'a Order) -> Option<&'a Numbered> {
        match self {
            Self::Makes(number, _) => order.rows.iter().find(|row| row.number == *number),
            _ => order.rows.first(),
        }
    }

    /// Whether it is that of a chart in these columns, of which the row that tells it uses and makes so many.
    fn fits(&self, sheet: &Sheet<'_>, (first, last): (u32, u32), (uses, makes): (u32, u32)) -> bool {
        match self {
            Self::Columns(named) => {
                let columns = (first..=last).filter(|column| !sheet.hidden_column(*column)).count();
                columns >= named.first.max(named.last) as usize
            }
            Self::Uses(told) => uses == *told,
            Self::Makes(_, told) => makes == *told,
            Self::OneOf(told) => told.times(uses).is_some(),
        }
    }

    fn why(&self) -> String {
        match self {
            Self::Columns(named) => {
                format!("the repeat is said to be {named}")
            }
            Self::Uses(told) => format!("the cast-on is {told} sts"),
            Self::Makes(row, told) => format!("Row {row} is said to have {told} sts"),
            Self::OneOf(told) => format!("only with them is Row 1 {told}"),
        }
    }
}

/// The columns of a chart with the blank ones beside them that belong to it by a bracket, a box, numbers of columns, or what
/// is told of its width, and which of these it was.
pub(super) fn widened(
    sheet: &Sheet<'_>,
    settled: &Settled,
    order: &Order,
    (settings, widths): (&Settings, &Widths<'_>),
    key: &mut Key,
    stitches: &mut Stitches,
) -> Option<((u32, u32), String)> {
    let area = &settled.area;
    let room = room(sheet, area);
    if room == area.columns {
        return None;
    }
    if let Some(marked) = marked(sheet, area, room, widths) {
        return Some(marked);
    }
    let told = Width::of(sheet, settled, order, settings, widths)?;
    let row = told.row(order)?.row.row;
    let mut counts = |columns: (u32, u32)| {
        let trial = Area { columns, ..area.clone() };
        let readings = cells::readings(sheet, &trial, row, 1, key, stitches, &mut Vec::new());
        let works = |reading: &cells::Reading| {
            let works = reading.units.iter().filter_map(|unit| unit.works.as_ref());
            works.fold((0, 0), |(uses, makes), works| (uses + works.uses, makes + works.makes))
        };
        readings.first().map(works)
    };
    let (first, last) = area.columns;
    if told.fits(sheet, area.columns, counts(area.columns)?) {
        return None;
    }
    let left = (room.0..first).rev().map(|column| (column, last));
    // On the right every sheet is blank: without row numbers on the left that tells nothing.
    let end = if area.bounded.0 { room.1 } else { last };
    let right = (last..end).map(|column| (first, column + 1));
    let fits = left
        .chain(right)
        .find(|columns| counts(*columns).is_some_and(|counts| told.fits(sheet, *columns, counts)))?;
    Some((fits, told.why()))
}

/// How far blank columns reach at the edges that nothing bounds.
fn room(sheet: &Sheet<'_>, area: &Area) -> (u32, u32) {
    let unnumbered = area.bounded == (false, false);
    let room = if unnumbered { (0, u32::MAX) } else { area.room };
    let blank = |column: u32| {
        !sheet.hidden_column(column)
            && area.rows.iter().all(|row| sheet.grid.get(Address::new(row.row, column)).is_none())
    };
    let (mut first, mut last) = area.columns;
    while !area.bounded.0 && first > room.0 && area.columns.0 - first < MOST && blank(first - 1) {
        first -= 1;
    }
    while !area.bounded.1 && last < room.1 && last - area.columns.1 < MOST && blank(last + 1) {
        last += 1;
    }
    (first, last)
}

/// The columns as far as a bracket, a box or the numbers of columns take in blank ones.
fn marked(
    sheet: &Sheet<'_>,
    area: &Area,
    room: (u32, u32),
    widths: &Widths<'_>,
) -> Option<((u32, u32), String)> {
    let within = |(first, last): (u32, u32)| {
        let columns = (first.min(area.columns.0), last.max(area.columns.1));
        (columns != area.columns && room.0 <= first && last <= room.1).then_some(columns)
    };
    let numbers = area.column_numbers.first_key_value().zip(area.column_numbers.last_key_value());
    let numbered = numbers.and_then(|((first, _), (last, _))| within((*first, *last)));
    let why = |why: &'static str| move |columns| (columns, why.to_owned());
    if let Some(numbered) = numbered {
        return Some((numbered, "they are numbered as the others are".to_owned()));
    }
    let wide = Area { columns: room, ..area.clone() };
    match Marks::find(sheet, &wide, widths).quietly(sheet, &wide)? {
        Drawn::Box(rows, drawn) => {
            let columns = drawn.iter().filter_map(|row| rows.get(row)).copied();
            let all = columns.reduce(|(first, last), (one, end)| (first.min(one), last.max(end)))?;
            within(all).map(why("the box of the repeat takes them in"))
        }
        Drawn::Bracket(_, columns) => within(columns).map(why("the bracket of the repeat takes them in")),
        Drawn::Sentence(..) => None,
    }
}

/// The blank columns in front of a chart that were taken as a margin, where they could be stitches as well: the sheet does
/// not keep them free, and nothing tells how wide the chart is.
pub(super) fn margin(
    sheet: &Sheet<'_>,
    settled: &Settled,
    settings: &Settings,
    widths: &Widths<'_>,
) -> Option<Vec<String>> {
    let area = &settled.area;
    let narrow = (1..=2).contains(&area.columns.0) && room(sheet, area).0 == 0;
    if !narrow || kept_free(sheet, area) || is_told(sheet, settled, settings, widths) {
        return None;
    }
    Some((0..area.columns.0).map(column_letters).collect())
}

/// The blank cells beyond the symbols at edges that nothing bounds, where they could be stitches as well: some rows of the
/// chart begin or end with blank cells, or its rows are numbered on the left alone, and nothing tells how wide it is. Those
/// on the left may be told to be a margin.
pub(super) fn beyond(
    sheet: &Sheet<'_>,
    settled: &Settled,
    margin: bool,
    settings: &Settings,
    widths: &Widths<'_>,
) -> Option<String> {
    let area = &settled.area;
    let (first, last) = area.columns;
    let blank_at = |edge: fn(Span, (u32, u32)) -> bool| {
        area.rows.iter().any(|row| {
            let mut cells = sheet.row(row.row).map(|(at, _)| sheet.span(at));
            !cells.any(|cells| edge(cells, (first, last)))
        })
    };
    let left = !margin
        && !area.bounded.0
        && room(sheet, area).0 < first
        && blank_at(|cells, (first, _)| cells.first.column <= first && first <= cells.last.column);
    let right = !area.bounded.1
        && (area.bounded.0
            || blank_at(|cells, (_, last)| cells.first.column <= last && last <= cells.last.column));
    if !(left && !kept_free(sheet, area) || right) || is_told(sheet, settled, settings, widths) {
        return None;
    }
    let [before, behind] = [first, last].map(column_letters);
    Some(match (left, right) {
        (true, true) => format!("Blank cells left of column {before} and right of column {behind}"),
        (true, false) => format!("Blank cells left of column {before}"),
        (false, _) => format!("Blank cells right of column {behind}"),
    })
}

/// Whether nothing at all stands in the columns in front of a chart: the sheet keeps them free.
fn kept_free(sheet: &Sheet<'_>, area: &Area) -> bool {
    sheet.first_column() >= area.columns.0
}

/// Whether anything tells how wide a chart is.
fn is_told(sheet: &Sheet<'_>, settled: &Settled, settings: &Settings, widths: &Widths<'_>) -> bool {
    let area = &settled.area;
    settings.cast_on.is_some()
        || settings.repeat_columns.is_some()
        || widths.cast_on().is_some()
        || widths.multiple().is_some()
        || !area.column_numbers.is_empty()
        || area.rows.iter().any(|row| row.stated.is_some())
        || settled.marks(sheet, widths).quietly(sheet, area).is_some()
}
