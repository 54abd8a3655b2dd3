//! Laws of names: what stands on flats that hide a plainer name, and what does not.

use quintfall::drill::{Choices, Drill};
use quintfall::score::{Hand, Note};
use quintfall::theory::{Interval, Key, Letter, NoteName, Pitch};

use crate::drills;

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
        for key in Key::all(template.mode) {
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
