//! What stands above the first note of a bar: names, letters of sections, titles, the tempo mark.

use super::Movement;
use super::xml::Xml;
use crate::score::{Feel, Heading, Metre, QUARTER};

/// Words over the upper staff: the name of a key, the title of a passage.
pub(super) fn words(xml: &mut Xml, text: &str, attributes: &[(&str, &str)]) {
    above(xml, |xml| xml.leaf("words", attributes, text));
}

/// The letter and the title over a bar.
pub(super) fn heading(xml: &mut Xml, heading: &Heading) {
    if let Some(letter) = &heading.letter {
        above(xml, |xml| xml.leaf("rehearsal", &[("enclosure", "square")], letter));
    }
    if let Some(title) = &heading.title {
        words(xml, title, &[("font-style", "italic")]);
    }
}

fn above(xml: &mut Xml, kind: impl FnOnce(&mut Xml)) {
    xml.group("direction", &[("placement", "above")], |xml| {
        xml.group("direction-type", &[], kind);
        xml.leaf("staff", &[], 1);
    });
}

/// The tempo mark, and what a program plays by it: beats a minute in quarters and, where the mark
/// says how pairs of eighths are played, the same in numbers. Swung pairs are written as a quarter and
/// an eighth of a triplet, and are so here.
pub(super) fn tempo(xml: &mut Xml, movement: &Movement<'_>, metre: Metre) {
    let (tempo, feel, beat) = (movement.tempo, movement.feel, metre.felt_beat());
    let quarters = f64::from(tempo) * f64::from(beat) / f64::from(QUARTER);
    xml.group("direction", &[("placement", "above"), ("system", "only-top")], |xml| {
        if let Some(feel) = feel {
            let text = match feel {
                Feel::Swing => "Swing",
                Feel::Even => "Even eighths",
            };
            xml.group("direction-type", &[], |xml| {
                xml.leaf("words", &[("font-weight", "bold")], text);
            });
        }
        xml.group("direction-type", &[], |xml| {
            xml.group("metronome", &[("parentheses", "no")], |xml| {
                xml.leaf("beat-unit", &[], "quarter");
                if beat > QUARTER {
                    xml.empty("beat-unit-dot", &[]);
                }
                xml.leaf("per-minute", &[], tempo);
            });
        });
        xml.leaf("staff", &[], 1);
        xml.group("sound", &[("tempo", &format!("{quarters}"))], |xml| {
            xml.group("swing", &[], |xml| match feel {
                Some(Feel::Swing) => {
                    xml.leaf("first", &[], 2);
                    xml.leaf("second", &[], 1);
                    xml.leaf("swing-type", &[], "eighth");
                }
                // The drill before may have been swung.
                Some(Feel::Even) | None => xml.empty("straight", &[]),
            });
        });
    });
}
