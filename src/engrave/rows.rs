//! The rows beside the staves: chord symbols, numerals, counts, set as type.

use std::sync::{Arc, LazyLock};

use kurbo::{BezPath, Point, Rect};

use super::Look;
use super::mark::{Form, Mark, Role};
use super::rules::{self, Sp};
use crate::glyphs::{MusicFace, Sign};
use crate::score::{Count, Harmony, Stroke};
use crate::theory::{QualityMark, SymbolPart, chord_symbol};
use crate::typeset::{self, TextFace};

/// A line of type with its origin at the left end of its baseline.
#[derive(Clone, Debug)]
pub struct Setting {
    /// Its marks.
    pub marks: Vec<Mark>,
    /// How far it advances.
    pub width: Sp,
    /// The box round its ink.
    ink: Rect,
}

impl Setting {
    fn new(marks: Vec<Mark>, width: Sp) -> Self {
        let boxes = marks.iter().map(Mark::bounds);
        let ink = boxes.reduce(|all, ink| all.union(ink)).unwrap_or(Rect::ZERO);
        Self { marks, width, ink }
    }

    /// The box round its ink.
    pub fn bounds(&self) -> Rect {
        self.ink
    }

    /// Its marks, at an origin.
    pub(super) fn at(&self, origin: Point) -> impl Iterator<Item = Mark> {
        self.marks.iter().map(move |mark| {
            let mut mark = mark.clone();
            mark.shift(origin.to_vec2());
            mark
        })
    }
}

/// Settings that have been made, each once for all the places where it stands.
pub(super) struct Known<K> {
    made: Vec<(K, Arc<Setting>)>,
}

impl<K: PartialEq> Known<K> {
    /// None yet.
    pub(super) fn new() -> Self {
        Self { made: Vec::new() }
    }

    /// The setting of a key, made if it is new.
    pub(super) fn setting(&mut self, key: K, make: impl FnOnce() -> Setting) -> Arc<Setting> {
        if let Some((_, known)) = self.made.iter().find(|(known, _)| *known == key) {
            return Arc::clone(known);
        }
        let made = Arc::new(make());
        self.made.push((key, Arc::clone(&made)));
        made
    }
}

/// A chord symbol.
pub(super) fn symbol(harmony: &Harmony, look: &Look) -> Setting {
    let parts = chord_symbol(harmony.chord, look.symbols);
    set(&parts, Role::Symbol, rules::SYMBOL_SIZE, TextFace::Semibold)
}

/// A numeral.
pub(super) fn numeral(harmony: &Harmony, look: &Look) -> Setting {
    let parts = harmony.numeral.parts(look.symbols);
    set(&parts, Role::Numeral, rules::NUMERAL_SIZE, TextFace::Regular)
}

/// Sets the parts of a symbol or numeral at an em of `size`.
pub fn set(parts: &[SymbolPart], role: Role, size: Sp, face: TextFace) -> Setting {
    let mut marks: Vec<Mark> = Vec::new();
    let mut x = 0.0;
    let small = size * rules::SYMBOL_SMALL;
    let raise = size * rules::SYMBOL_RAISE;
    let before = std::iter::once(None).chain(parts.iter().map(Some));
    for (part, before) in parts.iter().zip(before) {
        match part {
            SymbolPart::Base(words) => x += push_text(&mut marks, role, words, face, x, 0.0, size),
            SymbolPart::Small(words) => {
                x += push_text(&mut marks, role, words, face, x, 0.0, small);
            }
            SymbolPart::Raised(words) => {
                x += push_text(&mut marks, role, words, face, x, raise, small);
            }
            SymbolPart::Figures(upper, lower) => {
                let em = size * rules::FIGURE_SIZE;
                let [low, high] = rules::FIGURE_BASELINES.map(|baseline| baseline * size);
                let [upper, lower] = [upper, lower].map(|figure| figure.to_string());
                let wide = push_text(&mut marks, role, &upper, face, x, high, em);
                x += wide.max(push_text(&mut marks, role, &lower, face, x, low, em));
            }
            SymbolPart::Accidental(alter) => {
                x += push_sign(&mut marks, role, chord_accidental(*alter), x, 0.0, size);
            }
            SymbolPart::RaisedAccidental(alter) => {
                x += push_sign(&mut marks, role, chord_accidental(*alter), x, raise, small);
            }
            SymbolPart::Mark(mark) => {
                if matches!(before, Some(SymbolPart::Accidental(_))) {
                    x += rules::SYMBOL_SIGN_GAP * size;
                }
                x += push_sign(&mut marks, role, quality_sign(*mark), x, 0.0, size * 0.9);
            }
        }
    }
    Setting::new(marks, x)
}

/// Adds words; returns how far they advance.
fn push_text(
    marks: &mut Vec<Mark>,
    role: Role,
    words: &str,
    face: TextFace,
    x: Sp,
    y: Sp,
    size: Sp,
) -> Sp {
    marks.push(Mark::text(role, words, face, Point::new(x, y), size));
    typeset::width(face, words, size)
}

/// Adds a sign whose face is set at an em of `size`; returns how far it advances.
fn push_sign(marks: &mut Vec<Mark>, role: Role, sign: Sign, x: Sp, y: Sp, size: Sp) -> Sp {
    /// White on either side of a sign, in its ems.
    const SIDE: f64 = 0.03;
    let scale = size / 4.0;
    let ink = MusicFace::get().bounds(sign);
    let at = Point::new(x + SIDE * size - ink.x0 * scale, y);
    marks.push(Mark { role, form: Form::Sign { sign, at, scale } });
    ink.width() * scale + 2.0 * SIDE * size
}

/// The accidental of a chord symbol.
fn chord_accidental(alter: i32) -> Sign {
    match alter {
        ..=-2 => Sign::CsymAccidentalDoubleFlat,
        -1 => Sign::CsymAccidentalFlat,
        0 => Sign::CsymAccidentalNatural,
        1 => Sign::CsymAccidentalSharp,
        2.. => Sign::CsymAccidentalDoubleSharp,
    }
}

fn quality_sign(mark: QualityMark) -> Sign {
    match mark {
        QualityMark::Major => Sign::CsymMajorSeventh,
        QualityMark::Minor => Sign::CsymMinor,
        QualityMark::HalfDiminished => Sign::CsymHalfDiminished,
        QualityMark::Diminished => Sign::CsymDiminished,
        QualityMark::Augmented => Sign::CsymAugmented,
    }
}

/// The words of a count: bracketed where no hand strikes.
fn count_words(count: &Count) -> (String, TextFace) {
    let syllable = count.spoken();
    let words = if count.is_only_held() { format!("({syllable})") } else { syllable };
    let is_struck_beat = count.on_beat && !count.is_only_held();
    let face = if is_struck_beat { TextFace::Semibold } else { TextFace::Regular };
    (words, face)
}

/// A count centred on the origin, its baseline at 0: the syllable, a wedge above it where the
/// right hand strikes, one below it where the left hand does, with a tail where a hand pushes.
pub(super) fn count(count: &Count) -> Setting {
    let (words, face) = count_words(count);
    let width = typeset::width(face, &words, rules::COUNT_SIZE);
    let at = Point::new(-width / 2.0, 0.0);
    let mut marks = vec![Mark::text(Role::Count, words, face, at, rules::COUNT_SIZE)];
    let figure = figure_ink();
    let [_, _, white] = rules::WEDGE;
    for (stroke, base, sign) in
        [(count.right, figure.y1 + white, 1.0), (count.left, figure.y0 - white, -1.0)]
    {
        if stroke != Stroke::None {
            marks.push(wedge(base, sign));
        }
        if stroke == Stroke::Pushed {
            let [length, thickness] = rules::WEDGE_TAIL;
            let y = base + sign * thickness / 2.0;
            let tail = (Point::new(0.0, y), Point::new(length, y));
            marks.push(Mark::line(Role::Count, tail.0, tail.1, thickness));
        }
    }
    Setting::new(marks, width)
}

/// The ink that all wedges keep clear of: figures and ampersands differ in height.
fn figure_ink() -> Rect {
    static INK: LazyLock<Rect> =
        LazyLock::new(|| {
            typeset::ink_bounds(TextFace::Semibold, "4", rules::COUNT_SIZE)
                .union(typeset::ink_bounds(TextFace::Regular, "&", rules::COUNT_SIZE))
        });
    *INK
}

/// A wedge standing on a height, pointing up (`sign` 1.0) or down (-1.0).
fn wedge(base: Sp, sign: f64) -> Mark {
    let [width, height, _] = rules::WEDGE;
    let mut path = BezPath::with_capacity(4);
    path.move_to((-width / 2.0, base));
    path.line_to((width / 2.0, base));
    path.line_to((0.0, base + sign * height));
    path.close_path();
    Mark::fill(Role::Count, path)
}

/// A finger digit centred on an abscissa, its baseline at a height.
pub(super) fn finger(finger: u8, centre: Sp, baseline: Sp) -> Option<Mark> {
    let sign = Sign::finger(finger)?;
    let scale = rules::FINGER_SCALE;
    let ink = MusicFace::get().bounds(sign);
    let at = Point::new(centre - ink.center().x * scale, baseline);
    Some(Mark { role: Role::Finger, form: Form::Sign { sign, at, scale } })
}

/// The widest finger digit, and the height of all.
pub(super) fn finger_size() -> (Sp, Sp) {
    let ink = MusicFace::get().bounds(Sign::Fingering4);
    (ink.width() * rules::FINGER_SCALE, ink.y1 * rules::FINGER_SCALE)
}
