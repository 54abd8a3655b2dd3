//! What a line is composed over.

use crate::drill::language::harmony::ChordPlan;
use crate::score::{Stay, Ticks};
use crate::theory::{ChordKind, Interval, NoteName};

/// A chord as a composed line sees it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ChordGround {
    /// When it begins.
    pub(crate) start: Ticks,
    /// When it ends.
    pub(crate) end: Ticks,
    /// Its root above the tonic.
    pub(crate) root: Interval,
    /// Its bass above the tonic, where that is not the root.
    pub(crate) bass: Option<Interval>,
    /// Its tones above the root, from the root up, within an octave.
    pub(crate) tones: Vec<Interval>,
    /// The altered tones that its symbol names, above the root, within an octave.
    pub(crate) colours: Vec<Interval>,
    /// The scale over it, from the root up, within an octave.
    pub(crate) scale: Vec<Interval>,
}

/// A note that may stand at a place of a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct CandidateNote {
    /// Where it lies above the tonic.
    pub(super) interval: Interval,
    /// What it is to the chord that sounds.
    pub(super) role: NoteRole,
}

/// What a note is to its chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum NoteRole {
    /// The tone at a place of the chord, from what a bass rests on: 0 the root, or the bass that
    /// stands in its place.
    Tone(usize),
    /// A note of the scale.
    Scale,
    /// Neither: it leads on by a semitone.
    Passing,
}

impl ChordGround {
    /// A chord from one moment to another.
    pub(crate) fn of(plan: &ChordPlan, start: Ticks, end: Ticks) -> Self {
        let above = |number: i32| plan.tone(number).plus(plan.root.down());
        Self {
            start,
            end,
            root: plan.root,
            bass: None,
            tones: plan.kind.frame().into_iter().flatten().collect(),
            colours: colours(plan.kind),
            scale: (1..=7).map(above).collect(),
        }
    }

    /// The chord of a stay as it is, its intervals counted from C.
    pub(crate) fn sounding(stay: &Stay) -> Self {
        let Stay { at, end, chord, scale } = stay;
        Self {
            start: *at,
            end: *end,
            root: above_c(chord.root),
            bass: chord.bass.map(above_c),
            tones: chord.kind.frame().into_iter().flatten().collect(),
            colours: colours(chord.kind),
            scale: scale.to_vec(),
        }
    }

    /// Whether a note above the tonic is one of some tones of the chord, in whatever octave.
    pub(super) fn has(&self, tones: &[Interval], semitones: i32) -> bool {
        let above = (semitones - self.root.semitones).rem_euclid(12);
        tones.iter().any(|tone| tone.semitones.rem_euclid(12) == above)
    }

    /// Its third, if it has one.
    pub(super) fn third(&self) -> Option<Interval> {
        self.tones.iter().copied().find(|tone| tone.steps == 2)
    }

    /// What a bass rests on, above the tonic.
    pub(super) fn foot(&self) -> Interval {
        self.bass.unwrap_or(self.root)
    }

    /// Whether what it rests on is a semitone above what the next one does.
    pub(super) fn falls_to(&self, next: &Self) -> bool {
        (self.foot().semitones - next.foot().semitones).rem_euclid(12) == 1
    }

    /// Its fifth above the tonic, if it has one.
    pub(super) fn fifth(&self) -> Option<Interval> {
        self.tones.iter().find(|tone| tone.steps == 4).map(|tone| self.root.plus(*tone))
    }

    /// The perfect fifth above the tonic that a chord of an altered fifth has not, nor its symbol: a
    /// flat thirteenth is a sharp fifth to who plays the bass.
    pub(super) fn other_fifth(&self) -> Option<i32> {
        let perfect = self.root.semitones + Interval::FIFTH.semitones;
        let is_sharp = self.third().is_some_and(|third| third.semitones == 4)
            && self.colours.iter().any(|it| it.steps == 5);
        let is_altered = match self.fifth() {
            Some(fifth) => fifth.semitones - self.root.semitones != Interval::FIFTH.semitones,
            // A dominant whose alterations leave no room for a fifth.
            None => !self.colours.is_empty(),
        };
        let has = !is_sharp && self.has(&self.colours, perfect);
        ((is_altered || is_sharp) && !has).then_some(perfect)
    }

    /// Whether a note is the minor seventh of a chord that has a major one.
    pub(super) fn is_other_seventh(&self, semitones: i32) -> bool {
        self.tones.iter().any(|tone| tone.steps == 6 && tone.semitones == 11)
            && (semitones - self.root.semitones).rem_euclid(12) == 10
    }

    /// Whether it is a diminished seventh, in which any other note that is leapt to is the root of another
    /// chord.
    pub(super) fn is_diminished(&self) -> bool {
        let has = |tone: (i32, i32)| self.tones.iter().any(|it| (it.steps, it.semitones) == tone);
        has((2, 3)) && has((4, 6)) && has((6, 9))
    }

    /// Whether a bar that the chord fills after its first may begin with a tone of the chord: the foot, the
    /// root, the third, what stands in its place, or the fifth.
    pub(super) fn is_firm(&self, semitones: i32) -> bool {
        let above = (semitones - self.root.semitones).rem_euclid(12);
        let has = |tone: &Interval| tone.steps <= 4 && tone.semitones == above;
        (semitones - self.foot().semitones).rem_euclid(12) == 0 || self.tones.iter().any(has)
    }

    /// Its third, or the fourth in place of it, and its seventh above the tonic, as far as it has
    /// them.
    pub(super) fn guides(&self) -> Vec<Interval> {
        let guides = self.tones.iter().filter(|tone| matches!(tone.steps, 2 | 3 | 6));
        guides.map(|tone| self.root.plus(*tone)).collect()
    }

    /// The third above the tonic that a chord of the other kind would have, minor or major; of a
    /// chord with a fourth in its place the major one.
    pub(super) fn other_third(&self) -> Option<i32> {
        let third = self.tones.iter().find(|tone| matches!(tone.steps, 2 | 3))?;
        let other = if third.semitones == 4 { 3 } else { 4 };
        Some(self.root.semitones + other)
    }

    /// What would contradict the chord, in semitones above the tonic within an octave: the third and
    /// the seventh that a chord of the other kind would have, where neither the chord nor its symbol
    /// has them too.
    pub(super) fn contradictions(&self) -> Vec<i32> {
        let other = |tone: &Interval| match (tone.steps, tone.semitones) {
            (2, 3) => Some(4),
            (2, 4) => Some(3),
            (6, 10) => Some(11),
            (6, 11) => Some(10),
            _ => None,
        };
        let others = self.tones.iter().filter_map(other);
        let at = others.map(|above| self.root.semitones + above);
        let strange = at.filter(|at| !self.has(&self.tones, *at) && !self.has(&self.colours, *at));
        strange.map(|at| at.rem_euclid(12)).collect()
    }

    /// Whether a bass that is no tone of the chord would make another one of it: any third where a
    /// fourth or a second is in its place, and where more rests on it than a weak beat the third of another
    /// kind.
    pub(super) fn is_denied(&self, semitones: i32, is_weak: bool) -> bool {
        let has_third = self.third().is_some();
        let is_suspended = !has_third && self.tones.iter().any(|it| matches!(it.steps, 1 | 3));
        let above = (semitones - self.root.semitones).rem_euclid(12);
        let is_named = self.has(&self.tones, semitones) || self.has(&self.colours, semitones);
        let is_other = |it: i32| (it - self.root.semitones).rem_euclid(12) == above;
        let is_strange = match is_suspended {
            true => matches!(above, 3 | 4),
            false => has_third && !is_weak && self.other_third().is_some_and(is_other),
        };
        is_strange && !is_named
    }

    /// Every note that may stand over the chord within a range of semitones above the tonic, low to
    /// high; those that are neither of the chord nor of its scale too.
    pub(super) fn candidates(&self, range: std::ops::RangeInclusive<i32>) -> Vec<CandidateNote> {
        let mut all: Vec<CandidateNote> = Vec::new();
        for octave in -3..=3 {
            let at = |above: &Interval| self.root.plus(*above).plus_octaves(octave);
            let foot = self.bass.map(|bass| bass.plus_octaves(octave));
            all.extend(foot.map(|interval| CandidateNote { interval, role: NoteRole::Tone(0) }));
            let tones = self.tones.iter().enumerate().map(|(place, tone)| CandidateNote {
                interval: at(tone),
                role: NoteRole::Tone(place + usize::from(foot.is_some())),
            });
            all.extend(tones);
            all.extend(
                self.scale
                    .iter()
                    .map(|step| CandidateNote { interval: at(step), role: NoteRole::Scale }),
            );
        }
        all.retain(|candidate| range.contains(&candidate.interval.semitones));
        all.sort_by_key(|candidate| (candidate.interval.semitones, candidate.role));
        all.dedup_by_key(|candidate| candidate.interval.semitones);
        let known: Vec<i32> = all.iter().map(|candidate| candidate.interval.semitones).collect();
        let others = range.filter(|semitones| !known.contains(semitones));
        // Which letter a passing note has depends on where it leads.
        all.extend(others.map(|semitones| CandidateNote {
            interval: Interval { steps: 0, semitones },
            role: NoteRole::Passing,
        }));
        all
    }
}

/// The altered tensions that the symbol of a kind names, within an octave.
fn colours(kind: ChordKind) -> Vec<Interval> {
    let named = kind.tones().filter(|tone| tone.steps > 6).map(Interval::simple);
    named.filter(|tone| tone.alteration() != 0).collect()
}

/// A note above C.
fn above_c(name: NoteName) -> Interval {
    Interval { steps: name.letter.steps(), semitones: name.letter.semitones() + name.alter }
}

/// A line's notes with each that is neither of its chord nor of its scale spelled as what leads to
/// the note after it: on the letter below it going up, on the letter above going down.
pub(super) fn spelled(line: &[CandidateNote]) -> Vec<Interval> {
    let mut spelled: Vec<Interval> = line.iter().map(|note| note.interval).collect();
    for place in (0..line.len().saturating_sub(1)).rev() {
        if line[place].role == NoteRole::Passing {
            let (own, next) = (spelled[place].semitones, spelled[place + 1]);
            let step = if next.semitones > own { -1 } else { 1 };
            spelled[place] = Interval { steps: next.steps + step, semitones: own };
        }
    }
    spelled
}
