//! Placing: where the columns and barlines of a system stand, its bars at one force or between
//! the barlines of a grid.

use smallvec::{SmallVec, smallvec};

use super::column::{Edges, LAYER_GAPS, LAYERS, LEFT_DIGITS_LAYER, NUMERAL_LAYER, SYMBOL_LAYER};
use super::extent::Extent;
use super::rules::{self, Sp};
use super::spacing::BarSpacing;
use super::springs::{Gap, solve};

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
    let system_end = *ends.last()?;
    let mut all = Positions { columns: Vec::new(), barlines: Vec::new(), force: f64::INFINITY };
    let mut x = left;
    for (stretch, end) in bars.chunks(each).zip(ends) {
        let first_gap = (x == left).then_some(first_gap);
        let words_end = if *end == system_end { *end } else { Sp::INFINITY };
        let placed = place_stretch(stretch, [x, *end], first_gap, words_end);
        if placed.force < rules::TIGHTEST {
            return None;
        }
        all.columns.extend(placed.columns);
        all.barlines.extend(placed.barlines);
        all.force = all.force.min(placed.force);
        x = *end;
    }
    (each == bars.len() || far_rods(bars, &all, system_end).is_empty()).then_some(all)
}

/// Places the columns of bars between two abscissas; no word reaches past `words_end`.
fn place_stretch(
    bars: &[BarSpacing],
    [left, right]: [Sp; 2],
    first_gap: Option<Sp>,
    words_end: Sp,
) -> Positions {
    let mut gaps: Vec<Gap> = bars.iter().flat_map(|bar| bar.gaps.iter().copied()).collect();
    if let Some(width) = first_gap {
        // After a prefix the first head keeps the prefix's own distance.
        let least = gaps[0].min - bars[0].frame.lead_in;
        gaps[0] = Gap::rigid(width.max(least).max(bars[0].after_prefix));
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
        let mut rods = far_rods(bars, &now, words_end);
        rods.extend(numeral_rods(bars, &now));
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
    let mut columns = Vec::with_capacity(gaps.len());
    let mut barlines = Vec::with_capacity(bars.len());
    for bar in bars {
        let count = bar.gaps.len();
        for (index, gap) in gaps.by_ref().take(count).enumerate() {
            x += gap.at(force);
            if index + 1 < count { columns.push(x) } else { barlines.push(x) }
        }
    }
    Positions { columns, barlines, force }
}

/// A symbol or numeral of a row.
#[derive(Clone, Copy, Debug)]
pub(super) struct RowWord {
    /// Where its column stands.
    pub(super) column: Sp,
    /// Where it would begin and end, counted from its column.
    pub(super) ink: Extent,
    /// How far left of that it may begin so that it clears the next one.
    pub(super) may: Sp,
}

impl RowWord {
    /// A word in a layer of [`Edges`]. A symbol may begin left of its column, which spares equal
    /// notes under it unequal spaces; a numeral stands beside its digits.
    pub(super) fn new(layer: usize, column: Sp, ink: Extent) -> Self {
        let may = if layer == SYMBOL_LAYER { rules::SYMBOL_LEFT } else { 0.0 };
        Self { column, ink, may }
    }
}

/// How far right of their columns the words of a row are moved: not at all, or so far left that the last
/// ends where its system does, and that each clears the next one where little is missing.
pub(super) fn moved(row: &[RowWord], white: Sp, system_end: Sp) -> SmallVec<[Sp; 16]> {
    let mut moved: SmallVec<[Sp; 16]> = smallvec![0.0; row.len()];
    let mut next: Option<Sp> = None;
    for (word, by) in row.iter().zip(&mut moved).rev() {
        let room = next.map_or(0.0, |next| next - white - word.ink.right - word.column);
        *by = room.clamp(-word.may, 0.0).min(system_end - word.ink.right - word.column);
        next = Some(word.column + *by + word.ink.left);
    }
    moved
}

/// So little that rounding makes it.
const LITTLE: Sp = 1e-6;

/// Which gap leads into each column: one for each column, and one more at each barline; and how many
/// there are.
fn gaps_of(bars: &[BarSpacing]) -> (Vec<usize>, usize) {
    let mut gap_of = Vec::with_capacity(bars.iter().map(|bar| bar.edges.len()).sum());
    let mut gap = 0;
    for bar in bars {
        gap_of.extend(gap..gap + bar.edges.len());
        gap += bar.gaps.len();
    }
    (gap_of, gap)
}

/// Numerals that have not quite the room between their own digits and the next ones, below which they
/// would have to go: the gaps that want widening, and how much they are short of.
fn numeral_rods(
    bars: &[BarSpacing],
    now: &Positions,
) -> Vec<(std::ops::RangeInclusive<usize>, Sp)> {
    let edges: Vec<&Edges> = bars.iter().flat_map(|bar| &bar.edges).collect();
    let (gap_of, _) = gaps_of(bars);
    let mut rods = Vec::new();
    for (one, own) in edges.iter().enumerate() {
        let (Some(digits), Some(numeral)) = (own[LEFT_DIGITS_LAYER], own[NUMERAL_LAYER]) else {
            continue;
        };
        if numeral.left < digits.right {
            continue;
        }
        let next =
            (one + 1..edges.len()).find_map(|next| Some((next, edges[next][LEFT_DIGITS_LAYER]?)));
        let Some((next, beyond)) = next else { continue };
        let begin = now.columns[one] + digits.right + rules::NUMERAL_NEAREST;
        let end = begin + numeral.right - numeral.left + rules::NUMERAL_NEAREST;
        let short = end - now.columns[next] - beyond.left;
        if short > LITTLE && short <= rules::NUMERAL_WIDENS {
            rods.push((gap_of[one] + 1..=gap_of[next], short));
        }
    }
    rods
}

/// Chord symbols and numerals that would meet the next ones, or that would have to begin too far
/// left of their columns to end with their system: the gaps that want widening, and how much they
/// are short of.
fn far_rods(
    bars: &[BarSpacing],
    now: &Positions,
    system_end: Sp,
) -> Vec<(std::ops::RangeInclusive<usize>, Sp)> {
    let edges: Vec<&Edges> = bars.iter().flat_map(|bar| &bar.edges).collect();
    let (gap_of, gap) = gaps_of(bars);
    let mut rods = Vec::new();
    for layer in SYMBOL_LAYER..LAYERS {
        let with: SmallVec<[(usize, RowWord); 16]> = (0..edges.len())
            .filter_map(|index| {
                Some((index, RowWord::new(layer, now.columns[index], edges[index][layer]?)))
            })
            .collect();
        let row: SmallVec<[RowWord; 16]> = with.iter().map(|(_, word)| *word).collect();
        let moved = moved(&row, LAYER_GAPS[layer], system_end);
        for ((index, word), by) in with.iter().zip(&moved) {
            // One that stands right of its column, beside digits, stays beside them.
            let short = -by - (rules::LEFT_OF_COLUMN - word.ink.left).max(0.0);
            if short > LITTLE {
                rods.push((gap_of[*index] + 1..=gap - 1, short));
            }
        }
        for place in 1..with.len() {
            let [(one, word), (_, next)] = [with[place - 1], with[place]];
            let white = next.column + moved[place] + next.ink.left
                - (word.column + moved[place - 1] + word.ink.right);
            let short = LAYER_GAPS[layer] - white;
            if short > LITTLE {
                // One that is held by what follows has the room up to there as well.
                let free = (place..with.len()).find(|place| moved[*place] >= 0.0);
                let last = free.map_or(gap - 1, |place| gap_of[with[place].0]);
                rods.push((gap_of[one] + 1..=last, short));
            }
        }
    }
    rods
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engrave::frame::BarFrame;
    use crate::engrave::spacing::force;
    use crate::engrave::springs::Springs;

    fn gap(min: Sp, ideal: Sp) -> Gap {
        Gap { min, ideal }
    }

    fn bar(gaps: &[Gap]) -> BarSpacing {
        let count = gaps.len() - 1;
        let edges = vec![[None; LAYERS]; count];
        let (gaps, springs) = (gaps.to_vec(), Springs::of(gaps));
        let frame = BarFrame::default();
        BarSpacing { columns: 0..count, gaps, springs, edges, after_prefix: 0.0, frame }
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
