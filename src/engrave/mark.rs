//! The marks of an engraved system, in staff spaces.

use kurbo::{BezPath, Point, Rect, Shape as _, Vec2};

use super::rules::Sp;
use crate::glyphs::{MusicFace, Sign};
use crate::typeset::{self, TextFace};

/// What a mark is: which others it may touch, and what it means.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "the roles are the trade's own words")]
pub enum Role {
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
}

/// The form of a mark. Lengths in staff spaces, y upward.
#[derive(Clone, Debug, PartialEq)]
pub enum Form {
    /// A sign of the music face, `scale` times its size on the staff.
    Sign {
        /// Which sign.
        sign: Sign,
        /// Its origin.
        at: Point,
        /// 1.0 on the staff.
        scale: f64,
    },
    /// Words.
    Text {
        /// The words.
        text: String,
        /// The cut.
        face: TextFace,
        /// The left end of the baseline.
        at: Point,
        /// The em.
        size: Sp,
    },
    /// A straight line with square ends.
    Line {
        /// One end.
        from: Point,
        /// The other.
        to: Point,
        /// Its thickness.
        width: Sp,
    },
    /// A filled outline.
    Fill(BezPath),
}

/// One mark of a system.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// What it is.
    pub role: Role,
    /// What it looks like.
    pub form: Form,
}

impl Mark {
    /// A sign at its size on the staff.
    pub fn sign(role: Role, sign: Sign, at: Point) -> Self {
        Self { role, form: Form::Sign { sign, at, scale: 1.0 } }
    }

    /// A straight line.
    pub fn line(role: Role, from: Point, to: Point, width: Sp) -> Self {
        Self { role, form: Form::Line { from, to, width } }
    }

    /// Words.
    pub fn text(role: Role, text: impl Into<String>, face: TextFace, at: Point, size: Sp) -> Self {
        Self { role, form: Form::Text { text: text.into(), face, at, size } }
    }

    /// A filled outline.
    pub fn fill(role: Role, path: BezPath) -> Self {
        Self { role, form: Form::Fill(path) }
    }

    /// The box round its ink.
    pub fn bounds(&self) -> Rect {
        match &self.form {
            Form::Sign { sign, at, scale } => sign_box(*sign, *at, *scale),
            Form::Text { text, face, at, size } => {
                typeset::ink_bounds(*face, text, *size) + at.to_vec2()
            }
            Form::Line { from, to, width } => {
                let half = width / 2.0;
                let rect = Rect::from_points(*from, *to);
                if from.x == to.x { rect.inflate(half, 0.0) } else { rect.inflate(0.0, half) }
            }
            Form::Fill(path) => path.bounding_box(),
        }
    }

    /// The same mark elsewhere.
    pub fn shift(&mut self, by: Vec2) {
        match &mut self.form {
            Form::Sign { at, .. } | Form::Text { at, .. } => *at += by,
            Form::Line { from, to, .. } => {
                *from += by;
                *to += by;
            }
            Form::Fill(path) => path.apply_affine(kurbo::Affine::translate(by)),
        }
    }
}

/// The box round the ink of a sign.
pub(super) fn sign_box(sign: Sign, at: Point, scale: f64) -> Rect {
    let bounds = MusicFace::get().bounds(sign);
    Rect::new(bounds.x0 * scale, bounds.y0 * scale, bounds.x1 * scale, bounds.y1 * scale)
        + at.to_vec2()
}
