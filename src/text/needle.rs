//! The needle a row is worked on: its loops, their faces, and the markers between them.

use crate::pattern::{Side, Worked, faces_after, with_double_yarn_overs};
use crate::stitch::{Face, StitchId, Stitches};
use crate::words::Piece;
use crate::written::{Extent, Item, Misfit, expand};

/// Loops in the order in which the next row takes them.
#[derive(Clone, Debug, Default)]
pub(super) struct Needle {
    loops: Vec<Loop>,
    /// How many loops stand before each marker; sorted.
    markers: Vec<u32>,
}

#[derive(Clone, Copy, Debug)]
struct Loop {
    /// What it shows from the RS.
    face: Face,
    /// Whether it is the first, or the second, of the two loops of a double yarn over.
    doubled: (bool, bool),
}

/// Why pieces can't be worked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Unworkable {
    /// The stitches don't fit.
    Misfit(Misfit),
    /// There is no marker to work to, or fewer stitches before it than are to be left.
    NoMarker,
}

/// A row as worked on a needle.
#[derive(Clone, Debug, Default)]
pub(super) struct Laid {
    pub(super) stitches: Vec<StitchId>,
    /// Its items with all numbers known, each with the stitches it gives.
    pub(super) items: Vec<(Item, usize)>,
    markers: Vec<u32>,
}

impl Needle {
    /// A cast-on of so many loops.
    pub(super) fn cast_on(count: u32) -> Self {
        // Of a cast-on only the number matters: no row of knitting has more.
        let count = (count as usize).min(crate::written::LONGEST_ROW);
        Self { loops: vec![Loop { face: Face::Knit, doubled: (false, false) }; count], markers: Vec::new() }
    }

    /// How many loops there are.
    pub(super) fn count(&self) -> u32 {
        u32::try_from(self.loops.len()).unwrap_or(u32::MAX)
    }

    /// Works pieces on it.
    pub(super) fn lay(&self, pieces: &[Piece], stitches: &Stitches) -> Result<Laid, Unworkable> {
        let mut laid = Laid::default();
        let (mut used, mut made) = (0u32, 0u32);
        let mut ahead = self.markers.iter().copied().peekable();
        for piece in pieces {
            let left = self.count().saturating_sub(used);
            let item = match piece {
                Piece::Place => {
                    laid.markers.push(made);
                    continue;
                }
                Piece::Slip | Piece::Remove => {
                    ahead.next_if(|&marker| marker <= used);
                    if *piece == Piece::Slip && laid.markers.last() != Some(&made) {
                        laid.markers.push(made);
                    }
                    continue;
                }
                Piece::UntilMarker { items, before } => {
                    let next = ahead.peek().copied().ok_or(Unworkable::NoMarker)?;
                    let keep = self.count().saturating_sub(next).saturating_add(*before);
                    if keep > left {
                        return Err(Unworkable::NoMarker);
                    }
                    Item::Repeat { items: items.clone(), extent: Extent::ToLast(keep) }
                }
                Piece::Work(item) => item.clone(),
            };
            // What is left may be less than a closed piece needs: that is told when the row is counted.
            let room = if is_open(&item) { left } else { u32::MAX };
            let row = expand(std::slice::from_ref(&item), stitches, room).map_err(Unworkable::Misfit)?;
            if laid.stitches.len() + row.len() > crate::written::LONGEST_ROW {
                return Err(Unworkable::Misfit(Misfit::TooLong));
            }
            for &id in &row {
                while ahead
                    .next_if(|&marker| marker < used || (marker == used && used > 0 && made > 0))
                    .is_some()
                {
                    if laid.markers.last() != Some(&made) {
                        laid.markers.push(made);
                    }
                }
                let stitch = stitches.get(id);
                used = used.saturating_add(stitch.uses);
                made = made.saturating_add(stitch.makes);
            }
            laid.items.push((closed(item, &row, stitches), row.len()));
            laid.stitches.extend(row);
        }
        // Yarn overs that come side by side where two pieces meet are a double one; no item is that row's then.
        let joined = with_double_yarn_overs(&laid.stitches);
        if joined.len() < laid.stitches.len() {
            laid.stitches = joined.into_iter().map(|(_, id)| id).collect();
            laid.items.clear();
        }
        Ok(laid)
    }

    /// The needle after a row, turned where the next row comes back.
    pub(super) fn after(&self, laid: &Laid, side: Side, worked: Worked, stitches: &Stitches) -> Self {
        // `faces_after` wants the loops in the order they were made.
        let mut before: Vec<Face> = self.loops.iter().map(|one| one.face).collect();
        if worked == Worked::Flat {
            before.reverse();
        }
        let faces =
            faces_after(stitches, laid.stitches.iter().copied(), side, &before, worked == Worked::Round);
        let doubled = laid.stitches.iter().flat_map(|&id| {
            let makes = stitches.get(id).makes;
            let doubled = stitches.plain(id) == Stitches::YO2;
            (0..makes).map(move |index| (doubled && index == 0, doubled && index == 1))
        });
        let mut loops: Vec<Loop> =
            faces.into_iter().zip(doubled).map(|(face, doubled)| Loop { face, doubled }).collect();
        let mut markers = laid.markers.clone();
        if worked == Worked::Flat {
            loops.reverse();
            let count = u32::try_from(loops.len()).unwrap_or(u32::MAX);
            markers = markers.iter().rev().map(|marker| count.saturating_sub(*marker)).collect();
        }
        Self { loops, markers }
    }

    /// "Knit the knits and purl the purls": the row that takes each loop by its face. A yarn over counts as a knit
    /// face, the two loops of a double one are worked (p1, k1), in the round (k1, p1).
    pub(super) fn by_faces(&self, side: Side) -> Vec<StitchId> {
        let mut row = Vec::with_capacity(self.loops.len());
        let mut loops = self.loops.iter().peekable();
        while let Some(one) = loops.next() {
            let pair = one.doubled.0 || one.doubled.1;
            if pair && loops.next_if(|next| next.doubled.0 || next.doubled.1).is_some() {
                row.extend(match side {
                    Side::Ws => [Stitches::P, Stitches::K],
                    Side::Rs => [Stitches::K, Stitches::P],
                });
                continue;
            }
            let purl_face = one.face == Face::Purl;
            row.push(if purl_face == (side == Side::Rs) { Stitches::P } else { Stitches::K });
        }
        row
    }
}

/// A run of the same stitch in every loop.
pub(super) fn plain(stitch: StitchId) -> Vec<Piece> {
    vec![Piece::Work(Item::Run { stitch, extent: Extent::ToLast(0) })]
}

fn is_open(item: &Item) -> bool {
    match item {
        Item::Run { extent, .. } => matches!(extent, Extent::ToLast(_)),
        Item::Repeat { items, extent } => matches!(extent, Extent::ToLast(_)) || items.iter().any(is_open),
    }
}

/// The item with its number known.
fn closed(item: Item, row: &[StitchId], stitches: &Stitches) -> Item {
    match item {
        Item::Repeat { items, extent: Extent::ToLast(_) } => {
            let unit = expand(&items, stitches, u32::MAX).map_or(0, |unit| unit.len());
            let times = u32::try_from(row.len().checked_div(unit).unwrap_or(0)).unwrap_or(u32::MAX);
            Item::Repeat { items, extent: Extent::Times(times) }
        }
        other => other,
    }
}
