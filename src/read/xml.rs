//! Reading XML piece by piece under limits. Entities other than the five of XML itself are never expanded.

use std::borrow::Cow;
use std::cell::Cell;
use std::io::{self, BufRead, ErrorKind};
use std::rc::Rc;

use quick_xml::events::{BytesRef, BytesStart, Event};
use quick_xml::{Error, Reader, XmlVersion};

use super::fault::Fault;
use super::limits;

/// A stream of XML. An empty element comes as its start and its end.
pub(crate) struct Xml<R: BufRead> {
    reader: Reader<Metered<R>>,
    buffer: Vec<u8>,
    depth: usize,
}

impl<R: BufRead> Xml<R> {
    /// Reads XML, of which no piece may be longer than `piece` bytes.
    pub(crate) fn new(input: R, piece: usize) -> Self {
        Self::over(Metered { input, piece, used: 0, meter: Rc::default() })
    }

    /// Reads XML that counts against what a zipped file may still unpack to.
    pub(crate) fn metered(input: R, meter: Rc<Meter>) -> Self {
        Self::over(Metered { input, piece: limits::XML_PIECE_BYTES, used: 0, meter })
    }

    fn over(metered: Metered<R>) -> Self {
        let mut reader = Reader::from_reader(metered);
        reader.config_mut().expand_empty_elements = true;
        Self { reader, buffer: Vec::new(), depth: 0 }
    }

    /// The next piece.
    pub(crate) fn next(&mut self) -> Result<Event<'_>, Fault> {
        self.buffer.clear();
        self.reader.get_mut().used = 0;
        self.reader.get_ref().meter.take(0, 1)?;
        let event = match self.reader.read_event_into(&mut self.buffer) {
            Ok(event) => event,
            Err(error) => return Err(fault(error, self.reader.get_ref())),
        };
        match event {
            Event::Start(_) => {
                self.depth += 1;
                if self.depth > limits::XML_DEPTH {
                    return Err(Fault::too_many("levels of XML", limits::XML_DEPTH as u64));
                }
            }
            Event::End(_) => self.depth = self.depth.saturating_sub(1),
            // What is cut short still has elements open.
            Event::Eof if self.depth > 0 => return Err(Fault::damaged("it is cut short")),
            _ => {}
        }
        Ok(event)
    }

    /// Passes over the rest of the element whose start was read last.
    pub(crate) fn skip(&mut self) -> Result<(), Fault> {
        let outside = self.depth;
        while self.depth >= outside && outside > 0 {
            self.next()?;
        }
        Ok(())
    }

    /// The text of the element whose start was read last, elements inside it left out.
    pub(crate) fn text(&mut self) -> Result<String, Fault> {
        let mut text = String::new();
        loop {
            match self.next()? {
                Event::Start(_) => self.skip()?,
                Event::End(_) | Event::Eof => return Ok(text),
                event => push_text(&mut text, &event)?,
            }
        }
    }
}

/// Why no more could be read.
fn fault<R>(error: Error, from: &Metered<R>) -> Fault {
    match error {
        Error::Io(error) if error.kind() == ErrorKind::FileTooLarge && from.meter.bytes() == 0 => {
            Fault::too_many("bytes once unpacked", limits::UNPACKED_BYTES)
        }
        Error::Io(error) if error.kind() == ErrorKind::FileTooLarge => {
            Fault::too_many("bytes in one piece of XML", from.piece as u64)
        }
        Error::Io(error) => Fault::damaged(format!("it is damaged or cut short ({error})")),
        error => Fault::damaged(format!("its XML is damaged ({error})")),
    }
}

/// Adds what an event holds of text.
pub(crate) fn push_text(text: &mut String, event: &Event<'_>) -> Result<(), Fault> {
    match event {
        Event::Text(piece) => text.push_str(&piece.xml10_content()),
        Event::CData(piece) => text.push_str(&piece.xml10_content()),
        Event::GeneralRef(name) => text.push(referred(name)?),
        _ => {}
    }
    Ok(())
}

fn referred(name: &BytesRef<'_>) -> Result<char, Fault> {
    if let Ok(Some(c)) = name.resolve_char_ref() {
        return Ok(c);
    }
    match &**name {
        "lt" => Ok('<'),
        "gt" => Ok('>'),
        "amp" => Ok('&'),
        "quot" => Ok('"'),
        "apos" => Ok('\''),
        other => {
            let shown: String = other.chars().take(20).collect();
            Err(Fault::damaged(format!("its XML uses \u{201c}&{shown};\u{201d}, which has no meaning there")))
        }
    }
}

/// The value of an attribute, by its name without a prefix.
pub(crate) fn attribute<'a>(start: &'a BytesStart<'_>, name: &str) -> Option<Cow<'a, str>> {
    attributes(start).find(|(key, _)| local(key) == name).map(|(_, value)| value)
}

/// The attributes of an element: names as written, prefixes included, and values. One that is malformed ends them.
pub(crate) fn attributes<'a>(
    start: &'a BytesStart<'_>,
) -> impl Iterator<Item = (&'a str, Cow<'a, str>)> + use<'a> {
    let mut all = start.attributes();
    all.with_checks(false);
    all.map_while(Result::ok).map(|attribute| {
        let plain = |byte: u8| byte >= b' ' && byte != b'&';
        let value = match attribute.value {
            Cow::Borrowed(value) if value.bytes().all(plain) => Cow::Borrowed(value),
            _ => attribute.normalized_value(XmlVersion::Implicit1_0).unwrap_or(attribute.value),
        };
        (attribute.key.into_inner(), value)
    })
}

/// A name without its prefix.
pub(crate) fn local(name: &str) -> &str {
    let after = name.bytes().rposition(|byte| byte == b':').map_or(0, |colon| colon + 1);
    name.get(after..).unwrap_or(name)
}

/// What may still be read of a file.
#[derive(Debug)]
pub(crate) struct Meter {
    bytes: Cell<u64>,
    pieces: Cell<u64>,
}

impl Default for Meter {
    fn default() -> Self {
        Self { bytes: Cell::new(limits::UNPACKED_BYTES), pieces: Cell::new(limits::XML_PIECES) }
    }
}

impl Meter {
    /// How many bytes may still be unpacked.
    pub(crate) const fn bytes(&self) -> u64 {
        self.bytes.get()
    }

    /// Counts bytes and pieces of XML that were read.
    pub(crate) fn take(&self, bytes: u64, pieces: u64) -> Result<(), Fault> {
        let left = self.bytes.get().checked_sub(bytes);
        self.bytes.set(left.ok_or_else(|| Fault::too_many("bytes once unpacked", limits::UNPACKED_BYTES))?);
        let left = self.pieces.get().checked_sub(pieces);
        self.pieces.set(left.ok_or_else(|| Fault::too_many("pieces of XML", limits::XML_PIECES))?);
        Ok(())
    }
}

/// Counts the bytes of each piece, and of everything.
struct Metered<R> {
    input: R,
    piece: usize,
    used: usize,
    meter: Rc<Meter>,
}

impl<R: BufRead> io::Read for Metered<R> {
    fn read(&mut self, buf: &mut [u8]) -> io::Result<usize> {
        let available = self.fill_buf()?;
        let count = available.len().min(buf.len());
        buf[..count].copy_from_slice(&available[..count]);
        self.consume(count);
        Ok(count)
    }
}

impl<R: BufRead> BufRead for Metered<R> {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        if self.used > self.piece || self.meter.bytes.get() == 0 {
            return Err(io::Error::from(ErrorKind::FileTooLarge));
        }
        // A slice offers all it has at once.
        let room = self.piece.saturating_sub(self.used).saturating_add(1);
        let available = self.input.fill_buf()?;
        Ok(&available[..available.len().min(room)])
    }

    fn consume(&mut self, amount: usize) {
        self.used = self.used.saturating_add(amount);
        self.meter.bytes.set(self.meter.bytes.get().saturating_sub(amount as u64));
        self.input.consume(amount);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all<R: BufRead>(mut xml: Xml<R>) -> Result<String, Fault> {
        let mut text = String::new();
        loop {
            match xml.next()? {
                Event::Eof => return Ok(text),
                event => push_text(&mut text, &event)?,
            }
        }
    }

    fn read(xml: &str) -> Result<String, Fault> {
        all(Xml::new(xml.as_bytes(), 100))
    }

    /// Source: XML 1.0, 4.6 (the five entities) and 2.11 (line ends).
    #[test]
    fn entities_of_xml_itself_are_the_only_ones() {
        assert_eq!(read("<a>&lt;&gt;&amp;&quot;&apos;&#107;&#x6b;\r\n</a>"), Ok("<>&\"'kk\n".into()));
        let bomb = "<!DOCTYPE a [<!ENTITY b \"kkkkkkkk\"><!ENTITY c \"&b;&b;&b;\">]><a>&c;</a>";
        assert!(matches!(read(bomb), Err(Fault::Damaged(_))));
        assert!(matches!(read("<a>&#0;</a>"), Err(Fault::Damaged(_))));
    }

    #[test]
    fn what_is_cut_short_or_crossed_is_damaged() {
        for xml in ["<a>k", "<a><b></a></b>", "<a", "<a>&lt</a>", "\u{0}<a>"] {
            assert!(matches!(read(xml), Err(Fault::Damaged(_))), "{xml}");
        }
    }

    #[test]
    fn limits_are_kept() {
        let long = format!("<a>{}</a>", "k".repeat(10_000));
        assert!(matches!(
            read(&long),
            Err(Fault::TooLarge { what: "bytes in one piece of XML", limit: 100 })
        ));
        let deep = "<a>".repeat(300);
        assert!(matches!(read(&deep), Err(Fault::TooLarge { what: "levels of XML", .. })));
        let many = "<a/>".repeat(50);
        let read = |bytes, pieces| {
            let meter = Meter { bytes: Cell::new(bytes), pieces: Cell::new(pieces) };
            all(Xml::metered(many.as_bytes(), Rc::new(meter)))
        };
        assert_eq!(read(201, 101), Ok(String::new()));
        assert!(matches!(read(150, 101), Err(Fault::TooLarge { what: "bytes once unpacked", .. })));
        assert!(matches!(read(201, 100), Err(Fault::TooLarge { what: "pieces of XML", .. })));
    }
}
