//! survey

use quintfall::recipe::FingeringMarks;
use quintfall::score::{Clef, Event, Hand, Score};
use quintfall::theory::Key;

use crate::{drills, realised};

pub(crate) fn with_clefs(score: &Score, hand: Hand) -> Vec<(Clef, &Event)> {
    let mut clef = score.opening_clefs[hand];
    score
        .bars
        .iter()
        .flat_map(|bar| &bar.staves[hand].events)
        .map(|event| {
            clef = event.clef_change.unwrap_or(clef);
            (clef, event)
        })
        .collect()
}

#[test]
fn survey() {
    let only = std::env::var("DRILL").ok();
    for template in drills() {
        if only.as_ref().is_some_and(|only| *only != template.name) {
            continue;
        }
        println!("== {}", template.name);
        for hand in Hand::BOTH {
            let mut scores: Vec<Score> = Key::ring(template.mode)
                .into_iter()
                .map(|key| realised(&template, key, FingeringMarks::None))
                .collect();
            let first = |score: &Score| {
                with_clefs(score, hand)
                    .iter()
                    .flat_map(|(_, event)| &event.notes)
                    .map(|note| note.pitch.midi())
                    .next()
                    .unwrap()
            };
            scores.sort_by_key(first);
            for score in &scores {
                let events = with_clefs(score, hand);
                let notes: Vec<_> = events
                    .iter()
                    .flat_map(|(_, event)| &event.notes)
                    .map(|note| note.pitch)
                    .collect();
                let low = notes.iter().min_by_key(|pitch| pitch.midi()).unwrap();
                let high = notes.iter().max_by_key(|pitch| pitch.midi()).unwrap();
                let mut ledger = [0; 7];
                let mut row = String::new();
                let mut last = None;
                for (clef, event) in &events {
                    if event.notes.is_empty() || event.is_tied_in() {
                        continue;
                    }
                    let lines =
                        event.notes.iter().map(|note| clef.ledger_lines(note.pitch)).max().unwrap();
                    ledger[lines as usize] += 1;
                    if last != Some(*clef) {
                        row.push_str(&format!(
                            " {}{}.{}",
                            if *clef == Clef::Treble { "T" } else { "B" },
                            event.at / score.metre.bar() + 1,
                            event.at % score.metre.bar() / 48,
                        ));
                        last = Some(*clef);
                    }
                }
                println!(
                    "{:5} {:10} {}..{} first {} |{row} | ledgers {:?} low {} thick {}",
                    format!("{hand:?}"),
                    score.key.to_string(),
                    low,
                    high,
                    notes[0],
                    &ledger[..5],
                    score.low_chords.len(),
                    score.thick_chords.len(),
                );
            }
        }
    }
}
