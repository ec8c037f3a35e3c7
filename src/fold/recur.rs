//! Down the rows: rows told by rows before that have the same words, at the least cost.
//!
//! The rows are cut into lines as a text is cut by a dictionary of what stands before: a row of its own, rows one after
//! another with the same words ("Rows 3-8: Knit"), or rows before, worked again a number of times. Since a line costs
//! the same wherever it stands, the cheapest cutting is found from the back, row by row; for each row and each number
//! of rows only the first rows before that have these words are tried, as an editor refers to where a thing stands
//! first. That takes time by the square of the number of rows; patterns of more rows than [`MOST_ROWS`] are not looked
//! through. Of cuttings that cost the same the one is taken in which most rows are told by whole blocks of rows before, an
//! even number from an odd one on: so a block is told again from its first row on, and a row that is left is told by
//! itself. Rows that grow are found first (see `grow`).

use super::grow::{self, Block};
use super::lines::Rows;
use super::sentence::Sentence;
use super::wordings::Wordings;
use crate::pattern::{Pattern, Side, Worked};
use crate::stitch::{StitchId, Stitches};
use crate::written::{Extent, Growth, Item};

/// What a line costs, in the measure of [`super::cost`].
pub(super) const LINE: u32 = 2;
/// What it costs that a reader must look back to other rows.
pub(super) const LOOK_BACK: u32 = 7;
/// What a row of few words costs.
const FEW_WORDS: u32 = 6;
/// What it costs to name a fabric, and how many rows it must be.
const FABRIC: u32 = 5;
const IN_TURN: usize = 4;
/// More rows than any pattern in print.
const MOST_ROWS: usize = 2_000;

/// What stands on a line; rows by their index, words by their number.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Step {
    /// The sentence for many rows, where its first row is.
    Sentence,
    /// A row.
    Row(usize, usize),
    /// Rows with the same words.
    Alike { first: usize, rows: usize, words: usize },
    /// Knit rows and purl rows in turn.
    InTurn { first: usize, rows: usize, reverse: bool, knit_first: bool },
    /// Rows before, worked again.
    Again { first: usize, source: usize, rows: usize, times: usize, growth: Vec<Growth> },
}

/// The lines of a pattern whose rows have these words. Whether a sentence for many rows helps is tried both ways.
pub(super) fn recurring(
    pattern: &Pattern,
    rows: &Rows,
    words: &[usize],
    sentence: Option<&Sentence>,
    wordings: &mut Wordings<'_>,
) -> Vec<Step> {
    let blocks = grow::blocks(pattern, rows, words, wordings);
    let plain = Cutter::new(pattern, words, &blocks, None, wordings).cut();
    let (_, steps) = match sentence {
        None => plain,
        Some(_) => {
            let told = Cutter::new(pattern, words, &blocks, sentence, wordings).cut();
            // A sentence is what the style asks for: without it the text must be shorter.
            if plain.0 < told.0 { plain } else { told }
        }
    };
    steps
}

#[derive(Clone, Copy, Debug)]
enum Choice {
    Row,
    /// Nothing is printed: a sentence tells the row.
    Told,
    Alike(usize),
    InTurn(usize),
    Again {
        source: usize,
        rows: usize,
        times: usize,
    },
    Grown(usize),
}

/// The best way to tell the rows from one on.
#[derive(Clone, Copy)]
struct Best {
    cost: u32,
    /// How many of them are told by blocks of rows before that are whole: an even number of rows from where Row 1 would stand.
    again: u32,
    choice: Choice,
}

struct Cutter<'a> {
    pattern: &'a Pattern,
    wordings: &'a Wordings<'a>,
    /// The words of each row.
    words: Vec<usize>,
    /// The same number for rows with the same words on the same side.
    alike: Vec<usize>,
    costs: Vec<u32>,
    blocks: &'a [Block],
    sentence: Option<&'a Sentence>,
    /// Whether the sentence tells a row.
    told: Vec<bool>,
}

impl<'a> Cutter<'a> {
    fn new(
        pattern: &'a Pattern,
        words: &[usize],
        blocks: &'a [Block],
        sentence: Option<&'a Sentence>,
        wordings: &'a Wordings<'a>,
    ) -> Self {
        let mut words = words.to_vec();
        for (row, grows) in blocks.iter().flat_map(Block::worded) {
            if let Some(words) = words.get_mut(row) {
                *words = grows;
            }
        }
        let mut told = vec![false; words.len()];
        if let Some(sentence) = sentence {
            for &row in &sentence.rows {
                words[row] = sentence.words;
                told[row] = true;
            }
        }
        // No row is like the set-up row, which has no number to refer to.
        let alike = (words.iter().zip(&pattern.rows))
            .map(|(&words, row)| match row.is_set_up() {
                true => usize::MAX,
                false => 2 * words + usize::from(row.side == Side::Ws),
            })
            .collect();
        let costs = words.iter().map(|&words| wordings.cost(words)).collect();
        Self { pattern, wordings, words, alike, costs, blocks, sentence, told }
    }

    fn cut(&self) -> (u32, Vec<Step>) {
        let n = self.words.len();
        let mut best = vec![Best { cost: 0, again: 0, choice: Choice::Row }; n + 1];
        let shared = Shared::of_rows(if n <= MOST_ROWS { &self.alike } else { &[] });
        for at in (0..n).rev() {
            best[at] = self.choose(at, &best, &shared);
        }
        let mut steps = Vec::new();
        let mut at = 0;
        while at < n {
            match best[at].choice {
                Choice::Told => {
                    if self.opens_sentence(at) {
                        steps.push(Step::Sentence);
                    }
                    at += 1;
                }
                Choice::Row => {
                    steps.push(Step::Row(at, self.words[at]));
                    at += 1;
                }
                Choice::Alike(rows) => {
                    steps.push(Step::Alike { first: at, rows, words: self.words[at] });
                    at += rows;
                }
                Choice::InTurn(rows) => {
                    let knit_first = self.plain(at) == Some(Stitches::K);
                    let reverse = knit_first != (self.pattern.rows[at].side == Side::Rs);
                    steps.push(Step::InTurn { first: at, rows, reverse, knit_first });
                    at += rows;
                }
                Choice::Again { source, rows, times } => {
                    steps.push(Step::Again { first: at, source, rows, times, growth: Vec::new() });
                    at += rows * times;
                }
                Choice::Grown(block) => {
                    let block = &self.blocks[block];
                    steps.push(Step::Again {
                        first: at,
                        source: at - block.rows,
                        rows: block.rows,
                        times: block.times,
                        growth: block.growth.clone(),
                    });
                    at += block.rows * block.times;
                }
            }
        }
        (best[0].cost, steps)
    }

    fn choose(&self, at: usize, best: &[Best], shared: &Shared) -> Best {
        let begins = self.begins(at);
        let whole = |block: usize| begins && block.is_multiple_of(2);
        // The row behind it that a sentence tells makes it whole.
        let with_told =
            |rows: usize| begins && !rows.is_multiple_of(2) && self.told.get(at + rows) == Some(&true);
        let way = |cost: u32, rows: usize, choice: Choice| {
            let rest = best[at + rows];
            let told = match choice {
                Choice::Again { rows: block, .. } if whole(block) => rows as u32,
                Choice::Again { times: 1, .. } if with_told(rows) => rows as u32 + 1,
                _ => 0,
            };
            Best { cost: cost + rest.cost, again: rest.again + told, choice }
        };
        if let Some(block) = self.blocks.iter().position(|block| block.first == at) {
            let grown = &self.blocks[block];
            return way(LINE + grown.cost, grown.rows * grown.times, Choice::Grown(block));
        }
        let alone = LINE + self.costs[at];
        if self.opens_sentence(at) {
            return way(alone, 1, Choice::Told);
        }
        let mut choice = match self.told(at) {
            true => way(0, 1, Choice::Told),
            false => way(alone, 1, Choice::Row),
        };
        // A growing row is printed where the block begins: later workings refer to it. A row that a sentence tells needs
        // no telling with those after it, and the set-up row stands by itself.
        if self.told(at)
            || self.words.len() > MOST_ROWS
            || self.pattern.rows[at].is_set_up()
            || self.blocks.iter().any(|block| block.begins_with(at))
        {
            return choice;
        }
        // Of ways that cost the same the one is taken that tells most rows by whole blocks before, then the one whose line tells most.
        let mut tells = 1;
        let mut offer = |cost: u32, rows: usize, told: Choice| {
            let offered = way(cost, rows, told);
            let order = choice.cost.cmp(&offered.cost).then(offered.again.cmp(&choice.again));
            if order.then(rows.cmp(&tells)).is_gt() {
                (choice, tells) = (offered, rows);
            }
        };
        let free = self.free(at);
        let alike = (at..free).take_while(|&row| self.words[row] == self.words[at]).count();
        // The first row tells on which side the others are: the RS, if nothing else is said.
        let sides = at > 0 || self.pattern.rows[at].side == Side::Rs;
        // Two rows of few words are as soon read one by one where the first of them is on the side that others begin on.
        let pairs = begins || self.pattern.worked == Worked::Round || self.costs[at] > FEW_WORDS;
        if sides {
            // The last of them may do better with the rows after them.
            for alike in 2..=alike {
                if alike > 2 || pairs {
                    offer(alone, alike, Choice::Alike(alike));
                }
            }
        }
        let turns = self.in_turn(at, free);
        if sides {
            // It begins on the right side where it can.
            let late = u32::from(self.pattern.rows[at].side == Side::Ws);
            for turns in IN_TURN..=turns {
                offer(LINE + FABRIC + late, turns, Choice::InTurn(turns));
            }
        }
        // For each number of rows from 1 only the first rows before that are alike to so many from here.
        let mut tried = 0;
        for source in 0..at {
            // The rows referred to are told one by one, or by another line of which they are all.
            let apart = at - source;
            let Some(next) = self.alike.get(at + tried).filter(|_| tried < apart) else { break };
            // Whether it has more rows alike than were tried is mostly told by the next of them alone.
            if self.alike[source + tried] != *next {
                continue;
            }
            let length = shared.of(source, apart).min(apart);
            for rows in tried + 1..=length {
                let one = at + rows;
                if one > free {
                    return choice;
                }
                // Where a sentence tells the last row already, the rows before it are told with it if they are a block.
                if !self.told(one - 1) || (rows > 2 && whole(rows)) {
                    offer(LINE + LOOK_BACK, rows, Choice::Again { source, rows, times: 1 });
                }
                let more = shared.of(at, rows) / rows;
                // Not always as often as they can be: what follows may do better with the rows of the last working.
                for times in 2..=1 + more.min((free - one) / rows) {
                    offer(LINE + LOOK_BACK, rows * times, Choice::Again { source, rows, times });
                }
            }
            tried = tried.max(length);
        }
        choice
    }

    /// Whether a row stands in Row 1's place of two: blocks of rows begin there.
    fn begins(&self, row: usize) -> bool {
        let set_up = self.pattern.rows.iter().take_while(|row| row.is_set_up()).count();
        row.checked_sub(set_up).is_some_and(|behind| behind.is_multiple_of(2))
    }

    /// The stitch that is all of a row.
    fn plain(&self, row: usize) -> Option<StitchId> {
        match self.wordings.items(*self.words.get(row)?) {
            [Item::Run { stitch, extent: Extent::ToLast(0) }] => Some(*stitch),
            _ => None,
        }
    }

    /// How many rows from here are knit rows and purl rows in turn.
    fn in_turn(&self, at: usize, free: usize) -> usize {
        let (first, second) = match self.plain(at) {
            Some(Stitches::K) => (Stitches::K, Stitches::P),
            Some(Stitches::P) => (Stitches::P, Stitches::K),
            _ => return 0,
        };
        if self.pattern.worked == Worked::Round {
            return 0;
        }
        let due = |row: usize| if (row - at).is_multiple_of(2) { first } else { second };
        (at..free).take_while(|&row| self.plain(row) == Some(due(row))).count()
    }

    fn told(&self, row: usize) -> bool {
        self.told[row]
    }

    fn opens_sentence(&self, row: usize) -> bool {
        self.sentence.is_some_and(|sentence| sentence.rows.first() == Some(&row))
    }

    /// Up to which row lines may be put together from here: not across what must be printed in its place.
    fn free(&self, at: usize) -> usize {
        let grown = self.blocks.iter().map(|block| block.first - block.rows);
        let sentence = self.sentence.and_then(|sentence| sentence.rows.first().copied());
        let stops = grown.chain(self.blocks.iter().map(|block| block.first)).chain(sentence);
        stops.filter(|stop| *stop > at).min().unwrap_or(self.words.len())
    }
}

/// How many rows from each one on are alike to those so many rows later.
struct Shared {
    rows: usize,
    /// By how many rows later, then by row.
    alike: Vec<u16>,
}

impl Shared {
    /// Of rows with the same number where they are alike.
    fn of_rows(numbers: &[usize]) -> Self {
        let rows = numbers.len();
        let mut alike = vec![0; rows * rows];
        for apart in 1..rows {
            let (from, later) = (&numbers[..rows - apart], &numbers[apart..]);
            let alike = &mut alike[apart * rows..][..rows - apart];
            let mut length = 0;
            for ((alike, one), two) in alike.iter_mut().zip(from).zip(later).rev() {
                length = if one == two { length + 1 } else { 0 };
                *alike = length;
            }
        }
        Self { rows, alike }
    }

    fn of(&self, row: usize, apart: usize) -> usize {
        self.alike.get(apart * self.rows + row).copied().map_or(0, usize::from)
    }
}

#[cfg(test)]
mod tests;
