//! The spellings of the trade, each beside the notes that players hear in it.

use std::hint::black_box;
use std::time::Instant;

use quintfall::theory::{NoteName, NoteNames, read_chord, read_chord_named};

/// Spellings of one chord, and its notes from the root up.
///
/// Source: the documentation of `kind` in MusicXML 4.0 and a survey of lead sheets; common
/// practice, no source.
const CHORDS: &[(&str, &str)] = &[
    ("C CM Cmaj CMaj Cma CMA Cmajor C major", "C E G"),
    ("Cm Cmi Cmin C- CMI CMin Cminor C−", "C Eb G"),
    ("Cdim C° Co Cmb5 Cm(b5) Cm-5 Cdiminished", "C Eb Gb"),
    ("Caug C+ C(#5) C+5 C(+5) Caug5", "C E G#"),
    ("C5 C(no3) Cno3 Comit3 C(omit3) C(no 3rd)", "C G"),
    ("C6 CM6 Cmaj6 Cma6 C(add6) Cadd13", "C E G A"),
    ("C6/9 C69 C6(9) C6add9 C(6/9) C6,9 Cmaj6/9 C6 / 9", "C E G A D"),
    ("Cm6 Cmi6 Cmin6 C-6 Cm(add6)", "C Eb G A"),
    ("Cm6/9 Cm69 C-69 Cmi6(9)", "C Eb G A D"),
    ("Cmaj7 Cma7 CMA7 CM7 CMaj7 CMAJ7 C△7 C△ CΔ C∆7 Cj7 Cj C7M C7maj C(maj7) Cmajor7", "C E G B"),
    ("C7 Cdom7 Cdom C(7) C dominant 7", "C E G Bb"),
    ("Cm7 Cmi7 CMI7 Cmin7 C-7 C–7 C minor 7", "C Eb G Bb"),
    (
        "Cm7b5 Cmi7(b5) Cmin7-5 Cø7 Cø C-7b5 Cm7(-5) Cm7♭5 C∅ C-7-5 C half-diminished C half-dim 7",
        "C Eb Gb Bb",
    ),
    ("Cdim7 C°7 Co7 Cdiminished7 Cº7", "C Eb Gb Bbb"),
    (
        "Cm(maj7) CmMaj7 Cmmaj7 CmM7 Cmi(ma7) C-△7 C-△ Cm(#7) Cm#7 Cm(+7) Cm/maj7 Cm/M7 Cm7M C-maj7 \
      Cmin(maj7) Cm(maj)",
        "C Eb G B",
    ),
    ("Cmaj7#5 Cma7(#5) Caugmaj7 C△7#5 C+△7 C+M7 Cmaj7+5 Cmaj7(+5) C+maj7 CM7+", "C E G# B"),
    ("C7#5 Caug7 C+7 C7+5 C7+ C7(#5) C7aug", "C E G# Bb"),
    ("C7b5 C7-5 C7(b5)", "C E Gb Bb"),
    ("Cdim(maj7) C°M7 C°△7 Cdimmaj7", "C Eb Gb B"),
    ("Csus Csus4 Csuspended", "C F G"),
    ("Csus2", "C D G"),
    ("C7sus C7sus4 Csus7 C7 sus 4", "C F G Bb"),
    ("C9sus C9sus4 Csus9 C11sus C7sus4(9)", "C F G Bb D"),
    ("C13sus C13sus4 Csus13", "C F G Bb D A"),
    ("C7sus4(b9) C7b9sus C7susb9 C7(b9)sus4", "C F G Bb Db"),
    ("C9 Cdom9 C7(9) C7add9 C7/9 C7(add9)", "C E G Bb D"),
    ("Cmaj9 CM9 C△9 Cma9 Cmaj7(9)", "C E G B D"),
    ("Cm9 C-9 Cmi9 Cmin9 Cm7(9) Cm7/9", "C Eb G Bb D"),
    ("Cm(maj9) CmM9 C-△9 Cmmaj9 Cm9(maj7) Cm(maj7)add9 Cm9/maj7", "C Eb G B D"),
    ("C11", "C E G Bb D F"),
    ("Cm11 C-11 Cmi11", "C Eb G Bb D F"),
    ("C13 C7(9,13) C9(13)", "C E G Bb D A"),
    ("Cm13 C-13", "C Eb G Bb D F A"),
    ("Cmaj13 CM13 C△13", "C E G B D A"),
    ("C7(13) C7add13 C7/13 C7/6", "C E G Bb A"),
    ("Cø9 Cm9b5 Cm9(b5)", "C Eb Gb Bb D"),
    ("Cm11b5 Cø11", "C Eb Gb Bb D F"),
    ("C7b9 C7(b9) C7-9 C7(-9) C7♭9 C7/b9 C7 b9 C7(♭9)", "C E G Bb Db"),
    ("C7#9 C7(#9) C7+9 C7(+9) C7♯9", "C E G Bb D#"),
    ("C7#11 C7(#11) C7+11 C7#4", "C E G Bb F#"),
    ("C7b13 C7(b13) C7-13 C7b6", "C E G Bb Ab"),
    ("C9#11 C9(#11) C9(+11)", "C E G Bb D F#"),
    ("C13#11 C13(#11)", "C E G Bb D F# A"),
    ("C13b9 C13(b9) C13-9", "C E G Bb Db A"),
    ("C7b9b13 C7(b9,b13) C7(b9 b13) C7(b9)(b13) C7(b9/b13) C7b9,b13", "C E G Bb Db Ab"),
    ("C7#9b13 C7(#9,b13)", "C E G Bb D# Ab"),
    ("C7b9#9 C7(b9,#9)", "C E G Bb Db D#"),
    ("C7#5#9 C7#9#5 C+7#9 Caug7#9 C7(#5,#9) C7+5+9", "C E G# Bb D#"),
    ("C7b5b9 C7(b5,b9) C7-5-9", "C E Gb Bb Db"),
    ("C9#5 Caug9 C9+ C9(#5)", "C E G# Bb D"),
    ("Cmaj7#11 C△7#11 Cmaj7(#11) CM7+11", "C E G B F#"),
    ("Cmaj9#11 CM9(#11)", "C E G B D F#"),
    ("Calt C7alt C7(alt) C7 alt C(alt)", "C E Bb Db D# F# Ab"),
    ("Cadd9 C(add9) Cadd2 C(add 9) CMadd9 Cmajadd9 CAdd9", "C E G D"),
    ("Cmadd9 Cm(add9) C-add9 Cminadd9 Cmi(add9) Cmadd2", "C Eb G D"),
    ("Cadd11 C(add4)", "C E G F"),
    ("Cmb6 Cm(add♭6) Cm(b6)", "C Eb G Ab"),
    ("C7no5 C7(no5) C7omit5 C7(omit 5)", "C E Bb"),
    ("C7no3 C7(no3)", "C G Bb"),
    ("Cm7#5 Cm7+5", "C Eb G# Bb"),
    ("Cmaj7sus4 CM7sus", "C F G B"),
    ("Cm7(11) Cm7add11 Cm7/11", "C Eb G Bb F"),
    ("Csus4(add9) Csus4add9 Csus24", "C F G D"),
    ("C6sus4 C6sus", "C F G A"),
    ("Cmaj7-5 C△7b5", "C E Gb B"),
    ("Cm7b9 C-7-9", "C Eb G Bb Db"),
    ("C9-5 C9b5", "C E Gb Bb D"),
    ("G7b9", "G B D F Ab"),
    ("Bb7 B♭7", "Bb D F Ab"),
    ("Bb5", "Bb F"),
    ("F#5", "F# C#"),
    ("Bb(b5)", "Bb D Fb"),
    ("Asus", "A D E"),
    ("Ebadd9", "Eb G Bb F"),
    ("Abaug", "Ab C E"),
    ("Ebdim", "Eb Gb Bbb"),
    ("F#m7b5", "F# A C E"),
    ("Bbb7 B𝄫7", "Bbb Db Fb Abb"),
    ("Cb7", "Cb Eb Gb Bbb"),
    ("C#b5 C#(b5)", "C# E# G"),
];

fn notes(symbol: &str) -> Result<String, String> {
    let chord = read_chord(symbol).map_err(|error| error.to_string())?;
    let notes: Vec<String> = chord.notes().map(NoteName::plain).collect();
    Ok(notes.join(" "))
}

#[test]
fn the_spellings_of_the_trade_are_read() {
    let mut wrong = Vec::new();
    for (spellings, expected) in CHORDS {
        for symbol in split(spellings) {
            let read = notes(&symbol);
            if read.as_deref() != Ok(expected) {
                wrong.push(format!("{symbol}: {read:?}, not {expected}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Spellings stand with a space between; one that has spaces goes on where no root follows.
fn split(spellings: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for word in spellings.split_whitespace() {
        match found.last_mut() {
            Some(last) if !word.starts_with(|c: char| ('A'..='G').contains(&c)) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => found.push(word.to_owned()),
        }
    }
    found
}

#[test]
fn a_bass_stands_after_a_slash() {
    for (symbol, bass) in [
        ("C/E", Some("E")),
        ("Cm7/Bb", Some("Bb")),
        ("C6/9/E", Some("E")),
        ("F#m7b5/E", Some("E")),
        ("C/C", None),
        ("Cm(maj7)/B", Some("B")),
        ("D/C ", Some("C")),
        ("C / G", Some("G")),
        ("Cmaj7/D♯", Some("D#")),
    ] {
        let read = read_chord(symbol).map(|chord| chord.bass.map(NoteName::plain));
        assert_eq!(read, Ok(bass.map(str::to_owned)), "{symbol}");
    }
}

#[test]
fn an_h_is_b_natural_where_german_is_asked_for() {
    for (symbol, root, bass) in [("H7", "B", None), ("B7", "Bb", None), ("Bb", "Bb", None)]
        .into_iter()
        .chain([("Em/H", "E", Some("B")), ("C/B", "C", Some("Bb"))])
    {
        let chord = read_chord_named(symbol, NoteNames::German).expect(symbol);
        assert_eq!(chord.root.plain(), root, "{symbol}");
        assert_eq!(chord.bass.map(NoteName::plain).as_deref(), bass, "{symbol}");
    }
}

/// A symbol is read within a microsecond by an optimised program; four leave room for this one,
/// which is not, and the best of many turns for a busy machine.
#[test]
fn symbols_are_read_at_once() {
    let symbols: Vec<String> = CHORDS.iter().flat_map(|(all, _)| split(all)).collect();
    let turn = |_| {
        let from = Instant::now();
        for symbol in &symbols {
            black_box(read_chord(black_box(symbol)).is_ok());
        }
        from.elapsed().as_nanos() / symbols.len() as u128
    };
    let best = (0..200).map(turn).min().expect("turns were taken");
    println!("{best} ns a symbol");
    assert!(best < 4_000, "{best} ns a symbol");
}
