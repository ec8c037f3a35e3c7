//! Markdown: real headings, a paragraph for each row, the list as a table.

use super::page::Page;

pub(super) fn lay_out(page: &Page<'_>) -> String {
    let mut parts = vec![format!("# {}", escape(&page.title))];
    parts.extend(page.facts.iter().map(|fact| escape(fact)));
    if !page.notes.lines.is_empty() {
        parts.push(format!("## {}", escape(page.notes.heading)));
        parts.extend(page.notes.lines.iter().map(|note| escape(note)));
    }
    if !page.rows.heading.is_empty() {
        parts.push(format!("## {}", escape(page.rows.heading)));
    }
    parts.extend(page.rows.lines.iter().map(|row| escape(row)));
    if !page.list.lines.is_empty() {
        parts.push(format!("## {}", escape(page.list.heading)));
        let mut table = vec![
            format!("| {} | {} |", escape(page.columns.0), escape(page.columns.1)),
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
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '~' | '|' | '&' | '$' | '^' => true,
            '-' | '+' | '=' | ':' => at == 0,
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
    use proptest::prelude::*;
    use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};

    use super::super::page::{Entry, Section};
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

    /// What a reader of the page sees, block by block, as a general renderer shows it.
    fn shown(markdown: &str) -> Vec<String> {
        let mut blocks = Vec::new();
        let mut text = String::new();
        for event in Parser::new_ext(markdown, Options::all() - Options::ENABLE_SMART_PUNCTUATION) {
            match event {
                Event::Text(piece) => text.push_str(&piece),
                Event::End(TagEnd::Paragraph | TagEnd::Heading(_) | TagEnd::TableCell) => {
                    blocks.push(std::mem::take(&mut text));
                }
                Event::Start(
                    Tag::Paragraph
                    | Tag::Heading { .. }
                    | Tag::Table(_)
                    | Tag::TableHead
                    | Tag::TableRow
                    | Tag::TableCell,
                )
                | Event::End(TagEnd::Table | TagEnd::TableHead | TagEnd::TableRow) => {}
                other => blocks.push(format!("{other:?}")),
            }
        }
        blocks
    }

    proptest! {
        /// Whatever a title, a note or a row holds, a renderer shows it as it is.
        #[test]
        fn a_renderer_shows_every_line_as_it_is(
            lines in proptest::collection::vec(line(), 6),
        ) {
            let line = |index: usize| lines[index].clone();
            let entry = Entry { term: line(4).into(), meaning: line(5).into(), line: String::new() };
            let page = Page {
                title: line(0).into(),
                facts: vec![line(1)],
                notes: Section { heading: "Notes", lines: vec![line(2).into()] },
                rows: Section { heading: "", lines: vec![line(3)] },
                list: Section { heading: "Abbreviations", lines: vec![entry] },
                columns: ("Term", "Meaning"),
            };
            let expected =
                [&lines[0], &lines[1], "Notes", &lines[2], &lines[3], "Abbreviations", "Term", "Meaning", &lines[4], &lines[5]];
            prop_assert_eq!(shown(&lay_out(&page)), expected);
        }
    }

    /// Lines of what knitters type and what markdown takes for marks, with single spaces.
    fn line() -> impl Strategy<Value = String> {
        let piece = proptest::sample::select(vec![
            "k2",
            "yo",
            "*",
            "**",
            "_",
            "[",
            "]",
            "(RS)",
            ":",
            "1.",
            "12)",
            "-",
            "+",
            "#",
            "##",
            ">",
            "|",
            "\\",
            "`",
            "~~",
            "&amp;",
            "<b>",
            "http://a.b",
            "---",
            "===",
            "$x$",
            "^",
            "![a](b)",
            "[^1]",
            "[x]",
            "\"q\"",
            "'",
            "...",
            "a:b:",
            "{#id}",
            "2/2 RC",
            "0",
            ":::",
            "[[w]]",
            "- [ ]",
        ]);
        (proptest::collection::vec((piece, any::<bool>()), 1..7)).prop_map(|pieces| {
            let mut line = String::new();
            for (piece, spaced) in pieces {
                line.push_str(piece);
                line.push_str(if spaced { " " } else { "" });
            }
            line.split_whitespace().collect::<Vec<_>>().join(" ")
        })
    }
}
