//! The room: the first reflections from the walls of a small hall, by mirror images (Allen and
//! Berkley 1979).
//!
//! Every stroke gets its reflections when it is made, since strokes and walls add up: the mix of
//! strokes in the room is the room around the mix. The time that sound takes from the player to
//! the listener is left out, so that a stroke sounds when it is written.

use super::dsp::{RATE_F, frames};

/// The size of the room in metres.
const SIZE: [f64; 3] = [7.3, 5.6, 3.1];

/// Where the listener's head is.
const LISTENER: [f64; 3] = [3.3, 1.9, 1.2];

/// What a wall gives back, as an amplitude.
const WALL: f64 = 0.68;

/// How much of the last sample a wall keeps: high tones are lost first.
const DULL: f32 = 0.45;

/// Metres a second.
const SPEED: f64 = 343.0;

/// Reflections weaker than this against the direct sound are left out.
const LEAST: f64 = 0.02;

/// Where a player stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum RoomPlace {
    /// The student's piano, where she sits, and who stands beside it.
    Near,
    /// A second piano, in the middle of the room.
    Middle,
    /// The drums, at the far wall.
    Far,
}

impl RoomPlace {
    fn at(self) -> [f64; 3] {
        match self {
            Self::Near => [3.9, 2.9, 1.0],
            Self::Middle => [2.2, 3.9, 0.8],
            Self::Far => [4.8, 4.7, 1.1],
        }
    }
}

/// A reflection: by how many walls, after how many frames, how strong against the direct sound.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Reflection {
    walls: usize,
    after: usize,
    level: f32,
}

/// The reflections by one wall and by two.
fn reflections(place: RoomPlace) -> Vec<Reflection> {
    let source = place.at();
    let distance = |to: [f64; 3]| {
        let square = |axis: usize| (to[axis] - LISTENER[axis]) * (to[axis] - LISTENER[axis]);
        (square(0) + square(1) + square(2)).sqrt()
    };
    let direct = distance(source);
    // Images of one axis by the number of walls: itself, the two walls, both one after the other.
    let images = |axis: usize| {
        let (at, size) = (source[axis], SIZE[axis]);
        [(0, at), (1, -at), (1, 2.0 * size - at), (2, 2.0 * size + at), (2, at - 2.0 * size)]
    };
    let mut found = Vec::new();
    for (walls_x, x) in images(0) {
        for (walls_y, y) in images(1) {
            for (walls_z, z) in images(2) {
                let walls = walls_x + walls_y + walls_z;
                let way = distance([x, y, z]);
                let level = direct / way * libm::pow(WALL, walls as f64);
                if (1..=2).contains(&walls) && level >= LEAST {
                    let after = frames((way - direct) / SPEED);
                    found.push(Reflection { walls, after, level: level as f32 });
                }
            }
        }
    }
    found
}

/// The longest that a reflection comes after the sound, in frames.
pub(super) fn longest() -> usize {
    (0.06 * RATE_F) as usize
}

/// The sound in the room, longer by [`longest`].
pub(super) fn around(place: RoomPlace, direct: Vec<f32>) -> Vec<f32> {
    let once = dulled(&direct);
    let twice = dulled(&once);
    let mut all = direct;
    all.resize(once.len() + longest(), 0.0);
    for reflection in reflections(place) {
        let from = if reflection.walls == 1 { &once } else { &twice };
        for (sample, &reflected) in all[reflection.after..].iter_mut().zip(from) {
            *sample += reflection.level * reflected;
        }
    }
    all
}

/// What a wall gives back of a sound, but for its level.
fn dulled(sound: &[f32]) -> Vec<f32> {
    let mut last = 0.0;
    let wall = |&sample: &f32| {
        last += (1.0 - DULL) * (sample - last);
        last
    };
    sound.iter().map(wall).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reflections_come_late_and_weaker_and_stand_the_piano_in_front() {
        let energy = |place| {
            let found = reflections(place);
            for reflection in &found {
                assert!(reflection.after >= frames(0.0005) && reflection.after < longest());
                assert!(reflection.level < 0.65, "{reflection:?}");
            }
            assert!(found.len() >= 12, "{place:?}: {}", found.len());
            found.iter().map(|r| f64::from(r.level) * f64::from(r.level)).sum::<f64>()
        };
        assert!(2.0 * energy(RoomPlace::Near) < energy(RoomPlace::Middle));
        assert!(energy(RoomPlace::Middle) < energy(RoomPlace::Far));
    }

    #[test]
    fn a_room_adds_to_a_sound_and_leaves_it() {
        let mut knock = vec![0.0; 100];
        knock[0] = 1.0;
        let heard = around(RoomPlace::Far, knock);
        assert_eq!(heard.len(), 100 + longest());
        assert_eq!(heard[0], 1.0);
        let energy: f32 = heard[1..].iter().map(|x| x * x).sum();
        assert!(energy > 0.05, "{energy}");
    }
}
