//! What is told of zipped files, plainly written or not: the same as the `zip` crate tells.

use std::io::Write;

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::Index;
use quick_xml::events::Event;
use zip::write::{SimpleFileOptions, ZipWriter};
use zip::{CompressionMethod, DateTime};

use super::*;

const PARTS: [(&str, &str); 4] = [
    ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
    ("[Content_Types].xml", "<Types><Default Extension=\"xml\"/></Types>"),
    ("xl/worksheets/Sheet1.xml", "<c r=\"A1\"><v>12</v></c>"),
    ("xl/media/empty.bin", ""),
];

/// A zipped file as spreadsheet programs write it, with a long part among the short ones.
fn zipped(deflated: bool) -> Vec<u8> {
    let method = if deflated { CompressionMethod::Deflated } else { CompressionMethod::Stored };
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let options =
        SimpleFileOptions::default().compression_method(method).last_modified_time(DateTime::default());
    let long = format!("<sst>{}</sst>", "<si><t>k2tog</t></si>".repeat(100));
    for (name, text) in PARTS.into_iter().chain([("xl/sharedStrings.xml", long.as_str())]) {
        zip.start_file(name, options).unwrap();
        zip.write_all(text.as_bytes()).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// Everything that is told of a file.
fn told(package: Result<Package<'_>, Fault>) -> Vec<String> {
    let mut package = match package {
        Ok(package) => package,
        Err(fault) => return vec![format!("{fault:?}")],
    };
    let mut told = Vec::new();
    let names = PARTS.map(|(name, _)| name);
    for name in names.into_iter().chain(["xl/sharedStrings.xml", "/XL\\WorkSheets/sheet1.xml", "none.xml"]) {
        told.push(format!("{name}: {}", package.has(name)));
        told.push(match package.xml(name) {
            Ok(Some(xml)) => pieces(xml),
            Ok(None) => "absent".to_owned(),
            Err(fault) => format!("{fault:?}"),
        });
        told.push(format!("{:?}", package.head(name, 30)));
        told.push(format!("{:?}", package.unpacked(name)));
    }
    told
}

fn pieces(mut xml: Xml<'_>) -> String {
    let mut told = String::new();
    loop {
        match xml.next() {
            Ok(Event::Eof) => return told,
            Ok(event) => told.push_str(&format!("{:?}: {};", std::mem::discriminant(&event), &*event)),
            Err(fault) => return format!("{told}{fault:?}"),
        }
    }
}

/// A file that the `zip` crate reads from the beginning.
fn general(bytes: &[u8]) -> Result<Package<'_>, Fault> {
    let zip = Some(Zip::open(bytes)?);
    Ok(Package { bytes, contents: None, zip, unpacker: None, room: Vec::new(), meter: Rc::default() })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]
    /// With bytes changed, cut off or put behind, both ways tell the same of every part.
    #[test]
    fn both_ways_tell_the_same_of_damaged_files(
        deflated: bool, changes in vec((any::<Index>(), any::<u8>()), 0..3), end in option_of_end(),
    ) {
        let mut bytes = zipped(deflated);
        for (at, byte) in changes {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        match end {
            Some(Ok(at)) => bytes.truncate(at.index(bytes.len())),
            Some(Err(more)) => bytes.extend(more),
            None => {}
        }
        prop_assert_eq!(told(Package::open(&bytes)), told(general(&bytes)));
    }
}

fn option_of_end() -> impl Strategy<Value = Option<Result<Index, Vec<u8>>>> {
    let end = prop_oneof![any::<Index>().prop_map(Ok), vec(any::<u8>(), 1..30).prop_map(Err)];
    proptest::option::weighted(0.2, end)
}

/// What programs write is read without the crate: else nothing would be gained.
#[test]
fn plain_files_are_not_given_to_the_crate() {
    for deflated in [false, true] {
        let bytes = zipped(deflated);
        let mut package = Package::open(&bytes).unwrap();
        for (name, text) in PARTS {
            assert_eq!(package.unpacked(name), Ok(Some(text.as_bytes().to_vec())), "{name}");
            assert_eq!(package.head(name, 7), text.as_bytes()[..text.len().min(7)], "{name}");
        }
        assert!(package.xml("/xl/SHAREDstrings.xml").unwrap().is_some());
        assert!(package.zip.is_none());
    }
}

/// Sources: APPNOTE.TXT, 4.4.4 (bit 0, encrypted; 9, LZMA and other methods), 4.3.14 (zip64), 4.5.1 (extra fields).
#[test]
fn what_is_unusual_is_given_to_the_crate() {
    let bytes = zipped(true);
    let end = bytes.len() - 22;
    let table = u32::from_le_bytes(*bytes[end + 16..].first_chunk().unwrap()) as usize;
    assert!(Contents::of(&bytes).is_some());
    // A comment, a second disk, a count that is wrong; encryption, another method, an extra field, sizes kept elsewhere.
    for (at, value) in [(end + 20, 1), (end + 4, 1), (end + 10, 9)].into_iter().chain([
        (table + 8, 1),
        (table + 10, 14),
        (table + 30, 4),
        (table, b'Q'),
    ]) {
        let mut odd = bytes.clone();
        odd[at] = value;
        assert!(Contents::of(&odd).is_none(), "{at}");
    }
    let mut large = bytes.clone();
    large[table + 20..table + 28].fill(0xff);
    assert!(Contents::of(&large).is_none());
}
