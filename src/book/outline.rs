//! The outline of a book.

use super::DocumentForm;
use super::plan::{
    CONTENTS, CONTENTS_TITLE, COVER, Chapter, DocumentPlan, HOW_TO_TITLE, LOG_TITLE, SLIPS_TITLE,
    Slips, TERM_TITLE,
};
use crate::canvas::Bookmark;

/// The outline that a reader program shows.
pub(crate) fn outline(plan: &DocumentPlan<'_>) -> Vec<Bookmark> {
    let entry = |title: &str, page| Bookmark {
        title: title.to_owned(),
        page,
        open: true,
        children: Vec::new(),
    };
    if plan.options.form == DocumentForm::Review {
        let title = |page: usize| if page.is_multiple_of(2) { "Questions" } else { "Answers" };
        return (0..plan.pages).map(|page| entry(title(page), page)).collect();
    }
    let keys = |chapter: &Chapter<'_>| -> Vec<Bookmark> {
        let keys = plan.keys(chapter).into_iter().enumerate();
        keys.map(|(index, key)| entry(&key.words(), chapter.key_page(index))).collect()
    };
    let on_pages = matches!(plan.slips, Slips::OnPages(_));
    let slips = on_pages.then(|| entry(SLIPS_TITLE, plan.slips_page));
    let drills: Vec<Bookmark> = match plan.chapters.as_slice() {
        [chapter] if !plan.options.is_course => {
            if !plan.is_workbook() {
                return keys(chapter).into_iter().chain(slips).collect();
            }
            vec![Bookmark { children: keys(chapter), ..entry("Keys", chapter.first_page) }]
        }
        chapters => {
            let titled = |chapter: &Chapter<'_>| {
                let title = format!("{}. {}", chapter.number(), plan.listed_title(chapter));
                // A reader program would show hundreds of lines.
                let open = chapters.len() == 1;
                Bookmark { children: keys(chapter), open, ..entry(&title, chapter.start()) }
            };
            chapters.iter().map(titled).collect()
        }
    };
    if !plan.is_workbook() {
        return drills.into_iter().chain(slips).collect();
    }
    let mut entries = vec![
        entry("Cover", COVER),
        entry(CONTENTS_TITLE, CONTENTS),
        entry(HOW_TO_TITLE, plan.how_to_page()),
    ];
    entries.extend(plan.packet_parts().map(|(part, page)| entry(part.listed(), page)));
    let tables = plan.tables.iter().enumerate();
    entries.extend(tables.map(|(index, table)| entry(&table.title, plan.chords_page(index))));
    if plan.term > 0 {
        entries.push(entry(TERM_TITLE, plan.term_page()));
    }
    entries.extend(drills);
    entries.extend(plan.logs.iter().map(|page| entry(LOG_TITLE, *page)));
    entries.extend(slips);
    entries.sort_by_key(|entry| entry.page);
    entries
}
