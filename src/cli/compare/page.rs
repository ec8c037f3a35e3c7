//! One page with both beside each other, row by row. It stands alone: no script, nothing from elsewhere. What differs
//! stands in square brackets, so that colour is not the only mark.

use std::fmt::Write as _;

use longhand::compare::{Beside as Rows, Cell, Half, Sameness};
use longhand::convert::Pair;
use longhand::problem::Finding;

use super::super::report::{number_of, page_text as escaped};
use super::folders::Class;
use super::{Beside, rows};

mod overview;

pub(super) use overview::FOLDERS;

pub(super) fn document(beside: &Beside<'_>) -> String {
    let mut page = head([beside.left, beside.right], verdict(Class::of(beside.verdict)));
    for pair in beside.pairs {
        self::pair(pair, "h2", &mut page);
    }
    findings(beside.findings.iter().copied(), "h2", &mut page);
    page.push_str(FOOT);
    page
}

/// How a page ends.
const FOOT: &str = "</main>\n</body>\n</html>\n";

/// How a page on two files or folders begins.
fn head(two: [&str; 2], verdict: &str) -> String {
    let title = two.map(escaped).join(" and ");
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{title}</title>\n<style>\n{}</style>\n</head>\n<body>\n<main>\n<h1>{title}</h1>\n<p>{}</p>\n",
        include_str!("page.css"),
        escaped(verdict)
    )
}

/// What two files or folders come to, in a sentence.
fn verdict(class: Class) -> &'static str {
    match class {
        Class::SameStitches => "They say the same, stitch for stitch.",
        Class::SameFabric => "They make the same fabric, worked otherwise in places.",
        Class::Different => "They differ. What differs stands in [square brackets].",
        _ => "They could not be compared.",
    }
}

/// A table of all rows of two charts under a heading.
fn pair(pair: &Pair, heading: &str, page: &mut String) {
    let _ = writeln!(page, "<{heading}>{}</{heading}>", escaped(&pair.title));
    let [left, right] = &pair.heads;
    let differ = pair.rows.iter().filter(|row| row.sameness() == Sameness::Different).count();
    let caption = match (differ, pair.rows.len()) {
        (_, 0) => "Their rows were not compared.".to_owned(),
        (0, all) => format!("{}, none of which differ.", number_of(all, "row")),
        (1, all) => format!("{}, one of which differs.", number_of(all, "row")),
        (some, all) => format!("{}, {some} of which differ.", number_of(all, "row")),
    };
    let (one, two) = (escaped(&pair.left), escaped(&pair.right));
    let head = ["Row", &one, &two, "Verdict"]
        .map(|name| format!("<th role=\"columnheader\" scope=\"col\">{name}</th>"))
        .concat();
    let _ = writeln!(
        page,
        "<table role=\"table\">\n<caption>{caption}</caption>\n<thead role=\"rowgroup\">\n<tr role=\"row\">{head}</tr>\n\
         </thead>\n<tbody role=\"rowgroup\">",
    );
    let same = left == right;
    let mark = |lines: &[String]| {
        if same { escaped(&lines.join(" ")) } else { marked(&format!("[{}]", lines.join(" "))) }
    };
    let word = if same { "same" } else { "differs" };
    line("Before the rows", [(&pair.left, mark(left)), (&pair.right, mark(right))], word, !same, page);
    for row in &pair.rows {
        self::row(row, pair, page);
    }
    page.push_str("</tbody>\n</table>\n");
}

fn row(row: &Rows, pair: &Pair, page: &mut String) {
    let word = match (row.sameness(), &row.left, &row.right) {
        (_, None, _) | (_, _, None) => "missing in one",
        (Sameness::Same, ..) => "same",
        (Sameness::Alike, ..) => "same fabric",
        (Sameness::Different, ..) => "differs",
    };
    let cells = [
        (&pair.left, side(&row.left, &row.cells, |cell| &cell.left)),
        (&pair.right, side(&row.right, &row.cells, |cell| &cell.right)),
    ];
    let differs = row.sameness() == Sameness::Different;
    line(&rows::label(row, pair), cells, word, differs, page);
}

/// A line of the table: its name, what each of the two says, what it comes to. The roles keep it a line of a table
/// where a narrow screen folds it.
fn line(name: &str, sides: [(&String, String); 2], word: &str, differs: bool, page: &mut String) {
    let class = if differs { " class=\"differs\"" } else { "" };
    let cells =
        sides.map(|(of, said)| format!("<td role=\"cell\" data-of=\"{}\">{said}</td>", escaped(of))).concat();
    let _ = writeln!(
        page,
        "<tr role=\"row\"{class}><th role=\"rowheader\" scope=\"row\">{}</th>{cells}<td role=\"cell\">{word}</td></tr>",
        escaped(name)
    );
}

/// What one of the two says in a row.
fn side(half: &Option<Half>, cells: &[Cell], side: fn(&Cell) -> &Vec<String>) -> String {
    if half.is_none() {
        return "no such row".to_owned();
    }
    let shown = cells.iter().map(|cell| {
        let pieces = side(cell);
        match cell.sameness {
            Sameness::Same => escaped(&pieces.join(", ")),
            _ => marked(&rows::marked(pieces)),
        }
    });
    shown.collect::<Vec<_>>().join(", ")
}

fn marked(text: &str) -> String {
    format!("<mark>{}</mark>", escaped(text))
}

fn findings<'a>(findings: impl Iterator<Item = &'a Finding>, heading: &str, page: &mut String) {
    let mut findings = findings.peekable();
    if findings.peek().is_none() {
        return;
    }
    let _ = writeln!(page, "<{heading}>Findings</{heading}>\n<dl>");
    for finding in findings {
        let row = finding.row.map(|row| format!(", row {row}")).unwrap_or_default();
        let _ = writeln!(
            page,
            "<dt>{} {}, {}{row}</dt>\n<dd>{}</dd>",
            finding.severity(),
            finding.code,
            escaped(&finding.place.to_string()),
            escaped(&finding.message)
        );
        if !finding.help.is_empty() {
            let _ = writeln!(page, "<dd>{}</dd>", escaped(&finding.help));
        }
    }
    page.push_str("</dl>\n");
}
