//! Standard output and standard error: results on the one, findings and failures on the other.

use std::io::{self, ErrorKind, IsTerminal, Write};

use anstream::adapter::strip_str;
use anstream::stream::{AsLockedWrite, RawStream};
use anstream::{AutoStream, ColorChoice};

use super::failure::Failure;
use super::report;
use super::status::Status;

/// Where a call speaks.
#[derive(Clone, Copy)]
pub struct Terminal {
    /// Whether to use colour.
    pub color: ColorChoice,
    /// Whether to keep to errors.
    pub quiet: bool,
}

impl Terminal {
    /// A terminal that decides on colour by itself.
    pub fn plain() -> Self {
        Self { color: ColorChoice::Auto, quiet: false }
    }

    /// Prints a result to standard output.
    ///
    /// # Errors
    /// When standard output can't be written to. A reader that has seen enough, such as a pager, is no failure.
    pub fn result(self, text: &str) -> Result<(), Failure> {
        match self.speak(io::stdout().lock(), text) {
            Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Failure::new(
                format!("Standard output can't be written to: {}.", report::reason(&error)),
                "",
            )),
            _ => Ok(()),
        }
    }

    /// Writes a text to a stream, without its colours where they are not wanted. Those are then taken out beforehand:
    /// what is left between them would else be written piece by piece, each with a call of the system.
    fn speak(self, mut to: impl RawStream + AsLockedWrite, text: &str) -> io::Result<()> {
        let color = if self.color == ColorChoice::Auto { AutoStream::choice(&to) } else { self.color };
        if color == ColorChoice::Never {
            to.write_all(strip_str(text).to_string().as_bytes())?;
            return to.flush();
        }
        let mut to = AutoStream::new(to, color);
        to.write_all(text.as_bytes())?;
        to.flush()
    }

    /// Gives a result that may be no text to standard output.
    ///
    /// # Errors
    /// When standard output can't be written to, or is a terminal, which can show nothing but text.
    pub fn bytes(self, bytes: &[u8], is_text: bool) -> Result<(), Failure> {
        let mut out = io::stdout().lock();
        if !is_text && out.is_terminal() {
            return Err(Failure::new(
                "A workbook can't be shown on the screen.",
                "Name a folder for the results: --out charts.",
            ));
        }
        match out.write_all(bytes).and_then(|()| out.flush()) {
            Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Failure::new(
                format!("Standard output can't be written to: {}.", report::reason(&error)),
                "",
            )),
            _ => Ok(()),
        }
    }

    /// Says something on standard error.
    pub fn say(self, text: &str) {
        // Where not even standard error can be written to, there is nobody to tell.
        let _ = self.speak(io::stderr().lock(), text);
    }

    /// Says why the call could not be carried out.
    pub fn fail(self, failure: &Failure) -> Status {
        self.say(&report::failure(failure));
        Status::Failed
    }
}
