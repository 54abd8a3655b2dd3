//! Figures: what the playing hand does over one chord, in numbers above the chord's root.

use std::ops::Range;

use crate::drill::language::harmony::{self, ChordPlan};
use crate::drill::language::value;
use crate::score::Ticks;
use crate::source::fields::Mistakes;
use crate::theory::{Interval, Mode, NamedScale};

/// A figure: its steps in playing order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    /// The steps.
    pub steps: Vec<FigureStep>,
}

/// One step of a figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FigureStep {
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
    /// By how many octaves that number was moved by a word beside it: -1 in `low7`.
    pub octave: i32,
    /// By how many semitones it lies beside the number of the major scale on the root, where it is
    /// written with a sign: -1 in `b9`. Without one the chord decides, or else the scale.
    pub alter: Option<i32>,
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
pub(crate) struct PlacedTone {
    /// The interval above the tonic.
    pub(crate) interval: Interval,
    /// The finger that the teacher gives it.
    pub(crate) finger: Option<u8>,
}

/// Tones over a chord, low to high; numbers count the notes of `scale` where one is given.
pub(crate) fn place(
    tones: &[Tone],
    chord: &ChordPlan,
    scale: Option<NamedScale>,
) -> Vec<PlacedTone> {
    let place =
        |tone: &Tone| PlacedTone { interval: tone.interval(chord, scale), finger: tone.finger };
    let mut placed: Vec<PlacedTone> = tones.iter().map(place).collect();
    placed.sort_by_key(|tone| tone.interval.semitones);
    placed
}

/// The same below a chord that another hand has: what is written as its root is what it rests on.
pub(crate) fn place_below(tones: &[Tone], chord: &ChordPlan) -> Vec<PlacedTone> {
    let place = |tone: &Tone| {
        let own = tone.interval(chord, None);
        let is_root = tone.neighbour == Neighbour::None && (tone.number - 1).rem_euclid(7) == 0;
        let octaves = (tone.number - 1).div_euclid(7);
        let interval = if is_root { chord.foot().plus_octaves(octaves) } else { own };
        PlacedTone { interval, finger: tone.finger }
    };
    let mut placed: Vec<PlacedTone> = tones.iter().map(place).collect();
    placed.sort_by_key(|tone| tone.interval.semitones);
    placed
}

/// How far apart the outer of some placed tones are, in semitones.
pub(crate) fn span(placed: &[PlacedTone]) -> i32 {
    match placed {
        [low, .., high] => high.interval.semitones - low.interval.semitones,
        _ => 0,
    }
}

/// The highest number that a figure may name: the root two octaves up.
const HIGHEST: i32 = 15;
/// Signs before a number, in semitones.
const SIGNS: [(&str, i32); 4] = [("b", -1), ("\u{266d}", -1), ("#", 1), ("\u{266f}", 1)];
/// Notes that a hand can strike together.
const FINGERS: usize = 5;

impl Tone {
    /// A tone without neighbour.
    pub(crate) const fn plain(number: i32) -> Self {
        Self { number, octave: 0, alter: None, neighbour: Neighbour::None, finger: None }
    }

    /// Reads `3`, `b9`, `low7`, `under3`, `overlow7`, any of them with a finger as in `3@2`.
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
        let (octave, rest) = match rest.strip_prefix("low") {
            Some(rest) => (-1, rest),
            None => (0, rest),
        };
        let signed = SIGNS.iter().find_map(|(sign, by)| Some((*by, rest.strip_prefix(sign)?)));
        let (alter, digits) = signed.map_or((None, rest), |(by, digits)| (Some(by), digits));
        let is_plain = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
        let number = digits.parse::<i32>().ok().filter(|number| (1..=HIGHEST).contains(number))?;
        // There is no flat or sharp root.
        let is_tone = alter.is_none() || number % 7 != 1;
        (is_plain && is_tone).then_some(Self {
            number: number + 7 * octave,
            octave,
            alter,
            neighbour,
            finger,
        })
    }

    /// Whether it is the root or the fifth of its chord, in whatever octave.
    pub(crate) fn is_root_or_fifth(&self) -> bool {
        let is_plain = self.alter.is_none() && self.neighbour == Neighbour::None;
        is_plain && matches!((self.number - 1).rem_euclid(7), 0 | 4)
    }

    /// The interval above the tonic over a chord.
    fn interval(self, chord: &ChordPlan, scale: Option<NamedScale>) -> Interval {
        // Not every scale has seven notes to an octave.
        let of_scale = |scale: NamedScale, above: i32| {
            let number = self.number - 7 * self.octave + above;
            chord.root.plus(chord.own_spelling(scale.interval(number))).plus_octaves(self.octave)
        };
        let own = match (self.alter, scale) {
            (Some(alter), _) => chord.root.plus(altered(self.number, alter)),
            (None, Some(scale)) => of_scale(scale, 0),
            (None, None) => chord.tone(self.number),
        };
        match self.neighbour {
            Neighbour::None => own,
            Neighbour::Under => own.plus(Interval::MINOR_SECOND.down()),
            Neighbour::Over => {
                let above = match scale {
                    Some(scale) => of_scale(scale, 1),
                    None => chord.step(self.number + 1),
                };
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

/// A number of the major scale above its root, moved by semitones.
fn altered(number: i32, alter: i32) -> Interval {
    let number = harmony::scale(Mode::Major).interval(number);
    number.plus(Interval { steps: 0, semitones: alter })
}

impl Figure {
    /// Its steps over a chord of a length, again and again from the first, each with when it
    /// begins and ends from there; the last one ends with the chord.
    pub(crate) fn over(&self, length: Ticks) -> impl Iterator<Item = (Ticks, Ticks, &FigureStep)> {
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
        let steps: Vec<Option<FigureStep>> =
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
) -> Option<FigureStep> {
    let at = mistakes.within(span, word);
    let (notes, length) = value::split(word, &at, mistakes)?;
    let sounding = match notes {
        "rest" => Sounding::Rest,
        "upper" => Sounding::Upper,
        "chord" => Sounding::Chord,
        "tied" => Sounding::Tied,
        _ => Sounding::Tones(tones(notes, &at, mistakes)?),
    };
    Some(FigureStep { sounding, length: length.unwrap_or(usual) })
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
    if let Some(tone) = spelled_out(word) {
        return (format!("`{word}` is no tone"), format!("write {tone}"));
    }
    let mend = format!(
        "write a number from 1 to {HIGHEST} above the chord's root, b9 or #11 where it is altered, \
         low7 for one below the root, under3 or over3 for its neighbours, 3@2 to give it a \
         finger, rest or tied"
    );
    (format!("`{word}` is no tone"), mend)
}

/// The tone in a word such as `flat9`, `9b` or `sharp11`, as it is written here.
fn spelled_out(word: &str) -> Option<String> {
    const WORDS: [(&str, &str); 6] = [
        ("sharp", "#"),
        ("flat", "b"),
        ("#", "#"),
        ("b", "b"),
        ("\u{266f}", "#"),
        ("\u{266d}", "b"),
    ];
    WORDS.iter().find_map(|(sign, own)| {
        let number = word.strip_prefix(sign).or_else(|| word.strip_suffix(sign))?;
        let tone = format!("{own}{}", number.trim_matches(['-', ' ']));
        Tone::parse(&tone).map(|_| tone)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::language::harmony::{Degree, PassageHome};

    /// `low` is an octave, however many notes a scale has.
    #[test]
    fn a_low_note_of_a_scale_lies_an_octave_below_the_note_of_its_number() {
        let chord = Degree::step(1).chord(PassageHome::own(Mode::Major)).unwrap();
        for scale in NamedScale::all() {
            for number in 1..=HIGHEST {
                for neighbour in ["", "over", "under"] {
                    let tone = |low: &str| {
                        let tone = Tone::parse(&format!("{neighbour}{low}{number}")).unwrap();
                        tone.interval(&chord, Some(scale))
                    };
                    assert_eq!(tone("low"), tone("").plus_octaves(-1), "{} {number}", scale.word);
                }
            }
        }
    }
}
