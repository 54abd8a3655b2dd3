//! Pieces one after another: when each begins and how fast it goes, how long the whole lasts, and what
//! a player is told of all that.

use super::band::counted_in;
use super::ending::LastEnding;
use super::error::{CannotPlay, MOST_MINUTES};
use super::options::TrackOptions;
use super::pace::Pace;
use super::performance::{MarkKind, PULSES, Performance, PlayerMark, Pulses, Tempo};
use super::piece::SoundPiece;
use super::stretch::{TrackStretch, pulses, quarters};
use super::swing::Swing;
use crate::score::{Feel, Metre, Ticks};

/// The least time from one stroke of a part to the next, in milliseconds: faster ones are not heard
/// apart (about twenty in a second; ours).
const LEAST_GAP: f64 = 50.0;
/// What a player is told of what comes before the first bar, and of the bar that a form ends in
/// which goes round.
const PICK_UP: &str = "pick-up";
const ENDING: &str = "ending";

/// Pieces of one kind that are played one after another.
pub(super) struct Round<'a> {
    pub(super) title: String,
    pub(super) feel: Feel,
    pub(super) pieces: &'a [SoundPiece],
    pub(super) tempo: u16,
    pub(super) options: &'a TrackOptions,
}

impl<'a> Round<'a> {
    /// How many bars are counted in: one more with a pick-up, which comes in the last of them.
    pub(super) fn counted_bars(&self) -> usize {
        let has_pick_up = self.pieces.first().is_some_and(|piece| !piece.pick_up.is_empty());
        match self.options.count_in {
            0 => 0,
            bars => bars + usize::from(has_pick_up),
        }
    }

    /// How long it is from the beginning to the first bar: what is counted, or else the pick-up alone.
    pub(super) fn lead(&self, metre: Metre) -> Pulses {
        let pick_up = self.pieces.first().and_then(|piece| piece.pick_up.first());
        match (self.counted_bars(), pick_up) {
            (0, Some(first)) => pulses(-first.at),
            (bars, _) => pulses(metre.bar()) * bars as Pulses,
        }
    }

    /// How fast the last chorus goes.
    pub(super) fn fastest(&self) -> u32 {
        let rises = self.options.choruses.saturating_sub(1) as u32;
        u32::from(self.tempo).saturating_add(rises.saturating_mul(self.options.rise.into()))
    }

    /// The pieces at their places: key after key, each as often as it is played; where the tempo
    /// rises, all keys at each tempo.
    pub(super) fn stretches(&self, metre: Metre, lead: Pulses) -> Vec<TrackStretch<'a>> {
        let TrackOptions { choruses, rise, .. } = *self.options;
        let passes: Vec<(usize, usize)> = if rise > 0 {
            (0..choruses).map(|pass| (pass, 1)).collect()
        } else {
            vec![(0, choruses)]
        };
        let mut stretches: Vec<TrackStretch<'a>> = Vec::new();
        let last = passes.len() * self.pieces.len() - 1;
        let mut at = lead;
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
    pub(super) fn check_length(&self, metre: Metre, lead: Pulses) -> Result<(), CannotPlay> {
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
        let counted = f64::from(lead) / f64::from(PULSES) * 60.0 / quarters(metre, self.tempo);
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

    /// How the beats of a stretch pass.
    pub(super) fn pace<'b>(&self, stretch: &TrackStretch<'b>) -> Pace<'b> {
        let off_beat = self.swing().off_beat(f64::from(stretch.tempo));
        Pace::new(stretch.piece, stretch.at, off_beat)
    }

    /// How eighths are divided: where nothing was chosen, as the feel says.
    fn swing(&self) -> Swing {
        let usual = if self.feel == Feel::Swing { Swing::Usual } else { Swing::Even };
        self.options.swing.unwrap_or(usual)
    }

    /// What a player is told, in order.
    pub(super) fn marks(&self, metre: Metre, stretches: &[TrackStretch<'_>]) -> Vec<PlayerMark> {
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
        let first = self.lead(metre);
        if first > 0 && self.counted_bars() == 0 {
            // After less than a bar the bars are counted anew.
            marks.push(PlayerMark { at: first, kind: MarkKind::Metre(metre) });
        }
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
    pub(super) fn check_speed(&self, performance: &Performance) -> Result<(), CannotPlay> {
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
pub(super) fn tempi(metre: Metre, first: u16, stretches: &[TrackStretch<'_>]) -> Vec<Tempo> {
    let mut tempi = vec![Tempo { at: 0, quarters: quarters(metre, first) }];
    for stretch in stretches {
        let quarters = quarters(metre, stretch.tempo);
        if tempi.last().is_none_or(|last| last.quarters != quarters) {
            tempi.push(Tempo { at: stretch.at, quarters });
        }
    }
    tempi
}
