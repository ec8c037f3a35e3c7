//! Templates: the words of a style with gaps for what differs from row to row.
//!
//! `{n}` is filled with a value; `{n|st|sts}` is the first word where the value is one, else the second.

use std::borrow::Cow;

use serde::Deserialize;

/// What fills a gap.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Value<'t> {
    /// As it is printed.
    pub text: Cow<'t, str>,
    /// Whether it takes the singular.
    pub one: bool,
}

impl From<String> for Value<'_> {
    fn from(text: String) -> Self {
        Self { text: text.into(), one: false }
    }
}

impl<'t> From<&'t str> for Value<'t> {
    fn from(text: &'t str) -> Self {
        Self { text: text.into(), one: false }
    }
}

impl<'t> From<Cow<'t, str>> for Value<'t> {
    fn from(text: Cow<'t, str>) -> Self {
        Self { text, one: false }
    }
}

/// Words with gaps.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(try_from = "String")]
pub struct Template(Vec<Part>);

#[derive(Clone, Debug, PartialEq, Eq)]
enum Part {
    Words(String),
    Gap(String),
    Plural { by: String, one: String, many: String },
}

impl Template {
    /// The words with their gaps filled. A gap that no value is given for stays empty; [`Template::gaps`] tells
    /// beforehand which there are.
    pub fn fill(&self, values: &[(&str, Value<'_>)]) -> String {
        // Mostly long enough: what fills the gaps, and some words.
        let mut text =
            String::with_capacity(32 + values.iter().map(|(_, value)| value.text.len()).sum::<usize>());
        self.fill_behind(&mut text, values);
        text
    }

    /// The same, put behind a text.
    pub fn fill_behind(&self, text: &mut String, values: &[(&str, Value<'_>)]) {
        let value = |name: &str| values.iter().find(|(own, _)| *own == name).map(|(_, value)| value);
        for part in &self.0 {
            text.push_str(match part {
                Part::Words(words) => words,
                Part::Gap(name) => value(name).map_or("", |value| &value.text),
                Part::Plural { by, one, many } => {
                    if value(by).is_some_and(|value| value.one) {
                        one
                    } else {
                        many
                    }
                }
            });
        }
    }

    /// Whether it holds no words and no gaps.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The names of the values it is filled with.
    pub fn gaps(&self) -> impl Iterator<Item = &str> {
        self.0.iter().filter_map(|part| match part {
            Part::Words(_) => None,
            Part::Gap(name) | Part::Plural { by: name, .. } => Some(name.as_str()),
        })
    }

    /// Whether the value itself is printed, not only its plural.
    pub fn prints(&self, name: &str) -> bool {
        self.0.iter().any(|part| matches!(part, Part::Gap(own) if own == name))
    }
}

impl TryFrom<String> for Template {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        let mut parts = Vec::new();
        let mut rest = text.as_str();
        while let Some(at) = rest.find(['{', '}']) {
            let (words, gap) = rest.split_at(at);
            let (inside, after) = gap
                .strip_prefix('{')
                .and_then(|gap| gap.split_once('}'))
                .filter(|(inside, _)| !inside.contains('{'))
                .ok_or_else(|| format!("the braces in \"{text}\" do not pair up"))?;
            if !words.is_empty() {
                parts.push(Part::Words(words.to_owned()));
            }
            let pieces: Vec<&str> = inside.split('|').collect();
            parts.push(match pieces[..] {
                [name] => Part::Gap(name.to_owned()),
                [by, one, many] => {
                    Part::Plural { by: by.to_owned(), one: one.to_owned(), many: many.to_owned() }
                }
                _ => return Err(format!("{{{inside}}} is neither {{name}} nor {{name|one|many}}")),
            });
            rest = after;
        }
        if !rest.is_empty() {
            parts.push(Part::Words(rest.to_owned()));
        }
        Ok(Self(parts))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn template(text: &str) -> Template {
        Template::try_from(text.to_owned()).unwrap()
    }

    #[test]
    fn gaps_are_filled_and_plurals_chosen() {
        let count = template("({n} {n|st|sts})");
        let number = |text: &'static str, one| Value { text: text.into(), one };
        assert_eq!(count.fill(&[("n", number("23", false))]), "(23 sts)");
        assert_eq!(count.fill(&[("n", number("1", true))]), "(1 st)");
        assert_eq!(count.gaps().collect::<Vec<_>>(), ["n", "n"]);
        assert_eq!(template("").fill(&[]), "");
    }

    #[test]
    fn braces_that_do_not_pair_up_are_told() {
        for text in ["{n", "n}", "{a|b}", "{a|b|c|d}", "{a{b}}"] {
            assert!(Template::try_from(text.to_owned()).is_err(), "{text}");
        }
    }
}
