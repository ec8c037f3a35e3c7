//! Settings files: `longhand.toml` beside a chart and in the folders above it, the nearest winning key by key.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use longhand::problem::Finding;
use longhand::settings::{Settings, is_file_name};

use super::{Input, name, text};

/// The name of a settings file.
const FILE: &str = "longhand.toml";

/// The settings files met so far.
#[derive(Default)]
pub struct SettingsFiles {
    /// What holds in a folder: its own file over those above, and the file named in the call over all. A folder
    /// without a file shares that of the one above.
    folders: HashMap<PathBuf, Arc<Below>>,
    /// What holds for the inputs of a folder as it is named in the call.
    inputs: HashMap<PathBuf, Arc<Settings>>,
    /// The file named in the call.
    named: Settings,
    /// What is wrong in them, each file's once.
    pub findings: Vec<Finding>,
}

/// What holds below a folder.
struct Below {
    /// By the files there and above.
    files: Settings,
    /// With the file named in the call.
    all: Arc<Settings>,
}

impl SettingsFiles {
    /// Settings files under one that is named in the call, which wins over all of them.
    pub fn under(named: Option<&Path>) -> Self {
        let mut files = Self::default();
        if let Some(path) = named {
            files.named = files.read(path);
        }
        files
    }

    /// What the settings files say for an input; for standard input, those of the current folder. Inputs for which
    /// the same files hold share it.
    pub fn for_input(&mut self, input: &Input) -> Arc<Settings> {
        let folder = match input.path() {
            Some(path) => path.parent().filter(|parent| !parent.as_os_str().is_empty()),
            None => None,
        };
        let folder = folder.unwrap_or(Path::new("."));
        if let Some(known) = self.inputs.get(folder) {
            return Arc::clone(known);
        }
        // A folder that can't be found has no settings; its files will say that they can't be read.
        let below = match folder.canonicalize() {
            Ok(folder) => self.for_folder(&folder),
            Err(_) => self.with(Settings::default()),
        };
        let settings = Arc::clone(&below.all);
        self.inputs.insert(folder.to_owned(), Arc::clone(&settings));
        settings
    }

    fn for_folder(&mut self, folder: &Path) -> Arc<Below> {
        if let Some(known) = self.folders.get(folder) {
            return Arc::clone(known);
        }
        let above = match folder.parent() {
            Some(parent) => self.for_folder(parent),
            None => self.with(Settings::default()),
        };
        let file = folder.join(FILE);
        let below = if file.is_file() {
            let settings = self.read(&shown(&file)).over(&above.files);
            self.with(settings)
        } else {
            above
        };
        self.folders.insert(folder.to_owned(), Arc::clone(&below));
        below
    }

    /// What files say, and the file named in the call over it.
    fn with(&self, files: Settings) -> Arc<Below> {
        let all = Arc::new(self.named.over(&files));
        Arc::new(Below { files, all })
    }

    fn read(&mut self, path: &Path) -> Settings {
        let text = match text(path) {
            Ok(text) => text,
            Err(finding) => {
                self.findings.push(finding);
                return Settings::default();
            }
        };
        let (mut settings, findings) = Settings::parse(&name(path), &text);
        self.findings.extend(findings);
        let folder = path.parent().unwrap_or(Path::new(""));
        let styles = settings.styles.iter_mut().flatten();
        for style in styles.chain(settings.terms.iter_mut()).filter(|named| is_file_name(named)) {
            *style = folder.join(&*style).to_string_lossy().into_owned();
        }
        settings
    }
}

/// A path as short as the user would type it: from the current folder where it lies below.
fn shown(path: &Path) -> PathBuf {
    let here = std::env::current_dir().and_then(|here| here.canonicalize());
    here.ok().and_then(|here| path.strip_prefix(here).ok()).map_or_else(|| path.to_owned(), Path::to_owned)
}
