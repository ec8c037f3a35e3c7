//! The row model: a pattern is rows of stitches in the order they are worked, every stitch on its own.

use std::fmt;
use std::iter::repeat_n;
use std::sync::Arc;

use crate::place::{Place, Span, Spot};
use crate::stitch::{Face, StitchId, Stitches};

/// Whether rows go back and forth or round and round.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Worked {
    /// Back and forth, RS and WS rows in turn.
    #[default]
    Flat,
    /// In the round: every round is RS.
    Round,
}

/// The side of the fabric that faces the knitter.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Side {
    /// Right side.
    #[default]
    Rs,
    /// Wrong side.
    Ws,
}

impl Side {
    /// The other side.
    pub const fn other(self) -> Self {
        match self {
            Self::Rs => Self::Ws,
            Self::Ws => Self::Rs,
        }
    }

    /// `RS` or `WS`.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Rs => "RS",
            Self::Ws => "WS",
        }
    }
}

/// The knitter's working hand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Hand {
    /// Right-handed: RS rows from the right edge of the chart.
    #[default]
    Right,
    /// Left-handed, mirror-wise: RS rows from the left edge, leaning stitches mirrored.
    Left,
}

/// "Multiple of 6 sts + 5": the widths a pattern can have, in stitches of the cast-on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Multiple {
    /// Stitches of one repeat.
    pub of: u32,
    /// Stitches outside the repeats.
    pub plus: u32,
}

impl Multiple {
    /// Whether both allow the same widths, but for the narrowest.
    pub const fn is_as(self, other: Self) -> bool {
        self.of == other.of && (self.of == 0 || self.plus.abs_diff(other.plus).is_multiple_of(self.of))
    }

    /// The cast-on on which the repeat is worked so often.
    pub const fn width(self, times: u32) -> u32 {
        self.of.saturating_mul(times).saturating_add(self.plus)
    }

    /// How often the repeat is worked on a cast-on; `None` where it does not come out even, or not once.
    pub fn times(self, cast_on: u32) -> Option<u32> {
        let span = cast_on.checked_sub(self.plus).filter(|span| *span > 0 && span.is_multiple_of(self.of))?;
        span.checked_div(self.of)
    }

    /// The widest cast-on that it allows up to this one, and the narrowest above.
    pub fn nearest(self, cast_on: u32) -> (Option<u32>, u32) {
        let times = cast_on.saturating_sub(self.plus).checked_div(self.of).unwrap_or(0);
        ((times > 0).then(|| self.width(times)), self.width(times.saturating_add(1)))
    }
}

/// How often something is worked: "once", "3 times".
pub fn often(times: u32) -> String {
    if times == 1 { "once".to_owned() } else { format!("{times} times") }
}

impl fmt::Display for Multiple {
    /// "a multiple of 6 sts + 5"; with `#` as a sentence begins, "Multiple of 6 sts + 5".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(if f.alternate() { "Multiple of" } else { "a multiple of" })?;
        match self.plus {
            0 => write!(f, " {} sts", self.of),
            plus => write!(f, " {} sts + {plus}", self.of),
        }
    }
}

/// A size of the pattern: the repeat worked so many times.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Size {
    /// The size's name, such as `M`.
    pub name: String,
    /// How often the repeat is worked.
    pub times: u32,
    /// Stitches to cast on.
    pub cast_on: u32,
}

/// One row, or round, as worked.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Its number; the first is usually 1.
    pub number: u32,
    /// The side that faces the knitter; every round is RS.
    pub side: Side,
    /// Whether the chart draws it; a return row or a skipped row is not drawn.
    pub charted: bool,
    /// The stitches in the order they are worked, in the terms of the row's side. Never `ns`.
    pub stitches: Vec<StitchId>,
    /// Where it stands in its file; for a row that is not charted, the row it follows from.
    pub place: Place,
    /// The cells of each stitch, one for each of `stitches`, where the source is a chart that draws the row; else
    /// empty. What a repeat works more often has the same cells again.
    pub cells: Vec<Span>,
    /// The number of stitches the source says the row makes, where it says so.
    pub stated: Option<u32>,
    /// The repeat as the chart draws it: indexes into `stitches` where the repeated part begins and ends, and
    /// how often it is worked. `None` where the chart has no repeat, or this row's can't be told.
    pub repeat: Option<RowRepeat>,
}

impl Row {
    /// Whether it is the set-up row, which stands before row 1.
    pub fn is_set_up(&self) -> bool {
        self.number == 0
    }

    /// Where one of its stitches stands: its cells in a chart, else the row's own place.
    pub fn place_of(&self, stitch: usize) -> Place {
        let spot = match (self.cells.get(stitch), &self.place.spot) {
            (Some(&cells), Spot::Cells { sheet, .. }) => Spot::Cells { sheet: Arc::clone(sheet), cells },
            (Some(cells), Spot::Line { .. }) => Spot::Line {
                line: cells.first.row.saturating_add(1),
                column: cells.first.column.saturating_add(1),
            },
            (_, spot) => spot.clone(),
        };
        Place { file: Arc::clone(&self.place.file), spot }
    }
}

impl Row {
    /// How often the row works its repeat in the size that works the pattern's so often; `sizes` are those of the pattern.
    pub fn times_in(&self, sizes: &[Size], times: u32) -> Option<usize> {
        let own = sizes.first()?.times as usize;
        (self.repeat?.times + times as usize).checked_sub(own)
    }

    /// The row with its repeat worked so often; `None` where it does not say what it repeats.
    pub fn with_repeat_worked(&self, times: usize) -> Option<Vec<StitchId>> {
        let repeat = self.repeat.filter(|repeat| repeat.length > 0)?;
        let end = repeat.length.checked_mul(repeat.times)?.checked_add(repeat.start)?;
        let (head, tail) = (self.stitches.get(..repeat.start)?, self.stitches.get(end..)?);
        let unit = self.stitches.get(repeat.start..repeat.start + repeat.length)?;
        Some([head, &unit.repeat(times), tail].concat())
    }
}

/// Where the chart's repeat stands in a row as worked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct RowRepeat {
    /// Index of the first stitch of the first working of the repeat.
    pub start: usize,
    /// Stitches (entries of the row, a cable counts one) in one working.
    pub length: usize,
    /// How often it is worked.
    pub times: usize,
}

/// A pattern, every stitch on its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Pattern {
    /// What it is called.
    pub title: String,
    /// The file it comes from, as the user gave it.
    pub source: Arc<str>,
    /// Letter of the chart in its file, where the file has several.
    pub chart: Option<Arc<str>>,
    /// Flat or in the round.
    pub worked: Worked,
    /// For which hand it is written.
    pub hand: Hand,
    /// Stitches to cast on: stated, or what the first row uses.
    pub cast_on: u32,
    /// The widths it can have, where it has a repeat.
    pub multiple: Option<Multiple>,
    /// Its sizes, the first one being the size of the rows; empty where there are none.
    pub sizes: Vec<Size>,
    /// The rows in the order they are worked.
    pub rows: Vec<Row>,
    /// What the designer wrote beside the chart, a line each.
    pub notes: Vec<String>,
    /// The stitches it uses: the dictionary and the designer's own.
    pub stitches: Stitches,
}

impl Pattern {
    /// Loops a row uses from the left needle, and loops it leaves on the right one.
    pub fn loops(&self, row: &Row) -> (u32, u32) {
        self.stitches.loops(&row.stitches)
    }

    /// Loops a row uses from the left needle.
    pub fn uses(&self, row: &Row) -> u32 {
        self.stitches.uses(&row.stitches)
    }

    /// Loops a row leaves on the right needle.
    pub fn makes(&self, row: &Row) -> u32 {
        self.stitches.makes(&row.stitches)
    }

    /// Gives slipped stitches that have no colour of their own that of the loops they pass on, where it is known.
    pub fn show_slipped_loops(&mut self) {
        let Self { rows, stitches, worked, .. } = self;
        let coloured = |row: &Row| row.stitches.iter().any(|&id| stitches.get(id).colour.is_some());
        if !rows.iter().any(coloured) {
            return;
        }
        let mut needle: Vec<Option<Arc<str>>> = Vec::new();
        for row in rows {
            if *worked == Worked::Flat {
                needle.reverse();
            }
            let mut used = 0;
            let mut made = Vec::with_capacity(needle.len());
            for id in &mut row.stitches {
                let (uses, makes) = (stitches.get(*id).uses as usize, stitches.get(*id).makes as usize);
                if stitches.is_slipped(*id)
                    && stitches.get(*id).colour.is_none()
                    && let Some(shown) = needle.get(used).cloned().flatten()
                {
                    *id = stitches.coloured(*id, &shown).unwrap_or(*id);
                }
                made.extend(repeat_n(stitches.get(*id).colour.clone(), makes));
                used += uses;
            }
            needle = made;
        }
    }

    /// The pattern as worked in one of its sizes; `None` where a row does not say what it repeats, or would be longer than
    /// `longest` stitches.
    pub fn in_size(&self, size: &Size, longest: usize) -> Option<Self> {
        let row = |row: &Row| {
            let times = row.times_in(&self.sizes, size.times)?;
            if row.repeat?.length.checked_mul(times)? > longest {
                return None;
            }
            // What a cell or a count says holds for the first size.
            let repeat = row.repeat.map(|repeat| RowRepeat { times, ..repeat });
            let stitches = row.with_repeat_worked(times)?;
            Some(Row { stitches, repeat, cells: Vec::new(), stated: None, ..row.clone() })
        };
        let rows = self.rows.iter().map(row).collect::<Option<Vec<Row>>>()?;
        Some(Self { cast_on: size.cast_on, rows, sizes: Vec::new(), ..self.clone() })
    }
}

/// The stitches of a row with two yarn overs side by side made one double yarn over, which is what they are; and the
/// index that each had before.
pub fn with_double_yarn_overs(row: &[StitchId]) -> Vec<(usize, StitchId)> {
    let mut joined: Vec<(usize, StitchId)> = Vec::with_capacity(row.len());
    for (index, &id) in row.iter().enumerate() {
        match joined.last_mut() {
            Some((_, last)) if *last == Stitches::YO && id == Stitches::YO => *last = Stitches::YO2,
            _ => joined.push((index, id)),
        }
    }
    joined
}

/// The faces, as the right side of the fabric shows them, of the loops that a row leaves on the needle, in the
/// order they were made. `before` holds those of the row before, in the order they were made, for stitches that
/// keep the face of the loop they slip; `same_way` says that both rows are worked in the same direction (rounds).
pub fn faces_after(
    stitches: &Stitches,
    row: impl IntoIterator<Item = StitchId>,
    side: Side,
    before: &[Face],
    same_way: bool,
) -> Vec<Face> {
    let row = row.into_iter();
    let mut made = Vec::with_capacity(before.len().max(row.size_hint().0));
    let mut used = 0usize;
    for id in row {
        let stitch = stitches.get(id);
        for (index, &face) in stitch.faces.iter().enumerate() {
            let shown = match (face, side) {
                (Face::Knit, Side::Ws) => Face::Purl,
                (Face::Purl, Side::Ws) => Face::Knit,
                (Face::Same, _) => {
                    let at = used + index;
                    let old = if same_way { before.get(at) } else { before.iter().rev().nth(at) };
                    // A loop that can't be known (a count error, the cast-on) shows a knit face, as most do.
                    match old {
                        Some(Face::Purl) => Face::Purl,
                        Some(Face::Over) => Face::Over,
                        _ => Face::Knit,
                    }
                }
                (face, _) => face,
            };
            made.push(shown);
        }
        used += stitch.uses as usize;
    }
    made
}

#[cfg(test)]
mod tests {
    use super::Multiple;

    /// The widths of "a multiple of 6 sts + 5" are 11, 17, 23 ...
    #[test]
    fn a_multiple_allows_whole_repeats_and_its_edges() {
        let multiple = Multiple { of: 6, plus: 5 };
        for (cast_on, times, nearest) in [
            (11, Some(1), (Some(11), 17)),
            (23, Some(3), (Some(23), 29)),
            (22, None, (Some(17), 23)),
            (5, None, (None, 11)),
            (4, None, (None, 11)),
            (0, None, (None, 11)),
        ] {
            assert_eq!((multiple.times(cast_on), multiple.nearest(cast_on)), (times, nearest), "{cast_on}");
        }
        assert_eq!(Multiple { of: 0, plus: 5 }.times(5), None);
        assert_eq!(Multiple { of: 0, plus: 5 }.times(6), None);
    }
}
