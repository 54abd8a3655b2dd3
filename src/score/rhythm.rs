//! Rhythm as written: one sound split into tied values so that beat 3 shows.

use super::{Metre, NoteValue, QUARTER, Ticks};

/// A written value at its moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    /// When it begins.
    pub at: Ticks,
    /// Its written length.
    pub value: NoteValue,
}

/// The tied values that a sound from `start` to `end` is written as.
///
/// A sound is cut at barlines and at the imaginary barline before beat 3; only one that begins
/// on the bar's first beat may cover beat 3 (common practice, engraving handbooks; Berklee's
/// imaginary barlines).
pub fn spell_sound(metre: Metre, start: Ticks, end: Ticks) -> Vec<Span> {
    fill(start, end, |at| {
        let in_bar = at.rem_euclid(metre.bar());
        let bar_end = at - in_bar + metre.bar();
        let upto_bar = end.min(bar_end) - at;
        if in_bar == 0 && NoteValue::of(upto_bar).is_some() {
            return upto_bar;
        }
        let (_, group_end) = metre.group_of(in_bar);
        upto_bar.min(group_end - in_bar)
    })
}

/// The rests that fill a silence from `start` to `end`: none crosses beat 3, none is
/// syncopated, one for each beat where no longer one fits (common practice, no source).
pub fn spell_rests(metre: Metre, start: Ticks, end: Ticks) -> Vec<Span> {
    fill(start, end, |at| {
        let in_bar = at.rem_euclid(metre.bar());
        let left = end - at;
        if in_bar == 0 && left >= metre.bar() {
            return metre.bar();
        }
        let (group_start, group_end) = metre.group_of(in_bar);
        let group = group_end - group_start;
        if in_bar == group_start && left >= group && NoteValue::of(group).is_some() {
            return group;
        }
        left.min(QUARTER - in_bar.rem_euclid(QUARTER))
    })
}

/// Cuts a stretch into values, the longest that `reach` allows first.
fn fill(start: Ticks, end: Ticks, reach: impl Fn(Ticks) -> Ticks) -> Vec<Span> {
    let mut spans = Vec::new();
    let mut at = start;
    while at < end {
        let reach = reach(at);
        let value = NoteValue::ALL
            .into_iter()
            .rev()
            .find(|value| value.ticks() <= reach)
            .expect("moments of a drill lie on eighths, so an eighth always fits");
        spans.push(Span { at, value });
        at += value.ticks();
    }
    spans
}

#[cfg(test)]
mod tests {
    use super::*;

    const EIGHTH: Ticks = QUARTER / 2;

    fn written(spans: &[Span]) -> Vec<(Ticks, NoteValue)> {
        spans.iter().map(|span| (span.at / EIGHTH, span.value)).collect()
    }

    #[test]
    fn a_push_into_beat_three_is_an_eighth_tied_over() {
        let spans = spell_sound(Metre::FourFour, 3 * EIGHTH, 7 * EIGHTH);
        assert_eq!(written(&spans), [(3, NoteValue::Eighth), (4, NoteValue::DottedQuarter)]);
    }

    #[test]
    fn a_push_over_the_barline_is_an_eighth_tied_over() {
        let spans = spell_sound(Metre::FourFour, 7 * EIGHTH, 11 * EIGHTH);
        assert_eq!(written(&spans), [(7, NoteValue::Eighth), (8, NoteValue::DottedQuarter)]);
    }

    #[test]
    fn only_a_sound_from_the_first_beat_may_hide_beat_three() {
        for start in 0..8 {
            for end in start + 1..=16 {
                let spans = spell_sound(Metre::FourFour, start * EIGHTH, end * EIGHTH);
                for span in &spans {
                    let from = span.at.rem_euclid(Metre::FourFour.bar());
                    let to = from + span.value.ticks();
                    assert!(to <= Metre::FourFour.bar(), "{start}..{end} crosses a barline");
                    assert!(from == 0 || from >= 96 || to <= 96, "{start}..{end} hides beat 3");
                }
            }
        }
    }

    #[test]
    fn sounds_and_rests_fill_their_stretch_exactly() {
        for metre in [Metre::ThreeFour, Metre::FourFour] {
            for start in 0..8 {
                for end in start + 1..=24 {
                    for spell in [spell_sound, spell_rests] {
                        let spans = spell(metre, start * EIGHTH, end * EIGHTH);
                        let mut at = start * EIGHTH;
                        for span in spans {
                            assert_eq!(span.at, at);
                            at += span.value.ticks();
                        }
                        assert_eq!(at, end * EIGHTH, "{metre} {start}..{end}");
                    }
                }
            }
        }
    }

    #[test]
    fn two_off_beat_eighth_rests_stay_two() {
        let spans = spell_rests(Metre::FourFour, EIGHTH, 3 * EIGHTH);
        assert_eq!(written(&spans), [(1, NoteValue::Eighth), (2, NoteValue::Eighth)]);
    }
}
