//! Rows told by the rows before that they are like, in the words of a style.

use std::borrow::Cow;

use super::work::Worder;
use crate::stitch::Stitches;
use crate::style::Value;
use crate::written::{Again, Grown, Growth};

impl Worder<'_> {
    /// Puts "As Row 1", "Rep Rows 1-8 twice", without the full stop, behind a text.
    pub(super) fn again(&mut self, again: &Again, text: &mut String) {
        let words = &self.style.again;
        let from = text.len();
        let template = match again.first == again.last && again.times == 1 && again.growth.is_empty() {
            true => self.by_way(&words.as_row, &words.as_round),
            false => self.by_way(&words.rep_rows, &words.rep_rounds),
        };
        template.fill_behind(text, &[("n", self.range(again.first, again.last))]);
        if again.times > 1 {
            words.times.fill_behind(text, &[("times", self.times_in_words(again.times))]);
        }
        if !again.growth.is_empty() {
            let more = self.more(&again.growth).join(&words.between);
            words.growing.fill_behind(text, &[("more", more.into())]);
        }
        self.begin(text, from, &[]);
    }

    /// Puts "Work in St st, beg with a knit row" behind a text.
    pub(super) fn in_turn(&mut self, reverse: bool, knit_first: bool, text: &mut String) {
        let words = &self.style.again;
        self.uses(Stitches::K);
        self.uses(Stitches::P);
        let first = if knit_first { &words.knit } else { &words.purl };
        let template = if reverse { &words.reverse } else { &words.stocking };
        let from = text.len();
        template.fill_behind(text, &[("first", first.as_str().into())]);
        self.begin(text, from, &[]);
    }

    /// What grows; runs that get as many stitches are told together.
    fn more(&mut self, growth: &[Growth]) -> Vec<String> {
        let words = &self.style.again;
        let alike = |one: &Growth, two: &Growth| {
            one.by == two.by && one.what != Grown::Repeat && two.what != Grown::Repeat
        };
        let mut more = Vec::new();
        for alike in growth.chunk_by(alike) {
            let Some(by) = alike.first().map(|growth| growth.by) else { continue };
            let told: Vec<Cow<'_, str>> = alike.iter().map(|growth| self.growth(growth).into()).collect();
            if alike.iter().all(|growth| growth.what == Grown::Repeat) {
                more.extend(told.into_iter().map(Cow::into_owned));
                continue;
            }
            let template = if by < 0 { &words.run_fewer } else { &words.run_more };
            let by = self.number(by.unsigned_abs());
            more.push(template.fill(&[("by", by), ("runs", self.list(&told).into())]));
        }
        more
    }

    /// A run that grows, or a repeat and how it grows.
    fn growth(&mut self, growth: &Growth) -> String {
        let words = &self.style.again;
        let of = match &growth.rows[..] {
            [] => String::new(),
            rows => self.by_way(&words.of_rows, &words.of_rounds).fill(&[("n", self.numbers(rows))]),
        };
        let which = match &growth.which[..] {
            [] if growth.several => words.each.clone(),
            [] => words.the.clone(),
            some => {
                let places: Vec<Cow<'_, str>> = some.iter().map(|&place| ordinal(place).into()).collect();
                words.some.fill(&[("n", self.list(&places).into())])
            }
        };
        let (which, of) = (("which", Value::from(which)), ("of", Value::from(of)));
        match growth.what {
            Grown::Run { stitch, times } => {
                words.run.fill(&[which, ("run", self.one_run(stitch, times).into()), of])
            }
            Grown::Repeat => {
                let template = if growth.by < 0 { &words.repeat_fewer } else { &words.repeat_more };
                template.fill(&[which, of, ("times", self.times_in_words(growth.by.unsigned_abs()))])
            }
        }
    }
}

/// A place in an order: 1st, 2nd, 3rd, 11th.
fn ordinal(n: u32) -> String {
    let ending = match (n % 10, n % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{n}{ending}")
}
