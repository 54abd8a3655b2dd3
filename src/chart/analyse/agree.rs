//! One key a written bar: a part that is heard several times is read in the key that it has most
//! often, since it is printed once.

use std::collections::BTreeMap;

use super::harmonies::Harmonies;
use super::path::KeyState;
use crate::chart::Unfolded;

/// A path on which what is written once has one key: that of most of its hearings, of equal ones the
/// first. Harmonies that share a written chord go together, also where one was joined to what comes
/// next.
pub(super) fn agreed(tune: &Unfolded, harmonies: &Harmonies, path: Vec<KeyState>) -> Vec<KeyState> {
    let groups = groups(tune, harmonies);
    let mut votes: BTreeMap<usize, Vec<(KeyState, usize)>> = BTreeMap::new();
    for (state, group) in path.iter().zip(&groups) {
        let own = votes.entry(*group).or_default();
        match own.iter_mut().find(|(known, _)| known == state) {
            Some((_, count)) => *count += 1,
            None => own.push((*state, 1)),
        }
    }
    let winner = |group: &usize| {
        let own = &votes[group];
        let most = own.iter().map(|(_, count)| *count).max().unwrap_or(0);
        own.iter().find(|(_, count)| *count == most).map(|(state, _)| *state)
    };
    path.iter().zip(&groups).map(|(state, group)| winner(group).unwrap_or(*state)).collect()
}

/// The group of each harmony, by its first.
fn groups(tune: &Unfolded, harmonies: &Harmonies) -> Vec<usize> {
    let mut groups: Vec<usize> = (0..harmonies.list.len()).collect();
    let mut known: BTreeMap<usize, usize> = BTreeMap::new();
    for place in 0..harmonies.list.len() {
        for heard in harmonies.list[place].chords.clone() {
            let written = tune.changes[harmonies.heard[heard].change].written;
            let other = *known.entry(written).or_insert(place);
            let [one, other] = [first(&groups, place), first(&groups, other)];
            groups[one.max(other)] = one.min(other);
        }
    }
    (0..groups.len()).map(|place| first(&groups, place)).collect()
}

/// The first of the group of a harmony.
fn first(groups: &[usize], mut place: usize) -> usize {
    while groups[place] != place {
        place = groups[place];
    }
    place
}
