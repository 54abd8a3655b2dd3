//! Counting: "1 & 2 &" through the bars of a score.

use super::counts::{Count, CountStroke, Syllable};
use super::metre::{Metre, QUARTER, Ticks};
use super::model::{Bar, Staff};

/// Counts every bar.
///
/// A beat in which either hand has a triplet is counted "1 trip let", one in which a sixteenth
/// is struck "1 e & a". The "and"s of a bar in which no hand strikes half way between two
/// numbers are left out: nothing is gained by counting through a long chord in eighths. Where
/// one hand plays a triplet against the other's eighths, the triplet is counted, and the "and"
/// between where it is struck.
pub fn count(metre: Metre, bars: &[Bar]) -> Vec<Count> {
    bars.iter().flat_map(|bar| count_bar(metre, bar)).collect()
}

fn count_bar(metre: Metre, bar: &Bar) -> Vec<Count> {
    let unit = metre.count_unit();
    let starts: Vec<Ticks> = (0..metre.beats()).map(|number| bar.start + number * unit).collect();
    let is_struck = |at: Ticks| bar.staves.iter().any(|staff| strikes(staff, at));
    let is_triplet = |start: Ticks| {
        let events = bar.staves.iter().flat_map(|staff| &staff.events);
        let within = start..start + unit;
        events.clone().any(|event| event.value.is_triplet() && within.contains(&event.at))
    };
    let has_ands = starts.iter().any(|start| !is_triplet(*start) && is_struck(start + unit / 2));
    let mut counts = Vec::new();
    for (number, start) in (1..).zip(starts) {
        let mut count = |after: Ticks, syllable: Syllable| {
            let at = start + after;
            let strokes = bar.staves.as_ref().map(|staff| stroke(metre, staff, at));
            let on_beat = metre.beat_of(at) == at;
            counts.push(Count { at, syllable, on_beat, strokes });
        };
        let has_sixteenths =
            unit == QUARTER && [1, 3].iter().any(|n| is_struck(start + n * unit / 4));
        count(0, Syllable::Number(number));
        if is_triplet(start) {
            count(unit / 3, Syllable::Trip);
            if is_struck(start + unit / 2) {
                count(unit / 2, Syllable::And);
            }
            count(2 * unit / 3, Syllable::Let);
        } else if has_sixteenths {
            count(unit / 4, Syllable::E);
            count(unit / 2, Syllable::And);
            count(3 * unit / 4, Syllable::A);
        } else if has_ands {
            count(unit / 2, Syllable::And);
        }
    }
    counts
}

fn strikes(staff: &Staff, at: Ticks) -> bool {
    staff.events.iter().any(|event| event.at == at && !event.is_rest() && !event.is_tied_in())
}

fn stroke(metre: Metre, staff: &Staff, at: Ticks) -> CountStroke {
    if !strikes(staff, at) {
        return CountStroke::None;
    }
    let on_beat = |moment: Ticks| metre.beat_of(moment) == moment;
    let is_held_over = staff.events.iter().any(|event| {
        event.at == at && on_beat(event.end()) && event.notes.iter().any(|note| note.tied_out)
    });
    if !on_beat(at) && is_held_over { CountStroke::Pushed } else { CountStroke::Struck }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::hand::ByHand;
    use crate::score::{Event, Note, NoteValue, spell_rests, spell_sound};
    use crate::theory::{Letter, NoteName, Pitch};

    /// A bar of one pitch in the right hand that sounds over the given stretches.
    fn bar(metre: Metre, sounds: &[(Ticks, Ticks)]) -> Bar {
        let mut events = Vec::new();
        let mut at = 0;
        let event = |at: Ticks, value: NoteValue, notes: Vec<Note>| Event {
            at,
            value,
            notes,
            staccato: false,
            fermata: false,
            clef_change: None,
        };
        for (start, end) in sounds {
            let rests = spell_rests(metre, at, *start);
            events.extend(rests.into_iter().map(|rest| event(rest.at, rest.value, Vec::new())));
            for span in spell_sound(metre, *start, *end) {
                let note = Note {
                    pitch: Pitch::new(NoteName::new(Letter::C, 0), 4),
                    tied_in: span.at > *start,
                    tied_out: span.at + span.value.ticks() < *end,
                    finger: None,
                    shows_finger: false,
                };
                events.push(event(span.at, span.value, vec![note]));
            }
            at = *end;
        }
        let rests = spell_rests(metre, at, metre.bar());
        events.extend(rests.into_iter().map(|rest| event(rest.at, rest.value, Vec::new())));
        let left = vec![event(0, NoteValue::WholeBar(metre), Vec::new())];
        Bar { start: 0, staves: ByHand { right: Staff { events }, left: Staff { events: left } } }
    }

    /// What is spoken over a bar, in brackets where nothing is struck, with a stroke after what
    /// is pushed.
    fn spoken(metre: Metre, sounds: &[(Ticks, Ticks)]) -> String {
        let one = |count: &Count| match (count.is_only_held(), count.strokes.right) {
            (true, _) => format!("({})", count.spoken()),
            (_, CountStroke::Pushed) => format!("{}-", count.spoken()),
            _ => count.spoken(),
        };
        let counts = count(metre, &[bar(metre, sounds)]);
        counts.iter().map(one).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn a_long_chord_is_not_counted_through_in_eighths() {
        assert_eq!(spoken(Metre::FourFour, &[(0, 192)]), "1 (2) (3) (4)");
        assert_eq!(spoken(Metre::ThreeFour, &[(0, 144)]), "1 (2) (3)");
        assert_eq!(spoken(Metre::FiveFour, &[(0, 240)]), "1 (2) (3) (4) (5)");
        assert_eq!(spoken(Metre::SixEight, &[(0, 144)]), "1 (2) (3) (4) (5) (6)");
    }

    #[test]
    fn a_push_is_marked_where_it_is_struck() {
        let pushed = "1 (&) (2) &- (3) (&) (4) (&)";
        assert_eq!(spoken(Metre::FourFour, &[(0, 72), (72, 120)]), pushed);
        assert_eq!(spoken(Metre::SixEight, &[(0, 48), (48, 96)]), "1 (2) 3- (4) (5) (6)");
        assert_eq!(spoken(Metre::FourFour, &[(0, 32), (32, 96)]), "1 (trip) let- (2) (3) (4)");
    }

    #[test]
    fn only_beats_that_have_them_are_counted_in_triplets_or_sixteenths() {
        let triplet = [(0, 16), (16, 32), (32, 48), (48, 96)];
        assert_eq!(spoken(Metre::ThreeFour, &triplet), "1 trip let 2 (3)");
        let both = [(0, 36), (36, 48), (48, 80), (80, 96), (96, 120), (120, 144)];
        assert_eq!(spoken(Metre::ThreeFour, &both), "1 (e) (&) a 2 (trip) let 3 &");
        let fine = [(0, 12), (12, 24), (24, 48), (72, 144)];
        assert_eq!(spoken(Metre::SixEight, &fine), "1 & 2 (&) (3) (&) 4 (&) (5) (&) (6) (&)");
    }

    #[test]
    fn six_eighths_have_two_beats() {
        let counts = count(Metre::SixEight, &[bar(Metre::SixEight, &[(0, 144)])]);
        let beats: Vec<Ticks> =
            counts.iter().filter(|count| count.on_beat).map(|count| count.at).collect();
        assert_eq!(beats, [0, 72]);
    }
}
