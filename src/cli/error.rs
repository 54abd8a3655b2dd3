//! What keeps a command from being done.

use std::io::{self, ErrorKind};

use super::words;
use crate::source::Complaint;

/// Why a command was not done; each complaint is one line: where, what, how to mend it.
#[derive(Debug)]
pub enum CliError {
    /// What was typed, or what it names, cannot stand.
    Refused(Complaint),
    /// Everything that is wrong with a file that was to be judged.
    Judged(Vec<Complaint>),
    /// Everything that is wrong with a list, which is mended in its rows.
    OfList(Vec<Complaint>),
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
            Self::Refused(complaint) => vec![words::of(complaint)],
            Self::Judged(complaints) => complaints.iter().map(words::of).collect(),
            Self::OfList(complaints) => complaints.iter().map(words::in_list).collect(),
            Self::Stdout(error) => vec![match error.kind() {
                ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => {
                    "cannot write to stdout: there is no room where it goes; make room there"
                        .to_owned()
                }
                _ => "cannot write to stdout; send it to a file with `> FILE`".to_owned(),
            }],
        }
    }
}

impl From<Complaint> for CliError {
    fn from(complaint: Complaint) -> Self {
        Self::Refused(complaint)
    }
}
