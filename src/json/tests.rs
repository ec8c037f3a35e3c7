use std::sync::Arc;

use proptest::prelude::*;
use serde_json::json;

use super::*;
use crate::pattern::{self, Multiple, Side, Worked};
use crate::place::{Address, Place, Span, Spot};
use crate::problem::Code;
use crate::stitch::OwnStitch;

fn file() -> Arc<str> {
    Arc::from("charts/scarf.json")
}

/// A lace row of 11 stitches and its return row, 5 + 6, as a chart gives them.
fn lace() -> Pattern {
    let mut stitches = Stitches::built_in();
    let mut ids = |names: &[&str]| names.iter().map(|name| stitches.find(name).unwrap()).collect::<Vec<_>>();
    let cells = |row| Place {
        file: Arc::from("scarf.xlsx"),
        spot: Spot::Cells {
            sheet: Arc::from("Lace"),
            cells: Span::new(Address::new(row, 1), Address::new(row, 11)),
        },
    };
    let row = |number, side, charted, stitches| pattern::Row {
        number,
        side,
        charted,
        stitches,
        place: cells(6),
        cells: Vec::new(),
        stated: None,
        repeat: None,
    };
    // The UK word for a yarn over is only a word: JSON names the yarn over.
    let first = row(1, Side::Rs, true, ids(&["k", "k", "yfwd", "ssk", "k", "k", "k", "k", "k", "k", "k"]));
    let second = row(2, Side::Ws, false, ids(&["p"; 11]));
    Pattern {
        title: "Scarf".into(),
        source: Arc::from("scarf.xlsx"),
        chart: None,
        worked: Worked::Flat,
        hand: Hand::Right,
        cast_on: 11,
        multiple: Some(Multiple { of: 6, plus: 5 }),
        sizes: Vec::new(),
        rows: vec![pattern::Row { stated: Some(11), ..first }, second],
        notes: Vec::new(),
        stitches,
    }
}

/// Two knits in navy and one in cream are two runs; work that names no colours is read as well, and wrong ones are told.
#[test]
fn work_names_the_colours_of_its_runs() {
    let document = |work: &str| {
        format!(
            r#"{{"format": "longhand.pattern/1", "worked": "flat", "rows": [{{"number": 1, "side": "RS",
                "stitches": ["k", "k", "k"], "colours": ["navy", "navy", "cream"], "work": {work}}}]}}"#
        )
    };
    let read = |work: &str| super::read(&file(), document(work).as_bytes(), &Stitches::built_in());
    let coloured = r#"[{"stitch":"k","colour":"navy","times":2},{"stitch":"k","colour":"cream","times":1}]"#;
    let (patterns, findings) = read(coloured);
    assert_eq!(findings, []);
    let value = pattern(&patterns[0], &[], &[]);
    assert_eq!(value["rows"][0]["work"], serde_json::from_str::<Value>(coloured).unwrap());
    assert_eq!(read(r#"[{"stitch":"k","times":3}]"#).1, []);
    let wrong = read(r#"[{"stitch":"k","colour":"navy","times":3}]"#).1;
    assert_eq!(wrong.len(), 1);
    assert!(wrong[0].message.contains("differ from stitch 3 on"), "{}", wrong[0].message);
}

/// The example was typed by hand from the contract and is checked against the schema by
/// `scripts/outside/json_schema.py`.
#[test]
fn a_pattern_has_the_stated_form() {
    let lace = lace();
    let k = Stitches::K;
    let run = |stitch, times| Item::Run { stitch, extent: Extent::Times(times) };
    let ssk = lace.stitches.known("ssk").unwrap();
    let repeat =
        Item::Repeat { items: vec![run(Stitches::YO, 1), run(ssk, 1), run(k, 4)], extent: Extent::Times(1) };
    let work = vec![vec![run(k, 2), repeat, run(k, 3)], vec![run(Stitches::P, 11)]];
    let finding = Finding::new(Code::RightSideOnly, Place::file(&lace.source), "Every second row is drawn.");
    let value = pattern(&lace, &work, &[&finding.row(2)]);
    assert_eq!(render(vec![value]), include_str!("../../tests/schema/scarf.json"));
}

#[test]
fn a_row_that_is_open_or_not_folded_is_given_as_runs() {
    let lace = lace();
    let open = vec![Item::Run { stitch: Stitches::K, extent: Extent::ToLast(0) }];
    let value = pattern(&lace, &[open], &[]);
    assert_eq!(
        value["rows"][0]["work"],
        json!([{"stitch": "k", "times": 2}, {"stitch": "yo", "times": 1}, {"stitch": "ssk", "times": 1},
               {"stitch": "k", "times": 7}])
    );
    assert_eq!(value["rows"][1]["work"], json!([{"stitch": "p", "times": 11}]));
}

fn read_text(text: &str) -> (Vec<Pattern>, Vec<Finding>) {
    read(&file(), text.as_bytes(), &Stitches::built_in())
}

fn small(rows: &str) -> String {
    format!("{{\"format\": \"longhand.pattern/1\", \"worked\": \"flat\",\n \"rows\": [\n{rows}\n]}}")
}

fn plain_row(number: u32, side: &str) -> String {
    format!("{{\"number\": {number}, \"side\": \"{side}\", \"stitches\": [\"k\"]}}")
}

#[test]
fn what_is_not_said_is_worked_out() {
    let (patterns, findings) =
        read_text(&small(r#"{"number": 1, "side": "WS", "stitches": ["p", "p2tog", "2/2rc"]}"#));
    assert_eq!(findings, []);
    let [pattern] = &patterns[..] else { panic!("one pattern") };
    assert_eq!((pattern.title.as_str(), &*pattern.source), ("scarf", "charts/scarf.json"));
    assert_eq!((pattern.cast_on, pattern.rows[0].charted, pattern.rows[0].side), (7, true, Side::Ws));
    assert_eq!(pattern.rows[0].place, Place::line(&file(), 3, 1));
}

/// A pattern of one row, 11 knit stitches, that says a multiple of 6 sts + 5 and this cast-on and these sizes.
fn wide(cast_on: u32, sizes: &str) -> String {
    let stitches = ["\"k\""; 11].join(", ");
    small(&format!("{{\"number\": 1, \"side\": \"RS\", \"stitches\": [{stitches}]}}")).replace(
        "\"rows\"",
        &format!(
            "\"cast_on\": {cast_on}, \"multiple\": {{\"of\": 6, \"plus\": 5}}, \"sizes\": {sizes}, \"rows\""
        ),
    )
}

/// 6 sts + 5 are 11, 17, 23: what a text says that is not so is a warning, and its JSON says it again.
#[test]
fn a_cast_on_that_is_not_the_multiple_is_told() {
    let told = |cast_on: u32| {
        let (patterns, findings) = read_text(&wide(cast_on, "[]"));
        assert_eq!(patterns[0].multiple, Some(Multiple { of: 6, plus: 5 }));
        findings.into_iter().map(|finding| (finding.code, finding.message)).collect::<Vec<_>>()
    };
    assert_eq!(told(11), []);
    let message = "The cast-on of 12 sts is not a multiple of 6 sts + 5 at multiple.".to_owned();
    assert_eq!(told(12), [(Code::MultipleMismatch, message)]);
}

/// Each wrong file, where the finding is, and what it says.
#[test]
fn what_is_wrong_is_told_by_path_and_line() {
    let row = |fields: &str| small(&format!("{{\"number\": 3, \"side\": \"RS\", {fields}}}"));
    for (text, place, words) in [
        ("", "1, column 1", "The JSON is not a pattern: EOF while parsing a value."),
        ("{\n", "2, column 1", "EOF while parsing"),
        ("[]", "1, column 1", "The JSON holds no pattern."),
        ("[{}]", "1, column 2", "The JSON is not in the format longhand.pattern/1 at [0]."),
        ("{\"format\": \"longhand.pattern/2\"}", "1, column 1", "not in the format"),
        (
            "{\"format\": \"longhand.pattern/1\", \"worked\": \"flat\"}",
            "1, column 50",
            "missing field `rows`",
        ),
        (&small(""), "1, column 1", "The pattern has no rows at rows."),
        (
            "{\"format\": \"longhand.pattern/1\",\n\"worked\": \"sideways\"}",
            "2, column 20",
            "at worked: unknown variant `sideways`",
        ),
        (
            &row("\"stitches\": [\"k\", \"K2TOG\"]"),
            "3, column 1",
            "\"K2TOG\" is no stitch that longhand knows at rows[0].stitches[1].",
        ),
        (&row("\"stitches\": [\"ns\"]"), "3, column 1", "\"ns\" is no stitch"),
        (
            &row("\"stitches\": [\"k\", 3]"),
            "3, column 47",
            "at rows[0].stitches[1]: invalid type: integer `3`",
        ),
        (
            &row("\"stitches\": [\"k2tog\"], \"uses\": 1"),
            "3, column 1",
            "Row 3 uses 2 loops by its stitches, but 1 are given at rows[0].uses.",
        ),
        (&row("\"stitches\": [\"yo\"], \"makes\": 0"), "3, column 1", "Row 3 makes 1 loops"),
        (
            &row("\"stitches\": [\"k\", \"p\"], \"work\": [{\"stitch\": \"k\", \"times\": 2}]"),
            "3, column 1",
            "In row 3 the work and the stitches differ from stitch 2 on at rows[0].work.",
        ),
        (
            &row("\"stitches\": [\"k\"], \"work\": [{\"times\": 2}]"),
            "3, column 1",
            "neither one stitch nor one repeat",
        ),
        (
            &row("\"stitches\": [\"k\"], \"work\": [{\"stitch\": \"k\", \"times\": 4000000000}]"),
            "3, column 1",
            "the work uses other loops",
        ),
        (
            &row("\"stitches\": [\"k\"], \"where\": {\"file\": \"a.xlsx\", \"cells\": \"B7\"}"),
            "3, column 1",
            "This names no place in a file at rows[0].where.",
        ),
        (
            &small(&(plain_row(1, "RS") + ",\n" + &plain_row(3, "RS"))),
            "4, column 1",
            "Row 2 was due, not row 3 at rows[1].number.",
        ),
        (
            &small(&(plain_row(5, "RS") + ",\n" + &plain_row(5, "WS"))),
            "4, column 1",
            "Row 6 was due, not row 5",
        ),
        (
            &small(&plain_row(1, "WS")).replace("flat", "round"),
            "3, column 1",
            "Every round is worked from the right side at rows[0].side.",
        ),
        (
            &small(&plain_row(1, "RS"))
                .replace("\"rows\"", "\"multiple\": {\"of\": 0, \"plus\": 1}, \"rows\""),
            "1, column 1",
            "A multiple of 0 stitches is no width at multiple.of.",
        ),
        (
            &small(&plain_row(1, "RS")).replace(
                "\"rows\"",
                "\"sizes\": [{\"name\": \"S\", \"times\": 0, \"cast_on\": 1}], \"rows\"",
            ),
            "1, column 1",
            "Size S works the repeat no times at sizes[0].times.",
        ),
        (
            &wide(11, "[{\"name\": \"S\", \"times\": 3, \"cast_on\": 23}]"),
            "1, column 1",
            "The rows are those of size S, which casts on 23 sts, but the pattern casts on 11 at sizes[0].cast_on.",
        ),
        (
            &wide(
                11,
                "[{\"name\": \"S\", \"times\": 1, \"cast_on\": 11}, {\"name\": \"M\", \"times\": 2, \"cast_on\": 23}]",
            ),
            "1, column 1",
            "Size M works the repeat 2 times, which takes 17 sts, but casts on 23 at sizes[1].cast_on.",
        ),
    ] {
        let (patterns, findings) = read_text(text);
        assert!(patterns.is_empty(), "{text}");
        let [finding] = &findings[..] else { panic!("one finding in {text}: {findings:?}") };
        assert_eq!(finding.code, Code::WrongJson);
        assert_eq!(finding.place.to_string(), format!("charts/scarf.json, line {place}"), "{text}");
        assert!(finding.message.contains(words), "{text}: {}", finding.message);
        assert!(!finding.help.is_empty());
    }
    let (_, findings) = read(&file(), b"{\"format\":\n \"\xff\"}", &Stitches::built_in());
    assert_eq!(findings[0].place, Place::line(&file(), 2, 3));
}

#[test]
fn a_wrong_pattern_does_not_hide_the_others() {
    let good = small(r#"{"number": 1, "side": "RS", "stitches": ["k"]}"#);
    let bad = small(r#"{"number": 1, "side": "RS", "stitches": ["kk"]}"#);
    let (patterns, findings) = read_text(&format!("\u{feff}[{bad}, {good}]"));
    assert_eq!((patterns.len(), findings.len()), (1, 1));
    assert!(findings[0].message.ends_with("at [0].rows[0].stitches[0]."), "{}", findings[0].message);
    assert_eq!(findings[0].row, Some(1));
}

/// `mb` stands three times in row 1 and once in row 2, `zz` once.
#[test]
fn a_stitch_that_is_not_known_is_told_once() {
    let row = |number: u32, side: &str, stitches: &str| {
        format!("{{\"number\": {number}, \"side\": \"{side}\", \"stitches\": [{stitches}]}}")
    };
    let text =
        small(&[row(1, "RS", "\"mb\", \"k\", \"mb\", \"mb\""), row(2, "WS", "\"zz\", \"mb\"")].join(",\n"));
    let (patterns, findings) = read_text(&text);
    assert!(patterns.is_empty());
    let told: Vec<_> = findings.iter().map(|finding| (finding.row, finding.message.as_str())).collect();
    assert_eq!(
        told,
        [
            (
                Some(1),
                "\"mb\" is no stitch that longhand knows at rows[0].stitches[0]. It stands in 3 more places."
            ),
            (Some(2), "\"zz\" is no stitch that longhand knows at rows[1].stitches[0]."),
        ]
    );
}

/// Places counted by hand: a row is 46 letters long, and the second pattern begins on the line on which the first ends.
#[test]
fn rows_without_a_place_stand_where_the_file_has_them() {
    let rows = format!("{},  {},\n\n  {}", plain_row(1, "RS"), plain_row(2, "WS"), plain_row(3, "RS"));
    let text = small(&rows);
    let (patterns, findings) = read_text(&format!("[{text}, {text}]"));
    assert_eq!(findings, []);
    let places = |pattern: &Pattern| pattern.rows.iter().map(|row| row.place.clone()).collect::<Vec<_>>();
    let lines = |lines: [(u32, u32); 3]| lines.map(|(line, column)| Place::line(&file(), line, column));
    assert_eq!(places(&patterns[0]), lines([(3, 1), (3, 50), (5, 3)]));
    assert_eq!(places(&patterns[1]), lines([(8, 1), (8, 50), (10, 3)]));
    // What is wrong with a pattern stands before its rows.
    let wrong = text.replace("\"rows\"", "\"multiple\": {\"of\": 0, \"plus\": 1}, \"rows\"");
    let (_, findings) = read_text(&format!("[{text},\n  {wrong}]"));
    assert_eq!(findings[0].place, Place::line(&file(), 7, 3));
}

/// Three repeats of 2 and 1 stitch outside them; row 2 widens each to 3, row 3 tells nothing, row 4 works on 3.
#[test]
fn the_repeat_is_told_from_the_work() {
    let run = |stitch: &str, times: u32| json!({"stitch": stitch, "times": times});
    let repeat = |work: Vec<serde_json::Value>, times: u32| json!({"repeat": work, "times": times});
    let row = |number: u32, stitches: &str, work: Vec<serde_json::Value>| {
        let stitches: Vec<&str> = stitches.split(' ').collect();
        json!({"number": number, "side": "RS", "stitches": stitches, "work": work})
    };
    let value = json!({
        "format": FORMAT, "worked": "round", "cast_on": 7, "multiple": {"of": 2, "plus": 1},
        "rows": [
            row(1, "k p k p k p k", vec![repeat(vec![run("k", 1), run("p", 1)], 3), run("k", 1)]),
            row(2, "p k k yo k k yo k k yo", vec![run("p", 1), repeat(vec![run("k", 2), run("yo", 1)], 3)]),
            row(3, "k k k k k k k k k k", vec![run("k", 10)]),
            row(4, "k k2tog k p p k p p k p", vec![
                run("k", 1), run("k2tog", 1), repeat(vec![run("k", 1), run("p", 2)], 2), run("k", 1), run("p", 1)]),
        ]
    });
    let (patterns, findings) = read_text(&value.to_string());
    assert_eq!(findings, []);
    let told: Vec<_> = patterns[0].rows.iter().map(|row| row.repeat).collect();
    let marked = |start, length| Some(pattern::RowRepeat { start, length, times: 3 });
    assert_eq!(told, [marked(0, 2), marked(1, 3), None, None]);
}

/// A row says where its repeat is, were it worked once or told in one run; a repeat that is none is an error.
#[test]
fn the_repeat_of_a_row_is_as_it_says() {
    let row = |repeat: &str| {
        small(&format!(
            "{{\"number\": 1, \"side\": \"RS\", \"stitches\": [\"p\", \"k\", \"k\", \"k\", \"k\"], \"repeat\": {repeat}}}"
        ))
    };
    for (start, length, times) in [(1, 2, 2), (1, 2, 1), (2, 1, 3), (0, 5, 1)] {
        let said = format!("{{\"start\": {start}, \"length\": {length}, \"times\": {times}}}");
        let (patterns, findings) = read_text(&row(&said));
        assert_eq!(findings, []);
        assert_eq!(patterns[0].rows[0].repeat, Some(pattern::RowRepeat { start, length, times }));
        let again = pattern(&patterns[0], &[], &[]);
        assert_eq!(again["rows"][0]["repeat"], json!({"start": start, "length": length, "times": times}));
    }
    for (start, length, times) in [(0, 2, 2), (1, 2, 3), (1, 0, 2), (1, 2, 0), (9, 1, 1)] {
        let said = format!("{{\"start\": {start}, \"length\": {length}, \"times\": {times}}}");
        let (patterns, findings) = read_text(&row(&said));
        assert!(patterns.is_empty());
        assert!(findings[0].message.ends_with("at rows[0].repeat."), "{}", findings[0].message);
    }
}

#[test]
fn stitches_of_ones_own_are_known_by_the_settings() {
    let text = small(r#"{"number": 1, "side": "RS", "stitches": ["Bobble"]}"#);
    assert!(read_text(&text).0.is_empty());
    let own = OwnStitch { name: "Bobble".into(), ..OwnStitch::default() };
    let (patterns, findings) = read(&file(), text.as_bytes(), &Stitches::with_own(&[own]));
    assert_eq!((patterns.len(), findings), (1, Vec::new()));
}

prop_compose! {
    fn any_place()(kind in 0..4, sheet in "[A-Za-z ]{1,8}", row in 0..2_000_000u32, column in 0..20_000u32,
                   height in 0..3u32, width in 0..30u32, path in "[a-z/]{1,9}\\.(xlsx|csv)") -> Place {
        let (sheet, first) = (Arc::from(sheet.as_str()), Address::new(row, column));
        let spot = match kind {
            0 => Spot::File,
            1 => Spot::Sheet { sheet },
            2 => Spot::Cells { sheet, cells: Span::new(first, Address::new(row + height, column + width)) },
            _ => Spot::Line { line: row + 1, column: column + 1 },
        };
        Place { file: Arc::from(path.as_str()), spot }
    }
}

/// Names of built-in stitches, of cables, and of the designer's own.
fn any_name() -> impl Strategy<Value = String> {
    let names: Vec<String> = Stitches::every()
        .filter(|(_, stitch)| stitch.name != "ns" && stitch.form_of.is_none())
        .map(|(_, stitch)| stitch.name.clone())
        .chain(["2/2rc", "2/1lpc", "2/1/2rpc", "1/1lt", "mb", "Big \"B\""].map(str::to_owned))
        .collect();
    proptest::sample::select(names)
}

prop_compose! {
    fn any_pattern()(title in ".{0,12}", chart in proptest::option::of("[A-Z]{1,2}"), round: bool, left: bool,
                     cast_on in 0..500u32, multiple in proptest::option::of((1..40u32, 0..40u32)),
                     sizes in proptest::collection::vec(("[A-Z]{1,3}", 1..9u32), 0..3),
                     notes in proptest::collection::vec(".{0,9}", 0..3),
                     first in 0..9999u32,
                     rows in proptest::collection::vec(
                        (any::<bool>(), any::<bool>(), any_place(),
                         proptest::option::of(0..99u32), proptest::collection::vec(any_name(), 0..12)), 1..6))
                     -> Pattern {
        let mut stitches = own();
        let multiple = multiple.map(|(of, plus)| Multiple { of, plus });
        // What is said of the width agrees: the first size is that of the rows, and each is as wide as its repeats.
        let width = |times: u32| multiple.map_or(cast_on + times, |multiple| multiple.width(times));
        let cast_on = match (sizes.first(), multiple) {
            (Some((_, times)), _) => width(*times),
            (None, Some(_)) => width(1 + cast_on % 9),
            (None, None) => cast_on,
        };
        let rows = rows
            .into_iter()
            .zip(first..)
            .map(|((ws, charted, place, stated, names), number)| pattern::Row {
                number,
                side: if ws && !round { Side::Ws } else { Side::Rs },
                charted,
                stitches: names.iter().map(|name| stitches.find(name).unwrap()).collect(),
                place,
                cells: Vec::new(),
                stated,
                repeat: None,
            })
            .collect();
        Pattern {
            title,
            source: Arc::from("charts/a.xlsx"),
            chart: chart.as_deref().map(Arc::from),
            worked: if round { Worked::Round } else { Worked::Flat },
            hand: if left { Hand::Left } else { Hand::Right },
            cast_on,
            multiple,
            sizes: sizes.into_iter()
                .map(|(name, times)| pattern::Size { name, times, cast_on: width(times) }).collect(),
            rows,
            notes,
            stitches,
        }
    }
}

fn own() -> Stitches {
    Stitches::with_own(
        &["mb", "Big \"B\""].map(|name| OwnStitch { name: name.into(), ..OwnStitch::default() }),
    )
}

proptest! {
    /// Whatever is written is read again as the same pattern, alone or among others.
    #[test]
    fn patterns_are_read_as_they_were_written(first in any_pattern(), second in any_pattern()) {
        let values = vec![pattern(&first, &[], &[]), pattern(&second, &[], &[])];
        for (values, patterns) in [(values[..1].to_vec(), vec![&first]), (values, vec![&first, &second])] {
            let text = render(values);
            let (read, findings) = read(&file(), text.as_bytes(), &own());
            prop_assert_eq!(findings, vec![]);
            prop_assert_eq!(read.len(), patterns.len());
            for (read, written) in read.iter().zip(patterns) {
                // Stitch numbers are given in the order met, which the file keeps.
                prop_assert_eq!(read, written);
            }
        }
    }

    /// No bytes whatever stop the reader.
    #[test]
    fn any_bytes_are_read_or_told(bytes in proptest::collection::vec(any::<u8>(), 0..60), text in "[\\[\\]{}:,\"a-z0-9]{0,40}") {
        for bytes in [&bytes[..], text.as_bytes()] {
            let (patterns, findings) = read(&file(), bytes, &own());
            prop_assert!(patterns.is_empty() && !findings.is_empty());
        }
    }
}
