//! Reports as web pages: what stands on them, and what a file can't make stand on them.

use super::bench::{Bench, SCARF, WRONG};

/// A page without its style and its script, which are the same on every page.
fn body(page: &str) -> String {
    let mut text = page.to_owned();
    for (open, close) in [("<style", "</style>"), ("<script", "</script>")] {
        let (before, rest) = text.split_once(open).unwrap();
        let (_, after) = rest.split_once(close).unwrap();
        text = format!("{before}{after}");
    }
    text
}

/// The page of two charts, one of them wrong. The counts are those of the two charts, worked out by hand: row 3 of the
/// second uses 6 stitches where row 2 leaves 5; each of the two names its stitches in its cells.
#[test]
fn a_report_is_a_page() {
    let bench = Bench::with(&[("charts/scarf.csv", SCARF), ("charts/wrong.csv", WRONG)]);
    bench.run(&["check", "charts", "--report", "told/report.html"]).ended(1);
    let page = bench.get("told/report.html");
    insta::assert_snapshot!(body(&page));
    // The same findings give the same page, and it may be replaced.
    bench.run(&["check", "charts", "--report", "told/report.html"]).ended(1);
    assert_eq!(bench.get("told/report.html"), page);
}

#[test]
fn every_command_that_reads_gives_the_page() {
    let bench = Bench::with(&[("scarf.csv", SCARF), ("wrong.csv", WRONG)]);
    bench.run(&["write", "wrong.csv", "--report", "write.html"]).ended(1);
    bench.run(&["compare", "scarf.csv", "wrong.csv", "--report", "compare.html"]).ended(1);
    bench.put("rows.txt", "Cast on 5 sts.\nRow 1 (RS): K6.\n");
    bench.run(&["chart", "rows.txt", "--report", "chart.html"]).ended(1);
    for page in ["write.html", "compare.html", "chart.html"] {
        let text = bench.get(page);
        assert!(text.starts_with("<!DOCTYPE html>\n<html lang=\"en\">"), "{page}");
        assert!(text.contains("id=\"group-"), "{page}");
    }
    bench.run_on(&["check", "-", "--report", "in.html"], WRONG).ended(1);
    assert!(bench.get("in.html").contains("Findings in <bdi>standard input</bdi>"));
}

#[test]
fn a_page_of_nothing_says_so() {
    let bench = Bench::with(&[
        ("sound.csv", "Sound\n\n,.,.,.,3\n2,.,.,.,\n,.,.,.,1\n"),
        ("longhand.toml", "[key]\n\".\" = \"k\"\n"),
    ]);
    bench.run(&["check", "sound.csv", "--strict", "--report", "report.html"]).ended(0);
    let page = body(&bench.get("report.html"));
    assert!(page.contains("<title>nothing to note: sound.csv</title>"), "{page}");
    assert!(page.contains("The file read has nothing to note.") && !page.contains("<table"), "{page}");
    assert!(page.contains("href=\"#nothing\"") && page.contains("id=\"nothing\""), "{page}");
}

/// Names and cells are text, whatever they hold: no element, no attribute, no address comes of them.
#[cfg(unix)]
#[test]
fn nothing_of_a_file_becomes_part_of_the_page() {
    let evil = "</script><img src=x onerror=alert(1)>";
    let chart = WRONG.replace("Wrong", evil).replace("yo", &format!("\"{evil} {{{{nonce}}}}\""));
    let name = "in/\" onclick=\"a' <b>&\u{202e}\u{7}.csv";
    let bench = Bench::with(&[(name, &chart), ("in/javascript:alert(1).csv", WRONG)]);
    bench.run(&["check", "in", "--report", "out/report.html"]).ended(1);
    let page = body(&bench.get("out/report.html"));
    let main = page.split_once("<main>").unwrap().1;
    assert!(!main.contains("<img") && !main.contains("<script") && !main.contains("</script"), "{main}");
    assert!(!main.contains("<b>&") && !main.contains("\" onclick"), "{main}");
    assert!(!page.contains(['\u{202e}', '\u{7}']));
    // RFC 3986: every byte of the name but the unreserved ones by its number.
    let link = "href=\"../in/%22%20onclick%3D%22a%27%20%3Cb%3E%26%E2%80%AE%07.csv\"";
    assert!(main.contains(link), "{main}");
    assert!(main.contains("in/&quot; onclick=&quot;a&#39; &lt;b&gt;&amp;[U+202E][U+0007].csv"), "{main}");
    assert!(main.contains("href=\"../in/javascript%3Aalert%281%29.csv\""), "{main}");
    assert!(main.contains("{{nonce}}"), "what is filled in is not filled in again: {main}");
}

/// Two names that are no UTF-8 are two files, each with its own link.
#[cfg(target_os = "linux")]
#[test]
fn names_that_are_no_text_are_shown() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;
    let bench = Bench::with(&[("in/scarf.csv", SCARF)]);
    std::fs::write(bench.path().join("in").join(OsStr::from_bytes(b"m\xfctze.csv")), WRONG).unwrap();
    bench.run(&["check", "in", "--report", "report.html"]).ended(1);
    let page = bench.get("report.html");
    assert!(page.contains("<a href=\"in/m%FCtze.csv\"><bdi>in/m[byte FC]tze.csv</bdi></a>"), "{page}");
}
