//! What is played, once through: the notes of both hands and the harmony under them, with
//! repeats, endings and ties played out, still in ticks.

use super::ending::{LastEnding, ending};
use super::order::bars_as_heard;
use super::performance::MarkKind;
use super::scales::TuneScales;
use crate::chart::Unfolded;
use crate::drill::Drill;
use crate::score::{ByHand, Hand, Metre, QUARTER, Score, Stay, Ticks};
use crate::theory::Key;

/// A drill in a key, or a tune: what is heard in one chorus.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct SoundPiece {
    /// What it is called among several.
    pub(super) name: Option<String>,
    pub(super) metre: Metre,
    /// How many bars a chorus has.
    pub(super) bars: usize,
    /// What each hand strikes, in order.
    pub(super) hands: ByHand<Vec<StruckNote>>,
    /// The harmony; without gaps but where no chord is played.
    pub(super) stays: Vec<Stay>,
    /// The harmony before the first bar, at moments below 0.
    pub(super) pick_up: Vec<Stay>,
    /// What is told, in order.
    pub(super) marks: Vec<(Ticks, MarkKind)>,
    /// How the last time ends, where it does not end as it goes on.
    pub(super) ending: Option<LastEnding>,
    /// The same as it is heard where another time follows, if that is not the same.
    pub(super) before_another: Option<Box<SoundPiece>>,
    /// How the beats are divided that are divided otherwise than in two.
    pub(super) divided: Vec<(Ticks, Divided)>,
}

/// A note that a hand strikes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct StruckNote {
    pub(super) at: Ticks,
    pub(super) end: Ticks,
    pub(super) pitch: u8,
    /// Whether it is played short.
    pub(super) is_short: bool,
}

/// How a beat is divided.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Divided {
    InThree,
    InFour,
}

impl SoundPiece {
    /// The piece as it is heard a last time, or where another time follows.
    pub(super) fn heard(&self, is_last: bool) -> &Self {
        self.before_another.as_deref().filter(|_| !is_last).unwrap_or(self)
    }

    /// The length of a last chorus.
    pub(super) fn length(&self) -> Ticks {
        self.metre.bar() * self.bars as Ticks
    }

    /// Whether the left hand is a bass: one note at a time, on the beats, beginning with the root of
    /// each chord, or the bass in its place.
    pub(super) fn has_bass(&self) -> bool {
        let left = &self.hands[Hand::Left];
        let beat = self.metre.felt_beat();
        let is_alone = left.windows(2).all(|pair| pair[0].at < pair[1].at);
        let on_beats = left.iter().all(|struck| struck.at % beat == 0);
        let begins = |(place, stay): (usize, &Stay)| {
            // Where the same chord goes on, a line does too.
            let is_new = place == 0 || self.stays[place - 1].chord != stay.chord;
            let first = left.iter().find(|struck| struck.at >= stay.at);
            let foot = stay.chord.bass.unwrap_or(stay.chord.root).pitch_class();
            let has_foot = |it: &StruckNote| (i32::from(it.pitch) - foot).rem_euclid(12) == 0;
            !is_new || first.is_some_and(has_foot)
        };
        let mut stays = self.stays.iter().enumerate();
        is_alone && on_beats && !self.stays.is_empty() && stays.all(begins)
    }

    /// Whether the left hand is a bass that is nearer to two notes a bar than to one on each beat, or to one.
    pub(super) fn is_in_two(&self) -> bool {
        let notes = self.hands[Hand::Left].len();
        let beats = self.bars * (self.metre.bar() / self.metre.felt_beat()) as usize;
        2 * notes > 3 * self.bars && 4 * notes <= 3 * beats && self.has_bass()
    }

    /// A drill in a key.
    pub(super) fn of_drill(drill: &Drill<'_>, score: &Score) -> Self {
        let bar_length = score.metre.bar();
        let heard = bars_as_heard(score);
        let hands = ByHand::each(|hand| struck(score, hand, &heard));
        let mut stays: Vec<Stay> = Vec::new();
        let written: Vec<Stay> = drill.stays(score.key).collect();
        for (place, bar) in heard.iter().enumerate() {
            let shift = (place as Ticks - *bar as Ticks) * bar_length;
            let (start, end) = (*bar as Ticks * bar_length, (*bar as Ticks + 1) * bar_length);
            for stay in written.iter().filter(|stay| stay.at < end && stay.end > start) {
                let (at, end) = (stay.at.max(start) + shift, stay.end.min(end) + shift);
                match stays.last_mut() {
                    // It goes on over a barline that is played through.
                    Some(last)
                        if last.end == at
                            && stay.at < start
                            && (last.chord, last.scale) == (stay.chord, stay.scale) =>
                    {
                        last.end = end;
                    }
                    _ => stays.push(Stay { at, end, ..*stay }),
                }
            }
        }
        let last = score.bars.last();
        let fermatas = last
            .into_iter()
            .flat_map(|bar| bar.staves.iter().filter_map(|staff| staff.events.last()));
        let fermatas = fermatas.filter(|event| event.fermata).map(|event| event.at);
        let shift = (heard.len() as Ticks - score.bars.len() as Ticks) * bar_length;
        // A drill that comes to rest by itself is held there; one that leads on just stops.
        let length = bar_length * heard.len() as Ticks;
        let rest = ending(&stays, score.key, (score.metre, length))
            .filter(|ending| matches!(ending, LastEnding::Held(_)));
        let mut piece = Self {
            name: Some(score.key.words()),
            metre: score.metre,
            bars: heard.len(),
            divided: Vec::new(),
            ending: fermatas.min().map(|at| LastEnding::Held(at + shift)).or(rest),
            marks: marks(score, &heard),
            hands,
            stays,
            pick_up: Vec::new(),
            before_another: None,
        };
        piece.divided = divided(&piece);
        piece
    }

    /// A tune, of which the hands of the student play what they will.
    pub(super) fn of_tune(tune: &Unfolded, key: Option<Key>, names: &[String]) -> Self {
        let bar = tune.metre.bar();
        let length = bar * tune.bars as Ticks;
        let scales = TuneScales::of(tune, key);
        let between = |from: Ticks, to: Ticks| -> Vec<Stay> {
            tune.changes.iter().filter_map(|change| scales.stay(change, [from, to])).collect()
        };
        let stays = between(0, length);
        let told = key.map(|key| (0, MarkKind::Key(key)));
        let letters = tune.sections.iter().enumerate().map(|(index, bar_index)| {
            let usual = || format!("section {}", index + 1);
            let name = names.get(index).cloned().unwrap_or_else(usual);
            (*bar_index as Ticks * bar, MarkKind::Place(name))
        });
        let unit = tune.metre.count_unit();
        let counts = (0..length / unit).map(|count| {
            let number = count % tune.metre.beats() + 1;
            (count * unit, MarkKind::Count(number.to_string()))
        });
        let mut marks: Vec<(Ticks, MarkKind)> =
            told.into_iter().chain(letters).chain(counts).collect();
        marks.sort_by_key(|(at, _)| *at);
        Self {
            name: key.map(Key::words),
            metre: tune.metre,
            bars: tune.bars,
            hands: ByHand::default(),
            ending: key.and_then(|key| ending(&stays, key, (tune.metre, length))),
            stays,
            // What stands before the first bar is not come back to.
            pick_up: between(-bar, 0),
            before_another: tune
                .before_another
                .as_ref()
                .map(|tune| Box::new(Self::of_tune(tune, key, names))),
            marks,
            divided: Vec::new(),
        }
    }
}

/// What a hand strikes, in order, in bars as they are heard.
fn struck(score: &Score, hand: Hand, heard: &[usize]) -> Vec<StruckNote> {
    let bar_length = score.metre.bar();
    let mut all: Vec<StruckNote> = Vec::new();
    // What sounds and is tied over to what comes: by index.
    let mut going: Vec<usize> = Vec::new();
    for (place, bar) in heard.iter().enumerate() {
        let shift = place as Ticks * bar_length - score.bars[*bar].start;
        for event in &score.bars[*bar].staves[hand].events {
            let (at, end) = (event.at + shift, event.end() + shift);
            let before = std::mem::take(&mut going);
            for note in &event.notes {
                let pitch = u8::try_from(note.pitch.midi()).unwrap_or(u8::MAX).min(127);
                let goes_on = |index: &&usize| {
                    let sounding = all[**index];
                    sounding.pitch == pitch && sounding.end == at
                };
                // A repeat or an ending may leave a tie behind; what it led to is struck then.
                let tied = before.iter().find(goes_on).copied().filter(|_| note.tied_in);
                let index = tied.unwrap_or_else(|| {
                    all.push(StruckNote { at, end, pitch, is_short: false });
                    all.len() - 1
                });
                all[index].end = end;
                all[index].is_short |= event.staccato;
                if note.tied_out {
                    going.push(index);
                }
            }
        }
    }
    all.sort_by_key(|struck| (struck.at, struck.pitch));
    all
}

/// What a drill tells besides its notes: keys, sections, titles and counts.
fn marks(score: &Score, heard: &[usize]) -> Vec<(Ticks, MarkKind)> {
    let bar_length = score.metre.bar();
    let mut marks = Vec::new();
    let mut in_force = None;
    for (place, bar) in heard.iter().enumerate() {
        let at = place as Ticks * bar_length;
        let start = score.bars[*bar].start;
        let key = score.key_at(*bar);
        if in_force != Some(key) {
            marks.push((at, MarkKind::Key(key)));
            in_force = Some(key);
        }
        if let Some(heading) = score.signs.headings.get(bar) {
            for words in [&heading.letter, &heading.title].into_iter().flatten() {
                marks.push((at, MarkKind::Place(words.clone())));
            }
        }
        let own = start..start + bar_length;
        for count in score.counts.iter().filter(|count| own.contains(&count.at)) {
            marks.push((count.at - start + at, MarkKind::Count(count.spoken())));
        }
    }
    marks
}

/// The beats that either hand divides in three or in four, in order; in six eighths beats divide
/// in three anyway.
fn divided(piece: &SoundPiece) -> Vec<(Ticks, Divided)> {
    if piece.metre.is_compound() {
        return Vec::new();
    }
    let moments = piece.hands.iter().flatten().flat_map(|struck| [struck.at, struck.end]);
    let each = moments.filter_map(|moment| {
        let part = match moment.rem_euclid(QUARTER) {
            12 | 36 => Divided::InFour,
            16 | 32 => Divided::InThree,
            _ => return None,
        };
        Some((moment.div_euclid(QUARTER), part))
    });
    let mut all: Vec<(Ticks, Divided)> = each.collect();
    all.sort_unstable();
    all.dedup();
    all
}
