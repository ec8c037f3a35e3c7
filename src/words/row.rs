//! The text of a row to its items: runs, groups, repeats, "to end" and "to last n sts".
//!
//! ```text
//! row    := item ("," item)* "."?
//! item   := "*" item ("," item)* ";" "rep from *" extent
//!         | ("[" | "(") item ("," item)* ("]" | ")") (extent | "in next st")
//!         | words extent?
//! extent := n "times" | "twice" | "to end" | "to last" n "sts" | n "more times" | n "times more"
//! ```
//!
//! A row that is a single stitch without a number ("Purl.") is worked to the end.

use std::ops::Range;

use super::{PHRASES, boil_words, counted, squeeze};
use crate::stitch::Stitches;
use crate::written::{Extent, Item};

/// Why a row can't be read, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RowError {
    /// The bytes of the text that can't be read.
    pub at: Range<usize>,
    /// What is the matter with them.
    pub mistake: RowMistake,
}

/// What is the matter with some words of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RowMistake {
    /// They name no stitch.
    UnknownWords,
    /// A bracket or an asterisk is opened and not closed, or closed and not opened.
    Unclosed,
    /// A group that is not said to be worked any number of times.
    NoExtent,
    /// There is nothing to work.
    Empty,
}

/// Groups inside groups beyond this depth are no knitting.
const DEEPEST: usize = 16;

/// Reads the text of a row: "K3, p to last 3 sts, k3", "*K1, p1; rep from * to last st, k1".
///
/// # Errors
/// The first words that can't be read, with their place in the text.
pub fn row(text: &str, stitches: &mut Stitches) -> Result<Vec<Item>, RowError> {
    let mut parser = Parser { tokens: tokens(text), at: 0, stitches };
    let mut items = parser.items(End::Row, 0)?;
    if items.is_empty() {
        return Err(RowError { at: 0..text.len(), mistake: RowMistake::Empty });
    }
    if let [Item::Run { stitch, extent }] = &mut items[..]
        && *extent == Extent::Times(1)
        && !text.chars().any(|c| c.is_ascii_digit())
        && parser.stitches.get(*stitch).words(crate::stitch::Terms::Us).bare.is_some()
    {
        *extent = Extent::ToLast(0);
    }
    Ok(items)
}

#[derive(Clone, Debug, PartialEq)]
enum Kind {
    Word(String),
    Comma,
    Semicolon,
    Star,
    Open(char),
    Close(char),
}

#[derive(Clone, Debug)]
struct Token {
    kind: Kind,
    at: Range<usize>,
}

fn tokens(text: &str) -> Vec<Token> {
    let mut tokens: Vec<Token> = Vec::new();
    let mut class = 0u8;
    for (start, c) in text.char_indices() {
        let end = start + c.len_utf8();
        let now = match c {
            c if c.is_ascii_digit() => 1,
            c if c.is_alphabetic() => 2,
            _ => 0,
        };
        let kind = match c {
            _ if now != 0 => {
                let lower = c.to_lowercase().collect::<String>();
                match tokens.last_mut() {
                    Some(Token { kind: Kind::Word(word), at }) if class == now && at.end == start => {
                        word.push_str(&lower);
                        at.end = end;
                        continue;
                    }
                    _ => Some(Kind::Word(lower)),
                }
            }
            '/' => Some(Kind::Word("/".into())),
            ',' => Some(Kind::Comma),
            ';' | '.' | ':' => Some(Kind::Semicolon),
            '*' => Some(Kind::Star),
            '(' | '[' => Some(Kind::Open(c)),
            ')' | ']' => Some(Kind::Close(c)),
            _ => None,
        };
        class = now;
        tokens.extend(kind.map(|kind| Token { kind, at: start..end }));
    }
    tokens
}

/// What ends a list of items.
#[derive(Clone, Copy, PartialEq)]
enum End {
    Row,
    Bracket(char),
    RepeatFrom,
}

struct Parser<'a> {
    tokens: Vec<Token>,
    at: usize,
    stitches: &'a mut Stitches,
}

impl Parser<'_> {
    fn kind(&self) -> Option<&Kind> {
        self.tokens.get(self.at).map(|token| &token.kind)
    }

    fn word(&self, ahead: usize) -> Option<&str> {
        match self.tokens.get(self.at + ahead).map(|token| &token.kind) {
            Some(Kind::Word(word)) => Some(word),
            _ => None,
        }
    }

    fn fail<T>(&self, from: usize, to: usize, mistake: RowMistake) -> Result<T, RowError> {
        let start = self.tokens.get(from).or(self.tokens.last()).map_or(0, |token| token.at.start);
        let end = to.checked_sub(1).and_then(|last| self.tokens.get(last)).map_or(start, |token| token.at.end);
        Err(RowError { at: start..end.max(start), mistake })
    }

    fn items(&mut self, end: End, depth: usize) -> Result<Vec<Item>, RowError> {
        let mut items = Vec::new();
        let opened = self.at.saturating_sub(1);
        if depth > DEEPEST {
            return self.fail(opened, self.at, RowMistake::Unclosed);
        }
        while let Some(kind) = self.kind().cloned() {
            match kind {
                Kind::Comma | Kind::Semicolon => self.at += 1,
                Kind::Word(word) if word == "then" || word == "and" => self.at += 1,
                Kind::Word(word) if word == "rep" || word == "repeat" => {
                    if end != End::RepeatFrom {
                        return self.fail(self.at, self.at + 1, RowMistake::Unclosed);
                    }
                    return Ok(items);
                }
                Kind::Word(_) => items.push(self.phrase()?),
                Kind::Star if end == End::Row => {
                    self.at += 1;
                    items.push(self.starred(depth)?);
                }
                Kind::Star => return self.fail(self.at, self.at + 1, RowMistake::Unclosed),
                Kind::Open(bracket) => {
                    let from = self.at;
                    self.at += 1;
                    items.push(self.bracketed(from, bracket, depth)?);
                }
                Kind::Close(close) => {
                    let matches = matches!((end, close), (End::Bracket('('), ')') | (End::Bracket('['), ']'));
                    if !matches {
                        return self.fail(self.at, self.at + 1, RowMistake::Unclosed);
                    }
                    return Ok(items);
                }
            }
        }
        if end == End::Row { Ok(items) } else { self.fail(opened, self.at, RowMistake::Unclosed) }
    }

    /// After the asterisk: the group, "rep from *", and how far.
    fn starred(&mut self, depth: usize) -> Result<Item, RowError> {
        let from = self.at;
        let items = self.items(End::RepeatFrom, depth + 1)?;
        self.at += 1;
        if self.word(0) == Some("from") {
            self.at += 1;
        }
        if self.kind() == Some(&Kind::Star) {
            self.at += 1;
        }
        let words = self.words();
        let Some((extent, more)) = extent(&words) else {
            return self.fail(from, self.at + words.len(), RowMistake::NoExtent);
        };
        self.at += words.len();
        let extent = match extent {
            // "Rep from * 3 times": 3 more times after the first; "a total of" is said otherwise.
            Extent::Times(times) if more => Extent::Times(times.saturating_add(1)),
            extent => extent,
        };
        Ok(Item::Repeat { items, extent })
    }

    fn bracketed(&mut self, from: usize, bracket: char, depth: usize) -> Result<Item, RowError> {
        let close = if bracket == '(' { ')' } else { ']' };
        // "(K1, yo, k1) in next st" is one stitch: the group and the words after it, up to the next comma.
        let closing = (self.at..self.tokens.len()).find(|&at| self.tokens[at].kind == Kind::Close(close));
        if let Some(closing) = closing
            && matches!(self.tokens.get(closing + 1).map(|token| &token.kind), Some(Kind::Word(word)) if word == "in" || word == "into")
        {
            let after = (closing + 1..self.tokens.len())
                .find(|&at| !matches!(self.tokens[at].kind, Kind::Word(_)))
                .unwrap_or(self.tokens.len());
            let words: Vec<String> = self.tokens[self.at..after].iter().filter_map(Token::word).collect();
            let Some((stitch, times)) = counted(&boil_words(&words), self.stitches) else {
                return self.fail(from, after, RowMistake::UnknownWords);
            };
            self.at = after;
            return Ok(Item::Run { stitch, extent: Extent::Times(times) });
        }
        let items = self.items(End::Bracket(bracket), depth + 1)?;
        self.at += 1;
        let words = self.words();
        match extent(&words) {
            Some((extent, _)) => {
                self.at += words.len();
                Ok(Item::Repeat { items, extent })
            }
            None => self.fail(from, self.at, RowMistake::NoExtent),
        }
    }

    /// The words from here to the next mark.
    fn words(&self) -> Vec<String> {
        self.tokens[self.at..].iter().map_while(Token::word).collect()
    }

    fn phrase(&mut self) -> Result<Item, RowError> {
        if let Some(item) = self.joined() {
            return Ok(item);
        }
        let from = self.at;
        let words = self.words();
        let after = from + words.len();
        let boiled = boil_words(&words);
        if let Some((stitch, times)) = counted(&boiled, self.stitches) {
            self.at = after;
            return Ok(Item::Run { stitch, extent: Extent::Times(times) });
        }
        // The longest ending that says how far, and a stitch before it.
        for split in 1..boiled.len() {
            let Some((extent, _)) = extent(&boiled[split..]) else { continue };
            let Some((stitch, 1)) = counted(&boiled[..split], self.stitches) else { continue };
            self.at = after;
            return Ok(Item::Run { stitch, extent });
        }
        self.fail(from, after, RowMistake::UnknownWords)
    }

    /// A stitch whose words hold commas: "sl 1, k2tog, psso"; the longest that is one.
    fn joined(&mut self) -> Option<Item> {
        let mut words = Vec::new();
        let mut best = None;
        let mut parts = 0;
        let mut at = self.at;
        while let Some(token) = self.tokens.get(at) {
            match &token.kind {
                Kind::Word(word) => words.push(word.clone()),
                Kind::Comma if parts < 5 => {
                    parts += 1;
                    at += 1;
                    continue;
                }
                _ => break,
            }
            at += 1;
            let part_ends = !matches!(self.tokens.get(at).map(|token| &token.kind), Some(Kind::Word(_)));
            if parts > 0
                && part_ends
                && let Some(id) = PHRASES.exact.get(&squeeze(&boil_words(&words)))
            {
                best = Some((at, *id));
            }
        }
        let (after, stitch) = best?;
        self.at = after;
        Some(Item::Run { stitch, extent: Extent::Times(1) })
    }
}

impl Token {
    fn word(&self) -> Option<String> {
        match &self.kind {
            Kind::Word(word) => Some(word.clone()),
            _ => None,
        }
    }
}

/// How far, in words; the flag says that the number counts workings after the first ("2 more times").
fn extent(words: &[String]) -> Option<(Extent, bool)> {
    let boiled = boil_words(words);
    let words: Vec<&str> = boiled.iter().map(String::as_str).collect();
    let number = |word: &str| word.parse::<u32>().ok().filter(|&n| n > 0);
    match words[..] {
        ["to", "end"] | ["across"] | ["to", "end", "of", "row" | "rnd" | "round"] => Some((Extent::ToLast(0), false)),
        ["to", "last", "st"] => Some((Extent::ToLast(1), false)),
        ["to", "last", n, "st"] => Some((Extent::ToLast(number(n)?), false)),
        ["once"] => Some((Extent::Times(1), false)),
        ["twice"] => Some((Extent::Times(2), false)),
        [n, "times" | "time"] => Some((Extent::Times(number(n)?), false)),
        ["once", "more"] => Some((Extent::Times(1), true)),
        ["twice", "more"] => Some((Extent::Times(2), true)),
        [n, "more", "times" | "time"] | [n, "times" | "time", "more"] => Some((Extent::Times(number(n)?), true)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::written::expand;

    fn works(text: &str, loops: u32) -> String {
        let mut stitches = Stitches::built_in();
        let items = row(text, &mut stitches).unwrap_or_else(|error| panic!("{text:?}: {error:?}"));
        let row = expand(&items, &stitches, loops).unwrap_or_else(|misfit| panic!("{text:?}: {misfit:?}"));
        row.iter().map(|&id| stitches.get(id).name.as_str()).collect::<Vec<_>>().join(" ")
    }

    /// Conventions of standards.md section 5 (W1, W2, W5) and domain.md section 5, expanded by hand.
    #[test]
    fn rows_in_print() {
        for (text, loops, stitches) in [
            ("K3, p to last 3 sts, k3", 8, "k k k p p k k k"),
            ("Purl.", 3, "p p p"),
            ("k", 2, "k k"),
            ("P to end.", 3, "p p p"),
            ("*K2, p2; rep from * to end.", 8, "k k p p k k p p"),
            ("*K2, p2; rep from * to last 2 sts, k2.", 6, "k k p p k k"),
            ("K1, *p1, k1; rep from * to end", 5, "k p k p k"),
            ("[K1, yo] twice, k1", 3, "k yo k yo k"),
            ("(k2tog) 3 times", 6, "k2tog k2tog k2tog"),
            ("k2tog 3 times", 6, "k2tog k2tog k2tog"),
            ("sl 1, k2tog, psso, k1", 4, "sk2p k"),
            ("Sl 1 wyif, k to last st, sl 1 wyif", 4, "sl1wyif k k sl1wyif"),
            ("(k1, yo, k1) in next st, p2", 3, "kyok p p"),
            ("2/2 RC, p1", 5, "2/2rc p"),
            ("yo twice, k2tog", 2, "yo2 k2tog"),
            ("*k1, p1; rep from * 2 more times", 6, "k p k p k p"),
            ("bo 2, k to end", 4, "bo bo k k"),
            ("knit 2, purl 2", 4, "k k p p"),
            ("[[k1, p1] twice, yo] twice", 8, "k p k p yo k p k p yo"),
        ] {
            assert_eq!(works(text, loops), stitches, "{text:?}");
        }
    }

    #[test]
    fn mistakes_are_placed() {
        let mistake = |text: &str| {
            let error = row(text, &mut Stitches::built_in()).unwrap_err();
            (text[error.at].to_owned(), error.mistake)
        };
        assert_eq!(mistake("k3, dec 1, k3"), ("dec 1".into(), RowMistake::UnknownWords));
        assert_eq!(mistake("k3, [p1, k1"), ("[p1, k1".into(), RowMistake::Unclosed));
        assert_eq!(mistake("k3, [p1, k1], k3"), ("[p1, k1]".into(), RowMistake::NoExtent));
        assert_eq!(mistake("k3) p"), (")".into(), RowMistake::Unclosed));
        assert_eq!(mistake("").1, RowMistake::Empty);
    }
}
