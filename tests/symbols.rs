//! The symbol is true: what the hand that holds the chords sounds belongs to what is printed over
//! it, and what makes the symbol is played, or the sheet says that it is not.

use quintfall::drill::{Choices, Drill, Template, library};
use quintfall::score::{Hand, Score};
use quintfall::theory::{Chord, Interval, Key, NoteName};

/// The interval of a note above the root of a chord, within an octave.
fn above(chord: Chord, note: NoteName) -> Interval {
    let steps = (note.letter.steps() - chord.root.letter.steps()).rem_euclid(7);
    let semitones = (note.pitch_class() - chord.root.pitch_class()).rem_euclid(12);
    // A flat ninth of B is C, a semitone up, however the octave is counted.
    let semitones = if steps == 0 && semitones == 11 { -1 } else { semitones };
    Interval { steps, semitones }
}

/// Calls `check` with every chord of a score and the notes that its hand strikes while it sounds;
/// where a hand has a line in place of strokes, with what either hand strikes together.
fn each_struck(template: &Template, score: &Score, mut check: impl FnMut(Chord, &[Interval])) {
    let mut index = 0;
    for passage in &template.passages {
        let hand = if passage.is_swapped { Hand::Right } else { Hand::Left };
        for _ in &passage.degrees {
            let harmony = score.harmonies[index];
            index += 1;
            let end = score.harmonies.get(index).map_or(score.length(), |next| next.at);
            let has_line = passage.comping.is_line();
            if !passage.strikes_chords() && !has_line {
                continue;
            }
            let hands = if has_line { Hand::BOTH.to_vec() } else { vec![hand] };
            let bars = || score.bars.iter();
            let events =
                hands.iter().flat_map(|hand| bars().flat_map(|bar| &bar.staves[*hand].events));
            let own = events
                .filter(|event| (harmony.at..end).contains(&event.at))
                .filter(|event| !has_line || event.notes.len() > 1);
            let struck = own.flat_map(|event| &event.notes).filter(|note| !note.tied_in);
            let tones: Vec<Interval> =
                struck.map(|note| above(harmony.chord, note.pitch.name)).collect();
            if !tones.is_empty() {
                check(harmony.chord, &tones);
            }
        }
    }
}

fn judge(name: &str, text: &str) -> (usize, usize) {
    let template = Template::parse(text, name).unwrap_or_else(|error| panic!("{error}"));
    let drill = Drill::of(&template);
    let (mut chords, mut remarked) = (0, 0);
    for key in Key::ring(template.mode) {
        let score = drill.realise(key, Choices::default());
        each_struck(&template, &score, |chord, tones| {
            let stranger = chord.kind.strangers(tones).next();
            assert_eq!(stranger, None, "{name} in {key}: {chord:?} sounds {tones:?}");
            chords += 1;
        });
        remarked += score.untold_chords.len();
    }
    (chords, remarked)
}

#[test]
fn what_is_struck_belongs_to_the_symbol_over_it() {
    for (name, text) in library::all() {
        let (chords, remarked) = judge(name, text);
        println!("{name}: {chords} chords in twelve keys, {remarked} not told in full");
        assert!(chords > 0 || name == "left-hand", "{name}");
    }
}
