//! Charts as an Excel workbook: squares with borders, cables merged over their cells, the repeat in a red box.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use rust_xlsxwriter::{
    ColNum, Color, DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, RowNum, Workbook,
    Worksheet, XlsxError,
};
use serde::Deserialize;

use super::layout::{Layout, notes, numbers, said};
use super::{Drawing, Options, Square};
use crate::tables::{self, table};

/// Fills of squares in colour work.
#[derive(Deserialize)]
struct Fills {
    named: BTreeMap<String, String>,
    spare: Vec<String>,
}

static FILLS: LazyLock<Fills> = LazyLock::new(|| tables::read(table!("draw/colours")));

/// The side of a square, in pixels.
const SQUARE: u32 = 26;
/// The grey of squares where there is no stitch.
const NONE: u32 = 0xD9_D9D9;
/// The lines between squares.
const LINE: u32 = 0xA6_A6A6;
/// The box around the repeat.
const BOX: u32 = 0xC0_0000;

/// Writes charts, a sheet each.
///
/// # Errors
/// Where a sheet can't hold a chart.
pub(super) fn write(drawings: &[(&Drawing, Options)]) -> Result<Vec<u8>, String> {
    workbook(drawings).map_err(|error| format!("{}.", error.to_string().trim_end_matches('.')))
}

fn workbook(drawings: &[(&Drawing, Options)]) -> Result<Vec<u8>, XlsxError> {
    let mut workbook = Workbook::new();
    // The same chart makes the same bytes, whenever it is written.
    let properties = DocProperties::new().set_creation_datetime(&ExcelDateTime::from_ymd(2000, 1, 1)?);
    workbook.set_properties(&properties);
    for (index, (drawing, options)) in drawings.iter().enumerate() {
        let name = if drawings.len() == 1 { "Chart".to_owned() } else { format!("Chart {}", index + 1) };
        let sheet = workbook.add_worksheet();
        sheet.set_name(name)?;
        chart(drawing, *options, sheet)?;
    }
    workbook.save_to_buffer()
}

fn row(index: usize) -> Result<RowNum, XlsxError> {
    RowNum::try_from(index).map_err(|_| XlsxError::RowColumnLimitError)
}

fn column(index: usize) -> Result<ColNum, XlsxError> {
    ColNum::try_from(index).map_err(|_| XlsxError::RowColumnLimitError)
}

fn chart(drawing: &Drawing, options: Options, sheet: &mut Worksheet) -> Result<(), XlsxError> {
    let layout = Layout::of(drawing);
    let fills = fills(&drawing.colours);
    let plain = Format::new();
    for (index, line) in said(drawing).iter().enumerate() {
        let format = if index == 0 { Format::new().set_bold() } else { plain.clone() };
        sheet.write_string_with_format(row(index)?, 0, line, &format)?;
    }
    let last = column(drawing.width + 1)?;
    sheet.set_column_range_width_pixels(1, last.saturating_sub(1).max(1), SQUARE)?;
    let number_width = if options.numbers_in_words { 64 } else { 40 };
    sheet.set_column_width_pixels(0, number_width)?;
    sheet.set_column_width_pixels(last, number_width)?;
    let numbered = Format::new().set_align(FormatAlign::Center).set_align(FormatAlign::VerticalCenter);
    for (index, drawn) in drawing.rows.iter().enumerate() {
        let at = row(layout.chart + index)?;
        sheet.set_row_height_pixels(at, SQUARE)?;
        let (left, right) = numbers(drawn, options);
        for (number, at_column) in [(left, 0), (right, last)] {
            if !number.is_empty() {
                sheet.write_string_with_format(at, at_column, &number, &numbered)?;
            }
        }
        let mut first = 0;
        let ends = (index == 0, index + 1 == drawing.rows.len());
        for square in &drawn.squares {
            let format = square_format(drawing, square, first, ends, &fills);
            let sign = drawing.key.get(square.symbol).map(|symbol| symbol.short.as_str()).unwrap_or_default();
            let (from, to) = (column(first + 1)?, column(first + square.cells)?);
            if square.cells > 1 {
                sheet.merge_range(at, from, at, to, sign, &format)?;
            } else {
                sheet.write_string_with_format(at, from, sign, &format)?;
            }
            first += square.cells;
        }
    }
    key(drawing, &layout, &fills, sheet)?;
    for (index, note) in notes(drawing, options).iter().enumerate() {
        sheet.write_string(row(layout.notes + index)?, 0, note)?;
    }
    sheet.set_print_fit_to_pages(1, 0);
    Ok(())
}

fn key(drawing: &Drawing, layout: &Layout, fills: &[Color], sheet: &mut Worksheet) -> Result<(), XlsxError> {
    sheet.write_string_with_format(row(layout.key)?, 0, "Key", &Format::new().set_bold())?;
    let square = ruled().set_align(FormatAlign::Center).set_align(FormatAlign::VerticalCenter);
    let mut at = layout.key + 1;
    for symbol in &drawing.key {
        let format = if symbol.none { square.clone().set_background_color(NONE) } else { square.clone() };
        sheet.write_string_with_format(row(at)?, 0, &symbol.short, &format)?;
        sheet.write_string(row(at)?, 1, &symbol.words)?;
        at += 1;
    }
    for (colour, fill) in drawing.colours.iter().zip(fills) {
        sheet.write_blank(row(at)?, 0, &ruled().set_background_color(*fill))?;
        sheet.write_string(row(at)?, 1, colour)?;
        at += 1;
    }
    Ok(())
}

fn ruled() -> Format {
    Format::new().set_border(FormatBorder::Thin).set_border_color(LINE)
}

/// How a square looks that begins in this column; `ends` says whether its row is the top or the bottom one.
fn square_format(
    drawing: &Drawing,
    square: &Square,
    first: usize,
    ends: (bool, bool),
    fills: &[Color],
) -> Format {
    let mut format =
        ruled().set_align(FormatAlign::Center).set_align(FormatAlign::VerticalCenter).set_shrink();
    if drawing.key.get(square.symbol).is_some_and(|symbol| symbol.none) {
        format = format.set_background_color(NONE).set_font_color(0x7F_7F7F);
    }
    if let Some(&fill) = square.colour.and_then(|colour| fills.get(colour)) {
        format = format.set_background_color(fill);
        if is_dark(fill) {
            format = format.set_font_color(0xFF_FFFF);
        }
    }
    let Some((from, to)) = drawing.repeat else { return format };
    let end = first + square.cells;
    if first < from || to < end {
        return format;
    }
    if first == from {
        format = format.set_border_left(FormatBorder::Thick).set_border_left_color(BOX);
    }
    if end == to {
        format = format.set_border_right(FormatBorder::Thick).set_border_right_color(BOX);
    }
    if ends.0 {
        format = format.set_border_top(FormatBorder::Thick).set_border_top_color(BOX);
    }
    if ends.1 {
        format = format.set_border_bottom(FormatBorder::Thick).set_border_bottom_color(BOX);
    }
    format
}

/// A fill for each colour: its own where it has a usual name, else one that no other has.
fn fills(colours: &[String]) -> Vec<Color> {
    let mut taken: Vec<&String> = Vec::new();
    let named: Vec<Option<&String>> = colours
        .iter()
        .map(|colour| {
            let own = FILLS.named.get(&colour.trim().to_lowercase()).filter(|own| !taken.contains(own));
            taken.extend(own);
            own
        })
        .collect();
    let mut fills = Vec::with_capacity(colours.len());
    for own in named {
        let fill = own.or_else(|| FILLS.spare.iter().find(|spare| !taken.contains(spare)));
        taken.extend(fill);
        let digits = fill.map(String::as_str).unwrap_or_default();
        fills.push(Color::RGB(u32::from_str_radix(digits, 16).unwrap_or(0xFF_E0B0)));
    }
    fills
}

/// Whether black letters are hard to read on it.
fn is_dark(fill: Color) -> bool {
    let Color::RGB(rgb) = fill else { return false };
    let [_, red, green, blue] = rgb.to_be_bytes().map(u32::from);
    3 * red + 6 * green + blue < 1_100
}
