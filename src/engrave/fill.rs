//! Filling a page: where its systems stand.

use crate::engrave::System;
use crate::engrave::rules::{SYSTEM_CLEARANCE, Sp};

/// How far the white between the inks of neighbouring systems may grow, in staff spaces, before
/// the rest is left at the foot (ours; tables of engraving practice give up to 40 % of the
/// distance of the staves, which leaves the foot of a three-system page bare).
const MOST_WHITE: Sp = 16.0;

/// What of the height left over goes above the first system and below the last, as shares of an
/// even part of it, and at most how much (ours: the foot is no part of the music).
const ABOVE: (f64, Sp) = (0.3, 1.5);
const BELOW: (f64, Sp) = (0.6, 4.0);

/// The least height of a pile of systems of these heights.
pub(crate) fn least_height(heights: &[Sp]) -> Sp {
    let between = heights.len().saturating_sub(1) as Sp * SYSTEM_CLEARANCE;
    heights.iter().sum::<Sp>() + between
}

/// How many systems of these heights stand in each room, so that the rooms are as evenly full as
/// can be; `None` where they do not fit.
pub(crate) fn split(systems: &[Sp], rooms: &[Sp]) -> Option<Vec<usize>> {
    match rooms {
        [room] => (share(systems, *room) <= 1.0).then(|| vec![systems.len()]),
        [first, second] => (1..systems.len())
            .filter_map(|count| {
                let (one, other) = systems.split_at(count);
                let shares = [share(one, *first), share(other, *second)];
                let uneven = (shares[0] - shares[1]).abs();
                let fits = shares.iter().all(|share| *share <= 1.0);
                fits.then_some((uneven, [count, other.len()]))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, counts)| counts.to_vec()),
        _ => None,
    }
}

/// The share of a room that systems of these heights fill; over 1 where they do not fit.
fn share(systems: &[Sp], room: Sp) -> f64 {
    least_height(systems) / room
}

/// The share of the fuller room that systems of these heights fill where they are split as well
/// as can be.
pub(crate) fn fullest(systems: &[Sp], rooms: &[Sp]) -> f64 {
    match rooms {
        [room] => share(systems, *room),
        [first, second] => (1..systems.len())
            .map(|count| {
                let (one, other) = systems.split_at(count);
                share(one, *first).max(share(other, *second))
            })
            .fold(f64::INFINITY, f64::min),
        _ => f64::INFINITY,
    }
}

/// The height of each system, from ink to ink.
pub(crate) fn heights(systems: &[System]) -> Vec<Sp> {
    systems.iter().map(|system| system.top - system.bottom).collect()
}

/// How far below the top of the room each system's origin stands, or `None` where the systems
/// are higher than the room. What height is left over goes between the systems, so that the
/// white between their inks is the same everywhere.
pub(crate) fn origins(systems: &[System], room: Sp) -> Option<Vec<Sp>> {
    let left = room - least_height(&heights(systems));
    if left < 0.0 {
        return None;
    }
    let part = |(share, most): (f64, Sp)| (share * left / systems.len() as f64).min(most);
    let (above, below) = (part(ABOVE), part(BELOW));
    let gaps = systems.len().saturating_sub(1).max(1) as Sp;
    let white = (SYSTEM_CLEARANCE + (left - above - below) / gaps).min(MOST_WHITE);
    let mut at = systems.first().map_or(0.0, |system| system.top + above);
    let mut origins = vec![at];
    for pair in systems.windows(2) {
        at += pair[1].top - pair[0].bottom + white;
        origins.push(at);
    }
    Some(origins)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn system(top: Sp, bottom: Sp) -> System {
        System { bars: 0..1, top, bottom, drop: 12.0, force: 1.0, marks: Vec::new() }
    }

    #[test]
    fn systems_keep_clear_and_inside_the_room() {
        let systems = [system(7.0, -20.0), system(9.0, -19.0), system(6.0, -22.0)];
        for extra in [0.0, 3.0, 10.0, 80.0] {
            let room = least_height(&heights(&systems)) + extra;
            let at = origins(&systems, room).unwrap();
            assert!((7.0..=7.0 + ABOVE.1).contains(&at[0]));
            for i in 0..2 {
                let white = (at[i + 1] - systems[i + 1].top) - (at[i] - systems[i].bottom);
                assert!(white >= SYSTEM_CLEARANCE - 1e-9, "{white} with {extra} to spare");
            }
            assert!(at[2] - systems[2].bottom <= room + 1e-9);
        }
    }

    #[test]
    fn what_is_left_over_evens_the_white() {
        let systems = [system(7.0, -20.0), system(9.0, -19.0), system(6.0, -22.0)];
        let at = origins(&systems, least_height(&heights(&systems)) + 12.0).unwrap();
        let white = |i: usize| (at[i + 1] - systems[i + 1].top) - (at[i] - systems[i].bottom);
        assert!((white(0) - white(1)).abs() < 1e-9, "{at:?}");
        assert!(white(0) > SYSTEM_CLEARANCE);
        let below = least_height(&heights(&systems)) + 12.0 - (at[2] + 22.0);
        assert!(below > 0.0 && below <= BELOW.1, "{below}");
    }

    #[test]
    fn systems_higher_than_the_room_are_refused() {
        let systems = [system(7.0, -20.0), system(9.0, -19.0)];
        assert_eq!(origins(&systems, least_height(&heights(&systems)) - 0.1), None);
    }
}
