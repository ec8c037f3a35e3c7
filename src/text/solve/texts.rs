//! What the lines of a pattern say, read once for each side and colour they are worked in.

use std::collections::HashMap;
use std::rc::Rc;
use std::sync::Arc;

use super::super::colours;
use super::super::find::RowText;
use super::super::says::{Says, says};
use super::super::sizes::of_size;
use super::super::stated::{Stated, part_bare_count, part_count};
use super::Lost;
use crate::pattern::Side;
use crate::stitch::{StitchId, Stitches};
use crate::words::{self, Colours, Context, Means, Piece, Work};
use crate::written::{Growth, Item};

/// What the texts of a pattern's rows say, read once.
pub(in crate::text) struct Texts {
    /// Which of the sizes they are read for.
    pub(super) size: usize,
    pub(in crate::text) says: Vec<Says>,
    pub(in crate::text) stated: Vec<Option<Stated>>,
    /// Bytes of each line that the work takes.
    pub(in crate::text) spans: Vec<(usize, usize)>,
    /// The work of each line, numbers by size as this size has them.
    words: Vec<String>,
    /// Lines that have numbers by size.
    pub(in crate::text) sized: Vec<usize>,
    /// Colours that lines are said to begin in.
    begins_in: Vec<Option<Arc<str>>>,
    works: HashMap<Begun, Rc<Work>>,
    /// Of the works of each line that have mistakes the first.
    wrong: HashMap<usize, (Begun, Rc<Work>)>,
    pub(in crate::text) colours: Colours,
    /// Rows that name no colour and were worked in the one last in use.
    pub(in crate::text) goes_on: Vec<(u32, Arc<str>)>,
    pub(in crate::text) stitches: Stitches,
    means: Means,
    /// Whether the width was found by what the rows fit: then it proves no reading of theirs.
    pub(in crate::text) free_width: bool,
    /// What grows in rows told by others, by their lines.
    pub(super) growths: HashMap<usize, Result<Vec<Growth>, Lost>>,
}

/// A line worked on a side, begun in a colour.
type Begun = (usize, Side, Option<Arc<str>>);

impl Texts {
    /// The texts as one of so many sizes has them; `size` is its index.
    pub(in crate::text) fn new(
        rows: &[RowText],
        (size, sizes): (usize, usize),
        stitches: Stitches,
        means: Means,
        colours: Colours,
    ) -> Self {
        let mut texts = Self {
            size,
            says: Vec::new(),
            stated: Vec::new(),
            spans: Vec::new(),
            words: Vec::new(),
            sized: Vec::new(),
            begins_in: Vec::new(),
            works: HashMap::new(),
            wrong: HashMap::new(),
            colours,
            goes_on: Vec::new(),
            stitches,
            means,
            free_width: false,
            growths: HashMap::new(),
        };
        for row in rows {
            let work = row.line.text.get(row.work..).unwrap_or_default();
            let (length, stated) = match part_count(work) {
                (length, None) if sizes == 1 => {
                    part_bare_count(work).map_or((length, None), |(length, count)| (length, Some(count)))
                }
                parted => parted,
            };
            let work = work.get(..length).unwrap_or_default();
            let first = of_size(work, size, sizes);
            if first != work {
                texts.sized.push(texts.says.len());
            }
            let mut begins_in = colours::said(row, &texts.colours);
            let mut what = says(&first);
            // "With navy, work in St st": what is told of many rows, in a colour.
            if let Some((rest, colour)) =
                colours::parted(&first, &texts.colours).filter(|_| what == Says::Work)
            {
                let told = says(rest);
                if told != Says::Work {
                    (what, begins_in) = (told, Some(colour));
                }
            }
            texts.says.push(what);
            texts.begins_in.push(begins_in);
            texts.words.push(first);
            texts.stated.push(stated);
            texts.spans.push((row.work, row.work + length));
        }
        texts
    }

    /// Leaves aside how many stitches are said to be there; by how many they change is kept.
    pub(in crate::text) fn leave_counts(&mut self) {
        for stated in &mut self.stated {
            *stated = stated.take().filter(|stated| !stated.is_count());
        }
    }

    /// The colour that a line is said to begin in.
    pub(super) fn begins_in(&self, text: usize) -> Option<Arc<str>> {
        self.begins_in.get(text).cloned().flatten()
    }

    /// What the words of a line are on this side, with what is wrong in them.
    pub(in crate::text) fn work_told(&mut self, text: usize, side: Side) -> Rc<Work> {
        match self.wrong.get(&text) {
            Some((_, work)) => Rc::clone(work),
            None => self.work(text, side, self.begins_in(text)),
        }
    }

    /// What the words of a line are on this side, begun in a colour.
    pub(in crate::text) fn work(&mut self, text: usize, side: Side, colour: Option<Arc<str>>) -> Rc<Work> {
        let key = (text, side, colour.clone());
        if let Some(work) = self.works.get(&key) {
            return Rc::clone(work);
        }
        let words = self.words.get(text).map_or("", String::as_str);
        let mut context = Context {
            stitches: &mut self.stitches,
            means: &self.means,
            side: Some(side),
            colours: &self.colours,
            colour,
        };
        let mut work = words::work(words, &mut context).tidied();
        let none = |pieces: &mut Vec<Piece>| {
            pieces.retain(|piece| {
                !matches!(piece, Piece::Work(Item::Run { stitch, .. }) if self.stitches.get(*stitch).name == "ns")
            });
        };
        none(&mut work.pieces);
        let work = Rc::new(work);
        if !work.errors.is_empty() && self.wrong.get(&text).is_none_or(|(first, _)| key < *first) {
            self.wrong.insert(text, (key.clone(), Rc::clone(&work)));
        }
        self.works.insert(key, Rc::clone(&work));
        work
    }

    /// The items of a run named in a text.
    pub(super) fn run(&mut self, words: &str) -> Option<Vec<Item>> {
        let mut context = Context {
            stitches: &mut self.stitches,
            means: &self.means,
            side: None,
            colours: &self.colours,
            colour: None,
        };
        let work = words::work(words, &mut context);
        let items = work.pieces.into_iter().map(|piece| match piece {
            Piece::Work(item) => Some(item),
            _ => None,
        });
        items.collect::<Option<Vec<Item>>>().filter(|_| work.errors.is_empty())
    }

    pub(super) fn in_colour(&mut self, stitch: StitchId, colour: Option<&str>) -> StitchId {
        colour.and_then(|colour| self.stitches.coloured(stitch, colour)).unwrap_or(stitch)
    }

    pub(super) fn notes_colour(&mut self, number: u32, carried: Option<&Arc<str>>) {
        self.goes_on.extend(carried.map(|colour| (number, Arc::clone(colour))));
    }
}
