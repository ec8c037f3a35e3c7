//! Fills of cells: those that no key explains, and those that are missing in a chart of fills.

use foldhash::{HashMap, HashMapExt, HashSet};

use super::super::area::Area;
use super::super::key::{FILL, Key, quoted};
use super::super::order::Numbered;
use super::super::sheet::Sheet;
use super::{Unit, fill_help};
use crate::grid::Colour;
use crate::place::Address;
use crate::problem::{Code, Finding};

/// What is to be said of the fills of a chart whose cells could all be read, `units` being those of its rows.
pub(in crate::chart) fn fills(
    sheet: &Sheet<'_>,
    area: &Area,
    rows: &[Numbered],
    units: &[Vec<Unit>],
    key: &mut Key,
) -> Vec<Finding> {
    let unfilled = unfilled(sheet, area, rows, units, key);
    unfilled.map_or_else(|| not_of_the_key(sheet, rows, units), |finding| vec![finding])
}

/// A stitch in a fill that no key explains, and the number of its row.
type Other<'a> = (Colour, u32, &'a Unit);

/// Says of stitches that they stand in fills that no key explains. That is asked where others are worked in the colours of
/// their fills, or are what their fills mean. Else symbols tell what is worked, but blank cells may be meant for something.
fn not_of_the_key(sheet: &Sheet<'_>, rows: &[Numbered], units: &[Vec<Unit>]) -> Vec<Finding> {
    // Most sheets look like nothing.
    if sheet.grid.looks.is_empty() {
        return Vec::new();
    }
    let mut others: Vec<Other<'_>> = Vec::new();
    let (mut in_fills, mut in_colours) = (false, false);
    for (row, units) in rows.iter().zip(units) {
        for unit in units {
            let (at, Some(works)) = (unit.span.first, &unit.works) else { continue };
            if sheet.fill(at).is_some() {
                in_fills |= works.symbol.starts_with(FILL);
                in_colours |= works.colour.is_some();
            } else if let Some(look) = sheet.look(at).filter(|_| unit.blank || works.colour.is_none()) {
                others.push((look, row.number, unit));
            }
        }
    }
    let is_asked = |unit: &Unit| if unit.blank { in_fills } else { in_colours };
    let (asked, left): (Vec<Other<'_>>, Vec<Other<'_>>) =
        others.into_iter().partition(|(.., unit)| is_asked(unit));
    let findings = asked.into_iter().map(|other| unexplained(sheet, other));
    findings.chain(worked_as_blanks(sheet, &left)).collect()
}

fn unexplained(sheet: &Sheet<'_>, (look, number, unit): Other<'_>) -> Finding {
    let symbol = format!("{FILL}{look}");
    let message = format!("No key explains {}.", quoted(&symbol));
    let help = format!("{} If the fill only marks something, take it out.", fill_help(&symbol));
    Finding::new(Code::UnknownSymbol, sheet.grid.place(unit.span), message)
        .row(number)
        .found(symbol)
        .expected("a fill that the key explains")
        .help(help)
}

/// Says of each fill that blank cells have, and no symbol, that they were worked as blank ones.
fn worked_as_blanks(sheet: &Sheet<'_>, others: &[Other<'_>]) -> Vec<Finding> {
    let typed: HashSet<Colour> =
        others.iter().filter(|(.., unit)| !unit.blank).map(|(look, ..)| *look).collect();
    let mut told: Vec<(&Other<'_>, usize)> = Vec::new();
    let mut known: HashMap<Colour, usize> = HashMap::new();
    for other in others.iter().filter(|(look, ..)| !typed.contains(look)) {
        let place = *known.entry(other.0).or_insert(told.len());
        match told.get_mut(place) {
            Some((_, more)) => *more += 1,
            None => told.push((other, 0)),
        }
    }
    told.into_iter().map(|(other, more)| worked_as_blank(sheet, other, more)).collect()
}

fn worked_as_blank(sheet: &Sheet<'_>, &(look, number, unit): &Other<'_>, more: usize) -> Finding {
    let blanks = match more {
        0 => "This blank cell is".to_owned(),
        more => format!("This blank cell and {more} more are"),
    };
    let message =
        format!("{blanks} filled {look}, which no key explains: worked as the other blank cells are.");
    Finding::new(Code::UnreadKeyEntry, sheet.grid.place(unit.span), message)
        .row(number)
        .found(format!("{FILL}{look}"))
        .help(
            "Nothing, if the fill only marks something. If it is no stitch, or another one, give the key of the sheet a square filled alike with its meaning beside it.",
        )
}

/// Says that cells at the ends of rows are not filled, where all others of a chart are, nothing shapes it and no key says what
/// they mean: a picture in colours has no gaps.
fn unfilled(
    sheet: &Sheet<'_>,
    area: &Area,
    rows: &[Numbered],
    units: &[Vec<Unit>],
    key: &mut Key,
) -> Option<Finding> {
    let filled = |unit: &Unit| {
        unit.works.as_ref().is_some_and(|works| works.colour.is_some() && works.symbol.starts_with(FILL))
    };
    if key.blank().is_some() || !units.iter().flatten().all(filled) {
        return None;
    }
    let (first, last) = area.columns;
    let open = |(row, units): (&Numbered, &Vec<Unit>)| {
        let (left, right) = (units.first()?.span.first.column, units.last()?.span.last.column);
        let cells = (first..left).chain(right + 1..=last).filter(|column| !sheet.hidden_column(*column));
        Some((row.number, Address::new(row.row.row, cells.clone().next()?), cells.count()))
    };
    let mut open = rows.iter().zip(units).filter_map(open);
    let (number, at, count) = open.next()?;
    let more = match open.fold(count, |all, (.., count)| all + count) - 1 {
        0 => String::new(),
        n => format!(", and {n} more"),
    };
    Some(
        Finding::new(
            Code::BlankCell,
            sheet.grid.place(at),
            format!("A cell of the chart is not filled as the others are{more}, and no key says what that means."),
        )
        .row(number)
        .found("a blank cell")
        .expected("a fill of the key")
        .help("Fill it, or put an empty square with its colour into the sheet's key; where it is no stitch, \"\" = \"ns\" under [key] in longhand.toml."),
    )
}
