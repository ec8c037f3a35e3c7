//! Items in the words of a style.

use std::collections::BTreeSet;

use super::number;
use crate::pattern::Worked;
use crate::stitch::{StitchId, Stitches};
use crate::style::{Case, Numbers, Style, Template, Value, Wording};
use crate::written::{Extent, Item};

/// Words the pieces of a pattern and remembers which stitches it named.
pub(super) struct Worder<'a> {
    pub(super) style: &'a Style,
    pub(super) stitches: &'a Stitches,
    pub(super) worked: Worked,
    /// The stitches named by their own words, so that the list can explain them.
    pub(super) used: BTreeSet<StitchId>,
}

/// Where an item stands.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Depth {
    /// In the row itself.
    Row,
    /// In an open repeat of the row.
    Open,
    /// In a repeat that is counted, or deeper.
    Inside,
}

/// Two and more items side by side are joined by whether they are repeats.
struct Piece {
    text: String,
    repeat: bool,
}

impl Worder<'_> {
    /// The work of a whole row, without the full stop.
    pub(super) fn row(&mut self, items: &[Item]) -> String {
        if let [Item::Run { stitch, extent: Extent::ToLast(0) }] = items
            && self.style.wording == Wording::Short
            && self.stitches.get(*stitch).colour.is_none()
            && let Some(whole) = &self.stitches.get(*stitch).words(self.style.terms).whole
        {
            return self.begin(whole.clone(), items);
        }
        let text = self.items(items, Depth::Row);
        if text.is_empty() {
            self.begin(self.style.work.empty.clone(), items)
        } else {
            self.begin(text, items)
        }
    }

    fn items(&mut self, items: &[Item], depth: Depth) -> String {
        let work = &self.style.work;
        let mut text = String::new();
        let mut last_repeat = None;
        for item in items {
            let Some(piece) = self.item(item, depth) else { continue };
            text.push_str(match last_repeat {
                None => "",
                Some(true) => &work.after_repeat,
                Some(false) if piece.repeat => &work.before_repeat,
                Some(false) => &work.between,
            });
            text.push_str(&piece.text);
            last_repeat = Some(piece.repeat);
        }
        text
    }

    /// One item; nothing where nothing is worked.
    fn item(&mut self, item: &Item, depth: Depth) -> Option<Piece> {
        match item {
            Item::Run { extent: Extent::Times(0), .. } | Item::Repeat { extent: Extent::Times(0), .. } => {
                None
            }
            Item::Run { stitch, extent } => Some(self.run(*stitch, *extent, depth)),
            Item::Repeat { items, extent } => {
                let inner = match (depth, extent) {
                    (Depth::Row, Extent::ToLast(_)) => Depth::Open,
                    _ => Depth::Inside,
                };
                let items = self.items(items, inner);
                (!items.is_empty()).then(|| self.repeat(&items, *extent, depth))
            }
        }
    }

    /// A run as it stands in a row.
    pub(super) fn one_run(&mut self, stitch: StitchId, times: u32) -> String {
        self.run(stitch, Extent::Times(times), Depth::Row).text
    }

    fn run(&mut self, stitch: StitchId, extent: Extent, depth: Depth) -> Piece {
        // A stitch in a colour is explained once, as itself.
        let plain = self.stitches.get(stitch).colour.is_some();
        self.used.insert(if plain { self.stitches.plain(stitch) } else { stitch });
        let stitch = self.stitches.get(stitch);
        let coloured = |text: String| match &stitch.colour {
            Some(colour) => {
                self.style.work.coloured.fill(&[("stitch", text.into()), ("colour", one_line(colour).into())])
            }
            None => text,
        };
        let words = stitch.words(self.style.terms);
        let (one, many, bare) = match self.style.wording {
            Wording::Short => (&words.short, &words.run, &words.bare),
            Wording::Long => (&words.long, &words.long_run, &words.long_bare),
        };
        let text = match (extent, many, bare) {
            (Extent::Times(1), ..) => coloured(self.spoken(one)),
            (Extent::Times(n), Some(many), _) => coloured(self.spoken(&with_number(many, n))),
            (Extent::ToLast(left), _, Some(bare)) => self
                .style
                .work
                .run_to
                .fill(&[("stitch", coloured(self.spoken(bare)).into()), ("until", self.until(left).into())]),
            (extent, ..) => return self.repeat(&coloured(self.spoken(one)), extent, depth),
        };
        Piece { text, repeat: false }
    }

    fn repeat(&self, items: &str, extent: Extent, depth: Depth) -> Piece {
        let work = &self.style.work;
        let text = match extent {
            Extent::Times(n) => {
                let template = match depth {
                    Depth::Row => &work.fixed,
                    Depth::Open => &work.fixed_in_open,
                    Depth::Inside => &work.fixed_inside,
                };
                template.fill(&[("items", items.into()), ("times", self.times(n).into())])
            }
            Extent::ToLast(left) => {
                let template = if depth == Depth::Row { &work.open } else { &work.open_inside };
                template.fill(&[("items", items.into()), ("until", self.until(left).into())])
            }
        };
        Piece { text, repeat: true }
    }

    fn until(&self, left: u32) -> String {
        let work = &self.style.work;
        match left {
            0 => work.to_end.clone(),
            1 => work.to_last_one.clone(),
            n => work.to_last.fill(&[("n", self.number(n))]),
        }
    }

    pub(super) fn times(&self, n: u32) -> String {
        let work = &self.style.work;
        match n {
            1 => work.once.clone(),
            2 => work.twice.clone(),
            n => work.times.fill(&[("n", self.number(n))]),
        }
    }

    /// A number as the style prints it.
    pub(super) fn number(&self, n: u32) -> Value {
        let text = match self.style.numbers {
            Numbers::Digits => n.to_string(),
            Numbers::Words => number::words(n),
        };
        Value { text, one: n == 1 }
    }

    /// Words of the dictionary on one line, their numbers as the style prints them.
    pub(super) fn spoken(&self, words: &str) -> String {
        match self.style.numbers {
            Numbers::Digits => one_line(words),
            Numbers::Words => number::spell_out(&one_line(words)),
        }
    }

    /// Numbers in a list: "8 and 12".
    pub(super) fn numbers(&self, numbers: &[u32]) -> Value {
        let texts: Vec<String> = numbers.iter().map(|&n| self.number(n).text).collect();
        Value { text: self.list(&texts), one: numbers.len() == 1 }
    }

    /// Words in a list.
    pub(super) fn list(&self, words: &[String]) -> String {
        let label = &self.style.label;
        match words {
            [] => String::new(),
            [only] => only.clone(),
            [firsts @ .., last] => firsts.join(&label.between) + &label.last_between + last,
        }
    }

    /// Numbers that follow each other: "8", "8 and 9", "8-12".
    pub(super) fn range(&self, first: u32, last: u32) -> Value {
        if last <= first.saturating_add(1) {
            let numbers: Vec<u32> = (first..=last).collect();
            return self.numbers(&numbers);
        }
        let text = self.number(first).text + &self.style.label.to + &self.number(last).text;
        Value { text, one: false }
    }

    /// The row with the capital it begins with. A name that the designer gave keeps its own letters, since two
    /// names may differ in nothing else.
    pub(super) fn begin(&self, text: String, items: &[Item]) -> String {
        if self.style.case != Case::Capital || self.starts_with_own(&text, items) {
            return text;
        }
        capital(&text)
    }

    fn starts_with_own(&self, text: &str, items: &[Item]) -> bool {
        let mut items = items;
        while let Some(item) = items.first() {
            match item {
                Item::Repeat { items: inner, .. } => items = inner,
                Item::Run { stitch, .. } => {
                    let stitch = self.stitches.get(*stitch);
                    let short = &stitch.words(self.style.terms).short;
                    return stitch.own
                        && text.trim_start_matches(['*', '[', '(']).starts_with(short.as_str());
                }
            }
        }
        false
    }

    /// Capitals at the beginning of every sentence, where the style wants them.
    pub(super) fn sentences(&self, text: String) -> String {
        if self.style.case != Case::Sentences {
            return text;
        }
        let mut out = String::with_capacity(text.len());
        let mut rest = text.as_str();
        while let Some(at) = rest.find(". ") {
            let (sentence, after) = rest.split_at(at + 2);
            out.push_str(&capital(sentence));
            rest = after;
        }
        out.push_str(&capital(rest));
        out
    }

    /// A template of the label, by whether the pattern is worked in rows or rounds.
    pub(super) fn by_way<'t>(&self, row: &'t Template, round: &'t Template) -> &'t Template {
        match self.worked {
            Worked::Flat => row,
            Worked::Round => round,
        }
    }
}

/// Words with a number in their gap.
fn with_number(words: &str, n: u32) -> String {
    match words.split_once("{n}") {
        Some((before, after)) => format!("{before}{n}{after}"),
        None => words.to_owned(),
    }
}

/// The text with its first letter a capital, where it begins with a letter behind any brackets.
pub(super) fn capital(text: &str) -> String {
    match text.char_indices().find(|(_, c)| c.is_alphanumeric()) {
        Some((at, first)) if first.is_alphabetic() => {
            let (before, rest) = text.split_at(at);
            let after = &rest[first.len_utf8()..];
            format!("{before}{}{after}", first.to_uppercase())
        }
        _ => text.to_owned(),
    }
}

/// The text on one line, with single spaces.
pub(super) fn one_line(text: &str) -> String {
    let mut line = String::with_capacity(text.len());
    for word in text.split_whitespace() {
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    line
}
