//! Fingers of every drill of the library, in every key and hand.

use std::collections::{BTreeMap, BTreeSet};

use quintfall::drill::{Choices, Drill, Template, library};
use quintfall::fingering::HandSize;
use quintfall::recipe::{FingeringMarks, Recipe};
use quintfall::score::{Hand, Score, Ticks};

/// What a hand strikes at one moment.
#[derive(Clone, Debug)]
pub(crate) struct Struck {
    pub(crate) at: Ticks,
    pub(crate) end: Ticks,
    /// Keys and their fingers, low to high.
    pub(crate) notes: Vec<(i32, u8)>,
    /// The passage that it lies in.
    passage: usize,
    /// Whether the hand begins a figure with it.
    pub(crate) begins: bool,
}

impl Struck {
    pub(crate) fn alone(&self) -> Option<(i32, u8)> {
        (self.notes.len() == 1).then(|| self.notes[0])
    }

    pub(crate) fn keys(&self) -> Vec<i32> {
        self.notes.iter().map(|(key, _)| *key).collect()
    }

    pub(crate) fn fingers(&self) -> Vec<u8> {
        self.notes.iter().map(|(_, finger)| *finger).collect()
    }
}

/// One hand's line of one drill in one key.
pub(crate) struct Line {
    pub(crate) drill: String,
    pub(crate) key: String,
    pub(crate) hand: Hand,
    pub(crate) struck: Vec<Struck>,
}

impl Line {
    pub(crate) fn name(&self) -> String {
        format!("{} in {} {:?}", self.drill, self.key, self.hand)
    }

    /// The figures: what is played over one chord.
    pub(crate) fn figures(&self) -> Vec<&[Struck]> {
        self.struck.chunk_by(|_, next| !next.begins).collect()
    }
}

/// Where figures of a template may begin: the beginning of each chord, with its passage.
fn chord_starts(template: &Template) -> Vec<(Ticks, usize)> {
    let mut starts = Vec::new();
    let mut at = 0;
    for (index, passage) in template.passages.iter().enumerate() {
        for chord in 0..passage.degrees.len() {
            starts.push((at, index));
            at += passage.chord_length(chord);
        }
    }
    starts
}

fn struck(template: &Template, score: &Score, hand: Hand) -> Vec<Struck> {
    let starts = chord_starts(template);
    let mut all: Vec<Struck> = Vec::new();
    let mut chord = usize::MAX;
    for event in score.bars.iter().flat_map(|bar| &bar.staves[hand].events) {
        if event.is_rest() {
            continue;
        }
        let end = event.at + event.value.ticks();
        if event.is_tied_in() {
            if let Some(last) = all.last_mut() {
                last.end = end;
            }
            continue;
        }
        let own = starts.iter().take_while(|(at, _)| *at <= event.at).count() - 1;
        let passage = starts[own].1;
        let has_figure = (hand == Hand::Left) == template.passages[passage].is_swapped;
        let mut notes: Vec<(i32, u8)> = event
            .notes
            .iter()
            .map(|note| (note.pitch.midi(), note.finger.expect("every note has a finger")))
            .collect();
        notes.sort_unstable();
        let begins = if has_figure {
            chord != own
        } else {
            let keys: Vec<i32> = notes.iter().map(|(key, _)| *key).collect();
            all.last().is_none_or(|last: &Struck| last.keys() != keys)
        };
        chord = own;
        all.push(Struck { at: event.at, end, notes, passage, begins });
    }
    all
}

/// Every line of the library, in the usual twelve keys.
pub(crate) fn lines() -> Vec<Line> {
    lines_of(HandSize::default())
}

/// The same, for a hand of a size.
pub(crate) fn lines_of(hand: HandSize) -> Vec<Line> {
    let mut lines = Vec::new();
    let choices = Choices { fingering: FingeringMarks::All, hand, ..Choices::default() };
    for (name, text) in library::all() {
        let template = Template::parse(text, name).expect("library drills are sound");
        let drill = Drill::of(&template);
        for key in Recipe::default().keys {
            let score = drill.realise(key.in_mode(template.mode), choices);
            for hand in Hand::BOTH {
                let (drill, key) = (name.to_owned(), score.key.to_string());
                lines.push(Line { drill, key, hand, struck: struck(&template, &score, hand) });
            }
        }
    }
    lines
}

pub(crate) fn is_black(key: i32) -> bool {
    matches!(key.rem_euclid(12), 1 | 3 | 6 | 8 | 10)
}

/// Neighbouring single notes without a rest between, on different keys.
pub(crate) fn steps(struck: &[Struck]) -> impl Iterator<Item = (&Struck, &Struck)> {
    struck.windows(2).filter_map(|pair| {
        let [(from, _), (to, _)] = [pair[0].alone()?, pair[1].alone()?];
        (from != to && pair[0].end == pair[1].at).then_some((&pair[0], &pair[1]))
    })
}

/// Places that are told of, by drill.
pub(crate) type Found = BTreeMap<String, Vec<String>>;

/// Adds the place at a moment of a line.
pub(crate) fn add(found: &mut Found, line: &Line, at: Ticks, told: &str) {
    let told = format!("{} bar {}: {told}", line.name(), at / 192 + 1);
    found.entry(line.drill.clone()).or_default().push(told);
}

pub(crate) fn told(what: &str, found: &Found) -> usize {
    let count: usize = found.values().map(Vec::len).sum();
    println!("{count} {what}");
    for (drill, all) in found {
        println!("  {drill}: {}, e.g. {}", all.len(), all[0]);
    }
    count
}

#[test]
fn no_finger_is_repeated_over_a_step() {
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for line in lines() {
        for (from, to) in steps(&line.struck) {
            // To a figure that begins an octave away or more the hand leaps.
            let [(key, finger), (next, again)] = [from.notes[0], to.notes[0]];
            let leaps = to.begins && (next - key).abs() >= 12;
            if finger == again && !leaps {
                let told = format!("{} at {}: {:?} {:?}", line.name(), to.at, from.notes, to.notes);
                found.entry(line.drill.clone()).or_default().push(told);
            }
        }
    }
    assert_eq!(told("times one finger on two neighbouring keys", &found), 0);
}

/// Keys go one way and fingers, none of which is the thumb, the other: the hand moves. It does so
/// where a figure begins, and never inside one.
#[test]
fn no_fingers_but_the_thumb_cross_inside_a_figure() {
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for line in lines() {
        for figure in line.figures() {
            for (from, to) in steps(figure) {
                let [(a, f), (b, g)] = [from.notes[0], to.notes[0]];
                let outward = if line.hand == Hand::Right { b - a } else { a - b };
                if (outward > 0) != (g > f) && f > 1 && g > 1 {
                    let told = format!("{} at {}: {a} {f}, {b} {g}", line.name(), to.at);
                    found.entry(line.drill.clone()).or_default().push(told);
                }
            }
        }
    }
    assert_eq!(told("times fingers cross without the thumb", &found), 0);
}

type Shape = (Hand, Vec<Vec<(i32, bool)>>);

/// A figure as intervals from its first key, with colours, and what comes next.
fn shape(hand: Hand, figure: &[Struck], [before, next]: [Option<&Struck>; 2]) -> Shape {
    let first = figure[0].notes[0].0;
    let seen = |struck: &Struck| -> Vec<(i32, bool)> {
        struck.notes.iter().map(|(key, _)| (key - first, is_black(*key))).collect()
    };
    let mut shape: Vec<_> = figure.iter().map(seen).collect();
    shape.push(Vec::new());
    shape.extend(next.map(seen));
    shape.push(Vec::new());
    shape.extend(before.map(seen));
    (hand, shape)
}

/// Fingers by shape, each with the places where it has them.
type Fingerings<K> = BTreeMap<K, BTreeMap<Vec<Vec<u8>>, Vec<String>>>;

/// The figures of each drill that do not have the usual fingers of their shape.
fn unusual<K>(all: &Fingerings<K>) -> BTreeMap<String, Vec<String>> {
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for fingerings in all.values() {
        let usual = fingerings.iter().max_by_key(|(_, places)| places.len()).expect("one");
        for (fingers, places) in fingerings.iter().filter(|(fingers, _)| *fingers != usual.0) {
            for place in places {
                let drill = place.split(' ').next().unwrap_or_default().to_owned();
                let told = format!("{place} {fingers:?}, {} {:?}", usual.1[0], usual.0);
                found.entry(drill).or_default().push(told);
            }
        }
    }
    found
}

/// Strokes from which on a figure is a shape.
const SHORTEST_SHAPE: usize = 3;

/// One shape, with what stands on both sides of it, has one fingering; where a figure further off
/// makes its neighbour yield, it may have to yield too, which one in two hundred may.
#[test]
fn one_shape_has_one_fingering() {
    let mut in_key: Fingerings<(String, Shape)> = BTreeMap::new();
    let mut among_keys: Fingerings<Shape> = BTreeMap::new();
    let mut alone: Fingerings<Shape> = BTreeMap::new();
    let mut count = 0;
    for line in lines() {
        let figures = line.figures();
        for (index, figure) in figures.iter().enumerate() {
            // A note or two of a bass go with what stands beside them.
            if figure.len() < SHORTEST_SHAPE {
                continue;
            }
            let next = figures.get(index + 1).map(|next| &next[0]);
            let before = index.checked_sub(1).map(|b| &figures[b][figures[b].len() - 1]);
            let fingers: Vec<Vec<u8>> = figure.iter().map(Struck::fingers).collect();
            let place = format!("{} at {}", line.name(), figure[0].at);
            let put = |fingerings: &mut BTreeMap<_, Vec<String>>| {
                fingerings.entry(fingers.clone()).or_default().push(place.clone());
            };
            let own = shape(line.hand, figure, [before, next]);
            let name = format!("{} {}", line.drill, line.key);
            put(in_key.entry((name, own.clone())).or_default());
            put(among_keys.entry(own).or_default());
            put(alone.entry(shape(line.hand, figure, [None; 2])).or_default());
            count += 1;
        }
    }
    println!("{count} figures");
    let told = [
        told("have other fingers than the same elsewhere in the key", &unusual(&in_key)),
        told("have other fingers than the same in any key", &unusual(&among_keys)),
        told("have others, whatever stands beside them", &unusual(&alone)),
    ];
    assert!(200 * told[0] <= count && 200 * told[1] <= count, "{told:?} of {count}");
}

#[test]
fn one_size_of_dyad_has_one_fingering_in_a_passage() {
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut hands = 0;
    for line in lines() {
        for passage in line.struck.chunk_by(|a, b| a.passage == b.passage) {
            let mut sizes: BTreeMap<i32, BTreeSet<Vec<u8>>> = BTreeMap::new();
            for dyad in passage.iter().filter(|struck| struck.notes.len() == 2) {
                let size = dyad.notes[1].0 - dyad.notes[0].0;
                sizes.entry(size).or_default().insert(dyad.fingers());
            }
            hands += usize::from(!sizes.is_empty());
            if let Some((size, all)) = sizes.iter().find(|(_, all)| all.len() > 1) {
                let told = format!("{} at {}: {size} {all:?}", line.name(), passage[0].at);
                found.entry(line.drill.clone()).or_default().push(told);
            }
        }
    }
    println!("{hands} passages of a hand with dyads");
    assert_eq!(told("of them with several fingerings of one size", &found), 0);
}

/// Dyads of nearly one size that follow one another with both keys going one way, as thirds along a
/// scale, keep their fingers: the hand moves as it is.
#[test]
fn dyads_that_move_in_parallel_keep_their_fingers() {
    let mut found = Found::new();
    let mut count = 0;
    for line in lines() {
        for pair in line.struck.windows(2) {
            let ([low, high], [next_low, next_high]) = (&pair[0].notes[..], &pair[1].notes[..])
            else {
                continue;
            };
            let moves = [next_low.0 - low.0, next_high.0 - high.0];
            if moves[0] * moves[1] <= 0 || (moves[0] - moves[1]).abs() > 1 {
                continue;
            }
            count += 1;
            if pair[0].fingers() != pair[1].fingers() {
                let told = format!("{:?} {:?}", pair[0].notes, pair[1].notes);
                add(&mut found, &line, pair[1].at, &told);
            }
        }
    }
    println!("{count} dyads move in parallel");
    assert!(count > 0);
    assert_eq!(told("of them change their fingers", &found), 0);
}
