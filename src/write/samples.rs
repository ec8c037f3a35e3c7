//! Hand-built patterns for the tests, folded as each style asks.

use crate::pattern::{Hand, Multiple, Side, Worked};
use crate::stitch::{OwnStitch, StitchId, Stitches};
use crate::style::{Repeats, ReturnLines, Style, YarnOvers};
use crate::written::{Extent, Item, Label, Line, Work, Written};

/// A pattern being built for a style.
pub(super) struct Sample<'a> {
    pub(super) style: &'a Style,
    pub(super) written: Written,
}

impl<'a> Sample<'a> {
    pub(super) fn new(style: &'a Style, title: &str, worked: Worked, cast_on: u32) -> Self {
        let written = Written {
            title: title.into(),
            worked,
            hand: Hand::Right,
            cast_on,
            multiple: None,
            sizes: Vec::new(),
            notes: Vec::new(),
            lines: Vec::new(),
            stitches: Stitches::built_in(),
        };
        Self { style, written }
    }

    pub(super) fn stitch(&mut self, name: &str) -> StitchId {
        self.written.stitches.find(name).unwrap()
    }

    /// A run of a stitch.
    pub(super) fn run(&mut self, name: &str, times: u32) -> Item {
        Item::Run { stitch: self.stitch(name), extent: Extent::Times(times) }
    }

    /// A run of a stitch until so many loops are left.
    pub(super) fn run_to(&mut self, name: &str, left: u32) -> Item {
        Item::Run { stitch: self.stitch(name), extent: Extent::ToLast(left) }
    }

    /// A yarn over between two knit stitches.
    pub(super) fn yarn_over(&mut self) -> Item {
        let by_position = self.style.fold.yarn_overs == YarnOvers::ByPosition;
        self.run(if by_position { "yfwd" } else { "yo" }, 1)
    }

    /// The repeat of the chart, worked `times` and leaving `left` loops.
    pub(super) fn repeat(&self, items: Vec<Item>, times: u32, left: u32) -> Item {
        let extent = match self.style.fold.repeats {
            Repeats::Open => Extent::ToLast(left),
            Repeats::Counted => Extent::Times(times),
        };
        Item::Repeat { items, extent }
    }

    /// A row with its count.
    pub(super) fn row(&mut self, number: u32, side: Side, count: u32, items: Vec<Item>) {
        let before = self.written.lines.iter().rev().find_map(|line| line.count);
        let count_changes = before.unwrap_or(self.written.cast_on) != count;
        let label = Label::Row { number, side };
        self.written.lines.push(Line { label, work: Work::Items(items), count: Some(count), count_changes });
    }

    /// Rows 2, 4 ... `last`, all worked alike, told as the style asks; `drawn` are the rows between them.
    pub(super) fn returns(&mut self, last: u32, count: u32, items: &[Item], drawn: &[Vec<Item>]) {
        let side = if self.written.worked == Worked::Flat { Side::Ws } else { Side::Rs };
        let together = self.style.fold.return_rows == ReturnLines::OneSentence;
        for number in 1..=last {
            if number % 2 == 1 {
                self.row(number, Side::Rs, count, drawn[number as usize / 2].clone());
            } else if !together {
                self.row(number, side, count, items.to_vec());
            } else if number == 2 {
                self.written.lines.push(Line {
                    label: Label::Every { first: 2, side, except: Vec::new() },
                    work: Work::Items(items.to_vec()),
                    count: Some(count),
                    count_changes: false,
                });
            }
        }
    }
}

/// Lace with a repeat of 6 and a garter edge, 23 stitches.
pub(super) fn lace(style: &Style) -> Written {
    let mut s = Sample::new(style, "Sand Ripple", Worked::Flat, 23);
    s.written.multiple = Some(Multiple { of: 6, plus: 5 });
    s.written.notes = vec!["Yarn: 4 ply wool".into(), "Block hard.".into()];
    let group = |s: &mut Sample<'_>| vec![s.yarn_over(), s.run("ssk", 1), s.run("k", 4)];
    let inner = group(&mut s);
    let first = vec![s.run("k", 2), s.repeat(inner.clone(), 3, 3), s.run("k", 3)];
    let third = vec![s.run("k", 4), s.repeat(inner, 3, 1), s.run("k", 1)];
    let middle = match style.fold.repeats {
        Repeats::Open => s.run_to("p", 3),
        Repeats::Counted => s.run("p", 17),
    };
    let back = vec![s.run("k", 3), middle, s.run("k", 3)];
    s.returns(4, 23, &back, &[first, third]);
    s.written
}

/// A rope cable on purl with a bobble of the designer's own, WS rows charted.
pub(super) fn cable(style: &Style) -> Written {
    let mut s = Sample::new(style, "Rope & Bobble", Worked::Flat, 17);
    s.written.stitches = Stitches::with_own(&[OwnStitch {
        name: "mb".into(),
        short: Some("MB".into()),
        long: Some("make bobble".into()),
        explain: Some(
            "Knit 1, yarn over, knit 1 into one stitch, turn, purl 3, turn, knit 3 together.".into(),
        ),
        ..OwnStitch::default()
    }]);
    s.written.multiple = Some(Multiple { of: 7, plus: 3 });
    let plain = vec![s.run("p", 3), s.run("k", 4)];
    let back = vec![s.run("k", 3), s.run("p", 4)];
    let crossed = vec![s.run("p", 1), s.run("mb", 1), s.run("p", 1), s.run("2/2lc", 1)];
    for (number, side, group, edge) in [
        (1, Side::Rs, plain, "p"),
        (2, Side::Ws, back.clone(), "k"),
        (3, Side::Rs, crossed, "p"),
        (4, Side::Ws, back, "k"),
    ] {
        let items = vec![s.repeat(group, 2, 3), s.run(edge, 3)];
        s.row(number, side, 17, items);
    }
    s.written
}

/// A crown in the round: the count changes, a round of one stitch, a stitch with no word for many of it.
pub(super) fn crown(style: &Style) -> Written {
    let mut s = Sample::new(style, "Crown", Worked::Round, 16);
    let knit = s.run_to("k", 0);
    let first = vec![s.run("k", 2), s.run("k2tog", 1)];
    let first = vec![s.repeat(first, 4, 0)];
    s.row(1, Side::Rs, 12, first);
    s.row(2, Side::Rs, 12, vec![knit]);
    let together = match style.fold.repeats {
        Repeats::Open => s.run_to("k2tog", 0),
        Repeats::Counted => s.run("k2tog", 6),
    };
    s.row(3, Side::Rs, 6, vec![together]);
    s.written
}
