//! The numbers that Word itself puts before paragraphs, which stand in no text: `Row 3:` may be a list whose label is
//! `Row %1:`. Source: ECMA-376-1:2016, section 17.9.

use std::borrow::Cow;
use std::collections::HashMap;

use quick_xml::events::Event;

use super::super::super::fault::Fault;
use super::super::super::package::Package;
use super::super::super::xml::{attribute, local};

/// The levels a list may have.
const LEVELS: usize = 9;

/// How far a style is followed to the one it is based on.
const DEEP: usize = 16;

/// What stands before a paragraph.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Label {
    /// A number and no word: the paragraph is an item of a list.
    Item(u32),
    /// Words, a number among them: "Row 3:".
    Words(String),
}

/// How paragraphs say that they are items of a list: its number, and on which level; each where it is said.
#[derive(Clone, Debug, Default)]
pub(super) struct Membership {
    /// The list.
    pub list: Option<String>,
    /// The level, from 0.
    pub level: Option<usize>,
}

impl Membership {
    /// Takes what an element inside `numPr` says.
    pub fn take(&mut self, name: &str, value: Option<String>) {
        match name {
            "numId" => self.list = value,
            "ilvl" => self.level = value.and_then(|level| level.parse().ok()),
            _ => {}
        }
    }
}

/// A level of a list; where nothing is said it begins with 0.
#[derive(Clone, Debug, Default)]
struct Level {
    start: u32,
    /// Whether it counts in digits: others, and bullets, number no rows.
    digits: bool,
    /// The label, `%1` standing for the number of the first level.
    label: String,
}

/// A list as paragraphs name it: a way to number, shared with others, and where it begins anew.
#[derive(Debug, Default)]
struct List {
    way: String,
    starts: HashMap<usize, u32>,
    begun: bool,
}

/// A style of paragraphs.
#[derive(Debug, Default)]
struct Style {
    member: Membership,
    based_on: Option<String>,
}

/// The lists of a document, and how far each has counted.
#[derive(Debug, Default)]
pub(super) struct Numbering {
    ways: HashMap<String, HashMap<usize, Level>>,
    lists: HashMap<String, List>,
    styles: HashMap<String, Style>,
    /// The number given last on each level, by the way to number.
    counted: HashMap<String, [Option<u32>; LEVELS]>,
}

impl Numbering {
    /// Reads the lists of a document, from the part that says how they are numbered and the one that says which styles
    /// are lists; most have none.
    ///
    /// # Errors
    /// When the part that holds them is damaged.
    pub fn of(package: &mut Package<'_>, lists: &str, styles: &str) -> Result<Self, Fault> {
        let mut numbering = Self::default();
        numbering.read_lists(package, lists)?;
        if !numbering.lists.is_empty() {
            numbering.read_styles(package, styles)?;
        }
        Ok(numbering)
    }

    fn read_lists(&mut self, package: &mut Package<'_>, part: &str) -> Result<(), Fault> {
        let Some(mut xml) = package.xml(part)? else { return Ok(()) };
        // The way to number that is being read, or the list, and its level.
        let (mut way, mut list, mut level) = (None::<String>, None::<String>, 0);
        loop {
            let event = xml.next()?;
            match &event {
                Event::Start(start) => {
                    let named = |name: &str| attribute(start, name).map(Cow::into_owned);
                    let value = || named("val");
                    let number = |name: &str| attribute(start, name).and_then(|level| level.parse().ok());
                    match local(start.name().into_inner()) {
                        "abstractNum" => way = named("abstractNumId"),
                        "num" => list = named("numId"),
                        "lvl" | "lvlOverride" => level = number("ilvl").unwrap_or(0),
                        "abstractNumId" => {
                            if let (Some(list), Some(way)) = (&list, value()) {
                                self.lists.insert(list.clone(), List { way, ..List::default() });
                            }
                        }
                        "startOverride" => {
                            let list = list.as_ref().and_then(|list| self.lists.get_mut(list));
                            if let (Some(list), Some(start)) = (list, number("val")) {
                                list.starts.insert(level, u32::try_from(start).unwrap_or(u32::MAX));
                            }
                        }
                        name @ ("start" | "numFmt" | "lvlText") => {
                            if let (Some(way), Some(value)) = (&way, value()) {
                                let levels = self.ways.entry(way.clone()).or_default();
                                let level: &mut Level = levels.entry(level).or_default();
                                match name {
                                    "start" => level.start = value.parse().unwrap_or(0),
                                    "numFmt" => level.digits = value == "decimal",
                                    _ => level.label = value,
                                }
                            }
                        }
                        _ => {}
                    }
                }
                Event::End(end) => match local(end.name().into_inner()) {
                    "abstractNum" => way = None,
                    "num" => list = None,
                    _ => {}
                },
                Event::Eof => return Ok(()),
                _ => {}
            }
        }
    }

    fn read_styles(&mut self, package: &mut Package<'_>, part: &str) -> Result<(), Fault> {
        let Some(mut xml) = package.xml(part)? else { return Ok(()) };
        let mut name = None::<String>;
        loop {
            let event = xml.next()?;
            match &event {
                Event::Start(start) => match local(start.name().into_inner()) {
                    "style" => name = attribute(start, "styleId").map(Cow::into_owned),
                    element @ ("basedOn" | "numId" | "ilvl") => {
                        let Some(name) = &name else { continue };
                        let style = self.styles.entry(name.clone()).or_default();
                        let value = attribute(start, "val").map(Cow::into_owned);
                        match element {
                            "basedOn" => style.based_on = value,
                            element => style.member.take(element, value),
                        }
                    }
                    _ => {}
                },
                Event::Eof => return Ok(()),
                _ => {}
            }
        }
    }

    /// What stands before the next paragraph, given what it says itself and the name of its style.
    pub fn label(&mut self, own: &Membership, style: Option<&str>) -> Option<Label> {
        let Membership { list, level } = self.membership(own, style);
        let (list, level) = (self.lists.get_mut(&list?)?, level.unwrap_or(0));
        let levels = self.ways.get(&list.way)?;
        let Level { start, digits, label } = levels.get(&level)?;
        let counted = self.counted.entry(list.way.clone()).or_default();
        if !std::mem::replace(&mut list.begun, true) {
            // Counts on from there.
            for (level, start) in &list.starts {
                if let Some(counted) = counted.get_mut(*level) {
                    *counted = start.checked_sub(1);
                }
            }
        }
        let number = counted.get(level)?.map_or(*start, |last| last.saturating_add(1));
        *counted.get_mut(level)? = Some(number);
        counted.iter_mut().skip(level + 1).for_each(|deeper| *deeper = None);
        let own = format!("%{}", level + 1);
        // A label that counts several levels, "2.1", numbers no rows.
        if !digits || label.matches('%').count() != 1 || !label.contains(&own) {
            return None;
        }
        let has_words = label.chars().any(char::is_alphabetic);
        Some(if has_words {
            Label::Words(label.replace(&own, &number.to_string()))
        } else {
            Label::Item(number)
        })
    }

    /// What a paragraph says itself counts before what its style says, and that before the style's own base.
    fn membership(&self, own: &Membership, style: Option<&str>) -> Membership {
        let mut member = own.clone();
        let mut style = style.and_then(|style| self.styles.get(style));
        for _ in 0..DEEP {
            let Some(next) = style else { break };
            member.list = member.list.or_else(|| next.member.list.clone());
            member.level = member.level.or(next.member.level);
            style = next.based_on.as_ref().and_then(|base| self.styles.get(base));
        }
        member
    }
}
