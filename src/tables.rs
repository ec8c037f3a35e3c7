//! The tables that come with longhand: TOML beside the modules they belong to, JSON in the program (`scripts/tables.rs`).

use serde::Deserialize;

/// A table as JSON, by its path below `src` without an ending: `table!("words/english")`.
macro_rules! table {
    ($path:literal) => {
        include_str!(concat!(env!("OUT_DIR"), "/", $path, ".json"))
    };
}

pub(crate) use table;

/// Reads a table of [`table!`]. Texts without quotation marks and backslashes may be borrowed from it.
///
/// # Panics
/// Where it is not of this type. It is compiled in, and every table is read by the tests.
#[allow(clippy::expect_used)]
pub(crate) fn read<T: Deserialize<'static>>(json: &'static str) -> T {
    serde_json::from_str(json).expect("a table that comes with longhand is of its type")
}
