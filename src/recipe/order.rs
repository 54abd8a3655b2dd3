//! The order of the keys.

use serde::{Deserialize, Serialize};

use crate::book::shuffle;
use crate::theory::AskedKey;

/// An order in which keys are printed.
///
/// It depends on which keys there are and, where they are shuffled, on a seed; never on how they
/// stood before, so that keys in an order stay as they are when they are put in it again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum KeyOrder {
    /// C F B♭ E♭ ...
    FallingFifths,
    /// C G D A ...
    RisingFifths,
    /// C D♭ D E♭ ...
    Chromatic,
    /// As dice fall that fall the same for the same seed.
    Shuffled,
}

impl KeyOrder {
    /// Puts keys, no two of which sound the same, in this order.
    pub(super) fn arrange(self, keys: &mut [AskedKey], seed: u32) {
        keys.sort_by_key(|key| {
            let place = key.place_in_round();
            match self {
                Self::FallingFifths | Self::Shuffled => place,
                Self::RisingFifths => (12 - place) % 12,
                // A fifth down is five semitones up.
                Self::Chromatic => 5 * place % 12,
            }
        });
        if self == Self::Shuffled {
            shuffle(keys, u64::from(seed));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::Spelling;

    fn arranged(order: KeyOrder, seed: u32) -> String {
        let mut keys = AskedKey::round(Spelling::Customary);
        keys.reverse();
        order.arrange(&mut keys, seed);
        keys.map(|key| key.tonic().plain()).join(" ")
    }

    #[test]
    fn each_order_is_what_its_name_says() {
        let expected = "C F Bb Eb Ab Db Gb B E A D G";
        assert_eq!(arranged(KeyOrder::FallingFifths, 0), expected);
        let expected = "C G D A E B Gb Db Ab Eb Bb F";
        assert_eq!(arranged(KeyOrder::RisingFifths, 0), expected);
        let expected = "C Db D Eb E F Gb G Ab A Bb B";
        assert_eq!(arranged(KeyOrder::Chromatic, 0), expected);
    }

    #[test]
    fn a_seed_gives_one_order_and_other_seeds_others() {
        let orders: std::collections::BTreeSet<String> =
            (0..100).map(|seed| arranged(KeyOrder::Shuffled, seed)).collect();
        assert_eq!(orders.len(), 100);
        let mut keys = AskedKey::round(Spelling::Customary);
        KeyOrder::Shuffled.arrange(&mut keys, 7);
        let once = keys;
        KeyOrder::Shuffled.arrange(&mut keys, 7);
        assert_eq!(keys, once);
    }
}
