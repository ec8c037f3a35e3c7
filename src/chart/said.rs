//! Settings that stand in the sheet itself: "Cast on: 23" in one cell, or "Cast on" and 23 in two.

use super::sheet::Sheet;
use crate::place::{Address, Place};
use crate::problem::Finding;
use crate::settings::{self, Settings};

/// A setting found in a sheet.
pub(super) struct Said {
    /// Where it stands.
    pub(super) at: Address,
    /// The name of the setting.
    pub(super) name: &'static str,
    value: String,
    place: Place,
}

/// Takes the settings of a sheet; bad values are findings.
pub(super) fn take(sheet: &mut Sheet<'_>, findings: &mut Vec<Finding>) -> Vec<Said> {
    let mut said = Vec::new();
    let entry = |text: &str| match settings::name_and_value(text) {
        Some((name, value)) => settings::sheet_entry(name).map(|entry| (entry, Some(value.to_owned()))),
        None => settings::sheet_entry(text).map(|entry| (entry, None)),
    };
    for (at, (entry, value)) in sheet.tested(entry) {
        if sheet.text(at).is_none() {
            continue;
        }
        let value = match value {
            Some(value) => value,
            None => {
                let beside = sheet.after(at);
                let Some(value) = sheet.text(beside).map(|text| text.str().to_owned()) else { continue };
                sheet.take(beside);
                value
            }
        };
        // A comma cuts "Sizes: S = 3, M = 4" into cells of a csv file: what goes on so belongs to it.
        let mut value = value;
        if entry.many {
            let mut next = sheet.after(at);
            while sheet.text(next).is_some_and(|text| text.contains('='))
                && let Some(more) = sheet.take(next)
            {
                value = format!("{value}, {more}");
                next = sheet.after(next);
            }
        }
        sheet.take(at);
        match entry.set(&mut Settings::default(), &[&value]) {
            Ok(()) => said.push(Said { at, name: entry.name, value, place: sheet.grid.place(at) }),
            Err(bad) => findings.push(bad.finding(entry.name, sheet.grid.place(at))),
        }
    }
    said
}

/// The settings that serve the chart whose rows begin at `top`, one of the charts of the sheet that begin at
/// `tops`. A setting said once serves every chart of the sheet; said several times, each serves the next chart
/// below it.
pub(super) fn for_chart(said: &[Said], top: u32, tops: &[u32]) -> Settings {
    let mut settings = Settings::default();
    for one in said {
        let again = said.iter().filter(|other| other.name == one.name).count() > 1;
        let next = tops.iter().copied().filter(|&top| top > one.at.row).min();
        let nearest = next.or_else(|| tops.iter().copied().max());
        if !again || nearest == Some(top) {
            // The value was proved when it was taken.
            let _ = settings::in_sheet(&mut settings, one.name, &one.value);
            settings.places.insert(one.name, one.place.clone());
        }
    }
    settings
}
