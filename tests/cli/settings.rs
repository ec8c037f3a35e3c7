//! Settings files, options, styles of one's own.

use super::bench::{Bench, SCARF};

/// A repeat of two stitches between two edges of one: 4 stitches as drawn, any even number when repeated.
const REPEAT: &str = "Rib\n\n,k,p,k,p,2\n,p,k,p,k,1\n";

#[test]
fn the_nearest_settings_file_wins_key_by_key() {
    let bench = Bench::with(&[
        ("longhand.toml", "[write]\nstyle = \"uk\"\n[key]\n\"o\" = \"yo\"\n\"x\" = \"p\"\n"),
        ("lace/longhand.toml", "[key]\n\"x\" = \"k\"\n"),
        ("lace/scarf.csv", "Scarf\n\n,x,o,k2tog,x,x,1\n"),
    ]);
    let out = bench.run(&["write", "lace/scarf.csv"]).ended(0).out;
    assert!(
        out.contains("K2, k2tog, yfwd, k1."),
        "x from the nearer file, o and the style from above: {out}"
    );
}

/// Of many settings files only a few are held as they are understood; each must hold in its folder all the same.
#[test]
fn each_of_many_folders_has_its_own_settings() {
    const CHART: &str = "Strip\n\n,x,x,x,1\n";
    let bench = Bench::with(&[("in/longhand.toml", "[key]\n\"x\" = \"k\"\n[chart]\ncast-on = 3\n")]);
    let mut expected = Vec::new();
    for number in 0..40 {
        // Every other folder lies in the one before it, so that files above and below take turns.
        let folder = format!("{:02}{}", number / 2, if number % 2 == 1 { "/within" } else { "" });
        let own = ["k", "p", "yo"].get(number % 5);
        if let Some(stitch) = own {
            bench.put(&format!("in/{folder}/longhand.toml"), format!("[key]\n\"x\" = \"{stitch}\"\n"));
        }
        for file in ["a", "z"] {
            bench.put(&format!("in/{folder}/{file}.csv"), CHART);
            expected.push((format!("{folder}/{file}.txt"), number));
        }
    }
    let stitch = |number: usize| {
        let above = if number % 2 == 1 { ["k", "p", "yo"].get((number - 1) % 5) } else { None };
        ["k", "p", "yo"].get(number % 5).or(above).copied().unwrap_or("k")
    };
    for jobs in ["1", "4"] {
        bench.run(&["write", "in", "--out", jobs, "--jobs", jobs]);
        for (path, number) in &expected {
            match stitch(*number) {
                // A row of yarn overs uses none of the three stitches cast on.
                "yo" => assert!(!bench.path().join(jobs).join(path).exists(), "{path}"),
                word => {
                    let row = if word == "k" { "Row 1 (RS): Knit." } else { "Row 1 (RS): Purl." };
                    let text = bench.get(&format!("{jobs}/{path}"));
                    assert!(text.contains(row), "{row} {path}: {text}");
                }
            }
        }
    }
}

#[test]
fn an_option_wins_over_the_settings_file() {
    let bench = Bench::with(&[
        ("rib.csv", REPEAT),
        ("longhand.toml", "[chart]\nrepeat-columns = \"2-3\"\ncast-on = 8\n"),
        ("more.toml", "[chart]\ncast-on = 10\n"),
    ]);
    let cast_on = |more: &[&str]| {
        let call: Vec<&str> = ["write", "rib.csv", "--to", "json"].iter().chain(more).copied().collect();
        let chart: serde_json::Value = serde_json::from_str(&bench.run(&call).ended(0).out).unwrap();
        chart["cast_on"].as_u64()
    };
    assert_eq!(cast_on(&[]), Some(8));
    assert_eq!(cast_on(&["--settings", "more.toml"]), Some(10));
    assert_eq!(cast_on(&["--settings", "more.toml", "--cast-on", "12"]), Some(12));
    bench.run(&["write", "rib.csv", "--cast-on", "9"]).ended(1).said("repeat-does-not-fit");
}

/// Widths by hand: the rib takes 2 sts a repeat and 2 at the edges. A cast-on and sizes both say how wide a chart is: what the
/// call says takes the place of either in the sheet, in settings and in a text (contract: an option overrides).
#[test]
fn a_cast_on_of_the_call_wins_over_sizes_and_sizes_over_a_cast_on() {
    let rows = REPEAT;
    let sized = format!("\"Sizes: S = 2, M = 3\"\nRepeat columns: 2-3\n{rows}");
    let cast = format!("Cast on: 8\nRepeat columns: 2-3\n{rows}");
    let told = format!("Cast on 8 sts.\nRepeat columns: 2-3\n{rows}");
    let text = "Rib\nSizes: S (M).\nMultiple of 2 sts + 2.\nCast on 6 (8) sts.\nRow 1 (RS): K1, *p1, k1; rep from * to last st, p1.\nRow 2: P1, *k1, p1; rep from * to last st, k1.\n";
    let bench = Bench::with(&[
        ("sized.csv", sized.as_str()),
        ("cast.csv", cast.as_str()),
        ("told.csv", told.as_str()),
        ("text.txt", text),
        ("set/rib.csv", rows),
        ("set/longhand.toml", "[chart]\nrepeat-columns = \"2-3\"\nsizes = { S = 2, M = 3 }\n"),
        ("cast/rib.csv", rows),
        ("cast/longhand.toml", "[chart]\nrepeat-columns = \"2-3\"\ncast-on = 8\n"),
    ]);
    let widths = |command: &str, file: &str, more: &[&str]| -> Vec<u64> {
        let call: Vec<&str> = [command, file, "--to", "json"].iter().chain(more).copied().collect();
        let chart: serde_json::Value = serde_json::from_str(&bench.run(&call).ended(0).out).unwrap();
        let sizes = chart["sizes"].as_array().into_iter().flatten().map(|size| &size["cast_on"]);
        std::iter::once(&chart["cast_on"]).chain(sizes).filter_map(serde_json::Value::as_u64).collect()
    };
    let charts = ["sized.csv", "cast.csv", "told.csv", "set/rib.csv", "cast/rib.csv"];
    for (command, file) in charts.map(|file| ("write", file)).into_iter().chain([("chart", "text.txt")]) {
        assert_eq!(widths(command, file, &["--cast-on", "14"]), [14], "{file}");
        assert_eq!(widths(command, file, &["--sizes", "L=5"]), [12, 12], "{file}");
        assert_eq!(widths(command, file, &["--sizes", "L=5", "--sizes", "XL=6"]), [12, 12, 14], "{file}");
        assert_eq!(widths(command, file, &["--sizes", "L=5", "--cast-on", "12"]), [12, 12], "{file}");
        bench
            .run(&[command, file, "--to", "json", "--sizes", "L=5", "--cast-on", "8"])
            .ended(1)
            .said("settings-disagree");
    }
    assert_eq!(widths("write", "sized.csv", &[]), [6, 6, 8]);
    assert_eq!(widths("chart", "text.txt", &[]), [6, 6, 8]);
    bench.run(&["compare", "sized.csv", "text.txt", "--sizes", "L=5"]).ended(0);
    bench.run(&["compare", "sized.csv", "text.txt", "--cast-on", "14"]).ended(0);
}

#[test]
fn a_wrong_settings_file_is_a_failed_call() {
    let bench = Bench::with(&[("in/scarf.csv", SCARF), ("longhand.toml", "[chart]\n\ncast_on = 23\n")]);
    for call in [&["write", "in/scarf.csv"][..], &["check", "in"], &["write", "in", "--out", "rows"]] {
        let run = bench.run(call).ended(2).said("longhand.toml\n  error wrong-setting, line 3, column 1");
        assert!(run.err.contains("Did you mean \"cast-on\"?"), "{}", run.err);
        assert_eq!(run.out, "");
    }
    assert!(bench.tree("rows").is_empty());
    bench.put("longhand.toml", "");
    bench.run(&["write", "in/scarf.csv", "--settings", "no.toml"]).ended(2).said("no.toml");
}

#[test]
fn a_style_or_format_that_is_none_is_a_wrong_setting() {
    let bench = Bench::with(&[("scarf.csv", SCARF)]);
    for (text, place, meant) in [
        ("[write]\nstyle = \"abreviated\"\n", "line 2, column 9", "Did you mean \"abbreviated\"?"),
        ("[write]\nto = [\"text\", \"jason\"]\n", "line 2, column 6", "Did you mean \"json\"?"),
        ("[read]\nterms = \"usa\"\n", "line 2, column 9", "Did you mean \"us\"?"),
    ] {
        bench.put("longhand.toml", text);
        bench.run(&["write", "scarf.csv"]).ended(2).said(place).said(meant);
    }
}

#[test]
fn the_formats_of_the_settings_are_those_of_the_writers() {
    let formats: Vec<&str> = longhand::convert::Format::all().map(|format| format.name()).collect();
    assert_eq!(formats, longhand::settings::FORMATS);
}

#[test]
fn a_wrong_option_is_a_failed_call() {
    let bench = Bench::with(&[("scarf.csv", SCARF)]);
    for (option, value, said) in [
        ("--worked", "rund", "Did you mean \"round\"?"),
        ("--cast-on", "many", "a number of stitches"),
        ("--style", "abreviated", "Did you mean \"abbreviated\"?"),
        ("--style", "no.toml", "no.toml"),
        ("--to", "jason", "Did you mean \"json\"?"),
        ("--from", "xslx", "xlsx"),
        ("--jobs", "0", "0"),
        ("--report", "report.pdf", ".html"),
        ("--report", "report", ".csv"),
        ("--cst-on", "5", "--cast-on"),
    ] {
        bench.run(&["write", "scarf.csv", option, value]).ended(2).said(said);
    }
}

#[test]
fn a_style_of_ones_own_is_named_by_its_file() {
    let bench = Bench::with(&[
        ("styles/house.toml", "about = \"ours\"\nlike = \"uk\"\n"),
        ("longhand.toml", "[write]\nstyle = \"styles/house.toml\"\n"),
        ("in/scarf.csv", SCARF),
    ]);
    let out = bench.run(&["write", "in/scarf.csv"]).ended(0).out;
    assert!(out.contains("yfwd"), "beside the settings file that names it: {out}");
    bench.put("styles/house.toml", "lke = \"uk\"\n");
    bench.run(&["write", "in/scarf.csv"]).ended(2).said("styles/house.toml");
}

/// Words that only the language of knitting can tell to be wrong; those of a stitch that a folder above describes are right.
#[test]
fn return_rows_that_cant_be_read_are_told_at_their_line() {
    let chart = "k,k,k,3\nk,yo,k2tog,1\n";
    let bench = Bench::with(&[
        ("longhand.toml", "[stitch.twirl]\nuses = 1\nmakes = 1\nfaces = \"k\"\n"),
        ("in/longhand.toml", "[chart]\nworked = \"flat\"\nreturn-rows = \"K1, pp\"\n"),
        ("in/a.csv", chart),
    ]);
    bench
        .run(&["write", "in/a.csv"])
        .ended(2)
        .said("in/longhand.toml")
        .said("line 3, column 1")
        .said("found: pp");
    bench.put("in/longhand.toml", "[chart]\nreturn-rows = \"K1, twirl to end\"\n");
    assert!(bench.run(&["write", "in/a.csv"]).ended(0).out.contains("Row 2 (WS): K1, [twirl] twice."));
}
