//! Joins the stages: the bytes of a file in, charts and findings out; a chart in, written rows out.

mod as_called;
mod compared;

use std::sync::Arc;

use crate::chart;
use crate::check;
use crate::compare::{self, Verdict};
use crate::draw::{self, Drawing, Sheet};
use crate::fold::{self, Options, Serves};
use crate::json;
use crate::pattern::Pattern;
use crate::place::Place;
use crate::problem::{Code, Finding, Severity, any_error};
use crate::read;
use crate::settings::Settings;
use crate::stitch::{OwnStitch, StitchId, Stitches};
use crate::style::{RecurringRows, Repeats, ReturnLines, Style, YarnOvers};
use crate::terms::Vocabulary;
use crate::text;
use crate::words;
use crate::write::{WRITERS, Writer};

pub use crate::chart::Chart;
pub use compared::{Compared, Pair, Part, compare, compare_parts};

/// The charts of a file.
#[derive(Clone, Debug, Default)]
pub struct Charts {
    /// The charts in reading order.
    pub charts: Vec<Chart>,
    /// What concerns the file as a whole.
    pub findings: Vec<Finding>,
}

impl Charts {
    /// Every finding: those of the file, then those of each chart.
    pub fn findings(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter().chain(self.charts.iter().flat_map(|chart| &chart.findings))
    }
}

/// What a pattern is written as.
#[derive(Clone, Copy, Debug)]
pub enum Format {
    /// Written rows in a house style.
    Rows(&'static Writer),
    /// A chart on a sheet.
    Chart(Sheet),
    /// The row model for other programs.
    Json,
}

impl Format {
    /// Every format.
    pub fn all() -> impl Iterator<Item = Self> {
        WRITERS.iter().map(Self::Rows).chain([Self::Json]).chain(Sheet::ALL.map(Self::Chart))
    }

    /// The format with this name.
    pub fn named(name: &str) -> Option<Self> {
        Self::all().find(|format| format.name() == name)
    }

    /// The name that `--to` takes.
    pub fn name(self) -> &'static str {
        match self {
            Self::Rows(writer) => writer.name,
            Self::Chart(sheet) => sheet.name(),
            Self::Json => "json",
        }
    }

    /// The ending of its files, without the point.
    pub fn ending(self) -> &'static str {
        match self {
            Self::Rows(writer) => writer.ending,
            Self::Chart(sheet) => sheet.name(),
            Self::Json => "json",
        }
    }
}

/// The longest float, in stitches, where nothing is set.
const LONGEST_FLOAT: u32 = 5;

/// A file to be read, and the settings that hold for it.
#[derive(Clone, Copy, Debug)]
pub struct Source<'a> {
    /// Its path as the user gave it.
    pub file: &'a Arc<str>,
    /// What it holds.
    pub bytes: &'a [u8],
    /// The format to read it as; told by its bytes where nothing is said.
    pub from: Option<read::Format>,
    /// What the settings files say.
    pub below: &'a Settings,
    /// What the call says.
    pub above: &'a Settings,
    /// The vocabulary of written rows, where the settings name a file of the user's own.
    pub vocabulary: Option<&'a Vocabulary>,
}

impl Source<'_> {
    /// Its patterns, be they charts or written rows: see [`charts`] and [`texts`].
    pub fn patterns(&self) -> Charts {
        self.read(false)
    }

    /// The same, charts with how they were understood.
    pub fn explained(&self) -> Charts {
        self.read(true)
    }

    fn read(&self, explain: bool) -> Charts {
        let format = self.from.or_else(|| read::Format::of(self.bytes, self.file).ok());
        match format.map(read::Format::holds) {
            Some(read::Holds::Lines) => {
                texts(self.file, self.bytes, self.from, self.below, self.above, self.vocabulary)
            }
            _ => understood(self.file, self.bytes, self.from, self.below, self.above, explain),
        }
    }

    /// How its text is read; nothing where it holds none.
    fn readings(&self) -> Vec<text::Reading> {
        let format = self.from.or_else(|| read::Format::of(self.bytes, self.file).ok());
        if format.map(read::Format::holds) != Some(read::Holds::Lines) {
            return Vec::new();
        }
        let document = read::document(self.file, self.bytes, self.from).0;
        document.map_or_else(Vec::new, |document| {
            text::read(&document, self.below, self.above, self.vocabulary).0
        })
    }

    /// Its patterns, those with a repeat written to this cast-on.
    fn at_width(&self, cast_on: u32) -> Charts {
        let above = Settings { cast_on: Some(cast_on), sizes: None, ..self.above.clone() };
        Source { above: &above, ..*self }.patterns()
    }
}

/// The charts of a file, understood and proved. `below` are the settings files', `above` those of the call.
///
/// A chart whose rows can't all be made out has no pattern. One whose rows don't add up has a pattern and findings:
/// see [`Chart::sound`].
pub fn charts(
    file: &Arc<str>,
    bytes: &[u8],
    from: Option<read::Format>,
    below: &Settings,
    above: &Settings,
) -> Charts {
    understood(file, bytes, from, below, above, false)
}

/// The charts of a file, with how they were understood where that is asked for.
fn understood(
    file: &Arc<str>,
    bytes: &[u8],
    from: Option<read::Format>,
    below: &Settings,
    above: &Settings,
    explain: bool,
) -> Charts {
    let format = match from {
        Some(format) => Some(format),
        None => match read::Format::of(bytes, file) {
            // A chart is asked for: what its name calls a text may be a table by its bytes.
            Ok(read::Format::Text) => read::Format::of(bytes, "").ok(),
            told => told.ok(),
        },
    };
    let mut charts = if format == Some(read::Format::Json) {
        from_json(file, bytes, below, above)
    } else {
        let (workbook, mut findings) = read::workbook(file, bytes, format);
        let Some(workbook) = workbook else { return Charts { charts: Vec::new(), findings } };
        let read = if explain { chart::explained } else { chart::read };
        let (charts, more) = read(&workbook, below, above);
        findings.extend(more);
        Charts { charts, findings }
    };
    for chart in &mut charts.charts {
        if let Some(pattern) = &chart.pattern {
            let letter = chart.letter.clone();
            let longest = chart.settings.longest_float.unwrap_or(LONGEST_FLOAT);
            let found = check::check(pattern).into_iter().chain(check::floats(pattern, longest));
            chart.findings.extend(found.map(|mut finding| {
                finding.chart.clone_from(&letter);
                finding
            }));
        }
    }
    charts
}

/// The patterns of a text, understood and proved, in the form of charts. `below` are the settings files', `above`
/// those of the call; `vocabulary` is the one of the user's own file, where the settings name no built-in one.
pub fn texts(
    file: &Arc<str>,
    bytes: &[u8],
    from: Option<read::Format>,
    below: &Settings,
    above: &Settings,
    vocabulary: Option<&Vocabulary>,
) -> Charts {
    let (document, mut findings) = read::document(file, bytes, from);
    let Some(document) = document else { return Charts { charts: Vec::new(), findings } };
    let (readings, more) = text::read(&document, below, above, vocabulary);
    findings.extend(more);
    let charts = readings
        .into_iter()
        .map(|reading| {
            let mut findings = reading.findings;
            for pattern in reading.pattern.iter().chain(&reading.stretches) {
                findings.extend(check::check(pattern).into_iter().map(|mut finding| {
                    finding.chart.clone_from(&reading.letter);
                    finding
                }));
            }
            for size in &reading.sizes {
                for mut finding in size.patterns.iter().flat_map(check::check) {
                    // What is wrong in one size already is not told again for the next.
                    if findings.iter().any(|known| known.row == finding.row && known.code == finding.code) {
                        continue;
                    }
                    finding.chart.clone_from(&reading.letter);
                    findings.push(text::in_size(finding, &size.name));
                }
            }
            // In the order of the rows: what is wrong first may be all that is wrong.
            findings.sort_by_key(|finding| finding.row.unwrap_or(0));
            let sizes = reading.sizes.into_iter().filter_map(|size| {
                let mut whole = size.patterns.into_iter();
                let pattern = whole.next().filter(|_| whole.next().is_none())?;
                Some((Arc::from(size.name), pattern))
            });
            Chart {
                letter: reading.letter,
                pattern: reading.pattern,
                sizes: sizes.collect(),
                settings: reading.settings,
                reading: None,
                findings,
            }
        })
        .collect();
    Charts { charts, findings }
}

fn from_json(file: &Arc<str>, bytes: &[u8], below: &Settings, above: &Settings) -> Charts {
    let settings = above.over(below);
    let (patterns, mut findings) = json::read(file, bytes, &Stitches::with_own(&settings.stitches));
    if patterns.is_empty() && findings.is_empty() {
        findings.push(Finding::new(Code::NoChart, Place::file(file), "No pattern was found in this file."));
    }
    let charts = patterns
        .into_iter()
        .map(|pattern| {
            let letter = pattern.chart.clone();
            let (pattern, findings) = as_called::as_called(file, pattern, above);
            Chart { letter, pattern, sizes: Vec::new(), settings: settings.clone(), reading: None, findings }
        })
        .collect();
    Charts { charts, findings }
}

impl Chart {
    /// The pattern, if it adds up and may be written out.
    pub fn sound(&self) -> Option<&Pattern> {
        self.pattern.as_ref().filter(|_| !any_error(&self.findings))
    }
}

/// One text for some charts: written rows one after another, or one JSON document. Charts that are not sound are
/// left out.
pub fn output(charts: &[&Chart], format: Format, style: &Style) -> String {
    let sound = charts.iter().filter_map(|chart| chart.sound().map(|pattern| (*chart, pattern)));
    match format {
        Format::Json => json(charts.iter().map(|chart| (*chart, &[][..]))),
        Format::Rows(writer) => {
            let texts: Vec<String> = sound
                .map(|(_, pattern)| writer.write(&fold::written(pattern, options(style)), style))
                .collect();
            texts.join("\n")
        }
        Format::Chart(_) => String::new(),
    }
}

/// Charts as one JSON document, each with what was found in its file as a whole. Charts that are not sound are left out.
pub fn json<'a>(charts: impl Iterator<Item = (&'a Chart, &'a [Finding])>) -> String {
    let values = charts.filter_map(|(chart, of_file)| {
        let pattern = chart.sound()?;
        let findings: Vec<&Finding> = of_file.iter().chain(&chart.findings).collect();
        Some(json::pattern(pattern, &fold::closed(pattern), &findings))
    });
    json::render(values.collect())
}

/// What is to be noted of a chart in a format and a style: that the words of its sizes are others than the style asks for,
/// or true of some of them only; that its repeat can't be shown by columns; that it has stitches which are told nowhere but
/// in its text. Nothing where the chart is not sound.
pub fn noted(chart: &Chart, format: Format, style: &Style) -> Vec<Finding> {
    let Some(pattern) = chart.sound() else { return Vec::new() };
    let mut notes = Vec::new();
    match format {
        Format::Rows(_) => notes.extend(sizes_noted(pattern, style)),
        Format::Chart(sheet) => {
            notes.extend(repeat_noted(pattern, sheet));
            notes.extend(stitches_noted(chart, pattern));
        }
        Format::Json => {}
    }
    for note in &mut notes {
        note.chart.clone_from(&chart.letter);
    }
    notes
}

fn first_place(pattern: &Pattern) -> Place {
    pattern.rows.first().map_or_else(|| Place::file(&pattern.source), |row| row.place.clone())
}

fn repeat_noted(pattern: &Pattern, sheet: Sheet) -> Option<Finding> {
    let multiple = pattern.multiple?;
    let (drawing, _) = proved(pattern, sheet).ok().filter(|(drawing, _)| drawing.repeat.is_none())?;
    let sizes = if pattern.sizes.len() > 1 { "; the other sizes are not in it" } else { "" };
    let message = format!(
        "\"{}\" is {multiple}, but no columns hold its repeat in every row: the chart shows {} sts and no repeat{sizes}.",
        drawing.title, pattern.cast_on
    );
    Some(
        Finding::new(Code::RepeatNotDrawn, first_place(pattern), message)
            .help("Nothing, if that width is wanted; --to json keeps the repeat of each row."),
    )
}

/// Stitches that a text or a key explains and no settings describe, in words that the key of a drawn chart has no room for: the
/// chart names them, and can't say what they do.
fn stitches_noted(chart: &Chart, pattern: &Pattern) -> Option<Finding> {
    let worked = |name: &str| {
        let is = |&id: &StitchId| pattern.stitches.get(pattern.stitches.plain(id)).name == name;
        pattern.rows.iter().any(|row| row.stitches.iter().any(is))
    };
    let told = |name: &str| chart.settings.stitches.iter().any(|own| own.name == name);
    let by_key = |own: &OwnStitch| words::told_in_key(own).is_some();
    let own = pattern.stitches.described().into_iter();
    let own = own.filter(|own| !told(&own.name) && worked(&own.name) && !by_key(own));
    let lines: Vec<String> = own
        .map(|own| {
            let (uses, makes) = (own.uses.unwrap_or(1), own.makes.unwrap_or(1));
            format!("[stitch.{}] uses = {uses}, makes = {makes}", own.name)
        })
        .collect();
    if lines.is_empty() {
        return None;
    }
    Some(
        Finding::new(
            Code::StitchToDescribe,
            first_place(pattern),
            "Stitches of its own are explained here. The chart that is made of it names them, and can't say what they use and make.",
        )
        .found(lines.join("; "))
        .help("To have it read again, describe them in the longhand.toml beside it, under [stitch.NAME]."),
    )
}

fn sizes_noted(pattern: &Pattern, style: &Style) -> Option<Finding> {
    if pattern.sizes.len() < 2 {
        return None;
    }
    let finding = match fold::served(pattern, options(style)).1 {
        Serves::All => return None,
        Serves::OneName => Finding::new(
            Code::SizeNotServed,
            first_place(pattern),
            format!(
                "In the style {} yarn overs have their names by the stitches beside them, which differ by size in this \
                 chart: all are given one name.",
                style.name
            ),
        )
        .help("Nothing, if one name is clear; else write each size on its own, with its cast-on."),
        Serves::NotAll => Finding::new(
            Code::SizeNotServed,
            first_place(pattern),
            format!(
                "In the style {} the rows of this chart have no words that are true of all its sizes: they are those \
                 of the first.",
                style.name
            ),
        )
        .help("Write each size on its own, with its cast-on."),
    };
    Some(finding)
}

/// Some patterns drawn as charts: csv one below another, xlsx a sheet each. Patterns that are not sound are left
/// out; those that can't be drawn are findings, by the index of their chart. `None` where none could be drawn.
pub fn drawn(charts: &[&Chart], sheet: Sheet) -> (Option<Vec<u8>>, Vec<(usize, Finding)>) {
    let sound = charts.iter().enumerate().filter_map(|(index, chart)| Some((index, chart, chart.sound()?)));
    let mut drawings: Vec<(Drawing, draw::Options)> = Vec::new();
    let mut findings = Vec::new();
    let mut cant = |index: usize, chart: &Chart, mut finding: Finding| {
        finding.chart.clone_from(&chart.letter);
        findings.push((index, finding));
    };
    let mut drawn = Vec::new();
    for (index, chart, pattern) in sound {
        match proved(pattern, sheet) {
            Ok(drawing) => {
                drawings.push(drawing);
                drawn.push((index, chart, pattern));
            }
            Err(finding) => cant(index, chart, finding),
        }
    }
    let all: Vec<(&Drawing, draw::Options)> =
        drawings.iter().map(|(drawing, options)| (drawing, *options)).collect();
    let bytes = match sheet.write(&all) {
        _ if all.is_empty() => None,
        Ok(bytes) => Some(bytes),
        // Each can be drawn by itself, but not all of them in one file.
        Err(why) => {
            for (index, chart, pattern) in drawn {
                cant(
                    index,
                    chart,
                    not_drawn(pattern, &why).help("Write the charts to a folder, each to its own file."),
                );
            }
            None
        }
    };
    (bytes, findings)
}

/// Why a pattern can't be drawn.
fn not_drawn(pattern: &Pattern, why: &str) -> Finding {
    Finding::new(Code::NotDrawn, first_place(pattern), format!("The chart can't be drawn: {why}"))
}

/// Draws a pattern so that its chart, read again, gives the same rows: without its repeat where that can't be read again.
fn proved(pattern: &Pattern, sheet: Sheet) -> Result<(Drawing, draw::Options), Finding> {
    let drawing = draw::draw(pattern)?;
    match proved_as(pattern, &drawing, sheet)? {
        Ok(options) => Ok((drawing, options)),
        Err(why) if drawing.repeat.is_none() => Err(not_the_same(pattern, &why)),
        Err(_) => {
            let drawing = drawing.without_repeat(pattern);
            match proved_as(pattern, &drawing, sheet)? {
                Ok(options) => Ok((drawing, options)),
                Err(why) => Err(not_the_same(pattern, &why)),
            }
        }
    }
}

/// How a drawing is laid out so that it gives the same rows, or what would differ. Notes may be such that a reader takes
/// them for a part of the chart, and a chart of a row or two may not be known by its numbers: then others ways are tried.
fn proved_as(
    pattern: &Pattern,
    drawing: &Drawing,
    sheet: Sheet,
) -> Result<Result<draw::Options, String>, Finding> {
    // A stitch of the designer's own that the key can't tell is only read where settings describe it.
    let untold = |own: &OwnStitch| words::told_in_key(own).is_none();
    let stitches = pattern.stitches.described().into_iter().filter(untold).collect();
    let own = Settings { stitches, ..Settings::default() };
    let file: Arc<str> = Arc::from(format!("chart.{}", sheet.name()));
    let mut why = String::new();
    for (without_notes, numbers_in_words) in [(false, false), (false, true), (true, false), (true, true)] {
        let options = draw::Options { numbers_in_words, without_notes };
        let bytes = sheet.write(&[(drawing, options)]).map_err(|why| {
            not_drawn(pattern, &why).help(match sheet {
                Sheet::Csv => "Write it to a workbook, which has colours: --to xlsx.",
                Sheet::Xlsx => {
                    "A cell of a workbook holds 32,767 letters, a row 16,384 cells: shorten the title or the note \
                     that is longer, or give the rows fewer stitches."
                }
            })
        })?;
        let from = read::Format::named(sheet.name());
        let read = charts(&file, &bytes, from, &own, &Settings::default());
        let [chart] = &read.charts[..] else { continue };
        match chart.sound() {
            Some(again) if same_rows(pattern, again) => return Ok(Ok(options)),
            Some(_) => {}
            None => {
                let error = chart.findings.iter().find(|finding| finding.severity() == Severity::Error);
                why = error.map(|error| error.message.clone()).unwrap_or_default();
            }
        }
    }
    Ok(Err(why))
}

/// A chart that would be read as other rows, or as none: what would be said of it.
fn not_the_same(pattern: &Pattern, said: &str) -> Finding {
    let said = if said.is_empty() { String::new() } else { format!(" It would be said of it: {said}") };
    not_drawn(pattern, &format!("read again, it would not give the same rows.{said}"))
        .help("Look for rows whose numbers leave some out, and stitches whose names are numbers; --to json holds any rows.")
}

/// Whether two patterns are the same in all that a chart says.
fn same_rows(one: &Pattern, two: &Pattern) -> bool {
    let side = |pattern| compare::Side { pattern, called: "" };
    compare::compare(side(one), side(two)).verdict == Verdict::SameStitches
        && one.title.trim() == two.title.trim()
        && one.rows.iter().zip(&two.rows).all(|(a, b)| (a.number, a.side) == (b.number, b.side))
}

fn options(style: &Style) -> Options {
    Options {
        yarn_overs_by_position: style.fold.yarn_overs == YarnOvers::ByPosition,
        one_sentence: style.fold.return_rows == ReturnLines::OneSentence,
        recurring: style.fold.recurring_rows == RecurringRows::ReferredTo,
        open: style.fold.repeats == Repeats::Open,
        nesting: style.fold.nesting,
    }
}
