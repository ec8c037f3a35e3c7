//! From an area of a sheet to a pattern.

use std::rc::Rc;
use std::sync::Arc;

use super::area::Area;
use super::cells::{self, Reading, Unit};
use super::chain::{self, Weight};
use super::charted::{self, Worked};
use super::drawn;
use super::extent;
use super::key::{Key, Works};
use super::notes;
use super::order::{self, Numbered, Order, Undrawn, side_of};
use super::repeat::{self, Repeat, Width};
use super::returns::{Needle, Rule};
use super::sheet::Sheet;
use super::wider;
use crate::pattern::{Hand, Multiple, Pattern, Row, RowRepeat, Side, Size, Worked as Way};
use crate::place::{Address, Place, Span};
use crate::problem::{Code, Finding, any_error};
use crate::settings::{ReturnRows, Settings, SkippedRows, Symbols};
use crate::stitch::{StitchId, Stitches};
use crate::words::{self, RowError};
use crate::written::{Item, Misfit};

/// What a pattern is called and where it comes from.
pub(super) struct Heading {
    pub(super) title: String,
    pub(super) notes: Vec<String>,
}

/// A charted row ready to be worked.
struct Charted {
    numbered: Numbered,
    worked: Vec<Worked>,
    repeat: Option<RowRepeat>,
    place: Place,
}

/// Reads the pattern of an area; nothing where it has errors, which are all among the findings.
pub(super) fn pattern(
    sheet: &Sheet<'_>,
    area: &Area,
    settings: &Settings,
    heading: Heading,
    key: &mut Key,
    stitches: &mut Stitches,
    findings: &mut Vec<Finding>,
) -> Option<Pattern> {
    let from = findings.len();
    let order = order::order(sheet.grid, area, settings, findings);
    let first_row = order.as_ref().and_then(|order| order.rows.first()).map(|row| row.row.row);
    let area = &extent::settled(sheet, area, first_row, settings, key, stitches);
    let rule = rule(sheet, area, settings, stitches, findings);
    // The cells are read even where the numbers are wrong, so that every symbol without a meaning is named.
    let numbered = order.as_ref().map_or_else(|| unordered(area), |order| order.rows.clone());
    let units = units(sheet, area, &numbered, settings, key, stitches, findings);
    let order = order?;
    let units = units?;
    let rows: Vec<(u32, u32, &[Unit])> = order
        .rows
        .iter()
        .zip(&units)
        .map(|(row, units)| (row.number, row.row.row, units.as_slice()))
        .collect();
    let first_uses: u32 = units.first().map_or(0, |units| {
        units.iter().filter_map(|unit| unit.works.as_ref()?.any()).map(|id| stitches.get(id).uses).sum()
    });
    let wider = settings.cast_on.is_some_and(|cast_on| cast_on > first_uses);
    let repeat = match settings.repeat_columns {
        Some(named) => {
            let place = settings.places.get("repeat-columns").cloned();
            Some(Repeat::named(sheet, area, named, place, findings)?)
        }
        None => match drawn::find(sheet, area, wider) {
            Some(drawn) => Some(drawn::repeat(sheet, area, drawn, findings)?),
            None => None,
        },
    };
    let repeat = match repeat {
        Some(repeat) => Some(repeat.fit(sheet.grid, area, &rows, findings)?),
        None => None,
    };
    let typed_as_worked = settings.symbols == Some(Symbols::AsWorked);
    let mut build = Build { sheet, area, settings, stitches, findings, typed_as_worked };
    let width = match &repeat {
        Some(repeat) => Some(build.width(repeat, &order, &units)?),
        None => {
            if settings.sizes.is_some() {
                build.findings.push(
                    Finding::new(
                        Code::RepeatColumns,
                        build.whole(),
                        "Sizes are set, but the chart has no repeat to be worked more often.".to_owned(),
                    )
                    .help("Set repeat-columns, or leave sizes out."),
                );
            }
            None
        }
    };
    let charted = build.charted(&order, &units, repeat.as_ref().zip(width.as_ref()));
    let mut rows = build.all_rows(&order, &charted?, rule.as_ref()?)?;
    if let (Some(repeat), Some(width)) = (&repeat, &width) {
        build.mark_repeats(&mut rows, &order, &units, rule.as_ref()?, repeat, width);
    }
    if any_error(&findings[from..]) {
        return None;
    }
    let first_uses = rows.first().map_or(0, |row| stitches.uses(&row.stitches));
    let cast_on = match (&width, settings.cast_on) {
        (Some(width), _) => width.multiple.of * width.times + width.multiple.plus,
        (None, Some(cast_on)) => cast_on,
        (None, None) => first_uses,
    };
    let multiple = width.as_ref().map(|width| width.multiple);
    Some(Pattern {
        title: heading.title,
        source: Arc::clone(&sheet.grid.file),
        chart: None,
        worked: settings.worked.unwrap_or_default(),
        hand: settings.hand.unwrap_or_default(),
        cast_on,
        multiple,
        sizes: sizes(settings, multiple),
        rows,
        notes: heading.notes,
        stitches: stitches.clone(),
    })
}

fn sizes(settings: &Settings, multiple: Option<Multiple>) -> Vec<Size> {
    let (Some(sizes), Some(multiple)) = (&settings.sizes, multiple) else { return Vec::new() };
    sizes
        .iter()
        .map(|(name, times)| Size {
            name: name.clone(),
            times: *times,
            cast_on: multiple.of.saturating_mul(*times).saturating_add(multiple.plus),
        })
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

fn row_span(area: &Area, row: u32) -> Span {
    Span::new(Address::new(row, area.columns.0), Address::new(row, area.columns.1))
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
    notes::said_once(findings, from);
    if readings.iter().any(Vec::is_empty) {
        return None;
    }
    let weigh = |reading: &Reading| {
        // A stitch and its opposite weigh the same: the side does not matter here.
        let ids = || reading.units.iter().filter_map(|unit| unit.works.as_ref()?.any());
        let uses = ids().map(|id| stitches.get(id).uses).sum();
        let makes = ids().map(|id| stitches.get(id).makes).sum();
        Weight { uses, makes, cost: reading.cost }
    };
    let weights: Vec<Vec<Weight>> =
        readings.iter().map(|readings| readings.iter().map(weigh).collect()).collect();
    let start = if settings.repeat_columns.is_some() { None } else { settings.cast_on };
    let chosen = chain::choose(&weights, start);
    let picked = chain::pick(readings, &chosen);
    let mut units = Vec::with_capacity(rows.len());
    let mut assumed: Vec<(u32, &'static str)> = Vec::new();
    for (row, reading) in rows.iter().zip(picked) {
        let reading = reading?;
        assumed.extend(reading.assumed.map(|what| (row.number, what)));
        units.push(reading.units);
    }
    if let Some((_, what)) = assumed.first() {
        let numbers: Vec<String> = assumed.iter().map(|(number, _)| number.to_string()).collect();
        let rows = if numbers.len() == 1 { "Row" } else { "Rows" };
        let span =
            Span::new(Address::new(area.top(), area.columns.0), Address::new(area.bottom(), area.columns.1));
        findings.push(
            Finding::new(
                Code::BlankAssumed,
                sheet.grid.place(span),
                format!("{rows} {}: {what}, since the counts chain no other way.", numbers.join(", ")),
            )
            .help("Type a symbol for \"no stitch\" into cells outside the shape to leave no doubt."),
        );
    }
    Some(units)
}

/// A stitch of a row that a left-handed knitter has no usual mirror for.
fn without_mirror(items: &[Item], stitches: &mut Stitches) -> Option<StitchId> {
    items.iter().find_map(|item| match item {
        Item::Run { stitch, .. } => stitches.mirror(*stitch).is_none().then_some(*stitch),
        Item::Repeat { items, .. } => without_mirror(items, stitches),
    })
}

/// The rule for return rows, its sentence read.
fn rule(
    sheet: &Sheet<'_>,
    area: &Area,
    settings: &Settings,
    stitches: &mut Stitches,
    findings: &mut Vec<Finding>,
) -> Option<Rule> {
    let rows = settings.return_rows.clone().unwrap_or(ReturnRows::AsTheyAppear);
    if let Some(rule) = Rule::plain(&rows) {
        return Some(rule);
    }
    let ReturnRows::Stated(sentence) = rows else { return None };
    match words::row(&sentence, stitches) {
        Ok(items) => {
            let none =
                if settings.hand == Some(Hand::Left) { without_mirror(&items, stitches) } else { None };
            let Some(none) = none else { return Some(Rule::Stated(items)) };
            let name = &stitches.get(none).name;
            let place = settings.places.get("return-rows").cloned();
            findings.push(
                Finding::new(
                    Code::NoMirror,
                    place.unwrap_or_else(|| sheet.grid.place(row_span(area, area.bottom()))),
                    format!("{name} in the stated return row has no usual mirror for a left-handed knitter."),
                )
                .found(name)
                .help("Word return-rows with other stitches, or write the chart right-handed."),
            );
            None
        }
        Err(RowError { at, mistake }) => {
            let words = sentence.get(at).unwrap_or_default().trim();
            let what = match mistake {
                words::RowMistake::UnknownWords | words::RowMistake::BeyondRows => "names no stitch",
                words::RowMistake::Unclosed => "is a bracket or an asterisk without its partner",
                words::RowMistake::NoExtent => "is not said to be worked any number of times",
                words::RowMistake::Whose => "may be meant for one stitch or for several",
                words::RowMistake::Empty => "says nothing",
            };
            let place = settings
                .places
                .get("return-rows")
                .cloned()
                .unwrap_or_else(|| sheet.grid.place(row_span(area, area.bottom())));
            findings.push(
                Finding::new(
                    Code::ReturnRowWords,
                    place,
                    format!("The return row \"{sentence}\" can't be read: \"{words}\" {what}."),
                )
                .found(words)
                .help("Write it as a row: \"K3, p to last 3 sts, k3\", or purl, knit, as-they-appear."),
            );
            None
        }
    }
}

struct Build<'a, 'b> {
    sheet: &'a Sheet<'b>,
    area: &'a Area,
    settings: &'a Settings,
    stitches: &'a mut Stitches,
    findings: &'a mut Vec<Finding>,
    typed_as_worked: bool,
}

impl Build<'_, '_> {
    fn whole(&self) -> Place {
        self.sheet.grid.place(Span::new(
            Address::new(self.area.top(), self.area.columns.0),
            Address::new(self.area.bottom(), self.area.columns.1),
        ))
    }

    fn place(&self, row: &Numbered) -> Place {
        self.sheet.grid.place(row_span(self.area, row.row.row))
    }

    fn stitches_of(&mut self, row: &Numbered, symbols: &[(Rc<Works>, Span)]) -> Option<Vec<Worked>> {
        charted::stitches_of(
            self.sheet.grid,
            row,
            symbols,
            self.typed_as_worked,
            self.stitches,
            self.findings,
        )
    }

    /// How wide the chart is written, by what its first row uses.
    fn width(&mut self, repeat: &Repeat, order: &Order, units: &[Vec<Unit>]) -> Option<Width> {
        let (row, units) = (order.rows.first()?, units.first()?);
        let symbols = charted::as_worked(units, row.side);
        let quiet = self.findings.len();
        let all = self.stitches_of(row, &symbols);
        // Said again when the row itself is read.
        self.findings.truncate(quiet);
        let parts = repeat.cut(units, row.side, row.row.row);
        let uses = |symbols: &[(Rc<Works>, Span)], stitches: &Stitches| -> u32 {
            symbols.iter().filter_map(|(works, _)| works.any()).map(|id| stitches.get(id).uses).sum()
        };
        let drawn = all.map_or_else(
            || uses(&symbols, self.stitches),
            |all| all.iter().map(|worked| self.stitches.get(worked.stitch).uses).sum(),
        );
        let unit = uses(&parts.unit, self.stitches);
        let place = self.settings.places.get("cast-on").cloned().unwrap_or_else(|| self.place(row));
        repeat::width(place, repeat, drawn, unit, self.settings, self.findings)
    }

    /// Every charted row in working order; nothing where any has an error.
    fn charted(
        &mut self,
        order: &Order,
        units: &[Vec<Unit>],
        repeat: Option<(&Repeat, &Width)>,
    ) -> Option<Vec<Charted>> {
        let mut rows = Vec::with_capacity(order.rows.len());
        let mut whole = true;
        for (row, units) in order.rows.iter().zip(units) {
            let (symbols, cut) = match repeat {
                None => (charted::as_worked(units, row.side), None),
                Some((repeat, width)) => {
                    let parts = repeat.cut(units, row.side, row.row.row);
                    let mut symbols = parts.before.clone();
                    for _ in 0..width.times {
                        symbols.extend(parts.unit.iter().cloned());
                    }
                    symbols.extend(parts.after.iter().cloned());
                    let cut = RowRepeat {
                        start: parts.before.len(),
                        length: parts.unit.len(),
                        times: width.times as usize,
                    };
                    (symbols, (cut.length > 0).then_some(cut))
                }
            };
            let Some(mut worked) = self.stitches_of(row, &symbols) else {
                whole = false;
                continue;
            };
            // Yarn overs that became double ones move what follows: the repeat is then found anew.
            let mut cut = cut.filter(|_| worked.len() == symbols.len());
            if self.settings.hand == Some(Hand::Left) {
                let mirrored =
                    charted::mirrored(self.sheet.grid, row.number, worked, self.stitches, self.findings);
                let Some(mirrored) = mirrored else {
                    whole = false;
                    continue;
                };
                worked = mirrored;
                cut = cut
                    .map(|cut| RowRepeat { start: worked.len() - cut.start - cut.length * cut.times, ..cut });
            }
            let place = self.place(row);
            rows.push(Charted { numbered: row.clone(), worked, repeat: cut, place });
        }
        whole.then_some(rows)
    }

    /// Marks the repeat in the rows whose columns don't tell it, by the rows of a chart one repeat wider.
    fn mark_repeats(
        &mut self,
        rows: &mut [Row],
        order: &Order,
        units: &[Vec<Unit>],
        rule: &Rule,
        repeat: &Repeat,
        width: &Width,
    ) {
        let said = self.findings.len();
        let wider = Width { times: width.times.saturating_add(1), multiple: width.multiple };
        let wide = self
            .charted(order, units, Some((repeat, &wider)))
            .and_then(|charted| self.all_rows(order, &charted, rule));
        // What is to be said of these rows was said of those of the chart's own width.
        self.findings.truncate(said);
        if let Some(wide) = wide {
            let way = self.settings.worked.unwrap_or_default();
            let without = wider::mark(rows, &wide, way, self.stitches);
            if let Some(number) = without.first().filter(|_| self.settings.sizes.is_some()) {
                let place = rows
                    .iter()
                    .find(|row| row.number == *number)
                    .map_or_else(|| self.whole(), |row| row.place.clone());
                self.findings.push(
                    Finding::new(
                        Code::RepeatDoesNotFit,
                        place,
                        format!("Row {number} is worked otherwise in the larger sizes: two yarn overs meet there where the repeat begins again."),
                    )
                    .row(*number)
                    .help("Let the first size work the repeat twice or more, or move the edge of the repeat by a stitch."),
                );
            }
        }
    }

    /// The charted rows with the derived ones between them.
    fn all_rows(&mut self, order: &Order, charted: &[Charted], rule: &Rule) -> Option<Vec<Row>> {
        let way = self.settings.worked.unwrap_or_default();
        let first = charted.first()?;
        let first_uses: u32 = first.worked.iter().map(|worked| self.stitches.get(worked.stitch).uses).sum();
        let mut rows: Vec<Row> = Vec::new();
        let mut needle = Needle::plain(first_uses);
        if order.undrawn == Undrawn::Before {
            let (row, after) = self.first_return_row(order, charted, rule, first_uses)?;
            needle = after;
            rows.push(row);
        }
        let mut doubled = Vec::new();
        for (index, row) in charted.iter().enumerate() {
            let number = row.numbered.number;
            needle = needle.after(&row.worked, row.numbered.side, way, self.stitches);
            rows.push(Row {
                number,
                side: row.numbered.side,
                charted: true,
                stitches: row.worked.iter().map(|worked| worked.stitch).collect(),
                place: row.place.clone(),
                cells: row.worked.iter().map(|worked| worked.span).collect(),
                stated: row.numbered.row.stated.map(|(count, _)| count),
                repeat: row.repeat,
            });
            let next = charted.get(index + 1).map(|next| next.numbered.number);
            let last = order.undrawn == Undrawn::After;
            let until = next.unwrap_or(if last { number + 2 } else { number + 1 });
            for derived in number + 1..until {
                let return_row = match order.undrawn {
                    Undrawn::None => false,
                    // The row right after a charted one, or right before the next.
                    Undrawn::After => derived == number + 1,
                    Undrawn::Before => derived + 1 == until,
                };
                let side = side_of(derived, order.first_side, way);
                let plain = match self.settings.skipped_rows {
                    Some(SkippedRows::Purl) => Rule::Purl,
                    _ => Rule::Knit,
                };
                let rule = if return_row { rule } else { &plain };
                let mirrored = self.settings.hand == Some(Hand::Left);
                let made = match needle.derive(rule, side, way, mirrored, self.stitches) {
                    Ok(made) => made,
                    Err(misfit) => {
                        self.misfit(misfit, derived, row.place.clone(), needle.count());
                        return None;
                    }
                };
                if return_row {
                    self.leftover(&made.stitches, rule, derived, &row.place, needle.count());
                }
                if made.doubled_against_rule {
                    doubled.push(derived);
                }
                needle = needle.after_derived(&made.stitches, side, way, self.stitches);
                rows.push(Row {
                    number: derived,
                    side,
                    charted: false,
                    stitches: made.stitches,
                    place: row.place.clone(),
                    cells: Vec::new(),
                    stated: None,
                    repeat: None,
                });
            }
        }
        if !doubled.is_empty() {
            let numbers = doubled.iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
            let rows = if doubled.len() == 1 { "Row" } else { "Rows" };
            let working = if way == Way::Round { "(k1, p1)" } else { "(p1, k1)" };
            self.findings.push(
                Finding::new(
                    Code::DoubleYarnOver,
                    self.whole(),
                    format!("{rows} {numbers}: the two loops of a double yarn over are worked {working}, so that they stay two."),
                )
                .help("Nothing, if that is what is meant; the symbol's own ws in the key says otherwise."),
            );
        }
        Some(rows)
    }

    /// Row 1 where the even rows are drawn: it works the loops that the last charted row leaves, if the counts fit.
    fn first_return_row(
        &mut self,
        order: &Order,
        charted: &[Charted],
        rule: &Rule,
        first_uses: u32,
    ) -> Option<(Row, Needle)> {
        let way = self.settings.worked.unwrap_or_default();
        let (first, last) = (charted.first()?, charted.last()?);
        let number = first.numbered.number.checked_sub(1).filter(|number| *number >= 1)?;
        let side = side_of(number, order.first_side, way);
        let left = Needle::plain(0).after(&last.worked, last.numbered.side, way, self.stitches);
        let fits = left.count() == first_uses;
        if !fits && matches!(rule, Rule::AsTheyAppear) {
            self.findings.push(
                Finding::new(
                    Code::FirstReturnRow,
                    first.place.clone(),
                    format!(
                        "Row {number} is not drawn. As they appear, it would work the stitches that Row {} leaves, but those are {} and Row {} uses {first_uses}.",
                        last.numbered.number,
                        left.count(),
                        first.numbered.number
                    ),
                )
                .row(number)
                .found(format!("{} sts", left.count()))
                .expected(format!("{first_uses} sts"))
                .help("Set return-rows to purl, knit or a sentence, or draw Row 1."),
            );
            return None;
        }
        let needle = if fits { left } else { Needle::plain(first_uses) };
        let mirrored = self.settings.hand == Some(Hand::Left);
        let made = match needle.derive(rule, side, way, mirrored, self.stitches) {
            Ok(made) => made,
            Err(misfit) => {
                self.misfit(misfit, number, first.place.clone(), needle.count());
                return None;
            }
        };
        let after = needle.after_derived(&made.stitches, side, way, self.stitches);
        let row = Row {
            number,
            side,
            charted: false,
            stitches: made.stitches,
            place: first.place.clone(),
            cells: Vec::new(),
            stated: None,
            repeat: None,
        };
        Some((row, after))
    }

    /// A stated return row must use every stitch there is.
    fn leftover(&mut self, row: &[StitchId], rule: &Rule, number: u32, place: &Place, loops: u32) {
        let uses = self.stitches.uses(row);
        if !matches!(rule, Rule::Stated(_)) || uses == loops {
            return;
        }
        let place = self.settings.places.get("return-rows").unwrap_or(place).clone();
        self.findings.push(
            Finding::new(
                Code::ReturnRowFit,
                place,
                format!(
                    "The stated return row uses {uses} sts on Row {number}, but Row {} leaves {loops}.",
                    number - 1
                ),
            )
            .row(number)
            .found(format!("{uses} sts"))
            .expected(format!("{loops} sts"))
            .help("Correct return-rows: \"to end\" or \"to last 3 sts\" fits every width."),
        );
    }

    fn misfit(&mut self, misfit: Misfit, number: u32, place: Place, loops: u32) {
        let place = self.settings.places.get("return-rows").cloned().unwrap_or(place);
        let why = match misfit {
            Misfit::TooFewLeft { wanted, left } => {
                format!("it should be worked to the last {wanted} sts, but only {left} are left there")
            }
            Misfit::DoesNotDivide { unit, span, over } => {
                format!("its repeat uses {unit} sts and must fill {span}: {over} are left over")
            }
            Misfit::Needs { uses, loops } => format!("it uses {uses} sts, but there are only {loops}"),
            Misfit::NeverEnds => "its repeat uses no stitches and would never end".to_owned(),
            Misfit::OpenInside => "a repeat to the end stands inside another repeat".to_owned(),
            Misfit::TooLong => "it is longer than any row of knitting".to_owned(),
        };
        self.findings.push(
            Finding::new(
                Code::ReturnRowFit,
                place,
                format!("The stated return row does not fit Row {number}, which has {loops} sts: {why}."),
            )
            .row(number)
            .found(format!("{loops} sts"))
            .help("Correct return-rows, or the row before."),
        );
    }
}
