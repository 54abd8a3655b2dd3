//! Progressions of the common kinds, invented, in several keys: each chord with its numeral, its
//! function and the root that it leads to, as theory has them (common practice, no one source).

use quintfall::chart::{Analysis, ChordReading, analyse};
use quintfall::theory::{ChordStyle, Seventh, chord_symbol, plain_text};

use crate::handbook::written;
use crate::tune::tune;
use crate::tunes::TUNES;

/// A progression, its home, and for each chord its numeral, its function (T S D P) and the root that
/// it leads to (`-` for none).
const CASES: &[(&str, &str, &str)] = &[
    // A turnaround with substitutes at its end.
    (
        "Ebmaj7 C7 | Fm7 Bb7 | Gm7 C7 | Fm7 E7 | Eb6 | %",
        "Eb major",
        "Imaj7 T -, V7/ii D F, ii7 S Bb, V7 D Eb, iii7 T C, V7/ii D F, ii7 S E, ♭II7 D Eb, I6 \
         T -",
    ),
    // By ♭VI and the substitute.
    (
        "Gmaj7 Bb7 | Ebmaj7 Ab7 | Gmaj7 | Am7 D7",
        "G major",
        "Imaj7 T -, V7/♭VI D Eb, ♭VImaj7 S -, ♭II7 D G, Imaj7 T -, ii7 S D, V7 D G",
    ),
    // Diminished chords up and down between the chords of the key.
    (
        "Ebmaj7 | Edim7 | Fm7 | F#dim7 | Gm7 | Gbdim7 | Fm7 | Bb7 | Eb6 | %",
        "Eb major",
        "Imaj7 T -, vii°7/ii D F, ii7 S -, vii°7/iii D G, iii7 T -, ♭iii°7 P F, ii7 S Bb, V7 \
         D Eb, I6 T -",
    ),
    // I° between two I, and ♭iii° between ii and I.
    (
        "C6 | Cdim7 | C6 | % | Dm7 | Ebdim7 | C/E | Ebdim7 | Dm7 | G7 | C6 | %",
        "C major",
        "I6 T -, i°7 P C, I6 T -, ii7 S -, ♭iii°7 P C, I T -, ♭iii°7 P D, ii7 S G, V7 D C, I6 \
         T -",
    ),
    // Blues with a diminished chord on ♯IV.
    (
        "Bb7 | Eb7 | Bb7 | Fm7 Bb7 | Eb7 | Edim7 | Bb7 | Dm7b5 G7 | Cm7 | F7 | Bb7 G7 | Cm7 \
         F7",
        "Bb major",
        "I7 T Eb, IV7 S -, I7 T -, ii7/IV S Bb, V7/IV D Eb, IV7 S -, ♯iv°7 P Bb, I7 T -, \
         iiø7/ii S G, V7/ii D C, ii7 S F, V7 D Bb, I7 T -, V7/ii D C, ii7 S F, V7 D Bb",
    ),
    // Blues with chains.
    (
        "G7 | C7 | G7 | Dm7 G7 | C7 | C#dim7 | G7 F#m7b5 B7 | Em7 A7 | Am7 | D7 | Bm7 E7 | \
         Am7 D7",
        "G major",
        "I7 T C, IV7 S -, I7 T -, ii7/IV S G, V7/IV D C, IV7 S -, ♯iv°7 P G, I7 T -, iiø7/vi \
         S B, V7/vi D E, vi7 T A, V7/V D D, ii7 S D, V7 D G, iii7 T E, V7/ii D A, ii7 S D, V7 \
         D G",
    ),
    // Twelve bars that begin on a major seventh.
    (
        "Ebmaj7 | Dm7b5 G7 | Cm7 | Bbm7 Eb7 | Abmaj7 | Abm7 Db7 | Gm7 | Gbm7 B7 | Fm7 | Bb7 | \
         Ebmaj7 C7 | Fm7 Bb7",
        "Eb major",
        "Imaj7 T -, iiø7/vi S G, V7/vi D C, vi7 T -, ii7/IV S Eb, V7/IV D Ab, IVmaj7 S -, iv7 \
         S Db, ♭VII7 D Eb, iii7 T -, ♭iii7 S B, ♭II7/V D Bb, ii7 S Bb, V7 D Eb, Imaj7 T -, \
         V7/ii D F, ii7 S Bb, V7 D Eb",
    ),
    // A minor blues with ♭VI7 V7.
    (
        "Am7 | Dm7 | Am7 | Em7b5 A7 | Dm7 | % | Am7 | % | F7 | E7 | Am7 | Bm7b5 E7",
        "A minor",
        "i7 T -, iv7 S -, i7 T -, iiø7/iv S A, V7/iv D D, iv7 S -, i7 T -, ♭II7/V D E, V7 D \
         A, i7 T -, iiø7 S E, V7 D A",
    ),
    // The cycle III7 VI7 II7 V7, two bars each.
    (
        "Ab6 | % | C7 | % | F7 | % | Bb7 | % | Eb7 | % | Ab6 | %",
        "Ab major",
        "I6 T -, V7/vi D F, V7/ii D Bb, V7/V D Eb, V7 D Ab, I6 T -",
    ),
    // Minor ii-Vs down by whole tones.
    (
        "Am7b5 D7 | Gm7 | Gm7b5 C7 | Fm7 | Dm7b5 G7 | Cm6 | Dm7b5 G7 | Cm6",
        "C minor",
        "iiø7/V S D, V7/V D G, v7 D -, iiø7/iv S C, V7/iv D F, iv7 S -, iiø7 S G, V7 D C, i6 \
         T -, iiø7 S G, V7 D C, i6 T -",
    ),
    // The back door, with iv7 and with iv6.
    (
        "Ebmaj7 | Abm7 Db7 | Ebmaj7 | Fm7 Bb7 | Ebmaj7 Cm7 | Abm6 Db9 | Ebmaj7 | %",
        "Eb major",
        "Imaj7 T -, iv7 S Db, ♭VII7 D Eb, Imaj7 T -, ii7 S Bb, V7 D Eb, Imaj7 T -, vi7 T -, \
         iv6 S Db, ♭VII9 D Eb, Imaj7 T -",
    ),
    // Substitutes all the way down.
    (
        "Fmaj7 | Ab7 | Gm7 | Gb7 | Fmaj7 | Am7 Ab7 | Gm7 Gb7 | F6",
        "F major",
        "Imaj7 T -, ♭II7/ii D G, ii7 S Gb, ♭II7 D F, Imaj7 T -, iii7 T Ab, ♭II7/ii D G, ii7 S \
         Gb, ♭II7 D F, I6 T -",
    ),
    // A line inside a minor chord.
    (
        "Dm Dm(maj7) | Dm7 Dm6 | Gm7 C7 | Fmaj7 | Bbmaj7 | Em7b5 A7 | Dm6 | Em7b5 A7",
        "D minor",
        "i T -, i(maj7) T -, i7 T -, i6 T -, iv7 S C, V7/♭III D F, ♭IIImaj7 T -, ♭VImaj7 S -, \
         iiø7 S A, V7 D D, i6 T -, iiø7 S A, V7 D D",
    ),
    // A line inside a major chord.
    (
        "C Caug | C6 C7 | Fmaj7 Fm6 | C/E Ebdim7 | Dm7 | G7 | C6 | %",
        "C major",
        "I T -, I+ T -, I6 T -, V7/IV D F, IVmaj7 S -, iv6 S -, I T -, ♭iii°7 P D, ii7 S G, \
         V7 D C, I6 T -",
    ),
    // IV iv I over a bass that falls.
    (
        "Fmaj7 | F7 | Bbmaj7 | Bbm6 | Fmaj7/A | Abdim7 | Gm7 C7 | F6",
        "F major",
        "Imaj7 T -, V7/IV D Bb, IVmaj7 S -, iv6 S -, Imaj7 T -, ♭iii°7 P G, ii7 S C, V7 D F, \
         I6 T -",
    ),
    // V that goes elsewhere: to vi, iii and ♭VI.
    (
        "Cmaj7 | Dm7 G7 | Am7 | Dm7 G7 | Em7 A7 | Dm7 G7 | Abmaj7 | Dbmaj7 | Cmaj7 | %",
        "C major",
        "Imaj7 T -, ii7 S G, V7 D C, vi7 T D, ii7 S G, V7 D C, iii7 T A, V7/ii D D, ii7 S G, \
         V7 D C, ♭VImaj7 S -, ♭IImaj7 S -, Imaj7 T -",
    ),
    // ♭VI7 V7 in minor.
    (
        "Cm6 | Ab7 G7 | Cm6 | Ab7 G7 | Fm6 | Cm6 | Ab7 | G7",
        "C minor",
        "i6 T -, ♭II7/V D G, V7 D C, i6 T -, ♭II7/V D G, V7 D C, iv6 S -, i6 T -, ♭II7/V D G, \
         V7 D C",
    ),
    // ♭VI7 V7 in major.
    (
        "Dmaj7 | Bb7 A7 | Dmaj7 | Bb7 A7 | Gmaj7 | Gm6 | F#m7 B7 | Bb7 A7",
        "D major",
        "Imaj7 T -, ♭II7/V D A, V7 D D, Imaj7 T -, ♭II7/V D A, V7 D D, IVmaj7 S -, iv6 S -, \
         iii7 T B, V7/ii D Bb, ♭II7/V D A, V7 D D",
    ),
    // Suspended dominants, that resolve and that do not.
    (
        "Cmaj7 | G7sus | Cmaj7 | G7sus G7 | C7sus | C7 | Fmaj7 | Bb13 | Em7 | A7sus A7 | Dm7 \
         | G7sus | Cmaj7 | %",
        "C major",
        "Imaj7 T -, V7sus4 D C, Imaj7 T -, V7sus4 D C, V7 D C, V7sus4/IV D F, V7/IV D F, \
         IVmaj7 S -, ♭VII13 D C, iii7 T A, V7sus4/ii D D, V7/ii D D, ii7 S G, V7sus4 D C, \
         Imaj7 T -",
    ),
    // Chords over other basses than their roots.
    (
        "Eb | Bb/D | Cm | Eb/Bb | Ab | Eb/G | F/A | Bb7sus Bb7 | Eb | Ab/Eb | Eb | Bb7",
        "Eb major",
        "I T -, V D Eb, vi T -, I T -, IV S -, I T -, V/V D Bb, V7sus4 D Eb, V7 D Eb, I T -, \
         IV S -, I T -, V7 D Eb",
    ),
    // ii7 over V is V.
    (
        "Gm7/C | C7 | Fmaj7 | Dm7 | Gm7/C | C7 | Fmaj7 | Bbm6 | Am7 | D7 | Gm7/C | F6",
        "F major",
        "V7sus4 D F, V7 D F, Imaj7 T -, vi7 T -, V7sus4 D F, V7 D F, Imaj7 T -, iv6 S -, iii7 \
         T D, V7/ii D G, V7sus4 D F, I6 T -",
    ),
    // A dominant that falls a semitone to a chord of rest.
    (
        "Ebmaj7 | Am7 D7 | Dbmaj7 | % | Fm7 | Bb7 | Ebmaj7 | %",
        "Eb major",
        "Imaj7 T -, ii7/iii S D, ♭II7/♭VII D Db, ♭VIImaj7 S -, ii7 S Bb, V7 D Eb, Imaj7 T -",
    ),
    // Dominants that fall by semitones.
    (
        "F6 | % | Bb7 | A7 | Ab7 | G7 | Gm7 C7 | F6",
        "F major",
        "I6 T -, ♭II7/iii D A, V7/vi D Ab, ♭II7/ii D G, V7/V D C, ii7 S C, V7 D F, I6 T -",
    ),
    // IV7 with its own ii is no chord of rest.
    (
        "G6 | Gm7 C7 | G6 | Gm7 C7 | Am7 | D7 | G6 | %",
        "G major",
        "I6 T -, i7 S C, V7/♭VII D F, I6 T -, i7 S C, V7/♭VII D F, ii7 S D, V7 D G, I6 T -",
    ),
    // Diminished chords in minor.
    (
        "Gm6 | F#dim7 | Gm6 | Adim7 D7 | Gm6 | Cm6 C#dim7 | Gm/D D7 | Gm6",
        "G minor",
        "i6 T -, vii°7 D G, i6 T -, ii°7 D G, V7 D G, i6 T -, iv6 S -, ♯iv°7 P G, i T -, V7 D \
         G, i6 T -",
    ),
    // Diminished chords before, between and after.
    (
        "Abmaj7 | Cm7 Bdim7 | Bbm7 | Eb7 | Abmaj7 Adim7 | Bbm7 Bdim7 | Ab/C F7 | Bbm7 Eb7",
        "Ab major",
        "Imaj7 T -, iii7 T -, ♭iii°7 P Bb, ii7 S Eb, V7 D Ab, Imaj7 T -, vii°7/ii D Bb, ii7 S \
         -, ♭iii°7 P Ab, I T -, V7/ii D Bb, ii7 S Eb, V7 D Ab",
    ),
    // A ii-V that does not resolve points a fifth down.
    (
        "Bbmaj7 | Abm7 Db7 | Bbmaj7 | % | Cm7 | F7 | Bb6 | %",
        "Bb major",
        "Imaj7 T -, ♭vii7 S Db, V7/♭VI D Gb, Imaj7 T -, ii7 S F, V7 D Bb, I6 T -",
    ),
    // ♭v°7 falls to IV, and iv7 over 5 is V.
    (
        "Dm6 | Gm6 | Abdim7 | Gm6 | Gm7/A | A7b9 | Dm6 | %",
        "D minor",
        "i6 T -, iv6 S -, ♭v°7 P G, iv6 S -, V7sus4 D D, V7♭9 D D, i6 T -",
    ),
    // vii°7 that falls is on its way.
    (
        "Cm7 F7 | Gm7 | Am7b5 D7 | Gm6 | Gm7 F#dim7 | Fm7 | Bb7 | Ebmaj7 | Am7b5 | D7 | Gm6 | \
         %",
        "G minor",
        "iv7 S F, ♭VII7 D G, i7 T -, iiø7 S D, V7 D G, i6 T -, i7 T -, vii°7 P F, ii7/♭VI S \
         Bb, V7/♭VI D Eb, ♭VImaj7 S -, iiø7 S D, V7 D G, i6 T -",
    ),
];

/// Every chord is heard at home, whatever it borrows.
#[test]
fn common_progressions_are_read_as_theory_reads_them() {
    for (text, home, expected) in CASES {
        let analysis = analyse(&tune(text)).unwrap();
        assert_eq!(analysis.home.plain(), *home, "{text}");
        assert_eq!(written(&analysis), *expected, "{text}");
        assert!(analysis.readings.iter().all(|reading| reading.key == analysis.home), "{text}");
    }
}

fn all() -> impl Iterator<Item = Analysis> {
    let progressions = CASES.iter().map(|(text, ..)| *text);
    progressions.chain(TUNES.iter().copied()).map(|text| analyse(&tune(text)).unwrap())
}

/// Each reading with the symbol of the chord after it, the last with that of the first.
fn with_next(analysis: &Analysis) -> Vec<(&ChordReading, String)> {
    let readings = &analysis.readings;
    let symbol = |nth: usize| {
        plain_text(&chord_symbol(readings[nth % readings.len()].chord, ChordStyle::default()))
    };
    readings.iter().enumerate().map(|(nth, reading)| (reading, symbol(nth + 1))).collect()
}

/// A student looks for the chord that a reason names beside the one that it is about.
#[test]
fn the_back_door_names_the_chord_that_comes_next() {
    let mut met = 0;
    for analysis in all() {
        for (reading, next) in with_next(&analysis) {
            if !reading.reason.contains("back door") {
                continue;
            }
            met += 1;
            assert!(reading.reason.contains(&next), "{next}: {}", reading.reason);
        }
    }
    assert!(met > 5);
}

/// A reason is a line, in words that need no book: a substitute names what it stands in for.
#[test]
fn reasons_are_lines_that_stand_for_themselves() {
    let mut substitutes = 0;
    for analysis in all() {
        for reading in &analysis.readings {
            let reason = &reading.reason;
            assert!(reason.chars().count() <= 110 && !reason.contains('\n'), "{reason}");
            assert!(!reason.contains("tritone substitute"), "{reason}");
            let sign = reading.numeral;
            if sign.degree == 2
                && sign.alter == -1
                && reading.chord.kind.seventh() == Seventh::Minor
            {
                substitutes += 1;
                assert!(reason.starts_with("in place of "), "{reason}");
            }
        }
    }
    assert!(substitutes > 10);
}

/// Home is stayed in, whatever its tonic turns into.
#[test]
fn home_is_stayed_in_where_its_tonic_sounds() {
    let text = "Bbm7 | Eb7 | Abm7 | Db7 | Gbmaj7 | Cm7b5 F7 | Bbm7 | %";
    let analysis = analyse(&tune(text)).unwrap();
    assert!(analysis.areas.iter().all(|area| area.is_stayed), "{:?}", analysis.areas);
}

/// A reason without the names in it: what it says of any chord.
fn words_of(reason: &str) -> String {
    let is_word = |it: &&str| it.len() > 1 && it.chars().all(|c| c.is_ascii_lowercase());
    let words = reason.split(|c: char| c.is_whitespace() || ":,;".contains(c));
    let numerals = ["ii", "iii", "iv", "vi", "vii"];
    words.filter(is_word).filter(|it| !numerals.contains(it)).collect::<Vec<_>>().join(" ")
}

/// The reason of a chord says what it does: the same words never stand for two functions.
#[test]
fn a_reason_says_what_a_chord_does() {
    let mut known: std::collections::BTreeMap<String, (quintfall::chart::Function, String)> =
        std::collections::BTreeMap::new();
    let vamps = [
        "Bbmaj7#11 | Am7 | Bbmaj7#11 | C/Bb | Bbmaj7#11 | Am7 | Bbmaj7#11 | Am7",
        "G7 | F/G | G7 | Em7 | G7 | F/G | G7 | Bm7b5",
        "Em7 | Fmaj7 | Em7 | G7 | Em7 | Fmaj7 | Em7 | Am7",
        "Dm9 | G13 | Dm9 | Cmaj7 | Dm9 | G13 | Dm9 | Bm7b5",
    ];
    let vamps = vamps.iter().map(|text| tune(text));
    for own in crate::laws::all().chain(vamps).chain(crate::laws::with_partners()) {
        for by in crate::laws::UP {
            let moved = crate::laws::renamed(&own, |note| note.up(by));
            for reading in analyse(&moved).expect("chords").readings {
                let words = words_of(&reading.reason);
                assert!(!words.is_empty(), "{reading:?}");
                let (function, first) =
                    known.entry(words).or_insert((reading.function, reading.reason.clone()));
                assert_eq!(*function, reading.function, "{first}; {}", reading.reason);
            }
        }
    }
    assert!(known.len() > 40, "{}", known.len());
}

/// A seventh that falls a semitone to a ii or to a chord of rest leads there, and its reason names the
/// dominant whose place it takes.
#[test]
fn a_substitute_leads_to_the_chord_that_it_falls_to() {
    for text in [
        "Cmaj7 | Eb7 | Dm7 G7 | Cmaj7",
        "Cmaj7 | Am7 | Eb7 | Dm7 | G7 | Cmaj7",
        "Cmaj7 | Em7 | Eb7 | Dm7 G7 | C6 | %",
        "Eb7 | Dm7 G7 | Cmaj7 | %",
    ] {
        for by in crate::laws::UP {
            let moved = crate::laws::renamed(&tune(text), |note| note.up(by));
            let two = read("Dm7").root.up(by).pitch_class();
            let analysis = analyse(&moved).expect("chords");
            let substitute = analysis
                .readings
                .iter()
                .find(|it| it.chord.root.pitch_class() == (two + 1) % 12)
                .expect("a substitute");
            let target = substitute.target.map(|it| it.pitch_class());
            assert_eq!(target, Some(two), "{text}: {substitute:?}");
            assert!(substitute.reason.starts_with("in place of "), "{}", substitute.reason);
            assert!(substitute.reason.contains("it falls a semitone to "), "{}", substitute.reason);
        }
    }
}

fn read(symbol: &str) -> quintfall::theory::Chord {
    quintfall::theory::read_chord(symbol).expect("a chord")
}
