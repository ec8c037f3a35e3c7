//! English numbers in words.

use crate::words::{GREAT, ONES, TENS};

/// The number in words, as a US speaker reads it: 123 is "one hundred twenty-three".
pub(super) fn words(n: u32) -> String {
    if let Some(word) = ONES.get(n as usize) {
        return (*word).to_owned();
    }
    if let Some(tens) = (n as usize / 10).checked_sub(2).and_then(|at| TENS.get(at)) {
        return if n.is_multiple_of(10) { (*tens).to_owned() } else { format!("{tens}-{}", words(n % 10)) };
    }
    let (name, unit) = GREAT.iter().find(|(_, unit)| n >= *unit).copied().unwrap_or(("hundred", 100));
    let head = format!("{} {name}", words(n / unit));
    if n.is_multiple_of(unit) { head } else { format!("{head} {}", words(n % unit)) }
}

/// The text with every number in it in words. A row of digits too long to be a number, or part of a name such as
/// K1, stays as it is.
pub(super) fn spell_out(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(start) = rest.find(|c: char| c.is_ascii_digit()) {
        let (before, from) = rest.split_at(start);
        let end = from.find(|c: char| !c.is_ascii_digit()).unwrap_or(from.len());
        let (digits, after) = from.split_at(end);
        out.push_str(before);
        // "K1" would become "Kone".
        let part_of_word = before.ends_with(char::is_alphabetic);
        match digits.parse() {
            Ok(n) if !part_of_word => out.push_str(&words(n)),
            _ => out.push_str(digits),
        }
        rest = after;
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_read_as_spoken() {
        for (n, spoken) in [
            (0, "zero"),
            (1, "one"),
            (13, "thirteen"),
            (20, "twenty"),
            (23, "twenty-three"),
            (100, "one hundred"),
            (101, "one hundred one"),
            (342, "three hundred forty-two"),
            (1_000, "one thousand"),
            (12_019, "twelve thousand nineteen"),
            (
                4_294_967_295,
                "four billion two hundred ninety-four million nine hundred sixty-seven thousand two hundred ninety-five",
            ),
        ] {
            assert_eq!(words(n), spoken);
        }
    }

    #[test]
    fn numbers_in_a_text_are_spelled_out() {
        assert_eq!(spell_out("2 over 12 right cross"), "two over twelve right cross");
        assert_eq!(spell_out("99999999999 x"), "99999999999 x");
        assert_eq!(spell_out("K1 in 1 stitch"), "K1 in one stitch");
    }
}
