//! What the symbols of a chart mean: the entries of all its keys, and how a cell's text is matched to one.

mod dates;
mod entries;

use std::collections::BTreeSet;
use std::rc::Rc;
use std::sync::{Arc, LazyLock};

use foldhash::HashSet;

use super::sheet::Text;
use crate::grid::{Colour, Value};
use crate::pattern::Side;
use crate::place::Place;
use crate::problem::{Code, Finding};
use crate::settings::KeyEntry;
use crate::stitch::{StitchId, Stitches, Terms};
use crate::words;
pub(super) use entries::loosened;
use entries::{Entries, in_words};

/// What the hands do for one symbol.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Works {
    /// The symbol as the key has it, for messages; empty for a blank cell.
    pub(super) symbol: String,
    /// The stitch it shows from the RS.
    pub(super) shows: Option<StitchId>,
    /// What is worked on RS and WS rows, where the key says it by side.
    rs: Option<StitchId>,
    ws: Option<StitchId>,
    rs_first: Option<StitchId>,
    rs_last: Option<StitchId>,
    ws_first: Option<StitchId>,
    ws_last: Option<StitchId>,
    /// The colour it is worked in.
    pub(super) colour: Option<String>,
    /// The loops it uses and makes, on either side.
    pub(super) uses: u32,
    pub(super) makes: u32,
    /// The cells it takes, each with the symbol in it: more than one for cables.
    pub(super) cells: u32,
}

/// Where a stitch stands in its row as worked.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Stand {
    pub(super) first: bool,
    pub(super) last: bool,
}

/// Why a symbol can't be worked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Unworkable {
    /// The stitch has no usual opposite.
    NoOpposite(StitchId),
    /// The key says nothing for this side or place.
    Silent,
}

impl Works {
    fn of(symbol: &str, shows: StitchId, stitches: &Stitches) -> Self {
        Self { symbol: symbol.to_owned(), shows: Some(shows), ..Self::default() }.counted(stitches)
    }

    /// The same with its numbers.
    fn counted(self, stitches: &Stitches) -> Self {
        let Some(id) = self.any() else { return self };
        let stitch = stitches.get(id);
        let cells = if stitch.wide || stitch.cells > 1 { stitch.cells } else { 1 };
        Self { uses: stitch.uses, makes: stitch.makes, cells, ..self }
    }

    /// What it means, in words: "yo, yarn over"; "k on RS rows, k on WS rows".
    pub(super) fn in_words(&self, stitches: &Stitches) -> String {
        let name = |id: StitchId| stitches.get(id).name.clone();
        let said = [
            ("RS rows", self.rs),
            ("WS rows", self.ws),
            ("first on RS rows", self.rs_first),
            ("last on RS rows", self.rs_last),
            ("first on WS rows", self.ws_first),
            ("last on WS rows", self.ws_last),
        ];
        let mut words: Vec<String> = self
            .shows
            .iter()
            .map(|&id| {
                let long = &stitches.get(id).words(Terms::Us).long;
                if *long == name(id) { long.clone() } else { format!("{}, {long}", name(id)) }
            })
            .collect();
        words.extend(said.iter().filter_map(|(when, id)| {
            id.map(|id| {
                format!("{} on {when}", name(id)).replace("on first", "first").replace("on last", "last")
            })
        }));
        words.extend(self.colour.iter().map(|colour| format!("in {colour}")));
        words.join("; ")
    }

    /// Whether the hands do the same for another, whatever the symbols are.
    pub(super) fn does_as(&self, other: &Self) -> bool {
        let by_place = |works: &Self| {
            [works.shows, works.rs, works.ws, works.rs_first, works.rs_last, works.ws_first, works.ws_last]
        };
        by_place(self) == by_place(other) && self.colour == other.colour
    }

    /// The same worked in a colour.
    pub(super) fn in_colour(&self, colour: &str) -> Self {
        Self { colour: Some(colour.to_owned()), ..self.clone() }
    }

    /// Any stitch it stands for, to know its width.
    pub(super) fn any(&self) -> Option<StitchId> {
        self.shows
            .or(self.rs)
            .or(self.ws)
            .or(self.rs_first)
            .or(self.rs_last)
            .or(self.ws_first)
            .or(self.ws_last)
    }

    /// What the hands do on a row of this side. `as_worked` says that WS rows are typed as they are worked.
    pub(super) fn hands(
        &self,
        side: Side,
        stand: Stand,
        as_worked: bool,
        stitches: &mut Stitches,
    ) -> Result<StitchId, Unworkable> {
        let id = self.plain_hands(side, stand, as_worked, stitches)?;
        Ok(self.colour.as_ref().and_then(|colour| stitches.coloured(id, colour)).unwrap_or(id))
    }

    fn plain_hands(
        &self,
        side: Side,
        stand: Stand,
        as_worked: bool,
        stitches: &mut Stitches,
    ) -> Result<StitchId, Unworkable> {
        let (first, last, all, other) = match side {
            Side::Rs => (self.rs_first, self.rs_last, self.rs, self.ws),
            Side::Ws => (self.ws_first, self.ws_last, self.ws, self.rs),
        };
        if let Some(id) = first.filter(|_| stand.first).or(last.filter(|_| stand.last)).or(all) {
            return Ok(id);
        }
        match (self.shows, other, side) {
            (Some(shows), _, Side::Rs) => Ok(shows),
            (Some(shows), _, Side::Ws) if as_worked => Ok(shows),
            (Some(shows), _, Side::Ws) => stitches.opposite(shows).ok_or(Unworkable::NoOpposite(shows)),
            (None, Some(other), _) => stitches.opposite(other).ok_or(Unworkable::NoOpposite(other)),
            (None, None, _) => Err(Unworkable::Silent),
        }
    }

    /// What the key says of the loops that `worked`, its stitch on the RS row, leaves for the return row: `stand` is where
    /// they stand in that row as worked. `None` where the chart's own rule for return rows holds. A decrease or an increase
    /// that does on WS rows what it does on RS rows is not done again to its own loops: "ssk on RS, p2tog tbl on WS".
    pub(super) fn on_return(&self, stand: Stand, worked: StitchId, stitches: &Stitches) -> Option<StitchId> {
        let loops = |id: StitchId| (stitches.get(id).uses, stitches.get(id).makes);
        let own = self.ws_first.filter(|_| stand.first).or(self.ws_last.filter(|_| stand.last)).or(self.ws);
        own.filter(|&own| loops(own) == (1, 1) || loops(own) != loops(worked))
    }
}

/// The keys of a chart, the nearer place first.
#[derive(Default)]
pub(super) struct Key {
    places: Rc<Vec<Rc<Entries>>>,
    /// What is found of the texts of the sheet, and whether they are known, by their indices: they are asked for again and
    /// again.
    found: Vec<Option<Box<Matched>>>,
    known: Vec<Option<bool>>,
    /// Symbols taken as the stitch whose name they are, and those matched loosely, for one note each.
    pub(super) by_name: Vec<String>,
    pub(super) loosely: Vec<(String, String)>,
    /// Dates read back as the symbol that was typed.
    pub(super) dates: Vec<(String, String)>,
    /// The entries that were used.
    used: HashSet<Used>,
}

/// Which entry was used: its place, and which of that it is.
pub(super) type Used = (usize, usize);

/// What a symbol was found to be.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Matched {
    /// Something to work.
    Works(Rc<Works>),
    /// No stitch here.
    NoStitch,
    /// A key entry explains it, in words that name no stitch: words and place of the entry.
    Unclear(String, Place),
    /// Several entries fit once case and spaces are set aside.
    Several(Vec<String>),
    /// A date with these readings.
    Date(Vec<String>),
    /// Nothing explains it.
    Unknown,
}

impl Key {
    /// The keys of a chart: those of its workbook, the place that wins first, and that of the settings. Entries that
    /// disagree in one place are findings.
    pub(super) fn new(
        workbook: [Vec<KeyEntry>; 2],
        settings: &Arc<Vec<KeyEntry>>,
        stitches: &mut Stitches,
        findings: &mut Vec<Finding>,
    ) -> Self {
        let mut places = Vec::new();
        for entries in workbook.into_iter().filter(|entries| !entries.is_empty()) {
            places.push(Rc::new(Entries::read(&Arc::new(entries), stitches, findings)));
        }
        if !settings.is_empty() {
            places.push(Entries::shared(settings, stitches, findings));
        }
        Self { places: Rc::new(places), ..Self::default() }
    }

    /// The same keys for another chart of the sheet, with nothing seen in them yet.
    pub(super) fn anew(&self) -> Self {
        Self { places: Rc::clone(&self.places), ..Self::default() }
    }

    /// All entries, the place that wins first.
    fn entries(&self) -> impl Iterator<Item = &KeyEntry> {
        self.places.iter().flat_map(|place| place.said.iter())
    }

    /// Which entry is found first, from the place that wins on.
    fn position(&self, find: impl Fn(&Entries) -> Option<usize>) -> Option<Used> {
        let mut places = self.places.iter().enumerate();
        places.find_map(|(place, entries)| Some((place, find(entries)?)))
    }

    /// Which entry a symbol has.
    fn place_of(&self, symbol: &str) -> Option<Used> {
        self.position(|entries| entries.place_of(symbol))
    }

    /// What a blank cell means, where a key says so.
    pub(super) fn blank(&mut self) -> Option<Matched> {
        let (place, index) = self.place_of("")?;
        // One in words that name no stitch explains nothing, and is told as one that no chart uses.
        self.places.get(place)?.works.get(index)?.as_ref()?;
        Some(self.matched(place, index))
    }

    /// Where the entry of a symbol stands, in the place that wins.
    pub(super) fn entry_of(&self, symbol: &str) -> Option<&Place> {
        let (place, index) = self.place_of(symbol)?;
        Some(&self.places.get(place)?.said.get(index)?.place)
    }

    /// The fills that a key explains.
    pub(super) fn fills(&self) -> Vec<Colour> {
        self.entries().filter_map(|entry| Colour::from_hex(entry.symbol.strip_prefix(FILL)?)).collect()
    }

    /// The fills that a key explains in words that can't be read, and these words.
    pub(super) fn unread_fills(&self) -> impl Iterator<Item = (Colour, String)> {
        let unread = self.places.iter().flat_map(|place| place.iter()).filter(|(_, works)| works.is_none());
        unread.filter_map(|(entry, _)| {
            Some((Colour::from_hex(entry.symbol.strip_prefix(FILL)?)?, in_words(&entry.meaning)))
        })
    }

    /// The fills that a key explains as no stitch.
    pub(super) fn fills_without_stitch(&self) -> impl Iterator<Item = Colour> {
        self.fills().into_iter().filter(|fill| {
            let entry = self.place_of(&format!("{FILL}{fill}"));
            let works = entry.and_then(|(place, index)| self.places.get(place)?.works.get(index)?.as_ref());
            works.is_some_and(|works| works_or_none(works) == Matched::NoStitch)
        })
    }

    /// The colour that a key gives a fill.
    pub(super) fn colour_of(&self, fill: Colour) -> Option<&str> {
        let (place, index) = self.place_of(&format!("{FILL}{fill}"))?;
        self.places.get(place)?.works.get(index)?.as_ref()?.colour.as_deref()
    }

    /// Whether a text of the sheet is a symbol: a key explains it, or it names a stitch, or it is the fill of a chart in colours,
    /// which the key may have left out.
    #[inline]
    pub(super) fn knows(&mut self, text: Text<'_>, stitches: &mut Stitches) -> bool {
        self.explains(text, stitches) || is_fill(&text)
    }

    /// Whether a key explains this text of the sheet, or it names a stitch.
    #[inline]
    pub(super) fn explains(&mut self, text: Text<'_>, stitches: &mut Stitches) -> bool {
        let kept = self.known.get(text.index).copied().flatten();
        kept.unwrap_or_else(|| self.found_known(text, stitches))
    }

    fn found_known(&mut self, text: Text<'_>, stitches: &mut Stitches) -> bool {
        let known =
            self.place_of(&text).is_some() || !matches!(self.lookup(&text, stitches).0, Matched::Unknown);
        keep(&mut self.known, text, known);
        known
    }

    /// What the text of a cell of the sheet means.
    #[inline]
    pub(super) fn matches<'a>(
        &mut self,
        text: Text<'_>,
        value: impl FnOnce() -> Option<&'a Value>,
        stitches: &mut Stitches,
    ) -> &Matched {
        if self.found.get(text.index).is_none_or(Option::is_none) {
            let matched = self.find(&text, value(), stitches);
            keep(&mut self.found, text, Box::new(matched));
        }
        self.found.get(text.index).and_then(Option::as_deref).unwrap_or(&Matched::Unknown)
    }

    fn find(&mut self, text: &str, value: Option<&Value>, stitches: &mut Stitches) -> Matched {
        let (mut matched, how) = self.lookup(text, stitches);
        match how {
            How::ByName => self.by_name.push(text.to_owned()),
            How::Loosely(symbol) => self.loosely.push((text.to_owned(), symbol)),
            How::Exactly => {}
        }
        if matched == Matched::Unknown {
            let readings = dates::readings(text, value);
            if !readings.is_empty() {
                let fits: Vec<&String> = readings
                    .iter()
                    .filter(|reading| !matches!(self.lookup(reading, stitches).0, Matched::Unknown))
                    .collect();
                matched = match (&fits[..], &readings[..]) {
                    ([one], _) => {
                        let found = self.lookup(one, stitches).0;
                        self.dates.push((text.to_owned(), (*one).clone()));
                        found
                    }
                    _ => Matched::Date(readings),
                };
            }
        }
        matched
    }

    fn matched(&mut self, place: usize, index: usize) -> Matched {
        self.used.insert((place, index));
        let Entries { said, works, .. } = &*self.places[place];
        match &works[index] {
            Some(works) => works_or_none(works),
            None => Matched::Unclear(in_words(&said[index].meaning), said[index].place.clone()),
        }
    }

    fn lookup(&mut self, text: &str, stitches: &mut Stitches) -> (Matched, How) {
        if let Some((place, index)) = self.position(|entries| entries.of_text(text)) {
            return (self.matched(place, index), How::Exactly);
        }
        let loose = loosened(text);
        if !loose.is_empty() {
            for place in 0..self.places.len() {
                let entries = &self.places[place];
                let symbol = |index: usize| entries.said[index].symbol.clone();
                let index = match *entries.of_loose(&loose) {
                    [] => continue,
                    [one] => one,
                    ref several => {
                        let symbols = several.iter().map(|&index| symbol(index)).collect();
                        return (Matched::Several(symbols), How::Exactly);
                    }
                };
                let symbol = symbol(index);
                return (self.matched(place, index), How::Loosely(symbol));
            }
        }
        match words::named(text, stitches) {
            Some(id) => (works_or_none(&Rc::new(Works::of(text, id, stitches))), How::ByName),
            None => (Matched::Unknown, How::Exactly),
        }
    }

    /// The words of the entries that a chart used, and where they stand.
    pub(super) fn words_used(&self) -> Vec<(&Place, &str)> {
        let mut used: Vec<Used> = self.used.iter().copied().collect();
        used.sort_unstable();
        let entry = |(place, index): Used| {
            let entry = self.places.get(place)?.said.get(index)?;
            Some((&entry.place, entry.meaning.stitch.as_deref()?))
        };
        used.into_iter().filter_map(entry).collect()
    }

    /// The entries that a chart used.
    pub(super) fn used(self) -> HashSet<Used> {
        self.used
    }

    /// Entries whose words name no stitch and whose symbol none of the charts uses that this is the key of.
    pub(super) fn unclear_unused(&self, used: &BTreeSet<Used>) -> Vec<Finding> {
        let mut findings = Vec::new();
        for (place, entries) in self.places.iter().enumerate() {
            for (index, (entry, works)) in entries.iter().enumerate() {
                if works.is_some() || used.contains(&(place, index)) || is_fill(&entry.symbol) {
                    continue;
                }
                let words = in_words(&entry.meaning);
                findings.push(
                    Finding::new(
                        Code::UnusedKeyEntry,
                        entry.place.clone(),
                        format!(
                            "The key explains {} as \"{words}\", which names no stitch; no chart uses it.",
                            quoted(&entry.symbol),
                        ),
                    )
                    .found(words)
                    .help("Take the entry out, or say it in a stitch's name or words."),
                );
            }
        }
        findings
    }
}

/// Keeps what was found of a text.
fn keep<T>(kept: &mut Vec<Option<T>>, text: Text<'_>, found: T) {
    if kept.len() <= text.index {
        kept.resize_with(text.index + 1, || None);
    }
    if let Some(place) = kept.get_mut(text.index) {
        *place = Some(found);
    }
}

enum How {
    Exactly,
    Loosely(String),
    ByName,
}

/// Whether a text is a date, as a spreadsheet makes one of "2/2".
pub(super) fn is_date(text: &str) -> bool {
    const LONGEST: usize = "2026-01-02T00:00:00".len();
    let digit = text.bytes().next().is_some_and(|first| first.is_ascii_digit());
    digit && text.len() <= LONGEST && !dates::readings(text, None).is_empty()
}

/// What the symbol of a fill begins with; the colour follows in six digits.
pub(super) const FILL: &str = "fill:";

fn is_fill(symbol: &str) -> bool {
    symbol.starts_with(FILL)
}

/// A symbol in quotes, or "a blank cell", or "the fill 1F4E79".
pub(super) fn quoted(symbol: &str) -> String {
    match symbol.strip_prefix(FILL) {
        Some(colour) => format!("the fill {colour}"),
        None if symbol.is_empty() => "a blank cell".to_owned(),
        None => format!("\"{symbol}\""),
    }
}

/// `ns` uses and makes nothing and has no face: it is the only stitch that is none.
static NO_STITCH: LazyLock<Option<StitchId>> =
    LazyLock::new(|| Stitches::every().find(|(_, stitch)| stitch.name == "ns").map(|(id, _)| id));

fn works_or_none(works: &Rc<Works>) -> Matched {
    let none = works.shows.is_some() && works.shows == *NO_STITCH;
    if none { Matched::NoStitch } else { Matched::Works(Rc::clone(works)) }
}
