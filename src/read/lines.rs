//! Reading texts into documents: plain text, markdown, web pages, Word documents.

mod docx;
mod html;
mod left_out;
mod markdown;

use std::sync::Arc;

use super::fault::Fault;
use super::package::Package;
use super::{Format, encoding, limits};
use crate::document::{Document, Line};
use crate::problem::Finding;
use left_out::LeftOut;

/// Reads a text file into lines: as the format its bytes tell, or as `from`.
///
/// A file that can't be read gives `None` and an error that says why.
pub fn document(file: &Arc<str>, bytes: &[u8], from: Option<Format>) -> (Option<Document>, Vec<Finding>) {
    let mut notes = Vec::new();
    match read(file, bytes, from, &mut notes) {
        Ok(lines) => (Some(Document { file: Arc::clone(file), lines }), notes),
        Err(fault) => {
            notes.push(fault.text_finding(file));
            (None, notes)
        }
    }
}

fn read(
    file: &Arc<str>,
    bytes: &[u8],
    from: Option<Format>,
    notes: &mut Vec<Finding>,
) -> Result<Vec<Line>, Fault> {
    if bytes.len() > limits::LINED_BYTES {
        return Err(Fault::too_many("bytes", limits::LINED_BYTES as u64));
    }
    let format = match from {
        Some(format) => format,
        None => Format::of(bytes, file).map_err(|stranger| Fault::Other(stranger.0.to_owned()))?,
    };
    let mut text = || {
        let decoded = encoding::decode(bytes);
        notes.extend(decoded.finding(file));
        decoded.text
    };
    let mut left_out = LeftOut::default();
    let lines = match format {
        Format::Text => plain(&text()),
        Format::Markdown => markdown::lines(&text(), &mut left_out),
        Format::Html => html::lines(&text(), &mut left_out),
        Format::Docx => docx::lines(&mut Package::open(bytes)?, &mut left_out)?,
        other => return Err(Fault::Other(format!("{}, not a text", other.called()))),
    };
    notes.extend(left_out.findings(file));
    Ok(lines)
}

/// The lines of a plain text, numbered from 1. A soft hyphen at the end of one is seen there.
fn plain(text: &str) -> Vec<Line> {
    let line = |(number, column, line): (u32, u32, &str)| match line.strip_suffix('\u{ad}') {
        Some(cut) => Line::at(number, column, format!("{cut}-")),
        None => Line::at(number, column, line),
    };
    placed(text).map(line).collect()
}

/// The lines of a text with where they begin: a line feed, a carriage return, or both end a line and count; other marks
/// that part lines or pages end one, but the number stays, as in most editors, and the columns run on.
fn placed(text: &str) -> impl Iterator<Item = (u32, u32, &str)> {
    const PARTS: [char; 5] = ['\u{b}', '\u{c}', '\u{85}', '\u{2028}', '\u{2029}'];
    let ended = text.split_inclusive('\n').flat_map(|line| {
        let line = line.strip_suffix('\n').unwrap_or(line);
        line.strip_suffix('\r').unwrap_or(line).split('\r')
    });
    (1..).zip(ended).flat_map(|(number, line)| {
        let mut column = 1;
        line.split(PARTS).map(move |part| {
            let begins = column;
            column += u32::try_from(part.chars().count() + 1).unwrap_or(u32::MAX);
            (number, begins, part)
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(name: &str, text: &str) -> Vec<String> {
        let file = Arc::from(name);
        let (document, findings) = document(&file, text.as_bytes(), None);
        assert!(findings.is_empty(), "{findings:?}");
        document
            .unwrap()
            .lines
            .iter()
            .filter(|line| !line.is_blank())
            .map(|line| {
                let place = line.place(&file, 0).to_string();
                let place = place.split_once(", ").unwrap().1.replace("line ", "").replace(", column ", ":");
                format!("{place} {}", line.text)
            })
            .collect()
    }

    /// Places counted by hand.
    #[test]
    fn lines_keep_their_places() {
        assert_eq!(
            shown("a.txt", "Leaves\r\n\r\nRow 1: K2.\rRow 2: P2."),
            ["1:1 Leaves", "3:1 Row 1: K2.", "4:1 Row 2: P2."]
        );
        assert_eq!(
            shown("a.txt", "Leaves\u{2028}Row 1: K2.\n\u{c}Row 2: P2.\u{b}Row 3: K2.\u{2029}\nRow 4: P2."),
            ["1:1 Leaves", "1:8 Row 1: K2.", "2:2 Row 2: P2.", "2:13 Row 3: K2.", "3:1 Row 4: P2."]
        );
        assert_eq!(shown("a.md", "# Leaves\u{2028}- Row 1: K2."), ["1:3 Leaves", "1:12 Row 1: K2."]);
        assert_eq!(
            shown(
                "a.md",
                "# Leaves\n\n**Row 1 (RS):** \\*K2, p2; rep from \\* to end.\n- Row 2: *K2, p2; rep from * to end.\n\n| k | Knit. |\n| --- | --- |\n"
            ),
            [
                "1:3 Leaves",
                "3:3 Row 1 (RS): *K2, p2; rep from * to end.",
                "4:3 Row 2: *K2, p2; rep from * to end.",
                "6:3 k: Knit."
            ]
        );
        assert_eq!(
            shown(
                "a.html",
                "<html><head><title>x</title></head><body>\n<h1>Leaves</h1>\n<p><b>Row 1:</b> K2 &amp; p2.<br>Row 2:\n K2.</p><table><tr><td>k<td>Knit.</table>"
            ),
            ["2:5 Leaves", "3:7 Row 1: K2 & p2.", "3:34 Row 2: K2.", "4:24 k: Knit."]
        );
    }

    proptest::proptest! {
        /// Any bytes at all, as any format: lines or a finding, never a stumble.
        #[test]
        fn any_bytes_are_read(bytes in proptest::collection::vec(proptest::prelude::any::<u8>(), 0..300), text in "[ -~\n&<>*|#\\\\é]{0,200}") {
            for format in [Format::Text, Format::Markdown, Format::Html, Format::Docx] {
                for bytes in [bytes.as_slice(), text.as_bytes()] {
                    let (document, findings) = document(&Arc::from("a"), bytes, Some(format));
                    proptest::prop_assert!(document.is_some() || !findings.is_empty());
                    for line in document.iter().flat_map(|document| &document.lines) {
                        line.place(&Arc::from("a"), line.text.len());
                    }
                }
            }
        }
    }
}
