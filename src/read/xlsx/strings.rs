//! The texts that cells share.

use std::borrow::Cow;
use std::rc::Rc;

use quick_xml::events::Event;

use super::missing;
use crate::read::fault::Fault;
use crate::read::limits;
use crate::read::package::Package;
use crate::read::xml::Xml;

/// Reads the table of shared texts.
pub(super) fn read(package: &mut Package<'_>, part: &str) -> Result<Vec<Rc<str>>, Fault> {
    let mut xml = package.xml(part)?.ok_or_else(|| missing(part))?;
    let mut strings: Vec<Rc<str>> = Vec::new();
    let mut bytes = 0usize;
    let mut text = String::new();
    loop {
        let found = match xml.next()? {
            Event::Start(start) => start.local_name().as_ref() == "si",
            Event::Eof => return Ok(strings),
            _ => false,
        };
        if !found {
            continue;
        }
        rich_text(&mut xml, &mut text)?;
        bytes = bytes.saturating_add(text.len());
        if strings.len() >= limits::CELLS {
            return Err(Fault::too_many("texts", limits::CELLS as u64));
        }
        if bytes > limits::TEXT_BYTES {
            return Err(Fault::too_many("bytes of text", limits::TEXT_BYTES as u64));
        }
        strings.push(text.as_str().into());
    }
}

/// The text of an element that holds plain or rich text and whose start was read last. How it is pronounced, which
/// East Asian files keep beside it, is no part of it.
pub(super) fn rich_text(xml: &mut Xml<'_>, text: &mut String) -> Result<(), Fault> {
    text.clear();
    let mut inside = 0usize;
    loop {
        let (reads, skips) = match xml.next()? {
            Event::Start(start) => match start.local_name().as_ref() {
                "t" => (true, false),
                "r" => {
                    inside += 1;
                    (false, false)
                }
                _ => (false, true),
            },
            Event::End(_) if inside == 0 => break,
            Event::End(_) => {
                inside -= 1;
                (false, false)
            }
            Event::Eof => break,
            _ => (false, false),
        };
        if reads {
            text.push_str(xml.text()?);
        } else if skips {
            xml.skip()?;
        }
    }
    if let Cow::Owned(plain) = unescaped(text) {
        *text = plain;
    }
    Ok(())
}

/// Resolves `_x000D_`, which stands for characters that XML can't hold, and `_x005F_`, for an underscore that would
/// else begin one.
pub(super) fn unescaped(text: &str) -> Cow<'_, str> {
    if !text.contains("_x") {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(start) = rest.find("_x") {
        out.push_str(&rest[..start]);
        let after = &rest[start + 2..];
        let code = after
            .get(..5)
            .and_then(|code| code.strip_suffix('_'))
            .filter(|code| code.bytes().all(|byte| byte.is_ascii_hexdigit()))
            .and_then(|code| u32::from_str_radix(code, 16).ok())
            .and_then(char::from_u32);
        if let Some(c) = code {
            out.push(c);
            rest = &after[5..];
        } else {
            out.push_str("_x");
            rest = after;
        }
    }
    out.push_str(rest);
    Cow::Owned(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::xml::Xml;

    fn first_text(xml: &str) -> String {
        let mut xml = Xml::new(xml.as_bytes(), 1_000);
        assert!(matches!(xml.next(), Ok(Event::Start(_))));
        let mut text = "an older text".to_owned();
        rich_text(&mut xml, &mut text).unwrap();
        text
    }

    /// Source: ECMA-376 part 1, 18.4.
    #[test]
    fn runs_are_joined_and_pronunciations_left_out() {
        assert_eq!(first_text("<si><t>k2tog</t></si>"), "k2tog");
        assert_eq!(
            first_text("<si><r><rPr><b/></rPr><t>k</t></r><r><t xml:space=\"preserve\"> 2</t></r></si>"),
            "k 2"
        );
        assert_eq!(
            first_text("<si><t>表</t><rPh sb=\"0\" eb=\"1\"><t>オモテ</t></rPh><phoneticPr/></si>"),
            "表"
        );
        assert_eq!(first_text("<si/>"), "");
        assert_eq!(first_text("<x:si><x:t>&lt;&#x25CB;&amp;<![CDATA[<]]></x:t></x:si>"), "<\u{25cb}&<");
    }

    /// Source: ECMA-376 part 1, 22.9.2.19 (ST_Xstring).
    #[test]
    fn escaped_characters_are_resolved() {
        for (text, plain) in [
            ("a_x000A_b", "a\nb"),
            ("_x005F_x000A_", "_x000A_"),
            ("a_xyz", "a_xyz"),
            ("_x00", "_x00"),
            ("_xD800_", "_xD800_"),
            ("_x", "_x"),
        ] {
            assert_eq!(unescaped(text), plain);
        }
    }
}
