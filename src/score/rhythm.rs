//! Rhythm as written: one sound split into tied values so that the middle of the bar shows.

use std::collections::{BTreeMap, BTreeSet};

use smallvec::SmallVec;

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

/// The written values of one sound or silence: seldom more than a few.
pub type WrittenSpans = SmallVec<[Span; 4]>;

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

/// How one hand's line is spelled, given all moments at which its sounds begin and end.
///
/// Two beats that are cut into three equal parts, and into nothing else, take a triplet of quarters
/// under one bracket. They lie between imaginary barlines, so that no bracket hides the middle of
/// the bar (common practice, no source); what is within them is written in their thirds, everything
/// else as [`spell_sound`] and [`spell_rests`] say.
#[derive(Clone, Debug)]
pub struct Rhythm {
    metre: Metre,
    /// Where such a triplet begins.
    wide: Vec<Ticks>,
}

/// The length of a triplet of quarters.
const WIDE: Ticks = 2 * QUARTER;

impl Rhythm {
    /// The spelling of a line with these moments, in any order.
    pub fn of(metre: Metre, moments: &[Ticks]) -> Self {
        let moments: BTreeSet<Ticks> = moments.iter().copied().collect();
        let is_wide = |start: &Ticks| {
            let within = moments.range(start + 1..start + WIDE);
            let in_bar = start.rem_euclid(metre.bar());
            let (_, part_end) = metre.group_of(in_bar);
            !metre.is_compound()
                && in_bar + WIDE <= part_end
                && within.copied().eq([start + WIDE / 3, start + 2 * WIDE / 3])
        };
        // The first third of each is a moment, so beats are tried where there are some.
        let beats = moments.iter().map(|moment| metre.beat_of(*moment));
        let mut wide: Vec<Ticks> = beats.filter(is_wide).collect();
        wide.dedup();
        Self { metre, wide }
    }

    /// The tied values of a sound of the line.
    ///
    /// # Panics
    ///
    /// Where [`can_be_written`] would refuse the two moments.
    pub fn sound(&self, start: Ticks, end: Ticks) -> WrittenSpans {
        self.spelled(start, end, spell_sound)
    }

    /// The rests of a silence of the line.
    ///
    /// # Panics
    ///
    /// Where [`can_be_written`] would refuse the two moments.
    pub fn rests(&self, start: Ticks, end: Ticks) -> WrittenSpans {
        self.spelled(start, end, spell_rests)
    }

    fn spelled(
        &self,
        start: Ticks,
        end: Ticks,
        plain: impl Fn(Metre, Ticks, Ticks) -> WrittenSpans,
    ) -> WrittenSpans {
        if self.wide.is_empty() {
            return plain(self.metre, start, end);
        }
        let mut spans = WrittenSpans::new();
        let mut at = start;
        for wide in self.wide.iter().filter(|wide| start < **wide + WIDE && **wide < end) {
            spans.extend(plain(self.metre, at, at.max(*wide)));
            let thirds = (0..3).map(|third| wide + third * WIDE / 3);
            let own = thirds.filter(|third| (start..end).contains(third));
            spans.extend(own.map(|at| Span { at, value: NoteValue::TripletQuarter }));
            at = end.min(wide + WIDE);
        }
        spans.extend(plain(self.metre, at, end));
        spans
    }
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
pub fn spell_sound(metre: Metre, start: Ticks, end: Ticks) -> WrittenSpans {
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
pub fn spell_rests(metre: Metre, start: Ticks, end: Ticks) -> WrittenSpans {
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
fn fill(start: Ticks, end: Ticks, value: impl Fn(Ticks) -> NoteValue) -> WrittenSpans {
    let mut spans = WrittenSpans::new();
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

    /// A line of sounds and rests of so many ticks, rests negative, from a moment on.
    fn line(metre: Metre, start: Ticks, lengths: &[Ticks]) -> Vec<Vec<NoteValue>> {
        let mut at = start;
        let mut stretches = Vec::new();
        for length in lengths {
            stretches.push((at, at + length.abs(), *length < 0));
            at += length.abs();
        }
        let moments: Vec<Ticks> = stretches.iter().flat_map(|it| [it.0, it.1]).collect();
        let rhythm = Rhythm::of(metre, &moments);
        let values = |(start, end, rests): (Ticks, Ticks, bool)| {
            let spans = if rests { rhythm.rests(start, end) } else { rhythm.sound(start, end) };
            spans.into_iter().map(|span| span.value).collect()
        };
        stretches.into_iter().map(values).collect()
    }

    #[test]
    fn three_equal_notes_over_two_beats_are_quarters_of_one_triplet() {
        let third = vec![TripletQuarter];
        let three = || vec![third.clone(); 3];
        let with = |before: &[NoteValue], after: &[NoteValue]| {
            let ends =
                [before, after].map(|end| if end.is_empty() { None } else { Some(end.to_vec()) });
            let [before, after] = ends;
            before.into_iter().chain(three()).chain(after).collect::<Vec<_>>()
        };
        let four = Metre::FourFour;
        assert_eq!(line(four, 0, &[32, 32, 32, 96]), with(&[], &[Half]));
        assert_eq!(line(four, 0, &[96, 32, -32, 32]), with(&[Half], &[]));
        assert_eq!(line(Metre::ThreeFour, 0, &[48, 32, 32, 32]), with(&[Quarter], &[]));
        assert_eq!(line(Metre::ThreeFour, 0, &[32, 32, 32, 48]), with(&[], &[Quarter]));
        assert_eq!(line(Metre::FiveFour, 0, &[144, 32, 32, 32]), with(&[DottedHalf], &[]));
        let tied = [vec![TripletQuarter], vec![TripletQuarter], vec![TripletQuarter, Half]];
        assert_eq!(line(four, 0, &[32, 32, 128]), tied);
        let tied = [vec![Half, TripletQuarter], vec![TripletQuarter], vec![TripletQuarter]];
        assert_eq!(line(four, 0, &[128, 32, 32]), tied);
    }

    /// Over beats 2 and 3 of four the bracket would hide the middle; with a note on the beat
    /// between, each beat has its own triplet.
    #[test]
    fn two_beats_have_their_own_triplets_where_one_would_hide_the_middle_or_a_beat_is_struck() {
        let four = Metre::FourFour;
        let split = [
            vec![Quarter],
            vec![TripletQuarter],
            vec![TripletEighth, TripletEighth],
            vec![TripletQuarter],
            vec![Quarter],
        ];
        assert_eq!(line(four, 0, &[48, 32, 32, 32, 48]), split);
        let struck =
            [vec![TripletQuarter], vec![TripletEighth], vec![TripletEighth], vec![TripletQuarter]];
        assert_eq!(line(four, 0, &[32, 16, 16, 32]), struck);
        let held = [vec![TripletQuarter], vec![TripletEighth, Quarter]];
        assert_eq!(line(four, 0, &[32, 64]), held);
    }

    /// Over a whole domain of lines: what is spelled fills each stretch, and no triplet of quarters
    /// crosses an imaginary barline.
    #[test]
    fn lines_of_thirds_are_filled_exactly() {
        let mut wide = 0;
        for metre in Metre::ALL.into_iter().filter(|metre| !metre.is_compound()) {
            let thirds = metre.bar() / TRIPLET;
            for cuts in 0..1_u32 << thirds.min(15) {
                let inner = (1..thirds).filter(|third| cuts >> (third - 1) & 1 == 1);
                let moments: Vec<Ticks> = std::iter::once(0)
                    .chain(inner)
                    .chain([thirds])
                    .map(|at| at * TRIPLET)
                    .collect();
                let rhythm = Rhythm::of(metre, &moments);
                wide += rhythm.wide.len();
                for start in &rhythm.wide {
                    let (from, to) = metre.group_of(*start);
                    assert!(from <= *start && start + WIDE <= to, "{metre}: {moments:?}");
                }
                for pair in moments.windows(2) {
                    for spans in [rhythm.sound(pair[0], pair[1]), rhythm.rests(pair[0], pair[1])] {
                        let mut at = pair[0];
                        for span in spans {
                            assert_eq!(span.at, at, "{metre}: {moments:?}");
                            at += span.value.ticks();
                        }
                        assert_eq!(at, pair[1], "{metre}: {moments:?}");
                    }
                }
            }
        }
        assert!(wide > 1_000, "{wide}");
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
