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
    /// What holds in a folder: its own file over those above.
    folders: HashMap<PathBuf, Settings>,
    /// What holds for the inputs of a folder as it is named in the call.
    inputs: HashMap<PathBuf, Arc<Settings>>,
    /// The file named in the call.
    named: Settings,
    /// What is wrong in them, each file's once.
    pub findings: Vec<Finding>,
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

    /// What the settings files say for an input; for standard input, those of the current folder. Inputs of one
    /// folder share it.
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
            Err(_) => Settings::default(),
        };
        let settings = Arc::new(self.named.over(&below));
        self.inputs.insert(folder.to_owned(), Arc::clone(&settings));
        settings
    }

    fn for_folder(&mut self, folder: &Path) -> Settings {
        if let Some(known) = self.folders.get(folder) {
            return known.clone();
        }
        let above = folder.parent().map(|parent| self.for_folder(parent)).unwrap_or_default();
        let file = folder.join(FILE);
        let settings = if file.is_file() { self.read(&shown(&file)).over(&above) } else { above };
        self.folders.insert(folder.to_owned(), settings.clone());
        settings
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
