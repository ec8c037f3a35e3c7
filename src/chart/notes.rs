//! What is said of the key and its symbols.

use super::key::{Key, quoted};
use crate::place::Place;
use crate::problem::{Code, Finding};

/// Says of each symbol once what is wrong with it, at its first cell, and how often it stands elsewhere.
pub(super) fn said_once(findings: &mut Vec<Finding>, from: usize) {
    let mut kept: Vec<(Finding, u32)> = Vec::new();
    for finding in findings.drain(from..) {
        let symbol = matches!(
            finding.code,
            Code::UnknownSymbol | Code::UnknownKeyWords | Code::AmbiguousSymbol | Code::AmbiguousDate
        );
        let same =
            |other: &&mut (Finding, u32)| other.0.code == finding.code && other.0.found == finding.found;
        match kept.iter_mut().find(|other| symbol && same(other)) {
            Some((_, times)) => *times += 1,
            None => kept.push((finding, 1)),
        }
    }
    findings.extend(kept.into_iter().map(|(mut finding, times)| {
        if times > 1 {
            let (count, cells) = (times - 1, if times == 2 { "cell" } else { "cells" });
            finding.message.push_str(&format!(" It stands in {count} more {cells} of the chart."));
        }
        finding
    }));
}

/// Notes on how symbols were matched.
pub(super) fn key_notes(key: &Key, place: &Place, findings: &mut Vec<Finding>) {
    let list = |texts: &[String]| texts.iter().map(|text| quoted(text)).collect::<Vec<_>>().join(", ");
    if !key.by_name.is_empty() {
        findings.push(
            Finding::new(
                Code::NameAsSymbol,
                place.clone(),
                format!("Not in the key, taken as the stitches they name: {}.", list(&key.by_name)),
            )
            .help("Nothing, if that is so; a key entry says otherwise."),
        );
    }
    for (code, pairs, verb) in [
        (Code::SymbolMatchedLoosely, &key.loosely, "taken as"),
        (Code::DateRestored, &key.dates, "is a date a spreadsheet made; read back as"),
    ] {
        for (text, symbol) in pairs {
            findings.push(
                Finding::new(
                    code,
                    place.clone(),
                    format!("{} {verb} {} of the key.", quoted(text), quoted(symbol)),
                )
                .found(text)
                .expected(symbol)
                .help("Type the symbol as the key has it to leave no doubt."),
            );
        }
    }
}
