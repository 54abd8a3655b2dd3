//! The notes of a score in words, bar by bar and hand by hand, for those who cannot see them.

use crate::score::{Bar, Event, Hand, Metre, NoteValue, Score, Ticks};

/// What each hand does in each bar: beats, notes with their octaves (middle C is C4), lengths, and
/// the fingers that are printed. A hand that rests for a whole bar is passed over.
pub(super) fn lines(score: &Score) -> Vec<String> {
    let bar = |(index, bar): (usize, &Bar)| {
        let hands = bar.staves.as_ref().with_hands().map(|(hand, staff)| {
            let events = staff.events.iter().filter(|event| !event.is_rest());
            let events: Vec<String> =
                events.map(|event| told(event, bar.start, score.metre)).collect();
            let hand = match hand {
                Hand::Right => "right hand",
                Hand::Left => "left hand",
            };
            (!events.is_empty()).then(|| format!("{hand}: {}.", events.join("; ")))
        });
        let hands: Vec<String> = hands.into_iter().flatten().collect();
        (!hands.is_empty()).then(|| format!("Bar {}, {}", index + 1, hands.join(" Then the ")))
    };
    score.bars.iter().enumerate().filter_map(bar).collect()
}

fn told(event: &Event, start: Ticks, metre: Metre) -> String {
    let notes = event.notes.iter().map(|note| match note.finger.filter(|_| note.shows_finger) {
        Some(finger) => format!("{} finger {finger}", note.pitch),
        None => note.pitch.to_string(),
    });
    let notes = notes.collect::<Vec<_>>().join(" ");
    let held = if event.is_tied_in() { ", held on" } else { "" };
    format!("{} {notes}, {}{held}", beat(event.at - start, metre), value(event.value))
}

/// When in its bar something is, as it is counted.
fn beat(at: Ticks, metre: Metre) -> String {
    let unit = metre.count_unit();
    let (beat, within) = (at.div_euclid(unit) + 1, at.rem_euclid(unit));
    let part = match within * 12 / unit {
        0 => "",
        3 => " e",
        4 => " second third",
        6 => " and",
        8 => " last third",
        9 => " a",
        _ => " within",
    };
    format!("{beat}{part}")
}

fn value(value: NoteValue) -> &'static str {
    match value {
        NoteValue::Sixteenth => "sixteenth",
        NoteValue::TripletEighth => "triplet eighth",
        NoteValue::Eighth => "eighth",
        NoteValue::TripletQuarter => "triplet quarter",
        NoteValue::DottedEighth => "dotted eighth",
        NoteValue::Quarter => "quarter",
        NoteValue::DottedQuarter => "dotted quarter",
        NoteValue::Half => "half",
        NoteValue::DottedHalf => "dotted half",
        NoteValue::Whole | NoteValue::WholeBar(_) => "whole",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::pipeline;
    use crate::drill::{Template, library};
    use crate::recipe::{DocumentForm, Recipe};

    /// Every note that is struck is told once, of every drill of the library.
    #[test]
    fn every_note_is_told() {
        for (name, text) in library::all() {
            assert!(Template::parse(text, name).is_ok());
            let recipe =
                Recipe { form: DocumentForm::Handout, drill: name.to_owned(), ..Recipe::default() };
            let recipe = Recipe { keys: vec!["C".parse().unwrap()], ..recipe };
            let commission = pipeline::commission(&recipe).unwrap();
            let exercise = &commission.course.exercises[0];
            let score = exercise.score(&exercise.drill(), exercise.keys[0]);
            let staves = score.bars.iter().flat_map(|bar| bar.staves.iter());
            let notes: usize =
                staves.flat_map(|staff| &staff.events).map(|event| event.notes.len()).sum();
            let told = lines(&score).join(" ");
            assert!(!told.contains("within"), "{name}: {told}");
            let octaves = told.split([' ', ',']).filter(|word| {
                word.starts_with(char::is_uppercase)
                    && word.ends_with(|end: char| end.is_ascii_digit())
            });
            assert_eq!(octaves.count(), notes, "{name}: {told}");
        }
    }
}
