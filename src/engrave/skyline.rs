//! Skylines: how far ink reaches up or down over a stretch of a staff.

use kurbo::Rect;

use super::rules::Sp;

/// The boxes round the ink of one staff and its company.
#[derive(Clone, Debug, Default)]
pub(super) struct Skyline {
    boxes: Vec<Rect>,
}

impl Skyline {
    /// Adds ink.
    pub(super) fn add(&mut self, ink: Rect) {
        self.boxes.push(ink);
    }

    /// The highest ink between two abscissas, or `None` where there is none.
    pub(super) fn top(&self, x0: Sp, x1: Sp) -> Option<Sp> {
        self.over(x0, x1).map(|ink| ink.y1).max_by(Sp::total_cmp)
    }

    /// The lowest ink between two abscissas, or `None` where there is none.
    pub(super) fn bottom(&self, x0: Sp, x1: Sp) -> Option<Sp> {
        self.over(x0, x1).map(|ink| ink.y0).min_by(Sp::total_cmp)
    }

    fn over(&self, x0: Sp, x1: Sp) -> impl Iterator<Item = &Rect> {
        self.boxes.iter().filter(move |ink| ink.x0 < x1 && x0 < ink.x1)
    }
}
