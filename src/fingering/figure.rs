//! Which moves lie inside one position of the hand, so that the thumb has no call to pass.

use super::hand::{HandSize, limits};
use super::line::Moment;
use super::rules::{FINGERS, Key};

/// A figure within these keys of the alternating row lies in one position whatever the hand: a
/// major seventh, the width of a seventh chord, in its widest place.
const SEVENTH: i32 = 13;
/// Moments looked at on either side. A figure that turns within one position for longer than
/// this is judged by its nearer part.
const HORIZON: usize = 48;

/// Keys that one position holds, and how far apart they lie.
struct Position {
    keys: [i32; FINGERS],
    count: usize,
    lowest: i32,
    highest: i32,
    widest: i32,
}

impl Position {
    fn new(size: HandSize, key: Key) -> Self {
        let widest = limits(size, 1, 5).max_comfort.max(SEVENTH);
        let at = key.semitones;
        Self { keys: [at; FINGERS], count: 1, lowest: at, highest: at, widest }
    }

    /// Takes a key in, if it lies within the position.
    fn takes(&mut self, key: Key) -> bool {
        let at = key.semitones;
        if self.keys[..self.count].contains(&at) {
            return true;
        }
        self.lowest = self.lowest.min(at);
        self.highest = self.highest.max(at);
        let width = super::hand::lattice(self.highest) - super::hand::lattice(self.lowest);
        if self.count == FINGERS || width > self.widest {
            return false;
        }
        self.keys[self.count] = at;
        self.count += 1;
        true
    }
}

/// Whether the figure round the move from moment `from` to the next lies in one position: all
/// that is played since the line was last beyond the second note, and until it comes back
/// beyond the first. A rest or a chord ends the figure.
pub(super) fn in_place(size: HandSize, moments: &[Moment], from: usize) -> bool {
    let (Some(first), Some(second)) = (moments[from].alone(), moments[from + 1].alone()) else {
        return true;
    };
    let up = second.semitones > first.semitones;
    let beyond = |key: Key, limit: Key| {
        if up { key.semitones > limit.semitones } else { key.semitones < limit.semitones }
    };
    let mut position = Position::new(size, first);
    if !position.takes(second) {
        return false;
    }
    for moment in moments[from + 2..].iter().take(HORIZON) {
        match moment.alone().filter(|key| !moment.rest && beyond(*key, first)) {
            Some(key) if !position.takes(key) => return false,
            Some(_) => {}
            None => break,
        }
    }
    for pair in moments[..=from].windows(2).rev().take(HORIZON) {
        match pair[0].alone().filter(|key| !pair[1].rest && beyond(second, *key)) {
            Some(key) if !position.takes(key) => return false,
            Some(_) => {}
            None => break,
        }
    }
    true
}
