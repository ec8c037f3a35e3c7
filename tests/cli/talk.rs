//! What the program says, and how it ends.

use super::bench::{Bench, JSON, SCARF, TWO, WRONG};

#[test]
fn check_says_of_every_chart_that_it_was_looked_at() {
    let bench = Bench::with(&[("in/scarf.csv", SCARF), ("in/two.csv", TWO), ("in/wrong.csv", WRONG)]);
    let run = bench.run(&["check", "in", "--color", "never"]).ended(1);
    assert_eq!(run.err, "", "the findings are the result");
    assert!(run.out.contains("  adds up: Scarf: 3 rows, 5 stitches\n"), "{}", run.out);
    assert!(run.out.contains("  adds up: Second, chart B: 2 rows, 3 stitches\n"), "{}", run.out);
    assert!(!run.out.contains("adds up: Wrong"));
    assert!(run.out.contains("3 files read, 3 of 4 charts add up: 1 error"), "{}", run.out);
    assert_eq!(bench.tree(""), ["in/scarf.csv", "in/two.csv", "in/wrong.csv"], "nothing is written");
}

#[test]
fn a_finding_has_its_parts() {
    let bench = Bench::with(&[("wrong.csv", WRONG)]);
    let out = bench.run(&["check", "wrong.csv"]).ended(1).out;
    let finding = out.split_once("  error count-mismatch").unwrap().1;
    assert!(finding.starts_with(", line 3"), "row 3 stands on line 3 of the file: {out}");
    assert!(finding.contains(", row 3\n"), "{out}");
    for part in ["found: 6", "expected: 5", "help: "] {
        assert!(finding.contains(part), "{part}: {out}");
    }
}

#[test]
fn strict_counts_notes_and_changes_nothing_else() {
    let bench = Bench::with(&[("scarf.csv", SCARF), ("strap.json", JSON)]);
    let plain = bench.run(&["write", "scarf.csv"]).ended(0);
    let strict = bench.run(&["write", "scarf.csv", "--strict"]).ended(1);
    assert_eq!(plain.out, strict.out);
    assert!(plain.err.contains("note name-as-symbol"));
    bench.run(&["write", "strap.json", "--strict"]).ended(0);
    bench.run(&["check", "scarf.csv", "--strict"]).ended(1);
}

#[test]
fn quiet_says_only_what_is_wrong() {
    let bench = Bench::with(&[("scarf.csv", SCARF), ("wrong.csv", WRONG)]);
    assert_eq!(bench.run(&["write", "scarf.csv", "--quiet"]).ended(0).err, "");
    let err = bench.run(&["write", "scarf.csv", "wrong.csv", "--quiet"]).ended(1).err;
    assert!(err.contains("count-mismatch") && !err.contains("note"), "{err}");
    assert_eq!(bench.run(&["check", "scarf.csv", "--quiet"]).ended(0).out, "");
    // A note that makes the call end otherwise is said.
    for call in
        [&["check", "scarf.csv"][..], &["write", "scarf.csv"], &["write", "scarf.csv", "--out", "rows"]]
    {
        let run = bench.run(&[call, &["--quiet", "--strict"]].concat()).ended(1);
        assert!((run.out + &run.err).contains("note name-as-symbol"), "{call:?}");
    }
}

#[test]
fn what_cant_be_read_is_a_finding_among_others_and_a_failure_alone() {
    let bench =
        Bench::with(&[("scarf.csv", SCARF), ("photo.xlsx", "\u{89}PNG"), ("empty/letter.txt", "Dear")]);
    bench.put("photo.xlsx", b"\x89PNG\r\n\x1a\n");
    for path in ["none.csv", "photo.xlsx", "none/"] {
        bench.run(&["write", path]).ended(2).said("unreadable-file");
        bench.run(&["write", path, "scarf.csv"]).ended(1).said("unreadable-file");
        let out = bench.run(&["check", path, "scarf.csv"]).ended(1).out;
        assert!(out.contains("unreadable-file") && out.contains("adds up: Scarf"), "{out}");
    }
    // A folder holds all kinds of texts; one that is named should hold rows.
    bench.run(&["write", "empty"]).ended(2).said("no chart to read");
    assert!(bench.run(&["check", "empty"]).ended(0).out.contains("no-rows"));
    assert!(bench.run(&["check", "empty/letter.txt"]).ended(1).out.contains("no-chart"));
    bench.put("prose.csv", "Dear knitter,\nthank you\n");
    bench.run(&["write", "prose.csv"]).ended(1).said("no-chart");
}

#[test]
fn colour_is_for_terminals() {
    let bench = Bench::with(&[("wrong.csv", WRONG)]);
    assert!(!bench.run(&["check", "wrong.csv"]).out.contains('\x1b'));
    assert!(bench.run(&["check", "wrong.csv", "--color", "always"]).out.contains("\x1b["));
    assert!(!bench.run(&["check", "wrong.csv", "--color", "never"]).out.contains('\x1b'));
}

#[test]
fn reports_hold_every_finding() {
    let bench = Bench::with(&[("scarf.csv", SCARF), ("wrong.csv", WRONG)]);
    bench.run(&["check", "scarf.csv", "wrong.csv", "--report", "all.json"]).ended(1);
    let report: serde_json::Value = serde_json::from_str(&bench.get("all.json")).unwrap();
    let codes: Vec<&str> =
        report.as_array().unwrap().iter().map(|finding| finding["code"].as_str().unwrap()).collect();
    assert!(codes.contains(&"name-as-symbol") && codes.contains(&"count-mismatch"), "{codes:?}");

    bench.run(&["write", "wrong.csv", "--report", "all.csv", "--quiet"]).ended(1);
    let mut report = csv::Reader::from_reader(bench.get("all.csv").into_bytes().leak() as &[u8]);
    let headers = report.headers().unwrap().clone();
    assert_eq!(headers.iter().take(3).collect::<Vec<_>>(), ["file", "chart", "sheet"]);
    let wrong =
        report.records().map(Result::unwrap).find(|record| record.iter().any(|f| f == "count-mismatch"));
    let wrong = wrong.unwrap();
    let field = |name: &str| wrong.get(headers.iter().position(|header| header == name).unwrap()).unwrap();
    assert_eq!(
        (field("file"), field("line"), field("row"), field("severity")),
        ("wrong.csv", "3", "3", "error")
    );

    // Its own report is replaced, another file is not.
    bench.run(&["check", "wrong.csv", "--report", "all.json"]).ended(1);
    bench.run(&["check", "scarf.csv", "--report", "wrong.csv"]).ended(2);
    assert_eq!(bench.get("wrong.csv"), WRONG);
}

#[test]
fn lists_name_one_entry_a_line() {
    let bench = Bench::with(&[]);
    let first = |what: &str| -> Vec<String> {
        let out = bench.run(&["list", what]).ended(0).out;
        out.lines().map(|line| line.split_whitespace().next().unwrap().to_owned()).collect()
    };
    let styles = ["abbreviated", "bracketed", "uk", "right-side", "spelled-out", "aloud"];
    assert_eq!(first("styles"), styles);
    for stitch in ["k", "yo2", "k2tog", "s2kp", "sl1wyif", "kpkpk", "bo", "ns"] {
        assert!(first("stitches").iter().any(|name| name == stitch), "{stitch}");
    }
    assert!(first("terms").iter().any(|name| name == "us"));
    let problems = first("problems");
    for problem in &problems {
        assert!(bench.run(&["explain", problem]).ended(0).out.contains("What to do: "), "{problem}");
    }
    assert!(problems.len() > 40);
    bench.run(&["list", "styels"]).ended(2).said("styles");
}

#[test]
fn explain_knows_slips() {
    let bench = Bench::with(&[]);
    assert!(bench.run(&["explain", "count-mismatch"]).ended(0).out.starts_with("# "));
    bench.run(&["explain", "count-mismach"]).ended(2).said("Did you mean count-mismatch?");
}

#[test]
fn help_teaches() {
    let bench = Bench::with(&[]);
    let out = bench.run(&["--help"]).ended(0).out;
    assert!(out.contains("longhand write scarf.xlsx"), "{out}");
    let out = bench.run(&["write", "--help"]).ended(0).out;
    for option in
        ["--out", "--to", "--style", "--cast-on", "--return-rows", "--hand", "--strict", "--overwrite"]
    {
        assert!(out.contains(option), "{option}: {out}");
    }
    bench.run(&[]).ended(2);
    bench.run(&["wirte", "x.csv"]).ended(2).said("write");
    bench.run(&["write"]).ended(2);
}

/// A pager that was closed is no failure; a full disk is.
#[cfg(target_os = "linux")]
#[test]
fn standard_output_that_cant_be_written_is_a_failure() {
    use std::process::{Command, Stdio};
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let status = Command::new(env!("CARGO_BIN_EXE_longhand"))
        .args(["list", "problems"])
        .stdout(full)
        .stderr(Stdio::null())
        .status()
        .unwrap();
    assert_eq!(status.code(), Some(2));
}

/// A spreadsheet's "Unicode text", and cells saved under the name of a text: where a chart is asked for, the bytes tell.
#[test]
fn cells_in_a_file_called_a_text_are_a_chart() {
    let tabs = "Strip\n\nk\tk\tk\t2\nk\tyo\tk2tog\t1\n";
    let wide: Vec<u8> =
        "\u{feff}".chars().chain(tabs.chars()).flat_map(|c| (c as u16).to_le_bytes()).collect();
    let bench = Bench::with(&[("rows.txt", "Strip\n\nRow 1: K1, yo, k1.\nRow 2: K1, p1, k1.\n")]);
    bench.put("wide.txt", wide);
    bench.put("cells.txt", tabs.replace('\t', ";"));
    for file in ["wide.txt", "cells.txt"] {
        let out = bench.run(&["write", file]).ended(0).out;
        assert!(out.contains("Row 1 (RS): K2tog, yo, k1."), "{out}");
    }
    bench.run(&["write", "rows.txt"]).ended(2).said("it is a text, not a spreadsheet");
}
