//! The chords that a page names against the notes that it shows, by music21's spelling alone:
//! a check that holds for any drill.

use std::ops::Range;

use crate::music::{Pitch, Sheet, Sound};
use crate::named::{self, Named};
use crate::oracle::{self, Name};
use crate::rhythm::QUARTER;
use crate::words::Rows;

/// What the check looked at.
#[derive(Debug, Default, PartialEq, Eq)]
pub(crate) struct Tones {
    /// Notes of a chord that the page names.
    pub(crate) of_chord: usize,
    /// A ninth, an eleventh or a thirteenth of one.
    pub(crate) above: usize,
    /// Notes beside one, from which or to which the hand moves by step.
    pub(crate) beside: usize,
}

impl Tones {
    /// Counts in others.
    pub(crate) fn add(&mut self, other: &Self) {
        self.of_chord += other.of_chord;
        self.above += other.above;
        self.beside += other.beside;
    }
}

/// A chord that the page names.
struct Chord {
    at: i32,
    notes: Vec<Name>,
    /// What may be stacked on it.
    above: Vec<Name>,
}

/// Checks the notes of both hands against the symbols, and the symbols against the numerals;
/// `moments` says when each chord is struck, `basses` whether it has a bass of its own, which its
/// symbol alone tells; and whether the right hand plays a scale that is not the key's.
pub(crate) fn check(
    sheet: &Sheet,
    rows: &Rows,
    (moments, basses): (&[i32], &[bool]),
    (tonic, plays_scales): (&str, bool),
) -> Result<Tones, String> {
    let mut chords = Vec::new();
    for (index, at) in moments.iter().enumerate() {
        let (symbol, bass) = named::symbol(&rows.symbols[index].text)?;
        let text = &rows.numerals[index].text;
        let (numeral, inversion) = named::numeral(text, Name::parse(tonic))?;
        if !numeral.iter().any(|numeral| numeral.has_harmony_of(&symbol)) {
            return Err(format!("{text:?} does not name {:?}", rows.symbols[index].text));
        }
        let mut notes = notes(&symbol)?;
        // Figured bass has no figures for a sixth chord, so that its symbol alone says the bass.
        let is_sixth = symbol.kind.ends_with("sixth") && symbol.stacked.is_empty();
        let inversion = match bass {
            Some(bass) if is_sixth && !basses[index] => {
                notes.iter().position(|note| *note == bass).unwrap_or(0)
            }
            _ => inversion,
        };
        if basses[index] {
            let bass = bass.ok_or_else(|| format!("{:?} has no bass", rows.symbols[index].text))?;
            if inversion > 0 && notes[inversion] != bass {
                return Err(format!("{text:?} has the figures of another bass"));
            }
            notes.extend((!notes.contains(&bass)).then_some(bass));
        } else if bass != (inversion > 0).then(|| notes[inversion]) {
            return Err(format!(
                "{text:?} does not name the bass of {:?}",
                rows.symbols[index].text
            ));
        }
        if inversion > 0 && !basses[index] {
            let next = moments.get(index + 1).copied().unwrap_or(i32::MAX);
            check_lowest(sheet, *at..next, notes[inversion])
                .map_err(|what| format!("{text}: {what}"))?;
        } else if is_sixth && !basses[index] {
            let next = moments.get(index + 1).copied().unwrap_or(i32::MAX);
            check_root(sheet, *at..next, &notes)
                .map_err(|what| format!("{}: {what}", rows.symbols[index].text))?;
        }
        chords.push(Chord { at: *at, notes, above: above(&symbol) });
    }
    let mut tones = Tones::default();
    // A scale of the trade has notes of its own over a chord, blue ones among them.
    for hand in usize::from(plays_scales)..2 {
        check_hand(&sheet.sounds(hand), &chords, sheet, &mut tones)?;
    }
    Ok(tones)
}

fn notes(named: &Named) -> Result<Vec<Name>, String> {
    let unknown = || format!("tests/data spells no {} on {}", named.kind, named.root.printed());
    let mut notes = oracle::spelled(named.root, named.kind).ok_or_else(unknown)?;
    notes.extend(named.stacked.iter().map(|(steps, semitones)| up(named.root, *steps, *semitones)));
    Ok(notes)
}

/// The note so many steps and semitones above another.
fn up(root: Name, steps: i32, semitones: i32) -> Name {
    let root = Pitch { step: root.letter, alter: root.alter };
    let white = Pitch { step: root.step + steps, alter: 0 };
    let alter = root.semitones() + semitones - white.semitones();
    Pitch { alter, ..white }.name()
}

/// What may be stacked on a chord: ninths, the eleventh of a minor one and the raised eleventh
/// of others, the thirteenths of a dominant (common practice, no source).
fn above(named: &Named) -> Vec<Name> {
    let up = |steps: i32, semitones: i32| up(named.root, steps, semitones);
    let eleventh = if named::is_minor(named.kind) { up(3, 5) } else { up(3, 6) };
    let mut above = vec![up(1, 1), up(1, 2), eleventh];
    if named.kind == "dominant-seventh" {
        above.extend([up(5, 8), up(5, 9)]);
    }
    above
}

/// A sixth chord without a bass in its symbol has its root lowest where a hand strikes its four notes and
/// nothing else strikes with it.
fn check_root(sheet: &Sheet, within: Range<i32>, notes: &[Name]) -> Result<(), String> {
    let struck = |hand: usize| {
        let own = sheet.hands[hand].iter();
        own.filter(|column| within.contains(&column.start) && column.is_struck())
    };
    for (at, pitches) in struck(1).map(|it| (it.start, it.heads.iter().map(|head| head.pitch))) {
        let lowest = pitches.clone().min_by_key(|pitch| pitch.semitones());
        let names: Vec<Name> = pitches.map(|pitch| pitch.name()).collect();
        let is_whole = names.len() == 4 && notes.iter().all(|note| names.contains(note));
        match lowest.filter(|_| is_whole) {
            Some(found) if found.name() != notes[0] => {
                return Err(format!("{found:?} lies lowest at {at}, and no bass is named"));
            }
            _ => {}
        }
    }
    Ok(())
}

/// An inverted chord has the note lowest that its figures say, where it is struck whole: by one
/// hand, or by both together.
fn check_lowest(sheet: &Sheet, within: Range<i32>, wanted: Name) -> Result<(), String> {
    let struck = |hand: usize| {
        sheet.hands[hand]
            .iter()
            .filter(|column| within.contains(&column.start) && column.is_struck())
            .map(|column| (column.start, column.heads.iter().map(|head| head.pitch).collect()))
    };
    let mut chords: Vec<(i32, Vec<Pitch>)> = struck(0).chain(struck(1)).collect();
    // What both hands strike at one moment is one chord, unless the right one has a line.
    for (at, pitches) in struck(1) {
        let above = chords.iter().position(|(start, own)| *start == at && own.len() > 1);
        if let Some(above) = above.filter(|above| chords[*above].1 != pitches) {
            chords[above].1.extend(pitches);
        }
    }
    let whole = chords.iter().filter(|(_, pitches)| pitches.len() >= 4);
    let Some((_, pitches)) = whole.min_by_key(|(at, _)| *at) else { return Ok(()) };
    match pitches.iter().min_by_key(|pitch| pitch.semitones()) {
        Some(found) if found.name() != wanted => {
            Err(format!("{found:?} lies lowest, not {}", wanted.printed()))
        }
        _ => Ok(()),
    }
}

/// The chords that a note struck at a moment may belong to: the one named last; where that was
/// named off the beat, the one before too, up to the beat; and one that is named later in the
/// same beat.
fn in_reach(chords: &[Chord], at: i32, beat: i32) -> impl Iterator<Item = &Chord> {
    let last = chords.iter().rposition(|chord| chord.at <= at).unwrap_or(0);
    let begins = |chord: &Chord| chord.at - chord.at.rem_euclid(beat);
    let off_beat = |chord: &Chord| chord.at != begins(chord);
    let late = off_beat(&chords[last]) && at < begins(&chords[last]) + beat;
    let first = if late { last.saturating_sub(1) } else { last };
    let early = chords.get(last + 1).is_some_and(|chord| off_beat(chord) && begins(chord) <= at);
    chords[first..=last + usize::from(early)].iter()
}

/// How many semitones a name lies above C, within the octave.
fn name_class(name: Name) -> i32 {
    Pitch { step: name.letter, alter: name.alter }.semitones().rem_euclid(12)
}

/// Whether three notes are a major or minor triad, written in thirds.
fn is_triad(sounds: &[&Sound]) -> bool {
    let [_, _, _] = sounds else { return false };
    let pitch = |index: usize| sounds[index % 3].pitch;
    let above = |one: usize, other: usize| {
        let (low, high) = (pitch(one), pitch(other));
        let steps = (high.step - low.step).rem_euclid(7);
        (steps, (high.semitones() - low.semitones()).rem_euclid(12))
    };
    let places = [(0, 1, 2), (0, 2, 1), (1, 0, 2), (1, 2, 0), (2, 0, 1), (2, 1, 0)];
    places.into_iter().any(|(root, third, fifth)| {
        matches!(above(root, third), (2, 3 | 4)) && above(root, fifth) == (4, 7)
    })
}

/// Every note of a hand belongs to a chord in reach, or is stacked on one, or is of a triad over one; any other stands alone, and the
/// hand comes to it or leaves it by step, from or to one that does.
fn check_hand(
    sounds: &[Sound],
    chords: &[Chord],
    sheet: &Sheet,
    tones: &mut Tones,
) -> Result<(), String> {
    let beat = match sheet.metre {
        Some((_, 8)) => QUARTER * 3 / 2,
        _ => QUARTER,
    };
    let belongs = |sound: &Sound| {
        in_reach(chords, sound.start, beat).any(|chord| chord.notes.contains(&sound.pitch.name()))
    };
    for (index, sound) in sounds.iter().enumerate() {
        if belongs(sound) {
            tones.of_chord += 1;
            continue;
        }
        let stacked =
            in_reach(chords, sound.start, beat).any(|it| it.above.contains(&sound.pitch.name()));
        if stacked {
            tones.above += 1;
            continue;
        }
        let struck: Vec<&Sound> =
            sounds.iter().filter(|other| other.start == sound.start).collect();
        let with = struck.len();
        // A triad over the chord is written as one: E G♯ B over G13♭9.
        let sounds_like_one = |other: &Sound| {
            let class = |name: &Name| name_class(*name);
            let own = name_class(other.pitch.name());
            in_reach(chords, other.start, beat)
                .any(|it| it.notes.iter().chain(&it.above).map(class).any(|it| it == own))
        };
        if is_triad(&struck) && struck.iter().all(|other| sounds_like_one(other)) {
            tones.above += 1;
            continue;
        }
        let near = &sounds[index.saturating_sub(1)..(index + 3).min(sounds.len())];
        let by_step = near.iter().any(|other| {
            let leap = (other.pitch.semitones() - sound.pitch.semitones()).abs();
            (1..=2).contains(&leap) && belongs(other)
        });
        if with > 2 || !by_step {
            return Err(format!("{sound:?} belongs to no chord that is named there"));
        }
        tones.beside += 1;
    }
    Ok(())
}
