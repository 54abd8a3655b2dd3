//! The same work on each of many items, on all processors, with results in order.

use std::iter::Enumerate;
use std::sync::{Mutex, MutexGuard, OnceLock, PoisonError};
use std::thread;

/// The results of `work` on each item, in the order of the items.
///
/// Which thread does which item differs from run to run; `work` must not care.
pub(crate) fn map<I, R>(items: I, work: impl Fn(I::Item) -> R + Sync) -> Vec<R>
where
    I: IntoIterator<IntoIter: ExactSizeIterator + Send>,
    R: Send,
{
    let items = items.into_iter();
    share(items.len(), || (), items, work).1
}

/// The result of one piece of work, and those of `work` on each item, all done at the same time.
///
/// The one is begun first: it should be longer than the work on an item.
pub(crate) fn beside<A, I, R>(
    one: impl FnOnce() -> A,
    items: I,
    work: impl Fn(I::Item) -> R + Sync,
) -> (A, Vec<R>)
where
    I: IntoIterator<IntoIter: ExactSizeIterator + Send>,
    R: Send,
{
    let items = items.into_iter();
    share(items.len() + 1, one, items, work)
}

/// The results of two pieces of work, done at the same time.
pub(crate) fn both<A, B: Send>(one: impl FnOnce() -> A, other: impl Fn() -> B + Sync) -> (A, B) {
    let (one, mut others) = beside(one, [()], |()| other());
    (one, others.remove(0))
}

/// How many threads can be busy at once. Asked once: the answer is read from several files.
pub(crate) fn processors() -> usize {
    static PROCESSORS: OnceLock<usize> = OnceLock::new();
    *PROCESSORS.get_or_init(|| thread::available_parallelism().map_or(1, usize::from))
}

/// Does `pieces` pieces of work on as many threads as can be busy; this thread begins with `one`.
fn share<A, I: Iterator + Send, R: Send>(
    pieces: usize,
    one: impl FnOnce() -> A,
    items: I,
    work: impl Fn(I::Item) -> R + Sync,
) -> (A, Vec<R>) {
    let threads = processors().min(pieces);
    let queue = Mutex::new(items.enumerate());
    let done = Mutex::new(Vec::new());
    let worker = || {
        let mut own = vec![];
        while let Some((index, item)) = next(&queue) {
            own.push((index, work(item)));
        }
        lock(&done).append(&mut own);
    };
    let one = thread::scope(|scope| {
        for _ in 1..threads {
            scope.spawn(worker);
        }
        let one = one();
        worker();
        one
    });
    let mut done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    done.sort_unstable_by_key(|&(index, _)| index);
    (one, done.into_iter().map(|(_, result)| result).collect())
}

/// The next item of a queue, which is free again for others when this returns.
fn next<I: Iterator>(queue: &Mutex<Enumerate<I>>) -> Option<(usize, I::Item)> {
    lock(queue).next()
}

fn lock<T>(shared: &Mutex<T>) -> MutexGuard<'_, T> {
    // A thread that panicked takes the whole scope down with it.
    shared.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::{beside, map};

    #[test]
    fn results_keep_the_order_of_the_items() {
        let items: Vec<u64> = (0..1000).collect();
        let squares: Vec<u64> = items.iter().map(|n| n * n).collect();
        assert_eq!(map(&items, |n| n * n), squares);
        assert_eq!(map(&[] as &[u64], |n| n * n), [] as [u64; 0]);
    }

    #[test]
    fn one_piece_of_work_goes_on_beside_many() {
        let words = ["a", "b", "c"].map(str::to_owned).to_vec();
        let (one, many) = beside(|| 1, words, |word| word + "!");
        assert_eq!((one, many), (1, ["a!", "b!", "c!"].map(str::to_owned).to_vec()));
    }
}
