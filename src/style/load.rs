//! Reading styles: the file's own entries laid over those of the style it is like, one by one, so that whatever is
//! wrong can be told by its line.

use std::ops::Range;
use std::sync::Arc;

use serde::Deserialize;
use toml::de::{DeTable, DeValue};
use toml::{Spanned, Table, Value};

use super::{SOURCES, Style};
use crate::nearest::nearest;
use crate::place::{Place, stem};
use crate::problem::{Code, Finding};
use crate::tables;

/// The style that others are like unless they say.
const BASE: &str = "abbreviated";

/// Keys that belong to the file rather than to the style.
const LIKE: &str = "like";

/// Why a file is no style: where in it, and what to say.
struct Fault {
    span: Range<usize>,
    found: Option<String>,
    expected: Option<String>,
    message: String,
    help: String,
}

/// A built-in style. Its data is compiled in, and every one is read by the tests.
pub(super) fn built_in(name: &str) -> Option<Style> {
    Style::deserialize(built_in_table(name)?).ok()
}

/// The whole table of a built-in style, with what it takes from the style it is like.
fn built_in_table(name: &str) -> Option<Table> {
    let (_, text) = SOURCES.iter().find(|(own, _)| *own == name)?;
    let mut own: Table = tables::read(text);
    match own.remove(LIKE) {
        Some(Value::String(base)) => {
            let mut table = built_in_table(&base)?;
            lay_over(&mut table, own);
            Some(table)
        }
        _ => Some(own),
    }
}

fn lay_over(below: &mut Table, own: Table) {
    for (key, value) in own {
        match (below.get_mut(&key), value) {
            (Some(Value::Table(below)), Value::Table(own)) => lay_over(below, own),
            (_, value) => {
                below.insert(key, value);
            }
        }
    }
}

pub(super) fn parse(text: &str, file: &Arc<str>) -> Result<Style, Finding> {
    read(text, file).map_err(|fault| {
        let place = Place::in_text(file, text, fault.span.start);
        let mut finding = Finding::new(Code::WrongSetting, place, fault.message).help(fault.help);
        finding.found = fault.found;
        finding.expected = fault.expected;
        finding
    })
}

fn read(text: &str, file: &str) -> Result<Style, Fault> {
    let syntax = |error: toml::de::Error| Fault {
        span: error.span().unwrap_or(0..0),
        found: None,
        expected: None,
        message: format!("The style file is not well formed: {}.", error.message().trim_end_matches('.')),
        help:
            "Write each entry as key = \"words\", under the [heading] it belongs to; `longhand list styles` \
               names styles to start from."
                .into(),
    };
    let spanned = DeTable::parse(text).map_err(syntax)?;
    let mut own: Table = text.parse().map_err(syntax)?;

    let mut table = base_table(&mut own, spanned.get_ref())?;
    if !own.contains_key("name") {
        table.insert("name".into(), Value::String(stem(file).to_owned()));
    }
    apply(&mut table, &own, spanned.get_ref(), &[])?;
    // Every entry has been tried on the way, so what is left can't fail.
    build(&table).map_err(|message| Fault {
        span: 0..0,
        found: None,
        expected: None,
        message,
        help: "Compare the file with a built-in style.".into(),
    })
}

/// The table of the style that the file is like; takes `like` out of it.
fn base_table(own: &mut Table, spanned: &DeTable<'_>) -> Result<Table, Fault> {
    let like = own.remove(LIKE);
    let name = match &like {
        None => BASE,
        Some(Value::String(name)) => name,
        Some(_) => "",
    };
    built_in_table(name).ok_or_else(|| {
        let names: Vec<&str> = SOURCES.iter().map(|(name, _)| *name).collect();
        let span =
            spanned.iter().find(|(key, _)| key.get_ref() == LIKE).map_or(0..0, |(_, value)| value.span());
        Fault {
            span,
            found: Some(name.to_owned()),
            expected: nearest(name, names.iter().copied()).map(str::to_owned),
            message: format!("There is no built-in style called \"{name}\" to be like."),
            help: format!("The built-in styles are {}.", names.join(", ")),
        }
    })
}

/// Lays the file's entries over the table, one at a time, trying each.
fn apply(table: &mut Table, own: &Table, spanned: &DeTable<'_>, path: &[&str]) -> Result<(), Fault> {
    for (key, value) in own {
        let (key_span, value_span, inner) = spans(spanned, key);
        let mut path = path.to_vec();
        path.push(key);
        let Some(below) = entry(table, &path) else {
            return Err(unknown_key(table, &path, key_span));
        };
        match (below, value, inner) {
            (Value::Table(_), Value::Table(own), Some(inner)) => apply(table, own, inner, &path)?,
            (below, value, _) => {
                let before = std::mem::replace(below, value.clone());
                build(table).map_err(|message| Fault {
                    span: value_span,
                    found: Some(shown(value)),
                    expected: None,
                    message: format!("{} can't be {}: {message}.", path.join("."), shown(value)),
                    help: format!("In the style it is like, it is {}.", shown(&before)),
                })?;
            }
        }
    }
    Ok(())
}

/// The style that a whole table gives, or one reason why it gives none.
fn build(table: &Table) -> Result<Style, String> {
    if let Some(path) = broken_line(table) {
        return Err(format!("{path} breaks the line"));
    }
    let style = Style::deserialize(table.clone()).map_err(|error| {
        let message = error.message().trim_end_matches(['.', '\n']).to_owned();
        message.lines().next().unwrap_or_default().to_owned()
    })?;
    for (_, template, needed, allowed) in style.templates() {
        if let Some(gap) = template.gaps().find(|gap| !needed.contains(gap) && !allowed.contains(gap)) {
            let known: Vec<String> = needed.iter().chain(allowed).map(|name| format!("{{{name}}}")).collect();
            return Err(format!("there is no {{{gap}}} here, only {}", known.join(", ")));
        }
        if let Some(missing) = needed.iter().find(|name| !template.prints(name)) {
            return Err(format!("it must hold {{{missing}}}"));
        }
    }
    if style.name.is_empty() || style.name.contains(['/', '\\', ':']) {
        return Err("a name is part of file names".into());
    }
    if style.fold.nesting == 0 {
        return Err("1 is the least: a repeat with none inside".into());
    }
    Ok(style)
}

/// The first entry that holds a line break: every printed piece stands on one line.
fn broken_line(table: &Table) -> Option<String> {
    table.iter().find_map(|(key, value)| match value {
        Value::String(text) => text.contains(['\n', '\r']).then(|| key.clone()),
        Value::Table(table) => broken_line(table),
        _ => None,
    })
}

fn unknown_key(table: &mut Table, path: &[&str], span: Range<usize>) -> Fault {
    let (key, above) = path.split_last().map_or(("", path), |(key, above)| (*key, above));
    let known: Vec<String> = match above {
        [] => table.keys().cloned().chain([LIKE.to_owned()]).collect(),
        above => match entry(table, above) {
            Some(Value::Table(inner)) => inner.keys().cloned().collect(),
            _ => Vec::new(),
        },
    };
    let under = if above.is_empty() { String::new() } else { format!(" under [{}]", above.join(".")) };
    Fault {
        span,
        found: Some(key.to_owned()),
        expected: nearest(key, known.iter().map(String::as_str)).map(str::to_owned),
        message: format!("A style has no \"{key}\"{under}."),
        help: format!("Known here: {}.", known.join(", ")),
    }
}

/// The spans of a key and its value, and the table it holds.
fn spans<'t, 'i>(table: &'t DeTable<'i>, key: &str) -> (Range<usize>, Range<usize>, Option<&'t DeTable<'i>>) {
    table
        .iter()
        .find(|(own, _)| own.get_ref() == key)
        .map(|(own, value)| {
            let inner = match Spanned::get_ref(value) {
                DeValue::Table(table) => Some(table),
                _ => None,
            };
            (own.span(), value.span(), inner)
        })
        .unwrap_or((0..0, 0..0, None))
}

fn entry<'t>(table: &'t mut Table, path: &[&str]) -> Option<&'t mut Value> {
    let (first, rest) = path.split_first()?;
    let value = table.get_mut(*first)?;
    match (rest, value) {
        ([], value) => Some(value),
        (rest, Value::Table(inner)) => entry(inner, rest),
        _ => None,
    }
}

fn shown(value: &Value) -> String {
    match value {
        Value::Array(_) => "this list".to_owned(),
        Value::Table(_) => "this table".to_owned(),
        other => other.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::style::{self, Repeats, When};

    fn own(text: &str) -> Result<Style, Finding> {
        Style::parse(text, &Arc::from("house/our-style.toml"))
    }

    fn fault(text: &str) -> (String, Option<String>, String) {
        let finding = own(text).unwrap_err();
        (finding.place.to_string(), finding.expected, finding.message)
    }

    #[test]
    fn every_built_in_style_is_whole() {
        let names: Vec<&str> = SOURCES.iter().map(|(name, _)| *name).collect();
        assert_eq!(
            names,
            style::built_in().iter().map(|style| style.name.as_str()).collect::<Vec<_>>(),
            "each file is read and named as it is listed"
        );
        for name in names {
            build(&built_in_table(name).unwrap()).unwrap();
            assert!(!style::named(name).unwrap().about.is_empty());
        }
    }

    #[test]
    fn a_style_of_ones_own_says_only_what_differs() {
        let style = own("like = \"bracketed\"\n[count]\nwords = \" - {n} sts\"\n").unwrap();
        assert_eq!(style.name, "our-style", "named by its file");
        assert_eq!((style.fold.repeats, style.count.when), (Repeats::Counted, When::Every));
        assert_eq!(style.count.words.fill(&[("n", "23".into())]), " - 23 sts");
        assert_eq!(own("").unwrap().head, style::named("abbreviated").unwrap().head);
    }

    #[test]
    fn what_is_wrong_is_told_by_its_line() {
        assert_eq!(
            fault("name = \"ours\"\n[count]\nwhenn = \"every\"\n"),
            (
                "house/our-style.toml, line 3, column 1".into(),
                Some("when".into()),
                "A style has no \"whenn\" under [count].".into()
            )
        );
        let (place, _, message) = fault("[count]\nwords = \" {m} sts\"\n");
        assert_eq!(place, "house/our-style.toml, line 2, column 9");
        assert_eq!(message, "count.words can't be \" {m} sts\": there is no {m} here, only {n}.");
        let (place, _, message) = fault("[fold]\nnesting = 2\nrepeats = \"opened\"\n");
        assert_eq!(place, "house/our-style.toml, line 3, column 11");
        assert!(message.contains("expected `open` or `counted`"), "{message}");
        let (place, expected, _) = fault("\nlike = \"bracketted\"\n");
        assert_eq!(place, "house/our-style.toml, line 2, column 8");
        assert_eq!(expected.as_deref(), Some("bracketed"));
        assert_eq!(
            fault("[work]\nopen = \"*{items}; rep\"\n").2,
            "work.open can't be \"*{items}; rep\": it must hold {until}."
        );
        assert_eq!(fault("count = 3\n").0, "house/our-style.toml, line 1, column 9");
        assert_eq!(fault("name = \n").0, "house/our-style.toml, line 1, column 8");
        assert!(fault("[work]\nend = \"\"\"a\nb\"\"\"\n").2.contains("breaks the line"));
    }
}
