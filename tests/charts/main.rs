//! Charts: what a teacher may write, what she is told when she may not, and laws of what is heard.

mod laws;
mod mistakes;
mod random;
mod taught;

use quintfall::chart::{Chart, demos};
use quintfall::theory::{ChordStyle, chord_symbol, plain_text};

/// The charts that come with the program.
fn all() -> Vec<Chart> {
    let read = |(name, text)| Chart::parse(text, name).unwrap_or_else(|error| panic!("{error}"));
    demos().map(read).collect()
}

/// A chart of one section in four.
fn of(bars: &str) -> Chart {
    let text =
        format!("title = \"x\"\nmetre = \"4/4\"\n[[section]]\nname = \"A\"\nbars = '''{bars}'''\n");
    Chart::parse(&text, "x.toml").unwrap_or_else(|error| panic!("{bars}: {error}"))
}

/// What is heard of a chart: bar, beat and symbol of each change, and its length in beats.
fn heard(chart: &Chart) -> String {
    let unfolded = chart.unfolded();
    let (bar, beat) = (unfolded.metre.bar(), unfolded.metre.count_unit());
    let words = unfolded.changes.iter().map(|change| {
        let symbol = change.chord.map_or("N.C.".to_owned(), |chord| {
            plain_text(&chord_symbol(chord, ChordStyle::default()))
        });
        let (at, length) = (change.at, change.length / beat);
        format!("{}.{} {symbol} {length}", at.div_euclid(bar) + 1, at.rem_euclid(bar) / beat + 1)
    });
    words.collect::<Vec<_>>().join(", ")
}
