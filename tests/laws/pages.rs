//! Laws of the finished page: nothing past the edge that printers reach, no words on words.

use kurbo::{Rect, Shape as _, Vec2};
use quintfall::canvas::{Mark, Page, Trace};
use quintfall::desk::pipeline;
use quintfall::glyphs::MusicFace;
use quintfall::recipe::{DocumentForm, Paper, Recipe, StaffSize};
use quintfall::typeset;

/// Nothing stands nearer to the edge of the paper, in points: 7 mm.
///
/// Source: unprintable edges of 4 to 6.7 mm in the manuals of laser and ink-jet printers, 1992
/// to 2010.
const UNPRINTED: f64 = 7.0 / 25.4 * 72.0;

/// The box round a mark's ink, in points.
fn ink(mark: &Mark) -> Rect {
    match mark {
        Mark::Trace(Trace::Sign { sign, at, size, .. }, _) => {
            let bounds = MusicFace::get().bounds(*sign);
            (kurbo::Affine::scale(size / 4.0).transform_rect_bbox(bounds)) + at.to_vec2()
        }
        Mark::Trace(Trace::Text { text, face, at, size, .. }, _) => {
            typeset::ink_bounds(*face, text, *size) + at.to_vec2()
        }
        Mark::Trace(Trace::Line { from, to, width }, _) => {
            let half = (*to - *from).normalize() * (width / 2.0);
            let across = Vec2::new(half.y.abs(), half.x.abs());
            Rect::from_points(*from, *to).inflate(across.x, across.y)
        }
        Mark::Trace(
            trace @ (Trace::Slab { .. }
            | Trace::Wedge { .. }
            | Trace::Crescent { .. }
            | Trace::Fill(_)),
            _,
        ) => trace.filled().bounding_box(),
        Mark::Trace(Trace::Stroke { path, width }, _) => {
            path.bounding_box().inflate(width / 2.0, width / 2.0)
        }
        Mark::Picture { frame, .. } => *frame,
    }
}

/// Two drills of the library and a short one on every paper, on staves of three sizes, with as
/// many keys to a page as stand there.
fn every_page(mut check: impl FnMut(&str, &Page)) {
    let (short, text) = crate::short::drills().swap_remove(0);
    let drills = [("on-the-beat".to_owned(), None), ("pushed".to_owned(), None)];
    for (drill, template) in drills.into_iter().chain([(short, Some(text))]) {
        for paper in Paper::ALL {
            let student = Some("Maximiliane von Hohenstein-Wertherau".to_owned());
            let (drill, template) = (drill.clone(), template.clone());
            let recipe = Recipe { drill, template, paper, student, ..Recipe::default() };
            let large = |mm| Recipe {
                form: DocumentForm::Handout,
                staff: StaffSize::of_mm(mm).ok(),
                goal: Some(208),
                studio: Some("Willow Street Piano Studio, upstairs".to_owned()),
                ..recipe.clone()
            };
            for recipe in [large(8.0), large(9.5), recipe] {
                let document = pipeline::document(&recipe).expect("a sound recipe");
                let staff = recipe.staff.map_or(7.0, StaffSize::mm);
                for page in &document.pages {
                    let label = &page.label;
                    let drill = &recipe.drill;
                    check(&format!("{drill} on {paper:?}, staves of {staff}, page {label}"), page);
                }
            }
        }
    }
}

#[test]
fn no_mark_stands_where_printers_do_not_reach() {
    every_page(|name, page| {
        let live = Rect::from_origin_size((0.0, 0.0), page.size).inset(-UNPRINTED);
        for mark in page.marks() {
            let ink = ink(mark);
            let within = ink.area() == 0.0 || live.union(ink) == live;
            assert!(within, "{name}: {mark:?} reaches {ink:?} of {live:?}");
        }
    });
}

/// The pairs of words with words, or words with a sign, that were looked at on a page, and those
/// that meet.
fn meetings(page: &Page) -> (usize, Vec<String>) {
    let is_type =
        |mark: &&Mark| matches!(mark, Mark::Trace(Trace::Text { .. } | Trace::Sign { .. }, _));
    let inks: Vec<(&Mark, Rect)> =
        page.marks().filter(is_type).map(|mark| (mark, ink(mark))).collect();
    let mut pairs = 0;
    let mut met = Vec::new();
    for (index, (mark, a)) in inks.iter().enumerate() {
        let Mark::Trace(Trace::Text { text, .. }, _) = mark else { continue };
        for (place, (other, b)) in inks.iter().enumerate() {
            let words = matches!(other, Mark::Trace(Trace::Text { .. }, _));
            if place == index || (words && place < index) {
                continue;
            }
            pairs += 1;
            let shared = a.intersect(*b);
            if shared.width() > 0.05 && shared.height() > 0.05 {
                met.push(format!("{text:?} at {a:?} meets {other:?}"));
            }
        }
    }
    (pairs, met)
}

#[test]
fn no_words_stand_on_words_nor_on_signs() {
    let mut pairs = 0;
    every_page(|name, page| {
        let (looked_at, met) = meetings(page);
        pairs += looked_at;
        assert!(met.is_empty(), "{name}: {}", met.join("\n"));
    });
    println!("{pairs} pairs looked at");
    assert!(pairs > 100_000, "only {pairs} pairs were looked at");
}

/// The law can fail: a word moved onto another is found.
#[test]
fn a_word_moved_onto_another_is_found() {
    let document = pipeline::document(&Recipe::default()).expect("a sound recipe");
    let mut page = document.pages.into_iter().next_back().expect("a page");
    assert_eq!(meetings(&page).1, Vec::<String>::new());
    let is_text = |mark: &&Mark| matches!(mark, Mark::Trace(Trace::Text { .. }, _));
    let moved = page.marks().find(is_text).expect("words").clone();
    page.blocks[0].marks.push(moved);
    assert!(!meetings(&page).1.is_empty());
}
