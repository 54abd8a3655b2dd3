//! Fingers against the line: where keys go one way and fingers, none of them the thumb, the other.

use quintfall::score::Hand;

use crate::library::{Found, add, lines, steps, told};

/// Semitones of the widest step, third, fourth (with the diminished fifth) and octave.
const WIDEST: [i32; 4] = [2, 4, 6, 12];

/// How often in the library the hand turns back so where a figure begins, by that interval (ours):
/// over a step after a ninth whose only white key is its lowest.
const MAY_TURN_BACK: [usize; 4] = [1, 0, 0, 0];

/// Whether the fingers of two single notes go against them without the thumb.
fn is_against(hand: Hand, from: (i32, u8), to: (i32, u8)) -> bool {
    let outward = if hand == Hand::Right { to.0 - from.0 } else { from.0 - to.0 };
    let climb = i32::from(to.1) - i32::from(from.1);
    outward * climb < 0 && from.1 > 1 && to.1 > 1
}

/// After a rest, and over more than an octave, the hand moves whatever it does.
#[test]
fn few_fingers_go_against_the_line_where_figures_meet() {
    let mut found: [Found; 4] = Default::default();
    let mut count = 0;
    for line in lines() {
        for (from, to) in steps(&line.struck).filter(|(_, to)| to.begins) {
            count += 1;
            let [one, other] = [from.notes[0], to.notes[0]];
            let span = (other.0 - one.0).abs();
            let class = WIDEST.iter().position(|widest| span <= *widest);
            if let Some(class) = class.filter(|_| is_against(line.hand, one, other)) {
                add(&mut found[class], &line, to.at, &format!("{one:?} {other:?}"));
            }
        }
    }
    println!("{count} meetings");
    assert!(count > 0);
    for ((found, widest), may) in found.iter().zip(WIDEST).zip(MAY_TURN_BACK) {
        let count = told(&format!("go against the line over up to {widest} semitones"), found);
        assert!(count <= may, "{count} where {may} may");
    }
}
