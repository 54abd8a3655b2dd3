//! What the reading of one file may cost.
//!
//! Nobody vouches for a file that is read back, and a few hundred bytes of PDF can ask for minutes
//! of work. Everything that the reader does is therefore paid for, in steps of about a nanosecond,
//! and a file that asks for more than there is gets refused.

use super::ReadBackError;

/// Steps for the whole reading of a file. The dearest file that could be ours takes three
/// quarters of it: 64 MiB, with the largest recipe and 8 MiB of objects, walked twice.
const STEPS: u64 = 800_000_000;

/// Steps for a byte among which a word is searched.
pub(super) const SEARCHED: u64 = 1;

/// Steps for a byte of a value, of which every second one may take memory.
pub(super) const PARSED: u64 = 20;

/// Steps for a place that looks like the start of an object or of a value.
pub(super) const LOOKED_AT: u64 = 64;

/// Steps for making ready to unpack a stream.
pub(super) const STREAM_OPENED: u64 = 8_000;

/// Steps for a packed byte: a block of a dozen bytes can ask for new tables of codes.
pub(super) const PACKED: u64 = 32;

/// Steps for an unpacked byte.
pub(super) const UNPACKED: u64 = 4;

/// Steps that are left.
#[derive(Debug)]
pub(super) struct Budget {
    left: u64,
}

impl Budget {
    /// What the reading of one file may take.
    pub(super) fn of_a_file() -> Self {
        Self { left: STEPS }
    }

    /// Pays for `count` things at `price` steps each. Errors if too little is left.
    pub(super) fn pay(&mut self, count: usize, price: u64) -> Result<(), ReadBackError> {
        let steps = (count as u64).saturating_mul(price);
        let left = self.left.checked_sub(steps);
        self.left = left.unwrap_or(0);
        left.map(|_| ()).ok_or(ReadBackError::TooInvolved)
    }

    /// Steps that were paid.
    #[cfg(test)]
    pub(super) fn paid(&self) -> u64 {
        STEPS - self.left
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_spent_cannot_be_spent_again() {
        let mut budget = Budget::of_a_file();
        assert_eq!(budget.pay(2, STEPS / 2), Ok(()));
        assert_eq!(budget.pay(0, 1), Ok(()));
        assert_eq!(budget.pay(1, 1), Err(ReadBackError::TooInvolved));
        let mut budget = Budget::of_a_file();
        assert_eq!(budget.pay(usize::MAX, u64::MAX), Err(ReadBackError::TooInvolved));
        assert_eq!(budget.paid(), STEPS);
    }
}
