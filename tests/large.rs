//! Sheets and texts of a size that no designer types, as they lie in archives among the charts: lists, dumps, files made to do harm.
//! They are read in time that grows with them or told to be too large. No test here looks at a clock: with a loop that grows
//! with the square of a sheet each of them would take minutes.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

use std::fmt::Write as _;
use std::sync::Arc;

use longhand::convert::{self, Charts};
use longhand::problem::{Code, Finding};
use longhand::settings::Settings;

const KEY: &str = "\nKey\n.,knit\n-,purl\no,yo\n/,k2tog\n\\,ssk\n";

fn read(sheet: &str) -> Charts {
    let file: Arc<str> = Arc::from("large.csv");
    convert::charts(&file, sheet.as_bytes(), None, &Settings::default(), &Settings::default())
}

/// Rows of the patterns of a text.
fn rows_of(text: &str) -> usize {
    let (below, above) = (Settings::default(), Settings::default());
    let read = convert::texts(&Arc::from("large.txt"), text.as_bytes(), None, &below, &above, None);
    read.charts.iter().filter_map(|chart| chart.sound()).map(|pattern| pattern.rows.len()).sum()
}

/// What is said of a sheet: kind of finding and place.
fn said(sheet: &str) -> Vec<String> {
    let read = read(sheet);
    let charts = read.charts.iter().flat_map(|chart| chart.findings.iter());
    read.findings.iter().chain(charts).map(|finding| format!("{} {}", finding.code, finding.place)).collect()
}

/// So many lines, each made from its number.
fn lines(count: u32, line: impl Fn(u32) -> String) -> String {
    (0..count).fold(String::new(), |mut sheet, number| {
        let _ = writeln!(sheet, "{}", line(number));
        sheet
    })
}

/// Numbers that follow each other without any order.
const fn scattered(number: u32) -> u32 {
    number.wrapping_mul(2_654_435_761) >> 15
}

/// Few symbols may span many squares, and few squares be worked over many stitches: that is told, not worked out.
#[test]
fn charts_beyond_all_measure_are_told() {
    // 100 rows of 10,002 squares, of which two hold a symbol.
    let far = format!(".{}.", ",".repeat(10_001));
    let wide = lines(100, |row| format!("{},{far}", 100 - row));
    // Twelve rows of 100,000 stitches.
    let rows = lines(12, |row| format!(".,.,{}", 12 - row));
    let long = format!("Cast on: 100000\nRepeat columns: 1-2\n{rows}");
    // 99,998 rows of 20 stitches between two that are drawn.
    let apart = ".,".repeat(20);
    let gap = format!("Skipped rows: knit\n{apart}100000\n{apart}1\n");
    for (sheet, expected) in [
        (format!("{wide}\n\n.,knit\n,knit\n"), "too-large large.csv, line 1, column 2"),
        (format!("{long}{KEY}"), "too-large large.csv, line 3, column 1"),
        (format!("{gap}{KEY}"), "too-large large.csv, line 2, column 1"),
    ] {
        let said = said(&sheet);
        assert!(said.iter().any(|said| said == expected), "{expected}: {said:?}");
        assert!(read(&sheet).charts.iter().all(|chart| chart.pattern.is_none()), "{expected}");
    }
}

/// Columns of numbers that are none of rows: a list of what is in stock, a column of nothing but ones.
#[test]
fn columns_of_numbers_are_no_charts() {
    for sheet in [
        lines(40_000, |line| (1 + scattered(line) % 90_000).to_string()),
        lines(100_000, |_| "1".to_owned()),
        lines(40_000, |line| if line < 20_000 { line + 1 } else { 1 }.to_string()),
    ] {
        assert_eq!(said(&sheet), ["no-chart large.csv"]);
    }
}

/// A character of 20,000 that no stitch is called by.
fn sign(number: u32) -> char {
    char::from_u32(0x4e00 + number % 20_000).unwrap()
}

/// A table whose cells are short passes for a chart of symbols that nothing explains: each is told once.
#[test]
fn each_of_many_symbols_is_told_once() {
    let sheet = lines(10_000, |line| format!("{0},{0}+,+{0}", sign(line)));
    let said = said(&sheet);
    let unknown = said.iter().filter(|said| said.starts_with("unknown-symbol"));
    assert_eq!(unknown.count(), 30_000);
}

/// Keys of as many symbols as a font has: under a heading, standing free, of colours.
#[test]
fn keys_of_many_symbols_are_read() {
    let chart = lines(4, |line| format!("{},{},{}", sign(0), sign(1), 4 - line));
    for (what, key) in [
        ("free", lines(8_000, |line| format!("{},knit", sign(line)))),
        ("under a heading", format!("Key\n{}", lines(8_000, |line| format!("{},knit", sign(line))))),
        (
            "of colours",
            lines(8_000, |line| format!("{},{}", sign(line), if line > 1 { "navy" } else { "knit" })),
        ),
    ] {
        let read = read(&format!("{chart}\n{key}"));
        let stitches: Vec<usize> = read
            .charts
            .iter()
            .filter_map(|chart| chart.pattern.as_ref())
            .map(|pattern| pattern.rows.iter().map(|row| row.stitches.len()).sum())
            .collect();
        assert_eq!(stitches, [8], "{what}");
    }
}

/// A dump of an archive in one sheet, the key of which is lost: each chart is found, with its symbol that means nothing.
#[test]
fn many_charts_stand_on_one_sheet() {
    const CHARTS: u32 = 1_000;
    let sheet = lines(CHARTS, |_| "ö,o,3\nö,ö,2\no,ö,1\n".to_owned());
    let read = read(&sheet);
    assert_eq!(read.charts.len(), CHARTS as usize);
    let unknown =
        |finding: &&Finding| finding.code == Code::UnknownSymbol && finding.found.as_deref() == Some("ö");
    assert!(read.charts.iter().all(|chart| chart.findings.iter().filter(unknown).count() == 1));
}

/// Lines that look like entries of a key and are notes: the key has taken them, and gives them back.
#[test]
fn many_lines_that_tell_rows_are_notes() {
    const LINES: u32 = 8_000;
    let notes = lines(LINES, |line| format!("Row {}: Purl.", 10 + line % 90));
    let read = read(&format!(".,.,2\n.,.,1\n\n.,knit\n\n{notes}"));
    let notes =
        read.charts.iter().filter_map(|chart| chart.pattern.as_ref()).map(|pattern| pattern.notes.len());
    assert_eq!(notes.collect::<Vec<_>>(), [LINES as usize]);
}

/// "St" heads a column of counts, and is a symbol in others.
#[test]
fn a_symbol_may_be_what_heads_a_column() {
    let chart = lines(4_000, |line| format!("st,st,st,{}", 4_000 - line));
    let read = read(&format!("{chart}\nKey\nst,knit\n"));
    let stitches = read.charts.iter().filter_map(|chart| chart.pattern.as_ref());
    let stitches: Vec<usize> =
        stitches.map(|pattern| pattern.rows.iter().map(|row| row.stitches.len()).sum()).collect();
    assert_eq!(stitches, [12_000]);
}

/// A note beside each row, the same one or another, and a chart as wide as long with a row above it that has no number.
#[test]
fn what_stands_beside_each_row_is_looked_up() {
    const ROWS: u32 = 20_000;
    for (what, notes) in [("turn", 1), ("turn ", ROWS)] {
        let beside = |row: u32| if notes == 1 { what.to_owned() } else { format!("{what}{row}") };
        let read =
            read(&format!("{}{KEY}", lines(ROWS, |row| format!(".,.,{},{}", ROWS - row, beside(row)))));
        let told: Vec<usize> = read
            .charts
            .iter()
            .filter_map(|chart| chart.pattern.as_ref())
            .map(|pattern| pattern.notes.len())
            .collect();
        assert_eq!(told, [notes as usize], "{what}");
    }
    let row = ".,".repeat(16_000);
    assert_eq!(
        said(&format!("{row}\n{row}2\n{row}1\n{KEY}")),
        ["row-number-gap large.csv, line 1, column 1"]
    );
}

/// Only the first and the last of many rows are numbered.
#[test]
fn rows_between_two_numbers_are_counted() {
    const ROWS: u32 = 100_000;
    let sheet = lines(ROWS, |row| {
        format!(
            ".,.,{}",
            if row == 0 {
                "99999"
            } else if row == ROWS - 1 {
                "1"
            } else {
                ""
            }
        )
    });
    // One more row than the numbers leave room for.
    let said = said(&format!("{sheet}{KEY}"));
    assert_eq!(said, ["row-number-gap large.csv, line 99999, column 1"]);
}

/// Charts side by side, each with its columns numbered in one line.
#[test]
fn the_columns_of_many_charts_are_numbered() {
    const CHARTS: usize = 3_000;
    let line = |row: &str| vec![row; CHARTS].join(",,") + "\n";
    let read = read(&format!("{}{}{}{KEY}", line(".,.,.,2"), line(".,.,.,1"), line("3,2,1,")));
    assert_eq!(read.charts.len(), CHARTS);
    assert!(read.charts.iter().all(|chart| chart.findings.is_empty()), "{:?}", read.charts[0].findings);
}

/// A line of a text without an end, cut by marks behind which a row could begin: in front of rows, in one, in a title.
#[test]
fn lines_of_a_text_have_no_end() {
    for mark in [". ", "; "] {
        let long = format!("ab{mark}").repeat(10_000);
        for text in [
            format!("Scarf\n\nCast on 5 sts.\n\n{long}\n\nRow 1: K5.\n"),
            format!("{long}\n\nCast on 5 sts.\n\nRow 1: K5.\n"),
        ] {
            assert_eq!(rows_of(&text), 1);
        }
        let row = format!("Scarf\n\nCast on 5 sts.\n\nRow 1: K5.\nRow 2: P5. {long}\n");
        assert_eq!(rows_of(&row), 0);
    }
}

/// Each two rows are those before with more stitches, or the first two with many more.
#[test]
fn rows_of_a_text_grow_one_upon_the_other() {
    const LINES: u32 = 600;
    let shawl = |line: &dyn Fn(u32) -> String| {
        format!(
            "Shawl\n\nCast on 5 sts.\n\nRow 1: K1, yo, k3, yo, k1.\nRow 2: Purl.\n{}",
            lines(LINES, |number| format!("Rows {}-{}: {}", number * 2 + 3, number * 2 + 4, line(number)))
        )
    };
    let chain = |number: u32| {
        let (row, width) = (number * 2 + 1, number * 2 + 3);
        format!("As Rows {row} and {}, working 2 more sts in the k{width} of Row {row} each time.", row + 1)
    };
    let apart = |number: u32| {
        format!("As Rows 1 and 2, working {} more sts in the k3 of Row 1 each time.", number * 2 + 2)
    };
    for text in [shawl(&chain), shawl(&apart)] {
        assert_eq!(rows_of(&text), LINES as usize * 2 + 2);
    }
}

/// Set-up rows behind others, and sentences that tell rows.
#[test]
fn rows_of_a_text_have_no_numbers() {
    let rows = lines(4_000, |_| "Set-up row: K5.".to_owned());
    assert_eq!(rows_of(&format!("Scarf\n\nCast on 5 sts.\n\nRow 1: K5.\n{rows}")), 4_001);
    let rows = lines(4_000, |_| "Knit 1 row.".to_owned());
    assert_eq!(rows_of(&format!("Scarf\n\nCast on 5 sts.\n\nRow 1: K5.\n{rows}")), 4_001);
}

/// Each gap in the numbers is told; none of the numbers that are missing stands in a hidden row.
#[test]
fn many_numbers_are_missing() {
    let said = said(&lines(8_000, |line| format!(".,.,.,{}", (8_000 - line) * 7)));
    assert_eq!(said.iter().filter(|said| said.starts_with("row-number-gap")).count(), 7_999);
}

/// What is said of a text: kind of finding and place.
fn said_of_text(text: &str) -> Vec<String> {
    let file: Arc<str> = Arc::from("large.txt");
    let (below, above) = (Settings::default(), Settings::default());
    let read = convert::texts(&file, text.as_bytes(), None, &below, &above, None);
    let charts = read.charts.iter().flat_map(|chart| chart.findings.iter());
    read.findings.iter().chain(charts).map(|finding| format!("{} {}", finding.code, finding.place)).collect()
}

/// Lines of texts that nobody writes: one word or number without end, mistakes one after another, a row of as many pieces or
/// sentences as a book has.
#[test]
fn lines_of_texts_without_an_end() {
    const HEAD: &str = "Cast on 4 sts.\nRow 1: K4.\nRow 2: P4.\n";
    let number = format!("{HEAD}Row 3: K{}.\n", "9".repeat(1_000_000));
    assert_eq!(said_of_text(&number), ["unreadable-row large.txt, line 4, column 8"]);
    let mistakes = format!("{HEAD}Row 3: {}k1.\n", "xyz, ".repeat(20_000));
    assert_eq!(said_of_text(&mistakes).len(), 20_000);
    let pieces = format!("{HEAD}Row 3: {}\n", "(k1, yo) twice, ".repeat(4_000));
    assert_eq!(said_of_text(&pieces), ["count-mismatch large.txt, line 4, column 1"]);
    let repeats = format!("{HEAD}Row 3: {}\n", "*k1, yo; rep from * twice, ".repeat(4_000));
    assert_eq!(said_of_text(&repeats), ["count-mismatch large.txt, line 4, column 1"]);
    let sentences = format!("{HEAD}Row 3: K4{}.\n", ". Bo 1".repeat(4_000));
    assert_eq!(said_of_text(&sentences), ["count-mismatch large.txt, line 4, column 1"]);
}

/// Rows told as often as no work is repeated: that is no reason to work them.
#[test]
fn rows_told_beyond_all_measure() {
    const HEAD: &str = "Cast on 4 sts.\nRow 1: K4.\nRow 2: P4.\n";
    for closing in [
        "Rep Rows 1-2 1,000,000 times more.",
        "Rep Rows 1 and 2 1000000 times more. (4 sts)",
        "Rep last 2 rows 4000000000 times more.",
    ] {
        assert_eq!(
            said_of_text(&format!("{HEAD}{closing}\n")),
            ["rows-not-added large.txt, line 4, column 1"]
        );
    }
    let closings = format!("{HEAD}{}", "Rep Rows 1 and 2 400 times more. (4 sts)\n".repeat(100));
    assert_eq!(said_of_text(&closings).len(), 100);
    let told = format!("Colours: navy, cream.\nCast on 4 sts.\n{}", "Knit 1 row in navy.\n".repeat(9_990));
    assert_eq!(said_of_text(&told).len(), 9_990);
}

/// Each row tells the next by those before it; and each note by itself is within measure.
#[test]
fn many_notes_tell_rows() {
    const NOTES: u32 = 2_400;
    let note = |note: u32| {
        let first = 5 + 4 * note;
        format!("Rows {first}-{}: Rep Rows {}-{}.", first + 3, first - 4, first - 1)
    };
    let above = "Only odd rows are charted\nRow 2: Purl.\nRow 4: Knit.\n";
    let sheet = format!("{above}{}\n.,-,3\n.,.,1\n{KEY}", lines(NOTES, note));
    let read = read(&sheet);
    let rows =
        read.charts.iter().filter_map(|chart| chart.pattern.as_ref()).map(|pattern| pattern.rows.len());
    assert_eq!(rows.collect::<Vec<_>>(), [4 + 4 * NOTES as usize]);
    // Two rows of 600 stitches and 1,798 more are beyond measure, though none of the notes tells more than 540,000.
    let wide = ".,".repeat(600);
    let note = |note: u32| format!("Rows {}-{}: Rep Rows 1 and 2.", 3 + 900 * note, 902 + 900 * note);
    let said = said(&format!("{}\n{wide}2\n{wide}1\n{KEY}", lines(3, note)));
    assert!(said.contains(&"row-reference large.csv, line 2, column 1".to_owned()), "{said:?}");
}

/// Entries with blank columns between, far from each other: none is confirmed by another near to it.
#[test]
fn entries_of_a_key_are_looked_for_near_to_each_other() {
    let chart = lines(4, |line| format!("{0},{1},{0},{1},{2}", sign(0), sign(1), 4 - line));
    let key = lines(50_000, |line| format!("{0},,purl\n\n\n{0}", sign(line)));
    assert!(!read(&format!("{chart}\n{key}")).charts.is_empty());
}

/// Sentences behind many rows that have some of them worked again: so many of their counts are proved.
#[test]
fn many_sentences_work_rows_again() {
    let rows = lines(4_000, |row| format!("Row {}: Knit.", row + 1));
    for (closing, told) in [("", "rows-not-added"), (" (4 sts)", "too-large")] {
        let closings = format!("Rep Rows 1 and 2 twice more.{closing}\n").repeat(4_000);
        let said = said_of_text(&format!("Cast on 4 sts.\n{rows}\n{closings}"));
        assert!(said.iter().any(|said| said.starts_with(told)), "{told}");
    }
}

/// Each row grows upon the one behind it, and the last of them is told in stitches.
#[test]
fn rows_of_a_text_grow_one_upon_the_next() {
    let rows = 4_000;
    let grows = lines(rows, |row| {
        format!("Row {}: Rep Row {} once, working 1 more st in the k2 each time.", row + 1, row + 2)
    });
    let text = format!("Cast on 4 sts.\n{grows}\nRow {}: K2, k2tog.\n", rows + 1);
    assert!(!said_of_text(&text).is_empty());
}

/// Each line of a text is wrong in a way of its own.
#[test]
fn each_of_many_rows_is_wrong() {
    let rows = lines(9_000, |row| format!("Row {}: K2, xyz{row}, k2.", row + 1));
    assert_eq!(said_of_text(&format!("Cast on 4 sts.\n{rows}\n")).len(), 9_000);
}
