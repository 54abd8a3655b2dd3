//! Documents to read back, and the whole check of one.

use quintfall::page::canvas::Document;
use quintfall::recipe::{Form, Paper, Recipe};
use quintfall::{output, pipeline};

use crate::{drill, ink, music, words};

/// The round of twelve in falling fifths, as the workbook prints it.
pub(crate) const ROUND: [&str; 12] =
    ["C", "F", "Bb", "Eb", "Ab", "Db", "Gb", "B", "E", "A", "D", "G"];

/// What a check of a document found.
#[derive(Debug, Default, PartialEq, Eq)]
pub(crate) struct Found {
    /// Pages with music.
    pub(crate) pages: usize,
    /// Heads read.
    pub(crate) heads: usize,
    /// Chords whose fingers were compared.
    pub(crate) fingers: usize,
}

/// Reads a PDF file back and compares every page of music with its drill, key by key.
pub(crate) fn check(pdf: &[u8], drill: &str, keys: &[&str]) -> Result<Found, String> {
    let mut found = Found::default();
    for (index, ink) in ink::pages(pdf).iter().enumerate() {
        let at = |what: String| format!("page {}: {what}", index + 1);
        let Some(sheet) = music::read(ink).map_err(at)? else { continue };
        let key = keys.get(found.pages).ok_or_else(|| at("one page too many".to_owned()))?;
        let at = |what: String| format!("page {} ({key}): {what}", index + 1);
        drill::check_music(&sheet, drill, key).map_err(at)?;
        let rows = words::rows(ink, &sheet);
        drill::check_words(&sheet, &rows, key).map_err(at)?;
        drill::check_counts(&sheet, &rows.counts).map_err(at)?;
        found.fingers += drill::check_fingers(&sheet, key).map_err(at)?;
        found.heads += sheet.hands.iter().flatten().map(|column| column.heads.len()).sum::<usize>();
        found.pages += 1;
    }
    if found.pages != keys.len() {
        return Err(format!("{} pages of music for {} keys", found.pages, keys.len()));
    }
    Ok(found)
}

/// The workbook of a drill.
pub(crate) fn workbook(drill: &str, paper: Paper) -> Document {
    let recipe = Recipe { drill: drill.to_owned(), paper, ..Recipe::default() };
    document(&recipe)
}

/// The sheets of some keys alone.
pub(crate) fn handout(drill: &str, keys: &[&str]) -> Document {
    let keys = keys.iter().map(|key| key.parse().expect("a key")).collect();
    document(&Recipe { form: Form::Handout, drill: drill.to_owned(), keys, ..Recipe::default() })
}

fn document(recipe: &Recipe) -> Document {
    pipeline::document(recipe).expect("a sound recipe")
}

/// The file of a document.
pub(crate) fn pdf(document: &Document) -> Vec<u8> {
    output::pdf(document).expect("a sound document")
}
