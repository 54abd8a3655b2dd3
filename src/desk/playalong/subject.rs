//! What a track is made of: a drill in its keys, or a tune in its own or in others.

use std::path::Path;

use super::with_its_seed;
use crate::chart::{Chart, Unfolded};
use crate::desk::errand::Typed;
use crate::desk::naming;
use crate::desk::study;
use crate::desk::tune;
use crate::drill::Exercise;
use crate::recipe::Recipe;
use crate::score::{self, MOST_RUNGS};
use crate::sound::{self, CannotPlay, Performance, TrackOptions};
use crate::source::{Complaint, RecipeField as Field};
use crate::theory::Key;

/// What a track is made of.
pub(super) enum Subject<'a> {
    Drill(&'a Exercise),
    Tune(Box<KeyedTune>),
}

/// A tune in the keys in which it is played.
pub(super) struct KeyedTune {
    about: sound::AccompaniedTune,
    keys: Vec<(Unfolded, Option<Key>)>,
    /// How fast it goes where nobody asks for a rung.
    tempo: u16,
    /// From which tempo to which it is practised: the ladder of its study.
    tempi: [u16; 2],
    /// What its tracks are called before their tempi.
    pub(super) start: String,
    /// For whom it is.
    pub(super) student: Option<String>,
    /// What tells its bass from others.
    pub(super) seed: u64,
}

impl Subject<'_> {
    /// The name that it goes by in messages.
    pub(super) fn name(&self) -> &str {
        match self {
            Self::Drill(exercise) => &exercise.template.name,
            Self::Tune(tune) => &tune.about.title,
        }
    }

    /// Its tempi from the first to the goal.
    pub(super) fn ladder(&self) -> Vec<u16> {
        match self {
            Self::Drill(exercise) => exercise.rungs(),
            Self::Tune(tune) => {
                let [first, goal] = tune.tempi;
                score::rungs(first, goal.max(first), MOST_RUNGS)
            }
        }
    }

    /// Its tempo where nobody asks for a rung.
    pub(super) fn usual_tempo(&self) -> u16 {
        match self {
            Self::Drill(exercise) => exercise.tempo,
            Self::Tune(tune) => tune.tempo,
        }
    }

    /// How many keys it is played in.
    pub(super) fn keys(&self) -> usize {
        match self {
            Self::Drill(exercise) => exercise.keys.len(),
            Self::Tune(tune) => tune.keys.len(),
        }
    }

    /// It is played.
    pub(super) fn played(
        &self,
        tempo: u16,
        options: &TrackOptions,
    ) -> Result<Performance, CannotPlay> {
        match self {
            Self::Drill(exercise) => sound::play_drill(exercise, tempo, options),
            Self::Tune(tune) => sound::play_tune(&tune.keys, &tune.about, tempo, options),
        }
    }
}

/// The tune at a path or of a name, with what was typed: tempo, goal, feel, keys and student.
pub(super) fn tune(path: &Path, typed: &Typed) -> Result<KeyedTune, Vec<Complaint>> {
    let chart = tune::read(path)?.chart;
    in_keys(&chart, typed).map_err(|complaint| vec![complaint])
}

/// A tune with what was typed.
pub(super) fn in_keys(chart: &Chart, typed: &Typed) -> Result<KeyedTune, Complaint> {
    let own = Recipe { tempo: chart.tempo, feel: Some(chart.feel), ..Recipe::default() };
    let (asked, seed) = with_its_seed(typed.settings.over(own));
    let asked = asked.checked()?;
    let home = tune::home(chart);
    let mut words = vec!["playalong".to_owned(), chart.title.clone()];
    let mut keys = Vec::new();
    if typed.settings.gives(Field::Keys) {
        for key in &asked.keys {
            let to = tune::fitting(*key, home)?;
            let moved = home.filter(|home| *home != to).map(|home| chart.transposed(home, to));
            keys.push((moved.as_ref().unwrap_or(chart).unfolded(), Some(to)));
        }
        words.extend(naming::of_keys(keys.iter().filter_map(|(_, key)| *key)));
    } else {
        keys.push((chart.unfolded(), home));
    }
    words.extend(asked.student.clone());
    let names = chart.form.iter().filter_map(|section| chart.sections.get(*section));
    let about = sound::AccompaniedTune {
        title: chart.title.clone(),
        sections: names.map(|section| section.name.clone()).collect(),
        feel: asked.feel.unwrap_or(chart.feel),
    };
    let Recipe { tempo, goal, student, .. } = asked;
    // What was typed wins over the ladder that the study of the tune has.
    let [first, usual_goal] = if typed.settings.gives(Field::Tempo) {
        [tempo, score::default_goal(tempo)]
    } else {
        study::tempi_of_tune(chart.tempo)
    };
    let (start, seed) = (naming::of_track(&words), seed.unwrap_or(0).into());
    Ok(KeyedTune {
        about,
        keys,
        tempo,
        tempi: [first, goal.unwrap_or(usual_goal)],
        start,
        student,
        seed,
    })
}
