//! Fingers against the line: where keys go one way and fingers, none of them the thumb, the other.

use quintfall::score::{Hand, QUARTER};

use crate::library::{Found, Struck, add, lines, steps, told};

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

/// A single note and a chord, right after one another, of which the note lies outside: how far its finger
/// lies within the chord's outermost one on its side, so that the hand has to cross itself.
fn crossed(hand: Hand, note: (i32, u8), chord: &[(i32, u8)]) -> Option<u8> {
    let (low, high) = (chord.first()?, chord.last()?);
    let (is_above, outermost) = match note.0 {
        key if key > high.0 => (true, high.1),
        key if key < low.0 => (false, low.1),
        _ => return None,
    };
    let is_outward = is_above == (hand == Hand::Right);
    Some(if is_outward {
        outermost.saturating_sub(note.1)
    } else {
        note.1.saturating_sub(outermost)
    })
}

/// Ticks of a half note, after which the hand has had time to move to where a figure begins.
const HALF: i32 = 2 * QUARTER;

/// A note outside the chord beside it has no finger that lies within the chord's: none crosses another.
#[test]
fn no_note_beside_a_chord_has_a_finger_within_it() {
    let mut found = Found::default();
    let mut count = 0;
    for line in lines() {
        let follows = |pair: &&[Struck]| pair[0].end == pair[1].at;
        let has_time = |pair: &[Struck]| pair[1].begins && pair[1].at - pair[0].at >= HALF;
        for pair in line.struck.windows(2).filter(follows).filter(|pair| !has_time(pair)) {
            let (note, chord) = match (pair[0].alone(), pair[1].alone()) {
                (Some(note), None) => (note, &pair[1].notes),
                (None, Some(note)) => (note, &pair[0].notes),
                _ => continue,
            };
            let Some(crossed) = crossed(line.hand, note, chord) else { continue };
            count += 1;
            if crossed > 0 {
                add(&mut found, &line, pair[1].at, &format!("{note:?} beside {chord:?}"));
            }
        }
    }
    println!("{count} notes beside chords");
    assert!(count > 500, "{count}");
    assert_eq!(told("notes beside a chord have a finger within it", &found), 0);
}
