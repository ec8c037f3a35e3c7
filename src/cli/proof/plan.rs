//! What is to be done with each input of a proof.

use std::collections::{HashMap, HashSet};
use std::path::PathBuf;
use std::sync::Arc;

use longhand::read::{Format, Holds};
use longhand::style::{self, Style};

use super::super::call::Call;
use super::super::failure::Failure;
use super::super::files::{self, Input, Nearest};
use super::super::styles::Styles;
use super::super::tasks::{Task, Tasks};
use super::kept::{Kept, Shelves};

/// What is to be done with one input.
pub(super) struct Plan<'a> {
    /// The house styles that its rows are proved in.
    pub styles: &'a [Arc<Style>],
    /// Whether it is a text that no chart lies beside.
    pub alone: bool,
    /// The texts kept beside it.
    pub kept: Vec<Kept>,
    /// Where its approved text is to stand.
    pub text: PathBuf,
    /// Whether today's text is to be approved.
    pub approve: bool,
}

/// What is to be done with all inputs. There may be very many: a plan is made when its input has its turn.
pub(super) struct Plans<'a> {
    call: &'a Call,
    approve: bool,
    shelves: Shelves,
    /// By the nearest settings file, from which all styles follow.
    styles: HashMap<Nearest, Vec<Arc<Style>>>,
}

impl<'a> Plans<'a> {
    /// Plans for all inputs; texts that are kept beside a chart are no inputs of their own, and are left out.
    ///
    /// # Errors
    /// When a style can't be read.
    pub fn of(call: &'a Call, tasks: &mut Tasks, shelves: Shelves, approve: bool) -> Result<Self, Failure> {
        let mut plans = Self { call, approve, shelves, styles: HashMap::new() };
        let mut known = Styles::default();
        for task in tasks.tasks.of_settings() {
            if !plans.styles.contains_key(&task.nearest) {
                let styles = styles(call, &task, &mut known)?;
                styles.iter().for_each(|style| plans.shelves.styles.know(style));
                plans.shelves.styles.know_all(&task.below, &mut known);
                plans.styles.insert(task.nearest, styles);
            }
        }
        // By their fingerprints: there may be very many.
        let mut kept: HashSet<u128> = HashSet::new();
        for task in tasks.tasks.iter() {
            if let Some(path) = task.input.path().filter(|_| !plans.is_alone(&task.input)) {
                plans.shelves.look_beside(path);
                let texts = plans.shelves.texts_of(path);
                kept.extend(texts.iter().map(|kept| files::fingerprint(&files::true_path(&kept.path))));
            }
        }
        let of_its_own = |task: &Task| {
            let path = task.input.path().filter(|_| plans.is_alone(&task.input));
            path.is_none_or(|path| !kept.contains(&files::fingerprint(&files::true_path(path))))
        };
        tasks.tasks.retain(of_its_own);
        Ok(plans)
    }

    /// The plan for an input.
    pub fn get(&self, task: &Task) -> Plan<'_> {
        let alone = self.is_alone(&task.input);
        let styles = self.styles.get(&task.nearest).map_or(&[][..], |styles| styles);
        let beside = task.input.path().filter(|_| !alone);
        Plan {
            styles,
            alone,
            kept: beside.map(|path| self.shelves.texts_of(path)).unwrap_or_default(),
            text: beside.map(|path| self.shelves.approved(path)).unwrap_or_default(),
            approve: self.approve,
        }
    }

    /// Whether an input is a text: none that a chart lies beside is left.
    pub fn is_alone(&self, input: &Input) -> bool {
        let format = self.call.from.or_else(|| Format::by_ending(&input.file));
        format.is_some_and(|format| format.holds() == Holds::Lines)
    }
}

/// The styles of the call or the settings; where neither names one, every built-in style.
fn styles(call: &Call, task: &Task, known: &mut Styles) -> Result<Vec<Arc<Style>>, Failure> {
    let names = call.above.over(&task.below).styles;
    let names = names.unwrap_or_else(|| style::built_in().iter().map(|style| style.name.clone()).collect());
    let mut styles = Vec::new();
    for name in &names {
        let style = known.get(name)?;
        if !styles.contains(&style) {
            styles.push(style);
        }
    }
    Ok(styles)
}
