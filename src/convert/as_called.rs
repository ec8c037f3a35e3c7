//! Patterns that stand in JSON, and what a call says of them: a JSON holds a pattern as it is worked, so that settings which
//! say how a chart is to be read come too late for it.

use std::sync::Arc;

use crate::pattern::{Multiple, Pattern, Size};
use crate::place::Place;
use crate::problem::{Code, Finding};
use crate::settings::{self, Section, Settings, TABLE};

/// The longest row that is written out for a cast-on or a size, in stitches.
const LONGEST_ROW: usize = 1_000_000;

/// A pattern on the cast-on and in the sizes that a call asks for, and what is to be said of it; no pattern where it can't
/// be worked so. Settings of the call that it can't follow are told.
pub(super) fn as_called(
    file: &Arc<str>,
    pattern: Pattern,
    call: &Settings,
) -> (Option<Pattern>, Vec<Finding>) {
    let place = Place::file(file);
    let mut findings: Vec<Finding> = not_followed(&place, &pattern, call).into_iter().collect();
    match on_its_width(place, pattern, call) {
        Ok(pattern) => (Some(pattern), findings),
        Err(finding) => {
            findings.push(finding);
            (None, findings)
        }
    }
}

/// Says which settings of the call change nothing, where the pattern is otherwise than they say.
fn not_followed(place: &Place, pattern: &Pattern, call: &Settings) -> Option<Finding> {
    let is_so = |name: &str| match name {
        "worked" => call.worked == Some(pattern.worked),
        "hand" => call.hand == Some(pattern.hand),
        "first-side" => call.first_side == pattern.rows.first().map(|row| row.side),
        "cast-on" | "sizes" => true,
        _ => false,
    };
    let left: Vec<&str> = TABLE
        .iter()
        .filter(|entry| entry.section == Section::Chart && entry.in_file())
        .map(|entry| entry.name)
        .filter(|name| settings::is_stated(call, name) && !is_so(name))
        .collect();
    (!left.is_empty()).then(|| {
        let changes = if left.len() == 1 { "changes" } else { "change" };
        Finding::new(
            Code::SettingNotFollowed,
            place.clone(),
            format!("{} {changes} nothing: the JSON holds the pattern as it is worked.", left.join(", ")),
        )
        .help("Leave it out, or read the chart that the JSON was made of, with this setting.")
    })
}

/// The pattern on the cast-on, or in the sizes, of the call.
fn on_its_width(place: Place, mut pattern: Pattern, call: &Settings) -> Result<Pattern, Finding> {
    let own = pattern.multiple.and_then(|multiple| Some((multiple, multiple.times(pattern.cast_on)?)));
    let sizes: Vec<Size> = match (&call.sizes, call.cast_on, own) {
        (None, None, _) => return Ok(pattern),
        (None, Some(cast_on), _) if cast_on == pattern.cast_on => return Ok(pattern),
        (None, Some(cast_on), None) => return Err(one_width(place, pattern.cast_on, cast_on)),
        (None, Some(cast_on), Some((multiple, _))) => {
            let times = multiple.times(cast_on).ok_or_else(|| uneven(&place, multiple, cast_on))?;
            vec![Size { name: String::new(), times, cast_on }]
        }
        (Some(_), _, None) => {
            let message = "Sizes are set, but the pattern has no repeat to be worked more often.";
            return Err(Finding::new(Code::RepeatColumns, place, message).help("Leave sizes out."));
        }
        (Some(sizes), cast_on, Some((multiple, _))) => {
            let sized = |(name, times): &(String, u32)| Size {
                name: name.clone(),
                times: *times,
                cast_on: multiple.width(*times),
            };
            let sizes: Vec<Size> = sizes.iter().map(sized).collect();
            if let (Some(cast_on), Some(first)) = (cast_on, sizes.first())
                && first.cast_on != cast_on
            {
                return Err(settings::sizes_disagree(place, first.times, first.cast_on, cast_on));
            }
            sizes
        }
    };
    let Some((first, (_, own))) = sizes.first().zip(own) else { return Ok(pattern) };
    // The rows are those of the pattern's own width, whatever its sizes are called.
    pattern.sizes = vec![Size { name: String::new(), times: own, cast_on: pattern.cast_on }];
    let Some(worked) = pattern.in_size(first, LONGEST_ROW) else {
        let message = format!(
            "The pattern can't be written for {} sts: a row does not say what it repeats.",
            first.cast_on
        );
        return Err(Finding::new(Code::RepeatDoesNotFit, place, message)
            .help("Leave cast-on and sizes out, or read the chart itself with them."));
    };
    let sizes = if call.sizes.is_some() { sizes } else { Vec::new() };
    Ok(Pattern { sizes, ..worked })
}

fn one_width(place: Place, own: u32, cast_on: u32) -> Finding {
    Finding::new(
        Code::CastOnMismatch,
        place,
        format!(
            "The pattern is worked on {own} sts and has no repeat, so that it can't be written for {cast_on}."
        ),
    )
    .found(format!("{cast_on} sts"))
    .expected(format!("{own} sts"))
    .help("Leave cast-on out.")
}

fn uneven(place: &Place, multiple: Multiple, cast_on: u32) -> Finding {
    let fits = match multiple.nearest(cast_on) {
        (None, more) => format!("{more} sts"),
        (Some(less), more) => format!("{less} or {more} sts"),
    };
    Finding::new(
        Code::RepeatDoesNotFit,
        place.clone(),
        format!("The repeat does not fit the cast-on of {cast_on} sts: the pattern takes {multiple}."),
    )
    .found(format!("{cast_on} sts"))
    .expected(fits)
    .help("Correct the cast-on.")
}
