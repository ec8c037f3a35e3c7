//! "Did you mean": the known word nearest to one that is not known.

/// How alike two words must be, from 0 to 1, for one to be a slip of the other.
const LIKENESS: f64 = 0.72;

/// The nearest of the known words, if one is near enough to be what was meant. Case does not matter.
pub fn nearest<'k>(word: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    let word = word.to_lowercase();
    known
        .into_iter()
        .map(|known| (strsim::jaro_winkler(&word, &known.to_lowercase()), known))
        .filter(|(likeness, _)| *likeness >= LIKENESS)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, known)| known)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_are_recognised() {
        let known = ["bracketed", "spelled-out", "uk"];
        assert_eq!(nearest("Bracketted", known), Some("bracketed"));
        assert_eq!(nearest("speled out", known), Some("spelled-out"));
        assert_eq!(nearest("plain", known), None);
    }
}
