//! Words and numbers: the text faces, their shaping and their measures.

/// The cuts of the text family.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TextFace {
    /// Upright, for running text.
    Regular,
    /// Italic, for asides.
    Italic,
    /// Upright semibold, for chord symbols and labels.
    Semibold,
    /// Upright bold, for headings.
    Bold,
}
