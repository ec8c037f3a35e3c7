//! Repeats that the sheet draws or tells: a heavy or coloured box around columns, a bracket under them, a sentence.

use std::collections::BTreeMap;

use super::area::Area;
use super::repeat::Repeat;
use super::ruling::Ruling;
use super::sentences::{self, Sentence, Widths};
use super::sheet::Sheet;
use super::whose::{self, Owner, Shares};
use crate::grid::{Colour, Edge, Look};
use crate::place::{Address, Span};
use crate::problem::{Code, Finding};
use crate::settings::RepeatColumns;

/// A repeat found on the sheet.
#[derive(Clone)]
pub(super) enum Drawn {
    /// The columns of the box in each row of the sheet; the box may move from row to row. The rows it is drawn in, the
    /// lowest last; the others go with those below them.
    Box(BTreeMap<u32, (u32, u32)>, Vec<u32>),
    /// A merged cell above or below the chart that says so, over these columns.
    Bracket(Span, (u32, u32)),
    /// A sentence that names columns as the chart numbers them.
    Sentence(Address, RepeatColumns),
}

/// How far a colour must be from grey to set a line apart from an ordinary grid.
const VIVID: u8 = 96;

/// Whether a row of the sheet shows the same between each two neighbouring ones of some lines, each on the left of a column.
pub(super) type Alike<'a> = dyn Fn(u32, &[u32]) -> bool + 'a;

/// What marks a repeat on the cells of a chart and beside it, as the sheet shows it.
pub(super) struct Marks {
    lines: Option<Lines>,
    /// The bracket or the sentence.
    told: Option<Drawn>,
}

/// The heavy and coloured lines of a chart.
struct Lines {
    ruling: Option<Ruling>,
    rows: Vec<RowLines>,
}

/// Those of a row that stand upright.
struct RowLines {
    row: u32,
    /// The columns within that have one on their left.
    inside: Vec<u32>,
    /// Whether there is one at the left end, and at the right; and whether both are coloured.
    left: bool,
    right: bool,
    coloured: bool,
}

impl Marks {
    pub(super) fn find(sheet: &Sheet<'_>, area: &Area, widths: &Widths<'_>) -> Self {
        let sentence = || widths.columns().map(|(at, columns)| Drawn::Sentence(at, columns));
        Self { lines: Lines::find(sheet, area), told: bracket(area, &widths.brackets).or_else(sentence) }
    }

    /// The repeat that the sheet draws or tells beside a chart. `wider` says that the cast-on is larger than the chart as
    /// drawn, and `alike` whether a row shows the same between neighbouring lines. Lines to count by are said and are no box.
    pub(super) fn repeat(
        &self,
        sheet: &Sheet<'_>,
        area: &Area,
        (wider, alike): (bool, &Alike<'_>),
        findings: &mut Vec<Finding>,
    ) -> Option<Drawn> {
        let mut found = None;
        if let Some(lines) = &self.lines {
            findings.extend(lines.ruling.as_ref().map(|ruling| ruling.told(sheet, area)));
            found = lines.boxed(sheet, area, (wider, alike), findings);
        }
        // A box on a few rows only is not the repeat.
        let aside = found.as_ref().and_then(|rows| on_few_rows(sheet, area, rows));
        let found = found.filter(|_| aside.is_none()).and_then(|rows| spread(area, rows));
        findings.extend(aside);
        found.or_else(|| self.told.clone())
    }

    /// The same where nothing is said of it yet.
    pub(super) fn quietly(&self, sheet: &Sheet<'_>, area: &Area) -> Option<Drawn> {
        let alike = |row: u32, lines: &[u32]| alike(sheet, row, lines);
        self.repeat(sheet, area, (false, &alike), &mut Vec::new())
    }
}

pub(super) fn vivid(colour: Colour) -> bool {
    let [red, green, blue] = colour.0;
    let most = red.max(green).max(blue);
    most - red.min(green).min(blue) >= VIVID
}

pub(super) fn strong(edge: Option<Edge>) -> bool {
    edge.is_some_and(|edge| edge.heavy || vivid(edge.colour))
}

impl Lines {
    /// Finds the lines of a chart, where the sheet has any that stand out.
    fn find(sheet: &Sheet<'_>, area: &Area) -> Option<Self> {
        let stands_out = |look: &Look| [look.left, look.right, look.top, look.bottom].into_iter().any(strong);
        if !sheet.any_looks(stands_out) {
            return None;
        }
        let ruling = Ruling::find(sheet, area);
        let (first, last) = area.columns;
        let looks = &sheet.grid.looks;
        // The line on the left of a column is an edge of its cell or of the one before.
        let line = |row: u32, column: u32, test: &dyn Fn(Option<Edge>) -> bool| {
            let before = column.checked_sub(1).and_then(|before| looks.at(Address::new(row, before)).right);
            let edges = [looks.at(Address::new(row, column)).left, before];
            edges.into_iter().any(|edge| {
                let counts = |edge: &Edge| !ruling.as_ref().is_some_and(|ruling| ruling.holds(column, *edge));
                test(edge.filter(counts))
            })
        };
        let coloured = |edge: Option<Edge>| edge.is_some_and(|edge| vivid(edge.colour));
        let of_row = |row: u32| RowLines {
            row,
            inside: (first + 1..=last).filter(|column| line(row, *column, &strong)).collect(),
            left: line(row, first, &strong),
            right: line(row, last + 1, &strong),
            coloured: line(row, first, &coloured) && line(row, last + 1, &coloured),
        };
        let rows = area.rows.iter().map(|row| of_row(row.row)).collect();
        Some(Self { ruling, rows })
    }

    /// The box: in each row that it is drawn in, the two columns between which lines set some cells apart.
    fn boxed(
        &self,
        sheet: &Sheet<'_>,
        area: &Area,
        (wider, alike): (bool, &Alike<'_>),
        findings: &mut Vec<Finding>,
    ) -> Option<BTreeMap<u32, (u32, u32)>> {
        let (first, last) = area.columns;
        let places = self.rows.len() * last.saturating_sub(first) as usize;
        let lines: usize = self.rows.iter().map(|row| row.inside.len()).sum();
        // A chart ruled with heavy lines all over, its edges too, shows no box.
        let ruled = 2 * lines > places && self.rows.iter().all(|row| row.left && row.right);
        if last <= first || ruled {
            return None;
        }
        let mut found = BTreeMap::new();
        // The lines of a row that sets several parts apart which are no workings of one repeat.
        let mut several: Option<(u32, u32, u32)> = None;
        let mut differ = false;
        for &RowLines { row, ref inside, left, right, coloured } in &self.rows {
            let columns = match inside[..] {
                [one, two] => Some((one, two - 1)),
                // Two lines with a frame around the chart are told above; one line reaches to the edge that has its own.
                [one] if left && !right => Some((first, one - 1)),
                [one] if right && !left => Some((one, last)),
                [one] => edge_of_box(sheet, area, one),
                [one, two, ..] => {
                    let steady = inside.windows(2).all(|pair| pair[1] - pair[0] == two - one);
                    let alike = steady && alike(row, inside);
                    if !alike {
                        several = Some((row, one, inside.last().map_or(two, |last| last - 1)));
                    }
                    differ |= steady && !alike;
                    alike.then_some((one, two - 1))
                }
                // A frame round the whole chart is only a frame, unless it is coloured or the cast-on asks for more.
                [] => (coloured || (wider && left && right)).then_some((first, last)),
            };
            if let Some(columns) = columns {
                found.insert(row, columns);
            }
        }
        if differ {
            found.clear();
        }
        // A cast-on that is larger than the chart asks for its stitches again, whatever the box leaves out.
        let rows = found.len() < self.rows.len() && found.values().all(|columns| *columns == (first, last));
        if rows && !wider && !found.is_empty() {
            findings.push(around_rows(sheet, area, &found));
            found.clear();
        }
        findings.extend(several.map(|several| match found.is_empty() {
            true => several_boxes(sheet, several),
            false => within_box(sheet, several),
        }));
        Some(found)
    }
}

/// Whether a row shows the same between each two neighbouring lines, as far as its symbols tell.
pub(super) fn alike(sheet: &Sheet<'_>, row: u32, lines: &[u32]) -> bool {
    let shows = |from: u32, to: u32| {
        (from..to)
            .map(|column| sheet.text(Address::new(row, column)).map(|text| text.to_owned()))
            .collect::<Vec<_>>()
    };
    let mut parts = lines.windows(2).map(|pair| shows(pair[0], pair[1]));
    let first = parts.next();
    parts.all(|part| Some(&part) == first.as_ref())
}

/// Says that lines set several parts of the rows apart, and none of them is the repeat for sure.
fn several_boxes(sheet: &Sheet<'_>, (row, first, last): (u32, u32, u32)) -> Finding {
    let cells = Span::new(Address::new(row, first), Address::new(row, last));
    Finding::new(
        Code::BoxLeftAside,
        sheet.grid.place(cells),
        "The heavy or coloured lines set several parts of the chart apart that are not the same stitches side by side: \
         which of them is the repeat can't be told, and none was read as it.",
    )
    .help("Nothing, if they mark something else. If one of them is the repeat, set repeat-columns; a chart has one.")
}

/// Says that a row within the box of the repeat is parted by more lines than those of the box.
fn within_box(sheet: &Sheet<'_>, (row, first, last): (u32, u32, u32)) -> Finding {
    let cells = Span::new(Address::new(row, first), Address::new(row, last));
    Finding::new(
        Code::BoxLeftAside,
        sheet.grid.place(cells),
        "Besides the box of the repeat, heavy or coloured lines set other parts of this row apart: they were not followed.",
    )
    .help("Nothing, if they mark something else. If the stitches within them are worked again themselves, draw these as often as that.")
}

/// Says that a box is drawn on fewer than half of the rows, and so is no repeat.
fn on_few_rows(sheet: &Sheet<'_>, area: &Area, found: &BTreeMap<u32, (u32, u32)>) -> Option<Finding> {
    let (&row, &(first, last)) = found.iter().next_back()?;
    (2 * found.len() < area.rows.len()).then(|| {
        let cells = Span::new(Address::new(row, first), Address::new(row, last));
        let rows = area.rows.len();
        Finding::new(
            Code::BoxLeftAside,
            sheet.grid.place(cells),
            format!(
                "The heavy or coloured lines around these cells stand on {} of {rows} rows: they are no repeat.",
                found.len()
            ),
        )
        .help("Nothing, if they mark something else. If they are the repeat, draw the box through all of its rows, or set repeat-columns.")
    })
}

/// Says that a box is as wide as the chart and leaves rows out: it sets rows apart, and no stitches.
fn around_rows(sheet: &Sheet<'_>, area: &Area, found: &BTreeMap<u32, (u32, u32)>) -> Finding {
    let rows = found.keys().copied();
    let (top, lowest) = (rows.clone().min().unwrap_or_default(), rows.max().unwrap_or_default());
    let cells = area.row_span(top).join(area.row_span(lowest));
    Finding::new(
        Code::BoxLeftAside,
        sheet.grid.place(cells),
        "The heavy or coloured lines stand around some of the rows, as wide as the chart: a repeat of rows, and of no stitches.",
    )
    .help("Nothing, if the notes say how often these rows are worked. If all stitches of the chart are worked again, draw the box through all of its rows, or set repeat-columns.")
}

/// The box through all rows: those that it leaves open go with the row below them.
fn spread(area: &Area, mut found: BTreeMap<u32, (u32, u32)>) -> Option<Drawn> {
    let drawn: Vec<u32> = found.keys().copied().collect();
    let mut known = *found.values().next_back()?;
    for row in area.rows.iter().rev() {
        match found.get(&row.row) {
            Some(columns) => known = *columns,
            None => {
                found.insert(row.row, known);
            }
        }
    }
    Some(Drawn::Box(found, drawn))
}

/// Where a single line inside a framed chart divides it: the box is the part whose upper or lower edge is drawn in a
/// colour or weight of its own.
fn edge_of_box(sheet: &Sheet<'_>, area: &Area, line: u32) -> Option<(u32, u32)> {
    let (first, last) = area.columns;
    let looks = &sheet.grid.looks;
    let drawn = |columns: std::ops::RangeInclusive<u32>| {
        columns.clone().all(|column| {
            let top = looks.at(Address::new(area.top(), column)).top;
            let bottom = looks.at(Address::new(area.bottom(), column)).bottom;
            strong(top) || strong(bottom)
        })
    };
    match (drawn(first..=line - 1), drawn(line..=last)) {
        (true, false) => Some((first, line - 1)),
        (false, true) => Some((line, last)),
        _ => None,
    }
}

/// A merged cell that speaks of a repeat, "6-st repeat", and the chart that it belongs to.
pub(super) struct Bracket {
    cells: Span,
    whose: Owner,
}

impl Bracket {
    /// Finds the merged cells of a sheet that speak of a repeat.
    pub(super) fn find(sheet: &Sheet<'_>, shares: &Shares) -> Vec<Self> {
        if sheet.grid.merges.is_empty() {
            return Vec::new();
        }
        let says = |text: &str| sentences::names_repeat(text).then_some(());
        let cells = sheet.tested_words(says).into_iter().map(|(at, ())| sheet.span(at));
        let cells = cells.filter(|cells| cells.width() > 1 && cells.height() == 1);
        let (cells, mut owners): (Vec<Span>, Vec<Owner>) =
            cells.filter_map(|cells| Some((cells, shares.of(cells.first)?))).unzip();
        whose::settle(&mut owners);
        cells.into_iter().zip(owners).map(|(cells, whose)| Self { cells, whose }).collect()
    }

    /// Its cells, where it belongs to this chart.
    pub(super) fn of(&self, chart: usize) -> Option<Span> {
        (self.whose.chart == chart).then_some(self.cells)
    }

    /// Says that it may belong to another chart as well, where no sentence is told to.
    pub(super) fn told(&self, sheet: &Sheet<'_>, areas: &[Area], said: &[&Sentence]) -> Option<Finding> {
        let at = self.cells.first;
        let text = sheet.text(at).filter(|_| said.iter().all(|sentence| sentence.at != at))?;
        whose::told(sheet, areas, at, &text, self.whose)
    }
}

/// The bracket right above or below the chart, over some of its columns.
fn bracket(area: &Area, brackets: &[Span]) -> Option<Drawn> {
    let near = |row: u32| {
        (row < area.top() && area.top() - row <= 3) || (row > area.bottom() && row - area.bottom() <= 3)
    };
    let over = |cells: &&Span| {
        near(cells.first.row) && area.columns.0 <= cells.first.column && cells.last.column <= area.columns.1
    };
    let cells = brackets.iter().find(over)?;
    Some(Drawn::Bracket(*cells, (cells.first.column, cells.last.column)))
}

/// The repeat that the sheet draws or tells; with a note of how it was understood, where that is not said yet.
pub(super) fn repeat(
    sheet: &Sheet<'_>,
    area: &Area,
    drawn: Drawn,
    findings: &mut Vec<Finding>,
) -> Option<(Repeat, Option<Finding>)> {
    let from_right = |column: u32| area.columns.1 - column + 1;
    let named =
        |columns: &(u32, u32)| RepeatColumns { first: from_right(columns.1), last: from_right(columns.0) };
    let (place, what) = match &drawn {
        Drawn::Box(rows, drawn) => {
            let mut widths = drawn.iter().filter_map(|row| rows.get(row)).copied();
            let (&top, &lowest) = (drawn.first()?, drawn.last()?);
            let columns = *rows.get(&lowest)?;
            let steady = widths.all(|width| width == columns);
            let place = Span::new(
                // One that moves is named by its cells in the lowest row: around all of them stand cells of no box.
                Address::new(if steady { top } else { lowest }, columns.0),
                Address::new(lowest, columns.1),
            );
            let what = format!("The box around {}", named(&columns));
            let moves = format!(", which moves from row to row through {} rows,", drawn.len());
            (place, if steady { what } else { what + &moves })
        }
        Drawn::Bracket(span, columns) => (*span, format!("The bracket over {}", named(columns))),
        Drawn::Sentence(at, columns) => (Span::from(*at), format!("The sentence that names {columns}")),
    };
    let place = sheet.grid.place(place);
    let told = Finding::new(Code::RepeatDrawn, place.clone(), format!("{what} was read as the repeat."))
        .help("Nothing, if that is so; repeat-columns says otherwise.");
    let repeat = match drawn {
        Drawn::Box(rows, drawn) => Some(Repeat::boxed(rows, *drawn.last()?)),
        Drawn::Bracket(_, columns) => Some(Repeat::columns(area, columns)),
        Drawn::Sentence(_, columns) => {
            findings.push(told);
            return Some((Repeat::named(sheet, area, columns, Some(place), findings)?, None));
        }
    };
    Some((repeat?, Some(told)))
}
