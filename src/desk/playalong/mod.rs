//! Tracks to play along to: from an errand to files of notes in time or of sound.
//!
//! What belongs to the sheet (drills, keys, tempi, feel, seed) comes from the recipe; who plays and
//! how often is chosen for the track alone, and travels with no sheet. A `subject` is a drill or a
//! tune; a `track` is one of them at a tempo; `rungs` says at which, `limits` how large numbers may
//! be. What is `heard` goes to no place of its own, for a front without files.

mod heard;
mod limits;
mod rungs;
mod subject;
mod track;

use std::path::{Path, PathBuf};

pub(crate) use heard::{Heard, Told, Wanted, heard, told};
pub(crate) use limits::{CHORUSES, COUNT_IN, RISE, number};
pub(crate) use rungs::Rungs;

use super::commission::{Ready, asked, counted};
use super::errand::{Errand, Origin, Typed};
use super::outlet::{Companion, Outlet, outlet_of_track};
use super::place::{Spots, Taken};
use super::product::{Product, TRACKS};
use super::source::Source;
use super::{Answer, files, naming};
use crate::output;
use crate::parallel;
use crate::recipe::Form;
use crate::sound::synth::{Font, MOST_FONT};
use crate::sound::{Options, Word};
use crate::source::{Advice, Complaint};
use subject::{Subject, tune};
pub(crate) use track::Body;
use track::Track;

/// What is said with whatever can be heard. The World Health Organization and the ITU (H.870) ask
/// players to say as much.
const CAUTION: &str = "turn the volume down before you play it, most of all in headphones, and up \
     from there: loud sound harms ears for good";

/// What is asked for.
pub(crate) struct TrackErrand<'a> {
    /// The recipe or the sheet to start from.
    pub(crate) recipe: Option<PathBuf>,
    /// A tune to play over, in place of drills: a chart, its sheet, or the name of one of ours.
    pub(crate) tune: Option<&'a Path>,
    /// What wins over it.
    pub(crate) typed: &'a Typed,
    /// What is chosen of the track.
    pub(crate) options: Options,
    /// For which tempi of the ladder a track is made.
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

impl Word for Product {
    const KIND: &'static str = "kind of track";

    fn all() -> Vec<(&'static str, Self)> {
        TRACKS.map(|kind| (kind.row().ending, kind)).to_vec()
    }
}

/// What a player shows of all tracks of an errand.
#[derive(Default)]
struct Tags {
    student: Option<String>,
    title: Option<String>,
}

/// What all tracks of an errand have in common.
struct Order<'a> {
    errand: &'a TrackErrand<'a>,
    options: Options,
    tags: Tags,
    font: Option<Font>,
}

/// A track that is to be made.
struct Planned<'a> {
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
        return order.made(&[Subject::Tune(Box::new(own))], &start).map_err(one);
    }
    of_recipe(errand).map_err(one)
}

/// Makes the tracks of the drills of a recipe.
fn of_recipe(errand: &TrackErrand<'_>) -> Result<Answer, Complaint> {
    let source = Source::open(errand.recipe.as_deref())?;
    let origin = Origin { source: &source, typed: errand.typed };
    let ready = Ready::new(asked(Form::Workbook, source.recipe.clone(), origin)?, origin)?;
    let mut answer = of_ready(errand, &ready)?;
    answer.said.extend(ready.remarks.iter().cloned());
    Ok(answer)
}

/// What was made of the tracks beside a sheet.
pub(crate) struct Beside {
    /// What is to be said of them, and the one that goes to standard output.
    pub(crate) answer: Answer,
    /// What the sheet calls them, unless they have no name.
    pub(crate) name: Option<String>,
    /// What is to be said of the recipe.
    pub(crate) remarks: Vec<Advice>,
    /// Whether the recipe names its tracks itself.
    pub(crate) names_tracks: bool,
}

/// Makes the track of a sheet, at its first tempo; of a course, a folder of them.
pub(crate) fn beside(errand: &Errand<'_>, track: &Companion) -> Result<Beside, Complaint> {
    let source = Source::open(errand.recipe.as_deref())?;
    let origin = Origin { source: &source, typed: errand.typed };
    let ready = Ready::new(asked(errand.form, source.recipe.clone(), origin)?, origin)?;
    let own = TrackErrand {
        recipe: None,
        tune: None,
        typed: errand.typed,
        options: Options::default(),
        rungs: &[Rungs::Slow],
        font: None,
        kind: Some(track.product),
        output: Some(&track.outlet),
        force: errand.force,
    };
    let answer = of_ready(&own, &ready)?;
    let is_folder = ready.course().exercises.len() > 1;
    let name = match &track.outlet {
        Outlet::Stdout => None,
        Outlet::File(folder) if is_folder => called(folder, true),
        Outlet::File(file) => called(&outlet_of_track(file, own.kind)?.0, false),
    };
    let names_tracks = ready.recipe().tracks.is_some();
    Ok(Beside { answer, name, remarks: ready.remarks, names_tracks })
}

/// What a sheet calls a track that was put at a path, which may be a folder of several.
fn called(path: &Path, is_folder: bool) -> Option<String> {
    let name = path.file_name()?.to_string_lossy();
    Some(if is_folder { format!("{name}/") } else { name.into_owned() })
}

/// Makes the tracks of a recipe that can stand.
fn of_ready(errand: &TrackErrand<'_>, ready: &Ready<'_>) -> Result<Answer, Complaint> {
    let order = Order::of_recipe(errand, ready)?;
    let subjects: Vec<Subject<'_>> = ready.course().exercises.iter().map(Subject::Drill).collect();
    order.made(&subjects, &ready.name_of_tracks())
}

impl Order<'_> {
    /// Makes the tracks of subjects, whose names begin as `start`.
    fn made(&self, subjects: &[Subject<'_>], start: &str) -> Result<Answer, Complaint> {
        let is_course = subjects.len() > 1;
        let usual = if self.font.is_some() { Product::Wav } else { TRACKS[0] };
        let kind = self.errand.kind.unwrap_or(usual);
        let planned = self.planned(subjects, start, kind);
        let mut answer = Answer::default();
        if let [one] = planned.as_slice() {
            self.one(one, kind, &mut answer)?;
        } else {
            let folder = self.folder(is_course.then_some(start))?;
            self.several(&planned, (&folder, is_course), kind, &mut answer)?;
        }
        if self.has_sound(kind, &planned) {
            answer.said.push(Advice::words(CAUTION));
        }
        Ok(answer)
    }

    /// What a file of a kind is made with.
    fn made_as(&self, kind: Product) -> (Product, &Tags, Option<&Font>) {
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
    fn has_sound(&self, usual: Product, planned: &[Planned<'_>]) -> bool {
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
    ) -> Vec<Planned<'b>> {
        let is_course = subjects.len() > 1;
        let figures = subjects.len().to_string().len().max(2);
        let ending = kind.row().ending;
        let mut planned = Vec::new();
        for (index, subject) in subjects.iter().enumerate() {
            for tempo in Rungs::tempi(self.errand.rungs, &subject.ladder()) {
                let own = naming::safe(subject.name());
                let numbered = format!("{:0figures$}-{own}", index + 1);
                let start = if is_course { &*numbered } else { start };
                planned.push(Planned {
                    subject,
                    tempo,
                    name: naming::at_rung(start, tempo, ending),
                });
            }
        }
        planned
    }

    /// Makes one track and puts it in its place.
    fn one(&self, one: &Planned<'_>, usual: Product, answer: &mut Answer) -> Result<(), Complaint> {
        let (path, kind) = match self.errand.output {
            None => (one.name.clone(), usual),
            Some(Outlet::Stdout) => {
                let track = Track::played(one.subject, one.tempo, &self.options)?;
                let said = format!("wrote the track to stdout: {}", track.about);
                answer.said.push(Advice::words(said));
                self.check_font(usual)?;
                answer.sheet = Some(track.bytes(self.made_as(usual))?);
                return Ok(());
            }
            Some(Outlet::File(typed)) => outlet_of_track(typed, self.errand.kind)?,
        };
        self.check_font(kind)?;
        let taken = Taken::as_typed(self.errand.output.is_some(), self.errand.force);
        let spots = Spots::of_file(&path, (kind, taken))?;
        let track = Track::played(one.subject, one.tempo, &self.options)?;
        let body = track.made(self.made_as(kind), (folder_of(&path), &path))?;
        answer.said.push(spots.put(&[body])?.said(&track.about));
        Ok(())
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

    /// Makes several tracks and puts them in a folder; those of a course with a playlist. None is
    /// put there unless all can be made.
    fn several(
        &self,
        planned: &[Planned<'_>],
        (folder, is_course): (&Path, bool),
        kind: Product,
        answer: &mut Answer,
    ) -> Result<(), Complaint> {
        self.check_font(kind)?;
        let play = |one: &Planned<'_>| Track::played(one.subject, one.tempo, &self.options);
        let tracks = parallel::map(planned, play);
        let tracks: Vec<Track> = tracks.into_iter().collect::<Result<_, _>>()?;
        if !folder.as_os_str().is_empty() {
            output::make_folder(folder)?;
        }
        let taken = Taken::as_typed(false, self.errand.force);
        let place = |name: &Path, kind| Spots::of_file(&folder.join(name), (kind, taken));
        let spots = planned.iter().map(|one| place(&one.name, kind));
        let spots = spots.collect::<Result<Vec<_>, _>>()?;
        let there = folder_of_or_here(folder);
        let bodies = tracks.iter().zip(planned);
        let bodies = bodies.map(|(track, one)| track.made(self.made_as(kind), (there, &one.name)));
        let bodies: Vec<Body> = bodies.collect::<Result<_, _>>()?;
        let mut listed = Vec::new();
        for ((spots, track), body) in spots.iter().zip(&tracks).zip(&bodies) {
            let put = spots.put(std::slice::from_ref(body))?;
            let name = put.paths.first().and_then(|path| path.file_name()).unwrap_or_default();
            listed.push((name.to_string_lossy().into_owned(), track));
            answer.said.push(put.said(&track.about));
        }
        if is_course {
            let list = playlist(listed.iter().map(|(name, track)| (&**name, *track)));
            let name = PathBuf::from(format!("playlist.{}", Product::Playlist.row().ending));
            let put = place(&name, Product::Playlist)?.put(&[list.into_bytes()])?;
            answer.said.push(put.said(&counted(tracks.len(), "track")));
        }
        Ok(())
    }
}

impl<'a> Order<'a> {
    /// The order of the tracks of a tune.
    fn of_tune(errand: &'a TrackErrand<'a>, tune: &subject::Tune) -> Result<Self, Complaint> {
        Ok(Self {
            errand,
            options: Options { seed: tune.seed, ..errand.options.clone() },
            tags: Tags { student: tune.student.clone(), title: None },
            font: font(errand.font)?,
        })
    }

    /// The order of the tracks of a recipe.
    fn of_recipe(errand: &'a TrackErrand<'a>, ready: &Ready<'_>) -> Result<Self, Complaint> {
        let recipe = ready.recipe();
        let seed = recipe.seed.unwrap_or(0).into();
        Ok(Self {
            errand,
            options: Options { seed, ..errand.options.clone() },
            tags: Tags { student: recipe.student.clone(), title: recipe.title.clone() },
            font: font(errand.font)?,
        })
    }
}

/// A playlist of tracks, each with the name of its file.
fn playlist<'a>(tracks: impl Iterator<Item = (&'a str, &'a Track)>) -> String {
    let mut list = "#EXTM3U\n".to_owned();
    for (name, track) in tracks {
        list.push_str(&track.listed(name));
    }
    list
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
