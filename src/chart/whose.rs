//! Which chart of a sheet something belongs to that stands outside all of them: a setting, a sentence, a line of prose,
//! numbers of columns, a count.
//!
//! The sheet is cut between its charts: first by rows, where one stands below another; then by columns, where they stand
//! side by side; then by rows again within those columns, and so on. Between one chart and the next below it lines go in
//! blocks, which blank lines part: a block belongs to the chart it stands nearer to, keys between them left out. One as near
//! to both heads the chart below, and so does a title with settings. What all charts of a sheet may share and stands under the
//! title of one is that chart's ([`Titles`]). Between charts side by side a cell belongs to the nearer one, row numbers included. What is as near to two
//! charts is known to be so ([`Owner::or`]): whoever asks finds out from the rest of the sheet ([`settle`]) or says what was
//! assumed.

use std::collections::BTreeSet;
use std::ops::Range;

use super::area::Area;
use super::sheet::Sheet;
use crate::grid::Grid;
use crate::place::{Address, Span};
use crate::problem::{Code, Finding};

/// Whose something is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Owner {
    /// The chart, by its place among those of the sheet.
    pub(super) chart: usize,
    /// Another chart that it might belong to as well.
    pub(super) or: Option<usize>,
}

/// The cells of a sheet shared out among its charts.
pub(super) struct Shares(Share);

enum Share {
    Chart(usize),
    /// Shares one below the other, and the rows that part them.
    Rows(Vec<Share>, Vec<Cut>),
    /// Shares side by side, and the columns that part them.
    Columns(Vec<Share>, Vec<Cut>),
    /// Charts that no straight line parts.
    Tangled(Vec<(usize, Span)>),
}

/// Where one share ends and the next begins.
struct Cut {
    /// The first row or column of the next.
    at: u32,
    /// Rows or columns as near to either.
    doubt: Range<u32>,
}

/// What stands under titles of a sheet's charts.
pub(super) struct Titles<'a> {
    pub(super) sheet: &'a Sheet<'a>,
    pub(super) areas: &'a [Area],
    pub(super) shares: &'a Shares,
    pub(super) lines: &'a Lines,
}

impl Titles<'_> {
    /// The chart whose own title stands above a line. The title above the first chart may be that of the sheet.
    pub(super) fn above(&self, at: Address) -> Option<Owner> {
        /// The most lines between a title and what stands under it, and the most blank ones.
        const MOST: usize = 20;
        const BLANK: u32 = 1;
        let owner = self.shares.of(at).filter(|owner| owner.or.is_none())?;
        let first = self.areas.get(owner.chart)?.span().first.row;
        let before = |area: &Area| area.span().last.row < at.row || area.span().last.column < at.column;
        if at.row >= first || !self.areas.iter().any(before) {
            return None;
        }
        let own = |cell: Address| self.shares.of(cell) == Some(owner);
        let mut blank = 0;
        for row in (0..at.row).rev().take(MOST) {
            match self.sheet.row(row).map(|(cell, _)| cell).find(|cell| own(*cell)) {
                Some(cell) if self.lines.sentences.binary_search(&cell).is_err() => return Some(owner),
                Some(_) => {}
                None => {
                    let settings = &self.lines.settings;
                    let from = settings.partition_point(|cell| cell.row < row);
                    let said =
                        settings.iter().skip(from).take_while(|cell| cell.row == row).any(|cell| own(*cell));
                    blank += u32::from(!said);
                    if blank > BLANK {
                        return None;
                    }
                }
            }
        }
        None
    }
}

/// What the lines between charts are.
pub(super) struct Lines {
    /// The cells of settings, sorted.
    pub(super) settings: Vec<Address>,
    /// The cells of sentences that may be more than notes, sorted.
    pub(super) sentences: Vec<Address>,
}

impl Shares {
    pub(super) fn new(sheet: &Sheet<'_>, areas: &[Area], lines: &Lines) -> Self {
        let charts = areas.iter().map(|area| (area.span(), with_numbers(area))).collect();
        Self(Sharing { sheet, lines, charts }.share((0..areas.len()).collect(), 0..u32::MAX))
    }

    /// Whose a cell is; nobody's on a sheet without charts.
    pub(super) fn of(&self, at: Address) -> Option<Owner> {
        self.0.of(at)
    }
}

impl Share {
    fn of(&self, at: Address) -> Option<Owner> {
        let (shares, cuts, value) = match self {
            Self::Chart(chart) => return Some(Owner { chart: *chart, or: None }),
            Self::Tangled(charts) => return nearest(charts, at),
            Self::Rows(shares, cuts) => (shares, cuts, at.row),
            Self::Columns(shares, cuts) => (shares, cuts, at.column),
        };
        let index = cuts.partition_point(|cut| cut.at <= value);
        let owner = shares.get(index)?.of(at)?;
        let doubted = |cut: usize| cuts.get(cut).is_some_and(|cut| cut.doubt.contains(&value));
        let other = match index.checked_sub(1) {
            Some(before) if doubted(before) => shares.get(before),
            _ if doubted(index) => shares.get(index + 1),
            _ => None,
        };
        let or = other.and_then(|share| share.of(at)).map(|other| other.chart);
        Some(Owner { or: or.or(owner.or), ..owner })
    }
}

/// The nearest chart, by rows before columns.
fn nearest(charts: &[(usize, Span)], at: Address) -> Option<Owner> {
    let apart =
        |value: u32, first: u32, last: u32| first.saturating_sub(value).max(value.saturating_sub(last));
    let far = |span: &Span| {
        let rows = apart(at.row, span.first.row, span.last.row);
        (rows, apart(at.column, span.first.column, span.last.column))
    };
    let (chart, span) = charts.iter().min_by_key(|(_, span)| far(span))?;
    let or = charts.iter().find(|(other, near)| other != chart && far(near) == far(span));
    Some(Owner { chart: *chart, or: or.map(|(other, _)| *other) })
}

/// The first and the last column of a chart with its row numbers.
fn with_numbers(area: &Area) -> (u32, u32) {
    let numbers = area.rows.iter().flat_map(|row| [row.left, row.right]).flatten();
    let columns = numbers.map(|placed| placed.at.column);
    columns.fold(area.columns, |(first, last), column| (first.min(column), last.max(column)))
}

/// A sheet while it is shared out: its charts, each with its columns when row numbers are counted in.
struct Sharing<'a> {
    sheet: &'a Sheet<'a>,
    lines: &'a Lines,
    charts: Vec<(Span, (u32, u32))>,
}

impl Sharing<'_> {
    /// Some columns shared out among some charts.
    fn share(&self, charts: Vec<usize>, columns: Range<u32>) -> Share {
        if let [one] = charts[..] {
            return Share::Chart(one);
        }
        let groups = self.groups(&charts, |span| (span.first.row, span.last.row));
        if groups.len() > 1 {
            let cuts =
                groups.windows(2).map(|pair| self.between_rows(&pair[0], &pair[1], &columns)).collect();
            let share = |group| self.share(group, columns.clone());
            return Share::Rows(groups.into_iter().map(share).collect(), cuts);
        }
        let groups = self.groups(&charts, |span| (span.first.column, span.last.column));
        if groups.len() > 1 {
            let cuts: Vec<Cut> =
                groups.windows(2).map(|pair| self.between_columns(&pair[0], &pair[1])).collect();
            let mut from = columns.start;
            let ends = cuts.iter().map(|cut| cut.at).chain([columns.end]);
            let share = |(group, end)| self.share(group, std::mem::replace(&mut from, end)..end);
            return Share::Columns(groups.into_iter().zip(ends).map(share).collect(), cuts);
        }
        Share::Tangled(self.of(&charts).map(|(chart, (span, _))| (chart, *span)).collect())
    }

    fn of<'a>(&'a self, charts: &'a [usize]) -> impl Iterator<Item = (usize, &'a (Span, (u32, u32)))> {
        charts.iter().filter_map(|chart| Some((*chart, self.charts.get(*chart)?)))
    }

    /// Charts in groups that share no row, or no column.
    fn groups(&self, charts: &[usize], reach: impl Fn(&Span) -> (u32, u32)) -> Vec<Vec<usize>> {
        let mut sorted: Vec<(u32, u32, usize)> = self
            .of(charts)
            .map(|(chart, (span, _))| {
                let (first, last) = reach(span);
                (first, last, chart)
            })
            .collect();
        sorted.sort_unstable();
        let mut groups: Vec<Vec<usize>> = Vec::new();
        let mut end = None;
        for (first, last, chart) in sorted {
            match groups.last_mut() {
                Some(group) if end.is_some_and(|end| first <= end) => group.push(chart),
                _ => groups.push(vec![chart]),
            }
            end = end.max(Some(last));
        }
        groups
    }

    /// Where the charts on the left end and those on the right begin. A cell in the middle goes with those on the left.
    fn between_columns(&self, left: &[usize], right: &[usize]) -> Cut {
        let last = self.of(left).map(|(_, (span, (_, last)))| (span.last.column, *last));
        let (cells, last) = last.reduce(|one, two| (one.0.max(two.0), one.1.max(two.1))).unwrap_or_default();
        let first = self.of(right).map(|(_, (span, (first, _)))| (span.first.column, *first));
        let (begin, first) =
            first.reduce(|one, two| (one.0.min(two.0), one.1.min(two.1))).unwrap_or_default();
        // Charts may share the numbers between them.
        let (last, first) = if last < first { (last, first) } else { (cells, begin) };
        let at = last + (first.saturating_sub(last)) / 2 + 1;
        let even = first.saturating_sub(last) % 2 == 0;
        Cut { at, doubt: if even { at - 1..at } else { at..at } }
    }

    /// Where the charts above end and those below begin, within some columns.
    fn between_rows(&self, above: &[usize], below: &[usize], columns: &Range<u32>) -> Cut {
        let bottom = self.of(above).map(|(_, (span, _))| span.last.row).max().unwrap_or_default();
        let top = self.of(below).map(|(_, (span, _))| span.first.row).min().unwrap_or_default();
        let reach = self.of(above).chain(self.of(below)).map(|(_, (_, columns))| *columns);
        let reach = reach.reduce(|one, two| (one.0.min(two.0), one.1.max(two.1))).unwrap_or_default();
        let (blocks, far) = self.blocks((bottom, top), columns, reach);
        for Block { first, last, from, to, heads, settles } in blocks {
            if first == bottom + 1 && last + 1 == top {
                // Without a blank line each line goes by itself.
                let at = bottom + (top - bottom).div_ceil(2);
                let doubt = (top - bottom) % 2 == 0 && !self.heads(at, columns);
                return Cut { at, doubt: if doubt { at..at + 1 } else { at..at } };
            }
            // A title may stand a line further from its chart than from the one above.
            if settles || from + u32::from(heads) >= far - to {
                let doubt = from == far - to && !heads;
                return Cut { at: first, doubt: first..if doubt { last + 1 } else { first } };
            }
        }
        Cut { at: top, doubt: top..top }
    }

    /// The blocks of lines between the last row of a chart and the first of the next one below, within some columns, and how
    /// far apart the charts are. They are measured without blocks that need no owner, as a key: of the blank lines around one
    /// the wider count, and one beside the charts, which `reach` from column to column, parts nothing.
    fn blocks(
        &self,
        (bottom, top): (u32, u32),
        columns: &Range<u32>,
        reach: (u32, u32),
    ) -> (Vec<Block>, u32) {
        let mut blocks: Vec<Block> = Vec::new();
        let (mut end, mut place, mut gap) = (bottom, 0, 0);
        let mut lines = filled(self.sheet.grid, bottom + 1..top, columns);
        lines.retain(|(row, (first, last))| {
            let beside = *last < reach.0 || reach.1 < *first;
            !beside || self.is_setting(*row, columns) || self.left(*row, columns).is_some()
        });
        let lines: Vec<u32> = lines.into_iter().map(|(row, _)| row).collect();
        for rows in lines.chunk_by(|one, two| one + 1 == *two) {
            let (Some(&first), Some(&last)) = (rows.first(), rows.last()) else { continue };
            gap = gap.max(first - end);
            end = last;
            let settings = rows.iter().any(|row| self.is_setting(*row, columns));
            if !settings && rows.iter().all(|row| self.left(*row, columns).is_none()) {
                continue;
            }
            let from = place + std::mem::take(&mut gap);
            place = from + (last - first);
            let heads = self.heads(first, columns);
            match blocks.last_mut() {
                // Settings and sentences do not part a title from its chart.
                Some(block) if block.heads && !rows.iter().any(|row| self.heads(*row, columns)) => {
                    (block.last, block.to) = (last, place);
                }
                _ => {
                    let heads = heads && from > 1;
                    blocks.push(Block { first, last, from, to: place, heads, settles: heads && settings });
                }
            }
        }
        (blocks, place + gap.max(top - end))
    }

    /// The first cell of a line that is left to understand, within some columns.
    fn left(&self, row: u32, columns: &Range<u32>) -> Option<Address> {
        self.sheet.row(row).map(|(at, _)| at).find(|at| columns.contains(&at.column))
    }

    /// Whether a line begins with prose, as a title does.
    fn heads(&self, row: u32, columns: &Range<u32>) -> bool {
        let first = self.left(row, columns);
        first.is_some_and(|at| self.lines.sentences.binary_search(&at).is_err())
    }

    /// Whether settings stand in a line, and nothing that is left to understand.
    fn is_setting(&self, row: u32, columns: &Range<u32>) -> bool {
        let settings = &self.lines.settings;
        let from = settings.partition_point(|at| (at.row, at.column) < (row, columns.start));
        let said = settings.get(from).is_some_and(|at| at.row == row && at.column < columns.end);
        said && self.left(row, columns).is_none()
    }
}

/// Lines between two charts without a blank one between them.
struct Block {
    /// The rows of the first and the last of them.
    first: u32,
    last: u32,
    /// How far below the chart above they begin and end.
    from: u32,
    to: u32,
    /// Whether they begin with prose, and not right below the chart above.
    heads: bool,
    /// Whether they do, and settings stand among them.
    settles: bool,
}

/// The rows of some in which cells hold anything, within some columns, each with the first and the last of these.
fn filled(grid: &Grid, rows: Range<u32>, columns: &Range<u32>) -> Vec<(u32, (u32, u32))> {
    let from = grid.cells.partition_point(|cell| cell.at.row < rows.start);
    let cells = grid.cells.iter().skip(from).take_while(|cell| cell.at.row < rows.end);
    let mut filled: Vec<(u32, (u32, u32))> = Vec::new();
    for Address { row, column } in cells.map(|cell| cell.at).filter(|at| columns.contains(&at.column)) {
        match filled.last_mut() {
            Some((last, reach)) if *last == row => reach.1 = column,
            _ => filled.push((row, (column, column))),
        }
    }
    filled
}

/// Finds out whose things of one kind are, of which each chart has one: where only one way gives no chart two of them, that
/// is how they are meant.
pub(super) fn settle(owners: &mut [Owner]) {
    if owners.iter().all(|owner| owner.or.is_none()) {
        return;
    }
    let others = || owners.iter().map(|owner| owner.or.unwrap_or(owner.chart));
    let twice = |charts: Vec<usize>| {
        let different: BTreeSet<usize> = charts.iter().copied().collect();
        different.len() < charts.len()
    };
    match (twice(owners.iter().map(|owner| owner.chart).collect()), twice(others().collect())) {
        (false, true) => owners.iter_mut().for_each(|owner| owner.or = None),
        (true, false) => {
            for owner in owners {
                *owner = Owner { chart: owner.or.unwrap_or(owner.chart), or: None };
            }
        }
        _ => {}
    }
}

/// Says that something may belong to another chart as well.
pub(super) fn told(
    sheet: &Sheet<'_>,
    areas: &[Area],
    at: Address,
    text: &str,
    owner: Owner,
) -> Option<Finding> {
    let span = |chart: usize| areas.get(chart).map(Area::span);
    let (this, _) = (span(owner.chart)?, span(owner.or?)?);
    let which = match this {
        _ if at.row < this.first.row => "below",
        _ if at.row > this.last.row => "above",
        _ if at.column < this.first.column => "on the right",
        _ => "on the left",
    };
    Some(
        Finding::new(
            Code::BelongsAssumed,
            sheet.grid.place(at),
            format!(
                "\"{text}\" stands between two charts, as near to one as to the other: it was taken as said of the one {which}."
            ),
        )
        .found(text)
        .help("Nothing, if that is so. Otherwise move it right beside its chart, and leave a line blank before the other."),
    )
}
