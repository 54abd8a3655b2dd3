//! Key areas against analyses by people: the chorales that music21 carries.
//!
//! A check from outside, and a hard one: the chorales are no jazz, few of their dominants have a
//! seventh, and their keys change with every phrase.

use std::fs;
use std::path::Path;

use quintfall::chart::{HeldChord, Unfolded, analyse};
use quintfall::score::{Metre, Ticks};
use quintfall::theory::{Key, NoteName, read_chord};
use serde::Deserialize;

#[derive(Deserialize)]
struct Chorale {
    name: String,
    metre: Metre,
    /// When each chord begins, its symbol, its key as people heard it, and its numeral.
    chords: Vec<(Ticks, String, String, String)>,
}

fn chorales() -> Vec<Chorale> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/chorale_keys.json");
    let text = fs::read_to_string(path).expect("the chorales");
    serde_json::from_str(&text).expect("chorales as tests/outside/keys.py writes them")
}

impl Chorale {
    fn tune(&self) -> Unfolded {
        let bar = self.metre.bar();
        let last = self.chords.last().expect("a chord").0;
        let bars = last.div_euclid(bar) + 1;
        let end = |place: usize| self.chords.get(place + 1).map_or(bars * bar, |next| next.0);
        let change = |(written, chord): (usize, &(Ticks, String, String, String))| {
            let name = &chord.1;
            let read = read_chord(name).unwrap_or_else(|why| panic!("{}: {why}", self.name));
            let length = end(written) - chord.0;
            HeldChord { written, at: chord.0, length, chord: Some(read) }
        };
        let changes = self.chords.iter().enumerate().map(change).collect();
        Unfolded {
            metre: self.metre,
            bars: bars as usize,
            sections: Vec::new(),
            changes,
            before_another: None,
        }
    }
}

/// The pitch class of a key's tonic and whether it is minor.
fn sounding(key: Key) -> (i32, bool) {
    (key.tonic().pitch_class(), key.is_minor())
}

fn heard(words: &str) -> (i32, bool) {
    let (tonic, mode) = words.split_once(' ').expect("a tonic and a mode");
    (NoteName::parse(tonic).expect("a tonic").pitch_class(), mode == "minor")
}

/// The share of time in which the key is the one that people heard, and of chorales whose main key
/// is the one in which they end. The floors are what was reached, rounded down.
#[test]
fn key_areas_are_those_that_people_heard() {
    let (mut alike, mut kindred, mut all) = (0, 0, 0);
    let (mut homes, mut count) = (0, 0);
    for chorale in chorales() {
        let tune = chorale.tune();
        let analysis = analyse(&tune).expect("chords");
        for (reading, chord) in analysis.readings.iter().zip(&chorale.chords) {
            let length = tune.changes[reading.written].length;
            let [own, theirs] = [sounding(reading.key), heard(&chord.2)];
            all += length;
            alike += if own == theirs { length } else { 0 };
            // The relative key has the same signature, and phrases turn on chords of both.
            let signature = |(tonic, minor): (i32, bool)| (tonic + if minor { 3 } else { 0 }) % 12;
            kindred += if signature(own) == signature(theirs) { length } else { 0 };
        }
        let end = heard(&chorale.chords.last().expect("a chord").2);
        homes += i32::from(sounding(analysis.home) == end);
        count += 1;
        if std::env::var_os("QUINTFALL_SHOW").is_some() {
            show(&chorale, &analysis);
        }
    }
    let share = |part: Ticks, whole: Ticks| 100.0 * f64::from(part) / f64::from(whole);
    println!(
        "chorales compared with music21: key areas {:.1} % of the time, signatures {:.1} %, main \
         key {homes} of {count}",
        share(alike, all),
        share(kindred, all)
    );
    assert!(share(alike, all) >= 69.0);
    assert!(share(kindred, all) >= 79.0);
    assert!(homes >= count - 2, "{homes} of {count}");
}

/// Where people heard another key, chord by chord.
fn show(chorale: &Chorale, analysis: &quintfall::chart::Analysis) {
    println!("{} home {}", chorale.name, analysis.home.words());
    for (reading, chord) in analysis.readings.iter().zip(&chorale.chords) {
        let mark = if sounding(reading.key) == heard(&chord.2) { ' ' } else { '!' };
        println!("{mark} {:8} {:10} {:8} {}", chord.1, chord.2, chord.3, reading.key.words());
    }
}
