//! The ring of keys: twelve stations in falling fifths, counter-clockwise from C at the top.

use std::f64::consts::{FRAC_PI_2, TAU};

use kurbo::{Arc, BezPath, Point, Shape as _, Vec2};

use crate::canvas::board::{Board, GUIDE, RULE};
use crate::canvas::{Ink, Mark, Trace};
use crate::theory::{Key, Mode, Spelling};
use crate::typeset::line::{Phrase, Style};
use crate::typeset::{self, TextFace, polygon};

/// Largest em of a label, in points, and its share of the radius below that.
const LARGEST_LABEL: f64 = 19.0;
const LABEL: f64 = 0.225;
/// Radius of the disc behind the label of the key at hand, in ems of the label.
const DISC: f64 = 0.82;
/// White between that disc and its station, in ems.
const DISC_GAP: f64 = 0.12;
/// Radius of a station, in ems of the label.
const STATION: f64 = 0.13;
/// Em of the other spelling beside a label, in ems of the label; left out below the least, in
/// points.
const OTHER_SPELLING: f64 = 0.68;
const LEAST_OTHER_SPELLING: f64 = 8.0;
/// Thickness of the arrow to the next key, and length and half width of its head, in ems.
const ARROW: [f64; 3] = [0.16, 0.5, 0.26];
/// White between the tip of an arrow and the station it points to, in ems.
const ARROW_GAP: f64 = 0.1;
/// Error of a curve that stands for an arc, in points.
const TOLERANCE: f64 = 0.01;

/// A ring of keys.
#[derive(Clone, Copy, Debug)]
pub(crate) struct KeyRing<'a> {
    /// Its middle.
    pub(crate) centre: Point,
    /// From the middle to the outmost ink.
    pub(crate) radius: f64,
    /// The keys of the document, in its order; the others are printed paler.
    pub(crate) keys: &'a [Key],
    /// The keys that are filled, in order; one at the least.
    pub(crate) here: &'a [Key],
    /// The key that an arrow points to from the last of them.
    pub(crate) next: Option<Key>,
}

impl KeyRing<'_> {
    /// The em of its labels.
    fn em(&self) -> f64 {
        (LABEL * self.radius).min(LARGEST_LABEL)
    }

    /// The way from the middle to a key's place; C is at the top.
    fn way(place: usize) -> Vec2 {
        let angle = Self::angle(place);
        Vec2::new(libm::cos(angle), libm::sin(angle))
    }

    fn angle(place: usize) -> f64 {
        FRAC_PI_2 + TAU * place as f64 / 12.0
    }

    /// From the middle to the stations.
    fn inner_radius(&self) -> f64 {
        self.radius - (2.0 * DISC + DISC_GAP + STATION) * self.em()
    }

    fn station(&self, place: usize) -> Point {
        self.centre + Self::way(place) * self.inner_radius()
    }

    /// The middle of the label of a place.
    pub(crate) fn label(&self, place: usize) -> Point {
        self.centre + Self::way(place) * (self.radius - DISC * self.em())
    }

    /// How far a label reaches from its middle at most.
    pub(crate) fn label_reach(&self) -> f64 {
        DISC * self.em()
    }

    /// The key printed at a place: as the document spells it, else as is customary.
    fn key_at(&self, place: usize) -> Key {
        let here = self.here.iter().copied();
        let own = here.chain(self.next).chain(self.keys.iter().copied());
        let mode = self.here.first().map_or(Mode::Major, |key| key.mode());
        own.chain(Key::round(Spelling::Customary).map(|key| key.in_mode(mode)))
            .find(|key| key.place_in_round() == place)
            .expect("the round has a key at each of its places")
    }

    pub(crate) fn draw(&self, board: &mut Board) {
        let radius = self.inner_radius();
        let circle = kurbo::Circle::new(self.centre, radius).to_path(TOLERANCE);
        board.mark(Mark::Trace(Trace::Stroke { path: circle, width: RULE }, Ink::Black));
        for place in 0..12 {
            self.draw_station(board, place);
        }
        self.draw_arrow(board);
    }

    fn draw_station(&self, board: &mut Board, place: usize) {
        let key = self.key_at(place);
        let em = self.em();
        let is_here = self.here.iter().any(|key| key.place_in_round() == place);
        let is_ours = self.keys.iter().any(|own| own.place_in_round() == place);
        let dot = kurbo::Circle::new(self.station(place), STATION * em).to_path(TOLERANCE);
        board.mark(Mark::Trace(Trace::Fill(dot), Ink::Black));
        let style = match (is_here, is_ours) {
            (true, _) => Style::new(TextFace::Bold, em).inked(Ink::Grey(1.0)),
            (false, true) => Style::new(TextFace::Semibold, em),
            (false, false) => Style::new(TextFace::Regular, em).inked(GUIDE),
        };
        let middle = self.label(place);
        if is_here {
            let disc = kurbo::Circle::new(middle, DISC * em).to_path(TOLERANCE);
            board.mark(Mark::Trace(Trace::Fill(disc), Ink::Black));
        }
        centred(board, middle, &key.tonic().to_string(), style);
        let size = OTHER_SPELLING * em;
        if size >= LEAST_OTHER_SPELLING
            && let Some(other) = key.other_spelling()
        {
            let inside = self.inner_radius() - (STATION + 0.85) * em;
            let middle = self.centre + Self::way(place) * inside;
            let style = Style::new(TextFace::Regular, size);
            centred(board, middle, &other.tonic().to_string(), style);
        }
    }

    /// The arrow from this key's station to the next one's: along the ring where they are
    /// neighbours, straight across otherwise.
    fn draw_arrow(&self, board: &mut Board) {
        let [thickness, length, half_width] = ARROW.map(|share| share * self.em());
        let gap = (STATION + ARROW_GAP) * self.em();
        let (Some(next), Some(last)) = (self.next, self.here.last()) else { return };
        let (from, to) = (last.place_in_round(), next.place_in_round());
        if from == to {
            return;
        }
        let radius = self.inner_radius();
        let neighbour = [(1, 1.0), (11, -1.0)];
        let neighbour = neighbour.into_iter().find(|(step, _)| to == (from + step) % 12);
        let (shaft, tip, forward): (BezPath, Point, Vec2) = if let Some((_, turn)) = neighbour {
            let start = Self::angle(from);
            let end = start + turn * (TAU / 12.0 - gap / radius);
            let sweep = end - turn * length * 0.9 / radius - start;
            let arc = Arc::new(self.centre, (radius, radius), start, sweep, 0.0);
            // The head lies along the chord of the arc that it covers.
            let middle = end - turn * length / 2.0 / radius;
            let forward = Vec2::new(-libm::sin(middle), libm::cos(middle)) * turn;
            let tip = self.centre + Vec2::new(libm::cos(end), libm::sin(end)) * radius;
            (arc.to_path(TOLERANCE), tip, forward)
        } else {
            let (start, end) = (self.station(from), self.station(to));
            let forward = (end - start).normalize();
            let tip = end - forward * gap;
            let mut path = BezPath::new();
            path.move_to(start);
            path.line_to(tip - forward * length * 0.9);
            (path, tip, forward)
        };
        let across = Vec2::new(-forward.y, forward.x) * half_width;
        let back = tip - forward * length;
        board.mark(Mark::Trace(Trace::Stroke { path: shaft, width: thickness }, Ink::Black));
        let head = polygon(&[tip, back + across, back - across]);
        board.mark(Mark::Trace(Trace::Fill(head), Ink::Black));
    }
}

/// Words about a point, in the middle of their capitals' height.
fn centred(board: &mut Board, middle: Point, words: &str, style: Style) {
    let baseline = middle.y - typeset::cap_height(style.face, style.size) / 2.0;
    board.about(middle.x, baseline, Phrase::of(words, style));
}

#[cfg(test)]
mod tests {
    use kurbo::{Rect, Size};

    use crate::canvas::Label;

    use super::*;

    fn ring(here: &str, next: &str) -> (KeyRing<'static>, Vec<Mark>) {
        let keys = Box::leak(Box::new(Key::round(Spelling::Customary)));
        let key = |name: &str| name.parse::<Key>().unwrap();
        let ring = KeyRing {
            centre: Point::new(200.0, 300.0),
            radius: 45.0,
            keys,
            here: Box::leak(Box::new([key(here)])),
            next: Some(key(next)),
        };
        let mut board = Board::new(Size::new(600.0, 800.0), Rect::ZERO, Label::default());
        ring.draw(&mut board);
        (ring, board.finish().marks().cloned().collect())
    }

    #[test]
    fn c_is_at_the_top_and_f_to_the_left_of_it() {
        let (ring, _) = ring("C", "F");
        let (c, f, g) = (ring.label(0), ring.label(1), ring.label(11));
        assert!((c.x - 200.0).abs() < 1e-9 && c.y > 330.0);
        assert!(f.x < c.x && f.y < c.y && g.x > c.x);
    }

    #[test]
    fn the_disc_stands_at_the_key_at_hand_and_the_arrow_ends_at_the_next() {
        let keys = Key::round(Spelling::Customary);
        for (place, key) in keys.into_iter().enumerate() {
            let next = keys[(place + 1) % 12];
            let (ring, marks) = ring(&key.tonic().plain(), &next.tonic().plain());
            let fills: Vec<Rect> = marks
                .iter()
                .filter(|mark| matches!(mark, Mark::Trace(Trace::Fill(_), _)))
                .map(Mark::bounds)
                .collect();
            let disc = fills.iter().max_by(|a, b| a.area().total_cmp(&b.area())).unwrap();
            assert!(disc.center().distance(ring.label(place)) < 0.1, "{key}");
            let head = fills.last().unwrap();
            let to_next = head.center().distance(ring.station((place + 1) % 12));
            let to_here = head.center().distance(ring.station(place));
            assert!(to_next < to_here, "{key}: {to_next} beside {to_here}");
        }
    }

    #[test]
    fn a_ring_without_a_next_key_has_no_arrow() {
        let (ring, with) = ring("C", "F");
        let mut board = Board::new(Size::new(600.0, 800.0), Rect::ZERO, Label::default());
        KeyRing { next: None, ..ring }.draw(&mut board);
        // The shaft and the head.
        assert_eq!(with.len() - board.finish().marks().count(), 2);
    }

    #[test]
    fn the_ring_keeps_within_its_radius() {
        let (ring, marks) = ring("Gb", "B");
        let radius = ring.radius + 0.01;
        let room = Rect::from_center_size(ring.centre, (2.0 * radius, 2.0 * radius));
        for mark in marks {
            assert_eq!(room.union(mark.bounds()), room, "{mark:?}");
        }
    }

    #[test]
    fn a_sharp_spelling_takes_the_station_of_its_flat_twin() {
        let (_, marks) = ring("F#", "B");
        let white = marks.iter().find_map(|mark| match mark {
            Mark::Trace(Trace::Text { text, .. }, Ink::Grey(1.0)) => Some(text.as_str()),
            _ => None,
        });
        assert_eq!(white, Some("F"));
    }
}
