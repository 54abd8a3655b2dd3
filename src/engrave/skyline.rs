//! Skylines: how far ink reaches up or down over a stretch of a staff.

use kurbo::Rect;

use super::extent::Extent;
use super::rules::Sp;

/// The boxes round the ink of one staff and its company.
///
/// They hang in stripes of equal width, each box in every stripe that it reaches into, so that a
/// question about a stretch meets only what is near. All stripes share one store.
#[derive(Clone, Debug, Default)]
pub(super) struct Skyline {
    /// The last link of each stripe's chain, or [`END`].
    stripes: Vec<usize>,
    links: Vec<Hung>,
}

#[derive(Clone, Copy, Debug)]
struct Hung {
    ink: Rect,
    /// The link before it in its stripe, or [`END`].
    before: usize,
}

/// No link.
const END: usize = usize::MAX;

/// Wide enough to hold a column, narrow enough to hold few more.
const STRIPE: Sp = 4.0;

impl Skyline {
    /// None yet, with room for so much ink.
    pub(super) fn with_room(boxes: usize) -> Self {
        Self { stripes: Vec::new(), links: Vec::with_capacity(boxes) }
    }

    /// Adds ink.
    pub(super) fn add(&mut self, ink: Rect) {
        let (first, last) = (stripe(ink.x0), stripe(ink.x1));
        if self.stripes.len() <= last {
            self.stripes.resize(last + 1, END);
        }
        for stripe in &mut self.stripes[first..=last] {
            self.links.push(Hung { ink, before: *stripe });
            *stripe = self.links.len() - 1;
        }
    }

    /// The highest ink over a stretch, or `None` where there is none.
    pub(super) fn top(&self, stretch: Extent) -> Option<Sp> {
        self.over(stretch).map(|ink| ink.y1).reduce(Sp::max)
    }

    /// The lowest ink over a stretch, or `None` where there is none.
    pub(super) fn bottom(&self, stretch: Extent) -> Option<Sp> {
        self.over(stretch).map(|ink| ink.y0).reduce(Sp::min)
    }

    fn over(&self, Extent { left, right }: Extent) -> impl Iterator<Item = &Rect> {
        let last = stripe(right).saturating_add(1).min(self.stripes.len());
        let first = stripe(left).min(last);
        let chain = |end: &usize| {
            std::iter::successors(self.links.get(*end), |link| self.links.get(link.before))
        };
        let near = self.stripes[first..last].iter().flat_map(chain).map(|link| &link.ink);
        near.filter(move |ink| ink.x0 < right && left < ink.x1)
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
        let over = |left: Sp, right: Sp| Extent { left, right };
        let mut skyline = Skyline::default();
        skyline.add(Rect::new(-1.5, -3.0, 0.5, 4.0));
        skyline.add(Rect::new(3.0, -1.0, 13.0, 2.0));
        skyline.add(Rect::new(11.0, -5.0, 11.5, 1.0));
        assert_eq!(skyline.top(over(-9.0, 0.0)), Some(4.0));
        assert_eq!(skyline.top(over(0.5, 3.0)), None);
        assert_eq!(skyline.top(over(7.9, 8.1)), Some(2.0));
        assert_eq!(skyline.bottom(over(10.0, 12.0)), Some(-5.0));
        assert_eq!(skyline.bottom(over(11.5, 12.0)), Some(-1.0));
        assert_eq!(skyline.top(over(Sp::NEG_INFINITY, Sp::INFINITY)), Some(4.0));
        assert_eq!(skyline.bottom(over(20.0, Sp::INFINITY)), None);
        assert_eq!(Skyline::default().top(over(0.0, 9.0)), None);
    }
}
