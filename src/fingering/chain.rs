//! Figures: the hand moves to where each begins, and chooses fingers for it by itself, whatever
//! stands beside it, so that what is alike feels alike. Where figures meet, one of them yields if
//! they would meet in one finger on two keys, or in fingers that cross.

use std::collections::{BTreeMap, BTreeSet};

use super::dyads::unite_dyads;
use super::figure::{Figure, SAME_FINGER, Way};
use super::grips::{Grip, NO_GRIP};
use super::line::Moment;
use super::rules::{Cost, PER_POINT, Rules};

/// Rounds in which kinds of figures settle beside one another.
const ROUNDS: usize = 4;
/// Ours: a figure with other fingers than those that are struck alike: less than fingers that meet
/// crossed, which is the one reason for it.
const UNLIKE: Cost = PER_POINT;

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
    let mut chosen = choose(&found);
    loop {
        // The thumb passes for no likeness's sake, unless one finger would come twice.
        let free = least_costly(&found, &BTreeMap::new());
        let meets_badly = |first: &usize| {
            meeting(&found, *first, &free) > 0 || meeting(&found, *first, &chosen) >= SAME_FINGER
        };
        let badly: Vec<usize> = (0..found.len()).filter(meets_badly).collect();
        if !let_thumbs_pass(rules, &mut found, &badly) {
            break;
        }
        chosen = choose(&found);
    }
    let mut wanted = vec![NO_GRIP; moments.len()];
    for (figure, way) in found.iter().zip(&chosen) {
        let Some((fingers, _)) = figure.ways.get(*way) else { continue };
        wanted[figure.from..figure.from + fingers.len()].copy_from_slice(fingers);
    }
    (wanted, moves)
}

/// For each figure, which of its ways: figures that are alike take the same one, which serves all of
/// them best where they stand.
fn choose(figures: &[Figure<'_>]) -> Vec<usize> {
    let mut kinds: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (place, figure) in figures.iter().enumerate() {
        kinds.entry(figure.kind).or_default().push(place);
    }
    kinds.retain(|_, places| places.len() > 1);
    let mut chosen = least_costly(figures, &BTreeMap::new());
    // From what the first of each kind has by itself, kinds settle beside one another.
    for places in kinds.values() {
        places.iter().for_each(|place| chosen[*place] = chosen[places[0]]);
    }
    for _ in 0..ROUNDS {
        let before = chosen.clone();
        for places in kinds.values() {
            let meetings = meetings(places);
            let cost = |way: &usize| {
                places.iter().for_each(|place| chosen[*place] = *way);
                around(figures, places, &meetings, &chosen)
            };
            let ways = 0..figures[places[0]].ways.len();
            let Some(best) = ways.min_by_key(cost) else { continue };
            places.iter().for_each(|place| chosen[*place] = best);
        }
        if chosen == before {
            break;
        }
    }
    let of_kinds = kinds.values().flatten().map(|place| (*place, chosen[*place])).collect();
    least_costly(figures, &of_kinds)
}

/// The places of figures that meet the next one, where one of the two is at one of `places`.
fn meetings(places: &[usize]) -> Vec<usize> {
    let mut meetings = places.to_vec();
    meetings.extend(places.iter().filter_map(|place| place.checked_sub(1)));
    meetings.sort_unstable();
    meetings.dedup();
    meetings
}

/// What figures at some places cost, and how they meet their neighbours.
fn around(figures: &[Figure<'_>], places: &[usize], meetings: &[usize], ways: &[usize]) -> Cost {
    let own = |place: &usize| figures[*place].ways.get(ways[*place]).map_or(0, |way| way.1);
    let meeting = |first: &usize| meeting(figures, *first, ways);
    places.iter().map(own).sum::<Cost>() + meetings.iter().map(meeting).sum::<Cost>()
}

/// What it costs that the figure at a place meets the next one, where they meet.
fn meeting(figures: &[Figure<'_>], first: usize, ways: &[usize]) -> Cost {
    let Some(next) = figures.get(first + 1) else { return 0 };
    let [one, other] = [(&figures[first], ways[first]), (next, ways[first + 1])]
        .map(|(figure, way)| figure.ways.get(way));
    match one.zip(other) {
        Some((one, other)) if figures[first].leads_to(next) => {
            figures[first].meeting(one, next, other)
        }
        _ => 0,
    }
}

/// The least costly choice for each figure: its best way, or the next best where it would meet the
/// one before badly; another than that `of_kinds`, by place, only where fingers would cross
/// or one would come twice.
fn least_costly(figures: &[Figure<'_>], of_kinds: &BTreeMap<usize, usize>) -> Vec<usize> {
    // The cost of reaching each way of a figure, and the way of the figure before.
    let mut so_far: Vec<Vec<(Cost, usize)>> = Vec::with_capacity(figures.len());
    for (index, figure) in figures.iter().enumerate() {
        let before = index.checked_sub(1).map(|before| (&figures[before], &so_far[before]));
        let reach = |(place, way): (usize, &Way)| {
            // What differs from its kind does so for the sake of its neighbours, never to be easier.
            let own = match of_kinds.get(&index) {
                Some(wanted) if *wanted != place => way.1.max(figure.ways[*wanted].1) + UNLIKE,
                _ => way.1,
            };
            let Some((before, costs)) = before else { return (own, 0) };
            let meets = before.leads_to(figure);
            let reached = before.ways.iter().zip(costs).map(|(other, (cost, _))| {
                cost + if meets { before.meeting(other, figure, way) } else { 0 }
            });
            let least = reached.enumerate().min_by_key(|(_, cost)| *cost);
            least.map_or((own, 0), |(from, cost)| (cost + own, from))
        };
        so_far.push(figure.ways.iter().enumerate().map(reach).collect());
    }
    let mut ways = vec![0; figures.len()];
    let mut follows = None;
    for (place, costs) in so_far.iter().enumerate().rev() {
        let ends = costs.iter().enumerate().min_by_key(|(_, (cost, _))| *cost);
        let end = ends.map(|(way, _)| way);
        let Some(way) = follows.or(end) else { continue };
        ways[place] = way;
        let leads = place > 0 && !so_far[place - 1].is_empty();
        follows = leads.then(|| costs[way].1);
    }
    ways
}

/// Lets the thumb pass in figures that meet the next one `badly`, by place, in those next ones, and in those which are like them; whether there
/// are any that it could not pass in before.
fn let_thumbs_pass(rules: &Rules, figures: &mut [Figure<'_>], badly: &[usize]) -> bool {
    let kinds: BTreeSet<usize> = badly
        .iter()
        .flat_map(|first| [*first, first + 1])
        .map(|place| figures[place].kind)
        .collect();
    let mut changes = false;
    for figure in figures.iter_mut().filter(|figure| kinds.contains(&figure.kind)) {
        changes |= figure.let_thumb_pass(rules);
    }
    changes
}
