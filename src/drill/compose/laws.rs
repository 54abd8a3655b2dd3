//! Laws of composed lines, over many progressions and seeds.

use super::ground::ChordGround;
use super::{BassJoins, line, walking};
use crate::drill::language::harmony::{Degree, PassageHome};
use crate::score::{Metre, QUARTER, Ticks};
use crate::theory::Mode;

/// Progressions of every kind of motion: by step, by thirds, by fifths, by semitone, staying.
const PROGRESSIONS: [&[&str]; 8] = [
    &["I7", "IV7", "I7", "I7", "IV7", "IV7", "I7", "VI7", "ii7", "V7", "I7", "V7"],
    &["Imaj7", "bIII7", "bVImaj7", "bII7#11"],
    &["iiø7", "V7b9b13", "im6", "im6"],
    &["1", "2", "3", "4", "5", "6", "7", "8"],
    &["1", "6", "2", "5", "3", "6", "2", "5"],
    &["I6", "viio7", "I6", "I", "iv", "bVII9", "I6/9", "V7sus4"],
    &["Imaj7", "bII7", "II7", "bIII7", "III7", "IV7", "#IV7", "V7"],
    &["V7alt", "I", "Iaug", "IV5", "V13", "Vm11", "Imaj7#5", "Imaj7"],
];

fn grounds(words: &[&str], mode: Mode, lengths: &[Ticks]) -> Vec<ChordGround> {
    let mut start = 0;
    let each = words.iter().zip(lengths.iter().cycle()).map(|(word, length)| {
        let degree = Degree::parse(word).unwrap_or_else(|_| panic!("{word}"));
        let plan = degree.chord(PassageHome::own(mode)).unwrap();
        let ground = ChordGround::of(&plan, start, start + length);
        start += length;
        ground
    });
    each.collect()
}

fn each_song(mut check: impl FnMut(&str, &[ChordGround], u64)) {
    for words in PROGRESSIONS {
        for lengths in [vec![4 * QUARTER], vec![2 * QUARTER], vec![3 * QUARTER, QUARTER]] {
            for mode in [Mode::Major, Mode::HarmonicMinor, Mode::Dorian] {
                let grounds = grounds(words, mode, &lengths);
                for seed in 0..6 {
                    let name = format!("{words:?}, {lengths:?}, {}, seed {seed}", mode.word());
                    check(&name, &grounds, seed);
                }
            }
        }
    }
}

fn is_tone(ground: &ChordGround, semitones: i32) -> bool {
    ground.has(&ground.tones, semitones)
}

/// The root where the harmony changes, no note three times running, at most an octave at once and back
/// from more than a fifth, a new root led to by step or from its fifth, no figure on three chords
/// running, and within an octave and a half, so that in any key the bass keeps to its range; what is not of the
/// chord nor of its scale leads into the next root by a semitone (common practice, no source).
#[test]
fn a_walking_bass_keeps_its_laws() {
    let mut beats = 0;
    each_song(|name, grounds, seed| {
        let bass = walking(grounds, Metre::FourFour, (seed, BassJoins::default()));
        let length = grounds.last().unwrap().end;
        assert_eq!(bass.len() as Ticks, length / QUARTER, "{name}: a note on every beat");
        let notes: Vec<i32> = bass.iter().map(|note| note.interval.semitones).collect();
        for (place, note) in bass.iter().enumerate() {
            let (at, chord, interval) = (note.at, note.chord, note.interval);
            let ground = &grounds[chord];
            let is_new = chord == 0 || grounds[chord - 1].root != ground.root;
            if at == ground.start && is_new {
                let above = interval.semitones - ground.root.semitones;
                assert_eq!(above.rem_euclid(12), 0, "{name}: beat {place} is no root");
            }
            let above = (interval.semitones - ground.root.semitones).rem_euclid(12);
            let is_scale = ground.scale.iter().any(|it| it.semitones.rem_euclid(12) == above);
            if !is_tone(ground, interval.semitones) && !is_scale {
                let next = notes[place + 1] - interval.semitones;
                assert_eq!(next.abs(), 1, "{name}: beat {place} leads nowhere");
            }
            beats += 1;
        }
        for three in notes.windows(3) {
            assert!(three.iter().any(|note| *note != three[0]), "{name}: {notes:?}");
        }
        for pair in notes.windows(2) {
            assert!((pair[1] - pair[0]).abs() <= 12, "{name}: {notes:?}");
        }
        let mut figures: Vec<Vec<i32>> = vec![Vec::new(); grounds.len()];
        for note in &bass {
            let root = grounds[note.chord].root.semitones;
            figures[note.chord].push((note.interval.semitones - root).rem_euclid(12));
        }
        for three in figures.windows(3).filter(|three| three[0].len() > 2) {
            assert!(three[0] != three[1] || three[1] != three[2], "{name}: {three:?}");
        }
        for three in notes.windows(3) {
            let (there, back) = (three[1] - three[0], three[2] - three[1]);
            assert!(there.abs() <= 7 || there * back < 0, "{name}: {three:?} of {notes:?}");
        }
        for (place, pair) in bass.windows(2).enumerate() {
            let [one, other] = [0, 1].map(|note| &grounds[pair[note].chord].root);
            let is_other = (one.semitones - other.semitones).rem_euclid(12) != 0;
            // A chord of one beat has no time to lead on.
            let has_time = place > 0 && bass[place - 1].chord == pair[0].chord;
            if is_other && has_time {
                let step = notes[place + 1] - notes[place];
                // A bass that falls by a semitone leads by itself, from a tone of its chord near by.
                let falls = (one.semitones - other.semitones).rem_euclid(12) == 1
                    && is_tone(&grounds[pair[0].chord], notes[place]);
                let leads = [-7, -2, -1, 1, 2, 5].contains(&step)
                    || falls && [-4, -3, 3, 4].contains(&step);
                assert!(leads, "{name}: beat {place}: {notes:?}");
            }
        }
        let (low, high) = (notes.iter().min().unwrap(), notes.iter().max().unwrap());
        assert!(high - low <= 17, "{name}: {notes:?}");
    });
    assert!(beats > 5_000, "{beats}");
}

/// Chord tones on the beat, leaps recovered the other way by no more than a third, within an octave
/// and a half, never one figure on three chords running (jazz pedagogy, see `line`).
#[test]
fn a_line_keeps_its_laws() {
    let mut notes = 0;
    each_song(|name, grounds, seed| {
        let line = line(grounds, QUARTER, seed);
        let at: Vec<i32> = line.iter().map(|note| note.interval.semitones).collect();
        for (place, note) in line.iter().enumerate() {
            let ground = &grounds[note.chord];
            if (note.at - ground.start) % QUARTER == 0 {
                let is_named = ground.has(&ground.colours, at[place]);
                let is_told = is_tone(ground, at[place]) || is_named;
                assert!(is_told, "{name}: note {place} on the beat");
            }
            assert!(place == 0 || line[place - 1].end == note.at, "{name}: no gaps");
            notes += 1;
        }
        for (place, three) in at.windows(3).enumerate() {
            let (there, back) = (three[1] - three[0], three[2] - three[1]);
            let is_recovered = there * back < 0 && back.abs() <= 4;
            assert!(there.abs() < 5 || is_recovered, "{name}: leap at {place}: {three:?}");
        }
        let (low, high) = (at.iter().min().unwrap(), at.iter().max().unwrap());
        assert!(high - low <= 18, "{name}: {at:?}");
        let mut figures: Vec<Vec<i32>> = vec![Vec::new(); grounds.len()];
        for note in &line {
            let root = grounds[note.chord].root.semitones;
            figures[note.chord].push((note.interval.semitones - root).rem_euclid(12));
        }
        for three in figures.windows(3).filter(|three| three[0].len() > 2) {
            assert!(three[0] != three[1] || three[1] != three[2], "{name}: {three:?}");
        }
    });
    assert!(notes > 10_000, "{notes}");
}

/// What contradicts the third or the seventh of a chord (E♯ over C♯m7) is short, is reached by step
/// and goes on by step to a tone of the chord that then sounds; so is the line over chords whose
/// scale is that of another key.
#[test]
fn no_line_contradicts_its_chord() {
    const BORROWED: [&[&str]; 3] = [
        &["Imaj7", "ii7/bVI", "V7/bVI", "vi7/bVI", "iii7/III", "vi7/III", "ii7/III", "V7/III"],
        &["i7", "ii7/bV", "V7/bV", "iii7/bV", "vi7/bV", "iiø7/ii", "V7/ii", "iv7/ii"],
        &["I6", "ii7/bII", "V7/bII", "IVmaj7/bII", "iii7/VI", "vi7/VI", "ii7/VII", "vii7/II"],
    ];
    let mut met = 0;
    for words in BORROWED.iter().chain(&PROGRESSIONS) {
        for mode in [Mode::Major, Mode::NaturalMinor, Mode::Dorian] {
            let grounds = grounds(words, mode, &[4 * QUARTER]);
            for seed in 0..12 {
                let line = line(&grounds, QUARTER, seed);
                for (place, note) in line.iter().enumerate() {
                    let ground = &grounds[note.chord];
                    let at = note.interval.semitones;
                    let has = |above: i32| {
                        let found = |tone: &crate::theory::Interval| tone.semitones == above;
                        ground.tones.iter().chain(&ground.colours).any(found)
                    };
                    let above = (at - ground.root.semitones).rem_euclid(12);
                    let is_other = |own: i32, other: i32| above == other && has(own) && !has(other);
                    if ![(3, 4), (4, 3), (10, 11), (11, 10)].iter().any(|it| is_other(it.0, it.1)) {
                        continue;
                    }
                    met += 1;
                    let name = format!("{words:?}, {}, seed {seed}, note {place}", mode.word());
                    assert!(note.end - note.at == QUARTER / 2, "{name} is long");
                    let near = |other: &super::LineNote| (other.interval.semitones - at).abs() <= 2;
                    assert!(place > 0 && near(&line[place - 1]), "{name} is leapt to");
                    let next = line.get(place + 1).unwrap_or_else(|| panic!("{name} ends it"));
                    let there = &grounds[next.chord];
                    let is_told = is_tone(there, next.interval.semitones)
                        || there.has(&there.colours, next.interval.semitones);
                    assert!(near(next) && is_told, "{name} leads nowhere");
                }
            }
        }
    }
    assert!(met > 50, "{met}");
}

/// How many chords of two beats or more a line may leave without their third or without an altered
/// tone that their symbol names, in a thousand (ours): where its neighbours leave no way there.
const MAY_BE_UNTOLD: usize = 20;

/// A line tells its chords: the third of each, and an altered tone that its symbol names.
#[test]
fn a_line_tells_its_chords() {
    let (mut chords, mut no_third, mut no_colour) = (0, 0, 0);
    each_song(|_, grounds, seed| {
        for own in line(grounds, QUARTER, seed).chunk_by(|one, next| one.chord == next.chord) {
            if own.len() < 4 {
                continue;
            }
            let ground = &grounds[own[0].chord];
            let sounds = |tones: &[crate::theory::Interval]| {
                own.iter().any(|note| ground.has(tones, note.interval.semitones))
            };
            chords += 1;
            no_third += usize::from(ground.third().is_some_and(|third| !sounds(&[third])));
            no_colour += usize::from(!ground.colours.is_empty() && !sounds(&ground.colours));
        }
    });
    let counted = format!("{chords} chords, {no_third} without third, {no_colour} without colour");
    assert!(chords > 1_000, "{counted}");
    assert!(1_000 * (no_third + no_colour) <= MAY_BE_UNTOLD * chords, "{counted}");
}

/// Another seed gives another line, the same one the same.
#[test]
fn seeds_make_lines() {
    let grounds = grounds(PROGRESSIONS[0], Mode::Major, &[4 * QUARTER]);
    let lines: Vec<_> = (0..8).map(|seed| line(&grounds, QUARTER, seed)).collect();
    for (index, own) in lines.iter().enumerate() {
        assert_eq!(*own, line(&grounds, QUARTER, index as u64));
        assert!(lines[..index].iter().all(|other| other != own), "seed {index}");
    }
}
