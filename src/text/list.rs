//! Lists of abbreviations: words that the text itself explains.

use super::find::Entry;
use crate::pattern::Side;
use crate::stitch::{OwnStitch, StitchId, Stitches};
use crate::words::{self, Colours, Context, Means};

/// Stitches of the designer's own that the list explains well enough to count their loops: what is worked into one
/// stitch, turned and worked again. `stitches` are those that are known without the list.
pub(super) fn own_stitches(list: &[Entry], stitches: &Stitches) -> Vec<OwnStitch> {
    let mut stitches = stitches.clone();
    let mut own = Vec::new();
    for Entry { term, meaning, .. } in list {
        let known = words::stitch(term, &mut stitches).is_some()
            || words::explained(meaning, &mut stitches).is_some();
        if known || own.iter().any(|own: &OwnStitch| own.name == *term) {
            continue;
        }
        if let Some((uses, makes)) = loops(meaning, &mut stitches) {
            own.push(OwnStitch {
                name: term.clone(),
                uses: Some(uses),
                makes: Some(makes),
                explain: Some(meaning.clone()),
                ..OwnStitch::default()
            });
        }
    }
    own
}

/// Gives the terms of the list the stitch that their meaning names, be it another one than they name by themselves.
pub(super) fn learn(list: &[Entry], means: &mut Means, stitches: &mut Stitches) {
    for Entry { term, meaning, .. } in list {
        let Some(stitch) = words::explained(meaning, stitches) else { continue };
        let named = words::stitch(term, stitches).map(|named| stitches.plain(named));
        if named != Some(stitches.plain(stitch)) {
            means.learn(term, stitch);
        }
    }
}

/// Remembers the terms that name no known stitch, and whose explanation tells neither one nor its loops.
pub(super) fn leave(list: &[Entry], means: &mut Means, stitches: &mut Stitches) {
    for Entry { term, meaning, .. } in list {
        if words::stitch(term, stitches).is_some() || words::explained(meaning, stitches).is_some() {
            continue;
        }
        // A bare slip goes by the side: which one does not matter here.
        let (side, colours) = (Some(Side::Rs), Colours::default());
        let mut context =
            Context { stitches, means: &Means::default(), side, colours: &colours, colour: None };
        let work = words::work(term, &mut context);
        let several = work.errors.is_empty() && work.pieces.len() > 1;
        if several && term.contains(char::is_whitespace) || !several && work.errors.is_empty() {
            continue;
        }
        means.leave(term, several);
    }
}

/// Entries for a known stitch that explain it as another one, in words that name none: how many stitches a decrease
/// works together, or a crossing whose numbers don't agree. Each with the stitch that its term was read as.
pub(super) fn unlike(list: &[Entry], stitches: &mut Stitches) -> Vec<(usize, StitchId)> {
    let mut unlike = Vec::new();
    for (index, Entry { term, meaning, .. }) in list.iter().enumerate() {
        let Some(named) = words::stitch(term, stitches) else { continue };
        if words::explained(meaning, stitches).is_some() {
            continue;
        }
        let stitch = stitches.get(named);
        let (wide, uses) = (stitch.wide, stitch.uses);
        let lower = meaning.to_lowercase();
        let crosses = lower.contains("cable needle")
            || lower.split(|c: char| !c.is_alphanumeric()).any(|word| word == "cn");
        let together = words::together(meaning.trim_end_matches('.')).is_some_and(|number| number != uses);
        if (wide && crosses) || together {
            unlike.push((index, named));
        }
    }
    unlike
}

/// Loops that an explanation uses and makes: "(K1, yo, k1, yo, k1) in one st, turn, p5, turn, k5tog." Between turns
/// it works on what it has just made.
fn loops(meaning: &str, stitches: &mut Stitches) -> Option<(u32, u32)> {
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
        return if words::into_one_stitch(place) {
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
        let (uses, makes) = match words::together(piece) {
            Some(number) if (2..=20).contains(&number) => (number, 1),
            _ => {
                let items = words::row(piece, stitches).ok()?;
                let uses = crate::written::items_use(&items, stitches)?;
                let row = crate::written::expand(&items, stitches, uses).ok()?;
                (uses, stitches.makes(&row))
            }
        };
        sum = (sum.0.checked_add(uses)?, sum.1.checked_add(makes)?);
    }
    (sum != (0, 0)).then_some(sum)
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
