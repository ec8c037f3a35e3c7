//! Charts without row numbers.

use std::collections::BTreeMap;

use super::super::extent::squared;
use super::super::key::{FILL, Key, Matched};
use super::super::sheet::{Sheet, lies_in};
use super::{Area, AreaRow};
use crate::place::{Address, Span};
use crate::stitch::Stitches;

/// The bands with the blank rows above, below and between them that the lines of the same grid run through.
fn as_ruled(sheet: &Sheet<'_>, bands: Vec<Vec<u32>>) -> Vec<Vec<u32>> {
    let mut ruled: Vec<Vec<u32>> = Vec::new();
    for band in bands {
        let columns = band.iter().flat_map(|row| sheet.row(*row)).map(|(at, _)| sheet.span(at));
        let columns = columns.map(|span| (span.first.column, span.last.column));
        let Some((left, right)) = columns.reduce(|(left, right), (one, end)| (left.min(one), right.max(end)))
        else {
            continue;
        };
        let lined =
            |row: u32| (left..=right).all(|column| squared(&sheet.grid.looks.at(Address::new(row, column))));
        let blank = |row: u32| sheet.row(row).next().is_none() && lined(row);
        let (Some(&(mut top)), Some(&(mut bottom))) = (band.first(), band.last()) else { continue };
        if lined(top) {
            let last = sheet.grid.looks.cells.last().map_or(bottom, |(at, _)| at.row);
            while top > 0 && blank(top - 1) {
                top -= 1;
            }
            while bottom < last && blank(bottom + 1) {
                bottom += 1;
            }
        }
        match ruled.last_mut() {
            Some(before) if before.last().is_some_and(|last| *last + 1 >= top) => {
                let from = before.last().map_or(top, |last| last + 1);
                before.extend(from..=bottom);
            }
            _ => ruled.push((top..=bottom).collect()),
        }
    }
    ruled
}

/// The bands joined over a blank row where either is a row alone, which is hardly a chart: rows of blank stitches alternate with
/// others.
fn with_blank_rows(
    sheet: &Sheet<'_>,
    bands: Vec<Vec<u32>>,
    key: &mut Key,
    stitches: &mut Stitches,
) -> Vec<Vec<u32>> {
    let mut joined: Vec<Vec<u32>> = Vec::new();
    // Whether the last of them was a row alone before it was joined.
    let mut single = false;
    for band in bands {
        let (alone, first) = (band.len() == 1, band.first().copied().unwrap_or_default());
        let mut symbols =
            || band.iter().flat_map(|row| sheet.row(*row)).all(|(_, text)| key.knows(text, stitches));
        match joined.last_mut() {
            Some(before)
                if before.last().is_some_and(|last| last + 2 == first) && (single || alone) && symbols() =>
            {
                before.push(first - 1);
                before.extend(band);
            }
            _ => joined.push(band),
        }
        single = alone;
    }
    joined
}

/// The charts that reach a row, asked for from row to row: however many a sheet has, few stand side by side.
struct Reaching<'a> {
    coming: &'a [Span],
    reaching: Vec<Span>,
}

impl<'a> Reaching<'a> {
    /// Of charts in the order of their first rows.
    const fn new(spans: &'a [Span]) -> Self {
        Self { coming: spans, reaching: Vec::new() }
    }

    /// Those that reach a row, which is above none that was asked for before.
    fn row(&mut self, row: u32) -> &[Span] {
        let (come, coming) = self.coming.split_at(self.coming.partition_point(|span| span.first.row <= row));
        self.coming = coming;
        self.reaching.extend_from_slice(come);
        self.reaching.retain(|span| span.last.row >= row);
        &self.reaching
    }
}

/// Charts without row numbers: neighbouring rows of symbols.
pub(super) fn find(sheet: &Sheet<'_>, areas: &mut Vec<Area>, key: &mut Key, stitches: &mut Stitches) {
    let numbered = !areas.is_empty();
    let mut spans: Vec<Span> = areas.iter().map(Area::span).collect();
    spans.sort_unstable();
    let mut reaching = Reaching::new(&spans);
    let mut bands: Vec<Vec<u32>> = Vec::new();
    let mut columns: Vec<(u32, u32)> = Vec::new();
    for held in sheet.row_spans() {
        let row = held.first.row;
        columns.clear();
        columns.extend(reaching.row(row).iter().map(|span| (span.first.column, span.last.column)));
        if lies_in(held, &columns) {
            continue;
        }
        let (mut cells, mut known, mut short, mut fills) = (0, 0, 0, 0);
        for (_, text) in sheet.beside(row, &columns) {
            cells += 1;
            let explained = key.explains(text, stitches);
            known += usize::from(explained);
            fills += usize::from(!explained && text.starts_with(FILL));
            short += usize::from(text.chars().count() <= 3);
        }
        // Words with fills beside them are a banner.
        if known > 0 || fills == cells {
            known += fills;
        }
        let symbols = if numbered { known } else { known.max(short) };
        if cells == 0 || 2 * symbols < cells {
            continue;
        }
        match bands.last_mut() {
            Some(band) if band.last() == Some(&row.wrapping_sub(1)) => band.push(row),
            _ => bands.push(vec![row]),
        }
    }
    // Blank rows are rows of stitches where the lines of a grid say so.
    if matches!(key.blank(), Some(Matched::Works(_))) {
        if !sheet.grid.looks.is_empty() {
            bands = as_ruled(sheet, bands);
        }
        if !numbered {
            bands = with_blank_rows(sheet, bands, key, stitches);
        }
    }
    // Charts that are found here are bands of other rows.
    let mut reaching = Reaching::new(&spans);
    for band in bands {
        let mut cells: Vec<(Address, bool)> = Vec::new();
        let (mut any_fill, mut explained) = (false, false);
        for &row in &band {
            let spans = reaching.row(row);
            let outside = sheet.row(row).filter(|(at, _)| !spans.iter().any(|span| span.contains(*at)));
            cells.extend(outside.map(|(at, text)| {
                any_fill |= text.starts_with(FILL);
                explained |= key.explains(text, stitches);
                (at, key.knows(text, stitches))
            }));
        }
        // Fills alone of which the key has none are no chart.
        if any_fill && !explained {
            continue;
        }
        let known = cells.iter().filter(|(_, known)| *known).count();
        let first = cells.iter().map(|(at, _)| at.column).min();
        let last = cells.iter().map(|(at, _)| sheet.span(*at).last.column).max();
        let Some((first, last)) = first.zip(last) else { continue };
        let dense = band.len() >= 2 && last > first && cells.len() >= 6;
        let wanted = if numbered {
            known == cells.len() && dense
        } else {
            (known > 0 && 2 * known >= cells.len() && cells.len() >= 2) || dense
        };
        if wanted {
            areas.push(Area {
                rows: band.iter().copied().map(AreaRow::plain).collect(),
                columns: (first, last),
                column_numbers: BTreeMap::new(),
                room: (first, last),
                bounded: (false, false),
                parted: None,
                blank_rows: Vec::new(),
            });
        }
    }
}
