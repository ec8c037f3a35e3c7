//! Struck-out text: what a file shows as crossed out, or keeps as deleted, is none of its lines.

use std::sync::Arc;

use crate::place::Place;
use crate::problem::{Code, Finding};

/// The struck-out text of a file, each stretch with where it stands.
#[derive(Debug, Default)]
pub(super) struct Struck {
    stretches: Vec<Stretch>,
    /// Whether other text stands behind the last one.
    ended: bool,
}

#[derive(Debug)]
struct Stretch {
    line: u32,
    column: u32,
    text: String,
}

/// The longest text that a finding shows, in letters.
const SHOWN: usize = 60;

impl Struck {
    /// Adds text that is struck out; what stands together in one line is one stretch.
    pub(super) fn push(&mut self, line: u32, column: u32, text: &str) {
        match self.stretches.last_mut().filter(|last| last.line == line && !self.ended) {
            Some(last) => last.text.push_str(text),
            None => self.stretches.push(Stretch { line, column, text: text.to_owned() }),
        }
        self.ended = false;
    }

    /// Text follows that is not struck out.
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
            let message = format!("\"{found}\" is struck out or deleted here and was left out.");
            Finding::new(Code::StruckOut, place, message)
                .found(found)
                .help("If it is to be read, take the line through it away, or reject the deletion.")
        })
    }
}
