//! The rows beside the staves: chord symbols, numerals, counts, set as type.

use std::sync::{Arc, LazyLock};

use kurbo::{Point, Rect, Size};

use super::look::Look;
use super::mark::{Engraved, MarkRole};
use super::rules::{self, Sp};
use crate::glyphs::{MusicFace, Sign};
use crate::score::{Count, CountStroke, Harmony};
use crate::theory::{NumeralStyle, chord_symbol_over};
use crate::typeset::line::{Phrase, Style};
use crate::typeset::{self, TextFace, Trace};

/// A line of type with its origin at the left end of its baseline.
#[derive(Clone, Debug)]
pub(super) struct TypeSetting {
    role: MarkRole,
    /// What it is made of, with the box round each.
    traces: Vec<(Trace, Rect)>,
    /// How far it advances.
    pub(super) width: Sp,
    /// The box round its ink.
    ink: Rect,
}

impl TypeSetting {
    fn new(role: MarkRole, traces: Vec<Trace>, width: Sp) -> Self {
        let boxed = |trace: Trace| {
            let ink = trace.bounds();
            (trace, ink)
        };
        let traces: Vec<(Trace, Rect)> = traces.into_iter().map(boxed).collect();
        let boxes = traces.iter().map(|(_, ink)| *ink);
        let ink = boxes.reduce(|all, ink| all.union(ink)).unwrap_or(Rect::ZERO);
        Self { role, traces, width, ink }
    }

    fn of(role: MarkRole, phrase: Phrase) -> Self {
        let width = phrase.width();
        let traces = phrase.at(Point::ZERO).into_iter().map(|(trace, _)| trace);
        Self::new(role, traces.collect(), width)
    }

    /// The box round its ink.
    pub(super) fn bounds(&self) -> Rect {
        self.ink
    }

    /// How far right of its origin it reaches.
    pub(super) fn reach(&self) -> Sp {
        self.width.max(self.ink.x1)
    }

    /// Its marks, at an origin.
    pub(super) fn at(&self, origin: Point) -> impl Iterator<Item = Engraved> {
        self.traces.iter().map(move |(trace, _)| {
            let mut trace = trace.clone();
            trace.shift(origin.to_vec2());
            Engraved { role: self.role, trace }
        })
    }

    /// How many marks it has.
    pub(super) fn marks(&self) -> usize {
        self.traces.len()
    }

    /// The box round each of its marks, at an origin.
    pub(super) fn boxes(&self, origin: Point) -> impl Iterator<Item = Rect> {
        self.traces.iter().map(move |(_, ink)| *ink + origin.to_vec2())
    }
}

/// Settings that have been made, each once for all the places where it stands.
pub(super) struct SetOnce<K> {
    made: Vec<(K, Arc<TypeSetting>)>,
}

impl<K: PartialEq> SetOnce<K> {
    /// None yet.
    pub(super) fn new() -> Self {
        Self { made: Vec::new() }
    }

    /// The setting of a what, made if it is new.
    pub(super) fn setting(
        &mut self,
        what: K,
        make: impl FnOnce() -> TypeSetting,
    ) -> Arc<TypeSetting> {
        if let Some((_, known)) = self.made.iter().find(|(known, _)| *known == what) {
            return Arc::clone(known);
        }
        let made = Arc::new(make());
        self.made.push((what, Arc::clone(&made)));
        made
    }
}

/// A chord symbol.
pub(super) fn symbol(harmony: &Harmony, look: &Look) -> TypeSetting {
    let parts = chord_symbol_over(harmony.chord, harmony.numeral.inversion, look.symbols);
    let style = Style::new(TextFace::Semibold, rules::SYMBOL_SIZE);
    TypeSetting::of(MarkRole::Symbol, Phrase::harmony(&parts, style))
}

/// A numeral; only where they are printed.
pub(super) fn numeral(harmony: &Harmony, look: &Look) -> TypeSetting {
    let parts = harmony.numeral.parts(look.numerals, look.symbols);
    let style = Style::new(TextFace::Regular, rules::NUMERAL_SIZE);
    TypeSetting::of(MarkRole::Numeral, Phrase::harmony(&parts, style))
}

/// Whether numerals are printed.
pub(super) fn has_numerals(look: &Look) -> bool {
    look.numerals != NumeralStyle::Off
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
pub(super) fn count(count: &Count) -> TypeSetting {
    let (words, face) = count_words(count);
    let width = typeset::width(face, &words, rules::COUNT_SIZE);
    let at = Point::new(-width / 2.0, 0.0);
    let mut traces = vec![Trace::Text { text: words.into(), face, at, size: rules::COUNT_SIZE }];
    let figure = figure_ink();
    let (above, below) = (figure.y1 + rules::WEDGE_TO_COUNT, figure.y0 - rules::WEDGE_TO_COUNT);
    for (stroke, base, sign) in
        [(count.strokes.right, above, 1.0), (count.strokes.left, below, -1.0)]
    {
        let base = Point::new(0.0, base);
        if stroke != CountStroke::None {
            traces.push(rules::WEDGE.body(base, sign));
        }
        if stroke == CountStroke::Pushed {
            traces.push(rules::WEDGE.tail(base, sign));
        }
    }
    TypeSetting::new(MarkRole::Count, traces, width)
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

/// A finger digit centred on an abscissa, its baseline at a height.
pub(super) fn finger(finger: u8, centre: Sp, baseline: Sp) -> Option<Engraved> {
    let sign = Sign::finger(finger)?;
    let scale = rules::FINGER_SCALE;
    let ink = MusicFace::get().bounds(sign);
    let at = Point::new(centre - ink.center().x * scale, baseline);
    Some(Engraved::scaled_sign(MarkRole::Finger, sign, at, scale))
}

/// The widest finger digit, and the height of all.
pub(super) fn finger_size() -> Size {
    let ink = MusicFace::get().bounds(Sign::Fingering4);
    Size::new(ink.width() * rules::FINGER_SCALE, ink.y1 * rules::FINGER_SCALE)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::{ByHand, Syllable};

    #[test]
    fn the_tail_of_a_push_keeps_clear_of_its_syllable() {
        let strokes = ByHand { right: CountStroke::Pushed, left: CountStroke::Pushed };
        for syllable in [Syllable::Number(4), Syllable::And] {
            let on_beat = syllable != Syllable::And;
            let set = count(&Count { at: 0, syllable, on_beat, strokes });
            let words = |trace: &Trace| matches!(trace, Trace::Text { .. });
            let traces = || set.traces.iter().map(|(trace, _)| trace);
            let syllable = traces().find(|trace| words(trace)).expect("words").bounds();
            let tails = traces().filter(|trace| matches!(trace, Trace::Line { .. }));
            let mut looked_at = 0;
            for tail in tails.map(Trace::bounds) {
                let gap = (tail.y0 - syllable.y1).max(syllable.y0 - tail.y1);
                assert!(gap >= 0.4, "{tail:?} beside {syllable:?}");
                looked_at += 1;
            }
            assert_eq!(looked_at, 2);
        }
    }
}
