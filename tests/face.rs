//! Laws of the music face: every sign stands where SMuFL registers it.
//!
//! That the files are what the drawings give is tested beside those, in `src/glyphs/draw/`.

use kurbo::{BezPath, ParamCurveArea, PathEl, Point, Rect, Shape};
use quintfall::glyphs::{Anchor, MusicFace, Sign};

/// Half a font unit and the rounding of the other edge, in sp.
const UNIT: f64 = 0.008;

fn ink(sign: Sign) -> Rect {
    MusicFace::get().bounds(sign)
}

#[track_caller]
fn near(sign: Sign, found: f64, wanted: f64, slack: f64) {
    assert!((found - wanted).abs() <= slack, "{sign:?}: {found} is not {wanted} ± {slack}");
}

fn contours(outline: &BezPath) -> Vec<BezPath> {
    let mut parts: Vec<BezPath> = Vec::new();
    for &element in outline.elements() {
        if matches!(element, PathEl::MoveTo(_)) {
            parts.push(BezPath::new());
        }
        if let Some(part) = parts.last_mut() {
            part.push(element);
        }
    }
    parts
}

#[test]
fn every_sign_has_ink_of_a_sane_size() {
    for &sign in Sign::ALL {
        let bounds = ink(sign);
        assert!(bounds.width() > 0.15 && bounds.width() < 4.0, "{sign:?} {bounds:?}");
        assert!(bounds.height() > 0.15 && bounds.height() < 7.6, "{sign:?} {bounds:?}");
    }
}

#[test]
fn every_contour_encloses_something() {
    for &sign in Sign::ALL {
        for contour in contours(MusicFace::get().outline(sign)) {
            assert!(contour.area().abs() > 0.003, "{sign:?} has a speck: {contour:?}");
            assert!(contour.elements().len() > 3, "{sign:?} has a sliver: {contour:?}");
        }
    }
}

#[test]
fn outer_contours_are_clockwise_and_counters_are_not() {
    for &sign in Sign::ALL {
        let parts = contours(MusicFace::get().outline(sign));
        for (i, part) in parts.iter().enumerate() {
            let Some(PathEl::MoveTo(start)) = part.elements().first().copied() else {
                panic!("{sign:?}: a contour without a start");
            };
            let around = parts
                .iter()
                .enumerate()
                .filter(|&(other, shape)| other != i && shape.contains(start))
                .count();
            let is_outer = around % 2 == 0;
            assert_eq!(part.area() < 0.0, is_outer, "{sign:?} contour {i}");
        }
    }
}

#[test]
fn signs_start_at_the_origin_and_advance_by_their_width() {
    use Sign::*;
    let composed = [
        TextBlackNoteFrac8thLongStem,
        TextCont8thBeamLongStem,
        TextTupletBracketStartLongStem,
        TextTuplet3LongStem,
        TextTupletBracketEndLongStem,
    ];
    for &sign in Sign::ALL.iter().filter(|sign| !composed.contains(sign)) {
        near(sign, ink(sign).x0, 0.0, UNIT);
        near(sign, MusicFace::get().advance(sign), ink(sign).x1, UNIT);
    }
}

#[test]
fn heads_and_accidentals_are_centred_on_their_staff_position() {
    use Sign::*;
    let centred = [
        NoteheadWhole,
        NoteheadHalf,
        NoteheadBlack,
        AugmentationDot,
        AccidentalNatural,
        AccidentalSharp,
        AccidentalDoubleSharp,
        RestQuarter,
    ];
    for sign in centred {
        near(sign, ink(sign).center().y, 0.0, 0.02);
    }
    for sign in [NoteheadWhole, NoteheadHalf, NoteheadBlack] {
        assert!((1.0..=1.06).contains(&ink(sign).height()), "{sign:?}");
    }
    for sign in [AccidentalFlat, AccidentalDoubleFlat] {
        near(sign, ink(sign).y1, 1.75, 0.02);
        near(sign, ink(sign).y0, -0.70, 0.02);
    }
}

#[test]
fn stems_meet_heads_at_their_extreme_edges() {
    let face = MusicFace::get();
    for sign in [Sign::NoteheadBlack, Sign::NoteheadHalf] {
        let up = face.anchor(sign, Anchor::StemUpSE).unwrap();
        let down = face.anchor(sign, Anchor::StemDownNW).unwrap();
        near(sign, up.x, ink(sign).x1, 1e-9);
        near(sign, down.x, ink(sign).x0, 1e-9);
        assert!((0.15..=0.25).contains(&up.y) && (0.15..=0.25).contains(&-down.y));
        // The outer edge of the head must have reached the stem there, or a notch would show.
        let inside = Point::new(up.x - 0.03, up.y);
        assert!(face.outline(sign).contains(inside), "{sign:?}: gap between head and stem");
    }
    assert_eq!(face.anchor(Sign::NoteheadWhole, Anchor::StemUpSE), None);
}

#[test]
fn flags_hang_from_the_end_of_the_stem() {
    let face = MusicFace::get();
    near(Sign::Flag8thUp, ink(Sign::Flag8thUp).y1, 0.0, UNIT);
    near(Sign::Flag8thDown, ink(Sign::Flag8thDown).y0, 0.0, UNIT);
    assert_eq!(
        face.anchor(Sign::Flag8thUp, Anchor::StemUpNW).map(|p| (p.x, p.y)),
        Some((0.0, 0.0))
    );
    near(Sign::Flag8thUp, ink(Sign::Flag8thUp).height(), 3.1, 0.1);
    near(Sign::Flag16thUp, ink(Sign::Flag16thUp).y1, 0.0, UNIT);
    near(Sign::Flag16thDown, ink(Sign::Flag16thDown).y0, 0.0, UNIT);
    near(Sign::Flag16thUp, ink(Sign::Flag16thUp).height(), 3.25, 0.1);
    for sign in [Sign::Flag16thUp, Sign::Flag16thDown] {
        assert_eq!(contours(face.outline(sign)).len(), 1, "{sign:?}: a flag hangs loose");
    }
}

#[test]
fn the_balls_of_a_sixteenth_rest_hang_in_neighbouring_spaces() {
    let (one, two) = (ink(Sign::Rest8th), ink(Sign::Rest16th));
    near(Sign::Rest16th, two.y1, one.y1, UNIT);
    near(Sign::Rest16th, one.y0 - two.y0, 1.0, 2.0 * UNIT);
}

#[test]
fn the_tuplet_figure_sits_on_the_baseline_and_leans() {
    near(Sign::Tuplet3, ink(Sign::Tuplet3).y0, 0.0, UNIT);
    near(Sign::Tuplet3, ink(Sign::Tuplet3).y1, 1.4, UNIT);
    assert!(ink(Sign::Tuplet3).width() < ink(Sign::Tuplet3).height());
}

/// Two of them stand two spaces apart, with a line of the staff, 0.11 sp, between.
#[test]
fn time_figures_leave_white_on_both_sides_of_the_middle_line() {
    const LINE: f64 = 0.11;
    for digit in 0..=9 {
        let sign = Sign::time_digit(digit).unwrap();
        near(sign, ink(sign).center().y, 0.0, UNIT);
        let white = 1.0 - ink(sign).y1 - LINE / 2.0;
        assert!((0.05..0.1).contains(&white), "{sign:?}: {white}");
    }
}

/// The ink of a slice at a height, from left to right, on a fine grid.
fn slice(outline: &BezPath, ink: Rect, y: f64) -> Vec<f64> {
    let steps = (ink.width() / 0.001) as usize;
    let grid = (0..=steps).map(|step| ink.x0 + step as f64 * 0.001);
    grid.filter(|x| outline.winding(Point::new(*x, y)) != 0).collect()
}

#[test]
fn an_arm_of_the_brace_never_turns_back_and_swells_once() {
    let (outline, ink) = (MusicFace::get().outline(Sign::Brace), ink(Sign::Brace));
    let slices: Vec<[f64; 2]> = (1..98)
        .map(|step| slice(outline, ink, 2.0 + f64::from(step) * 0.02))
        .map(|black| [black[0], black[black.len() - 1]])
        .collect();
    let middles: Vec<f64> = slices.iter().map(|[left, right]| (left + right) / 2.0).collect();
    assert!(middles.windows(2).all(|pair| pair[1] > pair[0] - 0.002), "{middles:?}");
    // From where the arm stands upright to where it leans over to its end.
    let widths: Vec<f64> = slices[15..90].iter().map(|[left, right]| right - left).collect();
    let broadest = widths.iter().copied().fold(0.0, f64::max);
    let peak = widths.iter().position(|width| *width == broadest).unwrap();
    let grows = |pair: &[f64]| pair[1] > pair[0] - 0.003;
    assert!(widths[..=peak].windows(2).all(grows), "{widths:?}");
    assert!(widths[peak..].windows(2).all(|pair| grows(&[pair[1], pair[0]])), "{widths:?}");
}

#[test]
fn fingering_figures_sit_on_the_baseline() {
    for digit in 0..=5 {
        let sign = Sign::finger(digit).unwrap();
        near(sign, ink(sign).y0, 0.0, UNIT);
        near(sign, ink(sign).y1, 1.3, UNIT);
    }
}

#[test]
fn clefs_hold_their_named_line() {
    for (sign, scale) in [(Sign::FClef, 1.0), (Sign::FClefChange, 2.0 / 3.0)] {
        let outline = MusicFace::get().outline(sign);
        let right = ink(sign).x1;
        let dots: Vec<Rect> = contours(outline)
            .iter()
            .map(Shape::bounding_box)
            .filter(|bounds| bounds.x0 > right - 0.6)
            .collect();
        assert_eq!(dots.len(), 2, "{sign:?}");
        let mut heights: Vec<f64> = dots.iter().map(|dot| dot.center().y).collect();
        heights.sort_by(f64::total_cmp);
        near(sign, heights[0], -0.5 * scale, UNIT);
        near(sign, heights[1], 0.5 * scale, UNIT);
    }
    // The bowl of the G clef wraps the G line: as far above as below, give or take its slant.
    let g = ink(Sign::GClef);
    assert!((6.8..=7.5).contains(&g.height()), "{g:?}");
    assert!(g.y1 > 4.0 && g.y0 < -2.0, "{g:?}");
}

#[test]
fn small_clefs_are_two_thirds_of_the_size() {
    for (small, full) in [(Sign::GClefChange, Sign::GClef), (Sign::FClefChange, Sign::FClef)] {
        near(small, ink(small).height() / ink(full).height(), 2.0 / 3.0, 0.02);
    }
}

#[test]
fn articulations_above_sit_and_below_hang() {
    use Sign::*;
    let pairs = [
        (ArticAccentAbove, ArticAccentBelow),
        (ArticStaccatoAbove, ArticStaccatoBelow),
        (ArticTenutoAbove, ArticTenutoBelow),
        (FermataAbove, FermataBelow),
    ];
    for (above, below) in pairs {
        near(above, ink(above).y0, 0.0, UNIT);
        near(below, ink(below).y1, 0.0, UNIT);
        near(above, ink(above).height(), ink(below).height(), UNIT);
        near(above, ink(above).width(), ink(below).width(), UNIT);
    }
}

#[test]
fn the_whole_rest_hangs_and_the_half_rest_sits() {
    near(Sign::RestWhole, ink(Sign::RestWhole).y1, 0.0, UNIT);
    near(Sign::RestHalf, ink(Sign::RestHalf).y0, 0.0, UNIT);
}

#[test]
fn the_brace_is_one_em_tall_and_the_repeat_dots_fill_the_middle_spaces() {
    near(Sign::Brace, ink(Sign::Brace).y0, 0.0, 0.02);
    near(Sign::Brace, ink(Sign::Brace).y1, 4.0, 0.02);
    near(Sign::RepeatDots, ink(Sign::RepeatDots).center().y, 2.0, UNIT);
}

#[test]
fn two_beamed_eighths_have_one_unbroken_beam() {
    let face = MusicFace::get();
    let mut x = 0.0;
    let mut line = BezPath::new();
    for sign in [
        Sign::TextBlackNoteLongStem,
        Sign::TextCont8thBeamLongStem,
        Sign::TextBlackNoteFrac8thLongStem,
    ] {
        line.extend(kurbo::Affine::translate((x, 0.0)) * face.outline(sign).clone());
        x += face.advance(sign);
    }
    let top = line.bounding_box().y1;
    let first_stem = face.advance(Sign::TextBlackNoteLongStem) - 0.05;
    for step in 0..=200 {
        let at = first_stem + (x - 0.01 - first_stem) * f64::from(step) / 200.0;
        assert!(line.winding(Point::new(at, top - 0.2)) != 0, "a gap in the beam at {at}");
    }
}

#[test]
fn the_bracketed_three_stands_midway_over_its_notes() {
    let face = MusicFace::get();
    let mut x = 0.0;
    let mut at = |sign: Sign| {
        let placed = ink(sign) + kurbo::Vec2::new(x, 0.0);
        x += face.advance(sign);
        placed
    };
    let start = at(Sign::TextTupletBracketStartLongStem);
    let quarter = at(Sign::MetNoteQuarterUp);
    let three = at(Sign::TextTuplet3LongStem);
    let eighth = at(Sign::MetNote8thUp);
    let end = at(Sign::TextTupletBracketEndLongStem);
    let left_gap = three.x0 - start.x1;
    let right_gap = end.x0 - three.x1;
    assert!((left_gap - right_gap).abs() < 0.02, "{left_gap} {right_gap}");
    assert!(left_gap > 0.1);
    assert!((start.x0 - quarter.x0).abs() < UNIT);
    assert!(end.x1 < eighth.x1 && end.x1 > eighth.x0 + 1.0);
    for above in [start, three, end] {
        assert!(above.y0 > quarter.y1, "{above:?} touches a stem");
    }
}

#[test]
fn cut_outs_are_empty_corners() {
    let face = MusicFace::get();
    let mut told = 0;
    for &sign in Sign::ALL {
        let bounds = ink(sign);
        for (anchor, corner) in [
            (Anchor::CutOutNE, Point::new(bounds.x1, bounds.y1)),
            (Anchor::CutOutSE, Point::new(bounds.x1, bounds.y0)),
            (Anchor::CutOutSW, Point::new(bounds.x0, bounds.y0)),
            (Anchor::CutOutNW, Point::new(bounds.x0, bounds.y1)),
        ] {
            let Some(inner) = face.anchor(sign, anchor) else { continue };
            told += 1;
            let empty = Rect::from_points(inner, corner).inset(-0.01);
            for i in 0..=20 {
                for j in 0..=20 {
                    let probe = Point::new(
                        empty.x0 + empty.width() * f64::from(i) / 20.0,
                        empty.y0 + empty.height() * f64::from(j) / 20.0,
                    );
                    assert!(!face.outline(sign).contains(probe), "{sign:?} {anchor:?} {probe:?}");
                }
            }
        }
    }
    assert!(told >= 6, "only {told} cut-outs");
}

#[test]
fn chord_signs_suit_their_capitals() {
    let cap = 2.64;
    near(Sign::CsymMajorSeventh, ink(Sign::CsymMajorSeventh).y0, 0.0, UNIT);
    for sign in [
        Sign::CsymDiminished,
        Sign::CsymHalfDiminished,
        Sign::CsymAugmented,
        Sign::CsymMinor,
        Sign::CsymAccidentalSharp,
        Sign::CsymAccidentalNatural,
        Sign::CsymParensLeftTall,
        Sign::CsymParensRightTall,
    ] {
        near(sign, ink(sign).center().y, cap / 2.0, 0.02);
    }
    assert!(ink(Sign::CsymAccidentalFlat).y0.abs() < 0.1);
}

/// Beside bold capitals, 0.647 em tall with uprights of 0.14 em.
#[test]
fn signs_of_headings_are_as_tall_and_heavy_as_bold_capitals() {
    let cap = 0.647 * 4.0;
    let flat = ink(Sign::HeadingFlat);
    assert!(flat.y0.abs() < 0.1 && (1.05..1.2).contains(&(flat.y1 / cap)), "{flat:?}");
    for sign in [Sign::HeadingSharp, Sign::HeadingNatural] {
        near(sign, ink(sign).center().y, cap / 2.0, 0.05);
        assert!((1.05..1.25).contains(&(ink(sign).height() / cap)), "{sign:?}");
    }
    // The flat's bowl at its broadest.
    let face = MusicFace::get();
    let black = (0..400)
        .map(|step| flat.x1 - f64::from(step) * 0.01)
        .take_while(|x| *x > flat.center().x)
        .filter(|x| face.outline(Sign::HeadingFlat).contains(Point::new(*x, 0.92)));
    let bowl = black.count() as f64 * 0.01;
    assert!((0.45..0.65).contains(&bowl), "{bowl}");
}

#[test]
fn bytes_that_are_no_face_are_refused() {
    assert!(MusicFace::read(b"not a face").is_err());
}

#[test]
fn packing_keeps_the_area_of_the_black_head() {
    // The head is an ellipse 1.25 by 1.03 sp raised by 25 degrees; its area is pi times half axes.
    let head = MusicFace::get().outline(Sign::NoteheadBlack);
    let area: f64 = head.segments().map(|segment| segment.signed_area()).sum();
    let (width, height, cos) = (1.25f64, 1.03f64, (2.0 * 25f64.to_radians()).cos());
    let (w2, h2) = (width * width / 4.0, height * height / 4.0);
    let (sum, difference) = (w2 + h2, (w2 - h2) / cos);
    let wanted = std::f64::consts::PI * ((sum + difference) * (sum - difference)).sqrt() / 2.0;
    assert!((area.abs() - wanted).abs() < 0.01, "{area} {wanted}");
}
