//! The staves of a system: each drawn from its columns, from heads and rests out to digits.

use std::collections::BTreeMap;

use kurbo::Point;
use smallvec::SmallVec;

use super::draft::SystemDraft;
use crate::engrave::barline;
use crate::engrave::beam::{Beam, Beamed};
use crate::engrave::chord::{LaidChord, rest_box, rest_marks};
use crate::engrave::column::{CellBody, MomentColumn, Standing, change_sign, change_width};
use crate::engrave::extent::Extent;
use crate::engrave::mark::{Engraved, MarkRole};
use crate::engrave::position::PerNote;
use crate::engrave::prefix::{clef_line, new_key_marks};
use crate::engrave::rows;
use crate::engrave::rules::{self, Sp};
use crate::engrave::tie::{self, End};
use crate::engrave::tuplet;
use crate::glyphs::{MusicFace, Sign};
use crate::score::{Clef, Hand, NoteValue};

/// The beams of a staff, by their bar and their number there.
type Beams = BTreeMap<(usize, usize), Beam>;

impl SystemDraft<'_> {
    /// Draws what a hand plays on its staff, what stands nearer to the heads first.
    pub(super) fn draw_staff(&mut self, hand: Hand) {
        let cells = self.cells(hand);
        self.draw_clef_changes(hand, &cells);
        self.draw_new_keys(hand, &cells);
        let beams = self.draw_notes(hand, &cells);
        self.draw_ties(hand, &cells);
        let staff = &mut self.staves[hand];
        for band in tuplet::draw(&cells, &beams, hand, &mut staff.marks) {
            staff.skyline.add(band);
        }
        self.draw_fermatas(hand, &cells);
        self.draw_fingers(hand, &cells);
        self.draw_octaves(hand, &cells);
    }

    /// The signatures of new keys, at the barlines with which they begin, and as a warning after the
    /// one that ends the system.
    fn draw_new_keys(&mut self, hand: Hand, cells: &[Standing<'_>]) {
        let score = self.score;
        if score.signs.keys.is_empty() {
            return;
        }
        let bars = self.seat.bars.clone();
        for bar in bars.start + 1..=bars.end {
            let Some(key) = score.new_key_at(bar).filter(|_| bar < score.bars.len()) else {
                continue;
            };
            let x = self.positions.barlines[bar - bars.start - 1];
            let right = if bar == bars.end {
                x
            } else {
                let [_, after] = barline::beyond_plain(score.barline_before(bar));
                x + rules::THIN_BARLINE / 2.0 + after
            };
            let own = cells.iter().find(|standing| standing.column.bar == bar);
            let before = cells.iter().rfind(|standing| standing.column.bar < bar);
            // A warning is read in the clef that the next system begins in.
            let last = self.seat.courtesy[hand].filter(|_| bar == bars.end);
            let clef = last.or(own.or(before).map(|standing| standing.cell.clef));
            let clef = clef.unwrap_or(score.opening_clefs[hand]);
            let left = right + rules::BARLINE_TO_KEY;
            self.staves[hand].add(new_key_marks(clef, score.key_at(bar - 1), key, left));
        }
    }

    fn draw_clef_changes(&mut self, hand: Hand, cells: &[Standing<'_>]) {
        let score = self.score;
        let bar_start = |column: &MomentColumn<'_>| score.bars[column.bar].start;
        let first_bar = self.seat.bars.start;
        let mut marks = Vec::new();
        for Standing { x, column, cell } in cells {
            let Some(clef) = cell.event.clef_change else { continue };
            let right = if column.at != bar_start(column) {
                x + cell.chord().map_or(0.0, |chord| chord.edges(false).left)
            } else if column.bar > first_bar {
                let [before, _] = barline::beyond_plain(score.barline_before(column.bar));
                let x = self.positions.barlines[column.bar - first_bar - 1];
                x - rules::THIN_BARLINE / 2.0 - before
            } else {
                continue;
            };
            marks.push(change_mark(clef, right));
        }
        if let Some(clef) = self.seat.courtesy[hand] {
            marks.push(change_mark(clef, self.end_of_music()));
        }
        self.staves[hand].add(marks);
    }

    /// Heads, stems, flags, beams and rests.
    fn draw_notes(&mut self, hand: Hand, cells: &[Standing<'_>]) -> Beams {
        let mut beams = BTreeMap::new();
        let whites = self.whites();
        let middle = |white: Extent| (white.left + white.right) / 2.0;
        let middles: Vec<Sp> = whites.into_iter().map(middle).collect();
        let staff = &mut self.staves[hand];
        let mut index = 0;
        while index < cells.len() {
            let Standing { x, column, cell } = cells[index];
            let CellBody::Chord(chord) = &cell.body else {
                let value = cell.event.value;
                let x = match value {
                    NoteValue::WholeBar(_) => {
                        middles[column.bar - self.seat.bars.start] - rest_box(value).center().x
                    }
                    _ => x,
                };
                staff.add_at(x, rest_marks(value));
                index += 1;
                continue;
            };
            let group: SmallVec<[Beamed<'_>; 8]> = cells[index..]
                .iter()
                .take_while(|other| {
                    cell.beam.is_some()
                        && other.cell.beam == cell.beam
                        && other.column.bar == column.bar
                })
                .filter_map(|other| Some(Beamed { x: other.x, chord: other.cell.chord()? }))
                .collect();
            if group.is_empty() {
                staff.add_at(x, chord.body_marks());
                let tip = chord.free_tip(cell.flag());
                staff.add_at(x, chord.stem_marks(tip, cell.is_flagged()));
                index += 1;
                continue;
            }
            let beam = Beam::lay(&group, chord.direction);
            for Beamed { x, chord } in &group {
                staff.add_at(*x, chord.body_marks());
                staff.add_at(*x, chord.stem_marks(beam.stem_tip(x + chord.stem_x()), false));
            }
            staff.add(beam.marks());
            if let Some(number) = cell.beam {
                beams.insert((column.bar, number), beam);
            }
            index += group.len();
        }
        beams
    }

    fn draw_ties(&mut self, hand: Hand, cells: &[Standing<'_>]) {
        let mut marks = Vec::new();
        for (index, standing) in cells.iter().enumerate() {
            let cell = standing.cell;
            if index == 0 && cell.event.is_tied_in() {
                let left = cell.chord().map_or(0.0, LaidChord::tied_in_edge);
                let open = standing.x + left - rules::BROKEN_TIE;
                let open = open.max(self.prefix_right + rules::PREFIX_TO_TIE);
                marks.extend(tie::ties(None, end(standing), open));
            }
            if cell.is_tied_out() {
                let next = cells.get(index + 1);
                let open = self.end_of_music() - rules::TIE_TO_BARLINE;
                marks.extend(tie::ties(end(standing), next.and_then(end), open));
            }
        }
        self.staves[hand].add(marks);
    }

    /// Digits above the right hand's notes and below the left hand's, a chord's in the order of
    /// its heads.
    fn draw_fingers(&mut self, hand: Hand, cells: &[Standing<'_>]) {
        let digit = rows::finger_size();
        for Standing { x, cell, .. } in cells {
            let Some(middle) = cell.fingers_x(hand) else { continue };
            let shown = cell.event.notes.iter().filter(|note| note.shows_finger);
            let fingers: PerNote<u8> = shown.filter_map(|note| note.finger).collect();
            if fingers.is_empty() {
                continue;
            }
            let centre = x + middle;
            let beside = Extent::around(centre, digit.width + 2.0 * rules::FINGER_SIDE);
            let staff = &mut self.staves[hand];
            let lowest = match hand {
                Hand::Right => {
                    staff.skyline.top(beside).unwrap_or(2.0).max(2.0) + rules::FINGER_GAP
                }
                Hand::Left => {
                    let ink = staff.skyline.bottom(beside).unwrap_or(-2.0).min(-2.0);
                    let stack = rules::FINGER_LEADING * (fingers.len() - 1) as Sp;
                    ink - rules::FINGER_GAP - digit.height - stack
                }
            };
            staff.add(fingers.iter().enumerate().filter_map(|(order, finger)| {
                rows::finger(*finger, centre, lowest + rules::FINGER_LEADING * order as Sp)
            }));
        }
    }

    /// A fermata above the right hand's staff and below the left hand's.
    fn draw_fermatas(&mut self, hand: Hand, cells: &[Standing<'_>]) {
        for Standing { x, cell, .. } in cells {
            let Some(chord) = cell.chord().filter(|_| cell.event.fermata) else { continue };
            let sign = match hand {
                Hand::Right => Sign::FermataAbove,
                Hand::Left => Sign::FermataBelow,
            };
            let ink = MusicFace::get().bounds(sign);
            let centre = x + chord.centre_x();
            let over = Extent::around(centre, ink.width());
            let staff = &mut self.staves[hand];
            let y = match hand {
                Hand::Right => {
                    staff.skyline.top(over).unwrap_or(2.0).max(2.0) + rules::FERMATA_GAP - ink.y0
                }
                Hand::Left => {
                    let below = staff.skyline.bottom(over).unwrap_or(-2.0).min(-2.0);
                    below - rules::FERMATA_GAP - ink.y1
                }
            };
            let at = Point::new(centre - ink.center().x, y);
            staff.add([Engraved::sign(MarkRole::Fermata, sign, at)]);
        }
    }
}

/// An end of the ties that lead from an event or to it.
fn end<'a>(standing: &Standing<'a>) -> Option<End<'a>> {
    let cell = standing.cell;
    Some(End { x: standing.x, event: cell.event, chord: cell.chord()? })
}

/// The small sign of a change to `clef`, clear of what begins at `right`.
fn change_mark(clef: Clef, right: Sp) -> Engraved {
    let sign = change_sign(clef);
    let left = right - rules::CLEF_CHANGE_AFTER - change_width(clef);
    let x = left - MusicFace::get().bounds(sign).x0;
    Engraved::sign(MarkRole::Clef, sign, Point::new(x, clef_line(clef)))
}
