//! The name of a file, taken apart as the names of results are put together: `stem[.CHART][.STYLE].ending`, where the
//! stem may keep the ending of the file that the result is of, as in `scarf.xlsx.A.uk.txt`.

use std::ffi::OsStr;
use std::path::Path;

use longhand::read::{Format, Holds};
use unicode_normalization::UnicodeNormalization;

use super::super::super::names::{StyleNames, Tail};

/// A name taken apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Name {
    /// The folders below the folder that is compared, and the stem: what two files must share to be partners.
    stem: String,
    /// The ending kept from the file that this one is of, in lower case.
    kept: Option<String>,
    /// The letter of the one chart it holds.
    pub letter: Option<String>,
    /// The style it is written in.
    style: Option<String>,
    /// Its own ending, in lower case.
    ending: String,
}

/// How far apart two names are that may be partners; less is nearer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Distance {
    /// One holds a chart of the other.
    chart: bool,
    /// One keeps the ending of a file that the other is not, but may be a copy of.
    kept: bool,
    /// 1 where one names a style and the other none, 2 where both name different ones.
    style: u8,
    ending: bool,
    /// 1 where the same letters are put together otherwise in Unicode, 2 where they differ in case.
    spelling: u8,
}

impl Name {
    /// Takes the name of a file below the folder that is compared apart. `styles` are the names of known styles.
    pub fn of(below: &Path, styles: &StyleNames) -> Self {
        let text = |part: Option<&OsStr>| letters(part.unwrap_or_default());
        let name = text(below.file_stem());
        let (stem, tail) = Tail::cut(&name, styles);
        let keeps = |(stem, ending): &(&str, &str)| !stem.is_empty() && Format::named(ending).is_some();
        let (stem, kept) = match stem.rsplit_once('.').filter(keeps) {
            Some((stem, ending)) => (stem, Some(ending.to_lowercase())),
            None => (stem, None),
        };
        // The file that this one is of may be called as a result is: `scarf.A.csv.txt` is of `scarf.A.csv`.
        let (stem, Tail { letter, style }) = match kept.is_some() && tail == Tail::default() {
            true => Tail::cut(stem, styles),
            false => (stem, tail),
        };
        let folders =
            below.parent().map(|folders| folders.components().map(|part| text(Some(part.as_os_str()))));
        let stem = folders.into_iter().flatten().chain([stem.to_owned()]).collect::<Vec<_>>().join("/");
        let [letter, style] = [letter, style].map(|part| part.map(str::to_owned));
        Self { stem, kept, letter, style, ending: text(below.extension()).to_lowercase() }
    }

    /// What all partners have in common: folders and stem, without regard to case and to how letters are put together.
    pub fn key(&self) -> String {
        self.stem.nfd().collect::<String>().to_lowercase()
    }

    /// How far apart two names are; none where they can't be partners.
    pub fn distance(&self, other: &Self) -> Option<Distance> {
        Some(Distance {
            spelling: self.spelling(other)?,
            chart: match (&self.letter, &other.letter) {
                (Some(one), Some(two)) if one != two => return None,
                (one, two) => one != two,
            },
            kept: match (&self.kept, &other.kept) {
                (Some(one), Some(two)) if one != two => return None,
                (Some(kept), None) => other.is_copy_of(kept)?,
                (None, Some(kept)) => self.is_copy_of(kept)?,
                _ => false,
            },
            style: match (&self.style, &other.style) {
                (one, two) if one == two => 0,
                (Some(_), Some(_)) => 2,
                _ => 1,
            },
            ending: self.ending != other.ending,
        })
    }

    fn spelling(&self, other: &Self) -> Option<u8> {
        if self.stem == other.stem {
            Some(0)
        } else if self.stem.nfd().eq(other.stem.nfd()) {
            Some(1)
        } else {
            (self.key() == other.key()).then_some(2)
        }
    }

    /// Whether this may be another copy of a file with the ending `kept`; `None` where it is another file: that of
    /// `scarf.xlsx.txt` is `scarf.xlsx`, so it is not `scarf.csv`.
    fn is_copy_of(&self, kept: &str) -> Option<bool> {
        let holds = |ending: &str| -> Option<Holds> { Format::named(ending).map(Format::holds) };
        match self.ending == kept {
            true => Some(false),
            false => (holds(&self.ending) != holds(kept)).then_some(true),
        }
    }

    /// Whether two files are results of one kind, such as the charts of one file in one style and format.
    pub fn is_sibling(&self, other: &Self) -> bool {
        (&self.stem, &self.kept, &self.style, &self.ending)
            == (&other.stem, &other.kept, &other.style, &other.ending)
    }
}

/// A part of a path as text. Bytes that are no UTF-8 are most likely letters of the old one-byte kind, and no two such
/// names become one.
fn letters(part: &OsStr) -> String {
    match part.to_str() {
        Some(text) => text.to_owned(),
        None => part.as_encoded_bytes().iter().map(|byte| char::from(*byte)).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn name(below: &str) -> Name {
        Name::of(Path::new(below), &StyleNames::built_in())
    }

    /// The names are those that `longhand write` gives: see `names.rs`.
    #[test]
    fn names_of_results_come_apart() {
        for (below, stem, kept, letter, style) in [
            ("lace/scarf.xlsx", "lace/scarf", None, None, None),
            ("scarf.v2.ods", "scarf.v2", None, None, None),
            ("scarf.AA.txt", "scarf", None, Some("AA"), None),
            ("scarf.uk.txt", "scarf", None, None, Some("uk")),
            ("scarf.xlsx.A.uk.txt", "scarf", Some("xlsx"), Some("A"), Some("uk")),
            ("scarf.uk.A.txt", "scarf.uk", None, Some("A"), None),
            ("scarf.A.csv.txt", "scarf", Some("csv"), Some("A"), None),
            ("scarf.uk.csv.txt", "scarf", Some("csv"), None, Some("uk")),
            ("scarf.a.txt", "scarf.a", None, None, None),
            ("A.txt", "A", None, None, None),
            (".A.txt", ".A", None, None, None),
            ("scarf", "scarf", None, None, None),
        ] {
            let name = name(below);
            let parts = (&*name.stem, name.kept.as_deref(), name.letter.as_deref(), name.style.as_deref());
            assert_eq!(parts, (stem, kept, letter, style), "{below}");
        }
    }

    #[test]
    fn partners_share_their_stem_and_contradict_each_other_in_nothing() {
        for (one, two, may) in [
            ("scarf.xlsx", "scarf.txt", true),
            ("scarf.xlsx", "scarf2.txt", false),
            ("scarf.xlsx", "lace/scarf.txt", false),
            ("Lace/Scarf.xlsx", "lace/scarf.txt", true),
            ("Mu\u{308}tze.ods", "m\u{fc}tze.md", true),
            ("scarf.xlsx", "scarf.B.uk.txt", true),
            ("scarf.A.txt", "scarf.B.txt", false),
            ("scarf.uk.txt", "scarf.aloud.txt", true),
            ("scarf.xlsx", "scarf.xlsx.txt", true),
            ("scarf.csv", "scarf.xlsx.txt", false),
            ("scarf.csv.md", "scarf.xlsx.txt", false),
            ("scarf.txt", "scarf.xlsx.txt", true),
        ] {
            assert_eq!(name(one).distance(&name(two)).is_some(), may, "{one} {two}");
            assert_eq!(name(one).distance(&name(two)), name(two).distance(&name(one)), "{one} {two}");
        }
    }

    #[cfg(unix)]
    #[test]
    fn names_that_are_no_text_are_told_apart() {
        use std::os::unix::ffi::OsStrExt;
        let [u, o] = [b"m\xfctze.csv", b"m\xf6tze.csv"]
            .map(|name| Name::of(Path::new(OsStr::from_bytes(name)), &StyleNames::built_in()));
        assert_eq!(u.distance(&o), None);
        assert!(u.distance(&name("m\u{fc}tze.txt")).is_some(), "as ISO 8859-1 has it");
    }

    #[test]
    fn the_nearest_name_has_most_in_common() {
        let order = ["scarf.txt", "Scarf.txt", "scarf.md", "scarf.uk.txt", "scarf.xlsx.txt", "scarf.A.txt"];
        let distances: Vec<_> = order.iter().map(|other| name("scarf.txt").distance(&name(other))).collect();
        assert_eq!(distances.first().copied().flatten(), Some(Distance::default()));
        assert!(distances.iter().all(Option::is_some) && distances.is_sorted(), "{distances:?}");
    }
}
