//! Plain text: a line for each line, a blank line between parts.

use super::page::Page;

pub(super) fn lay_out(page: &Page) -> String {
    let mut text = format!("{}\n\n", page.title);
    lines(&mut text, "", &page.facts);
    if !page.notes.lines.is_empty() {
        lines(&mut text, &page.notes.heading, &page.notes.lines);
    }
    lines(&mut text, &page.rows.heading, &page.rows.lines);
    if !page.list.lines.is_empty() {
        let entries: Vec<&str> = page.list.lines.iter().map(|entry| entry.line.as_str()).collect();
        lines(&mut text, &page.list.heading, &entries);
    }
    text.truncate(text.trim_end().len());
    text.push('\n');
    text
}

fn lines(text: &mut String, heading: &str, lines: &[impl AsRef<str>]) {
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
