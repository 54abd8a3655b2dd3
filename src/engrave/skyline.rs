//! Skylines: how far ink reaches up or down over a stretch of a staff.

use kurbo::Rect;

use super::rules::Sp;

/// The boxes round the ink of one staff and its company.
///
/// They are kept in stripes of equal width, each box in every stripe that it reaches into, so
/// that a question about a stretch meets only what is near.
#[derive(Clone, Debug, Default)]
pub(super) struct Skyline {
    stripes: Vec<Vec<Rect>>,
}

/// Wide enough to hold a column, narrow enough to hold few more.
const STRIPE: Sp = 4.0;

/// Boxes that there is room for in a stripe from the beginning.
const USUAL: usize = 16;

impl Skyline {
    /// Adds ink.
    pub(super) fn add(&mut self, ink: Rect) {
        let (first, last) = (stripe(ink.x0), stripe(ink.x1));
        if self.stripes.len() <= last {
            self.stripes.resize_with(last + 1, || Vec::with_capacity(USUAL));
        }
        for stripe in &mut self.stripes[first..=last] {
            stripe.push(ink);
        }
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
        let last = stripe(x1).saturating_add(1).min(self.stripes.len());
        let first = stripe(x0).min(last);
        self.stripes[first..last].iter().flatten().filter(move |ink| ink.x0 < x1 && x0 < ink.x1)
    }
}

/// The stripe of an abscissa; what lies left of the staff belongs to the first.
fn stripe(x: Sp) -> usize {
    // The cast takes infinity to the last number there is, and what is negative to 0.
    (x / STRIPE) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ink_is_found_from_every_side_and_only_where_it_is() {
        let mut skyline = Skyline::default();
        skyline.add(Rect::new(-1.5, -3.0, 0.5, 4.0));
        skyline.add(Rect::new(3.0, -1.0, 13.0, 2.0));
        skyline.add(Rect::new(11.0, -5.0, 11.5, 1.0));
        assert_eq!(skyline.top(-9.0, 0.0), Some(4.0));
        assert_eq!(skyline.top(0.5, 3.0), None);
        assert_eq!(skyline.top(7.9, 8.1), Some(2.0));
        assert_eq!(skyline.bottom(10.0, 12.0), Some(-5.0));
        assert_eq!(skyline.bottom(11.5, 12.0), Some(-1.0));
        assert_eq!(skyline.top(Sp::NEG_INFINITY, Sp::INFINITY), Some(4.0));
        assert_eq!(skyline.bottom(20.0, Sp::INFINITY), None);
        assert_eq!(Skyline::default().top(0.0, 9.0), None);
    }
}
