//! Legibility: what it costs to read the sounds of a line in either clef, and to change between
//! them.

use std::ops::Range;

use super::struck::StruckSound;
use crate::score::{Clef, Metre, QUARTER, Ticks};

/// Ledger lines that a student may be asked to read.
///
/// Source: single notes are read reliably within three (Frontiers in Psychology 9:2192, 2018).
pub const MOST_LEDGER_LINES: i32 = 3;

/// Ledger lines that face the staff of a hand's own clef, where that clef would take the chord
/// with fewer: a chord hangs there (ours).
const LEDGER_LINES_TO_HANG: i32 = 3;

// Costs of a clef plan. Unit: 1.0 = one ledger line on one chord in one key.
const COST_LEDGER_LINES: [f64; 4] = [0.0, 1.0, 3.0, 6.0];
/// Each ledger line past the third: only where a clef would last for less than half a bar
/// otherwise.
const COST_TOO_FAR: f64 = 300.0;
/// A chord that hangs off the other hand's clef.
const COST_HANGS: f64 = 5.0;
/// A chord in the other hand's clef: a little more than two ledger lines, so that a hand returns
/// to its own as soon as two serve.
const COST_OTHER_CLEF: f64 = 3.1;
/// A change of clef at a barline.
pub(super) const COST_CHANGE_AT_BARLINE: f64 = 10.0;
/// A change of clef inside a bar.
const COST_CHANGE_IN_BAR: f64 = 16.0;
/// A change of clef inside a group of notes that the eye takes in as one.
const COST_CHANGE_IN_GROUP: f64 = 40.0;
/// A change inside a phrase after a chord that needs two ledger lines or more and has fewer in the clef
/// that it changes to, or before a chord of which that is true of the clef that it leaves: the other
/// clef would have served the passage whole.
const COST_CHANGE_BESIDE_NEED: f64 = 24.0;
/// A change of clef before the last of all.
const COST_CHANGE_FOR_NOTHING: f64 = 30.0;

/// Ledger lines from which on a chord needs another clef that has fewer (ours).
const LEDGER_LINES_OF_NEED: i32 = 2;

/// Staff steps from the lowest to the highest note of a group that one clef or the other takes
/// within [`MOST_LEDGER_LINES`] wherever it lies: each takes eleven on both sides of its middle
/// line, and their middle lines are twelve apart.
const EASY_SPAN: i32 = 10;

pub(super) const CLEFS: [Clef; 2] = [Clef::Treble, Clef::Bass];

/// The sounds of a hand, in units that keep one clef.
pub(super) struct HandSounds<'a> {
    sounds: &'a [StruckSound],
    /// The row in [`CLEFS`] of the hand's own clef.
    pub(super) usual: usize,
    /// What a chord in the other hand's clef costs.
    other_clef: f64,
    /// How much each sound counts: all sounds of a chord count as one.
    weights: Vec<f64>,
    pub(super) units: Vec<Unit>,
    /// When each unit begins, and when the last sound ends, in bars.
    pub(super) moments: Vec<f64>,
}

/// Sounds that keep one clef.
pub(super) struct Unit {
    sounds: Range<usize>,
    /// What a change of clef before it costs.
    pub(super) change: f64,
    /// Whether it begins a phrase.
    begins_phrase: bool,
}

/// What reading a line costs in a key.
pub(super) struct Legible {
    /// The cost of each unit in each clef.
    pub(super) units: Vec<[f64; 2]>,
    /// What it costs beyond other changes that a change to each clef stands before each unit.
    pub(super) changes: Vec<[f64; 2]>,
}

impl<'a> HandSounds<'a> {
    /// The sounds of a hand whose own clef this is, in phrases that begin at these moments.
    pub(super) fn new(
        (metre, phrases): (Metre, &[Ticks]),
        usual: Clef,
        sounds: &'a [StruckSound],
    ) -> Self {
        let weights = sounds
            .chunk_by(|a, b| a.chord == b.chord)
            .flat_map(|own| std::iter::repeat_n(1.0 / own.len() as f64, own.len()));
        let bars = |ticks: Ticks| f64::from(ticks) / f64::from(metre.bar());
        let units = units(metre, phrases, sounds);
        let begin = units.iter().map(|unit| sounds[unit.sounds.start].at);
        let moments = begin.chain(sounds.last().map(|sound| sound.end)).map(bars).collect();
        Self {
            sounds,
            usual: usize::from(usual == CLEFS[1]),
            other_clef: COST_OTHER_CLEF,
            weights: weights.collect(),
            units,
            moments,
        }
    }

    /// The same sounds where both clefs are alike: a melody that is doubled below the other hand's
    /// chords is read wherever it has the fewest ledger lines.
    pub(super) fn in_either_clef(self) -> Self {
        Self { other_clef: 0.0, ..self }
    }

    /// What each unit costs in each clef where the tonic stands on a staff step.
    pub(super) fn legible(&self, tonic: i32) -> Legible {
        let units = self.units.iter().map(|unit| {
            let costs = unit.sounds.clone().map(|index| self.costs(tonic, index));
            costs.fold([0.0; 2], |sum, own| [sum[0] + own[0], sum[1] + own[1]])
        });
        let changes = (0..self.units.len()).map(|unit| self.changes(tonic, unit));
        Legible { units: units.collect(), changes: changes.collect() }
    }

    /// What it costs that a change to each clef stands before a unit, and not at the beginning or the
    /// end of what needs it.
    fn changes(&self, tonic: i32, unit: usize) -> [f64; 2] {
        let own = &self.units[unit];
        if unit == 0 || own.begins_phrase {
            return [0.0; 2];
        }
        let first = own.sounds.start;
        let lines = |index: usize| {
            CLEFS.map(|clef| ledger_lines(clef, tonic, &self.sounds[index]).into_iter().max())
        };
        let (before, after) = (lines(first - 1), lines(first));
        let needs = |lines: [Option<i32>; 2], row: usize| {
            lines[1 - row] >= Some(LEDGER_LINES_OF_NEED) && lines[row] < lines[1 - row]
        };
        [0, 1].map(|row| {
            let beside = needs(before, row) || needs(after, 1 - row);
            if beside { COST_CHANGE_BESIDE_NEED } else { 0.0 }
        })
    }

    /// What a sound costs in each clef.
    fn costs(&self, tonic: i32, index: usize) -> [f64; 2] {
        let lines = CLEFS.map(|clef| ledger_lines(clef, tonic, &self.sounds[index]));
        let worst = lines.map(|[below, above]| below.max(above));
        [0, 1].map(|row| {
            let Some(cost) = COST_LEDGER_LINES.get(worst[row] as usize) else {
                return COST_TOO_FAR * f64::from(worst[row] - MOST_LEDGER_LINES);
            };
            if row == self.usual {
                return self.weights[index] * cost;
            }
            // Below a treble clef, above a bass clef.
            let facing = lines[row][row];
            let hangs = facing >= LEDGER_LINES_TO_HANG && worst[self.usual] < facing;
            self.weights[index] * (cost + self.other_clef + if hangs { COST_HANGS } else { 0.0 })
        })
    }

    /// What is said of each unit, said of each of its sounds.
    pub(super) fn each_sound<'b, T: Copy>(
        &'b self,
        units: &'b [T],
    ) -> impl Iterator<Item = T> + 'b {
        let each = self.units.iter().zip(units);
        each.flat_map(|(unit, value)| std::iter::repeat_n(*value, unit.sounds.len()))
    }
}

/// A line in units: a chord with all its strokes, or a group of notes that the eye takes in as
/// one, unless this spans so much that neither clef may serve.
fn units(metre: Metre, phrases: &[Ticks], sounds: &[StruckSound]) -> Vec<Unit> {
    let mut units: Vec<Unit> = Vec::new();
    let mut span = [0, 0];
    for (index, sound) in sounds.iter().enumerate() {
        let [low, high] = outer(sound);
        let in_bar = sound.at.rem_euclid(metre.bar());
        let before = index.checked_sub(1).map(|before| &sounds[before]);
        let is_again = before.is_some_and(|before| before.intervals == sound.intervals);
        let is_grouped = in_bar != metre.group_of(in_bar).0
            && before.is_some_and(|before| is_beamed(before, sound));
        let wider = [low.min(span[0]), high.max(span[1])];
        let is_easy = wider[1] - wider[0] <= EASY_SPAN;
        if let Some(unit) = units.last_mut().filter(|_| is_again || is_grouped && is_easy) {
            unit.sounds.end = index + 1;
            span = wider;
            continue;
        }
        span = [low, high];
        // Rests that lead a bar stand in the clef of what follows them.
        let leads_bar = before.is_none_or(|before| before.end <= sound.at - in_bar);
        let change = match () {
            () if index + 1 == sounds.len() => COST_CHANGE_FOR_NOTHING,
            () if leads_bar => COST_CHANGE_AT_BARLINE,
            () if is_grouped => COST_CHANGE_IN_GROUP,
            () => COST_CHANGE_IN_BAR,
        };
        // What is pushed into a phrase begins it.
        let begins =
            |start: &Ticks| before.is_none_or(|before| before.end <= *start) && *start < sound.end;
        let begins_phrase = phrases.iter().any(begins);
        units.push(Unit { sounds: index..index + 1, change, begins_phrase });
    }
    units
}

/// The steps of the lowest and the highest note of a sound above its tonic.
fn outer(sound: &StruckSound) -> [i32; 2] {
    [sound.intervals.first(), sound.intervals.last()]
        .map(|interval| interval.map_or(0, |interval| interval.steps))
}

/// The ledger lines below and above a clef that a sound needs where its tonic stands on a step.
fn ledger_lines(clef: Clef, tonic: i32, sound: &StruckSound) -> [i32; 2] {
    let [low, high] = outer(sound).map(|step| tonic + step - clef.middle_line());
    [-low, high].map(|beyond| (beyond - 4).max(0) / 2)
}

/// Whether two neighbouring sounds are short enough to share a beam, and follow without a rest.
fn is_beamed(before: &StruckSound, sound: &StruckSound) -> bool {
    let is_short = |sound: &StruckSound| sound.end - sound.at <= QUARTER / 2;
    is_short(before) && is_short(sound) && before.end == sound.at
}
