//! What a call is to do: the files it names, and what governs each.

use std::collections::HashSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use longhand::problem::Finding;
use longhand::settings::Settings;
use longhand::stitch::{OwnStitch, Stitches};
use longhand::terms::{self, Vocabulary};

use super::call::Call;
use super::failure::Failure;
use super::files::{self, Found, Input, Inputs, Nearest, SettingsFiles};

/// An input and the settings files that hold for it.
pub struct Task {
    /// What is read.
    pub input: Input,
    /// What the settings files say.
    pub below: Arc<Settings>,
    /// The nearest of these files: what governs an input follows from it.
    pub nearest: Nearest,
    /// The user's own vocabulary of written rows, where one is named.
    pub vocabulary: Option<Arc<Vocabulary>>,
    /// Whether the input was named in the call, not found in a folder.
    pub named: bool,
}

/// The inputs of a call with what governs them, in order. There may be very many: a task is made when it is asked for.
pub struct TaskList {
    inputs: Inputs,
    settings: SettingsFiles,
    /// What governs the inputs from this number on, up to the next.
    governed: Vec<(usize, Nearest, Option<Arc<Vocabulary>>)>,
    /// The paths that the call names, by their fingerprints.
    named: HashSet<u128>,
}

/// The inputs of a call.
pub struct Tasks {
    /// In order.
    pub tasks: TaskList,
    /// Whether a folder was among the paths.
    pub folder: bool,
    /// Folders that could not be looked into.
    pub findings: Vec<Finding>,
}

impl Tasks {
    /// Finds the inputs of a call and the settings that hold for each.
    ///
    /// # Errors
    /// When there is nothing to read, and for anything wrong in a settings file.
    pub fn find(call: &Call, out: Option<&Path>) -> Result<Self, Failure> {
        let leave: Vec<&Path> =
            out.into_iter().chain(call.report.as_ref().map(|report| &*report.path)).collect();
        Self::of(call, files::find(&call.paths, &leave, call.from, call.reads)?)
    }

    /// The inputs that were found for a call and the settings that hold for each.
    ///
    /// # Errors
    /// As for [`Tasks::find`].
    pub fn of(call: &Call, found: Found) -> Result<Self, Failure> {
        let mut settings = SettingsFiles::under(call.settings.as_deref());
        let mut vocabularies = Vocabularies::default();
        let mut governed: Vec<(usize, Nearest, Option<Arc<Vocabulary>>)> = Vec::new();
        for first in found.inputs.of_folders() {
            let Some(input) = found.inputs.get(first) else { continue };
            let nearest = settings.nearest(&input);
            if governed.last().is_none_or(|(_, last, _)| *last != nearest) {
                governed.push((first, nearest, vocabularies.of(call, &settings.settings(nearest))));
            }
        }
        settings.findings.extend(vocabularies.findings);
        if !settings.findings.is_empty() {
            return Err(Failure::from(settings.findings));
        }
        settings.complete();
        let named = call.paths.iter().map(|path| files::fingerprint(path)).collect();
        let tasks = TaskList { inputs: found.inputs, settings, governed, named };
        if tasks.len() == 0 {
            let mut failure = if call.reads.cells {
                Failure::new(
                    "There is no chart to read.",
                    "Charts are .xlsx, .xlsm, .xls, .xlsb, .ods, .fods, .csv and .tsv files, and longhand's own .json.",
                )
            } else {
                Failure::new(
                    "There are no written rows to read.",
                    "Written rows are .txt, .md, .html and .docx files, and longhand's own .json.",
                )
            };
            failure.findings = found.findings;
            return Err(failure);
        }
        Ok(Self { tasks, folder: found.folder, findings: found.findings })
    }

    /// The paths that are read.
    pub fn paths(&self) -> impl Iterator<Item = PathBuf> {
        self.tasks.inputs.paths()
    }
}

impl TaskList {
    /// How many there are.
    pub fn len(&self) -> usize {
        self.inputs.len()
    }

    /// A task by its number.
    pub fn get(&self, number: usize) -> Option<Task> {
        let at = self.governed.partition_point(|(first, ..)| *first <= number).checked_sub(1)?;
        let (_, nearest, vocabulary) = self.governed.get(at)?;
        let input = self.inputs.get(number)?;
        let below = self.settings.settings(*nearest);
        let named = input.path().is_none_or(|path| self.named.contains(&files::fingerprint(path)));
        Some(Task { input, below, nearest: *nearest, vocabulary: vocabulary.clone(), named })
    }

    /// The first task.
    pub fn first(&self) -> Option<Task> {
        self.get(0)
    }

    /// The last task.
    pub fn last(&self) -> Option<Task> {
        self.get(self.len().checked_sub(1)?)
    }

    /// All of them, in order.
    pub fn iter(&self) -> impl Iterator<Item = Task> {
        (0..self.len()).filter_map(|number| self.get(number))
    }

    /// One task for all that follow one another and are governed by the same.
    pub fn of_settings(&self) -> impl Iterator<Item = Task> {
        self.governed.iter().filter_map(|(first, ..)| self.get(*first))
    }

    /// What they read, in order.
    pub fn inputs(&self) -> impl Iterator<Item = Input> + Clone {
        self.inputs.iter()
    }

    /// Those of them that lie in a folder, by its path as it was given.
    pub fn inputs_in(&self, folder: &Path) -> impl Iterator<Item = Input> {
        self.inputs.in_folder(folder)
    }

    /// Leaves out those that are not wanted; each is asked once, in order.
    pub fn retain(&mut self, mut wanted: impl FnMut(&Task) -> bool) {
        let (mut inputs, mut governed) = (Inputs::default(), Vec::new());
        for task in self.iter().filter(|task| wanted(task)) {
            if governed.last().is_none_or(|(_, last, _)| *last != task.nearest) {
                governed.push((inputs.len(), task.nearest, task.vocabulary));
            }
            inputs.push(&task.input);
        }
        inputs.complete();
        (self.inputs, self.governed) = (inputs, governed);
    }
}

/// The users' own vocabularies, each read once.
#[derive(Default)]
struct Vocabularies {
    /// The last one read, with its name and the stitches of the designer's own that its words may mean.
    last: Option<(String, Vec<OwnStitch>, Option<Arc<Vocabulary>>)>,
    findings: Vec<Finding>,
}

impl Vocabularies {
    /// The vocabulary, where the settings of an input name its file.
    fn of(&mut self, call: &Call, below: &Settings) -> Option<Arc<Vocabulary>> {
        let settings = call.above.over(below);
        let name = settings.terms.filter(|name| call.reads.lines && terms::named(name).is_none())?;
        if let Some((last, stitches, known)) = &self.last
            && (last, stitches) == (&name, &settings.stitches)
        {
            return known.clone();
        }
        let read = vocabulary(&name, &settings.stitches).map(|read| Some(Arc::new(read)));
        let read = read.unwrap_or_else(|finding| {
            if !self.findings.contains(&finding) {
                self.findings.push(finding);
            }
            None
        });
        self.last = Some((name, settings.stitches, read.clone()));
        read
    }
}

fn vocabulary(name: &str, stitches: &[OwnStitch]) -> Result<Vocabulary, Finding> {
    let text = files::text(Path::new(name))?;
    Vocabulary::parse(&text, &Arc::from(name), &Stitches::with_own(stitches))
}
