//! What lines that are no rows are: titles, heads of sections, entries of a list.

use super::{Entry, Part, Role};
use crate::text::facts::{self, Facts};

/// Which of the lines before the first row is the title: the first heading, else the first line of prose that opens
/// them.
pub(super) fn title(parts: &[Part]) -> Option<usize> {
    let first = parts.iter().position(|part| part.role != Role::Blank)?;
    let heading = parts.iter().position(|part| part.role == Role::Heading);
    let tells = |part: &Part| {
        let mut facts = Facts::default();
        facts::read(&part.line.text, &mut facts);
        !facts.cast_on.is_empty() || facts.multiple.is_some()
    };
    heading.or_else(|| {
        (parts[first].role == Role::Prose && !tells(&parts[first])).then_some(first).or_else(|| {
            // A title may read like something else: "Notes", "Cast on 5".
            let stands_alone = parts.get(first + 1).is_some_and(|next| next.role == Role::Blank)
                && parts[first + 1..].iter().any(|part| part.role == Role::Fact);
            stands_alone.then_some(first)
        })
    })
}

/// Where among the lines between two patterns the head of the second begins: at the heading or the paragraph before
/// its first fact, else at the last heading, else at the last paragraph.
pub(super) fn head_of_next(parts: &[Part]) -> usize {
    let paragraph = |from: usize| {
        (0..from)
            .rev()
            .take_while(|&at| matches!(parts[at].role, Role::Prose | Role::Heading))
            .last()
            .unwrap_or(from)
    };
    let before = |fact: usize| {
        let above = parts[..fact].iter().rposition(|part| part.role != Role::Blank);
        match above {
            Some(above) if parts[above].role == Role::Heading => above,
            Some(above) if parts[above].role == Role::Prose => paragraph(above + 1),
            _ => fact,
        }
    };
    if let Some(heading) = parts.iter().rposition(|part| part.role == Role::Heading) {
        let fact = parts[..heading].iter().rposition(|part| part.role == Role::Fact);
        return fact.map_or(heading, before);
    }
    if let Some(fact) = parts.iter().position(|part| part.role == Role::Fact) {
        return before(fact);
    }
    let last = parts.iter().rposition(|part| part.role != Role::Blank);
    match last {
        Some(last) if parts[last].role == Role::Prose => paragraph(last + 1),
        _ => parts.len(),
    }
}

#[derive(Clone, Copy)]
pub(super) enum Head {
    Notes,
    List,
    Rows,
}

/// The section that a line heads.
pub(super) fn section_head(text: &str) -> Option<Head> {
    if text.len() > 60 {
        return None;
    }
    let plain = text.trim_end_matches([':', '.']).trim().to_lowercase();
    match plain.as_str() {
        "notes" | "note" | "pattern notes" | "designer's notes" | "designer’s notes" => Some(Head::Notes),
        "abbreviations"
        | "abbreviations used"
        | "special abbreviations"
        | "key"
        | "glossary"
        | "stitch guide"
        | "special stitches"
        | "how the stitches are worked"
        | "stitches used"
        | "stitch key" => Some(Head::List),
        "instructions"
        | "directions"
        | "rows"
        | "pattern"
        | "the rows"
        | "chart"
        | "written instructions"
        | "pattern rows" => Some(Head::Rows),
        _ => None,
    }
}

pub(super) fn is_notes_head(part: &Part) -> bool {
    part.role == Role::Notes && matches!(section_head(part.line.text.trim()), Some(Head::Notes))
}

/// "MB: make bobble", "MB = make bobble", "MB - make bobble", "Knit two together. Knit two stitches together."
pub(super) fn entry(text: &str) -> Option<Entry> {
    let mark = [": ", " = ", " – ", " - ", ". "];
    let at = mark.iter().filter_map(|mark| text.find(mark).map(|at| (at, mark.len()))).min()?;
    let (term, meaning) = (text.get(..at.0)?, text.get(at.0 + at.1..)?);
    let (term, meaning) = (term.trim(), meaning.trim());
    (!term.is_empty() && !meaning.is_empty() && term.chars().count() <= 100)
        .then(|| Entry { term: term.to_owned(), meaning: meaning.to_owned() })
}
