//! The colours that a text names: "Colours: navy, cream.", "MC: navy", "A = cream", and where a row says which one it
//! begins in.

use std::sync::Arc;

use super::find::{Draft, Entry, RowText};
use crate::words::colours::{is_abbreviation, is_brief, one_name, two_names};
use crate::words::rows::lex::{Cursor, Kind, tokens};
use crate::words::{self, Colours};

/// The longest name of a colour, in characters.
const LONGEST: usize = 60;

/// Colours of a pattern, at most.
const MOST: usize = 60;

/// The colours of a line that lists them, as they stand in it: "Colours: navy, cream.", "Colors used: MC (navy), CC
/// (cream)". None where the line is no list.
pub(super) fn listed(line: &str) -> Option<Vec<String>> {
    let found = tokens(line);
    let mut cursor = Cursor::new(&found);
    if !cursor.take(&["colours", "colors", "colour", "color"]) {
        return None;
    }
    let _ = cursor.take(&["used"]);
    let mark = cursor.token(0)?;
    let colon = cursor.take_mark(&[':']);
    let list = line.get(if colon { mark.end } else { mark.start }..)?.trim().trim_end_matches('.');
    // Names that hold a comma are parted by semicolons; the last one by "and".
    let part = if parted_by(list, ';').count() > 1 { ';' } else { ',' };
    let mut names: Vec<&str> = parted_by(list, part).map(str::trim).collect();
    if let Some(last) = names.pop() {
        let last = last.trim_start_matches("and ");
        let closed = |name: &str| name.matches('(').count() == name.matches(')').count();
        let cut = |between: &str| last.rsplit_once(between).filter(|(_, name)| closed(name));
        let (one, other) = cut(" and ").or_else(|| cut(" & ")).unwrap_or((last, ""));
        names.extend([one.trim(), other.trim()]);
    }
    let names: Vec<String> = names.into_iter().filter(|name| !name.is_empty()).map(str::to_owned).collect();
    // "Colours A, B" is a list without a colon where it is one of abbreviations.
    if !colon && !names.iter().all(|name| is_abbreviation(name)) {
        return None;
    }
    (!names.is_empty() && names.iter().all(|name| name.chars().count() <= LONGEST)).then_some(names)
}

/// The parts of a list, where no bracket is open: "A (No. 4, red)" is one.
fn parted_by(list: &str, mark: char) -> impl Iterator<Item = &str> {
    let mut depth = 0usize;
    list.split(move |c| {
        match c {
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            _ => {}
        }
        c == mark && depth == 0
    })
}

/// The colours of a pattern.
pub(super) fn of(draft: &Draft) -> Colours {
    let mut colours = Colours::default();
    let mut listed = draft.facts.colours.get(..MOST).unwrap_or(&draft.facts.colours);
    let rows: Vec<String> = match listed {
        [] => Vec::new(),
        _ => draft.rows.iter().map(|row| row.line.text.to_lowercase()).collect(),
    };
    let in_rows = |name: &str| {
        let name = name.to_lowercase();
        rows.iter().any(|row| row.contains(&name))
    };
    while let [first, ..] = listed {
        // "No. 4, red" and "MC (navy)" are names as they are where rows have them so.
        let whole = (1..=listed.len().min(3))
            .rev()
            .flat_map(|many| [", ", " and ", " & "].map(|between| (many, listed[..many].join(between))));
        let whole = whole.into_iter().find(|(_, name)| in_rows(name));
        let (many, name) = whole.unwrap_or((1, first.clone()));
        match two_names(&name).filter(|_| !in_rows(&name)) {
            Some((term, meaning)) => both(term, meaning, &mut colours),
            None => colours.add(&name, &name),
        }
        listed = &listed[many..];
    }
    for Entry { term, meaning, .. } in &draft.list {
        // "A = navy, B = cream" is one line of two entries.
        let line = format!("{term} = {meaning}");
        let parts: Vec<(&str, &str)> = line.split(", ").filter_map(|part| part.split_once(" = ")).collect();
        if parts.len() > 1 && parts.len() == line.split(", ").count() {
            for (term, meaning) in parts {
                entry(term, meaning, &mut colours);
            }
        } else {
            entry(term, meaning, &mut colours);
        }
    }
    if !colours.stated() {
        let letters: Vec<&str> = draft.rows.iter().flat_map(letters).collect();
        letters.into_iter().for_each(|letter| colours.add_letter(letter));
    }
    colours.add_trade();
    colours
}

/// Letters that a row takes up as colours, in a line before it or where it begins: "With A, cast on", "Join B.". Where a text
/// names no colours they stand for themselves, as MC does.
fn letters(row: &RowText) -> Vec<&str> {
    let work = row.line.text.get(row.work..).unwrap_or_default();
    let begins = work.split([',', ':']).next().filter(|begins| may_take_up(begins));
    let taken = row.before.iter().map(String::as_str).chain(begins).flat_map(phrases);
    let names = taken.map(|taken| taken.trim().trim_end_matches('.').trim());
    names.filter(|name| name.ends_with(char::is_uppercase) && is_abbreviation(name)).collect()
}

fn entry(term: &str, meaning: &str, colours: &mut Colours) {
    let (term, meaning) = (term.trim(), meaning.trim().trim_end_matches('.'));
    let names: Vec<&str> = term.split(['(', ')']).map(str::trim).filter(|name| !name.is_empty()).collect();
    // "C4: 2/2 RC" is a stitch, whatever yarns may be called.
    if !names.iter().any(|name| is_abbreviation(name)) || words::tells_work(meaning) {
        return;
    }
    for name in &names {
        match is_abbreviation(meaning) && !is_abbreviation(name) {
            true => both(meaning, name, colours),
            false => both(name, meaning, colours),
        }
    }
}

/// A term and the colour that it means. What is no name, "island wool in three balls of navy", leaves the term its own.
fn both(term: &str, meaning: &str, colours: &mut Colours) {
    let name = one_name(term, meaning);
    colours.add(term, name);
    if is_brief(meaning) {
        colours.add(meaning, name);
    }
}

/// The colour that a row is said to begin in: in its label, "Row 3 (RS) (navy):", or in a line before it, "Change to
/// navy."
pub(super) fn said(row: &RowText, colours: &Colours) -> Option<Arc<str>> {
    let label = row.label.as_ref();
    let remarks = label.into_iter().flat_map(|label| &label.remarks);
    let in_label = remarks.rev().find_map(|&(start, end)| colours.named(row.line.text.get(start..end)?));
    in_label.or_else(|| row.before.iter().rev().find_map(|line| taken_up(line, colours)))
}

/// Words of a label that seem to be a colour of the text and are none, and the colour they are nearest to.
pub(super) fn nearly<'a>(row: &'a RowText, colours: &'a Colours) -> Option<(&'a str, &'a str)> {
    let label = row.label.as_ref().filter(|_| colours.stated())?;
    label.remarks.iter().find_map(|&(start, end)| {
        let text = row.line.text.get(start..end)?;
        let known = colours.named(text).is_some();
        let nearest = colours.nearest(text).filter(|_| !known)?;
        Some((text, nearest))
    })
}

/// Words in the label of a row, or in a line before it that takes up a colour, that can only be a colour, "A" or
/// "navy", and that the text does not name.
pub(super) fn unnamed<'a>(row: &'a RowText, colours: &Colours) -> Option<&'a str> {
    let label = row.label.as_ref().into_iter().flat_map(|label| &label.remarks);
    let in_label = label.filter_map(|&(start, end)| row.line.text.get(start..end));
    let before = row.before.iter().flat_map(|line| phrases(line));
    in_label.chain(before).map(str::trim).find(|text| {
        let text = text.trim_end_matches('.');
        words::stands_for_colour(text) && colours.named(text).is_none()
    })
}

/// Whether a line between the rows may say which colour comes next.
pub(super) fn may_take_up(line: &str) -> bool {
    let found = tokens(line);
    let mut cursor = Cursor::new(&found);
    line.chars().count() <= 100
        && cursor.take(&["change", "join", "with", "using", "switch", "break", "cut", "drop", "in"])
}

/// The colour that a line takes up last: "Change to navy.", "Break MC, join CC.", "With MC, cast on 24 sts."
fn taken_up(line: &str, colours: &Colours) -> Option<Arc<str>> {
    phrases(line).into_iter().filter_map(|phrase| colours.named(phrase)).next_back()
}

/// What a line takes up: the words behind "with", "join", "to", up to the next mark.
fn phrases(line: &str) -> Vec<&str> {
    let found = tokens(line);
    let mut phrases = Vec::new();
    for (at, token) in found.iter().enumerate() {
        let Kind::Word(word) = &token.kind else { continue };
        let leads = matches!(word.as_str(), "with" | "using" | "join" | "to" | "in");
        if !leads {
            continue;
        }
        let rest = line.get(token.end..).unwrap_or_default();
        // Up to the mark, or any of the words before it.
        let marks = found.iter().skip(at + 1).filter(|token| matches!(token.kind, Kind::Mark(_)));
        let stop = marks.map(|token| token.start).next().unwrap_or(line.len());
        phrases.extend(rest.get(..stop.saturating_sub(token.end)));
    }
    phrases
}

/// The work of a row without the colour before or behind it, and that colour: "With navy, work in St st", "as Row 1 in
/// cream".
pub(super) fn parted<'t>(work: &'t str, colours: &Colours) -> Option<(&'t str, Arc<str>)> {
    let lower = work.to_lowercase();
    if lower.starts_with("with ") || lower.starts_with("using ") || lower.starts_with("in ") {
        let (head, rest) = work.split_once([',', ':'])?;
        return Some((rest, colours.named(head)?));
    }
    [" in ", " with ", " using "].iter().find_map(|link| {
        let at = lower.rfind(link).filter(|_| lower.len() == work.len())?;
        let (rest, tail) = (work.get(..at)?, work.get(at..)?);
        Some((rest, colours.named(tail.trim_end_matches(['.', ' ']))?))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn draft(colours: &[&str], list: &[(&str, &str)]) -> Draft {
        let mut draft = Draft::default();
        draft.facts.colours = colours.iter().map(|&name| name.to_owned()).collect();
        draft.list = list
            .iter()
            .map(|&(term, meaning)| Entry {
                term: term.to_owned(),
                meaning: meaning.to_owned(),
                line: crate::document::Line::default(),
            })
            .collect();
        draft
    }

    #[test]
    fn lists_of_colours() {
        let names = |line: &str| listed(line).map(|names| names.join("|"));
        assert_eq!(names("Colours: navy, cream.").as_deref(), Some("navy|cream"));
        assert_eq!(names("Colors used: No. 4, red; cream").as_deref(), Some("No. 4, red|cream"));
        assert_eq!(names("Colours A, B").as_deref(), Some("A|B"));
        assert_eq!(names("Colours A and B").as_deref(), Some("A|B"));
        assert_eq!(names("Colors: navy, dark red, and cream").as_deref(), Some("navy|dark red|cream"));
        assert_eq!(
            names("Colors: A (No. 4, red), B (black and white).").as_deref(),
            Some("A (No. 4, red)|B (black and white)")
        );
        assert_eq!(names("Colours: MC (navy) and CC (cream)").as_deref(), Some("MC (navy)|CC (cream)"));
        assert_eq!(names("Colours and yarn"), None);
        assert_eq!(names("Colour work is easy."), None);
    }

    /// Common practice in print: letters, MC and CC, explained before the rows or in a list of abbreviations.
    #[test]
    fn colours_have_names_and_abbreviations() {
        let colours = of(&draft(&["navy (MC)", "CC = cream", "dark red"], &[]));
        let named = |text: &str, colours: &Colours| colours.named(text).map(|name| name.to_string());
        for (text, name) in [("MC", "navy"), ("navy", "navy"), ("CC", "cream"), ("dark red", "dark red")] {
            assert_eq!(named(text, &colours).as_deref(), Some(name), "{text}");
        }
        let colours = of(&draft(&["A (Dk. blue, no. 4)", "CC: cream", "J - sage", "B is rust: dark"], &[]));
        for (text, name) in [
            ("A", "Dk. blue, no. 4"),
            ("CC", "cream"),
            ("cream", "cream"),
            ("in J", "sage"),
            ("B", "rust: dark"),
        ] {
            assert_eq!(named(text, &colours).as_deref(), Some(name), "{text}");
        }
        // One name, where rows have it so.
        let marled = || {
            let mut draft = draft(&["black", "white"], &[]);
            let line = crate::document::Line::default();
            draft.rows.push(RowText { label: None, named: false, line, work: 0, before: Vec::new() });
            draft
        };
        let mut one = marled();
        one.rows[0].line.text = "With black and white, k2.".to_owned();
        assert_eq!(named("black and white", &of(&one)).as_deref(), Some("black and white"));
        assert_eq!(named("white", &of(&marled())).as_deref(), Some("white"));
        let colours = of(&draft(
            &[],
            &[
                ("A", "navy, B = cream"),
                ("MC", "Main colour."),
                ("Contrast colour 2 (CC2)", "three balls of island wool in a fiery red"),
                ("MB", "make bobble"),
            ],
        ));
        for (text, name) in [
            ("A", Some("navy")),
            ("yarn B", Some("cream")),
            ("MC", Some("MC")),
            ("CC2", Some("CC2")),
            ("MB", None),
        ] {
            assert_eq!(named(text, &colours).as_deref(), name, "{text}");
        }
    }

    #[test]
    fn lines_between_rows_take_up_a_colour() {
        let colours = of(&draft(&["navy", "cream"], &[]));
        for (line, name) in [
            ("Change to navy.", Some("navy")),
            ("Break navy, join cream.", Some("cream")),
            ("With MC, cast on 24 sts.", Some("MC")),
            ("With care, turn the work.", None),
        ] {
            assert_eq!(taken_up(line, &colours).as_deref(), name, "{line}");
        }
    }
}
