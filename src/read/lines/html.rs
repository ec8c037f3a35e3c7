//! Web pages: the text of the body as a browser would lay it out in lines.

use html5gum::{DefaultEmitter, Span, Token, Tokenizer};

use super::struck::Struck;
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

/// Elements whose text has a line through it.
const STRUCK: &[&str] = &["s", "del", "strike"];

pub(super) fn lines(source: &str, struck: &mut Struck) -> Vec<Line> {
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
    let mut crossed: Option<Crossed> = None;
    let mut emitter = DefaultEmitter::<usize>::new_with_span();
    emitter.naively_switch_states(true);
    for token in Tokenizer::new_with_emitter(source, emitter) {
        let Ok(token) = token;
        match token {
            Token::String(text) if unseen.is_none() => {
                if crossed.is_none() {
                    struck.end();
                }
                let struck = crossed.is_some().then_some(&mut *struck);
                page.text(&text.value, text.span, preformatted, struck);
            }
            Token::StartTag(tag) if unseen.is_none() => {
                let name = String::from_utf8_lossy(&tag.name).into_owned();
                if UNSEEN.contains(&name.as_str()) && !tag.self_closing {
                    unseen = Some(tag.name.to_vec());
                }
                preformatted |= name == "pre";
                let style = tag.attributes.get(&b"style"[..]).map(|style| &style.value[..]);
                let crosses = STRUCK.contains(&name.as_str()) || style.is_some_and(is_line_through);
                match &mut crossed {
                    // A paragraph ends where the next begins.
                    Some(open) if name == "p" && open.element == "p" => crossed = None,
                    Some(open) if open.element == name => open.depth += 1,
                    _ => {}
                }
                if crossed.is_none() && crosses && !tag.self_closing {
                    crossed = Some(Crossed { element: name.clone(), depth: 1 });
                }
                page.begin(&name);
                page.list(&name, tag.attributes.get(&b"start"[..]).map(|start| &start.value[..]));
            }
            Token::EndTag(tag) => {
                if unseen.as_deref() == Some(&tag.name[..]) {
                    unseen = None;
                } else if unseen.is_none() {
                    let name = String::from_utf8_lossy(&tag.name).into_owned();
                    if let Some(open) = crossed.as_mut().filter(|open| open.element == name) {
                        open.depth -= 1;
                        crossed = crossed.filter(|open| open.depth > 0);
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

/// An element whose text has a line through it: its name, and how many of that name are open from it on.
struct Crossed {
    element: String,
    depth: u32,
}

/// Whether an element's own style draws a line through its text.
fn is_line_through(style: &[u8]) -> bool {
    let style = String::from_utf8_lossy(style).to_lowercase();
    style
        .split(';')
        .filter_map(|rule| rule.split_once(':'))
        .any(|(name, value)| name.trim().starts_with("text-decoration") && value.contains("line-through"))
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
    /// such as `&amp;` stands for has that of the name. Where it is struck out, it is kept apart.
    fn text(&mut self, value: &[u8], span: Span<usize>, preformatted: bool, mut struck: Option<&mut Struck>) {
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
            } else if let Some(struck) = &mut struck {
                let (line, column) = self.places.of(at);
                struck.push(line, column, c.encode_utf8(&mut [0; 4]));
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
