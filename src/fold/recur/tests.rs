//! Rows cut into lines, against a search that tries every way to cut them.

use std::sync::Arc;

use proptest::prelude::*;

use super::*;
use crate::fold::cost;
use crate::pattern::{Hand, Row};
use crate::place::Place;

/// Four rows in words: knit, purl, a few words, more words.
fn kinds() -> [Vec<Item>; 4] {
    let run = |stitch, extent| Item::Run { stitch, extent };
    let (one, two, end) = (Extent::Times(1), Extent::Times(2), Extent::ToLast(0));
    let (k, p, yo) = (Stitches::K, Stitches::P, Stitches::YO);
    let lace = vec![run(k, two), run(yo, one), run(k, one), run(p, two), run(yo, one), run(k, end)];
    [vec![run(k, end)], vec![run(p, end)], vec![run(k, two), run(p, end)], lace]
}

fn pattern(worked: Worked, rows: usize, first: Side) -> Pattern {
    let rows = (1..).take(rows).map(|number: u32| Row {
        number,
        side: if worked == Worked::Round || (number % 2 == 1) == (first == Side::Rs) {
            Side::Rs
        } else {
            Side::Ws
        },
        charted: true,
        stitches: Vec::new(),
        place: Place::file(&Arc::from("a")),
        cells: Vec::new(),
        stated: None,
        repeat: None,
    });
    Pattern {
        title: String::new(),
        source: Arc::from("a"),
        chart: None,
        worked,
        hand: Hand::Right,
        cast_on: 10,
        multiple: None,
        sizes: Vec::new(),
        rows: rows.collect(),
        notes: Vec::new(),
        stitches: Stitches::built_in(),
    }
}

/// The least cost of the rows from one on, every line tried that may stand there.
fn least(pattern: &Pattern, words: &[&[Item]], at: usize) -> u32 {
    let n = words.len();
    if at == n {
        return 0;
    }
    let rest = |end: usize| least(pattern, words, end);
    let alone = LINE + cost(words[at], &pattern.stitches);
    let mut best = alone + rest(at + 1);
    let side = |row: usize| pattern.rows[row].side;
    let sides = at > 0 || side(at) == Side::Rs;
    for end in at + 2..=n {
        let apart = at % 2 == 1 && pattern.worked == Worked::Flat;
        let few = end - at == 2 && alone - LINE <= FEW_WORDS && apart;
        if sides && !few && (at..end).all(|row| words[row] == words[at]) {
            best = best.min(alone + rest(end));
        }
        let stitch = |row: usize| match words[row] {
            [Item::Run { stitch, extent: Extent::ToLast(0) }] => Some(*stitch),
            _ => None,
        };
        let turns = |row: usize| stitch(row).is_some() && (row == at || stitch(row) != stitch(row - 1));
        if sides && pattern.worked == Worked::Flat && end - at >= IN_TURN && (at..end).all(turns) {
            best = best.min(LINE + FABRIC + u32::from(side(at) == Side::Ws) + rest(end));
        }
    }
    for rows in 1..=at {
        let again = |source: usize, end: usize| {
            (at..end).all(|row| {
                let from = source + (row - at) % rows;
                words[row] == words[from] && side(row) == side(from)
            })
        };
        for end in (at + rows..=n).step_by(rows) {
            if (0..=at - rows).any(|source| again(source, end)) {
                best = best.min(LINE + LOOK_BACK + rest(end));
            }
        }
    }
    best
}

fn agrees(worked: Worked, first: Side, rows: &[usize]) -> Result<(), TestCaseError> {
    let kinds = kinds();
    let words: Vec<Vec<Item>> = rows.iter().map(|&kind| kinds[kind].clone()).collect();
    let pattern = pattern(worked, rows.len(), first);
    let mut wordings = Wordings::new(&pattern.stitches);
    let numbers: Vec<usize> = words.iter().map(|words| wordings.number(words.clone())).collect();
    let (found, steps) = Cutter::new(&pattern, &numbers, &[], None, &wordings).cut();
    let words: Vec<&[Item]> = words.iter().map(Vec::as_slice).collect();
    prop_assert_eq!(found, least(&pattern, &words, 0), "{:?} {:?} {:?}", worked, rows, steps);
    Ok(())
}

/// Every pattern of up to six rows of four kinds.
#[test]
fn no_cutting_of_few_rows_is_cheaper() {
    for length in 1..=6u32 {
        for pattern in 0..4usize.pow(length) {
            let rows: Vec<usize> = (0..length).map(|row| pattern / 4usize.pow(row) % 4).collect();
            for worked in [Worked::Flat, Worked::Round] {
                agrees(worked, Side::Rs, &rows).unwrap();
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    /// Longer ones, made of blocks that recur.
    #[test]
    fn no_cutting_is_cheaper(
        blocks in proptest::collection::vec((proptest::collection::vec(0..4usize, 1..4), 1..4usize), 1..4),
        round in any::<bool>(),
        late in any::<bool>(),
    ) {
        let mut rows: Vec<usize> = blocks.iter().flat_map(|(block, times)| block.repeat(*times)).collect();
        rows.truncate(12);
        let (worked, first) = (if round { Worked::Round } else { Worked::Flat }, if late { Side::Ws } else { Side::Rs });
        agrees(worked, first, &rows)?;
    }
}
