//! Whatever is written reads back, and nothing that is typed breaks the reader.

use proptest::prelude::*;

use quintfall::theory::{
    Chord, ChordKind, ChordStyle, Letter, NoteName, NoteNames, Numeral, NumeralStyle, chord_symbol,
    plain_text, read_chord, read_chord_named,
};

fn notes() -> impl Iterator<Item = NoteName> {
    let letters = Letter::ALL.into_iter();
    letters.flat_map(|letter| (-2..=2).map(move |alter| NoteName::new(letter, alter)))
}

fn written(chord: Chord, style: ChordStyle) -> String {
    plain_text(&chord_symbol(chord, style))
}

/// The text with the letters that are typed for signs.
fn typed(text: &str) -> String {
    text.replace('♭', "b").replace('♯', "#").replace('°', "o")
}

#[test]
fn every_chord_reads_back_as_it_is_written() {
    let mut count = 0;
    for kind in ChordKind::all() {
        for style in ChordStyle::all() {
            for root in notes() {
                let chord = Chord::new(root, kind);
                let text = written(chord, style);
                assert_eq!(read_chord(&text).as_ref(), Ok(&chord), "{text}");
                count += 1;
            }
        }
    }
    println!("{count} symbols read back");
}

#[test]
fn every_chord_over_a_bass_reads_back_as_it_is_written_and_as_it_is_typed() {
    let roots: Vec<NoteName> = notes().collect();
    for (place, kind) in ChordKind::all().enumerate() {
        for (turn, style) in ChordStyle::all().enumerate() {
            let root = roots[(place * 12 + turn) % roots.len()];
            for bass in notes() {
                let chord = Chord::new(root, kind).over(bass);
                let text = written(chord, style);
                assert_eq!(read_chord(&text).as_ref(), Ok(&chord), "{text}");
                let text = typed(&text);
                assert_eq!(read_chord(&text).as_ref(), Ok(&chord), "{text}");
            }
        }
    }
}

/// No two kinds have one symbol, or one numeral on a degree.
#[test]
fn no_symbol_or_numeral_names_two_kinds() {
    for style in ChordStyle::all() {
        let mut symbols = std::collections::BTreeMap::new();
        let mut numerals = std::collections::BTreeMap::new();
        for kind in ChordKind::all() {
            let root = NoteName::new(Letter::C, 0);
            let other = symbols.insert(written(Chord::new(root, kind), style), kind);
            assert_eq!(other, None, "{kind:?}");
            let numeral = plain_text(&Numeral::new(5, kind).parts(NumeralStyle::On, style));
            assert_eq!(numerals.insert(numeral, kind), None, "{kind:?}");
        }
    }
}

/// A suffix alone reads as its kind.
#[test]
fn every_kind_reads_back_without_a_root() {
    for kind in ChordKind::all() {
        for style in ChordStyle::all() {
            let text = written(Chord::new(NoteName::new(Letter::C, 0), kind), style);
            assert_eq!(text[1..].parse::<ChordKind>(), Ok(kind), "{text}");
        }
    }
}

/// Pieces of symbols in any order, and any other text.
fn anything() -> impl Strategy<Value = String> {
    let pieces = prop::sample::select(
        [
            "C",
            "B",
            "H",
            "b",
            "♭",
            "#",
            "♯",
            "𝄫",
            "m",
            "M",
            "mi",
            "maj",
            "ma",
            "min",
            "-",
            "+",
            "△",
            "ø",
            "°",
            "o",
            "dim",
            "aug",
            "sus",
            "sus4",
            "add",
            "no",
            "omit",
            "alt",
            "dom",
            "2",
            "3",
            "4",
            "5",
            "6",
            "7",
            "9",
            "11",
            "13",
            "69",
            "99999999999",
            "(",
            ")",
            ",",
            "/",
            " ",
            "/E",
            "/b",
            "b9",
            "#11",
            "b5",
            "x",
            "é",
            "−",
            "maj7",
            "7",
            "j",
        ]
        .as_slice(),
    );
    let joined = prop::collection::vec(pieces, 0..9).prop_map(|pieces| pieces.concat());
    prop_oneof![4 => joined.prop_map(|rest| format!("C{rest}")), 1 => any::<String>()]
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: std::env::var("QUINTFALL_CASES").ok().and_then(|it| it.parse().ok()).unwrap_or(20_000),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    /// What is read is a chord that reads back as it is written; what is not read has its place,
    /// and the two readings of what may be read in two ways are two chords.
    #[test]
    fn nothing_that_is_typed_breaks_the_reader(text in anything()) {
        match read_chord(&text) {
            Ok(chord) => {
                for style in ChordStyle::all() {
                    let own = written(chord, style);
                    prop_assert_eq!(read_chord(&own), Ok(chord), "{} as {}", text, own);
                }
            }
            Err(error) => {
                let piece = text.get(error.at.clone());
                prop_assert!(piece.is_some_and(|piece| piece.starts_with(&error.piece)));
                prop_assert!(!error.to_string().contains('\n') || error.piece.contains('\n'));
                if let quintfall::theory::ChordProblem::TwoReadings(one, other) = &error.problem {
                    let [one, other] = [one, other].map(|text| read_chord(text));
                    prop_assert!(one.is_ok() && other.is_ok() && one != other, "{text}: {error}");
                }
            }
        }
        let german = read_chord_named(&text, NoteNames::German);
        if !text.contains(['H', 'B']) {
            prop_assert_eq!(german, read_chord(&text));
        }
    }
}
