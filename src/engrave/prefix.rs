//! What stands at the left of a system: clef, key signature, time signature.

use kurbo::Point;

use super::accidental::accidental_sign;
use super::barline;
use super::mark::{Engraved, MarkRole};
use super::position::height;
use super::rules::{self, Sp};
use crate::glyphs::{MusicFace, Sign};
use crate::score::{Barline, ByHand, Clef, Metre};
use crate::theory::{Key, NoteName};

/// The prefix of both staves, each from its own middle line.
#[derive(Clone)]
pub(super) struct Prefix {
    /// The marks of each staff.
    pub(super) marks: ByHand<Vec<Engraved>>,
    /// Where its ink ends.
    pub(super) right: Sp,
    /// White from there to the first head.
    pub(super) to_note: Sp,
    /// Where the sign of a repeat begins, if one begins with the system.
    pub(super) repeat: Option<Sp>,
}

impl Prefix {
    /// Where bars begin after it, since it brings its own distance to the first head in place of
    /// the barline's.
    pub(super) fn left_of_bars(&self) -> Sp {
        self.right + self.to_note - rules::BARLINE_TO_NOTE
    }
}

/// Staff positions of sharps in a treble signature, in order; a bass one lies two lower.
///
/// Common practice, no source (universal).
const SHARP_POSITIONS: [i32; 7] = [4, 1, 5, 2, -1, 3, 0];
/// The same for flats.
const FLAT_POSITIONS: [i32; 7] = [0, 3, -1, 2, -2, 1, -3];

/// Sets the prefix of a system; `metre` where it shows a time signature. The sign of a repeat stands
/// after everything else (common).
pub(super) fn prefix(
    clefs: ByHand<Clef>,
    key: Key,
    metre: Option<Metre>,
    begins_repeat: bool,
) -> Prefix {
    let face = MusicFace::get();
    let mut marks = clefs.map(|clef| {
        let (sign, y) = clef_sign(clef);
        let at = Point::new(rules::EDGE_TO_CLEF - face.bounds(sign).x0, y);
        vec![Engraved::sign(MarkRole::Clef, sign, at)]
    });
    let mut right = right_edge(&marks);
    let signature = key.signature();
    if !signature.is_empty() {
        let left = right + rules::CLEF_TO_KEY;
        for (hand, clef) in clefs.with_hands() {
            marks[hand].extend(key_marks(clef, &signature, false, left));
        }
        right = right_edge(&marks);
    }
    let mut to_note = rules::KEY_TO_NOTE;
    if let Some(metre) = metre {
        let left = right + rules::KEY_TO_TIME;
        for staff in marks.iter_mut() {
            staff.extend(time_marks(metre, left));
        }
        right = right_edge(&marks);
        to_note = rules::TIME_TO_NOTE;
    }
    let repeat = begins_repeat.then_some(right + rules::PREFIX_TO_REPEAT);
    if let Some(left) = repeat {
        right = left + barline::width(Barline::RepeatBegin);
        to_note = rules::BARLINE_TO_NOTE;
    }
    Prefix { marks, right, to_note, repeat }
}

/// The signs of a signature in a clef from an abscissa on, or as many naturals in their places.
fn key_marks(clef: Clef, signature: &[NoteName], are_naturals: bool, left: Sp) -> Vec<Engraved> {
    let face = MusicFace::get();
    let gap = if are_naturals { rules::CANCELLING_SIGN_GAP } else { rules::KEY_SIGN_GAP };
    let mut x = left;
    let mut marks = Vec::with_capacity(signature.len());
    for (index, note) in signature.iter().enumerate() {
        let sign = accidental_sign(if are_naturals { 0 } else { note.alter });
        let positions = if note.alter > 0 { SHARP_POSITIONS } else { FLAT_POSITIONS };
        let lower = if clef == Clef::Bass { 2 } else { 0 };
        let at = Point::new(x, height(positions[index] - lower));
        marks.push(Engraved::sign(MarkRole::KeySign, sign, at));
        x += face.bounds(sign).width() + gap;
    }
    marks
}

/// The signature of a new key from an abscissa on. It says by itself what holds no longer; where it
/// has no signs of its own, naturals stand in the places of the old ones (common in new editions).
pub(super) fn new_key_marks(clef: Clef, before: Key, key: Key, left: Sp) -> Vec<Engraved> {
    let signature = key.signature();
    if signature.is_empty() {
        key_marks(clef, &before.signature(), true, left)
    } else {
        key_marks(clef, &signature, false, left)
    }
}

/// How wide the signature of a new key is, in any clef.
pub(super) fn new_key_width(before: Key, key: Key) -> Sp {
    let marks = new_key_marks(Clef::Treble, before, key, 0.0);
    marks.iter().map(|mark| mark.bounds().x1).fold(0.0, Sp::max)
}

/// The sign of a clef and the height of the line it names.
fn clef_sign(clef: Clef) -> (Sign, Sp) {
    match clef {
        Clef::Treble => (Sign::GClef, -1.0),
        Clef::Bass => (Sign::FClef, 1.0),
    }
}

/// The height of the line that a clef names.
pub(super) fn clef_line(clef: Clef) -> Sp {
    clef_sign(clef).1
}

/// A time signature, both figures centred on one axis (SMuFL: each two spaces tall).
fn time_marks(metre: Metre, left: Sp) -> Vec<Engraved> {
    let figures = [(metre.beats(), 1.0), (metre.unit(), -1.0)];
    let signs = figures.map(|(figure, y)| (time_sign(figure), y));
    let face = MusicFace::get();
    let widest = signs.iter().map(|(sign, _)| face.bounds(*sign).width()).fold(0.0, Sp::max);
    let centred = |(sign, y): (Sign, Sp)| {
        let x = left + widest / 2.0 - face.bounds(sign).center().x;
        Engraved::sign(MarkRole::TimeFigure, sign, Point::new(x, y))
    };
    signs.into_iter().map(centred).collect()
}

fn time_sign(figure: i32) -> Sign {
    u8::try_from(figure).ok().and_then(Sign::time_digit).expect("metres have one-figure numbers")
}

fn right_edge(marks: &ByHand<Vec<Engraved>>) -> Sp {
    marks.iter().flatten().map(|mark| mark.bounds().x1).fold(0.0, Sp::max)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::{NoteName, Pitch};
    use crate::typeset::Trace;

    /// Every sign of every signature stands on a line or space of its own note, inside the
    /// staff as far as engravers put it: the positions are laws of the clefs, not of the table.
    #[test]
    fn signature_signs_stand_on_their_own_notes() {
        for key in Key::majors() {
            for clef in [Clef::Treble, Clef::Bass] {
                let prefix = prefix(ByHand::each(|_| clef), key, None, false);
                let signs: Vec<&Engraved> = prefix
                    .marks
                    .right
                    .iter()
                    .filter(|mark| mark.role == MarkRole::KeySign)
                    .collect();
                assert_eq!(signs.len(), key.signature().len(), "{key}");
                for (mark, name) in signs.iter().zip(key.signature()) {
                    let Trace::Sign { at, .. } = mark.trace else {
                        panic!("a signature is made of signs")
                    };
                    let position = (2.0 * at.y).round() as i32;
                    let on_it = (0..8).any(|octave| {
                        let white = NoteName::new(name.letter, 0);
                        clef.position(Pitch::new(white, octave)) == position
                    });
                    assert!(on_it, "{key}: {name} at {position} in {clef:?}");
                    assert!((-5..=5).contains(&position), "{key}: {name} at {position}");
                }
            }
        }
    }

    /// A new signature says by itself what holds no longer; only where it has no signs are the old
    /// ones cancelled, each in its place. It is as wide in any clef.
    #[test]
    fn naturals_stand_only_where_the_new_key_has_no_signs() {
        let is_natural = |mark: &&Engraved| match mark.trace {
            Trace::Sign { sign, .. } => sign == Sign::AccidentalNatural,
            _ => false,
        };
        for before in Key::majors() {
            for key in Key::majors() {
                let widths = [Clef::Treble, Clef::Bass].map(|clef| {
                    let marks = new_key_marks(clef, before, key, 0.0);
                    let naturals = marks.iter().filter(is_natural).count();
                    let (old, new) = (before.signature().len(), key.signature().len());
                    assert_eq!(naturals, if new == 0 { old } else { 0 }, "{before} to {key}");
                    assert_eq!(marks.len() - naturals, new, "{before} to {key}");
                    marks.iter().map(|mark| mark.bounds().x1).fold(0.0, Sp::max)
                });
                assert!((widths[0] - widths[1]).abs() < 1e-9, "{before} to {key}");
                assert!((widths[0] - new_key_width(before, key)).abs() < 1e-9);
            }
        }
    }
}
