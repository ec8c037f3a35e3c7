//! What the text behind a label says: stitches, or another row, or a plain piece.

use crate::words::fabric::{self, Cloth, Fabric, Plain};
use crate::words::rows::again::{self, Again, Last};
use crate::words::rows::lex::{Cursor, Kind, Token, tokens};

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

/// "6 rows", "4 more rows": how many.
pub(super) fn rows_counted(cursor: &mut Cursor<'_>) -> Option<u32> {
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
        }
    }
}
