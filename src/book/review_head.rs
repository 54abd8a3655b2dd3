//! What stands above the boxes of a review: its title, for whom and when, and the teacher's note.

use kurbo::Rect;

use super::Whose;
use super::error::PageError;
use super::plan::DocumentPlan;
use super::sheet::header::{NOTE_INDENT, NOTE_LINES, draw_note, leading, long_note};
use crate::canvas::Kind;
use crate::canvas::board::Board;
use crate::canvas::paper::MM;
use crate::source::RecipeField;
use crate::typeset::fit::{Fitted, fit, paragraph};
use crate::typeset::line::Style;
use crate::typeset::{self, TextFace};

/// The title where there is no other, what is added to it overleaf, and the share of a line that it
/// takes at the most.
const TITLE: &str = "Review";
const OVERLEAF: &str = ", answers";
const TITLE_SHARE: f64 = 0.42;
/// The shares of the day and of the name.
const DATE_SHARE: f64 = 0.22;
const NAME_SHARE: f64 = 0.3;
/// White between them.
const BETWEEN: f64 = 4.0 * MM;
/// From the heading of the page to what stands below it.
const BELOW_HEADING: f64 = 7.0 * MM;
/// From the note to the first boxes.
const BELOW_NOTE: f64 = 4.5 * MM;

/// What stands above the boxes of a review.
#[derive(Clone)]
pub(super) struct ReviewHead {
    /// The titles of the two sides, on a line each.
    titles: [Fitted; 2],
    /// Day and student, from the right.
    names: Vec<Fitted>,
    note: Option<Fitted>,
}

impl ReviewHead {
    /// Sets its words. Errors where they have no room.
    pub(super) fn of(plan: &DocumentPlan<'_>) -> Result<Self, PageError> {
        let (sizes, options) = (&plan.page.sizes, plan.options);
        let width = plan.width();
        let title = options.title.as_deref().unwrap_or(TITLE);
        let style = Style::new(TextFace::Bold, sizes.heading);
        let set = |words: &str| {
            let whose = Whose::Recipe(RecipeField::Title);
            fit(whose, words, style, sizes.least_header, TITLE_SHARE * width, 1)
        };
        let titles = [set(title)?, set(&format!("{title}{OVERLEAF}"))?];
        let mut names = Vec::new();
        for (field, words, face, share) in [
            (RecipeField::Date, &options.date, TextFace::Regular, DATE_SHARE),
            (RecipeField::Student, &options.student, TextFace::Semibold, NAME_SHARE),
        ] {
            let Some(words) = words else { continue };
            let style = Style::new(face, sizes.header);
            let whose = Whose::Recipe(field);
            names.push(fit(whose, words, style, sizes.least_header, share * width, 1)?);
        }
        let note = options.note.as_deref().map(|words| {
            let style = Style::new(TextFace::Semibold, sizes.body);
            let whose = Whose::Recipe(RecipeField::Note);
            let (least, room) = (sizes.least_header, width - NOTE_INDENT);
            let note = paragraph(whose, words, style, least, room, NOTE_LINES);
            note.map_err(|error| long_note(error, words, Style { size: least, ..style }, room))
        });
        Ok(Self { titles, names, note: note.transpose()? })
    }

    /// Draws it on one of the two sides, between two abscissae: the note where the questions are.
    pub(super) fn draw(
        &self,
        board: &mut Board,
        plan: &DocumentPlan<'_>,
        side: usize,
        [left, mut right]: [f64; 2],
    ) {
        let live = board.live;
        let baseline = heading_line(plan, live);
        board.begin(Kind::Heading(1));
        for phrase in self.titles[side].phrases() {
            board.from(left, baseline, phrase);
        }
        for name in &self.names {
            board.begin(Kind::Paragraph);
            for phrase in name.phrases() {
                let width = phrase.width();
                board.to(right, baseline, phrase);
                right -= width + BETWEEN;
            }
        }
        if let Some(note) = self.note.as_ref().filter(|_| side == 0) {
            draw_note(board, left, note_line(plan, live, note), note);
        }
    }

    /// Where the first boxes begin, on both sides alike.
    pub(super) fn first_box(&self, plan: &DocumentPlan<'_>, live: Rect) -> f64 {
        match &self.note {
            None => heading_line(plan, live) - BELOW_HEADING,
            Some(note) => {
                let below = (note.lines.len() - 1) as f64 * leading(note.style);
                note_line(plan, live, note) - below - BELOW_NOTE
            }
        }
    }
}

fn heading_line(plan: &DocumentPlan<'_>, live: Rect) -> f64 {
    live.y1 - typeset::cap_height(TextFace::Bold, plan.page.sizes.heading)
}

/// The first baseline of a note.
fn note_line(plan: &DocumentPlan<'_>, live: Rect, note: &Fitted) -> f64 {
    let above = typeset::cap_height(note.style.face, note.style.size);
    heading_line(plan, live) - BELOW_HEADING - above
}
