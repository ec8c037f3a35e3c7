//! Cables told by how they are worked, as keys in print tell them: "sl 2 sts to cn, hold in front, k2, k2 from cn".

use super::boil;
use crate::stitch::{StitchId, Stitches};

/// The crossing that the words tell, with nothing left over: stitches slipped to a cable needle that is held in front
/// or at the back, some worked past them, and then those from the cable needle. Only what passes in front may not be
/// purled: such a crossing has no name.
pub(super) fn told(text: &str, stitches: &mut Stitches) -> Option<StitchId> {
    // Words that only join.
    const JOINS: [&str; 14] =
        ["and", "then", "the", "next", "st", "sts", "of", "work", "in", "at", "to", "on", "onto", "purlwise"];
    let text = text.to_lowercase().replace("cable needle", "cn");
    // "Sl next st" is sl 1.
    let words = boil(&text.replace("next st ", "1 st ").replace("next stitch ", "1 st "));
    let words: Vec<&str> = words.iter().map(String::as_str).filter(|word| !JOINS.contains(word)).collect();
    let (held, front, [one, past, two, back]) = match words[..] {
        [
            "sl" | "slip" | "place" | "put",
            held,
            "cn",
            "hold" | "leave",
            where_held,
            one,
            past,
            two,
            back,
            "from",
            "cn",
        ] => (held, where_held, [one, past, two, back]),
        _ => return None,
    };
    let front = match front {
        "front" => true,
        "back" => false,
        _ => return None,
    };
    let held: u32 = held.parse().ok()?;
    let (past, back): (u32, u32) = (past.parse().ok()?, back.parse().ok()?);
    if held != back {
        return None;
    }
    // What is worked from a needle in front crosses in front.
    let (over, under, way) =
        if front { ((two, held), (one, past), 'l') } else { ((one, past), (two, held), 'r') };
    let purled = match (over.0, under.0) {
        ("k", "k") => "",
        ("k", "p") => "p",
        _ => return None,
    };
    stitches.find(&format!("{}/{}{way}{purled}c", over.1, under.1))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: contract.md, "Canonical stitch names" (2/1rpc, 2/1lpc), standards.md K10 (held in back crosses to the
    /// right); wordings of keys in print from memory.
    #[test]
    fn crossings_are_known_by_how_they_are_worked() {
        for (text, name) in [
            ("sl 2 to cn, hold in front, k2, k2 from cn", "2/2lc"),
            ("sl 2 to cn, hold in back, k2, k2 from cn", "2/2rc"),
            (
                "Slip next 3 sts to cable needle and hold at back of work, knit 3, then knit 3 from cable needle.",
                "3/3rc",
            ),
            ("Sl 1 st onto cn and hold to back, k2, p1 from cn", "2/1rpc"),
            ("Place 2 sts on cn, hold in front, p1, k2 from cn", "2/1lpc"),
            ("sl 1 to cn, hold in front, k2, k1 from cn", "1/2lc"),
            // Three held and two worked from the needle.
            ("sl 3 to cn, hold in front, k2, k2 from cn", ""),
            // What crosses in front is purled.
            ("sl 2 to cn, hold in front, k2, p2 from cn", ""),
            ("sl 2 to cn, hold in front", ""),
            ("sl 2 to cn, k2, k2 from cn", ""),
        ] {
            let mut stitches = Stitches::built_in();
            let found = told(text, &mut stitches).map(|id| stitches.get(id).name.clone());
            assert_eq!(found.unwrap_or_default(), name, "{text:?}");
        }
    }
}
