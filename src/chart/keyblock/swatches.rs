//! Filled squares with the names of their yarns in other layouts than columns of squares and words: the name within its square,
//! before it or below it; and behind it where the name alone does not tell that it is one, "A" or "dark".

use foldhash::{HashMap, HashMapExt, HashSet};

use super::super::key::FILL;
use super::super::label;
use super::super::sheet::Sheet;
use super::{Found, entry, heads, says};
use crate::grid::Colour;
use crate::place::Address;
use crate::stitch::Stitches;
use crate::words;

/// Where a name stands, seen from its square: rows and columns on.
type Step = (i32, i32);

const WITHIN: Step = (0, 0);
const BEHIND: Step = (0, 1);
const BEFORE: Step = (0, -1);
const BELOW: Step = (1, 0);
const ABOVE: Step = (-1, 0);

/// A square and the cell of its name.
type Swatch = (Address, Address);

/// Takes squares whose names stand within, before or below them. They are sought before keys of other layouts, which would take
/// two names side by side for a symbol and its words.
pub(super) fn take(sheet: &mut Sheet<'_>, stitches: &mut Stitches, found: &mut Found) {
    let Some(fills) = Fills::of(sheet, found) else { return };
    for step in [WITHIN, BEFORE, BELOW] {
        fills.take_at(sheet, step, stitches, found);
    }
}

/// Takes squares whose names stand behind them and were not read as a key yet.
pub(super) fn take_left(sheet: &mut Sheet<'_>, stitches: &mut Stitches, found: &mut Found) {
    if let Some(fills) = Fills::of(sheet, found) {
        fills.take_at(sheet, BEHIND, stitches, found);
    }
}

/// Whether the row of names below squares holds nothing else.
fn names_alone(sheet: &Sheet<'_>, group: &[Swatch]) -> bool {
    group.first().is_some_and(|(_, name_at)| sheet.row(name_at.row).count() == group.len())
}

fn moved(at: Address, (down, right): Step) -> Option<Address> {
    Some(Address::new(at.row.checked_add_signed(down)?, at.column.checked_add_signed(right)?))
}

/// What of a sheet is filled, other than white.
struct Fills {
    /// How many cells have each fill.
    times: HashMap<Colour, usize>,
    /// How many of these hold what may be a symbol.
    typed: HashMap<Colour, usize>,
    /// How many cells without a fill do.
    plain: usize,
    /// Whether a key to fills was found before.
    known: bool,
}

impl Fills {
    /// The fills of a sheet; none where no two cells are filled alike.
    fn of(sheet: &Sheet<'_>, found: &Found) -> Option<Self> {
        let mut times: HashMap<Colour, usize> = HashMap::new();
        for (at, _) in &sheet.grid.looks.cells {
            if let Some(fill) = sheet.look(*at) {
                *times.entry(fill).or_default() += 1;
            }
        }
        if times.values().all(|times| *times < 2) {
            return None;
        }
        let (mut typed, mut plain) = (HashMap::new(), 0);
        for row in sheet.rows() {
            let symbol = |text: &str| text.chars().count() <= 3 && label::parse(text).is_none();
            for (at, _) in sheet.row(row).filter(|(_, text)| symbol(text)) {
                match sheet.look(at) {
                    Some(fill) => *typed.entry(fill).or_insert(0) += 1,
                    None => plain += 1,
                }
            }
        }
        let known = found.entries.iter().any(|entry| entry.symbol.starts_with(FILL));
        Some(Self { times, typed, plain, known })
    }

    /// Takes the squares that are keys, with the names that stand in such cells.
    fn take_at(&self, sheet: &mut Sheet<'_>, step: Step, stitches: &mut Stitches, found: &mut Found) {
        let mut swatches: Vec<Swatch> = sheet
            .grid
            .looks
            .cells
            .iter()
            .filter_map(|(at, _)| Some((*at, moved(*at, step)?)))
            .filter(|swatch| self.is_swatch(sheet, *swatch, step, stitches))
            .collect();
        // Below each other first, then side by side.
        if step != BELOW {
            swatches.sort_unstable_by_key(|(at, _)| (at.column, at.row));
            let below =
                |(one, _): &Swatch, (next, _): &Swatch| one.column == next.column && next.row - one.row <= 2;
            let groups: Vec<&[Swatch]> = swatches.chunk_by(below).filter(|group| group.len() > 1).collect();
            groups.into_iter().for_each(|group| self.take(sheet, group, [BEFORE, BEHIND], stitches, found));
        }
        if step != BEFORE {
            let open = if step == BELOW { [ABOVE; 2] } else { [ABOVE, BELOW] };
            swatches.retain(|(_, name_at)| sheet.text(*name_at).is_some());
            swatches.sort_unstable();
            for group in swatches.chunk_by(|(one, _), (next, _)| one.row == next.row) {
                if step != BELOW || names_alone(sheet, group) {
                    self.take(sheet, group, open, stitches, found);
                }
            }
        }
    }

    /// Whether a square with a fill that other cells have too has a name where it is sought.
    fn is_swatch(
        &self,
        sheet: &Sheet<'_>,
        (at, name_at): Swatch,
        step: Step,
        stitches: &mut Stitches,
    ) -> bool {
        let Some(fill) = sheet.look(at) else { return false };
        let Some(name) = sheet.text(name_at) else { return false };
        let apart = step == WITHIN || sheet.text(at).is_none() && sheet.look(name_at).is_none();
        // Nothing else stands beside them, but a heading or the next square.
        let open = |at: Option<Address>| {
            at.and_then(|at| Some((at, sheet.text(at)?)))
                .is_none_or(|(at, text)| step == WITHIN && sheet.look(at).is_some() || heads(&text).is_some())
        };
        let alone = match step {
            WITHIN | BEFORE => open(moved(name_at, BEFORE)) && open(moved(at, BEHIND)),
            _ => true,
        };
        self.times.get(&fill).is_some_and(|times| *times > 1)
            && apart
            && sheet.count(&name) == 1
            && alone
            && (may_name(&name, stitches) || says(&name, stitches))
    }

    /// Takes squares that are a key: each with a fill and a name of its own, with nothing filled on two sides of them.
    fn take(
        &self,
        sheet: &mut Sheet<'_>,
        group: &[Swatch],
        open: [Step; 2],
        stitches: &mut Stitches,
        found: &mut Found,
    ) {
        let filled = |at: Option<Address>| at.is_some_and(|at| sheet.look(at).is_some());
        let alone = group.iter().all(|(at, _)| open.iter().all(|side| !filled(moved(*at, *side))));
        let fills: HashSet<Colour> = group.iter().filter_map(|(at, _)| sheet.look(*at)).collect();
        if !alone || fills.len() < group.len() || !self.is_key(sheet, group, &fills, stitches) {
            return;
        }
        take_heading(sheet, group);
        for &(at, name_at) in group {
            let Some(fill) = sheet.look(at) else { continue };
            sheet.pass(at);
            if let Some(name) = sheet.take(name_at) {
                let symbol = format!("{FILL}{fill}");
                found.entries.push(entry(sheet, symbol, name.to_string(), name_at, stitches));
            }
        }
    }

    /// Whether names make a key: one is surely a colour or what is worked, or the chart is one of these fills. A square alone
    /// stands in line with one that is known, or names its colour under a heading.
    fn is_key(
        &self,
        sheet: &Sheet<'_>,
        group: &[Swatch],
        fills: &HashSet<Colour>,
        stitches: &mut Stitches,
    ) -> bool {
        let sure =
            group.iter().any(|(_, name_at)| sheet.text(*name_at).is_some_and(|name| says(&name, stitches)));
        let of = |counts: &HashMap<Colour, usize>| -> usize {
            fills.iter().filter_map(|fill| counts.get(fill)).sum()
        };
        let others = self.plain + self.typed.values().sum::<usize>() - of(&self.typed);
        let covered = of(&self.times) - group.len() > others;
        match group {
            // "No stitch", typed into the square.
            [(at, name_at)]
                if at == name_at && sure && sheet.text(*at).is_some_and(|name| name.contains(' ')) =>
            {
                true
            }
            [swatch] => heading(sheet, *swatch).is_some() && (sure || covered) || covered && self.known,
            _ => sure || covered,
        }
    }
}

/// Whether a text may be the name of a yarn: a few words or a letter, "Dusk 102", "A", "Lt".
fn may_name(name: &str, stitches: &mut Stitches) -> bool {
    const MOST_WORDS: usize = 4;
    name.contains(char::is_alphabetic)
        && !name.contains([';', '.', '?'])
        && name.split_whitespace().count() <= MOST_WORDS
        && label::parse(name).is_none()
        && heads(name).is_none()
        && words::may_be_colour(name)
        && (words::is_shade(name) || !words::may_be_worked(name, stitches))
}

/// The heading right above a square or its name, or before them.
fn heading(sheet: &Sheet<'_>, (at, name_at): Swatch) -> Option<Address> {
    let before = at.column.min(name_at.column).checked_sub(1).map(|column| Address::new(at.row, column));
    let above = (1..=2).flat_map(|up| [at, name_at].map(|at| moved(at, (-up, 0))));
    above.chain([before]).flatten().find(|at| sheet.text(*at).is_some_and(|text| heads(&text).is_some()))
}

fn take_heading(sheet: &mut Sheet<'_>, group: &[Swatch]) {
    if let Some(at) = group.first().and_then(|first| heading(sheet, *first)) {
        sheet.take(at);
    }
}
