//! Stitches that an explanation tells loop by loop: what is worked into one stitch, turned and worked again.

use super::{into_one_stitch, meaning, row, together};
use crate::stitch::{Face, OwnStitch, Stitches};
use crate::written;

/// Loops that an explanation uses and makes: "(K1, yo, k1, yo, k1) in one st, turn, p5, turn, k5tog." Between turns
/// it works on what it has just made.
pub fn loops(meaning: &str, stitches: &mut Stitches) -> Option<(u32, u32)> {
    let text = meaning.to_lowercase();
    // "Make bobble: (k1, yo, k1) in one st ...".
    let text = text.split_once(": ").map_or(text.as_str(), |(_, after)| after);
    let mut total: Option<(u32, u32)> = None;
    for part in text.split("turn") {
        let part = part.trim_matches(|c: char| c.is_whitespace() || ",;.".contains(c));
        let (uses, makes) = worked(part.trim_end_matches(" and").trim_start_matches("and "), stitches)?;
        total = Some(match total {
            None => (uses, makes),
            Some((first, made)) if made == uses => (first, makes),
            Some(_) => return None,
        });
    }
    total.filter(|(uses, _)| *uses <= 20)
}

fn worked(part: &str, stitches: &mut Stitches) -> Option<(u32, u32)> {
    if let Some((inner, place)) = part.strip_prefix(['(', '[']).and_then(|rest| rest.split_once([')', ']'])) {
        return if into_one_stitch(place) {
            pieces(inner, stitches).map(|(_, made)| (1, made))
        } else {
            None
        };
    }
    pieces(part, stitches)
}

fn pieces(text: &str, stitches: &mut Stitches) -> Option<(u32, u32)> {
    let mut sum = (0u32, 0u32);
    for piece in text.split(',').map(str::trim).filter(|piece| !piece.is_empty()) {
        let (uses, makes) = match together(piece) {
            Some(number) if (2..=20).contains(&number) => (number, 1),
            _ => {
                let items = row(piece, stitches).ok()?;
                let uses = written::items_use(&items, stitches)?;
                let row = written::expand(&items, stitches, uses).ok()?;
                (uses, stitches.makes(&row))
            }
        };
        sum = (sum.0.checked_add(uses)?, sum.1.checked_add(makes)?);
    }
    (sum != (0, 0)).then_some(sum)
}

/// The stitch of a designer's own that the words of a key explain as one that is worked in turns, "Bobble: (k1, yo, k1) in next
/// st, turn, p3, turn, sk2p". It goes by the name before the working, by its symbol where that is an abbreviation, and else as
/// the trade calls one that leaves a single loop: MB, make bobble.
pub fn worked_in_turns(symbol: &str, text: &str, stitches: &mut Stitches) -> Option<OwnStitch> {
    const MOST_LETTERS: usize = 40;
    // "Turn" or "turn": most words hold none of it. After an odd number the back of the work is before the knitter.
    let turns = if text.contains("urn") { text.to_lowercase().matches("turn").count() } else { 0 };
    if turns == 0 || !turns.is_multiple_of(2) {
        return None;
    }
    let (name, working) = text.split_once(": ").map_or((None, text), |(name, rest)| (Some(name), rest));
    let (uses, makes) = loops(working, stitches)?;
    let name = name.map(str::trim).filter(|name| !name.is_empty() && name.len() <= MOST_LETTERS);
    let is_abbreviation = symbol.chars().count() > 1 && symbol.chars().all(char::is_alphabetic);
    let (short, long) = match name {
        // "MB (make bobble)".
        Some(name) => match name.split_once('(') {
            Some((short, long)) => (short.trim(), long.trim_end_matches(')').trim()),
            None => (name, name),
        },
        None if is_abbreviation => (symbol, symbol),
        None if (uses, makes) == (1, 1) => ("MB", "make bobble"),
        None => return None,
    };
    let (short, long) = (within_row(short), within_row(long));
    let last = working.to_lowercase().rsplit("turn").next().map(str::to_owned).unwrap_or_default();
    let purl = last.trim_start_matches(|c: char| !c.is_alphabetic()).starts_with('p');
    let face = if purl { Face::Purl } else { Face::Knit };
    Some(OwnStitch {
        name: short.clone(),
        uses: Some(uses),
        makes: Some(makes),
        short: Some(short),
        long: Some(long),
        explain: Some(sentence(working)),
        faces: Some(vec![face]),
        ..OwnStitch::default()
    })
}

/// The name of a stitch as it stands within a row: "MB" stays as it is, "Bobble" is a bobble.
pub fn within_row(name: &str) -> String {
    if name.chars().any(char::is_lowercase) { name.to_lowercase() } else { name.to_owned() }
}

/// What a key says of a stitch of a designer's own so that it is understood without being described anywhere else; none
/// where no such words tell all of it: "MB (make bobble): (K1, yo, k1) in next st, turn, p3, turn, sk2p."
pub fn told_in_key(own: &OwnStitch) -> Option<String> {
    let explain = own.explain.as_deref()?;
    let (short, long) = (own.short.as_deref()?, own.long.as_deref()?);
    let name = if short == long { short.to_owned() } else { format!("{short} ({long})") };
    let words = format!("{name}: {explain}");
    let mut stitches = Stitches::built_in();
    let told = worked_in_turns("", &words, &mut stitches)?;
    let same = |one: &OwnStitch, other: &OwnStitch| {
        let of = |own: &OwnStitch| (own.name.clone(), own.uses, own.makes, own.faces.clone(), own.ws.clone());
        of(one) == of(other)
    };
    // What else such words were read as would be taken first.
    (same(&told, own) && own.cells == Some(1) && meaning(&words, &mut stitches).is_none()).then_some(words)
}

/// Words as a sentence: "(K1, yo, k1) in next st, turn, p3, turn, sk2p."
fn sentence(words: &str) -> String {
    let words = words.trim();
    let first = words.find(char::is_alphabetic).unwrap_or(0);
    let (before, rest) = words.split_at(first);
    let mut letters = rest.chars();
    let capital: String = letters.next().into_iter().flat_map(char::to_uppercase).collect();
    let end = if words.ends_with('.') { "" } else { "." };
    format!("{before}{capital}{}{end}", letters.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Counted by hand: five loops from one, five purled, five together; three from one and kept.
    #[test]
    fn explanations_are_counted() {
        let mut stitches = Stitches::built_in();
        for (meaning, expected) in [
            ("(K1, yo, k1, yo, k1) in one st, turn, p5, turn, k5tog.", Some((1, 1))),
            ("Make bobble: [k1, yo, k1] all into next st, turn, p3, turn, k3tog", Some((1, 1))),
            ("(k1, p1) in next st", Some((1, 2))),
            (
                "(Knit 1, yarn over, knit 1, yarn over, knit 1) in one stitch, turn, purl 5, turn, knit 5 together.",
                Some((1, 1)),
            ),
            ("(Knit one, yarn over, knit one) in one stitch, turn, purl three", Some((1, 3))),
            ("(Knit 1, yarn over) in one stitch, turn, knit 3 stitches together", None),
            (
                "(Knit one, yarn over, knit one) in one stitch, turn, purl three, turn, knit three together.",
                Some((1, 1)),
            ),
            ("k1, yo, turn, p1", None),
            ("Slip the stitch purlwise.", None),
        ] {
            assert_eq!(loops(meaning, &mut stitches), expected, "{meaning}");
        }
    }
}
