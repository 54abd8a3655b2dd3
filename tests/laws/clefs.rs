//! Laws of clefs: when a hand leaves its own, and when it returns.

use std::collections::BTreeMap;

use quintfall::drill::LEDGER_LINES_TO_RETURN;
use quintfall::recipe::FingeringMarks;
use quintfall::score::{Clef, Event, Hand, Score, Ticks};

use crate::for_every_score;

/// Every sounding event with the clef it is read in.
pub(crate) fn with_clefs(score: &Score, hand: Hand) -> Vec<(Clef, &Event)> {
    let mut clef = score.opening_clefs[hand];
    let events = score.bars.iter().flat_map(|bar| &bar.staves[hand].events);
    let read = events.map(|event| {
        clef = event.clef_change.unwrap_or(clef);
        (clef, event)
    });
    read.filter(|(_, event)| !event.notes.is_empty()).collect()
}

/// Whether a chord hangs off a clef that is not its hand's own, on the side of that one, which
/// would take it with fewer ledger lines.
pub(crate) fn hangs(hand: Hand, clef: Clef, event: &Event) -> bool {
    if clef == hand.usual_clef() || event.notes.len() < 2 {
        return false;
    }
    let pitches = || event.notes.iter().map(|note| note.pitch);
    let by_height = |pitch: &quintfall::theory::Pitch| pitch.staff_step();
    let facing = match hand {
        Hand::Left => pitches().min_by_key(by_height),
        Hand::Right => pitches().max_by_key(by_height),
    };
    let lines = facing.map_or(0, |pitch| clef.ledger_lines(pitch));
    let own = pitches().map(|pitch| hand.usual_clef().ledger_lines(pitch)).max().unwrap_or(0);
    lines >= LEDGER_LINES_TO_RETURN && own < lines
}

/// The least that a copyist bears: no chord hangs off the other hand's clef.
#[test]
fn no_chord_hangs_off_the_other_hands_clef() {
    let mut away = 0;
    for_every_score(FingeringMarks::None, |name, score| {
        for hand in Hand::BOTH {
            for (clef, event) in with_clefs(score, hand) {
                assert!(!hangs(hand, clef, event), "{name}, {hand:?}, at {}", event.at);
                away += usize::from(clef != hand.usual_clef());
            }
        }
    });
    assert!(away > 0);
}

/// Chords of one height, the same notes at top and bottom, stand in one clef; or if some stand in
/// another than most, so do the chords on both sides of them.
#[test]
fn a_chord_stands_in_the_clef_of_most_of_its_height_or_in_that_of_its_neighbours() {
    let mut strays = 0;
    for_every_score(FingeringMarks::None, |name, score| {
        for hand in Hand::BOTH {
            let all = with_clefs(score, hand);
            let height = |event: &Event| {
                let steps = event.notes.iter().map(|note| note.pitch.staff_step());
                (steps.clone().min(), steps.max())
            };
            let mut clefs: BTreeMap<_, Vec<Clef>> = BTreeMap::new();
            for (clef, event) in all.iter().filter(|(_, event)| event.notes.len() > 1) {
                clefs.entry(height(event)).or_default().push(*clef);
            }
            for (index, (clef, event)) in all.iter().enumerate() {
                let own = clefs.get(&height(event)).filter(|_| event.notes.len() > 1);
                let alike = |own: &Vec<Clef>| own.iter().filter(|other| *other == clef).count();
                let is_stray = own.is_some_and(|own| alike(own) * 2 < own.len());
                let around = &all[index.saturating_sub(1)..all.len().min(index + 2)];
                let is_between = around.iter().all(|(other, _)| other == clef);
                assert!(!is_stray || is_between, "{name}, {hand:?}, at {}", event.at);
                strays += usize::from(is_stray);
            }
        }
    });
    println!("{strays} chords stand in another clef than most of their height");
}

/// Two changes of clef serve nearly every sheet, since a hand that climbs comes down again; more
/// are for drills that climb again and again.
#[test]
fn a_staff_seldom_changes_its_clef_more_than_twice() {
    let (mut staves, mut restless) = (0, 0);
    for_every_score(FingeringMarks::None, |name, score| {
        for hand in Hand::BOTH {
            let changes: Vec<Ticks> = with_clefs(score, hand)
                .iter()
                .filter_map(|(_, event)| event.clef_change.map(|_| event.at))
                .collect();
            assert!(changes.len() <= 8, "{name}, {hand:?}: clefs change at {changes:?}");
            staves += 1;
            restless += usize::from(changes.len() > 2);
            if !changes.is_empty() {
                println!("{name}, {hand:?}: clefs change at {changes:?}");
            }
        }
    });
    println!("{restless} of {staves} staves change their clef more than twice");
    assert!(restless * 40 < staves, "{restless} of {staves}");
}
