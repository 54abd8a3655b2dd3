//! The least costly way through places that each have several candidates.

/// The candidates, one for each place by index, that cost least together, where the cost of each
/// may depend on the two before it. Of ways that cost the same the one with lower indices is taken.
///
/// `cost(place, before, last, candidate)` is told indices of candidates at `place - 2`, `place - 1`
/// and `place`; infinite where they may not follow one another, and never below nothing. `None`
/// where no way is left.
pub(super) fn cheapest(
    counts: &[usize],
    cost: impl Fn(usize, Option<usize>, Option<usize>, usize) -> f64,
) -> Option<Vec<usize>> {
    let [first, rest @ ..] = counts else { return Some(Vec::new()) };
    let Some((second, later)) = rest.split_first() else {
        let own = (0..*first).map(|one| (cost(0, None, None, one), one));
        let (least, one) = own.min_by(|a, b| a.0.total_cmp(&b.0))?;
        return least.is_finite().then(|| vec![one]);
    };
    // What the cheapest way to each pair of neighbours costs, by last but one and last.
    let mut costs: Vec<Vec<f64>> = (0..*first)
        .map(|one| {
            let start = cost(0, None, None, one);
            (0..*second).map(|other| start + cost(1, None, Some(one), other)).collect()
        })
        .collect();
    // For each later place, which candidate stood two places before each pair.
    let mut from: Vec<Vec<Vec<usize>>> = Vec::with_capacity(later.len());
    for (index, count) in later.iter().enumerate() {
        let place = index + 2;
        let lasts = counts[place - 1];
        let mut next = vec![vec![f64::INFINITY; *count]; lasts];
        let mut back = vec![vec![0; *count]; lasts];
        for last in 0..lasts {
            // The cheapest ways first: no later one is worth a look once it costs more by itself.
            let open = costs.iter().enumerate().filter(|(_, own)| own[last].is_finite());
            let mut befores: Vec<(f64, usize)> =
                open.map(|(before, own)| (own[last], before)).collect();
            befores.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            for candidate in 0..*count {
                let (least, chosen) = (&mut next[last][candidate], &mut back[last][candidate]);
                for &(so_far, before) in &befores {
                    if so_far > *least {
                        break;
                    }
                    let whole = so_far + cost(place, Some(before), Some(last), candidate);
                    if whole < *least || whole == *least && before < *chosen {
                        (*least, *chosen) = (whole, before);
                    }
                }
            }
        }
        costs = next;
        from.push(back);
    }
    let pairs = costs.iter().enumerate().flat_map(|(before, own)| {
        own.iter().enumerate().map(move |(last, cost)| (*cost, before, last))
    });
    let (least, mut before, mut last) = pairs.min_by(|a, b| a.0.total_cmp(&b.0))?;
    if !least.is_finite() {
        return None;
    }
    let mut way = vec![last, before];
    for back in from.iter().rev() {
        let earlier = back[before][last];
        way.push(earlier);
        (before, last) = (earlier, before);
    }
    way.reverse();
    Some(way)
}

/// A number from 0 to 1 that looks like chance and is the same each time, from a seed, a place and
/// a candidate (splitmix64, Steele, Lea & Flood 2014, from memory).
pub(crate) fn chance(seed: u64, place: usize, candidate: i32) -> f64 {
    let mut x = seed
        .wrapping_mul(0x9e37_79b9_7f4a_7c15)
        .wrapping_add(place as u64)
        .wrapping_mul(0xbf58_476d_1ce4_e5b9)
        .wrapping_add(i64::from(candidate) as u64);
    x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    x ^= x >> 31;
    (x >> 11) as f64 / (1_u64 << 53) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against every way there is, for small tables of costs.
    #[test]
    fn no_other_way_costs_less() {
        for seed in 0..40 {
            for counts in [vec![3], vec![2, 3], vec![3, 2, 4], vec![2, 3, 3, 2, 3]] {
                let cost =
                    |place: usize, before: Option<usize>, last: Option<usize>, own: usize| {
                        let before = before.map_or(9, |before| before as i32);
                        let last = last.map_or(9, |last| last as i32);
                        let cost = chance(seed, place, 100 * before + 10 * last + own as i32);
                        if cost > 0.9 { f64::INFINITY } else { cost }
                    };
                let whole = |way: &[usize]| -> f64 {
                    let each = way.iter().enumerate().map(|(place, own)| {
                        let at = |back: usize| place.checked_sub(back).map(|place| way[place]);
                        cost(place, at(2), at(1), *own)
                    });
                    each.sum()
                };
                let mut ways: Vec<Vec<usize>> = vec![Vec::new()];
                for count in &counts {
                    let longer = |way: &Vec<usize>| -> Vec<Vec<usize>> {
                        (0..*count).map(|own| [&way[..], &[own]].concat()).collect()
                    };
                    ways = ways.iter().flat_map(longer).collect();
                }
                let least = ways.iter().map(|way| whole(way)).fold(f64::INFINITY, f64::min);
                match cheapest(&counts, cost) {
                    Some(way) => assert!((whole(&way) - least).abs() < 1e-9, "{counts:?}"),
                    None => assert!(least.is_infinite(), "{counts:?}"),
                }
            }
        }
    }
}
