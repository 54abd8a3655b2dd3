//! What is known from the start.

use super::door::Door;
use super::lately::Lately;
use crate::desk::show::memory::Memory;

/// What is known from the start.
#[derive(Debug)]
pub(super) struct WindowState {
    /// The way in.
    pub(super) door: Door,
    /// Where it is listened.
    pub(super) port: u16,
    /// What was answered lately.
    pub(super) lately: Lately,
    /// Where the choices of last time are.
    pub(super) memory: Memory,
}
