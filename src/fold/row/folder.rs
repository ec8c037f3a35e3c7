//! The search for the cheapest folding, by dynamic programming from the end of a row: see [`super`].

use foldhash::HashMap;

use super::cost::{REPEAT, RUN, run_cost};
use super::repetitions::{Repetition, least_turn, repetitions};
use crate::stitch::{StitchId, Stitches};
use crate::written::{Extent, Item};

/// What stands at a place of the folding: so many stitches alike, or a unit of so many worked over and over.
#[derive(Clone, Copy)]
enum Step {
    Run(u32),
    Repeat { unit: u32, times: u32 },
}

/// A repetition of the row and where the tables have room for it.
#[derive(Clone, Copy)]
struct Room {
    of: Repetition,
    /// Its first place in [`Level::workings`].
    places: usize,
    /// Its units in [`Level::units`], from the one that begins at `turn` on.
    units: usize,
    /// A place within the first period: where the least turn begins, if units are shared with other repetitions.
    turn: usize,
    /// What no folding of its units falls below.
    least: u32,
}

/// What is worked out at one level of repeats; the parts between two places, from the last to the first.
#[derive(Default)]
struct Level {
    /// What the part from a place on costs, with the seam before it.
    best: Vec<u32>,
    /// How it begins.
    steps: Vec<Step>,
    /// For each place of each repetition: the cost of what comes after the best number of workings, and that number.
    workings: Vec<(u32, u32)>,
    /// The costs of units; [`UNKNOWN`] until one is asked for.
    units: Vec<u32>,
}

impl Level {
    /// With room for so many places, workings and units.
    fn new(places: usize, workings: usize, units: usize) -> Self {
        Self {
            best: vec![0; places],
            steps: vec![Step::Run(0); places],
            workings: vec![(0, 0); workings],
            units: vec![UNKNOWN; units],
        }
    }
}

const UNKNOWN: u32 = u32::MAX;

/// What a place of a row has in common with all others of its run.
#[derive(Clone, Copy, Default)]
struct Place {
    /// Where the run of one stitch begins, and the place after its end.
    begins: u32,
    ends: u32,
    /// What several of its stitches cost; one of them costs [`RUN`].
    many: u32,
    /// What all runs before it cost.
    before: u32,
}

impl Place {
    /// What so many of its stitches cost.
    fn price(&self, stitches: usize) -> u32 {
        if stitches > 1 { self.many } else { RUN }
    }

    /// Where the run begins, and the place after its end.
    fn run(&self) -> (usize, usize) {
        (self.begins as usize, self.ends as usize)
    }
}

/// Rows up to this length work out each unit where it stands: to find the units that are turns of each other costs more
/// than it spares.
const SHORT: usize = 128;

/// A row being folded, as a whole or a part of it: the tables serve every part.
pub(in crate::fold) struct Folder<'a> {
    row: &'a [StitchId],
    /// What a seam costs.
    seam: u32,
    places: Vec<Place>,
    rooms: Vec<Room>,
    /// The repetitions with two periods still to come, by place, short ones first; and for each place where its own
    /// begin among them.
    at: Vec<usize>,
    begins: Vec<usize>,
    /// Places of all repetitions, and units of those that are no turns of others: the room that a level needs.
    workings: usize,
    units: usize,
    /// None where no level of repeats makes a difference: the row does not repeat itself.
    levels: Vec<Level>,
}

impl<'a> Folder<'a> {
    /// Ready to fold a row with at most `nesting` repeats inside each other, a seam costing `seam`.
    pub(in crate::fold) fn new(row: &'a [StitchId], stitches: &Stitches, nesting: u8, seam: u32) -> Self {
        let n = row.len();
        let mut places = vec![Place::default(); n];
        let (mut begins, mut before) = (0, 0);
        for run in row.chunk_by(|one, next| one == next) {
            let ends = begins + run.len();
            let many = run_cost(run[0], run.len() > 1, stitches);
            let place = Place { begins: narrow(begins), ends: narrow(ends), many, before };
            places[begins..ends].fill(place);
            before += place.price(run.len());
            begins = ends;
        }
        let (rooms, at, begins, levels) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        let mut folder = Self { row, seam, places, rooms, at, begins, workings: 0, units: 0, levels };
        // A repeat within a repeat has at most half of its stitches, and a row of one stitch repeats nothing else.
        let levels = n.checked_ilog2().unwrap_or(0).min(u32::from(nesting));
        if levels > 0 && folder.places[0].run().1 < n {
            folder.make_room(repetitions(row), levels as usize);
        }
        folder
    }

    /// Lets a seam cost something else from now on.
    pub(in crate::fold) fn set_seam(&mut self, seam: u32) {
        self.seam = seam;
        self.levels.iter_mut().for_each(|level| level.units.fill(UNKNOWN));
    }

    fn make_room(&mut self, found: Vec<Repetition>, levels: usize) {
        if found.is_empty() {
            return;
        }
        let n = self.row.len();
        // Units that are turns of each other share their room.
        let mut known: HashMap<Vec<StitchId>, usize> = HashMap::default();
        self.begins = vec![0; n + 1];
        self.rooms.reserve(found.len());
        for of in found {
            let last = of.end - 2 * of.period;
            self.begins[of.start..=last].iter_mut().for_each(|here| *here += 1);
            let unit = &self.row[of.start..of.start + of.period];
            // Kinds of stitches that share a bit make it less, never more.
            let kinds = unit.iter().fold(0u64, |kinds, id| kinds | 1 << (id.index() % 64)).count_ones();
            let mut room =
                Room { of, places: self.workings, units: self.units, turn: of.start, least: RUN * kinds };
            self.workings += last + 1 - of.start;
            if n > SHORT {
                let turn = least_turn(unit);
                let mut unit = unit.to_vec();
                unit.rotate_left(turn);
                room.turn += turn;
                room.units = *known.entry(unit).or_insert(self.units);
            }
            if room.units == self.units {
                self.units += of.period;
            }
            self.rooms.push(room);
        }
        let mut sum = 0;
        for here in &mut self.begins {
            sum += *here;
            *here = sum;
        }
        self.at = vec![0; sum];
        // Filled from the back, each place's own begin where those of the place before end.
        for (index, room) in self.rooms.iter().enumerate().rev() {
            for here in &mut self.begins[room.of.start..=room.of.end - 2 * room.of.period] {
                *here -= 1;
                self.at[*here] = index;
            }
        }
        self.levels.resize_with(levels, Level::default);
    }

    /// Whether some part of this part stands in it twice in succession: what repeats nothing is told in runs.
    pub(in crate::fold) fn repeats_within(&self, from: usize, to: usize) -> bool {
        let short = self.rooms.iter().map(|room| room.of).take_while(|of| 2 * of.period <= to - from);
        short.into_iter().any(|of| of.start.max(from) + 2 * of.period <= of.end.min(to))
    }

    /// The longest part of the row around this one that goes on as it does a period on: where a part works its first
    /// `period` stitches over and over, at least twice; none where it does not.
    pub(in crate::fold) fn stretch(&self, from: usize, to: usize, period: usize) -> Option<(usize, usize)> {
        if let Some(run) = self.places.get(from).map(Place::run).filter(|run| run.1 >= to) {
            return Some(run);
        }
        let holds = |of: &Repetition| of.start <= from && to <= of.end && period.is_multiple_of(of.period);
        self.rooms.iter().map(|room| room.of).find(holds).map(|of| (of.start, of.end))
    }

    /// The longest part of the row that repeats something, and how many stitches that is. Runs of one stitch are no
    /// repeat. Of parts that are as long the first one with the shortest repeat.
    pub(in crate::fold) fn widest(&self) -> Option<(usize, usize, usize)> {
        let mut widest: Option<Repetition> = None;
        for Room { of, .. } in &self.rooms {
            if widest.is_none_or(|widest| widest.end - widest.start < of.end - of.start) {
                widest = Some(*of);
            }
        }
        widest.map(|of| (of.start, of.end, of.period))
    }

    /// The row folded, and what it costs from each place on where it repeats something.
    pub(in crate::fold) fn whole(&mut self) -> (Vec<Item>, Vec<u32>) {
        let items = self.items(0, self.row.len(), self.levels.len());
        (items, self.levels.last().map_or_else(Vec::new, |level| level.best.clone()))
    }

    /// What the row costs from each place on where it repeats something.
    pub(in crate::fold) fn costs(&mut self) -> Vec<u32> {
        if !self.levels.is_empty() {
            self.search(0, self.row.len(), self.levels.len());
        }
        self.levels.pop().map_or_else(Vec::new, |level| level.best)
    }

    /// What a part of the row costs with so many levels of repeats, and whether it is nothing but a repeat.
    pub(in crate::fold) fn part(&mut self, from: usize, to: usize, level: usize) -> (u32, bool) {
        let level = if self.repeats_within(from, to) { level.min(self.levels.len()) } else { 0 };
        let is_unit = |room: &Room| room.of.period == to - from && room.of.start <= from && to <= room.of.end;
        match (level, self.rooms.iter().position(is_unit)) {
            (0, _) => (self.in_runs(from, to), false),
            // The unit of a repetition repeats nothing as a whole, and may be known.
            (level, Some(room)) => (self.unit(room, from, level), false),
            (level, None) => {
                let cost = self.search(from, to, level);
                let whole = match self.levels[level - 1].steps[from] {
                    Step::Run(_) => false,
                    Step::Repeat { unit, times } => unit as usize * times as usize == to - from,
                };
                (cost, whole)
            }
        }
    }

    /// The cost of the part between two places in runs alone.
    pub(in crate::fold) fn in_runs(&self, from: usize, to: usize) -> u32 {
        if from == to {
            return 0;
        }
        let (first, last) = (&self.places[from], &self.places[to - 1]);
        let ((_, ends), (begins, _)) = (first.run(), last.run());
        if ends >= to {
            return first.price(to - from);
        }
        let between = last.before - self.places[ends].before;
        first.price(ends - from) + between + last.price(to - begins)
    }

    /// What it costs that a piece ends before a place within the row and another begins there.
    fn seam(&self, at: usize) -> u32 {
        if self.row[at - 1] == self.row[at] { self.seam } else { 0 }
    }

    /// The least cost of a unit: the one that begins at this place of a repetition.
    fn unit(&mut self, room: usize, at: usize, level: usize) -> u32 {
        let Room { of, units, turn, .. } = self.rooms[room];
        // No repeat within it is shorter than the shortest of the row.
        if level == 0 || of.period < 2 * self.rooms[0].of.period {
            return self.in_runs(at, at + of.period);
        }
        // The least turn begins less than a period after the first place.
        let unit = units + (at + of.period - turn) % of.period;
        if let Some(&cost) = self.levels[level - 1].units.get(unit).filter(|cost| **cost != UNKNOWN) {
            return cost;
        }
        // Kept only after the search, which has the level's tables in its hands.
        let cost = self.search(at, at + of.period, level);
        self.levels[level - 1].units[unit] = cost;
        cost
    }

    /// Finds the cheapest folding of the part between two places with so many levels of repeats, at least one. Its
    /// steps stand in that level until the next search there.
    fn search(&mut self, from: usize, to: usize, level: usize) -> u32 {
        // Searches within this one are of lower levels.
        let mut here = std::mem::take(&mut self.levels[level - 1]);
        if here.best.is_empty() {
            here = Level::new(self.row.len() + 1, self.workings, self.units);
        }
        here.best[to] = 0;
        // The best place to end a run of two or more, and what comes after it.
        let mut run = (u32::MAX, to);
        for at in (from..to).rev() {
            let Place { ends, many, .. } = self.places[at];
            // Longer runs first: on equal cost they win, and so does an edge before its repeat.
            if (ends as usize).min(to) < at + 2 {
                run = (u32::MAX, to);
            } else if here.best[at + 2] < run.0 {
                run = (here.best[at + 2], at + 2);
            }
            let mut choice = (run.0.saturating_add(many), Step::Run(narrow(run.1 - at)));
            let one = RUN + here.best[at + 1];
            if one < choice.0 {
                choice = (one, Step::Run(1));
            }
            for index in self.begins[at]..self.begins[at + 1] {
                let room = self.at[index];
                let Room { of, places, least, .. } = self.rooms[room];
                let unit = of.period;
                if at + 2 * unit > to {
                    break;
                }
                let place = places + at - of.start;
                let mut workings = (here.best[at + 2 * unit], 2);
                if at + 3 * unit <= of.end.min(to) && here.workings[place + unit].0 <= workings.0 {
                    let (after, times) = here.workings[place + unit];
                    workings = (after, times + 1);
                }
                here.workings[place] = workings;
                let (after, times) = workings;
                let repeat = REPEAT + self.seam(at + unit);
                if repeat + least + after < choice.0 {
                    let cost = repeat + self.unit(room, at, level - 1) + after;
                    if cost < choice.0 {
                        choice = (cost, Step::Repeat { unit: narrow(unit), times });
                    }
                }
            }
            here.steps[at] = choice.1;
            // No piece of this part stands before the first.
            here.best[at] = choice.0 + if at > from { self.seam(at) } else { 0 };
        }
        let best = here.best[from];
        self.levels[level - 1] = here;
        best
    }

    /// The items of the cheapest folding of the part between two places, with so many levels of repeats.
    pub(in crate::fold) fn items(&mut self, from: usize, to: usize, level: usize) -> Vec<Item> {
        let level = if self.repeats_within(from, to) { level.min(self.levels.len()) } else { 0 };
        if level > 0 {
            self.search(from, to, level);
        }
        // As many pieces as most rows have.
        let mut items = Vec::with_capacity(8);
        let mut at = from;
        while at < to {
            let step = match level {
                0 => Step::Run(narrow((self.places[at].ends as usize).min(to) - at)),
                level => self.levels[level - 1].steps[at],
            };
            // What is repeated is of lower levels: the steps of this one still stand.
            let (item, length) = match step {
                Step::Run(length) => (
                    Item::Run { stitch: self.row[at], extent: Extent::Times(length) },
                    length.max(1) as usize,
                ),
                Step::Repeat { unit, times } => {
                    let unit = unit as usize;
                    let items = self.items(at, at + unit, level.saturating_sub(1));
                    (Item::Repeat { items, extent: Extent::Times(times) }, unit * times as usize)
                }
            };
            items.push(item);
            at += length;
        }
        items
    }
}

/// A number of stitches as the tables hold it: no row has so many that it would not fit.
fn narrow(stitches: usize) -> u32 {
    u32::try_from(stitches).unwrap_or(u32::MAX)
}
