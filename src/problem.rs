//! Findings: what is wrong, or had to be assumed, about a chart, a text or a setting.
//!
//! Every kind of finding has a [`Code`]: a plain name, a severity and a page of explanation kept in
//! `problem/NAME.md`. Each stage words its own messages; this module only knows the kinds.

use std::fmt;
use std::sync::Arc;

use crate::place::Place;

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Severity {
    /// Something the reader assumed or left aside, and says.
    Note,
    /// Something that is likely a slip but does not change the stitches.
    Warning,
    /// Something wrong: the pattern is not written out.
    Error,
}

impl Severity {
    /// The word used in messages and in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Warning => "warning",
            Self::Error => "error",
        }
    }
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// Declares the kinds of finding: variant, name, severity. The page of each is `problem/NAME.md`; a missing page
/// does not compile, so a kind is complete or absent.
macro_rules! problems {
    ($($(#[$doc:meta])* $variant:ident = $name:literal, $severity:ident;)*) => {
        /// A kind of finding.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Code { $($(#[$doc])* $variant,)* }

        impl Code {
            /// Every kind, in the order of the table.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)*];

            /// The name users see, pass to `longhand explain`, and find in JSON.
            pub const fn name(self) -> &'static str {
                match self { $(Self::$variant => $name,)* }
            }

            /// How much findings of this kind matter.
            pub const fn severity(self) -> Severity {
                match self { $(Self::$variant => Severity::$severity,)* }
            }

            /// The page of explanation, markdown: a title line, what it means, an example, what to do.
            pub const fn page(self) -> &'static str {
                match self { $(Self::$variant => include_str!(concat!("problem/", $name, ".md")),)* }
            }
        }
    };
}

problems! {
    // What a file is.
    /// The file can't be read at all: damaged, cut short, or not what its name says.
    UnreadableFile = "unreadable-file", Error;
    /// The file is protected by a password.
    EncryptedFile = "encrypted-file", Error;
    /// The file or sheet is larger than any chart could be.
    TooLarge = "too-large", Error;
    /// The file can be read but holds no chart.
    NoChart = "no-chart", Error;
    /// A text file without rows of knitting.
    NoRows = "no-rows", Note;
    /// Letters that the file's encoding could not be worked out for, or only by a guess.
    EncodingAssumed = "encoding-assumed", Note;
    /// Looks of cells (fills, borders) or other things in the file that could not be seen.
    NotSeen = "not-seen", Note;
    /// Text that is struck out or deleted, and was left out.
    StruckOut = "struck-out", Note;
    /// Cells whose text is struck out, and was read all the same.
    StruckCell = "struck-cell", Warning;
    /// JSON that is not a longhand pattern.
    WrongJson = "wrong-json", Error;

    // Settings.
    /// A settings file that is not well formed, or has a key or value that is not known.
    WrongSetting = "wrong-setting", Error;
    /// Two settings that can't both hold.
    SettingsDisagree = "settings-disagree", Error;
    /// Settings of the call that a pattern in JSON can't follow.
    SettingNotFollowed = "setting-not-followed", Warning;
    /// A sentence of a sheet that was taken as a setting.
    SettingInWords = "setting-in-words", Note;
    /// Words that stand as near to one chart as to another.
    BelongsAssumed = "belongs-assumed", Note;
    /// A sentence of a sheet that says more than a note, and was not followed.
    SentenceNotFollowed = "sentence-not-followed", Warning;

    // The key.
    /// A symbol that no key explains.
    UnknownSymbol = "unknown-symbol", Error;
    /// A symbol taken as the stitch whose name it is.
    NameAsSymbol = "name-as-symbol", Note;
    /// A symbol was taken as the stitch it names, though words stand beside it elsewhere that may explain it; or a
    /// fill stands for neither a stitch nor a colour.
    UnreadKeyEntry = "unread-key-entry", Warning;
    /// Two keys give one symbol different meanings.
    KeysDisagree = "keys-disagree", Error;
    /// A column of a key that holds no words for stitches, or whose part in it was told by what it holds.
    KeyColumns = "key-columns", Note;
    /// A key entry whose words name no stitch.
    UnknownKeyWords = "unknown-key-words", Error;
    /// The same, for a symbol that the chart does not use.
    UnusedKeyEntry = "unused-key-entry", Warning;
    /// A symbol that matches several key entries once case and spaces are set aside.
    AmbiguousSymbol = "ambiguous-symbol", Error;
    /// A symbol matched by setting case, spaces or quotes aside.
    SymbolMatchedLoosely = "symbol-matched-loosely", Note;
    /// A fill taken as one of the key that is almost the same.
    ShadeMatched = "shade-matched", Note;
    /// A date that stands where a symbol such as 1/1 was typed, with more than one reading.
    AmbiguousDate = "ambiguous-date", Error;
    /// A date read back as the symbol that was typed.
    DateRestored = "date-restored", Note;

    // The layout of the chart.
    /// A blank cell inside the chart with no key entry for blanks.
    BlankCell = "blank-cell", Error;
    /// Blank cells read as lying inside or outside the shape.
    BlankAssumed = "blank-assumed", Note;
    /// Row numbers that leave some out.
    RowNumberGap = "row-number-gap", Error;
    /// A hidden column that the numbers of the columns count.
    ColumnNumberGap = "column-number-gap", Error;
    /// A sheet that is shown from right to left.
    RightToLeft = "right-to-left", Error;
    /// A chart whose rows stand as columns of the sheet.
    ChartTurned = "chart-turned", Error;
    /// A row number that stands twice.
    RowNumberRepeated = "row-number-repeated", Error;
    /// Cells beside the rows that hold several numbers each.
    RowNumberSeveral = "row-number-several", Error;
    /// Numbers at the ends of rows that may be row numbers or stitches.
    NumbersUnclear = "numbers-unclear", Error;
    /// Numbers taken for what they are likely to be: row numbers, though they are symbols too, or counts of stitches.
    NumbersAssumed = "numbers-assumed", Note;
    /// Row numbers that change direction.
    RowNumberOrder = "row-number-order", Error;
    /// A row number on the side where the row does not begin.
    RowNumberSide = "row-number-side", Note;
    /// Row numbers that run down the sheet.
    RowsRunDown = "rows-run-down", Note;
    /// A chart whose first row is not Row 1.
    RowsBeginLater = "rows-begin-later", Note;
    /// Right-side-only, told by the row numbers.
    RightSideOnly = "right-side-only", Note;
    /// Rows that the sheet tells in words were written out.
    RowsTold = "rows-told", Note;
    /// Rows that the sheet speaks of, but neither draws nor tells by others.
    RowsUntold = "rows-untold", Warning;
    /// Rows of a text that stand behind one with a higher number.
    RowsOutOfOrder = "rows-out-of-order", Warning;
    /// A list of abbreviations explains a known stitch as another one, which can't be told.
    ListUnread = "list-unread", Warning;
    /// A sentence that has rows worked again, and adds none.
    RowsNotAdded = "rows-not-added", Note;
    /// The first row is a WS row, told by the sheet.
    FirstSideAssumed = "first-side-assumed", Note;
    /// Worked in the round, told by the numbers.
    RoundsAssumed = "rounds-assumed", Note;
    /// A chart without row numbers.
    RowsNotNumbered = "rows-not-numbered", Note;
    /// Rows left out of the numbers and filled in as a setting says.
    SkippedRows = "skipped-rows", Note;
    /// A merged cell of the wrong width.
    MergedCell = "merged-cell", Error;
    /// A wide stitch with too few cells.
    WideStitchCut = "wide-stitch-cut", Error;
    /// Hidden rows, columns, sheets or words, left out.
    HiddenLeftOut = "hidden-left-out", Note;
    /// A comment that hangs on a cell of the chart.
    CellComment = "cell-comment", Note;
    /// Heavy lines every few squares, drawn to count by.
    CountingLines = "counting-lines", Note;
    /// Rows of symbols with numbers that are in no chart.
    RowsLeftAside = "rows-left-aside", Error;
    /// Cells beside the chart that are no part of it.
    CellsLeftAside = "cells-left-aside", Note;

    // Sides and return rows.
    /// A stitch with no usual opposite on a charted WS row.
    NoOpposite = "no-opposite", Error;
    /// A stitch with no usual mirror, for a left-handed knitter.
    NoMirror = "no-mirror", Error;
    /// A key entry that says nothing for the side or the place where the symbol stands.
    KeySideMissing = "key-side-missing", Error;
    /// A stated return row that can't be read.
    ReturnRowWords = "return-row-words", Error;
    /// A stated return row that does not fit the stitches.
    ReturnRowFit = "return-row-fit", Error;
    /// Row 1 is a WS row whose faces can't be known.
    FirstReturnRow = "first-return-row", Error;
    /// A double yarn over worked (p1, k1) whatever the return rows say.
    DoubleYarnOver = "double-yarn-over", Note;

    // Repeats and sizes.
    /// Repeat columns that the chart does not have.
    RepeatColumns = "repeat-columns", Error;
    /// Repeat columns that cut through a stitch.
    RepeatCutsStitch = "repeat-cuts-stitch", Error;
    /// A cast-on that the repeat can't fill.
    RepeatDoesNotFit = "repeat-does-not-fit", Error;
    /// A repeat that the sheet draws or tells in its own way.
    RepeatDrawn = "repeat-drawn", Note;
    /// A multiple that the sheet tells, and a chart that shows no repeat.
    RepeatNotShown = "repeat-not-shown", Note;
    /// A box on so few rows that it is no repeat.
    BoxLeftAside = "box-left-aside", Note;
    /// A blank column was taken to part two charts side by side.
    ChartsSideBySide = "charts-side-by-side", Note;
    /// No cast-on is stated: written for some widths of the repeat.
    RepeatWrittenOut = "repeat-written-out", Note;

    // The arithmetic.
    /// A row that does not use what the row before made.
    CountMismatch = "count-mismatch", Error;
    /// A cast-on that row 1 does not use.
    CastOnMismatch = "cast-on-mismatch", Error;
    /// A strand carried far behind the work.
    LongFloat = "long-float", Note;
    /// A stated count that is not what the row makes.
    StatedCount = "stated-count", Error;

    // Rows written.
    /// Rows whose words, as their style asks for them, are not true of all sizes.
    SizeNotServed = "size-not-served", Warning;

    // Results.
    /// A result of an earlier run that its file does not give any more.
    ResultOutOfDate = "result-out-of-date", Warning;
    /// A file of an earlier run that is there no more, and whose results are.
    InputGone = "input-gone", Warning;

    // Charts drawn.
    /// A pattern that can't be drawn so that its chart says the same.
    NotDrawn = "not-drawn", Error;
    /// A repeat that no columns of the drawn chart hold in every row.
    RepeatNotDrawn = "repeat-not-drawn", Warning;
    /// Stitches that a text explains, in a chart that can only name them.
    StitchToDescribe = "stitch-to-describe", Note;

    // Two patterns compared.
    /// Stitches of a row that are not the same in both.
    StitchDiffers = "stitch-differs", Error;
    /// A row that only one of the two has.
    RowUnmatched = "row-unmatched", Error;
    /// Cast-on, sides of rows, or flat and round that are not the same in both.
    PatternDiffers = "pattern-differs", Error;
    /// Sizes of which the two don't both tell how they are worked.
    SizesNotCompared = "sizes-not-compared", Note;
    /// A chart that only one of the two files has.
    ChartUnmatched = "chart-unmatched", Error;
    /// A file that only one of the two folders has.
    FileUnmatched = "file-unmatched", Error;
    /// The same fabric, worked otherwise.
    WorkedOtherwise = "worked-otherwise", Note;

    // An archive proved.
    /// The rows longhand writes of a chart, read again, don't say what the chart says.
    ReadBackDiffers = "read-back-differs", Error;
    /// A chart without an approved text beside it.
    NoApprovedText = "no-approved-text", Note;
    /// A text without the chart it was written from.
    NoChartBeside = "no-chart-beside", Note;
    /// An approved text of longhand's own whose stitches are right, and whose words are others today.
    WordingChanged = "wording-changed", Note;

    // Written rows.
    /// Words of a row that name no stitch, or a bracket or an asterisk without its partner.
    UnreadableRow = "unreadable-row", Error;
    /// Work that rows of stitches can't hold: turning, holders, picked-up stitches.
    BeyondRows = "beyond-rows", Error;
    /// A row told by others, "As Row 5", that are not there or not as many.
    RowReference = "row-reference", Error;
    /// A repeat that does not fill the stitches it must fill.
    RepeatLeftOver = "repeat-left-over", Error;
    /// Fewer stitches left than are to be left.
    TooFewLeft = "too-few-left", Error;
    /// A colour that the text does not name, or a repeat that does not say in which colour it begins again.
    UnclearColour = "unclear-colour", Error;
    /// Rows without a colour of their own, read in the one last in use.
    ColourGoesOn = "colour-goes-on", Note;
    /// A setting that says another hand than a text is for.
    HandAsWritten = "hand-as-written", Note;
    /// A stitch slipped without a word on how.
    BareSlip = "bare-slip", Note;
    /// A line that works stitches as a row does, and does not say which row it is.
    UnplacedRow = "unplaced-row", Error;
    /// Rows that begin with a later number than 1.
    FirstRowsMissing = "first-rows-missing", Warning;
    /// Flat rows one after another that are marked as rows of the same side.
    SidesInTurn = "sides-in-turn", Warning;
    /// A line that works a row and gives it no number.
    UnnumberedRow = "unnumbered-row", Warning;
    /// A multiple that the cast-on is none of, or that the rows don't keep to.
    MultipleMismatch = "multiple-mismatch", Warning;
    /// Rows whose numbers differ by size, read for the first one.
    FirstSizeOnly = "first-size-only", Note;
    /// Numbers of a text that are not given for as many sizes as there are.
    SizesUneven = "sizes-uneven", Error;
    /// Words that may mean several things, and how they were read.
    ReadingChosen = "reading-chosen", Note;
    /// Counts that are stated for another width than the one asked for.
    CountsLeftAside = "counts-left-aside", Note;
    /// Markers, which count nothing.
    MarkersCountNothing = "markers-count-nothing", Note;
}

impl Code {
    /// The kind with this name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|code| code.name() == name)
    }

    /// The title of the page: its first line, without the heading mark.
    pub fn title(self) -> &'static str {
        self.page().lines().next().unwrap_or_default().trim_start_matches(['#', ' '])
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// One finding, with everything a user needs to act on it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// What kind of finding it is.
    pub code: Code,
    /// Where it is.
    pub place: Place,
    /// Letter of the chart in its file, where the file has several.
    pub chart: Option<Arc<str>>,
    /// The row it is about, as numbered in the pattern.
    pub row: Option<u32>,
    /// What stands there.
    pub found: Option<String>,
    /// What would be right.
    pub expected: Option<String>,
    /// What is the matter, one sentence.
    pub message: String,
    /// What to do about it; may be empty for a note.
    pub help: String,
}

impl Finding {
    /// A finding with its kind, place and sentence.
    pub fn new(code: Code, place: Place, message: impl Into<String>) -> Self {
        let message = message.into();
        Self {
            code,
            place,
            chart: None,
            row: None,
            found: None,
            expected: None,
            message,
            help: String::new(),
        }
    }

    /// Names the row.
    pub fn row(mut self, row: u32) -> Self {
        self.row = Some(row);
        self
    }

    /// Says what stands there.
    pub fn found(mut self, found: impl ToString) -> Self {
        self.found = Some(found.to_string());
        self
    }

    /// Says what would be right.
    pub fn expected(mut self, expected: impl ToString) -> Self {
        self.expected = Some(expected.to_string());
        self
    }

    /// Says what to do.
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = help.into();
        self
    }

    /// How much it matters.
    pub const fn severity(&self) -> Severity {
        self.code.severity()
    }
}

/// Whether any of the findings is an error.
pub fn any_error(findings: &[Finding]) -> bool {
    findings.iter().any(|finding| finding.severity() == Severity::Error)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A page has a title, says what the problem means, shows an example, and ends with what to do.
    #[test]
    fn pages_are_whole() {
        for &code in Code::ALL {
            let page = code.page();
            let mut lines = page.lines();
            assert!(lines.next().is_some_and(|line| line.starts_with("# ")), "{code}: a title");
            assert!(
                !code.title().ends_with('.') && code.title() != code.name(),
                "{code}: a title in plain words"
            );
            assert_eq!(lines.next(), Some(""), "{code}: a blank line after the title");
            assert!(lines.next().is_some_and(|line| line.len() > 40), "{code}: what it means");
            assert!(page.lines().any(|line| line.starts_with("    ")), "{code}: an example");
            assert!(page.lines().any(|line| line.starts_with("What to do: ")), "{code}: what to do");
            assert!(page.lines().all(|line| line.chars().count() <= 110), "{code}: lines that fit a screen");
            assert!(page.ends_with('\n') && !page.contains('\t'), "{code}: plain text");
        }
    }

    /// An example that shows a finding shows it under its own name and severity.
    #[test]
    fn examples_are_of_their_own_kind() {
        for &code in Code::ALL {
            for line in code.page().lines().filter(|line| line.starts_with("      ")) {
                let mut words = line.split_whitespace();
                let severity = words.next().unwrap_or_default();
                if ["error", "warning", "note"].contains(&severity) {
                    assert_eq!(severity, code.severity().word(), "{code}");
                    assert_eq!(
                        words.next().map(|word| word.trim_end_matches(',')),
                        Some(code.name()),
                        "{code}"
                    );
                }
            }
        }
    }

    #[test]
    fn names_stand_once() {
        for (index, code) in Code::ALL.iter().enumerate() {
            assert_eq!(Code::named(code.name()), Some(*code));
            assert!(Code::ALL.iter().skip(index + 1).all(|other| other.name() != code.name()), "{code}");
        }
    }
}
