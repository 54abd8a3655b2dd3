//! Filling a page: where its systems stand.

use crate::engrave::System;
use crate::engrave::rules::{LEAST_INNER_GAP, MOST_BETWEEN_SYSTEMS, SYSTEM_CLEARANCE, Sp};

/// What of the height left over goes above the first system and below the last, as shares of an
/// even part of it, and at most how much (ours: the foot is no part of the music).
const ABOVE: (f64, Sp) = (0.3, 1.5);
const BELOW: (f64, Sp) = (0.6, 4.0);

/// How many systems could stand in a height at the most: none is lower than its staves and the least
/// gap between them, nor nearer to the next than systems may be.
pub(crate) fn most_systems(height: Sp) -> usize {
    ((height + SYSTEM_CLEARANCE) / (LEAST_SYSTEM + SYSTEM_CLEARANCE)) as usize
}

/// The height of two staves as near to each other as they may be.
const LEAST_SYSTEM: Sp = 2.0 * 4.0 + LEAST_INNER_GAP;

/// The least height of a pile of systems of these heights.
pub(crate) fn least_height(heights: &[Sp]) -> Sp {
    let between = heights.len().saturating_sub(1) as Sp * SYSTEM_CLEARANCE;
    heights.iter().sum::<Sp>() + between
}

/// How many systems of these heights stand in each room, so that the rooms are as evenly full as
/// can be; `None` where they do not fit.
pub(crate) fn split(systems: &[Sp], rooms: &[Sp]) -> Option<Vec<usize>> {
    // The sum of squares is least where the shares differ least.
    let cost = |share: f64| if share <= 1.0 { share * share } else { f64::INFINITY };
    let (cost, counts) = shared_out(systems, rooms, cost, |a, b| a + b)?;
    cost.is_finite().then_some(counts)
}

/// The share of a room that systems of these heights fill; over 1 where they do not fit.
fn share(systems: &[Sp], room: Sp) -> f64 {
    least_height(systems) / room
}

/// The share of the fullest room that systems of these heights fill where they are split as well
/// as can be.
pub(crate) fn fullest(systems: &[Sp], rooms: &[Sp]) -> f64 {
    if let ([_, ..], [room]) = (systems, rooms) {
        return share(systems, *room);
    }
    let found = shared_out(systems, rooms, |share| share, f64::max);
    found.map_or(f64::INFINITY, |(fullest, _)| fullest)
}

/// The best way to share systems out among rooms, in order and with none left empty: the least
/// cost, joined from those of the rooms, and how many systems stand in each. `None` where there
/// are fewer systems than rooms.
fn shared_out(
    systems: &[Sp],
    rooms: &[Sp],
    cost: impl Fn(f64) -> f64,
    join: impl Fn(f64, f64) -> f64,
) -> Option<(f64, Vec<usize>)> {
    // By how many systems stand in the rooms so far: the least cost, and the counts.
    let mut best: Vec<Option<(f64, Vec<usize>)>> = vec![None; systems.len() + 1];
    best[0] = Some((0.0, Vec::new()));
    for room in rooms {
        let mut next: Vec<Option<(f64, Vec<usize>)>> = vec![None; systems.len() + 1];
        for (start, before) in best.iter().enumerate() {
            let Some((before, counts)) = before else { continue };
            for end in start + 1..=systems.len() {
                let total = join(*before, cost(share(&systems[start..end], *room)));
                if next[end].as_ref().is_none_or(|(least, _)| total < *least) {
                    let counts = counts.iter().copied().chain([end - start]).collect();
                    next[end] = Some((total, counts));
                }
            }
        }
        best = next;
    }
    best.pop().flatten()
}

/// The height of each system, from ink to ink.
pub(crate) fn heights(systems: &[System]) -> Vec<Sp> {
    systems.iter().map(|system| system.top - system.bottom).collect()
}

/// How far below the top of the room each system's origin stands, or `None` where the systems
/// are higher than the room. What height is left over goes between the systems, so that the
/// white between their inks is the same everywhere.
pub(crate) fn origins(systems: &[System], room: Sp) -> Option<Vec<Sp>> {
    let least: Vec<Sp> = systems.windows(2).map(|pair| pair[0].apart.max(pair[1].apart)).collect();
    let left = room - heights(systems).iter().chain(&least).sum::<Sp>();
    if left < 0.0 {
        return None;
    }
    let part = |(share, most): (f64, Sp)| (share * left / systems.len() as f64).min(most);
    let (above, below) = (part(ABOVE), part(BELOW));
    let white = even_white(&least, left - above - below).min(MOST_BETWEEN_SYSTEMS);
    let mut at = systems.first().map_or(0.0, |system| system.top + above);
    let mut origins = vec![at];
    for (pair, least) in systems.windows(2).zip(&least) {
        at += pair[1].top - pair[0].bottom + white.max(*least);
        origins.push(at);
    }
    Some(origins)
}

/// The white that all gaps can have, or more where their least is more, if so much more than the
/// least is shared out.
fn even_white(least: &[Sp], more: Sp) -> Sp {
    let mut rising = least.to_vec();
    rising.sort_by(Sp::total_cmp);
    let mut share = more;
    for (count, gap) in rising.iter().enumerate() {
        let next = rising.get(count + 1).copied().unwrap_or(Sp::INFINITY);
        let step = (next - gap) * (count + 1) as Sp;
        if share <= step {
            return gap + share / (count + 1) as Sp;
        }
        share -= step;
    }
    0.0
}

#[cfg(test)]
mod tests {
    use kurbo::Rect;

    use super::*;
    use crate::drill::{Choices, Template, library, realise};
    use crate::engrave::{Look, MarkRole, engrave};
    use crate::fingering::FingeringMarks;
    use crate::theory::Key;

    fn system(top: Sp, bottom: Sp) -> System {
        System {
            bars: 0..1,
            top,
            bottom,
            drop: 12.0,
            apart: SYSTEM_CLEARANCE,
            force: 1.0,
            marks: Vec::new(),
        }
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

    #[test]
    fn rooms_are_filled_as_evenly_as_can_be() {
        let rooms = [50.0, 60.0, 60.0, 50.0];
        assert_eq!(split(&[20.0; 8], &rooms), Some(vec![2, 2, 2, 2]));
        assert_eq!(split(&[20.0; 7], &rooms[1..]), None);
        assert_eq!(split(&[20.0; 3], &rooms), None);
        // Every way to share nine systems out among four rooms.
        let systems = [20.0, 14.0, 9.0, 22.0, 8.0, 13.0, 17.0, 6.0, 11.0];
        let mut least = f64::INFINITY;
        for a in 1..7 {
            for b in a + 1..8 {
                for c in b + 1..9 {
                    let own = [&systems[..a], &systems[a..b], &systems[b..c], &systems[c..]];
                    let full = own.iter().zip(rooms).map(|(own, room)| share(own, room));
                    least = least.min(full.fold(0.0, f64::max));
                }
            }
        }
        assert!((fullest(&systems, &rooms) - least).abs() < 1e-9);
    }

    /// The order of white: more between two systems than anywhere inside one, and every numeral
    /// nearer its own staff than the symbols of the next system.
    #[test]
    fn systems_stand_further_apart_than_what_belongs_together() {
        let look = Look::default();
        let mut pairs = 0;
        for (name, text) in library::all() {
            let template = Template::parse(text, name).unwrap();
            for (turn, key) in Key::majors().enumerate() {
                let fingering = [FingeringMarks::Changes, FingeringMarks::All][turn % 2];
                let choices = Choices { fingering, ..Choices::default() };
                let score = realise(&template, key, choices);
                let width = [98.0, 104.0, 80.0][turn % 3];
                let counts = 2..=score.bars.len();
                let Some(systems) = counts.filter_map(|n| engrave(&score, &look, width, n)).next()
                else {
                    panic!("{name} in {key} fits on no line of {width}");
                };
                let least: Sp = systems.windows(2).map(|p| p[0].apart.max(p[1].apart)).sum();
                let inks: Sp = heights(&systems).iter().sum();
                let at = origins(&systems, inks + least + [0.0, 4.0, 30.0][turn % 3] + 1e-6);
                let at = at.expect("there is room");
                for (pair, at) in systems.windows(2).zip(at.windows(2)) {
                    let name = format!("{name} in {key}, bar {}", pair[1].bars.start + 1);
                    pairs += 1;
                    holds_order_of_white(&name, pair, at[1] - at[0]);
                }
            }
        }
        assert!(pairs > 500, "{pairs}");
    }

    fn holds_order_of_white(name: &str, pair: &[System], down: Sp) {
        let inks = |system: &System, roles: &dyn Fn(MarkRole) -> bool| -> Vec<Rect> {
            let marks = system.marks.iter().filter(|mark| roles(mark.role));
            marks.map(|mark| mark.bounds()).collect()
        };
        let beside = |role| matches!(role, MarkRole::Barline | MarkRole::Brace);
        let bands = |system: &System| {
            let mut bands = inks(system, &|role| !beside(role));
            bands.sort_by(|a, b| a.y0.total_cmp(&b.y0));
            bands
        };
        let highest = |bands: &[Rect]| bands.iter().map(|ink| ink.y1).fold(Sp::MIN, Sp::max);
        let between = bands(&pair[0])[0].y0 - (highest(&bands(&pair[1])) - down);
        for system in pair {
            let bands = bands(system);
            for (index, ink) in bands.iter().enumerate().skip(1) {
                let white = ink.y0 - highest(&bands[..index]);
                assert!(white < between, "{name}: {white} inside, {between} outside");
            }
        }
        let symbols = inks(&pair[1], &|role| role == MarkRole::Symbol);
        for numeral in inks(&pair[0], &|role| role == MarkRole::Numeral) {
            let own = -pair[0].drop - 2.0 - numeral.y1;
            let next = numeral.y0 - (highest(&symbols) - down);
            assert!(own < next, "{name}: {own} from its staff, {next} from the next symbols");
        }
    }
}
