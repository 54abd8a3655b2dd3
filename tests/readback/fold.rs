//! A booklet as a reader holds it: the printed sheets stacked, folded once, and leafed through.

use crate::ink::Ink;

/// Pages that are left blank at the end of a booklet at most: a sheet holds four.
const MOST_BLANK: usize = 3;

/// The pages in reading order, from the printed sides of the sheets: a front and its back, sheet
/// by sheet, the first one outermost.
pub(crate) fn leaf_through(sides: &[Ink]) -> Result<Vec<Ink>, String> {
    if !sides.len().is_multiple_of(2) {
        return Err(format!("{} sides do not make sheets of two", sides.len()));
    }
    let mut pages = Vec::new();
    // Up to the fold one sees the right half of each front, and when it is turned over, what lies
    // behind it: the left half of its back.
    for sheet in sides.chunks(2) {
        let ([_, recto], [verso, _]) = (sheet[0].halves(), sheet[1].halves());
        pages.extend([recto, verso]);
    }
    // From the fold on the sheets come in the opposite order, each with its other leaf.
    for sheet in sides.chunks(2).rev() {
        let ([verso, _], [_, recto]) = (sheet[0].halves(), sheet[1].halves());
        pages.extend([recto, verso]);
    }
    let blank = pages.iter().rev().take_while(|page| page.is_blank()).count();
    let used = pages.len() - blank;
    if blank > MOST_BLANK || pages[..used].iter().any(Ink::is_blank) {
        return Err("blank pages elsewhere than at the end of the last sheet".to_owned());
    }
    pages.truncate(used);
    Ok(pages)
}
