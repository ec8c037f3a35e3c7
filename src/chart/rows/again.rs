//! Rows that the sheet tells instead of drawing them: "Rows 25-96: Rep Rows 13-24 6 times more, working the repeat once
//! more each time". They are charted rows like those they repeat, so that the rows between them are derived as ever.

use std::ops::Range;

use super::super::order::Numbered;
use super::super::order::{Order, Undrawn, side_of};
use super::build::Charted;
use super::limits;
use super::told::Told;
use crate::pattern::RowRepeat;
use crate::problem::{Code, Finding};
use crate::settings::Settings;
use crate::stitch::{StitchId, Stitches, Terms};
use crate::words;
use crate::words::rows::again::{Again, More};
use crate::written::{Extent, Grown, Growth, Item, grown};

/// Adds the rows that are told to those that are drawn; nothing where they can't be worked, which is then said.
pub(super) fn extend(
    rows: &mut Vec<Charted>,
    told: &[Told],
    order: &Order,
    settings: &Settings,
    stitches: &mut Stitches,
    findings: &mut Vec<Finding>,
) -> Option<()> {
    let mut written: usize = rows.iter().map(|row| row.worked.stitches.len()).sum();
    for told in told {
        // Those behind a gap that they fill are drawn.
        let behind = rows.split_off(rows.partition_point(|row| row.numbered.number < told.first));
        let more = match behind.first() {
            Some(next) if next.numbered.number <= told.last => Err(Problem::Drawn(next.numbered.number)),
            _ => worked(rows, told, order, settings, &mut written, stitches),
        };
        match more {
            Ok(more) => rows.extend(more.into_iter().chain(behind)),
            Err(problem) => {
                findings.push(problem.finding(told));
                return None;
            }
        }
    }
    Some(())
}

/// The row of a number, of rows in their order.
fn row_of(rows: &[Charted], number: u32) -> Option<&Charted> {
    let at = rows.binary_search_by_key(&number, |row| row.numbered.number).ok()?;
    rows.get(at)
}

/// The rows of a note, worked; `written` counts the stitches of all rows.
fn worked(
    rows: &[Charted],
    told: &Told,
    order: &Order,
    settings: &Settings,
    written: &mut usize,
    stitches: &mut Stitches,
) -> Result<Vec<Charted>, Problem> {
    let drawn = rows.last().map_or(0, |row| row.numbered.number);
    let next = drawn + if order.undrawn == Undrawn::After { 2 } else { 1 };
    if told.first != next {
        return Err(Problem::Next(next));
    }
    let Again { rows: sources, times, growth, .. } = &told.again;
    let count = (told.last - told.first + 1) as usize;
    let due = sources.len().saturating_mul(times.map_or(1, |times| times as usize));
    let even = if times.is_some() { count == due } else { count.is_multiple_of(due) };
    if !even {
        return Err(Problem::Uneven(count, due));
    }
    let growth = read_growth(growth, rows, sources, stitches)?;
    let way = settings.worked.unwrap_or_default();
    let mut more = Vec::new();
    for (number, index) in (told.first..=told.last).zip(0usize..) {
        let source = sources[index % sources.len()];
        if source >= told.first || source < rows.first().map_or(1, |row| row.numbered.number) {
            return Err(Problem::NoRow(source));
        }
        let side = side_of(number, order.first_side, way);
        let in_step = (number - source).is_multiple_of(2);
        if side != side_of(source, order.first_side, way) || (order.undrawn != Undrawn::None && !in_step) {
            return Err(Problem::Side(source));
        }
        // A row that is not drawn is derived, in its place.
        let Some(row) = row_of(rows, source) else { continue };
        let workings = u32::try_from(index / sources.len() + 1).unwrap_or(u32::MAX);
        let (items, repeat) = items(row, stitches);
        let what = || Problem::Growth(told.again.growth.first().map(More::told).unwrap_or_default());
        let mut later = grown(&items, &growth, source, workings, stitches).ok_or_else(what)?;
        // A row of one stitch is worked to its end, however wide the rows have grown.
        if let ([Item::Run { stitch, extent }], false) = (&mut later[..], growth.is_empty())
            && stitches.get(*stitch).uses == 1
            && let Some(before) = more.last().or(rows.last())
            && before.numbered.number + 1 == number
        {
            *extent = Extent::Times(stitches.makes(&before.worked.stitches));
        }
        *written = written.saturating_add(stitches_of(&later));
        if *written > limits::MOST {
            return Err(Problem::TooLong);
        }
        // Which stitches of a run are worked more often makes no difference where the rows between are drawn.
        let alike = |run: Range<usize>| !order.leaves_rows_out() || row.worked.is_returned_alike(run);
        let places = unroll(&items, &later, 0, &alike).ok_or(Problem::Returned(source))?;
        let numbered = Numbered { number, side, row: row.numbered.row.clone() };
        more.push(Charted {
            numbered,
            worked: row.worked.picked(places),
            repeat: repeat.and_then(|at| marked(&later, at)),
            place: row.place.clone(),
            drawn: false,
        });
    }
    Ok(more)
}

/// What grows, each looked up in the rows that it is about.
fn read_growth(
    growth: &[More],
    rows: &[Charted],
    sources: &[u32],
    stitches: &mut Stitches,
) -> Result<Vec<Growth>, Problem> {
    growth
        .iter()
        .map(|more| {
            let unknown = || Problem::Growth(more.told());
            let growth = more.growth(|run| words::row(run, stitches).ok()).ok_or_else(unknown)?;
            let about = |number: &&u32| growth.rows.is_empty() || growth.rows.contains(number);
            let named = growth.which.iter().max().map_or(1, |&place| place as usize);
            let rows = sources.iter().filter(about).filter_map(|number| row_of(rows, *number));
            let met = rows.into_iter().any(|row| {
                let (items, _) = items(row, stitches);
                let pieces = items.iter().flat_map(Item::pieces);
                let like =
                    |item: &&Item| Grown::of(item, stitches).is_some_and(|(what, _)| what == growth.what);
                pieces.filter(like).count() >= named
            });
            let strange = growth.rows.iter().any(|row| !sources.contains(row));
            if met && !strange { Ok(growth) } else { Err(unknown()) }
        })
        .collect()
}

/// A row as runs, and which of them is the repeat that the chart marks: the only one that a rule for the repeat is about.
fn items(row: &Charted, stitches: &Stitches) -> (Vec<Item>, Option<usize>) {
    let whole = &row.worked.stitches;
    let parts = row.repeat.and_then(|repeat| {
        let end = repeat.start + repeat.length * repeat.times;
        let unit = whole.get(repeat.start..repeat.start + repeat.length)?;
        Some((whole.get(..repeat.start)?, unit, whole.get(end..)?, repeat.times))
    });
    let Some((before, unit, after, times)) = parts else { return (runs(whole, stitches), None) };
    let times = Extent::Times(u32::try_from(times).unwrap_or(u32::MAX));
    let mut items = runs(before, stitches);
    let at = items.len();
    items.push(Item::Repeat { items: runs(unit, stitches), extent: times });
    items.extend(runs(after, stitches));
    (items, Some(at))
}

/// Runs of stitches. A stitch that has no words for a number stands on its own, since a run of it would be a repeat.
fn runs(row: &[StitchId], stitches: &Stitches) -> Vec<Item> {
    let numbered = |stitch: StitchId| stitches.get(stitch).words(Terms::Us).run.is_some();
    row.chunk_by(|&one, &two| one == two && numbered(one))
        .filter_map(|run| {
            let times = Extent::Times(u32::try_from(run.len()).unwrap_or(u32::MAX));
            run.first().map(|&stitch| Item::Run { stitch, extent: times })
        })
        .collect()
}

/// The stitches of a later working by the places of those that they repeat, the first of which is `from`: a stitch keeps
/// what the key says of it. None where a run is longer or shorter whose stitches are not `alike`.
fn unroll(
    first: &[Item],
    later: &[Item],
    mut from: usize,
    alike: &impl Fn(Range<usize>) -> bool,
) -> Option<Vec<usize>> {
    let mut row = Vec::new();
    for (first, later) in first.iter().zip(later) {
        let places = from..from + stitches_in(first);
        match (first, later) {
            _ if first == later => row.extend(places.clone()),
            (
                Item::Repeat { items: first, .. },
                Item::Repeat { items: later, extent: Extent::Times(times) },
            ) => {
                row.append(&mut unroll(first, later, from, alike)?.repeat(*times as usize));
            }
            _ if alike(places.clone()) => row.extend(std::iter::repeat_n(from, stitches_in(later))),
            _ => return None,
        }
        from = places.end;
    }
    Some(row)
}

/// The repeat that the chart marks as it is in a later working: what stands in it may have grown too.
fn marked(later: &[Item], at: usize) -> Option<RowRepeat> {
    let Item::Repeat { items, .. } = later.get(at)? else { return None };
    let (length, start) = (stitches_of(items), stitches_of(&later[..at]));
    (length > 0).then_some(RowRepeat { start, length, times: times_of(later.get(at)) })
}

fn times_of(item: Option<&Item>) -> usize {
    match item.map(Item::extent) {
        Some(Extent::Times(times)) => times as usize,
        _ => 0,
    }
}

/// Whatever a note tells, the number is no wilder than the largest there is.
fn stitches_in(item: &Item) -> usize {
    match item {
        Item::Run { .. } => times_of(Some(item)),
        Item::Repeat { items, .. } => times_of(Some(item)).saturating_mul(stitches_of(items)),
    }
}

fn stitches_of(items: &[Item]) -> usize {
    items.iter().map(stitches_in).fold(0, usize::saturating_add)
}

/// Why rows can't be written out.
enum Problem {
    /// The pattern has another row next.
    Next(u32),
    /// The chart draws one of them itself.
    Drawn(u32),
    /// A row referred to is not there.
    NoRow(u32),
    /// So many rows are told, but so many worked again.
    Uneven(usize, usize),
    /// A row would be worked by the words of one on the other side.
    Side(u32),
    /// What is to grow is not there.
    Growth(String),
    /// A run of this row grows whose stitches the key does not return alike.
    Returned(u32),
    /// They grow beyond all measure.
    TooLong,
}

impl Problem {
    fn finding(self, told: &Told) -> Finding {
        let Told { first, place, .. } = told;
        let finding = |message: String| Finding::new(Code::RowReference, place.clone(), message).row(*first);
        match self {
            Self::Next(next) => finding(format!(
                "The sheet tells Row {first} by rows before it, but the chart leaves off before Row {next}."
            ))
            .found(first)
            .expected(next)
            .help("Let the rows that are told begin where those that are drawn end."),
            Self::Drawn(row) => finding(format!(
                "The sheet tells Row {row} by rows before it, but the chart draws it."
            ))
            .found(row)
            .help("Correct the numbers of the label, or leave the drawn rows out."),
            Self::NoRow(row) => {
                finding(format!("Row {first} is worked as Row {row}, which is not there before it."))
                    .found(format!("Row {row}"))
                    .help("Correct the number, or draw the rows.")
            }
            Self::Uneven(rows, again) => {
                finding(format!("{rows} rows are told from Row {first}, but the rows worked again are {again}."))
                    .found(rows)
                    .expected(again)
                    .help("Correct the numbers of the label, or of the rows to be worked again.")
            }
            Self::Side(row) => finding(format!(
                "The rows told from Row {first} are worked by Row {row}, but one of them is on its other side."
            ))
            .help("Repeat an even number of rows, or draw the rows."),
            Self::Growth(what) => finding(format!(
                "The rows told from Row {first} are worked with more or less of \"{what}\" each time, which the rows \
                 they repeat don't have, or not often enough."
            ))
            .found(what)
            .help("Name what grows as the row is worked, \"the k3 of Row 5\", or \"the repeat\" if the chart marks it."),
            Self::Returned(row) => finding(format!(
                "The rows told from Row {first} are worked with more or less of a run of Row {row} each time, but the \
                 key does not return all its stitches alike: which of them are more is not said."
            ))
            .help("Draw these rows, so that each stitch has its symbol."),
            Self::TooLong => finding(format!(
                "With the rows told from Row {first} the chart has more stitches than any: more than {} together.",
                limits::MOST_IN_WORDS
            ))
            .help("Correct how much more is worked each time, or how often."),
        }
    }
}
