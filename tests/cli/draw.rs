//! `chart` and `compare`: what they take, give and end with.

use super::bench::{Bench, JSON, SCARF, TWO, WRONG};

#[test]
fn a_pattern_becomes_a_chart_and_the_chart_says_the_same() {
    let bench = Bench::with(&[("in/strap.json", JSON), ("in/scarf.csv", SCARF), ("in/.hidden.json", JSON)]);
    let out = bench.run(&["chart", "in/strap.json"]).ended(0).out;
    assert!(out.contains("\n2,k,k,\n,k,k,1\n"), "{out}");
    bench.put("strap.csv", &out);
    let said = bench.run(&["compare", "strap.csv", "in/strap.json", "--strict"]).ended(0);
    assert_eq!(said.out, "same stitches: Strap, 2 rows\n2 files read, 1 chart compared: nothing to note.\n");

    // In a folder the charts are left alone: there is nothing to draw about them.
    bench.run(&["chart", "in", "--out", "out", "--to", "csv", "--to", "xlsx", "--to", "json"]).ended(0);
    assert_eq!(bench.tree("out"), [".longhand-run", "strap.csv", "strap.json", "strap.xlsx"]);
    assert_eq!(bench.get("out/strap.csv"), out);
    bench.run(&["compare", "out/strap.xlsx", "out/strap.csv", "--strict"]).ended(0);
    // Written again, the same bytes stand there already.
    bench.run(&["chart", "in", "--out", "out", "--to", "xlsx"]).ended(0);
}

#[test]
fn each_command_gives_its_own_formats() {
    let bench = Bench::with(&[("strap.json", JSON), ("scarf.csv", SCARF)]);
    bench.run(&["write", "scarf.csv", "--to", "csv"]).ended(2).said("longhand chart");
    bench.run(&["chart", "strap.json", "--to", "markdown"]).ended(2).said("longhand write");
    bench.put("longhand.toml", "[write]\nto = [\"markdown\", \"csv\"]\nstyle = \"uk\"\n");
    assert!(bench.run(&["write", "scarf.csv"]).ended(0).out.starts_with("# Scarf"));
    assert!(bench.run(&["chart", "strap.json"]).ended(0).out.starts_with("Title: Strap\n"));
    bench.run(&["chart", "strap.json", "scarf.csv", "--to", "csv", "--to", "xlsx"]).ended(2).said("--out");
}

/// Colours have no place in csv: said, and everything else is drawn.
#[test]
fn what_cant_be_drawn_is_told() {
    let colours = JSON.replacen(
        r#""stitches": ["k", "k"]"#,
        r#""stitches": ["k", "k"], "colours": ["navy", "white"]"#,
        1,
    );
    let bench = Bench::with(&[("strap.json", JSON), ("fair.json", &colours)]);
    let run = bench.run(&["chart", "strap.json", "fair.json", "--out", "out"]).ended(1).said("not-drawn");
    assert!(run.err.contains("--to xlsx"), "{}", run.err);
    assert_eq!(bench.tree("out"), [".longhand-run", "strap.csv"]);
    assert_eq!(bench.run(&["chart", "fair.json"]).ended(1).out, "");
    bench.run(&["chart", "fair.json", "--to", "xlsx", "--out", "out"]).ended(0);
    bench.run(&["compare", "fair.json", "out/fair.xlsx"]).ended(0);

    // Nor has a workbook place for a title of 33,000 letters: other advice, and one full stop.
    bench.put("long.json", JSON.replacen("Strap", &"Strap ".repeat(5_500), 1));
    let run = bench
        .run(&["chart", "long.json", "--to", "xlsx", "--out", "out"])
        .ended(1)
        .said("32,767 characters.\n");
    assert!(!run.err.contains("--to"), "{}", run.err);
}

#[test]
fn compare_ends_by_what_it_finds() {
    let same = SCARF.replace("k2tog", "ssk");
    let alike = SCARF.replace("k2tog", "skp");
    let bench = Bench::with(&[
        ("scarf.csv", SCARF),
        ("ssk.csv", &same),
        ("skp.csv", &alike),
        ("wrong.csv", WRONG),
        ("two.csv", TWO),
        ("folder/scarf.csv", SCARF),
    ]);
    assert_eq!(bench.run(&["compare", "scarf.csv", "scarf.csv", "--quiet"]).ended(0).out, "");
    let run = bench.run(&["compare", "scarf.csv", "ssk.csv"]).ended(1);
    assert_eq!(run.err, "", "the findings are the result");
    assert!(run.out.contains("Row 1, stitch 3: scarf.csv has k2tog, ssk.csv has ssk."), "{}", run.out);
    assert!(run.out.contains("different: Scarf, 3 rows\n"), "{}", run.out);
    let run = bench.run(&["compare", "ssk.csv", "skp.csv"]).ended(0);
    assert!(run.out.contains("note worked-otherwise"), "{}", run.out);
    assert!(run.out.contains("same fabric, worked otherwise: Scarf, 3 rows\n"), "{}", run.out);
    bench.run(&["compare", "ssk.csv", "skp.csv", "--strict"]).ended(1);

    // What is wrong in itself can't be compared; what can't be read at all is no call.
    assert!(bench.run(&["compare", "scarf.csv", "wrong.csv"]).ended(1).out.contains("count-mismatch"));
    bench.run(&["compare", "scarf.csv", "none.csv"]).ended(2).said("unreadable-file");
    bench.run(&["compare", "scarf.csv"]).ended(2);
    bench.run(&["compare", "scarf.csv", "folder"]).ended(2).said("folder");
    bench.run(&["compare", "-", "-"]).ended(2).said("both sides");
    assert!(bench.run(&["compare", "scarf.csv", "two.csv"]).ended(1).out.contains("chart-unmatched"));
}

/// The rows of the chart in words, written by hand.
const ROWS: &str =
    "Scarf\n\nCast on 5 sts.\n\nRow 1 (RS): K2, k2tog, yo, k1.\nRow 2 (WS): Purl.\nRow 3 (RS): P to end.\n";

#[test]
fn texts_are_drawn_and_compared() {
    let off = ROWS.replace("k2tog, yo, k1", "yo, k2tog, k1");
    let bench = Bench::with(&[("scarf.txt", ROWS), ("off.txt", &off), ("scarf.csv", SCARF)]);
    let run = bench.run(&["compare", "scarf.csv", "scarf.txt"]).ended(0);
    assert!(run.out.contains("same stitches: Scarf, 3 rows\n"), "{}", run.out);
    let run = bench.run(&["compare", "scarf.csv", "off.txt"]).ended(1);
    let told = "Row 1, stitches 3 to 4: scarf.csv has k2tog, yo, off.txt has yo, k2tog.";
    assert!(run.out.contains(told) && run.out.contains("Compare with off.txt, line 5"), "{}", run.out);
    bench.run_on(&["compare", "-", "scarf.csv"], ROWS).ended(0);

    let drawn = bench.run_on(&["chart", "-"], ROWS).ended(0).out;
    assert!(drawn.contains("\n,p,p,p,p,p,3\n2,k,k,k,k,k,\n,k,yo,k2tog,k,k,1\n"), "{drawn}");
    bench.run(&["chart", "scarf.txt", "--to", "xlsx", "--out", "out"]).ended(0);
    bench.run(&["compare", "out/scarf.xlsx", "scarf.csv"]).ended(0);
}

/// A vocabulary of the user's own, named in the call or, from where it stands, in a settings file.
#[test]
fn words_of_ones_own_are_read() {
    let rows = ROWS.replace("k2tog", "nip");
    let words = "name = \"ours\"\n[means]\nnip = \"k2tog\"\n";
    let bench = Bench::with(&[("rows/scarf.txt", &rows), ("rows/ours.toml", words), ("scarf.csv", SCARF)]);
    bench.run(&["chart", "rows/scarf.txt"]).ended(1).said("nip");
    bench.run(&["compare", "scarf.csv", "rows/scarf.txt", "--terms", "rows/ours.toml"]).ended(0);
    bench.put("rows/longhand.toml", "[read]\nterms = \"ours.toml\"\n");
    assert!(bench.run(&["chart", "rows/scarf.txt"]).ended(0).out.contains(",k,yo,k2tog,k,k,1"));
    bench.put("rows/ours.toml", "name = \"ours\"\n[means]\nnip = \"k22tog\"\n");
    bench.run(&["chart", "rows/scarf.txt"]).ended(2).said("k22tog");
}

#[test]
fn compare_reports_its_findings() {
    let bench = Bench::with(&[("scarf.csv", SCARF), ("ssk.csv", &SCARF.replace("k2tog", "ssk"))]);
    bench.run(&["compare", "scarf.csv", "ssk.csv", "--report", "all.json"]).ended(1);
    let report: serde_json::Value = serde_json::from_str(&bench.get("all.json")).unwrap();
    let found: Vec<&serde_json::Value> =
        report.as_array().unwrap().iter().filter(|finding| finding["code"] == "stitch-differs").collect();
    assert_eq!(found.len(), 1);
    assert_eq!(
        (&found[0]["row"], &found[0]["where"]["line"], &found[0]["where"]["column"]),
        (&1.into(), &5.into(), &4.into())
    );
    assert_eq!((&found[0]["found"], &found[0]["expected"]), (&"k2tog".into(), &"ssk".into()));
}

/// What a call asks of a pattern in JSON is what it asks of the chart that the JSON was made of, or it is told.
#[test]
fn a_pattern_in_json_is_written_on_the_cast_on_and_in_the_sizes_of_the_call() {
    let chart = "Cast on: 10\nRepeat columns: 3-5\n\n.,.,o,/,.,.,.,3\n.,.,.,.,.,.,.,2\n.,.,.,o,/,.,.,1\n\n.,knit\no,yo\n/,k2tog\n";
    let bench = Bench::with(&[("rib.csv", chart)]);
    let json = bench.run(&["write", "rib.csv", "--to", "json"]).ended(0).out;
    bench.put("rib.json", &json);
    for call in [
        &["--cast-on", "13"][..],
        &["--sizes", "S=2", "--sizes", "M=3"],
        &["--cast-on", "16", "--sizes", "S=4", "--sizes", "M=5"],
        &["--worked", "flat", "--hand", "right", "--strict"],
    ] {
        let [from_chart, from_json] = ["rib.csv", "rib.json"]
            .map(|file| bench.run(&[&["write", file][..], call].concat()).ended(0).out);
        assert_eq!(from_chart, from_json, "{call:?}");
        assert!(from_chart.contains("Row 3"), "{call:?}");
    }
    bench.run(&["write", "rib.json", "--cast-on", "14"]).ended(1).said("13 or 16 sts");
    bench.run(&["write", "rib.json", "--cast-on", "16", "--sizes", "S=2"]).ended(1).said("settings-disagree");
    bench
        .run(&["write", "rib.json", "--worked", "round", "--return-rows", "knit"])
        .ended(0)
        .said("worked, return-rows change nothing");
    bench.run(&["compare", "rib.csv", "rib.json", "--cast-on", "13"]).ended(0);
    bench.put("strap.json", JSON);
    bench.run(&["write", "strap.json", "--cast-on", "14"]).ended(1).said("has no repeat");
}

/// Rows by hand: two knit, a bobble (three loops of one, three together), three knit. What a text or a key explains of it goes
/// along: into the key of a chart and into JSON, and is read from both without a settings file.
#[test]
fn a_bobble_that_is_explained_is_read_back_from_what_is_made_of_it() {
    let how = "(k1, yo, k1) in next st, turn, p3, turn, sk2p";
    let text = |term: &str| {
        format!(
            "Bobbles\nCast on 6 sts.\n\nAbbreviations\n{term}: {how}.\n\nRow 1 (RS): K2, {term}, k3.\nRow 2 (WS): Purl.\n"
        )
    };
    let chart = |words: &str| {
        format!("Title: Bobbles\n2,.,.,.,.,.,.,\n,.,.,.,B,.,.,1\n\nKey\n.,knit\nB,\"{words}\"\n")
    };
    let turned = "(K1, yo, k1) in next st. Turn, p3. Turn, sk2p.";
    let files = [
        ("capitals.txt", text("MB")),
        ("word.txt", text("Bobble")),
        ("named.csv", chart(&format!("Bobble: {how}"))),
        ("both.csv", chart(&format!("MB (make bobble): {how}"))),
        ("alone.csv", chart(turned)),
    ];
    for (file, content) in &files {
        let bench = Bench::with(&[(file, content)]);
        let reads = if file.ends_with(".txt") { "chart" } else { "write" };
        if reads == "chart" {
            let written = bench.run(&["chart", file, "--to", "csv", "--out", "csv"]);
            let drawn = format!("csv/{}", file.replace(".txt", ".csv"));
            assert_eq!(written.ended(0).err.matches("stitch-to-describe").count(), 0, "{file}");
            assert!(bench.get(&drawn).contains("in next st"), "{}", bench.get(&drawn));
            bench.run(&["compare", file, &drawn, "--strict"]).ended(0);
        }
        bench.run(&[reads, file, "--to", "json", "--out", "json"]).ended(0);
        let json = format!("json/{}.json", file.split('.').next().unwrap());
        let told: serde_json::Value = serde_json::from_str(&bench.get(&json)).unwrap();
        let own = &told["own_stitches"][0];
        assert_eq!((&own["uses"], &own["makes"]), (&1.into(), &1.into()), "{own}");
        assert!(own["explain"].as_str().unwrap().to_lowercase().contains("(k1, yo, k1) in next st"), "{own}");
        assert!(bench.run(&["compare", file, &json]).ended(0).out.contains("same stitches"), "{file}");
        // From the JSON rows and a chart can be made again.
        let rows = bench.run(&["write", &json]).ended(0).out;
        assert!(rows.contains("turn, p3") || rows.contains("Turn, p3"), "{rows}");
        bench.run(&["chart", &json, "--out", "again"]).ended(0);
        let again = format!("again/{}.csv", file.split('.').next().unwrap());
        assert!(bench.run(&["compare", &again, &json]).ended(0).out.contains("same stitches"), "{file}");
    }
}

/// A third turn leaves the back of the work before the knitter, however it is spelled: such words tell no stitch.
#[test]
fn an_odd_number_of_turns_is_no_bobble() {
    let chart =
        "B,k,k,1\n\nKey\nk,knit\nB,\"Bobble: (k1, yo, k1) in next st, turn, p3, turn, k3tog. Turn, p1\"\n";
    let bench = Bench::with(&[("bobble.csv", chart)]);
    bench.run(&["write", "bobble.csv"]).ended(1);
}

/// A JSON may describe stitches; what it says of them is held against what a stitch can be.
#[test]
fn stitches_that_json_describes() {
    let json = |own: &str| {
        format!(
            r#"{{"format":"longhand.pattern/1","worked":"flat","own_stitches":[{own}],
            "rows":[{{"number":1,"side":"RS","stitches":["k","wrap3","k"]}}]}}"#
        )
    };
    let good = json(r#"{"name":"wrap3","uses":3,"makes":3,"cells":3,"faces":"kkk","explain":"Wrap 3 sts."}"#);
    let bench = Bench::with(&[
        ("good.json", good.as_str()),
        ("loops.json", &json(r#"{"name":"wrap3","uses":3000,"makes":3}"#)),
        ("faces.json", &json(r#"{"name":"wrap3","uses":3,"makes":3,"faces":"kx"}"#)),
        ("name.json", &json(r#"{"name":"k","uses":3,"makes":3}"#)),
        ("field.json", &json(r#"{"name":"wrap3","uses":3,"makes":3,"width":2}"#)),
    ]);
    let rows = bench.run(&["write", "good.json"]).ended(0).out;
    assert!(rows.contains("Cast on 5 sts.") && rows.contains("wrap3"), "{rows}");
    for (file, field) in [
        ("loops.json", "own_stitches[0].uses"),
        ("faces.json", "own_stitches[0].faces"),
        ("name.json", "own_stitches[0].name"),
        ("field.json", "own_stitches[0]"),
    ] {
        let out = bench.run(&["check", file]).ended(1).out;
        assert!(out.contains("wrong-json") && out.contains(field), "{out}");
    }
}
