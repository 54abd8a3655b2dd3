//! How far lines of words stand apart.

use crate::typeset::line::Style;

/// From one baseline to the next.
pub(crate) fn leading(style: Style) -> f64 {
    1.32 * style.size
}
