//! The choice of one candidate for each place of a line.

use super::ground::Candidate;
use super::path::{chance, cheapest};

/// The candidates, one for each place, that cost least together; `cost(place, before, last, own)` is
/// told the two that stand before it. Chance, from a seed, adds up to so much to each, so that lines
/// differ. `None` where no way is left.
pub(super) fn chosen(
    candidates: &[&[Candidate]],
    (seed, most_chance): (u64, f64),
    cost: impl Fn(usize, Option<Candidate>, Option<Candidate>, Candidate) -> f64,
) -> Option<Vec<Candidate>> {
    let counts: Vec<usize> = candidates.iter().map(|own| own.len()).collect();
    let way = cheapest(&counts, |place, before, last, own| {
        let before = before.map(|index| candidates[place - 2][index]);
        let last = last.map(|index| candidates[place - 1][index]);
        let own = candidates[place][own];
        cost(place, before, last, own) + most_chance * chance(seed, place, own.interval.semitones)
    })?;
    Some(candidates.iter().zip(way).map(|(own, index)| own[index]).collect())
}
