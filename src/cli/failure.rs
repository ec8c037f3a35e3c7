//! Why a call could not be carried out.

use longhand::problem::Finding;

/// Why a call could not be carried out.
#[derive(Clone, Debug)]
pub struct Failure {
    /// What is the matter, one sentence; empty where the findings say it all.
    pub message: String,
    /// What to do about it.
    pub help: String,
    /// What is wrong with settings or styles.
    pub findings: Vec<Finding>,
}

impl Failure {
    /// A failure with its sentence and what to do.
    pub fn new(message: impl Into<String>, help: impl Into<String>) -> Self {
        Self { message: message.into(), help: help.into(), findings: Vec::new() }
    }
}

impl From<Vec<Finding>> for Failure {
    fn from(findings: Vec<Finding>) -> Self {
        Self { message: String::new(), help: String::new(), findings }
    }
}
