//! The text of a cell: paragraphs, with blanks as OpenDocument keeps them.

use quick_xml::events::Event;

use crate::read::fault::Fault;
use crate::read::xml::{Xml, attribute, push_text};

/// The most blanks one element may stand for; a cell holds 32,767 characters.
const BLANKS: usize = 32_767;

/// What stands in a cell and hangs on it.
#[derive(Debug, Default)]
pub(super) struct Texts {
    /// Its text, the paragraphs on lines of their own; `None` where it has none.
    pub(super) shown: Option<String>,
    /// The comment on it.
    pub(super) comment: Option<String>,
}

/// The texts of the cell whose start was read last. Drawings in it are no part of them.
pub(super) fn texts(xml: &mut Xml<'_>) -> Result<Texts, Fault> {
    let mut texts = Texts::default();
    let mut in_comment = false;
    loop {
        enum Part {
            Paragraph,
            Comment,
            Other,
        }
        let part = match xml.next()? {
            Event::Start(start) => match start.name().as_ref() {
                "text:p" => Part::Paragraph,
                "office:annotation" if !in_comment => Part::Comment,
                _ => Part::Other,
            },
            Event::End(_) if in_comment => {
                in_comment = false;
                continue;
            }
            Event::End(_) | Event::Eof => return Ok(texts),
            _ => continue,
        };
        let text = match part {
            Part::Comment => {
                in_comment = true;
                continue;
            }
            Part::Other => {
                xml.skip()?;
                continue;
            }
            Part::Paragraph if in_comment => &mut texts.comment,
            Part::Paragraph => &mut texts.shown,
        };
        let read = paragraph(xml)?;
        match text {
            Some(text) => {
                text.push('\n');
                text.push_str(&read);
            }
            None => *text = Some(read),
        }
    }
}

/// A paragraph whose start was read last. Blanks typed in a row are elements of their own there; those between the
/// letters of the XML count as one, and as none at either end.
fn paragraph(xml: &mut Xml<'_>) -> Result<String, Fault> {
    let mut text = String::new();
    let mut inside = 0usize;
    // Whether a blank here would be one too many.
    let mut after_blank = true;
    loop {
        let mut piece = String::new();
        let skips = match xml.next()? {
            Event::Start(start) => {
                let skips = match start.name().as_ref() {
                    "text:s" => {
                        let count = attribute(&start, "c").and_then(|count| count.parse().ok()).unwrap_or(1);
                        text.extend(std::iter::repeat_n(' ', count.min(BLANKS)));
                        after_blank = false;
                        false
                    }
                    "text:tab" => {
                        text.push('\t');
                        after_blank = false;
                        false
                    }
                    "text:line-break" => {
                        text.push('\n');
                        after_blank = false;
                        false
                    }
                    "text:ruby-text" | "text:note" | "office:annotation" => true,
                    _ => false,
                };
                if !skips {
                    inside += 1;
                }
                skips
            }
            Event::End(_) if inside > 0 => {
                inside -= 1;
                false
            }
            Event::End(_) | Event::Eof => break,
            event => {
                push_text(&mut piece, &event)?;
                false
            }
        };
        if skips {
            xml.skip()?;
        }
        for c in piece.chars() {
            let blank = matches!(c, ' ' | '\t' | '\n' | '\r');
            if !blank {
                text.push(c);
            } else if !after_blank {
                text.push(' ');
            }
            after_blank = blank;
        }
    }
    // A blank of the XML's own at the end, not one that was typed.
    if after_blank && text.ends_with(' ') {
        text.pop();
    }
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(cell: &str) -> Option<String> {
        let cell = format!("<c>{cell}</c>");
        let mut xml = Xml::new(cell.as_bytes(), 10_000);
        assert!(matches!(xml.next(), Ok(Event::Start(_))));
        texts(&mut xml).unwrap().shown
    }

    /// Source: OpenDocument 1.3 part 3, 6.1.2 (white space) and 6.1.3 to 6.1.5.
    #[test]
    fn blanks_are_those_that_were_typed() {
        for (cell, text) in [
            ("<text:p>k2tog</text:p>", "k2tog"),
            ("<text:p>\n  k\n  2 </text:p>", "k 2"),
            ("<text:p>k<text:s text:c=\"3\"/>p</text:p>", "k   p"),
            ("<text:p><text:s/>k</text:p>", " k"),
            ("<text:p>k<text:tab/>p<text:line-break/>k</text:p>", "k\tp\nk"),
            ("<text:p>k<text:span>2<text:span>to</text:span></text:span>g</text:p>", "k2tog"),
            ("<text:p>a</text:p><text:p/><text:p>b</text:p>", "a\n\nb"),
            ("<text:p>&lt;&#x25CB;</text:p>", "<\u{25cb}"),
            ("<draw:frame><text:p>no</text:p></draw:frame><text:p>k</text:p>", "k"),
            (
                "<text:p><text:ruby><text:ruby-base>表</text:ruby-base><text:ruby-text>x</text:ruby-text></text:ruby></text:p>",
                "表",
            ),
        ] {
            assert_eq!(shown(cell).as_deref(), Some(text), "{cell}");
        }
        assert_eq!(shown("<office:annotation><text:p>note</text:p></office:annotation>"), None);
        assert_eq!(shown(""), None);
    }
}
