//! The least costly way through places that each have several candidates.

/// The candidates, one for each place by index, that cost least together. Of ways that cost the same
/// the one with lower indices is taken.
///
/// `pair(place, last, candidate)` is what a candidate costs after the one before it, and
/// `turn(place, before, last, candidate)` what it costs more after the two before it; they are told
/// indices of candidates at `place - 2`, `place - 1` and `place`. Both are infinite where those may
/// not follow one another, and never below nothing, but that a pair may be. `None` where no way is
/// left.
pub(super) fn cheapest(
    counts: &[usize],
    pair: impl Fn(usize, Option<usize>, usize) -> f64,
    turn: impl Fn(usize, usize, usize, usize) -> f64,
) -> Option<Vec<usize>> {
    let [first, rest @ ..] = counts else { return Some(Vec::new()) };
    let Some((second, later)) = rest.split_first() else {
        let own = (0..*first).map(|one| (pair(0, None, one), one));
        let (least, one) = own.min_by(|a, b| a.0.total_cmp(&b.0))?;
        return least.is_finite().then(|| vec![one]);
    };
    // What the cheapest way to each pair of neighbours costs, by last but one and last.
    let mut costs: Vec<f64> = Vec::with_capacity(first * second);
    for one in 0..*first {
        let start = pair(0, None, one);
        costs.extend((0..*second).map(|other| start + pair(1, Some(one), other)));
    }
    // For each later place, which candidate stood two places before each pair.
    let mut from: Vec<Vec<usize>> = Vec::with_capacity(later.len());
    let mut befores: Vec<(f64, usize)> = Vec::new();
    for (index, count) in later.iter().enumerate() {
        let place = index + 2;
        let lasts = counts[place - 1];
        let mut next = vec![f64::INFINITY; lasts * count];
        let mut back = vec![0; lasts * count];
        for last in 0..lasts {
            // The cheapest ways first: no later one is worth a look once it costs more with this
            // pair alone.
            let open = costs.chunks_exact(lasts).enumerate();
            befores.clear();
            befores.extend(
                open.map(|(before, own)| (own[last], before)).filter(|it| it.0.is_finite()),
            );
            befores.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            if befores.is_empty() {
                continue;
            }
            for candidate in 0..*count {
                let joined = pair(place, Some(last), candidate);
                if !joined.is_finite() {
                    continue;
                }
                let (mut least, mut chosen) = (f64::INFINITY, 0);
                for &(so_far, before) in &befores {
                    if so_far + joined > least {
                        break;
                    }
                    let whole = so_far + joined + turn(place, before, last, candidate);
                    if whole < least || whole == least && before < chosen {
                        (least, chosen) = (whole, before);
                    }
                }
                next[last * count + candidate] = least;
                back[last * count + candidate] = chosen;
            }
        }
        costs = next;
        from.push(back);
    }
    let lasts = counts[counts.len() - 1];
    let ends = costs.iter().enumerate().map(|(index, cost)| (*cost, index));
    let (least, end) = ends.min_by(|a, b| a.0.total_cmp(&b.0))?;
    if !least.is_finite() {
        return None;
    }
    let (mut before, mut last) = (end / lasts, end % lasts);
    let mut way = vec![last, before];
    for (back, count) in from.iter().zip(later).rev() {
        let earlier = back[before * count + last];
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
                let drawn = |place: usize, [before, last, own]: [usize; 3]| {
                    let word = (100 * before + 10 * last + own) as i32;
                    let cost = chance(seed, place, word);
                    if cost > 0.9 { f64::INFINITY } else { cost }
                };
                let pair = |place: usize, last: Option<usize>, own: usize| {
                    drawn(place, [9, last.unwrap_or(9), own]) - 0.1
                };
                let turn = |place: usize, before, last, own| drawn(place, [before, last, own]);
                let whole = |way: &[usize]| -> f64 {
                    let each = way.iter().enumerate().map(|(place, own)| {
                        let at = |back: usize| place.checked_sub(back).map(|place| way[place]);
                        let joined = pair(place, at(1), *own);
                        let turned = at(2).zip(at(1)).map(|it| turn(place, it.0, it.1, *own));
                        joined + turned.unwrap_or(0.0)
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
                match cheapest(&counts, pair, turn) {
                    Some(way) => assert!((whole(&way) - least).abs() < 1e-9, "{counts:?}"),
                    None => assert!(least.is_infinite(), "{counts:?}"),
                }
            }
        }
    }
}
