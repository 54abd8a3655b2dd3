//! Tracks to play along to: from an errand to files of notes in time.
//!
//! What belongs to the sheet (drills, keys, tempi, feel, seed) comes from the recipe; who plays and
//! how often is chosen for the track alone, and travels with no sheet.

use std::path::{Path, PathBuf};

use super::commission::{Ready, asked, counted};
use super::errand::{Origin, Typed};
use super::outlet::{Outlet, outlet_of_track};
use super::place::{Spots, Taken};
use super::product::{Product, TRACKS};
use super::source::Source;
use super::{Answer, naming};
use crate::drill::Exercise;
use crate::output;
use crate::parallel;
use crate::recipe::Form;
use crate::sound::{self, Options, Performance, Word};
use crate::source::{Advice, Complaint};

/// What is asked for.
pub(crate) struct TrackErrand<'a> {
    /// The recipe or the sheet to start from.
    pub(crate) recipe: Option<PathBuf>,
    /// What wins over it.
    pub(crate) typed: &'a Typed,
    /// What is chosen of the track.
    pub(crate) options: Options,
    /// For which tempi of the ladder a track is made.
    pub(crate) rungs: &'a [Rungs],
    /// The kind of file, where no name says it.
    pub(crate) kind: Option<Product>,
    /// Where it goes: a file, or a folder where there are several; without it, where its name
    /// says.
    pub(crate) output: Option<&'a Outlet>,
    /// Whether a file that has the name already may be replaced, whatever it is.
    pub(crate) force: bool,
}

/// Tempi of a ladder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Rungs {
    /// The first.
    Slow,
    /// The one half way up.
    Middle,
    /// The last.
    Goal,
    /// Each.
    All,
}

impl Word for Rungs {
    const KIND: &'static str = "rung";

    fn all() -> Vec<(&'static str, Self)> {
        let all = [Self::Slow, Self::Middle, Self::Goal, Self::All];
        all.map(|rungs| (rungs.word(), rungs)).to_vec()
    }
}

impl Rungs {
    /// Its word.
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Slow => "slow",
            Self::Middle => "middle",
            Self::Goal => "goal",
            Self::All => "all",
        }
    }

    /// Those of a ladder, which has one rung at the least.
    fn of(self, ladder: &[u16]) -> &[u16] {
        let last = ladder.len().saturating_sub(1);
        let middle = last.div_ceil(2);
        match self {
            Self::Slow => &ladder[..1],
            Self::Middle => &ladder[middle..=middle],
            Self::Goal => &ladder[last..],
            Self::All => ladder,
        }
    }
}

impl Word for Product {
    const KIND: &'static str = "kind of track";

    fn all() -> Vec<(&'static str, Self)> {
        TRACKS.map(|kind| (kind.row().ending, kind)).to_vec()
    }
}

/// A track that is to be made.
struct Planned<'a> {
    exercise: &'a Exercise,
    tempo: u16,
    /// What it is called in a folder of several.
    name: PathBuf,
}

/// A track that is made.
struct Made {
    name: PathBuf,
    title: String,
    seconds: u32,
    bytes: Vec<u8>,
    about: String,
}

/// Makes the track of an errand, or the tracks.
pub(crate) fn make(errand: &TrackErrand<'_>) -> Result<Answer, Complaint> {
    let source = Source::open(errand.recipe.as_deref())?;
    let origin = Origin { source: &source, typed: errand.typed };
    let ready = Ready::new(asked(Form::Workbook, source.recipe.clone(), origin)?, origin)?;
    let seed = ready.recipe().seed.unwrap_or(0);
    let options = Options { seed: seed.into(), ..errand.options.clone() };
    let start = ready.name_of_tracks();
    let exercises = &ready.course().exercises;
    let is_course = exercises.len() > 1;
    let usual = errand.kind.unwrap_or(TRACKS[0]);
    let planned = planned(exercises, errand.rungs, &start, usual);
    let mut answer = Answer::default();
    if let [one] = planned.as_slice() {
        one_track(errand, &options, one, usual, &mut answer)?;
    } else {
        let folder = folder(errand, is_course.then_some(&*start))?;
        several(errand, &options, &planned, (&folder, is_course, usual), &mut answer)?;
    }
    answer.said.extend(ready.remarks.iter().cloned());
    Ok(answer)
}

/// The tracks that are asked for, in order.
fn planned<'a>(
    exercises: &'a [Exercise],
    asked: &[Rungs],
    start: &str,
    kind: Product,
) -> Vec<Planned<'a>> {
    let is_course = exercises.len() > 1;
    let figures = exercises.len().to_string().len().max(2);
    let ending = kind.row().ending;
    let mut planned = Vec::new();
    for (index, exercise) in exercises.iter().enumerate() {
        let ladder = exercise.rungs();
        let mut tempi: Vec<u16> =
            asked.iter().flat_map(|rungs| rungs.of(&ladder)).copied().collect();
        tempi.sort_unstable();
        tempi.dedup();
        for tempo in tempi {
            let name = if is_course {
                let drill = naming::safe(&exercise.template.name);
                naming::at_rung(&format!("{:0figures$}-{drill}", index + 1), tempo, ending)
            } else {
                naming::at_rung(start, tempo, ending)
            };
            planned.push(Planned { exercise, tempo, name });
        }
    }
    planned
}

/// Makes one track and puts it in its place.
fn one_track(
    errand: &TrackErrand<'_>,
    options: &Options,
    one: &Planned<'_>,
    usual: Product,
    answer: &mut Answer,
) -> Result<(), Complaint> {
    let (path, kind) = match errand.output {
        None => (one.name.clone(), usual),
        Some(Outlet::Stdout) => {
            let made = made(options, one, usual)?;
            answer.said.push(Advice::words(format!("wrote the track to stdout: {}", made.about)));
            answer.sheet = Some(made.bytes);
            return Ok(());
        }
        Some(Outlet::File(typed)) => outlet_of_track(typed)?,
    };
    if let Some(asked) = errand.kind.filter(|asked| *asked != kind) {
        let problem = format!("{} is no name of a {}", path.display(), asked.row().word);
        let mend = format!("write {}", path.with_extension(asked.row().ending).display());
        return Err(Complaint::new(problem).mend(mend));
    }
    let taken = Taken::as_typed(errand.output.is_some(), errand.force);
    let spots = Spots::of_file(&path, (kind, taken))?;
    let made = made(options, one, kind)?;
    answer.said.push(spots.put(&[made.bytes])?.said(&made.about));
    Ok(())
}

/// The folder of several tracks: that which was typed, one named after a course, or the one where
/// the command was typed.
fn folder(errand: &TrackErrand<'_>, course: Option<&str>) -> Result<PathBuf, Complaint> {
    let typed = match errand.output {
        None => return Ok(course.map_or_else(PathBuf::new, PathBuf::from)),
        Some(Outlet::Stdout) => {
            let problem = "standard output takes one track, and there are several";
            return Err(Complaint::new(problem).mend("choose one rung of one drill"));
        }
        Some(Outlet::File(typed)) => typed,
    };
    if typed.extension().is_some() && !typed.is_dir() {
        let problem = format!("{} names one file, and there are several tracks", typed.display());
        let mend =
            format!("write the name of a folder, such as {}", typed.with_extension("").display());
        return Err(Complaint::new(problem).mend(mend));
    }
    Ok(typed.clone())
}

/// Makes several tracks and puts them in a folder; those of a course with a playlist. None is put
/// there unless all can be made.
fn several(
    errand: &TrackErrand<'_>,
    options: &Options,
    planned: &[Planned<'_>],
    (folder, is_course, kind): (&Path, bool, Product),
    answer: &mut Answer,
) -> Result<(), Complaint> {
    let all = parallel::map(planned, |one| made(options, one, kind));
    let all: Vec<Made> = all.into_iter().collect::<Result<_, _>>()?;
    if !folder.as_os_str().is_empty() {
        output::make_folder(folder)?;
    }
    let taken = Taken::as_typed(false, errand.force);
    let place = |name: &Path, kind| Spots::of_file(&folder.join(name), (kind, taken));
    let spots = all.iter().map(|one| place(&one.name, kind)).collect::<Result<Vec<_>, _>>()?;
    let mut names: Vec<String> = Vec::new();
    for (spots, one) in spots.iter().zip(&all) {
        let put = spots.put(std::slice::from_ref(&one.bytes))?;
        let name = put.paths.first().and_then(|path| path.file_name()).unwrap_or_default();
        names.push(name.to_string_lossy().into_owned());
        answer.said.push(put.said(&one.about));
    }
    if is_course {
        let list = playlist(&all, &names);
        let name = PathBuf::from(format!("playlist.{}", Product::Playlist.row().ending));
        let put = place(&name, Product::Playlist)?.put(&[list.into_bytes()])?;
        answer.said.push(put.said(&counted(all.len(), "track")));
    }
    Ok(())
}

/// A playlist as most players read it: a line of seconds and title before each name.
fn playlist(all: &[Made], names: &[String]) -> String {
    let mut text = "#EXTM3U\n".to_owned();
    for (one, name) in all.iter().zip(names) {
        text.push_str(&format!("#EXTINF:{},{}\n{name}\n", one.seconds, one.title));
    }
    text
}

/// Makes a track.
fn made(options: &Options, one: &Planned<'_>, kind: Product) -> Result<Made, Complaint> {
    let Planned { exercise, tempo, .. } = *one;
    let performance = sound::play_drill(exercise, tempo, options)
        .map_err(|error| refused(error, &exercise.template.name))?;
    let seconds = performance.seconds();
    let keys = counted(exercise.keys.len(), "key");
    let parts: Vec<&str> = performance.tracks.iter().map(|track| track.part.word()).collect();
    let about = format!("{keys} at {tempo}, {}, {}", lasting(seconds), parts.join(", "));
    Ok(Made {
        name: one.name.clone(),
        title: format!("{}, {tempo}", performance.title),
        seconds: seconds.ceil() as u32,
        bytes: bytes(&performance, kind),
        about,
    })
}

/// A performance as a file of a kind.
fn bytes(performance: &Performance, _kind: Product) -> Vec<u8> {
    sound::midi(performance)
}

fn refused(error: sound::CannotPlay, drill: &str) -> Complaint {
    let complaint = Complaint::from(error);
    Complaint { problem: format!("{drill}: {}", complaint.problem), ..complaint }
}

/// A time as a player shows it.
fn lasting(seconds: f64) -> String {
    let seconds = seconds.ceil() as u64;
    format!("{}:{:02}", seconds / 60, seconds % 60)
}
