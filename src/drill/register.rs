//! Which octave: where a key's drill lies best on the keyboard and on the staves.

use super::sketch::{Sketch, Sound};
use crate::score::{ByHand, Clef, Metre, QUARTER, Ticks};
use crate::theory::{Key, Pitch};

/// Where the hands lie: the tonic that each counts its intervals from.
pub(super) type Register = ByHand<Pitch>;

// Costs of a register. Unit: 1.0 = one semitone away from the middle of the left hand's range.
/// A semitone below the low-interval limits, within what solo piano allows itself.
const COST_UNDERCUT: f64 = 0.5;
/// A semitone below them beyond that.
const COST_MUDDY: f64 = 20.0;
/// How far solo-piano practice goes below the limits, which "may be adjusted downward".
const TOLERATED_UNDERCUT: i32 = 2;
/// Two hands on one key, or crossing: no one plays it.
const COST_COLLISION: f64 = 1e6;
/// A note past three ledger lines in the best clef.
const COST_FAR_OFF: f64 = 60.0;
/// Weight of the clef plan's own cost.
const COST_READING: f64 = 0.2;

/// Where the lowest notes of the left hand lie best on the average, in MIDI numbers: with
/// chords on every degree of a scale, where the tonics range from A♭2 to G3; with rootless
/// voicings, in the middle of D3 to C4.
const MIDDLE_OF_BOTTOMS: f64 = 55.4;

/// The lowest bottom note, in MIDI numbers, at which an interval of so many semitones still
/// sounds clear; index 1 is the minor second.
///
/// Source: low-interval limits as printed in arranging handbooks (Lowell & Pullig, *Arranging
/// for Large Jazz Ensemble*, 2003, and others); where they differ the value of the majority;
/// the ninths and tenths from memory.
const LOW_INTERVAL_LIMITS: [i32; 17] =
    [0, 52, 51, 48, 46, 46, 47, 34, 41, 41, 41, 41, 0, 40, 39, 36, 34];

/// The octave of each hand in which the drill lies best.
pub(super) fn choose(key: Key, metre: Metre, sketch: &Sketch) -> Register {
    let apart = if sketch.is_two_handed { 1..=1 } else { 0..=3 };
    let candidates = (0..=5).flat_map(|octave| {
        apart.clone().map(move |above| Register {
            left: Pitch::new(key.tonic(), octave),
            right: Pitch::new(key.tonic(), octave + above),
        })
    });
    let mut candidates: Vec<Register> = candidates.collect();
    let middle = MIDDLE_OF_BOTTOMS - mean_bottom(&sketch.lines.left);
    let from_middle = |register: &Register| (f64::from(register.left.midi()) - middle).abs();
    candidates.sort_by(|a, b| from_middle(a).total_cmp(&from_middle(b)));
    let mut hands =
        ByHand::each(|hand| InOctaves::new(key, metre, hand.usual_clef(), &sketch.lines[hand]));
    let mut best = (f64::INFINITY, candidates[0]);
    for register in candidates {
        // What lies further from the middle than the best one costs, costs more.
        if from_middle(&register) >= best.0 {
            break;
        }
        let distance = from_middle(&register);
        let cost = distance + cost(register, sketch, &mut hands, best.0 - distance);
        if cost < best.0 {
            best = (cost, register);
        }
    }
    best.1
}

/// A hand's line in the octaves that have been looked at.
struct InOctaves<'a> {
    key: Key,
    metre: Metre,
    usual: Clef,
    line: &'a [Sound],
    known: Vec<InOctave>,
}

/// A hand's line in one octave.
struct InOctave {
    octave: i32,
    line: Vec<Pitched>,
    /// What it costs to read.
    reading: f64,
}

impl<'a> InOctaves<'a> {
    fn new(key: Key, metre: Metre, usual: Clef, line: &'a [Sound]) -> Self {
        Self { key, metre, usual, line, known: Vec::new() }
    }

    fn of(&mut self, octave: i32) -> &InOctave {
        let known = self.known.iter().position(|known| known.octave == octave);
        let place = known.unwrap_or_else(|| {
            let line = pitched(Pitch::new(self.key.tonic(), octave), self.line);
            let plan = plan_clefs(self.metre, self.usual, &line);
            let lines_past_three = line
                .iter()
                .zip(&plan.clefs)
                .map(|(sound, clef)| (most_ledger_lines(*clef, sound) - MOST_LEDGER_LINES).max(0));
            let far_off = COST_FAR_OFF * f64::from(lines_past_three.sum::<i32>());
            self.known.push(InOctave { octave, line, reading: COST_READING * plan.cost + far_off });
            self.known.len() - 1
        });
        &self.known[place]
    }
}

/// How far above the tonic the lowest notes of a line lie on the average, in semitones.
fn mean_bottom(line: &[Sound]) -> f64 {
    let bottoms = line.iter().filter_map(|sound| sound.intervals.first());
    let sum: i32 = bottoms.map(|interval| interval.semitones).sum();
    f64::from(sum) / line.len().max(1) as f64
}

/// What a register costs beside its distance from the middle, or some part of it that comes to
/// `most` already.
fn cost(register: Register, sketch: &Sketch, hands: &mut ByHand<InOctaves<'_>>, most: f64) -> f64 {
    let mut total = 0.0;
    for sound in &sketch.lines.left {
        let undercut = undercut(register.left, sound);
        total += COST_UNDERCUT * f64::from(undercut);
        total += COST_MUDDY * f64::from((undercut - TOLERATED_UNDERCUT).max(0));
    }
    if total >= most {
        return total;
    }
    let right = hands.right.of(register.right.octave);
    let left = hands.left.of(register.left.octave);
    let collisions = collisions(&right.line, &left.line);
    total + COST_COLLISION * collisions as f64 + right.reading + left.reading
}

/// A sound at its pitch: its moment, its end, its lowest and its highest note.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pitched {
    at: Ticks,
    end: Ticks,
    lowest: Pitch,
    highest: Pitch,
}

impl Pitched {
    /// Whether it has the outer notes of another.
    fn sounds_like(&self, other: &Self) -> bool {
        (self.lowest, self.highest) == (other.lowest, other.highest)
    }
}

/// Whether two neighbouring sounds are short enough to share a beam, and follow without a rest.
fn is_beamed(pair: &[Pitched]) -> bool {
    let is_short = |sound: &Pitched| sound.end - sound.at <= QUARTER / 2;
    pair.iter().all(is_short) && pair[0].end == pair[1].at
}

/// The pitches of each sound from a tonic.
fn pitched(tonic: Pitch, line: &[Sound]) -> Vec<Pitched> {
    line.iter()
        .map(|sound| {
            let lowest = sound.intervals.first().map_or(tonic, |interval| tonic.up(*interval));
            let highest = sound.intervals.last().map_or(tonic, |interval| tonic.up(*interval));
            Pitched { at: sound.at, end: sound.end, lowest, highest }
        })
        .collect()
}

/// How many semitones the muddiest pair of notes lies below its low-interval limit.
pub(super) fn undercut(tonic: Pitch, sound: &Sound) -> i32 {
    let mut worst = 0;
    for (index, low) in sound.intervals.iter().enumerate() {
        for high in &sound.intervals[index + 1..] {
            let span = (high.semitones - low.semitones).unsigned_abs() as usize;
            let limit = LOW_INTERVAL_LIMITS.get(span).copied().unwrap_or(0);
            worst = worst.max(limit - tonic.midi() - low.semitones);
        }
    }
    worst
}

/// Whether a sound lies further below its limits than solo piano allows itself.
pub(super) fn is_thick(tonic: Pitch, sound: &Sound) -> bool {
    undercut(tonic, sound) > TOLERATED_UNDERCUT
}

/// How many pairs of sounds have the hands on one key or crossed.
fn collisions(right: &[Pitched], left: &[Pitched]) -> usize {
    let meets = |upper: &Pitched, lower: &Pitched| {
        let together = upper.at < lower.end && lower.at < upper.end;
        together && upper.lowest.midi() <= lower.highest.midi()
    };
    let mut first = 0;
    let mut found = 0;
    for upper in right {
        // Both lines are in order: what has ended meets nothing that comes later.
        first += left[first..].iter().take_while(|lower| lower.end <= upper.at).count();
        let near = left[first..].iter().take_while(|lower| lower.at < upper.end);
        found += near.filter(|lower| meets(upper, lower)).count();
    }
    found
}

/// A clef for each sound of a line, and what reading it costs.
#[derive(Clone, Debug)]
pub(super) struct ClefPlan {
    pub(super) clefs: Vec<Clef>,
    pub(super) cost: f64,
}

/// Ledger lines that a student may be asked to read.
///
/// Source: single notes are read reliably within three (Frontiers in Psychology 9:2192, 2018).
pub const MOST_LEDGER_LINES: i32 = 3;

// Costs of a clef plan. Unit: 1.0 = one ledger line on one chord.
const COST_LEDGER_LINES: [f64; 4] = [0.0, 1.0, 3.0, 5.0];
/// Each ledger line past the third: only where no clef avoids it.
const COST_TOO_FAR: f64 = 400.0;
/// A change of clef at a barline.
const COST_CHANGE_AT_BARLINE: f64 = 10.0;
/// A change of clef inside a bar.
const COST_CHANGE_IN_BAR: f64 = 12.0;
/// A change of clef inside a group of notes that the eye takes in as one.
const COST_CHANGE_IN_GROUP: f64 = 40.0;
/// A change of clef between two strokes of one chord, or before the last of all.
const COST_CHANGE_FOR_NOTHING: f64 = 60.0;
/// A line that lies in the other hand's clef from the beginning: dearer than a few ledger
/// lines, cheaper than going to and fro between clefs.
const COST_UNUSUAL_OPENING: f64 = 19.0;
/// A line that ends in another clef than it began: it is played again from the start.
const COST_NO_RETURN: f64 = 15.0;

/// Ledger lines that the outer notes of a sound need, and with them all others.
fn most_ledger_lines(clef: Clef, sound: &Pitched) -> i32 {
    clef.ledger_lines(sound.lowest).max(clef.ledger_lines(sound.highest))
}

fn reading_cost(clef: Clef, sound: &Pitched) -> f64 {
    let lines = most_ledger_lines(clef, sound);
    match COST_LEDGER_LINES.get(lines as usize) {
        Some(cost) => *cost,
        None => COST_TOO_FAR * f64::from(lines - MOST_LEDGER_LINES),
    }
}

/// The cheapest clef for each sound: few ledger lines, few changes, changes at barlines where
/// they can be. Each sound keeps one clef, so no tie runs across a change.
pub(super) fn plan_clefs(metre: Metre, usual: Clef, line: &[Pitched]) -> ClefPlan {
    let reading: Vec<[f64; 2]> =
        line.iter().map(|sound| CLEFS.map(|clef| reading_cost(clef, sound))).collect();
    let plan = |opening: Clef| {
        let opening_cost = if opening == usual { 0.0 } else { COST_UNUSUAL_OPENING };
        let plan = cheapest_from(opening, metre, line, &reading);
        ClefPlan { cost: plan.cost + opening_cost, ..plan }
    };
    let other = if usual == Clef::Treble { Clef::Bass } else { Clef::Treble };
    let (usual, other) = (plan(usual), plan(other));
    if other.cost < usual.cost { other } else { usual }
}

const CLEFS: [Clef; 2] = [Clef::Treble, Clef::Bass];

/// The cheapest plan that opens in a clef, by dynamic programming over the two clefs; `reading`
/// is what it costs to read each sound in each of them.
fn cheapest_from(opening: Clef, metre: Metre, line: &[Pitched], reading: &[[f64; 2]]) -> ClefPlan {
    let mut costs = CLEFS.map(|clef| if clef == opening { 0.0 } else { f64::INFINITY });
    let mut came_from: Vec<[usize; 2]> = Vec::with_capacity(line.len());
    for (index, (sound, reading)) in line.iter().zip(reading).enumerate() {
        let in_bar = sound.at.rem_euclid(metre.bar());
        let change = match index {
            0 => f64::INFINITY,
            _ if index + 1 == line.len() || sound.sounds_like(&line[index - 1]) => {
                COST_CHANGE_FOR_NOTHING
            }
            _ if in_bar == 0 => COST_CHANGE_AT_BARLINE,
            _ if in_bar == metre.group_of(in_bar).0 || !is_beamed(&line[index - 1..=index]) => {
                COST_CHANGE_IN_BAR
            }
            _ => COST_CHANGE_IN_GROUP,
        };
        let from = [0, 1].map(|now: usize| {
            // Of two equal plans the later change: up to it the hand reads the clef it knows.
            if costs[now] < costs[1 - now] + change { now } else { 1 - now }
        });
        costs = [0, 1].map(|now: usize| {
            let arrived = costs[now].min(costs[1 - now] + change);
            arrived + reading[now]
        });
        came_from.push(from);
    }
    let ending = [0, 1]
        .map(|row: usize| costs[row] + if CLEFS[row] == opening { 0.0 } else { COST_NO_RETURN });
    let mut row = usize::from(ending[1] < ending[0]);
    let cost = ending[row];
    let mut clefs = Vec::with_capacity(line.len());
    for from in came_from.iter().rev() {
        clefs.push(CLEFS[row]);
        row = from[row];
    }
    clefs.reverse();
    ClefPlan { clefs, cost }
}

/// The clef plan of a line in a register.
pub(super) fn clefs_of(metre: Metre, usual: Clef, tonic: Pitch, line: &[Sound]) -> ClefPlan {
    plan_clefs(metre, usual, &pitched(tonic, line))
}
