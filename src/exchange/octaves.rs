//! Which notes are read in another octave.

use std::collections::BTreeMap;

use super::xml::Xml;
use crate::engrave::WrittenEvent;
use crate::score::{ByHand, Hand};

/// An event by its bar and its place in it.
type EventPlace = (usize, usize);

/// The octave lines of a hand.
#[derive(Default)]
pub(super) struct Octaves {
    begins: BTreeMap<EventPlace, i32>,
    ends: BTreeMap<EventPlace, i32>,
}

impl Octaves {
    /// Those of a hand, from its bars: from the first note of a run to the last, over rests that are
    /// read in that octave too. They go through from system to system.
    pub(super) fn of(bars: &[ByHand<Vec<WrittenEvent<'_>>>], hand: Hand) -> Self {
        let mut all = Self::default();
        // The octaves of the run that goes on, and its last note.
        let mut open: Option<(i32, EventPlace)> = None;
        for (bar, staves) in bars.iter().enumerate() {
            for (index, written) in staves[hand].iter().enumerate() {
                let (octaves, sounds) = (written.octaves, !written.event.is_rest());
                let ends =
                    if sounds { open.is_some_and(|(own, _)| own != octaves) } else { octaves == 0 };
                if let Some((own, last)) = open.take_if(|_| ends) {
                    all.ends.insert(last, own);
                }
                if !sounds || octaves == 0 {
                    continue;
                }
                if open.is_none() {
                    all.begins.insert((bar, index), octaves);
                }
                open = Some((octaves, (bar, index)));
            }
        }
        if let Some((own, last)) = open {
            all.ends.insert(last, own);
        }
        all
    }

    /// Begins the line that begins with an event, if one does.
    pub(super) fn begin(&self, xml: &mut Xml, hand: Hand, place: EventPlace) {
        if let Some(octaves) = self.begins.get(&place) {
            // Pitches sound as they are told; the notes are shifted down where they sound higher.
            shift(xml, hand, *octaves, if *octaves > 0 { "down" } else { "up" });
        }
    }

    /// Ends the line that ends with an event, if one does.
    pub(super) fn end(&self, xml: &mut Xml, hand: Hand, place: EventPlace) {
        if let Some(octaves) = self.ends.get(&place) {
            shift(xml, hand, *octaves, "stop");
        }
    }
}

fn shift(xml: &mut Xml, hand: Hand, octaves: i32, kind: &str) {
    let size = (7 * octaves.abs() + 1).to_string();
    let placement = if octaves > 0 { "above" } else { "below" };
    let staff = super::notes::staff(hand);
    xml.group("direction", &[("placement", placement)], |xml| {
        xml.group("direction-type", &[], |xml| {
            xml.empty("octave-shift", &[("type", kind), ("size", &size), ("number", staff)]);
        });
        xml.leaf("voice", &[], staff);
        xml.leaf("staff", &[], staff);
    });
}
