//! Major and minor.

/// Whether a key is major or minor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tonality {
    /// A major key.
    Major,
    /// A minor key.
    Minor,
}

impl Tonality {
    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Major => "major",
            Self::Minor => "minor",
        }
    }
}
