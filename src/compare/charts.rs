//! Which chart of the one file is to be compared with which of the other.

use crate::pattern::Pattern;

/// Puts the patterns of two files side by side: a lone one with a lone one, several by their titles and, where the
/// titles do not tell, in their order. Gives indexes; `None` stands where one side has no partner.
pub fn pairs(left: &[&Pattern], right: &[&Pattern]) -> Vec<(Option<usize>, Option<usize>)> {
    if let ([_], [_]) = (left, right) {
        return vec![(Some(0), Some(0))];
    }
    let title = |pattern: &Pattern| pattern.title.trim().to_lowercase();
    let only = |patterns: &[&Pattern], wanted: &str| {
        let mut found = patterns.iter().enumerate().filter(|(_, pattern)| title(pattern) == wanted);
        let first = found.next().map(|(index, _)| index);
        first.filter(|_| found.next().is_none())
    };
    let mut partners: Vec<Option<usize>> = left
        .iter()
        .map(|pattern| {
            let title = title(pattern);
            only(left, &title).and_then(|_| only(right, &title))
        })
        .collect();
    // What no title joins goes by its order.
    let mut rest =
        (0..right.len()).filter(|index| !partners.contains(&Some(*index))).collect::<Vec<_>>().into_iter();
    for partner in &mut partners {
        *partner = partner.or_else(|| rest.next());
    }
    let mut pairs: Vec<_> =
        partners.into_iter().enumerate().map(|(index, partner)| (Some(index), partner)).collect();
    pairs.extend(rest.map(|index| (None, Some(index))));
    pairs
}
