//! How rows are worked that the chart does not draw, where sentences tell it: a rule for all of them, or each on its own.

use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, BTreeSet};

use super::super::order::{Order, Undrawn, side_of};
use super::says::read_work;
use super::{Sentence, phrases};
use crate::pattern::{Row, Side, Worked};
use crate::place::Place;
use crate::problem::{Code, Finding};
use crate::settings::{ReturnRows, Settings};
use crate::stitch::{StitchId, Stitches};
use crate::words;
use crate::words::rows::again;
use crate::words::rows::label::{Label, Rows};
use crate::written::expand;

/// What sentences tell of the rows of a chart.
#[derive(Default)]
pub(in crate::chart) struct Tellings {
    /// How single rows are worked that are not drawn, and where it is said.
    pub(in crate::chart) by_row: BTreeMap<u32, (ReturnRows, Place)>,
    /// What is said of rows that are drawn.
    drawn: Vec<Drawn>,
    /// The sentences that were followed, by their places among all.
    pub(in crate::chart) taken: BTreeSet<usize>,
}

struct Drawn {
    text: String,
    place: Place,
    numbers: BTreeSet<u32>,
    rows: ReturnRows,
}

/// The rows told one by one, by their numbers, in words that can be followed.
pub(in crate::chart) fn numbers_told(sentences: &[&Sentence], stitches: &mut Stitches) -> BTreeSet<u32> {
    let told = sentences.iter().filter_map(|sentence| {
        let (label, work) = sentence.says.rows.as_ref().filter(|(label, _)| label.every.is_none())?;
        read_work(work, stitches).map(|_| label.numbers.clone())
    });
    told.flatten().collect()
}

/// The rows of a chart by what becomes of them.
struct Parts {
    drawn: BTreeSet<u32>,
    /// Return rows, that a rule for all of them works.
    returned: BTreeSet<u32>,
    /// Rows that the numbers leave out besides.
    skipped: BTreeSet<u32>,
    worked: Worked,
    first_side: Side,
}

impl Parts {
    fn of(order: &Order, settings: &Settings) -> Self {
        let numbers: Vec<u32> = order.rows.iter().map(|row| row.number).collect();
        let mut parts = Self {
            drawn: numbers.iter().copied().collect(),
            returned: BTreeSet::new(),
            skipped: BTreeSet::new(),
            worked: settings.worked.unwrap_or_default(),
            first_side: order.first_side,
        };
        for (index, number) in numbers.iter().enumerate() {
            let after = order.undrawn == Undrawn::After;
            let until = numbers.get(index + 1).copied().unwrap_or(number + if after { 2 } else { 1 });
            for row in number + 1..until {
                let returned = match order.undrawn {
                    Undrawn::None => false,
                    Undrawn::After => row == number + 1,
                    Undrawn::Before => row + 1 == until,
                };
                if returned { &mut parts.returned } else { &mut parts.skipped }.insert(row);
            }
        }
        let before = numbers.first().filter(|number| order.undrawn == Undrawn::Before && **number > 1);
        parts.returned.extend(before.map(|number| number - 1));
        parts
    }

    fn side(&self, number: u32) -> Side {
        side_of(number, self.first_side, self.worked)
    }

    /// Whether a label is for a row.
    fn is_for(&self, label: &Label, number: u32) -> bool {
        let Some(every) = &label.every else { return label.numbers.contains(&number) };
        let side = (self.worked == Worked::Flat).then(|| self.side(number));
        let first = label.numbers.first().copied();
        let within =
            first.is_none_or(|first| first <= number) && every.last.is_none_or(|last| number <= last);
        let rest = every.kind != Rows::Rest || !self.drawn.contains(&number);
        let one = within && rest && every.is_of_kind(number, side, first);
        (one || label.numbers.contains(&number)) && !every.except.contains(&number)
    }

    fn among(&self, label: &Label, rows: &BTreeSet<u32>) -> BTreeSet<u32> {
        rows.iter().copied().filter(|number| self.is_for(label, *number)).collect()
    }
}

/// Reads what sentences tell of the rows that a chart does not draw: one that tells all of them is the setting return-rows,
/// unless that is set.
pub(in crate::chart) fn undrawn(
    sentences: &[&Sentence],
    order: &Order,
    settings: &mut Settings,
    stitches: &mut Stitches,
    findings: &mut Vec<Finding>,
) -> Tellings {
    let parts = Parts::of(order, settings);
    let mut reader = Reader {
        parts,
        set: settings.return_rows.clone(),
        settings,
        stitches,
        findings,
        told: Tellings::default(),
        excepted: BTreeSet::new(),
    };
    // What is said of single rows counts for more.
    let many = |one: &Sentence| one.says.rows.as_ref().is_some_and(|(label, _)| label.every.is_some());
    let (every, single): (Vec<_>, Vec<_>) = sentences.iter().enumerate().partition(|(_, one)| many(one));
    for (index, sentence) in single.into_iter().chain(every) {
        reader.sentence(index, sentence);
    }
    let Reader { mut told, excepted, settings, findings, .. } = reader;
    for row in excepted {
        let place = settings.places.get("return-rows").cloned();
        if let (Some(place), Entry::Vacant(untold)) = (place, told.by_row.entry(row)) {
            findings.push(untold_exception(row, place.clone()));
            untold.insert((ReturnRows::AsTheyAppear, place));
        }
    }
    told
}

/// Says how a row is worked that is excepted from what is said of the others, where nothing says how it is.
fn untold_exception(row: u32, place: Place) -> Finding {
    let message = format!(
        "Row {row} is excepted from what is said of the rows that are not drawn, and nothing says how it is worked: it was worked as its stitches appear."
    );
    Finding::new(Code::ReadingChosen, place, message)
        .row(row)
        .help(format!("Nothing, if that is so; otherwise say it: \"Row {row}: K.\""))
}

struct Reader<'a> {
    parts: Parts,
    /// The return rows that a setting states.
    set: Option<ReturnRows>,
    settings: &'a mut Settings,
    stitches: &'a mut Stitches,
    findings: &'a mut Vec<Finding>,
    told: Tellings,
    /// Rows that the rule for all of them is not for.
    excepted: BTreeSet<u32>,
}

impl Reader<'_> {
    fn sentence(&mut self, index: usize, sentence: &Sentence) {
        let Some((label, work)) = &sentence.says.rows else { return };
        let drawn = self.parts.among(label, &self.parts.drawn);
        let returned = self.parts.among(label, &self.parts.returned);
        let skipped = match label.every {
            Some(_) => BTreeSet::new(),
            None => self.parts.among(label, &self.parts.skipped),
        };
        let target: BTreeSet<u32> = returned.union(&skipped).copied().collect();
        let rows = read_work(work, self.stitches).or_else(|| self.as_before(work));
        if target.is_empty() {
            self.none_undrawn(sentence, label, drawn, rows);
            return;
        }
        if label.every.is_some() && !drawn.is_empty() {
            let help = "Say which rows it is for, \"All WS rows: Purl.\", or set return-rows.";
            self.findings
                .push(sentence.not_followed("some of its rows are drawn, others are not").help(help));
            return;
        }
        if label.worked == Worked::Round && self.parts.worked == Worked::Flat {
            self.rounds_in_flat(sentence);
            return;
        }
        let wrong = target.iter().find(|row| label.side.is_some_and(|side| side != self.parts.side(**row)));
        if let Some(&row) = wrong.filter(|_| self.parts.worked == Worked::Flat) {
            let side = self.parts.side(row).word();
            let finding = sentence.not_followed(&format!("Row {row} is a {side} row")).row(row);
            self.findings.push(finding.help("Correct the side, or set first-side."));
            return;
        }
        let Some(rows) = rows else {
            self.unread(sentence, work, &target);
            return;
        };
        if self.follow(sentence, label, (&returned, target), rows) && !sentence.says.more {
            self.told.taken.insert(index);
        }
    }

    /// "As Row 2", of a row that was told before.
    fn as_before(&self, work: &str) -> Option<ReturnRows> {
        let again = again::read(work).filter(|again| again.times.is_none() && again.growth.is_empty())?;
        let [row] = again.rows[..] else { return None };
        self.told.by_row.get(&row).map(|(rows, _)| rows.clone())
    }

    fn rounds_in_flat(&mut self, sentence: &Sentence) {
        let why = "it speaks of rounds, but the chart is worked flat";
        let help = "Say \"Worked in the round\", or set worked = \"round\", if that is so.";
        self.findings.push(sentence.not_followed(why).help(help));
    }

    /// A sentence that is for no row that is left out.
    fn none_undrawn(
        &mut self,
        sentence: &Sentence,
        label: &Label,
        numbers: BTreeSet<u32>,
        rows: Option<ReturnRows>,
    ) {
        if label.worked == Worked::Round && self.parts.worked == Worked::Flat {
            self.rounds_in_flat(sentence);
            return;
        }
        let Some(rows) = rows else {
            // "Row 3 - work 2 times".
            if let Some((_, work)) = sentence.says.rows.as_ref().filter(|_| !numbers.is_empty())
                && let Some(speaks) = phrases::speaks(work)
            {
                let why = format!("it speaks of {}, in words that can't be followed", speaks.of);
                let finding = Finding { row: numbers.first().copied(), ..sentence.not_followed(&why) };
                self.findings.push(
                    finding.help("Nothing, if the rows are right so. Otherwise draw them as they are meant."),
                );
            }
            return;
        };
        if !numbers.is_empty() {
            let (text, place) = (sentence.text.clone(), sentence.place.clone());
            self.told.drawn.push(Drawn { text, place, numbers, rows });
        } else if label.numbers == [0] {
            let why = "the chart draws no such row";
            self.findings
                .push(sentence.not_followed(why).help("Draw it below Row 1, and call it \"Set-up row\"."));
        } else if label.every.is_some() {
            let why = "the chart neither draws such rows nor leaves any out";
            let help = "If only right-side rows are drawn, number them 1, 3, 5 ..., or set charted = \"right-side\".";
            self.findings.push(sentence.not_followed(why).help(help));
        }
    }

    /// Whether it was followed: all rows that it is for and that nothing else tells are worked by it.
    fn follow(
        &mut self,
        sentence: &Sentence,
        label: &Label,
        (returned, target): (&BTreeSet<u32>, BTreeSet<u32>),
        rows: ReturnRows,
    ) -> bool {
        let skipped = target.difference(returned).next().is_some();
        if let Some(set) = self.set.as_ref().filter(|_| !skipped) {
            if *set != rows {
                let why = "it contradicts return-rows, which was followed";
                self.findings.push(sentence.not_followed(why).help("Correct one of the two."));
            }
            return false;
        }
        let except = label.every.iter().flat_map(|every| every.except.iter().copied());
        let except: BTreeSet<u32> = except.filter(|row| self.parts.returned.contains(row)).collect();
        let all = !returned.is_empty() && returned.union(&except).count() == self.parts.returned.len();
        if !all || skipped {
            return self.follow_single(sentence, label, target, &rows);
        }
        if self.settings.return_rows.as_ref().is_some_and(|other| *other != rows) {
            let why = "another sentence tells these rows otherwise";
            self.findings.push(sentence.not_followed(why).help("Correct one of the two."));
            return false;
        }
        self.findings.push(sentence.taken("return-rows", word(&rows)));
        self.settings.return_rows = Some(rows);
        self.settings.places.insert("return-rows", sentence.place.clone());
        self.excepted.extend(except);
        true
    }

    fn follow_single(
        &mut self,
        sentence: &Sentence,
        label: &Label,
        mut target: BTreeSet<u32>,
        rows: &ReturnRows,
    ) -> bool {
        let told = &mut self.told.by_row;
        let otherwise =
            target.iter().copied().find(|row| told.get(row).is_some_and(|(told, _)| told != rows));
        if let Some(row) = otherwise.filter(|_| label.every.is_none()) {
            let why = format!("Row {row} is told otherwise before");
            self.findings.push(sentence.not_followed(&why).row(row).help("Tell each row once."));
            return false;
        }
        target.retain(|row| !told.contains_key(row));
        told.extend(target.iter().map(|row| (*row, (rows.clone(), sentence.place.clone()))));
        if let Some(&row) = target.first() {
            let message =
                format!("{} not drawn: \"{}\" tells what is worked there.", listed(&target), sentence.text);
            let help = "Nothing, if that is meant; as a note of another kind it must not begin with the rows it is for.";
            self.findings.push(sentence.finding(Code::RowsTold, message).row(row).help(help));
        }
        true
    }

    /// A sentence for rows that are left out, in words that can't be followed.
    fn unread(&mut self, sentence: &Sentence, work: &str, target: &BTreeSet<u32>) {
        // Rows told by others are read with those that follow the chart.
        if again::read(work).is_some() || again::read_last(work).is_some() {
            return;
        }
        let unclear = words::row(work, self.stitches).err();
        let unclear =
            unclear.and_then(|error| work.get(error.at)).map(str::trim).filter(|words| !words.is_empty());
        let why = format!(
            "{} not drawn, and \"{}\" can't be read as a row",
            listed(target),
            unclear.unwrap_or(work)
        );
        let row = target.first().copied().unwrap_or_default();
        let help = "Write it as a row, \"All WS rows: K3, p to last 3 sts, k3\", or set return-rows.";
        self.findings.push(sentence.not_followed(&why).row(row).help(help));
    }
}

/// "Row 2 is", "Rows 2 and 4 are", "Rows 2, 4 and 6 are".
fn listed(rows: &BTreeSet<u32>) -> String {
    let rows: Vec<String> = rows.iter().map(u32::to_string).collect();
    match &rows[..] {
        [one] => format!("Row {one} is"),
        [one, .., last] if rows.len() > MOST_LISTED => format!("Rows {one} to {last} are"),
        [some @ .., last] => format!("Rows {} and {last} are", some.join(", ")),
        [] => String::new(),
    }
}

/// The most rows that a message lists one by one.
const MOST_LISTED: usize = 6;

fn word(rows: &ReturnRows) -> &str {
    match rows {
        ReturnRows::AsTheyAppear => "as-they-appear",
        ReturnRows::Purl => "purl",
        ReturnRows::Knit => "knit",
        ReturnRows::Stated(row) => row.trim_end_matches('.'),
    }
}

impl Tellings {
    /// Whether they speak of rows by their numbers.
    pub(in crate::chart) fn number_rows(&self) -> bool {
        !self.by_row.is_empty() || !self.drawn.is_empty()
    }

    /// Says of each sentence about rows that are drawn where a row is drawn otherwise.
    pub(in crate::chart) fn drawn_otherwise(&self, rows: &[Row], stitches: &mut Stitches) -> Vec<Finding> {
        self.drawn.iter().filter_map(|drawn| drawn.otherwise(rows, stitches)).collect()
    }
}

impl Drawn {
    fn otherwise(&self, rows: &[Row], stitches: &mut Stitches) -> Option<Finding> {
        // In colour work a sentence tells the stitches alone.
        if stitches.have_colours() {
            return None;
        }
        let items = match &self.rows {
            ReturnRows::Stated(row) => Some(words::row(row, stitches).ok()?),
            _ => None,
        };
        let mut drawn = rows.iter().filter(|row| self.numbers.contains(&row.number));
        let plain = |row: &Row, id: StitchId| row.stitches.iter().all(|stitch| *stitch == id);
        let other = drawn.find(|row| match (&self.rows, &items) {
            (ReturnRows::Purl, _) => !plain(row, Stitches::P),
            (ReturnRows::Knit, _) => !plain(row, Stitches::K),
            (ReturnRows::Stated(_), Some(items)) => {
                expand(items, stitches, stitches.uses(&row.stitches)).ok().as_ref() != Some(&row.stitches)
            }
            _ => false,
        })?;
        let number = other.number;
        Some(
            Finding::new(
                Code::SentenceNotFollowed,
                self.place.clone(),
                format!(
                    "\"{}\" was kept as a note: Row {number} is drawn, and its symbols say otherwise.",
                    self.text
                ),
            )
            .row(number)
            .found(&self.text)
            .help("Correct the sentence or the chart. If the chart draws right-side rows only, set charted = \"right-side\"."),
        )
    }
}
