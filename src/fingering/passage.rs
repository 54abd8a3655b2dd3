//! Scales and arpeggios: passages that run past one position and are alike in every octave take
//! the fingers of the handbooks, the same in every octave.
//!
//! One rule gives them all, the left hand's seen in the mirror:
//!
//! 1. The octave is counted from the note that the passage begins with. The thumb falls on the
//!    first white key of it, or on its first key where all are black.
//! 2. From thumb to thumb lie two to four keys, in as few groups as can be, none beginning on a
//!    black key; a group of three comes before a group of four.
//! 3. Keys before the first thumb take 2, 3, 4 from the outside; where the last key is the
//!    thumb's, it takes the finger after that of the key before it.
//!
//! Source: J. B. Beringer and T. F. Dunhill, *A Manual of Scales, Arpeggios and Broken Chords
//! for the Pianoforte*, 1900, whose scales and seventh arpeggios come out of it (see
//! `tests/fingering.rs`); the same idea in words in *The Musician*, May 1921. What it gives for
//! chords and scales which are not in those books is the rule's extension, ours.

use super::line::{Moment, NONE};
use super::rules::Key;

/// Keys of a passage at least: what is shorter is left to the rules.
const SHORTEST: usize = 6;
/// The largest group under one position of the thumb.
const LARGEST_GROUP: usize = 4;
const OCTAVE: i32 = 12;

/// For each moment the finger that the handbooks would give it, counted from 0, or [`NONE`].
pub(super) fn handbook_fingers(moments: &[Moment]) -> Vec<u8> {
    let mut fingers = vec![NONE; moments.len()];
    let mut from = 0;
    let mut before: Option<Octave> = None;
    while from + 1 < moments.len() {
        let to = run_end(moments, from);
        if to < from + 2 {
            before = None;
            from = to.max(from + 1);
            continue;
        }
        before = before.filter(|_| !moments[from].rest);
        let up = moments[to].keys[0].semitones > moments[from].keys[0].semitones;
        let run = Run { moments: &moments[from..=to], up };
        let octave = if run.moments.len() < SHORTEST { None } else { run.octave() };
        if run.is_chromatic() && run.moments.len() >= SHORTEST {
            run.chromatic(&mut fingers[from..=to]);
        } else if let Some(octave) = octave {
            let octave = before.filter(|before| before.same_keys(&octave)).unwrap_or(octave);
            run.write(&octave, &mut fingers[from..=to]);
            before = Some(octave);
        } else {
            before = None;
        }
        from = to;
    }
    fingers
}

/// The last moment of the run of single notes, all rising or all falling, that begins at `from`.
fn run_end(moments: &[Moment], from: usize) -> usize {
    let step = |at: usize| {
        let (here, there) = (moments[at].alone()?, moments[at + 1].alone()?);
        let rise = there.semitones - here.semitones;
        (!moments[at + 1].rest && rise != 0).then(|| rise.signum())
    };
    let Some(direction) = step(from) else { return from };
    let mut to = from + 1;
    while to + 1 < moments.len() && step(to) == Some(direction) {
        to += 1;
    }
    to
}

/// Notes that all rise or all fall.
struct Run<'a> {
    moments: &'a [Moment],
    up: bool,
}

impl Run<'_> {
    fn len(&self) -> usize {
        self.moments.len()
    }

    /// The moment of the key at a place counted from the lowest.
    fn moment(&self, place: usize) -> usize {
        if self.up { place } else { self.len() - 1 - place }
    }

    fn key(&self, place: usize) -> Key {
        self.moments[self.moment(place)].keys[0]
    }

    fn is_chromatic(&self) -> bool {
        let step = |place: &usize| self.key(*place).semitones + 1 == self.key(place + 1).semitones;
        (0..self.len() - 1).all(|place| step(&place))
    }

    /// The octave that the run repeats, counted from its first note, or `None` where it does not.
    fn octave(&self) -> Option<Octave> {
        let lowest = self.key(0).semitones;
        let count = (1..self.len()).find(|place| self.key(*place).semitones == lowest + OCTAVE)?;
        let repeats =
            |place| self.key(place).semitones + OCTAVE == self.key(place + count).semitones;
        if count < 2 || !(0..self.len() - count).all(repeats) {
            return None;
        }
        let first = if self.up { 0 } else { (self.len() - 1) % count };
        let keys = (first..first + count).map(|place| self.key(place % count));
        Some(Octave::new(keys))
    }

    fn write(&self, octave: &Octave, fingers: &mut [u8]) {
        let is_thumb = |place: usize| octave.has_thumb(self.key(place));
        let first = (0..self.len()).find(|place| is_thumb(*place)).unwrap_or(0);
        let last = self.len() - 1;
        let mut finger = 0;
        for place in 0..self.len() {
            finger = if place < first {
                1 + place
            } else if place == first || is_thumb(place) && place < last {
                0
            } else {
                finger + 1
            };
            fingers[self.moment(place)] = finger as u8;
        }
    }

    /// Semitones: the third finger on black keys, the thumb on white ones, and the second on a
    /// white key just above another (common practice, no source).
    fn chromatic(&self, fingers: &mut [u8]) {
        for place in 0..self.len() {
            let below = place.checked_sub(1).map(|below| self.key(below));
            fingers[self.moment(place)] = match (self.key(place).black, below) {
                (true, _) => 2,
                (false, Some(Key { black: false, .. })) => 1,
                (false, _) => 0,
            };
        }
    }
}

/// The keys of one octave of a passage, and which of them are the thumb's, as bits by semitone.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Octave {
    keys: u16,
    thumbs: u16,
}

fn bit(key: Key) -> u16 {
    1 << key.semitones.rem_euclid(OCTAVE)
}

impl Octave {
    /// From at most twelve keys, rising round the octave from the one that it begins with.
    fn new(keys: impl Iterator<Item = Key>) -> Self {
        let mut all = [Key::default(); OCTAVE as usize];
        let mut count = 0;
        for key in keys.take(all.len()) {
            all[count] = key;
            count += 1;
        }
        let keys = &mut all[..count];
        let white = keys.iter().position(|key| !key.black).unwrap_or(0);
        keys.rotate_left(white);
        Self {
            keys: keys.iter().fold(0, |bits, key| bits | bit(*key)),
            thumbs: Grouping::best(keys).thumbs,
        }
    }

    fn same_keys(&self, other: &Self) -> bool {
        self.keys == other.keys
    }

    fn has_thumb(&self, key: Key) -> bool {
        self.thumbs & bit(key) != 0
    }
}

/// A way of cutting an octave's keys into groups, and why it is better or worse: what is
/// compared first stands first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Grouping {
    black_thumbs: usize,
    groups: usize,
    /// Keys by which groups differ from three, the first weighing most.
    uneven: usize,
    thumbs: u16,
}

impl Grouping {
    /// The best way for keys that begin with a thumb's.
    fn best(keys: &[Key]) -> Self {
        let one = Self {
            black_thumbs: usize::from(keys[0].black),
            groups: 1,
            uneven: keys.len() * keys.len().abs_diff(3),
            thumbs: bit(keys[0]),
        };
        if keys.len() <= LARGEST_GROUP {
            return one;
        }
        let cut = |size: usize| {
            let rest = Self::best(&keys[size..]);
            Self {
                black_thumbs: rest.black_thumbs + one.black_thumbs,
                groups: rest.groups + 1,
                uneven: rest.uneven + keys.len() * size.abs_diff(3),
                thumbs: rest.thumbs | one.thumbs,
            }
        };
        (2..=LARGEST_GROUP.min(keys.len() - 2)).map(cut).min().unwrap_or(one)
    }
}
