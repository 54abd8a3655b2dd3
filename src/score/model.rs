//! The score: bars of events on two staves.

use super::clef::Clef;
use super::counts::Count;
use super::feel::Feel;
use super::hand::{ByHand, Hand};
use super::metre::{Metre, Ticks};
use super::signs::{Barline, Signs};
use crate::theory::{Chord, Interval, Key, Numeral, Pitch, tone_words};

/// A drill in one key, ready to engrave.
#[derive(Clone, Debug, PartialEq)]
pub struct Score {
    /// The key that it begins in.
    pub key: Key,
    /// The metre of every bar.
    pub metre: Metre,
    /// How eighths are played.
    pub feel: Feel,
    /// The clefs that the staves begin with.
    pub opening_clefs: ByHand<Clef>,
    /// The bars, in order.
    pub bars: Vec<Bar>,
    /// How many bars each of its phrases has, in order; none where nothing is known of phrases.
    pub phrases: Vec<usize>,
    /// The chords, each where the left hand strikes it, in order of time.
    pub harmonies: Vec<Harmony>,
    /// The counts, in order.
    pub counts: Vec<Count>,
    /// Chords from which the left hand leaves out a note, each once with what it is: somewhere
    /// they lie too low to be clear in full.
    pub low_chords: Vec<LowChord>,
    /// Chords of the left hand that lie low and sound thick all the same, each once.
    pub thick_chords: Vec<ChordInBars>,
    /// Chords of which no hand sounds a tone that their symbols say, each once.
    pub untold_chords: Vec<UntoldChord>,
    /// Chords of either hand that are wider than is comfortable for it, each once.
    pub wide_chords: Vec<ChordInBars>,
    /// Barlines, endings, headings, octaves and further keys; none where it is plain.
    pub signs: Signs,
}

/// A left-hand chord that leaves out a note because it lies low.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LowChord {
    /// The chord.
    pub chord: Chord,
    /// What it leaves out.
    pub left_out: LeftOut,
    /// The bars where it does so, counted from 1, if it is whole in others; none where it is so
    /// everywhere.
    pub bars: Vec<i32>,
}

/// A chord that is not all played.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UntoldChord {
    /// The chord.
    pub chord: Chord,
    /// The tones that no hand plays, above its root.
    pub tones: Vec<Interval>,
    /// Whether the bass after its slash is not the lowest note of what is played.
    pub lacks_bass: bool,
    /// The bars where it is so, counted from 1, if it is all played in others; none where it is so
    /// everywhere.
    pub bars: Vec<i32>,
}

/// A chord that asks something of the player.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChordInBars {
    /// The chord.
    pub chord: Chord,
    /// The bars where it does so, counted from 1, if it does not in others; none where it does
    /// everywhere.
    pub bars: Vec<i32>,
}

/// A note that a low chord does without; those it misses least stand first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "the notes of a chord name themselves")]
pub enum LeftOut {
    Fifth,
    Ninth,
    Eleventh,
    Thirteenth,
    Third,
}

impl LeftOut {
    /// All of them, the one that is missed most first.
    pub const ALL: [Self; 5] =
        [Self::Third, Self::Fifth, Self::Ninth, Self::Eleventh, Self::Thirteenth];

    /// Its name, whatever its alteration.
    const fn plain_words(self) -> &'static str {
        match self {
            Self::Fifth => "the fifth",
            Self::Ninth => "the ninth",
            Self::Eleventh => "the eleventh",
            Self::Thirteenth => "the thirteenth",
            Self::Third => "the third",
        }
    }

    /// Its number above the root.
    const fn number(self) -> i32 {
        match self {
            Self::Fifth => 5,
            Self::Ninth => 9,
            Self::Eleventh => 11,
            Self::Thirteenth => 13,
            Self::Third => 3,
        }
    }
}

impl LowChord {
    /// What it leaves out, as a sheet has it: `the third`, `the flat ninth`.
    pub fn words(&self) -> String {
        match (self.left_out, self.chord.kind.number(self.left_out.number())) {
            (LeftOut::Third, _) | (_, None) => self.left_out.plain_words().to_owned(),
            (_, Some(tone)) => tone_words(tone),
        }
    }
}

/// A chord of the drill.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Harmony {
    /// When it is struck; when the harmony changes to it, where the hand that holds it rests.
    pub at: Ticks,
    /// The chord.
    pub chord: Chord,
    /// Its degree, with the inversion that is heard.
    pub numeral: Numeral,
}

/// One bar of both hands.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// When it begins.
    pub start: Ticks,
    /// The right hand on the upper staff, the left hand on the lower one.
    pub staves: ByHand<Staff>,
}

/// What one hand does in a bar.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Staff {
    /// Its events, without gaps.
    pub events: Vec<Event>,
}

/// The written length of a note or rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoteValue {
    /// A sixteenth.
    Sixteenth,
    /// An eighth of a triplet: a third of a quarter.
    TripletEighth,
    /// An eighth.
    Eighth,
    /// A quarter in a triplet of eighths: two thirds of a quarter.
    TripletQuarter,
    /// An eighth with a dot.
    DottedEighth,
    /// A quarter.
    Quarter,
    /// A quarter with a dot.
    DottedQuarter,
    /// A half.
    Half,
    /// A half with a dot.
    DottedHalf,
    /// A whole.
    Whole,
    /// A rest that fills a bar of its metre, whatever that is: written as a whole rest in the
    /// middle of the bar. No note has this value.
    WholeBar(Metre),
}

impl NoteValue {
    /// Every value that notes have, short to long.
    pub const ALL: [Self; 10] = [
        Self::Sixteenth,
        Self::TripletEighth,
        Self::Eighth,
        Self::TripletQuarter,
        Self::DottedEighth,
        Self::Quarter,
        Self::DottedQuarter,
        Self::Half,
        Self::DottedHalf,
        Self::Whole,
    ];

    /// Its length.
    pub const fn ticks(self) -> Ticks {
        match self {
            Self::Sixteenth => 12,
            Self::TripletEighth => 16,
            Self::Eighth => 24,
            Self::TripletQuarter => 32,
            Self::DottedEighth => 36,
            Self::Quarter => 48,
            Self::DottedQuarter => 72,
            Self::Half => 96,
            Self::DottedHalf => 144,
            Self::Whole => 192,
            Self::WholeBar(metre) => metre.bar(),
        }
    }

    /// The single value of a note's length, if there is one.
    pub fn of(ticks: Ticks) -> Option<Self> {
        Self::ALL.into_iter().find(|value| value.ticks() == ticks)
    }

    /// Whether it bears an augmentation dot.
    pub const fn is_dotted(self) -> bool {
        matches!(self, Self::DottedEighth | Self::DottedQuarter | Self::DottedHalf)
    }

    /// Whether it belongs to a triplet of eighths.
    pub const fn is_triplet(self) -> bool {
        matches!(self, Self::TripletEighth | Self::TripletQuarter)
    }

    /// Whether its note has a stem.
    pub const fn has_stem(self) -> bool {
        !matches!(self, Self::Whole | Self::WholeBar(_))
    }

    /// The flags or beams of its note: 1 for an eighth, 2 for a sixteenth, none from a quarter
    /// on.
    pub const fn flags(self) -> usize {
        match self {
            Self::Sixteenth => 2,
            Self::TripletEighth | Self::Eighth | Self::DottedEighth => 1,
            _ => 0,
        }
    }

    /// Whether its note has a flag or a beam.
    pub const fn has_flag(self) -> bool {
        self.flags() > 0
    }
}

/// A note, a chord or a rest as written.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// When it begins.
    pub at: Ticks,
    /// Its written length.
    pub value: NoteValue,
    /// Its notes, low to high; none for a rest.
    pub notes: Vec<Note>,
    /// Whether it is played short.
    pub staccato: bool,
    /// Whether it is held at will.
    pub fermata: bool,
    /// A clef that the staff changes to just before this event.
    pub clef_change: Option<Clef>,
}

impl Event {
    /// A rest.
    pub fn rest(at: Ticks, value: NoteValue) -> Self {
        Self { at, value, notes: Vec::new(), staccato: false, fermata: false, clef_change: None }
    }

    /// Whether nothing sounds.
    pub fn is_rest(&self) -> bool {
        self.notes.is_empty()
    }

    /// When it ends.
    pub fn end(&self) -> Ticks {
        self.at + self.value.ticks()
    }

    /// Whether it goes on from the event before, and so is not struck.
    pub fn is_tied_in(&self) -> bool {
        self.notes.iter().any(|note| note.tied_in)
    }
}

/// One note of an event.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Note {
    /// The spelled pitch.
    pub pitch: Pitch,
    /// Whether a tie comes in from the event before.
    pub tied_in: bool,
    /// Whether a tie leads out to the event after.
    pub tied_out: bool,
    /// The finger that plays it, where it is struck.
    pub finger: Option<u8>,
    /// Whether the finger's digit is printed.
    pub shows_finger: bool,
}

impl Score {
    /// The whole length of the drill.
    pub fn length(&self) -> Ticks {
        self.metre.bar() * self.bars.len() as Ticks
    }

    /// The key that is in force in a bar.
    pub fn key_at(&self, bar: usize) -> Key {
        let last = self.signs.keys.range(..=bar).next_back();
        last.map_or(self.key, |(_, key)| *key)
    }

    /// The key that begins with a bar, where it is another than that of the bar before.
    pub fn new_key_at(&self, bar: usize) -> Option<Key> {
        let key = *self.signs.keys.get(&bar)?;
        (key.signature() != self.key_at(bar.checked_sub(1)?).signature()).then_some(key)
    }

    /// The barline before a bar, or at the end for the number of bars; before the first bar only
    /// one that begins a repeat stands, and [`Barline::Single`] is told for none.
    pub fn barline_before(&self, bar: usize) -> Barline {
        let own = self.signs.barlines.get(&bar).copied();
        if bar == 0 {
            return own
                .filter(|own| own.begins_repeat())
                .map_or(Barline::Single, |_| Barline::RepeatBegin);
        }
        own.unwrap_or_else(|| {
            if bar >= self.bars.len() {
                Barline::Final
            } else if self.new_key_at(bar).is_some() {
                Barline::Double
            } else {
                Barline::Single
            }
        })
    }

    /// The barline that ends a system before a bar: a repeat begins on the next one, and a new key
    /// is told by a double barline all the same.
    pub fn barline_ending_system(&self, bar: usize) -> Barline {
        let own = self.barline_before(bar);
        match own.at_system_end() {
            Barline::Single if own.begins_repeat() && self.new_key_at(bar).is_some() => {
                Barline::Double
            }
            end => end,
        }
    }

    /// How many octaves above what is written a hand's notes sound that are struck at a moment.
    pub fn octaves_at(&self, hand: Hand, at: Ticks) -> i32 {
        let shifts = &self.signs.octaves[hand];
        shifts.iter().find(|shift| shift.span.contains(&at)).map_or(0, |shift| shift.octaves)
    }
}
