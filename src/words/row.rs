//! The text of a row to its items: runs, groups, repeats, "to end" and "to last n sts".
//!
//! ```text
//! row    := item (("," | ";" | ".")? item)*
//! item   := stars row stars? "rep from *" ("to" stars)? until ("end last rep" item)?
//!         | stars row stars until
//!         | "[" row "]" (until | "in next st" | "into double yo")
//!         | "repeat the following" until row "end of repeat"
//!         | words until?
//! until  := n "times" | "twice" | n "times more" | "a total of" n "times"
//!         | "to end" | "to last" n "sts" | "to" n "sts before m"
//! ```
//!
//! A row that is a single stitch without a number ("Purl.") is worked to the end.

mod group;
mod tokens;
mod until;

use std::ops::Range;

use super::means::Means;
use super::{PHRASES, boil_words, cable, counted, own, squeeze};
use crate::pattern::Side;
use crate::stitch::{StitchId, Stitches, Terms};
use crate::written::{Extent, Item};
use tokens::{Kind, Token, tokens};
use until::{Until, until};

/// Why a row can't be read, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RowError {
    /// The bytes of the text that can't be read.
    pub at: Range<usize>,
    /// What is the matter with them.
    pub mistake: RowMistake,
}

/// What is the matter with some words of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RowMistake {
    /// They name no stitch.
    UnknownWords,
    /// A bracket or an asterisk is opened and not closed, or closed and not opened.
    Unclosed,
    /// A group that is not said to be worked any number of times.
    NoExtent,
    /// They tell of something that rows of stitches can't hold: turning, holders, picked-up stitches.
    BeyondRows,
    /// There is nothing to work.
    Empty,
}

/// Groups inside groups beyond this depth are no knitting.
const DEEPEST: usize = 16;

/// The longest phrase for one piece, in words.
const LONGEST_PHRASE: usize = 40;

/// What a row is read with.
pub struct Context<'a> {
    /// The dictionary.
    pub stitches: &'a mut Stitches,
    /// Words with a meaning of their own.
    pub means: &'a Means,
    /// The side that faces the knitter, where it is known: a bare "sl 1" goes by it.
    pub side: Option<Side>,
}

/// A piece of a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Piece {
    /// Something worked.
    Work(Item),
    /// A marker is placed.
    Place,
    /// A marker is slipped.
    Slip,
    /// A marker is removed.
    Remove,
    /// Something worked until so many stitches before the next marker.
    UntilMarker {
        /// What is worked.
        items: Vec<Item>,
        /// The stitches before the marker.
        before: u32,
    },
}

/// A row as read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Work {
    /// Its pieces; those that can't be read are left out.
    pub pieces: Vec<Piece>,
    /// The pieces as they are if "rep from * 3 times" means 3 in all, where the row says that; they are then
    /// `pieces` if it means 3 more.
    pub in_all: Option<Vec<Piece>>,
    /// Where a stitch is slipped without a word on how.
    pub bare_slips: Vec<Range<usize>>,
    /// Whether markers stand in the row.
    pub markers: bool,
    /// What can't be read.
    pub errors: Vec<RowError>,
}

/// Reads the text of a row: "K3, p to last 3 sts, k3", "*K1, p1; rep from * to last st, k1".
///
/// # Errors
/// The first words that can't be read, with their place in the text.
pub fn row(text: &str, stitches: &mut Stitches) -> Result<Vec<Item>, RowError> {
    let means = Means::default();
    let Work { pieces, errors, .. } = work(text, &mut Context { stitches, means: &means, side: None });
    if let Some(error) = errors.into_iter().next() {
        return Err(error);
    }
    let items: Option<Vec<Item>> = pieces
        .into_iter()
        .map(|piece| match piece {
            Piece::Work(item) => Some(item),
            _ => None,
        })
        .collect();
    items.ok_or(RowError { at: 0..text.len(), mistake: RowMistake::UnknownWords })
}

/// Reads the text of a row with everything that is wrong in it.
pub fn work(text: &str, context: &mut Context<'_>) -> Work {
    let tokens = tokens(text);
    let (mut work, doubtful) = Parser::new(&tokens, context, false).row(text);
    if doubtful {
        let (other, _) = Parser::new(&tokens, context, true).row(text);
        work.in_all = Some(other.pieces);
    }
    work
}

/// What ends a list of items.
#[derive(Clone, Copy, PartialEq)]
enum End {
    Row,
    Bracket(char),
    Star(usize),
    Told,
}

struct Parser<'p, 'a> {
    tokens: &'p [Token],
    at: usize,
    context: &'p mut Context<'a>,
    /// Whether "rep from * 3 times" means 3 in all.
    in_all: bool,
    /// Whether such a number was met.
    doubtful: bool,
    /// Whether the piece read last was a stitch without a number.
    unnumbered: bool,
    work: Work,
}

type Read<T> = Result<T, RowError>;

impl<'p, 'a> Parser<'p, 'a> {
    fn new(tokens: &'p [Token], context: &'p mut Context<'a>, in_all: bool) -> Self {
        let work = Work::default();
        Self { tokens, at: 0, context, in_all, doubtful: false, unnumbered: false, work }
    }

    fn row(mut self, text: &str) -> (Work, bool) {
        if let Err(error) = self.pieces() {
            self.work.errors.push(error);
        }
        let Work { pieces, errors, .. } = &mut self.work;
        if pieces.is_empty() && errors.is_empty() {
            errors.push(RowError { at: 0..text.len(), mistake: RowMistake::Empty });
        }
        if let [Piece::Work(Item::Run { stitch, extent })] = &mut pieces[..]
            && *extent == Extent::Times(1)
            && self.unnumbered
            && self.context.stitches.get(*stitch).words(Terms::Us).bare.is_some()
        {
            *extent = Extent::ToLast(0);
        }
        (self.work, self.doubtful)
    }

    /// The pieces of the row itself.
    fn pieces(&mut self) -> Read<()> {
        while self.at < self.tokens.len() {
            let mut items = Vec::new();
            self.items(End::Row, 0, &mut items)?;
            self.work.pieces.extend(items.into_iter().map(Piece::Work));
            if self.at >= self.tokens.len() {
                break;
            }
            // A piece that only stands in the row itself: a marker, or work that goes as far as one.
            let (piece, length) = self.marked().ok_or_else(|| self.error(self.at, self.at + 1))?;
            self.at += length;
            self.work.markers = true;
            self.work.pieces.push(piece);
        }
        Ok(())
    }

    fn kind(&self) -> Option<&'p Kind> {
        self.tokens.get(self.at).map(|token| &token.kind)
    }

    fn word(&self, ahead: usize) -> Option<&'p str> {
        self.tokens.get(self.at + ahead).and_then(Token::word)
    }

    /// Words that name no stitch.
    fn error(&self, from: usize, to: usize) -> RowError {
        self.mistake(from, to, RowMistake::UnknownWords)
    }

    fn mistake(&self, from: usize, to: usize, mistake: RowMistake) -> RowError {
        let start = self.tokens.get(from).or(self.tokens.last()).map_or(0, |token| token.at.start);
        let end =
            to.checked_sub(1).and_then(|last| self.tokens.get(last)).map_or(start, |token| token.at.end);
        RowError { at: start..end.max(start), mistake }
    }

    /// Items up to what ends them, which is not taken; in the row itself also up to a marker.
    fn items(&mut self, end: End, depth: usize, items: &mut Vec<Item>) -> Read<()> {
        let opened = self.at.saturating_sub(1);
        if depth > DEEPEST {
            return Err(self.mistake(opened, self.at, RowMistake::Unclosed));
        }
        while let Some(kind) = self.kind() {
            match kind {
                Kind::Comma | Kind::Semicolon => self.at += 1,
                Kind::Word(word) => {
                    if self.ends(end) || (end == End::Row && self.marked().is_some()) {
                        return Ok(());
                    }
                    if let Some((_, length)) = self.marked() {
                        // Inside a group a marker is only passed.
                        self.at += length;
                        self.work.markers = true;
                    } else if self.begins_told() {
                        let item = self.told(depth)?;
                        items.push(item);
                    } else if self.is_filler(word) {
                        self.at += 1;
                    } else if word == "rep" || word == "repeat" {
                        return Err(self.mistake(self.at, self.at + 1, RowMistake::Unclosed));
                    } else {
                        self.phrase(items);
                    }
                }
                Kind::Star(_) if self.ends(end) => return Ok(()),
                Kind::Star(stars) => self.starred(*stars, depth, items)?,
                Kind::Open(bracket) => self.bracketed(*bracket, depth, items)?,
                Kind::Close(close) => {
                    if end == End::Bracket(*close) {
                        return Ok(());
                    }
                    return Err(self.mistake(self.at, self.at + 1, RowMistake::Unclosed));
                }
            }
        }
        if end == End::Row { Ok(()) } else { Err(self.mistake(opened, self.at, RowMistake::Unclosed)) }
    }

    /// Whether what ends these items comes next.
    fn ends(&self, end: End) -> bool {
        match end {
            End::Row => false,
            End::Bracket(close) => self.kind() == Some(&Kind::Close(close)),
            End::Star(stars) => {
                self.kind() == Some(&Kind::Star(stars))
                    || (matches!(self.word(0), Some("rep" | "repeat" | "reps" | "work"))
                        && matches!(self.word(1), Some("from")))
            }
            End::Told => self.word(0) == Some("end") && self.word(1) == Some("of"),
        }
    }

    /// Words that only join: "then", "work [k1, p1] twice", "ending with k3".
    fn is_filler(&self, word: &str) -> bool {
        match word {
            "then" | "and" => true,
            "end" | "ending" | "ends" | "with" => self.at > 0,
            "rep" | "repeat" | "work" => {
                matches!(
                    self.tokens.get(self.at + 1).map(|token| &token.kind),
                    Some(Kind::Open(_) | Kind::Star(_))
                ) || (word == "work"
                    && self.tokens.get(self.at + 1).is_some_and(|token| token.word().is_some()))
            }
            _ => false,
        }
    }

    /// The words from here to the next mark.
    fn words(&self) -> Vec<String> {
        self.words_from(self.at)
    }

    fn words_from(&self, at: usize) -> Vec<String> {
        let rest = self.tokens.get(at..).unwrap_or_default();
        rest.iter().take(LONGEST_PHRASE).map_while(Token::word).map(str::to_owned).collect()
    }

    /// A piece of words: the longest that can be read. What can't be read is passed over with an error.
    fn phrase(&mut self, items: &mut Vec<Item>) {
        if let Some(item) = self.joined() {
            items.push(item);
            return;
        }
        let words = self.words();
        for length in (1..=words.len()).rev() {
            if let Some(item) = self.run(&words[..length], self.at) {
                self.at += length;
                items.push(item);
                return;
            }
        }
        // What can't be read ends where something can be read again.
        let beyond = words.iter().enumerate().any(|(at, _)| is_beyond_rows(&words[at..]));
        let mut readable = |&from: &usize| {
            words[from].chars().all(char::is_alphabetic)
                && (from + 1..=words.len()).rev().any(|to| {
                    let boiled = boil_words(&words[from..to]);
                    boiled.iter().any(|word| word.parse::<u32>().is_ok())
                        && counted(&boiled, self.context.stitches).is_some()
                })
        };
        let bad =
            if beyond { words.len() } else { (1..words.len()).find(&mut readable).unwrap_or(words.len()) };
        let mistake = if beyond { RowMistake::BeyondRows } else { RowMistake::UnknownWords };
        let error = self.mistake(self.at, self.at + bad.max(1), mistake);
        self.work.errors.push(error);
        self.at += bad.max(1);
    }

    /// A run in all of these words, which begin at a token.
    fn run(&mut self, words: &[String], at: usize) -> Option<Item> {
        let boiled = plain(boil_words(words));
        if let Some((stitch, times)) = self.counted(&boiled, at, words.len()) {
            self.unnumbered = !boiled.iter().any(|word| word.parse::<u32>().is_ok());
            return Some(Item::Run { stitch, extent: Extent::Times(times) });
        }
        for split in 1..boiled.len() {
            let Some(until) = until(&boiled[split..]) else { continue };
            let Some((stitch, times)) = self.counted(&boiled[..split], at, words.len()) else { continue };
            let extent = match until {
                Until::Times(n, _) => Extent::Times(n.checked_mul(times)?),
                // "K1, p1 to end" means the two of them, "p to end" only the one: it is not for us to choose.
                Until::ToLast(_) if self.may_mean_more(stitch, &boiled[..split]) => return None,
                Until::ToLast(left) if times == 1 => Extent::ToLast(left),
                _ => continue,
            };
            self.unnumbered = false;
            return Some(Item::Run { stitch, extent });
        }
        None
    }

    /// Whether a stitch with its number, "p1 to end", may stand for all the pieces before it too.
    fn may_mean_more(&self, stitch: StitchId, boiled: &[String]) -> bool {
        let bare = self.context.stitches.get(stitch).words(Terms::Us).bare.is_some();
        bare && boiled.iter().any(|word| word.parse::<u32>().is_ok())
    }

    /// The stitch of boiled words and its number, by the words' own meanings first.
    fn counted(&mut self, boiled: &[String], at: usize, length: usize) -> Option<(StitchId, u32)> {
        if let Some(found) = self.context.means.find(boiled) {
            return Some(found);
        }
        if let Some(found) = counted(boiled, self.context.stitches) {
            return Some(found);
        }
        let times = bare_slip(boiled)?;
        let name = match self.context.side? {
            Side::Rs => "sl1wyib",
            Side::Ws => "sl1wyif",
        };
        let stitch = self.context.stitches.find(name)?;
        let place = self.error(at, at + length).at;
        self.work.bare_slips.push(place);
        Some((stitch, times))
    }

    /// A stitch whose words hold commas: "sl 1, k2tog, psso"; the longest that is one.
    fn joined(&mut self) -> Option<Item> {
        let mut words = Vec::new();
        let mut best = None;
        let mut parts = 0;
        let mut at = self.at;
        while let Some(token) = self.tokens.get(at).filter(|_| words.len() < LONGEST_PHRASE) {
            match &token.kind {
                Kind::Word(word) => words.push(word.clone()),
                Kind::Comma if parts < 5 => {
                    parts += 1;
                    at += 1;
                    continue;
                }
                _ => break,
            }
            at += 1;
            let part_ends = self.tokens.get(at).is_none_or(|token| token.word().is_none());
            if parts == 0 || !part_ends {
                continue;
            }
            let boiled = boil_words(&words);
            let squeezed = squeeze(&boiled);
            // How the first stitch is slipped is part of the decrease.
            let bare: Vec<String> =
                boiled.into_iter().filter(|word| !matches!(word.as_str(), "kwise" | "wyib")).collect();
            let found = own(&squeezed, self.context.stitches)
                .or_else(|| PHRASES.exact.get(&squeezed).copied())
                .or_else(|| PHRASES.exact.get(&squeeze(&bare)).copied())
                .or_else(|| cable(&squeezed, self.context.stitches));
            if let Some(id) = found {
                best = Some((at, id));
            }
        }
        let (after, stitch) = best?;
        self.at = after;
        self.unnumbered = false;
        Some(Item::Run { stitch, extent: Extent::Times(1) })
    }

    /// A marker, or work up to one, and how many words tell of it.
    fn marked(&self) -> Option<(Piece, usize)> {
        let words = self.words();
        let one = |length: usize| {
            let boiled = boil_words(words.get(..length)?);
            match boiled.iter().map(String::as_str).collect::<Vec<_>>()[..] {
                ["pm"] => Some(Piece::Place),
                ["sm"] => Some(Piece::Slip),
                ["rm"] => Some(Piece::Remove),
                _ => None,
            }
        };
        if let Some((piece, length)) =
            (1..=2.min(words.len())).rev().find_map(|length| Some((one(length)?, length)))
        {
            return Some((piece, length));
        }
        if !words.iter().any(|word| matches!(word.as_str(), "m" | "marker")) {
            return None;
        }
        for length in (2..=words.len()).rev() {
            for split in 1..length {
                let Some(Until::BeforeMarker(before)) = until(&words[split..length]) else { continue };
                let boiled = plain(boil_words(&words[..split]));
                let mut stitches = self.context.stitches.clone();
                let found = self.context.means.find(&boiled).or_else(|| counted(&boiled, &mut stitches));
                // A cable that is not met before has no name here: it is not worked up to a marker either.
                let Some((stitch, 1)) =
                    found.filter(|(id, _)| *self.context.stitches == stitches || !stitches.get(*id).wide)
                else {
                    continue;
                };
                let items = vec![Item::Run { stitch, extent: Extent::Times(1) }];
                return Some((Piece::UntilMarker { items, before }, length));
            }
        }
        None
    }
}

/// Boiled words without those that say nothing: "k next 3 sts", "k 3 sts", "BO 4 sts at beg of row".
fn plain(mut boiled: Vec<String>) -> Vec<String> {
    let is_number = |word: Option<&String>| word.is_some_and(|word| word.parse::<u32>().is_ok());
    for ending in
        [&["at", "beg", "of", "row"][..], &["at", "beg", "of", "next", "row"], &["purlwise", "loosely"]]
    {
        if boiled.ends_with(&ending.iter().map(|&word| word.to_owned()).collect::<Vec<_>>()) {
            boiled.truncate(boiled.len() - ending.len());
        }
    }
    let mut kept: Vec<String> = Vec::with_capacity(boiled.len());
    for (at, word) in boiled.iter().enumerate() {
        let next = boiled.get(at + 1);
        let silent = match word.as_str() {
            "next" => is_number(next),
            "st" => {
                is_number(at.checked_sub(1).and_then(|before| boiled.get(before)))
                    && (next.is_none()
                        || next.is_some_and(|next| next == "tbl" || next == "wyib" || next == "wyif"))
                    && !boiled[..at].iter().any(|word| word == "in" || word == "last" || word == "into")
            }
            _ => false,
        };
        if !silent {
            kept.push(word.clone());
        }
    }
    kept
}

/// How many stitches are slipped by words that do not say how: "sl 1", "sl st", "sl 2 purlwise".
fn bare_slip(boiled: &[String]) -> Option<u32> {
    let words: Vec<&str> = boiled.iter().map(String::as_str).collect();
    match words[..] {
        ["sl", "st"] | ["sl", "st", "pwise"] | ["sl", "pwise"] => Some(1),
        ["sl", n] | ["sl", n, "pwise"] | ["sl", n, "st", "pwise"] => n.parse().ok().filter(|&n: &u32| n > 0),
        _ => None,
    }
}

/// Whether words tell of something that rows of stitches can't hold.
fn is_beyond_rows(words: &[String]) -> bool {
    let words: Vec<&str> = words.iter().take(3).map(String::as_str).collect();
    matches!(
        words[..],
        ["turn" | "turning" | "holder" | "holders" | "wrap" | "divide" | "dividing" | "graft", ..]
            | ["w", "t", ..]
            | ["pick" | "picked" | "picking", "up", ..]
            | ["short", "row" | "rows", ..]
            | ["waste" | "scrap", "yarn", ..]
            | ["place" | "put", "next" | "these" | "rem" | "last", ..]
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::written::expand;

    fn works(text: &str, loops: u32) -> String {
        let mut stitches = Stitches::built_in();
        let items = row(text, &mut stitches).unwrap_or_else(|error| panic!("{text:?}: {error:?}"));
        let row = expand(&items, &stitches, loops).unwrap_or_else(|misfit| panic!("{text:?}: {misfit:?}"));
        row.iter().map(|&id| stitches.get(id).name.as_str()).collect::<Vec<_>>().join(" ")
    }

    /// Conventions of standards.md section 5 (W1, W2, W5) and domain.md section 5, expanded by hand.
    #[test]
    fn rows_in_print() {
        for (text, loops, stitches) in [
            ("K3, p to last 3 sts, k3", 8, "k k k p p k k k"),
            ("Purl.", 3, "p p p"),
            ("k", 2, "k k"),
            ("P to end.", 3, "p p p"),
            ("*K2, p2; rep from * to end.", 8, "k k p p k k p p"),
            ("*K2, p2; rep from * to last 2 sts, k2.", 6, "k k p p k k"),
            ("K1, *p1, k1; rep from * to end", 5, "k p k p k"),
            ("[K1, yo] twice, k1", 3, "k yo k yo k"),
            ("(k2tog) 3 times", 6, "k2tog k2tog k2tog"),
            ("k2tog 3 times", 6, "k2tog k2tog k2tog"),
            ("sl 1, k2tog, psso, k1", 4, "sk2p k"),
            ("Sl 1 wyif, k to last st, sl 1 wyif", 4, "sl1wyif k k sl1wyif"),
            ("(k1, yo, k1) in next st, p2", 3, "kyok p p"),
            ("2/2 RC, p1", 5, "2/2rc p"),
            ("yo twice, k2tog", 2, "yo2 k2tog"),
            ("*k1, p1; rep from * 2 more times", 6, "k p k p k p"),
            ("bo 2, k to end", 4, "bo bo k k"),
            ("knit 2, purl 2", 4, "k k p p"),
            ("[[k1, p1] twice, yo] twice", 8, "k p k p yo k p k p yo"),
        ] {
            assert_eq!(works(text, loops), stitches, "{text:?}");
        }
    }

    /// Repeats as they are printed: standards.md W1, W2, W4, W13, P8, P1a, P2a; the others common practice. Expanded
    /// by hand.
    #[test]
    fn repeats_in_print() {
        for (text, loops, stitches) in [
            ("*k1, p1*; rep from * to * twice more", 6, "k p k p k p"),
            ("*k1, p1* 3 times", 6, "k p k p k p"),
            ("*K2, p2, repeat from * two times more", 12, "k k p p k k p p k k p p"),
            ("*k1, p1; rep from * a total of 3 times", 6, "k p k p k p"),
            ("*k1, p1; rep from * 3 times", 8, "k p k p k p k p"),
            ("**k1, *p1; rep from * once more; rep from ** to end", 6, "k p p k p p"),
            ("** k1, p1 **; rep from ** to ** to last st, k1", 5, "k p k p k"),
            ("(k2tog)x3, (yo, k1)×2", 8, "k2tog k2tog k2tog yo k yo k"),
            ("[k1, (p1, k1) twice] to last st, k1", 6, "k p k p k k"),
            ("k1, *p1, k1; rep from *", 5, "k p k p k"),
            ("*yo, k2tog; rep from *, k1", 5, "yo k2tog yo k2tog k"),
            ("k1, *yo, k3; rep from * to end, ending last repeat k2 instead of k3", 6, "k yo k k k yo k k"),
            ("*p1, k2; rep from * to end, end last rep k1", 5, "p k k p k"),
            ("*p1, k2; rep from * to end (last repeat ends k1 for k2)", 5, "p k k p k"),
            ("rep [k1, p1] twice, k1", 5, "k p k p k"),
            ("K1, *yo, k2tog; rep from * until 1 st remains, k1", 4, "k yo k2tog k"),
            ("K2 p2 k2tog yo", 6, "k k p p k2tog yo"),
            ("Sl 1 kwise, k2tog, psso, k1", 4, "sk2p k"),
            ("k next 2 sts, bind off 2 sts, k to end", 6, "k k bo bo k k"),
            ("k2, (p1, k1) into double yo, k2", 6, "k k p k k k"),
            ("(k1, yo, k1) all in next st", 1, "kyok"),
            ("(k1, p1, k1) in each of next 2 sts", 2, "kpk kpk"),
            ("repeat the following twice: knit 1, yarn over; end of repeat; then knit 1", 3, "k yo k yo k"),
            (
                "Repeat the following two times. Knit one. Repeat this inner group twice. Purl one. End of inner \
                 group. End of repeat. Knit two together.",
                8,
                "k p p k p p k2tog",
            ),
            ("knit one", 1, "k"),
        ] {
            assert_eq!(works(text, loops), stitches, "{text:?}");
        }
    }

    /// "Rep from * 3 times" has two readings; what the words alone can't tell, the stitches may.
    #[test]
    fn times_that_may_count_the_first_are_read_both_ways() {
        let mut stitches = Stitches::built_in();
        let means = Means::default();
        let mut context = Context { stitches: &mut stitches, means: &means, side: Some(Side::Ws) };
        let read = work("*k1, p1; rep from * 3 times", &mut context);
        let times = |pieces: &[Piece]| match pieces {
            [Piece::Work(Item::Repeat { extent: Extent::Times(times), .. })] => *times,
            other => panic!("{other:?}"),
        };
        assert_eq!((times(&read.pieces), read.in_all.as_deref().map(times)), (4, Some(3)));
        let read = work("sl 1, k to 2 sts before m, sm, k2", &mut context);
        assert_eq!((read.bare_slips.first().cloned(), read.markers), (Some(0..4), true));
        assert!(matches!(read.pieces[..], [_, Piece::UntilMarker { before: 2, .. }, Piece::Slip, _]));
        let read = work("k2, xyz 3, k2, dec 1, turn", &mut context);
        let told: Vec<_> = read.errors.iter().map(|error| error.mistake).collect();
        assert_eq!(told, [RowMistake::UnknownWords, RowMistake::UnknownWords, RowMistake::BeyondRows]);
    }

    #[test]
    fn mistakes_are_placed() {
        let mistake = |text: &str| {
            let error = row(text, &mut Stitches::built_in()).unwrap_err();
            (text[error.at].to_owned(), error.mistake)
        };
        assert_eq!(mistake("k3, dec 1, k3"), ("dec 1".into(), RowMistake::UnknownWords));
        assert_eq!(mistake("k3, [p1, k1"), ("[p1, k1".into(), RowMistake::Unclosed));
        assert_eq!(mistake("k3, [p1, k1], k3"), ("[p1, k1]".into(), RowMistake::NoExtent));
        assert_eq!(mistake("k3) p"), (")".into(), RowMistake::Unclosed));
        assert_eq!(mistake("").1, RowMistake::Empty);
    }
}
