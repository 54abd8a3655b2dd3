//! The weights that all signs share, in sp, so that one hand is seen to have drawn them.

/// Upright lines of accidentals and other signs that stand beside stems.
pub(crate) const UPRIGHT: f64 = 0.13;

/// Stems of the engraver; anchors and precomposed notes agree with it.
pub(crate) const STEM: f64 = 0.11;

/// Thickness of a beam.
pub(crate) const BEAM: f64 = 0.50;

/// Radius that takes the bite out of a corner.
pub(crate) const SOFT: f64 = 0.035;
