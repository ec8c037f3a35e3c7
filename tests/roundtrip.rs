//! What longhand writes it reads back: every chart of the archive and of the published patterns, in every style, as
//! text and as markdown, gives the same stitches again.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use longhand::convert::{self, Chart, Format};
use longhand::pattern::{Hand, Pattern, Row, Side, Worked, with_double_yarn_overs};
use longhand::place::Place;
use longhand::settings::Settings;
use longhand::stitch::{StitchId, Stitches};
use longhand::style;
use longhand::write::WRITERS;
use proptest::prelude::*;
use unicode_width::UnicodeWidthStr;

fn files_of(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    let mut entries: Vec<PathBuf> =
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            files.extend(files_of(&path));
        } else {
            files.push(path);
        }
    }
    files
}

fn settings(file: &Path, root: &Path) -> Settings {
    let mut settings = Settings::default();
    for folder in file.ancestors().skip(1).take_while(|folder| folder.starts_with(root)) {
        if let Ok(text) = std::fs::read_to_string(folder.join("longhand.toml")) {
            settings = settings.over(&Settings::parse(&Arc::from("longhand.toml"), &text).0);
        }
    }
    settings
}

/// Every sound chart below a folder, with the settings beside it.
fn charts(folder: &str) -> Vec<(String, Settings, Vec<Chart>)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    files_of(&root)
        .into_iter()
        .filter(|file| {
            !file.extension().is_some_and(|ending| ["toml", "md", "rows", "txt"].iter().any(|e| ending == *e))
        })
        .map(|file| {
            let settings = settings(&file, &root);
            let name = file.strip_prefix(&root).unwrap().to_string_lossy().into_owned();
            let bytes = std::fs::read(&file).unwrap();
            let read =
                convert::charts(&Arc::from(name.as_str()), &bytes, None, &settings, &Settings::default());
            (name, settings, read.charts)
        })
        .collect()
}

/// A pattern in the form in which two are compared.
fn told(pattern: &Pattern) -> Vec<String> {
    let sizes: Vec<String> =
        pattern.sizes.iter().map(|size| format!("{} {} {}", size.name, size.times, size.cast_on)).collect();
    let mut lines = vec![
        format!("title {}", pattern.title.split_whitespace().collect::<Vec<_>>().join(" ")),
        format!("{:?} {:?} cast on {} {:?}", pattern.worked, pattern.hand, pattern.cast_on, pattern.multiple),
        format!("sizes {sizes:?}"),
        format!("notes {:?}", pattern.notes),
    ];
    lines.extend(pattern.rows.iter().map(|row| {
        let names: Vec<&str> =
            row.stitches.iter().map(|&id| pattern.stitches.get(id).name.as_str()).collect();
        format!("row {} {} {}", row.number, row.side.word(), names.join(" "))
    }));
    lines
}

fn difference(chart: &Pattern, read: &[Chart]) -> Option<String> {
    let mut text = String::new();
    for finding in read.iter().flat_map(|chart| &chart.findings) {
        let _ = writeln!(text, "      {} {}: {}", finding.code, finding.place, finding.message);
    }
    let [read] = read else { return Some(format!("{} patterns\n{text}", read.len())) };
    let Some(read) = read.sound() else { return Some(format!("not sound\n{text}")) };
    let (wanted, found) = (told(chart), told(read));
    if wanted == found {
        return None;
    }
    if wanted.len() != found.len() {
        let _ = writeln!(text, "      {} lines for {}", found.len(), wanted.len());
    }
    for (wanted, found) in wanted.iter().zip(&found).filter(|(wanted, found)| wanted != found).take(3) {
        let _ = writeln!(text, "      want {wanted}\n      got  {found}");
    }
    Some(text)
}

fn every_style(folder: &str) {
    let mut wrong = String::new();
    let mut count = 0;
    for (name, settings, charts) in charts(folder) {
        for chart in &charts {
            let Some(pattern) = chart.sound() else { continue };
            for style in style::built_in() {
                for writer in WRITERS {
                    let text = convert::output(&[chart], Format::Rows(writer), style);
                    let file = Arc::from(format!("{name}.{}", writer.ending));
                    let read =
                        convert::texts(&file, text.as_bytes(), None, &settings, &Settings::default(), None);
                    count += 1;
                    if let Some(difference) = difference(pattern, &read.charts) {
                        let _ = writeln!(wrong, "{name} {} {}: {difference}", style.name, writer.name);
                    }
                }
            }
        }
    }
    assert!(count > 100, "no charts were found");
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn the_archive_is_read_back() {
    every_style("corpus");
}

#[test]
fn charts_in_colour_are_read_back() {
    every_style("tests/cases/looks");
}

#[test]
fn the_archive_is_read_back_from_json() {
    let json = Format::named("json").unwrap();
    let style = style::named("abbreviated").unwrap();
    let mut wrong = String::new();
    for (name, settings, charts) in charts("corpus") {
        for chart in charts.iter().filter(|chart| chart.sound().is_some()) {
            let text = convert::output(&[chart], json, style);
            let none = Settings::default();
            let read = convert::charts(&Arc::from("a.json"), text.as_bytes(), None, &settings, &none);
            if let Some(difference) = difference(chart.sound().unwrap(), &read.charts) {
                let _ = writeln!(wrong, "{name}: {difference}");
            }
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn published_patterns_are_read_back() {
    every_style("tests/cases/worked");
}

/// Several charts of one file stand in one text, one after another.
#[test]
fn several_patterns_of_a_text_are_read_back() {
    let mut several = 0;
    for (name, settings, charts) in charts("corpus") {
        let sound: Vec<&Chart> = charts.iter().filter(|chart| chart.sound().is_some()).collect();
        if sound.len() < 2 {
            continue;
        }
        several += 1;
        for style in style::built_in() {
            for writer in WRITERS {
                let text = convert::output(&sound, Format::Rows(writer), style);
                let file = Arc::from(format!("{name}.{}", writer.ending));
                let read =
                    convert::texts(&file, text.as_bytes(), None, &settings, &Settings::default(), None);
                assert_eq!(read.charts.len(), sound.len(), "{name} {}\n{text}", style.name);
                for (chart, read) in sound.iter().zip(&read.charts) {
                    let difference = difference(chart.sound().unwrap(), std::slice::from_ref(read));
                    assert_eq!(difference, None, "{name} {} {}", style.name, writer.name);
                    assert_eq!(chart.letter, read.letter);
                }
            }
        }
    }
    assert!(several > 0, "the archive has files with several charts");
}

/// Names of stitches that a random row is made of: every built-in one that is worked, and some cables.
fn names() -> Vec<String> {
    longhand::stitch::Stitches::every()
        .filter(|(_, stitch)| stitch.form_of.is_none() && stitch.name != "ns")
        .map(|(_, stitch)| stitch.name.clone())
        .chain(["2/2rc", "2/1lpc", "2/1/2rc", "1/1lt", "12/12lc"].map(str::to_owned))
        .collect()
}

/// Colours of colour work: words, letters, numbers, marks that part the words of a row.
const COLOURS: [&str; 10] = [
    "navy",
    "Dark blue",
    "MC",
    "A",
    "blue 2",
    "No. 4, red",
    "sea-green (light)",
    "CC: rust",
    "2",
    "wool: 3rd. dip, dark",
];

/// The pattern as its text is read: a colour with an abbreviation by its name, and what is slipped, which is written in no
/// colour, in the one that it shows.
fn as_read(pattern: &Pattern) -> Pattern {
    let mut read = pattern.clone();
    for id in read.rows.iter_mut().flat_map(|row| &mut row.stitches) {
        let stitch = read.stitches.get(*id);
        if read.stitches.is_slipped(*id) {
            *id = read.stitches.plain(*id);
        } else if stitch.colour.as_deref() == Some("CC: rust") {
            *id = read.stitches.coloured(*id, "rust").unwrap();
        }
    }
    read.show_slipped_loops();
    read
}

/// The pattern with stitches in colours: those of a row take turns through some of them, or none.
fn in_colours(mut pattern: Pattern, picks: &[Option<usize>]) -> Pattern {
    let mut picks = picks.iter().cycle();
    for row in &mut pattern.rows {
        for run in row.stitches.chunk_by_mut(|one, two| one == two) {
            let Some(Some(colour)) = picks.next() else { continue };
            for id in run {
                *id = pattern.stitches.coloured(*id, COLOURS[*colour]).unwrap();
            }
        }
    }
    pattern
}

/// A pattern whose counts chain: every row is filled up with knit stitches, or made of a unit again and again.
fn any_pattern() -> impl Strategy<Value = Pattern> {
    let few =
        prop_oneof![Just("k"), Just("p"), Just("yo"), Just("k2tog"), Just("ssk")].prop_map(str::to_owned);
    let name = prop_oneof![4 => few, 1 => proptest::sample::select(names())];
    let row = (proptest::collection::vec(name, 1..9), 1..4usize);
    (proptest::collection::vec(row, 1..7), 1..30u32, any::<bool>(), any::<bool>()).prop_map(
        |(rows, cast_on, round, ws_first)| {
            let mut stitches = Stitches::built_in();
            let mut loops = cast_on;
            let mut built = Vec::new();
            for (number, (names, times)) in (1..).zip(rows) {
                let mut row = Vec::new();
                for name in std::iter::repeat_n(&names, times).flatten() {
                    let id = stitches.find(name).unwrap();
                    if stitches.uses(&row) + stitches.get(id).uses <= loops {
                        row.push(id);
                    }
                }
                // Two yarn overs side by side are one double yarn over, in charts as in texts.
                let mut row: Vec<StitchId> =
                    with_double_yarn_overs(&row).into_iter().map(|(_, id)| id).collect();
                let left = loops - stitches.uses(&row);
                row.extend(std::iter::repeat_n(Stitches::K, left as usize));
                loops = stitches.makes(&row);
                let side = if round || ((number % 2 == 0) == ws_first) { Side::Rs } else { Side::Ws };
                built.push(Row {
                    number,
                    side,
                    charted: number % 2 == 1,
                    stitches: row,
                    place: Place::file(&Arc::from("a")),
                    cells: Vec::new(),
                    stated: None,
                    repeat: None,
                });
            }
            Pattern {
                title: "Any".into(),
                source: Arc::from("a"),
                chart: None,
                worked: if round { Worked::Round } else { Worked::Flat },
                hand: Hand::Right,
                cast_on,
                multiple: None,
                sizes: Vec::new(),
                rows: built,
                notes: Vec::new(),
                stitches,
            }
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(48) })]

    #[test]
    fn any_pattern_is_read_back(
        pattern in any_pattern(),
        colours in proptest::collection::vec(proptest::option::of(0..COLOURS.len()), 0..9),
    ) {
        let pattern = in_colours(pattern, &colours);
        let chart = Chart { letter: None, pattern: Some(pattern.clone()), sizes: Vec::new(), settings: Settings::default(), reading: None, findings: Vec::new() };
        for style in style::built_in() {
            for writer in WRITERS {
                let text = convert::output(&[&chart], Format::Rows(writer), style);
                let file = Arc::from(format!("a.{}", writer.ending));
                let none = Settings::default();
                let read = convert::texts(&file, text.as_bytes(), None, &none, &none, None);
                let difference = difference(&as_read(&pattern), &read.charts);
                prop_assert_eq!(difference, None, "{} {}\n{}", style.name, writer.name, text);
            }
        }
    }
}

/// A sentence for all WS rows stands between the others: wherever a chart begins and ends, its text must have just
/// its rows.
#[test]
fn a_sentence_for_the_ws_rows_adds_and_drops_none() {
    let file: Arc<str> = "steps.csv".into();
    let silent = Settings::default();
    let right_side = longhand::style::built_in().iter().find(|style| style.name == "right-side").unwrap();
    for numbers in [1..=4u32, 1..=5, 2..=4, 2..=5, 3..=6] {
        let csv: String = numbers.clone().rev().map(|n| format!("k,k,k,{n}\n")).collect();
        let charts = convert::charts(&file, csv.as_bytes(), None, &silent, &silent);
        let [chart] = &charts.charts[..] else { panic!("{numbers:?}: one chart") };
        let text = convert::output(&[chart], convert::Format::named("text").unwrap(), right_side);
        let name: Arc<str> = "steps.txt".into();
        let read = convert::texts(&name, text.as_bytes(), None, &silent, &silent, None);
        let rows: Vec<u32> =
            read.charts[0].pattern.as_ref().unwrap().rows.iter().map(|row| row.number).collect();
        assert_eq!(rows, numbers.clone().collect::<Vec<_>>(), "{text}");
    }
}

/// A first WS row with words of its own: "Row 3 and all WS rows" would follow the last RS row too, which has none.
#[test]
fn a_first_ws_row_that_differs_adds_no_row_at_the_end() {
    let file: Arc<str> = "first.csv".into();
    let silent = Settings::default();
    let mut above = Settings::default();
    longhand::settings::set(&mut above, "first-side", "WS").unwrap();
    // Symbols show the RS: rows 3 and 5 are purled, row 1 is knitted.
    let charts = convert::charts(&file, b"k,k,6\nk,k,5\nk,p,4\nk,k,3\nk,k,2\np,p,1\n", None, &silent, &above);
    let [chart] = &charts.charts[..] else { panic!("one chart") };
    for style in style::built_in() {
        let text = convert::output(&[chart], convert::Format::named("text").unwrap(), style);
        let read = convert::texts(&"first.txt".into(), text.as_bytes(), None, &silent, &silent, None);
        assert_eq!(difference(chart.sound().unwrap(), &read.charts), None, "{text}");
    }
}

/// A chart in one size, worked twice and once, comes back with its name.
#[test]
fn a_single_size_is_read_back() {
    let silent = Settings::default();
    for times in [1, 2] {
        let csv = format!("Sizes: Small = {times}\nRepeat columns: 2-4\n\n2,p,k,k,k,p,\n,k,yo,k2tog,k,k,1\n");
        let charts = convert::charts(&"a.csv".into(), csv.as_bytes(), None, &silent, &silent);
        let [chart] = &charts.charts[..] else { panic!("one chart") };
        assert_eq!(chart.sound().unwrap().sizes.len(), 1);
        for style in style::built_in() {
            let text = convert::output(&[chart], convert::Format::named("text").unwrap(), style);
            let read = convert::texts(&"a.txt".into(), text.as_bytes(), None, &silent, &silent, None);
            assert_eq!(difference(chart.sound().unwrap(), &read.charts), None, "{text}");
        }
    }
}

/// Titles that read like something else, whole or in their first words.
const ODD_TITLES: [&str; 33] = [
    "R4:",
    "Row3:",
    "Rounds",
    "Row 3 Cowl",
    "K2, p2 rib",
    "Row 1: K5.",
    "- Row 2",
    "**Rnd 2:** K2",
    "Next row: Knit",
    "Set-up row",
    "All WS rows: Purl.",
    "2nd and every foll alt row:",
    "Notes",
    "Abbreviations:",
    "Rows",
    "Pattern",
    "Pattern: Pattern: R4:",
    "Pattern:",
    "Cast on 7",
    "Cast on 7 sts.",
    "Cast on 7！",
    "Worked in the round.",
    "Multiple of 3 sts.",
    "Sizes: S (M, L)",
    "Colours: navy, cream.",
    "Title: Shells",
    "Knit 3 rows",
    "Rep Rows 1 and 2 twice more.",
    "MB: make bobble",
    "M1 = yo",
    "Abbreviations: M1 = yo",
    "Dec rnd: K2tog",
    "Tide, and",
];

fn any_title() -> impl Strategy<Value = String> {
    let odd = proptest::sample::select(&ODD_TITLES[..]).prop_map(str::to_owned);
    let begun = (odd.clone(), "\\PC{0,12}").prop_map(|(title, rest)| format!("{title}{rest}"));
    // Cells lose the marks that only choose the shape of a letter, so that no title has them.
    prop_oneof![2 => odd, 1 => begun, 1 => "\\PC{1,30}"]
        .prop_map(|title| title.replace(['\u{fe0e}', '\u{fe0f}'], ""))
        .prop_map(|title| title.split_whitespace().collect::<Vec<_>>().join(" "))
        .prop_filter("shows something", |title| title.width() > 0)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(160) })]

    /// Whatever a chart is called, alone in its text or behind another one, its title and its rows come back.
    #[test]
    fn any_title_is_read_back(titles in proptest::collection::vec(any_title(), 2), round in any::<bool>()) {
        let silent = Settings::default();
        let mut above = Settings::default();
        longhand::settings::set(&mut above, "worked", if round { "round" } else { "flat" }).unwrap();
        let mut charts = Vec::new();
        for title in &titles {
            let read = convert::charts(&"a.csv".into(), b"k,k,p,2\nyo,k2tog,k,1\n", None, &silent, &above);
            let mut chart = read.charts.into_iter().next().unwrap();
            chart.pattern.as_mut().unwrap().title.clone_from(title);
            charts.push(chart);
        }
        let both: Vec<&Chart> = charts.iter().collect();
        for style in style::built_in() {
            for writer in WRITERS {
                let text = convert::output(&both, Format::Rows(writer), style);
                let file = Arc::from(format!("a.{}", writer.ending));
                let read = convert::texts(&file, text.as_bytes(), None, &silent, &silent, None);
                prop_assert_eq!(read.charts.len(), 2, "{} {}\n{}", style.name, writer.name, text);
                for (chart, read) in charts.iter().zip(&read.charts) {
                    let difference = difference(chart.sound().unwrap(), std::slice::from_ref(read));
                    prop_assert_eq!(difference, None, "{} {}\n{}", style.name, writer.name, text);
                }
            }
        }
    }
}
