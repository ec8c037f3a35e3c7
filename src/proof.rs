//! Proving charts: written as rows and read again, do they say the same? And would longhand word the rows today as
//! the approved text does?

use std::sync::Arc;

use similar::{Algorithm, DiffOp, capture_diff_slices};

use crate::chart::Chart;
use crate::compare::{self, Verdict};
use crate::convert::{Format, Source, output};
use crate::pattern::Pattern;
use crate::place::Place;
use crate::problem::{Code, Finding, Severity};
use crate::read;
use crate::style::Style;
use crate::write::Writer;

/// Writes a chart as rows in a style, reads them with the settings of `source`, and compares stitch for stitch.
/// Nothing is found where the rows say what the chart says; a chart that is not sound is not written.
pub fn read_back(chart: &Chart, style: &Style, source: &Source<'_>) -> Option<Finding> {
    let pattern = chart.sound()?;
    let text = output(&[chart], Format::named("text")?, style);
    let file: Arc<str> = Arc::from("rows.txt");
    let rows =
        Source { file: &file, bytes: text.as_bytes(), from: Some(read::Format::Text), ..*source }.patterns();
    let mut finding = match &rows.charts[..] {
        [again] if again.sound().is_some() => compared(pattern, again.sound()?, style)?,
        charts => {
            let wrong = rows.findings.iter().chain(charts.iter().flat_map(|chart| &chart.findings));
            unreadable(pattern, wrong, style)
        }
    };
    finding.chart.clone_from(&chart.letter);
    Some(finding.help("Use another style for this chart, and look at the words of stitches and styles of your own: each must mean one stitch."))
}

/// Whether the patterns of one text say what these charts say, each in its turn.
pub fn read_back_as(charts: &[&Chart], read: &[Chart]) -> bool {
    let side = |pattern| compare::Side { pattern, called: "" };
    charts.len() == read.len()
        && charts.iter().zip(read).all(|(chart, again)| match (chart.sound(), again.sound()) {
            (Some(one), Some(two)) => compare::compare(side(one), side(two)).verdict == Verdict::SameStitches,
            _ => false,
        })
}

/// What differs between a chart and the rows written of it.
fn compared(chart: &Pattern, again: &Pattern, style: &Style) -> Option<Finding> {
    let comparison = compare::compare(
        compare::Side { pattern: chart, called: "the chart" },
        compare::Side { pattern: again, called: "its text" },
    );
    if comparison.verdict == Verdict::SameStitches {
        return None;
    }
    let (first, others) = comparison.findings.split_first()?;
    let more = match others.len() {
        0 => String::new(),
        1 => " One more difference follows.".to_owned(),
        more => format!(" {more} more differences follow."),
    };
    let message =
        format!("In the style {} the rows read back otherwise: {}{more}", style.name, first.message);
    let mut finding = Finding::new(Code::ReadBackDiffers, first.place.clone(), message);
    finding.row = first.row;
    // Here the chart is what was to be expected.
    finding.found.clone_from(&first.expected);
    finding.expected.clone_from(&first.found);
    Some(finding)
}

/// Rows that can't be read again.
fn unreadable<'a>(chart: &Pattern, wrong: impl Iterator<Item = &'a Finding>, style: &Style) -> Finding {
    let first = wrong.into_iter().find(|finding| finding.severity() == Severity::Error);
    let why = first.map_or("They are not one pattern.", |finding| &finding.message);
    let row = first.and_then(|finding| finding.row);
    let at = chart.rows.iter().find(|line| Some(line.number) == row).or(chart.rows.first());
    let place = at.map_or_else(|| Place::file(&chart.source), |row| row.place.clone());
    let mut finding = Finding::new(
        Code::ReadBackDiffers,
        place,
        format!("In the style {} the rows can't be read back: {why}", style.name),
    );
    finding.row = row;
    finding
}

/// Whether longhand would still word these charts as an approved text does that it wrote itself: a note where no
/// style does. The nearest of the styles is held against it.
pub fn wording<'s>(
    charts: &[&Chart],
    styles: impl Iterator<Item = &'s Style>,
    writer: &'static Writer,
    approved: (&Arc<str>, &str),
) -> Option<Finding> {
    let (file, text) = approved;
    let old: Vec<&str> = text.lines().collect();
    let mut nearest: Option<Changed> = None;
    for style in styles {
        let today = output(charts, Format::Rows(writer), style);
        if today == text {
            return None;
        }
        let changed = Changed::between(&old, &today, &style.name);
        if nearest.as_ref().is_none_or(|nearest| changed.lines < nearest.lines) {
            nearest = Some(changed);
        }
    }
    let changed = nearest?;
    let (lines, are) = if changed.lines == 1 { ("line", "is") } else { ("lines", "are") };
    let line = u32::try_from(changed.first).unwrap_or(u32::MAX).saturating_add(1);
    let message = format!(
        "The stitches are the same, but in the style {} {} {lines} {are} worded otherwise today.",
        changed.style, changed.lines
    );
    let finding = Finding::new(Code::WordingChanged, Place::line(file, line, 1), message)
        .found(changed.old)
        .expected(changed.new)
        .help("Read both; `longhand proof --approve` takes today's words.");
    Some(finding)
}

/// How two wordings differ.
struct Changed {
    style: String,
    /// How many lines.
    lines: usize,
    /// The first of them, in the old text, from 0.
    first: usize,
    old: String,
    new: String,
}

impl Changed {
    fn between(old: &[&str], today: &str, style: &str) -> Self {
        let new: Vec<&str> = today.lines().collect();
        let mut changed =
            Self { style: style.to_owned(), lines: 0, first: 0, old: String::new(), new: String::new() };
        for operation in capture_diff_slices(Algorithm::Myers, old, &new) {
            if let DiffOp::Equal { .. } = operation {
                continue;
            }
            let (before, after) = (operation.old_range(), operation.new_range());
            if changed.lines == 0 {
                changed.first = before.start;
                let shown = |lines: &[&str], at: usize, there: bool| match lines.get(at) {
                    Some(line) if there => (*line).to_owned(),
                    _ => "no line".to_owned(),
                };
                changed.old = shown(old, before.start, !before.is_empty());
                changed.new = shown(&new, after.start, !after.is_empty());
            }
            changed.lines += before.len().max(after.len());
        }
        changed
    }
}
