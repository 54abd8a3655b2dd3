//! Small passages as pianists play them (common practice, no source), and the handbook's broken
//! chords.

use std::collections::BTreeMap;

use quintfall::fingering::HandSpans;
use quintfall::recipe::Recipe;
use quintfall::score::{Hand, QUARTER, Ticks};
use quintfall::theory::{Mode, NoteName, Pitch, Scale};

use crate::lines::Line;

/// A line as it is written here: lengths (`h` half, `q` quarter, `e` eighth, `s` sixteenth, `t`
/// eighth of a triplet) hold until the next one; `r` is a rest; notes struck together are joined
/// by `+`; after a colon stand the fingers, low note first, and after a stroke others as usual.
fn read(text: &str) -> (Line, Vec<Vec<Vec<u8>>>) {
    let mut line = Line::default();
    let mut usual = Vec::new();
    let (mut at, mut length): (Ticks, Ticks) = (0, QUARTER);
    for word in text.split_whitespace() {
        match word {
            "h" => length = 2 * QUARTER,
            "q" => length = QUARTER,
            "e" => length = QUARTER / 2,
            "s" => length = QUARTER / 4,
            "t" => length = QUARTER / 3,
            "|" => {}
            "r" => at += length,
            _ => {
                let (notes, digits) = word.split_once(':').expect("notes and fingers");
                let pitches = notes.split('+').map(|note| {
                    let (name, octave) = note.split_at(note.len() - 1);
                    let name = NoteName::parse(name).expect("a note");
                    Pitch::new(name, octave.parse().expect("an octave"))
                });
                line.struck.push((at, at + length, pitches.collect(), Vec::new()));
                let digits = digits.split('/');
                let digits = digits.map(|all| all.bytes().map(|digit| digit - b'0').collect());
                usual.push(digits.collect());
                at += length;
            }
        }
    }
    (line, usual)
}

const RIGHT: &[&str] = &[
    // Five keys.
    "e C5:1 D5:2 E5:3 F5:4 G5:5 F5:4 E5:3 D5:2 q C5:1",
    "q E5:3 E5:3 F5:4 G5:5 G5:5 F5:4 E5:3 D5:2 C5:1 C5:1 D5:2 E5:3 E5:3 D5:2 h D5:2",
    "e G4:1 A4:2 B4:3 C5:4 q D5:5 B4:3 G4:1",
    "e D5:1 F#5:3 A5:5 F#5:3 E5:2 G5:4 q F#5:3 D5:1",
    "e F4:1 A4:3 G4:2 Bb4:4 A4:3 C5:5 A4:3 F4:1",
    "q G5:5 e E5:3 C5:1 q D5:2 e F5:4 D5:2 q C5:1",
    "e E5:3 C5:1 D5:2 E5:3 F5:4 D5:2 E5:3 F5:4 q G5:5 E5:3 h C5:1",
    "e G5:5 G5:5 F5:4 F5:4 E5:3 E5:3 D5:2 D5:2 q C5:1",
    "s E5:3 F5:4 E5:3 F5:4 E5:3 F5:4 E5:3 D5:2 q C5:1",
    "e C5:1 E5:3 D5:2 F5:4 E5:3 G5:5 F5:4 D5:2 q C5:1",
    "e A4:1 B4:2 C5:3 B4:2 q A4:1 r e A4:1 B4:2 C5:3 D5:4 q E5:5",
    "e C5:1 G5:5 E5:3 G5:5 D5:2 G5:5 E5:3 C5:1",
    // A neighbour of the position.
    "q C5:2 e B4:1 C5:2 q D5:3 C5:2",
    "e G5:4 F#5:3 G5:4 A5:5 G5:4 F5:3 E5:2 D5:1",
    "q G4:1 e E5:5 D5:4 C5:3 B4:2 q C5:3",
    // A dance in G, of a notebook of 1725.
    "q D5:5 e G4:1 A4:2 B4:3 C5:4 q D5:5 G4:1 G4:1 q E5:3 e C5:1 D5:2 E5:3 F#5:4 q G5:5 G4:1 G4:1 \
     q C5:4 e D5:5 C5:4 B4:3 A4:2 q B4:3 e C5:4 B4:3 A4:2 G4:1 q F#4:2 e G4:1 A4:2 B4:3 G4:1 h A4:2",
    "e G4:1 A4:2 B4:3 C5:4 D5:5 C5:4 B4:3 A4:2 G4:1 F#4:2 q G4:1",
    "e C5:2 D5:3 E5:4 D5:3 C5:2 B4:1 q C5:2",
    "e D5:1 E5:2 F#5:3 G5:4 A5:5 G5:4 F#5:3 E5:2 D5:1 C#5:2 q D5:1",
    "s A5:5 G5:4 F5:3 E5:2 D5:1 E5:2 F5:3 G5:4 q A5:5 r | s G5:5 F5:4 E5:3 D5:2 C5:1 D5:2 E5:3 F5:4 q G5:5",
    "e C5:1 D5:2 E5:3 F5:1 G5:2 A5:3 G5:2 F5:1 E5:3 D5:2 q C5:1",
    "q C5:1 e r E5:3 D5:2 C5:1 q D5:2 e r F5:4 E5:3 D5:2 q E5:3 G5:5 C5:1",
    "q G5:5 e F#5:4 G5:5 q E5:3 C5:1 | q F5:4 e E5:3 F5:4 q D5:2 B4:1",
    "e E5:3 F5:4 G5:5 E5:3 C5:1 E5:3 q D5:2 | e D5:2 E5:3 F5:4 D5:2 B4:1 D5:2 q C5:1/3",
    "s C5:1 D5:2 E5:3 C5:1 D5:2 E5:3 F5:4 D5:2 E5:3 F5:4 G5:5 E5:3 q C5:1",
    "t G5:5 E5:3 C5:1 G5:5 E5:3 C5:1 A5:5 F5:3 C5:1 A5:5 F5:3 C5:1 F5:4/5 D5:2/3 B4:1 F5:4/5 D5:2/3 B4:1 q C5:1/2",
    // Scales.
    "e C5:1 D5:2 E5:3 F5:1 G5:2 A5:3 B5:4 C6:5",
    "e C6:5 B5:4 A5:3 G5:2 F5:1 E5:3 D5:2 C5:1",
    "s G4:1 A4:2 B4:3 C5:1 D5:2 E5:3 F#5:4 q G5:5",
    "s D5:1 E5:2 F#5:3 G5:1 A5:2 B5:3 C#6:4 D6:5 C#6:4 B5:3 A5:2 G5:1 F#5:3 E5:2 q D5:1",
    "s F4:1 G4:2 A4:3 Bb4:4 C5:1 D5:2 E5:3 F5:4 E5:3 D5:2 C5:1 Bb4:4 A4:3 G4:2 q F4:1",
    "e A4:1 B4:2 C5:3 D5:1 E5:2 F5:3 G#5:4 A5:5",
    "s A4:1 B4:2 C5:3 D5:1 E5:2 F5:3 G5:4 A5:5 G5:4 F5:3 E5:2 D5:1 C5:3 B4:2 q A4:1",
    "s G5:5 F5:4 E5:3 D5:2 C5:1 B4:3 A4:2 G4:1",
    // Broken chords.
    "e C5:1 E5:2 G5:3 C6:5 G5:3 E5:2 q C5:1",
    "e E4:1 G4:2 C5:4 E5:5 C5:4 G4:2 q E4:1",
    "t G4:1 B4:2 D5:3 G5:5 D5:3 B4:2 q G4:1",
    "t C5:1 E5:3 G5:5 C5:1 F5:3/4 A5:5 B4:1 F5:4 G5:5 q C5:1",
    // Double notes.
    "q C5+E5:13 D5+F5:24 E5+G5:35 D5+F5:24 h C5+E5:13",
    "q E4+C5:15 F4+D5:15 G4+E5:15 F4+D5:15 h E4+C5:15",
    "q C4+C5:15 D4+D5:15 E4+E5:15 h C4+C5:15",
    "q C4+E4+G4:135 C4+F4+A4:135/125/124 B3+F4+G4:145 h C4+E4+G4:135",
    // Octaves and leaps.
    "q C5:1 C6:5 G5:3/2 E5:2/1",
    "q C5:1 e r C5:1 q E5:3 e r E5:3 h G5:5",
];

const LEFT: &[&str] = &[
    // Five keys.
    "e C3:5 D3:4 E3:3 F3:2 G3:1 F3:2 E3:3 D3:4 q C3:5",
    "q C3:5 e E3:3 G3:1 q F3:2 D3:4 E3:3 h C3:5",
    "q G3:1 e F3:2 E3:3 q D3:4 e E3:3 F3:2 q G3:1 C3:5",
    "e G3:1 E3:3 F3:2 D3:4 E3:3 C3:5 D3:4 G3:1",
    // Chords broken as Alberti did.
    "e C3:5 G3:1 E3:3 G3:1 C3:5 G3:1 E3:3 G3:1 | C3:5 A3:1 F3:2 A3:1 C3:5 A3:1 F3:2 A3:1 | B2:5 G3:1 F3:2 G3:1 B2:5 G3:1 F3:2 G3:1 | C3:5 G3:1 E3:3 G3:1 q C3:5",
    "e C3:5 G3:1 E3:3 G3:1 D3:4 G3:1 F3:2 G3:1 C3:5 G3:1 E3:3 G3:1 B2:5 G3:1 D3:3 G3:1",
    "e G3:5 D4:1 B3:3 D4:1 G3:5 E4:1 C4:2 E4:1 F#3:5 D4:1 C4:2 D4:1 G3:5 D4:1 B3:3 D4:1",
    "s F3:5 C4:1 A3:3 C4:1 F3:5 C4:1 A3:3 C4:1 F3:5 D4:1 Bb3:2 D4:1 E3:5 C4:1 Bb3:2 C4:1",
    "e A2:5 E3:1 C3:3 E3:1 A2:5 F3:1 D3:2 F3:1 G#2:5 E3:1 D3:2 E3:1 A2:5 E3:1 C3:3 E3:1",
    "s C3:5 E3:3 G3:1 E3:3 C3:5 E3:3 G3:1 E3:3 B2:5 D3:4/3 G3:1 D3:4/3 C3:5 F3:2 A3:1 F3:2 C3:5 E3:3 G3:1 E3:3",
    "e C3:5 G3:1 E3:3 G3:1 D3:5/4 G3:1 F3:2 G3:1 E3:5/3 G3:1 C3:5 G3:1",
    "q C3:5 r G3:1 r C3:5 E3:3 G3:1 r",
    "e G3:1 F3:2 G3:1 F3:2 E3:3 D3:4 q C3:5",
    "q C3+E3+G3:531 r C3+E3+G3:531 r B2+D3+G3:531/541 r C3+E3+G3:531 r",
    // Chords in triplets.
    "t C3:5 E3:3 G3:1 C3:5 E3:3 G3:1 C3:5 F3:2 A3:1 C3:5 F3:2 A3:1 B2:5 F3:2 G3:1 B2:5 F3:2 G3:1 q C3:5",
    "e C3:5 E3:3 G3:1 E3:3 C3:5 E3:3 G3:1 E3:3",
    "e C3:5 E3:4 G3:2 C4:1 G3:2 E3:4 q C3:5",
    "e G2:5 D3:2/3 G3:1 D3:2/3 G2:5 D3:2/3 G3:1 D3:2/3",
    // Solid chords.
    "h C3+E3+G3:531 C3+F3+A3:521 B2+F3+G3:521 C3+E3+G3:531",
    "h G3+B3+D4:531 G3+C4+E4:521 F#3+C4+D4:521 G3+B3+D4:531",
    "q r E3+G3:31 E3+G3:31 r F3+G3:21 F3+G3:21 r E3+G3:31 E3+G3:31",
    "q C3:5 E3+G3:31 E3+G3:31 C3:5 F3+A3:21/31 F3+A3:21/31 B2:5 F3+G3:21 F3+G3:21 C3:5 E3+G3:31 E3+G3:31",
    "h C3+E3:53 D3+F3:42 E3+G3:31 D3+F3:42 C3+E3:53",
    "h C3+G3:51 C3+A3:51 B2+G3:51 C3+G3:51",
    "q C2+C3:51 D2+D3:51 E2+E3:51 h C2+C3:51",
    // Bass notes.
    "q C3:5 G3:1 C3:5 G3:1",
    "q C3:5 C4:1 G3:2 E3:3/4 h C3:5",
    "h G2:5 G3:1 q C3:5 C4:1",
    // Scales.
    "e C3:5 D3:4 E3:3 F3:2 G3:1 A3:3 B3:2 C4:1 B3:2 A3:3 G3:1 F3:2 E3:3 D3:4 q C3:5",
    "s G2:5 A2:4 B2:3 C3:2 D3:1 E3:3 F#3:2 q G3:1",
    "e C4:1 B3:2 A3:3 G3:1 F3:2 E3:3 D3:4 q C3:5",
    "e F3:5 G3:4 A3:3 Bb3:2 C4:1 D4:3 E4:2 q F4:1",
    // A dance in G.
    "q G3:5/3 A3:4/2 h B3:3/1 q G3:5 D4:1 B3:3/2 G3:5/4",
];

/// Notes that have one of the usual fingers, and all.
fn agree(hand: Hand, texts: &[&str]) -> (f64, f64) {
    let (mut agree, mut all) = (0.0, 0.0);
    for text in texts {
        let (line, usual) = read(text);
        let solved = line.solve(hand, HandSpans::default()).fingers;
        let flat = |fingers: &[Vec<u8>]| {
            let chord = |chord: &Vec<u8>| chord.iter().map(u8::to_string).collect::<String>();
            fingers.iter().map(chord).collect::<Vec<_>>().join(" ")
        };
        let (mut own, mut count) = (0, 0);
        for (fingers, usual) in solved.iter().zip(&usual) {
            let alike = |usual: &Vec<u8>| fingers.iter().zip(usual).filter(|(a, b)| a == b).count();
            own += usual.iter().map(alike).max().unwrap_or(0);
            count += fingers.len();
        }
        if own < count {
            let usual: Vec<Vec<u8>> = usual.into_iter().map(|mut all| all.remove(0)).collect();
            let [ours, usual] = [flat(&solved), flat(&usual)];
            println!("{hand:?} {own} of {count}: {text}\n    ours  {ours}\n    usual {usual}");
        }
        agree += own as f64;
        all += count as f64;
    }
    println!("{hand:?}: {agree} of {all} notes, {:.1} %", 100.0 * agree / all);
    (agree, all)
}

#[test]
fn small_passages_have_the_fingers_of_pianists() {
    for (hand, texts, least) in [(Hand::Right, RIGHT, 0.97), (Hand::Left, LEFT, 0.97)] {
        let (agree, all) = agree(hand, texts);
        assert!(agree >= least * all, "{hand:?}");
    }
}

/// Four keys of a triad from octave to octave, in the 24 keys of the book.
///
/// Source: Beringer and Dunhill 1900, as counted outside this project: the right hand has 1235 in
/// root position, 1245 in the first inversion, in the second 1245 (14 keys) or 1235 (10); the left
/// hand 5421 (15) or 5321 (9), 5421, 5321. Ours differ in one key and in two.
#[test]
fn broken_chords_have_the_fingers_of_the_handbook() {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    let majors = Recipe::default().keys.into_iter().map(|key| key.tonic());
    for (tonic, mode) in majors.flat_map(|t| [(t, Mode::Major), (t, Mode::NaturalMinor)]) {
        let scale = Scale { tonic, mode };
        let tonic = Pitch::new(tonic, 3);
        for (hand, position) in Hand::BOTH.into_iter().flat_map(|h| (0..3).map(move |p| (h, p))) {
            let degree = |tone: i32| 1 + tone.div_euclid(3) * 7 + tone.rem_euclid(3) * 2;
            let tones = position..=position + 3;
            let keys: Vec<Pitch> =
                tones.map(|tone| tonic.up(scale.interval(degree(tone)))).collect();
            let digits = Line::notes(&keys).digits(hand);
            *counts.entry(format!("{hand:?} {position} {digits}")).or_default() += 1;
        }
    }
    println!("{counts:#?}");
    let expected = [
        ("Left 0 5321", 8),
        ("Left 0 5421", 16),
        ("Left 1 5421", 24),
        ("Left 2 5321", 24),
        ("Right 0 1235", 24),
        ("Right 1 1245", 24),
        ("Right 2 1235", 8),
        ("Right 2 1245", 16),
    ];
    assert!(counts.iter().map(|(name, count)| (name.as_str(), *count)).eq(expected));
}
