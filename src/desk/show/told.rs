//! A page in words, for those who cannot see it.

use super::notes;
use crate::canvas::{Block, Kind, Mark, Page, Trace};
use crate::drill::Course;
use crate::glyphs::Sign;
use crate::theory::{ChordStyle, Key, chord_symbol_over, plain_text};

/// White between two pieces of type, in their ems, from which on they are two words.
const GAP: f64 = 0.15;

/// A page in lines: what its blocks say, and before the first line of music what sounds there.
pub(super) fn page(page: &Page, music: Vec<String>) -> Vec<String> {
    let mut lines = Vec::new();
    let mut music = Some(music);
    for block in &page.blocks {
        if block.kind == Kind::System {
            lines.extend(music.take().into_iter().flatten());
        }
        let said = if block.words.is_empty() { type_of(block) } else { block.words.clone() };
        let is_kept = block.kind != Kind::Artifact && !said.is_empty();
        lines.extend(is_kept.then_some(said));
    }
    lines
}

/// The symbols of each bar, for each key whose music stands on a page; and its notes, where nothing
/// of them is left out to be written in.
pub(super) fn music(
    course: &Course,
    music: &[(usize, Key)],
    (symbols, is_whole): (ChordStyle, bool),
) -> Vec<String> {
    let lines = |(drill, key): &(usize, Key)| {
        let exercise = course.exercises.get(*drill)?;
        let score = exercise.score(&exercise.drill(), *key);
        let mut bars: Vec<Vec<String>> = vec![Vec::new(); score.bars.len()];
        for harmony in &score.harmonies {
            let inversion = harmony.numeral.inversion;
            let symbol = plain_text(&chord_symbol_over(harmony.chord, inversion, symbols));
            let bar = score.bars.partition_point(|bar| bar.start <= harmony.at);
            if let Some(bar) = bar.checked_sub(1).and_then(|bar| bars.get_mut(bar)) {
                bar.push(symbol);
            }
        }
        let bars = bars.iter().enumerate().filter(|(_, symbols)| !symbols.is_empty());
        let bars = bars.map(|(bar, symbols)| format!("bar {}: {}", bar + 1, symbols.join(" ")));
        let bars = bars.collect::<Vec<_>>().join(". ");
        let mut lines = vec![format!("Chords in {}. {bars}.", key.words())];
        if is_whole {
            lines.extend(notes::lines(&score));
        }
        Some(lines)
    };
    music.iter().filter_map(lines).flatten().collect()
}

/// Whether a mark is a sign before a note.
pub(super) fn is_accidental(mark: &Mark) -> bool {
    let Mark::Trace(Trace::Sign { sign, .. }, _) = mark else { return false };
    matches!(
        sign,
        Sign::AccidentalFlat
            | Sign::AccidentalNatural
            | Sign::AccidentalSharp
            | Sign::AccidentalDoubleSharp
            | Sign::AccidentalDoubleFlat
    )
}

/// The type of a block in the order in which it is set.
fn type_of(block: &Block) -> String {
    let mut words = String::new();
    // Where the last piece ended, and on which baseline.
    let mut end: Option<(f64, f64)> = None;
    for mark in &block.marks {
        let (text, at, size) = match mark {
            Mark::Trace(Trace::Text { text, at, size, .. }, _) => (text.to_string(), at, size),
            Mark::Trace(Trace::Sign { sign, at, size }, _) => match said(*sign) {
                Some(word) => (word.to_owned(), at, size),
                None => continue,
            },
            _ => continue,
        };
        let is_apart =
            |(x, y): (f64, f64)| (at.x - x).abs() > GAP * size || (at.y - y).abs() > size / 2.0;
        if end.is_some_and(is_apart) && !words.ends_with(' ') {
            words.push(' ');
        }
        words.push_str(&text);
        end = Some((mark.bounds().x1, at.y));
    }
    words.trim().to_owned()
}

/// A sign among words, as it is said.
fn said(sign: Sign) -> Option<&'static str> {
    Some(match sign {
        Sign::HeadingFlat | Sign::CsymAccidentalFlat => "\u{266d}",
        Sign::HeadingNatural | Sign::CsymAccidentalNatural => "\u{266e}",
        Sign::HeadingSharp | Sign::CsymAccidentalSharp => "\u{266f}",
        Sign::CsymMajorSeventh => "\u{25b3}",
        Sign::CsymMinor => "-",
        Sign::CsymHalfDiminished => "\u{f8}",
        Sign::CsymDiminished => "\u{b0}",
        Sign::CsymAugmented => "+",
        Sign::MetNoteQuarterUp => "quarter",
        Sign::MetNote8thUp => "eighth",
        _ => return None,
    })
}
