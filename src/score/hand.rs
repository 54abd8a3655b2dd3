//! The two hands, and what each of them has.

use std::ops::{Index, IndexMut};

use super::clef::Clef;

/// A hand, and the staff that it reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "hands name themselves")]
pub enum Hand {
    Right,
    Left,
}

impl Hand {
    /// Both hands, in the order of their staves from the top.
    pub const BOTH: [Self; 2] = [Self::Right, Self::Left];

    /// The hand that it is not.
    pub const fn other(self) -> Self {
        match self {
            Self::Right => Self::Left,
            Self::Left => Self::Right,
        }
    }

    /// The clef that its staff usually has.
    pub const fn usual_clef(self) -> Clef {
        match self {
            Self::Right => Clef::Treble,
            Self::Left => Clef::Bass,
        }
    }
}

/// Something that each hand has, found by the [`Hand`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[expect(missing_docs, reason = "hands name themselves")]
pub struct ByHand<T> {
    pub right: T,
    pub left: T,
}

impl<T> ByHand<T> {
    /// What `make` gives for each hand, the right one first.
    pub fn each(mut make: impl FnMut(Hand) -> T) -> Self {
        Self { right: make(Hand::Right), left: make(Hand::Left) }
    }

    /// What `change` makes of each, the right hand's first.
    pub fn map<U>(self, mut change: impl FnMut(T) -> U) -> ByHand<U> {
        ByHand { right: change(self.right), left: change(self.left) }
    }

    /// Each beside its hand, the right one first.
    pub fn with_hands(self) -> [(Hand, T); 2] {
        [(Hand::Right, self.right), (Hand::Left, self.left)]
    }

    /// Both by reference.
    pub const fn as_ref(&self) -> ByHand<&T> {
        ByHand { right: &self.right, left: &self.left }
    }

    /// Both, the right hand's first.
    pub fn iter(&self) -> impl Iterator<Item = &T> + Clone {
        [&self.right, &self.left].into_iter()
    }

    /// Both to be changed, the right hand's first.
    pub fn iter_mut(&mut self) -> impl Iterator<Item = &mut T> {
        [&mut self.right, &mut self.left].into_iter()
    }
}

impl<T> Index<Hand> for ByHand<T> {
    type Output = T;

    fn index(&self, hand: Hand) -> &T {
        match hand {
            Hand::Right => &self.right,
            Hand::Left => &self.left,
        }
    }
}

impl<T> IndexMut<Hand> for ByHand<T> {
    fn index_mut(&mut self, hand: Hand) -> &mut T {
        match hand {
            Hand::Right => &mut self.right,
            Hand::Left => &mut self.left,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_hand_finds_its_own() {
        let mut clefs = ByHand::each(Hand::usual_clef);
        assert_eq!((clefs[Hand::Right], clefs[Hand::Left]), (Clef::Treble, Clef::Bass));
        clefs[Hand::Left] = Clef::Treble;
        assert_eq!(clefs, ByHand { right: Clef::Treble, left: Clef::Treble });
        assert_eq!(clefs.map(Clef::middle_line).with_hands()[1], (Hand::Left, 34));
    }
}
