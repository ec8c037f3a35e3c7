//! Random patterns, drawn as charts by a small drawer of their own and read again: the same stitches, counts that
//! chain, words that say the rows.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

use std::sync::Arc;

use longhand::chart;
use longhand::check;
use longhand::fold::{self, Options};
use longhand::grid::{Cell, Grid, Value, Workbook};
use longhand::pattern::{Hand, Pattern, Side, Worked, faces_after};
use longhand::place::{Address, Place};
use longhand::problem::Severity;
use longhand::settings::{KeyEntry, Meaning, RepeatColumns, ReturnRows, Settings};
use longhand::stitch::{Face, StitchId, Stitches};
use longhand::style::{self, Repeats, Style, YarnOvers};
use longhand::write::Writer;
use longhand::written::{Extent, Item, Label, Line, Work, Written, expand, grown};
use proptest::prelude::*;

/// What may stand in a chart: symbol, stitch on RS rows, stitch on WS rows, mirror of the RS one, cells.
/// Source of the pairs: standards.md section 4; mirrors: a decrease leaning right for one leaning left.
const STITCHES: [(&str, &str, &str, &str, u32); 12] = [
    (".", "k", "p", "k", 1),
    ("-", "p", "k", "p", 1),
    ("o", "yo", "yo", "yo", 1),
    ("/", "k2tog", "p2tog", "ssk", 1),
    ("\\", "ssk", "ssp", "k2tog", 1),
    ("=", "p2tog", "k2tog", "ssp", 1),
    ("A", "s2kp", "s2pp", "s2kp", 1),
    ("Q", "ktbl", "ptbl", "ktbl", 1),
    ("V", "kfb", "pfb", "kfb", 1),
    ("D", "k3tog", "p3tog", "sssk", 1),
    ("X", "2/2rc", "", "2/2lc", 4),
    ("Y", "2/2lc", "", "2/2rc", 4),
];

/// Pieces of a row that use as many loops as they make, by symbol in the order worked, and how many that is.
const BALANCED: [(&str, u32); 11] = [
    (".", 1),
    ("-", 1),
    ("Q", 1),
    ("o/", 2),
    ("\\o", 2),
    ("=o", 2),
    ("oAo", 3),
    ("/oo\\", 4),
    ("oDo", 3),
    ("X", 4),
    ("Y", 4),
];

/// Pieces that grow or shrink the row, with the loops they use.
const SHAPING: [(&str, u32); 5] = [("V", 1), ("/", 2), ("D", 3), ("o.", 1), (".oo-", 2)];

fn entry(symbol: &str) -> &'static (&'static str, &'static str, &'static str, &'static str, u32) {
    STITCHES.iter().find(|entry| entry.0 == symbol).unwrap()
}

/// A row as worked, a symbol for each stitch.
type Row = Vec<&'static str>;

/// Cuts a random sequence of choices into a row that uses exactly so many loops.
fn row(choices: &[u8], loops: u32, shaping: bool, cables: bool) -> Row {
    let mut row = Row::new();
    let mut left = loops;
    let mut choices = choices.iter().copied().cycle();
    while left > 0 {
        let choice = usize::from(choices.next().unwrap_or(0));
        let pieces: Vec<(&str, u32)> =
            BALANCED.iter().chain(if shaping { &SHAPING[..] } else { &[] }).copied().collect();
        let (piece, uses) = pieces[choice % pieces.len()];
        let fits = uses <= left && (cables || !matches!(piece, "X" | "Y"));
        let (piece, uses) = if fits { (piece, uses) } else { (".", 1) };
        row.extend(piece.char_indices().map(|(at, c)| &piece[at..at + c.len_utf8()]).map(|one| entry(one).0));
        left -= uses;
    }
    row
}

fn cells(row: &[&'static str]) -> u32 {
    row.iter().map(|symbol| entry(symbol).4).sum()
}

/// What the hands do: names of stitches, two yarn overs side by side being one double one.
fn names(row: &[&'static str], side: Side) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for symbol in row {
        let (_, rs, ws, ..) = entry(symbol);
        match (names.last_mut(), *symbol) {
            (Some(last), "o") if last == "yo" => *last = "yo2".to_owned(),
            _ => names.push(if side == Side::Rs { *rs } else { *ws }.to_owned()),
        }
    }
    names
}

/// Draws rows as charts are drawn: row 1 at the bottom, RS rows worked from the right edge, numbers at the right.
/// Shorter rows stand at the right edge.
fn draw(rows: &[(u32, Side, Row)]) -> Workbook {
    let width = rows.iter().map(|(_, _, row)| cells(row)).max().unwrap_or(0);
    let mut grid = Grid::lines(Arc::from("chart.csv"));
    for (up, (number, side, row)) in rows.iter().rev().enumerate() {
        let line = up as u32;
        let from_left: Vec<&str> = match side {
            Side::Rs => row.iter().rev().copied().collect(),
            Side::Ws => row.clone(),
        };
        let mut column = width - cells(row);
        for symbol in from_left {
            for _ in 0..entry(symbol).4 {
                let value = Value::Text(symbol.into());
                grid.cells.push(Cell { at: Address::new(line, column), value });
                column += 1;
            }
        }
        let value = Value::Number(f64::from(*number));
        grid.cells.push(Cell { at: Address::new(line, width), value });
    }
    Workbook { file: Arc::from("chart.csv"), sheets: vec![grid] }
}

fn key() -> Arc<Vec<KeyEntry>> {
    let entries = STITCHES
        .iter()
        .map(|(symbol, stitch, ..)| KeyEntry {
            symbol: (*symbol).to_owned(),
            meaning: Meaning { stitch: Some((*stitch).to_owned()), ..Meaning::default() },
            place: Place::file(&Arc::from("longhand.toml")),
        })
        .collect();
    Arc::new(entries)
}

/// Reads the only chart of a workbook, which must have no error, and proves it.
fn read(workbook: &Workbook, settings: &Settings) -> Pattern {
    let (charts, findings) = chart::read(workbook, settings, &Settings::default());
    assert!(findings.is_empty(), "{findings:?}");
    let [chart] = &charts[..] else { panic!("{} charts", charts.len()) };
    let wrong: Vec<_> =
        chart.findings.iter().filter(|finding| finding.severity() == Severity::Error).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    let pattern = chart.pattern.clone().unwrap();
    assert_eq!(check::check(&pattern), []);
    pattern
}

fn stitch_names(pattern: &Pattern, row: &[StitchId]) -> Vec<String> {
    row.iter().map(|&id| pattern.stitches.get(id).name.clone()).collect()
}

/// Every combination of what a style may ask for.
fn every_option() -> impl Iterator<Item = Options> {
    (0..32u8).map(|bits| Options {
        yarn_overs_by_position: bits & 1 > 0,
        one_sentence: bits & 2 > 0,
        recurring: bits & 16 > 0,
        open: bits & 4 > 0,
        nesting: if bits & 8 > 0 { 2 } else { 1 },
    })
}

/// The items by which a row is worked: of its own line, of one it shares, of the rows that its line refers to, or of
/// the sentence for its kind.
fn items_of(written: &Written, number: u32) -> Vec<Item> {
    let shared = |line: &&Line| match line.label {
        Label::Row { number: own, .. } => own == number,
        Label::Rows { first, last, .. } => (first..=last).contains(&number),
        Label::Every { .. } => false,
    };
    let every = |line: &&Line| match &line.label {
        Label::Every { first, except, .. } => first % 2 == number % 2 && !except.contains(&number),
        _ => false,
    };
    let line = written.lines.iter().find(shared).or_else(|| written.lines.iter().find(every));
    let line = line.unwrap_or_else(|| panic!("no line for row {number}"));
    match (&line.work, &line.label) {
        (Work::Items(items), _) => items.clone(),
        (Work::Again(again), Label::Row { number: begins, .. } | Label::Rows { first: begins, .. }) => {
            let (index, rows) = (number - begins, again.last - again.first + 1);
            assert!(again.last < *begins && index < rows * again.times, "{line:?}");
            let source = again.first + index % rows;
            let items = items_of(written, source);
            grown(&items, &again.growth, source, index / rows + 1, &written.stitches).unwrap()
        }
        (Work::InTurn { knit_first, .. }, Label::Rows { first, .. }) => {
            let knit = (number - first).is_multiple_of(2) == *knit_first;
            vec![Item::Run {
                stitch: if knit { Stitches::K } else { Stitches::P },
                extent: Extent::ToLast(0),
            }]
        }
        _ => panic!("no sentence refers to others: {line:?}"),
    }
}

/// The rows that the words give on the width of `pattern` are its rows; `written` may be of another width.
fn says(written: &Written, pattern: &Pattern) {
    for row in &pattern.rows {
        let items = items_of(written, row.number);
        let stitches = &written.stitches;
        let expanded = expand(&items, stitches, pattern.uses(row))
            .unwrap_or_else(|misfit| panic!("row {}: {misfit:?} {items:?}", row.number));
        let plain: Vec<String> =
            expanded.iter().map(|&id| stitches.get(stitches.plain(id)).name.clone()).collect();
        assert_eq!(plain, stitch_names(pattern, &row.stitches), "row {}: {items:?}", row.number);
    }
}

/// A pattern of rows that each use what the one before made.
fn chained(seeds: &[Vec<u8>], start: u32, way: Worked, step: u32, shaping: bool) -> Vec<(u32, Side, Row)> {
    let mut loops = start;
    let mut rows = Vec::new();
    for (index, seed) in seeds.iter().enumerate() {
        let number = index as u32 * step + 1;
        let side = if way == Worked::Round || number % 2 == 1 { Side::Rs } else { Side::Ws };
        let row = row(seed, loops, shaping, side == Side::Rs);
        // A cell shows a loop that is made, but kfb shows one of its two.
        loops = cells(&row) + row.iter().filter(|symbol| **symbol == "V").count() as u32;
        rows.push((number, side, row));
    }
    rows
}

/// How a style folds rows, each in a line of its own.
fn in_lines(style: &Style) -> Options {
    Options {
        yarn_overs_by_position: style.fold.yarn_overs == YarnOvers::ByPosition,
        one_sentence: false,
        recurring: false,
        open: style.fold.repeats == Repeats::Open,
        nesting: style.fold.nesting,
    }
}

fn printed(pattern: &Pattern, style: &Style, options: Options) -> String {
    Writer::named("text").unwrap().write(&fold::written(pattern, options), style)
}

fn lines_of(text: &str, label: &str) -> usize {
    text.lines().filter(|line| line.starts_with(label)).count()
}

fn seeds() -> impl Strategy<Value = Vec<Vec<u8>>> {
    proptest::collection::vec(proptest::collection::vec(any::<u8>(), 1..7), 2..9)
}

fn way() -> impl Strategy<Value = Worked> {
    prop_oneof![Just(Worked::Flat), Just(Worked::Round)]
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(96) })]

    /// Every row drawn: the stitches are those drawn, and the words of every kind of style say them.
    #[test]
    fn charts_are_read_as_they_were_drawn(
        seeds in seeds(), start in 3..15u32, way in way(), shaping in any::<bool>(),
    ) {
        let rows = chained(&seeds, start, way, 1, shaping);
        let settings = Settings { worked: Some(way), key: key(), ..Settings::default() };
        let pattern = read(&draw(&rows), &settings);
        prop_assert_eq!(pattern.cast_on, start);
        prop_assert_eq!(pattern.rows.len(), rows.len());
        for (read, (number, side, row)) in pattern.rows.iter().zip(&rows) {
            prop_assert_eq!((read.number, read.side), (*number, *side));
            prop_assert_eq!(stitch_names(&pattern, &read.stitches), names(row, *side));
        }
        for options in every_option() {
            says(&fold::written(&pattern, options), &pattern);
        }
        for (row, items) in pattern.rows.iter().zip(fold::closed(&pattern)) {
            prop_assert_eq!(expand(&items, &pattern.stitches, u32::MAX), Ok(row.stitches.clone()));
        }
    }

    /// Only RS rows drawn: a return row works every loop by its face, in reverse, and leaves each its face.
    #[test]
    fn return_rows_keep_the_faces(
        seeds in seeds(), start in 3..15u32, shaping in any::<bool>(),
    ) {
        let rows = chained(&seeds, start, Worked::Flat, 2, shaping);
        let settings = Settings { key: key(), ..Settings::default() };
        let pattern = read(&draw(&rows), &settings);
        prop_assert_eq!(pattern.rows.len(), 2 * rows.len());
        for pair in pattern.rows.chunks(2) {
            let drawn = stitch_names(&pattern, &pair[0].stitches);
            // Worked out stitch by stitch: what shows a purl is knitted, all else purled; a double yarn over p1, k1.
            let mut expected: Vec<&str> = Vec::new();
            for name in drawn.iter().rev() {
                match name.as_str() {
                    "p" | "p2tog" => expected.push("k"),
                    "yo2" => expected.extend(["p", "k"]),
                    // contract.md: kfb counts as knit faces.
                    "kfb" => expected.extend(["p", "p"]),
                    "2/2rc" | "2/2lc" => expected.extend(["p"; 4]),
                    _ => expected.push("p"),
                }
            }
            prop_assert_eq!(stitch_names(&pattern, &pair[1].stitches), expected);
            let faces = faces_after(&pattern.stitches, pair[0].stitches.iter().copied(), Side::Rs, &[], false);
            let mut again = faces_after(&pattern.stitches, pair[1].stitches.iter().copied(), Side::Ws, &faces, false);
            again.reverse();
            if !faces.contains(&Face::Over) {
                prop_assert_eq!(faces, again);
            }
        }
        for options in every_option() {
            says(&fold::written(&pattern, options), &pattern);
        }
    }

    /// Return rows that are purled purl every loop, but for those of a double yarn over (contract.md: always p1, k1);
    /// stated ones do what they say.
    #[test]
    fn purled_return_rows_are_purled(seeds in seeds(), start in 3..15u32, stated in any::<bool>()) {
        let rows = chained(&seeds, start, Worked::Flat, 2, true);
        let purl = if stated { ReturnRows::Stated("p to end".to_owned()) } else { ReturnRows::Purl };
        let pattern = read(&draw(&rows), &Settings { key: key(), return_rows: Some(purl), ..Settings::default() });
        for pair in pattern.rows.chunks(2) {
            let drawn = pair[0].stitches.iter().rev().map(|&id| pattern.stitches.get(id));
            let expected: Vec<&str> = drawn
                .flat_map(|stitch| match stitch.name.as_str() {
                    "yo2" if !stated => vec!["p", "k"],
                    _ => vec!["p"; stitch.makes as usize],
                })
                .collect();
            prop_assert_eq!(stitch_names(&pattern, &pair[1].stitches), expected);
        }
    }

    /// A sentence for all return rows is one line, and so is each drawn row.
    #[test]
    fn one_sentence_tells_all_return_rows(seeds in seeds(), start in 3..15u32) {
        let rows = chained(&seeds, start, Worked::Flat, 2, true);
        let drawn = |row: &Row| row.windows(2).any(|pair| pair == ["o", "o"]);
        prop_assume!(!rows.iter().any(|(_, _, row)| drawn(row)));
        let purl = Settings { key: key(), return_rows: Some(ReturnRows::Purl), ..Settings::default() };
        let pattern = read(&draw(&rows), &purl);
        for style in style::built_in() {
            let text = printed(&pattern, style, Options { one_sentence: true, ..in_lines(style) });
            prop_assert_eq!(lines_of(&text, "Row "), rows.len() + 1, "{}", text);
        }
    }

    /// For the left hand every row is the same from its other edge, leaning stitches mirrored.
    #[test]
    fn left_hand_of_left_hand_is_the_original(seeds in seeds(), start in 3..15u32, way in way()) {
        let rows = chained(&seeds, start, way, 1, false);
        let right = Settings { worked: Some(way), key: key(), ..Settings::default() };
        let left = Settings { hand: Some(Hand::Left), ..right.clone() };
        let (right, left) = (read(&draw(&rows), &right), read(&draw(&rows), &left));
        for (right, left_row) in right.rows.iter().zip(&left.rows) {
            let mut stitches = left.stitches.clone();
            let back: Vec<String> = left_row.stitches.iter().rev().map(|&id| {
                let mirror = stitches.mirror(id).unwrap();
                stitches.get(mirror).name.clone()
            }).collect();
            prop_assert_eq!(back, stitch_names(&left, &right.stitches));
            if right.side == Side::Rs {
                let (_, _, row) = rows.iter().find(|(number, ..)| *number == right.number).unwrap();
                let mirrored: Vec<String> =
                    row.iter().rev().filter(|symbol| **symbol != "o").map(|symbol| entry(symbol).3.to_owned()).collect();
                let read: Vec<String> = stitch_names(&left, &left_row.stitches)
                    .into_iter()
                    .filter(|name| !name.starts_with("yo"))
                    .collect();
                prop_assert_eq!(read, mirrored);
            }
        }
    }

    /// A chart with a repeat: its words with open repeats are true of a chart one and two repeats wider.
    #[test]
    fn words_serve_every_width(
        seeds in proptest::collection::vec(proptest::collection::vec(any::<u8>(), 3..8), 1..6),
        (before, unit, after) in (0..5u32, 2..8u32, 0..5u32),
        step in 1..3u32,
        way in way(),
        times in 2..4u32,
    ) {
        // Each part of a row is balanced, so that its cells stay in their columns.
        let mut rows = Vec::new();
        for (index, seed) in seeds.iter().enumerate() {
            let number = index as u32 * step + 1;
            let side = if way == Worked::Round || number % 2 == 1 { Side::Rs } else { Side::Ws };
            let part = |loops: u32, turn: usize| {
                let mut seed = seed.clone();
                seed.rotate_left(turn);
                row(&seed, loops, false, side == Side::Rs)
            };
            let (first, last) = if side == Side::Rs { (before, after) } else { (after, before) };
            let row: Row = [part(first, 0), part(unit, 1), part(last, 2)].concat();
            rows.push((number, side, row));
        }
        let settings = |times: u32| Settings {
            worked: Some(way),
            key: key(),
            repeat_columns: Some(RepeatColumns { first: before + 1, last: before + unit }),
            cast_on: Some(before + unit * times + after),
            ..Settings::default()
        };
        let pattern = read(&draw(&rows), &settings(times));
        // Edges that look like the repeat are further workings of it.
        let multiple = pattern.multiple.unwrap();
        prop_assert_eq!((multiple.of, multiple.plus % unit), (unit, (before + after) % unit));
        let wider = [read(&draw(&rows), &settings(times + 1)), read(&draw(&rows), &settings(times + 2))];
        for options in every_option() {
            let written = fold::written(&pattern, options);
            says(&written, &pattern);
            if options.open {
                for wide in &wider {
                    says(&written, wide);
                }
            }
        }
    }

    /// Every style prints a line for each row, where none are told together.
    #[test]
    fn every_row_has_its_line(seeds in seeds(), start in 3..15u32, way in way()) {
        let rows = chained(&seeds, start, way, 1, true);
        let settings = Settings { worked: Some(way), key: key(), ..Settings::default() };
        let pattern = read(&draw(&rows), &settings);
        for style in style::built_in() {
            let text = printed(&pattern, style, in_lines(style));
            let label = if way == Worked::Round { "Round " } else { "Row " };
            prop_assert_eq!(lines_of(&text, label), rows.len(), "{}", text);
        }
    }
}
