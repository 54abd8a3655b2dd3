//! Tunes: their changes as teachers write them, and what the changes say of keys.
//!
//! `read` takes a file of TOML apart, `changes` the bars that stand in it, with `beats` for when
//! the chords of a bar fall, `repeats` for what is played again and `nearest` for what an
//! unreadable chord was meant for; a [`Chart`] is what comes of it. `unfold` plays it out, and
//! `transpose` puts it into another key or writes it for a horn. `needs` is what a tune asks of
//! whoever wants to play it, `way_on` where it goes on from the end of a section.

mod analyse;
mod analysis;
mod beats;
mod changes;
mod json;
mod library;
mod minor_scale;
mod model;
mod nearest;
mod needs;
mod place;
mod read;
mod repeats;
mod shares;
mod transpose;
mod turnaround;
mod unfold;
mod unfolded;
mod way_on;

pub use analyse::{analyse, analyse_in};
pub use analysis::{
    Analysis, Area, Cadence, CadenceForm, CadenceKind, ChordReading, Function, NearKey,
    OtherReading,
};
pub use json::{ANALYSIS_SCHEMA, AnalysisJson};
pub use library::demos;
pub use model::{Chart, ChartBar, ChordStand, Section, SectionStretch};
pub use needs::{Need, Purpose, needs};
pub use place::BarPlace;
pub use shares::{KeyShare, is_same, key_shares};
pub use transpose::Horn;
pub use unfolded::{HeldChord, Unfolded};
