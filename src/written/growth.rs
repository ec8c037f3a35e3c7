//! Growth: rows worked again with more of something each time, as in a shawl, or with less, as in a crown.

use super::{Extent, Item};
use crate::stitch::{StitchId, Stitches, Terms};

/// What is worked more or less in each working of some rows than in the working before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Growth {
    /// The rows it is about, by their numbers in the first working; none for all of them.
    pub rows: Vec<u32>,
    /// What grows.
    pub what: Grown,
    /// Which of them in each row, counted from 1 in the order they are read; none for all of them.
    pub which: Vec<u32>,
    /// Whether a row has more than one that grows, if all of them do: "each k3" instead of "the k3".
    pub several: bool,
    /// How much is added each time: stitches to a run, workings to a repeat. Below zero it is taken away.
    pub by: i32,
}

/// What can grow: the numbers of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Grown {
    /// The runs that read so in the first working: "each k3".
    Run {
        /// The stitch.
        stitch: StitchId,
        /// How many in the first working.
        times: u32,
    },
    /// The repeats that have a number: "[yo, k2tog] 3 times". A run that has no words for its number is printed as
    /// such a repeat and counts as one.
    Repeat,
}

impl Grown {
    /// What the number of an item is; none where it has no number, or where the number is not told.
    pub fn of(item: &Item, stitches: &Stitches) -> Option<(Self, u32)> {
        match item {
            Item::Run { stitch, extent: Extent::Times(times) } => {
                let words = stitches.get(*stitch).words(Terms::Us);
                if words.run.is_some() || *times == 1 {
                    Some((Self::Run { stitch: *stitch, times: *times }, *times))
                } else {
                    Some((Self::Repeat, *times))
                }
            }
            Item::Repeat { extent: Extent::Times(times), .. } => Some((Self::Repeat, *times)),
            _ => None,
        }
    }
}

/// The items of a row in a later working: those of the first with what has grown in `workings` workings. `row` is the
/// number of the row in the first working.
///
/// None where a number would fall below zero, or a growth is about something that is not there.
pub fn grown(
    items: &[Item],
    growth: &[Growth],
    row: u32,
    workings: u32,
    stitches: &Stitches,
) -> Option<Vec<Item>> {
    if !may_grow(growth, row) {
        return Some(items.to_vec());
    }
    let mut grower = Grower { stitches, row, workings, counted: vec![0; growth.len()], growth };
    let grown = grower.items(items)?;
    let found = growth.iter().zip(&grower.counted).all(|(growth, &counted)| {
        let named = growth.which.iter().max().copied().unwrap_or(1);
        // A growth of every row is about those that have such a thing.
        growth.rows.is_empty() || !growth.rows.contains(&row) || counted >= named
    });
    found.then_some(grown)
}

/// Whether something in a row, by its number in the first working, may grow.
pub fn may_grow(growth: &[Growth], row: u32) -> bool {
    growth.iter().any(|growth| growth.rows.is_empty() || growth.rows.contains(&row))
}

struct Grower<'a> {
    stitches: &'a Stitches,
    row: u32,
    workings: u32,
    growth: &'a [Growth],
    /// How many of each kind have been met.
    counted: Vec<u32>,
}

impl Grower<'_> {
    fn items(&mut self, items: &[Item]) -> Option<Vec<Item>> {
        let mut grown = Vec::with_capacity(items.len());
        for item in items {
            grown.push(self.item(item)?);
        }
        Some(grown)
    }

    fn item(&mut self, item: &Item) -> Option<Item> {
        let extent = self.extent(item)?;
        Some(match item {
            Item::Run { stitch, .. } => Item::Run { stitch: *stitch, extent },
            Item::Repeat { items, .. } => Item::Repeat { items: self.items(items)?, extent },
        })
    }

    fn extent(&mut self, item: &Item) -> Option<Extent> {
        let (Item::Run { extent, .. } | Item::Repeat { extent, .. }) = item;
        let Some((what, times)) = Grown::of(item, self.stitches) else { return Some(*extent) };
        let mut times = i64::from(times);
        for (growth, counted) in self.growth.iter().zip(&mut self.counted) {
            if growth.what != what || !(growth.rows.is_empty() || growth.rows.contains(&self.row)) {
                continue;
            }
            *counted += 1;
            if growth.which.is_empty() || growth.which.contains(counted) {
                times += i64::from(growth.by) * i64::from(self.workings);
            }
        }
        u32::try_from(times).ok().map(Extent::Times)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(stitch: StitchId, times: u32) -> Item {
        Item::Run { stitch, extent: Extent::Times(times) }
    }

    /// A triangle from its centre, worked out by hand: k2, yo, k1, yo, k1, yo, k1, yo, k2 grows by two stitches in
    /// each half, the centre stitch does not.
    #[test]
    fn only_what_is_named_grows() {
        let (k, yo) = (Stitches::K, Stitches::YO);
        let row = [
            run(k, 2),
            run(yo, 1),
            run(k, 1),
            run(yo, 1),
            run(k, 1),
            run(yo, 1),
            run(k, 1),
            run(yo, 1),
            run(k, 2),
        ];
        let halves = Growth {
            rows: vec![3],
            what: Grown::Run { stitch: k, times: 1 },
            which: vec![1, 3],
            several: true,
            by: 2,
        };
        let stitches = Stitches::built_in();
        let numbers = |items: Vec<Item>| -> Vec<u32> {
            items.iter().filter_map(|item| Grown::of(item, &stitches)).map(|(_, times)| times).collect()
        };
        let grow = |growth: &Growth, row_number, workings| {
            grown(&row, std::slice::from_ref(growth), row_number, workings, &stitches).map(numbers)
        };
        assert_eq!(grow(&halves, 3, 4), Some(vec![2, 1, 9, 1, 1, 1, 9, 1, 2]));
        assert_eq!(grow(&halves, 5, 4), Some(vec![2, 1, 1, 1, 1, 1, 1, 1, 2]), "another row");
        let all = Growth { which: Vec::new(), by: -1, ..halves.clone() };
        assert_eq!(grow(&all, 3, 1), Some(vec![2, 1, 0, 1, 0, 1, 0, 1, 2]));
        assert_eq!(grow(&all, 3, 2), None, "fewer than none");
        assert_eq!(grow(&Growth { which: vec![4], ..halves }, 3, 1), None, "there is no fourth");
    }
}
