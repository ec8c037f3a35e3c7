//! Items in the words of a style.

use std::borrow::Cow;

use super::colours::Colours;
use super::number;
use crate::pattern::Worked;
use crate::stitch::{StitchId, Stitches};
use crate::style::{Case, Numbers, Style, Template, Value, Wording};
use crate::written::{Extent, Item};

/// Words the pieces of a pattern and remembers which stitches it named.
pub(super) struct Worder<'a> {
    pub(super) style: &'a Style,
    pub(super) stitches: &'a Stitches,
    pub(super) colours: Colours<'a>,
    /// Whether the row has said in which colour all of it is worked.
    pub(super) colour_said: bool,
    pub(super) worked: Worked,
    /// The stitches named by their own words, each once, so that the list can explain them.
    pub(super) used: Vec<StitchId>,
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

/// Two and more items side by side are joined by what they are printed as.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Piece {
    Run,
    Repeat,
}

impl<'a> Worder<'a> {
    /// Puts the work of a whole row, without the full stop, behind a text.
    pub(super) fn row(&mut self, items: &[Item], text: &mut String) {
        let from = text.len();
        match self.one_colour(items) {
            Some(colour) => {
                let mut words = String::new();
                self.colour_said = true;
                self.work(items, &mut words);
                self.colour_said = false;
                let values = [("colour", self.colours.called(colour).into()), ("items", words.into())];
                self.style.work.in_colour.fill_behind(text, &values);
            }
            None => self.work(items, text),
        }
        self.begin(text, from, items);
    }

    /// The colour of all that a row works; none where a stitch has none, or another.
    fn one_colour(&self, items: &[Item]) -> Option<&'a str> {
        if !self.colours.may_be_said_once() {
            return None;
        }
        let runs = items.iter().flat_map(Item::pieces).filter_map(|item| match item {
            Item::Run { stitch, .. } => Some(*stitch),
            Item::Repeat { .. } => None,
        });
        let mut colours = runs
            .filter(|stitch| !self.stitches.is_slipped(*stitch))
            .map(|stitch| self.stitches.get(stitch).colour.as_deref());
        let first = colours.next()??;
        colours.all(|colour| colour == Some(first)).then_some(first)
    }

    /// Puts the work of a row behind a text, its first letter as the words have it.
    fn work(&mut self, items: &[Item], text: &mut String) {
        let from = text.len();
        if let [Item::Run { stitch, extent: Extent::ToLast(0) }] = items
            && self.style.wording == Wording::Short
            && self.colour(*stitch).is_none()
            && let Some(whole) = &self.stitches.get(*stitch).words(self.style.terms).whole
        {
            text.push_str(whole);
        } else {
            self.items(items, Depth::Row, text);
            if text.len() == from {
                text.push_str(&self.style.work.empty);
            }
        }
    }

    /// The colour that must be said of a stitch. What is slipped shows the one it was worked in before.
    fn colour(&self, stitch: StitchId) -> Option<Cow<'_, str>> {
        let colour = self.stitches.get(stitch).colour.as_deref().filter(|_| !self.colour_said)?;
        (!self.stitches.is_slipped(stitch)).then(|| self.colours.called(colour))
    }

    fn items(&mut self, items: &[Item], depth: Depth, text: &mut String) {
        let work = &self.style.work;
        let mut last = None;
        for item in items {
            let from = text.len();
            let Some(piece) = self.item(item, depth, text) else { continue };
            // What stands between two pieces is known once it is known what the second is printed as.
            match last {
                None => {}
                Some(Piece::Repeat) => text.insert_str(from, &work.after_repeat),
                Some(Piece::Run) if piece == Piece::Repeat => text.insert_str(from, &work.before_repeat),
                Some(Piece::Run) => text.insert_str(from, &work.between),
            }
            last = Some(piece);
        }
    }

    /// Puts one item behind a text; nothing where nothing is worked.
    fn item(&mut self, item: &Item, depth: Depth, text: &mut String) -> Option<Piece> {
        match item {
            Item::Run { extent: Extent::Times(0), .. } | Item::Repeat { extent: Extent::Times(0), .. } => {
                None
            }
            Item::Run { stitch, extent } => Some(self.run(*stitch, *extent, depth, text)),
            Item::Repeat { items, extent } => {
                let inner = match (depth, extent) {
                    (Depth::Row, Extent::ToLast(_)) => Depth::Open,
                    _ => Depth::Inside,
                };
                let mut words = String::new();
                self.items(items, inner, &mut words);
                (!words.is_empty()).then(|| self.repeat(&words, *extent, depth, text))
            }
        }
    }

    /// A run as it stands in a row.
    pub(super) fn one_run(&mut self, stitch: StitchId, times: u32) -> String {
        let mut text = String::new();
        self.run(stitch, Extent::Times(times), Depth::Row, &mut text);
        text
    }

    fn run(&mut self, id: StitchId, extent: Extent, depth: Depth, text: &mut String) -> Piece {
        // A stitch in a colour is explained once, as itself.
        let plain = self.stitches.get(id).colour.is_some();
        self.uses(if plain { self.stitches.plain(id) } else { id });
        let words = self.stitches.get(id).words(self.style.terms);
        let (one, many, bare) = match self.style.wording {
            Wording::Short => (&words.short, &words.run, &words.bare),
            Wording::Long => (&words.long, &words.long_run, &words.long_bare),
        };
        match (extent, many, bare) {
            (Extent::Times(1), ..) => text.push_str(&self.said(one, id)),
            (Extent::Times(n), Some(many), _) => {
                let from = text.len();
                put_with_number(many, n, text);
                if let Cow::Owned(said) = self.said(&text[from..], id) {
                    text.replace_range(from.., &said);
                }
            }
            (Extent::ToLast(left), _, Some(bare)) => {
                let (stitch, until) = (("stitch", self.spoken(bare).into()), ("until", self.until(left)));
                let work = &self.style.work;
                match self.colour(id) {
                    None => work.run_to.fill_behind(text, &[stitch, until]),
                    Some(colour) => {
                        let colour = ("colour", colour.into());
                        work.coloured_to.fill_behind(text, &[stitch, until, colour]);
                    }
                }
            }
            (Extent::Times(n), ..) if self.may_be_counted(id) => {
                let values = [("stitch", self.spoken(one).into()), ("times", self.times(n))];
                self.style.work.run_times.fill_behind(text, &values);
            }
            (extent, ..) => return self.repeat(&self.said(one, id), extent, depth, text),
        }
        Piece::Run
    }

    /// Whether a stitch without words for several is told with a number of times behind it, where the style has words for that:
    /// one thing is done, which the number can't be of a part of, and no loop is made of none, of which two are another stitch.
    fn may_be_counted(&self, stitch: StitchId) -> bool {
        let words = &self.style.work.run_times;
        !words.is_empty() && self.colour(stitch).is_none() && {
            let stitch = self.stitches.get(stitch);
            !stitch.own && stitch.uses > 0 && !stitch.words(self.style.terms).long.contains(" and ")
        }
    }

    /// Keeps in mind that a stitch was named.
    pub(super) fn uses(&mut self, stitch: StitchId) {
        if !self.used.contains(&stitch) {
            self.used.push(stitch);
        }
    }

    /// Words of a stitch, with its colour where it has one.
    fn said<'t>(&self, words: impl Into<Cow<'t, str>>, stitch: StitchId) -> Cow<'t, str> {
        let words = self.spoken(words);
        let Some(colour) = self.colour(stitch) else { return words };
        let values = [("stitch", words.into()), ("colour", colour.into())];
        self.style.work.coloured.fill(&values).into()
    }

    fn repeat(&self, items: &str, extent: Extent, depth: Depth, text: &mut String) -> Piece {
        let work = &self.style.work;
        let (template, how_often) = match extent {
            Extent::Times(n) => {
                let template = match depth {
                    Depth::Row => &work.fixed,
                    Depth::Open => &work.fixed_in_open,
                    Depth::Inside => &work.fixed_inside,
                };
                (template, ("times", self.times(n)))
            }
            Extent::ToLast(left) => {
                let template = if depth == Depth::Row { &work.open } else { &work.open_inside };
                (template, ("until", self.until(left)))
            }
        };
        template.fill_behind(text, &[("items", items.into()), how_often]);
        Piece::Repeat
    }

    fn until(&self, left: u32) -> Value<'_> {
        let work = &self.style.work;
        match left {
            0 => work.to_end.as_str().into(),
            1 => work.to_last_one.as_str().into(),
            n => work.to_last.fill(&[("n", self.number(n))]).into(),
        }
    }

    pub(super) fn times(&self, n: u32) -> Value<'_> {
        let work = &self.style.work;
        match n {
            1 => work.once.as_str().into(),
            2 => work.twice.as_str().into(),
            n => work.times.fill(&[("n", self.number(n))]).into(),
        }
    }

    /// As [`Self::times`], but in words: behind the number of a row, "Rep Rows 1 and 2 3 times", two numerals would meet.
    pub(super) fn times_in_words(&self, n: u32) -> Value<'_> {
        match n {
            1 | 2 => self.times(n),
            n => self.style.work.times.fill(&[("n", number::words(n).into())]).into(),
        }
    }

    /// A number as the style prints it.
    pub(super) fn number(&self, n: u32) -> Value<'static> {
        let text = match self.style.numbers {
            Numbers::Digits => n.to_string(),
            Numbers::Words => number::words(n),
        };
        Value { text: text.into(), one: n == 1 }
    }

    /// Words of the dictionary on one line, their numbers as the style prints them.
    pub(super) fn spoken<'t>(&self, words: impl Into<Cow<'t, str>>) -> Cow<'t, str> {
        match self.style.numbers {
            Numbers::Digits => one_line(words),
            Numbers::Words => number::spell_out(&one_line(words)).into(),
        }
    }

    /// Numbers in a list: "8 and 12".
    pub(super) fn numbers(&self, numbers: &[u32]) -> Value<'static> {
        let texts: Vec<Cow<'_, str>> = numbers.iter().map(|&n| self.number(n).text).collect();
        Value { text: self.list(&texts).into(), one: numbers.len() == 1 }
    }

    /// Words in a list.
    pub(super) fn list(&self, words: &[Cow<'_, str>]) -> String {
        let label = &self.style.label;
        match words {
            [] => String::new(),
            [only] => only.clone().into_owned(),
            [firsts @ .., last] => firsts.join(&label.between) + &label.last_between + last,
        }
    }

    /// Numbers that follow each other: "8", "8 and 9", "8-12".
    pub(super) fn range(&self, first: u32, last: u32) -> Value<'_> {
        if last == first {
            return Value { one: true, ..self.number(first) };
        }
        if last.checked_sub(first) == Some(1) {
            return self.numbers(&[first, last]);
        }
        let text = self.number(first).text + self.style.label.to.as_str() + self.number(last).text;
        Value { text, one: false }
    }

    /// Gives a row the capital it begins with, at `from` in its text. A name that the designer gave keeps its own
    /// letters, since two names may differ in nothing else.
    pub(super) fn begin(&self, text: &mut String, from: usize, items: &[Item]) {
        if self.style.case == Case::Capital && !self.starts_with_own(&text[from..], items) {
            capitalise(text, from);
        }
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

/// Puts words with a number in their gap behind a text.
fn put_with_number(words: &str, n: u32, text: &mut String) {
    // The gap is looked for by its first letter: no words of a stitch have other braces.
    let gap = words.split_once('{').and_then(|(before, gap)| Some((before, gap.strip_prefix("n}")?)));
    let (before, after) = gap.unwrap_or((words, ""));
    text.push_str(before);
    if gap.is_some() {
        text.push_str(&n.to_string());
    }
    text.push_str(after);
}

/// The text with its first letter a capital, where it begins with a letter behind any brackets.
pub(super) fn capital(text: impl Into<String>) -> String {
    let mut text = text.into();
    capitalise(&mut text, 0);
    text
}

/// The same from a place of the text on.
fn capitalise(text: &mut String, from: usize) {
    let Some((at, first)) = text[from..].char_indices().find(|(_, c)| c.is_alphanumeric()) else { return };
    let letter = from + at..from + at + first.len_utf8();
    match text.get_mut(letter.clone()) {
        Some(plain) if first.is_ascii() => plain.make_ascii_uppercase(),
        _ if first.is_alphabetic() => text.replace_range(letter, &first.to_uppercase().to_string()),
        _ => {}
    }
}

/// The text on one line, with single spaces.
pub(super) fn one_line<'t>(text: impl Into<Cow<'t, str>>) -> Cow<'t, str> {
    let text = text.into();
    if is_one_line(&text) {
        return text;
    }
    let mut line = String::with_capacity(text.len());
    for word in text.split_whitespace() {
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    line.into()
}

/// Whether a text is words of plain letters and marks with one space between them, as most are.
fn is_one_line(text: &str) -> bool {
    let mut spaced = !text.is_empty();
    for byte in text.bytes() {
        match byte {
            b' ' if !spaced => spaced = true,
            b'!'..=b'~' => spaced = false,
            _ => return false,
        }
    }
    !spaced
}
