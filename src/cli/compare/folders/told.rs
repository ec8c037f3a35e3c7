//! What two folders come to, as people read it on a screen: a line for each pairing, below it what differs; at the end
//! where to look, and how many there are of each kind.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use longhand::compare::Verdict;
use longhand::problem::{Code, Finding, Severity};

use super::super::super::call::Call;
use super::super::super::report::{self, BOLD, clean, number_of};
use super::super::{rows, verdict};
use super::{Class, Form, Outcome, Whole};

/// The usual form.
pub(in super::super) const TEXT: Form = Form {
    begin: |whole| report::findings(whole.findings.iter()),
    one,
    between: "",
    aside: None,
    end,
    is_kept: false,
};

/// From how many lines on those that are to be looked at are named again at the end.
const MANY: usize = 20;

/// Of each kind so many are named again.
const NAMED: usize = 10;

/// Whether a finding is shown below the line of its pairing. What the line itself says is not said again; notes on how
/// a chart or a text was read are counted at the end.
fn is_shown(call: &Call, finding: &Finding) -> bool {
    match finding.severity() {
        Severity::Error => finding.code != Code::FileUnmatched,
        Severity::Warning => call.shows(finding),
        Severity::Note => finding.code == Code::WorkedOtherwise && call.shows(finding),
    }
}

fn one(call: &Call, outcome: &Outcome) -> String {
    if call.terminal.quiet && !outcome.is_to_be_looked_at() {
        return String::new();
    }
    let mut text = line(outcome);
    let shown: Vec<&Finding> = outcome.findings.iter().filter(|finding| is_shown(call, finding)).collect();
    let mut file = outcome.left.as_ref().or(outcome.right.as_ref()).map(|first| &first.file);
    for of_one in shown.chunk_by(|one, two| one.place.file == two.place.file) {
        let Some(first) = of_one.first() else { continue };
        if file != Some(&first.place.file) {
            let _ = writeln!(text, "  In {}:", clean(&first.place.file));
        }
        file = Some(&first.place.file);
        text.push_str(&report::findings_under(&first.place.file, of_one.iter().copied()));
    }
    if call.terminal.quiet {
        return text;
    }
    for pair in outcome.pairs.iter().filter(|pair| pair.verdict == Verdict::Different) {
        if outcome.pairs.len() > 1 {
            let _ = write!(text, "  {}", verdict(pair));
        }
        text.push_str(&rows::differing(pair));
    }
    text
}

/// The line of a pairing. What is to be looked at stands out; the others are many.
fn line(outcome: &Outcome) -> String {
    let (words, called) = (outcome.words(), clean(&outcome.called()));
    let style = if outcome.is_to_be_looked_at() {
        report::colour(Severity::Error)
    } else if outcome.class == Class::SameFabric {
        report::colour(Severity::Note)
    } else {
        return format!("{words}: {called}\n");
    };
    format!("{style}{words}:{style:#} {BOLD}{called}{BOLD:#}\n")
}

fn end(whole: &Whole<'_>) -> String {
    if whole.call.terminal.quiet {
        return String::new();
    }
    let mut text = whole.noted.text();
    text.push_str(&whole.look.text(whole));
    text.push_str(&closing(whole));
    text
}

/// "66 files read, 33 pairs compared (31 same stitches, 2 different), 1 alone: 3 errors."
pub(in super::super) fn closing(whole: &Whole<'_>) -> String {
    whole.tally.closing(whole.tally.files(), &counted(whole))
}

/// "33 pairs compared (31 same stitches, 2 different), 1 alone".
pub(in super::super) fn counted(whole: &Whole<'_>) -> String {
    use Class::{Alone, Different, InPart, NoRows, NotCompared, SameFabric, SameStitches, Unreadable};
    let counts = &whole.counts;
    let listed = |classes: &[(Class, &str)]| {
        let some = classes.iter().filter(|(class, _)| counts.of(*class) > 0);
        some.map(|(class, words)| format!("{} {words}", counts.of(*class))).collect::<Vec<_>>()
    };
    let pairs = counts.of_all(&[SameStitches, SameFabric, Different, InPart]);
    let mut what = format!("{} compared", number_of(pairs, "pair"));
    let kinds = listed(&[
        (SameStitches, "same stitches"),
        (SameFabric, "same fabric"),
        (Different, "different"),
        (InPart, "in part"),
    ]);
    if !kinds.is_empty() {
        let _ = write!(what, " ({})", kinds.join(", "));
    }
    let others = listed(&[
        (Alone, "alone"),
        (Unreadable, "unreadable"),
        (NotCompared, "not compared"),
        (NoRows, "without rows"),
    ]);
    for other in others {
        let _ = write!(what, ", {other}");
    }
    what
}

/// The first pairings of each kind that somebody has to look at.
#[derive(Debug, Default)]
pub(in super::super) struct Look(BTreeMap<Class, Named>);

/// Those of a kind: how many, and the lines of the first.
#[derive(Debug, Default)]
struct Named {
    count: usize,
    lines: Vec<String>,
}

impl Look {
    /// Notes one, if it is to be looked at and few of its kind are noted yet.
    pub fn add(&mut self, outcome: &Outcome) {
        if outcome.is_to_be_looked_at() {
            let named = self.0.entry(outcome.class).or_default();
            named.count += 1;
            if named.lines.len() < NAMED {
                named.lines.push(format!("{}: {}", outcome.words(), clean(&outcome.called())));
            }
        }
    }

    /// Where to look; nothing where all lines are in sight.
    fn text(&self, whole: &Whole<'_>) -> String {
        if self.0.is_empty() || whole.counts.of_all(&Class::ALL) <= MANY {
            return String::new();
        }
        let mut text = report::heading("Where to look");
        for (class, named) in &self.0 {
            for line in &named.lines {
                let _ = writeln!(text, "  {line}");
            }
            let more = named.count.saturating_sub(named.lines.len());
            if more > 0 {
                let _ = writeln!(text, "  {}: {more} more", class.words());
            }
        }
        text
    }
}

/// How many notes there are of each kind that were not shown.
#[derive(Debug, Default)]
pub(in super::super) struct Noted(BTreeMap<Code, usize>);

impl Noted {
    /// Counts those of a pairing.
    pub fn add(&mut self, outcome: &Outcome) {
        let unsaid = |code| matches!(code, Code::WorkedOtherwise | Code::NoRows);
        let notes = outcome.findings.iter().filter(|finding| finding.severity() == Severity::Note);
        for finding in notes.filter(|finding| !unsaid(finding.code)) {
            *self.0.entry(finding.code).or_default() += 1;
        }
    }

    fn text(&self) -> String {
        report::noted(&self.0)
    }
}
