//! Shaped runs, kept for the next call.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, OnceLock};

use crate::typeset::shape::Run;

/// Runs kept for reuse in each face. A workbook has a few hundred different ones; past the
/// limit none are added, so that a long roster cannot fill the memory.
pub(crate) const KEPT_RUNS: usize = 4096;

/// Chains that the runs of a face are hung on, by their texts: about one for each run.
const CHAINS: usize = 1024;

/// The kept runs of one face.
///
/// Runs are added and never taken away, so looking one up writes to nothing: threads that measure
/// words at the same time do not wait for each other, as they would even at a lock for readers.
pub(crate) struct Store {
    chains: [Link; CHAINS],
    kept: AtomicUsize,
}

/// The next run of a chain, if there is one.
type Link = OnceLock<Box<Kept>>;

struct Kept {
    run: Arc<Run>,
    next: Link,
}

impl Store {
    pub(crate) const fn new() -> Self {
        Self { chains: [const { OnceLock::new() }; CHAINS], kept: AtomicUsize::new(0) }
    }

    /// What `look` reads off the run of a text, which `shape` makes if it is not kept yet.
    pub(crate) fn read<T>(
        &self,
        text: &str,
        shape: impl FnOnce() -> Run,
        look: impl FnOnce(&Arc<Run>) -> T,
    ) -> T {
        let mut link = &self.chains[chain_of(text)];
        while let Some(kept) = link.get() {
            if kept.run.text() == text {
                return look(&kept.run);
            }
            link = &kept.next;
        }
        let run = Arc::new(shape());
        let seen = look(&run);
        if self.kept.fetch_add(1, Ordering::Relaxed) < KEPT_RUNS {
            hang(link, run);
        }
        seen
    }
}

/// Hangs a run on the end of a chain, which other threads may have moved on meanwhile.
fn hang(mut end: &Link, run: Arc<Run>) {
    let mut new = Box::new(Kept { run, next: OnceLock::new() });
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
    use crate::typeset::face::TextFace;
    use crate::typeset::shape::fresh;

    fn run(store: &Store, text: &str) -> Arc<Run> {
        store.read(text, || fresh(TextFace::Regular, text), Arc::clone)
    }

    #[test]
    fn a_kept_run_is_shaped_once() {
        let store = Store::new();
        let first = run(&store, "Cmaj7");
        assert!(Arc::ptr_eq(&first, &run(&store, "Cmaj7")));
        assert!(!Arc::ptr_eq(&first, &run(&store, "Cm7")));
    }

    #[test]
    fn texts_on_one_chain_are_told_apart() {
        let store = Store::new();
        let texts: Vec<String> = (0..3 * CHAINS).map(|n| n.to_string()).collect();
        for text in texts.iter().chain(&texts) {
            assert_eq!(run(&store, text).text(), text);
        }
        assert_eq!(store.kept.load(Ordering::Relaxed), texts.len());
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
