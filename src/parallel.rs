//! The same work on each of many items, on all processors, with results in order.
//!
//! Which thread does which item differs from run to run; the work must not care.

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

/// The results of two pieces of work, done at the same time.
pub(crate) fn both<A: Send, B: Send>(
    one: impl FnOnce() -> A + Send,
    other: impl FnOnce() -> B + Send,
) -> (A, B) {
    rayon::join(one, other)
}

#[cfg(test)]
mod tests {
    use super::{both, map};

    #[test]
    fn results_keep_the_order_of_the_items() {
        let items: Vec<u64> = (0..1000).collect();
        let squares: Vec<u64> = items.iter().map(|n| n * n).collect();
        assert_eq!(map(&items, |n| n * n), squares);
        assert_eq!(map(&[] as &[u64], |n| n * n), [] as [u64; 0]);
    }

    #[test]
    fn two_pieces_of_work_both_give_their_results() {
        let many = || map(["a", "b", "c"], |word| format!("{word}!"));
        assert_eq!(both(|| 1, many), (1, ["a!", "b!", "c!"].map(str::to_owned).to_vec()));
    }
}
