//! Scales and arpeggios: runs that go past one position take the fingers of the handbooks, the
//! same in every octave.
//!
//! One rule gives them all, the left hand's seen in the mirror:
//!
//! 1. The octave is counted from the note that the run begins with. The thumb falls on the first
//!    white key of it, or on its first key where all are black.
//! 2. From thumb to thumb lie two to four keys, in as few groups as can be, none beginning on a
//!    black key; a group of three comes before a group of four.
//! 3. Keys before the first thumb take 2, 3, 4 from the outside, and four black ones 1, 2, 3, 4; where the last key is the
//!    thumb's, it takes the finger after that of the key before it.
//! 4. Of the three keys an octave of a triad the third takes 3 where it lies a fifth from the
//!    thumb's, or a minor third with a black key in it from the second; else 4. Where the last key
//!    is the thumb's, it takes 5.
//!
//! Source: J. B. Beringer and T. F. Dunhill, *A Manual of Scales, Arpeggios and Broken Chords
//! for the Pianoforte*, 1900, whose scales and seventh arpeggios come out of it (see
//! `tests/fingering`); the same idea in words in *The Musician*, May 1921. What it gives for
//! runs which are not in those books is the rule's extension, ours: a run that does not repeat
//! its octave is counted from its outermost key.

use super::grips::Grip;
use super::line::{Moment, NONE};
use super::rules::{FINGERS, Lever, OCTAVE};
use super::stretch::run_end;

/// Keys of a run that no position holds. What is shorter is left to the rules.
const SHORTEST: usize = 6;
/// The same for a run towards the thumb's side that does not repeat its octave: a shorter one begins
/// with the finger that what stands before it leaves free.
const SHORTEST_INWARD: usize = 8;
/// Keys from thumb to thumb at most.
const LARGEST_GROUP: usize = 4;
/// Keys at the end of a run that need no more thumb.
const LAST_GROUP: usize = 5;
/// Semitones from key to key up to which a run that does not repeat its octave is a run.
const WIDEST_STEP: i32 = 4;
const FOURTH: i32 = 5;
pub(super) const MINOR_THIRD: i32 = 3;
/// Semitones of the widest third in a chord that is spread under the hand.
pub(super) const MAJOR_THIRD: i32 = 4;
/// The second finger, counted from 0.
const SECOND: usize = 1;

/// Writes the fingers, counted from 0, that the handbooks would give to runs, where nothing is
/// written yet; a run ends before a moment to which the hand `moves`.
pub(super) fn write_runs(moments: &[Moment], moves: &[bool], fingers: &mut [Grip]) {
    let mut before: Option<Octave> = None;
    let mut from = 0;
    while from + 1 < moments.len() {
        let to = run_end(moments, moves, from);
        if to + 1 < from + SHORTEST {
            before = None;
            from = to.max(from + 1);
            continue;
        }
        let up = moments[to].levers[0].semitones > moments[from].levers[0].semitones;
        let run = OneWay { moments: &moments[from..=to], up };
        let fingers = &mut fingers[from..=to];
        before = before.filter(|_| !moments[from].rest && !moves[from]);
        if run.is_chromatic() {
            run.write_chromatic(fingers);
            before = None;
        } else if let Some(octave) = run.octave().filter(|_| !run.begins_black()) {
            // A run that turns back through the same keys keeps their fingers.
            let octave = before.filter(|before| before.levers == octave.levers).unwrap_or(octave);
            let is_triad = octave.levers.count_ones() == 3;
            run.write(|place| octave.has_thumb(run.lever(place)), is_triad, fingers);
            before = Some(octave);
        } else {
            run.write_once(fingers);
            before = None;
        }
        from = to;
    }
}

fn put(place: &mut Grip, finger: usize) {
    if place[0] == NONE {
        place[0] = finger as u8;
    }
}

/// Notes that all rise or all fall.
struct OneWay<'a> {
    moments: &'a [Moment],
    up: bool,
}

impl OneWay<'_> {
    fn len(&self) -> usize {
        self.moments.len()
    }

    /// The moment of the key at a place counted from the lowest.
    fn moment(&self, place: usize) -> usize {
        if self.up { place } else { self.len() - 1 - place }
    }

    fn lever(&self, place: usize) -> Lever {
        self.moments[self.moment(place)].levers[0]
    }

    fn is_chromatic(&self) -> bool {
        let step =
            |place: &usize| self.lever(*place).semitones + 1 == self.lever(place + 1).semitones;
        (0..self.len() - 1).all(|place| step(&place))
    }

    /// The octave that the run repeats, counted from its first note, or `None` where it does not.
    fn octave(&self) -> Option<Octave> {
        let lowest = self.lever(0).semitones;
        let count =
            (1..self.len()).find(|place| self.lever(*place).semitones == lowest + OCTAVE)?;
        let repeats =
            |place| self.lever(place).semitones + OCTAVE == self.lever(place + count).semitones;
        if count < 2 || !(0..self.len() - count).all(repeats) {
            return None;
        }
        let first = if self.up { 0 } else { (self.len() - 1) % count };
        let levers = (first..first + count).map(|place| self.lever(place % count));
        Some(Octave::new(levers))
    }

    fn write(&self, is_thumb: impl Fn(usize) -> bool, is_triad: bool, fingers: &mut [Grip]) {
        let first = (0..self.len()).find(|place| is_thumb(*place)).unwrap_or(0);
        let last = self.len() - 1;
        let mut finger = 0;
        for place in 0..self.len() {
            finger = if place == first || is_thumb(place) && place < last {
                0
            } else if place == 0 {
                SECOND
            } else if is_triad && is_thumb(place) {
                FINGERS - 1
            } else if is_triad && finger == SECOND && self.is_wide(place) {
                finger + 2
            } else {
                finger + 1
            };
            put(&mut fingers[self.moment(place)], finger);
        }
    }

    /// Whether the key at `place`, the third between two thumbs of a triad, is the fourth finger's.
    fn is_wide(&self, place: usize) -> bool {
        // Where there is no next key, the thumb's lies an octave above the last one.
        let mut thumb = self.lever(if place + 1 < self.len() { place + 1 } else { place - 2 });
        if place + 1 == self.len() {
            thumb.semitones += OCTAVE;
        }
        takes_fourth(self.lever(place - 1), self.lever(place), thumb)
    }

    /// A run that does not repeat its octave.
    fn write_once(&self, fingers: &mut [Grip]) {
        let levers: Vec<Lever> = (0..self.len()).map(|place| self.lever(place)).collect();
        let step = |pair: &[Lever]| pair[1].semitones - pair[0].semitones;
        if !self.up && levers.len() < SHORTEST_INWARD {
            return;
        }
        if levers.windows(2).any(|pair| step(pair) > WIDEST_STEP) {
            return;
        }
        let white = levers.iter().take(LARGEST_GROUP).position(|lever| !lever.black).unwrap_or(0);
        let mut thumbs = vec![false; levers.len()];
        let mut place = white;
        for size in groups(&levers[white..], LAST_GROUP) {
            thumbs[place] = true;
            place += size;
        }
        self.write(|place| thumbs[place], false, fingers);
    }

    /// Whether more black keys stand before the first white one than the thumb can pass below: no
    /// finger is left for the last of them unless the thumb begins.
    fn begins_black(&self) -> bool {
        let white = (0..self.len()).position(|place| !self.lever(place).black);
        white.is_some_and(|place| place >= LARGEST_GROUP)
    }

    /// Semitones: the third finger on black keys, the thumb on white ones, and the second on a
    /// white key just above another (common practice, no source).
    fn write_chromatic(&self, fingers: &mut [Grip]) {
        for place in 0..self.len() {
            let below = place.checked_sub(1).map(|below| self.lever(below));
            let finger = match (self.lever(place).black, below) {
                (true, _) => 2,
                (false, Some(Lever { black: false, .. })) => 1,
                (false, _) => 0,
            };
            put(&mut fingers[self.moment(place)], finger);
        }
    }
}

/// Whether the third of three keys of a triad, whose second is the second finger's, is the fourth
/// finger's: it lies less than a fourth below the `next` thumb, so a sixth or more above the thumb
/// before, and is no minor third with a black key in it above the second finger's, which is as
/// narrow as two white keys are wide.
pub(super) fn takes_fourth(second: Lever, third: Lever, next: Lever) -> bool {
    let is_near = third.semitones - second.semitones <= MINOR_THIRD;
    let is_narrow = is_near && (second.black || third.black);
    next.semitones - third.semitones < FOURTH && !is_narrow
}

/// The keys of one octave of a run, and which of them are the thumb's, as bits by semitone.
#[derive(Clone, Copy)]
struct Octave {
    levers: u16,
    thumbs: u16,
}

fn bit(lever: Lever) -> u16 {
    1 << lever.semitones.rem_euclid(OCTAVE)
}

impl Octave {
    /// From the keys, rising round the octave from the one that it begins with.
    fn new(levers: impl Iterator<Item = Lever>) -> Self {
        let mut levers: Vec<Lever> = levers.collect();
        let white = levers.iter().position(|lever| !lever.black).unwrap_or(0);
        levers.rotate_left(white);
        let mut octave = Self { levers: 0, thumbs: 0 };
        octave.levers = levers.iter().fold(0, |bits, lever| bits | bit(*lever));
        let mut place = 0;
        for size in groups(&levers, LARGEST_GROUP) {
            octave.thumbs |= bit(levers[place]);
            place += size;
        }
        octave
    }

    fn has_thumb(&self, lever: Lever) -> bool {
        self.thumbs & bit(lever) != 0
    }
}

/// How good a way of cutting keys into groups is: what is compared first stands first, and less
/// is better.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Grouping {
    black_thumbs: usize,
    groups: usize,
    /// Keys by which groups differ from three, an earlier group weighing more.
    uneven: usize,
    /// Keys of the first group.
    first: usize,
}

/// The sizes of the groups that keys are best cut into, each beginning with a thumb's key; the
/// last is of at most `last` keys.
fn groups(levers: &[Lever], last: usize) -> Vec<usize> {
    // The best way for the keys from each place on.
    let mut best: Vec<Grouping> = Vec::with_capacity(levers.len());
    for (count, lever) in (1..).zip(levers.iter().rev()) {
        let black_thumbs = usize::from(lever.black);
        let whole = Grouping { black_thumbs, groups: 1, uneven: 0, first: count };
        let cut = |first: usize| {
            let rest = best[count - first - 1];
            Grouping {
                black_thumbs: black_thumbs + rest.black_thumbs,
                groups: 1 + rest.groups,
                uneven: count * first.abs_diff(3) + rest.uneven,
                first,
            }
        };
        let cuts = (2..=LARGEST_GROUP).filter(|first| *first < count).map(cut);
        best.push(cuts.chain((count <= last).then_some(whole)).min().unwrap_or(whole));
    }
    let mut sizes = Vec::new();
    let mut left = levers.len();
    while left > 0 {
        let first = best[left - 1].first;
        sizes.push(first);
        left -= first;
    }
    sizes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::Hand;
    use crate::theory::{Key, Pitch};

    fn sizes(key: &str, degrees: std::ops::Range<i32>, last: usize) -> Vec<usize> {
        let scale = key.parse::<Key>().expect("a key").scale();
        let tonic = Pitch::new(scale.tonic, 4);
        let levers: Vec<Lever> =
            degrees.map(|d| Lever::of(Hand::Right, tonic.up(scale.interval(d)))).collect();
        groups(&levers, last)
    }

    #[test]
    fn three_come_before_four_unless_a_thumb_would_be_black() {
        assert_eq!(sizes("C", 1..8, LARGEST_GROUP), [3, 4]);
        assert_eq!(sizes("F", 1..8, LARGEST_GROUP), [4, 3]);
        assert_eq!(sizes("C", 1..7, LAST_GROUP), [3, 3]);
        assert_eq!(sizes("Eb", 2..7, LAST_GROUP), [5]);
    }

    #[test]
    fn no_cut_leaves_keys_over() {
        for count in 1..40 {
            for last in [LARGEST_GROUP, LAST_GROUP] {
                let sizes = sizes("C", 1..1 + count, last);
                assert_eq!(sizes.iter().sum::<usize>(), count as usize);
                assert!(sizes.iter().all(|size| *size <= last), "{sizes:?}");
            }
        }
    }
}
