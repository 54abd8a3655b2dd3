//! Pages: where everything stands on paper, in points.

pub mod canvas;
