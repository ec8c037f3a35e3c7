//! Rows told by other rows: "As Row 5", "Rep Rows 1-8 twice more", "Rep Rows 3 and 4 9 times more, working 2 more sts in each
//! k3 of Row 3 each time".

use super::label;
use super::lex::{Cursor, Kind, Token, may_begin, tokens};
use crate::written::{Extent, Grown, Growth, Item};

/// The rows referred to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Again {
    /// Their numbers.
    pub(crate) rows: Vec<u32>,
    /// How often they are worked, where it is said.
    pub(crate) times: Option<u32>,
    /// Whether it is sure that those are workings behind the first one: "Work Rows 1 and 2 twice" does not say whether that
    /// counts.
    pub(crate) sure: bool,
    /// What is worked more, or less, in each working than in the one before.
    pub(crate) growth: Vec<More>,
}

/// What is said to grow.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum What {
    /// The words of a run, "k3".
    Run(String),
    /// The repeats.
    Repeat,
    /// The run between two yarn overs, whatever its words.
    Between,
}

/// What grows, by its words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct More {
    /// The rows it is about; none for all of them.
    pub(crate) rows: Vec<u32>,
    pub(crate) what: What,
    /// Which of them in each row, from 1; none for all.
    pub(crate) which: Vec<u32>,
    pub(crate) by: i32,
}

impl More {
    /// What it is about, as a finding names it.
    pub(crate) fn told(&self) -> String {
        match &self.what {
            What::Run(run) => run.clone(),
            What::Repeat => "the repeat".to_owned(),
            What::Between => "between the yos".to_owned(),
        }
    }

    /// The growth, once its run is read: `read` gives the items of a text. None where the text is no run, or
    /// the run is named by what stands beside it.
    pub(crate) fn growth(&self, read: impl FnOnce(&str) -> Option<Vec<Item>>) -> Option<Growth> {
        let what = match &self.what {
            What::Repeat => Grown::Repeat,
            What::Between => return None,
            What::Run(run) => match read(run).as_deref() {
                Some(&[Item::Run { stitch, extent: Extent::Times(times) }]) => Grown::Run { stitch, times },
                _ => return None,
            },
        };
        let which = self.which.clone();
        Some(Growth { rows: self.rows.clone(), what, which, several: true, by: self.by })
    }
}

/// The longest text that is looked at, in bytes.
const LONGEST: usize = 1_000;

/// What a row's text refers to, if it does nothing else.
pub(crate) fn read(text: &str) -> Option<Again> {
    const BEGINS: [&str; 11] =
        ["work", "worked", "knit", "the", "rep", "repeat", "is", "are", "same", "as", "like"];
    if text.len() > LONGEST || !may_begin(text, &BEGINS) {
        return None;
    }
    let found: Vec<Token> = tokens(text).into_iter().filter(|token| token.kind != Kind::Mark('.')).collect();
    let cursor = &mut Cursor::new(&found);
    let works = cursor.take(&["work", "worked", "knit"]);
    let _ = cursor.take(&["the"]);
    let repeated = cursor.take(&["rep", "repeat"]);
    let worked = works && !repeated && cursor.word(0).is_some_and(label::is_row_word);
    if !repeated && !worked {
        let _ = cursor.take(&["is", "are"]);
        let _ = cursor.take(&["the"]);
        let _ = cursor.take(&["same"]);
        if !cursor.take(&["as", "like"]) {
            return None;
        }
        let _ = cursor.take(&["for", "in", "given"]);
    }
    let named = label::take_rows(cursor).is_some() || matches!(cursor.kind(0), Some(Kind::Ordinal(_)));
    let rows = label::numbers(cursor)?;
    if cursor.take_rows().is_none() && !named {
        return None;
    }
    let Often { times, behind, growth } = how_often(text, cursor)?;
    // "Work Rows 1 and 2" says nothing of how often.
    (!worked || times.is_some()).then_some(Again { rows, times, sure: !worked || behind, growth })
}

/// Rows told by how many of them stand before: "Rep last 2 rows 3 times more", "Repeat these 12 rows twice".
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Last {
    /// How many.
    pub(crate) rows: u32,
    /// How often they are worked, where it is said.
    pub(crate) times: Option<u32>,
    /// What is worked more, or less, in each working than in the one before.
    pub(crate) growth: Vec<More>,
}

/// How many rows before are worked again, if a row's text says that and nothing else.
pub(crate) fn read_last(text: &str) -> Option<Last> {
    if text.len() > LONGEST || !may_begin(text, &["work", "rep", "repeat"]) {
        return None;
    }
    let found: Vec<Token> = tokens(text).into_iter().filter(|token| token.kind != Kind::Mark('.')).collect();
    let cursor = &mut Cursor::new(&found);
    let _ = cursor.take(&["work"]);
    if !cursor.take(&["rep", "repeat"]) {
        return None;
    }
    let these = cursor.take(&["these"]);
    let _ = cursor.take(&["the"]);
    let last = cursor.take(&["last", "previous", "prev", "preceding"]);
    // "Repeat the row" is no number of rows.
    let rows = cursor.number().or(last.then_some(1)).filter(|rows| *rows > 0 && (last || these))?;
    cursor.take_rows()?;
    let Often { times, growth, .. } = how_often(text, cursor)?;
    Some(Last { rows, times, growth })
}

/// How often rows are worked in all, told beside them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct InAll {
    /// How many rows those are, where it is said.
    pub(crate) count: Option<u32>,
    /// Their numbers, where it names them.
    pub(crate) rows: Vec<u32>,
    pub(crate) times: u32,
}

/// How often rows are worked in all, if a text says that and nothing else: "work 3 times", "twice", "rep these 2 rows twice
/// more". "Rep 3 times" does not say whether the first working counts.
pub(crate) fn read_in_all(text: &str) -> Option<InAll> {
    if text.len() > LONGEST {
        return None;
    }
    let found: Vec<Token> = tokens(text).into_iter().filter(|token| token.kind != Kind::Mark('.')).collect();
    let cursor = &mut Cursor::new(&found);
    let _ = cursor.take(&["work", "worked", "knit"]);
    let repeated = cursor.take(&["rep", "repeat"]);
    let before = *cursor;
    let rows = label::take_rows(cursor).and_then(|_| label::numbers(cursor));
    if rows.is_none() {
        *cursor = before;
    }
    let these = cursor.take(&["these", "the", "both", "this"]);
    let count = cursor.number();
    let counted = rows.is_none() && (these || count.is_some()) && cursor.take_rows().is_some();
    if rows.is_none() && !counted {
        *cursor = before;
    }
    let Often { times, behind, growth } = how_often(text, cursor)?;
    let times = times.filter(|_| growth.is_empty() && (behind || !repeated))?;
    let times = if behind { times.checked_add(1)? } else { times };
    let count = count.filter(|_| counted);
    Some(InAll { count, rows: rows.unwrap_or_default(), times }).filter(|all| all.times > 1)
}

/// How often rows are worked again.
struct Often {
    times: Option<u32>,
    /// Whether it is said that those are behind the first working, "twice more", or how many there are in all.
    behind: bool,
    growth: Vec<More>,
}

/// "Twice more, working 2 more sts in the k3 each time", to the end of the text.
fn how_often(text: &str, cursor: &mut Cursor<'_>) -> Option<Often> {
    let before = cursor.rest();
    // "Rows 1 and 2, 3 times".
    let at = *cursor;
    let comma = cursor.take_mark(&[',']);
    let mut times = times(cursor);
    if comma && times.is_none() {
        *cursor = at;
    }
    let _ = cursor.take(&["more", "again"]);
    let said = before.len() - cursor.rest().len();
    let again = |token: &Token| matches!(&token.kind, Kind::Word(word) if word == "more" || word == "again");
    let mut behind = before.iter().take(said).any(again);
    // Those worked before count too.
    if cursor.take_all(&["in", "total"]) || cursor.take_all(&["in", "all"]) || cursor.take(&["altogether"]) {
        times = Some(times?.checked_sub(1).filter(|times| *times > 0)?);
        behind = true;
    }
    let mut growth = Vec::new();
    if !cursor.at_end() {
        let _ = cursor.take_mark(&[',', ';']);
        if !cursor.take(&["working", "with"]) {
            return None;
        }
        loop {
            more(text, cursor, &mut growth)?;
            if cursor.take_all(&["each", "time"]) || cursor.take_all(&["every", "time"]) {
                break;
            }
            if !(cursor.take_mark(&[',']) | cursor.take(&["and"])) {
                return None;
            }
            let _ = cursor.take(&["working", "with"]);
        }
    }
    cursor.at_end().then_some(Often { times, behind, growth })
}

/// "once", "twice", "3 times", "3 more": how often.
pub(crate) fn times(cursor: &mut Cursor<'_>) -> Option<u32> {
    if cursor.take(&["once"]) {
        return Some(1);
    }
    if cursor.take(&["twice"]) {
        return Some(2);
    }
    let before = *cursor;
    let number = cursor.number()?;
    let more = cursor.take(&["more"]);
    if cursor.take(&["times", "time"]) || more {
        return Some(number);
    }
    *cursor = before;
    None
}

/// What grows: "2 more sts in each k3 of Rows 3 and 5", "the repeat once more", or another run that gets as many stitches
/// as the one before, "the k5".
fn more(text: &str, cursor: &mut Cursor<'_>, told: &mut Vec<More>) -> Option<()> {
    let by = match cursor.number() {
        Some(by) => {
            let fewer = cursor.take(&["fewer", "less"]);
            if !(fewer || cursor.take(&["more"])) {
                return None;
            }
            let by = signed(by, fewer)?;
            // "1 more repeat of Row 3".
            if cursor.take(&["repeat", "repeats", "rep", "reps"]) {
                let rows = of_rows(cursor)?;
                told.push(More { rows, what: What::Repeat, which: Vec::new(), by });
                return Some(());
            }
            if !cursor.take_stitches() {
                return None;
            }
            if cursor.take(&["between"]) {
                let _ = cursor.take(&["the", "both"]) | cursor.take(&["two"]);
                let yarn_over = cursor.take(&["yo", "yos"])
                    || (cursor.take(&["yarn"]) && cursor.take(&["over", "overs"]));
                if !yarn_over {
                    return None;
                }
                let rows = of_rows(cursor)?;
                told.push(More { rows, what: What::Between, which: Vec::new(), by });
                return Some(());
            }
            let _ = cursor.take(&["in"]);
            Some(by)
        }
        None => None,
    };
    let which = which(cursor)?;
    if by.is_none() && cursor.take(&["repeat", "repeats", "rep", "reps"]) {
        if cursor.take(&["between"]) {
            while cursor.take_mark(&['*', '[', ']', '(', ')']) || cursor.take(&["and", "to"]) {}
            let _ = cursor.take(&["asterisks", "stars"]);
        }
        let rows = of_rows(cursor)?;
        let by = times(cursor)?;
        let fewer = cursor.take(&["fewer", "less"]);
        // "3 times more" and "3 more times" say the same.
        let _ = cursor.take(&["more"]);
        told.push(More { rows, what: What::Repeat, which, by: signed(by, fewer)? });
        return Some(());
    }
    let by =
        by.or_else(|| told.last().filter(|last| matches!(last.what, What::Run(_))).map(|last| last.by))?;
    let start = cursor.token(0)?.start;
    let mut end = start;
    while let Some(token) = cursor.token(0).filter(|token| !ends_run(token)) {
        end = token.end;
        cursor.at += 1;
    }
    let run = text.get(start..end)?.trim().to_owned();
    let rows = of_rows(cursor)?;
    (!run.is_empty()).then(|| told.push(More { rows, what: What::Run(run), which, by }))
}

fn signed(by: u32, fewer: bool) -> Option<i32> {
    let by = i32::try_from(by).ok()?;
    Some(if fewer { -by } else { by })
}

/// "the", "each", "both", "the 1st and 3rd".
fn which(cursor: &mut Cursor<'_>) -> Option<Vec<u32>> {
    if !cursor.take(&["the", "each", "every", "both", "all"]) {
        return None;
    }
    let _ = cursor.take(&["the", "of"]);
    if !matches!(cursor.kind(0), Some(Kind::Ordinal(_))) {
        return Some(Vec::new());
    }
    label::numbers(cursor)
}

/// "of Rows 3 and 5", where it is said.
fn of_rows(cursor: &mut Cursor<'_>) -> Option<Vec<u32>> {
    let before = *cursor;
    if !(cursor.take(&["of", "in"]) && label::take_rows(cursor).is_some()) {
        *cursor = before;
        return Some(Vec::new());
    }
    // "Of Row 4, and 2 more sts" goes on with something else.
    let mut rows = Vec::new();
    loop {
        let before = *cursor;
        if !rows.is_empty() && !(cursor.take_mark(&[',']) | cursor.take(&["and"])) {
            return Some(rows);
        }
        match cursor.number() {
            Some(row) if !matches!(cursor.word(0), Some("more" | "fewer" | "less")) => rows.push(row),
            _ if rows.is_empty() => return None,
            _ => {
                *cursor = before;
                return Some(rows);
            }
        }
    }
}

fn ends_run(token: &Token) -> bool {
    match &token.kind {
        Kind::Word(word) => matches!(word.as_str(), "of" | "and" | "each" | "every"),
        Kind::Mark(mark) => *mark == ',',
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn again(rows: &[u32], times: Option<u32>, growth: &[More]) -> Option<Again> {
        Some(Again { rows: rows.to_vec(), times, sure: true, growth: growth.to_vec() })
    }

    fn more(rows: &[u32], run: Option<&str>, which: &[u32], by: i32) -> More {
        let what = run.map_or(What::Repeat, |run| What::Run(run.to_owned()));
        More { rows: rows.to_vec(), what, which: which.to_vec(), by }
    }

    fn between(rows: &[u32], by: i32) -> More {
        More { rows: rows.to_vec(), what: What::Between, which: Vec::new(), by }
    }

    /// Common practice, no published source.
    #[test]
    fn how_often_rows_are_worked_in_all() {
        for (text, expected) in [
            ("Work 3 times", Some((None, &[][..], 3))),
            ("3 times", Some((None, &[], 3))),
            ("worked twice.", Some((None, &[], 2))),
            ("rep twice more", Some((None, &[], 3))),
            ("Repeat 2 more times", Some((None, &[], 3))),
            ("rep 3 times in all", Some((None, &[], 3))),
            ("Work these 2 rows 3 times", Some((Some(2), &[], 3))),
            ("Rep these two rows once more", Some((Some(2), &[], 2))),
            ("rep these rows twice more", Some((None, &[], 3))),
            ("Rep Rows 1 and 2 twice more", Some((None, &[1, 2], 3))),
            ("Work Rows 1-4 twice", Some((None, &[1, 2, 3, 4], 2))),
            // Three workings, or three more?
            ("rep 3 times", None),
            ("Rep these 2 rows 3 times", None),
            ("Rep Rows 1 and 2 twice", None),
            ("work once", None),
            ("2 rows", None),
            ("Work these 2 rows 3 times, working 2 more sts in the k3 each time", None),
            ("work 3 times as long", None),
        ] {
            let expected = expected.map(|(count, rows, times)| InAll { count, rows: rows.to_vec(), times });
            assert_eq!(read_in_all(text), expected, "{text}");
        }
    }

    /// Common practice, no published source.
    #[test]
    fn rows_told_by_how_many_stand_before() {
        let last = |rows, times, growth: &[More]| Some(Last { rows, times, growth: growth.to_vec() });
        for (text, expected) in [
            ("Rep last 2 rows 5 times more.", last(2, Some(5), &[])),
            ("Rep the last row.", last(1, None, &[])),
            (
                "Repeat these 12 rows 3 times more, working 1 more repeat each time.",
                last(12, Some(3), &[more(&[], None, &[], 1)]),
            ),
            ("Repeat these rows to end.", None),
            ("Repeat the row.", None),
            ("Rep last 2 rows until 20 sts rem.", None),
        ] {
            assert_eq!(read_last(text), expected, "{text}");
        }
    }

    /// Common practice, no published source; the forms that the built-in styles print are among them.
    #[test]
    fn rows_that_grow() {
        let each = more(&[3], Some("k3"), &[], 2);
        for (text, expected) in [
            (
                "Rep Rows 3 and 4 9 times more, working 2 more sts in each k3 of Row 3 each time.",
                again(&[3, 4], Some(9), std::slice::from_ref(&each)),
            ),
            (
                "Repeat rows 3 to 4 nine times, working two more stitches in each k3 of row 3 each time.",
                again(&[3, 4], Some(9), std::slice::from_ref(&each)),
            ),
            (
                "rep Rows 3-4, working 2 fewer sts in the 1st and 3rd k 12 of Rows 3, 5 and 7 and the k2 of Row 4, and 1 more st in the p2 each time",
                again(
                    &[3, 4],
                    None,
                    &[
                        more(&[3, 5, 7], Some("k 12"), &[1, 3], -2),
                        more(&[4], Some("k2"), &[], -2),
                        more(&[], Some("p2"), &[], 1),
                    ],
                ),
            ),
            (
                "Rep Rows 13-14 6 times, working the repeat between * once more each time.",
                again(&[13, 14], Some(6), &[more(&[], None, &[], 1)]),
            ),
            (
                "Rep Rounds 1 and 2 twice, working each repeat of Rounds 1 and 2 3 times less, 4 more sts in the k3 \
                 navy, and the 2nd repeat of Round 2 twice more each time.",
                again(
                    &[1, 2],
                    Some(2),
                    &[
                        more(&[1, 2], None, &[], -3),
                        more(&[], Some("k3 navy"), &[], 4),
                        more(&[2], None, &[2], 2),
                    ],
                ),
            ),
            (
                "Rep Rows 3 and 4 twice more, working 1 more repeat of Row 3, and 2 more sts between the yos of Row 4 each time.",
                again(&[3, 4], Some(2), &[more(&[3], None, &[], 1), between(&[4], 2)]),
            ),
            ("Rep Rows 1 and 2, working 2 more sts between the cables each time.", None),
            ("Rep Rows 1 and 2, working loosely each time.", None),
            ("Rep Rows 1 and 2, working 2 more sts in each time.", None),
            ("Rep Rows 1 and 2, working the repeat once more.", None),
            ("Rep Rows 1 and 2 until piece measures 20 cm.", None),
            ("Work Rows 1 and 2 5 times in total.", again(&[1, 2], Some(4), &[])),
            ("Work Rows 1 and 2 4 times more.", again(&[1, 2], Some(4), &[])),
            ("Repeat Rows 1 and 2 5 times in all.", again(&[1, 2], Some(4), &[])),
            ("Work Rows 1 and 2.", None),
            (
                "Work Rows 1 and 2 5 times more, working 2 more sts in the k3 of Row 1 each time.",
                again(&[1, 2], Some(5), &[more(&[1], Some("k3"), &[], 2)]),
            ),
            (
                "Work Rows 1 and 2 5 times.",
                Some(Again { rows: vec![1, 2], times: Some(5), sure: false, growth: Vec::new() }),
            ),
        ] {
            assert_eq!(read(text), expected, "{text}");
        }
    }
}
