//! Rows numbered as a list, "1. K2, p2": lines that count up from 1 and say what rows say. Where the lines under a heading
//! label rows too, all items of the list must work stitches; half of them, where the next labelled row counts on from them.

use super::row_label;
use crate::document::{Kind, Line};
use crate::stitch::Stitches;
use crate::text::says::{Says, says, told_rows};
use crate::text::stated::{part_bare_count, part_count};
use crate::words::rows::label::{Label, label};
use crate::words::works;

/// For each line the row that it is as an item of such a list: its label, and where that begins.
pub(super) fn rows(lines: &[Line]) -> Vec<Option<(Label, usize)>> {
    let none = || vec![None; lines.len()];
    let mut items: Vec<Option<(Label, usize)>> = lines.iter().map(item).collect();
    if items.iter().flatten().nth(1).is_none() {
        return none();
    }
    let labels = labels(lines);
    let mut from = 0;
    while let Some(first) = items.iter().skip(from).position(Option::is_some).map(|at| from + at) {
        // Lines that a row runs over, and blank ones, may stand between.
        let mut run = vec![first];
        let mut end = first + 1;
        for (at, line) in lines.iter().enumerate().skip(first + 1) {
            let number = items.get(at).and_then(Option::as_ref).and_then(number);
            match number {
                Some(number) if number as usize == run.len() + 1 => run.push(at),
                Some(_) => break,
                None if line.kind != Kind::Text || labels[at].here => break,
                None => {}
            }
            end = at + 1;
        }
        let begins = items.get(first).and_then(Option::as_ref).and_then(number) == Some(1);
        let labels = labels[first];
        let counts_on = labels.next.is_some_and(|next| next as usize == run.len() + 1);
        let sure = match (labels.any, counts_on) {
            (true, true) => run.len().div_ceil(2),
            (true, false) => run.len(),
            (false, _) => (2 * run.len()).div_ceil(3),
        };
        if !(begins && are_rows(lines, &items, &run, (sure, labels.any))) {
            items.iter_mut().take(end).skip(first).for_each(|item| *item = None);
        }
        from = end;
    }
    items
}

/// What there is of labelled rows around a line; without headings a text is one section.
#[derive(Clone, Copy)]
struct Labels {
    /// Whether the line is one.
    here: bool,
    /// The number of the first one behind it in its section.
    next: Option<u32>,
    /// Whether its section has any.
    any: bool,
}

fn labels(lines: &[Line]) -> Vec<Labels> {
    let mut labels = Vec::with_capacity(lines.len());
    for section in lines.chunk_by(|_, next| next.kind != Kind::Heading) {
        let found: Vec<Option<(Label, usize)>> = section.iter().map(|line| row_label(&line.text)).collect();
        let any = found.iter().any(Option::is_some);
        let mut next = None;
        let begins = labels.len();
        for label in found.iter().rev() {
            labels.push(Labels { here: label.is_some(), next, any });
            if let Some(label) = label {
                next = number(label);
            }
        }
        labels[begins..].reverse();
    }
    labels
}

fn number((label, _): &(Label, usize)) -> Option<u32> {
    label.numbers.first().copied()
}

/// "1. K2", "2) P2", "3 (RS): K2", or an item that its file numbers.
pub(super) fn item(line: &Line) -> Option<(Label, usize)> {
    if line.kind != Kind::Text {
        return None;
    }
    const ROW: &str = "Row ";
    let text = line.text.trim_start();
    if let Some(number) = line.item {
        // "(RS): K2": its side may stand behind the number.
        let number_alone = format!("{ROW}{number} ");
        let with_side = label(&format!("{number_alone}{text}")).filter(|_| text.starts_with('('));
        let with_side = with_side.filter(|label| label.ended).and_then(|label| {
            let length = label.length.checked_sub(number_alone.len())?;
            Some((Label { length, ..label }, line.text.len() - text.len()))
        });
        let bare = || (Label { numbers: vec![number], ended: true, ..Label::default() }, 0);
        return Some(with_side.unwrap_or_else(bare));
    }
    if !text.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    // "1) K2": the bracket is a mark of lists alone.
    let digits = text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let (number, rest) = text.split_at(digits);
    let rest = rest.strip_prefix([')', ' ']).map_or_else(|| rest.to_owned(), |rest| format!(".{rest}"));
    let mut found = label(&format!("{ROW}{number}{rest}"))?;
    found.length = found.length.checked_sub(ROW.len())?;
    let single = found.numbers.len() == 1 && found.every.is_none() && found.length < text.len();
    (found.ended && single).then(|| (found, line.text.len() - text.len()))
}

/// Whether an item of a list tells how many rows to work, "1. Knit 2 rows."
pub(super) fn tells_rows(line: &Line) -> bool {
    let work = item(line).and_then(|(label, start)| line.text.get(start + label.length..));
    work.is_some_and(|work| told_rows(work).is_some())
}

/// Whether the items of a list are rows: so many of them can be read, beside labelled rows as what works stitches, and none
/// tells how many rows to work.
fn are_rows(
    lines: &[Line],
    items: &[Option<(Label, usize)>],
    run: &[usize],
    (sure, labelled): (usize, bool),
) -> bool {
    let mut stitches = Stitches::built_in();
    let mut reads = 0;
    for &at in run {
        let (Some(line), Some(Some((label, start)))) = (lines.get(at), items.get(at)) else { return false };
        let work = line.text.get(start + label.length..).unwrap_or_default();
        if told_rows(work).is_some() {
            return false;
        }
        let length = match part_count(work) {
            (length, None) => part_bare_count(work).map_or(length, |(length, _)| length),
            (length, Some(_)) => length,
        };
        let work = work.get(..length).unwrap_or_default();
        let by_others = !matches!(says(work), Says::Work);
        let mut is_row = |work| match labelled {
            true => works(work),
            false => crate::words::row(work, &mut stitches).is_ok(),
        };
        reads += usize::from(by_others || is_row(work));
    }
    run.len() > 1 && reads >= sure
}
