//! What keeps a command from being done.

use std::io;

use crate::source::Complaint;

/// Why a command was not done; each complaint is one line: where, what, how to mend it.
#[derive(Debug)]
pub enum CliError {
    /// What was typed, or what it names, cannot stand.
    Refused(Complaint),
    /// Everything that is wrong with a file that was to be judged.
    Judged(Vec<Complaint>),
    /// Stdout that takes no more.
    Stdout(io::Error),
}

impl CliError {
    /// What was typed cannot stand, as the words say.
    pub(super) fn usage(problem: impl Into<String>) -> Self {
        Self::Refused(Complaint::new(problem))
    }

    /// What to say, a line each.
    pub(super) fn lines(&self) -> Vec<String> {
        match self {
            Self::Refused(complaint) => vec![complaint.to_string()],
            Self::Judged(complaints) => complaints.iter().map(ToString::to_string).collect(),
            Self::Stdout(error) => vec![format!("cannot write to stdout: {error}")],
        }
    }
}

impl From<Complaint> for CliError {
    fn from(complaint: Complaint) -> Self {
        Self::Refused(complaint)
    }
}
