//! The words of a choice, as its type spells them for serde: no list of them stands twice.

use std::fmt;

use serde::de::value::StrDeserializer;
use serde::de::{self, DeserializeOwned};

/// What serde says of a word that is none of those that a choice knows.
#[derive(Debug)]
struct Unknown(&'static [&'static str]);

impl de::Error for Unknown {
    fn custom<T: fmt::Display>(_: T) -> Self {
        Self(&[])
    }

    fn unknown_variant(_: &str, known: &'static [&'static str]) -> Self {
        Self(known)
    }
}

impl std::error::Error for Unknown {}

impl fmt::Display for Unknown {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("an unknown word")
    }
}

/// The choice that a word stands for, if it is one of its words.
pub(crate) fn choice<T: DeserializeOwned>(word: &str) -> Option<T> {
    T::deserialize(StrDeserializer::<Unknown>::new(word)).ok()
}

/// The words of a choice, in its own order.
pub(crate) fn known<T: DeserializeOwned>() -> &'static [&'static str] {
    match T::deserialize(StrDeserializer::<Unknown>::new("")) {
        Err(Unknown(known)) => known,
        Ok(_) => &[],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::Counts;

    #[test]
    fn a_choice_knows_its_words() {
        assert_eq!(known::<Counts>(), ["all", "first-bar", "none"]);
        assert_eq!(choice::<Counts>("first-bar"), Some(Counts::FirstBar));
        assert_eq!(choice::<Counts>("First-bar"), None);
    }
}
