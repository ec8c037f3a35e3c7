//! `longhand compare` of two folders. What texts say is worked out by hand from the charts of the bench.

use super::bench::{Bench, JSON, Run, SCARF, TWO, WRONG};

/// What an editor would print of the scarf in `SCARF`, and of both charts in `TWO`, whose second rows are on the wrong
/// side: what looks knitted there is purled.
const SCARF_ROWS: &str = "Scarf\n\nCast on 5 sts.\nRow 1 (RS): K2, k2tog, yo, k1.\nRow 2: P5.\nRow 3: P5.\n";
const FIRST_ROWS: &str = "First\n\nCast on 4 sts.\nRow 1 (RS): Purl.\nRow 2 (WS): Purl.\n";
const SECOND_ROWS: &str = "Second\n\nCast on 3 sts.\nRow 1 (RS): Knit.\nRow 2 (WS): Knit.\n";

fn compared(bench: &Bench, arguments: &[&str]) -> Run {
    bench.run(&[&["compare", "--color", "never"], arguments].concat())
}

/// What `write` makes of an archive, and `chart` of that, compares with the archive as it lies there: in folders below,
/// with files of one stem, several charts in a file, and a letter among them.
#[test]
fn a_folder_of_charts_agrees_with_the_texts_written_of_it() {
    let bench = Bench::with(&[
        ("in/scarf.csv", SCARF),
        ("in/scarf.tsv", &SCARF.replace(',', "\t")),
        ("in/deep/two.csv", TWO),
        ("in/deep/strap.json", JSON),
        ("in/letter.txt", "Dear knitter,\nthank you.\n"),
    ]);
    bench.run(&["write", "in", "--out", "rows"]).ended(0);
    let run = compared(&bench, &["in", "rows"]).ended(0);
    assert_eq!(run.err, "", "the verdicts are the result");
    let told = "\
same stitches: in/deep/strap.json and rows/deep/strap.txt
same stitches: in/deep/two.csv A and rows/deep/two.A.txt
same stitches: in/deep/two.csv B and rows/deep/two.B.txt
no rows: in/letter.txt
same stitches: in/scarf.csv and rows/scarf.csv.txt
same stitches: in/scarf.tsv and rows/scarf.tsv.txt
";
    assert!(run.out.starts_with(told), "{}", run.out);
    let closing = "\n10 files read, 5 pairs compared (5 same stitches), 1 without rows: ";
    assert!(run.out.contains(closing), "{}", run.out);
    // In several styles and formats, the other way round, and drawn again.
    let several =
        ["write", "in", "--out", "many", "--style", "uk", "--style", "aloud", "--to", "text", "--to", "json"];
    bench.run(&several).ended(0);
    let out = compared(&bench, &["many", "in"]).ended(0).out;
    assert!(out.contains("same stitches: many/deep/two.B.aloud.txt and in/deep/two.csv B\n"), "{out}");
    assert!(out.contains("25 files read, 20 pairs compared (20 same stitches), 1 without rows"), "{out}");
    bench.run(&["chart", "rows", "--out", "drawn", "--to", "xlsx"]).ended(0);
    for other in ["rows", "in"] {
        let out = compared(&bench, &["drawn", other]).ended(0).out;
        assert!(out.contains(" 5 pairs compared (5 same stitches)"), "{out}");
    }
}

/// The files of results are named after the name of a style, without what can't stand in a name, and not after its file.
#[test]
fn a_style_of_ones_own_stands_in_names_as_it_is_called() {
    for (name, plain) in [("Harbour House", "Harbour House"), ("v2.1", "v2-1"), ("L'Atelier", "L-Atelier")] {
        let bench = Bench::with(&[
            ("in/longhand.toml", "[write]\nstyle = [\"abbreviated\", \"house.toml\"]\n"),
            ("in/house.toml", &format!("like = \"uk\"\nname = \"{name}\"\n")),
            ("in/scarf.csv", SCARF),
            ("in/two.csv", TWO),
        ]);
        bench.run(&["write", "in", "--out", "rows"]).ended(0);
        let own = format!("scarf.{plain}.txt");
        assert_eq!(bench.tree("rows").iter().filter(|file| **file == own).count(), 1, "{own}");
        let out = compared(&bench, &["in", "rows"]).ended(0).out;
        assert!(out.contains(&format!("same stitches: in/scarf.csv and rows/{own}\n")), "{out}");
        assert!(out.contains(" 6 pairs compared (6 same stitches)"), "{out}");
        // The same texts kept beside their charts.
        for file in bench.tree("rows").iter().filter(|file| file.ends_with(".txt")) {
            bench.put(&format!("in/{file}"), bench.get(&format!("rows/{file}")));
        }
        let out = bench.run(&["proof", "--color", "never", "in"]).ended(0).out;
        let line = out.lines().find(|line| line.starts_with("ok: in/scarf.csv and ")).unwrap();
        assert!(line.contains(&own) && line.contains("scarf.abbreviated.txt"), "{out}");
        assert!(!out.contains("no chart beside it"), "{out}");
        // A text that is named goes with its chart, in whichever styles it is proved.
        let path = format!("in/{own}");
        for styles in [&[][..], &["--style", "uk"]] {
            let named = [&["proof", "--color", "never", &path], styles].concat();
            let out = bench.run(&named).ended(0).out;
            assert!(out.starts_with("ok: in/scarf.csv and ") && out.contains(&own), "{out}");
        }
    }
}

/// The archive of `corpus`: 31 charts, as its README counts them, two of them with two charts each.
#[test]
fn the_archive_agrees_with_its_texts() {
    let corpus = concat!(env!("CARGO_MANIFEST_DIR"), "/corpus");
    let bench = Bench::with(&[]);
    bench.run(&["write", corpus, "--out", "rows", "-q"]).ended(0);
    let out = compared(&bench, &[corpus, "rows"]).ended(0).out;
    assert!(out.contains("65 files read, 33 pairs compared (33 same stitches), 1 without rows: "), "{out}");
}

/// A difference, files that only one folder has, one that can't be read, one without rows: each is said, and stops
/// none of the others.
#[test]
fn each_pair_tells_its_verdict_and_what_differs() {
    let bench = Bench::with(&[
        ("charts/a.csv", SCARF),
        ("charts/b.csv", SCARF),
        ("charts/c.csv", SCARF),
        ("charts/d.csv", SCARF),
        ("charts/deep/e.csv", SCARF),
        ("charts/f.csv", SCARF),
        ("charts/g.csv", &SCARF.replace("k2tog", "ssk")),
        ("charts/h.csv", WRONG),
        ("texts/a.txt", &SCARF_ROWS.replace("k2tog", "ssk")),
        ("texts/b.md", SCARF_ROWS),
        ("texts/d.txt", "Dear knitter,\nthank you.\n"),
        ("texts/deeper/e.txt", SCARF_ROWS),
        ("texts/f.txt", &SCARF_ROWS.replace("Row 2: P5.\n", "")),
        ("texts/g.txt", &SCARF_ROWS.replace("k2tog", "skp")),
        ("texts/h.txt", SCARF_ROWS),
    ]);
    bench.put("texts/c.docx", b"PK\x03\x04 and no more");
    let run = compared(&bench, &["charts", "texts"]).ended(1);
    let lines: Vec<&str> = run.out.lines().filter(|line| !line.starts_with(' ')).collect();
    let told = [
        "different: charts/a.csv and texts/a.txt",
        "same stitches: charts/b.csv and texts/b.md",
        "unreadable: charts/c.csv and texts/c.docx",
        "not compared: charts/d.csv and texts/d.txt",
        "alone: charts/deep/e.csv",
        "alone: texts/deeper/e.txt",
        "compared in part: charts/f.csv and texts/f.txt",
        "same fabric, worked otherwise: charts/g.csv and texts/g.txt",
        "different: charts/h.csv and texts/h.txt",
    ];
    assert_eq!(lines.get(..told.len()), Some(&told[..]), "{}", run.out);
    let below = "\
different: charts/a.csv and texts/a.txt
  error stitch-differs, line 5, column 4, row 1
    Row 1, stitch 3: a.csv has k2tog, a.txt has ssk.
    found: k2tog
    expected: ssk
    help: Compare with texts/a.txt, line 4, column 1, and correct the one that is wrong.
  Row 1 (RS)
    a.csv: k2, [k2tog], yo, k1
    a.txt: k2, [ssk],   yo, k1
same stitches: ";
    assert!(run.out.starts_with(below), "{}", run.out);
    for finding in ["  In texts/c.docx:\n  error unreadable-file", "  In texts/d.txt:\n  error no-chart"] {
        assert!(run.out.contains(finding), "{finding} {}", run.out);
    }
    let closing = "16 files read, 5 pairs compared (1 same stitches, 1 same fabric, 2 different, 1 in part), 2 alone, 1 unreadable, \
                   1 not compared: ";
    assert!(run.out.contains(closing), "{}", run.out);
}

/// One text of two charts, and charts in files of their own: each chart is held against what goes by its name, and one
/// that nothing goes with is said.
#[test]
fn several_files_of_one_name_are_each_compared() {
    let bench = Bench::with(&[
        ("in/scarf.csv", SCARF),
        ("in/scarf.tsv", &SCARF.replace(',', "\t").replace("k2tog", "ssk")),
        ("in/two.csv", TWO),
        ("out/scarf.txt", SCARF_ROWS),
        ("out/two.txt", &format!("{FIRST_ROWS}\n{SECOND_ROWS}")),
    ]);
    let lines = |bench: &Bench, status: i32| -> Vec<String> {
        let out = compared(bench, &["in", "out"]).ended(status).out;
        let is_line = |line: &&str| line.contains(": in/") || line.contains(": out/");
        out.lines().filter(is_line).map(str::to_owned).collect()
    };
    let scarves =
        ["same stitches: in/scarf.csv and out/scarf.txt", "different: in/scarf.tsv and out/scarf.txt"];
    assert_eq!(lines(&bench, 1), [&scarves[..], &["same stitches: in/two.csv and out/two.txt"]].concat());
    // The text of one chart is left out, then that of one too many is there.
    let apart = Bench::with(&[("in/two.csv", TWO), ("out/two.B.txt", SECOND_ROWS)]);
    let run = compared(&apart, &["in", "out"]).ended(1);
    let told = "\
same stitches: in/two.csv B and out/two.B.txt
alone: in/two.csv A
  error chart-unmatched, chart A, line 4, column 2
    Chart A has no partner beside out/two.B.txt.
";
    assert!(run.out.starts_with(told), "{}", run.out);
    apart.put("out/two.A.txt", FIRST_ROWS);
    assert_eq!(lines(&apart, 0).len(), 2);
    apart.put("out/two.C.txt", SECOND_ROWS);
    let out = compared(&apart, &["in", "out"]).ended(1).out;
    let told = "The file is that of chart C, which in/two.csv has not.";
    assert!(out.contains("alone: out/two.C.txt\n") && out.contains(told), "{out}");
}

/// Names that differ in case or in how an accent is put together are one name; where both are there, each goes with its
/// like.
#[test]
fn names_go_together_as_people_read_them() {
    let bench = Bench::with(&[
        ("in/Lace/Mu\u{308}tze.csv", SCARF),
        ("in/scarf.csv", SCARF),
        ("out/lace/m\u{fc}tze.txt", SCARF_ROWS),
        ("out/SCARF.TXT", SCARF_ROWS),
    ]);
    let out = compared(&bench, &["in", "out"]).ended(0).out;
    assert!(out.contains("same stitches: in/Lace/Mu\u{308}tze.csv and out/lace/m\u{fc}tze.txt\n"), "{out}");
    assert!(out.contains("2 pairs compared (2 same stitches): "), "{out}");
    bench.put("out/scarf.txt", SCARF_ROWS.replace("k2tog", "ssk"));
    if bench.tree("out").len() == 3 {
        let out = compared(&bench, &["in", "out"]).ended(1).out;
        assert!(out.contains("same stitches: in/scarf.csv and out/SCARF.TXT\n"), "{out}");
        assert!(out.contains("different: in/scarf.csv and out/scarf.txt\n"), "{out}");
    }
}

/// Prose under the name of a chart is no partner of its text, which goes with the chart; and nothing compared is
/// nothing proved.
#[test]
fn texts_without_rows_are_left_aside() {
    let prose = "Dear knitter,\nthank you.\n";
    let bench = Bench::with(&[
        ("in/scarf.csv", SCARF),
        ("in/scarf.md", prose),
        ("in/letter.txt", prose),
        ("out/scarf.txt", SCARF_ROWS),
        ("out/scarf.json", &JSON.replace("Strap", "Scarf")),
        ("out/letter.txt", prose),
    ]);
    let out = compared(&bench, &["in", "out"]).ended(1).out;
    let lines: Vec<&str> =
        out.lines().filter(|line| line.contains(": in/") || line.contains(": out/")).collect();
    let told = [
        "no rows: in/letter.txt and out/letter.txt",
        "different: in/scarf.csv and out/scarf.json",
        "same stitches: in/scarf.csv and out/scarf.txt",
        "no rows: in/scarf.md",
    ];
    assert_eq!(lines, told, "{out}");
    assert!(
        out.contains("6 files read, 2 pairs compared (1 same stitches, 1 different), 2 without rows: "),
        "{out}"
    );
    let letters = Bench::with(&[("in/letter.txt", prose), ("out/letter.txt", prose)]);
    compared(&letters, &["in", "out"]).ended(2).said("Nothing was compared");
}

#[test]
fn what_are_no_two_folders_is_refused() {
    let bench =
        Bench::with(&[("in/scarf.csv", SCARF), ("in/rows/scarf.txt", SCARF_ROWS), ("empty/a.png", "")]);
    compared(&bench, &["in", "./in/"]).ended(2).said("are the same folder");
    compared(&bench, &["in", "in/scarf.csv"]).ended(2).said("in is a folder, but in/scarf.csv is not");
    compared(&bench, &["-", "in"]).ended(2).said("in is a folder, but standard input is not");
    compared(&bench, &["in", "nowhere"]).ended(2).said("there is no such file");
    compared(&bench, &["empty", "in"]).ended(2).said("There is no chart and no text in empty.");
    // One in the other is no part of it.
    for sides in [["in", "in/rows"], ["in/rows", "in"]] {
        let out = compared(&bench, &sides).ended(0).out;
        assert!(out.contains("2 files read, 1 pair compared (1 same stitches): "), "{out}");
    }
}

/// Two folders with a difference, one without partner, one that is the same otherwise worked and one that is the same.
fn folders() -> Bench {
    Bench::with(&[
        ("l/a.csv", SCARF),
        ("l/b.csv", &SCARF.replace("k2tog", "ssk")),
        ("l/c.csv", SCARF),
        ("l/d.csv", TWO),
        ("r/a.txt", &SCARF_ROWS.replace("k2tog", "ssk")),
        ("r/b.txt", &SCARF_ROWS.replace("k2tog", "skp")),
        ("r/c.txt", SCARF_ROWS),
    ])
}

/// The same, and 60 files more, nine of which differ: those with the number 0, 7, 14 ... 56.
fn many() -> Bench {
    let bench = folders();
    for number in 0..60 {
        let row = if number % 7 == 0 { SCARF_ROWS.replace("P5", "K5") } else { SCARF_ROWS.to_owned() };
        bench.put(&format!("l/many/{number}.csv"), SCARF);
        bench.put(&format!("r/many/{number}.txt"), row);
    }
    bench
}

#[test]
fn every_form_is_the_same_whatever_the_jobs() {
    let bench = many();
    for form in ["text", "unified", "json", "html"] {
        let [one, four] =
            ["1", "4"].map(|jobs| compared(&bench, &["l", "r", "--to", form, "--jobs", jobs]).ended(1));
        assert!(one.out.len() > 1_000, "{form}");
        assert_eq!((one.out, one.err), (four.out, four.err), "{form}");
    }
}

/// Where there are many, those to be looked at are named again at the end, ten of a kind: of the eleven that differ, in
/// the order of their names, all but number 7.
#[test]
fn the_end_says_where_to_look() {
    let bench = many();
    bench.put("l/many/1.csv", TWO);
    let out = compared(&bench, &["l", "r"]).ended(1).out;
    let end: Vec<&str> = out.split_once("Where to look\n").unwrap().1.lines().collect();
    assert_eq!(
        (end[0], end[9]),
        ("  different: l/a.csv and r/a.txt", "  different: l/many/56.csv and r/many/56.txt")
    );
    assert_eq!((end[10], end[11]), ("  different: 1 more", "  alone: l/d.csv"));
    let closing =
        "127 files read, 63 pairs compared (51 same stitches, 1 same fabric, 11 different), 1 alone: ";
    assert!(end[12].starts_with(closing), "{out}");
}

#[test]
fn quiet_strict_and_reports_are_as_for_two_files() {
    let bench = folders();
    let out = compared(&bench, &["l", "r", "-q"]).ended(1).out;
    let lines: Vec<&str> = out.lines().filter(|line| !line.starts_with(' ')).collect();
    assert_eq!(lines, ["different: l/a.csv and r/a.txt", "alone: l/d.csv"], "{out}");
    for report in ["all.csv", "all.html"] {
        compared(&bench, &["l", "r", "-q", "--report", report]).ended(1);
        let text = bench.get(report);
        assert!(text.contains("file-unmatched") && text.contains("worked-otherwise"), "{text}");
    }
    compared(&bench, &["l", "r", "-q", "--report", "all.json"]).ended(1);
    let report: serde_json::Value = serde_json::from_str(&bench.get("all.json")).unwrap();
    let unmatched = report.as_array().unwrap().iter().find(|finding| finding["code"] == "file-unmatched");
    let unmatched = unmatched.unwrap();
    assert_eq!((&unmatched["where"]["file"], &unmatched["expected"]), (&"l/d.csv".into(), &"r/d".into()));
    // What is worked otherwise is a note.
    let bench = Bench::with(&[
        ("l/b.json", JSON),
        ("r/b.txt", "Strap\n\nCast on 2 sts.\nRow 1 (RS): Knit.\nRow 2 (WS): Purl.\n"),
    ]);
    compared(&bench, &["l", "r", "--strict"]).ended(0);
    let (ssk, skp) = (JSON.replace("\"k\", \"k\"", "\"ssk\""), "Row 1 (RS): Skp.\nRow 2 (WS): P1.\n");
    bench.put("l/b.json", ssk.replace("\"p\", \"p\"", "\"p\""));
    bench.put("r/b.txt", format!("Strap\n\nCast on 2 sts.\n{skp}"));
    let out = compared(&bench, &["l", "r"]).ended(0).out;
    assert!(
        out.contains("same fabric, worked otherwise: l/b.json and r/b.txt\n  note worked-otherwise"),
        "{out}"
    );
    assert_eq!(compared(&bench, &["l", "r", "--strict", "-q"]).ended(1).out, "");
}

#[test]
fn json_of_folders_is_one_document() {
    let run = compared(&folders(), &["l", "r", "--to", "json"]).ended(1);
    assert_eq!(run.err, "");
    let value: serde_json::Value = serde_json::from_str(&run.out).unwrap();
    assert_eq!(value["format"], "longhand.comparisons/1");
    assert_eq!((&value["left"], &value["right"]), (&"l".into(), &"r".into()));
    assert_eq!((&value["verdict"], &value["complete"]), (&"different".into(), &true.into()));
    let each = value["comparisons"].as_array().unwrap();
    let verdicts: Vec<&str> = each.iter().map(|one| one["verdict"].as_str().unwrap()).collect();
    assert_eq!(verdicts, ["different", "same-fabric", "same-stitches", "alone"]);
    for verdict in &verdicts {
        assert_eq!(value["counts"][verdict], 1, "{verdict}");
    }
    assert_eq!(each[3]["right"], serde_json::Value::Null);
    // What is told of a pair is what is told of the two files alone.
    let bench = folders();
    let alone = compared(&bench, &["l/a.csv", "r/a.txt", "--to", "json"]).ended(1);
    let alone: serde_json::Value = serde_json::from_str(&alone.out).unwrap();
    for field in ["left", "right", "verdict", "charts", "findings"] {
        assert_eq!(each[0][field], alone[field], "{field}");
    }
}

#[test]
fn a_unified_list_of_folders_names_whole_paths() {
    let list = "\
--- l/a.csv
+++ r/a.txt
@@ -1,5 +1,5 @@
 Worked flat.
 Cast on 5 sts.
-Row 1 (RS): k2, k2tog, yo, k1
+Row 1 (RS): k2, ssk, yo, k1
 Row 2 (WS): p5
 Row 3 (RS): p5
--- l/b.csv
+++ r/b.txt
@@ -1,5 +1,5 @@
 Worked flat.
 Cast on 5 sts.
-Row 1 (RS): k2, ssk, yo, k1
+Row 1 (RS): k2, skp, yo, k1
 Row 2 (WS): p5
 Row 3 (RS): p5
";
    let bench = folders();
    let run = compared(&bench, &["l", "r", "--to", "unified"]).ended(1);
    assert_eq!(run.out, list);
    let aside = "l/d.csv\n  error file-unmatched\n    r has no file of this name, whatever its ending.\n";
    assert!(run.err.starts_with(aside), "{}", run.err);
    bench.put("r/d.txt", format!("{FIRST_ROWS}\n{}", SECOND_ROWS.replace("Knit", "Purl")));
    let out = compared(&bench, &["l", "r", "--to", "unified"]).ended(1).out;
    assert!(out.contains("\n--- l/d.csv B\n+++ r/d.txt B\n"), "{out}");
}

#[test]
fn a_page_of_folders_shows_first_what_is_to_be_looked_at() {
    let bench = folders();
    bench.put("l/b.csv", bench.get("l/b.csv").replace("Scarf", "<script>"));
    let page = compared(&bench, &["l", "r", "--to", "html"]).ended(1).out;
    for part in [
        "<title>l and r</title>",
        "<p>7 files read, 3 pairs compared (1 same stitches, 1 same fabric, 1 different), 1 alone.</p>",
        "<caption>4 lines, 2 of them to be looked at. The rows stand below, but for those that are all the same.</caption>",
        "scope=\"row\"><a href=\"#at-0\">Different</a></th><td role=\"cell\" data-of=\"l\">l/a.csv</td>\
         <td role=\"cell\" data-of=\"r\">r/a.txt</td>",
        "<a href=\"#at-3\">Alone</a></th><td role=\"cell\" data-of=\"l\">l/d.csv</td><td role=\"cell\" data-of=\"r\">nothing</td>",
        "scope=\"row\">Same stitches</th>",
        "<section id=\"at-0\">\n<h2>l/a.csv and r/a.txt</h2>\n<p>Different.</p>\n<h3>Scarf</h3>\n",
        "<mark>[k2tog]</mark>",
    ] {
        assert!(page.contains(part), "{part}\n{page}");
    }
    let at = |part: &str| page.find(part).unwrap();
    assert!(at("#at-3") < at("#at-1") && at("#at-1") < at(">Same stitches<"), "{page}");
    assert!(!page.contains("id=\"at-2\"") && !page.contains("<script"), "{page}");
}

#[cfg(unix)]
#[test]
fn an_interrupt_leaves_what_was_said() {
    use std::io::Read;
    let files: Vec<(String, String)> = (0..600)
        .flat_map(|n| {
            [("l", "csv", SCARF), ("r", "txt", SCARF_ROWS)]
                .map(|(side, ending, text)| (format!("{side}/{n:04}.{ending}"), text.to_owned()))
        })
        .collect();
    let files: Vec<(&str, &str)> = files.iter().map(|(path, text)| (path.as_str(), text.as_str())).collect();
    let bench = Bench::with(&files);
    let mut child = bench.start(&["compare", "l", "r", "--to", "json", "--jobs", "2"]);
    // The first lines are said long before the end.
    let mut said = vec![0; 100];
    child.stdout.as_mut().unwrap().read_exact(&mut said).unwrap();
    let interrupt = std::process::Command::new("kill").args(["-INT", &child.id().to_string()]).status();
    assert!(interrupt.unwrap().success());
    let run = super::bench::ended(child).ended(130).said("Stopped: ");
    let value: serde_json::Value =
        serde_json::from_str(&(String::from_utf8(said).unwrap() + &run.out)).unwrap();
    let done = value["comparisons"].as_array().unwrap().len();
    assert!((1..600).contains(&done), "{done}");
    assert_eq!((&value["complete"], &value["counts"]["same-stitches"]), (&false.into(), &done.into()));
}
