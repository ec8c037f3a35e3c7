//! Inputs whose results might share a name. Each group is worked on and named as a whole, so that the names of one
//! file's results wait for no other files than these.

use std::hash::{BuildHasher, RandomState};
use std::path::Path;

/// Longer stems count as alike where they begin alike: the names of their results may be cut.
const CUT: usize = 120;

/// Groups of inputs in the order of their first ones; within a group, in the order of the inputs.
#[derive(Debug, Default)]
pub struct Groups {
    members: Vec<u32>,
    /// Where each group ends among the members.
    ends: Vec<u32>,
}

impl Groups {
    /// Groups inputs by what their results are called after. All results of `scarf.csv` are called `scarf.` and
    /// something, so that only those of `scarf.xlsx` and `scarf.A.csv` in the same folder could meet them.
    pub fn of<'a>(inputs: impl Iterator<Item = &'a Path> + Clone) -> Self {
        let hasher = RandomState::new();
        let key = |folder: &str, stem: &str| hasher.hash_one((folder, stem));
        // An archive has very many inputs: lists in order take half the room of tables.
        let mut stems: Vec<u64> = inputs
            .clone()
            .map(|below| {
                let (folder, stem) = parts(below);
                key(&folder, &stem)
            })
            .collect();
        stems.sort_unstable();
        let root = |below: &Path| {
            let (folder, stem) = parts(below);
            let beginnings = stem.match_indices('.').filter_map(|(at, _)| stem.get(..at));
            let mut roots = beginnings.map(|stem| key(&folder, stem));
            roots.find(|key| stems.binary_search(key).is_ok()).unwrap_or_else(|| key(&folder, &stem))
        };
        let mut alike: Vec<(u64, u32)> = inputs.map(root).zip(0..).collect();
        alike.sort_unstable();
        let mut groups: Vec<&[(u64, u32)]> = alike.chunk_by(|one, two| one.0 == two.0).collect();
        groups.sort_unstable_by_key(|group| group.first().map(|(_, input)| *input));
        let mut sorted =
            Self { members: Vec::with_capacity(alike.len()), ends: Vec::with_capacity(groups.len()) };
        for group in groups {
            sorted.members.extend(group.iter().map(|(_, input)| *input));
            sorted.ends.extend(u32::try_from(sorted.members.len()));
        }
        sorted
    }

    /// How many groups there are.
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    /// The inputs of a group, by their numbers.
    pub fn get(&self, group: usize) -> impl ExactSizeIterator<Item = usize> {
        let start = group.checked_sub(1).map_or(Some(0), |before| self.ends.get(before).copied());
        let range = start.zip(self.ends.get(group).copied());
        let members = range.and_then(|(start, end)| self.members.get(start as usize..end as usize));
        members.unwrap_or_default().iter().map(|input| *input as usize)
    }
}

/// Folder and stem, without regard to case and as short as names may be cut.
fn parts(below: &Path) -> (String, String) {
    let plain = |part: Option<&std::ffi::OsStr>| part.unwrap_or_default().to_string_lossy().to_lowercase();
    let mut stem = plain(below.file_stem());
    if let Some((cut, _)) = stem.char_indices().find(|(at, _)| *at >= CUT) {
        stem.truncate(cut);
    }
    (plain(below.parent().map(Path::as_os_str)), stem)
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
        assert_eq!(groups(&[]), Vec::<Vec<usize>>::new());
    }

    #[test]
    fn names_that_may_be_cut_are_one_group() {
        let [one, two] = ["1", "2"].map(|end| "é".repeat(100) + end + ".csv");
        assert_eq!(groups(&[&one, &two, "a.csv"]), [vec![0, 1], vec![2]]);
    }
}
