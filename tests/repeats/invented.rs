//! Charts invented to mislead a folding that looks at one row at a time or for one period only. The repeats were worked
//! out by hand before any was folded: what an editor prints who wants the shortest text with its repeats in the same
//! columns.

use longhand::fold;

use super::{Row, chart, read, told};

struct Invented {
    name: &'static str,
    round: bool,
    /// The rows of the chart, right-side rows or rounds 1, 3, 5; each as it is to be told, repeats in round brackets.
    rows: &'static [&'static str],
    /// The return row, the same after every row; for rounds nothing.
    returns: Option<&'static str>,
}

const INVENTED: [Invented; 6] = [
    // A multiple of 8 + 1. The decreases travel apart and meet those of the next diamond in row 5, where the edges are
    // half of what stands between two repeats; in all rows the repeat begins after the first stitch.
    Invented {
        name: "travelling diamonds",
        round: false,
        rows: &[
            "k1 (k1 k2tog yo k1 yo ssk k2)*3",
            "k1 (k2tog yo k3 yo ssk k1)*3",
            "k2tog (yo k5 yo sk2p)*2 yo k5 yo ssk",
            "k1 (yo ssk k3 k2tog yo k1)*3",
            "k1 (k1 yo ssk k1 k2tog yo k2)*3",
            "k1 (k2 yo sk2p yo k3)*3",
        ],
        returns: Some("p25"),
    },
    // Rows 5 and 7 are rows 1 and 3, half a repeat further on. By itself each row would begin its repeat at its eyelet.
    Invented {
        name: "half-drop",
        round: false,
        rows: &[
            "p1 (k2 yo ssk k4)*3 p1",
            "p1 (k1 yo ssk k5)*3 p1",
            "p1 (k6 yo ssk)*3 p1",
            "p1 (k5 yo ssk k1)*3 p1",
        ],
        returns: Some("k1 p24 k1"),
    },
    // A border in seed stitch, by twos, on either side of a lace by sixes. The WS rows have no repeat but the border's,
    // which keeps its five stitches, as on the RS: "(k1 p1)*3 p16 (p1 k1)*3" has fewer words, but the reader must add
    // up eighteen purls.
    Invented {
        name: "border with its own period",
        round: false,
        rows: &[
            "p1 (k1 p1)*2 (k1 yo sk2p yo k2)*3 p1 (k1 p1)*2",
            "p1 (k1 p1)*2 (k3 yo ssk k1)*3 p1 (k1 p1)*2",
        ],
        returns: Some("k1 (p1 k1)*2 p18 k1 (p1 k1)*2"),
    },
    // Cables by fives on either side of a lace by fours. So here: the cables' purls stay apart from the lace's.
    Invented {
        name: "cables whose period is not the lace's",
        round: false,
        rows: &["p1 (2/2rc p1)*2 (yo ssk k2)*3 p1 (2/2rc p1)*2", "p1 (k4 p1)*2 (k2 yo ssk)*3 p1 (k4 p1)*2"],
        returns: Some("k1 (p4 k1)*2 p12 k1 (p4 k1)*2"),
    },
    // The halves lean towards the centre stitch: two repeats, neither of which goes on past it.
    Invented {
        name: "centre stitch with mirrored halves",
        round: false,
        rows: &["k2 (k2tog yo)*4 k1 (yo ssk)*4 k2", "k2 (yo k2tog)*4 k1 (ssk yo)*4 k2"],
        returns: Some("p21"),
    },
    // Six sides that grow by two stitches each; eyelets within the sides repeat too. The rounds between are knitted.
    Invented {
        name: "hexagon in the round",
        round: true,
        rows: &["(k1 yo k3 yo)*6", "(k1 yo k5 yo)*6", "(k1 yo k1 (k2tog yo)*2 k2 yo)*6"],
        returns: None,
    },
];

#[test]
fn misleading_charts_are_told_as_an_editor_would() {
    let mut wrong = Vec::new();
    for invented in &INVENTED {
        let rows: Vec<Row> = invented.rows.iter().map(|words| Row::parse(words, 0)).collect();
        let text = chart(&rows, 1, 2, invented.round, false, "as-they-appear");
        let pattern = read(invented.name, &text);
        for (row, items) in pattern.rows.iter().zip(fold::closed(&pattern)) {
            let charted = invented.rows.get(row.number as usize / 2).filter(|_| row.charted).copied();
            let plain = format!("k{}", row.stitches.len());
            let expected = charted.or(invented.returns).unwrap_or(&plain);
            let found = told(&items, &pattern);
            if found != expected {
                wrong.push(format!("{}, row {}: {found}, not {expected}", invented.name, row.number));
            }
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}
