//! The words between two marks of a row: runs, and stitches whose words hold commas.

use super::until::{Until, until};
use super::{About, Doubt, Kind, LONGEST_PHRASE, Parser, Piece, RowMistake, Token};
use crate::pattern::Side;
use crate::stitch::{StitchId, Stitches, Terms};
use crate::words::{PHRASES, boil_words, cable, counted, crossing, english, own, squeeze};
use crate::written::{Extent, Item};

impl Parser<'_, '_> {
    /// A piece of words: the longest that can be read. What can't be read is passed over with an error.
    pub(super) fn phrase(&mut self, items: &mut Vec<Piece>) {
        // "Sl1yo", where the list says that it is one stitch.
        let words = self.words();
        let term = self.context.means.uncounted(&words, true).filter(|&length| self.is_one(length));
        if let Some(length) = term.filter(|&length| !self.has_meaning(&words[..length])) {
            self.work.errors.push(self.mistake(self.at, self.at + length, RowMistake::Uncounted));
            self.at += length;
            return;
        }
        if let Some(item) = self.joined().or_else(|| self.slipped_behind(&words)) {
            items.push(Piece::Work(item));
            return;
        }
        let mut words = self.words();
        // "K4, turn": only at the end of a row does it say nothing.
        if words.ends_with(&["turn".to_owned(), "work".to_owned()]) && self.turns_after(words.len() - 1) {
            words.pop();
        }
        // "Wrap and turn" is more than a turn.
        let wraps =
            (0..words.len().saturating_sub(1)).any(|at| english::is_beyond_rows(&words[at..words.len() - 1]));
        if !wraps && self.turns_after(words.len()) && self.context.means.find(&boil_words(&words)).is_none() {
            let last = self.at + words.len() - 1;
            self.work.turn = self.tokens.get(last).map(|token| token.at.clone());
            words.pop();
            if words.is_empty() {
                self.at = last + 1;
                self.at += usize::from(self.word(0) == Some("work"));
                return;
            }
        }
        let beyond = (0..words.len()).any(|at| english::is_beyond_rows(&words[at..]));
        if beyond && !self.begins_with_meaning(&words) {
            self.work.errors.push(self.mistake(self.at, self.at + words.len(), RowMistake::BeyondRows));
            self.at += words.len();
            return;
        }
        if words.iter().any(|word| english::is_unplaced(word)) && !self.begins_with_meaning(&words) {
            self.work.errors.push(self.mistake(self.at, self.at + words.len(), RowMistake::Unplaced));
            self.at += words.len();
            return;
        }
        if let Some(length) = self.yarn(&words, items) {
            self.at += length;
            return;
        }
        for length in (1..=words.len()).rev() {
            if let Some(item) = self.run(&words[..length], self.at) {
                self.at += length;
                items.push(Piece::Work(item));
                return;
            }
        }
        // What can't be read ends where something can be read again.
        let mut readable = |&from: &usize| {
            words[from].chars().all(char::is_alphabetic)
                && (from + 1..=words.len()).rev().any(|to| {
                    let boiled = boil_words(&words[from..to]);
                    boiled.iter().any(|word| word.parse::<u32>().is_ok())
                        && counted(&boiled, self.context.stitches).is_some()
                })
        };
        let bad = (1..words.len()).find(&mut readable).unwrap_or(words.len()).max(1);
        // "K1b": what is written together is told together.
        let glued = |at: usize| {
            let before = at.checked_sub(1).and_then(|before| self.tokens.get(before));
            matches!((before, self.tokens.get(at)), (Some(before), Some(token))
                if before.at.end == token.at.start && before.word().is_some())
        };
        let mut from = self.at;
        while glued(from) {
            from -= 1;
        }
        let mistake = match until(&plain(boil_words(words.get(..bad).unwrap_or_default()))) {
            _ if self.context.means.uncounted(&words, false).is_some() => RowMistake::Uncounted,
            Some(Until::ToLast(_)) => RowMistake::Whose,
            _ => RowMistake::UnknownWords,
        };
        self.work.errors.push(self.mistake(from, self.at + bad, mistake));
        self.at += bad;
    }

    /// "With yarn in front, slip 1 purlwise": where the yarn is stands before the slip, parted from it by a comma.
    fn slipped_behind(&mut self, yarn: &[String]) -> Option<Item> {
        let boiled = boil_words(yarn);
        let [how] = &boiled[..] else { return None };
        let parted = matches!(self.kind_at(yarn.len()), Some(Kind::Comma));
        if !parted || !matches!(how.as_str(), "wyif" | "wyib") {
            return None;
        }
        let slip = self.words_from(self.at + yarn.len() + 1);
        (1..=slip.len()).rev().find_map(|length| {
            let mut words = slip.get(..length)?.to_vec();
            if boil_words(&words).first().is_none_or(|first| first != "sl") {
                return None;
            }
            words.push(how.clone());
            let item = self.run(&words, self.at)?;
            self.at += yarn.len() + 1 + length;
            Some(item)
        })
    }

    /// Whether so many words are written without room between them.
    fn is_one(&self, length: usize) -> bool {
        let tokens = self.tokens.get(self.at..self.at + length).unwrap_or_default();
        tokens.windows(2).all(|pair| matches!(pair, [one, two] if one.at.end == two.at.start))
    }

    /// Whether these words have a meaning of their own.
    fn has_meaning(&self, words: &[String]) -> bool {
        self.context.means.find(&boil_words(words)).is_some()
    }

    /// Whether the first of these words have a meaning of their own.
    fn begins_with_meaning(&self, words: &[String]) -> bool {
        (1..=words.len()).any(|length| self.has_meaning(&words[..length]))
    }

    /// Whether the last of so many words is "turn" and the last word of the row.
    fn turns_after(&self, length: usize) -> bool {
        let last = length.checked_sub(1).map(|last| self.at + last);
        let turn = last.and_then(|last| self.tokens.get(last)).and_then(Token::word);
        let after = self.tokens.get(self.at + length..).unwrap_or_default();
        let after = match after {
            [work, after @ ..] if work.word() == Some("work") => after,
            after => after,
        };
        matches!(turn, Some("turn" | "turning"))
            && after.iter().all(|token| matches!(token.kind, Kind::Comma | Kind::Semicolon))
    }

    /// Words up to the next mark that tell of nothing to be worked: "break yarn".
    pub(super) fn silent(&self) -> Option<usize> {
        let words = self.words();
        let says_nothing =
            english::is_silent(&words) || (english::is_gloss(&words) && self.is_behind_or_alone(words.len()));
        (says_nothing && !self.has_meaning(&words)).then_some(words.len())
    }

    /// Whether so many words stand right behind a word, "k1 edge st", or alone in brackets.
    fn is_behind_or_alone(&self, length: usize) -> bool {
        let before = self.at.checked_sub(1).and_then(|before| self.tokens.get(before));
        let closed = matches!(self.kind_at(length), Some(Kind::Close(_)));
        match before.map(|token| &token.kind) {
            Some(Kind::Word(_)) => true,
            Some(Kind::Open(_)) => closed,
            _ => false,
        }
    }

    /// "Yfwd", where no vocabulary says that it is a yarn over: it may only move the yarn.
    fn yarn(&mut self, words: &[String], items: &mut Vec<Piece>) -> Option<usize> {
        let length = english::moves_yarn(words)?;
        if self.has_meaning(words.get(..length)?) {
            return None;
        }
        let at = self.mistake(self.at, self.at + length, RowMistake::Whose).at;
        self.work.doubts.push(Doubt { at, about: About::Yarn });
        if !self.choice.moves {
            self.unnumbered = false;
            let over = self.painted(Item::Run { stitch: Stitches::YO, extent: Extent::Times(1) }, None);
            items.extend(over.map(Piece::Work));
        }
        Some(length)
    }

    /// A run in all of these words, which begin at a token: "k3", "k3 navy", "k navy to end".
    fn run(&mut self, words: &[String], at: usize) -> Option<Item> {
        // "K1" has a number of its own, also where a colour is called 1.
        if self.ends_in_number(words)
            && let Some(Item::Run { stitch, extent }) = self.plain_run(words, at)
            && self.context.stitches.get(stitch).words(Terms::Us).run.is_some()
        {
            return self.painted(Item::Run { stitch, extent }, None);
        }
        if let (rest, Some(colour)) = self.without_colour(words)
            && let Some(item) = self.plain_run(rest, at)
        {
            return self.painted(item, Some(colour));
        }
        for split in (1..words.len()).rev() {
            let (stitch, far) = words.split_at(split);
            let (stitch, Some(colour)) = self.without_colour(stitch) else { continue };
            if until(far).is_some()
                && let Some(item) = self.plain_run(&[stitch, far].concat(), at)
            {
                return self.painted(item, Some(colour));
            }
        }
        let item = self.plain_run(words, at)?;
        self.painted(item, None)
    }

    /// A run without a word on its colour.
    pub(super) fn plain_run(&mut self, words: &[String], at: usize) -> Option<Item> {
        let boiled = boil_words(words);
        let is = |known: &str| boiled.iter().any(|word| word == known);
        // On the wrong side that is the usual way.
        let purled_off = is("bo") && is("pwise") && self.context.side != Some(Side::Ws);
        let run = self.run_of(plain(boiled), (at, words.len()))?;
        if purled_off {
            let at = self.error(at, at + words.len()).at;
            self.work.doubts.push(Doubt { at, about: About::BoundOff });
        }
        Some(run)
    }

    /// A run of boiled words, which are so many words from a token on.
    fn run_of(&mut self, boiled: Vec<String>, (at, length): (usize, usize)) -> Option<Item> {
        if let Some((stitch, times)) = self.counted(&boiled, at, length) {
            self.unnumbered = !boiled.iter().any(|word| word.parse::<u32>().is_ok());
            return Some(Item::Run { stitch, extent: Extent::Times(times) });
        }
        for split in 1..boiled.len() {
            let Some(until) = until(&boiled[split..]) else { continue };
            let Some((stitch, times)) = self.counted(&boiled[..split], at, length) else { continue };
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
    pub(super) fn counted(&mut self, boiled: &[String], at: usize, length: usize) -> Option<(StitchId, u32)> {
        if let Some(found) = self.context.means.find(boiled) {
            return Some(found);
        }
        if let Some((stitch, times)) = english::DOUBTFUL.find(boiled) {
            let at = self.error(at, at + length).at;
            self.work.doubts.push(Doubt { at, about: About::Word(stitch) });
            return Some((stitch, times));
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
        let mut parts: Vec<usize> = Vec::new();
        let mut at = self.at;
        while let Some(token) = self.tokens.get(at).filter(|_| words.len() < LONGEST_PHRASE) {
            match &token.kind {
                Kind::Word(word) => words.push(word.clone()),
                Kind::Comma if parts.len() < 5 => {
                    parts.push(words.len());
                    at += 1;
                    continue;
                }
                _ => break,
            }
            at += 1;
            let part_ends = self.tokens.get(at).is_none_or(|token| token.word().is_none());
            let Some(&part_begins) = parts.last().filter(|_| part_ends) else { continue };
            let (stitch, colour) = self.without_colour(&words);
            // "K1, with navy, k1" takes up a colour for what follows.
            if stitch.len() <= part_begins {
                continue;
            }
            let boiled = boil_words(stitch);
            let squeezed = squeeze(&boiled);
            // How the first stitch is slipped is part of the decrease.
            let bare: Vec<String> =
                boiled.into_iter().filter(|word| !matches!(word.as_str(), "kwise" | "wyib")).collect();
            let found = own(&squeezed, self.context.stitches)
                .or_else(|| PHRASES.exact.get(&squeezed).copied())
                .or_else(|| PHRASES.exact.get(&squeeze(&bare)).copied())
                .or_else(|| cable(&squeezed, self.context.stitches))
                .or_else(|| {
                    let plainly = self.plainly(stitch, &parts);
                    PHRASES.exact.get(&plainly).copied()
                })
                .or_else(|| {
                    // "Sl 2 to cn and hold in back, k2, k2 from cn".
                    let needle = stitch.iter().any(|word| matches!(word.as_str(), "cn" | "cable"));
                    needle.then(|| crossing::told(&stitch.join(" "), self.context.stitches))?
                });
            if let Some(id) = found {
                best = Some((at, id, colour));
            }
        }
        let (after, stitch, colour) = best?;
        self.doubt_parts(after);
        self.at = after;
        self.unnumbered = false;
        self.painted(Item::Run { stitch, extent: Extent::Times(1) }, colour)
    }
}

impl Parser<'_, '_> {
    /// The words of a stitch in parts, which begin at these words behind the first: each as it is worked alone, "slip 1
    /// stitch", and words with a meaning of their own by the name of their stitch, "narrow".
    fn plainly(&self, words: &[String], begins: &[usize]) -> String {
        let ends = begins.iter().copied().filter(|&end| end < words.len()).chain([words.len()]);
        let mut from = 0;
        let mut plainly = String::new();
        for end in ends {
            let boiled = boil_words(words.get(from..end).unwrap_or_default());
            let meaning = self.context.means.find(&boiled).or_else(|| english::DOUBTFUL.find(&boiled));
            match meaning.filter(|(_, times)| *times == 1) {
                Some((id, _)) => plainly.push_str(&self.context.stitches.get(id).name),
                None => plainly.push_str(&squeeze(&plain(boiled))),
            }
            from = end;
        }
        plainly
    }

    /// Words of one usual meaning that are parts of a stitch, up to a token: read so, and said.
    fn doubt_parts(&mut self, end: usize) {
        let tokens = self.tokens.get(self.at..end).unwrap_or_default();
        let mut at = self.at;
        for part in tokens.split(|token| token.word().is_none()) {
            let words: Vec<String> = part.iter().filter_map(Token::word).map(str::to_owned).collect();
            let boiled = boil_words(&words);
            let known = self.context.means.find(&boiled).is_some();
            if let Some((stitch, _)) = english::DOUBTFUL.find(&boiled).filter(|_| !known) {
                let at = self.error(at, at + part.len()).at;
                self.work.doubts.push(Doubt { at, about: About::Word(stitch) });
            }
            at += part.len() + 1;
        }
    }
}

/// Boiled words without those that say nothing: "k next 3 sts", "k 3 sts", "BO 4 sts at beg of row".
pub(in crate::words) fn plain(mut boiled: Vec<String>) -> Vec<String> {
    let is_number = |word: Option<&String>| word.is_some_and(|word| word.parse::<u32>().is_ok());
    for ending in [&["at", "beg", "of", "row"][..], &["at", "beg", "of", "next", "row"]] {
        if boiled.ends_with(&ending.iter().map(|&word| word.to_owned()).collect::<Vec<_>>()) {
            boiled.truncate(boiled.len() - ending.len());
        }
    }
    let is = |word: Option<&String>, of: &[&str]| word.is_some_and(|word| of.contains(&word.as_str()));
    // "BO 3 sts purlwise loosely": how it is bound off.
    while is(boiled.first(), &["bo"]) && is(boiled.last(), &["pwise", "kwise", "loosely"]) {
        boiled.pop();
    }
    // Knitwise stitches are slipped with the yarn at the back.
    if is(boiled.first(), &["sl"]) && boiled.iter().any(|word| word == "kwise") {
        boiled.retain(|word| word != "wyib");
    }
    match &boiled.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        // "Wyif sl 1", "2k".
        ["wyif" | "wyib", "sl", ..] => boiled.rotate_left(1),
        [number, "k" | "p"] if number.parse::<u32>().is_ok() => boiled.rotate_left(1),
        // "K last st", "k last 3 sts": counted like any others.
        ["k" | "p", "last", "st"] => boiled = vec![boiled.swap_remove(0), "1".to_owned()],
        ["k" | "p", "last" | "rem", number, "st"] if number.parse::<u32>().is_ok() => {
            boiled.truncate(3);
            boiled.remove(1);
        }
        _ => {}
    }
    let mut kept: Vec<String> = Vec::with_capacity(boiled.len());
    for (at, word) in boiled.iter().enumerate() {
        let next = boiled.get(at + 1);
        let silent = match word.as_str() {
            "next" => is_number(next),
            "st" => {
                is_number(at.checked_sub(1).and_then(|before| boiled.get(before)))
                    && (next.is_none()
                        || next.is_some_and(|next| ["tbl", "wyib", "wyif", "tog"].contains(&next.as_str())))
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
        ["sl", "first" | "last" | "next", "st"] | ["sl", "st"] | ["sl", "st", "pwise"] | ["sl", "pwise"] => {
            Some(1)
        }
        ["sl", n] | ["sl", n, "pwise"] | ["sl", n, "st", "pwise"] => n.parse().ok().filter(|&n: &u32| n > 0),
        _ => None,
    }
}
