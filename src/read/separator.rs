//! Which character stands between the cells of a delimited text.
//!
//! Charts use `;`, `,` and `|` as symbols too, so counting characters is not enough. Between the cells of a chart
//! stands the character that cuts most records into the same number of fields, and whose fields do not have
//! another candidate in their midst.

/// What may stand between cells.
const CANDIDATES: [u8; 4] = *b",;\t|";

/// How much of the file is looked at, in bytes.
const SAMPLE: usize = 256 << 10;

/// A separator, and how well it cuts the text.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Found {
    /// The character.
    pub(super) separator: u8,
    /// The share, from 0 to 1, of the records it cuts that it cuts into the same number of fields.
    pub(super) alike: f64,
    /// Whether it cuts two records one after the other into as many fields, three at the least, as rows of a chart are.
    pub(super) rows: bool,
    /// The share of its cuts after which a blank follows, as in prose.
    pub(super) spaced: f64,
    /// The share of all records that it cuts alike, less the share of fields it leaves uncut.
    score: f64,
    /// Into how many fields it cuts the text.
    fields: usize,
    /// How many records hold anything.
    records: usize,
}

/// The separator a first line such as `sep=;` declares, and the rest of the text.
pub(super) fn declared(text: &str) -> Option<(u8, &str)> {
    let (first, rest) = text.split_once(['\n', '\r'])?;
    let named = first.trim_matches('"').get(..4).filter(|start| start.eq_ignore_ascii_case("sep="))?;
    let separator = first.trim_matches('"').get(named.len()..)?;
    match separator.as_bytes() {
        [byte] if byte.is_ascii() && !byte.is_ascii_alphanumeric() && *byte != b'"' => {
            // Keeps the line's end, so that the lines after it keep their numbers.
            Some((*byte, &text[text.len() - rest.len() - 1..]))
        }
        _ => None,
    }
}

/// The character between the cells of a text; `None` where no candidate stands in it.
pub(super) fn between(text: &str) -> Option<u8> {
    let sample = sample(text);
    let standing = Standing::in_text(sample);
    if sample.len() == text.len() && standing.times(b'"') == 0 {
        let mut candidates = CANDIDATES.into_iter().filter(|separator| standing.times(*separator) > 0);
        let (first, second) = (candidates.next()?, candidates.next());
        // Nothing need be weighed where there is but one.
        if second.is_none() {
            return Some(first);
        }
    }
    best(sample, &standing).map(|found| found.separator)
}

/// The likeliest separator; `None` where no candidate stands in the text.
pub(super) fn find(text: &str) -> Option<Found> {
    let sample = sample(text);
    best(sample, &Standing::in_text(sample))
}

/// As much of a text as is looked at.
fn sample(text: &str) -> &str {
    let mut end = text.len().min(SAMPLE);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    &text[..end]
}

/// How often each byte stands in a text.
struct Standing([u32; 256]);

impl Standing {
    fn in_text(text: &str) -> Self {
        let mut times = [0; 256];
        text.bytes().for_each(|byte| times[usize::from(byte)] += 1);
        Self(times)
    }

    fn times(&self, byte: u8) -> usize {
        self.0[usize::from(byte)] as usize
    }
}

/// The separator that cuts a text best.
fn best(sample: &str, standing: &Standing) -> Option<Found> {
    let records = 1 + standing.times(b'\n') + standing.times(b'\r');
    let quoted = standing.times(b'"') > 0;
    let mut best: Option<Found> = None;
    for separator in CANDIDATES.into_iter().filter(|separator| standing.times(*separator) > 0) {
        let times = standing.times(separator);
        if best.is_some_and(|best| !best.may_be_beaten(times, records, quoted)) {
            continue;
        }
        let Some(found) = cut(sample, separator, quoted) else { continue };
        let better = best.is_none_or(|best| {
            let level = (found.score - best.score).abs() <= 1e-9;
            if level { found.fields > best.fields } else { found.score > best.score }
        });
        if better {
            best = Some(found);
        }
    }
    best
}

impl Found {
    /// Whether a character that stands so often in as many records may cut the text better.
    fn may_be_beaten(&self, times: usize, records: usize, quoted: bool) -> bool {
        // Nothing cuts better than what cuts all records alike and leaves no field uncut; of those as good the one that
        // cuts more is taken.
        if self.score >= 1.0 {
            return records + times > self.fields;
        }
        // It cuts no more records than it stands in, of all that hold more than it alone. Where there are quotes, each
        // character has records of its own.
        let held = self.records.saturating_sub(times);
        quoted || times as f64 > (self.score - 2e-9) * held as f64
    }
}

/// What a separator makes of a text.
#[derive(Default)]
struct Cuts {
    /// How many fields each record has that is not blank.
    widths: Vec<usize>,
    /// How many fields hold something, and how many of those no other candidate in their midst.
    filled: usize,
    clean: usize,
    /// How many cuts there are in records that are not blank, and after how many in all a blank follows.
    cuts: usize,
    spaced: usize,
    /// The record so far: how many fields it has, and whether any holds something.
    width: usize,
    holds: bool,
}

impl Cuts {
    #[inline]
    fn field(&mut self, field: &[u8], separator: u8) {
        self.width += 1;
        if field.is_empty() {
            return;
        }
        self.holds = true;
        self.filled += 1;
        if field.len() > 1 {
            self.spaced += usize::from(self.width > 1 && field.starts_with(b" "));
            self.clean += usize::from(!holds_another(field, separator));
        } else {
            self.clean += 1;
        }
    }

    fn end_record(&mut self) {
        if self.holds {
            self.widths.push(self.width);
            self.cuts += self.width - 1;
        }
        (self.width, self.holds) = (0, false);
    }
}

/// How a separator cuts the text; `None` where it cuts no record.
fn cut(sample: &str, separator: u8, quoted: bool) -> Option<Found> {
    let text = sample.as_bytes();
    let mut cuts = Cuts::default();
    if quoted {
        for (field, ends) in (Fields { text, at: Some(0), separator }) {
            cuts.field(field, separator);
            if ends {
                cuts.end_record();
            }
        }
    } else {
        for record in text.split(|byte| matches!(byte, b'\n' | b'\r')) {
            record.split(|byte| *byte == separator).for_each(|field| cuts.field(field, separator));
            cuts.end_record();
        }
    }
    let Cuts { mut widths, filled, clean, cuts, spaced, .. } = cuts;
    let rows = widths.windows(2).any(|pair| pair[0] > 2 && pair[0] == pair[1]);
    widths.sort_unstable();
    let several = widths.get(widths.partition_point(|width| *width < 2)..)?;
    let alike = several.chunk_by(|one, other| one == other).map(<[usize]>::len).max()? as f64;
    Some(Found {
        separator,
        alike: alike / several.len() as f64,
        rows,
        spaced: spaced as f64 / cuts as f64,
        // Titles and notes stand in one field; where few records are cut at all, the character is part of prose.
        score: alike / widths.len() as f64 * clean as f64 / filled as f64,
        fields: widths.iter().sum(),
        records: widths.len(),
    })
}

/// The fields of a text, each with whether it ends its record. To weigh a separator they need not be unquoted to the
/// letter, and a reader made for each costs more than all of this.
struct Fields<'a> {
    text: &'a [u8],
    /// Where the next field begins; `None` at the end.
    at: Option<usize>,
    separator: u8,
}

impl<'a> Iterator for Fields<'a> {
    type Item = (&'a [u8], bool);

    #[inline]
    fn next(&mut self) -> Option<Self::Item> {
        let start = self.at?;
        let rest = self.text.get(start..)?;
        let quoted = match rest {
            [b'"', inside @ ..] => Some(closing(inside)),
            _ => None,
        };
        // Behind a quoted field stands its mark.
        let from = quoted.map_or(0, |length| length + 1);
        let mut length = from;
        while let Some(byte) = rest.get(length) {
            if *byte == self.separator || matches!(byte, b'\n' | b'\r') {
                break;
            }
            length += 1;
        }
        let field = match quoted {
            Some(inside) => rest.get(1..inside + 1)?,
            None => rest.get(..length)?,
        };
        let stop = rest.get(length);
        self.at = stop.map(|_| start + length + 1);
        Some((field, stop != Some(&self.separator)))
    }
}

/// Where the quotation mark stands that closes a field: two in a row are one inside it.
fn closing(inside: &[u8]) -> usize {
    let mut at = 0;
    while let Some(found) = inside.get(at..).and_then(|rest| rest.iter().position(|byte| *byte == b'"')) {
        if inside.get(at + found + 1) != Some(&b'"') {
            return at + found;
        }
        at += found + 2;
    }
    inside.len()
}

/// Whether a field of several characters still has another candidate in its midst, as it has where it should have been cut. A symbol
/// stands alone in its cell; in prose a blank follows.
fn holds_another(field: &[u8], separator: u8) -> bool {
    field.iter().enumerate().any(|(index, byte)| {
        CANDIDATES.contains(byte)
            && *byte != separator
            && field.get(index + 1).is_none_or(|next| !next.is_ascii_whitespace() || *next == b'\t')
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(text: &str) -> Option<char> {
        find(text).map(|found| char::from(found.separator))
    }

    /// Worked out by hand; the charts are of the kinds met in practice.
    #[test]
    fn the_separator_is_told_from_symbols() {
        for (text, separator) in [
            ("k,o,k\nk,k,k\n", ','),
            ("k;o;k\nk;k;k\n", ';'),
            ("k\to\tk\nk\tk\tk\n", '\t'),
            ("k|o|k\nk|k|k\n", '|'),
            // Symbols that are candidates themselves.
            ("k,;,k,1\n;,k,;,\n", ','),
            ("k;,;k;1\n,;k;,;\n", ';'),
            ("3;,;,;,;k\n2;,;,;,;,\n1;k;k;k;k\n", ';'),
            ("|,k,|,3\n|,|,|,2\nk,|,k,1\n", ','),
            ("k\t,\t;\tk\n,\t;\t,\tk\n", '\t'),
            // Titles, notes and settings stand in a field of their own.
            ("Leaves, small\n\nk;o;k\nk;k;k\nCast on: 3\n", ';'),
            ("Leaves; small\n\nk,o,k\nk,k,k\nCast on: 3\n", ','),
            // Rows cut short at their last cell.
            ("o\nk,k\nk,k,k\nk,k,k\n", ','),
            // Decimal commas.
            ("3,0;k;o\n2,0;k;k\n1,0;k;k\n", ';'),
            // Both cut all records alike and leave no field uncut: the one that cuts more.
            (",|,|,\n,|,|,\n", ','),
            ("|,|,|\n|,|,|\n", '|'),
            // Quoted cells.
            ("\"k;k\",o,\"k\"\nk,k,\"a;b\"\nk,k,k\n", ','),
        ] {
            assert_eq!(found(text), Some(separator), "{text:?}");
        }
    }

    #[test]
    fn a_single_column_has_no_separator() {
        assert_eq!(found("k\no\nk\n"), None);
        assert_eq!(found(""), None);
    }

    #[test]
    fn a_first_line_may_declare_the_separator() {
        assert_eq!(declared("sep=;\r\nk;o\r\n"), Some((b';', "\r\nk;o\r\n")));
        assert_eq!(declared("\"sep=|\"\nk|o"), Some((b'|', "\nk|o")));
        assert_eq!(declared("SEP=\t\nk"), Some((b'\t', "\nk")));
        for other in ["sep=\nk", "sep=k\nk", "separate;\nk", "sep=;", "k;o\n", "é", ""] {
            assert_eq!(declared(other), None, "{other:?}");
        }
    }
}
