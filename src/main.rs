//! The `longhand` command.

mod cli;

use std::process::ExitCode;

use mimalloc::MiMalloc;

/// A chart of some hundred cells becomes text by way of a thousand short lists, for which the system's allocator takes
/// longer.
#[global_allocator]
static ALLOCATOR: MiMalloc = MiMalloc;

fn main() -> ExitCode {
    cli::run(std::env::args_os()).into()
}
