//! What a sheet says in sentences beside its charts: settings in other words than their own ("Worked in the round."),
//! how rows are worked that no chart draws ("All WS rows: Purl."), a cast-on, a multiple, a repeat. What is taken is told;
//! what can't be followed is told too.

mod columns;
mod fill;
mod find;
mod phrases;
mod says;
mod shares;
mod spoken;
mod undrawn;
mod widths;

use super::whose::Owner;
use crate::pattern::Multiple;
use crate::place::{Address, Place};
use crate::problem::{Code, Finding};
use crate::settings::{BadValue, RepeatColumns};
use crate::words::rows::label::Label;

pub(super) use columns::repeat_columns;
pub(super) use fill::{cells, fill};
pub(super) use find::{find, give_back, places};
pub(super) use phrases::{is_label, is_times, names_repeat, refers, times};
pub(super) use says::is_line;
pub(super) use shares::{for_chart, share_out};
pub(super) use spoken::spoken;
pub(super) use undrawn::{Tellings, numbers_told, undrawn};
pub(super) use widths::Widths;

use phrases::Speaks;

/// A sentence of a sheet that may be more than a note. A cell may hold several.
pub(super) struct Sentence {
    pub(super) at: Address,
    /// The cells that the text takes which it is part of: commas cut it in a csv file.
    cells: Vec<Address>,
    text: String,
    place: Place,
    says: Says,
    /// The chart that it is about; every chart of the sheet where all may share what one sentence says.
    whose: Option<Owner>,
}

/// What a sentence says.
#[derive(Clone, Default)]
struct Says {
    /// The rows it is for, and what is worked there.
    rows: Option<(Label, String)>,
    /// Settings, each with its value.
    settings: Vec<(&'static str, &'static str)>,
    /// The stitches to cast on, for each size; one where there are no sizes.
    cast_on: Vec<u32>,
    multiple: Option<Multiple>,
    /// The names of the sizes.
    sizes: Vec<String>,
    /// Whether it speaks of a repeat of stitches.
    repeat: bool,
    /// The columns of the repeat that it names.
    columns: Option<RepeatColumns>,
    /// Whether it says which way the piece grows.
    way: bool,
    /// What it speaks of that may change the rows, where it can't be followed.
    speaks: Option<&'static Speaks>,
    /// The setting that it begins as, and why it is none, where nothing else can be made of it.
    no_setting: Option<(&'static str, BadValue)>,
    /// Whether it, or the cell it stands in, says anything besides.
    more: bool,
}

impl Sentence {
    fn finding(&self, code: Code, message: String) -> Finding {
        Finding::new(code, self.place.clone(), message).found(&self.text)
    }

    /// Says that it was taken as a setting.
    fn taken(&self, name: &str, value: &str) -> Finding {
        self.finding(Code::SettingInWords, format!("\"{}\" was taken as {name} = \"{value}\".", self.text))
            .help(format!("Nothing, if that is so; the setting {name} says otherwise."))
    }

    /// Says that it was left a note although it may be more.
    fn not_followed(&self, why: &str) -> Finding {
        self.finding(Code::SentenceNotFollowed, format!("\"{}\" was kept as a note: {why}.", self.text))
    }
}
