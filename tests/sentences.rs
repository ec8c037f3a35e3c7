//! What a sheet says in sentences beside its chart: followed, or said not to be. Expected rows are worked out by hand from
//! the sheets; the sentences are common practice, no published source.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

#[path = "sentences/told.rs"]
mod told;

use std::sync::Arc;

use longhand::convert::{self, Charts};
use longhand::pattern::{Hand, Pattern, Worked};
use longhand::settings::Settings;

const KEY: &str = "\n.,knit\n-,purl\n/,k2tog\no,yarn over\n";

/// Right-side rows of six stitches: k2tog, yo, p1, k1, p1, k1, and yo, k2tog before the same.
const LACE: &str = ".,-,.,-,/,o,3\n.,-,.,-,o,/,1\n";
const ROW_1: &str = "1 k2tog yo p k p k";
const ROW_3: &str = "3 yo k2tog p k p k";

/// A stitch for each loop of Row 1 or 3 from its end back to its beginning, the opposite of what it shows.
const AS_THEY_APPEAR: &str = "p k p k p p";
const PURL: &str = "p p p p p p";
const KNIT: &str = "k k k k k k";

fn read(sheet: &str) -> Charts {
    read_with(sheet, &Settings::default())
}

fn read_with(sheet: &str, above: &Settings) -> Charts {
    convert::charts(&Arc::from("sheet.csv"), sheet.as_bytes(), None, &Settings::default(), above)
}

fn beside(sentence: &str, chart: &str) -> String {
    format!("Tide Lines\n\n{chart}\n\"{sentence}\"\n{KEY}")
}

fn pattern(read: &Charts, what: &str) -> Pattern {
    assert_eq!(read.charts.len(), 1, "{what}");
    read.charts[0].sound().unwrap_or_else(|| panic!("{what}: {:?}", read.charts[0].findings)).clone()
}

fn rows(pattern: &Pattern) -> Vec<String> {
    let row = |row: &longhand::pattern::Row| {
        let names: Vec<&str> =
            row.stitches.iter().map(|&id| pattern.stitches.get(id).name.as_str()).collect();
        format!("{} {}", row.number, names.join(" "))
    };
    pattern.rows.iter().map(row).collect()
}

/// What is said about a sentence: the kinds of finding that name it, or the numbers in it.
fn said(read: &Charts) -> Vec<&'static str> {
    const ABOUT: [&str; 6] = [
        "repeat-not-shown",
        "setting-in-words",
        "sentence-not-followed",
        "rows-told",
        "rows-untold",
        "multiple-mismatch",
    ];
    let findings = read.charts.iter().flat_map(|chart| &chart.findings);
    findings.map(|finding| finding.code.name()).filter(|name| ABOUT.contains(name)).collect()
}

fn four(second: &str, fourth: &str) -> Vec<String> {
    vec![ROW_1.into(), format!("2 {second}"), ROW_3.into(), format!("4 {fourth}")]
}

#[test]
fn a_sentence_for_all_rows_that_are_not_drawn_is_return_rows() {
    for sentence in [
        "All WS rows: Purl.",
        "Row 2 and all WS rows: Purl.",
        "Row 2 and all WS rows (WS): Purl.",
        "Row 2 and all even-numbered rows: P to end.",
        "Even-numbered rows: purl",
        "WS rows: purl",
        "WS: purl across",
        "Purl all WS rows",
        "Purl across on all WS rows.",
        "Work all WS rows: purl",
        "On WS rows, purl",
        "Rows 2 and 4: Purl.",
        "All other rows: Purl.",
        "WS rows are purled.",
        "All even rows are purl",
        "Purl back on all WS rows.",
        "Work all WS rows as purl rows.",
        "Wrong-side rows are all purled",
        "Return rows are purled.",
    ] {
        let read = read(&beside(sentence, LACE));
        let pattern = pattern(&read, sentence);
        assert_eq!(rows(&pattern), four(PURL, PURL), "{sentence}");
        assert_eq!(said(&read), ["setting-in-words"], "{sentence}");
        assert!(pattern.notes.is_empty(), "{sentence}");
    }
    let plain = pattern(&read(&format!("{LACE}{KEY}")), "without a sentence");
    assert_eq!(rows(&plain), four(AS_THEY_APPEAR, AS_THEY_APPEAR));
}

#[test]
fn a_sentence_may_tell_a_row_in_words() {
    let bordered = "k k p p k k";
    for sheet in [
        beside("Even-numbered rows: k2, p to last 2 sts, k2", LACE),
        // Commas cut it in a csv file.
        format!("{LACE}\nEven-numbered rows: k2, p to last 2 sts, k2\n{KEY}"),
        format!("{LACE}\nAll WS rows:,\"K2, p2, k2.\"\n{KEY}"),
    ] {
        let read = read(&sheet);
        let pattern = pattern(&read, &sheet);
        assert_eq!(rows(&pattern), four(bordered, bordered), "{sheet}");
        assert_eq!(said(&read), ["setting-in-words"], "{sheet}");
    }
    let more = read(&beside("All WS rows: Purl. Slip the first stitch if you like.", LACE));
    let pattern = pattern(&more, "what follows stays a note");
    assert_eq!(rows(&pattern), four(PURL, PURL));
    assert_eq!(pattern.notes, ["All WS rows: Purl. Slip the first stitch if you like."]);
}

#[test]
fn rows_that_are_not_drawn_are_told_one_by_one() {
    for (sentences, expected) in [
        (&["Row 2: Purl.", "Row 4: Knit."][..], four(PURL, KNIT)),
        (&["Row 2: Purl."], four(PURL, AS_THEY_APPEAR)),
        (&["Row 4 (WS): Knit.", "Row 2 (WS): Purl."], four(PURL, KNIT)),
        (&["All WS rows except Row 4: Purl.", "Row 4: Knit."], four(PURL, KNIT)),
        (&["All WS rows except Row 4: Purl."], four(PURL, AS_THEY_APPEAR)),
        (&["Row 2: K2, p2, k2.", "Row 4: As Row 2."], four("k k p p k k", "k k p p k k")),
    ] {
        let lines: String = sentences.iter().map(|sentence| format!("\"{sentence}\"\n")).collect();
        let read = read(&format!("{LACE}\n{lines}{KEY}"));
        let pattern = pattern(&read, sentences[0]);
        assert_eq!(rows(&pattern), expected, "{sentences:?}");
        assert!(pattern.notes.is_empty(), "{sentences:?}");
        assert!(!said(&read).contains(&"sentence-not-followed"), "{sentences:?}");
        // Nothing says how a row is worked that is excepted, unless another sentence does.
        let untold = sentences == ["All WS rows except Row 4: Purl."];
        let assumed = read.charts[0].findings.iter().any(|finding| finding.code.name() == "reading-chosen");
        assert_eq!(assumed, untold, "{sentences:?}");
    }
    // Several lines of one cell's sheet may stand in one line; the numbers may leave a row out anywhere.
    let skipping = ".,.,.,4\n/,o,.,3\n.,/,o,1\n\nRow 2: Purl.\n";
    let pattern = pattern(&read(&format!("{skipping}{KEY}")), "a row left out");
    // Row 3 is read from the right, Row 4 (WS) from the left: its knit symbols are purled there.
    assert_eq!(rows(&pattern), ["1 yo k2tog k", "2 p p p", "3 k yo k2tog", "4 p p p"]);
}

#[test]
fn what_cant_be_followed_is_said() {
    for (sentence, found) in [
        ("All WS rows: as the other chart", four(AS_THEY_APPEAR, AS_THEY_APPEAR)),
        ("WS rows look purled from here", four(AS_THEY_APPEAR, AS_THEY_APPEAR)),
        ("Row 2: place a marker", four(AS_THEY_APPEAR, AS_THEY_APPEAR)),
        ("Row 2 (RS): Purl.", four(AS_THEY_APPEAR, AS_THEY_APPEAR)),
        ("Every row: Purl.", four(AS_THEY_APPEAR, AS_THEY_APPEAR)),
        // A row that is drawn, and drawn otherwise.
        ("Row 3: Knit.", four(AS_THEY_APPEAR, AS_THEY_APPEAR)),
        ("RS rows: knit", four(AS_THEY_APPEAR, AS_THEY_APPEAR)),
    ] {
        let read = read(&beside(sentence, LACE));
        let pattern = pattern(&read, sentence);
        assert_eq!(rows(&pattern), found, "{sentence}");
        assert_eq!(said(&read), ["sentence-not-followed"], "{sentence}");
        assert_eq!(pattern.notes, [sentence], "{sentence}");
    }
    for sentence in [
        "Slip the first st of every row",
        "P the first and last st of every row",
        "Inc 1 st at each end of every 4th row",
        "Decrease 2 stitches on next RS row",
        "Charts show right side only",
        "Purl all WS sts",
    ] {
        let read = read(&beside(sentence, LACE));
        assert_eq!(rows(&pattern(&read, sentence)), four(AS_THEY_APPEAR, AS_THEY_APPEAR), "{sentence}");
        assert!(said(&read).contains(&"sentence-not-followed"), "{sentence}: {:?}", said(&read));
    }
    // What the chart draws is true: every row begins and ends with k1 on its RS.
    let edged = "K,P,K,2\nK,K,K,1\n\nK,\"K on RS, K on WS\"\nP,\"P on RS, K on WS\"\n\nKnit the first st of every row\n";
    assert!(!said(&read(edged)).contains(&"sentence-not-followed"), "{:?}", said(&read(edged)));
    // Rows after those that are drawn are told as ever.
    assert_eq!(said(&read(&beside("Row 9: Purl.", LACE))), ["rows-untold"]);
}

#[test]
fn a_cell_may_hold_several_sentences() {
    let flat = |sentence: &str| pattern(&read(&beside(sentence, LACE)), sentence);
    for (sentences, expected) in [
        ("Worked flat. All WS rows: Purl.", four(PURL, PURL)),
        ("Row 2: Purl. Row 4: Knit.", four(PURL, KNIT)),
        ("RS rows: follow the chart; WS rows: purl", four(PURL, PURL)),
        ("Row 2. Purl.", four(PURL, AS_THEY_APPEAR)),
    ] {
        assert_eq!(rows(&flat(sentences)), expected, "{sentences}");
    }
    let whole = flat("Worked flat. All WS rows: Purl.");
    assert!(whole.notes.is_empty());
    // What is said besides is not lost with what is taken.
    let besides = flat("Worked flat. All WS rows: Purl. Wash it by hand.");
    assert_eq!(besides.notes, ["Worked flat. All WS rows: Purl. Wash it by hand."]);
    // In the round Row 2 is knitted, and worked as Row 1 is.
    let round = flat("Work in rounds. All even rounds: Knit.");
    assert_eq!((round.worked, rows(&round)), (Worked::Round, four(KNIT, KNIT)));
}

#[test]
fn sentences_that_contradict_each_other_are_said() {
    let twice = read(&format!("{LACE}\nRow 2: Purl.\nRow 2: Knit.\n{KEY}"));
    assert_eq!(rows(&pattern(&twice, "twice")), four(PURL, AS_THEY_APPEAR));
    assert_eq!(said(&twice), ["rows-told", "sentence-not-followed"]);
    assert_eq!(pattern(&twice, "twice").notes, ["Row 2: Knit."]);
    let rounds = read(&beside("All even rounds: Knit.", LACE));
    assert_eq!(rows(&pattern(&rounds, "rounds")), four(AS_THEY_APPEAR, AS_THEY_APPEAR));
    assert_eq!(said(&rounds), ["sentence-not-followed"]);
    // A row in words that uses too few stitches is told where it stands.
    let few = read(&format!("{LACE}\nRow 4: K2, p2.\n{KEY}"));
    let error =
        few.charts[0].findings.iter().find(|finding| finding.code.name() == "return-row-fit").unwrap();
    assert_eq!((error.place.to_string(), error.row), ("sheet.csv, line 4, column 1".to_owned(), Some(4)));
}

/// Row 2 is drawn, and its symbols are knit stitches: purl on the WS.
#[test]
fn a_sentence_for_rows_that_are_drawn_stays_a_note() {
    let chart = "/,o,.,3\n.,.,.,2\n.,/,o,1\n";
    let drawn = ["1 yo k2tog k", "2 p p p", "3 k yo k2tog"];
    for (sentence, expected) in [
        ("All WS rows: Purl.", &[][..]),
        ("Row 2: P3.", &[]),
        ("All WS rows: Knit.", &["sentence-not-followed"]),
        ("Row 2: P1, k1, p1.", &["sentence-not-followed"]),
        ("All WS rows: as you like", &[]),
    ] {
        let read = read(&beside(sentence, chart));
        let pattern = pattern(&read, sentence);
        assert_eq!((rows(&pattern), said(&read)), (drawn.map(str::to_owned).to_vec(), expected.to_vec()));
        assert_eq!(pattern.notes, [sentence]);
    }
}

#[test]
fn a_setting_counts_for_more_than_a_sentence() {
    let set = format!("{LACE}\nReturn rows: knit\nAll WS rows: Purl.\n{KEY}");
    let contradicted = read(&set);
    let set = pattern(&contradicted, "contradicted");
    assert_eq!((rows(&set), said(&contradicted)), (four(KNIT, KNIT), vec!["sentence-not-followed"]));
    assert_eq!(set.notes, ["All WS rows: Purl."]);
    let agreed = read(&format!("{LACE}\nReturn rows: purl\nAll WS rows: Purl.\n{KEY}"));
    assert_eq!(rows(&pattern(&agreed, "agreed")), four(PURL, PURL));
    assert!(said(&agreed).is_empty());
    let flat = Settings { worked: Some(Worked::Flat), ..Settings::default() };
    let called = read_with(&beside("Worked in the round.", LACE), &flat);
    assert_eq!(pattern(&called, "called").worked, Worked::Flat);
    assert_eq!(said(&called), ["sentence-not-followed"]);
    let both = read(&format!("{LACE}\nAll WS rows: Purl.\nRows 2 and 4: Knit.\n{KEY}"));
    assert!(said(&both).contains(&"sentence-not-followed"));
}

#[test]
fn settings_are_said_in_sentences() {
    let every = ".,-,.,2\n-,.,-,1\n";
    let round = read(&beside("Worked in the round", every));
    // In the round every row is read from the right, and a dot is a knit stitch.
    let worked = pattern(&round, "in the round");
    assert_eq!((worked.worked, rows(&worked)), (Worked::Round, vec!["1 p k p".into(), "2 k p k".into()]));
    assert_eq!((said(&round), worked.notes.len()), (vec!["setting-in-words"], 0));
    assert_eq!(pattern(&read(&beside("Work in rounds.", every)), "rounds").worked, Worked::Round);
    // Row 1 read from the left, its purls knitted; Row 2 from the right.
    let wrong_side = pattern(&read(&beside("Row 1 is a WS row.", every)), "row 1");
    assert_eq!(rows(&wrong_side), ["1 k p k", "2 k p k"]);
    let left = pattern(&read(&beside("Left-handed", every)), "left");
    assert_eq!(left.hand, Hand::Left);
    // Rows 1 and 3 are drawn, numbered 1 and 2.
    let half = read(&beside("Chart shows RS rows only.", every));
    let half = pattern(&half, "half");
    assert_eq!(rows(&half), ["1 p k p", "2 k p k", "3 k p k", "4 p k p"]);
}

/// Three rows of three without numbers: p1, k1, p1 and k1, p1, k1 as they look, from the bottom.
const BARE: &str = ".,-,.\n-,.,-\n";

/// Words in any order that leave no doubt are settings, in charts without row numbers too.
#[test]
fn settings_are_known_by_their_words() {
    let rows_of = |sentence: &str| rows(&pattern(&read(&beside(sentence, BARE)), sentence));
    // In the round both rows are read from the right as they look.
    for sentence in [
        "Work in the round from the bottom up; row 1 is at the bottom",
        "Circular knitting",
        "All rounds are RS rounds",
        "Rounds are read from right to left",
    ] {
        assert_eq!(rows_of(sentence), ["1 p k p", "2 k p k"], "{sentence}");
    }
    // Row 1 at the top, Row 2 turned.
    for sentence in
        ["Read the chart from top to bottom.", "Row 1 is at the top", "Chart is worked from the top down"]
    {
        assert_eq!(rows_of(sentence), ["1 k p k", "2 k p k"], "{sentence}");
    }
    // Rows 1 and 3 are drawn; the others are told.
    let told = |second: &str, fourth: &str| {
        vec!["1 p k p".to_owned(), format!("2 {second}"), "3 k p k".into(), format!("4 {fourth}")]
    };
    for (sentence, second, fourth) in [
        ("Only odd rows are charted; even rows are purled", "p p p", "p p p"),
        ("Even rows are not shown: purl.", "p p p", "p p p"),
        ("WS rows (not charted): k the knits and p the purls", "k p k", "p k p"),
        ("Chart shows odd rounds only. Knit even rounds.", "k k k", "k k k"),
        ("Even-numbered rounds are not charted, knit all sts", "k k k", "k k k"),
    ] {
        assert_eq!(rows_of(sentence), told(second, fourth), "{sentence}");
    }
    // As worked, Row 2 is read from the left with its symbols as they stand.
    for sentence in ["Symbols are shown as worked", "WS rows are shown as they are worked"] {
        assert_eq!(rows_of(sentence), ["1 p k p", "2 k p k"], "{sentence}");
    }
    let odd = read(&beside("Odd-numbered rows are WS rows", ".,-,-,2\n-,.,.,1\n"));
    // Row 1 is worked from the left, its symbols turned: k1, p2; Row 2 from the right as it looks.
    assert_eq!(rows(&pattern(&odd, "odd rows")), ["1 k p p", "2 p p k"]);
}

/// What speaks of how rows are worked in words that may mean more than one thing is told, where nothing settles it.
#[test]
fn sentences_that_are_not_understood_are_said() {
    for sentence in [
        "Worked in the round to the heel",
        "Chart A is worked in the round.",
        "Chart B is worked in the round.",
        "Read all rows from right to left",
        "Read RS rows from left to right",
        "Mirrored for left-handers",
        "Mosaic knitting",
        "Each chart row represents two rows",
        "Set-up row: purl.",
        "Row 0: purl",
        "Work Rows 1-2 twice.",
        "Row 1 - work 2 times",
        "Worked top down",
    ] {
        let read = read(&beside(sentence, BARE));
        assert_eq!(said(&read), ["sentence-not-followed"], "{sentence}");
        assert_eq!(pattern(&read, sentence).notes, [sentence], "{sentence}");
    }
    // The rows have numbers, or the setting is stated.
    let numbered = ".,-,.,2\n-,.,-,1\n";
    assert!(said(&read(&beside("Worked top down", numbered))).is_empty());
    let against = read(&beside("Read the chart from top to bottom", numbered));
    assert_eq!(said(&against), ["sentence-not-followed"]);
    let stated =
        read(&format!("Worked: in the round\n{}", beside("Read all rows from right to left", numbered)));
    assert!(said(&stated).is_empty());
    for sentence in
        ["Gauge: 20 sts and 28 rounds = 10 cm", "Each square is one stitch", "Rows 1-2 form the pattern"]
    {
        assert!(said(&read(&beside(sentence, numbered))).is_empty(), "{sentence}");
    }
}

/// Lines of a pattern sheet that begin as a setting does are no mistakes of it: they are read as sentences are, or told.
#[test]
fn lines_that_begin_as_settings_do() {
    let numbered = ".,-,.,2\n-,.,-,1\n";
    let with = |line: &str| read(&format!("Tide Lines\n{line}\n\n{numbered}{KEY}"));
    let flat = ["1 p k p", "2 p k p"].map(str::to_owned).to_vec();
    for line in ["\"Worked: in the round, top down\"", "Worked:,\"in the round, top down\""] {
        let read = with(line);
        let worked = pattern(&read, line);
        assert_eq!((worked.worked, said(&read)), (Worked::Round, vec!["setting-in-words"]), "{line}");
        assert!(worked.notes.is_empty(), "{line}");
    }
    // Row 1 is a WS row: from the left, each turned.
    let first = with("First row: WS");
    assert_eq!(rows(&pattern(&first, "first row")), ["1 k p k", "2 k p k"]);
    for (line, note) in [
        ("Cast-on: long-tail", "Cast-on: long-tail"),
        ("Cast on:,loosely", "Cast on: loosely"),
        ("Worked: top down", "Worked: top down"),
        ("\"Sizes: S (M, L)\"", "Sizes: S (M, L)"),
        ("Charted:,for the archive", "Charted: for the archive"),
    ] {
        let read = with(line);
        let drawn = pattern(&read, line);
        assert_eq!((rows(&drawn).len(), drawn.notes), (2, vec![note.to_owned()]), "{line}");
        assert_eq!(said(&read), ["sentence-not-followed"], "{line}");
    }
    for line in ["Charted: by Isla Quern", "Symbols: see key", "Symbols:,see key", "Sizes: One size"] {
        let read = with(line);
        assert!(said(&read).is_empty(), "{line}");
        assert_eq!(rows(&pattern(&read, line)).len(), flat.len(), "{line}");
    }
    for line in [
        "Worked: flatt",
        "Hand: both",
        "Cast on: 0",
        "Cast on: 1000000 sts",
        "Return rows: as you like",
        "Sizes: S = 0",
    ] {
        let read = with(line);
        assert!(kinds(&read).contains(&"wrong-setting") && read.charts[0].sound().is_none(), "{line}");
    }
}

/// Columns 2-4 of five are worked again: 2, 3 and 5 times on 8, 11 and 17 sts.
#[test]
fn sizes_have_the_names_that_a_line_gives_them() {
    let chart = ".,-,o,/,.,1\n";
    let read =
        read(&format!("\"Sizes: S (M, L)\"\n\"Cast on: 8 (11, 17) sts\"\nRepeat: 2-4\n\n{chart}{KEY}"));
    let found = pattern(&read, "sizes");
    let sizes: Vec<(String, u32)> =
        found.sizes.iter().map(|size| (size.name.to_string(), size.cast_on)).collect();
    assert_eq!(sizes, [("S".to_owned(), 8), ("M".to_owned(), 11), ("L".to_owned(), 17)]);
    assert!(found.notes.is_empty(), "{:?}", found.notes);
    assert_eq!(said(&read), ["setting-in-words"]);
}

/// What stands beside a row is printed with it, equal notes of several rows together; a repetition is told with its row.
#[test]
fn notes_beside_rows_are_theirs() {
    let chart = ".,-,.,4,dec rnd\n-,.,-,3,\n.,-,.,2,dec rnd\n-,.,-,1,pick up\n";
    let notes =
        |chart: &str, more: &str| pattern(&read(&format!("Tide Lines\n\n{chart}\n{more}{KEY}")), chart).notes;
    assert_eq!(notes(chart, ""), ["Rows 2 and 4: dec rnd", "Row 1: pick up"]);
    assert_eq!(notes(chart, "Worked in the round\n\n"), ["Rounds 2 and 4: dec rnd", "Round 1: pick up"]);
    // With a column between, or as a sentence of its own, it may be about anything; so may a line with a label.
    for (beside, note) in [
        (",wash it", "wash it"),
        ("Wash it by hand.", "Wash it by hand."),
        ("Row 2: see the photo", "Row 2: see the photo"),
    ] {
        assert_eq!(notes(&format!(".,-,.,2\n-,.,-,1,{beside}\n"), ""), [note]);
    }
    for words in ["rep 3x", "x3", "work rows 1-2 twice", "repeat this row 3 times"] {
        // Wide enough that the number is surely one of a row.
        let read = read(&format!(
            "Tide Lines\n\n.,-,.,-,.,-,4\n-,.,-,.,-,.,3\n.,-,.,-,.,-,2,{words}\n-,.,-,.,-,.,1\n{KEY}"
        ));
        let warned =
            read.charts[0].findings.iter().find(|finding| finding.code.name() == "sentence-not-followed");
        assert_eq!(warned.map(|finding| finding.row), Some(Some(2)), "{words}");
        assert_eq!(pattern(&read, words).notes, [format!("Row 2: {words}")]);
    }
}

/// Labels of a chart are no notes of its pattern, and are told as left aside; numbers headed "Rnd" are those of rounds.
#[test]
fn labels_beside_a_chart_are_no_notes() {
    for sheet in [
        format!("Tide Lines\n\nEdge,Repeat,Edge\n\n.,-,.,2\n-,.,-,1\n{KEY}"),
        format!("Tide Lines\n\nWS,,,,RS\n,.,-,.,2\n1,-,.,-\n{KEY}"),
        format!("Tide Lines\nNotes\n\n.,-,.,2\n-,.,-,1\n{KEY}"),
    ] {
        let read = read(&sheet);
        assert!(pattern(&read, &sheet).notes.is_empty(), "{sheet}");
        assert!(kinds(&read).contains(&"cells-left-aside"), "{sheet}");
    }
    for sheet in [
        format!(",,,Rnd\n.,-,.,2\n-,.,-,1\n{KEY}"),
        format!("Tide Lines\n\n.,-,.,2\n-,.,-,1\n,,,Rounds\n{KEY}"),
    ] {
        let read = read(&sheet);
        let round = pattern(&read, &sheet);
        assert_eq!(
            (round.worked, rows(&round)),
            (Worked::Round, vec!["1 p k p".into(), "2 k p k".into()]),
            "{sheet}"
        );
        assert!(kinds(&read).contains(&"rounds-assumed") && round.notes.is_empty(), "{sheet}");
    }
}

/// A sentence said once serves all charts of its sheet; a cast-on, or one of several, serves the chart it stands nearest to.
#[test]
fn sentences_serve_their_charts() {
    let both = format!("Worked in the round\n\n{LACE}\n\n\n{LACE}{KEY}");
    let both = read(&both);
    assert_eq!(both.charts.len(), 2);
    assert!(both.charts.iter().all(|chart| chart.sound().is_some_and(|one| one.worked == Worked::Round)));
    let apart = read(&format!("{LACE}WS rows: purl\n\n\n\nWS rows: knit\n{LACE}{KEY}"));
    let found: Vec<Vec<String>> = apart.charts.iter().map(|chart| rows(chart.sound().unwrap())).collect();
    assert_eq!(found, [four(PURL, PURL), four(KNIT, KNIT)]);
}

/// Columns 1 to 4 from the right are worked again: 4 sts and 2 more.
const REPEAT: &str = "Repeat columns 1-4";
const SIX: &str = ".,.,/,o,.,-,1\n";

#[test]
fn a_cast_on_counts_where_a_repeat_is_drawn() {
    let told = read(&format!("{SIX}\n{REPEAT}\n\nCast on 14 sts\n{KEY}"));
    let wide = pattern(&told, "14");
    // (p1, k1, yo, k2tog) three times, k2.
    assert_eq!(wide.cast_on, 14);
    assert_eq!(rows(&wide), ["1 p k yo k2tog p k yo k2tog p k yo k2tog k k"]);
    assert!(!wide.notes.contains(&"Cast on 14 sts".to_owned()));
    assert!(said(&told).contains(&"setting-in-words"));
    let without = read(&format!("{SIX}\nCO 14\n{KEY}"));
    let warned =
        &without.charts[0].findings.iter().find(|finding| finding.code.name() == "sentence-not-followed");
    let warned = warned.unwrap();
    assert_eq!((warned.found.as_deref(), warned.expected.as_deref()), (Some("14 sts"), Some("6 sts")));
    assert_eq!(pattern(&without, "CO 14").cast_on, 6);
    let alike = read(&format!("{SIX}\nCast on 6 sts\nYarn: any\n{KEY}"));
    assert!(said(&alike).is_empty());
    assert_eq!(pattern(&alike, "6").notes, ["Yarn: any"]);
}

#[test]
fn a_multiple_and_a_repeat_are_held_against_the_chart() {
    for (sentence, expected) in [
        ("Multiple of 4 sts plus 2", &[][..]),
        ("Multiple of 4 sts plus 6", &[]),
        ("Multiple of 6 sts plus 2", &["multiple-mismatch"]),
        ("Multiple of 4 sts + 1", &["multiple-mismatch"]),
        ("4-st repeat", &[]),
    ] {
        assert_eq!(said(&read(&format!("{SIX}\n{REPEAT}\n\n{sentence}\n{KEY}"))), expected, "{sentence}");
    }
    for (sentence, expected) in
        [("Multiple of 4 sts plus 2", "repeat-not-shown"), ("Multiple of 4 sts", "multiple-mismatch")]
    {
        assert_eq!(said(&read(&format!("{SIX}\n{sentence}\n{KEY}"))), [expected], "{sentence}");
    }
    for sentence in ["8-st repeat", "repeat from here", "|< rep >|", "Repeat: 2", "Pattern repeat"] {
        let read = read(&format!("{SIX}\n{sentence}\n{KEY}"));
        assert_eq!(said(&read), ["sentence-not-followed"], "{sentence}");
    }
    for sentence in ["Rep Row 1 until the strip is long enough.", "Repeat for the second sleeve"] {
        assert!(said(&read(&format!("{SIX}\n{sentence}\n{KEY}"))).is_empty(), "{sentence}");
    }
}

/// What stands beside a symbol explains it, whatever it says.
#[test]
fn words_of_the_key_are_no_sentences() {
    let sheet = format!("g,.,g,2\ng,-,g,1\n{KEY}g,knit every row\n");
    let keyed = read(&sheet);
    assert_eq!(rows(&pattern(&keyed, "key")), ["1 k p k", "2 k p k"]);
    assert!(said(&keyed).is_empty());
    let cast = read(&format!("+,.,.,1\n{KEY}+,cast on 1\n"));
    assert!(said(&cast).is_empty(), "{:?}", cast.charts[0].findings);
}

/// Columns 2-4 of five are worked again: a multiple of 3 sts + 2.
#[test]
fn sizes_and_bare_columns_of_the_repeat_are_followed() {
    let chart = ".,-,o,/,.,3\n.,.,.,-,.,2\n.,-,o,/,.,1\n";
    let read = |words: &str| read(&format!("Tide Lines\n\n{chart}\n{words}\n{KEY}"));
    let sizes = |pattern: &Pattern| -> Vec<(String, u32, u32)> {
        let one = |size: &longhand::pattern::Size| (size.name.to_string(), size.times, size.cast_on);
        pattern.sizes.iter().map(one).collect()
    };
    let size = |name: &str, times, cast_on| (name.to_owned(), times, cast_on);
    for repeat in ["Repeat: 2-4", "Rep 2–4", "Repeat columns 2-4."] {
        let found = pattern(&read(repeat), repeat);
        assert_eq!(found.multiple.map(|multiple| (multiple.of, multiple.plus)), Some((3, 2)), "{repeat}");
        let whole = read(&format!("{repeat}\n\"Cast on 8 (11, 17) sts.\""));
        let found = pattern(&whole, repeat);
        assert_eq!(sizes(&found), [size("1", 2, 8), size("2", 3, 11), size("3", 5, 17)], "{repeat}");
        assert_eq!(rows(&found)[0], "1 k k2tog yo p k2tog yo p k", "{repeat}");
        assert_eq!(said(&whole), ["setting-in-words"], "{repeat}");
    }
    // Numbers that are no columns.
    for words in ["Repeat 2-4 times", "Repeat rows 1-2", "Repeat: 2"] {
        assert_eq!(pattern(&read(words), words).multiple, None, "{words}");
    }
    // 12 is no multiple of 3 + 2: the first size is given; without a repeat the chart is that of one.
    let uneven = read("Repeat: 2-4\n\"Cast on 8 (12) sts.\"");
    assert_eq!((pattern(&uneven, "uneven").cast_on, pattern(&uneven, "uneven").sizes.len()), (8, 0));
    assert!(kinds(&uneven).contains(&"first-size-only"), "{:?}", kinds(&uneven));
    let alone = read("\"Cast on 5 (8) sts.\"");
    assert!(kinds(&alone).contains(&"first-size-only"), "{:?}", kinds(&alone));
    let other = read("\"Cast on 28 (36, 44) sts.\"");
    assert_eq!(said(&other), ["sentence-not-followed"]);
}

/// Numbers of stitches, of workings, of sizes and of rounds are no columns: the chart keeps its width, and what the
/// sentence says of a repeat that is not shown is told.
#[test]
fn numbers_in_a_sentence_about_a_repeat_are_columns_where_it_says_so() {
    let chart = ".,.,.,.,.,.,-,o,/,.,.,.,.,.,1\n";
    for words in [
        "Pattern repeat: 6 sts + 5",
        "8-st repeat, 3 sts at each edge",
        "Rep these 8 sts 3 times",
        "12-st repeat over 48 sts",
        "Multiple of 8 sts + 1 (8-st repeat)",
        "Repeat these 8 sts to end of round 3",
        "Repeat these 8 sts through rnds 3 and 4",
        "Repeat the 8 sts 2-3 times",
        "6-st repeat: 24-36 sts",
        "Repeat columns 3 and 8",
    ] {
        let read = read(&format!("{chart}\n\"{words}\"\n{KEY}"));
        let pattern = pattern(&read, words);
        assert_eq!((pattern.multiple, pattern.cast_on), (None, 14), "{words}");
        assert!(!kinds(&read).contains(&"repeat-drawn"), "{words}");
        // What is said of rows may stay a note.
        let rows = words.contains("rnds") || words.contains("round");
        assert!(rows || !said(&read).is_empty(), "{words}: {:?}", kinds(&read));
    }
    for words in [
        "Repeat columns 3-8.",
        "Repeat sts 3 to 8",
        "6-st repeat: columns 3-8",
        "Repeat (6 sts): stitches 3 – 8",
        "Repeat from column 3 to column 8",
        "Repeat columns 8 through 3",
        "Repeat between columns 3 and 8",
        "Columns 3—8 are repeated.",
        "Rep: 3-8",
    ] {
        let read = read(&format!("{chart}\n\"{words}\"\n{KEY}"));
        let pattern = pattern(&read, words);
        assert_eq!(pattern.multiple.map(|multiple| (multiple.of, multiple.plus)), Some((6, 8)), "{words}");
        // What was followed is no note: the rows have the repeat.
        assert!(pattern.notes.is_empty(), "{words}: {:?}", pattern.notes);
    }
    // What says more is one, and what was not followed.
    let more = "Repeat columns 3-8 for a wider scarf";
    assert_eq!(pattern(&read(&format!("{chart}\n\"{more}\"\n{KEY}")), more).notes, [more]);
    let set = read(&format!("Repeat columns: 4-9\n\n{chart}\nRepeat sts 3-8\n{KEY}"));
    assert_eq!(pattern(&set, "set").notes, ["Repeat sts 3-8"]);
    // One column by itself; those beside it show the same, and are workings of it.
    for words in
        ["Repeat column 2", "Repeat columns 2-2", "Column 2 is repeated: repeat col 2", "Rep: column 2."]
    {
        let read = read(&format!("{chart}\n\"{words}\"\n{KEY}"));
        let multiple = pattern(&read, words).multiple.map(|multiple| (multiple.of, multiple.plus));
        assert_eq!(multiple, (!words.starts_with("Column")).then_some((1, 9)), "{words}");
    }
}

/// The kinds of finding of all charts.
fn kinds(read: &Charts) -> Vec<&'static str> {
    read.charts.iter().flat_map(|chart| &chart.findings).map(|finding| finding.code.name()).collect()
}

/// Commas cut the numbers of a label in a csv file.
#[test]
fn labels_that_commas_cut_are_whole() {
    for label in ["Rows 2, 4, 6: knit", "\"Rows 2, 4, 6: knit\"", "Rows 2, 4, and 6: knit"] {
        let read = read(&format!("Tide\n{label}\n\n.,.,.,5\n.,-,.,3\n.,.,.,1\n{KEY}"));
        let pattern = pattern(&read, label);
        let second = &pattern.rows[1];
        let names: Vec<&str> =
            second.stitches.iter().map(|id| pattern.stitches.get(*id).name.as_str()).collect();
        assert_eq!((second.number, names), (2, vec!["k", "k", "k"]), "{label}");
        assert!(pattern.notes.is_empty(), "{label}: {:?}", pattern.notes);
        assert_eq!(pattern.title, "Tide");
    }
}

/// A sentence that names the columns of the repeat is no title, though no other line stands there.
#[test]
fn a_sentence_of_a_repeat_is_no_title() {
    let read = read(&format!("Repeat columns 2-3\n\n.,-,-,.,1\n{KEY}"));
    assert_eq!(pattern(&read, "a repeat").title, "sheet");
}
