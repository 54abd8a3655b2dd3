//! Tracks to play along to: from an errand to files of notes in time or of sound.
//!
//! What belongs to the sheet (drills, keys, tempi, feel, seed) comes from the recipe; who plays and
//! how often is chosen for the track alone, and travels with no sheet. A `subject` is a drill or a
//! tune; a `track` is one of them at a tempo; `rungs` says at which, `limits` how large numbers may
//! be. All are `waiting` until every one is made. What is `heard` goes to no place of its own, for
//! a front without files.

mod heard;
mod limits;
mod rungs;
mod subject;
mod track;
mod waiting;

use std::path::{Path, PathBuf};

pub(crate) use heard::{HeardTracks, ToldTracks, WantedTracks, heard, told};
pub(crate) use limits::{CHORUSES, COUNT_IN, RISE, number};
pub(crate) use rungs::Rungs;

use super::commission::{Ready, asked};
use super::errand::{Errand, Origin, Typed};
use super::outlet::{Companion, Outlet, outlet_of_track};
use super::place::Taken;
use super::product::{Product, TRACKS};
use super::source::Source;
use super::{Answer, files, naming};
use crate::parallel;
use crate::recipe::{DocumentForm, KeyOrder, Recipe};
use crate::sound::synth::{Font, MOST_FONT};
use crate::sound::{ChoiceWord, TrackOptions};
use crate::source::{Advice, Complaint};
use subject::{Subject, tune};
pub(crate) use track::FileBody;
use track::TrackFile;
pub(crate) use waiting::ErrandWaiting;
use waiting::{FilePlace, MadeTrack, waiting_room};

/// What is said with whatever can be heard. The World Health Organization and the ITU (H.870) ask
/// players to say as much.
const CAUTION: &str = "turn the volume down before you play it, most of all in headphones, and up \
     from there: loud sound harms ears for good";

/// What is said of a tempo that has no second chorus to rise in.
const NO_RISE: &str = "the tempo rises from one chorus to the next, and there is one chorus: ask for \
     two or more";

/// What is asked for.
pub(crate) struct TrackErrand<'a> {
    /// The recipe or the sheet to start from.
    pub(crate) recipe: Option<PathBuf>,
    /// A tune to play over, in place of drills: a chart, its sheet, or the name of one of ours.
    pub(crate) tune: Option<&'a Path>,
    /// What wins over it.
    pub(crate) typed: &'a Typed,
    /// What is chosen of the track.
    pub(crate) options: TrackOptions,
    /// For which tempi of the ladder a track is made; without any, at the first of a drill and at that
    /// of a tune.
    pub(crate) rungs: &'a [Rungs],
    /// A file of instruments (SoundFont) in place of ours.
    pub(crate) font: Option<&'a Path>,
    /// The kind of file, where no name says it.
    pub(crate) kind: Option<Product>,
    /// Where it goes: a file, or a folder where there are several; without it, where its name
    /// says.
    pub(crate) output: Option<&'a Outlet>,
    /// Whether a file that has the name already may be replaced, whatever it is.
    pub(crate) force: bool,
}

impl ChoiceWord for Product {
    const KIND: &'static str = "kind of track";

    fn all() -> Vec<(&'static str, Self)> {
        TRACKS.map(|kind| (kind.row().ending, kind)).to_vec()
    }
}

/// What a player shows of all tracks of an errand.
#[derive(Default)]
struct ErrandTags {
    student: Option<String>,
    title: Option<String>,
}

/// What all tracks of an errand have in common.
struct Order<'a> {
    errand: &'a TrackErrand<'a>,
    options: TrackOptions,
    tags: ErrandTags,
    font: Option<Font>,
}

/// A track that is to be made.
struct PlannedTrack<'a> {
    subject: &'a Subject<'a>,
    tempo: u16,
    /// What it is called where nobody says so.
    name: PathBuf,
}

/// Makes the track of an errand, or the tracks.
///
/// Errors with what keeps it from being made; of a chart with everything that is wrong with it.
pub(crate) fn make(errand: &TrackErrand<'_>) -> Result<Answer, Vec<Complaint>> {
    let one = |complaint: Complaint| vec![complaint];
    if let Some(path) = errand.tune {
        let own = tune(path, errand.typed)?;
        let order = Order::of_tune(errand, &own).map_err(one)?;
        let start = own.start.clone();
        let made = order.made(&[Subject::Tune(Box::new(own))], &start).map_err(one)?;
        return made.put().map_err(|error| vec![error.into()]);
    }
    of_recipe(errand).map_err(one)
}

/// Makes the tracks of the drills of a recipe.
fn of_recipe(errand: &TrackErrand<'_>) -> Result<Answer, Complaint> {
    let source = Source::open(errand.recipe.as_deref())?;
    let origin = Origin { source: &source, typed: errand.typed };
    let recipe = asked(DocumentForm::Workbook, source.recipe.clone(), origin)?;
    let (recipe, seed) = with_its_seed(recipe);
    let ready = Ready::new(recipe, origin)?;
    let mut answer = of_ready(errand, &ready, seed)?.put()?;
    answer.said.extend(ready.remarks.iter().cloned());
    Ok(answer)
}

/// What was made of the tracks beside a sheet.
pub(crate) struct Beside {
    /// They themselves.
    pub(crate) tracks: ErrandWaiting,
    /// What the sheet calls them, unless they have no name.
    pub(crate) name: Option<String>,
    /// What is to be said of the recipe.
    pub(crate) remarks: Vec<Advice>,
    /// Whether the recipe names its tracks itself.
    pub(crate) names_tracks: bool,
}

/// Makes the track of a sheet for some rungs of its ladder; a folder of them where there are
/// several.
pub(crate) fn beside(
    errand: &Errand<'_>,
    track: &Companion,
    rungs: &[Rungs],
) -> Result<Beside, Complaint> {
    let source = Source::open(errand.recipe.as_deref())?;
    let origin = Origin { source: &source, typed: errand.typed };
    let ready = Ready::new(asked(errand.form, source.recipe.clone(), origin)?, origin)?;
    let own = TrackErrand {
        recipe: None,
        tune: None,
        typed: errand.typed,
        options: TrackOptions::default(),
        rungs,
        font: None,
        kind: Some(track.product),
        output: Some(&track.outlet),
        force: errand.force,
    };
    let tracks = of_ready(&own, &ready, None)?;
    let is_folder = tracks.is_folder();
    let name = match &track.outlet {
        Outlet::Stdout => None,
        Outlet::File(folder) if is_folder => called(folder, true),
        Outlet::File(file) => called(&outlet_of_track(file, own.kind)?.0, false),
    };
    let names_tracks = ready.recipe().tracks.is_some();
    Ok(Beside { tracks, name, remarks: ready.remarks, names_tracks })
}

/// What a sheet calls a track that was put at a path, which may be a folder of several.
fn called(path: &Path, is_folder: bool) -> Option<String> {
    let name = path.file_name()?.to_string_lossy();
    Some(if is_folder { format!("{name}/") } else { name.into_owned() })
}

/// A recipe for tracks and its seed, which tells one bass from another whether or not it shuffles
/// keys too.
fn with_its_seed(mut recipe: Recipe) -> (Recipe, Option<u32>) {
    let seed = recipe.seed;
    if recipe.order != Some(KeyOrder::Shuffled) {
        recipe.seed = None;
    }
    (recipe, seed)
}

/// Makes the tracks of a recipe that can stand.
fn of_ready(
    errand: &TrackErrand<'_>,
    ready: &Ready<'_>,
    seed: Option<u32>,
) -> Result<ErrandWaiting, Complaint> {
    let order = Order::of_recipe(errand, ready, seed)?;
    let subjects: Vec<Subject<'_>> = ready.course().exercises.iter().map(Subject::Drill).collect();
    order.made(&subjects, &ready.name_of_tracks())
}

impl Order<'_> {
    /// Makes the tracks of subjects, whose names begin as `start`.
    fn made(&self, subjects: &[Subject<'_>], start: &str) -> Result<ErrandWaiting, Complaint> {
        let is_course = subjects.len() > 1;
        let usual = if self.font.is_some() { Product::Wav } else { TRACKS[0] };
        let kind = self.errand.kind.unwrap_or(usual);
        let planned = self.planned(subjects, start, kind);
        let mut waiting = if let [one] = planned.as_slice() {
            self.one(one, kind)?
        } else {
            let folder = self.folder(is_course.then_some(start))?;
            self.several(&planned, (folder, is_course), kind)?
        };
        let TrackOptions { rise, choruses, .. } = self.options;
        if rise > 0 && choruses == 1 {
            waiting.after.push(Advice::words(NO_RISE));
        }
        if self.has_sound(kind, &planned) {
            waiting.after.push(Advice::words(CAUTION));
        }
        Ok(waiting)
    }

    /// What a file of a kind is made with.
    fn made_as(&self, kind: Product) -> (Product, &ErrandTags, Option<&Font>) {
        (kind, &self.tags, self.font.as_ref())
    }

    /// Errors if instruments were brought for a file that has none in it.
    fn check_font(&self, kind: Product) -> Result<(), Complaint> {
        if self.font.is_none() || kind != Product::Midi {
            return Ok(());
        }
        let problem = "a MIDI file has notes and no sound, so a SoundFont changes nothing in it";
        Err(Complaint::new(problem).mend("write a name that ends in .wav or .flac"))
    }

    /// Whether what was made can be loud.
    fn has_sound(&self, usual: Product, planned: &[PlannedTrack<'_>]) -> bool {
        let kind = match (planned, self.errand.output) {
            ([_], Some(Outlet::File(typed))) => {
                outlet_of_track(typed, self.errand.kind).map_or(usual, |(_, kind)| kind)
            }
            _ => usual,
        };
        matches!(kind, Product::Wav | Product::Flac)
    }

    /// The tracks that are asked for, in order.
    fn planned<'b>(
        &self,
        subjects: &'b [Subject<'b>],
        start: &str,
        kind: Product,
    ) -> Vec<PlannedTrack<'b>> {
        let is_course = subjects.len() > 1;
        let figures = subjects.len().to_string().len().max(2);
        let ending = kind.row().ending;
        let mut planned = Vec::new();
        for (index, subject) in subjects.iter().enumerate() {
            let tempi = match self.errand.rungs {
                [] => vec![subject.usual_tempo()],
                rungs => Rungs::tempi(rungs, &subject.ladder()),
            };
            for tempo in tempi {
                let own = naming::safe(subject.name());
                let numbered = format!("{:0figures$}-{own}", index + 1);
                let start = if is_course { &*numbered } else { start };
                planned.push(PlannedTrack {
                    subject,
                    tempo,
                    name: naming::at_rung(start, tempo, ending),
                });
            }
        }
        planned
    }

    /// Makes one track for its place.
    fn one(&self, one: &PlannedTrack<'_>, usual: Product) -> Result<ErrandWaiting, Complaint> {
        let (path, kind) = match self.errand.output {
            None => (one.name.clone(), usual),
            Some(Outlet::Stdout) => {
                let track = TrackFile::played(one.subject, one.tempo, &self.options)?;
                let said = format!("wrote the track to stdout: {}", track.about);
                self.check_font(usual)?;
                let stdout = Some(track.bytes(self.made_as(usual))?);
                return Ok(ErrandWaiting {
                    stdout,
                    before: vec![Advice::words(said)],
                    ..ErrandWaiting::default()
                });
            }
            Some(Outlet::File(typed)) => outlet_of_track(typed, self.errand.kind)?,
        };
        self.check_font(kind)?;
        let taken = Taken::as_typed(self.errand.output.is_some(), self.errand.force);
        let place = FilePlace { path, kind, taken };
        place.found()?;
        let track = TrackFile::played(one.subject, one.tempo, &self.options)?;
        let body = track.made(self.made_as(kind), (folder_of(&place.path), &place.path))?;
        Ok(ErrandWaiting {
            tracks: vec![MadeTrack { place, track, body }],
            ..ErrandWaiting::default()
        })
    }

    /// The folder of several tracks: that which was typed, one named after a course, or the one
    /// where the command was typed.
    fn folder(&self, course: Option<&str>) -> Result<PathBuf, Complaint> {
        let typed = match self.errand.output {
            None => return Ok(course.map_or_else(PathBuf::new, PathBuf::from)),
            Some(Outlet::Stdout) => {
                let problem = "standard output takes one track, and there are several";
                return Err(Complaint::new(problem).mend("choose one rung of one drill"));
            }
            Some(Outlet::File(typed)) => typed,
        };
        if typed.extension().is_some() && !typed.is_dir() {
            let name = typed.display();
            let problem = format!("{name} names one file, and there are several tracks");
            let folder = typed.with_extension("");
            let mend = format!("write the name of a folder, such as {}", folder.display());
            return Err(Complaint::new(problem).mend(mend));
        }
        Ok(typed.clone())
    }

    /// Makes several tracks for a folder; those of a course with a playlist.
    fn several(
        &self,
        planned: &[PlannedTrack<'_>],
        (folder, is_course): (PathBuf, bool),
        kind: Product,
    ) -> Result<ErrandWaiting, Complaint> {
        self.check_font(kind)?;
        let play =
            |one: &PlannedTrack<'_>| TrackFile::played(one.subject, one.tempo, &self.options);
        let tracks = parallel::map(planned, play);
        let tracks: Vec<TrackFile> = tracks.into_iter().collect::<Result<_, _>>()?;
        let taken = Taken::as_typed(false, self.errand.force);
        let place = |name: &Path, kind| FilePlace { path: folder.join(name), kind, taken };
        let places: Vec<FilePlace> = planned.iter().map(|one| place(&one.name, kind)).collect();
        let list = PathBuf::from(format!("playlist.{}", Product::Playlist.row().ending));
        let playlist = is_course.then(|| place(&list, Product::Playlist));
        let room = waiting_room(&folder)?;
        // In a folder that is yet to be made every name is free.
        if folder_of_or_here(&folder).is_dir() {
            places.iter().chain(&playlist).try_for_each(|place| place.found().map(drop))?;
        }
        let tracks = tracks.into_iter().zip(places).map(|(track, place)| {
            let body = track.made(self.made_as(kind), (room, &place.path))?;
            Ok(MadeTrack { place, track, body })
        });
        let tracks = tracks.collect::<Result<Vec<_>, Complaint>>()?;
        Ok(ErrandWaiting { tracks, playlist, folder: Some(folder), ..ErrandWaiting::default() })
    }
}

impl<'a> Order<'a> {
    /// The order of the tracks of a tune.
    fn of_tune(errand: &'a TrackErrand<'a>, tune: &subject::KeyedTune) -> Result<Self, Complaint> {
        Ok(Self {
            errand,
            options: TrackOptions { seed: tune.seed, ..errand.options.clone() },
            tags: ErrandTags { student: tune.student.clone(), title: None },
            font: font(errand.font)?,
        })
    }

    /// The order of the tracks of a recipe.
    fn of_recipe(
        errand: &'a TrackErrand<'a>,
        ready: &Ready<'_>,
        seed: Option<u32>,
    ) -> Result<Self, Complaint> {
        let recipe = ready.recipe();
        let seed = seed.or(recipe.seed).unwrap_or(0).into();
        Ok(Self {
            errand,
            options: TrackOptions { seed, ..errand.options.clone() },
            tags: ErrandTags { student: recipe.student.clone(), title: recipe.title.clone() },
            font: font(errand.font)?,
        })
    }
}

/// The instruments in a file, if there is one.
fn font(path: Option<&Path>) -> Result<Option<Font>, Complaint> {
    let Some(path) = path else { return Ok(None) };
    let bytes = files::read(path, MOST_FONT)?;
    let font = Font::read(&bytes).map_err(|error| {
        let complaint = Complaint::from(error);
        Complaint { problem: format!("{}: {}", path.display(), complaint.problem), ..complaint }
    })?;
    Ok(Some(font))
}

/// The folder that a file stands in.
fn folder_of(file: &Path) -> &Path {
    folder_of_or_here(file.parent().unwrap_or(Path::new("")))
}

fn folder_of_or_here(folder: &Path) -> &Path {
    if folder.as_os_str().is_empty() { Path::new(".") } else { folder }
}
