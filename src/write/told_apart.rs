//! No two different rows read alike: in every style the text says which items were meant, and where stitches are
//! abbreviated it is read as those items again.

use std::collections::HashMap;

use proptest::prelude::*;

use super::page;
use crate::pattern::{Hand, Side, Worked};
use crate::stitch::{StitchId, Stitches, Words};
use crate::style::{self, Style, Wording};
use crate::words;
use crate::written::{Extent, Item, Label, Line, Work, Written};

/// The row of these items, as it is printed.
fn text(items: &[Item], stitches: &Stitches, style: &Style) -> String {
    let written = Written {
        title: String::new(),
        worked: Worked::Round,
        hand: Hand::Right,
        cast_on: 1,
        multiple: None,
        sizes: Vec::new(),
        notes: Vec::new(),
        lines: vec![Line {
            label: Label::Row { number: 1, side: Side::Rs },
            work: Work::Items(items.to_vec()),
            count: None,
            count_changes: false,
        }],
        stitches: stitches.clone(),
    };
    page::compose(&written, style).rows.lines.remove(0)
}

/// The items with runs that have no words of their own told as the groups they are printed as, and without what is
/// worked no times.
fn as_groups(items: &[Item], stitches: &Stitches, style: &Style) -> Vec<Item> {
    items
        .iter()
        .filter_map(|item| match item {
            Item::Run { stitch, extent } => {
                let words = stitches.get(*stitch).words(style.terms);
                let has_words = match extent {
                    Extent::Times(0) => return None,
                    Extent::Times(1) => true,
                    Extent::Times(_) => many(words, style).is_some(),
                    Extent::ToLast(_) => bare(words, style).is_some(),
                };
                let one = Item::Run { stitch: *stitch, extent: Extent::Times(1) };
                Some(if has_words {
                    item.clone()
                } else {
                    Item::Repeat { items: vec![one], extent: *extent }
                })
            }
            Item::Repeat { items, extent } => {
                let items = as_groups(items, stitches, style);
                (!items.is_empty() && *extent != Extent::Times(0))
                    .then_some(Item::Repeat { items, extent: *extent })
            }
        })
        .collect()
}

fn many<'w>(words: &'w Words, style: &Style) -> Option<&'w String> {
    if style.wording == Wording::Short { words.run.as_ref() } else { words.long_run.as_ref() }
}

fn bare<'w>(words: &'w Words, style: &Style) -> Option<&'w String> {
    if style.wording == Wording::Short { words.bare.as_ref() } else { words.long_bare.as_ref() }
}

/// The items with the names that a yarn over has by its neighbours taken back: a row is read as the stitch itself.
fn plain(items: &[Item], stitches: &Stitches) -> Vec<Item> {
    let plain_item = |item: &Item| match item {
        Item::Run { stitch, extent } => Item::Run { stitch: stitches.plain(*stitch), extent: *extent },
        Item::Repeat { items, extent } => Item::Repeat { items: plain(items, stitches), extent: *extent },
    };
    items.iter().map(plain_item).collect()
}

/// Fails where two of the rows are different and read alike.
fn tell_apart(rows: &[Vec<Item>], stitches: &Stitches) {
    for style in style::built_in() {
        let mut seen: HashMap<String, Vec<Item>> = HashMap::new();
        for row in rows {
            let meant = as_groups(row, stitches, style);
            let text = text(row, stitches, style);
            match seen.get(&text) {
                Some(other) => assert_eq!(other, &meant, "{}: {text}", style.name),
                None => drop(seen.insert(text, meant)),
            }
        }
    }
}

/// The dictionary with some cables, and all of its stitches.
fn everything() -> (Stitches, Vec<StitchId>) {
    let mut stitches = Stitches::built_in();
    let cables =
        ["2/2rc", "2/2lc", "2/1rpc", "1/2rpc", "2/1lpc", "2/1/2rc", "2/1/2rpc", "2/12rc", "21/2rc", "1/1lt"]
            .map(|name| stitches.find(name).unwrap());
    let ids = Stitches::every().map(|(id, _)| id).chain(cables).collect();
    (stitches, ids)
}

#[test]
fn every_stitch_is_called_by_its_own_name() {
    let (stitches, ids) = everything();
    let extents = [1, 2, 3, 12].map(Extent::Times).into_iter().chain([0, 1, 2, 12].map(Extent::ToLast));
    let extents: Vec<Extent> = extents.collect();
    let rows: Vec<Vec<Item>> = ids
        .iter()
        .flat_map(|&stitch| extents.iter().map(move |&extent| vec![Item::Run { stitch, extent }]))
        .collect();
    tell_apart(&rows, &stitches);
}

fn any_items() -> impl Strategy<Value = Vec<Item>> {
    let (_, ids) = everything();
    let extent =
        || prop_oneof![3 => (0..4u32).prop_map(Extent::Times), 1 => (0..3u32).prop_map(Extent::ToLast)];
    // Few stitches make rows that are alike but for one thing, the likeliest to be confused.
    let few: Vec<StitchId> = ids.iter().copied().take(4).chain([ids[ids.len() - 1]]).collect();
    let stitch = prop_oneof![3 => proptest::sample::select(few), 1 => proptest::sample::select(ids)];
    let run = (stitch, extent()).prop_map(|(stitch, extent)| Item::Run { stitch, extent });
    let item = run.prop_recursive(3, 8, 3, move |inner| {
        (proptest::collection::vec(inner, 0..3), extent())
            .prop_map(|(items, extent)| Item::Repeat { items, extent })
    });
    proptest::collection::vec(item, 0..3)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(48) })]

    #[test]
    fn rows_that_differ_read_otherwise(rows in proptest::collection::vec(any_items(), 150)) {
        tell_apart(&rows, &everything().0);
    }

    /// The text of a row in the short styles is read as the items it was made from.
    #[test]
    fn abbreviated_rows_are_read_as_they_were_meant(row in any_items()) {
        let (stitches, _) = everything();
        for style in style::built_in().iter().filter(|style| style.wording == Wording::Short) {
            let meant = as_groups(&row, &stitches, style);
            if meant.is_empty() || has_no_stitch(&meant, &stitches) {
                continue;
            }
            let text = text(&row, &stitches, style);
            let work = text.trim_start_matches("Round 1: ").trim_end_matches('.');
            let read = words::row(work, &mut stitches.clone());
            let read = read.map(|items| as_groups(&plain(&items, &stitches), &stitches, style));
            let meant = as_groups(&plain(&meant, &stitches), &stitches, style);
            prop_assert_eq!(read, Ok(meant), "{}: {}", style.name, text);
        }
    }
}

fn has_no_stitch(items: &[Item], stitches: &Stitches) -> bool {
    items.iter().any(|item| match item {
        Item::Run { stitch, .. } => stitches.get(*stitch).name == "ns",
        Item::Repeat { items, .. } => has_no_stitch(items, stitches),
    })
}
