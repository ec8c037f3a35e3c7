//! Work as its rows have it: yarn overs side by side are a double one, and what is worked no times is not there.

use super::{Piece, Work};
use crate::stitch::Stitches;
use crate::written::{Extent, Item};

impl Work {
    /// The work with two yarn overs side by side made one double yarn over, which is what they are, and without what a
    /// size works no times.
    #[must_use]
    pub fn tidied(mut self) -> Self {
        self.pieces = tidied(self.pieces);
        for (_, pieces) in &mut self.others {
            *pieces = tidied(std::mem::take(pieces));
        }
        self
    }
}

fn tidied(pieces: Vec<Piece>) -> Vec<Piece> {
    let mut joined = Vec::with_capacity(pieces.len());
    let mut items = Vec::new();
    for piece in pieces {
        match piece {
            Piece::Work(item) => items.push(item),
            mut other => {
                tidy(&mut items);
                joined.extend(items.drain(..).map(Piece::Work));
                match &mut other {
                    Piece::UntilMarker { items, .. } => tidy(items),
                    Piece::Repeat { extent: Extent::Times(0), .. } => continue,
                    Piece::Repeat { pieces, .. } => *pieces = tidied(std::mem::take(pieces)),
                    _ => {}
                }
                joined.push(other);
            }
        }
    }
    tidy(&mut items);
    joined.extend(items.into_iter().map(Piece::Work));
    joined
}

fn tidy(items: &mut Vec<Item>) {
    const ONE: Item = Item::Run { stitch: Stitches::YO, extent: Extent::Times(1) };
    const TWO: Item = Item::Run { stitch: Stitches::YO2, extent: Extent::Times(1) };
    // What a size works no times is not there.
    items.retain(|item| {
        !matches!(
            item,
            Item::Run { extent: Extent::Times(0), .. } | Item::Repeat { extent: Extent::Times(0), .. }
        )
    });
    for item in items.iter_mut() {
        match item {
            Item::Repeat { items, extent: Extent::Times(2) } if matches!(&items[..], [one] if *one == ONE) => {
                *item = TWO;
            }
            Item::Repeat { items, .. } => tidy(items),
            Item::Run { stitch: Stitches::YO, extent: Extent::Times(2) } => *item = TWO,
            Item::Run { .. } => {}
        }
    }
    let mut at = 0;
    while at + 1 < items.len() {
        if items[at] == ONE && items[at + 1] == ONE {
            items[at] = TWO;
            items.remove(at + 1);
        }
        at += 1;
    }
}
