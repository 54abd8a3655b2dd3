//! The rows of type beside the staves: chord symbols, numerals, counts and their wedges.

use kurbo::{BezPath, Rect, Shape as _};

use crate::ink::{Glyph, Ink};
use crate::music::Sheet;

/// A line of type that stands alone.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Words {
    pub(crate) text: String,
    /// Which system of the page.
    pub(crate) system: usize,
    pub(crate) left: f64,
    pub(crate) right: f64,
    pub(crate) baseline: f64,
}

/// The rows of a page, each in reading order.
#[derive(Clone, Debug, Default)]
pub(crate) struct Rows {
    pub(crate) symbols: Vec<Words>,
    pub(crate) numerals: Vec<Words>,
    pub(crate) counts: Vec<Counted>,
}

/// A count and the hands that its wedges point to.
#[derive(Clone, Debug)]
pub(crate) struct Counted {
    pub(crate) words: Words,
    pub(crate) right: bool,
    pub(crate) left: bool,
}

/// Reads the rows of a page.
pub(crate) fn rows(ink: &Ink, sheet: &Sheet) -> Rows {
    let mut rows = Rows::default();
    for (index, system) in sheet.systems.iter().enumerate() {
        let space = system.upper.space;
        let above =
            index.checked_sub(1).map_or(f64::INFINITY, |before| sheet.systems[before].lower.middle);
        let below = sheet.systems.get(index + 1).map_or(f64::NEG_INFINITY, |n| n.upper.middle);
        let (top, bottom) = (system.upper.middle + 2.0 * space, system.lower.middle - 2.0 * space);
        // Half of what lies between two systems belongs to each, whatever stands there.
        let band = |low: f64, high: f64| -> Vec<Words> {
            let glyphs: Vec<&Glyph> = ink
                .glyphs
                .iter()
                .filter(|glyph| glyph.at.y > low && glyph.at.y < high)
                .filter(|glyph| glyph.at.x > system.upper.left - space)
                .collect();
            chains(&glyphs, index, space)
        };
        let keep = |words: Vec<Words>, is: fn(&str) -> bool| {
            words.into_iter().filter(|words| is(&words.text)).collect::<Vec<_>>()
        };
        let high = above.min(top + 16.0 * space);
        rows.symbols.extend(keep(band(top + 0.5 * space, high), is_symbol));
        let low = below.max(bottom - 16.0 * space);
        rows.numerals.extend(keep(band(low, bottom - 0.5 * space), is_numeral));
        let inner = (system.lower.middle + 2.0 * space, system.upper.middle - 2.0 * space);
        for words in keep(band(inner.0, inner.1), is_count) {
            let (right, left) = wedges(&ink.fills, &words, space);
            rows.counts.push(Counted { words, right, left });
        }
    }
    rows
}

/// Glyphs that follow one another closely, near one baseline, read as one.
fn chains(glyphs: &[&Glyph], system: usize, space: f64) -> Vec<Words> {
    let mut sorted: Vec<&Glyph> = glyphs.to_vec();
    sorted.retain(|glyph| !glyph.meaning.trim().is_empty());
    sorted.sort_by(|a, b| a.at.x.total_cmp(&b.at.x));
    let mut chains: Vec<(Words, f64)> = Vec::new();
    for glyph in sorted {
        let (x, y) = (glyph.at.x, glyph.at.y);
        let follows = chains.iter_mut().rev().find(|(words, em)| {
            let gap = x - words.right;
            let rise = (y - words.baseline).abs();
            gap > -0.35 * em && gap < 0.55 * space && rise < 0.4 * em
        });
        let right = x + glyph.advance;
        match follows {
            Some((words, _)) => {
                words.text.push_str(&plain(&glyph.meaning));
                words.right = right;
            }
            None => chains.push((
                Words { text: plain(&glyph.meaning), system, left: x, right, baseline: y },
                glyph.size,
            )),
        }
    }
    chains.into_iter().map(|(words, _)| words).collect()
}

/// Signs of chord symbols as the characters that stand for them in plain text.
fn plain(meaning: &str) -> String {
    match meaning {
        "\u{ED60}" | "\u{F400}" => "♭".to_owned(),
        "\u{ED62}" | "\u{F402}" => "♯".to_owned(),
        "\u{E870}" => "°".to_owned(),
        "\u{E871}" => "ø".to_owned(),
        "\u{E873}" => "△".to_owned(),
        "\u{E874}" => "-".to_owned(),
        other => other.to_owned(),
    }
}

/// What may follow a root or a numeral.
const QUALITIES: [&str; 8] = ["7", "maj7", "m7", "ø7", "m7♭5", "△7", "-7", "°7"];

fn is_symbol(text: &str) -> bool {
    let Some(rest) = text.strip_prefix(|root: char| ('A'..='G').contains(&root)) else {
        return false;
    };
    let rest = rest.strip_prefix(['♭', '♯']).unwrap_or(rest);
    QUALITIES.contains(&rest)
}

fn is_numeral(text: &str) -> bool {
    let letters = text.trim_end_matches(|c| !matches!(c, 'I' | 'V' | 'i' | 'v'));
    !letters.is_empty()
        && letters.chars().all(|c| matches!(c, 'I' | 'V' | 'i' | 'v'))
        && QUALITIES.contains(&&text[letters.len()..])
}

fn is_count(text: &str) -> bool {
    let inner = text.strip_prefix('(').and_then(|text| text.strip_suffix(')')).unwrap_or(text);
    matches!(inner, "1" | "2" | "3" | "4" | "&")
}

/// Whether a small triangle stands above and below a count.
fn wedges(fills: &[BezPath], words: &Words, space: f64) -> (bool, bool) {
    let centre = (words.left + words.right) / 2.0;
    let near = |low: f64, high: f64| {
        fills.iter().any(|fill| {
            let ink: Rect = fill.bounding_box();
            let corners = fill
                .segments()
                .filter(|segment| kurbo::ParamCurveArclen::arclen(segment, 0.01) > 0.05)
                .count();
            corners == 3
                && ink.width() < space
                && (ink.center().x - centre).abs() < 0.3 * space
                && ink.center().y > low
                && ink.center().y < high
        })
    };
    let foot = words.baseline;
    (near(foot + 0.8 * space, foot + 3.0 * space), near(foot - 2.5 * space, foot))
}
