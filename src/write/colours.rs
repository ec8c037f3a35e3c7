//! What colours are called: by their own names, or in rows by an abbreviation that the line of colours explains.

use std::borrow::Cow;

use super::work::one_line;
use crate::stitch::Stitches;
use crate::style::{Style, Wording};
use crate::words::colours::{is_abbreviation, is_brief, is_marked, told_twice};
use crate::written::{Item, Work, Written};

/// The colours of a pattern, in the order they come in.
#[derive(Debug, Default)]
pub(super) struct Colours<'w> {
    all: Vec<Colour<'w>>,
    /// Whether every stitch that is worked has one. Else a row of one colour names it behind each: said at its beginning it
    /// would be read as that of what follows, too.
    everywhere: bool,
}

#[derive(Debug)]
struct Colour<'w> {
    /// Its name in the pattern.
    name: &'w str,
    /// What rows call it.
    called: Cow<'w, str>,
    /// What stands in the line of colours.
    listed: Cow<'w, str>,
}

impl<'w> Colours<'w> {
    /// The colours of these rows, called as the style has them.
    pub(super) fn of(written: &'w Written, style: &Style) -> Self {
        if !written.stitches.have_colours() {
            return Self::default();
        }
        let names = gathered(written);
        let lines: Vec<Cow<'w, str>> = names.iter().map(|&name| one_line(name)).collect();
        let lines: Vec<&str> = lines.iter().map(AsRef::as_ref).collect();
        let pairs = told_twice(&lines);
        let letters = letters(&lines, &pairs);
        let colours = names.iter().zip(lines.iter().zip(pairs)).zip(letters);
        let all = colours.map(|((&name, (&line, pair)), letter)| {
            let (abbreviation, whole) = match (pair, letter) {
                (Some((abbreviation, whole)), _) => (abbreviation.to_owned(), whole),
                (None, Some(letter)) => (letter.to_string(), line),
                (None, None) => {
                    let called = called(line, style).into();
                    return Colour { name, called, listed: line.to_owned().into() };
                }
            };
            let template = if is_marked(whole) { &style.head.colour_apart } else { &style.head.colour };
            let listed =
                template.fill(&[("abbreviation", abbreviation.as_str().into()), ("name", whole.into())]);
            let spoken = pair.is_some() && style.wording == Wording::Long && !is_marked(whole);
            let called = called(if spoken { whole } else { &abbreviation }, style);
            Colour { name, called: called.into(), listed: listed.into() }
        });
        Self { all: all.collect(), everywhere: are_everywhere(written) }
    }

    /// Whether a row may say once in which colour all of it is worked.
    pub(super) fn may_be_said_once(&self) -> bool {
        self.everywhere
    }

    /// What rows call a colour.
    pub(super) fn called<'n>(&'n self, name: &'n str) -> Cow<'n, str> {
        let known = self.all.iter().find(|colour| colour.name == name);
        known.map_or_else(|| one_line(name), |colour| colour.called.as_ref().into())
    }

    /// What the line of colours calls them.
    pub(super) fn listed(&self) -> Vec<&str> {
        self.all.iter().map(|colour| colour.listed.as_ref()).collect()
    }
}

/// A name as it stands in a row: a number needs a word that says what it is.
fn called(name: &str, style: &Style) -> String {
    match name.starts_with(|c: char| c.is_ascii_digit()) {
        true => style.work.colour_number.fill(&[("colour", name.into())]),
        false => name.to_owned(),
    }
}

/// A letter for each colour that has and is no abbreviation, where the name of one holds marks that part the words of a row: "k2
/// No. 4, red, k2 cream" is sooner read as "k2 A, k2 B". None where they would not all be read back.
fn letters(names: &[&str], pairs: &[Option<(&str, &str)>]) -> Vec<Option<char>> {
    let whole = |(name, pair): (&&str, &Option<_>)| pair.is_none() && !is_abbreviation(name);
    let to_letter: Vec<bool> = names.iter().zip(pairs).map(whole).collect();
    let lettered = || names.iter().zip(&to_letter).filter(|(_, letter)| **letter).map(|(name, _)| *name);
    let none = || vec![None; names.len()];
    if !lettered().any(is_marked) || !lettered().all(|name| is_brief(name) && !name.contains(['(', ')'])) {
        return none();
    }
    // Letters that no colour has in its name.
    let free = |letter: &char| {
        let is_letter =
            |word: &str| word.chars().eq([*letter]) || word.chars().eq([letter.to_ascii_lowercase()]);
        !names.iter().flat_map(|name| name.split(|c: char| !c.is_alphanumeric())).any(is_letter)
    };
    let mut letters = ('A'..='H').filter(free);
    let given: Vec<Option<char>> =
        to_letter.iter().map(|to_letter| if *to_letter { letters.next() } else { None }).collect();
    if given.iter().flatten().count() == lettered().count() { given } else { none() }
}

/// Whether every stitch of the rows has a colour, or is only slipped.
fn are_everywhere(written: &Written) -> bool {
    let stitches = &written.stitches;
    let coloured = |item: &Item| match item {
        Item::Run { stitch, .. } => stitches.get(*stitch).colour.is_some() || stitches.is_slipped(*stitch),
        Item::Repeat { .. } => true,
    };
    written.lines.iter().all(|line| match &line.work {
        Work::Items(items) => items.iter().flat_map(Item::pieces).all(coloured),
        Work::Again(_) => true,
        Work::InTurn { .. } => false,
    })
}

/// The names of the colours of the rows.
fn gathered(written: &Written) -> Vec<&str> {
    fn gather<'w>(items: &[Item], stitches: &'w Stitches, found: &mut Vec<&'w str>) {
        for item in items {
            match item {
                Item::Repeat { items, .. } => gather(items, stitches, found),
                Item::Run { stitch, .. } => {
                    let colour = stitches.get(*stitch).colour.as_deref();
                    found.extend(colour.filter(|colour| !found.contains(colour)));
                }
            }
        }
    }
    let mut found = Vec::new();
    for line in &written.lines {
        if let Work::Items(items) = &line.work {
            gather(items, &written.stitches, &mut found);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::Writer;
    use super::super::samples::Sample;
    use crate::pattern::{Side, Worked};
    use crate::style;
    use crate::written::{Extent, Item};

    /// A row of stitches in colours, "name times colour" each, in the words of a style: the line of colours and the row.
    fn printed(style: &str, row: &[(&str, u32, &str)]) -> [String; 2] {
        let mut s = Sample::new(style::named(style).unwrap(), "Two yarns", Worked::Round, 8);
        let items = row
            .iter()
            .map(|&(name, times, colour)| {
                let plain = s.stitch(name);
                let stitch = s.written.stitches.coloured(plain, colour).unwrap();
                Item::Run {
                    stitch,
                    extent: if times == 0 { Extent::ToLast(0) } else { Extent::Times(times) },
                }
            })
            .collect();
        s.row(1, Side::Rs, 8, items);
        let text = Writer::named("text").unwrap().write(&s.written, s.style);
        ["Col", "Round "].map(|head| {
            let line = text.lines().find(|line| line.starts_with(head)).unwrap();
            line.split_once([':', '.']).unwrap().1.trim().to_owned()
        })
    }

    /// Common practice: rows call a colour by its abbreviation, and who listens hears its name.
    #[test]
    fn an_abbreviation_is_told_once_and_stands_in_the_rows() {
        let row = [("k", 2, "CC: cream"), ("k", 2, "MC: navy")];
        for (style, colours, work) in [
            ("abbreviated", "CC (cream), MC (navy).", "K2 CC, k2 MC."),
            ("spelled-out", "CC is cream, MC is navy.", "knit 2 in cream, knit 2 in navy. 8 stitches."),
            ("aloud", "CC is cream, MC is navy.", "Knit two in cream. Knit two in navy. Eight stitches."),
        ] {
            assert_eq!(printed(style, &row), [colours, work], "{style}");
        }
        // Of names that do not tell them apart none stands alone.
        let twice = [("k", 2, "A: cream"), ("k", 2, "B: cream")];
        assert_eq!(printed("abbreviated", &twice), ["C (A: cream), D (B: cream).", "K2 C, k2 D."]);
    }

    #[test]
    fn names_that_marks_or_numbers_would_hide_are_told_apart_from_the_work() {
        let marked = [("k", 2, "Dk. blue, no. 4"), ("k", 2, "cream"), ("k", 2, "A")];
        for (style, listed, work) in [
            ("abbreviated", "B (Dk. blue, no. 4); C (cream); A.", "K2 B, k2 C, k2 A."),
            (
                "aloud",
                "B (Dk. blue, no. 4); C is cream; A.",
                "Knit two in B. Knit two in C. Knit two in A. Eight stitches.",
            ),
        ] {
            assert_eq!(printed(style, &marked), [listed, work], "{style}");
        }
        let numbers = [("k", 2, "1"), ("p", 1, "2")];
        for (style, work) in [
            ("abbreviated", "K2 color 1, p1 color 2."),
            ("uk", "K2 colour 1, p1 colour 2."),
            ("aloud", "Knit two in color 1. Purl one in color 2. Eight stitches."),
        ] {
            assert_eq!(printed(style, &numbers), ["1, 2.", work], "{style}");
        }
    }

    #[test]
    fn a_row_of_one_colour_names_it_once() {
        let lace = [("k", 2, "navy"), ("yo", 1, "navy"), ("ssk", 1, "navy"), ("k", 0, "navy")];
        // What is slipped was worked in another colour before.
        let slipped = [("k", 2, "navy"), ("sl1wyib", 1, "cream"), ("k", 0, "navy")];
        for (style, row, work) in [
            ("abbreviated", &lace[..], "With navy, k2, yo, ssk, k to end."),
            ("abbreviated", &slipped, "With navy, k2, sl 1 wyib, k to end."),
            ("abbreviated", &[("k", 0, "1")], "With color 1, knit."),
            ("spelled-out", &lace[3..], "with navy, knit to the end. 8 stitches."),
            (
                "aloud",
                &lace,
                "Work in navy. Knit two. Yarn over. Slip slip knit. Knit to the end. Eight stitches.",
            ),
        ] {
            assert_eq!(printed(style, row)[1], work, "{style}");
        }
        let mixed = [("k", 2, "navy"), ("sl1wyib", 1, "cream"), ("p", 5, "cream")];
        assert_eq!(printed("abbreviated", &mixed)[1], "K2 navy, sl 1 wyib, p5 cream.");
    }
}
