//! Which rows of a chart are not drawn.

use std::collections::BTreeSet;

use super::super::area::AreaRow;
use super::gaps::{Numbers, gaps};
use super::{Layout, Undrawn, wrong};
use crate::pattern::Side;
use crate::problem::{Code, Finding};
use crate::settings::Charted;

/// Which rows are not drawn, and the numbers of those that are. Rows that are `told` otherwise may be left out.
pub(super) fn undrawn(
    layout: Layout<'_>,
    mut numbers: Vec<u32>,
    rows: &[AreaRow],
    told: &BTreeSet<u32>,
    findings: &mut Vec<Finding>,
) -> Option<(Vec<u32>, Undrawn)> {
    if wrong::out_of_order(layout, &numbers, rows, findings) {
        return None;
    }
    // A set-up row is drawn before the others, and row 0.
    let counted = usize::from(numbers.first() == Some(&0));
    if !only_right_side(layout, numbers.get(counted..).unwrap_or_default(), told) {
        gaps(layout, Numbers { numbers: &numbers, step: 1, told }, rows, findings);
        return Some((numbers, Undrawn::None));
    }
    count_by_twos(layout, numbers.get_mut(counted..).unwrap_or_default(), rows, findings);
    gaps(layout, Numbers { numbers: &numbers, step: 2, told }, rows, findings);
    let even = mostly_even(numbers.get(counted..).unwrap_or_default());
    Some((numbers, if even { Undrawn::Before } else { Undrawn::After }))
}

/// Whether most rows of a chart that draws right-side rows have even numbers. The last return row may be drawn too, and is odd.
fn mostly_even(numbers: &[u32]) -> bool {
    let even = numbers.iter().filter(|number| number.is_multiple_of(2)).count();
    2 * even > numbers.len()
        || 2 * even == numbers.len() && numbers.first().is_some_and(|first| first.is_multiple_of(2))
}

/// Whether a chart draws right-side rows alone: as set, or as most of its numbers go.
fn only_right_side(layout: Layout<'_>, numbers: &[u32], told: &BTreeSet<u32>) -> bool {
    // Longer steps leave out rows that are told otherwise.
    let step = |pair: &[u32]| {
        let is_told = |from: u32| told.contains(&from) && (from..pair[1]).all(|row| told.contains(&row));
        let all = pair[1] - pair[0];
        (1..=2).find(|step| all > 2 && is_told(pair[0] + step)).unwrap_or(all)
    };
    let steps = || numbers.windows(2).map(step);
    let mostly_twos = || {
        let twos = steps().filter(|step| *step == 2).count();
        let other = steps().filter(|step| step % 2 != 0).count();
        // One wild number among many is told of.
        2 * twos > steps().len() && (other == 0 || other == 1 && twos + 1 == steps().len() && twos > 2)
    };
    match layout.settings.charted {
        Some(Charted::EveryRow) => false,
        Some(Charted::RightSide) => true,
        None => mostly_twos(),
    }
}

/// Says that right-side rows alone are drawn, where that is not set. A chart that counts the rows it draws gets the numbers
/// that these have among all.
fn count_by_twos(
    Layout { grid, area, settings }: Layout<'_>,
    numbers: &mut [u32],
    rows: &[AreaRow],
    findings: &mut Vec<Finding>,
) {
    let labelled = rows.iter().any(|row| row.label().is_some());
    let ones = numbers.windows(2).all(|pair| pair[1] == pair[0] + 1);
    if settings.charted == Some(Charted::RightSide)
        && labelled
        && ones
        && let [first, .., last] = *numbers
    {
        // The chart counts the rows it draws.
        let offset = u32::from(settings.first_side == Some(Side::Ws));
        for number in numbers.iter_mut() {
            *number = *number * 2 - 1 + offset;
        }
        findings.push(
            Finding::new(
                Code::RightSideOnly,
                grid.place(area.span()),
                format!(
                    "Only right-side rows are drawn, numbered {first} to {last}: they were taken as rows {} to {}.",
                    first * 2 - 1 + offset,
                    last * 2 - 1 + offset
                ),
            )
            .help("Number the drawn rows 1, 3, 5 ... if that is wrong."),
        );
    } else if settings.charted.is_none() {
        let even = mostly_even(numbers);
        let too = numbers.iter().filter(|number| number.is_multiple_of(2) != even);
        let too: Vec<String> = too.map(|number| format!(" Row {number} is drawn too.")).collect();
        findings.push(
            Finding::new(
                Code::RightSideOnly,
                grid.place(area.span()),
                format!(
                    "The row numbers go by twos: only right-side rows are drawn, and the rows between were derived.{}{}",
                    too.concat(),
                    match area.blank_rows[..] {
                        [] => "",
                        _ => " The blank rows between them were taken as none.",
                    }
                ),
            )
            .help("Nothing, if that is so; charted = \"every-row\" says otherwise, return-rows how the others are worked."),
        );
    }
}
