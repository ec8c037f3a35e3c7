//! The inputs of a call, held in little room: an archive has very many of them.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::{From, Input};

/// Inputs in order. Those of a folder keep its path once, and of their own only their names.
#[derive(Clone, Debug, Default)]
pub struct Inputs {
    stretches: Vec<Stretch>,
    /// The names one after another.
    names: String,
    /// Where each name ends, in bytes from the first name of its stretch.
    ends: Vec<u32>,
}

/// Inputs that follow one another and lie in one folder; or a single one that has no path of the usual kind.
#[derive(Clone, Debug)]
struct Stretch {
    /// The number of its first input.
    first: usize,
    /// Where the names of its inputs begin among the names.
    names: usize,
    /// What comes before the names.
    folder: Box<str>,
    from: From,
    above: usize,
}

impl Inputs {
    /// How many there are.
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    /// Adds an input behind the others.
    pub fn push(&mut self, input: &Input) {
        let usual = input.from == From::Named;
        let name = input.path().and_then(|path| path.file_name()?.to_str()).filter(|_| usual);
        // A path that ends otherwise than its name, as `..` does, stands whole in place of the folder.
        let (folder, name) =
            name.and_then(|name| Some((input.file.strip_suffix(name)?, name))).unwrap_or((&*input.file, ""));
        let goes_on = |last: &Stretch| {
            usual && last.from == From::Named && last.above == input.above && *last.folder == *folder
        };
        let end = |names: usize| u32::try_from(self.names.len() + name.len() - names).ok();
        let end = match self.stretches.last().filter(|last| goes_on(last)).and_then(|last| end(last.names)) {
            Some(end) => end,
            None => {
                self.stretches.push(Stretch {
                    first: self.ends.len(),
                    names: self.names.len(),
                    folder: Box::from(folder),
                    from: input.from.clone(),
                    above: input.above,
                });
                // A longer name than this has never been in memory.
                u32::try_from(name.len()).unwrap_or(u32::MAX)
            }
        };
        self.names.push_str(name);
        self.ends.push(end);
    }

    /// No more inputs are to come: what was held for them is given back.
    pub fn complete(&mut self) {
        self.stretches.shrink_to_fit();
        self.names.shrink_to_fit();
        self.ends.shrink_to_fit();
    }

    /// An input by its number.
    pub fn get(&self, number: usize) -> Option<Input> {
        let end = *self.ends.get(number)?;
        let at = self.stretches.partition_point(|stretch| stretch.first <= number).checked_sub(1)?;
        let Stretch { first, names, folder, from, above } = self.stretches.get(at)?;
        let start = if number == *first { 0 } else { *self.ends.get(number - 1)? };
        let name = self.names.get(names + start as usize..names + end as usize)?;
        Some(Input { file: Arc::from(format!("{folder}{name}")), from: from.clone(), above: *above })
    }

    /// The number of the first input of each folder, as often as the inputs come to it.
    pub fn of_folders(&self) -> impl Iterator<Item = usize> {
        self.stretches.iter().map(|stretch| stretch.first)
    }

    /// All of them, in order.
    pub fn iter(&self) -> impl Iterator<Item = Input> + Clone {
        (0..self.len()).filter_map(|number| self.get(number))
    }

    /// Those that lie in a folder, by its path as it was given, in order.
    pub fn in_folder(&self, folder: &Path) -> impl Iterator<Item = Input> {
        let lies = |first: usize| {
            let first = self.get(first);
            first.is_some_and(|first| first.path().and_then(Path::parent) == Some(folder))
        };
        let ends = self.of_folders().skip(1).chain([self.len()]);
        let stretches = self.of_folders().zip(ends).filter(|(first, _)| lies(*first));
        let stretches: Vec<(usize, usize)> = stretches.collect();
        stretches.into_iter().flat_map(|(first, end)| first..end).filter_map(|number| self.get(number))
    }

    /// The paths of all that have one.
    pub fn paths(&self) -> impl Iterator<Item = PathBuf> {
        self.iter().filter_map(|input| input.path().map(ToOwned::to_owned))
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;

    fn held(inputs: &[Input]) -> Inputs {
        let mut held = Inputs::default();
        for input in inputs {
            held.push(input);
        }
        held.complete();
        held
    }

    #[test]
    fn inputs_come_back_as_they_were() {
        let below = |path: &str, above| Input::below(Path::new(path), above);
        let mut inputs = vec![
            below("charts/a.csv", 1),
            below("charts/b.csv", 1),
            below("charts/lace/a.csv", 1),
            below("charts/Ärmel.csv", 1),
            below("charts/c.csv", 0),
            Input::standard(),
            below("charts/c.csv", 0),
            below("charts//d.csv", 1),
            below("./charts/d.csv", 2),
            below("/d.csv", 1),
        ];
        inputs.extend(
            ["d.csv", "..", "a/..", "b/..", "d.csv/", "", "/"].map(|path| Input::alone(Path::new(path))),
        );
        let held = held(&inputs);
        assert_eq!(held.iter().collect::<Vec<_>>(), inputs);
        assert_eq!((held.len(), held.get(inputs.len())), (inputs.len(), None));
    }

    #[test]
    fn a_folder_is_held_once() {
        let inputs: Vec<Input> = (0..1000)
            .map(|number| Input::below(Path::new(&format!("charts/shelf-{}/{number}.csv", number / 100)), 1))
            .collect();
        let held = held(&inputs);
        assert_eq!(held.of_folders().collect::<Vec<_>>(), [0, 100, 200, 300, 400, 500, 600, 700, 800, 900]);
        assert_eq!(held.names.len(), (10 + 2 * 90 + 3 * 900) + 1000 * ".csv".len());
        let third: Vec<Input> = held.in_folder(Path::new("charts/shelf-3")).collect();
        assert_eq!(third, inputs[300..400]);
        assert_eq!(held.in_folder(Path::new("charts")).count(), 0);
    }

    /// Two folders may read the same where their names are no letters.
    #[cfg(unix)]
    #[test]
    fn names_that_are_no_letters_are_kept_whole() {
        use std::ffi::OsStr;
        use std::os::unix::ffi::OsStrExt;
        let odd = [&b"a\xff/b.csv"[..], b"a\xfe/b.csv", b"a\xfe/c.csv", b"a/b\xff.csv", b"a/c.csv"];
        let inputs = odd.map(|path| Input::below(Path::new(OsStr::from_bytes(path)), 1));
        let held = held(&inputs);
        assert_eq!(held.iter().collect::<Vec<_>>(), inputs);
        assert_eq!(held.of_folders().count(), inputs.len());
        assert_eq!(held.paths().collect::<Vec<_>>(), odd.map(|path| PathBuf::from(OsStr::from_bytes(path))));
    }
}
