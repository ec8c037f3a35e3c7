use super::samples::{Sample, cable, crown, lace};
use super::*;
use crate::pattern::{Hand, Multiple, Side, Size, Worked};
use crate::stitch::{OwnStitch, Stitches};
use crate::style;
use crate::written::{Again, Extent, Item, Label, Line, Work};

fn style_named(name: &str) -> &'static Style {
    style::named(name).unwrap()
}

fn text(sample: fn(&Style) -> Written, name: &str) -> String {
    Writer::named("text").unwrap().write(&sample(style_named(name)), style_named(name))
}

/// The rows of a text: the lines that begin with a label.
fn rows(text: &str) -> Vec<&str> {
    text.lines().filter(|line| line.starts_with("Row ") || line.starts_with("Round ")).collect()
}

/// The one row of a pattern that holds these items, behind its label.
fn work(style: &str, items: impl FnOnce(&mut Sample<'_>) -> Vec<Item>) -> String {
    let mut s = Sample::new(style_named(style), "One row", Worked::Round, 20);
    let items = items(&mut s);
    s.written.lines.push(Line {
        label: Label::Row { number: 1, side: Side::Rs },
        work: Work::Items(items),
        count: None,
        count_changes: false,
    });
    let text = Writer::named("text").unwrap().write(&s.written, s.style);
    let row = rows(&text)[0];
    row.split_once([':', '.']).unwrap().1.trim_start().to_owned()
}

/// Source: standards.md section 5 (W1, W5, W6) and domain.md section 5.
#[test]
fn abbreviated_rows_read_as_in_print() {
    assert_eq!(
        rows(&text(lace, "abbreviated")),
        [
            "Row 1 (RS): K2, *yo, ssk, k4; rep from * to last 3 sts, k3.",
            "Row 2 (WS): K3, p to last 3 sts, k3.",
            "Row 3 (RS): K4, *yo, ssk, k4; rep from * to last st, k1.",
            "Row 4 (WS): K3, p to last 3 sts, k3.",
        ]
    );
    assert_eq!(
        rows(&text(cable, "abbreviated"))[2],
        "Row 3 (RS): *P1, MB, p1, 2/2 LC; rep from * to last 3 sts, p3."
    );
    assert_eq!(
        rows(&text(crown, "abbreviated")),
        [
            "Round 1: *K2, k2tog; rep from * to end. (12 sts)",
            "Round 2: Knit.",
            "Round 3: *K2tog; rep from * to end. (6 sts)",
        ]
    );
}

/// Source: standards.md section 5: `[...]` then "3 times" (W2), counts in parentheses (W2, W11).
#[test]
fn bracketed_rows_count_every_row_and_repeat() {
    assert_eq!(
        rows(&text(lace, "bracketed"))[..2],
        ["Row 1 (RS): K2, [yo, ssk, k4] 3 times, k3. (23 sts)", "Row 2 (WS): K3, p17, k3. (23 sts)"]
    );
    assert_eq!(
        rows(&text(crown, "bracketed")),
        [
            "Round 1: [K2, k2tog] 4 times. (12 sts)",
            "Round 2: Knit. (12 sts)",
            "Round 3: [K2tog] 6 times. (6 sts)"
        ]
    );
}

/// Source: standards.md section 5 (U1, U2, U7).
#[test]
fn uk_rows_use_uk_words() {
    assert_eq!(rows(&text(lace, "uk"))[0], "Row 1 (RS): K2, *yfwd, ssk, k4; rep from * to last 3 sts, k3.");
    let words = work("uk", |s| {
        ["skp", "sk2p", "yon", "yrn", "yo2", "kyok"]
            .map(|name| s.run(name, 1))
            .into_iter()
            .chain([s.run("bo", 4)])
            .collect()
    });
    assert_eq!(words, "Skpo, sk2po, yon, yrn, yrn twice, (k1, yfwd, k1) in next st, cast off 4.");
}

/// Source: standards.md section 5 (W5): "Row 2 and all WS rows".
#[test]
fn right_side_tells_the_ws_rows_in_one_sentence() {
    assert_eq!(
        rows(&text(lace, "right-side")),
        [
            "Row 1 (RS): K2, *yo, ssk, k4; rep from * to last 3 sts, k3.",
            "Row 2 and all WS rows: K3, p to last 3 sts, k3.",
            "Row 3 (RS): K4, *yo, ssk, k4; rep from * to last st, k1.",
        ]
    );
}

/// How the sentence names the rows it is not true of, flat and in the round: common practice.
#[test]
fn the_sentence_for_many_rows_names_its_exceptions() {
    let every = |style: &str, worked, first, side, except: &[u32]| {
        let mut s = Sample::new(style_named(style), "Every", worked, 8);
        let items = vec![s.run_to("k", 0)];
        let label = Label::Every { first, side, except: except.to_vec() };
        s.written.lines.push(Line { label, work: Work::Items(items), count: None, count_changes: false });
        rows(&Writer::named("text").unwrap().write(&s.written, s.style))[0].to_owned()
    };
    let (flat, round) = (Worked::Flat, Worked::Round);
    for (line, expected) in [
        (every("right-side", flat, 2, Side::Ws, &[8]), "Row 2 and all WS rows except Row 8: Knit."),
        (
            every("right-side", flat, 2, Side::Ws, &[8, 12]),
            "Row 2 and all WS rows except Rows 8 and 12: Knit.",
        ),
        (every("right-side", flat, 1, Side::Rs, &[]), "Row 1 and all RS rows: Knit."),
        (every("right-side", flat, 1, Side::Ws, &[]), "Row 1 and all WS rows: Knit."),
        (every("right-side", round, 2, Side::Rs, &[]), "Round 2 and all even-numbered rounds: Knit."),
        (
            every("right-side", round, 1, Side::Rs, &[3, 5, 9]),
            "Round 1 and all odd-numbered rounds except Rounds 3, 5 and 9: Knit.",
        ),
        (
            every("spelled-out", flat, 2, Side::Ws, &[8, 12]),
            "Row 2 and all wrong-side rows except rows 8 and 12: knit to the end.",
        ),
        (
            every("aloud", round, 2, Side::Rs, &[8]),
            "Round two and all even-numbered rounds except round eight. Knit to the end.",
        ),
    ] {
        assert_eq!(line, expected);
    }
}

/// Source: standards.md section 3 (A1, A2, and from memory: one row a line, repeats in words, counts on every row).
#[test]
fn spelled_out_rows_need_no_eyes() {
    assert_eq!(
        rows(&text(lace, "spelled-out"))[..2],
        [
            "Row 1, right side: knit 2, then repeat the following 3 times: yarn over, slip slip knit, knit 4; end of \
             repeat; then knit 3. 23 stitches.",
            "Row 2, wrong side: knit 3, purl 17, knit 3. 23 stitches.",
        ]
    );
    assert_eq!(
        rows(&text(cable, "spelled-out"))[2],
        "Row 3, right side: repeat the following twice: purl 1, make bobble, purl 1, 2 over 2 left cross; end of \
         repeat; then purl 3. 17 stitches."
    );
}

/// As a teacher says it: from memory.
#[test]
fn aloud_rows_are_spoken() {
    assert_eq!(
        rows(&text(lace, "aloud"))[0],
        "Row one, right side. Knit two. Repeat the following three times. Yarn over. Slip slip knit. Knit four. \
         End of repeat. Knit three. Twenty-three stitches."
    );
    assert_eq!(
        rows(&text(crown, "aloud")),
        [
            "Round one. Repeat the following four times. Knit two. Knit two together. End of repeat. Twelve stitches.",
            "Round two. Knit to the end. Twelve stitches.",
            "Round three. Knit two together six times. Six stitches.",
        ]
    );
}

/// A group inside a group, a run of a stitch that has no word for many, and pieces of no width. Brackets: common
/// practice.
#[test]
fn repeats_inside_repeats_can_be_told_apart() {
    let nested = |extent| {
        move |s: &mut Sample<'_>| {
            let inner =
                Item::Repeat { items: vec![s.run("yo", 1), s.run("kfb", 2)], extent: Extent::Times(3) };
            let items = vec![s.run("k", 1), inner];
            vec![Item::Repeat { items, extent }, s.run("k", 1)]
        }
    };
    let (open, fixed) = (Extent::ToLast(1), Extent::Times(2));
    for (style, extent, expected) in [
        ("abbreviated", open, "*K1, [yo, [kfb] twice] 3 times; rep from * to last st, k1."),
        ("abbreviated", fixed, "[K1, [yo, [kfb] twice] 3 times] twice, k1."),
        ("bracketed", open, "[K1, [yo, [kfb] twice] 3 times] to last st, k1."),
        (
            "spelled-out",
            fixed,
            "repeat the following twice: knit 1, then repeat this inner group 3 times: yarn over, then repeat this \
             inner group twice: knit into the front and back of the next stitch; end of inner group; end of inner group; \
             end of repeat; then knit 1.",
        ),
        (
            "aloud",
            open,
            "Repeat the following to the last stitch. Knit one. Repeat this inner group three times. Yarn over. \
             Repeat this inner group twice. Knit into the front and back of the next stitch. End of inner group. End of inner group. End of \
             repeat. Knit one.",
        ),
    ] {
        assert_eq!(work(style, nested(extent)), expected, "{style}");
    }
}

/// A stitch of one movement is told with its number, to which nothing else can belong; a group is opened for those of several,
/// for yarn overs, of which two are another stitch, and behind a colour.
#[test]
fn listeners_hear_a_number_behind_one_stitch() {
    let three = |name: &'static str| move |s: &mut Sample<'_>| vec![s.run(name, 3), s.run("k", 1)];
    for (style, stitch, expected) in [
        ("spelled-out", "k2tog", "knit 2 together 3 times, knit 1."),
        ("aloud", "ssk", "Slip slip knit three times. Knit one."),
        ("aloud", "2/2lc", "Two over two left cross three times. Knit one."),
        ("abbreviated", "k2tog", "[K2tog] 3 times, k1."),
        (
            "spelled-out",
            "skp",
            "repeat the following 3 times: slip 1 knit 1 and pass the slipped stitch over; end of repeat; then knit 1.",
        ),
        ("aloud", "yo", "Repeat the following three times. Yarn over. End of repeat. Knit one."),
    ] {
        assert_eq!(work(style, three(stitch)), expected, "{style}");
    }
    let coloured = |s: &mut Sample<'_>| {
        let k2tog = s.stitch("k2tog");
        let stitch = s.written.stitches.coloured(k2tog, "2").unwrap();
        vec![Item::Run { stitch, extent: Extent::Times(3) }, s.run("k", 1)]
    };
    assert_eq!(
        work("spelled-out", coloured),
        "repeat the following 3 times: knit 2 together in color 2; end of repeat; then knit 1."
    );
}

#[test]
fn the_edges_of_a_row_are_sound() {
    assert_eq!(work("abbreviated", |_| Vec::new()), "No sts.");
    assert_eq!(
        work("aloud", |_| vec![Item::Repeat { items: Vec::new(), extent: Extent::Times(3) }]),
        "No stitches."
    );
    assert_eq!(work("abbreviated", |s| vec![s.run("k", 0), s.run("p", 2)]), "P2.");
    assert_eq!(work("abbreviated", |s| vec![s.run_to("bo", 0)]), "Bind off all sts.");
    assert_eq!(work("abbreviated", |s| vec![s.run("bo", 4), s.run_to("k", 0)]), "BO 4, k to end.");
    assert_eq!(work("abbreviated", |s| vec![s.run_to("ktbl", 1), s.run("k", 1)]), "K tbl to last st, k1.");
    assert_eq!(work("abbreviated", |s| vec![s.run("kpk", 1)]), "(K1, p1, k1) in next st.");
    assert_eq!(work("abbreviated", |s| vec![s.run("2/1/2rpc", 1)]), "2/1/2 RPC.");
    assert_eq!(work("spelled-out", |s| vec![s.run("2/1/2rpc", 1)]), "2 over 1 over 2 right purl cross.");
}

/// Two stitches whose names differ only in their first letter are told apart at the start of a row too.
#[test]
fn a_name_of_ones_own_keeps_its_letters() {
    let own = |name: &str| {
        work("abbreviated", |s| {
            s.written.stitches = Stitches::with_own(
                &["dot", "Dot"].map(|name| OwnStitch { name: name.into(), ..OwnStitch::default() }),
            );
            let item = s.run(name, 1);
            vec![Item::Repeat { items: vec![item], extent: Extent::ToLast(0) }]
        })
    };
    assert_eq!(own("dot"), "*dot; rep from * to end.");
    assert_eq!(own("Dot"), "*Dot; rep from * to end.");
}

/// Several sizes, a row that widens by the repeat: 8, 12, 16 stitches, one more in every repeat of 4. Source of the
/// form: standards.md section 5 (W7), the smallest first.
#[test]
fn sizes_stand_behind_each_other() {
    let sized = |name: &str| {
        let style = style_named(name);
        let mut s = Sample::new(style, "Cuff", Worked::Flat, 8);
        s.written.hand = Hand::Left;
        s.written.multiple = Some(Multiple { of: 4, plus: 0 });
        s.written.sizes = [("S", 2), ("M", 3), ("L", 4)]
            .map(|(name, times)| Size { name: name.into(), times, cast_on: 4 * times })
            .to_vec();
        let items = vec![s.run("k", 4), s.run("yo", 1)];
        s.row(1, Side::Rs, 10, vec![Item::Repeat { items, extent: Extent::ToLast(0) }]);
        let purl = s.run_to("p", 0);
        s.row(2, Side::Ws, 10, vec![purl]);
        Writer::named("text").unwrap().write(&s.written, style)
    };
    let abbreviated = sized("abbreviated");
    assert_eq!(
        abbreviated.lines().take(12).collect::<Vec<_>>(),
        [
            "Cuff",
            "",
            "Worked flat.",
            "For left-handed knitters.",
            "Sizes: S (M, L).",
            "Multiple of 4 sts.",
            "Cast on 8 (12, 16) sts.",
            "",
            "Row 1 (RS): *K4, yo; rep from * to end. [10 (15, 20) sts]",
            "Row 2 (WS): Purl.",
            "",
            "Abbreviations",
        ]
    );
    let spelled = sized("spelled-out");
    assert!(spelled.contains("Sizes: S, M, L.\n") && spelled.contains("Cast on 8, 12, 16 stitches.\n"));
    assert!(spelled.contains("Row 2, wrong side: purl to the end. 10, 15, 20 stitches.\n"), "{spelled}");
}

/// Only what stands in the text is listed, in the order of the alphabet: common practice.
#[test]
fn the_list_holds_what_is_used() {
    let terms = |sample: fn(&Style) -> Written, style: &str| {
        page::compose(&sample(style_named(style)), style_named(style))
            .list
            .lines
            .into_iter()
            .map(|entry| entry.term.into_owned())
            .collect::<Vec<_>>()
    };
    assert_eq!(terms(lace, "abbreviated"), ["k", "p", "rep", "RS", "ssk", "st(s)", "WS", "yo"]);
    assert_eq!(terms(cable, "bracketed"), ["2/2 LC", "k", "MB", "p", "RS", "st(s)", "WS"]);
    assert_eq!(terms(crown, "aloud"), ["knit two together"], "knit explains itself");
    let long = text(cable, "spelled-out");
    assert!(
        long.ends_with(
            "\n2 over 2 left cross: Slip 2 stitches to the cable needle and hold at the front, knit 2, then knit 2 \
             from the cable needle.\nmake bobble: Knit 1, yarn over, knit 1 into one stitch, turn, purl 3, turn, \
             knit 3 together.\n"
        ),
        "{long}"
    );
    let mut s = Sample::new(style_named("abbreviated"), "Plain", Worked::Round, 4);
    let knit = s.run_to("k", 0);
    s.row(1, Side::Rs, 4, vec![knit]);
    let list = page::compose(&s.written, s.style).list.lines;
    assert_eq!(list.iter().map(|entry| &*entry.term).collect::<Vec<_>>(), ["st(s)"]);
    // "Rounds 2-5: Rep Round 1 four times more." also where a sentence begins with the word.
    let again = Work::Again(Again { first: 1, last: 1, times: 4, growth: Vec::new() });
    let label = Label::Rows { first: 2, last: 5, side: None };
    s.written.lines.push(Line { label, work: again, count: Some(4), count_changes: false });
    let list = page::compose(&s.written, s.style).list.lines;
    assert_eq!(list.iter().map(|entry| &*entry.term).collect::<Vec<_>>(), ["rep", "st(s)"]);
}

/// A title or note of several lines stays on its lines; nothing in a text stands where it could be misread.
#[test]
fn every_part_keeps_to_its_lines() {
    let mut s = Sample::new(style_named("abbreviated"), " Two\nlines ", Worked::Flat, 1);
    s.written.notes = vec!["Wash.\n\nDry  flat.".into(), " ".into()];
    let text = Writer::named("text").unwrap().write(&s.written, s.style);
    assert_eq!(
        text,
        "Two lines\n\nWorked flat.\nCast on 1 st.\n\nNotes\nWash.\nDry flat.\n\nAbbreviations\nst(s): Stitch(es).\n"
    );
    s.written.title.clear();
    assert!(Writer::named("text").unwrap().write(&s.written, s.style).starts_with("Untitled\n"));
}

/// Every built-in stitch and some cables: nothing in the rows that a voice skips or reads as a symbol.
#[test]
fn voices_get_no_symbols() {
    for name in ["spelled-out", "aloud"] {
        let style = style_named(name);
        let mut s = Sample::new(style, "All", Worked::Flat, 100);
        let names: Vec<String> = Stitches::every()
            .map(|(_, stitch)| stitch.name.clone())
            .filter(|name| name != "ns")
            .chain(["2/2rc", "2/1lpc", "1/1lt", "2/1/2rpc"].map(str::to_owned))
            .collect();
        let mut items: Vec<Item> = names.iter().flat_map(|name| [s.run(name, 1), s.run(name, 3)]).collect();
        items.push(Item::Repeat { items: items.clone(), extent: Extent::Times(2) });
        s.row(1, Side::Rs, 100, items);
        let page = page::compose(&s.written, style);
        for line in
            page.rows.lines.iter().chain(&page.facts).chain(page.list.lines.iter().map(|entry| &entry.line))
        {
            let symbol = line.find(['*', '[', ']', '(', ')', '#', '_', '/', '&', '+', '{', '}']);
            assert_eq!(symbol.and_then(|at| line.get(at.saturating_sub(20)..=at)), None, "{name}");
            assert!(name == "spelled-out" || !line.contains(|c: char| c.is_ascii_digit()), "{line}");
        }
    }
}

/// The whole texts, for reading as a reader would.
#[test]
fn whole_texts() {
    for style in style::built_in() {
        let texts: Vec<String> = [lace, cable, crown]
            .map(|sample| Writer::named("text").unwrap().write(&sample(style), style))
            .to_vec();
        insta::assert_snapshot!(style.name.as_str(), texts.join("\n====\n\n"));
    }
    let style = style_named("abbreviated");
    insta::assert_snapshot!("markdown", Writer::named("markdown").unwrap().write(&cable(style), style));
}
