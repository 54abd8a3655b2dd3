//! Other people's words in messages: cut to a sensible length, and without signs that could
//! steer a terminal or turn a line around.

use std::borrow::Cow;

/// The beginning of a long text.
pub(crate) fn shortened(words: &str) -> Cow<'_, str> {
    /// Characters enough to know the text again.
    const ENOUGH: usize = 40;
    match words.char_indices().nth(ENOUGH) {
        Some((end, _)) => Cow::Owned(format!("{}...", &words[..end])),
        None => Cow::Borrowed(words),
    }
}

/// A message as one line to be shown: whatever it quotes, it neither breaks, steers nor turns the
/// line, and what is too long loses its middle, since the place stands first and the mend last.
pub(crate) fn line(message: &str) -> String {
    /// Characters at the start: a long path and what is wrong with it.
    const START: usize = 700;
    /// Characters at the end: the longest mend, which is that with the names of all drills.
    const END: usize = 500;
    let whole = message.chars().count() <= START + END;
    let middle = if whole { None } else { message.char_indices().nth(START) };
    let shown = |text: &str| text.chars().map(harmless).collect::<String>();
    match middle {
        None => shown(message),
        Some((end, _)) => {
            let (start, rest) = message.split_at(end);
            let tail = rest.char_indices().rev().nth(END - 1).map_or(0, |(at, _)| at);
            format!("{} ... {}", shown(start), shown(&rest[tail..]))
        }
    }
}

/// The character, or a sign in its place if it is not seen where it stands but does something.
fn harmless(c: char) -> char {
    let acts = c.is_control()
        || matches!(c,
            // Zero width, and marks of direction (Unicode, annex 9).
            '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
            // Separators of lines and of paragraphs.
            | '\u{2028}' | '\u{2029}'
            // Soft hyphen, byte order mark, notes between the lines, tags.
            | '\u{ad}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}');
    if acts { char::REPLACEMENT_CHARACTER } else { c }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_that_act_are_shown_and_not_obeyed() {
        for sign in ['\u{1b}', '\n', '\r', '\u{9b}', '\u{202e}', '\u{2066}', '\u{2028}', '\u{ad}'] {
            assert_eq!(line(&format!("a{sign}b")), "a\u{fffd}b", "{sign:?}");
        }
        let words = "Zo\u{eb} plays C\u{266f}\u{f8}7 \u{2014} \u{65e5}\u{672c}";
        assert_eq!(line(words), words);
    }

    #[test]
    fn what_is_too_long_keeps_its_start_and_its_end() {
        let message = |middle: usize| format!("a.toml: {}; mend", "\u{266f}".repeat(middle));
        assert_eq!(line(&message(1000)), message(1000));
        let cut = line(&message(1_000_000));
        assert!(cut.starts_with("a.toml: \u{266f}") && cut.ends_with("\u{266f}; mend"), "{cut}");
        assert!(cut.chars().count() < 1300);
        assert_eq!(shortened("short"), "short");
        assert_eq!(shortened(&"\u{e9}".repeat(41)), format!("{}...", "\u{e9}".repeat(40)));
    }
}
