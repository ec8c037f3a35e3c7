//! From the cells of a charted row to its stitches in the order they are worked.

use std::ops::Range;

use super::cells::Unit;
use super::key::{Stand, Unworkable, Works, quoted};
use super::order::Numbered;
use crate::grid::Grid;
use crate::pattern::Side;
use crate::place::Span;
use crate::problem::{Code, Finding};
use crate::stitch::{StitchId, Stitches};

/// The stitches of a charted row as worked.
#[derive(Clone, Debug, Default)]
pub(super) struct Worked {
    /// The stitches, in the terms of their side.
    pub(super) stitches: Vec<StitchId>,
    /// The cells of each.
    pub(super) cells: Vec<Span>,
    /// What the key says the loops of each are worked with on the return row; empty where it says so of none.
    on_return: Vec<Option<StitchId>>,
}

impl Worked {
    fn with_capacity(stitches: usize) -> Self {
        Self {
            stitches: Vec::with_capacity(stitches),
            cells: Vec::with_capacity(stitches),
            on_return: Vec::new(),
        }
    }

    /// Adds a stitch for each of some cells.
    fn add(
        &mut self,
        stitch: StitchId,
        on_return: Option<StitchId>,
        cells: impl ExactSizeIterator<Item = Span>,
    ) {
        let before = self.stitches.len();
        let count = before + cells.len();
        self.stitches.resize(count, stitch);
        self.cells.extend(cells);
        if on_return.is_some() || !self.on_return.is_empty() {
            self.on_return.resize(before, None);
            self.on_return.resize(count, on_return);
        }
    }

    /// What the key says the loops of a stitch are worked with on the return row.
    pub(super) fn on_return(&self, stitch: usize) -> Option<StitchId> {
        self.on_return.get(stitch).copied().flatten()
    }

    /// Whether the key says so of any.
    pub(super) fn says_returns(&self) -> bool {
        !self.on_return.is_empty()
    }

    /// Whether the key says the same of all stitches between two places.
    pub(super) fn is_returned_alike(&self, mut run: Range<usize>) -> bool {
        let first = self.on_return(run.start);
        run.all(|at| self.on_return(at) == first)
    }

    /// Some of its stitches, given by their places, as a row of their own.
    pub(super) fn picked(&self, places: impl IntoIterator<Item = usize>) -> Self {
        let mut row = Self::default();
        for at in places {
            if let (Some(&stitch), Some(&cells)) = (self.stitches.get(at), self.cells.get(at)) {
                row.add(stitch, self.on_return(at), std::iter::once(cells));
            }
        }
        row
    }

    /// Two yarn overs of one colour side by side are one double yarn over.
    fn with_double_yarn_overs(self, stitches: &mut Stitches) -> Self {
        let over = |one: StitchId, next: StitchId, stitches: &Stitches| {
            one == next && is_of(one, Stitches::YO, stitches)
        };
        if !self.stitches.windows(2).any(|pair| over(pair[0], pair[1], stitches)) {
            return self;
        }
        let mut joined = Self::with_capacity(self.stitches.len());
        for (at, (&stitch, &cells)) in self.stitches.iter().zip(&self.cells).enumerate() {
            match (joined.stitches.last_mut(), joined.cells.last_mut()) {
                (Some(last), Some(span)) if over(*last, stitch, stitches) => {
                    *last = stitches.in_colour_of(Stitches::YO2, stitch).unwrap_or(Stitches::YO2);
                    *span = span.join(cells);
                }
                _ => joined.add(stitch, self.on_return(at), std::iter::once(cells)),
            }
        }
        joined
    }
}

/// Whether a stitch is this one, in whatever colour.
#[inline]
pub(super) fn is_of(stitch: StitchId, plain: StitchId, stitches: &Stitches) -> bool {
    stitch == plain || (!stitch.is_built_in() && stitches.plain(stitch) == plain)
}

/// A symbol of a row, with the cells it stands in: a unit that is no gap.
#[derive(Clone, Copy, Debug)]
pub(super) struct Symbol<'a> {
    pub(super) works: &'a Works,
    cells: &'a Span,
}

/// Some units of a row in the order they are worked.
pub(super) fn as_worked(units: &[Unit], side: Side) -> Vec<Symbol<'_>> {
    let mut worked = Vec::with_capacity(units.len());
    let symbols =
        units.iter().filter_map(|unit| Some(Symbol { works: unit.works.as_ref()?, cells: &unit.span }));
    match side {
        Side::Rs => worked.extend(symbols.rev()),
        Side::Ws => worked.extend(symbols),
    }
    worked
}

/// The stitches of a row, from its symbols in the order they are worked. `typed_as_worked` says that WS rows are
/// typed as the hands work them.
pub(super) fn stitches_of(
    grid: &Grid,
    row: &Numbered,
    symbols: &[Symbol<'_>],
    typed_as_worked: bool,
    stitches: &mut Stitches,
    findings: &mut Vec<Finding>,
) -> Option<Worked> {
    let mut worked = Worked::with_capacity(symbols.len());
    let mut unworkable: Vec<(Unworkable, &Works, Span, usize)> = Vec::new();
    for (run, stand) in by_stand(symbols) {
        let Some(&Symbol { works, .. }) = run.first() else { continue };
        // The return row is worked from the other end.
        let returning = Stand { first: stand.last, last: stand.first };
        match works.hands(row.side, stand, typed_as_worked, stitches) {
            Ok(stitch) => {
                let on_return = works.on_return(returning, stitch, stitches);
                worked.add(stitch, on_return, run.iter().map(|symbol| *symbol.cells));
            }
            Err(why) => {
                for &Symbol { works, cells } in run {
                    match unworkable.iter_mut().find(|(known, other, _, _)| {
                        *other == works && *known == why && why != Unworkable::Silent
                    }) {
                        Some(known) => known.3 += 1,
                        None => unworkable.push((why, works, *cells, 1)),
                    }
                }
            }
        }
    }
    for (why, works, span, times) in &unworkable {
        let times = if *times > 1 { format!(", {times} times in this row") } else { String::new() };
        let place = grid.place(*span);
        let symbol = quoted(&works.symbol);
        findings.push(match why {
            Unworkable::NoOpposite(id) => {
                let name = &stitches.get(*id).name;
                Finding::new(
                    Code::NoOpposite,
                    place,
                    format!("{symbol} ({name}) stands on the {} Row {}{times}, and there is no usual way to work it there.", row.side.word(), row.number),
                )
                .row(row.number)
                .found(name)
                .expected(format!("what the hands do for {symbol} on {} rows", row.side.word()))
                .help(format!(
                    "Say it in the key: \"{}\" = {{ rs = \"{name}\", ws = \"...\" }} under [key] in longhand.toml, with a stitch of your own where no name fits.",
                    works.symbol
                ))
            }
            Unworkable::Silent => Finding::new(
                Code::KeySideMissing,
                place,
                format!(
                    "The key says what {symbol} is only for certain places, and not for where it stands on Row {}{times}.",
                    row.number
                ),
            )
            .row(row.number)
            .found(symbol)
            .help(format!(
                "Add rs = \"...\" and ws = \"...\" to the entry for \"{}\", for the places it does not name.",
                works.symbol
            )),
        });
    }
    unworkable.is_empty().then(|| worked.with_double_yarn_overs(stitches))
}

/// The symbols of a row cut where their place may change what is worked: the first, as many within the row as are the same
/// side by side, and the last.
fn by_stand<'r, 'a>(symbols: &'r [Symbol<'a>]) -> impl Iterator<Item = (&'r [Symbol<'a>], Stand)> {
    let (first, rest) = symbols.split_at(symbols.len().min(1));
    let (within, last) = rest.split_at(rest.len().saturating_sub(1));
    let alike = |one: &Symbol<'a>, other: &Symbol<'a>| std::ptr::eq(one.works, other.works);
    let within = within.chunk_by(alike).map(|run| (run, Stand::default()));
    [(first, Stand { first: true, last: last.is_empty() })]
        .into_iter()
        .chain(within)
        .chain([(last, Stand { first: false, last: true })])
}

/// The row of a knitter who works mirror-wise: from the other edge, leaning stitches mirrored.
pub(super) fn mirrored(
    grid: &Grid,
    number: u32,
    row: &Worked,
    stitches: &mut Stitches,
    findings: &mut Vec<Finding>,
) -> Option<Worked> {
    let mut mirrored = Worked::with_capacity(row.stitches.len());
    let mut without: Vec<StitchId> = Vec::new();
    for (at, (&stitch, &cells)) in row.stitches.iter().zip(&row.cells).enumerate().rev() {
        let on_return = row.on_return(at).map(|id| stitches.mirror(id).ok_or(id)).transpose();
        let stitch = stitches.mirror(stitch).ok_or(stitch);
        match stitch.and_then(|stitch| Ok((stitch, on_return?))) {
            Ok((stitch, on_return)) => mirrored.add(stitch, on_return, std::iter::once(cells)),
            Err(none) if without.contains(&none) => {}
            Err(none) => {
                without.push(none);
                let name = stitches.get(none).name.clone();
                findings.push(
                    Finding::new(
                        Code::NoMirror,
                        grid.place(cells),
                        format!("{name} on Row {number} has no usual mirror for a left-handed knitter."),
                    )
                    .row(number)
                    .found(&name)
                    .help("Give a stitch of your own with mirror = \"...\" in the settings, or write the chart right-handed."),
                );
            }
        }
    }
    without.is_empty().then_some(mirrored)
}
