//! The marks of an engraved system, in staff spaces.

use ecow::EcoString;
use kurbo::{BezPath, Point, Rect, Vec2};

use super::rules::Sp;
use crate::glyphs::Sign;
use crate::typeset::{self, TextFace, Trace};

/// What a mark is: which others it may touch, and what it means.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "the roles are the trade's own words")]
pub enum MarkRole {
    StaffLine,
    Barline,
    Brace,
    Clef,
    KeySign,
    TimeFigure,
    Head,
    Ledger,
    Stem,
    Flag,
    Beam,
    Dot,
    Accidental,
    Tie,
    Rest,
    Articulation,
    Fermata,
    Tuplet,
    Finger,
    Count,
    Symbol,
    Numeral,
    BarNumber,
    RepeatDot,
    Ending,
    SectionLetter,
    PassageTitle,
    Watch,
    OctaveLine,
}

/// One mark of a system.
#[derive(Clone, Debug, PartialEq)]
pub struct Engraved {
    /// What it is.
    pub role: MarkRole,
    /// What it leaves on paper, in staff spaces.
    pub trace: Trace,
}

impl Engraved {
    /// A sign at its size on the staff.
    pub fn sign(role: MarkRole, sign: Sign, at: Point) -> Self {
        Self::scaled_sign(role, sign, at, 1.0)
    }

    /// A sign, `scale` times its size on the staff.
    pub fn scaled_sign(role: MarkRole, sign: Sign, at: Point, scale: f64) -> Self {
        Self { role, trace: Trace::Sign { sign, at, size: EM * scale } }
    }

    /// A straight line.
    pub fn line(role: MarkRole, from: Point, to: Point, width: Sp) -> Self {
        Self { role, trace: Trace::Line { from, to, width } }
    }

    /// Words.
    pub fn text(
        role: MarkRole,
        text: impl Into<EcoString>,
        face: TextFace,
        at: Point,
        size: Sp,
    ) -> Self {
        Self { role, trace: Trace::Text { text: text.into(), face, at, size } }
    }

    /// A bar of ink with upright ends.
    pub fn slab(role: MarkRole, from: Point, to: Point, height: Sp) -> Self {
        Self { role, trace: Trace::Slab { from, to, height } }
    }

    /// A filled outline.
    pub fn fill(role: MarkRole, path: BezPath) -> Self {
        Self { role, trace: Trace::Fill(path) }
    }

    /// The box round its ink.
    pub fn bounds(&self) -> Rect {
        self.trace.bounds()
    }

    /// Moves it.
    pub fn shift(&mut self, by: Vec2) {
        self.trace.shift(by);
    }
}

/// Marks, each with the box round its ink, which many ask for.
#[derive(Clone, Debug, Default)]
pub(super) struct Boxed {
    marks: Vec<Engraved>,
    boxes: Vec<Rect>,
}

impl Boxed {
    /// None yet, with room for so many.
    pub(super) fn with_room(marks: usize) -> Self {
        Self { marks: Vec::with_capacity(marks), boxes: Vec::with_capacity(marks) }
    }

    /// Adds a mark, and tells the box round it.
    pub(super) fn push(&mut self, mark: Engraved) -> Rect {
        let ink = mark.bounds();
        self.marks.push(mark);
        self.boxes.push(ink);
        ink
    }

    /// How many there are.
    pub(super) fn len(&self) -> usize {
        self.marks.len()
    }

    /// The boxes, in the order of the marks.
    pub(super) fn boxes(&self) -> &[Rect] {
        &self.boxes
    }

    /// The marks with their boxes.
    pub(super) fn iter(&self) -> impl Iterator<Item = (&Engraved, Rect)> {
        self.marks.iter().zip(self.boxes.iter().copied())
    }

    /// The marks alone.
    pub(super) fn into_marks(self) -> Vec<Engraved> {
        self.marks
    }
}

/// The em of the music face: a staff is four spaces high (SMuFL).
const EM: Sp = 4.0;

/// The box round the ink of a sign at its size on the staff.
pub(super) fn sign_box(sign: Sign, at: Point) -> Rect {
    typeset::sign_box(sign, at, EM)
}
