//! Lines to finger.

use quintfall::fingering::{Fingering, FingeringError, HandSpans, HandStruck, fingers};
use quintfall::score::{Hand, QUARTER, Ticks};
use quintfall::theory::{Letter, NoteName, Pitch, SeventhChord};

const EIGHTH: Ticks = QUARTER / 2;

/// A line as plain as a test writes it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Line {
    pub(crate) struck: Vec<Notes>,
    /// Whether a figure begins with each; none does where this is empty.
    pub(crate) figures: Vec<bool>,
}

/// When they are struck and let go, the notes, and the fingers that are given.
pub(crate) type Notes = (Ticks, Ticks, Vec<Pitch>, Vec<Option<u8>>);

impl Line {
    /// Single notes or chords in eighths, without rests.
    pub(crate) fn eighths(chords: impl IntoIterator<Item = Vec<Pitch>>) -> Self {
        let struck = (0..)
            .zip(chords)
            .map(|(place, pitches)| (place * EIGHTH, (place + 1) * EIGHTH, pitches, Vec::new()));
        Self { struck: struck.collect(), figures: Vec::new() }
    }

    pub(crate) fn notes(pitches: &[Pitch]) -> Self {
        Self::eighths(pitches.iter().map(|pitch| vec![*pitch]))
    }

    /// Figures of single notes, one after another.
    pub(crate) fn figures(figures: &[Vec<Pitch>]) -> Self {
        let begins = figures.iter().flat_map(|figure| (0..figure.len()).map(|place| place == 0));
        Self { figures: begins.collect(), ..Self::notes(&figures.concat()) }
    }

    pub(crate) fn struck(&self) -> Vec<HandStruck<'_>> {
        self.struck
            .iter()
            .map(|(at, end, pitches, fixed)| HandStruck { at: *at, end: *end, pitches, fixed })
            .collect()
    }

    pub(crate) fn solve(&self, hand: Hand, settings: HandSpans) -> Fingering {
        self.solved(hand, settings).unwrap_or_else(|error| panic!("{error}: {self:?}"))
    }

    pub(crate) fn solved(
        &self,
        hand: Hand,
        settings: HandSpans,
    ) -> Result<Fingering, FingeringError> {
        fingers(hand, &self.struck(), &self.figures, settings)
    }

    /// The digits of a line of single notes, as a handbook prints them.
    pub(crate) fn digits(&self, hand: Hand) -> String {
        let solved = self.solve(hand, HandSpans::default());
        solved.fingers.iter().flatten().map(u8::to_string).collect()
    }
}

/// A pitch by its MIDI key, spelled with sharps.
pub(crate) fn pitch(midi: i32) -> Pitch {
    use Letter::{A, B, C, D, E, F, G};
    let (letter, alter) = [
        (C, 0),
        (C, 1),
        (D, 0),
        (D, 1),
        (E, 0),
        (F, 0),
        (F, 1),
        (G, 0),
        (G, 1),
        (A, 0),
        (A, 1),
        (B, 0),
    ][midi.rem_euclid(12) as usize];
    Pitch::new(NoteName::new(letter, alter), midi.div_euclid(12) - 1)
}

/// The tones of a chord, counted from its root.
pub(crate) fn tones(
    chord: SeventhChord,
    octave: i32,
    tones: impl IntoIterator<Item = i32>,
) -> Vec<Pitch> {
    let root = Pitch::new(chord.root, octave);
    tones.into_iter().map(|tone| root.up(chord.tone_interval(tone))).collect()
}
