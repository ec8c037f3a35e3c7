use std::sync::Arc;

use proptest::prelude::*;

use super::*;
use crate::document::Line;

/// A text of lines.
fn document(text: &str) -> Document {
    let lines = (1..).zip(text.lines()).map(|(number, line)| Line::at(number, 1, line)).collect();
    Document { file: Arc::from("a.txt"), lines }
}

fn read_text(text: &str) -> (Vec<Reading>, Vec<Finding>) {
    read(&document(text), &Settings::default(), &Settings::default(), None)
}

/// Words and marks of knitting in any order.
fn soup() -> impl Strategy<Value = String> {
    let piece = proptest::sample::select(vec![
        "Row 1:",
        "Row 2 and all WS rows:",
        "Rnd 3",
        "Rows 5-9:",
        "1st row (RS):",
        "Next row:",
        "Every row:",
        "k2",
        "yo",
        "p to last 3 sts",
        "to end",
        "*",
        "**",
        "rep from *",
        "rep from ** to end",
        "(",
        ")",
        "[",
        "]",
        "twice",
        "3 times",
        "in next st",
        "into double yo",
        ",",
        ";",
        ".",
        ":",
        "\n",
        "\n\n",
        "Cast on 23 sts.",
        "Multiple of 6 sts + 5.",
        "As Row 3",
        "Rep Rows 1-4 twice more",
        "work as set",
        "knit the knits",
        "St st",
        "Abbreviations",
        "Notes",
        "MB: (k1, yo, k1) in one st, turn, p3, turn, k3tog",
        "(23 sts)",
        "99999999999",
        "4294967295",
        "pm",
        "sm",
        "to 3 sts before m",
        "end last rep k2",
        "instead of k3",
        "repeat the following",
        "end of repeat",
        "Sizes: S (M, L).",
        "é",
        "–",
        "\u{a0}",
        "sl 1",
        "psso",
        "k999999",
        "Knit 6 rows.",
        "0",
    ]);
    proptest::collection::vec(piece, 0..60).prop_map(|pieces| pieces.join(" "))
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(512) })]

    /// Nothing that stands in a text makes the reader stumble, and every place it names is in the text.
    #[test]
    fn any_text_is_read(text in soup()) {
        let (readings, findings) = read_text(&text);
        let lines = text.lines().count() as u32;
        for finding in findings.iter().chain(readings.iter().flat_map(|reading| &reading.findings)) {
            if let crate::place::Spot::Line { line, column } = finding.place.spot {
                let length = text.lines().nth(line as usize - 1).map_or(0, |line| line.chars().count()) as u32;
                prop_assert!(line <= lines && column <= length + 1, "{finding:?}");
            }
        }
    }

    #[test]
    fn any_letters_are_read(text in ".{0,200}") {
        read_text(&text);
        read_text(&format!("Row 1: {text}\nRow 2: {text}"));
    }
}
