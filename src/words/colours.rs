//! Colours that a text names: how it spells each, and what each is called.

use std::collections::HashMap;
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

/// The longest name that stands beside an abbreviation, in characters and in words: what is longer tells of the yarn.
const LONGEST_NAME: (usize, usize) = (30, 4);

/// Whether some words are a name beside an abbreviation, and no description: "dark red", not "three balls of island wool".
pub fn is_brief(name: &str) -> bool {
    name.chars().count() <= LONGEST_NAME.0 && name.split_whitespace().count() <= LONGEST_NAME.1
}

/// Whether words stand for a colour in lists: MC, CC2, A, C1, "yarn B", "main colour".
pub fn is_abbreviation(term: &str) -> bool {
    let term = term.to_lowercase();
    let words: Vec<&str> = term.split_whitespace().collect();
    let short = |word: &str| {
        let letters = word.trim_end_matches(|c: char| c.is_ascii_digit());
        matches!(letters, "mc" | "cc" | "col")
            || (word.len() == 1 && matches!(letters, "a" | "b" | "c" | "d" | "e" | "f" | "g" | "h"))
            || (word.len() == 2 && letters == "c")
    };
    match words[..] {
        [word] => short(word),
        ["yarn" | "colour" | "color" | "shade", word] => short(word) || word.parse::<u8>().is_ok(),
        ["main" | "contrast" | "contrasting" | "background", "colour" | "color"] => true,
        ["contrast" | "contrasting", "colour" | "color", word] => word.parse::<u8>().is_ok(),
        _ => false,
    }
}

/// A colour's abbreviation and its name, where one text tells both: "Navy (MC)", "MC = navy", "CC: cream", "A - sage",
/// "B is rust".
pub fn two_names(text: &str) -> Option<(&str, &str)> {
    const MARKS: [&str; 6] = ["=", ":", " - ", " is ", "\u{2013}", "\u{2014}"];
    let (one, two) = text.strip_suffix(')').and_then(|text| text.split_once('(')).or_else(|| {
        let pairs = MARKS.iter().filter_map(|mark| text.split_once(mark));
        pairs.min_by_key(|(before, _)| before.len())
    })?;
    let (one, two) = (one.trim(), two.trim());
    // In such a pair any one letter is meant as an abbreviation.
    let short = |name: &str| {
        let mut letters = name.chars();
        let letter = letters.next().is_some_and(char::is_alphabetic) && letters.next().is_none();
        letter || is_abbreviation(name)
    };
    match (short(one), short(two)) {
        _ if one.is_empty() || two.is_empty() => None,
        (true, _) => Some((one, two)),
        (false, true) => Some((two, one)),
        (false, false) => None,
    }
}

/// What a colour is called that has both: its name, where that is one, else its abbreviation.
pub fn one_name<'t>(abbreviation: &'t str, name: &'t str) -> &'t str {
    if is_brief(name) && !is_abbreviation(name) { name } else { abbreviation }
}

/// The abbreviation and the name of each of some colours that has both. None of a colour of whose names another has one,
/// too: "A: cream" and "B: cream" are told apart by all they are called.
pub fn told_twice<'t>(colours: &[&'t str]) -> Vec<Option<(&'t str, &'t str)>> {
    let pairs: Vec<Option<(&str, &str)>> = colours.iter().map(|colour| two_names(colour)).collect();
    let mut names: HashMap<String, usize> = HashMap::new();
    for (pair, whole) in pairs.iter().zip(colours) {
        let (one, two) = pair.map_or((*whole, None), |(one, two)| (one, Some(two)));
        for name in [Some(one), two].into_iter().flatten() {
            *names.entry(name.to_lowercase()).or_default() += 1;
        }
    }
    let once = |name: &str| names.get(&name.to_lowercase()) == Some(&1);
    pairs.into_iter().map(|pair| pair.filter(|(one, two)| once(one) && once(two))).collect()
}

/// Whether the name of a colour holds marks that part the words of a row.
pub fn is_marked(name: &str) -> bool {
    row::spelled(name).1
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
