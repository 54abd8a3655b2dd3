//! Seventh chords within one position.

use quintfall::fingering::{HandSize, HandSpans, Reach, reach};
use quintfall::score::Hand;
use quintfall::theory::{Key, NoteName, Pitch, Quality, SeventhChord};

use crate::lines::{Line, pitch, tones};
use crate::running::meets_badly;

/// One octave, one hand, no crossing, for the right and the left hand.
///
/// Source: the 1997 model of Parncutt et al., computed for all twelve roots outside this
/// project; the same digits are the usual teaching (common practice, no source).
const ONE_OCTAVE: [(Quality, [u8; 4], [u8; 4]); 7] = [
    (Quality::MajorSeventh, [1, 2, 3, 5], [5, 3, 2, 1]),
    (Quality::Dominant, [1, 2, 3, 5], [5, 3, 2, 1]),
    (Quality::HalfDiminished, [1, 2, 3, 5], [5, 3, 2, 1]),
    (Quality::DiminishedSeventh, [1, 2, 3, 5], [5, 3, 2, 1]),
    (Quality::MinorSeventh, [1, 2, 4, 5], [5, 4, 2, 1]),
    (Quality::MinorMajorSeventh, [1, 2, 3, 5], [5, 4, 2, 1]),
    (Quality::AugmentedMajorSeventh, [1, 2, 4, 5], [5, 3, 2, 1]),
];

fn roots() -> Vec<NoteName> {
    Key::majors().map(Key::tonic).collect()
}

/// The digits of each quality on every root, for both hands.
fn each(judge: impl Fn(SeventhChord, Hand, [u8; 4])) {
    for (quality, right, left) in ONE_OCTAVE {
        for root in roots() {
            let chord = SeventhChord { root, quality };
            judge(chord, Hand::Right, right);
            judge(chord, Hand::Left, left);
        }
    }
}

/// The fingers of keys that are played one by one.
fn one_by_one(hand: Hand, keys: &[Pitch]) -> Vec<u8> {
    Line::notes(keys).solve(hand, HandSpans::default()).fingers.concat()
}

#[test]
fn arpeggios_of_one_octave_keep_their_position() {
    each(|chord, hand, fingers| {
        for figure in [
            vec![0, 1, 2, 3],
            vec![3, 2, 1, 0],
            vec![0, 1, 2, 3, 2, 1, 0],
            vec![3, 2, 1, 0, 1, 2, 3],
            vec![0, 2, 1, 3],
            vec![0, 3, 2, 1],
        ] {
            let expected: String =
                figure.iter().map(|tone| fingers[*tone as usize].to_string()).collect();
            let line = Line::notes(&tones(chord, 3, figure.iter().copied()));
            assert_eq!(line.digits(hand), expected, "{chord:?} {hand:?} {figure:?}");
        }
    });
}

#[test]
fn solid_sevenths_have_the_fingers_of_their_arpeggio() {
    each(|chord, hand, fingers| {
        let line = Line::eighths([tones(chord, 3, 0..4)]);
        let expected: String = fingers.iter().map(u8::to_string).collect();
        assert_eq!(line.digits(hand), expected, "{chord:?} {hand:?}");
    });
}

/// Fingers of a line of figures, one after another on the degrees of a key and back, are those
/// of each figure alone, unless others bring fingers into their order where figures meet.
#[test]
fn figures_repeated_from_degree_to_degree_keep_the_fingers_of_their_chord() {
    let figures: [&[i32]; 8] = [
        &[0, 1, 2, 3],
        &[3, 2, 1, 0],
        &[0, 2, 1, 3],
        &[0, 3, 1, 2],
        &[0, 3, 2, 1],
        &[0, 1, 2, 3, 2, 1],
        &[0, 1, 2, 3, 2, 1, 0, 0],
        &[1, 2, 3, 4],
    ];
    let degrees: Vec<i32> = (1..=8).chain((1..=8).rev()).collect();
    for key in Key::majors() {
        for (hand, figure) in Hand::BOTH.into_iter().flat_map(|h| figures.map(|f| (h, f))) {
            let chords = degrees.iter().map(|degree| {
                let chord = SeventhChord::diatonic(key.scale(), *degree).expect("a known kind");
                let root = Pitch::new(key.tonic(), 3).up(key.scale().interval(*degree));
                figure.iter().map(|tone| root.up(chord.tone_interval(*tone))).collect::<Vec<_>>()
            });
            let chords: Vec<Vec<Pitch>> = chords.collect();
            let digits = Line::figures(&chords).digits(hand);
            let own = |chord: &Vec<Pitch>| -> Vec<u8> {
                let alone = Line::figures(std::slice::from_ref(chord));
                alone.solve(hand, HandSpans::default()).fingers.concat()
            };
            let own: Vec<Vec<u8>> = chords.iter().map(own).collect();
            let ours: Vec<Vec<u8>> = digits
                .bytes()
                .map(|digit| digit - b'0')
                .collect::<Vec<u8>>()
                .chunks(figure.len())
                .map(<[u8]>::to_vec)
                .collect();
            let crosses = |fingers: &[Vec<u8>], before: usize| {
                let [left, right] =
                    [before, before + 1].map(|place| (&chords[place], &fingers[place]));
                let (from, to) = (left.0[figure.len() - 1].midi(), right.0[0].midi());
                meets_badly(hand, (from, left.1[figure.len() - 1]), (to, right.1[0]))
            };
            let crossings = |fingers: &[Vec<u8>]| {
                (0..chords.len() - 1).filter(|before| crosses(fingers, *before)).count()
            };
            let fewer = crossings(&ours) < crossings(&own);
            assert!(ours == own || fewer, "{key} {hand:?} {figure:?}: {digits}, {own:?}");
        }
    }
}

/// A major seventh chord that a line goes on from, to a falling chord whose first key the fifth
/// finger takes, yields in one way in every key, however wide its thirds lie on the keys.
#[test]
fn a_chord_yields_alike_in_every_key() {
    for key in Key::majors() {
        let tonic = Pitch::new(key.tonic(), 3);
        let rising = SeventhChord::diatonic(key.scale(), 1).expect("a known kind");
        let rising: Vec<Pitch> = (0..4).map(|tone| tonic.up(rising.tone_interval(tone))).collect();
        let root = tonic.up(key.scale().interval(3));
        let falling = SeventhChord { root: root.name, quality: Quality::Dominant };
        let falling: Vec<Pitch> =
            (0..4).rev().map(|tone| root.up(falling.tone_interval(tone))).collect();
        let digits = Line::figures(&[rising, falling]).digits(Hand::Right);
        assert_eq!(digits, "12345321", "{key}");
    }
}

/// So are those of solid chords on the degrees of a key, struck in quarters, with and without
/// rests, each once and again.
#[test]
fn solid_sevenths_on_the_degrees_keep_their_fingers() {
    let degrees: Vec<i32> = (1..=8).chain((1..=8).rev()).collect();
    for key in Key::majors() {
        for hand in Hand::BOTH {
            let chords = degrees.iter().map(|degree| {
                let chord = SeventhChord::diatonic(key.scale(), *degree).expect("a known kind");
                let root = Pitch::new(key.tonic(), 3).up(key.scale().interval(*degree));
                (0..4).map(|tone| root.up(chord.tone_interval(tone))).collect::<Vec<Pitch>>()
            });
            let chords: Vec<Vec<Pitch>> = chords.flat_map(|c| [c.clone(), c]).collect();
            let mut line = Line::eighths(chords.clone());
            for shorter in [0, 6] {
                line.struck.iter_mut().for_each(|(_, end, ..)| *end -= shorter);
                let solved = line.solve(hand, HandSpans::default()).fingers;
                for (chord, fingers) in chords.iter().zip(&solved) {
                    assert_eq!(&one_by_one(hand, chord), fingers, "{key} {hand:?}");
                }
            }
        }
    }
}

/// Triads too (common practice, no source).
#[test]
fn triads_have_usual_fingers() {
    for (tones, right, left) in
        [([60, 64, 67], "135", "531"), ([64, 67, 72], "125", "531"), ([67, 72, 76], "135", "521")]
    {
        let line = Line::eighths([tones.map(pitch).to_vec()]);
        assert_eq!([line.digits(Hand::Right), line.digits(Hand::Left)], [right, left]);
    }
}

/// The usual fingers of solid chords of the left hand (common practice, no source): 5-3-2-1 or
/// 5-4-2-1 for close sevenths in any inversion, 4-2-1 or 5-2-1 for root, third and seventh, 5-1
/// for root and seventh.
#[test]
fn solid_inversions_and_shells_have_usual_fingers() {
    each(|chord, _, _| {
        let solid = |tones_of: &[i32]| {
            Line::eighths([tones(chord, 3, tones_of.iter().copied())]).digits(Hand::Left)
        };
        for inversion in 1..4 {
            let digits = solid(&[inversion, inversion + 1, inversion + 2, inversion + 3]);
            let usual = ["5321", "5421", "4321"].contains(&digits.as_str());
            assert!(usual, "{chord:?} inversion {inversion}: {digits}");
        }
        let digits = solid(&[0, 1, 3]);
        assert!(["521", "421", "531"].contains(&digits.as_str()), "{chord:?} 1-3-7: {digits}");
        let digits = solid(&[0, 3]);
        assert!(["51", "52", "41"].contains(&digits.as_str()), "{chord:?} 1-7: {digits}");
    });
}

/// A close seventh chord in any inversion spans less than an octave, which every hand plays.
#[test]
fn every_hand_holds_a_close_seventh() {
    each(|chord, hand, _| {
        for inversion in 0..4 {
            let notes = tones(chord, 3, inversion..inversion + 4);
            for size in HandSize::ALL {
                assert_ne!(
                    reach(hand, &notes, size),
                    Reach::Beyond,
                    "{chord:?} {inversion} {size:?}"
                );
            }
        }
    });
}
