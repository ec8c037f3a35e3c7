//! The way a piece is worked, as sentences say it that are none of the facts above the rows: one that names the piece, "Harbour
//! Cowl is worked in the round", and one among the designer's notes.

use super::facts;
use super::faults;
use super::find::Draft;
use super::reading::Source;
use crate::document::Line;
use crate::pattern::{Side, Worked};
use crate::problem::Finding;
use crate::settings::{self, Settings};
use crate::words::rows::facts::Way;
use crate::words::rows::label::{Label, Rows};

/// A sentence that was followed, and the line it stands in.
#[derive(Clone, Debug)]
pub(in crate::text) struct Followed {
    line: Line,
    sentence: String,
    way: Way,
}

/// Takes what such sentences say, where nothing else says it and no other sentence the contrary. Labels that name sides are
/// those of rows.
pub(super) fn settle(draft: &mut Draft) {
    let said = said(draft);
    for name in ["worked", "hand"] {
        let of_name = || said.iter().filter(|(followed, _)| followed.way.name == name);
        let Some((first, _)) = of_name().find(|(_, plain)| *plain) else { continue };
        let Draft { facts, said, .. } = draft;
        let stated = match name {
            "worked" => facts.worked.is_some() || said.worked.is_some(),
            _ => facts.hand.is_some() || said.hand.is_some(),
        };
        if stated {
            continue;
        }
        let contrary = of_name().any(|(other, _)| other.way.value != first.way.value);
        if contrary || name == "worked" && labels(draft).any(names_side) {
            draft.left_aside.push(first.clone());
            continue;
        }
        let mut told = Settings::default();
        if let Some(Ok(())) = settings::in_sheet(&mut told, first.way.name, first.way.value) {
            draft.facts.worked = draft.facts.worked.or(told.worked);
            draft.facts.hand = draft.facts.hand.or(told.hand);
            draft.followed.push(first.clone());
        }
    }
}

/// The sentences that speak of the way the piece is worked, and whether they say it plainly.
fn said(draft: &Draft) -> Vec<(Followed, bool)> {
    let title = draft.title.as_deref().unwrap_or_default();
    // "Harbour Cowl by A. Dune".
    let called = title.split_once(" by ").map_or(title, |(called, _)| called);
    let of_line = |line: &Line| {
        let ways = facts::ways_of(&line.text, called).into_iter();
        let followed = ways.map(|(sentence, way, plain)| {
            (Followed { line: line.clone(), sentence: sentence.to_owned(), way }, plain)
        });
        followed.collect::<Vec<_>>()
    };
    draft.ways_in_notes.iter().chain(&draft.unfollowed).flat_map(of_line).collect()
}

fn labels(draft: &Draft) -> impl Iterator<Item = &Label> {
    draft.rows.iter().filter_map(|row| row.label.as_ref())
}

/// Whether a label names a side.
fn names_side(label: &Label) -> bool {
    let of_side = label.every.as_ref().is_some_and(|every| matches!(every.kind, Rows::Of(_)));
    label.side.is_some() || !label.sides.is_empty() || of_side
}

/// Sentences that were followed, and those that may say that the rows are worked in another way, where nothing else says
/// which.
pub(super) fn told(source: Source<'_>) -> Vec<Finding> {
    let Source { file, draft, below, above } = source;
    let place = |Followed { line, sentence, .. }: &Followed| {
        line.place(file, line.text.find(sentence.as_str()).unwrap_or(0))
    };
    let open = |one: &&Followed| !settings::is_stated(above, one.way.name);
    let followed = draft.followed.iter().filter(open);
    let followed = followed.map(|one| faults::way_followed(place(one), &one.sentence, one.way));
    let all = [above, &draft.said, below];
    // Rounds have no wrong side.
    let behind = |label: &Label| {
        let every = label.every.as_ref().is_some_and(|every| every.kind == Rows::Of(Side::Ws));
        label.states(Side::Ws) || every
    };
    let worked = || {
        draft.facts.worked.is_some()
            || labels(draft).any(|label| label.worked == Worked::Round || behind(label))
    };
    let left = draft.left_aside.iter().filter(open).filter(|one| one.way.name != "worked" || !worked());
    let left = left.map(|one| faults::way_left_aside(place(one), &one.sentence, one.way));
    let unfollowed = draft.unfollowed.iter().filter_map(|line| {
        let found = facts::unfollowed(&line.text)?;
        let stated = all.iter().any(|settings| settings::is_stated(settings, found.way.name))
            || match found.way.name {
                "worked" => worked(),
                _ => draft.facts.hand.is_some(),
            };
        let at = line.text.find(found.sentence).unwrap_or(0);
        (!stated).then(|| faults::unfollowed(line.place(file, at), found))
    });
    followed.chain(left).chain(unfollowed).collect()
}
