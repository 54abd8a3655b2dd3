//! Figures in a chain: the hand moves to where each begins, and what is alike feels alike. Each has
//! a few ways to be fingered; over the whole line one of them is chosen for each, so that figures
//! which are struck alike have the same way, unless its neighbours need another: one finger on two
//! keys, or fingers that cross, where they meet.

use std::collections::{BTreeMap, BTreeSet};

use super::dyads::unite_dyads;
use super::figure::HandFigure;
use super::grips::{Grip, GripWay, NO_GRIP};
use super::join::{BAD, Meeting, beginning, beside, ending, late_cross, meeting};
use super::line::{Moment, NONE};
use super::rules::{Cost, FINGERS, PER_POINT, Rules};

/// Rounds in which figures that are alike settle on a way.
const ROUNDS: usize = 4;
/// Ours: a figure with other fingers than those that are struck alike: less than fingers that meet
/// crossed, which is the one reason for it.
const UNLIKE: Cost = 6 * PER_POINT;

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
    let mut found: Vec<HandFigure<'_>> = Vec::new();
    let mut from = 0;
    while from < moments.len() {
        let rest = &moments[from + 1..];
        let end = rest.iter().position(begins).map_or(moments.len(), |next| from + 1 + next);
        moves[from] = from > 0;
        let own = &moments[from..end];
        found.push(HandFigure::new(rules, own, from, &found, has_figures));
        from = end;
    }
    unite_dyads(rules, &mut found);
    let mut chain = Chain::new(rules, &found);
    let mut chosen = chain.choose();
    loop {
        let badly = chain.crossed(&chosen);
        if !let_thumbs_pass(rules, &mut found, &badly) {
            break;
        }
        chain = Chain::new(rules, &found);
        chosen = chain.choose();
    }
    let mut wanted = vec![NO_GRIP; moments.len()];
    for (figure, way) in found.iter().zip(&chosen) {
        let Some((fingers, _)) = figure.ways.get(*way) else { continue };
        wanted[figure.from..figure.from + fingers.len()].copy_from_slice(fingers);
    }
    (wanted, moves)
}

/// Lets the thumb pass in figures at some places, and in those which are like them; whether there
/// are any that it could not pass in before.
fn let_thumbs_pass(rules: &Rules, figures: &mut [HandFigure<'_>], places: &[usize]) -> bool {
    let kinds: BTreeSet<usize> = places.iter().map(|place| figures[*place].kind).collect();
    let mut changes = false;
    for figure in figures.iter_mut().filter(|figure| kinds.contains(&figure.kind)) {
        changes |= figure.let_thumb_pass(rules);
    }
    changes
}

/// A way of a figure as its neighbours see it.
#[derive(Clone, Copy, Debug)]
struct FigureLink {
    /// Its cost where it stands, and what of it is for its ends.
    cost: Cost,
    ending: Cost,
    first: usize,
    last: usize,
}

/// What is to be chosen: figures by the ends of their ways, and how they meet.
struct Chain {
    kinds: Vec<usize>,
    /// Whether each is more than a note: a note by itself has the finger that its neighbours leave.
    are_figures: Vec<bool>,
    links: Vec<Vec<FigureLink>>,
    /// How each figure meets the next one.
    meetings: Vec<Option<Meeting>>,
}

impl Chain {
    fn new(rules: &Rules, figures: &[HandFigure<'_>]) -> Self {
        let finger = |grip: &Grip| if grip[0] == NONE { 0 } else { usize::from(grip[0]) };
        let links = figures.iter().enumerate().map(|(place, figure)| {
            let next = &figures[place + 1..];
            let before = place.checked_sub(1).map(|before| &figures[before]);
            let link = |(fingers, cost): &GripWay| {
                let ending = ending(rules, figure, fingers, next.first())
                    + beginning(figure, fingers, before);
                let [first, last] = [0, fingers.len() - 1].map(|at| finger(&fingers[at]));
                let beside = beside(figure, fingers, [before, next.first()]);
                let cost = cost + ending + beside + late_cross(figure, fingers, next);
                FigureLink { cost, ending, first, last }
            };
            figure.ways.iter().map(link).collect()
        });
        Self {
            kinds: figures.iter().map(|figure| figure.kind).collect(),
            are_figures: figures.iter().map(|figure| figure.moments.len() > 1).collect(),
            links: links.collect(),
            meetings: figures.windows(2).map(|pair| meeting(rules, &pair[0], &pair[1])).collect(),
        }
    }

    /// For each figure, which of its ways. Figures that are alike begin with what most of them would
    /// have if none had to be like another, and settle beside the others on the way that serves
    /// all best.
    fn choose(&self) -> Vec<usize> {
        let mut counts: BTreeMap<usize, usize> = BTreeMap::new();
        self.kinds.iter().for_each(|kind| *counts.entry(*kind).or_default() += 1);
        counts.retain(|kind, count| *count > 1 && self.are_figures[*kind]);
        let (free, _) = self.least_costly(&BTreeMap::new());
        let mut usual = self.usual(&counts, &free);
        let mut best = self.least_costly(&usual);
        for _ in 0..ROUNDS {
            let before = best.1;
            for kind in counts.keys() {
                for way in self.ways_in_use(*kind, &best.0) {
                    let own = usual.insert(*kind, way);
                    let other = self.least_costly(&usual);
                    if other.1 < best.1 {
                        best = other;
                    } else if let Some(own) = own {
                        usual.insert(*kind, own);
                    }
                }
            }
            if best.1 == before {
                break;
            }
        }
        let mut chosen = best.0;
        self.remember(&counts, &mut chosen);
        chosen
    }

    /// Gives figures the way that the first of their kind has, where that meets no neighbour worse
    /// than their own; notes by themselves beside them yield.
    fn remember(&self, counts: &BTreeMap<usize, usize>, chosen: &mut [usize]) {
        for place in 0..chosen.len() {
            let kind = self.kinds[place];
            let (own, first) = (chosen[place], chosen[kind]);
            if own == first || !counts.contains_key(&kind) {
                continue;
            }
            let before = self.around(place, chosen);
            let kept = chosen.to_vec();
            chosen[place] = first;
            self.let_notes_yield(place, chosen);
            if self.around(place, chosen) >= before + BAD {
                chosen.copy_from_slice(&kept);
            }
        }
    }

    /// Gives notes by themselves beside a figure the fingers that suit it best.
    fn let_notes_yield(&self, place: usize, chosen: &mut [usize]) {
        for near in [place.checked_sub(1), Some(place + 1)].into_iter().flatten() {
            if self.are_figures.get(near) != Some(&false) || self.links[near].is_empty() {
                continue;
            }
            let mut best = (Cost::MAX, 0);
            for (way, link) in self.links[near].iter().enumerate() {
                chosen[near] = way;
                let before = near.checked_sub(1).map_or(0, |before| self.meeting(before, chosen));
                best = best.min((link.cost + before + self.meeting(near, chosen), way));
            }
            chosen[near] = best.1;
        }
    }

    /// What it costs that the figure at a place ends as it does, and how it and its neighbours meet
    /// what stands beside them.
    fn around(&self, place: usize, chosen: &[usize]) -> Cost {
        let meetings = (place.saturating_sub(2)..=place + 1).map(|at| self.meeting(at, chosen));
        let ending = self.link(place, chosen).map_or(0, |link| link.ending);
        meetings.sum::<Cost>() + ending
    }

    fn link(&self, place: usize, chosen: &[usize]) -> Option<&FigureLink> {
        self.links.get(place)?.get(*chosen.get(place)?)
    }

    /// What it costs that the figure at a place meets the next one.
    fn meeting(&self, place: usize, chosen: &[usize]) -> Cost {
        let ends = self.link(place, chosen).zip(self.link(place + 1, chosen));
        let costs = self.meetings.get(place).copied().flatten();
        ends.zip(costs).map_or(0, |((one, other), costs)| costs[one.last][other.first])
    }

    /// The ways that figures of a kind have, where they have several.
    fn ways_in_use(&self, kind: usize, chosen: &[usize]) -> BTreeSet<usize> {
        let of_kind = self.kinds.iter().zip(chosen).filter(|(other, _)| **other == kind);
        let ways: BTreeSet<usize> = of_kind.map(|(_, way)| *way).collect();
        if ways.len() > 1 { ways } else { BTreeSet::new() }
    }

    /// For each kind that comes again the way that most of its figures have, the best of those.
    fn usual(&self, counts: &BTreeMap<usize, usize>, chosen: &[usize]) -> BTreeMap<usize, usize> {
        let most = |kind: &usize| {
            let mut votes = vec![0_usize; self.links[*kind].len()];
            for (_, way) in self.kinds.iter().zip(chosen).filter(|(other, _)| *other == kind) {
                if let Some(vote) = votes.get_mut(*way) {
                    *vote += 1;
                }
            }
            let most = (0..votes.len()).rev().max_by_key(|way| votes[*way]);
            (*kind, most.unwrap_or(0))
        };
        counts.keys().map(most).collect()
    }

    /// The least costly choice, and its cost; another way than is `usual` for a kind costs something,
    /// and is never taken to be easier.
    fn least_costly(&self, usual: &BTreeMap<usize, usize>) -> (Vec<usize>, Cost) {
        // By figure and finger that it ends with: the least cost so far, the way, and the finger
        // that the figure before ended with.
        let mut so_far: Vec<[(Cost, usize, usize); FINGERS]> = Vec::with_capacity(self.kinds.len());
        for (place, links) in self.links.iter().enumerate() {
            let mut reached = [(0, 0); FINGERS];
            if let Some(before) = place.checked_sub(1) {
                for (first, reached) in reached.iter_mut().enumerate() {
                    let meeting = self.meetings[before].as_ref();
                    let cost = |last: usize| {
                        so_far[before][last].0.saturating_add(meeting.map_or(0, |m| m[last][first]))
                    };
                    let best = (0..FINGERS).min_by_key(|last| cost(*last)).unwrap_or(0);
                    *reached = (cost(best), best);
                }
            }
            let mut ends = [(Cost::MAX, 0, 0); FINGERS];
            if links.is_empty() {
                ends[0] = (reached[0].0, 0, reached[0].1);
            }
            let wanted =
                usual.get(&self.kinds[place]).and_then(|way| Some((*way, links.get(*way)?)));
            for (way, link) in links.iter().enumerate() {
                let own = match wanted {
                    Some((usual, other)) if usual != way => link.cost.max(other.cost) + UNLIKE,
                    _ => link.cost,
                };
                let (before, from) = reached[link.first];
                let cost = before.saturating_add(own);
                if cost < ends[link.last].0 {
                    ends[link.last] = (cost, way, from);
                }
            }
            so_far.push(ends);
        }
        let mut ways = vec![0; self.kinds.len()];
        let Some(end) = so_far.last() else { return (ways, 0) };
        let mut finger = (0..FINGERS).min_by_key(|finger| end[*finger].0).unwrap_or(0);
        let least = end[finger].0;
        for (way, ends) in ways.iter_mut().zip(&so_far).rev() {
            (*way, finger) = (ends[finger].1, ends[finger].2);
        }
        (ways, least)
    }

    /// The figures that meet a neighbour crossed, or in one finger on two keys, and those beside them,
    /// on which it may hang how they meet.
    fn crossed(&self, chosen: &[usize]) -> Vec<usize> {
        let is_crossed = |before: &usize| self.meeting(*before, chosen) >= BAD;
        let before = (0..self.meetings.len()).filter(is_crossed);
        let last = self.kinds.len().saturating_sub(1);
        before.flat_map(|before| before.saturating_sub(1)..=(before + 2).min(last)).collect()
    }
}
