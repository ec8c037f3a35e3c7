//! The proof: every row uses exactly the stitches the row before made.

use crate::pattern::{Pattern, Row, RowRepeat};
use crate::problem::{Code, Finding};
use crate::stitch::StitchId;

/// Checks the arithmetic of a pattern: the cast-on against the first row, each row against the row before, stated
/// counts against what the rows make.
pub fn check(pattern: &Pattern) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut before: Option<(&Row, u32)> = None;
    for row in &pattern.rows {
        let (uses, makes) = pattern.loops(row);
        match before {
            None if uses != pattern.cast_on => findings.push(
                Finding::new(
                    Code::CastOnMismatch,
                    row.place.clone(),
                    format!(
                        "The cast-on is {}, but {} uses {}: {}.",
                        stitches(pattern.cast_on),
                        called(row),
                        stitches(uses),
                        difference(uses, pattern.cast_on)
                    ),
                )
                .row(row.number)
                .found(stitches(uses))
                .expected(stitches(pattern.cast_on))
                .help(format!(
                    "Cast on {}, or correct {}{}.",
                    stitches(uses),
                    called(row),
                    if is_chart(pattern) {
                        "; repeat-columns says which columns are worked more often"
                    } else {
                        ""
                    }
                )),
            ),
            Some((last, made)) if uses != made => findings.push(
                Finding::new(
                    Code::CountMismatch,
                    row.place.clone(),
                    format!(
                        "Row {} uses {}, but {} makes {}: {}.",
                        row.number,
                        stitches(uses),
                        called(last),
                        stitches(made),
                        difference(uses, made)
                    ),
                )
                .row(row.number)
                .found(stitches(uses))
                .expected(stitches(made))
                .help(likeliest(pattern, row.number, uses, made)),
            ),
            Some((last, _)) => findings.extend(in_each_working(pattern, last, row)),
            None => {}
        }
        if let Some(stated) = row.stated.filter(|stated| *stated != makes) {
            findings.push(
                Finding::new(
                    Code::StatedCount,
                    row.place.clone(),
                    format!(
                        "{} are stated for {}, but it makes {}: {}.",
                        stitches(stated),
                        called(row),
                        stitches(makes),
                        difference(makes, stated)
                    ),
                )
                .row(row.number)
                .found(stitches(stated))
                .expected(stitches(makes))
                .help("Correct the stated count, or the row."),
            );
        }
        before = Some((row, makes));
    }
    findings
}

/// What is wrong between two rows of a chart that meet at its own width: each further working of the repeat must bring
/// the second row as many stitches as it uses there, or the rows part at every other width. Of rows that don't show what
/// they repeat the reader of charts has seen to it, with the chart one repeat wider.
fn in_each_working(pattern: &Pattern, last: &Row, row: &Row) -> Option<Finding> {
    pattern.multiple.filter(|_| is_chart(pattern))?;
    let made = pattern.stitches.makes(working(last)?);
    let used = pattern.stitches.uses(working(row)?);
    (used != made).then(|| {
        Finding::new(
            Code::CountMismatch,
            row.place.clone(),
            format!(
                "In each working of the repeat Row {} uses {}, but {} makes {} there: the rows add up at this width only.",
                row.number,
                stitches(used),
                called(last),
                stitches(made),
            ),
        )
        .row(row.number)
        .found(stitches(used))
        .expected(stitches(made))
        .help("Look at both rows between the edges of the repeat; with one width alone to be worked, leave the repeat out.")
    })
}

/// Notes on strands carried further than `longest` stitches behind the work, in rows of more than one colour.
pub fn floats(pattern: &Pattern, longest: u32) -> Vec<Finding> {
    let mut findings = Vec::new();
    if !pattern.stitches.have_colours() {
        return findings;
    }
    for row in &pattern.rows {
        let colours: Vec<_> =
            row.stitches.iter().map(|&id| pattern.stitches.get(id).colour.as_deref()).collect();
        if colours.windows(2).all(|pair| pair[0] == pair[1]) {
            continue;
        }
        // While one colour is worked the others float behind it.
        let run = colours.chunk_by(|one, two| one == two).max_by_key(|run| run.len());
        let Some(run) = run.filter(|run| run.len() > longest as usize) else { continue };
        let colour = run.first().copied().flatten().unwrap_or("one colour");
        findings.push(
            Finding::new(
                Code::LongFloat,
                row.place.clone(),
                format!(
                    "Row {} works {} sts of {colour} together: the other yarn floats behind all of them.",
                    row.number,
                    run.len()
                ),
            )
            .row(row.number)
            .found(stitches(u32::try_from(run.len()).unwrap_or(u32::MAX)))
            .expected(format!("{longest} sts or fewer"))
            .help("Catch the float, or set longest-float."),
        );
    }
    findings
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

/// Where to look first: the two rows that meet, and their increases and decreases.
fn likeliest(pattern: &Pattern, number: u32, uses: u32, made: u32) -> String {
    let balance = |number: u32| {
        let row = pattern.rows.iter().find(|row| row.number == number)?;
        let (mut more, mut fewer) = (0, 0);
        for &id in &row.stitches {
            let stitch = pattern.stitches.get(id);
            more += stitch.makes.saturating_sub(stitch.uses);
            fewer += stitch.uses.saturating_sub(stitch.makes);
        }
        Some((more, fewer))
    };
    let drawn =
        pattern.rows.iter().filter(|row| row.number < number && row.charted).max_by_key(|row| row.number);
    let mut help = String::new();
    if let Some(drawn) = drawn
        && let Some((more, fewer)) = balance(drawn.number)
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
}
