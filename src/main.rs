//! The `longhand` command.
#![allow(clippy::disallowed_methods)]

fn main() {}
