//! Breaking: which bars share a system.

use std::ops::Range;

use super::rules::{self, Sp};
use super::spacing::{self, BarSpacing};

/// Cuts the bars into `count` systems so that all are as evenly and as naturally spaced as they
/// can be; `None` where they do not fit. `first` and `other` are the widths that the first and
/// the other systems have for their bars.
pub(super) fn into_systems(
    bars: &[BarSpacing],
    count: usize,
    first: Sp,
    other: Sp,
) -> Option<Vec<Range<usize>>> {
    if count == 0 || count > bars.len() {
        return None;
    }
    // Systems of a sheet hold about as many bars each; nothing far from that is ever best.
    let even = bars.len() / count;
    let lengths = even.saturating_sub(SPREAD).max(1)..=even + 1 + SPREAD;
    // best[n][end]: the least badness of setting bars 0..end on n systems, and where the last
    // of them begins.
    let mut best: Vec<Vec<Option<(f64, usize)>>> = vec![vec![None; bars.len() + 1]; count + 1];
    best[0][0] = Some((0.0, 0));
    for systems in 1..=count {
        let width = if systems == 1 { first } else { other };
        for end in systems..=bars.len() {
            for start in systems - 1..end {
                if !lengths.contains(&(end - start)) {
                    continue;
                }
                let Some((before, _)) = best[systems - 1][start] else { continue };
                let Some(badness) = badness(&bars[start..end], width) else { continue };
                let total = before + badness;
                if best[systems][end].is_none_or(|(least, _)| total < least - 1e-9) {
                    best[systems][end] = Some((total, start));
                }
            }
        }
    }
    best[count][bars.len()]?;
    let mut systems = Vec::with_capacity(count);
    let mut end = bars.len();
    for row in best[1..].iter().rev() {
        let start = row[end]?.1;
        systems.push(start..end);
        end = start;
    }
    systems.reverse();
    Some(systems)
}

/// How many bars a system may hold more or fewer than an even share.
const SPREAD: usize = 2;

/// How far from natural a system would be; `None` where it would be too tight.
fn badness(bars: &[BarSpacing], width: Sp) -> Option<f64> {
    let force = spacing::force(bars, width).filter(|force| *force >= rules::TIGHTEST)?;
    let stretch = libm::log(force);
    // A tight system is worse than a loose one: it is read from a music stand.
    Some(if stretch < 0.0 { 4.0 * stretch * stretch } else { stretch * stretch })
}
