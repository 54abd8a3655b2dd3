//! Key areas: stretches of the path in one key.

use super::costs;
use super::harmonies::Harmonies;
use super::path::{KeyState, TuneGround};
use super::readings::CandidateReading;
use super::spelling::Names;
use super::table::ChordRole;
use crate::chart::{Area, Function, NearKey, Unfolded};
use crate::score::Ticks;

/// The areas of a path.
pub(super) fn areas(
    tune: &Unfolded,
    harmonies: &Harmonies,
    ground: &TuneGround,
    (home, path): (KeyState, &[KeyState]),
    read: &[CandidateReading],
    names: &Names,
) -> Vec<Area> {
    let mut starts: Vec<usize> = (0..path.len())
        .filter(|place| *place == 0 || path[*place].printed() != path[place - 1].printed())
        .collect();
    starts.push(path.len());
    let begins = |place: usize| match harmonies.list.get(place) {
        Some(harmony) => harmony.at,
        None => harmonies.list.last().map_or(0, |last| last.at + last.length),
    };
    let bar = tune.metre.bar();
    let bar_of = |moment: Ticks| (moment.max(0) / bar) as usize;
    let stretches = starts.windows(2).map(|pair| pair[0]..pair[1]);
    let area = |stretch: std::ops::Range<usize>| {
        let [from, until] = [begins(stretch.start), begins(stretch.end)];
        let state = path[stretch.start];
        let at_rest = |place: usize| {
            // A tonic that turns into the ii of what follows is no rest; IV7 makes it none.
            let next = read[harmonies.after(place)].function;
            let goes_on = harmonies.is_two_of_next(place) && next == Function::Dominant;
            read[place].role == ChordRole::Home && !goes_on
        };
        // Where the tune lives its tonic is a rest, whatever it turns into.
        let is_home = |place: usize| state.printed() == home && read[place].role == ChordRole::Home;
        Area {
            from,
            until,
            first_bar: bar_of(from),
            last_bar: bar_of((until - 1).max(from)),
            key: names.key(state),
            is_stayed: stretch.clone().any(|place| at_rest(place) || is_home(place)),
            near: near(ground, path, stretch)
                .map(|(state, by)| NearKey { key: names.key(state), by }),
        }
    };
    let mut areas: Vec<Area> = stretches.map(area).collect();
    // The last looks ahead to the first: where the key is the same, so is its rest.
    if let [first, .., last] = areas.as_mut_slice() {
        last.is_stayed |= first.is_stayed && first.key == last.key;
    }
    areas
}

/// The key around an area, where the area could nearly be read in that.
fn near(
    ground: &TuneGround,
    path: &[KeyState],
    stretch: std::ops::Range<usize>,
) -> Option<(KeyState, f64)> {
    let before = stretch.start.checked_sub(1).map(|place| path[place]);
    let after = path.get(stretch.end).copied();
    let sum = |state: &dyn Fn(usize) -> KeyState| -> f64 {
        stretch.clone().map(|place| ground.costs[place][state(place).index()]).sum()
    };
    let own = path[stretch.clone()].to_vec();
    let inner: f64 = stretch
        .clone()
        .skip(1)
        .map(|place| ground.entering(place, path[place - 1], path[place]))
        .sum();
    let joints = |first: KeyState, last: KeyState| {
        let into = before.map_or(0.0, |from| ground.entering(stretch.start, from, first));
        let out = after.map_or(0.0, |to| ground.entering(stretch.end, last, to));
        into + out
    };
    let first = *own.first()?;
    let last = *own.last()?;
    let is = sum(&|place| path[place]) + inner + joints(first, last);
    let around = [before, after]
        .into_iter()
        .flatten()
        .map(|state| (state, sum(&|_| state) + joints(state, state) - is));
    let best = around.min_by(|one, other| one.1.total_cmp(&other.1))?;
    (best.1 <= costs::NEAR).then_some((best.0, best.1.max(0.0)))
}
