//! Answers that were given lately: whoever goes back to what was chosen before, turns pages to and fro
//! or loads the page anew does not wait for them again.

use std::collections::VecDeque;
use std::sync::{Mutex, PoisonError};

use hyper::body::Bytes;

/// Answers that are kept, and most bytes of one with its request: together 8 MiB.
const MOST: usize = 64;
const MOST_BYTES: usize = 128 * 1024;

/// Answers with the path and the body that they are the answers to, the latest last.
#[derive(Debug, Default)]
pub(super) struct Lately(Mutex<VecDeque<(&'static str, Bytes, Bytes)>>);

impl Lately {
    /// The answer that was given, if it was lately.
    pub(super) fn given(&self, path: &str, asked: &Bytes) -> Option<Bytes> {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let place = kept.iter().rposition(|(own, body, _)| *own == path && body == asked)?;
        let found = kept.remove(place)?;
        let answer = found.2.clone();
        kept.push_back(found);
        Some(answer)
    }

    /// Keeps an answer, and forgets the one that nobody has asked for longest.
    pub(super) fn keep(&self, path: &'static str, asked: &Bytes, answer: &Bytes) {
        if asked.len() + answer.len() > MOST_BYTES {
            return;
        }
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.len() == MOST {
            kept.pop_front();
        }
        // What came in is part of a larger piece of memory, which need not stay.
        let asked = Bytes::copy_from_slice(asked);
        kept.push_back((path, asked, answer.clone()));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_latest_are_kept_and_the_large_are_not() {
        let lately = Lately::default();
        let [first, second] = ["first", "second"].map(Bytes::from);
        lately.keep("/a", &first, &second);
        assert_eq!(lately.given("/a", &first), Some(second.clone()));
        assert_eq!(lately.given("/b", &first), None);
        assert_eq!(lately.given("/a", &second), None);
        for number in 0..MOST - 1 {
            lately.keep("/b", &Bytes::from(number.to_string()), &second);
        }
        // What is asked for again stays longer.
        assert!(lately.given("/a", &first).is_some());
        lately.keep("/b", &first, &second);
        assert!(lately.given("/a", &first).is_some());
        assert!(lately.given("/b", &Bytes::from("0")).is_none());
        lately.keep("/c", &first, &vec![0; MOST_BYTES].into());
        assert!(lately.given("/c", &first).is_none());
    }
}
