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
