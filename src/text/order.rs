//! The rows of a pattern in the order they are worked: numbers, sides, and the rows that are told together.

mod sides;

use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::colours;
use super::faults;
use super::find::{Draft, RowText};
use super::reading::Source;
use super::says::{Says, says, told_rows};
use super::speaks::is_about_row;
use super::stated::part_count;
use crate::document::Line;
use crate::pattern::{Side, Worked};
use crate::place::Place;
use crate::problem::{Code, Finding};
use crate::words::rows::label::{is_row_word, label};
use sides::{Sides, numbers_of, rows_and_rounds, sides_unread};

/// A row that is to be worked.
#[derive(Clone, Debug)]
pub(super) struct Planned {
    pub(super) number: u32,
    pub(super) side: Side,
    /// The line that tells of it, by its index.
    pub(super) text: usize,
    /// Which of the rows of that line it is, from 0.
    pub(super) index: usize,
    /// Whether the count of the line belongs to it.
    pub(super) counted: bool,
    /// Whether it is told together with others in one sentence, as return rows are.
    pub(super) together: bool,
}

/// The rows in order.
#[derive(Clone, Debug)]
pub(super) struct Plan {
    pub(super) worked: Worked,
    pub(super) rows: Vec<Planned>,
    /// Whether the rounds begin at a marker, as the text says above them.
    pub(super) round_marked: bool,
    /// How many rows each line tells.
    of_line: BTreeMap<usize, usize>,
}

impl Plan {
    fn new(worked: Worked, rows: Vec<Planned>) -> Self {
        let mut of_line = BTreeMap::new();
        for row in &rows {
            *of_line.entry(row.text).or_default() += 1;
        }
        Self { worked, rows, round_marked: false, of_line }
    }

    /// Where a row stands, by its number.
    pub(super) fn index(&self, number: u32) -> Option<usize> {
        self.rows.binary_search_by_key(&number, |row| row.number).ok()
    }

    /// How many rows a line tells, by its index.
    pub(super) fn rows_of(&self, text: usize) -> usize {
        self.of_line.get(&text).copied().unwrap_or_default()
    }

    /// How many rows stand before a line, by its index, of which at least `from` do.
    pub(super) fn rows_before(&self, text: usize, from: usize) -> usize {
        let behind = self.rows.iter().skip(from).position(|row| row.text >= text);
        behind.map_or(self.rows.len(), |ahead| from + ahead)
    }

    /// How many rows a sentence without a label tells again behind so many rows of the plan; none where it does not say how
    /// often.
    pub(super) fn told_again(&self, before: usize, says: Option<&Says>) -> Option<u32> {
        let (rows, times) = match says? {
            Says::As(again) => (u32::try_from(again.rows.len()).ok()?, again.times?),
            Says::Last(last) => (last.rows, last.times?),
            _ => return None,
        };
        let count = rows.checked_mul(times)?;
        (before > 0 && count > 0 && count as usize <= MOST_ROWS).then_some(count)
    }

    /// So many rows of the plan, and so many more behind them that a sentence, by its index, tells again.
    pub(super) fn with_sentence(&self, before: usize, count: u32, text: usize) -> Option<Self> {
        let mut all = self.rows.get(..before)?.to_vec();
        let last = all.last()?.clone();
        all.extend((0..count).map(|ahead| Planned {
            number: last.number.saturating_add(ahead + 1),
            side: if self.worked == Worked::Flat && ahead.is_multiple_of(2) {
                last.side.other()
            } else {
                last.side
            },
            text,
            index: ahead as usize,
            counted: ahead + 1 == count,
            together: false,
        }));
        Some(Self { round_marked: self.round_marked, ..Self::new(self.worked, all) })
    }
}

/// Rows of a pattern, at most: wild numbers are not followed up.
const MOST_ROWS: usize = 10_000;

/// Puts the rows in order; what is wrong with their numbers is among the findings.
pub(super) fn plan(source: Source<'_>, findings: &mut Vec<Finding>) -> Plan {
    let Source { file, draft, below, above } = source;
    let rounds =
        draft.rows.iter().filter_map(|row| row.label.as_ref()).any(|label| label.worked == Worked::Round);
    let worked = above
        .worked
        .or(draft.facts.worked)
        .or(draft.said.worked)
        .or(rounds.then_some(Worked::Round))
        .or(below.worked)
        .unwrap_or_default();
    findings.extend(sides_unread(file, draft));
    if above.worked.is_none() {
        findings.extend(rows_and_rounds(file, draft, worked));
    }
    let own = if draft.rows.len() > MOST_ROWS { None } else { own_rows(file, draft, findings) };
    let Some(mut own) = own else {
        findings.push(too_many(file));
        return Plan::new(worked, Vec::new());
    };
    let first_side = above.first_side.or(draft.said.first_side).or(below.first_side);
    let sides = Sides::of(draft, worked, first_side);
    let told = own.clone();
    for (text, row) in draft.rows.iter().enumerate() {
        let Some(every) = row.label.as_ref().and_then(|label| label.every.as_ref()) else { continue };
        for (index, number) in numbers_of(every, row, &told, &sides, worked).into_iter().enumerate() {
            own.entry(number).or_insert(Own { text, index, together: true });
        }
        if own.len() > MOST_ROWS {
            break;
        }
    }
    let mut rows: Vec<Planned> = own
        .iter()
        .map(|(&number, own)| {
            let label = draft.rows.get(own.text).and_then(|row| row.label.as_ref());
            let stated = label.and_then(|label| label.side_of(number)).filter(|_| worked == Worked::Flat);
            Planned {
                number,
                side: stated.filter(|_| !own.together).unwrap_or_else(|| sides.of_row(number)),
                text: own.text,
                index: own.index,
                counted: false,
                together: own.together || label.is_some_and(|label| label.every.is_some()),
            }
        })
        .collect();
    if rows.len() > MOST_ROWS {
        findings.push(too_many(file));
        rows.clear();
    }
    // A count on a line for several rows belongs to the last of them.
    let mut seen = BTreeSet::new();
    for row in rows.iter_mut().rev() {
        row.counted = seen.insert(row.text);
    }
    gaps(file, draft, &rows, findings);
    if let (Some(first), Some(last)) = (rows.first(), rows.last()) {
        // Any other number that is missing leaves a gap.
        let beside = |number: u32| {
            number.checked_add(1) == Some(first.number) || number.checked_sub(1) == Some(last.number)
        };
        let unread = draft.unread.iter().filter(|(number, _)| beside(*number));
        findings.extend(unread.map(|(number, line)| unread_row(file, *number, line)));
    }
    // Where numbers stand twice, it is not known which of them is wrong.
    if !findings.iter().any(|finding| finding.code == Code::RowNumberRepeated) {
        findings.extend(out_of_order(file, draft));
    }
    unplaced(file, draft, &rows, findings);
    let round_marked = worked == Worked::Round && draft.round_marked;
    Plan { round_marked, ..Plan::new(worked, rows) }
}

/// A line that begins with the number of a row that no other has: its work, which can't be read, or a sentence about it.
fn unread_row(file: &Arc<str>, number: u32, line: &Line) -> Finding {
    let text = line.text.trim();
    let behind = label(text).and_then(|label| text.get(label.length..));
    if behind.is_some_and(is_about_row) {
        faults::rows_untold(line.place(file, 0), text)
    } else {
        faults::unread_row(line.place(file, 0), number, text)
    }
}

/// Labelled lines that no row was read from: no number is free where they stand. A sentence for many rows of a kind
/// that all have lines of their own is only told.
fn unplaced(file: &Arc<str>, draft: &Draft, rows: &[Planned], findings: &mut Vec<Finding>) {
    let planned: BTreeSet<usize> = rows.iter().map(|row| row.text).collect();
    for (_, row) in draft.rows.iter().enumerate().filter(|(text, _)| !planned.contains(text)) {
        let Some(label) = &row.label else { continue };
        let place = place(file, row);
        let said = row.line.text.get(..row.work).unwrap_or_default().to_lowercase();
        let many = said.split(|c: char| !c.is_alphanumeric()).any(|word| {
            matches!(word, "all" | "every" | "each") || (word.ends_with('s') && is_row_word(word))
        });
        match &label.every {
            Some(_) if many => findings.push(faults::rows_untold(place, row.line.text.trim())),
            Some(_) => findings.push(faults::unplaced(place, &row.line.text)),
            // A number that stands twice is told already.
            None if label.set_up && label.numbers == [0] => {
                findings.push(faults::unplaced(place, &row.line.text));
            }
            None => {}
        }
    }
}

fn too_many(file: &Arc<str>) -> Finding {
    Finding::new(
        Code::TooLarge,
        Place::file(file),
        "The text has more rows than any pattern: more than 10,000.",
    )
    .expected("at most 10,000 rows")
    .help("Keep each pattern in a file of its own.")
}

/// Rows that stand behind one with a higher number; "Rows 2, 4 and 6: Purl" may.
fn out_of_order(file: &Arc<str>, draft: &Draft) -> Option<Finding> {
    let numbered = draft.rows.iter().filter_map(|row| {
        let label = row.label.as_ref().filter(|label| label.every.is_none() && !label.set_up)?;
        let (first, last) = (*label.numbers.first()?, *label.numbers.last()?);
        let run = (last.checked_sub(first)? as usize) < label.numbers.len();
        run.then_some((row, first))
    });
    let mut highest: Option<(&RowText, u32)> = None;
    let mut late: Vec<(&RowText, u32)> = Vec::new();
    let mut behind = None;
    for (row, number) in numbered {
        match highest {
            Some((before, most)) if most > number => {
                behind = behind.or(Some((before, most)));
                late.push((row, number));
            }
            _ => highest = Some((row, number)),
        }
    }
    let (&(row, _), (before, most)) = (late.first()?, behind?);
    let numbers: Vec<u32> = late.iter().map(|(_, number)| *number).collect();
    Some(faults::out_of_order(place(file, row), &numbers, most, &place(file, before)))
}

/// A row told by a line of its own, or together with others.
#[derive(Clone, Copy, Debug)]
struct Own {
    text: usize,
    index: usize,
    together: bool,
}

/// The rows with a line of their own; none where more are told than any pattern has, each as often as it is.
fn own_rows(file: &Arc<str>, draft: &Draft, findings: &mut Vec<Finding>) -> Option<BTreeMap<u32, Own>> {
    let mut own: BTreeMap<u32, Own> = BTreeMap::new();
    // Runs of rows that stand twice: the line and the numbers.
    let mut twice: Vec<(usize, u32, u32)> = Vec::new();
    let mut last = 0u32;
    let mut count = 0;
    // Whether rows stand before that are no set-up rows.
    let mut begun = false;
    let behind = behind(draft);
    let colours = OnceCell::new();
    let is_colour = |name: &str| colours.get_or_init(|| colours::of(draft)).named(name).is_some();
    for ((text, row), behind) in draft.rows.iter().enumerate().zip(behind) {
        let numbers: Vec<u32> = match &row.label {
            Some(label) if label.set_up && label.numbers == [0] && begun => {
                // The next number, if it is free.
                let free = behind.own.is_none_or(|next| next > last + 1);
                let numbers = if free { vec![last + 1] } else { Vec::new() };
                // The number of the next row proves it.
                if let Some(&number) = numbers.first().filter(|_| !behind.labelled) {
                    let label = row.line.text.get(..row.work).unwrap_or_default();
                    findings.push(faults::late_set_up(place(file, row), number, label));
                }
                numbers
            }
            Some(label) if label.next > 0 => {
                (1..=label.next).map(|ahead| last.saturating_add(ahead)).collect()
            }
            Some(label) => label.numbers.clone(),
            None => unlabelled(draft, row, (last, behind), is_colour),
        };
        count += numbers.len();
        if count > MOST_ROWS {
            return None;
        }
        for (index, &number) in numbers.iter().enumerate() {
            if own.contains_key(&number) {
                match twice.last_mut().filter(|(_, _, end)| *end == last && last + 1 == number) {
                    Some((_, _, end)) => *end = number,
                    None => twice.push((text, number, number)),
                }
                last = number;
                continue;
            }
            own.insert(number, Own { text, index, together: false });
            last = number;
        }
        begun |= !row.is_set_up();
    }
    for (text, number, end) in twice {
        let first = own.get(&number).and_then(|own| draft.rows.get(own.text));
        if let Some(row) = draft.rows.get(text) {
            findings.push(repeated(row, (number, end), first.map(|row| place(file, row)), file));
        }
    }
    Some(own)
}

/// Rows, the first and the last of them, that stand twice in a pattern: now in a line, before at `first`.
fn repeated(row: &RowText, (number, end): (u32, u32), first: Option<Place>, file: &Arc<str>) -> Finding {
    let (message, it) = if number == end {
        (format!("Row {number} stands twice in the text."), "It stands")
    } else {
        (format!("Rows {number} to {end} stand twice in the text."), "They stand")
    };
    let correct = match first {
        Some(first) => format!("{it} first at {first}; correct one of the numbers"),
        None => "Correct one of the numbers".to_owned(),
    };
    let help = match number {
        1 => format!("{correct}, or put a title or a cast-on before it where another pattern begins."),
        _ => format!("{correct}."),
    };
    Finding::new(Code::RowNumberRepeated, place(file, row), message).row(number).found(number).help(help)
}

/// What stands behind a line of a pattern.
#[derive(Clone, Copy, Default)]
struct Behind {
    /// The number of the next row that has one.
    next: Option<u32>,
    /// The same, set-up rows aside.
    own: Option<u32>,
    /// Whether there is any row with a label.
    labelled: bool,
    /// Whether the next line that is called a row is a "Next row".
    goes_on: bool,
    /// Rows told right behind it without labels, "Knit 6 rows".
    told: u32,
}

/// What stands behind each line of a pattern.
fn behind(draft: &Draft) -> Vec<Behind> {
    let mut here = Behind::default();
    let mut behind: Vec<Behind> = draft
        .rows
        .iter()
        .rev()
        .map(|row| {
            let of_row = here;
            if let Some(label) = &row.label {
                let number = label.numbers.first().copied();
                here.next = number.or(here.next);
                here.own = number.filter(|_| !label.set_up).or(here.own);
                here.labelled = true;
                here.goes_on = label.next > 0;
                here.told = 0;
            } else if row.named {
                here.goes_on = false;
                here.told = 0;
            } else {
                let work = row.line.text.get(row.work..).unwrap_or_default();
                here.told = told_rows(work).map_or(0, |(count, _)| here.told.saturating_add(count));
            }
            of_row
        })
        .collect();
    behind.reverse();
    behind
}

/// The numbers of rows without a label, "Knit 6 rows": those that follow the last row, unless the next label has
/// them. Rows worked again, "Rep Rows 1-8 twice more", are rows only where the next label leaves room for them.
fn unlabelled(
    draft: &Draft,
    row: &RowText,
    (last, behind): (u32, Behind),
    is_colour: impl Fn(&str) -> bool,
) -> Vec<u32> {
    let Behind { next, goes_on, told, .. } = behind;
    let work = row.line.text.get(row.work..).unwrap_or_default();
    let again = work.get(..part_count(work).0).unwrap_or_default();
    let (count, sure, behind) = match (told_rows(work), says(again)) {
        _ if row.named => (1, draft.only_row().is_some() || (goes_on && row.is_sure()), 0),
        (Some((_, Some(colour))), _) if !is_colour(colour) => return Vec::new(),
        (Some((count, _)), _) => (count, next.is_none(), told),
        // A rule for what grows tells rows, how often a pattern is repeated does not.
        (None, Says::As(again)) => {
            let rows = u32::try_from(again.rows.len()).unwrap_or(u32::MAX);
            let rule = again.times.is_some() && !again.growth.is_empty();
            let sure = (rule && next.is_none()) || (again.times.is_some() && goes_on);
            (rows.saturating_mul(again.times.unwrap_or(1)), sure, 0)
        }
        (None, Says::Last(told)) => {
            let rule = told.times.is_some() && !told.growth.is_empty();
            let sure = (rule && next.is_none()) || (told.times.is_some() && goes_on);
            (told.rows.saturating_mul(told.times.unwrap_or(1)), sure, 0)
        }
        _ => return Vec::new(),
    };
    // Rows told in several sentences take up the room together.
    let fits = |behind: u32| {
        let end = last.checked_add(count).and_then(|end| end.checked_add(behind)?.checked_add(1));
        next.is_some() && end == next
    };
    if (sure || fits(0) || fits(behind)) && (count as usize) <= MOST_ROWS {
        (last + 1..=last + count).collect()
    } else {
        Vec::new()
    }
}

fn gaps(file: &Arc<str>, draft: &Draft, rows: &[Planned], findings: &mut Vec<Finding>) {
    let at =
        |row: &Planned| draft.rows.get(row.text).map_or_else(|| Place::file(file), |row| place(file, row));
    if let Some(first) = rows.first().filter(|first| first.number > 1 && !draft.after_set_up) {
        findings.push(faults::begins_late(at(first), first.number));
    }
    for pair in rows.windows(2) {
        let [before, after] = pair else { continue };
        if after.number == before.number + 1 {
            continue;
        }
        let (first, last) = (before.number + 1, after.number - 1);
        let missing = if first == last {
            format!("Row {first} is missing")
        } else {
            format!("Rows {first} to {last} are missing")
        };
        findings.push(
            Finding::new(
                Code::RowNumberGap,
                at(after),
                format!("{missing}: Row {} follows Row {}.", after.number, before.number),
            )
            .row(first)
            .found(after.number)
            .expected(first)
            .help("Write the rows that are missing, or correct the number."),
        );
    }
}

/// Where a row stands: its label, or its work where it has none.
pub(super) fn place(file: &Arc<str>, row: &RowText) -> Place {
    let label = row.label.as_ref().map_or(0, |label| label.length);
    row.line.place(file, row.work - label.min(row.work))
}
