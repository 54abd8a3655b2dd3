//! Words that a choice does not know, as serde finds them.

use std::fmt;

use serde::de;

use crate::source::nearest;

/// What serde says of a word that is none of those that a choice knows.
#[derive(Debug)]
pub(super) struct Unknown {
    known: &'static [&'static str],
}

impl Unknown {
    /// What is wrong with the word that was typed, and what to type instead.
    pub(super) fn advice(&self, typed: &str) -> String {
        if let Some(meant) = nearest(typed, self.known.iter().copied()) {
            return format!("`{typed}` is unknown; did you mean `{meant}`?");
        }
        let known: Vec<String> = self.known.iter().map(|word| format!("`{word}`")).collect();
        format!(
            "`{typed}` is unknown; write {}",
            match known.as_slice() {
                [one, other] => format!("{one} or {other}"),
                all => all.join(", "),
            }
        )
    }
}

impl de::Error for Unknown {
    fn custom<T: fmt::Display>(_: T) -> Self {
        Self { known: &[] }
    }

    fn unknown_variant(_: &str, known: &'static [&'static str]) -> Self {
        Self { known }
    }
}

impl std::error::Error for Unknown {}

impl fmt::Display for Unknown {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("an unknown word")
    }
}
