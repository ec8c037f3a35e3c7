//! Reading XML piece by piece under limits. Entities other than the five of XML itself are never expanded.

mod attributes;
mod held;
mod meter;

use std::io::{BufRead, ErrorKind};
use std::rc::Rc;

use quick_xml::events::{BytesRef, Event};
use quick_xml::{Error, Reader};

use super::fault::Fault;
use super::limits;
pub(crate) use attributes::{attribute, attributes, local};
use held::Held;
pub(crate) use meter::Meter;
use meter::Metered;

/// A stream of XML. An empty element comes as its start and its end.
pub(crate) struct Xml<'a> {
    source: Source<'a>,
    meter: Rc<Meter>,
    /// How long a piece may be.
    piece: usize,
    depth: usize,
    /// The text read last.
    text: String,
}

/// Where pieces come from.
enum Source<'a> {
    /// XML in memory, as long as it is plain.
    Held(Held<'a>),
    /// Any other, and all that is damaged.
    General { reader: Reader<Metered<'a>>, buffer: Vec<u8> },
}

impl<'a> Source<'a> {
    fn general(input: Box<dyn BufRead + 'a>, piece: usize, meter: Rc<Meter>) -> Self {
        let mut reader = Reader::from_reader(Metered { input, piece, used: 0, meter });
        reader.config_mut().expand_empty_elements = true;
        Self::General { reader, buffer: Vec::new() }
    }
}

impl<'a> Xml<'a> {
    /// Reads XML, of which no piece may be longer than `piece` bytes.
    pub(crate) fn new(bytes: &'a [u8], piece: usize) -> Self {
        Self::held(bytes, piece, Rc::default())
    }

    /// Reads XML of a zipped file; its bytes are counted already.
    pub(crate) fn whole(bytes: &'a [u8], meter: Rc<Meter>) -> Self {
        Self::held(bytes, limits::XML_PIECE_BYTES, meter)
    }

    /// Reads XML whose bytes count against what a zipped file may still unpack to.
    pub(crate) fn metered(input: Box<dyn BufRead + 'a>, meter: Rc<Meter>) -> Self {
        let piece = limits::XML_PIECE_BYTES;
        Self::over(Source::general(input, piece, Rc::clone(&meter)), piece, meter)
    }

    fn held(bytes: &'a [u8], piece: usize, meter: Rc<Meter>) -> Self {
        // No piece of it can be longer than all of it.
        let plain = if bytes.len() <= piece { Held::new(bytes) } else { None };
        let source =
            plain.map_or_else(|| Source::general(Box::new(bytes), piece, Rc::default()), Source::Held);
        Self::over(source, piece, meter)
    }

    const fn over(source: Source<'a>, piece: usize, meter: Rc<Meter>) -> Self {
        Self { source, meter, piece, depth: 0, text: String::new() }
    }

    /// The next piece.
    pub(crate) fn next(&mut self) -> Result<Event<'_>, Fault> {
        self.meter.take(0, 1)?;
        if let Source::Held(held) = &mut self.source {
            match held.next() {
                Some(event) => {
                    deeper(&mut self.depth, &event)?;
                    return Ok(event);
                }
                None => self.source = Self::anew(held, self.piece)?,
            }
        }
        let event = match &mut self.source {
            Source::General { reader, buffer } => read(reader, buffer)?,
            // It was put aside above.
            Source::Held(_) => Event::Eof,
        };
        deeper(&mut self.depth, &event)?;
        Ok(event)
    }

    /// The general reader, where the one of plain XML stands.
    fn anew(held: &Held<'a>, piece: usize) -> Result<Source<'a>, Fault> {
        let mut source = Source::general(Box::new(held.bytes()), piece, Rc::default());
        if let Source::General { reader, buffer } = &mut source {
            for _ in 0..held.given {
                read(reader, buffer)?;
            }
        }
        Ok(source)
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
    pub(crate) fn text(&mut self) -> Result<&str, Fault> {
        if let Source::Held(held) = &mut self.source
            && let Some(text) = held.plain_text()
        {
            self.meter.take(0, if text.is_empty() { 1 } else { 2 })?;
            self.depth = self.depth.saturating_sub(1);
            return Ok(text);
        }
        let mut text = std::mem::take(&mut self.text);
        text.clear();
        loop {
            match self.next()? {
                Event::Start(_) => self.skip()?,
                Event::End(_) | Event::Eof => break,
                event => push_text(&mut text, &event)?,
            }
        }
        self.text = text;
        Ok(&self.text)
    }
}

/// Keeps count of how deep elements are nested.
fn deeper(depth: &mut usize, event: &Event<'_>) -> Result<(), Fault> {
    match event {
        Event::Start(_) => {
            *depth += 1;
            if *depth > limits::XML_DEPTH {
                return Err(Fault::too_many("levels of XML", limits::XML_DEPTH as u64));
            }
        }
        Event::End(_) => *depth = depth.saturating_sub(1),
        // What is cut short still has elements open.
        Event::Eof if *depth > 0 => return Err(Fault::damaged("it is cut short")),
        _ => {}
    }
    Ok(())
}

/// The next piece from the general reader.
fn read<'b>(reader: &mut Reader<Metered<'_>>, buffer: &'b mut Vec<u8>) -> Result<Event<'b>, Fault> {
    buffer.clear();
    reader.get_mut().used = 0;
    match reader.read_event_into(buffer) {
        Ok(event) => Ok(event),
        Err(error) => Err(fault(error, reader.get_ref())),
    }
}

/// Why no more could be read.
fn fault(error: Error, from: &Metered<'_>) -> Fault {
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

#[cfg(test)]
mod tests;
