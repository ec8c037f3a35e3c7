//! The stitch dictionary: loops used and made, faces, opposites and mirrors, wording.
//!
//! The entries are data (`stitch/stitches.toml`); cables are made by rule from their names (`stitch/cable.rs`); a
//! designer's own stitches come from the settings. A pattern refers to stitches by [`StitchId`], which only has
//! meaning together with the [`Stitches`] it came from.

mod built_in;
mod cable;
mod own;
#[cfg(test)]
mod tests;

use std::hash::{Hash, Hasher};
use std::sync::Arc;

use serde::Deserialize;

use built_in::BUILT_IN;
pub use own::OwnStitch;

/// A stitch of a dictionary.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct StitchId(u16);

impl Hash for StitchId {
    fn hash<H: Hasher>(&self, state: &mut H) {
        state.write_u16(self.0);
    }

    /// Four stitches of a row at a time.
    fn hash_slice<H: Hasher>(row: &[Self], state: &mut H) {
        let (fours, rest) = row.as_chunks();
        for [one, two, three, four] in fours {
            let front = u64::from(one.0) | u64::from(two.0) << 16;
            state.write_u64(front | u64::from(three.0) << 32 | u64::from(four.0) << 48);
        }
        for id in rest {
            id.hash(state);
        }
    }
}

impl StitchId {
    /// Its place in its dictionary.
    pub(crate) const fn index(self) -> usize {
        self.0 as usize
    }

    /// Whether it is that of a built-in stitch, which all dictionaries share.
    pub(crate) fn is_built_in(self) -> bool {
        self.index() < BUILT_IN.stitches.len()
    }
}

/// What a loop shows to the knitter who makes it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Face {
    /// A knit stitch.
    Knit,
    /// A purl bump.
    Purl,
    /// A yarn over.
    Over,
    /// The face the loop had before: it is only slipped.
    Same,
}

impl Face {
    /// The letter that stands for it in settings.
    pub const fn letter(self) -> char {
        match self {
            Self::Knit => 'k',
            Self::Purl => 'p',
            Self::Over => 'o',
            Self::Same => 's',
        }
    }
}

/// Which English terms are used.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Terms {
    /// US terms.
    #[default]
    Us,
    /// UK terms.
    Uk,
}

/// Everything known about a stitch.
#[derive(Clone, Debug, PartialEq)]
pub struct Stitch {
    /// Canonical name, or the designer's own.
    pub name: String,
    /// Loops it takes from the left needle.
    pub uses: u32,
    /// Loops it leaves on the right needle.
    pub makes: u32,
    /// Cells it takes in a chart.
    pub cells: u32,
    /// Faces of the loops it makes, in the order made, as seen by the knitter.
    pub faces: Vec<Face>,
    /// The stitch worked on a WS row for the same look from the RS.
    pub ws: Option<String>,
    /// The stitch of a knitter who works mirror-wise.
    pub mirror: Option<String>,
    /// The stitch this is only another word for, chosen by its neighbours (the UK yarn overs).
    pub form_of: Option<String>,
    /// The stitch that makes the same fabric, worked another way.
    pub same_as: Option<String>,
    /// Where the yarn lies before and after it is worked: `true` in front, as for a purl.
    pub yarn_in_front: (bool, bool),
    /// Whether it is a cable or twist: typed into each cell it covers, it is one stitch.
    pub wide: bool,
    /// Whether the designer made it up.
    pub own: bool,
    /// The colour it is worked in, in colour work; it is then a form of the plain stitch.
    pub colour: Option<Arc<str>>,
    us: Arc<Words>,
    uk: Arc<Words>,
}

/// How a stitch is worded.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct Words {
    /// The abbreviation for one: `k2tog`, `k1`.
    pub short: String,
    /// The abbreviation for `{n}` of them; without it a run is a group worked n times.
    pub run: Option<String>,
    /// The abbreviation without a number, for "k to end".
    pub bare: Option<String>,
    /// The word for a whole row of it: "Knit."
    pub whole: Option<String>,
    /// Spelled out, for one.
    pub long: String,
    /// Spelled out, for `{n}` of them.
    pub long_run: Option<String>,
    /// Spelled out, without a number.
    pub long_bare: Option<String>,
    /// How it is worked, a sentence or two.
    pub explain: String,
}

impl Stitch {
    /// Its wording in these terms.
    pub fn words(&self, terms: Terms) -> &Words {
        match terms {
            Terms::Us => &self.us,
            Terms::Uk => &self.uk,
        }
    }
}

/// A dictionary: the built-in stitches, any cable by rule, and the designer's own.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stitches {
    /// Stitches beyond the built-in ones: cables met so far and the designer's own.
    more: Vec<Arc<Stitch>>,
}

/// The face a letter of the data stands for: `k`, `p`, `o` (yarn over), `s` (same as before).
pub fn face_letter(letter: char) -> Option<Face> {
    match letter {
        'k' => Some(Face::Knit),
        'p' => Some(Face::Purl),
        'o' => Some(Face::Over),
        's' => Some(Face::Same),
        _ => None,
    }
}

impl Stitches {
    /// Knit.
    pub const K: StitchId = StitchId(0);
    /// Purl.
    pub const P: StitchId = StitchId(1);
    /// Yarn over.
    pub const YO: StitchId = StitchId(2);
    /// Double yarn over.
    pub const YO2: StitchId = StitchId(3);

    /// The built-in stitches and no others; cables join as they are asked for.
    pub fn built_in() -> Self {
        Self::default()
    }

    /// The built-in stitches and a designer's own. An own stitch with a built-in name takes its place in
    /// [`Stitches::find`].
    pub fn with_own(own: &[OwnStitch]) -> Self {
        Self { more: own.iter().map(|own| Arc::new(own.to_stitch())).collect() }
    }

    /// Whether a sign stands in the name of a designer's own stitch.
    pub fn own_names_hold(&self, sign: char) -> bool {
        self.more.iter().any(|stitch| stitch.name.contains(sign))
    }

    /// Adds a stitch of the designer's own, unless it is known; none where its name is that of another.
    pub fn learn(&mut self, own: &OwnStitch) -> Option<StitchId> {
        let stitch = own.to_stitch();
        if let Some(known) = self.find(&stitch.name) {
            return (*self.get(known) == stitch).then_some(known);
        }
        let id = self.next_id()?;
        self.more.push(Arc::new(stitch));
        Some(id)
    }

    /// Whether any of them is worked in a colour of its own: no built-in stitch is.
    pub fn have_colours(&self) -> bool {
        self.more.iter().any(|stitch| stitch.colour.is_some())
    }

    /// The stitch with this id, which must come from this dictionary or from the built-in stitches.
    #[inline]
    pub fn get(&self, id: StitchId) -> &Stitch {
        let index = usize::from(id.0);
        let built_in = &BUILT_IN.stitches;
        if index < built_in.len() { &built_in[index] } else { &self.more[index - built_in.len()] }
    }

    /// The stitch with this name: the designer's own first, then the canonical names, then cables by rule.
    pub fn find(&mut self, name: &str) -> Option<StitchId> {
        if let Some(id) = self.known(name) {
            return Some(id);
        }
        let cable = BUILT_IN.cables.known_or_made(name)?;
        let id = self.next_id()?;
        self.more.push(cable);
        Some(id)
    }

    /// Like [`Stitches::find`], without making cables that were not met before.
    pub fn known(&self, name: &str) -> Option<StitchId> {
        let base = BUILT_IN.stitches.len();
        if let Some(index) = self.more.iter().position(|stitch| stitch.name == name) {
            return Some(StitchId((base + index) as u16));
        }
        BUILT_IN.by_name.get(name).copied()
    }

    fn next_id(&self) -> Option<StitchId> {
        u16::try_from(BUILT_IN.stitches.len() + self.more.len()).ok().map(StitchId)
    }

    /// The built-in stitch that stands beside this one in a table of them, unless a stitch of the designer's own has its
    /// name.
    fn related(&self, table: &[Option<StitchId>], id: StitchId) -> Option<StitchId> {
        let related = table.get(usize::from(id.0)).copied().flatten()?;
        let name = &BUILT_IN.stitches.get(usize::from(related.0))?.name;
        self.more.iter().all(|own| own.name != *name).then_some(related)
    }

    /// The stitch worked on a WS row for the same look from the RS, if there is a usual one.
    pub fn opposite(&mut self, id: StitchId) -> Option<StitchId> {
        if let Some(opposite) = self.related(&BUILT_IN.opposites, id) {
            return Some(opposite);
        }
        let name = self.get(id).ws.clone()?;
        let opposite = self.find(&name)?;
        self.in_colour_of(opposite, id)
    }

    /// The stitch of a knitter who works mirror-wise, if there is a usual one.
    pub fn mirror(&mut self, id: StitchId) -> Option<StitchId> {
        if let Some(mirror) = self.related(&BUILT_IN.mirrors, id) {
            return Some(mirror);
        }
        let name = self.get(id).mirror.clone()?;
        let mirror = self.find(&name)?;
        self.in_colour_of(mirror, id)
    }

    /// The stitch worked in a colour: a form of the plain stitch, alike in all but its colour.
    pub fn coloured(&mut self, id: StitchId, colour: &str) -> Option<StitchId> {
        let plain = self.plain(id);
        // No name of a stitch can hold this mark, so that names stay the plain stitches'.
        let name = format!("{}\u{1f}{colour}", self.get(plain).name);
        if let Some(id) = self.known(&name) {
            return Some(id);
        }
        let new = self.next_id()?;
        let stitch = self.get(plain).clone();
        let form_of = Some(stitch.name.clone());
        let coloured = Stitch { name, form_of, own: false, colour: Some(colour.into()), ..stitch };
        self.more.push(Arc::new(coloured));
        Some(new)
    }

    /// The stitch in the colour of another, where that has one.
    #[inline]
    pub fn in_colour_of(&mut self, id: StitchId, other: StitchId) -> Option<StitchId> {
        let Some(colour) = &self.get(other).colour else { return Some(id) };
        let colour = colour.clone();
        self.coloured(id, &colour)
    }

    /// The stitch that this one is another word for, or itself.
    pub fn plain(&self, id: StitchId) -> StitchId {
        self.get(id).form_of.as_deref().and_then(|name| self.known(name)).unwrap_or(id)
    }

    /// The stitch that stands for all that make the same fabric as this one: `ssk` for `skp`.
    pub fn alike(&mut self, id: StitchId) -> StitchId {
        let plain = self.plain(id);
        let Some(same) = self.get(plain).same_as.clone().and_then(|name| self.find(&name)) else {
            return self.in_colour_of(plain, id).unwrap_or(plain);
        };
        self.in_colour_of(same, id).unwrap_or(same)
    }

    /// Whether the stitch only passes loops on, as slipped ones do: the yarn in hand gives them no colour.
    pub fn is_slipped(&self, id: StitchId) -> bool {
        let stitch = self.get(id);
        stitch.uses == stitch.makes && stitch.uses > 0 && stitch.faces.iter().all(|face| *face == Face::Same)
    }

    /// The UK form of a yarn over between two stitches: `true` where the yarn lies in front, as for a purl.
    pub fn yarn_over_form(before_in_front: bool, after_in_front: bool) -> StitchId {
        let pair = (before_in_front, after_in_front);
        BUILT_IN.forms.iter().find(|(sides, _)| *sides == pair).map_or(Self::YO, |(_, id)| *id)
    }

    /// Loops these stitches use.
    pub fn uses(&self, row: &[StitchId]) -> u32 {
        self.loops(row).0
    }

    /// Loops these stitches make.
    pub fn makes(&self, row: &[StitchId]) -> u32 {
        self.loops(row).1
    }

    /// Loops these stitches use, and loops they make.
    pub fn loops(&self, row: &[StitchId]) -> (u32, u32) {
        row.chunk_by(|one, next| one == next).fold((0, 0), |(uses, makes): (u32, u32), run| {
            let length = u32::try_from(run.len()).unwrap_or(u32::MAX);
            let stitch = self.get(run[0]);
            let more = |sum: u32, loops: u32| sum.saturating_add(loops.saturating_mul(length));
            (more(uses, stitch.uses), more(makes, stitch.makes))
        })
    }

    /// Every built-in stitch, in the order of the data.
    pub fn every() -> impl Iterator<Item = (StitchId, &'static Stitch)> {
        BUILT_IN.stitches.iter().enumerate().map(|(index, stitch)| (StitchId(index as u16), stitch))
    }

    /// The designer's own stitches.
    pub fn own(&self) -> impl Iterator<Item = (StitchId, &Stitch)> {
        let base = BUILT_IN.stitches.len();
        self.more
            .iter()
            .enumerate()
            .filter(|(_, stitch)| stitch.own)
            .map(move |(index, stitch)| (StitchId((base + index) as u16), &**stitch))
    }

    /// The designer's own stitches as a settings file would describe them.
    pub fn described(&self) -> Vec<OwnStitch> {
        self.own().map(|(_, stitch)| described(stitch)).collect()
    }

    /// A stitch as a settings file would describe it, where it is one of the designer's own.
    pub fn describe(&self, id: StitchId) -> Option<OwnStitch> {
        Some(self.get(id)).filter(|stitch| stitch.own).map(described)
    }

    /// Other ways to write the built-in stitches: words as in the data, and the stitch.
    pub fn phrases() -> &'static [(String, StitchId)] {
        &BUILT_IN.phrases
    }
}

fn described(stitch: &Stitch) -> OwnStitch {
    let words = stitch.words(Terms::Us);
    OwnStitch {
        name: stitch.name.clone(),
        uses: Some(stitch.uses),
        makes: Some(stitch.makes),
        cells: Some(stitch.cells),
        short: Some(words.short.clone()),
        long: Some(words.long.clone()),
        explain: Some(words.explain.clone()),
        ws: stitch.ws.clone(),
        mirror: stitch.mirror.clone(),
        faces: Some(stitch.faces.clone()),
    }
}
