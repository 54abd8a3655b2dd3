//! The pages with music: header, systems, foot; of one key, of a part of it, or of several.

mod code;
pub(crate) mod foot;
pub(crate) mod header;
mod leading;
pub(crate) mod remark;
pub(crate) mod ring;
pub(crate) mod slip;
pub(crate) mod tempo;
mod tracks;

mod measured;
mod shared;

pub(crate) use measured::{Sheets, measure};

use kurbo::{Point, Rect};

use self::foot::SheetFoot;
use self::header::{Header, Seen};
use self::measured::{KeySheet, foot_of, remarkable};
use super::plan::{Allotment, Chapter, DocumentPlan};
use crate::book::place;
use crate::canvas::board::Board;
use crate::canvas::{Kind, Page};
use crate::engrave::System;
use crate::theory::Key;

/// The parts of a page of a sheet, from the top down: where the music may stand between the rest.
struct Parts {
    room: Rect,
    is_first: bool,
    is_last: bool,
}

/// Where things stand on one of a sheet's pages, whose number is not needed for it.
fn parts(
    plan: &DocumentPlan<'_>,
    header: &Header,
    foot: &SheetFoot,
    mut live: Rect,
    place: (usize, usize),
) -> Parts {
    let (nth, of) = place;
    let (is_first, is_last) = (nth == 0, nth + 1 == of);
    if is_last {
        live.y0 += foot.slip_height();
    }
    let distances = &plan.page.distances;
    let top = if is_first { header.end(plan, live) } else { Header::continued_end(plan, live) };
    let foot = if is_last { foot.height(plan) } else { foot::folio_height(plan) };
    let (bottom, top) = (live.y0 + foot + distances.before_foot, top - distances.after_header);
    Parts { room: Rect::new(live.x0, bottom, live.x1, top), is_first, is_last }
}

impl Sheets {
    /// The keys on a page: the one at an index of those with its music.
    pub(crate) fn keys_on(&self, nth: usize) -> Vec<Key> {
        let first = nth / self.allotment.turn() * self.allotment.keys;
        let sheets = self.sheets.iter().skip(first).take(self.allotment.keys);
        sheets.map(|sheet| sheet.key).collect()
    }

    /// Draws a page of a drill: the one at an index of those with its music.
    pub(crate) fn draw(&self, plan: &DocumentPlan<'_>, chapter: &Chapter<'_>, nth: usize) -> Page {
        let page = chapter.first_page + nth;
        let Allotment { keys, pages, .. } = self.allotment;
        let turn = self.allotment.turn();
        let first = nth / turn * keys;
        // The answers follow what is to be written in.
        let is_answers = nth % turn >= pages;
        let sheets: Vec<&KeySheet> = self.sheets.iter().skip(first).take(keys).collect();
        let mut board = plan.board(page);
        let remarks = remark::lines(plan, &remarkable(&sheets));
        let mut foot = foot_of(plan, &self.header, &sheets, self.rungs.len());
        let place = (nth % pages, pages);
        let Parts { room, is_first, is_last } = parts(plan, &self.header, &foot, board.live, place);
        let own: Vec<Key> = sheets.iter().map(|sheet| sheet.key).collect();
        if is_first {
            let next = plan.next(chapter, first + sheets.len() - 1);
            let seen = Seen { keys: &own, feel: sheets[0].feel, next, page, of: pages, is_answers };
            self.header.draw(&mut board, plan, chapter, &seen);
        } else {
            Header::draw_continued(&mut board, plan, (own[0], is_answers), place);
        }
        let slip = foot.slip.take().filter(|_| is_last);
        let look = if is_answers || plan.options.leave_out.is_empty() {
            plan.look(chapter)
        } else {
            plan.partial_look(chapter)
        };
        // The foot and the page number stand above the slip, which is cut off.
        let bottom = board.live.y0;
        board.live.y0 += slip.as_ref().map_or(0.0, |slip| slip.height);
        for sheet in sheets {
            draw_music(
                &mut board,
                plan,
                room,
                sheet,
                (place.0, sheet.systems(chapter, place.0, look)),
            );
        }
        if is_last {
            remark::draw(&mut board, plan, page, remarks);
            foot.draw(&mut board, plan, &self.rungs);
        }
        foot::draw_folio(&mut board, plan, page);
        if let Some(slip) = slip.filter(|_| !is_answers) {
            let top = bottom + slip.height;
            slip.draw(&mut board, plan, top);
        }
        board.finish()
    }
}

/// Puts systems in their places, the small heading of their key over them where it has one.
fn draw_music(
    board: &mut Board,
    plan: &DocumentPlan<'_>,
    room: Rect,
    sheet: &KeySheet,
    (nth, systems): (usize, Vec<System>),
) {
    let music = &sheet.pages[nth];
    if let Some(heading) = music.heading {
        header::draw_small(board, plan, sheet.key, room.y1 - heading * sheet.space);
    }
    for (system, origin) in systems.into_iter().zip(&music.origins) {
        let at = Point::new(room.x0, room.y1 - origin * sheet.space);
        let (first, last) = (system.bars.start + 1, system.bars.end);
        let words = match last - first {
            0 => format!("{}, bar {first}", sheet.key.words()),
            _ => format!("{}, bars {first} to {last}", sheet.key.words()),
        };
        board.begin_described(Kind::System, words);
        let marks = system.marks.into_iter();
        board.marks(marks.map(|mark| place::placed(mark, at, sheet.space)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::{Book, BookOptions, DocumentForm};
    use crate::canvas::paper::Paper;
    use crate::canvas::{Mark, Trace};
    use crate::drill::{Choices, Course, Exercise, Tempi, Template, library};
    use crate::engrave::{Look, Watched};
    use crate::score::Counts;
    use crate::theory::{Key, SymbolStyle};
    use std::cell::Cell;

    /// Every page of every drill of the library in every key, on both papers.
    fn each_sheet(options: &BookOptions, tempo: u16, look: impl Fn(&Page)) {
        for (name, text) in library::all() {
            let drill = Template::parse(text, name).unwrap();
            for paper in Paper::ALL {
                let keys: Vec<Key> = Key::majors().collect();
                let tempi = Tempi { tempo, goal: None };
                let exercise = Exercise::new(drill.clone(), &keys, tempi, Choices::default());
                let course = Course { exercises: vec![exercise] };
                let options = BookOptions { paper, keys, ..options.clone() };
                let book = Book::measure(&course, &options).unwrap();
                for page in 0..book.pages() {
                    look(&book.page(page).unwrap());
                }
            }
        }
    }

    fn all_options() -> [(BookOptions, u16); 4] {
        let handout = BookOptions::handout(vec![Key::majors().next().unwrap()]);
        let named = BookOptions {
            student: Some("Marguerite Delacroix-Oyelaran".to_owned()),
            studio: Some(
                "Willow Street Piano Studio, upstairs, second door on the left".to_owned(),
            ),
            title: Some("Sevenths for the long evenings between November and March".to_owned()),
            tracks: Some("playalong-pushed-D-flat-Marguerite-080.flac, second.mid".to_owned()),
            tracks_at: Some("https://studio.example/winter".to_owned()),
            look: Look { symbols: SymbolStyle::Signs.into(), ..Look::default() },
            ..handout.clone()
        };
        let uncounted = Look { counts: Counts::None, ..Look::default() };
        let told = BookOptions {
            note: Some("Shoulders down.\nLeft hand quieter than the right.".to_owned()),
            date: Some("2026-11-30".to_owned()),
            slip: true,
            tracks: None,
            tracks_at: Some(format!("https://studio.example/{}", "winter-term_".repeat(8))),
            look: Look { watch: Watched::of([0, 2, 3]), ..Look::default() },
            ..named.clone()
        };
        let plain = BookOptions { look: uncounted, ..handout.clone() };
        [(plain, 80), (handout, 80), (named, 350), (told, 60)]
    }

    #[test]
    fn header_and_foot_leave_the_room_to_the_music() {
        assert_eq!(all_options()[0].0.form, DocumentForm::Handout);
        let seen = std::cell::Cell::new(0);
        for (options, tempo) in all_options() {
            each_sheet(&options, tempo, |page| {
                let of = |music: bool| {
                    // The heading of a key that shares its page stands over its clef.
                    let is_music = |kind| matches!(kind, Kind::System | Kind::Heading(3));
                    let own = move |block: &&crate::canvas::Block| is_music(block.kind) == music;
                    page.blocks.iter().filter(own).flat_map(|block| &block.marks)
                };
                let inks = of(true).map(Mark::bounds);
                // Slips may have a page of their own.
                let Some(music) = inks.reduce(|all, ink| all.union(ink)) else { return };
                seen.set(seen.get() + 1);
                for mark in of(false) {
                    let ink = mark.bounds();
                    let clear = ink.y0 >= music.y1 || ink.y1 <= music.y0;
                    assert!(clear, "{mark:?} in {music:?} on page {}", page.label);
                }
            });
        }
        assert!(seen.get() > 1000, "{}", seen.get());
    }

    #[test]
    fn nothing_stands_in_the_white_round_a_code() {
        let mut seen = 0;
        for (options, tempo) in all_options() {
            let Some(code) = options.tracks_at.as_deref().and_then(code::Code::of) else {
                continue;
            };
            let own = format!("leads to {}", options.tracks_at.clone().unwrap());
            let count = Cell::new(0);
            each_sheet(&options, tempo, |page| {
                let is_code = |block: &&crate::canvas::Block| block.words.ends_with(&own);
                let Some(block) = page.blocks.iter().find(is_code) else { return };
                let white = block.marks[0].bounds().inflate(code.quiet(), code.quiet());
                let white = white.inflate(-1e-6, -1e-6);
                assert!(white.x0 > 0.0 && white.x1 < page.size.width && white.y0 > 0.0);
                for block in page.blocks.iter().filter(|block| !is_code(block)) {
                    for mark in &block.marks {
                        let shared = mark.bounds().intersect(white);
                        let touch = shared.width() > 0.0 && shared.height() > 0.0;
                        assert!(!touch, "{mark:?} on page {} in {white:?}", page.label);
                    }
                }
                count.set(count.get() + 1);
            });
            seen += count.get();
        }
        assert!(seen > 500, "{seen}");
    }

    #[test]
    fn words_of_header_and_foot_keep_apart() {
        for (options, tempo) in all_options() {
            each_sheet(&options, tempo, |page| {
                let words: Vec<(&Mark, Rect)> = page
                    .blocks
                    .iter()
                    .filter(|block| block.kind != Kind::System)
                    .flat_map(|block| &block.marks)
                    .filter(|mark| matches!(mark, Mark::Trace(Trace::Text { .. }, _)))
                    .map(|mark| (mark, mark.bounds()))
                    .collect();
                for (index, (mark, ink)) in words.iter().enumerate() {
                    for (other, near) in &words[index + 1..] {
                        let shared = ink.intersect(*near);
                        let touch = shared.width() > 0.0 && shared.height() > 0.0;
                        assert!(!touch, "{mark:?} touches {other:?}");
                    }
                }
            });
        }
    }
}
