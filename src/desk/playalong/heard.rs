//! Tracks for a front without files: one, or several in one file, to the byte as a command makes
//! them.
//!
//! Sound waits in files without a name, so that memory does not grow with it.

use std::io::{self, BufWriter, Cursor};
use std::path::PathBuf;

use super::subject::{self, Subject};
use super::track::{FileBody, TrackFile};
use super::{Order, PlannedTrack, Rungs, TrackErrand, with_its_seed};
use crate::chart::Chart;
use crate::desk::commission::{Ready, asked, counted};
use crate::desk::errand::{Origin, Typed};
use crate::desk::product::Product;
use crate::desk::source::Source;
use crate::desk::spool::Spool;
use crate::output::Zip;
use crate::recipe::{DocumentForm, Recipe, Settings};
use crate::sound::TrackOptions;
use crate::source::{Advice, Complaint};

/// The longest sound that is made while somebody waits, in minutes: 320 MiB as WAV.
const MOST_MINUTES: f64 = 60.0;

/// What is wanted.
pub(crate) struct WantedTracks<'a> {
    /// The chart of a tune; without it, the drills that were chosen are played.
    pub(crate) chart: Option<&'a str>,
    /// What was chosen of the sheet.
    pub(crate) typed: &'a Typed,
    /// Who plays, how and how often.
    pub(crate) options: TrackOptions,
    /// At which tempo of the ladder, or at all of them; without it as usual.
    pub(crate) rungs: Option<Rungs>,
    /// The kind of file.
    pub(crate) kind: Product,
    /// Which one of several, from 0; without it, all.
    pub(crate) one: Option<usize>,
}

/// What would be made, without its bytes.
pub(crate) struct ToldTracks {
    /// What the file is called.
    pub(crate) name: PathBuf,
    /// What it is, in a line.
    pub(crate) about: String,
    /// The tracks: their names, and what they are.
    pub(crate) tracks: Vec<(PathBuf, String)>,
    /// What became otherwise than it was chosen.
    pub(crate) remarks: Vec<Advice>,
}

/// What was made.
pub(crate) enum HeardTracks {
    /// One track.
    One(FileBody),
    /// Several, as one file.
    Several(Spool),
}

/// Tells what tracks there would be.
///
/// Errors with what keeps them from being made; of a chart with everything that is wrong with it.
pub(crate) fn told(wanted: &WantedTracks<'_>) -> Result<ToldTracks, Vec<Complaint>> {
    with_plan(wanted, |plan| {
        let of =
            |(one, track): &(&PlannedTrack<'_>, TrackFile)| (one.name.clone(), track.about.clone());
        let tracks: Vec<(PathBuf, String)> = plan.tracks.iter().map(of).collect();
        let (name, about) = match tracks.as_slice() {
            [(name, about)] => (name.clone(), about.clone()),
            all => (PathBuf::from(format!("{}.zip", plan.start)), counted(all.len(), "track")),
        };
        Ok(ToldTracks { name, about, tracks, remarks: plan.remarks.to_vec() })
    })
}

/// Makes the track of a chart, or without one those of the drills that were chosen.
///
/// Errors as [`told`] does, and if it would be too long.
pub(crate) fn heard(wanted: &WantedTracks<'_>) -> Result<HeardTracks, Vec<Complaint>> {
    with_plan(wanted, |plan| {
        let minutes: f64 = plan.tracks.iter().map(|(_, track)| track.minutes()).sum();
        if wanted.kind != Product::Midi && minutes > MOST_MINUTES {
            let problem = format!("they would take {} minutes", minutes.ceil() as u64);
            let mend = format!(
                "choose fewer keys, drills or choruses, so that they take {MOST_MINUTES} at the \
                 most, or MIDI"
            );
            return Err(Complaint::new(problem).mend(mend));
        }
        match plan.tracks.as_slice() {
            [(one, track)] => plan.body(one, track, wanted.kind).map(HeardTracks::One),
            _ => plan.zipped(wanted.kind).map(HeardTracks::Several),
        }
    })
}

/// The tracks that are wanted, played and not yet made.
struct TracksPlan<'a> {
    order: &'a Order<'a>,
    tracks: Vec<(&'a PlannedTrack<'a>, TrackFile)>,
    /// What the names of all begin with.
    start: &'a str,
    is_course: bool,
    remarks: &'a [Advice],
}

impl TracksPlan<'_> {
    fn body(
        &self,
        one: &PlannedTrack<'_>,
        track: &TrackFile,
        kind: Product,
    ) -> Result<FileBody, Complaint> {
        track.made(self.order.made_as(kind), (&std::env::temp_dir(), &one.name))
    }

    /// All of them in one file, as a command puts them into a folder; those of a course with a
    /// playlist.
    fn zipped(&self, kind: Product) -> Result<Spool, Complaint> {
        let failed = |error: io::Error| {
            let problem = format!("the tracks in the making cannot be kept: {error}");
            Complaint::new(problem).mend("make room on the disk")
        };
        let spool = Spool::begin(&std::env::temp_dir()).map_err(failed)?;
        let mut zip = Zip::begin(BufWriter::new(spool.handle().map_err(failed)?));
        let mut list = "#EXTM3U\n".to_owned();
        for (one, track) in &self.tracks {
            let name = one.name.display().to_string();
            let put = match self.body(one, track, kind)? {
                FileBody::Bytes(bytes) => zip.add(&name, &mut Cursor::new(bytes)),
                FileBody::Spool(own) => {
                    own.into_file().and_then(|(mut it, _)| zip.add(&name, &mut it))
                }
            };
            put.map_err(failed)?;
            list.push_str(&track.listed(&name));
        }
        if self.is_course {
            let name = format!("playlist.{}", Product::Playlist.row().ending);
            zip.add(&name, &mut Cursor::new(list)).map_err(failed)?;
        }
        zip.end().map_err(failed)?;
        Ok(spool)
    }
}

/// Does something with the tracks that are wanted.
fn with_plan<T>(
    wanted: &WantedTracks<'_>,
    act: impl FnOnce(&TracksPlan<'_>) -> Result<T, Complaint>,
) -> Result<T, Vec<Complaint>> {
    let one = |complaint: Complaint| vec![complaint];
    let errand = TrackErrand {
        recipe: None,
        tune: None,
        typed: wanted.typed,
        options: wanted.options.clone(),
        rungs: wanted.rungs.as_slice(),
        font: None,
        kind: Some(wanted.kind),
        output: None,
        force: false,
    };
    if let Some(text) = wanted.chart {
        let chart = Chart::judge(text, "the chart")?;
        let own = subject::in_keys(&chart, wanted.typed).map_err(one)?;
        let order = Order::of_tune(&errand, &own).map_err(one)?;
        let start = own.start.clone();
        let subjects = [Subject::Tune(Box::new(own))];
        return planned(&order, &subjects, (&start, wanted), &[], act).map_err(one);
    }
    let source = Source::chosen(Settings::default());
    let origin = Origin { source: &source, typed: wanted.typed };
    let form = wanted.typed.settings.over(source.recipe.clone()).form;
    let made = || {
        let recipe = asked(form, source.recipe.clone(), origin)?;
        let (recipe, seed) = with_its_seed(recipe);
        let ready = Ready::new(Recipe { form: DocumentForm::Workbook, ..recipe }, origin)?;
        let order = Order::of_recipe(&errand, &ready, seed)?;
        let drills = ready.course().exercises.iter();
        let subjects: Vec<Subject<'_>> = drills.map(Subject::Drill).collect();
        planned(&order, &subjects, (&ready.name_of_tracks(), wanted), &ready.remarks, act)
    };
    made().map_err(one)
}

/// Does something with the tracks of subjects that are wanted.
fn planned<T>(
    order: &Order<'_>,
    subjects: &[Subject<'_>],
    (start, wanted): (&str, &WantedTracks<'_>),
    remarks: &[Advice],
    act: impl FnOnce(&TracksPlan<'_>) -> Result<T, Complaint>,
) -> Result<T, Complaint> {
    let all = order.planned(subjects, start, wanted.kind);
    let chosen: Vec<&PlannedTrack<'_>> = match wanted.one {
        None => all.iter().collect(),
        Some(index) => vec![all.get(index).ok_or_else(|| {
            let problem = format!("there is no track {}", index.saturating_add(1));
            Complaint::new(problem).mend(format!("choose one of {}", all.len()))
        })?],
    };
    let tracks = chosen.into_iter().map(|one| {
        let track = TrackFile::played(one.subject, one.tempo, &order.options)?;
        Ok((one, track))
    });
    let tracks = tracks.collect::<Result<Vec<_>, Complaint>>()?;
    let is_course = subjects.len() > 1;
    act(&TracksPlan { order, tracks, start, is_course, remarks })
}
