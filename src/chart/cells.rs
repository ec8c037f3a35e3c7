//! The cells of a row: which of them are one stitch, and which lie outside the shape.
//!
//! A row whose blank cells can be read in more than one way keeps its readings until the counts decide between
//! them (`chain.rs`).

use std::rc::Rc;

use super::area::Area;
use super::key::{FILL, Key, Matched, Works, quoted};
use super::sheet::Sheet;
use crate::place::{Address, Span, column_letters};
use crate::problem::{Code, Finding};
use crate::stitch::Stitches;

/// A stitch of a row, or a cell that is none.
#[derive(Clone, Debug)]
pub(super) struct Unit {
    /// The cells it stands in.
    pub(super) span: Span,
    /// What is worked; `None` for no stitch.
    pub(super) works: Option<Rc<Works>>,
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

#[derive(Clone)]
enum Cell {
    Stitch(Rc<Works>),
    NoStitch,
    Blank,
}

impl Cell {
    /// What is worked for it; `blank` says what for a blank cell.
    fn works(self, blank: Option<&Option<Rc<Works>>>) -> Option<Rc<Works>> {
        match self {
            Self::Stitch(works) => Some(works),
            Self::NoStitch => None,
            Self::Blank => blank.cloned().flatten(),
        }
    }
}

struct Piece {
    span: Span,
    cell: Cell,
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
    let pieces = pieces(sheet, area, row, number, key, stitches, findings);
    let blank = key.blank();
    let blank = match blank {
        Some(Matched::Works(works)) => Some(Some(works)),
        Some(Matched::NoStitch) => Some(None),
        _ => None,
    };
    let mut readings = Vec::new();
    if !pieces.iter().any(|piece| wide(piece) > 1) {
        shapes(sheet, pieces, number, blank.as_ref(), false, &mut readings, findings);
        return if findings.len() > errors { Vec::new() } else { readings };
    }
    // Blanks after a cable continue it where the counts chain no other way, if blanks are stitches themselves.
    let continues: &[bool] = if blank.is_some() { &[false, true] } else { &[true] };
    for (index, &continue_blanks) in continues.iter().enumerate() {
        let last = index + 1 == continues.len();
        let mut problems = Vec::new();
        let whole = whole_stitches(sheet, &pieces, number, continue_blanks, blank.is_some(), &mut problems);
        match whole {
            Some((pieces, continued)) => {
                if continue_blanks && !continued && index > 0 {
                    continue;
                }
                shapes(
                    sheet,
                    pieces,
                    number,
                    blank.as_ref(),
                    continue_blanks && index > 0,
                    &mut readings,
                    findings,
                );
            }
            None if last && readings.is_empty() => findings.append(&mut problems),
            None => {}
        }
    }
    if findings.len() > errors { Vec::new() } else { readings }
}

/// The cells of a row from left to right: merged ones as one, each matched to the key.
fn pieces(
    sheet: &Sheet<'_>,
    area: &Area,
    row: u32,
    number: u32,
    key: &mut Key,
    stitches: &mut Stitches,
    findings: &mut Vec<Finding>,
) -> Vec<Piece> {
    let mut pieces = Vec::with_capacity((area.columns.1 - area.columns.0 + 1) as usize);
    let mut next = area.columns.0;
    for (column, text) in sheet.across(row, area.columns) {
        // Merged cells are passed over as one.
        if column < next {
            continue;
        }
        let at = Address::new(row, column);
        let span = sheet.span(at);
        next = span.last.column.max(column) + 1;
        if sheet.hidden_column(at.column) {
            continue;
        }
        let Some(text) = text else {
            if span.width() == 1 {
                pieces.push(Piece { span, cell: Cell::Blank });
            } else {
                pieces.extend(
                    (span.first.column..=span.last.column)
                        .map(|column| Piece { span: Address::new(row, column).into(), cell: Cell::Blank }),
                );
            }
            continue;
        };
        let cell = match key.matches(text, || sheet.value(at), stitches) {
            Matched::Works(works) => Cell::Stitch(in_colour(sheet, at, works, key)),
            Matched::NoStitch => Cell::NoStitch,
            other => {
                findings.push(unexplained(sheet, span, &text, number, other));
                continue;
            }
        };
        if span.height() > 1 || span.last.column > area.columns.1 {
            findings.push(
                Finding::new(
                    Code::MergedCell,
                    sheet.grid.place(span),
                    format!("The merged cell {span} reaches over more than its row of the chart."),
                )
                .row(number)
                .found(text.str())
                .help("Unmerge it, and merge only the cells of one stitch in one row."),
            );
            continue;
        }
        if let Cell::Stitch(works) = &cell
            && span.width() > 1
            && let Some(id) = works.any()
        {
            let stitch = stitches.get(id);
            let width = span.width();
            if ![stitch.cells, stitch.makes, stitch.uses].contains(&width) {
                let mut fits = vec![stitch.cells, stitch.makes, stitch.uses];
                fits.sort_unstable();
                fits.dedup();
                fits.retain(|width| *width > 0);
                let fits = fits.iter().map(u32::to_string).collect::<Vec<_>>().join(" or ");
                findings.push(
                    Finding::new(
                        Code::MergedCell,
                        sheet.grid.place(span),
                        format!(
                            "The merged cell {span} is {width} cells wide, but {} takes {fits}.",
                            quoted(&text)
                        ),
                    )
                    .row(number)
                    .found(format!("{width} cells"))
                    .expected(if fits == "1" { "1 cell".to_owned() } else { format!("{fits} cells") })
                    .help("Merge as many cells as the stitch is wide, or unmerge them."),
                );
                continue;
            }
        }
        pieces.push(Piece { span, cell });
    }
    pieces
}

/// A stitch typed into a filled cell is worked in the fill's colour.
fn in_colour(sheet: &Sheet<'_>, at: Address, works: Rc<Works>, key: &Key) -> Rc<Works> {
    let colour = sheet.fill(at).and_then(|fill| key.colour_of(fill)).filter(|_| works.colour.is_none());
    match colour {
        Some(colour) => Rc::new(works.in_colour(colour)),
        None => works,
    }
}

fn unexplained(sheet: &Sheet<'_>, span: Span, text: &str, number: u32, why: Matched) -> Finding {
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
            entry,
            format!("The key explains {symbol} as \"{words}\", which names no stitch."),
        )
        .expected("the name or the words of one stitch")
        .help("Say it in a stitch's name or words (\"longhand list stitches\" shows them), or describe a stitch of your own in the settings."),
        _ if text.starts_with(FILL) => {
            Finding::new(Code::UnknownSymbol, place, format!("No key explains {symbol}."))
                .expected("a fill that the key explains")
                .help(format!("Add \"{text}\" to [key] in longhand.toml, or fill the cell as the key has it."))
        }
        _ => Finding::new(Code::UnknownSymbol, place, format!("No key explains the symbol {symbol}."))
            .expected("a symbol of the key, or the name of a stitch")
            .help(format!(
                "Add {symbol} to the key of the sheet or to [key] in longhand.toml, or correct the cell."
            )),
    };
    finding.row(number).found(text)
}

/// How many cells a stitch typed into one cell takes.
fn wide(piece: &Piece) -> usize {
    match &piece.cell {
        Cell::Stitch(works) if piece.span.width() == 1 => works.cells.max(1) as usize,
        _ => 1,
    }
}

/// Joins cells into wide stitches. `None` where one is cut short, with the findings. The flag says whether any
/// blank was taken as a continuation.
fn whole_stitches(
    sheet: &Sheet<'_>,
    pieces: &[Piece],
    number: u32,
    continue_blanks: bool,
    single_allowed: bool,
    findings: &mut Vec<Finding>,
) -> Option<(Vec<Piece>, bool)> {
    let mut whole: Vec<Piece> = Vec::new();
    let mut continued = false;
    let mut at = 0;
    let errors = findings.len();
    while at < pieces.len() {
        let piece = &pieces[at];
        let width = wide(piece);
        if width == 1 {
            whole.push(Piece { span: piece.span, cell: piece.cell.clone() });
            at += 1;
            continue;
        }
        let same = |other: &Piece| match (&piece.cell, &other.cell) {
            (Cell::Stitch(one), Cell::Stitch(two)) => one == two && other.span.width() == 1,
            _ => false,
        };
        let run = pieces[at..].iter().take_while(|other| same(other)).count();
        let blank = |piece: &&Piece| matches!(piece.cell, Cell::Blank);
        let blanks = pieces[at + run..].iter().take_while(blank).count();
        let blanks_before = whole.iter().rev().take_while(blank).count();
        let join = |cells: &[Piece]| match cells {
            [] => piece.span,
            [first, rest @ ..] => rest.iter().fold(first.span, |span, piece| span.join(piece.span)),
        };
        if run % width == 0 {
            for group in pieces[at..at + run].chunks(width) {
                whole.push(Piece { span: join(group), cell: piece.cell.clone() });
            }
            at += run;
        } else if run == 1 && continue_blanks && blanks + 1 >= width {
            whole.push(Piece { span: join(&pieces[at..at + width]), cell: piece.cell.clone() });
            continued = true;
            at += width;
        } else if run == 1 && continue_blanks && !single_allowed && blanks_before + 1 >= width {
            let start = whole.len() + 1 - width;
            let span = join(&whole[start..]).join(piece.span);
            whole.truncate(start);
            whole.push(Piece { span, cell: piece.cell.clone() });
            continued = true;
            at += 1;
        } else if run == 1 && single_allowed && !continue_blanks && blanks > 0 {
            whole.push(Piece { span: piece.span, cell: piece.cell.clone() });
            at += 1;
        } else {
            let span = join(&pieces[at..at + run]);
            let symbol = match &piece.cell {
                Cell::Stitch(works) => quoted(&works.symbol),
                _ => String::new(),
            };
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
    pieces: Vec<Piece>,
    number: u32,
    blank: Option<&Option<Rc<Works>>>,
    continued: bool,
    readings: &mut Vec<Reading>,
    findings: &mut Vec<Finding>,
) {
    let is_blank = |piece: &Piece| matches!(piece.cell, Cell::Blank);
    let base = if continued { 4 } else { 0 };
    let after_cable = continued.then_some("blanks after a cable were read as part of it");
    // In most rows nothing is left to decide.
    if !pieces.is_empty() && !pieces.iter().any(is_blank) {
        let unit = |piece: Piece| Unit { span: piece.span, works: piece.cell.works(None) };
        let units = pieces.into_iter().map(unit).collect();
        readings.push(Reading { units, cost: base, assumed: after_cable });
        return;
    }
    let leading = pieces.iter().take_while(|piece| is_blank(piece)).count();
    let trailing = pieces.iter().rev().take_while(|piece| is_blank(piece)).count();
    let units = |from: usize, to: usize| -> Vec<Unit> {
        pieces[from..to]
            .iter()
            .map(|piece| Unit { span: piece.span, works: piece.cell.clone().works(blank) })
            .collect()
    };
    let Some(_) = blank else {
        if leading == pieces.len() {
            findings.push(
                Finding::new(
                    Code::BlankCell,
                    sheet.grid.place(row_span(&pieces)),
                    format!("Row {number} is blank, and no key says what a blank cell means."),
                )
                .row(number)
                .found("a blank row")
                .help("Say what a blank cell means: \"\" = \"k\" under [key] in longhand.toml, or an empty square in the sheet's key."),
            );
            return;
        }
        let inside: Vec<&Piece> =
            pieces[leading..pieces.len() - trailing].iter().filter(|piece| is_blank(piece)).collect();
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
        readings.push(Reading { units: units(leading, pieces.len() - trailing), cost: 0, assumed: None });
        return;
    };
    readings.push(Reading { units: units(0, pieces.len()), cost: base, assumed: after_cable });
    // A row of blanks alone has no outermost symbol: all of it is stitches.
    if leading == pieces.len() {
        return;
    }
    let outside = "blanks at the ends of the row were read as lying outside the shape";
    if leading > 0 && trailing > 0 {
        readings.push(Reading {
            units: units(leading, pieces.len() - trailing),
            cost: base + 1,
            assumed: Some(outside),
        });
    }
    if leading > 0 {
        readings.push(Reading {
            units: units(leading, pieces.len()),
            cost: base + 2,
            assumed: Some(outside),
        });
    }
    if trailing > 0 {
        readings.push(Reading {
            units: units(0, pieces.len() - trailing),
            cost: base + 2,
            assumed: Some(outside),
        });
    }
}

fn row_span(pieces: &[Piece]) -> Span {
    match pieces {
        [first, .., last] => first.span.join(last.span),
        [one] => one.span,
        [] => Address::new(0, 0).into(),
    }
}
