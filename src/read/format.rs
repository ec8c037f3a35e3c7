//! The kinds of file longhand knows, and how a file is told by its bytes.

use super::encoding;
use super::fault::EMPTY;
use super::package::Package;
use super::separator;

/// A kind of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Format {
    /// Cells separated by commas, semicolons or bars.
    Csv,
    /// Cells separated by tabs.
    Tsv,
    /// An Excel workbook, with macros or without.
    Xlsx,
    /// A workbook of Excel 97 to 2003.
    Xls,
    /// A binary Excel workbook.
    Xlsb,
    /// An OpenDocument spreadsheet.
    Ods,
    /// An OpenDocument spreadsheet in one XML file.
    Fods,
    /// JSON.
    Json,
    /// Plain text.
    Text,
    /// Markdown.
    Markdown,
    /// A web page.
    Html,
    /// A Word document.
    Docx,
}

/// What a format holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// Cells: a chart.
    Cells,
    /// Lines of text: written rows.
    Lines,
    /// A pattern of longhand's own.
    Pattern,
}

/// What the table of formats says of one.
struct Entry {
    format: Format,
    /// The name that `--from` takes.
    name: &'static str,
    /// Endings of file names, the usual one first.
    endings: &'static [&'static str],
    holds: Holds,
    /// What a file of it is called, with its article.
    called: &'static str,
}

const fn entry(
    format: Format,
    name: &'static str,
    endings: &'static [&'static str],
    holds: Holds,
    called: &'static str,
) -> Entry {
    Entry { format, name, endings, holds, called }
}

/// The table of formats, in the order in which [`Format`] names them.
static TABLE: [Entry; 12] = [
    entry(Format::Csv, "csv", &["csv"], Holds::Cells, "a csv file"),
    entry(Format::Tsv, "tsv", &["tsv", "tab"], Holds::Cells, "a tsv file"),
    entry(Format::Xlsx, "xlsx", &["xlsx", "xlsm", "xltx", "xltm"], Holds::Cells, "an Excel workbook"),
    entry(Format::Xls, "xls", &["xls", "xlt"], Holds::Cells, "an Excel 97-2003 workbook"),
    entry(Format::Xlsb, "xlsb", &["xlsb"], Holds::Cells, "a binary Excel workbook"),
    entry(Format::Ods, "ods", &["ods", "ots"], Holds::Cells, "an OpenDocument spreadsheet"),
    entry(Format::Fods, "fods", &["fods"], Holds::Cells, "a flat OpenDocument spreadsheet"),
    entry(Format::Json, "json", &["json"], Holds::Pattern, "a JSON file"),
    entry(Format::Text, "txt", &["txt", "text"], Holds::Lines, "a text"),
    entry(Format::Markdown, "md", &["md", "markdown"], Holds::Lines, "a markdown text"),
    entry(Format::Html, "html", &["html", "htm", "xhtml"], Holds::Lines, "a web page"),
    entry(Format::Docx, "docx", &["docx", "docm"], Holds::Lines, "a Word document"),
];

/// A file that is none of the formats: what it looks like, with its article, such as "a PNG picture".
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stranger(pub &'static str);

impl Format {
    /// Every format, in the order users are shown them.
    pub fn all() -> impl Iterator<Item = Self> {
        TABLE.iter().map(|entry| entry.format)
    }

    /// The table has a line for every format: a test holds it to that.
    fn entry(self) -> &'static Entry {
        &TABLE[self as usize]
    }

    /// The name that `--from` takes.
    pub fn name(self) -> &'static str {
        self.entry().name
    }

    /// Endings of file names, in lower case, the usual one first.
    pub fn endings(self) -> &'static [&'static str] {
        self.entry().endings
    }

    /// What a file of it holds.
    pub fn holds(self) -> Holds {
        self.entry().holds
    }

    /// What a file of it is called, with its article.
    pub fn called(self) -> &'static str {
        self.entry().called
    }

    /// The format with this name or ending.
    pub fn named(name: &str) -> Option<Self> {
        let name = name.trim_start_matches('.').to_ascii_lowercase();
        TABLE.iter().find(|entry| entry.endings.contains(&name.as_str())).map(|entry| entry.format)
    }

    /// The format that the ending of a file's name speaks of.
    pub fn by_ending(file: &str) -> Option<Self> {
        let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
        Self::named(name.rsplit_once('.')?.1)
    }

    /// The format of a file, by its bytes. Its name only decides where bytes can't tell: whether a text is a table
    /// of cells or written rows.
    ///
    /// # Errors
    /// What the file looks like, where it is none of the formats.
    pub fn of(bytes: &[u8], file: &str) -> Result<Self, Stranger> {
        if bytes.is_empty() {
            return Err(Stranger(EMPTY));
        }
        if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06") {
            return zipped(bytes, file);
        }
        if bytes.starts_with(&OLE) {
            return Ok(Self::Xls);
        }
        if let Some((_, what)) = SIGNATURES.iter().find(|(signature, _)| bytes.starts_with(signature)) {
            return Err(Stranger(what));
        }
        // These may begin a text too.
        let binary = bytes[..bytes.len().min(512)].contains(&0);
        if let Some((_, what)) = SHORT_SIGNATURES.iter().find(|(short, _)| binary && bytes.starts_with(short))
        {
            return Err(Stranger(what));
        }
        textual(bytes, file)
    }
}

/// What every OLE container begins with.
const OLE: [u8; 8] = [0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1];

/// What other kinds of file begin with.
const SIGNATURES: [(&[u8], &str); 13] = [
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"II*\0", "a TIFF picture"),
    (b"MM\0*", "a TIFF picture"),
    (b"\0\0\0\x1cftyp", "a picture or a film"),
    (b"%PDF", "a PDF"),
    (b"{\\rtf", "an RTF text"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"7z\xbc\xaf\x27\x1c", "a 7-Zip archive"),
    (b"SQLite format 3", "a database"),
    (b"\x09\x08", "a workbook of Excel 95 or older"),
    (b"\x09\x04", "a workbook of Excel 95 or older"),
];

/// The same, where letters could stand by chance.
const SHORT_SIGNATURES: [(&[u8], &str); 3] =
    [(b"BM", "a BMP picture"), (b"RIFF", "a picture, a sound or a film"), (b"Rar!", "a RAR archive")];

/// What is in a zipped file. A damaged one is what its name says, so that its reader can say what is damaged.
fn zipped(bytes: &[u8], file: &str) -> Result<Format, Stranger> {
    let Ok(mut package) = Package::open(bytes) else {
        return match Format::by_ending(file) {
            Some(format @ (Format::Xlsx | Format::Xlsb | Format::Ods | Format::Docx)) => Ok(format),
            _ => Err(Stranger("a zip archive that is damaged or cut short")),
        };
    };
    let kind = package.head("mimetype", 200);
    if kind.starts_with(b"application/vnd.oasis.opendocument.spreadsheet") {
        return Ok(Format::Ods);
    }
    if kind.starts_with(b"application/vnd.oasis.opendocument.text") {
        return Err(Stranger("an OpenDocument text"));
    }
    if kind.starts_with(b"application/epub") {
        return Err(Stranger("an EPUB book"));
    }
    if let Some(format) = office_part(&mut package) {
        return format;
    }
    for (part, result) in [
        ("xl/workbook.xml", Ok(Format::Xlsx)),
        ("xl/workbook.bin", Ok(Format::Xlsb)),
        ("word/document.xml", Ok(Format::Docx)),
        ("ppt/presentation.xml", Err(Stranger("a PowerPoint presentation"))),
        ("content.xml", Ok(Format::Ods)),
        ("index/document.iwa", Err(Stranger("a document of Apple Numbers or Pages"))),
    ] {
        if package.has(part) {
            return result;
        }
    }
    Err(Stranger("a zip archive"))
}

/// The format of the main part, wherever the package keeps it.
fn office_part(package: &mut Package<'_>) -> Option<Result<Format, Stranger>> {
    const TYPES: [(&str, Result<Format, Stranger>); 9] = [
        ("spreadsheetml.sheet.main", Ok(Format::Xlsx)),
        ("spreadsheetml.template.main", Ok(Format::Xlsx)),
        ("ms-excel.sheet.macroenabled", Ok(Format::Xlsx)),
        ("ms-excel.template.macroenabled", Ok(Format::Xlsx)),
        ("ms-excel.sheet.binary", Ok(Format::Xlsb)),
        ("wordprocessingml.document.main", Ok(Format::Docx)),
        ("wordprocessingml.template.main", Ok(Format::Docx)),
        ("ms-word.document.macroenabled", Ok(Format::Docx)),
        ("ms-word.template.macroenabled", Ok(Format::Docx)),
    ];
    let types = package.head("[Content_Types].xml", 1 << 20);
    let types = String::from_utf8_lossy(&types).to_ascii_lowercase();
    TYPES.iter().find(|(name, _)| types.contains(name)).map(|&(_, format)| format)
}

/// A file without a signature: text of some kind.
fn textual(bytes: &[u8], file: &str) -> Result<Format, Stranger> {
    const SAMPLE: usize = 256 << 10;
    let ending = Format::by_ending(file);
    let sample = encoding::decode(&bytes[..cut(bytes, SAMPLE)]).text;
    if is_binary(&sample) {
        return Err(Stranger("no text and no kind of spreadsheet that is known"));
    }
    let begins = sample.trim_start();
    if begins.starts_with('<') {
        let head = begins.chars().take(4_000).collect::<String>().to_ascii_lowercase();
        if head.contains("opendocument.spreadsheet") {
            return Ok(Format::Fods);
        }
        if head.contains("<!doctype html") || head.contains("<html") {
            return Ok(Format::Html);
        }
        if head.contains("urn:schemas-microsoft-com:office:spreadsheet") {
            return Err(Stranger("an Excel 2003 XML file"));
        }
        if head.contains("<svg") {
            return Err(Stranger("an SVG picture"));
        }
        if head.starts_with("<?xml") && !matches!(ending, Some(Format::Fods)) {
            return Err(Stranger("an XML file of some other kind"));
        }
    }
    match ending {
        Some(
            known @ (Format::Csv
            | Format::Tsv
            | Format::Text
            | Format::Markdown
            | Format::Html
            | Format::Json),
        ) if known != Format::Json || is_json(begins) => Ok(known),
        Some(Format::Fods) if begins.starts_with('<') => Ok(Format::Fods),
        _ if is_json(begins) => Ok(Format::Json),
        _ => Ok(cells_or_lines(&sample)),
    }
}

/// Whether a text holds a zero, or more than one control character in twenty that no text has.
fn is_binary(text: &str) -> bool {
    let plain =
        |byte: u8| (byte >= b' ') & (byte != 0x7f) | (byte == b'\t') | (byte == b'\n') | (byte == b'\r');
    // Looked through to the end, which is quicker than to ask at each byte whether to stop.
    if text.bytes().fold(true, |all, byte| all & plain(byte) & byte.is_ascii()) {
        return false;
    }
    let strange = |c: &char| {
        c.is_control() && !matches!(c, '\t' | '\n' | '\r' | '\x0b' | '\x0c' | '\x1a' | '\x1b' | '\u{85}')
    };
    text.contains('\0') || text.chars().filter(strange).count() * 20 > text.chars().count()
}

/// The last place within so many bytes where the halves of a letter are not parted. The limit is even, as UTF-16
/// needs it; in UTF-8 a letter begins with a byte that does not continue one.
fn cut(bytes: &[u8], limit: usize) -> usize {
    if bytes.len() <= limit {
        return bytes.len();
    }
    let continues = |at: usize| bytes.get(at).is_some_and(|byte| byte & 0xc0 == 0x80);
    // Four bytes a letter at most: past that it is no UTF-8.
    (limit - 3..=limit)
        .rev()
        .find(|&at| !continues(at))
        .filter(|_| std::str::from_utf8(bytes).is_ok())
        .unwrap_or(limit)
}

/// Whether a text begins as JSON does; a symbol such as `[` or `{` may begin a csv file too.
fn is_json(head: &str) -> bool {
    let mut rest = head.chars().filter(|c| !c.is_whitespace());
    matches!((rest.next(), rest.next()), (Some('{'), Some('"' | '}')) | (Some('['), Some('{' | ']')))
}

/// A text without a telling name: a table where most records that are cut are cut alike, as no prose is, or where two that
/// stand together are (a small chart has more lines of key than rows), and none is a labelled row.
fn cells_or_lines(text: &str) -> Format {
    const MOST: f64 = 0.6;
    let table = |found: &separator::Found| (found.alike >= MOST || found.rows) && found.spaced < MOST;
    match separator::find(text) {
        Some(found) if table(&found) && !text.lines().any(labels_a_row) => {
            if found.separator == b'\t' {
                Format::Tsv
            } else {
                Format::Csv
            }
        }
        _ if heads(text) || escapes(text) => Format::Markdown,
        _ => Format::Text,
    }
}

/// Whether a text begins with a heading of markdown.
fn heads(text: &str) -> bool {
    text.trim_start().strip_prefix("# ").is_some_and(|title| title.starts_with(char::is_alphanumeric))
}

/// Whether marks of the rows of a text have the backslash that keeps them from being marks of markdown: `\*k1, p1; rep from
/// \*`. In any other text it stands nowhere before them.
fn escapes(text: &str) -> bool {
    ["\\*", "\\[", "\\]"].into_iter().any(|escaped| text.contains(escaped))
}

/// Whether a line says what to do in a row: "Row 1 (RS): K2, yo", "1st row: knit".
fn labels_a_row(line: &str) -> bool {
    const ROW_WORDS: [&str; 6] = ["row", "rows", "rnd", "rnds", "round", "rounds"];
    let Some((label, rest)) = line.split_once(':') else { return false };
    let mut words = label.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    label.chars().count() < 60
        && rest.chars().any(char::is_alphabetic)
        && words.any(|word| ROW_WORDS.contains(&word.to_ascii_lowercase().as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_holds_every_format_once_in_order() {
        assert_eq!(Format::Docx as usize, TABLE.len() - 1, "the last format has the last line");
        let mut names: Vec<&str> = TABLE.iter().flat_map(|entry| entry.endings).copied().collect();
        let count = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), count);
        for (index, format) in Format::all().enumerate() {
            assert_eq!(format as usize, index);
            assert_eq!(Format::named(format.name()), Some(format));
            assert!(format.endings().contains(&format.name()), "{format:?}");
            assert!(format.called().starts_with('a'), "{format:?}");
        }
    }

    /// Worked out by hand: texts of both kinds as they come through a pipe.
    #[test]
    fn tables_and_rows_are_told_apart_without_a_name() {
        for (text, format) in [
            ("k,o,k\nk,k,k\n", Format::Csv),
            ("Leaves\n\n;k;o;1\n;k;k;\nCast on: 3\n", Format::Csv),
            ("Row 3,k,o,k\nRow 2,k,k,k\n", Format::Csv),
            ("2,k,k,k,k,\n,k,k,k,p,1\n\nKey\nk,knit\np,purl\n", Format::Csv),
            ("k\to\nk\tk\n", Format::Tsv),
            ("Row 1 (RS): K2, *yo, ssk, k4; rep from * to last 3 sts, k3.\nRow 2: Purl.\n", Format::Text),
            ("Row 1: K1, p1.\nRow 2: P1, k1.\n", Format::Text),
            ("1st row: K1, p1.\n2nd row: P1, k1.\n", Format::Text),
            ("Cast on 23 sts, loosely.\nWork as set.\n", Format::Text),
            ("# Ribs\n\n**Row 1:** \\*K1, p1; rep from \\* to end.\n", Format::Markdown),
            ("\n# Ribs\n\n- Row 1: Knit.\n", Format::Markdown),
            ("**Row 1:** \\[K1, p1\\] 4 times. \\[8 sts\\]\n", Format::Markdown),
            ("Row 1: *K1, p1; rep from * to end. [8 sts]\n", Format::Text),
            ("{\"format\": \"longhand.pattern/1\"}", Format::Json),
            ("[\n {\"format\": \"longhand.pattern/1\"}]", Format::Json),
            ("[,k,]\n{,k,}\n", Format::Csv),
            ("<!DOCTYPE html><html><body>Row 1: K2.</body></html>", Format::Html),
            (
                "<?xml version=\"1.0\"?><office:document office:mimetype=\"application/vnd.oasis.opendocument.spreadsheet\">",
                Format::Fods,
            ),
            ("<,k,<\nk,k,k\n", Format::Csv),
        ] {
            assert_eq!(Format::of(text.as_bytes(), "-"), Ok(format), "{text:?}");
        }
    }

    #[test]
    fn bytes_go_before_names_and_names_decide_what_bytes_do_not_tell() {
        let csv = b"k,o,k\nk,k,k\n";
        for (name, format) in [
            ("a.csv", Format::Csv),
            ("a.CSV", Format::Csv),
            ("a.tsv", Format::Tsv),
            ("a.txt", Format::Text),
            ("a.md", Format::Markdown),
            ("a.xlsx", Format::Csv),
            ("a.json", Format::Csv),
            ("csv", Format::Csv),
            ("a.b/csv", Format::Csv),
        ] {
            assert_eq!(Format::of(csv, name), Ok(format), "{name}");
        }
        assert_eq!(Format::of(b"\x89PNG\r\n\x1a\n", "a.xlsx"), Err(Stranger("a PNG picture")));
        assert_eq!(Format::of(b"%PDF-1.7", "a.csv"), Err(Stranger("a PDF")));
        assert_eq!(Format::of(b"", "a.csv"), Err(Stranger("an empty file")));
        assert_eq!(Format::of(b"BM,k\nk,k\n", "-"), Ok(Format::Csv));
        let cyrillic = "\u{43b},\u{438}\n".repeat(60_000);
        for text in [cyrillic.clone(), format!("k{cyrillic}")] {
            assert_eq!(Format::of(text.as_bytes(), "-"), Ok(Format::Csv));
        }
        assert!(Format::of(&[0; 100], "a.csv").is_err());
        assert!(Format::of(b"PK\x03\x04junk", "a").is_err());
        assert_eq!(Format::of(b"PK\x03\x04junk", "a.ods"), Ok(Format::Ods));
    }
}
