//! How a chart was understood, for a user who wonders: where it is, which way it runs, what its symbols mean.

use std::sync::Arc;

use foldhash::HashMap;

use super::area::Area;
use super::key::{Key, Matched};
use super::order::{Numbered, Order};
use super::rows::limits;
use super::sheet::{Sheet, Text};
use crate::pattern::Side;
use crate::place::{Address, Place, Span};
use crate::stitch::Stitches;

/// How a chart was understood.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The cells it was found in.
    pub place: Place,
    /// Its rows as they stand on the sheet, from top to bottom; none where it is too large to be read.
    pub rows: Vec<ReadRow>,
    /// Its symbols, the commonest first.
    pub symbols: Vec<Symbol>,
    /// The texts that its cells refer to.
    texts: Vec<Arc<str>>,
}

impl Reading {
    /// What stands in the cells of a row, from left to right; empty for a blank cell. What a merged cell covers repeats
    /// it.
    pub fn cells<'a>(&'a self, row: &'a ReadRow) -> impl ExactSizeIterator<Item = &'a str> {
        let text = |cell: &usize| self.texts.get(cell.checked_sub(1)?);
        row.cells.iter().map(move |cell| text(cell).map_or("", |text| text))
    }
}

/// A row of the chart as it stands on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadRow {
    /// Its number, where the order of the rows could be made out.
    pub number: Option<u32>,
    /// Its side.
    pub side: Option<Side>,
    /// Its cells: 0 for a blank one, else the number of its text, from 1.
    cells: Vec<usize>,
}

/// A symbol of the chart and what it was taken for.
#[derive(Clone, Debug, PartialEq)]
pub struct Symbol {
    /// As typed; empty for a blank cell.
    pub symbol: String,
    /// What it means, in words; `None` where nothing explains it.
    pub meaning: Option<String>,
    /// How many cells hold it.
    pub cells: usize,
    /// The key entry that explains it; `None` where it is a stitch's own name, or unexplained.
    pub entry: Option<Place>,
}

/// Gathers how a chart was understood.
pub(super) fn gather(
    sheet: &Sheet<'_>,
    area: &Area,
    order: Option<&Order>,
    key: &mut Key,
    stitches: &mut Stitches,
) -> Reading {
    let texts = sheet.different();
    // How many cells hold each text; the blank cells first.
    let mut counts = vec![0usize; texts.len() + 1];
    let read = if limits::is_too_large(area) { &[] } else { &area.rows[..] };
    let mut rows = Vec::with_capacity(read.len());
    let numbered: HashMap<u32, &Numbered> =
        order.into_iter().flat_map(|order| &order.rows).map(|row| (row.row.row, row)).collect();
    for row in read {
        let mut cells = Vec::with_capacity((area.columns.1 - area.columns.0 + 1) as usize);
        let mut covered: Option<Span> = None;
        for (column, text) in sheet.across(row.row, area.columns) {
            if sheet.hidden_column(column) {
                continue;
            }
            let at = Address::new(row.row, column);
            let under = covered.filter(|span| span.contains(at));
            let text = under.map_or(text, |span| sheet.text(span.first));
            let cell = text.map_or(0, |text| text.index + 1);
            cells.push(cell);
            if under.is_none() {
                covered = Some(sheet.span(at));
                counts[cell] += 1;
            }
        }
        let numbered = numbered.get(&row.row);
        rows.push(ReadRow {
            number: numbered
                .map(|numbered| numbered.number)
                .or(row.label().map(|placed| placed.label.number)),
            side: numbered.map(|numbered| numbered.side),
            cells,
        });
    }
    let mut met: Vec<(Option<Text<'_>>, usize)> = [None]
        .into_iter()
        .chain(texts.iter().copied().map(Some))
        .zip(counts)
        .filter(|(_, cells)| *cells > 0)
        .collect();
    // The commonest first; of those as common, in the order of the letters.
    met.sort_by_key(|(text, cells)| (std::cmp::Reverse(*cells), text.map_or("", Text::str)));
    let symbols = met
        .into_iter()
        .map(|(text, cells)| {
            let matched = match text {
                None => key.blank(),
                Some(text) => Some(key.matches(text, || None, stitches).clone()),
            };
            let symbol = text.map_or("", Text::str);
            let (meaning, entry) = match matched {
                Some(Matched::Works(works)) => {
                    (Some(works.in_words(stitches)), key.entry_of(&works.symbol).cloned())
                }
                Some(Matched::NoStitch) => (Some("no stitch".to_owned()), key.entry_of(symbol).cloned()),
                None => (Some("outside the shape, or part of the stitch before".to_owned()), None),
                Some(_) => (None, None),
            };
            Symbol { symbol: symbol.to_owned(), meaning, cells, entry }
        })
        .collect();
    let texts = texts.into_iter().map(|text| Arc::from(&*text)).collect();
    Reading { place: sheet.grid.place(area.span()), rows, symbols, texts }
}
