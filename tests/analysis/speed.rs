//! Time in proportion to bars.

use std::time::Instant;

use quintfall::chart::{HeldChord, Unfolded, analyse};

use crate::tune::tune;
use crate::tunes::TUNES;

/// A tune so many times in a row, its first section up a semitone for a change now and then.
fn repeated(text: &str, times: usize) -> Unfolded {
    let once = tune(text);
    let bar = once.metre.bar();
    let mut changes = Vec::new();
    for time in 0..times {
        let from = (time * once.bars) as i32 * bar;
        let written = |change: &HeldChord| change.written + time * once.changes.len();
        changes.extend(once.changes.iter().map(|change| HeldChord {
            written: written(change),
            at: change.at + from,
            ..*change
        }));
    }
    Unfolded { bars: once.bars * times, changes, ..once }
}

/// Eight times the bars take no more than some twenty times as long: not sixty-four times. Eight short
/// runs are timed against a long one right after them, so that whatever else the machine does slows both.
#[test]
fn time_grows_with_bars_and_not_with_their_square() {
    const MORE: usize = 8;
    let [short, long] = [16, 16 * MORE].map(|times| repeated(TUNES[1], times));
    let took = |tune: &Unfolded, runs: usize| {
        let start = Instant::now();
        for _ in 0..runs {
            assert!(analyse(tune).is_some());
        }
        start.elapsed().as_secs_f64() / runs as f64
    };
    let pairs = (0..5).map(|_| [took(&short, MORE), took(&long, 1)]);
    let ratio = |[short, long]: [f64; 2]| long / short;
    let [short, long] =
        pairs.min_by(|one, other| ratio(*one).total_cmp(&ratio(*other))).expect("five pairs");
    println!("16-bar tune: {:.0} us for 256 bars, {:.0} us for 2048", 1e6 * short, 1e6 * long);
    assert!(long < 20.0 * short, "{short} s and {long} s");
}
