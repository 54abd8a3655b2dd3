//! From what is on paper to a performance: keys in turn, choruses, a count-in, a rhythm section.

use std::collections::{BTreeMap, BTreeSet};

use super::band::{BandHit, BandSheet, count_in, counted_in, played_by};
use super::ending::LastEnding;
use super::error::{CannotPlay, FASTEST, MOST_MINUTES};
use super::options::{Groove, TrackOptions};
use super::pace::Pace;
use super::performance::{
    MarkKind, PULSES, Part, PartTrack, Performance, PlayedStroke, PlayerMark, Pulses, Tempo,
};
use super::piece::SoundPiece;
use super::stretch::{TrackStretch, pulses, quarters};
use super::swing::Swing;
use crate::chart::Unfolded;
use crate::drill::Exercise;
use crate::parallel;
use crate::score::{Feel, Hand, Metre, Stay, Ticks};
use crate::theory::Key;

/// The least time from one stroke of a part to the next, in milliseconds: faster ones are not heard
/// apart (about twenty in a second; ours).
const LEAST_GAP: f64 = 50.0;
/// How hard the hands strike.
const RIGHT: u8 = 84;
const LEFT: u8 = 74;
/// What a player is told of what comes before the first bar, and of the bar that a form ends in
/// which goes round.
const PICK_UP: &str = "pick-up";
const ENDING: &str = "ending";

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

/// Pieces of one kind that are played one after another.
struct Round<'a> {
    title: String,
    feel: Feel,
    pieces: &'a [SoundPiece],
    tempo: u16,
    options: &'a TrackOptions,
}

impl<'a> Round<'a> {
    fn played(self) -> Result<Performance, CannotPlay> {
        let metre =
            self.pieces.first().filter(|piece| piece.bars > 0).ok_or(CannotPlay::NoBars)?.metre;
        let usual = Groove::usual(metre, self.feel, quarters(metre, self.tempo));
        let groove = self.options.groove.unwrap_or(usual);
        if !groove.fits(metre) {
            return Err(CannotPlay::Groove { groove, metre, usual });
        }
        let parts = self.options.with.clone().unwrap_or_else(|| self.usual_parts(groove));
        let count = pulses(metre.bar()) * self.bars_before() as Pulses;
        // No other bass beside a hand that is one.
        if parts.contains(&Part::PianoLeft) && parts.contains(&Part::Bass) && self.has_bass() {
            return Err(CannotPlay::TwoBasses);
        }
        self.check_length(metre, count)?;
        let fastest = self.fastest();
        if self.options.rise > 0 && fastest > u32::from(FASTEST) {
            let left = FASTEST.saturating_sub(self.tempo) / self.options.rise;
            let choruses = usize::from(left) + 1;
            return Err(CannotPlay::RisesTooFar { fastest, choruses });
        }
        let stretches = self.stretches(metre, count);
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
            length: stretches.last().map_or(count, TrackStretch::end),
            tracks,
        };
        self.check_speed(&performance)?;
        Ok(performance)
    }

    /// How many bars come before the first: those that are counted in, and one with a pick-up.
    fn bars_before(&self) -> usize {
        let has_pick_up = self.pieces.first().is_some_and(|piece| !piece.pick_up.is_empty());
        self.options.count_in + usize::from(has_pick_up)
    }

    /// How many of them are counted: none or all.
    fn counted_bars(&self) -> usize {
        if self.options.count_in > 0 { self.bars_before() } else { 0 }
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

    /// How fast the last chorus goes.
    fn fastest(&self) -> u32 {
        let rises = self.options.choruses.saturating_sub(1) as u32;
        u32::from(self.tempo).saturating_add(rises.saturating_mul(self.options.rise.into()))
    }

    /// The pieces at their places: key after key, each as often as it is played; where the tempo
    /// rises, all keys at each tempo.
    fn stretches(&self, metre: Metre, count: Pulses) -> Vec<TrackStretch<'a>> {
        let TrackOptions { choruses, rise, .. } = *self.options;
        let passes: Vec<(usize, usize)> = if rise > 0 {
            (0..choruses).map(|pass| (pass, 1)).collect()
        } else {
            vec![(0, choruses)]
        };
        let mut stretches: Vec<TrackStretch<'a>> = Vec::new();
        let last = passes.len() * self.pieces.len() - 1;
        let mut at = count;
        for (first_chorus, choruses) in passes {
            let rises = u16::try_from(first_chorus).unwrap_or(u16::MAX).saturating_mul(rise);
            for (piece, next) in self.pieces.iter().zip(self.pieces.iter().cycle().skip(1)) {
                let index = stretches.len();
                let bar = pulses(metre.bar());
                let breath = if index < last && self.pieces.len() > 1 { bar } else { 0 };
                // In the bar to breathe the end rings half way; at the very end it is held as
                // long as a bar more.
                let half = metre.bar() / metre.felt_beat() / 2 * metre.felt_beat();
                // What comes before the next key ends it.
                let early = next.pick_up.first().map_or(0, |stay| stay.at);
                let half = pulses(half.min(metre.bar() + early));
                let rest = match (piece.ending, index == last) {
                    (Some(LastEnding::Held(_)), true) => bar,
                    // It has a bar of its own before.
                    (Some(LastEnding::Landing(_)), true) => 2 * bar,
                    (Some(_), false) if breath > 0 => half,
                    _ => 0,
                };
                let is_last = index == last || breath > 0;
                let tempo = self.tempo.saturating_add(rises);
                let has_lead = index == 0 || self.pieces.len() > 1;
                let stretch = TrackStretch {
                    piece,
                    index,
                    at,
                    tempo,
                    first_chorus,
                    choruses,
                    rest,
                    breath,
                    is_last,
                    has_lead,
                };
                at = stretch.end();
                stretches.push(stretch);
            }
        }
        stretches
    }

    /// Errors if it would last too long, before any of it is made.
    fn check_length(&self, metre: Metre, count: Pulses) -> Result<(), CannotPlay> {
        let TrackOptions { choruses, rise, .. } = *self.options;
        let beats = |ticks: Ticks| f64::from(ticks) / f64::from(metre.felt_beat());
        let is_parted = rise == 0 || self.pieces.len() > 1;
        let once = |is_last: bool| -> f64 {
            self.pieces.iter().map(|piece| beats(piece.heard(is_last).length())).sum()
        };
        // A bar to breathe, or in which the end is held, each time the keys are gone through.
        let between = beats(metre.bar()) * self.pieces.len() as f64;
        let seconds_of = |chorus: usize| {
            let tempo = f64::from(self.tempo) + (chorus as f64) * f64::from(rise);
            let between = if rise > 0 || chorus == 0 { between } else { 0.0 };
            let is_last = chorus + 1 == choruses || rise > 0 && is_parted;
            60.0 * (once(is_last) + between) / tempo
        };
        let counted = f64::from(count) / f64::from(PULSES) * 60.0 / quarters(metre, self.tempo);
        // A landing has two bars, of which one is in between already.
        let lands = self.pieces.iter().any(|it| matches!(it.ending, Some(LastEnding::Landing(_))));
        let landing = if lands { 60.0 * beats(metre.bar()) / f64::from(self.tempo) } else { 0.0 };
        let most = f64::from(60 * MOST_MINUTES);
        let (mut seconds, mut fit) = (counted + landing, 0);
        for chorus in 0..choruses {
            seconds += seconds_of(chorus);
            if seconds <= most {
                fit = chorus + 1;
            } else if rise == 0 {
                // All others last as long, but for the last.
                seconds += seconds_of(chorus) * (choruses - chorus - 1) as f64;
                break;
            }
        }
        if seconds > most {
            return Err(CannotPlay::TooLong { seconds: seconds as u64, choruses: fit });
        }
        Ok(())
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

    /// How the beats of a stretch pass.
    fn pace<'b>(&self, stretch: &TrackStretch<'b>) -> Pace<'b> {
        let off_beat = self.swing().off_beat(f64::from(stretch.tempo));
        Pace::new(stretch.piece, stretch.at, off_beat)
    }

    /// How eighths are divided: where nothing was chosen, as the feel says.
    fn swing(&self) -> Swing {
        let usual = if self.feel == Feel::Swing { Swing::Usual } else { Swing::Even };
        self.options.swing.unwrap_or(usual)
    }

    /// What a player is told, in order.
    fn marks(&self, metre: Metre, stretches: &[TrackStretch<'_>]) -> Vec<PlayerMark> {
        let mut marks = vec![PlayerMark { at: 0, kind: MarkKind::Metre(metre) }];
        let first_key = stretches.first().and_then(|stretch| {
            stretch.piece.marks.iter().find(|(_, kind)| matches!(kind, MarkKind::Key(_)))
        });
        // The count-in is in the key that follows it.
        marks.extend(first_key.map(|(_, kind)| PlayerMark { at: 0, kind: kind.clone() }));
        let counts = |from: Pulses, bars: usize| {
            counted_in(metre, bars).into_iter().map(move |(at, number)| PlayerMark {
                at: from + pulses(at),
                kind: MarkKind::Count(number.to_string()),
            })
        };
        marks.extend(counts(0, self.counted_bars()));
        let mut in_force = first_key.map(|(_, kind)| kind);
        // Where nothing else came between, a piece is not told again.
        let mut told = None;
        for stretch in stretches {
            let TrackStretch { piece, at, .. } = *stretch;
            let pace = self.pace(stretch);
            let place = |moment, name: String| PlayerMark {
                at: pace.at(moment),
                kind: MarkKind::Place(name),
            };
            if stretch.has_pick_up()
                && let Some(first) = piece.pick_up.first()
            {
                marks.push(place(first.at, PICK_UP.to_owned()));
            }
            for (chorus, (from, piece)) in stretch.heard().enumerate() {
                if chorus == 0 {
                    let is_new = told.replace(&piece.name) != Some(&piece.name);
                    let name = piece.name.clone().filter(|_| is_new);
                    marks.extend(name.map(|name| place(from, name)));
                }
                let count = stretch.first_chorus + chorus;
                if self.options.choruses > 1 {
                    marks.push(place(from, format!("chorus {}", count + 1)));
                }
                for (moment, kind) in &piece.marks {
                    let at = pace.at(from + moment);
                    if matches!(kind, MarkKind::Key(_)) {
                        if in_force == Some(kind) {
                            continue;
                        }
                        in_force = Some(kind);
                    }
                    marks.push(PlayerMark { at, kind: kind.clone() });
                }
            }
            if let Some(LastEnding::Landing(_)) = stretch.ending() {
                let whole = stretch.ticks();
                marks.push(place(whole, ENDING.to_owned()));
            }
            if stretch.breath > 0 {
                marks.extend(counts(at + stretch.length(), 1));
            }
        }
        marks.sort_by_key(|mark| mark.at);
        marks
    }

    /// Errors if a part would go too fast.
    fn check_speed(&self, performance: &Performance) -> Result<(), CannotPlay> {
        let metre = performance.marks.iter().find_map(|mark| match mark.kind {
            MarkKind::Metre(metre) => Some(metre),
            _ => None,
        });
        // Quarters a minute of one felt beat.
        let a_beat = metre.map_or(1.0, |metre| quarters(metre, 1));
        for track in &performance.tracks {
            let mut tempi = performance.tempi.iter().peekable();
            let mut quarters = 0.0;
            for pair in track.strokes.windows(2) {
                while let Some(tempo) = tempi.next_if(|tempo| tempo.at <= pair[0].at) {
                    quarters = tempo.quarters;
                }
                let gap = pair[1].at - pair[0].at;
                let milliseconds = f64::from(gap) / f64::from(PULSES) * 60_000.0 / quarters;
                if gap > 0 && milliseconds < LEAST_GAP {
                    let tempo = quarters / a_beat;
                    return Err(CannotPlay::TooFast {
                        part: track.part,
                        tempo: tempo.round() as u16,
                        milliseconds: milliseconds as u32,
                        fastest: (tempo * milliseconds / LEAST_GAP) as u16,
                        rises: self.options.rise > 0 && tempo.round() as u16 > self.tempo,
                    });
                }
            }
        }
        Ok(())
    }
}

/// The tempi of a track, each where another one begins.
fn tempi(metre: Metre, first: u16, stretches: &[TrackStretch<'_>]) -> Vec<Tempo> {
    let mut tempi = vec![Tempo { at: 0, quarters: quarters(metre, first) }];
    for stretch in stretches {
        let quarters = quarters(metre, stretch.tempo);
        if tempi.last().is_none_or(|last| last.quarters != quarters) {
            tempi.push(Tempo { at: stretch.at, quarters });
        }
    }
    tempi
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
