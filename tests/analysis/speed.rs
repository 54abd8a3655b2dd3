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

/// Eight times the bars take no more than some twenty times as long: not sixty-four times.
#[test]
fn time_grows_with_bars_and_not_with_their_square() {
    let took = |times: usize| {
        let tune = repeated(TUNES[1], times);
        let run = || {
            let start = Instant::now();
            assert!(analyse(&tune).is_some());
            start.elapsed()
        };
        (0..5).map(|_| run()).min().expect("five runs").as_secs_f64()
    };
    let [short, long] = [took(16), took(128)];
    println!("16-bar tune: {:.0} us for 256 bars, {:.0} us for 2048", 1e6 * short, 1e6 * long);
    assert!(long < 20.0 * short, "{short} s and {long} s");
}
