//! XML that is held whole and written plainly, as programs write it, cut into the same pieces as the general reader
//! cuts it into, at a fraction of the cost: nothing is copied.

use quick_xml::events::{BytesEnd, BytesPI, BytesRef, BytesStart, BytesText, Event};

/// XML held whole. An empty element comes as its start and its end.
pub(super) struct Held<'a> {
    text: &'a str,
    /// Where the next piece begins.
    at: usize,
    /// Names of the elements that are open, the innermost last.
    open: Vec<&'a str>,
    /// Whether the innermost was empty, so that its end comes next.
    empty: bool,
    /// How many pieces were given.
    pub(super) given: u64,
}

impl<'a> Held<'a> {
    /// XML in UTF-8; `None` where it is none.
    pub(super) fn new(bytes: &'a [u8]) -> Option<Self> {
        let text = std::str::from_utf8(bytes).ok()?;
        let at = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
        Some(Self { text, at, open: Vec::with_capacity(8), empty: false, given: 0 })
    }

    /// All of it.
    pub(super) const fn bytes(&self) -> &'a [u8] {
        self.text.as_bytes()
    }

    /// The next piece; `None` where it is damaged or not plain: comments and the like.
    pub(super) fn next(&mut self) -> Option<Event<'a>> {
        let event = if self.empty {
            self.empty = false;
            Event::End(BytesEnd::new(self.open.pop()?))
        } else {
            match self.bytes().get(self.at) {
                None => return Some(Event::Eof),
                Some(b'<') => match self.bytes().get(self.at + 1)? {
                    b'/' => self.end()?,
                    b'?' => self.instruction()?,
                    _ => self.start()?,
                },
                Some(b'&') => self.reference()?,
                Some(_) => Event::Text(BytesText::from_escaped(self.passage())),
            }
        };
        self.given += 1;
        Some(event)
    }

    /// The text up to the next tag or reference.
    fn passage(&mut self) -> &'a str {
        let rest = &self.text[self.at..];
        let end = rest.bytes().position(|byte| matches!(byte, b'<' | b'&')).unwrap_or(rest.len());
        self.at += end;
        &rest[..end]
    }

    /// The text of the element whose start was read last, where it holds nothing else and needs no change; its end is
    /// passed too.
    pub(super) fn plain_text(&mut self) -> Option<&'a str> {
        let name = *self.open.last()?;
        if self.empty {
            self.empty = false;
            self.open.pop();
            self.given += 1;
            return Some("");
        }
        let rest = self.text.get(self.at..)?;
        let end = rest.bytes().position(|byte| matches!(byte, b'<' | b'&' | b'\r'))?;
        let after = rest.get(end..)?.strip_prefix("</")?.strip_prefix(name)?;
        if !after.starts_with('>') {
            return None;
        }
        self.open.pop();
        self.at = self.text.len() - after.len() + 1;
        self.given += if end == 0 { 1 } else { 2 };
        rest.get(..end)
    }

    fn start(&mut self) -> Option<Event<'a>> {
        let bytes = self.bytes();
        let begins = self.at + 1;
        let mut at = begins;
        while bytes.get(at).copied().is_some_and(names) {
            at += 1;
        }
        let name = self.text.get(begins..at)?;
        if name.is_empty() || !matches!(bytes.get(at)?, b' ' | b'\t' | b'\n' | b'\r' | b'/' | b'>') {
            return None;
        }
        // A tag may hold its own mark, in quotes.
        while *bytes.get(at)? != b'>' {
            let quote = bytes[at];
            at += 1;
            if matches!(quote, b'"' | b'\'') {
                while *bytes.get(at)? != quote {
                    at += 1;
                }
                at += 1;
            }
        }
        let whole = self.text.get(begins..at)?;
        let content = whole.strip_suffix('/');
        // A solidus elsewhere is part of the name.
        if content.unwrap_or(whole).as_bytes().get(name.len()) == Some(&b'/') {
            return None;
        }
        self.at = at + 1;
        self.open.push(name);
        self.empty = content.is_some();
        Some(Event::Start(BytesStart::from_content(content.unwrap_or(whole), name.len())))
    }

    fn end(&mut self) -> Option<Event<'a>> {
        let name = *self.open.last()?;
        let after = self.text.get(self.at + 2..)?.strip_prefix(name)?;
        if !after.starts_with('>') {
            return None;
        }
        self.open.pop();
        self.at = self.text.len() - after.len() + 1;
        Some(Event::End(BytesEnd::new(name)))
    }

    /// An instruction to a program, or the declaration: nothing in it is looked at.
    fn instruction(&mut self) -> Option<Event<'a>> {
        let rest = self.text.get(self.at + 2..)?;
        let end = rest.find("?>")?;
        if rest.starts_with('>') {
            return None;
        }
        self.at += 2 + end + 2;
        Some(Event::PI(BytesPI::new("")))
    }

    /// A reference to a character.
    fn reference(&mut self) -> Option<Event<'a>> {
        let rest = self.text.get(self.at + 1..)?;
        let end = rest.bytes().position(|byte| matches!(byte, b';' | b'&' | b'<'))?;
        if rest.as_bytes().get(end) != Some(&b';') {
            return None;
        }
        self.at += end + 2;
        Some(Event::GeneralRef(BytesRef::new(rest.get(..end)?)))
    }
}

/// Whether a byte stands in plain names.
const fn names(byte: u8) -> bool {
    byte.is_ascii_alphanumeric() || matches!(byte, b':' | b'_' | b'-' | b'.')
}
