//! What a chart is called, and what its designer wrote beside it.

use std::collections::BTreeSet;

use foldhash::{HashMap, HashMapExt};

use super::area::{Area, AreaRow};
use super::key::FILL;
use super::order::{Numbered, Order};
use super::sentences as told;
use super::sheet::{Sheet, Text, lies_in};
use super::whose::Shares;
use super::{aside, embraced};
use crate::pattern::Worked;
use crate::place::{Address, Place, Span, stem};
use crate::problem::{Code, Finding};
use crate::settings::{self, Settings};
use crate::words::rows::again;
use crate::words::rows::label::{is_row_word, label as rows_label};

/// What a pattern is called, and the lines beside its chart.
pub(super) struct Heading {
    pub(super) title: String,
    pub(super) notes: Vec<Note>,
    /// Cells that only say what their column or row is, "WS", "Edge": labels of the chart, and no notes of the pattern.
    pub(super) labels: Vec<Address>,
}

/// A line that the designer wrote beside the chart.
pub(super) struct Note {
    pub(super) at: Address,
    pub(super) text: String,
    /// The rows of the chart that it stands beside, by their numbers.
    pub(super) rows: BTreeSet<u32>,
}

/// The rows of a chart beside which things stand.
pub(super) struct Beside<'a> {
    area: &'a Area,
    /// As far as an order could be made out, sorted by the rows of the sheet.
    rows: Vec<&'a Numbered>,
}

impl<'a> Beside<'a> {
    pub(super) fn new(area: &'a Area, order: Option<&'a Order>) -> Self {
        let mut rows: Vec<&Numbered> = order.into_iter().flat_map(|order| &order.rows).collect();
        rows.sort_by_key(|row| row.row.row);
        Self { area, rows }
    }

    /// The rows in which a cell of the sheet stands.
    fn within(&self, cells: Span) -> impl Iterator<Item = &Numbered> {
        let from = self.rows.partition_point(|row| row.row.row < cells.first.row);
        let rows = self.rows.iter().skip(from).take_while(move |row| row.row.row <= cells.last.row);
        rows.copied()
    }

    /// The numbers of the rows that a text is said of where it only says how often something is worked: those that a bracket
    /// or a box sets apart, if it stands at one.
    fn rows_of(&self, sheet: &Sheet<'_>, at: Address, text: &str) -> BTreeSet<u32> {
        match tells_often(text).then(|| embraced::rows(sheet, self.area, at)).flatten() {
            Some(rows) => self.within(rows).map(|row| row.number).collect(),
            None => self.rows(sheet, at),
        }
    }

    /// The numbers of the rows that a cell stands right beside, with none between it and the chart or its row numbers.
    pub(super) fn rows(&self, sheet: &Sheet<'_>, at: Address) -> BTreeSet<u32> {
        let span = sheet.span(at);
        let touches = |row: &AreaRow| {
            let placed = [row.left, row.right].into_iter().flatten().map(|placed| placed.at.column);
            let columns = placed.chain(row.stated.map(|(_, at)| at.column));
            let (first, last) =
                columns.fold(self.area.columns, |(first, last), one| (first.min(one), last.max(one)));
            last + 1 == span.first.column || span.last.column + 1 == first
        };
        self.within(span).filter(|row| touches(&row.row)).map(|row| row.number).collect()
    }
}

/// The notes as they are printed: one that stands beside a row is of that row, and equal ones of several rows are one.
pub(super) fn printed(notes: Vec<Note>, worked: Worked) -> Vec<String> {
    let mut joined: Vec<Note> = Vec::with_capacity(notes.len());
    // Where the note of rows with a text stands among them.
    let mut of_rows: HashMap<String, usize> = HashMap::new();
    for note in notes {
        if note.rows.is_empty() {
            joined.push(note);
            continue;
        }
        let place = of_rows.get(&note.text).copied();
        match place.and_then(|place| joined.get_mut(place)) {
            Some(other) => other.rows.extend(note.rows),
            None => {
                of_rows.insert(note.text.clone(), joined.len());
                joined.push(note);
            }
        }
    }
    let word = if worked == Worked::Round { "Round" } else { "Row" };
    let text = |note: Note| match in_words(word, &note.rows) {
        None => note.text,
        Some(rows) => format!("{rows}: {}", note.text),
    };
    joined.into_iter().map(text).collect()
}

/// "Row 3", "Rows 3 and 5", "Rows 3-6".
fn in_words(word: &str, rows: &BTreeSet<u32>) -> Option<String> {
    let numbers: Vec<String> = rows.iter().map(u32::to_string).collect();
    Some(match numbers.split_last()? {
        (one, []) => format!("{word} {one}"),
        (last, [first, _, ..]) if side_by_side(rows) => format!("{word}s {first}-{last}"),
        (last, others) => format!("{word}s {} and {last}", others.join(", ")),
    })
}

/// Whether rows follow each other.
fn side_by_side(rows: &BTreeSet<u32>) -> bool {
    rows.iter().zip(rows.iter().skip(1)).all(|(one, next)| one + 1 == *next)
}

/// Says which notes only say how often their row is worked, "x3": it is written once.
/// What was said of notes not to be followed is not said again.
pub(super) fn times_told(sheet: &Sheet<'_>, notes: &[Note], said: &[Finding]) -> Vec<Finding> {
    let left = said.iter().filter(|finding| finding.code == Code::SentenceNotFollowed);
    let left: BTreeSet<&Place> = left.map(|finding| &finding.place).collect();
    let often = |text: &str| {
        // Brackets may be typed too, "] x3".
        told::is_times(text.trim_matches(|c: char| "[]{}()|".contains(c) || c == ' '))
            || again::read_in_all(text).is_some()
    };
    let told = |note: &Note| {
        let (of, help) = match in_words("Row", &note.rows) {
            _ if !often(&note.text) || left.contains(&sheet.grid.place(note.at)) => return None,
            Some(rows) => (
                format!(" of {rows}"),
                "Otherwise draw a bracket around all the rows that are worked so often, or each row as often as it is worked.",
            ),
            None => (
                String::new(),
                "Otherwise write it right beside the rows that are worked again, or draw these as often as that.",
            ),
        };
        let message =
            format!("\"{}\" was kept as a note{of}: rows worked again are not written again.", note.text);
        let finding = Finding::new(Code::SentenceNotFollowed, sheet.grid.place(note.at), message);
        let finding = finding.found(&note.text).help(format!("Nothing, if the note is enough. {help}"));
        Some(Finding { row: note.rows.first().copied(), ..finding })
    };
    notes.iter().filter_map(told).collect()
}

/// The notes that only say how many rows there are, "28 rows": where they stand, and how many they say. Beside a gauge they
/// may be a part of it.
pub(super) fn rows_counted(notes: &[Note]) -> Vec<(Address, String, u32)> {
    const GAUGE: [&str; 5] = ["gauge", "tension", "cm", "inch", "inches"];
    let of_gauge = |word: &str| GAUGE.iter().any(|one| one.eq_ignore_ascii_case(word));
    if notes.iter().any(|note| note.text.split(|c: char| !c.is_alphabetic()).any(of_gauge)) {
        return Vec::new();
    }
    let counted = |note: &Note| Some((note.at, note.text.clone(), counts_rows(&note.text)?));
    notes.iter().filter_map(counted).collect()
}

/// Says which of these counts are neither that of the rows that a chart draws nor that of all its rows.
pub(super) fn miscounted(
    sheet: &Sheet<'_>,
    counted: &[(Address, String, u32)],
    (drawn, all): (usize, usize),
) -> Vec<Finding> {
    let chart = match drawn == all {
        true => format!("the chart has {all}"),
        false => format!("the chart draws {drawn} of {all}"),
    };
    let wrong = counted.iter().filter(|(.., count)| ![drawn, all].contains(&(*count as usize)));
    let told = |(at, text, count): &(Address, String, u32)| {
        let message = format!("\"{text}\" was kept as a note: {chart}.");
        Finding::new(Code::SentenceNotFollowed, sheet.grid.place(*at), message)
            .found(format!("{count} rows"))
            .expected(format!("{all} rows"))
            .help("Correct the number, or look for rows that the chart lacks; nothing, if it counts something else.")
    };
    wrong.map(told).collect()
}

/// How many rows a text says there are, if it says nothing else: "28 rows", "Rows: 28", "28 rnds in total".
fn counts_rows(text: &str) -> Option<u32> {
    let mut words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).peekable();
    let many = |word: &str| is_row_word(word) && word.ends_with('s');
    let before = words.next_if(|word| many(word)).is_some();
    // "Rows 28" may be a label, "Rows: 28" is none.
    if before && !text.contains([':', '=']) {
        return None;
    }
    let count = words.next()?.parse().ok()?;
    let named = before || words.next().is_some_and(many);
    (named && words.all(|word| TOTAL.iter().any(|total| total.eq_ignore_ascii_case(word)))).then_some(count)
}

/// What may stand beside a count of all rows.
const TOTAL: [&str; 4] = ["in", "total", "altogether", "all"];

/// Whether words beside a row are short enough to be about it, and name no row or other thing themselves.
fn is_of_row(text: &str) -> bool {
    const MOST: usize = 60;
    text.len() <= MOST
        && !text.contains(':')
        && !text.ends_with('.')
        && rows_label(text).is_none()
        && counts_rows(text).is_none()
}

/// Whether words beside rows say how often something is worked.
fn tells_often(text: &str) -> bool {
    told::is_times(text) || again::read_in_all(text).is_some() || is_of_row(text) && told::names_repeat(text)
}

/// Whether a line tells rows: it begins with their label, or works others again.
fn tells_rows(text: &str) -> bool {
    rows_label(text).is_some_and(|label| label.ended)
        || again::read(text).is_some()
        || again::read_last(text).is_some()
}

/// Whether a blank line lies between two rows of the sheet; lines that were understood as something else are none.
fn blank_between(sheet: &Sheet<'_>, above: u32, below: u32) -> bool {
    (above + 1..below).any(|row| {
        let at = sheet.grid.cells.partition_point(|cell| cell.at.row < row);
        sheet.grid.cells.get(at).is_none_or(|cell| cell.at.row != row)
    })
}

/// The prose of a sheet: what stands outside its charts and is not understood, in reading order for each of them.
pub(super) struct Prose(Vec<(usize, Address)>);

impl Prose {
    pub(super) fn find(sheet: &Sheet<'_>, areas: &[Area], shares: &Shares) -> Self {
        let columns =
            |area: &'_ Area| area.rows.iter().map(|row| (row.row, area.columns)).collect::<Vec<_>>();
        let mut drawn: Vec<(u32, (u32, u32))> = areas.iter().flat_map(columns).collect();
        drawn.sort_unstable();
        let mut drawn = drawn.into_iter().peekable();
        let mut prose = Vec::new();
        let mut charts: Vec<(u32, u32)> = Vec::new();
        for span in sheet.row_spans() {
            let row = span.first.row;
            while drawn.next_if(|(other, _)| *other < row).is_some() {}
            charts.clear();
            charts
                .extend(std::iter::from_fn(|| drawn.next_if(|(other, _)| *other == row)).map(|(_, one)| one));
            if lies_in(span, &charts) {
                continue;
            }
            let outside = sheet.beside(row, &charts).filter(|(_, text)| !text.starts_with(FILL));
            prose.extend(outside.filter_map(|(at, _)| Some((shares.of(at)?.chart, at))));
        }
        prose.sort_by_key(|(chart, _)| *chart);
        Self(prose)
    }

    /// What belongs to a chart.
    pub(super) fn of(&self, chart: usize) -> impl Iterator<Item = Address> {
        let from = self.0.partition_point(|(other, _)| *other < chart);
        self.0.iter().skip(from).take_while(move |(other, _)| *other == chart).map(|(_, at)| *at)
    }
}

/// Title and notes of a chart, and the cells that are left aside. The block of lines nearest above the grid holds the title,
/// one with other words than sentences that may be more than notes if there is any; all other prose that belongs to the chart
/// is a note.
pub(super) fn heading(
    sheet: &Sheet<'_>,
    (area, prose): (&Area, impl Iterator<Item = Address>),
    sentences: &[Address],
    beside: &Beside<'_>,
    (stated, several_sheets): (&Settings, bool),
    symbol: &mut dyn FnMut(Text<'_>) -> bool,
) -> (Heading, Vec<Address>) {
    let prose: Vec<(Address, Text<'_>)> = prose.filter_map(|at| Some((at, sheet.text(at)?))).collect();
    let above = &prose[..prose.partition_point(|(at, _)| at.row < area.top())];
    // The blocks nearest above: lines without a blank line between them.
    let mut blocks: Vec<&[(Address, Text<'_>)]> =
        above.chunk_by(|(one, _), (next, _)| !blank_between(sheet, one.row, next.row)).collect();
    let is_sentence = |(at, text): &(Address, Text<'_>)| {
        sentences.binary_search(at).is_ok() || told::is_label(text) || tells_rows(text)
    };
    if let Some(last) = blocks.iter().rposition(|block| block.iter().any(|line| !is_sentence(line))) {
        blocks.truncate(last + 1);
    }
    let rows = blocks.last().copied().unwrap_or_default().chunk_by(|(one, _), (next, _)| one.row == next.row);
    // What may be symbols that no key explains.
    let near = [area.top().checked_sub(1), area.bottom().checked_add(1)]
        .map(|row| row.filter(|row| aside::like_row(sheet, area, *row)));
    let like_row = |row: u32| near.contains(&Some(row));
    let mut lines = rows
        .filter(|row| {
            row.first().is_some_and(|(at, _)| !like_row(at.row) && !of_symbols(sheet, at.row, symbol))
        })
        .flatten()
        .filter(|(_, text)| !is_number(text))
        .peekable();
    let first = lines.peek().copied();
    let may_head = |text: &str| {
        !tells_rows(text) && told::repeat_columns(text).is_none() && settings::in_cell(text).is_none()
    };
    let title_line = lines.find(|line| !is_sentence(line)).or(first.filter(|(_, text)| may_head(text)));
    let title = stated
        .title
        .clone()
        .or_else(|| title_line.map(|(_, text)| text.to_string()))
        .or_else(|| sheet.grid.name().filter(|_| several_sheets).map(|name| name.to_string()))
        .unwrap_or_else(|| stem(&sheet.grid.file).to_owned());
    let mut notes: Vec<Note> = Vec::new();
    let (mut left, mut labels): (Vec<Address>, Vec<Address>) = (Vec::new(), Vec::new());
    let mut last_row = None;
    for (at, text) in &prose {
        if stated.title.is_none() && title_line.is_some_and(|(title, _)| title == at) {
            continue;
        }
        // Numbers and symbols alone are no prose; in a line that begins with words they are: "Yarn | 2 | balls".
        let beyond = at.row < area.top() || area.bottom() < at.row;
        if beyond && is_number(text) {
            if let Some(head) = labels.pop_if(|head| head.row == at.row) {
                // "Rows | 28".
                let words = sheet.text(head).map_or("", Text::str).trim_end_matches(':');
                let text = format!("{words}: {}", text.str());
                notes.push(Note { at: head, text, rows: BTreeSet::new() });
                last_row = Some(at.row);
                continue;
            }
            if let Some(note) = notes.last_mut().filter(|_| last_row == Some(at.row)) {
                note.text.push(' ');
                note.text.push_str(text);
                continue;
            }
        }
        if is_number(text) || (!text.contains(' ') && (like_row(at.row) || symbol(*text))) {
            left.push(*at);
            continue;
        }
        if told::is_label(text) {
            labels.push(*at);
            continue;
        }
        match notes.last_mut() {
            Some(note) if last_row == Some(at.row) => {
                note.text.push(' ');
                note.text.push_str(text);
            }
            _ => {
                let rows = if is_of_row(text) || tells_often(text) {
                    beside.rows_of(sheet, *at, text)
                } else {
                    BTreeSet::new()
                };
                notes.push(Note { at: *at, text: text.to_string(), rows });
            }
        }
        last_row = Some(at.row);
    }
    (Heading { title, notes, labels }, left)
}

/// Whether a line holds nothing but symbols, so that it is no title: more than one of them, or one that is no word.
fn of_symbols(sheet: &Sheet<'_>, row: u32, symbol: &mut dyn FnMut(Text<'_>) -> bool) -> bool {
    let several = sheet.row(row).nth(1).is_some();
    sheet.row(row).all(|(_, text)| {
        let words = text.contains(' ') || (!several && text.chars().any(char::is_alphanumeric));
        !words && symbol(text)
    })
}

/// Whether a text is made of digits and points alone.
pub(super) fn is_number(text: &str) -> bool {
    text.chars().all(|c| c.is_ascii_digit() || c == '.')
}
