//! The JSON as it stands: field by field, in the order it is written.

use serde::{Deserialize, Serialize};

use crate::pattern;
use crate::problem;

/// A pattern. `R` is a row and `F` a finding: rows are read one by one, findings are not read again.
#[derive(Debug, Deserialize, Serialize)]
pub(super) struct Document<R, F> {
    /// `longhand.pattern/1`.
    pub(super) format: String,
    /// What the pattern is called; the file's name unless said.
    #[serde(default)]
    pub(super) title: Option<String>,
    /// The file it comes from; the JSON itself unless said.
    #[serde(default)]
    pub(super) source: Option<String>,
    /// Letter of the chart in its file.
    #[serde(default)]
    pub(super) chart: Option<String>,
    /// Flat or in the round.
    pub(super) worked: Worked,
    /// Only said of a pattern for left-handed knitters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) hand: Option<Hand>,
    /// Stitches to cast on; what the first row uses unless said.
    #[serde(default)]
    pub(super) cast_on: Option<u32>,
    /// The widths it can have.
    #[serde(default)]
    pub(super) multiple: Option<Multiple>,
    /// Its sizes.
    #[serde(default = "Vec::new", skip_serializing_if = "Vec::is_empty")]
    pub(super) sizes: Vec<Size>,
    /// The designer's notes.
    #[serde(default = "Vec::new", skip_serializing_if = "Vec::is_empty")]
    pub(super) notes: Vec<String>,
    /// The stitches of the designer's own that its rows work.
    #[serde(default = "Vec::new", skip_serializing_if = "Vec::is_empty")]
    pub(super) own_stitches: Vec<Own>,
    /// The rows in the order they are worked.
    pub(super) rows: Vec<R>,
    /// What was found on the way.
    #[serde(default = "Vec::new")]
    pub(super) findings: Vec<F>,
}

/// One row or round.
#[derive(Debug, Deserialize, Serialize)]
pub(super) struct Row {
    /// Its number.
    pub(super) number: u32,
    /// The side that faces the knitter.
    pub(super) side: Side,
    /// Whether the chart draws it.
    #[serde(default = "yes")]
    pub(super) charted: bool,
    /// Loops it uses; proved against the stitches where said.
    #[serde(default)]
    pub(super) uses: Option<u32>,
    /// Loops it makes; proved against the stitches where said.
    #[serde(default)]
    pub(super) makes: Option<u32>,
    /// Every stitch by its name, in the order worked.
    pub(super) stitches: Vec<String>,
    /// The colour of each stitch, in colour work; null where a stitch has none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) colours: Option<Vec<Option<String>>>,
    /// The same folded; proved against the stitches where said.
    #[serde(default)]
    pub(super) work: Option<Vec<Work>>,
    /// Which of its stitches are the repeat of the pattern; proved against them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) repeat: Option<Repeat>,
    /// Where it stands in its file.
    #[serde(rename = "where", default)]
    pub(super) place: Option<Place>,
    /// The count that the source gives.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) stated: Option<u32>,
}

fn yes() -> bool {
    true
}

/// The repeat of a pattern in a row, by its stitches as worked.
#[derive(Clone, Copy, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Repeat {
    /// How many stitches stand before it.
    pub(super) start: usize,
    /// Stitches of one working.
    pub(super) length: usize,
    /// How often it is worked.
    pub(super) times: usize,
}

/// A run of one stitch, or a repeat of several pieces.
#[derive(Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Work {
    /// The stitch of a run.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) stitch: Option<String>,
    /// The colour of a run, in colour work.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) colour: Option<String>,
    /// The pieces of a repeat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) repeat: Option<Vec<Work>>,
    /// How often.
    pub(super) times: u32,
}

impl From<pattern::RowRepeat> for Repeat {
    fn from(repeat: pattern::RowRepeat) -> Self {
        Self { start: repeat.start, length: repeat.length, times: repeat.times }
    }
}

impl From<Repeat> for pattern::RowRepeat {
    fn from(repeat: Repeat) -> Self {
        Self { start: repeat.start, length: repeat.length, times: repeat.times }
    }
}

impl Work {
    pub(super) fn run(stitch: &str, colour: Option<&str>, times: u32) -> Self {
        Self { stitch: Some(stitch.to_owned()), colour: colour.map(str::to_owned), repeat: None, times }
    }
}

/// Where a row or a finding is: cells of a sheet, a line of a text or csv file, a sheet, or a file.
#[derive(Debug, Deserialize, Serialize)]
pub(super) struct Place {
    /// The file as the user gave it.
    pub(super) file: String,
    /// Name of the sheet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) sheet: Option<String>,
    /// The cells, `B7:K7` or `B7`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) cells: Option<String>,
    /// The line, from 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) line: Option<u32>,
    /// The field (csv) or character (text), from 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) column: Option<u32>,
}

/// "Multiple of `of` + `plus`".
#[derive(Clone, Copy, Debug, Deserialize, Serialize)]
pub(super) struct Multiple {
    /// Stitches of one repeat.
    pub(super) of: u32,
    /// Stitches outside the repeats.
    pub(super) plus: u32,
}

/// A size.
#[derive(Clone, Debug, Deserialize, Serialize)]
pub(super) struct Size {
    /// Its name.
    pub(super) name: String,
    /// How often the repeat is worked.
    pub(super) times: u32,
    /// Stitches to cast on.
    pub(super) cast_on: u32,
}

/// A stitch of the designer's own, as a settings file describes it.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Own {
    /// Its name in the rows.
    pub(super) name: String,
    /// Loops it uses.
    pub(super) uses: u32,
    /// Loops it makes.
    pub(super) makes: u32,
    /// Its abbreviation, the name unless said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) short: Option<String>,
    /// Spelled out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) long: Option<String>,
    /// How it is worked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) explain: Option<String>,
    /// The stitch worked instead on the wrong side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) ws: Option<String>,
    /// The stitch worked instead by a left-handed knitter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) mirror: Option<String>,
    /// A letter for each loop it makes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) faces: Option<String>,
    /// Its width in a chart.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) cells: Option<u32>,
}

/// `flat` or `round`.
#[derive(Clone, Copy, Debug, Deserialize, Serialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Worked {
    Flat,
    Round,
}

/// `right` or `left`.
#[derive(Clone, Copy, Debug, Deserialize, Serialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Hand {
    Right,
    Left,
}

/// `RS` or `WS`.
#[derive(Clone, Copy, Debug, Deserialize, Serialize)]
#[serde(rename_all = "UPPERCASE")]
pub(super) enum Side {
    Rs,
    Ws,
}

/// A finding; every field is always there.
#[derive(Debug, Serialize)]
pub(super) struct Finding<'f> {
    code: &'static str,
    severity: &'static str,
    #[serde(rename = "where")]
    place: Place,
    row: Option<u32>,
    found: Option<&'f str>,
    expected: Option<&'f str>,
    message: &'f str,
    help: &'f str,
}

impl<'f> From<&'f problem::Finding> for Finding<'f> {
    fn from(finding: &'f problem::Finding) -> Self {
        Self {
            code: finding.code.name(),
            severity: finding.severity().word(),
            place: Place::from(&finding.place),
            row: finding.row,
            found: finding.found.as_deref(),
            expected: finding.expected.as_deref(),
            message: &finding.message,
            help: &finding.help,
        }
    }
}

/// Two enums of the same words.
macro_rules! same_words {
    ($($name:ident { $($word:ident),* })*) => {$(
        impl From<pattern::$name> for $name {
            fn from(word: pattern::$name) -> Self {
                match word { $(pattern::$name::$word => Self::$word,)* }
            }
        }

        impl From<$name> for pattern::$name {
            fn from(word: $name) -> Self {
                match word { $($name::$word => Self::$word,)* }
            }
        }
    )*};
}

same_words! {
    Worked { Flat, Round }
    Hand { Right, Left }
    Side { Rs, Ws }
}

impl From<pattern::Multiple> for Multiple {
    fn from(multiple: pattern::Multiple) -> Self {
        Self { of: multiple.of, plus: multiple.plus }
    }
}

impl From<Multiple> for pattern::Multiple {
    fn from(multiple: Multiple) -> Self {
        Self { of: multiple.of, plus: multiple.plus }
    }
}

impl From<&pattern::Size> for Size {
    fn from(size: &pattern::Size) -> Self {
        Self { name: size.name.clone(), times: size.times, cast_on: size.cast_on }
    }
}

impl From<Size> for pattern::Size {
    fn from(size: Size) -> Self {
        Self { name: size.name, times: size.times, cast_on: size.cast_on }
    }
}
