//! The published patterns of `tests/cases/worked`: their repeats as their sources print them.

use std::path::Path;
use std::sync::Arc;

use longhand::convert;
use longhand::fold;
use longhand::read::Format;
use longhand::settings::Settings;
use longhand::written::Item;

use super::{Row, chart, differences, read};

/// A published pattern: its rows from row 1 on, in the notation of [`Row`].
struct Published {
    /// What the folders of its charts begin with.
    name: &'static str,
    /// Whether row 1 is a WS row.
    ws_first: bool,
    rows: &'static [&'static str],
}

const P: &str = "P";

/// Typed from the tables of published patterns: old shale P1a, horseshoe P2a and P2b, razor shell P4a, small lace P4b,
/// vine lace P5, unequal ends P8, seed and moss P9b, rope cable P10, two by two rib W1 and (row 2) from memory, leaf and
/// rib K3; eyelet chevron is common practice. `P`: purl the row. Where the last working of a repeat ends otherwise
/// ("last repeat ends k2 for k3"), it stands after the repeat.
const PUBLISHED: [Published; 12] = [
    Published {
        name: "old-shale",
        ws_first: false,
        rows: &["| k18 |", "| p18 |", "| k2tog*3 (yo k1)*6 k2tog*3 |", "| k18 |"],
    },
    Published {
        name: "horseshoe",
        ws_first: false,
        rows: &[
            "k1 | yo k3 sk2p k3 yo k1 |",
            P,
            "k1 | k1 yo k2 sk2p k2 yo k2 |",
            P,
            "k1 | k2 yo k1 sk2p k1 yo k3 |",
            P,
            "k1 | k3 yo sk2p yo k4 |",
            P,
        ],
    },
    Published {
        name: "horseshoe-ws-first",
        ws_first: true,
        rows: &[
            P,
            "k1 | yo k3 sk2p k3 yo k1 |",
            P,
            "p1 | k1 yo k2 sk2p k2 yo k1 p1 |",
            "k1 | p9 k1 |",
            "p1 | k2 yo k1 sk2p k1 yo k2 p1 |",
            "k1 | p9 k1 |",
            "p1 | k3 yo sk2p yo k3 p1 |",
        ],
    },
    Published { name: "razor-shell", ws_first: false, rows: &["k1 | yo k2 s2kp k2 yo k1 |", P] },
    Published {
        name: "small-lace",
        ws_first: false,
        rows: &["k1 | yo k1 sk2p k1 yo k1 |", P, "k1 | k1 yo sk2p yo k2 |", P],
    },
    Published {
        name: "vine-lace",
        ws_first: false,
        rows: &["k3 | yo k2 ssk k2tog k2 yo k1 | k1", P, "k2 | yo k2 ssk k2tog k2 yo k1 | k2", P],
    },
    Published {
        name: "eyelet-chevron",
        ws_first: false,
        rows: &[
            "| k4 yo ssk k3 |",
            P,
            "| k2 k2tog yo k1 yo ssk k2 |",
            P,
            "| k1 k2tog yo k3 yo ssk k1 |",
            P,
            "| k2tog yo k5 yo ssk |",
            P,
        ],
    },
    Published {
        name: "unequal-ends",
        ws_first: true,
        rows: &[
            P,
            "k1 | yo skp k1 k2tog yo k1 |",
            P,
            "k1 | yo skp k1 k2tog yo k1 |",
            P,
            "k1 | yo skp k1 k2tog yo k1 |",
            P,
            "k2 | yo sk2p yo k3 | / yo sk2p yo k2",
            P,
            "k1 | k2tog yo k1 yo skp k1 |",
            P,
            "k2tog | yo k3 yo sk2p | / yo k3 yo skp",
        ],
    },
    Published {
        name: "rope-cable",
        ws_first: false,
        rows: &[
            "| p3 k4 | p3",
            "| k3 p4 | k3",
            "| p3 k4 | p3",
            "| k3 p4 | k3",
            "| p3 2/2lc | p3",
            "| k3 p4 | k3",
        ],
    },
    Published { name: "seed", ws_first: false, rows: &["k1 | p1 k1 |"; 2] },
    Published {
        name: "moss",
        ws_first: false,
        rows: &["k1 | p1 k1 |", "p1 | k1 p1 |", "p1 | k1 p1 |", "k1 | p1 k1 |"],
    },
    Published { name: "rib-2x2", ws_first: false, rows: &["| k2 p2 | k2", "p2 | k2 p2 |"] },
];

/// Whether a chart draws its repeat.
#[derive(Clone, Copy, PartialEq)]
enum Repeat {
    Drawn,
    Undrawn,
}

/// A row that longhand tells otherwise than its source.
struct Otherwise {
    name: &'static str,
    rows: &'static [usize],
    /// In which charts; in all where this is empty.
    charts: &'static [Repeat],
    words: &'static str,
}

/// Where longhand tells rows otherwise than their sources, and why: the stitches are the same and so is the period,
/// what is different is where the repeat begins.
const OTHERWISE: [Otherwise; 8] = [
    // Editors differ on ribs and cables: P9b and the lace have the edge before the repeat, W1 and P10 after it. Where
    // the chart draws no repeat, longhand has it before, on RS rows; where it draws one, the edge is where it is drawn.
    Otherwise { name: "rib-2x2", rows: &[1], charts: &[Repeat::Undrawn], words: "k2 | p2 k2 |" },
    Otherwise { name: "rope-cable", rows: &[1, 3], charts: &[Repeat::Undrawn], words: "p3 | k4 p3 |" },
    Otherwise { name: "rope-cable", rows: &[5], charts: &[Repeat::Undrawn], words: "p3 | 2/2lc p3 |" },
    // WS rows begin their repeat in the same columns of the chart as the RS rows, not at their own first stitch.
    Otherwise { name: "rib-2x2", rows: &[2], charts: &[Repeat::Undrawn], words: "| p2 k2 | p2" },
    Otherwise { name: "rope-cable", rows: &[2, 4, 6], charts: &[Repeat::Drawn], words: "k3 | p4 k3 |" },
    Otherwise { name: "horseshoe-ws-first", rows: &[5, 7], charts: &[], words: "| k1 p9 | k1" },
    // And RS rows in those of each other: the source moves the repeat of row 1 by a column, for the words of row 3.
    Otherwise { name: "vine-lace", rows: &[1], charts: &[], words: "k2 | k1 yo k2 ssk k2tog k2 yo | k2" },
    // The source works the last repeat of row 8 otherwise than the rest; in the columns of rows 2 to 6 all are alike.
    Otherwise { name: "unequal-ends", rows: &[8], charts: &[], words: "k1 | k1 yo sk2p yo k2 |" },
];

/// Published panels, which have no repeat: cat's paw from memory, gull P6, Shetland eyelet P7.
const PANELS: [&str; 3] = ["cats-paw", "gull", "shetland-eyelet"];

/// The row at so many repeats; one that is a single run has no repeat that an editor would print.
fn row(words: &str, times: usize, purled: usize) -> Row {
    if words == P {
        return Row::parse(&format!("p{purled}"), 0);
    }
    // The last working that ends otherwise.
    let (words, last) = words.split_once('/').filter(|_| words.contains("| /")).unwrap_or((words, ""));
    let row = Row::parse(&format!("{words}{last}"), if last.is_empty() { times } else { times - 1 });
    let all = row.worked();
    if row.times < 2 || all.iter().all(|stitch| *stitch == all[0]) {
        Row { before: all, unit: Vec::new(), after: Vec::new(), times: 0 }
    } else {
        row
    }
}

fn rows(published: &Published, times: usize, width: usize) -> Vec<Row> {
    published.rows.iter().map(|words| row(words, times, width)).collect()
}

/// The rows as longhand is to tell them, with their numbers.
fn told(published: &Published, times: usize, width: usize, repeat: Repeat) -> Vec<(u32, Row)> {
    let words = |number: usize, words: &'static str| {
        OTHERWISE
            .iter()
            .find(|other| {
                let here = other.charts.is_empty() || other.charts.contains(&repeat);
                other.name == published.name && other.rows.contains(&number) && here
            })
            .map_or(words, |other| other.words)
    };
    let numbered = (1..).zip(published.rows);
    numbered.map(|(number, own)| (number as u32, row(words(number, own), times, width))).collect()
}

/// How many stitches a repeat and the edges have: those of the first row that is told with a repeat.
fn multiple(published: &Published) -> (usize, usize) {
    let uses = |names: &[String]| -> usize {
        names
            .iter()
            .map(|name| match name.as_str() {
                "yo" => 0,
                "k2tog" | "ssk" | "skp" => 2,
                "sk2p" | "s2kp" => 3,
                "2/2lc" => 4,
                _ => 1,
            })
            .sum()
    };
    let row = published.rows.iter().find(|words| **words != P).map(|words| Row::parse(words, 1)).unwrap();
    (uses(&row.unit), uses(&row.before) + uses(&row.after))
}

/// The published patterns drawn three repeats wide, with nothing in the chart that tells the repeat.
#[test]
fn repeats_come_back_as_published() {
    let mut wrong = Vec::new();
    for published in &PUBLISHED {
        let (of, plus) = multiple(published);
        let rows = rows(published, 3, 3 * of + plus);
        let text = chart(&rows, 1, 1, false, published.ws_first, "as-they-appear");
        let pattern = read(published.name, &text);
        let told = told(published, 3, 3 * of + plus, Repeat::Undrawn);
        wrong.extend(differences(published.name, &pattern, &told));
    }
    assert_eq!(wrong, Vec::<String>::new());
}

/// Every chart of a published pattern under `tests/cases/worked`, as wide as it is drawn, with its own settings.
#[test]
fn charts_of_all_widths_come_back_as_published() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/worked");
    let (mut wrong, mut seen) = (Vec::new(), Vec::new());
    for entry in std::fs::read_dir(folder).unwrap() {
        let folder = entry.unwrap().path();
        let name = folder.file_name().unwrap().to_string_lossy().into_owned();
        let (kind, width) =
            name.trim_end_matches("-flat").trim_end_matches("-round").rsplit_once('-').unwrap();
        let settings = std::fs::read_to_string(folder.join("longhand.toml")).unwrap_or_default();
        let (settings, findings) = Settings::parse(&Arc::from("longhand.toml"), &settings);
        assert!(findings.is_empty(), "{findings:?}");
        let bytes = std::fs::read(folder.join("chart.csv")).unwrap();
        let file: Arc<str> = Arc::from(name.as_str());
        let read = convert::charts(&file, &bytes, Some(Format::Csv), &settings, &Settings::default());
        let pattern = read.charts[0].sound().unwrap();
        let repeats =
            || fold::closed(pattern).concat().into_iter().filter(|item| matches!(item, Item::Repeat { .. }));
        if let Some(published) = PUBLISHED.iter().find(|published| published.name == kind) {
            let (of, plus) = multiple(published);
            let width: usize = width.parse().unwrap();
            let drawn = pattern.rows.iter().any(|row| row.repeat.is_some());
            let repeat = if drawn { Repeat::Drawn } else { Repeat::Undrawn };
            wrong.extend(differences(&name, pattern, &told(published, (width - plus) / of, width, repeat)));
        } else if PANELS.contains(&kind) {
            wrong.extend(repeats().map(|repeat| format!("{name} has none, but {repeat:?}")));
        } else {
            // Leaf and rib, K3, is one repeat wide. Its row 1 is printed "k2, p6, k2, p6"; "*k2, p6; rep from * to
            // end" is shorter, and the only repeat in it.
            assert_eq!((kind, repeats().count()), ("ws-first-chart", 1));
        }
        seen.push(name);
    }
    assert_eq!(wrong, Vec::<String>::new());
    assert_eq!(seen.len(), 26, "{seen:?}");
}
