//! Comping: when the hand that holds the chords strikes.

use std::ops::Range;

use crate::drill::language::figure::Figure;
use crate::drill::language::value;
use crate::score::{Metre, Ticks};
use crate::source::advice_or;
use crate::source::fields::Mistakes;

/// A comping rhythm.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Comping {
    /// Each chord with the first note of its figure, held to the next.
    OnBeat,
    /// Each chord an eighth early, held to the next.
    Push,
    /// The hand is silent.
    Silent,
    /// The hand has a line of its own: a figure over each chord; several take turns.
    Line(Vec<Figure>),
    /// The same by the name of the trade, each chord in the octave where its bass lies near the
    /// tonic.
    Bass(Vec<Figure>),
    /// The hand walks: a bass line in quarters from chord to chord.
    Walking,
    /// Strokes in a bar, or in bars that take turns.
    Strokes(Vec<Vec<CompingHit>>),
}

/// A stroke of comping in a bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CompingHit {
    /// When it falls, from the barline.
    pub at: Ticks,
    /// How long it sounds; to the next stroke or the end of its chord where `None`.
    pub length: Option<Ticks>,
    /// Whether it brings the next chord early, if it is the last stroke before that one.
    pub brings_next: bool,
}

/// Comping rhythms by name, as strokes.
///
/// Source: jazz education texts name the Charleston, its displacements and four to the bar
/// (Freddie Green's way); the others are common practice, no source.
const NAMED: [(&str, &str); 19] = [
    ("two-feel", "1 3"),
    ("four-to-the-bar", "1 2 3 4"),
    ("backbeat", "2:quarter 4:quarter"),
    ("charleston", "1:dotted-quarter 2&:eighth"),
    ("charleston-from-1&", "1&:dotted-quarter 3:eighth"),
    ("charleston-from-2", "2:dotted-quarter 3&:eighth"),
    ("charleston-from-2&", "2&:dotted-quarter 4:eighth"),
    ("charleston-from-3", "3:dotted-quarter 4&>"),
    ("charleston-from-3&", "1:eighth 3&:dotted-quarter"),
    ("charleston-from-4", "1&:eighth 4"),
    ("charleston-from-4&", "2:eighth 4&>"),
    ("anticipated", "2& 4&>"),
    ("delayed", "1&"),
    ("off-beats", "1&:eighth 2&:eighth 3&:eighth 4&:eighth"),
    ("three-over-four", "1 2& 4 | 1& 3 4& | 2 3&"),
    ("bossa", "1 2& 4 | 2 3&"),
    ("waltz", "1:quarter 2:quarter 3:quarter"),
    ("jazz-waltz", "1:dotted-quarter 2&"),
    ("after-beats", "2:quarter 3:quarter"),
];

/// Lines of the left hand by name, in quarters unless a step says otherwise (common practice, no
/// source): the root with its fifth below, the root and its octave, bass and chord by turns.
const LINES: [(&str, &str); 3] = [
    ("two-feel", "1:half low5:half"),
    ("octaves", "low1@5+1@1:half low1@5+1@1:half"),
    ("stride", "low1@5:quarter chord:quarter low5@5:quarter chord:quarter"),
];

/// Bars that may take turns.
const MOST_BARS: usize = 4;

impl Comping {
    /// The figures of the hand, if it has a line of its own.
    pub(crate) fn figures(&self) -> &[Figure] {
        match self {
            Self::Line(figures) | Self::Bass(figures) => figures,
            _ => &[],
        }
    }

    /// The line of the left hand that a word stands for.
    pub(crate) fn line_named(word: &str) -> Option<&'static str> {
        LINES.iter().find(|(name, _)| *name == word).map(|(_, line)| *line)
    }

    /// Whether the hand has a line of its own and does not strike chords.
    pub const fn is_line(&self) -> bool {
        matches!(self, Self::Line(_) | Self::Bass(_) | Self::Walking)
    }

    /// Reads a name, or strokes such as `1 2&:eighth | 2 3&`.
    pub(crate) fn parse(
        text: &str,
        span: &Range<usize>,
        metre: Metre,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<Self> {
        match text.trim() {
            "on-beat" => return Some(Self::OnBeat),
            "push" => return Some(Self::Push),
            "silent" => return Some(Self::Silent),
            _ => {}
        }
        let strokes = strokes_of(text.trim(), span, metre, mistakes)?;
        let bars: Option<Vec<Vec<CompingHit>>> =
            strokes.split('|').map(|bar| bar_of(bar, span, metre, mistakes)).collect();
        let bars = bars?;
        if bars.len() > MOST_BARS {
            let problem = format!("the comping goes through {} bars", bars.len());
            mistakes.add(span.clone(), problem, format!("write at most {MOST_BARS}"));
            return None;
        }
        Some(Self::Strokes(bars))
    }
}

/// The strokes that a word stands for, or the word itself where it is strokes.
fn strokes_of<'a>(
    word: &'a str,
    span: &Range<usize>,
    metre: Metre,
    mistakes: &mut Mistakes<'_>,
) -> Option<&'a str> {
    if let Some((name, strokes)) = NAMED.iter().find(|(name, _)| *name == word) {
        if fits(strokes, metre) {
            return Some(strokes);
        }
        let own = [Metre::ThreeFour, Metre::FourFour].into_iter().find(|own| fits(strokes, *own));
        let own = own.map(|own| format!("; it is for {own}")).unwrap_or_default();
        let problem = format!("the comping `{name}` does not fit into a bar of {metre}{own}");
        let mend = "write another one, or the counts it strikes on, as in 1 2&";
        mistakes.add(span.clone(), problem, mend);
        return None;
    }
    if word.is_empty() {
        let mend = "write on-beat, silent, or the counts it strikes on, as in 1 2& 4";
        mistakes.add(span.clone(), "field `comping` is empty", mend);
        return None;
    }
    if !word.starts_with(|first: char| first.is_ascii_digit()) {
        let known: Vec<&str> = ["on-beat", "push", "silent"]
            .into_iter()
            .chain(NAMED.iter().map(|(name, _)| *name))
            .collect();
        let mend = advice_or(word, &known, "write the counts it strikes on, as in 1 2& 4");
        mistakes.add(span.clone(), format!("unknown comping `{word}`"), mend);
        return None;
    }
    if let Some(sign) = word.chars().find(|c| matches!(c, ',' | ';' | '/')) {
        let bars = if sign == '/' { " |" } else { "" };
        let apart = word.replace(sign, bars).split_whitespace().collect::<Vec<_>>().join(" ");
        let problem = format!("strokes stand apart by spaces and bars by `|`, without `{sign}`");
        mistakes.add(span.clone(), problem, format!("write \"{apart}\""));
        return None;
    }
    Some(word)
}

/// Whether strokes can stand in bars of a metre.
fn fits(strokes: &str, metre: Metre) -> bool {
    let mut mistakes = Mistakes::of("", strokes);
    let read = |bar| bar_of(bar, &(0..strokes.len()), metre, &mut mistakes);
    strokes.split('|').map(read).all(|bar| bar.is_some())
}

/// Reads the strokes of a bar.
fn bar_of(
    text: &str,
    span: &Range<usize>,
    metre: Metre,
    mistakes: &mut Mistakes<'_>,
) -> Option<Vec<CompingHit>> {
    let strokes: Vec<Option<CompingHit>> =
        text.split_whitespace().map(|word| stroke(word, span, metre, mistakes)).collect();
    let strokes: Vec<CompingHit> = strokes.into_iter().collect::<Option<_>>()?;
    for pair in strokes.windows(2) {
        if pair[0].at >= pair[1].at {
            let problem = format!("the strokes `{}` are out of order", text.trim());
            mistakes.add(span.clone(), problem, "write them as they fall in the bar, each once");
            return None;
        }
        if pair[0].length.is_some_and(|length| pair[0].at + length > pair[1].at) {
            let problem = format!("a stroke of `{}` lasts past the next", text.trim());
            mistakes.add(span.clone(), problem, "give it a shorter note value, or none");
            return None;
        }
    }
    Some(strokes)
}

/// Reads one stroke: `2`, `2&`, `4&>`, `1:quarter`.
fn stroke(
    word: &str,
    span: &Range<usize>,
    metre: Metre,
    mistakes: &mut Mistakes<'_>,
) -> Option<CompingHit> {
    let at = mistakes.within(span, word);
    let (place, length) = value::split(word, &at, mistakes)?;
    let (place, brings_next) = match place.strip_suffix('>') {
        Some(place) => (place, true),
        None => (place, false),
    };
    let (digits, is_off) = match place.strip_suffix('&') {
        Some(digits) => (digits, true),
        None => (place, false),
    };
    let Ok(count) = digits.parse::<Ticks>() else {
        let mend = match half_beat(place) {
            Some(count) => format!("write {count}& for the half beat after {count}"),
            None => "write a count, as in 2 or 2&, with > where it brings the next chord early"
                .to_owned(),
        };
        mistakes.add(at, format!("`{word}` is no stroke"), mend);
        return None;
    };
    if !(1..=metre.beats()).contains(&count) {
        let problem = format!("stroke `{word}` lies outside a bar of {metre}");
        mistakes.add(at, problem, format!("write a count from 1 to {}", metre.beats()));
        return None;
    }
    let beat = metre.count_unit();
    let off = if is_off { beat / 2 } else { 0 };
    let stroke = CompingHit { at: (count - 1) * beat + off, length, brings_next };
    let end = stroke.at + length.unwrap_or(0);
    // The chord that is brought early goes on in the next bar, and its stroke with it.
    if end > metre.bar() && !brings_next {
        let problem = format!(
            "stroke `{word}` lasts beyond its bar, which has {} beats in {metre}",
            metre.beats()
        );
        let mend =
            "give it a shorter note value, or none, and it ends with the next stroke or chord";
        mistakes.add(at, problem, mend);
        return None;
    }
    Some(stroke)
}

/// The count in a half beat that is written in another way, such as `2and` or `2+`.
fn half_beat(place: &str) -> Option<&str> {
    let endings = ["and", "+", "n"];
    let count = endings.iter().find_map(|ending| place.strip_suffix(ending))?;
    let is_count = !count.is_empty() && count.bytes().all(|byte| byte.is_ascii_digit());
    is_count.then_some(count)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_named_rhythm_fits_a_metre() {
        for (name, _) in NAMED {
            let fits = [Metre::FourFour, Metre::ThreeFour].into_iter().any(|metre| {
                let mut mistakes = Mistakes::of("test", name);
                let comping = Comping::parse(name, &(0..name.len()), metre, &mut mistakes);
                comping.is_some() && mistakes.is_empty()
            });
            assert!(fits, "{name}");
        }
    }

    /// Source: hits of comping figures as eighths of a bar, from jazz education texts: the
    /// Charleston 0 3 and its displacements (k, k + 3), three over four 0 3 6, 1 4 7, 2 5.
    #[test]
    fn named_rhythms_strike_where_the_trade_says() {
        let strikes = |name: &str| -> Vec<Vec<Ticks>> {
            let mut mistakes = Mistakes::of("test", name);
            let span = 0..name.len();
            match Comping::parse(name, &span, Metre::FourFour, &mut mistakes) {
                Some(Comping::Strokes(bars)) => bars
                    .iter()
                    .map(|bar| bar.iter().map(|stroke| stroke.at / 24).collect())
                    .collect(),
                other => panic!("{name}: {other:?}"),
            }
        };
        let displaced =
            ["", "-from-1&", "-from-2", "-from-2&", "-from-3", "-from-3&", "-from-4", "-from-4&"];
        for (first, name) in (0..).zip(displaced) {
            let mut expected = vec![first, (first + 3) % 8];
            expected.sort_unstable();
            assert_eq!(strikes(&format!("charleston{name}")), [expected], "{name}");
        }
        assert_eq!(strikes("three-over-four"), [vec![0, 3, 6], vec![1, 4, 7], vec![2, 5]]);
        assert_eq!(strikes("bossa"), [vec![0, 3, 6], vec![2, 5]]);
        assert_eq!(strikes("two-feel"), [[0, 4]]);
        assert_eq!(strikes("four-to-the-bar"), [[0, 2, 4, 6]]);
    }
}
