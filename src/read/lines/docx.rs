//! Word documents: a paragraph is a line, numbered from 1 as Word's own paragraphs are; columns count its letters.

mod numbering;

use std::borrow::Cow;

use quick_xml::events::Event;

use super::super::fault::Fault;
use super::super::package::Package;
use super::super::xml::{attribute, local, push_text};
use super::struck::Struck;
use crate::document::{Kind, Line};
use numbering::{Label, Membership, Numbering};

/// The usual name of the part that holds the text.
const MAIN: &str = "word/document.xml";

pub(super) fn lines(package: &mut Package<'_>, struck: &mut Struck) -> Result<Vec<Line>, Fault> {
    let mut numbering = Numbering::of(package)?;
    let Some(mut xml) = package.xml(MAIN)? else {
        return Err(Fault::damaged("the part with its text is missing"));
    };
    let mut lines = Vec::new();
    let mut paragraph = Paragraph::default();
    let mut number = 0;
    // Cells of a table row, while one is read.
    let mut row: Option<Line> = None;
    let mut in_text = false;
    // Whether the run of text has a line through it, and how many deletions it stands in.
    let (mut crossed, mut deleted) = (false, 0u32);
    // Whether what is read describes a paragraph, and not its text.
    let mut describes = false;
    loop {
        let event = xml.next()?;
        match &event {
            Event::Start(start) => match local(start.name().into_inner()) {
                "p" => {
                    number += 1;
                    paragraph = Paragraph { number, ..Paragraph::default() };
                }
                "pStyle" => {
                    let name = attribute(start, "val").unwrap_or_default();
                    let style = name.to_ascii_lowercase();
                    paragraph.heading = style.starts_with("heading") || style == "title";
                    paragraph.style = Some(name.into_owned());
                }
                name @ ("numId" | "ilvl") => {
                    paragraph.member.take(name, attribute(start, "val").map(Cow::into_owned));
                }
                "pPr" => describes = true,
                "r" => crossed = false,
                "rPr" if describes => xml.skip()?,
                "strike" | "dstrike" => {
                    let off = |value: &str| matches!(value, "0" | "false" | "off");
                    crossed |= !attribute(start, "val").as_deref().is_some_and(off);
                }
                "del" | "moveFrom" => deleted += 1,
                "t" | "delText" => in_text = true,
                "tab" => paragraph.push(" "),
                "noBreakHyphen" => paragraph.push("-"),
                "br" | "cr" => paragraph.break_line(),
                "tr" => row = Some(Line::default()),
                "tc" => {
                    if let Some(row) = &mut row {
                        row.begin_cell();
                    }
                }
                // The same again for older programs; what looked otherwise, and how rows and cells of tables look.
                "Fallback" | "rPrChange" | "pPrChange" | "trPr" | "tcPr" => xml.skip()?,
                _ => {}
            },
            Event::End(end) => match local(end.name().into_inner()) {
                "t" | "delText" => in_text = false,
                "r" => crossed = false,
                "del" | "moveFrom" => deleted = deleted.saturating_sub(1),
                "pPr" => {
                    describes = false;
                    paragraph.label(&mut numbering);
                }
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
                if crossed || deleted > 0 {
                    struck.push(paragraph.number, paragraph.column + 1, &text);
                    paragraph.pass(&text);
                } else {
                    struck.end();
                    paragraph.push(&text);
                }
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
    /// The name of its style.
    style: Option<String>,
    /// Of which list it says itself that it is an item.
    member: Membership,
    /// Its number in that list.
    item: Option<u32>,
    column: u32,
    done: Vec<Line>,
    line: Line,
}

impl Paragraph {
    fn push(&mut self, text: &str) {
        self.line.push(self.number, self.column + 1, text);
        self.pass(text);
    }

    /// Goes on behind text that is there, be it read or not.
    fn pass(&mut self, text: &str) {
        self.column = self.column.saturating_add(u32::try_from(text.chars().count()).unwrap_or(u32::MAX));
    }

    /// Puts before its text what Word shows there.
    fn label(&mut self, numbering: &mut Numbering) {
        match numbering.label(&self.member, self.style.as_deref()) {
            Some(Label::Item(number)) => self.item = Some(number),
            Some(Label::Words(words)) => self.line.push(self.number, 1, &(words + " ")),
            None => {}
        }
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
        if let Some(line) = self.done.first_mut() {
            line.item = self.item;
        }
        self.done
    }
}
