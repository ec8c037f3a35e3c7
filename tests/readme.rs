//! The README is true: its charts give its rows and its findings, its settings are those of the table, its style is
//! one.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

use std::fs;
use std::process::Command;
use std::sync::Arc;

use longhand::settings::{Settings, TABLE};
use longhand::stitch::Stitches;
use longhand::style::Style;
use longhand::terms::Vocabulary;
use tempfile::TempDir;

const README: &str = include_str!("../README.md");

/// The code blocks of a kind, in order.
fn blocks(kind: &str) -> Vec<&'static str> {
    let mut blocks = Vec::new();
    let mut rest = README;
    while let Some((_, after)) = rest.split_once("\n```") {
        let (head, body) = after.split_once('\n').unwrap();
        let (block, after) = body.split_once("\n```").unwrap();
        if head == kind {
            blocks.push(block);
        }
        rest = after;
    }
    blocks
}

fn longhand(folder: &TempDir, arguments: &[&str]) -> (String, i32) {
    let output = Command::new(env!("CARGO_BIN_EXE_longhand"))
        .args(arguments)
        .current_dir(folder.path())
        .output()
        .unwrap();
    (String::from_utf8(output.stdout).unwrap(), output.status.code().unwrap())
}

#[test]
fn the_first_block_is_the_job_and_the_tests() {
    let lines: Vec<&str> = blocks("sh")[0].lines().collect();
    assert_eq!(lines.len(), 2);
    assert!(lines[0].starts_with("cargo run --release -- write corpus --out out"));
    assert_eq!(lines[1], "cargo test");
}

#[test]
fn the_charts_give_the_rows_and_findings_shown() {
    let folder = TempDir::new().unwrap();
    let [ripple, scarf] = blocks("csv")[..] else { panic!("two charts") };
    let [rows, spelled, grown, finding] = blocks("text")[..] else { panic!("four outputs") };
    for (name, text) in [("ripple.csv", ripple), ("longhand.toml", blocks("toml")[0]), ("scarf.csv", scarf)] {
        fs::write(folder.path().join(name), format!("{text}\n")).unwrap();
    }
    assert_eq!(longhand(&folder, &["write", "ripple.csv"]), (format!("{rows}\n"), 0));
    let (out, status) = longhand(&folder, &["write", "ripple.csv", "--style", "spelled-out"]);
    assert!(status == 0 && out.contains(spelled), "{out}");
    fs::write(folder.path().join("triangle.csv"), triangle()).unwrap();
    let (out, status) = longhand(&folder, &["write", "triangle.csv"]);
    assert!(status == 0 && out.contains(grown), "{out}");
    assert_eq!(longhand(&folder, &["check", "scarf.csv"]), (format!("{finding}\n"), 1));
}

/// The triangle that the README tells of: 30 RS rows, each two stitches wider in both halves.
fn triangle() -> String {
    let row = |at: usize| {
        let half = "k,".repeat(3 + 2 * at);
        let blank = ",".repeat(2 * (29 - at));
        format!("{blank}k,k,yo,{half}yo,k,yo,{half}yo,k,k,{blank}{}\n", 2 * at + 1)
    };
    let rows: String = (0..30).rev().map(row).collect();
    format!("Triangle\n\"Return rows: K2, p to last 2 sts, k2\"\n\n{rows}")
}

#[test]
fn the_settings_are_those_of_the_table() {
    for entry in TABLE.iter().filter(|entry| entry.in_file()) {
        let values = entry.values.replace(" | ", ", ");
        let row = format!("| `[{}]` | `{}` | {values} | {} |", entry.section.name(), entry.name, entry.about);
        assert!(README.contains(&row), "the README lacks the line\n{row}");
    }
    let rows = README.lines().filter(|line| line.starts_with("| `[")).count();
    assert_eq!(rows, TABLE.iter().filter(|entry| entry.in_file()).count());
}

#[test]
fn the_settings_files_and_the_style_are_well_formed() {
    let [symbols, style, key, terms] = blocks("toml")[..] else { panic!("four files") };
    for text in [symbols, key] {
        let (settings, findings) = Settings::parse(&Arc::from("README.md"), text);
        assert_eq!(findings, []);
        assert!(!settings.key.is_empty());
    }
    assert!(Style::parse(style, &Arc::from("house.toml")).is_ok());
    assert!(Vocabulary::parse(terms, &Arc::from("old-book.toml"), &Stitches::built_in()).is_ok());
}

#[test]
fn the_commands_shown_are_understood() {
    let folder = TempDir::new().unwrap();
    for line in
        blocks("sh").iter().flat_map(|block| block.lines()).filter(|line| line.starts_with("longhand "))
    {
        for call in line.split('#').next().unwrap().split('|').map(str::trim) {
            let mut arguments: Vec<&str> = call.split_whitespace().skip(1).collect();
            let (_, status) = longhand(&folder, &arguments);
            // Nothing is there to be read; a call that is not understood would say so in the same way with --help.
            assert_ne!(status, 0, "{call}");
            arguments.push("--help");
            assert_eq!(longhand(&folder, &arguments).1, 0, "{call}");
        }
    }
}
