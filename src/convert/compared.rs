//! Two files compared, chart by chart.

use std::sync::Arc;

use super::{Charts, Source};
use crate::chart::Chart;
use crate::compare::{self, Beside, Verdict};
use crate::pattern::{Hand, Pattern, Worked};
use crate::place::Place;
use crate::problem::{Code, Finding};

/// A file to be compared, or one chart of it.
#[derive(Clone, Copy, Debug)]
pub struct Part<'a> {
    /// The file.
    pub source: Source<'a>,
    /// The letter of the one chart that is meant; every chart where none is named. A lone chart is A.
    pub only: Option<&'a str>,
}

impl<'a> Part<'a> {
    /// All of a file.
    pub fn whole(source: Source<'a>) -> Self {
        Self { source, only: None }
    }

    fn patterns(&self) -> Charts {
        self.chosen(self.source.patterns())
    }

    fn at_width(&self, cast_on: u32) -> Charts {
        self.chosen(self.source.at_width(cast_on))
    }

    fn chosen(&self, mut charts: Charts) -> Charts {
        if let Some(only) = self.only {
            charts.charts.retain(|chart| chart.letter.as_deref().unwrap_or("A") == only);
        }
        charts
    }
}

/// Two files compared.
#[derive(Clone, Debug)]
pub struct Compared {
    /// The charts of the one.
    pub left: Charts,
    /// The charts of the other.
    pub right: Charts,
    /// The charts that were compared.
    pub pairs: Vec<Pair>,
    /// The differences.
    pub findings: Vec<Finding>,
}

/// Two charts compared.
#[derive(Clone, Debug)]
pub struct Pair {
    /// The left one's title.
    pub title: String,
    /// What the left one is called: its file, with its letter where the file has several.
    pub left: String,
    /// What the right one is called.
    pub right: String,
    /// What the comparison comes to.
    pub verdict: Verdict,
    /// How many rows the left one has.
    pub length: usize,
    /// What is said of each before the rows, line by line: how it is worked, the cast-on.
    pub heads: [Vec<String>; 2],
    /// The rows beside each other; none where they were not compared.
    pub rows: Vec<Beside>,
}

/// Compares two files, chart by chart. A chart whose width is left open by its repeat is read at the other's width;
/// charts that are not sound are left out, and have their own findings.
pub fn compare(left: &Source<'_>, right: &Source<'_>) -> Compared {
    compare_parts(&Part::whole(*left), &Part::whole(*right))
}

/// Compares two files, or charts of them, as [`compare`] does.
pub fn compare_parts(left: &Part<'_>, right: &Part<'_>) -> Compared {
    let mut compared =
        Compared { left: left.patterns(), right: right.patterns(), pairs: Vec::new(), findings: Vec::new() };
    let indexes = |charts: &Charts| -> Vec<usize> {
        charts
            .charts
            .iter()
            .enumerate()
            .filter(|(_, chart)| chart.pattern.is_some())
            .map(|(at, _)| at)
            .collect()
    };
    let (ones, twos) = (indexes(&compared.left), indexes(&compared.right));
    let patterns = |charts: &[Chart]| -> Vec<Pattern> {
        charts.iter().filter_map(|chart| chart.pattern.clone()).collect()
    };
    let (all_left, all_right) = (patterns(&compared.left.charts), patterns(&compared.right.charts));
    let pairs = compare::pairs(&all_left.iter().collect::<Vec<_>>(), &all_right.iter().collect::<Vec<_>>());
    // Where a chart could not be made out, a partner may be missing for that reason alone.
    let whole = ones.len() == compared.left.charts.len() && twos.len() == compared.right.charts.len();
    for (one, two) in pairs {
        let one = one.and_then(|at| ones.get(at)).copied();
        let two = two.and_then(|at| twos.get(at)).copied();
        if let (Some(one), Some(two)) = (one, two) {
            compared.pair(left, one, right, two);
        } else if whole && !ones.is_empty() && !twos.is_empty() {
            compared
                .findings
                .extend(one.and_then(|at| unmatched(compared.left.charts.get(at)?, right.source.file)));
            compared
                .findings
                .extend(two.and_then(|at| unmatched(compared.right.charts.get(at)?, left.source.file)));
        }
    }
    compared
}

impl Compared {
    fn pair(&mut self, left: &Part<'_>, one: usize, right: &Part<'_>, two: usize) {
        for_one_width((left, &mut self.left, one), (right, &mut self.right, two));
        let (Some(one), Some(two)) = (self.left.charts.get(one), self.right.charts.get(two)) else { return };
        let (Some(a), Some(b)) = (one.sound(), two.sound()) else { return };
        let (left, right) = (&left.source, &right.source);
        // The name of a file is enough, unless both have the same.
        let name = |file: &Arc<str>| file.rsplit(['/', '\\']).next().unwrap_or(file).to_owned();
        let alike = name(left.file) == name(right.file);
        let called = |file: &Arc<str>, chart: &Chart| {
            let file = match &**file {
                "-" => "standard input".to_owned(),
                _ if alike => file.to_string(),
                _ => name(file),
            };
            match &chart.letter {
                Some(letter) => format!("{file} {letter}"),
                None => file,
            }
        };
        let (named, other) = (called(left.file, one), called(right.file, two));
        let side = |pattern, called| compare::Side { pattern, called };
        let comparison = compare::compare(side(a, &named), side(b, &other));
        self.pairs.push(Pair {
            title: a.title.clone(),
            verdict: comparison.verdict,
            length: a.rows.len(),
            heads: [head(a), head(b)],
            rows: comparison.rows,
            left: named.clone(),
            right: other.clone(),
        });
        let letter = one.letter.clone();
        self.findings.extend(comparison.findings.into_iter().map(|mut finding| {
            finding.chart.clone_from(&letter);
            finding
        }));
    }
}

/// How a pattern is worked, and on how many stitches.
fn head(pattern: &Pattern) -> Vec<String> {
    let way = match pattern.worked {
        Worked::Flat => "Worked flat.",
        Worked::Round => "Worked in the round.",
    };
    let hand = (pattern.hand == Hand::Left).then(|| "For left-handed knitters.".to_owned());
    let cast_on = match pattern.cast_on {
        1 => "Cast on 1 st.".to_owned(),
        count => format!("Cast on {count} sts."),
    };
    std::iter::once(way.to_owned()).chain(hand).chain([cast_on]).collect()
}

/// Reads one of two charts again where nothing but the other tells how often its repeat is worked.
fn for_one_width(
    left: (&Part<'_>, &mut Charts, usize),
    right: (&Part<'_>, &mut Charts, usize),
) -> Option<()> {
    let cast_on = |charts: &Charts, at: usize| Some(charts.charts.get(at)?.pattern.as_ref()?.cast_on);
    let (one, two) = (cast_on(left.1, left.2)?, cast_on(right.1, right.2)?);
    if one == two {
        return None;
    }
    let open = |charts: &Charts, at: usize, width: u32| {
        let chart = charts.charts.get(at)?;
        let multiple = chart.pattern.as_ref()?.multiple?;
        let assumed = chart.findings.iter().any(|finding| finding.code == Code::RepeatWrittenOut);
        let fits = width.checked_sub(multiple.plus)?.checked_rem(multiple.of)? == 0;
        (assumed && fits).then_some(())
    };
    let ((part, charts, at), width) = if open(left.1, left.2, two).is_some() {
        (left, two)
    } else {
        open(right.1, right.2, one)?;
        (right, one)
    };
    let mut again = part.at_width(width);
    if at < again.charts.len() && again.charts.len() == charts.charts.len() {
        charts.charts[at] = again.charts.swap_remove(at);
    }
    Some(())
}

fn unmatched(chart: &Chart, other: &Arc<str>) -> Option<Finding> {
    let pattern = chart.pattern.as_ref()?;
    let place = pattern.rows.first().map_or_else(|| Place::file(&pattern.source), |row| row.place.clone());
    let message = format!("\"{}\" has no partner in {other}.", pattern.title);
    let mut finding = Finding::new(Code::ChartUnmatched, place, message)
        .help("Give both the same title, or add the one that is missing.");
    finding.chart.clone_from(&chart.letter);
    Some(finding)
}
