//! Drill templates: what to play, without saying in which key.

use super::form::PassageForm;
use super::language::comping::{Comping, CompingHit};
use super::language::figure::{Figure, FigureStep, Sounding};
use super::language::harmony::{Degree, PassageHome};
use super::language::voicing::Voicing;
use crate::score::{Feel, Hand, Metre, QUARTER, Ticks};
use crate::theory::{Mode, NamedScale};

/// A drill, before any key is chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Template {
    /// The short name that commands use.
    pub name: String,
    /// The title that a sheet bears.
    pub title: String,
    /// What the drill is, and what it is for.
    pub about: String,
    /// What to listen for.
    pub listen: Option<String>,
    /// The metre of every bar.
    pub metre: Metre,
    /// The scale that degrees count in, and that the key signature is of.
    pub mode: Mode,
    /// How eighths are played unless the recipe says otherwise.
    pub feel: Feel,
    /// How many bars a phrase has, counted from the first; without it each passage has phrases of
    /// its own.
    pub phrase: Option<usize>,
    /// Its passages, in playing order.
    pub passages: Vec<Passage>,
}

/// A run of chords played the same way.
#[derive(Clone, Debug, PartialEq)]
pub struct Passage {
    /// The key of this passage: the template's own, perhaps in another mode of the same signature,
    /// or another key.
    pub home: PassageHome,
    /// Whether that key has its signature printed, where it is another one.
    pub has_signature: bool,
    /// Its chords.
    pub degrees: Vec<Degree>,
    /// How long the chords last; several lengths take turns.
    pub lengths: Vec<Ticks>,
    /// What one hand plays on each chord, again and again if the chord lasts longer; several
    /// figures take turns.
    pub figures: Vec<Figure>,
    /// A line of eighths composed over the chords in place of figures, by its seed.
    pub line: Option<u64>,
    /// The scales that figures count in, each on the root of its chord; several take turns. None
    /// where chords and key have their own.
    pub scales: Vec<NamedScale>,
    /// How the other hand lays out the chord; several voicings take turns.
    pub voicings: Vec<Voicing>,
    /// Whether each chord is laid out near the one before it.
    pub leads_voices: bool,
    /// When the hand that holds the chords strikes.
    pub comping: Comping,
    /// How the first chord of the passage enters.
    pub entry: Entry,
    /// Whether the last chord is held at will.
    pub fermata: bool,
    /// Whether the left hand plays the figure and the right hand the chords.
    pub is_swapped: bool,
    /// What it says of the form.
    pub form: PassageForm,
}

/// How the first chord of a passage enters.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Entry {
    /// On its beat, held to the next chord.
    #[default]
    Held,
    /// On its beat, an eighth long.
    Short,
    /// An eighth early, out of the passage before.
    Push,
}

impl Template {
    /// The feel that its tempo mark tells, of the one it is played in: none where no eighths are
    /// played so. Beats of three eighths know no swing.
    pub fn spoken_feel(&self, feel: Feel) -> Option<Feel> {
        let in_threes = self.metre.felt_beat() > QUARTER;
        (self.has_eighths() && !in_threes).then_some(feel)
    }

    /// Whether any hand plays eighths, which swing or do not.
    pub fn has_eighths(&self) -> bool {
        const EIGHTH: Ticks = QUARTER / 2;
        self.passages.iter().any(|passage| {
            let figures = passage.figures.iter().chain(passage.comping.figures());
            let mut steps = figures.flat_map(|figure| &figure.steps);
            let comps = match &passage.comping {
                Comping::OnBeat | Comping::Silent => passage.entry != Entry::Held,
                Comping::Line(_) | Comping::Bass(_) | Comping::Walking => false,
                Comping::Push => true,
                Comping::Strokes(bars) => {
                    bars.iter().flatten().any(|stroke| stroke.at % QUARTER == EIGHTH)
                }
            };
            let is_composed = passage.line.is_some();
            comps || is_composed || steps.any(|step| step.length == EIGHTH)
        })
    }

    /// The length of the whole drill.
    pub fn length(&self) -> Ticks {
        self.passages.iter().map(Passage::length).sum()
    }

    /// How many bars the whole drill has.
    pub fn bars(&self) -> usize {
        (self.length() / self.metre.bar()) as usize
    }

    /// How many bars each phrase has, in order: as many as the template says, or as is usual for
    /// each passage. One bar at the end belongs to the phrase before.
    pub fn phrases(&self) -> Vec<usize> {
        let bars = |length: Ticks| (length / self.metre.bar()) as usize;
        let mut phrases: Vec<usize> = Vec::new();
        match self.phrase {
            Some(each) => phrases.extend(parted(bars(self.length()), each)),
            None => {
                for passage in &self.passages {
                    let bars = bars(passage.length());
                    phrases.extend(parted(bars, usual_phrase(bars)));
                }
            }
        }
        if let [.., before, 1] = phrases.as_mut_slice() {
            *before += 1;
            phrases.pop();
        }
        phrases
    }
}

impl Template {
    /// When each phrase begins.
    pub(super) fn phrase_starts(&self) -> Vec<Ticks> {
        let mut bars = 0;
        let start = |phrase: usize| {
            let start = bars as Ticks * self.metre.bar();
            bars += phrase;
            start
        };
        self.phrases().into_iter().map(start).collect()
    }
}

/// How many bars a phrase usually has in a passage of so many: eight in forms of sixteen and
/// thirty-two bars, else four, or three where these come out even (common practice, no source).
fn usual_phrase(bars: usize) -> usize {
    match bars {
        _ if bars.is_multiple_of(16) => 8,
        _ if bars.is_multiple_of(4) => 4,
        _ if bars.is_multiple_of(3) => 3,
        _ => 4,
    }
}

/// Bars parted into phrases of `each`, and what is left over; a single bar stays with those before.
fn parted(bars: usize, each: usize) -> Vec<usize> {
    let each = each.max(1);
    let mut phrases: Vec<usize> =
        (0..bars).step_by(each).map(|start| each.min(bars - start)).collect();
    if let [.., before, 1] = phrases.as_mut_slice()
        && each > 1
    {
        *before += 1;
        phrases.pop();
    }
    phrases
}

impl Passage {
    /// The hand that has the chords, or the bass, and not the figure.
    pub(super) fn hand_below(&self) -> Hand {
        if self.is_swapped { Hand::Right } else { Hand::Left }
    }

    /// The length of the whole passage.
    pub fn length(&self) -> Ticks {
        (0..self.degrees.len()).map(|index| self.chord_length(index)).sum()
    }

    /// The length of the chord at an index.
    pub fn chord_length(&self, index: usize) -> Ticks {
        self.lengths[index % self.lengths.len()]
    }

    /// When each chord ends, from the beginning of the passage.
    fn ends(&self) -> Vec<Ticks> {
        let mut end = 0;
        let each = (0..self.degrees.len()).map(|index| {
            end += self.chord_length(index);
            end
        });
        each.collect()
    }

    /// Every stroke of comping whose bars take turns: its moment from the beginning of the
    /// passage, the index of the chord that it strikes, which may be the one after the last, and
    /// how long it sounds. A stroke that would bring the next chord early strikes its own where
    /// that goes on, in the next bar or with another stroke.
    pub(super) fn strokes(
        &self,
        bars: &[Vec<CompingHit>],
        metre: Metre,
    ) -> impl Iterator<Item = (Ticks, usize, Option<Ticks>)> {
        let turns = (0..self.length() / metre.bar()).zip(bars.iter().cycle());
        let hits: Vec<(Ticks, Ticks, CompingHit)> = turns
            .flat_map(|(bar, hits)| {
                let start = bar * metre.bar();
                hits.iter().map(move |hit| (start + hit.at, start + metre.bar(), *hit))
            })
            .collect();
        let next: Vec<Option<Ticks>> =
            hits.iter().skip(1).map(|(at, ..)| Some(*at)).chain([None]).collect();
        let ends = self.ends();
        hits.into_iter().zip(next).map(move |((at, barline, hit), next)| {
            let sounding = ends.partition_point(|end| *end <= at);
            let end = ends.get(sounding).copied().unwrap_or(barline);
            let is_last = end <= barline && next.is_none_or(|next| next >= end);
            let brings_next = hit.brings_next && is_last;
            (at, sounding + usize::from(brings_next), hit.length)
        })
    }

    /// The figure on the chord at an index.
    pub fn figure(&self, index: usize) -> &Figure {
        &self.figures[index % self.figures.len()]
    }

    /// The scale that the figure at an index counts in, if it is a scale of its own.
    pub fn scale(&self, index: usize) -> Option<NamedScale> {
        self.scales.get(index % self.scales.len().max(1)).copied()
    }

    /// Whether a hand strikes the voicings of the chords.
    pub fn strikes_chords(&self) -> bool {
        let mut figures = self.figures.iter().chain(self.comping.figures());
        let plays = |step: &FigureStep| matches!(step.sounding, Sounding::Chord | Sounding::Upper);
        let is_silent = self.comping.is_line() || self.comping == Comping::Silent;
        !is_silent || figures.any(|figure| figure.steps.iter().any(plays))
    }

    /// The voicing of the chord at an index.
    pub fn voicing(&self, index: usize) -> &Voicing {
        &self.voicings[index % self.voicings.len()]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bars_are_parted_into_phrases_that_come_out_even() {
        for (bars, phrases) in [
            (1, vec![1]),
            (2, vec![2]),
            (5, vec![5]),
            (6, vec![3, 3]),
            (7, vec![4, 3]),
            (8, vec![4, 4]),
            (12, vec![4, 4, 4]),
            (13, vec![4, 4, 5]),
            (32, vec![8, 8, 8, 8]),
        ] {
            assert_eq!(parted(bars, usual_phrase(bars)), phrases, "{bars} bars");
        }
        assert_eq!(parted(9, 4), [4, 5]);
        assert_eq!(parted(3, 1), [1, 1, 1]);
    }
}
