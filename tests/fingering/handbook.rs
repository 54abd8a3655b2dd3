//! Beringer and Dunhill's arpeggios and scales (see `tests/data/README.md`).

use std::collections::BTreeMap;

use quintfall::score::Hand;
use quintfall::theory::{Key, Mode, NoteName, Pitch, Quality, Scale, SeventhChord};
use serde::Deserialize;

use crate::lines::{Line, tones};

#[derive(Deserialize)]
struct Handbook {
    dom7: BTreeMap<String, Arpeggio>,
    dim7: BTreeMap<String, Arpeggio>,
    major_scales: BTreeMap<String, Hands<String>>,
}

#[derive(Deserialize)]
struct Hands<T> {
    rh: T,
    lh: T,
}

type Arpeggio = Hands<Vec<String>>;

fn handbook() -> Handbook {
    serde_json::from_str(include_str!("../data/handbook_fingerings.json")).expect("sound data")
}

/// What the program gives and what the book prints, by name.
struct Compared {
    name: String,
    ours: String,
    book: String,
}

/// Counts what agrees, and checks that what does not is what is known.
fn judge(compared: &[Compared], least: usize, exceptions: &[(&str, &str)]) {
    let differing: Vec<&Compared> = compared.iter().filter(|c| c.ours != c.book).collect();
    let agree = compared.len() - differing.len();
    println!("{agree} of {} are the handbook's", compared.len());
    for Compared { name, ours, book } in &differing {
        let reason = exceptions.iter().find(|(known, _)| known == name).map(|(_, reason)| *reason);
        println!("{name}: {ours}, the book {book}: {}", reason.unwrap_or("NOT KNOWN"));
    }
    assert!(agree >= least, "{agree} of {} agree, {least} did", compared.len());
    let unknown = differing.iter().find(|c| !exceptions.iter().any(|(known, _)| *known == c.name));
    assert!(unknown.is_none(), "{} differs for no known reason", unknown.map_or("", |c| &c.name));
}

/// Up two octaves, or up and down again.
fn and_down(up: &[Pitch]) -> Vec<Pitch> {
    up.iter().chain(up.iter().rev().skip(1)).copied().collect()
}

fn arpeggios() -> Vec<Printed> {
    let book = handbook();
    let mut all = Vec::new();
    for (quality, rows, name) in
        [(Quality::Dominant, &book.dom7, "dom7"), (Quality::DiminishedSeventh, &book.dim7, "dim7")]
    {
        for (root, arpeggio) in rows {
            let chord = SeventhChord { root: NoteName::parse(root).expect("a root"), quality };
            for (hand, rows) in [(Hand::Right, &arpeggio.rh), (Hand::Left, &arpeggio.lh)] {
                for (inversion, digits) in (0..).zip(rows) {
                    let up = tones(chord, 3, inversion..=inversion + 8);
                    let name = format!("{root} {name} inversion {inversion} {hand:?}");
                    all.push((name, hand, up, digits.clone()));
                }
            }
        }
    }
    all
}

/// A passage of the handbook: its name, its hand, its notes upward, its digits up and down.
type Printed = (String, Hand, Vec<Pitch>, String);

fn upward(passages: Vec<Printed>) -> Vec<Compared> {
    let compare = |(name, hand, up, digits): Printed| {
        let ours = Line::notes(&up).digits(hand);
        Compared { name, ours, book: digits[..up.len()].to_owned() }
    };
    passages.into_iter().map(compare).collect()
}

fn up_and_down(passages: Vec<Printed>) -> Vec<Compared> {
    let compare = |(name, hand, up, book): Printed| Compared {
        name,
        ours: Line::notes(&and_down(&up)).digits(hand),
        book,
    };
    passages.into_iter().map(compare).collect()
}

#[test]
fn arpeggios_upward_are_the_handbooks() {
    let compared = upward(arpeggios());
    assert_eq!(compared.len(), 96);
    judge(&compared, 96, &[]);
}

#[test]
fn arpeggios_up_and_down_are_the_handbooks() {
    let compared = up_and_down(arpeggios());
    let other_end = "the book's last notes have other fingers than its first";
    judge(
        &compared,
        94,
        &[("G dom7 inversion 0 Left", other_end), ("A dom7 inversion 1 Left", other_end)],
    );
}

fn scales() -> Vec<Printed> {
    let mut all = Vec::new();
    for (name, hands) in handbook().major_scales {
        let tonic = name.trim_end_matches("_major").replace("flat", "b").replace("sharp", "#");
        let tonic: Key = tonic.parse().expect("a key");
        let scale = Scale { tonic: tonic.tonic(), mode: Mode::Major };
        let tonic = Pitch::new(tonic.tonic(), 3);
        let up: Vec<Pitch> = (1..=15).map(|degree| tonic.up(scale.interval(degree))).collect();
        for (hand, digits) in [(Hand::Right, hands.rh), (Hand::Left, hands.lh)] {
            all.push((format!("{name} {hand:?}"), hand, up.clone(), digits));
        }
    }
    all
}

/// Scales of one octave, one after another as figures, have the handbook's fingers, the same each
/// time; their ends those of one octave or of two, and where the line goes on, the thumb may stand
/// for the fifth finger.
#[test]
fn scales_of_one_octave_that_come_again_are_the_handbooks() {
    for (name, hand, up, book) in scales() {
        let up = &up[..8];
        let down: Vec<Pitch> = up.iter().rev().copied().collect();
        let figures = [up.to_vec(), up.to_vec(), down.clone(), down];
        let digits = Line::figures(&figures).digits(hand);
        let passes: Vec<Vec<char>> = digits
            .as_bytes()
            .chunks(8)
            .map(|pass| pass.iter().map(|d| char::from(*d)).collect())
            .collect();
        assert_eq!([&passes[0], &passes[2]], [&passes[1], &passes[3]], "{name} {hand:?} {digits}");
        let book: Vec<char> = book.chars().collect();
        for (pass, is_down) in [(&passes[0], false), (&passes[2], true)] {
            let mut pass = pass.clone();
            if is_down {
                pass.reverse();
            }
            assert_eq!(pass[1..7], book[1..7], "{name} {hand:?} {digits}");
            let is_end = |own: char, books: [char; 2]| {
                books.contains(&own) || own == '1' && books.contains(&'5')
            };
            assert!(is_end(pass[0], [book[0], book[7]]), "{name} {hand:?} {digits}");
            assert!(is_end(pass[7], [book[7], book[14]]), "{name} {hand:?} {digits}");
        }
    }
}

#[derive(Deserialize)]
struct Triads {
    major: BTreeMap<String, Hands<[Vec<String>; 3]>>,
}

/// Arpeggios of the major triads: of a position that the book gives several fingerings for, ours
/// is held against the one that it is nearest to.
fn triads() -> Vec<Compared> {
    let book: Triads =
        serde_json::from_str(include_str!("../data/handbook_triads.json")).expect("sound data");
    let mut all = Vec::new();
    for (root, hands) in book.major {
        let tonic = Pitch::new(NoteName::parse(&root).expect("a root"), 3);
        let scale = Scale { tonic: tonic.name, mode: Mode::Major };
        for (hand, positions) in [(Hand::Right, hands.rh), (Hand::Left, hands.lh)] {
            for (position, accepted) in (0..).zip(positions) {
                let tone = |tone: i32| 1 + tone.div_euclid(3) * 7 + tone.rem_euclid(3) * 2;
                let degrees = (position..=position + 6).map(tone);
                let up: Vec<Pitch> = degrees.map(|d| tonic.up(scale.interval(d))).collect();
                let ours = Line::notes(&and_down(&up)).digits(hand);
                let unlike =
                    |book: &&String| book.bytes().zip(ours.bytes()).filter(|(a, b)| a != b).count();
                let book = accepted.iter().min_by_key(unlike).expect("a fingering").clone();
                all.push(Compared {
                    name: format!("{root} position {position} {hand:?}"),
                    ours,
                    book,
                });
            }
        }
    }
    all
}

#[test]
fn triads_up_and_down_are_the_handbooks() {
    let compared = triads();
    assert_eq!(compared.len(), 66);
    judge(&compared, 66, &[]);
}

#[test]
fn major_scales_upward_are_the_handbooks() {
    let compared = upward(scales());
    assert_eq!(compared.len(), 24);
    judge(&compared, 24, &[]);
}

#[test]
fn major_scales_up_and_down_are_the_handbooks() {
    let compared = up_and_down(scales());
    let slip = "a slip of typing: 2 comes twice and an x stands for a digit";
    judge(&compared, 23, &[("fsharp_major Right", slip)]);
}

/// What the handbook does not print follows its rule: three octaves of any seventh chord have
/// the same fingers in each, and the thumb stays off black keys unless all are black.
#[test]
fn arpeggios_of_every_quality_are_alike_in_every_octave() {
    for quality in Quality::all() {
        for root in Key::majors().map(Key::tonic) {
            for (hand, inversion) in both_hands(0..4) {
                let notes = tones(SeventhChord { root, quality }, 2, inversion..=inversion + 12);
                alike_in_every_octave(hand, &notes, 4);
            }
        }
    }
}

/// The same for the modes of every major scale.
#[test]
fn scales_from_every_degree_are_alike_in_every_octave() {
    for key in Key::majors() {
        for (hand, degree) in both_hands(1..8) {
            let tonic = Pitch::new(key.tonic(), 2);
            let degrees = degree..=degree + 21;
            let notes: Vec<Pitch> = degrees.map(|d| tonic.up(key.scale().interval(d))).collect();
            alike_in_every_octave(hand, &notes, 7);
        }
    }
}

fn both_hands(range: std::ops::Range<i32>) -> impl Iterator<Item = (Hand, i32)> {
    Hand::BOTH.into_iter().flat_map(move |hand| range.clone().map(move |item| (hand, item)))
}

/// Checks three octaves, upward and then downward. The outermost fingers, where the hand comes
/// in and goes out, may differ.
fn alike_in_every_octave(hand: Hand, notes: &[Pitch], count: usize) {
    let down: Vec<Pitch> = notes.iter().rev().copied().collect();
    for notes in [notes, &down] {
        let digits = Line::notes(notes).digits(hand);
        let (from, to) = (count - 1, notes.len() - count);
        assert_eq!(
            digits[from..to - count],
            digits[from + count..to],
            "{hand:?} {notes:?} {digits}"
        );
        let on_black = |(pitch, digit): (&Pitch, char)| digit == '1' && pitch.name.is_black();
        let all_black = notes.iter().all(|pitch| pitch.name.is_black());
        let thumb_on_black = notes.iter().zip(digits.chars()).any(on_black);
        assert_eq!(thumb_on_black, all_black, "{hand:?} {notes:?} {digits}");
        assert!(digits[1..digits.len() - 1].chars().all(|digit| digit != '5'), "{digits}");
    }
}
