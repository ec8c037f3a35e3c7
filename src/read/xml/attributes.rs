//! The attributes of an element.

use std::borrow::Cow;

use quick_xml::XmlVersion;
use quick_xml::events::BytesStart;

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
