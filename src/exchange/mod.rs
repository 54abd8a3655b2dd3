//! Exchange: the notes of a course for other programs, as MusicXML 4.0, plain or packed.
//!
//! A [`ExchangePiece`] is what is printed, without its paper: each drill in its keys, how its music looks,
//! and where its lines and pages end. What the engraver decides before anything has its place
//! (beams, accidentals, stems, octaves) is asked of it; nothing is decided here, and nothing is laid
//! out. All keys of all drills follow one another in one part of two staves, each from a new page or
//! line as on paper, its bars counted from 1 as the sheet counts them.
//!
//! `document` holds the whole together; a `sheet` is a key of a drill, bar by bar, of which `notes`
//! writes the two hands, `harmony` what is said of chords, and `words` everything else above a staff.
//! `xml` and `zip` know nothing of music.
//!
//! Counts, brackets over bars to watch, and all that stands outside the systems but titles and the
//! student's name stay on the page.

mod barlines;
mod document;
mod harmony;
mod notes;
mod octaves;
mod sheet;
mod words;
mod xml;
mod zip;

use std::ops::Range;

use crate::drill::Exercise;
use crate::engrave::Look;
use crate::score::{Feel, Score};

pub use document::{musicxml, mxl};
pub use zip::{MXL_START, XML_START};

/// What is to be written down.
#[derive(Clone, Debug, Default)]
pub struct ExchangePiece<'a> {
    /// What the whole is called.
    pub title: String,
    /// Who practises it.
    pub student: Option<String>,
    /// Whose studio it comes from.
    pub studio: Option<String>,
    /// Its drills, in order.
    pub movements: Vec<Movement<'a>>,
}

/// Music under one title: a drill in its keys.
#[derive(Clone, Debug)]
pub struct Movement<'a> {
    /// What its sheets are called.
    pub title: String,
    /// The music.
    pub music: MovementScores<'a>,
    /// Its tempo, in felt beats a minute.
    pub tempo: u16,
    /// How eighths are played, where its tempo mark says so.
    pub feel: Option<Feel>,
    /// How its music looks, and what is left out of it.
    pub look: Look,
    /// The lines of each of its keys, in the order of the keys; none where they are not known.
    pub lines: Vec<Vec<PaperLine>>,
}

/// The scores of a movement.
#[derive(Clone, Copy, Debug)]
pub enum MovementScores<'a> {
    /// Those of a drill, each realised when it is written down.
    Exercise(&'a Exercise),
    /// These.
    Scores(&'a [Score]),
}

impl<'a> Movement<'a> {
    /// A drill in its keys, whose lines are not known.
    pub fn of(exercise: &'a Exercise, look: Look) -> Self {
        Self {
            title: exercise.template.title.clone(),
            music: MovementScores::Exercise(exercise),
            tempo: exercise.tempo,
            feel: exercise.template.spoken_feel(exercise.feel),
            look,
            lines: Vec::new(),
        }
    }
}

/// A line of music on paper.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PaperLine {
    /// Its bars, by index.
    pub bars: Range<usize>,
    /// Whether a page begins with it.
    pub begins_page: bool,
}
