//! The stitch dictionary: loops used and made, faces, opposites and mirrors, wording.
//!
//! The entries are data (`stitch/stitches.toml`); cables are made by rule from their names (`stitch/cable.rs`); a
//! designer's own stitches come from the settings. A pattern refers to stitches by [`StitchId`], which only has
//! meaning together with the [`Stitches`] it came from.

mod cable;

use std::collections::HashMap;
use std::sync::{Arc, LazyLock};

use serde::Deserialize;

/// A stitch of a dictionary.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct StitchId(u16);

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

/// A stitch of the designer's own, as the settings give it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OwnStitch {
    /// Its name, case kept.
    pub name: String,
    /// Loops used; 1 unless said.
    pub uses: Option<u32>,
    /// Loops made; 1 unless said.
    pub makes: Option<u32>,
    /// Cells in a chart; 1 unless said.
    pub cells: Option<u32>,
    /// Abbreviation; the name unless said.
    pub short: Option<String>,
    /// Spelled out; the abbreviation unless said.
    pub long: Option<String>,
    /// How it is worked.
    pub explain: Option<String>,
    /// Its opposite on the WS.
    pub ws: Option<String>,
    /// Its mirror.
    pub mirror: Option<String>,
    /// Faces of the loops it makes; knit unless said.
    pub faces: Option<Vec<Face>>,
}

/// A dictionary: the built-in stitches, any cable by rule, and the designer's own.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stitches {
    /// Stitches beyond the built-in ones: cables met so far and the designer's own.
    more: Vec<Stitch>,
}

/// One entry of `stitches.toml`.
#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct Entry {
    name: String,
    uses: u32,
    makes: u32,
    faces: String,
    ws: Option<String>,
    mirror: Option<String>,
    form_of: Option<String>,
    same_as: Option<String>,
    #[serde(default)]
    between: Vec<String>,
    yarn: Option<String>,
    short: String,
    run: Option<String>,
    bare: Option<String>,
    whole: Option<String>,
    long: String,
    long_run: Option<String>,
    long_bare: Option<String>,
    explain: String,
    #[serde(default)]
    read: Vec<String>,
    #[serde(default)]
    uk: Words,
}

#[derive(Deserialize)]
struct Data {
    stitch: Vec<Entry>,
    cable: cable::Cables,
}

struct BuiltIn {
    stitches: Vec<Stitch>,
    by_name: HashMap<String, StitchId>,
    /// Other ways to write each, as in the data: words and the stitch they mean.
    phrases: Vec<(String, StitchId)>,
    /// The forms of a yarn over: where the yarn lies before and after, and the stitch.
    forms: Vec<((bool, bool), StitchId)>,
    cables: cable::Cables,
}

static BUILT_IN: LazyLock<BuiltIn> = LazyLock::new(|| {
    // The data is compiled in and read by every test: it can't be wrong at run time.
    #[allow(clippy::expect_used)]
    let data: Data =
        toml::from_str(include_str!("stitch/stitches.toml")).expect("stitches.toml is well formed");
    let mut built_in = BuiltIn {
        stitches: Vec::new(),
        by_name: HashMap::new(),
        phrases: Vec::new(),
        forms: Vec::new(),
        cables: data.cable,
    };
    for entry in data.stitch {
        let id = StitchId(built_in.stitches.len() as u16);
        built_in.by_name.insert(entry.name.clone(), id);
        for words in &entry.read {
            built_in.phrases.push((words.clone(), id));
        }
        for sides in &entry.between {
            let mut front = sides.chars().map(|side| side == 'p');
            let pair = (front.next().unwrap_or(false), front.next().unwrap_or(false));
            built_in.forms.push((pair, id));
        }
        built_in.stitches.push(entry.into_stitch());
    }
    built_in
});

impl Entry {
    fn into_stitch(self) -> Stitch {
        let faces: Vec<Face> = self.faces.chars().filter_map(face_letter).collect();
        let front = |face: Option<&Face>| face == Some(&Face::Purl);
        let yarn_in_front = match self.yarn.as_deref() {
            Some(side) => (side == "p", side == "p"),
            None => (front(faces.first()), front(faces.last())),
        };
        let us = Words {
            short: self.short,
            run: self.run,
            bare: self.bare,
            whole: self.whole,
            long: self.long,
            long_run: self.long_run,
            long_bare: self.long_bare,
            explain: self.explain,
        };
        let over = |own: String, base: &String| if own.is_empty() { base.clone() } else { own };
        let uk = Words {
            short: over(self.uk.short, &us.short),
            run: self.uk.run.or_else(|| us.run.clone()),
            bare: self.uk.bare.or_else(|| us.bare.clone()),
            whole: self.uk.whole.or_else(|| us.whole.clone()),
            long: over(self.uk.long, &us.long),
            long_run: self.uk.long_run.or_else(|| us.long_run.clone()),
            long_bare: self.uk.long_bare.or_else(|| us.long_bare.clone()),
            explain: over(self.uk.explain, &us.explain),
        };
        Stitch {
            name: self.name,
            uses: self.uses,
            makes: self.makes,
            cells: 1,
            faces,
            ws: self.ws,
            mirror: self.mirror,
            form_of: self.form_of,
            same_as: self.same_as,
            yarn_in_front,
            wide: false,
            own: false,
            colour: None,
            us: Arc::new(us),
            uk: Arc::new(uk),
        }
    }
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
        Self { more: own.iter().map(OwnStitch::to_stitch).collect() }
    }

    /// The stitch with this id, which must come from this dictionary or from the built-in stitches.
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
        let cable = BUILT_IN.cables.make(name)?;
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

    /// The stitch worked on a WS row for the same look from the RS, if there is a usual one.
    pub fn opposite(&mut self, id: StitchId) -> Option<StitchId> {
        let name = self.get(id).ws.clone()?;
        let opposite = self.find(&name)?;
        self.in_colour_of(opposite, id)
    }

    /// The stitch of a knitter who works mirror-wise, if there is a usual one.
    pub fn mirror(&mut self, id: StitchId) -> Option<StitchId> {
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
        self.more.push(Stitch { name, form_of, own: false, colour: Some(colour.into()), ..stitch });
        Some(new)
    }

    /// The stitch in the colour of another, where that has one.
    pub fn in_colour_of(&mut self, id: StitchId, other: StitchId) -> Option<StitchId> {
        match self.get(other).colour.clone() {
            Some(colour) => self.coloured(id, &colour),
            None => Some(id),
        }
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

    /// The UK form of a yarn over between two stitches: `true` where the yarn lies in front, as for a purl.
    pub fn yarn_over_form(before_in_front: bool, after_in_front: bool) -> StitchId {
        let pair = (before_in_front, after_in_front);
        BUILT_IN.forms.iter().find(|(sides, _)| *sides == pair).map_or(Self::YO, |(_, id)| *id)
    }

    /// Loops these stitches use.
    pub fn uses(&self, row: &[StitchId]) -> u32 {
        row.iter().fold(0, |sum, &id| sum.saturating_add(self.get(id).uses))
    }

    /// Loops these stitches make.
    pub fn makes(&self, row: &[StitchId]) -> u32 {
        row.iter().fold(0, |sum, &id| sum.saturating_add(self.get(id).makes))
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
            .map(move |(index, stitch)| (StitchId((base + index) as u16), stitch))
    }

    /// The designer's own stitches as a settings file would describe them.
    pub fn described(&self) -> Vec<OwnStitch> {
        let described = |(_, stitch): (StitchId, &Stitch)| {
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
        };
        self.own().map(described).collect()
    }

    /// Other ways to write the built-in stitches: words as in the data, and the stitch.
    pub fn phrases() -> &'static [(String, StitchId)] {
        &BUILT_IN.phrases
    }
}

impl OwnStitch {
    fn to_stitch(&self) -> Stitch {
        let makes = self.makes.unwrap_or(1);
        let faces = self.faces.clone().unwrap_or_default();
        // One face stands for all the loops; what is not said is a knit face.
        let last = faces.last().copied().unwrap_or(Face::Knit);
        let faces: Vec<Face> =
            (0..makes as usize).map(|index| faces.get(index).copied().unwrap_or(last)).collect();
        let short = self.short.clone().unwrap_or_else(|| self.name.clone());
        let words = Arc::new(Words {
            long: self.long.clone().unwrap_or_else(|| short.clone()),
            explain: self.explain.clone().unwrap_or_default(),
            short,
            ..Words::default()
        });
        let front = |face: Option<&Face>| face == Some(&Face::Purl);
        Stitch {
            name: self.name.clone(),
            uses: self.uses.unwrap_or(1),
            makes,
            cells: self.cells.unwrap_or(1),
            yarn_in_front: (front(faces.first()), front(faces.last())),
            faces,
            ws: self.ws.clone(),
            mirror: self.mirror.clone(),
            form_of: None,
            same_as: None,
            wide: false,
            own: true,
            colour: None,
            us: Arc::clone(&words),
            uk: words,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn id(name: &str) -> StitchId {
        Stitches::built_in().find(name).unwrap()
    }

    #[test]
    fn the_fixed_ids_are_the_stitches_they_name() {
        assert_eq!(
            [Stitches::K, Stitches::P, Stitches::YO, Stitches::YO2],
            [id("k"), id("p"), id("yo"), id("yo2")]
        );
    }

    #[test]
    fn entries_are_whole() {
        for (_, stitch) in Stitches::every() {
            assert_eq!(
                stitch.faces.len(),
                stitch.makes as usize,
                "{}: a face for each loop made",
                stitch.name
            );
            for other in [&stitch.ws, &stitch.mirror, &stitch.form_of, &stitch.same_as].into_iter().flatten()
            {
                assert!(Stitches::built_in().known(other).is_some(), "{}: {other} is no stitch", stitch.name);
            }
            let words = stitch.words(Terms::Us);
            assert!(!words.short.is_empty() && !words.long.is_empty() && !words.explain.is_empty());
        }
    }

    /// An opposite uses and makes the same loops and shows the other faces to the knitter.
    #[test]
    fn opposites_and_mirrors_keep_the_arithmetic() {
        for (id, stitch) in Stitches::every() {
            let mut all = Stitches::built_in();
            if let Some(ws) = all.opposite(id) {
                let ws = all.get(ws);
                assert_eq!(
                    (stitch.uses, stitch.makes),
                    (ws.uses, ws.makes),
                    "{} and {}",
                    stitch.name,
                    ws.name
                );
                for (face, other) in stitch.faces.iter().zip(&ws.faces) {
                    let flipped = match face {
                        Face::Knit => Face::Purl,
                        Face::Purl => Face::Knit,
                        same => *same,
                    };
                    if stitch.name != "co" {
                        assert_eq!(flipped, *other, "{} and {}", stitch.name, ws.name);
                    }
                }
            }
            if let Some(mirror) = all.mirror(id) {
                let mirror = all.get(mirror);
                assert_eq!((stitch.uses, stitch.makes), (mirror.uses, mirror.makes), "{}", stitch.name);
            }
        }
    }

    #[test]
    fn own_stitches_are_described_as_they_are() {
        let own =
            OwnStitch { name: "MB".into(), makes: Some(2), ws: Some("p".into()), ..OwnStitch::default() };
        let all = Stitches::with_own(&[own]);
        assert_eq!(Stitches::with_own(&all.described()), all);
    }

    /// Stitches that make the same fabric weigh and show the same, and their opposites do not tell them apart.
    #[test]
    fn stitches_alike_keep_the_arithmetic() {
        let mut all = Stitches::built_in();
        let skp = id("skp");
        assert_eq!(all.alike(skp), id("ssk"));
        let red = all.coloured(skp, "red").unwrap();
        assert_eq!(Some(all.alike(red)), all.coloured(id("ssk"), "red"));
        for (id, stitch) in Stitches::every() {
            let alike = all.alike(id);
            assert_eq!(all.alike(alike), alike, "{}", stitch.name);
            let other = all.get(alike);
            assert_eq!(
                (stitch.uses, stitch.makes, &stitch.faces),
                (other.uses, other.makes, &other.faces),
                "{}",
                stitch.name
            );
        }
    }

    /// Source: standards.md section 3, "Working on the WS for the same RS look" (K1, K11, K12, K13-K15).
    #[test]
    fn opposites_are_the_published_ones() {
        for (rs, ws) in [
            ("k", "p"),
            ("ktbl", "ptbl"),
            ("sl1wyib", "sl1wyif"),
            ("yo", "yo"),
            ("k2tog", "p2tog"),
            ("p2tog", "k2tog"),
            ("ssk", "ssp"),
            ("skp", "ssp"),
            ("p2togtbl", "k2togtbl"),
            ("k3tog", "p3tog"),
            ("sssk", "sssp"),
            ("s2kp", "s2pp"),
            ("m1l", "m1lp"),
            ("m1r", "m1rp"),
            ("kfb", "pfb"),
        ] {
            let mut all = Stitches::built_in();
            let rs = all.find(rs).unwrap();
            assert_eq!(all.opposite(rs), all.find(ws));
        }
        let mut all = Stitches::built_in();
        let sk2p = all.find("sk2p").unwrap();
        assert_eq!(all.opposite(sk2p), None, "K17 disputes the usual answer");
    }

    /// Source: standards.md section 5 (U1, U2, U3): the UK yarn overs by their neighbours.
    #[test]
    fn uk_yarn_overs_go_by_their_neighbours() {
        let form = |before, after| Stitches::yarn_over_form(before, after);
        assert_eq!(form(false, false), id("yfwd"));
        assert_eq!(form(true, true), id("yrn"));
        assert_eq!(form(false, true), id("yrn"));
        assert_eq!(form(true, false), id("yon"));
    }
}
