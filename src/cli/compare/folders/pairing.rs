//! Which file of the one folder is to be compared with which of the other: by their names alone.
//!
//! Every file goes with the one whose name is nearest to its own, and with several where none is nearer. So no file that
//! has a partner is left out, and nothing is chosen among equals: one text of two charts is held against both.

use std::hash::{BuildHasher, RandomState};
use std::path::PathBuf;

use super::super::super::names::StyleNames;
use super::name::{Distance, Name};

/// Two files to be compared, by their numbers; one alone where the other folder has no partner of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pairing {
    /// The number of the left one.
    pub left: Option<u32>,
    /// The number of the right one.
    pub right: Option<u32>,
}

/// Pairings that share files: what they share is read once.
pub type Bundle = Box<[Pairing]>;

/// A file among those of one name.
struct Member {
    number: u32,
    name: Name,
}

/// The pairings of two folders, in the order of their names: of `count` files the first `split` lie in the left one, the
/// others in the right one. `below` gives the path of each below its folder.
pub fn bundles(
    split: usize,
    count: usize,
    below: impl Fn(u32) -> PathBuf,
    styles: &StyleNames,
) -> Vec<Bundle> {
    let hasher = RandomState::new();
    let name = |number: u32| Name::of(&below(number), styles);
    // An archive has very many files: numbers in order take less room than tables of names.
    let numbers = 0..u32::try_from(count).unwrap_or(u32::MAX);
    let mut keys: Vec<(u64, u32)> =
        numbers.map(|number| (hasher.hash_one(name(number).key()), number)).collect();
    keys.sort_unstable();
    let mut bundles: Vec<Bundle> = Vec::with_capacity(count / 2);
    for alike in keys.chunk_by(|one, two| one.0 == two.0) {
        let members = alike.iter().map(|&(_, number)| Member { number, name: name(number) });
        let (left, right): (Vec<_>, Vec<_>) = members.partition(|member| (member.number as usize) < split);
        bundled(pairings(&left, &right), &mut bundles);
    }
    bundles.sort_by_cached_key(|bundle| {
        let first = bundle.first().and_then(|pair| pair.left.or(pair.right)).unwrap_or_default();
        (below(first), first)
    });
    bundles
}

/// The pairings of files whose names may be alike.
fn pairings(left: &[Member], right: &[Member]) -> Vec<Pairing> {
    let distances: Vec<Vec<Option<Distance>>> =
        left.iter().map(|one| right.iter().map(|two| one.name.distance(&two.name)).collect()).collect();
    let distance = |at: usize, with: usize| distances.get(at)?.get(with).copied().flatten();
    let nearest_left: Vec<Option<Distance>> =
        distances.iter().map(|line| line.iter().flatten().min().copied()).collect();
    let nearest_right: Vec<Option<Distance>> =
        (0..right.len()).map(|with| (0..left.len()).filter_map(|at| distance(at, with)).min()).collect();
    let mut pairings = Vec::new();
    for (at, (one, nearest)) in left.iter().zip(&nearest_left).enumerate() {
        if nearest.is_none() {
            pairings.push(Pairing { left: Some(one.number), right: None });
        }
        for (with, (two, other)) in right.iter().zip(&nearest_right).enumerate() {
            let distance = distance(at, with);
            if distance.is_some() && (distance == *nearest || distance == *other) {
                pairings.push(Pairing { left: Some(one.number), right: Some(two.number) });
            }
        }
    }
    let alone = right.iter().zip(&nearest_right).filter(|(_, nearest)| nearest.is_none());
    pairings.extend(alone.map(|(two, _)| Pairing { left: None, right: Some(two.number) }));
    pairings
}

/// Puts together what shares a file.
fn bundled(pairings: Vec<Pairing>, bundles: &mut Vec<Bundle>) {
    let shares = |one: &Pairing, two: &Pairing| {
        one.left.is_some() && one.left == two.left || one.right.is_some() && one.right == two.right
    };
    let mut rest = pairings;
    while let Some(&first) = rest.first() {
        let mut bundle = vec![first];
        rest.remove(0);
        let mut done = 0;
        while let Some(&one) = bundle.get(done) {
            done += 1;
            let (joined, left) = rest.into_iter().partition(|other| shares(&one, other));
            rest = left;
            bundle.extend::<Vec<Pairing>>(joined);
        }
        bundle.sort_by_key(|pair| (pair.left, pair.right));
        bundles.push(bundle.into());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The pairings of some files, a bundle a line: "scarf.xlsx=scarf.txt".
    fn paired(left: &[&str], right: &[&str]) -> Vec<String> {
        let all = [left, right].concat();
        let name = |number: Option<u32>| number.map_or("", |number| all[number as usize]);
        let pair = |pair: &Pairing| format!("{}={}", name(pair.left), name(pair.right));
        let below = |number| PathBuf::from(name(Some(number)));
        let bundles = bundles(left.len(), all.len(), below, &StyleNames::built_in());
        bundles.iter().map(|bundle| bundle.iter().map(pair).collect::<Vec<_>>().join(" ")).collect()
    }

    #[test]
    fn an_archive_goes_with_what_was_written_of_it() {
        assert_eq!(
            paired(
                &["lace/scarf.xlsx", "scarf.csv", "scarf.xlsx", "two.ods"],
                &["lace/scarf.txt", "scarf.csv.txt", "scarf.xlsx.txt", "two.A.txt", "two.B.txt"]
            ),
            [
                "lace/scarf.xlsx=lace/scarf.txt",
                "scarf.csv=scarf.csv.txt",
                "scarf.xlsx=scarf.xlsx.txt",
                "two.ods=two.A.txt two.ods=two.B.txt"
            ]
        );
        // Charts that are called as results are.
        assert_eq!(
            paired(&["two.A.csv", "two.xlsx"], &["two.A.csv.txt", "two.xlsx.A.txt", "two.xlsx.B.txt"]),
            ["two.A.csv=two.A.csv.txt", "two.xlsx=two.xlsx.A.txt two.xlsx=two.xlsx.B.txt"]
        );
        // The other way round, and in several styles.
        assert_eq!(
            paired(&["two.A.aloud.txt", "two.A.uk.txt"], &["two.ods"]),
            ["two.A.aloud.txt=two.ods two.A.uk.txt=two.ods"]
        );
    }

    #[test]
    fn the_same_name_comes_first() {
        let both = ["scarf.txt", "scarf.xlsx", "two.A.txt", "two.B.txt"];
        let same: Vec<String> = both.iter().map(|name| format!("{name}={name}")).collect();
        assert_eq!(paired(&both, &both), same);
        // Charts beside their approved texts, held against texts: each chart, and each text, against the text.
        assert_eq!(paired(&both[..2], &["scarf.txt"]), ["scarf.txt=scarf.txt scarf.xlsx=scarf.txt"]);
        assert_eq!(paired(&["A.txt", "a.txt"], &["A.txt", "a.txt"]), ["A.txt=A.txt", "a.txt=a.txt"]);
    }

    #[test]
    fn nothing_is_chosen_among_equals() {
        assert_eq!(
            paired(&["scarf.csv", "scarf.xlsx"], &["scarf.txt"]),
            ["scarf.csv=scarf.txt scarf.xlsx=scarf.txt"]
        );
        assert_eq!(
            paired(&["Scarf.csv", "scarf.csv"], &["SCARF.txt"]),
            ["Scarf.csv=SCARF.txt scarf.csv=SCARF.txt"]
        );
    }

    #[test]
    fn what_has_no_partner_stands_alone_in_its_place() {
        assert_eq!(
            paired(&["a.csv", "c.csv", "two.A.txt"], &["b.txt", "c.txt", "two.C.txt"]),
            ["a.csv=", "=b.txt", "c.csv=c.txt", "two.A.txt=", "=two.C.txt"]
        );
        assert_eq!(paired(&[], &[]), Vec::<String>::new());
    }
}
