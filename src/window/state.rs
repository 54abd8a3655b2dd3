//! What is known from the start.

use crate::desk::show::memory::Memory;

/// What is known from the start.
#[derive(Debug)]
pub(super) struct State {
    /// What a request must bear.
    pub(super) token: String,
    /// Where it is listened.
    pub(super) port: u16,
    /// Where the choices of last time are.
    pub(super) memory: Memory,
}
