//! Files of notes hold what the score says and what the page shows: read back by a reader of our own
//! for every drill in every key, and for pieces in letters that have what no drill has.

mod files;
mod laws;
mod page;
mod read;
#[path = "../laws/signed.rs"]
mod signed;
mod tree;
#[path = "../laws/written.rs"]
mod written;

use quintfall::drill::{Choices, Exercise, Tempi, Template, library};
use quintfall::engrave::{Cut, Layout, Look, System};
use quintfall::exchange::{ExchangePiece, Movement, MovementScores, PaperLine, musicxml};
use quintfall::recipe::FingeringMarks;
use quintfall::score::Score;
use quintfall::theory::Key;

use crate::read::{Told, read};
use crate::tree::{Node, parse};

/// A score with the systems that it is drawn on and what its file says.
pub(crate) struct Case {
    pub(crate) name: String,
    pub(crate) score: Score,
    pub(crate) cut: Cut,
    pub(crate) systems: Vec<System>,
    pub(crate) told: Told,
    pub(crate) file: Node,
}

/// A width, in staff spaces, on which every bar has room.
const WIDTH: f64 = 100.0;

/// Draws a score on lines of a few bars and writes it down with the same lines.
pub(crate) fn case(name: String, score: Score, look: Look) -> Case {
    let layout = Layout::new(&score, look);
    let cuts = layout.cuts(WIDTH);
    let cut = cuts.into_iter().find(|cut| layout.draw(cut).is_some()).expect("room for its bars");
    let (systems, _) = layout.draw(&cut).expect("room for its words");
    let line = |(nth, bars): (usize, &std::ops::Range<usize>)| PaperLine {
        bars: bars.clone(),
        begins_page: nth % 3 == 0,
    };
    let movement = Movement {
        title: name.clone(),
        music: MovementScores::Scores(std::slice::from_ref(&score)),
        tempo: 80,
        feel: None,
        look,
        lines: vec![cut.systems.iter().enumerate().map(line).collect()],
    };
    let piece = ExchangePiece {
        title: name.clone(),
        movements: vec![movement],
        ..ExchangePiece::default()
    };
    let file = parse(&musicxml(&piece));
    let measures: Vec<&Node> = file.find(&["part"]).expect("a part").all("measure").collect();
    let told = read(&measures);
    Case { name, score, cut, systems, told, file }
}

/// The drills of the library.
pub(crate) fn drills() -> impl Iterator<Item = Template> {
    library::all()
        .map(|(name, text)| Template::parse(text, name).expect("library drills are sound"))
}

/// A drill with all the keys that it can be in.
pub(crate) fn exercise(template: Template) -> Exercise {
    let minors = ["G# minor", "D# minor", "A# minor"].map(|name| name.parse().expect("a key"));
    let minors = minors.into_iter().filter(|_| template.mode.is_minor());
    let keys: Vec<Key> = Key::majors().chain(minors).collect();
    let choices = Choices { fingering: FingeringMarks::Changes, ..Choices::default() };
    Exercise::new(template, &keys, Tempi { tempo: 80, goal: None }, choices)
}

/// Calls `check` with every drill in some keys, others for each drill, and with the written pieces.
/// `QUINTFALL_LAWS=whole` takes every key.
pub(crate) fn for_every_case(mut check: impl FnMut(&Case)) {
    let is_whole = std::env::var("QUINTFALL_LAWS").is_ok_and(|word| word == "whole");
    for (turn, template) in drills().enumerate() {
        let own = exercise(template);
        let drill = own.drill();
        for (place, key) in own.keys.iter().enumerate() {
            if is_whole || (place + turn) % 7 == 0 {
                let name = format!("{} in {key}", own.template.name);
                check(&case(name, own.score(&drill, *key), Look::default()));
            }
        }
    }
    for_every_piece(|name, score| check(&case(name, score, Look::default())));
}

/// Calls `check` with the written pieces, each in two keys.
pub(crate) fn for_every_piece(mut check: impl FnMut(String, Score)) {
    let own = exercise(drills().next().expect("a drill"));
    let drill = own.drill();
    let plain = written::PIECES.iter().map(|piece| (piece, None));
    let signed = signed::SIGNED.iter().map(|signed| (&signed.piece, Some(signed)));
    for (piece, signed) in plain.chain(signed) {
        for key in ["Db", "A"] {
            let key: Key = key.parse().expect("a key");
            let score = written::write(piece, key, FingeringMarks::All, &own.score(&drill, key));
            let score = match signed {
                Some(signed) => signed::with_signs(signed, score),
                None => score,
            };
            check(format!("{} in {key}", piece.name), score);
        }
    }
}
