//! How far a call has come: a line on the terminal with files, charts, findings and the time left. Where standard
//! error is no terminal it is not there.

use indicatif::{ProgressBar, ProgressStyle};

use super::call::Call;
use super::report::number_of;

/// From how many files on there is something to wait for.
const MANY: usize = 10;

/// The line.
pub struct Progress {
    bar: ProgressBar,
    charts: usize,
    findings: usize,
}

impl Progress {
    /// A line for so many files; none where the call is to be quiet.
    pub fn of(call: &Call, files: usize) -> Self {
        let bar = if call.terminal.quiet || files < MANY {
            ProgressBar::hidden()
        } else {
            let bar = ProgressBar::new(files as u64);
            match ProgressStyle::with_template("{pos} of {len} files, {msg} {wide_bar} {eta} left") {
                Ok(style) => bar.with_style(style),
                Err(_) => bar,
            }
        };
        Self { bar, charts: 0, findings: 0 }
    }

    /// A file more is done.
    pub fn done(&mut self, charts: usize, findings: usize) {
        self.charts += charts;
        self.findings += findings;
        if !self.bar.is_hidden() {
            self.bar.set_message(format!(
                "{}, {}",
                number_of(self.charts, "chart"),
                number_of(self.findings, "finding")
            ));
            self.bar.inc(1);
        }
    }

    /// Speaks without disturbing the line.
    pub fn beside<R>(&self, speak: impl FnOnce() -> R) -> R {
        self.bar.suspend(speak)
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
