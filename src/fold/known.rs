//! Rows folded once: rows of a chart recur, and so do the parts of them before, in and after a repeat.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use super::{alone, fold};
use crate::stitch::{StitchId, Stitches};
use crate::written::Item;

/// Foldings by their stitches.
type ByStitches = BTreeMap<Box<[StitchId]>, Rc<[Item]>>;

/// The foldings of a pattern that are known already.
pub(super) struct Folds<'a> {
    pub(super) stitches: &'a Stitches,
    /// By how deep repeats may stand inside each other, whether the row stands alone, and the stitches.
    known: RefCell<BTreeMap<(u8, bool), ByStitches>>,
}

impl<'a> Folds<'a> {
    /// None yet.
    pub(super) fn of(stitches: &'a Stitches) -> Self {
        Self { stitches, known: RefCell::default() }
    }

    /// The folding of a row or of a part of one: see [`fold`].
    pub(super) fn fold(&self, row: &[StitchId], nesting: u8) -> Rc<[Item]> {
        self.kept(row, nesting, false)
    }

    /// The folding of a row that lines up with no other: see [`alone`].
    pub(super) fn alone(&self, row: &[StitchId], nesting: u8) -> Rc<[Item]> {
        self.kept(row, nesting, true)
    }

    fn kept(&self, row: &[StitchId], nesting: u8, stands_alone: bool) -> Rc<[Item]> {
        let mut known = self.known.borrow_mut();
        let known = known.entry((nesting, stands_alone)).or_default();
        if let Some(items) = known.get(row) {
            return Rc::clone(items);
        }
        let fold = if stands_alone { alone } else { fold };
        let items: Rc<[Item]> = fold(row, self.stitches, nesting).into();
        known.insert(row.into(), Rc::clone(&items));
        items
    }
}
