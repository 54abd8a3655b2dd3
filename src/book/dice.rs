//! What falls as dice do, the same for the same seed.

/// Shuffles by the dice of a seed.
pub(crate) fn shuffle<T>(items: &mut [T], seed: u64) {
    Dice(seed).shuffle(items);
}

/// SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, *Fast splittable pseudorandom number
/// generators*, OOPSLA 2014): whole numbers alone, so the same on every machine.
pub(super) struct Dice(pub(super) u64);

impl Dice {
    /// Shuffles fairly (R. Durstenfeld, *Algorithm 235: Random permutation*, 1964).
    pub(super) fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            items.swap(last, self.below(last + 1));
        }
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number below `count`: the high half of a product, whose bias no list of keys can show.
    fn below(&mut self, count: usize) -> usize {
        ((u128::from(self.next()) * count as u128) >> 64) as usize
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first numbers from the seed 1234567 as other implementations print them.
    #[test]
    fn the_dice_are_those_of_the_paper() {
        let mut dice = Dice(1_234_567);
        let found = [(); 3].map(|()| dice.next());
        let expected = [6_457_827_717_110_365_317, 3_203_168_211_198_807_973];
        assert_eq!(found[..2], expected);
        assert_eq!(found[2], 9_817_491_932_198_370_423);
    }
}
