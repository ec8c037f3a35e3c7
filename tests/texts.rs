//! Texts of others: conventions of print that no style of ours uses, and what is told where a text is wrong. Rows and
//! messages are worked out by hand; sources are domain.md section 5, standards.md section 5, contract.md on written
//! rows, and common practice.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

#[path = "texts/table.rs"]
mod table;

use std::io::Write as _;
use std::sync::Arc;

use longhand::convert::{self, Charts};
use longhand::pattern::Hand;
use longhand::problem::{Finding, Severity};
use longhand::settings::Settings;

fn read_as(name: &str, bytes: &[u8], set: &[(&str, &str)]) -> Charts {
    let mut above = Settings::default();
    for (name, value) in set {
        longhand::settings::set(&mut above, name, value).unwrap();
    }
    convert::texts(&Arc::from(name), bytes, None, &Settings::default(), &above, None)
}

/// The rows of each pattern: title, cast-on, and the stitches row by row, runs told once.
fn rows_of(read: &Charts) -> Vec<String> {
    let mut lines = Vec::new();
    for chart in &read.charts {
        let Some(pattern) = chart.sound() else {
            let told: Vec<String> =
                chart.findings.iter().map(|f| format!("{} {}", f.place, f.message)).collect();
            panic!("not sound: {told:#?}");
        };
        lines.push(format!("{} {}", pattern.title, pattern.cast_on));
        lines.extend(pattern.rows.iter().map(|row| {
            let runs: Vec<String> = row
                .stitches
                .chunk_by(|a, b| a == b)
                .map(|run| {
                    // A stitch in a colour is told as "k/navy".
                    let name = pattern.stitches.get(run[0]).name.replace('\u{1f}', "/");
                    if run.len() == 1 { name } else { format!("{name}*{}", run.len()) }
                })
                .collect();
            format!("{} {} {}", row.number, row.side.word(), runs.join(" "))
        }));
    }
    lines
}

fn rows(text: &str) -> Vec<String> {
    rows_of(&read_as("a.txt", text.as_bytes(), &[]))
}

/// Severity, code, place and row of every finding.
fn told(text: &str) -> Vec<String> {
    let read = read_as("a.txt", text.as_bytes(), &[]);
    read.findings
        .iter()
        .chain(read.charts.iter().flat_map(|chart| &chart.findings))
        .map(|finding| {
            let place = finding.place.to_string().replace("a.txt, line ", "").replace(", column ", ":");
            let row = finding.row.map_or_else(String::new, |row| format!(" row {row}"));
            let found = finding.found.as_ref().map_or_else(String::new, |found| format!(" [{found}]"));
            assert!(!finding.message.is_empty() && finding.message.ends_with('.'));
            assert!(finding.severity() == Severity::Note || !finding.help.is_empty(), "{}", finding.code);
            format!("{} {place}{row}{found}", finding.code)
        })
        .collect()
}

#[test]
fn rows_are_told_by_other_rows() {
    assert_eq!(
        rows(
            "Ladder\nCast on 6 sts.\nRow 1 (RS): K2, p2, k2.\nRow 2: Knit the knits and purl the purls.\nRow 3: K2, yo, ssk, k2.\nRow 4: P.\nRows 5-8: Rep Rows 1-4.\nRows 9 and 10: Work as set.\nRow 11: As Row 5.\nRow 12: Work as set.\n"
        ),
        [
            "Ladder 6",
            "1 RS k*2 p*2 k*2",
            "2 WS p*2 k*2 p*2",
            "3 RS k*2 yo ssk k*2",
            "4 WS p*6",
            "5 RS k*2 p*2 k*2",
            "6 WS p*2 k*2 p*2",
            "7 RS k*2 yo ssk k*2",
            "8 WS p*6",
            "9 RS k*2 yo ssk k*2",
            "10 WS p*6",
            "11 RS k*2 p*2 k*2",
            "12 WS p*6",
        ]
    );
    // Rows worked again take the width there is then.
    assert_eq!(
        rows(
            "Wedge\nCast on 3 sts.\nRow 1: K1, yo, k to end.\nRow 2: Purl.\nRows 3-6: Rep Rows 1 and 2 twice.\n"
        )[5..],
        ["5 RS k yo k*4", "6 WS p*6"]
    );
    assert_eq!(
        rows(
            "Round\nCast on 4 sts, join in the round.\nRnd 1: K2, yo twice, k2.\nRnd 2: Knit the knits and purl the purls.\n"
        )[2],
        "2 RS k*3 p k*2"
    );
}

/// However many rows lie between a row and the one whose words it has, they are found.
#[test]
fn rows_told_by_rows_that_are_told_by_rows() {
    let set = rows("Ladder\nCast on 4 sts.\nRow 1: K2, p2.\nRow 2: P4.\nRows 3-450: Work as set.\n");
    assert_eq!((set.len(), &*set[449], &*set[450]), (451, "449 RS k*2 p*2", "450 WS p*4"));
    let mut chain = "Ladder\nCast on 4 sts.\nRow 1: K2, p2.\n".to_owned();
    (2..=300).for_each(|row| chain.push_str(&format!("Row {row}: As Row {}.\n", row - 1)));
    assert_eq!(rows(&chain)[300], "300 WS k*2 p*2");
}

/// What nobody prints is refused, or read over, before it fills the memory.
#[test]
fn texts_that_would_fill_the_memory() {
    let next = format!("Cast on 4 sts.\n{}", "Next 9999 rows: Knit.\n".repeat(2_000));
    assert_eq!(told(&next), ["too-large a.txt"]);
    let entries = format!("Ladder\n{}\nCast on 2 sts.\nRow 1: K2.\n", "a: b; ".repeat(20_000));
    assert_eq!(rows(&entries), ["Ladder 2", "1 RS k*2"]);
}

/// What is told of a count behind rows that are worked again and not added: 18 - 2 is 16, and 112 is no multiple of 15.
#[test]
fn a_closing_sentence_says_what_was_done_with_its_count() {
    let message = |text: &str| read_as("a.txt", text.as_bytes(), &[]).charts[0].findings[0].message.clone();
    assert_eq!(
        message(
            "CO 20 sts.\nRow 1: P.\nRow 2: P2tog, p to end. (19 sts)\nRep last 2 rows 3 times more. (16 sts)\n"
        ),
        "This sentence has rows worked again, but has no label: it adds no row to the pattern behind Row 2. The count it \
         states, 16 sts, is proved."
    );
    assert_eq!(
        message(
            "CO 120 sts.\nRow 1: P.\nRow 2: *P13, p2tog; rep from *. (112 sts)\nRep last 2 rows once more. (104 sts)\n"
        ),
        "This sentence has rows worked again, but has no label: it adds no row to the pattern behind Row 2. The count it \
         states, 104 sts, could not be proved: worked again, the rows don't fit the stitches."
    );
}

/// Common practice: an editor's corrections, in each kind of file that can show them.
#[test]
fn what_is_struck_out_is_left_out_and_told() {
    let run = |looks: &str, text: &str| format!("<w:r><w:rPr>{looks}</w:rPr><w:t>{text}</w:t></w:r>");
    let line = |runs: &[String]| format!("<w:p>{}</w:p>", runs.concat());
    let gone = "<w:del><w:r><w:delText>k9</w:delText></w:r></w:del>".to_owned();
    let new = format!("<w:ins>{}</w:ins>", run("", "k2"));
    let paragraphs = [
        line(&[run("", "Cast on 4 sts.")]),
        line(&[run("", "Row 1: "), run("<w:strike/>", "k3, "), run("<w:strike w:val=\"0\"/>", "k4.")]),
        line(&[run("<w:strike/>", "Row 2: "), run("<w:dstrike/>", "K4.")]),
        // What a paragraph's mark looks like, and what a run looked like before, crosses nothing out.
        format!(
            "<w:p><w:pPr><w:rPr><w:strike/><w:del/></w:rPr></w:pPr>{}{gone}{new}</w:p>",
            run("<w:rPrChange><w:rPr><w:strike/></w:rPr></w:rPrChange>", "Row 2: P2, "),
        ),
        format!("<w:p><w:moveFrom>{}</w:moveFrom></w:p>", run("", "Row 3: K4.")),
    ];
    let html = "<p>Cast on 4 sts.<p>Row 1: <s>k3, </s>k4.<p><del>Row 2: <b>K4.</b></del>\n<p>Row 2: P2, \
                <span style='color:red; text-decoration: line-through'>k9</span><ins>k2</ins>\n\
                <p style=\"text-decoration-line:line-through\">Row 3: K4.<p>.";
    let md =
        "Cast on 4 sts.\n\nRow 1: ~~k3,~~ k4.\n\n~~Row 2: K4.~~\n\nRow 2: P2, ~~k9~~k2\n\n~~Row 3: K4.~~\n";
    let docx = word(&paragraphs.concat(), &[]);
    for (name, bytes, lines) in [
        ("a.docx", docx.as_slice(), [(2, 8), (3, 1), (4, 12), (5, 1)]),
        ("a.html", html.as_bytes(), [(1, 31), (1, 50), (2, 70), (3, 46)]),
        ("a.md", md.as_bytes(), [(3, 10), (5, 3), (7, 14), (9, 3)]),
    ] {
        let read = read_as(name, bytes, &[]);
        assert_eq!(rows_of(&read)[1..], ["1 RS k*4", "2 WS p*2 k*2"], "{name}");
        let told: Vec<String> = read.findings.iter().map(|finding| finding.place.to_string()).collect();
        let found = read.findings.iter().map(|finding| finding.found.clone().unwrap_or_default());
        let found: Vec<String> = found.map(|found| found.trim_end_matches(',').to_owned()).collect();
        assert_eq!(found, ["k3", "Row 2: K4.", "k9", "Row 3: K4."], "{name}");
        assert_eq!(told, lines.map(|(line, column)| format!("{name}, line {line}, column {column}")));
    }
}

/// Common practice: trials that their writer hid, in each kind of file that can hide text.
#[test]
fn what_is_hidden_is_left_out_and_told() {
    let run = |looks: &str, text: &str| format!("<w:r><w:rPr>{looks}</w:rPr><w:t>{text}</w:t></w:r>");
    let line = |runs: &[String]| format!("<w:p>{}</w:p>", runs.concat());
    let paragraphs = [
        line(&[run("", "Cast on 4 sts.")]),
        line(&[run("", "Row 1: "), run("<w:vanish/>", "k3, "), run("<w:vanish w:val=\"false\"/>", "k4.")]),
        line(&[run("<w:vanish/>", "Row 2: K4."), run("<w:vanish/><w:b/>", " Row 3: K4.")]),
        line(&[run("", "Row 2: P4.")]),
    ];
    let docx = word(&paragraphs.concat(), &[]);
    let expected = ["1 RS k*4", "2 WS p*4"];
    let read = read_as("a.docx", &docx, &[]);
    assert_eq!(rows_of(&read)[1..], expected);
    let told = |read: &Charts| -> Vec<String> {
        let found = |finding: &Finding| {
            let words = finding.found.clone().unwrap_or_default();
            format!("{} {} [{words}]", finding.code, finding.place.to_string().replace("a.html, ", ""))
        };
        read.findings.iter().map(found).collect()
    };
    let hidden = [
        "hidden-left-out a.docx, line 2, column 8 [k3,]",
        "hidden-left-out a.docx, line 3, column 1 [Row 2: K4. Row 3: K4.]",
    ];
    assert_eq!(told(&read), hidden);

    for html in [
        "<p hidden>Row 2: K4.</p><p>Row 2: P4.",
        "<p hidden>Row 2: K4.<p>Row 2: P4.",
        "<p style=\"display: none\">Row 2: K4.</p><p>Row 2: P4.",
        "<p style=\"color:red; DISPLAY:none !important\">Row 2: K4.</p><p>Row 2: P4.",
        "<div><div style='visibility:hidden'>Row 2: K4.</div></div>Row 2: P4.",
        "<div><p hidden>Row 2: K4.</div>Row 2: P4.",
        "<div hidden><br>Row 2: K4.<div></div><p></p></div>Row 2: P4.",
        "<ul><li hidden>Row 2: K4.<li>Row 2: P4.</ul>",
        "<ul><li hidden>Row 2: K4.<ul><li></ul></ul>Row 2: P4.",
        "<table><tr hidden><td>Row 2: K4.<tr><td>Row 2: P4.</table>",
        "<p><span hidden>Row 2: K4.<span></span></span>Row 2: P4.",
        "<template hidden>Row 9: K.</template><p hidden>Row 2: K4.</p>Row 2: P4.",
        "<input hidden><hr hidden><p hidden>Row 2: K4.</p>Row 2: P4.",
    ] {
        let read = read_as("a.html", format!("<p>Cast on 4 sts.<p>Row 1: K4.\n{html}").as_bytes(), &[]);
        assert_eq!(rows_of(&read)[1..], expected, "{html}");
        let column = html.find("Row 2: K4.").unwrap() + 1;
        let once = format!("hidden-left-out line 2, column {column} [Row 2: K4.]");
        let others: Vec<String> = told(&read).into_iter().filter(|told| *told != once).collect();
        assert!(others.is_empty() && told(&read).len() == 1, "{html}: {others:?}");
    }
    // Each line is told by itself.
    let two = "<p>Cast on 4 sts.<p>Row 1: K4.<div hidden><p>Row 2: K4.<p>Row 3: K4.</div>Row 2: P4.";
    let two = told(&read_as("a.html", two.as_bytes(), &[]));
    assert_eq!(two.iter().filter(|told| told.ends_with(": K4.]")).count(), 2, "{two:?}");
    // An item that nobody sees has no number in its list.
    let list = "<p>Cast on 4 sts.<ol><li>K4.<li hidden>K1, yo, k3.<li>P4.</ol>";
    assert_eq!(rows_of(&read_as("a.html", list.as_bytes(), &[]))[1..], expected);
}

/// Common practice: what layout programs, word processors and web pages leave in a text.
#[test]
fn letters_that_nobody_sees_and_odd_line_ends_part_no_words() {
    let expected = ["a 4", "1 RS k yo k2tog k", "2 WS p*4"];
    for text in [
        "Cast on 4 sts.\u{2028}Row 1: K1, yo, k2tog, k1.\u{2029}Row 2: P4.",
        "Cast on 4 sts.\u{b}Row 1: K1, yo, k2tog, k1.\n\u{c}Row 2: P4.",
        "Cast on 4 sts.\u{85}Row 1: K1, yo, k2tog,\u{85}k1.\u{85}\u{85}Row 2: P4.\u{85}",
        "Cast on\u{a0}4\u{2009}sts.\nRow\u{202f}1: K\u{a0}1, yo, k2\u{a0}tog, k\u{2009}1.\nRow 2: P4.",
        "Cast on 4 st\u{ad}s.\nRow 1: K1, y\u{200d}o, k2\u{ad}tog, k1.\nRo\u{200b}w 2: P\u{2060}4.",
        "Cast on 4 sts.\nRow 1: K1, yarn\u{ad}\nover, k2\u{2010}\ntog, k1.\nRow 2: Pu\u{ad}\nrl.",
    ] {
        assert_eq!(rows(text), expected, "{text:?}");
    }
}

/// What East Asian keyboards type. Titles and notes stay as they are; columns are those of the letters.
#[test]
fn letters_of_full_width_are_read_as_others() {
    let text = "Ｔｉｄｅ\n\nＣａｓｔ ｏｎ ４ ｓｔｓ．\n\nＲｏｗ １（ＲＳ）：Ｋ１，ｙｏ，\nｋ２ｔｏｇ，ｋ１．\nＲｏｗ ２: Ｐ４.\nＲｅｐ Ｒｏｗｓ １－２．\nＷａｓｈ．\nＲｏｗ ３: Ｋ４. (４ ｓｔｓ)\n";
    assert_eq!(rows(text), ["Ｔｉｄｅ 4", "1 RS k yo k2tog k", "2 WS p*4", "3 RS k*4"]);
    let read = read_as("a.txt", text.as_bytes(), &[]);
    assert!(read.charts[0].pattern.as_ref().unwrap().notes.contains(&"Ｗａｓｈ．".to_owned()));
    assert_eq!(told("Cast on 4 sts.\nＲｏｗ １: Ｋ３，ｘｙｚ．\n"), ["unreadable-row 2:11 row 1 [xyz]"]);
}

#[test]
fn plain_pieces_are_told_in_short() {
    assert_eq!(
        rows(
            "Plain\nCast on 4 sts.\nRow 1 (RS): K1, p1, k1, p1.\nKnit 2 rows.\nRows 4-5: Work 2 rows in St st, beg with a p row.\nRow 6: St st.\nRow 7: K.\n"
        ),
        ["Plain 4", "1 RS k p k p", "2 WS k*4", "3 RS k*4", "4 WS p*4", "5 RS k*4", "6 WS p*4", "7 RS k*4"]
    );
}

#[test]
fn return_rows_told_once_follow_every_rs_row() {
    let lines = rows(
        "Lace\nCast on 5 sts.\nAll WS rows: Purl.\nRow 1 (RS): K1, yo, ssk, k2.\nRow 3: K2, yo, ssk, k1.\n",
    );
    assert_eq!(lines[2..], ["2 WS p*5", "3 RS k*2 yo ssk k", "4 WS p*5"]);
    let lines = rows(
        "Lace\nCast on 5 sts.\nRow 1 and all WS rows: Purl.\nRow 2 (RS): K1, yo, ssk, k2.\nRow 4: K2, yo, ssk, k1.\n",
    );
    assert_eq!(lines[1..], ["1 WS p*5", "2 RS k yo ssk k*2", "3 WS p*5", "4 RS k*2 yo ssk k"]);
}

#[test]
fn slips_and_markers_are_read() {
    let text = "Shawl\nCast on 7 sts.\nRow 1 (RS): Sl 1, k2, pm, k1, pm, k to end.\nRow 2: Sl 1, p to end.\nRow 3: K to m, yo, sm, k1, sm, yo, k to last st, k1.\nRow 4: P to 1 st before m, k1, sm, p1, sm, k1, p to end. (9 sts)\n";
    assert_eq!(
        rows(text),
        ["Shawl 7", "1 RS sl1wyib k*6", "2 WS sl1wyif p*6", "3 RS k*3 yo k yo k*3", "4 WS p*3 k p k p*3",]
    );
    assert_eq!(
        told(text),
        ["bare-slip 3:13 row 1 [Sl 1]", "markers-count-nothing 3:1 row 1", "bare-slip 4:8 row 2 [Sl 1]"],
        "in the order of the rows"
    );
}

/// A text says for which hand it is; the setting is about charts, and is told where it is another one (contract.md: a
/// written text stands alone).
#[test]
fn a_text_is_for_the_hand_it_names() {
    let rows = "Row 1 (RS): K1, k2tog, yo, k2.\n";
    let said = |hand: &str| format!("Eyelet\n\n{hand}Cast on 5 sts.\n\n{rows}");
    let plain = said("");
    let left = said("For left-handed knitters.\n");
    let set = said("Hand: left\n");
    for (text, hand, expected, notes) in [
        (&plain, None, Hand::Right, 0),
        (&plain, Some("right"), Hand::Right, 0),
        (&plain, Some("left"), Hand::Right, 1),
        (&left, None, Hand::Left, 0),
        (&left, Some("left"), Hand::Left, 0),
        (&left, Some("right"), Hand::Left, 1),
        (&set, Some("right"), Hand::Left, 1),
    ] {
        let given: Vec<(&str, &str)> = hand.into_iter().map(|hand| ("hand", hand)).collect();
        let read = read_as("a.txt", text.as_bytes(), &given);
        let pattern = read.charts[0].sound().unwrap();
        assert_eq!(pattern.hand, expected, "{text} {hand:?}");
        let told = read.charts[0].findings.iter().filter(|finding| finding.code.name() == "hand-as-written");
        assert_eq!(told.count(), notes, "{text} {hand:?}");
        assert_eq!(rows_of(&read)[1], "1 RS k k2tog yo k*2");
    }
}

#[test]
fn lists_of_abbreviations_are_used() {
    let text = "Bobbles\nCast on 5 sts.\nAbbreviations: dec 1 = k2tog; inc 1 = m1l\nRow 1 (RS): K1, dec 1, inc 1, k2.\nRow 2: P2, MB, p2.\n\nAbbreviations\nMB: (K1, yo, k1, yo, k1) in one st, turn, p5, turn, k5tog.\n";
    assert_eq!(rows(text), ["Bobbles 5", "1 RS k k2tog m1l k*2", "2 WS p*2 MB p*2"]);
    let read = read_as(
        "a.txt",
        b"Old\nCast on 4 sts.\n1st row: Plain 1, make 1, narrow, plain 1.\n2nd row: Seam.\n",
        &[("terms", "older")],
    );
    assert_eq!(rows_of(&read), ["Old 4", "1 RS k yo k2tog k", "2 WS p*4"]);
}

#[test]
fn widths_that_are_not_stated_are_told() {
    let text = "Ripple\nMultiple of 6 sts + 5.\nRow 1 (RS): K2, *yo, ssk, k4; rep from * to last 3 sts, k3.\nRow 2: Purl.\n";
    assert_eq!(rows(text)[0], "Ripple 17");
    assert_eq!(told(text), ["repeat-written-out 3:1"]);
    assert_eq!(rows_of(&read_as("a.txt", text.as_bytes(), &[("cast-on", "23")]))[0], "Ripple 23");
    assert_eq!(rows_of(&read_as("a.txt", text.as_bytes(), &[("repeats", "3")]))[0], "Ripple 23");
    // Nothing is said at all: two repeats fit.
    let text =
        "Rib\nRow 1: *K2, p2; rep from * to last 2 sts, k2.\nRow 2: *P2, k2; rep from * to last 2 sts, p2.\n";
    assert_eq!(rows(text)[0], "Rib 10");
}

/// Sizes of a settings file are those of a text that leaves its width open: 3 and 5 repeats of 8 stitches, and 4 beside them. A
/// text that casts on has its own.
#[test]
fn sizes_that_are_set_serve_a_text_without_a_cast_on() {
    let text = |cast_on: &str| {
        format!(
            "Ribs\n\nMultiple of 8 sts + 4.\n{cast_on}\nRow 1: K2, *k4, p4; rep from * to last 2 sts, k2.\n"
        )
    };
    let sizes = |text: &str| {
        let mut below = Settings::default();
        longhand::settings::set(&mut below, "sizes", "S = 3, M = 5").unwrap();
        let read = convert::texts(&"a.txt".into(), text.as_bytes(), None, &below, &Settings::default(), None);
        let pattern = read.charts[0].sound().unwrap();
        let sizes = pattern.sizes.iter().map(|size| format!("{} {}", size.name, size.cast_on));
        (pattern.cast_on, sizes.collect::<Vec<_>>())
    };
    assert_eq!(sizes(&text("")), (28, vec!["S 28".to_owned(), "M 44".to_owned()]));
    assert_eq!(sizes(&text("Cast on 36 sts.\n")), (36, Vec::new()));
}

/// Words that could tell rows, and find none to be: no pattern of no rows comes of them.
#[test]
fn a_text_without_rows_is_no_pattern() {
    let read = read_as("a.txt", b".\nK2row in r\n", &[]);
    assert_eq!(read.charts.len(), 0);
    assert!(read.findings.iter().any(|finding| finding.code.name() == "no-rows"), "{:?}", read.findings);
}

/// 36 = 4 x 8 + 4. The multiple of 4 + 4 allows 40 stitches, of which the repeat of 8 leaves 4; that of the row that is told
/// for 36 stitches alone can't be proved.
#[test]
fn a_stated_multiple_is_held_against_the_cast_on_and_the_rows() {
    let text = |multiple: &str, row: &str| {
        format!("Ribs\n\nMultiple of {multiple}.\nCast on 36 sts.\n\nRow 1: {row}\nRow 2: Purl.\n")
    };
    let open = "K2, *k4, p4; rep from * to last 2 sts, k2.";
    let closed = "K2, [k4, p4] 4 times, k2.";
    for (multiple, row, wrong) in [
        ("8 sts + 4", open, None),
        ("8 sts plus 12", open, None),
        ("10 sts + 4", open, Some("multiple-mismatch 3:1 [36 sts]")),
        ("8 sts + 6", closed, Some("multiple-mismatch 3:1 [36 sts]")),
        ("4 sts + 4", open, Some("multiple-mismatch 6:1 row 1 [a multiple of 4 sts + 4]")),
        ("4 sts + 4", closed, None),
    ] {
        assert_eq!(told(&text(multiple, row)), wrong.into_iter().collect::<Vec<_>>(), "{multiple}, {row}");
    }
    let sizes = "Ribs\n\nMultiple of 8 sts + 4.\nCast on 36 (44, 50) sts.\n\nRow 1: Knit.\n";
    assert_eq!(told(sizes), ["first-size-only 6:1 [size 1]", "multiple-mismatch 3:1 [50 sts]"]);
}

#[test]
fn a_cast_on_picks_its_size() {
    let text = "Cuff\nSizes: S (M, L)\nCast on 8 (14, 18) sts.\nRow 1 (RS): K2 (3, 4), [p2, k2] 1 (2, 3) times, k2 (3, 2). [8 (14, 18) sts]\n";
    assert_eq!(rows(text), ["Cuff 8", "1 RS k*2 p*2 k*4"]);
    assert_eq!(told(text), ["first-size-only 4:1 [size S]"]);
    let nil = "Cuff\nSizes: S (M)\nCast on 4 (6) sts.\nRow 1 (RS): K2, [yo, k2tog] 0 (1) times, k2.\n";
    let read = read_as("a.txt", nil.as_bytes(), &[]);
    let told: Vec<&str> = read.charts[0].findings.iter().map(|told| told.message.as_str()).collect();
    assert_eq!(told, ["Size S works the repeat no times: all were proved, and size S is given."]);
    let medium = read_as("a.txt", text.as_bytes(), &[("cast-on", "14")]);
    assert_eq!(rows_of(&medium), ["Cuff 14", "1 RS k*3 p*2 k*2 p*2 k*5"]);
    // On 12 stitches the second size does not work out: 3 + 8 + 3 are 14.
    let wrong = text.replace("(14, 18) sts.", "(12, 18) sts.");
    let found = read_as("a.txt", wrong.as_bytes(), &[]);
    let messages: Vec<&str> =
        found.charts[0].findings.iter().map(|finding| finding.message.as_str()).collect();
    assert!(
        messages.contains(&"Size M: The cast-on is 12 sts, but Row 1 uses 14 sts: 2 too many."),
        "{messages:?}"
    );
}

/// One bad row does not hide the rest; every finding has its line and column, counted by hand.
#[test]
fn what_is_wrong_is_told_where_it_stands() {
    for (text, expected) in [
        (
            "A\nCast on 8 sts.\nRow 1: K3, dec 1, k3.\nRow 2: P3, xyz, p3.\n",
            vec!["unreadable-row 3:12 row 1 [dec 1]", "unreadable-row 4:12 row 2 [xyz]"],
        ),
        ("A\nCast on 8 sts.\nRow 1: K3, [p1, k1, k3.\n", vec!["unreadable-row 3:12 row 1 [[p1, k1, k3.]"]),
        ("A\nCast on 8 sts.\nRow 1: *K2, p2.\n", vec!["unreadable-row 3:8 row 1 [*K2, p2.]"]),
        (
            "A\nCast on 9 sts.\nRow 1: *K2, p2; rep from * to end.\n",
            vec!["repeat-left-over 3:1 row 1 [9 sts]"],
        ),
        ("A\nCast on 4 sts.\nRow 1: K3, p to last 3 sts, k3.\n", vec!["too-few-left 3:1 row 1 [1 st]"]),
        ("A\nCast on 4 sts.\nRow 1: K4.\nRow 2: P5.\n", vec!["count-mismatch 4:1 row 2 [5 sts]"]),
        ("A\nCast on 4 sts.\nRow 1: K4. (5 sts)\n", vec!["stated-count 3:1 row 1 [5 sts]"]),
        ("A\nCast on 4 sts.\nRow 1: K4.\nRow 2: As Row 9.\n", vec!["row-reference 4:1 row 2 [Row 9]"]),
        (
            "A\nCast on 4 sts.\nRow 1: As Row 2.\nRow 2: As Row 1.\n",
            vec!["row-reference 3:1 row 1", "row-reference 4:1 row 2"],
        ),
        (
            "A\nCast on 4 sts.\nRow 1: K4.\nRow 2: P4.\nRows 3-5: Rep Rows 1-2.\n",
            vec!["row-reference 5:1 row 3 [3 rows]"],
        ),
        // A rule about what is not there, or not sure, is no rule about something else.
        (
            "A\nCast on 5 sts.\nRow 1: K1, yo, k3, yo, k1.\nRow 2: P7.\nRows 3 and 4: Rep Rows 1 and 2, working 2 more sts in \
             the k3 of Row 5 each time.\n",
            vec!["row-reference 5:1 row 3 [k3]", "row-reference 5:1 row 4 [k3]"],
        ),
        (
            "A\nCast on 5 sts.\nRow 1: K1, yo, k3, yo, k1.\nRow 2: P7.\nRow 3: Rep Row 1, working 2 more sts in the 2nd \
             k3 each time.\n",
            vec!["row-reference 5:1 row 3 [k3]"],
        ),
        (
            "A\nCast on 5 sts.\nRow 1: K1, yo, k1, yo, k1, yo, k to end.\nRow 2: P to end.\nRow 3: Rep Row 1, working 2 more \
             sts between the yos each time.\n",
            vec!["row-reference 5:1 row 3 [between the yos]"],
        ),
        (
            "A\nCast on 5 sts.\nRow 1: K5.\nRow 2: Rep Row 1, working loosely each time.\n",
            vec!["unreadable-row 4:8 row 2 [Rep Row 1, working loosely each time.]"],
        ),
        ("A\nCast on 4 sts.\nRow 1: K4.\nRow 3: K4.\n", vec!["row-number-gap 4:1 row 2 [3]"]),
        (
            "A\nCast on 4 sts.\nRow 1: K4.\nRow 2: P4.\nRow 2: K4.\n",
            vec!["row-number-repeated 5:1 row 2 [2]"],
        ),
        ("A\nCast on 4 sts.\nRow 1: K2, turn, p2.\n", vec!["beyond-rows 3:12 row 1 [turn]"]),
        (
            "A\nCast on 4 sts.\nRow 1: K2, place next 2 sts on a holder.\n",
            vec!["beyond-rows 3:12 row 1 [place next 2 sts on a holder]"],
        ),
        ("A\nCast on 4 sts.\nRow 1: K1, p1 to end.\n", vec!["unreadable-row 3:15 row 1 [to end]"]),
        ("A\nCast on 4 sts.\nRow 1: K4.\nDec row: P4.\nRow 2: K4.\n", vec!["unplaced-row 4:1 [Dec row]"]),
        (
            "A\nCast on 4 sts.\nRow 1: K4.\nRow gauge: 8 in 2 cm.\nRow 2: K4.\n",
            vec!["unnumbered-row 4:1 [Row gauge]"],
        ),
        ("A letter.\nDear knitter, the yarn is lovely.\n", vec!["no-rows a.txt"]),
        (
            "A\nCast on 8 sts.\nRow 1: K3, *yo, k2tog; rep from *\n  to last 2 sts, zz 2.\n",
            vec!["unreadable-row 4:18 row 1 [zz 2]"],
        ),
    ] {
        assert_eq!(told(text), expected, "{text}");
    }
}

const ROWS: &[&str] =
    &["Leaves", "Cast on 5 sts.", "Row 1 (RS): K1, *yo, k2tog; rep from * to end.", "Row 2: Purl."];
const EXPECTED: &[&str] = &["Leaves 5", "1 RS k yo k2tog yo k2tog", "2 WS p*5"];

/// A Word document of these paragraphs, with other parts: the name of each, its root and what stands in it.
fn word(paragraphs: &str, parts: &[(&str, &str, &str)]) -> Vec<u8> {
    let body = format!("<w:body>{paragraphs}</w:body>");
    let parts = [("document", "document", &*body)].into_iter().chain(parts.iter().copied());
    let types = "<Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\"/>";
    let mut all = vec![("[Content_Types].xml".to_owned(), types.to_owned())];
    all.extend(parts.map(|(name, root, inside)| (format!("word/{name}.xml"), word_part(root, inside))));
    package(&all)
}

fn word_part(root: &str, inside: &str) -> String {
    let names = "xmlns:w=\"http://schemas.openxmlformats.org/wordprocessingml/2006/main\"";
    format!("<w:{root} {names}>{inside}</w:{root}>")
}

/// A zipped package of these parts.
fn package(parts: &[(String, String)]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let options = zip::write::SimpleFileOptions::default();
    for (name, text) in parts {
        zip.start_file(name.as_str(), options).unwrap();
        zip.write_all(text.as_bytes()).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// The lines of a Word document with the numbers of their paragraphs, worked out by hand: a text box that hangs in a
/// paragraph, and a table in a cell of another, come behind what they stand in, which loses nothing.
#[test]
fn what_stands_inside_a_paragraph_or_a_row_of_a_word_document_is_apart() {
    let run = |text: &str| format!("<w:r><w:t>{text}</w:t></w:r>");
    let line = |inside: &str| format!("<w:p>{inside}</w:p>");
    let boxed = |inside: &str| format!("<w:r><w:pict><w:txbxContent>{inside}</w:txbxContent></w:pict></w:r>");
    let row = |cells: &[String]| {
        let cells: Vec<String> = cells.iter().map(|cell| format!("<w:tc>{cell}</w:tc>")).collect();
        format!("<w:tbl><w:tr>{}</w:tr></w:tbl>", cells.concat())
    };
    let lines = |body: &str| {
        let file = Arc::from("a.docx");
        let (document, findings) = longhand::read::document(&file, &word(body, &[]), None);
        assert_eq!(findings, []);
        let lines = document.unwrap().lines.into_iter().filter(|line| !line.is_blank());
        lines
            .map(|line| {
                let place = line.place(&file, 0).to_string();
                let number = place.trim_start_matches("a.docx, line ").split(',').next().unwrap().to_owned();
                format!("{number} {}", line.text)
            })
            .collect::<Vec<_>>()
    };
    let tips = line(&run("Tip.")) + &line(&run("Another."));
    assert_eq!(
        lines(&(line(&(run("Row 3: K2, ") + &boxed(&tips) + &run("p2."))) + &line(&run("Row 4: K4.")))),
        ["1 Row 3: K2, p2.", "2 Tip.", "3 Another.", "4 Row 4: K4."]
    );
    assert_eq!(
        lines(&row(&[line(&run("Row 3")), line(&(run("K2, ") + &boxed(&tips) + &run("p2.")))])),
        ["1 Row 3: K2, p2.", "3 Tip.", "4 Another."]
    );
    let inner = row(&[line(&run("Row 1")), line(&run("K4."))]);
    assert_eq!(
        lines(&row(&[line(&run("Left")), line(&run("Rows:")) + &inner + &line(&run("End."))])),
        ["1 Left: Rows: End.", "3 Row 1: K4."]
    );
    // A table in a text box, and a paragraph behind it.
    assert_eq!(
        lines(&line(&(run("Rows:") + &boxed(&inner) + &run(" knit.")))),
        ["1 Rows: knit.", "2 Row 1: K4."]
    );
}

/// Which part holds the text, the lists and the styles is told by the references from the package's root (ECMA-376 part 2):
/// programs other than Word give them other names.
#[test]
fn parts_of_word_documents_are_found_by_reference() {
    let relations = |links: &[(&str, &str)]| {
        let kind = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
        let links = links.iter().enumerate().map(|(id, (name, target))| {
            format!("<Relationship Id=\"r{id}\" Type=\"{kind}/{name}\" Target=\"{target}\"/>")
        });
        format!("<Relationships>{}</Relationships>", links.collect::<String>())
    };
    let list = "<w:abstractNum w:abstractNumId=\"0\"><w:lvl w:ilvl=\"0\"><w:start w:val=\"1\"/>\
        <w:numFmt w:val=\"decimal\"/><w:lvlText w:val=\"Row %1:\"/></w:lvl></w:abstractNum>\
        <w:num w:numId=\"1\"><w:abstractNumId w:val=\"0\"/></w:num>";
    let style =
        "<w:style w:styleId=\"Rows\"><w:pPr><w:numPr><w:numId w:val=\"1\"/></w:numPr></w:pPr></w:style>";
    let row = |text: &str| {
        format!("<w:p><w:pPr><w:pStyle w:val=\"Rows\"/></w:pPr><w:r><w:t>{text}</w:t></w:r></w:p>")
    };
    let body = format!(
        "<w:body><w:p><w:r><w:t>Cast on 4 sts.</w:t></w:r></w:p>{}{}</w:body>",
        row("K4."),
        row("P4.")
    );
    let parts = [
        ("_rels/.rels", relations(&[("officeDocument", "text/main.xml")])),
        ("text/_rels/main.xml.rels", relations(&[("styles", "looks.xml"), ("numbering", "/lists.xml")])),
        ("text/main.xml", word_part("document", &body)),
        ("text/looks.xml", word_part("styles", style)),
        ("lists.xml", word_part("numbering", list)),
    ];
    let read = |types: &str| {
        let types = ("[Content_Types].xml", format!("<Types><Override ContentType=\"{types}\"/></Types>"));
        let parts: Vec<(String, String)> =
            parts.iter().cloned().chain([types]).map(|(name, text)| (name.to_owned(), text)).collect();
        let bytes = package(&parts);
        rows_of(&convert::texts(
            &Arc::from("a"),
            &bytes,
            None,
            &Settings::default(),
            &Settings::default(),
            None,
        ))
    };
    for types in [
        "application/vnd.openxmlformats-officedocument.wordprocessingml.document.main+xml",
        "application/vnd.openxmlformats-officedocument.wordprocessingml.template.main+xml",
        "application/vnd.ms-word.document.macroEnabled.main+xml",
        "application/vnd.ms-word.template.macroEnabledTemplate.main+xml",
    ] {
        assert_eq!(read(types)[1..], ["1 RS k*4", "2 WS p*4"], "{types}");
    }
}

/// Lists as ECMA-376-1:2016 has them, section 17.9; what each paragraph shows worked out by hand.
#[test]
fn numbers_that_word_puts_before_rows_are_read() {
    const LISTS: &str = r#"
        <w:abstractNum w:abstractNumId="0">
          <w:lvl w:ilvl="0"><w:start w:val="1"/><w:numFmt w:val="decimal"/><w:lvlText w:val="Row %1:"/></w:lvl>
          <w:lvl w:ilvl="1"><w:start w:val="1"/><w:numFmt w:val="lowerLetter"/><w:lvlText w:val="%2)"/></w:lvl>
        </w:abstractNum>
        <w:abstractNum w:abstractNumId="1">
          <w:lvl w:ilvl="0"><w:start w:val="1"/><w:numFmt w:val="decimal"/><w:lvlText w:val="%1."/></w:lvl>
          <w:lvl w:ilvl="1"><w:start w:val="1"/><w:numFmt w:val="decimal"/><w:lvlText w:val="Row %1.%2"/></w:lvl>
        </w:abstractNum>
        <w:abstractNum w:abstractNumId="2">
          <w:lvl w:ilvl="0"><w:start w:val="1"/><w:numFmt w:val="bullet"/><w:lvlText w:val="o"/></w:lvl>
        </w:abstractNum>
        <w:num w:numId="1"><w:abstractNumId w:val="0"/></w:num>
        <w:num w:numId="2"><w:abstractNumId w:val="1"/></w:num>
        <w:num w:numId="3"><w:abstractNumId w:val="2"/></w:num>
        <w:num w:numId="4"><w:abstractNumId w:val="0"/>
          <w:lvlOverride w:ilvl="0"><w:startOverride w:val="1"/></w:lvlOverride></w:num>"#;
    const STYLES: &str = r#"
        <w:style w:styleId="Rows"><w:pPr><w:numPr><w:numId w:val="1"/></w:numPr></w:pPr></w:style>
        <w:style w:styleId="LastRows"><w:basedOn w:val="Rows"/></w:style>"#;
    let listed = |list: u32, level: u32, text: &str| {
        format!(
            "<w:p><w:pPr><w:numPr><w:ilvl w:val=\"{level}\"/><w:numId w:val=\"{list}\"/></w:numPr>\
             <w:pPrChange><w:pPr><w:numPr><w:numId w:val=\"3\"/></w:numPr></w:pPr></w:pPrChange></w:pPr>\
             <w:r><w:t>{text}</w:t></w:r></w:p>"
        )
    };
    let styled = |style: &str, text: &str| {
        format!("<w:p><w:pPr><w:pStyle w:val=\"{style}\"/></w:pPr><w:r><w:t>{text}</w:t></w:r></w:p>")
    };
    let read = |paragraphs: &[String]| {
        let parts = [("numbering", "numbering", LISTS), ("styles", "styles", STYLES)];
        read_as("a.docx", &word(&paragraphs.concat(), &parts), &[])
    };
    // Rows that the list labels whole, a note among them, a style and the one based on it; another list counts anew.
    let labelled = read(&[
        styled("Title", "Leaves"),
        styled("Plain", "Cast on 4 sts."),
        listed(1, 0, "K4."),
        listed(1, 1, "Loosely."),
        styled("Rows", "P4."),
        styled("LastRows", "K1, p2, k1."),
        styled("Title", "Hem"),
        styled("Plain", "Cast on 3 sts."),
        listed(4, 0, "P3."),
        listed(4, 0, "K3."),
    ]);
    assert_eq!(
        rows_of(&labelled),
        ["Leaves 4", "1 RS k*4", "2 WS p*4", "3 RS k p*2 k", "Hem 3", "1 RS p*3", "2 WS k*3"]
    );
    let place = labelled.charts[0].pattern.as_ref().unwrap().rows[2].place.to_string();
    assert_eq!(place, "a.docx, line 6, column 1");
    // Numbers alone number rows where they are rows; what is counted on two levels, or by bullets, does not.
    let numbered = read(&[
        styled("Title", "Leaves"),
        styled("Plain", "Cast on 4 sts."),
        listed(2, 0, "(RS): K4."),
        listed(2, 1, "K9."),
        listed(3, 0, "K9."),
        listed(2, 0, "P4."),
    ]);
    let unplaced: Vec<String> = numbered.charts[0].findings.iter().map(|f| f.message.clone()).collect();
    assert_eq!(unplaced, ["\"K9.\" reads like a row, but not which one it is."; 2]);
}

/// A list of rows under one heading, labelled rows under the next; a list beside labelled rows that has their numbers again
/// is told.
#[test]
fn each_heading_says_in_its_own_way_which_lines_are_rows() {
    let html = "<h1>Cuff</h1><p>Cast on 4 sts.</p><ol><li>K4</li><li>P4</li></ol>\
                <h1>Hem</h1><p>Cast on 4 sts.</p><table><tr><td>Row 1</td><td>K4</td></tr>\
                <tr><td>Row 2</td><td>P2, k2</td></tr></table><ol><li>K4</li><li>K4</li></ol>";
    let read = read_as("a.html", html.as_bytes(), &[]);
    assert!(read.charts[0].sound().is_some() && read.charts[1].sound().is_none());
    let twice: Vec<String> = read.charts[1].findings.iter().map(|f| f.message.clone()).collect();
    assert_eq!(twice, ["Rows 1 to 2 stand twice in the text."]);
    let notes = html.replace("<li>K4</li><li>K4</li>", "<li>Wind the yarn</li><li>Block the hem</li>");
    let read = read_as("a.html", notes.as_bytes(), &[]);
    assert_eq!(rows_of(&read), ["Cuff 4", "1 RS k*4", "2 WS p*4", "Hem 4", "1 RS k*4", "2 WS p*2 k*2"]);
    assert_eq!(read.charts[1].pattern.as_ref().unwrap().notes, ["Wind the yarn", "Block the hem"]);
}

#[test]
fn web_pages_and_word_documents_are_read() {
    let html = format!(
        "<!DOCTYPE html><html><head><title>My blog</title></head><body><h1>{}</h1><p>{}</p><p><b>Row 1 (RS):</b> K1, *yo, k2tog; rep from * to end.<br/>Row 2: Purl.</p></body></html>",
        ROWS[0], ROWS[1]
    );
    assert_eq!(rows_of(&read_as("a.html", html.as_bytes(), &[])), EXPECTED);
    let paragraphs: String = ROWS
        .iter()
        .map(|row| {
            let (head, tail) = row.split_at(4);
            format!("<w:p><w:r><w:t xml:space=\"preserve\">{head}</w:t></w:r><w:del><w:r><w:delText>x</w:delText></w:r></w:del><w:r><w:t>{tail}</w:t></w:r></w:p>")
        })
        .collect();
    let docx = word(&paragraphs, &[]);
    let read = read_as("a.docx", &docx, &[]);
    assert_eq!(rows_of(&read), EXPECTED);
    let place = read.charts[0].pattern.as_ref().unwrap().rows[0].place.to_string();
    assert_eq!(place, "a.docx, line 3, column 1");
}

/// A row in the colours that a head names, at a width of its own.
fn coloured(head: &str, cast_on: u32, rows_text: &str) -> Vec<String> {
    rows(&format!("T\n\nWorked flat.\nCast on {cast_on} sts.\n{head}\n\n{rows_text}")).split_off(1)
}

/// Common practice: the colours may be the first line of a text, apart from what follows. A pattern that is called so is
/// another thing: its rows name no such colour.
#[test]
fn colours_that_open_a_text_are_no_title() {
    for head in ["Colours: navy, cream\n\n", "Colours: navy, cream\n", "Tide\n\nColours: navy, cream\n\n"] {
        assert_eq!(
            rows(&format!("{head}CO 6 sts.\nRow 1: K3 navy, k3 cream.\nRow 2: P3 cream, p3 navy.\n"))[1..],
            ["1 RS k/navy*3 k/cream*3", "2 WS p/cream*3 p/navy*3"],
            "{head:?}"
        );
    }
    assert_eq!(
        rows("Colours: navy, cream\n\nCO 6 sts.\nRow 1: K.\n"),
        ["Colours: navy, cream 6", "1 RS k*6"]
    );
}

/// How presses name the colour of a few stitches, common practice: behind them, with "in" or "with", one for all that
/// follows, and by letters or MC and CC, which need no explanation. Worked out by hand.
#[test]
fn stitches_name_their_colour() {
    for (head, row, expected) in [
        ("Colours: navy, cream.", "K3 navy, k2 cream.", "k/navy*3 k/cream*2"),
        ("Colors: Navy, Dark Cream.", "K3 navy, k2 in dark cream.", "k/Navy*3 k/Dark Cream*2"),
        ("", "K3 MC, k2 CC.", "k/MC*3 k/CC*2"),
        ("", "K3MC, k2CC1.", "k/MC*3 k/CC1*2"),
        ("MC: navy", "K3 in MC, k2 with cc.", "k/navy*3 k/CC*2"),
        ("A = navy, B = cream", "With A: k3, with B: k2.", "k/navy*3 k/cream*2"),
        ("A = navy; B = cream", "A: k3; B: k2.", "k/navy*3 k/cream*2"),
        ("Colours: A (navy), B (cream).", "With yarn A k3, using B, k2.", "k/navy*3 k/cream*2"),
        ("Colours: navy, cream.", "Knit in navy.", "k/navy*5"),
        ("Colours: navy, cream.", "With navy, knit.", "k/navy*5"),
        ("Colours: navy, cream.", "K1 cream, k navy to end.", "k/cream k/navy*4"),
        ("Colours: navy, cream.", "K1 cream, k to last st in navy, k1.", "k/cream k/navy*3 k"),
        (
            "Colours: navy, cream.",
            "K1, *k1 navy, k1 cream; rep from * to end.",
            "k k/navy k/cream k/navy k/cream",
        ),
        (
            "Colours: navy, cream.",
            "With navy, k1, *with cream, k1, with navy, k1; rep from * to end.",
            "k/navy k/cream k/navy k/cream k/navy",
        ),
        (
            "Colours: navy, cream.",
            "Sl 1, k1, psso in navy, (k1, yo, k1) in next st in cream, k2 cream twice",
            "skp/navy kyok/cream k/cream*4",
        ),
        ("Colours: No. 4, red; sea-green.", "K3 no. 4, red, k2 sea green.", "k/No. 4, red*3 k/sea-green*2"),
        ("Colours: navy, cream.", "K2, change to cream, k2, k1.", "k*2 k/cream*3"),
        ("Colours: MC - navy; A (Dk. blue, no. 4).", "K3 MC, k2 A.", "k/navy*3 k/Dk. blue, no. 4*2"),
        ("Colours: A (black and white), B (rust).", "K3 A, k2 B.", "k/black and white*3 k/rust*2"),
        // A number with nothing before it that says so is how many there are.
        ("Colours: 1, 2.", "With colour 1, k1, yo, k2tog, k1, k1 2.", "k/1 yo/1 k2tog/1 k/1 k/2"),
        ("Colours: 1, 2.", "With 2, sl 1 wyib, k2 in colour 1, k1, k1 1.", "sl1wyib k/1*2 k/2 k/1"),
    ] {
        let cast_on = if row.starts_with("Sl") { 7 } else { 5 };
        let read = coloured(head, cast_on, &format!("Row 1 (RS): {row}\n"));
        assert_eq!(read, [format!("1 RS {expected}")], "{head} {row}");
    }
}

/// Colours by rows, as striped and mosaic knitting is printed: in the label, at the beginning of the row, in a line
/// between the rows; a row that says none goes on in the one in use.
#[test]
fn rows_are_worked_in_a_colour() {
    let expected = ["1 RS k/navy*3", "2 WS p/navy*3", "3 RS k/cream sl1wyib k/cream", "4 WS p/cream*3"];
    for text in [
        "Row 1 (RS) (navy): Knit.\nRow 2 (navy): Purl.\nRow 3 (RS)(cream): K1, sl 1 wyib, k1.\nRow 4 (cream): Purl.",
        "Row 1 (RS), navy: Knit.\nRow 2 [navy]: Purl.\nRow 3 (in cream): K1, sl 1 wyib, k1.\nRow 4, cream: Purl.",
        "Row 1 (RS): With navy, knit.\nRow 2: Purl.\nRow 3: With cream, k1, sl 1 wyib, k1.\nRow 4: Purl.",
        "Row 1 (RS): With navy, work in St st.\nRow 2: In navy, purl.\nRow 3: With cream, k1, sl 1 wyib, k1.\nRow 4: Work in St st with cream.",
    ] {
        let text = text.replace("sl 1 wyib", "sl 1 wyib in CC");
        let read = coloured("Colours: navy, cream.", 3, &text);
        let expected = expected.map(|row| row.replace("sl1wyib", "sl1wyib/CC"));
        assert_eq!(read, expected, "{text}");
    }
    let between =
        "With navy, cast on.\nRow 1 (RS): Knit.\nRow 2: Purl.\nChange to cream.\nRow 3: Knit.\nRow 4: Purl.";
    assert_eq!(
        coloured("Colours: navy, cream.", 3, between),
        ["1 RS k/navy*3", "2 WS p/navy*3", "3 RS k/cream*3", "4 WS p/cream*3"]
    );
    // A note is about more than the row below it; the page of a pattern has its notes above all its rows.
    assert_eq!(
        coloured(
            "Colours: navy, cream.\n\nNotes\nChange to cream.",
            2,
            "Row 1 (RS): With navy, knit.\nRow 2: Purl."
        ),
        ["1 RS k/navy*2", "2 WS p/navy*2"]
    );
    assert_eq!(
        coloured(
            "Colours: navy, cream.\n\nNotes\nChange to cream.",
            2,
            "Row 1 (RS): K1, k1 navy.\nRow 2: Purl."
        ),
        ["1 RS k k/navy", "2 WS p*2"]
    );
    // Stitches with colours of their own leave none in use.
    assert_eq!(
        coloured("Colours: navy, cream.", 3, "Row 1 (RS): K1 navy, k2 cream.\nRow 2: Purl."),
        ["1 RS k/navy k/cream*2", "2 WS p*3"]
    );
}

/// What is slipped has the colour of the loop it passes on, which the yarn in hand passes by: common practice, no published
/// source. Of the loops of a cast-on no colour is known.
#[test]
fn slipped_stitches_keep_their_colour() {
    let mosaic = "Row 1 (RS): With cream, k1, sl 1 wyib, k2.\nRow 2: P2, sl 1 wyif, p1.\nRow 3: With navy, k2, sl 1 wyib, k1.\n\
        Row 4: P1, sl 1 wyif, p2.";
    assert_eq!(
        coloured("Colours: navy, cream.", 4, mosaic),
        [
            "1 RS k/cream sl1wyib k/cream*2",
            "2 WS p/cream*2 sl1wyif p/cream",
            "3 RS k/navy*2 sl1wyib/cream k/navy",
            "4 WS p/navy sl1wyif/cream p/navy*2",
        ]
    );
    let round = "With navy, knit.\nRnd 2: With cream, k1, sl 1, k1.\nRnd 3: K1, sl 1, k1.";
    assert_eq!(
        rows(&format!("T\n\nCast on 3 sts.\nColours: navy, cream.\n\nRnd 1: {round}")).split_off(1),
        ["1 RS k/navy*3", "2 RS k/cream sl1wyib/navy k/cream", "3 RS k/cream sl1wyib/navy k/cream"]
    );
}

/// A colour is never guessed: what the text does not name is told where it stands.
#[test]
fn colours_that_are_not_named_are_told() {
    let head = "T\n\nCast on 5 sts.\nColours: navy, cream.\n\n";
    for (row, expected) in [
        ("Row 1 (RS): K3 navy, k2 teal.", "unclear-colour 6:25 row 1 [teal]"),
        ("Row 1 (RS): K3 navy, k2 in crem.", "unclear-colour 6:25 row 1 [in crem]"),
        ("Row 1 (RS): With D, k5.", "unclear-colour 6:13 row 1 [With D]"),
        ("Row 1 (RS) (nayv): K5.", "unclear-colour 6:1 row 1 [nayv]"),
        (
            "Row 1 (RS): With navy, k1, *k1, with cream, k1; rep from * to end.",
            "unclear-colour 6:28 row 1 [*k1, with cream, k1]",
        ),
        ("Row 1 (RS): With navy, knit.\nRow 2: Purl.", "colour-goes-on 7:1 row 2"),
        ("Row 1 (RS) (inc row): K5.", ""),
    ] {
        let told = told(&format!("{head}{row}\n"));
        assert_eq!(told.join("\n"), expected, "{row}");
    }
    let bare = told("T\nCast on 5 sts.\nRow 1: K3 in teal, k2.\nRow 2: K5 rust.\n");
    assert_eq!(bare, ["unclear-colour 3:11 row 1 [in teal]", "unreadable-row 4:11 row 2 [rust]"]);
}

/// A text of two rows on 6 + 5 stitches, in sizes; `count` stands behind its first row.
fn in_sizes(facts: &str, count: &str) -> String {
    format!(
        "Ripple\n\n{facts}\n\nRow 1 (RS): K2, *k2, yo, ssk, k2; rep from * to last 3 sts, k3.{count}\nRow 2 (WS): P.\n"
    )
}

/// Widths by hand: 6 x 4 + 5 = 29, 6 + 5 = 11, 6 x 6 + 5 = 41. Contract: every setting has an option that overrides it.
#[test]
fn sizes_that_are_asked_for_take_the_place_of_those_of_the_text() {
    const FACTS: &str = "Sizes: S (M, L).\nMultiple of 6 sts + 5.\nCast on 17 (23, 35) sts.";
    let sizes = |text: &str, set: &[(&str, &str)]| -> Vec<String> {
        let read = read_as("a.txt", text.as_bytes(), set);
        let pattern = read.charts[0].sound().unwrap_or_else(|| panic!("{:#?}", read.charts[0].findings));
        let size = |size: &longhand::pattern::Size| format!("{} {} {}", size.name, size.times, size.cast_on);
        let first = format!("{} on {}", pattern.rows[0].stitches.len(), pattern.cast_on);
        let codes = read.charts[0].findings.iter().map(|finding| finding.code.to_string());
        std::iter::once(first).chain(pattern.sizes.iter().map(size)).chain(codes).collect()
    };
    let plain = in_sizes(FACTS, "");
    assert_eq!(sizes(&plain, &[]), ["17 on 17", "S 2 17", "M 3 23", "L 5 35"]);
    assert_eq!(sizes(&plain, &[("sizes", "S = 4")]), ["29 on 29", "S 4 29"]);
    assert_eq!(sizes(&plain, &[("sizes", "XS = 1, XL = 6")]), ["11 on 11", "XS 1 11", "XL 6 41"]);
    assert_eq!(sizes(&plain, &[("sizes", "S = 4"), ("cast-on", "29")]), ["29 on 29", "S 4 29"]);
    // Counts are proved in the sizes they are stated for, and left aside in others.
    let counted = in_sizes(FACTS, " (17 (23, 35) sts)");
    assert_eq!(sizes(&counted, &[("sizes", "M = 3")]), ["23 on 23", "M 3 23"]);
    assert_eq!(sizes(&counted, &[("sizes", "S = 4")]), ["29 on 29", "S 4 29", "counts-left-aside"]);
    assert_eq!(
        sizes(&counted, &[("sizes", "M = 3, XL = 6")]),
        ["23 on 23", "M 3 23", "XL 6 41", "counts-left-aside"]
    );
    let wrong = in_sizes(FACTS, " (17 (22, 35) sts)");
    let read = read_as("a.txt", wrong.as_bytes(), &[("sizes", "S = 2, M = 3")]);
    assert!(read.charts[0].sound().is_none());
    // One size alone.
    let alone = in_sizes("Multiple of 6 sts + 5.\nCast on 17 sts.", "");
    assert_eq!(sizes(&alone, &[("sizes", "S = 4, M = 6")]), ["29 on 29", "S 4 29", "M 6 41"]);
}

#[test]
fn sizes_that_a_text_can_not_be_worked_in_are_told() {
    let told = |text: &str, set: &[(&str, &str)]| -> Vec<String> {
        let read = read_as("a.txt", text.as_bytes(), set);
        assert!(read.charts[0].sound().is_none());
        let shown = |finding: &Finding| format!("{} {}", finding.code, finding.message);
        read.charts[0].findings.iter().map(shown).collect()
    };
    assert_eq!(
        told(&in_sizes("Cast on 17 sts.", ""), &[("sizes", "S = 4")]),
        ["repeat-columns Sizes are set, but the text does not say of what its cast-on is a multiple."]
    );
    assert_eq!(
        told(
            &in_sizes("Multiple of 6 sts + 5.\nCast on 17 sts.", ""),
            &[("sizes", "S = 4"), ("cast-on", "17")]
        ),
        [
            "settings-disagree The first size works the repeat 4 times, which takes 29 sts, but the cast-on is 17."
        ]
    );
    // Rows that give a number for each of the text's own sizes give none for another.
    let text = "Ripple\n\nSizes: S (M).\nMultiple of 6 sts + 5.\nCast on 17 (23) sts.\n\nRow 1: K17 (23).\n";
    assert_eq!(
        told(text, &[("sizes", "L = 4")]),
        ["sizes-uneven The rows give numbers for 17 (23) sts, and none for size L of 29 sts."]
    );
    let read = read_as("a.txt", text.as_bytes(), &[("sizes", "M = 3")]);
    assert_eq!(read.charts[0].sound().map(|pattern| pattern.rows[0].stitches.len()), Some(23));
}
