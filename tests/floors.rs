//! The floors of the library: a module uses only modules of lower floors, and stages never name each other. Read
//! from the sources, so that the plan in `src/lib.rs` stays true.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// The floors from the ground up. Modules of one floor may use each other only where `SIDEWAYS` says so.
const FLOORS: &[&[&str]] = &[
    &["nearest", "place", "problem", "tables"],
    &["document", "grid", "pattern", "settings", "stitch", "style", "terms", "written"],
    &["words"],
    &["chart", "check", "compare", "draw", "fold", "json", "read", "text", "write"],
    &["convert"],
    &["proof"],
];

/// On these floors modules may use each other: the ground, the model, the language.
const SIDEWAYS: usize = 3;

fn source(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(path)
}

fn floor(module: &str) -> Option<usize> {
    FLOORS.iter().position(|floor| floor.contains(&module))
}

/// Every source file of a module: `src/name.rs` and what lies below `src/name/`.
fn files(module: &str) -> Vec<PathBuf> {
    let mut files = vec![source(&format!("{module}.rs"))];
    let mut folders = vec![source(module)];
    while let Some(folder) = folders.pop() {
        let Ok(entries) = fs::read_dir(folder) else { continue };
        for entry in entries {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                files.push(path);
            }
        }
    }
    files
}

/// What a source says without its comments and the tests at its end. Tests in a file of their own are none of this one, and
/// may be declared at its top.
fn code(text: &str) -> String {
    let text = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default();
    text.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

fn is_name(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// The modules of the library that a source names, as `crate::name` or up all the way by `super`, of which it takes so many.
fn modules(text: &str, supers: usize) -> BTreeSet<String> {
    let code = code(text);
    let mut modules = named(&code, "crate");
    modules.append(&mut named(&code, &vec!["super"; supers].join("::")));
    modules.remove("super");
    modules
}

/// The names that stand behind a path in some code, alone or in braces.
fn named(code: &str, root: &str) -> BTreeSet<String> {
    let mut modules = BTreeSet::new();
    for (at, found) in code.match_indices(&format!("{root}::")) {
        if code[..at].ends_with(is_name) || code[..at].ends_with("::") {
            continue;
        }
        let rest = &code[at + found.len()..];
        let mut depth = 0;
        // In braces every name that begins an item is a module; otherwise the one that follows.
        let mut names = Vec::new();
        if let Some(group) = rest.strip_prefix('{') {
            let mut item = String::new();
            for letter in group.chars() {
                match letter {
                    '{' => depth += 1,
                    '}' if depth == 0 => break,
                    '}' => depth -= 1,
                    ',' if depth == 0 => names.push(std::mem::take(&mut item)),
                    _ if depth == 0 => item.push(letter),
                    _ => {}
                }
            }
            names.push(item);
        } else {
            names.push(rest.chars().take_while(|c| is_name(*c)).collect());
        }
        modules.extend(
            names.iter().map(|name| name.trim().chars().take_while(|c| is_name(*c)).collect::<String>()),
        );
    }
    modules
}

#[test]
fn every_module_has_its_floor() {
    let lib = fs::read_to_string(source("lib.rs")).unwrap();
    let modules: Vec<&str> = lib
        .lines()
        .filter_map(|line| line.trim_start_matches("pub ").strip_prefix("mod ")?.strip_suffix(';'))
        .collect();
    assert!(modules.len() > 10, "lib.rs is read: {modules:?}");
    for module in &modules {
        assert!(floor(module).is_some(), "{module} has no floor: give it one in tests/floors.rs");
    }
    for module in FLOORS.iter().copied().flatten() {
        assert!(modules.contains(module), "{module} is on a floor, but not in lib.rs");
    }
}

#[test]
fn modules_use_lower_floors_only() {
    for (level, module) in
        FLOORS.iter().enumerate().flat_map(|(level, floor)| floor.iter().map(move |m| (level, *m)))
    {
        for file in files(module) {
            let text = fs::read_to_string(&file).unwrap();
            let supers = file.strip_prefix(source("")).unwrap().components().count();
            for other in modules(&text, supers).iter().filter(|other| *other != module) {
                let Some(below) = floor(other) else { continue };
                let allowed = below < level || (below == level && level < SIDEWAYS);
                assert!(allowed, "{} names crate::{other}, which is not below it", file.display());
            }
        }
    }
}

/// Whether some code lifts the ban on opening files, or names what opens them.
fn opens_files(code: &str) -> bool {
    let uses = |(at, _): (usize, &str)| !code[..at].ends_with(is_name);
    code.contains("clippy::disallowed_methods")
        || code.contains("std::fs")
        || code.match_indices("fs::").any(uses)
}

/// Files are opened in `cli/files` alone: the other sources don't lift the ban that clippy holds.
#[test]
fn only_one_place_opens_files() {
    let mut lifted = Vec::new();
    let mut modules: Vec<String> =
        FLOORS.iter().copied().flatten().map(|module| (*module).to_owned()).collect();
    modules.extend(["cli", "main"].map(str::to_owned));
    for file in modules.iter().flat_map(|module| files(module)) {
        let text = fs::read_to_string(&file).unwrap();
        if opens_files(&code(&text)) {
            lifted.push(file.strip_prefix(source("")).unwrap().to_str().unwrap().replace('\\', "/"));
        }
    }
    lifted.sort();
    assert!(lifted.contains(&"cli/files.rs".to_owned()));
    assert!(lifted.iter().all(|file| file.starts_with("cli/files")), "{lifted:?}");
}

/// The reading of sources is itself tried, or a slip in it would hold no floor at all.
#[test]
fn names_are_found_in_every_form_of_use() {
    let text = "use crate::chart::{Chart, self};\nuse crate::{place::Place, problem::{Code, Finding}, grid};\n\
                // use crate::fold;\nfn f() { crate::json::read(); }\nuse super_crate::check;\n\
                #[cfg(test)]\nmod tests { use crate::write; }";
    let found: Vec<String> = modules(text, 1).into_iter().collect();
    assert_eq!(found, ["chart", "grid", "json", "place", "problem"]);
    // Tests in another file end nothing; a path up to the library names its modules.
    let text = "#[cfg(test)]\nmod tests;\n\nuse super::{check::check, fold};\nuse super::super::draw;\nuse crate::read;";
    assert_eq!(modules(text, 1).into_iter().collect::<Vec<_>>(), ["check", "fold", "read"]);
    assert_eq!(modules(text, 2).into_iter().collect::<Vec<_>>(), ["draw", "read"]);
    assert_eq!(modules(text, 3).into_iter().collect::<Vec<_>>(), ["read"]);
    for code in ["use std::fs;", "use std::{fs, io};\nfn f() { fs::read(p) }", "use std::{fs::File, io};"] {
        assert!(opens_files(code), "{code}");
    }
    assert!(!opens_files("use crate::diffs::Diff;"));
}
