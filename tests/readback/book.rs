//! Documents to read back, and the whole check of one.

use quintfall::output;
use quintfall::page::canvas::{self, Document, Ink, Page};
use quintfall::recipe::{Counts, FingeringMarks, Paper, Recipe};

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
    document(&Recipe { drill: drill.to_owned(), keys, ..Recipe::default() })
}

// PLACEHOLDER-BEGIN
fn document(recipe: &Recipe) -> Document {
    use kurbo::{Point, Size, Vec2};
    use quintfall::engrave::{self, Form, Look};
    let _ = (Counts::All, FingeringMarks::All);
    let template = quintfall::pipeline::template(recipe).expect("a drill");
    let size = match recipe.paper {
        Paper::A4 => Size::new(595.276, 841.89),
        Paper::Letter => Size::new(612.0, 792.0),
    };
    let space = 4.961;
    let width = (size.width - 85.0) / space - engrave::BRACE_REACH;
    let look = Look { symbols: recipe.symbols, counts: recipe.counts };
    let pages = quintfall::pipeline::scores(recipe, &template)
        .iter()
        .map(|score| {
            let systems =
                (1..10).find_map(|n| engrave::engrave(score, &look, width, n)).expect("fits");
            let mut y = size.height - 42.5;
            let mut marks = vec![];
            for system in systems {
                y -= system.top * space;
                let origin = Vec2::new(42.5 + engrave::BRACE_REACH * space, y);
                let place = |at: Point| (at.to_vec2() * space + origin).to_point();
                for mark in system.marks {
                    let ink = Ink::Black;
                    marks.push(match mark.form {
                        Form::Sign { sign, at, scale } => canvas::Mark::Sign {
                            sign,
                            at: place(at),
                            size: 4.0 * space * scale,
                            ink,
                        },
                        Form::Text { text, face, at, size } => canvas::Mark::Text {
                            text,
                            face,
                            at: place(at),
                            size: size * space,
                            ink,
                        },
                        Form::Line { from, to, width } => canvas::Mark::Line {
                            from: place(from),
                            to: place(to),
                            width: width * space,
                            ink,
                        },
                        Form::Fill(path) => canvas::Mark::Fill {
                            path: kurbo::Affine::translate(origin)
                                * kurbo::Affine::scale(space)
                                * path,
                            ink,
                        },
                    });
                }
                y += (system.bottom - 2.0) * space;
            }
            Page { size, marks, links: vec![], label: score.key.to_string() }
        })
        .collect();
    Document {
        title: "t".into(),
        author: None,
        language: "en".into(),
        pages,
        outline: vec![],
        pictures: vec![],
        recipe: "{}".into(),
    }
}
// PLACEHOLDER-END

/// The file of a document.
pub(crate) fn pdf(document: &Document) -> Vec<u8> {
    output::pdf(document).expect("a sound document")
}
