//! Lines over or under what is read in another octave.

use kurbo::Point;

use super::draft::SystemDraft;
use crate::engrave::column::Standing;
use crate::engrave::extent::Extent;
use crate::engrave::mark::{Engraved, MarkRole};
use crate::engrave::rules::{self, Sp};
use crate::score::Hand;
use crate::typeset::{self, TextFace, polygon};

/// A run of notes that are read in another octave, as far as it stands on a system.
struct OctaveRun {
    octaves: i32,
    /// From the first head to the last.
    over: Extent,
    /// Whether it goes on from the system before, and on the next one.
    goes_on: [bool; 2],
}

impl SystemDraft<'_> {
    /// Draws the octave lines of a hand, clear of everything else on its staff.
    pub(super) fn draw_octaves(&mut self, hand: Hand, cells: &[Standing<'_>]) {
        for run in self.octave_runs(hand, cells) {
            let marks = self.octave_line(hand, &run);
            self.staves[hand].add(marks);
        }
    }

    fn octave_runs(&self, hand: Hand, cells: &[Standing<'_>]) -> Vec<OctaveRun> {
        let [before, after] = self.seat.octaves[hand];
        let mut runs: Vec<OctaveRun> = Vec::new();
        // What was read last, a silence that is read in another octave left out.
        let mut last = before;
        for Standing { x, cell, .. } in cells {
            let octaves = cell.octaves;
            if let Some(chord) = cell.chord() {
                let edges = chord.head_edges();
                let (left, right) = (x + edges.left, x + edges.right);
                match runs.last_mut() {
                    Some(run) if octaves != 0 && last == octaves => run.over.right = right,
                    _ if octaves != 0 => {
                        let goes_on = [runs.is_empty() && last == octaves, false];
                        runs.push(OctaveRun { octaves, over: Extent { left, right }, goes_on });
                    }
                    _ => {}
                }
            }
            if cell.chord().is_some() || octaves == 0 {
                last = octaves;
            }
        }
        if let Some(run) = runs.last_mut() {
            run.goes_on[1] = last == run.octaves && after == last;
        }
        runs
    }

    /// Figure, dashes and hook. The line stands above what sounds higher and below what sounds
    /// lower, on the side of the figure that is turned from the staff.
    fn octave_line(&self, hand: Hand, run: &OctaveRun) -> Vec<Engraved> {
        let [came, goes_on] = run.goes_on;
        let words = words(run.octaves, came);
        let (face, size) = (TextFace::Italic, rules::OCTAVE_SIZE);
        let ink = typeset::ink_bounds(face, &words, size);
        let left =
            (run.over.left - rules::OCTAVE_BEFORE_HEAD - if came { ink.width() } else { 0.0 })
                .max(self.prefix_right + rules::OCTAVE_AFTER_PREFIX);
        let line_left = left + ink.width() + rules::OCTAVE_TO_DASH;
        let end = self.positions.barlines.last().copied().unwrap_or(self.width);
        let right = if goes_on { end } else { run.over.right + rules::OCTAVE_AFTER_HEAD };
        let right = right.min(end).max(left + ink.width());
        let over = Extent { left, right };
        let skyline = &self.staves[hand].skyline;
        let up = run.octaves > 0;
        let (baseline, line) = if up {
            let top = skyline.top(over).unwrap_or(2.0).max(2.0);
            let baseline = top + rules::OCTAVE_CLEARANCE - ink.y0.min(0.0);
            (baseline, baseline + ink.y1 - rules::OCTAVE_LINE / 2.0)
        } else {
            let bottom = skyline.bottom(over).unwrap_or(-2.0).min(-2.0);
            let baseline = bottom - rules::OCTAVE_CLEARANCE - ink.y1;
            (baseline, baseline + ink.y0 + rules::OCTAVE_LINE / 2.0)
        };
        let at = Point::new(left - ink.x0, baseline);
        let mut marks = vec![Engraved::text(MarkRole::OctaveLine, words, face, at, size)];
        let hook = if up { -rules::OCTAVE_HOOK } else { rules::OCTAVE_HOOK };
        marks.extend(dashes([line_left, right], line, (!goes_on).then_some(hook)));
        marks
    }
}

/// What an octave line says at its beginning: in brackets where it goes on (common).
fn words(octaves: i32, goes_on: bool) -> String {
    let words = match octaves {
        ..=-2 => "15mb",
        -1 => "8vb",
        0 | 1 => "8va",
        2.. => "15ma",
    };
    if goes_on { format!("({words})") } else { words.to_owned() }
}

/// Dashes of one length between two abscissas, so that the last one ends there, with a hook where
/// the line ends; the hook alone where there is no room for a dash.
fn dashes([left, right]: [Sp; 2], y: Sp, hook: Option<Sp>) -> Vec<Engraved> {
    let (dash, gap) = (rules::OCTAVE_DASH, rules::OCTAVE_DASH_GAP);
    let room = (right - left).max(0.0);
    let count = ((room + gap) / (dash + gap)).floor();
    // The gaps take up what is left over.
    let gap = if count > 1.0 { (room - count * dash) / (count - 1.0) } else { gap };
    let mut marks = Vec::new();
    for index in 0..count as usize {
        let end = right - (dash + gap) * index as Sp;
        match hook.filter(|_| index == 0) {
            Some(hook) => marks.push(hooked([end - dash, end], y, hook)),
            None => {
                let (from, to) = (Point::new(end - dash, y), Point::new(end, y));
                marks.push(Engraved::line(MarkRole::OctaveLine, from, to, rules::OCTAVE_LINE));
            }
        }
    }
    marks
}

/// The last dash and the hook at its end, as one outline.
fn hooked([left, right]: [Sp; 2], y: Sp, hook: Sp) -> Engraved {
    let line = rules::OCTAVE_LINE;
    let out = -hook.signum() * line / 2.0;
    let corners = [
        (left, y + out),
        (right, y + out),
        (right, y + hook),
        (right - line, y + hook),
        (right - line, y - out),
        (left, y - out),
    ];
    Engraved::fill(MarkRole::OctaveLine, polygon(&corners.map(|(x, y)| Point::new(x, y))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dashes_are_of_one_length_and_end_where_the_line_ends() {
        for room in [0.4, 0.9, 2.5, 7.3, 40.0] {
            for hook in [None, Some(-1.0), Some(1.0)] {
                let marks = dashes([10.0, 10.0 + room], 5.0, hook);
                let boxes: Vec<_> = marks.iter().map(Engraved::bounds).collect();
                for ink in &boxes {
                    assert!((ink.width() - rules::OCTAVE_DASH).abs() < 1e-9, "{room}: {ink:?}");
                    assert!(ink.x0 > 10.0 - 1e-9, "{room}: {ink:?}");
                }
                let right = boxes.iter().map(|ink| ink.x1).fold(0.0, Sp::max);
                assert!(boxes.is_empty() || (right - 10.0 - room).abs() < 1e-9, "{room}");
                assert_eq!(boxes.is_empty(), room < rules::OCTAVE_DASH, "{room}");
            }
        }
    }
}
