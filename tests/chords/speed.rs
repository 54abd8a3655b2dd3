//! How long a symbol takes to be read.

use std::hint::black_box;
use std::time::{Duration, Instant};

use quintfall::theory::{
    Chord, ChordKind, Letter, NoteName, SymbolStyle, chord_symbol, plain_text, read_chord,
};

/// The most that reading a symbol may take: a microsecond in the program that is installed, and some
/// times that where little is optimised.
const MOST: Duration = Duration::from_micros(if cfg!(debug_assertions) { 6 } else { 1 });
/// How often all are read; the fastest time counts, since other programs are at work too.
const ROUNDS: usize = 30;

/// Every kind of chord there is, most of them long to write, on roots of all letters in turn.
#[test]
fn a_symbol_is_read_within_a_microsecond() {
    let roots = Letter::ALL.into_iter().flat_map(|l| [-1, 0, 1].map(|a| NoteName::new(l, a)));
    let chords = ChordKind::all().zip(roots.cycle()).map(|(kind, root)| Chord::new(root, kind));
    let texts: Vec<String> =
        chords.map(|chord| plain_text(&chord_symbol(chord, SymbolStyle::Letters))).collect();
    let least = |work: &dyn Fn(&str)| {
        let round = |_| {
            let start = Instant::now();
            texts.iter().for_each(|text| work(text));
            start.elapsed() / texts.len() as u32
        };
        (0..ROUNDS).map(round).min().unwrap_or_default()
    };
    let read = least(&|text| drop(black_box(read_chord(black_box(text)))));
    let copied = least(&|text| drop(black_box(black_box(text).to_owned())));
    let ratio = read.as_nanos() as f64 / copied.as_nanos().max(1) as f64;
    println!("{} symbols: {read:?} each, {ratio:.1} times as long as to copy them", texts.len());
    assert!(read < MOST, "{read:?}");
}
