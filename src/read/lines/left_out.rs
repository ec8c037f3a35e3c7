//! Text that is left out: what a file shows as crossed out, keeps as deleted or hides is none of its lines.

use std::sync::Arc;

use crate::place::Place;
use crate::problem::{Code, Finding};

/// Why text is none of the lines of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Why {
    /// It has a line through it, or was deleted.
    Struck,
    /// Nobody sees it.
    Hidden,
}

/// The text of a file that is left out, each stretch with where it stands.
#[derive(Debug, Default)]
pub(super) struct LeftOut {
    stretches: Vec<Stretch>,
    /// Whether other text stands behind the last one.
    ended: bool,
}

#[derive(Debug)]
struct Stretch {
    line: u32,
    column: u32,
    text: String,
    why: Why,
}

/// The longest text that a finding shows, in letters.
const SHOWN: usize = 60;

impl LeftOut {
    /// Adds text that is left out; what stands together in one line is one stretch.
    pub(super) fn push(&mut self, line: u32, column: u32, text: &str, why: Why) {
        let goes_on = |last: &&mut Stretch| last.line == line && last.why == why && !self.ended;
        match self.stretches.last_mut().filter(goes_on) {
            Some(last) => last.text.push_str(text),
            None => self.stretches.push(Stretch { line, column, text: text.to_owned(), why }),
        }
        self.ended = false;
    }

    /// Text follows that is read.
    pub(super) const fn end(&mut self) {
        self.ended = true;
    }

    /// What is to be said of it.
    pub(super) fn findings(&self, file: &Arc<str>) -> impl Iterator<Item = Finding> {
        let told = self.stretches.iter().filter(|stretch| !stretch.text.trim().is_empty());
        told.map(|stretch| {
            let words: Vec<&str> = stretch.text.split_whitespace().collect();
            let mut found = words.join(" ");
            if found.chars().count() > SHOWN {
                found = found.chars().take(SHOWN).chain("...".chars()).collect();
            }
            let place = Place::line(file, stretch.line, stretch.column);
            let (code, message, help) = match stretch.why {
                Why::Struck => (
                    Code::StruckOut,
                    format!("\"{found}\" is struck out or deleted here and was left out."),
                    "If it is to be read, take the line through it away, or reject the deletion.",
                ),
                Why::Hidden => (
                    Code::HiddenLeftOut,
                    format!("\"{found}\" is hidden text and was left out."),
                    "If it is to be read, show it.",
                ),
            };
            Finding::new(code, place, message).found(found).help(help)
        })
    }
}
