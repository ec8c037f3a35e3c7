//! Fabrics: stitches that are told by those below them or by what they make, "in patt", "as they appear", "in St st".

use super::rows::label::is_row_word;

/// What tells a stretch of stitches by what the knitter sees before it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fabric {
    /// As the row two before has it: "work as set", "in patt".
    AsSet,
    /// The same in ribbing: "rib 5".
    Rib,
    /// "Knit the knits and purl the purls."
    Faces,
    /// "Knit the purls and purl the knits."
    AgainstFaces,
    /// A plain fabric: "St st, beg with a k row".
    Plain(Plain),
}

impl Fabric {
    /// Whether it is told by rows before, and not by the loops alone.
    pub const fn goes_by_rows(self) -> bool {
        matches!(self, Self::AsSet | Self::Rib)
    }
}

/// A fabric of knit and purl rows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Plain {
    /// Which it is.
    pub cloth: Cloth,
    /// Whether it begins with a knit row, where it is said.
    pub knit_first: Option<bool>,
}

/// Which of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cloth {
    /// Stocking stitch.
    Stocking,
    /// Reverse stocking stitch.
    Reverse,
    /// Garter stitch.
    Garter,
    /// Knit every row.
    Knit,
    /// Purl every row.
    Purl,
}

/// Whether the words, all of them, say that the rows go on as before: "work as set", "cont in patt as established".
pub(crate) fn is_as_set(words: &[&str]) -> bool {
    const LEAD: [&str; 9] = ["work", "cont", "continue", "patt", "keep", "as", "pattern", "in", "working"];
    const JOIN: [&str; 14] = [
        "the", "to", "end", "of", "across", "around", "all", "sts", "st", "stitch", "straight", "correct",
        "on", "this",
    ];
    const TELL: [&str; 5] = ["set", "established", "even", "patt", "pattern"];
    // "Work even in St st" is a fabric of its own.
    let of_its_own = words.windows(2).any(|pair| matches!(pair, ["st", "st" | "stitch"]));
    !of_its_own
        && words.first().is_some_and(|word| LEAD.contains(word))
        && words.iter().any(|word| TELL.contains(word))
        && words.iter().all(|word| {
            [&LEAD[..], &JOIN, &TELL].iter().any(|known| known.contains(word)) || is_row_word(word)
        })
}

/// Whether the words, all of them, say that each stitch is worked as it shows itself, "knit the knits and purl the
/// purls", "work sts as they appear", or otherwise than that.
pub(crate) fn by_faces(words: &[&str]) -> Option<Fabric> {
    const JOIN: [&str; 12] =
        ["the", "all", "st", "sts", "stitch", "stitches", "and", "to", "end", "of", "across", "around"];
    // "K, p, p, k" names stitches.
    let about_stitches = words
        .iter()
        .any(|word| matches!(*word, "the" | "st" | "sts" | "stitch" | "stitches" | "knits" | "purls"));
    let told: Vec<&str> =
        words.iter().copied().filter(|word| !JOIN.contains(word) && !is_row_word(word)).collect();
    let (work, show) = match told.iter().position(|word| *word == "as") {
        Some(at) => told.split_at(at),
        None => (&told[..], &[][..]),
    };
    let shows = matches!(show, ["as", "they", "appear" | "face" | "present" | "come"] | ["as", "appear"])
        || matches!(show, ["as", "they", "face" | "appear" | "present", "you"]);
    let letters: String = work.iter().filter_map(|word| word.chars().next()).collect();
    let plain = work.iter().all(|word| matches!(*word, "knit" | "k" | "knits" | "purl" | "p" | "purls"));
    match (work, letters.as_str()) {
        (_, "kkpp" | "ppkk") if plain => (show.is_empty() || shows).then_some(Fabric::Faces),
        (_, "kppk" | "pkkp") if plain && about_stitches => {
            (show.is_empty() || shows).then_some(Fabric::AgainstFaces)
        }
        (["work"] | [] | ["knit" | "k", "purl" | "p"], _) => shows.then_some(Fabric::Faces),
        _ => None,
    }
}

/// "Work in St st, beg with a k row", "g st", "Knit".
pub(crate) fn plain(words: &[&str]) -> Option<Plain> {
    let (mut cloth, mut knit_first, mut reverse, mut begins) = (None, None, false, false);
    let mut at = 0;
    while let Some(word) = words.get(at) {
        at += 1;
        match *word {
            "st" | "stocking" | "stockinette" | "garter" | "g" => {
                cloth = Some(if matches!(*word, "garter" | "g") { Cloth::Garter } else { Cloth::Stocking });
                if matches!(words.get(at), Some(&("st" | "stitch"))) {
                    at += 1;
                } else if *word == "st" || *word == "g" {
                    return None;
                }
            }
            "rev" | "reverse" => reverse = true,
            "beg" | "beginning" | "begin" | "starting" | "start" | "commencing" => begins = true,
            "k" | "knit" if begins => knit_first = Some(true),
            "p" | "purl" if begins => knit_first = Some(false),
            "work" | "continue" | "cont" | "in" | "with" | "a" | "more" | "of" => {}
            // Of a fabric that is named they only say that it goes on.
            "even" | "straight" | "as" | "set" | "established" => {}
            word if is_row_word(word) => {}
            _ => return None,
        }
    }
    let cloth = match cloth? {
        Cloth::Stocking if reverse => Cloth::Reverse,
        cloth => cloth,
    };
    Some(Plain { cloth, knit_first })
}
