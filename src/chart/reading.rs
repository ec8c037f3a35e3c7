//! How a chart was understood, for a user who wonders: where it is, which way it runs, what its symbols mean.

use std::sync::Arc;

use super::area::Area;
use super::key::{Key, Matched};
use super::order::Order;
use super::sheet::{Sheet, Text};
use crate::pattern::Side;
use crate::place::{Address, Place, Span};
use crate::stitch::Stitches;

/// How a chart was understood.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The cells it was found in.
    pub place: Place,
    /// Its rows as they stand on the sheet, from top to bottom.
    pub rows: Vec<ReadRow>,
    /// Its symbols, the commonest first.
    pub symbols: Vec<Symbol>,
}

/// A row of the chart as it stands on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadRow {
    /// Its number, where the order of the rows could be made out.
    pub number: Option<u32>,
    /// Its side.
    pub side: Option<Side>,
    /// What stands in its cells, from left to right; empty for a blank cell. What a merged cell covers repeats it.
    pub cells: Vec<Arc<str>>,
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
    let blank: Arc<str> = "".into();
    // How many cells hold each text, by its index, and each text once; the blank cells apart.
    let (mut counts, mut met, mut blanks): (Vec<usize>, Vec<Text<'_>>, usize) = (Vec::new(), Vec::new(), 0);
    let mut rows = Vec::new();
    for row in &area.rows {
        let mut cells: Vec<Arc<str>> = Vec::with_capacity((area.columns.1 - area.columns.0 + 1) as usize);
        let mut covered: Option<Span> = None;
        for (column, text) in sheet.across(row.row, area.columns) {
            if sheet.hidden_column(column) {
                continue;
            }
            let at = Address::new(row.row, column);
            let under = covered.filter(|span| span.contains(at));
            let text = under.map_or(text, |span| sheet.text(span.first));
            cells.push(text.map_or_else(|| Arc::clone(&blank), Text::shared));
            if under.is_some() {
                continue;
            }
            covered = Some(sheet.span(at));
            let Some(text) = text else {
                blanks += 1;
                continue;
            };
            if counts.len() <= text.index {
                counts.resize(text.index + 1, 0);
            }
            let Some(count) = counts.get_mut(text.index) else { continue };
            if *count == 0 {
                met.push(text);
            }
            *count += 1;
        }
        let numbered = order.and_then(|order| order.rows.iter().find(|other| other.row.row == row.row));
        rows.push(ReadRow {
            number: numbered
                .map(|numbered| numbered.number)
                .or(row.label().map(|placed| placed.label.number)),
            side: numbered.map(|numbered| numbered.side),
            cells,
        });
    }
    met.sort_by_key(|text| text.str());
    let blanks = (blanks > 0).then_some((None, blanks));
    let met = met.into_iter().map(|text| (Some(text), counts.get(text.index).copied().unwrap_or_default()));
    let mut symbols: Vec<Symbol> = blanks
        .into_iter()
        .chain(met)
        .map(|(text, cells)| {
            let matched = match text {
                None => key.blank(),
                Some(text) => Some(key.matches(text, || None, stitches)),
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
    symbols.sort_by_key(|symbol| std::cmp::Reverse(symbol.cells));
    Reading { place: sheet.grid.place(area.span()), rows, symbols }
}
