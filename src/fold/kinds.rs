//! Rows with the same stitches, folded once: rows of a chart recur.

use std::cell::{OnceCell, RefCell};

use foldhash::{HashMap, HashMapExt};

use super::row::{Folder, REPEAT, SEAM};
use super::{cost, plain};
use crate::pattern::{Pattern, RowRepeat};
use crate::stitch::{StitchId, Stitches};
use crate::written::{Extent, Item};

/// The rows of a pattern by their stitches.
pub(super) struct Kinds<'a> {
    /// One for all rows with the same stitches, in the order they come in.
    pub(super) kinds: Vec<Kind<'a>>,
    /// The kind of each row of the pattern.
    pub(super) of: Vec<usize>,
}

impl<'a> Kinds<'a> {
    /// The kinds of a pattern, to be folded with at most `nesting` repeats inside each other.
    pub(super) fn of(pattern: &'a Pattern, nesting: u8) -> Self {
        let mut known: HashMap<&[StitchId], usize> = HashMap::with_capacity(pattern.rows.len());
        let mut rows: Vec<&[StitchId]> = Vec::new();
        let number = |row: &'a [StitchId]| {
            *known.entry(row).or_insert_with(|| {
                rows.push(row);
                rows.len() - 1
            })
        };
        let of = pattern.rows.iter().map(|row| row.stitches.as_slice()).map(number).collect();
        let kinds = rows.into_iter().map(|row| Kind::new(row, &pattern.stitches, nesting)).collect();
        Self { kinds, of }
    }

    /// The kind of a row of the pattern.
    pub(super) fn row(&self, row: usize) -> &Kind<'a> {
        &self.kinds[self.of[row]]
    }
}

/// A row, or all rows with the same stitches, and what folding needs to know of it.
pub(super) struct Kind<'a> {
    pub(super) row: &'a [StitchId],
    stitches: &'a Stitches,
    nesting: u8,
    folder: RefCell<Folder<'a>>,
    /// The row folded, and what it costs from each place on, where it repeats something.
    whole: OnceCell<(Vec<Item>, Vec<u32>)>,
    /// What the row costs up to each place, from its end to its front, where that is asked for.
    before: OnceCell<Vec<u32>>,
}

impl<'a> Kind<'a> {
    /// Nothing is folded yet.
    pub(super) fn new(row: &'a [StitchId], stitches: &'a Stitches, nesting: u8) -> Self {
        let folder = RefCell::new(Folder::new(row, stitches, nesting, 0));
        Self { row, stitches, nesting, folder, whole: OnceCell::new(), before: OnceCell::new() }
    }

    /// The folding of the row on its own that lines up with others: see [`super::fold`].
    pub(super) fn free(&self) -> &[Item] {
        &self.whole().0
    }

    fn whole(&self) -> &(Vec<Item>, Vec<u32>) {
        self.whole.get_or_init(|| self.folder.borrow_mut().whole())
    }

    /// The folding of the row where it lines up with no others: see [`super::alone`].
    fn alone(&self) -> Vec<Item> {
        let mut folder = self.folder.borrow_mut();
        folder.set_seam(SEAM);
        let items = folder.items(0, self.row.len(), self.nesting.into());
        folder.set_seam(0);
        items
    }

    /// The least cost of the row.
    pub(super) fn cost(&self) -> u32 {
        self.after(0)
    }

    /// The least cost of the row from a place on.
    fn after(&self, place: usize) -> u32 {
        self.plain_edge(place, self.row.len())
            .unwrap_or_else(|| self.whole().1.get(place).copied().unwrap_or(0))
    }

    /// The least cost of the row up to a place.
    fn before(&self, place: usize) -> u32 {
        let table = || {
            let reversed: Vec<StitchId> = self.row.iter().rev().copied().collect();
            Folder::new(&reversed, self.stitches, self.nesting, 0).costs()
        };
        self.plain_edge(0, place).unwrap_or_else(|| {
            let costs = self.before.get_or_init(table);
            costs.get(self.row.len() - place).copied().unwrap_or(0)
        })
    }

    /// What a part at an edge of the row costs that repeats nothing: its runs, which need no table.
    fn plain_edge(&self, from: usize, to: usize) -> Option<u32> {
        let folder = self.folder.borrow();
        (!folder.repeats_within(from, to)).then(|| folder.in_runs(from, to))
    }

    /// See [`Folder::widest`].
    pub(super) fn widest(&self) -> Option<(usize, usize, usize)> {
        self.folder.borrow().widest()
    }

    /// See [`Folder::stretch`].
    pub(super) fn stretch(&self, from: usize, to: usize, period: usize) -> Option<(usize, usize)> {
        self.folder.borrow().stretch(from, to, period)
    }

    /// The row folded, following the repeat where it has one. Where yarn overs are named by their neighbours, the
    /// workings of the repeat may differ in them: then it can't be folded there.
    pub(super) fn closed(&self, repeat: Option<RowRepeat>) -> Vec<Item> {
        let Some(repeat) = repeat else { return self.alone() };
        let RowRepeat { start, length, times } = repeat;
        if times <= 1 || length == 0 {
            return self.free().to_vec();
        }
        let Some(body) = self.row.get(start..start + length * times) else { return self.free().to_vec() };
        if body[length..] != body[..body.len() - length] {
            return self.free().to_vec();
        }
        let free = self.free();
        let as_short = plain(free, self.stitches) && cost(free, self.stitches) <= self.boxed_cost(repeat);
        if as_short { free.to_vec() } else { self.boxed(repeat) }
    }

    /// The row folded with the repeat as it stands, edges and what is repeated each on their own. The row must hold
    /// the repeat.
    pub(super) fn boxed(&self, repeat: RowRepeat) -> Vec<Item> {
        let (start, end) = (repeat.start, repeat.start + repeat.length * repeat.times);
        let nesting = usize::from(self.nesting);
        let mut folder = self.folder.borrow_mut();
        let mut items = folder.items(0, start, nesting);
        let mut unit = folder.items(start, start + repeat.length, nesting.saturating_sub(1));
        let times = u32::try_from(repeat.times).unwrap_or(u32::MAX);
        items.push(match unit.as_mut_slice() {
            // A working that repeats something itself: "[yo, k1] 4 times", not "[[yo, k1] twice] twice".
            [Item::Repeat { items, extent: Extent::Times(inner) }] => {
                let extent = Extent::Times(times.saturating_mul(*inner));
                Item::Repeat { items: std::mem::take(items), extent }
            }
            _ => Item::Repeat { items: unit, extent: Extent::Times(times) },
        });
        items.append(&mut folder.items(end, self.row.len(), nesting));
        items
    }

    /// What [`Kind::boxed`] costs.
    pub(super) fn boxed_cost(&self, repeat: RowRepeat) -> u32 {
        let (start, end) = (repeat.start, repeat.start + repeat.length * repeat.times);
        let (before, after) = (self.before(start), self.after(end));
        let level = usize::from(self.nesting).saturating_sub(1);
        let (working, is_repeat) = self.folder.borrow_mut().part(start, start + repeat.length, level);
        // A working that is one repeat of its own is told as one with the other.
        before + working + after + if is_repeat { 0 } else { REPEAT }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::fold::fold;

    fn names(names: &str) -> Vec<StitchId> {
        let mut stitches = Stitches::built_in();
        names.split(' ').filter_map(|name| stitches.find(name)).collect()
    }

    fn every_repeat(row: &[StitchId]) -> Vec<RowRepeat> {
        let mut all = Vec::new();
        for start in 0..row.len() {
            for length in 1..=row.len() - start {
                all.extend((1..=(row.len() - start) / length).map(|times| RowRepeat {
                    start,
                    length,
                    times,
                }));
            }
        }
        all
    }

    /// Written out and counted, the cost is the same.
    #[test]
    fn a_boxed_row_costs_what_it_is_said_to() {
        let stitches = Stitches::built_in();
        let row = names("k k p k yo k2tog yo k2tog p k p k k k k yo");
        let kind = Kind::new(&row, &stitches, 2);
        for repeat in every_repeat(&row) {
            let boxed = kind.boxed(repeat);
            assert_eq!(kind.boxed_cost(repeat), cost(&boxed, &stitches), "{repeat:?}");
        }
    }

    proptest! {
        /// The tables of the row serve each of its parts as tables of its own would.
        #[test]
        fn the_parts_of_a_row_are_folded_as_rows(
            letters in proptest::collection::vec(0..3usize, 0..16),
            nesting in 0..4u8,
        ) {
            let stitches = Stitches::built_in();
            let three = names("k k2tog yo");
            let row: Vec<StitchId> = letters.iter().map(|&letter| three[letter]).collect();
            let kind = Kind::new(&row, &stitches, nesting);
            prop_assert_eq!(kind.cost(), cost(&fold(&row, &stitches, nesting), &stitches));
            for repeat in every_repeat(&row) {
                let RowRepeat { start, length, times } = repeat;
                let end = start + length * times;
                let mut boxed = fold(&row[..start], &stitches, nesting);
                let unit = fold(&row[start..start + length], &stitches, nesting.saturating_sub(1));
                let times = u32::try_from(times).unwrap();
                boxed.push(match &unit[..] {
                    [Item::Repeat { items, extent: Extent::Times(inner) }] => {
                        Item::Repeat { items: items.clone(), extent: Extent::Times(times * inner) }
                    }
                    _ => Item::Repeat { items: unit, extent: Extent::Times(times) },
                });
                boxed.extend(fold(&row[end..], &stitches, nesting));
                prop_assert_eq!(kind.boxed_cost(repeat), cost(&boxed, &stitches));
                prop_assert_eq!(kind.boxed(repeat), boxed);
            }
        }

        /// Told by the repetitions of a row or stitch by stitch, it is the same.
        #[test]
        fn a_stretch_goes_on_as_it_does_a_period_on(letters in proptest::collection::vec(0..2usize, 0..20)) {
            let stitches = Stitches::built_in();
            let two = names("k yo");
            let row: Vec<StitchId> = letters.iter().map(|&letter| two[letter]).collect();
            let kind = Kind::new(&row, &stitches, 2);
            for RowRepeat { start, length, times } in every_repeat(&row) {
                let end = start + length * times;
                let body = &row[start..end];
                let found = kind.stretch(start, end, length);
                if times == 1 {
                    continue;
                }
                prop_assert_eq!(found.is_some(), body.chunks(length).all(|unit| unit == &body[..length]));
                let Some((from, to)) = found else { continue };
                prop_assert!(from <= start && end <= to);
                // As many workings as stand beside it, and no more.
                let before = (start - from) / length * length;
                let first = start - before;
                prop_assert!(row[first..].iter().zip(&row[first + length..to]).all(|(one, two)| one == two));
                if let Some(more) = first.checked_sub(length) {
                    prop_assert_ne!(&row[more..first], &body[..length]);
                }
                let last = end + (to - end) / length * length;
                if let Some(more) = row.get(last..last + length) {
                    prop_assert_ne!(more, &body[..length]);
                }
            }
        }
    }
}
