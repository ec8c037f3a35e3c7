use super::samples::{cable, crown, lace};
use super::*;
use crate::style;

fn text(sample: fn(&Style) -> Written, name: &str) -> String {
    let style = style::named(name).unwrap();
    Writer::named("text").unwrap().write(&sample(style), style)
}

/// The rows of a text: the lines that begin with a label.
fn rows(text: &str) -> Vec<&str> {
    text.lines().filter(|line| line.starts_with("Row ") || line.starts_with("Round ")).collect()
}

/// Source: standards.md section 5 (W1, W5, W6) and domain.md section 5.
#[test]
fn abbreviated_rows_read_as_in_print() {
    assert_eq!(
        rows(&text(lace, "abbreviated")),
        [
            "Row 1 (RS): K2, *yo, ssk, k4; rep from * to last 3 sts, k3.",
            "Row 2 (WS): K3, p to last 3 sts, k3.",
            "Row 3 (RS): K4, *yo, ssk, k4; rep from * to last st, k1.",
            "Row 4 (WS): K3, p to last 3 sts, k3.",
        ]
    );
    assert_eq!(
        rows(&text(cable, "abbreviated"))[2],
        "Row 3 (RS): *P1, MB, p1, 2/2 LC; rep from * to last 3 sts, p3."
    );
    assert_eq!(
        rows(&text(crown, "abbreviated")),
        [
            "Round 1: *K2, k2tog; rep from * to end. (12 sts)",
            "Round 2: Knit.",
            "Round 3: *K2tog; rep from * to end. (6 sts)",
        ]
    );
}
