//! What a reason says agrees with all that is told beside it.

use quintfall::chart::{Analysis, ChordReading, Function, Unfolded, analyse};
use quintfall::theory::{Chord, Seventh, read_chord};

use crate::laws::{UP, renamed, with_partners};
use crate::tune::tune;

/// Dominants that fall by semitones, goals of the other mode, and chords that are a ii too.
const OWN: [&str; 9] = [
    "C#m6 E7 | D#7 D7 | C#m6 | D#m7b5 G#7 | C#m6 | A9 | G#7b9 | C#m6",
    "C6 | % | F7 | E7 | Eb7 | D7 | Dm7 G7 | C6",
    "Cmaj7 | D7 Db7 | Cmaj7 | Am7 | Dm7 | G7 | C6 | %",
    "Gmaj7 | Bb7 A7 | Am7 D7 | Gmaj7 | B7 Bb7 | A7 Ab7 | Gmaj7 | %",
    "Abmaj7 | Bb13 | Ebm9 | D7 | Dbmaj7 | Bbm7 Eb7 | Ab6 | %",
    "Dm6 | E7 | Amaj7 | Em7b5 A7 | Dm6 | Gm7 C7 | Fmaj7 | Em7b5 A7",
    "C#m6 | A#m7b5 | D#7 G#7 | C#m6 | D#m7b5 | G#7 | C#m6 | %",
    "Cmaj7 | Am7 D7 | Gmaj7 | Em7 A7 | Dm7 G7 | Em7 A7 | Dm7 G7 | C6",
    "Fmaj7 | D7 | Gm7 | C7 | Am7 D7 | Gmaj7 | Gm7 C7 | Fm6",
];

/// Every tune without a bass of its own, in twelve keys.
fn each(mut check: impl FnMut(&Unfolded, &Analysis)) {
    for tune in with_partners().chain(OWN.map(tune)) {
        if tune.changes.iter().filter_map(|it| it.chord).any(|it| it.bass.is_some()) {
            continue;
        }
        for by in UP {
            let tune = renamed(&tune, |note| note.up(by));
            let analysis = analyse(&tune).expect("chords");
            check(&tune, &analysis);
        }
    }
}

/// The chord, or the note, that a reason names after some words.
fn named(reason: &str, words: &str) -> Option<Chord> {
    let (_, rest) = reason.split_once(words)?;
    let end = rest.find([' ', ',', ';']).unwrap_or(rest.len());
    read_chord(&rest[..end]).ok()
}

fn class(chord: Chord) -> i32 {
    chord.root.pitch_class()
}

/// A reason and what other programs are told name one root.
#[test]
fn a_reason_names_the_root_that_is_told() {
    const BEFORE: [&str; 5] =
        ["it wants ", "it goes to ", "falls a semitone to ", "a whole tone to ", "leads to "];
    let mut met = [0; 5];
    each(|_, analysis| {
        for reading in &analysis.readings {
            let Some(target) = reading.target else { continue };
            for (words, met) in BEFORE.into_iter().zip(&mut met) {
                if let Some(chord) = named(&reading.reason, words) {
                    assert_eq!(class(chord), target.pitch_class(), "{reading:?}");
                    *met += 1;
                }
            }
        }
    });
    assert!(met.iter().all(|it| *it > 0), "{met:?}");
}

/// What a dominant is said to want is what its goal is, major or minor, if it is said to get it.
#[test]
fn what_a_dominant_gets_is_what_it_wants() {
    let mut met = [0; 2];
    each(|_, analysis| {
        for reading in &analysis.readings {
            let ChordReading { reason, key, goal, .. } = reading;
            let is_plain = reason.starts_with("V of ") && !reason.contains("outside");
            if !is_plain || key.is_of_church_mode() {
                continue;
            }
            let is_minor = goal.map_or(key.is_minor(), |goal| goal.is_minor);
            if let Some(chord) = named(reason, "it wants ") {
                let is_own = chord.kind.has_minor_third() == is_minor;
                let (gets, comes) = (reason.contains("gets it"), reason.contains("on that root"));
                assert!(is_own || !gets && !comes, "{reading:?}");
                met[0] += usize::from(gets);
                met[1] += usize::from(comes);
            }
        }
    });
    assert!(met[0] > 500 && met[1] > 36, "{met:?}");
}

fn is_dominant(chord: Chord) -> bool {
    !chord.kind.has_minor_third() && chord.kind.seventh() == Seventh::Minor
}

/// Dominants whose roots fall by semitones are a chain in fifths, of which each second has its tritone
/// partner in its place: an applied one that falls so by an odd number of steps stands in for another.
#[test]
fn each_second_dominant_of_a_chain_is_a_substitute() {
    let mut met = [0; 2];
    for text in OWN {
        for by in UP {
            let tune = renamed(&tune(text), |note| note.up(by));
            let analysis = analyse(&tune).expect("chords");
            let falls = |pair: &[ChordReading]| {
                let [one, next] = [0, 1].map(|it| class(pair[it].chord));
                is_dominant(pair[0].chord) && (one - next).rem_euclid(12) == 1
            };
            for (place, one) in analysis.readings.iter().enumerate() {
                let steps =
                    analysis.readings[place..].windows(2).take_while(|it| falls(it)).count();
                let goes_on = steps > 0 && is_dominant(analysis.readings[place + 1].chord);
                if !goes_on || one.goal.is_none() {
                    continue;
                }
                let next = &analysis.readings[place + 1];
                assert_eq!(one.function, Function::Dominant, "{one:?}");
                assert_eq!(one.target.map(|it| it.pitch_class()), Some(class(next.chord)));
                let is_substitute = one.reason.starts_with("in place of ");
                assert_eq!(is_substitute, steps % 2 == 1, "{steps}: {one:?}");
                met[steps % 2] += 1;
            }
        }
    }
    assert!(met.iter().all(|it| *it >= 24), "{met:?}");
}

/// A chord in place of the tonic that is the ii of a cadence is told as both.
#[test]
fn a_ii_of_a_cadence_is_told_as_one() {
    let mut met = 0;
    each(|_, analysis| {
        for cadence in analysis.cadences.iter().filter(|it| it.kind.has_two()) {
            let [two, five] = cadence.written.map(|it| analysis.reading(it).expect("a chord"));
            let is_fifth = (class(five.chord) - class(two.chord)).rem_euclid(12) == 5;
            if is_fifth && two.reason.contains("in place of the tonic") {
                let is_told = two.reason.contains("ii of ") || two.reason.contains("as its ii");
                assert!(is_told, "{two:?}");
                met += 1;
            }
        }
    });
    assert!(met > 50, "{met}");
}
