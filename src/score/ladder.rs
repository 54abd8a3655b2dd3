//! The tempo ladder: from the tempo to the goal by the notches of a metronome.

use std::ops::RangeInclusive;

/// Tempi that teachers may choose, in beats a minute: wider than a clockwork metronome's 40
/// to 208 (common practice, no source), since half-time and double-time practice are usual.
pub const TEMPI: RangeInclusive<u16> = 20..=400;

/// The traditional scale of a clockwork metronome, in beats a minute: by twos to 60, threes to
/// 72, fours to 120, sixes to 144, eights to 208 (common practice; listed alike by several
/// makers' leaflets, no single source).
pub const NOTCHES: [u16; 39] = [
    40, 42, 44, 46, 48, 50, 52, 54, 56, 58, 60, //
    63, 66, 69, 72, //
    76, 80, 84, 88, 92, 96, 100, 104, 108, 112, 116, 120, //
    126, 132, 138, 144, //
    152, 160, 168, 176, 184, 192, 200, 208,
];

/// Most rungs that one line has room for.
pub const MOST_RUNGS: usize = 12;

/// Rungs of a ladder whose tempo leaves the scale no room below the scale's end.
const RUNGS_ABOVE: u16 = 6;

/// The goal where none is given: twice the tempo, but not past the scale's last notch; from
/// tempi near or past that notch, a few steps of the scale's widest kind.
pub fn default_goal(tempo: u16) -> u16 {
    let [.., before, last] = NOTCHES;
    let least = tempo + RUNGS_ABOVE * (last - before);
    (2 * tempo).min(last.max(least))
}

/// The rungs of the ladder, rising from tempo to goal: the notches between them, evenly thinned
/// to at most `most` rungs in all. Below the scale its first step is repeated, above it the last.
pub fn rungs(tempo: u16, goal: u16, most: usize) -> Vec<u16> {
    let [first, second, ..] = NOTCHES;
    let [.., before, last] = NOTCHES;
    let below = (1..first).rev().step_by(usize::from(second - first)).skip(1).map(|n| n + 1);
    let mut all: Vec<u16> = below.collect();
    all.reverse();
    all.extend(NOTCHES);
    all.extend((1..).map(|step| last + step * (last - before)).take_while(|notch| *notch < goal));
    let mut rungs = vec![tempo];
    rungs.extend(all.into_iter().filter(|notch| (tempo + 1..goal).contains(notch)));
    if goal > tempo {
        rungs.push(goal);
    }
    thin(&rungs, most)
}

/// Every second, third ... of the rungs, so that there are at most `most`; the last always.
fn thin(rungs: &[u16], most: usize) -> Vec<u16> {
    let Some((goal, before)) = rungs.split_last() else { return Vec::new() };
    let stride = before.len().div_ceil(most.saturating_sub(1).max(1)).max(1);
    before.iter().step_by(stride).chain([goal]).copied().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_notches_rise_by_their_published_steps() {
        assert!(NOTCHES.windows(2).all(|pair| {
            let step = pair[1] - pair[0];
            let expected = match pair[0] {
                ..60 => 2,
                60..72 => 3,
                72..120 => 4,
                120..144 => 6,
                144.. => 8,
            };
            step == expected
        }));
    }

    #[test]
    fn every_ladder_rises_from_tempo_to_goal() {
        for tempo in TEMPI {
            for goal in [tempo, tempo + 1, default_goal(tempo), *TEMPI.end()] {
                let goal = goal.max(tempo);
                let rungs = rungs(tempo, goal, MOST_RUNGS);
                assert!(rungs.is_sorted_by(|a, b| a < b), "{rungs:?}");
                assert_eq!((rungs[0], *rungs.last().unwrap()), (tempo, goal));
                assert!(rungs.len() <= MOST_RUNGS);
            }
        }
    }

    #[test]
    fn rungs_between_are_notches() {
        assert_eq!(rungs(70, 90, 12), [70, 72, 76, 80, 84, 88, 90]);
        assert_eq!(rungs(34, 45, 12), [34, 36, 38, 40, 42, 44, 45]);
        assert_eq!(rungs(200, 230, 12), [200, 208, 216, 224, 230]);
        assert_eq!(rungs(80, 160, 12), [80, 88, 96, 104, 112, 120, 132, 144, 160]);
        for rung in &rungs(60, 200, 12)[..] {
            assert!(NOTCHES.contains(rung), "{rung}");
        }
    }

    #[test]
    fn a_goal_is_found_for_every_tempo() {
        assert_eq!(default_goal(80), 160);
        assert_eq!(default_goal(120), 208);
        assert_eq!(default_goal(200), 248);
        assert_eq!(default_goal(20), 40);
        assert!(TEMPI.into_iter().all(|tempo| default_goal(tempo) > tempo));
    }
}
