//! What a drill of a course has of its own, as fields of the recipe.

use super::Recipe;
use super::check::TEMPI;
use super::fields::FieldValue;
use super::own::Own;
use super::settings::Settings;
use crate::source::RecipeField as Field;
use crate::source::word::{choice, known};

impl Own {
    /// A recipe with this in the place of what it has for the whole course.
    #[must_use]
    pub fn over(&self, recipe: Recipe) -> Recipe {
        let mut settings = Settings::default();
        if !self.keys.is_empty() {
            settings.set(Field::Keys, FieldValue::Keys(self.keys.clone()));
        }
        for (field, beats) in [(Field::Tempo, self.tempo), (Field::Goal, self.goal)] {
            if let Some(beats) = beats {
                settings.set(field, FieldValue::Whole(beats.into()));
            }
        }
        let words = [
            (Field::Level, self.level.and_then(word_of)),
            (Field::Hands, self.hands.and_then(word_of)),
        ];
        for (field, word) in words {
            if let Some(word) = word {
                settings.set(field, FieldValue::Word(word));
            }
        }
        settings.over(recipe)
    }

    /// Puts a value of one of the fields in [`OWN`].
    pub(super) fn put(&mut self, field: Field, value: FieldValue) {
        match field {
            Field::Keys => self.keys = value.keys().unwrap_or_default(),
            Field::Level => self.level = value.word(),
            Field::Tempo => self.tempo = value.beats(),
            Field::Goal => self.goal = value.beats(),
            Field::Hands => self.hands = value.word(),
            _ => {}
        }
    }

    /// Takes out what was chosen anew for the whole course, and moves the tempi by as much as the
    /// tempo of the course did.
    pub(super) fn give_way(&mut self, gives: impl Fn(Field) -> bool, by: i32) {
        if gives(Field::Keys) {
            self.keys.clear();
        }
        if gives(Field::Level) {
            self.level = None;
        }
        if gives(Field::Hands) {
            self.hands = None;
        }
        let moved = |beats: u16| {
            let (least, most) = (i32::from(*TEMPI.start()), i32::from(*TEMPI.end()));
            u16::try_from((i32::from(beats) + by).clamp(least, most)).unwrap_or(beats)
        };
        self.tempo = self.tempo.map(moved);
        self.goal = self.goal.map(moved).filter(|_| !gives(Field::Goal));
    }
}

/// The word that a choice is written as.
fn word_of<T: serde::de::DeserializeOwned + PartialEq>(chosen: T) -> Option<&'static str> {
    known::<T>().iter().copied().find(|word| choice::<T>(word).is_some_and(|it| it == chosen))
}
