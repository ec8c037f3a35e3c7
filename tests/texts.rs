//! Texts of others: conventions of print that no style of ours uses, and what is told where a text is wrong. Rows and
//! messages are worked out by hand; sources are domain.md section 5, standards.md section 5, contract.md on written
//! rows, and common practice.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

#[path = "texts/table.rs"]
mod table;

use std::io::Write as _;
use std::sync::Arc;

use longhand::convert::{self, Charts};
use longhand::problem::Severity;
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
                    let name = &pattern.stitches.get(run[0]).name;
                    if run.len() == 1 { name.clone() } else { format!("{name}*{}", run.len()) }
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
        ["bare-slip 3:13 row 1 [Sl 1]", "bare-slip 4:8 row 2 [Sl 1]", "markers-count-nothing 3:1 row 1"]
    );
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

#[test]
fn a_cast_on_picks_its_size() {
    let text = "Cuff\nSizes: S (M, L)\nCast on 8 (14, 18) sts.\nRow 1 (RS): K2 (3, 4), [p2, k2] 1 (2, 3) times, k2 (3, 2). [8 (14, 18) sts]\n";
    assert_eq!(rows(text), ["Cuff 8", "1 RS k*2 p*2 k*4"]);
    assert_eq!(told(text), ["first-size-only 4:1 [size S]"]);
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
        ("A\nCast on 4 sts.\nRow 1: K4.\nDec row: P4.\nRow 2: K4.\n", vec!["unnumbered-row 4:1 [Dec row]"]),
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

#[test]
fn web_pages_and_word_documents_are_read() {
    let html = format!(
        "<!DOCTYPE html><html><head><title>My blog</title></head><body><h1>{}</h1><p>{}</p><p><b>Row 1 (RS):</b> K1, *yo, k2tog; rep from * to end.<br/>Row 2: Purl.</p></body></html>",
        ROWS[0], ROWS[1]
    );
    assert_eq!(rows_of(&read_as("a.html", html.as_bytes(), &[])), EXPECTED);
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let options = zip::write::SimpleFileOptions::default();
    zip.start_file("[Content_Types].xml", options).unwrap();
    zip.write_all(b"<Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\"/>")
        .unwrap();
    zip.start_file("word/document.xml", options).unwrap();
    let paragraphs: String = ROWS
        .iter()
        .map(|row| {
            let (head, tail) = row.split_at(4);
            format!("<w:p><w:r><w:t xml:space=\"preserve\">{head}</w:t></w:r><w:del><w:r><w:delText>x</w:delText></w:r></w:del><w:r><w:t>{tail}</w:t></w:r></w:p>")
        })
        .collect();
    let body = format!(
        "<w:document xmlns:w=\"http://schemas.openxmlformats.org/wordprocessingml/2006/main\"><w:body>{paragraphs}</w:body></w:document>"
    );
    zip.write_all(body.as_bytes()).unwrap();
    let docx = zip.finish().unwrap().into_inner();
    let read = read_as("a.docx", &docx, &[]);
    assert_eq!(rows_of(&read), EXPECTED);
    let place = read.charts[0].pattern.as_ref().unwrap().rows[0].place.to_string();
    assert_eq!(place, "a.docx, line 3, column 1");
}
