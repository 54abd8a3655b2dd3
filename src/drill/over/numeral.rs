//! A chord of a tune as a drill says it: a numeral in the home key, with the kind of its chord.

use crate::chart::ChordReading;
use crate::drill::language::degree_words::{OVER, WRITTEN, key_of};
use crate::drill::language::harmony::{Degree, PassageHome};
use crate::drill::language::spelling::spelled;
use crate::theory::{
    BorrowedTarget, Chord, ChordKind, Interval, Key, Letter, NoteName, SymbolStyle, chord_symbol,
    plain_text,
};

/// The highest root above the tonic, in semitones: fourths go up and fifths go down, so that roots
/// stay within an octave (ours).
const HIGHEST: i32 = 5;

/// The word of a chord that is read so, in a tune at home in a key. Its root comes out on the note
/// that the tune writes, within an octave about the tonic.
pub(super) fn word(chord: Chord, reading: Option<&ChordReading>, home: Key) -> String {
    word_in(chord, reading, NumeralHome::own(home))
}

/// What numerals are counted in: the key of a passage, in a tune at home in a key.
#[derive(Clone, Copy, Debug)]
pub(super) struct NumeralHome {
    /// The key of the passage.
    key: Key,
    /// That key as the drill has it.
    pub(super) passage: PassageHome,
    /// The home key of the tune.
    tune: Key,
}

impl NumeralHome {
    /// The home key itself.
    pub(super) fn own(home: Key) -> Self {
        Self { key: home, passage: PassageHome::own(home.mode()), tune: home }
    }

    /// A key that a tune at home elsewhere visits, with the word that a passage has for it; none where
    /// no passage can be in it.
    pub(super) fn visited(key: Key, home: Key) -> Option<(String, Self)> {
        let counted = [above, usual].map(|count| count(key.tonic(), home.tonic()));
        counted.into_iter().find_map(|(degree, alter)| {
            let word = format!("{}{}", signs(alter), letters(degree, key.is_minor()));
            let (tonic, is_minor) = key_of(&word)?;
            let c = NoteName::new(Letter::C, 0).up(tonic);
            let has_signature = Key::on(c, key.mode()).tonic() == c;
            let of = BorrowedTarget { degree, alter, is_minor };
            let of = (tonic != Interval::UNISON).then_some(of);
            let passage = PassageHome { tonic, mode: key.mode(), of };
            has_signature.then_some((word, Self { key, passage, tune: home }))
        })
    }
}

/// The same in the key of a passage.
pub(super) fn word_in(chord: Chord, reading: Option<&ChordReading>, at: NumeralHome) -> String {
    let own = alone(chord, reading, at);
    let home = at.key;
    let Some(bass) = chord.bass else { return own };
    let (degree, alter) = above(bass, home.tonic());
    // A bass that no degree of the key can name is told by the note that sounds like it.
    let twins = [1, -1].map(|steps| bass.up(Interval { steps, semitones: 0 }));
    let twins = twins.map(|bass| above(bass, home.tonic()));
    let told = std::iter::once((degree, alter)).chain(twins);
    let (degree, alter) = told.min_by_key(|(_, alter)| alter.abs() > 1).unwrap_or((degree, alter));
    format!("{own}{OVER}{}{degree}", signs(alter))
}

/// The word of a chord without its bass: the first of its names that sounds like it, with the name of
/// its root where the tune writes that otherwise.
fn alone(chord: Chord, reading: Option<&ChordReading>, at: NumeralHome) -> String {
    let home = at.key;
    // At home a chord is called as the chart calls it.
    let read = reading.and_then(|reading| read(chord, reading, home));
    let applied = reading.and_then(|reading| applied(chord, reading, home));
    let others = [usual, above].map(|count| plain(chord, count(chord.root, home.tonic())));
    let called = read.into_iter().chain(applied).chain(others);
    let words = called.flat_map(WrittenNumeral::words);
    let fit = |word: String| {
        let (degree, alter) = above(chord.root, home.tonic());
        let named = format!("{word}{WRITTEN}{}{degree}", signs(alter));
        [word, named].into_iter().find(|word| is_fit(word, chord, at))
    };
    let mut words = words.filter_map(fit);
    words.next().unwrap_or_else(|| respelled(chord, at))
}

/// The chord by the numeral that it has at home, where that is applied to nothing.
fn read(chord: Chord, reading: &ChordReading, home: Key) -> Option<WrittenNumeral> {
    let numeral = reading.numeral;
    let is_home = reading.key.tonic().pitch_class() == home.tonic().pitch_class();
    let is_plain = is_home && numeral.of.is_none();
    is_plain.then(|| plain(chord, (numeral.degree, numeral.alter)))
}

/// The chord on the note that sounds like its root, where a degree with one sign has that and none
/// has the root itself: B♭ in C♯ minor is A♯.
fn respelled(chord: Chord, at: NumeralHome) -> String {
    let home = at.key;
    let twins = [1, -1].map(|steps| Interval { steps, semitones: 0 });
    let roots = twins.into_iter().map(|twin| chord.root.up(twin));
    let roots = std::iter::once(chord.root).chain(roots);
    let chords = roots.map(|root| Chord { root, bass: None, ..chord });
    let fit = |chord: Chord| {
        let written = plain(chord, above(chord.root, home.tonic()));
        written.words().into_iter().find(|word| is_fit(word, chord, at))
    };
    chords
        .into_iter()
        .find_map(fit)
        .unwrap_or_else(|| plain(chord, above(chord.root, home.tonic())).word([false; 2]))
}

/// A numeral in parts.
struct WrittenNumeral {
    sign: String,
    letters: &'static str,
    kind: String,
    of: Option<String>,
}

impl WrittenNumeral {
    /// Its words in every octave, the plain ones first.
    fn words(self) -> Vec<String> {
        let octaves = [[false; 2], [false, true], [true, false], [true; 2]];
        let count = if self.of.is_some() { 4 } else { 2 };
        octaves.into_iter().take(count).map(|low| self.word(low)).collect()
    }

    /// Its word with itself, and what it leads to, in the lower octave or not; what leads nowhere
    /// has the second alone.
    fn word(&self, low: [bool; 2]) -> String {
        let Self { sign, letters, kind, of } = self;
        let [own, last] = low.map(|is_low| if is_low { "low" } else { "" });
        match of {
            None => format!("{last}{sign}{letters}{kind}"),
            Some(of) => format!("{own}{sign}{letters}{kind}/{last}{of}"),
        }
    }
}

/// Whether a word is the chord, on the note that is written and in the right octave.
fn is_fit(word: &str, chord: Chord, at: NumeralHome) -> bool {
    let plan = Degree::parse(word).ok().and_then(|degree| degree.chord(at.passage));
    plan.is_some_and(|plan| {
        let is_near = (HIGHEST - 11..=HIGHEST).contains(&plan.root.semitones);
        // A root of many signs is written as the note that sounds like it.
        is_near && plan.kind == chord.kind && spelled(&[plan], at.tune)[0].root == chord.root
    })
}

/// The chord on a degree and its sign, applied to nothing.
fn plain(chord: Chord, (degree, alter): (i32, i32)) -> WrittenNumeral {
    WrittenNumeral {
        sign: signs(alter),
        letters: letters(degree, chord.kind.has_minor_third()),
        kind: kind(chord.kind),
        of: None,
    }
}

/// The chord as it leads to a degree of the home key, or as it stands in another key that the
/// tune visits.
fn applied(chord: Chord, reading: &ChordReading, home: Key) -> Option<WrittenNumeral> {
    let area = reading.key;
    let numeral = reading.numeral;
    let is_home = area.tonic().pitch_class() == home.tonic().pitch_class();
    let goal = match reading.goal.or(numeral.of) {
        Some(goal) => (area.tonic().up(of_target(goal)), goal.is_minor),
        None if is_home => return None,
        // The tonic of that key is a degree of the home key, and told as one; that of a mode without
        // cadence is not reached from home, but begins there anew.
        None if numeral.degree == 1 && numeral.alter == 0 && !area.is_of_church_mode() => {
            return None;
        }
        None => (area.tonic(), area.is_minor()),
    };
    let (degree, alter) = usual(goal.0, home.tonic());
    // What leads home says so by being what it is.
    if degree == 1 && alter == 0 {
        return None;
    }
    Some(WrittenNumeral {
        sign: signs(numeral.alter),
        letters: letters(numeral.degree, chord.kind.has_minor_third()),
        kind: kind(chord.kind),
        of: Some(format!("{}{}", signs(alter), letters(degree, goal.1))),
    })
}

/// How far the degree of a goal stands above the tonic.
fn of_target(goal: BorrowedTarget) -> Interval {
    let steps = (goal.degree - 1).rem_euclid(7);
    Interval { steps, semitones: Letter::from_steps(steps).semitones() + goal.alter }
}

/// A note as a degree of a key, with the sign that it usually has: ♭II, ♭III, ♭VI and ♭VII however
/// they are written, ♯IV or ♭V as it is.
pub(super) fn usual(note: NoteName, tonic: NoteName) -> (i32, i32) {
    match (note.pitch_class() - tonic.pitch_class()).rem_euclid(12) {
        1 => (2, -1),
        3 => (3, -1),
        8 => (6, -1),
        10 => (7, -1),
        6 if above(note, tonic).0 != 4 => (5, -1),
        6 => (4, 1),
        white => {
            let steps = (0..7).find(|steps| Letter::from_steps(*steps).semitones() == white);
            (steps.unwrap_or(0) + 1, 0)
        }
    }
}

/// A note as a degree of the major scale on a tonic, 1 to 7, and by how many semitones it differs
/// from that.
fn above(note: NoteName, tonic: NoteName) -> (i32, i32) {
    let steps = (note.letter.steps() - tonic.letter.steps()).rem_euclid(7);
    let semitones = note.pitch_class() - tonic.pitch_class();
    let alter = (semitones - Letter::from_steps(steps).semitones() + 6).rem_euclid(12) - 6;
    (steps + 1, alter)
}

fn signs(alter: i32) -> String {
    let sign = if alter < 0 { "b" } else { "#" };
    sign.repeat(alter.unsigned_abs() as usize)
}

/// The letters of a degree.
pub(super) fn letters(degree: i32, is_minor: bool) -> &'static str {
    const LETTERS: [[&str; 2]; 7] = [
        ["I", "i"],
        ["II", "ii"],
        ["III", "iii"],
        ["IV", "iv"],
        ["V", "v"],
        ["VI", "vi"],
        ["VII", "vii"],
    ];
    LETTERS[(degree - 1).rem_euclid(7) as usize][usize::from(is_minor)]
}

/// A kind as a symbol says it, without a root.
fn kind(kind: ChordKind) -> String {
    let c = NoteName::new(Letter::C, 0);
    let symbol = plain_text(&chord_symbol(Chord::new(c, kind), SymbolStyle::Letters));
    let plain = symbol.replace('\u{266d}', "b").replace('\u{266f}', "#");
    plain.strip_prefix('C').map_or(plain.clone(), str::to_owned)
}
