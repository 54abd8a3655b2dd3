//! From what is on paper to a performance: keys in turn, choruses, a count-in, a rhythm section.

use std::collections::{BTreeMap, BTreeSet};

use super::band::{BandHit, BandSheet, count_in, played_by};
use super::ending::LastEnding;
use super::error::{CannotPlay, FASTEST};
use super::options::{Groove, TrackOptions};
use super::performance::{Part, PartTrack, Performance, PlayedStroke, Pulses};
use super::piece::SoundPiece;
use super::round::{Round, tempi};
use super::stretch::{TrackStretch, pulses, quarters};
use crate::chart::Unfolded;
use crate::drill::Exercise;
use crate::parallel;
use crate::score::{Feel, Hand, Metre, Stay, Ticks};
use crate::theory::Key;

/// How hard the hands strike.
const RIGHT: u8 = 84;
const LEFT: u8 = 74;

/// A tune to be accompanied.
#[derive(Clone, Debug, PartialEq)]
pub struct AccompaniedTune {
    /// Its title.
    pub title: String,
    /// The names of its sections as they are heard, as far as they have any.
    pub sections: Vec<String>,
    /// How its eighths are played.
    pub feel: Feel,
}

/// Plays a drill in its keys at a tempo, in beats a minute.
///
/// # Errors
///
/// Where it would last too long, go too fast for a part, or a groove does not fit its metre.
pub fn play_drill(
    exercise: &Exercise,
    tempo: u16,
    options: &TrackOptions,
) -> Result<Performance, CannotPlay> {
    let drill = exercise.drill();
    let in_key = |key: &Key| SoundPiece::of_drill(&drill, &exercise.score(&drill, *key));
    let pieces: Vec<SoundPiece> = parallel::map(&exercise.keys, in_key);
    let title = exercise.template.title.clone();
    Round { title, feel: exercise.feel, pieces: &pieces, tempo, options }.played()
}

/// Plays a tune at a tempo, in beats a minute, for others to play over: in one key after another.
///
/// # Errors
///
/// As [`play_drill`].
pub fn play_tune(
    tune: &[(Unfolded, Option<Key>)],
    about: &AccompaniedTune,
    tempo: u16,
    options: &TrackOptions,
) -> Result<Performance, CannotPlay> {
    let in_key =
        |(tune, key): &(Unfolded, Option<Key>)| SoundPiece::of_tune(tune, *key, &about.sections);
    let pieces: Vec<SoundPiece> = tune.iter().map(in_key).collect();
    let title = about.title.clone();
    Round { title, feel: about.feel, pieces: &pieces, tempo, options }.played()
}

impl<'a> Round<'a> {
    /// The performance.
    fn played(self) -> Result<Performance, CannotPlay> {
        let metre =
            self.pieces.first().filter(|piece| piece.bars > 0).ok_or(CannotPlay::NoBars)?.metre;
        let usual = self.usual_groove(metre);
        let groove = self.options.groove.unwrap_or(usual);
        if !groove.fits(metre) {
            return Err(CannotPlay::Groove { groove, metre, usual });
        }
        let parts = self.options.with.clone().unwrap_or_else(|| self.usual_parts(groove));
        let lead = self.lead(metre);
        // No other bass beside a hand that is one.
        if parts.contains(&Part::PianoLeft) && parts.contains(&Part::Bass) && self.has_bass() {
            return Err(CannotPlay::TwoBasses);
        }
        self.check_length(metre, lead)?;
        let fastest = self.fastest();
        if self.options.rise > 0 && fastest > u32::from(FASTEST) {
            let left = FASTEST.saturating_sub(self.tempo) / self.options.rise;
            let choruses = usize::from(left) + 1;
            return Err(CannotPlay::RisesTooFar { fastest, choruses });
        }
        let stretches = self.stretches(metre, lead);
        let mut tracks: BTreeMap<Part, Vec<PlayedStroke>> = BTreeMap::new();
        let click = tracks.entry(Part::Click).or_default();
        click.extend(count_in(metre, self.counted_bars()).iter().map(|hit| PlayedStroke {
            at: pulses(hit.at),
            length: pulses(hit.end - hit.at),
            pitch: hit.pitch,
            strength: hit.strength,
        }));
        let is_asked = parts.contains(&Part::Bass);
        let bass = is_asked.then(|| self.bass_throughout(&stretches, groove)).flatten();
        let play = |stretch: &TrackStretch<'a>| {
            self.play(stretch, groove, &parts, bass.as_ref().map(|own| &*own[stretch.index]))
        };
        for own in parallel::map(&stretches, play) {
            for (part, strokes) in own {
                tracks.entry(part).or_default().extend(strokes);
            }
        }
        let tracks: Vec<PartTrack> = tracks
            .into_iter()
            .filter(|(_, strokes)| !strokes.is_empty())
            .map(|(part, strokes)| PartTrack { part, strokes: in_order(strokes) })
            .collect();
        if !tracks.iter().any(|track| parts.contains(&track.part)) {
            return Err(CannotPlay::NoParts);
        }
        let performance = Performance {
            title: self.title.clone(),
            tempi: tempi(metre, self.tempo, &stretches),
            marks: self.marks(metre, &stretches),
            length: stretches.last().map_or(lead, TrackStretch::end),
            tracks,
        };
        self.check_speed(&performance)?;
        Ok(performance)
    }

    /// What the rhythm section plays where nobody says so: in two, where a hand has a bass in two.
    fn usual_groove(&self, metre: Metre) -> Groove {
        let usual = Groove::usual(metre, self.feel, quarters(metre, self.tempo));
        let is_in_two = usual == Groove::Walking && self.pieces.iter().any(SoundPiece::is_in_two);
        if is_in_two { Groove::TwoFeel } else { usual }
    }

    /// Who plays where nobody says so: no bass beside a hand that is one.
    fn usual_parts(&self, groove: Groove) -> BTreeSet<Part> {
        let mut parts = groove.usual_parts();
        if self.has_bass() {
            parts.remove(&Part::Bass);
        }
        parts
    }

    /// Whether the left hand is a bass, in whatever key.
    fn has_bass(&self) -> bool {
        self.pieces.iter().any(SoundPiece::has_bass)
    }

    /// The bass of each stretch where one piece goes on from stretch to stretch, at a tempo that rises:
    /// one line over all of them.
    fn bass_throughout(
        &self,
        stretches: &[TrackStretch<'_>],
        groove: Groove,
    ) -> Option<Vec<Vec<BandHit>>> {
        let ([_], [first, .., last]) = (self.pieces, stretches) else { return None };
        let whole = TrackStretch {
            choruses: stretches.iter().map(|stretch| stretch.choruses).sum(),
            rest: last.rest,
            breath: last.breath,
            is_last: last.is_last,
            ..*first
        };
        let hits = played_by(Part::Bass, &self.sheet(&whole, groove));
        let mut from = 0;
        let own = stretches.iter().map(|stretch| {
            let (start, end) = (from, from + stretch.ticks());
            from = end;
            // What comes before the first bar, and what ends in a bar of its own, have none but it.
            let is_own = |hit: &&BandHit| {
                (hit.at >= start || stretch.index == first.index)
                    && (hit.at < end || stretch.index == last.index)
            };
            let moved =
                |hit: &BandHit| BandHit { at: hit.at - start, end: hit.end - start, ..*hit };
            hits.iter().filter(is_own).map(moved).collect()
        });
        Some(own.collect())
    }

    /// What all parts play in a stretch; with a bass that was composed before, that one.
    fn play(
        &self,
        stretch: &TrackStretch<'_>,
        groove: Groove,
        parts: &BTreeSet<Part>,
        bass: Option<&[BandHit]>,
    ) -> BTreeMap<Part, Vec<PlayedStroke>> {
        let mut tracks: BTreeMap<Part, Vec<PlayedStroke>> = BTreeMap::new();
        let TrackStretch { piece, at, .. } = *stretch;
        let sheet = self.sheet(stretch, groove);
        let whole = sheet.length();
        let pace = self.pace(stretch);
        let stroke = |start: Ticks, end: Ticks, is_short: bool, pitch, strength| {
            let start = pace.at(start);
            // What sounds at the very end rests as long as there is time.
            let is_held = stretch.rest > 0 && end == whole;
            let stop = if is_held { at + stretch.length() + stretch.rest } else { pace.at(end) };
            let length = if is_short { (stop - start) / 2 } else { stop - start };
            PlayedStroke { at: start, length: length.max(1), pitch, strength }
        };
        for hand in Hand::BOTH {
            let (part, strength) = match hand {
                Hand::Right => (Part::PianoRight, RIGHT),
                Hand::Left => (Part::PianoLeft, LEFT),
            };
            if !parts.contains(&part) {
                continue;
            }
            let track = tracks.entry(part).or_default();
            for (from, piece) in stretch.heard() {
                track.extend(piece.hands[hand].iter().map(|it| {
                    stroke(from + it.at, from + it.end, it.is_short, it.pitch, strength)
                }));
            }
        }
        for part in parts {
            let hits = match bass.filter(|_| *part == Part::Bass) {
                Some(own) => own.to_vec(),
                None => played_by(*part, &sheet),
            };
            let strokes = hits
                .iter()
                .map(|hit| stroke(hit.at, hit.end.min(whole), false, hit.pitch, hit.strength));
            tracks.entry(*part).or_default().extend(strokes);
        }
        if stretch.breath > 0 {
            let from = at + stretch.length();
            let click = tracks.entry(Part::Click).or_default();
            click.extend(count_in(piece.metre, 1).iter().map(|hit| PlayedStroke {
                at: from + pulses(hit.at),
                length: pulses(hit.end - hit.at),
                pitch: hit.pitch,
                strength: hit.strength,
            }));
        }
        tracks
    }

    /// What the rhythm section plays from in a stretch.
    fn sheet(&self, stretch: &TrackStretch<'_>, groove: Groove) -> BandSheet {
        let piece = stretch.piece;
        let mut stays: Vec<Stay> = Vec::with_capacity(piece.stays.len() * stretch.choruses + 1);
        if stretch.has_pick_up() {
            stays.extend(piece.pick_up.iter().copied());
        }
        for (from, piece) in stretch.heard() {
            stays.extend(piece.stays.iter().map(|stay| Stay {
                at: stay.at + from,
                end: stay.end + from,
                ..*stay
            }));
        }
        let whole = stretch.ticks();
        let held = stretch.ending().map(|ending| match ending {
            LastEnding::Held(at) => whole - piece.length() + at,
            LastEnding::Landing(chord) => {
                let (end, scale) = (whole + piece.metre.bar(), chord.kind.scale());
                stays.push(Stay { at: whole, end, chord, scale });
                whole
            }
        });
        let is_longer = held == Some(whole);
        BandSheet {
            metre: piece.metre,
            tops: stretch.heard().map(|(from, _)| from).chain([whole]).collect(),
            bars: stretch.heard().map(|(_, piece)| piece.bars).sum::<usize>()
                + usize::from(is_longer),
            stays,
            held,
            groove,
            clicks: self.options.clicks,
            // Another line in each key and each time.
            seed: self
                .options
                .seed
                .wrapping_mul(0x1000_0000_01b3)
                .wrapping_add(stretch.index as u64),
        }
    }
}

/// Strokes in order, and no two of one pitch at once: the longer of two that begin together, and
/// the one before ends where the next begins.
fn in_order(mut strokes: Vec<PlayedStroke>) -> Vec<PlayedStroke> {
    strokes.sort_by_key(|stroke| (stroke.at, stroke.pitch, std::cmp::Reverse(stroke.length)));
    strokes.dedup_by_key(|stroke| (stroke.at, stroke.pitch));
    let mut next: BTreeMap<u8, Pulses> = BTreeMap::new();
    for stroke in strokes.iter_mut().rev() {
        if let Some(at) = next.insert(stroke.pitch, stroke.at) {
            stroke.length = stroke.length.min(at - stroke.at);
        }
    }
    strokes
}
