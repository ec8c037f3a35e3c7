//! One chart saved in five formats gives one pattern.
//!
//! The files under `tests/fixtures/five-formats` are made by `scripts/outside/make_fixtures.py`: openpyxl draws the
//! .xlsx, LibreOffice saves it in the others. The rows were worked out by hand from the drawing:
//!
//! ```text
//!     .  .  [ .  (  2/2 rc  ) o ] .  .  3
//!  2  .  .  [ .  -  .  .  .  #  ] .  .
//!     .  .  [ .  .  .  .  /  #  ] .  .  1
//! ```
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic, missing_docs)]

use std::path::Path;
use std::sync::Arc;

use longhand::convert;
use longhand::pattern::Side;
use longhand::settings::Settings;

/// Number, side, stitches before the row, stitches after it, the repeat (worked twice) between its edges.
const ROWS: [(u32, Side, u32, u32, [&str; 3]); 3] = [
    (1, Side::Rs, 16, 14, ["k k", "k2tog k k k k", "k k"]),
    (2, Side::Ws, 14, 14, ["p p", "p k p p p", "p p"]),
    (3, Side::Rs, 14, 16, ["k k", "yo 2/2rc k", "k k"]),
];

#[test]
fn five_formats_give_one_pattern() {
    // A csv file has neither boxes nor fills nor merged cells. The repeat is given by a setting, in the columns of
    // the chart from the right. The grey squares are blank in it, in the chart and in the key, where the blank square
    // is explained as no stitch; the blanks after the cable are those it covers.
    for (name, setting) in [
        ("chart.xlsx", ""),
        ("chart.ods", ""),
        ("chart.fods", ""),
        ("chart.xls", ""),
        ("chart.csv", "[chart]\nrepeat-columns = \"3-8\""),
    ] {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/five-formats").join(name);
        let (settings, findings) = Settings::parse(&Arc::from("longhand.toml"), setting);
        assert!(findings.is_empty(), "{findings:?}");
        let bytes = std::fs::read(path).unwrap();
        let read = convert::charts(&name.into(), &bytes, None, &settings, &Settings::default());
        let [chart] = &read.charts[..] else { panic!("{name}: {:?}", read.findings) };
        let pattern = chart.sound().unwrap_or_else(|| panic!("{name}: {:?}", chart.findings));
        assert_eq!(pattern.title, "Reed bed", "{name}");
        assert_eq!(pattern.cast_on, 16, "{name}");
        assert_eq!(pattern.multiple.map(|multiple| (multiple.of, multiple.plus)), Some((6, 4)), "{name}");
        assert_eq!(pattern.rows.len(), ROWS.len(), "{name}");
        let mut before = pattern.cast_on;
        for (row, (number, side, uses, makes, [first, repeat, last])) in pattern.rows.iter().zip(ROWS) {
            let stitches: Vec<&str> = row
                .stitches
                .iter()
                .map(|&id| pattern.stitches.get(pattern.stitches.plain(id)).name.as_str())
                .collect();
            assert_eq!(
                stitches.join(" "),
                format!("{first} {repeat} {repeat} {last}"),
                "{name} row {number}"
            );
            assert_eq!((row.number, row.side, before), (number, side, uses), "{name}");
            before = pattern.makes(row);
            assert_eq!(before, makes, "{name} row {number}");
        }
    }
}
