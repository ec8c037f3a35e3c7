//! The sides of the rows: that of row 1, and numbers that stand or name a side where their row does not begin.

use super::super::area::AreaRow;
use super::{Layout, Undrawn, side_of};
use crate::grid::Grid;
use crate::pattern::{Side, Worked};
use crate::problem::{Code, Finding};

/// The side of row 1: as set, as printed, or as the places of the numbers tell.
pub(super) fn first_side(
    layout: Layout<'_>,
    numbers: &[u32],
    rows: &[AreaRow],
    undrawn: Undrawn,
    findings: &mut Vec<Finding>,
) -> Option<Side> {
    let settings = layout.settings;
    let worked = settings.worked.unwrap_or_default();
    if worked == Worked::Round {
        return Some(Side::Rs);
    }
    let told_by_numbers = match undrawn {
        Undrawn::None => None,
        Undrawn::After => Some(Side::Rs),
        Undrawn::Before => Some(Side::Ws),
    };
    if let (Some(told), Some(set)) = (told_by_numbers, settings.first_side)
        && told != set
    {
        let parity = if told == Side::Rs { "odd" } else { "even" };
        findings.push(
            Finding::new(
                Code::SettingsDisagree,
                layout.label_place(rows.first()?),
                format!(
                    "Only {parity}-numbered rows are drawn, but with first-side = \"{}\" those are wrong-side rows.",
                    set.word()
                ),
            )
            .found(format!("first-side = \"{}\"", set.word()))
            .expected(format!("first-side = \"{}\"", told.word()))
            .help("A right-side-only chart draws right-side rows: correct first-side or the row numbers."),
        );
        return None;
    }
    // Sides printed with the numbers, "3 (RS)".
    let printed = rows.iter().zip(numbers).find_map(|(row, number)| {
        let placed = row.label()?;
        let side = placed.label.side?;
        Some((if number % 2 == 1 { side } else { side.other() }, placed))
    });
    let edge = |row: &AreaRow| match (row.left, row.right) {
        (Some(_), None) => Some(Side::Ws),
        (None, Some(_)) => Some(Side::Rs),
        _ => None,
    };
    let edges = || rows.iter().zip(numbers).filter_map(|(row, number)| Some((*number, edge(row)?)));
    let alternating = [Side::Rs, Side::Ws].into_iter().all(|side| edges().any(|(_, on)| on == side));
    let left_first = || edges().filter(|(number, side)| (number % 2 == 1) == (*side == Side::Ws)).count();
    let told_by_edges =
        (alternating && undrawn == Undrawn::None && 2 * left_first() > edges().count()).then_some(Side::Ws);
    let first_side = match (settings.first_side, told_by_numbers, printed, told_by_edges) {
        (Some(set), ..) => set,
        (None, Some(told), ..) => {
            if told == Side::Ws {
                findings.push(assumed(layout, rows, "the even rows are the ones drawn"));
            }
            told
        }
        (None, None, Some((told, _)), _) => {
            if told == Side::Ws {
                findings.push(assumed(layout, rows, "the numbers say so"));
            }
            told
        }
        (None, None, None, Some(told)) => {
            findings.push(assumed(layout, rows, "Row 1 is numbered on the left and Row 2 on the right"));
            told
        }
        (None, None, None, None) => Side::Rs,
    };
    let usual = Usual { first_side, worked, at_ends: alternating };
    wrong_sides(layout.grid, numbers, rows, usual, findings);
    Some(first_side)
}

fn assumed(layout: Layout<'_>, rows: &[AreaRow], why: &str) -> Finding {
    let place = rows.first().map_or_else(|| layout.grid.whole(), |row| layout.label_place(row));
    Finding::new(Code::FirstSideAssumed, place, format!("The first row was taken as a WS row: {why}."))
        .help("first-side = \"RS\" says otherwise.")
}

/// Where the rows of a chart begin.
#[derive(Clone, Copy)]
struct Usual {
    first_side: Side,
    worked: Worked,
    /// Whether its numbers stand where they do.
    at_ends: bool,
}

/// Row numbers that stand, or name a side, where the row does not begin.
fn wrong_sides(
    grid: &Grid,
    numbers: &[u32],
    rows: &[AreaRow],
    Usual { first_side, worked, at_ends }: Usual,
    findings: &mut Vec<Finding>,
) {
    for (row, &number) in rows.iter().zip(numbers) {
        let side = side_of(number, first_side, worked);
        let Some(placed) = row.label() else { continue };
        if let Some(printed) = placed.label.side.filter(|printed| *printed != side) {
            findings.push(
                Finding::new(
                    Code::RowNumberSide,
                    grid.place(placed.at),
                    format!(
                        "Row {number} is marked {}, but it is read as a {} row.",
                        printed.word(),
                        side.word()
                    ),
                )
                .row(number)
                .found(printed.word())
                .expected(side.word())
                .help("Correct the mark, or set first-side."),
            );
            continue;
        }
        let on = match (row.left, row.right) {
            (Some(_), None) => "left",
            (None, Some(_)) => "right",
            _ => continue,
        };
        let usual = if side == Side::Rs { "right" } else { "left" };
        if at_ends && on != usual {
            findings.push(
                Finding::new(
                    Code::RowNumberSide,
                    grid.place(placed.at),
                    format!(
                        "The number of Row {number} stands on the {on}, but a {} row begins on the {usual}.",
                        side.word()
                    ),
                )
                .row(number)
                .found(on)
                .expected(usual)
                .help("Move the number to the edge where the row begins; the row was read as a usual one."),
            );
        }
    }
}
