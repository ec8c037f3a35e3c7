//! The files of a bundle read and compared. Each is read once, and what is found in it is told once.

use std::collections::BTreeMap;
use std::path::Path;

use longhand::compare::Verdict;
use longhand::convert::{self, Charts, Compared, Part};
use longhand::place::Place;
use longhand::problem::{Code, Finding, any_error};

use super::super::super::call::Call;
use super::super::super::run::{self, Task, Tasks};
use super::name::Name;
use super::outcome::{Class, Outcome, Side};
use super::pairing::Pairing;

/// What all bundles need to know.
pub struct Folders<'a> {
    /// The call.
    pub call: &'a Call,
    /// The files of the left folder, then those of the right one.
    pub tasks: &'a Tasks,
    /// The names of styles that may stand in the names of files.
    pub styles: &'a [String],
    /// The folders, as given.
    pub named: [&'a Path; 2],
}

/// A bundle, done.
#[derive(Default)]
pub struct Done {
    /// In order: what each pairing comes to.
    pub outcomes: Vec<Outcome>,
    /// For each file: whether it could be read, and how many charts it holds.
    pub files: Vec<(bool, usize)>,
}

/// A file of the bundle.
struct File<'a> {
    task: &'a Task,
    name: Name,
    bytes: Result<Vec<u8>, Finding>,
    read: bool,
    charts: usize,
    /// What was told of it.
    told: Vec<Finding>,
}

impl File<'_> {
    fn side(&self, chart: Option<&str>) -> Side {
        Side { file: self.task.input.file.clone(), chart: chart.map(str::to_owned) }
    }

    fn place(&self) -> Place {
        Place::file(&self.task.input.file)
    }

    /// Of some findings those that were not told before.
    fn fresh(&mut self, findings: impl Iterator<Item = Finding>) -> Vec<Finding> {
        let fresh: Vec<Finding> = findings.filter(|finding| !self.told.contains(finding)).collect();
        self.told.extend(fresh.iter().cloned());
        fresh
    }

    fn knows(&mut self, charts: &Charts) {
        self.read |= run::could_be_read(charts);
        self.charts = self.charts.max(charts.charts.len());
    }
}

/// The files of a bundle by their numbers.
type Files<'a> = BTreeMap<u32, File<'a>>;

impl Folders<'_> {
    /// Does the pairings of a bundle.
    pub fn done(&self, bundle: &[Pairing]) -> Done {
        let numbers = bundle.iter().flat_map(|pair| [pair.left, pair.right]).flatten();
        let mut files: Files<'_> = numbers.filter_map(|number| Some((number, self.file(number)?))).collect();
        let mut outcomes = Vec::with_capacity(bundle.len());
        for pair in bundle {
            let left = pair.left.and_then(|left| files.remove(&left));
            let right = pair.right.and_then(|right| files.remove(&right));
            match (left, right) {
                (Some(mut left), Some(mut right)) => {
                    outcomes.push(self.compared(&mut left, &mut right));
                    files.extend(pair.left.map(|number| (number, left)));
                    files.extend(pair.right.map(|number| (number, right)));
                }
                (left, right) => {
                    let is_right = right.is_some();
                    let Some(mut file) = left.or(right) else { continue };
                    outcomes.push(self.alone(&mut file, is_right));
                    files.extend(pair.left.or(pair.right).map(|number| (number, file)));
                }
            }
        }
        outcomes.extend(self.charts_left_over(bundle, &mut files));
        Done { outcomes, files: files.values().map(|file| (file.read, file.charts)).collect() }
    }

    fn file(&self, number: u32) -> Option<File<'_>> {
        let task = self.tasks.tasks.get(number as usize)?;
        let name = Name::of(task.input.named_after(), self.styles);
        Some(File { task, name, bytes: task.input.read(), read: false, charts: 0, told: Vec::new() })
    }

    /// The charts of a file by itself.
    fn charts(&self, file: &mut File<'_>) -> Charts {
        let charts = match &file.bytes {
            Ok(bytes) => run::charts(self.call, file.task, bytes),
            Err(finding) => Charts { charts: Vec::new(), findings: vec![finding.clone()] },
        };
        file.knows(&charts);
        charts
    }

    /// Two files compared; where only one of them is named after a chart, that chart of the other with it.
    fn compared(&self, left: &mut File<'_>, right: &mut File<'_>) -> Outcome {
        let only = |file: &File<'_>, other: &File<'_>| match (&file.name.letter, &other.name.letter) {
            (None, Some(letter)) => Some(letter.clone()),
            _ => None,
        };
        let (one, two) = (only(left, right), only(right, left));
        let sides = [left.side(one.as_deref()), right.side(two.as_deref())];
        let compared = match (&left.bytes, &right.bytes) {
            (Ok(a), Ok(b)) => {
                let left_part = Part { source: run::source(self.call, left.task, a), only: one.as_deref() };
                let right_part = Part { source: run::source(self.call, right.task, b), only: two.as_deref() };
                run::guarded(left.task, || convert::compare_parts(&left_part, &right_part)).unwrap_or_else(
                    |finding| Compared {
                        left: Charts { charts: Vec::new(), findings: vec![finding] },
                        ..Compared::default()
                    },
                )
            }
            _ => Compared { left: self.charts(left), right: self.charts(right), ..Compared::default() },
        };
        left.knows(&compared.left);
        right.knows(&compared.right);
        let lacks = |only: &Option<String>, charts: &Charts| {
            only.is_some() && charts.charts.is_empty() && run::could_be_read(charts)
        };
        let [a, b] = &sides;
        if lacks(&one, &compared.left) {
            let findings = lacking((left, &compared.left), (right, &compared.right));
            let right = Some(Side { chart: None, ..b.clone() });
            return Outcome { left: None, right, class: Class::Alone, pairs: Vec::new(), findings };
        }
        if lacks(&two, &compared.right) {
            let findings = lacking((right, &compared.right), (left, &compared.left));
            let left = Some(Side { chart: None, ..a.clone() });
            return Outcome { left, right: None, class: Class::Alone, pairs: Vec::new(), findings };
        }
        let class = class(&compared);
        let Compared { left: mut a, right: mut b, pairs, findings } = compared;
        // Where one has rows the other was to have some too.
        if !a.charts.is_empty() {
            b = run::wanted(b);
        }
        if !b.charts.is_empty() {
            a = run::wanted(a);
        }
        let mut all = left.fresh(a.findings().cloned());
        all.extend(right.fresh(b.findings().cloned()));
        all.extend(findings);
        let [left, right] = sides.map(Some);
        Outcome { left, right, class, pairs, findings: all }
    }

    /// A file that only one of the folders has.
    fn alone(&self, file: &mut File<'_>, is_right: bool) -> Outcome {
        let charts = self.charts(file);
        let mut findings: Vec<Finding> = charts.findings().cloned().collect();
        let class = if !file.read {
            Class::Unreadable
        } else if charts.charts.is_empty() && !any_error(&findings) {
            Class::NoRows
        } else {
            findings.push(self.unmatched(file, is_right));
            Class::Alone
        };
        let (side, none) = (Some(file.side(None)), None);
        let (left, right) = if is_right { (none, side) } else { (side, none) };
        Outcome { left, right, class, pairs: Vec::new(), findings }
    }

    fn unmatched(&self, file: &File<'_>, is_right: bool) -> Finding {
        let [left, right] = self.named;
        let other = if is_right { left } else { right };
        let wanted = other.join(file.task.input.named_after()).with_extension("");
        let message = format!("{} has no file of this name, whatever its ending.", other.display());
        Finding::new(Code::FileUnmatched, file.place(), message)
            .expected(wanted.display())
            .help("Give both the same name, in the same folder below, or add the one that is missing.")
    }

    /// Where the charts of a file lie in files of their own: those that none of them holds.
    fn charts_left_over(&self, bundle: &[Pairing], files: &mut Files<'_>) -> Vec<Outcome> {
        let mut outcomes = Vec::new();
        for number in files.keys().copied().collect::<Vec<_>>() {
            let partners = partners(bundle, number);
            let Some(mut file) = files.remove(&number) else { continue };
            let of_charts: Vec<&File<'_>> =
                partners.iter().filter_map(|partner| files.get(partner)).collect();
            // A partner that is not named after a chart has them all.
            let split = file.name.letter.is_none()
                && !of_charts.is_empty()
                && of_charts.iter().all(|partner| partner.name.letter.is_some());
            if split && file.read {
                let is_right = bundle.iter().any(|pair| pair.right == Some(number));
                let charts = self.charts(&mut file);
                outcomes.extend(left_over(&mut file, &charts, &of_charts, is_right));
            }
            files.insert(number, file);
        }
        outcomes
    }
}

/// The files that one is compared with.
fn partners(bundle: &[Pairing], number: u32) -> Vec<u32> {
    let pairs = bundle.iter();
    pairs
        .filter_map(|pair| match (pair.left, pair.right) {
            (Some(left), Some(right)) if left == number => Some(right),
            (Some(left), Some(right)) if right == number => Some(left),
            _ => None,
        })
        .collect()
}

/// The charts of a file that no file of a chart holds; looked for in each set of files of one style and format.
fn left_over(file: &mut File<'_>, charts: &Charts, of_charts: &[&File<'_>], is_right: bool) -> Vec<Outcome> {
    let mut outcomes = Vec::new();
    for (at, first) in of_charts.iter().enumerate() {
        let is_of_set = |other: &&&File<'_>| other.name.is_sibling(&first.name);
        if of_charts.iter().take(at).any(|other| is_of_set(&other)) {
            continue;
        }
        let set: Vec<&&File<'_>> = of_charts.iter().filter(is_of_set).collect();
        for chart in &charts.charts {
            let letter = chart.letter.as_deref().unwrap_or("A");
            if set.iter().any(|other| other.name.letter.as_deref() == Some(letter)) {
                continue;
            }
            let place =
                chart.pattern.as_ref().and_then(|pattern| pattern.rows.first()).map(|row| row.place.clone());
            let message = format!("Chart {letter} has no partner beside {}.", first.task.input.file);
            let mut finding =
                Finding::new(Code::ChartUnmatched, place.unwrap_or_else(|| file.place()), message)
                    .help(format!("Add the file of chart {letter}, or take the chart out."));
            finding.chart.clone_from(&chart.letter);
            let mut findings = file.fresh(chart.findings.iter().cloned());
            findings.push(finding);
            let (side, none) = (Some(file.side(Some(letter))), None);
            let (left, right) = if is_right { (none, side) } else { (side, none) };
            outcomes.push(Outcome { left, right, class: Class::Alone, pairs: Vec::new(), findings });
        }
    }
    outcomes
}

/// What is found of a file that is named after a chart which the other one has not.
fn lacking(whole: (&mut File<'_>, &Charts), part: (&mut File<'_>, &Charts)) -> Vec<Finding> {
    let ((whole, of_whole), (part, of_part)) = (whole, part);
    let letter = part.name.letter.as_deref().unwrap_or("A");
    let message = format!("The file is that of chart {letter}, which {} has not.", whole.task.input.file);
    let finding = Finding::new(Code::ChartUnmatched, part.place(), message)
        .help("Give it the letter of its chart: A, B, ... in the order they stand.");
    let mut findings = whole.fresh(of_whole.findings().cloned());
    findings.extend(part.fresh(of_part.findings().cloned()));
    findings.push(finding);
    findings
}

/// What two files come to that were both looked at.
fn class(compared: &Compared) -> Class {
    let Compared { left, right, pairs, findings } = compared;
    let worst = pairs.iter().map(|pair| pair.verdict).max();
    let unmatched = findings.iter().any(|finding| finding.code == Code::ChartUnmatched);
    if !run::could_be_read(left) || !run::could_be_read(right) {
        return Class::Unreadable;
    }
    // Of a chart without a pattern only some rows are known.
    let whole = [left, right].iter().all(|side| {
        side.charts.len() == pairs.len() && side.charts.iter().all(|chart| chart.pattern.is_some())
    });
    match worst {
        _ if unmatched => Class::Different,
        Some(Verdict::Different) => Class::Different,
        Some(verdict) if whole => verdict.into(),
        Some(_) => Class::InPart,
        None if [left, right].iter().all(|side| side.charts.is_empty() && !any_error(&side.findings)) => {
            Class::NoRows
        }
        None => Class::NotCompared,
    }
}
