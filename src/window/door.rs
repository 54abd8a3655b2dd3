//! The way in: what a request must bear, and how the page comes by it.
//!
//! A browser is started with the address among its arguments, which other users of the machine can
//! read. So there stands a code that is exchanged for the token once. If it comes a second time,
//! somebody read it: the door is shut to both, since nobody can tell which of them was first.

use std::sync::atomic::{AtomicBool, Ordering};

use crate::source::Complaint;

/// Bytes of the token, and of the code.
const BYTES: usize = 16;

/// The way in.
#[derive(Debug)]
pub(super) struct Door {
    /// What a request must bear.
    pub(super) token: String,
    /// What is exchanged for it once.
    pub(super) code: String,
    is_used: AtomicBool,
    is_shut: AtomicBool,
}

impl Door {
    /// A door of this run. Errors if the system gives no random numbers.
    pub(super) fn new() -> Result<Self, Complaint> {
        Ok(Self::with(random()?, random()?))
    }

    /// A door with a token and a code.
    pub(super) fn with(token: String, code: String) -> Self {
        let (is_used, is_shut) = (AtomicBool::new(false), AtomicBool::new(false));
        Self { token, code, is_used, is_shut }
    }

    /// Whether somebody with this token is let in.
    pub(super) fn admits(&self, token: &str) -> bool {
        let is_open = !self.is_shut.load(Ordering::SeqCst);
        is_same(token.as_bytes(), self.token.as_bytes()) && is_open
    }

    /// The token for the code: the first time alone.
    pub(super) fn exchange(&self, code: &str) -> Option<&str> {
        if !is_same(code.as_bytes(), self.code.as_bytes()) {
            return None;
        }
        if self.is_used.swap(true, Ordering::SeqCst) {
            self.is_shut.store(true, Ordering::SeqCst);
            return None;
        }
        Some(&self.token)
    }
}

fn random() -> Result<String, Complaint> {
    let mut bytes = [0; BYTES];
    getrandom::fill(&mut bytes).map_err(|error| {
        let problem = format!("the system gives no random numbers: {error}");
        Complaint::new(problem).mend("try again")
    })?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}

/// Whether two are the same, in a time that does not tell how much of them is.
fn is_same(one: &[u8], other: &[u8]) -> bool {
    let differing = one.iter().zip(other).fold(0, |found, (one, other)| found | (one ^ other));
    one.len() == other.len() && std::hint::black_box(differing) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_opens_once_and_shuts_when_it_comes_again() {
        let door = Door::new().unwrap();
        assert_ne!(door.token, door.code);
        assert!(door.exchange("0").is_none() && door.exchange(&door.token).is_none());
        let token = door.exchange(&door.code).unwrap().to_owned();
        assert!(door.admits(&token) && !door.admits(&door.code) && !door.admits(""));
        assert!(door.exchange("0").is_none() && door.admits(&token));
        assert!(door.exchange(&door.code).is_none());
        assert!(!door.admits(&token));
    }
}
