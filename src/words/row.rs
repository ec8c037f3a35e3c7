//! The text of a row to its items: runs, groups, repeats, "to end" and "to last n sts".
//!
//! ```text
//! row    := item (("," | ";" | ".")? item)*
//! item   := stars row stars? "rep from *" ("to" stars)? until ("end last rep" item)?
//!         | stars row stars until
//!         | "[" row "]" (until | "in next st" | "into double yo") | n "times" "[" row "]"
//!         | "repeat the following" until row "end of repeat"
//!         | words until?
//! until  := n "times" | "twice" | n "times more" | "a total of" n "times"
//!         | "to end" | "to last" n "sts" | "to" n "sts before m"
//! ```
//!
//! A row that is a single stitch without a number ("Purl.") is worked to the end.

mod colour;
mod ending;
mod group;
mod into;
mod marker;
mod needles;
mod phrase;
mod piece;
mod stretch;
#[cfg(test)]
mod tests;
mod tidy;
mod tokens;
mod until;

use std::ops::Range;
use std::sync::Arc;

use super::colours::Colours;
use super::means::Means;
use super::{boil_words, english, own, squeeze};
use crate::pattern::Side;
use crate::stitch::{StitchId, Stitches};
use crate::written::{Extent, Item};
pub(super) use phrase::plain;
use piece::items_of;
pub use piece::{Piece, pieces_use};
pub use stretch::{Reach, Stretch};
use tokens::{Kind, Token, is_sign, spell_out_slips, tokens};
pub use until::{MarkerName, Which};
use until::{Until, until, until_first};

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
    /// They are a term that the text explains without telling how many loops it uses and makes.
    Uncounted,
    /// A bracket or an asterisk is opened and not closed, or closed and not opened.
    Unclosed,
    /// A group that is not said to be worked any number of times.
    NoExtent,
    /// A group worked into one stitch, which is none that is known: "(k1, k1 tbl) in next st".
    IntoOne,
    /// They tell of something that rows of stitches can't hold: turning, holders, picked-up stitches.
    BeyondRows,
    /// They name a colour that is not known.
    UnknownColour,
    /// A group that is worked again in another colour than it begins in, which does not say so.
    UnclearColour,
    /// They don't say which stitches are worked so: "inc 4 sts evenly across".
    Unplaced,
    /// "K1, p1 to end": the last piece alone, or all of them.
    Whose,
    /// A needle works to its end, which is known of the last one alone.
    NeedleEnd,
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
    /// The colours that the text names.
    pub colours: &'a Colours,
    /// The colour that the row begins in, where one is in use.
    pub colour: Option<Arc<str>>,
}

/// How words that may mean two things are read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Choice {
    /// "Rep from * 3 times" means 3 in all, and not 3 more.
    pub in_all: bool,
    /// "Yfwd" only moves the yarn, and makes no stitch.
    pub moves: bool,
    /// Which of the ways to end the last repeat, of [`Work::endings`].
    pub ending: usize,
}

/// Words whose reading is worth telling.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Doubt {
    /// The bytes of the words.
    pub at: Range<usize>,
    /// What is doubtful about them.
    pub about: About,
}

/// What is doubtful about some words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum About {
    /// Whether a number of times counts the first.
    Times,
    /// Whether the yarn makes a stitch or is only moved.
    Yarn,
    /// Whether a row is repeated from its beginning, which no mark says.
    Row,
    /// What of the last repeat is left out for what it ends with.
    Ending,
    /// Whether a sign, "K2 + p2", stands in the place of a comma.
    Sign,
    /// Whether a number alone, "[k2, p2] 2", is how often the bracket is worked.
    Number,
    /// A word of other vocabularies that has but one usual meaning.
    Word(StitchId),
    /// How stitches are bound off, for which there is but one stitch.
    BoundOff,
}

/// A row as read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Work {
    /// Its pieces; those that can't be read are left out.
    pub pieces: Vec<Piece>,
    /// The pieces as other readings of doubtful words have them.
    pub others: Vec<(Choice, Vec<Piece>)>,
    /// Words that are read in a way that is worth telling.
    pub doubts: Vec<Doubt>,
    /// How many pieces of the last repeat may be replaced by what it ends with, the usual number first.
    pub endings: Vec<usize>,
    /// Where the row ends with "turn": it may be the end of a short row.
    pub turn: Option<Range<usize>>,
    /// Where the row says that the work is not turned behind it.
    pub unturned: Option<Range<usize>>,
    /// Where a stitch is slipped without a word on how.
    pub bare_slips: Vec<Range<usize>>,
    /// Whether markers stand in the row.
    pub markers: bool,
    /// Whether it says on which needles its stitches lie.
    pub needles: bool,
    /// What can't be read.
    pub errors: Vec<RowError>,
    /// The colours of the row.
    pub colours: InColour,
}

/// What a row says of its colours.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct InColour {
    /// The colour in use at its end: the one it begins in, unless it says "with navy".
    pub last: Option<Arc<str>>,
    /// Whether it says "with navy" anywhere.
    pub changes: bool,
    /// Whether it says "k3 navy" anywhere: in a colour for some stitches alone.
    pub single: bool,
    /// Whether anything is worked in the colour it begins in.
    pub first_used: bool,
}

/// Reads the text of a row: "K3, p to last 3 sts, k3", "*K1, p1; rep from * to last st, k1".
///
/// # Errors
/// The first words that can't be read, with their place in the text.
pub fn row(text: &str, stitches: &mut Stitches) -> Result<Vec<Item>, RowError> {
    let means = Means::default();
    let colours = Colours::default();
    let mut context = Context { stitches, means: &means, side: None, colours: &colours, colour: None };
    let Work { pieces, errors, .. } = work(text, &mut context);
    if let Some(error) = errors.into_iter().next() {
        return Err(error);
    }
    items_of(&pieces).ok_or(RowError { at: 0..text.len(), mistake: RowMistake::UnknownWords })
}

/// Whether a text can be read as the work of a row, markers among it or not.
pub fn reads(text: &str) -> bool {
    mistakes(text) == 0
}

/// How many of its words can't be read as the work of a row.
pub fn mistakes(text: &str) -> usize {
    let (mut stitches, means, colours) = (Stitches::built_in(), Means::default(), Colours::default());
    // A bare slip goes by the side: which one does not matter here.
    let side = Some(Side::Rs);
    let mut context =
        Context { stitches: &mut stitches, means: &means, side, colours: &colours, colour: None };
    work(text, &mut context).errors.len()
}

/// Whether a sentence works stitches as a row does: each of its words is one of a row, even where how far they go is not
/// clear. To bind off is to end the rows.
pub fn works(text: &str) -> bool {
    let (mut stitches, means, colours) = (Stitches::built_in(), Means::default(), Colours::default());
    let side = Some(Side::Rs);
    let mut context =
        Context { stitches: &mut stitches, means: &means, side, colours: &colours, colour: None };
    let work = work(text, &mut context);
    let off = stitches.find("bo");
    let unclear = |error: &RowError| matches!(error.mistake, RowMistake::Whose | RowMistake::NoExtent);
    let ends = |piece: &Piece| matches!(piece, Piece::Work(Item::Run { stitch, .. }) if Some(*stitch) == off);
    work.errors.iter().all(unclear)
        && work
            .pieces
            .iter()
            .any(|piece| matches!(piece, Piece::Work(_) | Piece::Repeat { .. }) && !ends(piece))
}

/// Reads the text of a row with everything that is wrong in it.
pub fn work(text: &str, context: &mut Context<'_>) -> Work {
    let (means, stitches) = (context.means, &*context.stitches);
    let mut tokens = tokens(text, context.colours.marked(), |sign| {
        means.names_hold(sign) || stitches.own_names_hold(sign)
    });
    spell_out_slips(&mut tokens, |words| {
        let boiled = boil_words(words);
        let term =
            [false, true].into_iter().any(|several| means.uncounted(words, several) == Some(words.len()));
        term || means.find(&boiled).is_some() || own(&squeeze(&boiled), stitches).is_some()
    });
    let mut work = Parser::new(&tokens, context, Choice::default()).row(text);
    let either = |about| -> &[bool] {
        if work.doubts.iter().any(|doubt| doubt.about == about) { &[false, true] } else { &[false] }
    };
    let (times, yarn) = (either(About::Times), either(About::Yarn));
    let endings = 0..work.endings.len().max(1);
    let choices = endings.flat_map(|ending| {
        yarn.iter().flat_map(move |&moves| times.iter().map(move |&in_all| Choice { in_all, moves, ending }))
    });
    for choice in choices.skip(1) {
        let other = Parser::new(&tokens, context, choice).row(text);
        if choice.ending == 0 || other.errors.is_empty() {
            work.others.push((choice, other.pieces));
        }
    }
    work
}

/// The words of a name, and whether it holds marks that would part the words of a row: it is then one word, marks and
/// all.
pub(super) fn spelled(name: &str) -> (Vec<String>, bool) {
    let cut = tokens(name, &[], |_| false);
    let words: Vec<String> = cut.iter().filter_map(Token::word).map(str::to_owned).collect();
    if words.len() == cut.len() || words.is_empty() {
        return (words, false);
    }
    (vec![name.trim().to_lowercase()], true)
}

/// The words of a text; none where marks part them.
pub(super) fn words_of(text: &str, colours: &Colours) -> Vec<String> {
    let cut = tokens(text, colours.marked(), |_| false);
    let words: Option<Vec<String>> = cut.iter().map(|token| token.word().map(str::to_owned)).collect();
    words.unwrap_or_default()
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
    choice: Choice,
    /// The token that marks a place in a group, "*k2, p1**, k1; rep from * to end, end last rep at **"; and how many
    /// items of the group stand before it.
    mark: Option<usize>,
    marked: usize,
    /// Groups open that an asterisk began.
    starred: usize,
    /// Whether the piece read last was a stitch without a number.
    unnumbered: bool,
    /// The needles that the row names.
    needles: Vec<needles::Named>,
    /// The colour in use.
    colour: Option<Arc<str>>,
    work: Work,
}

type Read<T> = Result<T, RowError>;

impl<'p, 'a> Parser<'p, 'a> {
    fn new(tokens: &'p [Token], context: &'p mut Context<'a>, choice: Choice) -> Self {
        let colour = context.colour.clone();
        let (mark, marked, starred, unnumbered, needles, work) = Default::default();
        Self { tokens, at: 0, context, choice, mark, marked, starred, unnumbered, needles, colour, work }
    }

    fn row(mut self, text: &str) -> Work {
        let mut pieces = Vec::new();
        if let Err(error) = self.items(End::Row, 0, &mut pieces) {
            self.work.errors.push(error);
        }
        self.end_needles(&mut pieces);
        self.work.pieces = pieces;
        let Work { pieces, errors, bare_slips, .. } = &mut self.work;
        // Behind a turn nothing is what it says.
        if let Some(beyond) = errors.iter().position(|error| error.mistake == RowMistake::BeyondRows) {
            errors.truncate(beyond + 1);
            bare_slips.clear();
        }
        if pieces.is_empty() && errors.is_empty() {
            errors.push(RowError { at: 0..text.len(), mistake: RowMistake::Empty });
        }
        self.signs(text);
        self.alone_to_end();
        self.unproved_numbers();
        self.work.colours.last = self.colour;
        self.work
    }

    /// The first sign that was read as a comma.
    fn signs(&mut self, text: &str) {
        let parts =
            |token: &&Token| token.kind == Kind::Comma && text.get(token.at.clone()).is_some_and(is_sign);
        let at = self.tokens.iter().find(parts).map(|token| token.at.clone());
        self.work.doubts.extend(at.map(|at| Doubt { at, about: About::Sign }));
    }

    /// Numbers that may be how often brackets are worked, where the rest of the row takes whatever they leave: nothing proves
    /// them.
    fn unproved_numbers(&mut self) {
        let unproved = |doubt: &Doubt| doubt.about == About::Number;
        let Work { pieces, doubts, errors, .. } = &mut self.work;
        if doubts.iter().any(unproved) && pieces_use(pieces, self.context.stitches).is_none() {
            let numbers = doubts.extract_if(.., |doubt| unproved(doubt));
            errors.extend(numbers.map(|Doubt { at, .. }| RowError { at, mistake: RowMistake::NoExtent }));
        }
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

    /// Pieces up to what ends them, which is not taken.
    fn items(&mut self, end: End, depth: usize, items: &mut Vec<Piece>) -> Read<()> {
        if end == End::Row {
            return self.items_here(end, depth, items);
        }
        let group = self.begin_group();
        self.items_here(end, depth, items)?;
        self.end_group(group)
    }

    fn items_here(&mut self, end: End, depth: usize, items: &mut Vec<Piece>) -> Read<()> {
        let opened = self.at.saturating_sub(1);
        if depth > DEEPEST {
            return Err(self.mistake(opened, self.at, RowMistake::Unclosed));
        }
        while let Some(kind) = self.kind() {
            match kind {
                Kind::Comma | Kind::Semicolon => self.at += 1,
                Kind::Word(word) => {
                    if self.ends(end) {
                        return Ok(());
                    }
                    self.worded(word, depth, items)?;
                }
                Kind::Star(_) if self.mark == Some(self.at) => {
                    self.marked = items.len();
                    self.at += 1;
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

    /// What begins with a word: whoever knows first what it begins takes it.
    fn worded(&mut self, word: &str, depth: usize, items: &mut Vec<Piece>) -> Read<()> {
        if self.markers_met(items) {
            return Ok(());
        }
        if let Some(marked) = self.marked() {
            let piece = self.marker(marked);
            items.push(piece);
            return Ok(());
        }
        if self.needle(items, depth) || self.stretch(items) {
            return Ok(());
        }
        if let Some(length) = self.silent() {
            if english::says_no_turn(&self.words()) {
                self.work.unturned = Some(self.error(self.at, self.at + length).at);
            }
            self.at += length;
        } else if self.begins_told() {
            let item = self.told(depth)?;
            items.push(item);
        } else if let Some((times, length)) = self.times_before() {
            let from = self.at;
            self.at += length;
            self.multiplied(times, depth, items)?;
            if length == 1 && word.bytes().all(|byte| byte.is_ascii_digit()) {
                self.doubt(from, About::Number);
            }
        } else if self.takes_colour() {
            return Ok(());
        } else if self.is_filler(word) {
            self.at += 1;
        } else if word == "rep" || word == "repeat" {
            if depth > 0 || !self.repeats_row(items) {
                return Err(self.mistake(self.at, self.at + 1, RowMistake::Unclosed));
            }
        } else {
            self.phrase(items);
        }
        Ok(())
    }

    /// "K1, p1, rep to end": where nothing is marked, all of the row before it, if that is plain. What stands behind it may be
    /// an edge, and then one stands before it, too: how wide is not said.
    fn repeats_row(&mut self, items: &mut Vec<Piece>) -> bool {
        let plain = |piece: &Piece| matches!(piece, Piece::Work(Item::Run { extent: Extent::Times(_), .. }));
        let words = self.words();
        let to_end = words.get(1..).is_some_and(|far| until(far) == Some(Until::ToLast(0)));
        let behind = self.tokens.get(self.at + words.len()..).unwrap_or_default();
        let last = behind.iter().all(|token| matches!(token.kind, Kind::Comma | Kind::Semicolon));
        if !to_end || !last || items.is_empty() || !items.iter().all(plain) {
            return false;
        }
        let at = self.mistake(self.at, self.at + words.len(), RowMistake::NoExtent).at;
        self.work.doubts.push(Doubt { at, about: About::Row });
        self.at += words.len();
        let group = std::mem::take(items);
        items.push(Piece::repeat(group, Extent::ToLast(0)));
        true
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
                    // "*K1, p1; rep to end".
                    || (matches!(self.word(0), Some("rep" | "repeat"))
                        && until_first(&self.words_from(self.at + 1)).is_some())
            }
            End::Told => self.word(0) == Some("end") && self.word(1) == Some("of"),
        }
    }

    /// Words that only join: "then", "work [k1, p1] twice", "ending with k3".
    fn is_filler(&self, word: &str) -> bool {
        match word {
            "then" | "and" => true,
            "end" | "ending" | "ends" | "finish" | "finishing" | "with" => self.at > 0,
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
}
