//! Notes, chords and rests of a hand.

use super::xml::Xml;
use crate::engrave::{BeamPart, Blanks, Direction, WrittenEvent};
use crate::score::{Hand, Metre, Note, NoteValue, QUARTER, Ticks};

/// Divisions of a quarter note: those that sound is counted in too.
pub(super) const DIVISIONS: Ticks = 480;

/// A length in divisions.
pub(super) const fn divisions(ticks: Ticks) -> Ticks {
    ticks * (DIVISIONS / QUARTER)
}

/// An event with what its neighbours decide about it.
pub(super) struct PlacedEvent<'a> {
    /// The event as it is written.
    pub(super) written: &'a WrittenEvent<'a>,
    /// What its beams do, the first one first.
    pub(super) beams: &'a [BeamPart],
    /// What its triplet is, if it belongs to one.
    pub(super) triplet: Option<Triplet>,
}

/// A triplet as one of its events sees it.
#[derive(Clone, Copy)]
pub(super) struct Triplet {
    /// Whether it begins with the event, and whether it ends with it.
    pub(super) ends: [bool; 2],
    /// Whether it has a bracket.
    pub(super) has_bracket: bool,
    /// What three of take the time of two.
    pub(super) unit: NoteValue,
}

/// The voice and the staff of a hand, which have one number.
pub(super) const fn staff(hand: Hand) -> &'static str {
    match hand {
        Hand::Right => "1",
        Hand::Left => "2",
    }
}

/// A stretch of a bar, or all of it, in which a hand has nothing printed, to be written in.
pub(super) fn blank(xml: &mut Xml, hand: Hand, metre: Metre, length: Ticks) {
    xml.group("note", &[("print-object", "no")], |xml| {
        let is_whole = length == metre.bar();
        xml.empty("rest", if is_whole { &[("measure", "yes")] } else { &[] });
        xml.leaf("duration", &[], divisions(length));
        xml.leaf("voice", &[], staff(hand));
        xml.leaf("staff", &[], staff(hand));
    });
}

/// An event: a rest, or its notes from the lowest up.
pub(super) fn event(xml: &mut Xml, hand: Hand, placed: &PlacedEvent<'_>, blanks: &Blanks) {
    let event = placed.written.event;
    if event.is_rest() {
        xml.group("note", &[], |xml| {
            match event.value {
                NoteValue::WholeBar(_) => xml.empty("rest", &[("measure", "yes")]),
                _ => xml.empty("rest", &[]),
            }
            xml.leaf("duration", &[], divisions(event.value.ticks()));
            body(xml, hand, placed, None);
            xml.leaf("staff", &[], staff(hand));
            notations(xml, hand, placed, None);
        });
    }
    for (index, note) in event.notes.iter().enumerate() {
        let shown = placed.written.accidentals.get(index).copied().unwrap_or(false);
        let finger = note.finger.filter(|_| note.shows_finger && !blanks.fingers);
        let own = OwnNote { note, is_first: index == 0, finger };
        xml.group("note", &[], |xml| {
            if index > 0 {
                xml.empty("chord", &[]);
            }
            pitch(xml, note);
            xml.leaf("duration", &[], divisions(event.value.ticks()));
            for (is_tied, word) in [(note.tied_in, "stop"), (note.tied_out, "start")] {
                if is_tied {
                    xml.empty("tie", &[("type", word)]);
                }
            }
            body(xml, hand, placed, shown.then_some(note));
            if event.value.has_stem() {
                xml.leaf("stem", &[], stem(placed.written.stem));
            }
            xml.leaf("staff", &[], staff(hand));
            for (number, part) in (1..).zip(placed.beams).filter(|_| own.is_first) {
                xml.leaf("beam", &[("number", &format!("{number}"))], beam(*part));
            }
            notations(xml, hand, placed, Some(&own));
        });
    }
}

/// A note among those of its event.
struct OwnNote<'a> {
    note: &'a Note,
    is_first: bool,
    /// The finger that is printed.
    finger: Option<u8>,
}

fn pitch(xml: &mut Xml, note: &Note) {
    let pitch = note.pitch;
    xml.group("pitch", &[], |xml| {
        xml.leaf("step", &[], pitch.name.letter);
        if pitch.name.alter != 0 {
            xml.leaf("alter", &[], pitch.name.alter);
        }
        xml.leaf("octave", &[], pitch.octave);
    });
}

/// Voice, value, dot, the accidental of a note that shows it, and what a triplet makes of the time.
fn body(xml: &mut Xml, hand: Hand, placed: &PlacedEvent<'_>, shown: Option<&Note>) {
    let value = placed.written.event.value;
    xml.leaf("voice", &[], staff(hand));
    if let Some(word) = word(value) {
        xml.leaf("type", &[], word);
    }
    if value.is_dotted() {
        xml.empty("dot", &[]);
    }
    if let Some(note) = shown {
        xml.leaf("accidental", &[], accidental(note.pitch.name.alter));
    }
    if let Some(unit) = placed.triplet.and_then(|triplet| word(triplet.unit)) {
        xml.group("time-modification", &[], |xml| {
            xml.leaf("actual-notes", &[], 3);
            xml.leaf("normal-notes", &[], 2);
            xml.leaf("normal-type", &[], unit);
        });
    }
}

/// Ties, triplets, fingers and what says how it is played.
fn notations(xml: &mut Xml, hand: Hand, placed: &PlacedEvent<'_>, own: Option<&OwnNote<'_>>) {
    let event = placed.written.event;
    let is_first = own.is_none_or(|own| own.is_first);
    let ends = placed.triplet.filter(|_| is_first);
    let is_marked = is_first && (event.staccato || event.fermata);
    let is_tied = own.is_some_and(|own| own.note.tied_in || own.note.tied_out);
    let finger = own.and_then(|own| own.finger);
    let has_end = ends.is_some_and(|triplet| triplet.ends != [false; 2]);
    if !(has_end || is_marked || is_tied || finger.is_some()) {
        return;
    }
    xml.group("notations", &[], |xml| {
        if let Some(own) = own {
            for (is_tied, word) in [(own.note.tied_in, "stop"), (own.note.tied_out, "start")] {
                if is_tied {
                    xml.empty("tied", &[("type", word)]);
                }
            }
        }
        if let Some(triplet) = ends {
            tuplet(xml, triplet, placed.written.stem);
        }
        if is_first && event.staccato {
            xml.group("articulations", &[], |xml| xml.empty("staccato", &[]));
        }
        if let Some(finger) = finger {
            let placement = match hand {
                Hand::Right => "above",
                Hand::Left => "below",
            };
            xml.group("technical", &[], |xml| {
                xml.leaf("fingering", &[("placement", placement)], finger);
            });
        }
        if is_first && event.fermata {
            xml.empty("fermata", &[("type", "upright")]);
        }
    });
}

fn tuplet(xml: &mut Xml, triplet: Triplet, stem: Direction) {
    let Triplet { ends: [begins, ends], has_bracket, .. } = triplet;
    if begins {
        let bracket = if has_bracket { "yes" } else { "no" };
        let side = match stem {
            Direction::Up => "above",
            Direction::Down => "below",
        };
        let attributes =
            [("type", "start"), ("number", "1"), ("bracket", bracket), ("placement", side)];
        xml.empty("tuplet", &attributes);
    }
    if ends {
        xml.empty("tuplet", &[("type", "stop"), ("number", "1")]);
    }
}

/// The text of `type`; none for the rest of a whole bar, which has its own element.
const fn word(value: NoteValue) -> Option<&'static str> {
    Some(match value {
        NoteValue::Sixteenth => "16th",
        NoteValue::TripletEighth | NoteValue::Eighth | NoteValue::DottedEighth => "eighth",
        NoteValue::TripletQuarter | NoteValue::Quarter | NoteValue::DottedQuarter => "quarter",
        NoteValue::Half | NoteValue::DottedHalf => "half",
        NoteValue::Whole => "whole",
        NoteValue::WholeBar(_) => return None,
    })
}

/// The text of `accidental`.
const fn accidental(alter: i32) -> &'static str {
    match alter {
        ..=-2 => "flat-flat",
        -1 => "flat",
        0 => "natural",
        1 => "sharp",
        2.. => "double-sharp",
    }
}

/// The text of `stem`.
const fn stem(direction: Direction) -> &'static str {
    match direction {
        Direction::Up => "up",
        Direction::Down => "down",
    }
}

/// The text of `beam`.
const fn beam(part: BeamPart) -> &'static str {
    match part {
        BeamPart::Begin => "begin",
        BeamPart::Continue => "continue",
        BeamPart::End => "end",
        BeamPart::Forward => "forward hook",
        BeamPart::Backward => "backward hook",
    }
}
