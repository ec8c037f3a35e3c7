//! Reading XML piece by piece under limits. Entities other than the five of XML itself are never expanded.

mod attributes;
mod meter;

use std::io::{BufRead, ErrorKind};
use std::rc::Rc;

use quick_xml::events::{BytesRef, Event};
use quick_xml::{Error, Reader};

use super::fault::Fault;
use super::limits;
pub(crate) use attributes::{attribute, attributes, local};
pub(crate) use meter::Meter;
use meter::Metered;

/// A stream of XML. An empty element comes as its start and its end.
pub(crate) struct Xml<'a> {
    source: Source<'a>,
    meter: Rc<Meter>,
    depth: usize,
    /// The text read last.
    text: String,
}

/// Where pieces come from.
enum Source<'a> {
    /// XML in memory: its pieces are not copied.
    Held(Reader<&'a [u8]>),
    /// XML that comes bit by bit.
    Streamed { reader: Reader<Metered<'a>>, buffer: Vec<u8> },
}

impl<'a> Xml<'a> {
    /// Reads XML, of which no piece may be longer than `piece` bytes.
    pub(crate) fn new(bytes: &'a [u8], piece: usize) -> Self {
        // No piece of it can be longer than all of it.
        if bytes.len() <= piece {
            Self::held(bytes, Rc::default())
        } else {
            Self::streamed(Box::new(bytes), piece, Rc::default())
        }
    }

    /// Reads XML held whole, whose bytes are counted already: a part of a zipped file that was unpacked.
    pub(crate) fn held(bytes: &'a [u8], meter: Rc<Meter>) -> Self {
        let mut reader = Reader::from_reader(bytes);
        reader.config_mut().expand_empty_elements = true;
        Self { source: Source::Held(reader), meter, depth: 0, text: String::new() }
    }

    /// Reads XML whose bytes count against what a zipped file may still unpack to.
    pub(crate) fn metered(input: Box<dyn BufRead + 'a>, meter: Rc<Meter>) -> Self {
        Self::streamed(input, limits::XML_PIECE_BYTES, meter)
    }

    fn streamed(input: Box<dyn BufRead + 'a>, piece: usize, meter: Rc<Meter>) -> Self {
        let mut reader = Reader::from_reader(Metered { input, piece, used: 0, meter: Rc::clone(&meter) });
        reader.config_mut().expand_empty_elements = true;
        Self { source: Source::Streamed { reader, buffer: Vec::new() }, meter, depth: 0, text: String::new() }
    }

    /// The next piece.
    pub(crate) fn next(&mut self) -> Result<Event<'_>, Fault> {
        self.meter.take(0, 1)?;
        let event = match &mut self.source {
            Source::Held(reader) => reader.read_event().map_err(damaged)?,
            Source::Streamed { reader, buffer } => {
                buffer.clear();
                reader.get_mut().used = 0;
                match reader.read_event_into(buffer) {
                    Ok(event) => event,
                    Err(error) => return Err(fault(error, reader.get_ref())),
                }
            }
        };
        deeper(&mut self.depth, &event)?;
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
    pub(crate) fn text(&mut self) -> Result<&str, Fault> {
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
        error => damaged(error),
    }
}

fn damaged(error: Error) -> Fault {
    Fault::damaged(format!("its XML is damaged ({error})"))
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
