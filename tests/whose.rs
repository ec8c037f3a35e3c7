//! Sheets with several charts: which of them titles, settings, sentences, numbers of columns, counts and notes belong to.
//! Expected values are worked out by hand from the sheets, which are common practice and have no published source.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

use std::sync::Arc;

use longhand::convert::{self, Charts};
use longhand::pattern::{Pattern, Worked};
use longhand::settings::Settings;

const KEY: &str = "\nKey\n.,knit\n-,purl\n/,k2tog\no,yarn over\n";

fn read(sheet: &str) -> Charts {
    convert::charts(
        &Arc::from("sheet.csv"),
        sheet.as_bytes(),
        None,
        &Settings::default(),
        &Settings::default(),
    )
}

/// What is said of all charts: kind, line and column.
fn said(read: &Charts) -> Vec<String> {
    let findings = read.charts.iter().flat_map(|chart| &chart.findings);
    let place = |place: String| {
        place.trim_start_matches("sheet.csv, ").replace(", column ", ":").replace("line ", "")
    };
    findings.map(|finding| format!("{} {}", finding.code.name(), place(finding.place.to_string()))).collect()
}

fn patterns<'a>(read: &'a Charts, what: &str) -> Vec<&'a Pattern> {
    let sound =
        |chart: &'a convert::Chart| chart.sound().unwrap_or_else(|| panic!("{what}: {:?}", chart.findings));
    read.charts.iter().map(sound).collect()
}

fn titles(read: &Charts, what: &str) -> Vec<String> {
    patterns(read, what).iter().map(|pattern| pattern.title.clone()).collect()
}

fn cast_ons(read: &Charts, what: &str) -> Vec<u32> {
    patterns(read, what).iter().map(|pattern| pattern.cast_on).collect()
}

fn notes(read: &Charts, what: &str) -> Vec<Vec<String>> {
    patterns(read, what).iter().map(|pattern| pattern.notes.clone()).collect()
}

/// How many stitches the repeat of each chart has, and how many the edges.
fn multiples(read: &Charts, what: &str) -> Vec<Option<(u32, u32)>> {
    let one = |pattern: &&Pattern| pattern.multiple.map(|multiple| (multiple.of, multiple.plus));
    patterns(read, what).iter().map(one).collect()
}

/// Six stitches, and eight; row 1 of both is worked from the right.
const SIX: &str = ".,.,/,o,.,-,1\n";
const EIGHT: &str = ".,.,.,.,/,o,.,-,1\n";

/// Titles, settings, a key and a sentence of a repeat for each of two charts one below the other, as most sheets have them.
#[test]
fn two_charts_one_below_the_other_have_each_their_own() {
    let sheet = format!(
        "Fence\nCast on: 10\nAll WS rows: Purl.\n\n{SIX}\nRepeat columns 1-4\n\nWall\nCast on: 12\n\n{EIGHT}\n\
         Repeat columns 3-6\n{KEY}"
    );
    let both = read(&sheet);
    assert_eq!(titles(&both, "both"), ["Fence", "Wall"]);
    assert_eq!(cast_ons(&both, "both"), [10, 12]);
    assert_eq!(multiples(&both, "both"), [Some((4, 2)), Some((4, 4))]);
    assert!(!said(&both).iter().any(|said| said.starts_with("belongs-assumed")), "{:?}", said(&both));
    // Each has its key below it, or above, and the sentence comes behind that.
    for (what, fence, wall) in [
        ("below", format!("{SIX}{KEY}"), EIGHT.to_owned()),
        ("above", format!("{KEY}\n{SIX}"), format!("{KEY}\n{EIGHT}")),
    ] {
        let keyed = read(&format!(
            "Fence\nCast on: 10\n\n{fence}\nRepeat columns 1-4\n\nWall\nCast on: 12\n\n{wall}\nRepeat columns 3-6\n"
        ));
        assert_eq!(titles(&keyed, what), ["Fence", "Wall"], "{what}");
        assert_eq!(cast_ons(&keyed, what), [10, 12], "{what}");
        assert_eq!(multiples(&keyed, what), [Some((4, 2)), Some((4, 4))], "{what}");
        // Each sentence was followed, so that none is a note of either chart.
        assert_eq!(notes(&keyed, what), [Vec::<String>::new(), vec![]], "{what}");
    }
    // The heading of the second chart may be longer than what parts it from the first.
    let long = format!(
        "Fence\nCast on: 10\nRepeat columns: 1-4\n\n{SIX}\nWall\nfrom the harbour\nof Skarvik\nCast on: 12\nRepeat columns: \
         3-6\n\n{EIGHT}{KEY}"
    );
    let long = read(&long);
    assert_eq!(titles(&long, "long"), ["Fence", "Wall"]);
    assert_eq!(cast_ons(&long, "long"), [10, 12]);
    assert_eq!(notes(&long, "long"), [vec![], vec!["from the harbour".to_owned(), "of Skarvik".to_owned()]]);
}

#[test]
fn settings_of_charts_side_by_side_go_by_their_columns() {
    for (what, sheet) in [
        ("above", "Title: Fence,,,,,,,,Title: Wall\nCast on: 10,,,,,,,,Cast on: 12\nRepeat columns: 1-4,,,,,,,,Repeat columns: 3-6\n\nCHARTS".to_owned()),
        ("below", "CHARTS\nTitle: Fence,,,,,,,,Title: Wall\nCast on: 10,,,,,,,,Cast on: 12\nRepeat columns: 1-4,,,,,,,,Repeat columns: 3-6\n".to_owned()),
        ("two cells each", "Title,Fence,,,,,,,Title,Wall\nCast on,10,,,,,,,Cast on,12\nRepeat columns,1-4,,,,,,,Repeat columns,3-6\n\nCHARTS".to_owned()),
        ("titles that are none", "Fence,,,,,,,,Wall\nCast on: 10,,,,,,,,Cast on: 12\n\nCHARTS\nRepeat columns 1-4,,,,,,,,Repeat columns 3-6\n".to_owned()),
    ] {
        let sheet = sheet.replace("CHARTS", &format!("{},,{EIGHT}", SIX.trim_end())) + KEY;
        let both = read(&sheet);
        assert_eq!(titles(&both, what), ["Fence", "Wall"], "{what}");
        assert_eq!(cast_ons(&both, what), [10, 12], "{what}");
        assert_eq!(multiples(&both, what), [Some((4, 2)), Some((4, 4))], "{what}");
    }
    // Wall is as high as Fence and, a column further on, Gate below it.
    let three = "Fence,,,,,,,,,Wall
Cast on: 10,,,,,,,,,Cast on: 12
Repeat columns: 1-4,,,,,,,,,Repeat columns: 3-6

.,.,/,o,.,-,1,,,-,-,-,-,-,-,-,-,6
,,,,,,,,,.,.,.,.,.,.,.,.,5
Gate,,,,,,,,,.,.,.,.,.,.,.,.,4
Cast on: 14,,,,,,,,,.,.,.,.,.,.,.,.,3
,.,.,.,.,.,.,2,,.,.,.,.,.,.,.,.,2
,.,.,/,o,.,-,1,,.,.,.,.,/,o,.,-,1
Repeat columns: 1-4
";
    let three = read(&format!("{three}{KEY}"));
    assert_eq!(titles(&three, "three"), ["Fence", "Wall", "Gate"]);
    assert_eq!(cast_ons(&three, "three"), [10, 12, 14]);
    assert_eq!(multiples(&three, "three"), [Some((4, 2)), Some((4, 4)), Some((4, 2))]);
}

/// They may stand below their charts: the last one has nothing but what stands below it.
#[test]
fn settings_below_their_charts_go_to_those() {
    let repeats = format!("Repeat columns: 1-4\n{SIX}");
    for (what, between) in [("right below", "Cast on: 10\n\n"), ("as near to both", "\nCast on: 10\n\n")] {
        let sheet = format!("{repeats}{between}{SIX}\nCast on: 14\n{KEY}");
        let both = read(&sheet);
        assert_eq!(cast_ons(&both, what), [10, 14], "{what}");
        assert!(
            !said(&both).iter().any(|said| said.starts_with("belongs-assumed")),
            "{what}: {:?}",
            said(&both)
        );
    }
    // Of three charts two have a cast-on, and both stand in the middle: the charts below are taken, which is said.
    let three = read(&format!("{repeats}\nCast on: 10\n\n{SIX}\nCast on: 14\n\n{SIX}{KEY}"));
    assert_eq!(cast_ons(&three, "three"), [6, 10, 14]);
    let assumed: Vec<String> =
        said(&three).into_iter().filter(|said| said.starts_with("belongs-assumed")).collect();
    assert_eq!(assumed, ["belongs-assumed 4:1", "belongs-assumed 8:1"]);
}

/// 10 and 14 are both said of the one chart: neither is guessed.
#[test]
fn two_values_for_one_chart_disagree() {
    let sheet = format!("Cast on: 10\nRepeat columns: 1-4\n\n{SIX}\nCast on: 14\n{KEY}");
    let twice = read(&sheet);
    assert!(said(&twice).contains(&"settings-disagree 6:1".to_owned()), "{:?}", said(&twice));
    assert!(twice.charts[0].sound().is_none());
    let same = read(&sheet.replace("14", "10"));
    assert_eq!(cast_ons(&same, "the same twice"), [10]);
}

/// Row 1 of Fence makes 4 stitches of 4, that of Wall 3 of 3.
#[test]
fn counts_go_to_the_rows_that_they_end() {
    let stated = |sheet: &str| -> Vec<Vec<Option<u32>>> {
        let read = read(sheet);
        let of = |pattern: &Pattern| pattern.rows.iter().map(|row| row.stated).collect();
        patterns(&read, sheet).into_iter().map(of).collect()
    };
    let (four, three) = (Some(4), Some(3));
    for (sheet, expected) in [
        (".,o,/,.,1,4 sts,,-,-,.,1,3 sts\n", [four, three]),
        (".,o,/,.,1,4 sts,-,-,.,1,3 sts\n", [four, three]),
        ("4 sts,1,.,o,/,.,,3 sts,1,-,-,.\n", [four, three]),
        ("4 sts,1,.,o,/,.,3 sts,1,-,-,.\n", [four, three]),
        (".,o,/,.,1,,,-,-,.,1,3 sts\n", [None, three]),
        (".,o,/,.,1,4 sts,,-,-,.,1\n", [four, None]),
        ("1,.,o,/,.,4 sts,,1,-,-,.,3 sts\n", [four, three]),
    ] {
        assert_eq!(stated(&format!("{sheet}{KEY}")), expected.map(|count| vec![count]), "{sheet}");
    }
    // Wall has 3 stitches, not 4.
    let wrong = read(&format!(".,o,/,.,1,4 sts,,-,-,.,1,4 sts\n{KEY}"));
    assert!(wrong.charts[0].sound().is_some());
    assert!(wrong.charts[1].findings.iter().any(|finding| finding.code.name() == "stated-count"));
    // A gauge beside the chart counts no row of it, and a remark does not hide a column of counts.
    let gauge = read(&format!(".,o,/,.,2,,Gauge,20 sts\n.,o,/,.,1,,,in stocking stitch\n{KEY}"));
    assert_eq!(notes(&gauge, "gauge"), [["Gauge 20 sts", "in stocking stitch"]]);
    assert_eq!(stated(&format!(".,o,/,.,2,turn,4 sts\n.,o,/,.,1,,4 sts\n{KEY}")), [[four, four]]);
}

#[test]
fn a_sentence_of_a_repeat_goes_to_the_chart_it_stands_nearest_to() {
    let first = format!("{SIX}Repeat columns 1-4\n\n\n{EIGHT}Repeat columns 3-6\n{KEY}");
    assert_eq!(multiples(&read(&first), "each"), [Some((4, 2)), Some((4, 4))]);
    let second = format!("{SIX}\n\n{EIGHT}Repeat columns 3-6\n{KEY}");
    assert_eq!(multiples(&read(&second), "the second"), [None, Some((4, 4))]);
    // It stands in the middle, and nothing else tells whose it is.
    let middle = read(&format!("{SIX}\nRepeat columns 1-4\n\n{EIGHT}{KEY}"));
    assert_eq!(multiples(&middle, "middle"), [None, Some((4, 4))]);
    assert!(said(&middle).contains(&"belongs-assumed 3:1".to_owned()), "{:?}", said(&middle));
    // Two for one chart: the first counts, which is told of the other.
    let twice = read(&format!("Repeat columns 1-4\n{SIX}Repeat columns 2-5\n{KEY}"));
    assert_eq!(multiples(&twice, "twice"), [Some((4, 2))]);
    assert!(said(&twice).contains(&"sentence-not-followed 3:1".to_owned()), "{:?}", said(&twice));
}

/// A merged cell that says "rep", over columns 1-4 of two charts.
#[test]
fn a_bracket_belongs_to_one_chart() {
    let bracket = ",,rep>4\n";
    let below = merged(&format!("{SIX}{bracket}\n\n{SIX}{KEY}"));
    assert_eq!(multiples(&below, "below"), [Some((4, 2)), None]);
    let each = merged(&format!("{SIX}{bracket}\n{SIX}{bracket}{KEY}"));
    assert_eq!(multiples(&each, "each"), [Some((4, 2)), Some((4, 2))]);
    let middle = merged(&format!("{SIX}\n{bracket}\n{SIX}{KEY}"));
    assert_eq!(multiples(&middle, "middle"), [None, Some((4, 2))]);
    assert!(said(&middle).iter().any(|said| said.starts_with("belongs-assumed")), "{:?}", said(&middle));
}

/// A sheet from lines with commas: `>4` behind the text of a cell is how many it is merged over.
fn merged(sheet: &str) -> Charts {
    let cell = |cell: &str| {
        let (text, span) = cell.split_once('>').unwrap_or((cell, "1"));
        let content = if text.is_empty() { String::new() } else { format!("<text:p>{text}</text:p>") };
        let covered = "<table:covered-table-cell/>".repeat(span.parse::<usize>().unwrap() - 1);
        format!(
            "<table:table-cell table:number-columns-spanned=\"{span}\" office:value-type=\"string\">{content}</table:table-cell>{covered}"
        )
    };
    let row = |line: &str| -> String { line.split(',').map(cell).collect() };
    let rows: String =
        sheet.lines().map(|line| format!("<table:table-row>{}</table:table-row>", row(line))).collect();
    let document = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><office:document \
         xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" \
         xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\" \
         xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" \
         office:mimetype=\"application/vnd.oasis.opendocument.spreadsheet\">\
         <office:body><office:spreadsheet><table:table table:name=\"Chart\">{rows}</table:table></office:spreadsheet></office:body>\
         </office:document>"
    );
    let none = Settings::default();
    convert::charts(&Arc::from("sheet.fods"), document.as_bytes(), None, &none, &none)
}

/// Fence has seven columns and Wall nine, each with its numbers below: Wall's column 1 is its last one.
#[test]
fn numbers_of_columns_belong_to_one_chart() {
    let fence = ".,.,.,-,o,/,.,3\n.,.,.,-,o,/,.,1\n";
    let wall = ".,.,.,.,.,-,o,/,.,3\n.,.,.,.,.,-,o,/,.,1\n";
    let sheet = format!(
        "{fence}7,6,5,4,3,2,1\nRepeat columns: 2-5\n\n{wall}9,8,7,6,5,4,3,2,1\nRepeat columns: 2-5\n{KEY}"
    );
    let both = read(&sheet);
    // K1, [k2tog, yo, p1, k1] ..., in both.
    for pattern in patterns(&both, "below") {
        let repeat = pattern.rows[0].repeat.as_ref().unwrap();
        assert_eq!((pattern.multiple.unwrap().of, repeat.start), (4, 1), "{:?}", pattern.rows[0]);
    }
    // Where Wall has no numbers, those of Fence are none of its own.
    let one = read(&sheet.replace("9,8,7,6,5,4,3,2,1\n", ""));
    for pattern in patterns(&one, "one") {
        let repeat = pattern.rows[0].repeat.as_ref().unwrap();
        assert_eq!((pattern.multiple.unwrap().of, repeat.start), (4, 1));
    }
}

#[test]
fn a_line_below_a_chart_is_no_title_of_the_next() {
    let sheet = format!("Fence\n\n{SIX}Wash gently.\n\n\nWall\n\n{EIGHT}{KEY}");
    let both = read(&sheet);
    assert_eq!(titles(&both, "both"), ["Fence", "Wall"]);
    assert_eq!(notes(&both, "both"), [vec!["Wash gently."], vec![]]);
    let untitled = read(&sheet.replace("Wall\n", ""));
    assert_eq!(titles(&untitled, "untitled"), ["Fence", "sheet"]);
    assert_eq!(notes(&untitled, "untitled"), [vec!["Wash gently."], vec![]]);
}

/// A key beside both charts fills no blank line between them.
#[test]
fn a_key_beside_the_charts_parts_no_lines() {
    let entries = "Key\n.,knit\n-,purl\n/,k2tog\no,yarn over\n";
    let lines = format!("Fence\n\n{SIX}\n\nWall\n\n{SIX}");
    let key = entries.lines().map(|entry| format!(",,{entry}"));
    let beside: String = lines
        .lines()
        .zip([String::new(), String::new()].into_iter().chain(key).chain(std::iter::repeat(String::new())))
        .map(|(line, entry)| format!("{line}{}{entry}\n", ",".repeat(6 - line.matches(',').count())))
        .collect();
    let both = read(&beside);
    assert_eq!(titles(&both, &beside), ["Fence", "Wall"]);
    assert_eq!(notes(&both, &beside), [Vec::<String>::new(), vec![]]);
}

/// Each of these stands between two charts: whose it is, as its lines lie.
#[test]
fn lines_between_two_charts_go_by_the_blank_ones() {
    for (between, title, above) in [
        ("\nGate\n\n", "Gate", &[][..]),
        ("\nGate\n\n\n", "Gate", &[]),
        ("\nGate\nHand: right\n\n\n\n", "Gate", &[]),
        ("\nGate\n\nHand: right\n\n", "Gate", &[]),
        ("\nGate\n\nAll WS rows: Purl.\n\n", "Gate", &[]),
        ("\n\nGate\n\n", "Gate", &[]),
        ("Gate\n", "Gate", &[]),
        ("\nBlock it.\n\n\n\n", "sheet", &["Block it."]),
        ("Block it.\n\n", "sheet", &["Block it."]),
        ("Block it.\n\nGate\n\n", "Gate", &["Block it."]),
        ("\nBlock it.\n\nGate\nfor the garden\n\n", "Gate", &["Block it."]),
        ("Block it.\nGate\n", "Gate", &["Block it."]),
    ] {
        let both = read(&format!("Fence\n\n{SIX}{between}{EIGHT}{KEY}"));
        assert_eq!(titles(&both, between), ["Fence", title], "{between:?}");
        assert_eq!(notes(&both, between)[0], above, "{between:?}");
    }
}

/// "z" names no stitch; the first chart alone uses it. "q" is used by none.
#[test]
fn an_entry_is_unused_where_no_chart_uses_it() {
    let sheet = format!(".,z,1\n\n\n.,.,1\n{KEY}z,frobnicate\nq,twiddle\n");
    let both = read(&sheet);
    let said = said(&both);
    let of = |code: &str| said.iter().filter(|said| said.starts_with(code)).count();
    assert_eq!((of("unknown-key-words"), of("unused-key-entry")), (1, 1), "{said:?}");
    assert!(said.contains(&"unused-key-entry 12:2".to_owned()), "{said:?}");
}

/// An entry that says two things concerns every chart of the sheet: each that is not written says why.
#[test]
fn a_key_that_disagrees_is_told_for_each_chart() {
    let both = read(&format!(".,.,1\n\n\n.,.,1\n{KEY}.,purl\n"));
    for chart in &both.charts {
        assert!(chart.sound().is_none());
        assert!(
            chart.findings.iter().any(|finding| finding.code.name() == "keys-disagree"),
            "{:?}",
            chart.findings
        );
    }
}

/// What is said once serves every chart of the sheet, unless it stands under the title of one that is not the first: "Cable"
/// above the second is its own, and so is what follows; a title above all charts may be that of the sheet.
#[test]
fn what_stands_under_the_title_of_a_chart_is_said_of_that_one() {
    let worked = |sheet: &str| {
        let read = read(sheet);
        patterns(&read, sheet).iter().map(|pattern| pattern.worked).collect::<Vec<_>>()
    };
    use longhand::pattern::Worked::{Flat, Round};
    for said in ["Worked: in the round", "Worked in the round.", "\nWorked: in the round"] {
        // Under the title of the second of two, of the third of three, and under that of all.
        let second = format!("Edge\n{SIX}\nPanel\n{said}\n{EIGHT}{KEY}");
        assert_eq!(worked(&second), [Flat, Round], "{second}");
        let third = format!("Edge\n{SIX}\nPanel\n{EIGHT}\nTop\n{said}\n{SIX}{KEY}");
        assert_eq!(worked(&third), [Flat, Flat, Round], "{third}");
        let all = format!("Foam Sock\n{said}\n{SIX}\nPanel\n{EIGHT}{KEY}");
        assert_eq!(worked(&all), [Round, Round], "{all}");
        // Without a title, and below the charts.
        let between = format!("Edge\n{SIX}\n{said}\n{EIGHT}{KEY}");
        assert_eq!(worked(&between), [Round, Round], "{between}");
        let below = format!("Edge\n{SIX}\nPanel\n{EIGHT}\n{said}\n{KEY}");
        assert_eq!(worked(&below), [Round, Round], "{below}");
    }
    // Side by side.
    let row = SIX.trim_end();
    let beside = format!("Edge,,,,,,,,,Panel\n,,,,,,,,,Worked: in the round\n{row},,,{row}\n{KEY}");
    assert_eq!(worked(&beside), [Flat, Round], "{beside}");
    // Side by side the first has its own title too, unless that of the other stands further down.
    let first = format!("Edge,,,,,,,,,Panel\nWorked: in the round\n{row},,,{row}\n{KEY}");
    assert_eq!(worked(&first), [Round, Flat], "{first}");
    let sheet = format!("Foam Sock\nWorked: in the round\n\nEdge,,,,,,,,,Panel\n{row},,,{row}\n{KEY}");
    assert_eq!(worked(&sheet), [Round, Round], "{sheet}");
    // Below the title of the sheet stands that of the first chart, and the other has one as well: that is told.
    for said in ["Worked: in the round", "Worked in the round."] {
        let own = format!("Foam Sock\n\nEdge\n{said}\n\n{SIX}\nPanel\n{EIGHT}{KEY}");
        assert_eq!(worked(&own), [Round, Flat], "{own}");
        assert!(self::said(&read(&own)).contains(&"belongs-assumed 4:1".to_owned()), "{own}");
        let untitled = format!("Foam Sock\n\nby the sea\n{said}\n\n{SIX}\n\n{EIGHT}{KEY}");
        assert_eq!(worked(&untitled), [Round, Round], "{untitled}");
    }
    // What stands above the titles of all charts is said of all.
    let prose = format!("Foam Sock\n\nby the sea\nWorked: in the round\n\nEdge\n{SIX}\nPanel\n{EIGHT}{KEY}");
    assert_eq!(worked(&prose), [Round, Round], "{prose}");
    let above = format!(
        "Foam Sock,,,,,,,,,by the sea\nWorked: in the round\n\nEdge,,,,,,,,,Panel\n{row},,,{row}\n{KEY}"
    );
    assert_eq!(worked(&above), [Round, Round], "{above}");
    // A cast-on that only the second can have.
    let read = read(&format!("Edge\n{SIX}\nPanel\nCast on: 8\n{EIGHT}{KEY}"));
    assert_eq!(cast_ons(&read, "a cast-on"), [6, 8]);
}

/// A title that is set is one like any other: what stands under it is said of its chart, and said once it is that of the chart
/// it stands above.
#[test]
fn titles_that_are_set_head_their_charts() {
    let in_rounds = |read: &Charts| -> Vec<bool> {
        patterns(read, "").iter().map(|pattern| pattern.worked == Worked::Round).collect()
    };
    for (first, second) in [
        ("Title: Cuff", "Title: Hand\nWorked: in the round"),
        ("Cuff", "Title: Hand\nWorked: in the round"),
        ("Title: Cuff", "Hand\nWorked: in the round"),
        ("Title: Cuff", "Title: Hand\n\nWorked: in the round"),
        ("Title: Cuff", "Title: Hand\nWorked in the round."),
    ] {
        let sheet = format!("{first}\n\n{SIX}\n\n{second}\n\n{EIGHT}{KEY}");
        let read = read(&sheet);
        assert_eq!(titles(&read, &sheet), ["Cuff", "Hand"], "{sheet}");
        assert_eq!(in_rounds(&read), [false, true], "{sheet}");
    }
    // Above all charts, with no other title, it is that of the sheet, and so is what stands there.
    let read = read(&format!("Title: Mitten\nWorked: in the round\n\n{SIX}\n\n{EIGHT}{KEY}"));
    assert_eq!((titles(&read, ""), in_rounds(&read)), (vec!["Mitten".to_owned(); 2], vec![true; 2]));
}
