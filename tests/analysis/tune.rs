//! Tunes in a line of text: bars between `|`, chords of a bar equally long, `%` for the bar
//! before, `[` before the first bar of a section.

use quintfall::chart::{HeldChord, Unfolded};
use quintfall::score::Metre;
use quintfall::theory::read_chord;

/// A tune in four quarters.
pub(crate) fn tune(text: &str) -> Unfolded {
    tune_in(Metre::FourFour, text)
}

/// A tune in a metre.
pub(crate) fn tune_in(metre: Metre, text: &str) -> Unfolded {
    let mut changes: Vec<HeldChord> = Vec::new();
    let (mut bars, mut sections) = (0, Vec::new());
    for cell in text.split('|').filter(|cell| !cell.trim().is_empty()) {
        let cell = cell.trim();
        let words = cell.strip_prefix('[').inspect(|_| sections.push(bars)).unwrap_or(cell);
        let words: Vec<&str> = words.split_whitespace().collect();
        let length = metre.bar() / words.len() as i32;
        for (place, word) in words.iter().enumerate() {
            let at = bars as i32 * metre.bar() + place as i32 * length;
            let chord = match *word {
                "%" => changes.last().and_then(|last| last.chord),
                "NC" => None,
                word => Some(read_chord(word).unwrap_or_else(|why| panic!("{word}: {why}"))),
            };
            match changes.last_mut().filter(|last| *word == "%" || last.chord == chord) {
                Some(last) => last.length += length,
                None => changes.push(HeldChord { written: changes.len(), at, length, chord }),
            }
        }
        bars += 1;
    }
    Unfolded { metre, bars, sections, changes, before_another: None }
}
