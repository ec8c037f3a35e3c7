//! The `longhand` command.

mod cli;

use std::process::ExitCode;

use mimalloc::MiMalloc;

/// A chart of some hundred cells becomes text by way of two thousand short lists; the system's allocator would take a
/// fifth of the time.
#[global_allocator]
static ALLOCATOR: MiMalloc = MiMalloc;

fn main() -> ExitCode {
    cli::run(std::env::args_os()).into()
}
