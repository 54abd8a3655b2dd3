//! Progressions of common practice, invented: where home is, in which key each chord is heard, its
//! numeral, its function and the root that it leads to.

use quintfall::chart::{Analysis, analyse};
use quintfall::theory::{NumeralStyle, SymbolStyle, plain_text};

use crate::tune::tune;

/// A progression, its home, and for each chord its numeral, its function (T S D P) and the root that
/// it leads to (`-` for none). A stroke comes before another key, whose name is said.
const CASES: &[(&str, &str, &str)] = &[
    // Turnarounds, and a bridge of dominants in fifths.
    (
        "[ Bb6 G7 | Cm7 F7 | Dm7 G7 | Cm7 F7 | Bb7 | Eb7 Edim7 | Bb/F G7 | Cm7 F7 | [ Bb6 G7 | \
         Cm7 F7 | Dm7 G7 | Cm7 F7 | Bb7 | Eb7 Edim7 | Bb/F F7 | Bb6 | [ D7 | % | G7 | % | C7 | \
         % | F7 | % | [ Bb6 G7 | Cm7 F7 | Dm7 G7 | Cm7 F7 | Bb7 | Eb7 Edim7 | Bb/F F7 | Bb6",
        "Bb major",
        "I6 T -, V7/ii D C, ii7 S F, V7 D Bb, iii7 T G, V7/ii D C, ii7 S F, V7 D Bb, V7/IV D \
         Eb, IV7 S -, ♯iv°7 P Bb, I T -, V7/ii D C, ii7 S F, V7 D Bb, I6 T -, V7/ii D C, ii7 S \
         F, V7 D Bb, iii7 T G, V7/ii D C, ii7 S F, V7 D Bb, V7/IV D Eb, IV7 S -, ♯iv°7 P Bb, I \
         T -, V7 D Bb, I6 T -, V7/vi D G, V7/ii D C, V7/V D F, V7 D Bb, I6 T -, V7/ii D C, ii7 \
         S F, V7 D Bb, iii7 T G, V7/ii D C, ii7 S F, V7 D Bb, V7/IV D Eb, IV7 S -, ♯iv°7 P Bb, \
         I T -, V7 D Bb, I6 T -",
    ),
    // Minor, with its relative major.
    (
        "[ Am7 | Dm7 G7 | Cmaj7 | Fmaj7 | Bm7b5 | E7b9 | Am7 | % | [ Dm7 | G7 | Cmaj7 | % | \
         Bm7b5 | E7b9 | Am7 | %",
        "A minor",
        "i7 T -, iv7 S G, V7/♭III D C, ♭IIImaj7 T -, ♭VImaj7 S -, iiø7 S E, V7♭9 D A, i7 T - / \
         C major: ii7 S G, V7 D C, Imaj7 T - / A minor: iiø7 S E, V7♭9 D A, i7 T -",
    ),
    // Begins on the ii-V of the relative major and closes in minor.
    (
        "[ Am7 | D7 | Gmaj7 | Cmaj7 | F#m7b5 | B7b9 | Em6 | % | [ F#m7b5 | B7 | Em6 | % | Am7 | \
         D7 | Gmaj7 | % | [ F#m7b5 | B7b9 | Em7 Eb7 | Dm7 Db7 | Cmaj7 | B7b9 | Em6 | %",
        "E minor",
        "iv7 S D, V7/♭III D G, ♭IIImaj7 T -, ♭VImaj7 S -, iiø7 S B, V7♭9 D E, i6 T -, iiø7 S B, \
         V7 D E, i6 T - / G major: ii7 S D, V7 D G, Imaj7 T - / E minor: iiø7 S B, V7♭9 D E, i7 \
         T Eb, ♭II7/♭VII D D, ii7/♭VI S Db, ♭II7/♭VI D C, ♭VImaj7 S -, V7♭9 D E, i6 T -",
    ),
    // Opens on vi, moves by thirds and closes at home.
    (
        "[ Fm7 | Bbm7 | Eb7 | Abmaj7 | Dbmaj7 | G7 | Cmaj7 | % | [ Cm7 | Fm7 | Bb7 | Ebmaj7 | \
         Abmaj7 | D7 | Gmaj7 | % | [ Am7 | D7 | Gmaj7 | % | F#m7b5 | B7 | Emaj7 | C7#5 | [ Fm7 \
         | Bbm7 | Eb7 | Abmaj7 | Dbmaj7 | Dbm6 | Cm7 | Bdim7 | Bbm7 | Eb7 | Abmaj7 | Gm7b5 C7b9",
        "Ab major",
        "vi7 T Bb, ii7 S Eb, V7 D Ab, Imaj7 T -, IVmaj7 S - / C major: V7 D C, Imaj7 T - / C \
         minor: i7 T - / Eb major: ii7 S Bb, V7 D Eb, Imaj7 T -, IVmaj7 S - / G major: V7 D G, \
         Imaj7 T -, ii7 S D, V7 D G, Imaj7 T - / E major: iiø7 S B, V7 D E, Imaj7 T - / Ab \
         major: V7♯5/vi D F, vi7 T Bb, ii7 S Eb, V7 D Ab, Imaj7 T -, IVmaj7 S -, iv6 S -, iii7 \
         T -, ♭iii°7 P Bb, ii7 S Eb, V7 D Ab, Imaj7 T -, iiø7/vi S C, V7♭9/vi D F",
    ),
    // Tonics by major thirds.
    (
        "[ Ebmaj7 F#7 | Bmaj7 D7 | Gmaj7 Bb7 | Ebmaj7 | Am7 D7 | Gmaj7 | C#m7 F#7 | Bmaj7 | [ \
         Fm7 Bb7 | Ebmaj7 | Am7 D7 | Gmaj7 | C#m7 F#7 | Bmaj7 | Fm7 Bb7 | Ebmaj7",
        "Eb major",
        "Imaj7 T - / B major: V7 D B, Imaj7 T - / G major: V7 D G, Imaj7 T -, V7/♭VI D Eb, \
         ♭VImaj7 S -, ii7 S D, V7 D G, Imaj7 T - / B major: ii7 S F#, V7 D B, Imaj7 T - / Eb \
         major: ii7 S Bb, V7 D Eb, Imaj7 T - / G major: ii7 S D, V7 D G, Imaj7 T - / B major: \
         ii7 S F#, V7 D B, Imaj7 T - / Eb major: ii7 S Bb, V7 D Eb, Imaj7 T -",
    ),
    // Twelve bars with chains.
    (
        "Fmaj7 | Em7b5 A7 | Dm7 G7 | Cm7 F7 | Bb7 | Bbm7 Eb7 | Am7 D7 | Abm7 Db7 | Gm7 | C7 | \
         Fmaj7 D7 | Gm7 C7",
        "F major",
        "Imaj7 T -, iiø7/vi S A, V7/vi D D, vi7 T G, V7/V D C, ii7/IV S F, V7/IV D Bb, IV7 S -, \
         iv7 S Eb, ♭VII7 D F, iii7 T D, V7/ii D G, ♭iii7 S Db, ♭II7/V D C, ii7 S C, V7 D F, \
         Imaj7 T -, V7/ii D G, ii7 S C, V7 D F",
    ),
    // A minor blues with ♭VI7 V7.
    (
        "Cm7 | % | % | C7 | Fm7 | % | Cm7 | % | Ab7 | G7 | Cm7 | G7",
        "C minor",
        "i7 T -, V7/iv D F, iv7 S -, i7 T -, ♭II7/V D G, V7 D C, i7 T -, V7 D C",
    ),
    // Ends on V, to go round.
    (
        "Cmaj7 | Am7 | Dm7 | G7 | Em7 | A7 | Dm7 | G7",
        "C major",
        "Imaj7 T -, vi7 T D, ii7 S G, V7 D C, iii7 T A, V7/ii D D, ii7 S G, V7 D C",
    ),
    // The same in minor.
    (
        "Dm7 | Gm7 | Em7b5 | A7 | Dm7 | Bbmaj7 | Em7b5 | A7",
        "D minor",
        "i7 T -, iv7 S -, iiø7 S A, V7 D D, i7 T -, ♭VImaj7 S -, iiø7 S A, V7 D D",
    ),
    // Applied dominants with their ii.
    (
        "Dmaj7 | Am7 D7 | Gmaj7 | Gm7 C7 | F#m7 | B7 | Em7 | A7 | Dmaj7 | F#m7b5 B7 | Em7 | \
         G#m7b5 C#7 | F#m7 B7 | Em7 A7 | D6 | %",
        "D major",
        "Imaj7 T -, ii7/IV S D, V7/IV D G, IVmaj7 S -, iv7 S C, ♭VII7 D D, iii7 T B, V7/ii D E, \
         ii7 S A, V7 D D, Imaj7 T -, iiø7/ii S B, V7/ii D E, ii7 S -, iiø7/iii S C#, V7/iii D \
         F#, iii7 T B, V7/ii D E, ii7 S A, V7 D D, I6 T -",
    ),
    // The back door; a visit to ♭VI.
    (
        "Cmaj7 | % | Fm7 | Bb7 | Cmaj7 | % | Bbm7 | Eb7 | Abmaj7 | % | Am7 | D7 | Dm7 | G7 | \
         Cmaj7 | Dm7 G7",
        "C major",
        "Imaj7 T -, iv7 S Bb, ♭VII7 D C, Imaj7 T - / Ab major: ii7 S Eb, V7 D Ab, Imaj7 T - / C \
         major: vi7 T D, V7/V D G, ii7 S G, V7 D C, Imaj7 T -, ii7 S G, V7 D C",
    ),
    // Diminished chords up and down.
    (
        "Fmaj7 F#dim7 | Gm7 G#dim7 | Am7 Abdim7 | Gm7 C7 | Fmaj7 F7 | Bbmaj7 Bdim7 | F/C D7 | \
         Gm7 C7",
        "F major",
        "Imaj7 T -, vii°7/ii D G, ii7 S -, vii°7/iii D A, iii7 T -, ♭iii°7 P G, ii7 S C, V7 D \
         F, Imaj7 T -, V7/IV D Bb, IVmaj7 S -, ♯iv°7 P F, I T -, V7/ii D G, ii7 S C, V7 D F",
    ),
    // ♭iii° on its way down.
    (
        "Gmaj7 | Bm7 Bbdim7 | Am7 | D7 | Bm7 | Bbdim7 | Am7 D7 | G6",
        "G major",
        "Imaj7 T -, iii7 T -, ♭iii°7 P A, ii7 S D, V7 D G, iii7 T -, ♭iii°7 P A, ii7 S D, V7 D \
         G, I6 T -",
    ),
    // Substitutes throughout.
    (
        "Abmaj7 | G7 Gb7 | Fm7 | E7 | Bbm7 | A7 | Abmaj7 | Bbm7 A7",
        "Ab major",
        "Imaj7 T -, V7/iii D Gb, ♭II7/vi D F, vi7 T E, ♭II7/V D A, ii7 S A, ♭II7 D Ab, Imaj7 T \
         -, ii7 S A, ♭II7 D Ab",
    ),
    // Turnarounds in minor.
    (
        "Gm6 | Eb7 D7 | Gm6 | Am7b5 D7 | Gm6 G7 | Cm7 F7 | Bbmaj7 Ebmaj7 | Am7b5 D7 | Gm6 | %",
        "G minor",
        "i6 T -, ♭II7/V D D, V7 D G, i6 T -, iiø7 S D, V7 D G, i6 T -, V7/iv D C, iv7 S F, \
         V7/♭III D Bb, ♭IIImaj7 T -, ♭VImaj7 S -, iiø7 S D, V7 D G, i6 T -",
    ),
    // A middle part a minor third higher.
    (
        "[ Cmaj7 | A7 | Dm7 | G7 | Cmaj7 | A7 | Dm7 G7 | Cmaj7 | [ Fm7 | Bb7 | Ebmaj7 | Cm7 | \
         Fm7 | Bb7 | Ebmaj7 | Dm7 G7 | [ Cmaj7 | A7 | Dm7 | G7 | Cmaj7 A7 | Dm7 G7 | Cmaj7 | %",
        "C major",
        "Imaj7 T -, V7/ii D D, ii7 S G, V7 D C, Imaj7 T -, V7/ii D D, ii7 S G, V7 D C, Imaj7 T \
         - / Eb major: ii7 S Bb, V7 D Eb, Imaj7 T -, vi7 T F, ii7 S Bb, V7 D Eb, Imaj7 T - / C \
         major: ii7 S G, V7 D C, Imaj7 T -, V7/ii D D, ii7 S G, V7 D C, Imaj7 T -, V7/ii D D, \
         ii7 S G, V7 D C, Imaj7 T -",
    ),
    // ii-V-I down by whole tones.
    (
        "Cmaj7 | % | Cm7 | F7 | Bbmaj7 | % | Bbm7 | Eb7 | Abmaj7 | Am7b5 D7 | Gm7 | C7 | Dm7 | \
         G7 | Cmaj7 | Dm7 G7",
        "C major",
        "Imaj7 T - / Bb major: ii7 S F, V7 D Bb, Imaj7 T - / Ab major: ii7 S Eb, V7 D Ab, Imaj7 \
         T - / G minor: iiø7 S D, V7 D G, i7 T C, V7/♭VII D F / C major: ii7 S G, V7 D C, Imaj7 \
         T -, ii7 S G, V7 D C",
    ),
    // Begins on IV.
    (
        "Fmaj7 | C/E | Dm7 G7 | C | Fmaj7 F#dim7 | C/G A7 | Dm7 G7 | C",
        "C major",
        "IVmaj7 S -, I T -, ii7 S G, V7 D C, I T -, IVmaj7 S -, ♯iv°7 P C, I T -, V7/ii D D, \
         ii7 S G, V7 D C, I T -",
    ),
    // Begins on ii.
    (
        "Dm7 | G7 | Em7 | A7 | Dm7 | G7 | Cmaj7 | %",
        "C major",
        "ii7 S G, V7 D C, iii7 T A, V7/ii D D, ii7 S G, V7 D C, Imaj7 T -",
    ),
    // Begins on V of ii.
    (
        "A7 | % | D7 | % | G7 | % | C6 | E7 | A7 | % | D7 | % | Dm7 | G7 | C6 | %",
        "C major",
        "V7/ii D D, V7/V D G, V7 D C, I6 T -, V7/vi D A, V7/ii D D, V7/V D G, ii7 S G, V7 D C, \
         I6 T -",
    ),
    // Dominants that last two bars.
    (
        "C6 | E7 | A7 | % | Dm7 | % | E7 | Am7 | D7 | % | Dm7 | G7 | C6 | %",
        "C major",
        "I6 T -, V7/vi D A, V7/ii D D, ii7 S -, V7/vi D A, vi7 T D, V7/V D G, ii7 S G, V7 D C, \
         I6 T -",
    ),
    // II7, ii, ♭II7.
    (
        "Fmaj7 | % | G13 | % | Gm7 | Gb7 | Fmaj7 | Gb7 | Fmaj7 | % | G13 | % | Gm7 | Gb7 | \
         Fmaj7 | %",
        "F major",
        "Imaj7 T -, V13/V D Gb, ii7 S Gb, ♭II7 D F, Imaj7 T -, ♭II7 D F, Imaj7 T -, V13/V D Gb, \
         ii7 S Gb, ♭II7 D F, Imaj7 T -",
    ),
    // Falling fifths in minor, with ♭III between.
    (
        "Cm7 | F7 | Bbmaj7 | Ebmaj7 | Am7b5 | D7 | Gm6 | G7 | Cm7 | F7 | Bbmaj7 | Ebmaj7 | \
         Am7b5 | D7 | Gm6 | %",
        "G minor",
        "iv7 S F, V7/♭III D Bb, ♭IIImaj7 T -, ♭VImaj7 S -, iiø7 S D, V7 D G, i6 T -, V7/iv D C \
         / Bb major: ii7 S F, V7 D Bb, Imaj7 T -, IVmaj7 S - / G minor: iiø7 S D, V7 D G, i6 T \
         -",
    ),
    // The Neapolitan.
    (
        "Cm6 | Fm6 | Cm6 | Dbmaj7 | G7 | Cm6 | Abmaj7 | Dbmaj7 | Dm7b5 G7 | Cm6",
        "C minor",
        "i6 T -, iv6 S -, i6 T -, ♭IImaj7 S -, V7 D C, i6 T -, ♭VImaj7 S -, ♭IImaj7 S -, iiø7 S \
         G, V7 D C, i6 T -",
    ),
    // A major tonic at the end.
    (
        "Dm7 | Em7b5 A7 | Dm7 | Gm7 | Em7b5 | A7 | Dmaj7 | %",
        "D minor",
        "i7 T -, iiø7 S A, V7 D D, i7 T -, iv7 S -, iiø7 S A, V7 D D, Imaj7 T -",
    ),
    // IV for four bars of a bridge.
    (
        "[ F6 | Gm7 C7 | F6 | Gm7 C7 | F6 F7 | Bb6 Bbm6 | F/C C7 | F6 | [ Cm7 | F7 | Bbmaj7 | % \
         | Dm7 | G7 | Gm7 | C7 | [ F6 | Gm7 C7 | F6 | Gm7 C7 | F6 F7 | Bb6 Bbm6 | F/C C7 | F6",
        "F major",
        "I6 T -, ii7 S C, V7 D F, I6 T -, ii7 S C, V7 D F, I6 T -, V7/IV D Bb, IV6 S -, iv6 S \
         -, I T -, V7 D F, I6 T -, ii7/IV S F, V7/IV D Bb, IVmaj7 S -, vi7 T G, V7/V D C, ii7 S \
         C, V7 D F, I6 T -, ii7 S C, V7 D F, I6 T -, ii7 S C, V7 D F, I6 T -, V7/IV D Bb, IV6 S \
         -, iv6 S -, I T -, V7 D F, I6 T -",
    ),
    // A bridge on iii.
    (
        "[ Cmaj7 Am7 | Dm7 G7 | Em7 A7 | Dm7 G7 | Cmaj7 | F7 | Em7 A7 | Dm7 G7 | [ F#m7b5 | B7 \
         | Em7 | % | Am7 | D7 | Dm7 | G7 | [ Cmaj7 Am7 | Dm7 G7 | Em7 A7 | Dm7 G7 | Cmaj7 | F7 \
         | Dm7 G7 | C6",
        "C major",
        "Imaj7 T -, vi7 T D, ii7 S G, V7 D C, iii7 T A, V7/ii D D, ii7 S G, V7 D C, Imaj7 T -, \
         ♭II7/iii D E, iii7 T A, V7/ii D D, ii7 S G, V7 D C, iiø7/iii S B, V7/iii D E, iii7 T \
         A, vi7 T D, V7/V D G, ii7 S G, V7 D C, Imaj7 T -, vi7 T D, ii7 S G, V7 D C, iii7 T A, \
         V7/ii D D, ii7 S G, V7 D C, Imaj7 T -, IV7 S -, ii7 S G, V7 D C, I6 T -",
    ),
    // A bridge a major third higher.
    (
        "[ Fmaj7 D7 | Gm7 C7 | Fmaj7 D7 | Gm7 C7 | Cm7 F7 | Bbmaj7 Bbm6 | Am7 D7 | Gm7 C7 | [ \
         Amaj7 F#m7 | Bm7 E7 | Amaj7 F#m7 | Bm7 E7 | Amaj7 | Am7 D7 | Gmaj7 | Gm7 C7 | [ Fmaj7 \
         D7 | Gm7 C7 | Fmaj7 D7 | Gm7 C7 | Cm7 F7 | Bbmaj7 Bbm6 | Gm7 C7 | F6",
        "F major",
        "Imaj7 T -, V7/ii D G, ii7 S C, V7 D F, Imaj7 T -, V7/ii D G, ii7 S C, V7 D F, ii7/IV S \
         F, V7/IV D Bb, IVmaj7 S -, iv6 S -, iii7 T D, V7/ii D G, ii7 S C, V7 D F / A major: \
         Imaj7 T -, vi7 T B, ii7 S E, V7 D A, Imaj7 T -, vi7 T B, ii7 S E, V7 D A, Imaj7 T - / \
         G major: ii7 S D, V7 D G, Imaj7 T - / F major: ii7 S C, V7 D F, Imaj7 T -, V7/ii D G, \
         ii7 S C, V7 D F, Imaj7 T -, V7/ii D G, ii7 S C, V7 D F, ii7/IV S F, V7/IV D Bb, IVmaj7 \
         S -, iv6 S -, ii7 S C, V7 D F, I6 T -",
    ),
    // I and iv.
    (
        "Ebmaj7 | Abm6 | Ebmaj7 | Abm6 | Bbm7 Eb7 | Abmaj7 | Abm7 Db7 | Gm7 C7 | Fm7 | Bb7 | \
         Eb6 | %",
        "Eb major",
        "Imaj7 T -, iv6 S -, Imaj7 T -, iv6 S -, ii7/IV S Eb, V7/IV D Ab, IVmaj7 S -, iv7 S Db, \
         ♭VII7 D Eb, iii7 T C, V7/ii D F, ii7 S Bb, V7 D Eb, I6 T -",
    ),
    // Begins on vi as a ii.
    (
        "Am7 | D7 | Gm7 | C7 | Fmaj7 | Fm7 Bb7 | Em7 A7 | Dm7 G7 | Am7 | D7 | Gm7 | C7 | Fmaj7 \
         | Bb7 | Cmaj7 | %",
        "C major",
        "vi7 T D, V7/V D G, ii7/IV S C, V7/IV D F, IVmaj7 S -, iv7 S Bb, ♭VII7 D C, iii7 T A, \
         V7/ii D D, ii7 S G, V7 D C, vi7 T D, V7/V D G, ii7/IV S C, V7/IV D F, IVmaj7 S -, \
         ♭VII7 D C, Imaj7 T -",
    ),
    // Minor with its relative.
    (
        "Dm7b5 | G7 | Cm7 | % | Fm7 | Bb7 | Ebmaj7 | Abmaj7 | Dm7b5 | G7 | Cm7 | Am7b5 | D7 | \
         G7 | Cm6 | %",
        "C minor",
        "iiø7 S G, V7 D C, i7 T - / Eb major: ii7 S Bb, V7 D Eb, Imaj7 T -, IVmaj7 S - / C \
         minor: iiø7 S G, V7 D C, i7 T -, iiø7/V S D, V7/V D G, V7 D C, i6 T -",
    ),
    // ii-Vs down by semitones.
    (
        "Ebmaj7 | Abm7 Db7 | Gm7 C7 | F#m7 B7 | Fm7 | Bb7 | Gm7 C7 | Fm7 Bb7 | Ebmaj7 | %",
        "Eb major",
        "Imaj7 T -, iv7 S Db, ♭VII7 D Eb, iii7 T C, V7/ii D F, ♭iii7 S B, ♭II7/V D Bb, ii7 S \
         Bb, V7 D Eb, iii7 T C, V7/ii D F, ii7 S Bb, V7 D Eb, Imaj7 T -",
    ),
    // ii-Vs by semitones all the way home.
    (
        "Cmaj7 | Bm7 E7 | Bbm7 Eb7 | Am7 D7 | Abm7 Db7 | Gm7 C7 | Fmaj7 | Fm7 Bb7 | Em7 A7 | \
         Dm7 G7 | C6 | %",
        "C major",
        "Imaj7 T -, ii7/vi S E, V7/vi D A, ♭vii7 S Eb, ♭II7/ii D D, vi7 T D, V7/V D G, ♭vi7 S \
         Db, ♭II7 D C, ii7/IV S C, V7/IV D F, IVmaj7 S -, iv7 S Bb, ♭VII7 D C, iii7 T A, V7/ii \
         D D, ii7 S G, V7 D C, I6 T -",
    ),
    // Dominants down by whole tones.
    (
        "Fmaj7 | Eb7 | Db7 | C7 | Fmaj7 | Eb7 | Db7 | C7",
        "F major",
        "Imaj7 T -, ♭VII7 D F, ♭II7/V D C, V7 D F, Imaj7 T -, ♭VII7 D F, ♭II7/V D C, V7 D F",
    ),
    // i ♭VII ♭VI V.
    (
        "Am | G | F | E7 | Am | G | F | E7",
        "A minor",
        "i T -, ♭VII S -, ♭VI S -, V7 D A, i T -, ♭VII S -, ♭VI S -, V7 D A",
    ),
    // Triads alone.
    (
        "C | G | Am | F | C | G | F | G",
        "C major",
        "I T -, V D C, vi T -, IV S -, I T -, V D C, IV S -, V D C",
    ),
    // I° between two I.
    (
        "Abmaj7 | Abdim7 | Abmaj7 | % | Bbm7 | Eb7 | Ab6 Abdim7 | Ab6",
        "Ab major",
        "Imaj7 T -, i°7 P Ab, Imaj7 T -, ii7 S Eb, V7 D Ab, I6 T -, i°7 P Ab, I6 T -",
    ),
    // Falling fifths in minor.
    (
        "Gm7 | Cm7 | F7 | Bbmaj7 | Ebmaj7 | Am7b5 | D7 | Gm6",
        "G minor",
        "i7 T -, iv7 S F, V7/♭III D Bb, ♭IIImaj7 T -, ♭VImaj7 S -, iiø7 S D, V7 D G, i6 T -",
    ),
    // II7 in minor, and a Dorian IV7.
    (
        "Dm6 | Bm7b5 | E7 | A7 | Dm6 | G7 | Em7b5 A7 | Dm6",
        "D minor",
        "i6 T -, iiø7/V S E, V7/V D A, V7 D D, i6 T -, IV7 S -, iiø7 S A, V7 D D, i6 T -",
    ),
    // Keys a semitone and a minor third higher.
    (
        "Cmaj7 | % | Ebm7 | Ab7 | Dbmaj7 | % | Dm7 | G7 | Cmaj7 | % | Fm7 | Bb7 | Ebmaj7 | % | \
         Dm7 | G7 | Cmaj7 | %",
        "C major",
        "Imaj7 T - / Db major: ii7 S Ab, V7 D Db, Imaj7 T - / C major: ii7 S G, V7 D C, Imaj7 T \
         - / Eb major: ii7 S Bb, V7 D Eb, Imaj7 T - / C major: ii7 S G, V7 D C, Imaj7 T -",
    ),
    // Held fourths that resolve and that do not.
    (
        "Cmaj7 | G7sus | Cmaj7 | A7sus A7 | Dm7 | G7sus | Em7 | Bb7sus Bb7 | Ebmaj7 | F7sus | \
         G7sus | % | Cmaj7 | Fmaj7 | Cmaj7 | %",
        "C major",
        "Imaj7 T -, V7sus4 D C, Imaj7 T -, V7sus4/ii D D, V7/ii D D, ii7 S G, V7sus4 D C, iii7 \
         T -, ♭VII7sus4 D C, ♭VII7 D C, ♭IIImaj7 T -, IV7sus4 S -, V7sus4 D C, Imaj7 T -, \
         IVmaj7 S -, Imaj7 T -",
    ),
    // V to ♭VI.
    (
        "Dmaj7 | Em7 A7 | Bbmaj7 | Ebmaj7 | Dmaj7 | Em7 A7 | Dmaj7 | %",
        "D major",
        "Imaj7 T -, ii7 S A, V7 D D, ♭VImaj7 S -, ♭IImaj7 S -, Imaj7 T -, ii7 S A, V7 D D, \
         Imaj7 T -",
    ),
    // A bass that falls under a minor chord.
    (
        "Dm Dm/C | Bm7b5 Bbmaj7 | Gm6/A A7 | Dm | Dm Dm/C | Bm7b5 E7 | A7sus A7 | Dm6",
        "D minor",
        "i T -, i T -, viø7 T -, ♭VImaj7 S -, V7sus4 D D, V7 D D, i T -, i T -, iiø7/V S E, \
         V7/V D A, V7sus4 D D, V7 D D, i6 T -",
    ),
    // ♯iv° between IV and I.
    (
        "Gmaj7 | G7 | Cmaj7 | C#dim7 | G/D | E7 | A7 D7 | G6",
        "G major",
        "Imaj7 T -, V7/IV D C, IVmaj7 S -, ♯iv°7 P G, I T -, V7/ii D A, V7/V D D, V7 D G, I6 T \
         -",
    ),
    // A ii-V a semitone higher, and back.
    (
        "Cmaj7 | Dm7 G7 | Ebm7 Ab7 | Dm7 G7 | Cmaj7 | Dbm7 Gb7 | Dm7 G7 | C6",
        "C major",
        "Imaj7 T -, ii7 S G, V7 D C, ♭iii7 S Ab, ♭II7/V D G, ii7 S G, V7 D C, Imaj7 T -, ♭ii7 S \
         Gb, V7/VII D B, ii7 S G, V7 D C, I6 T -",
    ),
    // Tonics by major thirds, down.
    (
        "Cmaj7 | Eb7 | Abmaj7 | B7 | Emaj7 | G7 | Cmaj7 | G7",
        "C major",
        "Imaj7 T - / Ab major: V7 D Ab, Imaj7 T - / E major: V7 D E, Imaj7 T - / C major: V7 D \
         C, Imaj7 T -, V7 D C",
    ),
    // ♭II and I.
    (
        "Gbmaj7#11 | Fmaj7 | Gbmaj7#11 | Fmaj7 | Gm7 C7alt | Fmaj7 | Ebm7 Ab7 | Gm7 C7 | Fmaj7 \
         | %",
        "F major",
        "♭IImaj7♯11 S -, Imaj7 T -, ♭IImaj7♯11 S -, Imaj7 T -, ii7 S C, V7alt D F, Imaj7 T -, \
         ♭vii7 S Ab, ♭II7/ii D G, ii7 S C, V7 D F, Imaj7 T -",
    ),
    // A turnaround of major sevenths.
    (
        "Bbmaj7 Dbmaj7 | Gbmaj7 Bmaj7 | Bbmaj7 G7 | Cm7 F7 | Bbmaj7 | %",
        "Bb major",
        "Imaj7 T -, ♭IIImaj7 T -, ♭VImaj7 S -, ♭IImaj7 S -, Imaj7 T -, V7/ii D C, ii7 S F, V7 D \
         Bb, Imaj7 T -",
    ),
    // Begins on ♭III.
    (
        "Fmaj7 | Dm7 | Gm7 | C7 | Fmaj7 | Em7b5 A7 | Dm7 | % | Gm7 | C7 | Fmaj7 | Bbmaj7 | \
         Em7b5 | A7 | Dm6 | %",
        "D minor",
        "♭IIImaj7 T -, i7 T -, iv7 S C, V7/♭III D F, ♭IIImaj7 T -, iiø7 S A, V7 D D, i7 T - / F \
         major: ii7 S C, V7 D F, Imaj7 T -, IVmaj7 S - / D minor: iiø7 S A, V7 D D, i6 T -",
    ),
    // Minor, with a key a semitone higher.
    (
        "Cm7 | % | Fm7 | % | Dm7b5 | G7 | Cm6 | % | Ebm7 | Ab7 | Dbmaj7 | % | Dm7b5 | G7 | Cm6 \
         | Dm7b5 G7",
        "C minor",
        "i7 T -, iv7 S -, iiø7 S G, V7 D C, i6 T - / Db major: ii7 S Ab, V7 D Db, Imaj7 T - / C \
         minor: iiø7 S G, V7 D C, i6 T -, iiø7 S G, V7 D C",
    ),
    // Diminished chords in a turnaround.
    (
        "Bbmaj7 Bdim7 | Cm7 F7 | Bbmaj7 Dbdim7 | Cm7 F7 | Fm7 Bb7 | Ebmaj7 Ab7 | Dm7 G7 | Cm7 \
         F7",
        "Bb major",
        "Imaj7 T -, vii°7/ii D C, ii7 S F, V7 D Bb, Imaj7 T -, ♭iii°7 P C, ii7 S F, V7 D Bb, \
         ii7/IV S Bb, V7/IV D Eb, IVmaj7 S -, ♭VII7 D Bb, iii7 T G, V7/ii D C, ii7 S F, V7 D Bb",
    ),
    // II7 that goes to iv.
    (
        "Amaj7 | B7 | Dm6 | Amaj7 | F#7 | B7 | Bm7 E7 | A6",
        "A major",
        "Imaj7 T -, V7/V D E, iv6 S -, Imaj7 T -, V7/ii D B, V7/V D E, ii7 S E, V7 D A, I6 T -",
    ),
    // ii-V down by whole tones into other keys.
    (
        "F#m7b5 | B7 | Em7 | A7 | Dm7 | G7 | Cm7 | F7 | Bbmaj7 | Bbm7 Eb7 | Abmaj7 | Dm7 G7 | \
         Cmaj7 | %",
        "C major",
        "iiø7/iii S B, V7/iii D E, iii7 T A, V7/ii D D, ii7 S G, V7 D C / Bb major: ii7 S F, V7 \
         D Bb, Imaj7 T - / Ab major: ii7 S Eb, V7 D Ab, Imaj7 T - / C major: ii7 S G, V7 D C, \
         Imaj7 T -",
    ),
    // ♭VII7 that falls to VI7.
    (
        "Fmaj7 | Eb7 | D7 | % | Gm7 | C7 | Fmaj7 | C7",
        "F major",
        "Imaj7 T -, ♭II7/vi D D, V7/ii D G, ii7 S C, V7 D F, Imaj7 T -, V7 D F",
    ),
    // IV7 that falls to iii.
    (
        "Dbmaj7 | Gb7 | Fm7 | Bb7 | Ebm7 | Ab7 | Db6 | Ab7",
        "Db major",
        "Imaj7 T -, ♭II7/iii D F, iii7 T Bb, V7/ii D Eb, ii7 S Ab, V7 D Db, I6 T -, V7 D Db",
    ),
    // i ♭VII7 ♭VI7 V7.
    (
        "Cm7 | Bb7 | Ab7 | G7 | Cm7 | Bb7 | Ab7 G7 | Cm7",
        "C minor",
        "i7 T -, ♭VII7 D C, ♭II7/V D G, V7 D C, i7 T -, ♭VII7 D C, ♭II7/V D G, V7 D C, i7 T -",
    ),
    // i and IV7, a Dorian pair, is no ii-V.
    (
        "Cm7 | F7 | Cm7 | F7 | Cm7 | F7 | Cm7 | % | Ebmaj7 | Dm7b5 G7 | Cm7 | %",
        "C minor",
        "i7 T -, IV7 S -, i7 T -, IV7 S -, i7 T -, IV7 S -, i7 T -, ♭IIImaj7 T -, iiø7 S G, V7 \
         D C, i7 T -",
    ),
    // ii and V as goals.
    (
        "[ Fmaj7 | Dm7 | Gm7 | C7 | Am7 | D7 | Gm7 | C7 | [ Am7b5 | D7 | Gm7 | % | Dm7 | G7 | \
         Cmaj7 | Gm7 C7 | [ Fmaj7 | Dm7 | Gm7 | C7 | Bbmaj7 Bbm6 | Am7 D7 | Gm7 C7 | F6",
        "F major",
        "Imaj7 T -, vi7 T G, ii7 S C, V7 D F, iii7 T D, V7/ii D G, ii7 S C, V7 D F, iiø7/ii S \
         D, V7/ii D G, ii7 S -, vi7 T G, V7/V D C, Vmaj7 D F, ii7 S C, V7 D F, Imaj7 T -, vi7 T \
         G, ii7 S C, V7 D F, IVmaj7 S -, iv6 S -, iii7 T D, V7/ii D G, ii7 S C, V7 D F, I6 T -",
    ),
    // A bridge in the relative major.
    (
        "[ Em7 | F#m7b5 B7 | Em7 | Am7 | F#m7b5 | B7 | Em7 | F#m7b5 B7 | [ Am7 | D7 | Gmaj7 | \
         Cmaj7 | Am7 | D7 | Gmaj7 | F#m7b5 B7 | [ Em7 | F#m7b5 B7 | Em7 | Am7 | F#m7b5 | B7 | \
         Em6 | F#m7b5 B7",
        "E minor",
        "i7 T -, iiø7 S B, V7 D E, i7 T -, iv7 S -, iiø7 S B, V7 D E, i7 T -, iiø7 S B, V7 D E \
         / G major: ii7 S D, V7 D G, Imaj7 T -, IVmaj7 S -, ii7 S D, V7 D G, Imaj7 T - / E \
         minor: iiø7 S B, V7 D E, i7 T -, iiø7 S B, V7 D E, i7 T -, iv7 S -, iiø7 S B, V7 D E, \
         i6 T -, iiø7 S B, V7 D E",
    ),
    // iv and ♭III as goals.
    (
        "[ Gm7 | Am7b5 D7 | Gm7 | % | [ Dm7b5 | G7 | Cm7 | % | Cm7 | F7 | Bbmaj7 | Am7b5 D7 | [ \
         Gm7 | Am7b5 D7 | Gm6 | %",
        "G minor",
        "i7 T -, iiø7 S D, V7 D G, i7 T -, iiø7/iv S G, V7/iv D C, iv7 S F, V7/♭III D Bb, \
         ♭IIImaj7 T -, iiø7 S D, V7 D G, i7 T -, iiø7 S D, V7 D G, i6 T -",
    ),
    // A bridge in the parallel major.
    (
        "[ Cm | Cm(maj7) | Cm7 | F7 | Abmaj7 | Dm7b5 G7 | Cm6 | % | [ Cmaj7 | Am7 | Dm7 | G7 | \
         Em7 | A7 | Dm7 | G7 | [ Cm | Cm(maj7) | Cm7 | F7 | Abmaj7 | Dm7b5 G7 | Cm6 | %",
        "C minor",
        "i T -, i(maj7) T -, i7 T -, IV7 S -, ♭VImaj7 S -, iiø7 S G, V7 D C, i6 T - / C major: \
         Imaj7 T -, vi7 T D, ii7 S G, V7 D C, iii7 T A, V7/ii D D, ii7 S G, V7 D C / C minor: i \
         T -, i(maj7) T -, i7 T -, IV7 S -, ♭VImaj7 S -, iiø7 S G, V7 D C, i6 T -",
    ),
    // Begins on ♭VI7.
    (
        "Db7 | C7 | Fmaj7 | % | Db7 | C7 | Fmaj7 | D7 | Gm7 | C7 | Am7 | D7 | Db7 | C7 | F6 | %",
        "F major",
        "♭II7/V D C, V7 D F, Imaj7 T -, ♭II7/V D C, V7 D F, Imaj7 T -, V7/ii D G, ii7 S C, V7 D \
         F, iii7 T D, V7/ii D Db, ♭II7/V D C, V7 D F, I6 T -",
    ),
    // Begins on IV, with ♯iv°.
    (
        "Bbmaj7 | Bdim7 | F/C | D7 | Gm7 | C7 | Fmaj7 | F7 | Bbmaj7 | Bdim7 | F/C | D7 | G7 | \
         C7 | F6 | %",
        "F major",
        "IVmaj7 S -, ♯iv°7 P F, I T -, V7/ii D G, ii7 S C, V7 D F, Imaj7 T -, V7/IV D Bb, \
         IVmaj7 S -, ♯iv°7 P F, I T -, V7/ii D G, V7/V D C, V7 D F, I6 T -",
    ),
    // iv at the end.
    (
        "Amaj7 | C#m7 | Dmaj7 | Dm6 | Amaj7 | F#m7 | Bm7 E7 | Amaj7 | Dmaj7 | Dm6 | A6 | %",
        "A major",
        "Imaj7 T -, iii7 T -, IVmaj7 S -, iv6 S -, Imaj7 T -, vi7 T B, ii7 S E, V7 D A, Imaj7 T \
         -, IVmaj7 S -, iv6 S -, I6 T -",
    ),
    // III7 that goes to IV.
    (
        "Cmaj7 | E7 | Fmaj7 | Fm6 | Cmaj7 | E7 | Fmaj7 | G7",
        "C major",
        "Imaj7 T -, V7/vi D A, IVmaj7 S -, iv6 S -, Imaj7 T -, V7/vi D A, IVmaj7 S -, V7 D C",
    ),
    // III7 and a half-diminished iii.
    (
        "Cmaj7 | E7#5 | Am7 | D9 | Dm7 | G7 | Em7b5 | A7 | Dm7 | Fm6 | Cmaj7 A7 | Dm7 G7",
        "C major",
        "Imaj7 T -, V7♯5/vi D A, vi7 T D, V9/V D G, ii7 S G, V7 D C, iiø7/ii S A, V7/ii D D, \
         ii7 S -, iv6 S -, Imaj7 T -, V7/ii D D, ii7 S G, V7 D C",
    ),
    // A triad over its second is a dominant.
    (
        "Ebmaj7 | Db/Eb | Abmaj7 | Gb/Ab | Dbmaj7 | Bb7sus Bb7 | Ebmaj7 | %",
        "Eb major",
        "Imaj7 T - / Ab major: V7sus4 D Ab, Imaj7 T - / Db major: V7sus4 D Db, Imaj7 T - / Eb \
         major: V7sus4 D Eb, V7 D Eb, Imaj7 T -",
    ),
    // A half-diminished ii in major.
    (
        "Ebmaj7 | Fm7b5 Bb7 | Ebmaj7 | Cm7 | Fm7b5 | Bb7b9 | Eb6 | %",
        "Eb major",
        "Imaj7 T -, iiø7 S Bb, V7 D Eb, Imaj7 T -, vi7 T F, iiø7 S Bb, V7♭9 D Eb, I6 T -",
    ),
    // Minor sevenths that slide.
    (
        "Fmaj7 | Am7 Abm7 | Gm7 Gb7 | Fmaj7 | Am7 Abm7 | Gm7 C7 | F6 | %",
        "F major",
        "Imaj7 T -, iii7 T -, ♭iii7 P G, ii7 S Gb, ♭II7 D F, Imaj7 T -, iii7 T -, ♭iii7 P G, \
         ii7 S C, V7 D F, I6 T -",
    ),
    // Dominants that slide up.
    (
        "Bb6 | Eb7 E7 | F7 | Bb6 | G7 | C7 | Cm7 F7 | Bb6",
        "Bb major",
        "I6 T -, IV7 S -, ♯IV7 P F, V7 D Bb, I6 T -, V7/ii D C, V7/V D F, ii7 S F, V7 D Bb, I6 \
         T -",
    ),
    // ♭iii° and ♭VI7.
    (
        "Cmaj7 Ebdim7 | Dm7 G7 | Cmaj7 Ab7 | G7 | Cmaj7 Ebdim7 | Dm7 G7 | C6 | %",
        "C major",
        "Imaj7 T -, ♭iii°7 P D, ii7 S G, V7 D C, Imaj7 T -, ♭II7/V D G, V7 D C, Imaj7 T -, \
         ♭iii°7 P D, ii7 S G, V7 D C, I6 T -",
    ),
    // Falling fifths from iv.
    (
        "Am7 | D7 | Gmaj7 | Cmaj7 | F#m7b5 | B7 | Em7 | E7 | Am7 | D7 | Gmaj7 | Cmaj7 | F#m7b5 \
         | B7 | Em7 | E7",
        "E minor",
        "iv7 S D, V7/♭III D G, ♭IIImaj7 T -, ♭VImaj7 S -, iiø7 S B, V7 D E, i7 T -, V7/iv D A / \
         G major: ii7 S D, V7 D G, Imaj7 T -, IVmaj7 S - / E minor: iiø7 S B, V7 D E, i7 T -, \
         V7/iv D A",
    ),
    // Minor, with a key a semitone higher.
    (
        "Cm6 | % | Fm7 | % | Dm7b5 | G7#5 | Cm6 | % | Ebm7 | Ab7 | Dbmaj7 | % | Dm7b5 | G7#5 | \
         Cm6 | %",
        "C minor",
        "i6 T -, iv7 S -, iiø7 S G, V7♯5 D C, i6 T - / Db major: ii7 S Ab, V7 D Db, Imaj7 T - / \
         C minor: iiø7 S G, V7♯5 D C, i6 T -",
    ),
    // A bass that stays.
    (
        "Cmaj7 | Dm7/C | Cmaj7 | Dm7/C | Fmaj7 | Fm6 | Cmaj7/E | Ebdim7 | Dm7 | G7 | C6 | %",
        "C major",
        "Imaj7 T -, ii7 S -, Imaj7 T -, ii7 S -, IVmaj7 S -, iv6 S -, Imaj7 T -, ♭iii°7 P D, \
         ii7 S G, V7 D C, I6 T -",
    ),
    // A minor blues.
    (
        "Dm7 | Gm7 | Dm7 | D7b9 | Gm7 | % | Dm7 | % | Em7b5 | A7 | Dm7 | A7",
        "D minor",
        "i7 T -, iv7 S -, i7 T -, V7♭9/iv D G, iv7 S -, i7 T -, iiø7 S A, V7 D D, i7 T -, V7 D \
         D",
    ),
    // A blues with ii-Vs by semitones.
    (
        "Bb7 | Eb7 | Bb7 | Fm7 E7 | Eb7 | Ebm7 Ab7 | Dm7 | Dbm7 Gb7 | Cm7 | F7 | Dm7 G7 | Cm7 \
         F7",
        "Bb major",
        "I7 T Eb, IV7 S -, I7 T -, ii7/IV S E, ♭II7/IV D Eb, IV7 S -, iv7 S Ab, ♭VII7 D Bb, \
         iii7 T -, ♭iii7 S Gb, ♭II7/V D F, ii7 S F, V7 D Bb, iii7 T G, V7/ii D C, ii7 S F, V7 D \
         Bb",
    ),
    // A blues of eight bars.
    (
        "C7 | G7 | F7 | % | C7 | G7 | C7 | G7",
        "C major",
        "I7 T -, V7 D C, IV7 S -, I7 T -, V7 D C, I7 T -, V7 D C",
    ),
    // Triads, IV and iv.
    (
        "Eb | Eb7 | Ab | Abm6 | Eb/Bb | C7 | F7 | Bb7 | Eb | Eb7 | Ab | Adim7 | Eb/Bb C7 | F7 \
         Bb7 | Eb Ab | Eb",
        "Eb major",
        "I T -, V7/IV D Ab, IV S -, iv6 S -, I T -, V7/ii D F, V7/V D Bb, V7 D Eb, I T -, V7/IV \
         D Ab, IV S -, ♯iv°7 P Eb, I T -, V7/ii D F, V7/V D Bb, V7 D Eb, I T -, IV S -, I T -",
    ),
    // A step to the side.
    (
        "Dm7 | % | Ebm7 | % | Dm7 | G7 | Cmaj7 | % | Ebm7 Ab7 | Dm7 G7 | C6 | %",
        "C major",
        "ii7 S -, ♭iii7 P D, ii7 S G, V7 D C, Imaj7 T -, ♭iii7 S Ab, ♭II7/V D G, ii7 S G, V7 D \
         C, I6 T -",
    ),
    // Ends on the ii-V of vi.
    (
        "Ebmaj7 | Dm7b5 G7 | Cm7 | Bbm7 Eb7 | Abmaj7 | Abm7 Db7 | Ebmaj7 Cm7 | F7 Bb7 | Ebmaj7 \
         | Dm7b5 G7",
        "Eb major",
        "Imaj7 T -, iiø7/vi S G, V7/vi D C, vi7 T -, ii7/IV S Eb, V7/IV D Ab, IVmaj7 S -, iv7 S \
         Db, ♭VII7 D Eb, Imaj7 T -, vi7 T F, V7/V D Bb, V7 D Eb, Imaj7 T -, iiø7/vi S G, V7/vi \
         D C",
    ),
];

fn written(analysis: &Analysis) -> String {
    let mut told = String::new();
    let mut key = analysis.home;
    for reading in &analysis.readings {
        let numeral = plain_text(&reading.numeral.parts(NumeralStyle::On, SymbolStyle::Mixed));
        let function = reading.function.word()[..1].to_uppercase();
        let target = reading.target.map_or("-".to_owned(), |target| target.plain());
        if reading.key != key {
            key = reading.key;
            let stroke = if told.is_empty() { "" } else { " / " };
            told.push_str(&format!("{stroke}{}: ", key.plain()));
        } else if !told.is_empty() {
            told.push_str(", ");
        }
        told.push_str(&format!("{numeral} {function} {target}"));
    }
    told
}

#[test]
fn progressions_of_common_practice_are_heard_as_they_are_taught() {
    for (text, home, expected) in CASES {
        let analysis = analyse(&tune(text)).unwrap();
        assert_eq!(analysis.home.plain(), *home, "{text}");
        assert_eq!(written(&analysis), *expected, "{text}");
    }
    assert!(CASES.len() > 70);
}

/// What turns round a minor tonic with its IV7 is no ii-V, and the V of a key points to its tonic,
/// whatever comes.
#[test]
fn pairs_that_lead_nowhere_are_told_apart() {
    let cadences = |text: &str| -> Vec<String> {
        let analysis = analyse(&tune(text)).unwrap();
        let told =
            |it: &quintfall::chart::Cadence| format!("{} {}", it.kind.word(), it.target.plain());
        analysis.cadences.iter().map(told).collect()
    };
    let dorian = "Cm7 | F7 | Cm7 | F7 | Cm7 | F7 | Cm7 | % | Ebmaj7 | Dm7b5 G7 | Cm7 | %";
    // IV7 after a minor tonic does not undo it.
    assert_eq!(cadences(dorian), ["ii-V-i C"]);
    let open = cadences("Cmaj7 | Am7 | Dm7 | G7 | F#m7b5 | B7 | Em7 A7 | Dm7 G7 | C6 | %");
    assert_eq!(open[0], "ii-V C");
}

/// Rhythm of sixths with a seventh on its way to IV is no blues; twelve bars of sevenths are one.
#[test]
fn a_seventh_on_its_way_makes_no_blues() {
    let is_blues = |text: &str| analyse(&tune(text)).unwrap().is_blues;
    let a = "Bb6 G7 | Cm7 F7 | Bb6 G7 | Cm7 F7 | Bb7 | Eb7 Edim7 | Bb/F F7 | Bb6";
    assert!(!is_blues(a));
    assert!(is_blues("F7 | Bb7 | F7 | % | Bb7 | % | F7 | % | C7 | Bb7 | F7 | C7"));
}
