//! From the cells of a charted row to its stitches in the order they are worked.

use super::cells::Unit;
use super::key::{Stand, Unworkable, Works, quoted};
use super::order::Numbered;
use crate::grid::Grid;
use crate::pattern::Side;
use crate::place::Span;
use crate::problem::{Code, Finding};
use crate::stitch::{StitchId, Stitches};

/// A stitch of a charted row as worked.
#[derive(Clone, Copy, Debug)]
pub(super) struct Worked {
    /// The stitch, in the terms of its side.
    pub(super) stitch: StitchId,
    /// What the key says its loops are worked with on the return row.
    pub(super) on_return: Option<StitchId>,
    /// Its cells.
    pub(super) span: Span,
}

/// What is worked for one stitch of a row, and the cells it stands in.
pub(super) type Symbol<'a> = (&'a Works, Span);

/// Some units of a row in the order they are worked.
pub(super) fn as_worked<'a>(units: &'a [Unit], side: Side) -> Vec<Symbol<'a>> {
    let mut worked = Vec::with_capacity(units.len());
    let mut work = |unit: &'a Unit| {
        if let Some(works) = &unit.works {
            worked.push((&**works, unit.span));
        }
    };
    match side {
        Side::Rs => units.iter().rev().for_each(&mut work),
        Side::Ws => units.iter().for_each(&mut work),
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
) -> Option<Vec<Worked>> {
    let mut worked: Vec<Worked> = Vec::with_capacity(symbols.len());
    let mut unworkable: Vec<(Unworkable, &Works, Span, usize)> = Vec::new();
    for (run, stand) in by_stand(symbols) {
        let Some(&(works, _)) = run.first() else { continue };
        // The return row is worked from the other end.
        let returning = Stand { first: stand.last, last: stand.first };
        match works.hands(row.side, stand, typed_as_worked, stitches) {
            Ok(stitch) => {
                let on_return = works.on_return(returning);
                worked.extend(run.iter().map(|&(_, span)| Worked { stitch, on_return, span }));
            }
            Err(why) => {
                for &(works, span) in run {
                    match unworkable.iter_mut().find(|(known, other, _, _)| {
                        *other == works && *known == why && why != Unworkable::Silent
                    }) {
                        Some(known) => known.3 += 1,
                        None => unworkable.push((why, works, span, 1)),
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
    unworkable.is_empty().then(|| double_yarn_overs(worked))
}

/// The symbols of a row cut where their place may change what is worked: the first, as many within the row as are the same
/// side by side, and the last.
fn by_stand<'r, 'a>(symbols: &'r [Symbol<'a>]) -> impl Iterator<Item = (&'r [Symbol<'a>], Stand)> {
    let (first, rest) = symbols.split_at(symbols.len().min(1));
    let (within, last) = rest.split_at(rest.len().saturating_sub(1));
    let alike = |one: &Symbol<'a>, other: &Symbol<'a>| std::ptr::eq(one.0, other.0);
    let within = within.chunk_by(alike).map(|run| (run, Stand::default()));
    [(first, Stand { first: true, last: last.is_empty() })]
        .into_iter()
        .chain(within)
        .chain([(last, Stand { first: false, last: true })])
}

/// Two yarn overs side by side are one double yarn over.
pub(super) fn double_yarn_overs(row: Vec<Worked>) -> Vec<Worked> {
    let over = |worked: &Worked| worked.stitch == Stitches::YO;
    if !row.windows(2).any(|pair| pair.iter().all(over)) {
        return row;
    }
    let mut joined: Vec<Worked> = Vec::with_capacity(row.len());
    for stitch in row {
        match joined.last_mut() {
            Some(last) if last.stitch == Stitches::YO && stitch.stitch == Stitches::YO => {
                last.stitch = Stitches::YO2;
                last.span = last.span.join(stitch.span);
            }
            _ => joined.push(stitch),
        }
    }
    joined
}

/// The row of a knitter who works mirror-wise: from the other edge, leaning stitches mirrored.
pub(super) fn mirrored(
    grid: &Grid,
    number: u32,
    row: Vec<Worked>,
    stitches: &mut Stitches,
    findings: &mut Vec<Finding>,
) -> Option<Vec<Worked>> {
    let mut mirrored = Vec::with_capacity(row.len());
    let mut without: Vec<StitchId> = Vec::new();
    for worked in row.into_iter().rev() {
        let on_return = worked.on_return.map(|id| stitches.mirror(id).ok_or(id)).transpose();
        let stitch = stitches.mirror(worked.stitch).ok_or(worked.stitch);
        match stitch.and_then(|stitch| Ok((stitch, on_return?))) {
            Ok((stitch, on_return)) => mirrored.push(Worked { stitch, on_return, span: worked.span }),
            Err(none) if without.contains(&none) => {}
            Err(none) => {
                without.push(none);
                let name = stitches.get(none).name.clone();
                findings.push(
                    Finding::new(
                        Code::NoMirror,
                        grid.place(worked.span),
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
