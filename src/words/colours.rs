//! Colours that a text names: how it spells each, and what each is called.

use std::sync::Arc;

use super::{row, shade};

/// The colours of a text. What is said first of a spelling holds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Colours {
    spellings: Vec<Spelling>,
    /// Spellings with marks that part the words of a row, in lower case.
    marked: Vec<String>,
    /// Whether the text itself names any.
    stated: bool,
}

/// The words of a spelling, and the colour they name.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Spelling {
    words: Vec<String>,
    name: Arc<str>,
}

impl Colours {
    /// A spelling of a colour, and what the colour is called.
    pub fn add(&mut self, spelling: &str, name: &str) {
        self.stated |= self.learn(spelling, name);
    }

    /// The abbreviations that the trade has for colours, where the text says nothing else of them.
    pub fn add_trade(&mut self) {
        for (spelling, name) in shade::trade() {
            self.learn(spelling, name);
        }
        for number in 1..=9 {
            self.learn(&format!("CC{number}"), &format!("CC{number}"));
        }
    }

    /// A letter that stands for a colour the text does not name.
    pub fn add_letter(&mut self, letter: &str) {
        self.learn(letter, letter);
    }

    fn learn(&mut self, spelling: &str, name: &str) -> bool {
        let (words, marked) = row::spelled(spelling);
        if words.is_empty() || self.spellings.iter().any(|known| known.words == words) {
            return false;
        }
        if marked {
            self.marked.extend(words.iter().cloned());
        }
        self.spellings.push(Spelling { words, name: name.into() });
        true
    }

    /// Whether the text itself names any colour.
    pub fn stated(&self) -> bool {
        self.stated
    }

    /// The names of the colours that the text itself states and those the trade knows.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.spellings.iter().map(|spelling| &*spelling.name)
    }

    /// The colour that words were likely meant to name, the words before it set aside.
    pub fn nearest(&self, text: &str) -> Option<&str> {
        let words: Vec<&str> =
            text.split_whitespace().skip_while(|word| shade::is_row_link(&word.to_lowercase())).collect();
        crate::nearest::nearest(&words.join(" "), self.names())
    }

    /// The colour that a text names, with nothing left over: "navy", "in navy", "with yarn A".
    pub fn named(&self, text: &str) -> Option<Arc<str>> {
        let words = row::words_of(text, self);
        let (at, name) = self.at_end(&words)?;
        (at == 0).then_some(name)
    }

    /// Spellings with marks that part the words of a row.
    pub(super) fn marked(&self) -> &[String] {
        &self.marked
    }

    /// The colour at the end of some words, and where it begins with the words that join it.
    pub(super) fn at_end(&self, words: &[String]) -> Option<(usize, Arc<str>)> {
        let found = self
            .spellings
            .iter()
            .filter(|spelling| words.ends_with(&spelling.words))
            .max_by_key(|spelling| spelling.words.len())?;
        let mut at = words.len() - found.words.len();
        while at
            .checked_sub(1)
            .and_then(|before| words.get(before))
            .is_some_and(|word| shade::is_row_link(word))
        {
            at -= 1;
        }
        Some((at, Arc::clone(&found.name)))
    }

    /// The colour at the beginning of some words, and how many they are.
    pub(super) fn at_start(&self, words: &[String]) -> Option<(usize, Arc<str>)> {
        let links = words.iter().take_while(|word| shade::is_row_link(word)).count();
        let rest = words.get(links..)?;
        let found = self
            .spellings
            .iter()
            .filter(|spelling| rest.starts_with(&spelling.words))
            .max_by_key(|spelling| spelling.words.len())?;
        Some((links + found.words.len(), Arc::clone(&found.name)))
    }
}

/// Whether some words can only be meant as a colour, be it named in the text or not: "A", "yarn B", "dark red".
pub fn stands_for_colour(text: &str) -> bool {
    let lower = text.to_lowercase();
    let mut words: Vec<&str> =
        lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    while words.len() > 1 && words.first().is_some_and(|word| shade::is_row_link(word)) {
        words.remove(0);
    }
    let letter = matches!(words[..], ["a" | "b" | "c" | "d" | "e" | "f" | "g" | "h"]);
    let capital = text.trim().chars().next_back().is_some_and(char::is_uppercase);
    let named = words.len() <= 3 && words.last().is_some_and(|word| shade::is_name(word));
    (letter && capital) || named
}

#[cfg(test)]
mod tests {
    use super::*;

    fn colours() -> Colours {
        let mut colours = Colours::default();
        for name in ["navy", "dark blue", "blue", "B", "No. 4, red"] {
            colours.add(name, name);
        }
        colours.add("A", "cream");
        colours.add_trade();
        colours
    }

    #[test]
    fn colours_are_named_in_many_ways() {
        for (text, name) in [
            ("navy", Some("navy")),
            ("Navy", Some("navy")),
            ("dark blue", Some("dark blue")),
            ("in dark-blue", Some("dark blue")),
            ("with yarn A", Some("cream")),
            ("main colour", Some("MC")),
            ("CC2", Some("CC2")),
            ("No. 4, red", Some("No. 4, red")),
            ("light blue", None),
            ("red", None),
            ("", None),
        ] {
            assert_eq!(colours().named(text).as_deref(), name, "{text}");
        }
    }
}
