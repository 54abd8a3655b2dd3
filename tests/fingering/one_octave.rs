//! Seventh chords within one position.

use quintfall::score::Hand;
use quintfall::theory::{Key, NoteName, Quality, SeventhChord};

use crate::lines::{Line, tones};

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
