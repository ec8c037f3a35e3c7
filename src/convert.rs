//! Joins the stages: the bytes of a file in, charts and findings out; a chart in, written rows out.

use std::sync::Arc;

use crate::chart;
use crate::check;
use crate::fold::{self, Options};
use crate::json;
use crate::pattern::Pattern;
use crate::place::Place;
use crate::problem::{Code, Finding, any_error};
use crate::read;
use crate::settings::Settings;
use crate::stitch::Stitches;
use crate::style::{Repeats, ReturnLines, Style, YarnOvers};
use crate::terms::Vocabulary;
use crate::text;
use crate::write::{WRITERS, Writer};

pub use crate::chart::Chart;

/// The charts of a file.
#[derive(Clone, Debug, Default)]
pub struct Charts {
    /// The charts in reading order.
    pub charts: Vec<Chart>,
    /// What concerns the file as a whole.
    pub findings: Vec<Finding>,
}

/// What a pattern is written as.
#[derive(Clone, Copy, Debug)]
pub enum Format {
    /// Written rows in a house style.
    Rows(&'static Writer),
    /// The row model for other programs.
    Json,
}

impl Format {
    /// Every format.
    pub fn all() -> impl Iterator<Item = Self> {
        WRITERS.iter().map(Self::Rows).chain([Self::Json])
    }

    /// The format with this name.
    pub fn named(name: &str) -> Option<Self> {
        Self::all().find(|format| format.name() == name)
    }

    /// The name that `--to` takes.
    pub fn name(self) -> &'static str {
        match self {
            Self::Rows(writer) => writer.name,
            Self::Json => "json",
        }
    }

    /// The ending of its files, without the point.
    pub fn ending(self) -> &'static str {
        match self {
            Self::Rows(writer) => writer.ending,
            Self::Json => "json",
        }
    }
}

/// The longest float, in stitches, where nothing is set.
const LONGEST_FLOAT: u32 = 5;

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
    let settings = above.over(below);
    let format = match from {
        Some(format) => Some(format),
        None => read::Format::of(bytes, file).ok(),
    };
    let mut charts = if format == Some(read::Format::Json) {
        from_json(file, bytes, &settings)
    } else {
        let (workbook, mut findings) = read::workbook(file, bytes, from);
        let Some(workbook) = workbook else { return Charts { charts: Vec::new(), findings } };
        let (charts, more) = chart::read(&workbook, below, above);
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
            Chart {
                letter: reading.letter,
                pattern: reading.pattern,
                settings: reading.settings,
                reading: None,
                findings,
            }
        })
        .collect();
    Charts { charts, findings }
}

fn from_json(file: &Arc<str>, bytes: &[u8], settings: &Settings) -> Charts {
    let (patterns, mut findings) = json::read(file, bytes, &Stitches::with_own(&settings.stitches));
    if patterns.is_empty() && findings.is_empty() {
        findings.push(Finding::new(Code::NoChart, Place::file(file), "No pattern was found in this file."));
    }
    let charts = patterns
        .into_iter()
        .map(|pattern| Chart {
            letter: pattern.chart.clone(),
            pattern: Some(pattern),
            settings: settings.clone(),
            reading: None,
            findings: Vec::new(),
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
        Format::Json => json::render(
            sound
                .map(|(chart, pattern)| json::pattern(pattern, &fold::closed(pattern), &chart.findings))
                .collect(),
        ),
        Format::Rows(writer) => {
            let texts: Vec<String> = sound
                .map(|(_, pattern)| writer.write(&fold::written(pattern, options(style)), style))
                .collect();
            texts.join("\n")
        }
    }
}

fn options(style: &Style) -> Options {
    Options {
        yarn_overs_by_position: style.fold.yarn_overs == YarnOvers::ByPosition,
        one_sentence: style.fold.return_rows == ReturnLines::OneSentence,
        open: style.fold.repeats == Repeats::Open,
        nesting: style.fold.nesting,
    }
}
