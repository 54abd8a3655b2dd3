//! Figures: what the playing hand does over one chord, in numbers above the chord's root.

use std::ops::Range;

use crate::drill::language::harmony::ChordPlan;
use crate::drill::language::value;
use crate::score::Ticks;
use crate::source::fields::Mistakes;
use crate::theory::{Interval, Scale};

/// A figure: its steps in playing order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    /// The steps.
    pub steps: Vec<Step>,
}

/// One step of a figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// What sounds.
    pub sounding: Sounding,
    /// How long it lasts.
    pub length: Ticks,
}

/// What sounds in a step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Sounding {
    /// Nothing.
    Rest,
    /// These notes, struck together.
    Tones(Vec<Tone>),
    /// The upper notes of a voicing that lies in two hands.
    Upper,
    /// The voicing of the chord, struck by the hand that has the figure.
    Chord,
    /// What sounded before goes on.
    Tied,
}

/// A note of a figure or of a voicing, told by its place above the chord's root.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Tone {
    /// Its number in the scale that starts on the root: 1 the root, 3 the third, 8 the root an
    /// octave up; 0 and below lie under the root.
    pub number: i32,
    /// A neighbour played in its place.
    pub neighbour: Neighbour,
    /// The finger that the teacher gives it, 1 to 5.
    pub finger: Option<u8>,
}

/// The neighbours of a tone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Neighbour {
    /// The tone itself.
    None,
    /// A semitone below it.
    Under,
    /// The next note of the scale above it.
    Over,
}

/// A tone over a chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Placed {
    /// The interval above the tonic.
    pub(crate) interval: Interval,
    /// The finger that the teacher gives it.
    pub(crate) finger: Option<u8>,
}

/// Tones over a chord, low to high.
pub(crate) fn place(tones: &[Tone], scale: Scale, chord: &ChordPlan) -> Vec<Placed> {
    let place = |tone: &Tone| Placed { interval: tone.interval(scale, chord), finger: tone.finger };
    let mut placed: Vec<Placed> = tones.iter().map(place).collect();
    placed.sort_by_key(|tone| tone.interval.semitones);
    placed
}

/// How far apart the outer of some placed tones are, in semitones.
pub(crate) fn span(placed: &[Placed]) -> i32 {
    match placed {
        [low, .., high] => high.interval.semitones - low.interval.semitones,
        _ => 0,
    }
}

/// The highest number that a figure may name: the root two octaves up.
const HIGHEST: i32 = 15;
/// Notes that a hand can strike together.
const FINGERS: usize = 5;

impl Tone {
    /// A tone without neighbour.
    pub(crate) const fn plain(number: i32) -> Self {
        Self { number, neighbour: Neighbour::None, finger: None }
    }

    /// Reads `3`, `low7`, `under3`, `overlow7`, any of them with a finger as in `3@2`.
    fn parse(word: &str) -> Option<Self> {
        let (word, finger) = match word.split_once('@') {
            None => (word, None),
            Some((word, digit)) => {
                (word, Some(digit.parse().ok().filter(|finger| (1..=5).contains(finger))?))
            }
        };
        let (neighbour, rest) = if let Some(rest) = word.strip_prefix("under") {
            (Neighbour::Under, rest)
        } else if let Some(rest) = word.strip_prefix("over") {
            (Neighbour::Over, rest)
        } else {
            (Neighbour::None, word)
        };
        let (octave, digits) = match rest.strip_prefix("low") {
            Some(digits) => (-1, digits),
            None => (0, rest),
        };
        let is_plain = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
        let number = digits.parse::<i32>().ok().filter(|number| (1..=HIGHEST).contains(number))?;
        is_plain.then_some(Self { number: number + 7 * octave, neighbour, finger })
    }

    /// The interval above the tonic over a chord.
    fn interval(self, scale: Scale, chord: &ChordPlan) -> Interval {
        let steps = self.number - 1;
        let own = match steps.rem_euclid(7) {
            // The chord's own tones, altered or not, before the scale's.
            0 | 2 | 4 | 6 => {
                let third = steps.rem_euclid(7) / 2;
                let tone = chord.quality.tone_interval(third);
                chord.root.plus(tone).plus_octaves(steps.div_euclid(7))
            }
            _ => scale.interval(chord.degree + steps),
        };
        match self.neighbour {
            Neighbour::None => own,
            Neighbour::Under => own.plus(Interval::MINOR_SECOND.down()),
            Neighbour::Over => {
                let above = scale.interval(chord.degree + steps + 1);
                // An altered chord tone can lie as high as the scale's next note.
                if above.semitones > own.semitones {
                    above
                } else {
                    own.plus(Interval::MINOR_SECOND)
                }
            }
        }
    }
}

impl Figure {
    /// Its steps over a chord of a length, again and again from the first, each with when it
    /// begins and ends from there; the last one ends with the chord.
    pub(crate) fn over(&self, length: Ticks) -> impl Iterator<Item = (Ticks, Ticks, &Step)> {
        let mut at = 0;
        let steps = self.steps.iter().cycle().map(move |step| {
            let start = at;
            at += step.length;
            (start, at.min(length), step)
        });
        steps.take_while(move |(start, ..)| *start < length)
    }

    /// How long it lasts.
    pub fn length(&self) -> Ticks {
        self.steps.iter().map(|step| step.length).sum()
    }

    /// Reads `1 3 5 7:quarter rest 1+3+5`; steps without a value of their own last `value`.
    pub(crate) fn parse(
        text: &str,
        span: &Range<usize>,
        value: Ticks,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<Self> {
        let words: Vec<&str> = text.split_whitespace().collect();
        if words.is_empty() {
            let mend = "write chord tones, as in \"1 3 5 7\"";
            mistakes.add(span.clone(), "field `figure` is empty", mend);
            return None;
        }
        if let Some((problem, mend)) = run_together(text, &words) {
            mistakes.add(span.clone(), problem, mend);
            return None;
        }
        let steps: Vec<Option<Step>> =
            words.into_iter().map(|word| step(word, span, value, mistakes)).collect();
        Some(Self { steps: steps.into_iter().collect::<Option<_>>()? })
    }
}

/// What is wrong with a figure whose steps are held apart by anything but spaces, and how to mend
/// it.
fn run_together(text: &str, words: &[&str]) -> Option<(String, String)> {
    let is_dashed = |word: &&str| {
        word.contains('-') && word.bytes().all(|byte| byte.is_ascii_digit() || byte == b'-')
    };
    if text.contains('|') {
        let problem = "a figure has no barlines: it goes over one chord".to_owned();
        let mend = "write several figures as a list, as in [\"1 3 5 7\", \"7 5 3 1\"]".to_owned();
        return Some((problem, mend));
    }
    let sign = match text.chars().find(|c| matches!(c, ',' | ';')) {
        None if words.iter().any(is_dashed) => '-',
        found => found?,
    };
    let apart = text.replace(sign, " ");
    let apart = apart.split_whitespace().collect::<Vec<_>>().join(" ");
    let problem = format!("the steps of a figure stand apart by spaces, without `{sign}`");
    Some((problem, format!("write \"{apart}\"")))
}

/// Reads one step.
fn step(
    word: &str,
    span: &Range<usize>,
    usual: Ticks,
    mistakes: &mut Mistakes<'_>,
) -> Option<Step> {
    let at = mistakes.within(span, word);
    let (notes, length) = value::split(word, &at, mistakes)?;
    let sounding = match notes {
        "rest" => Sounding::Rest,
        "upper" => Sounding::Upper,
        "chord" => Sounding::Chord,
        "tied" => Sounding::Tied,
        _ => Sounding::Tones(tones(notes, &at, mistakes)?),
    };
    Some(Step { sounding, length: length.unwrap_or(usual) })
}

/// Reads tones joined by plus signs: low to high, each once.
pub(crate) fn tones(
    words: &str,
    at: &Range<usize>,
    mistakes: &mut Mistakes<'_>,
) -> Option<Vec<Tone>> {
    let mut tones = Vec::new();
    for word in words.split('+') {
        let Some(tone) = Tone::parse(word) else {
            let (problem, mend) = no_tone(word);
            mistakes.add(at.clone(), problem, mend);
            return None;
        };
        tones.push(tone);
    }
    tones.sort_unstable();
    tones.dedup();
    if tones.len() > FINGERS {
        let problem = format!("{} tones at once are more than a hand", tones.len());
        mistakes.add(at.clone(), problem, format!("write at most {FINGERS}"));
        return None;
    }
    Some(tones)
}

/// Why a word is no tone, and how to mend it.
fn no_tone(word: &str) -> (String, String) {
    if let Some((tone, finger)) = word.split_once('@')
        && Tone::parse(tone).is_some()
    {
        let mend = format!("write {tone}@1 for the thumb to {tone}@5 for the little finger");
        return (format!("`{word}`: there is no finger `{finger}`"), mend);
    }
    if let Some(number) = altered(word) {
        let mend = format!(
            "write {number}; 1 3 5 7 are the chord's own, all others are of the key's scale; \
             under{number} is the semitone below it, over{number} the scale step above"
        );
        return (format!("`{word}` is no tone: sharps and flats are not written"), mend);
    }
    let mend = format!(
        "write a number from 1 to {HIGHEST} above the chord's root, low7 for one below it, under3 \
         or over3 for its neighbours, 3@2 to give it a finger, or rest"
    );
    (format!("`{word}` is no tone"), mend)
}

/// The number in a word such as `b9`, `#11` or `flat9`.
fn altered(word: &str) -> Option<&str> {
    const SIGNS: [&str; 6] = ["sharp", "flat", "#", "b", "\u{266f}", "\u{266d}"];
    let number = SIGNS
        .iter()
        .find_map(|sign| word.strip_prefix(sign).or_else(|| word.strip_suffix(sign)))?;
    Tone::parse(number).filter(|tone| tone.number > 0).map(|_| number)
}
