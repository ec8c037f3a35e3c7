//! Web pages: the text of the body as a browser would lay it out in lines.

use html5gum::{DefaultEmitter, Span, Token, Tokenizer};

use super::left_out::{LeftOut, Why};
use crate::document::{Kind, Line};

/// Elements that stand on lines of their own, with room around them.
const BLOCKS: &[&str] = &[
    "address",
    "article",
    "aside",
    "blockquote",
    "body",
    "dl",
    "fieldset",
    "figure",
    "footer",
    "form",
    "h1",
    "h2",
    "h3",
    "h4",
    "h5",
    "h6",
    "header",
    "hr",
    "main",
    "nav",
    "ol",
    "p",
    "pre",
    "section",
    "table",
    "ul",
];
/// Elements that begin a line.
const LINES: &[&str] = &["br", "caption", "dd", "div", "dt", "figcaption", "li", "tr"];
/// Elements whose text is not shown.
const UNSEEN: &[&str] = &["script", "style", "template", "title", "noscript"];

/// Elements that hold nothing and have no end.
const VOID: &[&str] =
    &["area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"];

/// Elements whose text has a line through it.
const STRUCK: &[&str] = &["s", "del", "strike"];

pub(super) fn lines(source: &str, left_out: &mut LeftOut) -> Vec<Line> {
    let mut page = Page {
        source,
        lines: Vec::new(),
        line: Line::default(),
        kind: Kind::Text,
        places: Places::new(source),
        lists: Vec::new(),
        item: None,
    };
    let mut unseen: Option<Vec<u8>> = None;
    let mut preformatted = false;
    let mut unread: Option<Unread> = None;
    let mut emitter = DefaultEmitter::<usize>::new_with_span();
    emitter.naively_switch_states(true);
    for token in Tokenizer::new_with_emitter(source, emitter) {
        let Ok(token) = token;
        match token {
            Token::String(text) if unseen.is_none() => {
                if unread.is_none() {
                    left_out.end();
                }
                let left_out = unread.as_ref().map(|unread| (&mut *left_out, unread.why));
                page.text(&text.value, text.span, preformatted, left_out);
            }
            Token::StartTag(tag) if unseen.is_none() => {
                let name = String::from_utf8_lossy(&tag.name).into_owned();
                if UNSEEN.contains(&name.as_str()) && !tag.self_closing {
                    unseen = Some(tag.name.to_vec());
                }
                preformatted |= name == "pre";
                if unread.as_mut().is_some_and(|open| open.ends_before(&name)) {
                    unread = None;
                }
                if makes_lines(&name) {
                    left_out.end();
                }
                let empty = tag.self_closing || unseen.is_some() || VOID.contains(&name.as_str());
                if let (None, false) = (&unread, empty) {
                    let attribute = |name: &str| tag.attributes.get(name.as_bytes()).map(|value| &value[..]);
                    unread = why(&name, attribute("style"), attribute("hidden").is_some())
                        .map(|why| Unread { element: name.clone(), why, within: Vec::new() });
                } else if let (Some(open), false) = (&mut unread, empty) {
                    open.begin(&name);
                }
                page.begin(&name);
                // An item that nobody sees is not counted.
                if unread.as_ref().is_none_or(|open| open.why != Why::Hidden) {
                    page.list(&name, tag.attributes.get(&b"start"[..]).map(|start| &start.value[..]));
                }
            }
            Token::EndTag(tag) => {
                if unseen.as_deref() == Some(&tag.name[..]) {
                    unseen = None;
                } else if unseen.is_none() {
                    let name = String::from_utf8_lossy(&tag.name).into_owned();
                    if unread.as_mut().is_some_and(|open| open.ends_at(&name)) {
                        unread = None;
                    }
                    preformatted &= name != "pre";
                    page.end(&name);
                }
            }
            _ => {}
        }
    }
    page.finish();
    page.lines
}

/// An element whose text is left out.
struct Unread {
    element: String,
    why: Why,
    /// The elements open inside it that make lines, or are called like it.
    within: Vec<String>,
}

impl Unread {
    fn matters(&self, name: &str) -> bool {
        self.element == name || makes_lines(name)
    }

    fn begin(&mut self, name: &str) {
        if self.matters(name) {
            self.within.push(name.to_owned());
        }
    }

    /// Whether it ends where an element begins: a paragraph ends where the next begins, whether or not the page says so.
    fn ends_before(&mut self, name: &str) -> bool {
        while self.within.pop_if(|last| is_ended_by(last, name)).is_some() {}
        self.within.is_empty() && is_ended_by(&self.element, name)
    }

    /// Whether it ends with the end of an element: its own, or one around it.
    fn ends_at(&mut self, name: &str) -> bool {
        if !self.matters(name) {
            return false;
        }
        // A paragraph holds none of these, and the end of one that never began ends nothing.
        if name == "p" && self.element != "p" {
            _ = self.within.pop_if(|last| last == "p");
            return false;
        }
        match self.within.iter().rposition(|open| open == name) {
            Some(at) => self.within.truncate(at),
            None => return true,
        }
        false
    }
}

/// Whether an element makes lines or cells.
fn makes_lines(name: &str) -> bool {
    BLOCKS.contains(&name)
        || LINES.contains(&name)
        || matches!(name, "td" | "th" | "thead" | "tbody" | "tfoot")
}

/// Whether an element ends where another begins, though nothing says so.
fn is_ended_by(open: &str, next: &str) -> bool {
    match open {
        "p" => BLOCKS.contains(&next) || LINES.contains(&next) && next != "br",
        "li" => next == "li",
        "dt" | "dd" => matches!(next, "dt" | "dd"),
        "td" | "th" => matches!(next, "td" | "th" | "tr" | "tbody" | "tfoot"),
        "tr" => matches!(next, "tr" | "tbody" | "tfoot"),
        _ => false,
    }
}

/// Why the text of an element is left out by its name, its own style or as hidden; none where it is read.
fn why(name: &str, style: Option<&[u8]>, hidden: bool) -> Option<Why> {
    match style.map(|style| String::from_utf8_lossy(style).to_lowercase()) {
        _ if hidden => Some(Why::Hidden),
        Some(style) if is_unseen(&style) => Some(Why::Hidden),
        Some(style) if is_line_through(&style) => Some(Why::Struck),
        _ => STRUCK.contains(&name).then_some(Why::Struck),
    }
}

/// The rules of a style, each a name and a value.
fn rules(style: &str) -> impl Iterator<Item = (&str, &str)> {
    style.split(';').filter_map(|rule| rule.split_once(':')).map(|(name, value)| (name.trim(), value.trim()))
}

/// Whether an element's own style hides it.
fn is_unseen(style: &str) -> bool {
    let is = |value: &str, word: &str| value.split(['!', ' ']).next() == Some(word);
    rules(style).any(|(name, value)| match name {
        "display" => is(value, "none"),
        "visibility" => is(value, "hidden") || is(value, "collapse"),
        _ => false,
    })
}

/// Whether an element's own style draws a line through its text.
fn is_line_through(style: &str) -> bool {
    rules(style).any(|(name, value)| name.starts_with("text-decoration") && value.contains("line-through"))
}

struct Page<'s> {
    source: &'s str,
    lines: Vec<Line>,
    line: Line,
    kind: Kind,
    places: Places<'s>,
    /// The numbers that the lists reached, those without numbers too.
    lists: Vec<Option<u32>>,
    /// The number of the item that the next line begins.
    item: Option<u32>,
}

impl Page<'_> {
    fn begin(&mut self, name: &str) {
        match name {
            "td" | "th" => {
                self.line.begin_cell();
                self.kind = Kind::Cells;
            }
            _ if BLOCKS.contains(&name) => self.part(),
            _ if LINES.contains(&name) => self.finish(),
            _ => {}
        }
        if matches!(name, "h1" | "h2" | "h3" | "h4" | "h5" | "h6") {
            self.kind = Kind::Heading;
        }
    }

    /// Counts the items of lists. `start` is the number of a list's first item, where the page says it.
    fn list(&mut self, name: &str, start: Option<&[u8]>) {
        let start = start.and_then(|start| std::str::from_utf8(start).ok()?.trim().parse::<u32>().ok());
        match name {
            "ol" => self.lists.push(Some(start.unwrap_or(1))),
            "ul" => self.lists.push(None),
            "li" => {
                self.item = self.lists.last().copied().flatten();
                if let Some(Some(next)) = self.lists.last_mut() {
                    *next = next.saturating_add(1);
                }
            }
            _ => {}
        }
    }

    fn end(&mut self, name: &str) {
        if matches!(name, "ol" | "ul") {
            self.lists.pop();
        }
        if BLOCKS.contains(&name) {
            self.part();
        } else if LINES.contains(&name) {
            self.finish();
        }
        if name == "li" {
            self.item = None;
        }
    }

    /// Ends the line, if it holds anything.
    fn finish(&mut self) {
        let mut line = std::mem::take(&mut self.line);
        let kind = std::mem::take(&mut self.kind);
        line.mark("");
        line.end_cell();
        if !line.text.is_empty() {
            line.kind = kind;
            line.item = self.item.take();
            line.whole = true;
            self.lines.push(line);
        }
    }

    /// Ends the line and leaves a blank one.
    fn part(&mut self) {
        self.finish();
        if self.lines.last().is_some_and(|line| !line.is_blank()) {
            self.lines.push(Line::default());
        }
    }

    /// Adds text with its spaces as a browser shows them. Each letter has its place in the source; one that a name
    /// such as `&amp;` stands for has that of the name. Where it is left out, it is kept apart.
    fn text(
        &mut self,
        value: &[u8],
        span: Span<usize>,
        preformatted: bool,
        mut left_out: Option<(&mut LeftOut, Why)>,
    ) {
        let value = String::from_utf8_lossy(value);
        let mut at = span.start;
        for c in value.chars() {
            let raw = self.source.get(at..).unwrap_or_default();
            let length = match raw.chars().next() {
                Some(own) if own == c => own.len_utf8(),
                Some('&') => raw.bytes().take(40).position(|byte| byte == b';').map_or(1, |end| end + 1),
                Some(own) => own.len_utf8(),
                None => 0,
            };
            if preformatted && c == '\n' {
                self.finish();
            } else if let Some((left_out, why)) = &mut left_out {
                let (line, column) = self.places.of(at);
                left_out.push(line, column, c.encode_utf8(&mut [0; 4]), *why);
            } else if c.is_whitespace() {
                if !self.line.text.is_empty() && !self.line.text.ends_with(' ') {
                    self.line.text.push(' ');
                }
            } else {
                let (line, column) = self.places.of(at);
                self.line.push(line, column, c.encode_utf8(&mut [0; 4]));
            }
            at += length;
        }
    }
}

/// Lines and columns of the source, asked for from its beginning to its end.
struct Places<'s> {
    source: &'s str,
    byte: usize,
    line: u32,
    column: u32,
}

impl<'s> Places<'s> {
    const fn new(source: &'s str) -> Self {
        Self { source, byte: 0, line: 1, column: 1 }
    }

    fn of(&mut self, byte: usize) -> (u32, u32) {
        for c in self.source.get(self.byte..byte).unwrap_or_default().chars() {
            if c == '\n' {
                self.line += 1;
                self.column = 1;
            } else {
                self.column += 1;
            }
        }
        self.byte = self.byte.max(byte);
        (self.line, self.column)
    }
}
