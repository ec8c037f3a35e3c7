//! Sizes: "Cast on 23 (29, 35) sts", "rep from * 3 (4, 5) times", "[25 (31, 37) sts]". Every size is worked and
//! proved; a pattern has sizes where they differ only by how often its repeat is worked.

use std::borrow::Cow;
use std::ops::Range;

use super::facts::Facts;
use super::faults;
use super::find::RowText;
use super::reading::Source;
use super::solve::Solved;
use super::stated::part_count;
use crate::pattern::{Multiple, Pattern, Row, RowRepeat, Size};
use crate::problem::Finding;
use crate::settings::{Settings, sizes_disagree};
use crate::stitch::StitchId;
use crate::words::rows::lex::{Cursor, tokens};
use crate::words::rows::sized::by_size;
use crate::written::{Extent, Item};

/// The sizes that files or the text itself set, for a text that says of what its cast-on is a multiple, and tells no cast-on
/// and no sizes. Those of the call are [`asked`].
pub(super) fn as_set(facts: &mut Facts, settings: &Settings) {
    let (Some(multiple), Some(sizes)) = (facts.multiple, &settings.sizes) else { return };
    if !facts.cast_on.is_empty() || !facts.sizes.is_empty() || settings.cast_on.is_some() {
        return;
    }
    facts.cast_on = sizes.iter().map(|(_, times)| multiple.width(*times)).collect();
    facts.sizes = sizes.iter().map(|(name, _)| name.clone()).collect();
}

/// The sizes that the call asks for, in the place of the text's own: none where it asks for none.
///
/// # Errors
/// Says why the text can't be worked in them.
fn asked(source: Source<'_>) -> Result<Vec<One>, Finding> {
    let Source { draft, above, .. } = source;
    let Some(sizes) = &above.sizes else { return Ok(Vec::new()) };
    let place = || faults::first_place(source);
    let multiple = draft.facts.multiple.filter(|multiple| multiple.of > 0);
    let Some(multiple) = multiple else { return Err(faults::sizes_of_nothing(place())) };
    let own = &draft.facts.cast_on;
    let by_size = own.len() > 1 && draft.rows.iter().any(|row| gives_by_size(row, own.len()));
    let one = |(name, times): &(String, u32)| {
        let cast_on = multiple.width(*times);
        let numbers = own.iter().position(|&own| own == cast_on);
        if numbers.is_none() && by_size {
            return Err(faults::no_numbers(place(), own, (name, cast_on)));
        }
        Ok(One { name: name.clone(), numbers: numbers.unwrap_or(0), cast_on: Some(cast_on) })
    };
    let all: Vec<One> = sizes.iter().map(one).collect::<Result<_, _>>()?;
    let first = sizes.first().zip(all.first().and_then(|one| one.cast_on));
    match (first, above.cast_on) {
        (Some(((_, times), width)), Some(cast_on)) if width != cast_on => {
            Err(sizes_disagree(place(), *times, width, cast_on))
        }
        _ => Ok(all),
    }
}

/// Whether the work of a row gives numbers for so many sizes; its count is none of it.
fn gives_by_size(row: &RowText, sizes: usize) -> bool {
    let work = row.line.text.get(row.work..).unwrap_or_default();
    let work = work.get(..part_count(work).0).unwrap_or_default();
    sized(work, sizes).iter().any(|found| found.numbers.len() == sizes)
}

/// The sizes a text is read in.
pub(super) struct Sizes {
    /// One at least.
    all: Vec<One>,
    /// The one that is read first: its stitches are those of the pattern.
    pub(super) first: usize,
    /// Whether the others are read too.
    pub(super) others: bool,
    /// For how many sizes the text gives numbers.
    given: usize,
}

/// A size.
struct One {
    name: String,
    /// Which of the numbers that are given by size are its own.
    numbers: usize,
    /// The cast-on it is asked for on.
    cast_on: Option<u32>,
}

impl Sizes {
    /// Those that the call asks for, else those of the facts. A cast-on that the user asks for picks the size that has it,
    /// and that one alone.
    pub(super) fn of(source: Source<'_>, findings: &mut Vec<Finding>) -> Self {
        let (facts, cast_on) = (&source.draft.facts, source.above.cast_on);
        let given = facts.sizes.len().max(facts.cast_on.len()).max(1);
        let asked = asked(source).unwrap_or_else(|finding| {
            findings.push(finding);
            Vec::new()
        });
        if !asked.is_empty() {
            return Self { first: 0, others: asked.len() > 1, all: asked, given };
        }
        let named = facts.sizes.len() == given;
        let name = |at: usize| facts.sizes.get(at).filter(|_| named).cloned();
        let one =
            |at| One { name: name(at).unwrap_or_else(|| (at + 1).to_string()), numbers: at, cast_on: None };
        let first = cast_on.and_then(|asked| facts.cast_on.iter().position(|&own| own == asked));
        let others = given > 1 && cast_on.is_none();
        Self { all: (0..given).map(one).collect(), first: first.unwrap_or(0), others, given }
    }

    /// Which of the numbers given by size are those of a size, and how many there are.
    pub(super) fn numbers(&self, size: usize) -> (usize, usize) {
        (self.all.get(size).map_or(0, |one| one.numbers), self.given)
    }

    /// For how many sizes the text gives numbers.
    pub(super) const fn given(&self) -> usize {
        self.given
    }

    /// The cast-on that a size is asked for on.
    pub(super) fn asked(&self, size: usize) -> Option<u32> {
        self.all.get(size)?.cast_on
    }

    /// How many there are.
    pub(super) const fn count(&self) -> usize {
        self.all.len()
    }

    /// The others, where they are read too.
    pub(super) fn beside(&self) -> impl Iterator<Item = usize> + use<> {
        let (first, count) = (self.first, if self.others { self.count() } else { 0 });
        (0..count).filter(move |&size| size != first)
    }

    /// What one is called.
    pub(super) fn name(&self, size: usize) -> &str {
        self.all.get(size).map_or("", |one| &one.name)
    }

    /// The pattern with its sizes, given each of them as worked, the first one first; `None` where they differ by
    /// more than how often the repeat is worked. `times` is how often one row's repeat is worked in each size, where
    /// a row tells it.
    pub(super) fn together(&self, worked: &[Pattern], times: Option<&[u32]>) -> Option<Pattern> {
        let first = worked.first()?;
        let cast_ons: Vec<u32> = worked.iter().map(|pattern| pattern.cast_on).collect();
        let told = first.multiple.or_else(|| multiple(&cast_ons, times?));
        let (multiple, counted) = match told {
            Some(told) => (Some(told), vec![told]),
            None => (None, plain(&cast_ons)),
        };
        counted.into_iter().find_map(|counted| {
            let sizes = self.counted(&cast_ons, counted)?;
            let rows = repeats(worked, &sizes, told.is_some())?;
            Some(Pattern { multiple, sizes, rows, ..first.clone() })
        })
    }

    /// The only size there is, by how often the cast-on holds the multiple; `None` where it is given no name, or the
    /// text does not say what the cast-on is a multiple of.
    pub(super) fn alone(&self, facts: &Facts, pattern: &Pattern) -> Option<Vec<Size>> {
        let [one] = &self.all[..] else { return None };
        let is_own = || facts.cast_on.first().is_none_or(|&cast_on| cast_on == pattern.cast_on);
        let named = one.cast_on.is_some() || facts.sizes.len() == 1 && is_own();
        self.counted(&[pattern.cast_on], pattern.multiple.filter(|multiple| named && multiple.of > 0)?)
    }

    /// The sizes, each with how often it works the repeat.
    fn counted(&self, cast_ons: &[u32], multiple: Multiple) -> Option<Vec<Size>> {
        let size = |(one, &cast_on): (&One, &u32)| {
            Some(Size { name: one.name.clone(), times: multiple.times(cast_on)?, cast_on })
        };
        self.all.iter().zip(cast_ons).map(size).collect()
    }
}

/// For each row the times that its one repeat is worked, where it has one.
pub(super) fn repeated(solved: &[Solved]) -> Vec<Option<u32>> {
    solved
        .iter()
        .map(|solved| {
            let laid = solved.row.as_ref().ok()?;
            let mut repeats = laid.items.iter().filter_map(|(item, _)| match item {
                Item::Repeat { extent: Extent::Times(times), .. } => Some(*times),
                _ => None,
            });
            repeats.next().filter(|_| repeats.next().is_none())
        })
        .collect()
}

/// How often a row's repeat is worked in each size: of the first row where that differs.
pub(super) fn times_by_size(times: &[Vec<Option<u32>>]) -> Option<Vec<u32>> {
    (0..times.first()?.len()).find_map(|row| {
        let row: Vec<u32> =
            times.iter().map(|size| size.get(row).copied().flatten()).collect::<Option<_>>()?;
        row.iter().any(|times| Some(times) != row.first()).then_some(row)
    })
}

/// The rows of the first size, each with its repeat, where every other size works that repeat as often as it says.
/// Where the multiple is told a row may work its group once less or more than the others, being worded one stitch along.
fn repeats(worked: &[Pattern], sizes: &[Size], told: bool) -> Option<Vec<Row>> {
    let (first, size) = (worked.first()?, sizes.first()?);
    if worked.iter().any(|pattern| pattern.rows.len() != first.rows.len()) {
        return None;
    }
    let rows = first.rows.iter().enumerate().map(|(at, row)| {
        let stitches = worked.iter().map(|pattern| Some(&pattern.rows.get(at)?.stitches[..]));
        let mores = if told { &[0, -1, 1][..] } else { &[0] };
        let repeat = mores.iter().find_map(|&more| {
            let often = |size: &Size| size.times.checked_add_signed(more).filter(|&times| times > 0);
            let others: Vec<(&[StitchId], u32)> = stitches
                .clone()
                .zip(sizes)
                .map(|(row, size)| Some((row?, often(size)?)))
                .collect::<Option<_>>()?;
            let times = often(size)?;
            // "[P1, k1] 3 times" may be worked as often as this size says, and yet be another repeat.
            row.repeat
                .filter(|repeat| repeat.times == times as usize && serves(&row.stitches, *repeat, &others))
                .or_else(|| find(&row.stitches, times, &others))
        });
        Some(Row { repeat: Some(repeat?), ..row.clone() })
    });
    rows.collect()
}

/// Whether a row with the repeat worked so often gives each of the others.
fn serves(row: &[StitchId], repeat: RowRepeat, others: &[(&[StitchId], u32)]) -> bool {
    let RowRepeat { start, length, times } = repeat;
    let Some(end) = length.checked_mul(times).and_then(|span| span.checked_add(start)) else { return false };
    let (Some(head), Some(body), Some(tail)) = (row.get(..start), row.get(start..end), row.get(end..)) else {
        return false;
    };
    let Some(group) = body.get(..length).filter(|group| !group.is_empty()) else { return false };
    let all = |stitches: &[StitchId]| stitches.chunks(length).all(|part| part == group);
    all(body)
        && others.iter().all(|(other, often)| {
            let inside = other.strip_prefix(head).and_then(|rest| rest.strip_suffix(tail));
            inside.is_some_and(|inside| inside.len() == length * *often as usize && all(inside))
        })
}

/// The repeat of a row that is worked so often and serves all the others.
fn find(row: &[StitchId], times: u32, others: &[(&[StitchId], u32)]) -> Option<RowRepeat> {
    /// In longer rows no repeat is looked for: every place is tried.
    const LONGEST: usize = 3_000;
    if others.iter().any(|(other, _)| other.len() > LONGEST) {
        return None;
    }
    let (other, often) = others.iter().find(|(_, often)| *often != times)?;
    let length = row.len().abs_diff(other.len()).checked_div(often.abs_diff(times) as usize)?;
    let repeat = |start| RowRepeat { start, length, times: times as usize };
    let last = row.len().checked_sub(length.checked_mul(times as usize)?)?;
    (0..=last).map(repeat).find(|&repeat| serves(row, repeat, others))
}

/// The multiple that the cast-ons are of, by how often the repeat is worked in each.
fn multiple(cast_ons: &[u32], times: &[u32]) -> Option<Multiple> {
    let (&first, &often) = (cast_ons.first()?, times.first()?);
    let (&other, &more) = cast_ons.iter().zip(times).find(|(_, times)| **times != often)?;
    let of = first.abs_diff(other).checked_div(often.abs_diff(more)).filter(|&of| of > 0)?;
    Some(Multiple { of, plus: first.checked_sub(of.checked_mul(often)?)? })
}

/// The multiples of widths for which no repeat is told, those with the fewest stitches outside it first: plain rows
/// repeat their stitches, as many as all widths grow by.
fn plain(cast_ons: &[u32]) -> Vec<Multiple> {
    let Some(&first) = cast_ons.first() else { return Vec::new() };
    let of = cast_ons.iter().map(|cast_on| cast_on.abs_diff(first)).fold(0, common);
    if of == 0 {
        return Vec::new();
    }
    const MOST: usize = 50;
    (first % of..first).step_by(of as usize).take(MOST).map(|plus| Multiple { of, plus }).collect()
}

/// The greatest common divisor.
const fn common(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { common(b, a % b) }
}

/// The text with the numbers of one size alone: "k3 (4, 5)" is "k3" for the first of three sizes and "k4" for the
/// second. Every byte of the other words stays where it is.
pub(super) fn of_size(text: &str, size: usize, sizes: usize) -> String {
    let mut out = text.to_owned();
    for Sized { at, numbers } in sized(text, sizes).into_iter().filter(|found| found.numbers.len() == sizes) {
        // What a size has no number for it works no times.
        let number = numbers.get(size).copied().flatten().unwrap_or(0);
        let room = at.len();
        out.replace_range(at, &format!("{number:room$}"));
    }
    out
}

/// The text as the first of its sizes has it, where it gives numbers for several.
pub(super) fn of_first(text: &str) -> Cow<'_, str> {
    let most = sized(text, usize::MAX).iter().map(|found| found.numbers.len()).max();
    most.map_or(Cow::Borrowed(text), |sizes| Cow::Owned(of_size(text, 0, sizes)))
}

/// Numbers for the sizes, and the bytes they take.
pub(super) struct Sized {
    pub(super) at: Range<usize>,
    pub(super) numbers: Vec<Option<u32>>,
}

/// Where a text gives numbers for several sizes; of more than `most` the first ones, where they end with a bracket.
pub(super) fn sized(text: &str, most: usize) -> Vec<Sized> {
    /// Numbers for the sizes take no more bytes.
    const LONGEST: usize = 160;
    let mut found = Vec::new();
    if most < 2 {
        return found;
    }
    let mut from = 0;
    while let Some(start) = text.get(from..).and_then(|rest| rest.find(|c: char| c.is_ascii_digit())) {
        let start = from + start;
        let end = (start..=text.len().min(start + LONGEST)).rev().find(|&end| text.is_char_boundary(end));
        let pieces = tokens(text.get(start..end.unwrap_or(start)).unwrap_or_default());
        let mut cursor = Cursor::new(&pieces);
        let numbers = by_size(&mut cursor, most).unwrap_or_default();
        let digits = text.get(start..).map_or(1, |rest| rest.bytes().take_while(u8::is_ascii_digit).count());
        // A number may be longer than what is looked at.
        from = start + cursor.behind().map_or(digits, |last| last.end.max(digits));
        if numbers.len() > 1 {
            found.push(Sized { at: start..from, numbers });
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: "k k (p k) k" with the group once or twice more; a stitch put elsewhere is no repeat.
    #[test]
    fn the_repeat_of_a_row_serves_every_size() {
        let row = |text: &str| -> Vec<StitchId> {
            let mut stitches = crate::stitch::Stitches::built_in();
            text.split(' ').map(|name| stitches.find(name).unwrap()).collect()
        };
        let found = |short: &str, long: &str, times: u32| {
            let (short, long) = (row(short), row(long));
            find(&short, 1, &[(&short, 1), (&long, times)]).map(|repeat| (repeat.start, repeat.length))
        };
        assert_eq!(found("k k p k k", "k k p k p k k", 2), Some((1, 2)));
        assert_eq!(found("k k p k k", "k k p k p k p k k", 3), Some((1, 2)));
        assert_eq!(found("k k p k k", "k k p k p k p k k", 2), None);
        assert_eq!(found("k k p k k", "k k p k k k p", 2), None);
        assert_eq!(found("p p p", "p p p p p p p", 3), Some((0, 2)));
    }

    #[test]
    fn multiples_are_worked_out() {
        assert_eq!(multiple(&[23, 29, 41], &[3, 4, 6]), Some(Multiple { of: 6, plus: 5 }));
        assert_eq!(multiple(&[23, 23], &[3, 3]), None);
        let plain: Vec<u32> = plain(&[5, 9, 13]).iter().map(|multiple| multiple.plus).collect();
        assert_eq!(plain, [1]);
    }
}
