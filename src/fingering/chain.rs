//! Figures: the hand moves to where each begins, and chooses fingers for it by itself, whatever
//! stands beside it, so that what is alike feels alike. Where figures meet, one of them yields if
//! they would meet in one finger on two keys, or in fingers that cross.

use super::dyads::unite_dyads;
use super::figure::{Figure, Way};
use super::grips::{Grip, NO_GRIP};
use super::line::Moment;
use super::rules::{Cost, Rules};

/// Chooses the fingers of figures; `figures` says of each struck note or chord of the line whether
/// one begins there. Gives the fingers of each moment, none where nothing could be chosen, and
/// whether the hand moves to it.
pub(super) fn choose_figures(
    rules: &Rules,
    moments: &[Moment],
    figures: &[bool],
) -> (Vec<Grip>, Vec<bool>) {
    let begins = |moment: &Moment| figures.get(moment.index).copied().unwrap_or(false);
    let has_figures = moments.iter().any(begins);
    let mut moves = vec![false; moments.len()];
    let mut found: Vec<Figure<'_>> = Vec::new();
    let mut from = 0;
    while from < moments.len() {
        let rest = &moments[from + 1..];
        let end = rest.iter().position(begins).map_or(moments.len(), |next| from + 1 + next);
        moves[from] = from > 0;
        let own = &moments[from..end];
        found.push(Figure::new(rules, own, from, &found, has_figures));
        from = end;
    }
    unite_dyads(rules, &mut found);
    let mut wanted = vec![NO_GRIP; moments.len()];
    for chain in found.chunk_by_mut(|before, after| before.leads_to(after)) {
        let mut chosen = least_costly(chain);
        while let_thumbs_pass(rules, chain, &chosen) {
            chosen = least_costly(chain);
        }
        for (figure, way) in chain.iter().zip(&chosen) {
            let Some((fingers, _)) = figure.ways.get(*way) else { continue };
            wanted[figure.from..figure.from + fingers.len()].copy_from_slice(fingers);
        }
    }
    (wanted, moves)
}

/// The least costly choice for figures that follow one another at once: for each, which of its
/// ways. It takes its best, the next best where they would meet the last ones badly.
fn least_costly(chain: &[Figure<'_>]) -> Vec<usize> {
    // The cost of reaching each way of a figure, and the way of the figure before.
    let mut so_far: Vec<Vec<(Cost, usize)>> = Vec::with_capacity(chain.len());
    for (index, figure) in chain.iter().enumerate() {
        let reach = |way: &Way| {
            let Some((before, costs)) = index.checked_sub(1).map(|i| (&chain[i], &so_far[i]))
            else {
                return (way.1, 0);
            };
            let reached = before
                .ways
                .iter()
                .zip(costs)
                .map(|(other, (cost, _))| cost + before.meeting(other, figure, way));
            let least = reached.enumerate().min_by_key(|(_, cost)| *cost);
            least.map_or((way.1, 0), |(from, cost)| (cost + way.1, from))
        };
        so_far.push(figure.ways.iter().map(reach).collect());
    }
    let ends = so_far.last().into_iter().flatten().enumerate();
    let mut way = ends.min_by_key(|(_, (cost, _))| *cost).map_or(0, |(way, _)| way);
    let mut ways = vec![0; chain.len()];
    for (place, costs) in so_far.iter().enumerate().rev() {
        ways[place] = way;
        way = costs.get(way).map_or(0, |(_, from)| *from);
    }
    ways
}

/// Lets the thumb pass in figures that meet badly; whether there are any that it could not pass in
/// before.
fn let_thumbs_pass(rules: &Rules, chain: &mut [Figure<'_>], ways: &[usize]) -> bool {
    let meets_badly = |first: &usize| {
        let [before, after] = [*first, first + 1].map(|place| (&chain[place], ways[place]));
        let [one, other] = [before, after].map(|(figure, way)| figure.ways.get(way));
        one.zip(other).is_some_and(|(one, other)| before.0.meeting(one, after.0, other) > 0)
    };
    let badly: Vec<usize> = (0..chain.len().saturating_sub(1)).filter(meets_badly).collect();
    let mut changes = false;
    for figure in badly.into_iter().flat_map(|first| [first, first + 1]) {
        changes |= chain[figure].let_thumb_pass(rules);
    }
    changes
}
