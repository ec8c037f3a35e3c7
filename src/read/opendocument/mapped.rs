//! Cells whose style changes where a condition holds, joined to ranges: the way in which older programs write
//! conditional formats.

use crate::place::{Address, Span};

/// The ranges found so far, row by row.
#[derive(Debug, Default)]
pub(super) struct Mapped {
    /// Columns whose cells have such a style where they say nothing else.
    columns: Vec<(u32, u32)>,
    /// Ranges that end in the rows read last, from left to right.
    open: Vec<Span>,
    closed: Vec<Span>,
}

/// Ranges told one by one. What lies beyond is told as one.
const MOST: usize = 1_000;

impl Mapped {
    /// Takes note of columns whose cells have such a style, from left to right.
    pub(super) fn columns(&mut self, first: u32, last: u32) {
        join(&mut self.columns, first, last);
    }

    /// The columns among these whose cells have such a style if they say nothing else.
    pub(super) fn by_default(&self, first: u32, last: u32) -> impl Iterator<Item = (u32, u32)> {
        let at = self.columns.partition_point(|(_, to)| *to < first);
        let reached = self.columns.iter().skip(at).take_while(move |(from, _)| *from <= last);
        reached.map(move |(from, to)| ((*from).max(first), (*to).min(last)))
    }

    /// Takes note of the cells of some rows that have such a style, as columns from left to right.
    pub(super) fn rows(&mut self, first: u32, last: u32, columns: Vec<(u32, u32)>) {
        let mut runs: Vec<(u32, u32)> = Vec::new();
        for (from, to) in columns {
            join(&mut runs, from, to);
        }
        let above = std::mem::take(&mut self.open);
        let mut goes_on = vec![false; above.len()];
        for (from, to) in runs {
            let at = above.partition_point(|span| span.first.column < from);
            let same = above.get(at).filter(|span| {
                span.first.column == from
                    && span.last.column == to
                    && span.last.row.saturating_add(1) == first
            });
            let top = same.map_or(first, |span| span.first.row);
            if let Some(on) = goes_on.get_mut(at).filter(|_| same.is_some()) {
                *on = true;
            }
            self.open.push(Span::new(Address::new(top, from), Address::new(last, to)));
        }
        for (span, _) in above.into_iter().zip(goes_on).filter(|(_, goes_on)| !goes_on) {
            self.close(span);
        }
    }

    fn close(&mut self, span: Span) {
        let full = self.closed.len() >= MOST;
        match self.closed.last_mut() {
            Some(last) if full => *last = last.join(span),
            _ => self.closed.push(span),
        }
    }

    /// All ranges.
    pub(super) fn finish(mut self) -> Vec<Span> {
        for span in std::mem::take(&mut self.open) {
            self.close(span);
        }
        self.closed
    }
}

/// Adds columns to runs of columns from left to right.
fn join(runs: &mut Vec<(u32, u32)>, from: u32, to: u32) {
    match runs.last_mut() {
        Some(run) if run.1.saturating_add(1) >= from => run.1 = run.1.max(to),
        _ => runs.push((from, to)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_joined_to_ranges() {
        let mut mapped = Mapped::default();
        mapped.columns(4, 9);
        assert_eq!(mapped.by_default(2, 5).collect::<Vec<_>>(), [(4, 5)]);
        assert_eq!(mapped.by_default(0, 3).count(), 0);
        mapped.rows(0, 0, vec![(1, 1), (2, 4), (6, 6)]);
        mapped.rows(1, 3, vec![(1, 4)]);
        mapped.rows(4, 4, vec![]);
        mapped.rows(5, 5, vec![(1, 4)]);
        let ranges: Vec<String> = mapped.finish().iter().map(ToString::to_string).collect();
        assert_eq!(ranges, ["G1", "B1:E4", "B6:E6"]);
    }

    #[test]
    fn very_many_ranges_are_told_as_one() {
        let mut mapped = Mapped::default();
        for row in 0..3_000 {
            mapped.rows(row, row, vec![(row % 2, row % 2)]);
        }
        let ranges = mapped.finish();
        assert_eq!(
            (ranges.len(), ranges.last().map(ToString::to_string)),
            (MOST, Some("A1000:B3000".to_owned()))
        );
    }
}
