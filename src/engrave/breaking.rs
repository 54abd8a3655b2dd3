//! Breaking: which bars share a system.

use std::ops::Range;

use super::rules::{self, Sp};
use super::spacing::{self, BarSpacing};

/// How good every run of bars would be as a system of a sheet.
pub(super) struct Breaker {
    bars: usize,
    /// The badness of each run, by its first bar and its end; `None` where it would be too
    /// tight. A run from the first bar has the first system's room, any other that of a later
    /// one.
    badness: Vec<Option<f64>>,
}

impl Breaker {
    /// Judges every run. `first` and `later` are the widths that the first system and a later
    /// one have for their bars.
    pub(super) fn new(bars: &[BarSpacing], first: Sp, later: Sp) -> Self {
        let count = bars.len();
        let mut badness = vec![None; count * (count + 1)];
        for start in 0..count {
            let width = if start == 0 { first } else { later - bars[start].lead() };
            for end in start + 1..=count {
                let run = self::badness(&bars[start..end], width);
                badness[start * (count + 1) + end] = run;
                // A longer run would be tighter still.
                if run.is_none() {
                    break;
                }
            }
        }
        Self { bars: count, badness }
    }

    /// Cuts the bars into `count` systems so that all are as evenly and as naturally spaced as
    /// they can be; `None` where they do not fit.
    pub(super) fn cut(&self, count: usize) -> Option<Vec<Range<usize>>> {
        if count == 0 || count > self.bars {
            return None;
        }
        // best[n][end]: the least badness of setting bars 0..end on n systems, and where the
        // last of them begins.
        let mut best: Vec<Vec<Option<(f64, usize)>>> = vec![vec![None; self.bars + 1]; count + 1];
        best[0][0] = Some((0.0, 0));
        for systems in 1..=count {
            for end in systems..=self.bars {
                for start in systems - 1..end {
                    let Some((before, _)) = best[systems - 1][start] else { continue };
                    let Some(badness) = self.badness[start * (self.bars + 1) + end] else {
                        continue;
                    };
                    let total = before + badness;
                    if best[systems][end].is_none_or(|(least, _)| total < least - 1e-9) {
                        best[systems][end] = Some((total, start));
                    }
                }
            }
        }
        best[count][self.bars]?;
        let mut systems = Vec::with_capacity(count);
        let mut end = self.bars;
        for row in best[1..].iter().rev() {
            let start = row[end]?.1;
            systems.push(start..end);
            end = start;
        }
        systems.reverse();
        Some(systems)
    }
}

/// How far from natural a system would be; `None` where it would be too tight.
fn badness(bars: &[BarSpacing], width: Sp) -> Option<f64> {
    let force = spacing::force(bars, width).filter(|force| *force >= rules::TIGHTEST)?;
    let stretch = libm::log(force);
    // A tight system is worse than a loose one: it is read from a music stand.
    Some(if stretch < 0.0 { 4.0 * stretch * stretch } else { stretch * stretch })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::{Choices, Template, library, realise};
    use crate::engrave::{Look, column};
    use crate::recipe::Counts;
    use crate::theory::SymbolStyle;

    /// Of all ways to cut nine bars, the one that is found has the least sum of badness.
    #[test]
    fn no_other_cut_is_better() {
        let template = Template::parse(library::find("pushed").unwrap(), "pushed").unwrap();
        let choices = Choices::default();
        let score = realise(&template, "Eb".parse().unwrap(), choices);
        let look = Look { symbols: SymbolStyle::Mixed, counts: Counts::All };
        let columns = column::columns(&score, &look);
        let bars = spacing::bars(&score, &columns);
        let (first, later) = (84.0, 88.0);
        let breaker = Breaker::new(&bars, first, later);
        let cost = |systems: &[Range<usize>]| -> Option<f64> {
            let one = |system: &Range<usize>| {
                let width = if system.start == 0 { first } else { later };
                badness(&bars[system.clone()], width)
            };
            systems.iter().map(one).sum()
        };
        for count in 1..=bars.len() {
            let found = breaker.cut(count).and_then(|systems| cost(&systems));
            // Every subset of the inner barlines that makes `count` systems.
            let all =
                (0_u32..1 << (bars.len() - 1)).filter(|set| set.count_ones() as usize == count - 1);
            let best = all
                .filter_map(|set| {
                    let mut ends: Vec<usize> =
                        (1..bars.len()).filter(|bar| set & (1 << (bar - 1)) != 0).collect();
                    ends.push(bars.len());
                    let mut start = 0;
                    let systems: Vec<_> = ends
                        .into_iter()
                        .map(|end| std::mem::replace(&mut start, end)..end)
                        .collect();
                    cost(&systems)
                })
                .min_by(f64::total_cmp);
            match (found, best) {
                (Some(found), Some(best)) => assert!((found - best).abs() < 1e-6, "{count}"),
                (found, best) => assert_eq!(found, best, "{count}"),
            }
        }
    }
}
