//! How a call ended.

use std::process::ExitCode;

/// How a call ended; the worst of several counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// All well.
    Well,
    /// Something in the patterns is wrong or differs; each is said, everything else done.
    Wrong,
    /// The call itself could not be carried out.
    Failed,
}

impl From<Status> for ExitCode {
    fn from(status: Status) -> Self {
        match status {
            Status::Well => Self::SUCCESS,
            Status::Wrong => Self::from(1),
            Status::Failed => Self::from(2),
        }
    }
}
