//! Laws of the library's drills.

use quintfall::drill::{Template, library};
use quintfall::recipe::Recipe;
use quintfall::score::{Event, Hand, Score};
use quintfall::theory::Key;

use crate::score;

fn struck(score: &Score, hand: Hand) -> Vec<Event> {
    let events = score.bars.iter().flat_map(|bar| bar.staves[hand].events.clone());
    events.filter(|event| !event.is_rest() && !event.is_tied_in()).collect()
}

/// In the order of diatonic fourths each pair of neighbouring sevenths shares two tones; the
/// other two move down by a step (computed for every mode and key; common practice, no source).
#[test]
fn in_the_fourths_two_voices_stay_and_two_step_down() {
    let template = Template::parse(library::find("fourths").unwrap(), "fourths").unwrap();
    let mut moves = 0;
    for key in Key::majors() {
        let score = score(&template, &key.tonic().plain());
        // The last chord of all stands for itself, in root position.
        let chords = struck(&score, Hand::Left);
        for half in [&chords[..8], &chords[8..16]] {
            for pair in half.windows(2) {
                // A chord thinned for its low register says nothing about its voices.
                if pair.iter().any(|event| event.notes.len() < 4) {
                    continue;
                }
                let steps: Vec<i32> = pair[0]
                    .notes
                    .iter()
                    .zip(&pair[1].notes)
                    .map(|(then, now)| now.pitch.staff_step() - then.pitch.staff_step())
                    .collect();
                let stay = steps.iter().filter(|step| **step == 0).count();
                let fall = steps.iter().filter(|step| **step == -1).count();
                assert_eq!((stay, fall), (2, 2), "{key}: {steps:?}");
                moves += 1;
            }
        }
    }
    println!("{moves} moves through the fourths looked at");
    assert!(moves > 100, "{moves}");
}

/// Guide tones trade places: from chord to chord of the fourths no voice moves by more than a
/// whole step.
#[test]
fn guide_tones_move_by_step_or_stay() {
    let template = Template::parse(library::find("guide-tones").unwrap(), "guide-tones").unwrap();
    for key in Key::majors() {
        let score = score(&template, &key.tonic().plain());
        let chords = struck(&score, Hand::Left);
        for pair in chords.windows(2).take(14) {
            for (then, now) in pair[0].notes.iter().zip(&pair[1].notes) {
                let step = (now.pitch.midi() - then.pitch.midi()).abs();
                assert!(step <= 2, "{key}: {} to {}", then.pitch, now.pitch);
            }
        }
    }
}

#[test]
fn every_drill_says_what_it_is_for_and_what_to_listen_for() {
    let mut drills = 0;
    for (name, text) in library::all() {
        let template = Template::parse(text, name).unwrap();
        assert!(template.about.len() > 40, "{name}");
        assert!(template.listen.is_some_and(|listen| listen.len() > 20), "{name}");
        drills += 1;
    }
    assert!(drills >= 16, "{drills} drills are no course of 192 sheets");
}

#[test]
fn the_usual_drill_is_in_the_library() {
    assert!(library::find(&Recipe::default().drill).is_some());
}
