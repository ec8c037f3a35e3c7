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

/// Signs that only stand round words, or join them.
const QUIET: [char; 14] = [
    '\'', '\u{2018}', '\u{2019}', '"', '\u{201c}', '\u{201d}', '\u{201e}', '\u{b4}', '`', '\u{2032}',
    '\u{2033}', '\u{ab}', '\u{bb}', '\u{fe0f}',
];
const DASHES: [char; 6] = ['-', '\u{2010}', '\u{2011}', '\u{2013}', '\u{2014}', '\u{2212}'];
const BULLETS: [char; 6] = ['\u{2022}', '\u{b7}', '\u{2219}', '\u{2023}', '\u{25e6}', '\u{25cf}'];

/// Whether a sign may part two pieces.
pub(super) fn is_sign(text: &str) -> bool {
    matches!(text, "/" | "+" | "|")
}

/// Whether a sign only parts two pieces, "K2 / p2", "K2 + p2", as it does with room on both sides, between what a comma could
/// stand between. A bar may also show where a repeat begins: it parts where it stands in the place of all commas.
fn parts(c: char, at: usize, last: Option<&Token>, text: &str) -> bool {
    let rest = text.get(at + c.len_utf8()..).unwrap_or_default();
    let behind = rest.trim_start();
    let apart = last.is_some_and(|last| {
        last.at.end < at && matches!(last.kind, Kind::Word(_) | Kind::Close(_)) && last.word() != Some("/")
    });
    let goes_on = behind.len() < rest.len()
        && behind.starts_with(|c: char| c.is_alphabetic() || matches!(c, '(' | '[' | '*'));
    apart && goes_on && (c != '|' || !text.contains([',', ';']))
}

/// What any other sign between words is. None of them vanishes that may stand for something worked: it is then a word of
/// its own, which names no stitch. `rest` is what stands behind it.
fn sign(c: char, at: usize, last: Option<&Token>, rest: &str) -> Option<Kind> {
    let alone = || Some(Kind::Word(c.into()));
    let parts = |kind: &Kind| matches!(kind, Kind::Comma | Kind::Semicolon);
    let next = rest.trim_start().chars().next();
    let ends = matches!(next, Some(',' | ';' | '.' | ':'));
    match c {
        c if c.is_whitespace() || c.is_control() || QUIET.contains(&c) => None,
        // "K1f&b".
        '&' if last.is_some_and(|last| last.at.end == at) && rest.starts_with(char::is_alphanumeric) => None,
        '&' => Some(Kind::Word("and".into())),
        '!' => Some(Kind::Semicolon),
        // "\*K1, p1; rep from \*".
        '\\' if rest.starts_with(|c: char| c.is_ascii_punctuation()) => None,
        // "_k2_", and not "K___ sts".
        '_' if !rest.starts_with('_')
            && (rest.starts_with(char::is_alphanumeric)
                || last.is_some_and(|last| last.at.end == at && last.word() != Some("_"))) =>
        {
            None
        }
        // "K2 - p2", and not the purl sign in "K2, -, p2".
        c if DASHES.contains(&c) => {
            let parted = last.is_some_and(|last| parts(&last.kind));
            if parted && ends { alone() } else { None }
        }
        // "K2 • p2", and not "K2, •, p2".
        c if BULLETS.contains(&c) => match last.map(|last| &last.kind) {
            None => None,
            Some(kind) if parts(kind) || ends => alone(),
            Some(_) => Some(Kind::Comma),
        },
        _ => alone(),
    }
}

/// Signs that repeats begin at, as the text says that it repeats from them: "+K1, p1; rep from +".
fn repeated_from(text: &str) -> Vec<char> {
    let mut signs = Vec::new();
    for (at, word) in text.match_indices("from ") {
        let sign = text.get(at + word.len()..).and_then(|rest| rest.chars().next());
        let opens =
            |c: &char| !c.is_alphanumeric() && !c.is_whitespace() && !"*∗＊✱.,;:()[]{}/\\".contains(*c);
        if let Some(sign) = sign.filter(opens).filter(|sign| !signs.contains(sign)) {
            signs.push(sign);
        }
    }
    signs
}

/// Cuts a text. `whole` are names, in lower case, that are one word whatever marks they hold; `named_by` says whether a
/// sign is part of a name that is read without it.
pub(super) fn tokens(text: &str, whole: &[String], named_by: impl Fn(char) -> bool) -> Vec<Token> {
    let mut tokens: Vec<Token> = Vec::new();
    let mut class = 0u8;
    let mut passed = 0;
    let begins = repeated_from(text);
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
            c if begins.contains(&c) => 4,
            _ => 0,
        };
        let shortens = c == '.' && shortens(tokens.last(), start, text.get(end..).unwrap_or_default());
        let parts = is_sign(c.encode_utf8(&mut [0; 4])) && parts(c, start, tokens.last(), text);
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
            ('/' | '+' | '|', ..) if parts => Some(Kind::Comma),
            ('/', ..) => Some(Kind::Word("/".into())),
            ('×', ..) => Some(Kind::Word("x".into())),
            (',', ..) => Some(Kind::Comma),
            ('.', ..) if shortens => None,
            // "K2, p2 ...": what goes on there is not said.
            ('.', ..) if text.get(start..).is_some_and(|rest| rest.starts_with("...")) => {
                passed = start
                    + text.get(start..).map_or(0, |rest| rest.len() - rest.trim_start_matches('.').len());
                // "Row 1 ..... K8".
                if !tokens.is_empty() {
                    tokens.push(Token { kind: Kind::Word("...".into()), at: start..passed });
                }
                class = 0;
                continue;
            }
            (';' | '.' | ':', ..) => Some(Kind::Semicolon),
            // Signs of charts and of doubt: no row is read as if they were not there.
            ('?' | '@' | '%' | '^' | '~' | '<' | '>' | '…', ..) => Some(Kind::Word(c.into())),
            ('(' | '[' | '{', ..) => Some(Kind::Open(c)),
            (')' | ']' | '}', ..) => Some(Kind::Close(c)),
            (c, ..) if named_by(c) => None,
            _ => sign(c, start, tokens.last(), text.get(end..).unwrap_or_default()),
        };
        class = now;
        tokens.extend(kind.map(|kind| Token { kind, at: start..end }));
    }
    tokens
}

/// Words for how stitches are slipped, by the letters that may stand for them: "sl1p", "sl 2 k", "sl1pw".
const SLIPPED: [(&str, &str); 4] = [("p", "pwise"), ("k", "kwise"), ("pw", "pwise"), ("kw", "kwise")];

/// Spells out how stitches are slipped. A letter does not say it where a number follows, "sl1p1", or how far it is worked,
/// "sl 1 k to end": there it is parted from the slip. What is a name stays as it is.
pub(super) fn spell_out_slips(tokens: &mut Vec<Token>, mut is_name: impl FnMut(&[String]) -> bool) {
    let mut at = 0;
    while let Some([slip, number, how]) = tokens.get(at..at + 3) {
        at += 1;
        let (Some("sl" | "slip"), Some(count), Some(letter)) = (slip.word(), number.word(), how.word())
        else {
            continue;
        };
        let spelled = SLIPPED.iter().find(|(short, _)| *short == letter);
        let Some((_, spelled)) = spelled.filter(|_| count.bytes().all(|byte| byte.is_ascii_digit())) else {
            continue;
        };
        let words = [slip, number, how].map(|token| token.word().unwrap_or_default().to_owned());
        let next = tokens.get(at + 2);
        let joined = number.at.end == how.at.start
            && next.is_none_or(|next| next.at.start > how.at.end || next.word().is_none());
        let far = next.and_then(Token::word).is_some_and(|next| next == "to");
        let alone = next.is_none_or(|next| next.word().is_none());
        if is_name(&words) && !far {
            continue;
        }
        if letter.len() == 1 && far {
            let start = how.at.start;
            tokens.insert(at + 1, Token { kind: Kind::Comma, at: start..start });
        } else if (letter.len() > 1 || joined || alone)
            && let Some(how) = tokens.get_mut(at + 1)
        {
            how.kind = Kind::Word((*spelled).into());
        }
    }
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
