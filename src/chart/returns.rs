//! Rows that the chart does not draw: return rows, by face, by the key or as a sentence says, and plain rows left
//! out of the numbers.

use std::iter::repeat_n;

use super::charted::{Worked, is_of};
use crate::pattern::{Hand, Side, Worked as Way, faces_after};
use crate::settings::ReturnRows;
use crate::stitch::{Face, StitchId, Stitches};
use crate::written::{Item, Misfit, expand};

/// The loops on the needle after a row, in the order they were made.
#[derive(Clone, Debug, Default)]
pub(super) struct Needle {
    /// What they show from the RS.
    faces: Vec<Face>,
    /// What else is known of each; empty where nothing is known of any.
    loops: Vec<Loop>,
}

#[derive(Clone, Copy, Debug, Default)]
struct Loop {
    /// What the key says it is worked with on the return row.
    on_return: Option<StitchId>,
    /// The stitch that made it, in colour work: the loop has its colour.
    made_by: Option<StitchId>,
    /// Whether it is the first of the two loops of a double yarn over.
    doubled: bool,
}

/// The loops that some stitches make, with what made each; none where no stitch has a colour, for which alone it is asked.
fn coloured(row: &[StitchId], stitches: &Stitches) -> Vec<Loop> {
    if !row.iter().any(|&by| stitches.get(by).colour.is_some()) {
        return Vec::new();
    }
    let made = |&by: &StitchId| {
        let made = Loop { made_by: Some(by), ..Loop::default() };
        repeat_n(made, stitches.get(by).makes as usize)
    };
    row.iter().flat_map(made).collect()
}

/// The rule for return rows, with a stated sentence read.
#[derive(Clone, Debug)]
pub(super) enum Rule {
    AsTheyAppear,
    Purl,
    Knit,
    Stated(Vec<Item>),
}

impl Rule {
    /// The rule of the settings. The sentence of [`ReturnRows::Stated`] is read by the caller.
    pub(super) fn plain(rows: &ReturnRows) -> Option<Self> {
        match rows {
            ReturnRows::AsTheyAppear => Some(Self::AsTheyAppear),
            ReturnRows::Purl => Some(Self::Purl),
            ReturnRows::Knit => Some(Self::Knit),
            ReturnRows::Stated(_) => None,
        }
    }
}

/// How a row is worked.
#[derive(Clone, Copy, Debug)]
pub(super) struct Turn {
    pub(super) side: Side,
    /// Flat, a row takes the loops in reverse order; in the round it takes them in the order made.
    pub(super) way: Way,
    pub(super) hand: Hand,
}

/// A derived row, and what is to be said of a double yarn over in it.
pub(super) struct Derived {
    pub(super) stitches: Vec<StitchId>,
    /// Whether one was worked (p1, k1) against the rule.
    pub(super) doubled_against_rule: bool,
    /// Whether a stated row works both loops of one alike.
    pub(super) worked_alike: bool,
}

impl Needle {
    /// The loops after a charted row.
    pub(super) fn after(&self, row: &Worked, turn: Turn, stitches: &Stitches) -> Self {
        let ids = row.stitches.iter().copied();
        let faces = faces_after(stitches, ids, turn.side, &self.faces, turn.way == Way::Round);
        let double = |stitch: StitchId| is_of(stitch, Stitches::YO2, stitches);
        if !row.says_returns() && !row.stitches.iter().any(|stitch| double(*stitch)) {
            return Self { loops: coloured(&row.stitches, stitches), faces };
        }
        let mut loops = Vec::with_capacity(faces.len());
        for (at, &stitch) in row.stitches.iter().enumerate() {
            // No round is a return row.
            let on_return = row.on_return(at).filter(|_| turn.way == Way::Flat);
            let made = Loop { on_return, made_by: Some(stitch), doubled: false };
            let first = loops.len();
            loops.extend(repeat_n(made, stitches.get(stitch).makes as usize));
            if let Some(first) = loops.get_mut(first).filter(|_| double(stitch)) {
                first.doubled = true;
            }
        }
        Self { faces, loops }
    }

    /// The loops after a derived row.
    pub(super) fn after_derived(&self, row: &[StitchId], turn: Turn, stitches: &Stitches) -> Self {
        let ids = row.iter().copied();
        let faces = faces_after(stitches, ids, turn.side, &self.faces, turn.way == Way::Round);
        Self { loops: coloured(row, stitches), faces }
    }

    /// Loops all alike: those of a cast-on of which only the number is known.
    pub(super) fn plain(count: u32) -> Self {
        Self { faces: vec![Face::Knit; count as usize], loops: Vec::new() }
    }

    /// How many loops there are.
    pub(super) fn count(&self) -> u32 {
        u32::try_from(self.faces.len()).unwrap_or(u32::MAX)
    }

    /// The row that works these loops by a rule; the key's own word for a loop wins over it. In colour work each loop is
    /// worked in the colour it shows.
    ///
    /// # Errors
    /// Where a stated sentence does not fit the loops.
    pub(super) fn derive(&self, rule: &Rule, turn: Turn, stitches: &mut Stitches) -> Result<Derived, Misfit> {
        let mut derived = self.uncoloured(rule, turn, stitches)?;
        self.colour(&mut derived.stitches, turn.way, stitches);
        Ok(derived)
    }

    /// Gives the stitches of a row that works these loops their colours: that of the first loop each works, or of the next
    /// one, where it works none.
    fn colour(&self, row: &mut [StitchId], way: Way, stitches: &mut Stitches) {
        if self.loops.is_empty() {
            return;
        }
        let mut at = 0;
        for id in row {
            let nearest = at.min(self.faces.len().saturating_sub(1));
            let by = self.loop_at(nearest, way).and_then(|(_, one)| one.made_by);
            at += stitches.get(*id).uses as usize;
            if stitches.get(*id).colour.is_none() {
                *id = by.and_then(|by| stitches.in_colour_of(*id, by)).unwrap_or(*id);
            }
        }
    }

    /// The place of a loop in the order made, from its place in the order that a row takes them in.
    fn made(&self, at: usize, way: Way) -> Option<usize> {
        if way == Way::Flat { self.faces.len().checked_sub(at + 1) } else { Some(at) }
    }

    /// A loop by its place in the order that a row takes them in.
    fn loop_at(&self, at: usize, way: Way) -> Option<(Face, Loop)> {
        let made = self.made(at, way)?;
        Some((*self.faces.get(made)?, self.loops.get(made).copied().unwrap_or_default()))
    }

    /// Whether the loop at a place in the order that a row takes them in and the next are those of a double yarn over.
    fn is_pair(&self, at: usize, way: Way) -> bool {
        let next_doubled = || self.loop_at(at + 1, way).is_some_and(|(_, next)| next.doubled);
        self.loop_at(at, way).is_some_and(|(face, one)| match way {
            Way::Flat => face == Face::Over && next_doubled(),
            Way::Round => one.doubled && at + 1 < self.faces.len(),
        })
    }

    /// The row in no colours.
    fn uncoloured(
        &self,
        rule: &Rule,
        Turn { side, way, hand }: Turn,
        stitches: &mut Stitches,
    ) -> Result<Derived, Misfit> {
        let count = self.faces.len();
        let loop_at = |at: usize| self.loop_at(at, way);
        if let Rule::Stated(items) = rule {
            let mut row = expand(items, stitches, self.count())?;
            if hand == Hand::Left {
                row.reverse();
                for id in &mut row {
                    *id = stitches.mirror(*id).unwrap_or(*id);
                }
            }
            let one_each = row.len() == count
                && row.iter().all(|&id| stitches.get(id).uses == 1 && stitches.get(id).makes == 1);
            if one_each {
                for (at, id) in row.iter_mut().enumerate() {
                    *id = loop_at(at).and_then(|(_, one)| one.on_return).unwrap_or(*id);
                }
            }
            let alike = |at: usize| {
                let plain = |at: usize| row.get(at).map(|id| stitches.plain(*id));
                plain(at) == plain(at + 1) && [Some(Stitches::K), Some(Stitches::P)].contains(&plain(at))
            };
            let worked_alike = one_each && (0..count).any(|at| self.is_pair(at, way) && alike(at));
            return Ok(Derived { stitches: row, doubled_against_rule: false, worked_alike });
        }
        let mut row = Vec::with_capacity(count);
        let mut doubled_against_rule = false;
        let mut at = 0;
        while let Some((face, one)) = loop_at(at) {
            // The two loops of a double yarn over stay two only if one of each is worked into them.
            if self.is_pair(at, way) && one.on_return.is_none() {
                let (first, second) = match side {
                    Side::Ws => (Stitches::P, Stitches::K),
                    Side::Rs => (Stitches::K, Stitches::P),
                };
                row.extend([first, second]);
                doubled_against_rule |= !matches!(rule, Rule::AsTheyAppear);
                at += 2;
                continue;
            }
            if let Some(own) = one.on_return {
                let uses = stitches.get(own).uses.max(1) as usize;
                row.push(own);
                at += uses;
                continue;
            }
            let worked = match (rule, face, side) {
                (Rule::Purl, ..) => Stitches::P,
                (Rule::Knit, ..) => Stitches::K,
                (_, Face::Purl, Side::Ws) => Stitches::K,
                (_, _, Side::Ws) => Stitches::P,
                (_, Face::Purl, Side::Rs) => Stitches::P,
                (_, _, Side::Rs) => Stitches::K,
            };
            row.push(worked);
            at += 1;
        }
        Ok(Derived { stitches: row, doubled_against_rule, worked_alike: false })
    }
}
