//! Chord symbols and numerals, set alike on a staff and among words.

use crate::glyphs::Sign;
use crate::theory::{QualityMark, SymbolPart};
use crate::typeset::line::{Phrase, Style};

/// Size of the letters of a quality beside their root (ours: at 0.72 of it a player at the keys
/// could not tell them).
const SMALL: f64 = 0.92;
/// Size of what is raised beside the root (common practice, 0.65 to 0.8).
const RAISED: f64 = 0.8;
/// Rise of a raised part, in ems of the symbol (common practice, 0.2 to 0.4).
const RAISE: f64 = 0.24;
/// Size of the sign of a quality beside the root (ours).
const QUALITY: f64 = 1.0;
/// White between an accidental and a sign after it, in ems (ours).
const SIGN_GAP: f64 = 0.04;
/// How much nearer than an accidental's own white what follows it stands, in ems (ours): the
/// white that words need on both sides is too much inside a symbol.
const AFTER_ACCIDENTAL: f64 = 0.03;
/// Em of the two figures of an inversion, in ems of the numeral (ours: two of them stand
/// somewhat higher than its letters).
const FIGURE: f64 = 0.76;
/// Baselines of the lower and the upper figure, in ems of the numeral (ours).
const FIGURE_BASELINES: [f64; 2] = [-0.2, 0.34];

impl Phrase {
    /// A chord symbol or a numeral.
    pub(crate) fn harmony(parts: &[SymbolPart], style: Style) -> Self {
        let mut phrase = Self::default();
        let size = style.size;
        let small = Style { size: size * SMALL, ..style };
        let raised = Style { size: size * RAISED, ..style };
        let raise = size * RAISE;
        let before = std::iter::once(None).chain(parts.iter().map(Some));
        for (part, before) in parts.iter().zip(before) {
            let follows_accidental = matches!(before, Some(SymbolPart::Accidental(_)));
            match part {
                SymbolPart::Base(words) => phrase.run(words, 0.0, style),
                SymbolPart::Small(words) => phrase.run(words, 0.0, small),
                SymbolPart::Raised(words) => phrase.run(words, raise, raised),
                SymbolPart::Figures(upper, lower) => {
                    let style = Style { size: size * FIGURE, ..style };
                    let [low, high] = FIGURE_BASELINES.map(|baseline| baseline * size);
                    let upper = phrase.set(&upper.to_string(), high, style);
                    let lower = phrase.set(&lower.to_string(), low, style);
                    phrase.space(upper.max(lower));
                }
                SymbolPart::Accidental(alter) => {
                    phrase.sign(accidental(*alter), 0.0, style);
                    phrase.space(-AFTER_ACCIDENTAL * size);
                }
                SymbolPart::RaisedAccidental(alter) => {
                    phrase.sign(accidental(*alter), raise, raised);
                    phrase.space(-AFTER_ACCIDENTAL * raised.size);
                }
                SymbolPart::Mark(mark) => {
                    if follows_accidental {
                        phrase.space(SIGN_GAP * size);
                    }
                    match mark {
                        QualityMark::HalfDiminished | QualityMark::Diminished => {
                            phrase.sign(quality_sign(*mark), raise, raised);
                        }
                        _ => {
                            let style = Style { size: size * QUALITY, ..style };
                            phrase.sign(quality_sign(*mark), 0.0, style);
                        }
                    }
                }
            }
        }
        phrase
    }
}

/// The accidental of a chord symbol.
fn accidental(alter: i32) -> Sign {
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

#[cfg(test)]
mod tests {
    use kurbo::{BezPath, Point, Shape as _};

    use super::*;
    use crate::glyphs::MusicFace;
    use crate::typeset::{TextFace, Trace, outline, shape};

    /// The breadth of the first stroke that a level line meets, on a fine grid.
    fn first_stroke(outline: &BezPath, y: f64) -> f64 {
        const STEP: f64 = 0.0005;
        let ink = outline.bounding_box();
        let steps = (ink.width() / STEP) as usize;
        let black =
            |step: &usize| outline.winding(Point::new(ink.x0 + *step as f64 * STEP, y)) != 0;
        let first = (0..steps).find(black).expect("a stroke");
        (first..steps).take_while(black).count() as f64 * STEP
    }

    #[test]
    fn a_ring_is_as_heavy_as_the_root_and_as_high_as_the_seven() {
        let capital = shape(TextFace::Semibold, "I").glyphs()[0].gid;
        let root = first_stroke(outline(TextFace::Semibold, capital), 0.3);
        let ring = MusicFace::get().outline(Sign::CsymDiminished);
        let wall = first_stroke(ring, ring.bounding_box().center().y) * RAISED / 4.0;
        assert!((0.75..1.2).contains(&(wall / root)), "{wall} beside {root}");

        let parts = [SymbolPart::Mark(QualityMark::Diminished), SymbolPart::Raised("7".into())];
        let phrase = Phrase::harmony(&parts, Style::new(TextFace::Semibold, 1.0));
        let inks: Vec<_> = phrase.at(Point::ZERO).iter().map(|(it, _)| it.bounds()).collect();
        let [ring, seven] = inks[..] else { panic!("{inks:?}") };
        assert!((ring.center().y - seven.center().y).abs() < 0.03, "{ring:?} beside {seven:?}");
    }

    #[test]
    fn no_gap_follows_a_sharp() {
        let style = Style::new(TextFace::Semibold, 1.0);
        let sharp = || SymbolPart::Accidental(1);
        for after in [SymbolPart::Small("m".into()), SymbolPart::Raised("7".into())] {
            let parts = [SymbolPart::Base("F".into()), sharp(), after.clone()];
            let traces = Phrase::harmony(&parts, style).at(Point::ZERO);
            let ends = |trace: &Trace| (trace.bounds().x0, trace.bounds().x1);
            let gap = ends(&traces[2].0).0 - ends(&traces[1].0).1;
            assert!((0.0..0.06).contains(&gap), "{after:?}: {gap} em after a sharp");
        }
    }
}
