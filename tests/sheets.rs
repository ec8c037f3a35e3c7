//! Sheets as designers keep them, with lines, fills, merged and hidden cells: what each chart must give, worked out by hand, and
//! what must be said where something was assumed.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

use std::sync::Arc;

use longhand::chart::{self, Chart};
use longhand::grid::{Cell, Colour, Edge, Grid, Look, Value, Workbook};
use longhand::place::{Address, Span};
use longhand::settings::Settings;

const KEY: &str = "\nKey\no,yo\n/,k2tog\n-,purl\n,knit\n";

/// A sheet under way. Cells are named as in spreadsheets, "B4:D6".
struct Sheet(Grid);

impl Sheet {
    /// From lines with commas; what is a number is one.
    fn new(lines: &str) -> Self {
        let mut grid = Grid::sheet(Arc::from("sheet.xlsx"), "Chart");
        for (row, line) in (0..).zip(lines.lines()) {
            for (column, text) in (0..).zip(line.split(',')).filter(|(_, text)| !text.is_empty()) {
                let value = text.parse().map_or_else(|_| Value::Text(text.into()), Value::Number);
                grid.cells.push(Cell { at: Address::new(row, column), value });
            }
        }
        Self(grid)
    }

    /// A line around some cells.
    fn frame(mut self, cells: &str, edge: Edge) -> Self {
        let Span { first, last } = span(cells);
        for row in first.row..=last.row {
            for column in first.column..=last.column {
                let line = |at_edge: bool| at_edge.then_some(edge);
                let look = self.look(row, column);
                look.left = line(column == first.column).or(look.left);
                look.right = line(column == last.column).or(look.right);
                look.top = line(row == first.row).or(look.top);
                look.bottom = line(row == last.row).or(look.bottom);
            }
        }
        self
    }

    fn merge(mut self, cells: &str) -> Self {
        self.0.merges.push(span(cells));
        self
    }

    fn hide(mut self, columns: &str) -> Self {
        for letter in columns.bytes() {
            let column = u32::from(letter - b'A');
            self.0.hidden_columns.add(column, column, ());
        }
        self
    }

    fn hide_rows(mut self, first: u32, last: u32) -> Self {
        self.0.hidden_rows.add(first - 1, last - 1, ());
        self
    }

    fn fill(mut self, cells: &[&str], colour: [u8; 3]) -> Self {
        for Span { first, .. } in cells.iter().map(|cell| span(cell)) {
            self.look(first.row, first.column).fill = Some(Colour(colour));
        }
        self
    }

    /// Lines that are drawn along some edges of some cells alone: "rtb" on the right, at the top, at the bottom.
    fn lines(mut self, cells: &str, edges: &str) -> Self {
        let Span { first, last } = span(cells);
        for row in first.row..=last.row {
            let line = |at_edge: bool, edge: char| (at_edge && edges.contains(edge)).then_some(THIN);
            let look = self.look(row, first.column);
            look.right = line(true, 'r').or(look.right);
            look.top = line(row == first.row, 't').or(look.top);
            look.bottom = line(row == last.row, 'b').or(look.bottom);
        }
        self
    }

    fn look(&mut self, row: u32, column: u32) -> &mut Look {
        let looks = &mut self.0.looks.cells;
        let at = Address::new(row, column);
        let index = looks.binary_search_by_key(&at, |(at, _)| *at).unwrap_or_else(|index| {
            looks.insert(index, (at, Look::default()));
            index
        });
        &mut looks[index].1
    }

    fn read(self) -> Vec<Chart> {
        let workbook = Workbook { file: Arc::from("sheet.xlsx"), sheets: vec![self.0] };
        chart::read(&workbook, &Settings::default(), &Settings::default()).0
    }

    fn one(self) -> Chart {
        let mut charts = self.read();
        assert_eq!(charts.len(), 1);
        charts.remove(0)
    }
}

fn span(cells: &str) -> Span {
    let address = |cell: &str| {
        let (letter, row) = cell.split_at(1);
        Address::new(row.parse::<u32>().unwrap() - 1, u32::from(letter.as_bytes()[0] - b'A'))
    };
    let (first, last) = cells.split_once(':').unwrap_or((cells, cells));
    Span::new(address(first), address(last))
}

const THIN: Edge = Edge { heavy: false, colour: Colour::BLACK };
const HEAVY: Edge = Edge { heavy: true, colour: Colour::BLACK };

/// The rows of a chart, "1 k k2tog yo".
fn rows(chart: &Chart) -> Vec<String> {
    let pattern = chart.pattern.as_ref().unwrap_or_else(|| panic!("{:?}", chart.findings));
    let names = |row: &longhand::pattern::Row| {
        let names = row.stitches.iter().map(|&id| pattern.stitches.get(id).name.as_str());
        names.fold(row.number.to_string(), |all, name| all + " " + name)
    };
    pattern.rows.iter().map(names).collect()
}

/// The messages of a kind.
fn said(chart: &Chart, kind: &str) -> Vec<String> {
    let of_kind = chart.findings.iter().filter(|finding| finding.code.name() == kind);
    of_kind.map(|finding| finding.message.clone()).collect()
}

/// Two blank columns on either side of the symbols within the frame, one between it and the numbers: k2, yo, k2tog on the
/// left as drawn, read from the right.
#[test]
fn a_thin_frame_tells_how_far_blank_stitches_reach() {
    let lines = format!("Sand Lace\n,,,,o,/,,,,2\n,,,,,-,,,,1\n{KEY}");
    let framed = Sheet::new(&lines).frame("C2:H3", THIN).one();
    assert_eq!(rows(&framed), ["1 k k p k k k", "2 p p yo p2tog p p"]);
    assert!(said(&framed, "blank-assumed").is_empty(), "{:?}", framed.findings);
    // Without the frame the column before the numbers is a stitch, and those on the left may be.
    let bare = Sheet::new(&lines).one();
    assert_eq!(rows(&bare), ["1 k k k p k", "2 yo p2tog p p p"]);
    assert_eq!(
        said(&bare, "blank-assumed"),
        [
            "Columns G, H, I hold nothing in any row, and were read as stitches of the chart: blank cells up to the row \
          numbers are. Blank cells left of column E were not: nothing tells whether they are."
        ]
    );
    // A heavy one is the box of a repeat; that the column behind it is a stitch is assumed.
    let boxed = Sheet::new(&lines).frame("C2:H3", HEAVY).one();
    assert_eq!(rows(&boxed), ["1 k k k p k k k", "2 p p yo p2tog p p p"]);
    assert_eq!(
        said(&boxed, "blank-assumed"),
        [
            "Columns C, D hold nothing in any row, and were read as stitches of the chart: the box of the repeat takes them \
          in. Columns G, H, I hold nothing in any row, and were too: blank cells up to the row numbers are."
        ]
    );
}

/// How many rows there are, told beside the chart, below it, in the column of its numbers: no row has that number.
#[test]
fn a_count_of_rows_is_held_against_the_chart() {
    let (four, odd) = ("o,/,4\n,,3\no,/,2\n,,1\n", "o,/,3\n/,o,1\n");
    for (what, sheet, wrong) in [
        ("below", format!("{four}\n4 rows\n"), None),
        (
            "below, wrong",
            format!("{four}\n28 rows\n"),
            Some("\"28 rows\" was kept as a note: the chart has 4."),
        ),
        (
            "in the column of numbers",
            format!("{four},,28 rows\n"),
            Some("\"28 rows\" was kept as a note: the chart has 4."),
        ),
        (
            "beside a row",
            four.replace("2\n", "2,28 rows\n"),
            Some("\"28 rows\" was kept as a note: the chart has 4."),
        ),
        ("above", format!("Tide\nRows: 5\n{four}"), Some("\"Rows: 5\" was kept as a note: the chart has 4.")),
        ("with rows that are not drawn", format!("{odd}\n4 rows in total\n"), None),
        ("drawn rows", format!("{odd}\n2 rows\n"), None),
        (
            "neither",
            format!("{odd}\n3 rows\n"),
            Some("\"3 rows\" was kept as a note: the chart draws 2 of 4."),
        ),
        ("a gauge", format!("{four}\nGauge\n23 sts\n28 rows\n"), None),
        (
            "a table",
            format!("{four}\nRows,28\nSts,4\n"),
            Some("\"Rows: 28\" was kept as a note: the chart has 4."),
        ),
    ] {
        let chart = Sheet::new(&format!("{sheet}{KEY}")).one();
        assert_eq!(rows(&chart).len(), 4, "{what}");
        assert_eq!(said(&chart, "sentence-not-followed"), wrong.into_iter().collect::<Vec<_>>(), "{what}");
    }
    // On the left, where the chart would begin without it.
    let left = Sheet::new(&format!("Tide\n28 rows,o,/,3\n,o,/,2\n,o,/,1\n{KEY}")).one();
    assert_eq!(rows(&left), ["1 k2tog yo", "2 yo p2tog", "3 k2tog yo"]);
    assert_eq!(left.pattern.as_ref().unwrap().notes, ["28 rows"]);
}

/// Rows 3 and 4 of four are worked three times: a box stands around them, or a bracket beside them. Where it is not sure that
/// it is those rows, and so often, it stays a note.
#[test]
fn rows_that_a_bracket_sets_apart_are_worked_as_often_as_it_says() {
    let sheet = |row: usize, told: &str| {
        let lines = ["o,/,4", "-,-,3", "o,/,2", "-,-,1"].iter().enumerate();
        let lines =
            lines.map(|(at, line)| if at == row { format!("{line}{told}\n") } else { format!("{line}\n") });
        Sheet::new(&(lines.collect::<String>() + KEY))
    };
    let red = Edge { heavy: false, colour: Colour([255, 0, 0]) };
    let number = |(number, row): (usize, &str)| format!("{number} {row}");
    let in_all: Vec<String> = (1..=8).zip(["p p", "yo p2tog"].into_iter().cycle()).map(number).collect();
    for (what, sheet) in [
        ("a heavy box", sheet(0, ",x3").frame("A1:B2", HEAVY)),
        ("a red box", sheet(1, ",x3").frame("A1:B2", red)),
        ("a box with the numbers", sheet(1, ",work 3 times").frame("A1:C2", HEAVY)),
        ("a bracket", sheet(0, ",,x3").lines("D1:D2", "rtb")),
        ("a bracket on the cell", sheet(1, ",3x").lines("D1:D2", "rtb")),
        ("a bracket in words", sheet(1, ",Rep these 2 rows twice more.").lines("D1:D2", "rtb")),
        ("rows by name", sheet(1, ",Rep Rows 3 and 4 twice more").lines("D1:D2", "rtb")),
        ("a merged cell", sheet(0, ",× 3").merge("D1:D2")),
    ] {
        let chart = sheet.one();
        assert_eq!(rows(&chart), in_all, "{what}");
        assert!(chart.pattern.as_ref().unwrap().notes.is_empty(), "{what}");
        let told = said(&chart, "rows-told");
        assert!(
            told[0].ends_with("Rows 3 and 4 are worked 3 times, and were written out as Rows 3 to 8."),
            "{what}: {told:?}"
        );
        assert!(said(&chart, "sentence-not-followed").is_empty(), "{what}: {:?}", chart.findings);
    }
    for (what, sheet, note) in [
        ("no sure number", sheet(1, ",rep 3 times").frame("A1:C2", HEAVY), "Rows 3 and 4: rep 3 times"),
        ("other rows", sheet(1, ",Work these 3 rows twice").frame("A1:C2", HEAVY), "Work these 3 rows twice"),
        ("a line along all rows", sheet(1, ",x3").lines("B1:B4", "r"), "Row 3: x3"),
        ("a line that does not end", sheet(1, ",x3").lines("B1:B2", "rt"), "Row 3: x3"),
        ("a bracket that is typed", sheet(1, ",] x 3"), "Row 3: ] x 3"),
        ("a row", sheet(1, ",twice"), "Row 3: twice"),
        // Three workings of Row 3 alone would end on its other side.
        ("nothing", sheet(1, ",x3"), "Row 3: x3"),
        ("nothing, far away", sheet(1, ",,x3"), "x3"),
        ("another note", sheet(1, ",dark green").frame("A1:B2", HEAVY), "Row 3: dark green"),
    ] {
        let chart = sheet.one();
        assert_eq!(rows(&chart).len(), 4, "{what}");
        let notes = &chart.pattern.as_ref().unwrap().notes;
        assert!(notes.len() == 1 && notes[0].ends_with(note), "{what}: {notes:?}");
        let told = said(&chart, "sentence-not-followed").len();
        assert_eq!(told, usize::from(!note.contains("green")), "{what}: {:?}", chart.findings);
    }
}

/// Rows 3 and 4 of six are worked three times: what the chart numbers 5 and 6 are Rows 9 and 10. Of right-side rows the rows
/// back are worked with them, and in the round a single one may be worked again.
#[test]
fn rows_behind_those_worked_again_move_on() {
    let sheet = |numbers: [&str; 6], beside: [&str; 6]| {
        let cells = ["/,o", "-,-", "o,/", "-,-", "o,/", "-,-"].iter().zip(numbers).zip(beside);
        let lines: String = cells
            .filter(|((_, number), _)| !number.is_empty())
            .map(|((cells, number), beside)| format!("{cells},{number},{beside}\n"))
            .collect();
        format!("{lines}{KEY}")
    };
    let all = ["6", "5", "4", "3", "2", "1"];
    let chart = Sheet::new(&sheet(all, ["", "dark green", "x3", "", "", ""])).merge("D3:D4").one();
    assert_eq!(
        rows(&chart),
        [
            "1 p p",
            "2 yo p2tog",
            "3 p p",
            "4 yo p2tog",
            "5 p p",
            "6 yo p2tog",
            "7 p p",
            "8 yo p2tog",
            "9 p p",
            "10 p2tog yo"
        ]
    );
    assert_eq!(chart.pattern.as_ref().unwrap().notes, ["Row 9: dark green"]);
    assert_eq!(
        said(&chart, "rows-told"),
        [
            "\"x3\": Rows 3 and 4 are worked 3 times, and were written out as Rows 3 to 8. What the chart numbers from 5 on is \
             numbered from 9 on."
        ]
    );
    // Two brackets: Rows 1 and 2 twice are Rows 1-4, Rows 3 and 4 twice Rows 5-8.
    let chart = Sheet::new(&sheet(all, ["", "", "x2", "", "2x", ""])).merge("D3:D4").merge("D5:D6").one();
    assert_eq!(rows(&chart)[7..], ["8 yo p2tog", "9 p p", "10 p2tog yo"]);
    assert_eq!(
        said(&chart, "rows-told"),
        [
            "\"2x\": Rows 1 and 2 are worked 2 times, and were written out as Rows 1 to 4. What the chart numbers from 3 on is \
             numbered from 5 on.",
            "\"x2\": Rows 3 and 4 are worked 2 times, and were written out as Rows 5 to 8. What the chart numbers from 5 on is \
             numbered from 9 on."
        ]
    );
    // Right-side rows: k2tog, yo and p2 are drawn, and the rows back are purled and knitted. Rows 3-4 are worked three times.
    let odd = ["", "", "5", "3", "1", ""];
    let chart = Sheet::new(&sheet(odd, ["", "", "", "x3", "", ""])).one();
    assert_eq!(
        rows(&chart),
        ["1 k2tog yo", "2 p p", "3 p p", "4 k k", "5 p p", "6 k k", "7 p p", "8 k k", "9 k2tog yo", "10 p p"]
    );
    // In the round one may be worked three times.
    let round = format!("Worked: in the round\n\n{}", sheet(all, ["", "", "", "x3", "", ""]));
    assert_eq!(rows(&Sheet::new(&round).one())[2..6], ["3 p p", "4 p p", "5 p p", "6 k2tog yo"]);
    assert_eq!(
        said(&Sheet::new(&round.replace("x3", "twice")).one(), "rows-told"),
        [
            "\"twice\": Row 3 is worked 2 times, and was written out as Rows 3 and 4. What the chart numbers from 4 on is numbered \
             from 5 on."
        ]
    );
    assert_eq!(rows(&Sheet::new(&round.replace("x3", "work this round 3 times")).one()).len(), 8);
    // Beside each of two it may be said of both together.
    let each = round.replace("4,\n", "4,x3\n");
    assert_eq!(rows(&Sheet::new(&each).one()).len(), 6);
    // All rows so often are how long the piece is.
    let whole = Sheet::new(&sheet(all, ["x3", "", "", "", "", ""])).merge("D1:D6").one();
    assert_eq!(rows(&whole).len(), 6);
    assert_eq!(whole.pattern.as_ref().unwrap().notes, ["Rows 1-6: x3"]);
    // A sentence that numbers rows behind them may mean those of the chart or those that are worked.
    for (sentence, count) in [
        ("Rows 7-8: Rep Rows 5 and 6", 8),
        ("Row 6: yo and p2tog", 6),
        ("Begin the thumb in Row 5.", 6),
        ("Begin the thumb in Row 3.", 10),
    ] {
        let told = format!("Mitten\n{sentence}\n{}", sheet(all, ["", "", "x3", "", "", ""]));
        let told = Sheet::new(&told).merge("D5:D6").one();
        assert_eq!(rows(&told).len(), count, "{sentence}");
        let notes = &told.pattern.as_ref().unwrap().notes;
        assert_eq!(notes.contains(&"Rows 3 and 4: x3".to_owned()), count < 10, "{sentence}: {notes:?}");
    }
}

/// Where the numbers leave as many rows out as are said to be worked again, they are those.
#[test]
fn rows_worked_again_fill_a_gap_of_the_numbers() {
    let chart =
        |told: &str| Sheet::new(&format!("/,o,10\n-,-,9\no,/,4\n-,-,3\no,/,2\n-,-,1\n\n{told}\n{KEY}")).one();
    for told in [
        "Rows 5-8: Rep Rows 3 and 4 twice more",
        "Rep Rows 3 and 4 twice more.",
        "Rep last 2 rows twice more",
    ] {
        let chart = chart(told);
        assert_eq!(rows(&chart)[4..8], ["5 p p", "6 yo p2tog", "7 p p", "8 yo p2tog"], "{told}");
        assert_eq!(rows(&chart)[8..], ["9 p p", "10 p2tog yo"], "{told}");
        assert!(chart.pattern.as_ref().unwrap().notes.is_empty(), "{told}");
    }
    let beside = |told: &str| {
        let lines = format!("/,o,10\n-,-,9\no,/,4,{told}\n-,-,3\no,/,2\n-,-,1\n{KEY}");
        Sheet::new(&lines).merge("D3:D4").one()
    };
    assert_eq!(rows(&beside("x3")), rows(&chart("Rows 5-8: Rep Rows 3 and 4 twice more")));
    assert_eq!(
        said(&beside("x3"), "rows-told"),
        ["\"x3\": Rows 3 and 4 are worked 3 times, and were written out as Rows 3 to 8."]
    );
    // Right-side rows: Rows 5-8 work Rows 1-4 again, k2tog, yo and purl.
    let odd = Sheet::new(&format!("/,o,9\n-,-,3\no,/,1\n\nRows 5-8: Rep Rows 1-4\n{KEY}")).one();
    assert_eq!(rows(&odd)[4..8], ["5 k2tog yo", "6 p p", "7 p p", "8 k k"]);
    assert_eq!(rows(&odd)[8..], ["9 yo k2tog", "10 p p"]);
    for told in ["x2", "x5"] {
        assert!(!said(&beside(told), "row-number-gap").is_empty(), "{told}");
    }
    for told in ["Rep Rows 3 and 4 once more", "Rows 5-6: Rep Rows 3 and 4", "Rows 5-8: see page 3"] {
        let chart = chart(told);
        assert!(chart.pattern.is_none(), "{told}");
        assert!(!said(&chart, "row-number-gap").is_empty(), "{told}: {:?}", chart.findings);
    }
}

/// Six rows with numbers at their right edge, from the top, and perhaps at their left.
fn numbered(left: &[u32], right: &[u32]) -> Chart {
    let lines = ["o,/", "-,-", "/,o", "-,-", "o,/", "-,-"].iter().enumerate().take(right.len());
    let lines = lines.map(|(row, symbols)| {
        let left = left.get(row).map_or_else(String::new, |number| format!("{number},"));
        format!("{left}{symbols},{}\n", right[row])
    });
    Sheet::new(&(lines.collect::<String>() + KEY)).one()
}

/// One number mistyped is one finding, at its cell; the chart is not read.
#[test]
fn a_number_that_was_mistyped_is_told_alone() {
    for (left, right, cell, kind, belongs) in [
        (&[][..], &[4, 3, 3, 1][..], "C3", "row-number-repeated", 2),
        (&[], &[4, 4, 2, 1], "C2", "row-number-repeated", 3),
        (&[], &[6, 5, 4, 4, 2, 1], "C4", "row-number-repeated", 3),
        (&[], &[4, 3, 2, 2], "C4", "row-number-repeated", 1),
        (&[], &[11, 9, 77, 5, 3, 1], "C3", "row-number-order", 7),
        (&[], &[11, 9, 8, 5, 3, 1], "C3", "row-number-order", 7),
        (&[], &[6, 5, 14, 3, 2, 1], "C3", "row-number-order", 4),
        (&[4, 3, 2, 1], &[4, 3, 2, 7], "D4", "row-number-order", 1),
        (&[4, 33, 2, 1], &[4, 3, 2, 1], "A2", "row-number-order", 3),
    ] {
        let chart = numbered(left, right);
        assert!(chart.pattern.is_none(), "{right:?}");
        let wrong: Vec<_> = chart
            .findings
            .iter()
            .filter(|finding| finding.code.name().starts_with("row"))
            .map(|finding| {
                (finding.code.name(), finding.place.to_string(), finding.expected.clone().unwrap())
            })
            .collect();
        let place = format!("sheet.xlsx, sheet Chart, cell {cell}");
        assert_eq!(wrong, [(kind, place, belongs.to_string())], "{left:?} {right:?}");
    }
    // A last row far from the others is a gap, and one alone: right-side rows are drawn.
    let gap = numbered(&[], &[110, 9, 7, 5, 3, 1]);
    assert_eq!(said(&gap, "row-number-gap"), ["Rows 11 to 109 are missing: Row 110 follows Row 9."]);
}

/// The chart is read by the numbers that go to 1; those on its other edge are told of.
#[test]
fn numbers_of_another_count_at_the_other_edge_are_told() {
    let chart = numbered(&[4, 3, 2, 1], &[28, 27, 26, 25]);
    assert_eq!(rows(&chart), ["1 p p", "2 p2tog yo", "3 p p", "4 yo p2tog"]);
    assert_eq!(
        said(&chart, "cells-left-aside"),
        [
            "The numbers at the right edge of the chart, 28 to 25, are not those at its left edge, 4 to 1: the rows were read by \
          these."
        ]
    );
}

const CABLES: &str = "\n,,,,,,,,Key\n,,,,,,,,.,knit\n,,,,,,,,C,1/1 LC\n";

/// A cable of two stitches in merged cells of which two columns are shown: it is as wide as that.
#[test]
fn merged_cells_are_as_wide_as_they_are_shown() {
    for (what, hidden, merged) in [
        ("hidden within", "CD", "B2:E2"),
        ("hidden at its beginning", "B", "B2:D2"),
        ("hidden at either end", "BE", "B2:E2"),
    ] {
        let lines =
            format!(".,.,.,.,.,.,2\n.,C,,,{},.,1\n{CABLES}", if merged == "B2:D2" { "." } else { "" });
        let chart = Sheet::new(&lines).merge(merged).hide(hidden).one();
        // 1/1 LC stands behind the first of the stitches on its left; those on its right are worked before.
        let expected = match what {
            "hidden at its beginning" => ["1 k k 1/1lc k", "2 p p p p p"],
            _ => ["1 k 1/1lc k", "2 p p p p"],
        };
        assert_eq!(rows(&chart), expected, "{what}");
    }
    let three = Sheet::new(&format!(".,.,.,.,.,.,2\n.,C,,,,.,1\n{CABLES}")).merge("B2:E2").hide("C").one();
    assert_eq!(said(&three, "merged-cell"), ["The merged cell B2:E2 is 3 cells wide, but \"C\" takes 2."]);
    // A title may begin in a hidden column too.
    let titled =
        Sheet::new(&format!("Sand Cable\n.,.,.,2\n.,.,.,1\n{CABLES}")).merge("A1:C1").hide("A").one();
    assert_eq!(titled.pattern.as_ref().unwrap().title, "Sand Cable");
    assert_eq!(rows(&titled), ["1 k k", "2 p p"]);
}

#[test]
fn a_hidden_column_at_the_edge_is_told() {
    let chart = Sheet::new(&format!(".,.,.,2\n.,.,.,1\n{CABLES}")).hide("C").one();
    assert_eq!(rows(&chart), ["1 k k", "2 p p"]);
    assert_eq!(said(&chart, "hidden-left-out"), ["Hidden in the sheet and left out of the chart: column C."]);
}

/// Three stitches twice, each in a box: the second working may have other symbols for the same stitches.
#[test]
fn boxes_of_the_same_stitches_are_one_repeat() {
    let multiple = |lines: &str| {
        let chart = Sheet::new(&format!("{lines}{KEY}")).frame("B1:D2", HEAVY).frame("E1:G2", HEAVY).one();
        (
            chart.pattern.as_ref().unwrap().multiple.map(|multiple| (multiple.of, multiple.plus)),
            said(&chart, "box-left-aside").len(),
        )
    };
    assert_eq!(multiple("-,o,/,,o,/,,-,2\n-,,,-,,,-,-,1\n"), (Some((3, 2)), 0));
    assert_eq!(multiple("-,o,/,k,O,/,,-,2\n-,k,,-,,k,-,-,1\n"), (Some((3, 2)), 0));
    assert_eq!(multiple("-,o,/,,o,/,-,-,2\n-,,,-,,,-,-,1\n"), (None, 1));
}

/// The columns of two charts side by side are numbered in one line; the repeat is columns 2 and 3 of each.
#[test]
fn each_chart_side_by_side_has_its_own_numbers_of_columns() {
    let charts = Sheet::new(&format!(
        "-,o,/,-,2,,-,-,o,/,2\n-,,,-,1,,-,-,,,1\n4,3,2,1,,,5,4,3,2\nRepeat columns: 2-3\n{KEY}"
    ))
    .read();
    let repeats: Vec<_> = charts
        .iter()
        .map(|chart| {
            let row = chart.pattern.as_ref().unwrap().rows[0].clone();
            row.repeat.map(|repeat| (repeat.start, repeat.length))
        })
        .collect();
    // Behind the p1 of the first chart, at the beginning of the second.
    assert_eq!(repeats, [Some((1, 2)), Some((0, 2))]);
    assert!(charts.iter().all(|chart| said(chart, "cells-left-aside").is_empty()));
}

/// A set-up row stands before right-side rows: it is drawn, and Row 1 follows it.
#[test]
fn a_set_up_row_stands_before_right_side_rows() {
    let chart = Sheet::new(&format!(",o,/,3\n,/,o,1\nSet-up row,-,,\n{KEY}")).one();
    assert_eq!(rows(&chart), ["0 k p", "1 yo k2tog", "2 p p", "3 k2tog yo", "4 p p"]);
    let counted = format!("Charted: right-side\n,o,/,2\n,/,o,1\nSet-up row,-,,\n{KEY}");
    assert_eq!(rows(&Sheet::new(&counted).one()), rows(&chart));
    // Even rows are drawn: Row 1 works what the set-up row leaves.
    let even = Sheet::new(&format!(",o,/,4\n,/,o,2\nSet-up row,-,,\n{KEY}")).one();
    assert_eq!(rows(&even), ["0 k p", "1 k p", "2 yo k2tog", "3 p p", "4 k2tog yo"]);
}

/// What stands in the cells of one line is one note, with its numbers; and a table is no chart, whatever its columns hold.
#[test]
fn a_table_below_a_chart_is_prose() {
    let table = "Size,S,M\nYarn (m),90,110\nNeedles,3,3\nRounds,40,44\n";
    let chart = Sheet::new(&format!("o,/,2\n/,o,1\n{KEY}\n{table}")).one();
    assert_eq!(rows(&chart), ["1 yo k2tog", "2 yo p2tog"]);
    let notes = &chart.pattern.as_ref().unwrap().notes;
    assert_eq!(*notes, ["Size S M", "Yarn (m) 90 110", "Needles 3 3", "Rounds: 40 44"]);
}

/// A row in words that say what shows itself.
#[test]
fn return_rows_as_they_appear_are_told_in_words() {
    let expected = ["1 p yo k2tog", "2 p p k", "3 p k2tog yo", "4 p p k"];
    for told in [
        "WS rows: work sts as they appear",
        "Return rows: work sts as they appear",
        "All even rows: k the k sts and p the p sts",
    ] {
        let chart = Sheet::new(&format!("{told}\no,/,-,3\n/,o,-,1\n{KEY}")).one();
        assert_eq!(rows(&chart), expected, "{told}");
        assert!(said(&chart, "sentence-not-followed").is_empty(), "{told}");
    }
}

/// A box around one column of three is the repeat as one around more is: k1, p1 as often as there are stitches, k1. Two boxes
/// around different stitches are told, although most of the lines between the columns are drawn.
#[test]
fn boxes_in_narrow_charts_are_seen() {
    let red = Edge { heavy: true, colour: Colour([255, 0, 0]) };
    let lines = format!(",,-,,2\n,,-,,1\n{KEY}").replace(",,-,,", ".,-,.,").replace("\n,knit", "\n.,knit");
    let boxed = Sheet::new(&lines).frame("B1:B2", red).one();
    let multiple = boxed.pattern.as_ref().and_then(|pattern| pattern.multiple);
    assert_eq!(multiple.map(|multiple| (multiple.of, multiple.plus)), Some((1, 2)), "{:?}", boxed.findings);
    let wider = Sheet::new(&format!("Cast on: 6\n\n{lines}")).frame("B3:B4", red).one();
    assert_eq!(rows(&wider), ["1 k p p p p k", "2 p k k k k p"]);
    let two = lines.replace(".,-,.,", ".,-,-,.,-,-,.,");
    let two = Sheet::new(&two).frame("B1:C2", red).frame("E1:F2", red).one();
    assert_eq!(said(&two, "box-left-aside").len(), 1, "{:?}", two.findings);
    // Ruled all over.
    let ruled = (b'A'..=b'C').flat_map(|column| [1, 2].map(|row| format!("{}{row}", char::from(column))));
    let ruled = ruled.fold(Sheet::new(&lines), |sheet, cell| sheet.frame(&cell, HEAVY)).one();
    assert_eq!(rows(&ruled), ["1 k p k", "2 p k p"]);
    assert!(said(&ruled, "box-left-aside").is_empty(), "{:?}", ruled.findings);
}

/// Row 1 in a hidden row below the others is needed, Row 3 above them is not; numbers in a hidden column that the rows would
/// not get without it are needed.
#[test]
fn hidden_lines_at_the_edges_are_needed_or_told() {
    let lines = format!(".,o,/,3\n.,.,.,2\n/,o,.,1\n{}", KEY.replace("\n,knit", "\n.,knit"));
    let bottom = Sheet::new(&lines).hide_rows(3, 3).one();
    assert!(bottom.pattern.is_none());
    assert_eq!(
        said(&bottom, "row-number-gap"),
        ["Row 1 stands in a hidden row of the sheet; without it the chart begins with Row 2."]
    );
    let top = Sheet::new(&lines).hide_rows(1, 1).one();
    assert_eq!(rows(&top), ["1 k yo k2tog", "2 p p p"]);
    assert_eq!(said(&top, "hidden-left-out"), ["Hidden in the sheet and left out of the chart: row 1."]);
    // Without it nothing tells that the third row is not the first.
    let numbers = Sheet::new(&lines.replace(".,.,.,2\n", "").replace("1\n", "1\n\n")).hide("D").one();
    assert_eq!(
        said(&numbers, "row-number-gap"),
        ["The row numbers stand in a hidden column of the sheet; without it Row 3 would be Row 2."]
    );
}

/// Numbers that come down to the first rows count them, though one of them stands twice.
#[test]
fn a_number_that_stands_twice_among_three_is_told() {
    let key = KEY.replace("\n,knit", "\n.,knit");
    let chart = Sheet::new(&format!(".,.,/,o,.,3\n.,.,.,.,.,2\n.,/,o,.,.,2\n{key}")).one();
    assert!(chart.pattern.is_none());
    assert_eq!(said(&chart, "row-number-repeated").len(), 1, "{:?}", chart.findings);
}

/// Rows in words are rows: a chart of which some can't be read is not written without them.
#[test]
fn rows_typed_in_words_are_not_left_out() {
    for words in ["knit", "knit 1"] {
        let lines =
            format!("{words},{words},k2tog,yo,3\n{words},{words},{words},{words},2\n{words},yo,k2tog,k,1\n");
        let chart = Sheet::new(&lines).one();
        assert!(chart.pattern.is_none());
        let told = said(&chart, "unknown-symbol");
        assert!(
            matches!(&told[..], [one] if one.starts_with(&format!("No key explains the symbol \"{words}\"."))),
            "{told:?}"
        );
        let keyed = Sheet::new(&format!("{lines}\nKey\n{words},knit\n")).one();
        assert_eq!(rows(&keyed), ["1 k k2tog yo k", "2 p p p p", "3 yo k2tog k k"]);
    }
}

/// The key says that grey is no stitch, and stitches stand on grey.
#[test]
fn a_symbol_in_a_cell_without_a_stitch_is_told() {
    let grey = Colour([191; 3]);
    let lines = format!(".,o,/,2\n.,.,.,1\n{}\n,no stitch\n", KEY.replace("\n,knit", "\n.,knit"));
    let square = format!("A{}", lines.lines().count());
    let told = |cells: &[&str]| {
        let mut sheet = Sheet::new(&lines);
        for cell in cells.iter().copied().chain([square.as_str()]) {
            let at = span(cell).first;
            sheet.look(at.row, at.column).fill = Some(grey);
        }
        said(&sheet.one(), "unread-key-entry")
    };
    assert_eq!(
        told(&["A1", "A2"]),
        [
            "The key explains the fill BFBFBF of this cell as no stitch, and \".\" in it as one: the symbols in such cells were worked."
        ]
    );
    assert!(told(&[]).is_empty());
}

/// In a row whose number stands on the right a symbol in the column of those on the left is a stitch: Row 2
/// has one too many, which is told where rows are checked.
#[test]
fn a_stitch_in_the_column_of_the_other_numbers_is_a_stitch() {
    let key = KEY.replace("\n,knit", "\n.,knit");
    let extra = Sheet::new(&format!("4,.,.,.,.,\n,.,/,o,.,3\n.,.,.,.,.,2\n,/,o,.,.,1\n{key}")).one();
    assert_eq!(rows(&extra)[1], "2 p p p p p");
    // Rows 1 and 3 begin in the column of the number of Row 2, which leaves that row a stitch short.
    let wide = Sheet::new(&format!(".,.,o,/,.,3\n2,.,.,.,.,\n.,o,/,.,.,1\n{key}")).one();
    assert_eq!(rows(&wide)[..2], ["1 k k k2tog yo k", "2 p p p p"]);
    // Where it adds up the row is read with it: one more by a yarn over in Row 3.
    let grows = Sheet::new(&format!(".,.,o,.,.,3\n2,.,.,.,.,\n,.,.,.,.,1\n{key}"));
    assert_eq!(rows(&grows.one()), ["1 k k k k", "2 p p p p", "3 k k yo k k"]);
}

/// A red dot in each of three rounds, one column further and back: what is not filled is no gap.
#[test]
fn cells_that_are_not_filled_are_no_gaps_in_a_picture() {
    const RED: [u8; 3] = [192, 0, 0];
    let sheet = |key: &str| {
        let lines = format!("Worked: in the round\n,,,3\n,,,2\n,,,1\n\nKey\n,red\n{key}");
        Sheet::new(&lines).fill(&["B2", "C3", "B4", "A7"], RED).frame("A2:C4", THIN)
    };
    let chart = sheet("").one();
    assert!(chart.pattern.is_none(), "one stitch a round");
    assert_eq!(
        said(&chart, "blank-cell"),
        ["A cell of the chart is not filled as the others are, and 2 more, and no key says what that means."]
    );
    let told = sheet(",cream\n").one();
    let pattern = told.pattern.unwrap_or_else(|| panic!("{:?}", told.findings));
    let colours: Vec<String> = pattern
        .rows
        .iter()
        .map(|row| {
            let colour = |id| pattern.stitches.get(id).colour.as_deref().unwrap_or("none");
            row.stitches.iter().map(|&id| colour(id)).collect::<Vec<_>>().join(" ")
        })
        .collect();
    assert_eq!(colours, ["cream red cream", "red cream cream", "cream red cream"]);
}

/// An older chart in hidden rows, counts in a hidden column: neither is read, and both are told.
#[test]
fn what_is_hidden_beside_a_chart_is_told() {
    let chart =
        Sheet::new(&format!("/,o,2\no,/,1\n\nNew\n,o,/,2,,5\n,/,o,1,,5\n{KEY}")).hide_rows(1, 3).hide("F");
    let workbook = Workbook { file: Arc::from("sheet.xlsx"), sheets: vec![chart.0] };
    let (charts, findings) = chart::read(&workbook, &Settings::default(), &Settings::default());
    assert_eq!(charts.len(), 1);
    let told: Vec<&str> = findings.iter().map(|finding| finding.message.as_str()).collect();
    assert_eq!(told, ["Hidden in the sheet and not read, though not empty: rows 1, 2; column F."]);
}

/// "3x" over two merged cells on the left of a chart whose numbers stand on the right.
#[test]
fn how_often_may_stand_where_the_chart_begins() {
    let chart = Sheet::new(&format!("3x,o,/,4\n,-,-,3\n,o,/,2\n,-,-,1\n{KEY}")).merge("A1:A2").one();
    assert_eq!(rows(&chart)[..2], ["1 p p", "2 yo p2tog"]);
    assert_eq!(rows(&chart)[6..], ["7 p p", "8 yo p2tog"]);
}

/// "Row 3 (4 sts)" beside a row is its number and its count.
#[test]
fn counts_in_brackets_behind_row_numbers_are_counts() {
    let key = KEY.replace("\n,knit", "\n.,knit");
    let chart =
        Sheet::new(&format!(".,/,o,.,Row 3 (4 sts)\n.,.,.,.,Row 2 (4 sts)\n.,o,/,.,Row 1 (5 sts)\n{key}"))
            .one();
    assert_eq!(rows(&chart), ["1 k k2tog yo k", "2 p p p p", "3 k yo k2tog k"]);
    let stated: Vec<_> =
        chart.pattern.iter().flat_map(|pattern| &pattern.rows).map(|row| row.stated).collect();
    assert_eq!(stated, [Some(5), Some(4), Some(4)]);
}

/// K2, p to the last 2 sts, k2 purls both loops of the double yarn over of Row 3, and so does no row where they are not.
#[test]
fn a_stated_row_that_works_a_double_yarn_over_alike_is_told() {
    let key = KEY.replace("\n,knit", "\n.,knit");
    let told = |stated: &str| {
        let lines = format!("Return rows: {stated}\n\n.,.,o,o,/,/,.,.,3\n.,.,.,.,.,.,.,.,1\n{key}");
        let lines = lines.replace("; ", ", ");
        let mut sheet = Sheet::new("");
        for (row, line) in (0..).zip(lines.lines()) {
            let cells: Vec<&str> = if row == 0 { vec![line] } else { line.split(',').collect() };
            for (column, text) in (0..).zip(cells).filter(|(_, text)| !text.is_empty()) {
                let value = text.parse().map_or_else(|_| Value::Text(text.into()), Value::Number);
                sheet.0.cells.push(Cell { at: Address::new(row, column), value });
            }
        }
        said(&sheet.one(), "double-yarn-over")
    };
    assert_eq!(
        told("K2, p to last 2 sts, k2"),
        [
            "Row 4: both loops of a double yarn over are worked alike, as the stated return row says: they may fall into one."
        ]
    );
    // RS: k k k2tog k2tog yo yo k k; on the WS the loops of the yarn over are the third and the fourth.
    assert!(told("K2, p1, k1, p to last 2 sts, k2").is_empty());
    assert_eq!(told("purl").len(), 1);
}

/// Blank is knit, and no row is numbered: the row between two with symbols is one of the chart, and of two whole charts none.
#[test]
fn a_blank_row_between_rows_that_stand_alone_is_one_of_blank_stitches() {
    let lace = Sheet::new(&format!("o,/,,\n,,,\n,,o,/\n{KEY}")).one();
    assert_eq!(rows(&lace), ["1 k2tog yo k k", "2 p p p p", "3 k k k2tog yo"]);
    let told = said(&lace, "rows-not-numbered");
    assert!(
        told[0].ends_with("One of them holds nothing, and was read as a row of blank stitches."),
        "{told:?}"
    );
    let two = Sheet::new(&format!("o,/\n-,-\n\no,/\n-,-\n{KEY}")).read();
    assert_eq!(two.iter().map(|chart| rows(chart).len()).collect::<Vec<_>>(), [2, 2]);
}

#[test]
fn numbers_of_rounds_beside_a_flat_chart_are_told() {
    let chart = Sheet::new(&format!("Worked: flat\no,/,Rnd 2\n/,o,Rnd 1\n{KEY}")).one();
    assert_eq!(rows(&chart), ["1 yo k2tog", "2 yo p2tog"]);
    assert_eq!(
        said(&chart, "rounds-assumed"),
        ["The numbers say \"Rnd\", but the chart is said to be worked flat, and was taken as that."]
    );
}

/// Right-side rows 1 and 3, each with the number of the row back on its left.
#[test]
fn numbers_of_the_rows_back_number_no_drawn_row() {
    let chart = numbered(&[4, 2], &[3, 1]);
    assert_eq!(rows(&chart), ["1 p p", "2 k k", "3 k2tog yo", "4 p p"]);
    assert!(said(&chart, "cells-left-aside").is_empty() && said(&chart, "row-number-order").is_empty());
}

/// Every cell of the sheet has lines: those around a blank column do not tell that it is one of the chart.
#[test]
fn lines_over_a_whole_sheet_bound_no_chart() {
    let lines = format!("Sand Lace\n,,o,/,2\n,,/,o,1\n{KEY}");
    let ruled = |rows: std::ops::RangeInclusive<u32>| {
        let cells = rows.flat_map(|row| ["A", "B", "C", "D"].map(|column| format!("{column}{row}")));
        cells.fold(Sheet::new(&lines), |sheet, cell| sheet.frame(&cell, THIN)).one()
    };
    assert_eq!(
        said(&ruled(1..=9), "blank-assumed"),
        [
            "Columns A, B hold nothing in any row, and were read as stitches of the chart: lines stand around them, though these \
          go on above and below it."
        ]
    );
    assert!(said(&ruled(2..=3), "blank-assumed").is_empty());
}

/// Six stitches are boxed in Rows 1 and 2, and four in Rows 3 and 4 above them: on 24 sts those are worked three times and these
/// four times, each between its own edges.
#[test]
fn boxes_that_stand_apart_are_the_repeats_of_their_own_rows() {
    let key = KEY.replace("\n,knit", "\n.,knit");
    let (purl_first, fours) = (".,.,.,-,-,-,.,.,.,-,-,-", ".,.,-,-,.,.,-,-,.,.,-,-");
    let sheet = |cast_on: &str| {
        let lines = format!("{cast_on}\n\n{fours},4\n{fours},3\n{purl_first},2\n{purl_first},1\n{key}");
        Sheet::new(&lines).frame("E3:H4", HEAVY).frame("D5:I6", HEAVY)
    };
    let times = |what: &str, times: usize| vec![what; times].join(" ");
    // Right to left Row 1 is p3, [k3, p3], k3 and Row 3 p2, k2, [p2, k2], p2, k2; the WS rows show the same.
    let worked = |sixes: usize, fours: usize| {
        let rows = [
            format!("1 {}", times("p p p k k k", sixes + 1)),
            format!("2 {}", times("p p p k k k", sixes + 1)),
            format!("3 {}", times("p p k k", fours + 2)),
            format!("4 {}", times("p p k k", fours + 2)),
        ];
        rows.to_vec()
    };
    for (cast_on, sixes, fours) in [("", 1, 1), ("Cast on: 12", 1, 1), ("Cast on: 24", 3, 4)] {
        let chart = sheet(cast_on).one();
        assert_eq!(rows(&chart), worked(sixes, fours), "{cast_on}");
        assert_eq!(chart.pattern.as_ref().unwrap().multiple, None, "{cast_on}");
        let told = said(&chart, "repeat-drawn");
        assert!(
            told.len() == 1
                && told[0].starts_with("Row 3 stands in another box than Row 2, and repeats 4 sts where that one leaves 6: each box"),
            "{cast_on}: {told:?}"
        );
    }
    let chart = sheet("Cast on: 18").one();
    assert!(chart.pattern.is_none());
    assert_eq!(
        said(&chart, "repeat-does-not-fit"),
        [
            "Row 3 stands in another box than Row 2, and repeats 4 sts where that one leaves 6: each box is the repeat of its own \
             rows. That of Row 3 does not fit: there are 18 sts, of which 8 are at the edges, and the others are no whole number \
             of repeats of 4."
        ]
    );
}

/// Within the box of the repeat another stands around columns E and F of Rows 3 and 4: the first alone is followed.
#[test]
fn a_box_within_that_of_the_repeat_is_told() {
    let key = KEY.replace("\n,knit", "\n.,knit");
    let row = ".,.,-,-,.,.,-,-,.,.,-,-";
    let lines = format!("{row},4\n{row},3\n{row},2\n{row},1\n{key}");
    let chart = Sheet::new(&lines).frame("C1:J4", HEAVY).frame("E1:F2", HEAVY).one();
    assert_eq!(
        chart.pattern.as_ref().unwrap().multiple.map(|multiple| (multiple.of, multiple.plus)),
        Some((8, 4))
    );
    assert_eq!(
        said(&chart, "box-left-aside"),
        [
            "Besides the box of the repeat, heavy or coloured lines set other parts of this row apart: they were not followed."
        ]
    );
}

/// Two charts, each numbered at its outer edge: Row 2 of the first is p1, p2tog, yo, p1 as worked, of the other k1, p1, p1.
#[test]
fn charts_that_are_numbered_at_their_outer_edges_are_two() {
    let key = KEY.replace("\n,knit", "\n.,knit");
    let sheet = |row: &str, other: &str| format!("{row}\n{other}\n{key}");
    let both = Sheet::new(&sheet("2,.,/,o,.,,-,.,.,2", "1,.,.,.,.,,.,-,.,1")).read();
    assert_eq!(both.len(), 2);
    assert_eq!(rows(&both[0]), ["1 k k k k", "2 p p2tog yo p"]);
    assert_eq!(rows(&both[1]), ["1 k p k", "2 k p p"]);
    for chart in &both {
        assert_eq!(
            said(chart, "charts-side-by-side"),
            [
                "Column F is blank in every row, and the same row numbers stand at both ends: what is on either side was taken \
                 as a chart of its own."
            ]
        );
    }
    // Where blank cells are stitches the column is one of them; and numbers at alternating ends are those of one chart.
    let knit = Sheet::new(&format!("2,-,/,o,,,-,,-,2\n1,-,,,,,,-,-,1\n{KEY}")).one();
    assert_eq!(rows(&knit)[0], "1 p p k k k k k p");
    let alternating = Sheet::new(&sheet("2,.,/,o,.,,-,.,.", ",.,.,.,.,,.,-,.,1")).one();
    assert!(!said(&alternating, "blank-cell").is_empty(), "{:?}", alternating.findings);
    // A cable goes on into the blank cells behind it.
    let cable =
        Sheet::new(&format!("Worked: in the round\n\n2,-,c,,,,-,2\n1,-,c,,,,-,1\n{key}c,2/2 RC\n")).one();
    assert_eq!(rows(&cable)[0], "1 p 2/2rc p");
}

/// Even rows have numbers and lace, and nothing stands between them: no rows, unless lines are drawn around their squares, or
/// every row is said to be charted.
#[test]
fn blank_rows_between_numbers_are_rows_where_that_is_told() {
    let lines = "/,o,-,6\n,,,\no,/,-,4\n,,,\n/,o,-,2\n,,,\n";
    let plain = Sheet::new(&format!("{lines}{KEY}")).one();
    // Row 2 is worked from the right, and its purl is knitted on the way back.
    assert_eq!(rows(&plain)[..3], ["1 p p k", "2 p yo k2tog", "3 p p k"]);
    assert_eq!(
        said(&plain, "right-side-only"),
        [
            "The row numbers go by twos: only right-side rows are drawn, and the rows between were derived. The blank rows between \
             them were taken as none."
        ]
    );
    let all = ["1 k k k", "2 p2tog yo k", "3 k k k", "4 yo p2tog k", "5 k k k", "6 p2tog yo k"];
    let squares = |rows: u32| {
        let cells = (1..=rows).flat_map(|row| ["A", "B", "C"].map(|column| format!("{column}{row}")));
        cells.fold(Sheet::new(&format!("{lines}{KEY}")), |sheet, cell| sheet.frame(&cell, THIN))
    };
    assert_eq!(rows(&squares(6).one()), all);
    // Lines that go on below the chart tell nothing.
    let ruled = squares(12).one();
    assert_eq!(rows(&ruled), rows(&plain));
    // Row 1 has no number to be counted from.
    let every = Sheet::new(&format!("Charted: every row\n\n{lines}{KEY}")).one();
    assert_eq!(rows(&every), all[1..]);
}

/// Two charts of two rows with the numbers between them, one column for both or one for each: k2tog, yo over knit stitches, and
/// knit with a purl at either edge below yo, k2tog.
#[test]
fn charts_of_two_rows_may_have_their_numbers_between_them() {
    let key = KEY.replace("\n,knit", "\n.,knit");
    for lines in [".,/,o,.,2,.,o,/,.\n.,.,.,.,1,-,.,.,-\n", ".,/,o,.,2,2,.,o,/,.\n.,.,.,.,1,1,-,.,.,-\n"] {
        let both = Sheet::new(&format!("{lines}{key}")).read();
        assert_eq!(both.len(), 2, "{lines}");
        assert_eq!(rows(&both[0]), ["1 k k k k", "2 p p2tog yo p"], "{lines}");
        assert_eq!(rows(&both[1]), ["1 p k k p", "2 p yo p2tog p"], "{lines}");
    }
}

/// A number in brackets beside a row number counts the stitches of its row; one alone is a row number.
#[test]
fn numbers_in_brackets_behind_row_numbers_are_counts() {
    let key = KEY.replace("\n,knit", "\n.,knit");
    let chart = Sheet::new(&format!(".,/,o,.,2,(4)\n.,.,.,.,1,[5]\n{key}")).one();
    let stated: Vec<_> =
        chart.pattern.iter().flat_map(|pattern| &pattern.rows).map(|row| row.stated).collect();
    assert_eq!(stated, [Some(5), Some(4)]);
    // Where the key explains it, it is a symbol, and so it may be between others.
    let bobble = Sheet::new(&format!("2,(3),.,.\n1,.,.,.\n{key}(3),k2tog\n")).one();
    assert_eq!(rows(&bobble)[1], "2 p2tog p p");
    let unknown = Sheet::new(&format!("2,(3),.,.\n1,.,.,.\n{key}")).one();
    assert!(!said(&unknown, "unknown-symbol").is_empty());
    let numbers = Sheet::new(&format!(".,/,o,.,(2)\n.,.,.,.,(1)\n{key}")).one();
    assert_eq!(rows(&numbers), ["1 k k k k", "2 p p2tog yo p"]);
}

/// "Set-up" below Row 1 in the column of its number is said of the row it stands beside.
#[test]
fn a_set_up_row_may_be_called_so_without_more() {
    let key = KEY.replace("\n,knit", "\n.,knit");
    for name in ["Set-up", "set up", "Foundation", "Set-up row"] {
        let chart = Sheet::new(&format!(".,/,o,.,2\n.,.,.,.,1\n-,.,.,-,{name}\n{key}")).one();
        // The set-up row stands before a right-side row, and is worked on the wrong side.
        assert_eq!(rows(&chart), ["0 k p p k", "1 k k k k", "2 p p2tog yo p"], "{name}");
    }
}

/// "Chart" right above one is no title.
#[test]
fn the_word_chart_alone_is_no_title() {
    let key = KEY.replace("\n,knit", "\n.,knit").trim_start().to_owned();
    let sheet = format!("Sea Thrift\n{key}\nChart\n.,/,o,.,2\n.,.,.,.,1\n");
    assert_eq!(Sheet::new(&sheet).one().pattern.unwrap().title, "Sea Thrift");
    let named = sheet.replace("Chart", "Chart A");
    assert_eq!(Sheet::new(&named).one().pattern.unwrap().title, "Chart A");
}

#[test]
fn a_hidden_column_that_the_numbers_count_is_told() {
    let columns = "4,3,2,1,\n.,o,/,.,2\n.,.,.,.,1\n";
    let key = KEY.replace("\n,knit", "\n.,knit");
    let counted = Sheet::new(&format!("{columns}{key}")).hide("B").one();
    assert!(counted.sound().is_none());
    assert_eq!(
        said(&counted, "column-number-gap"),
        ["Column 3 of the chart is hidden; without it Column 4 stands beside Column 2."]
    );
    // Complete without it, and all there: nothing is missing.
    let complete = Sheet::new(&format!("3,,2,1,\n.,o,/,.,2\n.,.,.,.,1\n{key}")).hide("B").one();
    assert!(said(&complete, "column-number-gap").is_empty());
    let shown = Sheet::new(&format!("{columns}{key}")).one();
    assert_eq!(rows(&shown), ["1 k k k k", "2 p yo p2tog p"]);
}
