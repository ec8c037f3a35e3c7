//! How often or how far something is worked, in words: "twice", "to last 3 sts", "a total of 4 times".

use crate::words::boil_words;
use crate::words::rows::label::is_row_word;
use crate::words::rows::lex::ordinal;

/// How often or how far.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Until {
    /// So many times; how the number counts.
    Times(u32, Counts),
    /// Until so many stitches are left; 0 is the end.
    ToLast(u32),
    /// Until so many stitches before a marker.
    BeforeMarker(u32, Which),
    /// Over so many stitches.
    Over(u32),
}

/// What a marker is called: a letter, in lower case, or a digit.
pub type MarkerName = char;

/// Which marker.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// The next one.
    Next,
    /// The next one that is called so.
    Named(MarkerName),
    /// The one with this place in the row, from 1.
    Nth(u32),
    /// The last one in the row.
    Last,
}

/// What a number of times counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Counts {
    /// "3 times": nothing else is said.
    Unsaid,
    /// "3 more times": those after the first.
    More,
    /// "a total of 3 times": all of them.
    All,
}

/// The longest phrase of this kind, in words.
const LONGEST: usize = 12;

/// How far, in all of these words.
pub(super) fn until(words: &[String]) -> Option<Until> {
    if words.is_empty() || words.len() > LONGEST {
        return None;
    }
    let named = words.split_last().and_then(|(last, before)| {
        let name = marker_name(last)?;
        matches!(before.last()?.as_str(), "m" | "marker").then_some((name, before))
    });
    if let Some((name, before)) = named {
        return match until(before)? {
            Until::BeforeMarker(far, Which::Next) => Some(Until::BeforeMarker(far, Which::Named(name))),
            _ => None,
        };
    }
    let boiled = boil_words(words);
    let words: Vec<&str> = boiled.iter().map(String::as_str).filter(|word| *word != "for").collect();
    let words = match &words[..] {
        [rest @ .., "on", "needle" | "needles"] | [rest @ .., "of" | "in", "needle"] => rest,
        [rest @ .., "of" | "in", row] | [rest @ .., "of", "this", row] if is_row_word(row) => rest,
        rest => rest,
    };
    let words = match words {
        ["across", rest @ ..] if matches!(rest.first(), Some(&("to" | "until"))) => rest,
        rest => rest,
    };
    let number = |word: &str| word.parse::<u32>().ok().filter(|&n| n > 0);
    // A size may have none.
    let times = |word: &str, counts| Some(Until::Times(word.parse().ok()?, counts));
    let to_last = |word: &str| Some(Until::ToLast(word.parse().ok()?));
    match words {
        // The marker of the beginning of the round stands at its end.
        ["to" | "until", far @ ..] if let Some(before) = round_marker(far) => match before {
            [] => Some(Until::ToLast(0)),
            [n, "st", "before"] | ["within", n, "st", "of"] => to_last(n),
            _ => None,
        },
        [.., "m"] => {
            let (far, which) = marker(words)?;
            match far {
                ["to" | "until" | "til" | "till"] => Some(Until::BeforeMarker(0, which)),
                ["to" | "until", n, "st", "before"] | ["to", "within", n, "st", "of"] => {
                    Some(Until::BeforeMarker(n.parse().ok()?, which))
                }
                _ => None,
            }
        }
        ["to" | "until", "end"] | ["across" | "around"] => Some(Until::ToLast(0)),
        ["across" | "to", row] | ["rem" | "all" | "each" | "every", "st", "across", row]
            if is_row_word(row) =>
        {
            Some(Until::ToLast(0))
        }
        ["rem" | "all" | "each" | "every", "st"]
        | ["rem" | "all" | "each" | "every", "st", "across"]
        | ["rem" | "rest" | "all" | "back"]
        | ["all", "across" | "around"]
        | ["in", "each" | "every", "st"]
        | ["in", "each" | "every", "st", "across" | "around"]
        | ["in", "each" | "every", "st", "to", "end"]
        | ["back", "across"]
        | ["across", "all" | "rem", "st"] => Some(Until::ToLast(0)),
        ["to" | "until" | "til" | "till", "last", "st"]
        | ["to", "within", "last", "st"]
        | ["all", "but", "last", "st"]
        | ["all", "st", "but", "last", "st"]
        | ["all", "but", "last"] => Some(Until::ToLast(1)),
        ["to" | "until" | "til" | "till", "last", n, "st"]
        | ["to", "last", n]
        | ["all", "but", "last", n, "st"]
        | ["all", "st", "but", "last", n]
        | ["all", "but", "last", n]
        | ["to", "within", "last", n, "st"]
        | ["to", "within", n, "st", "of", "end"]
        | ["to" | "until", n, "st", "before" | "from", "end"]
        | ["to" | "until" | "til" | "till", n, "st", "rem"]
        | ["until" | "til" | "till", "there", "are", n, "st", "rem"]
        | ["until" | "til" | "till", n, "rem"]
        | ["until" | "til" | "till", "there" | "only", n, "st", "rem"]
        | ["until" | "til" | "till", "there", "is" | "are", n, "st", "rem" | "left"] => to_last(n),
        ["over" | "across", n, "st"] | ["over" | "across", "next", n, "st"] => Some(Until::Over(number(n)?)),
        ["once"] => Some(Until::Times(1, Counts::Unsaid)),
        ["twice"] => Some(Until::Times(2, Counts::Unsaid)),
        ["thrice"] => Some(Until::Times(3, Counts::Unsaid)),
        [n, "times" | "time" | "x"] | ["x" | "times", n] => times(n, Counts::Unsaid),
        ["once", "more" | "again"] => Some(Until::Times(1, Counts::More)),
        ["twice", "more" | "again"] => Some(Until::Times(2, Counts::More)),
        [n, "more", "times" | "time"]
        | [n, "times" | "time" | "x", "more"]
        | ["another", n, "times" | "time"] => times(n, Counts::More),
        ["total", "of", n, "times" | "time"]
        | ["total", "of", n]
        | [n, "times" | "time", "in", "all" | "total"]
        | [n, "times" | "time", "altogether" | "total"]
        | ["in", "total" | "all", n, "times" | "time"] => times(n, Counts::All),
        ["twice", "in", "all" | "total"] => Some(Until::Times(2, Counts::All)),
        _ => None,
    }
}

/// The words before the marker where rounds begin: "BOR marker", "the end of round m".
fn round_marker<'w, 's>(words: &'w [&'s str]) -> Option<&'w [&'s str]> {
    let words = words.strip_suffix(&["m"]).unwrap_or(words);
    if let Some(before) = words.strip_suffix(&["bor"]).or_else(|| words.strip_suffix(&["eor"])) {
        return Some(before);
    }
    match words.strip_suffix(&["of", "rnd"])? {
        [before @ .., "beg" | "beginning" | "start" | "end"] => Some(before),
        _ => None,
    }
}

/// Which marker words end with, "2nd m", and the words before that.
fn marker<'w, 's>(words: &'w [&'s str]) -> Option<(&'w [&'s str], Which)> {
    let before = words.strip_suffix(&["m"])?;
    Some(match before {
        [rest @ .., "next"] => (rest, Which::Next),
        [rest @ .., "last"] => (rest, Which::Last),
        [rest @ .., n, "st" | "nd" | "rd" | "th"] => (rest, Which::Nth(n.parse().ok().filter(|&n| n > 0)?)),
        [rest @ .., word] if ordinal(word).is_some() => (rest, Which::Nth(ordinal(word)?)),
        rest => (rest, Which::Next),
    })
}

/// The name of a marker that a word is, "A" or "2"; what names a stitch is none, "sm k2".
pub(super) fn marker_name(word: &str) -> Option<MarkerName> {
    let mut letters = word.chars();
    let name = letters.next().filter(|_| letters.as_str().is_empty())?;
    (name.is_ascii_digit() || (name.is_ascii_lowercase() && !matches!(name, 'k' | 'p' | 'm'))).then_some(name)
}

/// Whether a name for a marker ends where these words begin: "sm A and k2", and not "to m 2 sts".
pub(super) fn ends_name(behind: &[String]) -> bool {
    behind.first().is_none_or(|word| matches!(word.as_str(), "and" | "then"))
}

/// How far, in the first words of these, as many of them as can be; and how many those are.
pub(super) fn until_first(words: &[String]) -> Option<(Until, usize)> {
    (1..=words.len().min(LONGEST)).rev().find_map(|length| {
        let (phrase, behind) = words.split_at(length);
        let until = until(phrase)?;
        let cut = matches!(until, Until::BeforeMarker(_, Which::Named(_))) && !ends_name(behind);
        (!cut).then_some((until, length))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: domain.md section 5, standards.md W1, W2, W4; the others are common practice.
    #[test]
    fn extents_in_print() {
        let read = |text: &str| until(&text.split(' ').map(str::to_owned).collect::<Vec<_>>());
        for (text, expected) in [
            ("to end", Some(Until::ToLast(0))),
            ("to the end of the row", Some(Until::ToLast(0))),
            ("around", Some(Until::ToLast(0))),
            ("all across", Some(Until::ToLast(0))),
            ("in each st", Some(Until::ToLast(0))),
            ("to last st", Some(Until::ToLast(1))),
            ("to the last 3 stitches", Some(Until::ToLast(3))),
            ("until 4 sts remain", Some(Until::ToLast(4))),
            ("to 3 sts before m", Some(Until::BeforeMarker(3, Which::Next))),
            ("to marker", Some(Until::BeforeMarker(0, Which::Next))),
            ("to 2 nd marker", Some(Until::BeforeMarker(0, Which::Nth(2)))),
            ("to 2 sts before the third m", Some(Until::BeforeMarker(2, Which::Nth(3)))),
            ("to bor marker", Some(Until::ToLast(0))),
            ("to the beginning of round marker", Some(Until::ToLast(0))),
            ("to 3 sts before bor m", Some(Until::ToLast(3))),
            ("to last marker", Some(Until::BeforeMarker(0, Which::Last))),
            ("to marker a", Some(Until::BeforeMarker(0, Which::Named('a')))),
            ("to 3 sts before m 2", Some(Until::BeforeMarker(3, Which::Named('2')))),
            ("to 2 nd marker a", None),
            ("to marker k", None),
            ("twice", Some(Until::Times(2, Counts::Unsaid))),
            ("three times", Some(Until::Times(3, Counts::Unsaid))),
            ("two times more", Some(Until::Times(2, Counts::More))),
            ("a total of 4 times", Some(Until::Times(4, Counts::All))),
            ("for a total of 4 times", Some(Until::Times(4, Counts::All))),
            ("4 times in all", Some(Until::Times(4, Counts::All))),
            ("all but last 2 sts", Some(Until::ToLast(2))),
            ("all but the last st", Some(Until::ToLast(1))),
            ("until there are 2 sts left", Some(Until::ToLast(2))),
            ("over next 6 sts", Some(Until::Over(6))),
            ("to last 0 sts", Some(Until::ToLast(0))),
            ("to 0 sts before m", Some(Until::BeforeMarker(0, Which::Next))),
            ("0 times", Some(Until::Times(0, Counts::Unsaid))),
            ("to the moon", None),
        ] {
            assert_eq!(read(text), expected, "{text}");
        }
    }
}
