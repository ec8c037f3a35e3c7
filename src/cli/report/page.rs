//! A report as one web page that stands alone: nothing is fetched, and without its script it still says everything.
//!
//! The page is `page/page.html` with `page.css` and `page.js` set into it, and `found.html` where there are
//! findings. All that comes from outside goes through [`text`].

mod explained;
mod groups;
mod link;
mod text;

use std::collections::{HashMap, HashSet};
use std::path::Path;

use longhand::place::Spot;
use longhand::problem::{Finding, Severity};

use self::explained::explained;
use self::groups::{FileGroup, Groups, ProblemGroup};
use self::text::{filled, number, number_of};
use super::file::Reported;
use super::{Counts, called, plural};

pub use self::text::text;

const PAGE: &str = include_str!("page/page.html");
const FOUND: &str = include_str!("page/found.html");
const STYLE: &str = include_str!("page/page.css");
const SCRIPT: &str = include_str!("page/page.js");

/// The page of a call. `folder` is where it will stand: its links go out from there.
pub fn page(told: &Reported, folder: &Path) -> String {
    let groups = Groups::of(told.findings);
    let names = Names::of(told, folder);
    let counts = Counts::of(told.findings.iter().copied());
    let about = about(told);
    let main = if told.findings.is_empty() { nothing(told) } else { found(told, &groups, &names) };
    // A nonce that can't be foreseen by whoever filled in a cell, since it comes from all of the page; and the same
    // page for the same findings.
    let nonce = blake3::hash(main.as_bytes()).to_hex();
    filled(
        PAGE,
        &[
            ("nonce", nonce.get(..24).unwrap_or_default()),
            ("title", &format!("{}: {about}", counts.words())),
            ("heading", &format!("Findings in <bdi>{about}</bdi>")),
            ("verdict", verdict(counts)),
            ("counts", &summary(told, counts)),
            ("skip", if told.findings.is_empty() { "nothing" } else { "findings" }),
            ("style", STYLE),
            ("script", SCRIPT),
            ("main", &main),
        ],
    )
}

/// What was looked at: the path where it is one.
fn about(told: &Reported) -> String {
    match told.paths {
        [path] if path.as_os_str() == "-" => "standard input".to_owned(),
        [path] => text::path(path),
        paths => number_of(paths.len(), "path"),
    }
}

fn verdict(counts: Counts) -> &'static str {
    match counts {
        Counts { errors: 1.., .. } => "Something is wrong. The errors come first.",
        Counts { warnings: 1.., .. } => "Nothing is wrong, but something is likely a slip.",
        Counts { notes: 1.., .. } => "Nothing is wrong. Some things had to be assumed.",
        _ => "Nothing is wrong.",
    }
}

/// The numbers at the top.
fn summary(told: &Reported, counts: Counts) -> String {
    let numbers = [
        ("files", "Files", told.inputs.len()),
        ("charts", "Charts", told.charts),
        ("error", "Errors", counts.errors),
        ("warning", "Warnings", counts.warnings),
        ("note", "Notes", counts.notes),
    ];
    let one = |(class, word, count): (&str, &str, usize)| {
        let none = if count == 0 { " none" } else { "" };
        format!("<div class=\"{class}{none}\"><dt>{word}</dt><dd>{}</dd></div>\n", number(count))
    };
    numbers.map(one).concat()
}

fn nothing(told: &Reported) -> String {
    format!("<h2 id=\"nothing\">Nothing to note</h2>\n<p>{}</p>\n", clean_files(told.inputs.len(), 0))
}

/// "37 of 40 files have nothing to note."
fn clean_files(files: usize, noted: usize) -> String {
    match (files.saturating_sub(noted), noted) {
        (0, _) => "Each file read has something to note.".to_owned(),
        (1, 0) => "The file read has nothing to note.".to_owned(),
        (clean, 0) => format!("All {} files read have nothing to note.", number(clean)),
        (clean, _) => {
            let have = if clean == 1 { "has" } else { "have" };
            format!("{} of {} read {have} nothing to note.", number(clean), number_of(files, "file"))
        }
    }
}

fn found(told: &Reported, groups: &Groups, names: &Names) -> String {
    let all = told.findings;
    let files: HashSet<&str> = groups.files.iter().map(|group| group.file).collect();
    let noted = told.inputs.iter().filter(|(file, _)| files.contains(file)).count();
    let options: String = groups
        .problems
        .iter()
        .map(|group| format!("<option value=\"{0}\">{0} ({1})</option>", group.code, number(group.count())))
        .collect();
    filled(
        FOUND,
        &[
            ("problems", &groups.problems.iter().map(problem_row).collect::<String>()),
            ("quiet", &clean_files(told.inputs.len(), noted)),
            ("files", &groups.files.iter().map(|file| file_row(file, names)).collect::<String>()),
            ("options", &options),
            ("shown", &format!("{}.", number_of(all.len(), "finding"))),
            (
                "findings",
                &groups.problems.iter().map(|group| finding_rows(group, all, names)).collect::<String>(),
            ),
            ("explained", &groups.problems.iter().map(explanation).collect::<String>()),
        ],
    )
}

/// The word for how much something matters, with its mark.
fn badge(severity: Severity) -> String {
    format!("<b class=\"{severity}\">{severity}</b>")
}

/// A number a table can be sorted by: the worst is the highest.
fn weight(severity: Severity) -> usize {
    match severity {
        Severity::Note => 0,
        Severity::Warning => 1,
        Severity::Error => 2,
    }
}

fn problem_row(group: &ProblemGroup) -> String {
    let code = group.code;
    format!(
        "<tr role=\"row\"><th role=\"rowheader\" scope=\"row\"><a href=\"#problem-{code}\">{}</a> <code>{code}</code></th>\
         <td role=\"cell\" data-value=\"{}\">{}</td>\
         <td role=\"cell\" class=\"number\" data-value=\"{}\"><a href=\"#group-{code}\">{}<span class=\"unit\"> {}</span></a></td>\
         <td role=\"cell\" class=\"number\" data-value=\"{}\">{}<span class=\"unit\"> {}</span></td></tr>\n",
        text(code.title()),
        weight(code.severity()),
        badge(code.severity()),
        group.count(),
        number(group.count()),
        plural(group.count(), "finding"),
        group.files.len(),
        number(group.files.len()),
        plural(group.files.len(), "file"),
    )
}

fn file_row(group: &FileGroup, names: &Names) -> String {
    let counts = group.counts;
    let numbers = [
        (Severity::Error, counts.errors),
        (Severity::Warning, counts.warnings),
        (Severity::Note, counts.notes),
    ]
    .map(|(severity, count)| {
        let class = if count == 0 { "number none".to_owned() } else { format!("number {severity}") };
        format!(
            "<td role=\"cell\" class=\"{class}\" data-value=\"{count}\">{}<span class=\"unit\"> {}</span></td>",
            number(count),
            plural(count, severity.word())
        )
    })
    .concat();
    let problems: Vec<String> = group
        .problems
        .iter()
        .map(|(code, count)| {
            format!("<a href=\"#at-{code}-{}\">{code}</a>&nbsp;({})", group.index, number(*count))
        })
        .collect();
    format!(
        "<tr role=\"row\" data-file=\"{}\"><th role=\"rowheader\" scope=\"row\" data-value=\"{0}\">{}</th>{numbers}<td role=\"cell\">{}</td></tr>\n",
        group.index,
        names.of_file(group.file),
        problems.join(", ")
    )
}

/// The findings of one problem, file after file.
fn finding_rows(group: &ProblemGroup, all: &[&Finding], names: &Names) -> String {
    let code = group.code;
    let mut out = format!(
        "<tbody role=\"rowgroup\" id=\"group-{code}\" data-code=\"{code}\" data-severity=\"{severity}\">\n\
         <tr role=\"row\" class=\"group\"><th role=\"rowheader\" scope=\"rowgroup\" colspan=\"4\">{badge} {title} <span class=\"count\">{count}</span></th></tr>\n",
        severity = code.severity(),
        badge = badge(code.severity()),
        title = text(code.title()),
        count = number_of(group.count(), "finding"),
    );
    for (file, findings) in &group.files {
        for (position, &index) in findings.iter().enumerate() {
            let Some(finding) = all.get(index) else { continue };
            let id = if position == 0 { format!(" id=\"at-{code}-{file}\"") } else { String::new() };
            finding_row(finding, index, *file, &id, names, &mut out);
        }
    }
    out.push_str("</tbody>\n");
    out
}

fn finding_row(finding: &Finding, index: usize, file: usize, id: &str, names: &Names, out: &mut String) {
    let code = finding.code;
    let row = finding.row.map(|row| row.to_string()).unwrap_or_default();
    out.push_str(&format!(
        "<tr role=\"row\" class=\"finding\"{id} data-file=\"{file}\" data-at=\"{index}\">\
         <td role=\"cell\" class=\"what\">{} <a href=\"#problem-{code}\">{code}</a></td>\
         <td role=\"cell\" class=\"place\">{}{}</td><td role=\"cell\" class=\"row\">",
        badge(finding.severity()),
        names.of_file(&finding.place.file),
        spot(finding),
    ));
    if !row.is_empty() {
        out.push_str(&format!("<span class=\"unit\">row </span>{row}"));
    }
    out.push_str(&format!("</td><td role=\"cell\" class=\"says\"><p>{}</p>", text(&finding.message)));
    let values: String = [("Found", &finding.found), ("Expected", &finding.expected)]
        .into_iter()
        .filter_map(|(word, value)| Some((word, value.as_deref()?)))
        .map(|(word, value)| format!("<div><dt>{word}</dt><dd><bdi>{}</bdi></dd></div>", text(value)))
        .collect();
    if !values.is_empty() {
        out.push_str(&format!("<dl>{values}</dl>"));
    }
    if !finding.help.is_empty() {
        out.push_str(&format!("<p class=\"help\">{}</p>", text(&finding.help)));
    }
    out.push_str("</td></tr>\n");
}

/// Where in its file a finding is.
fn spot(finding: &Finding) -> String {
    let mut parts = Vec::new();
    if let Some(chart) = &finding.chart {
        parts.push(format!("chart {}", text(chart)));
    }
    let sheet = |name: &str| format!("sheet <bdi>{}</bdi>", text(name));
    match &finding.place.spot {
        Spot::File => {}
        Spot::Sheet { sheet: name } => parts.push(sheet(name)),
        Spot::Cells { sheet: name, cells } => {
            parts.push(sheet(name));
            parts.push(format!("{} {cells}", if cells.first == cells.last { "cell" } else { "cells" }));
        }
        Spot::Line { line, column } => parts.push(format!("line {line}, column {column}")),
    }
    if parts.is_empty() { String::new() } else { format!(" <span>{}</span>", parts.join(", ")) }
}

/// What a problem means, once on the page.
fn explanation(group: &ProblemGroup) -> String {
    let code = group.code;
    format!(
        "<article aria-labelledby=\"problem-{code}\">\n<h3 id=\"problem-{code}\">{} {}</h3>\n\
         <p class=\"code\"><code>{code}</code> <a href=\"#group-{code}\">{}</a></p>\n{}</article>\n",
        badge(code.severity()),
        text(code.title()),
        number_of(group.count(), "finding"),
        explained(code),
    )
}

/// Files as the page shows them.
struct Names<'a> {
    /// By the name that findings give the file; `None` where it stands for several.
    known: HashMap<&'a str, Option<(&'a Path, Option<String>)>>,
}

impl<'a> Names<'a> {
    fn of(told: &Reported<'a>, folder: &Path) -> Self {
        let mut known = HashMap::new();
        for &(file, path) in &told.inputs {
            let Some(path) = path else { continue };
            let entry = known.entry(file).or_insert_with(|| Some((path, link::link(folder, path))));
            // Two names that are no text may look alike once they are made one.
            if entry.as_ref().is_some_and(|(other, _)| *other != path) {
                *entry = None;
            }
        }
        Self { known }
    }

    /// A file's name, a link where it was read from there.
    fn of_file(&self, file: &str) -> String {
        match self.known.get(file) {
            Some(Some((path, Some(link)))) => {
                format!("<a href=\"{link}\"><bdi>{}</bdi></a>", text::path(path))
            }
            Some(Some((path, None))) => format!("<bdi>{}</bdi>", text::path(path)),
            _ => format!("<bdi>{}</bdi>", text(called(file))),
        }
    }
}
