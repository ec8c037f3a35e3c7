//! What is written, under which names, and what is never touched.

use std::fs;

use super::bench::{Bench, JSON, SCARF, TWO, WRONG};

/// Rows as an editor prints them; worked out by hand from the chart, row 1 from its right edge.
const SCARF_ROWS: &str = "Row 1 (RS): K2, k2tog, yo, k1.\nRow 2 (WS): Purl.\nRow 3 (RS): Purl.\n";

#[test]
fn a_chart_goes_to_standard_output_and_findings_to_standard_error() {
    let bench = Bench::with(&[("scarf.csv", SCARF)]);
    let run = bench.run(&["write", "scarf.csv"]).ended(0).said("name-as-symbol");
    assert!(run.out.starts_with("Scarf\n"), "{}", run.out);
    assert!(run.out.contains(SCARF_ROWS), "{}", run.out);
    assert!(!run.out.contains("name-as-symbol"));
    assert_eq!(bench.tree(""), ["scarf.csv"], "nothing is written to files");
}

#[test]
fn several_charts_follow_one_another() {
    let bench = Bench::with(&[("two.csv", TWO), ("scarf.csv", SCARF)]);
    let out = bench.run(&["write", "two.csv", "scarf.csv"]).ended(0).out;
    let at = |title: &str| out.find(&format!("{title}\n")).unwrap_or_else(|| panic!("{title}: {out}"));
    assert!(at("First") < at("Second") && at("Second") < at("Scarf"), "in the order of the call");
    let out = bench.run(&["write", "two.csv", "--to", "json"]).ended(0).out;
    let charts: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(charts.as_array().map(Vec::len), Some(2));
    let out = bench.run(&["write", "scarf.csv", "--to", "json"]).ended(0).out;
    let chart: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(chart["title"], "Scarf");
}

#[test]
fn standard_input_is_known_by_its_bytes() {
    let bench = Bench::with(&[]);
    assert!(bench.run_on(&["write", "-"], SCARF).ended(0).out.contains(SCARF_ROWS));
    // More words than cells: its bytes alone would be taken for a text.
    let wordy =
        format!("{SCARF}\n\"Return rows: K3, p to last 3 sts, k3\"\n\"Yarn: what is left, held double\"\n");
    assert!(bench.run_on(&["write", "-"], &wordy).ended(0).out.contains(SCARF_ROWS));
    assert!(bench.run_on(&["write", "-"], JSON).ended(0).out.contains("Row 2 (WS): Purl."));
    let run = bench.run_on(&["write", "-", "--from", "json"], SCARF).ended(1);
    assert!(run.err.contains("wrong-json") && run.err.contains("standard input"), "{}", run.err);
}

#[test]
fn names_follow_the_rule() {
    let bench = Bench::with(&[("scarf.csv", SCARF), ("lace/two.csv", TWO), ("lace/strap.v2.json", JSON)]);
    bench.run(&["write", "scarf.csv", "lace", "--out", "rows"]).ended(0);
    let rows = [".longhand-run", "scarf.txt", "strap.v2.txt", "two.A.txt", "two.B.txt"];
    assert_eq!(bench.tree("rows"), rows, "below a folder argument, not with it");

    let styles = ["--style", "uk", "--style", "aloud", "--to", "text", "--to", "markdown"];
    let call: Vec<&str> = ["write", "scarf.csv", "--out", "both"].into_iter().chain(styles).collect();
    bench.run(&call).ended(0);
    let both = [".longhand-run", "scarf.aloud.md", "scarf.aloud.txt", "scarf.uk.md", "scarf.uk.txt"];
    assert_eq!(bench.tree("both"), both);
}

#[test]
fn stems_that_collide_keep_their_endings() {
    let bench = Bench::with(&[("scarf.csv", SCARF), ("scarf.json", JSON), ("deep/scarf.csv", SCARF)]);
    bench.run(&["write", ".", "--out", "rows"]).ended(0);
    assert_eq!(bench.tree("rows"), [".longhand-run", "deep/scarf.txt", "scarf.csv.txt", "scarf.json.txt"]);
    bench.run(&["write", "scarf.csv", "deep/scarf.csv", "--out", "flat"]).ended(0);
    assert_eq!(bench.tree("flat"), [".longhand-run", "scarf.csv.2.txt", "scarf.csv.txt"]);
}

#[test]
fn odd_names_are_kept() {
    let bench = Bench::with(&[("in/Ärmel  (neu) #2.csv", SCARF), ("in/-x.csv", SCARF)]);
    let mut names = vec!["-x.txt", ".longhand-run"];
    // Windows has no file of this name.
    if !cfg!(windows) {
        bench.put("in/con.csv", SCARF);
        names.push("con.txt");
    }
    bench.run(&["write", "in", "--out", "rows"]).ended(0);
    names.push("Ärmel  (neu) #2.txt");
    assert_eq!(bench.tree("rows"), names);
}

/// A style's name is part of file names.
#[test]
fn a_style_never_leads_out_of_the_folder() {
    let bench = Bench::with(&[
        ("scarf.csv", SCARF),
        ("house.toml", "name = \"../../up\"\nabout = \"ours\"\nlike = \"uk\"\n"),
        ("uk.toml", "about = \"ours\"\nlike = \"uk\"\n[label]\nrow = \"R{n}{side}:\"\n"),
    ]);
    bench.run(&["write", "scarf.csv", "--style", "uk", "--style", "house.toml", "--out", "rows"]).ended(2);
    bench.run(&["write", "scarf.csv", "--style", "uk", "--style", "uk.toml", "--out", "rows"]).ended(0);
    let rows = [".longhand-run", "scarf.csv.uk.2.txt", "scarf.csv.uk.txt"];
    assert_eq!(bench.tree("rows"), rows, "two styles of one name");
}

#[test]
fn a_wrong_chart_is_not_written_and_all_others_are() {
    let bench = Bench::with(&[("a.csv", WRONG), ("b.csv", SCARF)]);
    let run = bench.run(&["write", "a.csv", "b.csv", "--out", "rows"]).ended(1);
    assert!(run.err.contains("  error count-mismatch, line 3"), "{}", run.err);
    assert_eq!(bench.tree("rows"), [".longhand-run", "b.txt"]);
    let run = bench.run(&["write", "a.csv"]).ended(1);
    assert_eq!(run.out, "");
}

#[test]
fn what_is_not_for_one_screen_needs_a_folder() {
    let bench = Bench::with(&[("in/scarf.csv", SCARF)]);
    for call in [
        &["write", "in"][..],
        &["write", "in/scarf.csv", "--style", "uk", "--style", "aloud"],
        &["write", "in/scarf.csv", "--to", "text", "--to", "json"],
    ] {
        let run = bench.run(call).ended(2).said("--out");
        assert_eq!(run.out, "");
    }
}

#[test]
fn only_longhands_own_files_are_replaced() {
    let bench = Bench::with(&[("scarf.csv", SCARF), ("strap.json", JSON)]);
    let write = ["write", "scarf.csv", "strap.json", "--out", "rows"];
    bench.run(&write).ended(0);
    // Its own, as it left them: replaced when the chart has changed.
    bench.put("scarf.csv", SCARF.replace("Scarf", "Shawl"));
    bench.run(&write).ended(0);
    assert!(bench.get("rows/scarf.txt").starts_with("Shawl\n"));
    // Edited since: the user's.
    bench.put("rows/scarf.txt", "my own words");
    bench.put("strap.json", JSON.replace("Strap", "Belt"));
    let run = bench.run(&write).ended(2);
    assert!(run.err.contains("scarf.txt") && run.err.contains("--overwrite"), "{}", run.err);
    assert_eq!(bench.get("rows/scarf.txt"), "my own words");
    assert!(bench.get("rows/strap.txt").starts_with("Belt\n"), "the others are written");
    let all: Vec<&str> = write.into_iter().chain(["--overwrite"]).collect();
    bench.run(&all).ended(0);
    assert!(bench.get("rows/scarf.txt").starts_with("Shawl\n"));
    bench.run(&write).ended(0);
}

#[test]
fn a_file_that_stood_there_before_is_the_users() {
    let bench = Bench::with(&[("scarf.csv", SCARF), ("rows/scarf.txt", "older\n")]);
    bench.run(&["write", "scarf.csv", "--out", "rows"]).ended(2);
    assert_eq!(bench.get("rows/scarf.txt"), "older\n");
    // A record that was tampered with or damaged makes nothing longhand's own.
    bench.put("rows/.longhand-run", "scarf.txt\n\u{fffd}\n");
    bench.run(&["write", "scarf.csv", "--out", "rows"]).ended(2);
}

#[test]
fn the_record_can_be_read_by_people() {
    let bench = Bench::with(&[("scarf.csv", SCARF)]);
    bench.run(&["write", "scarf.csv", "--out", "rows"]).ended(0);
    let record = bench.get("rows/.longhand-run");
    let hash = blake3::hash(bench.get("rows/scarf.txt").as_bytes()).to_hex();
    assert!(record.lines().any(|line| line == format!("{hash}  scarf.txt")), "{record}");
    assert!(!bench.get("rows/scarf.txt").contains("longhand"), "no mark in the text");
}

#[test]
fn inputs_are_never_replaced() {
    let bench = Bench::with(&[("strap.json", JSON)]);
    bench.run(&["write", "strap.json", "--to", "json", "--out", ".", "--overwrite"]).ended(2);
    assert_eq!(bench.get("strap.json"), JSON);
}

#[test]
fn the_results_are_never_read_as_charts() {
    let bench = Bench::with(&[("scarf.csv", SCARF)]);
    let write = ["write", ".", "--to", "json", "--out", "rows"];
    bench.run(&write).ended(0);
    bench.run(&write).ended(0);
    assert_eq!(bench.tree("rows"), [".longhand-run", "scarf.json"]);
    bench.run(&["write", ".", "--out", "."]).ended(2).said("--out");
}

#[test]
fn hidden_and_lock_files_and_other_files_are_left_alone() {
    let bench = Bench::with(&[
        ("in/scarf.csv", SCARF),
        ("in/~$scarf.xlsx", "lock"),
        ("in/.~lock.scarf.csv#", "lock"),
        ("in/.hidden/scarf.csv", SCARF),
        ("in/letter.txt", "Dear knitter"),
        ("in/photo.png", "\u{89}PNG"),
        ("in/other.json", "{\"name\": \"other\"}"),
    ]);
    let run = bench.run(&["write", "in", "--out", "rows"]).ended(0);
    assert!(run.err.contains("1 file read"), "{}", run.err);
    assert_eq!(bench.tree("rows"), [".longhand-run", "scarf.txt"]);
}

/// A workbook is known by its bytes, whatever it is called.
#[test]
fn a_workbook_without_its_ending_is_found() {
    let bench = Bench::with(&[]);
    let workbook = fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/leaves.xlsx")).unwrap();
    bench.put("in/leaves", &workbook);
    assert!(bench.run(&["check", "in"]).err.is_empty());
    assert!(bench.run(&["check", "in"]).out.contains("1 file read"));
}

#[cfg(unix)]
#[test]
fn links_in_circles_end_and_links_out_of_the_folder_are_refused() {
    use std::os::unix::fs::symlink;
    let bench = Bench::with(&[("in/deep/scarf.csv", SCARF), ("elsewhere/keep.txt", "")]);
    symlink("..", bench.path().join("in/deep/up")).unwrap();
    bench.run(&["write", "in", "--out", "rows"]).ended(0);
    assert_eq!(bench.tree("rows"), [".longhand-run", "deep/scarf.txt"]);

    fs::create_dir(bench.path().join("more")).unwrap();
    symlink("../elsewhere", bench.path().join("more/deep")).unwrap();
    bench.run(&["write", "in", "--out", "more"]).ended(2);
    assert_eq!(bench.tree("elsewhere"), ["keep.txt"]);
}

#[test]
fn a_folder_that_cant_be_written_to_is_a_failed_call() {
    let bench = Bench::with(&[("scarf.csv", SCARF), ("rows", "a file")]);
    bench.run(&["write", "scarf.csv", "--out", "rows"]).ended(2).said("rows");
    bench.run(&["write", "scarf.csv", "--out", "rows/deeper"]).ended(2);
}

#[test]
fn the_number_of_jobs_changes_nothing() {
    let files: Vec<(String, String)> = (0..30)
        .map(|n| (format!("in/{n:02}.csv"), if n % 7 == 3 { WRONG } else { TWO }.to_owned()))
        .collect();
    let files: Vec<(&str, &str)> = files.iter().map(|(path, text)| (path.as_str(), text.as_str())).collect();
    let bench = Bench::with(&files);
    let one = bench.run(&["write", "in", "--out", "rows", "--jobs", "1"]).ended(1);
    let many = bench.run(&["write", "in", "--out", "many", "--jobs", "8"]).ended(1);
    assert_eq!(bench.tree("rows"), bench.tree("many"));
    assert_eq!(one.err, many.err.replace("files in many", "files in rows"));
    assert_eq!(
        bench.run(&["check", "in", "--jobs", "1"]).out,
        bench.run(&["check", "in", "--jobs", "8"]).out
    );
}

/// A text is no chart; but its rows can be had in another style, and that is said.
#[test]
fn a_text_that_is_to_be_written_is_told_the_way() {
    let text = "Cuff\n\nCast on 4 sts.\nRow 1 (RS): K2, p2.\nRow 2 (WS): K2, p2.\n";
    let bench = Bench::with(&[("cuff.txt", text)]);
    bench
        .run(&["write", "cuff.txt"])
        .ended(2)
        .said("longhand chart FILE --to json | longhand write - --style NAME");
    let json = bench.run(&["chart", "cuff.txt", "--to", "json"]).ended(0).out;
    bench.put("cuff.json", &json);
    let run = bench.run(&["write", "cuff.json", "--style", "aloud"]).ended(0);
    assert!(run.out.contains("Row one, right side. Knit two. Purl two."), "{}", run.out);
}

#[test]
fn a_report_among_charts_is_no_chart_of_the_next_run() {
    let bench = Bench::with(&[("in/scarf.csv", SCARF)]);
    let first = bench.run(&["check", "in", "--report", "in/findings.csv"]).ended(0).out;
    assert_eq!(bench.run(&["check", "in"]).ended(0).out, first);
    // Named in the call it is read, as any file is.
    bench.run(&["check", "in/findings.csv"]).ended(1);
}

/// What is found in a file as a whole, struck-out text here, is found in each pattern made of it.
#[test]
fn json_holds_what_was_found_in_its_file() {
    let page = "<p>Cast on 4 sts.</p><p>Row 1: K4. <s>Row 2: K4.</s></p>";
    let bench = Bench::with(&[("a.html", page)]);
    let codes = |json: &str| -> Vec<String> {
        let read: serde_json::Value = serde_json::from_str(json).unwrap();
        let findings = read["findings"].as_array().unwrap().iter();
        findings.filter_map(|finding| finding["code"].as_str().map(str::to_owned)).collect()
    };
    assert_eq!(codes(&bench.run(&["chart", "a.html", "--to", "json"]).ended(0).out), ["struck-out"]);
    bench.run(&["chart", "a.html", "--to", "json", "--out", "out"]).ended(0);
    assert_eq!(codes(&bench.get("out/a.json")), ["struck-out"]);
}
