//! Breaking: which bars share a system.

use std::ops::Range;

use super::rules::{self, Sp};
use super::spacing::{self, BarSpacing};

/// The best cut of a sheet's bars into each number of systems.
pub(super) struct Breaker {
    bars: usize,
    /// `best[n][end]`: where the last of `n` systems begins that hold bars `0..end` with the
    /// least badness; `None` where they do not fit.
    best: Vec<Vec<Option<(f64, usize)>>>,
}

impl Breaker {
    /// Finds the cuts that make all systems as evenly and as naturally spaced as they can be.
    /// `first` and `later` are the widths that the first system and a later one have for their
    /// bars.
    pub(super) fn new(bars: &[BarSpacing], first: Sp, later: Sp) -> Self {
        let count = bars.len();
        let mut best = vec![vec![None; count + 1]; count + 1];
        best[0][0] = Some((0.0, 0));
        for start in 0..count {
            let width = if start == 0 { first } else { later - bars[start].lead() };
            for end in start + 1..=count {
                // A longer run would be tighter still.
                let Some(badness) = self::badness(&bars[start..end], width) else { break };
                for systems in 0..=start {
                    let Some((before, _)) = best[systems][start] else { continue };
                    let total: f64 = before + badness;
                    let least: &mut Option<(f64, usize)> = &mut best[systems + 1][end];
                    if least.is_none_or(|(least, _)| total < least - 1e-9) {
                        *least = Some((total, start));
                    }
                }
            }
        }
        Self { bars: count, best }
    }

    /// The bars cut into `count` systems; `None` where they do not fit.
    pub(super) fn cut(&self, count: usize) -> Option<Vec<Range<usize>>> {
        let rows = self.best.get(1..=count)?;
        let mut systems = Vec::with_capacity(count);
        let mut end = self.bars;
        for row in rows.iter().rev() {
            let (_, start) = row[end]?;
            systems.push(start..end);
            end = start;
        }
        systems.reverse();
        (end == 0 && count > 0).then_some(systems)
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
    use std::collections::BTreeMap;

    use super::*;
    use crate::engrave::column;
    use crate::engrave::look::Look;
    use crate::score::{
        Bar, ByHand, Counts, Event, Feel, Hand, Metre, Note, NoteValue, Score, Staff, Ticks,
    };
    use crate::theory::{Letter, NoteName, Pitch, SymbolStyle};

    /// A bar of repeated notes, over a rest.
    fn bar(start: Ticks, value: NoteValue) -> Bar {
        let note = Note {
            pitch: Pitch::new(NoteName::new(Letter::C, 0), 5),
            tied_in: false,
            tied_out: false,
            finger: None,
            shows_finger: false,
        };
        let metre = Metre::FourFour;
        let moments = (start..start + metre.bar()).step_by(value.ticks() as usize);
        let events = moments.map(|at| Event { notes: vec![note], ..Event::rest(at, value) });
        let right = Staff { events: events.collect() };
        let left = Staff { events: vec![Event::rest(start, NoteValue::WholeBar(metre))] };
        Bar { start, staves: ByHand { right, left } }
    }

    /// Nine bars, some of which need three times the room of others.
    fn uneven_score() -> Score {
        use NoteValue::{Eighth, Half, Quarter, Sixteenth, Whole};
        let metre = Metre::FourFour;
        let values = [Eighth, Sixteenth, Whole, Quarter, Eighth, Half, Sixteenth, Quarter, Eighth];
        let starts = (0..).map(|index| index * metre.bar());
        Score {
            key: "Eb".parse().unwrap(),
            metre,
            feel: Feel::Even,
            opening_clefs: ByHand::each(Hand::usual_clef),
            bars: starts.zip(values).map(|(start, value)| bar(start, value)).collect(),
            harmonies: Vec::new(),
            counts: Vec::new(),
            low_chords: Vec::new(),
            thick_chords: Vec::new(),
            wide_chords: Vec::new(),
        }
    }

    /// Of all ways to cut nine bars, the one that is found has the least sum of badness.
    #[test]
    fn no_other_cut_is_better() {
        let score = uneven_score();
        let look =
            Look { symbols: SymbolStyle::Mixed.into(), counts: Counts::All, ..Look::default() };
        let columns = column::columns(&score, &look);
        let bars = spacing::bars(&score, &columns, &BTreeMap::new());
        let (first, later) = (84.0, 88.0);
        let breaker = Breaker::new(&bars, first, later);
        let cost = |systems: &[Range<usize>]| -> Option<f64> {
            let one = |system: &Range<usize>| {
                let width = if system.start == 0 { first } else { later };
                badness(&bars[system.clone()], width)
            };
            systems.iter().map(one).sum()
        };
        let mut cuts = 0;
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
                (Some(found), Some(best)) => {
                    assert!((found - best).abs() < 1e-6, "{count}");
                    cuts += 1;
                }
                (found, best) => assert_eq!(found, best, "{count}"),
            }
        }
        assert!(cuts > 4, "{cuts} numbers of systems");
    }
}
