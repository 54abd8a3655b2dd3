//! The whole document: its head, and the bars of all keys of all drills in one part.

use super::sheet::{ExchangeSheet, SheetSeat};
use super::xml::Xml;
use super::zip::{XML_START, packed};
use super::{ExchangePiece, Movement, MovementScores};
use crate::parallel;
use crate::score::Score;
use crate::theory::Key;

/// The one part.
const PART: &str = "P1";
/// Its instrument.
const INSTRUMENT: &str = "P1-I1";

/// A piece as MusicXML 4.0.
pub fn musicxml(piece: &ExchangePiece<'_>) -> Vec<u8> {
    let sheets: Vec<Vec<Vec<u8>>> = parallel::inside(|| {
        parallel::map(piece.movements.iter().enumerate(), |(place, movement)| {
            sheets(piece, movement, place == 0)
        })
    });
    let mut xml = Xml::new();
    head(&mut xml, piece);
    xml.group("part", &[("id", PART)], |xml| {
        for sheet in sheets.iter().flatten() {
            xml.written(sheet);
        }
    });
    let inner = xml.finish();
    [XML_START, b"\n", &inner, b"\n</score-partwise>\n"].concat()
}

/// The same, packed.
pub fn mxl(piece: &ExchangePiece<'_>) -> Vec<u8> {
    packed(&musicxml(piece))
}

/// The bars of each key of a movement.
fn sheets(piece: &ExchangePiece<'_>, movement: &Movement<'_>, is_first: bool) -> Vec<Vec<u8>> {
    let write = |key: usize, score: &Score| {
        let lines = movement.lines.get(key).map_or(&[][..], Vec::as_slice);
        let names = names(piece, movement, score.key, key);
        let seat = SheetSeat { names, is_first: is_first && key == 0 };
        ExchangeSheet::new(score, movement, lines, seat).write()
    };
    match movement.music {
        MovementScores::Exercise(exercise) => {
            let drill = exercise.drill();
            parallel::map(exercise.keys.iter().enumerate(), |(place, key)| {
                write(place, &exercise.score(&drill, *key))
            })
        }
        MovementScores::Scores(scores) => {
            parallel::map(scores.iter().enumerate(), |(place, score)| write(place, score))
        }
    }
}

/// What stands over the first bar of a key: the title of its drill where that is not the title of
/// the whole and has not been said, and the key.
fn names(
    piece: &ExchangePiece<'_>,
    movement: &Movement<'_>,
    key: Key,
    place: usize,
) -> Vec<String> {
    let title = (place == 0 && movement.title != piece.title).then(|| movement.title.clone());
    title.into_iter().chain([key.words()]).collect()
}

fn head(xml: &mut Xml, piece: &ExchangePiece<'_>) {
    xml.group("work", &[], |xml| xml.leaf("work-title", &[], &piece.title));
    xml.group("identification", &[], |xml| {
        if let Some(student) = &piece.student {
            xml.leaf("creator", &[("type", "student")], student);
        }
        xml.group("encoding", &[], |xml| {
            xml.leaf("software", &[], concat!("Quintfall ", env!("CARGO_PKG_VERSION")));
            for element in ["accidental", "beam", "stem"] {
                xml.empty("supports", &[("element", element), ("type", "yes")]);
            }
            for attribute in ["new-system", "new-page"] {
                let own = [
                    ("element", "print"),
                    ("attribute", attribute),
                    ("type", "yes"),
                    ("value", "yes"),
                ];
                xml.empty("supports", &own);
            }
        });
        if let Some(studio) = &piece.studio {
            xml.group("miscellaneous", &[], |xml| {
                xml.leaf("miscellaneous-field", &[("name", "studio")], studio);
            });
        }
    });
    credit(xml, "title", &piece.title, "center");
    if let Some(student) = &piece.student {
        credit(xml, "student", student, "right");
    }
    xml.group("part-list", &[], |xml| {
        xml.group("score-part", &[("id", PART)], |xml| {
            xml.leaf("part-name", &[("print-object", "no")], "Piano");
            xml.group("score-instrument", &[("id", INSTRUMENT)], |xml| {
                xml.leaf("instrument-name", &[], "Piano");
            });
            xml.group("midi-instrument", &[("id", INSTRUMENT)], |xml| {
                xml.leaf("midi-channel", &[], 1);
                xml.leaf("midi-program", &[], 1);
            });
        });
    });
}

/// Words on the first page.
fn credit(xml: &mut Xml, kind: &str, words: &str, justified: &str) {
    xml.group("credit", &[("page", "1")], |xml| {
        xml.leaf("credit-type", &[], kind);
        xml.leaf("credit-words", &[("justify", justified), ("valign", "top")], words);
    });
}
