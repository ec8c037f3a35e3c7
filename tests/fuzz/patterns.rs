//! Patterns as designers have them, at random: lace, cables, WS lace, shaped, in the round, with garter edges, growing,
//! in several sizes. Their counts chain.

use std::sync::Arc;

use longhand::pattern::{
    Hand, Multiple, Pattern, Row, RowRepeat, Side, Size, Worked, with_double_yarn_overs,
};
use longhand::place::Place;
use longhand::stitch::{StitchId, Stitches};

use super::Chance;

/// Pieces that use as many loops as they make.
const EVEN: &[&str] = &[
    "k",
    "k",
    "k",
    "k k",
    "p",
    "p p",
    "yo k2tog",
    "ssk yo",
    "yo ssk",
    "k2tog yo",
    "yo sk2p yo",
    "yo k s2kp k yo",
    "2/2rc",
    "2/2lc",
    "2/1rpc",
    "2/1lpc",
    "1/1rt",
    "ktbl",
    "ptbl",
    "k2tog yo2 ssk",
    "kyok k3tog",
    "m1l k2tog",
    "p2tog yo",
    "yo ssp",
    "sl1wyib",
    "sl1wyif",
    "kfb k2tog",
    "yo k yo k3tog",
];
const MORE: &[&str] = &["yo", "m1l", "m1r", "kfb", "yo k yo", "m1p"];
const FEWER: &[&str] = &["k2tog", "ssk", "k3tog", "p2tog", "sk2p"];

struct Maker {
    stitches: Stitches,
}

impl Maker {
    fn ids(&mut self, names: &str) -> Vec<StitchId> {
        names.split_whitespace().map(|name| self.stitches.find(name).unwrap()).collect()
    }

    /// Balanced pieces that use so many loops.
    fn even(&mut self, loops: u32, busy: usize, chance: &mut Chance) -> Vec<StitchId> {
        let mut row = Vec::new();
        let mut left = loops;
        while left > 0 {
            let piece =
                if chance.below(10) < busy { *chance.one_of(EVEN) } else { *chance.one_of(&["k", "p"]) };
            let piece = self.ids(piece);
            let uses = self.stitches.uses(&piece);
            if uses <= left {
                row.extend(piece);
                left -= uses;
            }
        }
        row
    }
}

/// A pattern.
pub fn any(chance: &mut Chance) -> Pattern {
    let mut maker = Maker { stitches: Stitches::built_in() };
    let round = chance.below(4) == 0;
    let ws_first = !round && chance.below(4) == 0;
    let of = 1 + chance.below(12) as u32;
    let (left, right) = (chance.below(5) as u32, chance.below(5) as u32);
    let times = 1 + chance.below(5) as u32;
    let repeats = chance.below(4) > 0;
    let kind = chance.below(5);
    let plus = left + right;
    let cast_on = of * times + plus;
    let mut loops = cast_on;
    let rows_count = 1 + chance.below(14) as u32;
    let first = [1, 1, 1, 1, 0, 2, 5][chance.below(7)];
    let busy = chance.below(10);
    let plain_returns = chance.below(2) == 0;
    let mut rows: Vec<Row> = Vec::new();
    for number in first..first + rows_count {
        let side = if round || (number % 2 == 0) == ws_first { Side::Rs } else { Side::Ws };
        let again = chance.below(6) == 0 && rows.len() > 2;
        let mut repeat = None;
        let mut row: Vec<StitchId> = Vec::new();
        let same = rows.get(rows.len().wrapping_sub(2)).map(|row| (row.stitches.clone(), row.repeat));
        if let (true, Some((before, box_))) =
            (again, same.filter(|(row, _)| maker.stitches.uses(row) == loops))
        {
            row = before;
            repeat = box_;
        } else if plain_returns && number % 2 == 0 && loops > 6 {
            // Garter edges.
            let edge = chance.below(4);
            let (a, b) = if side == Side::Ws { ("k ", "p ") } else { ("k ", "k ") };
            let text = a.repeat(edge) + &b.repeat(loops as usize - 2 * edge) + &a.repeat(edge);
            row = maker.ids(&text);
        } else if repeats && kind < 3 && loops == cast_on {
            let head = maker.even(left, busy, chance);
            let unit = maker.even(of, busy, chance);
            let tail = maker.even(right, busy, chance);
            let start = head.len();
            row.extend(&head);
            (0..times).for_each(|_| row.extend(&unit));
            row.extend(&tail);
            if with_double_yarn_overs(&row).len() == row.len() {
                repeat = Some(RowRepeat { start, length: unit.len(), times: times as usize });
            }
        } else {
            let shaping = if kind == 3 { *chance.one_of(MORE) } else { *chance.one_of(FEWER) };
            let shaping = maker.ids(shaping);
            let uses = maker.stitches.uses(&shaping);
            let edge = chance.below(4) as u32;
            let both = chance.below(2) == 0;
            if kind >= 3 && chance.below(2) == 0 && loops > 2 * edge + 2 * uses + 2 {
                let middle = loops - 2 * edge - uses * (1 + u32::from(both));
                row = maker.ids(&"k ".repeat(edge as usize));
                row.extend(&shaping);
                let busy = if chance.below(2) == 0 { 0 } else { busy };
                let inner = if busy == 0 {
                    maker.ids(&"k ".repeat(middle as usize))
                } else {
                    maker.even(middle, busy, chance)
                };
                row.extend(inner);
                if both {
                    row.extend(&shaping);
                }
                row.extend(maker.ids(&"k ".repeat(edge as usize)));
            } else {
                row = maker.even(loops, busy, chance);
            }
        }
        let row: Vec<StitchId> = with_double_yarn_overs(&row).into_iter().map(|(_, id)| id).collect();
        loops = maker.stitches.makes(&row);
        rows.push(Row {
            number,
            side,
            charted: true,
            stitches: row,
            place: Place::file(&Arc::from("a")),
            cells: Vec::new(),
            stated: None,
            repeat,
        });
    }
    let boxed = rows.iter().any(|row| row.repeat.is_some())
        && rows
            .iter()
            .all(|row| row.repeat.is_some() || row.stitches.windows(2).all(|pair| pair[0] == pair[1]));
    let multiple = (boxed && chance.below(3) > 0).then_some(Multiple { of, plus });
    // In UK terms a single working may need other names of its yarn overs than two.
    let sizes = if multiple.is_some() && times > 2 && chance.below(2) == 0 {
        let more = 1 + chance.below(3) as u32;
        (0..3)
            .map(|at| Size {
                name: ["S", "M", "L"][at as usize].into(),
                times: times + at * more,
                cast_on: of * (times + at * more) + plus,
            })
            .collect()
    } else {
        Vec::new()
    };
    Pattern {
        title: "Any".into(),
        source: Arc::from("a"),
        chart: None,
        worked: if round { Worked::Round } else { Worked::Flat },
        hand: if chance.below(9) == 0 { Hand::Left } else { Hand::Right },
        cast_on,
        multiple,
        sizes,
        rows,
        notes: Vec::new(),
        stitches: maker.stitches,
    }
}
