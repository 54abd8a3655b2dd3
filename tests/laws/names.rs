//! Laws of names: what stands on double signs, and what does not.

use quintfall::drill::{Choices, Drill};
use quintfall::score::{Hand, Note};
use quintfall::theory::{Interval, Key, Mode, NoteName, Pitch, Scale, Seventh};

use crate::drills;

/// Keys of a mode that a sheet can be in.
fn keys(mode: Mode) -> impl Iterator<Item = Key> {
    Key::all(mode)
}

/// Over every diminished seventh of every drill in every key: its root has a double sign only where it
/// is the leading tone of the key, or of what the numeral says that it leads to; and the numeral,
/// counted from the tonic, names the root of the symbol by its letter.
#[test]
fn a_diminished_seventh_is_called_by_a_root_that_is_read() {
    let mut met = 0;
    for template in drills() {
        for key in keys(template.mode) {
            let score = Drill::of(&template).realise(key, Choices::default());
            for harmony in &score.harmonies {
                let (chord, numeral) = (harmony.chord, harmony.numeral);
                if chord.kind.seventh() != Seventh::Diminished || numeral.of.is_some() {
                    continue;
                }
                let name = format!("{} in {key} at {}: {}", template.name, harmony.at, chord.root);
                let leads_home = (numeral.degree, numeral.alter) == (7, 0);
                assert!(leads_home || chord.root.alter.abs() < 2, "{name}");
                let above =
                    Scale { tonic: key.tonic(), mode: Mode::Major }.interval(numeral.degree);
                let semitones = above.semitones + numeral.alter;
                let counted = key.tonic().up(Interval { semitones, ..above });
                assert_eq!(counted, chord.root, "{name}, {numeral:?}");
                met += 1;
            }
        }
    }
    assert!(met > 300, "{met}");
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
/// has stands on no double flat where its plain name would be read as a step on both sides.
#[test]
fn no_colour_of_a_line_stands_on_a_double_flat_for_nothing() {
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
                    if own.name.alter > -2 {
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
                    let plain = own.plain();
                    let reads = [one, next].iter().all(|near| is_step(plain, near.pitch));
                    let name = format!("{} in {key}, {hand:?} at {at}", template.name);
                    assert!(!reads || is_known(own.name), "{name}: {own}");
                }
            }
        }
    }
    assert!(doubles > 20, "{doubles}");
}
