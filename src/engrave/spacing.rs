//! Spacing: springs by duration, rods by ink, and the force that fills a line.

use std::collections::BTreeMap;

use super::chord::Direction;
use super::column::{
    COUNT_LAYER, Column, Edges, Item, LAYER_GAPS, LAYERS, SYMBOL_LAYER, change_width,
};
use super::rules::{self, Sp};
use super::tie;
use crate::score::{Hand, NoteValue, Score, Ticks};

/// The space between two stops of a system.
#[derive(Clone, Copy, Debug)]
pub(super) struct Gap {
    /// It never gets narrower.
    min: Sp,
    /// It has this width at force 1, and grows with the force.
    ideal: Sp,
}

impl Gap {
    fn rigid(width: Sp) -> Self {
        Self { min: width, ideal: 0.0 }
    }

    fn at(self, force: f64) -> Sp {
        (self.ideal * force).max(self.min)
    }
}

/// One bar's columns and the gaps round them: before the first column, between columns, and
/// from the last column to the barline.
#[derive(Debug)]
pub(super) struct BarSpacing {
    /// The range of its columns.
    pub(super) columns: std::ops::Range<usize>,
    gaps: Vec<Gap>,
    springs: Springs,
    edges: Vec<Edges>,
    /// The least distance from a prefix to its first column, for ties that come in.
    after_prefix: Sp,
}

/// Where things stand in one system.
#[derive(Debug)]
pub(super) struct Positions {
    /// The abscissa of each column of the system, in order.
    pub(super) columns: Vec<Sp>,
    /// The abscissa of the barline that ends each bar.
    pub(super) barlines: Vec<Sp>,
    /// Stretch: 1.0 where every space is ideal.
    pub(super) force: f64,
}

/// The springs and rods of every bar.
/// `starts` are the columns of bars that look otherwise where a system begins with them.
pub(super) fn bars(
    score: &Score,
    columns: &[Column<'_>],
    starts: &BTreeMap<usize, Column<'_>>,
) -> Vec<BarSpacing> {
    let mut bars = Vec::with_capacity(score.bars.len());
    let mut start = 0;
    for (index, bar) in score.bars.iter().enumerate() {
        let count = columns[start..].iter().take_while(|column| column.bar == index).count();
        let range = start..start + count;
        let own = &columns[range.clone()];
        let edges: Vec<Edges> = own.iter().map(|column| column.edges(bar.start)).collect();
        let bar_end = bar.start + score.metre.bar();
        let mut gaps = vec![Gap::rigid(before_first(&edges[0]))];
        for next in 1..count {
            gaps.push(between(score, bar.start, &own[next - 1..=next], &edges[next - 1..=next]));
        }
        gaps.push(after_last(&own[count - 1], &edges[count - 1], bar_end, columns.get(range.end)));
        keep_past_columns(own, &edges, &mut gaps);
        even_out_thirds(own, &mut gaps);
        let after_prefix = after_prefix(starts.get(&index).unwrap_or(&own[0]));
        let springs = Springs::of(&gaps);
        bars.push(BarSpacing { columns: range, gaps, springs, edges, after_prefix });
        start += count;
    }
    bars
}

/// Ideal space of a duration.
fn ideal(duration: Ticks) -> Sp {
    let eighths = f64::from(duration) / f64::from(NoteValue::Eighth.ticks());
    let doublings = libm::log2(eighths);
    let share = if doublings < 0.0 {
        libm::pow(rules::SPACE_SHRINKAGE, -doublings)
    } else {
        1.0 + rules::SPACE_GROWTH * doublings
    };
    rules::EIGHTH_SPACE * share
}

/// Ideal space between two columns: of the time between them, or, where even the shortest note
/// that begins at the first lasts longer, that part of its space (Gourlay), so that a triplet
/// stays even under another rhythm. From eighths upward the time alone decides.
fn ideal_between(pair: &[Column<'_>]) -> Sp {
    let duration = pair[1].at - pair[0].at;
    let begun = pair[0].staves.iter().flatten().map(|item| item.event.value.ticks());
    match begun.min() {
        Some(shortest) if duration < NoteValue::Eighth.ticks() && duration < shortest => {
            ideal(shortest) * f64::from(duration) / f64::from(shortest)
        }
        _ => ideal(duration),
    }
}

fn before_first(edges: &Edges) -> Sp {
    let left = edges[..2].iter().flatten().map(|(left, _)| *left).fold(0.0, Sp::min);
    let count = edges[COUNT_LAYER].map_or(0.0, |(left, _)| rules::WORD_GAP - left);
    rules::BARLINE_TO_NOTE.max(rules::BARLINE_TO_ACCIDENTAL - left).max(count)
}

/// The least distance from a prefix to a column: room for the ties that come in to it.
fn after_prefix(first: &Column<'_>) -> Sp {
    let tied = first.staves.iter().flatten().filter(|item| item.event.is_tied_in());
    let least = rules::PREFIX_TO_TIE + rules::SHORTEST_TIE + rules::TIE_TO_HEAD;
    tied.filter_map(|item| item.chord()).map(|c| least - c.tied_in_edge()).fold(0.0, Sp::max)
}

/// The gap between two neighbouring columns of a bar.
fn between(score: &Score, bar_start: Ticks, pair: &[Column<'_>], edges: &[Edges]) -> Gap {
    let mut min = rod(&edges[0], &edges[1]).unwrap_or(0.0);
    for hand in Hand::BOTH {
        min = min.max(tie_rod(&pair[0], &pair[1], hand).unwrap_or(0.0));
    }
    let is_played = pair[1].staves.iter().any(Option::is_some);
    let crosses_half = is_played && score.metre.divisions().contains(&(pair[1].at - bar_start));
    let air = if crosses_half { rules::HALF_BAR_AIR } else { 0.0 };
    let optical: Sp = Hand::BOTH.iter().map(|hand| optical(&pair[0], &pair[1], *hand)).sum();
    Gap { min, ideal: ideal_between(pair) + air + optical }
}

/// The least distance between two columns of which a hand ties one to the other.
fn tie_rod(left: &Column<'_>, right: &Column<'_>, hand: Hand) -> Option<Sp> {
    let to = right.item(hand).filter(|item| item.event.is_tied_in())?.chord()?;
    let from = left.item(hand)?.chord()?;
    let white = 2.0 * rules::TIE_TO_HEAD + rules::SHORTEST_TIE;
    Some(tie::right_edge(from) + white - to.tied_in_edge())
}

/// Widens the gaps of a bar between columns that are neighbours in one layer though others stand
/// between them, and from the last of a layer to the barline: what is missing is shared out by
/// their ideal spaces.
fn keep_past_columns(columns: &[Column<'_>], edges: &[Edges], gaps: &mut [Gap]) {
    for layer in 0..SYMBOL_LAYER {
        let with: Vec<usize> = (0..edges.len()).filter(|i| edges[*i][layer].is_some()).collect();
        let last = with.last().and_then(|last| Some((*last, edges[*last][layer]?.1)));
        if let Some((last, right)) = last.filter(|(last, _)| last + 1 < edges.len()) {
            let item = Hand::BOTH.get(layer).and_then(|hand| columns[last].item(*hand));
            let white = match layer {
                _ if item.is_some_and(Item::is_tied_out) => BROKEN_TIE,
                COUNT_LAYER => rules::WORD_GAP,
                _ => rules::NOTE_TO_BARLINE,
            };
            widen(&mut gaps[last + 1..], right + white);
        }
        for pair in with.windows(2).filter(|pair| pair[1] - pair[0] > 1) {
            let (left, right) = (pair[0], pair[1]);
            let tie = Hand::BOTH
                .get(layer)
                .and_then(|hand| tie_rod(&columns[left], &columns[right], *hand));
            let rod = rod_in(layer, &edges[left], &edges[right]);
            let need = rod.into_iter().chain(tie).fold(0.0, Sp::max);
            widen(&mut gaps[left + 1..=right], need);
        }
    }
}

/// Widens gaps so that they come to `need` at the least.
fn widen(gaps: &mut [Gap], need: Sp) {
    let short = need - gaps.iter().map(|gap| gap.min).sum::<Sp>();
    let ideal: Sp = gaps.iter().map(|gap| gap.ideal).sum();
    if short > 0.0 && ideal > 0.0 {
        for gap in gaps {
            gap.min += short * gap.ideal / ideal;
        }
    }
}

/// Gives the thirds of a triplet the same least width, so that wide syllables under them do not
/// make equal notes look unequal.
fn even_out_thirds(columns: &[Column<'_>], gaps: &mut [Gap]) {
    const THIRD: Ticks = NoteValue::TripletEighth.ticks();
    let mut first = 0;
    while first + 1 < columns.len() {
        let is_third = |next: &usize| columns[*next].at - columns[*next - 1].at == THIRD;
        let count = (first + 1..columns.len()).take_while(is_third).count();
        // A bar's first gap leads into its first column: those of the run follow.
        let run = &mut gaps[first + 1..=first + count];
        let least = run.iter().map(|gap| gap.min).fold(0.0, Sp::max);
        for gap in run {
            gap.min = least;
        }
        first += count.max(1);
    }
}

/// What the stems of two neighbours on one staff ask for beyond the space of their duration.
fn optical(left: &Column<'_>, right: &Column<'_>, hand: Hand) -> Sp {
    let stem = |column: &Column<'_>| {
        let chord = column.item(hand)?.chord()?;
        chord.value.has_stem().then_some(chord.direction)
    };
    match (stem(left), stem(right)) {
        (Some(Direction::Up), Some(Direction::Down)) => rules::UP_BEFORE_DOWN,
        (Some(Direction::Down), Some(Direction::Up)) => rules::DOWN_BEFORE_UP,
        _ => 0.0,
    }
}

/// Room for a tie alone before a barline, should the system end there.
const BROKEN_TIE: Sp = rules::TIE_TO_HEAD + rules::SHORTEST_TIE + rules::TIE_TO_BARLINE;

/// The gap from the last column of a bar to its barline; `next` is the column after it.
fn after_last(last: &Column<'_>, edges: &Edges, bar_end: Ticks, next: Option<&Column<'_>>) -> Gap {
    let right = edges[..2].iter().flatten().map(|(_, right)| *right).fold(0.0, Sp::max);
    let changes = next.map_or(0.0, |next| {
        let widths = next.staves.iter().flatten().filter(|item| item.event.at == bar_end);
        widths
            .filter_map(|item| item.event.clef_change)
            .map(|clef| change_width(clef) + rules::CLEF_CHANGE_AFTER)
            .fold(0.0, Sp::max)
    });
    let goes_on = last.staves.iter().flatten().any(|item| item.is_tied_out());
    let white = if goes_on { BROKEN_TIE } else { rules::NOTE_TO_BARLINE };
    // What of the last symbol and numeral does not fit here hangs over, into the margin where
    // the system ends; it never leaves its column.
    let words = edges[SYMBOL_LAYER..].iter().flatten();
    let hanging = words.map(|(_, right)| right - rules::OVERHANG).fold(0.0, Sp::max);
    // The thin line of a final barline stands left of where the bar ends.
    let beside_line = rules::WORD_GAP + rules::THIN_BARLINE;
    let counted = edges[COUNT_LAYER].map_or(0.0, |(_, right)| right + beside_line);
    let min = (right + white + changes).max(hanging).max(counted);
    Gap { min, ideal: ideal(bar_end - last.at) - rules::LESS_BEFORE_BARLINE }
}

/// The least distance between two columns, if they share a layer.
fn rod(left: &Edges, right: &Edges) -> Option<Sp> {
    (0..LAYERS).filter_map(|layer| rod_in(layer, left, right)).max_by(Sp::total_cmp)
}

/// The least distance between two columns in one layer, if both have something in it.
fn rod_in(layer: usize, left: &Edges, right: &Edges) -> Option<Sp> {
    let (_, reach) = left[layer]?;
    let (start, _) = right[layer]?;
    Some(reach + LAYER_GAPS[layer] - start)
}

impl BarSpacing {
    /// How much more room the bar needs where it stands first in a later system, for ties that
    /// come in to heads left of their stem.
    pub(super) fn lead(&self) -> Sp {
        (self.after_prefix - rules::KEY_TO_NOTE).max(0.0)
    }

    /// The bar's width at a force.
    pub(super) fn width(&self, force: f64) -> Sp {
        self.gaps.iter().map(|gap| gap.at(force)).sum()
    }
}

/// The gaps of a bar in the order in which they begin to give as the force grows, so that their
/// sums at any force are found without going through them all.
#[derive(Debug)]
struct Springs {
    /// The force beyond which each gap is wider than its rod.
    gives: Vec<f64>,
    /// What the first gaps come to, one more at each place.
    sums: Vec<Sums>,
    /// All rods.
    rods: Sp,
}

/// The rods and the ideal widths of some gaps.
#[derive(Clone, Copy, Debug, Default)]
struct Sums {
    rods: Sp,
    ideals: Sp,
}

impl Springs {
    fn of(gaps: &[Gap]) -> Self {
        let mut order: Vec<(f64, &Gap)> = gaps
            .iter()
            .filter(|gap| gap.ideal > 0.0)
            .map(|gap| (gap.min / gap.ideal, gap))
            .collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut sums = vec![Sums::default()];
        let mut sum = Sums::default();
        for (_, gap) in &order {
            sum = Sums { rods: sum.rods + gap.min, ideals: sum.ideals + gap.ideal };
            sums.push(sum);
        }
        let gives = order.into_iter().map(|(force, _)| force).collect();
        Self { gives, sums, rods: gaps.iter().map(|gap| gap.min).sum() }
    }

    /// The rods of the gaps that stand firm at a force, and the ideal widths of those that give.
    fn at(&self, force: f64) -> (Sp, Sp) {
        let giving = self.sums[self.gives.partition_point(|gives| *gives < force)];
        (self.rods - giving.rods, giving.ideals)
    }
}

/// The force at which `bars` fill `width`, or `None` where their rods alone are wider.
pub(super) fn force(bars: &[BarSpacing], width: Sp) -> Option<f64> {
    let rods: Sp = bars.iter().map(|bar| bar.springs.rods).sum();
    let sums = |force| {
        let each = bars.iter().map(|bar| bar.springs.at(force));
        each.fold((0.0, 0.0), |(rigid, elastic), bar| (rigid + bar.0, elastic + bar.1))
    };
    (rods <= width).then(|| solve(sums, width))
}

/// The force at which gaps come to `width`: Newton's method on a sum that is convex in the
/// force and made of straight pieces, so that it ends after a few steps. `sums` gives what the
/// gaps that stand firm at a force come to, and the ideal widths of the others.
fn solve(sums: impl Fn(f64) -> (Sp, Sp), width: Sp) -> f64 {
    /// Stretch past which a line would rather stay short.
    const MOST: f64 = 8.0;
    /// Steps that are never needed: a guard against rounding.
    const STEPS: i32 = 64;
    let mut force = MOST;
    for _ in 0..STEPS {
        let (rigid, elastic) = sums(force);
        if elastic <= 0.0 {
            // No space is left to give: either it comes out, or the rods alone are too wide.
            return if rigid > width + 1e-9 { 0.0 } else { force };
        }
        let next = (width - rigid) / elastic;
        if (next - force).abs() < 1e-12 {
            break;
        }
        force = next;
    }
    force.clamp(0.0, MOST)
}

/// Places the columns of a system whose first bar begins at `left`. `ends` says where barlines
/// must stand: all of them, or the last alone. `None` where a bar would be too tight between
/// them, or words would meet across them.
pub(super) fn place(
    bars: &[BarSpacing],
    left: Sp,
    first_gap: Sp,
    ends: &[Sp],
) -> Option<Positions> {
    let each = bars.len().div_ceil(ends.len());
    let mut all = Positions { columns: Vec::new(), barlines: Vec::new(), force: f64::INFINITY };
    let mut x = left;
    for (stretch, end) in bars.chunks(each).zip(ends) {
        let first_gap = (x == left).then_some(first_gap);
        let placed = place_stretch(stretch, x, first_gap, *end);
        if placed.force < rules::TIGHTEST {
            return None;
        }
        all.columns.extend(placed.columns);
        all.barlines.extend(placed.barlines);
        all.force = all.force.min(placed.force);
        x = *end;
    }
    (each == bars.len() || far_rods(bars, &all).is_empty()).then_some(all)
}

/// Places the columns of bars between two abscissas.
fn place_stretch(bars: &[BarSpacing], left: Sp, first_gap: Option<Sp>, right: Sp) -> Positions {
    let mut gaps: Vec<Gap> = bars.iter().flat_map(|bar| bar.gaps.iter().copied()).collect();
    if let Some(width) = first_gap {
        // After a prefix the first head keeps the prefix's own distance.
        gaps[0] = Gap::rigid(width.max(gaps[0].min).max(bars[0].after_prefix));
    }
    // Rods between columns that are not neighbours: widen what lies between them, and solve
    // again. Few bind, and each pass settles those it finds.
    const PASSES: i32 = 4;
    let mut pass = 0;
    loop {
        let sums = |force: f64| {
            let (mut rigid, mut elastic) = (0.0, 0.0);
            for gap in &gaps {
                if gap.ideal * force > gap.min { elastic += gap.ideal } else { rigid += gap.min }
            }
            (rigid, elastic)
        };
        let force = solve(sums, right - left);
        let now = positions(bars, &gaps, left, force);
        let rods = far_rods(bars, &now);
        pass += 1;
        if pass > PASSES || rods.is_empty() {
            return now;
        }
        for (between, short) in rods {
            let count = between.clone().count() as f64;
            for gap in &mut gaps[between] {
                gap.min = gap.at(force) + short / count;
            }
        }
    }
}

fn positions(bars: &[BarSpacing], gaps: &[Gap], left: Sp, force: f64) -> Positions {
    let mut x = left;
    let mut gaps = gaps.iter();
    let mut columns = Vec::new();
    let mut barlines = Vec::new();
    for bar in bars {
        let count = bar.gaps.len();
        for (index, gap) in gaps.by_ref().take(count).enumerate() {
            x += gap.at(force);
            if index + 1 < count { columns.push(x) } else { barlines.push(x) }
        }
    }
    Positions { columns, barlines, force }
}

/// Chord symbols and numerals that would meet the next ones: the gaps between the two columns,
/// and how much they are short of.
fn far_rods(bars: &[BarSpacing], now: &Positions) -> Vec<(std::ops::RangeInclusive<usize>, Sp)> {
    let edges: Vec<&Edges> = bars.iter().flat_map(|bar| &bar.edges).collect();
    // Which gap leads into each column: one for each column, and one more at each barline.
    let mut gap_of = Vec::with_capacity(edges.len());
    let mut gap = 0;
    for bar in bars {
        gap_of.extend(gap..gap + bar.edges.len());
        gap += bar.gaps.len();
    }
    let mut rods = Vec::new();
    for layer in SYMBOL_LAYER..LAYERS {
        let with: Vec<usize> = (0..edges.len()).filter(|i| edges[*i][layer].is_some()).collect();
        for pair in with.windows(2) {
            let need = rod_in(layer, edges[pair[0]], edges[pair[1]]).unwrap_or(0.0);
            let short = need - (now.columns[pair[1]] - now.columns[pair[0]]);
            if short > 1e-6 {
                rods.push((gap_of[pair[0]] + 1..=gap_of[pair[1]], short));
            }
        }
    }
    rods
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gap(min: Sp, ideal: Sp) -> Gap {
        Gap { min, ideal }
    }

    fn bar(gaps: &[Gap]) -> BarSpacing {
        let count = gaps.len() - 1;
        let edges = vec![[None; LAYERS]; count];
        let (gaps, springs) = (gaps.to_vec(), Springs::of(gaps));
        BarSpacing { columns: 0..count, gaps, springs, edges, after_prefix: 0.0 }
    }

    #[test]
    fn a_stretched_line_ends_at_its_end_and_equal_notes_keep_equal_spaces() {
        let bars = [bar(&[Gap::rigid(1.4), gap(1.0, 3.0), gap(1.0, 3.0), gap(1.0, 2.5)])];
        let placed = place(&bars, 10.0, 2.0, &[40.0]).unwrap();
        let [a, b, c] = placed.columns[..] else { panic!("three columns") };
        assert!((b - a - (c - b)).abs() < 1e-6);
        assert!((placed.barlines[0] - 40.0).abs() < 1e-6);
    }

    #[test]
    fn rods_hold_where_springs_would_go_under_them() {
        let bars = [bar(&[Gap::rigid(1.4), gap(5.0, 3.0), gap(1.0, 3.0), gap(1.0, 3.0)])];
        let placed = place(&bars, 0.0, 1.4, &[14.0]).unwrap();
        assert!((placed.columns[1] - placed.columns[0] - 5.0).abs() < 1e-6);
    }

    #[test]
    fn a_line_narrower_than_its_rods_is_refused() {
        let bars = [bar(&[Gap::rigid(1.4), gap(5.0, 3.0), gap(5.0, 3.0)])];
        assert_eq!(force(&bars, 9.0), None);
    }
}
