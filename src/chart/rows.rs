//! From an area of a sheet to a pattern.

mod again;
mod beside;
mod build;
mod derived;
pub(super) mod limits;
mod rule;
mod told;

use std::borrow::Cow;
use std::cell::OnceCell;
use std::sync::Arc;

use foldhash::HashMap;

use super::area::Area;
use super::cells::{self, Reading, Unit};
use super::chain::{self, Weight};
use super::drawn;
use super::extent::{self, Settled};
use super::heading::{Heading, Note, printed};
use super::key::{Key, Matched};
use super::notes;
use super::order::{Numbered, Order};
use super::repeat::{self, Repeat};
use super::sentences::{Tellings, Widths};
use super::sheet::Sheet;
use crate::pattern::{Multiple, Pattern, Side, Size};
use crate::place::Place;
use crate::problem::{Code, Finding, any_error};
use crate::settings::Settings;
use crate::stitch::Stitches;
use build::Build;

pub(super) use beside::{move_on, take as take_beside};
pub(super) use rule::misread;
pub(super) use told::{Told, numbers as numbers_told, take as take_told};

/// A chart with its rows in order, so far as an order could be made out.
#[derive(Clone, Copy)]
pub(super) struct Ordered<'a> {
    pub(super) area: &'a Area,
    pub(super) order: Option<&'a Order>,
    /// The first of the findings that concern it.
    pub(super) from: usize,
    /// What sentences tell of rows that it does not draw.
    pub(super) tellings: &'a Tellings,
    /// What they tell of its width.
    pub(super) widths: &'a Widths<'a>,
    /// Notes that tell rows which follow those that are drawn.
    pub(super) told: &'a [Told],
}

/// Reads the pattern of an area; nothing where it has errors, which are all among the findings.
pub(super) fn pattern(
    sheet: &Sheet<'_>,
    Ordered { area, order, from, tellings, widths, told }: Ordered<'_>,
    settings: &Settings,
    heading: Heading,
    key: &mut Key,
    stitches: &mut Stitches,
    findings: &mut Vec<Finding>,
) -> Option<Pattern> {
    let settled = settled(sheet, area, order, (settings, widths), key, stitches, findings)?;
    let area = &settled.area;
    let rules = rule::read(sheet, area, settings, tellings, stitches, findings);
    // The cells are read even where the numbers are wrong, so that every symbol without a meaning is named.
    let numbered = order.map_or_else(|| Cow::Owned(unordered(area)), |order| Cow::Borrowed(&order.rows[..]));
    let units = units(sheet, area, &numbered, settings, key, stitches, findings);
    let order = order?;
    let units = units?;
    let rows: Vec<(u32, u32, &[Unit])> = order
        .rows
        .iter()
        .zip(&units)
        .map(|(row, units)| (row.number, row.row.row, units.as_slice()))
        .collect();
    let repeat = repeat(sheet, &settled, (settings, widths), &rows, findings).ok()?;
    let mut notes = heading.notes;
    let rules = rules?.with_again(told);
    let cast_on = widths.cast_on().filter(|_| repeat.is_some());
    let stated = match cast_on {
        Some(cast_on) => with_cast_on(settings, cast_on, widths, &mut notes, findings),
        None => Cow::Borrowed(settings),
    };
    findings.extend(repeat.is_none().then(|| sizes_of_nothing(sheet, area, settings)).flatten());
    let mut build = Build { sheet, area, settings: &stated, stitches, findings, told };
    let width = match &repeat {
        Some(repeat) => Some(build.width(repeat, order, &units)?),
        None => None,
    };
    let mut multiple = width.as_ref().and_then(|width| width.multiple);
    let sized = multiple.and_then(|multiple| with_sizes(&stated, multiple, widths, build.findings));
    let settings = sized.as_ref().unwrap_or(&stated);
    let mut build = Build { settings, ..build };
    let charted = build.charted(order, &units, repeat.as_ref().zip(width.as_ref()));
    let mut rows = build.all_rows(order, charted?, &rules)?;
    if let (Some(repeat), Some(width)) = (repeat.as_ref().filter(|repeat| repeat.apart().is_none()), &width)
        && !build.mark_repeats(&mut rows, order, &units, &rules, repeat, width)
    {
        multiple = None;
        rows.iter_mut().for_each(|row| row.repeat = None);
    }
    if any_error(&findings[from..]) {
        return None;
    }
    findings.extend(told.iter().map(told::written_out));
    let first_uses = rows.first().map_or(0, |row| stitches.uses(&row.stitches));
    let cast_on = match (&width, multiple, settings.cast_on) {
        (Some(width), Some(multiple), _) => multiple.width(width.times),
        (_, _, Some(cast_on)) => cast_on,
        (_, _, None) => first_uses,
    };
    findings.extend(tellings.drawn_otherwise(&rows, stitches));
    // Every text states the cast-on, and has the repeat in its rows.
    notes.retain(|note| {
        !widths.is_cast_on(&note.text, cast_on) && !widths.is_repeat(&note.text, &findings[from..])
    });
    let pattern = Pattern {
        title: heading.title,
        source: Arc::clone(&sheet.grid.file),
        chart: None,
        worked: settings.worked.unwrap_or_default(),
        hand: settings.hand.unwrap_or_default(),
        cast_on,
        multiple,
        sizes: sizes(settings, multiple),
        rows,
        notes: printed(notes, settings.worked.unwrap_or_default()),
        stitches: stitches.clone(),
    };
    findings.extend(widths.held_against(&pattern, repeat.is_some(), settings));
    Some(pattern)
}

/// The chart with its outermost columns settled, where that can be told; nothing where it is larger than any chart.
fn settled(
    sheet: &Sheet<'_>,
    area: &Area,
    order: Option<&Order>,
    told: (&Settings, &Widths<'_>),
    key: &mut Key,
    stitches: &mut Stitches,
    findings: &mut Vec<Finding>,
) -> Option<Settled> {
    if let Some(large) = limits::squares(sheet, area) {
        findings.push(large);
        return None;
    }
    let settled = extent::settled(sheet, area, order, told, key, stitches);
    if matches!(key.blank(), Some(Matched::Works(_))) {
        findings.extend(extent::told(sheet, &settled, told.0, told.1));
    }
    // Its numbers may stand far from its symbols.
    if let Some(large) = limits::squares(sheet, &settled.area) {
        findings.push(large);
        return None;
    }
    Some(settled)
}

/// What is wrong with a repeat is among the findings.
struct Wrong;

/// The repeat that the settings name, or else the sheet shows, as far as the rows allow it. Rows are given by number, row of
/// the sheet and cells.
fn repeat(
    sheet: &Sheet<'_>,
    settled: &Settled,
    (settings, widths): (&Settings, &Widths<'_>),
    rows: &[(u32, u32, &[Unit])],
    findings: &mut Vec<Finding>,
) -> Result<Option<Repeat>, Wrong> {
    let area = &settled.area;
    let works =
        |units: &[Unit]| units.iter().filter_map(|unit| unit.works.as_ref()).map(|works| works.uses).sum();
    let first_uses: u32 = rows.first().map_or(0, |(.., units)| works(units));
    let wider = settings.cast_on.is_some_and(|cast_on| cast_on > first_uses);
    // Other symbols may be the same stitches.
    let by_row: OnceCell<HashMap<u32, &[Unit]>> = OnceCell::new();
    let alike = |row: u32, lines: &[u32]| {
        let units = || by_row.get_or_init(|| rows.iter().map(|(_, row, units)| (*row, *units)).collect());
        drawn::alike(sheet, row, lines) || units().get(&row).is_some_and(|units| repeat::alike(units, lines))
    };
    let shown = match settings.repeat_columns {
        Some(named) => {
            let place = settings.places.get("repeat-columns").cloned();
            Repeat::named(sheet, area, named, place, findings).map(|repeat| (repeat, None))
        }
        None => match settled.marks(sheet, widths).repeat(sheet, area, (wider, &alike), findings) {
            Some(drawn) => drawn::repeat(sheet, area, drawn, findings),
            None => return Ok(None),
        },
    };
    let (mut repeat, told) = shown.ok_or(Wrong)?;
    repeat.begin(rows);
    // Boxes that stand apart are told otherwise.
    repeat.find_apart(&sheet.grid.looks, rows);
    findings.extend(told.filter(|_| repeat.apart().is_none()));
    repeat.fit(sheet.grid, area, rows, findings).map(Some).ok_or(Wrong)
}

/// Says that sizes are set where nothing is repeated.
fn sizes_of_nothing(sheet: &Sheet<'_>, area: &Area, settings: &Settings) -> Option<Finding> {
    settings.sizes.as_ref()?;
    Some(
        Finding::new(
            Code::RepeatColumns,
            sheet.grid.place(area.span()),
            "Sizes are set, but the chart has no repeat to be worked more often.".to_owned(),
        )
        .help("Set repeat-columns, or leave sizes out."),
    )
}

/// The settings with the cast-on that a sentence tells, where they have none: it is told, and no note any more.
fn with_cast_on<'a>(
    settings: &'a Settings,
    (cast_on, place): (u32, &Place),
    widths: &Widths<'_>,
    notes: &mut Vec<Note>,
    findings: &mut Vec<Finding>,
) -> Cow<'a, Settings> {
    if settings.cast_on.is_some() || settings.sizes.is_some() {
        return Cow::Borrowed(settings);
    }
    let mut told = Settings { cast_on: Some(cast_on), ..settings.clone() };
    told.places.insert("cast-on", place.clone());
    if let Some((finding, texts)) = widths.cast_on_taken() {
        findings.push(finding);
        notes.retain(|note| !texts.contains(&note.text.as_str()));
    }
    Cow::Owned(told)
}

/// The settings with the sizes whose cast-ons a sentence tells, where its cast-on was taken.
fn with_sizes(
    settings: &Settings,
    multiple: Multiple,
    widths: &Widths<'_>,
    findings: &mut Vec<Finding>,
) -> Option<Settings> {
    let (_, told) = widths.cast_on()?;
    if settings.sizes.is_some() || settings.places.get("cast-on") != Some(told) {
        return None;
    }
    match widths.sizes(multiple)? {
        Ok(sizes) => Some(Settings { sizes: Some(sizes), ..settings.clone() }),
        Err(finding) => {
            findings.push(finding);
            None
        }
    }
}

fn sizes(settings: &Settings, multiple: Option<Multiple>) -> Vec<Size> {
    let (Some(sizes), Some(multiple)) = (&settings.sizes, multiple) else { return Vec::new() };
    sizes
        .iter()
        .map(|(name, times)| Size { name: name.clone(), times: *times, cast_on: multiple.width(*times) })
        .collect()
}

/// The rows in the order they stand, for reading their cells where their order is wrong.
fn unordered(area: &Area) -> Vec<Numbered> {
    area.rows
        .iter()
        .rev()
        .enumerate()
        .map(|(index, row)| Numbered {
            number: row.label().map_or(index as u32 + 1, |placed| placed.label.number),
            side: Side::Rs,
            row: row.clone(),
        })
        .collect()
}

/// The stitches of every charted row from left to right, each row read so that the counts chain.
fn units(
    sheet: &Sheet<'_>,
    area: &Area,
    rows: &[Numbered],
    settings: &Settings,
    key: &mut Key,
    stitches: &mut Stitches,
    findings: &mut Vec<Finding>,
) -> Option<Vec<Vec<Unit>>> {
    let from = findings.len();
    let readings: Vec<Vec<Reading>> = rows
        .iter()
        .map(|row| cells::readings(sheet, area, row.row.row, row.number, key, stitches, findings))
        .collect();
    notes::said_once(sheet, findings, from);
    if readings.iter().any(Vec::is_empty) {
        return None;
    }
    // In most charts nothing is left to choose.
    let picked = if readings.iter().all(|row| row.len() == 1) {
        readings.into_iter().map(|row| row.into_iter().next()).collect()
    } else {
        let start = if settings.repeat_columns.is_some() { None } else { settings.cast_on };
        let chosen = chain::choose(&weights(&readings), start);
        chain::pick(readings, &chosen)
    };
    let mut units = Vec::with_capacity(rows.len());
    let mut assumed: Vec<(u32, &'static str)> = Vec::new();
    for (row, reading) in rows.iter().zip(picked) {
        let reading = reading?;
        assumed.extend(reading.assumed.map(|what| (row.number, what)));
        units.push(reading.units);
    }
    let from = findings.len();
    findings.extend(cells::fills(sheet, area, rows, &units, key));
    notes::said_once(sheet, findings, from);
    if any_error(findings.get(from..).unwrap_or_default()) {
        return None;
    }
    if let Some((_, what)) = assumed.first() {
        let numbers: Vec<String> = assumed.iter().map(|(number, _)| number.to_string()).collect();
        let rows = if numbers.len() == 1 { "Row" } else { "Rows" };
        findings.push(
            Finding::new(
                Code::BlankAssumed,
                sheet.grid.place(area.span()),
                format!("{rows} {}: {what}: so the counts chain from row to row.", numbers.join(", ")),
            )
            .help("Type a symbol for \"no stitch\" into cells outside the shape to leave no doubt."),
        );
    }
    Some(units)
}

/// What each reading of each row weighs.
fn weights(readings: &[Vec<Reading>]) -> Vec<Vec<Weight>> {
    let weigh = |reading: &Reading| {
        // A stitch and its opposite weigh the same: the side does not matter here.
        let works = || reading.units.iter().filter_map(|unit| unit.works.as_ref());
        Weight {
            uses: works().map(|works| works.uses).sum(),
            makes: works().map(|works| works.makes).sum(),
            cost: reading.cost,
        }
    };
    readings.iter().map(|readings| readings.iter().map(weigh).collect()).collect()
}
