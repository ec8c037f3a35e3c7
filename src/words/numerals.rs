//! Numbers in words: "twenty-three" is 23.

use std::borrow::Cow;
use std::sync::LazyLock;

use foldhash::HashSet;

/// Numbers below twenty, each at its place.
pub const ONES: [&str; 20] = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
];
/// The tens from twenty on.
pub const TENS: [&str; 8] = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];
/// The names of great numbers, the greatest first.
pub const GREAT: [(&str, u32); 3] = [("billion", 1_000_000_000), ("million", 1_000_000), ("thousand", 1_000)];

/// The words with every number among them in digits. The words of a number are taken together as far as they make
/// one: "twenty three" is one number, "two one" are two.
pub(super) fn in_digits<W: AsRef<str> + Clone + From<String>>(words: &[W]) -> Cow<'_, [W]> {
    if !words.iter().any(|word| begins_number(word.as_ref())) {
        return Cow::Borrowed(words);
    }
    let mut out = Vec::with_capacity(words.len());
    let mut at = 0;
    while let Some(word) = words.get(at) {
        match number(&words[at..]) {
            Some((value, length)) => {
                out.push(value.to_string().into());
                at += length;
            }
            None => {
                out.push(word.clone());
                at += 1;
            }
        }
    }
    Cow::Owned(out)
}

/// Whether a number may begin with this word.
pub fn begins_number(word: &str) -> bool {
    /// Most words that are asked about are none of these.
    static NAMES: LazyLock<HashSet<&str>> = LazyLock::new(|| ONES.into_iter().chain(TENS).collect());
    NAMES.contains(word)
}

/// The number that the words begin with, and how many of them it takes.
pub fn number(words: &[impl AsRef<str>]) -> Option<(u32, usize)> {
    let (mut total, mut at) = below_thousand(words)?;
    let mut bound = u32::MAX;
    while let Some((_, unit)) = words
        .get(at)
        .and_then(|word| GREAT.iter().find(|(name, unit)| *name == word.as_ref() && *unit < bound))
    {
        // What stands before the unit and after the last greater one is what it multiplies.
        let (whole, part) =
            if bound == u32::MAX { (0, total) } else { (total - total % bound, total % bound) };
        total = part.checked_mul(*unit)?.checked_add(whole)?;
        bound = *unit;
        at += 1;
        if let Some((rest, length)) = words.get(at..).and_then(below_thousand) {
            total = total.checked_add(rest)?;
            at += length;
        }
    }
    Some((total, at))
}

fn below_thousand(words: &[impl AsRef<str>]) -> Option<(u32, usize)> {
    let (head, mut at) = below_hundred(words)?;
    if !(1..=9).contains(&head) || words.get(at).map(AsRef::as_ref) != Some("hundred") {
        return Some((head, at));
    }
    at += 1;
    let joined = usize::from(words.get(at).is_some_and(|word| word.as_ref() == "and"));
    match words.get(at + joined..).and_then(below_hundred) {
        Some((rest, length)) => Some((head * 100 + rest, at + joined + length)),
        None => Some((head * 100, at)),
    }
}

fn below_hundred(words: &[impl AsRef<str>]) -> Option<(u32, usize)> {
    let first = words.first()?.as_ref();
    let place = |list: &[&str], word: &str| list.iter().position(|name| *name == word);
    if let Some(value) = place(&ONES, first) {
        return Some((value as u32, 1));
    }
    let tens = (place(&TENS, first)? as u32 + 2) * 10;
    match words.get(1).and_then(|word| place(&ONES[..10], word.as_ref())).filter(|&one| one > 0) {
        Some(one) => Some((tens + one as u32, 2)),
        None => Some((tens, 1)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As a US or UK speaker says them: common practice.
    #[test]
    fn spoken_numbers_are_read() {
        for (spoken, digits) in [
            ("twenty three", "23"),
            ("one hundred and one", "101"),
            ("three hundred forty two stitches", "342 stitches"),
            ("two one", "2 1"),
            ("knit two together", "knit 2 together"),
            ("twelve thousand nineteen", "12019"),
            ("one million two thousand three", "1002003"),
            ("twenty and thirty", "20 and 30"),
            ("hundred", "hundred"),
        ] {
            let words: Vec<String> = spoken.split(' ').map(str::to_owned).collect();
            assert_eq!(in_digits(&words).join(" "), digits);
        }
    }
}
