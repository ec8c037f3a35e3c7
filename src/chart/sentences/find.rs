//! Where the sentences of a sheet stand: in cells of their own, in lines that begin as settings do, in what a key took.

use std::collections::{BTreeMap, BTreeSet};

use foldhash::{HashMap, HashMapExt, HashSet};

use super::super::said::Unread;
use super::super::sheet::Sheet;
use super::says::{pieces, read_work};
use super::{Says, Sentence, phrases};
use crate::place::{Address, Place};
use crate::settings::{KeyEntry, ReturnRows};
use crate::stitch::Stitches;
use crate::words::rows::label::is_row_word;

/// Longer texts are prose.
const LONGEST: usize = 400;

/// The most cells that a sentence is looked for in.
const MOST_CELLS: usize = 40;

/// Finds the sentences of a sheet, lines among them that begin as settings do. They stay where they are.
pub(in crate::chart) fn find(
    sheet: &Sheet<'_>,
    unread: Vec<Unread>,
    stitches: &mut Stitches,
) -> Vec<Sentence> {
    // What was taken as a setting needs no reading; the rest is read once for each different text.
    let mut known: HashMap<String, Vec<(String, Says)>> = HashMap::new();
    let mut sentences = Vec::new();
    let begun: HashSet<Address> = unread.iter().flat_map(|line| line.cells.iter().copied()).collect();
    for line in unread {
        sentences.extend(begun_as_setting(sheet, line, stitches));
    }
    for (at, ()) in sheet.tested_words(|text| may_hold(text).then_some(())) {
        if begun.contains(&at) {
            continue;
        }
        let Some(text) = sheet.text(at) else { continue };
        let whole = if sheet.grid.name().is_none() { uncut_label(sheet, at, &text) } else { None };
        let (text, cells) = whole.unwrap_or_else(|| (text.to_string(), vec![at]));
        let pieces = match known.get(&text) {
            Some(known) => known.clone(),
            None => {
                let read = pieces(&text, stitches);
                known.insert(text, read.clone());
                read
            }
        };
        let place = sheet.grid.place(at);
        let one = |(text, says)| Sentence {
            at,
            cells: cells.clone(),
            text,
            place: place.clone(),
            says,
            whose: None,
        };
        let mut all: Vec<Sentence> = pieces.into_iter().map(one).collect();
        if let (None, Some(last)) = (sheet.grid.name(), all.last_mut()) {
            last.goes_on(sheet, stitches);
            let cells = last.cells.clone();
            all.iter_mut().for_each(|sentence| sentence.cells.clone_from(&cells));
        }
        // "All WS rows:" alone says nothing.
        all.retain(|sentence| sentence.says.rows.as_ref().is_none_or(|(_, work)| !work.is_empty()));
        sentences.extend(all);
    }
    sentences
}

/// The label for several rows whose numbers commas cut into cells of a csv file, "Rows 2 | 4 | 6: knit", with what stands
/// behind it, and the cells that it takes.
fn uncut_label(sheet: &Sheet<'_>, at: Address, text: &str) -> Option<(String, Vec<Address>)> {
    let (word, number) = text.trim().rsplit_once(' ')?;
    let is_number = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    if !is_number(number) || !is_row_word(word.rsplit(' ').next()?) {
        return None;
    }
    let (mut whole, mut cells) = (text.trim().to_owned(), vec![at]);
    let mut next = sheet.after(at);
    while cells.len() < MOST_CELLS {
        let text = sheet.text(next)?;
        let text = text.trim();
        whole = format!("{whole}, {text}");
        cells.push(next);
        let label = text.split_once(':').map(|(label, _)| label.trim());
        if !is_number(label.unwrap_or(text).trim_start_matches("and ")) {
            return None;
        }
        if label.is_some() {
            return Some((whole, cells));
        }
        next = sheet.after(next);
    }
    None
}

/// The sentences of a line that begins as a setting does.
fn begun_as_setting(sheet: &Sheet<'_>, line: Unread, stitches: &mut Stitches) -> Vec<Sentence> {
    let Unread { cells, text, name, why } = line;
    let Some(&at) = cells.first() else { return Vec::new() };
    let mut found = pieces(&text, stitches);
    if found.iter().all(|(_, says)| says.speaks.is_some()) {
        if phrases::refers(&why.found) {
            return Vec::new();
        }
        found = vec![(text, Says { no_setting: Some((name, why)), ..Says::default() })];
    }
    let one = |(text, says)| Sentence {
        at,
        cells: cells.clone(),
        text,
        place: sheet.grid.place(at),
        says,
        whose: None,
    };
    found.into_iter().map(one).collect()
}

impl Sentence {
    /// Adds the cells that commas cut off its work, as long as all of it is a row.
    fn goes_on(&mut self, sheet: &Sheet<'_>, stitches: &mut Stitches) {
        let Some((_, work)) = &mut self.says.rows else { return };
        if read_work(work, stitches).is_some_and(|rows| !matches!(rows, ReturnRows::Stated(_))) {
            return;
        }
        let mut joined = work.clone();
        let (mut cells, mut best) = (Vec::new(), None);
        let mut next = sheet.after(self.cells.last().copied().unwrap_or(self.at));
        while cells.len() < MOST_CELLS
            && let Some(text) = sheet.text(next)
        {
            joined = if joined.is_empty() { text.to_string() } else { format!("{joined}, {}", text.trim()) };
            cells.push(next);
            if read_work(&joined, stitches).is_some() {
                best = Some((cells.len(), joined.clone()));
            }
            next = sheet.after(next);
        }
        if let Some((count, whole)) = best {
            self.text = match work.is_empty() {
                true => format!("{} {whole}", self.text),
                false => format!("{}{}", self.text, whole.get(work.len()..).unwrap_or_default()),
            };
            *work = whole;
            self.cells.extend(cells.into_iter().take(count));
        }
    }
}

/// Whether a text may hold a sentence that is more than a note.
fn may_hold(text: &str) -> bool {
    // "WS: p" is the shortest; most texts are symbols.
    (5..=LONGEST).contains(&text.len()) && phrases::may_tell(text)
}

/// Gives back what a key took of sentences for rows: "Row 2: Purl." explains no symbol "Row 2". What stands beside a symbol,
/// "knit every row", is no sentence.
pub(in crate::chart) fn give_back(
    sentences: &mut Vec<Sentence>,
    sheet: &mut Sheet<'_>,
    block: &mut Vec<KeyEntry>,
) {
    let taken = |at: &Address| sheet.text(*at).is_none();
    if !sentences.iter().flat_map(|sentence| &sentence.cells).any(taken) {
        return;
    }
    let mut explained: BTreeMap<&Place, Vec<&str>> = BTreeMap::new();
    for entry in &*block {
        explained.entry(&entry.place).or_default().push(&entry.symbol);
    }
    let mut given: BTreeSet<Address> = BTreeSet::new();
    sentences.retain(|sentence| {
        let taken: Vec<Address> =
            sentence.cells.iter().copied().filter(|at| taken(at) && !given.contains(at)).collect();
        if taken.is_empty() {
            return true;
        }
        if sentence.says.rows.is_none() {
            // "Cast on 1" may be a stitch; shaded squares that "repeat these sts" are no stitch at all.
            return sentence.says.repeat;
        }
        let begins = |symbol: &&str| symbol.len() > 1 && sentence.text.starts_with(*symbol);
        let line = || explained.get(&sentence.place).is_some_and(|symbols| symbols.iter().any(begins));
        if taken.contains(&sentence.at) && !line() {
            return false;
        }
        given.extend(taken);
        true
    });
    let places: BTreeSet<Place> = given.iter().map(|at| sheet.grid.place(*at)).collect();
    block.retain(|entry| !places.contains(&entry.place));
    sheet.give_back(&given.into_iter().collect::<Vec<_>>());
}

/// The cells that sentences stand in, and others that speak of a repeat, sorted.
pub(in crate::chart) fn places(sheet: &Sheet<'_>, sentences: &[Sentence]) -> Vec<Address> {
    let repeats = sheet.tested_words(|text| phrases::speaks_of_repeat(text).then_some(()));
    // "Mosaic Cushion" may be a title, whatever it speaks of.
    let known = sentences.iter().filter(|sentence| sentence.says.speaks.is_none());
    let mut cells: Vec<Address> = known.flat_map(|sentence| sentence.cells.iter().copied()).collect();
    cells.extend(repeats.into_iter().map(|(at, ())| at));
    cells.sort_unstable();
    cells
}
