//! The table of cell formats: which show a date, and how their cells look.

use std::collections::HashMap;

use quick_xml::events::{BytesStart, Event};

use super::formats::{built_in_date, shows_date};
use super::missing;
use super::workbook::truth;
use crate::grid::{Colour, Edge, Look};
use crate::read::colours::{Colours, Pattern, mixed};
use crate::read::fault::Fault;
use crate::read::limits;
use crate::read::package::Package;
use crate::read::xml::{Xml, attribute};

/// A cell format.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Format {
    /// Whether a number is shown as a date.
    pub(super) date: bool,
    /// How the cell looks.
    pub(super) look: Look,
}

/// Reads the table of cell formats. Most workbooks name no colour of their theme, and few have a palette of their own:
/// the theme is only read where it is asked for, and the formats once more where either is.
pub(super) fn read(package: &mut Package<'_>, part: &str, theme: Option<&str>) -> Result<Vec<Format>, Fault> {
    let mut colours = Colours::unthemed();
    let (mut formats, palette) = table(package, part, &colours)?;
    let unthemed = colours.unread.get();
    if unthemed {
        colours = Colours::read(package, theme)?;
    }
    // The palette stands behind what refers to it.
    if unthemed || !palette.is_empty() {
        colours.own_palette = palette;
        formats = table(package, part, &colours)?.0;
    }
    Ok(formats)
}

/// The cell formats, with these colours, and the workbook's own palette; empty where it has none.
fn table(
    package: &mut Package<'_>,
    part: &str,
    colours: &Colours,
) -> Result<(Vec<Format>, Vec<Colour>), Fault> {
    let mut xml = package.xml(part)?.ok_or_else(|| missing(part))?;
    let mut palette = Vec::new();
    let mut own_dates: HashMap<usize, bool> = HashMap::new();
    // Whether each strikes out.
    let mut fonts: Vec<bool> = Vec::new();
    let mut fills: Vec<Option<Colour>> = Vec::new();
    let mut borders: Vec<Look> = Vec::new();
    let mut formats = Vec::new();
    let mut table = Table::Other;
    loop {
        enum Entry {
            Fill,
            Border,
        }
        let entry = match xml.next()? {
            Event::Start(start) => {
                let name = start.local_name();
                match (name.as_ref(), table) {
                    ("fonts", _) => table = Table::Fonts,
                    ("fills", _) => table = Table::Fills,
                    ("borders", _) => table = Table::Borders,
                    ("cellXfs", _) => table = Table::Formats,
                    // Formats of tables and conditions, which have fills and borders too.
                    ("dxfs" | "cellStyleXfs", _) => table = Table::Other,
                    ("numFmt", _) => {
                        let id = attribute(&start, "numFmtId").and_then(|id| id.parse().ok());
                        if let (Some(id), Some(code)) = (id, attribute(&start, "formatCode")) {
                            own_dates.entry(id).or_insert_with(|| shows_date(&code));
                        }
                    }
                    ("rgbColor", _) if palette.len() < limits::TABLE_ENTRIES => {
                        let colour = attribute(&start, "rgb").and_then(|digits| Colour::from_hex(&digits));
                        palette.push(colour.unwrap_or_default());
                    }
                    ("font", Table::Fonts) => fonts.push(false),
                    ("strike", Table::Fonts) => {
                        if let Some(struck) = fonts.last_mut() {
                            *struck = attribute(&start, "val").is_none_or(|value| truth(&value));
                        }
                    }
                    ("xf", Table::Formats) => {
                        let number = |name| {
                            attribute(&start, name).and_then(|id| id.parse::<usize>().ok()).unwrap_or(0)
                        };
                        let id = number("numFmtId");
                        let date = own_dates.get(&id).copied();
                        let mut look = borders.get(number("borderId")).copied().unwrap_or_default();
                        look.fill = fills.get(number("fillId")).copied().flatten();
                        look.struck = fonts.get(number("fontId")).copied().unwrap_or_default();
                        formats.push(Format { date: date.unwrap_or_else(|| built_in_date(id)), look });
                    }
                    _ => {}
                }
                match (name.as_ref(), table) {
                    ("fill", Table::Fills) => Some(Entry::Fill),
                    ("border", Table::Borders) => Some(Entry::Border),
                    _ => None,
                }
            }
            Event::Eof => return Ok((formats, palette)),
            _ => None,
        };
        match entry {
            Some(Entry::Fill) => fills.push(fill(&mut xml, colours)?),
            Some(Entry::Border) => borders.push(border(&mut xml, colours)?),
            None => {}
        }
        if [formats.len(), fonts.len(), fills.len(), borders.len(), own_dates.len()].into_iter().max()
            > Some(limits::TABLE_ENTRIES)
        {
            return Err(Fault::too_many("cell formats", limits::TABLE_ENTRIES as u64));
        }
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Table {
    Fonts,
    Fills,
    Borders,
    Formats,
    Other,
}

/// A fill whose start was read last.
fn fill(xml: &mut Xml<'_>, colours: &Colours) -> Result<Option<Colour>, Fault> {
    let mut pattern = String::from("none");
    let (mut front, mut back) = (None, None);
    let mut stops = Vec::new();
    let mut inside = 0usize;
    loop {
        match xml.next()? {
            Event::Start(start) => {
                inside += 1;
                match start.local_name().as_ref() {
                    "patternFill" => {
                        pattern = attribute(&start, "patternType").unwrap_or_default().into_owned()
                    }
                    "fgColor" => front = colours.of(&start),
                    "bgColor" => back = colours.of(&start),
                    // The colours a gradient runs through.
                    "color" if stops.len() < 16 => stops.extend(colours.of(&start)),
                    _ => {}
                }
            }
            Event::End(_) if inside > 0 => inside -= 1,
            Event::End(_) | Event::Eof => break,
            _ => {}
        }
    }
    if let (Some(&first), Some(&last)) = (stops.first(), stops.last()) {
        return Ok(Some(mixed(first, last, 0.5)));
    }
    Ok(Pattern::named(&pattern).fill(front, back))
}

/// The edges of a border whose start was read last.
fn border(xml: &mut Xml<'_>, colours: &Colours) -> Result<Look, Fault> {
    let mut look = Look::default();
    let mut side = String::new();
    let mut inside = 0usize;
    loop {
        match xml.next()? {
            Event::Start(start) => {
                inside += 1;
                let name = start.local_name();
                let set = |look: &mut Look, side: &str, edge: Edge| match side {
                    "top" => look.top = Some(edge),
                    "bottom" => look.bottom = Some(edge),
                    "left" | "start" => look.left = Some(edge),
                    "right" | "end" => look.right = Some(edge),
                    _ => {}
                };
                if inside == 1 {
                    side = name.as_ref().to_owned();
                    if let Some(heavy) = weight(&start) {
                        set(&mut look, &side, Edge { heavy, colour: Colour::BLACK });
                    }
                } else if name.as_ref() == "color"
                    && let Some(colour) = colours.of(&start)
                {
                    let edge = match side.as_str() {
                        "top" => look.top,
                        "bottom" => look.bottom,
                        "left" | "start" => look.left,
                        "right" | "end" => look.right,
                        _ => None,
                    };
                    if let Some(edge) = edge {
                        set(&mut look, &side, Edge { colour, ..edge });
                    }
                }
            }
            Event::End(_) if inside > 0 => inside -= 1,
            Event::End(_) | Event::Eof => return Ok(look),
            _ => {}
        }
    }
}

/// Whether a line is heavy; `None` where there is no line.
fn weight(start: &BytesStart<'_>) -> Option<bool> {
    let style = attribute(start, "style")?;
    match &*style {
        "none" | "" => None,
        style => Some(style.starts_with("medium") || matches!(style, "thick" | "double" | "slantDashDot")),
    }
}
