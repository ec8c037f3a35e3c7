//! The page: every line of a pattern in the words of a style, before it is laid out in a format.

use std::borrow::Cow;

use super::colours::Colours;
use super::sizes;
use super::spelled::spelled_out;
use super::work::{Worder, capital, one_line};
use crate::pattern::{Hand, Side, Worked};
use crate::stitch::StitchId;
use crate::style::{Case, FrameTerm, Style, Template, Value, When, Wording};
use crate::words::rows::head::printed_title;
use crate::written::{Label, Line, Work, Written};

/// A pattern in words. Nothing in it breaks a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Page<'a> {
    /// Its title, such that it reads as one.
    pub title: Cow<'a, str>,
    /// How it is worked, its widths, its cast-on.
    pub facts: Vec<String>,
    /// The designer's notes under their heading, if there are any.
    pub notes: Section<'a, Cow<'a, str>>,
    /// The rows; the heading may be empty.
    pub rows: Section<'a, String>,
    /// The abbreviations used and what they mean.
    pub list: Section<'a, Entry<'a>>,
    /// Headings of the two columns of the list.
    pub columns: (&'a str, &'a str),
}

/// Lines under a heading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Section<'a, T> {
    /// The heading.
    pub heading: &'a str,
    /// The lines.
    pub lines: Vec<T>,
}

/// An entry of the list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry<'a> {
    /// The abbreviation, or the stitch.
    pub term: Cow<'a, str>,
    /// What it means.
    pub meaning: Cow<'a, str>,
    /// Both in one line.
    pub line: String,
}

/// The pattern in the words of the style.
pub fn compose<'a>(written: &'a Written, style: &'a Style) -> Page<'a> {
    let mut worder = Worder {
        style,
        stitches: &written.stitches,
        colours: Colours::of(written, style),
        colour_said: false,
        worked: written.worked,
        used: Vec::new(),
    };
    let facts = facts(written, &worder);
    let rows: Vec<String> = written
        .lines
        .iter()
        .zip(sizes::counts(written))
        .map(|(line, in_sizes)| row(line, &in_sizes, &mut worder))
        .collect();
    let notes =
        written.notes.iter().flat_map(|note| note.lines()).map(one_line).filter(|note| !note.is_empty());
    Page {
        title: match one_line(&written.title) {
            title if title.is_empty() => style.head.untitled.as_str().into(),
            Cow::Borrowed(title) => printed_title(title),
            Cow::Owned(title) => printed_title(&title).into_owned().into(),
        },
        list: Section { heading: &style.list.heading, lines: list(&facts, &rows, &worder) },
        facts,
        notes: Section { heading: &style.head.notes, lines: notes.collect() },
        rows: Section { heading: &style.head.rows, lines: rows },
        columns: (&style.list.term, &style.list.meaning),
    }
}

fn facts(written: &Written, worder: &Worder<'_>) -> Vec<String> {
    let head = &worder.style.head;
    // Names keep their own letters, whatever marks they hold.
    let naming = |template: &Template, gap: &str, names: String| {
        let fact = template.fill(&[(gap, names.into())]);
        if worder.style.case == Case::Sentences { capital(fact) } else { fact }
    };
    let say = |fact: String| worder.sentences(fact);
    let way = match written.worked {
        Worked::Flat => &head.flat,
        Worked::Round => &head.round,
    };
    let mut facts = vec![say(way.clone())];
    if written.hand == Hand::Left {
        facts.push(say(head.left.clone()));
    }
    if !written.sizes.is_empty() {
        let names: Vec<Cow<'_, str>> = written.sizes.iter().map(|size| one_line(&size.name)).collect();
        facts.push(naming(&head.sizes, "sizes", sized(&names, worder)));
    }
    if let Some(multiple) = written.multiple {
        let of = ("of", worder.number(multiple.of));
        facts.push(say(match multiple.plus {
            0 => head.multiple_even.fill(&[of]),
            plus => head.multiple.fill(&[of, ("plus", worder.number(plus))]),
        }));
    }
    let cast_on = match &written.sizes[..] {
        [] => worder.number(written.cast_on),
        sizes => by_size(&sizes.iter().map(|size| size.cast_on).collect::<Vec<_>>(), worder),
    };
    facts.push(say(head.cast_on.fill(&[("n", cast_on)])));
    let colours = worder.colours.listed();
    if !colours.is_empty() {
        let between = match colours.iter().any(|name| name.contains(head.colours_between.trim())) {
            true => &head.colours_apart,
            false => &head.colours_between,
        };
        facts.push(naming(&head.colours, "colours", colours.join(between)));
    }
    facts
}

/// What differs by size: "23 (29, 35)".
fn sized(values: &[Cow<'_, str>], worder: &Worder<'_>) -> String {
    let head = &worder.style.head;
    match values {
        [] => String::new(),
        [only] => only.clone().into_owned(),
        [first, rest @ ..] => head
            .sized
            .fill(&[("first", first.as_ref().into()), ("rest", rest.join(&head.sized_between).into())]),
    }
}

/// The numbers of each size.
fn by_size(numbers: &[u32], worder: &Worder<'_>) -> Value<'static> {
    let texts: Vec<Cow<'_, str>> = numbers.iter().map(|&n| worder.number(n).text).collect();
    Value { text: sized(&texts, worder).into(), one: numbers.iter().all(|&n| n == 1) }
}

/// A row; `in_sizes` holds its counts in each size, where the pattern has sizes.
fn row(line: &Line, in_sizes: &[u32], worder: &mut Worder<'_>) -> String {
    // Longer than most.
    let mut text = String::with_capacity(128);
    label(&line.label, worder, &mut text);
    match &line.work {
        Work::Items(items) => worder.row(items, &mut text),
        Work::Again(again) => worder.again(again, &mut text),
        Work::InTurn { reverse, knit_first } => worder.in_turn(*reverse, *knit_first, &mut text),
    }
    text.push_str(&worder.style.work.end);
    let counted = match worder.style.count.when {
        When::Never => false,
        When::Changes => line.count_changes,
        When::Every => true,
    };
    if let Some(count) = line.count.filter(|_| counted) {
        let words = &worder.style.count;
        match in_sizes {
            [first, _, ..] if *first == count => {
                words.by_size.fill_behind(&mut text, &[("n", by_size(in_sizes, worder))]);
            }
            _ => words.words.fill_behind(&mut text, &[("n", worder.number(count))]),
        }
    }
    worder.sentences(text)
}

/// Puts what stands before the work behind a text.
fn label(label: &Label, worder: &Worder<'_>, text: &mut String) {
    let style = worder.style;
    let words = &style.label;
    match label {
        Label::Row { number, side } => {
            let side = style.sides.of(*side);
            let (row, round) = match number {
                0 => (&words.set_up_row, &words.set_up_round),
                _ => (&words.row, &words.round),
            };
            let values = [("n", worder.number(*number)), ("side", side.into())];
            worder.by_way(row, round).fill_behind(text, &values);
        }
        Label::Rows { first, last, side } => {
            let n = ("n", worder.range(*first, *last));
            match side {
                None => worder.by_way(&words.rows, &words.rounds).fill_behind(text, &[n]),
                Some(side) => {
                    let two = last.checked_sub(*first) == Some(1);
                    let template = if two { &words.first_two } else { &words.first_rows };
                    let side = ("side", style.sides.of(*side).into());
                    let (first, last) = (worder.number(*first), worder.number(*last));
                    template.fill_behind(text, &[n, ("first", first), side, ("last", last)]);
                }
            }
        }
        Label::Every { first, side, except } => {
            let kind = match (worder.worked, side) {
                (Worked::Flat, Side::Rs) => &style.kinds.rs,
                (Worked::Flat, Side::Ws) => &style.kinds.ws,
                (Worked::Round, _) if first % 2 == 0 => &style.kinds.even,
                (Worked::Round, _) => &style.kinds.odd,
            };
            let except = match &except[..] {
                [] => String::new(),
                except => worder
                    .by_way(&words.except_row, &words.except_round)
                    .fill(&[("n", worder.numbers(except))]),
            };
            let values =
                [("n", worder.number(*first)), ("kind", kind.as_str().into()), ("except", except.into())];
            worder.by_way(&words.every_row, &words.every_round).fill_behind(text, &values);
        }
    }
}

/// The abbreviations that stand in the text, in the order of the alphabet.
fn list<'a>(facts: &[String], rows: &[String], worder: &Worder<'a>) -> Vec<Entry<'a>> {
    let style = worder.style;
    let stitches = worder.used.iter().filter_map(|&stitch| stitch_entry(stitch, worder));
    let frame = frame(facts, rows, style);
    let frame = frame.iter().map(|frame| (frame.term.as_str().into(), frame.meaning.as_str().into()));
    let mut terms: Vec<(String, Cow<'a, str>, Cow<'a, str>)> =
        stitches.chain(frame).map(|(term, meaning)| (term.to_lowercase(), term, meaning)).collect();
    terms.sort();
    let entry = |(_, term, meaning): (String, Cow<'a, str>, Cow<'a, str>)| {
        let values = [("term", term.as_ref().into()), ("meaning", meaning.as_ref().into())];
        Entry { line: worder.sentences(style.list.entry.fill(&values)), term, meaning }
    };
    terms.into_iter().map(entry).collect()
}

/// The abbreviations that are not stitches and stand in the text.
fn frame<'s>(facts: &[String], rows: &[String], style: &'s Style) -> Vec<&'s FrameTerm> {
    let mut sought: Vec<&FrameTerm> = style.list.frame.iter().collect();
    let mut found = Vec::new();
    // Most words begin with no letter that one of those sought begins with.
    let mut begins = [false; 256];
    for first in sought.iter().flat_map(|frame| &frame.words).filter_map(|word| word.as_bytes().first()) {
        begins[usize::from(*first)] = true;
    }
    let may_begin = |byte: u8| begins[usize::from(byte)];
    let mut see = |word: &[u8]| {
        if word.is_empty() {
            return;
        }
        let is_word = |frame: &&FrameTerm| frame.words.iter().any(|own| own.as_bytes() == word);
        if let Some(at) = sought.iter().position(is_word) {
            found.push(sought.swap_remove(at));
        }
    };
    for line in facts.iter().chain(rows) {
        if !line.is_ascii() {
            line.split(|c: char| !c.is_alphanumeric()).map(str::as_bytes).for_each(&mut see);
            continue;
        }
        // Most lines are plain, and their letters are told byte by byte.
        let letters = line.as_bytes();
        let goes_on = |byte: &u8| byte.is_ascii_alphanumeric();
        for (at, _) in letters.iter().enumerate().filter(|(_, byte)| may_begin(**byte) && goes_on(byte)) {
            if !letters[..at].last().is_some_and(goes_on) {
                let length = letters[at..].iter().take_while(|byte| goes_on(byte)).count();
                see(&letters[at..at + length]);
            }
        }
    }
    found
}

/// What a stitch is called in the text and how it is worked; nothing where the name says all there is to say.
fn stitch_entry<'w>(id: StitchId, worder: &Worder<'w>) -> Option<(Cow<'w, str>, Cow<'w, str>)> {
    let stitch = worder.stitches.get(id);
    let words = stitch.words(worder.style.terms);
    let (term, meaning) = match worder.style.wording {
        Wording::Short => {
            (words.bare.as_ref().unwrap_or(&words.short), without_name(&words.explain, &[&words.short]))
        }
        Wording::Long => (
            words.long_bare.as_ref().unwrap_or(&words.long),
            without_name(&words.explain, &[&words.short, &words.long]),
        ),
    };
    let meaning = match worder.style.wording {
        _ if meaning.is_empty() => (capital(&words.long) + ".").into(),
        Wording::Long if stitch.own => spelled_out(&meaning, worder.style.terms).into(),
        _ => meaning,
    };
    let says_no_more = meaning.trim_end_matches('.').eq_ignore_ascii_case(term);
    (!says_no_more).then(|| (worder.spoken(term), worder.spoken(meaning)))
}

/// The explanation without the name it begins with, "Yarn over: ...", where that would say the term twice.
fn without_name<'w>(explain: &'w str, names: &[&String]) -> Cow<'w, str> {
    let behind = |name: &String| {
        let (start, rest) = explain.split_at_checked(name.len())?;
        start.eq_ignore_ascii_case(name).then(|| rest.strip_prefix(": ")).flatten()
    };
    match names.iter().find_map(|name| behind(name)) {
        Some(rest) => capital(rest).into(),
        None => explain.into(),
    }
}
