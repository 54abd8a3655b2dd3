//! Spacing: springs by duration, rods by ink.

use std::collections::BTreeMap;

use super::column::{
    COUNT_LAYER, Edges, EventCell, LAYER_GAPS, LAYERS, MomentColumn, SYMBOL_LAYER, change_width,
};
use super::frame::BarFrame;
use super::position::Direction;
use super::rules::{self, Sp};
use super::springs::{Gap, Springs, solve};
use super::tie;
use crate::score::{Hand, NoteValue, Score, Ticks};

/// One bar's columns and the gaps round them: before the first column, between columns, and
/// from the last column to the barline.
#[derive(Debug)]
pub(super) struct BarSpacing {
    /// The range of its columns.
    pub(super) columns: std::ops::Range<usize>,
    pub(super) gaps: Vec<Gap>,
    pub(super) springs: Springs,
    pub(super) edges: Vec<Edges>,
    /// The least distance from a prefix to its first column, for ties that come in.
    pub(super) after_prefix: Sp,
    /// What its barlines and signatures take.
    pub(super) frame: BarFrame,
}

/// The springs and rods of every bar.
/// `starts` are the columns of bars that look otherwise where a system begins with them.
pub(super) fn bars(
    score: &Score,
    columns: &[MomentColumn<'_>],
    starts: &BTreeMap<usize, MomentColumn<'_>>,
) -> Vec<BarSpacing> {
    let mut bars = Vec::with_capacity(score.bars.len());
    let mut start = 0;
    for (index, bar) in score.bars.iter().enumerate() {
        let count = columns[start..].iter().take_while(|column| column.bar == index).count();
        let range = start..start + count;
        let own = &columns[range.clone()];
        let edges: Vec<Edges> = own.iter().map(|column| column.edges(bar.start)).collect();
        let bar_end = bar.start + score.metre.bar();
        let mut gaps = Vec::with_capacity(count + 1);
        gaps.push(Gap::rigid(before_first(&edges[0])));
        for next in 1..count {
            gaps.push(between(score, bar.start, &own[next - 1..=next], &edges[next - 1..=next]));
        }
        gaps.push(after_last(&own[count - 1], &edges[count - 1], bar_end, columns.get(range.end)));
        keep_past_columns(own, &edges, &mut gaps);
        even_out_thirds(own, &mut gaps);
        let after_prefix = after_prefix(starts.get(&index).unwrap_or(&own[0]));
        let frame = BarFrame::of(score, index);
        gaps[0].min += frame.lead_in;
        if let Some(last) = gaps.last_mut() {
            *last = Gap { min: last.min + frame.trail, ideal: last.ideal + frame.trail };
        }
        let springs = Springs::of(&gaps);
        bars.push(BarSpacing { columns: range, gaps, springs, edges, after_prefix, frame });
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
fn ideal_between(pair: &[MomentColumn<'_>]) -> Sp {
    let duration = pair[1].at - pair[0].at;
    let begun = pair[0].staves.iter().flatten().map(|cell| cell.event.value.ticks());
    match begun.min() {
        Some(shortest) if duration < NoteValue::Eighth.ticks() && duration < shortest => {
            ideal(shortest) * f64::from(duration) / f64::from(shortest)
        }
        _ => ideal(duration),
    }
}

fn before_first(edges: &Edges) -> Sp {
    let left = edges[..2].iter().flatten().map(|own| own.left).fold(0.0, Sp::min);
    let count = edges[COUNT_LAYER].map_or(0.0, |count| rules::WORD_GAP - count.left);
    rules::BARLINE_TO_NOTE.max(rules::BARLINE_TO_ACCIDENTAL - left).max(count)
}

/// The least distance from a prefix to a column: room for the ties that come in to it.
fn after_prefix(first: &MomentColumn<'_>) -> Sp {
    let tied = first.staves.iter().flatten().filter(|cell| cell.event.is_tied_in());
    let least = rules::PREFIX_TO_TIE + rules::SHORTEST_TIE + rules::TIE_TO_HEAD;
    tied.filter_map(|cell| cell.chord()).map(|c| least - c.tied_in_edge()).fold(0.0, Sp::max)
}

/// The gap between two neighbouring columns of a bar.
fn between(score: &Score, bar_start: Ticks, pair: &[MomentColumn<'_>], edges: &[Edges]) -> Gap {
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
fn tie_rod(left: &MomentColumn<'_>, right: &MomentColumn<'_>, hand: Hand) -> Option<Sp> {
    let to = right.cell(hand).filter(|cell| cell.event.is_tied_in())?.chord()?;
    let from = left.cell(hand)?.chord()?;
    let white = 2.0 * rules::TIE_TO_HEAD + rules::SHORTEST_TIE;
    Some(tie::right_edge(from) + white - to.tied_in_edge())
}

/// Widens the gaps of a bar between columns that are neighbours in one layer though others stand
/// between them, and from the last of a layer to the barline: what is missing is shared out by
/// their ideal spaces.
fn keep_past_columns(columns: &[MomentColumn<'_>], edges: &[Edges], gaps: &mut [Gap]) {
    for layer in 0..SYMBOL_LAYER {
        let with: Vec<usize> = (0..edges.len()).filter(|i| edges[*i][layer].is_some()).collect();
        let last = with.last().and_then(|last| Some((*last, edges[*last][layer]?.right)));
        if let Some((last, right)) = last.filter(|(last, _)| last + 1 < edges.len()) {
            let cell = Hand::BOTH.get(layer).and_then(|hand| columns[last].cell(*hand));
            let white = match layer {
                _ if cell.is_some_and(EventCell::is_tied_out) => BROKEN_TIE,
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
fn even_out_thirds(columns: &[MomentColumn<'_>], gaps: &mut [Gap]) {
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
fn optical(left: &MomentColumn<'_>, right: &MomentColumn<'_>, hand: Hand) -> Sp {
    let stem = |column: &MomentColumn<'_>| {
        let chord = column.cell(hand)?.chord()?;
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
fn after_last(
    last: &MomentColumn<'_>,
    edges: &Edges,
    bar_end: Ticks,
    next: Option<&MomentColumn<'_>>,
) -> Gap {
    let right = edges[..2].iter().flatten().map(|own| own.right).fold(0.0, Sp::max);
    let changes = next.map_or(0.0, |next| {
        let widths = next.staves.iter().flatten().filter(|cell| cell.event.at == bar_end);
        widths
            .filter_map(|cell| cell.event.clef_change)
            .map(|clef| change_width(clef) + rules::CLEF_CHANGE_AFTER)
            .fold(0.0, Sp::max)
    });
    let goes_on = last.staves.iter().flatten().any(|cell| cell.is_tied_out());
    let white = if goes_on { BROKEN_TIE } else { rules::NOTE_TO_BARLINE };
    // Symbols and numerals may cross the barline; where the system ends, `placing` sees to them.
    // The thin line of a final barline stands left of where the bar ends.
    let beside_line = rules::WORD_GAP + rules::THIN_BARLINE;
    let counted = edges[COUNT_LAYER].map_or(0.0, |count| count.right + beside_line);
    let min = (right + white + changes).max(counted);
    Gap { min, ideal: ideal(bar_end - last.at) - rules::LESS_BEFORE_BARLINE }
}

/// The least distance between two columns, if they share a layer.
fn rod(left: &Edges, right: &Edges) -> Option<Sp> {
    (0..LAYERS).filter_map(|layer| rod_in(layer, left, right)).max_by(Sp::total_cmp)
}

/// The least distance between two columns in one layer, if both have something in it.
fn rod_in(layer: usize, left: &Edges, right: &Edges) -> Option<Sp> {
    Some(left[layer]?.right + LAYER_GAPS[layer] - right[layer]?.left)
}

impl BarSpacing {
    /// How much more room the bar needs where it stands first in a later system, for ties that
    /// come in to heads left of their stem, and for signs of its own.
    pub(super) fn lead(&self) -> Sp {
        (self.after_prefix - self.frame.to_note).max(0.0) + self.frame.more_at_start
    }

    /// The bar's width at a force.
    pub(super) fn width(&self, force: f64) -> Sp {
        self.gaps.iter().map(|gap| gap.at(force)).sum()
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
