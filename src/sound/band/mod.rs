//! The rhythm section: bass, drums, soft chords and a click, made from the harmony.

mod bass;
mod click;
mod comping;
mod drums;
mod sheet;
#[cfg(test)]
mod tests;

use super::performance::Part;

pub(super) use click::{count_in, counted_in};
pub(super) use sheet::{BandHit, BandSheet};

/// What a part plays from a sheet, in order; nothing where it is a hand of the drill.
pub(super) fn played_by(part: Part, sheet: &BandSheet) -> Vec<BandHit> {
    let hits = match part {
        Part::PianoRight | Part::PianoLeft => Vec::new(),
        Part::Comping => comping::chords(sheet),
        Part::Bass => bass::line(sheet),
        Part::Ride => drums::ride(sheet),
        Part::HiHat => drums::hi_hat(sheet),
        Part::Brushes => drums::brushes(sheet),
        Part::Click => click::click(sheet),
    };
    sheet.with_its_end(hits)
}
