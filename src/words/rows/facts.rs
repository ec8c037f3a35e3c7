//! Facts told before the rows: "Worked flat.", "Cast on 23 sts.", "Multiple of 6 sts + 5.", "Sizes: S (M, L)."

mod clauses;
mod numbers;

use std::ops::Range;

use super::label::rows_named;
use super::lex::{Cursor, Kind, Token, tokens};
use super::ways;
use crate::pattern::{Hand, Multiple, Worked};
use clauses::{Part, is_whole_width, read_way};
pub(crate) use clauses::{Unfollowed, Way, unfollowed, ways_of};
pub(crate) use numbers::counts;
use numbers::{CastOn, Fact, one_fact};

/// What a text says of its pattern.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Facts {
    pub(crate) worked: Option<Worked>,
    pub(crate) hand: Option<Hand>,
    /// Stitches to cast on, for each size; one where there are no sizes.
    pub(crate) cast_on: Vec<u32>,
    /// Other numbers of stitches to cast on, for each size, that were told beside those.
    pub(crate) aside: Vec<Vec<u32>>,
    /// A width that is told without a cast-on: "a panel of 7 sts".
    pub(crate) over: Option<u32>,
    pub(crate) multiple: Option<Multiple>,
    /// Names of the sizes.
    pub(crate) sizes: Vec<String>,
    /// Colours, as a line lists them: "navy", "MC (navy)".
    pub(crate) colours: Vec<String>,
}

/// What a line, or a sentence, tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Told {
    /// No fact.
    Nothing,
    /// Facts, and something besides.
    Partly,
    /// Facts, and nothing else.
    Wholly,
}

impl Told {
    /// What two say together.
    const fn and(self, other: Self) -> Self {
        match (self, other) {
            (Self::Nothing, Self::Nothing) => Self::Nothing,
            (Self::Wholly, Self::Wholly) => Self::Wholly,
            _ => Self::Partly,
        }
    }
}

/// Reads the facts of a line; what is known already stays.
pub(crate) fn read(line: &str, facts: &mut Facts) -> Told {
    let told = sentences(line).map(|sentence| read_sentence(sentence, facts)).reduce(Told::and);
    told.unwrap_or(Told::Nothing)
}

/// The sentences of a line. The second full stop of "C.O." ends none.
pub(crate) fn sentences(line: &str) -> impl Iterator<Item = &str> {
    let mut rest = line;
    std::iter::from_fn(move || {
        if rest.is_empty() {
            return None;
        }
        let mut stops = rest.match_indices(". ").map(|(at, stop)| at + stop.len());
        let end = stops.find(|&end| rest.get(..end).is_some_and(|said| !is_dotted(said) && !is_cut(said)));
        let (sentence, after) = rest.split_at_checked(end.unwrap_or(rest.len()))?;
        rest = after;
        Some(sentence.trim())
    })
    .filter(|sentence| !sentence.is_empty())
}

/// Whether words end with one that is cut short by its full stop, "mult. of 4 sts".
fn is_cut(words: &str) -> bool {
    let last = words.split_whitespace().next_back().unwrap_or_default();
    last.eq_ignore_ascii_case("mult.")
}

/// Whether words end with letters that have a full stop each: "C.O. ".
fn is_dotted(words: &str) -> bool {
    let last = words.split_whitespace().next_back().unwrap_or_default();
    let mut letters = last.split_terminator('.').map(|letter| letter.chars().count());
    last.matches('.').count() > 1 && letters.all(|count| count == 1)
}

fn read_sentence(sentence: &str, facts: &mut Facts) -> Told {
    // "Cast on **54** sts": the marks of bold print say nothing.
    let found: Vec<Token> =
        tokens(sentence).into_iter().filter(|token| !matches!(token.kind, Kind::Mark('*' | '_'))).collect();
    if let Some(sizes) = sizes(sentence, &found) {
        if facts.sizes.is_empty() {
            facts.sizes = sizes;
        }
        return Told::Wholly;
    }
    let mut cursor = Cursor::new(&found);
    let mut told: Vec<(Range<usize>, Fact)> = Vec::new();
    while !cursor.at_end() {
        let before = cursor.at;
        match one_fact(&mut cursor) {
            Some(fact) => told.push((before..cursor.at, fact)),
            None => cursor.at = before + 1,
        }
    }
    told.retain(|(at, fact)| !(fact.is_cast_on() && is_aside(found.get(..at.start).unwrap_or_default())));
    // What each token is part of; none for those that are prose.
    let mut parts: Vec<Option<Part>> = vec![None; found.len()];
    for (at, _) in &told {
        parts.iter_mut().take(at.end).skip(at.start).for_each(|part| *part = Some(Part::Fact));
    }
    cast_ons(&found, &told, facts);
    for (at, fact) in &told {
        match fact {
            Fact::Multiple(multiple) => facts.multiple = facts.multiple.or(Some(*multiple)),
            Fact::Over(over) if is_whole_width(sentence, &found, &parts, at.start) => {
                facts.over = facts.over.or(Some(*over));
            }
            Fact::Over(_) => parts.iter_mut().take(at.end).skip(at.start).for_each(|part| *part = None),
            Fact::CastOn(_) | Fact::PickedUp(_) => {}
        }
    }
    read_way(sentence, &found, &mut parts, facts);
    let any = parts.iter().flatten().next().is_some();
    // Marks and little words part facts; anything else is prose beside them.
    let joins = |token: &Token| match &token.kind {
        Kind::Mark(_) => true,
        Kind::Word(word) => ["and", "a", "the", "on", "over", "for"].contains(&word.as_str()),
        Kind::Number(_) | Kind::Ordinal(_) => false,
    };
    let prose = || found.iter().zip(&parts).any(|(token, part)| part.is_none() && !joins(token));
    match any {
        false => Told::Nothing,
        true if prose() => Told::Partly,
        true => Told::Wholly,
    }
}

/// What sizes are measured in, "81 (86, 91) cm".
const UNITS: [&str; 8] = ["cm", "in", "ins", "inch", "inches", "months", "years", "yrs"];

/// "Sizes: S (M, L)", "Sizes: S, M, L".
fn sizes(sentence: &str, found: &[Token]) -> Option<Vec<String>> {
    let mut cursor = Cursor::new(found);
    if !cursor.take(&["size", "sizes"]) {
        return None;
    }
    let mark = cursor.token(0)?;
    if !cursor.take_mark(&[':']) {
        return None;
    }
    let names = sentence.get(mark.end..)?.trim().trim_end_matches('.');
    // "XS [S: M: L]"; elsewhere a colon belongs to the name. "S/M/L" are three, "S/M" is one.
    let colons = names.contains(['(', '[']) && names.contains(": ");
    let apart = names.contains(['(', ')', ',', ';', '[', ']']);
    let one_piece = ['/', '-', '–'].into_iter().find(|&mark| !apart && names.matches(mark).count() > 1);
    let names: Vec<String> = names
        .split(|c| {
            matches!(c, '(' | ')' | ',' | ';' | '[' | ']') || (colons && c == ':') || Some(c) == one_piece
        })
        .map(|name| name.split_whitespace().collect::<Vec<_>>().join(" "))
        .filter(|name| !(name.is_empty() || apart && UNITS.contains(&name.to_lowercase().as_str())))
        .collect();
    (!names.is_empty() && names.iter().all(|name| name.chars().count() <= 40)).then_some(names)
}

/// Whether words behind which a cast-on stands speak of a piece that is none of the pattern: "to work a swatch".
fn is_aside(before: &[Token]) -> bool {
    let aside = |at: usize| {
        let cursor = Cursor::new(before.get(at..).unwrap_or_default());
        ways::clauses().aside.iter().any(|phrase| cursor.clone().take_phrase(phrase))
    };
    (0..before.len()).any(aside)
}

/// Takes the stitches that are cast on in a sentence: what is picked up counts only where nothing is, and what is cast on behind
/// a marker, or as so many more, is added. Any other number is left aside.
fn cast_ons(found: &[Token], told: &[(Range<usize>, Fact)], facts: &mut Facts) {
    let cast = told.iter().any(|(_, fact)| matches!(fact, Fact::CastOn(_)));
    let mut own: Option<(CastOn, usize)> = None;
    for (at, fact) in told {
        let (one, counts) = match fact {
            Fact::CastOn(one) => (one, true),
            Fact::PickedUp(one) => (one, !cast),
            Fact::Over(_) | Fact::Multiple(_) => continue,
        };
        match &mut own {
            None if counts => own = Some((one.clone(), at.end)),
            Some((own, end))
                if counts
                    && own.counts.len() == one.counts.len()
                    && (one.more || marks(found.get(*end..at.start))) =>
            {
                own.counts
                    .iter_mut()
                    .zip(&one.counts)
                    .for_each(|(sum, more)| *sum = sum.saturating_add(*more));
                *end = at.end;
            }
            _ => facts.aside.push(one.counts.clone()),
        }
    }
    let Some((own, _)) = own else { return };
    if facts.cast_on.is_empty() {
        facts.cast_on = own.counts;
    } else if own.more || facts.cast_on != own.counts {
        facts.aside.push(own.counts);
    }
}

/// Whether a line has a marker placed where the rounds begin: "place marker and join in the round", "pm for BOR".
pub(crate) fn marks_round(line: &str) -> bool {
    let words = ways::clauses();
    sentences(line).any(|sentence| {
        let found = tokens(sentence);
        let is = |known: &[&str]| {
            found
                .iter()
                .any(|token| matches!(&token.kind, Kind::Word(word) if known.contains(&word.as_str())))
        };
        is(&words.markers) && (is(&words.join) || is(&words.round_begins) || found.iter().any(is_round))
    })
}

fn is_round(token: &Token) -> bool {
    matches!(&token.kind, Kind::Word(word) if rows_named(word) == Some(Worked::Round))
}

/// Whether words place a marker.
fn marks(words: Option<&[Token]>) -> bool {
    let is_marker = |token: &Token| matches!(&token.kind, Kind::Word(word) if ways::clauses().markers.contains(&word.as_str()));
    words.unwrap_or_default().iter().any(is_marker)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn facts(lines: &[&str]) -> Facts {
        let mut facts = Facts::default();
        for line in lines {
            assert_eq!(read(line, &mut facts), Told::Wholly, "{line}");
        }
        facts
    }

    /// The lines of our own styles, and of print (standards.md section 6, W7).
    #[test]
    fn facts_are_read() {
        let expected = Facts {
            worked: Some(Worked::Round),
            hand: Some(Hand::Left),
            cast_on: vec![23, 29, 35],
            aside: Vec::new(),
            over: None,
            multiple: Some(Multiple { of: 6, plus: 5 }),
            sizes: ["S", "M", "L"].map(str::to_owned).to_vec(),
            colours: Vec::new(),
        };
        let short = [
            "Worked in the round.",
            "For left-handed knitters.",
            "Sizes: S (M, L).",
            "Multiple of 6 sts + 5.",
            "Cast on 23 (29, 35) sts.",
        ];
        assert_eq!(facts(&short), expected);
        let spoken = [
            "Worked in the round.",
            "For left-handed knitters.",
            "Sizes: S, M, L.",
            "Multiple of six stitches plus five.",
            "Cast on twenty-three, twenty-nine, thirty-five stitches.",
        ];
        assert_eq!(facts(&spoken), expected);
        let mut bold = Facts::default();
        assert_eq!(read("Cast on **54** sts. __Worked in the round.__", &mut bold), Told::Wholly);
        assert_eq!((bold.cast_on, bold.worked), (vec![54], Some(Worked::Round)));
        let mut told = Facts::default();
        assert_eq!(read("(multiple of 9 sts plus 4 sts)", &mut told), Told::Wholly);
        assert_eq!(
            read("Using 4 mm needles, CO 22 sts loosely and join in the round.", &mut told),
            Told::Partly
        );
        assert_eq!(
            (told.multiple, told.cast_on.clone(), told.worked),
            (Some(Multiple { of: 9, plus: 4 }), vec![22], Some(Worked::Round))
        );
        assert_eq!(read("Cast on loosely with any yarn.", &mut Facts::default()), Told::Nothing);
        assert_ne!(read("Worked over a panel of 7 sts.", &mut told), Told::Nothing);
        assert_eq!(told.over, Some(7));
    }
}
