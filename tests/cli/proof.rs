//! `longhand proof`: archives that agree with their texts, and such that don't. The rows are worked out by hand from the
//! charts of the bench.

use super::bench::{Bench, Run, SCARF, TWO, WRONG};

/// What the scarf says, in an editor's own words.
const APPROVED: &str =
    "A scarf\n\nCast on 5 sts.\n\nRow 1 (RS): K2, k2tog, yo, k1.\nRow 2: P5.\nRow 3: Purl to end.\n";

/// The two charts of one file, in an editor's words.
const BOTH: &str = "First\n\nCast on 4 sts.\nRow 1 (RS): Purl.\nRow 2 (WS): Purl.\n\n\
                    Second\n\nCast on 3 sts.\nRow 1 (RS): Knit.\nRow 2 (WS): Knit.\n";

fn proof(bench: &Bench, arguments: &[&str]) -> Run {
    bench.run(&[&["proof", "--color", "never"], arguments].concat())
}

#[test]
fn every_file_has_its_line() {
    let bench = Bench::with(&[
        ("in/scarf.csv", SCARF),
        ("in/scarf.txt", APPROVED),
        ("in/wrap.csv", SCARF),
        ("in/wrap.txt", &APPROVED.replace("k2tog, yo", "ssk, yo")),
        ("in/deep/new.csv", SCARF),
        ("in/wrong.csv", WRONG),
        ("in/alone.md", APPROVED),
        ("in/letter.txt", "Dear knitter,\nthank you.\n"),
    ]);
    let before = bench.tree("");
    let run = proof(&bench, &["in"]).ended(1);
    assert_eq!(run.err, "", "the findings are the result");
    for line in [
        "ok: in/scarf.csv and scarf.txt\n",
        "differs: in/wrap.csv and wrap.txt\n",
        "no approved text: in/deep/new.csv\n",
        "wrong: in/wrong.csv\n",
        "adds up, no chart beside it: in/alone.md\n",
        "no rows: in/letter.txt\n",
        "8 files read, 3 of 4 charts read back in 6 styles, 1 of 2 approved texts agree: 2 errors",
    ] {
        assert!(run.out.contains(line), "{line}{}", run.out);
    }
    let at = |line: &str| run.out.find(line).unwrap();
    let told = "    Row 1, stitch 3: wrap.csv has k2tog, wrap.txt has ssk.\n";
    assert!(at("differs: ") < at(told) && at(told) < at("wrong: "), "below its line: {}", run.out);
    assert_eq!(bench.tree(""), before, "nothing is written");
    // What check would note of each chart is counted, not told again.
    assert!(!run.out.contains("note name-as-symbol"), "{}", run.out);
    assert!(
        run.out.contains("Noted of the reading: name-as-symbol (4). `longhand check` shows each.\n"),
        "{}",
        run.out
    );
}

#[test]
fn notes_leave_the_status_and_strict_counts_them() {
    let json = r#"{"format": "longhand.pattern/1", "title": "Strap", "worked": "flat", "rows": [
        {"number": 1, "side": "RS", "stitches": ["k", "k"]}]}"#;
    let bench = Bench::with(&[("strap.json", json)]);
    proof(&bench, &["strap.json"]).ended(0);
    let run = proof(&bench, &["strap.json", "--strict", "--report", "all.json"]).ended(1);
    assert!(run.out.starts_with("no approved text: strap.json\n"), "{}", run.out);
    let report: serde_json::Value = serde_json::from_str(&bench.get("all.json")).unwrap();
    assert_eq!(report[0]["code"], "no-approved-text");
    assert_eq!(report[0]["message"], "strap.txt is not there.");
    bench.put("strap.txt", "Strap\n\nCast on 2 sts.\nRow 1 (RS): Knit.\n");
    proof(&bench, &["strap.json", "--strict"]).ended(0);
}

#[test]
fn quiet_tells_what_is_wrong_and_no_more() {
    let bench = Bench::with(&[("a.csv", SCARF), ("b.csv", SCARF), ("b.txt", &APPROVED.replace("P5", "K5"))]);
    let run = proof(&bench, &["a.csv", "b.csv", "-q"]).ended(1);
    assert!(run.out.starts_with("differs: b.csv and b.txt\n  error stitch-differs"), "{}", run.out);
    assert!(!run.out.contains("a.csv") && !run.out.contains("read back"), "{}", run.out);
    assert_eq!(proof(&bench, &["a.csv", "-q"]).ended(0).out, "");
}

#[test]
fn the_styles_are_those_of_the_settings_or_the_call() {
    let bench = Bench::with(&[("in/scarf.csv", SCARF)]);
    assert!(proof(&bench, &["in"]).ended(0).out.contains("1 of 1 chart read back in 6 styles"));
    let uk = proof(&bench, &["in", "--style", "uk", "--style", "aloud"]).ended(0);
    assert!(uk.out.contains("read back in the styles uk and aloud"), "{}", uk.out);
    bench.put("in/longhand.toml", "[write]\nstyle = \"bracketed\"\n");
    assert!(proof(&bench, &["in"]).ended(0).out.contains("read back in the style bracketed"));
    // A style of the house stands in the names of its texts.
    bench.put("in/longhand.toml", "[write]\nstyle = \"house.toml\"\n");
    bench.put("in/house.toml", "about = \"ours\"\nlike = \"uk\"\n");
    bench.put("in/scarf.house.txt", APPROVED.replace("yo", "yfwd"));
    let out = proof(&bench, &["in"]).ended(0).out;
    assert!(out.starts_with("ok: in/scarf.csv and scarf.house.txt\nNoted of the reading: "), "{out}");
}

/// A house style that says nowhere that the rounds go round: who follows its rows goes back and forth.
#[test]
fn words_that_do_not_say_the_chart_do_not_read_back() {
    let bench = Bench::with(&[
        ("cowl.csv", "Cowl\nWorked: in the round\n\n,p,k,p,2\n,k,k,p,1\n"),
        (
            "house.toml",
            "about = \"ours\"\nlike = \"abbreviated\"\n[head]\nround = \"For a cowl.\"\n[label]\nround = \"Row {n}: \"\n",
        ),
    ]);
    let run = proof(&bench, &["cowl.csv", "--style", "house.toml", "--style", "uk"]).ended(1);
    assert!(run.out.starts_with("does not read back: cowl.csv\n"), "{}", run.out);
    let told = "    In the style house the rows read back otherwise: the chart is worked in the round, its text flat";
    assert!(
        run.out.contains("error read-back-differs, line 5, column 2\n") && run.out.contains(told),
        "{}",
        run.out
    );
    assert!(run.out.contains("0 of 1 chart read back in the styles house and uk"), "{}", run.out);
    proof(&bench, &["cowl.csv", "--style", "uk"]).ended(0);
    proof(&bench, &["cowl.csv", "--style", "house.toml", "--approve"]).ended(1);
    assert_eq!(bench.tree(""), ["cowl.csv", "house.toml"], "what does not read back is not approved");
}

/// Of every format that texts have; a letter of the same name is no approved text.
#[test]
fn an_approved_text_is_a_web_page_too() {
    let page = format!("<html><body><p>{}</p></body></html>", APPROVED.trim().replace('\n', "</p>\n<p>"));
    let bench = Bench::with(&[("scarf.csv", SCARF), ("scarf.html", &page), ("scarf.md", "Dear knitter")]);
    assert!(proof(&bench, &["scarf.csv"]).ended(0).out.starts_with("ok: scarf.csv and scarf.html\n"));
    bench.put("scarf.html", page.replace("P5", "K5"));
    assert!(proof(&bench, &["."]).ended(1).out.starts_with("differs: ./scarf.csv and scarf.html\n"));
}

#[test]
fn several_charts_stand_in_one_text_or_in_lettered_ones() {
    let bench = Bench::with(&[("two.csv", TWO), ("two.txt", BOTH)]);
    assert!(proof(&bench, &["two.csv"]).ended(0).out.starts_with("ok: two.csv and two.txt\n"));
    // In another order the titles join them.
    let (first, second) = BOTH.split_at(BOTH.find("Second").unwrap());
    bench.put("two.txt", format!("{second}\n{first}"));
    proof(&bench, &["two.csv"]).ended(0);
    bench.put("two.txt", first);
    assert!(proof(&bench, &["two.csv"]).ended(1).out.contains("error chart-unmatched, chart B"));

    let lettered = Bench::with(&[("two.csv", TWO), ("two.B.txt", second)]);
    let out = proof(&lettered, &["two.csv"]).ended(0).out;
    assert!(
        out.starts_with("no approved text: two.csv\n") && out.contains("    two.A.txt is not there.\n"),
        "{out}"
    );
    lettered.put("two.A.uk.txt", first);
    let out = proof(&lettered, &["."]).ended(0).out;
    assert!(out.starts_with("ok: ./two.csv and two.A.uk.txt, two.B.txt\n"), "{out}");
    lettered.put("two.B.txt", second.replace("Row 2 (WS): Knit", "Row 2 (WS): Purl"));
    let out = proof(&lettered, &["two.csv"]).ended(1).out;
    assert!(out.starts_with("differs: two.csv and two.B.txt\n"), "{out}");
    lettered.put("two.C.txt", second);
    assert!(
        proof(&lettered, &["two.csv"])
            .ended(1)
            .out
            .contains("The text is that of chart C, which two.csv has not.")
    );
}

#[test]
fn a_text_that_is_named_is_proved_with_its_chart() {
    let bench = Bench::with(&[("in/scarf.csv", SCARF), ("in/scarf.txt", APPROVED)]);
    for paths in [&["in/scarf.txt"][..], &["in/scarf.csv"], &["in/scarf.txt", "./in/scarf.csv"], &["in"]] {
        let out = proof(&bench, paths).ended(0).out;
        assert!(out.contains("ok: ") && out.contains("in/scarf.csv and scarf.txt\n"), "{paths:?} {out}");
        assert!(out.contains("2 files read, 1 of 1 chart read back"), "{paths:?} {out}");
    }
    // An open repeat is read at the width that the text says: K1, p1 three times and an edge.
    bench.put("rib.csv", "Rib\nRepeat columns: 1-2\n\n,k,p,k,1\n");
    bench
        .put("rib.txt", "Rib\n\nMultiple of 2 sts + 1.\nCast on 9 sts.\nRow 1 (RS): [P1, k1] 4 times, k1.\n");
    let out = proof(&bench, &["rib.csv"]).ended(1).out;
    assert!(out.contains("Row 1, stitch 1: rib.csv lacks p1, which rib.txt has"), "{out}");
    bench.put(
        "rib.txt",
        "Rib\n\nMultiple of 2 sts + 1.\nCast on 9 sts.\nRow 1 (RS): *K1, p1; rep from * to last st, k1.\n",
    );
    assert!(proof(&bench, &["rib.txt"]).ended(0).out.starts_with("ok: rib.csv and rib.txt\n"));
}

#[test]
fn standard_input_is_written_and_read_again() {
    let bench = Bench::with(&[]);
    let run = bench.run_on(&["proof", "-"], SCARF).ended(0);
    assert!(run.out.starts_with("ok: standard input\n"), "{}", run.out);
    let run = bench.run_on(&["proof", "-", "--from", "txt", "--strict"], APPROVED).ended(0);
    assert!(run.out.starts_with("adds up: standard input\n"), "{}", run.out);
}

#[test]
fn approving_keeps_todays_text() {
    let bench = Bench::with(&[("in/scarf.csv", SCARF), ("in/two.csv", TWO), ("in/wrong.csv", WRONG)]);
    let run = proof(&bench, &["in", "--approve", "--style", "uk"]).ended(1);
    assert!(run.out.contains("approved: in/scarf.csv and scarf.txt\n"), "{}", run.out);
    assert!(run.out.contains(", 2 texts written: "), "{}", run.out);
    let all = [".longhand-run", "scarf.csv", "scarf.txt", "two.csv", "two.txt", "wrong.csv"];
    assert_eq!(bench.tree("in"), all, "in the folder of the charts, and not of a wrong chart");
    assert!(bench.get("in/scarf.txt").contains("Row 1 (RS): K2, k2tog, yfwd, k1.\n"));
    assert!(bench.get("in/two.txt").contains("Second\n"));
    let again = proof(&bench, &["in/scarf.csv", "in/two.csv", "--approve"]).ended(0);
    assert!(again.out.contains("ok: in/two.csv and two.txt\n"), "nothing to approve: {}", again.out);

    // The chart changes: its text differs, until it is approved anew.
    bench.put("in/scarf.csv", SCARF.replace("k2tog", "ssk"));
    assert!(proof(&bench, &["in/scarf.csv"]).ended(1).out.contains("scarf.csv has ssk, scarf.txt has k2tog"));
    let run = proof(&bench, &["in/scarf.csv", "--approve"]).ended(0);
    assert!(run.out.starts_with("approved: in/scarf.csv and scarf.txt\n"), "{}", run.out);
    assert!(bench.get("in/scarf.txt").contains("Row 1 (RS): K2, ssk, yo, k1.\n"));
}

#[test]
fn approving_touches_no_text_of_the_users() {
    let bench = Bench::with(&[("scarf.csv", SCARF), ("scarf.txt", APPROVED)]);
    let out = proof(&bench, &["scarf.csv", "--approve"]).ended(0).out;
    assert!(out.starts_with("ok: ") && bench.get("scarf.txt") == APPROVED, "it agrees: {out}");
    let wrong = APPROVED.replace("P5", "K5");
    bench.put("scarf.txt", &wrong);
    let run = proof(&bench, &["scarf.csv", "--approve"]).ended(2).said("was not written by longhand");
    assert!(run.out.starts_with("differs: "), "{}", run.out);
    assert_eq!(bench.get("scarf.txt"), wrong);
    proof(&bench, &["scarf.csv", "--approve", "--overwrite"]).ended(0);
    assert!(bench.get("scarf.txt").contains("Row 2 (WS): Purl.\n"));
    // An approved text in another format is one.
    let bench = Bench::with(&[("scarf.csv", SCARF), ("scarf.md", APPROVED)]);
    proof(&bench, &["scarf.csv", "--approve"]).ended(0);
    assert_eq!(bench.tree(""), ["scarf.csv", "scarf.md"]);
}

#[test]
fn charts_of_one_name_have_texts_of_their_own() {
    let bench = Bench::with(&[("scarf.csv", SCARF), ("scarf.tsv", &SCARF.replace(',', "\t"))]);
    proof(&bench, &[".", "--approve"]).ended(0);
    assert_eq!(bench.tree(""), [".longhand-run", "scarf.csv", "scarf.csv.txt", "scarf.tsv", "scarf.tsv.txt"]);
    let out = proof(&bench, &["."]).ended(0).out;
    assert!(
        out.contains("ok: ./scarf.csv and scarf.csv.txt\n")
            && out.contains("ok: ./scarf.tsv and scarf.tsv.txt\n"),
        "{out}"
    );
}

/// Longhand's own text, of which the title in the chart has changed since: the stitches agree, the words don't.
#[test]
fn changed_words_of_its_own_are_noted() {
    let bench = Bench::with(&[("scarf.csv", SCARF)]);
    proof(&bench, &["scarf.csv", "--approve", "--style", "bracketed"]).ended(0);
    assert!(proof(&bench, &["scarf.csv"]).ended(0).out.starts_with("ok: "), "known in any style");
    bench.put("scarf.csv", SCARF.replace("Scarf", "Scarf in Lace"));
    let run = proof(&bench, &["scarf.csv"]).ended(0);
    assert!(run.out.starts_with("wording changed: scarf.csv and scarf.txt\n"), "{}", run.out);
    for part in [
        "note wording-changed, line 1, column 1",
        "in the style bracketed 1 line is worded",
        "found: Scarf\n",
        "expected: Scarf in Lace\n",
    ] {
        assert!(run.out.contains(part), "{part}: {}", run.out);
    }
    proof(&bench, &["scarf.csv", "--approve", "--style", "bracketed"]).ended(0);
    assert!(bench.get("scarf.txt").starts_with("Scarf in Lace\n"));
    // What a user edited is the user's: there the stitches alone count.
    bench.put("scarf.txt", bench.get("scarf.txt").replace("Scarf in Lace", "Our scarf"));
    assert!(proof(&bench, &["scarf.csv"]).ended(0).out.starts_with("ok: "));
}

#[test]
fn the_archive_reads_back_in_every_style() {
    let bench = Bench::with(&[]);
    let corpus = concat!(env!("CARGO_MANIFEST_DIR"), "/corpus");
    let run = proof(&bench, &[corpus]).ended(0);
    let summary = run.out.lines().last().unwrap();
    let (count, rest) = summary.split_once(" files read, ").unwrap().1.split_once(" of ").unwrap();
    assert!(count.parse::<usize>().unwrap() > 30, "{summary}");
    assert!(rest.starts_with(&format!("{count} charts read back in 6 styles")), "{summary}");
}

/// The first chart comes through a pipe, so that the call waits for it until it is interrupted.
#[cfg(unix)]
#[test]
fn an_interrupt_tells_what_is_done() {
    use std::io::Write;
    let files: Vec<(String, &str)> = (0..200).map(|n| (format!("in/{n:03}.csv"), SCARF)).collect();
    let files: Vec<(&str, &str)> = files.iter().map(|(path, text)| (path.as_str(), *text)).collect();
    let bench = Bench::with(&files);
    let pipe = bench.path().join("pipe.csv");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    for jobs in ["1", "2"] {
        let child = bench.start(&["proof", "pipe.csv", "in", "--jobs", jobs, "--style", "uk"]);
        // Opens only when the other end is open too.
        let mut pipe = std::fs::OpenOptions::new().write(true).open(&pipe).unwrap();
        let interrupt = std::process::Command::new("kill").args(["-INT", &child.id().to_string()]).status();
        assert!(interrupt.unwrap().success());
        // A signal takes a moment to arrive.
        std::thread::sleep(std::time::Duration::from_millis(200));
        pipe.write_all(SCARF.as_bytes()).unwrap();
        drop(pipe);
        let run = super::bench::ended(child).ended(130).said("Stopped: ");
        let done: usize =
            run.err.split("Stopped: ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
        assert!((1..100).contains(&done), "{done} with {jobs} jobs");
        assert!(run.out.starts_with("no approved text: pipe.csv\n"), "{}", run.out);
        assert_eq!(run.out.matches("no approved text: ").count(), done, "{}", run.out);
    }
}

/// A folder that can't be written to is told once, and the others get their texts.
#[test]
fn each_folder_keeps_its_own_texts() {
    let charts = ["in/a/cuff.csv", "in/a/hem.csv", "in/a/deep/cuff.csv", "in/b/cuff.csv", "in/b/hem.csv"];
    let bench = Bench::with(&charts.map(|path| (path, SCARF)));
    std::fs::create_dir(bench.path().join("in/b/.longhand-run")).unwrap();
    let run = proof(&bench, &["in", "--approve", "--style", "uk"]).ended(2);
    assert_eq!(run.err.matches("is the name of the run record").count(), 1, "{}", run.err);
    assert_eq!(run.out.matches("approved: in/").count(), 3, "{}", run.out);
    for (chart, kept) in charts.into_iter().zip([true, true, true, false, false]) {
        assert_eq!(bench.path().join(chart).with_extension("txt").exists(), kept, "{chart}");
    }
    for folder in ["in/a", "in/a/deep"] {
        assert!(bench.path().join(folder).join(".longhand-run").is_file(), "{folder}");
    }
}
