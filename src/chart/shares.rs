//! How long a tune is in which keys.

use super::{Analysis, Unfolded};
use crate::theory::Key;

/// How long a tune is in a key.
#[derive(Clone, Debug, PartialEq)]
pub struct KeyShare {
    /// The key.
    pub key: Key,
    /// How many bars it lasts, as heard.
    pub bars: f64,
    /// Whether its tonic ever sounds at rest: stayed in, not only touched.
    pub is_stayed: bool,
    /// Its stretches, each with its first and its last bar, counted from 1.
    pub stretches: Vec<[usize; 2]>,
}

/// The keys of a tune, the longest first.
pub fn key_shares(tune: &Unfolded, analysis: &Analysis) -> Vec<KeyShare> {
    let mut shares: Vec<KeyShare> = Vec::new();
    for area in &analysis.areas {
        let bars = f64::from(area.until - area.from.max(0)) / f64::from(tune.metre.bar());
        let stretch = [area.first_bar + 1, area.last_bar + 1];
        match shares.iter_mut().find(|share| is_same(share.key, area.key)) {
            Some(share) => {
                share.bars += bars;
                share.is_stayed |= area.is_stayed;
                share.stretches.push(stretch);
            }
            None => shares.push(KeyShare {
                key: area.key,
                bars,
                is_stayed: area.is_stayed,
                stretches: vec![stretch],
            }),
        }
    }
    shares.sort_by(|one, other| other.bars.total_cmp(&one.bars));
    shares
}

/// Whether two keys sound the same.
pub fn is_same(one: Key, other: Key) -> bool {
    one.is_minor() == other.is_minor() && one.tonic().pitch_class() == other.tonic().pitch_class()
}
