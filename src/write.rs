//! Writing: a pattern in the words of a house style, in one of the formats of [`WRITERS`].
//!
//! [`page`] words the pattern; each format is a file that lays the page out. To add a format: one file, one line.

mod again;
mod colours;
mod markdown;
mod number;
pub mod page;
#[cfg(test)]
mod samples;
mod sizes;
mod spelled;
#[cfg(test)]
mod tests;
mod text;
#[cfg(test)]
mod told_apart;
mod work;

use crate::style::Style;
use crate::written::Written;
use page::Page;

/// A format that written rows are printed in.
#[derive(Clone, Copy, Debug)]
pub struct Writer {
    /// Its name, as chosen by `--to`.
    pub name: &'static str,
    /// The ending of its files, without the point.
    pub ending: &'static str,
    lay_out: fn(&Page<'_>) -> String,
}

/// The formats.
pub const WRITERS: &[Writer] = &[
    Writer { name: "text", ending: "txt", lay_out: text::lay_out },
    Writer { name: "markdown", ending: "md", lay_out: markdown::lay_out },
];

impl Writer {
    /// The format with this name.
    pub fn named(name: &str) -> Option<&'static Self> {
        WRITERS.iter().find(|writer| writer.name == name)
    }

    /// The pattern in the words of the style, whole lines, the last one ended.
    pub fn write(&self, written: &Written, style: &Style) -> String {
        (self.lay_out)(&page::compose(written, style))
    }
}
