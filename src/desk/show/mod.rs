//! What a front without files of its own asks of the desk: sheets that are looked at before they are
//! saved, lists and drills that are handed in as texts.
//!
//! What was `chosen` becomes settings, as if it had been typed; a `view` has the pages of a sheet and
//! its file, and is `told` in words, its `notes` too. A `chart` is a tune that is looked at, a `packet` what is studied
//! for it, a `track` what is chosen of what is played along to. A `roll` is a class list that is looked at and changed. `memory`
//! keeps what was chosen last.

pub(crate) mod chart;
pub(crate) mod chosen;
pub(crate) mod memory;
mod notes;
pub(crate) mod packet;
pub(crate) mod roll;
mod told;
pub(crate) mod track;
pub(crate) mod view;
