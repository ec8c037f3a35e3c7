//! The proof: every row uses exactly the stitches the row before made.

use std::ops::Range;

use crate::pattern::{Pattern, Row, RowRepeat, Worked};
use crate::problem::{Code, Finding};
use crate::stitch::{StitchId, Stitches};

/// Checks the arithmetic of a pattern: the cast-on against the first row, each row against the row before, stated
/// counts against what the rows make.
pub fn check(pattern: &Pattern) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut before: Option<(&Row, u32)> = None;
    // The last row that is drawn: where a row does not fit, the mistake is mostly there.
    let mut drawn: Option<&Row> = None;
    for row in &pattern.rows {
        let (uses, makes) = pattern.loops(row);
        findings.extend(match before {
            None => against_cast_on(pattern, row, uses),
            Some((last, made)) if uses != made => {
                let help = likeliest(pattern, drawn, uses, made);
                Some(against_row_before((last, made), (row, uses)).help(help))
            }
            Some((last, _)) => in_each_working(pattern, last, row),
        });
        findings.extend(before.and_then(|(last, _)| on_one_side(pattern, last, row)));
        findings.extend(against_stated(row, makes));
        drawn = Some(row).filter(|row| row.charted).or(drawn);
        before = Some((row, makes));
    }
    findings
}

/// What is wrong where a flat row is on the side of the row before it.
fn on_one_side(pattern: &Pattern, last: &Row, row: &Row) -> Option<Finding> {
    let follows = last.number.checked_add(1) == Some(row.number);
    (pattern.worked == Worked::Flat && follows && row.side == last.side).then(|| {
        let side = row.side.word();
        let message = format!("Row {} is on the {side}, as {} before it is.", row.number, called(last));
        Finding::new(Code::SidesInTurn, row.place.clone(), message)
            .row(row.number)
            .found(side)
            .expected(row.side.other().word())
            .help("Correct the side of one of them, or look for a row that is missing between them.")
    })
}

/// What is wrong where the first row uses another number of stitches than are cast on.
fn against_cast_on(pattern: &Pattern, row: &Row, uses: u32) -> Option<Finding> {
    let cast_on = pattern.cast_on;
    let elsewhere =
        if is_chart(pattern) { "; repeat-columns says which columns are worked more often" } else { "" };
    (uses != cast_on).then(|| {
        let message = format!(
            "The cast-on is {}, but {} uses {}: {}.",
            stitches(cast_on),
            called(row),
            stitches(uses),
            difference(uses, cast_on)
        );
        miscount(Code::CastOnMismatch, row, message, (uses, cast_on)).help(format!(
            "Cast on {}, or correct {}{elsewhere}.",
            stitches(uses),
            called(row)
        ))
    })
}

/// What is wrong where a row uses another number of stitches than the last one made.
fn against_row_before((last, made): (&Row, u32), (row, uses): (&Row, u32)) -> Finding {
    let message = format!(
        "Row {} uses {}, but {} makes {}: {}.",
        row.number,
        stitches(uses),
        called(last),
        stitches(made),
        difference(uses, made)
    );
    miscount(Code::CountMismatch, row, message, (uses, made))
}

/// What is wrong where a row makes another number of stitches than is stated for it.
fn against_stated(row: &Row, makes: u32) -> Option<Finding> {
    let stated = row.stated.filter(|stated| *stated != makes)?;
    let message = format!(
        "{} are stated for {}, but it makes {}: {}.",
        stitches(stated),
        called(row),
        stitches(makes),
        difference(makes, stated)
    );
    let finding = miscount(Code::StatedCount, row, message, (stated, makes));
    Some(finding.help("Correct the stated count, or the row."))
}

/// What is wrong between two rows of a chart that meet at its own width: each further working of the repeat must bring
/// the second row as many stitches as it uses there, or the rows part at every other width. Of rows that don't show what
/// they repeat the reader of charts has seen to it, with the chart one repeat wider.
fn in_each_working(pattern: &Pattern, last: &Row, row: &Row) -> Option<Finding> {
    pattern.multiple.filter(|_| is_chart(pattern))?;
    let made = pattern.stitches.makes(working(last)?);
    let used = pattern.stitches.uses(working(row)?);
    (used != made).then(|| {
        let message = format!(
            "In each working of the repeat Row {} uses {}, but {} makes {} there: the rows add up at this width only.",
            row.number,
            stitches(used),
            called(last),
            stitches(made),
        );
        miscount(Code::CountMismatch, row, message, (used, made))
            .help("Look at both rows between the edges of the repeat; with one width alone to be worked, leave the repeat out.")
    })
}

/// A finding about a row of which some stitches were found, and others expected.
fn miscount(code: Code, row: &Row, message: String, (found, expected): (u32, u32)) -> Finding {
    Finding::new(code, row.place.clone(), message)
        .row(row.number)
        .found(stitches(found))
        .expected(stitches(expected))
}

/// Notes on strands carried behind more than `longest` stitches, in rows worked in more than one colour: from a stitch
/// of a colour to the next of it, from the edge to its first, and from its last to the edge, since the yarns go along to
/// the end of the row.
pub fn floats(pattern: &Pattern, longest: u32) -> Vec<Finding> {
    if !pattern.stitches.have_colours() {
        return Vec::new();
    }
    let far = |row: &Row| {
        let strand = longest_strand(row, &pattern.stitches)?;
        let length = u32::try_from(strand.behind.len()).unwrap_or(u32::MAX);
        let message = format!(
            "Row {} carries {} behind {length} sts together, sts {}-{} of the row.",
            row.number,
            strand.colour.unwrap_or("the other yarn"),
            strand.behind.start + 1,
            strand.behind.end
        );
        (length > longest).then(|| {
            Finding::new(Code::LongFloat, row.place.clone(), message)
                .row(row.number)
                .found(stitches(length))
                .expected(format!("{longest} sts or fewer"))
                .help("Catch the float, or set longest-float.")
        })
    };
    pattern.rows.iter().filter_map(far).collect()
}

/// A yarn behind stitches that are not worked with it.
struct Strand<'a> {
    colour: Option<&'a str>,
    /// The stitches of the row, from 0 in the order they are worked.
    behind: Range<usize>,
}

/// The longest strand of a row that is worked in more than one colour. What is slipped is worked with none.
fn longest_strand<'a>(row: &Row, stitches: &'a Stitches) -> Option<Strand<'a>> {
    let worked = |(at, &id): (usize, &StitchId)| {
        (!stitches.is_slipped(id)).then(|| (at, stitches.get(id).colour.as_deref()))
    };
    // For each colour where the next strand of it begins.
    let mut yarns: Vec<(Option<&str>, usize)> = Vec::new();
    let mut longest = None::<Strand<'a>>;
    let mut see = |colour, behind: Range<usize>| {
        if longest.as_ref().is_none_or(|longest| behind.len() > longest.behind.len()) {
            longest = Some(Strand { colour, behind });
        }
    };
    for (at, colour) in row.stitches.iter().enumerate().filter_map(worked) {
        match yarns.iter_mut().find(|(known, _)| *known == colour) {
            Some((_, from)) => see(colour, std::mem::replace(from, at + 1)..at),
            None => {
                see(colour, 0..at);
                yarns.push((colour, at + 1));
            }
        }
    }
    for (colour, from) in &yarns {
        see(*colour, *from..row.stitches.len());
    }
    longest.filter(|_| yarns.len() > 1)
}

/// The stitches of one working of the chart's repeat.
fn working(row: &Row) -> Option<&[StitchId]> {
    let RowRepeat { start, length, .. } = row.repeat?;
    row.stitches.get(start..start + length)
}

/// A row in the midst of a sentence.
fn called(row: &Row) -> String {
    if row.is_set_up() { "the set-up row".to_owned() } else { format!("Row {}", row.number) }
}

/// Whether the rows were drawn, in cells.
fn is_chart(pattern: &Pattern) -> bool {
    pattern.rows.iter().any(|row| !row.cells.is_empty())
}

fn stitches(n: u32) -> String {
    if n == 1 { "1 st".to_owned() } else { format!("{n} sts") }
}

fn difference(found: u32, expected: u32) -> String {
    let by = found.abs_diff(expected);
    if found > expected { format!("{by} too many") } else { format!("{by} too few") }
}

/// Where to look first: the two rows that meet, and the increases and decreases of the last row drawn before.
fn likeliest(pattern: &Pattern, drawn: Option<&Row>, uses: u32, made: u32) -> String {
    let balance = |row: &Row| {
        let loops = row.stitches.iter().map(|&id| pattern.stitches.get(id));
        loops.fold((0, 0), |(more, fewer), stitch| {
            (
                more + stitch.makes.saturating_sub(stitch.uses),
                fewer + stitch.uses.saturating_sub(stitch.makes),
            )
        })
    };
    let mut help = String::new();
    if let Some((drawn, (more, fewer))) = drawn.map(|row| (row, balance(row)))
        && more != fewer
    {
        help = format!("Row {} increases by {more} and decreases by {fewer}; ", drawn.number);
    }
    let one = if is_chart(pattern) { "cell" } else { "stitch" };
    let missing = if uses > made {
        format!("a missing increase before, or a {one} too many here")
    } else {
        format!("a missing {one} here, or an increase too many before")
    };
    let look = if help.is_empty() { "Look" } else { "look" };
    format!("{help}{look} for {missing}.")
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::convert;
    use crate::settings::Settings;

    /// Domain practice: a reader of a text has no cells to look at, and a row 0 is called the set-up row.
    #[test]
    fn texts_are_told_of_stitches_and_charts_of_cells() {
        let none = Settings::default();
        let text = "Cast on 4 sts.\nSet-up row (WS): P5.\nRow 1 (RS): K6.\n";
        let read = convert::texts(&Arc::from("a.txt"), text.as_bytes(), None, &none, &none, None);
        let said: Vec<(&str, &str)> = read.charts[0]
            .findings
            .iter()
            .map(|finding| (finding.message.as_str(), finding.help.as_str()))
            .collect();
        assert_eq!(
            said,
            [
                (
                    "The cast-on is 4 sts, but the set-up row uses 5 sts: 1 too many.",
                    "Cast on 5 sts, or correct the set-up row."
                ),
                (
                    "Row 1 uses 6 sts, but the set-up row makes 5 sts: 1 too many.",
                    "Look for a missing increase before, or a stitch too many here."
                ),
            ]
        );
        let chart = "k,k,k,2\nk,k,k,1\n\nCast on: 4\n";
        let read = convert::charts(&Arc::from("a.csv"), chart.as_bytes(), None, &none, &none);
        let told = |words: &str| read.charts[0].findings.iter().any(|finding| finding.help.contains(words));
        assert!(told("repeat-columns"));
    }

    /// From the words of the finding: how far a yarn is carried, worked out by hand. Common practice, no published source.
    #[test]
    fn strands_are_as_long_as_what_they_are_carried_behind() {
        let floats = |row: &str| {
            let chart = format!(
                "{row},1\n\nKey\nn,k in navy\nc,k in cream\nr,k in rust\nv,slip 1 purlwise with yarn in back\n"
            );
            let none = Settings::default();
            let mut read = convert::charts(&Arc::from("a.csv"), chart.as_bytes(), None, &none, &none);
            assert!(read.charts[0].pattern.is_some(), "{:?}", read.charts[0].findings);
            read.charts[0].findings.retain(|finding| finding.code == Code::LongFloat);
            read.charts.remove(0).findings.into_iter().map(|finding| finding.message).collect::<Vec<_>>()
        };
        let none: [&str; 0] = [];
        assert_eq!(floats("n,n,c,c,c,c,c,n,n"), none);
        // Charts are read from the right: the stitches from the left edge come last.
        assert_eq!(
            floats("n,n,n,c,c,c,c,c,c,n,n"),
            ["Row 1 carries navy behind 6 sts together, sts 3-8 of the row."]
        );
        // No run is longer than three, but navy passes behind two of them.
        assert_eq!(
            floats("n,c,c,c,r,r,r,n"),
            ["Row 1 carries navy behind 6 sts together, sts 2-7 of the row."]
        );
        // One yarn passes the slipped stitch; nothing is carried behind the others.
        assert_eq!(floats("n,n,n,n,n,n,n,n,v,n,n,n,n,n,n,n,n"), none);
        assert_eq!(
            floats("n,n,c,n,n,n,n,n,n,n"),
            ["Row 1 carries cream behind 7 sts together, sts 1-7 of the row."]
        );
    }

    /// Also where another program made the pattern, whose rows say their sides themselves.
    #[test]
    fn flat_rows_take_turns() {
        let none = Settings::default();
        let said = |worked: &str| -> Vec<String> {
            let row =
                |number: u32| format!(r#"{{"number": {number}, "side": "RS", "stitches": ["k", "k"]}}"#);
            let json = format!(
                r#"{{"format": "longhand.pattern/1", "worked": "{worked}", "rows": [{}, {}]}}"#,
                row(1),
                row(2)
            );
            let read = convert::charts(&Arc::from("a.json"), json.as_bytes(), None, &none, &none);
            read.findings().map(|finding| format!("{} {}", finding.code, finding.message)).collect()
        };
        assert_eq!(said("flat"), ["sides-in-turn Row 2 is on the RS, as Row 1 before it is."]);
        assert!(said("round").is_empty());
    }
}
