//! Settings: how a chart is to be understood and written, from settings files, from the sheet, from the call.
//!
//! Every source gives a [`Settings`] with only what it says; [`Settings::over`] lays one over another.

mod file;
mod table;
mod value;

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;
use std::sync::{Arc, LazyLock};

use crate::nearest::nearest;
use crate::pattern::{Hand, Side, Worked, often};
use crate::place::Place;
use crate::problem::{Code, Finding};
use crate::stitch::OwnStitch;

pub use table::{Entry, FORMATS, Given, Section, TABLE};
pub use value::{BadValue, is_file_name};

/// Which rows the chart draws.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Charted {
    /// Every row.
    EveryRow,
    /// Right-side rows only; the return rows are derived.
    RightSide,
}

/// Where row 1 stands in a chart without row numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FirstRow {
    /// At the bottom, as usual.
    Bottom,
    /// At the top.
    Top,
}

/// How return rows that the chart does not draw are worked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ReturnRows {
    /// Each loop by its face.
    AsTheyAppear,
    /// Purled.
    Purl,
    /// Knitted.
    Knit,
    /// As a sentence says: "K3, p to last 3 sts, k3".
    Stated(String),
}

/// What the symbols of WS rows show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Symbols {
    /// The look from the right side.
    RightSide,
    /// What the hands do.
    AsWorked,
}

/// What rows left out of the chart's numbers are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SkippedRows {
    /// A finding.
    Error,
    /// Knit rows, as worked.
    Knit,
    /// Purl rows, as worked.
    Purl,
}

/// The repeat of a chart, in the chart's own column numbers, counted from the right.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RepeatColumns {
    /// The lower number.
    pub first: u32,
    /// The higher number.
    pub last: u32,
}

impl fmt::Display for RepeatColumns {
    /// "columns 3-8", "column 5".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.first == self.last {
            true => write!(f, "column {}", self.first),
            false => write!(f, "columns {}-{}", self.first, self.last),
        }
    }
}

/// What a key says of one symbol.
#[derive(Clone, Debug, PartialEq)]
pub struct KeyEntry {
    /// The symbol as typed; empty for a blank cell; `fill:D9D9D9` for the colour of a cell.
    pub symbol: String,
    /// What it stands for.
    pub meaning: Meaning,
    /// Where the entry stands.
    pub place: Place,
}

/// What a symbol stands for, in names or words of stitches not yet looked up.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Meaning {
    /// The stitch it shows from the RS: "k", "yarn over", "K on RS, P on WS".
    pub stitch: Option<String>,
    /// What the hands do on RS rows.
    pub rs: Option<String>,
    /// What the hands do on WS rows.
    pub ws: Option<String>,
    /// What the hands do where it is the first stitch of an RS row.
    pub rs_first: Option<String>,
    /// What the hands do where it is the last stitch of an RS row.
    pub rs_last: Option<String>,
    /// What the hands do where it is the first stitch of a WS row.
    pub ws_first: Option<String>,
    /// What the hands do where it is the last stitch of a WS row.
    pub ws_last: Option<String>,
    /// The colour it is worked in.
    pub colour: Option<String>,
}

/// What one source of settings says; `None` and empty where it is silent.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Settings {
    /// The title; only said in sheets.
    pub title: Option<String>,
    /// Flat or in the round.
    pub worked: Option<Worked>,
    /// Which rows are drawn.
    pub charted: Option<Charted>,
    /// Where row 1 stands.
    pub first_row: Option<FirstRow>,
    /// The side of row 1.
    pub first_side: Option<Side>,
    /// The knitter's hand.
    pub hand: Option<Hand>,
    /// The return rows.
    pub return_rows: Option<ReturnRows>,
    /// Stitches to cast on.
    pub cast_on: Option<u32>,
    /// What the symbols of WS rows show.
    pub symbols: Option<Symbols>,
    /// What rows left out are.
    pub skipped_rows: Option<SkippedRows>,
    /// The repeat.
    pub repeat_columns: Option<RepeatColumns>,
    /// The sizes: name and times the repeat is worked.
    pub sizes: Option<Vec<(String, u32)>>,
    /// Key entries of this source, in its order.
    pub key: Arc<Vec<KeyEntry>>,
    /// Stitches of the designer's own.
    pub stitches: Vec<OwnStitch>,
    /// Vocabulary of written rows.
    pub terms: Option<String>,
    /// House styles to write in.
    pub styles: Option<Vec<String>>,
    /// Formats to write.
    pub to: Option<Vec<String>>,
    /// Widths of the repeat written out where no cast-on is known.
    pub repeats: Option<u32>,
    /// Longest float in stitches, colour work.
    pub longest_float: Option<u32>,
    /// Where the settings stand that the sheet itself states, by name.
    pub places: BTreeMap<&'static str, Place>,
}

impl Settings {
    /// What a settings file says, and what is wrong with it. Wrong settings are left out; the others hold.
    pub fn parse(file: &Arc<str>, text: &str) -> (Self, Vec<Finding>) {
        file::parse(file, text)
    }

    /// These settings laid over others: what these say wins, key by key. A symbol explained here hides the entry
    /// for the same symbol below; so does an own stitch of the same name.
    #[must_use]
    pub fn over(&self, below: &Self) -> Self {
        let mut key = Arc::clone(if self.key.is_empty() { &below.key } else { &self.key });
        if !self.key.is_empty() && !below.key.is_empty() {
            let new = |entry: &&KeyEntry| !self.key.iter().any(|own| own.symbol == entry.symbol);
            Arc::make_mut(&mut key).extend(below.key.iter().filter(new).cloned());
        }
        let mut stitches = self.stitches.clone();
        stitches.extend(
            below
                .stitches
                .iter()
                .filter(|below| !self.stitches.iter().any(|own| own.name == below.name))
                .cloned(),
        );
        Self {
            title: self.title.clone().or_else(|| below.title.clone()),
            worked: self.worked.or(below.worked),
            charted: self.charted.or(below.charted),
            first_row: self.first_row.or(below.first_row),
            first_side: self.first_side.or(below.first_side),
            hand: self.hand.or(below.hand),
            return_rows: self.return_rows.clone().or_else(|| below.return_rows.clone()),
            cast_on: self.cast_on.or(below.cast_on),
            symbols: self.symbols.or(below.symbols),
            skipped_rows: self.skipped_rows.or(below.skipped_rows),
            repeat_columns: self.repeat_columns.or(below.repeat_columns),
            sizes: self.sizes.clone().or_else(|| below.sizes.clone()),
            key,
            stitches,
            terms: self.terms.clone().or_else(|| below.terms.clone()),
            styles: self.styles.clone().or_else(|| below.styles.clone()),
            to: self.to.clone().or_else(|| below.to.clone()),
            repeats: self.repeats.or(below.repeats),
            longest_float: self.longest_float.or(below.longest_float),
            places: below
                .places
                .iter()
                .chain(&self.places)
                .map(|(name, place)| (*name, place.clone()))
                .collect(),
        }
    }
}

impl Settings {
    /// Those of these settings that a call leaves standing: who asks for a cast-on wants that width alone, and sizes that are
    /// asked for have their own.
    #[must_use]
    pub(crate) fn left_by(&self, call: &Self) -> Cow<'_, Self> {
        let mut left = match (call.cast_on, &call.sizes) {
            (Some(_), None) => Self { sizes: None, ..self.clone() },
            (None, Some(_)) => Self { cast_on: None, ..self.clone() },
            _ => return Cow::Borrowed(self),
        };
        left.places.remove(if left.sizes.is_none() { "sizes" } else { "cast-on" });
        Cow::Owned(left)
    }
}

/// Says that the first size, which works the repeat `times` times on `width` stitches, is not that of the cast-on that is
/// set.
pub(crate) fn sizes_disagree(place: Place, times: u32, width: u32, cast_on: u32) -> Finding {
    Finding::new(
        Code::SettingsDisagree,
        place,
        format!(
            "The first size works the repeat {}, which takes {width} sts, but the cast-on is {cast_on}.",
            often(times)
        ),
    )
    .found(format!("{cast_on} sts"))
    .expected(format!("{width} sts"))
    .help("Leave cast-on out where sizes are given, or correct one of the two.")
}

/// Whether the setting of this name has a value.
pub fn is_stated(settings: &Settings, name: &str) -> bool {
    let mut stated = Settings::default();
    let example = |entry: &Entry| entry.set(&mut stated, &[entry.example.trim_matches('"')]).is_ok();
    // Laid over one that is stated, an example changes nothing.
    named(name).is_some_and(example) && settings.over(&stated) == *settings
}

/// The setting of this name, as the settings file and the options write it.
pub fn named(name: &str) -> Option<&'static Entry> {
    TABLE.iter().find(|entry| entry.name == name)
}

/// Gives a setting a value as text, as an option of the command line does.
///
/// # Errors
/// Says what was found and what would be right, also where no setting has this name.
pub fn set(settings: &mut Settings, name: &str, value: &str) -> Result<(), BadValue> {
    let names = || TABLE.iter().filter(|entry| entry.in_file()).map(|entry| entry.name);
    match named(name) {
        Some(entry) => entry.set(settings, &[value]),
        None => Err(BadValue {
            found: name.to_owned(),
            expected: value::either(names()),
            nearest: nearest(name, names()).map(str::to_owned),
        }),
    }
}

/// Applies a `name: value` that stands in a sheet, in one cell or in two. Names are those of the settings file with
/// spaces or hyphens, in any case: "Cast on", "cast-on". `None` means that the name is no setting: prose.
pub fn in_sheet(settings: &mut Settings, name: &str, value: &str) -> Option<Result<(), BadValue>> {
    let entry = sheet_entry(name)?;
    Some(entry.set(settings, &[value]))
}

/// The names that settings have in a sheet, made plain.
struct SheetNames {
    entries: Vec<(String, &'static Entry)>,
    shortest: usize,
    longest: usize,
}

static SHEET_NAMES: LazyLock<SheetNames> = LazyLock::new(|| {
    let said = TABLE.iter().filter(|entry| entry.in_sheet());
    let entries: Vec<(String, &Entry)> = said.map(|entry| (value::plain(entry.name), entry)).collect();
    let lengths = || entries.iter().map(|(name, _)| name.len());
    let (shortest, longest) = (lengths().min().unwrap_or_default(), lengths().max().unwrap_or_default());
    SheetNames { entries, shortest, longest }
});

/// The setting that a name in a sheet means: "Cast on", "CAST-ON", "Return rows:".
pub fn sheet_entry(name: &str) -> Option<&'static Entry> {
    let SheetNames { entries, shortest, longest } = &*SHEET_NAMES;
    let letters = || name.chars().filter(|c| c.is_alphanumeric()).count();
    if name.len() < *shortest || letters() > *longest {
        return None;
    }
    let wanted = value::plain(name.trim().trim_end_matches(':'));
    entries.iter().find(|(name, _)| *name == wanted).map(|(_, entry)| *entry)
}

/// The setting that the text of a cell names, with its value where that stands behind a colon: "Cast on", "Cast on: 23".
pub fn in_cell(text: &str) -> Option<(&'static Entry, Option<&str>)> {
    // Every cell of a chart is asked for, and no symbol is as long as any name.
    if text.len() < SHEET_NAMES.shortest {
        return None;
    }
    match name_and_value(text) {
        Some((name, value)) => Some((sheet_entry(name)?, Some(value))),
        None => Some((sheet_entry(text)?, None)),
    }
}

/// Splits the text of a cell at its first colon: "Cast on: 23" is ("Cast on", "23"). `None` without a colon, and
/// where either side is blank.
pub fn name_and_value(text: &str) -> Option<(&str, &str)> {
    let (name, value) = text.split_once(':')?;
    let (name, value) = (name.trim(), value.trim());
    (!name.is_empty() && !value.is_empty()).then_some((name, value))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(lines: &[&str]) -> Settings {
        let mut settings = Settings::default();
        for line in lines {
            let (name, value) = name_and_value(line).unwrap();
            in_sheet(&mut settings, name, value).unwrap().unwrap();
        }
        settings
    }

    #[test]
    fn a_sheet_says_settings_in_plain_words() {
        let said = sheet(&[
            "Cast on: 23 sts",
            "WORKED: In the round",
            "first-side: WS",
            "Return rows: K3, p to last 3 sts, k3",
            "Repeat columns: 3-8",
            "Sizes: S = 3, M = 4",
            "Title: Sand Ripple",
            "Hand: left-handed",
        ]);
        let expected = Settings {
            title: Some("Sand Ripple".to_owned()),
            worked: Some(Worked::Round),
            first_side: Some(Side::Ws),
            hand: Some(Hand::Left),
            return_rows: Some(ReturnRows::Stated("K3, p to last 3 sts, k3".to_owned())),
            cast_on: Some(23),
            repeat_columns: Some(RepeatColumns { first: 3, last: 8 }),
            sizes: Some(vec![("S".to_owned(), 3), ("M".to_owned(), 4)]),
            ..Settings::default()
        };
        assert_eq!(said, expected);
    }

    #[test]
    fn prose_in_a_sheet_is_no_setting() {
        for name in ["Yarn", "Needles", "Style", "To", "Terms", "Caston and on"] {
            assert!(in_sheet(&mut Settings::default(), name, "anything").is_none(), "{name}");
        }
    }

    #[test]
    fn a_wrong_value_names_the_right_ones() {
        let bad = set(&mut Settings::default(), "worked", "flatt").unwrap_err();
        assert_eq!(bad.expected, "\"flat\" or \"round\"");
        assert_eq!(bad.nearest.as_deref(), Some("flat"));
        let bad = set(&mut Settings::default(), "caston", "23").unwrap_err();
        assert_eq!(bad.nearest.as_deref(), Some("cast-on"));
    }

    #[test]
    fn the_nearer_settings_win_key_by_key() {
        let mut near = Settings::default();
        set(&mut near, "hand", "left").unwrap();
        let mut far = Settings::default();
        set(&mut far, "hand", "right").unwrap();
        set(&mut far, "cast-on", "23").unwrap();
        let both = near.over(&far);
        assert_eq!((both.hand, both.cast_on), (Some(Hand::Left), Some(23)));
    }
}
