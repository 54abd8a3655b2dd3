//! Stretches of a staff, from one abscissa to another.

use super::rules::Sp;

/// From one abscissa to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Extent {
    pub(super) left: Sp,
    pub(super) right: Sp,
}

impl Extent {
    /// The whole of a staff.
    pub(super) const ALL: Self = Self { left: Sp::NEG_INFINITY, right: Sp::INFINITY };

    /// So wide about a middle.
    pub(super) fn around(centre: Sp, width: Sp) -> Self {
        Self { left: centre - width / 2.0, right: centre + width / 2.0 }
    }
}
