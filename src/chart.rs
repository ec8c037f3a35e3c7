//! From grid to pattern: finding the charts of a workbook and understanding them.
//!
//! A sheet is understood piece by piece: first the settings it states (`said.rs`), then its keys (`keyblock.rs`),
//! then the charts and their row numbers (`area.rs`). Each chart is then put in order (`order.rs`), its cells joined
//! into stitches (`cells.rs`) that chain (`chain.rs`), written out to its width (`repeat.rs`, `wider.rs`), turned into
//! what the hands do (`charted.rs`), and joined by the rows it does not draw (`returns.rs`). What is left of the sheet
//! is title and notes (`heading.rs`), or said to be left aside (`aside.rs`).

mod area;
mod aside;
mod cells;
mod chain;
mod charted;
mod drawn;
mod edges;
mod embraced;
mod extent;
mod heading;
mod key;
mod keyblock;
mod label;
mod notes;
mod order;
mod reading;
mod repeat;
mod returns;
mod rows;
mod ruling;
mod said;
mod sentences;
mod sheet;
mod turned;
mod whose;
mod wider;

use std::cell::OnceCell;
use std::collections::BTreeSet;
use std::sync::Arc;

use foldhash::HashSet;

use crate::grid::{Colour, Look, Workbook};
use crate::pattern::{Pattern, Worked};
use crate::place::{Address, Place, column_letters};
use crate::problem::{Code, Finding, any_error};
use crate::settings::{Charted, KeyEntry, ReturnRows, Settings};
use crate::stitch::Stitches;

pub use reading::{ReadRow, Reading, Symbol};

use area::{Area, End};
use drawn::Bracket;
use heading::{Beside, Prose};
use key::{Key, Used};
use rows::Ordered;
use said::Said;
use sentences::{Sentence, Tellings, Widths};
use sheet::{Sheet, Text};
use whose::{Lines, Titles};

/// A chart as understood.
#[derive(Clone, Debug)]
pub struct Chart {
    /// Its letter, where the file has several: A, B, ... Z, AA in reading order.
    pub letter: Option<Arc<str>>,
    /// The pattern; none where the chart has an error.
    pub pattern: Option<Pattern>,
    /// The other sizes of a text, each on its own stitches, as far as their rows can all be worked; those of a chart are
    /// known by its repeat.
    pub sizes: Vec<(Arc<str>, Pattern)>,
    /// The settings it was understood by.
    pub settings: Settings,
    /// How it was understood; none where that was not asked for, or it was not read from a sheet.
    pub reading: Option<Reading>,
    /// What was found about it.
    pub findings: Vec<Finding>,
}

/// Understands every chart of a workbook. `below` are the settings files', `above` those of the call: what a sheet
/// says stands between the two. Findings that belong to no chart are given apart.
pub fn read(workbook: &Workbook, below: &Settings, above: &Settings) -> (Vec<Chart>, Vec<Finding>) {
    understood(workbook, below, above, false)
}

/// The same, each chart with how it was understood.
pub fn explained(workbook: &Workbook, below: &Settings, above: &Settings) -> (Vec<Chart>, Vec<Finding>) {
    understood(workbook, below, above, true)
}

/// What is wrong with the return rows that settings state, which only the language of knitting can tell; nothing where they
/// can be read with these stitches. `place` is where they stand.
pub fn misread(settings: &Settings, stitches: &mut Stitches, place: Place) -> Option<Finding> {
    match settings.return_rows.as_ref()? {
        ReturnRows::Stated(sentence) => rows::misread(sentence, stitches, place),
        ReturnRows::AsTheyAppear | ReturnRows::Purl | ReturnRows::Knit => None,
    }
}

fn understood(
    workbook: &Workbook,
    below: &Settings,
    above: &Settings,
    explain: bool,
) -> (Vec<Chart>, Vec<Finding>) {
    let below = &*below.left_by(above);
    let around = above.over(below);
    let mut key_sheet: Vec<KeyEntry> = Vec::new();
    let (mut sheets, mut hidden) = (Vec::new(), Vec::new());
    let (mut charts, mut findings) = (Vec::new(), Vec::new());
    let mut stitches = Stitches::with_own(&around.stitches);
    for grid in &workbook.sheets {
        let mut sheet = Sheet::new(grid);
        if keyblock::is_key_sheet(&sheet, &mut stitches) {
            let found = keyblock::take_sheet(&mut sheet, &mut stitches);
            key_sheet.extend(found.entries);
            findings.extend(found.findings);
            findings.extend(keyblock::left_unread(&sheet));
        } else if grid.hidden {
            hidden.push(sheet);
        } else {
            sheets.push(sheet);
        }
    }
    let several_sheets = sheets.len() > 1;
    let call = Call { below, above, around, key_sheet, several_sheets, explain };
    for sheet in sheets {
        Taken::apart(sheet, &call).charts(&call, &mut charts, &mut findings);
    }
    findings.extend(hidden.into_iter().filter_map(|sheet| hidden_sheet(sheet, &call)));
    if charts.len() > 1 {
        give_letters(&mut charts);
    }
    if charts.is_empty() {
        let filled = |look: &Look| look.fill.is_some_and(|fill| fill != Colour::WHITE);
        let drawn = workbook.sheets.iter().any(|grid| grid.looks.each().any(filled));
        let help =
            "A chart is a block of symbols, one cell a stitch, best with row numbers beside it and a key.";
        let colours = " One drawn in fills alone needs a key to them: squares with the names of their colours, under the heading \"Colours\".";
        findings.push(
            Finding::new(
                Code::NoChart,
                Place::file(&workbook.file),
                "No chart was found in this file.".to_owned(),
            )
            .help(if drawn { format!("{help}{colours}") } else { help.to_owned() }),
        );
    }
    (charts, findings)
}

/// Says that a hidden sheet holds what looks like a chart, and was left out.
fn hidden_sheet(sheet: Sheet<'_>, call: &Call<'_>) -> Option<Finding> {
    let taken = Taken::apart(sheet, call);
    let area = taken.areas.first()?;
    let charts = if taken.areas.len() == 1 { "a chart" } else { "charts" };
    let message = format!("The sheet is hidden. It holds what looks like {charts}, and was left out.");
    Some(
        Finding::new(Code::HiddenLeftOut, taken.sheet.grid.place(area.span()), message)
            .help("Nothing, if it is an old one. Show the sheet again if its chart is meant."),
    )
}

/// What holds for all sheets of a workbook.
struct Call<'a> {
    below: &'a Settings,
    above: &'a Settings,
    /// Both, where a sheet says nothing.
    around: Settings,
    /// The entries of sheets that hold a key and nothing else.
    key_sheet: Vec<KeyEntry>,
    several_sheets: bool,
    /// Whether it is to be told how a chart was understood.
    explain: bool,
}

/// A sheet with its settings, its key and its charts taken apart.
struct Taken<'a> {
    sheet: Sheet<'a>,
    stitches: Stitches,
    said: Vec<Said>,
    /// What it says in sentences besides.
    sentences: Vec<Sentence>,
    /// Where both stand.
    lines: Lines,
    wrong_settings: Vec<Finding>,
    /// The key as far as it can be read, by which places and shapes are found.
    finder: Key,
    /// What is wrong with the key, which serves all charts of the sheet, or had to be left aside of it.
    wrong_key: Vec<Finding>,
    /// The entries of the key that the charts use so far.
    used: BTreeSet<Used>,
    /// Fills that are almost those of the key: where, which, and the key's own.
    nearly: Vec<(Address, Colour, Colour)>,
    /// Cells that hold several row numbers each.
    several: Vec<(Address, String)>,
    areas: Vec<Area>,
    /// The ends at which they have numbers that are no symbols: found once for all of them.
    numbered: OnceCell<Vec<End>>,
    /// Its cells whose text is struck out, in reading order.
    struck: Vec<Address>,
    /// Whether words may call the columns of a chart rows.
    may_be_turned: bool,
    prose: Prose,
    brackets: Vec<Bracket>,
}

impl<'a> Taken<'a> {
    fn apart(mut sheet: Sheet<'a>, call: &Call<'_>) -> Self {
        let mut stitches = Stitches::with_own(&call.around.stitches);
        let mut wrong_settings = Vec::new();
        let (mut said, unread) = said::take(&mut sheet, &mut stitches, &mut wrong_settings);
        let mut sentences = sentences::find(&sheet, unread, &mut stitches);
        let keyblock::Found { entries: mut block, findings: mut wrong_key, .. } =
            keyblock::take(&mut sheet, &mut stitches);
        sentences::give_back(&mut sentences, &mut sheet, &mut block);
        let mut workbook = [block, call.key_sheet.clone()];
        workbook.iter_mut().for_each(|entries| keyblock::settle(&sheet, entries));
        let mut finder = Key::new(workbook, &call.below.key, &mut stitches, &mut wrong_key);
        let nearly = sheet.see_fills(&finder);
        let several = area::several::take(&mut sheet, &mut finder, &mut stitches);
        let (settings, titles) = said::places(&said);
        let lines = Lines { settings, titles, sentences: sentences::places(&sheet, &sentences) };
        let (areas, shares) = area::find(&mut sheet, &lines, &mut finder, &mut stitches);
        let titles = Titles { sheet: &sheet, areas: &areas, shares: &shares, lines: &lines };
        said::share_out(&mut said, &titles);
        sentences::share_out(&mut sentences, &titles);
        let brackets = Bracket::find(&sheet, &shares);
        let prose = Prose::find(&sheet, &areas, &shares);
        let may_be_turned = turned::may_be_told(&sheet);
        let struck = notes::struck_out(sheet.grid);
        Self {
            sheet,
            stitches,
            said,
            sentences,
            lines,
            wrong_settings,
            finder,
            wrong_key,
            used: BTreeSet::new(),
            nearly,
            several,
            areas,
            numbered: OnceCell::new(),
            struck,
            may_be_turned,
            prose,
            brackets,
        }
    }

    /// Understands its charts. Findings that belong to no chart are given apart.
    fn charts(mut self, call: &Call<'_>, charts: &mut Vec<Chart>, findings: &mut Vec<Finding>) {
        if self.areas.is_empty() {
            findings.append(&mut self.wrong_settings);
            // What is not seen may be the chart.
            findings.extend(notes::conditional(self.sheet.grid, |_| true));
        }
        findings.extend(notes::hidden_elsewhere(&self.sheet, &self.areas));
        charts.extend((0..self.areas.len()).map(|index| self.chart(index, call)));
        findings.extend(self.struck_around());
    }

    /// Says which cells around its charts are struck out.
    fn struck_around(&self) -> Option<Finding> {
        let within = self.areas.iter().flat_map(|area| notes::struck_within(&self.struck, area.span()));
        let within: HashSet<Address> = within.collect();
        let around: Vec<Address> = self.struck.iter().copied().filter(|at| !within.contains(at)).collect();
        notes::struck(self.sheet.grid, &around).filter(|_| !self.areas.is_empty())
    }

    fn chart(&mut self, index: usize, call: &Call<'_>) -> Chart {
        // A setting that can't be read might have changed any of the sheet's charts, and so might an entry of the key.
        let mut found = self.wrong_settings.clone();
        found.extend(notes::right_to_left(self.sheet.grid));
        let which = (&self.sheet, &self.areas[..], index);
        let stated = said::for_chart(&self.said, which, &mut found);
        let said = sentences::for_chart(&self.sentences, which, &mut found);
        let agreed = !any_error(&found) && !any_error(&self.wrong_key);
        let mut settings = match self.said.is_empty() {
            true => call.around.clone(),
            false => call.above.over(&stated.left_by(call.above)).over(call.below),
        };
        let first_row = self.areas[index].first_row();
        let mut taken = sentences::fill(&said, first_row, &mut settings, &mut found);
        self.rounds_by_numbers(index, &mut settings, &mut found);
        if settings.charted == Some(Charted::EveryRow) {
            self.areas[index].take_blank_rows();
        }
        found.extend(self.wrong_key.iter().cloned());
        let Self { sheet, stitches, lines, finder, areas, numbered, prose, .. } = self;
        let area = &areas[index];
        found.extend(area::parted::told(sheet, area));
        found.extend(area::widths::told(sheet, area));
        let from = found.len();

        // The order of the rows comes before the sentences about rows, which name them by number and may change settings.
        let several = area::several::told(sheet, area, &self.several);
        let turned = self.may_be_turned.then(|| turned::told(sheet, area, finder, stitches)).flatten();
        let stands = turned.is_none();
        let known = (&*numbered, settings.cast_on);
        let numbers = area::digits::told(sheet, (areas, index), known, finder, stitches)
            .or_else(|| area::widths::unclear(sheet, area))
            .or_else(|| area::ragged::torn(sheet, areas, index));
        let about_rows: Vec<Finding> = several.into_iter().chain(numbers).chain(turned).collect();
        let readable = !any_error(&about_rows);
        found.extend(about_rows);
        let mut told = sentences::numbers_told(&said, stitches);
        let texts = prose.of(index).filter_map(|at| sheet.text(at)).map(Text::str);
        told.extend(rows::numbers_told(area, texts));
        let mut order =
            readable.then(|| order::order(sheet.grid, area, &settings, &told, &mut found)).flatten();
        let tellings = match order.as_ref().filter(|_| !said.is_empty()) {
            Some(order) => sentences::undrawn(&said, order, &mut settings, stitches, &mut found),
            None => Tellings::default(),
        };

        // What sentences were taken for is no prose.
        taken.extend(&tellings.taken);
        let taken = sentences::cells(&said, &taken);
        let mut symbol = |text: Text<'_>| finder.knows(text, stitches);
        let prose = prose.of(index).filter(|at| !taken.contains(at));
        let beside = Beside::new(area, order.as_ref());
        let (mut heading, mut aside) = heading::heading(
            sheet,
            (area, prose),
            &lines.sentences,
            &beside,
            (&settings, call.several_sheets),
            &mut symbol,
        );
        let mut told = Vec::new();
        if let Some(order) = &order {
            told = rows::take_told(sheet.grid, order, &mut heading.notes, &mut found);
            let worked = (settings.worked.unwrap_or_default(), &tellings);
            rows::take_beside(sheet.grid, order, worked, &mut heading.notes, &mut told);
        }
        let told_at: BTreeSet<Address> = told.iter().map(|told| told.at).collect();
        let spoken_at = |at: Address| {
            let prose = sheet.text(at).filter(|_| !told_at.contains(&at));
            prose.map(|_| beside.rows(sheet, at).first().copied())
        };
        found.extend(sentences::spoken(&said, &settings, first_row, spoken_at));
        let often = heading::times_told(sheet, &heading.notes, &found);
        found.extend(often);
        if let Some(order) = &mut order {
            rows::move_on(order, &mut told, &mut heading.notes);
        }
        let counted = heading::rows_counted(&heading.notes);
        let mut labels = std::mem::take(&mut heading.labels);
        let edges = edges::said(&heading.notes);

        // The cells are read also where the pattern is not given, so that all that is wrong with them is said at once.
        let mut key = finder.anew();
        let own = || self.brackets.iter().filter(|bracket| bracket.of(index).is_some());
        found.extend(own().filter_map(|bracket| bracket.told(sheet, areas, &said)));
        let brackets = own().filter_map(|bracket| bracket.of(index)).collect();
        let widths = Widths::of(&said, brackets);
        let ordered =
            Ordered { area, order: order.as_ref(), from, tellings: &tellings, widths: &widths, told: &told };
        let pattern = match stands {
            true => rows::pattern(sheet, ordered, &settings, heading, &mut key, stitches, &mut found),
            false => None,
        };
        found.extend(pattern.iter().flat_map(|pattern| edges::untrue(sheet, &edges, pattern)));
        if let Some(rows) = pattern.as_ref().map(|pattern| &pattern.rows) {
            let drawn = rows.iter().filter(|row| row.charted).count();
            found.extend(heading::miscounted(sheet, &counted, (drawn, rows.len())));
        }
        let row_aside = aside::row(sheet, area, &aside)
            .or_else(|| aside::rows(sheet, area, &aside, &mut |text| finder.knows(text, stitches)));
        let pattern = pattern.filter(|_| agreed && row_aside.is_none());

        // What is said besides changes nothing.
        aside.append(&mut labels);
        aside.sort_unstable();
        found.extend(row_aside.or_else(|| aside::cells(sheet, area, &aside)));
        found.extend(notes::hidden_column_counted(sheet, area));
        found.extend(notes::hidden(sheet, area).filter(|_| pattern.is_some()));
        let nearly = self.nearly.iter().filter(|(at, ..)| area.span().contains(*at));
        found.extend(nearly.map(|nearly| notes::shade_matched(sheet, nearly)));
        notes::key_notes(&mut key, sheet, area, stitches, &mut found);
        notes::hanging(sheet.grid, area, &mut found);
        let struck: Vec<Address> = notes::struck_within(&self.struck, area.span()).collect();
        found.extend(notes::struck(sheet.grid, &struck));
        let reading = call.explain.then(|| reading::gather(sheet, area, order.as_ref(), &mut key, stitches));
        self.used.extend(key.used());
        if index + 1 == areas.len() {
            found.extend(finder.unclear_unused(&self.used));
        }
        Chart { letter: None, pattern, sizes: Vec::new(), settings, reading, findings: found }
    }

    /// A chart whose numbers all say "Rnd" is worked in the round, where nothing says otherwise; that something does is told.
    fn rounds_by_numbers(&self, index: usize, settings: &mut Settings, found: &mut Vec<Finding>) {
        let area = &self.areas[index];
        let rounds = |row: &area::AreaRow| row.label().is_some_and(|placed| placed.label.round);
        if !area.rows.iter().all(rounds) || settings.worked == Some(Worked::Round) {
            return;
        }
        let (message, help) = match settings.worked {
            Some(_) => (
                "The numbers say \"Rnd\", but the chart is said to be worked flat, and was taken as that.",
                "Nothing, if that is so; worked = \"round\" says otherwise.",
            ),
            None => (
                "The numbers say \"Rnd\": the chart was taken as worked in the round.",
                "Nothing, if that is so; worked = \"flat\" says otherwise.",
            ),
        };
        settings.worked.get_or_insert(Worked::Round);
        let place = self.sheet.grid.place(area.span());
        found.push(Finding::new(Code::RoundsAssumed, place, message.to_owned()).help(help));
    }
}

/// Tells several charts of a file apart by letters.
fn give_letters(charts: &mut [Chart]) {
    for (index, chart) in charts.iter_mut().enumerate() {
        let letter: Arc<str> = column_letters(index as u32).into();
        chart.letter = Some(Arc::clone(&letter));
        for finding in &mut chart.findings {
            finding.chart = Some(Arc::clone(&letter));
        }
        if let Some(pattern) = &mut chart.pattern {
            pattern.chart = Some(letter);
        }
    }
}
