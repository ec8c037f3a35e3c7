//! How a call ended.

use std::process::ExitCode;

use super::stop;

/// How a call ended; the worst of several counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// All well.
    Well,
    /// Something in the patterns is wrong or differs; each is said, everything else done.
    Wrong,
    /// The call itself could not be carried out.
    Failed,
    /// It was stopped by the user before its end.
    Stopped,
}

impl From<Status> for ExitCode {
    fn from(status: Status) -> Self {
        match status {
            Status::Well => Self::SUCCESS,
            Status::Wrong => Self::from(1),
            Status::Failed => Self::from(2),
            Status::Stopped => Self::from(stop::STATUS),
        }
    }
}
