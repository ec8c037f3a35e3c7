//! Charts that longhand draws: each read again gives the rows it was drawn from, and looks as a charter would draw it.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

use std::path::{Path, PathBuf};
use std::sync::Arc;

use longhand::convert::{self, Chart, Charts, Format};
use longhand::draw::Sheet;
use longhand::pattern::Pattern;
use longhand::problem::Code;
use longhand::settings::{self, Settings};
use longhand::style;
use proptest::prelude::*;

fn read(name: &str, bytes: &[u8], settings: &Settings) -> Charts {
    convert::charts(&Arc::from(name), bytes, None, settings, &Settings::default())
}

/// All that a chart says of a row: number, side, and every stitch in its colour.
fn rows(pattern: &Pattern) -> Vec<(u32, &'static str, Vec<String>)> {
    let named = |id| {
        let stitch = pattern.stitches.get(id);
        let plain = &pattern.stitches.get(pattern.stitches.plain(id)).name;
        format!(
            "{plain}{}",
            stitch.colour.as_deref().map(|colour| format!(" in {colour}")).unwrap_or_default()
        )
    };
    let row = |row: &longhand::pattern::Row| {
        (row.number, row.side.word(), row.stitches.iter().map(|&id| named(id)).collect())
    };
    pattern.rows.iter().map(row).collect()
}

/// Draws a chart and reads it again.
#[track_caller]
fn again(chart: &Chart, sheet: Sheet) -> Pattern {
    let (bytes, findings) = convert::drawn(&[chart], sheet);
    assert_eq!(findings, []);
    let own = Settings { stitches: chart.settings.stitches.clone(), ..Settings::default() };
    let read = read(&format!("drawn.{}", sheet.name()), &bytes.unwrap(), &own);
    let [again] = &read.charts[..] else { panic!("one chart: {:?}", read.findings) };
    again.sound().unwrap_or_else(|| panic!("{:?}", again.findings)).clone()
}

#[track_caller]
fn same(one: &Pattern, two: &Pattern) {
    assert_eq!(rows(one), rows(two), "{}", one.title);
    assert_eq!((&one.title, one.worked, one.hand), (&two.title, two.worked, two.hand));
    assert_eq!(one.cast_on, two.cast_on, "{}", one.title);
}

fn json(text: &str) -> Chart {
    let mut read = read("pattern.json", text.as_bytes(), &Settings::default());
    assert_eq!(read.findings, []);
    read.charts.swap_remove(0)
}

fn csv(text: &str) -> String {
    let (bytes, findings) = convert::drawn(&[&json(text)], Sheet::Csv);
    assert_eq!(findings, []);
    String::from_utf8(bytes.unwrap()).unwrap()
}

/// The lines of a chart alone, from the top.
fn grid(text: &str) -> Vec<String> {
    let csv = csv(text);
    let chart = csv.split("\n\n").nth(1).unwrap();
    chart.lines().map(str::to_owned).collect()
}

fn files(folder: &Path, found: &mut Vec<PathBuf>) {
    let mut paths: Vec<PathBuf> =
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    for path in paths {
        if path.is_dir() {
            files(&path, found);
        } else {
            found.push(path);
        }
    }
}

#[test]
fn every_chart_of_the_archive_is_drawn_anew() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    files(&root.join("corpus"), &mut found);
    files(&root.join("tests/cases/worked"), &mut found);
    let mut drawn = 0;
    for file in found {
        let name = file.file_name().unwrap().to_string_lossy().into_owned();
        if [".toml", ".md", ".rows", ".txt"].iter().any(|ending| name.ends_with(ending)) {
            continue;
        }
        let settings = std::fs::read_to_string(file.with_file_name("longhand.toml")).unwrap_or_default();
        let (settings, _) = Settings::parse(&Arc::from("longhand.toml"), &settings);
        let charts = read(&name, &std::fs::read(&file).unwrap(), &settings);
        for chart in charts.charts.iter().filter(|chart| chart.sound().is_some()) {
            let pattern = chart.sound().unwrap();
            for row in pattern.rows.iter().filter(|row| row.charted) {
                assert_eq!(row.cells.len(), row.stitches.len(), "{name}: the cells of Row {}", row.number);
            }
            let colours = rows(pattern).iter().flat_map(|row| &row.2).any(|stitch| stitch.contains(" in "));
            for sheet in Sheet::ALL {
                if sheet == Sheet::Csv && colours {
                    let (_, findings) = convert::drawn(&[chart], sheet);
                    assert_eq!(findings[0].1.code, Code::NotDrawn, "csv has no colours");
                } else {
                    same(pattern, &again(chart, sheet));
                }
            }
            drawn += 1;
        }
    }
    assert!(drawn > 30, "only {drawn} charts were drawn");
}

/// A triangle that grows by a yarn over at each edge is drawn as one, and a WS row as it looks from the RS. Worked
/// out by hand.
#[test]
fn rows_line_up_with_those_they_grow_from() {
    let edges = r#"{"format": "longhand.pattern/1", "title": "T", "worked": "flat", "rows": [
        {"number": 1, "side": "RS", "stitches": ["k", "yo", "k", "yo", "p"]},
        {"number": 2, "side": "WS", "stitches": ["k", "p", "p", "p2tog"]},
        {"number": 3, "side": "RS", "stitches": ["k", "yo", "k", "p", "yo", "p"]}]}"#;
    assert_eq!(grid(edges), [",p,yo,p,k,yo,k,3", "2,ns,p,k,k,k2tog,ns,", ",ns,p,yo,k,yo,k,1"]);
    let one_edge = r#"{"format": "longhand.pattern/1", "title": "T", "worked": "flat", "rows": [
        {"number": 1, "side": "RS", "stitches": ["k", "k", "yo", "k"]},
        {"number": 2, "side": "WS", "stitches": ["p", "p", "p", "p"]},
        {"number": 3, "side": "RS", "stitches": ["k", "k", "k", "yo", "k"]}]}"#;
    assert_eq!(
        grid(one_edge),
        [",k,yo,k,k,k,3", "2,ns,k,k,k,k,", ",ns,k,yo,k,k,1"],
        "the right edge is straight"
    );
}

/// A cable crossed on a WS row has no usual opposite: the key says that it is worked so on both sides.
#[test]
fn what_has_no_opposite_is_told_in_the_key() {
    let text = csv(r#"{"format": "longhand.pattern/1", "title": "T", "worked": "flat", "rows": [
        {"number": 1, "side": "RS", "stitches": ["2/2rc", "sk2p", "yo", "yo", "skp"]},
        {"number": 2, "side": "WS", "stitches": ["k", "p", "k", "2/1lpc", "skp"]}]}"#);
    // The row uses 9 and makes 8; two yarn overs are a double one.
    assert!(text.contains("\n,skp,yo2,sk2p,2/2rc,2/2rc,2/2rc,2/2rc,1\n"), "{text}");
    assert!(text.contains("\n2/1lpc,2 over 1 left purl cross every row\n"), "{text}");
    assert!(text.contains("\nskp,slip 1 knit 1 and pass the slipped stitch over every row\n"), "{text}");
    assert!(text.contains("\nyo2,double yarn over\n"), "{text}");
}

/// A repeat that is the same columns in every row is said, and read again; one that is not stays a sentence.
#[test]
fn the_repeat_is_said_where_it_is_true() {
    let rib = |edge: &str| {
        format!(
            r#"{{"format": "longhand.pattern/1", "title": "Rib", "worked": "flat", "cast_on": 14,
            "multiple": {{"of": 4, "plus": 2}}, "rows": [
            {{"number": 1, "side": "RS", "stitches": ["k","p","p","k","k","p","p","k","k","p","p","k","k","k"]}},
            {{"number": 2, "side": "WS", "stitches": ["{edge}","p","p","k","k","p","p","k","k","p","p","k","k","p"]}}]}}"#
        )
    };
    let chart = json(&rib("p"));
    assert!(csv(&rib("p")).contains("\nRepeat columns: 2-5\n"), "{}", csv(&rib("p")));
    for sheet in Sheet::ALL {
        let again = again(&chart, sheet);
        same(chart.sound().unwrap(), &again);
        assert_eq!(again.multiple, chart.sound().unwrap().multiple);
    }
    let broken = rib("p").replacen(r#""p","p","k","k","p""#, r#""p","k","k","p","p""#, 1);
    assert!(json(&broken).sound().is_some());
    let text = csv(&broken);
    assert!(!text.contains("Repeat columns") && text.ends_with("\n\nMultiple of 4 sts + 2.\n"), "{text}");
}

/// A chart that longhand drew says all that its folder might say otherwise.
#[test]
fn what_a_folder_says_of_its_charts_changes_none_that_was_drawn() {
    let flat = r#"{"format": "longhand.pattern/1", "title": "T", "worked": "flat", "cast_on": 4, "rows": [
        {"number": 1, "side": "RS", "stitches": ["k", "k", "k", "k"]},
        {"number": 2, "side": "WS", "stitches": ["k", "p", "p", "p"]},
        {"number": 3, "side": "RS", "stitches": ["k", "k", "ssk", "yo"]}]}"#;
    let round = flat.replace("flat", "round").replace("WS", "RS");
    for (text, sheet) in [flat, &round].into_iter().flat_map(|text| Sheet::ALL.map(|sheet| (text, sheet))) {
        let (bytes, _) = convert::drawn(&[&json(text)], sheet);
        let bytes = bytes.unwrap();
        for (name, value) in [
            ("title", "Another"),
            ("worked", "flat"),
            ("worked", "in the round"),
            ("charted", "right-side"),
            ("first-row", "top"),
            ("first-side", "WS"),
            ("hand", "left"),
            ("return-rows", "knit"),
            ("cast-on", "40"),
            ("symbols", "as-worked"),
            ("skipped-rows", "purl"),
        ] {
            let mut folder = Settings::default();
            settings::in_sheet(&mut folder, name, value).unwrap().unwrap();
            let drawn = read(&format!("drawn.{}", sheet.name()), &bytes, &folder);
            let [again] = &drawn.charts[..] else { panic!("{name}: {:?}", drawn.findings) };
            same(json(text).sound().unwrap(), again.sound().unwrap_or_else(|| panic!("{name}")));
        }
    }
}

#[test]
fn one_chart_makes_the_same_bytes_each_time() {
    let chart = json(
        r#"{"format": "longhand.pattern/1", "title": "T", "worked": "round", "rows": [
        {"number": 1, "side": "RS", "stitches": ["k", "2/2rc", "p"]}]}"#,
    );
    for sheet in Sheet::ALL {
        let (one, two) = (convert::drawn(&[&chart], sheet).0, convert::drawn(&[&chart], sheet).0);
        assert!(one.is_some() && one == two, "{sheet:?}");
    }
}

/// Notes that a reader takes for a part of the chart are left out rather than change it.
#[test]
fn notes_never_change_the_chart() {
    let chart = json(
        r#"{"format": "longhand.pattern/1", "title": "Cast on: 9", "worked": "flat",
        "notes": ["Cast on: 40", "k = purl", "repeat columns 1-2", "Row 3"], "rows": [
        {"number": 1, "side": "RS", "stitches": ["k", "p", "k"]}, {"number": 2, "side": "WS", "stitches": ["p", "k", "p"]}]}"#,
    );
    for sheet in Sheet::ALL {
        same(chart.sound().unwrap(), &again(&chart, sheet));
    }
}

/// Stitches that rows are made of in the property below: name, loops used, loops made.
const STITCHES: [(&str, u32, u32); 22] = [
    ("k", 1, 1),
    ("p", 1, 1),
    ("yo", 0, 1),
    ("k2tog", 2, 1),
    ("ssk", 2, 1),
    ("skp", 2, 1),
    ("p2tog", 2, 1),
    ("ssp", 2, 1),
    ("sk2p", 3, 1),
    ("s2kp", 3, 1),
    ("kfb", 1, 2),
    ("kpk", 1, 3),
    ("kfbf", 1, 3),
    ("yo2", 0, 2),
    ("2/2rc", 4, 4),
    ("2/1lpc", 3, 3),
    ("1/1rt", 2, 2),
    ("sl1wyib", 1, 1),
    ("sl1k", 1, 1),
    ("m1l", 0, 1),
    ("ktbl", 1, 1),
    ("bo", 1, 0),
];

/// Rows that add up: each picks stitches while the loops of the row before last.
fn chained(cast_on: u32, picks: &[Vec<usize>]) -> Vec<Vec<&'static str>> {
    let mut loops = cast_on;
    picks
        .iter()
        .map(|picks| {
            let (mut left, mut made, mut row) = (loops, 0, Vec::new());
            for (name, uses, makes) in picks.iter().map(|pick| STITCHES[pick % STITCHES.len()]) {
                if uses <= left && made < 40 {
                    left -= uses;
                    made += makes;
                    row.push(name);
                }
            }
            row.extend(std::iter::repeat_n("k", left as usize));
            loops = made + left;
            row
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn any_pattern_that_adds_up_is_drawn_and_read_again(
        cast_on in 1..24u32,
        picks in proptest::collection::vec(proptest::collection::vec(0..100usize, 0..24), 1..9),
        round in any::<bool>(),
        left in any::<bool>(),
        first_ws in any::<bool>(),
    ) {
        let rows = chained(cast_on, &picks);
        prop_assume!(rows.iter().all(|row| !row.is_empty()));
        // Without a mirror no chart shows it to a left-handed knitter.
        let mirrored = |row: &Vec<&str>| row.iter().all(|name| !["sk2p", "skp"].contains(name));
        let left = left && rows.iter().all(mirrored);
        let rows: Vec<String> = rows.iter().enumerate().map(|(index, row)| {
            let ws = !round && (index % 2 == 1) != first_ws;
            let side = if ws { "WS" } else { "RS" };
            format!(r#"{{"number": {}, "side": "{side}", "stitches": {row:?}}}"#, index + 1)
        }).collect();
        let hand = if left { r#""hand": "left", "# } else { "" };
        let worked = if round { "round" } else { "flat" };
        let text = format!(
            r#"{{"format": "longhand.pattern/1", "title": "Any", "worked": "{worked}", {hand}"rows": [{}]}}"#,
            rows.join(", ")
        );
        let chart = json(&text);
        prop_assert!(chart.sound().is_some(), "{:?}", chart.findings);
        for sheet in Sheet::ALL {
            let (bytes, findings) = convert::drawn(&[&chart], sheet);
            prop_assert!(findings.is_empty(), "{findings:?}\n{text}");
            let read = read(&format!("any.{}", sheet.name()), &bytes.unwrap(), &Settings::default());
            let again = read.charts[0].sound();
            prop_assert!(again.is_some(), "{:?}", read.charts[0].findings);
            // Two yarn overs side by side are one double yarn over.
            let joined = |pattern: &Pattern| -> Vec<String> {
                self::rows(pattern).iter().map(|row| format!("{row:?}").replace("\"yo\", \"yo\"", "\"yo2\"")).collect()
            };
            prop_assert_eq!(joined(again.unwrap()), joined(chart.sound().unwrap()));
        }
    }
}

/// What a chart can't hold is said where it is drawn: a repeat that begins in other columns on the return row, as worked out
/// by hand, and a stitch that only the text explains, in words that no key has.
#[test]
fn what_a_chart_cannot_hold_is_noted() {
    let repeat = "T\n\nSizes: S (M).\nMultiple of 4 sts + 1.\nCast on 9 (13) sts.\n\n\
        Row 1: P1, *yo, ssk, k2; rep from * to end.\nRow 2: K1, *k2, p2; rep from * to end.\n";
    // The repeat grows by a stitch; worked once, it stands in the first row alone.
    let grows = "T\n\nMultiple of 2 sts + 2.\nCast on 8 sts.\n\n\
        Row 1 (RS): K1, *k1, kfb; rep from * to last st, k1. (11 sts)\nRow 2 (WS): Purl.\n";
    let once = "T\n\nMultiple of 3 sts + 4.\nCast on 7 sts.\n\n\
        Row 1 (RS): K1, *k1, ssk; rep from * to last 3 sts, k3. (6 sts)\nRow 2 (WS): P2tog, p to end. (5 sts)\n";
    let nowhere = "T\n\nMultiple of 3 sts + 4.\nCast on 7 sts.\n\nRow 1: Knit.\nRow 2: Purl.\n";
    let bobble = "T\n\nMB: (k1, yo, k1) in next st, turn, p3, turn, sk2p\n\nCO 3\nRow 1: K1, MB, k1.\n";
    let increase = "T\n\nInc = (k1, p1) in next st\n\nCO 3\nRow 1: K1, inc, k1.\n";
    let plain = "T\n\nMultiple of 2 sts.\nCO 4\nRow 1: *K1, p1; rep from * to end.\n";
    let none = Settings::default();
    let style = style::named("abbreviated").unwrap();
    for (text, csv, json) in [
        (repeat, &["repeat-not-drawn"][..], &[][..]),
        (bobble, &[], &[]),
        (increase, &["stitch-to-describe"], &[]),
        (grows, &["repeat-not-drawn"], &[]),
        (once, &[], &[]),
        (nowhere, &["repeat-not-drawn"], &[]),
        (plain, &[], &[]),
    ] {
        let read = convert::texts(&Arc::from("a.txt"), text.as_bytes(), None, &none, &none, None);
        for (format, expected) in [("csv", csv), ("json", json)] {
            let noted = convert::noted(&read.charts[0], Format::named(format).unwrap(), style);
            let codes: Vec<&str> = noted.iter().map(|finding| finding.code.name()).collect();
            assert_eq!(codes, expected, "{format} of {text}");
            if text != increase {
                same(&again(&read.charts[0], Sheet::Csv), read.charts[0].sound().unwrap());
            }
        }
    }
}
