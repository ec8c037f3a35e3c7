//! Two files compared, chart by chart.

mod sizes;

use std::sync::Arc;

use super::{Chart, Charts, Source};
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
    /// What [`Source::patterns`] gives, where the file has been read before.
    pub known: Option<&'a Charts>,
}

impl<'a> Part<'a> {
    /// All of a file.
    pub fn whole(source: Source<'a>) -> Self {
        Self { source, only: None, known: None }
    }

    fn patterns(&self) -> Charts {
        let Some(known) = self.known else { return self.chosen(self.source.patterns()) };
        let charts = known.charts.iter().filter(|chart| self.is_meant(chart));
        Charts { charts: charts.cloned().collect(), findings: known.findings.clone() }
    }

    fn is_meant(&self, chart: &Chart) -> bool {
        self.only.is_none_or(|only| chart.letter.as_deref().unwrap_or("A") == only)
    }

    fn at_width(&self, cast_on: u32) -> Charts {
        self.chosen(self.source.at_width(cast_on))
    }

    /// Of each pattern of a text, the stretches of rows that can be worked where others can't.
    fn stretches(&self) -> Vec<Vec<Pattern>> {
        let readings = self.source.readings().into_iter();
        let chosen = readings
            .filter(|reading| self.only.is_none_or(|only| reading.letter.as_deref().unwrap_or("A") == only));
        chosen.map(|reading| reading.stretches).collect()
    }

    fn chosen(&self, mut charts: Charts) -> Charts {
        charts.charts.retain(|chart| self.is_meant(chart));
        charts
    }
}

/// Two files compared.
#[derive(Clone, Debug, Default)]
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
    /// The letters of both in their files, where those have several.
    pub letters: [Option<Arc<str>>; 2],
    /// What the comparison comes to.
    pub verdict: Verdict,
    /// How many rows the left one has.
    pub length: usize,
    /// What is said of each before the rows, line by line: how it is worked, the cast-on.
    pub heads: [Vec<String>; 2],
    /// The rows beside each other; none where they were not compared.
    pub rows: Vec<Beside>,
}

/// Compares two files, chart by chart. A chart whose width is left open by its repeat is read at the other's width. A
/// chart that is not sound has its own findings, and is compared as far as its rows can be made out: what differs there
/// is likely the reason.
pub fn compare(left: &Source<'_>, right: &Source<'_>) -> Compared {
    compare_parts(&Part::whole(*left), &Part::whole(*right))
}

/// Compares two files, or charts of them, as [`compare()`] does.
pub fn compare_parts(left: &Part<'_>, right: &Part<'_>) -> Compared {
    let (mut one, mut two) = (Read::of(left), Read::of(right));
    let mut compared = Compared::default();
    let (ones, twos) = (one.readable(), two.readable());
    let pairs = {
        let shown = |read: &Read<'_>, indexes: &[usize]| -> Vec<Pattern> {
            indexes.iter().filter_map(|&at| read.pattern(at).cloned()).collect()
        };
        let (all, others) = (shown(&one, &ones), shown(&two, &twos));
        compare::pairs(&all.iter().collect::<Vec<_>>(), &others.iter().collect::<Vec<_>>())
    };
    // Where a chart could not be made out, a partner may be missing for that reason alone.
    let whole = ones.len() == one.charts.charts.len() && twos.len() == two.charts.charts.len();
    for (at, with) in pairs {
        let at = at.and_then(|at| ones.get(at)).copied();
        let with = with.and_then(|with| twos.get(with)).copied();
        if let (Some(at), Some(with)) = (at, with) {
            compared.pair((&mut one, at), (&mut two, with));
        } else if whole && !ones.is_empty() && !twos.is_empty() {
            compared.findings.extend(at.and_then(|at| unmatched(&one, at, right.source.file)));
            compared.findings.extend(with.and_then(|with| unmatched(&two, with, left.source.file)));
        }
    }
    (compared.left, compared.right) = (one.charts, two.charts);
    compared
}

/// A file as read.
struct Read<'a> {
    part: &'a Part<'a>,
    charts: Charts,
    /// For each chart that has no pattern: the stretches of its rows that can be worked.
    stretches: Vec<Vec<Pattern>>,
}

impl<'a> Read<'a> {
    fn of(part: &'a Part<'a>) -> Self {
        let charts = part.patterns();
        let wanting = charts.charts.iter().any(|chart| chart.pattern.is_none());
        let stretches = if wanting { part.stretches() } else { Vec::new() };
        Self { part, charts, stretches }
    }

    /// What is known of the rows of a chart: its pattern, else the first stretch of them.
    fn pattern(&self, at: usize) -> Option<&Pattern> {
        self.charts.charts.get(at)?.pattern.as_ref().or_else(|| self.stretches.get(at)?.first())
    }

    /// The charts of which some rows are known.
    fn readable(&self) -> Vec<usize> {
        (0..self.charts.charts.len()).filter(|&at| self.pattern(at).is_some()).collect()
    }

    /// The name of the file, as long as it must be to tell it from another, and the letter of the chart.
    fn called(&self, at: usize, other: &str) -> String {
        let file = self.part.source.file;
        let name = |file: &str| file.rsplit(['/', '\\']).next().unwrap_or(file).to_owned();
        let file = match &**file {
            "-" => "standard input".to_owned(),
            file if name(file) == name(other) => file.to_owned(),
            file => name(file),
        };
        match self.letter(at) {
            Some(letter) => format!("{file} {letter}"),
            None => file,
        }
    }

    fn letter(&self, at: usize) -> Option<Arc<str>> {
        self.charts.charts.get(at)?.letter.clone()
    }
}

impl Compared {
    fn pair<'a>(&mut self, (left, at): (&mut Read<'a>, usize), (right, with): (&mut Read<'a>, usize)) {
        for_one_width((left, at), (right, with));
        let (named, other) =
            (left.called(at, right.part.source.file), right.called(with, left.part.source.file));
        let Some(title) = left.pattern(at).map(|pattern| pattern.title.clone()) else { return };
        let mut pair = Pair {
            title,
            left: named,
            right: other,
            letters: [left.letter(at), right.letter(with)],
            verdict: Verdict::SameStitches,
            length: 0,
            heads: [Vec::new(), Vec::new()],
            rows: Vec::new(),
        };
        let whole =
            |read: &Read<'_>, at: usize| read.charts.charts.get(at).and_then(|chart| chart.pattern.clone());
        let mut found = Vec::new();
        match (whole(left, at), whole(right, with)) {
            (Some(a), Some(b)) => {
                pair.length = a.rows.len();
                pair.add(&a, &b, &mut found);
                sizes::compare((left, at), (right, with), &mut pair, &mut found);
            }
            (Some(a), None) => {
                pair.length = a.rows.len();
                for stretch in right.stretches.get(with).into_iter().flatten() {
                    pair.add(&beside(&a, stretch), stretch, &mut found);
                }
            }
            (None, Some(b)) => {
                pair.length =
                    left.stretches.get(at).into_iter().flatten().map(|stretch| stretch.rows.len()).sum();
                for stretch in left.stretches.get(at).into_iter().flatten() {
                    pair.add(stretch, &beside(&b, stretch), &mut found);
                }
            }
            // Nothing tells how the stretches of two texts lie beside each other.
            (None, None) => return,
        }
        self.pairs.push(pair);
        let letter = left.letter(at);
        self.findings.extend(found.into_iter().map(|mut finding| {
            finding.chart.clone_from(&letter);
            finding
        }));
    }
}

impl Pair {
    /// Compares two patterns, or stretches of them, as a part of the pair.
    fn add(&mut self, a: &Pattern, b: &Pattern, findings: &mut Vec<Finding>) {
        let side = |pattern, called| compare::Side { pattern, called };
        let comparison = compare::compare(side(a, &self.left), side(b, &self.right));
        self.verdict = self.verdict.max(comparison.verdict);
        if self.rows.is_empty() {
            self.heads = [head(a), head(b)];
        }
        self.rows.extend(comparison.rows);
        findings.extend(comparison.findings);
    }
}

/// The rows of a pattern that a stretch of another's is to be compared with: those of its numbers.
fn beside(pattern: &Pattern, stretch: &Pattern) -> Pattern {
    let numbers = stretch.rows.first().zip(stretch.rows.last());
    let numbers = numbers.map(|(first, last)| first.number..=last.number);
    let is_in = |number: u32| numbers.as_ref().is_some_and(|numbers| numbers.contains(&number));
    let first = pattern.rows.first().is_some_and(|row| is_in(row.number));
    let rows = pattern.rows.iter().filter(|row| is_in(row.number)).cloned().collect();
    // In mid-pattern the stretch begins on the stitches that its first row uses.
    let cast_on = if first { pattern.cast_on } else { stretch.cast_on };
    Pattern { rows, cast_on, ..pattern.clone() }
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
fn for_one_width<'a>(
    (left, at): (&mut Read<'a>, usize),
    (right, with): (&mut Read<'a>, usize),
) -> Option<()> {
    let (one, two) = (left.pattern(at)?.cast_on, right.pattern(with)?.cast_on);
    if one == two {
        return None;
    }
    let open = |read: &Read<'_>, at: usize, width: u32| {
        let chart = read.charts.charts.get(at)?;
        let multiple = chart.pattern.as_ref()?.multiple?;
        let assumed = chart.findings.iter().any(|finding| finding.code == Code::RepeatWrittenOut);
        let fits = width.checked_sub(multiple.plus)?.checked_rem(multiple.of)? == 0;
        (assumed && fits).then_some(())
    };
    let (read, at, width) = if open(left, at, two).is_some() {
        (left, at, two)
    } else {
        open(right, with, one)?;
        (right, with, one)
    };
    let mut again = read.part.at_width(width);
    if at < again.charts.len() && again.charts.len() == read.charts.charts.len() {
        read.charts.charts[at] = again.charts.swap_remove(at);
    }
    Some(())
}

fn unmatched(read: &Read<'_>, at: usize, other: &Arc<str>) -> Option<Finding> {
    let pattern = read.pattern(at)?;
    let place = pattern.rows.first().map_or_else(|| Place::file(&pattern.source), |row| row.place.clone());
    let message = format!("\"{}\" has no partner in {other}.", pattern.title);
    let mut finding = Finding::new(Code::ChartUnmatched, place, message)
        .help("Give both the same title, or add the one that is missing.");
    finding.chart = read.letter(at);
    Some(finding)
}
