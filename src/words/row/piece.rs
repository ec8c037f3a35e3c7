//! Pieces of a row: what is worked, markers, and what only a needle can tell.

use super::{MarkerName, Reach, Stretch, Which};
use crate::stitch::Stitches;
use crate::written::{Extent, Item, items_use};

/// A piece of a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Piece {
    /// Something worked.
    Work(Item),
    /// A marker is placed, under a name if it is given one.
    Place(Option<MarkerName>),
    /// A marker is slipped, the one of this name.
    Slip(Option<MarkerName>),
    /// A marker is removed, the one of this name.
    Remove(Option<MarkerName>),
    /// Every marker that the row meets is removed.
    Clear,
    /// Something worked until so many stitches before a marker.
    UntilMarker {
        /// What is worked.
        items: Vec<Item>,
        /// The stitches before the marker.
        before: u32,
        /// Which marker.
        which: Which,
    },
    /// Stitches told by their fabric.
    Stretch(Stretch),
    /// A group worked so often whose workings may differ: each goes by the markers and the loops that it meets.
    Repeat {
        /// What is repeated.
        pieces: Vec<Piece>,
        /// How often in all.
        extent: Extent,
    },
}

impl Piece {
    /// A group worked so often.
    pub(super) fn repeat(group: Vec<Self>, extent: Extent) -> Self {
        match items_of(&group) {
            Some(items) => Self::Work(Item::Repeat { items, extent }),
            None => Self::Repeat { pieces: group, extent },
        }
    }

    /// Loops that it uses, where that can be told without a needle.
    pub fn uses(&self, stitches: &Stitches) -> Option<u32> {
        match self {
            Self::Work(item) => items_use(std::slice::from_ref(item), stitches),
            Self::Place(_) | Self::Slip(_) | Self::Remove(_) | Self::Clear => Some(0),
            Self::Stretch(Stretch { reach: Reach::Over(n), .. }) => Some(*n),
            Self::Repeat { pieces, extent: Extent::Times(times) } => {
                pieces_use(pieces, stitches)?.checked_mul(*times)
            }
            Self::UntilMarker { .. } | Self::Stretch(_) | Self::Repeat { .. } => None,
        }
    }

    /// Whether only a needle tells what it works.
    pub fn needs_needle(&self, stitches: &Stitches) -> bool {
        match self {
            Self::Stretch(_) => true,
            Self::Repeat { pieces, .. } if pieces.iter().any(|piece| piece.needs_needle(stitches)) => true,
            _ => self.uses(stitches).is_none(),
        }
    }
}

/// Loops that pieces use, where that can be told without a needle.
pub fn pieces_use(pieces: &[Piece], stitches: &Stitches) -> Option<u32> {
    pieces.iter().try_fold(0u32, |sum, piece| sum.checked_add(piece.uses(stitches)?))
}

/// The items of pieces, where all of them are known without a needle.
pub(super) fn items_of(pieces: &[Piece]) -> Option<Vec<Item>> {
    let item = |piece: &Piece| match piece {
        Piece::Work(item) => Some(item.clone()),
        _ => None,
    };
    pieces.iter().map(item).collect()
}
