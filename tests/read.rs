//! Reading spreadsheet files: the same chart from every kind of file, and files that are damaged or hostile.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, missing_docs, clippy::panic)]

use std::io::{Cursor, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use longhand::grid::{Bands, Colour, Edge, Grid, Look, Value, Workbook};
use longhand::place::Address;
use longhand::problem::{Code, Finding, Severity};
use longhand::read::{self, Format};
use proptest::prelude::*;
use zip::write::SimpleFileOptions;

fn fixtures() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures")
}

fn fixture(name: &str) -> Vec<u8> {
    std::fs::read(fixtures().join(name)).unwrap()
}

/// Every fixture.
fn all_fixtures() -> Vec<PathBuf> {
    let mut paths: Vec<PathBuf> =
        std::fs::read_dir(fixtures()).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.is_file());
    paths.sort();
    paths
}

fn read_as(name: &str, bytes: &[u8]) -> (Option<Workbook>, Vec<Finding>) {
    let file: Arc<str> = name.into();
    let (workbook, findings) = read::workbook(&file, bytes, None);
    // A file that can't be read says why; one that can be is not called wrong.
    assert_eq!(workbook.is_none(), findings.iter().any(|finding| finding.severity() == Severity::Error));
    for finding in &findings {
        assert_eq!(finding.place.file, file);
        assert!(finding.message.ends_with('.') && !finding.help.is_empty(), "{finding:?}");
    }
    (workbook, findings)
}

fn workbook(name: &str) -> Workbook {
    let (workbook, findings) = read_as(name, &fixture(name));
    workbook.unwrap_or_else(|| panic!("{name}: {findings:?}"))
}

/// The one error of a file that can't be read.
fn refusal(name: &str, bytes: &[u8]) -> Finding {
    let (workbook, mut findings) = read_as(name, bytes);
    assert_eq!(workbook, None, "{name} was read");
    findings.retain(|finding| finding.severity() == Severity::Error);
    assert_eq!(findings.len(), 1);
    findings.remove(0)
}

fn shown(grid: &Grid) -> Vec<String> {
    grid.cells.iter().map(|cell| format!("{} {}", cell.at, cell.value.text())).collect()
}

/// What `scripts/outside/make_fixtures.py` puts into the sheet, written out by hand.
const LEAVES: [&str; 27] = [
    "A1 Small leaves",
    "B3 k",
    "C3 2/1 rc",
    "F3 yo",
    "G3 k",
    "H3 3",
    "A4 2",
    "B4 k",
    "C4 k",
    "D4 k",
    "E4 k",
    "F4 k",
    "G4 k",
    "B5 k",
    "C5 yo",
    "D5 k2tog",
    "E5 \u{25cb}",
    "F5 /",
    "G5 -",
    "H5 1",
    "A7 Cast on: 6",
    "A8 Symbols",
    "B8 <&>",
    "C8 k",
    "E8 \u{2019}",
    "F8 line break",
    "G8 \u{8868}",
];

#[test]
fn one_chart_is_the_same_from_every_kind_of_workbook() {
    let expected = LEAVES;
    for name in [
        "leaves.xlsx",
        "leaves-office.xlsx",
        "leaves.ods",
        "leaves.fods",
        "leaves.xls",
        "leaves-office.xls",
        "leaves.xlsb",
    ] {
        let book = workbook(name);
        let chart = &book.sheets[0];
        assert_eq!(chart.name().map(|name| &**name), Some("Chart"), "{name}");
        assert_eq!(shown(chart), expected, "{name}");
        assert_eq!(chart.merges.iter().map(ToString::to_string).collect::<Vec<_>>(), ["C3:E3"], "{name}");
        let hidden: Vec<bool> = book.sheets.iter().map(|sheet| sheet.hidden).collect();
        assert_eq!(hidden, [false, false, true], "{name}");
    }
}

/// Numbers stay numbers, and what the user typed stays as it was.
#[test]
fn values_keep_their_kind() {
    let date = Value::Date { year: 2026, month: 1, day: 2 };
    let from_1900 = Value::Date { year: 1900, month: 3, day: 1 };
    let expected = [
        Value::Number(3.0),
        Value::Number(1.5),
        Value::Number(-2.0),
        Value::Number(1e21),
        Value::Truth(true),
        Value::Truth(false),
        Value::Text("text".into()),
        Value::Text("3".into()),
        Value::Error("=1+2".into()),
        date.clone(),
        from_1900,
        Value::Date { year: 2026, month: 2, day: 1 },
        Value::Number(0.25),
        date.clone(),
        Value::Number(46024.0),
        Value::Error("#NAME?".into()),
        Value::Text("k2tog".into()),
    ];
    let (book, findings) = read_as("values.xlsx", &fixture("values.xlsx"));
    let cells: Vec<Value> = book.unwrap().sheets[0].cells.iter().map(|cell| cell.value.clone()).collect();
    assert_eq!(cells, expected);
    // The formula in A9 was never worked out.
    assert_eq!(findings.iter().map(|finding| finding.code).collect::<Vec<_>>(), [Code::NotSeen]);
    assert_eq!(findings[0].place.to_string(), "values.xlsx, sheet Values, cell A9");

    let mac = workbook("mac-dates.xlsx");
    assert_eq!(mac.sheets[0].cells[0].value, date);
}

#[test]
fn a_far_corner_costs_nothing() {
    let book = workbook("far-corner.xlsx");
    assert_eq!(shown(&book.sheets[0]), ["A1 k", "XFD1048576 far"]);
    assert_eq!(book.sheets[0].merges[0].to_string(), "C1:D1048576");
    assert_eq!(refusal("far-corners.xls", &fixture("far-corners.xls")).code, Code::TooLarge);
}

#[test]
fn one_chart_is_the_same_from_every_kind_of_text() {
    let expected = [
        "A2 Small leaves",
        "B4 k",
        "C4 2/1 rc",
        "F4 yo",
        "G4 k",
        "H4 3",
        "A5 2",
        "B5 k",
        "C5 k",
        "D5 k",
        "E5 k",
        "F5 k",
        "G5 k",
        "B6 k",
        "D6 yo",
        "E6 k2tog",
        "F6 \u{d7}",
        "G6 \u{2013}",
        "H6 1",
    ];
    for (name, assumed) in [
        ("leaves-semicolons.csv", None),
        ("leaves-marked.csv", None),
        ("leaves-utf16.csv", None),
        ("leaves-old-mac.csv", None),
        ("leaves.tsv", None),
        ("leaves-western.csv", Some("windows-1252")),
        ("leaves-unmarked-utf16.csv", Some("UTF-16BE")),
    ] {
        let (book, findings) = read_as(name, &fixture(name));
        assert_eq!(shown(&book.unwrap().sheets[0]), expected, "{name}");
        let said = findings.first().and_then(|finding| finding.found.as_deref());
        assert_eq!(said, assumed, "{name}");
    }
}

/// What `scripts/outside/make_fixtures.py` gives the sheet. Theme colour 4 of its author's library is 4F81BD, a
/// quarter darker 366092 as spreadsheets name that shade; a dotted eighth of black is DFDFDF.
#[test]
fn looks_are_the_same_from_every_kind_of_workbook() {
    for name in ["looks.xlsx", "looks.ods", "looks.fods", "looks.xls"] {
        let book = workbook(name);
        let grid = &book.sheets[0];
        let look = |row, column| grid.looks.at(Address::new(row, column));
        let near = |got: Option<Colour>, digits: &str| {
            let want = Colour::from_hex(digits).unwrap();
            got.is_some_and(|got| got.0.iter().zip(want.0).all(|(got, want)| got.abs_diff(want) <= 1))
        };
        for (row, column, digits) in [
            (1, 1, "D9D9D9"),
            (1, 2, "366092"),
            (1, 3, "C0C0C0"),
            (1, 4, "DFDFDF"),
            (1, 5, "FFFFFF"),
            (3, 7, "1F4E79"),
            (8, 0, "00FF00"),
            (8, 30, "00FF00"),
            (9, 11, "FFFF00"),
        ] {
            assert!(near(look(row, column).fill, digits), "{name} {row} {column} {:?}", look(row, column));
        }
        assert_eq!(look(2, 1), Look::default(), "{name}");
        let red = Some(Edge { heavy: true, colour: Colour([255, 0, 0]) });
        let thin = Some(Edge { heavy: false, colour: Colour::BLACK });
        assert_eq!(
            look(2, 2),
            Look { top: red, right: thin, bottom: thin, left: red, ..Look::default() },
            "{name}"
        );
        assert_eq!(
            look(4, 3),
            Look { top: thin, right: red, bottom: red, left: thin, ..Look::default() },
            "{name}"
        );
        let hidden = |bands: &Bands<()>| bands.iter().map(|band| (band.first, band.last)).collect::<Vec<_>>();
        assert_eq!(hidden(&grid.hidden_rows), [(6, 6)], "{name}");
        assert_eq!(hidden(&grid.hidden_columns), [(9, 9)], "{name}");
    }
}

/// The look that `make_fixtures.py` puts on every cell, as LibreOffice shows it.
#[test]
fn looks_of_a_binary_workbook_are_read() {
    let book = workbook("looks.xlsb");
    let grid = &book.sheets[0];
    let line = |heavy, colour| Some(Edge { heavy, colour });
    let look = Look {
        fill: Some(Colour([0xd9; 3])),
        top: line(true, Colour([255, 0, 0])),
        left: line(false, Colour::BLACK),
        ..Look::default()
    };
    assert!(grid.cells.iter().all(|cell| grid.looks.at(cell.at) == look));
    assert!(grid.hidden_rows.get(6).is_some() && grid.hidden_columns.get(9).is_some());
    // Blank cells may be filled too: the key of `filled.xls` says so with "gray25", C0C0C0.
    let (book, findings) = read_as("filled.xls", &fixture("filled.xls"));
    let fill = book.unwrap().sheets[0].looks.at(Address::new(0, 1)).fill;
    assert_eq!((fill, findings), (Some(Colour([0xc0; 3])), Vec::new()));
}

#[test]
fn a_file_is_what_its_bytes_say() {
    let leaves = fixture("leaves.ods");
    assert!(read_as("leaves.xlsx", &leaves).0.is_some());
    assert!(read_as("-", &leaves).0.is_some());
    for (bytes, what) in [
        (&b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"[..], "a PNG picture"),
        (b"%PDF-1.7\n", "a PDF"),
        (b"", "an empty file"),
        (&[0; 5_000], "no text and no kind of spreadsheet that is known"),
    ] {
        let finding = refusal("chart.xlsx", bytes);
        assert_eq!((finding.code, finding.found.as_deref()), (Code::UnreadableFile, Some(what)));
    }
    // Nothing tells whether a chart or a text was meant.
    assert_eq!(refusal("rows.txt", b"").message, "The file is empty.");
    let finding = refusal("rows.txt", b"Row 1: K2, yo.\n");
    assert_eq!(finding.code, Code::UnreadableFile);
    // What is asked for goes before what the bytes say.
    let (book, _) = read::workbook(&"rows.txt".into(), b"k,o\nk,k\n", Some(Format::Csv));
    assert_eq!(book.unwrap().sheets[0].cells.len(), 4);
    let (book, findings) = read::workbook(&"a.csv".into(), b"k,o\nk,k\n", Some(Format::Xlsx));
    assert!(book.is_none() && findings[0].code == Code::UnreadableFile);
}

/// An .xlsx with these parts beside the usual ones.
fn xlsx(parts: &[(&str, &str)]) -> Vec<u8> {
    let usual = [
        (
            "_rels/.rels",
            r#"<Relationships><Relationship Id="r1" Type="http://x/officeDocument" Target="xl/workbook.xml"/></Relationships>"#,
        ),
        (
            "xl/workbook.xml",
            r#"<workbook xmlns:r="r"><sheets><sheet name="S" sheetId="1" r:id="r1"/></sheets></workbook>"#,
        ),
        (
            "xl/_rels/workbook.xml.rels",
            r#"<Relationships><Relationship Id="r1" Type="http://x/worksheet" Target="worksheets/one.xml"/>
            <Relationship Id="r2" Type="http://x/sharedStrings" Target="/xl/strings.xml"/></Relationships>"#,
        ),
        ("xl/strings.xml", "<sst><si><t>k</t></si><si><t>yo</t></si></sst>"),
    ];
    let kept = usual.iter().filter(|(name, _)| !parts.iter().any(|(own, _)| own == name));
    zipped(&kept.chain(parts).copied().collect::<Vec<_>>())
}

fn zipped(parts: &[(&str, &str)]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        zip.start_file(*name, SimpleFileOptions::default()).unwrap();
        zip.write_all(text.as_bytes()).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

fn sheet(rows: &str) -> Vec<u8> {
    xlsx(&[("xl/worksheets/one.xml", &format!("<worksheet><sheetData>{rows}</sheetData></worksheet>"))])
}

#[test]
fn cells_without_an_address_follow_each_other() {
    let bytes = sheet(
        r#"<row><c t="s"><v>0</v></c><c/><c t="s"><v>1</v></c></row><row r="4"><c r="C4"><v>1</v></c><c><v>2</v></c></row><row><c><v>3</v></c></row>"#,
    );
    let (book, _) = read_as("a.xlsx", &bytes);
    assert_eq!(shown(&book.unwrap().sheets[0]), ["A1 k", "C1 yo", "C4 1", "D4 2", "A5 3"]);
}

#[test]
fn marks_and_prefixes_of_xml_do_not_matter() {
    let bytes = xlsx(&[(
        "xl/worksheets/one.xml",
        concat!(
            "\u{feff}<?xml version='1.0' encoding='utf-8'?>",
            r#"<x:worksheet xmlns:x="x"><x:sheetData><x:row r="2"><x:c r="B2" t="inlineStr"><x:is><x:t>k</x:t></x:is></x:c></x:row></x:sheetData><x:mergeCells><x:mergeCell ref="B2:C2"/></x:mergeCells></x:worksheet>"#
        ),
    )]);
    let (book, _) = read_as("a.xlsx", &bytes);
    let book = book.unwrap();
    assert_eq!(shown(&book.sheets[0]), ["B2 k"]);
    assert_eq!(book.sheets[0].merges[0].to_string(), "B2:C2");
}

#[test]
fn a_text_that_is_not_in_the_list_is_an_error_at_its_cell() {
    for index in ["2", "-1", "99999999999999999999", "k"] {
        let bytes = sheet(&format!(r#"<row r="3"><c r="B3" t="s"><v>{index}</v></c></row>"#));
        let finding = refusal("a.xlsx", &bytes);
        assert_eq!(finding.place.to_string(), "a.xlsx, sheet S, cell B3");
    }
}

#[test]
fn files_made_to_exhaust_the_machine_are_refused() {
    let entities =
        r#"<!DOCTYPE lolz [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>"#;
    let part = format!(
        r#"{entities}<worksheet><sheetData><row><c t="str"><v>&b;</v></c></row></sheetData></worksheet>"#
    );
    let bytes = xlsx(&[("xl/worksheets/one.xml", &part)]);
    assert_eq!(refusal("a.xlsx", &bytes).code, Code::UnreadableFile);

    let heavy = "k".repeat(17 << 20);
    assert_eq!(refusal("a.csv", heavy.as_bytes()).code, Code::TooLarge);

    let blanks = " ".repeat(5 << 20);
    assert_eq!(refusal("a.xlsx", &sheet(&blanks)).code, Code::TooLarge);

    let wide = ",".repeat(100_000);
    assert_eq!(refusal("a.csv", wide.as_bytes()).code, Code::TooLarge);
    let long = "k,k\n".repeat(600_000);
    assert_eq!(refusal("a.csv", long.as_bytes()).code, Code::TooLarge);

    let flat = |rows: &str| {
        format!(
            r#"<office:document office:mimetype="application/vnd.oasis.opendocument.spreadsheet"><office:body><office:spreadsheet><table:table table:name="S">{rows}</table:table></office:spreadsheet></office:body></office:document>"#
        )
    };
    let repeated = r#"<table:table-row table:number-rows-repeated="1048576"><table:table-cell table:number-columns-repeated="16384" office:value-type="string"><text:p>k</text:p></table:table-cell></table:table-row>"#;
    assert_eq!(refusal("a.fods", flat(repeated).as_bytes()).code, Code::TooLarge);
    let blank = repeated.replace("<text:p>k</text:p>", "");
    assert!(read_as("a.fods", flat(&blank).as_bytes()).0.is_some());
    let deep = "<table:table-row-group>".repeat(100_000);
    assert_eq!(refusal("a.fods", flat(&deep).as_bytes()).code, Code::TooLarge);

    for range in ["A1:ZZZZZZ1", "B2:B4000000000", "A1:XFE1", "A1:A1048577"] {
        let part = format!(
            r#"<worksheet><sheetData/><mergeCells><mergeCell ref="{range}"/></mergeCells></worksheet>"#
        );
        let bytes = xlsx(&[("xl/worksheets/one.xml", &part)]);
        assert_eq!(refusal("a.xlsx", &bytes).code, Code::TooLarge, "{range}");
    }
}

/// A zip that says it unpacks to gigabytes is refused before anything is unpacked.
#[test]
fn a_zip_that_unpacks_to_gigabytes_is_refused() {
    let mut bytes = sheet("<row/>");
    // The sizes after unpacking, in the table of contents, of every part (APPNOTE.TXT 4.3.12: 24 bytes in).
    let entries: Vec<usize> =
        bytes.windows(4).enumerate().filter(|(_, at)| at == b"PK\x01\x02").map(|(at, _)| at).collect();
    assert!(entries.len() > 3);
    for at in entries {
        bytes[at + 24..at + 28].copy_from_slice(&0xf000_0000u32.to_le_bytes());
    }
    assert_eq!(refusal("a.xlsx", &bytes).code, Code::TooLarge);
}

/// A merged cell over the whole sheet hides all but its first cell; one beside the cells hides none.
#[test]
fn a_merge_over_everything_is_read() {
    let cells = r#"<row r="1"><c r="A1" t="str"><v>k</v></c><c r="B1" t="str"><v>p</v></c></row>"#;
    let merged = |range: &str| {
        let part = format!(
            r#"<worksheet><sheetData>{cells}</sheetData><mergeCells><mergeCell ref="{range}"/></mergeCells></worksheet>"#
        );
        read_as("a.xlsx", &xlsx(&[("xl/worksheets/one.xml", &part)])).0.unwrap()
    };
    assert_eq!(shown(&merged("A1:XFD1048576").sheets[0]), ["A1 k"]);
    assert_eq!(shown(&merged("C1:XFD1048576").sheets[0]), ["A1 k", "B1 p"]);
    // Whole rows and columns, as LibreOffice saves them.
    for (name, range, cells) in [
        ("1:1", "A1:XFD1", &["A1 k"][..]),
        ("$2:$3", "A2:XFD3", &["A1 k", "B1 p"]),
        ("A:B", "A1:B1048576", &["A1 k"]),
        ("D:D", "D1:D1048576", &["A1 k", "B1 p"]),
    ] {
        let sheet = merged(name).sheets.remove(0);
        assert_eq!(shown(&sheet), cells, "{name}");
        assert_eq!(sheet.merges.iter().map(ToString::to_string).collect::<Vec<_>>(), [range]);
    }
}

/// Source: ECMA-376 part 1, 18.3.1.87 (sheetView) and 18.8.22 (font).
#[test]
fn the_way_a_sheet_runs_and_struck_out_cells_are_told() {
    let part = |view: &str| {
        format!(
            r#"<worksheet><sheetViews><sheetView {view} workbookViewId="0"/></sheetViews><cols><col min="5" max="6" style="2"/></cols>
            <sheetData><row><c s="1"><v>1</v></c><c s="2"><v>2</v></c><c s="3"><v>3</v></c><c><v>4</v></c><c s="2"/></row>
            <row><c r="E2" s="2"><v>5</v></c></row></sheetData></worksheet>"#
        )
    };
    for (view, turned) in [
        ("", false),
        (r#"rightToLeft="0""#, false),
        (r#"rightToLeft="1""#, true),
        (r#"rightToLeft="true""#, true),
    ] {
        let bytes = xlsx(&[
            ("xl/worksheets/one.xml", &part(view)),
            (
                "xl/_rels/workbook.xml.rels",
                r#"<Relationships><Relationship Id="r1" Type="http://x/worksheet" Target="worksheets/one.xml"/>
                <Relationship Id="r2" Type="http://x/styles" Target="styles.xml"/></Relationships>"#,
            ),
            (
                "xl/styles.xml",
                r#"<styleSheet><fonts><font><b/></font><font><strike/><sz val="11"/></font><font><strike val="0"/></font></fonts>
                <cellStyleXfs><xf fontId="1"/></cellStyleXfs>
                <cellXfs><xf fontId="0"/><xf fontId="0"/><xf fontId="1"/><xf fontId="2"/></cellXfs>
                <dxfs><dxf><font><strike/></font></dxf></dxfs></styleSheet>"#,
            ),
        ]);
        let grid = read_as("a.xlsx", &bytes).0.unwrap().sheets.remove(0);
        assert_eq!(grid.right_to_left, turned, "{view}");
        let struck = grid.cells.iter().filter(|cell| grid.looks.at(cell.at).struck);
        assert_eq!(struck.map(|cell| cell.at.to_string()).collect::<Vec<_>>(), ["B1", "E2"]);
    }
}

/// Ranges stand beside conditions and beside other things, such as lists of what may be typed.
#[test]
fn only_conditions_are_told_as_conditions() {
    let part = r#"<worksheet><sheetData><row><c t="s"><v>0</v></c></row></sheetData>
        <conditionalFormatting sqref="B:C"><cfRule type="expression"><formula>1</formula></cfRule></conditionalFormatting>
        <extLst><ext><x14:conditionalFormattings><x14:conditionalFormatting><x14:cfRule><xm:f>1</xm:f></x14:cfRule>
        <xm:sqref>A1 D2:E3</xm:sqref></x14:conditionalFormatting></x14:conditionalFormattings></ext>
        <ext><x14:dataValidations><x14:dataValidation><xm:sqref>G1:G9</xm:sqref></x14:dataValidation></x14:dataValidations></ext>
        <ext><x14:sparkline><xm:f>1</xm:f><xm:sqref>H1</xm:sqref></x14:sparkline></ext></extLst></worksheet>"#;
    let book = read_as("a.xlsx", &xlsx(&[("xl/worksheets/one.xml", part)])).0.unwrap();
    let cells: Vec<String> = book.sheets[0].conditional.iter().map(ToString::to_string).collect();
    assert_eq!(cells, ["A1", "B1:C1048576", "D2:E3"]);
}

/// Newer programs keep threads apart, and tell each in a comment of old too, with advice on programs before it.
#[test]
fn comments_stand_beside_threads() {
    let bytes = xlsx(&[
        (
            "xl/worksheets/one.xml",
            r#"<worksheet><sheetData><row><c t="s"><v>0</v></c></row></sheetData></worksheet>"#,
        ),
        (
            "xl/worksheets/_rels/one.xml.rels",
            r#"<Relationships><Relationship Id="r1" Type="http://x/comments" Target="../comments1.xml"/>
            <Relationship Id="r2" Type="http://x/threadedComment" Target="../threads/one.xml"/></Relationships>"#,
        ),
        (
            "xl/comments1.xml",
            r#"<comments><commentList><comment ref="C3"><text><t>[Threaded comment] moved</t></text></comment>
            <comment ref="D5"><text><r><t>work this </t></r><r><t>one tbl</t></r></text></comment></commentList></comments>"#,
        ),
        (
            "xl/threads/one.xml",
            r#"<ThreadedComments><threadedComment ref="C3"><text>moved</text></threadedComment>
            <threadedComment ref="C3"><text>yes</text></threadedComment></ThreadedComments>"#,
        ),
    ]);
    let book = read_as("a.xlsx", &bytes).0.unwrap();
    let said: Vec<String> = book.sheets[0].comments.iter().map(|(at, text)| format!("{at} {text}")).collect();
    assert_eq!(said, ["C3 moved", "C3 yes", "D5 work this one tbl"]);
}

/// Sixty thousand fills, lines, numbers and formats, each cell in one of its own.
#[test]
fn a_style_table_of_sixty_thousand_entries_is_read() {
    let each = |entry: &dyn Fn(u32) -> String| -> String { (0..60_000).map(entry).collect() };
    let styles = format!(
        "<styleSheet><numFmts>{}</numFmts><fills>{}</fills><borders>{}</borders><cellXfs>{}</cellXfs></styleSheet>",
        each(&|n| format!(r#"<numFmt numFmtId="{n}" formatCode="0.0"/>"#)),
        each(&|n| format!(
            r#"<fill><patternFill patternType="solid"><fgColor rgb="FF{n:06X}"/></patternFill></fill>"#
        )),
        each(&|_| r#"<border><left style="thick"/></border>"#.to_owned()),
        each(&|n| format!(r#"<xf fillId="{n}" borderId="{n}" numFmtId="{n}"/>"#)),
    );
    let cells: String = (0..300)
        .map(|row| {
            let cells: String =
                (0..200).map(|column| format!(r#"<c s="{}"/>"#, row * 200 + column)).collect();
            format!("<row>{cells}</row>")
        })
        .collect();
    let part = format!("<worksheet><sheetData>{cells}</sheetData></worksheet>");
    let links = r#"<Relationships><Relationship Id="r1" Type="http://x/worksheet" Target="worksheets/one.xml"/><Relationship Id="r2" Type="http://x/styles" Target="styles.xml"/></Relationships>"#;
    let bytes = xlsx(&[
        ("xl/worksheets/one.xml", &part),
        ("xl/styles.xml", &styles),
        ("xl/_rels/workbook.xml.rels", links),
    ]);
    let book = read_as("a.xlsx", &bytes).0.unwrap();
    let last = book.sheets[0]
        .looks
        .cells
        .last()
        .map(|(at, look)| (at.to_string(), look.fill.map(|fill| fill.to_string())));
    assert_eq!(last, Some(("GR300".to_owned(), Some("00EA5F".to_owned()))));
}

#[test]
fn a_password_is_said() {
    let container = |stream: &str| {
        let mut file = cfb::CompoundFile::create(Cursor::new(Vec::new())).unwrap();
        file.create_stream(stream).unwrap().write_all(&[1; 5_000]).unwrap();
        file.flush().unwrap();
        file.into_inner().into_inner()
    };
    assert_eq!(refusal("a.xlsx", &container("/EncryptedPackage")).code, Code::EncryptedFile);
    let word = refusal("a.xls", &container("/WordDocument"));
    assert_eq!(word.found.as_deref(), Some("a Word 97-2003 document"));
    assert_eq!(refusal("locked.xlsx", &fixture("locked.xlsx")).code, Code::EncryptedFile);
    // Source: OpenDocument 1.3 part 2, 3.4 and 4.8: an encrypted part is named in the manifest.
    let manifest = r#"<manifest:manifest><manifest:file-entry manifest:full-path="content.xml" manifest:size="900"><manifest:encryption-data manifest:checksum="x"/></manifest:file-entry></manifest:manifest>"#;
    let bytes = zipped(&[
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("content.xml", "\u{1}\u{2}\u{3}"),
        ("META-INF/manifest.xml", manifest),
    ]);
    assert_eq!(refusal("locked.ods", &bytes).code, Code::EncryptedFile);
}

/// Every fixture, cut short after each twentieth of it.
#[test]
fn files_cut_short_are_told_or_read_in_part_never_a_crash() {
    for path in all_fixtures() {
        let name = path.file_name().unwrap().to_str().unwrap();
        let bytes = std::fs::read(&path).unwrap();
        for part in 0..20 {
            let (book, _) = read_as(name, &bytes[..bytes.len() * part / 20]);
            let text = name.ends_with("csv") || name.ends_with("tsv");
            assert!(text || book.is_none(), "{name} was read from {part} twentieths of it");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_bytes_never_crash(bytes in prop::collection::vec(any::<u8>(), 0..2_000), ending in "(csv|xlsx|xls|xlsb|ods|fods|tsv|)") {
        read_as(&format!("a.{ending}"), &bytes);
        let format = Format::named(&ending);
        read::workbook(&"a".into(), &bytes, format);
    }

    #[test]
    fn changed_bytes_never_crash(pick in any::<prop::sample::Index>(), changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..20)) {
        let names = all_fixtures();
        let path = pick.get(&names);
        let mut bytes = std::fs::read(path).unwrap();
        for (at, byte) in changes {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        read_as(path.file_name().unwrap().to_str().unwrap(), &bytes);
    }
}
