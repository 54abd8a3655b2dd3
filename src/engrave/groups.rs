//! Which events of a bar belong together: those under one beam, and those of one triplet.

use std::ops::Range;

use crate::score::{Event, Metre, NoteValue, QUARTER, Ticks};

/// Cuts the events of one bar and staff into beamed groups, as index ranges of at least two.
///
/// Between imaginary barlines eighths alone take one beam; where there are rests or other
/// values, each felt beat takes its own. No beam crosses an imaginary barline (Berklee; Gould).
pub(super) fn beamed(metre: Metre, bar_start: Ticks, events: &[Event]) -> Vec<Vec<usize>> {
    let beamable = |event: &Event| event.value.has_flag() && !event.is_rest();
    let is_plain = |event: &Event| event.value == NoteValue::Eighth && !event.is_rest();
    let part_of = |event: &Event| metre.group_of(event.at - bar_start);
    let beat = |event: &Event| metre.beat_of(event.at - bar_start);
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (index, event) in events.iter().enumerate() {
        if !beamable(event) {
            continue;
        }
        let part = part_of(event);
        let pure = events.iter().filter(|other| part_of(other) == part).all(is_plain);
        let joins = groups.last().and_then(|group| group.last()).is_some_and(|last| {
            let before = &events[*last];
            *last + 1 == index && part_of(before) == part && (pure || beat(before) == beat(event))
        });
        match groups.last_mut() {
            Some(group) if joins => group.push(index),
            _ => groups.push(vec![index]),
        }
    }
    groups.retain(|group| group.len() > 1);
    groups
}

/// Cuts the events of one bar and staff into triplets, as index ranges: one for each beat, or three
/// quarters over two.
pub(super) fn triplets(events: &[Event]) -> Vec<Range<usize>> {
    let beat = |event: &Event| event.at.div_euclid(QUARTER);
    let crosses = |event: &Event| {
        event.value == NoteValue::TripletQuarter && event.end() > (beat(event) + 1) * QUARTER
    };
    // The middle one of three crosses the beat, and so do the others belong to it.
    let middles = (1..events.len().saturating_sub(1)).filter(|index| crosses(&events[*index]));
    let wide: Vec<Range<usize>> = middles.map(|index| index - 1..index + 2).collect();
    let mut groups: Vec<Range<usize>> = Vec::new();
    for (index, event) in events.iter().enumerate().filter(|(_, event)| event.value.is_triplet()) {
        if let Some(wide) = wide.iter().find(|wide| wide.contains(&index)) {
            if wide.start == index {
                groups.push(wide.clone());
            }
            continue;
        }
        match groups.last_mut() {
            Some(group) if group.end == index && beat(&events[group.start]) == beat(event) => {
                group.end += 1;
            }
            _ => groups.push(index..index + 1),
        }
    }
    groups
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::Note;
    use crate::theory::{Letter, NoteName, Pitch};

    /// The groups of a bar of one pitch, `values` in ticks; rests are negative.
    fn grouped(metre: Metre, values: &[Ticks]) -> Vec<Vec<usize>> {
        let mut at = 0;
        let events: Vec<Event> = values
            .iter()
            .map(|ticks| {
                let note = Note {
                    pitch: Pitch::new(NoteName::new(Letter::C, 0), 4),
                    tied_in: false,
                    tied_out: false,
                    finger: None,
                    shows_finger: false,
                };
                let event = Event {
                    at,
                    value: NoteValue::of(ticks.abs()).unwrap(),
                    notes: if *ticks > 0 { vec![note] } else { Vec::new() },
                    staccato: false,
                    fermata: false,
                    clef_change: None,
                };
                at = event.end();
                event
            })
            .collect();
        beamed(metre, 0, &events)
    }

    #[test]
    fn eighths_share_beams_between_imaginary_barlines() {
        assert_eq!(grouped(Metre::FourFour, &[24; 8]), [vec![0, 1, 2, 3], vec![4, 5, 6, 7]]);
        assert_eq!(grouped(Metre::ThreeFour, &[24; 6]), [vec![0, 1, 2, 3, 4, 5]]);
        assert_eq!(grouped(Metre::SixEight, &[24; 6]), [vec![0, 1, 2], vec![3, 4, 5]]);
        let five = grouped(Metre::FiveFour, &[24; 10]);
        assert_eq!(five, [vec![0, 1, 2, 3, 4, 5], vec![6, 7, 8, 9]]);
    }

    #[test]
    fn among_other_values_each_beat_has_its_beam() {
        assert_eq!(grouped(Metre::ThreeFour, &[24, 24, 24, 24, 48]), [vec![0, 1], vec![2, 3]]);
        let sixteenths = grouped(Metre::FourFour, &[12, 12, 24, 24, 24, -96]);
        assert_eq!(sixteenths, [vec![0, 1, 2], vec![3, 4]]);
        let triplets = grouped(Metre::FourFour, &[16, 16, 16, 24, 24, 16, -16, 16, 32, 16]);
        assert_eq!(triplets, [vec![0, 1, 2], vec![3, 4]]);
        let resting = grouped(Metre::SixEight, &[-24, 24, 24, 24, -24, 24]);
        assert_eq!(resting, [vec![1, 2]]);
    }

    #[test]
    fn three_quarters_over_two_beats_are_one_triplet() {
        let event = |(at, value): (Ticks, NoteValue)| Event::rest(at, value);
        let values = |values: &[NoteValue]| {
            let mut at = 0;
            let events: Vec<Event> = values
                .iter()
                .map(|value| {
                    let own = event((at, *value));
                    at = own.end();
                    own
                })
                .collect();
            triplets(&events).iter().map(|group| (group.start, group.end)).collect::<Vec<_>>()
        };
        use NoteValue::{Quarter, TripletEighth, TripletQuarter};
        let (long, short) = (TripletQuarter, TripletEighth);
        assert_eq!(values(&[long, long, long]), [(0, 3)]);
        assert_eq!(values(&[Quarter, Quarter, long, long, long]), [(2, 5)]);
        assert_eq!(values(&[long, long, long, long, long, long]), [(0, 3), (3, 6)]);
        assert_eq!(values(&[long, short, short, long]), [(0, 2), (2, 4)]);
        assert_eq!(values(&[short, short, short, long, short]), [(0, 3), (3, 5)]);
    }
}
