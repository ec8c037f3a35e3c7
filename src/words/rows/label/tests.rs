use super::*;

fn shown(text: &str) -> String {
    let Some(label) = label(text) else { return "none".into() };
    let mut out = format!("{:?}", label.numbers);
    if label.next > 0 {
        out.push_str(&format!(" next {}", label.next));
    }
    if label.set_up {
        out.push_str(" set-up");
    }
    if let Some(side) = label.side {
        out.push_str(&format!(" {}", side.word()));
    }
    for (number, side) in &label.sides {
        out.push_str(&format!(" {number} {}", side.word()));
    }
    if label.worked == Worked::Round {
        out.push_str(" rnd");
    }
    if let Some(every) = label.every {
        out.push_str(&format!(" {:?} {:?}", every.kind, every.except));
        if let Some(last) = every.last {
            out.push_str(&format!(" to {last}"));
        }
    }
    format!("{out} | {}", &text[label.length..])
}

/// Source: domain.md section 5, standards.md section 5 (W5, W6, W12, P2b); ours: the style files.
#[test]
fn labels_in_print() {
    for (text, expected) in [
        ("Row 1 (RS): K2.", "[1] RS | K2."),
        ("Row 1: K2.", "[1] | K2."),
        ("1st row (wrong side): K2.", "[1] WS | K2."),
        ("7th row: As 5th row.", "[7] | As 5th row."),
        ("Rnd 12: K2.", "[12] rnd | K2."),
        ("Rows 2 and 4: Purl.", "[2, 4] | Purl."),
        ("Rows 3-6: Rep Rows 1-2.", "[3, 4, 5, 6] | Rep Rows 1-2."),
        ("Rows 1, 3 & 5 (RS) - K2.", "[1, 3, 5] RS | K2."),
        ("Rows 1 (RS) and 2: K2.", "[1, 2] 1 RS | K2."),
        ("Rows 1 (RS) to 4: K2.", "[1, 2, 3, 4] 1 RS | K2."),
        ("Rows 1 (RS), 3 and 5: K2.", "[1, 3, 5] 1 RS | K2."),
        ("Rows 1 (RS)-4: K2.", "[1, 2, 3, 4] 1 RS | K2."),
        ("Rows 1 [RS row] & 2 [WS row]: K2.", "[1, 2] 1 RS 2 WS | K2."),
        ("Rows 1 (WS), 2 (RS) and 3 (WS) K2.", "[1, 2, 3] 1 WS 2 RS 3 WS | K2."),
        ("1st (RS) and 3rd rows: K2.", "[1, 3] 1 RS | K2."),
        ("Fifth Row and Seventh Row: K2.", "[5, 7] | K2."),
        ("2nd row, 4th row: K2.", "[2, 4] | K2."),
        ("2nd row to 5th row: K2.", "[2, 3, 4, 5] | K2."),
        ("1st (WS) row: K2.", "[1] 1 WS | K2."),
        ("Rounds 1 (RS) and 2: K2.", "[1, 2] 1 RS rnd | K2."),
        ("Rows 1-4 (Row 1 is RS): K2.", "[1, 2, 3, 4] 1 RS | K2."),
        ("Rows 3-6 (Row 3 is a WS row): K2.", "[3, 4, 5, 6] 3 WS | K2."),
        ("Rows 3-6 (beg with a WS row): K2.", "[3, 4, 5, 6] 3 WS | K2."),
        ("Row 3 (RS) - 24 sts: K2.", "[3] RS | 24 sts: K2."),
        ("Row 3 (RS), 24 sts: K2.", "[3] RS | K2."),
        ("Row 3 (RS) and 2 sts: K2.", "[3] RS | and 2 sts: K2."),
        ("Row 2 and all WS rows: P to end.", "[2] Of(Ws) [] | P to end."),
        ("Row 2 and all WS rows except Rows 8 and 12: Knit.", "[2] Of(Ws) [8, 12] | Knit."),
        ("Row 2 (and all WS rows): P.", "[2] Of(Ws) [] | P."),
        ("Row 2 and all even-numbered rows: P.", "[2] Even [] | P."),
        ("Round two and all even-numbered rounds except round eight. Knit.", "[2] rnd Even [8] | Knit."),
        ("2nd and every foll alt row: P.", "[2] Alternate [] | P."),
        ("On WS rows purl.", "[] Of(Ws) [] | purl."),
        ("On all even-numbered rounds, knit.", "[] rnd Even [] | , knit."),
        ("On the next row, purl.", "none"),
        ("All WS rows: P.", "[] Of(Ws) [] | P."),
        ("Row 2 and all even rows through 6: P.", "[2] Even [] to 6 | P."),
        ("Row 2 and all WS rows to Row 10: P.", "[2] Of(Ws) [] to 10 | P."),
        ("2nd and every foll alt row up to and including 10th row: P.", "[2] Alternate [] to 10 | P."),
        ("Row 2 (and all WS rows through Row 8): P.", "[2] Of(Ws) [] to 8 | P."),
        ("All WS rows to end", "[] Of(Ws) [] | to end"),
        ("Row 2 and every foll alt row: P.", "[2] Alternate [] | P."),
        ("Rows 2, 4 and 6: P.", "[2, 4, 6] | P."),
        ("All even rows: P.", "[] Even [] | P."),
        ("Even-numbered rounds: K.", "[] rnd Even [] | K."),
        ("All other rows: K.", "[] Rest [] | K."),
        ("Every row: K1, *p1, k1; rep from *.", "[] All [] | K1, *p1, k1; rep from *."),
        ("Row one, right side. Knit two.", "[1] RS | Knit two."),
        ("Row 3, wrong side: knit 2.", "[3] WS | knit 2."),
        ("Row twenty-three, wrong side. Knit two.", "[23] WS | Knit two."),
        ("R3: K2.", "[3] | K2."),
        ("1st row: (RS) K3, p2.", "[1] RS | K3, p2."),
        ("Row 2: [WS] (k1, p1) twice.", "[2] WS | (k1, p1) twice."),
        ("Row 2: (k1, p1) twice.", "[2] | (k1, p1) twice."),
        ("Rows 1 + 3 (RS): K3.", "[1, 3] RS | K3."),
        ("R 3: K2.", "[3] | K2."),
        ("R 3 K2.", "none"),
        ("Row 7 (inc row) (RS): K2.", "[7] RS | K2."),
        ("Row 3 (RS) (navy): K2.", "[3] RS | K2."),
        ("Row 3, navy: K2.", "[3] | K2."),
        ("Row 3, knit (10 sts)", "[3] | , knit (10 sts)"),
        ("Row 7 (k1, p1) twice", "[7] | (k1, p1) twice"),
        ("Next row (RS): K2.", "[] next 1 RS | K2."),
        ("Foll. 2 rows: Knit.", "[] next 2 | Knit."),
        ("Following rnd: K2.", "[] next 1 rnd | K2."),
        ("Row #3: K2.", "[3] | K2."),
        ("Rows No. 3 and 4: K2.", "[3, 4] | K2."),
        ("Row 1 K2, p2", "[1] | K2, p2"),
        ("Set-up row (WS): Purl.", "[0] set-up WS | Purl."),
        ("Foundation round: Knit.", "[0] set-up rnd | Knit."),
        ("Setup Row 2: Purl.", "[2] set-up | Purl."),
        ("Row 0 (WS): Purl.", "[0] WS | Purl."),
        ("Set up the loom", "none"),
        ("Row 1 - RS: Knit.", "[1] RS | Knit."),
        ("1st row: (RS) K2.", "[1] RS | K2."),
        ("2nd row: [Wrong side]: K2.", "[2] WS | K2."),
        ("Row 3 (RS): (RS facing) K2.", "[3] RS | K2."),
        ("Row 2 (WS): (RS) K2.", "[2] WS | (RS) K2."),
        ("Row 1: (k1, p1) twice.", "[1] | (k1, p1) twice."),
        ("WS Row 2: Purl.", "[2] WS | Purl."),
        ("Row 3 - K3.", "[3] | K3."),
        ("Row 3 (RS, inc): K2.", "[3] RS | K2."),
        ("Row 3 (A, RS): K2.", "[3] RS | K2."),
        ("Rnd. 3: K2.", "[3] rnd | K2."),
        ("Rd 3: K2.", "[3] rnd | K2."),
        ("Rows 3/4: K2.", "[3, 4] | K2."),
        ("RS) Row 3: K2.", "[3] RS | K2."),
        ("Row (3): K2.", "[3] | K2."),
        ("Row 3) K7, k2tog", "[3] | K7, k2tog"),
        ("Row 3] K8.", "[3] | K8."),
        ("Row 3 / K7", "[3] | K7"),
        ("3rd: K8", "[3] | K8"),
        ("RS: K8.", "[] Of(Rs) [] | K8."),
        ("Row 3a: K8.", "[3] | a: K8."),
        ("Row 1.", "none"),
        ("Rep Rows 1-4 until piece measures 20 cm.", "none"),
        ("Rows of lace are easy.", "none"),
        ("Round the corner", "none"),
        ("Rows 9-2: K.", "none"),
        ("All yarns are held double.", "none"),
    ] {
        assert_eq!(shown(text), expected, "{text}");
    }
}
