//! The house styles of a call: built-in ones by name, the user's own by file.

use std::collections::HashMap;
use std::path::Path;
use std::sync::Arc;

use longhand::style::{self, Style};

use super::failure::Failure;
use super::files;

/// The styles asked for, each read once.
#[derive(Default)]
pub struct Styles {
    known: HashMap<String, Arc<Style>>,
}

impl Styles {
    /// The style of this name, or of the file of this name.
    ///
    /// # Errors
    /// When there is no such file, or no style in it.
    pub fn get(&mut self, name: &str) -> Result<Arc<Style>, Failure> {
        if let Some(style) = self.known.get(name) {
            return Ok(Arc::clone(style));
        }
        let style = match style::named(name) {
            Some(style) => style.clone(),
            // The settings take no other names than those of built-in styles and of files.
            None => {
                let text = files::text(Path::new(name)).map_err(|finding| Failure::from(vec![finding]))?;
                Style::parse(&text, &Arc::from(name)).map_err(|finding| Failure::from(vec![finding]))?
            }
        };
        let style = Arc::new(style);
        self.known.insert(name.to_owned(), Arc::clone(&style));
        Ok(style)
    }
}
