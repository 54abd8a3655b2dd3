//! The same work on each of many items, on all processors, with results in order.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// The results of `work` on each item, in the order of the items.
///
/// Which thread does which item differs from run to run; `work` must not care.
pub(crate) fn map<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let threads = thread::available_parallelism().map_or(1, usize::from).min(items.len());
    if threads <= 1 {
        return items.iter().map(work).collect();
    }
    let next = AtomicUsize::new(0);
    let done = Mutex::new(Vec::with_capacity(items.len()));
    let worker = || {
        let mut own = vec![];
        loop {
            let index = next.fetch_add(1, Ordering::Relaxed);
            let Some(item) = items.get(index) else { break };
            own.push((index, work(item)));
        }
        done.lock().unwrap_or_else(std::sync::PoisonError::into_inner).append(&mut own);
    };
    thread::scope(|scope| {
        for _ in 1..threads {
            scope.spawn(worker);
        }
        worker();
    });
    let mut done = done.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner);
    done.sort_unstable_by_key(|&(index, _)| index);
    done.into_iter().map(|(_, result)| result).collect()
}

/// The same where the work changes the items.
pub(crate) fn map_mut<T: Send, R: Send>(
    items: &mut [T],
    work: impl Fn(&mut T) -> R + Sync,
) -> Vec<R> {
    let items: Vec<Mutex<&mut T>> = items.iter_mut().map(Mutex::new).collect();
    map(&items, |item| work(&mut item.lock().unwrap_or_else(std::sync::PoisonError::into_inner)))
}

/// The results of two pieces of work, done at the same time.
pub(crate) fn both<A, B: Send>(
    one: impl FnOnce() -> A,
    other: impl FnOnce() -> B + Send,
) -> (A, B) {
    thread::scope(|scope| {
        let other = scope.spawn(other);
        let one = one();
        match other.join() {
            Ok(other) => (one, other),
            Err(panic) => std::panic::resume_unwind(panic),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::{both, map, map_mut};

    #[test]
    fn both_results_come_back() {
        assert_eq!(both(|| 1, || "two"), (1, "two"));
    }

    #[test]
    fn results_keep_the_order_of_the_items() {
        let items: Vec<u64> = (0..1000).collect();
        let squares: Vec<u64> = items.iter().map(|n| n * n).collect();
        assert_eq!(map(&items, |n| n * n), squares);
        assert_eq!(map(&[] as &[u64], |n| n * n), [] as [u64; 0]);
    }

    #[test]
    fn items_can_be_changed_where_they_stand() {
        let mut items: Vec<u64> = (0..100).collect();
        let before = map_mut(&mut items, |n| std::mem::replace(n, 7));
        assert_eq!(before, (0..100).collect::<Vec<_>>());
        assert_eq!(items, [7; 100]);
    }
}
