//! Down the rows: rows that recur, and rows that grow, are told as an editor would and read back the same.
//!
//! The patterns are given by their stitches; the lines expected were written beside them by hand, in the words of
//! domain practice ("Rows 9-16: Rep Rows 1-8"; common practice, no published source).
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

use std::sync::Arc;

use longhand::convert::{self, Chart, Format};
use longhand::pattern::{Hand, Multiple, Pattern, Row, RowRepeat, Side, Size, Worked};
use longhand::place::Place;
use longhand::settings::Settings;
use longhand::stitch::Stitches;
use longhand::style;
use proptest::prelude::*;

/// A pattern of rows, each the names of its stitches, "k" times 3 being "k*3".
fn pattern(worked: Worked, rows: &[Vec<String>]) -> Pattern {
    let mut stitches = Stitches::built_in();
    let rows: Vec<Row> = (1..)
        .zip(rows)
        .map(|(number, names)| {
            let ids = names.iter().flat_map(|name| {
                let (name, times) = name.split_once('*').unwrap_or((name, "1"));
                std::iter::repeat_n(stitches.find(name).unwrap(), times.parse().unwrap())
            });
            Row {
                number,
                side: if worked == Worked::Round || number % 2 == 1 { Side::Rs } else { Side::Ws },
                charted: true,
                stitches: ids.collect(),
                place: Place::file(&Arc::from("a")),
                cells: Vec::new(),
                stated: None,
                repeat: None,
            }
        })
        .collect();
    Pattern {
        title: "Any".into(),
        source: Arc::from("a"),
        chart: None,
        worked,
        hand: Hand::Right,
        cast_on: rows.first().map_or(0, |row| stitches.uses(&row.stitches)),
        multiple: None,
        sizes: Vec::new(),
        rows,
        notes: Vec::new(),
        stitches,
    }
}

fn row(text: &str) -> Vec<String> {
    text.split_whitespace().map(str::to_owned).collect()
}

fn text(pattern: &Pattern, style: &str) -> String {
    let chart = Chart {
        letter: None,
        pattern: Some(pattern.clone()),
        sizes: Vec::new(),
        settings: Settings::default(),
        reading: None,
        findings: Vec::new(),
    };
    convert::output(&[&chart], Format::named("text").unwrap(), style::named(style).unwrap())
}

/// What is noted of the rows in a style.
fn noted(pattern: &Pattern, style: &str) -> Option<String> {
    let chart = Chart {
        letter: None,
        pattern: Some(pattern.clone()),
        sizes: Vec::new(),
        settings: Settings::default(),
        reading: None,
        findings: Vec::new(),
    };
    let told = convert::noted(&chart, Format::named("text").unwrap(), style::named(style).unwrap()).pop()?;
    assert_eq!(told.code.name(), "size-not-served");
    Some(told.message)
}

/// The lines of rows of a text.
fn lines(text: &str) -> Vec<&str> {
    let label = |line: &&str| {
        ["Row ", "Rows ", "Round ", "Rounds ", "Set-up "].iter().any(|word| line.starts_with(word))
    };
    text.lines().filter(label).collect()
}

fn told(pattern: &Pattern) -> Vec<(u32, Side, Vec<&str>)> {
    let names = |row: &Row| row.stitches.iter().map(|&id| pattern.stitches.get(id).name.as_str()).collect();
    pattern.rows.iter().map(|row| (row.number, row.side, names(row))).collect()
}

/// Every style says the rows and nothing else.
fn reads_back(pattern: &Pattern) {
    for style in style::built_in() {
        let text = text(pattern, &style.name);
        let none = Settings::default();
        let read = convert::texts(&Arc::from("a.txt"), text.as_bytes(), None, &none, &none, None);
        let [chart] = &read.charts[..] else { panic!("one pattern\n{text}") };
        let Some(read) = chart.sound() else { panic!("{:#?}\n{text}", chart.findings) };
        assert_eq!(told(read), told(pattern), "{}\n{text}", style.name);
    }
}

fn says(worked: Worked, rows: &[Vec<String>], style: &str, expected: &[&str]) {
    let pattern = pattern(worked, rows);
    assert_eq!(lines(&text(&pattern, style)), expected, "{style}");
    reads_back(&pattern);
}

/// A lace of eight rows worked three times, and two rows more.
#[test]
fn blocks_that_recur() {
    let lace = ["k*2 yo ssk k*3 k2tog yo k*2", "p*11", "k*3 yo ssk k k2tog yo k*3", "p*11"];
    let rows: Vec<Vec<String>> = lace.iter().cycle().take(14).map(|text| row(text)).collect();
    let expected = [
        "Row 1 (RS): K2, yo, ssk, k3, k2tog, yo, k2.",
        "Row 2 (WS): Purl.",
        "Row 3 (RS): K3, yo, ssk, k1, k2tog, yo, k3.",
        "Row 4 (WS): Purl.",
        "Rows 5-12: Rep Rows 1-4 twice more.",
        "Rows 13 and 14: Rep Rows 1 and 2.",
    ];
    says(Worked::Flat, &rows, "abbreviated", &expected);
    // One sentence for the WS rows leaves only the RS rows to be told.
    let expected =
        [expected[0], "Row 2 and all WS rows: Purl.", expected[2], expected[4], "Row 13 (RS): As Row 1."];
    says(Worked::Flat, &rows, "right-side", &expected);
}

/// The set-up row is called so, is told by itself, and nothing refers to it (common practice).
#[test]
fn the_row_before_row_1() {
    let set_up = |worked, rows: &[Vec<String>]| {
        let mut pattern = pattern(worked, rows);
        for row in &mut pattern.rows {
            row.number -= 1;
            row.side = if worked == Worked::Round || row.number % 2 == 1 { Side::Rs } else { Side::Ws };
        }
        reads_back(&pattern);
        pattern
    };
    // In stocking stitch, where it could be told with the others.
    let plain: Vec<Vec<String>> = (0..7).map(|at| row(if at % 2 == 0 { "p*6" } else { "k*6" })).collect();
    let pattern = set_up(Worked::Flat, &plain);
    for (style, expected) in [
        ("abbreviated", &["Set-up row (WS): Purl.", "Rows 1-6: Work in St st, beg with a knit row."]),
        ("right-side", &["Set-up row (WS): Purl.", "Rows 1-6: Work in St st, beg with a knit row."]),
    ] {
        assert_eq!(lines(&text(&pattern, style)), expected, "{style}");
    }
    for (style, first) in [
        ("bracketed", "Set-up row (WS): Purl. (6 sts)"),
        ("spelled-out", "Set-up row, wrong side: purl to the end. 6 stitches."),
        ("aloud", "Set-up row, wrong side. Purl to the end. Six stitches."),
    ] {
        assert_eq!(lines(&text(&pattern, style))[0], first, "{style}");
    }
    // Lace whose WS rows are as it is: a sentence for all of them begins with row 2.
    let lace = ["p*6", "k yo k2tog k*3", "p*6", "k*3 yo k2tog k", "p*6"].map(row);
    let pattern = set_up(Worked::Flat, &lace);
    let expected = [
        "Set-up row (WS): Purl.",
        "Row 1 (RS): K1, yo, k2tog, k3.",
        "Row 2 and all WS rows: Purl.",
        "Row 3 (RS): K3, yo, k2tog, k1.",
    ];
    assert_eq!(lines(&text(&pattern, "right-side")), expected);
    // A triangle that grows from it on, and rounds.
    let triangle: Vec<Vec<String>> = (5..16)
        .map(|n| row(&if n % 2 == 0 { format!("k yo k*{} yo k", n - 3) } else { format!("p*{n}") }))
        .collect();
    set_up(Worked::Flat, &triangle);
    let rounds = set_up(Worked::Round, &vec![row("k*8"); 6]);
    assert_eq!(lines(&text(&rounds, "abbreviated")), ["Set-up round: Knit.", "Rounds 1-5: Knit."]);
    assert_eq!(lines(&text(&rounds, "aloud"))[0], "Set-up round. Knit to the end. Eight stitches.");
}

/// A garter edge, stocking stitch, reverse stocking stitch; the first row tells the side.
#[test]
fn blocks_of_plain_rows() {
    let mut rows: Vec<Vec<String>> = vec![row("k*10"); 6];
    rows.extend((0..8).map(|at| row(if at % 2 == 0 { "k*10" } else { "p*10" })));
    rows.push(row("yo k*10"));
    rows.extend((0..5).map(|at| row(if at % 2 == 0 { "k*11" } else { "p*11" })));
    says(
        Worked::Flat,
        &rows,
        "abbreviated",
        &[
            "Rows 1 (RS) to 6: Knit.",
            "Rows 7-14: Work in St st, beg with a knit row.",
            "Row 15 (RS): Yo, k to end. (11 sts)",
            "Rows 16-20: Work in rev St st, beg with a knit row.",
        ],
    );
    says(Worked::Round, &vec![row("k*10"); 6], "abbreviated", &["Rounds 1-6: Knit."]);
}

/// Moss and seed stitch (common practice, no published source): rows that are alike from the first on are one line, which says
/// on which side they begin; a block is told again from its first row on.
#[test]
fn rows_that_are_alike_from_the_first_on() {
    let rows = |texts: &[&str]| texts.iter().map(|text| row(text)).collect::<Vec<_>>();
    let (one, two) = ("k p k p k p k", "p k p k p k p");
    let seed = rows(&[one; 4]);
    says(Worked::Flat, &seed, "abbreviated", &["Rows 1 (RS) to 4: K1, *p1, k1; rep from * to end."]);
    let moss = rows(&[one, two, two, one, one, two, two, one]);
    let expected = [
        "Row 1 (RS): K1, *p1, k1; rep from * to end.",
        "Rows 2 and 3: P1, *k1, p1; rep from * to end.",
        "Row 4 (WS): K1, *p1, k1; rep from * to end.",
        "Rows 5-8: Rep Rows 1-4.",
    ];
    says(Worked::Flat, &moss, "abbreviated", &expected);
    let stocking = rows(&["k*7", "p*7", "k*7", "p*7"]);
    says(Worked::Flat, &stocking, "abbreviated", &["Rows 1-4: Work in St st, beg with a knit row."]);
    // Where the first row is on the WS it says so itself.
    let mut late = pattern(Worked::Flat, &seed);
    for row in &mut late.rows {
        row.side = if row.number % 2 == 1 { Side::Ws } else { Side::Rs };
    }
    assert_eq!(
        lines(&text(&late, "abbreviated")),
        ["Row 1 (WS): K1, *p1, k1; rep from * to end.", "Rows 2-4: K1, *p1, k1; rep from * to end."]
    );
    reads_back(&late);
}

/// A triangle with a centre stitch from its tip: of what stands in brackets none is counted off, "the 1st k1", where rows more
/// make it clear. Common practice, no published source.
#[test]
fn what_grows_in_brackets_is_told_by_its_number() {
    let mut rows = Vec::new();
    for times in 0..6 {
        let side = 1 + 2 * times;
        rows.push(row(&format!("k*2 yo k*{side} yo k yo k*{side} yo k*2")));
        rows.push(row(&format!("k*2 p*{} k*2", 3 + 2 * side + 2)));
    }
    let expected = [
        "Row 1 (RS): K2, [yo, k1] 4 times, k1. (11 sts)",
        "Row 2 (WS): K2, p to last 2 sts, k2.",
        "Row 3 (RS): K2, [yo, k3, yo, k1] twice, k1. (15 sts)",
        "Row 4 (WS): K2, p to last 2 sts, k2.",
        "Rows 5-12: Rep Rows 3 and 4 four times more, working 2 more sts in the k3 each time. (31 sts)",
    ];
    says(Worked::Flat, &rows, "abbreviated", &expected);
}

/// Blocks of rounds begin where Row 1 of them would, not at the plain round before; two equal rounds are one line, two equal
/// rows where they begin on the side of Row 1. Common practice, no published source.
#[test]
fn blocks_begin_in_odd_rows() {
    let (one, two, plain) = ("k*4 yo k2tog k*2", "k*3 yo k2tog k*3", "k*8");
    let rows = |texts: &[&str]| texts.iter().map(|text| row(text)).collect::<Vec<_>>();
    let lace = [one, plain, one, plain, two, plain, two, plain, one, plain, one, plain];
    let expected = [
        "Round 1: K4, yo, k2tog, k2.",
        "Round 2: Knit.",
        "Rounds 3 and 4: Rep Rounds 1 and 2.",
        "Round 5: K3, yo, k2tog, k3.",
        "Round 6: Knit.",
        "Rounds 7 and 8: Rep Rounds 5 and 6.",
        "Rounds 9-12: Rep Rounds 1 and 2 twice more.",
    ];
    says(Worked::Round, &rows(&lace), "abbreviated", &expected);
    let ridges = rows(&[one, "p*8", plain, plain, two, "p*8", plain, plain]);
    let expected = [
        "Row 1 (RS): K4, yo, k2tog, k2.",
        "Row 2 (WS): Purl.",
        "Rows 3 and 4: Knit.",
        "Row 5 (RS): K3, yo, k2tog, k3.",
        "Row 6 (WS): Purl.",
        "Rows 7 and 8: Knit.",
    ];
    says(Worked::Flat, &ridges, "abbreviated", &expected);
    let welts = rows(&[one, "p*8", "p*8", two]);
    let expected = [
        "Row 1 (RS): K4, yo, k2tog, k2.",
        "Row 2 (WS): Purl.",
        "Row 3 (RS): Purl.",
        "Row 4 (WS): K3, yo, k2tog, k3.",
    ];
    says(Worked::Flat, &welts, "abbreviated", &expected);
    // A block is told whole, though a sentence tells its last row as well.
    let block = rows(&[one, "p*8", two, "p*8", one, "p*8", two, "p*8"]);
    let expected = [
        "Row 1 (RS): K4, yo, k2tog, k2.",
        "Row 2 and all WS rows: Purl.",
        "Row 3 (RS): K3, yo, k2tog, k3.",
        "Rows 5-8: Rep Rows 1-4.",
    ];
    says(Worked::Flat, &block, "right-side", &expected);
}

/// The parts of a piece that is shaped are counted, those of a fabric are as many as fit. A number behind "bind off 3" would
/// leave open whether it counts the stitch left of binding off; a wide run goes up to the edge it stands before, too. Common
/// practice, no published source.
#[test]
fn what_is_counted_and_what_goes_to_an_edge() {
    let wedges = vec![row(&"k*4 k2tog ".repeat(4))];
    says(Worked::Round, &wedges, "abbreviated", &["Round 1: [K4, k2tog] 4 times. (20 sts)"]);
    let many = vec![row(&"k*4 k2tog ".repeat(5))];
    says(Worked::Round, &many, "abbreviated", &["Round 1: *K4, k2tog; rep from * to end. (25 sts)"]);
    // Worked on as many stitches in the end it is a fabric.
    let waves = vec![row(&"yo k*3 ".repeat(3)), row(&"p*2 p2tog ".repeat(3))];
    let expected = [
        "Row 1 (RS): *Yo, k3; rep from * to end. (12 sts)",
        "Row 2 (WS): *P2, p2tog; rep from * to end. (9 sts)",
    ];
    says(Worked::Flat, &waves, "abbreviated", &expected);
    let edging = vec![row("bo*3 k*9"), row("p*8 k")];
    for (style, expected) in [
        ("abbreviated", ["Row 1 (RS): BO 3, k to end. (9 sts)", "Row 2 (WS): P to last st, k1."]),
        ("bracketed", ["Row 1 (RS): BO 3, k to end. (9 sts)", "Row 2 (WS): P8, k1. (9 sts)"]),
        (
            "aloud",
            [
                "Row one, right side. Bind off three. Knit to the end. Nine stitches.",
                "Row two, wrong side. Purl eight. Knit one. Nine stitches.",
            ],
        ),
    ] {
        says(Worked::Flat, &edging, style, &expected);
    }
}

/// A horseshoe shrinks its sides to nothing: a rule would leave the last row to be guessed (common practice).
#[test]
fn what_shrinks_to_nothing_is_written_out() {
    let mut rows = Vec::new();
    for times in 1..=3 {
        rows.push(row(&format!("k*{times} yo k*{} sk2p k*{} yo k*{times}", 4 - times, 4 - times)));
        rows.push(row("p*11"));
    }
    rows.push(row("k*4 yo sk2p yo k*4"));
    let text = text(&pattern(Worked::Flat, &rows), "abbreviated");
    assert_eq!(lines(&text)[2], "Row 3 (RS): K2, yo, k2, sk2p, k2, yo, k2.", "{text}");
    assert_eq!(lines(&text)[6], "Row 7 (RS): K4, yo, sk2p, yo, k4.", "{text}");
}

/// Several of a row that grow alike: "every", since "each time" follows. Common practice, no published source.
#[test]
fn several_that_grow_are_told_at_once() {
    let mut rows = Vec::new();
    for times in 0..5 {
        let side = 3 + 2 * times;
        rows.push(row(&format!("k*2 yo k*{side} yo p yo k*{side} yo k*2")));
        rows.push(row(&format!("p*{0} k p*{0}", side + 4)));
    }
    let expected = [
        "Row 1 (RS): K2, yo, k3, yo, p1, yo, k3, yo, k2. (15 sts)",
        "Row 2 (WS): P7, k1, p7.",
        "Rows 3-10: Rep Rows 1 and 2 four times more, working 2 more sts in every k3 and every p7 each time. (31 sts)",
    ];
    says(Worked::Flat, &rows, "abbreviated", &expected);
}

/// RS rows in succession, as some texts have them: rows told together would hide which side they are on.
#[test]
fn rows_whose_sides_do_not_take_turns_stand_alone() {
    let mut pattern = pattern(Worked::Flat, &vec![row("k*4"); 6]);
    pattern.rows[3].side = Side::Rs;
    assert_eq!(lines(&text(&pattern, "abbreviated")).len(), 6);
    reads_back(&pattern);
}

/// A triangle from its tip: one increase at each edge of RS rows, told by open words at every width.
#[test]
fn edges_that_grow_need_no_rule() {
    let mut rows = Vec::new();
    for times in 0..10 {
        rows.push(row(&format!("k*2 yo k*{} yo k*2", 1 + 2 * times)));
        rows.push(row(&format!("k*2 p*{} k*2", 3 + 2 * times)));
    }
    let expected = [
        "Row 1 (RS): K2, yo, k to last 2 sts, yo, k2. (7 sts)",
        "Row 2 (WS): K2, p to last 2 sts, k2.",
        "Rows 3-20: Rep Rows 1 and 2 nine times more. (25 sts)",
    ];
    says(Worked::Flat, &rows, "abbreviated", &expected);
    // The last line tells the WS rows: "Row 2 and all WS rows" would tell them twice.
    says(Worked::Flat, &rows, "right-side", &expected);
    // With a row more at the end the sentence has one to tell.
    rows.push(row(&"k ".repeat(25)));
    rows.push(row("k*2 p*21 k*2"));
    let told =
        [expected[0], "Row 2 and all WS rows: K2, p to last 2 sts, k2.", expected[2], "Row 21 (RS): Knit."];
    says(Worked::Flat, &rows, "right-side", &told);
}

/// A centre stitch between two halves that grow: no "to last n sts" says both, so the growth is told.
#[test]
fn halves_that_grow_are_told() {
    let mut rows = Vec::new();
    for times in 0..30 {
        let half = 3 + 2 * times;
        rows.push(row(&format!("k*2 yo k*{half} yo k yo k*{half} yo k*2")));
        rows.push(row(&format!("k*2 p*{} k*2", 2 * half + 5)));
    }
    says(
        Worked::Flat,
        &rows,
        "abbreviated",
        &[
            "Row 1 (RS): K2, [yo, k3, yo, k1] twice, k1. (15 sts)",
            "Row 2 (WS): K2, p to last 2 sts, k2.",
            "Rows 3-60: Rep Rows 1 and 2 twenty-nine times more, working 2 more sts in the k3 each time. (131 sts)",
        ],
    );
}

/// A crown of eight wedges, and a hexagon: sections that grow or shrink evenly.
#[test]
fn sections_that_shrink_and_grow() {
    let crown: Vec<Vec<String>> =
        (1..=9).rev().map(|left| row(&format!("k*{left} k2tog ").repeat(8))).collect();
    says(
        Worked::Round,
        &crown,
        "bracketed",
        &[
            "Round 1: [K9, k2tog] 8 times. (80 sts)",
            "Rounds 2-9: Rep Round 1 eight times more, working 1 fewer st in the k9 each time. (16 sts)",
        ],
    );
    let mut hexagon = Vec::new();
    for times in 0..12 {
        hexagon.push(row(&format!("yo k*{} ", 2 + times).repeat(6)));
        hexagon.push(row(&format!("k*{}", 6 * (3 + times))));
    }
    says(
        Worked::Round,
        &hexagon,
        "abbreviated",
        &[
            "Round 1: [Yo, k2] 6 times. (18 sts)",
            "Round 2: Knit.",
            "Rounds 3-24: Rep Rounds 1 and 2 eleven times more, working 1 more st in the k2 each time. (84 sts)",
        ],
    );
}

/// A shawl of 120 rows from a centre: garter edges, and a motif of ten rows that is worked twice more in each half each
/// time. Its text is shorter than thirty lines, and says how the motif grows.
#[test]
fn a_shawl_with_a_motif_that_grows() {
    let mut rows = Vec::new();
    let mut half = 5;
    for number in 0..60 {
        let motif = number % 5 == 4;
        let body = if motif {
            let motifs = (half - 3) / 5;
            format!("k*2 {} k*{}", "yo ssk k k k ".repeat(motifs), half - 2 - 5 * motifs)
        } else {
            format!("k*{half}")
        };
        rows.push(row(&format!("k*2 yo {body} yo k yo {body} yo k*2")));
        half += 2;
        rows.push(row(&format!("k*2 p*{} k*2", 2 * half + 1)));
    }
    let pattern = pattern(Worked::Flat, &rows);
    let text = text(&pattern, "abbreviated");
    assert!(lines(&text).len() < 30, "{text}");
    assert!(text.contains("twice more each time. (255 sts)"), "{text}");
    reads_back(&pattern);
}

/// A repeat worked once in the first size, whose yarn over comes after a knit stitch there and after a purl stitch in
/// every other working. With the first written out nothing would be left to repeat in that size, and a reader works what
/// stands behind an asterisk once at the least: all yarn overs have one name, and that is told.
#[test]
fn a_repeat_worked_once_serves_the_larger_sizes() {
    let sized = |times: u32| format!("k*2 {} p k", "yo ssk p ".repeat(times as usize));
    let mut pattern = pattern(Worked::Flat, &[row(&sized(1)), row("k*7")]);
    pattern.multiple = Some(Multiple { of: 3, plus: 4 });
    pattern.sizes = [("S", 1), ("M", 2), ("L", 4)]
        .map(|(name, times)| Size { name: name.into(), times, cast_on: 3 * times + 4 })
        .to_vec();
    for (row, start) in pattern.rows.iter_mut().zip([2, 2]) {
        row.repeat = Some(RowRepeat { start, length: 3, times: 1 });
    }
    assert_eq!(
        lines(&text(&pattern, "uk")),
        ["Row 1 (RS): K2, *yo, ssk, p1; rep from * to last 2 sts, p1, k1.", "Row 2 (WS): Knit.",]
    );
    assert!(noted(&pattern, "uk").is_some_and(|told| told.contains("all are given one name")));
    assert_eq!(noted(&pattern, "abbreviated"), None);
    reads_back(&pattern);
    // So do the larger ones, each on its own cast-on.
    let text = text(&pattern, "uk");
    for (times, cast_on) in [(1, 7), (2, 10), (4, 16)] {
        let settings = Settings { cast_on: Some(cast_on), ..Settings::default() };
        let read = convert::texts(&Arc::from("a.txt"), text.as_bytes(), None, &settings, &settings, None);
        let read = read.charts[0].sound().unwrap_or_else(|| panic!("{cast_on}\n{text}"));
        let names: Vec<&str> =
            read.rows[0].stitches.iter().map(|&id| read.stitches.get(id).name.as_str()).collect();
        assert_eq!(names.join(" "), sized(times).replace("k*2", "k k").replace("  ", " "), "{cast_on}");
    }
}

/// A style that counts workings has no number to show a repeat by that is worked once, yet the text states a multiple: who
/// wants it wider must see what to repeat.
#[test]
fn a_repeat_worked_once_is_seen_in_every_style() {
    let mut pattern = pattern(Worked::Flat, &[row("p p k k p p p k k"), row("p p k k k p p k k")]);
    pattern.multiple = Some(Multiple { of: 5, plus: 4 });
    pattern.rows[0].repeat = Some(RowRepeat { start: 2, length: 5, times: 1 });
    pattern.rows[1].repeat = Some(RowRepeat { start: 2, length: 5, times: 1 });
    let open = [
        "Row 1 (RS): P2, [k2, p3] to last 2 sts, k2. (9 sts)",
        "Row 2 (WS): P2, [k3, p2] to last 2 sts, k2. (9 sts)",
    ];
    assert_eq!(lines(&text(&pattern, "bracketed")), open);
    reads_back(&pattern);
}

/// Sizes of a pattern whose rows don't say what is repeated, as in a file of another program whose first size works the
/// repeat once: what the larger ones work can't be told, and the words are those of the first.
#[test]
fn sizes_whose_repeat_is_not_known_are_told() {
    let stitches = |times: usize| format!("k*2 {} k", "k2tog yo k ".repeat(times));
    let sized = |times: u32, marked: bool| {
        let mut pattern = pattern(Worked::Flat, &[row(&stitches(times as usize))]);
        pattern.multiple = Some(Multiple { of: 3, plus: 3 });
        pattern.sizes = [("S", times), ("M", times + 1)]
            .map(|(name, times)| Size { name: name.into(), times, cast_on: 3 * times + 3 })
            .to_vec();
        pattern.rows[0].repeat = marked.then_some(RowRepeat { start: 2, length: 3, times: times as usize });
        noted(&pattern, "abbreviated")
    };
    assert!(sized(1, false).is_some_and(|told| told.contains("no words that are true of all its sizes")));
    assert_eq!(sized(1, true), None);
    assert_eq!(sized(2, true), None);
}

/// A bracket worked three times in a row whose own repeat is worked three times in the first size: another repeat.
#[test]
fn an_inner_repeat_is_not_the_repeat_of_the_sizes() {
    let sized = |times: u32| format!("k p*2 k {} p k*2", "yo k2tog p k p k p k k p ".repeat(times as usize));
    let mut pattern = pattern(Worked::Round, &[row(&sized(3)), row("k*37")]);
    pattern.multiple = Some(Multiple { of: 10, plus: 7 });
    pattern.sizes = [("S", 3), ("M", 5)]
        .map(|(name, times)| Size { name: name.into(), times, cast_on: 10 * times + 7 })
        .to_vec();
    for row in &mut pattern.rows {
        row.repeat = Some(RowRepeat { start: 4, length: 10, times: 3 });
    }
    for style in style::built_in() {
        let text = text(&pattern, &style.name);
        let none = Settings::default();
        let read = convert::texts(&Arc::from("a.txt"), text.as_bytes(), None, &none, &none, None);
        let sizes = read.charts[0].sound().map(|read| read.sizes.clone());
        assert_eq!(sizes.as_ref(), Some(&pattern.sizes), "{text}");
    }
}

/// Yarn overs that meet where the repeat begins again are worded one stitch along: the group is worked once less than the
/// repeat, in every size. Read from the text and from JSON the sizes are what they were, and so are the words.
#[test]
fn a_repeat_worded_one_stitch_along_serves_all_sizes() {
    let text = "Lace\n\nWorked flat.\nSizes: S (M, L).\nMultiple of 8 sts + 4.\nCast on 28 (36, 44) sts.\n\n\
        Row 1 (RS): K1, p1, *yo, k1, k2tog, k2, ssk, yo, k1; rep from * to last 2 sts, p1, k1.\n\
        Row 2 (WS): P1, k1, p to last 2 sts, k1, p1.\n\
        Row 3 (RS): K1, p1, yo, k2, k2tog, ssk, k2, *yo twice, k2, k2tog, ssk, k2; rep from * to last 2 sts, yo, p1, k1.\n\
        Row 4 (WS): P1, k1, *k2, p4, k2; rep from * to last 2 sts, k1, p1.\n";
    let none = Settings::default();
    let read = convert::texts(&Arc::from("a.txt"), text.as_bytes(), None, &none, &none, None);
    let [chart] = &read.charts[..] else { panic!("{:?}", read.findings) };
    assert_eq!(chart.findings, []);
    let sizes: Vec<(&str, u32, u32)> = (chart.sound().unwrap().sizes.iter())
        .map(|size| (size.name.as_str(), size.times, size.cast_on))
        .collect();
    assert_eq!(sizes, [("S", 3, 28), ("M", 4, 36), ("L", 5, 44)]);
    let style = style::named("abbreviated").unwrap();
    let json = convert::output(&[chart], Format::named("json").unwrap(), style);
    let again = convert::charts(&Arc::from("a.json"), json.as_bytes(), None, &none, &none);
    for chart in [chart, &again.charts[0]] {
        let written = convert::output(&[chart], Format::named("text").unwrap(), style);
        assert!(written.starts_with(text), "{written}");
    }
}

/// What a section does in a row.
#[derive(Clone, Copy, Debug)]
enum Does {
    Plain,
    Widens,
    Narrows,
    Lace,
}

/// Sections between centre stitches, each row of a block doing something to each, worked over and over.
fn growing() -> impl Strategy<Value = (Worked, Vec<Vec<String>>)> {
    let does = prop_oneof![
        3 => Just(Does::Plain), 3 => Just(Does::Widens), 1 => Just(Does::Narrows), 1 => Just(Does::Lace),
    ];
    let block = (1..4usize, 1..4usize).prop_flat_map(move |(sections, rows)| {
        proptest::collection::vec(proptest::collection::vec(does.clone(), sections), rows)
    });
    (block, 1..9u32, 1..8usize, any::<bool>(), 0..3usize).prop_map(|(block, width, times, flat, after)| {
        let mut widths = vec![width; block[0].len()];
        let mut rows = Vec::new();
        for does in block.iter().cycle().take(block.len() * times + after) {
            let mut row = String::from("k*2 ");
            for (does, width) in does.iter().zip(&mut widths) {
                row.push_str(&match does {
                    Does::Widens => {
                        *width += 2;
                        format!("yo k*{} yo ", *width - 2)
                    }
                    Does::Narrows if *width > 3 => {
                        *width -= 2;
                        format!("ssk k*{} k2tog ", *width - 2)
                    }
                    Does::Lace if *width > 3 => {
                        format!("k {} k*{} ", "yo k2tog ".repeat((*width as usize - 2) / 2), 1 + *width % 2)
                    }
                    _ => format!("k*{width} "),
                });
                row.push_str("k ");
            }
            rows.push(row.split_whitespace().map(str::to_owned).collect::<Vec<_>>());
            if flat {
                let loops: u32 = 2 + widths.iter().map(|width| width + 1).sum::<u32>();
                rows.push(vec![format!("p*{loops}")]);
            }
        }
        (if flat { Worked::Flat } else { Worked::Round }, rows)
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(64) })]

    #[test]
    fn whatever_grows_is_read_back((worked, rows) in growing()) {
        let pattern = pattern(worked, &rows);
        reads_back(&pattern);
        let text = text(&pattern, "abbreviated");
        prop_assert!(lines(&text).len() <= rows.len(), "{}", text);
    }
}
