//! Glosses of keys: what stands beside the words for a stitch and explains them, "yo (eyelet)", or makes another stitch of it,
//! "knit (twisted)".

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use super::english;
use super::key::{Looks, meaning, meaning_within, one_side, sides};
use super::{boil, boil_words, boiled_down, shade, split};
use crate::pattern::Side;
use crate::stitch::{Stitch, StitchId, Stitches, Terms};
use crate::tables::{self, table};

/// The words of `gloss.toml`.
#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, bound(deserialize = "'de: 'static"))]
struct File {
    changes: Vec<&'static str>,
    explains: Vec<&'static str>,
    joins: Vec<&'static str>,
    leans_left: Vec<&'static str>,
    leans_right: Vec<&'static str>,
    ways: Vec<&'static str>,
    plain: Vec<&'static str>,
    times: BTreeMap<&'static str, u32>,
}

static FILE: LazyLock<File> = LazyLock::new(|| tables::read(table!("words/gloss")));

/// The words before and behind the first mark that parts the words for a stitch from what explains it.
fn parts(text: &str) -> Option<(&str, &str)> {
    text.split_once('(')
        .map(|(head, tail)| (head, tail.trim_end_matches(')')))
        .or_else(|| text.split_once([':', '=', '–', '—']))
        .or_else(|| text.split_once(" - "))
        .or_else(|| text.split_once("; "))
}

/// Words that say the same thing twice: an abbreviation and what it means. `glosses` stand around them.
pub(super) fn glossed(text: &str, glosses: usize, stitches: &mut Stitches) -> Option<Looks> {
    let Some((head, tail)) = parts(text) else { return changed(text, glosses, stitches) };
    if boiled_down(head).is_empty() || boiled_down(tail).is_empty() {
        return None;
    }
    // What tells of each side in a part of its own says no thing twice.
    if matches!((one_side(head), one_side(tail)), (Some(one), Some(other)) if one != other) {
        return None;
    }
    match (meaning_within(head, glosses + 1, stitches), meaning_within(tail, glosses + 1, stitches)) {
        (Some(one), Some(two)) => agreed((head, one), (tail, two), stitches),
        (Some(looks), None) => with_gloss(looks, weigh(tail, head, looks, stitches)),
        (None, Some(looks)) => with_gloss(looks, weigh(head, tail, looks, stitches)),
        (None, None) => None,
    }
}

/// What two words for one stitch mean: the same, or one of them tells of both sides what the other tells of the RS.
fn agreed((head, one): (&str, Looks), (tail, two): (&str, Looks), stitches: &mut Stitches) -> Option<Looks> {
    let (shown, both, said) = match (one, two) {
        _ if one == two => return Some(one),
        (Looks::Stitch(id), both) => (id, both, tail),
        (both, Looks::Stitch(id)) => (id, both, head),
        _ => return None,
    };
    let Looks::Sides { rs, ws } = both else { return None };
    // "Knit (knit on WS)": what is told of the WS alone stands beside what is worked on the RS, one loop for another.
    let loops = |id: StitchId| (stitches.get(id).uses, stitches.get(id).makes);
    let beside = one_side(said) == Some(Side::Ws) && loops(shown) == loops(ws);
    (shown == rs || beside).then(|| sides(shown, ws, stitches))
}

fn with_gloss(looks: Looks, gloss: Gloss) -> Option<Looks> {
    match gloss {
        Gloss::Agrees | Gloss::Else => Some(looks),
        Gloss::Makes(id) => Some(Looks::Stitch(id)),
        Gloss::Differs => None,
    }
}

/// "Knit, twisted": a comma alone parts words that name a stitch together.
fn changed(text: &str, glosses: usize, stitches: &mut Stitches) -> Option<Looks> {
    let (head, tail) = text.split_once(", ")?;
    let looks = meaning_within(head, glosses + 1, stitches)?;
    match weigh(tail, head, looks, stitches) {
        Gloss::Makes(id) => Some(Looks::Stitch(id)),
        _ => None,
    }
}

/// A few words behind the mark that are neither known to explain the stitch before it nor to change it.
pub(super) fn not_known<'a>(text: &'a str, stitches: &mut Stitches) -> Option<&'a str> {
    const MOST_WORDS: usize = 3;
    let (head, tail) = parts(text)?;
    // Where something is worked is known.
    if tail.split_whitespace().count() > MOST_WORDS || tells_where(tail) {
        return None;
    }
    // What makes another stitch of it was read.
    let looks = meaning(head, stitches).filter(|looks| meaning(text, stitches) == Some(*looks))?;
    let unknown = meaning(tail, stitches).is_none() && weigh(tail, head, looks, stitches) == Gloss::Else;
    unknown.then(|| tail.trim())
}

/// What a gloss that names no stitch by itself says of the one that it stands beside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Gloss {
    /// Nothing but what the stitch is.
    Agrees,
    /// It makes this stitch of it.
    Makes(StitchId),
    /// It makes another of it, nobody knows which.
    Differs,
    /// Something that is not known.
    Else,
}

/// The most words of a gloss that is weighed: more than these tell how a stitch is worked.
const MOST_WORDS: usize = 4;

/// The same beside a plain stitch.
const MOST_BESIDE_PLAIN: usize = 8;

/// Weighs a gloss beside the words that name a stitch, and what they mean.
pub(super) fn weigh(gloss: &str, named: &str, looks: Looks, stitches: &mut Stitches) -> Gloss {
    let words = words_of(gloss);
    if words.is_empty() {
        return Gloss::Agrees;
    }
    if tells_where(gloss) {
        return Gloss::Else;
    }
    if let Looks::Stitch(id) = looks
        && words.len() <= MOST_WORDS
        // "Slip knit" is no answer to what "knit (slip)" may be.
        && words != ["sl"]
        && let Some(made) = together_with(gloss, named, stitches)
    {
        return if made == id { Gloss::Agrees } else { Gloss::Makes(made) };
    }
    let (rs, ws) = match looks {
        Looks::Stitch(id) => (id, id),
        Looks::Sides { rs, ws } => (rs, ws),
    };
    let sides = [(rs, stitches.get(rs)), (ws, stitches.get(ws))];
    let is_plain = sides.iter().all(|(_, stitch)| FILE.plain.contains(&&*stitch.name));
    if words.len() > if is_plain { MOST_BESIDE_PLAIN } else { MOST_WORDS } {
        return Gloss::Else;
    }
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let leans = |side: &(StitchId, &Stitch)| leans_otherwise(gloss, side.1);
    if sides.iter().all(|side| leans(side) || differs(&words, *side)) {
        return Gloss::Differs;
    }
    let known = words.iter().all(|word| sides.iter().any(|side| explains(word, *side)));
    if known { Gloss::Agrees } else { Gloss::Else }
}

/// Whether words tell in which rows something is worked, or where in a row, which is no gloss of a stitch.
fn tells_where(text: &str) -> bool {
    boil(text).iter().any(|word| english::is_where(word))
}

/// The words of a gloss, boiled down, without those that only join and without single letters, which are symbols.
fn words_of(gloss: &str) -> Vec<String> {
    let is_letter = |word: &str| word.chars().count() == 1 && word.chars().all(char::is_alphabetic);
    let says = |word: &String| match word.as_str() {
        // "X2" is how often.
        "k" | "p" | "x" => true,
        "/" => false,
        word => !is_letter(word) && !FILE.joins.contains(&word),
    };
    let words: Vec<String> = split(gloss).into_iter().filter(says).collect();
    boil_words(&words)
}

/// The stitch that a gloss and the words beside it name together, in either order: "twisted knit", "M1 left".
fn together_with(gloss: &str, named: &str, stitches: &mut Stitches) -> Option<StitchId> {
    let mut name = |text: String| super::stitch(&text, stitches).map(|id| stitches.plain(id));
    let (before, behind) = (name(format!("{gloss} {named}")), name(format!("{named} {gloss}")));
    match (before, behind) {
        (Some(one), Some(other)) => (one == other).then_some(one),
        (one, other) => one.or(other),
    }
}

/// Whether words say of a stitch what is not so.
fn differs(words: &[&str], side: (StitchId, &Stitch)) -> bool {
    let (_, stitch) = side;
    let more = stitch.makes > stitch.uses;
    let fewer = stitch.makes < stitch.uses;
    let amount = stitch.makes.abs_diff(stitch.uses);
    let loops = [stitch.uses, stitch.makes, stitch.cells, amount];
    words.iter().enumerate().any(|(at, word)| {
        let (before, behind) = (at.checked_sub(1).and_then(|at| words.get(at)), words.get(at + 1));
        let number = word.parse::<u32>().ok();
        let shapes = |word: Option<&&str>| word.is_some_and(|word| increases(word) || decreases(word));
        match (number, FILE.times.get(word)) {
            (Some(number), _) if shapes(before) || shapes(behind) => number != amount,
            (Some(number), _) if behind.is_some_and(|word| matches!(*word, "st" | "tog")) => {
                !loops.contains(&number)
            }
            (Some(number), _) if [before, behind].into_iter().flatten().any(|word| is_times(word)) => {
                number > 1
            }
            (Some(_), _) => false,
            (None, Some(times)) if shapes(behind) => *times != amount,
            _ if increases(word) => !more,
            _ if decreases(word) => !fewer,
            _ => FILE.changes.contains(word) && !speaks(word, side),
        }
    })
}

fn is_times(word: &str) -> bool {
    matches!(word, "x" | "times")
}

fn increases(word: &str) -> bool {
    word.starts_with("inc")
}

fn decreases(word: &str) -> bool {
    word.starts_with("dec")
}

/// Whether "left" or "right" in a gloss tells a way to lean or cross that a stitch has not.
fn leans_otherwise(gloss: &str, stitch: &Stitch) -> bool {
    let words = split(gloss);
    let Some(way) = words.iter().find(|word| matches!(word.as_str(), "left" | "right")) else { return false };
    if words.len() > 1 && !words.iter().any(|word| FILE.ways.contains(&word.as_str())) {
        return false;
    }
    let name = stitch.name.as_str();
    let crosses = name.trim_start_matches(|c: char| c.is_ascii_digit() || c == '/');
    let own = match crosses.chars().next() {
        Some('l') if stitch.wide => Some("left"),
        Some('r') if stitch.wide => Some("right"),
        _ if FILE.leans_left.contains(&name) => Some("left"),
        _ if FILE.leans_right.contains(&name) => Some("right"),
        _ => None,
    };
    match own {
        Some(own) => own != way,
        None => FILE.plain.contains(&name),
    }
}

/// Whether the dictionary has a word among those for a stitch.
fn speaks(word: &str, (id, stitch): (StitchId, &Stitch)) -> bool {
    if stitch.wide
        && matches!(word, "cross" | "crosses" | "crossed" | "cable" | "cabled" | "twist" | "twisted")
    {
        return true;
    }
    let printed = [Terms::Us, Terms::Uk].map(|terms| stitch.words(terms));
    let printed = printed.iter().flat_map(|words| [&words.short, &words.long, &words.explain]);
    let read = Stitches::phrases().iter().filter(|(_, other)| *other == id).map(|(words, _)| words);
    printed.chain(read).any(|text| boil(text).iter().any(|said| said == word))
}

/// Whether a word only explains a stitch, or is one of its own.
fn explains(word: &str, side: (StitchId, &Stitch)) -> bool {
    FILE.explains.contains(&word)
        || shade::is_name(word)
        || shade::is_shade(word)
        || is_times(word)
        || word.bytes().all(|byte| byte.is_ascii_digit())
        || speaks(word, side)
}

#[cfg(test)]
mod tests {
    use super::super::key::tests::says;
    use super::super::left_aside;
    use super::*;

    /// Glosses as designers write them, common practice: what agrees with the stitch is taken, what makes another of it is
    /// that one, and where nobody can tell which, nothing is.
    #[test]
    fn glosses_agree_or_change_the_stitch() {
        for (text, name) in [
            ("k tbl (knit through the back loop)", "ktbl"),
            ("yo (yarn over)", "yo"),
            ("ssk - slip, slip, knit", "ssk"),
            ("No stitch (grey)", "ns"),
            ("no stitch - skip", "ns"),
            ("k2tog (right leaning decrease)", "k2tog"),
            ("k2tog (right-leaning)", "k2tog"),
            ("k2tog - 2 sts together", "k2tog"),
            ("kfb (inc 1)", "kfb"),
            ("knit (1 st)", "k"),
            ("sk2p (left leaning double decrease)", "sk2p"),
            ("double decrease (sl 1, k2tog, psso)", "sk2p"),
            ("edge stitch (knit)", "k"),
            ("knit (selvedge)", "k"),
            ("purl (bump)", "p"),
            ("yo (makes a hole)", "yo"),
            ("Cable 4 Back", "2/2rc"),
            ("C4B (cable 4 back)", "2/2rc"),
            ("C6F: cable 6 front", "3/3lc"),
            ("RT (right twist)", "1/1rt"),
            ("2/2 RC (cable to the right)", "2/2rc"),
            ("ktbl (twisted)", "ktbl"),
            ("k1tbl (twisted stitch)", "ktbl"),
            ("m1 (twisted)", "m1"),
            ("RT: k2tog, leave on needle, knit first st again, slip both off", "1/1rt"),
            // What changes the stitch.
            ("knit (twisted)", "ktbl"),
            ("twisted: purl", "ptbl"),
            ("knit - twisted", "ktbl"),
            ("knit, twisted", "ktbl"),
            ("k2tog (tbl)", "k2togtbl"),
            ("k3tog (through the back loops)", "k3togtbl"),
            ("yo (double)", "yo2"),
            ("yarn over (twice)", "yo2"),
            ("M1 (left)", "m1l"),
            ("M1 (right leaning)", "m1r"),
            ("m1 (purlwise)", "m1p"),
            ("m1 (backward loop)", "m1"),
            // Nobody can tell what is worked.
            ("knit (wrapped)", ""),
            ("knit (with a bead)", ""),
            ("place bead (knit)", ""),
            ("knit (1 below)", ""),
            ("knit (slip)", ""),
            ("purl (dropped)", ""),
            ("knit - wrap the yarn twice around the needle", ""),
            ("knit (reverse)", ""),
            ("yo (x2)", "yo2"),
            ("knit (x2)", ""),
            ("purl (2 times)", ""),
            ("knit (X)", "k"),
            ("purl (knit side bump)", ""),
            // The two disagree.
            ("k2tog (left leaning)", ""),
            ("ssk (slants right)", ""),
            ("k2tog (double decrease)", ""),
            ("knit (2 sts)", ""),
            ("knit (increase)", ""),
            ("purl (dec 1 st)", ""),
            ("kfb (inc 2)", ""),
            ("2/2 RC (left cross)", ""),
            ("2/2 RC (cable 4 front)", ""),
            ("LT (right twist)", ""),
            ("knit (left leaning)", ""),
            // One side in the gloss.
            ("knit (purl on WS)", "k"),
            ("k2tog (p2tog on WS)", "k2tog"),
            ("knit (knit on WS)", "k / k"),
            ("knit (garter)", "k / k"),
            ("garter: knit", "k / k"),
            ("purl (purl on WS)", "p / p"),
            ("purl (k2tog on WS)", ""),
            ("yo (purl on WS)", ""),
            ("k2tog (knit on RS)", ""),
            // Both sides behind the name of the stitch.
            ("knit stitch (RS: knit, WS: purl)", "k"),
            ("purl stitch – RS: purl; WS: knit", "p"),
            ("Stockinette: RS knit, WS purl", "k"),
            ("knit stitch RS: knit WS: knit", "k / k"),
            ("knit (RS: purl, WS: knit)", ""),
            ("knit RS: purl WS: knit", ""),
            ("Background RS: purl WS: knit", "p"),
        ] {
            assert_eq!(says(text), name, "{text:?}");
        }
    }

    /// A few words behind a stitch that are not known are told; names before one are the designer's own.
    #[test]
    fn glosses_that_are_not_known_are_told() {
        for (text, aside) in [
            ("knit (zigzag)", Some("zigzag")),
            ("yo: as in Row 3 of the border", None),
            ("purl - very firmly", Some("very firmly")),
            ("Leaf vein: knit", None),
            ("yo (eyelet)", None),
            ("knit (main background)", None),
            ("k2tog (/)", None),
            ("knit (RS)", None),
            ("knit (RS)/purl (WS)", None),
            ("knit (every row)", None),
            ("knit (both sides)", None),
        ] {
            assert_eq!(left_aside(text, &mut Stitches::built_in()), aside, "{text}");
        }
    }
}
