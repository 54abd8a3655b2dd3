//! The rows of type beside the staves: chord symbols, numerals, counts and their wedges.

use kurbo::{BezPath, Rect, Shape as _};

use crate::form;
use crate::ink::{Glyph, Ink};
use crate::music::Sheet;
use crate::named;
use crate::staff::System;

/// A line of type that stands alone.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Words {
    pub(crate) text: String,
    /// Which system of its key.
    pub(crate) system: usize,
    pub(crate) left: f64,
    pub(crate) right: f64,
    pub(crate) baseline: f64,
    /// Its em.
    pub(crate) size: f64,
}

/// The rows of a key, each in reading order.
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

/// Symbols and numerals stand within so many spaces of their staff.
const REACH: f64 = 16.0;

/// Reads the rows on the pages of a key.
pub(crate) fn rows(pages: &[&Ink], sheet: &Sheet) -> Rows {
    let mut rows = Rows::default();
    for (index, system) in sheet.systems.iter().enumerate() {
        let ink = pages[system.page];
        let same_page = |other: &&System| other.page == system.page;
        let space = system.upper.space;
        let before = index.checked_sub(1).map(|before| &sheet.systems[before]).filter(same_page);
        let after = sheet.systems.get(index + 1).filter(same_page);
        let above = before.map_or(f64::INFINITY, |before| before.lower.middle);
        let below = after.map_or(f64::NEG_INFINITY, |after| after.upper.middle);
        let (top, bottom) = (system.upper.middle + 2.0 * space, system.lower.middle - 2.0 * space);
        let boxed = form::boxed(ink, space);
        let pieces = |low: f64, high: f64| {
            let glyphs = ink
                .glyphs
                .iter()
                .filter(|glyph| !boxed.contains(&glyph.run))
                .filter(|glyph| glyph.at.y > low && glyph.at.y < high)
                .filter(|glyph| glyph.at.x > system.upper.left - space);
            pieces(glyphs, index)
        };
        let keep = |words: Vec<Words>, is: fn(&str) -> bool| {
            words.into_iter().filter(|words| is(&words.text)).collect::<Vec<_>>()
        };
        // Symbols and numerals of neighbouring systems share the white between them; no word
        // can be both.
        let high = above.min(top + REACH * space);
        let words = chains(pieces(top + 0.5 * space, high), space);
        rows.symbols.extend(keep(words, named::looks_like_symbol));
        let low = below.max(bottom - REACH * space);
        let words = chains(pieces(low, bottom - 0.5 * space), space);
        rows.numerals.extend(keep(words, named::looks_like_numeral));
        // Whatever words stand between the staves are counts.
        let inner = (system.lower.middle + 2.0 * space, system.upper.middle - 2.0 * space);
        for words in pieces(inner.0, inner.1) {
            let (right, left) = wedges(&ink.fills, &words, space);
            rows.counts.push(Counted { words, right, left });
        }
    }
    rows
}

/// Whatever is said over the first system, without spaces, a stroke between words that stand
/// apart.
pub(crate) fn above(ink: &Ink, sheet: &Sheet) -> String {
    let Some(first) = sheet.systems.first() else { return String::new() };
    let space = first.upper.space;
    let top = first.upper.middle + 2.0 * space;
    let over = ink.glyphs.iter().filter(|glyph| glyph.at.y > top);
    let mut words = chains(pieces(over, 0), space);
    words.sort_by(|a, b| b.baseline.total_cmp(&a.baseline).then(a.left.total_cmp(&b.left)));
    let mut said = String::new();
    let mut last: Option<&Words> = None;
    for own in &words {
        let follows = last.is_some_and(|last| {
            let gap = own.left - last.right;
            (own.baseline - last.baseline).abs() < 0.1 && gap < 0.6 * own.size && gap > 0.0
        });
        said.push_str(if follows { "" } else { "|" });
        said.push_str(&own.text);
        last = Some(own);
    }
    said.replace(' ', "")
}

/// Runs of text, and signs of chord symbols, from left to right.
fn pieces<'a>(glyphs: impl Iterator<Item = &'a Glyph>, system: usize) -> Vec<Words> {
    let mut pieces: Vec<(usize, Words)> = Vec::new();
    for glyph in glyphs {
        let Some(text) = plain(&glyph.meaning) else { continue };
        let is_sign = text != glyph.meaning;
        let right = glyph.at.x + glyph.advance;
        match pieces.last_mut().filter(|(run, _)| *run == glyph.run && !is_sign) {
            Some((_, words)) => {
                words.text.push_str(&text);
                words.right = right;
            }
            None => {
                let (left, baseline) = (glyph.at.x, glyph.at.y);
                let words = Words { text, system, left, right, baseline, size: glyph.size };
                pieces.push((if is_sign { usize::MAX } else { glyph.run }, words));
            }
        }
    }
    let mut words: Vec<Words> = pieces.into_iter().map(|(_, words)| words).collect();
    words.retain(|words| !words.text.trim().is_empty());
    words.sort_by(|a, b| a.left.total_cmp(&b.left).then(b.baseline.total_cmp(&a.baseline)));
    words
}

/// Pieces that follow one another closely, near one baseline, read as one. What is raised, or
/// stands in two storeys, begins no line of its own.
fn chains(pieces: Vec<Words>, space: f64) -> Vec<Words> {
    let mut chains: Vec<Words> = Vec::new();
    for piece in pieces {
        let follows = chains.iter_mut().rev().find(|chain| {
            let gap = piece.left - chain.right;
            let rise = piece.baseline - chain.baseline;
            gap > -0.9 * piece.size
                && gap < 0.42 * space
                && rise.abs() < 0.6 * chain.size
                && piece.size < 1.2 * chain.size
        });
        match follows {
            Some(chain) => {
                chain.text.push_str(&piece.text);
                chain.right = chain.right.max(piece.right);
            }
            None => chains.push(piece),
        }
    }
    chains
}

/// Letters as they are, signs of chord symbols as the characters that stand for them; `None` for
/// other signs of music.
fn plain(meaning: &str) -> Option<String> {
    let sign = meaning.chars().next()?;
    let text = match sign {
        '\u{ED60}' | '\u{F400}' => "♭",
        '\u{ED61}' | '\u{F401}' => "♮",
        '\u{ED62}' | '\u{F402}' => "♯",
        '\u{ED63}' => "♯♯",
        '\u{ED64}' => "♭♭",
        '\u{E870}' => "°",
        '\u{E871}' => "ø",
        '\u{E872}' => "+",
        '\u{E873}' => "△",
        '\u{E874}' => "-",
        '\u{E875}' => "(",
        '\u{E876}' => ")",
        '\u{E000}'..'\u{F8FF}' => return None,
        _ => meaning,
    };
    Some(text.to_owned())
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
