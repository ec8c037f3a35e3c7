//! The needle a row is worked on: its loops, their faces, and the markers between them.

use std::ops::Range;

use crate::pattern::{Side, Worked, faces_after, with_double_yarn_overs};
use crate::stitch::{Face, StitchId, Stitches};
use crate::words::{Cloth, Fabric, MarkerName, Piece, Reach, Stretch, Which};
use crate::written::{Extent, Item, Misfit, expand};

/// Loops in the order in which the next row takes them.
#[derive(Clone, Debug, Default)]
pub(super) struct Needle {
    loops: Vec<Loop>,
    /// In the order in which the next row meets them.
    markers: Vec<Marker>,
    /// Whether the text has a marker placed where its rounds begin, before any row tells of one.
    round_marked: bool,
}

/// A marker between two loops.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Marker {
    /// How many loops stand before it.
    before: u32,
    name: Option<MarkerName>,
}

#[derive(Clone, Copy, Debug)]
struct Loop {
    /// What it shows from the RS.
    face: Face,
    /// Whether it is the first, or the second, of the two loops of a double yarn over.
    doubled: (bool, bool),
    worked: Column,
}

/// The stitches that the last rows worked on a loop and the loops below it, the last one first; none from where it was
/// not one stitch on one loop.
type Column = [Option<StitchId>; 4];

/// Why pieces can't be worked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Unworkable {
    /// The stitches don't fit.
    Misfit(Misfit),
    /// There is no marker to work to, or fewer stitches before it than are to be left.
    NoMarker,
    /// What a stretch is can't be told from the rows before: its words, by their bytes, and why.
    Untold(Range<usize>, Untold),
}

/// Why the rows before don't tell what a stretch is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Untold {
    /// A stitch there was not worked two rows before, or was increased or decreased since.
    Unset,
    /// There is no row two before.
    Early,
    /// The row four before works it otherwise than the one two before.
    Varies,
    /// It is worked in colours.
    Coloured,
    /// Garter stitch in the round: whether it is knitted or purled in turn is not said.
    Turns,
}

/// A row as worked on a needle.
#[derive(Clone, Debug, Default)]
pub(super) struct Laid {
    pub(super) stitches: Vec<StitchId>,
    /// Its items with all numbers known, each with the stitches it gives.
    pub(super) items: Vec<(Item, usize)>,
    markers: Vec<Marker>,
    /// Words, by their bytes, that were read as the row two before works those stitches.
    pub(super) as_before: Vec<Range<usize>>,
}

impl Needle {
    /// A cast-on of so many loops.
    pub(super) fn cast_on(count: u32) -> Self {
        // Of a cast-on only the number matters: no row of knitting has more.
        let count = (count as usize).min(crate::written::LONGEST_ROW);
        let one = Loop { face: Face::Knit, doubled: (false, false), worked: Column::default() };
        Self { loops: vec![one; count], markers: Vec::new(), round_marked: false }
    }

    /// The same, with a marker where the round begins, if the text has one placed there.
    pub(super) fn marked(self, round_marked: bool) -> Self {
        Self { round_marked, ..self }
    }

    /// How many loops there are.
    pub(super) fn count(&self) -> u32 {
        u32::try_from(self.loops.len()).unwrap_or(u32::MAX)
    }

    /// Works pieces on it.
    pub(super) fn lay(
        &self,
        pieces: &[Piece],
        stitches: &Stitches,
        (side, worked): (Side, Worked),
    ) -> Result<Laid, Unworkable> {
        let mut hands = Hands {
            needle: self,
            side,
            worked,
            count: self.count(),
            round: worked == Worked::Round && !self.markers.is_empty(),
            ahead: self.markers.iter().copied().peekable(),
            stitches,
            used: 0,
            made: 0,
            before_over: None,
            moved: false,
            clears: false,
            laid: Laid::default(),
        };
        hands.pieces(pieces, 0)?;
        hands.pass_here();
        if hands.clears {
            hands.laid.markers.clear();
        }
        let mut laid = hands.laid;
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
        let columns = self.columns_after(&laid.stitches, stitches);
        let mut loops: Vec<Loop> = faces
            .into_iter()
            .zip(doubled)
            .zip(columns)
            .map(|((face, doubled), worked)| Loop { face, doubled, worked })
            .collect();
        let mut markers = laid.markers.clone();
        if worked == Worked::Flat {
            loops.reverse();
            let count = u32::try_from(loops.len()).unwrap_or(u32::MAX);
            markers.reverse();
            for marker in &mut markers {
                marker.before = count.saturating_sub(marker.before);
            }
        }
        Self { loops, markers, round_marked: self.round_marked }
    }

    /// For each loop that a row makes, what its rows worked on it.
    fn columns_after(&self, row: &[StitchId], stitches: &Stitches) -> Vec<Column> {
        let mut columns = Vec::with_capacity(row.len());
        let mut used = 0;
        for &id in row {
            let stitch = stitches.get(id);
            let below = self.loops.get(used).map(|one| one.worked).unwrap_or_default();
            let column = match (stitch.uses, stitch.makes) {
                (1, 1) => [Some(id), below[0], below[1], below[2]],
                _ => Column::default(),
            };
            columns.extend(std::iter::repeat_n(column, stitch.makes as usize));
            used += stitch.uses as usize;
        }
        columns
    }

    /// "Knit the knits and purl the purls": the row that takes each loop by its face. A yarn over counts as a knit
    /// face, the two loops of a double one are worked (p1, k1), in the round (k1, p1). `against` is "knit the purls and
    /// purl the knits".
    pub(super) fn by_faces(&self, side: Side, against: bool) -> Vec<StitchId> {
        Self::loops_by_faces(&self.loops, side, against)
    }

    fn loops_by_faces(loops: &[Loop], side: Side, against: bool) -> Vec<StitchId> {
        let mut row = Vec::with_capacity(loops.len());
        let mut loops = loops.iter().peekable();
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
            let shows_purl = purl_face == (side == Side::Rs);
            row.push(if shows_purl == against { Stitches::K } else { Stitches::P });
        }
        row
    }
}

/// The work on a needle as far as it has come.
struct Hands<'a> {
    needle: &'a Needle,
    side: Side,
    worked: Worked,
    /// Loops on the needle when the row begins.
    count: u32,
    /// Whether the needle has markers and is worked in the round: its end is then as good as one.
    round: bool,
    /// Markers not yet passed.
    ahead: std::iter::Peekable<std::iter::Copied<std::slice::Iter<'a, Marker>>>,
    stitches: &'a Stitches,
    used: u32,
    made: u32,
    /// Stitches made before a yarn over that stands right before the next marker, or behind it: a row that does not
    /// slip the marker does not say.
    before_over: Option<u32>,
    /// Whether anything was worked since a marker was last slipped, placed or removed.
    moved: bool,
    /// Whether the row leaves no marker on the needle.
    clears: bool,
    laid: Laid,
}

impl Hands<'_> {
    fn pieces(&mut self, pieces: &[Piece], depth: usize) -> Result<(), Unworkable> {
        pieces.iter().try_for_each(|piece| self.piece(piece, depth))
    }

    fn piece(&mut self, piece: &Piece, depth: usize) -> Result<(), Unworkable> {
        match piece {
            Piece::Place(name) => {
                self.place(*name)?;
                (self.before_over, self.moved) = (None, false);
            }
            Piece::Clear => self.clears = true,
            Piece::Slip(name) => self.slip(*name, true)?,
            Piece::Remove(name) => self.slip(*name, false)?,
            Piece::UntilMarker { items, before, which } => {
                let keep = self.behind_marker((*before, *which), depth)?;
                self.work(Item::Repeat { items: items.clone(), extent: Extent::ToLast(keep) })?;
            }
            Piece::Work(item) => self.work(item.clone())?,
            Piece::Stretch(stretch) => self.stretch(stretch, depth)?,
            Piece::Repeat { pieces, extent } => self.repeat(pieces, *extent, depth)?,
        }
        Ok(())
    }

    fn place(&mut self, name: Option<MarkerName>) -> Result<(), Unworkable> {
        if self.laid.markers.len() >= crate::written::LONGEST_ROW {
            return Err(Unworkable::Misfit(Misfit::TooLong));
        }
        self.laid.markers.push(Marker { before: self.made, name });
        Ok(())
    }

    /// The marker that stands here is slipped, or removed; one that is named must be that one.
    fn slip(&mut self, name: Option<MarkerName>, keeps: bool) -> Result<(), Unworkable> {
        let met = self.ahead.next_if(|marker| marker.before <= self.used);
        let is_named = |marker: &Marker| name.is_none() || marker.name == name;
        let here = match &met {
            Some(met) => is_named(met),
            // A marker that no row has placed is there from the cast-on.
            None => name.is_none() || (keeps && !self.needle.markers.iter().any(is_named)),
        };
        if !here {
            return Err(Unworkable::NoMarker);
        }
        if keeps && (met.is_some() || self.laid.markers.last().map(|last| last.before) != Some(self.made)) {
            self.place(met.map_or(name, |met| met.name))?;
        }
        (self.before_over, self.moved) = (None, false);
        Ok(())
    }

    /// Passes the markers that are reached: those that no word slips stay where they are.
    fn pass_here(&mut self) {
        while let Some(met) = self.ahead.next_if(|marker| marker.before <= self.used) {
            let before = self.before_over.take().unwrap_or(self.made);
            self.laid.markers.push(Marker { before, ..met });
        }
    }

    /// Stitches that are left where so many before a marker are.
    fn behind_marker(&mut self, (before, which): (u32, Which), depth: usize) -> Result<u32, Unworkable> {
        // "K to m, yo, k to m": the first one is behind.
        if self.moved {
            self.pass_here();
        }
        // The end of the round is the last marker of a repeat that goes from marker to marker.
        let ends = (self.round && depth > 0) || self.needle.round_marked;
        let end = ends.then_some(self.count);
        let marker = match which {
            Which::Next => self.ahead.peek().map(|next| next.before).or(end),
            Which::Named(name) => {
                self.ahead.clone().find(|marker| marker.name == Some(name)).map(|found| found.before)
            }
            Which::Nth(place) => {
                let found = place.checked_sub(1).and_then(|at| self.needle.markers.get(at as usize));
                found.map(|found| found.before)
            }
            Which::Last => {
                let end = end.filter(|_| self.needle.round_marked);
                self.needle.markers.last().map(|last| last.before).or(end)
            }
        };
        let next = marker.filter(|&marker| marker >= self.used).ok_or(Unworkable::NoMarker)?;
        let keep = self.count.saturating_sub(next).saturating_add(before);
        if keep > self.count.saturating_sub(self.used) {
            return Err(Unworkable::NoMarker);
        }
        Ok(keep)
    }

    /// Stitches told by their fabric.
    fn stretch(&mut self, stretch: &Stretch, depth: usize) -> Result<(), Unworkable> {
        let left = self.count.saturating_sub(self.used);
        let to_last = |wanted: u32| {
            left.checked_sub(wanted).ok_or(Unworkable::Misfit(Misfit::TooFewLeft { wanted, left }))
        };
        let span = match stretch.reach {
            Reach::Over(uses) if uses > left => {
                return Err(Unworkable::Misfit(Misfit::Needs {
                    uses: self.used.saturating_add(uses),
                    loops: self.count,
                }));
            }
            Reach::Over(span) => span,
            Reach::ToLast(wanted) => to_last(wanted)?,
            Reach::BeforeMarker(before, which) => to_last(self.behind_marker((before, which), depth)?)?,
        };
        let (from, to) = (self.used as usize, self.used.saturating_add(span) as usize);
        let loops = self.needle.loops.get(from..to).unwrap_or_default();
        let row = self
            .of_fabric(stretch.fabric, loops)
            .map_err(|why| Unworkable::Untold(stretch.at.clone(), why))?;
        if stretch.fabric.goes_by_rows() && !self.laid.as_before.contains(&stretch.at) {
            self.laid.as_before.push(stretch.at.clone());
        }
        for run in row.chunk_by(|one, two| one == two) {
            let Some(&stitch) = run.first() else { continue };
            let times = u32::try_from(run.len()).unwrap_or(u32::MAX);
            self.work(Item::Run { stitch, extent: Extent::Times(times) })?;
        }
        Ok(())
    }

    /// The stitches that a fabric works on these loops.
    fn of_fabric(&self, fabric: Fabric, loops: &[Loop]) -> Result<Vec<StitchId>, Untold> {
        let rib = fabric == Fabric::Rib;
        let knit = match fabric {
            Fabric::AsSet | Fabric::Rib => {
                let as_before = |one: &Loop| {
                    let [_, Some(two), _, four] = one.worked else { return Err(Untold::Unset) };
                    let stitch = self.stitches.get(two);
                    if stitch.colour.is_some() {
                        return Err(Untold::Coloured);
                    }
                    let same = four.is_none_or(|four| self.stitches.plain(four) == self.stitches.plain(two));
                    if same || rib { Ok(two) } else { Err(Untold::Varies) }
                };
                return loops.iter().map(as_before).collect();
            }
            Fabric::Faces => return Ok(Needle::loops_by_faces(loops, self.side, false)),
            Fabric::AgainstFaces => return Ok(Needle::loops_by_faces(loops, self.side, true)),
            Fabric::Plain(plain) => match (plain.cloth, self.worked) {
                (Cloth::Knit, _) | (Cloth::Garter, Worked::Flat) => true,
                (Cloth::Purl, _) => false,
                (Cloth::Garter, Worked::Round) => return Err(Untold::Turns),
                (Cloth::Stocking, _) => self.side == Side::Rs,
                (Cloth::Reverse, _) => self.side == Side::Ws,
            },
        };
        Ok(vec![if knit { Stitches::K } else { Stitches::P }; loops.len()])
    }

    fn work(&mut self, item: Item) -> Result<(), Unworkable> {
        // What is left may be less than a closed piece needs: that is told when the row is counted.
        let room = if is_open(&item) { self.count.saturating_sub(self.used) } else { u32::MAX };
        let row = expand(std::slice::from_ref(&item), self.stitches, room).map_err(Unworkable::Misfit)?;
        if self.laid.stitches.len() + row.len() > crate::written::LONGEST_ROW {
            return Err(Unworkable::Misfit(Misfit::TooLong));
        }
        for &id in &row {
            let stitch = self.stitches.get(id);
            if stitch.uses > 0 {
                self.pass_here();
                self.before_over = None;
            } else if self.ahead.peek().is_some_and(|marker| marker.before <= self.used) {
                self.before_over = self.before_over.or(Some(self.made));
            }
            self.used = self.used.saturating_add(stitch.uses);
            self.made = self.made.saturating_add(stitch.makes);
            self.moved = true;
        }
        self.laid.items.push((closed(item, &row, self.stitches), row.len()));
        self.laid.stitches.extend(row);
        Ok(())
    }

    /// A group with markers in it, working by working.
    fn repeat(&mut self, pieces: &[Piece], extent: Extent, depth: usize) -> Result<(), Unworkable> {
        let (from, first_item) = (self.laid.stitches.len(), self.laid.items.len());
        let begun = self.used;
        let mut ends = vec![from];
        let goal = match extent {
            Extent::Times(_) => None,
            Extent::ToLast(wanted) => {
                let left = self.count.saturating_sub(self.used);
                let goal = self.count.checked_sub(wanted).filter(|goal| *goal >= self.used);
                Some(goal.ok_or(Unworkable::Misfit(Misfit::TooFewLeft { wanted, left }))?)
            }
        };
        loop {
            let due = match (extent, goal) {
                (Extent::Times(times), _) => ends.len() <= times as usize,
                (_, goal) => goal.is_some_and(|goal| self.used < goal),
            };
            if !due {
                break;
            }
            let (used, markers) = (self.used, self.laid.markers.len());
            self.pieces(pieces, depth + 1)?;
            let end = self.laid.stitches.len();
            let idle = ends.last() == Some(&end) && self.laid.markers.len() == markers;
            if let Some(goal) = goal
                && (self.used > goal || self.used == used)
            {
                let (span, unit) = (goal.saturating_sub(begun), self.used.saturating_sub(used));
                return Err(Unworkable::Misfit(match unit {
                    0 => Misfit::NeverEnds,
                    unit => Misfit::DoesNotDivide { unit, span, over: goal.saturating_sub(used) },
                }));
            }
            ends.push(end);
            if idle {
                break;
            }
        }
        self.fold(&ends, first_item);
        Ok(())
    }

    /// Workings that came out alike are one repeat.
    fn fold(&mut self, ends: &[usize], first_item: usize) {
        let (Some(&from), Some(&second)) = (ends.first(), ends.get(1)) else { return };
        let unit = self.laid.stitches.get(from..second).unwrap_or_default();
        let alike = ends.windows(2).all(|pair| self.laid.stitches.get(pair[0]..pair[1]) == Some(unit));
        if !alike || unit.is_empty() {
            return;
        }
        let run = |run: &[StitchId]| Item::Run {
            stitch: run.first().copied().unwrap_or(Stitches::K),
            extent: Extent::Times(u32::try_from(run.len()).unwrap_or(u32::MAX)),
        };
        let items: Vec<Item> = unit.chunk_by(|one, two| one == two).map(run).collect();
        let times = u32::try_from(ends.len() - 1).unwrap_or(u32::MAX);
        let whole = Item::Repeat { items, extent: Extent::Times(times) };
        let length = self.laid.stitches.len() - from;
        self.laid.items.truncate(first_item);
        self.laid.items.push((whole, length));
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
