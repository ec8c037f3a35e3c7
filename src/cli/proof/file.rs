//! One file proved: its charts written, read again and compared; then held against the texts kept beside it.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use longhand::compare::Verdict;
use longhand::convert::{self, Chart, Charts, Part, Source};
use longhand::place::Place;
use longhand::problem::{Code, Finding, any_error};
use longhand::proof;
use longhand::read::Format;
use longhand::style::{self, Style};
use longhand::write::Writer;

use super::super::call::Call;
use super::super::files::{self, Input, Records};
use super::super::run;
use super::super::tasks::Task;
use super::kept::Kept;
use super::plan::Plan;

/// What was found of a file.
#[derive(Default)]
pub struct Proved {
    /// Its charts.
    pub charts: usize,
    /// Those that read back in every style.
    pub read_back: usize,
    /// What was found on the way there and back.
    findings: Vec<Finding>,
    /// The texts kept beside it.
    pub texts: Vec<Text>,
    /// Charts that no text is kept of, and texts that say no rows.
    lacking: Vec<Finding>,
    /// Whether it is a text by itself.
    alone: bool,
    /// The text to approve today.
    pub today: Option<Vec<u8>>,
    /// The name of the text that was approved now.
    pub approved: Option<String>,
}

/// A text kept beside a chart, held against it.
pub struct Text {
    /// Where it is.
    pub path: PathBuf,
    /// Whether it says what the chart says.
    pub agrees: bool,
    /// Whether longhand wrote it as it stands.
    pub own: bool,
    /// What was found.
    findings: Vec<Finding>,
}

impl Text {
    /// Whether longhand wrote it, and would use other words today.
    pub fn is_reworded(&self) -> bool {
        self.findings.iter().any(|finding| finding.code == Code::WordingChanged)
    }

    fn name(&self) -> String {
        self.path.file_name().unwrap_or_default().to_string_lossy().into_owned()
    }
}

impl Proved {
    /// What is known of a file that longhand itself failed on.
    pub fn failed(fault: Finding) -> Self {
        Self { findings: vec![fault], ..Self::default() }
    }

    /// What was found, besides what reading the file itself has found.
    pub fn findings(&self) -> impl Iterator<Item = &Finding> {
        let texts = self.texts.iter().flat_map(|text| &text.findings);
        self.findings.iter().chain(texts).chain(&self.lacking)
    }

    /// Whether a chart of the file has no text.
    pub fn lacks(&self) -> bool {
        self.lacking.iter().any(|finding| finding.code == Code::NoApprovedText)
    }

    /// Today's text stands beside the chart now: what was found of the one before is past.
    pub fn is_approved(&mut self, path: &Path) {
        self.texts.retain(|text| !files::same(&text.path, path));
        self.lacking.clear();
        self.approved = path.file_name().map(|name| name.to_string_lossy().into_owned());
    }

    /// What the file comes to in a word or two, and the texts it is said of.
    pub fn word(&self, charts: &Charts) -> (&'static str, Vec<String>) {
        let names = |wanted: &dyn Fn(&Text) -> bool| -> Vec<String> {
            self.texts.iter().filter(|text| wanted(text)).map(Text::name).collect()
        };
        let sound = !charts.charts.is_empty() && charts.charts.iter().all(|chart| chart.sound().is_some());
        if self.alone && charts.findings.iter().any(|finding| finding.code == Code::NoRows) {
            ("no rows", Vec::new())
        } else if !sound {
            ("wrong", Vec::new())
        } else if self.alone {
            let beside = !self.lacking.is_empty();
            (if beside { "adds up, no chart beside it" } else { "adds up" }, Vec::new())
        } else if any_error(&self.findings) {
            ("does not read back", Vec::new())
        } else if self.texts.iter().any(|text| !text.agrees) {
            ("differs", names(&|text| !text.agrees))
        } else if let Some(name) = &self.approved {
            ("approved", vec![name.clone()])
        } else if self.texts.iter().any(Text::is_reworded) {
            ("wording changed", names(&Text::is_reworded))
        } else if self.lacks() {
            ("no approved text", Vec::new())
        } else {
            ("ok", names(&|_| true))
        }
    }
}

/// Proves one input.
pub(super) fn prove(call: &Call, task: &Task, plan: &Plan, records: &Records, charts: &Charts) -> Proved {
    let mut proved = Proved { alone: plan.alone, ..Proved::default() };
    if plan.alone {
        let sound = charts.charts.iter().any(|chart| chart.sound().is_some());
        if sound && task.input.path().is_some() {
            let place = Place::file(&task.input.file);
            let message = "No chart of this name lies beside the text.";
            proved.lacking.push(
                Finding::new(Code::NoChartBeside, place, message)
                    .help("Give both the same name, and keep them in one folder."),
            );
        }
        return proved;
    }
    proved.charts = charts.charts.len();
    let source = run::source(call, task, &[]);
    for chart in charts.charts.iter().filter(|chart| chart.sound().is_some()) {
        let before = proved.findings.len();
        proved
            .findings
            .extend(plan.styles.iter().filter_map(|style| proof::read_back(chart, style, &source)));
        proved.read_back += usize::from(proved.findings.len() == before);
    }
    if task.input.path().is_some() {
        beside(call, task, plan, records, charts, &mut proved);
    }
    proved
}

/// Holds the texts beside a file against its charts.
fn beside(call: &Call, task: &Task, plan: &Plan, records: &Records, charts: &Charts, proved: &mut Proved) {
    // Read once more: charts with an open repeat may have to be read at the width of their text.
    let bytes = if plan.kept.is_empty() { Vec::new() } else { task.input.read().unwrap_or_default() };
    let chart = run::source(call, task, &bytes);
    let mut covered: Vec<&Kept> = Vec::new();
    for kept in &plan.kept {
        match held(&chart, kept, plan, records) {
            Ok(text) => {
                covered.push(kept);
                proved.texts.push(text);
            }
            Err(no_rows) => proved.lacking.extend(no_rows),
        }
    }
    let has = |letter: Option<&str>| {
        covered.iter().any(|kept| kept.letter.is_none() || kept.letter.as_deref() == letter.or(Some("A")))
    };
    let lacking: Vec<&Chart> = charts.charts.iter().filter(|chart| !has(chart.letter.as_deref())).collect();
    let name = |letter: Option<&str>| {
        let name = plan.text.file_name().unwrap_or_default().to_string_lossy().into_owned();
        match (letter, name.strip_suffix(".txt")) {
            (Some(letter), Some(stem)) => format!("{stem}.{letter}.txt"),
            _ => name,
        }
    };
    let finding = |name: String| {
        let message = format!("{name} is not there.");
        Finding::new(Code::NoApprovedText, Place::file(&task.input.file), message)
            .help("`longhand proof --approve` keeps today's rows as the approved text.")
    };
    if !lacking.is_empty() && covered.is_empty() {
        proved.lacking.push(finding(name(None)));
    } else {
        proved.lacking.extend(lacking.iter().map(|chart| {
            let mut finding = finding(name(chart.letter.as_deref()));
            finding.chart.clone_from(&chart.letter);
            finding
        }));
    }
    if plan.approve {
        today(&chart, plan, charts, proved);
    }
}

/// One text held against its charts; what was found where it holds no rows, and so is no approved text.
fn held(chart: &Source<'_>, kept: &Kept, plan: &Plan, records: &Records) -> Result<Text, Vec<Finding>> {
    let input = Input::alone(&kept.path);
    let bytes = match input.read() {
        Ok(bytes) => bytes,
        Err(finding) => {
            let path = kept.path.clone();
            return Ok(Text { path, agrees: false, own: false, findings: vec![finding] });
        }
    };
    let left = Part { only: kept.letter.as_deref(), ..Part::whole(*chart) };
    let right = Part::whole(Source { file: &input.file, bytes: &bytes, from: None, ..*chart });
    let compared = convert::compare_parts(&left, &right);
    let mut findings = compared.right.findings;
    let of_charts = compared.right.charts.iter().flat_map(|chart| &chart.findings);
    findings.extend(of_charts.chain(&compared.findings).cloned());
    if compared.right.charts.is_empty() && !any_error(&findings) {
        return Err(findings);
    }
    if let (true, Some(letter)) = (compared.left.charts.is_empty(), &kept.letter) {
        let message = format!("The text is that of chart {letter}, which {} has not.", chart.file);
        findings.push(
            Finding::new(Code::ChartUnmatched, Place::file(&input.file), message)
                .help("Give the text the letter of its chart: A, B, ... in the order they stand."),
        );
    }
    let whole = !compared.pairs.is_empty() && compared.pairs.len() == compared.left.charts.len();
    let agrees = whole && !any_error(&findings);
    let own = records.wrote(&kept.path, &bytes);
    let same = compared.pairs.iter().all(|pair| pair.verdict == Verdict::SameStitches);
    if own && agrees && same {
        let charts: Vec<&Chart> = compared.left.charts.iter().collect();
        let text = String::from_utf8_lossy(&bytes);
        findings.extend(wording(&charts, plan, &input, &text));
    }
    Ok(Text { path: kept.path.clone(), agrees, own, findings })
}

/// Whether longhand's own text would be worded so today, in a style of the call or a built-in one.
fn wording(charts: &[&Chart], plan: &Plan, input: &Input, text: &str) -> Option<Finding> {
    let writer = match Format::by_ending(&input.file) {
        Some(Format::Markdown) => Writer::named("markdown")?,
        _ => Writer::named("text")?,
    };
    let styles = plan.styles.iter().map(|style| -> &Style { style }).chain(style::built_in());
    proof::wording(charts, styles, writer, (&input.file, text))
}

/// Today's text of the charts of a file, if all of them read back and the text as a whole does too.
fn today(chart: &Source<'_>, plan: &Plan, charts: &Charts, proved: &mut Proved) -> Option<()> {
    let style = plan.styles.first()?;
    let all: Vec<&Chart> = charts.charts.iter().filter(|chart| chart.sound().is_some()).collect();
    if all.is_empty() || proved.read_back < charts.charts.len() {
        return None;
    }
    let text = convert::output(&all, convert::Format::named("text")?, style);
    if let [_, _, ..] = all[..] {
        let name = Arc::from("rows.txt");
        let rows = Source { file: &name, bytes: text.as_bytes(), from: Some(Format::Text), ..*chart };
        let read = rows.patterns();
        let same = proof::read_back_as(&all, &read.charts);
        if !same {
            let message = "Its charts read back one by one, but not from one text.";
            let help = "Give each of its charts a title of its own.";
            let place = Place::file(chart.file);
            proved.findings.push(Finding::new(Code::ReadBackDiffers, place, message).help(help));
            return None;
        }
    }
    proved.today = Some(text.into_bytes());
    Some(())
}
