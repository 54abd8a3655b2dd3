//! The sketch of a drill, before any key is chosen: who strikes what and when, in intervals above the tonic.

use std::ops::Range;

use super::bass::{self, TimedStep};
use super::compose::{self, BassClose, BassJoins, BassNext, ChordGround};
use super::followers::{comes_to_rest, followers};
use super::language::comping::Comping;
use super::language::figure::{Figure, FigureStep, PlacedTone, Sounding, Tone, place, place_below};
use super::language::harmony::ChordPlan;
use super::language::spelling::{is_triad, respellings, symbol_respellings};
use super::language::voicing::LaidVoicing;
use super::struck::StruckSound;
use super::template::{Entry, Passage, Template};
use crate::score::{ByHand, Hand, Metre, QUARTER, Ticks};
use crate::theory::{ChordKind, Interval, Key, NamedScale, Numeral};

/// A chord of the drill.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct PlayedChord {
    pub(super) plan: ChordPlan,
    /// Its numeral, with the inversion that it is laid out in.
    pub(super) numeral: Numeral,
    /// Its kind as it sounds, with all the tones that its voicing adds.
    pub(super) sounded: ChordKind,
    /// Whether the left hand has a bass under it and does not hold it.
    pub(super) has_bass: bool,
    /// When it first sounds, and its symbol stands.
    pub(super) at: Ticks,
    /// When the harmony changes to it, whether or not a hand is early.
    pub(super) start: Ticks,
    /// The hand that holds it; the other one has the figure.
    pub(super) held_by: Hand,
    end: Ticks,
    pub(super) laid: LaidVoicing,
}

impl PlayedChord {
    /// Whether it, the scale that goes with it, or its key has a note by name.
    pub(super) fn has(&self, note: Interval) -> bool {
        let above = note.plus(self.plan.root.down()).simple();
        let is_of_scale = || (1..=7).any(|step| self.plan.step(step).simple() == note.simple());
        self.sounded.tones().any(|tone| tone.simple() == above)
            || self.plan.knows(note)
            || is_of_scale()
    }
}

/// What the symbol of a chord says and no hand plays.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct MissingTones {
    /// Tones above its root.
    pub(super) tones: Vec<Interval>,
    /// Whether its bass of its own is never the lowest note.
    pub(super) bass: bool,
}

/// A drill in no key.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct DrillSketch {
    pub(super) chords: Vec<PlayedChord>,
    /// What each hand strikes.
    pub(super) lines: ByHand<Vec<StruckSound>>,
    /// Whether a voicing lies in two hands, so that these keep their distance.
    pub(super) is_two_handed: bool,
    /// Whether a hand has a bass by name, or walks.
    pub(super) has_bass_line: bool,
}

/// An octave down: what the upper half of a two-handed voicing is written at, so that it lies in
/// its place where the right hand counts from an octave above the left.
const OCTAVE_DOWN: i32 = -1;

impl DrillSketch {
    /// Sketches a template.
    pub(super) fn of(template: &Template) -> Self {
        let mut sketch = Self {
            chords: chords(template),
            lines: ByHand::default(),
            has_bass_line: bass::has_line(template),
            is_two_handed: template
                .passages
                .iter()
                .any(|passage| passage.voicings.iter().any(|voicing| voicing.is_two_handed())),
        };
        let mut first = 0;
        for passage in &template.passages {
            sketch.play_figures(passage, first);
            first += passage.degrees.len();
        }
        let figures = sketch.lines.clone();
        let chords = chords_of_passages(template);
        let walks = |passage: &Passage| passage.comping == Comping::Walking;
        let (walking, others): (Vec<usize>, Vec<usize>) =
            (0..chords.len()).partition(|index| walks(&template.passages[*index]));
        for index in others {
            let (passage, own) = (&template.passages[index], chords[index].clone());
            let rests = comes_to_rest(&template.passages, index);
            sketch.play_chords(passage, (template.metre, rests), own, &figures);
        }
        bass::settle(&mut sketch.lines, template, &chords);
        // A bass that walks comes from what is there and goes on to it.
        for index in walking {
            sketch.walk(template, &chords, index);
        }
        sketch.finish(template);
        sketch
    }

    /// Adds the walking bass of a passage, joined to what is heard before and after it.
    fn walk(&mut self, template: &Template, chords: &[Range<usize>], index: usize) {
        let passage = &template.passages[index];
        let (own, hand) = (chords[index].clone(), passage.hand_below());
        let followers = followers(&template.passages);
        let start_of = |index: usize| self.chords[chords[index].start].start;
        let end_of = |index: usize| self.chords[chords[index].end - 1].end;
        let is_one = |sound: &&StruckSound| sound.intervals.len() == 1;
        let before = (0..chords.len()).filter(|other| followers[*other].contains(&index));
        let last_of = |other: usize| {
            let sounds = self.lines[hand].iter().filter(|it| it.end == end_of(other));
            sounds.filter(is_one).map(|it| it.intervals[0]).next_back()
        };
        let next_of = |other: usize| {
            let sounds = self.lines[hand].iter().filter(|it| it.at == start_of(other));
            let known = sounds.filter(is_one).map(|it| BassNext::Note(it.intervals[0])).next();
            let is_bass = template.passages[other].comping == Comping::Walking;
            let plan = &self.chords[chords[other].start].plan;
            known.or(is_bass.then(|| BassNext::Foot(plan.foot())))
        };
        let is_last = index + 1 == chords.len();
        // What goes on from there elsewhere may end there too.
        let goes_elsewhere = passage.form.way_on.is_some();
        let close = match followers[index].is_empty() {
            _ if goes_elsewhere => BassClose::Root,
            true => BassClose::Held,
            false if is_last => BassClose::Root,
            false => BassClose::Open,
        };
        // From the last of all that is mostly the beginning.
        let back = [0].into_iter().filter(|_| goes_elsewhere && is_last);
        let joins = BassJoins {
            close,
            before: before.filter_map(last_of).collect(),
            after: followers[index].iter().copied().chain(back).filter_map(next_of).collect(),
        };
        let grounds = self.grounds(own.clone(), |plan| plan.bass.map(|_| plan.foot()));
        let seed = passage.line.unwrap_or(compose::USUAL_SEED);
        let bass = compose::walking(&grounds, template.metre, (seed, joins));
        let walking =
            |note| StruckSound { is_walking: true, ..StruckSound::composed(note, own.start) };
        self.lines[hand].extend(bass.iter().map(walking));
    }

    /// Adds the figures of a passage whose first chord has an index.
    fn play_figures(&mut self, passage: &Passage, first: usize) {
        let hand = if passage.is_swapped { Hand::Left } else { Hand::Right };
        if let Some(seed) = passage.line {
            // The other hand has the bass.
            let grounds = self.grounds(first..first + passage.degrees.len(), |_| None);
            let line = compose::line(&grounds, QUARTER, seed);
            self.lines[hand].extend(line.iter().map(|note| StruckSound::composed(note, first)));
            return;
        }
        for index in 0..passage.degrees.len() {
            self.play_figure(passage.figure(index), passage.scale(index), hand, first + index);
        }
    }

    /// Chords as those see them who compose a line over them.
    fn grounds(
        &self,
        own: Range<usize>,
        bass: impl Fn(&ChordPlan) -> Option<Interval>,
    ) -> Vec<ChordGround> {
        let ground = |played: &PlayedChord| {
            let ground = ChordGround::of(&played.plan, played.start, played.end);
            ChordGround { bass: bass(&played.plan), ..ground }
        };
        self.chords[own].iter().map(ground).collect()
    }

    /// By what each chord, and all that is played over it, is spelled otherwise in a key.
    pub(super) fn respellings(&self, key: Key) -> Vec<Interval> {
        respellings(&self.plans(), key)
    }

    /// The same for the symbols of the chords.
    pub(super) fn symbol_respellings(&self, key: Key) -> Vec<Interval> {
        symbol_respellings(&self.plans(), key)
    }

    fn plans(&self) -> Vec<ChordPlan> {
        self.chords.iter().map(|played| played.plan).collect()
    }

    /// From when to when the harmony stays with each chord.
    pub(super) fn stays(&self) -> impl Iterator<Item = (Ticks, Ticks, &ChordPlan)> {
        self.chords.iter().map(|played| (played.start, played.end, &played.plan))
    }

    /// Adds a figure over a chord to the line of a hand.
    fn play_figure(
        &mut self,
        figure: &Figure,
        scale: Option<NamedScale>,
        hand: Hand,
        chord: usize,
    ) {
        let over = self.over(figure, chord);
        self.play(over, hand, chord, |tones, plan| place(tones, plan, scale));
    }

    /// Adds a figure below a chord, on what it rests, to the line of a hand.
    fn play_line(&mut self, figure: &Figure, hand: Hand, chord: usize) {
        let over = self.over(figure, chord);
        self.play(over, hand, chord, place_below);
    }

    /// Adds a bass below a chord, which is held at the end where the music comes to rest.
    fn play_bass(&mut self, figure: &Figure, hand: Hand, chord: usize, held: (Metre, bool)) {
        let PlayedChord { plan, start, end, .. } = self.chords[chord];
        let before = self.lines[hand].len();
        self.play(bass::steps(figure, start..end, held), hand, chord, place_below);
        let octaves = -bass::octave_of(plan.root);
        self.lines[hand][before..].iter_mut().for_each(|sound| sound.move_by(octaves));
    }

    /// When the steps of a figure over a chord begin and end.
    fn over<'a>(&self, figure: &'a Figure, chord: usize) -> Vec<TimedStep<'a>> {
        let PlayedChord { start, end, .. } = self.chords[chord];
        let over = figure.over(end - start);
        over.map(|(begins, ends, step)| (start + begins, start + ends, step)).collect()
    }

    fn play(
        &mut self,
        over: Vec<TimedStep<'_>>,
        hand: Hand,
        chord: usize,
        place: impl Fn(&[Tone], &ChordPlan) -> Vec<PlacedTone>,
    ) {
        let played = &self.chords[chord];
        let line = &mut self.lines[hand];
        for (at, end, step) in over {
            let placed: Vec<PlacedTone> = match &step.sounding {
                Sounding::Rest => continue,
                Sounding::Tied => {
                    // What other passages have given the hand may stand behind it.
                    let before = line.iter_mut().rfind(|before| before.end == at);
                    before.expect("a judged figure is tied to what sounds").end = end;
                    continue;
                }
                Sounding::Tones(tones) => place(tones, &played.plan),
                Sounding::Chord => played.laid.lower.clone(),
                Sounding::Upper => {
                    let down = |tone: &PlacedTone| {
                        let interval = tone.interval.plus_octaves(OCTAVE_DOWN);
                        PlacedTone { interval, ..*tone }
                    };
                    played.laid.upper.iter().map(down).collect()
                }
            };
            let sound = StruckSound::plain(at, end, &placed, chord);
            let is_figure = matches!(step.sounding, Sounding::Tones(_));
            line.push(StruckSound { is_triad: is_figure && is_triad(&sound.intervals), ..sound });
        }
    }

    /// Adds the strokes of the hand that holds the chords of a passage, beside all `figures`.
    fn play_chords(
        &mut self,
        passage: &Passage,
        (metre, rests): (Metre, bool),
        own: Range<usize>,
        figures: &ByHand<Vec<StruckSound>>,
    ) {
        let hand = passage.hand_below();
        match &passage.comping {
            Comping::Line(turns) => {
                for (chord, figure) in own.zip(turns.iter().cycle()) {
                    self.play_line(figure, hand, chord);
                }
                return;
            }
            Comping::Bass(turns) => {
                let last = own.end - 1;
                for (chord, figure) in own.zip(turns.iter().cycle()) {
                    self.play_bass(figure, hand, chord, (metre, rests && chord == last));
                }
                return;
            }
            _ => {}
        }
        let mut sounds: Vec<StruckSound> = Vec::new();
        for struck in strokes(passage, metre, &self.chords, own) {
            let played = &mut self.chords[struck.chord];
            // A push gives way to a figure that the same hand plays until its chord begins.
            let plays = |sound: &StruckSound| sound.at >= struck.at && sound.chord < struck.chord;
            let is_busy = struck.at < played.start && figures[hand].iter().any(plays);
            let at = if is_busy { played.start } else { struck.at };
            played.at = played.at.min(at);
            let end = struck.length.map_or(played.end, |length| at + length);
            let lower = &played.laid.lower;
            let sound = StruckSound::plain(at, end.min(played.end), lower, struck.chord);
            sounds.push(StruckSound { staccato: struck.is_short, ..sound });
        }
        self.lines[hand].extend(sounds);
    }

    /// What the symbol of each chord says and no hand plays; nothing where nothing of the chord
    /// sounds.
    pub(super) fn missing(&self) -> Vec<Option<MissingTones>> {
        let mut heard: Vec<Vec<Interval>> = vec![Vec::new(); self.chords.len()];
        for sound in self.lines.iter().flatten() {
            let root = self.chords[sound.chord].plan.root;
            let above = sound.intervals.iter().map(|note| note.plus(root.down()).simple());
            heard[sound.chord].extend(above);
        }
        let missing = |(index, heard): (usize, Vec<Interval>)| {
            let played = &self.chords[index];
            // Lines spell some tones by their key.
            let class = |tone: &Interval| tone.semitones.rem_euclid(12);
            let told = |tone: &Interval| heard.iter().any(|own| class(own) == class(tone));
            let missing = played.sounded.defining().filter(|tone| !told(tone));
            let bass = played.plan.bass.is_some_and(|bass| !self.rests_on(index, bass));
            (!heard.is_empty()).then(|| MissingTones { tones: missing.collect(), bass })
        };
        heard.into_iter().enumerate().map(missing).collect()
    }

    /// Whether the lower hand that plays a chord has a note at its bottom at any time.
    fn rests_on(&self, chord: usize, bass: Interval) -> bool {
        let own = |hand: Hand| self.lines[hand].iter().filter(move |it| it.chord == chord);
        let hand = if own(Hand::Left).next().is_some() { Hand::Left } else { Hand::Right };
        let lowest = |sound: &StruckSound| sound.intervals.iter().map(|it| it.semitones).min();
        own(hand).filter_map(lowest).any(|low| (low - bass.semitones).rem_euclid(12) == 0)
    }
}

/// The chords of each passage, by index.
fn chords_of_passages(template: &Template) -> Vec<Range<usize>> {
    let mut first = 0;
    let own = template.passages.iter().map(|passage| {
        let own = first..first + passage.degrees.len();
        first = own.end;
        own
    });
    own.collect()
}

/// The chords of all passages, each at its moment and laid out.
fn chords(template: &Template) -> Vec<PlayedChord> {
    let mut chords: Vec<PlayedChord> = Vec::new();
    let mut start = 0;
    for passage in &template.passages {
        let first = chords.len();
        for (index, degree) in passage.degrees.iter().enumerate() {
            let plan = degree
                .chord(passage.home)
                .expect("every mode in use stacks its thirds into known sevenths");
            let voicing = passage.voicing(index);
            let laid = match (passage.leads_voices && index > 0, chords.last()) {
                (true, Some(before)) => voicing.lead(&plan, &before.laid, &chords[first].laid),
                _ => voicing.lay(&plan),
            };
            // A figure of the left hand, not the chord above it, has the bass.
            let is_over_bass = passage.is_swapped || passage.comping.is_line();
            let inversion = if is_over_bass { 0 } else { laid.inversion };
            let end = start + passage.chord_length(index);
            let held_by = if passage.is_swapped { Hand::Right } else { Hand::Left };
            let sounded = if passage.strikes_chords() { sounded(&plan, &laid) } else { plan.kind };
            let laid = if is_over_bass { laid } else { laid.resting(&plan) };
            // A bass of its own is heard whatever lies above it.
            let inversion = plan.inversion().unwrap_or(inversion);
            let numeral = Numeral { inversion, ..plan.numeral };
            let has_bass = if passage.is_swapped {
                is_bass(passage, index)
            } else {
                passage.comping.is_line()
            };
            let at = start;
            chords.push(PlayedChord {
                plan,
                numeral,
                sounded,
                has_bass,
                at,
                start,
                held_by,
                end,
                laid,
            });
            start = end;
        }
    }
    chords
}

/// Whether the figure of a passage whose hands are changed over is a bass under a chord: roots and
/// fifths alone, one at a time and no shorter than a quarter.
fn is_bass(passage: &Passage, index: usize) -> bool {
    let is_bass = |step: &FigureStep| match &step.sounding {
        Sounding::Rest | Sounding::Tied => true,
        Sounding::Tones(tones) => match tones.as_slice() {
            [tone] => tone.is_root_or_fifth() && step.length >= QUARTER,
            _ => false,
        },
        Sounding::Chord | Sounding::Upper => false,
    };
    passage.line.is_none() && passage.figure(index).steps.iter().all(is_bass)
}

/// The kind of a chord whose symbol is true of all that its voicing sounds; the harmony's where the
/// voicing has no name over it, which the judge does not let pass.
fn sounded(plan: &ChordPlan, laid: &LaidVoicing) -> ChordKind {
    plan.kind.sounded(&laid.above(plan.root)).unwrap_or(plan.kind)
}

/// A stroke of the hand that holds the chords.
struct ChordHit {
    at: Ticks,
    length: Option<Ticks>,
    /// The chord that it strikes, by index.
    chord: usize,
    is_short: bool,
}

/// The strokes of a passage that plays the chords of a range.
fn strokes(
    passage: &Passage,
    metre: Metre,
    chords: &[PlayedChord],
    own: Range<usize>,
) -> Vec<ChordHit> {
    const EIGHTH: Ticks = QUARTER / 2;
    let once_each = |usual: Entry| -> Vec<ChordHit> {
        let strike = |chord: usize| {
            let entry = if chord == own.start { passage.entry } else { usual };
            let early = if entry == Entry::Push { EIGHTH } else { 0 };
            let is_short = entry == Entry::Short;
            ChordHit {
                at: chords[chord].start - early,
                length: is_short.then_some(EIGHTH),
                chord,
                is_short,
            }
        };
        own.clone().map(strike).collect()
    };
    match &passage.comping {
        Comping::Silent | Comping::Line(_) | Comping::Bass(_) | Comping::Walking => Vec::new(),
        Comping::OnBeat => once_each(Entry::Held),
        Comping::Push => once_each(Entry::Push),
        Comping::Strokes(bars) => {
            let start = chords[own.start].start;
            let struck = passage.strokes(bars, metre).map(|(at, chord, length)| ChordHit {
                at: start + at,
                length,
                chord: own.start + chord,
                is_short: false,
            });
            // At the very end there is no chord to bring early.
            struck.filter(|struck| struck.chord < chords.len()).collect()
        }
    }
}

#[cfg(test)]
mod tests;
