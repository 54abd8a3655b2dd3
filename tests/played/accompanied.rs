//! The laws of the rhythm section: over all drills and keys, and over random progressions.

use std::collections::BTreeSet;

use quintfall::chart::{HeldChord, Unfolded};
use quintfall::score::{Feel, Metre, QUARTER, Stay, Ticks};
use quintfall::sound::{
    AccompaniedTune, Groove, Part, Performance, PlayedStroke, Pulses, TrackOptions, play_drill,
    play_tune,
};
use quintfall::theory::{Chord, ChordKind, Interval, Key, NoteName};

use crate::{drills, exercise, strokes, with};

/// E1 to G3, the range of a double bass that walks (common practice).
const RANGE: std::ops::RangeInclusive<u8> = 28..=55;

/// What looks like chance and is the same each time.
struct Dice(u64);

impl Dice {
    fn throw(&mut self, sides: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % sides
    }
}

fn class(name: NoteName) -> i32 {
    name.pitch_class().rem_euclid(12)
}

/// What a bass may rest on: the chord's tones and its bass.
fn tones(chord: &Chord) -> BTreeSet<i32> {
    let frame = chord.kind.frame().into_iter().flatten().map(|tone| chord.root.up(tone));
    frame.chain(chord.bass).map(class).collect()
}

/// A progression of any chords over any roots, some over another bass, in bars of a metre: a chord
/// a bar, two bars or half a bar, and now and then none.
fn random_tune(dice: &mut Dice, metre: Metre) -> Unfolded {
    let kinds: Vec<ChordKind> = ChordKind::all().collect();
    let beats = metre.bar() / metre.felt_beat();
    let (mut at, mut changes) = (0, Vec::new());
    let bars = 8 + dice.throw(16);
    let end = metre.bar() * bars as Ticks;
    while at < end {
        let length = match dice.throw(6) {
            0 => 2 * metre.bar(),
            1 if beats > 2 => 2 * metre.felt_beat(),
            _ => metre.bar(),
        };
        // Whatever comes after half a bar fills it.
        let length = if at % metre.bar() == 0 { length } else { metre.bar() - at % metre.bar() };
        let length = length.min(end - at);
        let root = NoteName::parse(
            ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"][dice.throw(12)],
        )
        .unwrap();
        let chord = Chord::new(root, kinds[dice.throw(kinds.len())]);
        let chord = match dice.throw(8) {
            0 => chord.notes().nth(1).map(|bass| chord.over(bass)),
            1 if !changes.is_empty() => None,
            _ => Some(chord),
        };
        changes.push(HeldChord { written: changes.len(), at, length, chord });
        at += length;
    }
    Unfolded { metre, bars, sections: vec![0], changes, before_another: None }
}

pub(crate) fn about(feel: Feel) -> AccompaniedTune {
    AccompaniedTune { title: "Any".to_owned(), sections: Vec::new(), feel }
}

/// The chords of a tune as often as it is played, without those where none is.
pub(crate) fn stays(tune: &Unfolded, choruses: usize) -> Vec<Stay> {
    let again = tune.before_another.as_deref().unwrap_or(tune);
    let length = tune.metre.bar() * again.bars as Ticks;
    let chorus = |index: usize| {
        let heard = if index + 1 < choruses { again } else { tune };
        heard.changes.iter().filter_map(move |change| {
            // What stands before the first bar is not played.
            let (at, end) = (change.at.max(0), change.at + change.length);
            let (chord, from) = (change.chord.filter(|_| at < end)?, index as Ticks * length);
            Some(Stay { at: at + from, end: end + from, chord, scale: chord.kind.scale() })
        })
    };
    (0..choruses).flat_map(chorus).collect()
}

/// A bass over chords: strokes in ticks from the first bar on.
pub(crate) fn line(played: &Performance, count: Pulses) -> Vec<(Ticks, &PlayedStroke)> {
    let own = strokes(played, Part::Bass).iter();
    own.map(|it| (((it.at - count) / 10) as Ticks, it)).collect()
}

fn chord_at(stays: &[Stay], at: Ticks) -> Option<&Stay> {
    stays.iter().find(|stay| (stay.at..stay.end).contains(&at))
}

/// What holds of every bass.
pub(crate) fn is_a_bass(name: &str, metre: Metre, stays: &[Stay], line: &[(Ticks, &PlayedStroke)]) {
    let pitches: Vec<u8> = line.iter().map(|(_, it)| it.pitch).collect();
    for (at, stroke) in line {
        assert!(RANGE.contains(&stroke.pitch), "{name}: {} at {at}", stroke.pitch);
        assert!(chord_at(stays, *at).is_some() || at % QUARTER != 0, "{name}: no chord at {at}");
        if at % metre.bar() == 0 {
            let chord = chord_at(stays, *at).unwrap().chord;
            let class = i32::from(stroke.pitch) % 12;
            assert!(tones(&chord).contains(&class), "{name}: {class} on one over {chord:?}, {at}");
        }
    }
    for (place, three) in pitches.windows(3).enumerate() {
        // Where no chord was played the line begins anew.
        let beats = (line[place].0..line[place + 2].0).step_by(metre.felt_beat() as usize);
        let is_joined = beats.into_iter().all(|at| chord_at(stays, at).is_some());
        let is_new = |pitch: &u8| *pitch != three[0];
        assert!(!is_joined || three.iter().any(is_new), "{name}: {three:?} at {:?}", line[place].0);
    }
    for pair in line.windows(2) {
        let (one, other) = (pair[0].1, pair[1].1);
        assert!(one.at + one.length <= other.at, "{name}: two notes at once at {}", other.at);
    }
}

/// What holds of one that walks: a note on every beat, the root or the bass where the chord
/// changes, led to by step or from its fifth where there is time, and leaps that are recovered.
pub(crate) fn walks(name: &str, metre: Metre, stays: &[Stay], line: &[(Ticks, &PlayedStroke)]) {
    let beat = metre.felt_beat();
    for stay in stays {
        for at in (stay.at..stay.end).step_by(beat as usize) {
            assert!(line.iter().any(|(own, _)| *own == at), "{name}: no note on the beat at {at}");
        }
    }
    let foot = |stay: &Stay| class(stay.chord.bass.unwrap_or(stay.chord.root));
    for (place, (at, stroke)) in line.iter().enumerate() {
        let stay = chord_at(stays, *at).unwrap();
        let before = place.checked_sub(1).map(|it| line[it]).filter(|it| at - it.0 == beat);
        let is_same = |before: &Stay| {
            let own = |it: &Stay| (foot(it), it.chord.root, it.chord.kind.frame());
            before.end == stay.at && own(before) == own(stay)
        };
        if stay.at == *at && !stays.iter().any(is_same) {
            assert_eq!(i32::from(stroke.pitch) % 12, foot(stay), "{name}: no root at {at}");
            let Some((before_at, before)) = before else { continue };
            let last = chord_at(stays, before_at).unwrap();
            let has_time = last.end - last.at > beat;
            let step = i32::from(stroke.pitch) - i32::from(before.pitch);
            if has_time && foot(last) != foot(stay) {
                // A bass that falls by a semitone leads by itself, from any tone of its chord near by.
                let falls = (foot(last) - foot(stay)).rem_euclid(12) == 1
                    && tones(&last.chord).contains(&(i32::from(before.pitch) % 12));
                let leads = [-7, -2, -1, 1, 2, 5].contains(&step)
                    || falls && [-4, -3, 3, 4].contains(&step);
                assert!(leads, "{name}: {step} into the root at {at}");
            }
        }
    }
    for three in line.windows(3).filter(|it| it[2].0 - it[0].0 == 2 * beat) {
        let [one, two, last] = [0, 1, 2].map(|it| i32::from(three[it].1.pitch));
        let (there, back) = (two - one, last - two);
        assert!(there.abs() <= 12, "{name}: a leap of {there} at {}", three[0].0);
        assert!(there.abs() <= 7 || there * back < 0, "{name}: {there}, {back} at {}", three[0].0);
    }
}

const GROOVES: [Groove; 5] =
    [Groove::Walking, Groove::TwoFeel, Groove::Bossa, Groove::Waltz, Groove::Ballad];

#[test]
fn the_bass_keeps_its_laws_over_all_drills_in_all_keys() {
    let mut notes = 0;
    for template in drills() {
        for (turn, key) in Key::ring(template.mode).into_iter().enumerate() {
            let own = exercise(&template, &[key], 120);
            let drill = own.drill();
            let fitting = GROOVES.into_iter().filter(|it| it.fits(template.metre));
            let fitting: Vec<Groove> = fitting.collect();
            let groove = fitting[turn % fitting.len()];
            let name = format!("{} in {key}, {}", template.name, groove.word());
            let options = TrackOptions {
                groove: Some(groove),
                seed: turn as u64,
                count_in: 0,
                ..with(&[Part::Bass])
            };
            let played = play_drill(&own, 120, &options).unwrap();
            // Repeats are played out, and so is the harmony; here drills without them.
            let bars = own.score(&drill, own.keys[0]).bars.len() as Ticks;
            let line = line(&played, 0);
            let length = bars * template.metre.bar();
            if template.passages.iter().any(|it| it.form.repeat.is_some()) {
                assert!(line.iter().all(|(_, it)| RANGE.contains(&it.pitch)), "{name}");
                continue;
            }
            let stays: Vec<Stay> = drill.stays(own.keys[0]).collect();
            is_a_bass(&name, template.metre, &stays, &line);
            let is_held = played.length > (length * 10) as Pulses;
            if groove == Groove::Walking && !is_held {
                walks(&name, template.metre, &stays, &line);
            } else if groove == Groove::Walking {
                // The last bar is held.
                let last = length - template.metre.bar();
                let cut = |stay: &Stay| Stay { end: stay.end.min(last), ..*stay };
                let stays: Vec<Stay> = stays.iter().map(cut).filter(|it| it.at < it.end).collect();
                let line: Vec<_> = line.iter().copied().filter(|it| it.0 < last).collect();
                walks(&name, template.metre, &stays, &line);
            }
            notes += line.len();
        }
    }
    assert!(notes > 10_000, "{notes}");
}

#[test]
fn the_bass_keeps_its_laws_over_random_progressions() {
    let mut dice = Dice(14);
    let mut notes = 0;
    for round in 0..400 {
        let metre = Metre::ALL[dice.throw(Metre::ALL.len())];
        let tune = random_tune(&mut dice, metre);
        let groove = GROOVES[dice.throw(GROOVES.len())];
        let groove = if groove.fits(metre) { groove } else { Groove::Walking };
        let choruses = 1 + dice.throw(3);
        let options = TrackOptions {
            groove: Some(groove),
            choruses,
            seed: round,
            count_in: 0,
            ..with(&[Part::Bass])
        };
        let played = play_tune(&[(tune.clone(), None)], &about(Feel::Even), 120, &options).unwrap();
        let name = format!("progression {round} in {metre}, {}: {:?}", groove.word(), tune.changes);
        let (stays, line) = (stays(&tune, choruses), line(&played, 0));
        is_a_bass(&name, metre, &stays, &line);
        if groove == Groove::Walking {
            walks(&name, metre, &stays, &line);
        }
        notes += line.len();
    }
    assert!(notes > 10_000, "{notes}");
}

/// A hand that walks, or rests on root and fifth, is the bass; a hand with chords is none.
#[test]
fn no_bass_plays_beside_a_hand_that_is_one() {
    for (name, has_own) in
        [("walking-bass", true), ("two-feel", true), ("pushed", false), ("solid", false)]
    {
        let template = drills().into_iter().find(|it| it.name == name).unwrap();
        for key in Key::ring(template.mode) {
            let played =
                play_drill(&exercise(&template, &[key], 120), 120, &TrackOptions::default());
            let parts: Vec<Part> = played.unwrap().tracks.iter().map(|it| it.part).collect();
            assert_eq!(parts.contains(&Part::Bass), !has_own, "{name} in {key}: {parts:?}");
            assert!(parts.contains(&Part::HiHat), "{name} in {key}: {parts:?}");
        }
    }
}

/// Soft chords lie in their range, are made of the chord and its ninth, and move little.
#[test]
fn comping_belongs_to_its_chord_and_is_led_from_one_to_the_next() {
    let mut dice = Dice(3);
    let (mut chords, mut moved) = (0, 0.0);
    for round in 0..200 {
        let metre = Metre::ALL[dice.throw(Metre::ALL.len())];
        let tune = random_tune(&mut dice, metre);
        let options = TrackOptions { seed: round, count_in: 0, ..with(&[Part::Comping]) };
        let Ok(played) = play_tune(&[(tune.clone(), None)], &about(Feel::Even), 120, &options)
        else {
            continue;
        };
        let stays = stays(&tune, 1);
        let all = strokes(&played, Part::Comping);
        let mut before: Option<Vec<u8>> = None;
        let moments: BTreeSet<Pulses> = all.iter().map(|it| it.at).collect();
        for at in moments {
            let pitches: Vec<u8> = all.iter().filter(|it| it.at == at).map(|it| it.pitch).collect();
            assert!((2..=4).contains(&pitches.len()), "{round}: {pitches:?}");
            assert!(pitches.iter().all(|it| (49..=79).contains(it)), "{round}: {pitches:?}");
            // A stroke ahead of a beat belongs to the chord that comes.
            let tick = (at / 10) as Ticks;
            let ahead = metre.beat_of(tick + metre.felt_beat() - 1).max(tick);
            let belongs = |stay: &Stay| {
                let mut own: BTreeSet<i32> = stay.chord.notes().map(class).collect();
                // No ninth but a whole tone above the root, whatever key that is of.
                own.insert(class(stay.chord.root.up(Interval::MAJOR_SECOND)));
                pitches.iter().all(|pitch| own.contains(&(i32::from(*pitch) % 12)))
            };
            let near = [tick, ahead].into_iter().filter_map(|it| chord_at(&stays, it));
            assert!(
                near.into_iter().any(belongs),
                "{round}: {pitches:?} at {tick} of {:?}",
                tune.changes
            );
            if let Some(before) = before.replace(pitches.clone()).filter(|it| *it != pitches) {
                let nearest =
                    |it: &u8| before.iter().map(|other| other.abs_diff(*it)).min().unwrap();
                let motion: u8 = pitches.iter().map(nearest).sum();
                moved += f64::from(motion) / pitches.len() as f64;
                chords += 1;
            }
        }
    }
    // Over roots that are thrown: a whole tone a voice.
    assert!(chords > 500 && moved / f64::from(chords) < 2.0, "{moved} in {chords}");
}

/// Ten lines to look at: pitches by bar under their chords.
#[test]
#[ignore = "prints lines for a bass player to judge"]
fn lines_to_read() {
    const NAMES: [&str; 12] = ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"];
    for (name, key) in [
        ("three-chord-blues", "F"),
        ("blues-changes", "Bb"),
        ("minor-blues", "C"),
        ("two-five-one", "Eb"),
        ("dominant-bridge", "G"),
        ("turnaround", "C"),
        ("secondary-dominants", "D"),
        ("backdoor", "F"),
        ("pushed", "Db"),
        ("jazz-waltz", "A"),
    ] {
        let template = drills().into_iter().find(|it| it.name == name).unwrap();
        let own = exercise(&template, &[key.parse().unwrap()], 120);
        for groove in [Groove::Walking, Groove::TwoFeel] {
            let options = TrackOptions { groove: Some(groove), count_in: 0, ..with(&[Part::Bass]) };
            let played = play_drill(&own, 120, &options).unwrap();
            println!("\n{name} in {key}, {}", groove.word());
            let drill = own.drill();
            let stays: Vec<Stay> = drill.stays(own.keys[0]).collect();
            for (at, stroke) in line(&played, 0) {
                if at % template.metre.bar() == 0 {
                    print!("\n{:>3} |", at / template.metre.bar() + 1);
                }
                if let Some(stay) = stays.iter().find(|it| it.at == at) {
                    print!(" [{}]", stay.chord.root);
                }
                let pitch = usize::from(stroke.pitch);
                print!(" {}{}", NAMES[pitch % 12], pitch / 12 - 1);
            }
        }
    }
}
