//! Laws that hold over the whole domain: every key, drill and choice.

mod blanks;
mod clefs;
mod engraving;
mod names;
mod pages;
mod plan;
mod registers;
mod rows;
mod score;
mod shapes;
#[path = "../short/mod.rs"]
mod short;
mod signed;
mod signs;
mod systems;
mod touching;
mod written;

use quintfall::drill::{self, Choices, Template, library};
use quintfall::recipe::FingeringMarks;
use quintfall::score::Score;
use quintfall::theory::Key;

/// Every choice of fingers.
pub(crate) const FINGERINGS: [FingeringMarks; 3] =
    [FingeringMarks::All, FingeringMarks::Changes, FingeringMarks::None];

/// The drills of the library.
pub(crate) fn drills() -> Vec<Template> {
    let read = |(name, text)| Template::parse(text, name).expect("library drills are sound");
    library::all().map(read).collect()
}

/// A drill in a key.
pub(crate) fn realised(template: &Template, key: Key, fingering: FingeringMarks) -> Score {
    drill::realise(template, key, Choices { fingering, ..Choices::default() })
}

/// Minor keys on whose tonics there is no major key.
const MINORS: [&str; 3] = ["G# minor", "D# minor", "A# minor"];

/// Calls `check` with every drill in every key that it can be in, with a name for messages.
pub(crate) fn for_every_score(fingering: FingeringMarks, mut check: impl FnMut(&str, &Score)) {
    for template in drills() {
        let minors = MINORS.iter().filter(|_| template.mode.is_minor());
        let minors = minors.map(|name| name.parse().expect("a minor key"));
        for key in Key::majors().chain(minors) {
            let name = format!("{} in {key}", template.name);
            check(&name, &realised(&template, key, fingering));
        }
    }
}

/// Keys that the written pieces are tried in by turns: no sign, few and many, of both kinds.
const KEYS: [&str; 5] = ["C", "F#", "Db", "A", "Cb"];

/// Calls `check` with the written pieces: each in one key, another for each choice of fingers,
/// or in all of these keys where `whole`.
pub(crate) fn for_every_piece(
    fingering: FingeringMarks,
    whole: bool,
    mut check: impl FnMut(&str, &Score),
) {
    let template = drills().into_iter().next().expect("the library has drills");
    let plain = written::PIECES.iter().map(|piece| (piece, None));
    let signed = signed::SIGNED.iter().map(|signed| (&signed.piece, Some(signed)));
    for (index, (piece, signed)) in plain.chain(signed).enumerate() {
        for key in Key::majors() {
            let turn = KEYS[(index + fingering as usize) % KEYS.len()];
            let in_turn = |name: &&str| name.parse() == Ok(key) && (whole || *name == turn);
            if KEYS.iter().any(in_turn) {
                let model = realised(&template, key, fingering);
                let score = written::write(piece, key, fingering, &model);
                let score = match signed {
                    Some(signed) => signed::with_signs(signed, score),
                    None => score,
                };
                check(&format!("{} in {key}", piece.name), &score);
            }
        }
    }
}
