//! From grid to pattern: finding the charts of a workbook and understanding them.
//!
//! A sheet is understood piece by piece: first the settings it states (`said.rs`), then its keys (`keyblock.rs`),
//! then the charts and their row numbers (`area.rs`); what is left is title and notes. Each chart is then put in
//! order (`order.rs`), its cells joined into stitches (`cells.rs`) that chain (`chain.rs`), written out to its width
//! (`repeat.rs`, `wider.rs`), turned into what the hands do (`charted.rs`), and joined by the rows it does not draw
//! (`returns.rs`).

mod area;
mod cells;
mod chain;
mod charted;
mod drawn;
mod extent;
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
mod wider;

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::grid::{Colour, Workbook};
use crate::pattern::{Pattern, Worked};
use crate::place::{Address, Place, Span, column_letters, stem};
use crate::problem::{Code, Finding, Severity, any_error};
use crate::settings::{KeyEntry, Settings};
use crate::stitch::Stitches;

pub use reading::{ReadRow, Reading, Symbol};

use area::Area;
use key::Key;
use rows::Ordered;
use said::Said;
use sentences::{Sentence, Tellings, Widths};
use sheet::{Sheet, Text};

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

fn understood(
    workbook: &Workbook,
    below: &Settings,
    above: &Settings,
    explain: bool,
) -> (Vec<Chart>, Vec<Finding>) {
    let around = above.over(below);
    let mut key_sheet: Vec<KeyEntry> = Vec::new();
    let (mut sheets, mut hidden) = (Vec::new(), Vec::new());
    for grid in &workbook.sheets {
        let mut sheet = Sheet::new(grid);
        if grid.name().is_some_and(|name| keyblock::is_key_sheet(name)) {
            key_sheet.extend(keyblock::take_sheet(&mut sheet, &mut Stitches::with_own(&around.stitches)));
        } else if grid.hidden {
            hidden.push(sheet);
        } else {
            sheets.push(sheet);
        }
    }
    let several_sheets = sheets.len() > 1;
    let call = Call { below, above, around, key_sheet, several_sheets, explain };
    let (mut charts, mut findings) = (Vec::new(), Vec::new());
    for sheet in sheets {
        Taken::apart(sheet, &call).charts(&call, &mut charts, &mut findings);
    }
    findings.extend(hidden.into_iter().filter_map(|sheet| hidden_sheet(sheet, &call)));
    if charts.len() > 1 {
        give_letters(&mut charts);
    }
    if charts.is_empty() {
        findings.push(
            Finding::new(Code::NoChart, Place::file(&workbook.file), "No chart was found in this file.".to_owned())
                .help("A chart is a block of symbols, one cell a stitch, best with row numbers beside it and a key."),
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
    wrong_settings: Vec<Finding>,
    /// The key as far as it can be read, by which places and shapes are found.
    finder: Key,
    /// What is wrong with the key; it serves all charts of the sheet and is said with the first.
    wrong_key: Vec<Finding>,
    key_is_wrong: bool,
    /// Fills that are almost those of the key: where, which, and the key's own.
    nearly: Vec<(Address, Colour, Colour)>,
    /// Cells that hold several row numbers each.
    several: Vec<(Address, String)>,
    areas: Vec<Area>,
}

impl<'a> Taken<'a> {
    fn apart(mut sheet: Sheet<'a>, call: &Call<'_>) -> Self {
        let mut stitches = Stitches::with_own(&call.around.stitches);
        let mut wrong_settings = Vec::new();
        let said = said::take(&mut sheet, &mut stitches, &mut wrong_settings);
        let mut sentences = sentences::find(&sheet, &mut stitches);
        let mut block = keyblock::take(&mut sheet, &mut stitches);
        sentences::give_back(&mut sentences, &mut sheet, &mut block);
        let mut wrong_key = Vec::new();
        let workbook = [block, call.key_sheet.clone()];
        let mut finder = Key::new(workbook, &call.below.key, &mut stitches, &mut wrong_key);
        let key_is_wrong = any_error(&wrong_key);
        let nearly = sheet.see_fills(&finder);
        let several = area::several::take(&mut sheet, &mut finder, &mut stitches);
        let areas = area::find(&mut sheet, &mut finder, &mut stitches);
        Self {
            sheet,
            stitches,
            said,
            sentences,
            wrong_settings,
            finder,
            wrong_key,
            key_is_wrong,
            nearly,
            several,
            areas,
        }
    }

    /// Understands its charts. Findings that belong to no chart are given apart.
    fn charts(mut self, call: &Call<'_>, charts: &mut Vec<Chart>, findings: &mut Vec<Finding>) {
        if self.areas.is_empty() {
            findings.append(&mut self.wrong_settings);
            // What is not seen may be the chart.
            findings.extend(notes::conditional(self.sheet.grid, |_| true));
        }
        charts.extend((0..self.areas.len()).map(|index| self.chart(index, call)));
    }

    fn chart(&mut self, index: usize, call: &Call<'_>) -> Chart {
        // A setting that can't be read might have changed any of the sheet's charts.
        let mut found = self.wrong_settings.clone();
        let mut settings = self.settings(index, call);
        let said = sentences::for_chart(&self.sentences, &self.areas, index);
        let mut taken = sentences::fill(&said, &mut settings, &mut found);
        self.rounds_by_numbers(index, &mut settings, &mut found);
        found.append(&mut self.wrong_key);
        let Self { sheet, stitches, finder, areas, .. } = self;
        let area = &areas[index];
        let from = found.len();
        let several = area::several::told(sheet, area, &self.several);
        let turned = turned::told(sheet, area, finder, stitches);
        let stands = turned.is_none();
        let mut errors = several.iter().chain(&turned).filter(|told| told.severity() == Severity::Error);
        let readable = errors.next().is_none();
        found.extend(several.into_iter().chain(turned));
        let told = sentences::numbers_told(&said, stitches);
        let order = readable.then(|| order::order(sheet.grid, area, &settings, &told, &mut found)).flatten();
        let tellings = match order.as_ref().filter(|_| !said.is_empty()) {
            Some(order) => sentences::undrawn(&said, order, &mut settings, stitches, &mut found),
            None => Tellings::default(),
        };
        taken.extend(&tellings.taken);
        let taken = sentences::cells(&said, &taken);
        let mut key = finder.anew();
        let mut symbol = |text: Text<'_>| finder.knows(text, stitches);
        let (heading, aside) =
            heading(sheet, areas, index, (&settings, &taken), call.several_sheets, &mut symbol);
        let widths = Widths::of(&said);
        let ordered = Ordered { area, order: order.as_ref(), from, tellings: &tellings, widths: &widths };
        let pattern = match stands {
            true => rows::pattern(sheet, ordered, &settings, heading, &mut key, stitches, &mut found),
            false => None,
        };
        let row_aside = row_aside(sheet, area, &aside);
        let sound = !self.key_is_wrong && self.wrong_settings.is_empty() && row_aside.is_none();
        let pattern = pattern.filter(|_| sound);
        found.extend(row_aside.or_else(|| aside_note(sheet, &aside)));
        found.extend(hidden_note(sheet, area).filter(|_| pattern.is_some()));
        let nearly = self.nearly.iter().filter(|(at, ..)| area.span().contains(*at));
        found.extend(nearly.map(|nearly| shade_note(sheet, nearly)));
        notes::key_notes(&key, sheet, area, &mut found);
        notes::hanging(sheet.grid, area, &mut found);
        if index + 1 == areas.len() {
            found.extend(key.unclear_unused());
        }
        let reading = call.explain.then(|| reading::gather(sheet, area, order.as_ref(), &mut key, stitches));
        Chart { letter: None, pattern, sizes: Vec::new(), settings, reading, findings: found }
    }

    /// The settings that a chart is understood by.
    fn settings(&self, index: usize, call: &Call<'_>) -> Settings {
        if self.said.is_empty() {
            return call.around.clone();
        }
        let tops: Vec<u32> = self.areas.iter().map(Area::top).collect();
        call.above.over(&said::for_chart(&self.said, self.areas[index].top(), &tops)).over(call.below)
    }

    /// A chart whose numbers all say "Rnd" is worked in the round, where nothing says otherwise.
    fn rounds_by_numbers(&self, index: usize, settings: &mut Settings, found: &mut Vec<Finding>) {
        let area = &self.areas[index];
        let rounds = |row: &area::AreaRow| row.label().is_some_and(|placed| placed.label.round);
        if settings.worked.is_none() && area.rows.iter().all(rounds) {
            settings.worked = Some(Worked::Round);
            found.push(
                Finding::new(
                    Code::RoundsAssumed,
                    self.sheet.grid.place(area.span()),
                    "The numbers say \"Rnd\": the chart was taken as worked in the round.",
                )
                .help("Nothing, if that is so; worked = \"flat\" says otherwise."),
            );
        }
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

/// Says that a fill was taken as one of the key.
fn shade_note(sheet: &Sheet<'_>, (at, fill, meant): &(Address, Colour, Colour)) -> Finding {
    Finding::new(
        Code::ShadeMatched,
        sheet.grid.place(*at),
        format!("The fill {fill} is not in the key; it was taken as {meant}, which is almost the same."),
    )
    .found(fill)
    .expected(meant)
    .help("Fill the cell as the key has it, or add the fill to the key.")
}

/// Says which hidden rows and columns of the sheet were left out of a chart.
fn hidden_note(sheet: &Sheet<'_>, area: &Area) -> Option<Finding> {
    let rows: Vec<String> = (area.top()..=area.bottom())
        .filter(|row| sheet.hidden_row(*row))
        .map(|row| (u64::from(row) + 1).to_string())
        .collect();
    let columns: Vec<String> = (area.columns.0..=area.columns.1)
        .filter(|column| sheet.hidden_column(*column))
        .map(column_letters)
        .collect();
    let list = |kind: &str, names: &[String]| match names {
        [] => None,
        [one] => Some(format!("{kind} {one}")),
        many => Some(format!("{kind}s {}", many.join(", "))),
    };
    let parts: Vec<String> = [list("row", &rows), list("column", &columns)].into_iter().flatten().collect();
    (!parts.is_empty()).then(|| {
        Finding::new(
            Code::HiddenLeftOut,
            sheet.grid.place(area.span()),
            format!("Hidden in the sheet and left out of the chart: {}.", parts.join("; ")),
        )
        .help("Show them again if they belong to the chart.")
    })
}

/// Whether a blank line lies between two rows of the sheet; lines that were understood as something else are none.
fn blank_between(sheet: &Sheet<'_>, above: u32, below: u32) -> bool {
    (above + 1..below).any(|row| {
        let at = sheet.grid.cells.partition_point(|cell| cell.at.row < row);
        sheet.grid.cells.get(at).is_none_or(|cell| cell.at.row != row)
    })
}

/// Title and notes of a chart: the block of lines nearest above the grid holds the title; all prose of the sheet
/// that stands nearest to this chart is a note, but for what was `taken` as more.
fn heading(
    sheet: &Sheet<'_>,
    areas: &[Area],
    index: usize,
    (settings, taken): (&Settings, &BTreeSet<Address>),
    several_sheets: bool,
    symbol: &mut dyn FnMut(Text<'_>) -> bool,
) -> (rows::Heading, Vec<Address>) {
    let area = &areas[index];
    let above = areas.iter().map(Area::bottom).filter(|bottom| *bottom < area.top()).max();
    let below = areas.iter().map(Area::top).filter(|top| *top > area.bottom()).min();
    // Charts side by side share out what stands above them by its column.
    let beside = areas
        .iter()
        .filter(|other| other.top() <= area.bottom() && area.top() <= other.bottom())
        .map(|other| other.columns.0)
        .filter(|first| *first > area.columns.0);
    let right = beside.min().unwrap_or(u32::MAX);
    let first_beside = areas.iter().all(|other| {
        other.columns.0 >= area.columns.0 || other.bottom() < area.top() || other.top() > area.bottom()
    });
    let left = if first_beside { 0 } else { area.columns.0.saturating_sub(1) };
    // What follows a chart directly belongs to it; what stands nearer to the next may be that one's title.
    let nearer_above =
        |at: Address| at.row < area.top() && above.is_some_and(|above| at.row - above < area.top() - at.row);
    let nearer_below = |at: Address| {
        at.row > area.bottom() && below.is_some_and(|below| below - at.row <= at.row - area.bottom())
    };
    let between = |row: u32| above.is_none_or(|above| row > above) && below.is_none_or(|below| row < below);
    let mut prose: Vec<(Address, Text<'_>)> = Vec::new();
    let mut charts: Vec<(u32, u32)> = Vec::new();
    for span in sheet.row_spans().filter(|span| between(span.first.row)) {
        let row = span.first.row;
        // A line of prose between the rows of a chart is no part of it.
        let drawn = |area: &&Area| area.rows.binary_search_by_key(&row, |row| row.row).is_ok();
        charts.clear();
        charts.extend(areas.iter().filter(drawn).map(|area| area.columns));
        if sheet::lies_in(span, &charts) {
            continue;
        }
        let is_prose = |(at, text): &(Address, Text<'_>)| {
            (left..right).contains(&at.column) && !text.starts_with(key::FILL) && !taken.contains(at)
        };
        prose.extend(sheet.beside(row, &charts).filter(is_prose));
    }
    // The block nearest above: lines without a blank line between them.
    let mut block: Vec<&(Address, Text<'_>)> = Vec::new();
    for line in prose.iter().rev().filter(|(at, _)| at.row < area.top()) {
        if block.last().is_some_and(|(next, _)| blank_between(sheet, line.0.row, next.row)) {
            break;
        }
        block.push(line);
    }
    let title_line = block.iter().rev().copied().find(|(at, _)| !of_symbols(sheet, at.row, symbol));
    let title = settings
        .title
        .clone()
        .or_else(|| title_line.map(|(_, text)| text.to_string()))
        .or_else(|| sheet.grid.name().filter(|_| several_sheets).map(|name| name.to_string()))
        .unwrap_or_else(|| stem(&sheet.grid.file).to_owned());
    let mut notes: Vec<rows::Note> = Vec::new();
    let mut aside: Vec<Address> = Vec::new();
    let mut last_row = None;
    for (at, text) in &prose {
        if settings.title.is_none() && title_line.is_some_and(|(title, _)| title == at) {
            continue;
        }
        if nearer_below(*at) || nearer_above(*at) {
            continue;
        }
        // Numbers and symbols alone are no prose.
        if text.chars().all(|c| c.is_ascii_digit() || c == '.') || (!text.contains(' ') && symbol(*text)) {
            aside.push(*at);
            continue;
        }
        match notes.last_mut() {
            Some(note) if last_row == Some(at.row) => {
                note.text.push(' ');
                note.text.push_str(text);
            }
            _ => notes.push(rows::Note { at: *at, text: text.to_string() }),
        }
        last_row = Some(at.row);
    }
    (rows::Heading { title, notes }, aside)
}

/// Whether a line holds nothing but symbols, so that it is no title: more than one of them, or one that is no word.
fn of_symbols(sheet: &Sheet<'_>, row: u32, symbol: &mut dyn FnMut(Text<'_>) -> bool) -> bool {
    let several = sheet.row(row).nth(1).is_some();
    sheet.row(row).all(|(_, text)| {
        let words = text.contains(' ') || (!several && text.chars().any(char::is_alphanumeric));
        !words && symbol(text)
    })
}

/// A whole row of symbols right above or below a chart that its row numbers leave out, as where a cell too many has
/// moved the row's own number out of their column.
fn row_aside(sheet: &Sheet<'_>, area: &Area, aside: &[Address]) -> Option<Finding> {
    let width = area.columns.1 - area.columns.0 + 1;
    let near = [area.top().checked_sub(1), area.bottom().checked_add(1)];
    let row = near.into_iter().flatten().find(|row| {
        let is_symbol = |at: Address| {
            let digits = |text: &str| text.chars().all(|c| c.is_ascii_digit() || c == '.');
            aside.contains(&at)
                && (area.columns.0..=area.columns.1).contains(&at.column)
                && sheet.text(at).is_some_and(|text| !digits(&text) || &*text == ".")
        };
        let (symbols, others): (Vec<Address>, Vec<Address>) =
            sheet.row(*row).map(|(at, _)| at).partition(|at| is_symbol(*at));
        // A row may hold few symbols among blank squares, and then nothing else.
        let alone = !symbols.is_empty() && others.is_empty();
        let count = u32::try_from(symbols.len()).unwrap_or(u32::MAX);
        area.rows.iter().any(|row| row.label().is_some()) && width > 1 && (2 * count > width || alone)
    })?;
    let cells: Vec<Address> = aside.iter().filter(|at| at.row == row).copied().collect();
    let (first, last) = (cells.first()?, cells.last()?);
    let placed = area.rows.iter().flat_map(|row| [row.left, row.right]).flatten();
    let columns: BTreeSet<u32> = placed.map(|placed| placed.at.column).collect();
    let columns: Vec<String> = columns.into_iter().map(column_letters).collect();
    let shown: Vec<&str> = cells.iter().filter_map(|at| sheet.text(*at)).map(Text::str).collect();
    Some(
        Finding::new(
            Code::RowNumberGap,
            sheet.grid.place(Span::new(*first, *last)),
            format!(
                "A row of symbols right {} the chart has no row number where the others have theirs.",
                if row < area.top() { "above" } else { "below" }
            ),
        )
        .found(shown.join(" "))
        .expected(format!("its row number in column {}", columns.join(" or ")))
        .help("Number it, and look for a cell too many or too few in it; leave a blank line between if it is no row of this chart."),
    )
}

/// Says which cells that may belong to a chart were left out of it.
fn aside_note(sheet: &Sheet<'_>, cells: &[Address]) -> Option<Finding> {
    const SHOWN: usize = 6;
    let (first, rest) = cells.split_first()?;
    let shown: Vec<String> =
        cells.iter().take(SHOWN).filter_map(|at| sheet.text(*at)).map(|text| key::quoted(&text)).collect();
    let more = if cells.len() > SHOWN { ", ..." } else { "" };
    let whole = rest.iter().fold(Span::from(*first), |span, at| span.join((*at).into()));
    Some(
        Finding::new(
            Code::CellsLeftAside,
            sheet.grid.place(whole),
            format!(
                "Beside the chart and not taken as part of it: {}{more} ({} {}).",
                shown.join(", "),
                cells.len(),
                if cells.len() == 1 { "cell" } else { "cells" }
            ),
        )
        .found(shown.join(", "))
        .help("Nothing, if they are no part of it; otherwise number the rows they stand in, or head counts of stitches \"sts\"."),
    )
}
