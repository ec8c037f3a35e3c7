//! The sizes of two patterns beyond the first.

use std::sync::Arc;

use super::{Pair, Read};
use crate::compare::{self, Verdict};
use crate::pattern::Pattern;
use crate::place::Place;
use crate::problem::{Code, Finding, any_error};
use crate::text::in_size;
use crate::written::LONGEST_ROW;

/// A size beyond the first.
struct Other {
    name: Arc<str>,
    cast_on: u32,
    /// As it is worked, where its rows tell.
    pattern: Option<Pattern>,
}

/// Compares all sizes beyond the first. A chart without sizes whose repeat can be worked more often is read on the stitches
/// of each size of the other; what can't be compared is said.
pub(super) fn compare(
    (left, at): (&Read<'_>, usize),
    (right, with): (&Read<'_>, usize),
    pair: &mut Pair,
    findings: &mut Vec<Finding>,
) {
    let (Some(a), Some(b)) = (left.pattern(at), right.pattern(with)) else { return };
    let (mut ones, mut twos) = (others(left, at), others(right, with));
    match (ones.is_empty(), twos.is_empty()) {
        (true, true) => return,
        (true, false) => ones = on_widths(left, at, &twos),
        (false, true) => twos = on_widths(right, with, &ones),
        (false, false) => {}
    }
    let told =
        |sizes: &[Other]| sizes.iter().map(|size| (Arc::clone(&size.name), size.cast_on)).collect::<Vec<_>>();
    if told(&ones) != told(&twos) {
        // Where both name their sizes that is told with the cast-on.
        if a.sizes.is_empty() || b.sizes.is_empty() {
            pair.verdict = Verdict::Different;
            findings.push(other_sizes(a, pair, &ones, &twos));
        }
        return;
    }
    let mut untold = Vec::new();
    for (one, two) in ones.iter().zip(&twos) {
        let (Some(a), Some(b)) = (&one.pattern, &two.pattern) else {
            untold.push(&*one.name);
            continue;
        };
        let side = |pattern, called| compare::Side { pattern, called };
        let comparison = compare::compare(side(a, &pair.left), side(b, &pair.right));
        pair.verdict = pair.verdict.max(comparison.verdict);
        for finding in comparison.findings {
            // What differs in one size already is not told again for the next.
            if !findings.iter().any(|known| known.row == finding.row && known.code == finding.code) {
                findings.push(in_size(finding, &one.name));
            }
        }
    }
    if !untold.is_empty() {
        findings.push(not_compared(a, pair, &untold));
    }
}

/// The sizes of a chart beyond the first.
fn others(read: &Read<'_>, at: usize) -> Vec<Other> {
    let Some(chart) = read.charts.charts.get(at) else { return Vec::new() };
    let Some(pattern) = chart.sound() else { return Vec::new() };
    if !chart.sizes.is_empty() {
        let other = |(name, pattern): &(Arc<str>, Pattern)| Other {
            name: Arc::clone(name),
            cast_on: pattern.cast_on,
            pattern: Some(pattern.clone()),
        };
        return chart.sizes.iter().map(other).collect();
    }
    let other = |size: &crate::pattern::Size| Other {
        name: Arc::from(&*size.name),
        cast_on: size.cast_on,
        pattern: pattern.in_size(size, LONGEST_ROW),
    };
    pattern.sizes.iter().skip(1).map(other).collect()
}

/// A chart without sizes on the stitches of each of these, where its repeat can be worked so often.
fn on_widths(read: &Read<'_>, at: usize, sizes: &[Other]) -> Vec<Other> {
    let open = read.pattern(at).is_some_and(|pattern| pattern.multiple.is_some() && pattern.sizes.is_empty());
    // Who asks for a cast-on wants that width alone.
    let open = open && read.part.source.above.cast_on.is_none();
    let on_width = |size: &Other| {
        let mut again = read.part.at_width(size.cast_on);
        let chart = (at < again.charts.len()).then(|| again.charts.swap_remove(at))?;
        chart.pattern.filter(|pattern| pattern.cast_on == size.cast_on && !any_error(&chart.findings))
    };
    let other = |size: &Other| Other {
        name: Arc::clone(&size.name),
        cast_on: size.cast_on,
        pattern: if open { on_width(size) } else { None },
    };
    sizes.iter().map(other).collect()
}

fn place(pattern: &Pattern) -> Place {
    pattern.rows.first().map_or_else(|| Place::file(&pattern.source), |row| row.place.clone())
}

fn other_sizes(pattern: &Pattern, pair: &Pair, ones: &[Other], twos: &[Other]) -> Finding {
    let all = |sizes: &[Other]| {
        let told: Vec<String> =
            sizes.iter().map(|size| format!("{} ({} sts)", size.name, size.cast_on)).collect();
        told.join(", ")
    };
    let (one, two) = (all(ones), all(twos));
    let message =
        format!("Beyond the first the sizes of {} are {one}; those of {} are {two}.", pair.left, pair.right);
    Finding::new(Code::PatternDiffers, place(pattern), message)
        .found(one)
        .expected(two)
        .help("Correct the one that is wrong: its names, or the stitches cast on for each.")
}

fn not_compared(pattern: &Pattern, pair: &Pair, names: &[&str]) -> Finding {
    let (sizes, are) = if names.len() == 1 { ("Size", "was") } else { ("Sizes", "were") };
    let message = format!(
        "{sizes} {} {are} not compared: {} and {} don't both tell how {} worked.",
        names.join(", "),
        pair.left,
        pair.right,
        if names.len() == 1 { "it is" } else { "they are" }
    );
    Finding::new(Code::SizesNotCompared, place(pattern), message)
        .help("Set sizes for the chart, or compare at one width with --cast-on.")
}
