//! What a key says of a symbol.

use std::cell::RefCell;
use std::rc::Rc;

use foldhash::{HashMap, HashMapExt};

use super::english::{self, on_both_sides};
use super::gloss;
use super::{boil, crossing};
use crate::pattern::Side;
use crate::stitch::{StitchId, Stitches};

/// What the words of a key entry give.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Looks {
    /// A stitch and its usual opposite, as seen from the RS.
    Stitch(StitchId),
    /// What the hands do on each side, where the two are not each other's usual opposites.
    Sides {
        /// On RS rows.
        rs: StitchId,
        /// On WS rows.
        ws: StitchId,
    },
}

/// Reads what a key says of a symbol: "yarn over", "K on RS, P on WS", "RS: knit; WS: purl", "knit every row",
/// "k2tog (knit 2 together)", "k2tog = knit 2 together". `None` where no stitch, or more than one, is named.
///
/// The keys of an archive say the same few words over and over: what they mean where the designer has no stitches of their
/// own is kept. Own stitches may have any words.
pub fn meaning(text: &str, stitches: &mut Stitches) -> Option<Looks> {
    meaning_within(text, 0, stitches)
}

/// Whether words slip a stitch and do not say where the yarn lies. They are often the beginning of others, and a stitch only
/// where an entry says no more.
pub fn is_bare_slip(text: &str) -> bool {
    const LONGEST: usize = 30;
    let begins = |first: char| first.eq_ignore_ascii_case(&'s');
    if text.len() > LONGEST || !text.trim_start().starts_with(begins) {
        return false;
    }
    let words = boil(text);
    let words: Vec<&str> =
        words.iter().map(String::as_str).filter(|word| !matches!(*word, "1" | "st")).collect();
    matches!(words[..], ["sl"] | ["sl", "pwise"])
}

/// The same of words that so many others gloss. Short ones hold few glosses; a cell may hold a text that is nothing but.
pub(super) fn meaning_within(text: &str, glosses: usize, stitches: &mut Stitches) -> Option<Looks> {
    const KEPT: usize = 500;
    const LONGEST: usize = 80;
    const MOST_GLOSSES: usize = 3;
    thread_local! {
        static KNOWN: RefCell<HashMap<Box<str>, Option<Named>>> = RefCell::new(HashMap::new());
    }
    if text.len() > LONGEST {
        return if glosses > MOST_GLOSSES { None } else { read(text, glosses, stitches) };
    }
    if stitches.own().next().is_some() {
        return read(text, 0, stitches);
    }
    if let Some(known) = KNOWN.with_borrow(|known| known.get(text).cloned()) {
        return known.and_then(|named| named.looks(stitches));
    }
    let looks = read(text, 0, stitches);
    let named = looks.map(|looks| Named::of(looks, stitches));
    KNOWN.with_borrow_mut(|known| {
        if known.len() >= KEPT {
            known.clear();
        }
        known.insert(text.into(), named);
    });
    looks
}

/// What words give, in any dictionary without own stitches.
#[derive(Clone)]
enum Named {
    /// Built-in stitches, which have one place in all dictionaries.
    BuiltIn(Looks),
    /// The name of a cable, which has its place in each dictionary anew.
    Cable(Rc<str>),
    /// The names of what the hands do on RS and WS rows, where either is a cable.
    Cables(Rc<str>, Rc<str>),
}

impl Named {
    fn of(looks: Looks, stitches: &Stitches) -> Self {
        let name = |id: StitchId| Rc::from(stitches.get(id).name.as_str());
        match looks {
            Looks::Stitch(id) if !id.is_built_in() => Self::Cable(name(id)),
            Looks::Sides { rs, ws } if !rs.is_built_in() || !ws.is_built_in() => {
                Self::Cables(name(rs), name(ws))
            }
            looks => Self::BuiltIn(looks),
        }
    }

    fn looks(&self, stitches: &mut Stitches) -> Option<Looks> {
        match self {
            Self::BuiltIn(looks) => Some(*looks),
            Self::Cable(name) => stitches.find(name).map(Looks::Stitch),
            Self::Cables(rs, ws) => Some(Looks::Sides { rs: stitches.find(rs)?, ws: stitches.find(ws)? }),
        }
    }
}

fn read(text: &str, glosses: usize, stitches: &mut Stitches) -> Option<Looks> {
    let text =
        text.trim().trim_end_matches(['.', ';', ',']).trim_start_matches(['=', ':', '-', '–', '—']).trim();
    if let Some(id) = stitch(text, stitches) {
        return Some(Looks::Stitch(id));
    }
    if let Some(id) = crossing::told(text, stitches) {
        return Some(Looks::Stitch(id));
    }
    both_sides(text, stitches)
        .or_else(|| by_side(text, stitches))
        .or_else(|| gloss::glossed(text, glosses, stitches))
        .or_else(|| read(&plainer(text)?, glosses, stitches))
}

/// The words as abbreviations have them: "purled on WS" is "purl on WS", "then knit them together" "knit together".
fn plainer(text: &str) -> Option<String> {
    const PLAINER: [(&str, &str); 5] =
        [("knitted", "knit"), ("purled", "purl"), ("slipped", "slip"), ("then", ""), ("them", "")];
    let plain =
        |word: &str| PLAINER.iter().find(|(said, _)| word.eq_ignore_ascii_case(said)).map(|(_, to)| *to);
    let words = || text.split(' ');
    // What is made plain holds none of these any more.
    words().any(|word| plain(word).is_some()).then(|| {
        let words: Vec<&str> = words().map(|word| plain(word).unwrap_or(word)).collect();
        words.join(" ")
    })
}

/// "Knit every row", "k on both sides".
fn both_sides(text: &str, stitches: &mut Stitches) -> Option<Looks> {
    const ENDINGS: [&[&str]; 12] = [
        &["every", "rnd"],
        &["on", "every", "rnd"],
        &["all", "rnd"],
        &["on", "all", "rnd"],
        &["every", "row"],
        &["on", "every", "row"],
        &["all", "rows"],
        &["on", "all", "rows"],
        &["on", "both", "sides"],
        &["both", "sides"],
        &["on", "rs", "and", "ws"],
        &["on", "rs", "and", "on", "ws"],
    ];
    let words = boil(text);
    if let Some(id) = on_both_sides(&words).and_then(|name| stitches.find(name)) {
        return Some(sides(id, id, stitches));
    }
    ENDINGS.iter().find_map(|ending| {
        let stem = strip(&words, ending)?;
        let id = stitch(&stem.join(" "), stitches)?;
        Some(sides(id, id, stitches))
    })
}

fn strip<'a>(words: &'a [String], ending: &[&str]) -> Option<&'a [String]> {
    let at = words.len().checked_sub(ending.len())?;
    words[at..].iter().zip(ending).all(|(word, end)| word == end).then(|| &words[..at])
}

/// "K on RS, P on WS", "RS: k, WS: p", "k (RS), p (WS)".
fn by_side(text: &str, stitches: &mut Stitches) -> Option<Looks> {
    let words = boil(text);
    let rs = words.iter().position(|word| word == "rs");
    let ws = words.iter().position(|word| word == "ws");
    match (rs, ws) {
        (Some(rs), Some(ws)) => {
            let (first, second) = (rs.min(ws), rs.max(ws));
            let [head, between, behind] =
                [&words[..first], &words[first + 1..second], &words[second + 1..]].map(bare);
            // "Knit stitch RS: knit, WS: purl".
            let named = !head.is_empty() && stitch(&behind.join(" "), stitches).is_some();
            let (one, two) =
                if head.is_empty() || named { (between, behind) } else { (head.clone(), between) };
            let two = told_short(&one, two);
            let (one, two) = (stitch(&one.join(" "), stitches)?, stitch(&two.join(" "), stitches)?);
            let (rs, ws) = if rs < ws { (one, two) } else { (two, one) };
            let looks = sides(rs, ws, stitches);
            let fits = !named || fits_name(&head.join(" "), rs, looks, stitches);
            fits.then_some(looks)
        }
        (Some(rs), None) => {
            let stem = [bare(&words[..rs]), bare(&words[rs + 1..])].concat();
            stitch(&stem.join(" "), stitches).map(Looks::Stitch)
        }
        (None, Some(ws)) => {
            let stem = [bare(&words[..ws]), bare(&words[ws + 1..])].concat();
            let ws = stitch(&stem.join(" "), stitches)?;
            // Not the stitch that it shows: in a chart whose symbols are as worked it is worked on the WS as it is told.
            Some(Looks::Sides { rs: stitches.opposite(ws)?, ws })
        }
        (None, None) => None,
    }
}

/// Whether what the hands do on each side may go by a name: that of the stitch as it looks, or one that names no stitch.
fn fits_name(name: &str, rs: StitchId, looks: Looks, stitches: &mut Stitches) -> bool {
    match stitch(name, stitches) {
        Some(id) => id == rs,
        None => gloss::weigh(name, "", looks, stitches) != gloss::Gloss::Differs,
    }
}

/// What a key's words say besides the stitch they name, where it may change how that is worked: "yo (work tbl on next row)",
/// "knit - edge stitch, slip first st of row". A gloss that only explains the stitch says nothing besides.
pub fn left_aside<'a>(text: &'a str, stitches: &mut Stitches) -> Option<&'a str> {
    const MARKS: [char; 8] = ['(', ')', ',', ';', ':', '=', '–', '—'];
    if !text.contains(MARKS) && !text.contains(" - ") {
        return None;
    }
    let whole = meaning(text, stitches)?;
    let known = boil(text);
    let starts = text
        .match_indices(MARKS)
        .map(|(at, mark)| (at, at + mark.len()))
        .chain(text.match_indices(" - ").map(|(at, mark)| (at, at + mark.len())));
    let mut starts: Vec<(usize, usize)> = starts.collect();
    starts.sort_unstable();
    starts.truncate(MOST_PARTS);
    let mut ends = starts.iter().skip(1).map(|(at, _)| *at).chain([text.len()]);
    let told = starts.iter().find_map(|&(at, start)| {
        let part = text.get(start..ends.next()?)?.trim();
        let head = text.get(..at)?;
        let words = boil(part);
        // What is worked otherwise, and where.
        let other = words.iter().any(|word| {
            english::is_work(word)
                && known.iter().filter(|one| *one == word).count()
                    == words.iter().filter(|one| *one == word).count()
        });
        let says =
            other && words.iter().any(|word| english::is_where(word)) && meaning(part, stitches).is_none();
        (says && meaning(head, stitches) == Some(whole)).then_some(part)
    });
    told.or_else(|| gloss::not_known(text, stitches))
}

/// The most parts of the words of an entry that are looked at.
const MOST_PARTS: usize = 12;

/// The only side that a key's words name: "RS: knit", "purl on WS".
pub fn one_side(text: &str) -> Option<Side> {
    match (names_side(text, Side::Rs), names_side(text, Side::Ws)) {
        (true, false) => Some(Side::Rs),
        (false, true) => Some(Side::Ws),
        _ => None,
    }
}

/// Whether a key's words name a side.
pub fn names_side(text: &str, side: Side) -> bool {
    // Most words name none.
    text.contains(['S', 's']) && boil(text).iter().any(|word| word.eq_ignore_ascii_case(side.word()))
}

/// The words without the small ones that only join, and without the mark that parts two sides: "K on RS / P on WS".
fn bare(words: &[String]) -> Vec<String> {
    let joins =
        |word: &&String| !matches!(word.as_str(), "on" | "and" | "rows" | "row" | "of" | "side" | "but");
    let mut bare: Vec<String> = words.iter().filter(joins).cloned().collect();
    let parts = |word: Option<&String>| word.is_some_and(|word| word == "/");
    if parts(bare.last()) {
        bare.pop();
    }
    if parts(bare.first()) {
        bare.remove(0);
    }
    bare
}

/// What is worked on the second side where only the yarn is told of it: "slip 1 wyif on RS, wyib on WS".
fn told_short(one: &[String], two: Vec<String>) -> Vec<String> {
    let yarn = |words: &[String]| -> Option<&'static str> {
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        match words[..] {
            ["wyif"] | ["in", "front"] => Some("wyif"),
            ["wyib"] | ["in", "back"] => Some("wyib"),
            _ => None,
        }
    };
    match (one.split_last(), yarn(&two)) {
        (Some((last, stem)), Some(other))
            if !stem.is_empty() && yarn(std::slice::from_ref(last)).is_some() =>
        {
            stem.iter().cloned().chain([other.to_owned()]).collect()
        }
        _ => two,
    }
}

/// The stitch that words name; a word for a yarn over that says where the yarn lies is a yarn over, wherever it stands.
fn stitch(text: &str, stitches: &mut Stitches) -> Option<StitchId> {
    super::stitch(text, stitches).map(|id| stitches.plain(id))
}

/// What the hands do on each side, or the stitch where that is usual.
pub(super) fn sides(rs: StitchId, ws: StitchId, stitches: &mut Stitches) -> Looks {
    if stitches.opposite(rs) == Some(ws) { Looks::Stitch(rs) } else { Looks::Sides { rs, ws } }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::stitch::OwnStitch;

    /// What the words of a key mean, by names: "k", "k / p" for the two sides, nothing where they can't be read.
    pub(in crate::words) fn says(text: &str) -> String {
        let mut stitches = Stitches::built_in();
        let looks = meaning(text, &mut stitches);
        let name = |id| stitches.get(id).name.clone();
        match looks {
            None => String::new(),
            Some(Looks::Stitch(id)) => name(id),
            Some(Looks::Sides { rs, ws }) => format!("{} / {}", name(rs), name(ws)),
        }
    }

    /// What was kept of a text holds among the built-in stitches alone: a stitch of the designer's own that has the words
    /// goes before, and a cable has its place in each dictionary anew.
    #[test]
    fn what_words_mean_depends_on_the_dictionary() {
        let mut plain = Stitches::built_in();
        let Some(Looks::Stitch(built_in)) = meaning("yarn over", &mut plain) else { panic!("a yarn over") };
        assert_eq!(plain.get(built_in).name, "yo");
        let own = OwnStitch { name: "yarn over".to_owned(), ..OwnStitch::default() };
        let mut with_own = Stitches::with_own(&[own]);
        let Some(Looks::Stitch(own)) = meaning("yarn over", &mut with_own) else { panic!("the own stitch") };
        assert_eq!(with_own.get(own).name, "yarn over");
        for (first, second) in [("2/2 RC", "3/3 LC"), ("3/3 LC", "2/2 RC")] {
            let mut stitches = Stitches::built_in();
            let names = [first, second].map(|words| match meaning(words, &mut stitches) {
                Some(Looks::Stitch(id)) => stitches.get(id).name.clone(),
                _ => String::new(),
            });
            assert_eq!(names, [first, second].map(|words| words.to_lowercase().replace(' ', "")));
        }
        assert_eq!(meaning("yarn over", &mut Stitches::built_in()), Some(Looks::Stitch(built_in)));
    }

    /// A cell may hold a text that is cut into head and tail thousands of times; that of a designer is cut a few times.
    #[test]
    fn glosses_within_glosses_come_to_an_end() {
        for mark in [":", "=", "(", " - ", "; "] {
            let text = format!("zig{mark}").repeat(5_000) + "zag";
            assert_eq!(says(&text), "", "{mark}");
            assert_eq!(says(&format!("k2tog{mark}{text}")), "k2tog", "{mark}");
        }
    }

    /// What would change the work is named; what only says the same again, or what the stitch is for, is not.
    #[test]
    fn what_else_a_key_says_is_known() {
        for (text, aside) in [
            ("yo (work tbl on next row)", Some("work tbl on next row")),
            ("purl (knit on row 2)", Some("knit on row 2")),
            ("knit - edge stitch, slip first st of row", Some("slip first st of row")),
            ("k on RS, k on WS, slip at beg of row", Some("slip at beg of row")),
            ("yarn over; on WS purl it tbl", Some("on WS purl it tbl")),
            ("k2tog (knit 2 together)", None),
            ("K on RS, P on WS", None),
            ("RS: knit; WS: purl", None),
            ("k2tog (right-slanting decrease)", None),
            ("knit (background)", None),
            ("sl 1 wyif (slip with yarn in front on RS)", None),
            ("2/2 RC: sl 2 sts to cn, hold in back, k2, k2 from cn", None),
            ("sl 1, k2tog, psso", None),
            ("yarn over", None),
        ] {
            assert_eq!(left_aside(text, &mut Stitches::built_in()), aside, "{text}");
        }
    }

    /// Source: domain.md sections 3 and 4, contract.md "Key words are read in the trade's language".
    #[test]
    fn keys_in_words() {
        for (text, meaning) in [
            ("yarn over", "yo"),
            ("K on RS, P on WS", "k"),
            ("knit on right side, purl on wrong side", "k"),
            ("p on RS, k on WS", "p"),
            ("RS: knit; WS: purl", "k"),
            ("WS: p, RS: k", "k"),
            ("k2tog on RS, p2tog on WS", "k2tog"),
            ("k on RS, k on WS", "k / k"),
            ("knit every row", "k / k"),
            ("Knit on both sides", "k / k"),
            ("purl every row", "p / p"),
            ("k tbl", "ktbl"),
            ("k2tog (knit 2 together)", "k2tog"),
            ("k2tog = knit 2 together", "k2tog"),
            ("yo: yarn over", "yo"),
            ("= yarn over", "yo"),
            ("sl 1, k2tog, psso", "sk2p"),
            ("(k1, yo, k1) in one st", "kyok"),
            ("2/2 RC", "2/2rc"),
            ("2/2 RC: sl 2 sts to cn, hold in back, k2, k2 from cn", "2/2rc"),
            // The words are those of the left cross.
            ("2/2 RC: sl 2 sts to cn, hold in front, k2, k2 from cn", ""),
            ("no stitch", "ns"),
            ("knit (purl)", ""),
            ("RS knit / WS purl", "k"),
            ("K on RS / P on WS", "k"),
            ("k RS/p WS", "k"),
            ("2/2 RC on RS", "2/2rc"),
            ("slip 1 wyif on RS, wyib on WS", "sl1wyif"),
            ("slip 1 with yarn in back on RS, in front on WS", "sl1wyib"),
            ("slip 1 wyif on RS, wyif on WS", "sl1wyif / sl1wyif"),
            ("slip 1 as if to purl with yarn in front", "sl1wyif"),
            ("knit every round", "k / k"),
            ("purl all rounds", "p / p"),
            ("garter stitch", "k / k"),
            ("cast off 1 st", "bo"),
            ("bind off next stitch", "bo"),
            ("cast on 1 stitch", "co"),
            ("stockinette stitch", "k"),
            ("knit into back of stitch", "ktbl"),
            ("2/1 purl left cross", "2/1lpc"),
            ("yfwd", "yo"),
            ("yarn forward", "yo"),
            ("yrn", "yo"),
            ("yarn round needle on RS", "yo"),
            ("Knit two stitches together.", "k2tog"),
            ("purl 2 sts together on RS", "p2tog"),
            ("knit 3 stitches together", "k3tog"),
            ("knit 2 sts together through back loops", "k2togtbl"),
            ("Slip two stitches one at a time knitwise, knit together through back loops.", "ssk"),
            ("slip 2 sts knitwise, one at a time, then knit them together tbl", "ssk"),
            ("slip stitch purlwise with yarn in front", "sl1wyif"),
            ("slip 1 st with yarn in back", "sl1wyib"),
            ("slip one stitch purlwise wyif", "sl1wyif"),
            ("[k1 yo k1 yo k1] in 1 st", "kyokyok"),
            ("(p1, yo, p1, yo, p1) in next st", "pyopyop"),
            ("knit in back loop", "ktbl"),
            ("knit into the back loop", "ktbl"),
            ("purl in back loop", "ptbl"),
            ("k5tog", "k5tog"),
            ("purl five together", "p5tog"),
            ("knit on RS and purled on WS", "k"),
            ("knitted on RS, knitted on WS", "k / k"),
            // The WS alone: on the RS it is that stitch's opposite.
            ("k on WS", "p / k"),
            ("WS: purl", "k / p"),
            ("purl on wrong side rows", "k / p"),
            ("p2tog on WS", "k2tog / p2tog"),
            ("slip 1 wyif on WS", "sl1wyib / sl1wyif"),
            ("k on Tuesdays", ""),
            ("decrease", ""),
            // What is told of one side does not stand for both.
            ("knit on RS; hop on WS", ""),
            ("RS: knit; WS: hop", ""),
            ("k on RS - hop on WS", ""),
            ("k2tog (k2tog on RS, p2tog on WS)", "k2tog"),
            ("Right-slanting: k2tog on RS, p2tog on WS", "k2tog"),
        ] {
            assert_eq!(says(text), meaning, "{text:?}");
        }
    }
}
