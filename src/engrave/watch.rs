//! The bars that a teacher wants watched.

use std::ops::Range;

/// Bars to watch, by index from 0.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Watched(u128);

impl Watched {
    /// How many bars can be told apart; a drill has fewer.
    pub const MOST: usize = u128::BITS as usize;

    /// Bars by their indices; those from [`Watched::MOST`] on are left out.
    pub fn of(bars: impl IntoIterator<Item = usize>) -> Self {
        let own = bars.into_iter().filter(|bar| *bar < Self::MOST);
        Self(own.fold(0, |all, bar| all | 1 << bar))
    }

    /// Whether a bar is one of them.
    pub fn has(self, bar: usize) -> bool {
        bar < Self::MOST && self.0 >> bar & 1 == 1
    }

    /// The runs of them inside a range of bars, in order.
    pub fn runs(self, bars: &Range<usize>) -> Vec<Range<usize>> {
        let mut runs: Vec<Range<usize>> = Vec::new();
        for bar in bars.clone().filter(|bar| self.has(*bar)) {
            match runs.last_mut().filter(|run| run.end == bar) {
                Some(run) => run.end += 1,
                None => runs.push(bar..bar + 1),
            }
        }
        runs
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bars_side_by_side_are_one_run() {
        let watched = Watched::of([0, 4, 5, 6, 127, 128, 9]);
        assert_eq!(watched.runs(&(0..200)), [0..1, 4..7, 9..10, 127..128]);
        let inside: Vec<(usize, usize)> =
            watched.runs(&(5..9)).iter().map(|run| (run.start, run.end)).collect();
        assert_eq!(inside, [(5, 7)]);
        assert!(Watched::default().runs(&(0..200)).is_empty());
    }
}
