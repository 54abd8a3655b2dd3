//! A score measured once, then cut and drawn in as many ways as are tried.

use std::collections::BTreeMap;
use std::ops::Range;

use super::breaking::{self, Breaker, BrokenScore};
use super::column::{self, EventCell, MomentColumn};
use super::frame;
use super::heights::{Spreads, SystemHeights};
use super::look::Look;
use super::placing::{self, Positions};
use super::prefix::{self, Prefix};
use super::rules::{self, Sp};
use super::spacing::{self, BarSpacing};
use super::system::{Columns, System, SystemDraft, SystemSeat};
use crate::parallel;
use crate::score::{ByHand, Clef, Hand, Score};

/// A score measured, ready to be set at any width on any number of systems.
pub struct Layout<'a> {
    score: &'a Score,
    look: Look,
    columns: Vec<MomentColumn<'a>>,
    /// The first columns of bars, by bar, that look otherwise where a system begins with them.
    starts: BTreeMap<usize, MomentColumn<'a>>,
    bars: Vec<BarSpacing>,
    /// The prefix of the first system, and that of a later one in the opening clefs.
    opening: Prefix,
    later: Prefix,
}

/// A score cut into systems, none of them drawn yet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cut {
    /// The bars of each system.
    pub systems: Vec<Range<usize>>,
    /// How far the spaces of the tightest system are stretched: 1.0 where all are ideal. A last
    /// system that ends early does not count.
    pub tightest: f64,
    /// The same of the loosest.
    pub loosest: f64,
    /// How many phrases its systems tear, for each system; those torn in their middle count less.
    pub torn: f64,
    /// The width of a system.
    width: Sp,
    /// Where the last one ends.
    last_end: Sp,
}

impl<'a> Layout<'a> {
    /// Measures a score.
    pub fn new(score: &'a Score, look: Look) -> Self {
        let columns = column::columns(score, &look);
        let firsts = columns.chunk_by(|a, b| a.bar == b.bar).filter_map(|bar| bar.first());
        let starts = firsts
            .filter_map(|first| Some((first.bar, first.at_system_start(score.key_at(first.bar))?)));
        let starts: BTreeMap<usize, MomentColumn<'a>> = starts.collect();
        let bars = spacing::bars(score, &columns, &starts);
        let opening = prefix::prefix(
            score.opening_clefs,
            score.key,
            Some(score.metre),
            score.barline_before(0).begins_repeat(),
        );
        let later = prefix::prefix(score.opening_clefs, score.key, None, false);
        Self { score, look, columns, starts, bars, opening, later }
    }

    /// The score.
    pub fn score(&self) -> &'a Score {
        self.score
    }

    /// The best cut of the score into each number of systems of a width, on which it fits.
    pub fn cuts(&self, width: Sp) -> Vec<Cut> {
        let cuts = cuts_alike(&[self], width, (usize::MAX, None));
        cuts.into_iter().filter_map(|alike| alike.into_iter().next()).collect()
    }

    fn line(&self, width: Sp) -> BrokenScore<'_> {
        let [first, later] = self.lefts().map(|left| width - left);
        BrokenScore { bars: &self.bars, first, later }
    }

    /// A guess at the heights of systems that have not been drawn.
    pub fn guessed_heights(&self) -> SystemHeights {
        SystemHeights::guessed(&self.columns, self.bars.len(), [&self.opening, &self.later])
    }

    /// A cut weighed by the forces of its systems.
    fn weighed(
        &self,
        systems: Vec<Range<usize>>,
        width: Sp,
        broken: &[f64],
        force: impl FnMut(&Range<usize>) -> f64,
    ) -> Cut {
        let forces: Vec<f64> = systems.iter().map(force).collect();
        let last_end = self.last_end(&systems, &forces, width);
        let counted = if last_end < width { &forces[..forces.len() - 1] } else { &forces[..] };
        let tightest = counted.iter().copied().fold(f64::INFINITY, f64::min);
        let loosest = counted.iter().copied().fold(0.0, f64::max);
        let broken = systems.iter().map(|system| broken[system.start]).sum::<f64>();
        let torn = broken / systems.len() as f64;
        Cut { systems, tightest, loosest, torn, width, last_end }
    }

    /// Draws the systems of a cut, and tells what heights they come to; `None` where words would
    /// meet after all.
    pub fn draw(&self, cut: &Cut) -> Option<(Vec<System>, SystemHeights)> {
        let grid = grid(&cut.systems, self.lefts(), cut.width);
        let prefixes: Vec<Prefix> =
            cut.systems.iter().map(|range| self.prefix(range.start)).collect();
        let place = |grid: &[Sp]| self.place(cut, &prefixes, grid);
        let positions = grid.and_then(|grid| place(&grid)).or_else(|| place(&[]))?;
        // Nothing is to be warned of where no other system follows, as behind an excerpt.
        let end = cut.systems.last().map_or(0, |last| last.end);
        let placed = positions.into_iter().zip(prefixes);
        let draft = |(range, (positions, prefix)): (&Range<usize>, _)| {
            self.draft(range.clone(), positions, prefix, (cut.width, range.end < end))
        };
        let drafts: Vec<SystemDraft<'_>> = cut.systems.iter().zip(placed).map(draft).collect();
        let inner_gap = drafts.iter().map(SystemDraft::least_inner_gap).fold(0.0, Sp::max);
        let drop = inner_gap + 4.0;
        let (systems, spreads): (Vec<System>, Vec<Spreads>) =
            drafts.into_iter().map(|draft| draft.finish(drop)).unzip();
        let heights = SystemHeights::of(drop, spreads);
        Some((systems, heights))
    }

    /// The first bars alone, as many as stand on a line of a width, `most` at the most; `None` where
    /// not one does.
    pub(crate) fn opening(&self, width: Sp, most: usize) -> Option<System> {
        let drawn = |bars: usize| {
            let force = self.natural_force(&(0..bars), width);
            if force < rules::TIGHTEST {
                return None;
            }
            let (tightest, loosest) = (force, force);
            let systems = std::iter::once(0..bars).collect();
            let cut = Cut { systems, tightest, loosest, torn: 0.0, width, last_end: width };
            self.draw(&cut)?.0.pop()
        };
        (1..=most.min(self.bars.len())).rev().find_map(drawn)
    }

    /// How far the spaces of a system are stretched where it fills its width.
    fn natural_force(&self, bars: &Range<usize>, width: Sp) -> f64 {
        let left = self.lefts()[usize::from(bars.start > 0)];
        let more = if bars.start > 0 { self.bars[bars.start].frame.more_at_start } else { 0.0 };
        let more = more + self.bars[bars.end - 1].frame.more_at_end;
        spacing::force(&self.bars[bars.clone()], width - left - more).unwrap_or(0.0)
    }

    /// Where the last system ends: with the others, or early where it would have to be torn
    /// apart to reach so far (common practice: a last line under 70 to 75 % is left short).
    fn last_end(&self, systems: &[Range<usize>], forces: &[f64], width: Sp) -> Sp {
        let (Some(last), Some((_, others))) = (systems.last(), forces.split_last()) else {
            return width;
        };
        if others.is_empty() {
            return width;
        }
        let mean = others.iter().sum::<f64>() / others.len() as f64;
        let natural: Sp = self.bars[last.clone()].iter().map(|bar| bar.width(mean)).sum();
        let more = self.bars[last.start].frame.more_at_start;
        let end = self.lefts()[1] + natural + frame::end_reserve(self.score, last.end) + more;
        if end < rules::SHORT_LAST * width { end } else { width }
    }

    /// Where the bars of the first and of a later system begin.
    fn lefts(&self) -> [Sp; 2] {
        [&self.opening, &self.later].map(Prefix::left_of_bars)
    }

    /// The prefix of the system that begins with a bar.
    fn prefix(&self, first_bar: usize) -> Prefix {
        if first_bar == 0 {
            return self.opening.clone();
        }
        let columns = &self.columns[self.bars[first_bar].columns.clone()];
        let key = self.score.key_at(first_bar);
        let begins_repeat = self.score.barline_before(first_bar).begins_repeat();
        prefix::prefix(clefs_at(self.score, columns), key, None, begins_repeat)
    }

    /// The positions of every system: inner barlines on `grid` where a system has as many.
    fn place(&self, cut: &Cut, prefixes: &[Prefix], grid: &[Sp]) -> Option<Vec<Positions>> {
        let place = |(range, prefix): (&Range<usize>, &Prefix)| {
            let right = if range.end == self.bars.len() { cut.last_end } else { cut.width };
            let end = right - frame::courtesy_width(self.score, range.end);
            let own = &self.bars[range.clone()];
            let grid = if own.len() == grid.len() + 1 { grid } else { &[] };
            // Inside a system the last bar has room for a barline of its own.
            let trail = own[own.len() - 1].frame.trail;
            let more = frame::end_reserve(self.score, range.end) - trail;
            let ends: Vec<Sp> = grid.iter().copied().chain([end - more]).collect();
            let mut positions = placing::place(own, prefix.right, prefix.to_note, &ends)?;
            if let Some(last) = positions.barlines.last_mut() {
                *last = end;
            }
            Some(positions)
        };
        cut.systems.iter().zip(prefixes).map(place).collect()
    }

    /// A system in a width, and whether another follows it.
    fn draft(
        &self,
        bars: Range<usize>,
        positions: Positions,
        prefix: Prefix,
        (width, goes_on): (Sp, bool),
    ) -> SystemDraft<'_> {
        let courtesy = ByHand::each(|hand| {
            let next = self.bars.get(bars.end).filter(|_| goes_on)?;
            let next = self.columns.get(next.columns.start)?;
            next.cell(hand)?.event.clef_change
        });
        let own = &self.bars[bars.clone()];
        let all = &self.columns[own[0].columns.start..own[own.len() - 1].columns.end];
        let columns = Columns { first: self.starts.get(&bars.start), all };
        let [before, after] = [
            &self.columns[..self.bars[bars.start].columns.start],
            &self.columns[self.bars[bars.end - 1].columns.end..],
        ];
        let octaves = ByHand::each(|hand| {
            [octaves_of(before.iter().rev(), hand), octaves_of(after.iter(), hand)]
        });
        let courtesy_width = frame::courtesy_width(self.score, bars.end);
        let seat = SystemSeat { bars, courtesy, octaves };
        let end = positions.barlines.last().copied().unwrap_or(width);
        let width = end + courtesy_width;
        SystemDraft::new(columns, positions, seat, prefix, width, (self.score, self.look))
    }
}

/// The best cuts of scores with the same bars into each number of systems of a width on which all
/// of them fit, but into no more than `most`: for each number a cut of each score, all with the same
/// bars to a system. With `each` there is one at the most, with so many bars to a system.
pub(crate) fn cuts_alike(
    layouts: &[&Layout<'_>],
    width: Sp,
    (most, each): (usize, Option<usize>),
) -> Vec<Vec<Cut>> {
    let Some(score) = layouts.first().map(|layout| layout.score) else { return Vec::new() };
    let lines: Vec<BrokenScore<'_>> = layouts.iter().map(|layout| layout.line(width)).collect();
    let broken = breaking::broken(&score.phrases, score.bars.len());
    let systems: Vec<Vec<Range<usize>>> = match each {
        Some(each) => breaking::even_cut(&lines, each).into_iter().collect(),
        None => {
            let breaker = Breaker::new(&lines, &broken);
            (1..=score.bars.len().min(most)).filter_map(|count| breaker.cut(count)).collect()
        }
    };
    let weighed = |layout: &&Layout<'_>| -> Vec<Cut> {
        // Cuts share many of their systems.
        let count = layout.bars.len();
        let mut known = vec![None; count * count];
        let mut force = |bars: &Range<usize>| {
            let known = &mut known[bars.start * count + bars.end - 1];
            *known.get_or_insert_with(|| layout.natural_force(bars, width))
        };
        let weighed =
            |systems: &Vec<_>| layout.weighed(systems.clone(), width, &broken, &mut force);
        systems.iter().map(weighed).collect()
    };
    let mut each: Vec<_> =
        parallel::map(layouts, weighed).into_iter().map(Vec::into_iter).collect();
    systems.iter().map(|_| each.iter_mut().filter_map(Iterator::next).collect()).collect()
}

/// Draws the systems of a cut of a score once more; none where words would meet.
pub fn draw(score: &Score, look: Look, cut: &Cut) -> Vec<System> {
    Layout::new(score, look).draw(cut).map_or_else(Vec::new, |(systems, _)| systems)
}

/// Sets `score` on `count` systems of a width, or `None` where its bars do not fit on so many.
pub fn engrave(score: &Score, look: &Look, width: Sp, count: usize) -> Option<Vec<System>> {
    let layout = Layout::new(score, *look);
    let cut = layout.cuts(width).into_iter().find(|cut| cut.systems.len() == count)?;
    Some(layout.draw(&cut)?.0)
}

/// Where the inner barlines of every system stand, if all systems, but perhaps the last, hold
/// as many bars: one grid for the sheet. The first system's longer prefix and the others'
/// shorter one meet half way.
fn grid(systems: &[Range<usize>], lefts: [Sp; 2], width: Sp) -> Option<Vec<Sp>> {
    let bars = systems.first()?.len();
    let all_but_last = &systems[..systems.len() - 1];
    if all_but_last.iter().any(|system| system.len() != bars) {
        return None;
    }
    let [first, later] = lefts;
    let left = if systems.len() > 1 { (first + later) / 2.0 } else { first };
    let bar = (width - left) / bars as Sp;
    Some((1..bars).map(|index| left + bar * index as Sp).collect())
}

/// How many octaves above what is written the nearest note of a hand sounds in columns; 0 where a
/// silence outside any such stretch comes first.
fn octaves_of<'a>(columns: impl Iterator<Item = &'a MomentColumn<'a>>, hand: Hand) -> i32 {
    let mut cells = columns.filter_map(|column| column.cell(hand));
    let decides = |cell: &&EventCell<'_>| !cell.event.is_rest() || cell.octaves == 0;
    cells.find(decides).map_or(0, |cell| cell.octaves)
}

/// The clefs in force at the beginning of a bar, given its columns.
fn clefs_at(score: &Score, columns: &[MomentColumn<'_>]) -> ByHand<Clef> {
    ByHand::each(|hand| {
        let first = columns.iter().find_map(|column| column.cell(hand));
        first.map_or(score.opening_clefs[hand], |cell| cell.clef)
    })
}
