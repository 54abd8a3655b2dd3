//! What is said of chords: the symbol above, the numeral below.

use super::xml::Xml;
use crate::engrave::Look;
use crate::score::{Harmony, Ticks};
use crate::theory::{NoteName, NumeralStyle, chord_suffix, plain_text};

/// A chord symbol that stands so far after the note it is written before.
///
/// It has the words of the standard for what is meant, and what is printed after its root as the
/// text that a reader shows in their place.
pub(super) fn symbol(xml: &mut Xml, harmony: &Harmony, look: &Look, offset: Ticks) {
    if look.blanks.symbols {
        return;
    }
    let chord = harmony.chord.inverted(harmony.numeral.inversion);
    let kind = chord.kind.standard();
    let text = plain_text(&chord_suffix(chord, look.symbols));
    xml.group("harmony", &[("placement", "above"), ("print-frame", "no")], |xml| {
        xml.group("root", &[], |xml| name(xml, "root", chord.root));
        xml.leaf("kind", &[("text", &text)], kind.word);
        if let Some(bass) = chord.bass {
            xml.group("bass", &[], |xml| name(xml, "bass", bass));
        }
        for degree in &kind.degrees {
            // The text has said it.
            xml.group("degree", &[("print-object", "no")], |xml| {
                xml.leaf("degree-value", &[], degree.value);
                xml.leaf("degree-alter", &[], degree.alter);
                xml.leaf("degree-type", &[], degree.change.word());
            });
        }
        self::offset(xml, offset);
        xml.leaf("staff", &[], 1);
    });
}

/// A numeral as it is printed, where numerals are: the standard has numerals of its own, but readers
/// take those for symbols.
pub(super) fn numeral(xml: &mut Xml, harmony: &Harmony, look: &Look, offset: Ticks) {
    if look.blanks.numerals || look.numerals == NumeralStyle::Off {
        return;
    }
    let text = plain_text(&harmony.numeral.parts(look.numerals, look.symbols));
    xml.group("direction", &[("placement", "below")], |xml| {
        xml.group("direction-type", &[], |xml| xml.leaf("words", &[], text));
        self::offset(xml, offset);
        xml.leaf("staff", &[], 2);
    });
}

/// How far after what it is written before something stands; nothing for where it does.
fn offset(xml: &mut Xml, offset: Ticks) {
    if offset != 0 {
        xml.leaf("offset", &[], super::notes::divisions(offset));
    }
}

fn name(xml: &mut Xml, of: &str, name: NoteName) {
    xml.leaf(&format!("{of}-step"), &[], name.letter);
    if name.alter != 0 {
        xml.leaf(&format!("{of}-alter"), &[], name.alter);
    }
}
