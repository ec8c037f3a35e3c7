//! What lines that are no rows are: titles, heads of sections, entries of a list, sentences that close rows.

use super::draft::two_terms;
use super::{Entry, Part, Role};
use crate::document::Line;
use crate::stitch::Stitches;
use crate::text::facts::{self, Facts, Told};
use crate::text::says::told_rows;
use crate::text::sizes::of_first;
use crate::text::stated::{is_count, part_count};
use crate::words::rows::head::{Head, equates, list_in_line, section_head, title_of};
use crate::words::rows::label::is_row_word;
use crate::words::rows::lex::{Cursor, Kind, tokens};
use crate::words::{explained, loops, reads, stands_for_colour, texts, works};

/// Which of the lines before the first row is the title: the first heading, else the first line of prose that opens
/// them.
pub(super) fn title(parts: &[Part]) -> Option<usize> {
    let first = parts.iter().position(|part| part.role != Role::Blank)?;
    let heading = parts.iter().position(|part| part.role == Role::Heading);
    let tells = |part: &Part| {
        let mut facts = Facts::default();
        facts::read(&part.line.text, &mut facts);
        let told = parts.iter().any(|part| {
            let mut facts = Facts::default();
            part.role == Role::Fact
                && facts::read(&part.line.text, &mut facts) != Told::Nothing
                && !facts.cast_on.is_empty()
        });
        // "8 sts", where nothing else says how many.
        !facts.cast_on.is_empty() || facts.multiple.is_some() || (is_count(&part.line.text) && !told)
    };
    let opening = parts[first].line.text.trim();
    let is_called = title_of(opening) != opening;
    if !is_called && (list_in_line(opening).is_some() || equates(opening)) {
        return heading;
    }
    heading.or_else(|| {
        (parts[first].role == Role::Prose && !tells(&parts[first])).then_some(first).or_else(|| {
            // A title may read like something else: "Notes", "Cast on 5".
            let stands_alone = parts.get(first + 1).is_some_and(|next| next.role == Role::Blank)
                && parts[first + 1..].iter().any(|part| part.role == Role::Fact);
            stands_alone.then_some(first)
        })
    })
}

/// Whether the first line of a text is its title, whatever it reads like, by the lines behind it: it stands alone, and
/// what the pattern is worked on is told under it, before any row.
pub(super) fn opens_as_title(rest: &[Line]) -> bool {
    let alone = rest.first().is_some_and(Line::is_blank);
    let next = rest.iter().find(|line| !line.is_blank());
    alone && next.is_some_and(|next| facts::read(&next.text, &mut Facts::default()) == Told::Wholly)
}

/// Whether lines between two rows begin another pattern: a heading, a title, a fact. A sentence that closes rows, "Rep
/// Rows 1-8 until it is long enough", begins none.
pub(super) fn begins_pattern(parts: &[Part]) -> bool {
    parts.iter().any(|part| {
        let text = part.line.text.trim();
        let first = text.split_whitespace().next().unwrap_or_default().to_lowercase();
        match part.role {
            Role::Blank | Role::Entry => false,
            Role::Prose => {
                !text.ends_with('.') && !texts().closes.contains(&first) && told_rows(text).is_none()
            }
            Role::Heading | Role::Notes | Role::ListHead | Role::RowsHead | Role::Fact => true,
        }
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

pub(super) fn is_notes_head(part: &Part) -> bool {
    part.role == Role::Notes && matches!(section_head(part.line.text.trim()), Some(Head::Notes))
}

/// "MB: make bobble", "MB = make bobble", "MB - make bobble", "Knit two together. Knit two stitches together."
pub(super) fn entry(text: &str, line: &Line) -> Option<Entry> {
    let mark = [": ", " = ", " – ", " - ", ". "];
    let at = mark.iter().filter_map(|mark| text.find(mark).map(|at| (at, mark.len()))).min()?;
    let (term, meaning) = (text.get(..at.0)?, text.get(at.0 + at.1..)?);
    let (term, meaning) = (term.trim(), meaning.trim());
    (!term.is_empty() && !meaning.is_empty() && term.chars().count() <= 100).then(|| Entry {
        term: term.to_owned(),
        meaning: meaning.to_owned(),
        line: line.clone(),
    })
}

/// Whether a line behind rows explains an abbreviation, "MB: (k1, yo, k1) in next st, turn, p3, turn, sk2p", though no heading
/// says so: it stands in capitals or before an equals sign, and the words behind it tell a stitch.
pub(super) fn explains(text: &str, line: &Line) -> bool {
    let Some(Entry { term, meaning, .. }) = entry(text, line) else { return false };
    let capital =
        |term: &str| term.len() > 1 && !term.contains(|c: char| c.is_lowercase() || c.is_whitespace());
    let capitals = capital(&term) || two_terms(&term).is_some_and(|(one, two)| capital(one) || capital(two));
    let equals = text.get(term.len()..).is_some_and(|rest| rest.trim_start().starts_with('='));
    let named = term.contains(char::is_alphabetic)
        && !texts().next.iter().any(|next| next.eq_ignore_ascii_case(&term))
        && !matches!(&*term, "RS" | "WS")
        && !stands_for_colour(&term)
        && !is_needle(text)
        && !is_unnumbered(text);
    let mut stitches = Stitches::built_in();
    (capitals || equals)
        && named
        && (explained(&meaning, &mut stitches).is_some() || loops(&meaning, &mut stitches).is_some())
}

/// Where a sentence begins behind the work of a row that only tells how to go on, "Rep Rows 1 and 2 until ...", that all is
/// bound off, or something of the row.
pub(super) fn closing(text: &str, work: usize) -> Option<usize> {
    let bracketed = text.match_indices(" (").map(|(at, _)| at + 1);
    let remark = bracketed.chain(text.match_indices(". ").map(|(at, mark)| at + mark.len()));
    let remark = remark.filter(|&at| at > work && text.get(at..).is_some_and(is_remark)).min();
    let told = told_on(text, work);
    remark.into_iter().chain(told).min()
}

/// Whether a sentence, to the end of its line, says something of the row before it and works nothing: "This is the buttonhole
/// row.", "(Note: there is a hole here now.)". What states a count says more.
pub(super) fn is_remark(sentence: &str) -> bool {
    const LONGEST: usize = 200;
    if sentence.len() > LONGEST {
        return false;
    }
    let whole = sentence.trim_end().trim_end_matches('.');
    let inside = match whole.strip_prefix('(') {
        Some(inside) => inside.strip_suffix(')').filter(|inside| !inside.contains(['(', ')'])),
        None => Some(whole),
    };
    let Some(inside) = inside.map(str::trim_start).filter(|inside| inside.starts_with(char::is_uppercase))
    else {
        return false;
    };
    let said = texts();
    let lower = inside.to_lowercase();
    let mut words = lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    let begins = words.next().is_some_and(|first| said.remarks.iter().any(|known| known == first));
    begins
        && part_count(sentence).1.is_none()
        && words.all(|word| !said.remark_doubts.iter().any(|doubt| doubt == word) && !reads(word))
}

/// Where a sentence begins that only tells how to go on, or that all is bound off.
fn told_on(text: &str, work: usize) -> Option<usize> {
    [". ", ") ", "] ", "; "]
        .iter()
        .flat_map(|mark| text.match_indices(mark).map(|(at, mark)| at + mark.len()))
        .filter(|&at| at > work)
        .filter(|&at| {
            let rest = text.get(at..).unwrap_or_default();
            let mut words = rest.split_whitespace();
            if binds_off(rest) {
                return true;
            }
            let repeats = matches!(words.next(), Some("Rep" | "Rep." | "Repeat"));
            let head = words.find(|word| !matches!(*word, "the" | "from")).unwrap_or_default().to_lowercase();
            repeats && (is_row_word(&head) || matches!(head.as_str(), "these" | "last"))
        })
        .min()
}

/// Whether a sentence, to the end of its line, says that all stitches are bound off, and nothing else: "BO.", "Bind off all
/// sts loosely."
fn binds_off(sentence: &str) -> bool {
    const LONGEST: usize = 200;
    if sentence.len() > LONGEST || !sentence.starts_with(char::is_uppercase) {
        return false;
    }
    let found = tokens(sentence);
    let mut cursor = Cursor::new(&found);
    let begins =
        cursor.take(&["bo"]) || cursor.take_all(&["bind", "off"]) || cursor.take_all(&["cast", "off"]);
    while cursor.take(&texts().behind_bound_off) || cursor.take_mark(&['.']) {}
    begins && cursor.at_end()
}

/// Whether a line between rows works stitches behind a short name, "Needle 3: K8.", as a row does.
pub(super) fn looks_like_row(text: &str) -> bool {
    text.split_once(':').is_some_and(|(name, work)| {
        let work = of_first(work.get(..part_count(work).0).unwrap_or_default());
        let next = || texts().next.iter().any(|next| next.eq_ignore_ascii_case(name.trim()));
        name.chars().count() <= 40 && (is_numbered(name) || next()) && reads(&work)
    })
}

/// Where the work begins in a line that calls a row by a short name with another mark than a colon behind it: "Last row - K2tog,
/// k3", "Row 3> K8".
pub(super) fn called_otherwise(text: &str) -> Option<usize> {
    let begin = text.char_indices().nth(80).map_or(text, |(end, _)| text.get(..end).unwrap_or_default());
    let found = tokens(begin);
    let mut cursor = Cursor::new(&found);
    while cursor.take_rows().is_none() {
        // A name is words and numbers, and short.
        cursor.kind(0).filter(|kind| cursor.at < 5 && !matches!(kind, Kind::Mark(_)))?;
        cursor.at += 1;
    }
    let _ = cursor.number();
    let marked = cursor.at;
    while matches!(cursor.kind(0), Some(Kind::Mark(mark)) if !matches!(mark, '(' | '[' | ',')) {
        cursor.at += 1;
    }
    let work = cursor.token(0).filter(|_| cursor.at > marked)?.start;
    works_alone(text.get(work..)?).then_some(work)
}

/// Whether a sentence of a line that names rows works stitches in one of its parts, "On the next row k2tog, k3."
pub(super) fn works_in_part(text: &str) -> bool {
    const LONGEST: usize = 400;
    let in_part = |sentence: &str| {
        let found = tokens(sentence);
        let behind: Vec<&str> = (0..found.len())
            .filter_map(|at| {
                let mut cursor = Cursor::new(found.get(at..)?);
                cursor.take_rows()?;
                let _ = cursor.number();
                sentence.get(cursor.token(0)?.start..)
            })
            .collect();
        let parts = sentence.split([',', ';', ':']).filter(|_| !behind.is_empty());
        parts.chain(behind.iter().copied()).any(works)
    };
    text.len() <= LONGEST && facts::sentences(text).any(in_part)
}

/// Whether the first sentence of a line works stitches without any label, "K2, (yo, k2tog) 3 times, k2."
pub(super) fn works_alone(text: &str) -> bool {
    let first = facts::sentences(text).next().unwrap_or_default();
    works(&of_first(first.get(..part_count(first).0).unwrap_or_default()))
}

/// Whether words hold a number: "needle 3", "first needle".
fn is_numbered(words: &str) -> bool {
    tokens(words).iter().any(|token| matches!(token.kind, Kind::Number(_) | Kind::Ordinal(_)))
}

/// The same before the first row, where much else is numbered: "First needle: K8." in the words of older books.
pub(super) fn is_needle(text: &str) -> bool {
    let word = |name: &str| {
        name.split_whitespace().any(|word| word.eq_ignore_ascii_case("needle"))
            || tokens(name).first().is_some_and(|first| first.kind == Kind::Word("n".to_owned()))
    };
    looks_like_row(text) && text.split_once(':').is_some_and(|(name, _)| word(name))
}

/// Whether a row says on which needle its first stitches lie: "Rnd 3: Needle 1: K8.", "Rnd 3: N1: K8."
pub(super) fn says_needle(row: &str) -> bool {
    row.match_indices(": ").any(|(at, mark)| row.get(at + mark.len()..).is_some_and(is_needle))
}

/// Bytes of what says at the beginning of a line that it is for all sizes: "All sizes: Row 3: K8."
pub(super) fn for_all_sizes(text: &str) -> usize {
    let said = |(lead, _): &(&str, &str)| {
        let words: Vec<&str> = lead.split_whitespace().collect();
        matches!(words[..], [all, sizes] if all.eq_ignore_ascii_case("all") && sizes.eq_ignore_ascii_case("sizes"))
    };
    text.split_once(':')
        .filter(said)
        .map_or(0, |(lead, rest)| lead.len() + 1 + rest.len() - rest.trim_start().len())
}

/// Whether a line says that what follows it is for some of the sizes: "Sizes M and L only:", "For size S only", be rows
/// in it or not.
pub(super) fn for_some_sizes(text: &str) -> bool {
    let text = text.trim().trim_end_matches([':', '.']).to_lowercase();
    let text = text.split(':').next().unwrap_or_default();
    let words: Vec<&str> = text.split_whitespace().collect();
    let lead = usize::from(words.first() == Some(&"for"));
    let named = matches!(words.get(lead), Some(&("size" | "sizes")));
    named && words.len() <= 12 && (lead == 1 || words.last() == Some(&"only"))
}

/// Whether a line works a row that it gives no number: "Set-up row: Purl.", "Dec rnd: *K2, k2tog; rep from *."
pub(super) fn is_unnumbered(text: &str) -> bool {
    text.split_once(':').is_some_and(|(label, work)| {
        let label = label.to_lowercase();
        let mut words = label.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
        label.chars().count() <= 40 && !work.trim().is_empty() && words.any(is_row_word)
    })
}
