//! What the standard drills must say in a key, from music21's spelling of its chords and the
//! drill's description alone; and the comparison of a page with it.
//!
//! Two chords a bar of four quarters: the seven diatonic sevenths and the octave up the scale,
//! the same back down, and a held tonic chord. The right hand spells each chord in eighths from
//! its root up; the left hand holds all four notes in close position. On the beat: each chord on
//! its beat until the next. Pushed: the first chord of each half on its beat and short, every
//! later one an eighth early, held until the next.

use crate::music::{Pitch, Sheet, Sound};
use crate::oracle::{self, KeyChords};
use crate::rhythm::QUARTER;
use crate::words::{Counted, Rows};

/// The degrees of the drill, chord by chord.
pub(crate) const DEGREES: [i32; 17] = [1, 2, 3, 4, 5, 6, 7, 8, 8, 7, 6, 5, 4, 3, 2, 1, 1];

/// The names of the drills that are known here.
pub(crate) const KNOWN: [&str; 2] = ["on-the-beat", "pushed"];

const EIGHTH: i32 = QUARTER / 2;
const BAR: i32 = 8 * EIGHTH;
/// How long the drill lasts.
const LENGTH: i32 = 9 * BAR;

/// When the left hand strikes and lets go of each chord.
fn strikes(drill: &str) -> Vec<(i32, i32)> {
    let mut starts: Vec<i32> = (0..17).map(|chord| 4 * EIGHTH * chord).collect();
    let mut short = vec![];
    if drill == "pushed" {
        short = vec![0, 8];
        for (chord, start) in starts.iter_mut().enumerate() {
            *start -= EIGHTH * i32::from(!short.contains(&chord));
        }
    }
    let ends: Vec<i32> = starts.iter().skip(1).copied().chain([LENGTH]).collect();
    (0..17)
        .map(|chord| {
            let is_short = short.contains(&chord);
            let end = if is_short { starts[chord] + EIGHTH } else { ends[chord] };
            (starts[chord], end)
        })
        .collect()
}

/// The notes of the chord on a degree, from its root up; `tonic` is the step of the lowest tonic.
fn chord(key: &KeyChords, tonic: i32, degree: i32) -> Vec<Pitch> {
    let names = key.chord(degree).notes();
    let mut step = tonic + degree - 1;
    let mut pitches = Vec::new();
    for name in names {
        while step.rem_euclid(7) != name.letter {
            step += 1;
        }
        pitches.push(Pitch { step, alter: name.alter });
    }
    pitches
}

/// Both hands' notes in order, the tonics given.
fn expected(drill: &str, key: &KeyChords, tonics: [i32; 2]) -> [Vec<Sound>; 2] {
    let mut right = Vec::new();
    let mut left = Vec::new();
    for (index, (degree, (start, end))) in DEGREES.iter().zip(strikes(drill)).enumerate() {
        let at = 4 * EIGHTH * index as i32;
        for (note, pitch) in (0..).zip(chord(key, tonics[0], *degree)) {
            right.push(if index == 16 {
                Sound { start: at, end: at + BAR, pitch }
            } else {
                Sound { start: at + note * EIGHTH, end: at + (note + 1) * EIGHTH, pitch }
            });
        }
        let notes = chord(key, tonics[1], *degree);
        left.extend(notes.into_iter().map(|pitch| Sound { start, end, pitch }));
    }
    right.sort();
    left.sort();
    [right, left]
}

/// Compares the music of a page with the drill.
pub(crate) fn check_music(sheet: &Sheet, drill: &str, tonic: &str) -> Result<(), String> {
    let key = &oracle::major()[tonic];
    check_signature(sheet, key)?;
    let sounds = [sheet.sounds(0), sheet.sounds(1)];
    let lowest = |hand: usize| {
        let first = sounds[hand].first().ok_or("a hand without notes")?;
        Ok::<i32, String>(first.pitch.step)
    };
    let tonics = [lowest(0)?, lowest(1)?];
    let apart = tonics[0] - tonics[1];
    if apart <= 0 || apart % 7 != 0 {
        return Err(format!("the hands begin {apart} steps apart, not whole octaves"));
    }
    let expected = expected(drill, key, tonics);
    for (hand, name) in ["right", "left"].into_iter().enumerate() {
        let (found, wanted) = (&sounds[hand], &present(&expected[hand], &sounds[hand]));
        if let Some((found, wanted)) = found.iter().zip(wanted).find(|(a, b)| a != b) {
            return Err(format!("{name} hand: {found:?} where {wanted:?} should be"));
        }
        if found.len() != wanted.len() {
            return Err(format!("{name} hand: {} notes, not {}", found.len(), wanted.len()));
        }
    }
    for high in &sounds[0] {
        for low in &sounds[1] {
            let together = high.start < low.end && low.start < high.end;
            if together && high.pitch.semitones() <= low.pitch.semitones() {
                return Err(format!("the hands meet: {high:?} and {low:?}"));
            }
        }
    }
    if (sheet.metre, sheet.bars) != (Some((4, 4)), 9) {
        return Err(format!("{} bars of {:?}", sheet.bars, sheet.metre));
    }
    check_marks(sheet, drill)
}

/// The notes that must be there: low chords may lack what lies between their root and their
/// seventh.
///
/// Source: by the low-interval limits of arranging handbooks every seventh chord in root
/// position is clear from C3 up, and below it not every one.
fn present(wanted: &[Sound], found: &[Sound]) -> Vec<Sound> {
    const C3: i32 = 7 * 3;
    let must = |sound: &&Sound| {
        let chord = wanted.iter().filter(|other| other.start == sound.start);
        let root = chord.clone().map(|other| other.pitch.step).min();
        let is_outer = root == Some(sound.pitch.step)
            || chord.map(|other| other.pitch.step).max() == Some(sound.pitch.step);
        is_outer || root >= Some(C3) || found.contains(sound)
    };
    wanted.iter().filter(must).copied().collect()
}

/// The letters of the signature are those that the scale alters, in the trade's order.
fn check_signature(sheet: &Sheet, key: &KeyChords) -> Result<(), String> {
    // F C G D A E B, as steps above C; flats run the other way.
    const SHARPS: [i32; 7] = [3, 0, 4, 1, 5, 2, 6];
    let count = key.fifths.unsigned_abs() as usize;
    let wanted: Vec<(i32, i32)> = if key.fifths >= 0 {
        SHARPS[..count].iter().map(|letter| (*letter, 1)).collect()
    } else {
        SHARPS.iter().rev().take(count).map(|letter| (*letter, -1)).collect()
    };
    for name in key.scale() {
        let alter = wanted.iter().find(|(letter, _)| *letter == name.letter);
        assert_eq!(alter.map_or(0, |(_, alter)| *alter), name.alter, "music21 agrees");
    }
    if sheet.signature != wanted {
        return Err(format!("signature {:?}, not {wanted:?}", sheet.signature));
    }
    Ok(())
}

/// Short chords bear a staccato dot and nothing else does; the last chord bears a fermata.
fn check_marks(sheet: &Sheet, drill: &str) -> Result<(), String> {
    let short = |start: i32| drill == "pushed" && (start == 0 || start == 4 * BAR);
    for (hand, columns) in sheet.hands.iter().enumerate() {
        for column in columns.iter().filter(|column| !column.heads.is_empty()) {
            if column.staccato != (hand == 1 && short(column.start)) {
                return Err(format!("staccato: hand {hand} at {}", column.start));
            }
            if column.fermata != (column.start == 8 * BAR) {
                return Err(format!("fermata: hand {hand} at {}", column.start));
            }
        }
    }
    Ok(())
}

/// Every chord is played with the fingers of the published table, all of them printed.
pub(crate) fn check_fingers(sheet: &Sheet, tonic: &str) -> Result<usize, String> {
    let key = &oracle::major()[tonic];
    let mut compared = 0;
    for (hand, columns) in sheet.hands.iter().enumerate() {
        let struck: Vec<_> = columns.iter().filter(|column| column.is_struck()).collect();
        if columns.iter().any(|column| !column.is_struck() && !column.fingers.is_empty()) {
            return Err(format!("hand {hand}: a finger at a note that is only held"));
        }
        let mut at = 0;
        for (index, degree) in DEGREES.iter().enumerate() {
            let count = if hand == 0 && index < 16 { 4 } else { 1 };
            let columns = struck.get(at..at + count).ok_or("chords are missing")?;
            at += count;
            let shown: Vec<u8> =
                columns.iter().flat_map(|column| column.fingers.iter().copied()).collect();
            let (right, left) = oracle::one_hand(&key.chord(*degree).kind);
            let wanted = if hand == 0 { right } else { left };
            // A chord that yielded keeps its outer fingers, and others between them in order.
            let heads = columns.iter().map(|column| column.heads.len()).sum::<usize>();
            let yielded = hand == 1
                && shown.len() == heads
                && shown.is_sorted_by(|low, high| low > high)
                && (shown.first(), shown.last()) == (wanted.first(), wanted.last());
            if shown != wanted && !(heads < 4 && yielded) {
                return Err(format!("hand {hand}, chord {}: {shown:?}", index + 1));
            }
            compared += 1;
        }
    }
    Ok(compared)
}

/// Every chord bears its symbol and its numeral.
pub(crate) fn check_words(rows: &Rows, tonic: &str) -> Result<(), String> {
    const NUMERALS: [&str; 7] = ["I", "II", "III", "IV", "V", "VI", "VII"];
    let key = &oracle::major()[tonic];
    for (name, words) in [("symbol", &rows.symbols), ("numeral", &rows.numerals)] {
        if words.len() != DEGREES.len() {
            let found: Vec<&str> = words.iter().map(|words| words.text.as_str()).collect();
            return Err(format!("{} {name}s: {found:?}", words.len()));
        }
        for (found, degree) in words.iter().zip(DEGREES) {
            let chord = key.chord(degree);
            let quality = match (chord.kind.as_str(), name) {
                ("major-seventh", _) => "maj7",
                ("minor-seventh", "symbol") => "m7",
                ("half-diminished", _) => "ø7",
                _ => "7",
            };
            let letters = if name == "symbol" {
                oracle::Name::parse(&chord.root).printed()
            } else if chord.semitones[1] == 3 {
                NUMERALS[chord.degree as usize - 1].to_lowercase()
            } else {
                NUMERALS[chord.degree as usize - 1].to_owned()
            };
            let wanted = format!("{letters}{quality}");
            if found.text != wanted {
                return Err(format!("{name} {:?}, not {wanted:?}", found.text));
            }
        }
    }
    Ok(())
}

/// Every bar is counted aloud: beats 1 to 4, and the "and"s where a hand strikes off the beat in
/// that bar; brackets where no hand strikes; wedges at the hands that do.
pub(crate) fn check_counts(sheet: &Sheet, counts: &[Counted]) -> Result<(), String> {
    let struck = |hand: usize, at: i32| {
        sheet.hands[hand].iter().any(|column| column.start == at && column.is_struck())
    };
    let mut counts = counts.iter();
    for bar in 0..9 {
        let moments: Vec<i32> = (0..8).map(|eighth| bar * BAR + eighth * EIGHTH).collect();
        let is_beat = |at: &i32| at % QUARTER == 0;
        let off_beats = moments.iter().any(|at| !is_beat(at) && (struck(0, *at) || struck(1, *at)));
        for at in moments.into_iter().filter(|at| off_beats || is_beat(at)) {
            let beat = (at % BAR / QUARTER + 1).to_string();
            let spoken = if is_beat(&at) { beat } else { "&".to_owned() };
            let hands = (struck(0, at), struck(1, at));
            let wanted = if hands == (false, false) { format!("({spoken})") } else { spoken };
            let place = format!("bar {}, {} in", bar + 1, at % BAR);
            let found = counts.next().ok_or(format!("{place}: no count"))?;
            if found.words.text != wanted {
                return Err(format!("{place}: {:?}, not {wanted:?}", found.words.text));
            }
            if (found.right, found.left) != hands {
                return Err(format!("{place}: wedges {:?}", (found.right, found.left)));
            }
        }
    }
    match counts.next() {
        Some(extra) => Err(format!("{:?} is counted past the end", extra.words.text)),
        None => Ok(()),
    }
}
