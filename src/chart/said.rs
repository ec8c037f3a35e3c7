//! Settings that stand in the sheet itself: "Cast on: 23" in one cell, or "Cast on" and 23 in two.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use super::area::Area;
use super::keyblock;
use super::sentences;
use super::sheet::Sheet;
use super::whose::{self, Owner, Titles};
use crate::place::{Address, Place};
use crate::problem::{Code, Finding};
use crate::settings::{self, BadValue, ReturnRows, Settings};
use crate::stitch::Stitches;
use crate::words;
use crate::words::fabric::{self, Fabric};

/// A setting found in a sheet.
pub(super) struct Said {
    /// Where it stands.
    pub(super) at: Address,
    /// The chart that it serves; every chart of the sheet where it is said once.
    whose: Option<Owner>,
    /// Which setting it is.
    entry: &'static settings::Entry,
    value: String,
    place: Place,
}

/// A line that begins as a setting does, but does not say what it can be: "Cast on: 18 (25, 32) sts", "Charted: by Isla Quern".
pub(super) struct Unread {
    /// Its cells, one or two.
    pub(super) cells: Vec<Address>,
    /// Name and value.
    pub(super) text: String,
    /// The setting of that name.
    pub(super) name: &'static str,
    pub(super) why: BadValue,
}

/// Takes the settings of a sheet; values that look mistyped are findings. Lines that are none stay where they are.
pub(super) fn take(
    sheet: &mut Sheet<'_>,
    stitches: &mut Stitches,
    findings: &mut Vec<Finding>,
) -> (Vec<Said>, Vec<Unread>) {
    let (mut said, mut unread) = (Vec::new(), Vec::new());
    let entry = |text: &str| settings::in_cell(text).map(|(entry, value)| (entry, value.map(str::to_owned)));
    for (at, (entry, value)) in sheet.tested_words(entry) {
        let Some(name) = sheet.text(at).map(|text| text.str().to_owned()) else { continue };
        let (value, last) = match value {
            Some(value) => (value, at),
            None => {
                let beside = sheet.after(at);
                let Some(value) = sheet.text(beside).map(|text| text.str().to_owned()) else { continue };
                // "Symbols" also heads a key, whose first entry may stand beside it.
                if keyblock::is_heading(&name)
                    && sheet.text(sheet.after(beside)).is_some()
                    && entry.set(&mut Settings::default(), &[&value]).is_err()
                {
                    continue;
                }
                (value, beside)
            }
        };
        let (whole, more) = uncut(sheet, last, entry, value.clone(), stitches);
        let whole = match entry.name {
            RETURN_ROWS if by_faces(&whole) => AS_THEY_APPEAR.to_owned(),
            _ => whole,
        };
        match entry.set(&mut Settings::default(), &[&whole]) {
            Ok(()) => {
                said.push(Said { at, whose: None, entry, value: whole, place: sheet.grid.place(at) });
            }
            Err(why) => {
                let text = if last == at {
                    name.clone()
                } else {
                    format!("{}: {value}", name.trim_end_matches([':', ' ']))
                };
                let heads_key = last != at && keyblock::is_heading(&name);
                let prose = entry.everyday && !heads_key && !why.is_slip();
                if prose || sentences::is_line(&text, stitches) {
                    let cells = if last == at { vec![at] } else { vec![at, last] };
                    unread.push(Unread { cells, text, name: entry.name, why });
                    continue;
                }
                // "Symbols" and "see key" in two cells are no key themselves.
                if !(heads_key && sentences::refers(&why.found)) {
                    findings.push(why.finding(entry.name, sheet.grid.place(at)));
                }
            }
        }
        for cell in [at, last].into_iter().chain(more) {
            sheet.take(cell);
        }
    }
    (said, unread)
}

/// The whole of a value that commas cut into cells of a csv file: "Sizes: S = 3, M = 4" goes on as long as sizes do,
/// "Return rows: K3, p to last 3 sts, k3" as long as all of it is a row. It is given with the cells behind its `last` one in
/// which it goes on.
fn uncut(
    sheet: &Sheet<'_>,
    last: Address,
    entry: &settings::Entry,
    value: String,
    stitches: &mut Stitches,
) -> (String, Vec<Address>) {
    let row_in_words = entry.name == RETURN_ROWS
        && sheet.grid.name().is_none()
        && return_rows(&value).is_none_or(|rows| matches!(rows, ReturnRows::Stated(_)));
    if !entry.many && !row_in_words {
        return (value, Vec::new());
    }
    let mut parts = Vec::new();
    let mut next = sheet.after(last);
    while parts.len() < MOST_PARTS
        && let Some(text) = sheet.text(next).filter(|text| row_in_words || text.contains('='))
    {
        parts.push((next, text.trim().to_owned()));
        next = sheet.after(next);
    }
    let joined = |count: usize| {
        let more = parts.iter().take(count).map(|(_, text)| text.as_str());
        std::iter::once(value.as_str()).chain(more).collect::<Vec<_>>().join(", ")
    };
    let goes_on = if row_in_words {
        // The longest that says return rows: what else stands beside them is no part of them. A slip in a row that
        // works to an end only behind a comma is told of the whole row.
        let ends = |count: usize| joined(count).split_whitespace().any(|word| word == "to");
        let reads = (1..=parts.len()).rev().find(|&count| says_return_rows(&joined(count), stitches));
        reads.unwrap_or_else(|| {
            if ends(0) { 0 } else { (1..=parts.len()).rev().find(|&n| ends(n)).unwrap_or(0) }
        })
    } else {
        parts.len()
    };
    let whole = joined(goes_on);
    (whole, parts.into_iter().take(goes_on).map(|(at, _)| at).collect())
}

/// The most cells that a value is looked for in.
const MOST_PARTS: usize = 100;

/// The setting that gives a chart its title.
const TITLE: &str = "title";

/// The setting whose value may be a row in words.
const RETURN_ROWS: &str = "return-rows";

/// Its value where each stitch is worked as it shows itself.
const AS_THEY_APPEAR: &str = "as-they-appear";

/// Whether a text is a value of return-rows and, where it is a row in words, one that can be read.
pub(super) fn says_return_rows(text: &str, stitches: &mut Stitches) -> bool {
    match return_rows(text) {
        Some(ReturnRows::Stated(row)) => words::row(&row, stitches).is_ok(),
        rows => rows.is_some(),
    }
}

pub(super) fn return_rows(text: &str) -> Option<ReturnRows> {
    if by_faces(text) {
        return Some(ReturnRows::AsTheyAppear);
    }
    let mut read = Settings::default();
    settings::in_sheet(&mut read, RETURN_ROWS, text)?.ok()?;
    read.return_rows
}

/// Whether words say that each stitch is worked as it shows itself: "work sts as they appear".
fn by_faces(row: &str) -> bool {
    let lower = row.to_lowercase();
    let words: Vec<&str> =
        lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    !row.contains(['*', '[', '(']) && fabric::by_faces(&words) == Some(Fabric::Faces)
}

/// The cells that settings stand in, and those of titles among them, each sorted.
pub(super) fn places(said: &[Said]) -> (Vec<Address>, Vec<Address>) {
    let mut cells: Vec<Address> = said.iter().map(|said| said.at).collect();
    let titles = said.iter().filter(|said| said.entry.name == TITLE);
    let mut titles: Vec<Address> = titles.map(|said| said.at).collect();
    cells.sort_unstable();
    titles.sort_unstable();
    (cells, titles)
}

/// Finds out which chart each setting serves that is said several times, or once under the title of one.
pub(super) fn share_out(said: &mut [Said], titles: &Titles<'_>) {
    let mut names: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, one) in said.iter().enumerate() {
        names.entry(one.entry.name).or_default().push(index);
    }
    for again in names.into_values() {
        if let [once] = again[..] {
            if let Some(one) = said.get_mut(once) {
                let is_title = one.entry.name == TITLE;
                one.whose = if is_title { titles.of_title(one.at) } else { titles.above(one.at) };
            }
            continue;
        }
        let owners = again.iter().map(|index| said.get(*index).and_then(|one| titles.shares.of(one.at)));
        let Some(mut owners) = owners.collect::<Option<Vec<Owner>>>() else { continue };
        whose::settle(&mut owners);
        for (index, owner) in again.into_iter().zip(owners) {
            said.get_mut(index).into_iter().for_each(|one| one.whose = Some(owner));
        }
    }
}

/// The settings that serve a chart of the sheet. One that is said once serves every chart, unless it stands under the title of
/// one; said several times, each serves the chart it stands nearest to. Those that a chart has twice are findings, and the first counts.
pub(super) fn for_chart(
    said: &[Said],
    (sheet, areas, index): (&Sheet<'_>, &[Area], usize),
    findings: &mut Vec<Finding>,
) -> Settings {
    let mut settings = Settings::default();
    let mut taken: BTreeMap<&str, &Said> = BTreeMap::new();
    for one in said.iter().filter(|one| one.whose.is_none_or(|owner| owner.chart == index)) {
        if let Some(owner) = one.whose {
            let text = format!("{}: {}", one.entry.name, one.value);
            findings.extend(whose::told(sheet, areas, one.at, &text, owner));
        }
        match taken.entry(one.entry.name) {
            Entry::Occupied(first) => findings.extend(one.disagrees(first.get())),
            Entry::Vacant(place) => {
                place.insert(one);
                // The value was proved when it was taken.
                let _ = one.entry.set(&mut settings, &[&one.value]);
                settings.places.insert(one.entry.name, one.place.clone());
            }
        }
    }
    settings
}

impl Said {
    /// Says that a chart has another value of the same setting.
    fn disagrees(&self, first: &Said) -> Option<Finding> {
        let value = |said: &Said| {
            let mut alone = Settings::default();
            said.entry.set(&mut alone, &[&said.value]).map(|()| alone)
        };
        let name = self.entry.name;
        (value(self).ok() != value(first).ok()).then(|| {
            let message = format!(
                "The sheet says {name} twice for this chart: \"{}\" and \"{}\".",
                first.value, self.value
            );
            Finding::new(Code::SettingsDisagree, self.place.clone(), message)
                .found(&self.value)
                .expected(&first.value)
                .help(format!(
                    "Keep one of the two (the other is at {}). If they are for two charts, move each right beside its own.",
                    first.place
                ))
        })
    }
}
