//! What a lesson asks for: which hand plays, and how much help the page gives.

use serde::{Deserialize, Serialize};

use super::{Counts, FingeringMarks, Hands, Recipe, SymbolStyle};
use crate::source::RecipeField as Field;

/// How far a student is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// Meets these chords for the first time.
    FirstLesson,
    /// Has the notes, with help.
    Beginner,
    /// Plays most keys, and needs help at the start of a phrase.
    Intermediate,
    /// Reads the page and makes up her own fingers.
    Advanced,
}

/// What a level puts where a recipe says nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LevelSettings {
    /// The first tempo, in beats a minute.
    pub tempo: u16,
    /// Where counts stand.
    pub counts: Counts,
    /// Which notes show their finger.
    pub fingering: FingeringMarks,
    /// Which hands play.
    pub hands: Hands,
    /// How chord symbols are written.
    pub symbols: SymbolStyle,
}

impl Level {
    /// The fields that a level fills in.
    pub const FIELDS: [Field; 5] =
        [Field::Tempo, Field::Counts, Field::Fingering, Field::Hands, Field::Symbols];

    /// What it puts where a recipe says nothing (ours): the less a student knows, the slower,
    /// the more is printed, and one hand comes before two.
    pub const fn settings(self) -> LevelSettings {
        use {Counts as C, FingeringMarks as F, Hands as H, SymbolStyle as S};
        let (tempo, counts, fingering, hands, symbols) = match self {
            Self::FirstLesson => (50, C::All, F::All, H::Right, S::Letters),
            Self::Beginner => (60, C::All, F::FirstBars, H::Together, S::Letters),
            Self::Intermediate => (80, C::FirstBar, F::Changes, H::Together, S::Mixed),
            Self::Advanced => (100, C::None, F::None, H::Together, S::Signs),
        };
        LevelSettings { tempo, counts, fingering, hands, symbols }
    }
}

impl Recipe {
    /// The recipe at a level: each of [`Level::FIELDS`] that is not `given` gets what the level
    /// puts there. A goal that the tempo passes moves up with it.
    #[must_use]
    pub fn at_level(self, level: Level, given: impl Fn(Field) -> bool) -> Self {
        let new = level.settings();
        let tempo = (!given(Field::Tempo)).then_some(new.tempo);
        let goal = self.goal.filter(|_| given(Field::Goal));
        let recipe = self.at_tempo(tempo, goal);
        Self {
            level: Some(level),
            counts: if given(Field::Counts) { recipe.counts } else { new.counts },
            fingering: if given(Field::Fingering) { recipe.fingering } else { new.fingering },
            hands: if given(Field::Hands) { recipe.hands } else { new.hands },
            symbols: if given(Field::Symbols) { recipe.symbols } else { new.symbols },
            ..recipe
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_level_leaves_alone_what_is_given() {
        let recipe = Recipe { counts: Counts::None, tempo: 90, ..Recipe::default() };
        let made = recipe.clone().at_level(Level::FirstLesson, |field| field == Field::Counts);
        assert_eq!((made.tempo, made.counts), (50, Counts::None));
        assert_eq!((made.fingering, made.hands), (FingeringMarks::All, Hands::Right));
        let untouched = recipe.clone().at_level(Level::Beginner, |_| true);
        assert_eq!(untouched, Recipe { level: Some(Level::Beginner), ..recipe });
    }

    #[test]
    fn higher_levels_are_faster() {
        let levels = [Level::FirstLesson, Level::Beginner, Level::Intermediate, Level::Advanced];
        assert!(levels.map(|level| level.settings().tempo).is_sorted_by(|a, b| a < b));
    }
}
