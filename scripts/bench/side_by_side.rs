//! Ten charts side by side: their rows in runs alone, and folded. `cargo run --example side_by_side`
//! prints the table that DEVELOPERS.md has; lengths are in characters.
#![allow(clippy::print_stdout, clippy::disallowed_methods)]

use std::io;
use std::path::Path;
use std::sync::Arc;

use longhand::convert;
use longhand::fold;
use longhand::pattern::Pattern;
use longhand::settings::Settings;
use longhand::written::{Extent, Item};

const CHARTS: [&str; 10] = [
    "corpus/tideline/sand-ripple.csv",
    "corpus/tideline/kelp-fronds.ods",
    "corpus/rounds/spindrift-cowl.csv",
    "corpus/pebble-book/cobble-moss.csv",
    "corpus/harbour-wall/net-braid.csv",
    "tests/cases/worked/horseshoe-31/chart.csv",
    "tests/cases/worked/old-shale-54/chart.csv",
    "tests/cases/worked/vine-lace-31/chart.csv",
    "tests/cases/worked/unequal-ends-19/chart.csv",
    "tests/cases/worked/rope-cable-24/chart.csv",
];

/// Rows in runs are shown up to so many characters.
const LONGEST: usize = 64;

/// Items in the words of a pattern: "k2, [yo, ssk, k4] 3 times, k3".
fn words(items: &[Item], pattern: &Pattern) -> String {
    let one = |item: &Item| match item {
        Item::Run { stitch, extent } => {
            let name = &pattern.stitches.get(pattern.stitches.plain(*stitch)).name;
            match extent {
                Extent::Times(1) if ["k", "p"].contains(&name.as_str()) => format!("{name}1"),
                Extent::Times(1) => name.clone(),
                Extent::Times(times) if ["k", "p"].contains(&name.as_str()) => format!("{name}{times}"),
                Extent::Times(times) => format!("[{name}] {times} times"),
                other => format!("{name} {other:?}"),
            }
        }
        Item::Repeat { items, extent: Extent::Times(times) } => {
            format!("[{}] {times} times", words(items, pattern))
        }
        Item::Repeat { items, extent } => format!("[{}] {extent:?}", words(items, pattern)),
    };
    items.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn main() -> io::Result<()> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    println!("| chart | rows | in runs | folded | a row in runs | the row folded |");
    println!("| --- | --: | --: | --: | --- | --- |");
    for chart in CHARTS {
        let file = root.join(chart);
        let settings = |folder: Option<&Path>| {
            let text = folder.and_then(|folder| std::fs::read_to_string(folder.join("longhand.toml")).ok());
            Settings::parse(&Arc::from("longhand.toml"), &text.unwrap_or_default()).0
        };
        let below = settings(file.parent());
        let bytes = std::fs::read(&file)?;
        let read = convert::charts(&Arc::from(chart), &bytes, None, &below, &Settings::default());
        let Some(pattern) = read.charts.iter().find_map(|chart| chart.sound()) else {
            println!("| {chart} | does not add up |");
            continue;
        };
        let name = file.with_extension("");
        let name = if name.ends_with("chart") { file.parent() } else { Some(name.as_path()) };
        let name = name.and_then(Path::file_name).unwrap_or_default().to_string_lossy();
        let rows: Vec<(String, String)> = pattern
            .rows
            .iter()
            .zip(fold::closed(pattern))
            .map(|(row, folded)| {
                (words(&fold::fold(&row.stitches, &pattern.stitches, 0), pattern), words(&folded, pattern))
            })
            .collect();
        let (runs, folded) =
            rows.iter().fold((0, 0), |sums, (runs, folded)| (sums.0 + runs.len(), sums.1 + folded.len()));
        // The row that folding shortens most.
        let most = rows.iter().rev().max_by_key(|(runs, folded)| runs.len().saturating_sub(folded.len()));
        let (one, other) = most.map_or(("", ""), |(runs, folded)| (runs.as_str(), folded.as_str()));
        let mut one = one.to_owned();
        if one.len() > LONGEST {
            one.truncate(one[..LONGEST].rfind(", ").unwrap_or(0) + 1);
            one.push_str(" ...");
        }
        println!("| {name} | {} | {runs} | {folded} | {one} | {other} |", rows.len());
    }
    Ok(())
}
