//! Terms: the vocabularies that written rows come in. A vocabulary is data, `terms/NAME.toml`, or a file of the
//! user's own in the same form.
//!
//! The words of every stitch are in the dictionary; a vocabulary says which of the two sets of words, US or UK, and
//! what other words mean in it.

use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock};

use serde::Deserialize;
use toml::de::DeTable;

use crate::nearest::nearest;
use crate::place::Place;
use crate::problem::{Code, Finding};
use crate::stitch::{Stitches, Terms};
use crate::tables::{self, table};

/// A vocabulary.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Vocabulary {
    /// Its name, as chosen by `--terms`.
    pub name: String,
    /// What it is, one line.
    #[serde(default)]
    pub about: String,
    /// Whether the words of the dictionary are the US or the UK ones.
    #[serde(default)]
    pub terms: Terms,
    /// Other words, and the canonical name of the stitch they mean.
    #[serde(default)]
    pub means: BTreeMap<String, String>,
}

/// The tables of the built-in vocabularies.
const SOURCES: &[&str] = &[table!("terms/us"), table!("terms/uk"), table!("terms/older")];

/// The built-in vocabularies, in the order they are listed.
pub fn built_in() -> &'static [Vocabulary] {
    static ALL: LazyLock<Vec<Vocabulary>> =
        LazyLock::new(|| SOURCES.iter().map(|table| tables::read(table)).collect());
    &ALL
}

/// The built-in vocabulary with this name.
pub fn named(name: &str) -> Option<&'static Vocabulary> {
    built_in().iter().find(|vocabulary| vocabulary.name == name)
}

impl Vocabulary {
    /// Reads a user's own vocabulary from the text of its file. `stitches` knows the stitches of their own.
    ///
    /// # Errors
    /// A finding that names the line of what is wrong: an unknown key or value, or a word that means no stitch.
    pub fn parse(text: &str, file: &Arc<str>, stitches: &Stitches) -> Result<Self, Finding> {
        if let Some(unknown) = unknown_name(text, file) {
            return Err(unknown);
        }
        let vocabulary: Self = toml::from_str(text).map_err(|error| {
            let at = error.span().map_or(0, |span| span.start);
            let told = error.message().lines().next().unwrap_or_default().trim_end_matches('.');
            wrong(text, file, at, format!("The file holds no terms: {told}."))
                .help("Write name = \"...\", and each word under [means], like \"narrow\" = \"k2tog\".")
        })?;
        let mut stitches = stitches.clone();
        for (word, stitch) in &vocabulary.means {
            if stitches.find(stitch).is_none() {
                // The first line that has the value: enough to find it by.
                let at = text.find(&format!("\"{stitch}\"")).unwrap_or(0);
                return Err(wrong(
                    text,
                    file,
                    at,
                    format!("\"{word}\" can't mean \"{stitch}\", which is no stitch."),
                )
                .found(stitch)
                .help("Use a name of `longhand list stitches`."));
            }
        }
        Ok(vocabulary)
    }
}

/// What the file of a vocabulary may hold.
const NAMES: [&str; 4] = ["name", "about", "terms", "means"];

/// What is wrong with the first name in a file that no vocabulary has.
fn unknown_name(text: &str, file: &Arc<str>) -> Option<Finding> {
    let table = DeTable::parse(text).ok()?;
    let name = table.get_ref().keys().find(|name| !NAMES.contains(&name.get_ref().as_ref()))?;
    let message = format!("No file of terms has a \"{}\".", name.get_ref());
    let near = nearest(name.get_ref(), NAMES);
    Some(
        wrong(text, file, name.span().start, message)
            .found(name.get_ref())
            .expected(near.map_or_else(|| NAMES.join(", "), str::to_owned))
            .help("Words stand under [means], like \"narrow\" = \"k2tog\"."),
    )
}

fn wrong(text: &str, file: &Arc<str>, at: usize, message: String) -> Finding {
    Finding::new(Code::WrongSetting, Place::in_text(file, text, at), message)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_vocabulary_is_whole() {
        let names: Vec<&str> = built_in().iter().map(|vocabulary| vocabulary.name.as_str()).collect();
        assert_eq!(names, ["us", "uk", "older"]);
        let files =
            [include_str!("terms/us.toml"), include_str!("terms/uk.toml"), include_str!("terms/older.toml")];
        for (text, vocabulary) in files.into_iter().zip(built_in()) {
            let read = Vocabulary::parse(text, &Arc::from("terms.toml"), &Stitches::built_in());
            assert_eq!(read.as_ref(), Ok(vocabulary));
            assert!(!vocabulary.about.is_empty());
        }
    }

    #[test]
    fn what_is_wrong_is_told_by_its_line() {
        let fault = |text: &str| {
            let parsed = Vocabulary::parse(text, &Arc::from("old.toml"), &Stitches::built_in());
            let finding = parsed.unwrap_err();
            (finding.place.to_string(), finding.message)
        };
        let (place, message) = fault("name = \"old\"\n[means]\n\"narrow\" = \"knarrow\"\n");
        assert_eq!(place, "old.toml, line 3, column 12");
        assert_eq!(message, "\"narrow\" can't mean \"knarrow\", which is no stitch.");
        let (place, message) = fault("name = \"old\"\nmean = 3\n");
        assert_eq!(place, "old.toml, line 2, column 1");
        assert_eq!(message, "No file of terms has a \"mean\".");
        let (place, message) = fault("name = \"old\"\n[means]\n\"narrow\" = 3\n");
        assert_eq!(place, "old.toml, line 3, column 12");
        assert!(message.starts_with("The file holds no terms: "), "{message}");
    }
}
