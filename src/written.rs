//! The printed form: labels, runs, repeats and sentences, before they are put into the words of a house style.
//!
//! Writers know only this form. [`expand`] turns the items of a line back into stitches and [`unfold()`] a whole pattern
//! into its rows, so that whatever is printed can be proved against the rows it stands for.

mod growth;
mod unfold;

use std::hash::{Hash, Hasher};

use crate::pattern::{Hand, Multiple, Side, Size, Worked};
use crate::stitch::{StitchId, Stitches};

pub use growth::{Grown, Growth, grown, may_grow};
pub use unfold::{Shown, Unfolded, tells, unfold};

/// How often a run or a repeat is worked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Extent {
    /// So many times, 1 or more.
    Times(u32),
    /// Until so many loops are left on the left needle: "to last 3 sts"; 0 is "to end".
    ToLast(u32),
}

/// A piece of a row: a run of one stitch, or a group worked several times.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Item {
    /// "k3", "k to last 4 sts".
    Run {
        /// The stitch.
        stitch: StitchId,
        /// How many.
        extent: Extent,
    },
    /// "[yo, k2tog] 3 times", "*yo, k2tog; rep from * to end".
    Repeat {
        /// What is repeated.
        items: Vec<Item>,
        /// How often in all.
        extent: Extent,
    },
}

impl Hash for Item {
    /// One number for all but what is repeated.
    fn hash<H: Hasher>(&self, state: &mut H) {
        let extent = match self.extent() {
            Extent::Times(times) => u64::from(times) << 1,
            Extent::ToLast(left) => u64::from(left) << 1 | 1,
        };
        match self {
            Self::Run { stitch, .. } => state.write_u64(extent << 17 | stitch.index() as u64),
            Self::Repeat { items, .. } => {
                state.write_u64(extent << 17 | 1 << 16);
                items.hash(state);
            }
        }
    }
}

impl Item {
    /// The item and all that it repeats, each before what it repeats.
    pub fn pieces(&self) -> impl Iterator<Item = &Self> {
        let mut first = Some(self);
        let mut ahead = Vec::new();
        std::iter::from_fn(move || {
            let item = first.take().or_else(|| ahead.pop())?;
            if let Self::Repeat { items, .. } = item {
                ahead.extend(items.iter().rev());
            }
            Some(item)
        })
    }

    /// How often it is worked.
    pub const fn extent(&self) -> Extent {
        match self {
            Self::Run { extent, .. } | Self::Repeat { extent, .. } => *extent,
        }
    }
}

/// What a line is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Label {
    /// One row: "Row 1 (RS)".
    Row {
        /// Its number.
        number: u32,
        /// Its side.
        side: Side,
    },
    /// Rows one after another: "Rows 9-16", "Rows 3 and 4".
    Rows {
        /// The first of them.
        first: u32,
        /// The last of them, more than the first.
        last: u32,
        /// The side of the first, where no line before tells on which side they are.
        side: Option<Side>,
    },
    /// One sentence for many rows: "Row 2 and all WS rows", "Round 2 and all even-numbered rounds".
    Every {
        /// The first of them.
        first: u32,
        /// Their side (flat); rounds are told apart by being even or odd, like `first`.
        side: Side,
        /// Rows of that kind that the sentence does not hold for; they have lines of their own.
        except: Vec<u32>,
    },
}

/// What a line says is worked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Work {
    /// The stitches, in each row of the line.
    Items(Vec<Item>),
    /// The words of rows told before: "As Row 1", "Rep Rows 1-8 twice".
    Again(Again),
    /// Knit rows and purl rows in turn, in flat knitting.
    InTurn {
        /// Whether RS rows are purled.
        reverse: bool,
        /// Whether the first row is a knit row.
        knit_first: bool,
    },
}

/// Rows told before, worked again in their order by the same words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Again {
    /// The first of them.
    pub first: u32,
    /// The last of them; the first where there is one.
    pub last: u32,
    /// How often they are worked again.
    pub times: u32,
    /// What is worked more, or less, in each working than in the one before.
    pub growth: Vec<Growth>,
}

/// One printed line: a row, or rows told together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// Which row or rows it is for.
    pub label: Label,
    /// What is worked.
    pub work: Work,
    /// Stitches on the needle after its last row; `None` where a sentence stands for rows of different counts.
    pub count: Option<u32>,
    /// Whether the count differs from that of the row before (the cast-on for the first).
    pub count_changes: bool,
}

/// A pattern ready for a house style.
#[derive(Clone, Debug, PartialEq)]
pub struct Written {
    /// What it is called.
    pub title: String,
    /// Flat or in the round.
    pub worked: Worked,
    /// For which hand.
    pub hand: Hand,
    /// Stitches to cast on.
    pub cast_on: u32,
    /// The widths it can have.
    pub multiple: Option<Multiple>,
    /// Its sizes, if any.
    pub sizes: Vec<Size>,
    /// The designer's notes, a line each.
    pub notes: Vec<String>,
    /// The rows.
    pub lines: Vec<Line>,
    /// The dictionary the stitches are in.
    pub stitches: Stitches,
}

/// Why items can't be worked on so many loops.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Misfit {
    /// "To last `wanted` sts" with only `left` on the needle.
    TooFewLeft {
        /// Loops that should be left.
        wanted: u32,
        /// Loops that are left.
        left: u32,
    },
    /// A repeat that uses `unit` loops does not divide the `span` loops it must fill; `over` are left over.
    DoesNotDivide {
        /// Loops one working uses.
        unit: u32,
        /// Loops to be filled.
        span: u32,
        /// Loops left over.
        over: u32,
    },
    /// A repeat "to end" that uses no loops would never end.
    NeverEnds,
    /// An open repeat inside another repeat, whose width can't be known.
    OpenInside,
    /// The row needs more loops than there are.
    Needs {
        /// Loops the row uses.
        uses: u32,
        /// Loops there are.
        loops: u32,
    },
    /// The row would have more stitches than any row of knitting.
    TooLong,
}

/// The most stitches a row may have when it is written out.
pub const LONGEST_ROW: usize = 1_000_000;

/// Works the items on a needle of `loops` loops: every stitch on its own, in the order worked.
///
/// # Errors
/// Says why the items don't fit. Loops that are left over when the items end are no error here: the caller
/// compares what the row uses with what there is.
pub fn expand(items: &[Item], stitches: &Stitches, loops: u32) -> Result<Vec<StitchId>, Misfit> {
    let mut row = Vec::new();
    let mut used = 0;
    work(items, stitches, loops, true, &mut used, &mut row)?;
    Ok(row)
}

fn work(
    items: &[Item],
    stitches: &Stitches,
    loops: u32,
    outermost: bool,
    used: &mut u32,
    row: &mut Vec<StitchId>,
) -> Result<(), Misfit> {
    for item in items {
        let (unit, extent) = match item {
            Item::Run { stitch, extent } => (stitches.get(*stitch).uses, *extent),
            Item::Repeat { items, extent } => {
                (items_use(items, stitches).ok_or(Misfit::OpenInside)?, *extent)
            }
        };
        let times = match extent {
            Extent::Times(times) => times,
            Extent::ToLast(_) if !outermost => return Err(Misfit::OpenInside),
            Extent::ToLast(wanted) => {
                let left = loops.saturating_sub(*used);
                let span = left.checked_sub(wanted).ok_or(Misfit::TooFewLeft { wanted, left })?;
                if unit == 0 {
                    return Err(Misfit::NeverEnds);
                }
                if !span.is_multiple_of(unit) {
                    return Err(Misfit::DoesNotDivide { unit, span, over: span % unit });
                }
                span / unit
            }
        };
        match item {
            Item::Run { stitch, .. } => {
                if row.len() + times as usize > LONGEST_ROW {
                    return Err(Misfit::TooLong);
                }
                row.extend(std::iter::repeat_n(*stitch, times as usize));
                *used = used.saturating_add(unit.saturating_mul(times));
            }
            Item::Repeat { items, .. } => {
                for _ in 0..times {
                    let before = row.len();
                    work(items, stitches, loops, false, used, row)?;
                    if row.len() == before {
                        break;
                    }
                }
            }
        }
        if *used > loops {
            return Err(Misfit::Needs { uses: *used, loops });
        }
    }
    Ok(())
}

/// Whether the items, worked on a needle of `loops` loops, give this row: what [`expand`] says, without writing it out.
pub fn gives(items: &[Item], stitches: &Stitches, loops: u32, row: &[StitchId]) -> bool {
    let mut proof = Proof { stitches, loops, row, used: 0, at: 0 };
    row.len() <= LONGEST_ROW && proof.items(items, true) == Some(()) && proof.at == row.len()
}

/// A row held against the items that should give it.
struct Proof<'a> {
    stitches: &'a Stitches,
    loops: u32,
    row: &'a [StitchId],
    /// Loops used so far, and stitches of the row that were given.
    used: u32,
    at: usize,
}

impl Proof<'_> {
    fn items(&mut self, items: &[Item], outermost: bool) -> Option<()> {
        items.iter().try_for_each(|item| self.item(item, outermost))
    }

    fn item(&mut self, item: &Item, outermost: bool) -> Option<()> {
        let (unit, extent) = match item {
            Item::Run { stitch, extent } => (self.stitches.get(*stitch).uses, *extent),
            Item::Repeat { items, extent } => (items_use(items, self.stitches)?, *extent),
        };
        let times = match extent {
            Extent::Times(times) => times,
            Extent::ToLast(_) if !outermost => return None,
            Extent::ToLast(wanted) => {
                let span = self.loops.saturating_sub(self.used).checked_sub(wanted)?;
                if unit == 0 || !span.is_multiple_of(unit) {
                    return None;
                }
                span / unit
            }
        };
        let from = self.at;
        match item {
            Item::Run { stitch, .. } => {
                let run = self.row.get(from..from.checked_add(times as usize)?)?;
                if run.iter().any(|id| id != stitch) {
                    return None;
                }
                self.at += run.len();
                self.used = self.used.saturating_add(unit.saturating_mul(times));
            }
            Item::Repeat { items, .. } => {
                let more = times.checked_sub(1);
                if more.is_some() {
                    self.items(items, false)?;
                }
                // What comes after the first working must be the same again, so often.
                if let Some(more) = more.filter(|_| self.at > from) {
                    let length = self.at - from;
                    let end = self.at.checked_add(length.checked_mul(more as usize)?)?;
                    let body = self.row.get(from..end)?;
                    if body[length..] != body[..body.len() - length] {
                        return None;
                    }
                    self.at = end;
                    self.used = self.used.saturating_add(unit.saturating_mul(more));
                }
            }
        }
        (self.used <= self.loops).then_some(())
    }
}

/// Loops that closed items use; `None` if one of them is open or the number is beyond any row.
pub fn items_use(items: &[Item], stitches: &Stitches) -> Option<u32> {
    loops_of(items, &|stitch| stitches.get(stitch).uses)
}

/// The same of the loops that they make.
pub fn items_make(items: &[Item], stitches: &Stitches) -> Option<u32> {
    loops_of(items, &|stitch| stitches.get(stitch).makes)
}

/// The sum of some loops of each stitch of closed items.
fn loops_of(items: &[Item], loops: &impl Fn(StitchId) -> u32) -> Option<u32> {
    items.iter().try_fold(0u32, |sum, item| {
        let (unit, extent) = match item {
            Item::Run { stitch, extent } => (loops(*stitch), extent),
            Item::Repeat { items, extent } => (loops_of(items, loops)?, extent),
        };
        match extent {
            Extent::Times(times) => sum.checked_add(unit.checked_mul(*times)?),
            Extent::ToLast(_) => None,
        }
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn any_items() -> impl Strategy<Value = Vec<Item>> {
        let extent =
            || prop_oneof![3 => (0..4u32).prop_map(Extent::Times), 1 => (0..3u32).prop_map(Extent::ToLast)];
        let stitch = proptest::sample::select(vec![Stitches::K, Stitches::P, Stitches::YO]);
        let run = (stitch, extent()).prop_map(|(stitch, extent)| Item::Run { stitch, extent });
        let item = run.prop_recursive(3, 8, 3, move |inner| {
            (proptest::collection::vec(inner, 0..3), extent())
                .prop_map(|(items, extent)| Item::Repeat { items, extent })
        });
        proptest::collection::vec(item, 0..4)
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(2_000) })]

        /// Held against a row or written out, the items say the same; one stitch more, less or other is told.
        #[test]
        fn items_give_what_they_expand_to(items in any_items(), loops in 0..20u32, at in 0..20usize) {
            let stitches = Stitches::built_in();
            match expand(&items, &stitches, loops) {
                Ok(row) => {
                    prop_assert!(gives(&items, &stitches, loops, &row));
                    let longer = [row.as_slice(), &[Stitches::K]].concat();
                    prop_assert!(!gives(&items, &stitches, loops, &longer));
                    if let Some(shorter) = row.len().checked_sub(1) {
                        prop_assert!(!gives(&items, &stitches, loops, &row[..shorter]));
                        let mut other = row.clone();
                        let at = at % row.len();
                        other[at] = if row[at] == Stitches::K { Stitches::P } else { Stitches::K };
                        prop_assert!(!gives(&items, &stitches, loops, &other));
                    }
                }
                Err(_) => prop_assert!(!gives(&items, &stitches, loops, &vec![Stitches::K; at])),
            }
        }
    }
}
