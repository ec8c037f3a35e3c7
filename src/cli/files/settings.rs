//! Settings files: `longhand.toml` beside a chart and in the folders above it, the nearest winning key by key.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use longhand::chart;
use longhand::place::Place;
use longhand::problem::Finding;
use longhand::settings::{Settings, is_file_name};
use longhand::stitch::Stitches;

use super::{Input, name, text};

/// The name of a settings file.
const FILE: &str = "longhand.toml";

/// Settings that are held as they are understood, which takes ten times the room of their text. Work goes from folder
/// to folder, so a few are enough.
const AT_HAND: usize = 8;

/// The settings files met so far. Each folder of an archive may have its own.
#[derive(Default)]
pub struct SettingsFiles {
    /// The file named in the call.
    named: Settings,
    files: Vec<SettingsFile>,
    /// The nearest file of folders, and of folders as they are named in the call.
    folders: HashMap<PathBuf, Nearest>,
    inputs: HashMap<PathBuf, Nearest>,
    at_hand: Mutex<Vec<Arc<Understood>>>,
    /// What is wrong in them, each file's once.
    pub findings: Vec<Finding>,
}

/// Which settings file is the nearest to an input, by its number; inputs with the same one share all settings.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Nearest(Option<usize>);

/// A settings file as it was when it was met.
struct SettingsFile {
    path: Box<Path>,
    text: Box<str>,
    /// The nearest one above it.
    above: Nearest,
}

/// What holds where a file is the nearest.
struct Understood {
    nearest: Nearest,
    /// By the files there and above.
    files: Settings,
    /// With the file named in the call over them.
    all: Arc<Settings>,
}

impl SettingsFiles {
    /// Settings files under one that is named in the call, which wins over all of them.
    pub fn under(named: Option<&Path>) -> Self {
        let mut files = Self::default();
        if let Some(path) = named
            && let Some(text) = files.read(path)
        {
            files.named = understood(path, &text).0;
        }
        files
    }

    /// The settings file nearest to an input; for standard input, to the current folder.
    pub fn nearest(&mut self, input: &Input) -> Nearest {
        let folder = match input.path() {
            Some(path) => path.parent().filter(|parent| !parent.as_os_str().is_empty()),
            None => None,
        };
        let folder = folder.unwrap_or(Path::new("."));
        if let Some(known) = self.inputs.get(folder) {
            return *known;
        }
        // A folder that can't be found has no settings; its files will say that they can't be read.
        let nearest = folder.canonicalize().map_or(Nearest(None), |folder| self.of_folder(&folder));
        self.inputs.insert(folder.to_owned(), nearest);
        nearest
    }

    fn of_folder(&mut self, folder: &Path) -> Nearest {
        if let Some(known) = self.folders.get(folder) {
            return *known;
        }
        let above = folder.parent().map(|parent| self.of_folder(parent)).unwrap_or_default();
        let file = folder.join(FILE);
        let path = if file.is_file() { Some(shown(&file)) } else { None };
        let nearest = match path.and_then(|path| Some((self.read(&path)?, path))) {
            Some((text, path)) => {
                self.files.push(SettingsFile { path: path.into(), text: text.into(), above });
                let nearest = Nearest(Some(self.files.len() - 1));
                self.findings.extend(self.misread(nearest));
                nearest
            }
            None => above,
        };
        self.folders.insert(folder.to_owned(), nearest);
        nearest
    }

    /// The text of a settings file; what is wrong in it is kept.
    fn read(&mut self, path: &Path) -> Option<String> {
        match text(path) {
            Ok(text) => {
                self.findings.extend(understood(path, &text).1);
                Some(text)
            }
            Err(finding) => {
                self.findings.push(finding);
                None
            }
        }
    }

    /// What is wrong with the words of a settings file, which may name stitches of the files above.
    fn misread(&self, nearest: Nearest) -> Option<Finding> {
        const NAME: &str = "return-rows";
        let file = self.files.get(nearest.0?)?;
        let own = understood(&file.path, &file.text).0;
        let mut stitches = Stitches::with_own(&self.settings(nearest).stitches);
        let place = Place::in_text(&name(&file.path), &file.text, file.text.find(NAME)?);
        chart::misread(&own, &mut stitches, place)
    }

    /// All inputs are known: what was held to find their files is given back.
    pub fn complete(&mut self) {
        (self.folders, self.inputs) = Default::default();
        self.files.shrink_to_fit();
    }

    /// What the settings files say for inputs with this nearest one.
    pub fn settings(&self, nearest: Nearest) -> Arc<Settings> {
        Arc::clone(&self.understood(nearest).all)
    }

    fn understood(&self, nearest: Nearest) -> Arc<Understood> {
        let at_hand = || self.at_hand.lock().unwrap_or_else(PoisonError::into_inner);
        let known = at_hand().iter().find(|known| known.nearest == nearest).map(Arc::clone);
        known.unwrap_or_else(|| {
            let file = nearest.0.and_then(|number| self.files.get(number));
            let files = file
                .map(|file| understood(&file.path, &file.text).0.over(&self.understood(file.above).files));
            let files = files.unwrap_or_default();
            let all = Arc::new(self.named.over(&files));
            let known = Arc::new(Understood { nearest, files, all });
            let mut at_hand = at_hand();
            if at_hand.len() == AT_HAND {
                at_hand.remove(0);
            }
            at_hand.push(Arc::clone(&known));
            known
        })
    }
}

/// What a settings file says, and what is wrong in it. Files that it names are found from where it stands.
fn understood(path: &Path, text: &str) -> (Settings, Vec<Finding>) {
    let (mut settings, findings) = Settings::parse(&name(path), text);
    let folder = path.parent().unwrap_or(Path::new(""));
    let styles = settings.styles.iter_mut().flatten();
    for style in styles.chain(settings.terms.iter_mut()).filter(|named| is_file_name(named)) {
        *style = folder.join(&*style).to_string_lossy().into_owned();
    }
    (settings, findings)
}

/// A path as short as the user would type it: from the current folder where it lies below.
fn shown(path: &Path) -> PathBuf {
    let here = std::env::current_dir().and_then(|here| here.canonicalize());
    here.ok().and_then(|here| path.strip_prefix(here).ok()).map_or_else(|| path.to_owned(), Path::to_owned)
}
