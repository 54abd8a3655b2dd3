//! Which digits are printed.

use super::hand::{HandSize, Measure, limits};
use super::line::Struck;
use super::rules::Key;
use crate::recipe::FingeringMarks;
use crate::score::Hand;

/// For every note of a line whether its digit is printed.
///
/// `fingers` are those of the line, as [`fingers`](super::fingers) gives them. With
/// [`FingeringMarks::All`] every digit is printed, with [`FingeringMarks::None`] none. Otherwise
/// digits are printed where the hand starts, moves or crosses, and where the player could not
/// tell the finger:
///
/// - A position with the shape of an earlier one still in mind and the same fingers is what the
///   player carries on: nothing is printed, but the finger that crosses into it. With other
///   fingers it is printed as if it were new.
/// - In a new position each key is printed once, but not a second that the next finger takes.
///   What goes on after the end of a known shape begins with a printed digit.
/// - A given finger is always printed.
///
/// The rule is ours; that repeated patterns are fingered once is common practice, no source.
pub fn shown(
    marks: FingeringMarks,
    hand: Hand,
    line: &[Struck<'_>],
    fingers: &[Vec<u8>],
) -> Vec<Vec<bool>> {
    let everywhere = |shown: bool| fingers.iter().map(|chord| vec![shown; chord.len()]).collect();
    if marks == FingeringMarks::All {
        return everywhere(true);
    }
    let mut shown: Vec<Vec<bool>> = everywhere(false);
    if marks == FingeringMarks::None {
        return shown;
    }
    let mut in_mind: Vec<Position<'_>> = Vec::with_capacity(SHAPES_IN_MIND + 1);
    let mut from = 0;
    while from < line.len() {
        let to = position_end(hand, line, fingers, from);
        let position = Position { line: &line[from..to], fingers: &fingers[from..to] };
        let known = in_mind.iter().rposition(|other| other.common(&position) > 0);
        let carried_on = known.map_or(0, |place| {
            let common = in_mind[place].common(&position);
            let same = in_mind[place].fingers[..common] == position.fingers[..common];
            if same { common } else { 0 }
        });
        position.mark(carried_on, &mut shown[from..to]);
        if from > 0 && crosses(hand, &line[from - 1..=from], &fingers[from - 1..=from]) {
            shown[from][0] = true;
        }
        if let Some(place) = known.or((in_mind.len() == SHAPES_IN_MIND).then_some(0)) {
            in_mind.remove(place);
        }
        in_mind.push(position);
        from = to;
    }
    shown
}

/// Shapes that a player has in mind at a time.
const SHAPES_IN_MIND: usize = 4;

/// Where the position of the hand ends that begins at `from`: before the first note that its
/// fingers, left where they are, do not play.
fn position_end(hand: Hand, line: &[Struck<'_>], fingers: &[Vec<u8>], from: usize) -> usize {
    let mut keys = [None; 5];
    for (place, struck) in line.iter().enumerate().skip(from) {
        let before = keys;
        for (pitch, finger) in struck.pitches.iter().zip(&fingers[place]) {
            let key = Key::of(hand, *pitch);
            let at = usize::from(*finger).clamp(1, 5) - 1;
            if place > from && !agrees(&before, at, key) {
                return place;
            }
            keys[at] = Some(key);
        }
    }
    line.len()
}

/// Whether a finger on a key goes with the keys that the other fingers lie on.
fn agrees(keys: &[Option<Key>; 5], finger: usize, key: Key) -> bool {
    keys.iter().enumerate().all(|(other, lies)| match lies {
        None => true,
        Some(lies) if other == finger => *lies == key,
        Some(lies) => {
            let span = Measure::Lattice.distance(lies.semitones, key.semitones);
            let (span, low, high) =
                if other < finger { (span, other, finger) } else { (-span, finger, other) };
            // The hand is not known here, so the largest is supposed.
            span > 0 && limits(HandSize::Large, low + 1, high + 1).beyond_practical(span) == 0
        }
    })
}

/// Whether the thumb passes from one single note to the next.
fn crosses(hand: Hand, line: &[Struck<'_>], fingers: &[Vec<u8>]) -> bool {
    let [[before], [after]] = [line[0].pitches, line[1].pitches] else { return false };
    let rise = Key::of(hand, *after).semitones - Key::of(hand, *before).semitones;
    let turn = i32::from(fingers[1][0]) - i32::from(fingers[0][0]);
    rise * turn < 0 && (fingers[0][0] == 1 || fingers[1][0] == 1) && rise.abs() < WIDEST_PASSING
}

/// Semitones from which a thumb does not pass but leaps.
const WIDEST_PASSING: i32 = 6;

/// What is played in one position of the hand.
struct Position<'a> {
    line: &'a [Struck<'a>],
    fingers: &'a [Vec<u8>],
}

impl Position<'_> {
    /// How many of its first notes and chords another position has in the same shape, the steps
    /// of the staff; 0 unless that is all of one of them. A lone note has no shape.
    fn common(&self, other: &Position<'_>) -> usize {
        let count = self.line.len().min(other.line.len());
        let steps = |position: &Position<'_>, place: usize| -> Vec<i32> {
            let bottom = position.line[0].pitches.first().map_or(0, |pitch| pitch.staff_step());
            position.line[place].pitches.iter().map(|pitch| pitch.staff_step() - bottom).collect()
        };
        let alone = count == 1 && self.line[0].pitches.len() < 2;
        let alike = (0..count).all(|place| steps(self, place) == steps(other, place));
        if alike && !alone { count } else { 0 }
    }

    /// Marks what the player could not tell, where the first `known` notes and chords are known.
    fn mark(&self, known: usize, shown: &mut [Vec<bool>]) {
        let mut seen: Vec<i32> = Vec::new();
        for (place, struck) in self.line.iter().enumerate() {
            let is_new = |midi: i32| !seen.contains(&midi);
            let wanted = place >= known
                && struck.pitches.iter().any(|pitch| is_new(pitch.midi()))
                && (place == known || !self.next_finger_on_next_step(place));
            for (at, mark) in shown[place].iter_mut().enumerate() {
                *mark = wanted || struck.fixed.get(at).copied().flatten().is_some();
            }
            seen.extend(struck.pitches.iter().map(|pitch| pitch.midi()));
        }
    }

    /// Whether a single note follows a single note by a second, with the finger beside.
    fn next_finger_on_next_step(&self, place: usize) -> bool {
        let pair = [self.line[place - 1].pitches, self.line[place].pitches];
        let [[before], [after]] = pair else { return false };
        let step = after.staff_step() - before.staff_step();
        let turn = i32::from(self.fingers[place][0]) - i32::from(self.fingers[place - 1][0]);
        step.abs() == 1 && turn.abs() == 1
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fingering::{Settings, fingers};
    use crate::theory::{Key as Tonality, Pitch};

    /// The digits printed over notes of C major, given as degrees, a chord a group; `-` where
    /// there is none.
    fn printed(hand: Hand, degrees: &[&[i32]]) -> String {
        let scale = "C".parse::<Tonality>().expect("a key").scale();
        let tonic = Pitch::new(scale.tonic, 4);
        let chords: Vec<Vec<Pitch>> = degrees
            .iter()
            .map(|chord| chord.iter().map(|degree| tonic.up(scale.interval(*degree))).collect())
            .collect();
        let line: Vec<Struck<'_>> = (0..)
            .zip(&chords)
            .map(|(at, pitches)| Struck { at, end: at + 1, pitches, fixed: &[] })
            .collect();
        let solved = fingers(hand, &line, Settings::default()).expect("it can be played").fingers;
        let shown = shown(FingeringMarks::Changes, hand, &line, &solved);
        let mut text = String::new();
        for (digits, shown) in solved.iter().flatten().zip(shown.iter().flatten()) {
            text.push(if *shown { char::from(b'0' + digits) } else { '-' });
        }
        text
    }

    fn single(degrees: &[i32]) -> Vec<[i32; 1]> {
        degrees.iter().map(|degree| [*degree]).collect()
    }

    fn printed_notes(hand: Hand, degrees: &[i32]) -> String {
        let notes = single(degrees);
        let notes: Vec<&[i32]> = notes.iter().map(|note| &note[..]).collect();
        printed(hand, &notes)
    }

    #[test]
    fn a_figure_is_printed_again_only_where_its_fingers_change() {
        // I maj7, ii m7, iii m7, IV maj7, V 7, vi m7.
        let degrees: Vec<i32> = (1..=6).flat_map(|root| [0, 2, 4, 6].map(|up| root + up)).collect();
        let printed = printed_notes(Hand::Right, &degrees);
        assert_eq!(printed, ["1235", "1245", "----", "1235", "----", "1245"].concat());
    }

    #[test]
    fn a_key_is_printed_once_in_its_position() {
        assert_eq!(printed_notes(Hand::Right, &[1, 3, 5, 7, 5, 3, 1]), "1235---");
    }

    #[test]
    fn a_scale_shows_where_the_thumb_passes() {
        let up: Vec<i32> = (1..=15).collect();
        assert_eq!(printed_notes(Hand::Right, &up), "1--1--41--1--4-");
        assert_eq!(printed_notes(Hand::Left, &up), "5----3--4---3--");
    }

    #[test]
    fn repeated_chords_and_their_parallels_are_printed_once() {
        let chords: [&[i32]; 4] = [&[2, 4, 6, 8], &[2, 4, 6, 8], &[3, 5, 7, 9], &[4, 6, 8, 10]];
        assert_eq!(printed(Hand::Left, &chords), ["5421", "----", "----", "5321"].concat());
    }

    #[test]
    fn given_fingers_are_printed() {
        let pitch = Pitch::new("C".parse::<Tonality>().expect("a key").tonic(), 4);
        let notes = [pitch];
        let given = [Some(3)];
        let line = [0, 1].map(|at| Struck { at, end: at + 1, pitches: &notes, fixed: &given });
        let shown = shown(FingeringMarks::Changes, Hand::Right, &line, &[vec![3], vec![3]]);
        assert_eq!(shown, [[true], [true]]);
    }
}
