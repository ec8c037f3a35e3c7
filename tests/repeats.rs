//! Charts come back with the repeats that their patterns are published with: the same edges, the same period, the same
//! order of stitches in the repeat. And charts that were invented to mislead, with repeats worked out by hand.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

#[path = "repeats/invented.rs"]
mod invented;
#[path = "repeats/published.rs"]
mod published;

use std::sync::Arc;

use longhand::convert;
use longhand::fold;
use longhand::pattern::Pattern;
use longhand::read::Format;
use longhand::settings::Settings;
use longhand::written::{Extent, Item, expand, items_use};

/// A row as it is published: what stands before the repeat, the repeat, what stands after it. In words as
/// "k1 | yo k3 sk2p k3 yo k1 |": a number after `k` or `p` counts them, `*3` works the stitch or the group before it so
/// many times. A row without bars has no repeat.
#[derive(Clone, Debug, PartialEq)]
struct Row {
    before: Vec<String>,
    unit: Vec<String>,
    after: Vec<String>,
    /// How often the repeat is worked.
    times: usize,
}

impl Row {
    fn parse(words: &str, times: usize) -> Self {
        let parts: Vec<Vec<String>> = words.split('|').map(stitches).collect();
        match parts.as_slice() {
            [all] => Self { before: all.clone(), unit: Vec::new(), after: Vec::new(), times: 0 },
            [before, unit, after] => {
                Self { before: before.clone(), unit: unit.clone(), after: after.clone(), times }
            }
            _ => panic!("{words}"),
        }
    }

    /// Every stitch, in the order they are worked.
    fn worked(&self) -> Vec<String> {
        [self.before.clone(), repeated(&self.unit, self.times), self.after.clone()].concat()
    }
}

fn repeated(unit: &[String], times: usize) -> Vec<String> {
    std::iter::repeat_n(unit, times).flatten().cloned().collect()
}

/// "k3 (yo k1)*2" as single stitches.
fn stitches(words: &str) -> Vec<String> {
    let spaced = words.replace('(', " ( ").replace(')', " ) ");
    let mut groups: Vec<Vec<String>> = vec![Vec::new()];
    for word in spaced.split_whitespace() {
        let many = |unit: Vec<String>, times: &str| repeated(&unit, times.parse().unwrap());
        if word == "(" {
            groups.push(Vec::new());
        } else if word == ")" {
            let group = groups.pop().unwrap();
            groups.last_mut().unwrap().push(group.join(" "));
        } else if let Some(times) = word.strip_prefix('*') {
            let group = groups.last_mut().unwrap().pop().unwrap();
            let group: Vec<String> = group.split(' ').map(str::to_owned).collect();
            groups.last_mut().unwrap().extend(many(group, times));
        } else if let Some((name, times)) = word.split_once('*') {
            groups.last_mut().unwrap().extend(many(vec![name.to_owned()], times));
        } else {
            let (name, times) = match word.strip_prefix(['k', 'p']) {
                Some(times) if !times.is_empty() && times.chars().all(char::is_numeric) => {
                    (&word[..1], times)
                }
                _ => (word, "1"),
            };
            groups.last_mut().unwrap().extend(many(vec![name.to_owned()], times));
        }
    }
    groups.pop().unwrap()
}

/// The row as longhand folds it. `expect` says how often the repeat is to be worked: of several repeats in the row,
/// the first that is.
fn folded(items: &[Item], pattern: &Pattern, expect: &Row) -> Row {
    let stitches = &pattern.stitches;
    let names = |items: &[Item]| -> Vec<String> {
        let ids = expand(items, stitches, items_use(items, stitches).unwrap());
        ids.unwrap().iter().map(|&id| stitches.get(stitches.plain(id)).name.clone()).collect()
    };
    let at = items.iter().position(|item| match item {
        Item::Repeat { extent: Extent::Times(times), .. } => *times as usize == expect.times,
        _ => false,
    });
    match at.map(|at| (&items[at], at)) {
        Some((Item::Repeat { items: unit, .. }, at)) => Row {
            before: names(&items[..at]),
            unit: names(unit),
            after: names(&items[at + 1..]),
            times: expect.times,
        },
        _ => Row { before: names(items), unit: Vec::new(), after: Vec::new(), times: 0 },
    }
}

/// The cells of a row in the order it is worked; a cable stands in every cell it covers.
fn cells(row: &Row) -> Vec<String> {
    let wide = |name: &str| {
        let crossed = name.split_once(['r', 'l']).filter(|_| name.contains('/'));
        crossed.map_or(1, |(size, _)| size.split('/').map(|part| part.parse::<usize>().unwrap()).sum())
    };
    row.worked().into_iter().flat_map(|name| std::iter::repeat_n(name.clone(), wide(&name))).collect()
}

/// Items in the notation of [`Row`].
fn told(items: &[Item], pattern: &Pattern) -> String {
    let one = |item: &Item| match item {
        Item::Run { stitch, extent: Extent::Times(times) } => {
            let name = &pattern.stitches.get(pattern.stitches.plain(*stitch)).name;
            match (name.as_str(), times) {
                ("k" | "p", _) => format!("{name}{times}"),
                (_, 1) => name.clone(),
                _ => format!("{name}*{times}"),
            }
        }
        Item::Repeat { items, extent: Extent::Times(times) } => format!("({})*{times}", told(items, pattern)),
        other => panic!("{other:?}"),
    };
    items.iter().map(one).collect::<Vec<_>>().join(" ")
}

/// A chart of these rows as csv, in the names of the stitches: each row numbered where it begins, the first at the
/// bottom. Rows of a flat piece that are worked from the wrong side stand as they are worked.
fn chart(rows: &[Row], first: u32, step: u32, round: bool, ws_first: bool, returns: &str) -> String {
    let mut text = format!("Chart\nSymbols: as-worked\nReturn rows: {returns}\n");
    text.push_str(if round { "Worked: round\n" } else { "" });
    text.push_str(if ws_first { "First side: WS\n" } else { "" });
    text.push('\n');
    let rows: Vec<Vec<String>> = rows.iter().map(cells).collect();
    let widest = rows.iter().map(Vec::len).max().unwrap();
    for (index, mut cells) in rows.into_iter().enumerate().rev() {
        let number = first + index as u32 * step;
        let is_rs = round || (number % 2 == 1) != ws_first;
        let outside = vec![String::new(); widest - cells.len()];
        if is_rs {
            cells.reverse();
        }
        let cells = [outside, cells].concat().join(",");
        text.push_str(&if is_rs { format!(",{cells},{number}\n") } else { format!("{number},{cells},\n") });
    }
    text
}

/// Reads a chart that adds up.
fn read(name: &str, text: &str) -> Pattern {
    let file: Arc<str> = Arc::from(name);
    let read = convert::charts(
        &file,
        text.as_bytes(),
        Some(Format::Csv),
        &Settings::default(),
        &Settings::default(),
    );
    let [chart] = &read.charts[..] else { panic!("{name}: {:?}\n{text}", read.findings) };
    let Some(pattern) = chart.sound() else { panic!("{name}: {:#?}\n{text}", chart.findings) };
    pattern.clone()
}

/// Every row of the pattern against the rows it is published with; each difference a line.
fn differences(name: &str, pattern: &Pattern, published: &[(u32, Row)]) -> Vec<String> {
    let mut told = Vec::new();
    let closed = fold::closed(pattern);
    for (number, row) in published {
        let at = pattern.rows.iter().position(|row| row.number == *number).unwrap();
        let found = folded(&closed[at], pattern, row);
        if found != *row {
            told.push(format!(
                "{name}, row {number}: {} | {} | {}, {} times",
                found.before.join(" "),
                found.unit.join(" "),
                found.after.join(" "),
                found.times
            ));
        }
    }
    told
}
