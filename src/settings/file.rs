//! The settings file, `longhand.toml`: every setting with the line it stands on, every slip a finding.

mod own;

use std::sync::Arc;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::table::TABLE;
use super::value::either;
use super::{BadValue, Entry, KeyEntry, Meaning, Section, Settings, named};
use crate::nearest::nearest;
use crate::place::{Place, Spot};
use crate::problem::{Code, Finding};

/// The headings of the file.
const SECTIONS: &[&str] = &["chart", "key", "stitch", "read", "write"];

type Named<'t, 'i> = (&'t str, &'t Spanned<DeValue<'i>>, usize);

/// The entries of a table with the offsets of their names, in the order of the file.
fn entries<'t, 'i>(table: &'t DeTable<'i>) -> Vec<Named<'t, 'i>> {
    let mut entries: Vec<Named> =
        table.iter().map(|(name, value)| (name.get_ref().as_ref(), value, name.span().start)).collect();
    entries.sort_by_key(|(_, _, start)| *start);
    entries
}

/// See [`Settings::parse`].
pub(super) fn parse(file: &Arc<str>, text: &str) -> (Settings, Vec<Finding>) {
    let mut reader = Reader { file, text, settings: Settings::default(), findings: Vec::new() };
    let (table, errors) = DeTable::parse_recoverable(text);
    let mut unread = Vec::new();
    for error in errors {
        let at = error.span().map_or(0, |span| span.start);
        let finding = reader.not_well_formed(at, error.message());
        // One slip of the pen often costs the parser several errors on its line.
        if !unread.contains(&line(&finding)) {
            unread.push(line(&finding));
            reader.findings.push(finding);
        }
    }
    let not_well_formed = std::mem::take(&mut reader.findings);
    reader.whole(table.get_ref());
    // What the parser made of a line it could not read is no finding of its own.
    reader.findings.retain(|finding| !unread.contains(&line(finding)));
    reader.findings.extend(not_well_formed);
    reader.findings.sort_by_key(line);
    (reader.settings, reader.findings)
}

/// The line a finding of this file stands on.
fn line(finding: &Finding) -> u32 {
    match finding.place.spot {
        Spot::Line { line, .. } => line,
        _ => 0,
    }
}

struct Reader<'a> {
    file: &'a Arc<str>,
    text: &'a str,
    settings: Settings,
    findings: Vec<Finding>,
}

impl Reader<'_> {
    /// Line and column of a byte of the text.
    fn place(&self, offset: usize) -> Place {
        Place::in_text(self.file, self.text, offset)
    }

    /// A line that the parser can't read, told without the parser's own words, which are for programmers.
    fn not_well_formed(&self, at: usize, reason: &str) -> Finding {
        let place = self.place(at);
        if reason.contains("duplicate") {
            return Finding::new(Code::WrongSetting, place, "This name stands twice under one heading.")
                .help("Keep one of the two lines.");
        }
        let start = self.text.get(..at).and_then(|before| before.rfind('\n')).map_or(0, |end| end + 1);
        let line = self.text.get(start..).and_then(|rest| rest.lines().next()).unwrap_or_default().trim();
        Finding::new(Code::WrongSetting, place, "This line of the settings can't be read.")
            .found(line)
            .expected("a heading in square brackets, or a name, an equals sign and a value")
            .help(
                "Write a number bare, `cast-on = 23`, and words in straight quotes, `worked = \"flat\"`; \
                 a symbol in a key stands in straight quotes too.",
            )
    }

    fn unknown(&mut self, what: &str, name: &str, at: usize, valid: &[&str]) {
        let near = nearest(name, valid.iter().copied());
        let expected = either(valid.iter().copied());
        let help = match near {
            Some(near) => format!("Did you mean \"{near}\"? There is {expected}."),
            None => format!("There is {expected}."),
        };
        let finding =
            Finding::new(Code::WrongSetting, self.place(at), format!("There is no {what} \"{name}\"."))
                .found(name)
                .expected(near.map_or(expected, str::to_owned))
                .help(help);
        self.findings.push(finding);
    }

    fn bad(&mut self, name: &str, at: usize, value: BadValue) {
        let place = self.place(at);
        self.findings.push(value.finding(name, place));
    }

    fn whole(&mut self, table: &DeTable) {
        for (name, value, at) in entries(table) {
            let section = value.get_ref().as_table();
            match (name, section) {
                ("chart", Some(table)) => self.section(Section::Chart, table),
                ("read", Some(table)) => self.section(Section::Read, table),
                ("write", Some(table)) => self.section(Section::Write, table),
                ("key", Some(table)) => self.key(table),
                ("stitch", Some(table)) => self.stitches(table),
                _ if SECTIONS.contains(&name) => {
                    let place = self.place(at);
                    self.findings.push(
                        Finding::new(
                            Code::WrongSetting,
                            place,
                            format!("\"{name}\" is a heading, not a setting."),
                        )
                        .found(name)
                        .expected(format!("[{name}]"))
                        .help(format!("Write `[{name}]` on a line of its own, and its settings below it.")),
                    );
                }
                _ => match in_any_section(name) {
                    Some(entry) => self.elsewhere(entry, "no heading", at),
                    None => self.unknown("heading", name, at, SECTIONS),
                },
            }
        }
    }

    /// A known setting under the wrong heading.
    fn elsewhere(&mut self, entry: &Entry, heading: &str, at: usize) {
        let right = entry.section.name();
        let message = format!("The setting \"{}\" stands under {heading}.", entry.name);
        let finding = Finding::new(Code::WrongSetting, self.place(at), message)
            .found(heading)
            .expected(format!("[{right}]"))
            .help(format!("Move the line below the heading `[{right}]`."));
        self.findings.push(finding);
    }

    fn section(&mut self, section: Section, table: &DeTable) {
        for (name, value, at) in entries(table) {
            let Some(entry) = in_any_section(name) else {
                let names: Vec<&str> = TABLE
                    .iter()
                    .filter(|entry| entry.in_file() && entry.section == section)
                    .map(|entry| entry.name)
                    .collect();
                self.unknown("setting", name, at, &names);
                continue;
            };
            if entry.section != section {
                self.elsewhere(entry, &format!("[{}]", section.name()), at);
                continue;
            }
            let set = match texts(value.get_ref()) {
                Some(given) => {
                    let given: Vec<&str> = given.iter().map(String::as_str).collect();
                    entry.set(&mut self.settings, &given)
                }
                None => Err(BadValue::new(self.quoted(value), entry.values.replace(" | ", " or "))),
            };
            if let Err(value_of) = set {
                self.bad(entry.name, value.span().start, value_of);
            }
        }
    }

    /// A value as it stands in the file.
    fn quoted(&self, value: &Spanned<DeValue>) -> String {
        self.text.get(value.span()).unwrap_or_default().to_owned()
    }

    /// Text of a value that must be text.
    fn text(&mut self, name: &str, value: &Spanned<DeValue>) -> Option<String> {
        let text = value.get_ref().as_str().map(str::to_owned);
        if text.is_none() {
            let found = self.quoted(value);
            self.bad(name, value.span().start, BadValue::new(found, "words in straight quotes"));
        }
        text
    }

    fn key(&mut self, table: &DeTable) {
        for (symbol, value, at) in entries(table) {
            let meaning = match value.get_ref() {
                DeValue::Table(sides) => self.meaning(sides),
                _ => Meaning { stitch: self.text(symbol, value), ..Meaning::default() },
            };
            if meaning == Meaning::default() {
                continue;
            }
            let Some(symbol) = self.symbol(symbol, at) else { continue };
            let place = self.place(at);
            Arc::make_mut(&mut self.settings.key).push(KeyEntry { symbol, meaning, place });
        }
    }

    /// The symbol as the chart has it; a fill in capitals, as colours are written in spreadsheets.
    fn symbol(&mut self, symbol: &str, at: usize) -> Option<String> {
        let Some(fill) = symbol.strip_prefix("fill:") else { return Some(symbol.to_owned()) };
        let digits = fill.trim().trim_start_matches('#');
        if digits.len() == 6 && digits.chars().all(|c| c.is_ascii_hexdigit()) {
            return Some(format!("fill:{}", digits.to_ascii_uppercase()));
        }
        let expected = "\"fill:\" and a colour of six digits or letters A to F, such as \"fill:D9D9D9\"";
        self.bad("key", at, BadValue::new(symbol, expected));
        None
    }

    fn meaning(&mut self, table: &DeTable) -> Meaning {
        const PARTS: &[&str] =
            &["stitch", "rs", "ws", "rs-first", "rs-last", "ws-first", "ws-last", "colour"];
        let mut meaning = Meaning::default();
        for (part, value, at) in entries(table) {
            let slot = match part {
                "stitch" => &mut meaning.stitch,
                "rs" => &mut meaning.rs,
                "ws" => &mut meaning.ws,
                "rs-first" => &mut meaning.rs_first,
                "rs-last" => &mut meaning.rs_last,
                "ws-first" => &mut meaning.ws_first,
                "ws-last" => &mut meaning.ws_last,
                "colour" => &mut meaning.colour,
                _ => {
                    self.unknown("part of a key entry called", part, at, PARTS);
                    continue;
                }
            };
            *slot = self.text(part, value);
        }
        meaning
    }
}

fn in_any_section(name: &str) -> Option<&'static Entry> {
    named(name).filter(|entry| entry.in_file())
}

/// A value as the texts that the table of settings takes; `None` for what no setting can be.
fn texts(value: &DeValue) -> Option<Vec<String>> {
    match value {
        DeValue::String(text) => Some(vec![text.to_string()]),
        DeValue::Integer(number) if number.radix() == 10 => Some(vec![number.as_str().to_owned()]),
        DeValue::Array(items) => items.iter().map(|item| one(item.get_ref())).collect(),
        DeValue::Table(pairs) => entries(pairs)
            .into_iter()
            .map(|(name, value, _)| one(value.get_ref()).map(|value| format!("{name} = {value}")))
            .collect(),
        _ => None,
    }
}

fn one(value: &DeValue) -> Option<String> {
    match value {
        DeValue::Array(_) | DeValue::Table(_) => None,
        _ => texts(value).map(|texts| texts.concat()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pattern::{Hand, Side, Worked};
    use crate::settings::{Charted, FirstRow, RepeatColumns, ReturnRows, SkippedRows, Symbols};
    use crate::stitch::Face;

    fn parsed(text: &str) -> (Settings, Vec<Finding>) {
        parse(&Arc::from("longhand.toml"), text)
    }

    /// Line, column, what was found, what would be right.
    fn slips(text: &str) -> Vec<(String, String, String)> {
        parsed(text)
            .1
            .into_iter()
            .map(|finding| {
                assert_eq!(finding.code, Code::WrongSetting);
                assert!(!finding.help.is_empty());
                let at = finding.place.to_string();
                let at = at.trim_start_matches("longhand.toml, ").to_owned();
                (at, finding.found.unwrap_or_default(), finding.expected.unwrap_or_default())
            })
            .collect()
    }

    /// The settings file of the manual, every section of it.
    #[test]
    fn every_setting_is_read() {
        let text = r#"
[chart]
worked = "flat"
charted = "every-row"
first-row = "bottom"
first-side = "RS"
hand = "right"
return-rows = "as-they-appear"
cast-on = 23
symbols = "right-side"
skipped-rows = "error"
repeat-columns = "3-8"
sizes = { S = 3, M = 4, L = 5 }

[key]
"" = "k"
"o" = "yo"
"g" = { rs = "k", ws = "k" }
"E" = { rs-first = "sl1wyif", rs-last = "k", ws-first = "sl1wyif", ws-last = "k" }
"fill:d9d9d9" = "ns"
"fill:1F4E79" = { stitch = "k", colour = "navy" }

[stitch.mb]
uses = 1
makes = 1
short = "MB"
long = "make bobble"
explain = "(K1, yo, k1, yo, k1) in one st, turn, p5, turn, k5tog."
faces = "k"
ws = "mb"
cells = 1

[read]
terms = "us"

[write]
style = "abbreviated"
to = ["text", "json"]
repeats = 2
longest-float = 5
"#;
        let (settings, findings) = parsed(text);
        assert_eq!(findings, []);
        assert_eq!(settings.worked, Some(Worked::Flat));
        assert_eq!(settings.charted, Some(Charted::EveryRow));
        assert_eq!(settings.first_row, Some(FirstRow::Bottom));
        assert_eq!(settings.first_side, Some(Side::Rs));
        assert_eq!(settings.hand, Some(Hand::Right));
        assert_eq!(settings.return_rows, Some(ReturnRows::AsTheyAppear));
        assert_eq!(settings.cast_on, Some(23));
        assert_eq!(settings.symbols, Some(Symbols::RightSide));
        assert_eq!(settings.skipped_rows, Some(SkippedRows::Error));
        assert_eq!(settings.repeat_columns, Some(RepeatColumns { first: 3, last: 8 }));
        let sizes = [("S", 3), ("M", 4), ("L", 5)].map(|(name, times)| (name.to_owned(), times));
        assert_eq!(settings.sizes.as_deref(), Some(&sizes[..]));
        let symbols: Vec<&str> = settings.key.iter().map(|entry| entry.symbol.as_str()).collect();
        assert_eq!(symbols, ["", "o", "g", "E", "fill:D9D9D9", "fill:1F4E79"]);
        let edge = &settings.key[3].meaning;
        assert_eq!((edge.rs_first.as_deref(), edge.ws_last.as_deref()), (Some("sl1wyif"), Some("k")));
        assert_eq!(settings.key[5].meaning.colour.as_deref(), Some("navy"));
        assert_eq!(settings.key[2].place.to_string(), "longhand.toml, line 18, column 1");
        assert_eq!(settings.stitches[0].short.as_deref(), Some("MB"));
        assert_eq!(settings.stitches[0].faces.as_deref(), Some(&[Face::Knit][..]));
        assert_eq!(settings.terms.as_deref(), Some("us"));
        assert_eq!(settings.styles.as_deref(), Some(&["abbreviated".to_owned()][..]));
        assert_eq!(settings.to.as_deref(), Some(&["text".to_owned(), "json".to_owned()][..]));
        assert_eq!((settings.repeats, settings.longest_float), (Some(2), Some(5)));
    }

    #[test]
    fn slips_name_the_line_and_what_would_be_right() {
        let slip =
            |at: &str, found: &str, expected: &str| (at.to_owned(), found.to_owned(), expected.to_owned());
        assert_eq!(
            slips("[chart]\ncast_on = 23\n"),
            [slip("line 2, column 1", "cast_on", "cast-on")],
            "an underscore for a hyphen"
        );
        assert_eq!(
            slips("[chart]\n\nworked = \"circular-ish\"\n"),
            [slip("line 3, column 10", "circular-ish", "\"flat\" or \"round\"")]
        );
        assert_eq!(slips("[charts]\n"), [slip("line 1, column 2", "charts", "chart")]);
        assert_eq!(slips("cast-on = 23\n"), [slip("line 1, column 1", "no heading", "[chart]")]);
        assert_eq!(slips("[write]\ncast-on = 23\n"), [slip("line 2, column 1", "[write]", "[chart]")]);
        assert_eq!(slips("key = 3\n"), [slip("line 1, column 1", "key", "[key]")]);
        assert_eq!(
            slips("[key]\n\"E\" = { rs-frist = \"k\" }\n"),
            [slip("line 2, column 9", "rs-frist", "rs-first")]
        );
        assert_eq!(
            slips("[stitch.mb]\nuses = 1\nmakes = 1\nuse = 1\n"),
            [slip("line 4, column 1", "use", "uses")]
        );
        for (text, line) in [
            ("[stitch.mb]\nmakes = 1\nuses = -1\n", "line 3, column 8"),
            ("[stitch.mb]\nuses = 1\nmakes = 4000000000\n", "line 3, column 9"),
            ("[stitch.mb]\nuses = 1\nmakes = 1\nfaces = \"kx\"\n", "line 4, column 9"),
            ("[stitch.mb]\nuses = 1\nmakes = 1\nfaces = []\n", "line 4, column 9"),
            ("[stitch]\nmb = 1\n", "line 2, column 1"),
            ("[stitch.mb]\nuses = 1\n", "line 1, column 9"),
            ("[chart]\ncast-on = 2.5\n", "line 2, column 11"),
            ("[chart]\ncast-on = [1, 2]\n", "line 2, column 11"),
            ("[key]\no = 1\n", "line 2, column 5"),
            ("[key]\no = \"yo\"\no = \"k\"\n", "line 3, column 1"),
            ("[key]\n/ = \"k2tog\"\n", "line 2, column 1"),
            ("[chart]\nworked = \u{201c}flat\u{201d}\n", "line 2, column 10"),
            ("[key]\n\"fill:grey\" = \"ns\"\n", "line 2, column 1"),
        ] {
            let found = slips(text);
            assert_eq!(found.len(), 1, "{text}");
            assert_eq!(found[0].0, line, "{text}");
        }
    }

    /// A slip costs its own line only.
    #[test]
    fn what_is_right_holds() {
        let (settings, findings) = parsed("[chart]\nworked = flat\ncast-on = 23\n\n[key]\no = \"yo\"\n");
        assert_eq!(findings.len(), 1);
        assert_eq!(findings[0].found.as_deref(), Some("worked = flat"));
        assert_eq!(settings.cast_on, Some(23));
        assert_eq!(settings.key.len(), 1);
    }
}
