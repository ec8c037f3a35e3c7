//! Keys whose columns have headings, "Symbol | Name | RS | WS | Notes": each line is read by them, in whatever order the
//! columns stand.

use foldhash::{HashMap, HashMapExt};

use super::super::sheet::{Sheet, Text};
use super::heads::role;
use super::layout::is_mark;
use super::sides::{SaidBeside, beside};
use super::{Found, entry, is_short, symbol_at, symbol_of};
use crate::pattern::Side;
use crate::place::{Address, Span, column_letters};
use crate::problem::{Code, Finding};
use crate::settings::KeyEntry;
use crate::stitch::Stitches;
use crate::words::{self, Looks};

/// What a column of a key holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    /// The symbols and squares.
    Symbols,
    /// What is worked on one side.
    Side(Side),
    /// The words for the stitches.
    Words,
    /// What the stitches are called, or their abbreviations.
    Names,
    /// Remarks.
    Notes,
}

/// The columns of a key and what they hold, from left to right.
pub(super) struct Columns {
    columns: Vec<(u32, Role)>,
    /// Whether no heading says so: it is told by what stands in them.
    assumed: bool,
}

impl Columns {
    /// The columns that the texts side by side around a cell head; none where they head no more than symbols and their words,
    /// or several keys side by side.
    pub(super) fn headed(sheet: &Sheet<'_>, at: Address) -> Option<Self> {
        let role_at = |at: Address| sheet.text(at).and_then(|text| role(&text));
        role_at(at)?;
        let mut first = at;
        while let Some(column) = first.column.checked_sub(1) {
            let before = Address::new(at.row, column);
            if role_at(before).is_none() {
                break;
            }
            first = before;
        }
        let mut columns = Vec::new();
        let mut next = first;
        while sheet.text(next).is_some() {
            columns.extend(role_at(next).map(|role| (next.column, role)));
            next = sheet.after(next);
        }
        let found = Self { columns, assumed: false };
        let told = |role: &Role| !matches!(role, Role::Symbols | Role::Notes);
        let roles: Vec<Role> = found.columns.iter().map(|(_, role)| *role).collect();
        let symbols = roles.iter().filter(|role| **role == Role::Symbols).count();
        let plain = matches!(roles[..], [Role::Symbols, Role::Words | Role::Names]);
        (symbols == 1 && roles.iter().any(told) && !plain).then_some(found)
    }

    /// The columns of a key without headings that has more of them than symbols and their words, seen from what stands in
    /// them; none where that leaves a doubt. `from` is the first of them. A key with a sheet of its own has its chart
    /// elsewhere.
    pub(super) fn unheaded(
        sheet: &Sheet<'_>,
        rows: &[u32],
        from: u32,
        own_sheet: bool,
        stitches: &mut Stitches,
    ) -> Option<Self> {
        let block = Block::of(sheet, rows, from)?;
        let [first, second, third] = [0, 1, 2].map(|column| block.column(column));
        let symbols_first = first.iter().all(|text| is_short(text))
            && (own_sheet || first.iter().any(|text| block.used(sheet, text)));
        let words_first = third.iter().all(|text| is_short(text) && block.used(sheet, text));
        let (one, two) = if symbols_first { (second, third) } else { (first, second) };
        if !symbols_first && !words_first {
            return None;
        }
        let mut names = |texts: &[Text<'_>]| texts.iter().all(|text| words::stitch(text, stitches).is_some());
        let by_side = symbols_first && names(&one) && names(&two);
        if by_side {
            // Pairs side by side have a symbol third and words fourth.
            let pairs = two.iter().any(|text| block.used(sheet, text))
                || block.behind.iter().any(|text| super::says(text, stitches));
            let notes = !block.behind.is_empty() && !pairs;
            return notes.then(|| {
                let roles = [Role::Symbols, Role::Side(Side::Rs), Role::Side(Side::Ws), Role::Notes];
                block.in_roles(&roles, true)
            });
        }
        let looks = |texts: &[Text<'_>], stitches: &mut Stitches| -> Vec<Option<Looks>> {
            texts.iter().map(|text| words::meaning(text, stitches)).collect()
        };
        let (one, two) = (looks(&one, stitches), looks(&two, stitches));
        let known = |looks: &[Option<Looks>]| looks.iter().all(Option::is_some);
        let agree = || {
            one.iter()
                .zip(&two)
                .all(|looks| matches!(looks, (Some(name), Some(words)) if fits(*name, *words)))
        };
        let (names, words) = match (known(&one), known(&two)) {
            (true, true) if agree() => (true, true),
            (false, true) => (false, true),
            (true, false) => (true, false),
            _ => return None,
        };
        let told = if words { [Role::Names, Role::Words] } else { [Role::Words, Role::Names] };
        let roles = match symbols_first {
            true => [Role::Symbols, told[0], told[1]],
            false => [told[0], told[1], Role::Symbols],
        };
        (block.behind.is_empty()).then(|| block.in_roles(&roles, !(names && words)))
    }

    fn of(&self, role: Role) -> impl Iterator<Item = u32> {
        self.columns.iter().filter(move |(_, other)| *other == role).map(|(column, _)| *column)
    }

    /// Whether something stands in a row in these columns.
    fn stands(&self, sheet: &Sheet<'_>, row: u32) -> bool {
        self.columns.iter().any(|(column, _)| sheet.text(Address::new(row, *column)).is_some())
    }

    /// Whether a row surely holds an entry: a symbol, and words in another column that name a stitch or a colour.
    fn is_sure(&self, sheet: &Sheet<'_>, row: u32, stitches: &mut Stitches) -> bool {
        let text = |column: u32| sheet.text(Address::new(row, column));
        self.of(Role::Symbols).any(|column| text(column).is_some())
            && self.columns.iter().any(|(column, role)| {
                *role != Role::Symbols && text(*column).is_some_and(|words| super::says(&words, stitches))
            })
    }

    /// Takes the headings, which stand in a row, and the lines below down to a blank one behind which none surely is an
    /// entry.
    pub(super) fn take(&self, sheet: &mut Sheet<'_>, heads: u32, stitches: &mut Stitches, found: &mut Found) {
        self.columns.iter().for_each(|(column, _)| drop(sheet.take(Address::new(heads, *column))));
        self.take_lines(sheet, heads.saturating_add(1), stitches, found);
    }

    /// Takes the lines from a row on, down to a blank one behind which none surely is an entry.
    pub(super) fn take_lines(
        &self,
        sheet: &mut Sheet<'_>,
        first: u32,
        stitches: &mut Stitches,
        found: &mut Found,
    ) {
        let mut notes = Vec::new();
        let mut row = first;
        loop {
            if !self.stands(sheet, row) {
                row = row.saturating_add(1);
                if !self.is_sure(sheet, row, stitches) {
                    break;
                }
            }
            self.take_line(sheet, row, &mut notes, stitches, found);
            row = row.saturating_add(1);
        }
        found.findings.extend(left_aside(sheet, &notes));
        found.findings.extend(self.assumed.then(|| self.told(sheet, first)));
    }

    /// Says what the columns were taken for.
    fn told(&self, sheet: &Sheet<'_>, first: u32) -> Finding {
        let what = |role: Role| match role {
            Role::Symbols => "the symbols",
            Role::Side(Side::Rs) => "what is worked on RS rows",
            Role::Side(Side::Ws) => "what is worked on WS rows",
            Role::Words => "how they are worked",
            Role::Names => "what they are called",
            Role::Notes => "notes",
        };
        let each: Vec<String> = self
            .columns
            .iter()
            .map(|(column, role)| format!("{} for {}", column_letters(*column), what(*role)))
            .collect();
        let ends = [self.columns.first(), self.columns.last()];
        let [from, to] = ends.map(|end| end.map_or(0, |(column, _)| *column));
        Finding::new(
            Code::KeyColumns,
            sheet.grid.place(Span::new(Address::new(first, from), Address::new(first, to))),
            format!(
                "The columns of the key have no headings. They were taken as they read: {}.",
                each.join(", ")
            ),
        )
        .help("Nothing, if that is so; otherwise head them: Symbol, RS, WS, Meaning, Name, Notes.")
    }

    /// Takes one line; what stands in columns of notes is added to them.
    fn take_line(
        &self,
        sheet: &mut Sheet<'_>,
        row: u32,
        notes: &mut Vec<(Address, String)>,
        stitches: &mut Stitches,
        found: &mut Found,
    ) {
        let mut cells = Vec::new();
        let mut symbol = String::new();
        for &(column, role) in &self.columns {
            let at = Address::new(row, column);
            if role == Role::Symbols {
                symbol = symbol_of(symbol_at(sheet, at));
            }
            match sheet.take(at) {
                Some(text) if role == Role::Notes => notes.push((at, text.to_string())),
                Some(text) => cells.push((role, at, text.to_string())),
                None => {}
            }
        }
        let said = |role: Role| cells.iter().filter(move |(other, ..)| *other == role);
        let named = || said(Role::Words).chain(said(Role::Names));
        let side = |side: Side| said(Role::Side(side)).next();
        let (rs, ws) = (side(Side::Rs), side(Side::Ws));
        if let Some((_, at, _)) = rs.or(ws) {
            let [rs, ws] = [rs, ws].map(|cell| cell.map_or("", |(.., text)| text));
            let all: Vec<&str> = named().map(|(.., text)| text.as_str()).collect();
            let SaidBeside { meaning, against } = beside(rs, ws, &all, stitches);
            if meaning.stitch.is_some() || meaning.rs.is_some() || meaning.ws.is_some() {
                found.entries.push(KeyEntry {
                    symbol: symbol.clone(),
                    meaning,
                    place: sheet.grid.place(*at),
                });
                // Words that say something else are told.
                for (_, at, text) in named().filter(|(.., text)| against.contains(&text.as_str())) {
                    found.entries.push(entry(sheet, symbol.clone(), text.clone(), *at, stitches));
                }
                return;
            }
        }
        // What tells how a stitch is worked goes before its name, which may be short for several; a name that says something
        // else is told.
        let mut chosen: Option<(Address, &str)> = None;
        for (_, at, text) in named() {
            match chosen.map(|(_, words)| words::meaning(words, stitches)) {
                None => chosen = Some((*at, text)),
                Some(None) if super::says(text, stitches) => chosen = Some((*at, text)),
                Some(Some(looks))
                    if words::meaning(text, stitches).is_some_and(|name| !fits(name, looks)) =>
                {
                    found.entries.push(entry(sheet, symbol.clone(), text.clone(), *at, stitches));
                }
                _ => {}
            }
        }
        if let Some((at, words)) = chosen {
            found.entries.push(entry(sheet, symbol, words.to_owned(), at, stitches));
        }
    }
}

/// Lines of three texts side by side, below each other in the same columns.
struct Block<'a> {
    columns: [u32; 3],
    /// How many cells of the lines hold each text.
    within: HashMap<&'a str, u32>,
    lines: Vec<[Text<'a>; 3]>,
    /// What stands right behind the third column.
    behind: Vec<Text<'a>>,
}

impl<'a> Block<'a> {
    /// Those of some rows, from a column on. Lines of fewer texts tell nothing; none where a mark parts symbols and words.
    fn of(sheet: &'a Sheet<'_>, rows: &[u32], from: u32) -> Option<Self> {
        let mut columns = None;
        let (mut lines, mut behind) = (Vec::new(), Vec::new());
        for &row in rows {
            let mut cells = sheet.row(row).skip_while(|(at, _)| at.column < from);
            let [Some((first, one)), Some((second, two)), Some((third, three))] =
                std::array::from_fn(|_| cells.next())
            else {
                continue;
            };
            if sheet.after(first) != second || sheet.after(second) != third {
                continue;
            }
            let these = [first, second, third].map(|at| at.column);
            if *columns.get_or_insert(these) != these || is_mark(&two) {
                return None;
            }
            behind.extend(sheet.text(sheet.after(third)));
            lines.push([one, two, three]);
        }
        let mut within = HashMap::new();
        lines.iter().flatten().for_each(|text: &Text<'_>| *within.entry(text.str()).or_default() += 1);
        columns.filter(|_| lines.len() > 1).map(|columns| Self { columns, within, lines, behind })
    }

    fn column(&self, column: usize) -> Vec<Text<'a>> {
        self.lines.iter().filter_map(|line| line.get(column).copied()).collect()
    }

    /// Whether a cell outside holds a text.
    fn used(&self, sheet: &Sheet<'_>, text: &str) -> bool {
        sheet.count(text) > self.within.get(text).copied().unwrap_or(0)
    }

    fn in_roles(&self, roles: &[Role], assumed: bool) -> Columns {
        let [first, second, third] = self.columns;
        let all = [first, second, third, third.saturating_add(1)];
        Columns { columns: all.into_iter().zip(roles.iter().copied()).collect(), assumed }
    }
}

/// Whether a name says nothing else than the words for a stitch do: it may be that of one side.
pub(super) fn fits(name: Looks, words: Looks) -> bool {
    match (name, words) {
        (Looks::Stitch(name), Looks::Sides { rs, ws }) => name == rs || name == ws,
        (name, words) => name == words,
    }
}

/// Says what stood in columns of notes.
fn left_aside(sheet: &Sheet<'_>, notes: &[(Address, String)]) -> Option<Finding> {
    let (first, last) = (notes.first()?.0, notes.last()?.0);
    let shown: Vec<String> = notes.iter().map(|(_, text)| format!("\"{text}\"")).collect();
    let shown = shown.join(", ");
    Some(
        Finding::new(
            Code::KeyColumns,
            sheet.grid.place(Span::new(first, last)),
            format!("Notes of the key, which are no words for stitches and were left aside: {shown}."),
        )
        .found(shown)
        .help("Nothing, if they say no more of how a stitch is worked."),
    )
}
