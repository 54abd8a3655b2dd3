//! Spelling, kinds and fingers against answers from elsewhere.

mod oracle;

use std::collections::BTreeSet;
use std::slice;

use quintfall::fingering::{HandSpans, HandStruck, fingers};
use quintfall::score::Hand;
use quintfall::theory::{
    Key, Mode, NoteName, Numeral, NumeralStyle, Pitch, Quality, Scale, SeventhChord, SymbolStyle,
    chord_symbol, plain_text,
};

use oracle::Name;

/// music21's name of a kind, by the program's.
fn kind(quality: Quality) -> &'static str {
    match quality {
        Quality::MajorSeventh => "major-seventh",
        Quality::Dominant => "dominant-seventh",
        Quality::MinorSeventh => "minor-seventh",
        Quality::HalfDiminished => "half-diminished",
        Quality::DiminishedSeventh => "diminished-seventh",
        Quality::MinorMajorSeventh => "minor-major",
        Quality::AugmentedMajorSeventh => "augmented-major-seventh",
    }
}

/// How each kind is written after its root, in the styles letters, signs and mixed.
///
/// Source: MusicXML 4.0, the documentation of `kind` and its `text` and `use-symbols`; the
/// choice of the three styles is common practice, no source.
const SUFFIXES: [(&str, [&str; 3]); 4] = [
    ("major-seventh", ["maj7", "△7", "maj7"]),
    ("dominant-seventh", ["7", "7", "7"]),
    ("minor-seventh", ["m7", "-7", "m7"]),
    ("half-diminished", ["m7♭5", "ø7", "ø7"]),
];

fn key(tonic: &str) -> Key {
    tonic.parse().expect("a key of the fifteen")
}

#[test]
fn the_fifteen_keys_are_those_of_music21_with_their_signatures() {
    let ours: BTreeSet<String> = Key::majors().map(|key| key.tonic().plain()).collect();
    let theirs: BTreeSet<String> = oracle::major().keys().cloned().collect();
    assert_eq!(ours, theirs);
    for (tonic, expected) in oracle::major() {
        assert_eq!(key(tonic).fifths(), expected.fifths, "{tonic}");
    }
}

#[test]
fn every_scale_is_spelled_as_music21_spells_it() {
    for (tonic, expected) in oracle::major() {
        let scale = key(tonic).scale();
        let ours: Vec<Name> =
            (1..=7).map(|degree| Name::parse(&scale.note(degree).plain())).collect();
        assert_eq!(ours, expected.scale(), "{tonic} major");
    }
}

#[test]
fn every_diatonic_seventh_is_spelled_and_named_as_music21_does() {
    for (tonic, expected) in oracle::major() {
        for degree in 1..=8 {
            let expected = expected.chord(degree);
            let chord = SeventhChord::diatonic(key(tonic).scale(), degree).expect("a known kind");
            let notes: Vec<Name> = chord.notes().iter().map(|n| Name::parse(&n.plain())).collect();
            assert_eq!(notes, expected.notes(), "{tonic} major, degree {degree}");
            assert_eq!(chord.root.plain(), expected.root, "{tonic} major, degree {degree}");
            assert_eq!(kind(chord.quality), expected.kind, "{tonic} major, degree {degree}");
            let semitones: Vec<i32> =
                (0..4).map(|tone| chord.tone_interval(tone).semitones).collect();
            assert_eq!(semitones, expected.semitones, "{tonic} major, degree {degree}");
        }
    }
}

#[test]
fn symbols_say_the_kind_that_music21_hears_in_every_style() {
    let styles = [SymbolStyle::Letters, SymbolStyle::Signs, SymbolStyle::Mixed];
    for (tonic, expected) in oracle::major() {
        for degree in 1..=7 {
            let expected = expected.chord(degree);
            let (_, suffixes) =
                SUFFIXES.iter().find(|(kind, _)| *kind == expected.kind).expect("four kinds");
            let chord = SeventhChord::diatonic(key(tonic).scale(), degree).expect("a known kind");
            for (style, suffix) in styles.into_iter().zip(suffixes) {
                let written = plain_text(&chord_symbol(chord, style));
                let root = Name::parse(&expected.root).printed();
                assert_eq!(written, format!("{root}{suffix}"), "{tonic}, degree {degree}");
            }
        }
    }
}

/// The case of the letters says the third; the rest must not contradict the kind.
#[test]
fn numerals_say_degree_and_kind_that_music21_hears() {
    const UPPER: [&str; 7] = ["I", "II", "III", "IV", "V", "VI", "VII"];
    for (tonic, expected) in oracle::major() {
        for degree in 1..=8 {
            let expected = expected.chord(degree);
            let chord = SeventhChord::diatonic(key(tonic).scale(), degree).expect("a known kind");
            let written = plain_text(
                &Numeral::new(degree, chord.quality).parts(NumeralStyle::On, SymbolStyle::Mixed),
            );
            let letters = UPPER[expected.degree as usize - 1];
            let minor_third = expected.semitones[1] == 3;
            let letters = if minor_third { letters.to_lowercase() } else { letters.to_owned() };
            let rest = match expected.kind.as_str() {
                "major-seventh" => "maj7",
                "half-diminished" => "ø7",
                _ => "7",
            };
            assert_eq!(written, format!("{letters}{rest}"), "{tonic}, degree {degree}");
        }
    }
}

fn pitches(chord: SeventhChord, octave: i32, inversion: i32) -> Vec<Pitch> {
    let bottom = Pitch::new(chord.root, octave);
    (inversion..inversion + 4).map(|tone| bottom.up(chord.tone_interval(tone))).collect()
}

/// The fingers of notes that are played one by one.
fn one_by_one(hand: Hand, pitches: &[Pitch]) -> Vec<u8> {
    let struck =
        |(at, pitch)| HandStruck { at, end: at + 1, pitches: slice::from_ref(pitch), fixed: &[] };
    let line: Vec<HandStruck<'_>> = (0..).zip(pitches).map(struck).collect();
    let solved = fingers(hand, &line, &[], HandSpans::default()).expect("every line has fingers");
    solved.fingers.concat()
}

#[test]
fn fingers_of_every_chord_are_those_of_the_published_model() {
    for (tonic, expected) in oracle::major() {
        for degree in 1..=7 {
            let chord = SeventhChord::diatonic(key(tonic).scale(), degree).expect("a known kind");
            let (right, left) = oracle::one_hand(&expected.chord(degree).kind);
            for octave in 2..=5 {
                let notes = pitches(chord, octave, 0);
                let own = [Hand::Right, Hand::Left].map(|hand| one_by_one(hand, &notes));
                assert_eq!(own, [right.to_vec(), left.to_vec()], "{tonic}, degree {degree}");
            }
        }
    }
}

/// The handbook gives a chord that begins on a white key 1-2-3-4-5 with the octave, thumb at the
/// bottom in the right hand and fifth finger in the left; ours, without the octave, must have
/// the same outer fingers, whatever it gives the middle.
#[test]
fn on_a_white_root_the_outer_fingers_are_the_handbooks() {
    let handbook = oracle::handbook();
    for (quality, rows) in
        [(Quality::Dominant, &handbook.dom7), (Quality::DiminishedSeventh, &handbook.dim7)]
    {
        let mut compared = 0;
        for (root, arpeggio) in rows {
            let root = root.parse::<Key>().map(Key::tonic).ok();
            let Some(root) = root.filter(|root| !root.is_black()) else { continue };
            let notes = pitches(SeventhChord { root, quality }, 3, 0);
            let first = |digits: &str| digits.chars().next().and_then(|c| c.to_digit(10));
            let ours = |hand| one_by_one(hand, &notes).first().map(|finger| u32::from(*finger));
            assert_eq!(ours(Hand::Right), first(&arpeggio.rh[0]), "{root} {quality:?}");
            assert_eq!(ours(Hand::Left), first(&arpeggio.lh[0]), "{root} {quality:?}");
            compared += 1;
        }
        assert!(compared >= 6, "{quality:?}: only {compared} roots were compared");
    }
}

#[test]
fn the_minor_keys_and_their_sevenths_are_those_of_music21() {
    let modes = [
        (Mode::NaturalMinor, "natural_minor"),
        (Mode::HarmonicMinor, "harmonic_minor"),
        (Mode::MelodicMinor, "melodic_minor"),
    ];
    for (mode, name) in modes {
        let theirs = oracle::minor(name);
        assert_eq!(theirs.len(), 15);
        for (tonic, expected) in theirs {
            let note = NoteName::parse(tonic).expect("a note");
            let own = Key::minor(note).expect("a key of the fifteen");
            assert_eq!(own.fifths(), expected.fifths, "{tonic} minor");
            let scale = Scale { tonic: own.tonic(), mode };
            let ours: Vec<Name> =
                (1..=7).map(|degree| Name::parse(&scale.note(degree).plain())).collect();
            assert_eq!(ours, expected.scale(), "{tonic} {name}");
            for degree in 1..=8 {
                let place = format!("{tonic} {name}, degree {degree}");
                let expected = expected.chord(degree);
                let chord = SeventhChord::diatonic(scale, degree).expect("a known kind");
                let notes: Vec<Name> =
                    chord.notes().iter().map(|note| Name::parse(&note.plain())).collect();
                assert_eq!(notes, expected.notes(), "{place}");
                assert_eq!(kind(chord.quality), expected.kind, "{place}");
                let written = plain_text(&chord_symbol(chord, SymbolStyle::Letters));
                assert!(written.starts_with(&Name::parse(&expected.root).printed()), "{place}");
            }
        }
    }
}

/// Two tables that music21 made by two ways agree: chords stacked in scales, and kinds on roots.
#[test]
fn the_two_tables_of_chords_agree() {
    let modes = ["natural_minor", "harmonic_minor", "melodic_minor"];
    let keys = oracle::major().values().chain(modes.iter().flat_map(|m| oracle::minor(m).values()));
    let mut compared = 0;
    for chord in keys.flat_map(|key| (1..=7).map(|degree| key.chord(degree))) {
        let spelled = oracle::spelled(Name::parse(&chord.root), &chord.kind);
        assert_eq!(spelled, Some(chord.notes()), "{} {}", chord.root, chord.kind);
        compared += 1;
    }
    assert_eq!(compared, 4 * 15 * 7);
}
