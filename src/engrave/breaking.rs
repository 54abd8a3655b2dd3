//! Breaking: which bars share a system.

use std::ops::Range;

use super::rules::{self, Sp};
use super::spacing::{self, BarSpacing};
use crate::parallel;

/// A score that is to be cut: its bars, and the widths that its first system and a later one have
/// for them.
#[derive(Clone, Copy)]
pub(super) struct BrokenScore<'a> {
    pub(super) bars: &'a [BarSpacing],
    pub(super) first: Sp,
    pub(super) later: Sp,
}

impl BrokenScore<'_> {
    /// How far the spaces of a system of some bars would be stretched; `None` where it would be
    /// too tight.
    fn force(&self, bars: Range<usize>) -> Option<f64> {
        let own = &self.bars[bars.clone()];
        let width = if bars.start == 0 { self.first } else { self.later - own[0].lead() };
        let width = width - own[own.len() - 1].frame.more_at_end;
        spacing::force(own, width).filter(|force| *force >= rules::TIGHTEST)
    }
}

/// How far from natural a system stretched so far is. Looseness is weighed.
fn badness(force: f64, looseness: f64) -> f64 {
    let stretch = libm::log(force);
    // A tight system is worse than a loose one: it is read from a music stand.
    let weight = if stretch < 0.0 { 4.0 } else { looseness };
    weight * stretch * stretch
}

/// The badness of the worst of some lines, all broken alike; `None` where one would be too tight.
fn worst_badness(lines: &[BrokenScore<'_>], bars: &Range<usize>, looseness: f64) -> Option<f64> {
    let extremes = lines.iter().try_fold((f64::INFINITY, 0.0), |(tight, loose), line| {
        let force = line.force(bars.clone())?;
        Some((f64::min(tight, force), f64::max(loose, force)))
    });
    // What is less stretched than one and more than another is no worse than both.
    let (tight, loose) = extremes?;
    Some(badness(tight, looseness).max(badness(loose, looseness)))
}

/// The best cut of the bars of scores, all cut alike, into each number of systems.
pub(super) struct Breaker {
    bars: usize,
    /// `best[n][end]`: where the last of `n` systems begins that hold bars `0..end` with the
    /// least badness; `None` where they do not fit.
    best: Vec<Vec<Option<(f64, usize)>>>,
}

impl Breaker {
    /// Finds the cuts that end systems where phrases end, and make them as evenly and as naturally
    /// spaced as they can be where the widest score decides. `broken` is what a break before
    /// each bar costs.
    pub(super) fn new(lines: &[BrokenScore<'_>], broken: &[f64]) -> Self {
        let count = lines.iter().map(|line| line.bars.len()).min().unwrap_or(0);
        let mut best = vec![vec![None; count + 1]; count + 1];
        best[0][0] = Some((0.0, 0));
        let badness_from = |start: usize| -> Vec<f64> {
            let to = |end: usize| {
                let is_whole =
                    broken[start] == 0.0 && broken.get(end).is_none_or(|cost| *cost == 0.0);
                let looseness = if is_whole { OF_PHRASES } else { TEARING };
                worst_badness(lines, &(start..end), looseness)
            };
            // A run longer than one that is too tight would be tighter still.
            (start + 1..=count).map_while(to).collect()
        };
        for (start, badness) in parallel::map(0..count, badness_from).into_iter().enumerate() {
            for (end, badness) in (start + 1..).zip(badness) {
                let break_cost = if start == 0 { 0.0 } else { BROKEN * broken[start] };
                for systems in 0..=start {
                    let Some((before, _)) = best[systems][start] else { continue };
                    let total: f64 = before + badness + break_cost;
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

/// The bars of scores cut into systems of `each`, the last of which may have fewer; `None` where
/// they do not fit.
pub(super) fn even_cut(lines: &[BrokenScore<'_>], each: usize) -> Option<Vec<Range<usize>>> {
    let count = lines.iter().map(|line| line.bars.len()).min()?;
    let systems: Vec<Range<usize>> =
        (0..count).step_by(each.max(1)).map(|start| start..count.min(start + each)).collect();
    let fits =
        |system: &Range<usize>| lines.iter().all(|line| line.force(system.clone()).is_some());
    systems.iter().all(fits).then_some(systems)
}

/// What a break that tears a phrase costs beside badness.
const BROKEN: f64 = 0.5;
/// What a break in the middle of a phrase costs, and one at a quarter of it, where one elsewhere
/// costs 1.
const AT_HALF: f64 = 0.5;
const AT_QUARTER: f64 = 0.7;
/// What looseness counts in a system of whole phrases, whose end means something, and in another.
const OF_PHRASES: f64 = 0.5;
const TEARING: f64 = 1.5;

/// What a break before each bar of a score costs that has phrases of so many bars: nothing where
/// one begins, less in its middle than elsewhere.
pub(super) fn broken(phrases: &[usize], bars: usize) -> Vec<f64> {
    let mut costs: Vec<f64> = Vec::with_capacity(bars);
    for phrase in phrases {
        costs.extend((0..*phrase).map(|at| match at {
            0 => 0.0,
            _ if *phrase >= 4 && at == phrase / 2 => AT_HALF,
            _ if *phrase >= 8 && at.is_multiple_of(phrase / 4) => AT_QUARTER,
            _ => 1.0,
        }));
    }
    costs.resize(bars, 0.0);
    costs
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::engrave::column;
    use crate::engrave::look::Look;
    use crate::score::{
        Bar, ByHand, Counts, Event, Feel, Hand, Metre, Note, NoteValue, Score, Signs, Staff, Ticks,
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
            phrases: Vec::new(),
            harmonies: Vec::new(),
            counts: Vec::new(),
            low_chords: Vec::new(),
            thick_chords: Vec::new(),
            untold_chords: Vec::new(),
            wide_chords: Vec::new(),
            signs: Signs::default(),
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
        let line = BrokenScore { bars: &bars, first: 84.0, later: 88.0 };
        let breaker = Breaker::new(&[line], &[0.0; 9]);
        let cost = |systems: &[Range<usize>]| -> Option<f64> {
            let own =
                |system: &Range<usize>| Some(badness(line.force(system.clone())?, OF_PHRASES));
            systems.iter().map(own).sum()
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
