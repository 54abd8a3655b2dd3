//! Progressions that handbooks of jazz harmony teach, each with the labels that they give.
//!
//! Common practice, no one source, where a case names none; the terms and their arithmetic are
//! those of the handbooks (tritone substitute, backdoor, related ii, extended dominants, line
//! cliché). The backdoor is Jerry Coker's, as an encyclopaedia cites him.

use quintfall::chart::{Analysis, analyse};
use quintfall::theory::{NumeralStyle, SymbolStyle, plain_text};

use crate::tune::tune;

/// A chart, its home, and for each chord its numeral, its function (T S D P) and the root that it
/// leads to (`-` for none).
type Case = (&'static str, &'static str, &'static str);

const CASES: &[Case] = &[
    // ii-V-I, major and minor.
    ("Dm7 | G7 | Cmaj7 | %", "C major", "ii7 S G, V7 D C, Imaj7 T -"),
    ("Dm7b5 | G7b9 | Cm6 | %", "C minor", "iiø7 S G, V7♭9 D C, i6 T -"),
    // Turnarounds.
    ("C6 Am7 | Dm7 G7 | C6 | %", "C major", "I6 T -, vi7 T D, ii7 S G, V7 D C, I6 T -"),
    ("C6 A7 | Dm7 G7 | C6 | %", "C major", "I6 T -, V7/ii D D, ii7 S G, V7 D C, I6 T -"),
    (
        "C6 | % | Em7 A7 | Dm7 G7 | C6 | %",
        "C major",
        "I6 T -, iii7 T A, V7/ii D D, ii7 S G, V7 D C, I6 T -",
    ),
    (
        "Cmaj7 Ebmaj7 | Abmaj7 Dbmaj7 | Cmaj7 | %",
        "C major",
        "Imaj7 T -, ♭IIImaj7 T -, ♭VImaj7 S -, ♭IImaj7 S -, Imaj7 T -",
    ),
    ("C6 Eb7 | Dm7 Db7 | C6 | %", "C major", "I6 T -, ♭II7/ii D D, ii7 S Db, ♭II7 D C, I6 T -"),
    // Extended dominants.
    (
        "C6 | % | B7 | E7 | A7 | D7 | G7 | C6",
        "C major",
        "I6 T -, V7/iii D E, V7/vi D A, V7/ii D D, V7/V D G, V7 D C, I6 T -",
    ),
    (
        "Bb6 | % | D7 | % | G7 | % | C7 | % | F7 | % | Bb6 | %",
        "Bb major",
        "I6 T -, V7/vi D G, V7/ii D C, V7/V D F, V7 D Bb, I6 T -",
    ),
    // Related ii before applied dominants.
    (
        "Cmaj7 | % | Gm7 C7 | Fmaj7 | Bm7b5 E7 | Am7 | Dm7 G7 | Cmaj7",
        "C major",
        "Imaj7 T -, ii7/IV S C, V7/IV D F, IVmaj7 S -, iiø7/vi S E, V7/vi D A, vi7 T D, ii7 S G, \
         V7 D C, Imaj7 T -",
    ),
    // Tritone substitute, with its own ii and with the ii of what it replaces.
    ("Dm7 | Db7 | Cmaj7 | %", "C major", "ii7 S Db, ♭II7 D C, Imaj7 T -"),
    ("Cmaj7 | % | Abm7 | Db7 | Cmaj7 | %", "C major", "Imaj7 T -, ♭vi7 S Db, ♭II7 D C, Imaj7 T -"),
    // Backdoor.
    ("Cmaj7 | % | Fm7 | Bb7 | Cmaj7 | %", "C major", "Imaj7 T -, iv7 S Bb, ♭VII7 D C, Imaj7 T -"),
    // ♭VI7 to V.
    ("Cm6 | Ab7 | G7 | Cm6", "C minor", "i6 T -, ♭II7/V D G, V7 D C, i6 T -"),
    // Twelve bars, major.
    (
        "C7 | F7 | C7 | % | F7 | % | C7 | A7 | Dm7 | G7 | C7 | G7",
        "C major",
        "I7 T F, IV7 S -, I7 T F, IV7 S -, I7 T -, V7/ii D D, ii7 S G, V7 D C, I7 T -, V7 D C",
    ),
    // Twelve bars, minor.
    (
        "Cm7 | Fm7 | Cm7 | C7 | Fm7 | % | Cm7 | % | Ab7 | G7 | Cm7 | Dm7b5 G7",
        "C minor",
        "i7 T -, iv7 S -, i7 T -, V7/iv D F, iv7 S -, i7 T -, ♭II7/V D G, V7 D C, i7 T -, iiø7 S G, \
         V7 D C",
    ),
    // Minor ii-V-i in chains.
    (
        "Dm6 | % | F#m7b5 B7 | Em7b5 A7 | Dm6 | %",
        "D minor",
        "i6 T -, iiø7/ii S B, V7/ii D E, iiø7 S A, V7 D D, i6 T -",
    ),
    // Line clichés.
    (
        "Am Am(maj7) | Am7 Am6 | Dm7 | E7 | Am | %",
        "A minor",
        "i T -, i(maj7) T -, i7 T -, i6 T -, iv7 S -, V7 D A, i T -",
    ),
    (
        "C Caug | C6 C7 | Fmaj7 | Fm6 | C | %",
        "C major",
        "I T -, I+ T -, I6 T -, V7/IV D F, IVmaj7 S -, iv6 S -, I T -",
    ),
    // Diminished chords: leading, passing down, common tone.
    (
        "C6 | C#dim7 | Dm7 | D#dim7 | Em7 | Ebdim7 | Dm7 G7 | C6",
        "C major",
        "I6 T -, vii°7/ii D D, ii7 S -, vii°7/iii D E, iii7 T -, ♭iii°7 P D, ii7 S G, V7 D C, I6 T -",
    ),
    (
        "C6 | Cdim7 | C6 | Dm7 G7 | C6",
        "C major",
        "I6 T -, i°7 P C, I6 T -, ii7 S G, V7 D C, I6 T -",
    ),
    (
        "F7 | Bb7 | Bdim7 | F7 | Gm7 C7 | F7",
        "F major",
        "I7 T Bb, IV7 S -, ♯iv°7 P F, I7 T -, ii7 S C, V7 D F, I7 T -",
    ),
    // Held fourths, and chords over another bass.
    ("Cmaj7 | % | Dm7/G G7 | C6", "C major", "Imaj7 T -, V7sus4 D C, V7 D C, I6 T -"),
    ("Dmaj7 | Gmaj7 | G/A | D6", "D major", "Imaj7 T -, IVmaj7 S -, V7sus4 D D, I6 T -"),
    // Plagal: no root a fifth lower is meant.
    ("Cmaj7 | Fmaj7 | Fm6 | Cmaj7", "C major", "Imaj7 T -, IVmaj7 S -, iv6 S -, Imaj7 T -"),
    // Of dominants that fall by semitones each second is a substitute of the next one's dominant.
    (
        "C6 | % | F7 | E7 | Eb7 | D7 | Dm7 G7 | C6",
        "C major",
        "I6 T -, ♭II7/iii D E, V7/vi D Eb, ♭II7/ii D D, V7/V D G, ii7 S G, V7 D C, I6 T -",
    ),
];

/// The readings of a tune as a case writes them.
pub(crate) fn written(analysis: &Analysis) -> String {
    let one = |reading: &quintfall::chart::ChordReading| {
        let numeral = plain_text(&reading.numeral.parts(NumeralStyle::On, SymbolStyle::Mixed));
        let function = reading.function.word()[..1].to_uppercase();
        let target = reading.target.map_or("-".to_owned(), |target| target.plain());
        format!("{numeral} {function} {target}")
    };
    analysis.readings.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// That the answer is the same in the other eleven keys is a law of its own.
#[test]
fn progressions_have_the_labels_of_the_handbooks() {
    for (text, home, expected) in CASES {
        let analysis = analyse(&tune(text)).unwrap();
        assert_eq!(analysis.home.plain(), *home, "{text}");
        assert_eq!(written(&analysis), *expected, "{text}");
        assert!(analysis.readings.iter().all(|reading| reading.key == analysis.home), "{text}");
    }
}

/// By major thirds every tonic has an area.
#[test]
fn a_cycle_of_major_thirds_moves_through_three_keys() {
    let analysis = analyse(&tune("Cmaj7 | B7 | Emaj7 | Eb7 | Abmaj7 | G7 | Cmaj7 | %")).unwrap();
    let areas: Vec<String> = analysis.areas.iter().map(|area| area.key.plain()).collect();
    assert_eq!(areas, ["C major", "E major", "Ab major", "C major"]);
    assert!(analysis.areas.iter().all(|area| area.is_stayed));
    assert_eq!(analysis.home.plain(), "C major");
}

/// A key that only a ii-V points to is touched.
#[test]
fn areas_are_stayed_in_or_touched() {
    let stays = "Cmaj7 | Am7 | Dm7 | G7 | [ Ebm7 | Ab7 | Dbmaj7 | % | Ebm7 | Ab7 | Dbmaj7 | % | [ \
                 Dm7 | G7 | Cmaj7 | %";
    let analysis = analyse(&tune(stays)).unwrap();
    let told: Vec<(String, bool)> =
        analysis.areas.iter().map(|area| (area.key.plain(), area.is_stayed)).collect();
    let expected = [("C major", true), ("Db major", true), ("C major", true)];
    assert_eq!(told, expected.map(|(key, stays)| (key.to_owned(), stays)));
    let touches = stays.replace("Dbmaj7", "Ab7");
    let analysis = analyse(&tune(&touches)).unwrap();
    let db = analysis.areas.iter().find(|area| area.key.plain() == "Db major");
    assert!(db.is_some_and(|area| !area.is_stayed), "{:?}", analysis.areas);
}

/// Every ii-V is marked, whether and where it arrives.
#[test]
fn cadences_are_marked_by_their_pattern() {
    let cadences = |text: &str| -> Vec<String> {
        let analysis = analyse(&tune(text)).unwrap();
        let told = analysis.cadences.iter().map(|it| {
            let open = if it.is_resolved { "" } else { " open" };
            format!("{} {} {}{open}", it.kind.word(), it.form.word(), it.target.plain())
        });
        told.collect()
    };
    assert_eq!(cadences("Dm7 | G7 | Cmaj7 | %"), ["ii-V-I fifth C"]);
    assert_eq!(cadences("Dm7b5 | G7 | Cm6 | %"), ["ii-V-i fifth C"]);
    assert_eq!(cadences("Dm7 | G7sus G7 | C6 | %"), ["ii-V-I fifth C"]);
    assert_eq!(cadences("Dm7 | Db7 | Cmaj7 | %"), ["ii-V-I tritone C"]);
    assert_eq!(cadences("C6 | Abm7 Db7 | C6 | %"), ["ii-V-I tritone C"]);
    assert_eq!(cadences("C6 | Fm7 Bb7 | C6 | %"), ["ii-V-I backdoor C"]);
    assert_eq!(
        cadences("C6 | Fm7 Bb7 | Em7 A7 | Dm7 G7 | C6 | %")[0],
        "ii-V backdoor C open",
        "home comes by another way"
    );
    assert_eq!(cadences("C6 | G7 | C6 | %"), ["V-I fifth C"]);
    assert_eq!(cadences("C | G | C | %"), ["V-I fifth C"]);
    assert_eq!(
        cadences("Em7 A7 | Dm7 G7 | C6 | F#m7 B7 | C6 | %"),
        ["ii-V fifth D", "ii-V-I fifth C", "ii-V fifth E open"]
    );
    // I7 of a blues is a place to arrive; IV7 is no arrival of it.
    assert_eq!(
        cadences("C7 | F7 | C7 | % | F7 | % | C7 | % | Dm7 | G7 | C7 | %"),
        ["ii-V-I fifth C"]
    );
}

/// Reasons are lines that a student understands.
#[test]
fn reasons_say_what_a_chord_wants_and_gets() {
    let reasons = |text: &str| -> Vec<String> {
        analyse(&tune(text)).unwrap().readings.into_iter().map(|it| it.reason).collect()
    };
    assert_eq!(
        reasons("C6 A7 | Dm7 G7 | Em7 A7 | Dm7 Db7 | C6 Fm7 | Bb7 C6"),
        [
            "I of C major: home",
            "V of ii: it wants Dm7 and gets it",
            "ii of C major: leads to G7",
            "V of C major: it wants C; Em7 comes in its place",
            "iii of C major: in place of the tonic, and ii of ii with A7",
            "V of ii: it wants Dm7 and gets it",
            "ii of C major: leads to D♭7",
            "in place of G7, V of C major, whose third and seventh it has: it falls a semitone to C6",
            "I of C major: home",
            "iv, borrowed from C minor: leads to B♭7",
            "♭VII of C major, the back door: up a whole tone to C6",
            "I of C major: home",
        ]
    );
}
