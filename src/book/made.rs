//! A book that is measured and planned, whose pages are drawn as they are asked for.

use std::ops::Range;

use super::booklet::Folding;
use super::matter::slips::SlipPages;
use super::matter::{chord_table, contents, cover, how_to, log, opening, term};
use super::outline::outline;
use super::plan::{Chapter, DocumentPlan, Slips, in_drill};
use super::review::Review;
use super::sheet::foot;
use super::sheet::{self, Sheets};
use super::study::leaf;
use super::{
    BookOptions, ChartBook, ChartLook, DocumentForm, PacketPart, PacketTune, PageError, ReaderTune,
};
use kurbo::Rect;

use crate::canvas::paper::MM;
use crate::canvas::{About, Document, Page};
use crate::drill::Course;
use crate::engrave::{Look, StaffSize};
use crate::parallel;
use crate::theory::Key;

/// The language of every word of ours.
const LANGUAGE: &str = "en";

/// A book: which pages it has is known, and each can be drawn without the others.
pub struct Book<'a> {
    plan: DocumentPlan<'a>,
    /// The sheets of each chapter.
    sheets: Vec<Sheets>,
    /// The charts of a study packet; none for its other parts.
    charts: Vec<Option<ChartBook<'a>>>,
    /// The return slips that stand on pages of their own.
    slips: Option<SlipPages>,
    /// The boxes of a review, which has no other pages.
    review: Option<Review>,
    /// How its pages lie on the sides of a booklet.
    folding: Option<Folding>,
}

/// The sheets of a drill as they are printed first, before any answers.
#[derive(Clone, Debug)]
pub struct LaidSheets {
    /// What they are called.
    pub title: String,
    /// How their music looks, with what is left out of it.
    pub look: Look,
    /// The lines of each key: their bars, and whether a page begins with them.
    pub keys: Vec<Vec<(Range<usize>, bool)>>,
}

/// What a page is.
enum PageRole {
    Cover,
    /// A page of the contents.
    Contents(usize),
    /// A page of the advice on practice.
    HowTo(usize),
    /// A table of spelled chords.
    Chords(usize),
    /// A page of a part of a study packet: which part, and which of its pages.
    Packet(usize, usize),
    /// A page of the plan of the term.
    Term(usize),
    Log,
    /// The page that opens a chapter.
    Opening(usize),
    /// A page of return slips.
    Slips(usize),
    /// A page with music: chapter, and which of its pages with music.
    Sheet(usize, usize),
}

impl<'a> Book<'a> {
    /// Measures a course and plans its pages. The course has a drill and a key at least.
    ///
    /// Errors where the music or the words about it have no room.
    pub fn measure(course: &'a Course, options: &'a BookOptions) -> Result<Self, PageError> {
        parallel::inside(|| Self::measured(course, options))
    }

    fn measured(course: &'a Course, options: &'a BookOptions) -> Result<Self, PageError> {
        let mut plan = DocumentPlan::new(course, options);
        let charts = charts(&plan, options)?;
        plan = with_packet(plan, &charts)?;
        if options.form == DocumentForm::Review {
            let review = Review::of(&plan)?;
            plan.pages = review.pages();
            let folding = options.booklet.then(|| Folding::of(plan.pages));
            let (sheets, slips, review) = (Vec::new(), None, Some(review));
            return Ok(Self { plan, sheets, charts: Vec::new(), slips, review, folding });
        }
        // Neither asks for what the other finds.
        let (with_words, measured) =
            parallel::both(|| with_words_before(plan.clone()), || measured_with_slips(&plan));
        let (slips, sheets) = measured?;
        let mut plan = with_words?.with_slips(slips);
        check_shared(&plan, &sheets)?;
        plan.allot(sheets.iter().map(|sheets| sheets.allotment));
        let on_pages = matches!(plan.slips, Slips::OnPages(_));
        let slips = on_pages.then(|| SlipPages::of(&plan)).transpose()?;
        if let Some(slips) = &slips {
            plan = plan.with_slips(Slips::OnPages(slips.pages()));
        }
        let folding = options.booklet.then(|| Folding::of(plan.pages));
        Ok(Self { plan, sheets, charts, slips, review: None, folding })
    }

    /// How many pages it has; of a booklet, how many sides of its sheets.
    pub fn pages(&self) -> usize {
        self.folding.as_ref().map_or(self.plan.pages, Folding::sides)
    }

    /// How many sheets it has: keys that share a page are on one, a key on several pages is on one.
    pub fn sheets(&self) -> usize {
        let of =
            |chapter: &Chapter<'_>| chapter.exercise.keys.len().div_ceil(chapter.allotment.keys);
        self.plan.chapters.iter().map(of).sum()
    }

    /// Whether it has a page of the practice log.
    pub fn has_log(&self) -> bool {
        !self.plan.logs.is_empty()
    }

    /// Draws the page at an index.
    ///
    /// Errors where its words have no room.
    pub fn page(&self, index: usize) -> Result<Page, PageError> {
        let Some(folding) = &self.folding else { return self.leaf(index) };
        let leaf = |leaf| (leaf < self.plan.pages).then(|| self.leaf(leaf)).transpose();
        let [left, right] = folding.pair(index).map(leaf);
        Ok(folding.side(self.plan.sheet(), [left?, right?]))
    }

    /// Whose music stands on the page at an index: which drill of the course, and the key, in the
    /// order of the systems.
    pub fn music(&self, index: usize) -> Vec<(usize, Key)> {
        let leaves: Vec<usize> = match &self.folding {
            Some(folding) => folding.pair(index).to_vec(),
            None => vec![index],
        };
        let leaves = leaves.into_iter().filter(|leaf| *leaf < self.plan.pages);
        let of_leaf = |leaf| match self.review.is_none().then(|| self.role(leaf)) {
            Some(PageRole::Sheet(chapter, nth)) => {
                let keys = self.sheets[chapter].keys_on(nth);
                keys.into_iter().map(|key| (chapter, key)).collect()
            }
            _ => Vec::new(),
        };
        leaves.flat_map(of_leaf).collect()
    }

    /// What is known of it apart from its pages.
    pub fn about(&self) -> About {
        let options = self.plan.options;
        let outline = outline(&self.plan);
        About {
            title: self.plan.title.1.to_string(),
            author: options.studio.clone(),
            language: LANGUAGE.to_owned(),
            outline: match &self.folding {
                Some(folding) => outline.iter().map(|entry| folding.moved(entry)).collect(),
                None => outline,
            },
            pictures: options.picture.iter().cloned().collect(),
            recipe: options.carried.clone(),
        }
    }

    /// What the sheets of each drill are, for what is no page; none for a review, which has no sheets.
    pub fn laid(&self) -> Vec<LaidSheets> {
        let laid = |(chapter, sheets): (&Chapter<'_>, &Sheets)| LaidSheets {
            title: self.plan.sheet_title(chapter).1,
            look: self.plan.partial_look(chapter),
            keys: sheets.lines(),
        };
        self.plan.chapters.iter().zip(&self.sheets).map(laid).collect()
    }

    /// All its pages at once.
    ///
    /// Errors where words have no room.
    pub fn document(&self) -> Result<Document, PageError> {
        let pages = parallel::map(0..self.pages(), |index| self.page(index));
        Ok(Document { about: self.about(), pages: pages.into_iter().collect::<Result<_, _>>()? })
    }

    /// Draws the page at an index as it lies in the book, folded or not.
    fn leaf(&self, index: usize) -> Result<Page, PageError> {
        let plan = &self.plan;
        if let Some(review) = &self.review {
            return Ok(review.lay_out(plan, index));
        }
        match self.role(index) {
            PageRole::Cover => cover::lay_out(plan),
            PageRole::Contents(nth) => contents::lay_out(plan, nth),
            PageRole::HowTo(nth) => how_to::lay_out(plan, nth),
            PageRole::Packet(part, nth) => self.packet_page(part, nth, index),
            PageRole::Term(nth) => term::lay_out(plan, nth, index),
            PageRole::Chords(table) => Ok(chord_table::lay_out(plan, table)),
            PageRole::Slips(nth) => match &self.slips {
                Some(slips) => Ok(slips.lay_out(plan, nth, index)),
                None => Ok(plan.board(index).finish()),
            },
            PageRole::Log => Ok(log::lay_out(plan, index)),
            PageRole::Opening(chapter) => {
                let chapter = &plan.chapters[chapter];
                opening::lay_out(plan, chapter, index)
                    .map_err(|error| in_drill(error, plan, chapter))
            }
            PageRole::Sheet(chapter, nth) => {
                Ok(self.sheets[chapter].draw(plan, &plan.chapters[chapter], nth))
            }
        }
    }

    /// Draws a page of a part of a study packet, which has an index in the book.
    fn packet_page(&self, part: usize, nth: usize, index: usize) -> Result<Page, PageError> {
        let plan = &self.plan;
        let own = plan.options.packet.as_ref().and_then(|packet| packet.parts.get(part));
        if let Some(PacketPart::Words(words)) = own {
            return leaf::lay_out(plan, words, nth, index);
        }
        let mut board = plan.board(index);
        let live = board.live;
        board.live = above_folio(live);
        if let Some(Some(chart)) = self.charts.get(part) {
            chart.draw(&mut board, nth);
        }
        board.live = live;
        foot::draw_folio(&mut board, plan, index);
        Ok(board.finish())
    }

    /// What the page at an index is.
    fn role(&self, index: usize) -> PageRole {
        let plan = &self.plan;
        if plan.logs.contains(&index) {
            return PageRole::Log;
        }
        if let Some(nth) = index.checked_sub(plan.slips_page) {
            return PageRole::Slips(nth);
        }
        let chapters = plan.chapters.iter().rev();
        let Some(chapter) = chapters.into_iter().find(|chapter| chapter.start() <= index) else {
            return match index {
                super::plan::COVER => PageRole::Cover,
                page if page < plan.packet_page(0) => {
                    PageRole::Contents(page - super::plan::CONTENTS)
                }
                page if page < plan.how_to_page() => {
                    let before = |part: &usize| plan.packet_page(*part) <= page;
                    let part = (0..plan.packet.len()).rfind(before).unwrap_or(0);
                    PageRole::Packet(part, page - plan.packet_page(part))
                }
                page if page < plan.chords_page(0) => PageRole::HowTo(page - plan.how_to_page()),
                page if page < plan.term_page() => PageRole::Chords(page - plan.chords_page(0)),
                page => PageRole::Term(page - plan.term_page()),
            };
        };
        match index.checked_sub(chapter.first_page) {
            None => PageRole::Opening(chapter.index),
            Some(page) => {
                let among = chapter.first_page..index;
                let logs = plan.logs.iter().filter(|log| among.contains(log)).count();
                PageRole::Sheet(chapter.index, page - logs)
            }
        }
    }
}

/// The part of a page that a chart has for itself.
fn above_folio(live: Rect) -> Rect {
    const ABOVE_FOLIO: f64 = 7.0 * MM;
    Rect { y0: live.y0 + ABOVE_FOLIO, ..live }
}

/// The charts of a study packet. Errors where words have no room.
fn charts<'a>(
    plan: &DocumentPlan<'_>,
    options: &'a BookOptions,
) -> Result<Vec<Option<ChartBook<'a>>>, PageError> {
    let look = ChartLook {
        paper: options.paper,
        orientation: options.orientation,
        symbols: options.look.symbols,
        numerals: options.look.numerals,
    };
    let live = above_folio(plan.live(0));
    let parts = options.packet.iter().flat_map(|packet| &packet.parts);
    let chart = |part: &'a PacketPart| match part {
        PacketPart::Words(_) => Ok(None),
        PacketPart::Chart(tune) => {
            let PacketTune { chart, analysis, horn, sounding } = &**tune;
            let analysis = analysis.as_ref();
            let tune = ReaderTune { chart, analysis, horn: *horn, sounding: *sounding };
            ChartBook::within(tune, look, String::new(), live).map(Some)
        }
    };
    parts.map(chart).collect()
}

/// The plan with the pages of a study packet counted. Errors where words have no room.
fn with_packet<'a>(
    plan: DocumentPlan<'a>,
    charts: &[Option<ChartBook<'_>>],
) -> Result<DocumentPlan<'a>, PageError> {
    let parts = plan.options.packet.iter().flat_map(|packet| &packet.parts);
    let pages = parts.zip(charts).map(|(part, chart)| match (part, chart) {
        (PacketPart::Words(words), _) => leaf::pages(&plan, words),
        (_, Some(chart)) => Ok(chart.pages()),
        (_, None) => Ok(0),
    });
    let pages = pages.collect::<Result<Vec<_>, _>>()?;
    Ok(plan.with_packet(pages))
}

/// The plan with its pages of words before the drills counted. Errors where words have no room.
fn with_words_before(plan: DocumentPlan<'_>) -> Result<DocumentPlan<'_>, PageError> {
    let how_to = how_to::pages(&plan);
    let plan = plan.with_how_to(how_to);
    let term = term::pages(&plan)?;
    let plan = plan.with_term(term);
    let contents = contents::fitted(&plan);
    Ok(plan.with_contents(contents))
}

/// The sheets of all drills, and where the return slips have room: at the foot of their sheets,
/// unless a sheet then takes more pages than it does without.
fn measured_with_slips(plan: &DocumentPlan<'_>) -> Result<(Slips, Vec<Sheets>), PageError> {
    if plan.slips != Slips::AtFoot {
        return Ok((plan.slips, measure_all(plan)?));
    }
    let elsewhere = Slips::OnPages(1);
    let bare = measure_all(&plan.clone().with_slips(elsewhere))?;
    let alike = |with: &Vec<Sheets>| {
        with.iter().zip(&bare).all(|(with, bare)| with.allotment == bare.allotment)
    };
    match measure_all(plan).ok().filter(alike) {
        Some(sheets) => Ok((Slips::AtFoot, sheets)),
        None => Ok((elsewhere, bare)),
    }
}

/// Measures the sheets of every drill.
fn measure_all(plan: &DocumentPlan<'_>) -> Result<Vec<Sheets>, PageError> {
    let measured = parallel::map(&plan.chapters, |chapter| {
        let sheets = sheet::measure(plan, chapter);
        let sheets = sheets.map_err(|error| with_nearest(error, plan, chapter));
        sheets.map_err(|error| in_drill(error, plan, chapter))
    });
    measured.into_iter().collect()
}

/// Errors where several drills were to have so many keys on a page and none of them can: one that
/// can is enough, and the others have as many as they hold.
fn check_shared(plan: &DocumentPlan<'_>, sheets: &[Sheets]) -> Result<(), PageError> {
    let Some(asked) = plan.options.keys_a_page else { return Ok(()) };
    let keys = plan.chapters.iter().map(|chapter| chapter.exercise.keys.len()).max();
    let wanted = asked.min(keys.unwrap_or(1));
    let most = sheets.iter().map(|sheets| sheets.allotment.keys).max().unwrap_or(1);
    if most >= wanted {
        return Ok(());
    }
    Err(PageError::TooManyKeys { asked, most, paper: plan.options.paper })
}

/// A refusal for want of room, with the largest staff that the drill would have room with.
fn with_nearest(error: PageError, plan: &DocumentPlan<'_>, chapter: &Chapter<'_>) -> PageError {
    let PageError::NoRoom { key, paper, .. } = error else { return error };
    let height = |staff: &StaffSize| staff.mm() * MM;
    let fits = |staff: &StaffSize| {
        let other = plan.with_staves(height(staff));
        sheet::measure(&other, chapter).is_ok()
    };
    let mut smaller =
        StaffSize::all().rev().filter(|staff| height(staff) < plan.staves.largest - 0.1);
    PageError::NoRoom { key, paper, nearest: smaller.find(fits) }
}
