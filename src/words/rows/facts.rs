//! Facts told before the rows: "Worked flat.", "Cast on 23 sts.", "Multiple of 6 sts + 5.", "Sizes: S (M, L)."

use std::ops::Range;

use super::lex::{Cursor, Kind, Token, tokens};
use super::sized::by_size;
use super::ways;
use crate::pattern::{Hand, Multiple, Worked};
use crate::settings::{self, Settings};
use crate::words::phrases::{Said, Setting, Words};

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

/// A sentence of a line that speaks of the way its piece is worked, in words that can't all be followed.
#[derive(Clone, Copy)]
pub(crate) struct Unfollowed<'t> {
    pub(crate) sentence: &'t str,
    /// The setting that it would be, and its value.
    pub(crate) name: &'static str,
    pub(crate) value: &'static str,
}

/// The first such sentence of a line. Where gauge is told it may be that of rounds.
pub(crate) fn unfollowed(line: &str) -> Option<Unfollowed<'_>> {
    sentences(line).find_map(|sentence| {
        let words = Words::of(sentence)?;
        let (setting, _) = ways::said(&words)?;
        let (name, value) = setting.sets.iter().next()?;
        let mut facts = Facts::default();
        read_sentence(sentence, &mut facts);
        let followed = facts.worked.is_some() || facts.hand.is_some();
        let measures = ways::clauses().measures.iter().any(|measure| words.find(measure).is_some());
        (!followed && !measures).then_some(Unfollowed { sentence, name, value })
    })
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

/// What a token of a sentence is part of.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Part {
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
fn read_way(sentence: &str, found: &[Token], parts: &mut [Option<Part>], facts: &mut Facts) {
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
fn is_whole_width(sentence: &str, found: &[Token], parts: &[Option<Part>], at: usize) -> bool {
    let Some(at) = clauses(found).into_iter().find(|clause| clause.contains(&at)) else { return false };
    let known = ways::about().iter().chain(ways::beside()).chain(&ways::clauses().panels);
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

/// A number of stitches that a sentence tells.
enum Fact {
    /// Stitches to cast on, for each size.
    CastOn(CastOn),
    /// Stitches to pick up, for each size: before the first row they are what it is worked on.
    PickedUp(CastOn),
    Over(u32),
    Multiple(Multiple),
}

/// Stitches to begin with, for each size.
#[derive(Clone)]
struct CastOn {
    counts: Vec<u32>,
    /// Whether they are so many more.
    more: bool,
}

impl Fact {
    const fn is_cast_on(&self) -> bool {
        matches!(self, Self::CastOn(_) | Self::PickedUp(_))
    }
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

/// Whether words place a marker.
fn marks(words: Option<&[Token]>) -> bool {
    let is_marker = |token: &Token| matches!(&token.kind, Kind::Word(word) if ways::clauses().markers.contains(&word.as_str()));
    words.unwrap_or_default().iter().any(is_marker)
}

fn one_fact(cursor: &mut Cursor<'_>) -> Option<Fact> {
    let start = *cursor;
    if let Some(multiple) = multiple(cursor) {
        return Some(Fact::Multiple(multiple));
    }
    *cursor = start;
    let words = ways::clauses();
    let begins =
        |cursor: &mut Cursor<'_>, phrases: &[&str]| phrases.iter().any(|phrase| cursor.take_phrase(phrase));
    if begins(cursor, &words.cast_on) || dotted(cursor, ["c", "o"]) {
        let _ = cursor.take_mark(&[':', '-', '–']);
        let _ = cursor.take(&words.loosely);
        if let Some(counts) = counts(cursor) {
            let more = cursor.take(&["more"]);
            let _ = cursor.take_stitches();
            return Some(Fact::CastOn(CastOn { counts, more: more || cursor.take(&["more"]) }));
        }
        let _ = cursor.take(&["a", "any"]);
        if let Some(multiple) = multiple(cursor) {
            return Some(Fact::Multiple(multiple));
        }
    }
    *cursor = start;
    if begins(cursor, &words.pick_up)
        && let Some(counts) = counts(cursor)
    {
        let more = cursor.take(&["more"]);
        if cursor.take_stitches() {
            return Some(Fact::PickedUp(CastOn { counts, more }));
        }
    }
    *cursor = start;
    // "Over a panel of 7 sts", "over 7 sts".
    let over = cursor.take(&["over"]);
    let _ = cursor.take(&["a", "the"]);
    let panel = cursor.take_all(&["panel", "of"]);
    if (over || panel)
        && let Some(over) = cursor.number()
        && cursor.take_stitches()
    {
        return Some(Fact::Over(over));
    }
    *cursor = start;
    None
}

/// Takes letters with a full stop behind each: "C.O.".
fn dotted(cursor: &mut Cursor<'_>, letters: [&str; 2]) -> bool {
    let before = *cursor;
    let taken = letters.iter().all(|letter| cursor.take(&[*letter]) && cursor.take_mark(&['.']));
    if !taken {
        *cursor = before;
    }
    taken
}

/// "Multiple of 6 sts + 5", "a multiple of 6 stitches plus 5 stitches", "an odd number of sts".
fn multiple(cursor: &mut Cursor<'_>) -> Option<Multiple> {
    if cursor.take_all(&["odd", "number", "of"]) {
        return cursor.take_stitches().then_some(Multiple { of: 2, plus: 1 });
    }
    if cursor.take_all(&["even", "number", "of"]) {
        return cursor.take_stitches().then_some(Multiple { of: 2, plus: 0 });
    }
    if !cursor.take(&ways::clauses().multiple) {
        return None;
    }
    let _ = cursor.take_mark(&[':', '.']);
    let _ = cursor.take(&["of"]);
    let of = cursor.number().filter(|&of| of > 0)?;
    let _ = cursor.take_stitches();
    let mut plus = 0;
    while let Some(more) = beside_multiple(cursor, of)? {
        plus += more;
    }
    // "Minus 1" leaves all but one of the last repeat.
    let plus = if plus < 0 { plus.rem_euclid(i64::from(of)) } else { plus };
    Some(Multiple { of, plus: u32::try_from(plus).ok()? })
}

/// What a multiple of so many is more or less, "+ 2", "(+2) sts", "plus 2 edge sts", "minus 1": none of that, or none that is a
/// number.
fn beside_multiple(cursor: &mut Cursor<'_>, of: u32) -> Option<Option<i64>> {
    let before = *cursor;
    let bracket = cursor.take_mark(&['(', '[']);
    let _ = cursor.take_mark(&[',']);
    let words = ways::clauses();
    let more = cursor.take_mark(&['+']) || cursor.take(&words.plus);
    let less = !more && cursor.take(&words.minus);
    // A dash may part the multiple from something else.
    let dash = !more && !less && cursor.take_mark(&['-', '\u{2212}', '–']);
    let number = cursor.number().filter(|number| !dash || *number < of);
    let Some(number) = number.filter(|_| more || less || dash) else {
        *cursor = before;
        return if more || less { None } else { Some(None) };
    };
    let _ = cursor.take(&words.edges);
    let _ = cursor.take_stitches();
    let _ = cursor.take(&words.edges);
    if bracket && cursor.take_mark(&[')', ']']) {
        let _ = cursor.take_stitches();
    }
    Some(Some(if more { i64::from(number) } else { -i64::from(number) }))
}

/// "1,024": a number in one piece with a comma behind its thousands. Its last three digits could be no size of so few.
fn thousands(cursor: &mut Cursor<'_>) -> Option<u32> {
    let (first, comma, last) = (cursor.token(0)?, cursor.token(1)?, cursor.token(2)?);
    let (Kind::Number(thousands), Kind::Mark(','), Kind::Number(rest)) =
        (&first.kind, &comma.kind, &last.kind)
    else {
        return None;
    };
    let whole = first.end == comma.start && comma.end == last.start && last.end - last.start == 3;
    if !whole || !(1..10).contains(thousands) {
        return None;
    }
    cursor.at += 3;
    Some(thousands * 1000 + rest)
}

/// More sizes than any pattern has.
const MOST_SIZES: usize = 99;

/// "23", "23 (29, 35)", "23, 29, 35": a count for each size.
pub(crate) fn counts(cursor: &mut Cursor<'_>) -> Option<Vec<u32>> {
    if let Some(one) = thousands(cursor) {
        return Some(vec![one]);
    }
    let mut all: Vec<u32> = by_size(cursor, usize::MAX)?.into_iter().collect::<Option<_>>()?;
    // "23, 29, 35 stitches".
    let (mut listed, mut ahead) = (Vec::new(), *cursor);
    while all.len() + listed.len() < MOST_SIZES && (ahead.take_mark(&[',']) || ahead.take(&["and"])) {
        match ahead.number() {
            Some(number) => listed.push((number, ahead)),
            None => break,
        }
    }
    // "100, 2 strands held together" has one number.
    let ends = |last: &Cursor<'_>| match last.kind(0) {
        Some(Kind::Word(_)) => last.clone().take_stitches(),
        _ => true,
    };
    if let Some((_, last)) = listed.last().filter(|(_, last)| ends(last)) {
        *cursor = *last;
        all.extend(listed.iter().map(|(number, _)| number));
    }
    Some(all)
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
