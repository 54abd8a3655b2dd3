//! Whether what a passage says goes together: lengths, entries, voicings, hands, strokes.

use std::ops::Range;

use toml::Spanned;

use super::places::Places;
use crate::drill::language::comping::Comping;
use crate::drill::language::figure::{Figure, Sounding, place, span};
use crate::drill::template::{Entry, Passage};
use crate::score::{Metre, Ticks};
use crate::source::fields::Mistakes;

/// The widest that the largest hand stretches from thumb to little finger, in semitones.
///
/// Source: Balliauw et al. 2017 (MaxPrac of fingers 1 and 5, large hand), at second hand.
const WIDEST_HAND: i32 = 18;

/// A figure, where it stands, and how it is written.
pub(super) struct WrittenFigure<'a> {
    pub(super) figure: Figure,
    pub(super) at: Range<usize>,
    words: &'a str,
    /// Whether it ends with its chord, however long that is.
    yields: bool,
}

impl<'a> WrittenFigure<'a> {
    /// Reads a figure whose steps without a value of their own last `usual`.
    pub(super) fn read(
        text: &Spanned<&'a str>,
        usual: Ticks,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<Self> {
        let figure = Figure::parse(text.get_ref(), &text.span(), usual, mistakes)?;
        Some(Self { figure, at: text.span(), words: text.get_ref(), yields: false })
    }

    /// Reads a figure that the trade has a name for, which stands at `at`.
    pub(super) fn named(
        steps: &'a str,
        at: Range<usize>,
        usual: Ticks,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<Self> {
        let written = Self::read(&Spanned::new(at, steps), usual, mistakes)?;
        Some(Self { yields: true, ..written })
    }
}

/// Whether the figures of either hand last as long as their chords, or come out even.
pub(super) fn lengths(
    passage: &Passage,
    figures: &[WrittenFigure<'_>],
    lines: &[WrittenFigure<'_>],
    metre: Metre,
    mistakes: &mut Mistakes<'_>,
) {
    for turns in [figures, lines].into_iter().filter(|turns| !turns.is_empty()) {
        let own = turns.iter().enumerate().filter(|(_, written)| !written.yields);
        for (turn, written) in own {
            let own = (turn..passage.degrees.len()).step_by(turns.len());
            let played = written.figure.length();
            let uneven = own.map(|index| passage.chord_length(index)).find(|it| it % played != 0);
            if let Some(chord) = uneven {
                uneven_length(written, turns.len(), chord, metre, mistakes);
            }
        }
    }
}

/// Says that a figure, one of `several`, does not last as long as its chord.
fn uneven_length(
    written: &WrittenFigure<'_>,
    several: usize,
    chord: Ticks,
    metre: Metre,
    mistakes: &mut Mistakes<'_>,
) {
    let beat = f64::from(metre.count_unit());
    let [played, chord] = [written.figure.length(), chord].map(|length| f64::from(length) / beat);
    let round = |beats: f64| (beats * 100.0).round() / 100.0;
    let than = if played > chord { "longer" } else { "shorter" };
    let which = if several > 1 { format!(" `{}`", written.words.trim()) } else { String::new() };
    let problem = format!(
        "the figure{which} is {than} than its chord: {} beats, not {}",
        round(played),
        round(chord)
    );
    let mend = "add steps or rests or leave some out, or change `beats` or `note`";
    mistakes.add(written.at.clone(), problem, mend);
}

/// Whether the chords of a passage, written at `at`, fill whole bars.
pub(super) fn fills_bars(
    passage: &Passage,
    metre: Metre,
    at: Range<usize>,
    mistakes: &mut Mistakes<'_>,
) -> bool {
    let fills = passage.length() % metre.bar() == 0;
    if !fills {
        let chords = passage.degrees.len();
        let problem = match passage.lengths.as_slice() {
            [each] => {
                let beats = each / metre.count_unit();
                format!("{chords} chords of {beats} beats do not fill whole bars of {metre}")
            }
            _ => {
                let beats = passage.length() / metre.count_unit();
                format!("{chords} chords of {beats} beats together do not fill bars of {metre}")
            }
        };
        mistakes.add(at, problem, "add or leave out chords, or change `beats`");
    }
    fills
}

/// Whether a passage may enter as it says.
pub(super) fn entry(
    passage: &Passage,
    index: usize,
    entry: Option<Range<usize>>,
    places: &Places,
    mistakes: &mut Mistakes<'_>,
) {
    let at = entry.clone().unwrap_or_else(|| places.comping.clone());
    let is_once_each = matches!(passage.comping, Comping::OnBeat | Comping::Push);
    if !is_once_each && entry.is_some() && passage.entry != Entry::Held {
        let problem = "an entry of its own goes with comping on the beat or pushed";
        mistakes.add(at, problem, "leave `entry` out, and write the first stroke in `comping`");
        return;
    }
    if index == 0 && passage.entry == Entry::Push {
        let problem = "the first passage has nothing before it to push out of";
        mistakes.add(at, problem, "write entry = \"short\" or entry = \"held\"");
    }
}

/// Whether voices can be led through the voicings, and a hand can hold them.
pub(super) fn voicings(passage: &Passage, places: &Places, mistakes: &mut Mistakes<'_>) {
    if passage.leads_voices
        && let Some(voicing) = passage.voicings.iter().position(|voicing| !voicing.can_be_led())
    {
        let problem = "voices cannot be led through a voicing that has no other form";
        let mend = "write close, shell-7, guide-tones, rootless-a or drop-2, or leave \
                    `voice-leading` out";
        mistakes.add(places.voicings[voicing].clone(), problem, mend);
    }
    for (index, degree) in passage.degrees.iter().enumerate() {
        let Some(chord) = degree.chord(passage.home) else { continue };
        let laid = passage.voicing(index).lay(&chord);
        let place = index % passage.voicings.len();
        if let Err(unnamed) = chord.kind.sounded(&laid.above(chord.root))
            && passage.strikes_chords()
        {
            let problem = format!("chord {} has no symbol for this voicing: {unnamed}", index + 1);
            let mend = "leave the tone out, or write the kind of the chord that has it, as in V7b9";
            mistakes.add(places.voicings[place].clone(), problem, mend);
            return;
        }
        let widest = laid.widest();
        if widest > WIDEST_HAND {
            let problem = format!("the voicing spans {widest} semitones, which no hand can hold");
            let mend = format!("keep within {WIDEST_HAND}, or leave a note to the other hand");
            mistakes.add(places.voicings[place].clone(), problem, mend);
            return;
        }
    }
}

/// Whether figure and voicing agree on what each hand plays, and a hand can play it.
pub(super) fn hands(
    passage: &Passage,
    figures: &[WrittenFigure<'_>],
    places: &Places,
    mistakes: &mut Mistakes<'_>,
) {
    let two_handed = passage.voicings.iter().filter(|voicing| voicing.is_two_handed()).count();
    let plays_upper =
        |figure: &Figure| figure.steps.iter().any(|step| step.sounding == Sounding::Upper);
    let with_upper = figures.iter().find(|written| plays_upper(&written.figure));
    let without_upper = figures.iter().find(|written| !plays_upper(&written.figure));
    if let Some(figure) = without_upper.filter(|_| two_handed > 0) {
        let problem = "the voicing lies in two hands, but the figure does not play its upper notes";
        let mend = "write `upper` in the figure, as in figure = \"upper\" with note = \"half\"";
        mistakes.add(figure.at.clone(), problem, mend);
    } else if let Some(figure) = with_upper.filter(|_| two_handed < passage.voicings.len()) {
        let problem = "`upper` needs a voicing that lies in two hands";
        mistakes.add(figure.at.clone(), problem, "write voicing = \"drop-2\"");
    }
    if two_handed > 0 && passage.is_swapped {
        let problem = "a voicing in two hands cannot be swapped between them";
        mistakes.add(places.whole.clone(), problem, "leave `hands` out");
    }
    for (index, degree) in passage.degrees.iter().enumerate() {
        let Some(chord) = degree.chord(passage.home) else { continue };
        let Some(WrittenFigure { figure, at, .. }) = figures.get(index % figures.len().max(1))
        else {
            return;
        };
        let widest = figure.steps.iter().map(|step| match &step.sounding {
            Sounding::Tones(tones) => span(&place(tones, &chord, passage.scale(index))),
            Sounding::Rest | Sounding::Upper | Sounding::Chord | Sounding::Tied => 0,
        });
        let widest = widest.max().unwrap_or(0);
        if widest > WIDEST_HAND {
            let problem = format!("a step spans {widest} semitones, which no hand can hold");
            mistakes.add(at.clone(), problem, format!("keep within {WIDEST_HAND}"));
            return;
        }
    }
}

/// Whether every chord is struck.
pub(super) fn strokes(
    passage: &Passage,
    metre: Metre,
    places: &Places,
    mistakes: &mut Mistakes<'_>,
) {
    let Comping::Strokes(bars) = &passage.comping else { return };
    let mut struck = vec![false; passage.degrees.len()];
    for (_, chord, _) in passage.strokes(bars, metre) {
        if let Some(struck) = struck.get_mut(chord) {
            *struck = true;
        }
    }
    if let Some(silent) = struck.iter().position(|struck| !struck) {
        let problem = format!("chord {} of the passage gets no stroke", silent + 1);
        let mend = "strike at least once in each chord, or make the chords longer";
        mistakes.add(places.comping.clone(), problem, mend);
    }
}

/// Whether lines that are composed have beats of quarters to go by.
pub(super) fn composed(
    passage: &Passage,
    metre: Metre,
    places: &Places,
    mistakes: &mut Mistakes<'_>,
) {
    if !metre.is_compound() {
        return;
    }
    if passage.comping == Comping::Walking {
        let problem = format!("a bass walks in quarters, which are no beats of {metre}");
        let mend = "write the line of the left hand, as in left = \"1 5 8\"";
        mistakes.add(places.comping.clone(), problem, mend);
    }
    if passage.line.is_some() {
        let problem = format!("a composed line goes by quarters, which are no beats of {metre}");
        let mend = "write the steps of the figure, as in figure = \"1 3 5\"";
        mistakes.add(places.figures[0].clone(), problem, mend);
    }
}
