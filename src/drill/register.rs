//! Which octave: where a drill lies best on the keyboard and on the staves, by one rule for all
//! its keys.

use std::collections::BTreeMap;

use super::clefs::{ClefPlan, ClefPlans, ReadingCost};
use super::legible::HandSounds;
use super::sketch::DrillSketch;
use super::struck::StruckSound;
use super::template::Template;
use super::thin::{self, TOLERATED_UNDERCUT};
use crate::score::{ByHand, Clef, Hand, LeftOut, QUARTER};
use crate::theory::{Interval, Key, NoteName, Pitch};

/// Where the hands lie: the tonic that each counts its intervals from.
pub(super) type Register = ByHand<Pitch>;

/// How a drill lies in all its keys.
#[derive(Clone, Debug)]
pub(super) struct Lie {
    /// The lowest tonic of each hand, as a MIDI number: those of all keys lie within the octave
    /// above it, so that the round goes up a fourth or down a fifth from key to key. They are
    /// whole octaves apart, so that the hands keep one distance, unless the left hand has a line.
    lowest: ByHand<i32>,
    clefs: ByHand<Vec<ClefPlan>>,
}

// Costs of a register, in the mean of all keys. Unit: 1.0 = half the square of how many semitones
// it lies away from the middle of the left hand's range.
/// A semitone that a chord lies below the low-interval limits, within what solo piano allows
/// itself.
const COST_UNDERCUT: f64 = 0.25;
/// A semitone below them beyond that.
const COST_MUDDY: f64 = 20.0;
/// A semitone below what is tolerated at all: where any other octave serves, nobody lies there.
const COST_THICK: f64 = 400.0;
/// A note that a chord does without because it lies low: its third, which tells its kind, or
/// another one.
const COST_YIELD: [f64; 2] = [2.2, 0.5];
/// Two hands on one key, or crossing: no one plays it.
const COST_COLLISION: f64 = 1e6;
/// The square of how many semitones a chord of the right hand lies below its range.
const COST_DEEP: f64 = 4.0;
/// Where the range of the right hand begins, as a MIDI number: G3, two ledger lines below its
/// staff (ours).
const RIGHT_HAND_FROM: i32 = 55;
/// The square of how many semitones a chord of the right hand, or a line over a chord, lies above
/// its range.
const COST_HIGH: f64 = 2.5;
/// Where the range of the right hand ends, as a MIDI number: C6, two ledger lines above its staff
/// (ours).
const RIGHT_HAND_TO: i32 = 84;
/// A semitone of a bass line beyond its range, on a chord.
const COST_BEYOND_BASS: f64 = 400.0;
/// Where the range of a bass begins, as a MIDI number: G1, three ledger lines below its staff (ours).
const BASS_FROM: i32 = 31;
/// Where the range of a bass ends, as a MIDI number: G3, the open first string of a double bass
/// and an octave (ours, after bass players: what they play above it is a solo).
const BASS_TO: i32 = 55;
/// Weight of the clef plans' own cost.
const COST_READING: f64 = 0.5;

/// Where the lowest notes of the left hand's chords lie best on the average, in MIDI numbers: with
/// chords on every degree of a scale, where the tonics range from G♭2 to F3; with rootless
/// voicings, in the middle of C3 to B3 (ours).
const MIDDLE_OF_BOTTOMS: f64 = 51.5;

/// The same for the lines of a bass, walking or in two: their lowest notes over each chord lie in the
/// octave where a double bass has them written an octave up, E2 to E3 (ours).
const MIDDLE_OF_BASSES: f64 = 44.0;

/// The same for roots and fifths alone under the chords of the right hand, which are no line and sound
/// best well below them: about E2 on the average (ours).
const MIDDLE_OF_ROOTS: f64 = 40.0;

/// The same for a line that the left hand has while the right one holds the chords: broken chords, whose
/// single notes are clear where a grabbed chord is not, in the bass staff, so that the lowest of them are
/// a fourth or a fifth below those of grabbed ones (ours).
const MIDDLE_OF_LINES: f64 = 47.0;

/// The same for a melody that the left hand doubles below block chords: the chords then lie in the
/// staff of the right hand and the melody in the octaves where it is sung (ours).
const MIDDLE_OF_MELODIES: f64 = 63.0;

/// Where what the right hand plays over a bass lies best, in the middle of its chords and on the average: A4,
/// in the staff (ours).
const MIDDLE_OVER_BASSES: f64 = 69.0;

/// Octaves that the right hand counts its intervals above the left, at the most.
const MOST_OCTAVES_APART: i32 = 3;

/// Semitones of an octave.
const OCTAVE: i32 = 12;

/// The lowest tonics of the left hand that are tried, in MIDI numbers.
const LOWEST_TONICS: std::ops::RangeInclusive<i32> = 24..=72;

impl Lie {
    /// How a drill with this sketch lies best in the keys of its mode.
    pub(super) fn of(template: &Template, sketch: &DrillSketch) -> Self {
        let tonics: Vec<NoteName> = Key::all(template.mode).map(Key::tonic).collect();
        let phrases = template.phrase_starts();
        let mut reading = ByHand::each(|hand| {
            let line = &sketch.lines[hand];
            let sounds = HandSounds::new((template.metre, &phrases), hand.usual_clef(), line);
            let is_melody = hand == Hand::Left
                && line.iter().all(|sound| sketch.chords[sound.chord].laid.is_melody_doubled());
            ReadingCost::new(if is_melody { sounds.in_either_clef() } else { sounds })
        });
        let middle = middle(sketch);
        // Twelve tonics lie as far from the middle as the mean of them does, and a constant.
        let from_middle = |lowest: i32| (f64::from(lowest) + 5.5 - middle).powi(2) / 2.0;
        let mut windows: Vec<(f64, i32)> =
            LOWEST_TONICS.map(|lowest| (from_middle(lowest), lowest)).collect();
        windows.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut lows: BTreeMap<i32, f64> = BTreeMap::new();
        let mut low = |tonic: i32| *lows.entry(tonic).or_insert_with(|| low_cost(tonic, sketch));
        let apart = apart(sketch);
        let right = RightHand::of(sketch);
        let mut reaches: BTreeMap<i32, f64> = BTreeMap::new();
        let weight = COST_READING / tonics.len() as f64;
        let mut best: Option<(f64, Self)> = None;
        for (distance, lowest) in windows {
            let is_beaten = |cost: f64| best.as_ref().is_some_and(|(least, _)| cost >= *least);
            // What lies further from the middle than the best one costs, costs more.
            if is_beaten(distance) {
                break;
            }
            let base = distance + (lowest..lowest + 12).map(&mut low).sum::<f64>() / 12.0;
            let own = steps(&tonics, lowest);
            let left_at_least = weight * reading.left.at_least(&own);
            if is_beaten(base + left_at_least) {
                continue;
            }
            let mut left = None;
            for (apart, collisions) in &apart {
                let first = lowest + apart;
                let mut reach = |tonic| *reaches.entry(tonic).or_insert_with(|| right.cost(tonic));
                let reach = (first..first + 12).map(&mut reach).sum::<f64>() / 12.0;
                let base = base + collisions + reach;
                let above = steps(&tonics, first);
                let is_beaten = |cost: f64| best.as_ref().is_some_and(|(least, _)| cost >= *least);
                if is_beaten(base + left_at_least)
                    || is_beaten(base + left_at_least + weight * reading.right.at_least(&above))
                {
                    continue;
                }
                let left = left.get_or_insert_with(|| reading.left.plans(&own));
                let right = reading.right.plans(&above);
                let cost = base + weight * (left.cost + right.cost);
                if !is_beaten(cost) {
                    let clefs = ByHand { right, left: left.clone() };
                    let clefs = clefs.map(|ClefPlans { plans, .. }| plans);
                    let lowest = ByHand { right: first, left: lowest };
                    best = Some((cost, Self { lowest, clefs }));
                }
            }
        }
        best.map(|(_, lie)| lie).expect("the first window is never beaten")
    }

    /// The octave of each hand in a key.
    pub(super) fn register(&self, key: Key) -> Register {
        ByHand::each(|hand| lowest_from(key.tonic(), self.lowest[hand]))
    }

    /// The clef of each sound of a hand whose tonic this is.
    pub(super) fn clefs(&self, hand: Hand, tonic: Pitch) -> &[Clef] {
        let plans = &self.clefs[hand];
        let step = tonic.staff_step();
        let plan = plans.iter().find(|plan| step <= plan.highest).or(plans.last());
        plan.map_or(&[], |plan| &plan.clefs)
    }
}

/// The lowest pitch of a name from a MIDI number upward.
fn lowest_from(name: NoteName, lowest: i32) -> Pitch {
    let octave = (lowest - Pitch::new(name, 0).midi()).div_euclid(12);
    let pitch = Pitch::new(name, octave);
    if pitch.midi() < lowest { Pitch::new(name, octave + 1) } else { pitch }
}

/// The staff steps that tonics stand on from a MIDI number upward, in order, each with how many
/// do.
fn steps(tonics: &[NoteName], lowest: i32) -> Vec<(i32, usize)> {
    let mut steps: Vec<i32> =
        tonics.iter().map(|tonic| lowest_from(*tonic, lowest).staff_step()).collect();
    steps.sort_unstable();
    steps.chunk_by(|a, b| a == b).map(|same| (same[0], same.len())).collect()
}

/// Whether a sound is more than a bass note, or one with its octave.
fn is_grabbed(sound: &StruckSound) -> bool {
    let is_octave = |pair: &[Interval]| (pair[1].semitones - pair[0].semitones).rem_euclid(12) == 0;
    sound.intervals.windows(2).any(|pair| !is_octave(pair))
}

/// The tonic on which the lowest notes of the left hand's chords lie best on the average, as a MIDI
/// number, whether the chords are grabbed or broken; a single bass note says nothing of where the
/// hand lies, unless there is nothing else.
fn middle(sketch: &DrillSketch) -> f64 {
    let chords = sketch.lines.left.chunk_by(|a, b| a.chord == b.chord);
    let best = chords.filter_map(|own| {
        let has_bass = own.first().is_some_and(|sound| sketch.chords[sound.chord].has_bass);
        // Where bass and chord take turns, the chord tells.
        let takes_turns = has_bass && own.iter().any(is_grabbed);
        let telling = own.iter().filter(|sound| !takes_turns || is_grabbed(sound));
        let notes = telling.flat_map(|sound| &sound.intervals);
        let lowest = notes.clone().map(|note| note.semitones).min()?;
        let is_chord = notes.map(|note| note.semitones).any(|note| note != lowest);
        let is_bass = has_bass && !takes_turns;
        let is_melody =
            own.first().is_some_and(|sound| sketch.chords[sound.chord].laid.is_melody_doubled());
        let is_under_right =
            own.first().is_some_and(|sound| sketch.chords[sound.chord].held_by == Hand::Right);
        let best = match () {
            () if is_bass && is_under_right => MIDDLE_OF_ROOTS,
            () if is_bass => MIDDLE_OF_BASSES,
            () if is_melody => MIDDLE_OF_MELODIES,
            () if is_line(sketch, own) => MIDDLE_OF_LINES,
            () => MIDDLE_OF_BOTTOMS,
        };
        Some((best - f64::from(lowest), is_chord))
    });
    let best: Vec<(f64, bool)> = best.collect();
    let are_single = best.iter().all(|(_, is_chord)| !is_chord);
    let counted = best.iter().filter(|(_, is_chord)| are_single || *is_chord);
    let (sum, count) = counted.fold((0.0, 0), |(sum, count), (best, _)| (sum + best, count + 1));
    if count == 0 { MIDDLE_OF_BOTTOMS } else { sum / f64::from(count) }
}

/// What it costs that left-hand chords lie low, or a bass high, where the tonic has a MIDI number;
/// strokes of one chord count as one.
fn low_cost(tonic: i32, sketch: &DrillSketch) -> f64 {
    let chords = sketch.lines.left.chunk_by(|a, b| a.chord == b.chord);
    let each = chords.map(|own| {
        let costs = own.iter().map(|sound| {
            let thinner = thin::thinner(sketch, tonic, sound);
            let yields = thinner
                .as_ref()
                .map_or(0.0, |(left_out, _)| COST_YIELD[usize::from(*left_out != LeftOut::Third)]);
            let rest = thinner.as_ref().map_or(sound, |(_, rest)| rest);
            let undercut = thin::undercut(tonic, rest);
            let muddy = (undercut - TOLERATED_UNDERCUT).max(0);
            let thick = thin::intolerable(tonic, rest);
            yields
                + COST_THICK * f64::from(thick)
                + COST_UNDERCUT * f64::from(undercut)
                + COST_MUDDY * f64::from(muddy)
        });
        let beyond = outer(own).map_or(0, |[low, high]| {
            let below = if sketch.has_bass_line { (BASS_FROM - tonic - low).max(0) } else { 0 };
            (tonic + high - BASS_TO).max(0) + below
        });
        let bass = if is_bass(sketch, own) { COST_BEYOND_BASS * f64::from(beyond) } else { 0.0 };
        costs.fold(0.0, f64::max) + bass
    });
    each.sum()
}

/// What the right hand's octave is judged by.
struct RightHand {
    /// The lowest and the highest note of each chord, or line over a chord, in semitones above the
    /// tonic.
    outer: Vec<[i32; 2]>,
    /// Whether it takes its octave by itself.
    is_free: bool,
}

impl RightHand {
    fn of(sketch: &DrillSketch) -> Self {
        let chords = sketch.lines.right.chunk_by(|a, b| a.chord == b.chord);
        let outer = chords.filter_map(outer).collect();
        Self { outer, is_free: is_bass_throughout(sketch) || is_line_throughout(sketch) }
    }

    /// What it costs where the tonic that it counts from has a MIDI number.
    fn cost(&self, tonic: i32) -> f64 {
        let each = self.outer.iter().map(|[low, high]| {
            let deep = (RIGHT_HAND_FROM - tonic - low).max(0).pow(2);
            let over = (tonic + high - RIGHT_HAND_TO).max(0).pow(2);
            COST_DEEP * f64::from(deep) + COST_HIGH * f64::from(over)
        });
        let beyond = each.sum::<f64>();
        if !self.is_free || self.outer.is_empty() {
            return beyond;
        }
        let middles = self.outer.iter().map(|[low, high]| f64::from(low + high) / 2.0);
        let middle = middles.sum::<f64>() / self.outer.len() as f64;
        beyond + (f64::from(tonic) + middle - MIDDLE_OVER_BASSES).powi(2) / 2.0
    }
}

/// The lowest and the highest note of some sounds, in semitones above the tonic.
fn outer(own: &[StruckSound]) -> Option<[i32; 2]> {
    let notes = || own.iter().flat_map(|sound| &sound.intervals).map(|note| note.semitones);
    Some([notes().min()?, notes().max()?])
}

/// Whether sounds over a chord are a bass: one note at a time, or octaves, within an octave and no
/// shorter than quarters; a broken chord is none.
fn is_bass(sketch: &DrillSketch, own: &[StruckSound]) -> bool {
    let has_bass = own.first().is_some_and(|sound| sketch.chords[sound.chord].has_bass);
    let is_slow = |sound: &StruckSound| sound.end - sound.at >= QUARTER;
    let is_near = outer(own).is_some_and(|[low, high]| high - low <= OCTAVE);
    has_bass && is_near && own.iter().all(|sound| is_slow(sound) && !is_grabbed(sound))
}

/// Whether the left hand has nothing but a bass.
fn is_bass_throughout(sketch: &DrillSketch) -> bool {
    let left = &sketch.lines.left;
    !left.is_empty() && left.chunk_by(|a, b| a.chord == b.chord).all(|own| is_bass(sketch, own))
}

/// Whether the left hand has sounds as a line over a chord that the right one holds: one note at a time,
/// and no bass.
fn is_line(sketch: &DrillSketch, own: &[StruckSound]) -> bool {
    let held_by_right =
        own.first().is_some_and(|sound| sketch.chords[sound.chord].held_by == Hand::Right);
    let is_single = |sound: &StruckSound| sound.intervals.len() == 1;
    held_by_right && own.len() > 1 && own.iter().all(is_single) && !is_bass(sketch, own)
}

/// Whether the left hand has a line, and holds a chord at the end at the most.
fn is_line_throughout(sketch: &DrillSketch) -> bool {
    let chords: Vec<&[StruckSound]> =
        sketch.lines.left.chunk_by(|a, b| a.chord == b.chord).collect();
    let before = chords.split_last().map_or(&[][..], |(_, before)| before);
    !before.is_empty() && before.iter().all(|own| is_line(sketch, own))
}

/// By how many semitones the right hand's lowest tonic may lie above the left hand's, each with what
/// it costs where the hands meet: whole octaves, so that the hands keep one distance in all keys, and one
/// octave where a voicing lies in both. Where the left hand has a line, which is not heard as the lower
/// part of a chord, the right one may be an octave further away in the lower keys.
fn apart(sketch: &DrillSketch) -> Vec<(i32, f64)> {
    let clearances = clearances(sketch);
    let whole = |octaves: i32| {
        let meet = clearances.iter().filter(|clearance| **clearance + OCTAVE * octaves <= 0);
        (OCTAVE * octaves, COST_COLLISION * meet.count() as f64)
    };
    if sketch.is_two_handed {
        return vec![whole(1)];
    }
    if is_line_throughout(sketch) {
        let between = |apart: i32| (apart, whole(apart / OCTAVE).1);
        return (0..=MOST_OCTAVES_APART * OCTAVE).map(between).collect();
    }
    (0..=MOST_OCTAVES_APART).map(whole).collect()
}

/// Whether a sound lies further below its limits than solo piano allows itself.
pub(super) fn is_thick(tonic: Pitch, sound: &StruckSound) -> bool {
    thin::undercut(tonic.midi(), sound) > TOLERATED_UNDERCUT
}

/// How many semitones the right hand is above the left in each pair of sounds that meet in time,
/// where both count from one tonic.
fn clearances(sketch: &DrillSketch) -> Vec<i32> {
    let (right, left) = (&sketch.lines.right, &sketch.lines.left);
    fn semitones(sound: &StruckSound) -> impl Iterator<Item = i32> {
        sound.intervals.iter().map(|note| note.semitones)
    }
    let mut first = 0;
    let mut found = Vec::new();
    for upper in right {
        // Both lines are in order: what has ended meets nothing that comes later.
        first += left[first..].iter().take_while(|lower| lower.end <= upper.at).count();
        let near = left[first..].iter().take_while(|lower| lower.at < upper.end);
        let bottom = semitones(upper).min().unwrap_or(0);
        found.extend(near.map(|lower| bottom - semitones(lower).max().unwrap_or(0)));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::library;

    /// E6, above which a right hand has three ledger lines and more, and F3, the lowest note of one
    /// within three; the lowest of a left hand within three is G1.
    const HIGH: i32 = 88;
    const LOWEST: ByHand<i32> = ByHand { right: 53, left: 31 };

    fn lowest_of(line: &[StruckSound]) -> i32 {
        outer(line).map_or(0, |[low, _]| low)
    }

    /// Whether the drill in a key cannot lie on these tonics: a chord would be thick, or a note need
    /// more ledger lines than a student reads.
    fn is_too_low(sketch: &DrillSketch, tonics: &ByHand<i32>) -> bool {
        let is_thick = |sound: &StruckSound| {
            let thinner = thin::thinner(sketch, tonics.left, sound).map(|(_, rest)| rest);
            let rest = thinner.as_ref().unwrap_or(sound);
            thin::intolerable(tonics.left, rest) > 0
        };
        let is_below = |hand: Hand| tonics[hand] + lowest_of(&sketch.lines[hand]) < LOWEST[hand];
        is_below(Hand::Right) || is_below(Hand::Left) || sketch.lines.left.iter().any(is_thick)
    }

    /// A right hand lies above E6 in some key only where that key cannot come down an octave with
    /// both hands, nor the right hand alone, because the hands would meet.
    #[test]
    fn a_right_hand_is_high_only_where_it_cannot_come_down() {
        let mut high = 0;
        for (name, text) in library::all() {
            let template = Template::parse(text, name).unwrap();
            let sketch = DrillSketch::of(&template);
            let lie = Lie::of(&template, &sketch);
            let top = outer(&sketch.lines.right).map_or(0, |[_, high]| high);
            if lie.lowest.right + OCTAVE - 1 + top <= HIGH {
                continue;
            }
            high += 1;
            let next = ByHand::each(|hand| lie.lowest[hand] - 1);
            assert!(is_too_low(&sketch, &next), "{name} lies well on {next:?}");
            let nearer = lie.lowest.right - lie.lowest.left - OCTAVE;
            let meets = clearances(&sketch).iter().any(|clearance| clearance + nearer <= 0);
            let deep = nearer + lie.lowest.left + lowest_of(&sketch.lines.right);
            assert!(meets || deep < RIGHT_HAND_FROM, "{name}: the right hand can come down");
        }
        println!("{high} drills have a right hand above E6");
    }
}
