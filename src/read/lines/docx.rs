//! Word documents: a paragraph is a line, numbered from 1 as Word's own paragraphs are; columns count its letters.

use quick_xml::events::Event;

use super::super::fault::Fault;
use super::super::package::Package;
use super::super::xml::{attribute, local, push_text};
use crate::document::{Kind, Line};

/// The usual name of the part that holds the text.
const MAIN: &str = "word/document.xml";

pub(super) fn lines(package: &mut Package<'_>) -> Result<Vec<Line>, Fault> {
    let Some(mut xml) = package.xml(MAIN)? else {
        return Err(Fault::damaged("the part with its text is missing"));
    };
    let mut lines = Vec::new();
    let mut paragraph = Paragraph::default();
    let mut number = 0;
    // Cells of a table row, while one is read.
    let mut row: Option<Line> = None;
    let mut in_text = false;
    loop {
        let event = xml.next()?;
        match &event {
            Event::Start(start) => match local(start.name().into_inner()) {
                "p" => {
                    number += 1;
                    paragraph = Paragraph { number, ..Paragraph::default() };
                }
                "pStyle" => {
                    let style = attribute(start, "val").unwrap_or_default().to_ascii_lowercase();
                    paragraph.heading = style.starts_with("heading") || style == "title";
                }
                "t" => in_text = true,
                "tab" => paragraph.push(" "),
                "noBreakHyphen" => paragraph.push("-"),
                "br" | "cr" => paragraph.break_line(),
                "tr" => row = Some(Line::default()),
                "tc" => {
                    if let Some(row) = &mut row {
                        row.begin_cell();
                    }
                }
                // The same again for older programs; what was deleted.
                "Fallback" | "del" | "moveFrom" | "rPr" => xml.skip()?,
                _ => {}
            },
            Event::End(end) => match local(end.name().into_inner()) {
                "t" => in_text = false,
                "p" => {
                    let done = std::mem::take(&mut paragraph).done();
                    match &mut row {
                        Some(row) => {
                            // Paragraphs of a cell stand one after another.
                            for line in done.into_iter().filter(|line| !line.is_blank()) {
                                let begun =
                                    row.cells().last().is_some_and(|(start, _)| *start == row.text.len());
                                if begun { row.append(&line) } else { row.join(&line) }
                            }
                        }
                        None => lines.extend(done),
                    }
                }
                "tr" => {
                    if let Some(mut line) = row.take() {
                        line.end_cell();
                        line.kind = Kind::Cells;
                        line.whole = true;
                        lines.extend((!line.is_blank()).then_some(line));
                    }
                }
                _ => {}
            },
            Event::Eof => return Ok(lines),
            event if in_text => {
                let mut text = String::new();
                push_text(&mut text, event)?;
                paragraph.push(&text);
            }
            _ => {}
        }
    }
}

/// A paragraph being read.
#[derive(Default)]
struct Paragraph {
    number: u32,
    heading: bool,
    column: u32,
    done: Vec<Line>,
    line: Line,
}

impl Paragraph {
    fn push(&mut self, text: &str) {
        self.line.push(self.number, self.column + 1, text);
        self.column = self.column.saturating_add(u32::try_from(text.chars().count()).unwrap_or(u32::MAX));
    }

    fn break_line(&mut self) {
        self.done.push(std::mem::take(&mut self.line));
        self.column = self.column.saturating_add(1);
    }

    fn done(mut self) -> Vec<Line> {
        self.break_line();
        let kind = if self.heading { Kind::Heading } else { Kind::Text };
        for line in &mut self.done {
            line.kind = kind;
            line.whole = true;
        }
        self.done
    }
}
