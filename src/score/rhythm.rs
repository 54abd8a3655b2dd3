//! Rhythm as written: one sound split into tied values so that the middle of the bar shows.

use std::collections::BTreeMap;

use super::metre::{Metre, QUARTER, Ticks};
use super::model::NoteValue;

/// A written value at its moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    /// When it begins.
    pub at: Ticks,
    /// Its written length.
    pub value: NoteValue,
}

const EIGHTH: Ticks = QUARTER / 2;
const SIXTEENTH: Ticks = QUARTER / 4;
const TRIPLET: Ticks = QUARTER / 3;

/// Whether one hand's line can be written down, given the moments at which its sounds begin and
/// end, in any order.
///
/// Every beat is cut into sixteenths or, in metres of quarters, into a triplet of eighths; never
/// into both at once. Moments before the first barline are negative.
///
/// # Errors
///
/// The first moment, in the order given, that lies on neither grid, or not on the one that the
/// moments before it put its beat on.
pub fn can_be_written(metre: Metre, moments: &[Ticks]) -> Result<(), Ticks> {
    let mut is_triplet: BTreeMap<Ticks, bool> = BTreeMap::new();
    for moment in moments {
        let beat = metre.beat_of(*moment);
        let within = moment - beat;
        if within == 0 {
            continue;
        }
        let triplet = !metre.is_compound() && within % TRIPLET == 0;
        if !triplet && within % SIXTEENTH != 0 {
            return Err(*moment);
        }
        if *is_triplet.entry(beat).or_insert(triplet) != triplet {
            return Err(*moment);
        }
    }
    Ok(())
}

/// The tied values that a sound from `start` to `end` is written as.
///
/// A sound is cut at barlines and at imaginary ones; only one that begins on the bar's first
/// beat may cover beat 3 of four, or fill six eighths (common practice, engraving handbooks;
/// Berklee's imaginary barlines). Off the beat nothing is longer than a dotted quarter, and
/// sixteenths and triplets keep to their beat (common practice, no source).
///
/// # Panics
///
/// Where [`can_be_written`] would refuse the two moments.
pub fn spell_sound(metre: Metre, start: Ticks, end: Ticks) -> Vec<Span> {
    fill(start, end, |at| {
        let reach = sound_reach(metre, at, end);
        let fits = |value: &NoteValue| value.ticks() <= reach;
        NoteValue::ALL
            .into_iter()
            .rev()
            .find(fits)
            .unwrap_or_else(|| panic!("no value is as short as {start} to {end} asks for"))
    })
}

/// How far a value of a sound that goes on to `end` may reach from `at`.
fn sound_reach(metre: Metre, at: Ticks, end: Ticks) -> Ticks {
    let in_bar = at.rem_euclid(metre.bar());
    let upto_bar = end.min(at - in_bar + metre.bar()) - at;
    let may_cover = match metre {
        Metre::FourFour => upto_bar == 3 * QUARTER || upto_bar == 4 * QUARTER,
        Metre::SixEight => upto_bar == metre.bar(),
        Metre::ThreeFour | Metre::FiveFour => false,
    };
    if in_bar == 0 && may_cover {
        return upto_bar;
    }
    let (_, group_end) = metre.group_of(in_bar);
    let mut reach = upto_bar.min(group_end - in_bar);
    // What is finer than eighths must show the pulse that it divides.
    let pulse = if metre.is_compound() { metre.count_unit() } else { metre.felt_beat() };
    let after_pulse = at.rem_euclid(pulse);
    let is_fine = |moment: Ticks| moment.rem_euclid(EIGHTH) != 0;
    if is_fine(at) && !(metre.is_compound() && reach <= EIGHTH) {
        reach = reach.min(pulse - after_pulse);
    }
    let dotted = after_pulse == 0 && reach == NoteValue::DottedEighth.ticks();
    if is_fine(at + reach) && !(is_fine(at) || dotted) {
        let to_pulse = reach - (at + reach).rem_euclid(pulse);
        reach = if to_pulse > 0 { to_pulse } else { reach };
    }
    let on_beat = in_bar.rem_euclid(metre.felt_beat()) == 0;
    if on_beat { reach } else { reach.min(NoteValue::DottedQuarter.ticks()) }
}

/// The rests that fill a silence from `start` to `end`: a whole bar takes one; none crosses an
/// imaginary barline, none is syncopated, one for each beat where no longer one fits; only six
/// eighths have dotted ones (common practice, no source).
///
/// # Panics
///
/// Where [`can_be_written`] would refuse the two moments.
pub fn spell_rests(metre: Metre, start: Ticks, end: Ticks) -> Vec<Span> {
    fill(start, end, |at| {
        let in_bar = at.rem_euclid(metre.bar());
        let left = end - at;
        if in_bar == 0 && left >= metre.bar() {
            return NoteValue::WholeBar(metre);
        }
        let (group_start, group_end) = metre.group_of(in_bar);
        if in_bar == group_start && left >= group_end - group_start {
            return if metre.is_compound() { NoteValue::DottedQuarter } else { NoteValue::Half };
        }
        let beat = metre.felt_beat();
        let in_beat = in_bar.rem_euclid(beat);
        rest_in_beat(metre, in_beat, left.min(beat - in_beat))
    })
}

/// The rest that begins so far into a felt beat, with room for so much.
fn rest_in_beat(metre: Metre, in_beat: Ticks, room: Ticks) -> NoteValue {
    let is_third = |moment: Ticks| moment % TRIPLET == 0 && moment % QUARTER != 0;
    if !metre.is_compound() && (is_third(in_beat) || is_third(in_beat + room)) {
        return if in_beat == 0 && room > TRIPLET {
            NoteValue::TripletQuarter
        } else {
            NoteValue::TripletEighth
        };
    }
    if in_beat == 0 && room >= QUARTER {
        NoteValue::Quarter
    } else if in_beat % EIGHTH == 0 && room >= EIGHTH {
        NoteValue::Eighth
    } else {
        NoteValue::Sixteenth
    }
}

/// Fills a stretch with values, each the one that begins at its moment.
fn fill(start: Ticks, end: Ticks, value: impl Fn(Ticks) -> NoteValue) -> Vec<Span> {
    let mut spans = Vec::new();
    let mut at = start;
    while at < end {
        let value = value(at);
        spans.push(Span { at, value });
        at += value.ticks();
    }
    spans
}

#[cfg(test)]
mod tests {
    use super::NoteValue::{
        DottedEighth, DottedHalf, DottedQuarter, Eighth, Half, Quarter, Sixteenth, TripletEighth,
        TripletQuarter, Whole, WholeBar,
    };
    use super::*;

    fn sound(metre: Metre, start: Ticks, end: Ticks) -> Vec<NoteValue> {
        spell_sound(metre, start, end).into_iter().map(|span| span.value).collect()
    }

    fn rests(metre: Metre, start: Ticks, end: Ticks) -> Vec<NoteValue> {
        spell_rests(metre, start, end).into_iter().map(|span| span.value).collect()
    }

    #[test]
    fn a_push_into_beat_three_or_over_the_barline_is_an_eighth_tied_over() {
        let four = Metre::FourFour;
        assert_eq!(sound(four, 3 * EIGHTH, 7 * EIGHTH), [Eighth, DottedQuarter]);
        assert_eq!(sound(four, 7 * EIGHTH, 11 * EIGHTH), [Eighth, DottedQuarter]);
    }

    #[test]
    fn only_a_sound_from_the_first_beat_may_hide_the_middle_of_the_bar() {
        for metre in Metre::ALL {
            for (start, end) in stretches(metre, EIGHTH) {
                for span in spell_sound(metre, start, end) {
                    let from = span.at.rem_euclid(metre.bar());
                    let to = from + span.value.ticks();
                    assert!(to <= metre.bar(), "{metre} {start}..{end} crosses a barline");
                    let hides = metre.divisions().iter().any(|at| from < *at && *at < to);
                    let may = from == 0 && matches!(metre, Metre::FourFour | Metre::SixEight);
                    assert!(may || !hides, "{metre} {start}..{end} hides the middle");
                }
            }
        }
    }

    #[test]
    fn a_bar_that_sounds_is_one_note_but_for_five() {
        assert_eq!(sound(Metre::ThreeFour, 0, 144), [DottedHalf]);
        assert_eq!(sound(Metre::FourFour, 0, 192), [Whole]);
        assert_eq!(sound(Metre::SixEight, 0, 144), [DottedHalf]);
        assert_eq!(sound(Metre::FiveFour, 0, 240), [DottedHalf, Half]);
    }

    #[test]
    fn six_eighths_show_their_middle_and_three_quarters_their_beats() {
        assert_eq!(sound(Metre::SixEight, 0, 96), [DottedQuarter, Eighth]);
        assert_eq!(sound(Metre::SixEight, EIGHTH, 96), [Quarter, Eighth]);
        assert_eq!(sound(Metre::ThreeFour, EIGHTH, 144), [DottedQuarter, Quarter]);
        assert_eq!(sound(Metre::ThreeFour, EIGHTH, 120), [DottedQuarter, Eighth]);
        assert_eq!(sound(Metre::ThreeFour, 72, 144), [DottedQuarter]);
        assert_eq!(sound(Metre::ThreeFour, 0, 96), [Half]);
    }

    #[test]
    fn sixteenths_keep_to_their_beat() {
        let four = Metre::FourFour;
        assert_eq!(sound(four, 0, 36), [DottedEighth]);
        assert_eq!(sound(four, 12, 36), [Eighth]);
        assert_eq!(sound(four, 12, 72), [DottedEighth, Eighth]);
        assert_eq!(sound(four, 24, 60), [Eighth, Sixteenth]);
        assert_eq!(sound(four, 24, 84), [Eighth, DottedEighth]);
        assert_eq!(sound(four, 0, 60), [Quarter, Sixteenth]);
        assert_eq!(sound(four, 36, 96), [Sixteenth, Quarter]);
        assert_eq!(sound(Metre::SixEight, 12, 72), [Sixteenth, Quarter]);
        assert_eq!(sound(Metre::SixEight, 12, 36), [Eighth]);
        assert_eq!(sound(Metre::SixEight, 24, 60), [DottedEighth]);
        assert_eq!(sound(Metre::SixEight, 0, 60), [Quarter, Sixteenth]);
    }

    #[test]
    fn triplets_keep_to_their_beat_and_are_tied_into_others() {
        let four = Metre::FourFour;
        assert_eq!(sound(four, 0, 16), [TripletEighth]);
        assert_eq!(sound(four, 0, 32), [TripletQuarter]);
        assert_eq!(sound(four, 16, 48), [TripletQuarter]);
        assert_eq!(sound(four, 32, 96), [TripletEighth, Quarter]);
        assert_eq!(sound(four, 32, 112), [TripletEighth, Quarter, TripletEighth]);
        assert_eq!(sound(four, 24, 64), [Eighth, TripletEighth]);
        assert_eq!(sound(four, 0, 128), [Half, TripletQuarter]);
    }

    #[test]
    fn rests_neither_hide_beats_nor_dot_them() {
        let four = Metre::FourFour;
        assert_eq!(rests(four, EIGHTH, 3 * EIGHTH), [Eighth, Eighth]);
        assert_eq!(rests(four, 0, 384), [WholeBar(four), WholeBar(four)]);
        assert_eq!(rests(four, 0, 36), [Eighth, Sixteenth]);
        assert_eq!(rests(four, 12, 48), [Sixteenth, Eighth]);
        assert_eq!(rests(four, 0, 32), [TripletQuarter]);
        assert_eq!(rests(four, 16, 96), [TripletEighth, TripletEighth, Quarter]);
        assert_eq!(rests(Metre::FiveFour, 0, 144), [Half, Quarter]);
        assert_eq!(rests(Metre::FiveFour, 144, 240), [Half]);
        assert_eq!(rests(Metre::ThreeFour, 48, 144), [Quarter, Quarter]);
        assert_eq!(rests(Metre::SixEight, 0, 72), [DottedQuarter]);
        assert_eq!(rests(Metre::SixEight, 0, 48), [Quarter]);
        assert_eq!(rests(Metre::SixEight, 24, 72), [Eighth, Eighth]);
    }

    /// Every stretch that begins in the first of three bars, on a grid.
    fn stretches(metre: Metre, grid: Ticks) -> impl Iterator<Item = (Ticks, Ticks)> {
        let last = 3 * metre.bar() / grid;
        (0..metre.bar() / grid)
            .flat_map(move |start| (start + 1..=last).map(move |end| (start * grid, end * grid)))
    }

    /// Whatever can be written is filled exactly, and no beat holds both sixteenths or eighths
    /// and triplets.
    #[test]
    fn sounds_and_rests_fill_their_stretch_exactly() {
        let mut filled = 0;
        for metre in Metre::ALL {
            for (start, end) in stretches(metre, 4) {
                if can_be_written(metre, &[start, end]).is_err() {
                    continue;
                }
                for spell in [spell_sound, spell_rests] {
                    let spans = spell(metre, start, end);
                    let mut moments = Vec::new();
                    let mut at = start;
                    for span in spans {
                        assert_eq!(span.at, at, "{metre} {start}..{end}");
                        at += span.value.ticks();
                        moments.extend([span.at, at]);
                        let third = metre.beat_of(span.at);
                        let triplet = span.value.is_triplet();
                        assert!(!triplet || at - third <= QUARTER, "{metre} {start}..{end}");
                    }
                    assert_eq!(at, end, "{metre} {start}..{end}");
                    assert_eq!(can_be_written(metre, &moments), Ok(()), "{metre} {start}..{end}");
                    filled += 1;
                }
            }
        }
        assert!(filled > 9_000, "only {filled}");
    }

    #[test]
    fn a_beat_of_sixteenths_and_triplets_cannot_be_written() {
        assert_eq!(can_be_written(Metre::FourFour, &[0, 16, 32, 48, 72, 84]), Ok(()));
        assert_eq!(can_be_written(Metre::FourFour, &[0, 16, 24]), Err(24));
        assert_eq!(can_be_written(Metre::FourFour, &[12, 32]), Err(32));
        assert_eq!(can_be_written(Metre::FourFour, &[-24, 0, 16]), Ok(()));
        assert_eq!(can_be_written(Metre::FourFour, &[-32, -24]), Err(-24));
        assert_eq!(can_be_written(Metre::FourFour, &[5]), Err(5));
        assert_eq!(can_be_written(Metre::SixEight, &[16]), Err(16));
        assert_eq!(can_be_written(Metre::SixEight, &[12, 24, 36, 48, 60, 72]), Ok(()));
    }
}
