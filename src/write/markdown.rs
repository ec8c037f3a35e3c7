//! Markdown: real headings, a paragraph for each row, the list as a table.

use super::page::Page;

pub(super) fn lay_out(page: &Page) -> String {
    let mut parts = vec![format!("# {}", escape(&page.title))];
    parts.extend(page.facts.iter().map(|fact| escape(fact)));
    if !page.notes.lines.is_empty() {
        parts.push(format!("## {}", escape(&page.notes.heading)));
        parts.extend(page.notes.lines.iter().map(|note| escape(note)));
    }
    if !page.rows.heading.is_empty() {
        parts.push(format!("## {}", escape(&page.rows.heading)));
    }
    parts.extend(page.rows.lines.iter().map(|row| escape(row)));
    if !page.list.lines.is_empty() {
        parts.push(format!("## {}", escape(&page.list.heading)));
        let mut table = vec![
            format!("| {} | {} |", escape(&page.columns.0), escape(&page.columns.1)),
            "| --- | --- |".to_owned(),
        ];
        table.extend(
            page.list
                .lines
                .iter()
                .map(|entry| format!("| {} | {} |", escape(&entry.term), escape(&entry.meaning))),
        );
        parts.push(table.join("\n"));
    }
    parts.join("\n\n") + "\n"
}

/// The line with every character that markdown would take for a mark escaped.
fn escape(line: &str) -> String {
    let mut out = String::with_capacity(line.len());
    // A line that begins like a list item: "1. ", "- ", "+ ".
    let number_end = line.find(|c: char| !c.is_ascii_digit()).unwrap_or(line.len());
    for (at, c) in line.char_indices() {
        let mark = match c {
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '~' | '|' | '&' | '$' => true,
            '-' | '+' | '=' => at == 0,
            '.' | ')' => at > 0 && at == number_end,
            _ => false,
        };
        if mark {
            out.push('\\');
        }
        out.push(c);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: CommonMark 0.31, backslash escapes and list items.
    #[test]
    fn marks_are_escaped() {
        assert_eq!(escape("*[yo] 3 times; rep from * to end"), "\\*\\[yo\\] 3 times; rep from \\* to end");
        assert_eq!(escape("1. wash"), "1\\. wash");
        assert_eq!(escape("- wash - dry"), "\\- wash - dry");
        assert_eq!(escape("a_b <i> #3 | c & d"), "a\\_b \\<i\\> \\#3 \\| c \\& d");
        assert_eq!(escape("Row 1 (RS): K2."), "Row 1 (RS): K2.");
    }
}
