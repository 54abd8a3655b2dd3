//! Fingers for notes that lie under one hand at once.

use super::rules::{PianoKey, Touch, cost};
use crate::score::Hand;
use crate::theory::Pitch;

/// The best fingers for one to five rising pitches that the hand covers without crossing, or
/// `None` where no hand of ordinary size can.
///
/// Ties go to the choice that uses the lower fingers, as handbooks do.
pub fn one_position(hand: Hand, pitches: &[Pitch]) -> Option<Vec<u8>> {
    let keys: Vec<PianoKey> = pitches.iter().map(|pitch| PianoKey::under(*pitch)).collect();
    let mut best: Option<(i32, u8)> = None;
    let mut touches = Vec::with_capacity(FINGERS);
    // Every set of as many fingers as there are pitches, as the bits of a number.
    for set in 0_u8..1 << FINGERS {
        if set.count_ones() as usize != keys.len() {
            continue;
        }
        touches.clear();
        let fingers = fingers_of(set, hand);
        touches.extend(keys.iter().zip(fingers).map(|(key, finger)| Touch { key: *key, finger }));
        if let Some(cost) = cost(&touches)
            && best.is_none_or(|(least, _)| cost < least)
        {
            best = Some((cost, set));
        }
    }
    best.map(|(_, set)| fingers_of(set, hand).collect())
}

/// The fingers of a set, in the order in which they meet rising pitches.
fn fingers_of(set: u8, hand: Hand) -> impl Iterator<Item = u8> {
    let places = (1..=FINGERS as u8).filter(move |place| set & (1 << (place - 1)) != 0);
    places.map(move |place| match hand {
        Hand::Right => place,
        // Rising pitches meet falling fingers; the sets as a whole are the same.
        Hand::Left => FINGERS as u8 + 1 - place,
    })
}

/// Fingers of a hand.
const FINGERS: usize = 5;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::{Key, NoteName, Quality, SeventhChord};

    /// One octave, one hand, no crossing.
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

    #[test]
    fn the_one_octave_table_holds_on_every_root() {
        let roots: Vec<NoteName> = Key::majors().map(Key::tonic).collect();
        for (quality, right, left) in ONE_OCTAVE {
            for root in &roots {
                let chord = SeventhChord { root: *root, quality };
                let bottom = Pitch::new(*root, 3);
                let pitches = [0, 1, 2, 3].map(|tone| bottom.up(chord.tone_interval(tone)));
                let fingers = |hand| one_position(hand, &pitches);
                assert_eq!(fingers(Hand::Right).as_deref(), Some(&right[..]), "{root} {quality:?}");
                assert_eq!(fingers(Hand::Left).as_deref(), Some(&left[..]), "{root} {quality:?}");
            }
        }
    }

    #[test]
    fn a_stretch_beyond_the_hand_has_no_fingers() {
        let bottom = Pitch::new(NoteName::parse("C").unwrap(), 3);
        let top = Pitch::new(NoteName::parse("F").unwrap(), 4);
        assert_eq!(one_position(Hand::Right, &[bottom, top]), None);
    }
}
