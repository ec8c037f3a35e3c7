//! Sentences that speak of what may change the rows of a chart, in words that can't be followed.

use super::Sentence;
use crate::place::Address;
use crate::problem::{Code, Finding};
use crate::settings::{self, FirstRow, Settings};

/// Says which sentences were not followed although they speak of what may change the rows of a chart. `stands` tells of a cell
/// that is prose still beside which row it stands, if beside any.
pub(in crate::chart) fn spoken(
    sentences: &[&Sentence],
    settings: &Settings,
    first_row: Option<FirstRow>,
    stands: impl Fn(Address) -> Option<Option<u32>>,
) -> Vec<Finding> {
    let open = |sentence: &&Sentence| {
        let stated = |name: &str| match name {
            "first-row" => first_row.is_some() || settings.first_row.is_some(),
            name => settings::is_stated(settings, name),
        };
        sentence.says.speaks.and_then(|speaks| speaks.setting).is_none_or(|name| !stated(name))
    };
    let told = |sentence: &&Sentence| {
        if let Some((name, why)) = &sentence.says.no_setting {
            let finding = sentence.not_followed(&format!("the setting {name} can't be \"{}\"", why.found));
            return Some(finding.help(format!(
                "Nothing, if it is about something else. The setting can be {}.",
                why.expected
            )));
        }
        let speaks = sentence.says.speaks?;
        let message = format!(
            "\"{}\" speaks of {}, in words that can't be followed: it goes into the text as it is and changes no row.",
            sentence.text, speaks.of
        );
        let finding = sentence.finding(Code::SentenceNotFollowed, message);
        Some(finding.help(match (speaks.help, &speaks.setting) {
            (Some(help), _) => format!("Nothing, if the rows are right so. Otherwise {help}"),
            (None, Some(setting)) => format!("Nothing, if the rows are right so. Otherwise set {setting}, or say it in other words."),
            (None, None) => "Nothing, if the rows are right so. Otherwise draw the chart so that it shows what is meant.".to_owned(),
        }))
    };
    let placed = |sentence: &Sentence| Some(Finding { row: stands(sentence.at)?, ..told(&sentence)? });
    sentences.iter().copied().filter(open).filter_map(placed).collect()
}
