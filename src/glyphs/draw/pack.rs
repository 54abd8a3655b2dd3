//! Packs the drawn signs as an OpenType face with quadratic outlines.
//!
//! Nothing in the face depends on the day, the machine or the order of a hash: the same drawings
//! give the same bytes.

use super::drawing::draw;
use crate::glyphs::Sign;
use crate::glyphs::face::UNITS_PER_SPACE;
use kurbo::{Affine, BezPath, CubicBez, ParamCurve, ParamCurveExtrema, PathEl, Point};
use write_fonts::tables::cmap::Cmap;
use write_fonts::tables::glyf::{Bbox, GlyfLocaBuilder, Glyph, SimpleGlyph};
use write_fonts::tables::head::{Flags, Head, MacStyle};
use write_fonts::tables::hhea::Hhea;
use write_fonts::tables::hmtx::{Hmtx, LongMetric};
use write_fonts::tables::loca::LocaFormat;
use write_fonts::tables::maxp::Maxp;
use write_fonts::tables::name::{Name, NameRecord};
use write_fonts::tables::os2::{Os2, SelectionFlags};
use write_fonts::tables::post::Post;
use write_fonts::types::{FWord, Fixed, GlyphId, LongDateTime, NameId, Tag, UfWord};
use write_fonts::{BuilderError, FontBuilder};

/// Font units to the em: four staff spaces, as SMuFL has it.
const UNITS_PER_EM: u16 = 4 * UNITS_PER_SPACE as u16;
/// Name of the family.
pub(crate) const FAMILY: &str = "Quintfall";
/// Version of the face.
pub(crate) const VERSION: f64 = 1.0;

/// How far a quadratic may stray from the drawn cubic, in font units.
const FIT: f64 = 0.5;
/// Glyphs before the first sign: `.notdef` and the space.
const BEFORE_SIGNS: u16 = 2;
/// Height of the line of text above and below the baseline, in font units.
const ASCENDER: i16 = 1200;
const DESCENDER: i16 = -700;
/// Advance of `.notdef` and of the space, in font units.
const BLANK: u16 = 250;
/// The Unicode private use area is bit 60 of the OS/2 ranges.
const PRIVATE_USE: u32 = 1 << (60 - 32);
/// 2000-01-01 in seconds since 1904-01-01: a fixed date, so that the face has no birthday.
const EPOCH: i64 = 3_029_529_600;

/// A glyph ready to be written, in font units.
struct Packed {
    name: &'static str,
    code: Option<char>,
    glyph: Glyph,
    advance: u16,
}

impl Packed {
    fn bbox(&self) -> Bbox {
        self.glyph.bbox().unwrap_or_default()
    }
}

/// The bytes of the face.
///
/// # Errors
///
/// If a table breaks a rule of OpenType, which only a faulty drawing can cause.
pub fn pack() -> Result<Vec<u8>, BuilderError> {
    let glyphs = glyphs();
    let mut shapes = GlyfLocaBuilder::new();
    for packed in &glyphs {
        if let Err(error) = shapes.add_glyph(&packed.glyph) {
            panic!("the outline of {} cannot be packed: {error}", packed.name);
        }
    }
    let (glyf, loca, format) = shapes.build();
    let codes = glyphs
        .iter()
        .zip(0u32..)
        .filter_map(|(packed, id)| packed.code.map(|code| (code, GlyphId::new(id))));
    let cmap = match Cmap::from_mappings(codes) {
        Ok(cmap) => cmap,
        Err(conflict) => panic!("two signs have one code point: {conflict}"),
    };
    let mut builder = FontBuilder::new();
    builder
        .add_table(&head(&glyphs, format))?
        .add_table(&hhea(&glyphs))?
        .add_table(&maxp(&glyphs))?
        .add_table(&os2(&glyphs))?
        .add_table(&hmtx(&glyphs))?
        .add_table(&cmap)?
        .add_table(&loca)?
        .add_table(&glyf)?
        .add_table(&names())?
        .add_table(&Post::new_v2(glyphs.iter().map(|packed| packed.name)))?;
    Ok(builder.build())
}

fn glyphs() -> Vec<Packed> {
    let missing = super::ink::Inking::new()
        .lay(super::ink::slab(0.0, 0.0, 0.8, 2.0, 0.0))
        .cut(super::ink::slab(0.1, 0.1, 0.7, 1.9, 0.0))
        .dry();
    let mut glyphs = vec![
        Packed { name: ".notdef", code: None, glyph: glyph(&missing), advance: BLANK },
        Packed { name: "space", code: Some(' '), glyph: Glyph::Empty, advance: BLANK },
    ];
    debug_assert_eq!(glyphs.len(), usize::from(BEFORE_SIGNS));
    glyphs.extend(Sign::ALL.iter().map(|&sign| {
        let drawing = draw(sign);
        Packed {
            name: sign.smufl_name(),
            code: Some(sign.code()),
            glyph: glyph(&drawing.outline),
            advance: (drawing.advance * UNITS_PER_SPACE).round() as u16,
        }
    }));
    glyphs
}

fn glyph(outline: &BezPath) -> Glyph {
    let path = quadratic(&(Affine::scale(UNITS_PER_SPACE) * outline.clone()));
    match SimpleGlyph::from_bezpath(&path) {
        Ok(mut simple) => {
            simple.recompute_bounding_box();
            Glyph::Simple(simple)
        }
        Err(error) => panic!("an outline is malformed: {error:?}"),
    }
}

/// The outline in lines and quadratics between whole font units, with a point on each extreme.
fn quadratic(outline: &BezPath) -> BezPath {
    let mut path = BezPath::new();
    let (mut here, mut drawn) = (Point::ORIGIN, Point::ORIGIN);
    for element in outline.elements() {
        match *element {
            PathEl::MoveTo(to) => {
                (here, drawn) = (to, to.round());
                path.move_to(drawn);
            }
            PathEl::LineTo(to) => {
                line(&mut path, &mut drawn, to);
                here = to;
            }
            PathEl::QuadTo(control, to) => {
                curve(&mut path, &mut drawn, kurbo::QuadBez::new(here, control, to).raise());
                here = to;
            }
            PathEl::CurveTo(out, into, to) => {
                curve(&mut path, &mut drawn, CubicBez::new(here, out, into, to));
                here = to;
            }
            PathEl::ClosePath => path.close_path(),
        }
    }
    path
}

fn line(path: &mut BezPath, drawn: &mut Point, to: Point) {
    let to = to.round();
    if to != *drawn {
        path.line_to(to);
        *drawn = to;
    }
}

fn curve(path: &mut BezPath, drawn: &mut Point, cubic: CubicBez) {
    for range in cubic.extrema_ranges() {
        let piece = cubic.subsegment(range);
        if flat(piece) {
            line(path, drawn, piece.p3);
            continue;
        }
        let Some(spline) = piece.approx_spline(FIT) else {
            panic!("no quadratics fit {piece:?}");
        };
        let knots = spline.points();
        let controls: Vec<Point> = knots[1..knots.len() - 1].iter().map(|p| p.round()).collect();
        for (i, &control) in controls.iter().enumerate() {
            // Points exactly halfway are implied in the file, so rounding cannot put a kink there.
            let to = match controls.get(i + 1) {
                Some(&next) => control.midpoint(next),
                None => piece.p3.round(),
            };
            path.quad_to(control, to);
            *drawn = to;
        }
    }
}

/// Whether a curve cannot be told from its chord in whole font units.
fn flat(cubic: CubicBez) -> bool {
    let chord = cubic.p3 - cubic.p0;
    let length = libm::hypot(chord.x, chord.y);
    let off = |point: Point| ((point - cubic.p0).cross(chord) / length).abs();
    length < 1.5 || (off(cubic.p1) < 0.2 && off(cubic.p2) < 0.2)
}

fn head(glyphs: &[Packed], format: LocaFormat) -> Head {
    let ink = ink_box(glyphs);
    Head::new(
        Fixed::from_f64(VERSION),
        0,
        Flags::BASELINE_AT_Y_0 | Flags::LSB_AT_X_0 | Flags::FORCE_INTEGER_PPEM,
        UNITS_PER_EM,
        LongDateTime::new(EPOCH),
        LongDateTime::new(EPOCH),
        ink.x_min,
        ink.y_min,
        ink.x_max,
        ink.y_max,
        MacStyle::empty(),
        8,
        format as i16,
    )
}

fn ink_box(glyphs: &[Packed]) -> Bbox {
    let mut boxes = glyphs.iter().filter_map(|packed| packed.glyph.bbox());
    let first = boxes.next().unwrap_or_default();
    boxes.fold(first, Bbox::union)
}

fn hhea(glyphs: &[Packed]) -> Hhea {
    let right = |packed: &Packed| i32::from(packed.advance) - i32::from(packed.bbox().x_max);
    let shaped = || glyphs.iter().filter(|packed| packed.glyph.bbox().is_some());
    Hhea::new(
        FWord::new(ASCENDER),
        FWord::new(DESCENDER),
        FWord::new(0),
        UfWord::new(glyphs.iter().map(|packed| packed.advance).max().unwrap_or(0)),
        FWord::new(shaped().map(|packed| packed.bbox().x_min).min().unwrap_or(0)),
        FWord::new(shaped().map(right).min().unwrap_or(0) as i16),
        FWord::new(shaped().map(|packed| packed.bbox().x_max).max().unwrap_or(0)),
        1,
        0,
        0,
        glyphs.len() as u16,
    )
}

fn hmtx(glyphs: &[Packed]) -> Hmtx {
    let metrics =
        glyphs.iter().map(|packed| LongMetric::new(packed.advance, packed.bbox().x_min)).collect();
    Hmtx::new(metrics, Vec::new())
}

fn maxp(glyphs: &[Packed]) -> Maxp {
    let contours = |packed: &Packed| match &packed.glyph {
        Glyph::Simple(simple) => {
            (simple.contours.iter().map(|c| c.len()).sum::<usize>(), simple.contours.len())
        }
        _ => (0, 0),
    };
    let most = |pick: fn((usize, usize)) -> usize| {
        Some(glyphs.iter().map(|packed| pick(contours(packed))).max().unwrap_or(0) as u16)
    };
    Maxp {
        num_glyphs: glyphs.len() as u16,
        max_points: most(|pair| pair.0),
        max_contours: most(|pair| pair.1),
        max_composite_points: Some(0),
        max_composite_contours: Some(0),
        max_zones: Some(2),
        max_twilight_points: Some(0),
        max_storage: Some(0),
        max_function_defs: Some(0),
        max_instruction_defs: Some(0),
        max_stack_elements: Some(0),
        max_size_of_instructions: Some(0),
        max_component_elements: Some(0),
        max_component_depth: Some(0),
    }
}

fn os2(glyphs: &[Packed]) -> Os2 {
    let codes = || glyphs.iter().filter_map(|packed| packed.code.map(|code| code as u32 as u16));
    let ink = ink_box(glyphs);
    let wide: Vec<u32> =
        glyphs.iter().map(|packed| u32::from(packed.advance)).filter(|&width| width > 0).collect();
    Os2 {
        x_avg_char_width: (wide.iter().sum::<u32>() / wide.len() as u32) as i16,
        us_weight_class: 400,
        us_width_class: 5,
        y_subscript_x_size: 650,
        y_subscript_y_size: 600,
        y_subscript_y_offset: 75,
        y_superscript_x_size: 650,
        y_superscript_y_size: 600,
        y_superscript_y_offset: 350,
        y_strikeout_size: 50,
        y_strikeout_position: 300,
        ul_unicode_range_1: 1,
        ul_unicode_range_2: PRIVATE_USE,
        ach_vend_id: Tag::new(b"QFAL"),
        fs_selection: SelectionFlags::REGULAR | SelectionFlags::USE_TYPO_METRICS,
        us_first_char_index: codes().min().unwrap_or(0),
        us_last_char_index: codes().max().unwrap_or(0),
        s_typo_ascender: ASCENDER,
        s_typo_descender: DESCENDER,
        s_typo_line_gap: 0,
        us_win_ascent: ink.y_max.max(ASCENDER) as u16,
        us_win_descent: (-ink.y_min.min(DESCENDER)) as u16,
        ul_code_page_range_1: Some(1),
        ul_code_page_range_2: Some(0),
        sx_height: Some(500),
        s_cap_height: Some((super::chord_signs::CAP_HEIGHT * UNITS_PER_SPACE).round() as i16),
        us_default_char: Some(0),
        us_break_char: Some(32),
        us_max_context: Some(1),
        ..Os2::default()
    }
}

fn names() -> Name {
    const WINDOWS: u16 = 3;
    const UNICODE_BMP: u16 = 1;
    const ENGLISH: u16 = 0x0409;
    let entries: [(NameId, String); 10] = [
        (NameId::COPYRIGHT_NOTICE, "The Quintfall authors".to_owned()),
        (NameId::FAMILY_NAME, FAMILY.to_owned()),
        (NameId::SUBFAMILY_NAME, "Regular".to_owned()),
        (NameId::UNIQUE_ID, format!("{FAMILY} {VERSION:.1}")),
        (NameId::FULL_NAME, FAMILY.to_owned()),
        (NameId::VERSION_STRING, format!("Version {VERSION:.1}")),
        (NameId::POSTSCRIPT_NAME, FAMILY.to_owned()),
        (
            NameId::DESCRIPTION,
            "Signs of music for jazz-piano drills, encoded as SMuFL 1.4.".to_owned(),
        ),
        (NameId::LICENSE_DESCRIPTION, "MIT OR Apache-2.0".to_owned()),
        (NameId::LICENSE_URL, "https://spdx.org/licenses/MIT.html".to_owned()),
    ];
    let records = entries
        .into_iter()
        .map(|(id, text)| NameRecord::new(WINDOWS, UNICODE_BMP, ENGLISH, id, text.into()))
        .collect();
    Name::new(records)
}
