//! What a dominant wants and what it gets: a goal is told of the dominant that a listener connects it
//! with, in every key.

use quintfall::chart::{Cadence, Chart, Unfolded, analyse};
use quintfall::theory::{Chord, Interval, Seventh};

use crate::laws::{UP, all, renamed};
use crate::tune::tune;

/// Tunes with whole cadences between a dominant and its goal.
const AGAIN: [&str; 2] = [
    "Bbm7 Eb7 | Cm7 F7b9 | Bbm7 Eb7 | Ebm7 Ab7 | Dbmaj7 | Bbm7 Eb7 | Abmaj7 | %",
    "Gm7 C7 | Am7 D7 | Gm7 C7 | F6",
];

fn up(tune: &Unfolded, by: Interval) -> Unfolded {
    renamed(tune, |note| note.up(by))
}

/// Neighbours on one root, with minor third or without, from a moment on and round the form.
pub(crate) fn after(tune: &Unfolded, at: i32) -> Vec<Chord> {
    let place = tune.changes.iter().position(|it| it.at == at).expect("a change");
    let round = tune.changes[place..].iter().chain(&tune.changes[..place]);
    let mut chords: Vec<Chord> = round.filter_map(|it| it.chord).collect();
    chords.dedup_by_key(|it| (it.root.pitch_class(), it.kind.has_minor_third()));
    chords
}

pub(crate) fn is_dominant(chord: Chord) -> bool {
    !chord.kind.has_minor_third() && chord.kind.seventh() == Seventh::Minor
}

/// Whether the goal of a cadence comes at once, or after one chord that is no other dominant; or a
/// dominant in its place, with its ii or without.
fn is_at_hand(tune: &Unfolded, cadence: &Cadence) -> bool {
    let chords = after(tune, cadence.dominant_at);
    let [five, one, two, ..] = *chords.as_slice() else { return true };
    let above = |chord: Chord, other: i32| (chord.root.pitch_class() - other).rem_euclid(12);
    let goal = cadence.target.pitch_class();
    let is_passing = !is_dominant(one) || matches!(above(one, five.root.pitch_class()), 0 | 6);
    above(one, goal) == 0
        || above(two, goal) == 0 && is_passing
        || above(one, goal) == 6 && is_dominant(one)
        || above(two, goal) == 6 && is_dominant(two) && one.kind.has_minor_third()
}

#[test]
fn a_goal_that_comes_is_at_hand() {
    let mut met = 0;
    for tune in all().chain(AGAIN.map(tune)) {
        // Over a bass of its own the root that is heard is another.
        if tune.changes.iter().filter_map(|it| it.chord).any(|it| it.bass.is_some()) {
            continue;
        }
        for by in UP {
            let tune = up(&tune, by);
            for cadence in
                analyse(&tune).expect("chords").cadences.iter().filter(|it| it.is_resolved)
            {
                assert!(is_at_hand(&tune, cadence), "{cadence:?}");
                met += 1;
            }
        }
    }
    assert!(met > 500, "{met}");
}

#[test]
fn no_goal_is_credited_past_another_cadence() {
    for by in UP {
        for text in AGAIN {
            let analysis = analyse(&up(&tune(text), by)).expect("chords");
            assert!(!analysis.cadences[0].is_resolved, "{text}: {:?}", analysis.cadences[0]);
            let reason = &analysis.readings[1].reason;
            assert!(reason.ends_with("comes in its place"), "{text}: {reason}");
        }
    }
}

/// A ii a tritone away from a goal stands in for nothing.
#[test]
fn a_ii_is_no_substitute_of_a_goal() {
    for by in UP {
        let tune = up(&tune("Abmaj7 | Bbm7 Eb7 | Dm7 G7 | Cmaj7"), by);
        let reason = &analyse(&tune).expect("chords").readings[2].reason;
        assert!(!reason.contains("stands in for"), "{reason}");
    }
}

/// A pick-up is played once, so what ends the form leads to its first bar, whatever leads up to that.
#[test]
fn a_pick_up_is_no_goal_of_the_end() {
    for (bars, pick_up) in [
        ("| Fmaj7 | Dm7 | Gm7 | C7 | Fmaj7 | D7 | Gm7 C7 | F6 D7 | Gm7 | C7 |", "Gm7 C7 /"),
        ("| Cm6 | Fm7 | Dm7b5 G7b9 | Cm6 | Ab7 | G7 | Cm6 | Dm7b5 G7b9 |", "Dm7b5 G7 /"),
        ("| Bbmaj7 | Gm7 | Cm7 | F7 | Bbmaj7 | Ebmaj7 Ab7 | Bb6 | Cm7 B7 |", "F7 /"),
        ("| Dmaj7 | B7 | Em7 | A7 | Dmaj7 | Gmaj7 Gm6 | D6 | Em7 A7 |", "A7 /"),
    ] {
        let text = |first: &str| {
            format!(
                "title = \"x\"\nmetre = \"4/4\"\n{first}[[section]]\nname = \"A\"\nbars = \"{bars}\"\n"
            )
        };
        let heard = |first: &str| Chart::parse(&text(first), "x").unwrap().unfolded();
        let (bare, early) = (heard(""), heard(&format!("pick-up = \"{pick_up}\"\n")));
        assert!(early.changes[0].at < 0);
        for by in UP {
            let [bare, early] = [&bare, &early].map(|tune| analyse(&up(tune, by)).expect("chords"));
            assert_eq!(bare.home, early.home, "{bars}");
            let last = |it: &quintfall::chart::Analysis| {
                let last = it.readings.last().expect("a chord").clone();
                (last.numeral, last.function, last.target, last.reason)
            };
            assert_eq!(last(&bare), last(&early), "{bars}");
            let resolved = |it: &quintfall::chart::Analysis| {
                it.cadences.last().map(|it| (it.kind, it.is_resolved, it.target))
            };
            assert_eq!(resolved(&bare), resolved(&early), "{bars}");
        }
    }
}
