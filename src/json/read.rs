//! Reading the JSON again.

use std::cell::Cell;
use std::sync::Arc;

use foldhash::HashMap;
use serde::Deserialize;
use serde::de::IgnoredAny;
use serde_json::value::RawValue;

use super::model::{self, Document, Row, Work};
use super::{FORMAT, own, repeat};
use crate::nearest::nearest;
use crate::pattern::{self, Hand, Pattern, Side};
use crate::place::{Place, stem};
use crate::problem::{Code, Finding};
use crate::stitch::{StitchId, Stitches};
use crate::written::{self, Extent, Item};

/// Reads patterns from the bytes of a JSON file: one object, or an array of them. `stitches` knows the stitches of
/// the user's own. A pattern with anything wrong in it is not returned; the findings say what, with the path in
/// the JSON and the line. What a row says twice (its loops, its work) is proved against its stitches, and what the
/// pattern says of its width (cast-on, multiple, sizes) against each other; whether the rows fit each other is not
/// looked at here.
pub fn read(file: &Arc<str>, bytes: &[u8], stitches: &Stitches) -> (Vec<Pattern>, Vec<Finding>) {
    let bytes = bytes.strip_prefix("\u{feff}".as_bytes()).unwrap_or(bytes);
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => {
            let before = String::from_utf8_lossy(bytes.get(..error.valid_up_to()).unwrap_or_default());
            let finding = Finding::new(
                Code::WrongJson,
                Place::in_text(file, &before, before.len()),
                "The file is not JSON: it holds bytes that are no text.",
            )
            .help("Save it as UTF-8.");
            return (Vec::new(), vec![finding]);
        }
    };
    let reached = Cell::new((0, 1, 1));
    let mut source = Source { file, text, reached, findings: Vec::new(), unknown: HashMap::default() };
    let parts: Vec<(String, &RawValue)> = if text.trim_start().starts_with('[') {
        let Some(parts) = source.parse::<Vec<&RawValue>>(text, "") else {
            return (Vec::new(), source.findings);
        };
        parts.into_iter().enumerate().map(|(index, part)| (format!("[{index}]"), part)).collect()
    } else {
        source.parse::<&RawValue>(text, "").map(|part| (String::new(), part)).into_iter().collect()
    };
    if parts.is_empty() && source.findings.is_empty() {
        source.findings.push(source.fault(text, "", "The JSON holds no pattern").help(HELP));
    }
    let patterns =
        parts.into_iter().filter_map(|(path, part)| source.pattern(&path, part, stitches)).collect();
    source.count_unknown();
    (patterns, source.findings)
}

const HELP: &str = "Compare it with what `longhand write --to json` gives.";

/// The text of the file and what was found in it.
struct Source<'t> {
    file: &'t Arc<str>,
    text: &'t str,
    /// The byte whose place was asked last, with its line and column: most are asked in order, and counted on from there.
    reached: Cell<(usize, u32, u32)>,
    findings: Vec<Finding>,
    /// Names that are no stitches: which finding tells each, and in how many more places it stands.
    unknown: HashMap<String, (usize, usize)>,
}

impl<'t> Source<'t> {
    /// Parses a part of the text; a finding where it is not what it should be.
    fn parse<T: Deserialize<'t>>(&mut self, part: &'t str, path: &str) -> Option<T> {
        let mut json = serde_json::Deserializer::from_str(part);
        let parsed = serde_path_to_error::deserialize(&mut json);
        let error = match parsed {
            Ok(value) => match json.end() {
                Ok(()) => return Some(value),
                Err(error) => (error, path.to_owned()),
            },
            Err(error) => {
                let inner = error.path().to_string();
                (error.into_inner(), join(path, &inner))
            }
        };
        let (error, path) = error;
        // The library counts lines from 1 and bytes in the line, the line's first being 1.
        let lines = part.split_inclusive('\n').take(error.line().saturating_sub(1)).map(str::len);
        let byte = lines.sum::<usize>() + error.column().saturating_sub(1);
        let place = self.place_of(self.offset(part) + byte);
        let told = error.to_string();
        let told = told.split(" at line ").next().unwrap_or_default();
        self.findings.push(
            Finding::new(Code::WrongJson, place, format!("The JSON is not a pattern{}: {told}.", at(&path)))
                .help(HELP),
        );
        None
    }

    /// A finding about a part of the text.
    fn fault(&self, part: &str, path: &str, message: &str) -> Finding {
        Finding::new(Code::WrongJson, self.place(part), format!("{message}{}.", at(path)))
    }

    /// Where a part of the text begins in it, in bytes.
    fn offset(&self, part: &str) -> usize {
        (part.as_ptr() as usize).saturating_sub(self.text.as_ptr() as usize)
    }

    /// The place of a part of the text.
    fn place(&self, part: &str) -> Place {
        self.place_of(self.offset(part))
    }

    /// The place of a byte of the text.
    fn place_of(&self, byte: usize) -> Place {
        let (from, line, column) =
            Some(self.reached.get()).filter(|(from, ..)| *from <= byte).unwrap_or((0, 1, 1));
        let between = self.text.get(from..byte).or_else(|| self.text.get(from..)).unwrap_or_default();
        let count = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
        let (line, column) = match between.rsplit_once('\n') {
            Some((before, last)) => {
                let lines = before.matches('\n').count() + 1;
                (line.saturating_add(count(lines)), count(last.chars().count()).saturating_add(1))
            }
            None => (line, column.saturating_add(count(between.chars().count()))),
        };
        self.reached.set((byte.min(self.text.len()), line, column));
        Place::line(self.file, line, column)
    }

    fn pattern(&mut self, path: &str, part: &'t RawValue, stitches: &Stitches) -> Option<Pattern> {
        let part = part.get();
        // The format first: what is not ours is told as that, not by the first field it lacks.
        let format = self.parse::<Format>(part, path)?.format;
        if format.as_deref() != Some(FORMAT) {
            let found = format.map_or("no format".to_owned(), |format| shorten(&format));
            let message = format!("The JSON is not in the format {FORMAT}");
            self.findings.push(self.fault(part, path, &message).found(found).expected(FORMAT).help(HELP));
            return None;
        }
        let document = self.parse::<Document<&RawValue, IgnoredAny>>(part, path)?;
        let mut stitches = stitches.clone();
        if !self.own(path, part, &document.own_stitches, &mut stitches) {
            return None;
        }
        let mut number = None;
        let rows: Vec<Option<(pattern::Row, Vec<Item>)>> = document
            .rows
            .iter()
            .enumerate()
            .map(|(index, row)| {
                let path = join(path, &format!("rows[{index}]"));
                let Some((read, work)) = self.row(&path, row.get(), &mut stitches) else {
                    // Which number is due after a row that can't be read is not known.
                    number = None;
                    return None;
                };
                self.in_its_place(&path, row.get(), &read, document.worked, &mut number)
                    .then_some((read, work))
            })
            .collect();
        let whole = rows.iter().all(Option::is_some);
        let (mut rows, work): (Vec<pattern::Row>, Vec<Vec<Item>>) = rows.into_iter().flatten().unzip();
        let Some(first) = rows.first().filter(|_| whole) else {
            if whole {
                let path = join(path, "rows");
                self.findings.push(self.fault(part, &path, "The pattern has no rows").help(HELP));
            }
            return None;
        };
        let cast_on = document.cast_on.unwrap_or_else(|| stitches.uses(&first.stitches));
        if !self.widths(path, part, &document, cast_on) {
            return None;
        }
        if let Some(multiple) = document.multiple
            && rows.iter().all(|row| row.repeat.is_none())
        {
            repeat::mark(&mut rows, &work, multiple.into(), cast_on, &stitches);
        }
        Some(Pattern {
            title: document.title.unwrap_or_else(|| stem(self.file).to_owned()),
            source: document.source.map_or_else(|| Arc::clone(self.file), Arc::from),
            chart: document.chart.map(Arc::from),
            worked: document.worked.into(),
            hand: document.hand.map_or(Hand::Right, Into::into),
            cast_on,
            multiple: document.multiple.map(Into::into),
            sizes: document.sizes.into_iter().map(Into::into).collect(),
            rows,
            notes: document.notes,
            stitches,
        })
    }

    /// Learns the stitches that the pattern describes. What settings say of a stitch of that name holds.
    fn own(&mut self, path: &str, part: &str, own: &[model::Own], stitches: &mut Stitches) -> bool {
        if own.len() > own::MOST {
            let path = join(path, "own_stitches");
            let fault = self.fault(part, &path, "The pattern describes more stitches than any has");
            self.findings.push(fault.found(own.len()).expected(own::MOST).help(HELP));
            return false;
        }
        for (index, one) in own.iter().enumerate() {
            let (field, expected) = match own::read(one) {
                Err(wrong) => wrong,
                Ok(own) if stitches.own().any(|(_, known)| known.name == own.name) => continue,
                Ok(own) if stitches.learn(&own).is_some() => continue,
                Ok(_) => ("name", "a name that no other stitch has"),
            };
            let path = join(path, &format!("own_stitches[{index}].{field}"));
            let message = format!("The stitch \"{}\" can't be such a one", shorten(&one.name));
            self.findings.push(self.fault(part, &path, &message).expected(expected).help(HELP));
            return false;
        }
        true
    }

    /// Whether the widths that the pattern speaks of, its cast-on, its multiple and its sizes, go together. A cast-on
    /// that is not the multiple is told and no more: a text may say so, and longhand gives it as the text does.
    fn widths<R, F>(&mut self, path: &str, part: &str, document: &Document<R, F>, cast_on: u32) -> bool {
        let multiple = document.multiple.map(pattern::Multiple::from);
        if multiple.is_some_and(|multiple| multiple.of == 0) {
            let path = join(path, "multiple.of");
            self.findings.push(
                self.fault(part, &path, "A multiple of 0 stitches is no width")
                    .found(0)
                    .help("Give the stitches of one repeat, or null where there is none."),
            );
            return false;
        }
        for (index, size) in document.sizes.iter().enumerate() {
            let model::Size { name, times, cast_on: own } = size;
            let field = |field: &str| join(path, &format!("sizes[{index}].{field}"));
            let takes = multiple.filter(|multiple| multiple.times(*own) != Some(*times));
            let fault = if *times == 0 {
                self.fault(part, &field("times"), &format!("Size {name} works the repeat no times"))
                    .found(0)
                    .expected("once at the least")
                    .help("Leave the size out, and give it a pattern of its own without the repeat.")
            } else if index == 0 && *own != cast_on {
                let message = format!(
                    "The rows are those of size {name}, which casts on {own} sts, but the pattern casts on {cast_on}"
                );
                self.fault(part, &field("cast_on"), &message)
                    .found(own)
                    .expected(cast_on)
                    .help("Give the rows and the cast-on of the first size.")
            } else if let Some(multiple) = takes {
                let width = multiple.width(*times);
                let message = format!(
                    "Size {name} works the repeat {}, which takes {width} sts, but casts on {own}",
                    pattern::often(*times)
                );
                self.fault(part, &field("cast_on"), &message)
                    .found(own)
                    .expected(width)
                    .help("Correct the cast-on of the size, how often it works the repeat, or the multiple.")
            } else {
                continue;
            };
            self.findings.push(fault);
            return false;
        }
        if let Some(multiple) = multiple.filter(|multiple| multiple.times(cast_on).is_none()) {
            let message =
                format!("The cast-on of {cast_on} sts is not {multiple}{}.", at(&join(path, "multiple")));
            self.findings.push(
                Finding::new(Code::MultipleMismatch, self.place(part), message)
                    .found(format!("{cast_on} sts"))
                    .expected(multiple)
                    .help("Correct the multiple or the cast-on, or make the multiple null."),
            );
        }
        true
    }

    /// A row and its folded work, empty where it has none.
    fn row(
        &mut self,
        path: &str,
        part: &'t str,
        stitches: &mut Stitches,
    ) -> Option<(pattern::Row, Vec<Item>)> {
        let row: Row = self.parse(part, path)?;
        let number = row.number;
        let mut ids = Vec::with_capacity(row.stitches.len());
        for (index, name) in row.stitches.iter().enumerate() {
            match stitch(name, stitches) {
                Some(id) => ids.push(id),
                None => self.unknown(part, &format!("{path}.stitches[{index}]"), name, number, stitches),
            }
        }
        if ids.len() < row.stitches.len() {
            return None;
        }
        let before = self.findings.len();
        for (field, said, is) in
            [("uses", row.uses, stitches.uses(&ids)), ("makes", row.makes, stitches.makes(&ids))]
        {
            if let Some(said) = said.filter(|said| *said != is) {
                let message =
                    format!("Row {number} {field} {is} loops by its stitches, but {said} are given");
                self.findings.push(
                    self.fault(part, &format!("{path}.{field}"), &message)
                        .row(number)
                        .found(said)
                        .expected(is)
                        .help("Correct the stitches or the number, or leave the number out."),
                );
            }
        }
        let mut coloured = ids.clone();
        for (id, colour) in coloured.iter_mut().zip(row.colours.iter().flatten()) {
            *id = colour.as_deref().and_then(|colour| stitches.coloured(*id, colour)).unwrap_or(*id);
        }
        let work =
            row.work.as_deref().map_or(Ok(Vec::new()), |work| folded(work, (&ids, &coloured), stitches));
        if let Err(message) = &work {
            self.findings.push(
                self.fault(part, &format!("{path}.work"), &format!("In row {number} {message}"))
                    .row(number)
                    .help("Correct the stitches or the work, or leave the work out."),
            );
        }
        let place = row.place.as_ref().map(model::Place::read);
        if place == Some(None) {
            self.findings.push(
                self.fault(part, &format!("{path}.where"), "This names no place in a file")
                    .row(number)
                    .help("Give a file with a sheet and its cells, or with a line, or leave the place out."),
            );
        }
        if self.findings.len() > before {
            return None;
        }
        if let Some(colours) = &row.colours {
            if colours.len() != ids.len() {
                let message =
                    format!("Row {number} has {} stitches, but {} colours", ids.len(), colours.len());
                self.findings.push(
                    self.fault(part, &format!("{path}.colours"), &message)
                        .row(number)
                        .help("Give a colour, or null, for each stitch."),
                );
                return None;
            }
            ids = coloured;
        }
        let repeat = row.repeat.map(pattern::RowRepeat::from);
        if repeat.is_some_and(|repeat| !repeat::stands(repeat, &ids)) {
            let message =
                format!("Row {number} does not have the same stitches in each working of its repeat");
            self.findings.push(
                self.fault(part, &format!("{path}.repeat"), &message)
                    .row(number)
                    .help("Correct the stitches or the repeat, or leave the repeat out."),
            );
            return None;
        }
        let row = pattern::Row {
            number,
            side: row.side.into(),
            charted: row.charted,
            stitches: ids,
            place: place.flatten().unwrap_or_else(|| self.place(part)),
            cells: Vec::new(),
            stated: row.stated,
            repeat,
        };
        Some((row, work.ok()?))
    }

    /// Whether the row has the number after that of the row before, and a side that it can have.
    fn in_its_place(
        &mut self,
        path: &str,
        part: &str,
        row: &pattern::Row,
        worked: model::Worked,
        number: &mut Option<u32>,
    ) -> bool {
        let before = self.findings.len();
        let due = number.map(|last| last.saturating_add(1));
        *number = Some(row.number);
        if let Some(due) = due.filter(|due| *due != row.number) {
            self.findings.push(
                self.fault(
                    part,
                    &format!("{path}.number"),
                    &format!("Row {due} was due, not row {}", row.number),
                )
                .row(row.number)
                .found(row.number)
                .expected(due)
                .help("Give every row, in the order they are worked, numbered one after the other."),
            );
        }
        if matches!(worked, model::Worked::Round) && row.side == Side::Ws {
            self.findings.push(
                self.fault(part, &format!("{path}.side"), "Every round is worked from the right side")
                    .row(row.number)
                    .found("WS")
                    .expected("RS")
                    .help("Make the side \"RS\", or the pattern \"flat\"."),
            );
        }
        self.findings.len() == before
    }

    /// Tells a name that is no stitch, where it stands first.
    fn unknown(&mut self, part: &str, path: &str, name: &str, row: u32, stitches: &Stitches) {
        if let Some((_, more)) = self.unknown.get_mut(name) {
            *more += 1;
            return;
        }
        self.unknown.insert(name.to_owned(), (self.findings.len(), 0));
        let name = shorten(name);
        let mut fault = self
            .fault(part, path, &format!("\"{name}\" is no stitch that longhand knows"))
            .row(row)
            .found(&name)
            .help(format!(
                "Use a name of `longhand list stitches`, or describe the stitch under [stitch.{name}] in the \
                 settings."
            ));
        let known =
            Stitches::every().map(|(_, stitch)| stitch).chain(stitches.own().map(|(_, stitch)| stitch));
        let known = known.map(|stitch| stitch.name.as_str()).filter(|name| *name != "ns");
        fault.expected = nearest(&name, known).map(str::to_owned);
        self.findings.push(fault);
    }

    /// Adds to what was told of names that are no stitches how often each stands elsewhere.
    fn count_unknown(&mut self) {
        for (finding, more) in self.unknown.values() {
            if let Some(finding) = self.findings.get_mut(*finding).filter(|_| *more > 0) {
                let places = if *more == 1 { "place" } else { "places" };
                finding.message.push_str(&format!(" It stands in {more} more {places}."));
            }
        }
    }
}

/// The `format` alone.
#[derive(Deserialize)]
struct Format {
    #[serde(default)]
    format: Option<String>,
}

/// The stitch of this name; "no stitch" never stands in a row.
fn stitch(name: &str, stitches: &mut Stitches) -> Option<StitchId> {
    let id = stitches.find(name)?;
    let stitch = stitches.get(id);
    (stitch.own || (stitch.uses, stitch.makes) != (0, 0)).then(|| stitches.plain(id))
}

/// The folded work of a row, whose stitches are given without their colours and in them. Work need not name any.
///
/// # Errors
/// Says how it is another than the row's stitches.
fn folded(
    work: &[Work],
    (row, coloured): (&[StitchId], &[StitchId]),
    stitches: &mut Stitches,
) -> Result<Vec<Item>, String> {
    let row = if in_colour(work) { coloured } else { row };
    let items = items(work, stitches)?;
    let worked = written::expand(&items, stitches, stitches.uses(row))
        .map_err(|_| "the work uses other loops than the stitches")?;
    if worked == row {
        return Ok(items);
    }
    let same = worked.iter().zip(row).take_while(|(a, b)| a == b).count();
    Err(format!("the work and the stitches differ from stitch {} on", same + 1))
}

/// Whether work names the colour of any stitch.
fn in_colour(work: &[Work]) -> bool {
    work.iter().any(|piece| piece.colour.is_some() || piece.repeat.as_deref().is_some_and(in_colour))
}

fn items(work: &[Work], stitches: &mut Stitches) -> Result<Vec<Item>, String> {
    work.iter()
        .map(|piece| match (&piece.stitch, &piece.repeat) {
            (Some(name), None) => {
                let stitch = stitch(name, stitches)
                    .ok_or_else(|| format!("the work holds \"{}\", which is no stitch", shorten(name)))?;
                let coloured = piece.colour.as_deref().and_then(|colour| stitches.coloured(stitch, colour));
                let stitch = coloured.unwrap_or(stitch);
                Ok(Item::Run { stitch, extent: Extent::Times(piece.times) })
            }
            (None, Some(work)) => {
                Ok(Item::Repeat { items: items(work, stitches)?, extent: Extent::Times(piece.times) })
            }
            _ => Err("a piece of the work is neither one stitch nor one repeat".into()),
        })
        .collect()
}

/// " at PATH", nothing for the whole.
fn at(path: &str) -> String {
    if path.is_empty() || path == "." { String::new() } else { format!(" at {path}") }
}

fn join(path: &str, inner: &str) -> String {
    match (path, inner) {
        (path, "" | ".") => path.to_owned(),
        ("", inner) => inner.to_owned(),
        (path, inner) if inner.starts_with('[') => format!("{path}{inner}"),
        (path, inner) => format!("{path}.{inner}"),
    }
}

/// A value from the file, short enough for a message.
fn shorten(text: &str) -> String {
    const LONGEST: usize = 40;
    match text.char_indices().nth(LONGEST) {
        Some((at, _)) => format!("{}...", text.get(..at).unwrap_or_default()),
        None => text.to_owned(),
    }
}
