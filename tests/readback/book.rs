//! Documents to read back, and the whole check of one.

use quintfall::book::PageError;
use quintfall::canvas::Document;
use quintfall::desk::pipeline::{self, PipelineError};
use quintfall::drill::{self, Template};
use quintfall::output;
use quintfall::recipe::{DocumentForm, Orientation, Recipe};
use quintfall::theory::{AskedKey, Mode, Spelling};

use crate::harmony::{self, Tones};
use crate::ink::{self, Ink};
use crate::staff::systems;
use crate::{against, cut, fold, music, words};

/// What a check of a document found.
#[derive(Debug, Default, PartialEq, Eq)]
pub(crate) struct Found {
    /// Pages with music.
    pub(crate) pages: usize,
    /// Systems on them.
    pub(crate) systems: usize,
    /// Heads read.
    pub(crate) heads: usize,
    /// Notes that belong to the chords named over them, and those beside one.
    pub(crate) tones: Tones,
}

/// One key of a document, read.
pub(crate) struct KeyRead {
    pub(crate) sheet: music::Sheet,
    pub(crate) rows: words::Rows,
    /// How many pages it takes, or begins to take.
    pub(crate) pages: usize,
    /// Whether it shares its first page with the key before it.
    pub(crate) shares: bool,
    /// What is said over its first system, without spaces.
    pub(crate) heading: String,
}

/// Reads every key of a PDF file, each from all its pages or from its part of one.
pub(crate) fn read(pdf: &[u8], is_booklet: bool) -> Result<Vec<KeyRead>, String> {
    let sides = ink::pages(pdf);
    let pages = if is_booklet { fold::leaf_through(&sides)? } else { sides };
    let mut keys: Vec<(bool, Vec<Ink>)> = Vec::new();
    let mut last_music = None;
    for (index, ink) in pages.iter().enumerate() {
        let at = |what: String| format!("page {}: {what}", index + 1);
        for (place, piece) in cut::pieces(ink).map_err(at)?.into_iter().enumerate() {
            match keys.last_mut().filter(|_| !piece.begins) {
                Some((_, key)) if last_music.is_some_and(|last| last + 1 == index) => {
                    key.push(piece.ink);
                }
                Some(_) => return Err(at("music goes on after other pages".to_owned())),
                None => keys.push((place > 0, vec![piece.ink])),
            }
        }
        if !systems(ink, 0).map_err(at)?.is_empty() {
            last_music = Some(index);
        }
    }
    let read = |(index, (shares, pages)): (usize, &(bool, Vec<Ink>))| {
        let pages: Vec<&Ink> = pages.iter().collect();
        let sheet = music::read(&pages).map_err(|what| format!("key {}: {what}", index + 1))?;
        let rows = words::rows(&pages, &sheet);
        let heading = words::above(pages[0], &sheet);
        Ok(KeyRead { sheet, rows, pages: pages.len(), shares: *shares, heading })
    };
    keys.iter().enumerate().map(read).collect()
}

/// Reads a PDF file back and compares every key of every template, in order, with the score that
/// the template gives, and its notes with the chords it names.
pub(crate) fn check(
    pdf: &[u8],
    templates: &[Template],
    keys: &[AskedKey],
    recipe: &Recipe,
) -> Result<Found, String> {
    let read = read(pdf, recipe.booklet)?;
    if read.len() != templates.len() * keys.len() {
        return Err(format!("{} pieces, not {}", read.len(), templates.len() * keys.len()));
    }
    let mut found = Found::default();
    let pieces = templates.iter().flat_map(|template| keys.iter().map(move |key| (template, key)));
    // The whole round asks for no key by name, so minor drills take the customary twelve.
    let is_whole = AskedKey::round(Spelling::Customary).iter().all(|key| keys.contains(key));
    for ((template, key), own) in pieces.zip(&read) {
        let is_customary = is_whole && template.mode.signature() != Mode::Major;
        let key = key.in_mode(template.mode);
        let key = if is_customary { key.customary() } else { key };
        let at = |what: String| format!("{} in {key}: {what}", template.name);
        let score = drill::realise(template, key, quintfall::desk::pipeline::choices(recipe));
        let plays_scales = template.passages.iter().any(|passage| !passage.scales.is_empty());
        let moments = against::check(&own.sheet, &own.rows, &score, recipe).map_err(at)?;
        let tonic = score.key.tonic().plain();
        let name = score.key.words().replace(' ', "");
        if !own.heading.contains(&format!("|{name}")) {
            return Err(at(format!("{:?} stands over it", own.heading)));
        }
        let basses: Vec<bool> =
            score.harmonies.iter().map(|harmony| harmony.chord.bass.is_some()).collect();
        let about = (tonic.as_str(), plays_scales);
        let tones =
            harmony::check(&own.sheet, &own.rows, (&moments, &basses), about).map_err(at)?;
        found.pages += own.pages - usize::from(own.shares);
        found.systems += own.sheet.systems.len();
        found.heads += own.sheet.hands.iter().flatten().map(|it| it.heads.len()).sum::<usize>();
        found.tones.add(&tones);
    }
    Ok(found)
}

impl Found {
    /// Counts in what another check found.
    pub(crate) fn add(&mut self, other: &Self) {
        self.pages += other.pages;
        self.systems += other.systems;
        self.heads += other.heads;
        self.tones.add(&other.tones);
    }
}

/// [`check`], of what a recipe prints; `None` where its staves do not fit and it prints nothing.
#[track_caller]
pub(crate) fn assert_reads_back(recipe: &Recipe) -> Option<Found> {
    let fail = |what: &str| -> ! { panic!("{}, {}: {what}", recipe.drill, in_words(recipe)) };
    let templates = pipeline::templates(recipe).expect("sound templates");
    let document = match pipeline::document(recipe) {
        Ok(document) => document,
        Err(PipelineError::Page(PageError::NoRoom { .. })) if may_be_refused(recipe) => {
            return None;
        }
        Err(PipelineError::Page(PageError::TooManyKeys { .. })) => return None,
        Err(error) => fail(&error.to_string()),
    };
    let found = check(&pdf(&document), &templates, &recipe.keys, recipe);
    Some(found.unwrap_or_else(|what| fail(&what)))
}

/// Whether it asks for staves of one size on a low page, where a single system may be too high.
fn may_be_refused(recipe: &Recipe) -> bool {
    recipe.staff.is_some() && recipe.orientation == Orientation::Landscape
}

/// What is special about a recipe.
fn in_words(recipe: &Recipe) -> String {
    let staff = recipe.staff.map_or_else(|| "any".to_owned(), |staff| staff.to_string());
    format!(
        "{:?} {:?} {:?}, staff {staff}, keys a page {:?}, booklet {}, counts {:?}, fingers {:?}, symbols {:?}",
        recipe.form,
        recipe.paper,
        recipe.orientation,
        recipe.keys_a_page,
        recipe.booklet,
        recipe.counts,
        recipe.fingering,
        recipe.symbols
    )
}

/// The keys of plain names.
pub(crate) fn keys(names: &[&str]) -> Vec<AskedKey> {
    names.iter().map(|name| name.parse().expect("a key")).collect()
}

/// The sheets of some keys alone.
pub(crate) fn handout(drill: &str, names: &[&str]) -> Recipe {
    let form = DocumentForm::Handout;
    Recipe { form, drill: drill.to_owned(), keys: keys(names), ..Recipe::default() }
}

/// The document of a recipe.
pub(crate) fn document(recipe: &Recipe) -> Document {
    pipeline::document(recipe).expect("a sound recipe")
}

/// The file of a document.
pub(crate) fn pdf(document: &Document) -> Vec<u8> {
    output::pdf(document).expect("a sound document")
}
