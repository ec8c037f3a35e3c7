//! The page of two folders: every pairing in one table, those to be looked at first; below it the rows of each that is
//! not the same stitch for stitch.

use std::fmt::Write as _;

use super::super::folders::{Class, Form, Outcome, Whole, counted};
use super::{FOOT, escaped, findings, head, number_of, pair, verdict};

/// The page.
pub(in super::super) const FOLDERS: Form = Form {
    begin: |_| String::new(),
    one: |_, outcome| one(outcome),
    between: "",
    aside: None,
    end,
    is_kept: true,
};

/// The rows and findings of a pairing; nothing where all is the same.
fn one(outcome: &Outcome) -> String {
    let mut text = String::new();
    if matches!(outcome.class, Class::SameStitches | Class::NoRows) && !outcome.is_to_be_looked_at() {
        return text;
    }
    let _ = writeln!(text, "<h2>{}</h2>\n<p>{}.</p>", escaped(&outcome.called()), sentence(&outcome.words()));
    for each in &outcome.pairs {
        pair(each, "h3", &mut text);
    }
    findings(outcome.findings.iter(), "h3", &mut text);
    text
}

/// What a pairing comes to, with a capital.
fn sentence(words: &str) -> String {
    let mut words = words.to_owned();
    if let Some(first) = words.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    words
}

fn end(whole: &Whole<'_>) -> String {
    let [left, right] = &whole.folders;
    let verdict = match whole.verdict() {
        Class::NotCompared => "They could not be compared throughout.",
        class => verdict(class),
    };
    let mut page = head([left, right], verdict);
    let files = number_of(whole.tally.files(), "file");
    let _ = writeln!(page, "<p>{files} read, {}.</p>", counted(whole));
    if !whole.complete {
        page.push_str("<p>The comparison was stopped before its end: other files were not looked at.</p>\n");
    }
    findings(whole.findings.iter(), "h2", &mut page);
    table(whole, &mut page);
    for (at, kept) in whole.kept.iter().enumerate().filter(|(_, kept)| !kept.text.is_empty()) {
        let _ = write!(page, "<section id=\"at-{at}\">\n{}</section>\n", kept.text);
    }
    page.push_str(FOOT);
    page
}

/// Every pairing in a line, those to be looked at first.
fn table(whole: &Whole<'_>, page: &mut String) {
    let looked_at = whole.kept.iter().filter(|kept| kept.is_to_be_looked_at).count();
    let head = ["Verdict", &whole.folders[0], &whole.folders[1]]
        .map(|name| format!("<th role=\"columnheader\" scope=\"col\">{}</th>", escaped(name)))
        .concat();
    let _ = writeln!(
        page,
        "<h2>All files</h2>\n<table role=\"table\" class=\"overview\">\n<caption>{}, {looked_at} of them to be looked \
         at. The rows stand below, but for those that are all the same.</caption>\n<thead role=\"rowgroup\">\n<tr role=\"row\">{head}</tr>\n</thead>\n<tbody role=\"rowgroup\">",
        number_of(whole.kept.len(), "line"),
    );
    let mut lines: Vec<_> = whole.kept.iter().enumerate().collect();
    lines.sort_by_key(|(_, kept)| (!kept.is_to_be_looked_at, kept.class));
    for (at, kept) in lines {
        let differs = if kept.is_to_be_looked_at { " class=\"differs\"" } else { "" };
        let words = sentence(&kept.words);
        let link = if kept.text.is_empty() { words } else { format!("<a href=\"#at-{at}\">{words}</a>") };
        let cell = |(side, folder): (&Option<String>, &String)| {
            let said = side.as_ref().map_or_else(|| "nothing".to_owned(), |side| escaped(side));
            format!("<td role=\"cell\" data-of=\"{}\">{said}</td>", escaped(folder))
        };
        let cells: String = kept.sides.iter().zip(&whole.folders).map(cell).collect();
        let _ = writeln!(
            page,
            "<tr role=\"row\"{differs}><th role=\"rowheader\" scope=\"row\">{link}</th>{cells}</tr>"
        );
    }
    page.push_str("</tbody>\n</table>\n");
}
