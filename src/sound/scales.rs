//! The scales over the chords of a tune: from the keys that it is read in.

use super::ending::is_dominant;
use crate::chart::{Analysis, HeldChord, Unfolded, analyse_in};
use crate::score::{Stay, Ticks};
use crate::theory::{Chord, Interval, Key};

/// A tune with what its changes say of keys.
pub(super) struct TuneScales(Option<Analysis>);

impl TuneScales {
    /// The scales of a tune in a key.
    pub(super) fn of(tune: &Unfolded, key: Option<Key>) -> Self {
        Self(analyse_in(tune, key))
    }

    /// The scale over a change: that of the key that it is read in, as far as its chord has it.
    fn over(&self, change: &HeldChord, chord: Chord) -> [Interval; 7] {
        let reading = self.0.as_ref().and_then(|it| it.reading(change.written));
        reading.map_or_else(|| chord.kind.scale(), |reading| scale_in(chord, reading.key))
    }

    /// The stay of a change between two moments, if there is a chord and time for it.
    pub(super) fn stay(&self, change: &HeldChord, [from, to]: [Ticks; 2]) -> Option<Stay> {
        let chord = change.chord?;
        let (at, end) = (change.at.max(from), (change.at + change.length).min(to));
        (at < end).then(|| Stay { at, end, chord, scale: self.over(change, chord) })
    }
}

/// The scale over a chord in a key, above its root: the notes of the key, with every tone of the chord
/// in place of the note of its number. A chord whose root the key has not has a scale of its own, and
/// the fourth over a dominant is that of its own scale, whatever leads on from it.
fn scale_in(chord: Chord, key: Key) -> [Interval; 7] {
    let own = chord.kind.scale();
    let scale = key.scale();
    let is_root = |degree: &i32| scale.note(*degree).pitch_class() == chord.root.pitch_class();
    let Some(root) = (1..=7).find(is_root) else { return own };
    let leads = is_dominant(chord.kind);
    let of_key = |place: i32| scale.interval(root + place).plus(scale.interval(root).down());
    let merged: [Interval; 7] = std::array::from_fn(|place| {
        let place = place as i32;
        let tone = chord.kind.number(place + 1).filter(|tone| tone.steps == place);
        match tone {
            Some(tone) => tone,
            None if leads && place == 3 => own[3],
            None => of_key(place),
        }
    });
    // Tones of the chord may leave no room for those of the key.
    let rises = merged.windows(2).all(|pair| pair[0].semitones < pair[1].semitones);
    if rises { merged } else { own }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::{Mode, NoteName};

    fn notes(chord: &str, key: Key) -> String {
        let chord: Chord = chord.parse().unwrap();
        let scale = scale_in(chord, key);
        let names = scale.map(|above| {
            let note: NoteName = chord.root.up(above);
            note.to_string()
        });
        names.join(" ")
    }

    /// As the handbooks of jazz harmony have them (common practice, no source).
    #[test]
    fn chords_have_the_notes_of_their_key() {
        for (chord, key, wanted) in [
            ("Dm7", "C", "D E F G A B C"),
            ("Am7", "F", "A B♭ C D E F G"),
            ("Fmaj7", "C", "F G A B C D E"),
            ("F7", "C", "F G A B♭ C D E♭"),
            ("A7", "C", "A B C♯ D E F G"),
            ("E7", "C", "E F G♯ A B C D"),
            ("G7", "C minor", "G A♭ B C D E♭ F"),
            ("Cm6", "C minor", "C D E♭ F G A B♭"),
            ("Dm7b5", "C minor", "D E♭ F G A♭ B♭ C"),
            ("Db7", "C", "D♭ E♭ F G♭ A♭ B♭ C♭"),
        ] {
            assert_eq!(notes(chord, key.parse().unwrap()), wanted, "{chord} in {key}");
        }
        let dorian = Key::on("E".parse::<Key>().unwrap().tonic(), Mode::Dorian);
        assert_eq!(notes("F#m7", dorian), "F♯ G A B C♯ D E");
    }
}
