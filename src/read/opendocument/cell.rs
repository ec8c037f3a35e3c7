//! One cell: what its tag says, and the value it holds.

use quick_xml::events::BytesStart;

use crate::grid::Value;
use crate::read::collect::is_blank;
use crate::read::dates;
use crate::read::xml::attributes;

/// What the tag of a cell says.
pub(super) struct Tag {
    kind: Kind,
    value: Option<String>,
    formula: Option<String>,
    /// Name of the cell's own style.
    pub(super) style: Option<String>,
    /// How many such cells stand side by side.
    pub(super) repeated: u32,
    /// How many columns it covers.
    pub(super) columns: u32,
    /// How many rows it covers.
    pub(super) rows: u32,
}

/// How the contents of a cell are to be taken.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Text,
    Number,
    Date,
    Time,
    Truth,
    Error,
}

/// How often, or how many; once where the number makes no sense.
pub(super) fn count(text: &str) -> u32 {
    text.parse().unwrap_or(1).max(1)
}

pub(super) fn tag(start: &BytesStart<'_>) -> Tag {
    let mut tag =
        Tag { kind: Kind::Text, value: None, formula: None, style: None, repeated: 1, columns: 1, rows: 1 };
    for (name, value) in attributes(start) {
        match name {
            "table:number-columns-repeated" => tag.repeated = count(&value),
            "table:number-columns-spanned" => tag.columns = count(&value),
            "table:number-rows-spanned" => tag.rows = count(&value),
            "table:style-name" => tag.style = Some(value.into_owned()),
            "table:formula" => tag.formula = Some(value.trim_start_matches("of:").to_owned()),
            // An error is text to readers that know no errors, and said to be more to those that do.
            "calcext:value-type" if value == "error" => tag.kind = Kind::Error,
            "office:value-type" if tag.kind != Kind::Error => {
                tag.kind = match &*value {
                    "float" | "percentage" | "currency" => Kind::Number,
                    "date" => Kind::Date,
                    "time" => Kind::Time,
                    "boolean" => Kind::Truth,
                    _ => Kind::Text,
                };
            }
            "office:value"
            | "office:date-value"
            | "office:time-value"
            | "office:boolean-value"
            | "office:string-value" => tag.value = Some(value.into_owned()),
            _ => {}
        }
    }
    tag
}

/// What stands in a cell.
pub(super) enum Content {
    /// Nothing that can be seen.
    Nothing,
    /// A value.
    Value(Value),
    /// A formula without its result.
    Formula(String),
}

impl Tag {
    /// What stands in the cell, given the text shown in it.
    pub(super) fn content(&self, shown: Option<String>) -> Content {
        match (value(self, shown), &self.formula) {
            (Some(Value::Text(text)), _) if is_blank(&text) => Content::Nothing,
            (Some(value), _) => Content::Value(value),
            (None, Some(formula)) => Content::Formula(formula.clone()),
            (None, None) => Content::Nothing,
        }
    }
}

/// What a cell holds: the value its tag states, else the text shown in it.
fn value(tag: &Tag, shown: Option<String>) -> Option<Value> {
    let stated = tag.value.as_deref().map(str::trim);
    let value = match tag.kind {
        Kind::Error => return shown.map(Value::Error),
        Kind::Text => None,
        Kind::Number => stated
            .and_then(|text| text.parse::<f64>().ok())
            .filter(|number| number.is_finite())
            .map(Value::Number),
        Kind::Date => stated.and_then(dates::iso),
        Kind::Time => stated.and_then(part_of_day).map(Value::Number),
        Kind::Truth => stated.map(|text| Value::Truth(text == "true")),
    };
    let text = |text: String| Value::Text(text.into());
    // The stated text of a string cell goes before the shown one.
    value.or_else(|| match tag.kind {
        Kind::Text => tag.value.clone().or(shown).map(text),
        _ => shown.or_else(|| tag.value.clone()).map(text),
    })
}

/// A time such as `PT10H30M00S` as a part of a day, as other spreadsheets keep it.
fn part_of_day(text: &str) -> Option<f64> {
    let mut rest = text.strip_prefix("PT")?;
    let mut seconds = 0.0;
    for (unit, length) in [('H', 3_600.0), ('M', 60.0), ('S', 1.0)] {
        if let Some((number, after)) = rest.split_once(unit) {
            let number: f64 = number.replace(',', ".").parse().ok()?;
            seconds += number * length;
            rest = after;
        }
    }
    (rest.is_empty() && seconds.is_finite()).then_some(seconds / 86_400.0)
}
