//! A page cut into the music of its keys, where several share it.

use kurbo::Shape as _;

use crate::ink::Ink;
use crate::share::parts;
use crate::staff::{System, systems};

/// White between two keys is never less, in staff spaces: else they run into one another.
const LEAST_WHITE: f64 = 3.0;

/// What a page has of a key.
pub(crate) struct Piece {
    /// Whether the key begins there: whether the first system shows a time signature.
    pub(crate) begins: bool,
    pub(crate) ink: Ink,
}

/// What a page has of each of its keys, from the top; nothing where it has no staves.
pub(crate) fn pieces(ink: &Ink) -> Result<Vec<Piece>, String> {
    let systems = systems(ink, 0)?;
    if systems.is_empty() {
        return Ok(Vec::new());
    }
    let parts = parts(ink, &systems);
    let begins: Vec<bool> = systems
        .iter()
        .zip(parts.chunks(2))
        .map(|(system, pair)| {
            pair.iter().flat_map(|part| &part.glyphs).any(|glyph| {
                let is_figure = ("\u{E080}".."\u{E08A}").contains(&glyph.meaning.as_str());
                is_figure && glyph.at.x - system.upper.left < 20.0 * system.upper.space
            })
        })
        .collect();
    let mut cuts = vec![f64::INFINITY];
    for (index, begins) in begins.iter().enumerate().skip(1) {
        if *begins {
            cuts.push(cut(ink, &systems[index - 1], &systems[index])?);
        }
    }
    cuts.push(f64::NEG_INFINITY);
    let piece = |(place, band): (usize, &[f64])| Piece {
        begins: place > 0 || begins[0],
        ink: ink.band(band[1], band[0]),
    };
    Ok(cuts.windows(2).enumerate().map(piece).collect())
}

/// The middle of the widest white between two systems: what stands above it belongs to the one,
/// what stands below it to the other.
fn cut(ink: &Ink, above: &System, below: &System) -> Result<f64, String> {
    let space = above.lower.space;
    let (high, low) =
        (above.lower.middle - 2.0 * space, below.upper.middle + 2.0 * below.upper.space);
    // Letters rise over their baseline, signs of music stand about theirs.
    let glyphs = ink.glyphs.iter().map(|glyph| (glyph.at.y - 0.1 * glyph.size, 0.5 * glyph.size));
    let glyphs = glyphs.map(|(y, height)| (y, y + height));
    let lines =
        ink.lines.iter().map(|line| (line.from.y.min(line.to.y), line.from.y.max(line.to.y)));
    let fills = ink.fills.iter().map(|fill| fill.bounding_box()).map(|ink| (ink.y0, ink.y1));
    let mut inks: Vec<(f64, f64)> =
        glyphs.chain(lines).chain(fills).filter(|(y0, y1)| *y1 > low && *y0 < high).collect();
    inks.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut at, mut widest) = (low, (0.0, low));
    for (y0, y1) in inks.into_iter().chain([(high, high)]) {
        if y0 - at > widest.0 {
            widest = (y0 - at, (y0 + at) / 2.0);
        }
        at = at.max(y1);
    }
    if widest.0 < LEAST_WHITE * space {
        return Err(format!("{:.1} spaces between two keys", widest.0 / space));
    }
    Ok(widest.1)
}
