//! What has been made of a text, kept for the next call.

use std::collections::BTreeMap;
use std::sync::{Arc, PoisonError, RwLock};

/// Values kept for reuse. A workbook has a few hundred different texts; past the limit none are
/// added, so that a long roster cannot fill the memory.
pub(super) const KEPT: usize = 4096;

/// What has been made of texts. Values are added and never taken away.
pub(super) struct Store<T> {
    kept: RwLock<BTreeMap<Box<str>, Arc<T>>>,
}

impl<T> Store<T> {
    pub(super) const fn new() -> Self {
        Self { kept: RwLock::new(BTreeMap::new()) }
    }

    /// What `look` reads off the value of a text, which `make` makes if it is not kept yet.
    pub(super) fn read<R>(
        &self,
        text: &str,
        make: impl FnOnce() -> T,
        look: impl FnOnce(&Arc<T>) -> R,
    ) -> R {
        // A thread that panicked while it held the lock left the map whole.
        if let Some(value) = self.kept.read().unwrap_or_else(PoisonError::into_inner).get(text) {
            return look(value);
        }
        let value = Arc::new(make());
        let seen = look(&value);
        let mut kept = self.kept.write().unwrap_or_else(PoisonError::into_inner);
        if kept.len() < KEPT {
            kept.entry(text.into()).or_insert(value);
        }
        seen
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn length(store: &Store<usize>, text: &str) -> Arc<usize> {
        store.read(text, || text.len(), Arc::clone)
    }

    #[test]
    fn a_value_is_made_once() {
        let store = Store::new();
        let first = length(&store, "Cmaj7");
        assert!(Arc::ptr_eq(&first, &length(&store, "Cmaj7")));
        assert!(!Arc::ptr_eq(&first, &length(&store, "Dmaj7")));
    }

    #[test]
    fn the_store_does_not_grow_without_end() {
        let store = Store::new();
        for number in 0..KEPT + 10 {
            assert_eq!(*length(&store, &number.to_string()), number.to_string().len());
        }
        assert_eq!(store.kept.read().unwrap().len(), KEPT);
    }
}
