//! From template and key to score.

use super::choices::Choices;
use super::line::HandLine;
use super::register::{self, Lie};
use super::signs::signs;
use super::sketch::{DrillSketch, MissingTones, PlayedChord};
use super::struck::StruckSound;
use super::template::Template;
use super::thin::thin_out;
use crate::score::{
    Bar, ByHand, ChordInBars, Feel, Harmony, LeftOut, LowChord, Metre, Score, Stay, Ticks,
    UntoldChord, count,
};
use crate::theory::{Chord, Interval, Key, Numeral};

/// A template made ready to be played in any key.
pub struct Drill<'a> {
    template: &'a Template,
    sketch: DrillSketch,
    lie: Lie,
    /// What no hand plays of each chord; nothing where nothing of it sounds.
    missing: Vec<Option<MissingTones>>,
}

/// Plays `template` on the tonic of `key`, in the template's own mode; see [`Drill`] for many
/// keys.
pub fn realise(template: &Template, key: Key, choices: Choices) -> Score {
    Drill::of(template).realise(key, choices)
}

impl<'a> Drill<'a> {
    /// Makes a template ready.
    pub fn of(template: &'a Template) -> Self {
        let sketch = DrillSketch::of(template);
        let lie = Lie::of(template, &sketch);
        let missing = sketch.missing();
        Self { template, sketch, lie, missing }
    }

    /// Plays the drill on the tonic of `key`, in the template's own mode.
    pub fn realise(&self, key: Key, choices: Choices) -> Score {
        let Self { template, sketch, lie, missing } = self;
        let feel = choices.feel.unwrap_or(template.feel);
        let swung = (feel == Feel::Swing).then(|| sketch.swung()).flatten();
        let sketch = swung.as_ref().unwrap_or(sketch);
        let key = key.in_mode(template.mode);
        let register = lie.register(key);
        let (yielded, thinned) = thin_out(sketch, register.left.midi());

        let metre = template.metre;
        let signs = signs(template, key);
        let respelled = sketch.respellings(key);
        let named = sketch.symbol_respellings(key);
        let mut bars: Vec<Bar> = (0..template.length() / metre.bar())
            .map(|bar| Bar { start: bar * metre.bar(), staves: ByHand::default() })
            .collect();
        let sounds = ByHand { right: sketch.lines.right.as_slice(), left: &*thinned };
        let plain = ByHand::each(|hand| {
            let clefs = lie.clefs(hand, register[hand]);
            HandLine::new(hand, metre, register[hand], sounds[hand], clefs, &respelled)
        });
        let lines = ByHand::each(|hand| {
            let line = plain[hand].with_triads(&plain[hand.other()]).with_plain_colours();
            line.sounding(&signs.octaves[hand])
        });
        let mut held_chords: Vec<(usize, Ticks, bool)> = Vec::new();
        for (hand, line) in lines.as_ref().with_hands() {
            for event in line.events(template, choices) {
                let bar = &mut bars[(event.at / metre.bar()) as usize];
                bar.staves[hand].events.push(event);
            }
            if !choices.plays(hand) {
                continue;
            }
            held_chords.extend(line.held_chords(choices.hand));
        }
        let in_key = |index: usize| sounding(&sketch.chords[index], key, named[index]);
        let chords = thinned.iter().filter(|sound| sound.intervals.len() > 1);
        let thick: Vec<(usize, Ticks, bool)> =
            chords.map(|it| (it.chord, it.at, register::is_thick(register.left, it))).collect();
        let low_chords = low_chords(&yielded, &sketch.lines.left, metre, in_key);
        let counts = count(metre, &bars);
        let played = sketch.chords.iter().zip(&named);
        let harmonies = played.map(|(played, by)| harmony(played, key, *by, choices));
        let score = Score {
            key,
            metre,
            feel,
            opening_clefs: lines.as_ref().map(HandLine::opening_clef),
            harmonies: harmonies.collect(),
            phrases: template.phrases(),
            bars,
            counts,
            low_chords,
            untold_chords: untold(missing, &sketch.chords, metre, in_key),
            thick_chords: in_bars(&thick, metre, in_key),
            wide_chords: in_bars(&held_chords, metre, in_key),
            signs,
        };
        choices.applied_to(score)
    }

    /// The harmony on the tonic of `key`, as it changes, whenever the hands strike it.
    pub fn stays(&self, key: Key) -> impl Iterator<Item = Stay> {
        let key = key.in_mode(self.template.mode);
        let respelled = self.sketch.symbol_respellings(key);
        self.sketch.stays().zip(respelled).map(move |((at, end, plan), by)| {
            let scale =
                std::array::from_fn(|step| plan.tone(step as i32 + 1).plus(plan.root.down()));
            Stay { at, end, chord: plan.in_key(key, by), scale }
        })
    }
}

/// A chord in a key, spelled otherwise by an interval: where its hand strikes it and with the bass that it has there; where that hand
/// rests, at the change of harmony, and in root position.
fn harmony(played: &PlayedChord, key: Key, by: Interval, choices: Choices) -> Harmony {
    let chord = played.plan.in_key(key, by);
    if choices.plays(played.held_by) {
        let chord = sounding(played, key, by);
        Harmony { at: played.at, chord, numeral: played.numeral }
    } else {
        let inversion = played.plan.inversion().unwrap_or(0);
        let numeral = Numeral { inversion, ..played.plan.numeral };
        Harmony { at: played.start, chord, numeral }
    }
}

/// The chords of which no hand sounds a tone that the symbol says, or the bass after its slash as the
/// lowest, each once with the bars where it is so. What a low chord leaves out is told apart from
/// these.
fn untold(
    missing: &[Option<MissingTones>],
    chords: &[PlayedChord],
    metre: Metre,
    in_key: impl Fn(usize) -> Chord,
) -> Vec<UntoldChord> {
    let sounds = missing.iter().enumerate().filter_map(|(index, it)| Some((index, it.as_ref()?)));
    let sounds = sounds.map(|(index, tones)| (index, in_key(index), tones));
    let none = MissingTones::default();
    let is_told = |chord: Chord| sounds.clone().any(|(_, other, it)| other == chord && *it == none);
    let untold = sounds.clone().filter(|(.., it)| **it != none);
    let each = untold.map(|(index, chord, it)| {
        let bar = chords[index].start / metre.bar() + 1;
        ((chord, it), is_told(chord).then_some(bar))
    });
    let of = |((chord, it), bars): ((Chord, &MissingTones), Vec<i32>)| UntoldChord {
        chord,
        tones: it.tones.clone(),
        lacks_bass: it.bass,
        bars,
    };
    with_bars(each).into_iter().map(of).collect()
}

/// A chord in a key, with all that its voicing adds, spelled otherwise by an interval.
fn sounding(played: &PlayedChord, key: Key, by: Interval) -> Chord {
    Chord { kind: played.sounded, ..played.plan.in_key(key, by) }
}

/// The chords of a line of which sounds yielded, each once with what it leaves out.
fn low_chords(
    yielded: &[(usize, LeftOut)],
    line: &[StruckSound],
    metre: Metre,
    in_key: impl Fn(usize) -> Chord,
) -> Vec<LowChord> {
    let is_whole = |chord: Chord| {
        line.iter().enumerate().any(|(index, sound)| {
            let has_yielded = yielded.iter().any(|(other, _)| *other == index);
            !has_yielded && sound.intervals.len() > 1 && in_key(sound.chord) == chord
        })
    };
    let each = yielded.iter().map(|(index, left_out)| {
        let sound = &line[*index];
        let chord = in_key(sound.chord);
        let bar = sound.at / metre.bar() + 1;
        ((chord, *left_out), is_whole(chord).then_some(bar))
    });
    let of = |((chord, left_out), bars)| LowChord { chord, left_out, bars };
    with_bars(each).into_iter().map(of).collect()
}

/// The chords that are somewhere hard, among those held: when each is struck, and whether it is hard
/// there.
fn in_bars(
    held: &[(usize, Ticks, bool)],
    metre: Metre,
    in_key: impl Fn(usize) -> Chord,
) -> Vec<ChordInBars> {
    let is_easy =
        |chord: Chord| held.iter().any(|(index, _, is_hard)| !is_hard && in_key(*index) == chord);
    let hard = held.iter().filter(|(.., is_hard)| *is_hard).map(|(index, at, _)| {
        let chord = in_key(*index);
        (chord, is_easy(chord).then_some(at / metre.bar() + 1))
    });
    with_bars(hard).into_iter().map(|(chord, bars)| ChordInBars { chord, bars }).collect()
}

/// What there is, each once, with all the bars that are given for it.
fn with_bars<T: PartialEq>(each: impl Iterator<Item = (T, Option<i32>)>) -> Vec<(T, Vec<i32>)> {
    let mut all: Vec<(T, Vec<i32>)> = Vec::new();
    for (own, bar) in each {
        let place = all.iter().position(|(there, _)| *there == own).unwrap_or_else(|| {
            all.push((own, Vec::new()));
            all.len() - 1
        });
        let bars = &mut all[place].1;
        bars.extend(bar.filter(|bar| !bars.contains(bar)));
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::choices::Hands;
    use crate::drill::library;
    use crate::drill::line::is_veiled;
    use crate::fingering::FingeringMarks;
    use crate::score::CountStroke;
    use crate::theory::{NoteName, Pitch};

    /// Whether a name is one that a note which belongs nowhere may have for another: with a plain one for
    /// a veiled flat or a double sign, or the flat where it was plain in C.
    fn is_plainer(here: NoteName, there: NoteName) -> bool {
        there.alter.abs() > 1 || is_veiled(there) || here.alter == -1 && there.alter >= 0
    }

    /// Columns are found by it.
    #[test]
    fn harmonies_stand_in_order_of_time_whoever_plays() {
        for (name, text) in library::all() {
            let template = Template::parse(text, name).unwrap();
            for hands in [Hands::Together, Hands::Right, Hands::Left] {
                let choices = Choices { hands, ..Choices::default() };
                let score = realise(&template, "E".parse().unwrap(), choices);
                assert!(score.harmonies.is_sorted_by_key(|it| it.at), "{name}, {hands:?}");
            }
        }
    }

    /// The transposing law: a drill in any key is the drill in C moved, letter for letter, but for
    /// chords that are spelled otherwise there, whole. The hands may lie in other octaves, and low
    /// chords be thinner.
    #[test]
    fn a_drill_in_any_key_is_the_drill_in_c_moved() {
        for (name, text) in library::all() {
            let template = Template::parse(text, name).unwrap();
            let choices = Choices { fingering: FingeringMarks::None, ..Choices::default() };
            let names = |key: Key| -> Vec<Vec<NoteName>> {
                let score = realise(&template, key, choices);
                let staves = score.bars.iter().flat_map(|bar| bar.staves.iter());
                let events = staves.flat_map(|staff| &staff.events);
                events
                    .map(|event| event.notes.iter().map(|note| note.pitch.name).collect())
                    .collect()
            };
            let in_c = names("C".parse().unwrap());
            for key in Key::majors() {
                let own = key.in_mode(template.mode);
                let up = interval_from_c(own);
                let respelled = DrillSketch::of(&template).respellings(own);
                for (here, there) in names(key).iter().zip(&in_c) {
                    let within = |some: &[NoteName], all: &[NoteName]| {
                        some.iter().all(|name| all.contains(name))
                    };
                    let is_moved = respelled.iter().any(|otherwise| {
                        let up = up.plus(*otherwise);
                        let moved: Vec<_> = there.iter().map(|name| name.up(up)).collect();
                        let is_same = within(here, &moved) || within(&moved, here);
                        // What only leads on or colours has no double sign, F♭ or C♭ here, nor has in C.
                        let leads = matches!((here.as_slice(), moved.as_slice()), ([here], [there])
                            if here.pitch_class() == there.pitch_class() && is_plainer(*here, *there));
                        // Nor has a triad over its chord, where it can be helped.
                        let sounds = |names: &[NoteName]| -> Vec<i32> {
                            names.iter().map(|name| name.pitch_class()).collect()
                        };
                        let is_triad = here.len() == 3 && sounds(here) == sounds(&moved);
                        if leads || is_triad {
                            return true;
                        }
                        is_same && here.first() == moved.first() && here.last() == moved.last()
                    });
                    assert!(is_moved, "{name} in {key}: {here:?} for {there:?}");
                }
            }
        }
    }

    /// What the remarks count is counted once: a chord is the same in another octave.
    #[test]
    fn no_chord_is_remarked_on_twice() {
        let mut low = 0;
        for (name, text) in library::all() {
            let template = Template::parse(text, name).unwrap();
            for key in Key::majors() {
                let score = realise(&template, key, Choices::default());
                for (index, one) in score.low_chords.iter().enumerate() {
                    assert!(!score.low_chords[..index].contains(one), "{name} in {key}: {one:?}");
                    low += 1;
                }
            }
        }
        assert!(low > 0);
    }

    /// What is wide in some bars alone is told with them; what is so everywhere, without.
    #[test]
    fn wide_chords_are_told_with_their_bars() {
        let text = "name = \"own\"\ntitle = \"Own\"\nmetre = \"4/4\"\nmode = \"major\"\n\
                    [[passage]]\ndegrees = [1, 1, 2, 1]\nbeats = 4\nnote = \"whole\"\nfigure = \"1\"\n\
                    voicing = [\"3+5+8\", \"1+5+10\", \"1+5+10\", \"1+5+10\"]\n\
                    comping = \"on-beat\"\n";
        let template = Template::parse(text, "own").unwrap();
        let score = realise(&template, "C".parse().unwrap(), Choices::default());
        let bars = score.wide_chords.into_iter().map(|chord| chord.bars);
        assert_eq!(bars.collect::<Vec<_>>(), [vec![2, 4], vec![]]);
    }

    fn interval_from_c(key: Key) -> Interval {
        let c = Pitch::new("C".parse::<Key>().unwrap().tonic(), 4);
        let tonic = Pitch::new(key.tonic(), 4);
        Interval { steps: tonic.staff_step() - c.staff_step(), semitones: tonic.midi() - c.midi() }
    }

    /// Under triplets a swung off-beat is their last third, and is counted with it; an even one
    /// stands between them, with a count of its own (common practice, no source).
    #[test]
    fn off_beats_swing_with_triplets() {
        let text = "name = \"own\"\ntitle = \"Own\"\nmetre = \"4/4\"\nmode = \"major\"\n\
                    [[passage]]\ndegrees = [1]\nbeats = 4\nnote = \"triplet\"\n\
                    figure = \"1 3 5 7 5 3 1 3 5 7 5 3\"\nvoicing = \"close\"\ncomping = \"1 2&\"\n";
        let template = Template::parse(text, "own").unwrap();
        let key = "C".parse().unwrap();
        for (feel, at, counts) in [(Feel::Swing, 80, 12), (Feel::Even, 72, 13)] {
            let score = realise(&template, key, Choices { feel: Some(feel), ..Choices::default() });
            let left = &score.bars[0].staves.left.events;
            let struck: Vec<i32> = left
                .iter()
                .filter(|event| !event.is_rest() && !event.is_tied_in())
                .map(|event| event.at)
                .collect();
            assert_eq!(struck, [0, at], "{feel:?}");
            assert_eq!(score.counts.len(), counts, "{feel:?}");
            let counted = score.counts.iter().find(|count| count.at == at).unwrap();
            assert_ne!(counted.strokes.left, CountStroke::None, "{feel:?}");
        }
    }
}
