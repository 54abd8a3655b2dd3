//! What to do, in words that every front tells in its own way.

use std::fmt;

use super::RecipeField;

/// Something to be told: words, and among them what can be chosen, which a file writes otherwise
/// than a command line or a form to fill in.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Advice(Vec<AdvicePart>);

/// A part of an [`Advice`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AdvicePart {
    /// Words that are the same everywhere.
    Words(String),
    /// A field that is to be given a value.
    Give {
        /// The field.
        field: RecipeField,
        /// The value as files write it.
        written: String,
        /// The bare value.
        bare: String,
    },
    /// That whatever has a name already may be replaced.
    Replace,
    /// That the sheet is to be given a name.
    Name,
    /// That pictures of the pages are to be made.
    Draw,
    /// That the notes are to be written down in a file of this name.
    Notes(String),
    /// That a workbook is to be made from the recipe at a path.
    Workbook(String),
}

impl Advice {
    /// Words alone.
    pub fn words(words: impl Into<String>) -> Self {
        Self::default().and(words)
    }

    /// The same with more words.
    #[must_use]
    pub fn and(self, words: impl Into<String>) -> Self {
        self.part(AdvicePart::Words(words.into()))
    }

    /// The same with a field and the value that it is to be given.
    #[must_use]
    pub fn give(self, field: RecipeField, value: impl Into<toml::Value>) -> Self {
        let value = value.into();
        let written = value.to_string();
        let bare = value.as_str().map_or_else(|| written.clone(), str::to_owned);
        self.part(AdvicePart::Give { field, written, bare })
    }

    /// The same with another part.
    #[must_use]
    pub fn part(mut self, part: AdvicePart) -> Self {
        self.0.push(part);
        self
    }

    /// Its words, each part that a front tells in its own way as `told` has it.
    pub fn told(&self, told: impl Fn(&AdvicePart) -> Option<String>) -> String {
        self.0.iter().map(|part| told(part).unwrap_or_else(|| part.to_string())).collect()
    }
}

impl<T: Into<String>> From<T> for Advice {
    fn from(words: T) -> Self {
        Self::words(words)
    }
}

/// As files write it.
impl fmt::Display for AdvicePart {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Words(words) => f.write_str(words),
            Self::Give { field, written, .. } => write!(f, "{field} = {written}"),
            Self::Replace => f.write_str("force"),
            Self::Name => f.write_str("a name of its own"),
            Self::Draw => f.write_str("a folder for pictures"),
            Self::Notes(file) => write!(f, "{file} as the file of notes"),
            Self::Workbook(path) => write!(f, "a workbook of {path}"),
        }
    }
}

impl fmt::Display for Advice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|part| part.fmt(f))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_to_be_chosen_is_told_as_a_front_has_it() {
        let advice = Advice::words("write ").give(RecipeField::Order, "shuffled").and(" or ");
        let advice = advice.give(RecipeField::Staff, 6.5);
        assert_eq!(advice.to_string(), "write order = \"shuffled\" or staff = 6.5");
        let told = advice.told(|part| match part {
            AdvicePart::Give { field, bare, .. } => Some(format!("{field}: {bare}")),
            _ => None,
        });
        assert_eq!(told, "write order: shuffled or staff: 6.5");
    }
}
