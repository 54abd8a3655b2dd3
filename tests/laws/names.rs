//! Laws of names: what stands on double signs, and what does not.

use quintfall::drill::{Choices, Drill};
use quintfall::score::{Hand, Note};
use quintfall::theory::{Interval, Key, Letter, Mode, NoteName, Numeral, Pitch, Scale, Seventh};

use crate::drills;

/// Keys of a mode that a sheet can be in.
fn keys(mode: Mode) -> impl Iterator<Item = Key> {
    Key::all(mode)
}

/// Over every diminished seventh of every drill in every key: the root of its symbol has a double sign
/// only where it is the leading tone of the key, or of what the numeral says that it leads to; the
/// numeral is the same in all keys; and where the note of its numeral would have a double sign, none of its notes
/// has one.
#[test]
fn a_diminished_seventh_is_called_by_a_root_that_is_read() {
    let (mut met, mut plain) = (0, 0);
    for template in drills() {
        let mut numerals: Option<Vec<Numeral>> = None;
        for key in keys(template.mode) {
            let score = Drill::of(&template).realise(key, Choices::default());
            let mut own = Vec::new();
            for (place, harmony) in score.harmonies.iter().enumerate() {
                let (chord, numeral) = (harmony.chord, harmony.numeral);
                if chord.kind.seventh() != Seventh::Diminished {
                    continue;
                }
                own.push(Numeral { inversion: 0, ..numeral });
                if numeral.of.is_some() {
                    continue;
                }
                let name = format!("{} in {key} at {}: {}", template.name, harmony.at, chord.root);
                let leads_home = (numeral.degree, numeral.alter) == (7, 0);
                assert!(leads_home || chord.root.alter.abs() < 2, "{name}");
                met += 1;
                let degree = Scale { tonic: key.tonic(), mode: Mode::Major }.note(numeral.degree);
                if (degree.alter + numeral.alter).abs() < 2 || leads_home {
                    continue;
                }
                let end = score.harmonies.get(place + 1).map_or(i32::MAX, |next| next.at);
                let staves = score.bars.iter().flat_map(|bar| bar.staves.iter());
                let events = staves.flat_map(|staff| &staff.events);
                let over = events.filter(|it| (harmony.at..end).contains(&it.at));
                for note in over.flat_map(|event| &event.notes) {
                    assert!(note.pitch.name.alter.abs() < 2, "{name}: {}", note.pitch);
                    plain += 1;
                }
            }
            assert_eq!(
                own,
                *numerals.get_or_insert_with(|| own.clone()),
                "{}, {key}",
                template.name
            );
        }
    }
    assert!(met > 300 && plain > 30, "{met}, {plain}");
}

/// Whether a note beside another in a line is read as what it is: a step, or a semitone on one letter.
fn is_step(one: Pitch, other: Pitch) -> bool {
    let steps = (one.staff_step() - other.staff_step()).abs();
    match (one.midi() - other.midi()).abs() {
        1 => steps < 2,
        2 => steps == 1,
        _ => false,
    }
}

/// Over every line of single notes in every drill and key: a note that neither chord nor scale nor key
/// has stands on no double flat, F♭ or C♭ where its plain name would be read as a step on both sides.
#[test]
fn no_colour_of_a_line_stands_on_a_veiled_flat_for_nothing() {
    let mut doubles = 0;
    for template in drills() {
        let drill = Drill::of(&template);
        for key in keys(template.mode) {
            let score = drill.realise(key, Choices::default());
            let stays: Vec<_> = drill.stays(key).collect();
            for hand in Hand::BOTH {
                let events = score.bars.iter().flat_map(|bar| &bar.staves[hand].events);
                let struck = events.filter(|event| !event.is_rest() && !event.is_tied_in());
                let all: Vec<(i32, &[Note])> =
                    struck.map(|event| (event.at, event.notes.as_slice())).collect();
                for around in all.windows(3) {
                    let [(_, [one]), (at, [own]), (_, [next])] = around else { continue };
                    let own = own.pitch;
                    let is_white = matches!(own.name.letter, Letter::F | Letter::C);
                    if own.name.alter > if is_white { -1 } else { -2 } {
                        continue;
                    }
                    doubles += 1;
                    let is_known = |name: NoteName| {
                        let now = stays.iter().filter(|stay| stay.at <= *at && *at < stay.end);
                        let tones = now.flat_map(|it| {
                            it.chord.kind.tones().chain(it.scale).map(|tone| it.chord.root.up(tone))
                        });
                        let signature = key.scale();
                        let mut all = tones.chain((1..=7).map(|degree| signature.note(degree)));
                        all.any(|known| known == name)
                    };
                    let plain = own.up(Interval { steps: -1, semitones: 0 });
                    let reads = [one, next].iter().all(|near| is_step(plain, near.pitch));
                    let name = format!("{} in {key}, {hand:?} at {at}", template.name);
                    assert!(!reads || is_known(own.name), "{name}: {own}");
                }
            }
        }
    }
    assert!(doubles > 20, "{doubles}");
}
