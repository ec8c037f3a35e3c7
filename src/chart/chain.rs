//! Rows that can be read in more than one way: the readings whose counts chain best.

use super::cells::Reading;

/// What a reading weighs: loops used and made, and how far it departs from the plain one.
#[derive(Clone, Copy, Debug)]
pub(super) struct Weight {
    pub(super) uses: u32,
    pub(super) makes: u32,
    pub(super) cost: u32,
}

/// A broken chain outweighs any assumption about blanks.
const BROKEN: u64 = 1_000_000;

/// Chooses one reading for each row so that the fewest counts break, then the least is assumed. `start` is the
/// cast-on, where it is known.
pub(super) fn choose(rows: &[Vec<Weight>], start: Option<u32>) -> Vec<usize> {
    let mut best: Vec<Vec<(u64, usize)>> = Vec::with_capacity(rows.len());
    for (index, row) in rows.iter().enumerate() {
        let weights = row
            .iter()
            .map(|weight| {
                let cost = u64::from(weight.cost);
                match index.checked_sub(1) {
                    None => {
                        let broken = start.is_some_and(|start| start != weight.uses);
                        (cost + if broken { BROKEN } else { 0 }, 0)
                    }
                    Some(before) => rows[before]
                        .iter()
                        .enumerate()
                        .map(|(at, previous)| {
                            let broken = previous.makes != weight.uses;
                            (best[before][at].0 + cost + if broken { BROKEN } else { 0 }, at)
                        })
                        .min()
                        .unwrap_or((cost, 0)),
                }
            })
            .collect();
        best.push(weights);
    }
    let mut chosen = vec![0; rows.len()];
    let Some(last) = best.last() else { return chosen };
    let mut at = last.iter().enumerate().min_by_key(|(_, weight)| weight.0).map_or(0, |(at, _)| at);
    for index in (0..rows.len()).rev() {
        chosen[index] = at;
        at = best[index].get(at).map_or(0, |(_, before)| *before);
    }
    chosen
}

/// The readings chosen, one a row.
pub(super) fn pick(readings: Vec<Vec<Reading>>, chosen: &[usize]) -> Vec<Option<Reading>> {
    readings.into_iter().zip(chosen).map(|(row, &at)| row.into_iter().nth(at)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn weight(uses: u32, makes: u32, cost: u32) -> Weight {
        Weight { uses, makes, cost }
    }

    /// A triangle that grows by two stitches a row: the blanks beside its rows are outside it.
    #[test]
    fn the_readings_that_chain_are_chosen() {
        let rows = [
            vec![weight(5, 7, 0), weight(1, 3, 1)],
            vec![weight(5, 7, 0), weight(3, 5, 1)],
            vec![weight(5, 7, 0)],
        ];
        assert_eq!(choose(&rows, Some(1)), [1, 1, 0]);
    }

    #[test]
    fn the_plain_reading_is_chosen_where_all_chain() {
        let rows = [vec![weight(5, 5, 0), weight(3, 3, 1)], vec![weight(5, 5, 0), weight(3, 3, 1)]];
        assert_eq!(choose(&rows, None), [0, 0]);
    }
}
