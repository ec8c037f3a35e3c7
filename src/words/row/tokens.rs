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
    // "P.s.s.o."
    let begins = |letters: &str| {
        let behind = rest.as_bytes().get(..letters.len());
        behind.is_some_and(|behind| behind.eq_ignore_ascii_case(letters.as_bytes()))
    };
    let psso = match word {
        Some("p") => begins("s.s.o"),
        Some("s") => begins("s.o") || begins("o"),
        _ => false,
    };
    if psso {
        return true;
    }
    let next = rest.trim_start().chars().next();
    if rest.starts_with([',', ';']) {
        return true;
    }
    word.is_some_and(|word| SHORTENED.contains(&word))
        && next.is_some_and(|c| c.is_lowercase() || c.is_ascii_digit() || c == '*')
}

/// Cuts a text. `whole` are names, in lower case, that are one word whatever marks they hold.
pub(super) fn tokens(text: &str, whole: &[String]) -> Vec<Token> {
    let mut tokens: Vec<Token> = Vec::new();
    let mut class = 0u8;
    let mut passed = 0;
    // A sign that opens repeats is one that the text repeats from.
    let hash = text.contains("from #");
    for (start, c) in text.char_indices() {
        if start < passed {
            continue;
        }
        if let Some((name, end)) = named(text, start, whole).filter(|_| class == 0 || !c.is_alphanumeric()) {
            tokens.push(Token { kind: Kind::Word(name.clone()), at: start..end });
            (class, passed) = (0, end);
            continue;
        }
        let end = start + c.len_utf8();
        let now = match c {
            c if c.is_ascii_digit() => 1,
            c if c.is_alphabetic() => 2,
            '*' | '∗' | '＊' | '✱' => 3,
            '†' | '‡' | '★' | '☆' => 4,
            '#' if hash => 4,
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
            // Apart from "*", so that the one may stand inside the other.
            (_, 4, _) => Some(Kind::Star(2)),
            ('/', ..) => Some(Kind::Word("/".into())),
            ('×', ..) => Some(Kind::Word("x".into())),
            (',', ..) => Some(Kind::Comma),
            ('.', ..) if shortens => None,
            (';' | '.' | ':', ..) => Some(Kind::Semicolon),
            // Signs of charts and of doubt: no row is read as if they were not there.
            ('?' | '@' | '%' | '^' | '~' | '<' | '>' | '…', ..) => Some(Kind::Word(c.into())),
            ('(' | '[' | '{', ..) => Some(Kind::Open(c)),
            (')' | ']' | '}', ..) => Some(Kind::Close(c)),
            _ => None,
        };
        class = now;
        tokens.extend(kind.map(|kind| Token { kind, at: start..end }));
    }
    tokens
}

/// The longest of these names that stands here as a whole, and its end.
fn named<'n>(text: &str, start: usize, names: &'n [String]) -> Option<(&'n String, usize)> {
    let rest = text.get(start..)?;
    let end_of = |name: &String| {
        let mut wanted = name.chars();
        for (at, c) in rest.char_indices() {
            if !c.to_lowercase().all(|lower| wanted.next() == Some(lower)) {
                return None;
            }
            let end = start + at + c.len_utf8();
            if wanted.as_str().is_empty() {
                let next = text.get(end..).and_then(|rest| rest.chars().next());
                return next.is_none_or(|next| !next.is_alphanumeric()).then_some(end);
            }
        }
        None
    };
    names.iter().filter_map(|name| Some((name, end_of(name)?))).max_by_key(|(_, end)| *end)
}
