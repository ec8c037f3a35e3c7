//! What a text of a sheet says: the sentences in it that may be more than a note.

use super::super::{label, said};
use super::{Says, columns, phrases};
use crate::pattern::{Side, Worked};
use crate::settings::ReturnRows;
use crate::stitch::Stitches;
use crate::words::rows::facts::{self, Facts};
use crate::words::rows::label::{Label, Rows, is_row_word, label as rows_label};

/// The most ends of a sentence that are tried.
const MOST_ENDS: usize = 40;

/// Whether a line that begins as a setting does says something that can be followed. One number is what the setting
/// takes, and so is "S = 3".
pub(in crate::chart) fn is_line(text: &str, stitches: &mut Stitches) -> bool {
    let named_so = |names: &[String]| names.iter().any(|name| name.contains('='));
    let can = |says: &Says| says.speaks.is_none() && says.cast_on.len() != 1 && !named_so(&says.sizes);
    pieces(text, stitches).iter().any(|(_, says)| can(says))
}

/// The sentences of a text that may be more than a note, and what each says.
pub(super) fn pieces(text: &str, stitches: &mut Stitches) -> Vec<(String, Says)> {
    if label::parse(text).is_some() {
        // "Row 1 (WS)" is a label of that row, or says of it what side it is.
        let said = says(text).filter(|says| !says.settings.is_empty());
        return said.map(|says| (text.to_owned(), says)).into_iter().collect();
    }
    let mut found = Vec::new();
    let mut prose = false;
    let mut rest = text.trim();
    while !rest.is_empty() {
        let (piece, said) = first_piece(rest, stitches);
        match said {
            Some(says) => found.push((piece.to_owned(), says)),
            None => prose = true,
        }
        rest = rest.get(piece.len()..).unwrap_or_default().trim_start_matches([' ', ';']);
    }
    if prose {
        found.iter_mut().for_each(|(_, says)| says.more = true);
    }
    found
}

/// The first sentence of a text, and what it says if it may be more than a note.
fn first_piece<'a>(text: &'a str, stitches: &mut Stitches) -> (&'a str, Option<Says>) {
    let rows_told = |rows: RowsTold| {
        let settings = if rows.undrawn { not_drawn(&rows.label) } else { Vec::new() };
        // "Even rows are not shown" alone says nothing of how they are worked.
        let told = (!rows.work.is_empty() || settings.is_empty()).then_some((rows.label, rows.work));
        Some(Says { rows: told, settings, ..Says::default() })
    };
    let read = |rows: &RowsTold, stitches: &mut Stitches| read_work(&rows.work, stitches).is_some();
    // A row may hold what ends a sentence: "Row 2. Purl.", "All WS rows: *k2, p2; rep from *."
    let mut ends: Vec<usize> = text.match_indices(". ").map(|(at, _)| at + 1).collect();
    ends.reverse();
    let marks = text.match_indices(';').map(|(at, _)| at);
    let ends = std::iter::once(text.len()).chain(ends).chain(marks).take(MOST_ENDS);
    for piece in ends.filter_map(|end| text.get(..end)) {
        if let Some(told) = rows(piece, stitches).filter(|told| read(told, stitches)) {
            return (piece, rows_told(told));
        }
    }
    let sentence = facts::sentences(text).next().unwrap_or(text);
    let part = sentence.split(';').next().unwrap_or(sentence);
    if let Some(told) = rows(part, stitches) {
        return (part, rows_told(told));
    }
    match says(sentence) {
        Some(said) => (sentence, Some(said)),
        None => {
            let spoken = |speaks| Says { speaks: Some(speaks), ..Says::default() };
            (part, says(part).or_else(|| phrases::speaks(part).map(spoken)))
        }
    }
}

/// What is said of the chart where it does not draw some rows: the return rows, or the second of each two rounds.
fn not_drawn(label: &Label) -> Vec<(&'static str, &'static str)> {
    let returning =
        label.every.as_ref().is_some_and(|every| matches!(every.kind, Rows::Of(Side::Ws) | Rows::Even));
    let round = (label.worked == Worked::Round).then_some(("worked", "round"));
    if returning { [("charted", "right-side")].into_iter().chain(round).collect() } else { Vec::new() }
}

/// What a sentence says of the chart as a whole.
fn says(sentence: &str) -> Option<Says> {
    let columns = columns::repeat_columns(sentence);
    let repeat = columns.is_some() || phrases::speaks_of_repeat(sentence);
    let mut says = Says { repeat, columns, ..Says::default() };
    if let Some(settings) = phrases::settings(sentence) {
        let direct = settings.iter().any(|(name, _)| *name == "first-row");
        says.way = !direct && phrases::says_way(sentence);
        says.settings = settings;
        return Some(says);
    }
    let mut told = Facts::default();
    let (any, whole) = facts::read(sentence, &mut told);
    says.sizes = told.sizes;
    if any && says.sizes.is_empty() {
        says.cast_on = told.cast_on;
        says.multiple = told.multiple;
        says.settings.extend(sentence.split([',', ';']).filter_map(phrases::settings).flatten());
        let unsaid = says.settings.is_empty() && told.worked.is_some();
        says.more = !whole || told.over.is_some() || unsaid;
    }
    let width = !says.cast_on.is_empty() || says.multiple.is_some() || !says.sizes.is_empty();
    (says.repeat || width || !says.settings.is_empty()).then_some(says)
}

/// The rows that a sentence is for.
struct RowsTold {
    label: Label,
    /// What is worked there.
    work: String,
    /// Whether it says that no chart draws them.
    undrawn: bool,
}

/// The rows that a sentence is for, and what is worked there; without a mark between them that must be readable.
fn rows(text: &str, stitches: &mut Stitches) -> Option<RowsTold> {
    let named = |label: &Label| {
        label.next == 0 && !label.set_up && (label.every.is_some() || !label.numbers.is_empty())
    };
    // "R2" may be a symbol.
    let short = |text: &str| {
        text.get(1..).is_some_and(|rest| rest.trim_start().starts_with(|c: char| c.is_ascii_digit()))
    };
    // "WS: purl across".
    let sided = text.split_once(':').filter(|(side, _)| matches!(side.trim(), "WS" | "RS" | "ws" | "rs"));
    let sided = sided.map(|(side, work)| format!("{} rows: {work}", side.trim()));
    let whole = sided.as_deref().unwrap_or(text);
    for text in [Some(whole), phrases::without_lead(whole)].into_iter().flatten() {
        let Some(label) = rows_label(text).filter(|label| named(label) && !short(text)) else { continue };
        let remark =
            |&(from, to): &(usize, usize)| text.get(from..to).and_then(phrases::behind_not_drawn).is_some();
        let rest = text.get(label.length..)?;
        let behind = phrases::behind_not_drawn(rest);
        let undrawn = behind.is_some() || label.remarks.iter().any(remark);
        let work = phrases::instruction(behind.unwrap_or(rest).trim_start_matches([' ', ',', ':']));
        let sure = label.ended && sided.is_none()
            || label.every.is_some() && (phrases::speaks_of_work(work) || behind == Some(""));
        let told = || RowsTold { label, work: work.to_owned(), undrawn };
        return (sure || read_work(work, stitches).is_some()).then(told);
    }
    behind_work(text, stitches)
}

/// "Purl all WS rows": the work stands first.
fn behind_work(text: &str, stitches: &mut Stitches) -> Option<RowsTold> {
    let text = text.trim_end().trim_end_matches('.');
    if !text.rsplit(' ').next().is_some_and(is_row_word) {
        return None;
    }
    let (at, label) = text.match_indices(' ').find_map(|(at, _)| {
        let rows = format!("{}:", text.get(at + 1..)?);
        let label = rows_label(&rows)?;
        // "Knit every row" says nothing of rows that a chart leaves out.
        let many = label.every.as_ref().is_some_and(|every| every.kind != Rows::All);
        (many && label.length == rows.len()).then_some((at, label))
    })?;
    let work = phrases::instruction(phrases::without_between(text.get(..at)?));
    read_work(work, stitches).map(|_| RowsTold { label, work: work.to_owned(), undrawn: false })
}

/// How rows are worked, if words say it.
pub(super) fn read_work(work: &str, stitches: &mut Stitches) -> Option<ReturnRows> {
    said::says_return_rows(work, stitches).then(|| said::return_rows(work)).flatten()
}
