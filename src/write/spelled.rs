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

/// The text with its abbreviations spelled out, and without brackets that no voice reads: "(K1, yo, k1) in one st" is "Into
/// one stitch knit 1 and yarn over and knit 1". What is no abbreviation stays as it is.
pub(super) fn spelled_out(text: &str, terms: Terms) -> String {
    let text = &without_brackets(text);
    let mut out = String::with_capacity(2 * text.len());
    let mut rest = text.as_str();
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

/// The text with its groups that are worked into one stitch told by that stitch first.
fn without_brackets(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, group, place, after)) = group(rest) {
        out.push_str(before);
        let begins = group.starts_with(char::is_uppercase);
        out.push_str(if begins { "Into " } else { "into " });
        out.push_str(place);
        for (at, item) in group.split(',').map(str::trim).enumerate() {
            out.push_str(if at == 0 { " " } else { " and " });
            let mut letters = item.chars();
            out.extend(letters.next().into_iter().flat_map(char::to_lowercase));
            out.push_str(letters.as_str());
        }
        rest = after;
    }
    out + rest
}

/// The first group of a text that is worked into one stitch: what stands before it, the group, the stitch, what follows.
fn group(text: &str) -> Option<(&str, &str, &str, &str)> {
    let mut from = 0;
    loop {
        let open = from + text.get(from..)?.find('(')?;
        let (group, behind) = text.get(open + 1..)?.split_once(')')?;
        let place = behind.strip_prefix(" into ").or_else(|| behind.strip_prefix(" in "));
        let ended = place.map(|place| place.split_at(place.find([',', ';', '.']).unwrap_or(place.len())));
        let one = |place: &str| place.ends_with(" st") || place.ends_with(" stitch");
        if let Some((place, after)) = ended.filter(|(place, _)| one(place) && !group.contains('(')) {
            return Some((text.get(..open)?, group, place, after));
        }
        from = open + 1;
    }
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
                "Into one stitch knit 1 and yarn over and knit 1, turn, purl 3, turn, knit 3 together.",
            ),
            (
                "Turn, (p1, k1) into the same stitch; k2 (edge)",
                "Turn, into the same stitch purl 1 and knit 1; knit 2 (edge)",
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
