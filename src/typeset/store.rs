//! What has been made of a text, kept for the next call.

use std::ops::Deref;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, OnceLock};

/// Values kept for reuse. A workbook has a few hundred different texts; past the limit none are
/// added, so that a long roster cannot fill the memory.
pub(super) const KEPT: usize = 4096;

/// Chains that values are hung on, by their texts: a few for each.
const CHAINS: usize = 1024;

/// What has been made of texts.
///
/// Values are added and never taken away, so looking one up writes to nothing: threads that
/// measure words at the same time do not wait for each other, as they would even at a lock for
/// readers. A map of the standard library behind such a lock takes four to seven times as long to
/// read, with one thread and with two.
pub(super) struct TextStore<T> {
    chains: [ChainLink<T>; CHAINS],
    kept: AtomicUsize,
}

/// A value of a store: lent where it is kept, which costs nothing, since counting owners is what
/// threads wait for each other at.
pub(super) enum Lent<'a, T> {
    Kept(&'a Arc<T>),
    /// Just made.
    New(Arc<T>),
}

impl<T> Deref for Lent<'_, T> {
    type Target = Arc<T>;

    fn deref(&self) -> &Arc<T> {
        match self {
            Self::Kept(value) => value,
            Self::New(value) => value,
        }
    }
}

/// The next value of a chain, if there is one.
type ChainLink<T> = OnceLock<Box<KeptText<T>>>;

struct KeptText<T> {
    text: Box<str>,
    value: Arc<T>,
    next: ChainLink<T>,
}

impl<T> TextStore<T> {
    pub(super) const fn new() -> Self {
        Self { chains: [const { OnceLock::new() }; CHAINS], kept: AtomicUsize::new(0) }
    }

    /// What `look` reads off the value of a text, which `make` makes if it is not kept yet.
    pub(super) fn read<R>(
        &self,
        text: &str,
        make: impl FnOnce() -> T,
        look: impl FnOnce(&Arc<T>) -> R,
    ) -> R {
        look(&self.lend(text, make))
    }

    /// The value of a text, which `make` makes if it is not kept yet.
    pub(super) fn lend(&self, text: &str, make: impl FnOnce() -> T) -> Lent<'_, T> {
        let mut link = &self.chains[chain_of(text)];
        while let Some(kept) = link.get() {
            if *kept.text == *text {
                return Lent::Kept(&kept.value);
            }
            link = &kept.next;
        }
        let value = Arc::new(make());
        let seen = Lent::New(Arc::clone(&value));
        if self.kept.fetch_add(1, Ordering::Relaxed) < KEPT {
            hang(link, KeptText { text: text.into(), value, next: OnceLock::new() });
        }
        seen
    }
}

/// Hangs a value on the end of a chain, which other threads may have moved on meanwhile.
fn hang<T>(mut end: &ChainLink<T>, new: KeptText<T>) {
    let mut new = Box::new(new);
    while let Err(refused) = end.set(new) {
        new = refused;
        let Some(taken) = end.get() else { return };
        end = &taken.next;
    }
}

/// The chain of a text. Most texts are shorter than a word of the processor: each word is
/// multiplied with an odd constant, and the halves of the product are laid over each other.
fn chain_of(text: &str) -> usize {
    const ODD: u64 = 0x9e37_79b9_7f4a_7c15;
    let mix = |hash: u64, word: u64| {
        let product = u128::from(hash ^ word ^ ODD) * u128::from(ODD);
        product as u64 ^ (product >> 64) as u64
    };
    let (words, rest) = text.as_bytes().as_chunks::<8>();
    let hash = words.iter().fold(0, |hash, word| mix(hash, u64::from_le_bytes(*word)));
    let last = rest.iter().fold(1, |last, byte| (last << 8) | u64::from(*byte));
    mix(hash, last) as usize % CHAINS
}

#[cfg(test)]
mod tests {
    use super::*;

    fn length(store: &TextStore<usize>, text: &str) -> Arc<usize> {
        store.read(text, || text.len(), Arc::clone)
    }

    #[test]
    fn a_value_is_made_once() {
        let store = TextStore::new();
        let first = length(&store, "Cmaj7");
        assert!(Arc::ptr_eq(&first, &length(&store, "Cmaj7")));
        assert!(!Arc::ptr_eq(&first, &length(&store, "Dmaj7")));
    }

    #[test]
    fn texts_on_one_chain_are_told_apart() {
        let store = TextStore::new();
        let texts: Vec<String> = (0..3 * CHAINS).map(|n| n.to_string()).collect();
        for text in texts.iter().chain(&texts) {
            assert_eq!(*store.read(text, || text.clone(), Arc::clone), *text);
        }
        assert_eq!(store.kept.load(Ordering::Relaxed), texts.len());
    }

    #[test]
    fn past_the_limit_none_is_kept() {
        let store = TextStore::new();
        for number in 0..KEPT + 10 {
            length(&store, &number.to_string());
        }
        let last = (KEPT + 9).to_string();
        assert!(!Arc::ptr_eq(&length(&store, &last), &length(&store, &last)));
        assert!(Arc::ptr_eq(&length(&store, "7"), &length(&store, "7")));
    }

    #[test]
    fn texts_spread_over_the_chains() {
        let texts = (0..4 * CHAINS).map(|n| n.to_string());
        let mut chains: Vec<usize> = texts.map(|text| chain_of(&text)).collect();
        chains.sort_unstable();
        let longest = chains.chunk_by(|a, b| a == b).map(<[usize]>::len).max();
        assert!(longest < Some(24), "{longest:?}");
    }
}
