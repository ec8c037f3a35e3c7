//! Finding the key: a block of symbols and words beside or below a chart, or a sheet of its own.

mod columns;
mod free;
mod heads;
mod layout;
mod line;
mod listed;
mod sides;
mod swatches;
mod symbols;

use foldhash::{HashMap, HashMapExt};

use super::key::{FILL, is_date, quoted};
use super::sheet::{Sheet, Text};
use crate::grid::Value;
use crate::place::{Address, Place};
use crate::problem::{Code, Finding};
use crate::settings::{KeyEntry, Meaning};
use crate::stitch::Stitches;
use crate::words;
use columns::Columns;
use heads::{Points, heads, heads_column, is_blank, is_shaded};
use layout::Layout;
use sides::Sides;

pub(super) use heads::is_heading;
pub(super) use symbols::settle;
use symbols::{labelled, square, symbol_at, symbol_of};

/// Whether a text is no longer than symbols are; a spreadsheet may have made a date of one.
fn is_short(text: &str) -> bool {
    const LONGEST_SYMBOL: usize = 6;
    text.chars().count() <= LONGEST_SYMBOL || is_date(text)
}

/// Whether a text may stand in the place of a symbol: a short one, or words for squares.
fn is_symbol(text: &str) -> bool {
    is_short(text) || is_blank(text) || is_shaded(text)
}

/// What is found of the keys of a sheet.
#[derive(Default)]
pub(super) struct Found {
    pub(super) entries: Vec<KeyEntry>,
    /// What is said of how they were read.
    pub(super) findings: Vec<Finding>,
    /// Which entries stand where, of so many of them.
    placed: (HashMap<Place, usize>, usize),
}

impl Found {
    /// Which entry has its words in a cell, the last of several.
    fn entry_at(&mut self, place: &Place) -> Option<usize> {
        let (known, seen) = &mut self.placed;
        let new = self.entries.iter().enumerate().skip(*seen);
        known.extend(new.map(|(index, entry)| (entry.place.clone(), index)));
        *seen = self.entries.len();
        known.get(place).copied()
    }
}

fn plain(text: &str) -> String {
    bare(text).to_lowercase()
}

fn bare(text: &str) -> &str {
    text.trim().trim_end_matches(':').trim()
}

/// Whether a sheet by its name holds a key and nothing else: "Key"; "Colours", where each of its lines may name a yarn.
pub(super) fn is_key_sheet(sheet: &Sheet<'_>, stitches: &mut Stitches) -> bool {
    let yarn = |row: u32| {
        let mut cells = sheet.row(row);
        let Some((first, text)) = cells.next() else { return false };
        let square = first.column.checked_sub(1).map(|before| Address::new(row, before));
        let is_square = |at: Address| sheet.look(at).is_some() || sheet.grid.looks.at(at).is_framed();
        let words = match cells.next() {
            _ if square.is_some_and(is_square) => Some(text),
            Some((at, words)) if is_short(&text) && at == sheet.after(first) => Some(words),
            _ => None,
        };
        words.is_some_and(|words| words::may_be_colour(&words)) && cells.nth(1).is_none()
    };
    match sheet.grid.name().and_then(|name| heads(name)) {
        Some(of_colours) => !of_colours || sheet.rows().next().is_some() && sheet.rows().all(yarn),
        None => sheet.grid.name().is_some_and(|name| heads::may_name_a_key(name)) && is_list(sheet, stitches),
    }
}

/// Whether most lines of a sheet begin with a symbol and words that name a stitch, and none is a row of symbols.
fn is_list(sheet: &Sheet<'_>, stitches: &mut Stitches) -> bool {
    let (mut lines, mut entries) = (0, 0);
    for row in sheet.rows() {
        let mut cells = sheet.row(row).map(|(_, text)| text);
        let (Some(symbol), words) = (cells.next(), cells.next()) else { continue };
        let entry =
            words.is_some_and(|words| words.len() > 1 && says(&words, stitches)) && is_symbol(&symbol);
        if !entry && words.is_some_and(|words| is_short(&words)) && cells.next().is_some() {
            return false;
        }
        lines += 1;
        entries += usize::from(entry);
    }
    entries > 1 && 2 * entries > lines
}

/// Takes the whole sheet as a key: pairs of a symbol and its words.
pub(super) fn take_sheet(sheet: &mut Sheet<'_>, stitches: &mut Stitches) -> Found {
    let mut found = Found::default();
    let of_colours = sheet.grid.name().and_then(|name| heads(name)) == Some(true);
    let mut sides = Sides::default();
    let rows: Vec<u32> = sheet.rows().collect();
    let layout = Layout::of(sheet, &rows, 0, stitches);
    if let Some(&first) = rows.first()
        && let Some(columns) = Columns::unheaded(sheet, &rows, 0, true, stitches)
    {
        columns.take_lines(sheet, first, stitches, &mut found);
    }
    for row in rows {
        let first = sheet.row(row).next().map(|(at, _)| at);
        if let Some(columns) = first.and_then(|first| Columns::headed(sheet, first)) {
            columns.take(sheet, row, stitches, &mut found);
        } else {
            line::take(sheet, row, layout, &mut sides, stitches, &mut found);
        }
    }
    if of_colours || are_yarns(&found.entries, stitches) {
        found.entries.iter_mut().for_each(|entry| name_yarn(&mut entry.meaning, stitches));
    }
    name_shades(&mut found.entries);
    found
}

/// Says which lines of a sheet that holds a key were not read as entries, once they are taken.
pub(super) fn left_unread(sheet: &Sheet<'_>) -> Vec<Finding> {
    let is_symbol = |text: &str| is_short(text) && super::label::parse(text).is_none();
    let unread = sheet.beside_words(find_unread).iter().filter(|(symbol, _)| is_symbol(symbol));
    let mut unread: Vec<(Address, Address)> = unread.map(|(_, cells)| *cells).collect();
    unread.sort_unstable();
    let finding = |(at, words_at): (Address, Address)| {
        let (symbol, words) = (sheet.text(at)?, sheet.text(words_at)?);
        Some(
            Finding::new(
                Code::UnreadKeyEntry,
                sheet.grid.place(at),
                format!(
                    "{} stands beside \"{}\" on this sheet of a key, which was not read as an entry.",
                    quoted(&symbol),
                    words.str()
                ),
            )
            .found(words.str())
            .help("Let its symbol and words stand in the columns of the other entries, if it is one."),
        )
    };
    unread.into_iter().filter_map(finding).collect()
}

/// Takes the keys that stand on a sheet among other things: under a heading, or entries that stand free.
pub(super) fn take(sheet: &mut Sheet<'_>, stitches: &mut Stitches) -> Found {
    let mut found = Found::default();
    pointers(sheet);
    swatches::take(sheet, stitches, &mut found);
    listed::take_cells(sheet, stitches, &mut found.entries);
    listed::take_rows(sheet, stitches, &mut found.entries);
    for (heading, of_colours) in sheet.tested_words(heads) {
        if let Some((columns, row)) = headed(sheet, heading) {
            sheet.take(heading);
            columns.take(sheet, row, stitches, &mut found);
        } else {
            under_heading(sheet, heading, of_colours, stitches, &mut found);
        }
    }
    free::take(sheet, stitches, &mut found);
    swatches::take_left(sheet, stitches, &mut found);
    name_shades(&mut found.entries);
    found
}

/// Takes what only says where the key is to be found, which is no note of the pattern.
fn pointers(sheet: &mut Sheet<'_>) {
    for (at, points) in sheet.tested_words(heads::points) {
        let before = at.column.checked_sub(1).map(|column| Address::new(at.row, column));
        let heading = before.filter(|before| sheet.text(*before).is_some_and(|text| heads(&text).is_some()));
        if points == Points::Alone || heading.is_some() {
            heading.into_iter().chain([at]).for_each(|at| drop(sheet.take(at)));
        }
    }
}

/// The columns of a key with a heading, where they have headings too, and the row of those: its own, or the one below.
fn headed(sheet: &Sheet<'_>, heading: Address) -> Option<(Columns, u32)> {
    // "Key" heads the symbols where others stand beside it.
    let mut rows = (0..=2).filter_map(|down| heading.row.checked_add(down));
    rows.find_map(|row| {
        let mut near = (0..=1).filter_map(|right| heading.column.checked_add(right));
        let columns = near.find_map(|column| Columns::headed(sheet, Address::new(row, column)))?;
        Some((columns, row))
    })
}

/// The entries below or beside a heading, down to the first row where nothing stands of them and no entry surely follows.
fn under_heading(
    sheet: &mut Sheet<'_>,
    heading: Address,
    of_colours: bool,
    stitches: &mut Stitches,
    found: &mut Found,
) {
    let mut heads = Sides::default();
    // "Symbol | Meaning" heads two columns, "Symbol | RS | WS" three.
    let mut beside = sheet.after(heading);
    let mut headings = vec![heading];
    while let Some(text) = sheet.text(beside).filter(|text| heads_column(text)) {
        heads.see(beside.column, &text);
        headings.push(beside);
        beside = sheet.after(beside);
    }
    // "Key" may stand in a column of its own, with the first entry beside it.
    let aside = Layout::at(beside.column);
    let (first, from) = if headings.len() == 1 && aside.is_sure(sheet, heading.row, stitches) {
        (heading.row, beside.column)
    } else {
        (heading.row.saturating_add(1), heading.column)
    };
    let below = Address::new(first, from);
    let list = if sheet.text(below).is_none() { Address::new(first.saturating_add(1), from) } else { below };
    if !of_colours && listed::take_numbered(sheet, list, stitches, &mut found.entries) > 0 {
        headings.into_iter().for_each(|at| drop(sheet.take(at)));
        return;
    }
    let rows = layout::rows(sheet, first, from, stitches);
    let alone = headings.len() == 1 && !of_colours;
    if let Some(&first) = rows.first().filter(|_| alone)
        && let Some(columns) = Columns::unheaded(sheet, &rows, from, false, stitches)
    {
        sheet.take(heading);
        columns.take_lines(sheet, first, stitches, found);
        return;
    }
    let layout = Layout::of(sheet, &rows, from, stitches);
    // "Yarns" may also head a list of what to buy.
    let first_at = rows.first().map(|row| Address::new(*row, layout.symbols));
    let used = |at: Address| {
        sheet.look(at).is_some() || sheet.text(at).is_some_and(|symbol| layout::stands_twice(sheet, &symbol))
    };
    // Where each line is of a symbol of the chart, any words but those for something else are the names of yarns.
    let yarn = |row: u32| {
        let words = sheet.text(Address::new(row, layout.words));
        used(Address::new(row, layout.symbols)) && words.is_some_and(|words| words::may_be_colour(&words))
    };
    let yarns = of_colours && !layout.turned && rows.iter().all(|row| yarn(*row));
    let sure = first_at.is_some_and(|at| used(at) && (yarns || layout.is_sure(sheet, at.row, stitches)));
    if of_colours && !sure {
        return;
    }
    headings.into_iter().for_each(|at| drop(sheet.take(at)));
    let known = found.entries.len();
    let mut row = first;
    // One blank line under the heading is usual.
    if !layout.stands(sheet, row) {
        row = row.saturating_add(1);
    }
    loop {
        if !layout.stands(sheet, row) {
            row = row.saturating_add(1);
            if !layout.is_sure(sheet, row, stitches) {
                break;
            }
        }
        if line::take(sheet, row, layout, &mut heads, stitches, found) == 0 {
            break;
        }
        row = row.saturating_add(1);
    }
    let entries = found.entries.get_mut(known..).unwrap_or_default();
    if yarns || are_yarns(entries, stitches) {
        entries.iter_mut().for_each(|entry| name_yarn(&mut entry.meaning, stitches));
    }
}

/// Whether entries are all of yarns: one surely names a colour, and the others say nothing of what is worked.
fn are_yarns(entries: &[KeyEntry], stitches: &mut Stitches) -> bool {
    let mut named = |entry: &KeyEntry| {
        let words = entry.meaning.stitch.as_ref().filter(|_| !entry.symbol.is_empty());
        words.is_some_and(|words| words::may_be_colour(words) && !words::may_be_worked(words, stitches))
    };
    let coloured = |entry: &KeyEntry| entry.meaning.colour.is_some();
    entries.iter().any(coloured) && entries.iter().all(|entry| coloured(entry) || named(entry))
}

/// "Lt" beside a square is light, where another square is "Dk": not every shade is a left twist.
fn name_shades(entries: &mut [KeyEntry]) {
    let is_square = |entry: &&mut KeyEntry| entry.symbol.starts_with(FILL);
    let shades = || entries.iter().filter(|entry| entry.symbol.starts_with(FILL));
    if !shades().any(|entry| entry.meaning.colour.as_deref().is_some_and(words::is_shade)) {
        return;
    }
    for entry in entries.iter_mut().filter(is_square) {
        let name =
            entry.meaning.stitch.take_if(|words| entry.meaning.colour.is_none() && words::is_shade(words));
        if let Some(name) = name {
            entry.meaning = of_yarn(name);
        }
    }
}

/// What is worked in a yarn of this name: knit stitches, as colour work is.
fn of_yarn(name: String) -> Meaning {
    Meaning { stitch: Some("k".to_owned()), colour: Some(name), ..Meaning::default() }
}

/// Words that name no stitch are those of a colour, worked in knit stitches as colour work is.
fn name_yarn(meaning: &mut Meaning, stitches: &mut Stitches) {
    let name = meaning.stitch.take_if(|words| words::meaning(words, stitches).is_none());
    if let Some(name) = name {
        *meaning = of_yarn(name);
    }
}

/// Where a symbol stands beside words that were not read as an entry of a key, and the words.
pub(super) fn unread<'a>(sheet: &'a Sheet<'_>, symbol: &str) -> Option<(Address, Text<'a>)> {
    let (at, words_at) = sheet.beside_words(find_unread).get(symbol)?;
    Some((*at, sheet.text(*words_at)?))
}

/// Each text that stands beside such words, with where it does so first.
fn find_unread(sheet: &Sheet<'_>) -> HashMap<Box<str>, (Address, Address)> {
    let wordy = |text: &str| text.chars().filter(|c| c.is_alphabetic()).count() > 2;
    let free = |at: Address| sheet.text(at).is_none();
    let words = sheet.tested_words(|text| wordy(text).then_some(()));
    let mut rows: Vec<u32> = words.into_iter().map(|(at, ())| at.row).collect();
    rows.dedup();
    let mut found = HashMap::new();
    for row in rows {
        let mut before: Option<(Address, Text<'_>)> = None;
        for (words_at, words) in sheet.row(row) {
            let Some((at, text)) = before.replace((words_at, words)) else { continue };
            let open = at.column.checked_sub(1).is_none_or(|before| free(Address::new(row, before)));
            let near = words_at.column <= at.column.saturating_add(layout::WIDEST);
            if open && near && wordy(&words) && free(sheet.after(words_at)) {
                found.entry(text.str().into()).or_insert((at, words_at));
            }
        }
    }
    found
}

/// Whether words name a stitch or a colour and nothing else, or tell how one is worked.
fn says(words: &str, stitches: &mut Stitches) -> bool {
    words::meaning(words, stitches).is_some()
        || words::is_colour(words)
        || coloured(words, stitches).is_some()
        || words::worked_in_turns("", words, stitches).is_some()
}

/// "Knit with MC", "purl in navy": the words of the stitch, and the colour.
fn coloured(words: &str, stitches: &mut Stitches) -> Option<(String, String)> {
    let (stitch, colour) = words::with_colour(words)?;
    words::meaning(&stitch, stitches).is_some().then_some((stitch, colour))
}

/// Whether words beside an unmarked blank cell go on from the entry above, with which they are then told: the other side,
/// "RS: knit" and below it "WS: purl", the rest of words that name no stitch without it, or the same again.
fn joins_above(
    sheet: &Sheet<'_>,
    symbol: &str,
    (words_at, words): (Address, &str),
    found: &mut Found,
    stitches: &mut Stitches,
) -> bool {
    let Some(before) = words_at.column.checked_sub(1).filter(|_| symbol.is_empty()) else { return false };
    let is_blank = |row: u32| {
        let at = Address::new(row, before);
        sheet.value(at).is_none() && sheet.look(at).is_none() && !sheet.grid.looks.at(at).is_framed()
    };
    if !is_blank(words_at.row) {
        return false;
    }
    // The lines between are such ones themselves.
    let told = |row: u32| sheet.grid.place(Address::new(row, words_at.column));
    let above = (0..words_at.row).rev().take(MOST_LINES).find(|row| !is_blank(*row));
    let nearest =
        (0..words_at.row).rev().take(MOST_LINES).find_map(|row| Some((row, found.entry_at(&told(row))?)));
    let Some((row, index)) = nearest.filter(|(row, _)| above.is_none_or(|above| *row >= above)) else {
        return false;
    };
    let whole = (row..words_at.row).all(|row| sheet.value(Address::new(row, words_at.column)).is_some());
    let Some(meaning) = found.entries.get_mut(index).map(|entry| &mut entry.meaning).filter(|_| whole) else {
        return false;
    };
    let (said, mark) = match meaning {
        Meaning { colour: Some(colour), .. } => {
            let whole = format!("{colour} {words}");
            (Some(colour).filter(|colour| !words::is_colour(colour) && words::is_colour(&whole)), " ")
        }
        Meaning { stitch: Some(said), .. } => {
            let sides = (words::one_side(said), words::one_side(words));
            let other = matches!(sides, (Some(one), Some(other)) if one != other);
            if says_again(said, words, stitches) {
                return true;
            }
            let joined = other || goes_on(said, words, stitches);
            (Some(said).filter(|_| joined), if other { "; " } else { " " })
        }
        _ => return false,
    };
    let Some(said) = said else { return false };
    said.push_str(mark);
    said.push_str(words);
    true
}

/// The most lines that the words of an entry may take.
const MOST_LINES: usize = 6;

/// Whether some words only say again what others say.
fn says_again(said: &str, again: &str, stitches: &mut Stitches) -> bool {
    let meaning = words::meaning(said, stitches);
    meaning.is_some() && words::meaning(again, stitches) == meaning
}

/// Whether some words are the rest of others: together they name a stitch and one of them by itself does not, or neither does;
/// or the first break off.
fn goes_on(said: &str, rest: &str, stitches: &mut Stitches) -> bool {
    let above = words::meaning(said, stitches).is_some();
    let joined = says(&format!("{said} {rest}"), stitches);
    let open = said.ends_with([',', ':', ';', '(', '[', '-', '+', '&']) || line::is_open(said);
    match says(rest, stitches) {
        true => !above && (joined || open),
        false => !above || joined,
    }
}

/// Whether words stand beside an empty square with a line round it, right above or below a filled one that is a colour: it is
/// the colour of the cells that are left white.
fn is_background(sheet: &Sheet<'_>, words_at: Address, stitches: &mut Stitches) -> bool {
    let Some(column) = words_at.column.checked_sub(1) else { return false };
    let at = Address::new(words_at.row, column);
    let mut is_colour = |row: Option<u32>| {
        let Some(row) = row else { return false };
        let square = Address::new(row, column);
        let words = sheet.value(Address::new(row, words_at.column)).map(Value::text);
        sheet.look(square).is_some()
            && sheet.value(square).is_none()
            && words.is_some_and(|words| {
                words::may_be_colour(&words) && words::meaning(&words, stitches).is_none()
            })
    };
    sheet.value(at).is_none()
        && sheet.look(at).is_none()
        && sheet.grid.looks.at(at).is_framed()
        && (is_colour(at.row.checked_sub(1)) || is_colour(at.row.checked_add(1)))
}

fn entry(sheet: &Sheet<'_>, symbol: String, words: String, at: Address, stitches: &mut Stitches) -> KeyEntry {
    let symbol = symbol_of(symbol);
    let words = words.trim_start_matches(['=', ':']).trim().to_owned();
    // Beside a colour the words of the stitch alone have a meaning too.
    let both = coloured(&words, stitches);
    let named = words::meaning(&words, stitches).is_some();
    // Beside a filled square, words that say nothing of what is worked name a colour, worked in knit stitches as colour work
    // is; so they do beside an empty one among such.
    let is_name = |stitches: &mut Stitches| {
        let square = symbol.starts_with(FILL) || symbol.is_empty() && is_background(sheet, at, stitches);
        square && words::may_be_colour(&words) && !words::may_be_worked(&words, stitches)
    };
    let colour = words::is_colour(&words) || !named && is_name(stitches);
    let meaning = match both {
        Some((stitch, colour)) => {
            Meaning { stitch: Some(stitch), colour: Some(colour), ..Meaning::default() }
        }
        None if colour => of_yarn(words),
        None => Meaning { stitch: Some(words), ..Meaning::default() },
    };
    KeyEntry { symbol, meaning, place: sheet.grid.place(at) }
}

/// "o = yarn over", "o: yarn over", "o - yarn over" in one cell.
fn split_line(text: &str) -> Option<(String, String)> {
    const MARKS: [&str; 7] = [" = ", " – ", " — ", " - ", ": ", "=", ":"];
    // A symbol, a mark and a word.
    if text.len() < 3 {
        return None;
    }
    // The sign alone is sought first, for most texts hold none of them.
    let holds = |mark: &&&str| mark.trim().chars().next().is_some_and(|sign| text.contains(sign));
    let (symbol, words) = MARKS.iter().filter(holds).find_map(|mark| text.split_once(mark))?;
    let (symbol, words) = (symbol.trim(), words.trim());
    let short = symbol.chars().count() <= 12 || is_symbol(symbol);
    (short && !symbol.is_empty() && !words.is_empty()).then(|| (symbol.to_owned(), words.to_owned()))
}
