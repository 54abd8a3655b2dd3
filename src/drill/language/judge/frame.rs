//! What a passage takes from the drill that it stands in.

use crate::score::Metre;
use crate::theory::Mode;

/// What passages take from their template.
#[derive(Clone, Copy)]
pub(super) struct TemplateFrame {
    pub(super) metre: Metre,
    pub(super) mode: Mode,
}

/// The modes by their words.
pub(super) fn modes() -> Vec<(&'static str, Mode)> {
    Mode::ALL.iter().map(|mode| (mode.word(), *mode)).collect()
}
