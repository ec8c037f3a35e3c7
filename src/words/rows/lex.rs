//! Sentences of a pattern cut into words, numbers and marks, for labels and facts.

use crate::pattern::Worked;
use crate::words::{self, english};

/// A piece of a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A number, in digits or in words.
    Number(u32),
    /// A number that names a place in an order: "1st", "first".
    Ordinal(u32),
    /// A word, in lower case.
    Word(String),
    /// Any other character that is no space.
    Mark(char),
}

/// A piece with the bytes it takes.
#[derive(Clone, Debug)]
pub(crate) struct Token {
    pub(crate) kind: Kind,
    pub(crate) start: usize,
    pub(crate) end: usize,
}

/// Longer sentences are no labels and no facts.
const MOST: usize = 400;

const ORDINALS: [&str; 12] = [
    "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth",
    "eleventh", "twelfth",
];

/// Whether a word, in any case, names stitches that are counted.
pub(crate) fn is_stitches(word: &str) -> bool {
    english::stitches().iter().any(|known| known.eq_ignore_ascii_case(word))
}

/// The place in an order that a word names, "second".
pub(crate) fn ordinal(word: &str) -> Option<u32> {
    (1..).zip(ORDINALS).find(|(_, name)| *name == word).map(|(place, _)| place)
}

/// Whether the first word of a text, full stops before it left aside, is one of these. It is a quick look at a text before
/// it is cut into pieces, for most texts begin otherwise: letters that only look like those of a word may be taken for it.
pub(crate) fn may_begin(text: &str, words: &[&str]) -> bool {
    let text = text.trim_start_matches(|c: char| c.is_whitespace() || c == '.');
    let word = text.split(|c: char| !c.is_alphabetic()).next().unwrap_or_default();
    !word.is_ascii() || words.iter().any(|known| known.eq_ignore_ascii_case(word))
}

/// The pieces of a text, as many as a label or a fact may have.
pub(crate) fn tokens(text: &str) -> Vec<Token> {
    let raw = pieces(text);
    let mut tokens: Vec<Token> = Vec::with_capacity(raw.len());
    let mut at = 0;
    while let Some(token) = raw.get(at) {
        let joined = |at: usize| match (raw.get(at), raw.get(at + 1)) {
            (Some(one), Some(two)) => one.end == two.start,
            _ => false,
        };
        match &token.kind {
            // "1st": an ending that follows directly.
            Kind::Number(number) => {
                let ending = raw.get(at + 1).filter(|_| joined(at)).and_then(|next| match &next.kind {
                    Kind::Word(word) if matches!(word.as_str(), "st" | "nd" | "rd" | "th") => Some(next.end),
                    // Older books print "2d" and "3d", "22d" and "33d".
                    Kind::Word(word) if word == "d" && matches!(number % 10, 2 | 3) => Some(next.end),
                    _ => None,
                });
                if let Some(end) = ending {
                    tokens.push(Token { kind: Kind::Ordinal(*number), start: token.start, end });
                    at += 2;
                    continue;
                }
            }
            // "Twenty-three"; "even-numbered" is two words.
            Kind::Word(word) => {
                if let Some((number, last)) = number_in_words(&raw, at) {
                    let end = raw.get(last).map_or(token.end, |token| token.end);
                    tokens.push(Token { kind: Kind::Number(number), start: token.start, end });
                    at = last + 1;
                    continue;
                }
                if let Some(place) = ordinal(word) {
                    tokens.push(Token { kind: Kind::Ordinal(place), ..token.clone() });
                    at += 1;
                    continue;
                }
            }
            // A hyphen inside a word only joins.
            Kind::Mark('-') => {
                let before = at.checked_sub(1).is_some_and(|before| {
                    joined(before) && matches!(raw.get(before).map(|token| &token.kind), Some(Kind::Word(_)))
                });
                if before
                    && joined(at)
                    && matches!(raw.get(at + 1).map(|token| &token.kind), Some(Kind::Word(_)))
                {
                    at += 1;
                    continue;
                }
            }
            _ => {}
        }
        tokens.push(token.clone());
        at += 1;
    }
    tokens
}

/// The number that begins with a word, and the last of its words.
fn number_in_words(raw: &[Token], at: usize) -> Option<(u32, usize)> {
    let word = |at: usize| match &raw.get(at)?.kind {
        Kind::Word(word) => Some(word),
        _ => None,
    };
    // Most words are no numbers.
    if !words::begins_number(word(at)?) {
        return None;
    }
    let (places, plain): (Vec<usize>, Vec<String>) = (at..raw.len())
        .filter(|&other| raw[other].kind != Kind::Mark('-'))
        .map_while(|other| Some((other, word(other)?.clone())))
        .take(12)
        .unzip();
    let (number, length) = words::number(&plain)?;
    Some((number, *places.get(length - 1)?))
}

fn pieces(text: &str) -> Vec<Token> {
    let mut pieces: Vec<Token> = Vec::new();
    for (start, c) in text.char_indices() {
        let end = start + c.len_utf8();
        if c.is_whitespace() {
            continue;
        }
        let last = pieces.last_mut().filter(|last| last.end == start);
        match last {
            Some(Token { kind: Kind::Word(word), end: last, .. }) if c.is_alphabetic() => {
                word.extend(c.to_lowercase());
                *last = end;
            }
            Some(Token { kind: Kind::Number(number), end: last, .. }) if c.is_ascii_digit() => {
                // A number beyond any pattern is the greatest one.
                let digit = c.to_digit(10).unwrap_or_default();
                *number = number.saturating_mul(10).saturating_add(digit);
                *last = end;
            }
            _ => {
                if pieces.len() >= MOST {
                    break;
                }
                let kind = if c.is_alphabetic() {
                    Kind::Word(c.to_lowercase().collect())
                } else if let Some(digit) = c.to_digit(10) {
                    Kind::Number(digit)
                } else {
                    Kind::Mark(c)
                };
                pieces.push(Token { kind, start, end });
            }
        }
    }
    pieces
}

/// A place among tokens.
#[derive(Clone, Copy)]
pub(crate) struct Cursor<'t> {
    tokens: &'t [Token],
    pub(crate) at: usize,
}

impl<'t> Cursor<'t> {
    pub(crate) const fn new(tokens: &'t [Token]) -> Self {
        Self { tokens, at: 0 }
    }

    pub(crate) fn token(&self, ahead: usize) -> Option<&'t Token> {
        self.tokens.get(self.at + ahead)
    }

    /// The tokens from this place on.
    pub(crate) fn rest(&self) -> &'t [Token] {
        self.tokens.get(self.at..).unwrap_or_default()
    }

    /// The token before this place.
    pub(crate) fn behind(&self) -> Option<&'t Token> {
        self.tokens.get(self.at.checked_sub(1)?)
    }

    pub(crate) fn kind(&self, ahead: usize) -> Option<&'t Kind> {
        self.token(ahead).map(|token| &token.kind)
    }

    pub(crate) fn word(&self, ahead: usize) -> Option<&'t str> {
        match self.kind(ahead) {
            Some(Kind::Word(word)) => Some(word),
            _ => None,
        }
    }

    /// Takes one of these words.
    pub(crate) fn take(&mut self, words: &[impl AsRef<str>]) -> bool {
        let found = self.word(0).is_some_and(|word| words.iter().any(|known| known.as_ref() == word));
        self.at += usize::from(found);
        found
    }

    /// Takes a word for rows or rounds: which of them it names.
    pub(crate) fn take_rows(&mut self) -> Option<Worked> {
        let named = self.word(0).and_then(english::rows_named);
        self.at += usize::from(named.is_some());
        named
    }

    /// Takes a word for stitches that are counted.
    pub(crate) fn take_stitches(&mut self) -> bool {
        self.take(english::stitches())
    }

    /// Takes the words of a phrase, all of them.
    pub(crate) fn take_phrase(&mut self, phrase: &str) -> bool {
        let words: Vec<&str> = phrase.split(' ').collect();
        self.take_all(&words)
    }

    /// Takes these words, all of them, in order.
    pub(crate) fn take_all(&mut self, words: &[&str]) -> bool {
        let found = words.iter().enumerate().all(|(ahead, word)| self.word(ahead) == Some(word));
        self.at += if found { words.len() } else { 0 };
        found
    }

    /// Takes one of these marks.
    pub(crate) fn take_mark(&mut self, marks: &[char]) -> bool {
        let found = matches!(self.kind(0), Some(Kind::Mark(mark)) if marks.contains(mark));
        self.at += usize::from(found);
        found
    }

    /// Takes a number.
    pub(crate) fn number(&mut self) -> Option<u32> {
        match self.kind(0) {
            Some(Kind::Number(number)) => {
                self.at += 1;
                Some(*number)
            }
            _ => None,
        }
    }

    pub(crate) fn at_end(&self) -> bool {
        self.at >= self.tokens.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_found_in_every_form() {
        let kinds: Vec<Kind> =
            tokens("Row twenty-three, 1st 12 even-numbered, 5-8").into_iter().map(|t| t.kind).collect();
        let word = |word: &str| Kind::Word(word.to_owned());
        assert_eq!(
            kinds,
            [
                word("row"),
                Kind::Number(23),
                Kind::Mark(','),
                Kind::Ordinal(1),
                Kind::Number(12),
                word("even"),
                word("numbered"),
                Kind::Mark(','),
                Kind::Number(5),
                Kind::Mark('-'),
                Kind::Number(8)
            ]
        );
    }
}
