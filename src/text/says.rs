//! What the text behind a label says: stitches, or another row, or a plain piece; and the count it states.

use super::facts::counts;
use crate::words::fabric::{self, Cloth, Fabric, Plain};
use crate::words::rows::again::{self, Again, Last};
use crate::words::rows::facts::sentences;
use crate::words::rows::label::is_row_word;
use crate::words::rows::lex::{Cursor, Kind, Token, tokens};
use crate::words::texts;

/// What a row's text says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Says {
    /// Stitches: the text itself.
    Work,
    /// "As Row 5", "Rep Rows 1-8 twice more".
    As(Again),
    /// "Rep last 2 rows 3 times more": so many rows before these.
    Last(Last),
    /// A fabric: "work as set", "knit the knits and purl the purls", "St st, beg with a k row".
    Fabric(Fabric),
}

/// The count a row's text states.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Stated {
    /// So many stitches after the row, for each size.
    Count(Vec<u32>),
    /// So many more than before it, for each size.
    More(Vec<u32>),
    /// So many fewer than before it, for each size.
    Fewer(Vec<u32>),
}

impl Stated {
    /// Whether it says how many stitches there are, and not by how many they change.
    pub(super) const fn is_count(&self) -> bool {
        matches!(self, Self::Count(_))
    }

    /// Its numbers: one for all sizes, or one for each.
    pub(super) fn numbers(&self) -> &[u32] {
        match self {
            Self::Count(numbers) | Self::More(numbers) | Self::Fewer(numbers) => numbers,
        }
    }
}

/// The longest ending that is looked at for a count, in bytes.
const ENDING: usize = 160;

/// Parts the count from the end of a row's text: bytes of the work, and the count.
pub(super) fn part_count(text: &str) -> (usize, Option<Stated>) {
    let text = text.trim_end();
    let mut from = text.len().saturating_sub(ENDING);
    while !text.is_char_boundary(from) {
        from += 1;
    }
    let ending = &text[from..];
    for (at, c) in ending.char_indices() {
        let before = &text[..from + at];
        let apart = before.is_empty() || before.ends_with(char::is_whitespace) || before.ends_with('.');
        let opens = match c {
            '(' | '[' | '.' | ';' | ':' | '—' | '=' | '>' | '→' | '⇒' => true,
            '-' | '–' => apart,
            // "K2tog, 19 sts", and not inside of brackets.
            ',' => !text.ends_with([')', ']']) || ending[at..].contains(['(', '[']),
            _ => false,
        };
        if !opens {
            continue;
        }
        if let Some(stated) = stated(&ending[at + c.len_utf8()..]) {
            let kept = match c {
                // "K8 ..... 8 sts".
                '.' => before.trim_end_matches('.').len() + 1,
                '>' => before.trim_end_matches('=').len(),
                _ => from + at,
            };
            return (kept, Some(stated));
        }
    }
    (text.len(), None)
}

/// Parts a bare number in brackets, "K9. (9)", from the end of a row's text: bytes of the work, and the count. Where
/// there are sizes it may be the number of the second one.
pub(super) fn part_bare_count(text: &str) -> Option<(usize, Stated)> {
    let text = text.trim_end().trim_end_matches('.').trim_end();
    let (inside, open) = match text.strip_suffix(')') {
        Some(inside) => (inside, '('),
        None => (text.strip_suffix(']')?, '['),
    };
    let at = inside.rfind(open)?;
    let digits = inside.get(at + 1..)?.trim();
    let number = digits.bytes().all(|byte| byte.is_ascii_digit()).then(|| digits.parse().ok()).flatten()?;
    let work = text.get(..at)?.trim_end();
    // "[K1, p1] (4)" may say how often.
    (number > 0 && !work.is_empty() && !work.ends_with([')', ']', '*']))
        .then(|| (at, Stated::Count(vec![number])))
}

fn stated(ending: &str) -> Option<Stated> {
    let said = texts();
    let found = tokens(ending);
    let mut cursor = Cursor::new(&found);
    let mut stated = None;
    while !cursor.at_end() {
        while cursor.take(&said.before_count) {}
        let named = cursor.take_all(&["st", "count"]) || cursor.take_all(&["stitch", "count"]);
        // "Sts: 9".
        let counted = named || cursor.take(&["sts", "stitches"]) && cursor.take_mark(&[':']);
        let _ = cursor.take_mark(&[':']);
        // "(+2 sts)".
        let more = cursor.take_mark(&['+']);
        let fewer = !more && stated.is_none() && is_less(&cursor) && cursor.take_mark(&['-', '\u{2212}']);
        let numbers = counts(&mut cursor)?;
        if !cursor.take_stitches() && !counted {
            return None;
        }
        let _ = cursor.take(&["have", "has", "been"]) && cursor.take(&["been"]);
        let change = if more || cursor.take(&["inc", "increased", "incd"]) {
            Some(Stated::More(numbers.clone()))
        } else if fewer || cursor.take(&["dec", "decreased", "decd"]) {
            Some(Stated::Fewer(numbers.clone()))
        } else {
            None
        };
        if change.is_some() && cursor.take_mark(&['\'', '’', '.']) {
            let _ = cursor.take(&["d"]);
        }
        while lies_on_needles(&mut cursor)
            || cursor.take(&said.behind_count)
            || cursor.take_mark(&[')', ']', '.', ';', ',', '(', '['])
        {}
        // "(2 sts inc'd; 25 sts)": the total tells more.
        stated = match (stated, change) {
            (Some(Stated::Count(total)), Some(_)) => Some(Stated::Count(total)),
            (_, Some(change)) => Some(change),
            (_, None) => Some(Stated::Count(numbers)),
        };
    }
    stated
}

/// Takes how the stitches that were counted lie: "4 on each needle", ": 4 sts per needle", "3 needles".
fn lies_on_needles(cursor: &mut Cursor<'_>) -> bool {
    let said = texts();
    let before = *cursor;
    let _ = cursor.take_mark(&[':', '-', '–', '—']);
    if cursor.number().is_some() {
        let counted = cursor.take_stitches();
        let each = said.on_each.iter().any(|each| cursor.take_phrase(each));
        if (each || !counted) && cursor.take(&said.needles) {
            return true;
        }
    }
    *cursor = before;
    false
}

/// Whether a minus sign stands right before a number, "(-2 sts)"; a dash that only leads to a count has room behind it.
fn is_less(cursor: &Cursor<'_>) -> bool {
    matches!((cursor.token(0), cursor.token(1)), (Some(sign), Some(number))
        if sign.end == number.start && matches!(number.kind, Kind::Number(_)))
}

/// What a row's text says, its count parted off.
pub(super) fn says(work: &str) -> Says {
    if let Some(again) = again::read(work) {
        return Says::As(again);
    }
    if let Some(last) = again::read_last(work) {
        return Says::Last(last);
    }
    // Anything else that is no stitches is short.
    if work.len() > 200 {
        return Says::Work;
    }
    let found: Vec<Token> = tokens(work).into_iter().filter(|token| token.kind != Kind::Mark('.')).collect();
    let words: Vec<&str> = found
        .iter()
        .filter_map(|token| match &token.kind {
            Kind::Word(word) => Some(word.as_str()),
            _ => None,
        })
        .collect();
    let marks = |marks: &[char]| {
        found.iter().any(|token| match &token.kind {
            Kind::Number(_) => true,
            Kind::Mark(mark) => marks.contains(mark),
            _ => false,
        })
    };
    let by_faces = || fabric::by_faces(&words).filter(|_| !marks(&['*', '[', '(']));
    let as_set = || (fabric::is_as_set(&words) && !marks(&[',', '*', '[', '('])).then_some(Fabric::AsSet);
    let plain = || {
        let plain = plain_rows(work).map(|(_, plain)| plain).or_else(|| fabric::plain(&words));
        plain.map(Fabric::Plain)
    };
    by_faces().or_else(as_set).or_else(plain).map_or(Says::Work, Says::Fabric)
}

/// A sentence without a label that tells of a number of plain rows: "Knit 6 rows", "Work 4 rows in St st, beg with a
/// k row".
pub(super) fn plain_rows(sentence: &str) -> Option<(u32, Plain)> {
    if sentence.len() > 120 {
        return None;
    }
    let found: Vec<Token> =
        tokens(sentence).into_iter().filter(|token| !matches!(token.kind, Kind::Mark('.' | ','))).collect();
    let mut cursor = Cursor::new(&found);
    let _ = cursor.take(&["then", "now"]);
    if let Some(cloth) = match cursor.word(0)? {
        "k" | "knit" => Some(Cloth::Knit),
        "p" | "purl" => Some(Cloth::Purl),
        _ => None,
    } {
        cursor.at += 1;
        let number = rows_counted(&mut cursor)?;
        return cursor.at_end().then_some((number, Plain { cloth, knit_first: None }));
    }
    // "Work 4 rows in St st", "Beg with a k row, work 4 rows in St st", "Work in garter st for 6 rows".
    let (mut words, mut number) = (Vec::new(), None);
    while !cursor.at_end() {
        if let Some(rows) = rows_counted(&mut cursor) {
            if number.replace(rows).is_some() {
                return None;
            }
        } else {
            words.push(cursor.word(0).filter(|word| *word != "for")?);
            cursor.at += 1;
        }
    }
    Some((number?, fabric::plain(&words)?))
}

/// Rows that a sentence without a label tells: how many, and in which colour, by its words, where one is said: "Knit 2
/// rows in navy", "With navy, purl 1 row". Whether the words name a colour is for the reader of the pattern to know.
pub(super) fn told_rows(sentence: &str) -> Option<(u32, Option<&str>)> {
    if let Some((count, _)) = plain_rows(sentence) {
        return Some((count, None));
    }
    let (rest, colour) = apart(sentence.trim().trim_end_matches('.'))?;
    let brief = (1..=3).contains(&colour.split_whitespace().count());
    let (count, _) = plain_rows(rest).filter(|_| brief)?;
    Some((count, Some(colour)))
}

/// A sentence without the words "in ...", "with ...", "using ..." that it ends or begins with, and these words.
fn apart(sentence: &str) -> Option<(&str, &str)> {
    const LINKS: [&str; 3] = ["in", "with", "using"];
    let (first, after) = sentence.split_once(' ')?;
    if LINKS.iter().any(|link| first.eq_ignore_ascii_case(link)) {
        let (colour, rest) = after.split_once(',')?;
        return Some((rest, colour));
    }
    let at = LINKS.iter().filter_map(|link| sentence.rfind(&format!(" {link} "))).max()?;
    let (rest, tail) = (sentence.get(..at)?, sentence.get(at + 1..)?);
    Some((rest, tail.split_once(' ')?.1))
}

/// Whether a line without a label speaks of rows to be worked: "Work 4 rows in the border stitch", "Beginning with a RS
/// row, knit 2 rows", "Purl all even rows", or of how they are shaped: "Dec 1 st at each end of next row".
pub(super) fn speaks_of_rows(line: &str) -> bool {
    line.len() <= LONGEST_TOLD
        && sentences(line).filter(|sentence| sentence.len() <= 200).any(|sentence| {
            let found = tokens(sentence);
            counts_rows(Cursor::new(&found)) || shapes(Cursor::new(&found)) || again(Cursor::new(&found))
        })
}

/// The longest line that is looked at for sentences on rows, in bytes.
const LONGEST_TOLD: usize = 2_000;

/// Whether a line has rows worked again, and says how often: "Work Rows 1 and 2 5 times", "Repeat these two rows 6 times
/// more (14 rows in all)".
pub(super) fn repeats_rows(line: &str) -> bool {
    line.len() <= LONGEST_TOLD && sentences(line).filter(|sentence| sentence.len() <= 200).any(repeats)
}

fn repeats(sentence: &str) -> bool {
    let found = tokens(sentence);
    let mut cursor = Cursor::new(&found);
    let _ = cursor.take(&["then", "now"]);
    let repeats = cursor.take(&["rep", "repeat"]);
    if !repeats && !cursor.take(&["work"]) {
        return false;
    }
    let _ = cursor.take_mark(&['.']);
    while cursor.take(&["the", "these", "last", "previous", "from"]) || cursor.number().is_some() {}
    if cursor.take_rows().is_none() {
        return false;
    }
    while !cursor.at_end() {
        if again::times(&mut cursor).is_some() {
            return true;
        }
        cursor.at += 1;
    }
    false
}

fn counts_rows(mut cursor: Cursor<'_>) -> bool {
    // The verb stands first, or behind a clause that ends with a comma.
    let mut begins = true;
    loop {
        let _ = begins && cursor.take(&["then", "now"]);
        if begins
            && cursor.take(&[
                "k", "knit", "p", "purl", "work", "cont", "continue", "inc", "increase", "dec", "decrease",
            ])
        {
            break;
        }
        // All stitches are bound off behind the rows.
        if begins && cursor.take(&["bind", "cast"]) && cursor.take(&["off"]) && cursor.number().is_some() {
            break;
        }
        if cursor.at_end() {
            return false;
        }
        begins = cursor.take_mark(&[',']);
        cursor.at += usize::from(!begins);
    }
    while !cursor.at_end() {
        let many = cursor.take(&["all", "every", "each", "next", "foll", "following"])
            && (0..5).map_while(|ahead| cursor.word(ahead)).any(is_row_word);
        if many || rows_counted(&mut cursor).is_some() {
            return true;
        }
        cursor.at += 1;
    }
    false
}

/// Whether a sentence has a row of shaping worked again, "Rep dec row on next row".
fn again(mut cursor: Cursor<'_>) -> bool {
    cursor.take(&["rep", "repeat"]) && {
        let _ = cursor.take(&["the", "this", "last"]);
        cursor.take(&texts().shapes) && cursor.take_rows().is_some()
    }
}

/// Whether a sentence tells how rows are shaped: "Inc 1 st at each end of next row", "Decrease every 4th row", "Cast off 3
/// sts at beg of next 2 rows", "Cont in this way until ...", "Work even for 5 cm". To bind off all there is shapes none.
fn shapes(mut cursor: Cursor<'_>) -> bool {
    let said = texts();
    let mut begins = true;
    while !cursor.at_end() {
        let (before, first) = (cursor, begins);
        begins = cursor.take_mark(&[',', ';']) || (first && cursor.take(&["then", "now", "and"]));
        if begins {
            continue;
        }
        if cursor.take(&said.shapes) {
            let counted = cursor.number().is_some() && cursor.take_stitches();
            if counted || first {
                return true;
            }
        }
        cursor = before;
        let ends = ["bind", "cast", "binding", "casting"].iter().any(|verb| cursor.take_all(&[verb, "off"]));
        if (ends || cursor.take(&["bo"]))
            && cursor.number().is_some()
            && (0..12)
                .filter_map(|ahead| cursor.word(ahead))
                .any(|word| said.shaping_places.iter().any(|place| place == word))
        {
            return true;
        }
        cursor = before;
        if first && cursor.take(&["cont", "continue", "work", "keep", "k", "knit"]) {
            let _ = cursor.take(&["to", "on"]) | cursor.take(&["work", "working", "knit", "shaping"]);
            if said.evenly.iter().any(|even| cursor.take_phrase(even)) {
                return true;
            }
        }
        cursor = before;
        cursor.at += 1;
    }
    false
}

/// Whether a line is nothing but a count, "= 13 sts", "(13 sts)".
pub(super) fn is_count(line: &str) -> bool {
    count_of(line).is_some()
}

/// The count that a line is, if it is nothing else: for each size.
pub(super) fn count_of(line: &str) -> Option<Vec<u32>> {
    let line = line.trim();
    let alone = line.trim_start_matches(['=', '(', '[', '-', '–', '—', ' ']);
    let may_be = alone.starts_with(|c: char| c.is_ascii_digit()) && alone.len() < 60;
    match may_be.then(|| stated(alone)).flatten()? {
        Stated::Count(counts) => Some(counts),
        _ => None,
    }
}

/// "6 rows", "4 more rows": how many.
fn rows_counted(cursor: &mut Cursor<'_>) -> Option<u32> {
    let before = *cursor;
    let _ = cursor.take(&["for"]);
    let number = cursor.number().filter(|number| (1..=999).contains(number));
    let _ = cursor.take(&["more"]);
    if number.is_some() && cursor.take_rows().is_some() {
        return number;
    }
    *cursor = before;
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: standards.md section 5 (W2, W9, W10, W11), domain.md section 5.
    #[test]
    fn counts_are_parted_off() {
        for (text, work, stated) in [
            ("K2, yo, k2. (5 sts)", "K2, yo, k2.", Some(Stated::Count(vec![5]))),
            ("K2, yo, k2 [5 sts].", "K2, yo, k2", Some(Stated::Count(vec![5]))),
            ("K2, yo, k2 — 5 sts", "K2, yo, k2", Some(Stated::Count(vec![5]))),
            ("K2, yo, k2. 5 sts.", "K2, yo, k2.", Some(Stated::Count(vec![5]))),
            (
                "K2. Yarn over. Knit two. Twenty-five stitches.",
                "K2. Yarn over. Knit two.",
                Some(Stated::Count(vec![25])),
            ),
            ("K2. [10 (15, 20) sts]", "K2.", Some(Stated::Count(vec![10, 15, 20]))),
            ("K2. 10, 15, 20 stitches.", "K2.", Some(Stated::Count(vec![10, 15, 20]))),
            ("K2, k2tog. (2 sts dec'd)", "K2, k2tog.", Some(Stated::Fewer(vec![2]))),
            ("K2. (24 sts rem)", "K2.", Some(Stated::Count(vec![24]))),
            ("K2, yo. (+1 st)", "K2, yo.", Some(Stated::More(vec![1]))),
            ("K2tog [-1 st]", "K2tog", Some(Stated::Fewer(vec![1]))),
            ("K2 -24 sts", "K2", Some(Stated::Count(vec![24]))),
            ("K2 (sts: 9)", "K2", Some(Stated::Count(vec![9]))),
            ("K2 => 9 sts", "K2", Some(Stated::Count(vec![9]))),
            ("K2 → 9 sts", "K2", Some(Stated::Count(vec![9]))),
            ("*K2, p2; rep from * to last 3 sts.", "*K2, p2; rep from * to last 3 sts.", None),
            ("K2, (k1, p1) in next 2 sts", "K2, (k1, p1) in next 2 sts", None),
            ("K3 sts.", "K3 sts.", None),
        ] {
            let (length, found) = part_count(text);
            assert_eq!((text[..length].trim_end(), found), (work, stated), "{text}");
        }
    }

    /// Source: domain.md section 5, standards.md W12, contract.md on written rows.
    #[test]
    fn rows_may_be_told_by_others() {
        let plain = |cloth, knit_first| Says::Fabric(Fabric::Plain(Plain { cloth, knit_first }));
        let again = |rows, times| Says::As(Again { rows, times, sure: true, growth: Vec::new() });
        for (text, expected) in [
            ("As Row 5.", again(vec![5], None)),
            ("As 5th row.", again(vec![5], None)),
            ("Rep Rows 1-3 twice more.", again(vec![1, 2, 3], Some(2))),
            ("Repeat Rows 3 and 4.", again(vec![3, 4], None)),
            ("Work as set.", Says::Fabric(Fabric::AsSet)),
            ("Knit the knits and purl the purls.", Says::Fabric(Fabric::Faces)),
            ("K the k sts and p the p sts as they face you", Says::Fabric(Fabric::Faces)),
            ("Work all sts as they appear.", Says::Fabric(Fabric::Faces)),
            ("K3, work sts as they appear to last 3 sts, k3", Says::Work),
            ("Purl the knits and knit the purls.", Says::Fabric(Fabric::AgainstFaces)),
            ("K the p sts and p the k sts", Says::Fabric(Fabric::AgainstFaces)),
            ("Purl the purls and knit the knits.", Says::Fabric(Fabric::Faces)),
            ("K, p, p, k", Says::Work),
            ("Work in patt to end of row.", Says::Fabric(Fabric::AsSet)),
            ("Work in patt decreasing at each end", Says::Work),
            ("Work in St st, beg with a k row.", plain(Cloth::Stocking, Some(true))),
            ("Rev St st", plain(Cloth::Reverse, None)),
            ("Work 4 rows in garter st.", plain(Cloth::Garter, None)),
            ("Knit.", Says::Work),
            ("K2, yo, k2", Says::Work),
            ("As you like", Says::Work),
        ] {
            assert_eq!(says(text), expected, "{text}");
        }
        assert_eq!(plain_rows("Knit 6 rows."), Some((6, Plain { cloth: Cloth::Knit, knit_first: None })));
        let begins = Plain { cloth: Cloth::Stocking, knit_first: Some(true) };
        assert_eq!(plain_rows("Work 4 rows in St st, beg with a k row."), Some((4, begins)));
        assert_eq!(plain_rows("Knit 6 rows in the colour you like."), None);
        for (sentence, told) in [
            ("Knit 2 rows in navy.", Some((2, Some("navy")))),
            ("With dark red, purl 1 row.", Some((1, Some("dark red")))),
            ("Work 4 rows in St st with CC", Some((4, Some("CC")))),
            ("Knit 3 rows.", Some((3, None))),
            ("Knit 6 rows in the colour you like.", None),
            ("Work 4 rows in the border stitch.", None),
        ] {
            assert_eq!(told_rows(sentence), told, "{sentence}");
            assert!(told.is_some() || speaks_of_rows(sentence), "{sentence}");
        }
        // Common practice, no published source.
        for (line, speaks) in [
            ("Knit until it measures 6 cm.", false),
            ("Dec 1 st at each end of next and every foll RS row until 4 sts rem.", true),
            ("Inc 1 st at each end of next row.", true),
            ("Keeping patt correct, inc one stitch at each end of every 4th row.", true),
            ("Work in patt decreasing 1 st at beg of next row.", true),
            ("Change to smaller needles. Decrease every 4th row 3 times.", true),
            ("Cast off 3 sts at beg of next 2 rows.", true),
            ("BO 3 (4) sts at the beginning of every RS row.", true),
            ("Bind off.", false),
            ("Bind off all 20 sts.", false),
            ("Bind off rem 4 sts.", false),
            ("Cast off loosely at the end.", false),
            ("Cont in this way until piece measures 10 cm.", true),
            ("Continue to work straight for 5 cm.", true),
            ("Work even for 5 cm.", true),
            ("Rep Rows 1 and 2 until piece measures 10 cm.", false),
            ("The increase is hard to see.", false),
            ("Continue in this colour.", false),
        ] {
            assert_eq!(speaks_of_rows(line), speaks, "{line}");
        }
    }
}
