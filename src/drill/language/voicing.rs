//! Voicings: how the hand that holds the chords lays them out.

use std::ops::Range;

use crate::drill::language::figure::{Neighbour, PlacedTone, Tone, place, span, tones};
use crate::drill::language::harmony::ChordPlan;
use crate::source::advice_or;
use crate::source::fields::Mistakes;
use crate::theory::{Fifth, Interval, Seventh, Third};

/// A layout of a chord: numbers above its root, as in [`Tone`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Voicing {
    kind: OfTones,
}

#[derive(Clone, Debug, PartialEq, Eq)]
enum OfTones {
    Named(&'static NamedVoicing),
    /// Written out by the teacher: for one hand, or for the lower and the upper one.
    Own {
        lower: Vec<Tone>,
        upper: Vec<Tone>,
    },
}

/// A voicing of the trade.
#[derive(Debug, PartialEq, Eq)]
struct NamedVoicing {
    word: &'static str,
    family: VoicingFamily,
    /// The numbers for one hand, or for the lower and the upper hand.
    lower: &'static [i32],
    upper: &'static [i32],
}

/// Voicings that take turns where voices are led.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum VoicingFamily {
    /// All four notes within an octave.
    Close,
    /// Root with third, or root with seventh.
    Shell,
    /// Three notes of a shell, which has no sibling.
    FullShell,
    /// Third and seventh.
    Guide,
    /// Third, fifth, seventh and ninth; forms A and B.
    Rootless,
    /// Close position with its second voice from the top an octave lower, in two hands.
    Drop2,
}

const fn one_hand(
    word: &'static str,
    family: VoicingFamily,
    lower: &'static [i32],
) -> NamedVoicing {
    NamedVoicing { word, family, lower, upper: &[] }
}

const fn two_hands(
    word: &'static str,
    lower: &'static [i32],
    upper: &'static [i32],
) -> NamedVoicing {
    NamedVoicing { word, family: VoicingFamily::Drop2, lower, upper }
}

/// The voicings by name.
///
/// Shells, guide tones and the two rootless forms as jazz piano handbooks name them; drop 2 as
/// arranging handbooks do (common practice, no source). Rootless form B has its seventh below.
static NAMED: [NamedVoicing; 15] = [
    one_hand("close", VoicingFamily::Close, &[1, 3, 5, 7]),
    one_hand("first-inversion", VoicingFamily::Close, &[3, 5, 7, 8]),
    one_hand("second-inversion", VoicingFamily::Close, &[5, 7, 8, 10]),
    one_hand("third-inversion", VoicingFamily::Close, &[7, 8, 10, 12]),
    one_hand("shell-3", VoicingFamily::Shell, &[1, 3]),
    one_hand("shell-7", VoicingFamily::Shell, &[1, 7]),
    one_hand("shell", VoicingFamily::FullShell, &[1, 3, 7]),
    one_hand("guide-tones", VoicingFamily::Guide, &[3, 7]),
    one_hand("guide-tones-turned", VoicingFamily::Guide, &[0, 3]),
    one_hand("rootless-a", VoicingFamily::Rootless, &[3, 5, 7, 9]),
    one_hand("rootless-b", VoicingFamily::Rootless, &[0, 2, 3, 5]),
    two_hands("drop-2", &[-2, 1], &[3, 7]),
    two_hands("drop-2-first-inversion", &[0, 3], &[5, 8]),
    two_hands("drop-2-second-inversion", &[1, 5], &[7, 10]),
    two_hands("drop-2-third-inversion", &[3, 7], &[8, 12]),
];

/// A chord laid out, low to high.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct LaidVoicing {
    pub(crate) lower: Vec<PlacedTone>,
    pub(crate) upper: Vec<PlacedTone>,
    /// Which chord tone is lowest, where all four sound: 0 the root to 3 the seventh.
    pub(crate) inversion: u8,
    /// Whether it may do without a note where it lies low: a teacher's own stays as it is.
    pub(crate) may_yield: bool,
}

impl Voicing {
    /// Reads a name, or tones such as `1+5+10`.
    pub(crate) fn parse(
        text: &str,
        span: &Range<usize>,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<Self> {
        let word = text.trim();
        if let Some(named) = NAMED.iter().find(|named| named.word == word) {
            return Some(Self { kind: OfTones::Named(named) });
        }
        let is_of_tones = |hand: &str| {
            hand.contains('+') || hand.bytes().any(|byte| byte.is_ascii_digit()) && hand.len() < 5
        };
        if let Some((lower, upper)) = word.split_once('|') {
            let lower = tones(lower.trim(), span, mistakes);
            let upper = tones(upper.trim(), span, mistakes);
            return Some(Self { kind: OfTones::Own { lower: lower?, upper: upper? } });
        }
        if joined(word).is_none() && is_of_tones(word) {
            let lower = tones(word, span, mistakes)?;
            return Some(Self { kind: OfTones::Own { lower, upper: Vec::new() } });
        }
        if let Some(joined) = joined(word) {
            let problem = "the tones of a voicing are joined by plus signs";
            mistakes.add(span.clone(), problem, format!("write \"{joined}\""));
            return None;
        }
        let known: Vec<&str> = NAMED.iter().map(|named| named.word).collect();
        let mend = advice_or(word, &known, "write its tones, as in 1+5+10");
        mistakes.add(span.clone(), format!("unknown voicing `{word}`"), mend);
        None
    }

    /// The usual one, where nothing is said: in close position.
    pub(crate) fn usual() -> Self {
        Self { kind: OfTones::Named(&NAMED[0]) }
    }

    /// Whether it lies in two hands.
    pub(crate) fn is_two_handed(&self) -> bool {
        match &self.kind {
            OfTones::Named(named) => !named.upper.is_empty(),
            OfTones::Own { upper, .. } => !upper.is_empty(),
        }
    }

    /// Whether voices can be led through it: whether it has siblings to take turns with.
    pub(crate) fn can_be_led(&self) -> bool {
        matches!(&self.kind, OfTones::Named(named) if named.family != VoicingFamily::FullShell)
    }

    /// The layout at the chord's own place.
    pub(crate) fn lay(&self, chord: &ChordPlan) -> LaidVoicing {
        match &self.kind {
            OfTones::Named(named) => named.lay(chord, 0),
            OfTones::Own { lower, upper } => {
                LaidVoicing { may_yield: false, ..laid(lower, upper, chord, 0) }
            }
        }
    }

    /// The layout, this one or a sibling, in whatever octave, that moves least from the one
    /// before without straying more than an octave from the first.
    pub(crate) fn lead(
        &self,
        chord: &ChordPlan,
        before: &LaidVoicing,
        first: &LaidVoicing,
    ) -> LaidVoicing {
        let own = self.lay(chord);
        let OfTones::Named(named) = &self.kind else { return own };
        let siblings = NAMED.iter().filter(|other| other.family == named.family);
        let placed = siblings.flat_map(|sibling| (-2..=2).map(|octave| sibling.lay(chord, octave)));
        let near = placed.filter(|laid| (laid.bottom() - first.bottom()).abs() <= 12);
        near.min_by_key(|laid| (laid.moves_from(before), (laid.bottom() - first.bottom()).abs()))
            .unwrap_or(own)
    }
}

impl NamedVoicing {
    fn lay(&self, chord: &ChordPlan, octave: i32) -> LaidVoicing {
        let tones = |numbers: &[i32]| -> Vec<Tone> {
            let own = numbers.iter().filter_map(|number| self.coloured(*number, chord));
            own.map(Tone::plain).collect()
        };
        let (mut lower, upper) = (tones(self.lower), tones(self.upper));
        // What is left of a seventh chord's voicing where a triad has no seventh.
        if lower.len() == 1 && upper.is_empty() && self.lower.len() > 1 {
            lower.push(Tone::plain(5));
            lower.sort_unstable();
        }
        let laid = laid(&lower, &upper, chord, octave);
        // Somebody else has the bass, whichever tone lies lowest.
        let inversion = if self.family == VoicingFamily::Rootless { 0 } else { laid.inversion };
        LaidVoicing { inversion, ..laid }
    }

    /// What stands in a chord for a number of the voicing: on dominants a rootless voicing has the
    /// thirteenth in place of a perfect fifth, on diminished sevenths the root in place of a ninth
    /// that these do not have, and so on other minor chords whose ninth is flat in their key, as over
    /// iii7; an altered dominant has its flat thirteenth where others have the fifth (common
    /// practice, no source), and a triad has no seventh.
    fn coloured(&self, number: i32, chord: &ChordPlan) -> Option<i32> {
        let kind = chord.kind;
        let ninth = chord.tone(9).plus(chord.root.down()).simple();
        let has_no_ninth = kind.seventh() == Seventh::Diminished
            || kind.third() == Third::Minor && ninth == Interval::MINOR_SECOND;
        let is_dominant = kind.third() != Third::Minor && kind.seventh() == Seventh::Minor;
        let has_colour = self.family == VoicingFamily::Rootless && is_dominant;
        match (number - 1).rem_euclid(7) {
            1 if self.family == VoicingFamily::Rootless && has_no_ninth => Some(number - 1),
            4 if kind.fifth() == Fifth::Absent && kind.number(6).is_some() => Some(number + 1),
            4 if has_colour && kind.fifth() == Fifth::Perfect => Some(number + 1),
            6 if kind.seventh() == Seventh::Absent => None,
            _ => Some(number),
        }
    }
}

/// Tones that something else stands between, joined as they should be.
fn joined(word: &str) -> Option<String> {
    let tones: Vec<&str> =
        word.split([',', ' ', '-', '/']).filter(|tone| !tone.is_empty()).collect();
    let is_number = |tone: &&str| tone.bytes().all(|byte| byte.is_ascii_digit());
    (tones.len() > 1 && tones.iter().all(is_number)).then(|| tones.join("+"))
}

/// Tones as intervals, moved by octaves.
fn laid(lower: &[Tone], upper: &[Tone], chord: &ChordPlan, octave: i32) -> LaidVoicing {
    let placed = |tones: &[Tone]| -> Vec<PlacedTone> {
        let own = place(tones, chord, None).into_iter();
        let moved =
            |tone: PlacedTone| PlacedTone { interval: tone.interval.plus_octaves(octave), ..tone };
        own.map(moved).collect()
    };
    let mut all: Vec<Tone> = lower.iter().chain(upper).copied().collect();
    all.sort_unstable();
    let inversion = inversion(&all, chord);
    LaidVoicing { lower: placed(lower), upper: placed(upper), inversion, may_yield: true }
}

/// Which chord tone is lowest, if all four are there and nothing else; 0 otherwise. The sixth of a sixth
/// chord is its fourth tone. Where the highest note is the same tone once more, the two are a melody in
/// octaves, and nobody hears a bass.
fn inversion(tones: &[Tone], chord: &ChordPlan) -> u8 {
    let is_sixth = chord.kind.seventh() == Seventh::Sixth;
    let place = |tone: &Tone| {
        let place = match (tone.number - 1).rem_euclid(7) {
            0 => 0,
            2 => 1,
            4 => 2,
            5 if is_sixth => 3,
            6 => 3,
            _ => return None,
        };
        (tone.neighbour == Neighbour::None && tone.alter.is_none()).then_some(place)
    };
    let Some(places) = tones.iter().map(place).collect::<Option<Vec<u8>>>() else { return 0 };
    let is_melody = places.first() == places.last();
    let is_whole = (0..4).all(|tone| places.contains(&tone));
    if is_whole && !is_melody { places[0] } else { 0 }
}

/// How wide a chord over its bass may lie for one hand, in semitones: an octave.
const WIDEST_OVER_BASS: i32 = 12;

impl LaidVoicing {
    /// The same where the hand has the bass of a chord that is not its root: the bass takes the place
    /// of the lowest root, and what lay within an octave lies within one above it. A voicing that has
    /// no root below leaves the bass to others.
    pub(crate) fn resting(mut self, chord: &ChordPlan) -> Self {
        let pitch = |interval: Interval| interval.semitones.rem_euclid(12);
        let (Some(bass), Some(lowest)) = (chord.bass, self.lower.first().copied()) else {
            return self;
        };
        let has_root = pitch(lowest.interval) == pitch(chord.root);
        if !has_root || !self.upper.is_empty() || self.lower.len() < 2 {
            return self;
        }
        let fits = span(&self.lower) <= WIDEST_OVER_BASS;
        let is_of_chord = chord
            .kind
            .frame()
            .into_iter()
            .flatten()
            .any(|tone| pitch(chord.root.plus(tone)) == pitch(bass));
        // The bass near the root, above it or below.
        let own = (bass.semitones - lowest.interval.semitones).rem_euclid(12);
        let octaves = (lowest.interval.semitones + own - bass.semitones).div_euclid(12);
        let foot = bass.plus_octaves(octaves - i32::from(own > 5));
        let above = |interval: Interval| {
            let up = (interval.semitones - foot.semitones).rem_euclid(12);
            interval.plus_octaves((foot.semitones + up - interval.semitones).div_euclid(12))
        };
        let keeps_root = is_of_chord && self.lower.len() > 2;
        let mut others: Vec<Interval> = self.lower.iter().map(|tone| tone.interval).collect();
        if !keeps_root {
            others.remove(0);
        }
        others.retain(|interval| pitch(*interval) != pitch(bass));
        if others.is_empty() {
            // A tone that the bass is not: one key takes one finger.
            let has_seventh = chord.kind.seventh() != Seventh::Absent;
            let numbers = [Some(3), has_seventh.then_some(7), Some(1)];
            let mut tones = numbers.into_iter().flatten().map(|number| chord.tone(number));
            others.extend(tones.find(|tone| pitch(*tone) != pitch(bass)));
        }
        if fits {
            others.iter_mut().for_each(|interval| *interval = above(*interval));
        } else {
            others.retain(|interval| interval.semitones > foot.semitones);
        }
        others.push(foot);
        others.sort_by_key(|interval| interval.semitones);
        self.lower =
            others.into_iter().map(|interval| PlacedTone { interval, finger: None }).collect();
        self.inversion = 0;
        self
    }

    /// Every note, low to high.
    pub(crate) fn all(&self) -> impl Iterator<Item = Interval> {
        self.lower.iter().chain(&self.upper).map(|tone| tone.interval)
    }

    /// Every note above a root.
    pub(crate) fn above(&self, root: Interval) -> Vec<Interval> {
        self.all().map(|interval| interval.plus(root.down())).collect()
    }

    /// Whether the lower hand doubles the highest note alone: a melody in octaves, with the chord
    /// between.
    pub(crate) fn is_melody_doubled(&self) -> bool {
        let ([low], [.., high]) = (self.lower.as_slice(), self.upper.as_slice()) else {
            return false;
        };
        self.upper.len() > 1 && high.interval.simple() == low.interval.simple()
    }

    fn bottom(&self) -> i32 {
        self.all().next().map_or(0, |interval| interval.semitones)
    }

    /// The semitones that all voices together move from another layout.
    fn moves_from(&self, before: &Self) -> i32 {
        let voices = self.all().zip(before.all());
        voices.map(|(now, then)| (now.semitones - then.semitones).abs()).sum()
    }

    /// The widest stretch of one hand, in semitones, if it holds at most five notes.
    pub(crate) fn widest(&self) -> i32 {
        span(&self.lower).max(span(&self.upper))
    }
}
