//! A cast-on, a multiple and a repeat that sentences tell, held against the chart.

use super::{Sentence, columns};
use crate::pattern::{Multiple, Pattern};
use crate::place::{Address, Place, Span};
use crate::problem::{Code, Finding};
use crate::settings::{RepeatColumns, Settings};

/// What sentences tell of the width of a chart.
#[derive(Default)]
pub(in crate::chart) struct Widths<'a> {
    sentences: Vec<&'a Sentence>,
    /// Merged cells above or below it that speak of a repeat.
    pub(in crate::chart) brackets: Vec<Span>,
}

impl<'a> Widths<'a> {
    pub(in crate::chart) fn of(sentences: &[&'a Sentence], brackets: Vec<Span>) -> Self {
        let told = |sentence: &&&Sentence| {
            let says = &sentence.says;
            !says.cast_on.is_empty() || says.multiple.is_some() || !says.sizes.is_empty() || says.repeat
        };
        Self { sentences: sentences.iter().filter(told).copied().collect(), brackets }
    }

    /// The columns of the repeat that are named, and where.
    pub(in crate::chart) fn columns(&self) -> Option<(Address, RepeatColumns)> {
        self.sentences.iter().find_map(|sentence| Some((sentence.at, sentence.says.columns?)))
    }

    /// The cast-on that is told in a sentence of its own: it counts where the chart has a repeat.
    pub(in crate::chart) fn cast_on(&self) -> Option<(u32, &Place)> {
        let sentence = self.own_cast_on()?;
        Some((*sentence.says.cast_on.first()?, &sentence.place))
    }

    /// The sizes whose cast-ons that sentence tells, each with how often it works a repeat; a finding where not all of them
    /// are whole repeats.
    pub(in crate::chart) fn sizes(&self, multiple: Multiple) -> Option<Result<Vec<(String, u32)>, Finding>> {
        let sentence = self.own_cast_on().filter(|sentence| sentence.says.cast_on.len() > 1)?;
        let cast_ons = &sentence.says.cast_on;
        let names = self.names(cast_ons.len()).map_or_else(
            || (1..=cast_ons.len()).map(|number| number.to_string()).collect(),
            |named| named.says.sizes.clone(),
        );
        let size = |(cast_on, name): (&u32, String)| Some((name, multiple.times(*cast_on)?));
        let sizes: Option<Vec<(String, u32)>> = cast_ons.iter().zip(names).map(size).collect();
        Some(sizes.ok_or_else(|| {
            let why = format!("not all of its sizes are {multiple}, as the repeat of the chart makes them");
            first_only(sentence, &why)
        }))
    }

    /// The sentence that names so many sizes.
    fn names(&self, count: usize) -> Option<&'a Sentence> {
        self.sentences.iter().copied().find(|sentence| sentence.says.sizes.len() == count)
    }

    /// The multiple that is told, where it is one.
    pub(in crate::chart) fn multiple(&self) -> Option<Multiple> {
        let mut all = self.sentences.iter().filter_map(|sentence| sentence.says.multiple);
        let one = all.next()?;
        all.all(|other| other == one).then_some(one)
    }

    fn own_cast_on(&self) -> Option<&'a Sentence> {
        let mut all = self.sentences.iter().filter(|sentence| !sentence.says.cast_on.is_empty());
        let one = all.next()?;
        let same = all.all(|other| other.says.cast_on == one.says.cast_on);
        let own =
            !one.says.more && one.says.multiple.is_none() && one.says.settings.is_empty() && !one.says.repeat;
        (same && own).then_some(*one)
    }

    /// Whether a text says what is cast on anyway, and nothing else.
    pub(in crate::chart) fn is_cast_on(&self, text: &str, cast_on: u32) -> bool {
        let own = self.own_cast_on().filter(|sentence| sentence.says.cast_on == [cast_on]);
        own.is_some_and(|sentence| sentence.text == text)
    }

    /// Whether a text names the columns of the repeat, which were followed, and says nothing else: rows in words tell the
    /// repeat themselves.
    pub(in crate::chart) fn is_repeat(&self, text: &str, findings: &[Finding]) -> bool {
        let followed = |sentence: &Sentence| {
            let read =
                |finding: &Finding| finding.code == Code::RepeatDrawn && finding.place == sentence.place;
            findings.iter().any(read)
        };
        let mut named = self.sentences.iter().filter(|sentence| sentence.says.columns.is_some());
        named.any(|sentence| sentence.text == text && followed(sentence)) && columns::say_no_more(text)
    }

    /// Says that the cast-on was taken as the setting, and whose texts are no notes then.
    pub(in crate::chart) fn cast_on_taken(&self) -> Option<(Finding, Vec<&'a str>)> {
        let sentence = self.own_cast_on()?;
        let cast_on = &sentence.says.cast_on;
        let named = self.names(cast_on.len()).filter(|_| cast_on.len() > 1);
        let texts = [Some(sentence), named].into_iter().flatten().map(|sentence| sentence.text.as_str());
        Some((sentence.taken("cast-on", &in_sizes(cast_on)), texts.collect()))
    }

    /// What does not agree with the pattern.
    pub(in crate::chart) fn held_against(
        &self,
        pattern: &Pattern,
        has_repeat: bool,
        settings: &Settings,
    ) -> Vec<Finding> {
        let each = |sentence: &&Sentence| disagrees(sentence, pattern, has_repeat, settings);
        let mut findings: Vec<Finding> = self.sentences.iter().flat_map(each).collect();
        let without = |sentence: &&&Sentence| {
            let count = sentence.says.sizes.len();
            let told = || self.sentences.iter().any(|other| other.says.cast_on.len() == count);
            count > 1 && settings.sizes.is_none() && !told()
        };
        findings.extend(self.sentences.iter().filter(without).map(|sentence| {
            let why = "it names sizes, but nothing beside the chart tells how many stitches each of them has";
            sentence.not_followed(why).help("Nothing, if the chart is the same for all. Otherwise say \"Cast on 24 (30, 36) sts\", or set sizes.")
        }));
        let mut named = self.sentences.iter().filter_map(|sentence| Some((sentence, sentence.says.columns?)));
        if let Some((_, columns)) = named.next() {
            findings.extend(named.filter(|(_, other)| *other != columns).map(|(sentence, _)| {
                let why = if columns.first == columns.last {
                    format!("{columns} is named as well")
                } else {
                    format!("{columns} are named as well")
                };
                sentence.not_followed(&why).help("Take out one of the two sentences.")
            }));
        }
        findings
    }
}

fn disagrees(sentence: &Sentence, pattern: &Pattern, has_repeat: bool, settings: &Settings) -> Vec<Finding> {
    let mut findings = Vec::new();
    let says = &sentence.says;
    let sizes = settings.sizes.is_some();
    let chart = pattern.cast_on;
    let several = says.cast_on.len() > 1;
    if several && !has_repeat && says.cast_on.contains(&chart) {
        findings.push(first_only(sentence, "the chart shows no repeat").help(SHOW));
    }
    if !says.cast_on.is_empty() && !says.cast_on.contains(&chart) && !sizes {
        let cast_on = in_sizes(&says.cast_on);
        let by = if settings.cast_on.is_some() { "the setting cast-on says" } else { "Row 1 uses" };
        let why = format!("it casts on {cast_on} sts, but {by} {chart}");
        let help = if has_repeat {
            "Correct one of the two numbers, or say \"Cast on: 23\", with its own number, in a cell of its own."
        } else {
            "Correct one of the two, or show which stitches are worked again: draw a box around them, or set repeat-columns."
        };
        let finding = sentence.not_followed(&why).found(format!("{cast_on} sts"));
        findings.push(finding.expected(format!("{chart} sts")).help(help));
    }
    match (says.multiple, pattern.multiple) {
        (Some(told), Some(drawn)) if !told.is_as(drawn) => {
            findings.push(multiple_differs(sentence, told, drawn))
        }
        (Some(told), None) if !has_repeat => {
            findings.push(multiple_without_repeat(sentence, told, pattern.cast_on));
        }
        (None, _) if says.repeat && !has_repeat => {
            let why = "it speaks of a repeat, but the chart shows none";
            findings.push(sentence.not_followed(why).help(SHOW));
        }
        _ => {}
    }
    findings
}

/// Says that a chart is given for one of the sizes that a sentence tells.
fn first_only(sentence: &Sentence, why: &str) -> Finding {
    let sizes = in_sizes(&sentence.says.cast_on);
    let message = format!("The sheet casts on {sizes} sts, but {why}: the pattern is that of one size.");
    Finding::new(Code::FirstSizeOnly, sentence.place.clone(), message)
        .found(&sentence.text)
        .help("Nothing, if that size is wanted. Otherwise correct the sizes or the repeat, or set sizes.")
}

/// "28 (36, 44)".
fn in_sizes(cast_ons: &[u32]) -> String {
    match cast_ons {
        [first, others @ ..] if !others.is_empty() => {
            let others: Vec<String> = others.iter().map(u32::to_string).collect();
            format!("{first} ({})", others.join(", "))
        }
        _ => cast_ons.iter().map(u32::to_string).collect(),
    }
}

/// How a repeat is shown.
const SHOW: &str = "Draw a thick or red box around the stitches of the repeat, write \"Repeat columns 2-5\" (counted from \
                    the right), or set repeat-columns.";

fn multiple_differs(sentence: &Sentence, told: Multiple, drawn: Multiple) -> Finding {
    let message = format!("The sheet says {told}, but the repeat of the chart makes it {drawn}.");
    Finding::new(Code::MultipleMismatch, sentence.place.clone(), message)
        .found(told)
        .expected(drawn)
        .help("Correct the sentence, or the repeat of the chart.")
}

/// A multiple that the chart's own width is one of may be all there is to say; the chart is as wide as it is drawn.
fn multiple_without_repeat(sentence: &Sentence, told: Multiple, cast_on: u32) -> Finding {
    let is_one = told.times(cast_on).is_some();
    let (code, message) = match is_one {
        true => (
            Code::RepeatNotShown,
            format!(
                "The sheet says {told}, but the chart shows no repeat: it was written for {cast_on} sts alone."
            ),
        ),
        false => (
            Code::MultipleMismatch,
            format!(
                "The sheet says {told}, but the chart casts on {cast_on} sts, which is none, and shows no repeat."
            ),
        ),
    };
    let finding = Finding::new(code, sentence.place.clone(), message).found(told);
    if is_one {
        finding.help(SHOW)
    } else {
        finding.found(format!("{cast_on} sts")).expected(told).help(SHOW)
    }
}
