//! What a long call says as it goes: in order, a good deal at a time, and beside the line that tells how far it is.

use super::call::Call;
use super::failure::Failure;
use super::progress::Progress;

/// Bytes that are said together: each piece costs a call of the system.
const TOGETHER: usize = 1 << 14;

/// Where it is said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stream {
    /// Standard output, where the findings are the result.
    Out,
    /// Standard error, where they go along with it.
    Err,
}

/// A voice, and the line that tells how far the call is.
pub struct Screen<'a> {
    call: &'a Call,
    stream: Stream,
    waiting: String,
    /// How far the call is.
    pub progress: Progress,
}

impl<'a> Screen<'a> {
    /// A voice for a call over so many files.
    pub fn new(call: &'a Call, stream: Stream, files: usize) -> Self {
        Self { call, stream, waiting: String::new(), progress: Progress::of(call, files) }
    }

    /// Says something, sooner or later.
    ///
    /// # Errors
    /// When standard output can't be written to.
    pub fn print(&mut self, text: &str) -> Result<(), Failure> {
        self.waiting.push_str(text);
        if self.waiting.len() < TOGETHER { Ok(()) } else { self.speak() }
    }

    fn speak(&mut self) -> Result<(), Failure> {
        let text = std::mem::take(&mut self.waiting);
        if text.is_empty() {
            return Ok(());
        }
        let terminal = self.call.terminal;
        self.progress.beside(|| match self.stream {
            Stream::Out => terminal.result(&text),
            Stream::Err => {
                terminal.say(&text);
                Ok(())
            }
        })
    }

    /// Says all that was not said yet.
    ///
    /// # Errors
    /// When standard output can't be written to.
    pub fn end(mut self) -> Result<(), Failure> {
        self.speak()
    }
}
