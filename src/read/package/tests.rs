//! Parts of zipped files, sound and damaged.

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

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]
    /// With bytes changed, cut off or put behind, a part unpacked in one step is what it is bit by bit.
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
        let Ok(mut package) = Package::open(&bytes) else { return Ok(()) };
        for index in 0..package.zip.len() {
            let mut whole = Vec::new();
            let read = package.zip.by_index(index).map(|mut part| part.read_to_end(&mut whole).is_ok());
            if package.unpack(index).is_some() {
                prop_assert!(matches!(read, Ok(true)));
                prop_assert_eq!(&package.room, &whole);
            }
        }
    }
}

fn option_of_end() -> impl Strategy<Value = Option<Result<Index, Vec<u8>>>> {
    let end = prop_oneof![any::<Index>().prop_map(Ok), vec(any::<u8>(), 1..30).prop_map(Err)];
    proptest::option::weighted(0.2, end)
}

/// What programs write is unpacked in one step: else nothing would be gained.
#[test]
fn sound_parts_are_unpacked_in_one_step() {
    for deflated in [false, true] {
        let bytes = zipped(deflated);
        let mut package = Package::open(&bytes).unwrap();
        for (name, text) in PARTS {
            let index = package.parts[&plain(name)];
            assert_eq!(package.unpack(index), Some(()), "{name}");
            assert_eq!(package.room, text.as_bytes(), "{name}");
            assert_eq!(package.head(name, 7), text.as_bytes()[..text.len().min(7)], "{name}");
        }
        assert!(package.xml("/xl/SHAREDstrings.xml").unwrap().is_some());
    }
}

/// What is damaged is told when its XML is read.
#[test]
fn a_part_whose_sum_is_wrong_is_damaged() {
    let bytes = zipped(false);
    let at = bytes.windows(4).position(|bytes| bytes == b"<v>1").unwrap();
    let mut changed = bytes;
    changed[at + 3] = b'2';
    let mut package = Package::open(&changed).unwrap();
    let index = package.parts["xl/worksheets/sheet1.xml"];
    assert_eq!(package.unpack(index), None);
    let mut xml = package.xml("xl/worksheets/sheet1.xml").unwrap().unwrap();
    let told = loop {
        match xml.next() {
            Ok(Event::Eof) => break None,
            Ok(_) => {}
            Err(fault) => break Some(fault),
        }
    };
    assert!(matches!(told, Some(Fault::Damaged(_))), "{told:?}");
}
