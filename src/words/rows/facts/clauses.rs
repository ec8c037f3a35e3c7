//! The way a piece is worked, as the clauses of a sentence say it beside its other facts: "Cast on 24 sts and join in the round".

use std::ops::Range;

use super::{Facts, read_sentence, sentences};
use crate::pattern::Worked;
use crate::settings::{self, Settings};
use crate::words::phrases::{Said, Setting, Words};
use crate::words::rows::lex::{Cursor, Kind, Token};
use crate::words::rows::ways;

/// A way that a piece is worked: the setting that says so, and its value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Way {
    pub(crate) name: &'static str,
    pub(crate) value: &'static str,
}

/// A sentence of a line that speaks of the way its piece is worked, in words that can't all be followed.
#[derive(Clone, Copy)]
pub(crate) struct Unfollowed<'t> {
    pub(crate) sentence: &'t str,
    /// What it would say.
    pub(crate) way: Way,
}

/// The first such sentence of a line.
pub(crate) fn unfollowed(line: &str) -> Option<Unfollowed<'_>> {
    sentences(line).find_map(|sentence| {
        let (way, _) = way_of(&Words::of(sentence)?)?;
        let mut facts = Facts::default();
        read_sentence(sentence, &mut facts);
        let followed = facts.worked.is_some() || facts.hand.is_some();
        (!followed).then_some(Unfollowed { sentence, way })
    })
}

/// The sentences of a line that speak of the way the piece is worked, and whether nothing else stands there but what the piece
/// is, by a word for it or by the title of the pattern.
pub(crate) fn ways_of<'t>(line: &'t str, title: &str) -> Vec<(&'t str, Way, bool)> {
    let said = sentences(line).filter_map(|sentence| {
        let words = Words::of(sentence)?;
        let (way, how) = way_of(&words)?;
        let named = || {
            let rest = words.without(&Words::of(title)?)?;
            way_of(&rest).filter(|(named, how)| *named == way && *how != Said::Beside)
        };
        Some((sentence, way, how != Said::Beside || named().is_some()))
    });
    said.collect()
}

/// The way that the words of a sentence say, and how. Where gauge is told it may be that of rounds.
fn way_of(words: &Words) -> Option<(Way, Said)> {
    let (setting, how) = ways::said(words)?;
    let (name, value) = setting.sets.iter().next()?;
    let measures = ways::clauses().measures.iter().any(|measure| words.find(measure).is_some());
    (!measures).then_some((Way { name, value }, how))
}

/// What a token of a sentence is part of.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Part {
    /// A number of stitches.
    Fact,
    /// The way the piece is worked.
    Way,
}

/// What a clause of a sentence says of the way the piece is worked.
enum Clause {
    /// This, alone or beside what the piece is.
    Way(&'static Setting, Said),
    /// That it is joined.
    Joined,
    /// Something else, which takes nothing of what the others say.
    Known,
    /// Nobody knows what.
    Prose,
}

/// Reads the way the piece is worked, where all of a sentence says so beside its other facts, or a clause of it does and each
/// of the others is known.
pub(super) fn read_way(sentence: &str, found: &[Token], parts: &mut [Option<Part>], facts: &mut Facts) {
    let whole = || vec![(0..found.len(), clause(sentence, found, parts, 0..found.len()))];
    let apart =
        || clauses(found).into_iter().map(|at| (at.clone(), clause(sentence, found, parts, at))).collect();
    let mut said: Vec<(Range<usize>, Clause)> = whole();
    if !matches!(said.first(), Some((_, Clause::Way(..)))) {
        said = apart();
    }
    if said.iter().any(|(_, clause)| matches!(clause, Clause::Prose)) {
        return;
    }
    let joined = said.iter().any(|(_, clause)| matches!(clause, Clause::Joined | Clause::Way(..)));
    for (at, clause) in said {
        let alone = match clause {
            Clause::Way(setting, how) => {
                let mut told = Settings::default();
                setting.sets.iter().for_each(|(name, value)| {
                    let _ = settings::in_sheet(&mut told, name, value);
                });
                facts.worked = facts.worked.or(told.worked);
                facts.hand = facts.hand.or(told.hand);
                how == Said::Alone
            }
            Clause::Joined => {
                facts.worked = facts.worked.or(Some(Worked::Round));
                true
            }
            // "Being careful not to twist" says how it is joined.
            Clause::Known => joined && twists(found.get(at.clone()).unwrap_or_default()),
            Clause::Prose => false,
        };
        if alone {
            parts.iter_mut().take(at.end).skip(at.start).for_each(|part| *part = part.or(Some(Part::Way)));
        }
    }
}

/// Whether the clause that tells a width at a token says nothing but of what: "cable panel worked over 8 sts", and not "the
/// border is worked over 4 sts at each edge".
pub(super) fn is_whole_width(sentence: &str, found: &[Token], parts: &[Option<Part>], at: usize) -> bool {
    let Some(at) = clauses(found).into_iter().find(|clause| clause.contains(&at)) else { return false };
    let ways_said = ways::settings().iter().flat_map(|setting| setting.says.iter().flatten());
    let known = ways::about().iter().chain(ways::beside()).chain(&ways::clauses().panels).chain(ways_said);
    let only = rest(sentence, found, parts, at.clone()).is_some_and(|rest| rest.consists(known));
    only || matches!(clause(sentence, found, parts, at), Clause::Way(..))
}

/// The words of some tokens that are part of no fact.
fn rest(sentence: &str, found: &[Token], parts: &[Option<Part>], at: Range<usize>) -> Option<Words> {
    let open = found.iter().zip(parts).take(at.end).skip(at.start).filter(|(_, part)| part.is_none());
    let open: Vec<&str> = open.filter_map(|(token, _)| sentence.get(token.start..token.end)).collect();
    Words::of(&open.join(" "))
}

/// What a clause says, its facts aside.
fn clause(sentence: &str, found: &[Token], parts: &[Option<Part>], at: Range<usize>) -> Clause {
    let words = ways::clauses();
    let Some(rest) = rest(sentence, found, parts, at.clone()) else { return Clause::Prose };
    match ways::said(&rest) {
        Some((_, Said::Beside)) | None => {}
        Some((setting, how)) => return Clause::Way(setting, how),
    }
    let mut cursor = Cursor::new(found.get(at.clone()).unwrap_or_default());
    let joins = cursor.take(&words.join)
        && (rest.consists(words.joined.iter().chain(ways::beside())) || twists(cursor.rest()));
    if joins {
        return Clause::Joined;
    }
    let told = parts.iter().take(at.end).skip(at.start).any(Option::is_some);
    let doubted = words.doubts.iter().any(|doubt| rest.find(doubt).is_some());
    let known = (told && !doubted)
        || words.begin.iter().any(|begin| rest.begins(begin))
        || rest.consists(ways::about().iter().chain(ways::beside()));
    if known { Clause::Known } else { Clause::Prose }
}

/// The clauses of a sentence.
fn clauses(found: &[Token]) -> Vec<Range<usize>> {
    let words = ways::clauses();
    let begins = |at: usize| {
        let cursor = Cursor::new(found.get(at..).unwrap_or_default());
        words.begin.iter().any(|begin| cursor.clone().take_phrase(&begin.text()))
    };
    let mut ends: Vec<(usize, usize)> = Vec::new();
    for (at, token) in found.iter().enumerate() {
        let parts = match &token.kind {
            Kind::Mark(mark) => matches!(mark, ',' | ';' | ':' | '(' | ')' | '[' | ']' | '.' | '–' | '—'),
            Kind::Word(word) => words.parting.contains(&word.as_str()) && begins(at + 1),
            Kind::Number(_) | Kind::Ordinal(_) => false,
        };
        if parts {
            ends.push((at, at + 1));
        }
    }
    ends.push((found.len(), found.len()));
    let mut from = 0;
    ends.into_iter()
        .map(|(end, next)| std::mem::replace(&mut from, next)..end)
        .filter(|at| !at.is_empty())
        .collect()
}

/// Whether words speak of stitches that are twisted.
fn twists(found: &[Token]) -> bool {
    let words = ways::clauses();
    found.iter().any(|token| matches!(&token.kind, Kind::Word(word) if words.twist.contains(&word.as_str())))
}
