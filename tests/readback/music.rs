//! The music of one key: the pages it takes, read as one line.

use quintfall::score::Barline;

use crate::ink::Ink;
use crate::reader::{Clef, NewKeys, Reader, spell};
use crate::rhythm::{QUARTER, Value};
use crate::share::parts;
use crate::staff::{System, systems};
use crate::ties;

/// A spelled pitch.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Pitch {
    /// Steps above C0.
    pub(crate) step: i32,
    /// Semitones of alteration.
    pub(crate) alter: i32,
}

impl Pitch {
    /// Semitones above C0.
    pub(crate) fn semitones(self) -> i32 {
        12 * self.step.div_euclid(7)
            + [0, 2, 4, 5, 7, 9, 11][self.step.rem_euclid(7) as usize]
            + self.alter
    }

    /// The name, without its octave.
    pub(crate) fn name(self) -> crate::oracle::Name {
        crate::oracle::Name { letter: self.step.rem_euclid(7), alter: self.alter }
    }
}

impl std::fmt::Debug for Pitch {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}{}", self.name().printed(), self.step.div_euclid(7))
    }
}

/// A struck note: ties are joined. Times in parts of a quarter, see [`QUARTER`], from the
/// beginning of the music.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Sound {
    pub(crate) start: i32,
    pub(crate) end: i32,
    pub(crate) pitch: Pitch,
}

/// A rest, or one column of heads on a staff.
#[derive(Clone, Debug)]
pub(crate) struct Column {
    /// Which system of its key.
    pub(crate) system: usize,
    pub(crate) start: i32,
    pub(crate) length: i32,
    pub(crate) value: Value,
    /// Its left edge and its right edge, without accidentals and dots.
    pub(crate) x: f64,
    pub(crate) right: f64,
    /// The clef it is read in.
    pub(crate) clef: Clef,
    /// Low to high; none for a rest.
    pub(crate) heads: Vec<HeadRead>,
    /// Finger digits beside it, low to high.
    pub(crate) fingers: Vec<u8>,
    pub(crate) staccato: bool,
    pub(crate) fermata: bool,
}

/// One head of a column.
#[derive(Clone, Copy, Debug)]
pub(crate) struct HeadRead {
    pub(crate) pitch: Pitch,
    /// The alteration that an accidental beside it shows.
    pub(crate) sign: Option<i32>,
    pub(crate) x: f64,
    pub(crate) right: f64,
    pub(crate) y: f64,
    pub(crate) tied_in: bool,
    pub(crate) tied_out: bool,
}

impl Column {
    /// Whether any of its notes is struck.
    pub(crate) fn is_struck(&self) -> bool {
        self.heads.iter().any(|head| !head.tied_in)
    }
}

/// A signature: letters and alterations, in order.
pub(crate) type Signature = Vec<(i32, i32)>;

/// The music of one key.
#[derive(Clone, Debug)]
pub(crate) struct Sheet {
    pub(crate) systems: Vec<System>,
    /// The signature that it begins with: letter and alteration, in order.
    pub(crate) signature: Signature,
    /// Those that follow, each by its first bar.
    pub(crate) keys: Vec<(usize, Signature)>,
    /// The figures of the time signature.
    pub(crate) metre: Option<(i32, i32)>,
    /// The columns of the upper and the lower staff.
    pub(crate) hands: [Vec<Column>; 2],
    /// How many bars there are.
    pub(crate) bars: usize,
}

impl Sheet {
    /// The length of a bar.
    pub(crate) fn bar(&self) -> i32 {
        self.metre.map_or(0, |(count, unit)| count * 4 * QUARTER / unit)
    }

    /// The signature in force in a bar.
    pub(crate) fn signature_at(&self, bar: usize) -> &Signature {
        let last = self.keys.iter().rfind(|(first, _)| *first <= bar);
        last.map_or(&self.signature, |(_, signature)| signature)
    }

    /// Bars end with single lines, and the last one with the final one.
    pub(crate) fn check_plainly_barred(&self) -> Result<(), String> {
        let mut ends: Vec<Barline> =
            self.systems.iter().flat_map(|system| system.barlines.clone()).collect();
        let last = ends.pop();
        let begins = self.systems.iter().any(|system| system.begins_repeat);
        if last != Some(Barline::Final) || begins || ends.iter().any(|it| *it != Barline::Single) {
            return Err("the final barline is not at the end alone".to_owned());
        }
        Ok(())
    }

    /// What a hand strikes, ties joined, in order.
    pub(crate) fn sounds(&self, hand: usize) -> Vec<Sound> {
        let mut sounds: Vec<Sound> = Vec::new();
        for column in &self.hands[hand] {
            let end = column.start + column.length;
            for head in &column.heads {
                let before = sounds
                    .iter_mut()
                    .find(|sound| sound.pitch == head.pitch && sound.end == column.start);
                match before.filter(|_| head.tied_in) {
                    Some(sound) => sound.end = end,
                    None => sounds.push(Sound { start: column.start, end, pitch: head.pitch }),
                }
            }
        }
        sounds.sort();
        sounds
    }
}

/// Reads the pages of one key as one line of music.
pub(crate) fn read(pages: &[&Ink]) -> Result<Sheet, String> {
    let mut sheet = Sheet {
        systems: vec![],
        signature: vec![],
        keys: vec![],
        metre: None,
        hands: [vec![], vec![]],
        bars: 0,
    };
    // What the end of the last system warned of.
    let mut warned: Option<Signature> = None;
    let mut clefs = [None; 2];
    let mut tied: [Vec<Pitch>; 2] = [vec![], vec![]];
    for (page, ink) in pages.iter().enumerate() {
        let own = systems(ink, page)?;
        let parts = parts(ink, &own);
        for (system, pair) in own.iter().zip(parts.chunks(2)) {
            let index = sheet.systems.len();
            let (first, bar) = (sheet.bars as i32 * sheet.bar(), system.bar_ends.len());
            if let Some(signature) = warned.take() {
                sheet.keys.push((sheet.bars, signature));
            }
            let before = sheet.keys.clone();
            let mut shown: [NewKeys; 2] = Default::default();
            for hand in 0..2 {
                sheet.keys.clone_from(&before);
                let fail =
                    |what: String| format!("system {}, staff {}: {what}", index + 1, hand + 1);
                let mut reader = Reader::new(pair[hand].clone(), system.bar_ends.clone());
                reader.open(&mut sheet, index == 0).map_err(fail)?;
                if clefs[hand].is_some_and(|clef| clef != reader.opening) {
                    return Err(fail("not the clef that the line before ended in".into()));
                }
                clefs[hand] = Some(reader.closing());
                let (keys, warning) = reader.new_keys(&sheet).map_err(fail)?;
                sheet.keys.extend(keys.clone());
                shown[hand] = (keys, warning);
                let mut columns = reader.columns(index, first, sheet.bar()).map_err(fail)?;
                let incoming = reader.tie(&mut columns).map_err(fail)?;
                let before: Vec<i32> = tied[hand].iter().map(|pitch| pitch.step).collect();
                if incoming != before {
                    return Err(fail(format!("ties bring {incoming:?} where {before:?} left")));
                }
                spell(&mut columns, &tied[hand], &sheet).map_err(fail)?;
                tied[hand] = ties::leaving(&columns);
                reader.dress(&mut columns, hand).map_err(fail)?;
                sheet.hands[hand].extend(columns);
            }
            if shown[0] != shown[1] {
                return Err(format!("system {}: staves in two keys: {shown:?}", index + 1));
            }
            warned = shown[0].1.take();
            sheet.systems.push(system.clone());
            sheet.bars += bar;
        }
    }
    if tied.iter().any(|pitches| !pitches.is_empty()) {
        return Err("a tie leads off the music".to_owned());
    }
    if warned.is_some() {
        return Err("the last system warns of a key".to_owned());
    }
    // A double one where the form leads on from there: the score says which it is to be.
    let last = sheet.systems.last().and_then(|system| system.barlines.last());
    let is_end =
        |last: &Barline| matches!(last, Barline::Final | Barline::RepeatEnd | Barline::Double);
    if last.is_some_and(|last| !is_end(last)) {
        return Err("no final barline stands at the end".to_owned());
    }
    Ok(sheet)
}
