//! Results on standard output: one style, one format, no folder.

use std::sync::Arc;

use longhand::convert::{self, Chart, Format};
use longhand::problem::Finding;
use longhand::style::Style;

use super::super::call::Call;
use super::super::failure::Failure;
use super::super::report::{self, number_of};
use super::super::run::{self, Findings};
use super::super::status::Status;
use super::super::stop::Stop;
use super::super::tasks::Tasks;
use super::plan::Plans;

/// Writes to standard output: one style, one format, no folder.
pub fn to_screen(call: &Call, tasks: &Tasks, plans: &Plans) -> Result<Status, Failure> {
    let needs_out = |what: &str| {
        Failure::new(
            format!("{what} can't be written to the screen."),
            "Name a folder for the results: --out rows.",
        )
    };
    if tasks.folder {
        return Err(needs_out("The charts of a folder"));
    }
    let mut pairs: Vec<(&Arc<Style>, Format)> = Vec::new();
    for plan in plans.all() {
        for (style, &format) in
            plan.styles.iter().flat_map(|style| plan.formats.iter().map(move |to| (style, to)))
        {
            if !pairs.iter().any(|(known, to)| *known == style && to.name() == format.name()) {
                pairs.push((style, format));
            }
        }
    }
    let [(style, format)] = pairs[..] else { return Err(needs_out("Several styles or formats")) };
    let mut done = run::convert(call, &tasks.tasks, &Stop::never(), |_, _| ());
    let charts: Vec<&Chart> =
        done.iter().flat_map(|done| &done.charts.charts).filter(|chart| chart.sound().is_some()).collect();
    let mut written = charts.len();
    if let Format::Chart(sheet) = format {
        let (bytes, findings) = run::guarded_whole(|| convert::drawn(&charts, sheet))?;
        written -= findings.len();
        if let Some(bytes) = bytes {
            call.terminal.bytes(&bytes, sheet.is_text())?;
        }
        let sound = done.iter_mut().flat_map(|done| &mut done.charts.charts);
        let mut sound: Vec<&mut Chart> = sound.filter(|chart| chart.sound().is_some()).collect();
        for (index, finding) in findings {
            if let Some(chart) = sound.get_mut(index) {
                chart.findings.push(finding);
            }
        }
    } else if matches!(format, Format::Json) && !charts.is_empty() {
        let all = done.iter().map(|done| &done.charts);
        let all = all.flat_map(|read| read.charts.iter().map(|chart| (chart, read.findings.as_slice())));
        call.terminal.result(&run::guarded_whole(|| convert::json(all))?)?;
    } else if !charts.is_empty() {
        call.terminal.result(&run::guarded_whole(|| convert::output(&charts, format, style))?)?;
    }
    for chart in done.iter_mut().flat_map(|done| &mut done.charts.charts) {
        let noted = run::guarded_whole(|| convert::noted(chart, format, style))?;
        chart.findings.extend(noted);
    }
    let found = run::gather(call, tasks, &done);
    finish(call, tasks, &found, done.len(), &number_of(written, "chart"))
}

/// Says what was found, on standard error, and writes the report.
fn finish(
    call: &Call,
    tasks: &Tasks,
    found: &Findings,
    files: usize,
    written: &str,
) -> Result<Status, Failure> {
    let shown: Vec<&Finding> = found.shown(call).collect();
    call.terminal.say(&report::findings(shown.into_iter()));
    if !call.terminal.quiet {
        call.terminal.say(&found.closing(files, &format!("{written} written")));
    }
    found.report(call, tasks)?;
    Ok(found.status)
}
