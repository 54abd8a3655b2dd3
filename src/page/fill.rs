//! Filling a page: where its systems stand.

use crate::engrave::System;
use crate::engrave::rules::{SYSTEM_CLEARANCE, Sp};

/// How far the white between systems may grow before the rest is left at the foot, as a share of
/// the distance from one system's lowest staff line to the next one's highest (ours; tables of
/// engraving practice give up to 40 %, which leaves the foot of a three-system page bare).
const MOST_GROWTH: f64 = 0.75;

/// What of the height left over goes above the first system and below the last, as shares of an
/// even part of it, and at most how much (ours: the foot is no part of the music).
const ABOVE: (f64, Sp) = (0.3, 1.5);
const BELOW: (f64, Sp) = (0.6, 4.0);

/// The least height of a pile of systems, from ink to ink.
pub(super) fn least_height(systems: &[System]) -> Sp {
    let between = systems.len().saturating_sub(1) as Sp * SYSTEM_CLEARANCE;
    systems.iter().map(|system| system.top - system.bottom).sum::<Sp>() + between
}

/// How far below the top of the room each system's origin stands, or `None` where the systems
/// are higher than the room. What height is left over goes between the systems, first to where
/// they are nearest.
pub(super) fn origins(systems: &[System], room: Sp) -> Option<Vec<Sp>> {
    let left = room - least_height(systems);
    if left < 0.0 {
        return None;
    }
    let part = |(share, most): (f64, Sp)| (share * left / systems.len() as f64).min(most);
    let (above, below) = (part(ABOVE), part(BELOW));
    let least: Vec<Sp> =
        systems.windows(2).map(|pair| pair[1].top - pair[0].bottom + SYSTEM_CLEARANCE).collect();
    // The eye judges by what white there is between inks and by how far apart the staves are:
    // half of each.
    let inner: Vec<Sp> = systems
        .windows(2)
        .map(|pair| (pair[0].drop + 4.0 + pair[1].top - pair[0].bottom) / 2.0)
        .collect();
    let mut gaps: Vec<Sp> = least.iter().zip(&inner).map(|(pitch, inner)| pitch - inner).collect();
    let most = gaps.iter().copied().fold(0.0, Sp::max) * (1.0 + MOST_GROWTH);
    raise(&mut gaps, left - above - below, most);
    let mut at = systems.first().map_or(0.0, |system| system.top + above);
    let mut origins = vec![at];
    for (gap, inner) in gaps.iter().zip(&inner) {
        at += gap + inner;
        origins.push(at);
    }
    Some(origins)
}

/// Raises the lowest gaps to a common level with `budget`, but to no more than `most`.
fn raise(gaps: &mut [Sp], budget: Sp, most: Sp) {
    let mut sorted = gaps.to_vec();
    sorted.sort_by(Sp::total_cmp);
    let mut level = 0.0;
    let mut sum = 0.0;
    for (index, gap) in sorted.iter().enumerate() {
        sum += gap;
        level = (sum + budget) / (index + 1) as Sp;
        if sorted.get(index + 1).is_none_or(|next| *next >= level) {
            break;
        }
    }
    for gap in gaps {
        *gap = gap.max(level.min(most));
    }
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
            let room = least_height(&systems) + extra;
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
    fn what_is_left_over_evens_white_and_staves_half_and_half() {
        let systems = [system(7.0, -20.0), system(9.0, -19.0), system(6.0, -22.0)];
        let at = origins(&systems, least_height(&systems) + 12.0).unwrap();
        let gap = |i: usize| {
            let staves = at[i + 1] - at[i] - systems[i].drop - 4.0;
            let white = (at[i + 1] - systems[i + 1].top) - (at[i] - systems[i].bottom);
            staves + white
        };
        assert!((gap(0) - gap(1)).abs() < 1e-9, "{at:?}");
        let below = least_height(&systems) + 12.0 - (at[2] + 22.0);
        assert!(below > 0.0 && below <= BELOW.1, "{below}");
    }

    #[test]
    fn systems_higher_than_the_room_are_refused() {
        let systems = [system(7.0, -20.0), system(9.0, -19.0)];
        assert_eq!(origins(&systems, least_height(&systems) - 0.1), None);
    }
}
