//! The whole line: from a recipe to a finished document.

use std::ops::Range;

use thiserror::Error;

use super::had::{self, Keyed};
use super::keys;
use crate::book::{self, Book, LaidSheets, PageError};
use crate::canvas::{Document, picture};
use crate::drill::{Choices, Course, Exercise, Tempi, Template, library};
use crate::engrave::{Blanks, Look, Watched};
use crate::exchange::{ExchangePiece, Movement, PaperLine};
use crate::output::{self, Inked, OutputError, PdfInMaking};
use crate::parallel;
use crate::recipe::{AskedKey, CourseDrill, KeyOrder, OwnSettings, Recipe, WHOLE_LIBRARY};
use crate::source::Complaint;
use crate::theory::{ChordStyle, Mode};

/// Why a recipe cannot be printed.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum PipelineError {
    /// The drill's name is not in the library.
    #[error("unknown drill `{name}`")]
    UnknownDrill {
        /// The name.
        name: String,
        /// How to mend it.
        mend: String,
    },
    /// Two drills of one name, other than one drill for different hands.
    #[error("two drills are named `{0}`")]
    SameName(String),
    /// The drills cannot be in the keys that were asked for.
    #[error("{0}")]
    Keys(Complaint),
    /// A bar to watch that a drill has not.
    #[error("there is no bar {bar} to watch: `{drill}` has {bars}")]
    NoSuchBar {
        /// The bar, counted from 1.
        bar: u32,
        /// The name of the drill.
        drill: String,
        /// How many bars it has.
        bars: usize,
    },
    /// The drill template is wrong.
    #[error(transparent)]
    Template(#[from] Complaint),
    /// The pages cannot be laid out.
    #[error(transparent)]
    Page(#[from] PageError),
    /// The document cannot be written.
    #[error(transparent)]
    Output(#[from] OutputError),
}

/// The keys of one drill alone, and that drill by its name and mode.
pub(crate) type OwnKeys = (Vec<AskedKey>, [(String, Mode); 1]);

/// A drill that is found and read.
#[derive(Clone, Debug)]
pub struct KnownDrill {
    /// What the recipe calls it.
    pub name: String,
    /// Its text.
    pub text: String,
    /// What the text says.
    pub template: Template,
    /// What it has otherwise than the rest of its course.
    pub own: OwnSettings,
}

impl KnownDrill {
    /// Reads the drill of a name and a text; `origin` is what to call the text. Errors with the
    /// first thing that is wrong with it.
    pub fn read(name: &str, text: &str, origin: &str) -> Result<Self, Complaint> {
        let template = Template::parse(text, origin)?;
        let own = OwnSettings::default();
        Ok(Self { name: name.to_owned(), text: text.to_owned(), template, own })
    }

    /// Whether another drill has the name of this one and cannot stand in a course beside it. One
    /// drill for other hands can.
    pub(crate) fn clashes(&self, other: &Self, course: &Recipe) -> bool {
        let hands = |drill: &Self| drill.own.hands_in(course);
        let is_one = self.text == other.text && hands(self) != hands(other);
        self.template.name == other.template.name && !is_one
    }

    /// The same with something of its own.
    #[must_use]
    pub fn with(self, own: &OwnSettings) -> Self {
        Self { own: own.clone(), ..self }
    }

    /// The keys that were asked for of this drill alone, with its name and mode.
    pub(crate) fn asked_alone(&self) -> Option<OwnKeys> {
        let drill = (self.template.name.clone(), self.template.mode);
        (!self.own.keys.is_empty()).then(|| (self.own.keys.clone(), [drill]))
    }
}

/// The drills of a recipe, in the order in which they are printed: those whose texts it carries,
/// or those of the library that it names.
///
/// Errors with the first drill that is unknown or wrong.
pub fn drills(recipe: &Recipe) -> Result<Vec<KnownDrill>, PipelineError> {
    let none = OwnSettings::default();
    let mut named: Vec<(&str, &str, &OwnSettings)> = Vec::new();
    if !recipe.is_course() {
        named.push((&*recipe.drill, found(&recipe.drill, recipe.template.as_deref())?, &none));
    }
    for part in &recipe.course {
        if part.drill == WHOLE_LIBRARY && part.template.is_none() {
            let own = |(name, text): (&'static str, &'static str)| (name, text, &part.own);
            named.extend(library::all().map(own));
        } else {
            named.push((&*part.drill, found(&part.drill, part.template.as_deref())?, &part.own));
        }
    }
    let read = parallel::map(named, |(name, text, own)| {
        KnownDrill::read(name, text, name).map(|drill| drill.with(own))
    });
    let mut drills: Vec<KnownDrill> = Vec::with_capacity(read.len());
    for drill in read {
        let drill = drill?;
        if drills.iter().any(|other| other.clashes(&drill, recipe)) {
            return Err(PipelineError::SameName(drill.template.name));
        }
        drills.push(drill);
    }
    Ok(drills)
}

/// What the drills of a recipe say, as [`drills`] finds them.
pub fn templates(recipe: &Recipe) -> Result<Vec<Template>, PipelineError> {
    Ok(drills(recipe)?.into_iter().map(|drill| drill.template).collect())
}

/// The text of a drill: the one that is carried, or that of the library.
fn found<'a>(name: &str, carried: Option<&'a str>) -> Result<&'a str, PipelineError> {
    let unknown =
        || PipelineError::UnknownDrill { name: name.to_owned(), mend: library::advice(name) };
    carried.or_else(|| library::find(name)).ok_or_else(unknown)
}

/// What a recipe asks for, ready to be made into pages or into sound.
pub struct Commission {
    /// The recipe with its drills' texts in it, and its keys as the drills can have them.
    pub recipe: Recipe,
    /// The drills in their keys.
    pub course: Course,
    /// What the teacher chose about the book.
    pub book: book::BookOptions,
}

impl Commission {
    /// Measures and plans the book.
    ///
    /// Errors where music or words have no room.
    pub fn book(&self) -> Result<Book<'_>, PipelineError> {
        Ok(Book::measure(&self.course, &self.book)?)
    }

    /// The finished document, all its pages drawn.
    ///
    /// Errors as [`Commission::book`] does.
    pub fn document(&self) -> Result<Document, PipelineError> {
        Ok(self.book()?.document()?)
    }
}

impl Commission {
    /// What of it can be written down as notes, line by line as its `book` has it.
    pub fn piece(&self, book: &Book<'_>) -> ExchangePiece<'_> {
        let line = |(bars, begins_page)| PaperLine { bars, begins_page };
        let lines = |keys: Vec<Vec<_>>| {
            keys.into_iter().map(|lines| lines.into_iter().map(line).collect()).collect()
        };
        let movement = |(exercise, laid): (_, LaidSheets)| Movement {
            title: laid.title,
            lines: lines(laid.keys),
            ..Movement::of(exercise, laid.look)
        };
        ExchangePiece {
            title: book.about().title,
            student: self.book.student.clone(),
            studio: self.book.studio.clone(),
            movements: self.course.exercises.iter().zip(book.laid()).map(movement).collect(),
        }
    }
}

/// How many pages are drawn while those before them are deflated: enough that the processors seldom wait
/// for each other, and few enough that a long book need not be held in operators as a whole.
const PAGES_AT_ONCE: usize = 24;

/// A book as a PDF, its pages turned into operators as soon as each is drawn.
///
/// Errors as [`Book::page`] and [`output::bind`] do.
pub fn printed(book: &Book<'_>) -> Result<Printed, PipelineError> {
    parallel::inside(|| {
        let about = book.about();
        let mut file = PdfInMaking::begin(&about);
        let count = book.pages();
        // The last pages, with which the faces are cut down, are no fewer than the others.
        let upto = |at: usize| {
            if at + 2 * PAGES_AT_ONCE > count { count } else { at + PAGES_AT_ONCE }
        };
        let mut end = upto(0);
        let mut pages = inked_of(book, 0..end)?;
        while end < count {
            let next = end..upto(end);
            end = next.end;
            pages = file.add(pages, || inked_of(book, next))??;
        }
        Ok(Printed { bytes: file.finish(pages)?, pages: count })
    })
}

/// The pages of a book as operators.
///
/// Errors as [`Book::page`].
pub fn inked(book: &Book<'_>) -> Result<Vec<Inked>, PipelineError> {
    inked_of(book, 0..book.pages())
}

/// Some pages of a book as operators.
fn inked_of(book: &Book<'_>, pages: Range<usize>) -> Result<Vec<Inked>, PipelineError> {
    let ink = |index| book.page(index).map(|page| output::ink(&page));
    let pages = parallel::map(pages, ink);
    Ok(pages.into_iter().collect::<Result<Vec<_>, _>>()?)
}

/// A book as a PDF, from its pages as operators.
///
/// Errors as [`output::bind`].
pub fn bound(book: &Book<'_>, pages: Vec<Inked>) -> Result<Printed, PipelineError> {
    let count = pages.len();
    Ok(Printed { bytes: output::bind(&book.about(), pages)?, pages: count })
}

/// What a recipe says that changes the score itself.
pub fn choices(recipe: &Recipe) -> Choices {
    Choices {
        feel: recipe.feel,
        fingering: recipe.fingering,
        hand: recipe.hand,
        spans: recipe.spans,
        hands: recipe.hands,
    }
}

/// What a recipe says about how the music looks.
pub fn look(recipe: &Recipe) -> Look {
    Look {
        symbols: ChordStyle::with(recipe.symbols, recipe.minor, recipe.major),
        numerals: recipe.numerals,
        counts: recipe.counts,
        blanks: Blanks::default(),
        watch: Watched::of(
            recipe.watch.iter().filter_map(|bar| bar.checked_sub(1)).map(|bar| bar as usize),
        ),
    }
}

/// Reads what a recipe asks for. It carries the recipe with the drills' templates in it, so that
/// a document alone is enough to make it again.
///
/// Errors with the first drill that is unknown or wrong, with the first key that a drill cannot be
/// in, or with the picture that cannot be used.
pub fn commission(recipe: &Recipe) -> Result<Commission, PipelineError> {
    commission_of(recipe, drills(recipe)?)
}

/// The same of a recipe whose drills are known already.
pub(crate) fn commission_of(
    recipe: &Recipe,
    drills: Vec<KnownDrill>,
) -> Result<Commission, PipelineError> {
    for KnownDrill { template, .. } in &drills {
        let bars = template.bars();
        if let Some(bar) = recipe.watch.iter().copied().find(|bar| *bar as usize > bars) {
            return Err(PipelineError::NoSuchBar { bar, drill: template.name.clone(), bars });
        }
    }
    let mut drills = drills;
    for drill in drills.iter_mut().filter(|drill| !drill.own.keys.is_empty()) {
        let mode = [(drill.template.name.clone(), drill.template.mode)];
        drill.own.keys = keys::settled(&drill.own.keys, &mode).map_err(PipelineError::Keys)?;
    }
    // What the course says, without what is large in it.
    let base = Recipe { logo_data: None, template: None, course: Vec::new(), ..recipe.clone() };
    let each: Vec<Recipe> = drills.iter().map(|drill| drill.own.over(base.clone())).collect();
    let mut carried = recipe.clone();
    carried.keys = keys::settled(&recipe.keys, &sharing(&drills)).map_err(PipelineError::Keys)?;
    let keys = had::keys(&carried.keys, &keyed(&drills)).iter().map(|key| key.key()).collect();
    if recipe.is_course() {
        let part = |drill: &KnownDrill| CourseDrill {
            drill: drill.name.clone(),
            template: Some(drill.text.clone()),
            own: drill.own.clone(),
        };
        carried.course = drills.iter().map(part).collect();
    } else {
        carried.template = drills.first().map(|drill| drill.text.clone());
        if let Some(drill) = drills.first() {
            carried.drill.clone_from(&drill.name);
        }
    }
    let exercise = |(KnownDrill { template, own, .. }, recipe): (KnownDrill, &Recipe)| {
        let asked = if own.keys.is_empty() { &carried.keys } else { &own.keys };
        let keys = keys::of_drill(asked, template.mode);
        let tempi = Tempi { tempo: recipe.tempo, goal: recipe.goal };
        Exercise::new(template, &keys, tempi, choices(recipe))
    };
    let course = Course { exercises: drills.into_iter().zip(&each).map(exercise).collect() };
    let picture = recipe.logo_data.as_deref().map(picture::picture);
    let picture = picture.transpose().map_err(PageError::from)?;
    let book = book::BookOptions {
        form: recipe.form,
        title: recipe.title.clone(),
        student: recipe.student.clone(),
        studio: recipe.studio.clone(),
        note: recipe.note.clone(),
        date: recipe.date.clone(),
        tracks: recipe.tracks.clone(),
        tracks_at: recipe.tracks_at.clone(),
        slip: recipe.slip,
        leave_out: recipe.leave_out.clone(),
        answers: recipe.answers,
        boxes: recipe.boxes.map(|boxes| boxes as usize),
        seed: recipe.seed.unwrap_or(0),
        picture,
        paper: recipe.paper,
        orientation: recipe.orientation,
        binding: recipe.binding,
        booklet: recipe.booklet,
        staff: recipe.staff,
        bars: recipe.bars.map(|bars| bars.max(1) as usize),
        keys_a_page: recipe.keys_a_page.map(|keys| keys.max(1) as usize),
        look: look(recipe),
        hands: recipe.hands,
        own: each.iter().map(|recipe| (look(recipe), recipe.hands)).collect(),
        term: recipe.term.map(|weeks| weeks.max(1) as usize),
        log_every: recipe.log_every.map(|sheets| sheets.max(1) as usize),
        keys,
        in_round: matches!(recipe.order, None | Some(KeyOrder::FallingFifths)),
        is_course: recipe.is_course(),
        packet: None,
        carried: carried.to_json(),
    };
    Ok(Commission { recipe: carried, course, book })
}

/// Drills as far as their keys go.
pub(crate) fn keyed(drills: &[KnownDrill]) -> Vec<Keyed<'_>> {
    drills.iter().map(|drill| Keyed { mode: drill.template.mode, own: &drill.own.keys }).collect()
}

/// The names that drills give themselves, with their modes: those that have the keys of their
/// course.
pub(crate) fn sharing(drills: &[KnownDrill]) -> Vec<(String, Mode)> {
    let sharing = drills.iter().filter(|drill| drill.own.keys.is_empty());
    sharing.map(|drill| (drill.template.name.clone(), drill.template.mode)).collect()
}

/// A document as it is written to a file.
pub struct Printed {
    /// The PDF.
    pub bytes: Vec<u8>,
    /// How many pages it has, or sides of a booklet.
    pub pages: usize,
}

/// The finished document of a recipe, all its pages drawn.
///
/// Errors as [`commission`] and [`Commission::document`] do.
pub fn document(recipe: &Recipe) -> Result<Document, PipelineError> {
    commission(recipe)?.document()
}

/// The same as a PDF.
///
/// Errors as [`commission`], [`Commission::book`] and [`printed`] do.
pub fn pdf(recipe: &Recipe) -> Result<Printed, PipelineError> {
    parallel::inside(|| printed(&commission(recipe)?.book()?))
}
