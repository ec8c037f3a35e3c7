//! The rules for rows that are not drawn, and the sentences that may give them.

use std::collections::BTreeMap;

use super::super::area::Area;
use super::super::returns::Rule;
use super::super::sentences::Tellings;
use super::super::sheet::Sheet;
use super::told::Told;
use crate::pattern::Hand;
use crate::place::Place;
use crate::problem::{Code, Finding};
use crate::settings::{ReturnRows, Settings};
use crate::stitch::{StitchId, Stitches};
use crate::words::{self, RowError};
use crate::written::Item;

/// A stitch of a row that a left-handed knitter has no usual mirror for.
fn without_mirror(items: &[Item], stitches: &mut Stitches) -> Option<StitchId> {
    items.iter().find_map(|item| match item {
        Item::Run { stitch, .. } => stitches.mirror(*stitch).is_none().then_some(*stitch),
        Item::Repeat { items, .. } => without_mirror(items, stitches),
    })
}

/// How the rows are worked that the chart does not draw.
pub(super) struct Rules {
    /// The rule for return rows.
    all: Rule,
    /// Those of rows that are told one by one.
    by_row: BTreeMap<u32, (Rule, Place)>,
    /// Where the rule for return rows is stated.
    stated: Option<Place>,
    /// Rows that are worked as another before them that is told by itself, and that.
    again: BTreeMap<u32, u32>,
}

impl Rules {
    /// The rule of a return row.
    pub(super) fn of(&self, number: u32) -> &Rule {
        self.told(number).map_or(&self.all, |(rule, _)| rule)
    }

    /// Where the rule of a return row is stated.
    pub(super) fn place_of(&self, number: u32) -> Option<&Place> {
        self.told(number).map(|(_, place)| place).or(self.stated.as_ref())
    }

    /// The rule that tells one row, if any does, and where.
    pub(super) fn told(&self, number: u32) -> Option<&(Rule, Place)> {
        self.by_row.get(&number).or_else(|| self.by_row.get(self.again.get(&number)?))
    }

    /// The same rules where the sheet tells rows by others, in the order of these.
    pub(super) fn with_again(mut self, told: &[Told]) -> Self {
        if self.by_row.is_empty() {
            return self;
        }
        let mut next = 0;
        for told in told {
            // Rows told twice are an error, which is said where they are written out.
            if told.first < next {
                break;
            }
            next = told.last + 1;
            for (number, source) in told.rows() {
                let source = self.again.get(&source).copied().unwrap_or(source);
                if source < number && self.by_row.contains_key(&source) {
                    self.again.insert(number, source);
                }
            }
        }
        self
    }
}

/// The rules for rows that are not drawn, their sentences read.
pub(super) fn read(
    sheet: &Sheet<'_>,
    area: &Area,
    settings: &Settings,
    tellings: &Tellings,
    stitches: &mut Stitches,
    findings: &mut Vec<Finding>,
) -> Option<Rules> {
    let mut reader = Reader { settings, stitches, findings };
    let rows = settings.return_rows.clone().unwrap_or(ReturnRows::AsTheyAppear);
    let stated = settings.places.get("return-rows").cloned();
    let place = stated.clone().unwrap_or_else(|| sheet.grid.place(area.row_span(area.bottom())));
    let all = reader.rule(rows, place);
    let mut by_row = Some(BTreeMap::new());
    for (&row, (rows, place)) in &tellings.by_row {
        match (reader.rule(rows.clone(), place.clone()), &mut by_row) {
            (Some(rule), Some(by_row)) => {
                by_row.insert(row, (rule, place.clone()));
            }
            _ => by_row = None,
        }
    }
    Some(Rules { all: all?, by_row: by_row?, stated, again: BTreeMap::new() })
}

struct Reader<'a> {
    settings: &'a Settings,
    stitches: &'a mut Stitches,
    findings: &'a mut Vec<Finding>,
}

impl Reader<'_> {
    fn rule(&mut self, rows: ReturnRows, place: Place) -> Option<Rule> {
        let Self { settings, stitches, findings } = self;
        if let Some(rule) = Rule::plain(&rows) {
            return Some(rule);
        }
        let ReturnRows::Stated(sentence) = rows else { return None };
        match words::row(&sentence, stitches) {
            Ok(items) => {
                let none =
                    if settings.hand == Some(Hand::Left) { without_mirror(&items, stitches) } else { None };
                let Some(none) = none else { return Some(Rule::Stated(items)) };
                let name = &stitches.get(none).name;
                findings.push(
                    Finding::new(
                        Code::NoMirror,
                        place,
                        format!(
                            "{name} in the stated return row has no usual mirror for a left-handed knitter."
                        ),
                    )
                    .found(name)
                    .help("Word return-rows with other stitches, or write the chart right-handed."),
                );
                None
            }
            Err(error) => {
                findings.push(unreadable(&sentence, &error, place));
                None
            }
        }
    }
}

/// What is wrong with the words of stated return rows, wherever they stand; nothing where they can be read.
pub(in crate::chart) fn misread(sentence: &str, stitches: &mut Stitches, place: Place) -> Option<Finding> {
    words::row(sentence, stitches).err().map(|error| unreadable(sentence, &error, place))
}

fn unreadable(sentence: &str, error: &RowError, place: Place) -> Finding {
    let words = sentence.get(error.at.clone()).unwrap_or_default().trim();
    let what = match error.mistake {
        words::RowMistake::UnknownWords | words::RowMistake::Uncounted | words::RowMistake::BeyondRows => {
            "names no stitch"
        }
        words::RowMistake::IntoOne => "is none of the stitches that are worked into one",
        words::RowMistake::UnknownColour => "names no known colour",
        words::RowMistake::UnclearColour => "does not say in which colour it begins again",
        words::RowMistake::Unclosed => "is a bracket or an asterisk without its partner",
        words::RowMistake::NoExtent => "is not said to be worked any number of times",
        words::RowMistake::Unplaced => "does not say which stitches are worked so",
        words::RowMistake::Whose => "may be meant for one stitch or for several",
        words::RowMistake::NeedleEnd => "does not say how many stitches lie on the needle",
        words::RowMistake::Empty => "says nothing",
    };
    Finding::new(
        Code::ReturnRowWords,
        place,
        format!("The return row \"{sentence}\" can't be read: \"{words}\" {what}."),
    )
    .found(words)
    .help("Write it as a row: \"K3, p to last 3 sts, k3\", or purl, knit, as-they-appear.")
}
