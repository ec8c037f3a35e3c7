//! Sentences that speak of rows: "Dec 1 st at each end of next row", "Work 4 rows in the border stitch", "Repeat these two
//! rows 6 times more".

use super::says::rows_counted;
use crate::words::rows::again;
use crate::words::rows::facts::sentences;
use crate::words::rows::label::is_row_word;
use crate::words::rows::lex::{Cursor, Kind, Token, tokens};
use crate::words::{reads, texts};

/// Whether a line without a label speaks of rows to be worked: "Work 4 rows in the border stitch", "Beginning with a RS
/// row, knit 2 rows", "Purl all even rows", or of how they are shaped: "Dec 1 st at each end of next row".
pub(super) fn speaks_of_rows(line: &str) -> bool {
    line.len() <= LONGEST_TOLD
        && sentences(line).filter(|sentence| sentence.len() <= 200).any(|sentence| {
            let found = tokens(sentence);
            counts_rows(Cursor::new(&found)) || shapes(Cursor::new(&found)) || again(Cursor::new(&found))
        })
}

/// The longest line that is looked at for sentences on rows, in bytes.
const LONGEST_TOLD: usize = 2_000;

/// Whether a line has rows worked again, and says how often: "Work Rows 1 and 2 5 times", "Repeat these two rows 6 times
/// more (14 rows in all)".
pub(super) fn repeats_rows(line: &str) -> bool {
    line.len() <= LONGEST_TOLD && sentences(line).filter(|sentence| sentence.len() <= 200).any(repeats)
}

/// Whether what stands behind the number of a row is said about it, and works no stitches: "begins the second repeat".
pub(super) fn is_about_row(behind: &str) -> bool {
    let said = texts();
    let found = tokens(behind);
    let mut cursor = Cursor::new(&found);
    let is_work = |token: &Token| match &token.kind {
        Kind::Word(word) => said.like_others.contains(word) || reads(word),
        _ => false,
    };
    cursor.take(&said.of_a_row) && !cursor.rest().iter().any(is_work)
}

fn repeats(sentence: &str) -> bool {
    let found = tokens(sentence);
    let mut cursor = Cursor::new(&found);
    let _ = cursor.take(&["then", "now"]);
    let repeats = cursor.take(&["rep", "repeat"]);
    if !repeats && !cursor.take(&["work"]) {
        return false;
    }
    let _ = cursor.take_mark(&['.']);
    while cursor.take(&texts().before_rows) || cursor.number().is_some() {}
    if cursor.take_rows().is_none() {
        return false;
    }
    while !cursor.at_end() {
        if again::times(&mut cursor).is_some() {
            return true;
        }
        cursor.at += 1;
    }
    false
}

fn counts_rows(mut cursor: Cursor<'_>) -> bool {
    let said = texts();
    // The verb stands first, or behind a clause that ends with a comma.
    let mut begins = true;
    loop {
        let _ = begins && cursor.take(&["then", "now"]);
        if begins && cursor.take(&said.begins_rows) {
            break;
        }
        // All stitches are bound off behind the rows.
        if begins && cursor.take(&["bind", "cast"]) && cursor.take(&["off"]) && cursor.number().is_some() {
            break;
        }
        if cursor.at_end() {
            return false;
        }
        begins = cursor.take_mark(&[',']);
        cursor.at += usize::from(!begins);
    }
    while !cursor.at_end() {
        let many =
            cursor.take(&said.which_rows) && (0..5).map_while(|ahead| cursor.word(ahead)).any(is_row_word);
        if many || rows_counted(&mut cursor).is_some() {
            return true;
        }
        cursor.at += 1;
    }
    false
}

/// Whether a sentence has a row of shaping worked again, "Rep dec row on next row".
fn again(mut cursor: Cursor<'_>) -> bool {
    cursor.take(&["rep", "repeat"]) && {
        let _ = cursor.take(&["the", "this", "last"]);
        cursor.take(&texts().shapes) && cursor.take_rows().is_some()
    }
}

/// Whether a sentence tells how rows are shaped: "Inc 1 st at each end of next row", "Decrease every 4th row", "Cast off 3
/// sts at beg of next 2 rows", "Cont in this way until ...", "Work even for 5 cm". To bind off all there is shapes none.
fn shapes(mut cursor: Cursor<'_>) -> bool {
    let said = texts();
    let mut begins = true;
    while !cursor.at_end() {
        let (before, first) = (cursor, begins);
        begins = cursor.take_mark(&[',', ';']) || (first && cursor.take(&["then", "now", "and"]));
        if begins {
            continue;
        }
        if cursor.take(&said.shapes) {
            let counted = cursor.number().is_some() && cursor.take_stitches();
            if counted || first {
                return true;
            }
        }
        cursor = before;
        let ends = ["bind", "cast", "binding", "casting"].iter().any(|verb| cursor.take_all(&[verb, "off"]));
        if (ends || cursor.take(&["bo"]))
            && cursor.number().is_some()
            && (0..12)
                .filter_map(|ahead| cursor.word(ahead))
                .any(|word| said.shaping_places.iter().any(|place| place == word))
        {
            return true;
        }
        cursor = before;
        if first && cursor.take(&said.goes_on) {
            let _ = cursor.take(&["to", "on"]) | cursor.take(&["work", "working", "knit", "shaping"]);
            if said.evenly.iter().any(|even| cursor.take_phrase(even)) {
                return true;
            }
        }
        cursor = before;
        cursor.at += 1;
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice, no published source.
    #[test]
    fn sentences_that_speak_of_rows() {
        for (line, speaks) in [
            ("Knit 6 rows in the colour you like.", true),
            ("Work 4 rows in the border stitch.", true),
            ("Knit until it measures 6 cm.", false),
            ("Dec 1 st at each end of next and every foll RS row until 4 sts rem.", true),
            ("Inc 1 st at each end of next row.", true),
            ("Keeping patt correct, inc one stitch at each end of every 4th row.", true),
            ("Work in patt decreasing 1 st at beg of next row.", true),
            ("Change to smaller needles. Decrease every 4th row 3 times.", true),
            ("Cast off 3 sts at beg of next 2 rows.", true),
            ("BO 3 (4) sts at the beginning of every RS row.", true),
            ("Bind off.", false),
            ("Bind off all 20 sts.", false),
            ("Bind off rem 4 sts.", false),
            ("Cast off loosely at the end.", false),
            ("Cont in this way until piece measures 10 cm.", true),
            ("Continue to work straight for 5 cm.", true),
            ("Work even for 5 cm.", true),
            ("Rep Rows 1 and 2 until piece measures 10 cm.", false),
            ("The increase is hard to see.", false),
            ("Continue in this colour.", false),
        ] {
            assert_eq!(speaks_of_rows(line), speaks, "{line}");
        }
    }
}
