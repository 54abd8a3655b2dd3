//! What the foot of a sheet says of the tracks that go with it: their names, and where they are.

use super::code::Code;
use crate::book::plan::DocumentPlan;
use crate::typeset::line::{Phrase, Style, in_lines};
use crate::typeset::{self, TextFace};

/// What stands before the names, and before an address without any.
const NAME: &str = "Play along";
/// What stands between two names.
const BETWEEN_NAMES: &str = ", ";

/// White after that, between two names, and between words and code, in ems.
const AFTER_NAME: f64 = 0.8;
const BETWEEN: f64 = 0.3;
const BEFORE_CODE: f64 = 0.8;

/// Where a name or an address that is wider than its line may go on in the next, after these signs.
const BREAKS: &str = "/-_.,?&=+ ";

/// The lines about tracks, and the code of their address.
pub(super) struct Tracks {
    /// From the top down.
    pub(super) lines: Vec<Phrase>,
    pub(super) code: Option<Code>,
    /// White before the code.
    gap: f64,
}

impl Tracks {
    /// Those of a page: nothing where nobody said anything of tracks.
    pub(super) fn of(plan: &DocumentPlan<'_>) -> Self {
        let size = plan.grown.sizes.note;
        let code = plan.options.tracks_at.as_deref().and_then(Code::of);
        let mut tracks = Self { lines: Vec::new(), code, gap: BEFORE_CODE * size };
        let style = Style::new(TextFace::Regular, size);
        let mut label = Phrase::of(NAME, Style::new(TextFace::Semibold, size));
        label.space(AFTER_NAME * size);
        let mut white = Phrase::default();
        white.space(label.width());
        let width = plan.width() - tracks.aside();
        let room = width - label.width();
        let mut add = |items: Vec<String>| {
            let before = if tracks.lines.is_empty() { label.clone() } else { white.clone() };
            let items = items.iter().flat_map(|item| pieces(item, style, room));
            let items = items.map(|piece| Phrase::of(&piece, style)).collect();
            tracks.lines.extend(in_lines(before, items, BETWEEN * size, width));
        };
        if let Some(names) = &plan.options.tracks {
            add(listed(names));
        }
        if let Some(address) = &plan.options.tracks_at {
            add(vec![address.clone()]);
        }
        tracks
    }

    /// How much of the width the code takes.
    pub(super) fn aside(&self) -> f64 {
        self.code.as_ref().map_or(0.0, |code| code.width() + self.gap)
    }
}

/// Names one by one, each with the comma after it.
fn listed(names: &str) -> Vec<String> {
    let names: Vec<&str> = names.split(BETWEEN_NAMES).filter(|name| !name.is_empty()).collect();
    let last = names.len().saturating_sub(1);
    let with_comma = |(nth, name): (usize, &&str)| {
        format!("{name}{}", if nth < last { BETWEEN_NAMES.trim_end() } else { "" })
    };
    names.iter().enumerate().map(with_comma).collect()
}

/// A word in pieces that have room on a line each.
fn pieces(word: &str, style: Style, room: f64) -> Vec<String> {
    let mut pieces = Vec::new();
    let mut rest = word;
    while !rest.is_empty() {
        let mut end = rest.len();
        let mut last_break = 0;
        for (start, c) in rest.char_indices() {
            let next = start + c.len_utf8();
            // At least one character a line, whatever the room.
            if start > 0 && typeset::width(style.face, &rest[..next], style.size) > room {
                end = if last_break > start / 2 { last_break } else { start };
                break;
            }
            if BREAKS.contains(c) {
                last_break = next;
            }
        }
        pieces.push(rest[..end].to_owned());
        rest = &rest[end..];
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_make_the_word_and_have_room() {
        let style = Style::new(TextFace::Regular, 10.0);
        let long = format!("https://studio.example/{}", "winter-term_".repeat(12));
        for word in ["a.flac", &long, &"m".repeat(120)] {
            for room in [60.0, 150.0, 400.0] {
                let pieces = pieces(word, style, room);
                assert_eq!(pieces.concat(), *word);
                for piece in &pieces {
                    assert!(typeset::width(style.face, piece, style.size) <= room, "{piece}");
                }
            }
        }
        assert_eq!(listed("a.mid, b.mid"), ["a.mid,", "b.mid"]);
    }
}
