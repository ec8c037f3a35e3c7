//! How each input is to be written: in which styles and formats; and all that its results depend on, as one hash.

use std::collections::HashMap;
use std::sync::Arc;

use longhand::convert::Format;
use longhand::style::Style;

use super::super::call::{Call, Purpose};
use super::super::failure::Failure;
use super::super::files::{self, Nearest};
use super::super::styles::Styles;
use super::super::tasks::{Task, Tasks};

/// How some inputs are to be written.
pub struct Plan {
    /// The house styles.
    pub styles: Vec<Arc<Style>>,
    /// The formats.
    pub formats: Vec<Format>,
    /// The hash of all that governs them, the program too.
    pub rules: String,
}

/// The plans of a call: one for the inputs that share their settings.
pub struct Plans {
    plans: Vec<Plan>,
    /// By the nearest settings file, from which all that a plan follows.
    by_settings: HashMap<Nearest, usize>,
}

impl Plans {
    /// The styles and formats for each input.
    ///
    /// # Errors
    /// When a style can't be read.
    pub fn of(call: &Call, purpose: Purpose, tasks: &Tasks) -> Result<Self, Failure> {
        let mut styles = Styles::default();
        let mut plans = Self { plans: Vec::new(), by_settings: HashMap::new() };
        for task in tasks.tasks.of_settings() {
            if !plans.by_settings.contains_key(&task.nearest) {
                plans.by_settings.insert(task.nearest, plans.plans.len());
                plans.plans.push(plan(call, purpose, &task, &mut styles)?);
            }
        }
        Ok(plans)
    }

    /// Every plan.
    pub fn all(&self) -> &[Plan] {
        &self.plans
    }

    /// The plan for an input.
    pub fn get(&self, task: &Task) -> Option<&Plan> {
        self.by_settings.get(&task.nearest).and_then(|plan| self.plans.get(*plan))
    }
}

/// Whether a command gives this format.
pub fn gives(purpose: Purpose, format: Format) -> bool {
    match format {
        Format::Rows(_) => purpose == Purpose::Rows,
        Format::Chart(_) => purpose == Purpose::Charts,
        Format::Json => true,
    }
}

fn plan(call: &Call, purpose: Purpose, task: &Task, known: &mut Styles) -> Result<Plan, Failure> {
    let settings = call.above.over(&task.below);
    // A chart has no wording: there the style only has to be some one.
    let names = settings.styles.filter(|_| purpose == Purpose::Rows);
    let names = names.unwrap_or_else(|| vec!["abbreviated".to_owned()]);
    let mut styles = Vec::new();
    for name in &names {
        let style = known.get(name)?;
        if !styles.contains(&style) {
            styles.push(style);
        }
    }
    // A settings file may name formats of rows and of charts; each command gives its own.
    let usual = if purpose == Purpose::Rows { "text" } else { "csv" };
    let to = settings.to.iter().flatten().filter_map(|name| Format::named(name));
    let mut formats: Vec<Format> = Vec::new();
    for format in to.filter(|format| gives(purpose, *format)) {
        if !formats.iter().any(|other| other.name() == format.name()) {
            formats.push(format);
        }
    }
    if formats.is_empty() {
        formats.extend(Format::named(usual));
    }
    let formats_named: Vec<&str> = formats.iter().map(|format| format.name()).collect();
    let governing = (
        files::program(),
        purpose,
        call.from,
        &call.above,
        &task.below,
        &task.vocabulary,
        &styles,
        formats_named,
    );
    let rules = files::hash(format!("{governing:?}").as_bytes());
    Ok(Plan { styles, formats, rules })
}
