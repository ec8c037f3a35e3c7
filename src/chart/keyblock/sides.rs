//! Keys of three columns: a symbol, what is worked on the right side, what is worked on the wrong side.

use super::super::sheet::{Run, Sheet};
use super::columns::fits;
use super::layout::stands_twice;
use super::{plain, symbol_at, symbol_of};
use crate::pattern::Side;
use crate::place::Address;
use crate::settings::{KeyEntry, Meaning};
use crate::stitch::{StitchId, Stitches};
use crate::words::{self, Looks};

/// The side that a heading of a column names.
pub(super) fn side(text: &str) -> Option<Side> {
    // Most texts are symbols; "RS" is the shortest name of a side.
    if text.len() < 2 {
        return None;
    }
    let text = plain(text).replace('-', " ");
    let words: Vec<&str> = text
        .split_whitespace()
        .filter(|word| !matches!(*word, "on" | "row" | "rows" | "work" | "in"))
        .collect();
    match words[..] {
        ["rs"] | ["right", "side"] => Some(Side::Rs),
        ["ws"] | ["wrong", "side"] => Some(Side::Ws),
        _ => None,
    }
}

/// The columns of a key whose headings name a side.
#[derive(Default)]
pub(super) struct Sides {
    rs: Option<u32>,
    ws: Option<u32>,
}

impl Sides {
    /// Sees the heading of a column.
    pub(super) fn see(&mut self, column: u32, text: &str) {
        match side(text) {
            Some(Side::Rs) => self.rs = Some(column),
            Some(Side::Ws) => self.ws = Some(column),
            None => {}
        }
    }

    /// What two cells of words say of a symbol: by their headings one for each side. Without headings the first is
    /// for the right side if both name a stitch; two that name the same one in other words, "k2tog" and "knit 2
    /// together", say it twice.
    pub(super) fn meaning(
        &self,
        (one_at, one): (Address, &str),
        (two_at, two): (Address, &str),
        stitches: &mut Stitches,
    ) -> Option<Meaning> {
        let known = |at: Address, side: Option<u32>| side == Some(at.column);
        if known(two_at, self.rs) && known(one_at, self.ws) {
            return Some(worked(two, one, stitches));
        }
        if known(one_at, self.rs) && known(two_at, self.ws) {
            return Some(worked(one, two, stitches));
        }
        let (rs, ws) = (words::stitch(one, stitches)?, words::stitch(two, stitches)?);
        if rs == ws && plain(one) != plain(two) {
            return Some(Meaning { stitch: Some(one.to_owned()), ..Meaning::default() });
        }
        Some(worked(one, two, stitches))
    }
}

/// Whether a cell is blank but for a dash.
fn says_nothing(words: &str) -> bool {
    words.chars().all(|c| matches!(c, '-' | '–' | '—' | ' '))
}

/// A stitch and its usual opposite are the stitch alone; a dash says nothing of its side.
pub(super) fn worked(rs: &str, ws: &str, stitches: &mut Stitches) -> Meaning {
    let opposite = match (words::stitch(rs, stitches), words::stitch(ws, stitches)) {
        (Some(rs), Some(ws)) => stitches.opposite(rs) == Some(ws),
        _ => false,
    };
    let said = |words: &str| Some(words.to_owned()).filter(|words| !says_nothing(words));
    if opposite {
        Meaning { stitch: Some(rs.to_owned()), ..Meaning::default() }
    } else {
        Meaning { rs: said(rs), ws: said(ws), ..Meaning::default() }
    }
}

/// What a symbol is by cells for its sides and words for it beside these.
pub(super) struct SaidBeside<'a> {
    pub(super) meaning: Meaning,
    /// The words that say something else.
    pub(super) against: Vec<&'a str>,
}

/// What the cells for the two sides and words beside them say of a symbol: a side whose cell is blank is worked as the first
/// words tell that fit the other; words that name a colour give that.
pub(super) fn beside<'a>(rs: &str, ws: &str, words: &[&'a str], stitches: &mut Stitches) -> SaidBeside<'a> {
    let told: Vec<(&str, Looks)> =
        words.iter().filter_map(|words| Some((*words, words::meaning(words, stitches)?))).collect();
    let whole = match (says_nothing(rs), says_nothing(ws)) {
        (false, false) => Some(worked(rs, ws, stitches)),
        _ => told.iter().find_map(|told| filled(rs, ws, *told, stitches)),
    };
    let against = match &whole {
        Some(whole) => match looks(whole, stitches) {
            Some(looks) => told.into_iter().filter(|told| !agrees(*told, looks)).collect(),
            None => Vec::new(),
        },
        // What one side is called fits none of the words.
        None if [rs, ws].iter().any(|side| words::stitch(side, stitches).is_some()) => told,
        None => Vec::new(),
    };
    let mut meaning = whole.unwrap_or_else(|| worked(rs, ws, stitches));
    let colour = || words.iter().find(|words| words::is_colour(words));
    meaning.colour = meaning.colour.or_else(|| colour().map(|colour| (*colour).to_owned()));
    SaidBeside { meaning, against: against.into_iter().map(|(words, _)| words).collect() }
}

/// What is worked on both sides, where one is said by the words for the stitch alone; none where these don't fit the other.
fn filled(rs: &str, ws: &str, (words, looks): (&str, Looks), stitches: &mut Stitches) -> Option<Meaning> {
    let name = |id: StitchId, stitches: &Stitches| stitches.get(id).name.clone();
    let (rs_said, ws_said) = (words::stitch(rs, stitches), words::stitch(ws, stitches));
    match (looks, rs_said, ws_said) {
        (Looks::Stitch(id), Some(said), None) if said == id => {
            Some(Meaning { stitch: Some(rs.to_owned()), ..Meaning::default() })
        }
        (Looks::Sides { rs: id, ws }, Some(said), None) if said == id => {
            Some(worked(rs, &name(ws, stitches), stitches))
        }
        // "P on RS, k on WS" says of the WS too what it is.
        (Looks::Stitch(id), None, Some(said))
            if !words::names_side(words, Side::Ws) || stitches.opposite(id) == Some(said) =>
        {
            Some(worked(&name(id, stitches), ws, stitches))
        }
        (Looks::Sides { rs, ws: id }, None, Some(said)) if said == id => {
            Some(worked(&name(rs, stitches), ws, stitches))
        }
        _ => None,
    }
}

/// What a symbol is that is said of both sides; none where its words name no stitch.
fn looks(meaning: &Meaning, stitches: &mut Stitches) -> Option<Looks> {
    match (&meaning.stitch, &meaning.rs, &meaning.ws) {
        (Some(words), ..) => words::stitch(words, stitches).map(Looks::Stitch),
        (None, Some(rs), Some(ws)) => {
            Some(Looks::Sides { rs: words::stitch(rs, stitches)?, ws: words::stitch(ws, stitches)? })
        }
        (None, ..) => None,
    }
}

/// Whether words say nothing else of a symbol than what is known of both sides.
fn agrees((words, told): (&str, Looks), known: Looks) -> bool {
    if words::names_side(words, Side::Ws) { told == known } else { fits(told, known) }
}

/// Lines that may be entries of such a key for a blank or filled square: an abbreviation and words for the same stitch, each
/// with whether the words are too long for symbols.
fn blank_squares(sheet: &Sheet<'_>, rows: &[u32], stitches: &mut Stitches) -> Vec<([Address; 3], bool)> {
    let mut found = Vec::new();
    for &row in rows {
        for Run { before, cells: [(one_at, one), (two_at, two)] } in sheet.runs(row) {
            let Some(column) = one_at.column.checked_sub(1).filter(|_| before.is_none()) else { continue };
            let same = |stitches: &mut Stitches| {
                let stitch = words::stitch(&one, stitches);
                stitch.is_some() && stitch == words::stitch(&two, stitches)
            };
            // What another cell holds is a symbol, and the rest its words.
            if plain(&one) != plain(&two) && same(stitches) && !stands_twice(sheet, &one) {
                found.push(([Address::new(row, column), one_at, two_at], two.chars().count() > 2));
            }
        }
    }
    found
}

/// Takes such entries that stand free, without a heading, in some rows: two or more below each other, with nothing on either
/// side.
pub(super) fn take_free(
    sheet: &mut Sheet<'_>,
    rows: &[u32],
    stitches: &mut Stitches,
    entries: &mut Vec<KeyEntry>,
) {
    // Each with whether its words are too long for symbols.
    let mut found: Vec<([Address; 3], bool)> = Vec::new();
    for &row in rows {
        for Run { before, cells: [(at, symbol), (one_at, one), (two_at, two)] } in sheet.runs(row) {
            if before.is_some() || symbol.chars().count() > 6 {
                continue;
            }
            // Three cells of a chart whose symbols are names are no key.
            let mut names = |text: &str| words::named(text, stitches).is_some();
            let chart = names(&symbol) && (names(&one) || names(&two));
            let long = one.chars().count() > 2 || two.chars().count() > 2;
            if !chart && words::stitch(&one, stitches).is_some() && words::stitch(&two, stitches).is_some() {
                found.push(([at, one_at, two_at], long));
            }
        }
    }
    if !found.is_empty() {
        found.extend(blank_squares(sheet, rows, stitches));
    }
    let mut chosen: Vec<[Address; 3]> = Vec::new();
    found.sort_by_key(|([at, ..], _)| (at.column, at.row));
    let below = |one: &([Address; 3], bool), two: &([Address; 3], bool)| {
        one.0[0].column == two.0[0].column && one.0[0].row + 1 == two.0[0].row
    };
    for block in found.chunk_by(below) {
        let with_symbol = block.iter().any(|([at, ..], _)| sheet.text(*at).is_some());
        if block.len() > 1 && with_symbol && block.iter().any(|(_, long)| *long) {
            chosen.extend(block.iter().map(|(cells, _)| *cells));
        }
    }
    for [at, one_at, two_at] in chosen {
        let symbol = symbol_at(sheet, at);
        sheet.take(at);
        let (Some(one), Some(two)) = (sheet.take(one_at), sheet.take(two_at)) else { continue };
        if let Some(meaning) = Sides::default().meaning((one_at, &one), (two_at, &two), stitches) {
            entries.push(KeyEntry { symbol: symbol_of(symbol), meaning, place: sheet.grid.place(one_at) });
        }
    }
}
