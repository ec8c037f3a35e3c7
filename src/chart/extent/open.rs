//! Blank columns at an edge that neither row numbers nor lines bound: whether they are stitches of the chart, as the rest
//! of the sheet tells, or a margin.

use super::super::area::Area;
use super::super::cells;
use super::super::drawn::{Drawn, Marks};
use super::super::key::Key;
use super::super::order::Order;
use super::super::sentences::Widths;
use super::super::sheet::Sheet;
use super::Settled;
use crate::pattern::Multiple;
use crate::place::{Address, column_letters};
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
    /// What its first row makes.
    Makes(u32),
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
        let stated = || order.rows.first()?.row.stated.map(|(count, _)| Self::Makes(count));
        cast_on.or_else(stated).or_else(|| widths.multiple().map(Self::OneOf))
    }

    /// Whether it is that of a chart in these columns, whose first row uses and makes so many.
    fn fits(&self, sheet: &Sheet<'_>, (first, last): (u32, u32), (uses, makes): (u32, u32)) -> bool {
        match self {
            Self::Columns(named) => {
                let columns = (first..=last).filter(|column| !sheet.hidden_column(*column)).count();
                columns >= named.first.max(named.last) as usize
            }
            Self::Uses(told) => uses == *told,
            Self::Makes(told) => makes == *told,
            Self::OneOf(told) => told.times(uses).is_some(),
        }
    }

    fn why(&self) -> String {
        match self {
            Self::Columns(named) => {
                format!("the repeat is said to be {named}")
            }
            Self::Uses(told) => format!("the cast-on is {told} sts"),
            Self::Makes(told) => format!("the first row is said to have {told} sts"),
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
    let row = order.rows.first()?.row.row;
    let mut counts = |columns: (u32, u32)| {
        let trial = Area { columns, ..area.clone() };
        let readings = cells::readings(sheet, &trial, row, 1, key, stitches, &mut Vec::new());
        let works = |reading: &cells::Reading| {
            let works = reading.units.iter().filter_map(|unit| unit.works.as_ref());
            works.fold((0, 0), |(uses, makes), works| (uses + works.uses, makes + works.makes))
        };
        readings.first().map(works)
    };
    let told = Width::of(sheet, settled, order, settings, widths)?;
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
) -> Option<String> {
    let area = &settled.area;
    let first = room(sheet, area).0;
    let narrow = (1..=2).contains(&area.columns.0) && first == 0;
    let told = settings.cast_on.is_some()
        || settings.repeat_columns.is_some()
        || widths.cast_on().is_some()
        || widths.multiple().is_some()
        || !area.column_numbers.is_empty()
        || area.rows.iter().any(|row| row.stated.is_some());
    let kept_free = || sheet.grid.cells.iter().all(|cell| cell.at.column >= area.columns.0);
    let marked = || settled.marks(sheet, widths).quietly(sheet, area).is_some();
    if !narrow || told || kept_free() || marked() {
        return None;
    }
    let columns: Vec<String> = (0..area.columns.0).map(column_letters).collect();
    Some(columns.join(", "))
}
