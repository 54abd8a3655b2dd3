//! A track for a front without files: made in memory, to the byte as a command makes it.

use std::path::PathBuf;

use super::subject::{self, Subject};
use super::track::Track;
use super::{Order, Rungs, Tags, TrackErrand, font, with_its_seed};
use crate::chart::Chart;
use crate::desk::commission::{Ready, asked};
use crate::desk::errand::{Origin, Typed};
use crate::desk::product::Product;
use crate::desk::source::Source;
use crate::recipe::{Form, Recipe, Settings};
use crate::sound::Options;
use crate::source::{Advice, Complaint};

/// The longest sound that is made in memory, in minutes: 150 MiB in the larger of its forms.
const MOST_MINUTES: f64 = 15.0;

/// A track.
pub(crate) struct Heard {
    /// What the file is called.
    pub(crate) name: PathBuf,
    /// The file.
    pub(crate) bytes: Vec<u8>,
    /// What it is, in a line.
    pub(crate) about: String,
    /// What became otherwise than it was chosen.
    pub(crate) remarks: Vec<Advice>,
}

/// Makes the track of a chart, or without one of the drill that was chosen, at one of its tempi.
///
/// Errors with what keeps it from being made; of a chart with everything that is wrong with it.
pub(crate) fn heard(
    chart: Option<&str>,
    typed: &Typed,
    options: Options,
    (rungs, kind): (Rungs, Product),
) -> Result<Heard, Vec<Complaint>> {
    let one = |complaint: Complaint| vec![complaint];
    let rungs = [rungs];
    let errand = TrackErrand {
        recipe: None,
        tune: None,
        typed,
        options,
        rungs: &rungs,
        font: None,
        kind: Some(kind),
        output: None,
        force: false,
    };
    if let Some(text) = chart {
        let chart = Chart::judge(text, "the chart")?;
        let own = subject::in_keys(&chart, typed).map_err(one)?;
        let order = Order::of_tune(&errand, &own).map_err(one)?;
        let start = own.start.clone();
        return order.heard(&[Subject::Tune(Box::new(own))], &start).map_err(one);
    }
    let source = Source::chosen(Settings::default());
    let origin = Origin { source: &source, typed };
    let form = typed.settings.over(source.recipe.clone()).form;
    let made = || {
        let recipe = asked(form, source.recipe.clone(), origin)?;
        let (recipe, seed) = with_its_seed(recipe);
        let ready = Ready::new(Recipe { form: Form::Workbook, ..recipe }, origin)?;
        let order = Order::of_recipe(&errand, &ready, seed)?;
        let drills = ready.course().exercises.iter();
        let subjects: Vec<Subject<'_>> = drills.map(Subject::Drill).collect();
        let heard = order.heard(&subjects, &ready.name_of_tracks())?;
        Ok(Heard { remarks: ready.remarks.clone(), ..heard })
    };
    made().map_err(one)
}

impl Order<'_> {
    /// Makes the one track of subjects.
    fn heard(&self, subjects: &[Subject<'_>], start: &str) -> Result<Heard, Complaint> {
        let kind = self.errand.kind.unwrap_or(Product::Midi);
        let planned = self.planned(subjects, start, kind);
        let [one] = planned.as_slice() else {
            let problem = format!("there would be {} tracks", planned.len());
            return Err(Complaint::new(problem).mend("choose one drill, and one tempo"));
        };
        let track = Track::played(one.subject, one.tempo, &self.options)?;
        if kind != Product::Midi && track.minutes() > MOST_MINUTES {
            let problem = format!("the track would take {} minutes", track.minutes().ceil() as u64);
            let mend = format!(
                "choose fewer keys or choruses, so that it takes {MOST_MINUTES} at the most, or MIDI"
            );
            return Err(Complaint::new(problem).mend(mend));
        }
        let bytes = track.bytes((kind, &self.tags, self.font.as_ref()))?;
        Ok(Heard { name: one.name.clone(), bytes, about: track.about, remarks: Vec::new() })
    }
}

impl<'a> Order<'a> {
    /// The order of the tracks of a tune.
    pub(super) fn of_tune(
        errand: &'a TrackErrand<'a>,
        tune: &subject::Tune,
    ) -> Result<Self, Complaint> {
        Ok(Self {
            errand,
            options: Options { seed: tune.seed, ..errand.options.clone() },
            tags: Tags { student: tune.student.clone(), title: None },
            font: font(errand.font)?,
        })
    }

    /// The order of the tracks of a recipe.
    pub(super) fn of_recipe(
        errand: &'a TrackErrand<'a>,
        ready: &Ready<'_>,
        seed: Option<u32>,
    ) -> Result<Self, Complaint> {
        let recipe = ready.recipe();
        let seed = seed.or(recipe.seed).unwrap_or(0).into();
        Ok(Self {
            errand,
            options: Options { seed, ..errand.options.clone() },
            tags: Tags { student: recipe.student.clone(), title: recipe.title.clone() },
            font: font(errand.font)?,
        })
    }
}
