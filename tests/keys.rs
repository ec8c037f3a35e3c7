//! Keys as designers lay them out: with and without a heading, squares, gaps, several columns. Expected rows are worked out
//! by hand from the sheets: RS rows from right to left, WS rows from left to right in WS terms.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

use std::fmt::Write as _;
use std::sync::Arc;

use longhand::convert::{self, Charts};
use longhand::problem::Severity;
use longhand::settings::Settings;

fn read(sheet: &str) -> Charts {
    let bytes = if sheet.contains(['#', '~', '>']) || sheet.contains("== ") {
        drawn(sheet)
    } else {
        sheet.to_owned()
    };
    let file: Arc<str> = Arc::from(if bytes.starts_with('<') { "key.fods" } else { "key.csv" });
    convert::charts(&file, bytes.as_bytes(), None, &Settings::default(), &Settings::default())
}

/// A sheet with looks from lines with commas: `#1F4E79` behind the text of a cell is its fill, `~` a line round it, `>3` the
/// cells it is merged over; a line "== Key" begins a sheet of that name.
fn drawn(sheet: &str) -> String {
    let (mut styles, mut table) = (String::new(), String::new());
    for (row, line) in sheet.lines().enumerate() {
        if let Some(name) = line.strip_prefix("== ") {
            let _ = write!(table, "</table:table><table:table table:name=\"{name}\">");
            continue;
        }
        table.push_str("<table:table-row>");
        for (column, cell) in line.split(',').enumerate() {
            let (cell, span) = cell.split_once('>').unwrap_or((cell, "1"));
            let (cell, fill) =
                cell.split_once('#').map_or((cell, String::new()), |(text, fill)| (text, format!("#{fill}")));
            let framed = cell.ends_with('~');
            let text = cell.trim_end_matches('~').replace('<', "&lt;");
            let name = format!("c{row}x{column}");
            let _ = write!(
                styles,
                "<style:style style:name=\"{name}\" style:family=\"table-cell\"><style:table-cell-properties {} {}/></style:style>",
                if fill.is_empty() { String::new() } else { format!("fo:background-color=\"{fill}\"") },
                if framed { "fo:border=\"0.5pt solid #000000\"" } else { "" },
            );
            let content = if text.is_empty() { String::new() } else { format!("<text:p>{text}</text:p>") };
            let kind = if text.is_empty() { "" } else { "office:value-type=\"string\"" };
            let _ = write!(
                table,
                "<table:table-cell table:style-name=\"{name}\" table:number-columns-spanned=\"{span}\" {kind}>{content}</table:table-cell>"
            );
            for _ in 1..span.parse::<usize>().unwrap() {
                table.push_str("<table:covered-table-cell/>");
            }
        }
        table.push_str("</table:table-row>");
    }
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><office:document \
         xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" \
         xmlns:style=\"urn:oasis:names:tc:opendocument:xmlns:style:1.0\" \
         xmlns:fo=\"urn:oasis:names:tc:opendocument:xmlns:xsl-fo-compatible:1.0\" \
         xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\" \
         xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" \
         office:mimetype=\"application/vnd.oasis.opendocument.spreadsheet\">\
         <office:automatic-styles>{styles}</office:automatic-styles>\
         <office:body><office:spreadsheet><table:table table:name=\"Chart\">{table}</table:table></office:spreadsheet></office:body>\
         </office:document>"
    )
}

/// The rows of the only chart, a line each: "1 k k2tog yo k", a coloured stitch as "k:navy". What is wrong where it is not
/// sound.
fn rows(sheet: &str) -> String {
    let read = read(sheet);
    let [chart] = &read.charts[..] else {
        return format!("{} charts {:?}", read.charts.len(), read.findings);
    };
    let Some(pattern) = chart.sound() else {
        return chart.findings.iter().fold(String::new(), |mut text, finding| {
            let _ = writeln!(text, "  {} {}: {}", finding.code, finding.place, finding.message);
            text
        });
    };
    pattern.rows.iter().fold(String::new(), |mut text, row| {
        let names: Vec<String> = row
            .stitches
            .iter()
            .map(|&id| {
                let name = &pattern.stitches.get(pattern.stitches.plain(id)).name;
                let colour = pattern.stitches.get(id).colour.as_deref();
                colour.map_or_else(|| name.clone(), |colour| format!("{name}:{colour}"))
            })
            .collect();
        let _ = writeln!(text, "{} {}", row.number, names.join(" "));
        text
    })
}

/// The kinds of what is found, and what is left as notes of the pattern.
fn said(sheet: &str) -> Vec<String> {
    let read = read(sheet);
    let charts = read.charts.iter().flat_map(|chart| chart.findings.iter());
    let notes =
        read.charts.iter().filter_map(|chart| chart.pattern.as_ref()).flat_map(|pattern| &pattern.notes);
    let found = read.findings.iter().chain(charts).map(|finding| finding.code.to_string());
    found.chain(notes.map(|note| note.to_string())).collect()
}

/// Reads each sheet and finds the rows in it, and nothing more to say.
fn all_give(expected: &str, sheets: &[(&str, String)]) {
    let mut wrong = String::new();
    for (what, sheet) in sheets {
        let (rows, said) = (rows(sheet), said(sheet));
        if rows != expected || !said.is_empty() {
            let _ = writeln!(wrong, "{what}: {said:?}\n{rows}");
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// Garter symbols named like stitches: what is taken for granted where no key is read is wrong on WS rows.
#[test]
fn symbols_and_words_stand_apart_or_set_in() {
    let chart = ",k,k,p,2\n,p,k,k,1\n\n";
    let sheets = [
        ("the heading in a column of its own", "Key\n,k,knit every row\n,p,purl every row\n"),
        ("with a blank line between the entries", "Key\n,k,knit every row\n\n,p,purl every row\n"),
        ("a column between symbols and words", "Key\nk,,knit every row\np,,purl every row\n"),
        ("both", "Key\n,k,,knit every row\n\n,p,,purl every row\n"),
        ("three columns between", "Key\nk,,,,knit every row\np,,,,purl every row\n"),
        ("the heading beside the first entry", "Key,k,knit every row\n,p,purl every row\n"),
        ("the heading beside it, a column on", "Key:,k,,knit every row\n,p,,purl every row\n"),
        ("no heading, a column between", ",k,,knit every row\n,p,,purl every row\n"),
        ("no heading, blank lines between", ",k,knit every row\n\n,p,purl every row\n"),
        ("headings of columns over a gap", "Key\nSymbol,,Meaning\nk,,knit every row\np,,purl every row\n"),
        ("a remark right below", "Key\n,k,knit every row\n,p,purl every row\n\n"),
    ];
    let sheets: Vec<(&str, String)> = sheets.map(|(what, key)| (what, format!("{chart}{key}"))).into();
    all_give("1 k k p\n2 k k p\n", &sheets);
}

/// Lace: the symbols name no stitches, so that an entry that is lost is an error.
#[test]
fn entries_stand_in_many_orders() {
    let chart = "2,.,.,.,.,\n,.,o,/,.,1\n\n";
    let sheets = [
        ("blank lines between", "Key\n.,knit\n\no,yarn over\n\n/,k2tog\n"),
        ("blank lines between, no heading", ".,knit\n\no,yarn over\n\n/,k2tog\n"),
        ("side by side", "Key\n.,knit,o,yarn over\n/,k2tog\n"),
        ("side by side, no heading", ".,knit,o,yarn over\n/,k2tog\n"),
        ("a spare column between pairs", "Key\n.,knit,,o,yarn over\n/,k2tog\n"),
        ("a spare column between pairs, no heading", ".,knit,,o,yarn over\n/,k2tog\n"),
        ("words before symbols, one short", "Key\nk,.\nyarn over,o\nknit 2 together,/\n"),
        ("a mark in a column of its own", "Key\n.,=,k\no,=,yarn over\n/,=,k2tog\n"),
        ("a heading beside a short one", "Key,.,k\n,o,yarn over\n,/,k2tog\n"),
        ("one short, behind a blank line", "Key\n/,k2tog\n\no,yo\n\n.,k\n"),
        ("one short, a gap, no heading", "/,,knit 2 together\no,,yarn over\n.,,k\n"),
        ("in one line, parted by spare columns", ".,knit,,o,yarn over,,/,k2tog\n"),
        ("words before symbols", "Key\nknit,.\nyarn over,o\nknit 2 together,/\n"),
        ("words before symbols, no heading", "knit,.\nyarn over,o\nknit 2 together,/\n"),
        ("a gap, words unlike", "Key\n.,,knit\no,,yarn over\n/,,k2tog\n"),
        ("a gap, no heading", ".,,knit\no,,yarn over\n/,,k2tog\n"),
    ];
    let sheets: Vec<(&str, String)> = sheets.map(|(what, key)| (what, format!("{chart}{key}"))).into();
    all_give("1 k k2tog yo k\n2 p p p p\n", &sheets);
}

#[test]
fn a_key_may_have_one_entry() {
    let chart = "2,.,.,\n,.,.,1\n\n";
    let sheets = [
        ("with a heading", "Key\n.,purl\n"),
        ("without", ".,purl\n"),
        ("beside the chart", "\n,,,,,.,purl\n"),
    ];
    let sheets: Vec<(&str, String)> = sheets.map(|(what, key)| (what, format!("{chart}{key}"))).into();
    all_give("1 p p\n2 k k\n", &sheets);
}

/// A cable merged over four cells of the key, whose words stand in line with those of the others.
#[test]
fn a_wide_symbol_stands_beside_words_in_a_common_column() {
    let chart = "2,.,.,.,.,.,\n,C>4,.,1\n\n";
    let sheets = [
        ("with a heading", "Key\n.,,,,knit\nC>4,2/2 RC\n"),
        ("the cable first", "Key\nC>4,2/2 RC\n.,,,,knit\n"),
        ("without a heading", ".,,,,knit\nC>4,2/2 RC\n"),
    ];
    let sheets: Vec<(&str, String)> = sheets.map(|(what, key)| (what, format!("{chart}{key}"))).into();
    all_give("1 k 2/2rc\n2 p p p p p\n", &sheets);
}

#[test]
fn an_empty_square_is_the_blank_cell_with_and_without_a_heading() {
    // RS from the right: blank, blank, -, blank. WS from the left: blank, -, -, blank.
    let chart = "~,-~,-~,~,2\n~,-~,~,~,1\n\n";
    let expected = "1 k k p k\n2 p k k p\n";
    let keys = [
        ("a bordered square", "-~,purl on RS; knit on WS\n~,knit on RS; purl on WS\n"),
        ("a bordered square first", "~,knit on RS; purl on WS\n-~,purl on RS; knit on WS\n"),
        ("under a heading", "Key\n-~,purl\n~,knit\n"),
        ("under a heading, set in", "Key\n,-~,purl\n,~,knit\n"),
        ("under a heading, with a gap", "Key\n-~,,purl\n~,,knit\n"),
        ("with a gap, no heading", "-~,,purl on RS; knit on WS\n~,,knit on RS; purl on WS\n"),
        ("a blank line between", "-~,purl on RS; knit on WS\n,\n~,knit on RS; purl on WS\n"),
        ("in words", "-,purl\nblank,knit\n"),
        ("in brackets", "-,purl\n(blank),knit\n"),
        ("in two words", "-,purl\nempty square,knit\n"),
        ("in two words alone", "Key\n-,purl\nBlank square,knit\n"),
        ("in a sentence", "-,purl\n\nBlank squares are knit on RS; purl on WS.\n"),
    ];
    let keys: Vec<(&str, String)> = keys.map(|(what, key)| (what, format!("{chart}{key}"))).into();
    all_give(expected, &keys);
    // As typed, without any line.
    // RS from the right: -, blank, -, blank. WS from the left: -, blank, -, -.
    let typed = "-,,-,-,2\n,-,,-,1\n\n";
    let expected = "1 p k p k\n2 k p k k\n";
    let keys = [
        ("last", "-,purl\n,knit\n"),
        ("last, wordy", "-,purl on RS; knit on WS\n,knit on RS; purl on WS\n"),
        ("between", "-,purl\n,knit\no,yarn over\n"),
        ("with a mark between", "Key\n-,=,purl\n,=,knit\n"),
        ("behind the words", "Key\npurl,-\nknit,\n"),
        ("side by side", "Key\n,knit,-,purl\n"),
        ("first", ",knit\n-,purl\no,yarn over\n"),
    ];
    let keys: Vec<(&str, String)> = keys.map(|(what, key)| (what, format!("{typed}{key}"))).into();
    all_give(expected, &keys);
}

const NAVY: &str = "#1F4E79";
const CREAM: &str = "#FFF2CC";

/// Navy @, cream %, with a symbol in each cell, and the fills alone.
#[test]
fn filled_squares_are_colours_with_and_without_a_heading() {
    let paint = |text: &str| text.replace('@', NAVY).replace('%', CREAM);
    // RS from the right: .@, .%, -@, .%; WS from the left: .% .@ .% .@.
    let symbols = "2,.%,.@,.%,.@,\n,.%,-@,.%,.@,1\n\n";
    let expected = "1 k:navy k:cream p:navy k:cream\n2 p:cream p:navy p:cream p:navy\n";
    let keys = [
        ("under a heading", "Key\n.,knit\n-,purl\n@,navy\n%,cream\n"),
        ("no heading", ".,knit\n-,purl\n@,navy\n%,cream\n"),
        ("the colours first", "@,navy\n%,cream\n.,knit\n-,purl\n"),
        ("a heading of their own", ".,knit\n-,purl\n,\nColours\n@,navy\n%,cream\n"),
        ("apart", ".,knit\n-,purl\n,\n,\n@,navy\n%,cream\n"),
    ];
    let keys: Vec<(&str, String)> = keys.map(|(what, key)| (what, paint(&format!("{symbols}{key}")))).into();
    all_give(expected, &keys);
    let fills = "2,%,@,%,@,\n,%,@,%,@,1\n\n";
    let expected = "1 k:navy k:cream k:navy k:cream\n2 p:cream p:navy p:cream p:navy\n";
    let keys = [
        ("Colours", "Colours\n@,navy\n%,cream\n"),
        ("Colour key", "Colour key:\n@,navy\n%,cream\n"),
        ("Yarns", "Yarns\n@,navy\n%,cream\n"),
        ("Symbols", "Symbols\n@,navy\n%,cream\n"),
        ("no heading", "@,navy\n%,cream\n"),
        ("no heading, a gap", "@,,navy\n%,,cream\n"),
        ("side by side", "Key\n@,navy,%,cream\n"),
        ("a heading beside", "Colours,@,navy\n,%,cream\n"),
        ("lettered squares", "x@,navy\ny%,cream\n"),
        ("lettered squares under a heading", "Key\nx@,navy\ny%,cream\n"),
    ];
    let keys: Vec<(&str, String)> = keys.map(|(what, key)| (what, paint(&format!("{fills}{key}")))).into();
    all_give(expected, &keys);
    // Names that shops give: one that is surely a colour tells what the others are.
    let keys = [
        ("a shop's name", "@,navy\n%,Driftwood\n"),
        ("a shop's name first", "%,Driftwood\n@,navy\n"),
        ("a shop's name under a heading", "Colours\n%,Driftwood\n@,navy\n"),
        ("a shop's name, with a gap", "Yarns\n%,,Driftwood\n@,,navy\n"),
    ];
    let keys: Vec<(&str, String)> = keys.map(|(what, key)| (what, paint(&format!("{fills}{key}")))).into();
    all_give(&expected.replace("cream", "Driftwood"), &keys);
}

#[test]
fn letters_stand_for_colours() {
    let chart = "2,c,n,\n,n,c,1\n\n";
    let expected = "1 k:cream k:navy\n2 p:cream p:navy\n";
    let keys = [
        ("under a heading", "Key\nn,navy\nc,cream\n"),
        ("under Colours", "Colours\nn,navy\nc,cream\n"),
        ("no heading", "n,navy\nc,cream\n"),
        ("in words", "Key\nn,knit with navy\nc,knit in cream\n"),
        ("in words, no heading", "n,knit with navy\nc,knit in cream\n"),
    ];
    let keys: Vec<(&str, String)> = keys.map(|(what, key)| (what, format!("{chart}{key}"))).into();
    all_give(expected, &keys);
}

#[test]
fn what_is_no_key_is_left_as_it_is() {
    let chart = ".,-,2\n-,.,1\n\nKey\n.,knit\n-,purl\n";
    for (what, above, notes) in [
        ("a list of yarns", "Mitts\nA,navy\nB,cream\n\n", vec!["A navy", "B cream"]),
        (
            "a list of yarns with a heading",
            "Mitts\n\nYarns\nA,navy\nB,cream\n\n",
            vec!["Mitts", "A navy", "B cream"],
        ),
        ("colours in prose", "Mitts\nWorked in navy and cream\n\n", vec!["Worked in navy and cream"]),
    ] {
        let sheet = format!("{above}{chart}");
        assert_eq!(
            (rows(&sheet).as_str(), said(&sheet)),
            ("1 k p\n2 p k\n", notes.iter().map(|note| note.to_string()).collect()),
            "{what}"
        );
    }
    // Rows of a chart whose symbols are names are no pairs of a key.
    for (sheet, expected) in [
        ("1,k,k2tog,yo,ssk\n", "1 ssk yo k2tog k\n"),
        ("k,kfb\nk,k\n", "1 k k\n2 p pfb\n"),
        ("k2tog,yo\nk,k\np,p\n", "1 p p\n2 p p\n3 yo k2tog\n"),
        ("2,k,k2tog,yo,k\n1,k,k,k,k\n", "1 k k k k\n2 p p2tog yo p\n"),
    ] {
        assert_eq!(rows(sheet), expected, "{sheet}");
    }
}

/// "Hem: purl" tells of a part of the piece, unless a cell of the chart holds the word: it is a note.
#[test]
fn a_word_that_no_cell_holds_is_no_symbol() {
    let notes = ["Hem: purl", "Edge: knit", "Collar - knit every row"];
    let sheet = format!("{WELT}.: knit\n^: purl every row\n\n{}\n", notes.join("\n\n"));
    let expected = "1 k k p k\n2 p p p p\n";
    assert_eq!((rows(&sheet).as_str(), said(&sheet)), (expected, notes.map(str::to_owned).to_vec()));
    // Abbreviations and short symbols are entries whether or not a cell holds them, and so are words that cells hold.
    let sheet = "Edge,.,.,edge,2\nEdge,.,.,edge,1\n\n. = knit\nEdge = knit every row\nssk = slip slip knit\nox: yarn over\n";
    assert_eq!(rows(sheet), "1 k k k k\n2 k p p k\n");
    assert!(!said(sheet).iter().any(|said| said.contains([':', '='])), "{:?}", said(sheet));
}

/// An entry told in two lines explains no blank cell.
#[test]
fn words_that_go_on_below_are_no_blank_square() {
    let chart = ".,/,o,2\n.,,.,1\n\n";
    for key in ["", "Key\n"] {
        let sheet = format!("{chart}{key}.,knit\n/,knit 2 together\n,k2tog\no,yarn over\n");
        assert!(said(&sheet).contains(&"blank-cell".to_owned()), "{}", rows(&sheet));
    }
}

/// One blank square with two words beside it is a key of three columns, unless a chart has the first of them as a symbol.
#[test]
fn one_line_set_in_is_read_by_the_symbols_of_the_chart() {
    let blank = "-,,-,2\n-,,-,1\n\nKey\n,k,k\n-,purl\n";
    assert_eq!(rows(blank), "1 p k p\n2 k k k\n");
    let symbol = "k,k,2\nk,k,1\n\nKey\n,k,purl\n";
    assert_eq!(rows(symbol), "1 p p\n2 k k\n");
}

/// Findings say no more that something is missing that stands there.
#[test]
fn words_beside_an_unknown_symbol_are_named() {
    let read = read("q,.,2\n.,.,1\n\nKey\n.,knit\n\n\n\nq,wiggle the needle\n");
    let finding =
        read.charts[0].findings.iter().find(|finding| finding.code.name() == "unknown-symbol").unwrap();
    assert!(
        finding.message.contains("beside \"wiggle the needle\" (key.csv, line 9, column 1)"),
        "{}",
        finding.message
    );
}

/// A word for a yarn over that says where the yarn lies is a yarn over: on WS rows too, and between any stitches.
#[test]
fn yarn_forward_is_a_yarn_over_on_both_sides() {
    let chart = ".,y,/,.,2\n.,y,/,.,1\n\nKey\n.,knit\n/,k2tog\n";
    let keys = ["y,yfwd", "y,yarn forward", "y,yrn", "y,yarn round needle", "y,yfwd,yrn"];
    let sheets = keys.map(|key| (key, format!("{chart}{key}\n")));
    all_give("1 k k2tog yo k\n2 p yo p2tog p\n", &sheets);
}

const TWO_ROWS: &str = ".,-,.,.,2\n.,o,/,.,1\n\n";

/// A word that heads a key is a setting's name too; keys in a row; numbered lists.
#[test]
fn keys_are_laid_out_as_rows_as_lists_and_beside_their_heading() {
    let sheets = [
        ("the first entry beside \"Symbols\"", "Symbols,.,knit\n,-,purl\n,o,yo\n,/,k2tog\n"),
        ("a colon behind it", "Symbols:,.,knit\n,-,purl\n,o,yo\n,/,k2tog\n"),
        ("the setting besides", "Symbols: right side\n\nSymbols,.,knit\n,-,purl\n,o,yo\n,/,k2tog\n"),
        ("words below their symbols", ".,-,o,/\nknit,purl,yo,k2tog\n"),
        ("the same under a heading", "Key\n.,-,o,/\nknit,purl,yarn over,knit 2 together\n"),
        ("the same in two blocks", ".,-\nknit,purl\n\no,/\nyarn over,k2tog\n"),
        ("a list in one column", "Key\n1. . knit\n2. - purl\n3. o yarn over\n4. / k2tog\n"),
        ("a list with marks", "Key\n\n1) . = knit\n2) - = purl\n3) o = yarn over\n4) / = k2tog\n"),
        ("a list in three columns", "Key\n1.,.,knit\n2.,-,purl\n3.,o,yo\n4.,/,k2tog\n"),
        ("a list in two", "Key\n1. .,knit\n2. -,purl\n3. o,yo\n4. /,k2tog\n"),
    ];
    let sheets: Vec<(&str, String)> = sheets.map(|(what, key)| (what, format!("{TWO_ROWS}{key}"))).into();
    all_give("1 k k2tog yo k\n2 p k p p\n", &sheets);
}

/// The blank square has a line of its own in them.
#[test]
fn a_blank_square_stands_in_keys_of_three_columns_and_in_rows() {
    let chart = "-,,-,,-,2\n-,o,/,,-,1\n\n";
    let more = "o,yo,yarn over\n/,k2tog,knit two together\n";
    let sheets = [
        ("the first of three columns", format!(",k,knit\n-,p,purl\n{more}")),
        ("in their middle", format!("-,p,purl\n,k,knit\n{more}")),
        ("the last", format!("-,p,purl\n{more},k,knit\n")),
        ("in a row", ",-,o,/\nknit,purl,yo,k2tog\n".to_owned()),
        ("in a list", "Key\n1.,,knit\n2.,-,purl\n3.,o,yo\n4.,/,k2tog\n".to_owned()),
    ];
    let sheets: Vec<(&str, String)> =
        sheets.into_iter().map(|(what, key)| (what, format!("{chart}{key}"))).collect();
    all_give("1 p k k2tog yo p\n2 k p k p k\n", &sheets);
}

/// "Symbols" beside a value that it can't have, and nothing more, is a setting.
#[test]
fn a_wrong_value_of_symbols_is_told() {
    let wrong = format!("{TWO_ROWS}Symbols,as I like\n\n.,knit\n-,purl\no,yo\n/,k2tog\n");
    assert!(said(&wrong).contains(&"wrong-setting".to_owned()), "{:?}", said(&wrong));
}

/// v is slipped on RS rows and purled on WS rows, t is twisted on RS rows and slipped on WS rows. RS from the right: t k v; WS
/// from the left: t k v.
const BY_SIDE: &str = "v,k,t,3\nt,k,v,2\nv,k,t,1\n\n";
const BY_SIDE_ROWS: &str = "1 ktbl k sl1wyif\n2 sl1wyif p p\n3 ktbl k sl1wyif\n";

#[test]
fn columns_with_headings_are_read_by_them() {
    let sheets = [
        ("sides alone", "Symbol,RS,WS\nk,knit,purl\nv,slip 1 wyif,purl\nt,k1 tbl,slip 1 wyif\n"),
        ("sides turned", "WS,RS,Symbol\npurl,knit,k\npurl,slip 1 wyif,v\nslip 1 wyif,k1 tbl,t\n"),
        (
            "a name first",
            "Symbol,Name,RS,WS\nk,St st,knit,purl\nv,Edge,slip 1 wyif,purl\nt,Twist,k1 tbl,slip 1 wyif\n",
        ),
        (
            "a name that is a stitch",
            "Key\nSymbol,Name,RS,WS\nk,knit,knit,purl\nv,slip,slip 1 wyif,purl\nt,twist,k1 tbl,slip 1 wyif\n",
        ),
        (
            "the name before the symbol",
            "Abbr,Symbol,RS,WS\nst st,k,knit,purl\nedge,v,slip 1 wyif,purl\ntw,t,k1 tbl,slip 1 wyif\n",
        ),
        (
            "abbreviation and meaning",
            "Symbol,Abbreviation,Meaning\nk,k,\"k on RS, p on WS\"\nv,sl,\"slip 1 wyif on RS, purl on WS\"\nt,tw,\"k1 tbl on RS, slip 1 wyif on WS\"\n",
        ),
        (
            "meaning and abbreviation",
            "Meaning,Abbr.,Symbol\n\"k on RS, p on WS\",k,k\n\"slip 1 wyif on RS, purl on WS\",sl,v\n\"k1 tbl on RS, slip 1 wyif on WS\",tw,t\n",
        ),
        ("a blank line", "Key\n\nSymbol,RS,WS\nk,knit,purl\n\nv,slip 1 wyif,purl\nt,k1 tbl,slip 1 wyif\n"),
    ];
    let sheets: Vec<(&str, String)> = sheets.map(|(what, key)| (what, format!("{BY_SIDE}{key}"))).into();
    all_give(BY_SIDE_ROWS, &sheets);
}

/// Remarks behind the sides are no stitches; they are told.
#[test]
fn columns_of_notes_are_left_aside() {
    for key in [
        "Symbol,RS,WS,Notes\nk,knit,purl\nv,slip 1 wyif,purl,edge\nt,k1 tbl,slip 1 wyif,other edge\n",
        "Symbol,Right side,Wrong side,Comments\nk,knit,purl,plain\nv,slip 1 wyif,purl,edge\nt,k1 tbl,slip 1 wyif,knit\n",
        "Key\nSymbol,RS rows,WS rows,Remarks\nk,knit,purl,purl\nv,slip 1 wyif,purl\nt,k1 tbl,slip 1 wyif\n",
        "Key,RS,Notes,WS\nk,knit,plain,purl\nv,slip 1 wyif,edge,purl\nt,k1 tbl,edge,slip 1 wyif\n",
    ] {
        let sheet = format!("{BY_SIDE}{key}");
        assert_eq!(
            (rows(&sheet).as_str(), said(&sheet)),
            (BY_SIDE_ROWS, vec!["key-columns".to_owned()]),
            "{key}"
        );
    }
    // A name that is another stitch than the words beside it.
    let wrong =
        format!("{TWO_ROWS}Symbol,Name,Meaning\n.,k,knit\n-,p,purl\no,yo,knit 2 together\n/,k2tog,k2tog\n");
    assert!(said(&wrong).contains(&"keys-disagree".to_owned()), "{:?}", said(&wrong));
}

/// A welt of purl on both sides; RS from the right: . . ^ . ; WS from the left: ^ . . ^.
const WELT: &str = "^,.,.,^,2\n.,^,.,.,1\n\n";

/// What one side is not said of in a column of its own is what the words say; where both are said in other words, they must
/// say the same.
#[test]
fn sides_and_words_in_columns_beside_each_other_are_held_together() {
    let rows_of = |key: &str| (rows(&format!("{WELT}{key}")), said(&format!("{WELT}{key}")));
    for key in [
        "Symbol,Meaning,WS\n.,knit,purl\n^,purl,purl\n",
        "Symbol,WS,Stitch\n.,purl,knit\n^,purl,purl\n",
        "Symbol,WS,Name\n.,,knit\n^,purl,purl\n",
        "Symbol,RS,Meaning\n.,knit,\"k on RS, p on WS\"\n^,purl,purl every row\n",
        "Symbol,Description,RS row\n.,knit,\n^,purl every row,p\n",
        "Symbol,RS,WS,Meaning\n.,knit,-,knit\n^,-,p,\"p on RS, p on WS\"\n",
        "Symbol,Name,RS,WS,Meaning\n.,knit,k,p,knit\n^,Welt,p,p,purl every row\n",
        "Symbol,Name,RS,WS\n.,Stocking,k,p\n^,purl,p,p\n",
    ] {
        assert_eq!(rows_of(key), ("1 k k p k\n2 p p p p\n".to_owned(), Vec::new()), "{key}");
    }
    for key in [
        "Symbol,RS,WS,Meaning\n.,k,p,knit\n^,p,p,k2tog\n",
        "Symbol,RS,WS,Name\n.,k,p,knit\n^,p,p,ssk\n",
        "Symbol,Meaning,RS\n.,knit,k\n^,yarn over,p\n",
        "Symbol,Meaning,WS\n.,knit,p\n^,\"p on RS, k on WS\",p\n",
        "Symbol,Meaning,WS\n.,knit,p\n^,\"p on RS, p on WS\",k\n",
    ] {
        assert!(rows_of(key).1.contains(&"keys-disagree".to_owned()), "{key}: {:?}", rows_of(key));
    }
    // A colour beside the sides is that of the stitch.
    let colours = rows_of("Symbol,RS,WS,Meaning\n.,k,p,navy\n^,k,p,cream\n");
    let expected = "1 k:navy k:navy k:cream k:navy\n2 p:cream p:navy p:navy p:cream\n";
    assert_eq!(colours, (expected.to_owned(), Vec::new()));
}

/// Words that designers have for stitches, in full.
#[test]
fn keys_tell_stitches_in_full() {
    let sheet = "2,.,.,.,.,\n,.,o,/,.,1\n\nKey\n.,p on WS\no,yo on WS\n/,p2tog on WS\n".to_owned();
    all_give("1 k k2tog yo k\n2 p p p p\n", &[("the WS alone", sheet)]);
    // Symbols as worked: the WS is worked as the key tells it.
    let worked = "Symbols: as worked\n2,x,x\n1,x,x\n\nKey\nx,k on WS\n";
    assert_eq!(rows(worked), "1 p p\n2 k k\n");
    let sheet = "-,,,,-,2\n-,o,/,,-,1\n\nBlank squares are knit on RS and purled on WS\n\n\
        -,p\no,yo\n/,Knit two stitches together.\n";
    all_give("1 p k k2tog yo p\n2 k p p p k\n", &[("the blank square in a sentence", sheet.to_owned())]);
}

/// The name of a cable and how it is worked, in one cell beside its symbol, is no line "2/2 RC = ...".
#[test]
fn a_cable_is_told_by_name_and_working_without_a_heading() {
    let key = "k,k on RS; p on WS\nC4B,2/2 RC: sl 2 sts to cn; hold in back; k2; k2 from cn\n";
    all_give("1 k 2/2rc k\n", &[("among others", format!(",k,C4B>4,k,1\n\n{key}"))]);
}

/// A spreadsheet made the same date of a symbol in the chart and in the key: nothing is to be guessed.
#[test]
fn a_date_in_chart_and_key_is_one_symbol() {
    let chart = ",-,2025-02-02>4,-,1\n\n";
    let keys = [
        ("no heading", "-,purl\n2025-02-02,2/2 RC\n"),
        ("under a heading", "Key\n-,purl\n2025-02-02,2/2 RC\n"),
        ("cells of their own", "Key\n2025-02-02>4,2/2 RC\n-,,,,purl\n"),
    ];
    let sheets: Vec<(&str, String)> = keys.map(|(what, key)| (what, format!("{chart}{key}"))).into();
    all_give("1 p 2/2rc p\n", &sheets);
}

/// A row of unknown symbols alone is not blank.
#[test]
fn rows_of_unknown_symbols_are_not_called_blank() {
    assert_eq!(said("q,q,2\nq,.,1\n\nKey\n.,knit\n"), ["unknown-symbol"]);
    assert_eq!(said("q,,q,2\n.,.,.,1\n\nKey\n.,knit\n"), ["unknown-symbol"]);
}

/// Three columns without headings: the one that says how each is worked tells the others, which is told.
#[test]
fn columns_without_headings_are_taken_as_they_read() {
    let lines = [
        (".", "St st", "K on RS; P on WS"),
        ("-", "ridge", "Purl on RS; knit on WS"),
        ("o", "hole", "Yarn over"),
        ("/", "dec R", "Knit 2 together"),
    ];
    // S for the symbol, N for the name, W for the words.
    for order in ["S,N,W\n", "S,W,N\n", "N,W,S\n", "W,N,S\n"] {
        let mut key = String::new();
        for (symbol, name, words) in lines {
            for column in order.chars() {
                match column {
                    'S' => key.push_str(symbol),
                    'N' => key.push_str(name),
                    'W' => key.push_str(words),
                    mark => key.push(mark),
                }
            }
        }
        for heading in ["Key\n", ""] {
            let sheet = format!("{TWO_ROWS}{heading}{key}");
            let found = (rows(&sheet), said(&sheet));
            assert_eq!(
                found,
                ("1 k k2tog yo k\n2 p k p p\n".to_owned(), vec!["key-columns".to_owned()]),
                "{order} {heading}"
            );
        }
    }
}

/// Where the names agree with the words nothing is assumed, and so where the third columns are remarks behind both sides.
#[test]
fn abbreviations_beside_words_are_read_without_headings() {
    let key = ".,k,K on RS; P on WS\n-,p,Purl on RS; knit on WS\no,yo,Yarn over\n/,k2tog,Knit 2 together\n";
    let turned =
        "k,K on RS; P on WS,.\np,Purl on RS; knit on WS,-\nyo,Yarn over,o\nk2tog,Knit 2 together,/\n";
    let sheets: Vec<(&str, String)> = [key, turned]
        .into_iter()
        .flat_map(|key| [(key, format!("{TWO_ROWS}{key}")), ("a heading", format!("{TWO_ROWS}Key\n{key}"))])
        .collect();
    all_give("1 k k2tog yo k\n2 p k p p\n", &sheets);
    let key = "k,knit,purl\nv,slip 1 wyif,purl,edge\nt,k1 tbl,slip 1 wyif,other edge\n";
    for heading in ["Key\n", ""] {
        let sheet = format!("{BY_SIDE}{heading}{key}");
        assert_eq!(
            (rows(&sheet).as_str(), said(&sheet)),
            (BY_SIDE_ROWS, vec!["key-columns".to_owned(); 2]),
            "{heading}"
        );
    }
}

/// The second line says what is worked on the WS, and is no blank square. A stitch that is no usual opposite shows it.
#[test]
fn both_sides_may_have_a_line_each() {
    let chart = "2,.,t,.\n,.,t,.,1\n\n";
    let key = ".,RS: knit\n,WS: purl\nt,RS: k1 tbl\n,WS: slip 1 wyif\n";
    let other = "t,k1 tbl on RS rows\n,slip 1 wyif on WS rows\n.,knit on RS rows\n,purl on WS rows\n";
    let sheets: Vec<(&str, String)> = [key, other]
        .into_iter()
        .flat_map(|key| [(key, format!("{chart}Key\n{key}")), ("no heading", format!("{chart}{key}"))])
        .collect();
    all_give("1 k ktbl k\n2 p sl1wyif p\n", &sheets);
    // A square with a line round it is the blank cell.
    let blank = "2,t~,~\n,t~,~,1\n\nKey\nt~,RS: k1 tbl\n~,WS: p\n";
    assert_eq!(rows(blank), "1 k ktbl\n2 ptbl p\n");
}

/// What is worked in a square that is filled, in words that are not all known, is no name of a colour: it is asked, and not
/// knitted.
#[test]
fn filled_squares_with_words_for_stitches_are_no_colours() {
    let paint = |text: &str| text.replace('@', NAVY).replace('%', CREAM);
    let fills = "2,%,@,%,@,\n,%,@,%,@,1\n\nKey\n%,cream\n@,";
    assert_eq!(
        rows(&paint(&format!("{fills}purl dark blue\n"))),
        "1 p:dark blue k:cream p:dark blue k:cream\n2 p:cream k:dark blue p:cream k:dark blue\n"
    );
    for words in ["purl in sage", "make bobble", "pattern repeat", "purl long", "bead", "cluster"] {
        let said = said(&paint(&format!("{fills}{words}\n")));
        assert_eq!(said, ["unknown-key-words"], "{words}");
    }
    let given = ["moss", "seed pearl", "rose garden", "Heather mist", "Yarn K", "A - sage", "Right blue"];
    for words in given {
        assert!(rows(&paint(&format!("{fills}{words}\n"))).starts_with(&format!("1 k:{words} ")), "{words}");
    }
    // The symbols in such cells are read, but not in silence.
    let shaded = "2,.,.@,.,.@,\n,.,.@,.,.@,1\n\nKey\n.,knit\n@,";
    for words in ["purl in sage", "pattern repeat"] {
        let sheet = paint(&format!("{shaded}{words}\n"));
        assert_eq!(rows(&sheet), "1 k k k k\n2 p p p p\n", "{words}");
        assert!(said(&sheet).contains(&"unread-key-entry".to_owned()), "{words}");
    }
}

/// Short words for shades are no stitches: "lt blue" is a colour, and a left twist is one where it is told alone, in capitals or
/// with a word that joins it to its colour.
#[test]
fn shades_in_short_are_no_twists() {
    let paint = |text: &str| text.replace('@', NAVY).replace('%', CREAM);
    let fills = "2,@,%,@,\n,@,%,%,1\n\n";
    for (dark, light) in [
        ("lt blue", "white"),
        ("dk green", "Lt. Grey"),
        ("med. grey", "LT blue"),
        ("Dk. Sea Green", "lt grey (CC)"),
        ("Dk. Sage", "Lt. Sage"),
        ("grey - dk", "grey - lt"),
        ("grey (med)", "grey (lt)"),
    ] {
        // RS from the right: % % @; WS from the left: @ % @.
        let expected = format!("1 k:{light} k:{light} k:{dark}\n2 p:{dark} p:{light} p:{dark}\n");
        for heading in ["Colours\n", "Key\n", ""] {
            // Without a heading one of the two at least is surely a colour.
            if heading.is_empty() && dark.ends_with("Sage") {
                continue;
            }
            let sheet = paint(&format!("{fills}{heading}@,{dark}\n%,{light}\n"));
            all_give(&expected, &[(light, sheet)]);
        }
    }
    let worked = paint(&format!("{fills}Key\n@,knit with lt blue\n%,purl in Dk. Grey\n"));
    all_give("1 p:Dk. Grey p:Dk. Grey k:lt blue\n2 p:lt blue k:Dk. Grey p:lt blue\n", &[("worked", worked)]);
    // Letters stand for colours as fills do.
    let letters = "2,a,b,a,\n,a,b,b,1\n\nKey\na,lt blue\nb,dk blue\n".to_owned();
    all_give("1 k:dk blue k:dk blue k:lt blue\n2 p:lt blue p:dk blue p:lt blue\n", &[("letters", letters)]);
    // Twists, on right-side rows: two cells each.
    for (words, colour) in [("LT", ""), ("Lt", ""), ("LT (blue)", ":blue"), ("LT in lt blue", ":lt blue")] {
        let sheet = format!(".,L,L,.,3\n.,.,.,.,1\n\nKey\n.,knit\nL,{words}\n");
        let expected = format!("1 k k k k\n2 p p p p\n3 k 1/1lt{colour} k\n4 p p p p\n");
        let (rows, coloured) = (rows(&sheet), !colour.is_empty());
        let plain = rows.lines().map(|row| row.to_owned() + "\n").collect::<String>();
        // What the loops of a coloured twist are purled with is the colour of the twist.
        let expected = if coloured {
            expected.replace("4 p p p p", &format!("4 p p{colour} p{colour} p"))
        } else {
            expected
        };
        assert_eq!(plain, expected, "{words}");
    }
}

/// Lace in one colour, told by fills: the return row works the two loops of a double yarn over as ever.
#[test]
fn two_yarn_overs_in_a_colour_are_a_double_one() {
    let row = ".@,\\@,o@,o@,/@,.@";
    let sheet =
        format!(",{row},3\n,{row},1\n\nKey\n.,knit\no,yo\n/,k2tog\n\\,ssk\n@,navy\n").replace('@', NAVY);
    let (lace, back) = ("k k2tog yo2 ssk k", "p p p k p p");
    let plain = format!("1 {lace}\n2 {back}\n3 {lace}\n4 {back}\n");
    let coloured: String = plain
        .lines()
        .map(|line| {
            let (number, names) = line.split_once(' ').unwrap();
            format!(
                "{number} {}\n",
                names.split(' ').map(|name| format!("{name}:navy")).collect::<Vec<_>>().join(" ")
            )
        })
        .collect();
    assert_eq!(rows(&sheet), coloured);
    assert_eq!(rows(&sheet.replace(NAVY, "").replace(",navy\n", "\n")), plain);
}

/// Marks that nobody sees, of direction or of another shape, make no other symbol.
#[test]
fn marks_that_are_not_seen_are_no_part_of_a_symbol() {
    let chart = "\u{200e}o,/\u{fe0e},.\u{2061},1\n\nKey\n.,knit\no,yo\n\u{202a}/\u{202c},k2tog\n";
    all_give("1 k k2tog yo\n", &[("unseen", chart.to_owned())]);
}

/// Under a heading of colours a letter of the chart stands for a yarn, whatever it is called.
#[test]
fn letters_under_a_heading_of_colours_are_yarns() {
    let chart = "2,c,n,\n,n,c,1\n\n";
    for (heading, n, c) in [
        ("Colours", "Kelp", "Foam"),
        ("Colour key", "Sandstone 204", "Kelp 17"),
        ("Yarns", "MC: Sand", "CC1: Kelp"),
        ("Colors:", "Kelp (CC1)", "Sand (MC)"),
    ] {
        let sheet = format!("{chart}{heading}\nn,{n}\nc,{c}\n");
        all_give(&format!("1 k:{c} k:{n}\n2 p:{c} p:{n}\n"), &[(heading, sheet)]);
    }
    // Words for something else are no name, and a symbol that the chart has not is in a list of what to buy.
    let sheet = format!("{chart}Colours\nn,Kelp\nc,edge stitch\n");
    assert!(said(&sheet).contains(&"unknown-symbol".to_owned()), "{:?}", said(&sheet));
    let sheet = ".,.,2\n.,.,1\n\nKey\n.,knit\n\n\n\nYarns\nA,Kelp\n";
    assert_eq!(rows(sheet), "1 k k\n2 p p\n");
}

/// A colour may stand with the words for each side, before them or in brackets: it is never dropped beside words for a stitch.
#[test]
fn colours_stand_anywhere_among_the_words_for_a_stitch() {
    let chart = "2,.,B,\n,B,.,1\n\nKey\n";
    for (dot, letter) in [
        ("knit with MC on RS; purl with MC on WS", "RS: purl in CC; WS: knit in CC"),
        ("MC: knit on RS - purl on WS", "CC (purl on RS and knit on WS)"),
        ("with MC: k on RS / p on WS", "purl (CC)"),
        ("MC - knit", "CC = purl"),
    ] {
        let sheet = format!("{chart}.,{dot}\nB,{letter}\n");
        all_give("1 k:MC p:CC\n2 p:MC k:CC\n", &[(dot, sheet)]);
    }
    let sheet = format!("{chart}.,knit\nB,knit in MC on RS; purl in CC on WS\n");
    assert_eq!(said(&sheet), ["unknown-key-words"]);
}

/// In colour work an empty square with a line round it is the yarn of the cells that are left white, whatever it is called,
/// where the squares beside it in the key are yarns too.
#[test]
fn an_empty_square_among_filled_ones_is_the_background() {
    let chart = "@,~,@,3\n~,@,~,2\n@,~,@,1\n\n";
    for (heading, background) in
        [("Key\n", "cream"), ("", "cream"), ("Key\n", "Kelp"), ("", "Kelp"), ("", "background")]
    {
        for key in [format!("~,{background}\n@,navy\n"), format!("@,navy\n~,{background}\n")] {
            let sheet = format!("{chart}{heading}{key}").replace('@', NAVY);
            let expected = format!(
                "1 k:navy k:{background} k:navy\n2 p:{background} p:navy p:{background}\n3 k:navy k:{background} k:navy\n"
            );
            all_give(&expected, &[(background, sheet)]);
        }
    }
    // Beside words for stitches it is what it says, or is asked.
    let sheet = format!("{chart}Key\n@,purl\n~,Kelp\n").replace('@', NAVY);
    assert_eq!(said(&sheet), ["blank-cell", "blank-cell", "unused-key-entry"]);
}

/// A sheet of colours is a key to them where each of its lines may be one; another of that name is not.
#[test]
fn a_sheet_called_colours_is_a_key_to_them() {
    let paint = |text: String| text.replace('@', NAVY).replace('%', CREAM);
    for name in ["Colours", "Colors", "Yarns", "Colour key"] {
        let letters = format!("A,B,A,2\nA,A,B,1\n== {name}\nA,Sand 12\nB,Kelp\n");
        let expected = "1 k:Kelp k:Sand 12 k:Sand 12\n2 p:Sand 12 p:Kelp p:Sand 12\n";
        all_give(expected, &[(name, letters)]);
        let fills = format!("%,@,%,2\n%,%,@,1\n== {name}\n%,Sand\n@,Kelp\n");
        all_give("1 k:Kelp k:Sand k:Sand\n2 p:Sand p:Kelp p:Sand\n", &[(name, paint(fills))]);
        let empty = format!("@,~,@,2\n~,~,@,1\n== {name}\n~,Sand\n@,Kelp\n");
        all_give("1 k:Kelp k:Sand k:Sand\n2 p:Kelp p:Sand p:Kelp\n", &[(name, paint(empty))]);
        let chart = format!(
            "n,c,n,c,2\nc,n,c,n,1\n\nKey\nn,k in navy\nc,k in cream\n== {name}\nSand,3 balls of 50 g\nKelp,to finish,2\n"
        );
        all_give("1 k:navy k:cream k:navy k:cream\n2 p:navy p:cream p:navy p:cream\n", &[(name, chart)]);
    }
}

/// Where the key is to be found is no entry and no note of the pattern.
#[test]
fn what_points_to_the_key_is_left_out() {
    let chart = "2,.,o,/\n,.,.,.,1\n\n";
    let key = ".,knit\no,yo\n/,k2tog\n";
    for pointer in [
        "Key:,see below",
        "Key: see below",
        "Key,(see sheet Key)",
        "Symbols (see next page)",
        "Legend - see key",
    ] {
        for sheet in [
            format!("{chart}{pointer}\n\n{key}"),
            format!("{pointer}\n{chart}{key}"),
            format!("{chart}{key}\n{pointer}\n"),
        ] {
            all_give("1 k k k\n2 p yo p2tog\n", &[(pointer, sheet.clone())]);
            let notes = read(&sheet).charts[0].pattern.as_ref().map(|pattern| pattern.notes.clone());
            assert_eq!(notes.map(|notes| notes.len()), Some(0), "{sheet}");
        }
    }
}

/// Under a plain heading letters are yarns too where one of them surely is and no other line is of anything else.
#[test]
fn letters_among_colours_are_yarns_under_any_heading() {
    let chart = "2,A,B,\n,B,A,1\n\n";
    let expected = "1 k:Sand k:Kelp\n2 p:Sand p:Kelp\n";
    for key in ["Key\nA,Sand\nB,Kelp\n", "Key:\nA = Sand\nB = Kelp\n", "Legend\nB: Kelp\nA: Sand\n"] {
        all_give(expected, &[(key, format!("{chart}{key}"))]);
    }
    let own = format!("{chart}== Key\nA,Sand\nB,Kelp\n");
    all_give(expected, &[("a sheet of its own", own)]);
    // No line is surely of a colour, or another is of a stitch, or speaks of one.
    for key in [
        "A,Foam\nB,Kelp\n",
        "A,Sand\nB,Kelp\n-,purl\n",
        "A,Sand\nB,slip in Kelp\n",
        "A,Sand\nB,make bobble\n",
        "A,Sand\nB,5-st cluster\n",
        "A,Sand\nB,bead\n",
    ] {
        let said = said(&format!("{chart}Key\n{key}"));
        assert!(said.contains(&"unknown-key-words".to_owned()), "{key}: {said:?}");
    }
}

/// Words may go on in the lines below, beside nothing: they are no words for the blank cell.
#[test]
fn words_of_a_key_go_on_in_the_lines_below() {
    let chart = "2,.,.,.,.,.\n,.,o,/,B,.,1\n\n";
    let keys = [
        ".,knit\no,yarn\n,over\n/,knit 2 sts\n,together\nB,knit through\n,the back loop\n".to_owned(),
        ".,k on RS\n,p on WS\no,yo\n/,knit two\n,stitches\n,together\nB,k1 tbl\n".to_owned(),
        "B,k1 tbl\n/,k2tog:\n,knit 2 together\no,yo\n.,knit\n".to_owned(),
    ];
    for key in &keys {
        for heading in ["Key\n", ""] {
            let sheet = format!("{chart}{heading}{key}");
            let said = said(&sheet);
            assert_eq!(
                (rows(&sheet).as_str(), &said[..]),
                ("1 k ktbl k2tog yo k\n2 p p p p p\n", &[][..]),
                "{sheet}"
            );
        }
    }
    // What can't be read is told whole.
    let sheet = format!("{chart}Key\n.,k\no,yo\n/,k2tog\nB,slip 1;\n,hop 1\n");
    let read = read(&sheet);
    let told: Vec<_> = read.charts[0].findings.iter().map(|finding| finding.message.as_str()).collect();
    assert_eq!(told, ["The key explains \"B\" as \"slip 1; hop 1\", which names no stitch."]);
    // Other words below are words for the blank cell, as ever.
    let blank = "2,.,,\n,.,,.,1\n\nKey\n.,purl\n,knit\n";
    assert_eq!(rows(blank), "1 p k p\n2 k p p\n");
}

/// A bobble that the key tells is a stitch of the designer's own, in one cell or several lines: it uses one loop and makes one.
#[test]
fn a_bobble_is_told_by_how_it_is_worked() {
    let chart = "3,.,.,B,\n2,.,.,.,\n,.,B,.,1\n\n".replace("3,.,.,B,\n", ",.,.,B,3\n");
    let key = ".,\"k on RS, p on WS\"\n";
    let told = "(k1, yo, k1) in next st, turn, p3, turn, sk2p";
    for (words, name) in [
        (format!("B,\"Bobble: {told}\"\n"), "bobble"),
        (format!("B,\"MB: {told}\"\n"), "MB"),
        (format!("B,\"MB (make bobble): {told}.\"\n"), "MB"),
        (format!("B,\"{told}\"\n"), "MB"),
        ("B,\"Bobble: (k1, yo, k1) in next st, turn,\"\n,\"p3, turn, sk2p\"\n".to_owned(), "bobble"),
        (
            "B,Make bobble:\n,\"(k1, yo, k1) in next st,\"\n,\"turn, p3, turn, k3tog\"\n".to_owned(),
            "make bobble",
        ),
    ] {
        let expected = format!("1 k {name} k\n2 p p p\n3 {name} k k\n");
        for heading in ["Key\n", ""] {
            all_give(&expected, &[(&words, format!("{chart}{heading}{key}{words}"))]);
        }
    }
    // What does not come back to its side, or leaves loops that nobody counts, is asked.
    for words in
        ["\"(k1, yo, k1) in next st, turn, p3\"", "\"Bobble: work 3 times in next st, turn, p3, turn, sk2p\""]
    {
        assert_eq!(said(&format!("{chart}Key\n{key}B,{words}\n")), ["unknown-key-words"], "{words}");
    }
}

/// In a csv file commas cut the words of a key: what a bracket opens, or names no stitch alone, goes on in the cells behind.
#[test]
fn words_that_commas_cut_are_one() {
    let read_as = |words: &str| {
        let sheet = format!(".,.,B,.,.,1\n\nKey\n.,knit\nB,{words}\n");
        let rows = rows(&sheet);
        rows.trim()
            .strip_prefix("1 k k ")
            .and_then(|row| row.strip_suffix(" k k"))
            .map_or(rows.clone(), str::to_owned)
    };
    for (words, name) in [
        ("sl 1, k2tog, psso", "sk2p"),
        ("(k1, yo, k1) in next st", "kyok"),
        ("yo, twice", "yo2"),
        ("slip 1, with yarn in front", "sl1wyif"),
        ("Bobble: (k1, yo, k1) in next st, turn, p3, turn, sk2p", "bobble"),
        ("k2tog, slant right", "k2tog"),
        ("knit,knit", "k"),
    ] {
        assert_eq!(read_as(words), name, "{words}");
    }
    for words in ["(k1, hop, k1) in next st", "knit on RS, hop on WS"] {
        let told = read_as(words);
        assert!(told.contains(&format!("as \"{words}\", which names no stitch")), "{told}");
    }
    assert_eq!(rows("2,.,o,/,.\n,.,.,.,.,1\n\nKey\n.,knit,o,yo\n/,k2tog\n"), "1 k k k k\n2 p yo p2tog p\n");
}

/// Grey squares are no stitch. What stands between them, a symbol alone or two side by side, is no entry of the key below, nor
/// does it say what grey is.
#[test]
fn cells_between_the_numbers_of_a_chart_are_no_key() {
    let grey = "#BFBFBF,no stitch\n";
    let key = "k,knit\nr,purl\no,yarn over\nx,kfb\n/,k2tog\n";
    // Right-side rows from the right; wrong-side rows from the left, in their own terms.
    for (chart, expected) in [
        // Numbers on the right alone, a symbol between two grey squares at the bottom.
        (",,r,r,k,2\n#BFBFBF,o,#BFBFBF,k,k,1\n", "1 k k yo / 2 k k p"),
        // Grey at both ends, and two symbols alone.
        (
            "#BFBFBF,#BFBFBF,k,x,#BFBFBF,3\n#BFBFBF,k,k,#BFBFBF,#BFBFBF,2\n#BFBFBF,r,k,#BFBFBF,#BFBFBF,1\n",
            "1 k p / 2 p p / 3 kfb k",
        ),
        // Numbers on alternating sides.
        (
            "4,#BFBFBF,r,#BFBFBF,k\n,k,k,#BFBFBF,#BFBFBF,3\n2,#BFBFBF,#BFBFBF,k,r\n,#BFBFBF,r,k,#BFBFBF,1\n",
            "1 k p / 2 p k / 3 k k / 4 k p",
        ),
        // Right-side rows.
        (
            "#BFBFBF,#BFBFBF,k,r,#BFBFBF,5\nk,#BFBFBF,#BFBFBF,#BFBFBF,r,3\n#BFBFBF,k,r,#BFBFBF,#BFBFBF,1\n",
            "1 p k / 2 p k / 3 p k / 4 p k / 5 p k / 6 p k",
        ),
    ] {
        for between in ["\n", "\nKey\n"] {
            let sheet = format!("{chart}{between}{key}{grey}");
            assert_eq!(rows(&sheet).trim().replace('\n', " / "), expected, "{sheet}");
        }
    }
}

/// A key right beside the numbers of its chart is a key, whichever edges are numbered, and though its words are short.
#[test]
fn a_key_right_behind_the_row_numbers_is_one() {
    let expected = "1 k yo k2tog k\n2 p p p p\n3 k k2tog yo k\n";
    for [left, right] in
        [[["", "", ""], ["3", "2", "1"]], [["3", "2", "1"], ["3", "2", "1"]], [["", "2", ""], ["3", "", "1"]]]
    {
        let rows_of = |beside: bool| {
            let cells = [".,o,/,.", ".,.,.,.", ".,/,o,."];
            let key = if beside { [".,knit", "o,yo", "/,k2tog"] } else { [",", ",", ","] };
            (0..3)
                .map(|row| format!("{},{},{},{}\n", left[row], cells[row], right[row], key[row]))
                .collect::<String>()
        };
        let beside = rows_of(true);
        assert_eq!(rows(&beside), expected, "{beside}");
        let below = rows_of(false) + "\n.,knit\no,yo\n/,k2tog\n";
        assert_eq!(rows(&below), expected, "{below}");
    }
}

/// Filled squares that say what is worked in which colour are a key without a heading.
#[test]
fn squares_worked_with_a_colour_are_a_key() {
    let sheet = "#1F4E79,#1F4E79,#FFF2CC,2\n#1F4E79,#FFF2CC,#1F4E79,1\n\n#1F4E79,knit with navy\n#FFF2CC,knit with cream\n";
    assert_eq!(rows(sheet), "1 k:navy k:cream k:navy\n2 p:navy p:navy p:cream\n");
    // Where no square is of a key, what makes one is told.
    let without = "#1F4E79,#1F4E79,#FFF2CC,2\n#1F4E79,#FFF2CC,#1F4E79,1\n\nDusk 102\nFoam 7\n";
    let help = read(without).findings.iter().map(|finding| finding.help.to_string()).collect::<String>();
    assert!(help.contains("under the heading \"Colours\""), "{help}");
}

/// What changes the work and is no stitch of its own is named.
#[test]
fn what_else_the_words_of_a_key_say_is_told() {
    let sheet = ".,Y,/,e,2\n.,/,Y,e,1\n\nKey\n.,knit\n/,k2tog\nY,yo (work tbl on next row)\ne,\"knit - edge stitch, slip first st of row\"\n";
    let read = read(sheet);
    let told: Vec<&str> = read.charts[0].findings.iter().map(|finding| finding.message.as_str()).collect();
    assert_eq!(
        told,
        [
            "Of the key's \"yo (work tbl on next row)\" the part \"work tbl on next row\" was left aside.",
            "Of the key's \"knit - edge stitch, slip first st of row\" the part \"slip first st of row\" was left aside."
        ]
    );
}

/// What is wrong with the only chart of a sheet.
fn wrong(sheet: &str) -> Vec<String> {
    let read = read(sheet);
    let [chart] = &read.charts[..] else { return vec![format!("{} charts", read.charts.len())] };
    let errors = chart.findings.iter().filter(|finding| finding.severity() == Severity::Error);
    errors.map(|finding| format!("{} {}", finding.place, finding.message)).collect()
}

/// A colour chart with a fill that its key leaves out is one chart, and the fill is told with its cells, wherever they are.
#[test]
fn a_fill_that_the_key_leaves_out_is_told() {
    let paint = |text: &str| text.replace('@', NAVY).replace('%', CREAM).replace('$', "#C00000");
    let key = "\nKey\n@,navy\n%,cream\n";
    for (what, chart, cell, more) in [
        ("in the middle, numbered", "@,%,@,%,3\n@,$,@,%,2\n%,@,%,@,1\n", "cell B2", 0),
        ("a whole column", "@,$,@,%,3\n@,$,@,%,2\n%,$,%,@,1\n", "cell B3", 2),
        ("the last column", "@,%,@,$,3\n@,%,@,$,2\n%,@,%,$,1\n", "cell D3", 2),
        ("a whole row", "@,%,@,%,3\n$,$,$,$,2\n%,@,%,@,1\n", "cell A2", 3),
        ("the top row", "$,$,$,$,3\n@,%,@,%,2\n%,@,%,@,1\n", "cell A1", 3),
        ("the bottom row", "@,%,@,%,3\n@,%,@,%,2\n$,$,$,$,1\n", "cell A3", 3),
        ("most cells", "$,$,@,$,3\n$,%,$,$,2\n$,$,$,$,1\n", "cell A3", 9),
        ("no numbers, a column", "@,%,$,%\n@,%,$,%\n%,@,$,@\n", "cell C3", 2),
        ("no numbers, a row", "@,%,@,%\n$,$,$,$\n%,@,%,@\n", "cell A2", 3),
        ("no numbers, the top row", "$,$,$,$\n@,%,@,%\n%,@,%,@\n", "cell A1", 3),
        ("no numbers, the bottom row", "@,%,@,%\n%,@,%,@\n$,$,$,$\n", "cell A3", 3),
        ("no numbers, most cells", "$,$,@,$\n$,%,$,$\n$,$,$,$\n", "cell A3", 9),
        ("no numbers, two rows", "@,%,@,%\n$,$,$,$\n$,$,$,$\n%,@,%,@\n", "cell A3", 7),
    ] {
        let more = match more {
            0 => String::new(),
            1 => " It stands in 1 more cell of the chart.".to_owned(),
            n => format!(" It stands in {n} more cells of the chart."),
        };
        let expected = format!("key.fods, sheet Chart, {cell} No key explains the fill C00000.{more}");
        assert_eq!(wrong(&paint(&format!("{chart}{key}"))), [expected], "{what}");
    }
    // The key names one of two fills.
    let one = paint("@,%,@,%,3\n@,%,%,%,2\n%,%,%,@,1\n\nKey\n@,navy\n");
    let expected = "key.fods, sheet Chart, cell A3 No key explains the fill FFF2CC. It stands in 7 more cells of the chart.";
    assert_eq!(wrong(&one), [expected]);
    // Symbols in such cells are worked in a colour that nobody tells.
    let symbols = paint(".@,.%,.@,3\n.@,-$,.@,2\n.@,.%,.@,1\n\nKey\n.,knit\n-,purl\n@,navy\n%,cream\n");
    let expected = "key.fods, sheet Chart, cell B2 No key explains the fill C00000.";
    assert_eq!(wrong(&symbols), [expected]);
    let help = |sheet: &str| read(sheet).charts[0].findings[0].help.to_string();
    for sheet in [&one, &symbols] {
        assert!(help(sheet).contains("a filled square with the name of its colour"), "{}", help(sheet));
    }
}

/// Fills that are no part of a chart are none of its cells: a banner with a title, a frame for a picture beside the numbers.
#[test]
fn fills_beside_a_chart_are_none_of_it() {
    let paint = |text: &str| text.replace('@', NAVY).replace('%', CREAM).replace('$', "#C00000");
    let key = "\nKey\n@,navy\n%,cream\n";
    // RS from the right: % @; WS from the left: @ %.
    let expected = "1 k:cream k:navy\n2 p:navy p:cream\n";
    for (what, chart) in [
        ("a title with a fill", "Mitten chart$,$,$\n@,%,2\n@,%,1\n"),
        ("a title with a fill, no numbers", "Mitten chart$,$\n@,%\n@,%\n"),
        ("a banner apart", "$,$,$,$\n,\n@,%,2\n@,%,1\n"),
        ("a banner apart, no numbers", "$,$,$,$\n,\n@,%\n@,%\n"),
        ("a frame beside the numbers", "@,%,2,,$,$\n@,%,1,,$,$\n"),
        ("a frame far from numbers on the left", "2,@,%,,,$,$\n1,@,%,,,$,$\n"),
        ("a block below", "@,%,2\n@,%,1\n,\n$,$,$\n$,$,$\n"),
        ("a block below, no numbers", "@,%\n@,%\n,\n$,$,$\n$,$,$\n"),
    ] {
        let sheet = paint(&format!("{chart}{key}"));
        assert_eq!(rows(&sheet), expected, "{what}");
    }
    // A fill behind a symbol of a chart without colours says nothing.
    let shaded = paint(".,.$,.,3\n.,-$,.,2\n.,.,.,1\n\nKey\n.,knit\n-,purl\n");
    assert_eq!(rows(&shaded), "1 k k k\n2 p k p\n3 k k k\n");
}

/// Where blank cells are stitches, a fill that no key explains may be meant for something else: it is told, or asked where
/// other fills of the key are stitches. One that lies behind symbols too only marks something.
#[test]
fn fills_of_blank_cells_that_no_key_explains_are_told() {
    let paint = |text: &str| text.replace('!', "#D9D9D9").replace('$', "#C00000");
    let key = "\nKey\n~,knit\no,yo\n/,k2tog\n";
    // RS from the right, WS from the left.
    let lace = paint(&format!("~,~,o,/,3\n~,~,~!,~!,2\n/,o,~!,~,1\n{key}"));
    assert_eq!(rows(&lace), "1 k k yo k2tog\n2 p p p p\n3 k2tog yo k k\n");
    let read_lace = read(&lace);
    let told: Vec<String> = read_lace.charts[0]
        .findings
        .iter()
        .map(|found| format!("{} {} {}", found.code, found.place, found.message))
        .collect();
    assert_eq!(
        told,
        [
            "unread-key-entry key.fods, sheet Chart, cell C3 This blank cell and 2 more are filled D9D9D9, which no key explains: worked as the other blank cells are."
        ]
    );
    let marked = paint(&format!("~,~,o!,/!,3\n~,~,~!,~!,2\n/,o,~!,~!,1\n{key}"));
    assert_eq!(
        (rows(&marked).as_str(), said(&marked).len()),
        ("1 k k yo k2tog\n2 p p p p\n3 k2tog yo k k\n", 0)
    );
    let purls = paint("~,~!,~,3\n~,~$,~!,2\n~,~!,~,1\n\nKey\n~,knit\n!,purl\n");
    assert_eq!(wrong(&purls), ["key.fods, sheet Chart, cell B2 No key explains the fill C00000."]);
}

/// Words beside those for a stitch explain it, or make another of it, or ask which it is.
#[test]
fn glosses_of_a_key_are_weighed() {
    let chart = "2,.,t,o,/,\n,.,t,.,.,1\n\nKey\n.,knit stitch (RS: knit; WS: purl)\no,yo (eyelet)\n/,k2tog (right-leaning)\n";
    // RS from the right: . . t .; WS from the left: . t o /.
    all_give("1 k k ktbl k\n2 p ptbl yo p2tog\n", &[("twisted", format!("{chart}t,knit (twisted)\n"))]);
    let unknown = format!("{chart}t,knit (zigzag)\n");
    assert_eq!(rows(&unknown), "1 k k k k\n2 p p yo p2tog\n");
    assert_eq!(said(&unknown), ["unread-key-entry"]);
    for words in ["knit (wrapped twice)", "knit with a bead", "knit (left leaning)", "purl (dec 1)"] {
        assert_eq!(said(&format!("{chart}t,{words}\n")), ["unknown-key-words"], "{words}");
    }
}

/// The names of yarns stand within filled squares, before, below or behind them, and need no heading where the chart is one of
/// these fills, whatever the names are.
#[test]
fn names_of_yarns_stand_anywhere_beside_their_squares() {
    let paint = |text: &str| text.replace('@', NAVY).replace('%', CREAM);
    let chart = ",%,@,%,@,3\n,@,@,@,%,2\n,%,@,%,@,1\n\n";
    // RS from the right: @ % @ %; WS from the left: @ @ @ %.
    let expected = |dark: &str, light: &str| {
        let rows = "1 k:D k:L k:D k:L\n2 p:D p:D p:D p:L\n3 k:D k:L k:D k:L\n";
        rows.replace('D', dark).replace('L', light)
    };
    for (dark, light) in [("dark", "light"), ("A", "B"), ("Dk", "Lt"), ("MC", "CC"), ("Kelp 17", "Foam")] {
        for (what, key) in [
            ("behind", "@,D\n%,L\n"),
            ("behind, an equals sign", "@,= D\n%,= L\n"),
            ("behind, side by side", "@,D,%,L\n"),
            ("behind, side by side under a heading", "Key:,@,D,,%,L\n"),
            ("behind, under a heading", "Key\n@,D\n%,L\n"),
            ("before", "D,@\nL,%\n"),
            ("before, under a heading", "Colours\nD,@\nL,%\n"),
            ("within", "D@\nL%\n"),
            ("within, under a heading", "Key\nD@\nL%\n"),
            ("within, side by side", "Key,D@,L%\n"),
            ("within, apart", "D@,,L%\n"),
            ("below", "@,%\nD,L\n"),
            ("below, apart, under a heading", "Yarns\n@,,%\nD,,L\n"),
            ("below, behind a heading", "Key,@,%\n,D,L\n"),
        ] {
            let sheet = paint(&format!("{chart}{}", key.replace('D', "{d}").replace('L', "{l}")))
                .replace("{d}", dark)
                .replace("{l}", light);
            all_give(&expected(dark, light), &[(what, sheet)]);
        }
    }
    let beside = ",%,@,%,@,3,,@,A\n,@,@,@,%,2,,%,B\n,%,@,%,@,1\n";
    all_give(&expected("A", "B"), &[("beside the chart", paint(beside))]);
    // A chart of symbols is one: a letter or two beside fills tell nothing.
    let lace = paint(".,o,/,@,2\n.,.,.,%,1\n\n@,A\n%,B\n\nKey\n.,knit\no,yo\n/,k2tog\n");
    assert!(!said(&lace).is_empty() && !rows(&lace).contains(":A"), "{}", rows(&lace));
    // Fills named twice, and words for something else, are no key.
    for key in ["@,A\n%,B\n@,A\n", "@,2 rows\n%,4 rows\n", "@,Row 1\n%,Row 2\n", "@,bobble\n%,bead\n"] {
        let sheet = paint(&format!("{chart}{key}"));
        assert_eq!(read(&sheet).charts.len(), 0, "{key}");
    }
}

/// Words for squares stand in the place of a symbol: "grey" is the fill of blank cells, whatever the words in the lines above.
#[test]
fn grey_and_white_squares_are_told_in_words() {
    // RS from the right: . / o [grey] . ; WS from the left: . [grey] . . .
    let grey = ".,#D9D9D9,o,/,.,3\n.,#D9D9D9,.,.,.,2\n.,#D9D9D9,.,.,.,1\n\n";
    let expected = "1 k k k k\n2 p p p p\n3 k k2tog yo k\n";
    let key = ".,knit\no,yo\n/,k2tog\n";
    for told in [
        "grey,no stitch\n",
        "gray,No stitch\n",
        "Grey square,no stitch\n",
        "grey squares = no stitch\n",
        "Shaded squares: no stitch\n",
        "(grey),no stitch\n",
        "shaded,no stitch\n",
        "Grey squares are no stitch.\n",
        "no stitch#D9D9D9\n",
    ] {
        for heading in ["Key\n", ""] {
            all_give(expected, &[(told, format!("{grey}{heading}{key}{told}"))]);
        }
    }
    all_give(expected, &[("a sheet of its own", format!("{grey}== Key\n{key}grey,no stitch\n"))]);
    // Of two fills nobody can tell which is meant.
    let two = format!("{}{key}shaded,no stitch\n", grey.replace("2\n.,#D9D9D9", "2\n.,#808080"));
    assert!(rows(&two).contains("blank-cell"), "{}", rows(&two));
    // A fill that is not grey is not meant by it.
    let navy = format!("{}{key}grey,no stitch\n", grey.replace("#D9D9D9", NAVY));
    assert!(rows(&navy).contains("blank-cell"), "{}", rows(&navy));
    // White squares are blank cells, and black ones the filled ones.
    // RS from the right: blank @ blank; WS from the left: @ @ blank.
    let black = "~#000000,~#000000,~,2\n~,~#000000,~,1\n\n";
    let told = "Key\nblack square,purl\nwhite square,knit\n";
    all_give("1 k p k\n2 k k p\n", &[("black and white", format!("{black}{told}"))]);
    // A row of entries above another is no row of symbols with their words.
    let names = ".,\\,/,2\n.,.,.,1\n\nKey\n.,knit\n/,k2tog\n\\,ssk\ngrey,no stitch\n";
    assert!(!rows(names).contains("grey"), "{}", rows(names));
}

/// Marks around a symbol of a key that no cell of the chart has are none of it.
#[test]
fn symbols_of_a_key_may_stand_in_quotes_or_brackets() {
    let chart = "2,.,o,/,.\n,.,.,.,.,1\n\n";
    for (open, close) in [("'", "'"), ("\u{201c}", "\u{201d}"), ("[", "]"), ("(", ")")] {
        for heading in ["Key\n", ""] {
            let line = |symbol: &str, words: &str| format!("{open}{symbol}{close},{words}\n");
            let key = [line(".", "knit"), line("o", "yarn over"), line("/", "k2tog")].concat();
            all_give("1 k k k k\n2 p yo p2tog p\n", &[(open, format!("{chart}{heading}{key}"))]);
        }
    }
}

/// A sheet with another name may hold a key and nothing else, told by its lines.
#[test]
fn sheets_of_keys_have_many_names() {
    let chart = ".,o,/,.,2\n.,.,.,.,1\n";
    let key = ".,knit\no,yarn over\n/,knit 2 together\n";
    for name in [
        "Stitches",
        "Stitch Legend",
        "Chart key",
        "Abbreviations",
        "Key - Lace",
        "Symbols & stitches",
        "Glossary",
    ] {
        all_give("1 k k k k\n2 p yo p2tog p\n", &[(name, format!("{chart}== {name}\n{key}"))]);
    }
    // Charts of such a name are charts.
    let other = format!("{chart}\n{key}== Stitches\n.,o,/,2\n.,.,.,1\n\n{key}");
    assert_eq!(read(&other).charts.len(), 2);
}

/// All entries of a key may stand in one cell.
#[test]
fn entries_stand_in_one_cell() {
    let chart = "2,.,o,/,.\n,.,.,.,.,1\n\n";
    for cell in [
        "Key: . = knit; o = yarn over; / = k2tog",
        ". = knit; o = yarn over; / = k2tog.",
        ". = knit, o = yarn over, / = k2tog",
        "Key:\n. = knit\no = yarn over\n/ = k2tog",
        ". - knit\no - yarn over\n/ - k2tog",
        ". knit\no yarn over\n/ k2tog",
        "Key: / = k2tog (right-leaning), . = k on RS, p on WS, o = yo",
    ] {
        let sheet = format!("{chart}\"{cell}\"\n");
        all_give("1 k k k k\n2 p yo p2tog p\n", &[(cell, sheet)]);
    }
    // Sides, settings and prose are none.
    for cell in ["RS: knit; WS: purl", "Size: 3; Yarn: wool", "A - first; B - second"] {
        let sheet = format!("{chart}Key\n.,knit\no,yo\n/,k2tog\n\n\"{cell}\"\n");
        assert_eq!(rows(&sheet), "1 k k k k\n2 p yo p2tog p\n", "{cell}");
    }
}

/// How many stitches or cells each symbol takes is a column of notes.
#[test]
fn counts_of_a_key_are_notes() {
    let chart = ".,o,/,.,2\n.,.,.,.,1\n\n";
    for head in ["No. of sts", "Number of stitches", "Stitches", "Sts", "Cells"] {
        let sheet = format!("{chart}Symbol,Meaning,{head}\n.,knit,1\no,yo,1\n/,k2tog,1\n");
        assert_eq!(rows(&sheet), "1 k k k k\n2 p yo p2tog p\n", "{head}");
        assert!(said(&sheet).iter().all(|code| code == "key-columns"), "{head}: {:?}", said(&sheet));
    }
}

/// A slip without a word on the yarn has it on the wrong side, as in texts, which is told.
#[test]
fn a_bare_slip_of_a_key_is_told() {
    let chart = "2,.,s,.,\n,.,s,.,1\n\nKey\n.,knit\n";
    for words in [
        "slip 1 purlwise",
        "slip",
        "Slip stitch",
        "sl 1",
        "slip (purlwise)",
        "slip 1 st purlwise",
        "Slip stitch purlwise.",
    ] {
        let sheet = format!("{chart}s,{words}\n");
        assert_eq!(rows(&sheet), "1 k sl1wyib k\n2 p sl1wyif p\n", "{words}");
        assert_eq!(said(&sheet), ["bare-slip"], "{words}");
    }
    all_give("1 k sl1wyif k\n2 p sl1wyib p\n", &[("front", format!("{chart}s,slip 1 (yarn in front)\n"))]);
    for words in ["slip 1; hop 1", "slip 2", "slip 1 (with bead)"] {
        assert_eq!(said(&format!("{chart}s,{words}\n")), ["unknown-key-words"], "{words}");
    }
}

/// Numbers before the entries only count them.
#[test]
fn numbers_before_entries_count_them() {
    let chart = ".,o,/,.,2\n.,.,.,.,1\n\n";
    for key in ["Key\n1,.,knit\n2,o,yarn over\n3,/,k2tog\n", "Key\n\n1,.,knit\n2,o,yo\n3,/,k2tog\n"] {
        all_give("1 k k k k\n2 p yo p2tog p\n", &[(key, format!("{chart}{key}"))]);
    }
}

/// What a decrease is on the WS is no working of the one loop that it leaves, which the return row purls. Nor has a round any
/// return row: what a key says of WS rows is not said of it.
#[test]
fn a_decrease_is_not_worked_again_on_the_return_row() {
    let chart = ".,.,/,o,.,3\n.,.,.,.,.,1\n\n.,knit\no,yarn over\n";
    for key in
        ["/,\"ssk on RS, p2tog tbl on WS\"", "/,\"RS: ssk; WS: p2tog tbl\"", "Symbol,RS,WS\n/,ssk,p2tog tbl"]
    {
        let sheet = format!("{chart}{key}\n");
        let [one, two] = ["1 k k k k k\n2 p p p p p\n", "3 k yo ssk k k\n4 p p p p p\n"];
        assert_eq!(rows(&sheet), format!("{one}{two}"), "{key}");
    }
    // Drawn on a WS row it is what the key says of those.
    let drawn = "2,.,.,/,o,.,\n,.,.,.,.,.,1\n\n.,\"k on RS, p on WS\"\no,yarn over\n/,\"ssk on RS, p2tog tbl on WS\"\n";
    assert_eq!(rows(drawn), "1 k k k k k\n2 p p p2togtbl yo p\n");
    // An increase of two loops that closes again does work its own loops.
    let bobble =
        ".,*,.,1\n.,.,.,3\n\n.,knit\n*,\"(k1, yo, k1) in one st on RS, p3tog on WS\"\nCharted: right side\n";
    assert_eq!(rows(bobble), "1 k kyok k\n2 p p3tog p\n3 k k k\n4 p p p\n");
    let round = "Worked: round\nCharted: right side\n\n.,v,.,3\n.,.,.,1\n\n.,knit\nv,\"sl 1 wyib on RS, purl on WS\"\n";
    assert_eq!(rows(round), "1 k k k\n2 k k k\n3 k sl1wyib k\n4 k k k\n");
}
