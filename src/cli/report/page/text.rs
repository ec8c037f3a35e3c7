//! Text from anywhere made safe for a page: nothing in it is markup, and nothing in it is invisible.

use std::fmt::Write as _;
use std::path::Path;

use super::super::plural;

/// Text for an element or for a quoted attribute. Characters that can't be seen, or that change the direction in
/// which the text around them runs, are named instead: a sheet could otherwise show one name and hold another.
pub fn text(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + text.len() / 8);
    put(text, &mut out);
    out
}

fn put(text: &str, out: &mut String) {
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            hidden if is_hidden(hidden) => {
                let _ = write!(out, "[U+{:04X}]", u32::from(hidden));
            }
            letter => out.push(letter),
        }
    }
}

/// Whether a character shows nothing, moves others about, or may not stand in a page.
fn is_hidden(letter: char) -> bool {
    let code = u32::from(letter);
    letter.is_control()
        // Direction: marks, embeddings, overrides, isolates.
        || matches!(letter, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
        // No width. The joiners U+200C and U+200D are letters of many languages, and stay.
        || matches!(letter, '\u{ad}' | '\u{200b}' | '\u{2060}'..='\u{2064}' | '\u{206a}'..='\u{206f}' | '\u{feff}')
        // Line ends of their own, annotations, tags.
        || matches!(letter, '\u{2028}' | '\u{2029}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
        // What Unicode says is no character.
        || matches!(letter, '\u{fdd0}'..='\u{fdef}')
        || code & 0xfffe == 0xfffe
}

/// A path as it is: bytes that are no text are shown by their numbers.
pub fn path(path: &Path) -> String {
    let mut out = String::new();
    #[cfg(unix)]
    {
        use std::os::unix::ffi::OsStrExt;
        for chunk in path.as_os_str().as_bytes().utf8_chunks() {
            put(chunk.valid(), &mut out);
            for byte in chunk.invalid() {
                let _ = write!(out, "[byte {byte:02X}]");
            }
        }
    }
    #[cfg(not(unix))]
    put(&path.to_string_lossy(), &mut out);
    out
}

/// A number with commas between the thousands: 10,000.
pub fn number(count: usize) -> String {
    let digits = count.to_string();
    let mut out = String::new();
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

/// "1 file", "10,000 files".
pub fn number_of(count: usize, word: &str) -> String {
    format!("{} {}", number(count), plural(count, word))
}

/// A template with its `{{names}}` filled in. What is filled in is not looked at again.
pub fn filled(template: &str, values: &[(&str, &str)]) -> String {
    let mut out =
        String::with_capacity(template.len() + values.iter().map(|(_, value)| value.len()).sum::<usize>());
    let mut rest = template;
    while let Some((before, after)) = rest.split_once("{{") {
        out.push_str(before);
        let Some((name, after)) = after.split_once("}}") else {
            rest = after;
            continue;
        };
        let value = values.iter().find(|(known, _)| *known == name);
        out.push_str(value.map_or("", |(_, value)| value));
        rest = after;
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_in_a_text_is_markup() {
        assert_eq!(text("<a href=\"x\">'&"), "&lt;a href=&quot;x&quot;&gt;&#39;&amp;");
        assert_eq!(text("</script><!-- k2tog"), "&lt;/script&gt;&lt;!-- k2tog");
        assert_eq!(text("Björk, 編み図, \u{5e9}\u{5dc}"), "Björk, 編み図, \u{5e9}\u{5dc}");
    }

    /// Characters by the Unicode standard: general categories Cc and Cf, chapter 23.7 on noncharacters.
    #[test]
    fn nothing_in_a_text_is_invisible() {
        for (hidden, shown) in [
            ("a\tb\nc", "a[U+0009]b[U+000A]c"),
            ("\0", "[U+0000]"),
            ("\u{7f}\u{85}", "[U+007F][U+0085]"),
            ("scarf\u{202e}vsc.exe", "scarf[U+202E]vsc.exe"),
            ("\u{2066}x\u{2069}\u{200f}", "[U+2066]x[U+2069][U+200F]"),
            ("\u{feff}k\u{200b}", "[U+FEFF]k[U+200B]"),
            ("\u{fffe}\u{1ffff}\u{fdd0}", "[U+FFFE][U+1FFFF][U+FDD0]"),
            ("नि\u{200d}", "नि\u{200d}"),
        ] {
            assert_eq!(text(hidden), shown);
        }
    }

    #[cfg(unix)]
    #[test]
    fn bytes_that_are_no_text_are_shown() {
        use std::ffi::OsStr;
        use std::os::unix::ffi::OsStrExt;
        let name = Path::new(OsStr::from_bytes(b"m\xfctze \xe2\x82.csv"));
        assert_eq!(path(name), "m[byte FC]tze [byte E2][byte 82].csv");
        assert_eq!(path(Path::new("a & b.csv")), "a &amp; b.csv");
    }

    #[test]
    fn numbers_have_commas() {
        for (count, shown) in [(0, "0"), (999, "999"), (1_000, "1,000"), (1_234_567, "1,234,567")] {
            assert_eq!(number(count), shown);
        }
        assert_eq!((number_of(1, "file"), number_of(2, "file")), ("1 file".into(), "2 files".into()));
    }

    #[test]
    fn values_are_filled_in_once() {
        assert_eq!(filled("{{a}}-{{b}}{{none}} {{", &[("a", "{{b}}"), ("b", "1")]), "{{b}}-1 ");
    }
}
