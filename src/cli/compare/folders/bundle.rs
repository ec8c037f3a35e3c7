//! The files of a bundle read and compared. Each is read once, and what is found in it is told once.

use std::collections::BTreeMap;
use std::path::Path;

use longhand::compare::Verdict;
use longhand::convert::{self, Charts, Compared, Part};
use longhand::place::Place;
use longhand::problem::{Code, Finding, any_error};

use super::super::super::call::Call;
use super::super::super::names::StyleNames;
use super::super::super::run;
use super::super::super::tasks::{Task, Tasks};
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
    pub styles: &'a StyleNames,
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
struct File {
    task: Task,
    name: Name,
    bytes: Result<Vec<u8>, Finding>,
    read: bool,
    charts: usize,
    /// Its charts, where it has several partners or may have more charts than partners.
    known: Option<Charts>,
    /// What was told of it.
    told: Vec<Finding>,
}

impl File {
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

    /// The letter of the one chart that a comparison with another is about, where that one is named after it.
    fn only(&self, other: &Self) -> Option<String> {
        if self.name.letter.is_none() { other.name.letter.clone() } else { None }
    }

    /// Whether it is a text without rows, as far as its charts are known.
    fn is_without_rows(&self) -> bool {
        let none = |charts: &Charts| charts.charts.is_empty() && !any_error(&charts.findings);
        self.known.as_ref().is_some_and(none)
    }

    fn knows(&mut self, charts: &Charts) {
        self.read |= run::could_be_read(charts);
        self.charts = self.charts.max(charts.charts.len());
    }
}

/// The files of a bundle by their numbers.
type Files = BTreeMap<u32, File>;

impl Folders<'_> {
    /// Does the pairings of a bundle.
    pub fn done(&self, bundle: &[Pairing]) -> Done {
        let numbers = bundle.iter().flat_map(|pair| [pair.left, pair.right]).flatten();
        let mut files: Files = numbers.filter_map(|number| Some((number, self.file(number)?))).collect();
        // Reading a file for each of its partners again would take long where every chart of it is one.
        if bundle.len() > 1 || files.values().any(|file| file.name.letter.is_some()) {
            for file in files.values_mut() {
                file.known = Some(self.charts(file));
            }
        }
        let mut outcomes = Vec::with_capacity(bundle.len());
        for pair in bundle {
            if let Some(number) = left_aside(pair, bundle, &files) {
                let is_right = pair.right == Some(number);
                let file = files.get_mut(&number).filter(|file| file.told.is_empty());
                outcomes.extend(file.map(|file| self.alone(file, is_right)));
                continue;
            }
            let left = pair.left.and_then(|left| files.remove(&left));
            let right = pair.right.and_then(|right| files.remove(&right));
            let (mut left, mut right) = (left, right);
            match (&mut left, &mut right) {
                (Some(left), Some(right)) => outcomes.push(self.compared(left, right)),
                (Some(file), None) => outcomes.push(self.alone(file, false)),
                (None, Some(file)) => outcomes.push(self.alone(file, true)),
                (None, None) => {}
            }
            files.extend(pair.left.zip(left));
            files.extend(pair.right.zip(right));
        }
        outcomes.extend(self.charts_left_over(bundle, &mut files));
        Done { outcomes, files: files.values().map(|file| (file.read, file.charts)).collect() }
    }

    fn file(&self, number: u32) -> Option<File> {
        let task = self.tasks.tasks.get(number as usize)?;
        let name = Name::of(task.input.named_after(), self.styles);
        let bytes = task.input.read();
        Some(File { task, name, bytes, read: false, charts: 0, known: None, told: Vec::new() })
    }

    /// The charts of a file by itself.
    fn charts(&self, file: &mut File) -> Charts {
        let charts = match &file.bytes {
            Ok(bytes) => run::charts(self.call, &file.task, bytes),
            Err(finding) => Charts { charts: Vec::new(), findings: vec![finding.clone()] },
        };
        file.knows(&charts);
        charts
    }

    /// Two files compared; where only one of them is named after a chart, that chart of the other with it.
    fn compared(&self, left: &mut File, right: &mut File) -> Outcome {
        let only = [left.only(right), right.only(left)];
        let sides = [left.side(only[0].as_deref()), right.side(only[1].as_deref())];
        let compared = self.both(left, right, &only);
        left.knows(&compared.left);
        right.knows(&compared.right);
        let lacks = |only: &Option<String>, charts: &Charts| {
            only.is_some() && charts.charts.is_empty() && run::could_be_read(charts)
        };
        if lacks(&only[0], &compared.left) {
            let findings = lacking((left, &compared.left), (right, &compared.right));
            return alone(right.side(None), true, Class::Alone, findings);
        }
        if lacks(&only[1], &compared.right) {
            let findings = lacking((right, &compared.right), (left, &compared.left));
            return alone(left.side(None), false, Class::Alone, findings);
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

    /// What the comparison of two files gives, or of those charts of them that are meant.
    fn both(&self, left: &mut File, right: &mut File, only: &[Option<String>; 2]) -> Compared {
        let (Ok(one), Ok(two)) = (&left.bytes, &right.bytes) else {
            return Compared { left: self.charts(left), right: self.charts(right), ..Compared::default() };
        };
        let parts = [
            Part {
                source: run::source(self.call, &left.task, one),
                only: only[0].as_deref(),
                known: left.known.as_ref(),
            },
            Part {
                source: run::source(self.call, &right.task, two),
                only: only[1].as_deref(),
                known: right.known.as_ref(),
            },
        ];
        run::compared(&left.task, || convert::compare_parts(&parts[0], &parts[1]))
    }

    /// A file that only one of the folders has.
    fn alone(&self, file: &mut File, is_right: bool) -> Outcome {
        let charts = file.known.clone().unwrap_or_else(|| self.charts(file));
        let mut findings = file.fresh(charts.findings().cloned());
        let class = if !file.read {
            Class::Unreadable
        } else if charts.charts.is_empty() && !any_error(&findings) {
            Class::NoRows
        } else {
            findings.push(self.unmatched(file, is_right));
            Class::Alone
        };
        alone(file.side(None), is_right, class, findings)
    }

    fn unmatched(&self, file: &File, is_right: bool) -> Finding {
        let [left, right] = self.named;
        let other = if is_right { left } else { right };
        let wanted = other.join(file.task.input.named_after()).with_extension("");
        let message = format!("{} has no file of this name, whatever its ending.", other.display());
        Finding::new(Code::FileUnmatched, file.place(), message)
            .expected(wanted.display())
            .help("Give both the same name, in the same folder below, or add the one that is missing.")
    }

    /// Where the charts of a file lie in files of their own: those that none of them holds.
    fn charts_left_over(&self, bundle: &[Pairing], files: &mut Files) -> Vec<Outcome> {
        let mut outcomes = Vec::new();
        for number in files.keys().copied().collect::<Vec<_>>() {
            let partners = partners(bundle, number);
            let Some(mut file) = files.remove(&number) else { continue };
            let of_charts: Vec<&File> = partners.iter().filter_map(|partner| files.get(partner)).collect();
            // A partner that is not named after a chart has them all.
            let split = file.name.letter.is_none()
                && !of_charts.is_empty()
                && of_charts.iter().all(|partner| partner.name.letter.is_some());
            if let Some(charts) = file.known.take().filter(|_| split && file.read) {
                let is_right = bundle.iter().any(|pair| pair.right == Some(number));
                outcomes.extend(left_over(&mut file, &charts, &of_charts, is_right));
            }
            files.insert(number, file);
        }
        outcomes
    }
}

/// What a file without partner comes to.
fn alone(side: Side, is_right: bool, class: Class, findings: Vec<Finding>) -> Outcome {
    let (left, right) = if is_right { (None, Some(side)) } else { (Some(side), None) };
    Outcome { left, right, class, pairs: Vec::new(), findings }
}

/// The file of a pairing that is no partner: a text without rows, such as notes on a chart under its name, where
/// another file goes with the chart.
fn left_aside(pair: &Pairing, bundle: &[Pairing], files: &Files) -> Option<u32> {
    let without = |number: u32| files.get(&number).is_some_and(File::is_without_rows);
    let (left, right) = (pair.left?, pair.right?);
    let (aside, other) = match (without(left), without(right)) {
        (true, false) => (left, right),
        (false, true) => (right, left),
        _ => return None,
    };
    partners(bundle, other).into_iter().any(|partner| !without(partner)).then_some(aside)
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
fn left_over(file: &mut File, charts: &Charts, of_charts: &[&File], is_right: bool) -> Vec<Outcome> {
    let mut outcomes = Vec::new();
    for (at, first) in of_charts.iter().enumerate() {
        let is_of_set = |other: &&&File| other.name.is_sibling(&first.name);
        if of_charts.iter().take(at).any(|other| is_of_set(&other)) {
            continue;
        }
        let set: Vec<&&File> = of_charts.iter().filter(is_of_set).collect();
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
            outcomes.push(alone(file.side(Some(letter)), is_right, Class::Alone, findings));
        }
    }
    outcomes
}

/// What is found of a file that is named after a chart which the other one has not.
fn lacking(whole: (&mut File, &Charts), part: (&mut File, &Charts)) -> Vec<Finding> {
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
