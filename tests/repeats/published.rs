//! The published patterns of `tests/cases/worked`: their repeats as their sources print them.

use std::path::Path;

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

/// The row at so many repeats; one that is a single run has no repeat that an editor would print.
fn row(words: &str, times: usize, purled: usize) -> Row {
    if words == P {
        return Row::parse(&format!("p{purled}"), 0);
    }
    // The last working that ends otherwise.
    let (words, last) = words.split_once('/').filter(|_| words.contains("| /")).unwrap_or((words, ""));
    let row = Row::parse(&format!("{words}{last}"), if last.is_empty() { times } else { times - 1 });
    let all = row.worked();
    if all.iter().all(|stitch| *stitch == all[0]) {
        Row { before: all, unit: Vec::new(), after: Vec::new(), times: 0 }
    } else {
        row
    }
}

fn rows(published: &Published, times: usize, width: usize) -> Vec<Row> {
    published.rows.iter().map(|words| row(words, times, width)).collect()
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
    let mut told = Vec::new();
    for published in &PUBLISHED {
        let (of, plus) = multiple(published);
        let rows = rows(published, 3, 3 * of + plus);
        let text = chart(&rows, 1, 1, false, published.ws_first, "as-they-appear");
        let pattern = read(published.name, &text);
        let rows: Vec<(u32, Row)> = (1..).zip(rows).collect();
        told.extend(differences(published.name, &pattern, &rows));
    }
    assert_eq!(told, Vec::<String>::new());
}
