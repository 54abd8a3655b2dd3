//! Breaking a paragraph into lines.

use crate::typeset::face::TextFace;
use crate::typeset::shape::cached;

/// The lines of `text` set to `width`, ragged right.
///
/// Uses as few lines as can be and, among those, the breaks that leave the lines most even.
/// Lines break at spaces, not at no-break spaces, and always at a line feed. A word wider than
/// `width` has a line of its own and sticks out. `size` and `width` are in the same unit.
pub fn wrap(face: TextFace, text: &str, size: f64, width: f64) -> Vec<String> {
    let measure = width / size * 1000.0;
    text.lines().flat_map(|paragraph| wrap_paragraph(face, paragraph, measure)).collect()
}

/// A word's stretch of the baseline, in thousandths of the em.
struct WordSpan<'a> {
    text: &'a str,
    from: f64,
    to: f64,
}

fn wrap_paragraph(face: TextFace, paragraph: &str, measure: f64) -> Vec<String> {
    let words = words(face, paragraph);
    if words.is_empty() {
        return vec![String::new()];
    }
    let breaks = break_lines(&words, measure);
    breaks
        .windows(2)
        .map(|ends| {
            let line = words[ends[0]..ends[1]].iter().map(|word| word.text);
            line.collect::<Vec<_>>().join(" ")
        })
        .collect()
}

/// The words with their places, from shaping the paragraph as a whole.
fn words(face: TextFace, paragraph: &str) -> Vec<WordSpan<'_>> {
    let texts: Vec<&str> = paragraph.split_ascii_whitespace().collect();
    let line = texts.join(" ");
    let run = cached(face, &line);
    let mut words = Vec::with_capacity(texts.len());
    let (mut x, mut from, mut next) = (0, 0, texts.into_iter());
    for glyph in run.glyphs() {
        if run.source(glyph) == " " {
            words.extend(next.next().map(|text| WordSpan {
                text,
                from: from.into(),
                to: x.into(),
            }));
            from = x + glyph.advance;
        }
        x += glyph.advance;
    }
    words.extend(next.next().map(|text| WordSpan { text, from: from.into(), to: x.into() }));
    words
}

/// The indices of the words that begin a line, and the number of words at the end.
///
/// Least sum of squared slack over all lines but the last, for the fewest lines.
fn break_lines(words: &[WordSpan<'_>], measure: f64) -> Vec<usize> {
    // best[i] is the cost of setting words i.. : lines, squared slack, first word of the next.
    let mut best = vec![(0_usize, 0.0_f64, words.len()); words.len() + 1];
    for start in (0..words.len()).rev() {
        let mut choice: Option<(usize, f64, usize)> = None;
        for end in start + 1..=words.len() {
            let slack = measure - (words[end - 1].to - words[start].from);
            if slack < -1e-6 && end > start + 1 {
                break;
            }
            let slack = if end == words.len() { 0.0 } else { slack.max(0.0) };
            let cost = (best[end].0 + 1, best[end].1 + slack * slack, end);
            if choice.is_none_or(|old| (cost.0, cost.1) < (old.0, old.1)) {
                choice = Some(cost);
            }
        }
        best[start] = choice.unwrap_or((0, 0.0, words.len()));
    }
    let mut breaks = vec![0];
    while let Some(&last) = breaks.last()
        && last < words.len()
    {
        breaks.push(best[last].2);
    }
    breaks
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::typeset::measure;

    const ADVICE: &str = "Play it slowly, hands apart, until the left hand needs no looking. Then \
        put the hands together at half the tempo and count aloud: the push falls on the \u{201C}and\u{201D}.";

    #[test]
    fn no_line_is_wider_than_the_measure_and_no_word_is_lost() {
        for face in TextFace::ALL {
            for width in [80.0, 120.0, 200.0, 350.0, 5000.0] {
                let lines = wrap(face, ADVICE, 10.0, width);
                assert_eq!(lines.join(" "), ADVICE);
                for line in &lines {
                    assert!(measure::width(face, line, 10.0) <= width + 0.05, "{face:?} {line}");
                }
            }
        }
    }

    #[test]
    fn no_line_could_be_saved() {
        let lines = wrap(TextFace::Regular, ADVICE, 10.0, 150.0);
        let mut greedy: Vec<String> = vec![];
        for word in ADVICE.split(' ') {
            match greedy.last_mut() {
                Some(line)
                    if measure::width(TextFace::Regular, &format!("{line} {word}"), 10.0)
                        <= 150.0 =>
                {
                    *line += &format!(" {word}");
                }
                _ => greedy.push(word.to_owned()),
            }
        }
        assert_eq!(lines.len(), greedy.len());
    }

    #[test]
    fn a_word_too_wide_stands_alone() {
        let lines = wrap(TextFace::Regular, "a counterclockwise b", 10.0, 20.0);
        assert_eq!(lines, ["a", "counterclockwise", "b"]);
    }

    #[test]
    fn line_feeds_break_and_no_break_spaces_hold() {
        assert_eq!(wrap(TextFace::Regular, "one\n\ntwo", 10.0, 500.0), ["one", "", "two"]);
        let lines = wrap(TextFace::Regular, "tempo 60\u{A0}bpm", 10.0, 45.0);
        assert_eq!(lines, ["tempo", "60\u{A0}bpm"]);
        assert!(wrap(TextFace::Regular, "", 10.0, 45.0).is_empty());
    }
}
