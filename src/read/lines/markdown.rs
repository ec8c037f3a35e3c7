//! Markdown, line by line. A general reader of markdown takes the asterisks of "*K2, p2; rep from * to end" for
//! emphasis wherever a pair of them fits, so only marks that can't be knitting are taken off: escapes, headings, list
//! marks, tables, and bold or italics around the beginning of a line.

use super::left_out::{LeftOut, Why};
use super::placed;
use crate::document::{Kind, Line};

pub(super) fn lines(text: &str, left_out: &mut LeftOut) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    let mut above = ((0, 1), "");
    let mut in_table = false;
    for (number, column, raw) in placed(text) {
        let at = (number, column);
        let trimmed = raw.trim();
        // A table without bars at the ends of its lines is told by the line under its head.
        in_table = trimmed.contains('|') && (in_table || is_rule(trimmed));
        if in_table && is_rule(trimmed) && above.1.contains('|') && !above.1.trim().starts_with('|') {
            lines.pop();
            lines.extend(table_row(above.0, above.1, left_out));
        }
        above = (at, raw);
        if trimmed.starts_with("```") || trimmed.starts_with("~~~") {
            continue;
        }
        let under = |mark: char| trimmed.len() > 1 && trimmed.chars().all(|c| c == mark);
        if (under('=') || under('-'))
            && let Some(above) = lines.last_mut().filter(|line| !line.is_blank())
        {
            above.kind = Kind::Heading;
            continue;
        }
        if under('-') || under('*') || under('_') {
            lines.push(Line::at(number, column, ""));
        } else if in_table || trimmed.starts_with('|') {
            lines.extend(table_row(at, raw, left_out));
        } else {
            lines.push(line(at, raw, left_out));
        }
    }
    lines
}

/// The characters of a line with their columns.
fn columns(first: u32, raw: &str) -> Vec<(u32, char)> {
    (first..).zip(raw.chars()).collect()
}

fn line((number, first): (u32, u32), raw: &str, left_out: &mut LeftOut) -> Line {
    let all = columns(first, raw);
    let mut rest: &[(u32, char)] = &all;
    let mut kind = Kind::Text;
    trim_start(&mut rest);
    while matches!(rest, [(_, '>'), ..]) {
        rest = &rest[1..];
        trim_start(&mut rest);
    }
    let hashes = rest.iter().take_while(|(_, c)| *c == '#').count();
    if (1..=6).contains(&hashes) && rest.get(hashes).is_none_or(|(_, c)| c.is_whitespace()) {
        kind = Kind::Heading;
        rest = &rest[hashes..];
        trim_start(&mut rest);
        while matches!(rest, [.., (_, '#')]) && !matches!(rest, [.., (_, '\\'), _]) {
            rest = &rest[..rest.len() - 1];
        }
    } else if let [(_, mark), (_, ' '), after @ ..] = rest {
        // An asterisk that has a partner in the line opens a repeat.
        let repeat = *mark == '*' && after.iter().any(|(_, c)| *c == '*');
        if matches!(mark, '-' | '+' | '*') && !repeat {
            rest = after;
            trim_start(&mut rest);
        }
    }
    while matches!(rest, [.., (_, c)] if c.is_whitespace()) {
        rest = &rest[..rest.len() - 1];
    }
    let mut line = unmarked(number, rest, left_out);
    line.kind = kind;
    if line.text.is_empty() {
        return Line::at(number, first, "");
    }
    line
}

fn trim_start(rest: &mut &[(u32, char)]) {
    while let [(_, c), after @ ..] = rest
        && c.is_whitespace()
    {
        *rest = after;
    }
}

/// The text without escapes, without bold or italics around its beginning, and without what is struck out, "~~k2~~".
fn unmarked(number: u32, chars: &[(u32, char)], left_out: &mut LeftOut) -> Line {
    let mut line = Line::default();
    let mut at = 0;
    let stars = chars.iter().take_while(|(_, c)| *c == '*').count();
    let closing = emphasis(chars, stars);
    if closing.is_some() {
        at = stars;
    }
    while let Some(&(column, c)) = chars.get(at) {
        if closing == Some(at) {
            at += stars;
            continue;
        }
        if let Some(length) = struck_out(chars.get(at..).unwrap_or_default()) {
            let inside = chars.get(at + 2..at + length - 2).unwrap_or_default();
            let text: String = inside.iter().map(|(_, c)| c).collect();
            left_out.push(number, column + 2, &text, Why::Struck);
            left_out.end();
            at += length;
            continue;
        }
        let next = chars.get(at + 1).map(|(_, c)| *c);
        let before = at.checked_sub(1).and_then(|before| chars.get(before)).map(|(_, c)| *c);
        let inside = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
        match c {
            '\\' if next.is_some_and(|next| next.is_ascii_punctuation()) => {
                line.push(number, column + 1, &next.unwrap_or(c).to_string());
                at += 1;
            }
            '_' if !(inside(before) && inside(next)) => {}
            '`' => {}
            '&' => {
                let rest: String = chars[at..].iter().take(6).map(|(_, c)| *c).collect();
                let entity = [("&amp;", "&"), ("&lt;", "<"), ("&gt;", ">"), ("&nbsp;", " ")]
                    .into_iter()
                    .find(|(name, _)| rest.starts_with(name));
                line.push(number, column, entity.map_or("&", |(_, is)| is));
                at += entity.map_or(0, |(name, _)| name.len() - 1);
            }
            c => line.push(number, column, c.encode_utf8(&mut [0; 4])),
        }
        at += 1;
    }
    line
}

/// How many letters are struck out from here, with the marks at both ends, "~~k2~~".
fn struck_out(chars: &[(u32, char)]) -> Option<usize> {
    let mark = |at: usize| chars.get(at..at + 2).is_some_and(|two| two.iter().all(|(_, c)| *c == '~'));
    let end = mark(0).then(|| (3..chars.len()).find(|&at| mark(at)))??;
    Some(end + 2)
}

/// Where the bold or italics end that a text begins with: "**Row 1 (RS):** K2". What is marked so ends with a letter,
/// a colon or a bracket and holds no comma, as a label does and a repeat does not.
fn emphasis(chars: &[(u32, char)], stars: usize) -> Option<usize> {
    if stars == 0 || stars > 3 || chars.get(stars).is_none_or(|(_, c)| c.is_whitespace()) {
        return None;
    }
    let rest = chars.get(stars..)?;
    let end = stars + rest.iter().position(|(_, c)| *c == '*')?;
    let closes = chars.get(end..end + stars)?.iter().all(|(_, c)| *c == '*')
        && chars.get(end + stars).is_none_or(|(_, c)| *c != '*');
    let inner = chars.get(stars..end)?;
    let whole = end + stars == chars.len();
    let label = inner.last().is_some_and(|(_, c)| !c.is_whitespace())
        && (whole
            || inner.last().is_some_and(|(_, c)| *c == ':')
            || chars.get(end + stars).is_some_and(|(_, c)| *c == ':' || *c == '(')
            || !inner.iter().any(|(_, c)| matches!(c, ',' | ';')) && inner.iter().any(|(_, c)| *c == ' '));
    (closes && label).then_some(end)
}

/// Whether a line only parts the head of a table from its rows: "| --- | :---: |".
fn is_rule(raw: &str) -> bool {
    raw.contains('|') && raw.contains('-') && raw.chars().all(|c| matches!(c, '|' | '-' | ':' | ' ' | '\t'))
}

/// A row of a table; none for the line under its head.
fn table_row((number, first): (u32, u32), raw: &str, left_out: &mut LeftOut) -> Option<Line> {
    let chars = columns(first, raw.trim_end());
    let mut line = Line::default();
    let mut cell: Vec<(u32, char)> = Vec::new();
    let mut cells = Vec::new();
    let mut at = 0;
    while let Some(&(column, c)) = chars.get(at) {
        match c {
            '|' => cells.push(std::mem::take(&mut cell)),
            '\\' => {
                cell.push((column, c));
                at += 1;
                cell.extend(chars.get(at));
            }
            _ => cell.push((column, c)),
        }
        at += 1;
    }
    cells.push(cell);
    if is_rule(raw) {
        return None;
    }
    let blank = |cell: Option<&Vec<(u32, char)>>| {
        cell.is_some_and(|cell| cell.iter().all(|(_, c)| c.is_whitespace()))
    };
    // Bars at both ends of the line part no cells.
    if blank(cells.first()) {
        cells.remove(0);
    }
    if blank(cells.last()) {
        cells.pop();
    }
    for cell in &cells {
        let mut rest: &[(u32, char)] = cell;
        trim_start(&mut rest);
        while matches!(rest, [.., (_, c)] if c.is_whitespace()) {
            rest = &rest[..rest.len() - 1];
        }
        line.begin_cell();
        line.append(&unmarked(number, rest, left_out));
    }
    line.end_cell();
    line.kind = Kind::Cells;
    line.whole = true;
    Some(line)
}
