//! What stands in the name of a result between stem and ending, read again: the letter of a chart, and a style.

use std::collections::BTreeSet;

use longhand::settings::Settings;
use longhand::style::{self, Style};

use super::super::styles::Styles;
use super::plain;

/// The names of house styles as they stand in the names of results.
#[derive(Clone, Debug)]
pub struct StyleNames(BTreeSet<String>);

impl StyleNames {
    /// Those of the built-in styles.
    pub fn built_in() -> Self {
        let mut names = Self(BTreeSet::new());
        style::built_in().iter().for_each(|style| names.know(style));
        names
    }

    /// Another style that results may be named after.
    pub fn know(&mut self, style: &Style) {
        self.0.insert(plain(&style.name));
    }

    /// The styles of some settings. After one that can't be read nothing was named.
    pub fn know_all(&mut self, settings: &Settings, known: &mut Styles) {
        let styles = settings.styles.iter().flatten().filter_map(|name| known.get(name).ok());
        styles.for_each(|style| self.know(&style));
    }
}

/// What a name says behind its stem.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tail<'n> {
    /// The letter of a chart.
    pub letter: Option<&'n str>,
    /// A style.
    pub style: Option<&'n str>,
}

impl<'n> Tail<'n> {
    /// Reads what follows a stem, without the ending: nothing, `.B`, `.uk` or `.B.uk`; `None` where it is anything else.
    pub fn of(rest: &'n str, styles: &StyleNames) -> Option<Self> {
        let mut parts = rest.split('.');
        if parts.next() != Some("") {
            return None;
        }
        let is_style = |part: &&str| styles.0.contains(*part);
        match (parts.next(), parts.next(), parts.next()) {
            (None, ..) => Some(Self::default()),
            (style, None, _) if style.as_ref().is_some_and(is_style) => Some(Self { letter: None, style }),
            (Some(letter), style, None) if is_letter(letter) && style.as_ref().is_none_or(is_style) => {
                Some(Self { letter: Some(letter), style })
            }
            _ => None,
        }
    }

    /// Cuts a name without its ending into its stem and what follows, as much as there may be.
    pub fn cut(name: &'n str, styles: &StyleNames) -> (&'n str, Self) {
        let last = name.rfind('.').unwrap_or(0);
        let before = name.get(..last).and_then(|name| name.rfind('.')).unwrap_or(0);
        [before, last]
            .into_iter()
            .filter(|at| *at > 0)
            .find_map(|at| {
                let (stem, rest) = name.split_at_checked(at)?;
                Some((stem, Self::of(rest, styles)?))
            })
            .unwrap_or((name, Self::default()))
    }
}

/// Whether a part of a name is the letter of a chart: A, B ... Z, AA.
fn is_letter(part: &str) -> bool {
    (1..=2).contains(&part.len()) && part.chars().all(|c| c.is_ascii_uppercase())
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::super::{Disk, Wanted, names};
    use super::*;

    fn styles() -> StyleNames {
        let mut styles = StyleNames::built_in();
        for name in ["Harbour House", "v2.1", "../L'Atelier"] {
            styles.know(&Style { name: name.to_owned(), ..style::built_in()[0].clone() });
        }
        styles
    }

    #[test]
    fn what_is_no_tail_is_none() {
        let styles = styles();
        let tail = |letter, style| Some(Tail { letter, style });
        for (rest, expected) in [
            ("", tail(None, None)),
            (".AA", tail(Some("AA"), None)),
            (".uk", tail(None, Some("uk"))),
            (".B.v2-1", tail(Some("B"), Some("v2-1"))),
            (".", None),
            (".AAA", None),
            (".b", None),
            (".uk.B", None),
            (".B.", None),
            (".A.B.uk", None),
            ("2", None),
            ("2.uk", None),
        ] {
            assert_eq!(Tail::of(rest, &styles), expected, "{rest}");
        }
    }

    /// Whatever a result is called, its name comes apart again.
    #[test]
    fn names_come_apart_as_they_were_put_together() {
        let styles = styles();
        for name in ["uk", "Harbour House", "v2.1", "../L'Atelier"] {
            for (below, stem) in [("scarf.xlsx", "scarf"), ("scarf.v2.ods", "scarf.v2"), ("A.csv", "A")] {
                for (chart, style) in
                    [(None, None), (Some("AA"), None), (None, Some(name)), (Some("B"), Some(name))]
                {
                    let below = Path::new(below);
                    let wanted = Wanted { below, input: 0, chart, style, ending: "txt" };
                    let named = names(&[below], &[wanted], Disk::default()).remove(0);
                    let named = named.file_stem().unwrap().to_str().unwrap();
                    let said = style.map(plain);
                    let tail = Tail { letter: chart, style: said.as_deref() };
                    assert_eq!(Tail::cut(named, &styles), (stem, tail), "{named}");
                    assert_eq!(Tail::of(named.strip_prefix(stem).unwrap(), &styles), Some(tail), "{named}");
                }
            }
        }
    }
}
