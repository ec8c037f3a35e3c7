//! The different texts of a sheet, each kept once under a number.

use std::collections::hash_map::Entry;
use std::num::NonZeroU32;
use std::rc::Rc;

use foldhash::{HashMap, HashMapExt};

use crate::grid::Value;

/// The number of a different text, from 1.
pub(super) type Number = NonZeroU32;

/// What a text may be. Most are symbols and numbers, which need not be asked whether they are a heading, a setting or a
/// sentence.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// A character that is no digit.
    Symbol,
    /// Digits alone.
    Number,
    /// Anything else: it may hold a word.
    Word,
}

impl Kind {
    fn of(text: &str) -> Self {
        if text.bytes().all(|byte| byte.is_ascii_digit()) {
            Self::Number
        } else if text.chars().nth(1).is_none() {
            Self::Symbol
        } else {
            Self::Word
        }
    }
}

/// The different texts, each once.
pub(super) struct Different {
    texts: Vec<Rc<str>>,
    kinds: Vec<Kind>,
    numbers: HashMap<Rc<str>, Number>,
}

impl Different {
    pub(super) fn with_capacity(few: usize) -> Self {
        Self {
            texts: Vec::with_capacity(few),
            kinds: Vec::with_capacity(few),
            numbers: HashMap::with_capacity(few),
        }
    }

    pub(super) fn number(&mut self, text: Rc<str>) -> Option<Number> {
        match self.numbers.entry(text) {
            Entry::Occupied(known) => Some(*known.get()),
            Entry::Vacant(new) => {
                let number = u32::try_from(self.texts.len() + 1).ok().and_then(Number::new)?;
                self.kinds.push(Kind::of(new.key()));
                self.texts.push(Rc::clone(new.key()));
                Some(*new.insert(number))
            }
        }
    }

    /// The number of a text as it is typed: of what can be seen of it. A text in which nothing can be seen has none.
    pub(super) fn number_of(&mut self, typed: &Rc<str>) -> Option<Number> {
        if is_plain(typed) {
            return self.number(Rc::clone(typed));
        }
        let seen = Value::Text(Rc::clone(typed)).text();
        if seen.is_empty() { None } else { self.number(seen.into()) }
    }

    /// The number of a text that is one of them.
    pub(super) fn known(&self, text: &str) -> Option<Number> {
        self.numbers.get(text).copied()
    }

    #[inline]
    pub(super) fn get(&self, number: Number) -> Option<&Rc<str>> {
        self.texts.get(index_of(number))
    }

    #[inline]
    pub(super) fn kind(&self, number: Number) -> Kind {
        self.kinds.get(index_of(number)).copied().unwrap_or(Kind::Symbol)
    }

    /// All of them, in the order of their numbers.
    pub(super) fn all(&self) -> impl Iterator<Item = (&Rc<str>, Kind)> {
        self.texts.iter().zip(self.kinds.iter().copied())
    }
}

/// Where the text of this number stands among the different texts.
#[inline]
pub(super) fn index_of(number: Number) -> usize {
    number.get() as usize - 1
}

/// Whether [`Value::text`] would leave a text as it is; of texts beyond ASCII it is not known.
fn is_plain(text: &str) -> bool {
    let bytes = text.as_bytes();
    bytes.iter().all(|byte| byte.is_ascii_graphic() || *byte == b' ')
        && bytes.first() != Some(&b' ')
        && bytes.last() != Some(&b' ')
}
