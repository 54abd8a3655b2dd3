//! Springs: gaps that give as a force grows, and the force that fills a width.

use smallvec::SmallVec;

use super::rules::Sp;

/// The space between two stops of a system.
#[derive(Clone, Copy, Debug)]
pub(super) struct Gap {
    /// It never gets narrower.
    pub(super) min: Sp,
    /// It has this width at force 1, and grows with the force.
    pub(super) ideal: Sp,
}

impl Gap {
    pub(super) fn rigid(width: Sp) -> Self {
        Self { min: width, ideal: 0.0 }
    }

    pub(super) fn at(self, force: f64) -> Sp {
        (self.ideal * force).max(self.min)
    }
}

/// The gaps of a bar in the order in which they begin to give as the force grows, so that their
/// sums at any force are found without going through them all.
#[derive(Debug)]
pub(super) struct Springs {
    /// The force beyond which each gap is wider than its rod.
    gives: Vec<f64>,
    /// What the first gaps come to, one more at each place.
    sums: Vec<Sums>,
    /// All rods.
    pub(super) rods: Sp,
}

/// The rods and the ideal widths of some gaps.
#[derive(Clone, Copy, Debug, Default)]
struct Sums {
    rods: Sp,
    ideals: Sp,
}

impl Springs {
    pub(super) fn of(gaps: &[Gap]) -> Self {
        let mut order: SmallVec<[(f64, &Gap); 24]> = gaps
            .iter()
            .filter(|gap| gap.ideal > 0.0)
            .map(|gap| (gap.min / gap.ideal, gap))
            .collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut sums = Vec::with_capacity(order.len() + 1);
        sums.push(Sums::default());
        let mut sum = Sums::default();
        for (_, gap) in &order {
            sum = Sums { rods: sum.rods + gap.min, ideals: sum.ideals + gap.ideal };
            sums.push(sum);
        }
        let gives = order.into_iter().map(|(force, _)| force).collect();
        Self { gives, sums, rods: gaps.iter().map(|gap| gap.min).sum() }
    }

    /// The rods of the gaps that stand firm at a force, and the ideal widths of those that give.
    pub(super) fn at(&self, force: f64) -> (Sp, Sp) {
        let giving = self.sums[self.gives.partition_point(|gives| *gives < force)];
        (self.rods - giving.rods, giving.ideals)
    }
}

/// The force at which gaps come to `width`: Newton's method on a sum that is convex in the
/// force and made of straight pieces, so that it ends after a few steps. `sums` gives what the
/// gaps that stand firm at a force come to, and the ideal widths of the others.
pub(super) fn solve(sums: impl Fn(f64) -> (Sp, Sp), width: Sp) -> f64 {
    /// Stretch past which a line would rather stay short.
    const MOST: f64 = 8.0;
    /// Steps that are never needed: a guard against rounding.
    const STEPS: i32 = 64;
    let mut force = MOST;
    for _ in 0..STEPS {
        let (rigid, elastic) = sums(force);
        if elastic <= 0.0 {
            // No space is left to give: either it comes out, or the rods alone are too wide.
            return if rigid > width + 1e-9 { 0.0 } else { force };
        }
        let next = (width - rigid) / elastic;
        if (next - force).abs() < 1e-12 {
            break;
        }
        force = next;
    }
    force.clamp(0.0, MOST)
}
