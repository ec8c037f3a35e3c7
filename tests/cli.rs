//! The command as users call it: what it prints, what it writes, how it ends. Each test lays out a folder of
//! charts and runs the program in it.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

#[path = "cli/again.rs"]
mod again;
#[path = "cli/bench.rs"]
mod bench;
#[path = "cli/compare.rs"]
mod compare;
#[path = "cli/draw.rs"]
mod draw;
#[path = "cli/folders.rs"]
mod folders;
#[path = "cli/output.rs"]
mod output;
#[path = "cli/page.rs"]
mod page;
#[path = "cli/proof.rs"]
mod proof;
#[path = "cli/settings.rs"]
mod settings;
#[path = "cli/talk.rs"]
mod talk;
