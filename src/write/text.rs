//! Plain text: a line for each line, a blank line between parts.

use super::page::Page;

pub(super) fn lay_out(page: &Page) -> String {
    let mut text = format!("{}\n\n", page.title);
    lines(&mut text, "", &page.facts);
    lines(&mut text, &page.notes.heading, &page.notes.lines);
    lines(&mut text, &page.rows.heading, &page.rows.lines);
    let entries: Vec<&str> = page.list.lines.iter().map(|entry| entry.line.as_str()).collect();
    lines(&mut text, &page.list.heading, &entries);
    text.truncate(text.trim_end().len());
    text.push('\n');
    text
}

/// A part of the page: its heading, its lines, a blank line; nothing where it has no lines.
fn lines(text: &mut String, heading: &str, lines: &[impl AsRef<str>]) {
    if lines.is_empty() {
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
