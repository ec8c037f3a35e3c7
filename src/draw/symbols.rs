//! The symbols of a chart and its key.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use super::{Shown, Symbol};
use crate::pattern::Side;
use crate::stitch::{StitchId, Stitches, Terms};
use crate::tables::{self, table};
use crate::words::{self, Looks};

/// Short signs for stitches whose names are too long for a square.
static SIGNS: LazyLock<BTreeMap<String, String>> = LazyLock::new(|| tables::read(table!("draw/symbols")));

/// The longest words of a key entry, in characters, where there are shorter ones.
const LONGEST: usize = 60;

/// Which symbol stands for each stitch.
pub(super) struct Marks {
    /// The stitches that symbols show from the RS, colours set aside; the last is "no stitch".
    shown: Vec<StitchId>,
    /// Those that are worked alike on both sides, for want of an opposite.
    both: BTreeSet<StitchId>,
    /// The stitch that a WS row's stitch is drawn as.
    drawn_as: BTreeMap<StitchId, StitchId>,
}

/// Chooses the symbols: on RS rows a stitch is its own; on WS rows it is drawn as the stitch whose opposite it is,
/// or, where there is none, as itself, worked alike on both sides.
pub(super) fn choose(rows: &[Shown], stitches: &mut Stitches) -> Marks {
    let used = |side: Side, stitches: &Stitches| -> BTreeSet<StitchId> {
        let rows = rows.iter().filter(|row| row.side == side);
        rows.flat_map(|row| &row.stitches).map(|&id| stitches.plain(id)).collect()
    };
    let (rs, ws) = (used(Side::Rs, stitches), used(Side::Ws, stitches));
    let mut both = BTreeSet::new();
    let mut drawn_as = BTreeMap::new();
    // A stitch that is worked alike on both sides can't stand for its opposite as well.
    loop {
        let before = both.len();
        for &id in &ws {
            match looks_like(id, &both, stitches) {
                Some(look) => drawn_as.insert(id, look),
                None => {
                    both.insert(id);
                    drawn_as.insert(id, id)
                }
            };
        }
        if both.len() == before {
            break;
        }
    }
    let mut shown: Vec<StitchId> = rs.iter().chain(drawn_as.values()).copied().collect();
    shown.sort_unstable();
    shown.dedup();
    shown.extend(stitches.find("ns"));
    Marks { shown, both, drawn_as }
}

/// The stitch whose opposite this is, its own opposite first.
fn looks_like(id: StitchId, both: &BTreeSet<StitchId>, stitches: &mut Stitches) -> Option<StitchId> {
    if both.contains(&id) {
        return None;
    }
    let name = stitches.get(id).name.clone();
    let own: Vec<StitchId> = stitches.own().map(|(id, _)| id).collect();
    let every = stitches.opposite(id).into_iter().chain(own).chain(Stitches::every().map(|(id, _)| id));
    let mut every = every.filter(|other| !both.contains(other)).collect::<Vec<_>>().into_iter();
    every.find(|&other| stitches.get(other).ws.as_ref() == Some(&name))
}

/// The colours of some rows, each once.
pub(super) fn colours(rows: &[Shown], stitches: &Stitches) -> Vec<String> {
    let mut colours: Vec<String> = Vec::new();
    for &id in rows.iter().flat_map(|row| &row.stitches) {
        if let Some(colour) = stitches.get(id).colour.as_deref()
            && !colours.iter().any(|known| known == colour)
        {
            colours.push(colour.to_owned());
        }
    }
    colours
}

impl Marks {
    /// The symbol of a stitch on a row of this side.
    pub(super) fn of(&self, id: StitchId, side: Side, stitches: &Stitches) -> usize {
        let plain = stitches.plain(id);
        let look = match side {
            Side::Rs => plain,
            Side::Ws => self.drawn_as.get(&plain).copied().unwrap_or(plain),
        };
        self.shown.iter().position(|&shown| shown == look).unwrap_or(self.none())
    }

    /// The symbol of no stitch.
    pub(super) fn none(&self) -> usize {
        self.shown.len().saturating_sub(1)
    }

    /// The key. `flat` says that there are rows of both sides.
    pub(super) fn key(&self, flat: bool, stitches: &mut Stitches) -> Vec<Symbol> {
        let mut key: Vec<Symbol> = Vec::with_capacity(self.shown.len());
        let names: Vec<String> = self.shown.iter().map(|&id| stitches.get(id).name.clone()).collect();
        for (index, (&id, name)) in self.shown.iter().zip(&names).enumerate() {
            let sign = SIGNS.get(name).filter(|_| !stitches.get(id).own);
            let taken = |sign: &&String| {
                let alike = |other: &String| other.eq_ignore_ascii_case(sign);
                names.iter().any(alike) || key.iter().any(|other| alike(&other.short))
            };
            let short = sign.filter(|sign| !taken(sign)).unwrap_or(name).clone();
            let words = self.words(id, flat, stitches);
            key.push(Symbol { name: name.clone(), short, words, none: index == self.none() });
        }
        key
    }

    /// What the key says of a stitch: the fullest words that are read as it.
    fn words(&self, id: StitchId, flat: bool, stitches: &mut Stitches) -> String {
        let opposite = stitches.opposite(id);
        let forms = |id: StitchId, stitches: &Stitches| -> [String; 3] {
            let stitch = stitches.get(id);
            let words = stitch.words(Terms::Us);
            let long = words.long_bare.as_ref().unwrap_or(&words.long);
            [long.clone(), words.short.clone(), stitch.name.clone()]
        };
        let both = self.both.contains(&id);
        if let Some(told) = stitches.describe(id).filter(|_| !both).and_then(|own| words::told_in_key(&own)) {
            return told;
        }
        let meant =
            if both && opposite != Some(id) { Looks::Sides { rs: id, ws: id } } else { Looks::Stitch(id) };
        let alone = forms(id, stitches);
        let mut said: Vec<String> = Vec::new();
        if both {
            said.extend(alone.iter().map(|form| format!("{form} every row")));
            said.extend(alone.iter().map(|form| format!("{form} on RS, {form} on WS")));
        } else {
            if let Some(opposite) = opposite.filter(|&opposite| flat && opposite != id) {
                let other = forms(opposite, stitches);
                said.extend(alone.iter().zip(&other).map(|(rs, ws)| format!("{rs} on RS, {ws} on WS")));
            }
            said.extend(alone.iter().cloned());
        }
        said.retain(|words| words::meaning(words, stitches) == Some(meant));
        let brief = said.iter().find(|words| words.chars().count() <= LONGEST).or(said.first());
        brief.unwrap_or(&stitches.get(id).name).clone()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Signs are short, each its own, and no other stitch's name.
    #[test]
    fn signs_are_told_apart() {
        let mut seen = BTreeSet::new();
        for (name, sign) in SIGNS.iter() {
            let mut stitches = Stitches::built_in();
            assert!(stitches.find(name).is_some(), "{name} is no stitch");
            assert!(sign.chars().count() <= 3 && seen.insert(sign.to_lowercase()), "{name}: {sign}");
            assert!(stitches.find(&sign.to_lowercase()).is_none(), "{sign} is the name of a stitch");
            assert!(sign.chars().any(char::is_alphabetic), "{sign} could be a row number");
            assert!(!sign[1..].chars().all(|c| c.is_ascii_digit()), "{sign} could be a run of stitches");
        }
    }

    /// Whatever stands on a WS row, its symbol is read as the stitch again.
    #[test]
    fn every_stitch_has_a_symbol_and_words() {
        let mut stitches = Stitches::built_in();
        let mut all: Vec<StitchId> =
            Stitches::every().filter(|(_, stitch)| stitch.form_of.is_none()).map(|(id, _)| id).collect();
        all.extend(["2/2rc", "2/1lpc", "2/1/2rpc", "1/1rt"].iter().filter_map(|name| stitches.find(name)));
        for &id in &all {
            for side in [Side::Rs, Side::Ws] {
                let rows = [Shown { number: 1, side, stitches: vec![id] }];
                let marks = choose(&rows, &mut stitches);
                let symbol = marks.key(true, &mut stitches).swap_remove(marks.of(id, side, &stitches));
                let worked = match (words::meaning(&symbol.words, &mut stitches), side) {
                    (Some(Looks::Stitch(shown)), Side::Rs) => Some(shown),
                    (Some(Looks::Stitch(shown)), Side::Ws) => stitches.opposite(shown),
                    (Some(Looks::Sides { rs, .. }), Side::Rs) => Some(rs),
                    (Some(Looks::Sides { ws, .. }), Side::Ws) => Some(ws),
                    (None, _) => None,
                };
                let name = &stitches.get(id).name;
                assert_eq!(worked, Some(id), "{name} on {}: {symbol:?}", side.word());
            }
        }
    }
}
