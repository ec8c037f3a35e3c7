//! The wordings of a pattern's rows, each known by a number.

use std::cell::OnceCell;
use std::rc::Rc;

use foldhash::{HashMap, HashMapExt};

use super::cost;
use crate::stitch::Stitches;
use crate::written::Item;

/// Wordings by number: rows with the same words have the same number.
pub(super) struct Wordings<'a> {
    stitches: &'a Stitches,
    known: HashMap<Rc<[Item]>, usize>,
    /// The words of each number, and what they cost once it was asked for.
    all: Vec<(Rc<[Item]>, OnceCell<u32>)>,
}

impl<'a> Wordings<'a> {
    /// None yet.
    pub(super) fn new(stitches: &'a Stitches) -> Self {
        const FEW: usize = 28;
        Self { stitches, known: HashMap::with_capacity(FEW), all: Vec::with_capacity(FEW) }
    }

    /// The number of these words.
    pub(super) fn number(&mut self, items: Vec<Item>) -> usize {
        if let Some(&number) = self.known.get(items.as_slice()) {
            return number;
        }
        let items: Rc<[Item]> = items.into();
        self.known.insert(Rc::clone(&items), self.all.len());
        self.all.push((items, OnceCell::new()));
        self.all.len() - 1
    }

    /// The words of a number.
    pub(super) fn items(&self, number: usize) -> &[Item] {
        self.all.get(number).map_or(&[], |(items, _)| items)
    }

    /// What they cost, as [`cost`] weighs them.
    pub(super) fn cost(&self, number: usize) -> u32 {
        self.all.get(number).map_or(0, |(items, weight)| *weight.get_or_init(|| cost(items, self.stitches)))
    }
}
