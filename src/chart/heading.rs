//! What a chart is called, and what its designer wrote beside it.

use super::area::Area;
use super::key::FILL;
use super::sheet::{Sheet, Text, lies_in};
use super::whose::Shares;
use crate::place::{Address, stem};
use crate::settings::Settings;

/// What a pattern is called, and the lines beside its chart.
pub(super) struct Heading {
    pub(super) title: String,
    pub(super) notes: Vec<Note>,
}

/// A line that the designer wrote beside the chart.
pub(super) struct Note {
    pub(super) at: Address,
    pub(super) text: String,
}

/// Whether a blank line lies between two rows of the sheet; lines that were understood as something else are none.
fn blank_between(sheet: &Sheet<'_>, above: u32, below: u32) -> bool {
    (above + 1..below).any(|row| {
        let at = sheet.grid.cells.partition_point(|cell| cell.at.row < row);
        sheet.grid.cells.get(at).is_none_or(|cell| cell.at.row != row)
    })
}

/// The prose of a sheet: what stands outside its charts and is not understood, in reading order for each of them.
pub(super) struct Prose(Vec<(usize, Address)>);

impl Prose {
    pub(super) fn find(sheet: &Sheet<'_>, areas: &[Area], shares: &Shares) -> Self {
        let columns =
            |area: &'_ Area| area.rows.iter().map(|row| (row.row, area.columns)).collect::<Vec<_>>();
        let mut drawn: Vec<(u32, (u32, u32))> = areas.iter().flat_map(columns).collect();
        drawn.sort_unstable();
        let mut drawn = drawn.into_iter().peekable();
        let mut prose = Vec::new();
        let mut charts: Vec<(u32, u32)> = Vec::new();
        for span in sheet.row_spans() {
            let row = span.first.row;
            while drawn.next_if(|(other, _)| *other < row).is_some() {}
            charts.clear();
            charts
                .extend(std::iter::from_fn(|| drawn.next_if(|(other, _)| *other == row)).map(|(_, one)| one));
            if lies_in(span, &charts) {
                continue;
            }
            let outside = sheet.beside(row, &charts).filter(|(_, text)| !text.starts_with(FILL));
            prose.extend(outside.filter_map(|(at, _)| Some((shares.of(at)?.chart, at))));
        }
        prose.sort_by_key(|(chart, _)| *chart);
        Self(prose)
    }

    /// What belongs to a chart.
    pub(super) fn of(&self, chart: usize) -> impl Iterator<Item = Address> {
        let from = self.0.partition_point(|(other, _)| *other < chart);
        self.0.iter().skip(from).take_while(move |(other, _)| *other == chart).map(|(_, at)| *at)
    }
}

/// Title and notes of a chart, and the cells that are left aside. The block of lines nearest above the grid holds the title,
/// one with other words than sentences that may be more than notes if there is any; all other prose that belongs to the chart
/// is a note.
pub(super) fn heading(
    sheet: &Sheet<'_>,
    (area, prose): (&Area, impl Iterator<Item = Address>),
    sentences: &[Address],
    (settings, several_sheets): (&Settings, bool),
    symbol: &mut dyn FnMut(Text<'_>) -> bool,
) -> (Heading, Vec<Address>) {
    let prose: Vec<(Address, Text<'_>)> = prose.filter_map(|at| Some((at, sheet.text(at)?))).collect();
    let above = &prose[..prose.partition_point(|(at, _)| at.row < area.top())];
    // The blocks nearest above: lines without a blank line between them.
    let mut blocks: Vec<&[(Address, Text<'_>)]> =
        above.chunk_by(|(one, _), (next, _)| !blank_between(sheet, one.row, next.row)).collect();
    let is_sentence = |at: &Address| sentences.binary_search(at).is_ok();
    if let Some(last) = blocks.iter().rposition(|block| block.iter().any(|(at, _)| !is_sentence(at))) {
        blocks.truncate(last + 1);
    }
    let mut lines = blocks
        .last()
        .copied()
        .unwrap_or_default()
        .iter()
        .filter(|(at, _)| !of_symbols(sheet, at.row, symbol))
        .peekable();
    let first = lines.peek().copied();
    let title_line = lines.find(|(at, _)| !is_sentence(at)).or(first);
    let title = settings
        .title
        .clone()
        .or_else(|| title_line.map(|(_, text)| text.to_string()))
        .or_else(|| sheet.grid.name().filter(|_| several_sheets).map(|name| name.to_string()))
        .unwrap_or_else(|| stem(&sheet.grid.file).to_owned());
    let mut notes: Vec<Note> = Vec::new();
    let mut aside: Vec<Address> = Vec::new();
    let mut last_row = None;
    for (at, text) in &prose {
        if settings.title.is_none() && title_line.is_some_and(|(title, _)| title == at) {
            continue;
        }
        // Numbers and symbols alone are no prose.
        if is_number(text) || (!text.contains(' ') && symbol(*text)) {
            aside.push(*at);
            continue;
        }
        match notes.last_mut() {
            Some(note) if last_row == Some(at.row) => {
                note.text.push(' ');
                note.text.push_str(text);
            }
            _ => notes.push(Note { at: *at, text: text.to_string() }),
        }
        last_row = Some(at.row);
    }
    (Heading { title, notes }, aside)
}

/// Whether a line holds nothing but symbols, so that it is no title: more than one of them, or one that is no word.
fn of_symbols(sheet: &Sheet<'_>, row: u32, symbol: &mut dyn FnMut(Text<'_>) -> bool) -> bool {
    let several = sheet.row(row).nth(1).is_some();
    sheet.row(row).all(|(_, text)| {
        let words = text.contains(' ') || (!several && text.chars().any(char::is_alphanumeric));
        !words && symbol(text)
    })
}

/// Whether a text is made of digits and points alone.
pub(super) fn is_number(text: &str) -> bool {
    text.chars().all(|c| c.is_ascii_digit() || c == '.')
}
