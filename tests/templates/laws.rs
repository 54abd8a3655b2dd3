//! Laws of the library's drills.

use quintfall::drill::{Template, library};
use quintfall::recipe::Recipe;
use quintfall::score::{Event, Hand, QUARTER, Score};
use quintfall::theory::{Key, Seventh, Third};

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

/// A bass lies where a bass sounds: from the lowest note of a double bass to a tone above middle C, in every
/// key (common practice, no source).
#[test]
fn a_bass_of_the_left_hand_lies_below_middle_c() {
    for left in ["\"walking\"", "\"two-feel\"", "\"1 3 5 3\"", "[\"1 low5 1 low5\", \"1 5 1 5\"]"] {
        let text = format!(
            "name = \"own\"\ntitle = \"Own\"\nmetre = \"4/4\"\nmode = \"major\"\nfeel = \"swing\"\n\
             [[passage]]\ndegrees = [\"Imaj7\", \"lowVI7\", \"ii7\", \"lowV7\", \"Imaj7\"]\nbeats = 4\n\
             figure = \"chord\"\nnote = \"whole\"\nvoicing = \"guide-tones\"\nleft = {left}\n"
        );
        let template = Template::parse(&text, "own").unwrap();
        for key in Key::majors() {
            for event in struck(&score(&template, &key.tonic().plain()), Hand::Left) {
                let bass = event.notes[0].pitch;
                assert!((28..=62).contains(&bass.midi()), "{left} in {key}: {bass}");
            }
        }
    }
}

/// A diminished seventh without a bass has its own four tones: a ninth of a key that does not
/// explain it would be a semitone above its root.
#[test]
fn a_rootless_diminished_seventh_has_its_own_tones() {
    for voicing in ["rootless-a", "rootless-b"] {
        let text = format!(
            "name = \"own\"\ntitle = \"Own\"\nmetre = \"4/4\"\nmode = \"major\"\nfeel = \"swing\"\n\
             [[passage]]\ndegrees = [\"#IVo7\"]\nbeats = 4\nfigure = \"1\"\nnote = \"whole\"\n\
             voicing = \"{voicing}\"\ncomping = \"on-beat\"\n"
        );
        let template = Template::parse(&text, "own").unwrap();
        for key in Key::majors() {
            let score = score(&template, &key.tonic().plain());
            let chord = &struck(&score, Hand::Left)[0];
            let mut above: Vec<i32> = chord
                .notes
                .iter()
                .map(|note| note.pitch.midi() - key.tonic().pitch_class())
                .collect();
            above.iter_mut().for_each(|semitones| *semitones = semitones.rem_euclid(12));
            above.sort_unstable();
            assert_eq!(above, [0, 3, 6, 9], "{voicing} in {key}");
            assert_eq!(score.harmonies[0].numeral.inversion, 0, "{voicing} in {key}");
        }
    }
}

/// A melody in octaves round a chord has no bass, whatever the chord; a chord by itself has one.
#[test]
fn a_melody_in_octaves_is_no_inversion() {
    for (degree, voicing, inversion) in [
        ("viio7", "3 | 5+7+8+10", 0),
        ("viio7", "7 | 8+10+12+14", 0),
        ("I6", "3 | 5+6+8+10", 0),
        ("ii7", "5 | 7+8+10+12", 0),
        ("ii7", "5 | 7+8+10", 2),
        ("ii7", "3+5+7+8", 1),
    ] {
        let text = format!(
            "name = \"own\"\ntitle = \"Own\"\nmetre = \"4/4\"\nmode = \"major\"\nfeel = \"swing\"\n\
             [[passage]]\ndegrees = [\"{degree}\"]\nbeats = 4\n{}\nnote = \"whole\"\n\
             voicing = \"{voicing}\"\ncomping = \"on-beat\"\n",
            if voicing.contains('|') { "figure = \"upper\"" } else { "figure = \"1\"" }
        );
        let template = Template::parse(&text, "own").unwrap();
        let score = score(&template, "C");
        assert_eq!(score.harmonies[0].numeral.inversion, inversion, "{degree} {voicing}");
    }
}

/// A drill comes to rest, on the tonic, or goes round, by a dominant that leads back; its line does not
/// break off in the middle of a run.
#[test]
fn every_drill_comes_to_rest_or_goes_round() {
    let own = library::all().map(|(name, text)| (name.to_owned(), text.to_owned()));
    let studies = std::fs::read_dir("templates/study").unwrap().map(|file| {
        let path = file.unwrap().path();
        (path.display().to_string(), std::fs::read_to_string(path).unwrap())
    });
    for (name, text) in own.chain(studies) {
        let template = Template::parse(&text, &name).unwrap();
        let score = score(&template, "C");
        let last = score.harmonies.last().expect("a drill has chords");
        let leads_back =
            last.chord.kind.seventh() == Seventh::Minor && last.chord.kind.third() == Third::Major;
        let rests = last.chord.root == score.key.tonic();
        // What leads back is followed by a sign that says so.
        let end = score.signs.barlines.get(&score.bars.len());
        let goes_round = leads_back && end.is_some_and(|barline| barline.ends_repeat());
        assert!(rests || goes_round, "{name} ends on {}", last.chord.root);
        let events = score.bars.iter().flat_map(|bar| &bar.staves.right.events);
        let [.., end] = events.collect::<Vec<_>>()[..] else { panic!("{name} has no line") };
        let is_short = !end.is_rest() && !end.is_tied_in() && end.value.ticks() < QUARTER;
        assert!(!is_short || leads_back, "{name} breaks off");
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
    assert!(drills >= 37, "{drills} drills do not reach from lesson to repertoire");
}

#[test]
fn the_usual_drill_is_in_the_library() {
    assert!(library::find(&Recipe::default().drill).is_some());
}
