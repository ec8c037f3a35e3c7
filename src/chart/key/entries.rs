//! The entries of a key in one place, and what the hands do for each.

use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;

use foldhash::{HashMap, HashMapExt};

use super::{Works, quoted};
use crate::problem::{Code, Finding};
use crate::settings::{KeyEntry, Meaning};
use crate::stitch::Stitches;
use crate::words::{self, Looks};

/// The entries of the key in one place, each symbol once.
pub(super) struct Entries {
    pub(super) said: Arc<Vec<KeyEntry>>,
    /// By their symbols, without spaces at the ends.
    by_symbol: Places,
    /// By their symbols without what hands vary.
    by_loose: Places,
    /// What the hands do for each.
    pub(super) works: Vec<Option<Rc<Works>>>,
}

/// Where in a list each text stands, in the order of the list.
#[derive(Default)]
struct Places(HashMap<Box<str>, Vec<usize>>);

impl Places {
    fn of<T: Into<Box<str>>>(texts: impl ExactSizeIterator<Item = T>) -> Self {
        let mut places: HashMap<Box<str>, Vec<usize>> = HashMap::with_capacity(texts.len());
        for (at, text) in texts.enumerate() {
            places.entry(text.into()).or_default().push(at);
        }
        Self(places)
    }

    /// The places where a text stands.
    fn all(&self, text: &str) -> &[usize] {
        self.0.get(text).map_or(&[], Vec::as_slice)
    }
}

/// A key as it was read last, and the dictionaries before and after.
struct Last {
    entries: Rc<Entries>,
    before: Stitches,
    after: Stitches,
}

impl Entries {
    /// As [`Entries::read`], of a key that many charts share: the charts of a folder have one key, and mostly each begins
    /// with the same dictionary.
    pub(super) fn shared(
        said: &Arc<Vec<KeyEntry>>,
        stitches: &mut Stitches,
        findings: &mut Vec<Finding>,
    ) -> Rc<Self> {
        thread_local! {
            static LAST: RefCell<Option<Last>> = const { RefCell::new(None) };
        }
        let known = LAST.with_borrow(|last| {
            let same = |last: &&Last| Arc::ptr_eq(&last.entries.said, said) && last.before == *stitches;
            last.as_ref().filter(same).map(|last| (Rc::clone(&last.entries), last.after.clone()))
        });
        if let Some((entries, after)) = known {
            *stitches = after;
            return entries;
        }
        let before = stitches.clone();
        // Entries that disagree are no more those that were said: they are read again, and told again.
        let entries = Rc::new(Self::read(said, stitches, findings));
        LAST.set(Some(Last { entries: Rc::clone(&entries), before, after: stitches.clone() }));
        entries
    }

    /// Reads entries; those that disagree are findings, of which the first stays.
    pub(super) fn read(
        said: &Arc<Vec<KeyEntry>>,
        stitches: &mut Stitches,
        findings: &mut Vec<Finding>,
    ) -> Self {
        let mut works: Vec<_> = said.iter().map(|entry| works(entry, stitches).map(Rc::new)).collect();
        let mut said = Arc::clone(said);
        let mut by_symbol = by_symbols(&said);
        let mut first_of_each: Vec<usize> = Vec::with_capacity(said.len());
        for (at, entry) in said.iter().enumerate() {
            match place_of(&said, &by_symbol, &entry.symbol) {
                Some(first) if first == at => first_of_each.push(at),
                Some(first) if works[first] == works[at] && works[first].is_some() => {}
                Some(first) => findings.push(disagree(&said[first], entry)),
                None => {}
            }
        }
        if first_of_each.len() < said.len() {
            said = Arc::new(first_of_each.iter().map(|&at| said[at].clone()).collect());
            works = first_of_each.iter().map(|&at| works[at].clone()).collect();
            by_symbol = by_symbols(&said);
        }
        let by_loose = Places::of(said.iter().map(|entry| loosened(&entry.symbol)));
        Self { said, by_symbol, by_loose, works }
    }

    /// Where the entry of a symbol stands.
    pub(super) fn place_of(&self, symbol: &str) -> Option<usize> {
        place_of(&self.said, &self.by_symbol, symbol)
    }

    /// Where the first entry stands whose symbol is this text, but for spaces at its ends.
    pub(super) fn of_text(&self, text: &str) -> Option<usize> {
        self.by_symbol.all(text).first().copied()
    }

    /// Where the entries stand whose symbols are the same without what hands vary.
    pub(super) fn of_loose(&self, loose: &str) -> &[usize] {
        self.by_loose.all(loose)
    }

    pub(super) fn iter(&self) -> impl Iterator<Item = (&KeyEntry, Option<&Rc<Works>>)> {
        self.said.iter().zip(self.works.iter().map(Option::as_ref))
    }
}

fn by_symbols(said: &[KeyEntry]) -> Places {
    Places::of(said.iter().map(|entry| entry.symbol.trim()))
}

fn place_of(said: &[KeyEntry], by_symbol: &Places, symbol: &str) -> Option<usize> {
    let alike = by_symbol.all(symbol.trim());
    alike.iter().copied().find(|&at| said[at].symbol == symbol)
}

/// The text without what hands vary: case, spaces, the kind of quotes, a whole number's point.
pub(in crate::chart) fn loosened(text: &str) -> String {
    let whole = text.strip_suffix(".0").filter(|digits| digits.parse::<u32>().is_ok());
    let mut loose = String::with_capacity(text.len());
    for c in whole.unwrap_or(text).chars().filter(|c| !c.is_whitespace()) {
        let plain = match c {
            '\u{2018}' | '\u{2019}' | '\u{201b}' | '\u{2032}' | '`' => '\'',
            '\u{201c}' | '\u{201d}' | '\u{2033}' => '"',
            c => c,
        };
        words::push_lower(&mut loose, plain);
    }
    loose
}

/// Says that a key explains a symbol in two ways.
fn disagree(one: &KeyEntry, other: &KeyEntry) -> Finding {
    let (first, second) = (in_words(&one.meaning), in_words(&other.meaning));
    Finding::new(
        Code::KeysDisagree,
        other.place.clone(),
        format!("The key explains {} twice: as \"{first}\" and as \"{second}\".", quoted(&other.symbol)),
    )
    .found(second)
    .expected(first)
    .help(format!("Keep one of the two entries (the other is at {}).", one.place))
}

fn works(entry: &KeyEntry, stitches: &mut Stitches) -> Option<Works> {
    let meaning = &entry.meaning;
    let mut works =
        Works { symbol: entry.symbol.clone(), colour: meaning.colour.clone(), ..Works::default() };
    if let Some(words) = &meaning.stitch {
        match words::meaning(words, stitches) {
            Some(Looks::Stitch(id)) => works.shows = Some(id),
            Some(Looks::Sides { rs, ws }) => (works.rs, works.ws) = (Some(rs), Some(ws)),
            // With the yarn on the WS of the fabric.
            None if words::is_bare_slip(words) => works.shows = stitches.find("sl1wyib"),
            None => {
                let own = words::worked_in_turns(&entry.symbol, words, stitches)?;
                works.shows = Some(stitches.learn(&own)?);
            }
        }
    }
    for (said, hand) in [
        (&meaning.rs, &mut works.rs),
        (&meaning.ws, &mut works.ws),
        (&meaning.rs_first, &mut works.rs_first),
        (&meaning.rs_last, &mut works.rs_last),
        (&meaning.ws_first, &mut works.ws_first),
        (&meaning.ws_last, &mut works.ws_last),
    ] {
        if let Some(words) = said {
            *hand = Some(words::stitch(words, stitches).map(|id| stitches.plain(id))?);
        }
    }
    works.any()?;
    Some(works.counted(stitches))
}

pub(super) fn in_words(meaning: &Meaning) -> String {
    let by_side = [
        ("", &meaning.stitch),
        ("on RS: ", &meaning.rs),
        ("on WS: ", &meaning.ws),
        ("first on RS: ", &meaning.rs_first),
        ("last on RS: ", &meaning.rs_last),
        ("first on WS: ", &meaning.ws_first),
        ("last on WS: ", &meaning.ws_last),
    ];
    let mut said = String::new();
    for (when, words) in by_side {
        let Some(words) = words else { continue };
        if !said.is_empty() {
            said.push_str(", ");
        }
        said.push_str(when);
        said.push_str(words);
    }
    if let Some(colour) = &meaning.colour {
        said.push_str(" in ");
        said.push_str(colour);
    }
    said
}
