//! Reading delimited text: csv and its kin.

use std::borrow::Cow;
use std::cell::RefCell;
use std::sync::Arc;

use csv_core::{ReadRecordResult, Reader, ReaderBuilder};

use super::collect::{Budget, Sheet};
use super::fault::Fault;
use super::limits;
use super::separator;
use crate::grid::{Grid, Workbook};

/// Reads a decoded text whose cells are separated. `usual` separates where the text itself does not show it; a tab,
/// which is no symbol, wherever there is one.
pub(super) fn read(file: &Arc<str>, text: &str, usual: u8) -> Result<Workbook, Fault> {
    let (stated, body) = match separator::declared(text) {
        Some((separator, rest)) => (Some(separator), rest),
        None => (None, text),
    };
    // One kind of line end, so that lines can be counted; a lone CR ends a line too.
    let body = match body.contains('\r') {
        true => Cow::Owned(body.replace("\r\n", "\n").replace('\r', "\n")),
        false => Cow::Borrowed(body),
    };
    let tabs = (usual == b'\t' && body.contains('\t')).then_some(b'\t');
    let separator = stated.or(tabs).or_else(|| separator::between(&body)).unwrap_or(usual);
    let separators = body.bytes().filter(|&byte| byte == separator).count();
    survey(&body, separator, separators)?;
    let mut budget = Budget::default();
    let mut sheet = Sheet::new(Grid::lines(Arc::clone(file)));
    // Charts are dense.
    sheet.make_room(separators);
    if body.contains('"') {
        let mut records = Records::new(&body, separator, separators);
        let mut lines = Lines { text: body.as_bytes(), at: 0, line: 0 };
        loop {
            let start = records.at;
            let Some(record) = records.next()? else { break };
            sheet.put_row(&mut budget, lines.starting_at(start), record)?;
        }
    } else {
        for (row, line) in (0..).zip(body.split('\n')) {
            // Each separator parts two cells.
            let fields = line.as_bytes().split(|byte| *byte == separator);
            sheet.put_row(&mut budget, row, fields)?;
        }
    }
    Ok(Workbook { file: Arc::clone(file), sheets: vec![sheet.finish()] })
}

thread_local! {
    /// Readers of records by the separators they cut at. To make one takes longer than to read a chart.
    static READERS: RefCell<Vec<(u8, Reader)>> = const { RefCell::new(Vec::new()) };
}

/// A reader that cuts at a separator, at its start.
fn reader(separator: u8) -> Reader {
    let kept = READERS.with_borrow_mut(|kept| {
        let at = kept.iter().position(|(usual, _)| *usual == separator)?;
        Some(kept.swap_remove(at).1)
    });
    match kept {
        Some(mut reader) => {
            reader.reset();
            reader
        }
        None => ReaderBuilder::new().delimiter(separator).build(),
    }
}

/// The records of a text, one after the other.
struct Records<'a> {
    text: &'a [u8],
    /// Where the next record begins, in bytes of the text; blank lines before it are part of it.
    at: usize,
    /// Given back at the end.
    reader: Option<Reader>,
    separator: u8,
    /// The fields of the record, one behind the other without what stands between them, and where each ends. There is
    /// room for any record of the text.
    fields: Vec<u8>,
    ends: Vec<usize>,
}

impl<'a> Records<'a> {
    fn new(text: &'a str, separator: u8, separators: usize) -> Self {
        let most = separators.min(limits::COLUMNS as usize);
        Self {
            text: text.as_bytes(),
            at: 0,
            reader: Some(reader(separator)),
            separator,
            fields: vec![0; text.len() + 1],
            ends: vec![0; most + 2],
        }
    }

    /// The fields of the next record.
    fn next(&mut self) -> Result<Option<impl Iterator<Item = &[u8]>>, Fault> {
        let Some(reader) = &mut self.reader else { return Ok(None) };
        let rest = self.text.get(self.at..).unwrap_or_default();
        let (mut found, read, written, mut ended) =
            reader.read_record(rest, &mut self.fields, &mut self.ends);
        self.at += read;
        if found == ReadRecordResult::InputEmpty {
            // The last line may have no end: the reader is told that nothing follows.
            let ends = self.ends.get_mut(ended..).unwrap_or_default();
            let (last, _, _, one) = reader.read_record(&[], &mut self.fields, ends);
            (found, ended) = (last, ended + one);
        }
        match (found, self.fields.get(..written)) {
            (ReadRecordResult::End, _) => Ok(None),
            (ReadRecordResult::Record, Some(fields)) => {
                let ends = self.ends.get(..ended).unwrap_or_default();
                let starts = [0].into_iter().chain(ends.iter().copied());
                Ok(Some(starts.zip(ends).map(|(start, end)| fields.get(start..*end).unwrap_or_default())))
            }
            _ => Err(Fault::damaged("its lines can't be read")),
        }
    }
}

impl Drop for Records<'_> {
    fn drop(&mut self) {
        const KEPT: usize = 4;
        let Some(reader) = self.reader.take() else { return };
        READERS.with_borrow_mut(|kept| {
            if kept.len() < KEPT {
                kept.push((self.separator, reader));
            }
        });
    }
}

/// Counts lines up to the start of each record.
struct Lines<'a> {
    text: &'a [u8],
    at: usize,
    line: u32,
}

impl Lines<'_> {
    /// The line, from 0, on which the record starts that was read from this byte on; blank lines before it are
    /// read with it.
    fn starting_at(&mut self, byte: usize) -> u32 {
        let mut start = byte.min(self.text.len());
        while self.text.get(start) == Some(&b'\n') {
            start += 1;
        }
        let passed = self.text.get(self.at..start).unwrap_or_default();
        let breaks = passed.iter().filter(|&&byte| byte == b'\n').count();
        self.line = self.line.saturating_add(u32::try_from(breaks).unwrap_or(u32::MAX));
        self.at = start;
        self.line
    }
}

/// Looks through a text before it is read: no record may have too many cells, and no quotation mark may be left
/// open, since it would make one cell of all that follows.
fn survey(text: &str, separator: u8, separators: usize) -> Result<(), Fault> {
    if let Some(mark) = open_mark(text, separator) {
        let above = text.as_bytes().iter().take(mark).filter(|byte| **byte == b'\n').count();
        return Err(Fault::DamagedLine {
            line: u32::try_from(above + 1).unwrap_or(u32::MAX),
            what: "a quotation mark opens a cell here that runs on over the end of the line, and none closes it \
                   rightly; a cell that holds a quotation mark must be written as four of them"
                .into(),
        });
    }
    // Where all lines together have fewer, none has too many.
    if separators < limits::COLUMNS as usize {
        return Ok(());
    }
    let (mut opened, mut at_start, mut cells) = (false, true, 1);
    for &byte in text.as_bytes() {
        match byte {
            b'"' if opened || at_start => {
                // Of two marks in a row the second opens the cell again, so that they count as one inside it.
                at_start = opened;
                opened = !opened;
                continue;
            }
            b'\n' if !opened => cells = 1,
            byte if byte == separator && !opened => cells += 1,
            _ => {}
        }
        if cells > limits::COLUMNS {
            return Err(Fault::too_many("cells in a line", u64::from(limits::COLUMNS)));
        }
        at_start = !opened && (byte == separator || byte == b'\n');
    }
    Ok(())
}

/// The place, in bytes, of a quotation mark that opens a cell which none closes. A mark that is left open ends at the one
/// that opens the next cell in marks, and so on down the text, until none is left for the last: the first that surely
/// went astray is told.
fn open_mark(text: &str, separator: u8) -> Option<usize> {
    let next = |from: usize| text.get(from..)?.find('"').map(|found| from + found);
    let ends = |at: usize| text.as_bytes().get(at).is_none_or(|byte| *byte == separator || *byte == b'\n');
    let (mut from, mut closed) = (0, None);
    let (mut opened, mut runs_on, mut astray) = (0, false, None);
    loop {
        let mark = next(from)?;
        from = mark + 1;
        let before = mark.checked_sub(1).and_then(|before| text.as_bytes().get(before));
        let starts = before.is_none_or(|byte| *byte == separator || *byte == b'\n');
        // Of two marks in a row the second opens the cell again, so that they count as one inside it.
        let opens_again = closed == Some(mark);
        if starts || opens_again {
            if !opens_again {
                (opened, runs_on) = (mark, false);
            }
            let Some(end) = next(from) else { return astray.or(Some(opened)) };
            runs_on |= text.get(mark..end).is_some_and(|inside| inside.contains('\n'));
            from = end + 1;
            closed = Some(from);
            // Words over several lines are sound: they follow the mark, and the cell ends where its marks do.
            let sound = !ends(opened + 1) && (ends(from) || text.as_bytes().get(from) == Some(&b'"'));
            if runs_on && !sound {
                astray = astray.or(Some(opened));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(text: &str) -> Vec<(String, String)> {
        let book = read(&"a.csv".into(), text, b',').unwrap();
        book.sheets[0].cells.iter().map(|cell| (cell.at.to_string(), cell.value.text())).collect()
    }

    fn named(cells: &[(&str, &str)]) -> Vec<(String, String)> {
        cells.iter().map(|(at, text)| ((*at).to_owned(), (*text).to_owned())).collect()
    }

    /// RFC 4180 for quotes; lines counted by hand.
    #[test]
    fn rows_are_the_lines_their_records_start_on() {
        let chart = "Leaves\n\n\nk,,o\n\"a \"\"b\"\"\nc\",k\n\nk,o,\n";
        let expected = named(&[
            ("A1", "Leaves"),
            ("A4", "k"),
            ("C4", "o"),
            ("A5", "a \"b\" c"),
            ("B5", "k"),
            ("A8", "k"),
            ("B8", "o"),
        ]);
        assert_eq!(cells(chart), expected);
        assert_eq!(cells(&chart.replace('\n', "\r\n")), expected);
        assert_eq!(cells(&chart.replace('\n', "\r")), expected);
    }

    /// A quotation mark anywhere has the whole text read as quoted.
    #[test]
    fn cells_are_the_same_with_and_without_quotation_marks() {
        let chart = "Leaves,,\n\n,k,o,1\n,,\nk,\u{e9}, ,2 \n\n,,,k";
        let plain = cells(chart);
        let expected = named(&[
            ("A1", "Leaves"),
            ("B3", "k"),
            ("C3", "o"),
            ("D3", "1"),
            ("A5", "k"),
            ("B5", "\u{e9}"),
            ("D5", "2"),
            ("D7", "k"),
        ]);
        assert_eq!(plain, expected);
        let mut quoted = cells(&format!("{chart}\n\"p\""));
        assert_eq!(quoted.pop(), Some(("A8".to_owned(), "p".to_owned())));
        assert_eq!(quoted, plain);
    }

    #[test]
    fn a_declared_separator_keeps_the_line_numbers() {
        assert_eq!(cells("sep=|\r\nk|,|o\r\n"), named(&[("A2", "k"), ("B2", ","), ("C2", "o")]));
    }

    #[test]
    fn a_file_of_tabs_is_cut_at_tabs() {
        let read = |text| read(&"a.tsv".into(), text, b'\t').unwrap().sheets[0].cells.len();
        assert_eq!(read("k,p\tk;k,k\n"), 2);
        assert_eq!(read("k;p;k\nk;k;k\n"), 6);
    }

    #[test]
    fn blank_fields_of_any_kind_hold_nothing() {
        assert_eq!(cells("k, ,\u{a0},o\n,,,\n"), named(&[("A1", "k"), ("D1", "o")]));
        assert_eq!(cells(""), named(&[]));
    }

    #[test]
    fn numbers_and_dates_stay_as_typed() {
        assert_eq!(cells("3.0,1/1,-0\n"), named(&[("A1", "3.0"), ("B1", "1/1"), ("C1", "-0")]));
    }

    #[test]
    fn a_quote_left_open_is_an_error_at_its_line() {
        let read = |text| read(&"a.csv".into(), text, b',');
        assert!(matches!(read("k,o\nk,\",k\nk,k\n"), Err(Fault::DamagedLine { line: 2, .. })));
        assert!(read("k,\"\"\"\",k\n").is_ok());
        // The mark of line 1 ends at that of line 4, and so on: the last of all is none to blame. Nor are words over
        // two lines.
        let astray = "2,\",k\n,k,1\n\nk,\"k on RS, p on WS\"\n\",yo\n";
        let words = format!("\"two\n\"\"lines\"\"\",k\n{astray}");
        for (text, at) in
            [(astray, 1), (&words, 3), ("k,\"\n2,\",k\n1,\",k\n", 1), ("k,\"a\nb\"\n1,\"k\n", 3)]
        {
            assert!(matches!(read(text), Err(Fault::DamagedLine { line, .. }) if line == at), "{text}");
        }
        assert!(read("5\" wide,k\n").is_ok());
    }
}
