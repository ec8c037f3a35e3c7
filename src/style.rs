//! House styles: how written rows are worded. A style is data, `style/NAME.toml`; a user's own is read from a file
//! of the same form, which only says what differs from the style it is `like`.
//!
//! The built-in styles, their texts line by line, are described in their files. Writers take every printed word
//! and mark from here.

mod load;
mod template;

use std::sync::{Arc, LazyLock, OnceLock};

use serde::Deserialize;

pub use self::template::{Template, Value};
use crate::pattern::Side;
use crate::problem::Finding;
use crate::stitch::Terms;
use crate::tables::table;

/// Whether stitches are abbreviated.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Wording {
    /// `k2tog`.
    Short,
    /// "knit 2 together".
    Long,
}

/// How numbers are printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Numbers {
    /// `23`.
    Digits,
    /// "twenty-three".
    Words,
}

/// How the work of a row begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Case {
    /// With a capital.
    Capital,
    /// As the words are.
    Lower,
    /// With a capital, as does every sentence after it.
    Sentences,
}

/// After which rows the stitches are counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum When {
    /// After none.
    Never,
    /// Where the count differs from that of the row before.
    Changes,
    /// After every row.
    Every,
}

/// How a yarn over is called.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum YarnOvers {
    /// By one word.
    Plain,
    /// By the stitches on either side: yfwd, yrn, yon. A repeat is folded only where the word is right in every
    /// working.
    ByPosition,
}

/// How return rows are told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ReturnLines {
    /// Each on a line of its own.
    Each,
    /// Those that are worked alike in one sentence, the others on lines of their own.
    OneSentence,
}

/// How rows are told whose words stand in rows before.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RecurringRows {
    /// By the numbers of the rows they are like: "Rows 9-16: Rep Rows 1-8", "Rows 3-8: Knit".
    ReferredTo,
    /// Row by row, so that whoever listens never has to look back.
    WrittenOut,
}

/// How the repeat of a row is ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Repeats {
    /// By the stitches that are left, so that the text serves every width and size.
    Open,
    /// By a number of workings, which is right for the stated cast-on. A row of one stitch stays open, and so does
    /// a pattern with sizes, where the numbers differ.
    Counted,
}

/// What rows are to be folded into before they are worded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Fold {
    /// The words for yarn overs.
    pub yarn_overs: YarnOvers,
    /// One sentence for the return rows, or a line each.
    pub return_rows: ReturnLines,
    /// Rows that recur by number, or a line each.
    pub recurring_rows: RecurringRows,
    /// How repeats end.
    pub repeats: Repeats,
    /// How many repeats may stand inside each other; 1 for none inside another.
    pub nesting: u8,
}

/// The lines before the rows.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Head {
    /// The title of a pattern that has none.
    pub untitled: String,
    /// Said of flat knitting.
    pub flat: String,
    /// Said of knitting in the round.
    pub round: String,
    /// Said of a pattern for left-handed knitters.
    pub left: String,
    /// The names of the sizes: `{sizes}`.
    pub sizes: Template,
    /// What differs by size: `{first}` and `{rest}`.
    pub sized: Template,
    /// Between those of the `{rest}`.
    pub sized_between: String,
    /// The multiple, `{of}` and `{plus}`.
    pub multiple: Template,
    /// The multiple where nothing stands outside the repeats.
    pub multiple_even: Template,
    /// Stitches to cast on, `{n}`.
    pub cast_on: Template,
    /// The names of the colours, in colour work: `{colours}`.
    pub colours: Template,
    /// A colour of them whose `{abbreviation}` stands in the rows beside its `{name}`.
    pub colour: Template,
    /// The same, where the name holds marks that part names or the words of a row.
    pub colour_apart: Template,
    /// Between two of them.
    pub colours_between: String,
    /// The same where the name of one holds that.
    pub colours_apart: String,
    /// Heading of the designer's notes.
    pub notes: String,
    /// Heading of the rows; none where empty.
    pub rows: String,
}

/// How rows are called; `{n}` is the number, or the numbers.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Labels {
    /// One row, with its `{side}`.
    pub row: Template,
    /// One round.
    pub round: Template,
    /// The row before row 1, with its `{side}`.
    pub set_up_row: Template,
    /// The round before round 1.
    pub set_up_round: Template,
    /// Rows one after another.
    pub rows: Template,
    /// Rounds one after another.
    pub rounds: Template,
    /// Two rows before all others, the `{first}` with its `{side}` and the `{last}`.
    pub first_two: Template,
    /// The same for more than two.
    pub first_rows: Template,
    /// Between the first and the last of several.
    pub to: String,
    /// A row and all of its `{kind}`, but for the `{except}`.
    pub every_row: Template,
    /// A round and all of its `{kind}`, but for the `{except}`.
    pub every_round: Template,
    /// The rows that a sentence for many does not hold for.
    pub except_row: Template,
    /// The same of rounds.
    pub except_round: Template,
    /// Between two numbers.
    pub between: String,
    /// Between the last two numbers.
    pub last_between: String,
}

/// The sides as a row is labelled with them.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sides {
    /// Right side.
    pub rs: String,
    /// Wrong side.
    pub ws: String,
}

impl Sides {
    /// The words for a side.
    pub fn of(&self, side: Side) -> &str {
        match side {
            Side::Rs => &self.rs,
            Side::Ws => &self.ws,
        }
    }
}

/// Kinds of rows, "all ... rows".
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Kinds {
    /// Right-side rows.
    pub rs: String,
    /// Wrong-side rows.
    pub ws: String,
    /// Even-numbered rounds.
    pub even: String,
    /// Odd-numbered rounds.
    pub odd: String,
}

/// The work of a row.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Work {
    /// Between two pieces.
    pub between: String,
    /// Between two pieces, the second a repeat.
    pub before_repeat: String,
    /// Between two pieces, the first a repeat.
    pub after_repeat: String,
    /// After the last piece.
    pub end: String,
    /// A row without stitches.
    pub empty: String,
    /// A `{stitch}` worked in a `{colour}`.
    pub coloured: Template,
    /// A `{stitch}` worked in a `{colour}` `{until}` few enough are left.
    pub coloured_to: Template,
    /// The `{items}` of a row that is worked in one `{colour}`.
    pub in_colour: Template,
    /// A `{colour}` whose name is a number.
    pub colour_number: Template,
    /// A `{stitch}` worked `{until}` few enough are left.
    pub run_to: Template,
    /// A `{stitch}` that has no word for several, worked a number of `{times}`; empty where it is worded as a repeat.
    pub run_times: Template,
    /// `{items}` worked `{until}` few enough are left.
    pub open: Template,
    /// The same inside another repeat.
    pub open_inside: Template,
    /// `{items}` worked a number of `{times}`.
    pub fixed: Template,
    /// The same inside an open repeat.
    pub fixed_in_open: Template,
    /// The same deeper inside.
    pub fixed_inside: Template,
    /// Until no stitch is left.
    pub to_end: String,
    /// Until one stitch is left.
    pub to_last_one: String,
    /// Until `{n}` stitches are left.
    pub to_last: Template,
    /// One time.
    pub once: String,
    /// Two times.
    pub twice: String,
    /// `{n}` times.
    pub times: Template,
}

/// Rows told by the rows before that they are like, or by the name of their fabric.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct AgainWords {
    /// Stocking stitch, by its `{first}` row.
    pub stocking: Template,
    /// Reverse stocking stitch.
    pub reverse: Template,
    /// `{first}`: a knit row.
    pub knit: String,
    /// `{first}`: a purl row.
    pub purl: String,
    /// By one row.
    pub as_row: Template,
    /// By one round.
    pub as_round: Template,
    /// By several rows.
    pub rep_rows: Template,
    /// By several rounds.
    pub rep_rounds: Template,
    /// How often, where it is more than once.
    pub times: Template,
    /// What grows in each working, `{more}`.
    pub growing: Template,
    /// Between two things that grow.
    pub between: String,
    /// Some `{runs}` get so many stitches more, `{by}`.
    pub run_more: Template,
    /// The same with fewer.
    pub run_fewer: Template,
    /// A `{run}`; `{which}` of the row or rows, `{of}`.
    pub run: Template,
    /// A repeat is worked so many `{times}` more.
    pub repeat_more: Template,
    /// The same with fewer.
    pub repeat_fewer: Template,
    /// `{which}`: the only one.
    pub the: String,
    /// `{which}`: all of several.
    pub each: String,
    /// `{which}`: some of several, by their place.
    pub some: Template,
    /// The rows it is in.
    pub of_rows: Template,
    /// The rounds it is in.
    pub of_rounds: Template,
}

/// The count after a row.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Count {
    /// After which rows.
    pub when: When,
    /// How it is worded, with the space before it: `{n}`.
    pub words: Template,
    /// The same where it differs by size.
    pub by_size: Template,
}

/// The list of the abbreviations used.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct List {
    /// Its heading.
    pub heading: String,
    /// One entry: `{term}` and `{meaning}`.
    pub entry: Template,
    /// Heading of the terms where the list is a table.
    pub term: String,
    /// Heading of the meanings where the list is a table.
    pub meaning: String,
    /// Abbreviations that are not stitches, listed where one of their words stands in the text.
    pub frame: Vec<FrameTerm>,
}

/// An abbreviation that is not a stitch.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct FrameTerm {
    /// As it is listed.
    pub term: String,
    /// The words that show it is used.
    pub words: Vec<String>,
    /// What it means.
    pub meaning: String,
}

/// A house style.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Style {
    /// Its name, as chosen by `--style` and used in the names of files.
    pub name: String,
    /// What it is, one line.
    pub about: String,
    /// US or UK terms.
    pub terms: Terms,
    /// Abbreviated or spelled out.
    pub wording: Wording,
    /// Digits or words.
    pub numbers: Numbers,
    /// Capitals.
    pub case: Case,
    /// What rows are folded into.
    pub fold: Fold,
    /// The lines before the rows.
    pub head: Head,
    /// How rows are called.
    pub label: Labels,
    /// The sides.
    pub sides: Sides,
    /// Kinds of rows.
    pub kinds: Kinds,
    /// The work of a row.
    pub work: Work,
    /// Rows told by others.
    pub again: AgainWords,
    /// The count after a row.
    pub count: Count,
    /// The list of abbreviations.
    pub list: List,
}

/// The built-in styles, each with its table. A style comes after the one it is like.
const SOURCES: &[(&str, &str)] = &[
    ("abbreviated", table!("style/abbreviated")),
    ("bracketed", table!("style/bracketed")),
    ("uk", table!("style/uk")),
    ("right-side", table!("style/right-side")),
    ("spelled-out", table!("style/spelled-out")),
    ("aloud", table!("style/aloud")),
];

/// The built-in styles, in the order they are listed.
pub fn built_in() -> &'static [Style] {
    static STYLES: LazyLock<Vec<Style>> =
        LazyLock::new(|| SOURCES.iter().filter_map(|(name, _)| named(name).cloned()).collect());
    &STYLES
}

/// The built-in style with this name.
pub fn named(name: &str) -> Option<&'static Style> {
    // Most runs need one of them: each is read when it is asked for.
    static STYLES: [OnceLock<Option<Style>>; SOURCES.len()] = [const { OnceLock::new() }; SOURCES.len()];
    let index = SOURCES.iter().position(|(own, _)| *own == name)?;
    STYLES.get(index)?.get_or_init(|| load::built_in(name)).as_ref()
}

impl Style {
    /// Reads a user's own style from the text of its file. What it does not say is taken from the built-in style
    /// that it is `like`, `abbreviated` unless said; its name is that of the file unless said.
    ///
    /// # Errors
    /// A finding that names the line, and the nearest valid key or value.
    pub fn parse(text: &str, file: &Arc<str>) -> Result<Self, Finding> {
        load::parse(text, file)
    }

    /// The gaps of its templates: where in the file each stands, and the values it must and may be filled with.
    fn templates(&self) -> Vec<(&'static str, &Template, &'static [&'static str], &'static [&'static str])> {
        let (head, label, work, again) = (&self.head, &self.label, &self.work, &self.again);
        vec![
            ("head.sizes", &head.sizes, &["sizes"], &[]),
            ("head.sized", &head.sized, &["first", "rest"], &[]),
            ("head.multiple", &head.multiple, &["of", "plus"], &[]),
            ("head.multiple-even", &head.multiple_even, &["of"], &[]),
            ("head.cast-on", &head.cast_on, &["n"], &[]),
            ("head.colours", &head.colours, &["colours"], &[]),
            ("head.colour", &head.colour, &["abbreviation", "name"], &[]),
            ("head.colour-apart", &head.colour_apart, &["abbreviation", "name"], &[]),
            ("label.row", &label.row, &["n"], &["side"]),
            ("label.round", &label.round, &["n"], &[]),
            ("label.set-up-row", &label.set_up_row, &[], &["side"]),
            ("label.set-up-round", &label.set_up_round, &[], &[]),
            ("label.rows", &label.rows, &["n"], &[]),
            ("label.rounds", &label.rounds, &["n"], &[]),
            ("label.first-two", &label.first_two, &[], &["n", "first", "side", "last"]),
            ("label.first-rows", &label.first_rows, &[], &["n", "first", "side", "last"]),
            ("label.every-row", &label.every_row, &["n", "kind", "except"], &[]),
            ("label.every-round", &label.every_round, &["n", "kind", "except"], &[]),
            ("label.except-row", &label.except_row, &["n"], &[]),
            ("label.except-round", &label.except_round, &["n"], &[]),
            ("work.coloured", &work.coloured, &["stitch", "colour"], &[]),
            ("work.coloured-to", &work.coloured_to, &["stitch", "until", "colour"], &[]),
            ("work.in-colour", &work.in_colour, &["colour", "items"], &[]),
            ("work.colour-number", &work.colour_number, &["colour"], &[]),
            ("work.run-to", &work.run_to, &["stitch", "until"], &[]),
            ("work.run-times", &work.run_times, &[], &["stitch", "times"]),
            ("work.open", &work.open, &["items", "until"], &[]),
            ("work.open-inside", &work.open_inside, &["items", "until"], &[]),
            ("work.fixed", &work.fixed, &["items", "times"], &[]),
            ("work.fixed-in-open", &work.fixed_in_open, &["items", "times"], &[]),
            ("work.fixed-inside", &work.fixed_inside, &["items", "times"], &[]),
            ("work.to-last", &work.to_last, &["n"], &[]),
            ("work.times", &work.times, &["n"], &[]),
            ("again.stocking", &again.stocking, &["first"], &[]),
            ("again.reverse", &again.reverse, &["first"], &[]),
            ("again.as-row", &again.as_row, &["n"], &[]),
            ("again.as-round", &again.as_round, &["n"], &[]),
            ("again.rep-rows", &again.rep_rows, &["n"], &[]),
            ("again.rep-rounds", &again.rep_rounds, &["n"], &[]),
            ("again.times", &again.times, &["times"], &[]),
            ("again.growing", &again.growing, &["more"], &[]),
            ("again.run-more", &again.run_more, &["by", "runs"], &[]),
            ("again.run-fewer", &again.run_fewer, &["by", "runs"], &[]),
            ("again.run", &again.run, &["which", "run", "of"], &[]),
            ("again.repeat-more", &again.repeat_more, &["which", "of", "times"], &[]),
            ("again.repeat-fewer", &again.repeat_fewer, &["which", "of", "times"], &[]),
            ("again.some", &again.some, &["n"], &[]),
            ("again.of-rows", &again.of_rows, &["n"], &[]),
            ("again.of-rounds", &again.of_rounds, &["n"], &[]),
            ("count.words", &self.count.words, &["n"], &[]),
            ("count.by-size", &self.count.by_size, &["n"], &[]),
            ("list.entry", &self.list.entry, &["term", "meaning"], &[]),
        ]
    }
}
