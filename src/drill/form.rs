//! What a passage says of the form of a drill: sections, titles, repeats and their endings, and
//! what is read in another octave.

use crate::score::ByHand;

/// What a passage says of the form.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PassageForm {
    /// The letter of the section that begins with it.
    pub section: Option<String>,
    /// What stands over its beginning.
    pub title: Option<String>,
    /// Where it is repeated, alone or with others.
    pub repeat: Option<Repeat>,
    /// How often the repeat is played that ends with it; twice where nothing is said.
    pub times: Option<u8>,
    /// The rounds that it is the ending of, rising; none where it is played in all of them.
    pub ending: Vec<u8>,
    /// Whether a section ends with it.
    pub ends_section: bool,
    /// After how many of its bars the music goes on to the coda, the last time.
    pub to_coda: Option<usize>,
    /// Where the music goes on from its end, in words.
    pub way_on: Option<String>,
    /// How many octaves above what is written each hand sounds.
    pub octaves: ByHand<i32>,
}

/// What a passage is to a repeat.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Repeat {
    /// A repeat begins with it.
    Begin,
    /// A repeat ends with it.
    End,
    /// It is repeated by itself.
    Whole,
}

impl PassageForm {
    /// Whether a repeat begins with the passage.
    pub const fn begins_repeat(&self) -> bool {
        matches!(self.repeat, Some(Repeat::Begin | Repeat::Whole))
    }

    /// Whether a repeat ends with the passage, other than by an ending.
    pub const fn ends_repeat(&self) -> bool {
        matches!(self.repeat, Some(Repeat::End | Repeat::Whole))
    }
}
