//! Which notes a place of a bass has not, by what its chord comes from and goes on to.

use super::bass_place::{BassPlace, Weight};
use super::ground::{CandidateNote, ChordGround, NoteRole};
use crate::theory::Interval;

/// From how many notes on a chord has time for a note on the way that is not its own.
const TIME: usize = 3;

/// A place of a bass among all of them.
pub(super) struct BassStanding<'a> {
    pub(super) grounds: &'a [ChordGround],
    pub(super) places: &'a [BassPlace],
    /// The chord of each place, by index.
    pub(super) chords: &'a [usize],
    /// What comes after the chord, within an octave, where that is something else.
    pub(super) next: &'a [i32],
    pub(super) place: usize,
}

impl BassStanding<'_> {
    /// Whether a note that is not what the chord rests on may not stand here.
    pub(super) fn is_denied(&self, note: &CandidateNote) -> bool {
        self.is_below_a_fall(note)
            || self.is_natural_fifth(note)
            || self.is_infirm(note)
            || self.is_off_the_pedal(note)
    }

    fn ground(&self) -> &ChordGround {
        &self.grounds[self.chords[self.place]]
    }

    fn class(note: &CandidateNote) -> i32 {
        note.interval.semitones.rem_euclid(12)
    }

    /// The places of the chord.
    fn of_chord(&self) -> std::ops::Range<usize> {
        let own = self.chords[self.place];
        self.chords.partition_point(|it| *it < own)..self.chords.partition_point(|it| *it <= own)
    }

    fn is_last_of_chord(&self) -> bool {
        self.place + 1 == self.of_chord().end
    }

    /// Where the bass falls by a semitone, what leads to it from below, on the last note before it; and
    /// what it falls on to after that, before its time.
    fn is_below_a_fall(&self, note: &CandidateNote) -> bool {
        let own = self.chords[self.place];
        let Some(next) = self.grounds.get(own + 1) else { return false };
        if !self.ground().falls_to(next) {
            return false;
        }
        let above = |foot: Interval| (Self::class(note) - foot.semitones).rem_euclid(12);
        let is_below = self.is_last_of_chord() && matches!(above(next.foot()), 10 | 11);
        let falls_on = self.grounds.get(own + 2).filter(|goal| next.falls_to(goal));
        is_below || falls_on.is_some_and(|goal| above(goal.foot()) == 0)
    }

    /// The perfect fifth of a chord whose own is altered, but where it leads on by a semitone and the
    /// chord has been told.
    fn is_natural_fifth(&self, note: &CandidateNote) -> bool {
        let class = Self::class(note);
        let is_own = self.ground().other_fifth().is_some_and(|it| it.rem_euclid(12) == class);
        let leads = self.is_last_of_chord()
            && self.of_chord().len() >= TIME
            && self.next.iter().any(|foot| matches!((class - foot).rem_euclid(12), 1 | 11));
        is_own && !leads
    }

    /// A seventh where a later bar of the chord begins, and there before another chord its root.
    fn is_infirm(&self, note: &CandidateNote) -> bool {
        let places = self.of_chord();
        if places.start == self.place || !self.places[self.place].is_one {
            return false;
        }
        let is_last_bar = !self.places[self.place + 1..places.end].iter().any(|it| it.is_one);
        let is_given_away = is_last_bar && self.next.contains(&Self::class(note));
        !self.ground().is_firm(note.interval.semitones) || is_given_away
    }

    /// Over a bass after a slash that stays, where the line rests, anything but that bass or its fifth.
    fn is_off_the_pedal(&self, note: &CandidateNote) -> bool {
        let Some(bass) = self.ground().bass else { return false };
        let places = self.of_chord();
        let feet = places.filter(|it| self.places[*it].weight == Weight::Foot).count();
        let rests = self.places[self.place].weight > Weight::Foot
            && self.places[self.place].weight < Weight::Weak;
        let above = (note.interval.semitones - bass.semitones).rem_euclid(12);
        // The last beat of a line that walks leads on.
        let leads = self.is_last_of_chord() && self.places[self.place].weight == Weight::Strong;
        feet > 1
            && rests
            && !leads
            && above != Interval::FIFTH.semitones
            && note.role != NoteRole::Tone(0)
    }
}
