//! Word documents: a paragraph is a line, numbered from 1 as Word's own paragraphs are; columns count its letters.

mod numbering;

use std::borrow::Cow;

use quick_xml::events::{BytesStart, Event};

use super::super::fault::Fault;
use super::super::links::Links;
use super::super::package::Package;
use super::super::xml::{attribute, local, push_text};
use super::left_out::{LeftOut, Why};
use crate::document::{Kind, Line};
use numbering::{Label, Membership, Numbering};

/// The usual names of the part that holds the text, of that with the lists, and of that with the styles.
const MAIN: &str = "word/document.xml";
const LISTS: &str = "word/numbering.xml";
const STYLES: &str = "word/styles.xml";

pub(super) fn lines(package: &mut Package<'_>, left_out: &mut LeftOut) -> Result<Vec<Line>, Fault> {
    let part = |links: &Links, kind: &str, usual: &str| {
        links.by_kind(kind).map_or_else(|| usual.to_owned(), |link| link.part.clone())
    };
    let main = part(&Links::of(package, "")?, "officeDocument", MAIN);
    let links = Links::of(package, &main)?;
    let (lists, styles) = (part(&links, "numbering", LISTS), part(&links, "styles", STYLES));
    let mut numbering = Numbering::of(package, &lists, &styles)?;
    let Some(mut xml) = package.xml(&main)? else {
        return Err(Fault::damaged("the part with its text is missing"));
    };
    let mut body = Body::default();
    let mut number = 0;
    let mut in_text = false;
    // How many deletions the text stands in.
    let mut deleted = 0u32;
    // Whether what is read describes a paragraph, and not its text.
    let mut describes = false;
    loop {
        let event = xml.next()?;
        match &event {
            Event::Start(start) => match local(start.name().into_inner()) {
                "p" => {
                    number += 1;
                    body.begin(Piece::Paragraph(Paragraph { number, ..Paragraph::default() }));
                }
                "tr" => body.begin(Piece::Row(Line::default())),
                "tc" => {
                    if let Some(Piece::Row(row)) = body.piece() {
                        row.begin_cell();
                    }
                }
                "pPr" => describes = true,
                "rPr" if describes => xml.skip()?,
                "del" | "moveFrom" => deleted += 1,
                "t" | "delText" => in_text = true,
                // The same again for older programs; what looked otherwise, and how rows and cells of tables look.
                "Fallback" | "rPrChange" | "pPrChange" | "trPr" | "tcPr" => xml.skip()?,
                name => {
                    if let Some(Piece::Paragraph(paragraph)) = body.piece() {
                        paragraph.take(name, start);
                    }
                }
            },
            Event::End(end) => match local(end.name().into_inner()) {
                "t" | "delText" => in_text = false,
                "del" | "moveFrom" => deleted = deleted.saturating_sub(1),
                "r" => {
                    if let Some(Piece::Paragraph(paragraph)) = body.piece() {
                        paragraph.left_out = None;
                    }
                }
                "pPr" => {
                    describes = false;
                    if let Some(Piece::Paragraph(paragraph)) = body.piece() {
                        paragraph.label(&mut numbering);
                    }
                }
                "p" | "tr" => body.end(),
                _ => {}
            },
            Event::Eof => return Ok(body.lines),
            event if in_text => {
                let mut text = String::new();
                push_text(&mut text, event)?;
                let Some(Piece::Paragraph(paragraph)) = body.piece() else { continue };
                if let Some(why) = paragraph.left_out.or((deleted > 0).then_some(Why::Struck)) {
                    left_out.push(paragraph.number, paragraph.column + 1, &text, why);
                    paragraph.pass(&text);
                } else {
                    left_out.end();
                    paragraph.push(&text);
                }
            }
            _ => {}
        }
    }
}

/// The lines of a document, and the pieces of it that are being read. A piece may stand inside another: a paragraph in a
/// row of a table, a text box with paragraphs in a paragraph, a table in a cell.
#[derive(Default)]
struct Body {
    lines: Vec<Line>,
    open: Vec<Open>,
}

/// A piece being read, and the lines inside it that are no part of its own text: they come behind it.
struct Open {
    piece: Piece,
    inside: Vec<Line>,
}

enum Piece {
    Paragraph(Paragraph),
    /// A row of a table, with the cells read so far.
    Row(Line),
}

impl Body {
    fn begin(&mut self, piece: Piece) {
        self.open.push(Open { piece, inside: Vec::new() });
    }

    /// The innermost piece.
    fn piece(&mut self) -> Option<&mut Piece> {
        self.open.last_mut().map(|open| &mut open.piece)
    }

    /// Ends the innermost piece.
    fn end(&mut self) {
        let Some(Open { piece, inside }) = self.open.pop() else { return };
        let mut done = match (piece, self.piece()) {
            (Piece::Paragraph(paragraph), Some(Piece::Row(row))) => {
                // Paragraphs of a cell stand one after another.
                for line in paragraph.done().into_iter().filter(|line| !line.is_blank()) {
                    let begun = row.cells().last().is_some_and(|(start, _)| *start == row.text.len());
                    if begun { row.append(&line) } else { row.join(&line) }
                }
                Vec::new()
            }
            (Piece::Paragraph(paragraph), _) => paragraph.done(),
            (Piece::Row(mut row), _) => {
                row.end_cell();
                row.kind = Kind::Cells;
                row.whole = true;
                if row.is_blank() { Vec::new() } else { vec![row] }
            }
        };
        done.extend(inside);
        match self.open.last_mut() {
            Some(around) => around.inside.extend(done),
            None => self.lines.extend(done),
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
    /// Why the run of text that is read is left out, if it is.
    left_out: Option<Why>,
    column: u32,
    done: Vec<Line>,
    line: Line,
}

impl Paragraph {
    /// Takes what an element in it says of its looks, its list or its text.
    fn take(&mut self, name: &str, element: &BytesStart<'_>) {
        let value = || attribute(element, "val");
        match name {
            "pStyle" => {
                let name = value().unwrap_or_default();
                let style = name.to_ascii_lowercase();
                self.heading = style.starts_with("heading") || style == "title";
                self.style = Some(name.into_owned());
            }
            "numId" | "ilvl" => self.member.take(name, value().map(Cow::into_owned)),
            "r" => self.left_out = None,
            "strike" | "dstrike" | "vanish" => {
                let off = |value: &str| matches!(value, "0" | "false" | "off");
                if !value().as_deref().is_some_and(off) {
                    let why = if name == "vanish" { Why::Hidden } else { Why::Struck };
                    self.left_out = self.left_out.or(Some(why));
                }
            }
            "tab" => self.push(" "),
            "noBreakHyphen" => self.push("-"),
            "br" | "cr" => self.break_line(),
            _ => {}
        }
    }

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
