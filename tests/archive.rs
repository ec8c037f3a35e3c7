//! The texts of the archive in every style, each chart with all its texts in one file under `tests/snapshots/texts`:
//! read a change as an editor would before it is accepted. That the words say the stitches is proved elsewhere
//! (`tests/properties.rs`), and that the stitches are right too (`tests/cases.rs`).
#![allow(clippy::disallowed_methods, clippy::unwrap_used)]

use std::path::{Path, PathBuf};
use std::sync::Arc;

use longhand::convert::{self, Chart, Format};
use longhand::settings::Settings;
use longhand::style;

fn sorted(folder: &Path) -> Vec<PathBuf> {
    let mut paths: Vec<PathBuf> =
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    paths
}

/// The settings of a collection over those of the whole archive.
fn settings(collection: &Path) -> Settings {
    let read = |folder: &Path| {
        std::fs::read_to_string(folder.join("longhand.toml"))
            .map(|text| Settings::parse(&Arc::from("longhand.toml"), &text).0)
            .unwrap_or_default()
    };
    read(collection).over(&read(collection.parent().unwrap()))
}

/// The texts of a file in every style, one after another under the style's name.
fn texts(file: &Path, settings: &Settings) -> String {
    let bytes = std::fs::read(file).unwrap();
    let name: Arc<str> = file.file_name().unwrap().to_string_lossy().into();
    let read = convert::charts(&name, &bytes, None, settings, &Settings::default());
    let charts: Vec<&Chart> = read.charts.iter().collect();
    let text = Format::named("text").unwrap();
    let styles = style::built_in().iter();
    styles
        .map(|style| format!("==== {}\n\n{}\n", style.name, convert::output(&charts, text, style)))
        .collect()
}

#[test]
fn the_archive_in_every_style() {
    let corpus = Path::new(env!("CARGO_MANIFEST_DIR")).join("corpus");
    let mut count = 0;
    for collection in sorted(&corpus).iter().filter(|path| path.is_dir()) {
        let settings = settings(collection);
        for file in sorted(collection) {
            let name = file.file_name().unwrap().to_string_lossy().into_owned();
            if name.ends_with(".toml") || name.ends_with(".md") {
                continue;
            }
            count += 1;
            let collection = collection.file_name().unwrap().to_string_lossy();
            insta::with_settings!({
                snapshot_path => "snapshots/texts",
                prepend_module_to_snapshot => false,
                omit_expression => true,
            }, {
                insta::assert_snapshot!(format!("{collection}.{name}"), texts(&file, &settings));
            });
        }
    }
    assert!(count > 10, "the archive is not there");
}
