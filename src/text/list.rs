//! Lists of abbreviations: words that the text itself explains.

use super::find::Entry;
use crate::pattern::Side;
use crate::stitch::{OwnStitch, StitchId, Stitches, Terms};
use crate::words::{self, Colours, Context, Means};

/// Stitches of the designer's own that the list explains well enough to count their loops: what is worked into one
/// stitch, turned and worked again. `stitches` are those that are known without the list.
pub(super) fn own_stitches(list: &[Entry], stitches: &Stitches) -> Vec<OwnStitch> {
    let mut stitches = stitches.clone();
    let mut own = Vec::new();
    for Entry { term, meaning, .. } in list {
        let known = words::stitch(term, &mut stitches).is_some()
            || words::explained(meaning, &mut stitches).is_some();
        if known || own.iter().any(|own: &OwnStitch| own.name == words::within_row(term)) {
            continue;
        }
        if let Some((uses, makes)) = words::loops(meaning, &mut stitches) {
            own.push(OwnStitch {
                name: words::within_row(term),
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
        // "Yfwd" may only move the yarn: explained in the words of the dictionary it is a stitch.
        let named = words::stitch(term, stitches);
        let form = |id: &StitchId| stitches.get(*id).form_of.is_some();
        let ours = |id: &StitchId| stitches.get(*id).words(Terms::Uk).explain == *meaning;
        if let Some(stitch) = named.filter(form).filter(ours) {
            means.learn(term, stitch);
            continue;
        }
        let Some(stitch) = words::explained(meaning, stitches) else { continue };
        let named = named.map(|named| stitches.plain(named));
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
