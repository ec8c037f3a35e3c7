//! Two files compared: differences planted by hand, each told at its row, its stitch and its cell.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

use std::sync::Arc;

use longhand::compare::Verdict;
use longhand::convert::{Compared, Format, Source, compare};
use longhand::problem::{Code, Finding};
use longhand::settings::Settings;

/// Eyelets between plain rows, worked out by hand: Row 3 is k1, yo, ssk, k4, as worked.
const CHART: &str =
    "Leaf\n\n,k,k,k,k,p,p,p,5\n4,k,k,k,k,k,k,k,\n,k,k,k,k,ssk,yo,k,3\n2,k,k,k,k,k,k,k,\n,k,k,k,k,k,k,k,1\n";

fn compared(left: &str, right: &str) -> Compared {
    compared_as("csv", left, right)
}

fn compared_as(ending: &str, left: &str, right: &str) -> Compared {
    compared_files((&format!("left.{ending}"), left), (&format!("right.{ending}"), right))
}

/// Two files by their names and what they hold.
fn compared_files((one, left): (&str, &str), (two, right): (&str, &str)) -> Compared {
    let nothing = Settings::default();
    let (one, two) = (Arc::from(one), Arc::from(two));
    let source = |file, text: &'static str| Source {
        file,
        bytes: text.as_bytes(),
        from: None,
        below: Box::leak(Box::default()),
        above: Box::leak(Box::new(nothing.clone())),
        vocabulary: None,
    };
    compare(&source(&one, left.to_owned().leak()), &source(&two, right.to_owned().leak()))
}

/// The one difference between the chart and a changed copy.
#[track_caller]
fn told(from: &str, to: &str) -> Finding {
    let changed = CHART.replacen(from, to, 1);
    assert_ne!(changed, CHART);
    let compared = compared(CHART, &changed);
    assert_eq!(
        compared.pairs.len(),
        1,
        "{:?} {:?}",
        compared.left.charts[0].findings,
        compared.right.charts[0].findings
    );
    let [finding] = &compared.findings[..] else { panic!("{:#?}", compared.findings) };
    finding.clone()
}

fn verdict(compared: &Compared) -> Verdict {
    compared.pairs[0].verdict
}

#[test]
fn a_chart_is_the_same_as_itself() {
    let compared = compared(CHART, CHART);
    assert_eq!((verdict(&compared), &compared.findings[..]), (Verdict::SameStitches, &[][..]));
}

#[test]
fn one_stitch() {
    let finding = told("ssk,yo,k,3", "k2tog,yo,k,3");
    assert_eq!((finding.code, finding.row), (Code::StitchDiffers, Some(3)));
    assert_eq!(finding.message, "Row 3, stitch 3: left.csv has ssk, right.csv has k2tog.");
    assert_eq!((finding.found.as_deref(), finding.expected.as_deref()), (Some("ssk"), Some("k2tog")));
    assert_eq!(finding.place.to_string(), "left.csv, line 5, column 6");
    assert!(finding.help.contains("right.csv, line 5, column 6"), "{}", finding.help);
}

/// A WS row is told as it is worked: its second stitch from the left edge, a purl where the chart shows a knit.
#[test]
fn one_stitch_of_a_wrong_side_row() {
    let finding = told("4,k,k,k,k", "4,k,p,k,k");
    assert_eq!(finding.message, "Row 4, stitch 2: left.csv has p1, right.csv has k1.");
    assert_eq!(finding.place.to_string(), "left.csv, line 4, column 3");
}

/// Yarn over and decrease change places: two stitches, one difference.
#[test]
fn stitches_that_changed_places() {
    let finding = told("ssk,yo,k,3", "yo,ssk,k,3");
    assert_eq!(finding.message, "Row 3, stitches 2 to 3: left.csv has yo, ssk, right.csv has ssk, yo.");
}

/// A stitch in another colour is another stitch.
#[test]
fn one_colour() {
    let text = |colour: &str| {
        format!("T\n\nCast on 2 sts.\nColours: navy, cream, rust.\n\nRow 1 (RS): K1 navy, k1 {colour}.\n")
    };
    assert_eq!(verdict(&compared_as("txt", &text("cream"), &text("Cream"))), Verdict::SameStitches);
    // A chart's "CC: cream" is the cream of a text, and no other colour.
    let chart = "Cast on: 2\nc,n,1\n\nn,MC: navy\nc,CC: cream\n";
    let text_of = |cc: &str| {
        format!("T\n\nCast on 2 sts.\nColours: MC (navy), CC ({cc}).\n\nRow 1 (RS): K1 MC, k1 CC.\n")
    };
    for (cc, expected) in [("cream", Verdict::SameStitches), ("rust", Verdict::Different)] {
        assert_eq!(verdict(&compared_files(("c.csv", chart), ("c.txt", &text_of(cc)))), expected, "{cc}");
    }
    let compared = compared_as("txt", &text("cream"), &text("rust"));
    let [finding] = &compared.findings[..] else { panic!("{:#?}", compared.findings) };
    assert_eq!(finding.code, Code::StitchDiffers);
    assert_eq!(finding.message, "Row 1, stitch 2: left.txt has k1 in cream, right.txt has k1 in rust.");
}

/// The same rows on the first cast-on: what differs is for whom they are, and on what widths.
#[test]
fn sizes_and_multiples() {
    let text = |sizes: &str, multiple: &str, cast_on: &str| {
        format!(
            "T\n\n{sizes}Multiple of {multiple}.\nCast on {cast_on} sts.\n\nRow 1: K1, *k1, p1; rep from * to last st, k1.\n"
        )
    };
    let sized = text("Sizes: S (M, L).\n", "2 sts + 2", "8 (10, 14)");
    assert_eq!(verdict(&compared_as("txt", &sized, &sized)), Verdict::SameStitches);
    let plain = text("", "2 sts + 2", "8");
    for (one, two, message) in [
        (
            &sized,
            text("Sizes: S (M, L).\n", "2 sts + 2", "8 (10, 12)"),
            "The sizes of left.txt are S (8 sts), M (10 sts), L (14 sts); those of right.txt are S (8 sts), M (10 sts), L (12 sts).",
        ),
        (
            &plain,
            text("", "3 sts + 2", "8"),
            "left.txt is a multiple of 2 sts + 2, right.txt is a multiple of 3 sts + 2.",
        ),
    ] {
        let compared = compared_as("txt", one, &two);
        let [finding] = &compared.findings[..] else { panic!("{:#?}", compared.findings) };
        assert_eq!((finding.code, finding.message.as_str()), (Code::PatternDiffers, message));
    }
    // 6 of the 8 stitches outside the repeat, or none: the same widths.
    let wider = text("", "2 sts + 6", "8");
    assert_eq!(verdict(&compared_as("txt", &plain, &wider)), Verdict::SameStitches);
}

/// The first size works the repeat once, so that both say the same of it; M and L work 2 and 3 eyelets, or none.
#[test]
fn sizes_beyond_the_first_are_compared() {
    let text =
        |row: &str| format!("T\n\nSizes: S (M, L).\nCast on 14 (20, 26) sts.\n\nRow 1: {row}\nRow 2: P.\n");
    let eyelets = text("K4, *yo, ssk, k4; rep from * to last 4 sts, k4.");
    let compared = compared_as("txt", &eyelets, &text("K4, yo, ssk, k to end."));
    let [finding] = &compared.findings[..] else { panic!("{:#?}", compared.findings) };
    assert_eq!(finding.message, "Size M: Row 1, stitches 11 to 12: left.txt has yo, ssk, right.txt has k2.");
    assert_eq!(verdict(&compared), Verdict::Different);
    // Sizes that are no wider workings of one repeat, or of one text alone.
    let plain = |counts: &str| format!("T\n\nCast on {counts} sts.\n\nRow 1: K{counts}.\n");
    for (other, verdict_is, message) in [
        ("8 (12)", Verdict::SameStitches, None),
        (
            "8 (16)",
            Verdict::Different,
            Some(
                "The sizes of left.txt are 1 (8 sts), 2 (12 sts); those of right.txt are 1 (8 sts), 2 (16 sts).",
            ),
        ),
        (
            "8",
            Verdict::SameStitches,
            Some("Size 2 was not compared: left.txt and right.txt don't both tell how it is worked."),
        ),
    ] {
        let compared = compared_as("txt", &plain("8 (12)"), &plain(other));
        let told: Vec<&str> = compared.findings.iter().map(|finding| finding.message.as_str()).collect();
        assert_eq!((verdict(&compared), told), (verdict_is, message.into_iter().collect()), "{other}");
    }
}

/// An eyelet one stitch further on: one run shorter, one longer.
#[test]
fn one_count() {
    let compared = compared(CHART, &CHART.replacen("k,k,k,k,ssk,yo,k,3", "k,k,k,ssk,yo,k,k,3", 1));
    assert_eq!(verdict(&compared), Verdict::Different);
    let told: Vec<&str> = compared.findings.iter().map(|finding| finding.message.as_str()).collect();
    assert_eq!(
        told,
        [
            "Row 3, stitch 2: left.csv lacks k1, which right.csv has, and goes on with yo (k1 in left.csv, k2 in right.csv).",
            "Row 3, stitch 7: left.csv has k1, which right.csv lacks at its stitch 8, going on no further (k4 in left.csv, k3 in right.csv).",
        ]
    );
    assert_eq!(compared.findings[1].place.to_string(), "left.csv, line 5, column 2");
}

#[test]
fn one_row_too_many() {
    let longer = "Leaf\n\n,k,k,k,k,p,p,p,7\n6,k,k,k,k,k,k,k,\n,p,p,p,p,p,p,p,5\n4,k,k,k,k,k,k,k,\n,k,k,k,k,ssk,yo,k,3\n2,k,k,k,k,k,k,k,\n,k,k,k,k,k,k,k,1\n";
    for (left, right, lacks) in [(CHART, longer, "left.csv"), (longer, CHART, "right.csv")] {
        let compared = compared(left, right);
        let rows: Vec<(Code, Option<u32>)> =
            compared.findings.iter().map(|finding| (finding.code, finding.row)).collect();
        // Row 6 is like Rows 2 and 4: which of the three is the one too many can't be told.
        assert_eq!(rows.len(), 2, "{:#?}", compared.findings);
        assert!(rows.contains(&(Code::RowUnmatched, Some(5))), "{rows:?}");
        assert!(rows.iter().all(|(code, _)| *code == Code::RowUnmatched), "{rows:?}");
        assert!(
            compared.findings.iter().all(|finding| finding.message.contains(&format!("no like in {lacks}")))
        );
    }
}

#[test]
fn another_cast_on() {
    let (narrow, wide) = ("Leaf\n\n2,k,k,k,\n,k,p,k,1\n", "Leaf\n\n2,k,k,k,k,k,\n,k,p,p,p,k,1\n");
    let compared = compared(narrow, wide);
    let first = &compared.findings[0];
    assert_eq!((first.code, first.row), (Code::PatternDiffers, None));
    assert_eq!(first.message, "left.csv casts on 3 sts, right.csv casts on 5 sts.");
    assert_eq!(verdict(&compared), Verdict::Different);
}

#[test]
fn flat_and_round() {
    let compared = compared(CHART, &CHART.replace("Leaf", "Title: Leaf\nWorked: in the round"));
    let [finding] = &compared.findings[..] else { panic!("{:#?}", compared.findings) };
    assert!(
        finding.code == Code::PatternDiffers && finding.message.contains("is worked flat"),
        "{finding:?}"
    );
}

/// Common practice: an skp lies as an ssk does.
#[test]
fn the_same_fabric_worked_otherwise() {
    let finding = told("ssk,yo,k,3", "skp,yo,k,3");
    assert_eq!(finding.code, Code::WorkedOtherwise);
    assert_eq!(
        finding.message,
        "Row 3, stitch 3: left.csv has ssk, right.csv has skp, which makes the same fabric."
    );
    let compared = compared(CHART, &CHART.replace("Leaf", "Title: Leaf\nHand: left"));
    assert_eq!(verdict(&compared), Verdict::SameFabric, "{:#?}", compared.findings);
}

/// The stitch is told where the left one works it, whichever hand that is.
#[test]
fn a_difference_for_the_other_hand() {
    let left = CHART.replace("Leaf", "Title: Leaf\nHand: left");
    let compared = compared(&left, &CHART.replacen("ssk,yo,k,3", "k2tog,yo,k,3", 1));
    let [_, finding] = &compared.findings[..] else { panic!("{:#?}", compared.findings) };
    // Mirror-wise Row 3 is k4, k2tog, yo, k1.
    assert_eq!(
        finding.message,
        "Row 3, stitch 5: left.csv has k2tog (right-handed: ssk), right.csv has k2tog at its stitch 3."
    );
    assert_eq!(finding.place.to_string(), "left.csv, line 6, column 6");
}

/// Every chart of the archive against the text longhand writes of it in every style, read by one who has no settings;
/// and against that text with one stitch changed.
#[test]
fn the_archive_says_what_its_texts_say() {
    let corpus = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("corpus");
    let (above, nothing, mut compared) = (Settings::default(), Settings::default(), 0);
    let collections = std::fs::read_dir(corpus).unwrap().map(|entry| entry.unwrap().path());
    for folder in collections.filter(|path| path.is_dir()) {
        let toml = std::fs::read_to_string(folder.join("longhand.toml")).unwrap();
        let (below, _) = Settings::parse(&Arc::from("longhand.toml"), &toml);
        for entry in std::fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|ending| ending == "toml") {
                continue;
            }
            let (file, bytes) = (Arc::from(path.to_str().unwrap()), std::fs::read(&path).unwrap());
            let chart = Source {
                file: &file,
                bytes: &bytes,
                from: None,
                below: &below,
                above: &above,
                vocabulary: None,
            };
            let read = chart.patterns();
            let charts: Vec<&longhand::convert::Chart> = read.charts.iter().collect();
            let name = Arc::from("rows.txt");
            let against = |text: &str| {
                let rows = Source { file: &name, bytes: text.as_bytes(), below: &nothing, ..chart };
                compare(&chart, &rows)
            };
            for style in longhand::style::built_in() {
                let text = longhand::convert::output(&charts, Format::named("text").unwrap(), style);
                let found = against(&text);
                let same = found.pairs.iter().filter(|pair| pair.verdict == Verdict::SameStitches).count();
                assert_eq!(same, charts.len(), "{file} {}: {:#?}", style.name, found.findings);
                compared += same;
                if style.name == "abbreviated" && text.contains("yo, ssk") {
                    let found = against(&text.replacen("yo, ssk", "yo, k2tog", 1));
                    assert!(
                        found.findings.iter().any(|finding| finding.code == Code::StitchDiffers),
                        "{file}"
                    );
                    let both = |finding: &Finding| {
                        finding.message.contains("ssk") && finding.message.contains("k2tog")
                    };
                    assert!(found.findings.iter().all(both), "{file}: {:#?}", found.findings);
                }
            }
        }
    }
    assert!(compared > 30 * 6, "only {compared} texts");
}

/// A chart whose repeat leaves the width open is read at the width of the other.
#[test]
fn a_repeat_is_read_at_the_others_width() {
    let open = "Title: Rib\nRepeat columns: 2-3\n\n2,k,p,k,p,\n,k,p,k,p,1\n";
    let wide = "Title: Rib\n\n2,k,p,k,p,k,p,k,p,\n,k,p,k,p,k,p,k,p,1\n";
    for (left, right) in [(open, wide), (wide, open)] {
        let compared = compared(left, right);
        assert_eq!(verdict(&compared), Verdict::SameStitches, "{:#?}", compared.findings);
    }
}

/// One wrong cell of a repeat worked three times is one difference: p, three times k and p, k, as worked.
#[test]
fn a_difference_in_a_repeat_is_told_once() {
    let left = "Title: Rib\nRepeat columns: 2-3\nCast on: 8\n\n2,k,p,k,p,\n,k,p,k,p,1\n";
    let compared = compared(left, &left.replace(",k,p,k,p,1", ",k,k,k,p,1"));
    let [finding] = &compared.findings[..] else { panic!("{:#?}", compared.findings) };
    assert_eq!(
        finding.message,
        "Row 1, stitch 3: left.csv has p1, right.csv has k1, and again at stitches 5 and 7."
    );
    assert_eq!(finding.place.to_string(), "left.csv, line 6, column 3");
}

#[test]
fn charts_are_matched_by_title_and_told_where_one_is_alone() {
    let chart =
        |title: &str, stitch: &str| format!("{title}\n\n,k,k,k,{stitch},2\n,k,k,k,{stitch},1\n\n\n\n");
    let left = chart("Cuff", "p") + &chart("Body", "k");
    let swapped = chart("Body", "k") + &chart("Cuff", "p");
    let same = compared(&left, &swapped);
    let titles = |charts: &[longhand::convert::Chart]| -> Vec<String> {
        charts.iter().map(|chart| chart.pattern.as_ref().unwrap().title.clone()).collect()
    };
    assert_eq!(titles(&same.left.charts), ["Cuff", "Body"]);
    assert!(same.pairs.len() == 2 && same.findings.is_empty(), "{:#?}", same.findings);
    let more = compared(&left, &(swapped + &chart("Thumb", "p")));
    let [finding] = &more.findings[..] else { panic!("{:#?}", more.findings) };
    assert_eq!(finding.code, Code::ChartUnmatched);
    assert_eq!(finding.message, "\"Thumb\" has no partner in left.csv.");
}

/// A stitch of one's own goes by its key name in the chart, by its abbreviation or its words in texts; a text explains
/// it in its own list (common practice). Counted by hand: one loop, five, five, one.
#[test]
fn a_stitch_of_ones_own_is_the_same_under_each_of_its_names() {
    let settings = "[key]\n\"B\" = \"mb\"\n\"x\" = \"k\"\n[stitch.mb]\nuses = 1\nmakes = 1\nshort = \"MB\"\nlong = \"make bobble\"\n\
                    explain = \"(K1, yo, k1, yo, k1) in one st, turn, p5, turn, k5tog.\"\n";
    let (below, findings) = Settings::parse(&Arc::from("longhand.toml"), settings);
    assert_eq!(findings, []);
    let nothing = Settings::default();
    let texts = [
        ("K1, MB, k1.", "MB: (K1, yo, k1, yo, k1) in one st, turn, p5, turn, k5tog."),
        (
            "knit 1, make bobble, knit 1.",
            "make bobble: (Knit 1, yarn over, knit 1, yarn over, knit 1) in one stitch, turn, purl 5, turn, knit 5 together.",
        ),
        (
            "Knit one. Make bobble. Knit one.",
            "Make bobble. (Knit one, yarn over, knit one, yarn over, knit one) in one stitch, turn, purl five, turn, \
             knit five together.",
        ),
    ];
    for (row, list) in texts {
        let text = format!("Bobble\n\nCast on 3 sts.\n\nRow 1, right side: {row}\n\nAbbreviations\n{list}\n");
        let (chart, rows) = (Arc::from("bobble.csv"), Arc::from("bobble.txt"));
        let source =
            |file, bytes, below| Source { file, bytes, from: None, below, above: &nothing, vocabulary: None };
        let compared = compare(
            &source(&chart, b"Bobble\n\n,x,B,x,1\n", &below),
            &source(&rows, text.as_bytes(), &nothing),
        );
        let told = (&compared.findings, &compared.right.charts[0].findings);
        assert_eq!(
            compared.pairs.first().map(|pair| pair.verdict),
            Some(Verdict::SameStitches),
            "{row}: {told:#?}"
        );
    }
}
