//! The columns that a sentence names as the repeat: "Repeat columns 3-8", "6-st repeat: sts 3 to 8", "Rep: 3-8".

use super::phrases::{RepeatWords, repeat_words};
use crate::settings::RepeatColumns;
use crate::words::rows::label::is_row_word;

#[derive(Clone, Copy, PartialEq)]
enum Piece<'a> {
    Number(u32),
    Word(&'a str),
    Dash,
    /// A mark that parts nothing and joins nothing is none of these: full stop, comma, colon, bracket.
    Other,
}

/// The columns that a text names as the repeat: two numbers with a dash or "to" between them, behind a word for columns or
/// beside nothing but the repeat. Before them may stand how many they are; any other number may be one of stitches, of
/// workings or of rows, and nothing is taken then.
pub(in crate::chart) fn repeat_columns(text: &str) -> Option<RepeatColumns> {
    let RepeatWords { words, columns, through, times, .. } = repeat_words();
    let is_one = |words: &[&str], word: &str| words.iter().any(|one| one.eq_ignore_ascii_case(word));
    let pieces = pieces(text);
    let said =
        || pieces.iter().filter_map(|piece| if let Piece::Word(word) = piece { Some(*word) } else { None });
    if !said().any(|word| is_one(words, word)) || said().any(is_row_word) {
        return None;
    }
    let column =
        |piece: Option<&Piece<'_>>| matches!(piece, Some(Piece::Word(word)) if is_one(columns, word));
    let between = said().any(|word| word.eq_ignore_ascii_case("between"));
    if let Some(only) = only_column(&pieces, words) {
        return Some(RepeatColumns { first: only, last: only });
    }
    let (at, one, two, length) = pieces.iter().enumerate().find_map(|(at, piece)| {
        let Piece::Number(one) = piece else { return None };
        let (two, length) = match pieces.get(at + 1..)? {
            [Piece::Dash, Piece::Number(two), ..] => (two, 3),
            [Piece::Word(word), Piece::Number(two), ..]
                if is_one(through, word) || between && word.eq_ignore_ascii_case("and") =>
            {
                (two, 3)
            }
            [Piece::Word(word), named, Piece::Number(two), ..]
                if is_one(through, word) && column(Some(named)) =>
            {
                (two, 4)
            }
            _ => return None,
        };
        Some((at, *one, *two, length))
    })?;
    let bare = pieces.contains(&Piece::Dash) && said().all(|word| is_one(words, word));
    let often = matches!(pieces.get(at + length), Some(Piece::Word(word)) if is_one(times, word));
    let named = column(at.checked_sub(1).and_then(|before| pieces.get(before)));
    if one == 0 || two == 0 || one == two && !named || often || !(bare || named) {
        return None;
    }
    let numbers: Vec<u32> = pieces
        .iter()
        .filter_map(|piece| if let Piece::Number(one) = piece { Some(*one) } else { None })
        .collect();
    match numbers[..] {
        [_, _] => {}
        [wide, _, _] if at > 0 && wide == one.abs_diff(two) + 1 => {}
        _ => return None,
    }
    Some(RepeatColumns { first: one.min(two), last: one.max(two) })
}

/// Whether a text that names the columns of the repeat says nothing else in words.
pub(in crate::chart) fn say_no_more(text: &str) -> bool {
    let RepeatWords { words, columns, through, joining, little, .. } = repeat_words();
    let known = [words, columns, through, joining, little];
    let is_known =
        |word: &str| known.iter().any(|words| words.iter().any(|one| one.eq_ignore_ascii_case(word)));
    pieces(text).iter().all(|piece| match piece {
        Piece::Word(word) => is_known(word),
        Piece::Number(_) | Piece::Dash | Piece::Other => true,
    })
}

/// The column of "Repeat column 2", where nothing else is said: stitches, "Rep sts 2", may be counted.
fn only_column(pieces: &[Piece<'_>], words: &[&str]) -> Option<u32> {
    let RepeatWords { squares, .. } = repeat_words();
    let is_one = |words: &[&str], piece: &Piece<'_>| matches!(piece, Piece::Word(word) if words.iter().any(|one| one.eq_ignore_ascii_case(word)));
    let [before @ .., column, Piece::Number(number)] = pieces else { return None };
    let repeat =
        before.iter().any(|piece| is_one(words, piece)) && before.iter().all(|piece| is_one(words, piece));
    (repeat && is_one(squares, column) && *number > 0).then_some(*number)
}

/// The numbers, words and marks of a text.
fn pieces(text: &str) -> Vec<Piece<'_>> {
    let mut pieces = Vec::new();
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let like = |c: char| match first {
            _ if first.is_ascii_digit() => c.is_ascii_digit(),
            _ if first.is_alphabetic() => c.is_alphabetic(),
            _ => false,
        };
        let length = rest.find(|c| !like(c)).unwrap_or(rest.len()).max(first.len_utf8());
        let (piece, behind) = rest.split_at(length);
        rest = behind;
        pieces.extend(match first {
            _ if first.is_ascii_digit() => Some(piece.parse().map_or(Piece::Other, Piece::Number)),
            _ if first.is_alphabetic() => Some(Piece::Word(piece)),
            '-' | '\u{2010}'..='\u{2015}' | '\u{2212}' => Some(Piece::Dash),
            '.' | ',' | ';' | ':' | '(' | ')' | '[' | ']' | '"' => None,
            _ if first.is_whitespace() => None,
            _ => Some(Piece::Other),
        });
    }
    pieces
}
