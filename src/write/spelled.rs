//! Explanations that a designer gave in abbreviations, spelled out for readers who listen.

use crate::stitch::{Stitches, Terms};

/// Words beside the stitches: as abbreviated, and spelled out.
const OTHERS: [(&str, &str); 19] = [
    ("k", "knit"),
    ("p", "purl"),
    ("sl", "slip"),
    ("st", "stitch"),
    ("sts", "stitches"),
    ("tog", "together"),
    ("tbl", "through the back loop"),
    ("psso", "pass the slipped stitch over"),
    ("wyib", "with yarn in back"),
    ("wyif", "with yarn in front"),
    ("cn", "cable needle"),
    ("lh", "left-hand"),
    ("rh", "right-hand"),
    ("rs", "right side"),
    ("ws", "wrong side"),
    ("rep", "repeat"),
    ("rnd", "round"),
    ("inc", "increase"),
    ("dec", "decrease"),
];

/// The text with its abbreviations spelled out: "(K1, yo, k1) in one st" is "(Knit 1, yarn over, knit 1) in one
/// stitch". What is no abbreviation stays as it is.
pub(super) fn spelled_out(text: &str, terms: Terms) -> String {
    let mut out = String::with_capacity(2 * text.len());
    let mut rest = text;
    while let Some(start) = rest.find(char::is_alphanumeric) {
        let (before, from) = rest.split_at(start);
        let end = from.find(|c: char| !c.is_alphanumeric()).unwrap_or(from.len());
        let (word, after) = from.split_at(end);
        out.push_str(before);
        match long(&word.to_lowercase(), terms) {
            Some(long) if word.starts_with(char::is_uppercase) => out.push_str(&super::work::capital(&long)),
            Some(long) => out.push_str(&long),
            None => out.push_str(word),
        }
        rest = after;
    }
    out.push_str(rest);
    out
}

fn long(word: &str, terms: Terms) -> Option<String> {
    if let Some((_, long)) = OTHERS.iter().find(|(short, _)| *short == word) {
        return Some((*long).to_owned());
    }
    if let Some((_, stitch)) = Stitches::every().find(|(_, stitch)| stitch.words(terms).short == word) {
        return Some(stitch.words(terms).long.clone());
    }
    // "k5", "k5tog".
    let digits = |c: char| c.is_ascii_digit();
    let (letters, counted) = word.split_at(word.find(digits)?);
    let end = counted.find(|c| !digits(c)).unwrap_or(counted.len());
    let (number, ending) = counted.split_at(end);
    let verb = OTHERS.iter().find(|(short, _)| *short == letters).map(|(_, long)| *long)?;
    match ending {
        "" => Some(format!("{verb} {number}")),
        "tog" => Some(format!("{verb} {number} together")),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A bobble as designers explain it (common practice).
    #[test]
    fn abbreviations_are_spelled_out_and_words_stay() {
        for (short, long) in [
            (
                "(K1, yo, k1) in one st, turn, p3, turn, k3tog.",
                "(Knit 1, yarn over, knit 1) in one stitch, turn, purl 3, turn, knit 3 together.",
            ),
            (
                "Sl 2 sts to cn, k5tog, work A2 again",
                "Slip 2 stitches to cable needle, knit 5 together, work A2 again",
            ),
            ("Knit into the row below.", "Knit into the row below."),
        ] {
            assert_eq!(spelled_out(short, Terms::Us), long);
        }
    }
}
