//! Sheets as nobody should type them, and some that people do: read as meant, or told what is wrong and where, and
//! nothing of them left aside in silence. Expected rows and places are worked out by hand from the sheets.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

use std::fmt::Write as _;
use std::sync::Arc;

use longhand::convert::{self, Charts};
use longhand::settings::Settings;

const KEY: &str = "\nKey\n.,knit\n-,purl\no,yo\n/,k2tog\n\\,ssk\n";

fn read(sheet: &str) -> Charts {
    let file: Arc<str> = Arc::from("odd.csv");
    convert::charts(&file, sheet.as_bytes(), None, &Settings::default(), &Settings::default())
}

/// Each sound chart as its rows, a line each: "1 k k2tog yo k".
fn rows(sheet: &str) -> Vec<String> {
    let read = read(sheet);
    let patterns =
        read.charts.iter().map(|chart| chart.sound().unwrap_or_else(|| panic!("{:?}", chart.findings)));
    patterns
        .map(|pattern| {
            pattern.rows.iter().fold(String::new(), |mut text, row| {
                let names: Vec<&str> =
                    row.stitches.iter().map(|&id| pattern.stitches.get(id).name.as_str()).collect();
                let _ = writeln!(text, "{} {}", row.number, names.join(" "));
                text
            })
        })
        .collect()
}

/// What is said of a sheet: kind of finding and place.
fn said(sheet: &str) -> Vec<String> {
    let read = read(sheet);
    let charts = read.charts.iter().flat_map(|chart| chart.findings.iter());
    read.findings.iter().chain(charts).map(|finding| format!("{} {}", finding.code, finding.place)).collect()
}

const LACE: &str = "1 k k2tog yo k\n2 p p p p\n3 k k2tog yo k\n";

#[test]
fn odd_sheets_are_read_as_they_are_meant() {
    let chart = ".,o,/,.,3\n.,.,.,.,2\n.,o,/,.,1\n";
    for (what, sheet) in [
        ("the key right below", format!("{chart}.,knit\no,yo\n/,k2tog\n")),
        ("the key right above", format!(".,knit\no,yo\n/,k2tog\n{chart}")),
        (
            "the key touching the row numbers",
            ".,o,/,.,3,.,knit\n.,.,.,.,2,o,yo\n.,o,/,.,1,/,k2tog\n".to_owned(),
        ),
        (
            "the key on the left",
            "Key,,,,,,,\n.,knit,,.,o,/,.,3\no,yo,,.,.,.,.,2\n/,k2tog,,.,o,/,.,1\n".to_owned(),
        ),
        ("a title of digits", format!("2024\n\n{chart}{KEY}")),
        (
            "a line of prose between the rows",
            format!(".,o,/,.,3\nwork gently\n.,.,.,.,2\n\n.,o,/,.,1\n{KEY}"),
        ),
        ("row labels in words", format!(".,o,/,.,Row three\n.,.,.,.,Row two\n.,o,/,.,Row one\n{KEY}")),
        ("column numbers above and below", format!("4,3,2,1\n{chart}4,3,2,1\n{KEY}")),
        ("empty first columns", format!(",,,.,o,/,.,3\n,,,.,.,.,.,2\n,,,.,o,/,.,1\n{KEY}")),
        (
            "remarks touching the numbers",
            format!(".,o,/,.,3,place marker\n.,.,.,.,2,\n.,o,/,.,1,turn\n{KEY}"),
        ),
        ("a remark beside two numbers", format!(",.,o,/,.,3,place marker\n2,.,.,.,.,,\n,.,o,/,.,1,\n{KEY}")),
        ("sides behind the numbers", format!(".,o,/,.,3,RS\n.,.,.,.,2,WS\n.,o,/,.,1,RS\n{KEY}")),
        ("sides before the numbers", format!("(RS),3,.,o,/,.\n(WS),2,.,.,.,.\n(RS),1,.,o,/,.\n{KEY}")),
        ("sides on both edges", format!(",,.,o,/,.,3,RS\nWS,2,.,.,.,.,,\n,,.,o,/,.,1,RS\n{KEY}")),
        ("arrows with the numbers", format!(",.,o,/,.,<- 3\n2 ->,.,.,.,.,\n,.,o,/,.,1<-\n{KEY}")),
        ("arrows that are one letter", format!(".,o,/,.,← 3\n.,.,.,.,2 →\n.,o,/,.,←1\n{KEY}")),
        ("numbers on both edges in turn", format!(",.,o,/,.,3\n2,.,.,.,.,\n,.,o,/,.,1\n{KEY}")),
        ("ordinals", format!(".,o,/,.,3rd\n.,.,.,.,2nd\n.,o,/,.,1st\n{KEY}")),
        ("ordinals beside counts", format!(".,o,/,.,3rd,4 sts\n.,.,.,.,2nd,4 sts\n.,o,/,.,1st,4 sts\n{KEY}")),
        ("remarks on the right", ".,o,/,.,3,,wash\n.,.,.,.,2,,and\n.,o,/,.,1,,dry\n".to_owned() + KEY),
    ] {
        assert_eq!(rows(&sheet), [LACE], "{what}");
    }
}

/// Each number of two rows stands alone on its edge, and blank squares leave little beside it.
#[test]
fn rows_numbered_on_both_edges_in_turn_are_read_however_few_symbols_they_hold() {
    let key = "\nKey\n,knit\n-,purl\n";
    for (sheet, expected) in [
        ("2,,-,-,,\n,,-,,,1\n", "1 k k p k\n2 p k k p\n"),
        ("2,,-,,,\n,,-,-,,1\n", "1 k p p k\n2 p k p p\n"),
        ("2,,-,,,\n,,-,,,1\n", "1 k k p k\n2 p k p p\n"),
        ("2,,,,,\n,,-,-,,1\n", "1 k p p k\n2 p p p p\n"),
        ("2,,-,-,,\n,,,,,1\n", "1 k k k k\n2 p k k p\n"),
        (",,-,,,3\n2,,,,,\n,,-,-,,1\n", "1 k p p k\n2 p p p p\n3 k k p k\n"),
        (",,-,,,1\n2,,-,-,,\n", "1 k k p k\n2 p k k p\n"),
    ] {
        assert_eq!(rows(&format!("{sheet}{key}")), [expected], "{sheet}");
    }
    // Symbols that are digits number no rows, nor does a title of digits far from a row of symbols.
    assert_eq!(rows("2,.,.,.\n.,.,.,1\n\nKey\n.,knit\n1,purl\n2,purl\n"), ["1 p k k k\n2 k p p p\n"]);
    assert_eq!(rows("2,,,,\n\n.,.,.,.,1\n\nKey\n.,knit\n,purl\n"), ["1 k k k k\n"]);
}

/// Every row begins with a blank square: k on RS rows, p on WS rows, where the rest of the sheet says that it is a stitch.
#[test]
fn a_blank_column_at_an_open_edge_is_read_as_the_sheet_tells() {
    const ASSUMED: &str = "blank-assumed";
    let chart = ";-;o;/;.\n;.;.;-;.\n;.;o;/;.\n";
    let numbered = ";-;o;/;.;3\n;.;.;-;.;2\n;.;o;/;.;1\n";
    let key = "\nKey\n;knit\n-;purl\n.;knit\no;yo\n/;k2tog\n";
    let wide = "1 k k2tog yo k k\n2 p p p k p\n3 k k2tog yo p k\n";
    let narrow = "1 k k2tog yo k\n2 p p k p\n3 k k2tog yo p\n";
    let counted: String = chart.lines().fold(String::new(), |all, line| all + line + ";5 sts\n");
    for (what, sheet, expected) in [
        ("the cast-on", format!("Cast on: 5\n\n{chart}"), wide),
        ("the cast-on of a chart with numbers", format!("Cast on: 5\n\n{numbered}"), wide),
        ("a cast-on in a sentence", format!("Cast on 5 sts.\n\n{chart}"), wide),
        ("a multiple", format!("Multiple of 3 sts + 2.\n\n{chart}"), wide),
        ("counts at the ends", counted, wide),
        ("numbers of columns", format!("5;4;3;2;1\n{chart}"), wide),
        ("the columns of the repeat", format!("Repeat columns: 1-5\n\n{chart}"), wide),
        ("a sentence of columns", format!("Repeat columns 2-5.\n\n{chart}"), wide),
        ("nothing", chart.to_owned(), narrow),
        ("nothing, with numbers", numbered.to_owned(), narrow),
    ] {
        let sheet = sheet + key;
        assert_eq!(rows(&sheet), [expected], "{what}");
        assert!(said(&sheet).iter().any(|said| said.starts_with(ASSUMED)), "{what}: {:?}", said(&sheet));
    }
    // Another row reaches to the edge; the cast-on says that the column is none; and a margin that nothing stands in.
    let full = format!(";-;o;/;.\n.;.;.;-;.\n;.;o;/;.\n{key}");
    let margin = format!("Cast on: 4\n\n{chart}{key}");
    let free =
        ";;Lace;\n;;.;o;/;.\n;;.;-;.;.\n\n;;Key\n;;blank: knit\n;;-;purl\n;;.;knit\n;;o;yo\n;;/;k2tog\n"
            .to_owned();
    for (sheet, expected) in [(full, wide), (margin, narrow), (free, "1 k k p k\n2 p yo p2tog p\n")] {
        assert_eq!(rows(&sheet), [expected], "{sheet}");
        assert!(!said(&sheet).iter().any(|said| said.starts_with(ASSUMED)), "{sheet}: {:?}", said(&sheet));
    }
    // A chart too narrow for its cast-on has no more columns on the right where nothing is drawn.
    let short = ".;o;/;.\n.;.;-;.\n\nCast on: 6\n".to_owned() + key;
    assert_eq!(
        said(&short),
        ["rows-not-numbered odd.csv, line 1, column 1", "cast-on-mismatch odd.csv, line 2, column 1"]
    );
}

/// Blank is knit, and the stitches that stand beyond the symbols on the side without row numbers are lost, if there are any:
/// nothing tells. A count of any row does.
#[test]
fn blank_cells_beyond_an_edge_that_nothing_tells_are_said() {
    let key = "\nKey\no,yo\n/,k2tog\n,k\n";
    let blanks = |sheet: &str| -> Vec<String> {
        let read = read(sheet);
        let found = read.charts[0].findings.iter().filter(|finding| finding.code.name() == "blank-assumed");
        found.map(|finding| finding.message.clone()).collect()
    };
    for (what, sheet, said) in [
        (
            "numbers on the right, a blank column before them",
            ",o,/,,,2\n,,o,/,,1\n",
            "Column E holds nothing in any row, and was read as stitches of the chart: blank cells up to the row numbers \
             are. Blank cells left of column B were not: nothing tells whether they are.",
        ),
        (
            "numbers on the left, a blank column behind them",
            "2,,o,/,,\n1,,,o,/,,,\n",
            "Column B holds nothing in any row, and was read as stitches of the chart: blank cells up to the row numbers \
             are. Blank cells right of column E were not: nothing tells whether they are.",
        ),
        (
            "numbers on the left alone",
            "2,o,/,,\n1,o,/,,\n",
            "Blank cells right of column C were not read as stitches of the chart: nothing tells whether they are.",
        ),
        (
            "no numbers, and a margin",
            ",o,/,,\n,,o,/,\n",
            "Column A holds nothing in any row, and was taken as a margin in front of the chart, not as stitches of it. \
             Blank cells right of column D were not: nothing tells whether they are.",
        ),
    ] {
        assert_eq!(blanks(&format!("{sheet}{key}")), [said], "{what}");
    }
    // Five stitches, by the count of Row 2: two on the right are blank.
    let counted = format!("2,o,/,,,,5 sts\n1,,o,/,,,\n{key}");
    assert_eq!(rows(&counted), ["1 k k k2tog yo k\n2 yo p2tog p p p\n"], "{counted}");
    // Every row has a symbol at either end, or nothing is blank.
    for sheet in ["o,/,2\no,/,1\n", "o,.,/\no,.,/\n"] {
        assert!(blanks(&format!("{sheet}\n.,purl\n{key}")).is_empty(), "{sheet}");
    }
}

/// Digits that the key explains are stitches where other numbers count their rows, more of them, or down to Row 1.
#[test]
fn digits_beside_row_numbers_are_stitches() {
    const DIGITS: &str = "\n1,knit\n2,purl\n";
    const SEED: &str = "1 k p k p\n2 p k p k\n3 k p k p\n4 p k p k\n";
    let two: String = SEED.lines().take(2).map(|line| format!("{line}\n")).collect();
    for (what, expected, sheet) in [
        ("numbers on the right", SEED, "1,2,1,2,4\n2,1,2,1,3\n1,2,1,2,2\n2,1,2,1,1\n"),
        ("numbers on the left", SEED, "4,1,2,1,2\n3,2,1,2,1\n2,1,2,1,2\n1,2,1,2,1\n"),
        ("numbers on both edges", SEED, "4,1,2,1,2,4\n3,2,1,2,1,3\n2,1,2,1,2,2\n1,2,1,2,1,1\n"),
        ("in the order of the sheet", SEED, "2,1,2,1,1\n1,2,1,2,2\n2,1,2,1,3\n1,2,1,2,4\n"),
        ("two rows", two.as_str(), "1,2,1,2,2\n2,1,2,1,1\n"),
    ] {
        assert_eq!(rows(&format!("Slipway\n\n{sheet}{DIGITS}")), [expected], "{what}");
    }
    // The key may explain as many digits as there are rows.
    let four = "1,2,3,4,4\n2,1,2,1,3\n1,2,1,2,2\n2,1,2,1,1\n\n1,knit\n2,purl\n3,k tbl\n4,p tbl\n";
    assert_eq!(rows(four), [SEED.replace("4 p k p k", "4 p k ptbl ktbl")]);
    // A chart of two rows beside one of four has numbers of its own.
    let beside = "2,1,2,1,,4,1,2\n1,2,1,2,,3,2,1\n,,,,,2,1,2\n,,,,,1,2,1\n";
    let expected = ["1 p k p\n2 p k p\n", "1 k p\n2 p k\n3 k p\n4 p k\n"];
    assert_eq!(rows(&format!("{beside}{DIGITS}")), expected);
}

/// What heads the row numbers is no title: that is the line above, or the name of the file.
#[test]
fn a_heading_of_the_row_numbers_is_no_title() {
    let title = |head: &str| {
        let read = read(&format!("{head}.,o,/,.,3\n.,.,.,.,2\n.,o,/,.,1\n{KEY}"));
        let pattern = read.charts[0].sound().unwrap();
        assert!(pattern.notes.is_empty(), "{head}: {:?}", pattern.notes);
        pattern.title.clone()
    };
    for (head, expected) in [
        (",,,,Row\n", "odd"),
        (",,,,Rnd.\n", "odd"),
        ("Tide Lines\n,,,,Row no.\n", "Tide Lines"),
        ("Rows\n", "Rows"),
    ] {
        assert_eq!(title(head), expected, "{head}");
    }
}

/// Worked once, a repeat does not show the double yarn over that stands between two workings: no other width is promised.
#[test]
fn a_repeat_of_yarn_overs_at_both_edges_serves_its_own_width() {
    let sheet =
        |cast_on: &str| format!("{cast_on}Repeat columns: 2-4\n.,o,S,o,.,3\n.,.,.,.,.,1\n{KEY}S,s2kp\n");
    let once = read(&sheet(""));
    let pattern = once.charts[0].sound().unwrap();
    assert_eq!((pattern.multiple, pattern.cast_on), (None, 5));
    assert!(pattern.rows.iter().all(|row| row.repeat.is_none()));
    assert!(said(&sheet("")).contains(&"repeat-written-out odd.csv, line 2, column 1".to_owned()));
    // "K1, yo, *s2kp, yo twice; rep from * to last 5 sts, s2kp, yo, k1": the rows of 8 and 11 stitches are those of each other.
    let twice = read(&sheet("Cast on: 8\n"));
    assert_eq!(
        twice.charts[0].sound().unwrap().multiple.map(|multiple| (multiple.of, multiple.plus)),
        Some((3, 2))
    );
}

/// A chart of right-side rows may end with a return row of its own, or with one that leaves nothing to return.
#[test]
fn right_side_charts_end_where_their_rows_do() {
    let lace = "3 k k2tog yo k\n4 p p p p\n";
    let sheet = format!(".,.,.,-,8\n.,o,/,.,7\n.,o,/,.,5\n.,o,/,.,3\n.,o,/,.,1\n{KEY}");
    let [one, five, seven] = [1, 5, 7].map(|row| format!("{row} k k2tog yo k\n"));
    let expected = format!("{one}2 p p p p\n{lace}{five}6 p p p p\n{seven}8 p p p k\n");
    assert_eq!(rows(&sheet), [expected]);
    let told = read(&sheet).charts[0].findings[0].message.clone();
    assert!(told.ends_with("the rows between were derived. Row 8 is drawn too."), "{told}");
    let cast_off = format!("x,x,x,x,5\n.,o,/,.,3\n.,o,/,.,1\n{KEY}x,bo\n");
    assert_eq!(rows(&cast_off), [format!("{one}2 p p p p\n{lace}5 bo bo bo bo\n")]);
    // Odd rows are drawn; that the first one is not is told.
    let late = format!(".,o,/,.,9\n.,o,/,.,7\n.,o,/,.,5\n.,o,/,.,3\n.,.,.,-,2\n{KEY}");
    assert!(rows(&late)[0].starts_with(&format!("2 p p p k\n{lace}{five}")), "{:?}", rows(&late));
    assert!(said(&late).iter().any(|said| said.starts_with("rows-begin-later")), "{:?}", said(&late));
}

/// A line that begins as a setting does stays a note where it says nothing that the setting can be.
#[test]
fn a_setting_in_other_words_is_no_title() {
    for (head, title, note) in [
        ("Cast on: as you like\n", "odd", "Cast on: as you like"),
        ("Tide Lines\nCharted: mostly\n", "Tide Lines", "Charted: mostly"),
    ] {
        let read = read(&format!("{head}.,o,/,.,1\n{KEY}"));
        let pattern = read.charts[0].sound().unwrap();
        assert_eq!((pattern.title.as_str(), &pattern.notes[..]), (title, &[note.to_owned()][..]), "{head}");
    }
}

#[test]
fn charts_side_by_side_are_all_read() {
    let left = format!("2,.,-,,2,-,.\n1,-,.,,1,.,-\n{KEY}");
    assert_eq!(rows(&left), ["1 k p\n2 p k\n", "1 p k\n2 k p\n"]);
    let right = format!(".,-,2,,-,.,2\n-,.,1,,.,-,1\n{KEY}");
    assert_eq!(rows(&right), ["1 k p\n2 p k\n", "1 p k\n2 k p\n"]);
}

#[test]
fn letters_over_columns_are_no_row() {
    let sheet = format!("A,B,C,D,\n.,o,/,.,2\n.,.,.,.,1\n{KEY}");
    assert_eq!(rows(&sheet), ["1 k k k k\n2 p yo p2tog p\n"]);
}

#[test]
fn what_is_left_aside_is_said() {
    let totals = format!(".,o,/,.,3,4\n.,.,.,.,2,4\n.,o,/,.,1,4\n{KEY}");
    assert_eq!(rows(&totals), [LACE]);
    assert_eq!(said(&totals), ["cells-left-aside odd.csv, line 1, column 6"]);
}

#[test]
fn what_can_not_be_read_is_told_at_its_place() {
    for (what, sheet, told) in [
        (
            "a row numbered 0",
            format!(".,.,2\n.,.,1\n.,.,0\n{KEY}"),
            "row-number-order odd.csv, line 3, column 3",
        ),
        (
            "a cell too many that moves the row's number",
            format!(".,o,/,.,.,3\n.,.,.,.,2\n.,o,/,.,1\n{KEY}"),
            "count-mismatch odd.csv, line 1, column 1",
        ),
        (
            "a first row without a number",
            format!(".,.,.,.,3\n.,.,.,.,2\n.,.,.,.,\n{KEY}"),
            "row-number-gap odd.csv, line 3, column 1",
        ),
        (
            "a row of one symbol and blank squares without a number, below",
            ".,-,.,2\n.,.,.,1\n,-,\n\nKey\n,knit\n.,knit\n-,purl\n".to_owned(),
            "row-number-gap odd.csv, line 3, column 2",
        ),
        (
            "the same above, where a title would stand",
            ",-,\n.,-,.,2\n.,.,.,1\n\nKey\n,knit\n.,knit\n-,purl\n".to_owned(),
            "row-number-gap odd.csv, line 1, column 2",
        ),
        (
            "a row of two symbols that are letters",
            "o,,/,,\n.,-,.,.,.,2\n.,.,.,.,.,1\n\nKey\n,knit\n.,knit\n-,purl\no,yo\n/,k2tog\n".to_owned(),
            "row-number-gap odd.csv, line 1, column 1",
        ),
        (
            "a row whose symbols no key explains, above, where a title would stand",
            format!("x,x,x,x,\n.,o,/,.,2\n.,.,.,.,1\n{KEY}"),
            "row-number-gap odd.csv, line 1, column 1",
        ),
        (
            "the same below, some of its symbols in the key",
            format!(".,o,/,.,3\n.,.,.,.,1\nx,.,.,x,\n{KEY}"),
            "row-number-gap odd.csv, line 3, column 1",
        ),
        (
            "a chart on its side, its rows named along the bottom",
            format!("4,.,.\n3,o,.\n2,/,.\n1,.,.\n,Rnd 1,Rnd 2\n{KEY}"),
            "chart-turned odd.csv, line 5, column 2",
        ),
        (
            "a chart on its side, its stitches named",
            format!("St 1,.,.,-\nSt 2,o,.,-\nSt 3,/,.,-\n{KEY}"),
            "chart-turned odd.csv, line 1, column 1",
        ),
        (
            "an entry of a key without a heading that names no stitch",
            ".,q,2\n.,.,1\n\n.,knit 1\nq,wiggle the needle\n".to_owned(),
            "unknown-key-words odd.csv, line 5, column 2",
        ),
        ("a key and no chart", KEY.to_owned(), "no-chart odd.csv"),
        ("numbers alone", "3\n2\n1\n".to_owned(), "no-chart odd.csv"),
        ("blanks alone", " , ,\n ,,\n".to_owned(), "no-chart odd.csv"),
        ("a blank row", format!(".,.,3\n,,2\n.,.,1\n{KEY}"), "blank-cell odd.csv, line 2, column 1"),
        (
            "a spreadsheet's error",
            format!("#NAME?,o,/,.,1\n{KEY}"),
            "unknown-symbol odd.csv, line 1, column 1",
        ),
        (
            "a row of no stitches",
            "x,x,2\n.,.,1\n\nKey\n.,knit\nx,no stitch\n".to_owned(),
            "count-mismatch odd.csv, line 1, column 1",
        ),
        (
            "a row of yarn overs",
            format!("o,o,o,2\n.,.,.,1\n{KEY}"),
            "count-mismatch odd.csv, line 1, column 1",
        ),
        ("a wild gap", format!(".,.,99999\n.,.,1\n{KEY}"), "row-number-gap odd.csv, line 1, column 3"),
        ("a cast-on of none", format!("Cast on: 0\n.,.,1\n{KEY}"), "wrong-setting odd.csv, line 1, column 1"),
    ] {
        let said = said(&sheet);
        assert!(said.contains(&told.to_owned()), "{what}: {said:?}");
        assert!(read(&sheet).charts.iter().all(|chart| chart.sound().is_none()), "{what}: not written");
    }
}

/// Two yarn overs meet at the joint of the repeat: one double yarn over, returned (p1, k1).
#[test]
fn yarn_overs_meet_at_the_edge_of_the_repeat() {
    let sheet = format!("Repeat columns: 2-5\nCast on: 10\n.,o,/,\\,o,.,3\n.,o,/,\\,o,.,1\n{KEY}");
    let row = "k yo ssk k2tog yo2 ssk k2tog yo k";
    let back = "p p p p p k p p p p";
    assert_eq!(rows(&sheet), [format!("1 {row}\n2 {back}\n3 {row}\n4 {back}\n")]);
}

#[test]
fn very_wide_and_very_tall_sheets_are_read() {
    let wide = format!("{}1\n{KEY}", "o,/,".repeat(8_000));
    assert_eq!(read(&wide).charts[0].sound().unwrap().rows[0].stitches.len(), 16_000);
    let tall: String = (1..=5_000).rev().fold(String::new(), |mut text, number| {
        let _ = writeln!(text, ".,o,/,{number}");
        text
    });
    assert_eq!(read(&(tall + KEY)).charts[0].sound().unwrap().rows.len(), 5_000);
}

/// At its own width the chart adds up: 5, 5. In each further working row 1 makes k, k2tog, k, yo = 4 stitches, and row 2
/// uses p, yo, p2tog, yo = 3 of them: on a cast-on of 9, row 2 would use 8.
#[test]
fn rows_that_add_up_at_one_width_only_are_told() {
    let sheet = |cast_on: &str, row_2: &str| {
        format!("{cast_on}\nRepeat columns: 2-5\n\n2,{row_2},\n,k,k2tog,k,yo,p,1\n")
    };
    for cast_on in ["\"Sizes: S = 1, M = 2\"", "Cast on: 5", ""] {
        let uneven = sheet(cast_on, "p,yo,p2tog,yo,p2tog");
        let told = said(&uneven).iter().any(|told| told.starts_with("count-mismatch odd.csv, line 4"));
        assert!(told && read(&uneven).charts[0].sound().is_none(), "{cast_on}: {:?}", said(&uneven));
        assert!(read(&sheet(cast_on, "p,p,p,p,p")).charts[0].sound().is_some(), "{cast_on}");
    }
}

/// With one repeat the two yarn overs never meet, so that no words of that size could serve the others.
#[test]
fn a_first_size_that_hides_what_the_others_work_is_told() {
    let sheet = |times: u32| {
        format!("Repeat columns: 2-5\n\"Sizes: S = {times}, M = 4\"\n.,o,/,\\,o,.,3\n.,o,/,\\,o,.,1\n{KEY}")
    };
    assert!(said(&sheet(1)).contains(&"repeat-does-not-fit odd.csv, line 4, column 1".to_owned()));
    assert!(read(&sheet(1)).charts[0].sound().is_none());
    assert!(read(&sheet(2)).charts[0].sound().is_some());
}

/// The point of a triangle, counted at the ends of its rows: "1st" is one stitch there, and no first row. Row 1 works two
/// of three stitches together, Row 2 the two that are left.
#[test]
fn one_stitch_is_a_count_among_counts() {
    let read = read(&format!("2,/,,1st\n1,.,/,2st\n{KEY}"));
    let pattern = read.charts[0].sound().unwrap_or_else(|| panic!("{:?}", read.charts[0].findings));
    let stated: Vec<(u32, Option<u32>)> = pattern.rows.iter().map(|row| (row.number, row.stated)).collect();
    assert_eq!(stated, [(1, Some(2)), (2, Some(1))]);
}

/// A flat ods: the style of the sheet, and its rows, each cell with its value or with a tag of its own.
fn fods(style: &str, rows: &[&[&str]]) -> Charts {
    let mut table = String::new();
    for row in rows {
        table.push_str("<table:table-row>");
        for cell in *row {
            let _ = match *cell {
                tag if tag.starts_with('<') => write!(table, "{tag}"),
                "" => write!(table, "<table:table-cell/>"),
                text => write!(table, "<table:table-cell><text:p>{text}</text:p></table:table-cell>"),
            };
        }
        table.push_str("</table:table-row>");
    }
    let file = format!(
        r#"<?xml version="1.0"?><office:document office:mimetype="application/vnd.oasis.opendocument.spreadsheet">
        <office:automatic-styles><style:style style:name="ta1" style:family="table"><style:table-properties {style}/></style:style>
        <style:style style:name="out" style:family="table-cell"><style:text-properties style:text-line-through-style="solid"/></style:style>
        </office:automatic-styles><office:body><office:spreadsheet><table:table table:name="Lace" table:style-name="ta1">{table}</table:table>
        </office:spreadsheet></office:body></office:document>"#
    );
    convert::charts(&"odd.fods".into(), file.as_bytes(), None, &Settings::default(), &Settings::default())
}

/// Codes and places of what is told of charts and, behind them, apart.
fn told(read: &Charts) -> Vec<String> {
    let charts = read.charts.iter().flat_map(|chart| &chart.findings);
    charts.chain(&read.findings).map(|finding| format!("{} {}", finding.code, finding.place)).collect()
}

/// Seen with column A at the right edge, the chart is the mirror image of what its cells say.
#[test]
fn a_sheet_that_runs_from_right_to_left_is_not_read_as_its_mirror_image() {
    let rows: &[&[&str]] = &[
        &[".", "o", "/", ".", "2"],
        &[".", ".", ".", ".", "1"],
        &[],
        &["Key"],
        &[".", "knit"],
        &["o", "yo"],
        &["/", "k2tog"],
    ];
    let read = fods(r#"style:writing-mode="rl-tb""#, rows);
    assert!(read.charts[0].sound().is_none());
    assert!(told(&read).contains(&"right-to-left odd.fods, sheet Lace".to_owned()), "{:?}", told(&read));
    let read = fods(r#"style:writing-mode="lr-tb""#, rows);
    assert!(read.charts[0].sound().is_some(), "{:?}", told(&read));
}

/// A line through a cell may mean that it is out, or only that its row is done.
#[test]
fn struck_out_cells_are_read_and_told() {
    let out = |text: &str| {
        format!(r#"<table:table-cell table:style-name="out"><text:p>{text}</text:p></table:table-cell>"#)
    };
    let (yo, key) = (out("o"), out("yo"));
    let rows: &[&[&str]] = &[
        &[".", &yo, "/", ".", "2"],
        &[".", ".", ".", ".", "1", r#"<table:table-cell table:style-name="out"/>"#],
        &[],
        &["Key"],
        &[".", "knit"],
        &["o", &key],
        &["/", "k2tog"],
    ];
    let read = fods("", rows);
    assert!(read.charts[0].sound().is_some());
    assert_eq!(
        told(&read),
        ["struck-cell odd.fods, sheet Lace, cell B1", "struck-cell odd.fods, sheet Lace, cell B6"]
    );
    assert_eq!(
        read.charts[0].findings[0].message,
        "What B1 holds is struck out; it was read as if it were not."
    );
}

/// 2:02 as LibreOffice keeps it, which a part of a day stands for: 122 minutes of 1,440.
#[test]
fn a_symbol_that_became_a_number_is_told_as_one() {
    let time = r#"<table:table-cell office:value-type="time" office:time-value="PT02H02M00S"><text:p>2:02</text:p></table:table-cell>"#;
    let half = r#"<table:table-cell office:value-type="float" office:value="0.5"><text:p>1/2</text:p></table:table-cell>"#;
    for (cell, help) in [
        (time, "the number 0.08472222222222223 of it: format the cell as text"),
        (half, "the number 0.5 of it: format the cell as text"),
        ("Q", "Add \"Q\" to the key"),
    ] {
        let read = fods("", &[&[".", cell, ".", "1"], &[], &["Key"], &[".", "knit"], &["2:02", "yo"]]);
        let helps: Vec<&str> = read.charts[0].findings.iter().map(|finding| &*finding.help).collect();
        assert!(helps.iter().any(|said| said.contains(help)), "{helps:?}");
    }
}
