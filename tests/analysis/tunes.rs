//! Tunes of our own for the laws: one a line of the models of theory, in the manner of standards.

/// With cadences, in many keys, going round and at rest.
pub(crate) const TUNES: &[&str] = &[
    // Falling fifths, a bridge to IV.
    "[ C6 | A7 | Dm7 | G7 | Em7 | A7 | Dm7 G7 | C6 | [ Gm7 | C7 | Fmaj7 | % | Am7 | D7 | Dm7 | G7 \
     | [ C6 | A7 | Dm7 | G7 | Em7 | A7 | Dm7 G7 | C6",
    // A ballad of borrowed chords.
    "[ Fmaj7 | Bbm7 Eb7 | Fmaj7 Dbmaj7 | Gbmaj7 C7 | Fmaj7 Am7 | Abm7 Db7 | Gm7 C7 | Am7b5 D7 | [ \
     Gm7 | Bbm6 | Am7 D7b9 | Gm7 Gb7 | Fmaj7 D7 | Gm7 C7sus C7 | F6 Bb7 | F6",
    // From the ii, through the relative minor.
    "[ Dm7 | G7 | Cmaj7 | Fmaj7 | Bm7b5 | E7 | Am7 | A7 | Dm7 | G7 | Em7 | A7 | Dm7 | G7 | Cmaj7 | \
     Bm7b5 E7",
    // Minor, with chains.
    "[ Gm7 | Am7b5 D7 | Gm7 | Gm7 Gb7 | Fm7 | Bb7 | Ebmaj7 | Am7b5 D7 | Gm6 | Cm7 F7 | Bbmaj7 | \
     Ebmaj7 | Am7b5 | D7b9 | Gm6 | Am7b5 D7",
    // Turnarounds with a bridge of dominants.
    "[ Bb6 G7 | Cm7 F7 | Dm7 G7 | Cm7 F7 | Fm7 Bb7 | Ebmaj7 Ebm6 | Dm7 G7 | Cm7 F7 | [ D7 | % | G7 \
     | % | C7 | % | F7 | %",
    // Blues: plain, with many changes, and minor.
    "C7 | F7 | C7 | % | F7 | F#dim7 | C7 | A7 | Dm7 | G7 | C7 A7 | Dm7 G7",
    "F6 | Em7b5 A7 | Dm7 G7 | Cm7 F7 | Bb7 | Bbm7 Eb7 | Am7 D7 | Abm7 Db7 | Gm7 | C7 | Am7 D7 | Gm7 \
     C7",
    "Dm7 | % | % | Am7b5 D7 | Gm7 | % | Dm7 | % | Bb7 | A7 | Dm7 | Em7b5 A7",
    // Dominants that fall by semitones.
    "[ Amaj7 | % | D7 | C#7 | C7 | B7 | Bm7 E7 | Amaj7 | C#m7 | F#7 | Bm7 | E7 | A6 | C7 | B7 Bb7 | \
     A6",
    // Major thirds.
    "Dbmaj7 E7 | Amaj7 C7 | Fmaj7 | Gm7 C7 | Fmaj7 Ab7 | Dbmaj7 | Ebm7 | Ab7",
    // A semitone up and back.
    "[ Cmaj7 | Am7 | Dm7 | G7 | Cmaj7 | Am7 | Ebm7 | Ab7 | [ Dbmaj7 | Bbm7 | Ebm7 | Ab7 | Dbmaj7 | \
     % | Dm7 | G7",
    // Diminished chords.
    "[ G6 | Bbdim7 | Am7 | D7 | G6 | G#dim7 | Am7 | D7 | Bm7 | E7 | Am7 | Cm6 | G6/D C#dim7 | \
     Am7/D D7 | G6 Gdim7 | G6",
    // Plain triads.
    "[ G | D | Em | C | G | D | C | % | Am | C | G | D | G | D | C | G",
    "Am | G | F | E7 | Am | G7 | F7 | E7 | Dm | Am | E7 | Am",
    // A line inside a harmony, major and minor.
    "[ C | Caug | C6 | C7 | F | Fm | C/G Am7 | D7 G7 | C | % | Am7 | C7 | Fmaj7 | Fm6 | Em7 A7 | \
     Dm7 G7",
    "Cm Cm(maj7) | Cm7 Cm6 | Fm7 | Bb7 | Ebmaj7 | Abmaj7 | Dm7b5 | G7 | Cm6 | %",
];

/// Without cadence.
pub(crate) const MODAL: &[(&str, &str)] = &[
    ("Dm7 | % | % | % | % | % | % | % | Ebm7 | % | % | % | Dm7 | % | % | %", "D minor"),
    (
        "[ Dm7 | G7 | Dm7 | G7 | Dm7 | G7 | Dm7 | G7 | [ Fm7 | Bb7 | Fm7 | Bb7 | Dm7 | G7 | Dm7 | G7",
        "D dorian",
    ),
    (
        "D9sus | % | % | % | F9sus | % | % | % | D9sus | % | % | % | Eb9sus | % | D9sus | %",
        "D mixolydian",
    ),
    ("Fmaj7#11 | % | G/F | % | Fmaj7#11 | % | G/F | %", "F lydian"),
];
