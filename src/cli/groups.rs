//! Inputs whose results might share a name. Each group is worked on and named as a whole, so that the names of one
//! file's results wait for no other files than these.

use std::collections::HashMap;
use std::hash::{BuildHasher, RandomState};
use std::iter;
use std::path::Path;

use super::names;

/// Longer stems count as alike where they begin alike: the names of their results may be cut.
const CUT: usize = 120;

/// Groups of inputs in the order of their first ones; within a group, in the order of the inputs. An archive has very
/// many inputs and few of them share a group, so only these are held.
#[derive(Debug, Default)]
pub struct Groups {
    inputs: usize,
    /// The inputs that are not the first of their group, each behind that first one; in order.
    others: Vec<(usize, usize)>,
    /// For each of these, in the order of the inputs, how many groups begin before it.
    before: Vec<usize>,
}

impl Groups {
    /// Groups inputs by what their results are called after. All results of `scarf.csv` are called `scarf.` and
    /// something, so that only those of `scarf.xlsx` and `scarf.A.csv` in the same folder could meet them.
    pub fn of<P: AsRef<Path>>(inputs: impl Iterator<Item = P> + Clone) -> Self {
        let hasher = RandomState::new();
        let key = |folder: &str, stem: &str| hasher.hash_one((folder, stem));
        let parts = |below: P| parts(below.as_ref());
        // A list in order takes half the room of a table.
        let mut stems: Vec<u64> =
            inputs.clone().map(parts).map(|(folder, stem)| key(&folder, &stem)).collect();
        stems.sort_unstable();
        // The shortest beginning of a stem that is the stem of another input.
        let joined = |folder: &str, stem: &str| {
            let beginnings = stem.match_indices('.').filter_map(|(at, _)| stem.get(..at));
            let mut roots = beginnings.map(|stem| key(folder, stem));
            roots.find(|key| stems.binary_search(key).is_ok())
        };
        let alike = stems.chunk_by(|one, two| one == two).filter(|alike| alike.len() > 1);
        // The first input of each group that has several.
        let mut firsts: HashMap<u64, Option<usize>> = HashMap::new();
        firsts.extend(alike.filter_map(|alike| Some((*alike.first()?, None))));
        for (folder, stem) in inputs.clone().filter(may_join).map(parts) {
            firsts.extend(joined(&folder, &stem).map(|root| (root, None)));
        }
        let mut groups = Self { inputs: stems.len(), ..Self::default() };
        if firsts.is_empty() {
            return groups;
        }
        for (input, (folder, stem)) in inputs.map(parts).enumerate() {
            let root = joined(&folder, &stem).unwrap_or_else(|| key(&folder, &stem));
            match firsts.get_mut(&root) {
                Some(Some(first)) => {
                    groups.before.push(input - groups.others.len());
                    groups.others.push((*first, input));
                }
                Some(first) => *first = Some(input),
                None => {}
            }
        }
        groups.others.sort_unstable();
        groups
    }

    /// How many groups there are.
    pub fn len(&self) -> usize {
        self.inputs - self.others.len()
    }

    /// The inputs of a group, by their numbers.
    pub fn get(&self, group: usize) -> impl Iterator<Item = usize> {
        let first = group + self.before.partition_point(|before| *before <= group);
        let start = self.others.partition_point(|(of, _)| *of < first);
        let others = self.others.iter().skip(start).take_while(move |(of, _)| *of == first);
        iter::once(first).chain(others.map(|(_, input)| *input))
    }
}

/// Whether the stem of an input may begin with that of another: few have a point.
fn may_join(below: &impl AsRef<Path>) -> bool {
    below.as_ref().file_stem().is_some_and(|stem| stem.as_encoded_bytes().contains(&b'.'))
}

/// Folder and stem as disks may make one of them, as short as names may be cut.
fn parts(below: &Path) -> (String, String) {
    let (folder, mut stem) = names::widest(below);
    if let Some((cut, _)) = stem.char_indices().find(|(at, _)| *at >= CUT) {
        stem.truncate(cut);
    }
    (folder, stem)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn groups(inputs: &[&str]) -> Vec<Vec<usize>> {
        let groups = Groups::of(inputs.iter().map(Path::new));
        (0..groups.len()).map(|group| groups.get(group).collect()).collect()
    }

    #[test]
    fn inputs_whose_results_could_meet_are_one_group() {
        let inputs = [
            "scarf.csv",
            "scarf-b.csv",
            "scarf.A.csv",
            "lace/scarf.csv",
            "Scarf.xlsx",
            "shawl.B.csv",
            "shawl.A.csv",
        ];
        assert_eq!(groups(&inputs), [vec![0, 2, 4], vec![1], vec![3], vec![5], vec![6]]);
        // The file that joins others may come after them.
        assert_eq!(groups(&["a.B.csv", "a.A.csv", "b.csv", "a.csv"]), [vec![0, 1, 3], vec![2]]);
        assert_eq!(groups(&["b.csv", "a.csv", "A.tsv", "c.csv", "B.tsv"]), [vec![0, 4], vec![1, 2], vec![3]]);
        assert_eq!(groups(&["a.csv", "a.xls", "a.ods", "b.csv"]), [vec![0, 1, 2], vec![3]]);
        assert_eq!(groups(&[]), Vec::<Vec<usize>>::new());
    }

    /// Two names that only some disks take are one where they are made harmless.
    #[test]
    fn names_that_a_disk_makes_one_are_one_group() {
        for [one, two] in [["a?.csv", "A*.csv"], ["lace./a.csv", "lace-/a.csv"], ["aux.csv", "aux-chart.csv"]]
        {
            assert_eq!(groups(&[one, "b.csv", two]), [vec![0, 2], vec![1]], "{one} {two}");
        }
    }

    #[test]
    fn names_that_may_be_cut_are_one_group() {
        let [one, two] = ["1", "2"].map(|end| "é".repeat(100) + end + ".csv");
        assert_eq!(groups(&[&one, &two, "a.csv"]), [vec![0, 1], vec![2]]);
    }
}
