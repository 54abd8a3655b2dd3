//! Bands: the heights of a system that hold ink, wherever along it that stands.

use kurbo::Rect;
use smallvec::SmallVec;

use crate::engrave::rules::Sp;

/// Bands of ink with white between them, from the lowest up.
#[derive(Clone, Debug, Default)]
pub(super) struct InkBands {
    bands: SmallVec<[(Sp, Sp); 24]>,
    /// The band that was met last: what comes next most often lies in it too.
    met: usize,
}

impl InkBands {
    /// Adds ink.
    pub(super) fn add(&mut self, ink: Rect) {
        let (low, high) = (ink.y0, ink.y1);
        if self.bands.get(self.met).is_some_and(|band| band.0 <= low && high <= band.1) {
            return;
        }
        let bands = &mut self.bands;
        let first = bands.iter().position(|band| low <= band.1).unwrap_or(bands.len());
        self.met = first;
        let met = bands[first..].iter().take_while(|band| band.0 <= high).count();
        let Some(last) = bands[first..first + met].last().copied() else {
            bands.insert(first, (low, high));
            return;
        };
        bands[first] = (low.min(bands[first].0), high.max(last.1));
        bands.drain(first + 1..first + met);
    }

    /// The highest white between two of them.
    pub(super) fn white(&self) -> Sp {
        self.bands.windows(2).map(|pair| pair[1].0 - pair[0].1).fold(0.0, Sp::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The white is what no ink reaches into, in whatever order ink comes.
    #[test]
    fn white_is_where_no_ink_is() {
        let mut seed = 1_u32;
        let mut number = |most: u32| {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            seed / 65_536 % most
        };
        let mut seen = 0;
        for count in 1..60 {
            let inks: Vec<(u32, u32)> = (0..count).map(|_| (number(200), 1 + number(9))).collect();
            let mut bands = InkBands::default();
            for (low, height) in &inks {
                let (low, high) = (f64::from(*low), f64::from(low + height));
                bands.add(Rect::new(0.0, low, 1.0, high));
            }
            let is_white =
                |at: &u32| inks.iter().all(|(low, height)| !(*low..low + height).contains(at));
            let lowest = inks.iter().map(|ink| ink.0).min().unwrap_or(0);
            let highest = inks.iter().map(|ink| ink.0 + ink.1).max().unwrap_or(0);
            let (mut run, mut most) = (0, 0);
            for at in lowest..highest {
                run = if is_white(&at) { run + 1 } else { 0 };
                most = most.max(run);
            }
            assert_eq!(bands.white(), f64::from(most), "{inks:?}");
            seen += usize::from(most > 0);
        }
        assert!(seen > 40, "{seen}");
    }
}
