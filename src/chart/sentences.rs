//! What a sheet says in sentences beside its charts: settings in other words than their own ("Worked in the round."),
//! how rows are worked that no chart draws ("All WS rows: Purl."), a cast-on, a multiple, a repeat. What is taken is told;
//! what can't be followed is told too.

mod columns;
mod phrases;
mod undrawn;
mod widths;

use std::collections::{BTreeMap, BTreeSet};

use foldhash::{HashMap, HashMapExt};

use super::area::Area;
use super::said::Unread;
use super::sheet::Sheet;
use super::whose::{self, Owner, Shares};
use super::{label, said};
use crate::pattern::{Multiple, Side, Worked};
use crate::place::{Address, Place};
use crate::problem::{Code, Finding};
use crate::settings::{self, BadValue, FirstRow, KeyEntry, RepeatColumns, ReturnRows, Settings};
use crate::stitch::Stitches;
use crate::words::rows::facts::{self, Facts};
use crate::words::rows::label::{Label, Rows, is_row_word, label as rows_label};

use phrases::Speaks;
pub(super) use phrases::{is_label, is_times, names_repeat, refers};
pub(super) use undrawn::{Tellings, numbers_told, undrawn};
pub(super) use widths::Widths;

/// A sentence of a sheet that may be more than a note. A cell may hold several.
pub(super) struct Sentence {
    pub(super) at: Address,
    /// The cells that the text takes which it is part of: commas cut it in a csv file.
    cells: Vec<Address>,
    text: String,
    place: Place,
    says: Says,
    /// The chart that it is about; every chart of the sheet where all may share what one sentence says.
    whose: Option<Owner>,
}

/// What a sentence says.
#[derive(Clone, Default)]
struct Says {
    /// The rows it is for, and what is worked there.
    rows: Option<(Label, String)>,
    /// Settings, each with its value.
    settings: Vec<(&'static str, &'static str)>,
    /// The stitches to cast on, for each size; one where there are no sizes.
    cast_on: Vec<u32>,
    multiple: Option<Multiple>,
    /// The names of the sizes.
    sizes: Vec<String>,
    /// Whether it speaks of a repeat of stitches.
    repeat: bool,
    /// The columns of the repeat that it names.
    columns: Option<RepeatColumns>,
    /// Whether it says which way the piece grows.
    way: bool,
    /// What it speaks of that may change the rows, where it can't be followed.
    speaks: Option<&'static Speaks>,
    /// The setting that it begins as, and why it is none, where nothing else can be made of it.
    no_setting: Option<(&'static str, BadValue)>,
    /// Whether it, or the cell it stands in, says anything besides.
    more: bool,
}

/// Longer texts are prose.
const LONGEST: usize = 400;

/// The most cells that a sentence is looked for in.
const MOST_CELLS: usize = 40;

/// Whether a line that begins as a setting does says something that can be followed. One number is what the setting
/// takes, and so is "S = 3".
pub(super) fn is_line(text: &str, stitches: &mut Stitches) -> bool {
    let named_so = |names: &[String]| names.iter().any(|name| name.contains('='));
    let can = |says: &Says| says.speaks.is_none() && says.cast_on.len() != 1 && !named_so(&says.sizes);
    pieces(text, stitches).iter().any(|(_, says)| can(says))
}

/// Finds the sentences of a sheet, lines among them that begin as settings do. They stay where they are.
pub(super) fn find(sheet: &Sheet<'_>, unread: Vec<Unread>, stitches: &mut Stitches) -> Vec<Sentence> {
    // What was taken as a setting needs no reading; the rest is read once for each different text.
    let mut known: HashMap<String, Vec<(String, Says)>> = HashMap::new();
    let mut sentences = Vec::new();
    let begun: Vec<Address> = unread.iter().flat_map(|line| line.cells.iter().copied()).collect();
    for line in unread {
        sentences.extend(begun_as_setting(sheet, line, stitches));
    }
    for (at, ()) in sheet.tested_words(|text| may_hold(text).then_some(())) {
        if begun.contains(&at) {
            continue;
        }
        let Some(text) = sheet.text(at) else { continue };
        let pieces = match known.get(&*text) {
            Some(known) => known.clone(),
            None => {
                let read = pieces(&text, stitches);
                known.insert(text.to_string(), read.clone());
                read
            }
        };
        let place = sheet.grid.place(at);
        let one =
            |(text, says)| Sentence { at, cells: vec![at], text, place: place.clone(), says, whose: None };
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
        let mut next = sheet.after(self.at);
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

    fn finding(&self, code: Code, message: String) -> Finding {
        Finding::new(code, self.place.clone(), message).found(&self.text)
    }

    /// Says that it was taken as a setting.
    fn taken(&self, name: &str, value: &str) -> Finding {
        self.finding(Code::SettingInWords, format!("\"{}\" was taken as {name} = \"{value}\".", self.text))
            .help(format!("Nothing, if that is so; the setting {name} says otherwise."))
    }

    /// Says that it was left a note although it may be more.
    fn not_followed(&self, why: &str) -> Finding {
        self.finding(Code::SentenceNotFollowed, format!("\"{}\" was kept as a note: {why}.", self.text))
    }
}

/// Whether a text may hold a sentence that is more than a note.
fn may_hold(text: &str) -> bool {
    // "WS: p" is the shortest; most texts are symbols.
    (5..=LONGEST).contains(&text.len()) && phrases::may_tell(text)
}

/// The sentences of a text that may be more than a note, and what each says.
fn pieces(text: &str, stitches: &mut Stitches) -> Vec<(String, Says)> {
    if label::parse(text).is_some() {
        // "Row 1 (WS)" is a label of that row, or says of it what side it is.
        let said = says(text).filter(|says| !says.settings.is_empty());
        return said.map(|says| (text.to_owned(), says)).into_iter().collect();
    }
    let mut found = Vec::new();
    let mut prose = false;
    let mut rest = text.trim();
    while !rest.is_empty() {
        let (piece, said) = first_piece(rest, stitches);
        match said {
            Some(says) => found.push((piece.to_owned(), says)),
            None => prose = true,
        }
        rest = rest.get(piece.len()..).unwrap_or_default().trim_start_matches([' ', ';']);
    }
    if prose {
        found.iter_mut().for_each(|(_, says)| says.more = true);
    }
    found
}

/// The first sentence of a text, and what it says if it may be more than a note.
fn first_piece<'a>(text: &'a str, stitches: &mut Stitches) -> (&'a str, Option<Says>) {
    let rows_told = |rows: RowsTold| {
        let settings = if rows.undrawn { not_drawn(&rows.label) } else { Vec::new() };
        // "Even rows are not shown" alone says nothing of how they are worked.
        let told = (!rows.work.is_empty() || settings.is_empty()).then_some((rows.label, rows.work));
        Some(Says { rows: told, settings, ..Says::default() })
    };
    let read = |rows: &RowsTold, stitches: &mut Stitches| read_work(&rows.work, stitches).is_some();
    // A row may hold what ends a sentence: "Row 2. Purl.", "All WS rows: *k2, p2; rep from *."
    let mut ends: Vec<usize> = text.match_indices(". ").map(|(at, _)| at + 1).collect();
    ends.reverse();
    let marks = text.match_indices(';').map(|(at, _)| at);
    let ends = std::iter::once(text.len()).chain(ends).chain(marks).take(MOST_CELLS);
    for piece in ends.filter_map(|end| text.get(..end)) {
        if let Some(told) = rows(piece, stitches).filter(|told| read(told, stitches)) {
            return (piece, rows_told(told));
        }
    }
    let sentence = facts::sentences(text).next().unwrap_or(text);
    let part = sentence.split(';').next().unwrap_or(sentence);
    if let Some(told) = rows(part, stitches) {
        return (part, rows_told(told));
    }
    match says(sentence) {
        Some(said) => (sentence, Some(said)),
        None => {
            let spoken = |speaks| Says { speaks: Some(speaks), ..Says::default() };
            (part, says(part).or_else(|| phrases::speaks(part).map(spoken)))
        }
    }
}

/// What is said of the chart where it does not draw some rows: the return rows, or the second of each two rounds.
fn not_drawn(label: &Label) -> Vec<(&'static str, &'static str)> {
    let returning =
        label.every.as_ref().is_some_and(|every| matches!(every.kind, Rows::Of(Side::Ws) | Rows::Even));
    let round = (label.worked == Worked::Round).then_some(("worked", "round"));
    if returning { [("charted", "right-side")].into_iter().chain(round).collect() } else { Vec::new() }
}

/// What a sentence says of the chart as a whole.
fn says(sentence: &str) -> Option<Says> {
    let columns = columns::repeat_columns(sentence);
    let repeat = columns.is_some() || phrases::speaks_of_repeat(sentence);
    let mut says = Says { repeat, columns, ..Says::default() };
    if let Some(settings) = phrases::settings(sentence) {
        let direct = settings.iter().any(|(name, _)| *name == "first-row");
        says.way = !direct && phrases::says_way(sentence);
        says.settings = settings;
        return Some(says);
    }
    let mut told = Facts::default();
    let (any, whole) = facts::read(sentence, &mut told);
    says.sizes = told.sizes;
    if any && says.sizes.is_empty() {
        says.cast_on = told.cast_on;
        says.multiple = told.multiple;
        says.settings.extend(sentence.split([',', ';']).filter_map(phrases::settings).flatten());
        let unsaid = says.settings.is_empty() && told.worked.is_some();
        says.more = !whole || told.over.is_some() || unsaid;
    }
    let width = !says.cast_on.is_empty() || says.multiple.is_some() || !says.sizes.is_empty();
    (says.repeat || width || !says.settings.is_empty()).then_some(says)
}

/// The rows that a sentence is for.
struct RowsTold {
    label: Label,
    /// What is worked there.
    work: String,
    /// Whether it says that no chart draws them.
    undrawn: bool,
}

/// The rows that a sentence is for, and what is worked there; without a mark between them that must be readable.
fn rows(text: &str, stitches: &mut Stitches) -> Option<RowsTold> {
    let named = |label: &Label| {
        label.next == 0 && !label.set_up && (label.every.is_some() || !label.numbers.is_empty())
    };
    // "R2" may be a symbol.
    let short = |text: &str| {
        text.get(1..).is_some_and(|rest| rest.trim_start().starts_with(|c: char| c.is_ascii_digit()))
    };
    // "WS: purl across".
    let sided = text.split_once(':').filter(|(side, _)| matches!(side.trim(), "WS" | "RS" | "ws" | "rs"));
    let sided = sided.map(|(side, work)| format!("{} rows: {work}", side.trim()));
    let whole = sided.as_deref().unwrap_or(text);
    for text in [Some(whole), phrases::without_lead(whole)].into_iter().flatten() {
        let Some(label) = rows_label(text).filter(|label| named(label) && !short(text)) else { continue };
        let remark =
            |&(from, to): &(usize, usize)| text.get(from..to).and_then(phrases::behind_not_drawn).is_some();
        let rest = text.get(label.length..)?;
        let behind = phrases::behind_not_drawn(rest);
        let undrawn = behind.is_some() || label.remarks.iter().any(remark);
        let work = phrases::instruction(behind.unwrap_or(rest).trim_start_matches([' ', ',', ':']));
        let sure = label.ended && sided.is_none()
            || label.every.is_some() && (phrases::speaks_of_work(work) || behind == Some(""));
        let told = || RowsTold { label, work: work.to_owned(), undrawn };
        return (sure || read_work(work, stitches).is_some()).then(told);
    }
    behind_work(text, stitches)
}

/// "Purl all WS rows": the work stands first.
fn behind_work(text: &str, stitches: &mut Stitches) -> Option<RowsTold> {
    let text = text.trim_end().trim_end_matches('.');
    if !text.rsplit(' ').next().is_some_and(is_row_word) {
        return None;
    }
    let (at, label) = text.match_indices(' ').find_map(|(at, _)| {
        let rows = format!("{}:", text.get(at + 1..)?);
        let label = rows_label(&rows)?;
        // "Knit every row" says nothing of rows that a chart leaves out.
        let many = label.every.as_ref().is_some_and(|every| every.kind != Rows::All);
        (many && label.length == rows.len()).then_some((at, label))
    })?;
    let work = phrases::instruction(phrases::without_between(text.get(..at)?));
    read_work(work, stitches).map(|_| RowsTold { label, work: work.to_owned(), undrawn: false })
}

/// How rows are worked, if words say it.
fn read_work(work: &str, stitches: &mut Stitches) -> Option<ReturnRows> {
    said::says_return_rows(work, stitches).then(|| said::return_rows(work)).flatten()
}

/// Gives back what a key took of sentences for rows: "Row 2: Purl." explains no symbol "Row 2". What stands beside a symbol,
/// "knit every row", is no sentence.
pub(super) fn give_back(sentences: &mut Vec<Sentence>, sheet: &mut Sheet<'_>, block: &mut Vec<KeyEntry>) {
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
pub(super) fn places(sheet: &Sheet<'_>, sentences: &[Sentence]) -> Vec<Address> {
    let repeats = sheet.tested_words(|text| phrases::speaks_of_repeat(text).then_some(()));
    // "Mosaic Cushion" may be a title, whatever it speaks of.
    let known = sentences.iter().filter(|sentence| sentence.says.speaks.is_none());
    let mut cells: Vec<Address> = known.flat_map(|sentence| sentence.cells.iter().copied()).collect();
    cells.extend(repeats.into_iter().map(|(at, ())| at));
    cells.sort_unstable();
    cells
}

/// Finds out which chart each sentence is about: the one it stands nearest to. What all charts may share is about all of them
/// where only one sentence says it. What stands inside a chart is no sentence.
pub(super) fn share_out(sentences: &mut Vec<Sentence>, areas: &[Area], shares: &Shares) {
    let labels = || areas.iter().flat_map(|area| &area.rows).flat_map(|row| [row.left, row.right]).flatten();
    sentences.retain(|sentence| {
        !areas.iter().any(|area| area.span().contains(sentence.at))
            && !labels().any(|label| label.at == sentence.at)
    });
    let mut said: BTreeMap<&str, usize> = BTreeMap::new();
    for name in sentences.iter().flat_map(|sentence| sentence.says.shared()) {
        *said.entry(name).or_default() += 1;
    }
    let mut kinds: BTreeMap<&str, Vec<(usize, Owner)>> = BTreeMap::new();
    for (index, sentence) in sentences.iter_mut().enumerate() {
        let mut shared = sentence.says.shared().peekable();
        let alone = shared.peek().is_some() && shared.all(|name| said.get(name) == Some(&1));
        sentence.whose = shares.of(sentence.at).filter(|_| !alone);
        if let (Some(kind), Some(owner)) = (sentence.says.kind(), sentence.whose) {
            kinds.entry(kind).or_default().push((index, owner));
        }
    }
    for again in kinds.into_values() {
        let (indices, mut owners): (Vec<usize>, Vec<Owner>) = again.into_iter().unzip();
        whose::settle(&mut owners);
        for (index, owner) in indices.into_iter().zip(owners) {
            sentences.get_mut(index).into_iter().for_each(|one| one.whose = Some(owner));
        }
    }
}

impl Says {
    /// What it says that all charts of a sheet may share.
    fn shared(&self) -> impl Iterator<Item = &'static str> {
        let rows = self.rows.as_ref().filter(|(label, _)| label.every.is_some()).map(|_| "return-rows");
        self.settings.iter().map(|(name, _)| *name).chain(rows)
    }

    /// What it says that a chart is told once.
    fn kind(&self) -> Option<&'static str> {
        let one = |says: bool, name| says.then_some(name);
        self.shared()
            .next()
            .or(one(self.columns.is_some(), "repeat-columns"))
            .or(one(!self.cast_on.is_empty(), "cast-on"))
            .or(one(self.multiple.is_some(), "multiple"))
            .or(one(self.repeat, "repeat"))
    }
}

/// The sentences that serve a chart of a sheet. Those that might be about another one are told.
pub(super) fn for_chart<'a>(
    sentences: &'a [Sentence],
    (sheet, areas, index): (&Sheet<'_>, &[Area], usize),
    findings: &mut Vec<Finding>,
) -> Vec<&'a Sentence> {
    let own = |sentence: &&Sentence| sentence.whose.is_none_or(|owner| owner.chart == index);
    let own: Vec<&Sentence> = sentences.iter().filter(own).collect();
    for cell in own.chunk_by(|one, other| one.at == other.at) {
        let Some(sentence) = cell.iter().find(|sentence| sentence.whose.is_some()) else { continue };
        let owner = sentence.whose;
        findings
            .extend(owner.and_then(|owner| whose::told(sheet, areas, sentence.at, &sentence.text, owner)));
    }
    own
}

/// Fills the settings that nothing else says, and tells which; gives the sentences that were taken whole, by their places
/// among them. Row numbers may say themselves where Row 1 stands.
pub(super) fn fill(
    sentences: &[&Sentence],
    first_row: Option<FirstRow>,
    settings: &mut Settings,
    findings: &mut Vec<Finding>,
) -> BTreeSet<usize> {
    let mut taken = BTreeSet::new();
    // Few sheets say a setting in other words than its own.
    if sentences.iter().all(|sentence| sentence.says.settings.is_empty()) {
        return taken;
    }
    let given = settings.clone();
    for (index, sentence) in sentences.iter().enumerate() {
        let Says { settings: told, rows, cast_on, multiple, repeat, more, .. } = &sentence.says;
        let whole = rows.is_none() && cast_on.is_empty() && multiple.is_none() && !repeat && !more;
        if sentence.fill((&given, first_row), settings, findings) && whole && !told.is_empty() {
            taken.insert(index);
        }
    }
    taken
}

impl Sentence {
    /// Whether the settings it says were all taken.
    fn fill(
        &self,
        (given, first_row): (&Settings, Option<FirstRow>),
        settings: &mut Settings,
        findings: &mut Vec<Finding>,
    ) -> bool {
        let mut all = true;
        if self.says.way && first_row.is_none() && settings.first_row.is_none() {
            all = false;
            let why = "which way the piece grows need not be the way the chart is read";
            findings.push(self.not_followed(why).help("Number the rows, or say \"Row 1 is at the top\"."));
        }
        for (name, value) in &self.says.settings {
            let mut alone = Settings::default();
            if !matches!(settings::in_sheet(&mut alone, name, value), Some(Ok(()))) {
                continue;
            }
            if first_row.is_some_and(|runs| alone.first_row.is_some_and(|told| told != runs)) {
                all = false;
                let why = "the row numbers run the other way";
                findings
                    .push(self.not_followed(why).help("Take out the sentence, or correct the row numbers."));
                continue;
            }
            let agrees = alone.over(settings) == *settings;
            let filled = settings.over(&alone);
            if filled != *settings {
                *settings = filled;
                settings.places.insert(name, self.place.clone());
                findings.push(self.taken(name, value));
            } else if agrees {
                // Said twice in sentences, it is no more of a note the second time.
                all &= given.over(&alone) != *given;
            } else {
                all = false;
                let why = format!("it contradicts what else is said of {name}, which was followed");
                let help = format!("Take out the sentence, or set {name} = \"{value}\".");
                findings.push(self.not_followed(&why).help(help));
            }
        }
        all
    }
}

/// Says which sentences were not followed although they speak of what may change the rows of a chart. `stands` tells of a cell
/// that is prose still beside which row it stands, if beside any.
pub(super) fn spoken(
    sentences: &[&Sentence],
    settings: &Settings,
    first_row: Option<FirstRow>,
    stands: impl Fn(Address) -> Option<Option<u32>>,
) -> Vec<Finding> {
    let open = |sentence: &&Sentence| {
        let stated = |name: &str| match name {
            "first-row" => first_row.is_some() || settings.first_row.is_some(),
            name => settings::is_stated(settings, name),
        };
        sentence.says.speaks.and_then(|speaks| speaks.setting).is_none_or(|name| !stated(name))
    };
    let told = |sentence: &&Sentence| {
        if let Some((name, why)) = &sentence.says.no_setting {
            let finding = sentence.not_followed(&format!("the setting {name} can't be \"{}\"", why.found));
            return Some(finding.help(format!(
                "Nothing, if it is about something else. The setting can be {}.",
                why.expected
            )));
        }
        let speaks = sentence.says.speaks?;
        let message = format!(
            "\"{}\" speaks of {}, in words that can't be followed: it goes into the text as it is and changes no row.",
            sentence.text, speaks.of
        );
        let finding = sentence.finding(Code::SentenceNotFollowed, message);
        Some(finding.help(match &speaks.setting {
            Some(setting) => format!("Nothing, if the rows are right so. Otherwise set {setting}, or say it in other words."),
            None => "Nothing, if the rows are right so. Otherwise draw the chart so that it shows what is meant.".to_owned(),
        }))
    };
    let placed = |sentence: &Sentence| Some(Finding { row: stands(sentence.at)?, ..told(&sentence)? });
    sentences.iter().copied().filter(open).filter_map(placed).collect()
}

/// The cells of which all that they say was taken.
pub(super) fn cells(sentences: &[&Sentence], taken: &BTreeSet<usize>) -> BTreeSet<Address> {
    if taken.is_empty() {
        return BTreeSet::new();
    }
    let left: BTreeSet<Address> = sentences
        .iter()
        .enumerate()
        .filter(|(index, _)| !taken.contains(index))
        .map(|(_, sentence)| sentence.at)
        .collect();
    let whole = sentences.iter().filter(|sentence| !left.contains(&sentence.at));
    whole.flat_map(|sentence| sentence.cells.iter().copied()).collect()
}
