//! Columns: everything that begins at one moment, on both staves and in every row.

use std::sync::Arc;

use smallvec::SmallVec;

use super::accidental::accidental_sign;
use super::chord::{Flag, LaidChord, head_width, rest_box};
use super::extent::Extent;
use super::look::Look;
use super::position::{Direction, PerNote};
use super::rows::{self, SetOnce, TypeSetting};
use super::rules::{self, Sp};
use super::written::{self, StaffReader, WrittenEvent};
use crate::glyphs::{MusicFace, Sign};
use crate::score::{ByHand, Clef, Count, Event, Hand, Note, NoteValue, Score, Ticks};
use crate::theory::Key;

/// Everything that begins at one moment of a bar.
#[derive(Clone, Debug)]
pub(super) struct MomentColumn<'a> {
    pub(super) at: Ticks,
    /// The index of its bar.
    pub(super) bar: usize,
    /// What the right and the left hand begin.
    pub(super) staves: ByHand<Option<EventCell<'a>>>,
    /// What stands in its rows, set as type.
    pub(super) symbol: Option<Arc<TypeSetting>>,
    pub(super) numeral: Option<Arc<TypeSetting>>,
    pub(super) count: Option<Arc<TypeSetting>>,
}

/// An event laid out on its staff.
#[derive(Clone, Debug)]
pub(super) struct EventCell<'a> {
    pub(super) event: &'a Event,
    /// The clef it is read in.
    pub(super) clef: Clef,
    /// How many octaves it sounds above what is written.
    pub(super) octaves: i32,
    pub(super) body: CellBody,
    /// The beamed group it belongs to, counted over its staff and bar.
    pub(super) beam: Option<usize>,
    /// The triplet it belongs to, counted over its staff and bar.
    pub(super) tuplet: Option<usize>,
}

/// What an event looks like.
#[derive(Clone, Debug)]
pub(super) enum CellBody {
    Rest(NoteValue),
    Chord(LaidChord),
}

impl EventCell<'_> {
    /// Whether a flag stands at its stem.
    pub(super) fn is_flagged(&self) -> bool {
        self.event.value.has_flag() && self.beam.is_none()
    }

    /// Its flag, if it has one.
    pub(super) fn flag(&self) -> Option<Flag> {
        let flag = if self.is_tied_out() { Flag::OverTie } else { Flag::Free };
        self.is_flagged().then_some(flag)
    }

    /// Whether any of its notes goes on.
    pub(super) fn is_tied_out(&self) -> bool {
        self.event.notes.iter().any(|note| note.tied_out)
    }

    /// The chord, unless it is a rest.
    pub(super) fn chord(&self) -> Option<&LaidChord> {
        match &self.body {
            CellBody::Chord(chord) => Some(chord),
            CellBody::Rest(_) => None,
        }
    }

    /// The middle of the digits of a hand: those of a chord where its stem ends that points to
    /// them, else over or under the heads.
    pub(super) fn fingers_x(&self, hand: Hand) -> Option<Sp> {
        let chord = self.chord()?;
        let to_digits = match hand {
            Hand::Right => Direction::Up,
            Hand::Left => Direction::Down,
        };
        let at_tip = chord.value.has_stem() && chord.direction == to_digits && self.digits() > 1;
        Some(if at_tip { chord.stem_x() } else { chord.centre_x() })
    }

    /// How many of its notes show their finger.
    pub(super) fn digits(&self) -> usize {
        self.event.notes.iter().filter(|note| note.shows_finger).count()
    }

    /// Where a numeral under it begins: right of a chord's digits, and of a lone stem without a
    /// flag, which hang down where it would stand.
    fn numeral_x(&self) -> Option<Sp> {
        let chord = self.chord()?;
        if self.digits() > 1 {
            let middle = self.fingers_x(Hand::Left)?;
            return Some(middle + rows::finger_size().width / 2.0 + rules::NUMERAL_BESIDE);
        }
        let hangs = chord.value.has_stem()
            && chord.direction == Direction::Down
            && self.beam.is_none()
            && !self.is_flagged()
            && chord.free_tip(None) < rules::NUMERAL_CLEARANCE - rules::NUMERAL_BASELINE;
        hangs.then_some(chord.stem_x() + rules::STEM + rules::NUMERAL_BESIDE)
    }

    /// The left and right edge of its ink, a change of clef inside the bar counted in; none for
    /// the rest of a whole bar, which stands in no column.
    fn edges(&self, bar_start: Ticks) -> Option<Extent> {
        let edges = match &self.body {
            CellBody::Chord(chord) => chord.edges(self.is_flagged()),
            CellBody::Rest(NoteValue::WholeBar(_)) => return None,
            CellBody::Rest(value) => Extent { left: 0.0, right: rest_box(*value).x1 },
        };
        Some(match self.event.clef_change {
            Some(clef) if self.event.at != bar_start => {
                let clef = rules::CLEF_CHANGE_AFTER + change_width(clef);
                let white = rules::CLEF_CHANGE_BEFORE - rules::COLUMN_GAP;
                Extent { left: edges.left - clef - white, ..edges }
            }
            _ => edges,
        })
    }

    /// The same where a system begins with it, told again what is tied in; `None` where that is
    /// nothing.
    fn with_tied_signs(&self, key: Key) -> Option<Self> {
        let chord = self.chord()?;
        let tied_sign = |note: &Note| {
            written::is_told_again(key, note).then(|| accidental_sign(note.pitch.name.alter))
        };
        let tied: PerNote<Option<Sign>> = self.event.notes.iter().map(tied_sign).collect();
        if tied.iter().all(Option::is_none) {
            return None;
        }
        let signs: PerNote<Option<Sign>> = tied
            .into_iter()
            .zip(&chord.heads)
            .map(|(tied, head)| {
                let mut own = chord.accidentals.iter();
                tied.or(own.find(|sign| sign.position == head.position).map(|sign| sign.sign))
            })
            .collect();
        let positions: PerNote<i32> = chord.heads.iter().map(|head| head.position).collect();
        let body = CellBody::Chord(LaidChord::new(self.event, &positions, chord.direction, &signs));
        Some(Self { body, ..self.clone() })
    }
}

/// A cell in its column, and where that stands.
#[derive(Clone, Copy)]
pub(super) struct Standing<'a> {
    /// The abscissa of the column.
    pub(super) x: Sp,
    pub(super) column: &'a MomentColumn<'a>,
    pub(super) cell: &'a EventCell<'a>,
}

/// The small sign of a change to `clef`.
pub(super) fn change_sign(clef: Clef) -> Sign {
    match clef {
        Clef::Treble => Sign::GClefChange,
        Clef::Bass => Sign::FClefChange,
    }
}

/// The width of the small sign of a change to `clef`.
pub(super) fn change_width(clef: Clef) -> Sp {
    MusicFace::get().bounds(change_sign(clef)).width()
}

/// The layers in which neighbouring columns must keep clear of each other.
pub(super) const LAYERS: usize = 7;

/// The left and right edge of a column in each layer; `None` where it has nothing there.
pub(super) type Edges = [Option<Extent>; LAYERS];

/// The layer of the left hand's digits in [`Edges`].
pub(super) const LEFT_DIGITS_LAYER: usize = 4;

/// The layer of chord symbols in [`Edges`].
pub(super) const SYMBOL_LAYER: usize = 5;

/// The layer of numerals in [`Edges`].
pub(super) const NUMERAL_LAYER: usize = 6;

/// The layer of counts in [`Edges`].
pub(super) const COUNT_LAYER: usize = 2;

/// White that each layer keeps between neighbours.
pub(super) const LAYER_GAPS: [Sp; LAYERS] = [
    rules::COLUMN_GAP,
    rules::COLUMN_GAP,
    rules::WORD_GAP,
    rules::WORD_GAP,
    rules::WORD_GAP,
    rules::SYMBOL_GAP,
    rules::NUMERAL_GAP,
];

impl MomentColumn<'_> {
    /// The cell of a hand.
    pub(super) fn cell(&self, hand: Hand) -> Option<&EventCell<'_>> {
        self.staves[hand].as_ref()
    }

    /// The middle of the column: of its heads, or of where they would be.
    pub(super) fn centre_x(&self) -> Sp {
        let chords = self.staves.iter().flatten().filter_map(EventCell::chord);
        chords.map(LaidChord::centre_x).next().unwrap_or(head_width(NoteValue::Eighth) / 2.0)
    }

    /// Where its numeral begins.
    pub(super) fn numeral_x(&self) -> Sp {
        self.cell(Hand::Left).and_then(EventCell::numeral_x).unwrap_or(0.0)
    }

    /// Whether its numeral stands aside for a stem, and not for the digits of a chord.
    pub(super) fn numeral_yields_to_stem(&self) -> bool {
        self.numeral_x() > 0.0 && self.cell(Hand::Left).is_some_and(|cell| cell.digits() < 2)
    }

    /// How wide the column is in each layer.
    pub(super) fn edges(&self, bar_start: Ticks) -> Edges {
        let centre = self.centre_x();
        let fingers = |hand| {
            let cell = self.cell(hand)?;
            let middle = cell.fingers_x(hand)?;
            (cell.digits() > 0).then_some(Extent::around(middle, rows::finger_size().width))
        };
        let staff = |hand| self.cell(hand).and_then(|cell| cell.edges(bar_start));
        let from = |left: Sp, setting: &Option<Arc<TypeSetting>>| {
            let width = setting.as_ref()?.width;
            Some(Extent { left, right: left + width })
        };
        [
            staff(Hand::Right),
            staff(Hand::Left),
            self.count.as_ref().map(|setting| {
                let (ink, words) = (setting.bounds(), Extent::around(centre, setting.width));
                // The tail of a push may reach further than its syllable.
                let right = words.right.max(centre + ink.x1);
                Extent { left: words.left.min(centre + ink.x0), right }
            }),
            fingers(Hand::Right),
            fingers(Hand::Left),
            from(0.0, &self.symbol),
            from(self.numeral_x(), &self.numeral),
        ]
    }
}

impl<'a> MomentColumn<'a> {
    /// The column as it stands where a system begins with it: accidentals that are tied into it
    /// are told again (Gould). `None` where there are none.
    pub(super) fn at_system_start(&self, key: Key) -> Option<Self> {
        let staves = self.staves.as_ref().map(|cell| cell.as_ref()?.with_tied_signs(key));
        if staves.iter().all(Option::is_none) {
            return None;
        }
        let mut own = self.clone();
        for (hand, new) in staves.with_hands() {
            let cell = &mut own.staves[hand];
            *cell = new.or(cell.take());
        }
        Some(own)
    }
}

/// The columns of a whole score, in order.
pub(super) fn columns<'a>(score: &'a Score, look: &Look) -> Vec<MomentColumn<'a>> {
    let mut readers = StaffReader::opening(score);
    let staves = score.bars.iter().map(|bar| &bar.staves);
    let most = staves.map(|staves| staves.iter().map(|staff| staff.events.len()).max());
    let most: usize = most.flatten().sum();
    let mut columns = Vec::with_capacity(most.max(score.counts.len()));
    let (mut symbols, mut numerals, mut spoken) = (SetOnce::new(), SetOnce::new(), SetOnce::new());
    for (index, bar) in score.bars.iter().enumerate() {
        let mut cells = ByHand::each(|hand| {
            staff_cells(score, index, hand, &mut readers[hand]).into_iter().peekable()
        });
        let end = bar.start + score.metre.bar();
        let within = |at: Ticks| (bar.start..end).contains(&at);
        let counts: SmallVec<[&Count; 16]> = score
            .counts
            .iter()
            .filter(|count| within(count.at))
            .filter(|_| look.counts.stand_in(index))
            .collect();
        let [first, last] =
            [bar.start, end].map(|at| score.harmonies.partition_point(|harmony| harmony.at < at));
        let harmonies = &score.harmonies[first..last];
        let mut moments: SmallVec<[Ticks; 32]> = bar
            .staves
            .iter()
            .flat_map(|staff| staff.events.iter().map(|event| event.at))
            .chain(counts.iter().map(|count| count.at))
            .chain(harmonies.iter().map(|harmony| harmony.at))
            .collect();
        moments.sort_unstable();
        moments.dedup();
        for at in moments {
            let harmony = harmonies.iter().find(|harmony| harmony.at == at);
            let count = counts.iter().find(|count| count.at == at);
            columns.push(MomentColumn {
                at,
                bar: index,
                staves: ByHand::each(|hand| cells[hand].next_if(|cell| cell.event.at == at)),
                symbol: harmony.map(|harmony| {
                    let what = (harmony.chord, harmony.numeral.inversion);
                    symbols.setting(what, || rows::symbol(harmony, look))
                }),
                numeral: harmony.filter(|_| rows::has_numerals(look)).map(|harmony| {
                    numerals.setting(harmony.numeral, || rows::numeral(harmony, look))
                }),
                count: count.map(|count| {
                    let what = Count { at: 0, ..**count };
                    spoken.setting(what, || rows::count(count))
                }),
            });
        }
    }
    columns
}

/// The cells of the next bar on one staff.
fn staff_cells<'a>(
    score: &'a Score,
    index: usize,
    hand: Hand,
    reader: &mut StaffReader,
) -> Vec<EventCell<'a>> {
    let cell = |written: WrittenEvent<'a>| {
        let reading = written.reading();
        let WrittenEvent { event, clef, octaves, stem, accidentals, beam, tuplet } = written;
        let body = if event.is_rest() {
            CellBody::Rest(event.value)
        } else {
            let sign = |(note, shown): (&Note, bool)| {
                shown.then(|| accidental_sign(note.pitch.name.alter))
            };
            let signs: PerNote<Option<Sign>> =
                event.notes.iter().zip(accidentals).map(sign).collect();
            let own: PerNote<i32> =
                event.notes.iter().map(|note| reading.position(note.pitch)).collect();
            CellBody::Chord(LaidChord::new(event, &own, stem, &signs))
        };
        EventCell { event, clef, octaves, body, beam, tuplet }
    };
    written::staff(score, index, hand, reader).into_iter().map(cell).collect()
}
