//! From the bytes of a text file to its letters.

use std::borrow::Cow;
use std::sync::Arc;

use chardetng::{EncodingDetector, Iso2022JpDetection, Utf8Detection};
use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

use crate::place::Place;
use crate::problem::{Code, Finding};

/// A text with the encoding it was found to be in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Decoded<'a> {
    /// The text, without a byte-order mark.
    pub text: Cow<'a, str>,
    /// The encoding.
    pub encoding: &'static Encoding,
    /// Whether the encoding is a guess: the bytes fit it, but nothing in them says so.
    pub guessed: bool,
    /// Whether some bytes fit no letter of the encoding and stand as U+FFFD in the text.
    pub damaged: bool,
}

/// Decodes a text: by its byte-order mark; else as UTF-8 or UTF-16, where the bytes fit; else by a guess.
pub fn decode(bytes: &[u8]) -> Decoded<'_> {
    if let Some((encoding, mark)) = Encoding::for_bom(bytes) {
        return decode_as(encoding, &bytes[mark..], false);
    }
    if let Some(encoding) = utf16_without_mark(bytes) {
        return decode_as(encoding, bytes, true);
    }
    if let Ok(text) = std::str::from_utf8(bytes) {
        return Decoded { text: text.into(), encoding: UTF_8, guessed: false, damaged: false };
    }
    decode_as(guess(bytes), bytes, true)
}

fn decode_as<'a>(encoding: &'static Encoding, bytes: &'a [u8], guessed: bool) -> Decoded<'a> {
    let (text, damaged) = encoding.decode_without_bom_handling(bytes);
    Decoded { text, encoding, guessed, damaged }
}

impl Decoded<'_> {
    /// What the user should know of it, if anything.
    pub fn finding(&self, file: &Arc<str>) -> Option<Finding> {
        let name = self.encoding.name();
        let message = if self.damaged {
            format!("The text was read as {name}, but some of its bytes are no letters of that encoding.")
        } else if self.guessed {
            format!("The text does not say its encoding; it was read as {name}.")
        } else {
            return None;
        };
        Some(
            Finding::new(Code::EncodingAssumed, Place::file(file), message)
                .found(name)
                .expected(UTF_8.name())
                .help("If letters or symbols come out wrong, save the file again as UTF-8."),
        )
    }
}

/// UTF-16 without a mark, told by the zero bytes that letters and digits of the Latin alphabet have there.
fn utf16_without_mark(bytes: &[u8]) -> Option<&'static Encoding> {
    const SAMPLE: usize = 8 << 10;
    let sample = &bytes[..bytes.len().min(SAMPLE) & !1];
    if !sample.contains(&0) || !bytes.len().is_multiple_of(2) {
        return None;
    }
    let pairs = sample.len() / 2;
    let zeros = |offset: usize| sample.iter().skip(offset).step_by(2).filter(|&&byte| byte == 0).count();
    match (zeros(0), zeros(1)) {
        (0, low) if low * 2 > pairs => Some(UTF_16LE),
        (high, 0) if high * 2 > pairs => Some(UTF_16BE),
        _ => None,
    }
}

/// The likeliest encoding of bytes that are not UTF-8. A chart has few letters to go by, and most tables of the
/// trade come from Western spreadsheets, so another encoding must be clear from a good number of letters.
fn guess(bytes: &[u8]) -> &'static Encoding {
    const ENOUGH: usize = 8;
    let mut detector = EncodingDetector::new(Iso2022JpDetection::Deny);
    detector.feed(bytes, true);
    let encoding = detector.guess(None, Utf8Detection::Deny);
    let beyond_ascii = bytes.iter().filter(|byte| !byte.is_ascii()).count();
    // Several different ones: a chart may repeat one and the same symbol a hundred times.
    let mut seen = [false; 256];
    bytes.iter().filter(|byte| !byte.is_ascii()).for_each(|&byte| seen[usize::from(byte)] = true);
    let different = seen.iter().filter(|&&seen| seen).count();
    let clean = !encoding.decode_without_bom_handling(bytes).1;
    if clean && beyond_ascii >= ENOUGH && different >= ENOUGH / 2 { encoding } else { WINDOWS_1252 }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the Unicode and Windows-1252 tables; bytes written out by hand.
    #[test]
    fn encodings_of_exported_charts_are_told_apart() {
        let cases: [(&[u8], &str, &Encoding, bool); 8] = [
            (b"k,p", "k,p", UTF_8, false),
            (b"\xef\xbb\xbfk,\xc2\xb7", "k,\u{b7}", UTF_8, false),
            (b"k,\xe2\x97\x8b", "k,\u{25cb}", UTF_8, false),
            (b"\xff\xfek\0,\0\xcb\x25", "k,\u{25cb}", UTF_16LE, false),
            (b"\xfe\xff\0k\0,\x25\xcb", "k,\u{25cb}", UTF_16BE, false),
            (b"k\0,\0p\0\xcb\x25", "k,p\u{25cb}", UTF_16LE, true),
            (b"\0k\0,\0p\x25\xcb", "k,p\u{25cb}", UTF_16BE, true),
            (b"k,\xb7,\x96,\xd7,\xa0", "k,\u{b7},\u{2013},\u{d7},\u{a0}", WINDOWS_1252, true),
        ];
        for (bytes, text, encoding, guessed) in cases {
            let decoded = decode(bytes);
            assert_eq!((&*decoded.text, decoded.encoding.name()), (text, encoding.name()));
            assert_eq!(decoded.guessed, guessed, "{text}");
            assert!(!decoded.damaged);
            assert_eq!(decoded.finding(&"a.csv".into()).is_some(), guessed);
        }
    }

    /// Key words as a Japanese, a Russian and a French spreadsheet would save them.
    #[test]
    fn a_good_number_of_letters_tells_the_encoding() {
        for (name, text) in [
            ("Shift_JIS", "表目,裏目,かけ目\r\n右上二目一度,左上二目一度,中上三目一度\r\n"),
            ("windows-1251", "лиц,изн,накид\r\nдве вместе лицевой,протяжка,кромочная петля\r\n"),
            ("windows-1252", "répéter,jeté,à l'endroit\r\ndiminution à gauche,côtes,mailles lisière\r\n"),
        ] {
            let encoding = Encoding::for_label(name.as_bytes()).unwrap();
            let bytes = encoding.encode(text).0;
            let decoded = decode(&bytes);
            assert_eq!((decoded.encoding.name(), &*decoded.text), (name, text));
            assert!(decoded.guessed);
        }
    }

    #[test]
    fn one_symbol_repeated_is_no_evidence_of_an_encoding() {
        let row = b"\xd7;\xb7;\xd7;\xb7;\xd7;\xb7;\xd7;\xb7;\xd7;\xb7\r\n".repeat(40);
        assert_eq!(decode(&row).encoding, WINDOWS_1252);
    }

    #[test]
    fn a_cut_utf16_text_is_said_to_be_damaged() {
        let decoded = decode(b"\xff\xfek\0,");
        assert!(decoded.damaged);
        assert!(decoded.finding(&"a.csv".into()).is_some());
    }
}
