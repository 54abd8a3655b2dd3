//! Numerals and targets of readings, spelled by their key.

use super::family::{ChordFamily, WorkingChord};
use super::harmonies::Harmonies;
use super::path::KeyState;
use super::readings::{CandidateReading, ReadingMaker};
use super::resolve::{FIFTH_DOWN, Resolution, SEMITONE_DOWN};
use super::table::{ChordRole, KeyMode};
use crate::theory::{BorrowedTarget, Interval, Key, Letter, NoteName, Numeral};

/// Degrees of the steps above the tonic, with their alterations against the major scale.
const DEGREES: [(i32, i32); 12] = [
    (1, 0),
    (2, -1),
    (2, 0),
    (3, -1),
    (3, 0),
    (4, 0),
    (4, 1),
    (5, 0),
    (6, -1),
    (6, 0),
    (7, -1),
    (7, 0),
];

/// The degree of a chord: one that is diminished is raised where it leads up by a semitone, and
/// lowered where it falls by one.
fn degree(step: i32, family: ChordFamily, rise: i32) -> (i32, i32) {
    let is_diminished = matches!(family, ChordFamily::Diminished | ChordFamily::HalfDiminished);
    match step {
        1 | 3 | 8 | 10 if is_diminished && rise == 1 => DEGREES[step as usize - 1].raised(),
        // What falls by a semitone is lowered: ♭v°7 on its way to IV.
        1 | 6 if family == ChordFamily::Diminished && rise == SEMITONE_DOWN => {
            DEGREES[step as usize + 1].lowered()
        }
        1 if is_diminished => (1, 1),
        6 if family.is_dominant() || family == ChordFamily::Major => (5, -1),
        _ => DEGREES[step as usize],
    }
}

/// A degree a semitone up or down.
trait Raised {
    fn raised(self) -> Self;
    fn lowered(self) -> Self;
}

impl Raised for (i32, i32) {
    fn raised(self) -> Self {
        (self.0, self.1 + 1)
    }

    fn lowered(self) -> Self {
        (self.0, self.1 - 1)
    }
}

/// The degree that an applied chord is applied to.
pub(super) fn goal(mode: KeyMode, step: i32) -> BorrowedTarget {
    let (degree, alter) = DEGREES[step as usize];
    BorrowedTarget { degree, alter, is_minor: mode.is_minor_goal(step) }
}

/// The numeral of a chord of a harmony.
pub(super) fn numeral(
    mode: KeyMode,
    it: CandidateReading,
    sound: WorkingChord,
    family: ChordFamily,
    rise: i32,
) -> Numeral {
    let of = it.goal.map(|step| goal(mode, step));
    let above = it.goal.map_or(0, |goal| (it.step - goal).rem_euclid(12));
    let (place, of) = match it.role {
        ChordRole::Applied | ChordRole::Outside => ((5, 0), of),
        ChordRole::AppliedSubstitute => ((2, -1), of),
        ChordRole::RelatedTwo => ((2, 0), of),
        ChordRole::AppliedLeading if above == 11 => ((7, 0), of),
        // A seventh that slides up is raised, as a diminished chord is: ♯IV7 on its way to V7.
        ChordRole::Passing if family == ChordFamily::Dominant => {
            (degree(it.step, ChordFamily::Diminished, rise), None)
        }
        _ => (degree(it.step, family, rise), None),
    };
    let (degree, alter) = place;
    Numeral { degree, alter, of, ..Numeral::new(degree, sound.kind) }
}

/// How the goal of a reading comes, as a listener connects the two.
pub(super) fn comes(
    reader: &ReadingMaker<'_>,
    place: usize,
    it: CandidateReading,
) -> Option<Resolution> {
    comes_at_last(reader, place, it).filter(|it| it.is_told)
}

/// The same, also where others come before it that prepare it again.
pub(super) fn comes_at_last(
    reader: &ReadingMaker<'_>,
    place: usize,
    it: CandidateReading,
) -> Option<Resolution> {
    let ahead = reader.ahead[place];
    match it.role {
        ChordRole::Five | ChordRole::Applied | ChordRole::Outside => ahead.fifth,
        ChordRole::Substitute | ChordRole::AppliedSubstitute => ahead.semitone,
        ChordRole::Backdoor => ahead.tone.filter(|_| it.step == 10),
        _ => None,
    }
}

/// The step of the tonic's key that a reading leads to, whether or not it comes.
fn wanted(harmonies: &Harmonies, place: usize, it: CandidateReading) -> Option<i32> {
    let rise = harmonies.rise(place);
    let next_step = (it.step + rise) % 12;
    let family = harmonies.list[place].family;
    let next = harmonies.next(place).family;
    match it.role {
        ChordRole::Applied
        | ChordRole::AppliedSubstitute
        | ChordRole::AppliedLeading
        | ChordRole::Outside => it.goal,
        ChordRole::Five | ChordRole::Substitute | ChordRole::Backdoor | ChordRole::Leading => {
            Some(0)
        }
        ChordRole::Passing if family == ChordFamily::Diminished => Some(next_step),
        ChordRole::Passing if matches!(rise, 1 | SEMITONE_DOWN) => Some(next_step),
        ChordRole::CommonTone => Some(next_step),
        // Whatever else falls a fifth into the next is a link of a chain; the tonic at rest is not,
        // unless it turns into the ii of what follows.
        _ if harmonies.is_two_of_next(place) => Some(next_step),
        ChordRole::Home if family == ChordFamily::Minor || place + 1 == harmonies.list.len() => {
            None
        }
        _ if rise == FIFTH_DOWN && family.is_dominant() => Some(next_step),
        _ if rise == FIFTH_DOWN && family.is_two() && next.is_two() => Some(next_step),
        _ => None,
    }
}

/// The root that a chord leads to: as the chart spells it where it comes, else as its key does.
pub(super) fn target(
    reader: &ReadingMaker<'_>,
    place: usize,
    it: CandidateReading,
    key: Key,
) -> Option<NoteName> {
    let harmonies = reader.harmonies;
    let step = wanted(harmonies, place, it)?;
    let state_root = |at: usize| harmonies.list[at].root;
    let spelled = |at: usize| harmonies.heard[harmonies.list[at].chords.start].sound.root;
    let root = (key.tonic().pitch_class() + step).rem_euclid(12);
    let is_goal = |it: &Resolution| it.is_told || state_root(it.by) == root;
    if let Some(resolution) = comes_at_last(reader, place, it).filter(is_goal) {
        return Some(spelled(resolution.by));
    }
    let next = harmonies.after(place);
    if state_root(next) == root {
        return Some(spelled(next));
    }
    Some(above(key, step))
}

/// The note so many semitones above a tonic.
pub(super) fn above(key: Key, step: i32) -> NoteName {
    let (degree, alter) = DEGREES[step as usize];
    let white = Letter::from_steps(degree - 1).semitones();
    key.tonic().up(Interval { steps: degree - 1, semitones: white + alter })
}

/// The step of a root above the tonic of a state.
pub(super) fn step_of(harmonies: &Harmonies, place: usize, state: KeyState) -> i32 {
    state.step(harmonies.list[place].root)
}
