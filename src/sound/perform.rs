//! From what is on paper to a performance: keys in turn, choruses, a count-in, a rhythm section.

use std::collections::{BTreeMap, BTreeSet};

use super::band::{Sheet, count_in, counted_in, played_by};
use super::error::{CannotPlay, MOST_MINUTES};
use super::options::{Groove, Options};
use super::pace::Pace;
use super::performance::{Mark, MarkKind, PULSES, Part, Performance, Pulses, Stroke, Tempo, Track};
use super::piece::Piece;
use super::swing::Swing;
use crate::chart::Unfolded;
use crate::drill::Exercise;
use crate::score::{Feel, Hand, Metre, QUARTER, Stay, Ticks};
use crate::theory::Key;

/// The least time from one stroke of a part to the next, in milliseconds: faster ones are not heard
/// apart (about twenty in a second; ours).
const LEAST_GAP: f64 = 50.0;
/// How hard the hands strike.
const RIGHT: u8 = 84;
const LEFT: u8 = 74;

/// A tune to be accompanied.
#[derive(Clone, Debug, PartialEq)]
pub struct Tune {
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
    options: &Options,
) -> Result<Performance, CannotPlay> {
    let drill = exercise.drill();
    let scores = exercise.keys.iter().map(|key| exercise.score(&drill, *key));
    let pieces: Vec<Piece> = scores.map(|score| Piece::of_drill(&drill, &score)).collect();
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
    about: &Tune,
    tempo: u16,
    options: &Options,
) -> Result<Performance, CannotPlay> {
    let in_key =
        |(tune, key): &(Unfolded, Option<Key>)| Piece::of_tune(tune, *key, &about.sections);
    let pieces: Vec<Piece> = tune.iter().map(in_key).collect();
    let title = about.title.clone();
    Round { title, feel: about.feel, pieces: &pieces, tempo, options }.played()
}

/// Pieces of one kind that are played one after another.
struct Round<'a> {
    title: String,
    feel: Feel,
    pieces: &'a [Piece],
    tempo: u16,
    options: &'a Options,
}

/// A piece at its place of the track.
struct Stretch<'a> {
    piece: &'a Piece,
    /// Which it is in the track.
    index: usize,
    at: Pulses,
    tempo: u16,
    /// The chorus that it begins with, from 0, and how many it has.
    first_chorus: usize,
    choruses: usize,
    /// How long its end is held beyond what is written.
    hold: Pulses,
    /// The bar to breathe after it, where there is one.
    breath: Pulses,
}

impl Stretch<'_> {
    fn length(&self) -> Pulses {
        pulses(self.piece.length()) * self.choruses as Pulses
    }

    fn end(&self) -> Pulses {
        self.at + self.length() + self.breath.max(self.hold)
    }
}

fn pulses(ticks: Ticks) -> Pulses {
    Pulses::try_from(ticks).unwrap_or(0) * (PULSES / QUARTER as Pulses)
}

/// Quarters a minute at so many felt beats.
fn quarters(metre: Metre, tempo: u16) -> f64 {
    f64::from(tempo) * f64::from(metre.felt_beat()) / f64::from(QUARTER)
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
        let count = pulses(metre.bar()) * self.options.count_in as Pulses;
        self.check_length(metre, count)?;
        let stretches = self.stretches(metre, count);
        let mut tracks: BTreeMap<Part, Vec<Stroke>> = BTreeMap::new();
        let click = tracks.entry(Part::Click).or_default();
        click.extend(count_in(metre, self.options.count_in).iter().map(|hit| Stroke {
            at: pulses(hit.at),
            length: pulses(hit.end - hit.at),
            pitch: hit.pitch,
            strength: hit.strength,
        }));
        for stretch in &stretches {
            self.play(stretch, groove, &parts, &mut tracks);
        }
        let tracks: Vec<Track> = tracks
            .into_iter()
            .filter(|(_, strokes)| !strokes.is_empty())
            .map(|(part, strokes)| Track { part, strokes: in_order(strokes) })
            .collect();
        if !tracks.iter().any(|track| parts.contains(&track.part)) {
            return Err(CannotPlay::NoParts);
        }
        let performance = Performance {
            title: self.title.clone(),
            tempi: tempi(metre, self.tempo, &stretches),
            marks: self.marks(metre, &stretches),
            length: stretches.last().map_or(count, Stretch::end),
            tracks,
        };
        self.check_speed(&performance)?;
        Ok(performance)
    }

    /// Who plays where nobody says so: no bass beside a hand that is one.
    fn usual_parts(&self, groove: Groove) -> BTreeSet<Part> {
        let mut parts = groove.usual_parts();
        if self.pieces.iter().any(Piece::has_bass) {
            parts.remove(&Part::Bass);
        }
        parts
    }

    /// The pieces at their places: key after key, each as often as it is played; where the tempo
    /// rises, all keys at each tempo.
    fn stretches(&self, metre: Metre, count: Pulses) -> Vec<Stretch<'a>> {
        let Options { choruses, rise, .. } = *self.options;
        let passes: Vec<(usize, usize)> = if rise > 0 {
            (0..choruses).map(|pass| (pass, 1)).collect()
        } else {
            vec![(0, choruses)]
        };
        let mut stretches: Vec<Stretch<'a>> = Vec::new();
        let last = passes.len() * self.pieces.len() - 1;
        let mut at = count;
        for (first_chorus, choruses) in passes {
            let rises = u16::try_from(first_chorus).unwrap_or(u16::MAX).saturating_mul(rise);
            for piece in self.pieces {
                let index = stretches.len();
                let bar = pulses(metre.bar());
                let breath = if index < last && self.pieces.len() > 1 { bar } else { 0 };
                // In the bar to breathe the end rings half way; at the very end it is held as
                // long as a bar more.
                let half = pulses(metre.bar() / metre.felt_beat() / 2 * metre.felt_beat());
                let hold = match (piece.held, index == last) {
                    (Some(_), true) => bar,
                    (Some(_), false) if breath > 0 => half,
                    _ => 0,
                };
                let tempo = self.tempo.saturating_add(rises);
                let stretch =
                    Stretch { piece, index, at, tempo, first_chorus, choruses, hold, breath };
                at = stretch.end();
                stretches.push(stretch);
            }
        }
        stretches
    }

    /// Errors if it would last too long, before any of it is made.
    fn check_length(&self, metre: Metre, count: Pulses) -> Result<(), CannotPlay> {
        let Options { choruses, rise, .. } = *self.options;
        let beats = |ticks: Ticks| f64::from(ticks) / f64::from(metre.felt_beat());
        let once: f64 = self.pieces.iter().map(|piece| beats(piece.length())).sum();
        // A bar to breathe, or in which the end is held, each time the keys are gone through.
        let between = beats(metre.bar()) * self.pieces.len() as f64;
        let seconds_of = |chorus: usize| {
            let tempo = f64::from(self.tempo) + (chorus as f64) * f64::from(rise);
            let between = if rise > 0 || chorus == 0 { between } else { 0.0 };
            60.0 * (once + between) / tempo
        };
        let counted = f64::from(count) / f64::from(PULSES) * 60.0 / quarters(metre, self.tempo);
        let most = f64::from(60 * MOST_MINUTES);
        let (mut seconds, mut fit) = (counted, 0);
        for chorus in 0..choruses {
            seconds += seconds_of(chorus);
            if seconds <= most {
                fit = chorus + 1;
            } else if rise == 0 {
                // All others last as long.
                seconds += seconds_of(chorus) * (choruses - chorus - 1) as f64;
                break;
            }
        }
        if seconds > most {
            return Err(CannotPlay::TooLong { seconds: seconds as u64, choruses: fit });
        }
        Ok(())
    }

    /// Adds what all parts play in a stretch.
    fn play(
        &self,
        stretch: &Stretch<'_>,
        groove: Groove,
        parts: &BTreeSet<Part>,
        tracks: &mut BTreeMap<Part, Vec<Stroke>>,
    ) {
        let Stretch { piece, at, choruses, hold, .. } = *stretch;
        let length = piece.length();
        let whole = length * choruses as Ticks;
        let pace = Pace::new(piece, self.swing().off_beat(f64::from(stretch.tempo)));
        let stroke = |start: Ticks, end: Ticks, is_short: bool, pitch, strength| {
            let (start, mut stop) = (pace.at(start), pace.at(end));
            if end == whole {
                stop += hold;
            }
            let length = if is_short { (stop - start) / 2 } else { stop - start };
            Stroke { at: at + start, length: length.max(1), pitch, strength }
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
            for chorus in 0..choruses as Ticks {
                let from = chorus * length;
                track.extend(piece.hands[hand].iter().map(|it| {
                    stroke(from + it.at, from + it.end, it.is_short, it.pitch, strength)
                }));
            }
        }
        let sheet = self.sheet(stretch, groove);
        for part in parts {
            let hits = played_by(*part, &sheet);
            let strokes = hits
                .iter()
                .map(|hit| stroke(hit.at, hit.end.min(whole), false, hit.pitch, hit.strength));
            tracks.entry(*part).or_default().extend(strokes);
        }
        if stretch.breath > 0 {
            let from = at + stretch.length();
            let click = tracks.entry(Part::Click).or_default();
            click.extend(count_in(piece.metre, 1).iter().map(|hit| Stroke {
                at: from + pulses(hit.at),
                length: pulses(hit.end - hit.at),
                pitch: hit.pitch,
                strength: hit.strength,
            }));
        }
    }

    /// What the rhythm section plays from in a stretch.
    fn sheet(&self, stretch: &Stretch<'_>, groove: Groove) -> Sheet {
        let Stretch { piece, choruses, .. } = *stretch;
        let length = piece.length();
        let mut stays: Vec<Stay> = Vec::with_capacity(piece.stays.len() * choruses);
        for chorus in 0..choruses as Ticks {
            let from = chorus * length;
            stays.extend(piece.stays.iter().map(|stay| Stay {
                at: stay.at + from,
                end: stay.end + from,
                ..*stay
            }));
        }
        let before_last = length * (choruses as Ticks - 1);
        Sheet {
            metre: piece.metre,
            chorus: length,
            bars: piece.bars * choruses,
            stays,
            held: piece.held.filter(|_| stretch.hold > 0).map(|held| held + before_last),
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

    /// How eighths are divided: where nothing was chosen, as the feel says.
    fn swing(&self) -> Swing {
        let usual = if self.feel == Feel::Swing { Swing::Usual } else { Swing::Even };
        self.options.swing.unwrap_or(usual)
    }

    /// What a player is told, in order.
    fn marks(&self, metre: Metre, stretches: &[Stretch<'_>]) -> Vec<Mark> {
        let mut marks = vec![Mark { at: 0, kind: MarkKind::Metre(metre) }];
        let first_key = stretches.first().and_then(|stretch| {
            stretch.piece.marks.iter().find(|(_, kind)| matches!(kind, MarkKind::Key(_)))
        });
        // The count-in is in the key that follows it.
        marks.extend(first_key.map(|(_, kind)| Mark { at: 0, kind: kind.clone() }));
        let counts = |from: Pulses, bars: usize| {
            counted_in(metre, bars).into_iter().map(move |(at, number)| Mark {
                at: from + pulses(at),
                kind: MarkKind::Count(number.to_string()),
            })
        };
        marks.extend(counts(0, self.options.count_in));
        let mut in_force = first_key.map(|(_, kind)| kind);
        for stretch in stretches {
            let Stretch { piece, at, .. } = *stretch;
            let pace = Pace::new(piece, self.swing().off_beat(f64::from(stretch.tempo)));
            for chorus in 0..stretch.choruses {
                let from = piece.length() * chorus as Ticks;
                let place =
                    |name: String| Mark { at: at + pace.at(from), kind: MarkKind::Place(name) };
                if chorus == 0 {
                    marks.extend(piece.name.clone().map(place));
                }
                let count = stretch.first_chorus + chorus;
                if self.options.choruses > 1 {
                    marks.push(place(format!("chorus {}", count + 1)));
                }
                for (moment, kind) in &piece.marks {
                    let at = at + pace.at(from + moment);
                    if matches!(kind, MarkKind::Key(_)) {
                        if in_force == Some(kind) {
                            continue;
                        }
                        in_force = Some(kind);
                    }
                    marks.push(Mark { at, kind: kind.clone() });
                }
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
                    let slower = f64::from(self.tempo) * milliseconds / LEAST_GAP;
                    return Err(CannotPlay::TooFast {
                        part: track.part,
                        tempo: self.tempo,
                        milliseconds: milliseconds as u32,
                        fastest: slower as u16,
                    });
                }
            }
        }
        Ok(())
    }
}

/// The tempi of a track, each where another one begins.
fn tempi(metre: Metre, first: u16, stretches: &[Stretch<'_>]) -> Vec<Tempo> {
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
fn in_order(mut strokes: Vec<Stroke>) -> Vec<Stroke> {
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
