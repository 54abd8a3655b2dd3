//! What a drill of a course has of its own, as fields of the recipe.

use super::Recipe;
use super::check::TEMPI;
use super::fields::FieldValue;
use super::own::OwnSettings;
use super::settings::Settings;
use crate::drill::Hands;
use crate::source::RecipeField as Field;
use crate::source::word::{choice, known};

impl OwnSettings {
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

    /// Puts a value of one of the fields in [`own::OWN`](super::own::OWN).
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

    /// Whether it has a tempo otherwise than its course, by itself or by its level.
    pub(crate) fn has_tempo(&self) -> bool {
        self.tempo.is_some() || self.level.is_some()
    }

    /// The first tempo of the drill in a course.
    pub(crate) fn tempo_in(&self, course: &Recipe) -> u16 {
        let of_level = self.level.map(|level| level.settings().tempo);
        self.tempo.or(of_level).unwrap_or(course.tempo)
    }

    /// The hands that play the drill in a course.
    pub(crate) fn hands_in(&self, course: &Recipe) -> Hands {
        let of_level = self.level.map(|level| level.settings().hands);
        self.hands.or(of_level).unwrap_or(course.hands)
    }

    /// Takes out what was chosen anew for the whole course. A tempo of its own, written or that of
    /// its level, moves by as much as the tempo of the course did, which was `old`; a goal of its own
    /// that the tempo has passed moves up with it, as that of a course does.
    pub(super) fn give_way(&mut self, gives: impl Fn(Field) -> bool, old: u16, new: u16) {
        if gives(Field::Keys) {
            self.keys.clear();
        }
        if gives(Field::Level) {
            self.level = None;
        }
        if gives(Field::Hands) {
            self.hands = None;
        }
        if gives(Field::Goal) {
            self.goal = None;
        }
        if old == new {
            return;
        }
        let of_level = self.level.map(|level| level.settings().tempo);
        let before = self.tempo.or(of_level);
        let by = i32::from(new) - i32::from(old);
        let moved = |beats: u16| {
            let (least, most) = (i32::from(*TEMPI.start()), i32::from(*TEMPI.end()));
            u16::try_from((i32::from(beats) + by).clamp(least, most)).unwrap_or(beats)
        };
        self.tempo = before.map(moved);
        let own = Recipe { tempo: before.unwrap_or(old), goal: self.goal, ..Recipe::default() };
        self.goal = own.at_tempo(Some(self.tempo.unwrap_or(new)), None).goal;
    }
}

/// The word that a choice is written as.
fn word_of<T: serde::de::DeserializeOwned + PartialEq>(chosen: T) -> Option<&'static str> {
    known::<T>().iter().copied().find(|word| choice::<T>(word).is_some_and(|it| it == chosen))
}
