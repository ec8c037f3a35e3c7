//! The text of a row cut into words and marks.

use std::ops::Range;

/// What a piece of a row's text is.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Kind {
    /// Letters, or digits, or `/`; in lower case.
    Word(String),
    Comma,
    /// What parts pieces more than a comma: `;`, `.` and `:`.
    Semicolon,
    /// So many asterisks side by side.
    Star(usize),
    Open(char),
    Close(char),
}

#[derive(Clone, Debug)]
pub(super) struct Token {
    pub(super) kind: Kind,
    /// Its bytes in the text.
    pub(super) at: Range<usize>,
}

impl Token {
    pub(super) fn word(&self) -> Option<&str> {
        match &self.kind {
            Kind::Word(word) => Some(word),
            _ => None,
        }
    }
}

/// Abbreviations that older presses print with a full stop: "K.2 tog.", "rep. from *".
const SHORTENED: [&str; 17] = [
    "k", "p", "sl", "st", "sts", "tog", "rep", "rem", "beg", "cont", "foll", "alt", "patt", "inc", "dec",
    "rnd", "rnds",
];

/// Whether a full stop only shortens the word before it: the sentence goes on behind it.
fn shortens(last: Option<&Token>, at: usize, rest: &str) -> bool {
    let word = last.filter(|last| last.at.end == at).and_then(Token::word);
    // "Y.O."
    if word.is_some_and(|word| word == "y") {
        return true;
    }
    let next = rest.trim_start().chars().next();
    if rest.starts_with([',', ';']) {
        return true;
    }
    word.is_some_and(|word| SHORTENED.contains(&word))
        && next.is_some_and(|c| c.is_lowercase() || c.is_ascii_digit() || c == '*')
}

pub(super) fn tokens(text: &str) -> Vec<Token> {
    let mut tokens: Vec<Token> = Vec::new();
    let mut class = 0u8;
    for (start, c) in text.char_indices() {
        let end = start + c.len_utf8();
        let now = match c {
            c if c.is_ascii_digit() => 1,
            c if c.is_alphabetic() => 2,
            '*' | '∗' | '＊' | '✱' => 3,
            _ => 0,
        };
        let shortens = c == '.' && shortens(tokens.last(), start, text.get(end..).unwrap_or_default());
        let last = tokens.last_mut().filter(|last| class == now && last.at.end == start);
        let kind = match (c, now, last) {
            (_, 1 | 2, Some(Token { kind: Kind::Word(word), at })) => {
                word.extend(c.to_lowercase());
                at.end = end;
                continue;
            }
            (_, 3, Some(Token { kind: Kind::Star(stars), at })) => {
                *stars += 1;
                at.end = end;
                continue;
            }
            (_, 1 | 2, _) => Some(Kind::Word(c.to_lowercase().collect())),
            (_, 3, _) => Some(Kind::Star(1)),
            ('/', ..) => Some(Kind::Word("/".into())),
            ('×', ..) => Some(Kind::Word("x".into())),
            (',', ..) => Some(Kind::Comma),
            ('.', ..) if shortens => None,
            (';' | '.' | ':', ..) => Some(Kind::Semicolon),
            ('(' | '[' | '{', ..) => Some(Kind::Open(c)),
            (')' | ']' | '}', ..) => Some(Kind::Close(c)),
            _ => None,
        };
        class = now;
        tokens.extend(kind.map(|kind| Token { kind, at: start..end }));
    }
    tokens
}
