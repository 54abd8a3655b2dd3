//! Fitting words of any length into a place of fixed width.

use crate::typeset::face::TextFace;
use crate::typeset::line::{Phrase, Style, accidental};
use crate::typeset::measure;
use crate::typeset::wrap::wrap;

/// How much smaller each trial is than the one before, in points.
const STEP: f64 = 0.5;

/// Why words cannot stand in their place. `W` says whose words they are; what that may be is for
/// those who set them to know.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Unfit<W> {
    /// A character that the text face cannot show.
    Unshowable {
        /// Whose words they are.
        whose: W,
        /// The character.
        found: char,
    },
    /// Words too wide for their place, even at the least size on the most lines.
    TooLong {
        /// Whose words they are.
        whose: W,
    },
}

/// Words that fit their place: one or more lines, and the style that they are set in.
#[derive(Clone, Debug)]
pub(crate) struct Fitted {
    pub(crate) lines: Vec<String>,
    pub(crate) style: Style,
}

impl Fitted {
    /// Its lines, ready to stand.
    pub(crate) fn phrases(&self) -> impl Iterator<Item = Phrase> + '_ {
        self.lines.iter().map(|line| Phrase::of(line, self.style))
    }
}

/// Errors with the first character of somebody's words that the page cannot show.
pub(crate) fn showable<W>(whose: W, face: TextFace, words: &str) -> Result<(), Unfit<W>> {
    let plain: String = words.chars().filter(|c| *c != '\n' && accidental(*c).is_none()).collect();
    match measure::missing(face, &plain) {
        Some(found) => Err(Unfit::Unshowable { whose, found }),
        None => Ok(()),
    }
}

/// Sets words in one line, smaller if need be, down to `least`; else in two or more, at most
/// `most`, as large as they can be. Errors where even that
/// is too wide, or where a character cannot be shown.
pub(crate) fn fit<W: Copy>(
    whose: W,
    words: &str,
    style: Style,
    least: f64,
    width: f64,
    most: usize,
) -> Result<Fitted, Unfit<W>> {
    showable(whose, style.face, words)?;
    let sizes = || sizes(style, least);
    let one = sizes().find(|style| Phrase::of(words, *style).width() <= width);
    if let Some(style) = one {
        return Ok(Fitted { lines: vec![words.to_owned()], style });
    }
    let in_lines = |style: Style| {
        let lines = wrap(style.face, words, style.size, width);
        all_within(&lines, style, width).then_some(Fitted { lines, style })
    };
    (2..=most)
        .find_map(|most| sizes().filter_map(in_lines).find(|fitted| fitted.lines.len() <= most))
        .ok_or(Unfit::TooLong { whose })
}

/// Sets words in as many lines as they need, smaller if need be, down to `least`. Errors as
/// [`fit`] does; `most` is the number of lines that there is room for.
pub(crate) fn paragraph<W: Copy>(
    whose: W,
    words: &str,
    style: Style,
    least: f64,
    width: f64,
    most: usize,
) -> Result<Fitted, Unfit<W>> {
    showable(whose, style.face, words)?;
    sizes(style, least)
        .find_map(|style| {
            let lines = wrap(style.face, words, style.size, width);
            let fits = lines.len() <= most && all_within(&lines, style, width);
            fits.then_some(Fitted { lines, style })
        })
        .ok_or(Unfit::TooLong { whose })
}

/// How many characters of words, from the first, have room in so many lines of a style.
pub(crate) fn room_for(words: &str, style: Style, width: f64, most: usize) -> usize {
    let fits = |end: usize| {
        let start: String = words.chars().take(end).collect();
        let lines = wrap(style.face, &start, style.size, width);
        lines.len() <= most && all_within(&lines, style, width)
    };
    let (mut room, mut beyond) = (0, words.chars().count() + 1);
    while beyond - room > 1 {
        let middle = room.midpoint(beyond);
        if fits(middle) { room = middle } else { beyond = middle }
    }
    room
}

/// A style and smaller ones, down to a least size.
fn sizes(style: Style, least: f64) -> impl Iterator<Item = Style> {
    let steps = ((style.size - least) / STEP).max(0.0) as usize;
    (0..=steps).map(move |step| Style { size: style.size - STEP * step as f64, ..style }).chain(
        (style.size - least > STEP * steps as f64 + 1e-9).then_some(Style { size: least, ..style }),
    )
}

/// The style, smaller if need be, down to `least`, in which each of several words stands on at
/// most `most` lines, so that they look alike in a list.
pub(crate) fn common_size<'a>(
    all: impl Iterator<Item = &'a str> + Clone,
    style: Style,
    least: f64,
    width: f64,
    most: usize,
) -> Style {
    let steps = ((style.size - least) / STEP).max(0.0) as usize;
    let sizes = (0..=steps).map(|step| Style { size: style.size - STEP * step as f64, ..style });
    let fits = |style: &Style| {
        all.clone().all(|words| {
            let lines = wrap(style.face, words, style.size, width);
            lines.len() <= most && all_within(&lines, *style, width)
        })
    };
    sizes.into_iter().find(fits).unwrap_or(Style { size: least, ..style })
}

/// Whether every line fits: a word may be too wide, and signs differ from the letters that lines
/// were broken by.
fn all_within(lines: &[String], style: Style, width: f64) -> bool {
    lines.iter().all(|line| Phrase::of(line, style).width() <= width + 0.5)
}

#[cfg(test)]
mod tests {
    use super::*;

    const STYLE: Style = Style::new(TextFace::Bold, 28.0);

    #[test]
    fn short_words_keep_their_size() {
        let fitted = fit("title", "Sevenths", STYLE, 14.0, 400.0, 2).unwrap();
        assert_eq!((fitted.lines.len(), fitted.style.size), (1, 28.0));
    }

    #[test]
    fn longer_words_shrink_then_break_then_are_refused() {
        let words = |count: usize| vec!["sevenths"; count].join(" ");
        let mut told = Vec::new();
        for count in 1..40 {
            match fit("title", &words(count), STYLE, 14.0, 400.0, 2) {
                Ok(fitted) => {
                    assert!(fitted.style.size >= 14.0);
                    assert!(fitted.phrases().all(|line| line.width() <= 400.5));
                    told.push(fitted.lines.len());
                }
                Err(error) => {
                    assert_eq!(error, Unfit::TooLong { whose: "title" });
                    told.push(3);
                }
            }
        }
        assert!(told.is_sorted(), "{told:?}");
        assert_eq!((told.first(), told.last()), (Some(&1), Some(&3)));
        assert!(told.contains(&2));
    }

    #[test]
    fn a_character_that_cannot_be_shown_is_named() {
        let error = fit("student", "鍵 Ana", STYLE, 14.0, 400.0, 2).unwrap_err();
        assert_eq!(error, Unfit::Unshowable { whose: "student", found: '鍵' });
        assert!(fit("student", "Ana in E♭ and F♯", STYLE, 14.0, 400.0, 2).is_ok());
    }
}
