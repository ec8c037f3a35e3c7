//! The rows that a chart does not draw, put between those it draws.

use super::super::order::{Order, Undrawn, side_of};
use super::super::returns::{Needle, Rule, Turn};
use super::build::{Build, Charted};
use super::limits;
use super::rule::Rules;
use crate::pattern::{Row, Side, Worked as Way};
use crate::place::Place;
use crate::problem::{Code, Finding};
use crate::settings::SkippedRows;
use crate::stitch::StitchId;
use crate::written::Misfit;

/// Why a chart leaves a row out.
#[derive(Clone, Copy, PartialEq, Eq)]
enum LeftOut {
    /// It draws right-side rows alone.
    Return,
    /// It is a plain row, or told in words.
    Skipped,
}

/// The rows so far.
struct Underway {
    /// What they leave on the needle, where that is followed.
    needle: Needle,
    /// Derived ones that work double yarn overs against their rule.
    doubled: Vec<u32>,
    /// Those that work both loops of one alike, as stated, each with where that is.
    alike: Vec<(u32, Place)>,
    /// The stitches of those derived.
    written: usize,
}

impl Build<'_, '_> {
    /// The charted rows with the derived ones between them.
    pub(super) fn all_rows(
        &mut self,
        order: &Order,
        charted: Vec<Charted>,
        rules: &Rules,
    ) -> Option<Vec<Row>> {
        let way = self.settings.worked.unwrap_or_default();
        let first = charted.first()?;
        let first_uses = self.stitches.uses(&first.worked.stitches);
        // Of most charts every second row is drawn.
        let mut rows: Vec<Row> = Vec::with_capacity(2 * charted.len());
        let mut needle = Needle::plain(first_uses);
        // The loops are followed where a row is worked by them.
        let derives = order.leaves_rows_out();
        if order.undrawn == Undrawn::Before && first.numbered.number > 0 {
            let (row, after) = self.first_return_row(order, &charted, rules, first_uses)?;
            needle = after;
            rows.push(row);
        }
        let mut underway = Underway { needle, doubled: Vec::new(), alike: Vec::new(), written: 0 };
        let mut charted = charted.into_iter().peekable();
        while let Some(row) = charted.next() {
            let number = row.numbered.number;
            if derives {
                let turn = self.turn(row.numbered.side);
                underway.needle = underway.needle.after(&row.worked, turn, self.stitches);
            }
            rows.push(Row {
                number,
                side: row.numbered.side,
                charted: row.drawn,
                stitches: row.worked.stitches,
                place: row.place.clone(),
                cells: if row.drawn { row.worked.cells } else { Vec::new() },
                stated: row.numbered.row.stated.filter(|_| row.drawn).map(|(count, _)| count),
                repeat: row.repeat,
            });
            let next = charted.peek().map(|next| next.numbered.number);
            // None follows a return row that is drawn, or a row that leaves no stitch.
            let returns = order.undrawn == Undrawn::After && number % 2 == 1 && underway.needle.count() > 0;
            let until = next.unwrap_or(if returns { number + 2 } else { number + 1 });
            for derived in number + 1..until {
                let left_out = match order.undrawn {
                    // The row right after a charted one, or right before the next.
                    Undrawn::After if derived == number + 1 => LeftOut::Return,
                    Undrawn::Before if derived + 1 == until => LeftOut::Return,
                    _ => LeftOut::Skipped,
                };
                let side = side_of(derived, order.first_side, way);
                rows.push(self.derived_row((derived, side), left_out, &row.place, rules, &mut underway)?);
            }
        }
        self.findings.extend(self.double_yarn_overs(&underway.doubled));
        self.findings.extend(worked_alike(underway.alike));
        Some(rows)
    }

    /// A row that the chart leaves out, worked by its rule; nothing where it can't be.
    fn derived_row(
        &mut self,
        (number, side): (u32, Side),
        left_out: LeftOut,
        after: &Place,
        rules: &Rules,
        underway: &mut Underway,
    ) -> Option<Row> {
        let plain = match self.settings.skipped_rows {
            Some(SkippedRows::Purl) => Some(Rule::Purl),
            Some(SkippedRows::Knit) => Some(Rule::Knit),
            Some(SkippedRows::Error) | None => None,
        };
        let told = rules.told(number).map(|(rule, _)| rule);
        let stated = if left_out == LeftOut::Return { Some(rules.of(number)) } else { told };
        let Some(rule) = stated.or(plain.as_ref()) else {
            self.findings.push(untold(number, after.clone()));
            return None;
        };
        let place = rules.place_of(number).unwrap_or(after);
        let (turn, needle) = (self.turn(side), &underway.needle);
        let made = match needle.derive(rule, turn, self.stitches) {
            Ok(made) => made,
            Err(misfit) => {
                self.misfit(misfit, number, place.clone(), needle.count());
                return None;
            }
        };
        if stated.is_some() {
            self.leftover(&made.stitches, rule, number, place, needle.count());
        }
        underway.doubled.extend(made.doubled_against_rule.then_some(number));
        underway.alike.extend(made.worked_alike.then(|| (number, place.clone())));
        underway.written += made.stitches.len();
        if let Some(large) = limits::stitches(|| self.whole(), underway.written) {
            self.findings.push(large);
            return None;
        }
        underway.needle = needle.after_derived(&made.stitches, turn, self.stitches);
        Some(Row {
            number,
            side,
            charted: false,
            stitches: made.stitches,
            place: after.clone(),
            cells: Vec::new(),
            stated: None,
            repeat: None,
        })
    }

    /// Says in which rows a double yarn over was worked otherwise than by their rule.
    fn double_yarn_overs(&self, rows: &[u32]) -> Option<Finding> {
        let numbers = rows.iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
        let word = if rows.len() == 1 { "Row" } else { "Rows" };
        let round = self.settings.worked == Some(Way::Round);
        let working = if round { "(k1, p1)" } else { "(p1, k1)" };
        let message = format!(
            "{word} {numbers}: the two loops of a double yarn over are worked {working}, so that they stay two."
        );
        (!rows.is_empty()).then(|| {
            Finding::new(Code::DoubleYarnOver, self.whole(), message)
                .help("Nothing, if that is what is meant; the symbol's own ws in the key says otherwise.")
        })
    }

    /// How a row of this side is worked.
    fn turn(&self, side: Side) -> Turn {
        let (way, hand) = (self.settings.worked.unwrap_or_default(), self.settings.hand.unwrap_or_default());
        Turn { side, way, hand }
    }

    /// Row 1 where the even rows are drawn: it works the loops that the last charted row leaves, if the counts fit.
    fn first_return_row(
        &mut self,
        order: &Order,
        charted: &[Charted],
        rules: &Rules,
        first_uses: u32,
    ) -> Option<(Row, Needle)> {
        let way = self.settings.worked.unwrap_or_default();
        let (first, last) = (charted.first()?, charted.last()?);
        let number = first.numbered.number.checked_sub(1).filter(|number| *number >= 1)?;
        let rule = rules.of(number);
        let side = side_of(number, order.first_side, way);
        let left = Needle::plain(0).after(&last.worked, self.turn(last.numbered.side), self.stitches);
        let fits = left.count() == first_uses;
        if !fits && matches!(rule, Rule::AsTheyAppear) {
            self.findings.push(
                Finding::new(
                    Code::FirstReturnRow,
                    first.place.clone(),
                    format!(
                        "Row {number} is not drawn. As they appear, it would work the stitches that Row {} leaves, but those are {} and Row {} uses {first_uses}.",
                        last.numbered.number,
                        left.count(),
                        first.numbered.number
                    ),
                )
                .row(number)
                .found(format!("{} sts", left.count()))
                .expected(format!("{first_uses} sts"))
                .help("Set return-rows to purl, knit or a sentence, or draw Row 1."),
            );
            return None;
        }
        let needle = if fits { left } else { Needle::plain(first_uses) };
        let turn = self.turn(side);
        let made = match needle.derive(rule, turn, self.stitches) {
            Ok(made) => made,
            Err(misfit) => {
                let place = rules.place_of(number).unwrap_or(&first.place).clone();
                self.misfit(misfit, number, place, needle.count());
                return None;
            }
        };
        let after = needle.after_derived(&made.stitches, turn, self.stitches);
        let row = Row {
            number,
            side,
            charted: false,
            stitches: made.stitches,
            place: first.place.clone(),
            cells: Vec::new(),
            stated: None,
            repeat: None,
        };
        Some((row, after))
    }

    /// A stated return row must use every stitch there is.
    fn leftover(&mut self, row: &[StitchId], rule: &Rule, number: u32, place: &Place, loops: u32) {
        let uses = self.stitches.uses(row);
        if !matches!(rule, Rule::Stated(_)) || uses == loops {
            return;
        }
        let place = place.clone();
        self.findings.push(
            Finding::new(
                Code::ReturnRowFit,
                place,
                format!(
                    "The stated return row uses {uses} sts on Row {number}, but Row {} leaves {loops}.",
                    number - 1
                ),
            )
            .row(number)
            .found(format!("{uses} sts"))
            .expected(format!("{loops} sts"))
            .help("Correct return-rows: \"to end\" or \"to last 3 sts\" fits every width."),
        );
    }

    fn misfit(&mut self, misfit: Misfit, number: u32, place: Place, loops: u32) {
        let why = match misfit {
            Misfit::TooFewLeft { wanted, left } => {
                format!("it should be worked to the last {wanted} sts, but only {left} are left there")
            }
            Misfit::DoesNotDivide { unit, span, over } => {
                format!("its repeat uses {unit} sts and must fill {span}: {over} are left over")
            }
            Misfit::Needs { uses, loops } => format!("it uses {uses} sts, but there are only {loops}"),
            Misfit::NeverEnds => "its repeat uses no stitches and would never end".to_owned(),
            Misfit::OpenInside => "a repeat to the end stands inside another repeat".to_owned(),
            Misfit::TooLong => "it is longer than any row of knitting".to_owned(),
        };
        self.findings.push(
            Finding::new(
                Code::ReturnRowFit,
                place,
                format!("The stated return row does not fit Row {number}, which has {loops} sts: {why}."),
            )
            .row(number)
            .found(format!("{loops} sts"))
            .help("Correct return-rows, or the row before."),
        );
    }
}

/// Says of a row that the numbers leave out that nothing tells how it is worked.
fn untold(number: u32, after: Place) -> Finding {
    Finding::new(
        Code::RowNumberGap,
        after,
        format!("Row {number} is missing: what the sheet says of it does not tell it."),
    )
    .row(number)
    .help("Tell it by rows before it, \"Rows 5-8: Rep Rows 3 and 4 twice more\", or draw it.")
}

/// Says in which rows both loops of a double yarn over are worked alike, as a stated return row says.
fn worked_alike(rows: Vec<(u32, Place)>) -> Option<Finding> {
    let numbers = rows.iter().map(|(number, _)| number.to_string()).collect::<Vec<_>>().join(", ");
    let word = if rows.len() == 1 { "Row" } else { "Rows" };
    let (_, place) = rows.into_iter().next()?;
    let message = format!(
        "{word} {numbers}: both loops of a double yarn over are worked alike, as the stated return row says: they may fall into one."
    );
    Some(
        Finding::new(Code::DoubleYarnOver, place, message)
            .help("Nothing, if that is what is meant; ws in the key, or return-rows = \"purl\", has them worked (p1, k1)."),
    )
}
