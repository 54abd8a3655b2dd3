//! The same work on each of many items, on all processors, with results in order.
//!
//! Which thread does which item differs from run to run; the work must not care.

use std::sync::atomic::{AtomicUsize, Ordering};

use rayon::prelude::*;

/// The results of `work` on each item, in the order of the items.
pub(crate) fn map<I, R>(items: I, work: impl Fn(I::Item) -> R + Sync + Send) -> Vec<R>
where
    I: IntoIterator<Item: Send>,
    R: Send,
{
    let items: Vec<I::Item> = items.into_iter().collect();
    items.into_par_iter().with_max_len(1).map(work).collect()
}

/// The results of `work` on each item, in the order of the items, up to the first that `ends` and with
/// it. Of the items behind that one no more are worked on than are begun before it is met.
pub(crate) fn map_until<I, R>(
    items: I,
    work: impl Fn(I::Item) -> R + Sync + Send,
    ends: impl Fn(&R) -> bool + Sync + Send,
) -> Vec<R>
where
    I: IntoIterator<Item: Send>,
    R: Send,
{
    let last = AtomicUsize::new(usize::MAX);
    let items: Vec<(usize, I::Item)> = items.into_iter().enumerate().collect();
    let results = map(items, |(place, item)| {
        let result = (place <= last.load(Ordering::Relaxed)).then(|| work(item))?;
        if ends(&result) {
            last.fetch_min(place, Ordering::Relaxed);
        }
        Some(result)
    });
    let count = last.into_inner().saturating_add(1);
    results.into_iter().take(count).flatten().collect()
}

/// The result of work that shares its pieces out with [`map`] or [`both`], done where they are: a
/// thread from outside waits once for the whole of it, and not for each piece.
pub(crate) fn inside<R: Send>(work: impl FnOnce() -> R + Send) -> R {
    rayon::join(work, || ()).0
}

/// The results of two pieces of work, done at the same time.
pub(crate) fn both<A: Send, B: Send>(
    one: impl FnOnce() -> A + Send,
    other: impl FnOnce() -> B + Send,
) -> (A, B) {
    rayon::join(one, other)
}

#[cfg(test)]
mod tests {
    use super::{both, inside, map, map_until};

    #[test]
    fn results_keep_the_order_of_the_items() {
        let items: Vec<u64> = (0..1000).collect();
        let squares: Vec<u64> = items.iter().map(|n| n * n).collect();
        assert_eq!(map(&items, |n| n * n), squares);
        assert_eq!(map(&[] as &[u64], |n| n * n), [] as [u64; 0]);
    }

    #[test]
    fn results_end_with_the_first_that_ends_them() {
        for first in [0, 1, 2, 70, 199, 200] {
            let ends = |n: &usize| *n == first || *n == 150;
            let expected: Vec<usize> = (0..=first.min(150)).collect();
            assert_eq!(map_until(0..200, |n| n, ends), expected, "{first}");
        }
        assert_eq!(map_until(0..3, |n| n, |_| false), [0, 1, 2]);
    }

    #[test]
    fn two_pieces_of_work_both_give_their_results() {
        let many = || map(["a", "b", "c"], |word| format!("{word}!"));
        assert_eq!(inside(many), both(many, || 1).0);
        assert_eq!(both(|| 1, many), (1, ["a!", "b!", "c!"].map(str::to_owned).to_vec()));
    }
}
