//! What only the whole drill shows: how long it is, whether its rhythms can be written, and
//! whether its fingers can be kept.

use std::ops::Range;

use crate::drill::language::figure::Sounding;
use crate::drill::language::harmony;
use crate::drill::language::judge::form;
use crate::drill::language::judge::places::Places;
use crate::drill::line::HandLine;
use crate::drill::sketch::DrillSketch;
use crate::drill::struck::StruckSound;
use crate::drill::template::Template;
use crate::fingering::{FINGERS, HandSize, HandSpans};
use crate::score::{ByHand, Hand, Ticks, can_be_written};
use crate::source::fields::Mistakes;
use crate::theory::Pitch;

/// Bars of the longest drill: of a tune of 64, on as many pages as it needs (ours).
pub(crate) const MOST_BARS: Ticks = 64;

/// Judges the whole drill, whose passages stand at `places` and whose text begins at `start`.
pub(super) fn whole(
    template: &Template,
    places: &[Places],
    start: usize,
    mistakes: &mut Mistakes<'_>,
) {
    let bars = template.length() / template.metre.bar();
    if bars > MOST_BARS {
        let at = places.last().map_or(start..start, |places| places.whole.clone());
        let problem = format!("the drill is {bars} bars long, the longest has {MOST_BARS}");
        mistakes.add(at, problem, "split it into two drills");
        return;
    }
    let forms: Vec<_> = places.iter().map(|places| &places.form).collect();
    form::together(template, &forms, mistakes);
    ties(template, places, mistakes);
    if !mistakes.is_empty() {
        return;
    }
    let sketch = DrillSketch::of(template);
    for (hand, sounds) in sketch.lines.as_ref().with_hands() {
        judge_hand(template, places, hand, sounds, mistakes);
    }
    if sketch.lines.iter().all(Vec::is_empty) {
        let problem = "no hand ever plays";
        mistakes.add(start..start, problem, "write tones in a `figure`");
    }
}

/// Whether every step that goes on has something before it to go on from.
fn ties(template: &Template, places: &[Places], mistakes: &mut Mistakes<'_>) {
    let mut sounds = ByHand { right: false, left: false };
    for (passage, places) in template.passages.iter().zip(places) {
        let hand = if passage.is_swapped { Hand::Left } else { Hand::Right };
        let line = passage.comping.figures();
        let both =
            [(hand, &*passage.figures, &places.figures), (hand.other(), line, &places.lines)];
        for (hand, figures, places) in both {
            if figures.is_empty() {
                // A composed line and strokes of comping sound, or not, up to the next passage.
                sounds[hand] = false;
                continue;
            }
            for index in 0..passage.degrees.len() {
                let turn = index % figures.len();
                for (.., step) in figures[turn].over(passage.chord_length(index)) {
                    if step.sounding == Sounding::Tied && !sounds[hand] {
                        let problem = "`tied` has nothing before it to go on from";
                        let mend = "write a tone in its place, or one before it";
                        mistakes.add(places[turn].clone(), problem, mend);
                        return;
                    }
                    sounds[hand] = step.sounding != Sounding::Rest;
                }
            }
        }
    }
}

/// Whether what a hand plays can be written, and fingered as the teacher wants it.
fn judge_hand(
    template: &Template,
    places: &[Places],
    hand: Hand,
    sounds: &[StruckSound],
    mistakes: &mut Mistakes<'_>,
) {
    let bar_of = |moment: Ticks| moment / template.metre.bar() + 1;
    let moments: Vec<Ticks> = sounds.iter().flat_map(|sound| [sound.at, sound.end]).collect();
    if let Err(moment) = can_be_written(template.metre, &moments) {
        let sound = sounds.iter().rev().find(|sound| sound.at <= moment);
        let at = sound.map_or(0..0, |sound| written_at(template, places, hand, sound).rhythm);
        let bar = bar_of(moment);
        let problem = format!("bar {bar} of the drill has a beat that cannot be written down");
        let mend = "let each beat of a hand be all triplets, or all eighths and sixteenths";
        mistakes.add(at, problem, mend);
        return;
    }
    if are_free(sounds) {
        return;
    }
    let middle = Pitch::new(harmony::scale(template.mode).tonic, 4);
    // Fingers do not depend on clefs.
    let line = HandLine::new(hand, template.metre, middle, sounds, &[], &[]);
    let settings = HandSpans { size: HandSize::Large, ..HandSpans::default() };
    if let Err(error) = line.solve(settings) {
        let sound = sounds.get(error.index());
        let at = sound.map_or(0..0, |sound| written_at(template, places, hand, sound).tones);
        let bar = bar_of(sound.map_or(0, |sound| sound.at));
        let problem = format!("bar {bar} of the drill has fingers that cannot be kept");
        let mend = "within a chord fingers rise in the right hand and fall in the left, and a \
                    held note keeps its finger; leave some out, and the rest is found";
        mistakes.add(at, problem, mend);
    }
}

/// Whether sounds have fingers whatever they are: where none is given, no key is still down when the
/// next is struck, and none sounds more notes than a hand has fingers.
fn are_free(sounds: &[StruckSound]) -> bool {
    let is_given = |sound: &StruckSound| sound.fixed.iter().any(Option::is_some);
    let fits = |sound: &StruckSound| !is_given(sound) && sound.intervals.len() <= FINGERS;
    sounds.iter().all(fits) && sounds.windows(2).all(|pair| pair[0].end <= pair[1].at)
}

/// Where a sound is written: its tones, and when they are struck.
struct WrittenAt {
    tones: Range<usize>,
    rhythm: Range<usize>,
}

fn written_at(
    template: &Template,
    places: &[Places],
    hand: Hand,
    sound: &StruckSound,
) -> WrittenAt {
    let mut chord = sound.chord;
    for (passage, places) in template.passages.iter().zip(places) {
        if chord >= passage.degrees.len() {
            chord -= passage.degrees.len();
            continue;
        }
        let plays_figure = (hand == Hand::Right) != passage.is_swapped;
        let turn = |spans: &[Range<usize>]| spans[chord % spans.len()].clone();
        return if plays_figure {
            WrittenAt { tones: turn(&places.figures), rhythm: turn(&places.figures) }
        } else if !places.lines.is_empty() {
            WrittenAt { tones: turn(&places.lines), rhythm: turn(&places.lines) }
        } else {
            WrittenAt { tones: turn(&places.voicings), rhythm: places.comping.clone() }
        };
    }
    WrittenAt { tones: 0..0, rhythm: 0..0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::library;

    /// What is passed over without choosing fingers has some, in any size of hand.
    #[test]
    fn lines_that_are_free_have_fingers() {
        let mut free = 0;
        for (name, text) in library::all() {
            let template = Template::parse(text, name).unwrap();
            let sketch = DrillSketch::of(&template);
            for (hand, sounds) in sketch.lines.as_ref().with_hands() {
                if !are_free(sounds) {
                    continue;
                }
                free += 1;
                let middle = Pitch::new(harmony::scale(template.mode).tonic, 4);
                let line = HandLine::new(hand, template.metre, middle, sounds, &[], &[]);
                for size in HandSize::ALL {
                    let settings = HandSpans { size, ..HandSpans::default() };
                    assert!(line.solve(settings).is_ok(), "{name}, {hand:?}, {size:?}");
                }
            }
        }
        assert!(free > 40, "only {free} lines are free");
    }
}
