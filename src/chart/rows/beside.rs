//! Rows that a cell beside them has worked several times, "x3" at a bracket. They are written out, and the rows behind them
//! move on.

use super::super::order::{Order, Undrawn};
use super::super::sentences::{self, Tellings};
use super::Note;
use super::told::{Beside, MOST_ROWS, Told};
use crate::grid::Grid;
use crate::pattern::Worked;
use crate::words::rows::again::{self, Again};
use crate::words::rows::label::is_row_word;

/// Rows of a chart, by their numbers, that are worked so often in all.
#[derive(Clone, Copy)]
struct Block {
    first: u32,
    last: u32,
    times: u32,
    /// Whether the chart draws but one of them.
    alone: bool,
}

impl Block {
    /// Whether another one stands behind it, and both can be meant as they are: "x3" beside each of two rows may be said of
    /// both together.
    fn goes_before(self, next: Self) -> bool {
        self.last < next.first && !(self.alone && next.alone && self.last + 1 == next.first)
    }

    /// The gap of the row numbers right behind it.
    fn gap(self, gaps: &[(u32, u32)]) -> Option<(u32, u32)> {
        let index = gaps.binary_search_by_key(&(self.last + 1), |(first, _)| *first).ok()?;
        gaps.get(index).copied()
    }

    /// Whether the numbers behind it go on, or leave as many rows out as are worked again.
    fn fits(self, gaps: &[(u32, u32)]) -> bool {
        self.gap(gaps).is_none_or(|(first, last)| last + 1 - first == self.more())
    }

    /// How many rows are worked besides those of the chart.
    fn more(self) -> u32 {
        (self.last - self.first + 1) * (self.times - 1)
    }
}

/// Takes the notes that have rows worked again which they stand beside, where that is sure; the others stay. Where the sheet
/// tells rows by their numbers, these may be those of the chart or those that are worked: then all stay.
pub(in crate::chart) fn take(
    grid: &Grid,
    order: &Order,
    (worked, tellings): (Worked, &Tellings),
    notes: &mut Vec<Note>,
    told: &mut Vec<Told>,
) {
    if !told.is_empty() || tellings.number_rows() || notes.iter().all(|note| note.rows.is_empty()) {
        return;
    }
    let gaps = order.gaps();
    let block = |note: &Note| block(order, worked, note).filter(|block| block.fits(&gaps));
    let others = notes.iter().filter(|note| block(note).is_none());
    let named = others.filter_map(|note| highest_named(&note.text)).max().unwrap_or_default();
    let mut blocks: Vec<Block> = notes.iter().filter_map(block).collect();
    blocks.sort_by_key(|block| block.first);
    let apart = blocks.windows(2).all(|pair| pair[0].goes_before(pair[1]));
    let more: u64 = blocks.iter().map(|block| u64::from(block.more())).sum();
    let moved = blocks.iter().find(|block| block.gap(&gaps).is_none()).map(|block| block.last);
    let numbers_rows = moved.is_some_and(|last| last < named);
    if blocks.is_empty() || !apart || numbers_rows || more > u64::from(MOST_ROWS) {
        return;
    }
    notes.retain(|note| {
        let Some(block) = block(note) else { return true };
        let Block { first, last, times, .. } = block;
        let again =
            Again { rows: (first..=last).collect(), times: Some(times - 1), sure: true, growth: Vec::new() };
        let moves = if block.gap(&gaps).is_some() { 0 } else { block.more() };
        let after = order.rows.partition_point(|row| row.number <= last);
        let behind = order.rows.get(after).map(|row| (row.number, row.number)).filter(|_| moves > 0);
        told.push(Told {
            first: last + 1,
            last: last + block.more(),
            again,
            at: note.at,
            place: grid.place(note.at),
            beside: Some(Beside { text: note.text.clone(), rows: (first, last), moves, behind }),
        });
        false
    });
    told.sort_by_key(|told| told.first);
}

/// The highest number that a text gives to rows: "begin dark in Row 5".
fn highest_named(text: &str) -> Option<u32> {
    let mut words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).peekable();
    let mut highest = None;
    while let Some(word) = words.next() {
        if is_row_word(word) {
            while let Some(number) = words.next_if(|word| *word == "and" || word.parse::<u32>().is_ok()) {
                highest = highest.max(number.parse().ok());
            }
        }
    }
    highest
}

/// The rows that a note has worked again, and how often, where both are sure: it stands beside them all and no others, they are
/// not the whole chart, and each working of them begins on the side that the first one began on.
fn block(order: &Order, worked: Worked, note: &Note) -> Option<Block> {
    let (number, end) = (note.rows.first()?, note.rows.last()?);
    let place = |number: &u32| order.rows.binary_search_by_key(number, |row| row.number).ok();
    let (from, to) = (place(number)?, place(end)?);
    let drawn = to - from + 1;
    if drawn != note.rows.len() || drawn == order.rows.len() {
        return None;
    }
    // Rows that are not drawn are worked with the drawn one that they belong to.
    let (first, last, step) = match order.undrawn {
        Undrawn::None => (*number, *end, 1),
        Undrawn::After => (*number, *end + 1, 2),
        Undrawn::Before => (number.checked_sub(1)?, *end, 2),
    };
    let steady = order.rows.get(from..=to)?.windows(2).all(|pair| pair[1].number == pair[0].number + step);
    let count = last - first + 1;
    let even = worked == Worked::Round || count.is_multiple_of(2);
    let times = in_all(note, count)?;
    let more = u64::from(count) * u64::from(times);
    (steady && even && times > 1 && first > 0 && more < u64::from(MOST_ROWS)).then_some(Block {
        first,
        last,
        times,
        alone: drawn == 1,
    })
}

/// How often a note has the rows worked in all that it stands beside, of which there are so many with those that are not drawn.
fn in_all(note: &Note, count: u32) -> Option<u32> {
    if let Some(times) = sentences::times(&note.text) {
        return Some(times);
    }
    let said = again::read_in_all(&note.text)?;
    let counted = said.count.is_none_or(|said| said == count || said as usize == note.rows.len());
    let named = said.rows.is_empty()
        || note.rows.iter().all(|row| said.rows.contains(row)) && {
            let few = said.rows.len();
            few == note.rows.len() || few == count as usize
        };
    (counted && named).then_some(said.times)
}

/// Moves the rows on that stand behind those which are worked again, in the chart and in its notes.
pub(in crate::chart) fn move_on(order: &mut Order, told: &mut [Told], notes: &mut [Note]) {
    // Behind which rows the others move on, and how far in all.
    let mut far = 0;
    let mut moves: Vec<(u32, u32)> = Vec::new();
    for told in told.iter() {
        let Some(beside) = &told.beside else { continue };
        far += beside.moves;
        moves.push((told.first - 1, far));
    }
    if moves.is_empty() {
        return;
    }
    let moved = |number: u32| {
        let before = moves.partition_point(|(last, _)| *last < number).checked_sub(1);
        number + before.and_then(|index| moves.get(index)).map_or(0, |(_, far)| *far)
    };
    order.rows.iter_mut().for_each(|row| row.number = moved(row.number));
    for note in notes {
        note.rows = note.rows.iter().copied().map(moved).collect();
    }
    for told in told {
        let more = told.last - told.first;
        told.again.rows.iter_mut().for_each(|row| *row = moved(*row));
        told.first = told.again.rows.last().map_or(told.first, |last| last + 1);
        told.last = told.first + more;
        if let Some(behind) = told.beside.as_mut().and_then(|beside| beside.behind.as_mut()) {
            behind.1 = moved(behind.0);
        }
    }
}
