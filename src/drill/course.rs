//! Courses: drills in keys at tempi, ready to be printed, played or written down.

use std::collections::BTreeSet;

use super::{Choices, Drill, Template};
use crate::score::{self, Feel, Score};
use crate::theory::Key;

/// One or more drills, in the order in which they are practised.
///
/// Whatever a lesson is turned into, pages, sound or notes for another program, starts here.
#[derive(Clone, Debug)]
pub struct Course {
    /// Its drills.
    pub exercises: Vec<Exercise>,
}

impl Course {
    /// How many major and minor keys its drills have, where they do not all go through the same
    /// tonics.
    pub(crate) fn own_keys(&self) -> Option<usize> {
        let tonics = |exercise: &Exercise| -> BTreeSet<usize> {
            exercise.keys.iter().map(|key| key.place_in_round()).collect()
        };
        let is_alike = self.exercises.windows(2).all(|pair| tonics(&pair[0]) == tonics(&pair[1]));
        let keys = self.exercises.iter().flat_map(|exercise| &exercise.keys);
        let keys: BTreeSet<(String, bool)> =
            keys.map(|key| (key.tonic().plain(), key.is_minor())).collect();
        (!is_alike).then_some(keys.len())
    }
}

/// A drill of a course, in all its keys.
#[derive(Clone, Debug)]
pub struct Exercise {
    /// What the drill says of itself.
    pub template: Template,
    /// How its eighths are played.
    pub feel: Feel,
    /// Its first tempo, in beats a minute.
    pub tempo: u16,
    /// The tempo to arrive at, no slower; without it one that is customary.
    pub goal: Option<u16>,
    /// The keys it is practised in, in that order: a part of the course each.
    pub keys: Vec<Key>,
    choices: Choices,
}

/// From which tempo to which a drill is practised, in beats a minute.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tempi {
    /// The first tempo.
    pub tempo: u16,
    /// The tempo to arrive at, no slower; without it one that is customary.
    pub goal: Option<u16>,
}

impl Exercise {
    /// The tempi from the first one to the goal: a rung of the ladder each.
    pub fn rungs(&self) -> Vec<u16> {
        let goal = self.goal.unwrap_or_else(|| score::default_goal(self.tempo));
        score::rungs(self.tempo, goal, score::MOST_RUNGS)
    }

    /// A drill at a tempo in keys, which take the drill's mode.
    pub fn new(template: Template, keys: &[Key], tempi: Tempi, choices: Choices) -> Self {
        let Tempi { tempo, goal } = tempi;
        let feel = choices.feel.unwrap_or(template.feel);
        let keys = keys.iter().map(|key| key.in_mode(template.mode)).collect();
        Self { template, feel, tempo, goal, keys, choices }
    }

    /// The drill made ready to be realised in any of its keys.
    pub fn drill(&self) -> Drill<'_> {
        Drill::of(&self.template)
    }

    /// The twelve keys that decide together how it is set, whether they are practised or not.
    pub fn ring(&self) -> impl Iterator<Item = Key> {
        Key::ring(self.template.mode).into_iter()
    }

    /// The score in a key of its mode: realised anew each time, since it takes less time than a
    /// page and a whole library of scores much memory. `drill` is [`Exercise::drill`].
    pub fn score(&self, drill: &Drill<'_>, key: Key) -> Score {
        drill.realise(key, self.choices)
    }
}
