//! The texts of `tests/cases/texts`: each as an editor prints it, and the rows that were worked out by hand from its
//! words. A case is its name and source, the text, a line of dashes, the rows, and with "!" what must be told. A case may
//! say before the rows of each of its patterns what that is called, and how wide it is: "= Leaves, 23 sts, 6+5", the multiple
//! where it has one. Lines before the text may say "file: a.md", "terms: uk" or "asked: 23", a cast-on that the user asks for.

use std::fmt::Write as _;
use std::path::Path;
use std::sync::Arc;

use longhand::convert::{self, Charts};
use longhand::settings::Settings;

struct Case {
    name: String,
    file: Arc<str>,
    text: String,
    terms: Option<String>,
    cast_on: Option<u32>,
    expected: Vec<String>,
}

fn cases(file: &Path) -> Vec<Case> {
    let text = std::fs::read_to_string(file).unwrap();
    text.split("\n=== ")
        .skip(1)
        .map(|case| {
            let (name, rest) = case.split_once('\n').unwrap();
            let (text, expected) =
                rest.split_once("\n---\n").unwrap_or_else(|| panic!("{name}: no line of dashes"));
            let said = |text: &'_ str, what: &str| {
                let (value, rest) = text.strip_prefix(what)?.split_once('\n')?;
                Some((value.to_owned(), rest.len()))
            };
            let (file, text) = match said(text, "file: ") {
                Some((file, rest)) => (file, &text[text.len() - rest..]),
                None => ("a.txt".to_owned(), text),
            };
            let (terms, text) = match said(text, "terms: ") {
                Some((terms, rest)) => (Some(terms), &text[text.len() - rest..]),
                None => (None, text),
            };
            let (cast_on, text) = match said(text, "asked: ") {
                Some((asked, rest)) => (Some(asked.parse().unwrap()), &text[text.len() - rest..]),
                None => (None, text),
            };
            let expected = expected.lines().filter(|line| !line.trim().is_empty());
            Case {
                name: name.to_owned(),
                file: file.into(),
                text: text.to_owned(),
                terms,
                cast_on,
                expected: expected.map(wide).collect(),
            }
        })
        .collect()
}

/// An expected line with every stitch on its own: "1 RS (k p)*2 yo" is "1 RS k p k p yo".
fn wide(line: &str) -> String {
    if line.starts_with(['!', '#', '=']) {
        return line.to_owned();
    }
    let mut out: Vec<String> = Vec::new();
    let mut open = None;
    for word in line.split_whitespace() {
        let (word, opens) = word.strip_prefix('(').map_or((word, false), |word| (word, true));
        if opens {
            open = Some(out.len());
        }
        // "p*2)*3" closes a group.
        let (word, closes) = word.split_once(')').map_or((word, None), |(word, rest)| (word, Some(rest)));
        let times = |text: &str| text.strip_prefix('*').map_or(1, |times| times.parse::<usize>().unwrap());
        let (name, count) = word.split_at(word.find('*').unwrap_or(word.len()));
        (0..times(count)).for_each(|_| out.push(name.to_owned()));
        if let (Some(rest), Some(start)) = (closes, open.take_if(|_| closes.is_some())) {
            let group = out[start..].to_vec();
            (1..times(rest)).for_each(|_| out.extend_from_slice(&group));
        }
    }
    out.join(" ")
}

/// The mark between a stitch and its colour, in names.
const PAINTED: char = '\u{1f}';

/// What was read: the rows of every pattern, with its head where that is asked for, sizes beyond the first, and what was
/// told, widths that are assumed aside.
fn shown(read: &Charts, heads: bool) -> Vec<String> {
    let mut lines = Vec::new();
    for pattern in read.charts.iter().filter_map(|chart| chart.sound()) {
        if heads {
            let multiple = pattern.multiple.map(|multiple| format!(", {}+{}", multiple.of, multiple.plus));
            let multiple = multiple.unwrap_or_default();
            lines.push(format!("= {}, {} sts{multiple}", pattern.title, pattern.cast_on));
        }
        for row in &pattern.rows {
            // A stitch in a colour is shown as "k/sea_mist".
            let shown = |name: &str| match name.split_once(PAINTED) {
                Some((plain, colour)) => format!("{plain}/{}", colour.replace(' ', "_")),
                None => name.to_owned(),
            };
            let names: Vec<String> =
                row.stitches.iter().map(|&id| shown(&pattern.stitches.get(id).name)).collect();
            lines.push(format!("{} {} {}", row.number, row.side.word(), names.join(" ")));
        }
        for size in &pattern.sizes {
            lines.push(format!("# {} cast on {}, repeat {} times", size.name, size.cast_on, size.times));
        }
    }
    let findings = read.findings.iter().chain(read.charts.iter().flat_map(|chart| &chart.findings));
    for finding in findings {
        let row = finding.row.map_or_else(String::new, |row| format!(" row {row}"));
        let found = finding.found.as_ref().map_or_else(String::new, |found| format!(" [{found}]"));
        assert!(finding.message.ends_with('.'), "{}", finding.message);
        lines.push(format!("! {}{row}{found}", finding.code));
    }
    lines
}

/// An expected finding may leave out what was found.
fn same(got: &str, expected: &str) -> bool {
    got == expected
        || expected.starts_with('!') && got.strip_prefix(expected).is_some_and(|rest| rest.starts_with(" ["))
}

#[test]
fn texts_of_other_presses() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/texts");
    let mut files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    let (mut count, mut wrong) = (0, String::new());
    for file in files {
        let heading = file.file_name().unwrap().to_string_lossy().into_owned();
        for case in cases(&file) {
            count += 1;
            let above = Settings { terms: case.terms, cast_on: case.cast_on, ..Settings::default() };
            let read =
                convert::texts(&case.file, case.text.as_bytes(), None, &Settings::default(), &above, None);
            let got = shown(&read, case.expected.iter().any(|line| line.starts_with('=')));
            let alike = got.len() == case.expected.len()
                && got.iter().zip(&case.expected).all(|(got, expected)| same(got, expected));
            if alike {
                continue;
            }
            let _ = writeln!(wrong, "{heading}: {}", case.name);
            for line in got.iter().filter(|got| !case.expected.iter().any(|line| same(got, line))) {
                let _ = writeln!(wrong, "  got  {line}");
            }
            for line in case.expected.iter().filter(|line| !got.iter().any(|got| same(got, line))) {
                let _ = writeln!(wrong, "  want {line}");
            }
            for finding in read.charts.iter().flat_map(|chart| &chart.findings) {
                let _ = writeln!(wrong, "       {} {}", finding.place, finding.message);
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
    assert!(count >= 100);
}
