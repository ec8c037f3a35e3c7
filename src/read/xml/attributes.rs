//! The attributes of an element.

use std::borrow::Cow;

use quick_xml::XmlVersion;
use quick_xml::events::BytesStart;
use quick_xml::events::attributes::Attribute;
use quick_xml::name::QName;

/// The value of an attribute, by its name without a prefix.
pub(crate) fn attribute<'a>(start: &'a BytesStart<'_>, name: &str) -> Option<Cow<'a, str>> {
    attributes(start).find(|(key, _)| local(key) == name).map(|(_, value)| value)
}

/// The attributes of an element: names as written, prefixes included, and values. One that is malformed ends them.
pub(crate) fn attributes<'a>(start: &'a BytesStart<'_>) -> Attributes<'a> {
    Attributes(start.attributes_raw())
}

/// The attributes of an element.
pub(crate) struct Attributes<'a>(&'a str);

impl<'a> Iterator for Attributes<'a> {
    type Item = (&'a str, Cow<'a, str>);

    fn next(&mut self) -> Option<Self::Item> {
        // Until the end of this one is known there is nothing behind it.
        let rest = std::mem::take(&mut self.0);
        let bytes = rest.as_bytes();
        let begins = past_blanks(bytes, 0);
        // A name may be anything, and has one letter at least.
        let mut ends = begins + 1;
        while *bytes.get(ends)? != b'=' && !blank(bytes[ends]) {
            ends += 1;
        }
        let equals = past_blanks(bytes, ends);
        if *bytes.get(equals)? != b'=' {
            return None;
        }
        let quoted = past_blanks(bytes, equals + 1);
        let quote = *bytes.get(quoted)?;
        if !matches!(quote, b'"' | b'\'') {
            return None;
        }
        let mut plain = true;
        let mut after = quoted + 1;
        while *bytes.get(after)? != quote {
            plain &= bytes[after] >= b' ' && bytes[after] != b'&';
            after += 1;
        }
        let value = Cow::Borrowed(rest.get(quoted + 1..after)?);
        let key = rest.get(begins..ends)?;
        self.0 = rest.get(after + 1..)?;
        Some((key, if plain { value } else { normal(key, value) }))
    }
}

/// A value with its references resolved, where they mean anything, and its line ends turned blank.
fn normal<'a>(key: &'a str, value: Cow<'a, str>) -> Cow<'a, str> {
    let attribute = Attribute { key: QName(key), value };
    attribute.normalized_value(XmlVersion::Implicit1_0).unwrap_or(attribute.value)
}

/// A name without its prefix.
pub(crate) fn local(name: &str) -> &str {
    let after = name.bytes().rposition(|byte| byte == b':').map_or(0, |colon| colon + 1);
    name.get(after..).unwrap_or(name)
}

const fn blank(byte: u8) -> bool {
    matches!(byte, b' ' | b'\r' | b'\n' | b'\t')
}

fn past_blanks(bytes: &[u8], from: usize) -> usize {
    let mut at = from;
    while bytes.get(at).is_some_and(|&byte| blank(byte)) {
        at += 1;
    }
    at
}
