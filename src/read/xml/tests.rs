//! What is read of XML, held whole or streamed.

use std::cell::Cell;

use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::{Index, select};

use super::*;

fn all(mut xml: Xml<'_>) -> Result<String, Fault> {
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
    assert!(matches!(read(&long), Err(Fault::TooLarge { what: "bytes in one piece of XML", limit: 100 })));
    let deep = "<a>".repeat(300);
    assert!(matches!(read(&deep), Err(Fault::TooLarge { what: "levels of XML", .. })));
    let many = "<a/>".repeat(50);
    let read = |bytes, pieces| {
        let meter = Meter { bytes: Cell::new(bytes), pieces: Cell::new(pieces) };
        all(Xml::metered(Box::new(many.as_bytes()), Rc::new(meter)))
    };
    assert_eq!(read(201, 101), Ok(String::new()));
    assert!(matches!(read(150, 101), Err(Fault::TooLarge { what: "bytes once unpacked", .. })));
    assert!(matches!(read(201, 100), Err(Fault::TooLarge { what: "pieces of XML", .. })));
}

/// Everything that a reader tells: pieces, attributes, in the end why it went no further. At some elements the text is
/// asked for, as `pick` says.
fn told(mut xml: Xml<'_>, mut pick: u64) -> Vec<String> {
    let mut told = Vec::new();
    while told.len() < 200 {
        pick = pick.rotate_right(1);
        let (piece, open) = match xml.next() {
            Ok(Event::Start(start)) => {
                let all: Vec<_> = attributes(&start).collect();
                (format!("<{} {all:?} in {}", start.name().as_ref(), start.local_name().as_ref()), true)
            }
            Ok(Event::End(end)) => (format!("</{}", end.name().as_ref()), false),
            Ok(Event::Eof) => ("the end".to_owned(), false),
            // Nobody asks what they hold.
            Ok(Event::PI(_) | Event::Decl(_)) => ("aside".to_owned(), false),
            Ok(event) => (format!("{:?}: {}", std::mem::discriminant(&event), &*event), false),
            Err(fault) => (format!("{fault:?}"), false),
        };
        let ends =
            piece == "the end" || !(piece.starts_with('<') || piece.starts_with("Disc") || piece == "aside");
        told.push(piece);
        if ends {
            break;
        }
        if open && pick & 1 == 1 {
            match xml.text() {
                Ok(text) => told.push(format!("text {text}")),
                Err(fault) => {
                    told.push(format!("{fault:?}"));
                    break;
                }
            }
        }
    }
    let (depth, pieces) = (xml.depth, xml.meter.pieces.get());
    told.push(format!("{depth} deep, {pieces} pieces left"));
    told
}

proptest! {
    /// XML held whole and XML that comes bit by bit are told the same, sound or not.
    #[test]
    fn both_sources_tell_the_same(
        parts in vec(select(&[
            "<a>", "</a>", "<b>", "</b>", "<b/>", "<x:c r=\"A1\" s='2'>", "</x:c>", "<v>12</v>", "<t xml:space=\"preserve\"> k</t>",
            "<a b=\"&lt;&#107;\n\"/>", "<a b = \"1>\"c='/>'/>", "<a b/>", "<a b=c>", "<a/b>", "<a />", "</a >", "<>", "< a>", "<a",
            "<", ">", "/", "/>", "\"", "'", "=", "&", ";", "&amp;", "&#x6b;", "&no;", "&lt", "k", " ", "\r\n", "\r", "\u{e9}", "\u{feff}",
            "<?xml version=\"1.0\"?>", "<?", "?>", "<?>", "<!-- <a> -->", "<!", "<![CDATA[", "]]>", "<!DOCTYPE a>", "k2tog",
        ][..]), 0..25),
        cut in any::<Index>(), byte in option::weighted(0.1, any::<u8>()), pick: u64,
    ) {
        let mut xml = parts.concat().into_bytes();
        if let Some(byte) = byte.filter(|_| !xml.is_empty()) {
            let at = cut.index(xml.len());
            xml[at] = byte;
        }
        let streamed = Xml::streamed(Box::new(&xml[..]), 10_000, Rc::default());
        prop_assert_eq!(told(Xml::new(&xml, 10_000), pick), told(streamed, pick));
    }
}
