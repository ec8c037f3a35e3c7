//! Which of the numbers of a sheet number rows: proved by the cells beside them, by how they count on, by the key. What else
//! they may be is a count of stitches or a symbol, and is told where nothing proves it.

use super::{KEY, read, rows, said};

/// Numbers right behind rows of unlike width are those of one chart, however few they are and whatever they leave out.
#[test]
fn two_rows_of_unlike_width_are_one_chart() {
    for (what, sheet, expected) in [
        (
            "right-side rows",
            ".,o,.,o,.,o,.,o,.,3\n.,o,.,o,.,1\n",
            "1 k yo k yo k\n2 p p p p p\n3 k yo k yo k yo k yo k\n4 p p p p p p p p p\n",
        ),
        ("every row", ".,.,o,.,.,2\n.,.,.,.,1\n", "1 k k k k\n2 p p yo p p\n"),
        ("down the sheet", "Chart\n.,-,.,1\n.,.,-,o,2\n", "1 k p k\n2 p p k yo\n"),
        ("on the left", "3,.,o,-,o,.\n,,1,.,-,.\n", "1 k p k\n2 p k p\n3 k yo p yo k\n4 p p k p p\n"),
        (
            "words beside the row in the middle",
            ".,o,.,.,o,.,3\n.,-,-,.,2,decrease\n.,-,-,.,1\n",
            "1 k p p k\n2 p k k p\n3 k yo k k yo k\n",
        ),
        (
            "under another chart",
            ".,.,.,2\n.,-,.,1\n\n.,o,.,.,3\n.,.,.,1\n",
            "1 k p k\n2 p p p\n|1 k k k\n2 p p p\n3 k k yo k\n4 p p p p\n",
        ),
    ] {
        let expected: Vec<&str> = expected.split('|').collect();
        assert_eq!(rows(&format!("{sheet}{KEY}")), expected, "{what}");
    }
    for (sheet, told) in [
        (".,.,.,3\n.,.,.,.,1\n", "count-mismatch odd.csv, line 1, column 1"),
        (".,o,.,.,7\n.,.,.,2\n", "row-number-gap odd.csv, line 1, column 5"),
        ("-,.,-,.,.,4\n-,.,-,.,9\n-,.,-,.,2\n-,.,-,.,1\n", "row-number-order odd.csv, line 2, column 5"),
    ] {
        let read = read(&format!("{sheet}{KEY}"));
        assert_eq!(read.charts.len(), 1, "{sheet}");
        assert!(
            said(&format!("{sheet}{KEY}")).contains(&told.to_owned()),
            "{sheet}{:?}",
            read.charts[0].findings
        );
    }
}

/// Rows of one line each, one below the other, are no two charts.
#[test]
fn rows_whose_numbers_are_not_joined_are_told() {
    let sheet = format!(".,o,.,.,3,,,-,-,.,-,3\n.,.,.,1,,,,-,-,-,1\n{KEY}");
    let told = said(&sheet);
    assert!(told.contains(&"numbers-unclear odd.csv, line 1, column 5".to_owned()), "{told:?}");
    assert!(read(&sheet).charts.iter().all(|chart| chart.sound().is_none()));
    // A blank line parts them.
    assert_eq!(rows(&format!(".,-,.,1\n\n.,.,-,.,1\n{KEY}")), ["1 k p k\n", "1 k p k k\n"]);
}

/// A column of digits that the key explains numbers no rows where such digits stand in the rows above or below it too.
#[test]
fn digits_that_go_on_beyond_the_count_are_stitches() {
    const DIGITS: &str = "\nKey\n1,knit\n2,purl\n";
    for (sheet, expected) in [
        ("2,1,2,1\n1,2,1,2\n2,1,2,1\n1,2,1,2\n", "1 p k p k\n2 k p k p\n3 p k p k\n4 k p k p\n"),
        ("2,2,2\n1,1,1\n2,2,2\n1,1,1\n", "1 k k k\n2 k k k\n3 k k k\n4 k k k\n"),
        ("1,1\n2,2\n1,1\n", "1 k k\n2 k k\n3 k k\n"),
    ] {
        let sheet = format!("{sheet}{DIGITS}");
        assert_eq!(rows(&sheet), [expected], "{sheet}");
        assert_eq!(said(&sheet), ["rows-not-numbered odd.csv, line 1, column 1"], "{sheet}");
    }
}

/// Where digits that count down to Row 1 may be stitches as well, something else must prove what they are.
#[test]
fn digits_that_may_be_row_numbers_or_stitches_are_told() {
    const DIGITS: &str = "\nKey\n1,knit\n2,purl\n3,k tbl\n4,p tbl\n";
    for (sheet, place) in [
        ("2,1,1,2,2\n1,2,2,1,1\n", "line 1, column 5"),
        ("1,2,1,2,2\n2,1,2,1,1\n", "line 1, column 5"),
        ("3,3,1,1,2,1\n2,2,3,3,1,2\n1,1,2,2,3,3\n", "line 1, column 1"),
    ] {
        let told = said(&format!("{sheet}{DIGITS}"));
        assert!(told.contains(&format!("numbers-unclear odd.csv, {place}")), "{sheet}{told:?}");
    }
    // Four rows hardly count down by chance.
    let four = format!("1,2,3,4,4\n2,1,2,1,3\n1,2,1,2,2\n2,1,2,1,1\n{DIGITS}");
    assert_eq!(rows(&four), ["1 k p k p\n2 p k p k\n3 k p k p\n4 p k ptbl ktbl\n"]);
    assert_eq!(said(&four), ["numbers-assumed odd.csv, line 1, column 5"]);
    let two = "1 k p p\n2 p k p\n";
    for (what, expected, sheet) in [
        ("a heading", two, ",,,Row\n1,2,1,2\n2,2,1,1\n"),
        ("a heading below", two, "1,2,1,2\n2,2,1,1\n,,,Rows\n"),
        ("a blank column", two, "2,,1,2,1\n1,,2,2,1\n"),
        ("numbers of the columns", "1 k k p p p\n2 p k p k p\n", "1,2,1,2,1,2\n2,2,2,1,1,1\n5,4,3,2,1,\n"),
        ("a count of the stitches", two, "1,2,1,2,3 sts\n2,2,1,1,3 sts\n"),
        (
            "numbers where each row begins",
            "1 k p p\n2 p k p\n3 k p p\n4 p k p\n",
            "4,1,2,1,\n,2,2,1,3\n2,1,2,1,\n,2,2,1,1\n",
        ),
    ] {
        let sheet = format!("{sheet}{DIGITS}");
        assert_eq!(rows(&sheet), [expected], "{what}");
        assert_eq!(said(&sheet), [""; 0], "{what}");
    }
    // As stitches, Row 1 would make 5 sts, and Row 2 use 7.
    let lace = "3,o,\\,.,3\n2,.,.,.,2\n1,\\,o,.,1\n\nKey\n.,knit\no,yo\n\\,ssk\n1,knit\n2,k2tog\n3,yo\n";
    assert_eq!(rows(lace), ["1 k yo ssk\n2 p p p\n3 k ssk yo\n"]);
    assert_eq!(said(lace), [""; 0]);
    // Other charts of the sheet are numbered there.
    let beside = "2,1,2,1,,6,1,2\n1,2,1,2,,5,2,1\n,,,,,4,1,2\n,,,,,3,2,1\n,,,,,2,1,2\n,,,,,1,2,1\n";
    assert_eq!(said(&format!("{beside}{DIGITS}")), [""; 0]);
    // What the settings say of digits is said of all charts of a folder.
    let settings = "[key]\n\".\" = \"k\"\n\"-\" = \"p\"\n\"1\" = \"ktbl\"\n\"2\" = \"ptbl\"\n";
    assert_eq!(super::said_with(".,-,2\n-,.,1\n", settings), [""; 0]);
    assert_eq!(super::said_with(".,1,2\n-,.,1\n", settings), ["numbers-unclear odd.csv, line 1, column 3"]);
}

/// Numbers at each edge in turn, where one panel has a single one on the left.
#[test]
fn panels_numbered_in_turn_are_cut_where_they_end() {
    const STITCHES: &str = "\nKey\no,Knit\n|,Purl\n";
    let narrow = "Panel A\n2,o,o,|,o,\n,o,|,|,|,1\n\nPanel B\n4,|,o,o,|,o,|,\n,|,|,|,|,o,|,3\n2,|,o,o,|,o,|,\n,o,o,o,o,|,o,1\n";
    let wide = "1 k p k k k k\n2 k p p k p k\n3 p k p p p p\n4 k p p k p k\n";
    assert_eq!(rows(&format!("{narrow}{STITCHES}")), ["1 p p p k\n2 p p k p\n", wide]);
    let alike = "Panel A\n,o,|,|,|,3\n2,o,o,|,o,\n,o,|,|,|,1\n\nPanel B\n4,|,o,o,|,\n,|,|,|,|,3\n2,|,o,o,|,\n,o,o,o,o,1\n";
    let first = "1 p p p k\n2 p p k p\n3 p p p k\n";
    assert_eq!(rows(&format!("{alike}{STITCHES}")), [first, "1 k k k k\n2 k p p k\n3 p p p p\n4 k p p k\n"]);
    // The same, two blank lines between and no titles.
    let bare = alike.replace("Panel A\n", "").replace("Panel B\n", "\n");
    assert_eq!(rows(&format!("{bare}{STITCHES}")).len(), 2);
}

/// Digits among the symbols, numbers in turn, and counts in brackets behind them.
#[test]
fn panels_of_digits_numbered_in_turn_are_all_read() {
    let sheet = "Panel A\n,2,2,o,o,3,(4)\n2,2,o,o,2,,(4)\n,o,o,2,2,1,(4)\n\nPanel B\n2,o,o,2,,(3)\n,o,o,o,1,(3)\n\n\n\
                 Panel C\n4,o,o,2,o,,(4)\n,o,2,2,o,3,(4)\n2,2,o,o,o,,(4)\n,o,2,2,o,1,(4)\n\n\n2,knit stitch\no,purl\n";
    let expected = [
        "1 k k p p\n2 p k k p\n3 p p k k\n",
        "1 p p p\n2 k k p\n",
        "1 p k k p\n2 p k k k\n3 p k k p\n4 k k p k\n",
    ];
    assert_eq!(rows(sheet), expected);
}

/// Charts side by side, one of them with a row more, which the numbers of the other seem to go on.
#[test]
fn charts_of_unlike_height_side_by_side_are_apart() {
    let five = "1 k p k\n2 p p p\n3 k p k\n4 p p p\n5 k p k\n";
    let four = "1 k p k\n2 p p p\n3 k p k\n4 p p p\n";
    let right = ".,-,.,5,,,,,\n.,.,.,4,,.,.,.,4\n.,-,.,3,,.,-,.,3\n.,.,.,2,,.,.,.,2\n.,-,.,1,,.,-,.,1\n";
    assert_eq!(rows(&format!("{right}{KEY}")), [five, four]);
    let left = ",,,,,5,.,-,.\n4,.,.,.,,4,.,.,.\n3,.,-,.,,3,.,-,.\n2,.,.,.,,2,.,.,.\n1,.,-,.,,1,.,-,.\n";
    let mut read = rows(&format!("{left}{KEY}"));
    read.sort();
    assert_eq!(read, [four, five]);
}

/// Numbers that are what their rows have of stitches, and come down to no first row, count these.
#[test]
fn numbers_as_high_as_their_rows_are_wide_count_the_stitches() {
    let sheet = format!(",.,o,.,.,.,.,.,o,.,9\n,,.,o,.,.,.,o,.,7\n,,,.,o,.,o,.,5\n,,,,.,.,.,3\n{KEY}");
    let expected = "1 k k k\n2 p yo p yo p\n3 k yo k k k yo k\n4 p yo p p p p p yo p\n";
    assert_eq!(rows(&sheet), [expected]);
    let told = said(&sheet);
    assert!(told.contains(&"numbers-assumed odd.csv, line 1, column 11".to_owned()), "{told:?}");
    // Two rows may be as wide as their numbers by chance.
    let two = said(&format!(".,o,.,o,.,5\n.,.,.,3\n{KEY}"));
    assert_eq!(two, ["numbers-unclear odd.csv, line 1, column 6"]);
    assert_eq!(rows(&format!(",,,,,Sts\n.,o,.,o,.,5\n.,-,.,,,3\n{KEY}")), ["1 k p k\n2 p yo p yo p\n"]);
    // Down to Row 1 they number them.
    let numbered = format!(".,.,o,.,.,5\n.,o,.,3\n.,1\n{KEY}");
    assert!(!said(&numbered).iter().any(|told| told.starts_with("numbers-assumed")));
}

/// Lines of symbols with numbers among them are no notes, wherever the numbers stand.
#[test]
fn numbered_rows_that_no_chart_takes_are_an_error() {
    let sheet = format!("Panel A\n.,-,2,.,.\n-,.,1,-,.\n\nPanel B\n.,o,/,.,3\n.,.,.,.,2\n.,.,.,.,1\n{KEY}");
    assert!(
        said(&sheet).contains(&"rows-left-aside odd.csv, line 2, column 4".to_owned()),
        "{:?}",
        said(&sheet)
    );
    assert!(read(&sheet).charts[0].sound().is_none());
}

/// What stands where a row number should is shown, and so is all of the row.
#[test]
fn a_row_number_that_can_not_be_read_is_told_as_one() {
    for label in ["3?", "3 (x2)", "3-4", "3 dec", "3*"] {
        let read = read(&format!(".,-,/,o,.,{label}\n.,.,.,.,.,2\n.,/,o,.,.,1\n{KEY}"));
        let [chart] = &read.charts[..] else { panic!("{label}") };
        let [error] = &chart.findings[..] else { panic!("{label}: {:?}", chart.findings) };
        assert_eq!(
            format!("{} {}", error.code, error.place),
            "row-number-gap odd.csv, line 1, column 6",
            "{label}"
        );
        assert_eq!(
            (error.found.as_deref(), error.expected.as_deref()),
            (Some(label), Some("a row number, such as 3"))
        );
    }
    let read = read(&format!(".,-,/,o,.\n.,.,.,.,.,2\n.,/,o,.,.,1\n{KEY}"));
    assert_eq!(read.charts[0].findings[0].found.as_deref(), Some(". - / o ."));
}
