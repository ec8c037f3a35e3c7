//! The table of settings: one entry is everything longhand knows about a setting. The settings file, the settings
//! in a sheet, the options of the command line and the page in the README all go by it.

use super::value::{self, BadValue};
use super::{Charted, FirstRow, ReturnRows, Settings, SkippedRows, Symbols};
use crate::pattern::{Hand, Side, Worked};
use crate::{style, terms};

/// The heading of the settings file that a setting stands under.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Section {
    /// `[chart]`: how a chart is to be understood.
    Chart,
    /// `[read]`: how written rows are to be understood.
    Read,
    /// `[write]`: what is written.
    Write,
}

impl Section {
    /// The heading, without its brackets.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Chart => "chart",
            Self::Read => "read",
            Self::Write => "write",
        }
    }
}

/// Where a setting may be given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Given {
    /// In the settings file, in the sheet, and in the call.
    Everywhere,
    /// In the settings file and in the call. In a sheet these names are everyday prose.
    OutsideSheets,
    /// In the sheet only.
    Sheet,
}

/// A setting.
pub struct Entry {
    /// The heading it stands under.
    pub section: Section,
    /// Its name, in the file and as an option: `cast-on`.
    pub name: &'static str,
    /// The values it takes, for people: `flat | round`.
    pub values: &'static str,
    /// What stands for a value in the help of its option: `flat|round`, `N`.
    pub blank: &'static str,
    /// What it means, a short phrase.
    pub about: &'static str,
    /// A value as the settings file has it.
    pub example: &'static str,
    /// Where it may be given.
    pub given: Given,
    /// Whether it takes several values.
    pub many: bool,
    /// Whether its name begins ordinary lines of a pattern too, "Cast on: long-tail": in a sheet such a line is no mistake.
    pub everyday: bool,
    pub(super) set: fn(&mut Settings, &[&str]) -> Result<(), BadValue>,
}

impl Entry {
    /// Whether the setting may stand in a sheet.
    pub fn in_sheet(&self) -> bool {
        self.given != Given::OutsideSheets
    }

    /// Whether the setting may stand in a settings file and be given as an option.
    pub fn in_file(&self) -> bool {
        self.given != Given::Sheet
    }

    /// Sets it from text; several values only where it takes several.
    ///
    /// # Errors
    /// Says what was found and what would be right.
    pub fn set(&self, settings: &mut Settings, values: &[&str]) -> Result<(), BadValue> {
        if !self.many && values.len() != 1 {
            return Err(BadValue::new(values.join(", "), "a single value"));
        }
        (self.set)(settings, values)
    }
}

const WORKED: value::Choices<Worked> = &[
    ("flat", &["back and forth", "in rows", "rows", "worked flat", "knit flat"], Worked::Flat),
    ("round", &["in the round", "in rounds", "rounds", "circular", "worked in the round"], Worked::Round),
];

const CHARTED: value::Choices<Charted> = &[
    ("every-row", &["every", "all rows", "every round", "all rounds", "all"], Charted::EveryRow),
    (
        "right-side",
        &[
            "right side only",
            "right side rows",
            "right side rows only",
            "rs",
            "rs only",
            "rs rows",
            "rs rows only",
        ],
        Charted::RightSide,
    ),
];

const FIRST_ROW: value::Choices<FirstRow> = &[
    ("bottom", &["at the bottom", "bottom up"], FirstRow::Bottom),
    ("top", &["at the top", "top down"], FirstRow::Top),
];

const SIDE: value::Choices<Side> = &[
    ("RS", &["right side", "right", "rs row"], Side::Rs),
    ("WS", &["wrong side", "wrong", "ws row"], Side::Ws),
];

const HAND: value::Choices<Hand> = &[
    ("right", &["right handed", "right hand"], Hand::Right),
    ("left", &["left handed", "left hand"], Hand::Left),
];

const SYMBOLS: value::Choices<Symbols> = &[
    ("right-side", &["as seen from the right side", "rs", "as they look"], Symbols::RightSide),
    ("as-worked", &["worked", "as they are worked"], Symbols::AsWorked),
];

const SKIPPED: value::Choices<SkippedRows> = &[
    ("error", &["an error"], SkippedRows::Error),
    ("knit", &["k", "knit all", "knit plain"], SkippedRows::Knit),
    ("purl", &["p", "purl all"], SkippedRows::Purl),
];

/// The formats of results, rows and charts; the writers themselves are on a higher floor, and a test compares.
pub const FORMATS: &[&str] = &["text", "markdown", "json", "csv", "xlsx"];

/// The most stitches a setting may ask for; no row of knitting is as long.
const MOST_STITCHES: u32 = 100_000;
/// The most widths of a repeat that may be written out.
const MOST_REPEATS: u32 = 1_000;

/// Every setting, in the order of the settings file.
pub const TABLE: &[Entry] = &[
    Entry {
        section: Section::Chart,
        name: "title",
        values: "any text",
        blank: "TEXT",
        about: "what the chart is called",
        example: "",
        given: Given::Sheet,
        many: false,
        everyday: false,
        set: |settings, given| value::text(given, "a title").map(|title| settings.title = Some(title)),
    },
    Entry {
        section: Section::Chart,
        name: "worked",
        values: "flat | round",
        blank: "flat|round",
        about: "worked back and forth, or in the round",
        example: "\"flat\"",
        given: Given::Everywhere,
        many: false,
        everyday: true,
        set: |settings, given| value::choose(given, WORKED).map(|worked| settings.worked = Some(worked)),
    },
    Entry {
        section: Section::Chart,
        name: "charted",
        values: "every-row | right-side",
        blank: "every-row|right-side",
        about: "whether the chart draws every row, or the right-side rows only",
        example: "\"every-row\"",
        given: Given::Everywhere,
        many: false,
        everyday: true,
        set: |settings, given| value::choose(given, CHARTED).map(|rows| settings.charted = Some(rows)),
    },
    Entry {
        section: Section::Chart,
        name: "first-row",
        values: "bottom | top",
        blank: "bottom|top",
        about: "where row 1 stands in a chart without row numbers",
        example: "\"bottom\"",
        given: Given::Everywhere,
        many: false,
        everyday: true,
        set: |settings, given| value::choose(given, FIRST_ROW).map(|row| settings.first_row = Some(row)),
    },
    Entry {
        section: Section::Chart,
        name: "first-side",
        values: "RS | WS",
        blank: "RS|WS",
        about: "whether row 1 is a right-side or a wrong-side row",
        example: "\"RS\"",
        given: Given::Everywhere,
        many: false,
        everyday: false,
        set: |settings, given| value::choose(given, SIDE).map(|side| settings.first_side = Some(side)),
    },
    Entry {
        section: Section::Chart,
        name: "hand",
        values: "right | left",
        blank: "right|left",
        about: "for a right-handed knitter, or for one who knits mirror-wise",
        example: "\"right\"",
        given: Given::Everywhere,
        many: false,
        everyday: false,
        set: |settings, given| value::choose(given, HAND).map(|hand| settings.hand = Some(hand)),
    },
    Entry {
        section: Section::Chart,
        name: "return-rows",
        values: "as-they-appear | purl | knit | a row in words: \"K3, p to last 3 sts, k3\"",
        blank: "as-they-appear|purl|knit|ROW",
        about: "how the rows that a right-side-only chart does not draw are worked",
        example: "\"as-they-appear\"",
        given: Given::Everywhere,
        many: false,
        everyday: false,
        set: |settings, given| value::return_rows(given).map(|rows| settings.return_rows = Some(rows)),
    },
    Entry {
        section: Section::Chart,
        name: "cast-on",
        values: "a number of stitches",
        blank: "N",
        about: "stitches to cast on; a chart with a repeat is written to that width",
        example: "23",
        given: Given::Everywhere,
        many: false,
        everyday: true,
        set: |settings, given| {
            value::number(given, 1, MOST_STITCHES, "a number of stitches").map(|n| settings.cast_on = Some(n))
        },
    },
    Entry {
        section: Section::Chart,
        name: "symbols",
        values: "right-side | as-worked",
        blank: "right-side|as-worked",
        about: "what the symbols of wrong-side rows show: the look from the right side, or what the hands do",
        example: "\"right-side\"",
        given: Given::Everywhere,
        many: false,
        everyday: true,
        set: |settings, given| value::choose(given, SYMBOLS).map(|symbols| settings.symbols = Some(symbols)),
    },
    Entry {
        section: Section::Chart,
        name: "skipped-rows",
        values: "error | knit | purl",
        blank: "error|knit|purl",
        about: "what the rows are that the chart's numbers leave out",
        example: "\"error\"",
        given: Given::Everywhere,
        many: false,
        everyday: false,
        set: |settings, given| value::choose(given, SKIPPED).map(|rows| settings.skipped_rows = Some(rows)),
    },
    Entry {
        section: Section::Chart,
        name: "repeat-columns",
        values: "the first and last column of the repeat: 3-8",
        blank: "A-B",
        about: "the repeat, as the chart numbers its columns, from the right",
        example: "\"3-8\"",
        given: Given::Everywhere,
        many: false,
        everyday: false,
        set: |settings, given| value::columns(given).map(|columns| settings.repeat_columns = Some(columns)),
    },
    Entry {
        section: Section::Chart,
        name: "sizes",
        values: "names and numbers: S = 3, M = 4, L = 5",
        blank: "S=N",
        about: "how often the repeat is worked in each size",
        example: "{ S = 3, M = 4, L = 5 }",
        given: Given::Everywhere,
        many: true,
        everyday: true,
        set: |settings, given| value::sizes(given, MOST_STITCHES).map(|sizes| settings.sizes = Some(sizes)),
    },
    Entry {
        section: Section::Read,
        name: "terms",
        values: "a name that \"longhand list terms\" gives, or a file",
        blank: "NAME|FILE",
        about: "the vocabulary of written rows",
        example: "\"us\"",
        given: Given::OutsideSheets,
        many: false,
        everyday: false,
        set: |settings, given| {
            let names = terms::built_in().iter().map(|terms| terms.name.as_str());
            value::named(given, names.collect()).map(|terms| settings.terms = terms.into_iter().next())
        },
    },
    Entry {
        section: Section::Write,
        name: "style",
        values: "a name that \"longhand list styles\" gives, or a file; several in [ ]",
        blank: "NAME|FILE",
        about: "the house style of the written rows",
        example: "\"abbreviated\"",
        given: Given::OutsideSheets,
        many: true,
        everyday: false,
        set: |settings, given| {
            let names = style::built_in().iter().map(|style| style.name.as_str());
            value::named(given, names.collect()).map(|styles| settings.styles = Some(styles))
        },
    },
    Entry {
        section: Section::Write,
        name: "to",
        values: "text | markdown | json for rows; csv | xlsx | json for charts; several in [ ]",
        blank: "FORMAT",
        about: "the format of what is written",
        example: "[\"text\"]",
        given: Given::OutsideSheets,
        many: true,
        everyday: false,
        set: |settings, given| value::words(given, FORMATS).map(|to| settings.to = Some(to)),
    },
    Entry {
        section: Section::Write,
        name: "repeats",
        values: "a number",
        blank: "N",
        about: "widths of the repeat written out where no cast-on is known",
        example: "2",
        given: Given::Everywhere,
        many: false,
        everyday: false,
        set: |settings, given| {
            value::number(given, 1, MOST_REPEATS, "a number of repeats").map(|n| settings.repeats = Some(n))
        },
    },
    Entry {
        section: Section::Write,
        name: "longest-float",
        values: "a number of stitches",
        blank: "N",
        about: "the longest strand carried behind the work in colour knitting",
        example: "5",
        given: Given::Everywhere,
        many: false,
        everyday: false,
        set: |settings, given| {
            value::number(given, 1, MOST_STITCHES, "a number of stitches")
                .map(|n| settings.longest_float = Some(n))
        },
    },
];

/// The words of [`ReturnRows`] that name one way for all loops.
pub(super) const RETURN_ROWS: value::Choices<ReturnRows> = &[
    (
        "as-they-appear",
        &[
            "as they show",
            "knit the knits and purl the purls",
            "knit the knits, purl the purls",
            "k the k and p the p",
            "k the knits and p the purls",
            "k the knits, p the purls",
        ],
        ReturnRows::AsTheyAppear,
    ),
    (
        "purl",
        &[
            "p",
            "purl all",
            "purl across",
            "purl to end",
            "p to end",
            "purl every stitch",
            "purl all stitches",
            "purl all sts",
        ],
        ReturnRows::Purl,
    ),
    (
        "knit",
        &[
            "k",
            "knit all",
            "knit across",
            "knit to end",
            "k to end",
            "knit every stitch",
            "knit all stitches",
            "knit all sts",
        ],
        ReturnRows::Knit,
    ),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::named;

    #[test]
    fn names_are_plain_and_stand_once() {
        for (index, entry) in TABLE.iter().enumerate() {
            assert!(entry.name.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{}", entry.name);
            assert!(TABLE.iter().skip(index + 1).all(|other| other.name != entry.name), "{}", entry.name);
            assert!(!entry.about.is_empty() && !entry.values.is_empty(), "{}", entry.name);
            assert!(named(entry.name).is_some_and(|found| found.name == entry.name));
        }
    }

    /// What the help offers as a value is one.
    #[test]
    fn the_values_offered_are_accepted() {
        for name in ["worked", "charted", "first-row", "first-side", "hand", "symbols", "skipped-rows"] {
            let entry = named(name).unwrap();
            for value in entry.values.split(" | ") {
                assert_eq!(entry.set(&mut Settings::default(), &[value]), Ok(()), "{name} = {value}");
            }
        }
    }
}
