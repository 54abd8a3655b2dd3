//! How the notes of a score are written down: clefs, octaves, beams, triplets, directions of stems
//! and accidentals. All of this is decided before anything has its place, so that it is the same on
//! a page and in a file of notes.

use std::collections::BTreeSet;

use smallvec::SmallVec;

use super::accidental::{InForce, OtherStaff};
use super::beam::{SecondBeam, second_beams};
use super::groups;
use super::position::{Direction, PerNote, stem_direction};
use crate::score::{ByHand, Clef, Event, Hand, Note, Score};
use crate::theory::{Key, Pitch};

/// An event as it is written.
#[derive(Clone, Debug)]
pub struct WrittenEvent<'a> {
    /// The event.
    pub event: &'a Event,
    /// The clef it is read in.
    pub clef: Clef,
    /// How many octaves it sounds above what is written.
    pub octaves: i32,
    /// Which way its stem points; of a rest, which way it would.
    pub stem: Direction,
    /// Whether each of its notes bears its accidental.
    pub accidentals: PerNote<bool>,
    /// The beamed group it belongs to, counted over its staff and bar.
    pub beam: Option<usize>,
    /// The triplet it belongs to, counted over its staff and bar.
    pub tuplet: Option<usize>,
}

/// What a beam does at a stem.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BeamPart {
    /// It begins.
    Begin,
    /// It goes on.
    Continue,
    /// It ends.
    End,
    /// A stump that points to the next stem.
    Forward,
    /// A stump that points to the stem before.
    Backward,
}

/// How a staff is read.
#[derive(Clone, Copy, PartialEq)]
pub(super) struct StaffReading {
    /// The clef.
    pub(super) clef: Clef,
    /// How many octaves what is written sounds higher.
    pub(super) octaves: i32,
}

/// Who reads a staff from its first bar on: how it is read by now, and what is remembered of
/// accidentals.
pub(super) struct StaffReader {
    reading: StaffReading,
    in_force: InForce,
}

impl StaffReader {
    /// The readers of the staves of a score, before their first note.
    pub(super) fn opening(score: &Score) -> ByHand<Self> {
        score.opening_clefs.map(|clef| Self {
            reading: StaffReading { clef, octaves: 0 },
            in_force: InForce::default(),
        })
    }
}

impl StaffReading {
    /// The staff position of a note that sounds at a pitch.
    pub(super) fn position(self, pitch: Pitch) -> i32 {
        self.clef.position(pitch) - 7 * self.octaves
    }

    /// How the staff is read from an event on: what is tied stays in its octave.
    fn at(self, score: &Score, hand: Hand, event: &Event) -> Self {
        let octaves =
            if event.is_tied_in() { self.octaves } else { score.octaves_at(hand, event.at) };
        Self { clef: event.clef_change.unwrap_or(self.clef), octaves }
    }
}

impl WrittenEvent<'_> {
    /// How it is read.
    pub(super) const fn reading(&self) -> StaffReading {
        StaffReading { clef: self.clef, octaves: self.octaves }
    }

    /// The same where a system begins with it: accidentals that are tied in are told again (Gould).
    fn told_again(mut self, key: Key) -> Self {
        for (shown, note) in self.accidentals.iter_mut().zip(&self.event.notes) {
            *shown |= is_told_again(key, note);
        }
        self
    }
}

/// Whether a note that begins a system bears its accidental though it is tied in.
pub(super) fn is_told_again(key: Key, note: &Note) -> bool {
    note.tied_in && key.is_altered(note.pitch.name)
}

/// The events of a score as they are written, bar by bar. `systems` are the bars that begin one.
pub fn written<'a>(
    score: &'a Score,
    systems: &BTreeSet<usize>,
) -> Vec<ByHand<Vec<WrittenEvent<'a>>>> {
    let mut readers = StaffReader::opening(score);
    let bar = |bar| {
        ByHand::each(|hand| {
            let mut events = staff(score, bar, hand, &mut readers[hand]);
            if systems.contains(&bar) && !events.is_empty() {
                let first = events.remove(0).told_again(score.key_at(bar));
                events.insert(0, first);
            }
            events
        })
    };
    (0..score.bars.len()).map(bar).collect()
}

/// What the beams of a group do at each of its stems: one entry a beam, the first one first.
pub fn beam_parts(flags: &[usize]) -> Vec<Vec<BeamPart>> {
    let run = |length: usize, at: usize| match at {
        0 => BeamPart::Begin,
        at if at + 1 == length => BeamPart::End,
        _ => BeamPart::Continue,
    };
    let mut parts: Vec<Vec<BeamPart>> =
        (0..flags.len()).map(|at| vec![run(flags.len(), at)]).collect();
    for second in second_beams(flags) {
        match second {
            SecondBeam::Joins(stems) => {
                for (at, stem) in stems.clone().enumerate() {
                    parts[stem].push(run(stems.len(), at));
                }
            }
            SecondBeam::Forward(stem) => parts[stem].push(BeamPart::Forward),
            SecondBeam::Backward(stem) => parts[stem].push(BeamPart::Backward),
        }
    }
    parts
}

/// The beam and the triplet that an event belongs to.
type Joined = (Option<usize>, Option<usize>);

/// The events of the next bar on one staff.
pub(super) fn staff<'a>(
    score: &'a Score,
    index: usize,
    hand: Hand,
    reader: &mut StaffReader,
) -> Vec<WrittenEvent<'a>> {
    let (bar, key) = (&score.bars[index], score.key_at(index));
    let events = &bar.staves[hand].events;
    let beams = groups::beamed(score.metre, bar.start, events);
    let tuplets = groups::triplets(events);
    let StaffReader { reading: line, in_force } = reader;
    in_force.begin_bar();
    let other_hand = OtherStaff::of(&bar.staves[hand.other()].events);
    let mut before = *line;
    let readings: SmallVec<[StaffReading; 16]> = events
        .iter()
        .map(|event| {
            *line = line.at(score, hand, event);
            *line
        })
        .collect();
    let positions = |index: usize| {
        let reading = readings[index];
        events[index].notes.iter().map(move |note| reading.position(note.pitch))
    };
    // What shares a beam or a triplet shares a direction, which is found once.
    let mut last: Option<(Joined, Direction)> = None;
    let write = |(index, event): (usize, &'a Event)| {
        let beam = beams.iter().position(|group| group.contains(&index));
        let tuplet = tuplets.iter().position(|group| group.contains(&index));
        // A triplet keeps one direction, whether it has a beam or a bracket (Gould p. 14).
        let direction = || {
            let together: SmallVec<[i32; 24]> = match (beam, tuplet) {
                (_, Some(tuplet)) => tuplets[tuplet].clone().flat_map(positions).collect(),
                (Some(beam), None) => beams[beam].iter().copied().flat_map(positions).collect(),
                (None, None) => positions(index).collect(),
            };
            stem_direction(&together)
        };
        let group = (beam.is_some() || tuplet.is_some()).then_some((beam, tuplet));
        let known = last.filter(|(before, _)| group == Some(*before));
        let stem = known.map_or_else(direction, |(_, direction)| direction);
        last = group.map(|group| (group, stem));
        let reading = readings[index];
        if event.clef_change.is_some() || reading.octaves != before.octaves {
            in_force.change_clef();
        }
        before = reading;
        let accidentals = in_force.signs(key, event, (reading.octaves, &other_hand));
        let StaffReading { clef, octaves } = reading;
        WrittenEvent { event, clef, octaves, stem, accidentals, beam, tuplet }
    };
    events.iter().enumerate().map(write).collect()
}

#[cfg(test)]
mod tests {
    use super::BeamPart::{Backward, Begin, Continue, End, Forward};
    use super::*;

    #[test]
    fn each_stem_tells_what_every_beam_does() {
        assert_eq!(beam_parts(&[1, 1, 1]), [[Begin], [Continue], [End]]);
        assert_eq!(beam_parts(&[1, 2]), [vec![Begin], vec![End, Backward]]);
        assert_eq!(beam_parts(&[2, 1]), [vec![Begin, Forward], vec![End]]);
        assert_eq!(beam_parts(&[1, 2, 2]), [vec![Begin], vec![Continue, Begin], vec![End, End]]);
    }
}
