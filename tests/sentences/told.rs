//! Rows that a sheet tells by others, "Rows 3-4: Rep Rows 1 and 2". Expected rows are worked out by hand from the sheets;
//! the sentences are common practice, no published source.

use super::{KEY, kinds, pattern, read, rows, said};

/// A chart with a garter edge, and the sentences above it.
fn edged(sentences: &str, chart: &str) -> String {
    format!("Groyne Steps\n{sentences}\n\n{chart}\n.,knit\n|,knit every row\no,yarn over\n/,k2tog\n")
}

/// "knit every row" is knitted on the return row too, whatever stands beside it: a told row is returned as the row that it
/// repeats.
#[test]
fn a_stitch_of_a_told_row_is_returned_as_the_key_says() {
    let told = "Charted: right-side\nRows 3-4: Rep Rows 1 and 2.";
    for (chart, first, second) in [
        ("|,.,.,.,|,1\n", "k k k k k", "k p p p k"),
        (".,.,.,.,|,1\n", "k k k k k", "p p p p k"),
        ("|,.,.,.,.,1\n", "k k k k k", "k p p p p"),
        (".,|,/,o,|,.,1\n", "k k yo k2tog k k", "p k p p k p"),
    ] {
        let pattern = pattern(&read(&edged(told, chart)), chart);
        let expected =
            [format!("1 {first}"), format!("2 {second}"), format!("3 {first}"), format!("4 {second}")];
        assert_eq!(rows(&pattern), expected, "{chart}");
    }
}

/// Which stitches of a run are worked more often is asked where it makes a difference: where the key returns them
/// otherwise, and their return row is not drawn.
#[test]
fn a_run_that_grows_and_is_returned_in_two_ways_is_told() {
    let told = "Charted: right-side\n\"Rows 3-4: Rep Rows 1 and 2, working 2 more sts in the 1st k2 of Row 1 each time.\"";
    let read_it = read(&edged(told, "|,.,o,.,.,o,.,|,1\n"));
    assert!(read_it.charts[0].sound().is_none());
    assert_eq!(kinds(&read_it).iter().filter(|kind| **kind == "row-reference").count(), 1);
    // The middle is returned in one way.
    let told = told.replace("1st", "2nd");
    let pattern_it = |told: &str, chart: &str| rows(&pattern(&read(&edged(told, chart)), told));
    assert_eq!(
        pattern_it(&told, "|,.,o,.,.,o,.,|,1\n"),
        ["1 k k yo k k yo k k", "2 k p p p p p p k", "3 k k yo k k k k yo k k", "4 k p p p p p p p p k"]
    );
    // Where the return row is drawn the key is not asked.
    let told = "\"Rows 3-4: Rep Rows 1 and 2, working 2 more sts in the 1st k2 of Row 1, and 2 more sts in the p6 of Row 2 each time.\"";
    assert_eq!(
        pattern_it(told, "|,.,.,.,.,.,.,|,2\n|,.,o,.,.,o,.,|,1\n"),
        ["1 k k yo k k yo k k", "2 k p p p p p p k", "3 k k k k yo k k yo k k", "4 k p p p p p p p p k"]
    );
}

/// What tells a row is no title, be there another line above the chart or not.
#[test]
fn a_line_that_tells_rows_is_no_title() {
    let chart = "-,-,-,2\n.,.,.,1\n";
    let drawn = vec!["1 k k k".to_owned(), "2 k k k".to_owned()];
    let repeated = [&drawn[..], &["3 k k k".to_owned(), "4 k k k".to_owned()]].concat();
    for (above, title, expected) in [
        ("Rows 3-4: Rep Rows 1 and 2.\n", "sheet", repeated.clone()),
        ("Rows 3-4: Rep Rows 1 and 2.\n\n", "sheet", repeated.clone()),
        ("Groyne Steps\n\nRows 3-4: Rep Rows 1 and 2.\n\n", "Groyne Steps", repeated.clone()),
        ("Row 4: dec row\n\n", "sheet", drawn.clone()),
    ] {
        let read = read(&format!("{above}{chart}{KEY}"));
        let pattern = pattern(&read, above);
        assert_eq!((pattern.title.as_str(), rows(&pattern)), (title, expected), "{above}");
    }
    // A rule without a label grows the rows.
    let rule = "\"Rep last 2 rows twice more, working 2 more sts in the k1 of Row 1 and the p3 of Row 2 each time.\"\n\n";
    let read = read(&format!("{rule}.,.,.,2\no,.,o,1\n{KEY}"));
    let pattern = pattern(&read, rule);
    assert_eq!(pattern.title, "sheet");
    let expected =
        ["1 yo k yo", "2 p p p", "3 yo k k k yo", "4 p p p p p", "5 yo k k k k k yo", "6 p p p p p p p"];
    assert_eq!(rows(&pattern), expected);
}

/// Two rows, of one stitch each.
const PLAIN: &str = "-,-,-,2\n.,.,.,1\n";

/// Notes may stand in any order: the rows have theirs.
#[test]
fn rows_are_told_in_any_order() {
    let told = "\"Rows 9-12: Rep Rows 1 and 2 twice.\"\n\"Rows 3-8: Rep Rows 1 and 2 3 times.\"\n";
    let read_it = read(&format!("Groyne Steps\n\n{PLAIN}\n{told}{KEY}"));
    let pattern_it = pattern(&read_it, told);
    assert_eq!(rows(&pattern_it), (1..=12).map(|row| format!("{row} k k k")).collect::<Vec<_>>());
    assert_eq!(said(&read_it), ["rows-told", "rows-told"]);
    // Rows that a rule without a label works follow the last that have one.
    let told = "\"Rows 5 and 6: Rep Rows 1 and 2.\"\n\"Rows 3 and 4: Rep Rows 1 and 2.\"\n";
    let rule = "\"Rep last 2 rows once more, working 2 more sts in the k3 of Row 5 and the k3 of Row 6 each time.\"\n";
    let read_it = read(&format!("Groyne Steps\n\n{PLAIN}\n{told}{rule}{KEY}"));
    // A row of one stitch is worked to its end, whatever it would grow to.
    assert_eq!(rows(&pattern(&read_it, rule)), (1..=8).map(|row| format!("{row} k k k")).collect::<Vec<_>>());
    assert_eq!(said(&read_it), ["rows-told"; 3]);
}

/// What is written out is not said to be left a note, and what is left a note is not written out.
#[test]
fn a_told_row_is_followed_or_left_a_note() {
    let lace = "Groyne Steps\n\"{}\"\n\n.,.,.,2\no,.,o,1\n";
    for rule in [
        "Rep Rows 1 and 2 once more, working 2 more sts in the k1 of Row 1 and the p3 of Row 2 each time.",
        "Work Rows 1 and 2 once more, working 2 more sts in the k1 of Row 1 and the p3 of Row 2 each time.",
        "Work Rows 1 and 2 2 times in total, working 2 more sts in the k1 of Row 1 and the p3 of Row 2 each time.",
        "Repeat these 2 rows 1 time more, working 2 more sts in the k1 of Row 1 and the p3 of Row 2 each time.",
    ] {
        let read = read(&format!("{}{KEY}", lace.replace("{}", rule)));
        let expected = ["1 yo k yo", "2 p p p", "3 yo k k k yo", "4 p p p p p"];
        assert_eq!(rows(&pattern(&read, rule)), expected, "{rule}");
        assert_eq!(said(&read), ["rows-told"], "{rule}");
    }
    // Whether the first time counts is not said.
    let rule =
        "Work Rows 1 and 2 twice, working 2 more sts in the k1 of Row 1 and the p3 of Row 2 each time.";
    let twice = read(&format!("{}{KEY}", lace.replace("{}", rule)));
    assert_eq!(rows(&pattern(&twice, rule)), ["1 yo k yo", "2 p p p"]);
    assert_eq!(said(&twice), ["sentence-not-followed"]);
    // Rounds of a chart that is worked flat.
    let rounds = read(&format!("Groyne Steps\nRounds 3-6: Rep Rounds 1 and 2.\n\n{PLAIN}{KEY}"));
    let pattern_it = pattern(&rounds, "rounds");
    assert_eq!(rows(&pattern_it), ["1 k k k", "2 k k k"]);
    assert_eq!(said(&rounds), ["sentence-not-followed"]);
    assert_eq!(pattern_it.notes, ["Rounds 3-6: Rep Rounds 1 and 2."]);
    let sheet =
        format!("Groyne Steps\nWorked: in the round\nRounds 3-6: Rep Rounds 1 and 2.\n\n{PLAIN}{KEY}");
    let rounds = read(&sheet);
    let expected = ["1 k k k", "2 p p p", "3 k k k", "4 p p p", "5 k k k", "6 p p p"];
    assert_eq!(
        (rows(&pattern(&rounds, "rounds")), said(&rounds)),
        (expected.map(str::to_owned).into(), vec!["rows-told"])
    );
}
