//! What is known from the start.

use super::door::Door;
use crate::desk::show::memory::Memory;

/// What is known from the start.
#[derive(Debug)]
pub(super) struct State {
    /// The way in.
    pub(super) door: Door,
    /// Where it is listened.
    pub(super) port: u16,
    /// Where the choices of last time are.
    pub(super) memory: Memory,
}
