//! What is wrong with what a teacher wrote or typed: where, what, and how to mend it.

use std::fmt;
use std::ops::Range;

use thiserror::Error;

use super::Field;
use super::advice::{Advice, AdvicePart};

/// One thing that is wrong. Its words are one line: where, what, how to mend it.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("{place}{problem}{}", .mend.as_ref().map(|mend| format!("; {mend}")).unwrap_or_default())]
pub struct Complaint {
    /// Where it is.
    pub place: Place,
    /// The field that it is about, if it is about one.
    pub field: Option<Field>,
    /// What was found and why it cannot stand.
    pub problem: String,
    /// How to mend it.
    pub mend: Option<Advice>,
}

/// Where something stands that cannot stay.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Place {
    /// Not known, or said in the words of the problem.
    Untold,
    /// An option or a command, as it is typed.
    Typed(String),
    /// A file, a sheet or what else a text came from.
    Text {
        /// Its path, or what it is called.
        name: String,
        /// The line, from 1, where it is known.
        line: Option<usize>,
    },
}

impl Place {
    /// A text as a whole.
    pub fn of(name: impl Into<String>) -> Self {
        Self::Text { name: name.into(), line: None }
    }

    /// A line of a text, where it is known.
    pub fn line(name: impl Into<String>, line: Option<usize>) -> Self {
        Self::Text { name: name.into(), line }
    }

    /// A byte range of a text.
    pub(crate) fn at(name: &str, text: &str, span: &Range<usize>) -> Self {
        Self::line(name, Some(line_at(text, span.start)))
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Untold => Ok(()),
            Self::Typed(name) | Self::Text { name, line: None } => write!(f, "{name}: "),
            Self::Text { name, line: Some(line) } => write!(f, "{name}, line {line}: "),
        }
    }
}

/// The line, from 1, at a byte of `text`.
pub(crate) fn line_at(text: &str, byte: usize) -> usize {
    let before = &text.as_bytes()[..byte.min(text.len())];
    before.iter().filter(|byte| **byte == b'\n').count() + 1
}

impl Complaint {
    /// A problem whose place is not told yet.
    pub fn new(problem: impl Into<String>) -> Self {
        Self { place: Place::Untold, field: None, problem: problem.into(), mend: None }
    }

    /// A problem with a field.
    pub fn of(field: impl Into<Field>, problem: impl Into<String>) -> Self {
        Self { field: Some(field.into()), ..Self::new(problem) }
    }

    /// The same with a way to mend it.
    #[must_use]
    pub fn mend(mut self, mend: impl Into<Advice>) -> Self {
        self.mend = Some(mend.into());
        self
    }

    /// The same at a place.
    #[must_use]
    pub fn at(self, place: Place) -> Self {
        Self { place, ..self }
    }

    /// Its words, with what is to be chosen as `told` has it.
    pub fn told(&self, told: impl Fn(&AdvicePart) -> Option<String>) -> String {
        let mend = self.mend.as_ref().map(|mend| format!("; {}", mend.told(told)));
        format!("{}{}{}", self.place, self.problem, mend.unwrap_or_default())
    }

    /// The line that it is on, from 1, where it is known.
    pub fn line(&self) -> Option<usize> {
        match &self.place {
            Place::Text { line, .. } => *line,
            Place::Untold | Place::Typed(_) => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::RecipeField;

    #[test]
    fn a_complaint_says_where_what_and_how_to_mend_it() {
        let bare = Complaint::of(RecipeField::Tempo, "tempo 900 is out of range");
        assert_eq!(bare.to_string(), "tempo 900 is out of range");
        let mended = bare.mend("write 20 to 400");
        assert_eq!(mended.to_string(), "tempo 900 is out of range; write 20 to 400");
        let typed = mended.clone().at(Place::Typed("--tempo".to_owned()));
        assert_eq!(typed.to_string(), "--tempo: tempo 900 is out of range; write 20 to 400");
        let whole = mended.clone().at(Place::of("my.toml"));
        assert_eq!(whole.to_string(), "my.toml: tempo 900 is out of range; write 20 to 400");
        let at = mended.at(Place::at("my.toml", "title = \"x\"\ntempo = 900\n", &(12..17)));
        assert_eq!(at.line(), Some(2));
        assert!(at.to_string().starts_with("my.toml, line 2: tempo 900"), "{at}");
    }
}
