//! Which chart of a sheet something belongs to that stands outside all of them: a setting, a sentence, a line of prose,
//! numbers of columns, a count.
//!
//! The sheet is cut between its charts: first by rows, where one stands below another; then by columns, where they stand
//! side by side; then by rows again within those columns, and so on. Between one chart and the next below it lines go in
//! blocks, which blank lines part: a block belongs to the chart it stands nearer to, keys between them left out. One as near
//! to both heads the chart below, and so does a title with settings. What all charts of a sheet may share and stands under the
//! title of one is that chart's, unless it may be the title of the sheet ([`Titles`]). Between charts side by side a cell belongs to the nearer one, row numbers included. What is as near to two
//! charts is known to be so ([`Owner::or`]): whoever asks finds out from the rest of the sheet ([`settle`]) or says what was
//! assumed.

use std::collections::BTreeSet;
use std::ops::{Range, RangeInclusive};

use super::area::Area;
use super::sheet::{Sheet, Text};
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
    /// Whether it might be said of all charts: it stands under the title of the first, below that of the sheet.
    pub(super) or_all: bool,
}

impl Owner {
    const fn one(chart: usize) -> Self {
        Self { chart, or: None, or_all: false }
    }
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

/// The most lines between a title and what stands under it, and the most blank ones.
const MOST_LINES: usize = 20;
const MOST_BLANK: u32 = 1;

impl Titles<'_> {
    /// The chart whose own title stands above a line. The title above all charts may be that of the sheet, unless another one
    /// stands below it or at the side.
    pub(super) fn above(&self, at: Address) -> Option<Owner> {
        let owner = self.shares.of(at).filter(|owner| owner.or.is_none())?;
        let span = self.areas.get(owner.chart)?.span();
        if self.areas.len() < 2 || at.row >= span.first.row {
            return None;
        }
        let title = self.title(owner, at.row)?;
        let before = |area: &Area| area.span().last.row < at.row || area.span().last.column < at.column;
        if self.areas.iter().any(before) {
            return Some(owner);
        }
        if self.titled_below(owner, at.row + 1..span.first.row) {
            return None;
        }
        if self.titled_beside(owner, title..=at.row) {
            return Some(owner);
        }
        let of_sheet = self.under_another(owner, title) && self.others_titled(owner);
        of_sheet.then_some(Owner { or_all: true, ..owner })
    }

    /// The chart that a title set by the sheet is of, where it is said once: that of the chart that it stands above, unless
    /// it stands above all of them and may be the sheet's.
    pub(super) fn of_title(&self, at: Address) -> Option<Owner> {
        let owner = self.shares.of(at)?;
        let before = |area: &Area| area.span().last.row < at.row || area.span().last.column < at.column;
        let is_own = self.areas.iter().any(before) || self.others_titled(owner);
        (self.areas.len() > 1 && is_own).then_some(owner)
    }

    /// Whether a setting gives a chart its title in a row.
    fn is_title(&self, owner: Owner, row: u32) -> bool {
        self.lines.titles_in(row).any(|cell| self.shares.of(cell) == Some(owner))
    }

    /// The first cell of prose in a row that is a chart's.
    fn prose(&self, owner: Owner, row: u32) -> Option<Address> {
        self.sheet.row(row).map(|(cell, _)| cell).find(|cell| self.shares.of(*cell) == Some(owner))
    }

    fn is_sentence(&self, cell: Address) -> bool {
        self.lines.sentences.binary_search(&cell).is_ok()
    }

    /// Whether settings of a chart stand in a row.
    fn is_setting(&self, owner: Owner, row: u32) -> bool {
        let settings = &self.lines.settings;
        let from = settings.partition_point(|cell| cell.row < row);
        let mut said = settings.iter().skip(from).take_while(|cell| cell.row == row);
        said.any(|cell| self.shares.of(*cell) == Some(owner))
    }

    /// The row of the title that stands above a row of a chart.
    fn title(&self, owner: Owner, below: u32) -> Option<u32> {
        let mut blank = 0;
        for row in (0..below).rev().take(MOST_LINES) {
            match self.prose(owner, row) {
                _ if self.is_title(owner, row) => return Some(row),
                Some(cell) if !self.is_sentence(cell) => return Some(row),
                Some(_) => {}
                None => blank += u32::from(!self.is_setting(owner, row)),
            }
            if blank > MOST_BLANK {
                return None;
            }
        }
        None
    }

    /// Whether prose of a chart begins anew in some rows, behind a blank line.
    fn titled_below(&self, owner: Owner, rows: Range<u32>) -> bool {
        let mut behind_blank = false;
        rows.take(MOST_LINES).any(|row| match self.prose(owner, row) {
            Some(cell) => behind_blank && !self.is_sentence(cell),
            None => {
                behind_blank |= !self.is_setting(owner, row);
                false
            }
        })
    }

    /// Whether a chart at the side of another has a title at the height of that one's.
    fn titled_beside(&self, owner: Owner, mut rows: RangeInclusive<u32>) -> bool {
        let Some(span) = self.areas.get(owner.chart).map(Area::span) else { return false };
        let beside = |chart: usize| {
            let other = self.areas.get(chart).map(Area::span);
            other.is_some_and(|other| {
                other.first.row <= span.last.row && span.last.column < other.first.column
            })
        };
        let titles = |(cell, _): (Address, Text<'_>)| {
            let other = self.shares.of(cell).filter(|other| other.or.is_none());
            other.is_some_and(|other| beside(other.chart)) && !self.is_sentence(cell)
        };
        rows.any(|row| self.sheet.row(row).any(titles))
    }

    /// Whether prose stands above the title of a chart, with a blank line between.
    fn under_another(&self, owner: Owner, title: u32) -> bool {
        let holds = |row: &u32| self.prose(owner, *row).is_some() || self.is_setting(owner, *row);
        let mut above = (0..title).rev().take(MOST_LINES).skip_while(holds);
        above.next().is_some()
            && above.any(|row| self.prose(owner, row).is_some_and(|cell| !self.is_sentence(cell)))
    }

    /// Whether all charts but one have a title of their own.
    fn others_titled(&self, owner: Owner) -> bool {
        /// Sheets of more charts have no titles to be looked for.
        const MOST: usize = 100;
        let titled = |(chart, area): (usize, &Area)| {
            chart == owner.chart || self.title(Owner::one(chart), area.top()).is_some()
        };
        self.areas.len() <= MOST && self.areas.iter().enumerate().all(titled)
    }
}

/// What the lines between charts are.
pub(super) struct Lines {
    /// The cells of settings, sorted.
    pub(super) settings: Vec<Address>,
    /// Those of them that are titles: "Title: Sand Ripple".
    pub(super) titles: Vec<Address>,
    /// The cells of sentences that may be more than notes, sorted.
    pub(super) sentences: Vec<Address>,
}

impl Lines {
    /// The titles that settings give in a row.
    fn titles_in(&self, row: u32) -> impl Iterator<Item = Address> {
        let from = self.titles.partition_point(|cell| cell.row < row);
        self.titles.iter().skip(from).take_while(move |cell| cell.row == row).copied()
    }
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
            Self::Chart(chart) => return Some(Owner::one(*chart)),
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
    Some(Owner { or: or.map(|(other, _)| *other), ..Owner::one(*chart) })
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

    /// Whether a line begins with prose, as a title does, or is a setting that gives one.
    fn heads(&self, row: u32, columns: &Range<u32>) -> bool {
        let first = self.left(row, columns);
        first.is_some_and(|at| self.lines.sentences.binary_search(&at).is_err())
            || self.lines.titles_in(row).any(|at| columns.contains(&at.column))
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
                *owner = Owner::one(owner.or.unwrap_or(owner.chart));
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
    if owner.or_all {
        let message = format!(
            "\"{text}\" stands under the title of this chart, below that of the sheet: it was taken as said of this chart alone."
        );
        return Some(
            Finding::new(Code::BelongsAssumed, sheet.grid.place(at), message)
                .found(text)
                .help("Nothing, if that is so. Otherwise move it up to the title of the sheet."),
        );
    }
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
