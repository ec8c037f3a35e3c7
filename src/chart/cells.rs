//! The cells of a row: which of them are one stitch, and which lie outside the shape.
//!
//! A row whose blank cells can be read in more than one way keeps its readings until the counts decide between
//! them (`chain.rs`).

mod fills;

use std::ops::Range;
use std::rc::Rc;

use super::area::Area;
use super::key::{FILL, Key, Matched, Works, quoted};
use super::sheet::Sheet;
use crate::grid::Value;
use crate::place::{Address, Span, column_letters};
use crate::problem::{Code, Finding};
use crate::stitch::Stitches;
pub(super) use fills::fills;

/// A stitch of a row, or a cell that is none.
#[derive(Clone, Debug)]
pub(super) struct Unit {
    /// The cells it stands in.
    pub(super) span: Span,
    /// What is worked; `None` for no stitch.
    pub(super) works: Option<Rc<Works>>,
    /// Whether nothing stands in them: they may be read in other ways.
    blank: bool,
}

/// One way to read a row, its stitches from left to right.
#[derive(Clone, Debug)]
pub(super) struct Reading {
    pub(super) units: Vec<Unit>,
    /// How far it departs from the plain reading, 0 for the plain one.
    pub(super) cost: u32,
    /// What was assumed, for a note.
    pub(super) assumed: Option<&'static str>,
}

/// Reads the cells of one row in every way they can be read, the plain way first; nothing where the row has an
/// error, which is then among the findings.
pub(super) fn readings(
    sheet: &Sheet<'_>,
    area: &Area,
    row: u32,
    number: u32,
    key: &mut Key,
    stitches: &mut Stitches,
    findings: &mut Vec<Finding>,
) -> Vec<Reading> {
    let errors = findings.len();
    let Cells { cells, any_wide, blank_said } = cells(sheet, area, row, number, key, stitches, findings);
    // Where nothing of a row can be read it is no blank row.
    if findings.len() > errors && cells.iter().all(|cell| cell.blank) {
        return Vec::new();
    }
    let mut readings = Vec::new();
    if !any_wide {
        shapes(sheet, cells, number, blank_said, false, &mut readings, findings);
        return if findings.len() > errors { Vec::new() } else { readings };
    }
    // Blanks after a cable continue it where the counts chain no other way, if blanks are stitches themselves.
    let continues: &[bool] = if blank_said { &[false, true] } else { &[true] };
    for (index, &continue_blanks) in continues.iter().enumerate() {
        let last = index + 1 == continues.len();
        let mut problems = Vec::new();
        let whole = whole_stitches(sheet, &cells, number, continue_blanks, blank_said, &mut problems);
        match whole {
            Some((units, continued)) => {
                if continue_blanks && !continued && index > 0 {
                    continue;
                }
                let continued = continue_blanks && index > 0;
                shapes(sheet, units, number, blank_said, continued, &mut readings, findings);
            }
            None if last && readings.is_empty() => findings.append(&mut problems),
            None => {}
        }
    }
    if findings.len() > errors { Vec::new() } else { readings }
}

/// The cells of a row.
struct Cells {
    /// From left to right, merged ones as one; none that can't be read.
    cells: Vec<Unit>,
    /// Whether one of them holds a stitch that takes more cells than one.
    any_wide: bool,
    /// Whether a key says what a blank cell means.
    blank_said: bool,
}

/// The cells of a row, each matched to the key.
fn cells(
    sheet: &Sheet<'_>,
    area: &Area,
    row: u32,
    number: u32,
    key: &mut Key,
    stitches: &mut Stitches,
    findings: &mut Vec<Finding>,
) -> Cells {
    let (first, last) = area.columns_of(row);
    let mut cells = Vec::with_capacity((last + 1).saturating_sub(first) as usize);
    let mut any_wide = false;
    let mut next = first;
    let (blank, blank_said) = match key.blank() {
        Some(Matched::Works(works)) => (Some(works), true),
        Some(Matched::NoStitch) => (None, true),
        _ => (None, false),
    };
    let each = |columns: Range<u32>| columns.map(|column| Span::from(Address::new(row, column)));
    let empty = |span: Span| Unit { span, works: blank.clone(), blank: true };
    // Adds the blank cells up to a column; gives where the next cell stands.
    let blanks = |mut next: u32, to: u32, cells: &mut Vec<Unit>| {
        while next < to {
            let span = sheet.span(Address::new(row, next));
            match span.width() {
                _ if sheet.hidden_column(next) => {}
                1 => cells.push(empty(span)),
                _ => cells.extend(each(span.first.column..span.last.column + 1).map(empty)),
            }
            next = span.last.column.max(next) + 1;
        }
        next
    };
    let end = last + 1;
    for (columns, text) in sheet.alike(row, first..end) {
        next = blanks(next, columns.start, &mut cells);
        let at = Address::new(row, columns.start);
        // Merged cells are passed over as one.
        if at.column < next {
            continue;
        }
        let span = sheet.span(at);
        next = columns.end.max(span.last.column + 1);
        if sheet.hidden_column(at.column) {
            continue;
        }
        let works = match key.matches(text, || sheet.value(at), stitches) {
            Matched::Works(works) => Some(Rc::clone(works)),
            Matched::NoStitch => None,
            other => {
                let first = std::iter::once(span);
                let spans = first.chain(each(columns).skip(1));
                findings.extend(spans.map(|span| unexplained(sheet, span, &text, number, other)));
                continue;
            }
        };
        let works = works.map(|works| in_colour(sheet, at, works, key));
        let unit = Unit { span, works, blank: false };
        if span.first != span.last
            && let Some(wrong) = merged_wrongly(sheet, area, &unit, &text, number, stitches)
        {
            findings.push(wrong);
            continue;
        }
        any_wide |= unit.width() > 1;
        if columns.len() == 1 {
            cells.push(unit);
        } else {
            cells.extend(each(columns).map(|span| Unit { span, ..unit.clone() }));
        }
    }
    blanks(next, end, &mut cells);
    Cells { cells, any_wide, blank_said }
}

/// What is wrong with merged cells: they reach beyond their row of the chart, or are not as wide as their stitch.
fn merged_wrongly(
    sheet: &Sheet<'_>,
    area: &Area,
    unit: &Unit,
    text: &str,
    number: u32,
    stitches: &Stitches,
) -> Option<Finding> {
    let span = unit.span;
    let wrong = |message: String| Finding::new(Code::MergedCell, sheet.grid.place(span), message).row(number);
    if span.height() > 1 || span.last.column > area.columns.1 {
        return Some(
            wrong(format!("The merged cell {span} reaches over more than its row of the chart."))
                .found(text)
                .help("Unmerge it, and merge only the cells of one stitch in one row."),
        );
    }
    let stitch = stitches.get(unit.works.as_ref()?.any()?);
    let width = sheet.shown_width(span);
    let mut fits = vec![stitch.cells, stitch.makes, stitch.uses];
    if fits.contains(&width) {
        return None;
    }
    fits.sort_unstable();
    fits.dedup();
    fits.retain(|width| *width > 0);
    let fits = fits.iter().map(u32::to_string).collect::<Vec<_>>().join(" or ");
    Some(
        wrong(format!("The merged cell {span} is {width} cells wide, but {} takes {fits}.", quoted(text)))
            .found(format!("{width} cells"))
            .expected(if fits == "1" { "1 cell".to_owned() } else { format!("{fits} cells") })
            .help("Merge as many cells as the stitch is wide, or unmerge them."),
    )
}

/// A stitch typed into a filled cell is worked in the fill's colour.
fn in_colour(sheet: &Sheet<'_>, at: Address, works: Rc<Works>, key: &Key) -> Rc<Works> {
    let colour = sheet.fill(at).and_then(|fill| key.colour_of(fill)).filter(|_| works.colour.is_none());
    match colour {
        Some(colour) => Rc::new(works.in_colour(colour)),
        None => works,
    }
}

/// What to do about a fill that no key explains.
fn fill_help(symbol: &str) -> String {
    format!(
        "Give the key of the sheet a filled square with the name of its colour beside it, or add \"{symbol}\" to [key] in longhand.toml; or fill the cell as the key has it."
    )
}

fn unexplained(sheet: &Sheet<'_>, span: Span, text: &str, number: u32, why: &Matched) -> Finding {
    let place = sheet.grid.place(span);
    let symbol = quoted(text);
    let finding = match why {
        Matched::Several(symbols) => {
            let list = symbols.iter().map(|symbol| quoted(symbol)).collect::<Vec<_>>().join(" and ");
            Finding::new(
                Code::AmbiguousSymbol,
                place,
                format!("{symbol} could be {list} of the key, which differ only in case or spaces."),
            )
            .help("Type the symbol exactly as the key has it.")
        }
        Matched::Date(readings) => {
            let list = readings.iter().map(|reading| quoted(reading)).collect::<Vec<_>>().join(", ");
            Finding::new(
                Code::AmbiguousDate,
                place,
                format!("A date stands where a symbol was typed; it may have been {list}."),
            )
            .expected(list)
            .help("Format the cell as text and type the symbol again; the key must explain exactly one of them.")
        }
        Matched::Unclear(words, entry) => Finding::new(
            Code::UnknownKeyWords,
            entry.clone(),
            format!("The key explains {symbol} as \"{words}\", which names no stitch."),
        )
        .expected("the name or the words of one stitch")
        .help("Say it in a stitch's name or words (\"longhand list stitches\" shows them), or describe a stitch of your own in the settings."),
        _ if text.starts_with(FILL) => {
            Finding::new(Code::UnknownSymbol, place, format!("No key explains {symbol}."))
                .expected("a fill that the key explains")
                .help(fill_help(text))
        }
        _ => Finding::new(Code::UnknownSymbol, place, format!("No key explains the symbol {symbol}."))
            .expected("a symbol of the key, or the name of a stitch")
            .help(match sheet.grid.get(span.first).map(|cell| &cell.value) {
                // Shown as typed, kept as a part of a day, of a hundred or of one.
                Some(Value::Number(number)) if number.fract() != 0.0 => format!(
                    "If the cell shows something else, such as 2:02, 1/2 or 5%, the spreadsheet program made the number \
                     {number} of it: format the cell as text and type the symbol again, in the key too. Else add \
                     {symbol} to the key."
                ),
                _ => format!(
                    "Add {symbol} to the key of the sheet or to [key] in longhand.toml, or correct the cell."
                ),
            }),
    };
    finding.row(number).found(text)
}

impl Unit {
    /// How many cells a stitch typed into one cell takes.
    fn width(&self) -> usize {
        match &self.works {
            Some(works) if !self.blank && self.span.width() == 1 => works.cells.max(1) as usize,
            _ => 1,
        }
    }

    /// The same stitch in some cells of its own.
    fn over(&self, cells: &[Self]) -> Self {
        let span = match cells {
            [] => self.span,
            [first, rest @ ..] => rest.iter().fold(first.span, |span, cell| span.join(cell.span)),
        };
        Self { span, ..self.clone() }
    }
}

/// Joins cells into wide stitches. `None` where one is cut short, with the findings. The flag says whether any
/// blank was taken as a continuation.
fn whole_stitches(
    sheet: &Sheet<'_>,
    cells: &[Unit],
    number: u32,
    continue_blanks: bool,
    single_allowed: bool,
    findings: &mut Vec<Finding>,
) -> Option<(Vec<Unit>, bool)> {
    let mut whole: Vec<Unit> = Vec::new();
    let mut continued = false;
    let mut at = 0;
    let errors = findings.len();
    while at < cells.len() {
        let cell = &cells[at];
        let width = cell.width();
        if width == 1 {
            whole.push(cell.clone());
            at += 1;
            continue;
        }
        let same = |other: &&Unit| !other.blank && other.works == cell.works && other.span.width() == 1;
        let run = cells[at..].iter().take_while(same).count();
        let blank = |cell: &&Unit| cell.blank;
        let blanks = cells[at + run..].iter().take_while(blank).count();
        let blanks_before = whole.iter().rev().take_while(blank).count();
        if run % width == 0 {
            whole.extend(cells[at..at + run].chunks(width).map(|group| cell.over(group)));
            at += run;
        } else if run == 1 && continue_blanks && blanks + 1 >= width {
            whole.push(cell.over(&cells[at..at + width]));
            continued = true;
            at += width;
        } else if run == 1 && continue_blanks && !single_allowed && blanks_before + 1 >= width {
            let start = whole.len() + 1 - width;
            let span = cell.over(&whole[start..]).span.join(cell.span);
            whole.truncate(start);
            whole.push(Unit { span, ..cell.clone() });
            continued = true;
            at += 1;
        } else if run == 1 && single_allowed && !continue_blanks && blanks > 0 {
            whole.push(cell.clone());
            at += 1;
        } else {
            let span = cell.over(&cells[at..at + run]).span;
            let symbol = cell.works.as_ref().map(|works| quoted(&works.symbol)).unwrap_or_default();
            findings.push(
                Finding::new(
                    Code::WideStitchCut,
                    sheet.grid.place(span),
                    format!(
                        "{symbol} is {width} cells wide, but here it fills {run}: {} short of a whole stitch.",
                        width - run % width
                    ),
                )
                .row(number)
                .found(if run == 1 { "1 cell".to_owned() } else { format!("{run} cells") })
                .expected(format!("{width} cells, or a multiple of it"))
                .help("Give the stitch all its cells: merge them, type the symbol into each, or leave the rest blank."),
            );
            at += run;
        }
    }
    (findings.len() == errors).then_some((whole, continued))
}

/// Decides which blanks lie outside the shape.
fn shapes(
    sheet: &Sheet<'_>,
    mut cells: Vec<Unit>,
    number: u32,
    blank_said: bool,
    continued: bool,
    readings: &mut Vec<Reading>,
    findings: &mut Vec<Finding>,
) {
    let base = if continued { 4 } else { 0 };
    let after_cable = continued.then_some("blanks after a cable were read as part of it");
    // In most rows nothing is left to decide.
    if !cells.is_empty() && !cells.iter().any(|cell| cell.blank) {
        readings.push(Reading { units: cells, cost: base, assumed: after_cable });
        return;
    }
    let leading = cells.iter().take_while(|cell| cell.blank).count();
    let trailing = cells.iter().rev().take_while(|cell| cell.blank).count();
    if !blank_said {
        if leading == cells.len() {
            findings.push(
                Finding::new(
                    Code::BlankCell,
                    sheet.grid.place(row_span(&cells)),
                    format!("Row {number} is blank, and no key says what a blank cell means."),
                )
                .row(number)
                .found("a blank row")
                .help("Say what a blank cell means: \"\" = \"k\" under [key] in longhand.toml, or an empty square in the sheet's key."),
            );
            return;
        }
        let shape = &cells[leading..cells.len() - trailing];
        let inside: Vec<&Unit> = shape.iter().filter(|cell| cell.blank).collect();
        if let Some(first) = inside.first() {
            let more = match inside.len() {
                1 => String::new(),
                n => format!(", and {} more in this row", n - 1),
            };
            findings.push(
                Finding::new(
                    Code::BlankCell,
                    sheet.grid.place(first.span),
                    format!(
                        "A blank cell inside the chart (column {}{more}), and no key says what it means.",
                        column_letters(first.span.first.column)
                    ),
                )
                .row(number)
                .found("a blank cell")
                .expected("a symbol")
                .help("Fill it, or say what a blank cell means: \"\" = \"k\" (or \"ns\") under [key] in longhand.toml, or an empty square in the sheet's key."),
            );
            return;
        }
        cells.truncate(cells.len() - trailing);
        cells.drain(..leading);
        readings.push(Reading { units: cells, cost: 0, assumed: None });
        return;
    }
    let units = |from: usize, to: usize| cells[from..to].to_vec();
    readings.push(Reading { units: units(0, cells.len()), cost: base, assumed: after_cable });
    // A row of blanks alone has no outermost symbol: all of it is stitches.
    if leading == cells.len() {
        return;
    }
    let outside = "blanks at the ends of the row were read as lying outside the shape";
    if leading > 0 && trailing > 0 {
        readings.push(Reading {
            units: units(leading, cells.len() - trailing),
            cost: base + 1,
            assumed: Some(outside),
        });
    }
    if leading > 0 {
        readings.push(Reading { units: units(leading, cells.len()), cost: base + 2, assumed: Some(outside) });
    }
    if trailing > 0 {
        readings.push(Reading {
            units: units(0, cells.len() - trailing),
            cost: base + 2,
            assumed: Some(outside),
        });
    }
}

fn row_span(cells: &[Unit]) -> Span {
    match cells {
        [first, .., last] => first.span.join(last.span),
        [one] => one.span,
        [] => Address::new(0, 0).into(),
    }
}
