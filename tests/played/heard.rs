//! Every note that is printed is heard once, at its moment and pitch.

use std::collections::BTreeSet;

use quintfall::drill::Template;
use quintfall::score::{Feel, Hand, QUARTER, Score, Ticks};
use quintfall::sound::{PULSES, Part, PlayedStroke, Pulses, Swing, play_drill};
use quintfall::theory::Key;

use crate::{drills, exercise, strokes, with};

const HANDS: [(Hand, Part); 2] = [(Hand::Right, Part::PianoRight), (Hand::Left, Part::PianoLeft)];

/// The bars as they are heard, from what the passages say of repeats.
fn bars(template: &Template) -> Vec<usize> {
    let length = |index: usize| (template.passages[index].length() / template.metre.bar()) as usize;
    let start = |index: usize| (0..index).map(length).sum::<usize>();
    let own = |index: usize| start(index)..start(index) + length(index);
    let mut heard: Vec<usize> = Vec::new();
    let mut index = 0;
    let mut begin = 0;
    while index < template.passages.len() {
        let form = &template.passages[index].form;
        if form.begins_repeat() {
            begin = index;
        }
        if form.ending.is_empty() {
            heard.extend(own(index));
            if form.ends_repeat() {
                heard.extend((begin..=index).flat_map(own));
                begin = index + 1;
            }
            index += 1;
            continue;
        }
        // Endings stand side by side; the first round is heard up to them.
        let endings: Vec<usize> = (index..template.passages.len())
            .take_while(|it| !template.passages[*it].form.ending.is_empty())
            .collect();
        let rounds = |it: &usize| template.passages[*it].form.ending.clone();
        let last = endings.iter().flat_map(rounds).max().unwrap();
        for round in 1..=last {
            if round > 1 {
                heard.extend((begin..index).flat_map(own));
            }
            let played = endings.iter().filter(|it| rounds(it).contains(&round));
            heard.extend(played.flat_map(|it| own(*it)));
        }
        index += endings.len();
        begin = index;
    }
    heard
}

/// The beats of a score that any hand divides in three or in four.
fn divided(score: &Score, parts: [Ticks; 2]) -> BTreeSet<Ticks> {
    let events = score.bars.iter().flat_map(|bar| bar.staves.iter().flat_map(|it| &it.events));
    let sounding = events.filter(|event| !event.is_rest());
    let moments = sounding.flat_map(|event| [event.at, event.end()]);
    let within = moments.filter(|moment| parts.contains(&(moment % QUARTER)));
    within.map(|moment| moment / QUARTER).collect()
}

/// What a hand strikes: moment, end, pitch, whether it is short; in pulses from the first bar on.
fn wanted(
    score: &Score,
    hand: Hand,
    heard: &[usize],
    off: Pulses,
) -> Vec<(Pulses, Pulses, u8, bool)> {
    let bar_length = score.metre.bar();
    let (thirds, fourths) = (divided(score, [16, 32]), divided(score, [12, 36]));
    let pulse = |shift: Ticks, moment: Ticks, written: Ticks| {
        let beat = written / QUARTER;
        let plain = ((moment + shift) * 10) as Pulses;
        if score.metre.is_compound() || moment % QUARTER != 24 || fourths.contains(&beat) {
            return plain;
        }
        let swung = if thirds.contains(&beat) && off != 240 { 320 } else { off };
        plain - 240 + swung
    };
    let mut found: Vec<(Pulses, Pulses, u8, bool)> = Vec::new();
    for (place, bar) in heard.iter().enumerate() {
        let shift = (place as Ticks - *bar as Ticks) * bar_length;
        for event in &score.bars[*bar].staves[hand].events {
            let at = pulse(shift, event.at, event.at);
            let end = pulse(shift, event.end(), event.end());
            for note in &event.notes {
                let pitch = note.pitch.midi() as u8;
                let before = found.iter_mut().rev().find(|it| it.2 == pitch && it.1 == at);
                match before.filter(|_| note.tied_in) {
                    Some(before) => before.1 = end,
                    None => found.push((at, end, pitch, event.staccato)),
                }
            }
        }
    }
    found.sort_unstable();
    found
}

#[test]
fn every_printed_note_is_struck_once_at_its_swung_moment_and_tied_notes_are_one() {
    let tempi =
        [(60, Swing::Usual), (160, Swing::Measured), (220, Swing::Light), (100, Swing::Even)];
    let mut notes = 0;
    for template in drills() {
        let heard = bars(&template);
        for (turn, key) in Key::ring(template.mode).into_iter().enumerate() {
            let (tempo, swing) = tempi[turn % tempi.len()];
            let exercise = exercise(&template, &[key], tempo);
            let score = exercise.score(&exercise.drill(), exercise.keys[0]);
            let mut options = with(&[Part::PianoRight, Part::PianoLeft]);
            options.swing = Some(swing).filter(|_| exercise.feel == Feel::Swing);
            let played = play_drill(&exercise, tempo, &options).unwrap();
            let name = format!("{} in {key} at {tempo}", template.name);
            let off = options.swing.unwrap_or(Swing::Even).off_beat(f64::from(tempo));
            let count = (score.metre.bar() * 10) as Pulses;
            let end = (score.metre.bar() * heard.len() as Ticks * 10) as Pulses;
            for (hand, part) in HANDS {
                let wanted = wanted(&score, hand, &heard, off);
                let struck = strokes(&played, part);
                assert_eq!(struck.len(), wanted.len(), "{name}, {}", part.word());
                for (stroke, (at, until, pitch, is_short)) in struck.iter().zip(wanted) {
                    assert_eq!((stroke.at, stroke.pitch), (count + at, pitch), "{name}");
                    let written = if is_short { (until - at) / 2 } else { until - at };
                    let is_held = until == end && stroke.at + stroke.length == played.length;
                    assert!(
                        stroke.length == written || is_held,
                        "{name}: {stroke:?} for {written}"
                    );
                    notes += 1;
                }
                no_pitch_sounds_twice(&name, struck);
            }
        }
    }
    assert!(notes > 20_000, "{notes}");
}

/// No stroke of a pitch begins while another one sounds.
fn no_pitch_sounds_twice(name: &str, strokes: &[PlayedStroke]) {
    for (index, stroke) in strokes.iter().enumerate() {
        let end = stroke.at + stroke.length;
        let later = strokes[index + 1..].iter().take_while(|later| later.at < end);
        assert!(later.clone().all(|later| later.pitch != stroke.pitch), "{name}: {stroke:?}");
    }
}

/// The moments of one bar, by hand: a swung pair, a triplet, four sixteenths, a dotted eighth with
/// its sixteenth; in the other hand eighths beside each.
#[test]
fn off_beat_eighths_swing_and_nothing_else_does() {
    let text = "name = \"own\"\ntitle = \"Own\"\nmetre = \"4/4\"\nfeel = \"swing\"\n[[passage]]\n\
                degrees = [1]\nbeats = 4\nnote = \"eighth\"\nvoicing = \"close\"\n\
                figure = \"1 3 1:triplet 3:triplet 5:triplet 1:sixteenth 3:sixteenth 5:sixteenth \
                7:sixteenth 5:dotted-eighth 3:sixteenth\"\nleft = \"1 5 1 5 1 5 1 5\"\n\
                left-note = \"eighth\"\n";
    let template = Template::parse(text, "own").unwrap();
    let exercise = exercise(&template, &["C".parse().unwrap()], 160);
    let mut options = with(&[Part::PianoRight, Part::PianoLeft]);
    (options.swing, options.count_in) = (Some(Swing::Measured), 0);
    let played = play_drill(&exercise, 160, &options).unwrap();
    let moments = |part| strokes(&played, part).iter().map(|it| it.at).collect::<Vec<_>>();
    let right = [0, 352, 480, 640, 800, 960, 1080, 1200, 1320, 1440, 1800];
    assert_eq!(moments(Part::PianoRight), right);
    assert_eq!(moments(Part::PianoLeft), [0, 352, 480, 800, 960, 1200, 1440, 1680]);
}

/// The end is held a bar longer than it is written, and all that sounds is held with it.
#[test]
fn the_end_is_held() {
    for template in drills().iter().filter(|it| it.passages.last().unwrap().fermata) {
        let exercise = exercise(template, &["C".parse().unwrap()], 120);
        let parts = [Part::PianoRight, Part::PianoLeft, Part::Bass, Part::Ride, Part::Comping];
        // Where the left hand is a bass, no other plays beside it.
        let played = play_drill(&exercise, 120, &with(&parts)).or_else(|_| {
            let others = parts.into_iter().filter(|part| *part != Part::Bass);
            play_drill(&exercise, 120, &with(&others.collect::<Vec<_>>()))
        });
        let played = played.unwrap();
        let bar = template.metre.bar() as Pulses * PULSES / QUARTER as Pulses;
        let bars = bars(template).len() as Pulses;
        assert_eq!(played.length, (1 + bars + 1) * bar, "{}", template.name);
        for part in parts {
            let Some(last) = strokes(&played, part).last() else { continue };
            assert_eq!(last.at + last.length, played.length, "{}: {last:?}", template.name);
            assert!(last.at < bar * (1 + bars), "{}: {last:?}", template.name);
        }
    }
}
