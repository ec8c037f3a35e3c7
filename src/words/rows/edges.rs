//! Sentences about the edges of every row, "Slip the first stitch of every row": the rows are read as they are written or
//! drawn, and where those have another edge, that is told.

use super::facts::sentences;
use super::label::is_row_word;
use super::lex::{Kind, tokens};
use crate::stitch::{Face, StitchId, Stitches};
use crate::words::english;

/// How a stitch of an edge is worked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum How {
    Knit,
    Purl,
    Slip,
}

/// What a sentence says of the edges.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Edges {
    /// How many stitches at the beginning of each row, and how they are worked.
    first: Option<(usize, How)>,
    last: Option<(usize, How)>,
}

/// The sentence of a text that tells of the edges of every row.
pub(crate) fn told(text: &str) -> Option<(&str, Edges)> {
    sentences(text).find_map(|sentence| Some((sentence, edges(sentence)?)))
}

fn edges(sentence: &str) -> Option<Edges> {
    let found = tokens(sentence);
    let word = |at: usize| match found.get(at).map(|token| &token.kind) {
        Some(Kind::Word(word)) => word.as_str(),
        Some(Kind::Ordinal(1)) => "first",
        _ => "",
    };
    let number = |at: usize| match found.get(at).map(|token| &token.kind) {
        Some(Kind::Number(number)) => usize::try_from(*number).ok(),
        _ => None,
    };
    let said = english::edges();
    let how = |word: &str| {
        let ways = [(&said.slip, How::Slip), (&said.knit, How::Knit), (&said.purl, How::Purl)];
        ways.into_iter().find_map(|(words, how)| words.contains(&word).then_some(how))
    };
    // The verb stands first, or behind "always", "Note:".
    let lead = match word(0) {
        "always" => 1,
        "note" | "notes" => 2,
        _ => 0,
    };
    if how(word(lead)).is_none() && !said.keep.contains(&word(lead)) {
        return None;
    }
    let rows = |at: usize| is_row_word(word(at));
    let all = |at: usize| match word(at) {
        "throughout" => true,
        which if said.which.contains(&which) => (at + 1..at + 3).any(rows),
        _ => false,
    };
    if !(0..found.len()).any(all) {
        return None;
    }
    let any = (0..found.len()).find_map(|at| how(word(at)))?;
    let (mut edges, mut now, mut count) = (Edges::default(), None, None);
    for at in 0..found.len() {
        now = how(word(at)).or(now);
        count = number(at).or(count);
        let edge = Some((count.or_else(|| number(at + 1)).unwrap_or(1), now.unwrap_or(any)));
        let next = word(at + 1);
        match word(at) {
            "first" => edges.first = edge,
            "last" => edges.last = edge,
            "each" | "both" if said.ends.contains(&next) => {
                edges = Edges { first: edge, last: edge };
            }
            _ => {}
        }
    }
    (edges != Edges::default()).then_some(edges)
}

impl Edges {
    /// Whether a row has these edges.
    pub(crate) fn are_of(&self, row: &[StitchId], stitches: &Stitches) -> bool {
        let is = |how: How, id: StitchId| {
            let stitch = stitches.get(id);
            let plain = stitches.plain(id);
            match how {
                How::Slip => stitch.faces.first() == Some(&Face::Same),
                How::Knit => plain == Stitches::K,
                How::Purl => plain == Stitches::P,
            }
        };
        let first = |(count, how): (usize, How)| row.iter().take(count).all(|&id| is(how, id));
        let last = |(count, how): (usize, How)| row.iter().rev().take(count).all(|&id| is(how, id));
        self.first.is_none_or(first) && self.last.is_none_or(last)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: common practice, no published source.
    #[test]
    fn sentences_about_edges_are_known() {
        let both = |count, how| Some(Edges { first: Some((count, how)), last: Some((count, how)) });
        for (sentence, expected) in [
            (
                "Slip the first stitch of every row purlwise.",
                Some(Edges { first: Some((1, How::Slip)), last: None }),
            ),
            ("Knit the first and last stitch of every row.", both(1, How::Knit)),
            ("Keep 2 sts at each end in garter stitch throughout.", both(2, How::Knit)),
            ("Knit the first 3 and last 3 sts of all rows.", both(3, How::Knit)),
            (
                "Slip the first st and purl the last st of every row.",
                Some(Edges { first: Some((1, How::Slip)), last: Some((1, How::Purl)) }),
            ),
            ("Note: Always slip the first stitch.", None),
            (
                "Note: Purl the last 2 sts of each row.",
                Some(Edges { first: None, last: Some((2, How::Purl)) }),
            ),
            ("Knit every row.", None),
            ("Dec 1 st at each end of every row.", None),
            ("Knit the first row.", None),
            ("Work the first row of the chart throughout.", None),
        ] {
            assert_eq!(edges(sentence), expected, "{sentence}");
        }
    }
}
