//! Every sign as drawn: its outline and its advance width.

use super::accidentals::{self, on_staff};
use super::{
    articulations, brace, chord_signs, clefs, digits, flags, heads, ink, rests, text_notes,
};
use crate::glyphs::Sign;
use kurbo::{BezPath, Shape};

/// A sign as drawn, in sp, before it is packed.
pub(crate) struct GlyphDrawing {
    /// Clean contours.
    pub(crate) outline: BezPath,
    /// How far the next sign of a line of text is set to the right.
    pub(crate) advance: f64,
}

/// Draws a sign.
pub(crate) fn draw(sign: Sign) -> GlyphDrawing {
    let outline = clockwise(&outline(sign));
    let advance = match sign {
        Sign::TextCont8thBeamLongStem => text_notes::BEAM_ADVANCE,
        Sign::TextTuplet3LongStem => text_notes::TUPLET_ADVANCE,
        Sign::TextTupletBracketStartLongStem | Sign::TextTupletBracketEndLongStem => 0.0,
        _ => ink::bounds(&outline).x1,
    };
    GlyphDrawing { outline, advance }
}

/// The contours with the outer ones clockwise and their counters against them, as TrueType
/// outlines are wound.
fn clockwise(outline: &BezPath) -> BezPath {
    // Counters lie inside their outer contours, so the sign of the whole area is the outer one's.
    if outline.area() > 0.0 { outline.reverse_subpaths() } else { outline.clone() }
}

fn outline(sign: Sign) -> BezPath {
    use articulations::below;
    match sign {
        Sign::Brace => brace::brace(),
        Sign::RepeatDots => heads::repeat_dots(),
        Sign::GClef => clefs::g_clef(),
        Sign::FClef => clefs::f_clef(),
        Sign::GClefChange => clefs::g_clef_change(),
        Sign::FClefChange => clefs::f_clef_change(),
        Sign::TimeSig0 => digits::time(0),
        Sign::TimeSig1 => digits::time(1),
        Sign::TimeSig2 => digits::time(2),
        Sign::TimeSig3 => digits::time(3),
        Sign::TimeSig4 => digits::time(4),
        Sign::TimeSig5 => digits::time(5),
        Sign::TimeSig6 => digits::time(6),
        Sign::TimeSig7 => digits::time(7),
        Sign::TimeSig8 => digits::time(8),
        Sign::TimeSig9 => digits::time(9),
        Sign::NoteheadWhole => heads::notehead_whole(),
        Sign::NoteheadHalf => heads::notehead_half(),
        Sign::NoteheadBlack => heads::notehead_black(),
        Sign::AugmentationDot => heads::augmentation_dot(),
        Sign::TextBlackNoteLongStem | Sign::MetNoteQuarterUp => text_notes::quarter(),
        Sign::TextBlackNoteFrac8thLongStem => text_notes::note_with_half_beam(),
        Sign::TextCont8thBeamLongStem => text_notes::beam_between(),
        Sign::TextTupletBracketStartLongStem => text_notes::bracket_start(),
        Sign::TextTuplet3LongStem => text_notes::tuplet_3(),
        Sign::TextTupletBracketEndLongStem => {
            text_notes::bracket_end(ink::bounds(&text_notes::eighth()).x1)
        }
        Sign::Flag8thUp => flags::flag_8th_up(),
        Sign::Flag8thDown => flags::flag_8th_down(),
        Sign::Flag16thUp => flags::flag_16th_up(),
        Sign::Flag16thDown => flags::flag_16th_down(),
        Sign::AccidentalFlat => on_staff(accidentals::flat),
        Sign::AccidentalNatural => on_staff(accidentals::natural),
        Sign::AccidentalSharp => on_staff(accidentals::sharp),
        Sign::AccidentalDoubleSharp => on_staff(accidentals::double_sharp),
        Sign::AccidentalDoubleFlat => on_staff(accidentals::double_flat),
        Sign::ArticAccentAbove => articulations::accent_above(),
        Sign::ArticAccentBelow => below(articulations::accent_above()),
        Sign::ArticStaccatoAbove => articulations::staccato_above(),
        Sign::ArticStaccatoBelow => below(articulations::staccato_above()),
        Sign::ArticTenutoAbove => articulations::tenuto_above(),
        Sign::ArticTenutoBelow => below(articulations::tenuto_above()),
        Sign::FermataAbove => articulations::fermata_above(),
        Sign::FermataBelow => below(articulations::fermata_above()),
        Sign::RestWhole => heads::rest_whole(),
        Sign::RestHalf => heads::rest_half(),
        Sign::RestQuarter => rests::rest_quarter(),
        Sign::Rest8th => rests::rest_8th(),
        Sign::Rest16th => rests::rest_16th(),
        Sign::Tuplet3 => digits::tuplet(3),
        Sign::CsymDiminished => chord_signs::diminished(),
        Sign::CsymHalfDiminished => chord_signs::half_diminished(),
        Sign::CsymAugmented => chord_signs::augmented(),
        Sign::CsymMajorSeventh => chord_signs::major_seventh(),
        Sign::CsymMinor => chord_signs::minor(),
        Sign::CsymParensLeftTall => chord_signs::parens_left_tall(),
        Sign::CsymParensRightTall => chord_signs::parens_right_tall(),
        Sign::MetNote8thUp => text_notes::eighth(),
        Sign::MetAugmentationDot => text_notes::dot(),
        Sign::Fingering0 => digits::fingering(0),
        Sign::Fingering1 => digits::fingering(1),
        Sign::Fingering2 => digits::fingering(2),
        Sign::Fingering3 => digits::fingering(3),
        Sign::Fingering4 => digits::fingering(4),
        Sign::Fingering5 => digits::fingering(5),
        Sign::CsymAccidentalFlat => chord_signs::flat(),
        Sign::CsymAccidentalNatural => chord_signs::natural(),
        Sign::CsymAccidentalSharp => chord_signs::sharp(),
        Sign::CsymAccidentalDoubleSharp => chord_signs::double_sharp(),
        Sign::CsymAccidentalDoubleFlat => chord_signs::double_flat(),
        Sign::HeadingFlat => chord_signs::heading_flat(),
        Sign::HeadingNatural => chord_signs::heading_natural(),
        Sign::HeadingSharp => chord_signs::heading_sharp(),
    }
}
