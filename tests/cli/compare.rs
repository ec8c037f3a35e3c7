//! `longhand compare` in each of its forms. The rows are worked out by hand from the charts.

use super::bench::{Bench, SCARF, WRONG};

/// Row 1 with an ssk for the k2tog, row 3 with a knit stitch in its middle.
fn bench() -> Bench {
    let other = SCARF.replace("k2tog", "ssk").replace(",p,p,p,p,p,3", ",p,p,k,p,p,3");
    Bench::with(&[("a.csv", SCARF), ("b.csv", &other)])
}

#[test]
fn the_rows_that_differ_stand_one_above_the_other() {
    let out = bench().run(&["compare", "a.csv", "b.csv", "--color", "never"]).ended(1).out;
    let rows = "\
different: Scarf, 3 rows
  Row 1 (RS)
    a.csv: k2, [k2tog], yo, k1
    b.csv: k2, [ssk],   yo, k1
  Row 3 (RS)
    a.csv: p2, [p1], p2
    b.csv: p2, [k1], p2
2 files read, 1 chart compared: 2 errors";
    assert!(out.contains(rows), "{out}");
    let same = bench().run(&["compare", "a.csv", "a.csv"]).ended(0).out;
    assert!(same.contains("same stitches: Scarf, 3 rows\n") && !same.contains("Row 1"), "{same}");
    assert_eq!(bench().run(&["compare", "a.csv", "a.csv", "-q"]).ended(0).out, "");
}

/// A run is shown whole, however few of it differ; a row that only one has stands alone; of a long row only what
/// is near.
#[test]
fn runs_rows_and_ends_are_shown_as_a_knitter_reads_them() {
    let long = |edge: &str, eyelet: &str| {
        let rows = format!("Row 1 (RS): [K1, p1] 9 times, k{edge}, {eyelet}, [p1, k1] 9 times.");
        format!("Edging\n\nCast on 43 sts.\n{rows}\n")
    };
    let bench = Bench::with(&[
        ("a.txt", &long("4", "yo, k2tog, k1")),
        ("b.txt", &(long("3", "yo, k2tog, k2") + "Row 2 (WS): Knit.\n")),
    ]);
    let out = bench.run(&["compare", "a.txt", "b.txt"]).ended(1).out;
    let rows = "\
  Row 1 (RS)
    a.txt: ... k1, p1, k1, p1, [k4], yo, k2tog, [k1], p1, k1, p1, k1, ...
    b.txt: ... k1, p1, k1, p1, [k3], yo, k2tog, [k2], p1, k1, p1, k1, ...
  Row 2 (WS), in b.txt alone
    b.txt: k43
";
    assert!(out.contains(rows), "{out}");
}

#[test]
fn a_unified_list_is_for_tools() {
    let list = "\
--- a.csv
+++ b.csv
@@ -1,5 +1,5 @@
 Worked flat.
 Cast on 5 sts.
-Row 1 (RS): k2, k2tog, yo, k1
+Row 1 (RS): k2, ssk, yo, k1
 Row 2 (WS): p5
-Row 3 (RS): p5
+Row 3 (RS): p2, k1, p2
";
    let run = bench().run(&["compare", "a.csv", "b.csv", "--to", "unified"]).ended(1);
    assert_eq!((run.out.as_str(), run.err.as_str()), (list, ""));
    assert_eq!(bench().run(&["compare", "a.csv", "a.csv", "--to", "unified"]).ended(0).out, "");
    // What is wrong in a file is said all the same, whether its rows can be compared or not.
    let wrong = bench();
    wrong.put("b.csv", WRONG);
    let run = wrong.run(&["compare", "a.csv", "b.csv", "--to", "unified"]).ended(1).said("count-mismatch");
    assert!(run.out.contains("\n-Row 3 (RS): p5\n+Row 3 (RS): p3, p2tog, p1\n"), "{}", run.out);
    wrong.put("b.csv", SCARF.replace("k2tog", "?"));
    let run = wrong.run(&["compare", "a.csv", "b.csv", "--to", "unified"]).ended(1).said("unknown-symbol");
    assert_eq!(run.out, "");
}

/// Far from what differs rows are left out, as in every list of this kind.
#[test]
fn a_long_list_is_cut_into_parts() {
    let rows = |changed: &[u32]| {
        let row = |number: u32| {
            let work = if changed.contains(&number) { "K1, p1" } else { "K2" };
            format!("Round {number}: {work}.\n")
        };
        format!("Cord\n\nWorked in the round.\nCast on 2 sts.\n{}", (1..=20).map(row).collect::<String>())
    };
    let bench = Bench::with(&[("a.txt", &rows(&[])), ("b.txt", &rows(&[3, 18]))]);
    let out = bench.run(&["compare", "a.txt", "b.txt", "--to", "unified"]).ended(1).out;
    let parts: Vec<&str> = out.lines().filter(|line| line.starts_with("@@")).collect();
    // Two lines stand before the rounds: round 3 is the fifth line, round 18 the twentieth.
    assert_eq!(parts, ["@@ -2,7 +2,7 @@", "@@ -17,6 +17,6 @@"], "{out}");
}

#[test]
fn json_holds_the_verdict_and_the_findings() {
    let json = |arguments: &[&str], status: i32| -> serde_json::Value {
        let arguments = [&["compare", "--to", "json"], arguments].concat();
        serde_json::from_str(&bench().run(&arguments).ended(status).out).unwrap()
    };
    let compared = json(&["a.csv", "b.csv"], 1);
    assert_eq!(compared["format"], "longhand.comparison/1");
    assert_eq!((&compared["left"], &compared["right"]), (&"a.csv".into(), &"b.csv".into()));
    assert_eq!(
        (&compared["verdict"], &compared["charts"][0]["verdict"]),
        (&"different".into(), &"different".into())
    );
    assert_eq!(compared["charts"][0]["rows_that_differ"][1], serde_json::json!({"left": 3, "right": 3}));
    let codes: Vec<&str> = compared["findings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|finding| finding["code"].as_str().unwrap())
        .collect();
    assert_eq!(codes.iter().filter(|code| **code == "stitch-differs").count(), 2);
    assert_eq!(json(&["a.csv", "a.csv"], 0)["verdict"], "same-stitches");
}

#[test]
fn a_page_stands_alone() {
    let bench = bench();
    bench.put("b.csv", bench.get("b.csv").replace("Scarf", "<script>"));
    let page = bench.run(&["compare", "a.csv", "b.csv", "--to", "html"]).ended(1).out;
    for part in [
        "<!DOCTYPE html>\n<html lang=\"en\">",
        "<title>a.csv and b.csv</title>",
        "<caption>3 rows, 2 of which differ.</caption>",
        "scope=\"col\">a.csv</th>",
        "scope=\"row\">Row 1 (RS)</th><td role=\"cell\" data-of=\"a.csv\">k2, <mark>[k2tog]</mark>, yo, k1</td>\
         <td role=\"cell\" data-of=\"b.csv\">k2, <mark>[ssk]</mark>, yo, k1</td><td role=\"cell\">differs</td>",
        "scope=\"row\">Row 2 (WS)</th><td role=\"cell\" data-of=\"a.csv\">p5</td><td role=\"cell\" data-of=\"b.csv\">p5</td>\
         <td role=\"cell\">same</td>",
        "Row 1, stitch 3: a.csv has k2tog, b.csv has ssk.",
    ] {
        assert!(page.contains(part), "{part}\n{page}");
    }
    for alien in ["<script", "http:", "https:", "src=", "url(", "@import"] {
        assert!(!page.contains(alien), "{alien}: {page}");
    }
}

/// Nothing compared is nothing proved.
#[test]
fn a_side_without_rows_is_no_match() {
    let bench = Bench::with(&[("a.csv", SCARF), ("letter.txt", "Dear knitter,\nthank you.\n")]);
    for sides in [["a.csv", "letter.txt"], ["letter.txt", "a.csv"], ["letter.txt", "letter.txt"]] {
        let run = bench.run(&[&["compare"], &sides[..]].concat()).ended(1);
        assert!(run.out.contains("error no-chart"), "{sides:?} {}", run.out);
    }
}
