//! Plain text: a line for each line, a blank line between parts.

use super::page::Page;

pub(super) fn lay_out(page: &Page<'_>) -> String {
    // Longer than most.
    let mut text = String::with_capacity(2_048);
    text.push_str(&page.title);
    text.push_str("\n\n");
    lines(&mut text, "", page.facts.iter());
    lines(&mut text, page.notes.heading, page.notes.lines.iter());
    lines(&mut text, page.rows.heading, page.rows.lines.iter());
    lines(&mut text, page.list.heading, page.list.lines.iter().map(|entry| &entry.line));
    text.truncate(text.trim_end().len());
    text.push('\n');
    text
}

/// A part of the page: its heading, its lines, a blank line; nothing where it has no lines.
fn lines(text: &mut String, heading: &str, lines: impl ExactSizeIterator<Item = impl AsRef<str>>) {
    if lines.len() == 0 {
        return;
    }
    if !heading.is_empty() {
        text.push_str(heading);
        text.push('\n');
    }
    for line in lines {
        text.push_str(line.as_ref());
        text.push('\n');
    }
    text.push('\n');
}
