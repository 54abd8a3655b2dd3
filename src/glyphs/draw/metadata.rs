//! The metadata that SMuFL asks to come with a face, as JSON.

use super::pack::{FAMILY, VERSION};
use super::weight::{BEAM, STEM};
use crate::glyphs::{Anchor, MusicFace, Sign};
use kurbo::Point;
use serde_json::{Map, Value, json};

/// Metadata measured on a face, as a JSON text that ends in a line break.
///
/// Lengths are in sp, to a thousandth, as SMuFL 1.4 prescribes.
pub fn metadata(face: &MusicFace) -> String {
    let mut anchors = Map::new();
    let mut boxes = Map::new();
    let mut advances = Map::new();
    let mut signs = Sign::ALL.to_vec();
    signs.sort_by_key(|sign| sign.smufl_name());
    for sign in signs {
        let name = sign.smufl_name().to_owned();
        let found: Map<String, Value> = Anchor::ALL
            .iter()
            .filter_map(|&anchor| {
                let point = face.anchor(sign, anchor)?;
                Some((anchor.smufl_name().to_owned(), pair(point)))
            })
            .collect();
        if !found.is_empty() {
            anchors.insert(name.clone(), found.into());
        }
        let ink = face.bounds(sign);
        boxes.insert(
            name.clone(),
            json!({
                "bBoxNE": pair(Point::new(ink.x1, ink.y1)),
                "bBoxSW": pair(Point::new(ink.x0, ink.y0)),
            }),
        );
        advances.insert(name, thousandths(face.advance(sign)));
    }
    let whole = json!({
        "fontName": FAMILY,
        "fontVersion": VERSION,
        "engravingDefaults": engraving_defaults(),
        "glyphAdvanceWidths": advances,
        "glyphBBoxes": boxes,
        "glyphsWithAnchors": anchors,
        "optionalGlyphs": own_signs(),
    });
    format!("{whole:#}\n")
}

/// The signs that SMuFL does not name, at code points that it leaves to each face.
fn own_signs() -> Value {
    let own = Sign::ALL.iter().filter(|sign| sign.code() >= '\u{F400}');
    let entry = |sign: &Sign| {
        let code = format!("U+{:X}", u32::from(sign.code()));
        (sign.smufl_name().to_owned(), json!({ "codepoint": code }))
    };
    own.map(entry).collect::<Map<String, Value>>().into()
}

/// Weights and distances that suit the face, in sp; all are multiples of its own staff line.
fn engraving_defaults() -> Value {
    json!({
        "textFontFamily": ["Libertinus Serif", "serif"],
        "staffLineThickness": 0.11,
        "stemThickness": STEM,
        "beamThickness": BEAM,
        "beamSpacing": 0.25,
        "legerLineThickness": 0.15,
        "legerLineExtension": 0.33,
        "slurEndpointThickness": 0.08,
        "slurMidpointThickness": 0.22,
        "tieEndpointThickness": 0.08,
        "tieMidpointThickness": 0.2,
        "thinBarlineThickness": 0.18,
        "thickBarlineThickness": 0.5,
        "dashedBarlineThickness": 0.18,
        "dashedBarlineDashLength": 0.6,
        "dashedBarlineGapLength": 0.4,
        "barlineSeparation": 0.45,
        "thinThickBarlineSeparation": 0.45,
        "repeatBarlineDotSeparation": 0.4,
        "bracketThickness": 0.45,
        "subBracketThickness": 0.18,
        "hairpinThickness": 0.13,
        "octaveLineThickness": 0.14,
        "pedalLineThickness": 0.14,
        "repeatEndingLineThickness": 0.14,
        "arrowShaftThickness": 0.14,
        "lyricLineThickness": 0.12,
        "textEnclosureThickness": 0.12,
        "tupletBracketThickness": 0.11,
        "hBarThickness": 0.8,
    })
}

fn pair(point: Point) -> Value {
    json!([thousandths(point.x), thousandths(point.y)])
}

/// A length to a thousandth of a staff space, without a negative zero.
fn thousandths(length: f64) -> Value {
    json!((length * 1000.0).round() / 1000.0 + 0.0)
}
