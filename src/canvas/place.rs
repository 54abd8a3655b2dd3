//! From staff spaces to points: an engraved mark on its place on the page.

use kurbo::{Affine, Point};

use crate::canvas::{Ink, Mark};
use crate::engrave::{Form, Mark as Engraved};

/// An engraved mark on the page: its origin at `origin`, its staff space `space` points wide.
pub(crate) fn mark(engraved: &Engraved, origin: Point, space: f64) -> Mark {
    placed(engraved.clone(), origin, space)
}

/// The same for a mark that is needed nowhere else.
pub(crate) fn placed(engraved: Engraved, origin: Point, space: f64) -> Mark {
    let place = |at: Point| origin + at.to_vec2() * space;
    let ink = Ink::Black;
    match engraved.form {
        Form::Sign { sign, at, scale } => {
            Mark::Sign { sign, at: place(at), size: 4.0 * scale * space, ink }
        }
        Form::Text { text, face, at, size } => {
            Mark::Text { text, face, at: place(at), size: size * space, ink }
        }
        Form::Line { from, to, width } => {
            Mark::Line { from: place(from), to: place(to), width: width * space, ink }
        }
        Form::Fill(mut path) => {
            path.apply_affine(Affine::translate(origin.to_vec2()) * Affine::scale(space));
            Mark::Fill { path, ink }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engrave::Role;
    use crate::glyphs::Sign;

    #[test]
    fn a_mark_covers_on_the_page_what_it_covers_on_the_staff() {
        let origin = Point::new(100.0, 500.0);
        let marks = [
            Engraved::sign(Role::Clef, Sign::GClef, Point::new(2.0, -1.0)),
            Engraved::line(Role::Stem, Point::new(1.0, 0.0), Point::new(1.0, 3.5), 0.11),
        ];
        for engraved in marks {
            let staff = engraved.bounds();
            let page = mark(&engraved, origin, 5.0).bounds();
            for (on_page, on_staff) in [
                (page.x0, 100.0 + 5.0 * staff.x0),
                (page.x1, 100.0 + 5.0 * staff.x1),
                (page.y0, 500.0 + 5.0 * staff.y0),
                (page.y1, 500.0 + 5.0 * staff.y1),
            ] {
                assert!((on_page - on_staff).abs() < 1e-9, "{engraved:?}");
            }
        }
    }
}
