//! Making the plan: which part has how many pages, and where each begins.

use std::borrow::Cow;

use super::{Allotment, Chapter, DRILL_TITLE, DocumentPlan, Logo, LogsAmong, Slips};
use crate::book::spelled;
use crate::book::{BookOptions, DocumentForm, PageTemplate, Whose};
use crate::canvas::paper::{self, Binding};
use crate::drill::{Course, Exercise};
use crate::engrave::Staves;
use crate::source::RecipeField;
use crate::theory::Key;

/// The field that the title of a document comes from.
const TITLE: Whose = Whose::Recipe(RecipeField::Title);

/// Making the plan.
impl<'a> DocumentPlan<'a> {
    /// The plan of a course of at least one drill, each key on one page as yet.
    pub(crate) fn new(course: &'a Course, options: &'a BookOptions) -> Self {
        let page = PageTemplate::of(options.paper);
        let chapter = |(index, exercise)| Chapter {
            index,
            exercise,
            opening: None,
            first_page: 0,
            allotment: Allotment::ALONE,
        };
        let chosen = options.staff.map(|staff| staff.mm() * paper::MM);
        let largest = chosen.unwrap_or(page.staff);
        let staves = Staves { largest, least: chosen.unwrap_or(page.least_staff) };
        let growth = page.growth(largest);
        let exercises = course.exercises.as_slice();
        let mut plan = Self {
            options,
            chapters: exercises.iter().enumerate().map(chapter).collect(),
            page,
            grown: page.grown(growth),
            growth,
            title: match (&options.title, exercises) {
                (Some(title), _) => (TITLE, Cow::Borrowed(title)),
                (None, _) if options.form == DocumentForm::Review => {
                    (TITLE, Cow::Borrowed("Review"))
                }
                (None, [one]) => (DRILL_TITLE, Cow::Borrowed(&one.template.title)),
                (None, _) => (TITLE, Cow::Owned(format!("A course of {} drills", exercises.len()))),
            },
            logo: options.picture.as_ref().map(|picture| Logo {
                index: 0,
                aspect: f64::from(picture.width) / f64::from(picture.height),
            }),
            contents: 1,
            how_to: 1,
            packet: Vec::new(),
            term: 0,
            contents_row: 1.0,
            tables: spelled::with_answers(
                spelled::of(exercises, &options.keys, options.packet.is_none()),
                options,
            ),
            logs: Vec::new(),
            slips_page: 0,
            slips: match (options.slip, options.form) {
                (false, _) => Slips::Nowhere,
                (true, DocumentForm::Handout) => Slips::AtFoot,
                (true, DocumentForm::Workbook) => Slips::OnPages(1),
                (true, DocumentForm::Review) => Slips::Nowhere,
            },
            pages: 0,
            is_of_tonics: exercises.iter().all(|exercise| goes_through(exercise, &options.keys)),
            staves,
        };
        plan.place();
        plan
    }

    /// Gives the contents so many pages, whose rows are so high, in ems.
    pub(crate) fn with_contents(mut self, (row, pages): (f64, usize)) -> Self {
        (self.contents_row, self.contents) = (row, pages);
        self.place();
        self
    }

    /// Gives the advice on practice so many pages.
    pub(crate) fn with_how_to(mut self, pages: usize) -> Self {
        self.how_to = pages;
        self.place();
        self
    }

    /// Gives each part of a study packet so many pages.
    pub(crate) fn with_packet(mut self, pages: Vec<usize>) -> Self {
        self.packet = pages;
        self.place();
        self
    }

    /// Gives the plan of the term so many pages.
    pub(crate) fn with_term(mut self, pages: usize) -> Self {
        self.term = pages;
        self.place();
        self
    }

    /// The same plan with staves of one height, in points.
    pub(crate) fn with_staves(&self, height: f64) -> Self {
        let growth = self.page.growth(height);
        let staves = Staves { largest: height, least: height };
        Self { staves, growth, grown: self.page.grown(growth), ..self.clone() }
    }

    /// Puts the return slips elsewhere.
    pub(crate) fn with_slips(mut self, slips: Slips) -> Self {
        self.slips = slips;
        self.place();
        self
    }

    /// Gives the keys of each drill their pages.
    pub(crate) fn allot(&mut self, allotments: impl IntoIterator<Item = Allotment>) {
        for (chapter, allotment) in self.chapters.iter_mut().zip(allotments) {
            chapter.allotment = allotment;
        }
        self.place();
    }

    /// Whether its pages lie open in pairs, a left one beside a right one.
    fn has_facing_pages(&self) -> bool {
        self.is_workbook() || self.options.booklet || self.options.binding == Binding::Duplex
    }

    /// Gives every drill its pages.
    fn place(&mut self) {
        let is_workbook = self.is_workbook();
        let every = self.options.log_every.unwrap_or(0);
        let mut since = 0;
        let (has_openings, faces) = (
            is_workbook && self.options.is_course && self.options.packet.is_none(),
            self.has_facing_pages(),
        );
        let mut page = self.front();
        self.logs.clear();
        self.logs.extend(self.words_before()..page);
        for chapter in &mut self.chapters {
            // Pages that fill openings of the book begin on a left one, which has an odd index.
            let first = page + usize::from(has_openings);
            if faces && chapter.allotment.pages.is_multiple_of(2) && first.is_multiple_of(2) {
                self.logs.push(page);
                page += 1;
            }
            chapter.opening = has_openings.then_some(page);
            chapter.first_page = page + usize::from(has_openings);
            let turn = chapter.allotment.turn();
            let opens = faces && chapter.allotment.pages.is_multiple_of(2);
            let logs = LogsAmong { every, since, pages: if opens { 2 } else { 1 } };
            chapter.allotment.logs = logs;
            let keys = chapter.exercise.keys.len();
            let sheets = keys.div_ceil(chapter.allotment.keys);
            for sheet in 1..=sheets {
                let before = logs.before(sheet - 1);
                let first = chapter.first_page + sheet * turn + before;
                self.logs.extend(first..first + logs.before(sheet) - before);
            }
            since = (since + sheets) % every.max(1);
            page = chapter.first_page + chapter.allotment.all(keys);
        }
        let is_owed = every > 0 && since > 0;
        if is_workbook && (has_openings && every == 0 || is_owed || self.logs.is_empty()) {
            self.logs.push(page);
            page += 1;
        }
        self.slips_page = page;
        if let Slips::OnPages(pages) = self.slips {
            page += pages;
        }
        self.pages = page;
    }
}

/// Whether a drill goes through all of these tonics, in whichever mode.
fn goes_through(exercise: &Exercise, tonics: &[Key]) -> bool {
    let has =
        |key: &Key| exercise.keys.iter().any(|own| own.place_in_round() == key.place_in_round());
    tonics.iter().all(has)
}
